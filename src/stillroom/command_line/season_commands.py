"""The commands that plan many times over: a season drawn again and again, and a whole folder of workbooks."""

# ruff: noqa: T201 - this is the one room that prints

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from stillroom.command_line.app import Json, Workbook, app
from stillroom.command_line.saying import out, say

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
    from stillroom.pages import season_way, waiting

    asked = season_way.SeasonAsked(draws, seed, spread, together, yield_spread, lost, every, workers, cluster)
    with waiting.Waiting(out(stderr=True), f"reading {file.name}") as busy:
        found = season_way.season_of(file, datetime.date.today(), asked, busy.say)
        pictures = () if to is None else season_way.write_picture(found, to)
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
    from stillroom.pages import plan_all, waiting

    with waiting.Waiting(out(stderr=True), f"reading {folder.name}") as busy:
        found = plan_all.plan_folder(folder, to, datetime.date.today(), workers, cluster, busy.say)
    print(plan_all.plan_all_json(found)) if as_json else say(plan_all.plan_all_view(found))
    if found.failed:
        raise typer.Exit(1)
