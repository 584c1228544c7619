"""The commands that make a workbook, check it and plan it."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path
from typing import Annotated

import typer

from stillroom import app as use_cases
from stillroom import reports
from stillroom.cli.output import out, show, show_files, show_lines, waiting
from stillroom.cli.program import Csv, Json, Out, Replace, Workbook, command, number
from stillroom.errors import CommandWrong
from stillroom.workbook import starter

Metric = Annotated[bool, typer.Option("--metric", help="Use kilograms and liter jars.")]
People = Annotated[
    float | None,
    typer.Option(
        parser=number("--people", 4, 0, 1000), metavar="N", help="People who eat from the shelf.", show_default=False
    ),
]
Altitude = Annotated[
    str | None, typer.Option(metavar="HEIGHT", help="Altitude, such as 1450ft or 440m.", show_default=False)
]


@command("start kitchen.xlsx --people 4 --altitude 1450ft", daily=True)
def start(
    new: Annotated[Path, typer.Argument(metavar="NEW.xlsx", help="The workbook to make.")],
    metric: Metric = False,
    people: People = None,
    altitude: Altitude = None,
    gauge: Annotated[
        str | None,
        typer.Option(metavar="GAUGE", help="Pressure canner gauge: dial or weighted.", show_default=False),
    ] = None,
    as_json: Json = False,
) -> None:
    """Make a new workbook with crops, preserves and a winter list."""
    if new.suffix.lower() != ".xlsx":
        raise CommandWrong(f"{new.name} must end in .xlsx, such as kitchen.xlsx.")
    starter.start.start(new, metric=metric, people=people, altitude=altitude, gauge=gauge)
    lines = [f"Made {new}. The Start sheet lists what to fill in."]
    if altitude is None:
        lines.append("No altitude yet, so nothing will be canned: type it in Kitchen.")
    lines += [
        "The numbers are examples. Type your own, and put yes under Can buy for what you can get more of.",
        f"Save and close it, then run: stillroom plan {new}",
    ]
    show_lines(lines, as_json=as_json)


@command("adopt garden.xlsx --filled --people 4 --altitude 1450ft")
def adopt(
    file: Workbook,
    to: Out = None,
    replace: Replace = False,
    filled: Annotated[bool, typer.Option("--filled", help="Fill the new tables with example rows.")] = False,
    metric: Metric = False,
    people: People = None,
    altitude: Altitude = None,
    log: Annotated[
        str | None,
        typer.Option(
            "--log", metavar="SHEET", help="Read your own log on that sheet into Harvest.", show_default=False
        ),
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="With --log: write without asking.")] = False,
    as_json: Json = False,
) -> None:
    """Add missing tables to your own workbook, or read your own log."""
    if log is not None:
        if to is not None or filled or metric or people is not None or altitude is not None:
            raise CommandWrong("--log goes with --yes and --json only. Run adopt for the tables first.")
        adopt_log(file, log, yes=yes, as_json=as_json)
        return
    if yes:
        raise CommandWrong("--yes only works with --log. Add --log SHEET, or leave it out.")
    given = [("--metric", metric), ("--people", people is not None), ("--altitude", altitude is not None)]
    alone = [word for word, is_given in given if is_given and not filled]
    if alone:
        raise CommandWrong(f"{' and '.join(alone)} only works with --filled. Add --filled, or leave it out.")
    use_cases.files.refuse_copy(file, to, replace=replace)
    filling = use_cases.adopt.Filling(metric=metric, people=people, altitude=altitude) if filled else None
    with use_cases.files.alone(file, wanted=to is None):
        found, receipt = use_cases.adopt.adopt_workbook(file, to, filling, replace=replace)
    asked = (use_cases.adopt.adoption_of(found), receipt, file.name)
    pages = reports.terminal.setup
    show(reports.json.text(pages.adopt_object(*asked)) if as_json else pages.adopt_page(*asked))


def agrees(question: str) -> bool:
    """Ask a question on a terminal; without one the answer is no."""
    return sys.stdin.isatty() and sys.stdout.isatty() and typer.confirm(question)


def adopt_log(file: Path, sheet: str, *, yes: bool, as_json: bool) -> None:
    """Show what is understood of a log, and write it when that is agreed to: by --yes, or on a terminal when asked."""
    pages, logs = reports.terminal.setup, use_cases.own_log
    with use_cases.files.alone(file):
        log, found = logs.read_log(file, sheet, datetime.date.today())
        if not as_json:
            show(pages.log_page(found))
        agreed = bool(found.new) and (yes or (not as_json and agrees("Add these to Harvest?")))
        entry = logs.write_log(log, found) if agreed else None
    if as_json:
        print(reports.json.text(pages.log_object(found, entry)))
    elif entry is not None:
        show_lines(entry.messages)
    elif found.new:
        show_lines([f"Nothing was written. To add them, run: stillroom adopt {file.name} --log '{found.sheet}' --yes"])


@command("check kitchen.xlsx")
def check(
    file: Workbook,
    every: Annotated[bool, typer.Option("--all", help="List every problem, not only a dozen.")] = False,
    as_json: Json = False,
) -> None:
    """List everything that must be fixed, with its cell."""
    problems = use_cases.plan.read_workbook(file, datetime.date.today()).problems
    pages = reports.terminal.plan
    if as_json:
        print(reports.json.text(pages.check_object(problems, file.name)))
    elif sys.stdout.isatty():
        out().print(pages.check_page(problems, file.name, every=every))
    else:
        print(pages.check_text(problems, file.name, every=every))
    if any(problem.is_error for problem in problems):
        raise typer.Exit(1)


@command("plan kitchen.xlsx --out planned.xlsx", daily=True)
def plan(
    file: Workbook,
    to: Out = None,
    replace: Replace = False,
    as_json: Json = False,
    csv: Csv = None,
    details: Annotated[
        bool, typer.Option("--details", help="Also show each objective, its bound and the time taken.")
    ] = False,
    time_limit: Annotated[
        float | None,
        typer.Option(
            "--time-limit",
            parser=number("--time-limit", 60, 0.1),
            metavar="SECONDS",
            help="Stop with the best plan found by then.",
            show_default=False,
        ),
    ] = None,
    with_bottlenecks: Annotated[
        bool, typer.Option("--bottlenecks", help="Also write the Bottlenecks sheet (some seconds more).")
    ] = False,
    model: Annotated[
        Path | None,
        typer.Option(
            "--model",
            metavar="FILE.mps",
            help="Also write the model for other solvers, as .mps or .lp.",
            show_default=False,
        ),
    ] = None,
    strict: Annotated[
        bool, typer.Option("--strict", help="Write nothing if a preserve is refused (default: plan the rest).")
    ] = False,
) -> None:
    """Plan the season and write it into the workbook."""
    use_cases.files.refuse_copy(file, to, replace=replace)
    if model is not None:
        use_cases.write_plan.refuse_model_name(model)
    today = datetime.date.today()
    with waiting(file) as spinner, use_cases.files.alone(file, wanted=to is None):
        reading = use_cases.plan.read_workbook(file, today)
        planned = use_cases.write_plan.plan_workbook(
            reading,
            to,
            time_limit,
            spinner.update,
            with_bottlenecks=with_bottlenecks,
            model=model,
            csv=csv,
            strict=strict,
            replace=replace,
        )
    receipt, why = planned.receipt, planned.why
    if as_json:
        print(reports.json.plan_json(planned.tables, planned.objectives, receipt, planned.hedge, why, reading.errors))
        return
    pages = reports.terminal.plan
    end = pages.saved_lines(receipt, why, file.name, unchanged=planned.unchanged)
    how = pages.detail_lines(receipt, planned.seconds) if details else None
    page = pages.plan_page(planned.tables, today, planned.objectives, end, how, reading.household.kitchen)
    show(reports.terminal.refused.with_errors(reading.household, page))
    show_files(planned.csv_files)
