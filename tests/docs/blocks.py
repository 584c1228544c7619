"""The fenced blocks of a Markdown page, and the marked parts of it that a script fills in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
GUIDES = tuple(sorted(f"shared/docs/{path.name}" for path in (ROOT / "shared" / "docs").glob("*.md")))
"""The pages of shared/docs."""

PAGES = ("README.md", "DEVELOPERS.md", *GUIDES)

_BLOCK = re.compile(r"^```([\w-]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Block:
    """One fenced block: its page, the line it begins on, its language ("" for none) and its text."""

    page: str
    line: int
    language: str
    text: str

    def __str__(self) -> str:
        return f"{self.page}:{self.line}"


def page_text(name: str) -> str:
    """The text of a page."""
    return (ROOT / name).read_text(encoding="utf-8")


def blocks(page: str, language: str | None = None) -> Iterator[Block]:
    """The fenced blocks of a page in order, all of them or those in one language."""
    text = page_text(page)
    for found in _BLOCK.finditer(text):
        if language is None or found[1] == language:
            yield Block(page, text.count("\n", 0, found.start()) + 1, found[1], found[2])


def without_blocks(page: str) -> str:
    """The prose of a page."""
    return _BLOCK.sub("", page_text(page))


def marked(name: str) -> re.Pattern[str]:
    """
    What finds a marked part of a page; its second group is the part itself.

    >>> marked("objectives").sub(r"\\1new\\n\\3", "<!-- objectives -->\\nold\\n<!-- end of objectives -->")
    '<!-- objectives -->\\nnew\\n<!-- end of objectives -->'
    """
    return re.compile(rf"(<!-- {name} -->\n)(.*?)(<!-- end of {name} -->)", re.DOTALL)


def apply_change(block: Block, root: Path) -> None:
    """
    Make the change of a `diff` block in the tree under `root`.

    Its first line names the file. Lines with a space in front must stand there exactly once, "-" goes, "+" comes; a
    part after `@@` that only adds is put at the end of the file.
    """
    head, *rest = block.text.splitlines()
    assert head.startswith("--- "), f"{block}: the first line of a diff names the file"
    path = root / head.removeprefix("--- ")
    text = path.read_text(encoding="utf-8")
    for hunk in "\n".join(rest).split("\n@@\n"):
        lines = hunk.splitlines()
        old = "".join(f"{line[1:]}\n" for line in lines if line[:1] in " -")
        new = "".join(f"{line[1:]}\n" for line in lines if line[:1] in " +")
        if not old:
            text = text.rstrip("\n") + "\n" + new
            continue
        assert text.count(old) == 1, f"{block}: these lines stand {text.count(old)} times in {path.name}:\n{old}"
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
