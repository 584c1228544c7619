"""Whether anything on a clock is used by two at once, by plain arithmetic: hands, burners, equipment, the counter."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from stillroom.household.records import Household
from stillroom.timetable.counter import COOLING_MINUTES, counter_of, counter_part
from stillroom.timetable.steps import DayOnClock, Step

Uses = Iterable[tuple[datetime.datetime, datetime.datetime, float]]
"""From when to when how many of a thing are in use."""
ALMOST = 1e-9


def loads_in(clock: Sequence[DayOnClock]) -> Mapping[tuple[datetime.date, str, int], list[Step]]:
    """The steps of each load, by the day it was begun, its name and number."""
    found: dict[tuple[datetime.date, str, int], list[Step]] = defaultdict(list)
    for day in clock:
        for step in day.steps:
            if step.load:
                found[day.day, step.name, step.load].append(step)
    return found


def doubly_used(household: Household, clock: Sequence[DayOnClock]) -> Iterator[str]:
    """At no moment are more hands, burners or pieces of a kind in use than there are."""
    for day in clock:
        yield from more_than(day.kitchen.persons, hand_uses(day.steps), "pairs of hands")
    steps = [step for day in clock for step in day.steps]
    for letter_day in clock:
        for letter in sorted({one for step in letter_day.steps for one in step.persons}):
            yield from more_than(
                1, [(s.start, s.end, 1) for s in letter_day.steps if letter in s.persons], f"hands {letter}"
            )
    burners = min((day.kitchen.burners for day in clock), default=0)
    yield from more_than(burners, [(step.start, step.end, step.burners) for step in steps], "burners")
    yield from on_the_counter(household, clock)
    for piece in household.equipment:
        numbered = {piece.name} if piece.how_many == 1 else {f"{piece.name} {n + 1}" for n in range(piece.how_many)}
        for name in sorted(numbered):
            yield from more_than(1, held(clock, name), name)
        unknown = {one for step in steps for one in step.equipment if one.startswith(f"{piece.name} ")}
        yield from (
            f"there is no {name}" for name in sorted(unknown - numbered) if name[len(piece.name) + 1 :].isdigit()
        )


def hand_uses(steps: Iterable[Step]) -> list[tuple[datetime.datetime, datetime.datetime, float]]:
    """When how many hands are at work."""
    return [(step.start, step.end, step.hands) for step in steps if step.hands]


def held(clock: Sequence[DayOnClock], name: str) -> list[tuple[datetime.datetime, datetime.datetime, float]]:
    """When a piece of equipment is held: by each load from its first step in it to its last."""
    found: list[tuple[datetime.datetime, datetime.datetime, float]] = []
    for chain in loads_in(clock).values():
        inside = [step for step in chain if name in step.equipment and step.kind != "empty"]
        if inside:
            found.append((min(step.start for step in inside), max(step.end for step in inside), 1))
    return found


def more_than(there: float, uses: Uses, what: str) -> Iterator[str]:
    """Say the first moment at which more of a thing is in use than there is."""
    changes = [change for start, end, units in uses if end > start for change in ((start, units), (end, -units))]
    in_use = 0.0
    for moment, units in sorted(changes):
        in_use += units
        if in_use > there + ALMOST:
            verb = "is" if there == 1 else "are"
            yield f"{moment:%d %b %H:%M}: {in_use:g} {what} are in use, and there {verb} {there:g}"
            return


def on_the_counter(household: Household, clock: Sequence[DayOnClock]) -> Iterator[str]:
    """At no moment do more jars cool on the counter than find room on it, each load for its twelve hours."""
    counter = counter_of(household)
    if counter is None:
        return
    preserves = {item.name: item for item in household.preserves}
    cooling = datetime.timedelta(minutes=COOLING_MINUTES)
    uses = [
        (step.end, step.end + cooling, 100 * counter_part(household, preserves[step.name], step.containers))
        for day in clock
        for step in day.steps
        if step.kind == "take out" and step.name in preserves
    ]
    yield from more_than(100, uses, f"percent of the {counter.name}")
