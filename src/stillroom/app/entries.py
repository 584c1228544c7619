"""What is entered of a day: its kinds, a list of them as it is typed, and each one checked and queued in a workbook."""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stillroom.app.bought import came_home
from stillroom.app.journal import Log, left_kitchen, put_up, starts_as_amount, weighed
from stillroom.errors import CommandWrong, Problem
from stillroom.household.journal.stocks import stocks as stocks_of
from stillroom.household.names import Names, tidy_text
from stillroom.household.records import ATE, GAVE, SPOILED, SURPLUS, Household
from stillroom.household.units import find_unit

MADE, CAME, BOUGHT = "made", "came", "bought"
STARTS = {"ate": ATE, "gave": GAVE, "spoiled": SPOILED, "surplus": SURPLUS}
"""How the record's row of each begins."""
KINDS = (MADE, CAME, "ate", BOUGHT, "gave", "spoiled", "surplus")
"""Everything that can be entered."""
_SEPARATOR = re.compile(r"\s*(?:(?<!\d),|,(?!\d)|[;\n])\s*|\s+and\s+")
"""What parts a list: no comma between figures, which is part of a number."""


@dataclass(frozen=True)
class Entered:
    """One thing entered: its kind, whose it is, how much, and when; `failed` are jars that did not seal."""

    kind: str
    name: str
    amount: str
    day: datetime.date
    failed: str | None = None
    to: str | None = None


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
    return left_kitchen(log, STARTS[entered.kind], entered.name, entered.amount, entered.day, entered.to)


def names_of(kind: str, household: Household) -> Names:
    """Return the names that things of a kind may have."""
    crops = [one.name for one in household.crops]
    preserves = [one.name for one in household.preserves]
    stocks = [one.name for one in stocks_of(household)]
    found = {MADE: preserves, CAME: crops, BOUGHT: stocks}.get(kind, [*preserves, *crops])
    return Names(kind, found)


def entered_list(kind: str, text: str, household: Household, day: datetime.date) -> list[Entered]:
    """
    Read several things of a kind from one line: a name and an amount each, in either order, between commas.

    A name may have commas of its own, where it is one of the workbook's. Raises CommandWrong.
    """
    names = names_of(kind, household)
    return [Entered(kind, name, amount, day) for name, amount in pairs_in(text, lambda words: names.find(words))]


def pairs_in(text: str, find: Callable[[str], str | None]) -> list[tuple[str, str]]:
    """
    Take a list apart into names and amounts; `find` gives the name that words are, if they are one.

    Raises CommandWrong where there is a name without an amount.

    >>> known = {"plum tomato", "corn", "tomato juice, quart", "quart jar"}
    >>> pairs_in("53 lb plum tomato, corn 3 dozen", lambda words: words if words in known else None)
    [('plum tomato', '53 lb'), ('corn', '3 dozen')]
    >>> pairs_in("tomato juice, quart 2, 12 quart jar and 5lb pears", lambda words: words if words in known else None)
    [('tomato juice, quart', '2'), ('quart jar', '12'), ('pears', '5lb')]
    >>> pairs_in("corn", lambda words: words)
    Traceback (most recent call last):
    stillroom.errors.CommandWrong: "corn" has no amount; write such as corn 12 lb
    """
    parts = [part for part in _SEPARATOR.split(tidy_text(text)) if part]
    found = []
    while parts:
        known = [many for many in range(len(parts), 0, -1) if named_pair(", ".join(parts[:many]), find) is not None]
        many = known[0] if known else next((n for n in range(1, len(parts) + 1) if has_figure(parts[:n])), len(parts))
        piece = ", ".join(parts[:many])
        found.append(named_pair(piece, find) or any_pair(piece))
        del parts[:many]
    return found


def has_figure(parts: Sequence[str]) -> bool:
    """Whether there is an amount in some parts of a list."""
    return any(sign.isnumeric() for sign in "".join(parts))


def splits(piece: str) -> list[tuple[str, str]]:
    """
    Return every way to part a piece into a name and an amount that starts as one, the longest name first.

    >>> splits("12 quart jars")
    [('quart jars', '12'), ('jars', '12 quart')]
    >>> splits("corn 3 dozen"), splits("juice -1")
    ([('corn', '3 dozen')], [('juice', '-1')])
    """
    words = piece.split()
    front = [(" ".join(words[n:]), " ".join(words[:n])) for n in range(1, len(words))]
    back = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(len(words) - 1, 0, -1)]
    return [
        (name, amount)
        for name, amount in (*front, *back)
        if starts_as_amount(amount.lstrip("-")) and ", " not in amount
    ]


def named_pair(piece: str, find: Callable[[str], str | None]) -> tuple[str, str] | None:
    """Return name and amount of a piece whose name is known, the longest such name; None without one."""
    known = [(found, amount) for name, amount in splits(piece) if (found := find(name)) is not None]
    return max(known, key=lambda one: len(one[0]), default=None)


def any_pair(piece: str) -> tuple[str, str]:
    """Return name and amount of a piece whose name is not known, the amount with its unit. Raises CommandWrong."""
    several = splits(piece)
    with_unit = [one for one in several if (words := one[1].split())[1:] and find_unit(" ".join(words[1:]))]
    for pair in (*with_unit, *several):
        return pair
    msg = f'"{piece}" has no amount; write such as {piece} 12 lb'
    raise CommandWrong(msg)
