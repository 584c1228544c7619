"""
Weeks with bad evenings, lived three ways with the same plan: by its deadlines, top down, and ripest crop first.

The demo households are planned once. Then many weeks are drawn: three evenings in ten are bad, lost or with half the
hands-on hours, by the toss of a coin. Nobody plans again. What is not done on its day is carried on, and each evening
as much is made as crop, hours, equipment, jars, lids, pantry and space of a kitchen kept by hand allow. Who follows the
deadlines takes first what can wait the least, then what loses the most, then the ripest crop; of a line past its last
day they make what the page says instead, where it says something for the days at hand.
"""

from __future__ import annotations

import dataclasses
import datetime
import random
import statistics
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from tests.truth.careful_cook import days_left
from tests.truth.kitchen_book import KitchenBook

from stillroom.app.fit_day import latest_begin, tightened
from stillroom.app.plan import audited_plan, read_workbook
from stillroom.household.plan import Period, Plan
from stillroom.household.records import FREEZE_WHOLE, Household, Tighter
from stillroom.household.results.deadlines import Deadline, Deadlines
from stillroom.household.simulation.outcome import filled_by_plan
from stillroom.household.simulation.random import mean_interval
from stillroom.household.units import POUND_KG
from stillroom.planning.deadlines import KG, WEIGHTS, find_deadlines
from stillroom.planning.parameters import Parameters

DEMOS = Path(__file__).resolve().parents[2] / "demo"
BAD, LOST = 0.3, 0.5
"""The share of evenings that are bad, and of those that are lost; the others are halved."""


@dataclasses.dataclass
class Due:
    """So many containers of a line that are still to be made, with its place in the plan and its deadline."""

    name: str
    place: int
    left: int
    line: Deadline


Order = Callable[[KitchenBook, Period, Due], tuple[float | str, ...]]
"""What a cook takes first, smallest first."""


def with_bad_evenings(household: Household, number: int) -> Household:
    """Return the household with fewer hands-on hours on its bad evenings; the same number gives the same ones."""
    chance, parameters, tighter = random.Random(f"bad evenings {number}"), Parameters(household), Tighter()
    for day in parameters.singles:
        if chance.random() < BAD:
            lost = 1.0 if chance.random() < LOST else 0.5
            tighter = tighter.with_less("hands", day.first_day, lost * parameters.hands_hours(day))
    return dataclasses.replace(household, tighter=tighter, plan_lines=())


def by_deadline(book: KitchenBook, day: Period, due: Due) -> tuple[float | str, ...]:
    """Take what can wait the least, then what loses the most, then the ripest crop."""
    until = due.line.until or datetime.date.max
    targets = {target.name: target for target in book.household.targets}
    cost = KG * sum(due.line.loss.crops_kg.values()) + sum(
        WEIGHTS[targets[name].importance] * amount / targets[name].wanted
        for name, amount in due.line.loss.targets.items()
    )
    return until.toordinal(), -cost, *ripest_first(book, day, due)


def top_down(_book: KitchenBook, _day: Period, due: Due) -> tuple[float | str, ...]:
    """Take the lines as the plan has them, what was left undone first."""
    return (due.place,)


def ripest_first(book: KitchenBook, day: Period, due: Due) -> tuple[float | str, ...]:
    """Take what keeps the shortest."""
    crops = book.parameters.crops_of(book.household.preserve(due.name))
    return min((days_left(book, name, day) for name in crops), default=999), due.place


WAYS: dict[str, Order] = {"deadlines": by_deadline, "top down": top_down, "ripest first": ripest_first}


def lived(world: Household, plan: Plan, found: Deadlines, order: Order) -> Plan:
    """Return what is made in the week of a plan when each evening goes by an order."""
    book, due = KitchenBook(Parameters(world)), list[Due]()
    for day in book.parameters.singles:
        book.open_day(day)
        due += planned_on(plan, found, day, len(due))
        if order is by_deadline:
            due += instead_of(due, day)
        for one in sorted(due, key=lambda one: order(book, day, one)):
            item = book.household.preserve(one.name)
            while one.left and (count := most_that_fits(book, day, one)):
                book.note_made(item, day, count)
                one.left -= count
        due = [one for one in due if one.left]
        book.close_day(day)
    return book.as_plan()


def planned_on(plan: Plan, found: Deadlines, day: Period, before: int) -> list[Due]:
    """Return the lines of a day of the plan that are made; crop is frozen whole by the book itself."""
    lines = [one for one in found.lines if one.day == day.first_day and not one.name.startswith(FREEZE_WHOLE)]
    return [
        Due(one.name, 100 * day.number + before + number, round(plan.make[one.name, day.number]), one)
        for number, one in enumerate(lines)
    ]


def instead_of(due: list[Due], day: Period) -> list[Due]:
    """Return what is done instead of lines that are past their last day, and drop those; others are still tried."""
    past = [one for one in due if one.line.until is not None and one.line.until < day.first_day]
    found = []
    for one in past:
        parts = [(name, amount) for _, days, name, amount in one.line.instead if days == 1 and FREEZE_WHOLE not in name]
        later = dataclasses.replace(one.line, until=None, instead=())
        found += [Due(name, one.place, round(amount), later) for name, amount in parts]
        if parts:
            due.remove(one)
    return found


def most_that_fits(book: KitchenBook, day: Period, one: Due) -> int:
    """Return how many of a line fit at once, a load at most; 0 when none do."""
    item = book.household.preserve(one.name)
    top = min(one.left, item.load or one.left)
    return next((count for count in range(top, 0, -1) if book.fits(item, day, count)), 0)


@dataclasses.dataclass(frozen=True)
class Came:
    """What a week came to: pounds of crop spoiled or surplus, and what of the musts its plan makes in it was missed."""

    pounds: float
    musts: float


def came_of(household: Household, planned: Plan, made: Plan) -> Came:
    """Return what a week came to; `planned` is the plan of its days."""
    lost = sum(made.surplus_kg.values()) + sum(made.spoil_kg.values())
    was, now = filled_by_plan(household, planned), filled_by_plan(household, made)
    musts = sum(max(0.0, was[one.name] - now[one.name]) for one in household.targets if one.importance == 1)
    return Came(lost / POUND_KG, musts)


def of_its_days(plan: Plan) -> Plan:
    """Return what a plan makes on its detailed days."""
    single = {period.number for period in plan.periods if period.single}
    return dataclasses.replace(plan, make={key: made for key, made in plan.make.items() if key[1] in single})


def play(draws: int) -> None:
    """Live so many weeks of each demo household each way; print the means with their intervals."""
    came: dict[str, list[Came]] = {name: [] for name in WAYS}
    for path in sorted(DEMOS.glob("*.xlsx")):
        planned, plan = audited_plan(read_workbook(path, datetime.date(2026, 8, 15)))
        found, days = find_deadlines(planned, plan, tightened, latest_begin, len(plan.periods)), of_its_days(plan)
        for number in range(draws):
            world = with_bad_evenings(planned, number)
            for name, order in WAYS.items():
                came[name].append(came_of(planned, days, lived(world, plan, found, order)))
        print_means(path.stem, {name: each[-draws:] for name, each in came.items()})
    print_means("all", came)


def print_means(what: str, came: Mapping[str, Sequence[Came]]) -> None:
    """Print what each way came to, and what following the deadlines saves against the others."""
    print(f"{what}: pounds spoiled or surplus, containers of musts missed in a week, with intervals of 95%")
    for name, each in came.items():
        print(f"  {name}: {interval([one.pounds for one in each])} lb, {interval([one.musts for one in each])} musts")
    for name in list(came)[1:]:
        pairs = list(zip(came["deadlines"], came[name], strict=True))
        pounds = interval([other.pounds - one.pounds for one, other in pairs])
        musts = interval([other.musts - one.musts for one, other in pairs])
        print(f"  deadlines save against {name}: {pounds} lb, {musts} musts", flush=True)


def interval(values: Sequence[float]) -> str:
    """Return a mean with its interval of 95%."""
    if len(values) < 2:
        return "no interval"
    low, high = mean_interval(values)
    return f"{statistics.fmean(values):.1f} ({low:.1f} to {high:.1f})"
