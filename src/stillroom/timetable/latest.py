"""How late a line of a day may begin, with the day's other lines around it, and everything still be over in time."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from stillroom.household.records import Household
from stillroom.timetable.clock import Scheduled, begin, overworked, scheduled
from stillroom.timetable.listing import at, steps_of
from stillroom.timetable.loads import BURNERS, HANDS, RUN, Load
from stillroom.timetable.place import Kitchen, Placed, place
from stillroom.timetable.schedule import Session
from stillroom.timetable.search import by_number, worth

QUARTER = 15
"""Minutes between the times that are tried."""


def latest_start(
    household: Household, sessions: Sequence[Session], day: datetime.date, name: str
) -> datetime.datetime | None:
    """
    Return the latest quarter of an hour at which a line of a day may begin, as far as an order of its loads was found.

    The other lines are done around it, and all is over within what a plan may fill of the day's hours; a dryer or crock
    is free again for the next day that needs it. None where that is not known: the day does not fit as it is, the line
    waits for the evening, or it would hold a burner overnight.
    """
    days = scheduled(household, sessions)
    number = next((place for place, one in enumerate(days) if one.found.day == day), None)
    if number is None:
        return None
    one = days[number]
    mine = [load for load in one.loads if load.name == name]
    if not mine or not one.found.fits_a_plan or any(load.evening or holds_overnight(load) for load in mine):
        return None
    until = {load.name: needed_again(days[number + 1 :], load) for load in one.loads if load.runs}
    starts, good = one.found.kitchen.starts, None
    low, high = -1, one.found.kitchen.filled_minutes // QUARTER + 1
    while high - low > 1:
        middle = (low + high) // 2
        if may_begin(household, one, sessions, name, middle * QUARTER, until) is None:
            high = middle
        else:
            low, good = middle, middle
    return None if good is None else starts + datetime.timedelta(minutes=good * QUARTER)


def holds_overnight(load: Load) -> bool:
    """Return whether an unattended run of a load keeps people or a burner."""
    return any(key in (HANDS, BURNERS) for part in load.parts if part.kind == RUN for key, _ in part.takes)


def needed_again(later: Sequence[Scheduled], mine: Load) -> datetime.datetime | None:
    """Return when the equipment of a load's run is needed again on a later day; None where it is not."""
    keys = {key for part in mine.parts if part.kind == RUN for key, _ in part.takes}
    again = [
        start
        for day in later
        for load in day.loads
        if any(key in keys for part in load.parts for key, _ in part.takes)
        and (start := day.found.starts_of(load.name, load.number)) is not None
    ]
    return min(again, default=None)


def may_begin(
    household: Household,
    one: Scheduled,
    sessions: Sequence[Session],
    name: str,
    earliest: int,
    until: Mapping[str, datetime.datetime | None],
) -> list[Placed] | None:
    """Return a schedule of a day in which a line begins no earlier than so many minutes, and that fits; else None."""
    day, todays = one.found.kitchen, [session for session in sessions if session.day == one.found.day]
    kitchen = begin(household, day, one.before)
    for order in orders(kitchen, one, name, earliest):
        placed = place(kitchen, order)
        late, last_run, *_ = worth(placed, day.filled_minutes, day.latest_minutes)
        evening = max((load.ends for load in placed if load.load.evening), default=0)
        if late or last_run or evening > day.latest_minutes or not free_again(one, placed, until):
            continue
        if not any(overworked(day, steps_of(household, day, placed, todays, one.before.copy().free))):
            return placed
    return None


def orders(kitchen: Kitchen, one: Scheduled, name: str, earliest: int) -> Iterator[tuple[Load, ...]]:
    """Yield the day's order with all loads of a line at each place, the last first."""
    closes = one.found.closes

    def begun(load: Load) -> tuple[datetime.datetime, str, int]:
        return one.found.starts_of(load.name, load.number) or closes, load.name, load.number

    loads = sorted((load for load in one.loads if all(there(kitchen, load))), key=begun)
    others = [load for load in loads if load.name != name]
    mine = [replace(load, earliest=earliest) for load in loads if load.name == name]
    for at_place in range(len(others), -1, -1):
        yield by_number((*others[:at_place], *mine, *others[at_place:]))


def there(kitchen: Kitchen, load: Load) -> Iterator[bool]:
    """Yield of each thing that a load takes whether there is as much of it."""
    for key, units, _, minutes in load.demand:
        yield not minutes or units <= len(kitchen[key].levels)


def free_again(one: Scheduled, placed: Sequence[Placed], until: Mapping[str, datetime.datetime | None]) -> bool:
    """Return whether every run is over when its equipment is needed again."""
    day = one.found.kitchen
    runs = ((load, part) for load in placed for part in load.load.parts if part.kind == RUN)
    return all((end := until[load.load.name]) is None or at(day, load.starts + part.end) <= end for load, part in runs)
