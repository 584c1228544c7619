"""The way from a workbook to its season played many times over; the household's file is never written."""

from __future__ import annotations

import datetime
import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, cast

from stillroom.app.files import put_all
from stillroom.app.frames import frame, heading_of, rows_of
from stillroom.app.parallel import Crew, Done, crew_for, refuse_workers, spread
from stillroom.app.plan import read_and_plan
from stillroom.errors import CommandWrong
from stillroom.household.plan import Plan, Progress, no_progress
from stillroom.household.records import Household
from stillroom.household.simulation.seasons import (
    SeasonAsked,
    SeasonFound,
    SeasonPlayed,
    Uncertainty,
    learned_spread,
    ran_out,
    surplus,
    targets_met,
)
from stillroom.household.text import format_number
from stillroom.planning.rolling import Settings, in_its_days, play_some, require_feasible, task
from stillroom.reports.charts import FORMATS, picture_file
from stillroom.reports.charts.season import likely_picture
from stillroom.reports.json import as_json, errors_object, text
from stillroom.reports.terminal.plan import with_errors
from stillroom.reports.terminal.season import season_object, season_page

if TYPE_CHECKING:
    import pandas as pd
    from rich.console import RenderableType


__all__ = [
    "SeasonAsked",
    "SeasonFound",
    "play_seasons",
    "season_frames",
    "season_json",
    "season_of",
    "season_view",
    "write_picture",
]

MOST_DRAWS = 100_000
FEW = 4
"""With so few seasons no other process is begun."""
NESTED = ("filled", "surplus_kg", "ran_out", "made")
"""Fields of a season that are tables of their own."""


def refuse_season(asked: SeasonAsked) -> None:
    """Raise CommandWrong for figures that make no season, and for two answers to who plays it."""
    refuse_workers(asked.workers, asked.cluster)
    for name, value, least, most in (
        ("--draws", asked.draws, 1, MOST_DRAWS),
        ("--every", asked.plan_every_days, 1, 14),
        ("--spread", asked.harvest_share, 0, 1),
        ("--together", asked.together, 0, 1),
        ("--yield-spread", asked.yield_spread, 0, 0.5),
        ("--lost", asked.lost_evening, 0, 1),
    ):
        if not least <= value <= most:
            msg = f"{name} {format_number(value)} is not between {format_number(least)} and {format_number(most)}"
            raise CommandWrong(msg)


def season_of(path: Path, today: datetime.date, asked: SeasonAsked, progress: Progress) -> SeasonFound:
    """
    Play the rest of a workbook's season many times over.

    The first days follow the plan that `plan` would make; later ones are planned lightly every few days. The same
    workbook, seed and settings give the same seasons whoever plays them, and draw number 7 is the same season whatever
    else is changed, so that two settings can be compared.

    Raises CommandWrong, WorkbookRefused when something stops the plan, StillroomError when a plan breaks a rule.
    """
    refuse_season(asked)
    began = time.monotonic()
    with crew_for(asked.draws, asked.workers, asked.cluster, few=FEW) as crew:
        reading, household, opening = read_and_plan(path, today, progress)
        unsure = Uncertainty(
            asked.harvest_share,
            asked.together,
            asked.yield_spread,
            asked.lost_evening,
            learned_spread(reading.lessons) if household.kitchen.use_learned_yields else {},
        )
        settings = Settings(asked.seed, unsure, asked.plan_every_days)
        played = play_seasons(household, opening, settings, asked.draws, crew, progress)
    return SeasonFound(
        asked,
        household,
        opening,
        unsure.learned,
        played,
        targets_met(household, opening, played),
        surplus(opening, played),
        ran_out(played),
        time.monotonic() - began,
        crew.hands,
    )


def play_seasons(
    household: Household,
    opening: Plan,
    settings: Settings,
    draws: int,
    crew: Crew | None = None,
    progress: Progress = no_progress,
) -> tuple[SeasonPlayed, ...]:
    """
    Play draws 0 to `draws` - 1 of a settled household, whose plan on the first day is `opening`.

    The figures depend on the household, the plan, the settings and nothing else: not on the crew, nor on what was lost
    and done again. Raises StillroomError when a plan breaks a rule, and whatever else ended a draw.
    """
    require_feasible(in_its_days(household, opening), opening)
    tasks = [task(household, settings, (number,), opening) for number in range(draws)]
    done: list[Done[tuple[SeasonPlayed, ...]]] = spread(
        play_some, tasks, crew, lambda count: progress(f"played {count} of {draws} seasons")
    )
    played: list[SeasonPlayed] = []
    for one in done:
        if one.error is not None or one.result is None:
            raise one.error or RuntimeError("a season came to nothing")
        played += one.result
    return tuple(played)


def season_view(found: SeasonFound, pictures: Sequence[Path] = ()) -> RenderableType:
    """What the seasons say, for the terminal, and which pictures were written."""
    end = (f"Picture written: {', '.join(str(path) for path in pictures)}",) if pictures else ()
    return with_errors(found.household, season_page(found, end))


def season_frames(found: SeasonFound) -> dict[str, pd.DataFrame]:
    """
    Return the seasons as data frames, for CSV: how often each target is met, each season drawn, and the containers.

    `Targets by season` has a row for each season and a column for each target, in the target's unit.
    """
    import pandas as pd

    whole = season_object(found)
    plain = {"Targets": whole["targets"], "Containers that ran out": whole["ran_out"]}
    tables = {name: frame(rows_of(cast("list[dict[str, object]]", rows)), name) for name, rows in plain.items()}
    seasons = pd.DataFrame.from_records([as_json(one, leave_out=NESTED) for one in found.played])
    surplus = pd.DataFrame([one.surplus_kg for one in found.played]).sum(axis="columns")
    seasons["surplus_kg"] = surplus
    filled = pd.DataFrame([one.filled for one in found.played], index=seasons["number"])
    return tables | {
        "Seasons": seasons.rename(columns=heading_of),
        "Targets by season": filled.rename_axis("Number").reset_index(),
    }


def season_json(found: SeasonFound, pictures: Sequence[Path] = ()) -> str:
    """The same for other programs; `pictures` are the files that were written."""
    whole = season_object(found) | errors_object(found.household)
    return text(whole | {"pictures": [str(path) for path in pictures]} if pictures else whole)


def write_picture(found: SeasonFound, folder: Path, stem: str, *, replace: bool = False) -> list[Path]:
    """
    Write the picture of the seasons into a folder, as PNG and as SVG, named after `stem`; gives the files.

    Raises CouldNotWrite as `put_all` does, before either is written; a folder that is not there is made.
    """
    end = found.opening.periods[-1].last_day
    picture = likely_picture(found.targets, found.asked.draws, end)
    files = [(folder / f"{stem}_season.{ending}", picture_file(picture, ending)) for ending in FORMATS]
    return put_all(folder, files, replace=replace)
