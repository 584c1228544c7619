"""The words of each step of the timetable, its rows, and the messages about days that do not fit."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from stillroom.handbook.lines import RISE, fact
from stillroom.household.records import Preserve
from stillroom.household.results.clock import DayOnClock, Step, people_words, step_words
from stillroom.household.results.messages import WARNING
from stillroom.household.results.rows import Row
from stillroom.household.results.tables import FROM_MEMORY, OWN_RECIPE
from stillroom.household.standing import Standing
from stillroom.household.text import (
    format_clock,
    format_count,
    format_duration,
    format_long_date,
    format_minutes,
    format_moment,
    format_number,
)

WATER, PRESSURE = "boiling-water canned", "pressure canned"


def prepare_words(preserve: Preserve, *, alone: bool) -> str:
    """
    Return the words for preparing, with the marks of the preserve; `alone` when no step follows.

    What stood since the evening before was prepared then.

    >>> from stillroom.household.standing import RecipeSteps
    >>> corn = Preserve("corn", PRESSURE, "pint jar", steps=RecipeSteps("raw pack", "husk, cut off the kernels"))
    >>> prepare_words(corn, alone=False)
    'wash and prepare: husk, cut off the kernels'
    """
    steps = preserve.steps
    words, details = "wash, prepare and put up" if alone else "wash and prepare", [steps.prepare]
    ahead = [one for one in preserve.standing if one.ahead]
    if ahead:
        words, details = "prepare", [one.then for one in ahead]
    if preserve.method == "frozen" and alone:
        words, details = "wash, cut, pack and freeze", [steps.prepare, steps.fill]
    if preserve.method == "dried" and not takes_the_stove(preserve):
        details.append(f"{preserve.blanch_text}, cool" if preserve.blanch_text else "")
    if preserve.method == "root cellar":
        words, details = f"sort and store {steps.fill}".strip(), []
    detail = "; ".join(text for text in details if text)
    words = f"{words}: {detail}" if detail else words
    marks = ((OWN_RECIPE, preserve.own_recipe), (FROM_MEMORY, preserve.from_memory))
    return "; ".join([words, *(mark for mark, holds in marks if holds)])


SET_UP = "set up; "


def set_up_words(words: str) -> str:
    """
    Return the words for preparing with the setup of its kind.

    >>> set_up_words("wash and prepare")
    'set up; wash and prepare'
    """
    return f"{SET_UP}{words}"


def takes_the_stove(preserve: Preserve) -> bool:
    """Return whether its recipe has minutes on the stove, which are a step of their own."""
    return preserve.stove_minutes_each + preserve.stove_minutes_load > 0


def continued(words: str) -> str:
    """
    Return the words for preparing that goes on after an interruption: what to do is said once.

    >>> continued("set up; wash and prepare: husk, cut off the kernels; not verified")
    'wash and prepare; not verified'
    """
    first, colon, _ = words.removeprefix(SET_UP).partition(": ")
    marks = [mark for mark in (OWN_RECIPE, FROM_MEMORY) if colon and f"; {mark}" in words]
    return "; ".join([first, *marks])


def cook_words(preserve: Preserve) -> str:
    """
    Return the words for the step on the stove.

    >>> from stillroom.household.standing import RecipeSteps
    >>> cook_words(Preserve("sauce", WATER, "quart jar", steps=RecipeSteps(cook="simmer until thick")))
    'cook: simmer until thick'
    """
    if preserve.method == "frozen":
        first = f"{preserve.blanch_text}," if preserve.blanch_text else "blanch"
        return f"{first} in batches; cool at once, pack"
    if preserve.method == "dried" and preserve.blanch_text:
        return f"{preserve.blanch_text}; cool"
    return f"cook: {preserve.steps.cook}" if preserve.steps.cook else "cook"


def pack_words(preserve: Preserve) -> str:
    """Return the words for packing what was blanched."""
    return ": ".join(text for text in ("cool, drain and pack", preserve.steps.fill) if text)


def jars_words(count: int) -> str:
    """
    Return the words for heating jars, one more than the load holds.

    >>> jars_words(7)
    'heat 8 jars (one spare); keep them hot'
    """
    return f"heat {count + 1} jars (one spare); keep them hot"


def boil_jars_words(count: int, minutes: int) -> str:
    """
    Return the words for sterilizing jars.

    >>> boil_jars_words(7, 12)
    'boil 8 empty jars (one spare) 12 min in the canner'
    """
    return f"boil {count + 1} empty jars (one spare) {minutes} min in the canner"


BEFORE_LID = "remove air bubbles, wipe rims, put on lids, screw bands fingertip-tight"
WATER_DEPTH, WATER_OVER = "pressure water depth", "boiling water depth over jars min"


def fill_words(preserve: Preserve, count: int) -> str:
    """
    Return the words for filling: pack, acid, liquid and headspace of each jar, and what a jar needs before its lid.

    >>> from dataclasses import replace
    >>> from stillroom.household.standing import RecipeSteps
    >>> juice = Preserve("juice", WATER, "quart jar", headspace="1/2 inch headspace", acid_each="2 tbsp lemon juice")
    >>> fill_words(juice, 7).split("; ")[0]
    'fill 7 quart jars: 2 tbsp lemon juice in each, 1/2 inch headspace'
    >>> fill_words(replace(juice, steps=RecipeSteps("hot pack", fill="cover with hot water")), 7).split("; ")[0]
    'fill 7 quart jars (hot pack): 2 tbsp lemon juice in each, cover with hot water, 1/2 inch headspace'
    """
    steps = preserve.steps
    acid = f"{preserve.acid_each} in each" if preserve.acid_each else ""
    details = ", ".join(text for text in (acid, steps.fill, preserve.headspace) if text)
    filled = f"fill {format_count(count, preserve.container)}" + (f" ({steps.pack})" if steps.pack else "")
    filled += f": {details}" if details else ""
    return f"{filled}; {BEFORE_LID}" if preserve.method in (WATER, PRESSURE) else f"{filled}; put on the lids"


def heat_words(preserve: Preserve) -> str:
    """
    Return the words for heating up to the boil, or to venting, with the published depth of water.

    >>> heat_words(Preserve("beans", PRESSURE, "quart jar"))
    'set the jars in 2 to 3 inches of hot water, fasten the lid; heat until steam flows steadily'
    """
    if preserve.method == PRESSURE:
        deep = fact(WATER_DEPTH)["value"].replace("-", " to ")
        return f"set the jars in {deep} inches of hot water, fasten the lid; heat until steam flows steadily"
    if preserve.method == WATER:
        return f"cover the jars with at least {fact(WATER_OVER)['value']} inch of hot water; bring to a full boil"
    return "heat up"


def vent_words(preserve: Preserve) -> str:
    """Return the words for venting."""
    return f"vent {format_number(preserve.vent_minutes)} min in a steady flow of steam"


def rise_words() -> str:
    """Return the words for closing the canner; the step ends at full pressure, whenever that is."""
    minutes = fact(RISE)["value"].replace("-", " to ")
    return f"put on the weight or close the petcock; ends when full pressure is reached ({minutes} min)"


def process_words(preserve: Preserve) -> str:
    """Return the words for the process, with the handbook's own text."""
    text = preserve.process_text or format_duration(preserve.process_minutes)
    if preserve.method == PRESSURE:
        return f"process {text}; start timing when full pressure is reached, and again if it drops"
    return f"process {text}; start timing when the water is at a full boil" if preserve.method == WATER else text


def cool_words(preserve: Preserve) -> str:
    """Return the words for cooling down, with the heat off."""
    if preserve.method == PRESSURE:
        return "turn off the heat; let the canner depressurize on its own"
    return f"{WATER_OFF}; wait" if preserve.method == WATER else "cool"


def rest_words(preserve: Preserve, *, cooled: bool) -> str:
    """Return the words for the wait before the jars come out; `cooled` when a cooling step comes before it."""
    wait = f"wait {format_number(preserve.rest_minutes)} min"
    if preserve.method == PRESSURE:
        return f"take off the weight or open the petcock; {wait}"
    return f"{wait} more" if cooled else f"{WATER_OFF}; {wait}"


WATER_OFF = "turn off the heat, take off the lid"
LID_WORDS = "lift the lid away from your face"
SET_DOWN_WORDS = "let the jars cool upright on a towel or rack 12 to 24 h; do not move them or tighten the bands"
SEALS_WORDS = (
    "check the seals; refrigerate an unsealed jar, or reprocess it within 24 h; "
    "take the bands off the sealed jars, wash and label them"
)


def take_out_words(preserve: Preserve, count: int) -> str:
    """Return the words for taking out a load."""
    lifted = " with a jar lifter" if preserve.method in (WATER, PRESSURE) else ""
    return f"take out {format_count(count, preserve.container)}{lifted}"


def standing_words(preserve: Preserve) -> str:
    """Return the words for the waits inside a recipe on its own day, and for what follows each."""
    waits = [one for one in preserve.standing if one.that_day]
    return "leave " + ", then ".join(f"{one.words}; {one.then}" if one.then else one.words for one in waits)


def ahead_words(standing: Standing, *, late: bool, prepare: str = "") -> str:
    """
    Return the words for a wait that begins before its day, what is prepared first included; `late` when it is past.

    >>> ahead_words(Standing(12, 18, "in the refrigerator", "1 h in the hot water"), late=False)
    'start 12 to 18 h in the refrigerator (or, that day, 1 h in the hot water)'
    >>> ahead_words(Standing(12, 12, "in brine"), late=False, prepare="cut off the blossom ends")
    'wash; cut off the blossom ends; then start 12 h in brine'
    >>> ahead_words(Standing(12, 12, "in brine"), late=True)
    'must have had 12 h in brine; if not, make it another day'
    """
    choice = f" (or, that day, {standing.choice})" if standing.choice else ""
    if late:
        return f"must have had {standing.words}{choice}; if not, make it another day"
    first = f"wash; {prepare}; then " if prepare else ""
    return f"{first}start {standing.words}{choice}"


def run_words(preserve: Preserve) -> str:
    """Return the words for a step that runs unattended for hours or weeks."""
    verb = {"dried": "dry", "fermented": "ferment"}.get(preserve.method, "leave")
    words = f"{verb} {preserve.process_text or format_duration(preserve.process_minutes)}"
    return ", ".join(text for text in (words, preserve.steps.fill) if text)


# The timetable as rows, and messages about days that do not fit their hours.


def timetable_rows(clock: Sequence[DayOnClock]) -> list[Row]:
    """Return a row for every step, by day and time."""
    return [row_of(step) for step in in_order(clock)]


def in_order(clock: Sequence[DayOnClock]) -> list[Step]:
    """Return every step by its start; a step on a later day is with the steps of that day."""
    steps = [step for day in clock for step in day.steps]
    return sorted(steps, key=lambda step: step.start)


def row_of(step: Step) -> Row:
    """Return the row of a step."""
    return {
        "Day": step.start.date(),
        "Start": step.start.time(),
        "End": step.end.time(),
        "Step": step_words(step),
        "Preserve": step.name,
        "Equipment": ", ".join(step.equipment) or None,
        "People": ", ".join(step.persons) or None,
    }


def clock_messages(clock: Sequence[DayOnClock]) -> Iterator[Row]:
    """Yield a message for each day that does not fit its hours: by how much, and what to move."""
    for day in clock:
        for words in day.left_off:
            fix = "put 0 under Keep at in its plan line, or change its equipment"
            yield message(day.day, f"cannot be scheduled: {words}", fix)
        for name, minutes in day.overworked:
            what = f"is too long for {name}: {format_minutes(minutes)} more than the hours typed"
            yield message(day.day, what, f"have somebody else do it, or type more hours for {name}")
        if day.evening_ends is not None and day.evening_ends > day.kitchen.latest:
            yield late_dryer(day, day.evening_ends)
        if day.ends > day.closes:
            yield past_its_hours(day)


def late_dryer(day: DayOnClock, filled: datetime.datetime) -> Row:
    """Return the message about a dryer load that would start when nobody is up."""
    until = format_moment(day.kitchen.latest, day.day)
    name = next((step.name for step in day.steps if step.kind == "run" and step.start == filled), "")
    what = f"has a dryer load of {name} to start at {format_moment(filled, day.day)}, and nobody is up after {until}"
    return message(day.day, what, f"make less of {name} that day (type it under Keep at)")


def past_its_hours(day: DayOnClock) -> Row:
    """Return the message about a day that ends past its hours."""
    past = (day.ends - day.closes).total_seconds() / 60
    hours = 'the rows "hands" and "stove free" of the table Hours'
    by_the_clock = day.kitchen.open_minutes == day.kitchen.until_minutes
    what = (
        f"ends at {format_moment(day.ends, day.day)}, {format_minutes(past)} past its hours "
        f"({format_clock(day.kitchen.starts)} to {format_moment(day.closes, day.day)}, from "
        f"{'the setting latest end' if by_the_clock else hours}, for {people_words(day.kitchen.persons)}); "
        f"{day.last_to_end} ends last"
    )
    more = "type a later end" if by_the_clock else "type more hours"
    fix = f"move {day.last_to_end} to another day (put 0 under Keep at), start earlier, or {more}"
    return message(day.day, what, fix)


def message(day: datetime.date, what: str, fix: str) -> Row:
    """Return a row of Messages."""
    return {
        "Severity": WARNING,
        "Where": f"Timetable, {format_long_date(day)}",
        "What": f"the day {what}",
        "What to do": fix,
    }
