"""The commands: the only file that prints or exits, and the last to hear of anything that goes wrong."""

# ruff: noqa: T201 - this is the one file that prints

from __future__ import annotations

import datetime
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, cast

import typer

from stillroom import __version__
from stillroom.errors import CommandWrong, StillroomError, WorkbookRefused

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

STOPPED = 130
"""Exit code when the household stops a command itself."""

WRONG = cast("type[Exception]", typer.BadParameter.__mro__[2])
"""Any mistake in a command line. Typer may carry its own click, so the class is found by way of one it shows."""

app = typer.Typer(
    name="stillroom",
    help="Plans how a harvest is put up for winter, in the household's own workbook.",
    epilog="Begin with: stillroom start kitchen.xlsx --altitude 1450ft",
    invoke_without_command=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["--help", "-h"], "max_content_width": 80},
)

Workbook = Annotated[Path, typer.Argument(metavar="FILE.xlsx", help="The household's workbook.", show_default=False)]


def show_version(wanted: bool) -> None:
    """Say the version and stop."""
    if wanted:
        print(f"stillroom {__version__}")
        raise typer.Exit


@app.callback()
def stillroom(
    context: typer.Context,
    _version: Annotated[
        bool, typer.Option("--version", help="Say the version.", callback=show_version, is_eager=True)
    ] = False,
) -> None:
    """Plans how a harvest is put up for winter, in the household's own workbook."""
    if context.invoked_subcommand is None:
        print(context.get_help())


@app.command(epilog="Example: stillroom start kitchen.xlsx --people 4 --altitude 1450ft")
def start(
    new: Annotated[Path, typer.Argument(metavar="NEW.xlsx", help="The workbook to make.", show_default=False)],
    metric: Annotated[bool, typer.Option("--metric", help="Weigh in kg and fill litre jars.")] = False,
    people: Annotated[
        float | None, typer.Option(min=0, max=1000, help="People who eat from the shelf.", show_default=False)
    ] = None,
    altitude: Annotated[
        str | None, typer.Option(help="Height above sea level, as 1450ft or 440m.", show_default=False)
    ] = None,
) -> None:
    """Make a starting workbook, filled with the handbook's crops and preserves."""
    from stillroom.workbook import template

    if new.suffix.lower() != ".xlsx":
        msg = f"{new.name} should end in .xlsx"
        raise CommandWrong(msg)
    template.start(new, metric=metric, people=people, altitude=altitude)
    print(f"Made {new}. Open it, read the first sheet, fill in what is red; then: stillroom plan {new}")


@app.command(epilog="Example: stillroom check kitchen.xlsx")
def check(file: Workbook) -> None:
    """Say every problem in a workbook, with its cell and what to do."""
    from stillroom.pages.terminal import check_page, check_text
    from stillroom.pages.way import read_workbook

    problems = read_workbook(file, datetime.date.today()).problems
    if sys.stdout.isatty():
        out().print(check_page(problems, file.name))
    else:
        print(check_text(problems, file.name))
    if any(problem.stops for problem in problems):
        raise typer.Exit(1)


@app.command(epilog="Example: stillroom plan kitchen.xlsx --out planned.xlsx")
def plan(
    file: Workbook,
    to: Annotated[
        Path | None,
        typer.Option("--out", metavar="OUT.xlsx", help="Write a copy; FILE stays as it is.", show_default=False),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Say the plan as one JSON object.")] = False,
    time_limit: Annotated[
        float | None,
        typer.Option(min=0.1, metavar="SECONDS", help="Stop with the best plan found by then.", show_default=False),
    ] = None,
) -> None:
    """Plan a workbook, write the plan into it, and say it."""
    from stillroom.pages.waiting import Waiting
    from stillroom.pages.way import plan_workbook, read_workbook

    today = datetime.date.today()
    with Waiting(out(stderr=True), f"reading {file.name}") as waiting:
        reading = read_workbook(file, today)
        planned = plan_workbook(reading, to, time_limit, waiting.say)
    if as_json:
        from stillroom.pages.as_json import plan_json

        print(plan_json(planned.tables, planned.aims, planned.receipt))
        return
    from stillroom.pages.terminal import plan_page
    from stillroom.pages.way import end_words

    say(plan_page(planned.tables, today, planned.aims, end_words(planned, file.name)))


@app.command(epilog="Example: stillroom handbook tomato --altitude 2300ft --jar quart")
def handbook(
    food: Annotated[str | None, typer.Argument(help="A food; all of them when left out.", show_default=False)] = None,
    altitude: Annotated[
        str | None, typer.Option(help="Height above sea level, as 2300ft or 700m.", show_default=False)
    ] = None,
    jar: Annotated[str | None, typer.Option(help="A size of jar: pint, quart.", show_default=False)] = None,
) -> None:
    """Say what the published tables say, each figure with its source."""
    from stillroom.handbook.lookup import rows
    from stillroom.pages.handbook_words import handbook_page, height_ft

    say(handbook_page(rows(food, None if altitude is None else height_ft(altitude), jar=jar)))


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


def main() -> None:
    """Run the command that was typed, and exit with its code."""
    sys.exit(run(sys.argv[1:]))


def run(words: Sequence[str]) -> int:
    """
    Run one command; gives the exit code and never a traceback for anything a household does.

    0 done, 1 problems in the workbook, 2 a wrong command line, 3 could not write, 4 no plan in time, 130 stopped.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    as_json = "--json" in words
    try:
        code = typer.main.get_command(app).main(args=list(words), prog_name="stillroom", standalone_mode=False)
        sys.stdout.flush()
    except WRONG as error:
        return tell(usage_words(error), CommandWrong.exit_code, as_json=as_json)
    except StillroomError as error:
        return tell_error(error, as_json=as_json)
    except (KeyboardInterrupt, typer.Abort):
        code = STOPPED
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    if code == STOPPED:
        return tell("Stopped; nothing is half written.", STOPPED, as_json=as_json)
    return code if isinstance(code, int) else 0


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


def usage_words(error: Exception) -> str:
    """What is wrong with a command line, and where to read how it goes."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context is not None else "stillroom"
    message = error.format_message() if hasattr(error, "format_message") else str(error)
    return f"{message}\nSee: {path} --help"


if __name__ == "__main__":
    main()
