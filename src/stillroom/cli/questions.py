"""The commands that answer questions: bottlenecks, why, suppose, hedge, season, handbook, next-year; whole folders."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from stillroom import app as use_cases
from stillroom import reports
from stillroom.cli.output import as_csv, show, show_lines, waiting
from stillroom.cli.program import Csv, Json, Out, Replace, Workbook, command, number, whole_number
from stillroom.errors import CouldNotWrite


@command("bottlenecks kitchen.xlsx")
def bottlenecks(
    file: Workbook,
    as_json: Json = False,
    csv: Csv = None,
    to_write: Annotated[bool, typer.Option("--write", help="Also write the Bottlenecks sheet in FILE.")] = False,
    replace: Replace = False,
) -> None:
    """Show what limits the plan and what more of it would add."""
    pages = use_cases.bottlenecks
    with use_cases.files.alone(file, wanted=to_write):
        with waiting(file) as spinner:
            limited = pages.bottlenecks_of(file, datetime.date.today(), spinner.update)
        with as_csv(csv, lambda: pages.bottlenecks_tables(limited), as_json=as_json, replace=replace):
            receipt = pages.write_bottlenecks(limited) if to_write else None
            show(pages.bottlenecks_json(limited, receipt) if as_json else pages.bottlenecks_view(limited, receipt))


@command("tonight kitchen.xlsx")
def tonight(
    file: Workbook,
    days: Annotated[
        int,
        typer.Option(metavar="N", help="Days to look at.", parser=whole_number("--days", 2, 1, 21), show_default=True),
    ] = 2,
    disruptions: Annotated[
        bool, typer.Option("--if", help="Show what changes if things go wrong: the ten likeliest, or your Disruptions.")
    ] = False,
    as_json: Json = False,
    csv: Csv = None,
    to_write: Annotated[bool, typer.Option("--write", help="Also write it on a sheet in FILE.")] = False,
    replace: Replace = False,
) -> None:
    """Show what can wait, until when, and where you may stop."""
    pages = use_cases.tonight
    with use_cases.files.alone(file, wanted=to_write):
        with waiting(file) as spinner:
            asked = (file, datetime.date.today(), days, spinner.update)
            found = pages.tonight_of(*asked, disruptions=disruptions)
        with as_csv(csv, lambda: pages.tonight_tables(found), as_json=as_json, replace=replace):
            receipt = pages.write_tonight(found) if to_write else None
            show(pages.tonight_json(found, receipt) if as_json else pages.tonight_view(found, receipt))


@command("winter kitchen.xlsx --months 4")
def winter(
    file: Workbook,
    months: Annotated[
        float, typer.Option(metavar="N", help="How long it must last.", parser=number("--months", 4), show_default=True)
    ] = 4.0,
    first: Annotated[
        str | None,
        typer.Option(
            "--from", metavar="DATE", help="First day of eating (default: as in Kitchen).", show_default=False
        ),
    ] = None,
    as_json: Json = False,
    csv: Csv = None,
    to_write: Annotated[bool, typer.Option("--write", help="Also write the Winter sheet in FILE.")] = False,
    replace: Replace = False,
) -> None:
    """Show how long the shelf lasts, and a fair share a week."""
    pages = use_cases.year
    with use_cases.files.alone(file, wanted=to_write):
        with waiting(file):
            reading = use_cases.plan.read_workbook(file, datetime.date.today())
        found = pages.winter_of(reading, months, first)
        with as_csv(csv, lambda: pages.winter_tables(found), as_json=as_json, replace=replace):
            receipt = pages.write_winter(reading, found) if to_write else None
            show(pages.winter_json(reading, found, receipt) if as_json else pages.winter_view(reading, found, receipt))


@command("review kitchen.xlsx")
def review(
    file: Workbook,
    as_json: Json = False,
    csv: Csv = None,
    to_write: Annotated[bool, typer.Option("--write", help="Also write the Review sheet in FILE.")] = False,
    to: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Write a page and pictures there.", show_default=False)
    ] = None,
    replace: Replace = False,
) -> None:
    """Show what was eaten, which crops and jars did well, and what to want next year."""
    pages = use_cases.year
    with use_cases.files.alone(file, wanted=to_write):
        with waiting(file):
            reading = use_cases.plan.read_workbook(file, datetime.date.today())
            found = pages.review_of(reading)
        with as_csv(csv, lambda: pages.review_rows(reading, found), as_json=as_json, replace=replace):
            lines = [] if to is None else use_cases.print.write_review(reading, found, to, replace=replace)
            receipt = pages.write_review(reading, found) if to_write else None
            view = pages.review_json if as_json else pages.review_view
            show(view(reading, found, receipt, lines))


@command("garden kitchen.xlsx")
def garden(file: Workbook, as_json: Json = False) -> None:
    """Show how much of each crop next year's winter list needs, and how much row."""
    with waiting(file):
        reading = use_cases.plan.read_workbook(file, datetime.date.today())
    show(use_cases.year.garden_json(reading) if as_json else use_cases.year.garden_view(reading))


@command("next-year kitchen.xlsx --out next.xlsx", name="next-year")
def next_year(
    file: Workbook,
    to: Annotated[
        Path, typer.Option("--out", metavar="OUT.xlsx", help="The new workbook.", show_default=False, readable=False)
    ],
    first_day: Annotated[
        str | None,
        typer.Option(
            "--first-day",
            metavar="DATE",
            help="Its first day (default: 52 weeks after this season began).",
            show_default=False,
        ),
    ] = None,
    replace: Replace = False,
    as_json: Json = False,
) -> None:
    """Make the workbook for the next year. FILE is not changed."""
    pages = use_cases.year
    with waiting(file):
        turned = pages.next_year_of(file, to, first_day, datetime.date.today(), replace=replace)
        receipt = pages.write_next_year_to(turned, to, replace=replace)
    show(pages.next_year_json(turned, receipt) if as_json else pages.next_year_view(turned, receipt))


@command("why kitchen.xlsx 'chile salsa, pint'")
def why(
    file: Workbook,
    name: Annotated[str, typer.Argument(metavar="NAME", help="A preserve or a target.")],
    as_json: Json = False,
) -> None:
    """Explain why something is short or left out."""
    with waiting(file) as spinner:
        asked = (file, name, datetime.date.today(), spinner.update)
        answer = [use_cases.bottlenecks.why_json(*asked)] if as_json else use_cases.bottlenecks.why(*asked)
    print(answer[0]) if as_json else show_lines(answer)


@command("suppose kitchen.xlsx 'quart jars +24' vs 'hands Sat 0'")
def suppose(
    file: Workbook,
    changes: Annotated[
        list[str] | None,
        typer.Argument(metavar="CHANGE", help="See --changes (default: the table Suppose).", show_default=False),
    ] = None,
    as_json: Json = False,
    to: Out = None,
    replace: Replace = False,
    show_forms: Annotated[bool, typer.Option("--changes", help="Show how to write changes.")] = False,
) -> None:
    """Compare the plan with changes. FILE is not changed."""
    if show_forms:
        print(use_cases.suppose.forms_json() if as_json else use_cases.suppose.help_page())
        return
    use_cases.files.refuse_copy(file, to, replace=replace)
    with waiting(file) as spinner:
        found = use_cases.suppose.suppose(file, changes or (), datetime.date.today(), spinner.update)
    copied = None if to is None else use_cases.suppose.write_copy(found, to, replace=replace)
    show(use_cases.suppose.suppose_json(found, copied) if as_json else use_cases.suppose.suppose_view(found, copied))


@command("handbook tomato --altitude 2300ft --gauge dial --jar quart")
def handbook(
    food: Annotated[
        str | None, typer.Argument(metavar="FOOD", help="A food (default: all).", show_default=False)
    ] = None,
    altitude: Annotated[
        str | None, typer.Option(metavar="HEIGHT", help="Such as 2300ft or 700m.", show_default=False)
    ] = None,
    gauge: Annotated[str | None, typer.Option(metavar="GAUGE", help="dial or weighted.", show_default=False)] = None,
    jar: Annotated[
        str | None, typer.Option(metavar="JAR", help="Jar size, such as pint or quart.", show_default=False)
    ] = None,
    status: Annotated[
        str | None,
        typer.Option(
            metavar="WORD",
            help="How sure a row is: verified, derived, memory or practice.",
            show_default=False,
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Look up published times and yields."""
    pages = reports.terminal.handbook
    asked = pages.ask(food, altitude, gauge, jar, status)
    show(pages.handbook_json(asked) if as_json else pages.handbook_page(asked))


@command("hedge kitchen.xlsx")
def hedge(file: Workbook, as_json: Json = False) -> None:
    """Compare planning for the likely and for all harvests."""
    with waiting(file) as spinner:
        found = use_cases.hedge.hedging_of(file, datetime.date.today(), spinner.update)
    print(use_cases.hedge.hedging_json(found)) if as_json else show_lines(use_cases.hedge.words_of(found))


Workers = Annotated[
    int | None,
    typer.Option(
        "--workers",
        parser=whole_number("--workers", 2, 1, 256),
        metavar="N",
        help="Processes to use (default: one a core).",
        show_default=False,
    ),
]
Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster", metavar="ADDRESS", help="Use a Dask cluster, such as tcp://10.0.0.5:8786.", show_default=False
    ),
]


@command("season kitchen.xlsx --draws 200 --out pictures")
def season(
    file: Workbook,
    draws: Annotated[
        int, typer.Option(parser=whole_number("--draws", 200, 1, 100_000), metavar="N", help="Seasons to simulate.")
    ] = 200,
    seed: Annotated[
        int, typer.Option(parser=whole_number("--seed", 1, 0, 2**63), metavar="N", help="Random seed.")
    ] = 1,
    workers: Workers = None,
    cluster: Cluster = None,
    as_json: Json = False,
    csv: Csv = None,
    to: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Write the picture there.", show_default=False)
    ] = None,
    replace: Replace = False,
    spread: Annotated[
        float,
        typer.Option(
            parser=number("--spread", 0.3), metavar="SHARE", help="Spread of a lot that has no Least and Most."
        ),
    ] = 0.3,
    together: Annotated[
        float,
        typer.Option(
            parser=number("--together", 0.5), metavar="SHARE", help="Correlation between lots of a crop, 0 to 1."
        ),
    ] = 0.5,
    yield_spread: Annotated[
        float,
        typer.Option(parser=number("--yield-spread", 0.08), metavar="SHARE", help="Spread of the crop a jar takes."),
    ] = 0.08,
    lost: Annotated[
        float, typer.Option(parser=number("--lost", 0.1), metavar="SHARE", help="Share of evenings lost.")
    ] = 0.1,
    every: Annotated[
        int, typer.Option(parser=whole_number("--every", 3, 1, 366), metavar="DAYS", help="Days between plans.")
    ] = 3,
) -> None:
    """Simulate the rest of the season. FILE is not changed."""
    pages = use_cases.season
    asked = pages.SeasonAsked(draws, seed, spread, together, yield_spread, lost, every, workers, cluster)
    with waiting(file) as spinner:
        found = pages.season_of(file, datetime.date.today(), asked, spinner.update)
    with as_csv(csv, lambda: pages.season_frames(found), as_json=as_json, replace=replace):
        pictures = () if to is None else pages.write_picture(found, to, file.stem, replace=replace)
        show(pages.season_json(found, pictures) if as_json else pages.season_view(found, pictures))


@command("plan-all kitchens --out planned", name="plan-all")
def plan_all(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of workbooks.")],
    to: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Folder for the planned copies.", show_default=False)
    ],
    replace: Replace = False,
    workers: Workers = None,
    cluster: Cluster = None,
    as_json: Json = False,
) -> None:
    """Plan every workbook in a folder."""
    with waiting(folder) as spinner:
        asked = (folder, to, datetime.date.today(), workers, cluster, spinner.update)
        found = use_cases.batch.plan_folder(*asked, replace=replace)
    show(use_cases.batch.plan_all_json(found) if as_json else use_cases.batch.plan_all_view(found))
    if found.failed:
        raise typer.Exit(CouldNotWrite.exit_code if any(one.refused for one in found.done) else 1)
