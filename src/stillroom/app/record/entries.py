"""What is entered of a day: its kinds, a list of them as it is typed, and each one checked and queued in a workbook."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stillroom.app.record.bought import came_home
from stillroom.app.record.journal import STARTS, Log, left_kitchen, preserves_and_crops, put_up, weighed
from stillroom.errors import CommandWrong, Problem
from stillroom.household.amounts import is_metric, parse_entry
from stillroom.household.names import find_crop, find_preserve, find_stock, key, tidy_text
from stillroom.household.records import Household
from stillroom.household.units import find_unit

MADE, CAME, BOUGHT = "made", "came", "bought"
_BELOW_ZERO = re.compile(r"(.*\S)\s+([-−]\s*\d+)")
KINDS = (MADE, CAME, "ate", BOUGHT, "gave", "spoiled", "surplus")
"""Everything that can be entered."""
_FIGURES = re.compile(r"[\d$]")
_SEPARATOR = re.compile(r"\s*(?:(?<!\d),|,(?!\d)|;)\s*|\s+(and)\s+")
"""What parts a list: no comma between figures, which is part of a number."""


@dataclass(frozen=True)
class Entered:
    """One thing entered: its kind, whose it is, how much, and when; `failed` are jars that did not seal."""

    kind: str
    name: str
    amount: str
    day: datetime.date
    failed: str | None = None


def enter(log: Log, entered: Entered, problems: Sequence[Problem] = ()) -> list[str]:
    """
    Check one thing and queue it; what to say of it. `problems` are those of the workbook.

    Raises CommandWrong or WorkbookRefused, with nothing queued.
    """
    if entered.kind == MADE:
        return put_up(log, entered.name, entered.amount, entered.day, failed=entered.failed)
    if entered.kind == CAME:
        return weighed(log, entered.name, entered.amount, entered.day)
    if entered.kind == BOUGHT:
        return came_home(log, entered.name, entered.amount, entered.day, problems)
    return left_kitchen(log, STARTS[entered.kind], entered.name, entered.amount, entered.day)


def finder(kind: str, household: Household) -> Callable[[str], tuple[str, ...]]:
    """Return what gives the one name of a kind that a text means, or the few it could."""
    of_kind = {MADE: find_preserve, CAME: find_crop, BOUGHT: find_stock}
    if kind in of_kind:
        return lambda text: of_kind[kind](text, household)
    exact = preserves_and_crops(household)

    def either(text: str) -> tuple[str, ...]:
        name = exact.find(text)
        return (name,) if name is not None else (*find_preserve(text, household), *find_crop(text, household))

    return either


def first_among(lines: Sequence[str], find: Callable[[str], tuple[str, ...]]) -> Callable[[str], tuple[str, ...]]:
    """
    Return what takes a name for one of the lines of the day where it could mean several things, or none.

    >>> several = {"salsa": ("salsa, pint", "salsa, quart")}
    >>> find = first_among(["sweet corn, pint", "salsa, pint"], lambda text: several.get(text, ()))
    >>> find("sweet corn"), find("salsa")
    (('sweet corn, pint',), ('salsa, pint',))
    """

    def meant(text: str) -> tuple[str, ...]:
        found = find(text)
        if len(found) == 1:
            return found
        near = [name for name in lines if name in found] or [
            name for name in lines if key(name).startswith((f"{key(text)},", f"{key(text)} "))
        ]
        return (near[0],) if len(near) == 1 else found

    return meant


def entered_list(
    kind: str, text: str, household: Household, day: datetime.date, lines: Sequence[str] = ()
) -> list[Entered]:
    """
    Read several things of a kind from one line: a name and an amount each, in either order, between commas or "and".

    A name may have these of its own, where it is one of the workbook's. `lines` are those of the plan that it may be
    short for. Raises CommandWrong.
    """
    find, metric = first_among(lines, finder(kind, household)), is_metric(household)
    return [
        Entered(kind, meant[0] if len(meant := find(name)) == 1 else name, amount, day)
        for name, amount in pairs_in(text, find, metric=metric)
    ]


def pairs_in(text: str, find: Callable[[str], tuple[str, ...]], *, metric: bool = False) -> list[tuple[str, str]]:
    """
    Take a list apart into names and amounts; `find` gives the names that words could mean.

    Raises CommandWrong where there is a name without an amount.

    >>> from stillroom.household.names import Names
    >>> find = Names("", ["plum tomato", "corn", "tomato juice, quart", "quart jar"]).meant
    >>> pairs_in("53 lb plum tomato, corn 3 dozen", find)
    [('plum tomato', '53 lb'), ('corn', '3 dozen')]
    >>> pairs_in("tomato juice, quart -1, 12 quart jars and 5lb pears", find)
    [('tomato juice, quart', '-1'), ('quart jars', '12'), ('pears', '5lb')]
    >>> pairs_in("a dozen corn, half a bushel pears", find)
    [('corn', 'a dozen'), ('pears', 'half a bushel')]
    >>> pairs_in("peas and carrots 3 and corn 2", Names("", ["corn", "peas and carrots"]).meant)
    [('peas and carrots', '3'), ('corn', '2')]
    >>> pairs_in("corn", find)
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: "corn" has no amount that can be read; write such as corn 12
    >>> pairs_in("quart jars 12 for $16", find)
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: "quart jars 12 for $16" has no amount that can be read; write such as quart jars 12
    """
    first, *more = _SEPARATOR.split(tidy_text(text))
    words = zip(["", *(" and " if word else ", " for word in more[::2])], [first, *more[1::2]], strict=True)
    parts = [(before, part) for before, part in words if part]
    found = []
    while parts:
        pairs = [one_pair(joined(parts[:n]), find, metric) for n in range(1, len(parts) + 1)]
        named = [n for n in range(len(parts), 1, -1) if is_one_name(pairs[n - 1], find)]
        many = named[0] if named else next((n for n, pair in enumerate(pairs, 1) if pair[1]), len(parts))
        name, amount = pairs[many - 1]
        if not amount:
            words = _FIGURES.split(name)[0].strip() or "corn"
            msg = f'"{name}" has no amount that can be read; write such as {words} 12'
            raise CommandWrong(msg)
        found.append((name, amount))
        del parts[:many]
    return found


def joined(parts: Sequence[tuple[str, str]]) -> str:
    """
    Return parts of a list as they were typed, each after what parts it from the one before.

    >>> joined([(", ", "peas"), (" and ", "carrots"), (", ", "pint 3")])
    'peas and carrots, pint 3'
    """
    return "".join(before + part for before, part in parts).removeprefix(parts[0][0])


def is_one_name(pair: tuple[str, str], find: Callable[[str], tuple[str, ...]]) -> bool:
    """Whether a pair has an amount, and the very name of one thing."""
    return bool(pair[1]) and [key(name) for name in find(pair[0])] == [key(pair[0])]


def one_pair(piece: str, find: Callable[[str], tuple[str, ...]], metric: bool) -> tuple[str, str]:
    """
    Return name and amount of one piece of a list; an amount below zero is that of jars that did not seal.

    >>> one_pair("12 lb corm", lambda name: (), False), one_pair("salsa -1", lambda name: (), False)
    (('corm', '12 lb'), ('salsa', '-1'))
    >>> one_pair("salsa 6 -1", lambda name: (), False)
    ('salsa', '6 -1')
    """
    below = _BELOW_ZERO.fullmatch(piece)
    if below is not None and is_one_name((below[1], below[2]), find):
        return below[1], below[2]
    name, amount = parse_entry(piece if below is None else below[1], find, metric=metric)
    if below is not None:
        return name, " ".join(part for part in (amount, below[2]) if part)
    unit, _, rest = name.partition(" ")
    return (rest, f"{amount} {unit}") if amount and rest and not find(name) and find_unit(unit) else (name, amount)
