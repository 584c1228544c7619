"""The commands that make a workbook, check it and plan it."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path
from typing import Annotated

import typer

from stillroom.cli.output import out, show, show_lines
from stillroom.cli.program import Json, Out, Workbook, command, number
from stillroom.errors import CommandWrong

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
    from stillroom.workbook.starter.start import start as start_workbook

    if new.suffix.lower() != ".xlsx":
        raise CommandWrong(f"{new.name} must end in .xlsx, such as kitchen.xlsx.")
    start_workbook(new, metric=metric, people=people, altitude=altitude, gauge=gauge)
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
    filled: Annotated[bool, typer.Option("--filled", help="Fill the new tables with example rows.")] = False,
    metric: Metric = False,
    people: People = None,
    altitude: Altitude = None,
    as_json: Json = False,
) -> None:
    """Add missing tables to your own workbook."""
    from stillroom.app.adopt import Filling, adopt_workbook, adoption_of
    from stillroom.app.files import refuse_copy
    from stillroom.reports.terminal.setup import adopt_object, adopt_page

    given = [("--metric", metric), ("--people", people is not None), ("--altitude", altitude is not None)]
    alone = [word for word, is_given in given if is_given and not filled]
    if alone:
        raise CommandWrong(f"{' and '.join(alone)} only works with --filled. Add --filled, or leave it out.")
    refuse_copy(file, to)
    filling = Filling(metric=metric, people=people, altitude=altitude) if filled else None
    found, receipt = adopt_workbook(file, to, filling)
    adopted = adoption_of(found)
    if as_json:
        from stillroom.reports.json import text

        print(text(adopt_object(adopted, receipt, file.name)))
    else:
        show(adopt_page(adopted, receipt, file.name))


@command("check kitchen.xlsx")
def check(file: Workbook, as_json: Json = False) -> None:
    """List everything that must be fixed, with its cell."""
    from stillroom.app.plan import read_workbook
    from stillroom.reports.terminal.plan import check_object, check_page, check_text

    problems = read_workbook(file, datetime.date.today()).problems
    if as_json:
        from stillroom.reports.json import text

        print(text(check_object(problems, file.name)))
    elif sys.stdout.isatty():
        out().print(check_page(problems, file.name))
    else:
        print(check_text(problems, file.name))
    if any(problem.is_error for problem in problems):
        raise typer.Exit(1)


@command("plan kitchen.xlsx --out planned.xlsx", daily=True)
def plan(
    file: Workbook,
    to: Out = None,
    as_json: Json = False,
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
    from stillroom.app.files import refuse_copy
    from stillroom.app.plan import read_workbook
    from stillroom.app.write_plan import plan_workbook, refuse_model_name
    from stillroom.reports.terminal.layout import Waiting

    refuse_copy(file, to)
    if model is not None:
        refuse_model_name(model)
    today = datetime.date.today()
    with Waiting(out(stderr=True), f"reading {file.name}") as waiting:
        reading = read_workbook(file, today)
        planned = plan_workbook(
            reading, to, time_limit, waiting.update, with_bottlenecks=with_bottlenecks, model=model, strict=strict
        )
    if as_json:
        from stillroom.reports.json import plan_json

        whole = (planned.tables, planned.objectives, planned.receipt, planned.hedge, planned.why, reading.errors)
        print(plan_json(*whole))
        return
    from stillroom.reports.terminal.plan import detail_lines, plan_page, saved_lines
    from stillroom.reports.terminal.refused import with_errors

    end = saved_lines(planned.receipt, planned.why, file.name, unchanged=planned.unchanged)
    how = detail_lines(planned.receipt, planned.seconds) if details else None
    show(with_errors(reading.household, plan_page(planned.tables, today, planned.objectives, end, how)))
