"""The timetable of a day as a list of steps, with its hours, its people, its sessions and its room to cool jars."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable
from dataclasses import dataclass

from stillroom.household.checks import containers_held, size_and_kind
from stillroom.household.plan import Plan
from stillroom.household.records import (
    FREEZE_WHOLE,
    STOVE_FREE,
    THAW,
    Container,
    Equipment,
    Household,
    PlanLine,
    Preserve,
)
from stillroom.household.results.clock import KitchenDay

# How long a day is, and how many people work: from the typed hours.


def hours_on(household: Household, what: str, day: datetime.date) -> float | None:
    """Return the hours typed in a row for a day; None without a row."""
    for row in household.hours:
        if row.what.casefold() == what.casefold():
            return row.by_weekday[day.weekday()]
    return None


def named_hands(household: Household, day: datetime.date) -> list[tuple[str, float]]:
    """
    Return the people whose hours are typed by name, with their hours on a day, if any.

    >>> from stillroom.household.records import Hours, Kitchen
    >>> day = datetime.date(2026, 8, 15)
    >>> rows = [Hours(what, (figure,) * 7, 0.0) for what, figure in (("hands", 5.0), ("hands: adult", 3.0))]
    >>> named_hands(Household(Kitchen(day), hours=tuple(rows)), day)
    [('adult', 3.0)]
    """
    found = []
    for row in household.hours:
        start, colon, name = row.what.partition(":")
        hours = row.by_weekday[day.weekday()]
        if colon and start.strip().casefold() == "hands" and name.strip() and hours > 0:
            found.append((name.strip(), hours))
    return found


def kitchen_day(household: Household, day: datetime.date) -> KitchenDay:
    """
    Return when a day begins, how long it lasts and how many people work.

    Hours have no time of day. The hours the stove is free are taken as one stretch. The number of people is how
    many have hours by name that day; without names the fewest whose hours each are no longer than that stretch, at most
    the people of the household. The day lasts for the stretch and each person's hours, at most until the latest end or
    midnight, and until then where either row is missing. A plan leaves the share of these hours free that is kept free.

    A day fits when all labor and stove use is over by then and nobody works more than their own hours. Six person-hours
    and a stove free for four hours from 8 AM: two people with three hours each, until 3 PM. Setup minutes take time but
    do not count among anybody's hours, as in the plan. A dryer that is busy until later may be filled in the evening
    (`latest_minutes`).

    >>> from stillroom.household.records import Hours, Kitchen
    >>> saturday = datetime.date(2026, 8, 15)
    >>> hours = [Hours(what, (figure,) * 7, 0.0) for what, figure in (("hands", 6.0), ("stove free", 4.0))]
    >>> home = Household(Kitchen(saturday, people=5.0), hours=tuple(hours))
    >>> found = kitchen_day(home, saturday)
    >>> found.persons, found.open_minutes / 60
    (2, 7.0)
    """
    kitchen = household.kitchen
    named = named_hands(household, day)
    starts = kitchen.starts_on(day)
    to_end = minutes_between(starts, kitchen.ends_by(day))
    until = None if kitchen.latest_end is None else to_end
    hands, stove = hours_on(household, "hands", day), hours_on(household, STOVE_FREE, day)
    people = max(1, math.floor(kitchen.people)) if kitchen.people else None
    burners = math.floor(kitchen.burners)
    if hands is None:
        return KitchenDay(day, starts, to_end, people or 1, burners, until_minutes=until)
    together = to_end / 60 if stove is None else stove
    persons = math.ceil(hands / together - 1e-9) if together > 0 else 1
    persons = len(named) or max(1, min(persons, people or persons))
    minutes = to_end if stove is None else round((together + hands / persons) * 60)
    planned = to_end if stove is None else math.floor(minutes * (1 - kitchen.kept_free) + ALMOST)
    names = tuple(name for name, _ in named)
    of_each = tuple(round(hours * 60) for _, hours in named)
    return KitchenDay(day, starts, min(minutes, to_end), persons, burners, names, of_each, min(planned, to_end), until)


def minutes_between(start: datetime.datetime, end: datetime.datetime) -> int:
    """Return the whole minutes from one time to another."""
    return int((end - start).total_seconds() // 60)


EVENING = datetime.timedelta(hours=12)
"""So long after a day's start, what is for the next day is begun: common practice, no source."""
LATEST_EVENING = datetime.time(21, 0)
A_DAY = datetime.timedelta(days=1)


def evening_before(household: Household, day: datetime.date) -> datetime.datetime:
    """
    Return the evening of the day before: half a day after it starts, but no later than 9 PM and the latest end.

    >>> from stillroom.household.records import Kitchen
    >>> evening_before(Household(Kitchen(datetime.date(2026, 8, 14))), datetime.date(2026, 8, 15))
    datetime.datetime(2026, 8, 14, 20, 0)
    """
    starts = household.kitchen.starts_on(day - A_DAY)
    latest = min(datetime.datetime.combine(starts.date(), LATEST_EVENING), household.kitchen.ends_by(starts.date()))
    return max(starts, min(starts + EVENING, latest))


def next_start(household: Household, day: datetime.date) -> datetime.datetime:
    """Return when the day after starts."""
    return household.kitchen.starts_on(day + A_DAY)


ROUNDED_MINUTES = 5
"""Minutes people may work beyond their hours, since every step of a day is rounded up."""


# The sessions of a plan: an amount of one preserve, or of one crop for the freezer, on one day.

ALMOST = 1e-6


@dataclass(frozen=True, order=True)
class Session:
    """One line of the plan on one day: a preserve in containers, or `freeze whole: CROP` / `thaw: CROP` in kg."""

    day: datetime.date
    name: str
    amount: float


def sessions_of_plan(plan: Plan) -> tuple[Session, ...]:
    """
    Return the sessions of a plan's detailed days, by day and name.

    >>> from stillroom.household.plan import Period
    >>> day = datetime.date(2026, 8, 14)
    >>> plan = Plan((Period(0, day, 1),), {("juice", 0): 7.0}, freeze_kg={("plum", 0): 2})
    >>> [one.name for one in sessions_of_plan(plan)]
    ['freeze whole: plum', 'juice']
    """
    days = {period.number: period.first_day for period in plan.periods if period.single}
    groups = (("", plan.make), (FREEZE_WHOLE, plan.freeze_kg), (THAW, plan.thaw_kg))
    found = [
        Session(days[number], start + name, amount)
        for start, amounts in groups
        for (name, number), amount in amounts.items()
        if number in days and amount > ALMOST
    ]
    return tuple(sorted(found))


def sessions_of_lines(household: Household, lines: Iterable[PlanLine]) -> tuple[Session, ...]:
    """
    Return the sessions of the plan lines in the workbook; weeks and unknown names are left out.

    >>> lines = [PlanLine(datetime.date(2026, 8, 14), days, "juice", make=7.0) for days in (1, 7)]
    >>> from stillroom.household.records import Kitchen, Preserve
    >>> home = Household(Kitchen(lines[0].day), preserves=(Preserve("juice", "frozen", "tub"),))
    >>> len(sessions_of_lines(home, lines))
    1
    """
    known = {item.name for item in household.preserves}
    known |= {start + crop.name for crop in household.crops for start in (FREEZE_WHOLE, THAW)}
    found = [
        Session(line.day, line.name, line.make)
        for line in lines
        if line.days == 1 and line.make is not None and line.make > ALMOST and line.name in known
    ]
    return tuple(sorted(found))


def shares(amount: float, load: int) -> list[int]:
    """
    Return the containers of each load: as few loads as possible, as equal as possible.

    A pressure canner is not run nearly empty (four quarts at least: Univ. of Wisconsin Extension), so eleven pints in a
    canner for nine are six and five, not nine and two.

    >>> shares(11, 9), shares(14, 7), shares(3, 7)
    ([6, 5], [7, 7], [3])
    """
    count = math.ceil(amount - ALMOST)
    loads = max(1, math.ceil(count / load))
    each, over = divmod(count, loads)
    return [each + 1] * over + [each] * (loads - over)


# Cooling on the counter: how much of it a load takes.

COUNTER = "counter"
"""The kind of equipment that jars cool on; without one there is no limit."""
COUNTER_SHARES = 24
"""Equal shares of a counter; a load takes whole ones."""
COOLING_MINUTES = 12 * 60
"""Jars cool undisturbed 12 to 24 hours (USDA Complete Guide to Home Canning, rev. 1994, Guide 1)."""


def counter_of(household: Household) -> Equipment | None:
    """Return the counter, the first if several are typed; None without one."""
    return next((piece for piece in household.equipment if piece.kind == COUNTER), None)


def counter_part(household: Household, preserve: Preserve, count: float) -> float:
    """
    Return the fraction of the counter that so many containers take; 0 without a counter or when its loads give no size.

    A jar size that no load of the counter names takes room in proportion to what it holds.

    >>> import datetime
    >>> from stillroom.household.records import Kitchen, Load
    >>> top = Equipment("table", "counter", loads=(Load(20, "quart jars"),))
    >>> jars = tuple(Container(f"{size} jar", "jar", litres) for size, litres in (("quart", 0.946), ("pint", 0.473)))
    >>> home = Household(Kitchen(datetime.date(2026, 8, 14)), equipment=(top,), containers=jars)
    >>> [round(counter_part(home, Preserve("juice", "canned", jar.name), 7), 3) for jar in jars]
    [0.35, 0.175]
    """
    counter = counter_of(household)
    if counter is None:
        return 0.0
    container = next((one for one in household.containers if one.name == preserve.container), None)
    container = container or Container(preserve.container, preserve.container)
    held = containers_held(counter, preserve, container, household.crops)
    if held is not None:
        return count / (held[0] * counter.how_many)
    litres = [load.number * named[0] for load in counter.loads if (named := size_and_kind(load.unit)) is not None]
    if not litres or container.holds_litres is None:
        return 0.0
    return count * container.holds_litres / (max(litres) * counter.how_many)


def counter_shares(household: Household, preserve: Preserve, count: float) -> int:
    """Return the counter's shares that so many containers take, rounded up."""
    return math.ceil(counter_part(household, preserve, count) * COUNTER_SHARES - 1e-9)
