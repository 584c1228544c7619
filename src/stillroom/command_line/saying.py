"""How a command speaks: pages to the terminal or into a pipe, errors where errors go."""

# ruff: noqa: T201 - this is the one room that prints

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from stillroom.errors import StillroomError, WorkbookRefused

if TYPE_CHECKING:
    from rich.console import Console, RenderableType


def say(page: RenderableType) -> None:
    """Print a page: as it is on a terminal, as plain text into a pipe or a file."""
    if sys.stdout.isatty():
        out().print(page)
        return
    from stillroom.pages.plain import plain_text

    print(plain_text(page))


def out(*, stderr: bool = False) -> Console:
    """A console no wider than is good to read; colour only on a terminal, and not with NO_COLOR."""
    from rich.console import Console

    console = Console(stderr=stderr, highlight=False)
    console.width = min(console.width, 100)
    return console


def tell_error(error: StillroomError, *, as_json: bool) -> int:
    """Say why a command came to nothing; gives the exit code."""
    if not isinstance(error, WorkbookRefused):
        return tell(str(error), error.exit_code, as_json=as_json)
    if as_json:
        from stillroom.pages.as_json import problems_json

        print(problems_json(error.problems))
    count = len(error.problems)
    lines = [f"  {problem}" for problem in error.problems]
    print("\n".join([f"{count} thing{'' if count == 1 else 's'} to put right first:", *lines]), file=sys.stderr)
    return error.exit_code


def tell(words: str, code: int, *, as_json: bool) -> int:
    """Say a sentence where errors go, and as JSON where that was asked for; gives the exit code."""
    if as_json:
        from stillroom.pages.as_json import error_json

        print(error_json(words))
    print(words, file=sys.stderr)
    return code
