"""The commands that make a workbook, check it and plan it."""

# ruff: noqa: T201 - this is the one room that prints

from __future__ import annotations

import datetime
import sys
from pathlib import Path
from typing import Annotated

import typer

from stillroom.command_line.app import Out, Workbook, app
from stillroom.command_line.saying import out, say
from stillroom.errors import CommandWrong


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
    limits: Annotated[
        bool, typer.Option("--limits", help="Fill the table Limits too; takes some seconds more.")
    ] = False,
) -> None:
    """Plan a workbook, write the plan into it, and say it."""
    from stillroom.pages.waiting import Waiting
    from stillroom.pages.way import plan_workbook, read_workbook

    today = datetime.date.today()
    with Waiting(out(stderr=True), f"reading {file.name}") as waiting:
        reading = read_workbook(file, today)
        planned = plan_workbook(reading, to, time_limit, waiting.say, limits=limits)
    if as_json:
        from stillroom.pages.as_json import plan_json

        print(plan_json(planned.tables, planned.aims, planned.receipt, planned.hedge))
        return
    from stillroom.pages.terminal import plan_page
    from stillroom.pages.way import end_words

    say(plan_page(planned.tables, today, planned.aims, end_words(planned, file.name)))
