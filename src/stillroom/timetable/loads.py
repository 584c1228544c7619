"""
The work of one load as a chain of parts with whole minutes: what each takes of hands, burners and equipment.

How the labor of a load divides into preparing, filling and taking out is common practice, without a source: minutes
each are spent on preparing, two thirds of the minutes a load on filling, the rest on taking out. Heating one jar more
than the load needs is common practice too; so is the pot of hot water they stand in, on a burner of its own where the
stove has more than one (with a single burner they get hot water from the tap, for the load itself needs it). The setup
minutes come before the first of its loads that day.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from stillroom.handbook.cautions import STERILIZE_UNDER_MINUTES
from stillroom.household.checks import pots_at_once
from stillroom.household.load_steps import COOL, HEAT, PROCESS, REST, RISE, VENT, hours_in_piece, load_steps
from stillroom.household.records import FREEZE_WHOLE, Equipment, Household, Preserve
from stillroom.timetable.schedule import ALMOST, COOLING_MINUTES, Session, counter_of, counter_shares, shares
from stillroom.timetable.text import (
    LID_WORDS,
    SET_DOWN_WORDS,
    boil_jars_words,
    cook_words,
    cool_words,
    fill_words,
    heat_words,
    jars_words,
    pack_words,
    prepare_words,
    process_words,
    rest_words,
    rise_words,
    run_words,
    set_up_words,
    standing_words,
    take_out_words,
    takes_the_stove,
    vent_words,
)

HANDS, BURNERS = "hands", "burners"
RUN, STAND, READY = "run", "stand", "ready"
UNWAITED = (RUN, STAND)
"""Unattended parts: a dryer or crock, and jars that cool on the counter."""
JARS_HOT_MINUTES = 10
STERILIZE_MINUTES = 10
"""Empty jars are boiled 10 minutes and one more for each 1,000 ft (Michigan State Univ. Extension, 10/1997)."""
CANNED = ("boiling-water canned", "pressure canned")

Takes = tuple[tuple[str, int], ...]
"""Resource keys (people, burners, equipment), and how many at once."""


def piece_key(name: str) -> str:
    """
    Return the resource key of a piece of equipment.

    >>> piece_key("hands")
    'piece: hands'
    """
    return f"piece: {name}"


@dataclass(frozen=True)
class Part:
    """One step of a load; `start` is in minutes from the start of its chain, which has no pauses."""

    kind: str
    words: str
    start: int
    minutes: int
    takes: Takes = ()

    @property
    def end(self) -> int:
        """The minute after the last, from the start of the chain."""
        return self.start + self.minutes


@dataclass(frozen=True)
class Load:
    """
    One load of a preserve, or one crop for the freezer.

    `prepare_minutes` are minutes of one person, `setup_minutes` of them setup; several may share them, with
    interruptions. `setup_before` are the setup minutes of an earlier load of the kind. The prepared food stands for at
    least `standing_minutes`, without labor; then the chain of `parts` follows. A chain that ends in a `run` leaves a
    dryer or crock unattended; it is `urgent` when the piece is needed again, and for the `evening` when its dryer is
    busy until the day's other work is over. Nothing of it begins before `earliest`, in minutes from the day's start.
    """

    name: str
    number: int
    of: int
    count: float
    prepare_minutes: int
    prepare_words: str
    parts: tuple[Part, ...] = ()
    keeps_days: float = math.inf
    urgent: bool = False
    evening: bool = False
    setup_minutes: int = 0
    setup_before: int = 0
    standing_minutes: int = 0
    standing_words: str = ""
    earliest: int = 0

    @property
    def ready_minutes(self) -> int:
        """Minutes of labor before the chain can begin: preparing, and the setup of its kind."""
        return self.prepare_minutes + self.setup_before

    @property
    def chain_minutes(self) -> int:
        """Minutes from the start of the chain to the end of its last attended step."""
        return max((part.end for part in self.parts if part.takes and part.kind not in UNWAITED), default=0)

    @cached_property
    def demand(self) -> tuple[tuple[str, int, int, int], ...]:
        """The resources of the chain as (key, number, start, minutes); overlapping parts are added up."""
        found = []
        for key in dict.fromkeys(key for part in self.parts for key, _ in part.takes):
            uses = [(part.start, part.end, units) for part in self.parts for name, units in part.takes if name == key]
            edges = sorted({edge for start, end, _ in uses for edge in (start, end)})
            for start, end in itertools.pairwise(edges):
                units = sum(one for first, last, one in uses if first <= start and end <= last)
                if units:
                    found.append((key, units, start, end - start))
        return tuple(found)

    @property
    def runs(self) -> bool:
        """Whether it ends in an unattended run."""
        return any(part.kind == RUN for part in self.parts)

    @property
    def only_runs(self) -> bool:
        """Whether only a run without a burner follows its preparing."""
        keys = {key for part in self.parts for key, _ in part.takes}
        return bool(self.parts) and all(part.kind == RUN for part in self.parts) and BURNERS not in keys

    @property
    def like(self) -> tuple[object, ...]:
        """The key of loads that are interchangeable."""
        return self.name, self.count


def up(minutes: float) -> int:
    """
    Return the minutes, rounded up.

    >>> up(25.0), up(25.2)
    (25, 26)
    """
    return math.ceil(minutes - ALMOST)


def loads_of(household: Household, session: Session) -> Iterator[Load]:
    """Yield the loads of one line of the plan; the first has the setup minutes. Thawing takes nobody's time."""
    minutes = up(household.kitchen.setup_hours_a_kind * 60)
    for load in loads_without_setup(household, session):
        if load.number == 1 and minutes:
            more = load.prepare_minutes + minutes
            words = set_up_words(load.prepare_words)
            yield replace(load, prepare_minutes=more, prepare_words=words, setup_minutes=minutes)
        else:
            yield replace(load, setup_before=minutes)


def loads_without_setup(household: Household, session: Session) -> Iterator[Load]:
    """Yield the loads of one line of the plan."""
    crops = {crop.name: crop for crop in household.crops}
    if session.name.startswith(FREEZE_WHOLE):
        crop = crops[session.name.removeprefix(FREEZE_WHOLE)]
        hands = up(session.amount * crop.freeze_hours_per_kg * 60)
        yield Load(session.name, 1, 1, session.amount, hands, "wash, dry, spread out and freeze", (), crop.keeps_days)
        return
    preserve = next((item for item in household.preserves if item.name == session.name), None)
    if preserve is None:
        return
    keeps = [crops[line.item].keeps_days for line in preserve.ingredients if line.source == "crop"]
    keeps_days = min(keeps, default=math.inf)
    if preserve.load is None or not preserve.equipment:
        yield by_hand(preserve, round(session.amount), keeps_days)
        return
    counts = shares(session.amount, preserve.load)
    for number, count in enumerate(counts, start=1):
        yield in_equipment(household, preserve, count, (number, len(counts)), keeps_days)


def by_hand(preserve: Preserve, count: int, keeps_days: float) -> Load:
    """
    Return the load of a preserve without equipment: prepared, blanched in batches if it takes the stove, packed.

    While a batch is on the stove the one before is cooled and packed, for at most half of the labor.
    """
    batches = count / preserve.smallest_batch
    hands = up(preserve.hands_minutes_each * count + preserve.hands_minutes_load * batches)
    stove = up(preserve.stove_minutes_each * count + preserve.stove_minutes_load * batches)
    if not stove:
        return Load(preserve.name, 1, 1, count, hands, prepare_words(preserve, alone=True), keeps_days=keeps_days)
    beside = min(stove, hands // 2)
    parts = [Part("cook", cook_words(preserve), 0, stove, ((BURNERS, 1),))]
    if beside:
        parts.append(Part("pack", pack_words(preserve), stove - beside, beside, ((HANDS, 1),)))
    words = prepare_words(preserve, alone=False)
    return Load(preserve.name, 1, 1, count, hands - beside, words, tuple(parts), keeps_days)


def in_equipment(
    household: Household, preserve: Preserve, count: int, which: tuple[int, int], keeps_days: float
) -> Load:
    """Return one load that goes through equipment; `which` is its number and the number of loads."""
    last = household.equipment_named(preserve.equipment[-1])
    pots = pots_at_once(preserve, household)
    earlier: Takes = tuple(
        (piece_key(name), pots) for name in dict.fromkeys(preserve.equipment[:-1]) if name != last.name
    )
    cook = up((preserve.stove_minutes_load + preserve.stove_minutes_each * count) / pots)
    hours = hours_in_piece(preserve, last)
    first = cook_part(preserve, cook, earlier, pots)
    if last.runs_overnight or hours > 24:
        hands = up(preserve.hands_minutes_each * count + preserve.hands_minutes_load)
        run = Part(RUN, run_words(preserve), cook, up(hours * 60), ((piece_key(last.name), 1), *burners(last)))
        words = prepare_words(preserve, alone=False)
        return Load(preserve.name, *which, count, hands, words, (*first, run), keeps_days)
    boiled = boil_minutes(household, preserve)
    shifted = tuple(Part(one.kind, one.words, max(0, boiled - cook), one.minutes, one.takes) for one in first)
    own_burner = household.kitchen.burners >= 2
    parts = [*shifted, *jar_parts(preserve, last, count, max(cook, boiled), boiled, own_burner=own_burner)]
    parts += canner_parts(preserve, last, count, max(cook, boiled), earlier)
    parts += stand_parts(household, preserve, count, max(part.end for part in parts))
    prepare = up(preserve.hands_minutes_each * count)
    words = prepare_words(preserve, alone=False)
    waits = up(sum(one.hours_low * 60 for one in preserve.standing if one.that_day))
    return Load(
        preserve.name, *which, count, prepare, words, tuple(parts), keeps_days,
        standing_minutes=waits, standing_words=standing_words(preserve) if waits else "",
    )  # fmt: skip


def cook_part(preserve: Preserve, minutes: int, earlier: Takes, pots: int = 1) -> tuple[Part, ...]:
    """Return the part that cooks down in the equipment before the last, on a burner for each of the pots that share."""
    return (Part("cook", cook_words(preserve), 0, minutes, ((BURNERS, pots), *earlier)),) if minutes else ()


def boil_minutes(household: Household, preserve: Preserve) -> int:
    """Return the minutes to sterilize jars: only where a boiling-water process is under ten minutes."""
    if preserve.method != CANNED[0] or not 0 < preserve.process_minutes < STERILIZE_UNDER_MINUTES:
        return 0
    return STERILIZE_MINUTES + max(0, math.ceil((household.kitchen.altitude_ft or 0.0) / 1000))


def stand_parts(household: Household, preserve: Preserve, count: int, out_at: int) -> Iterator[Part]:
    """Yield the jars cooling on the counter, for the least of the published hours, if a counter is typed."""
    counter, shares = counter_of(household), counter_shares(household, preserve, count)
    if counter is not None and shares and preserve.method in CANNED:
        yield Part(STAND, "cool on the counter", out_at, COOLING_MINUTES, ((piece_key(counter.name), shares),))


def jar_parts(
    preserve: Preserve, last: Equipment, count: int, filled_at: int, boiled: int, *, own_burner: bool
) -> list[Part]:
    """Return the part that heats the jars, or sterilizes them in the canner."""
    if preserve.method not in CANNED:
        return []
    if boiled:
        takes = ((piece_key(last.name), 1), *burners(last))
        return [Part("boil jars", boil_jars_words(count, boiled), filled_at - boiled, boiled, takes)]
    takes = ((BURNERS, 1),) if own_burner else ()
    return [Part("jars", jars_words(count), filled_at - JARS_HOT_MINUTES, JARS_HOT_MINUTES, takes)]


def burners(piece: Equipment) -> Takes:
    """Return the burners that a piece of equipment occupies."""
    return ((BURNERS, up(piece.burners)),) if piece.burners > 0 else ()


def canner_parts(preserve: Preserve, last: Equipment, count: int, at: int, earlier: Takes) -> Iterator[Part]:
    """Yield the parts from filling the jars to taking them out, without pauses."""
    there: Takes = ((piece_key(last.name), 1),)
    hot = (*there, *burners(last))
    if preserve.method in CANNED and preserve.steps.cook and not takes_the_stove(preserve):
        yield Part(READY, preserve.steps.cook, at, 0)
    hands = up(preserve.hands_minutes_load)
    filling = round(hands * 2 / 3)
    if filling:
        yield Part("fill", fill_words(preserve, count), at, filling, ((HANDS, 1), *there, *earlier))
    at += filling
    words = step_words_of(preserve, last)
    for step in load_steps(preserve, last):
        minutes = up(step.minutes)
        if minutes:
            yield Part(step.kind, words[step.kind], at, minutes, hot if step.heated else there)
        at += minutes
    if preserve.method == CANNED[1]:
        yield Part("lid", LID_WORDS, at, 0)
    if hands > filling:
        yield Part("take out", take_out_words(preserve, count), at, hands - filling, ((HANDS, 1), *there))
    if preserve.method in CANNED:
        yield Part("set down", SET_DOWN_WORDS, at + hands - filling, 0)


def step_words_of(preserve: Preserve, last: Equipment) -> Mapping[str, str]:
    """Return the words of each step in the last piece of equipment."""
    return {
        HEAT: heat_words(preserve),
        VENT: vent_words(preserve),
        RISE: rise_words(),
        PROCESS: process_words(preserve),
        COOL: cool_words(preserve),
        REST: rest_words(preserve, cooled=last.cool_down_hours > 0),
    }
