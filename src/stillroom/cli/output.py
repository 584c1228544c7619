"""What a command prints: pages and JSON on standard output, errors on standard error."""

from __future__ import annotations

import re
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, cast

from stillroom import app as use_cases
from stillroom import reports
from stillroom.errors import KINDS, StillroomError, WorkbookRefused

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

    from stillroom.app.frames import Tables
    from stillroom.reports.terminal.lists import Waiting


TURNING = dict.fromkeys([0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)])
"""The marks that turn the direction of a line: a crop so called would write the rest of its line backwards."""

DRIVING = dict.fromkeys([*range(9), 11, 12, *range(14, 32), *range(0x7F, 0xA0)])
"""Characters that drive a terminal; none of them is text."""


COLOR = re.compile(r"\x1b(?!\[[0-9;]*m)")
"""An escape that begins anything but a color or a weight."""


class Tamed:
    """A stream that writes text as text: whatever would turn a line or drive a terminal is left out, but for color."""

    def __init__(self, stream: IO[str], *, may_drive: bool) -> None:
        self.stream = stream
        self.may_drive = may_drive
        self.without = TURNING if stream.isatty() else TURNING | DRIVING

    def write(self, words: str) -> int:
        """Write the words without what is not text; gives how many were handed over."""
        words_left = words.translate(self.without)
        self.stream.write(words_left if self.may_drive else COLOR.sub("", words_left))
        return len(words)

    def __getattr__(self, name: str) -> Any:
        """Whatever else a stream can do."""
        return getattr(self.stream, name)


@contextmanager
def tamed(*, as_json: bool) -> Iterator[None]:
    """Let both streams write text only, while a command runs; JSON is left whole, for it escapes what drives."""
    before = sys.stdout, sys.stderr
    if not as_json:
        sys.stdout = cast("Any", Tamed(before[0], may_drive=False))
    sys.stderr = cast("Any", Tamed(before[1], may_drive=True))  # the line that says how far it has come
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before


def show(page: RenderableType) -> None:
    """Print a page: styled on a terminal, as plain text into a pipe or a file; a string, such as JSON, as it is."""
    if isinstance(page, str):
        print(page)
    elif sys.stdout.isatty():
        out().print(page)
    else:
        print(reports.terminal.lists.plain_text(page))


@contextmanager
def as_csv(
    folder: Path | None, tables: Callable[[], Tables], *, as_json: bool, replace: bool = False
) -> Iterator[None]:
    """Write tables as CSV files before what is shown, and name them after it; nothing without a folder."""
    files = [] if folder is None else use_cases.frames.write_csv(tables(), folder, replace=replace)
    yield
    if not as_json:
        show_files(files)


def show_files(files: Sequence[Path]) -> None:
    """Print which CSV files were written, if any."""
    if files:
        show_lines([f"CSV files written: {', '.join(map(str, files))}"])


def waiting(path: Path, doing: str = "reading") -> Waiting:
    """Return a spinner that shows what is being done with a workbook; it begins by reading it."""
    return reports.terminal.lists.Waiting(out(stderr=True), f"{doing} {path.name}")


def show_lines(lines: Iterable[str], *, as_json: bool = False) -> None:
    """Print sentences: wrapped on a terminal, a line each into a pipe or a file, or as `{"messages": [...]}`."""
    if as_json:
        print(reports.json.text({"messages": list(lines)}))
        return
    print(fitted("\n".join(lines), sys.stdout))


def fitted(words: str, stream: IO[str]) -> str:
    """Give text as it goes to a stream; a line that a terminal would break within a word is wrapped between words."""
    if not stream.isatty():
        return words
    return "\n".join(wrapped(line, out(stderr=stream is sys.stderr).width) for line in words.split("\n"))


def wrapped(line: str, wide: int) -> str:
    """
    Wrap a line between words, what follows set in as far as it is itself, and a little more.

    >>> print(wrapped("  Kitchen!B6: the altitude is blank; write it", 30))
      Kitchen!B6: the altitude is
        blank; write it
    """
    if len(line) <= wide:
        return line
    indent = line[: len(line) - len(line.lstrip())]
    return textwrap.fill(
        line, wide, subsequent_indent=f"{indent}  ", break_long_words=False, break_on_hyphens=False, tabsize=1
    )


def out(*, stderr: bool = False) -> Console:
    """A console no wider than is good to read; color only on a terminal, and not with NO_COLOR."""
    from rich.console import Console

    console = Console(stderr=stderr, highlight=False)
    console.width = min(console.width, 100)
    return console


def show_refusal(error: StillroomError, written: str = "", *, as_json: bool) -> int:
    """Print why a command failed, and in a sentence what it had `written` by then; return its exit code."""
    if not isinstance(error, WorkbookRefused):
        words = f"{str(error).rstrip('.')}. {written}" if written else str(error)
        return show_error(words, error.exit_code, as_json=as_json)
    if as_json:
        print(reports.json.problems_json(error.problems))
    lines = [reports.problems.line(problem) for problem in reports.problems.gathered(error.problems)]
    title = "Fix this first:" if len(lines) == 1 else f"Fix these {len(lines)} things first:"
    if not any(KINDS[problem.kind].about == "writing" for problem in error.problems):  # check does not list those
        left_out = len(lines) - reports.problems.ENTRIES
        lines = [*lines[: reports.problems.ENTRIES], *reports.problems.more_words(left_out)]
    words = "\n".join([title, *(f"  {one}" for one in lines), *filter(None, [written])])
    print(fitted(words, sys.stderr), file=sys.stderr)
    return error.exit_code


def show_error(words: str, code: int, *, as_json: bool, label: str = "Error: ") -> int:
    """Print a sentence with its label on standard error, and as JSON where that is asked for; return the exit code."""
    if as_json:
        print(reports.json.error_json(words))
    print(fitted(f"{label}{words}", sys.stderr), file=sys.stderr)
    return code
