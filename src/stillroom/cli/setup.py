"""The commands that make a workbook, check it and plan it."""

from __future__ import annotations

import datetime
import sys
from pathlib import Path
from typing import Annotated

import typer

from stillroom.cli.output import out, say, say_lines
from stillroom.cli.program import Out, Workbook, app
from stillroom.errors import CommandWrong


@app.command(epilog="Example: stillroom start kitchen.xlsx --people 4 --altitude 1450ft")
def start(
    new: Annotated[Path, typer.Argument(metavar="NEW.xlsx", help="The workbook to make.", show_default=False)],
    metric: Annotated[bool, typer.Option("--metric", help="Weigh in kg and fill litre jars.")] = False,
    people: Annotated[
        float | None,
        typer.Option(metavar="N", min=0, max=1000, help="People who eat from the shelf.", show_default=False),
    ] = None,
    altitude: Annotated[
        str | None,
        typer.Option(metavar="HEIGHT", help="Height above sea level, as 1450ft or 440m.", show_default=False),
    ] = None,
    gauge: Annotated[
        str | None,
        typer.Option(metavar="GAUGE", help="Gauge of the pressure canner: dial or weighted.", show_default=False),
    ] = None,
) -> None:
    """Make a starting workbook, filled with the handbook's crops and preserves."""
    from stillroom.workbook.starter.start import start as start_workbook

    if new.suffix.lower() != ".xlsx":
        msg = f"{new.name} should end in .xlsx"
        raise CommandWrong(msg)
    start_workbook(new, metric=metric, people=people, altitude=altitude, gauge=gauge)
    examples = (
        "The numbers in it are examples: type your own, and write yes under Can buy where more jars, lids or vinegar "
        "can be had."
    )
    made = f"Made {new}. Its first sheet says in ten lines what to fill in."
    say_lines([made, examples, f"Save and close it; then: stillroom check {new}, and stillroom plan {new}"])


@app.command(epilog="Example: stillroom adopt garden.xlsx --filled --people 4 --altitude 1450ft")
def adopt(
    file: Workbook,
    to: Out = None,
    filled: Annotated[
        bool, typer.Option("--filled", help="Fill the new tables with the examples of a starting workbook.")
    ] = False,
    metric: Annotated[bool, typer.Option("--metric", help="With --filled: weigh in kg and fill litre jars.")] = False,
    people: Annotated[
        float | None,
        typer.Option(metavar="N", min=0, max=1000, help="With --filled: people who eat.", show_default=False),
    ] = None,
    altitude: Annotated[
        str | None,
        typer.Option(metavar="HEIGHT", help="With --filled: height above sea level.", show_default=False),
    ] = None,
) -> None:
    """Add the tables that are missing, on new sheets, to a workbook you already have."""
    from stillroom.app.adopt import Filling, adopt_workbook, adoption_of
    from stillroom.app.files import refuse_copy
    from stillroom.reports.terminal.adopt import adopt_page

    given = [("--metric", metric), ("--people", people is not None), ("--altitude", altitude is not None)]
    alone = [word for word, is_given in given if is_given and not filled]
    if alone:
        msg = f"{' and '.join(alone)} only fills new tables: add --filled, or leave it out"
        raise CommandWrong(msg)
    refuse_copy(file, to)
    filling = Filling(metric=metric, people=people, altitude=altitude) if filled else None
    adopted, receipt = adopt_workbook(file, to, filling)
    say(adopt_page(adoption_of(adopted), receipt, file.name))


@app.command(epilog="Example: stillroom check kitchen.xlsx")
def check(file: Workbook) -> None:
    """Say every problem in a workbook, with its cell and what to do."""
    from stillroom.app.plan import read_workbook
    from stillroom.reports.terminal.plan import check_page, check_text

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
    bottlenecks: Annotated[
        bool, typer.Option("--limits", help="Fill the table Limits too; takes some seconds more.")
    ] = False,
    model: Annotated[
        Path | None,
        typer.Option(
            "--model",
            metavar="FILE.mps",
            help="Write the model that is solved first too, for other solvers: .mps or .lp.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Plan a workbook, write the plan into it, and say it."""
    from stillroom.app.files import refuse_copy
    from stillroom.app.model_file import refuse_model_name
    from stillroom.app.plan import read_workbook
    from stillroom.app.write_plan import plan_workbook
    from stillroom.reports.terminal.layout import Waiting

    refuse_copy(file, to)
    if model is not None:
        refuse_model_name(model)
    today = datetime.date.today()
    with Waiting(out(stderr=True), f"reading {file.name}") as waiting:
        reading = read_workbook(file, today)
        planned = plan_workbook(reading, to, time_limit, waiting.say, with_bottlenecks=bottlenecks, model=model)
    if as_json:
        from stillroom.reports.json import plan_json

        print(plan_json(planned.tables, planned.objectives, planned.receipt, planned.hedge, planned.why))
        return
    from stillroom.app.write_plan import end_words
    from stillroom.reports.terminal.plan import plan_page

    say(plan_page(planned.tables, today, planned.objectives, end_words(planned, file.name)))
