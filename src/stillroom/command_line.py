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
from stillroom.errors import CommandWrong, StillroomError, WorkbookRefused, usage_words

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

Out = Annotated[
    Path | None,
    typer.Option("--out", metavar="OUT.xlsx", help="Write a copy; FILE stays as it is.", show_default=False),
]

On = Annotated[
    str | None,
    typer.Option("--on", metavar="DATE", help="The day; left out: the workbook's first day.", show_default=False),
]


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
    gauge: Annotated[
        str | None, typer.Option(help="Gauge of the pressure canner: dial or weighted.", show_default=False)
    ] = None,
) -> None:
    """Make a starting workbook, filled with the handbook's crops and preserves."""
    from stillroom.workbook import template

    if new.suffix.lower() != ".xlsx":
        msg = f"{new.name} should end in .xlsx"
        raise CommandWrong(msg)
    template.start(new, metric=metric, people=people, altitude=altitude, gauge=gauge)
    print(f"Made {new}. Open it, read the first sheet, fill in what is red; then: stillroom plan {new}")


@app.command(epilog="Example: stillroom adopt garden.xlsx --out garden_with_tables.xlsx")
def adopt(
    file: Workbook,
    to: Out = None,
) -> None:
    """Add the tables that are missing, on new sheets, to a workbook you already have."""
    from stillroom.pages.adopt_words import adopt_page, adopt_workbook

    adopted, receipt = adopt_workbook(file, to)
    say(adopt_page(adopted, receipt, file.name))


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
    to: Out = None,
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


@app.command(epilog="Example: stillroom today kitchen.xlsx")
def today(file: Workbook) -> None:
    """Say this morning's list, ripest first: what keeps how long, the freezer, what to put away, what to eat first."""
    from stillroom.pages.week_way import today_view

    say(today_view(file, datetime.date.today()))


@app.command(epilog="Example: stillroom day kitchen.xlsx --on 2026-08-15")
def day(
    file: Workbook,
    on: On = None,
    as_json: Annotated[bool, typer.Option("--json", help="Say it as one JSON object.")] = False,
) -> None:
    """Say a day's loads on the clock, step by step, by the plan in the workbook."""
    from stillroom.pages.day_way import day_json, day_view

    if as_json:
        print(day_json(file, on, datetime.date.today()))
    else:
        say(day_view(file, on, datetime.date.today()))


@app.command(epilog="Example: stillroom pages kitchen.xlsx --out paper")
def pages(
    file: Workbook,
    to: Annotated[Path, typer.Option("--out", metavar="DIR", help="The folder to write into.", show_default=False)],
) -> None:
    """Write the week sheet for the fridge door (HTML) and the calendar (ICS) of the plan in the workbook."""
    from stillroom.pages.week_sheet_way import write_pages

    print("\n".join(write_pages(file, to, datetime.datetime.now().astimezone())))


@app.command(epilog="Example: stillroom weigh kitchen.xlsx 'plum tomato' 53lb")
def weigh(
    file: Workbook,
    crop: Annotated[str, typer.Argument(help="A crop of the table Crops.", show_default=False)],
    amount: Annotated[str, typer.Argument(help="How much, as 53lb or '2 bu'.", show_default=False)],
    on: On = None,
) -> None:
    """Add a lot to Harvest; a lot that was expected that day is marked as arrived."""
    from stillroom.pages import log_way

    print("\n".join(log_way.weigh(file, crop, amount, on, datetime.date.today())))


@app.command(epilog="Example: stillroom made kitchen.xlsx 'tomato juice, quart' 13 --used 46lb --failed 1 --hands 2.5h")
def made(
    file: Workbook,
    preserve: Annotated[str, typer.Argument(help="A preserve, or 'freeze whole: CROP'.", show_default=False)],
    count: Annotated[str, typer.Argument(help="How many sealed; a weight for a crop.", show_default=False)],
    used: Annotated[
        list[str] | None, typer.Option(metavar="AMOUNT", help="Crop it took, as 24lb.", show_default=False)
    ] = None,
    failed: Annotated[str | None, typer.Option(metavar="N", help="Jars not sealed.", show_default=False)] = None,
    hands: Annotated[str | None, typer.Option(metavar="TIME", help="Hours, as 2.5h.", show_default=False)] = None,
    on: On = None,
) -> None:
    """Add to Record what was really made; a jar filled in part goes into the refrigerator and is not counted."""
    from stillroom.pages import log_way

    said = log_way.made(file, preserve, count, used or (), failed, hands, on, datetime.date.today())
    print("\n".join(said))


@app.command(epilog="Example: stillroom ate kitchen.xlsx 'tomato juice, quart' 2")
def ate(
    file: Workbook,
    preserve: Annotated[str, typer.Argument(help="A preserve of the table Preserves.", show_default=False)],
    count: Annotated[str, typer.Argument(help="How many.", show_default=False)],
    on: On = None,
) -> None:
    """Take so many of a preserve off the shelf; their containers come back."""
    from stillroom.pages import log_way

    print("\n".join(log_way.ate(file, preserve, count, on, datetime.date.today())))


@app.command(epilog="Example: stillroom count kitchen.xlsx")
def count(
    file: Workbook,
    as_json: Annotated[bool, typer.Option("--json", help="Say it as one JSON object.")] = False,
) -> None:
    """Say for every stock what was counted, came, was used and should be there now; then the season so far."""
    from stillroom.pages.week_way import count_json, count_view

    today = datetime.date.today()
    print(count_json(file, today)) if as_json else say(count_view(file, today))


@app.command(epilog="Example: stillroom learned kitchen.xlsx")
def learned(file: Workbook) -> None:
    """Say what the record teaches: crop a jar and hours, handbook, own records and used."""
    from stillroom.pages.week_way import learned_view

    say(learned_view(file, datetime.date.today()))


@app.command(epilog="Example: stillroom limits kitchen.xlsx")
def limits(
    file: Workbook,
    as_json: Annotated[bool, typer.Option("--json", help="Say it as one JSON object.")] = False,
    to_write: Annotated[bool, typer.Option("--write", help="Fill the table Limits of FILE; else nothing.")] = False,
) -> None:
    """Say what holds the plan back, and what a little more of it would give."""
    from stillroom.pages import limits_way, waiting

    with waiting.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        limited = limits_way.limits_of(file, datetime.date.today(), busy.say)
    end = limits_way.write_limits(limited) if to_write else ()
    print(limits_way.limits_json(limited)) if as_json else say(limits_way.limits_view(limited, end))


@app.command(epilog="Example: stillroom why kitchen.xlsx 'salsa, pint'")
def why(file: Workbook, name: Annotated[str, typer.Argument(help="A preserve or a need.", show_default=False)]) -> None:
    """Say why a preserve is not in the plan, or not more of it, or why a need falls short."""
    from stillroom.pages import waiting, why_way

    with waiting.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        lines = why_way.why(file, name, datetime.date.today(), busy.say)
    print("\n".join(lines))


@app.command(epilog="Example: stillroom suppose kitchen.xlsx 'quart jars +24' vs 'hands Sat 0'")
def suppose(
    file: Workbook,
    changes: Annotated[
        list[str] | None, typer.Argument(metavar="CHANGE ...", help="Left out: the table Suppose.", show_default=False)
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Say it as one JSON object.")] = False,
    to: Out = None,
    how: Annotated[bool, typer.Option("--changes", help="Say how changes are written.")] = False,
) -> None:
    """Plan with changes, beside the plan as it is; FILE is never written. How they are written: --changes."""
    from stillroom.pages import suppose_way, waiting

    if how:
        print(suppose_way.help_page())
        return
    with waiting.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        found = suppose_way.suppose(file, changes or (), datetime.date.today(), busy.say)
    end = () if to is None else suppose_way.write_copy(found, to)
    print(suppose_way.suppose_json(found)) if as_json else say(suppose_way.suppose_view(found, end))


@app.command(epilog="Example: stillroom handbook tomato --altitude 2300ft --gauge dial --jar quart")
def handbook(
    food: Annotated[str | None, typer.Argument(help="A food; all of them when left out.", show_default=False)] = None,
    altitude: Annotated[
        str | None, typer.Option(help="Height above sea level, as 2300ft or 700m.", show_default=False)
    ] = None,
    gauge: Annotated[str | None, typer.Option(help="dial or weighted.", show_default=False)] = None,
    jar: Annotated[str | None, typer.Option(help="A size of jar: pint, quart.", show_default=False)] = None,
    status: Annotated[
        str | None, typer.Option(help="verified, derived, memory or practice: how sure a row is.", show_default=False)
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Say it as one JSON object.")] = False,
) -> None:
    """Say what the published tables say, each figure with its source."""
    from stillroom.pages.handbook_words import ask, handbook_json, handbook_page

    asked = ask(food, altitude, gauge, jar, status)
    print(handbook_json(asked)) if as_json else say(handbook_page(asked))


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


if __name__ == "__main__":
    main()
