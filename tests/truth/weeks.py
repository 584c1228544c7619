"""
Random weeks of one kitchen, tight and slack, each with its share of the winter list.

Invented: the household of `tests.planning.varied`, seven days planned in detail and nothing after them, no former plan
and no fixed line. Each need wants the part of its season's amount that this week's picking is of the season's picking
of its crops: a week that does its share leaves the household on time. Fixed before anything was measured with it:

- a *tight* week has 1.5 to 3 times the picking, 30 to 60 % of the hours and 20 to 60 % of the jars; the list stays as
  it is;
- a *slack* week has 0.5 to 1 times the picking, the hours and jars the household counts on, or up to half more.
"""

from __future__ import annotations

import dataclasses
import datetime
import random

from tests.planning.varied import scaled_hours, varied

from stillroom.household.records import Household, Target

TIGHT, SLACK = "tight", "slack"


@dataclasses.dataclass(frozen=True)
class Week:
    """A random week: its number, whether it is tight or slack, and its household."""

    number: int
    kind: str
    household: Household


def week(number: int) -> Week:
    """The week of a number: even ones are tight, odd ones slack; the same number gives the same week."""
    chance = random.Random(f"week {number}")
    kind = SLACK if number % 2 else TIGHT
    tight = kind == TIGHT
    pick = chance.uniform(1.5, 3.0) if tight else chance.uniform(0.5, 1.0)
    hours = chance.uniform(0.3, 0.6) if tight else chance.uniform(1.0, 1.5)
    jars = chance.uniform(0.2, 0.6) if tight else chance.uniform(1.0, 1.5)
    season = dataclasses.replace(varied(number), plan_lines=())
    last_day = season.kitchen.first_day + datetime.timedelta(days=6)
    picked = tuple(dataclasses.replace(lot, kg=round(lot.kg * pick, 2)) for lot in season.lots)
    season = dataclasses.replace(season, lots=picked)
    household = dataclasses.replace(
        season,
        kitchen=dataclasses.replace(season.kitchen, days_planned_singly=7, weeks_after_that=0),
        hours=tuple(scaled_hours(row, hours) for row in season.hours),
        lots=tuple(lot for lot in picked if lot.picked_on <= last_day),
        containers=tuple(dataclasses.replace(one, on_hand=float(round(one.on_hand * jars))) for one in season.containers),
        shelf=(),
        targets=tuple(target for row in season.targets for target in [share_of(row, season, last_day)] if target.wanted > 0),
    )  # fmt: skip
    return Week(number, kind, household)


def alike(one: Week) -> Week:
    """
    The same week with every line of the list as important as any other, and no line filled before another is begun.

    The one objective of its targets is then the very share of the list that the planner and the cook are compared by.
    """
    targets = tuple(dataclasses.replace(target, importance=1) for target in one.household.targets)
    kitchen = dataclasses.replace(one.household.kitchen, fill_targets_evenly=False)
    return dataclasses.replace(one, household=dataclasses.replace(one.household, targets=targets, kitchen=kitchen))


def share_of(target: Target, season: Household, last_day: datetime.date) -> Target:
    """The part of a target that this week's picking of its crops is of the season's."""
    crops = {line.item for name in target.counts for line in season.preserve(name).ingredients if line.source == "crop"}
    kg = [(lot.picked_on <= last_day, lot.kg) for lot in season.lots if lot.crop in crops and lot.frozen_on is None]
    all_season = sum(one for _, one in kg)
    share = sum(one for in_week, one in kg if in_week) / all_season if all_season else 0.0
    wanted = float(round(target.wanted * share))
    return dataclasses.replace(target, wanted=wanted, at_most=max(wanted, float(round(target.at_most * share))))
