"""The commands that answer: what holds the plan back, why, what if, and what the published tables say."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from stillroom.cli.output import out, say, say_lines
from stillroom.cli.program import Json, Out, Workbook, app


@app.command(epilog="Example: stillroom limits kitchen.xlsx")
def bottlenecks(
    file: Workbook,
    as_json: Json = False,
    to_write: Annotated[bool, typer.Option("--write", help="Fill the table Limits of FILE; else nothing.")] = False,
) -> None:
    """Say what holds the plan back, and what a little more of it would give."""
    from stillroom.app import bottlenecks
    from stillroom.reports.terminal import layout

    with layout.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        limited = bottlenecks.bottlenecks_of(file, datetime.date.today(), busy.say)
    receipt = bottlenecks.write_bottlenecks(limited) if to_write else None
    print(bottlenecks.bottlenecks_json(limited, receipt)) if as_json else say(
        bottlenecks.bottlenecks_view(limited, receipt)
    )


@app.command(epilog="Example: stillroom why kitchen.xlsx 'salsa, pint'")
def why(
    file: Workbook,
    name: Annotated[str, typer.Argument(help="A preserve or a need.", show_default=False)],
    as_json: Json = False,
) -> None:
    """Say why a preserve is not in the plan, or not more of it, or why a need falls short."""
    from stillroom.app import why as why_way
    from stillroom.reports.terminal import layout

    with layout.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        asked = (file, name, datetime.date.today(), busy.say)
        answer = [why_way.why_json(*asked)] if as_json else why_way.why(*asked)
    print(answer[0]) if as_json else say_lines(answer)


@app.command(epilog="Example: stillroom suppose kitchen.xlsx 'quart jars +24' vs 'hands Sat 0'")
def suppose(
    file: Workbook,
    changes: Annotated[
        list[str] | None, typer.Argument(metavar="CHANGE ...", help="Left out: the table Suppose.", show_default=False)
    ] = None,
    as_json: Json = False,
    to: Out = None,
    how: Annotated[bool, typer.Option("--changes", help="Say how changes are written.")] = False,
) -> None:
    """Plan with changes, beside the plan as it is; FILE is never written. How they are written: --changes."""
    from stillroom.app import files
    from stillroom.app import suppose as suppose_way
    from stillroom.reports.terminal import layout

    if how:
        print(suppose_way.forms_json() if as_json else suppose_way.help_page())
        return
    files.refuse_copy(file, to)
    with layout.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        found = suppose_way.suppose(file, changes or (), datetime.date.today(), busy.say)
    copied = None if to is None else suppose_way.write_copy(found, to)
    print(suppose_way.suppose_json(found, copied)) if as_json else say(suppose_way.suppose_view(found, copied))


@app.command(epilog="Example: stillroom handbook tomato --altitude 2300ft --gauge dial --jar quart")
def handbook(
    food: Annotated[str | None, typer.Argument(help="A food; all of them when left out.", show_default=False)] = None,
    altitude: Annotated[
        str | None,
        typer.Option(metavar="HEIGHT", help="Height above sea level, as 2300ft or 700m.", show_default=False),
    ] = None,
    gauge: Annotated[str | None, typer.Option(metavar="GAUGE", help="dial or weighted.", show_default=False)] = None,
    jar: Annotated[
        str | None, typer.Option(metavar="JAR", help="A size of jar: pint, quart.", show_default=False)
    ] = None,
    status: Annotated[
        str | None,
        typer.Option(
            metavar="WORD", help="verified, derived, memory or practice: how sure a row is.", show_default=False
        ),
    ] = None,
    as_json: Json = False,
) -> None:
    """Say what the published tables say, each figure with its source."""
    from stillroom.reports.terminal.handbook import ask, handbook_json, handbook_page

    asked = ask(food, altitude, gauge, jar, status)
    print(handbook_json(asked)) if as_json else say(handbook_page(asked))


# The command that says what it is worth to plan for all harvests together.


@app.command(epilog="Example: stillroom hedge kitchen.xlsx")
def hedge(file: Workbook, as_json: Json = False) -> None:
    """Say what planning for all harvests, by Least and Most, would give and cost; FILE is never written."""
    from stillroom.app import hedge as hedge_way
    from stillroom.reports.terminal import layout

    with layout.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        found = hedge_way.hedging_of(file, datetime.date.today(), busy.say)
    print(hedge_way.hedging_json(found)) if as_json else say_lines(hedge_way.words_of(found))


# The commands that plan many times over: a season drawn again and again, and a whole folder of workbooks.

Workers = Annotated[
    int | None,
    typer.Option("--workers", metavar="W", help="Processes at work; left out: one a core.", show_default=False),
]
Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        metavar="ADDRESS",
        help="Work on a Dask cluster, as tcp://10.0.0.5:8786.",
        show_default=False,
    ),
]


@app.command(epilog="Example: stillroom season kitchen.xlsx --draws 200 --out pictures")
def season(
    file: Workbook,
    draws: Annotated[int, typer.Option("--draws", metavar="N", help="How many seasons.")] = 200,
    seed: Annotated[int, typer.Option("--seed", metavar="S", help="Another seed draws other seasons.")] = 1,
    workers: Workers = None,
    cluster: Cluster = None,
    as_json: Json = False,
    to: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Write the picture there.", show_default=False)
    ] = None,
    spread: Annotated[
        float, typer.Option("--spread", metavar="SHARE", help="How much less or more a lot may be without Least, Most.")
    ] = 0.3,
    together: Annotated[
        float, typer.Option("--together", metavar="SHARE", help="How far lots of a crop are good or poor together.")
    ] = 0.5,
    yield_spread: Annotated[
        float, typer.Option("--yield-spread", metavar="SHARE", help="How much the crop a jar takes varies.")
    ] = 0.08,
    lost: Annotated[float, typer.Option("--lost", metavar="SHARE", help="Evenings of which nothing comes.")] = 0.1,
    every: Annotated[int, typer.Option("--every", metavar="DAYS", help="Days after which it is planned anew.")] = 3,
) -> None:
    """Play the rest of the season over random harvests: how surely each need is met; FILE is never written."""
    from stillroom.app import season as season_way
    from stillroom.reports.terminal import layout

    asked = season_way.SeasonAsked(draws, seed, spread, together, yield_spread, lost, every, workers, cluster)
    with layout.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        found = season_way.season_of(file, datetime.date.today(), asked, busy.say)
        pictures = () if to is None else season_way.write_picture(found, to, file.stem)
    print(season_way.season_json(found, pictures)) if as_json else say(season_way.season_view(found, pictures))


@app.command("plan-all", epilog="Example: stillroom plan-all kitchens --out planned")
def plan_all(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="The folder of workbooks.", show_default=False)],
    to: Annotated[Path, typer.Option("--out", metavar="FOLDER", help="Where the planned ones go.", show_default=False)],
    workers: Workers = None,
    cluster: Cluster = None,
    as_json: Json = False,
) -> None:
    """Plan each workbook in a folder into another; what cannot be planned is listed and does not stop the rest."""
    from stillroom.app import batch
    from stillroom.reports.terminal import layout

    with layout.Waiting(out(stderr=True), f"reading {folder.name}") as busy:
        found = batch.plan_folder(folder, to, datetime.date.today(), workers, cluster, busy.say)
    print(batch.plan_all_json(found)) if as_json else say(batch.plan_all_view(found))
    if found.failed:
        raise typer.Exit(1)
