"""The words of each step of the timetable, as the guides have them."""

from __future__ import annotations

from stillroom.household.records import Preserve
from stillroom.household.text import format_duration, format_number, plural

WATER, PRESSURE = "boiling-water canned", "pressure canned"


def counted(count: float, container: str) -> str:
    """
    Return a number of containers.

    >>> counted(7, "quart jar"), counted(1, "dry bag")
    ('7 quart jars', '1 dry bag')
    """
    return f"{format_number(count)} {plural(count, container)}"


def prepare_words(preserve: Preserve, *, alone: bool) -> str:
    """Return the words for preparing; `alone` when no step follows."""
    if preserve.method == "frozen":
        return "wash, cut, pack and freeze" if alone else "wash and prepare"
    if preserve.method == "root cellar":
        return "sort and store"
    return "wash, prepare and put up" if alone else "wash and prepare"


SET_UP = "set up; "


def set_up_words(words: str) -> str:
    """
    Return the words for preparing with the setup of its kind.

    >>> set_up_words("wash and prepare")
    'set up; wash and prepare'
    """
    return f"{SET_UP}{words}"


def cook_words(preserve: Preserve) -> str:
    """Return the words for the step on the stove."""
    if preserve.method == "frozen":
        return "blanch in batches; cool at once, pack"
    return "cook"


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


def fill_words(preserve: Preserve, count: int) -> str:
    """Return the words for filling."""
    return f"fill {counted(count, preserve.container)}; put on the lids"


def heat_words(preserve: Preserve) -> str:
    """Return the words for heating up to the boil, or to venting."""
    if preserve.method == PRESSURE:
        return "heat until steam flows steadily"
    return "bring to a full boil" if preserve.method == WATER else "heat up"


def vent_words(preserve: Preserve) -> str:
    """Return the words for venting."""
    return f"vent {format_number(preserve.vent_minutes)} min in a steady flow of steam"


def process_words(preserve: Preserve) -> str:
    """Return the words for the process, with the handbook's own text."""
    text = preserve.process_text or format_duration(preserve.process_minutes)
    if preserve.method == PRESSURE:
        return f"process {text}; start timing when full pressure is reached"
    return f"process {text}; start timing when the water is at a full boil" if preserve.method == WATER else text


def cool_words(preserve: Preserve) -> str:
    """Return the words for the wait before the lid comes off."""
    if preserve.method == PRESSURE:
        return "turn off the heat; let the canner depressurize on its own"
    return "turn off the heat; wait" if preserve.method == WATER else "cool"


def take_out_words(preserve: Preserve, count: int) -> str:
    """Return the words for taking out a load."""
    if preserve.method in (WATER, PRESSURE):
        return f"take out {counted(count, preserve.container)}; let them cool 12 to 24 h"
    return f"take out {counted(count, preserve.container)}"


def run_words(preserve: Preserve) -> str:
    """Return the words for a step that runs unattended for hours or weeks."""
    verb = {"dried": "dry", "fermented": "ferment"}.get(preserve.method, "leave")
    return f"{verb} {preserve.process_text or format_duration(preserve.process_minutes)}"
