"""The way from a workbook to its season played many times over; the household's file is never written."""

from __future__ import annotations

import contextlib
import datetime
import os
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.bottlenecks import planned_again
from stillroom.app.files import put, why_not
from stillroom.app.parallel import refuse_both
from stillroom.app.plan import Reading
from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.household.simulation.outcome import RanOut, Surplus, TargetMet, ran_out, surplus, targets_met
from stillroom.household.simulation.random import Uncertainty, learned_spread
from stillroom.household.text import format_number

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.app.parallel import Crew
    from stillroom.planning.rolling.replay import Seasons


Tell = Callable[[str], None]

MOST_DRAWS = 100_000
FEW = 4
"""With so few seasons no other process is begun."""


@dataclass(frozen=True)
class SeasonAsked:
    """What was asked for: how many seasons, of which seed, how unsure, and who plays them."""

    draws: int = 200
    seed: int = 1
    harvest_share: float = 0.3
    together: float = 0.5
    yield_spread: float = 0.08
    lost_evening: float = 0.1
    plan_every_days: int = 3
    workers: int | None = None
    cluster: str | None = None

    def refuse(self) -> None:
        """Raise CommandWrong for figures that make no season, and for two answers to who plays it."""
        refuse_both(self.workers, self.cluster)
        for name, value, least, most in (
            ("--draws", self.draws, 1, MOST_DRAWS),
            ("--every", self.plan_every_days, 1, 14),
            ("--spread", self.harvest_share, 0, 1),
            ("--together", self.together, 0, 1),
            ("--yield-spread", self.yield_spread, 0, 0.5),
            ("--lost", self.lost_evening, 0, 1),
            ("--workers", 1 if self.workers is None else self.workers, 1, 256),
        ):
            if not least <= value <= most:
                msg = f"{name} {format_number(value)} is not between {format_number(least)} and {format_number(most)}"
                raise CommandWrong(msg)


@dataclass(frozen=True)
class SeasonFound:
    """A workbook that was read, its seasons, and what they say; `workers` is how many played, `seconds` how long."""

    reading: Reading
    asked: SeasonAsked
    seasons: Seasons
    targets: tuple[TargetMet, ...]
    surplus: Surplus
    ran_out: tuple[RanOut, ...]
    seconds: float
    workers: int


def season_of(path: Path, today: datetime.date, asked: SeasonAsked, tell: Tell) -> SeasonFound:
    """
    Play the rest of a workbook's season many times over.

    The first days follow the plan that `plan` would make; later ones are planned lightly every few days. The same
    workbook, seed and settings give the same seasons whoever plays them, and draw number 7 is the same season whatever
    else is changed, so that two settings can be compared.

    Raises CommandWrong, WorkbookRefused when something stops the plan, StillroomError when a plan breaks a rule.
    """
    asked.refuse()
    began = time.monotonic()
    with crew_for(asked) as crew:
        reading, household, opening = planned_again(path, today, tell)
        from stillroom.planning.rolling.replay import Settings, play_seasons

        unsure = Uncertainty(
            asked.harvest_share,
            asked.together,
            asked.yield_spread,
            asked.lost_evening,
            learned_spread(reading.lessons) if household.kitchen.use_learned_yields else {},
        )
        settings = Settings(asked.seed, unsure, asked.plan_every_days)
        seasons = play_seasons(household, opening, settings, asked.draws, crew, tell)
    return SeasonFound(
        reading,
        asked,
        seasons,
        targets_met(household, opening, seasons.played),
        surplus(opening, seasons.played),
        ran_out(seasons.played),
        time.monotonic() - began,
        1 if crew is None else crew.hands,
    )


@contextlib.contextmanager
def crew_for(asked: SeasonAsked) -> Iterator[Crew | None]:
    """Give whoever is to play: a cluster, so many processes, or nobody but this process; ready before it is needed."""
    from stillroom.app.parallel import processes
    from stillroom.planning.rolling.replay import import_early

    workers = asked.workers or min(os.cpu_count() or 1, 64)
    if asked.cluster is not None:
        from stillroom.app.parallel import cluster

        with cluster(asked.cluster) as crew:
            yield crew
    elif workers == 1 or asked.draws <= FEW:
        yield None
    else:
        with processes(workers, import_early) as crew:
            yield crew


def season_view(found: SeasonFound, pictures: Sequence[Path] = ()) -> RenderableType:
    """What the seasons say, for the terminal, and which pictures were written."""
    from stillroom.reports.terminal.season import season_page

    end = (f"Picture written: {', '.join(str(path) for path in pictures)}",) if pictures else ()
    return season_page(found, end)


def season_json(found: SeasonFound, pictures: Sequence[Path] = ()) -> str:
    """The same for other programs; `pictures` are the files that were written."""
    from stillroom.reports.json import text
    from stillroom.reports.terminal.season import season_object

    whole = season_object(found)
    return text(whole | {"pictures": [str(path) for path in pictures]} if pictures else whole)


def write_picture(found: SeasonFound, folder: Path) -> Sequence[Path]:
    """
    Write the picture of the seasons into a folder, as SVG and as PNG; gives the files.

    Raises CouldNotWrite; a folder that is not there is made.
    """
    from stillroom.reports.charts.gallery import FORMATS, picture_file
    from stillroom.reports.charts.season import likely_picture

    end = found.seasons.opening.periods[-1].last_day
    picture, stem = likely_picture(found.targets, found.asked.draws, end), found.reading.book.path.stem
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return [put(folder / f"{stem}_season.{ending}", picture_file(picture, ending)) for ending in FORMATS]
    except OSError as error:
        msg = f"the picture could not be written into {folder}: {why_not(error)}"
        raise CouldNotWrite(msg) from error
