"""
The audit of a timetable by plain arithmetic on its steps, independent of how it was made.

Each function yields what is wrong, a sentence each.
"""

from __future__ import annotations

import datetime
import itertools
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from stillroom.household.checks import pots_at_once
from stillroom.household.load_steps import load_steps
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, Preserve
from stillroom.household.results.clock import FOLLOWS, DayOnClock, Step
from stillroom.household.text import format_clock, format_date, format_number, format_weight
from stillroom.timetable.schedule import COOLING_MINUTES, ROUNDED_MINUTES, Session, counter_of, counter_part

# Overuse of people, burners, equipment and the counter.

Uses = Iterable[tuple[datetime.datetime, datetime.datetime, float]]
"""Start, end and number in use."""
ALMOST = 1e-9


def loads_in(clock: Sequence[DayOnClock]) -> Mapping[tuple[datetime.date, str, int], list[Step]]:
    """Return the steps of each load, by its day, name and number."""
    found: dict[tuple[datetime.date, str, int], list[Step]] = defaultdict(list)
    for day in clock:
        for step in day.steps:
            if step.load:
                found[day.day, step.name, step.load].append(step)
    return found


def doubly_used(household: Household, clock: Sequence[DayOnClock]) -> Iterator[str]:
    """Yield what is overused: at no moment are more people, burners or pieces in use than there are."""
    for day in clock:
        hands = [(step.start, step.end, step.hands) for step in day.steps if step.hands]
        yield from more_than(day.kitchen.persons, hands, "people")
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


def held(clock: Sequence[DayOnClock], name: str) -> list[tuple[datetime.datetime, datetime.datetime, float]]:
    """Return when a piece of equipment is occupied: by each load from its first step in it to its last."""
    found: list[tuple[datetime.datetime, datetime.datetime, float]] = []
    for chain in loads_in(clock).values():
        inside = [step for step in chain if name in step.equipment and step.kind != "empty"]
        if inside:
            found.append((min(step.start for step in inside), max(step.end for step in inside), 1))
    return found


def more_than(there: float, uses: Uses, what: str) -> Iterator[str]:
    """Yield the first moment at which more of something is in use than there is."""
    changes = [change for start, end, units in uses if end > start for change in ((start, units), (end, -units))]
    in_use = 0.0
    for moment, units in sorted(changes):
        in_use += units
        if in_use > there + ALMOST:
            verb = "is" if there == 1 else "are"
            yield (
                f"{format_date(moment)} {format_clock(moment)}: {format_number(in_use)} {what} are in use, and there "
                f"{verb} {format_number(there)}"
            )
            return


def on_the_counter(household: Household, clock: Sequence[DayOnClock]) -> Iterator[str]:
    """Yield when more jars cool on the counter than it has room for; each load cools twelve hours."""
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


ORDER = (
    "prepare", "standing", "cook", "boil jars", "ready", "fill", "heat", "vent", "rise", "process", "cool", "rest",
    "lid", "take out", "set down",
)  # fmt: skip
"""Steps of a load in their order; other steps may overlap them."""
NO_PAUSE = ("fill", "heat", "vent", "rise", "process", "cool", "rest", "lid", "take out")
"""No pause is allowed after these steps."""
A_SECOND = 1.0


def broken_promises(household: Household, sessions: Sequence[Session], clock: Sequence[DayOnClock]) -> tuple[str, ...]:
    """Return all that is wrong with a timetable: steps missing, out of order, too short, overused, out of hours."""
    preserves = {item.name: item for item in household.preserves}
    found = [*missing(preserves, sessions, clock)]
    for (day, name, number), chain in loads_in(clock).items():
        found += [
            f"{format_date(day)} {name}, load {number}: {words}"
            for words in wrong_with(household, preserves, name, chain)
        ]
    found += doubly_used(household, clock)
    found += out_of_hours(clock)
    found += past_the_latest_end(household, clock)
    return tuple(found)


def missing(
    preserves: Mapping[str, Preserve], sessions: Sequence[Session], clock: Sequence[DayOnClock]
) -> Iterator[str]:
    """Yield sessions that are not in the timetable with all their containers and are not listed as left off."""
    loads = loads_in(clock)
    left_off = {(day.day, words) for day in clock for words in day.left_off}
    for session in sessions:
        said = any(day == session.day and words.startswith(f"{session.name}: ") for day, words in left_off)
        if said or session.name.startswith(THAW):
            continue
        item = preserves.get(session.name)
        counts = [
            chain[0].containers for (day, name, _), chain in loads.items() if (day, name) == (session.day, session.name)
        ]
        if abs(sum(counts) - session.amount) > 1e-6:
            yield (
                f"{format_date(session.day)}: {format_number(session.amount)} of {session.name} planned, "
                f"{format_number(sum(counts))} on the clock"
            )
        if item is not None and item.load is not None and max(counts, default=0) > item.load:
            yield f"{format_date(session.day)}: a load of {session.name} holds more than {item.load}"


def too_much_to_freeze(household: Household, sessions: Sequence[Session]) -> Iterator[str]:
    """
    Yield days that freeze more than the freezer freezes in a day: crop frozen whole, and crop in frozen preserves.

    A plan satisfies it; a plan in a workbook whose freezer was changed since may not.
    """
    preserves = {item.name: item for item in household.preserves}
    frozen: dict[datetime.date, float] = defaultdict(float)
    for session in sessions:
        item = preserves.get(session.name)
        if item is not None and item.kept_in == "freezer":
            frozen[session.day] += session.amount * sum(
                line.amount_each for line in item.ingredients if line.source == "crop"
            )
        elif session.name.startswith(FREEZE_WHOLE):
            frozen[session.day] += session.amount
    most = household.kitchen.freeze_kg_a_day
    for day, kg in sorted(frozen.items()):
        if kg > most * (1 + 1e-4) + 1e-4:
            yield (
                f"{format_date(day)}: {format_weight(kg, 1)} are to be frozen, and the freezer takes "
                f"{format_weight(most, 1)} a day"
            )


def hands_minutes(item: Preserve, count: float, loads: int) -> float:
    """Return the minutes of labor of so many containers."""
    sets = loads if item.load is not None else count / item.smallest_batch
    return item.hands_minutes_each * count + item.hands_minutes_load * sets


def wrong_with(
    household: Household, preserves: Mapping[str, Preserve], name: str, chain: Sequence[Step]
) -> Iterator[str]:
    """Yield what is wrong with one load: order, pauses, too short steps."""
    by_kind: dict[str, list[Step]] = defaultdict(list)
    for step in chain:
        by_kind[step.kind].append(step)
    yield from out_of_order(by_kind)
    item = preserves.get(name)
    if item is None:
        crop = name.removeprefix(FREEZE_WHOLE)
        kg = chain[0].containers
        needed = sum(kg * one.freeze_hours_per_kg * 60 for one in household.crops if one.name == crop)
    else:
        needed = hands_minutes(item, chain[0].containers, 1)
        yield from too_short(household, item, by_kind)
    if chain[0].load == 1:
        needed += household.kitchen.setup_hours_a_kind * 60
    worked = sum(step.minutes * step.hands for step in chain)
    if worked < needed - A_SECOND / 60:
        yield f"takes {format_number(needed, 0)} minutes of labor, and has {format_number(worked, 0)}"


def out_of_order(by_kind: Mapping[str, Sequence[Step]]) -> Iterator[str]:
    """Yield steps that begin before the one before them ends, or late where no pause is allowed."""
    there = [kind for kind in ORDER if by_kind.get(kind)]
    for before, after in itertools.pairwise(there):
        ended, begins = max(step.end for step in by_kind[before]), min(step.start for step in by_kind[after])
        if begins < ended and (before, after) != ("cook", "boil jars"):
            yield f"{after} begins {format_clock(begins)}, before {before} ends {format_clock(ended)}"
        if before in NO_PAUSE and begins > ended:
            yield f"{after} waits from {format_clock(ended)} to {format_clock(begins)}"
    runs = by_kind.get("run", ())
    if runs and by_kind.get("prepare") and runs[0].start < max(step.end for step in by_kind["prepare"]):
        yield "runs before it is prepared"


def too_short(household: Household, item: Preserve, by_kind: Mapping[str, Sequence[Step]]) -> Iterator[str]:
    """Yield steps shorter than the handbook, the equipment or the recipe requires."""
    count = max((step.containers for steps in by_kind.values() for step in steps), default=0.0)
    cook = item.stove_minutes_load * (1 if item.load is not None else count / item.smallest_batch)
    needed = {"cook": (cook + item.stove_minutes_each * count) / pots_at_once(item, household)}
    if item.equipment:
        steps = load_steps(item, household.equipment_named(item.equipment[-1]))
        if by_kind.get("run"):
            needed["run"] = sum(step.minutes for step in steps)
        else:
            needed |= {step.kind: step.minutes for step in steps}
            needed["standing"] = sum(one.hours_low * 60 for one in item.standing if one.that_day)
    for kind, minutes in needed.items():
        there = sum(step.minutes for step in by_kind.get(kind, ()))
        if there < minutes - A_SECOND / 60:
            yield f"{kind} takes {format_number(minutes)} minutes, and has {format_number(there)}"


def out_of_hours(clock: Sequence[DayOnClock]) -> Iterator[str]:
    """Yield steps before the day begins, and ends past the hours that are not reported."""
    running = {key for key, chain in loads_in(clock).items() if any(one.kind == "run" for one in chain)}
    for day in clock:
        evening = max(day.ends, day.evening_ends or day.ends)
        for step in day.steps:
            if step.start < day.kitchen.starts and step.kind not in FOLLOWS:
                yield (
                    f"{format_date(step.start)} {format_clock(step.start)}: {step.words} ({step.name}) begins "
                    "before the day does"
                )
            waited = step.hands or (step.burners and step.kind != "run")
            ends = evening if (day.day, step.name, step.load) in running else day.ends
            if waited and step.end > ends:
                yield (
                    f"{format_date(step.start)} {format_clock(step.start)}: {step.words} ({step.name}) ends after "
                    "the day is said to"
                )
        late = max(day.ends - day.closes, evening - max(day.kitchen.latest, day.ends))
        if day.over_minutes < late.total_seconds() / 60:
            yield f"{format_date(day.day)}: it runs past its hours, and is not reported"
        if day.could_end > day.ends:
            yield f"{format_date(day.day)}: it ends before it could"
        yield from past_their_own(day)


def past_the_latest_end(household: Household, clock: Sequence[DayOnClock]) -> Iterator[str]:
    """Yield steps with people or on a burner that end after the latest end of a day that is said to fit."""
    for day in clock if household.kitchen.latest_end is not None else ():
        latest = household.kitchen.ends_by(day.day)
        late = [step for step in day.steps if (step.hands or step.burners) and step.kind != "run" and step.end > latest]
        if day.fits and late:
            yield f"{format_date(day.day)}: {late[0].words} ({late[0].name}) ends after {format_clock(latest)}"


def past_their_own(day: DayOnClock) -> Iterator[str]:
    """Yield people with more work than their own hours, setups apart, where it is not reported."""
    said = dict(day.overworked)
    for name, most in zip(day.kitchen.names, day.kitchen.minutes_of_each, strict=True):
        mine = [step for step in day.steps if name in step.persons]
        worked = sum(step.minutes - step.setup_minutes / step.hands for step in mine)
        if worked > most + ROUNDED_MINUTES and worked - most > said.get(name, 0.0) + A_SECOND / 60:
            yield f"{format_date(day.day)}: {name} works {format_number(worked, 0)} minutes, and has {most}"
