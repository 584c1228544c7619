"""
Households whose plans are drawn: worked ones, one of each way, very small and very large ones, and nothing at all.
"""

import datetime
from dataclasses import replace

from tests import worked_examples as examples

from stillroom.household.examples import FRIDAY, tiny_household
from stillroom.household.plan import Plan, periods
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, Lot, PlanLine, RecordRow
from stillroom.household.results.tables import tables
from stillroom.planning.solve import plan
from stillroom.reports.charts.canvas import Shown
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import sessions_of_plan

LONG = "grandmother's very slow tomato conserve, "
ACCENTS = "crème d'été ½ °C Ελλάδα слива "


def shown_by(household: Household, found: Plan | None = None, typed: Household | None = None) -> Shown:
    """Plan a household, put the plan's lines into it and its days on the clock, as a workbook would hold them."""
    household = replace(household, plan_lines=())
    found = plan(household) if found is None else found
    said = tables(household, found, typed=typed or household)
    amounts = (("", found.make), (FREEZE_WHOLE, found.freeze_kg), (THAW, found.thaw_kg))
    lines = [
        PlanLine(found.periods[number].first_day, found.periods[number].days, start + name, make=amount)
        for start, those in amounts
        for (name, number), amount in those.items()
    ]
    days = on_the_clock(household, sessions_of_plan(found))
    steps = tuple(step for day in days for step in day.steps)
    return Shown(replace(household, plan_lines=tuple(lines)), typed or household, said, days, "", steps)


def many(preserves: int, name: str, crops: int = 9, targets: int = 20) -> Household:
    """So many preserves with names of 40 letters, out of several crops, toward several needs."""
    made, wanted = [], []
    for number in range(preserves):
        label = f"{name}{number:02d}".rjust(40, "w") if len(name) < 38 else f"{name[:37]} {number:02d}"
        crop = f"{number % crops} {name}"[:40]
        kind = examples.jar if number % 3 else examples.bag
        made.append(kind(label, crop, 0.7 + 0.1 * (number % 4), hands_minutes_each=1.0 + number % 3))
    for number in range(min(targets, preserves)):
        mine = {item.name: 1.0 for place, item in enumerate(made) if place % min(targets, preserves) == number}
        wanted.append(
            examples.target(f"{number:02d} {name}"[:40], 9.0, importance=1 + number % 3, counts=mine, unit="pint")
        )
    lots = tuple(
        Lot(f"{number} {name}"[:40], examples.day(number % 3), 30.0) for number in range(min(crops, preserves))
    )
    return examples.home(tuple(made), lots, tuple(wanted), days=3, weeks=2)


def with_a_season() -> tuple[Household, Household]:
    """The tiny household with a record that puts up, eats, feeds and loses; as planned and as typed."""
    home = tiny_household()
    before = FRIDAY - datetime.timedelta(days=1)
    record = (
        RecordRow(before, "juice", made=2.0, crop="tomato", crop_used_kg=3.0),
        RecordRow(before, "dried tomato", made=1.0, crop="tomato", crop_used_kg=1.5),
        RecordRow(before, "surplus: tomato", crop="tomato", crop_used_kg=1.0),
        RecordRow(before, "spoiled: tomato", crop="tomato", crop_used_kg=0.5),
        RecordRow(before, crop="tomato", crop_used_kg=0.75),
    )
    return home, replace(home, record=record)


def empty() -> Shown:
    """A workbook without a plan and without a harvest."""
    home = replace(tiny_household(), plan_lines=(), lots=(), record=())
    return Shown(home, home, {})


def nothing_to_make() -> Shown:
    """A plan in which nothing is made."""
    home = replace(tiny_household(), plan_lines=(), lots=())
    return shown_by(home, Plan(periods(home.kitchen)))
