"""Many drawn seasons of one household, played by whoever is there, always with the same figures."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.season.played import SeasonPlayed
from stillroom.planning.season.replay import (
    SeasonTask,
    Settings,
    days_ahead,
    play_some,
    refuse_broken,
    season_end,
    task,
)
from stillroom.planning.season.spread import Crew, Done, spread

Tell = Callable[[str], None]


@dataclass(frozen=True)
class Seasons:
    """The seasons played, in the order of their numbers, and the plan that stands on the first day of all of them."""

    household: Household
    settings: Settings
    opening: Plan
    played: tuple[SeasonPlayed, ...]


def play_seasons(
    household: Household,
    opening: Plan,
    settings: Settings,
    draws: int,
    crew: Crew | None = None,
    tell: Tell = lambda _: None,
) -> Seasons:
    """
    Play draws 0 to `draws` - 1 of a settled household, whose plan on the first day is `opening`.

    The figures depend on the household, the plan, the settings and nothing else: not on the crew, nor on what was lost
    and done again. Raises StillroomError when a plan breaks a rule, and whatever else ended a draw.
    """
    refuse_broken(in_its_days(household, opening), opening)
    tasks = [task(household, settings, (number,), opening) for number in range(draws)]
    done: list[Done[tuple[SeasonPlayed, ...]]] = spread(
        play_some, tasks, crew, lambda count: tell(f"played {count} of {draws} seasons")
    )
    played: list[SeasonPlayed] = []
    for one in done:
        if one.error is not None or one.result is None:
            raise one.error or RuntimeError("a season came to nothing")
        played += one.result
    return Seasons(household, settings, opening, tuple(played))


def in_its_days(household: Household, plan: Plan) -> Household:
    """Give the household with the single days and weeks that a plan was made for."""
    singles = days_ahead(plan)
    kitchen = replace(household.kitchen, days_planned_singly=singles, weeks_after_that=len(plan.periods) - singles)
    return replace(household, kitchen=kitchen)


def opening_of(household: Household, settings: Settings) -> tuple[Household, Plan]:
    """Make the plan of the first day by the opener of the settings, or by its planner."""
    opener = settings.opener or settings.planner
    return opener(household, settings.plan_every_days, season_end(household))


def get_ready() -> None:
    """Import what playing a season takes, before there is one to play."""


__all__ = ["SeasonTask", "Seasons", "get_ready", "opening_of", "play_seasons"]
