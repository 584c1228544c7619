"""What a name in a change stands for: looked up in every table of the household, singular or plural."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable, Sequence
from typing import Any

from stillroom.errors import CommandWrong
from stillroom.household.amounts import number_from, parse_date, typed_amount
from stillroom.household.checks import is_container, same_words
from stillroom.household.names import Names, either, suggestion, tidy_text
from stillroom.household.records import WEEKDAYS, Household
from stillroom.household.suppose import more
from stillroom.household.text import format_date, format_list, format_number
from stillroom.household.units import MeasureWrong, Unit

MOST = 1e8
"""The largest number in range, as in a workbook."""

KIND_WORDS = {
    "container": "container",
    "lid": "lid",
    "pantry": "pantry ingredient",
    "crop": "crop",
    "equipment": "piece of equipment",
    "preserve": "preserve",
    "target": "target",
    "space": "place",
    "hours": "thing with hours",
}
"""The kinds of thing a change may name; the first word of each may stand before a name that two things have."""


class ChangeWrong(CommandWrong):
    """
    A change that cannot be understood: the change as typed, what is wrong with it, and what to do.

    `unknown_name` is true when nothing has the name in it; `suggestion` is the name that was likely meant.
    """

    unknown_name: bool = False
    suggestion: str = ""


def wrong(what: str, fix: str) -> ChangeWrong:
    """Build the error with its sentence."""
    return ChangeWrong(f"{what}; {fix}")


def unknown_name(household: Household, typed: str, kinds: Sequence[str]) -> ChangeWrong:
    """Build the error for a name that nothing of these kinds has."""
    near = suggestion(typed, *(Names(KIND_WORDS[kind], names_of(household, kind)) for kind in kinds))
    words = either(KIND_WORDS[kind] for kind in kinds)
    fix = f"did you mean {near}?" if near else f"there are: {some_names(household, kinds)}"
    error = wrong(f'no {words} is called "{typed}"', fix)
    error.unknown_name, error.suggestion = True, near
    return error


def names_of(household: Household, kind: str) -> list[str]:
    """The names of one kind of thing, as the household spells them."""
    rows: dict[str, Sequence[Any]] = {
        "container": household.containers,
        "lid": household.lids,
        "pantry": household.pantry,
        "crop": household.crops,
        "equipment": household.equipment,
        "preserve": household.preserves,
        "target": household.targets,
    }
    if kind == "space":
        return list(more.SPACES)
    if kind == "hours":
        return [row.what for row in household.hours]
    return [record.name for record in rows[kind]]


def find(household: Household, text: str, kinds: Sequence[str]) -> tuple[str, str]:
    """
    The kind and the name of the one thing that a text names; a word for its kind may stand before it.

    >>> from stillroom.household.examples import tiny_household
    >>> find(tiny_household(), "quart jars", ("container", "lid"))
    ('container', 'quart jar')

    Raises ChangeWrong when nothing, or more than one thing, has the name.
    """
    typed = tidy_text(text)
    first, _, rest = typed.partition(" ")
    if rest and first.casefold() in kinds:
        found = matches(household, rest, (first.casefold(),))
        if found:
            return found[0]
    found = matches(household, typed, kinds)
    if len(found) == 1:
        return found[0]
    if found:
        methods = [f"{kind} {name}" for kind, name in found]
        raise wrong(f"*{typed}* may be the {either(KIND_WORDS[kind] for kind, _ in found)}", f"write {either(methods)}")
    raise unknown_name(household, typed, kinds)


def matches(household: Household, typed: str, kinds: Sequence[str]) -> list[tuple[str, str]]:
    """Every thing of these kinds that a text names: by its own name, its plural, size and kind, or an everyday name."""
    exact = []
    for kind in kinds:
        name = Names(kind, names_of(household, kind)).find(typed)
        if name is not None:
            exact.append((kind, name))
    if exact:
        return exact
    near = [(kind, name) for kind in kinds for name in names_of(household, kind) if same_words(typed, name)]
    if not near and "container" in kinds:
        near = [("container", one.name) for one in household.containers if is_container(typed, one)]
    if near:
        return near
    meant = [(kind, name) for kind in kinds for name in Names(kind, names_of(household, kind)).meant(typed)]
    return meant if len(meant) == 1 else []


def some_names(household: Household, kinds: Iterable[str]) -> str:
    """The first few names there are."""
    every = [name for kind in kinds for name in names_of(household, kind)]
    return format_list(every, 8)


def several_preserves(household: Household, text: str) -> tuple[str, ...]:
    """
    The preserves that a text names: one by its name, all that begin so, or all that count toward a need.

    >>> from stillroom.household.examples import tiny_household
    >>> several_preserves(tiny_household(), "dried goods"), several_preserves(tiny_household(), "dried")
    (('dried tomato',), ('dried tomato',))

    Raises ChangeWrong when there are none.
    """
    typed = tidy_text(text)
    found = Names("preserve", names_of(household, "preserve")).find(typed)
    if found is not None:
        return (found,)
    target = Names("target", names_of(household, "target")).find(typed)
    if target is not None:
        return tuple(next(one for one in household.targets if one.name == target).counts)
    start = typed.casefold()
    whole = [item.name for item in household.preserves if whole_words(item.name.casefold(), start)]
    if whole:
        return tuple(whole)
    _, name = find(household, typed, ("preserve", "target"))
    return (name,)


def whole_words(name: str, part: str) -> bool:
    """
    Whether a part stands in a name as whole words.

    >>> whole_words("chile salsa, pint", "salsa"), whole_words("chile salsa, pint", "sal")
    (True, False)
    """
    return re.search(rf"(?<!\w){re.escape(part)}(?!\w)", name) is not None


def number(text: str, household: Household, most: float = MOST, least: float = 0.0) -> float:
    """Read a number from `least` up, `most` at most, as it might stand in the workbook; raises ChangeWrong."""
    try:
        figure = number_from(text, metric=household.kitchen.weight_unit != "lb")
    except MeasureWrong as problem:
        raise wrong(problem.what, problem.fix) from None
    return in_range(figure, text, least, most)


def amount(text: str, household: Household, least: float = 0.0) -> tuple[float, Unit | None]:
    """Read an amount with its unit, None for a bare number; not below `least`. Raises ChangeWrong."""
    try:
        found = typed_amount(text, metric=household.kitchen.weight_unit != "lb")
    except MeasureWrong as problem:
        raise wrong(problem.what, problem.fix) from None
    return in_range(found.number, text, least, MOST), found.unit


def in_range(figure: float, text: str, least: float, most: float, unit: str = "") -> float:
    """
    Give a figure that a workbook could hold too; raises ChangeWrong for one below or above that.

    >>> in_range(-5, "-5", 0, 1000)
    Traceback (most recent call last):
    stillroom.household.suppose.lookup.ChangeWrong: *-5* is too little; write a number from 0 to 1,000
    """
    if least <= figure <= most:
        return figure
    much = "too little" if figure < least else "too much"
    raise wrong(f"*{text}* is {much}", f"write a number from {format_number(least)} to {format_number(most)}{unit}")


def weekday(text: str) -> int | None:
    """
    The number of a weekday, Monday 0; None for another word.

    >>> weekday("Sat"), weekday("sunday"), weekday("Sam")
    (5, 6, None)
    """
    typed = text.casefold()
    whole = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    short = [day.casefold() for day in WEEKDAYS]
    return short.index(typed[:3]) if typed in short or typed in whole else None


def day_of(text: str, household: Household) -> datetime.date:
    """
    A day of the plan: a weekday (the next one, the first day included) or a date.

    >>> from stillroom.household.examples import tiny_household
    >>> day_of("Sat", tiny_household())
    datetime.date(2026, 8, 15)

    Raises ChangeWrong.
    """
    first = household.kitchen.first_day
    try:
        day = parse_date(text, household, ahead=True)
    except MeasureWrong as problem:
        if problem.kind == "two readings":
            raise wrong(problem.what, problem.fix) from None
        raise wrong(f"*{text}* is not a day", "write a weekday such as Sat, or a date such as Aug 22") from None
    if day < first:
        raise wrong(f"{format_date(day)} is before the first day, {format_date(first)}", "write a later day")
    return day
