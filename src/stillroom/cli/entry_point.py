"""Run a command and return its exit code; every error ends here."""

from __future__ import annotations

import contextlib
import io
import os
import shutil
import sys
from collections.abc import Sequence
from functools import cache
from typing import cast

import typer
from typer.completion import completion_init  # type: ignore[attr-defined]
from typer.core import TyperGroup

from stillroom import app as use_cases
from stillroom.cli import daily, evening, kitchen, questions, setup
from stillroom.cli.output import show_error, show_refusal, tamed
from stillroom.cli.program import app
from stillroom.errors import CommandWrong, CouldNotWrite, StillroomError, usage_words

COMMANDS = (setup, kitchen, evening, daily, questions)
"""The modules whose commands the program has: each adds its own to `app` when imported."""

NOTHING = "Nothing was changed."
STOPPED = 130
"""Exit code when the household stops a command itself."""

COMPLETES = "_STILLROOM_COMPLETE"
"""Set by a shell that asks what may come next."""

WRONG = cast("type[Exception]", typer.BadParameter.__mro__[2])
"""Any mistake in a command line. Typer may carry its own click, so the class is found by way of one it shows."""


def main() -> None:
    """Run the command that was typed, and exit with its code; a self-contained folder opens the page without one."""
    words = sys.argv[1:]
    if getattr(sys, "frozen", False):
        from multiprocessing import freeze_support

        freeze_support()  # a process that plans beside this one begins here too, and goes no further
        use_own_libraries_alone()
        words = words or ["open"]
    sys.exit(run(words))


def use_own_libraries_alone() -> None:
    """Keep the libraries of a self-contained folder to itself: the browser that it opens has its own."""
    for name in ("LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH"):
        before = os.environ.pop(f"{name}_ORIG", "")
        os.environ.pop(name, None)
        if before:
            os.environ[name] = before


def run(words: Sequence[str]) -> int:
    """
    Run one command; gives the exit code and never a traceback for anything a household does.

    0 done, 1 problems in the workbook, 2 a wrong command line, 3 could not write, 4 no plan in time, 130 stopped.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    as_json = "--json" in words
    with tamed(as_json=as_json):
        return ended(words, as_json=as_json)


def let_output_go() -> None:
    """Let what is still to be printed go nowhere, so that it is not tried once more at the end."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def show_failed_output(error: OSError) -> int:
    """Print that the output of a command could not be written, as on a full disk; return the exit code."""
    let_output_go()
    words = f"{error.filename or 'the output of this command'} could not be written: {use_cases.files.why_not(error)}"
    return show_error(f"{words}. {use_cases.files.written_before() or NOTHING}", CouldNotWrite.exit_code, as_json=False)


@cache
def every_command() -> TyperGroup:
    """Return the commands of the program, gathered once."""
    if COMPLETES in os.environ:
        completion_init()
    return typer.main.get_group(app)


def help_width() -> int:
    """Return how wide help is: two columns less than the terminal, 78 at most."""
    return max(28, min(shutil.get_terminal_size().columns, 80) - 2)


def ended(words: Sequence[str], *, as_json: bool) -> int:
    """Run one command; gives its exit code."""
    try:
        code = every_command().main(
            args=list(words), prog_name="stillroom", standalone_mode=False, terminal_width=help_width()
        )
        sys.stdout.flush()
    except WRONG as error:
        return show_error(usage_words(error), CommandWrong.exit_code, as_json=as_json)
    except StillroomError as error:
        written = use_cases.files.written_before()
        return show_refusal(error, written or (NOTHING if isinstance(error, CouldNotWrite) else ""), as_json=as_json)
    except (KeyboardInterrupt, typer.Abort):
        code = STOPPED
    except BrokenPipeError:
        let_output_go()
        return 0
    except OSError as error:
        return show_failed_output(error)
    if code == STOPPED:
        return show_error(f"Stopped. {use_cases.files.written_before() or NOTHING}", STOPPED, as_json=as_json, label="")
    return code if isinstance(code, int) else 0
