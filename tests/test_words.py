"""The text a household reads is plain American English: the words of the style sheet that are out occur nowhere in it."""

from __future__ import annotations

import ast
import re
import tomllib
import zipfile
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest

from stillroom.errors import KINDS

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "stillroom"
PACKAGES = ("app", "cli", "handbook", "household", "reports", "timetable", "web", "workbook/starter")
WORKBOOKS = sorted([*(ROOT / "workbook_templates").glob("*.xlsx"), *(ROOT / "demo").glob("*.xlsx")])
OUT = {
    "stand": r"(?<!let )\bstands?\b(?! (?:overnight|until|for \d))",
    "anew": r"\banew\b",
    "beside": r"\bbesides?\b",
    "so much": r"\bso much\b(?! (?:the|as))",
    "hold back": r"\b(?:hold|holds|held) (?:it |them |the plan )?back\b",
    "put right": r"\bput (?:it |them )?right\b",
    "in the way": r"\bin the way\b",
    "no use for": r"\bno use for\b",
    "larder": r"\blarders?\b",
    "programme": r"\bprogrammes?\b",
    "colour": r"colour",
    "litre": r"\blitres?\b",
    "metre": r"\bmetres?\b",
    "whilst": r"\bwhilst\b",
    "mold": r"\bmoulds?\b",
    "kind of keeping": r"\bways of keeping\b|^way$|\bseven ways\b",
    "target": r"^needs?$|\b(?:which|a|each|every|one|no|the|of) needs?\b(?! (?:to|not|for)\b)|\bwinter needs\b",
    "surplus": r"\b(?:are|is|was|were|less|as) fed\b|\bfed:",
    "people": r"\bhands at it\b|\bpairs? of hands\b|\bhours of hands\b|\bminutes of hands\b",
    "not verified": r"\b(?:from|written from) memory\b",
    "number in full": r"\b\d(?:\.\d+)?e[+-]?\d+\b",
    "no minus zero": r"-0\.00\b",
}
"""What is out, by what to write instead or its short name."""
EXCEPTIONS = {
    ("src/stillroom/handbook/safety/minutes.py", "not verified"): "the key of a kind of problem, never shown",
    ("src/stillroom/handbook/safety/recipes.py", "not verified"): "the key of a kind of problem, never shown",
    ("src/stillroom/household/amounts.py", "litre"): "a spelling that a household may type",
    ("src/stillroom/household/units.py", "litre"): "spellings that a household may type",
    ("src/stillroom/household/units.py", "metre"): "spellings that a household may type",
}
"""File and word with the reason why it may stay."""


def literals(path: Path) -> Iterator[tuple[int, str]]:
    """Line and text of every string with more than one word that is no docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    bare = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) and id(node) not in bare else None
        if isinstance(text, str) and " " in text.strip():
            yield node.lineno, text


def cell_texts(path: Path) -> Iterator[str]:
    """Every text of a workbook: shared and inline strings, prompts and messages of drop-downs."""
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            if name.endswith(".xml"):
                xml = archive.read(name).decode("utf-8")
                yield from (unescape(text) for text in re.findall(r"<(?:a:)?t(?: [^>]*)?>([^<]*)</", xml))
                yield from (
                    unescape(text) for text in re.findall(r' (?:prompt|error|promptTitle|errorTitle)="([^"]*)"', xml)
                )


def words_out(text: str) -> list[str]:
    """Return the names of what is out in a text."""
    return [name for name, pattern in OUT.items() if re.search(pattern, text, re.IGNORECASE)]


@pytest.mark.parametrize("package", PACKAGES)
def test_no_string_of_the_source_has_a_word_that_is_out(package):
    found = []
    for path in sorted((SOURCE / package).rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        for line, text in literals(path):
            found += [f"{name}:{line}: {word}: {text}" for word in words_out(text) if (name, word) not in EXCEPTIONS]
    assert not found, "\n".join(found)


def test_no_text_of_the_kitchen_page_has_a_word_that_is_out():
    files = sorted((SOURCE / "web").glob("*/*.[hj][ts]*"))
    words = {path.name: re.sub(r"{#.*?#}|{%.*?%}|/\*.*?\*/", "", path.read_text(encoding="utf-8")) for path in files}
    assert len(words) > 8
    assert not [f"{name}: {word}" for name, text in words.items() for word in words_out(text)]


def test_no_text_of_the_schema_has_a_word_that_is_out():
    tables = tomllib.loads((SOURCE / "workbook" / "schema" / "schema.toml").read_text(encoding="utf-8"))["table"]
    found = []
    for table in tables:
        columns = [*table["columns"], *table.get("setting", ())]
        texts = [
            table["about"],
            *(column["about"] for column in columns),
            *(column.get("blank", "") for column in columns),
        ]
        texts += [column.get("heading") or column["name"] for column in columns]
        found += [f"{table['name']}: {word}: {text}" for text in texts for word in words_out(text)]
    assert not found, "\n".join(found)


def test_no_text_of_a_starting_workbook_has_a_word_that_is_out():
    given = tomllib.loads((SOURCE / "workbook" / "starter" / "starter.toml").read_text(encoding="utf-8"))
    found = [f"{name}: {word}" for name, part in given.items() for word in words_out(repr(part))]
    assert not found, "\n".join(found)


def test_no_sentence_of_a_problem_has_a_word_that_is_out():
    found = [f"{key}: {word}" for key, kind in KINDS.items() for word in words_out(f"{kind.what}\n{kind.fix}")]
    assert not found, "\n".join(found)


@pytest.mark.parametrize("path", WORKBOOKS, ids=lambda path: path.name)
def test_no_text_of_a_workbook_has_a_word_that_is_out(path):
    found = sorted({f"{word}: {text}" for text in cell_texts(path) for word in words_out(text)})
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("Planned anew every day", "anew"),
        ("Type 0 to 1e+06.", "number in full"),
        ("The larder", "larder"),
        ("Need", "target"),
    ],
)
def test_a_word_that_is_out_is_found(text, word):
    assert words_out(text) == [word]
