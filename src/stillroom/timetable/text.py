"""The words of each step, as they stand in the timetable."""

from __future__ import annotations

from stillroom.household.records import Preserve
from stillroom.household.text import format_duration, format_number, plural

WATER, PRESSURE = "boiling-water canned", "pressure canned"


def counted(count: float, container: str) -> str:
    """
    So many of a container.

    >>> counted(7, "quart jar"), counted(1, "dry bag")
    ('7 quart jars', '1 dry bag')
    """
    return f"{format_number(count)} {plural(count, container)}"


def prepare_words(preserve: Preserve, *, alone: bool) -> str:
    """Words for the work of hands at the start; `alone` when nothing follows it."""
    if preserve.method == "frozen":
        return "wash, cut, pack and freeze" if alone else "wash and prepare"
    if preserve.method == "root cellar":
        return "sort and store"
    return "wash, prepare and put up" if alone else "wash and prepare"


SET_UP = "set up; "


def set_up_words(words: str) -> str:
    """
    Words for the first work of a kind that day.

    >>> set_up_words("wash and prepare")
    'set up; wash and prepare'
    """
    return f"{SET_UP}{words}"


def cook_words(preserve: Preserve) -> str:
    """Words for the stove's own minutes."""
    if preserve.method == "frozen":
        return "blanch in portions; boil, cool at once, pack"
    return "cook"


def jars_words(count: int) -> str:
    """
    Words for the jars, one more than the load needs.

    >>> jars_words(7)
    'heat 8 jars, one over; keep them hot'
    """
    return f"heat {count + 1} jars, one over; keep them hot"


def boil_jars_words(count: int, minutes: int) -> str:
    """
    Words for jars that are sterilised.

    >>> boil_jars_words(7, 12)
    'boil 8 empty jars 12 min in the canner, one over'
    """
    return f"boil {count + 1} empty jars {minutes} min in the canner, one over"


def fill_words(preserve: Preserve, count: int) -> str:
    """Words for filling."""
    return f"fill and close {counted(count, preserve.container)}"


def heat_words(preserve: Preserve) -> str:
    """Words for the time until the process, or the venting, may be counted."""
    if preserve.method == PRESSURE:
        return "heat up until steam comes steadily"
    return "heat up to a full boil" if preserve.method == WATER else "heat up"


def vent_words(preserve: Preserve) -> str:
    """Words for letting the air out."""
    return f"vent {format_number(preserve.vent_minutes)} min in steady steam"


def process_words(preserve: Preserve) -> str:
    """Words for the process, as the handbook has it."""
    text = preserve.process_text or format_duration(preserve.process_minutes)
    if preserve.method == PRESSURE:
        return f"process {text}; count from when the pressure stands"
    return f"process {text}; count from the full boil" if preserve.method == WATER else text


def cool_words(preserve: Preserve) -> str:
    """Words for the wait before the lid comes off."""
    if preserve.method == PRESSURE:
        return "off the heat; let the pressure fall by itself, never force it"
    return "off the heat, wait" if preserve.method == WATER else "cool"


def take_out_words(preserve: Preserve, count: int) -> str:
    """Words for taking a load out."""
    if preserve.method in (WATER, PRESSURE):
        return f"take out {counted(count, preserve.container)}; leave them to cool 12 to 24 h"
    return f"take out {counted(count, preserve.container)}"


def run_words(preserve: Preserve) -> str:
    """Words for what runs by itself for long."""
    verb = {"dried": "dry", "fermented": "ferment"}.get(preserve.method, "leave")
    return f"{verb} {preserve.process_text or format_duration(preserve.process_minutes)}"
