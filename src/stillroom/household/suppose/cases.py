"""Several changes as one case, several cases side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.household.records import Household
from stillroom.household.suppose.naming import ChangeWrong, wrong
from stillroom.household.suppose.reading import changed

BETWEEN = "vs"


@dataclass(frozen=True)
class Case:
    """One case: its name, the changes as typed and as understood, and the household so changed, not settled yet."""

    name: str
    typed: tuple[str, ...]
    understood: tuple[str, ...]
    household: Household


def cases_from(household: Household, words: Sequence[str]) -> tuple[Case, ...]:
    """
    The cases that a row of changes says; the word vs stands between two cases, a semicolon between two changes.

    >>> from stillroom.household.tiny import tiny_household
    >>> [case.name for case in cases_from(tiny_household(), ["quart jar +6", "hands Sat 0", "vs", "dryer gone"])]
    ['quart jar +6; hands Sat 0', 'dryer gone']

    Raises ChangeWrong with every change that cannot be read.
    """
    groups: list[list[str]] = [[]]
    for word in words:
        if word.strip().casefold() in (BETWEEN, f"{BETWEEN}."):
            groups.append([])
        else:
            groups[-1] += [part.strip() for part in word.split(";") if part.strip()]
    if len(groups) > 1 and not all(groups):
        raise wrong("there is no change beside a *vs*", "write a change on both sides of it")
    found, errors = [], []
    for group in groups:
        try:
            found.append(case_of(household, group))
        except ChangeWrong as error:
            errors.append(str(error))
    if errors:
        raise ChangeWrong("\n".join(errors))
    return tuple(found)


def case_of(household: Household, typed: Sequence[str], name: str = "") -> Case:
    """One case of all these changes, each made after the one before it. Raises ChangeWrong with every wrong one."""
    now, understood, errors = household, [], []
    for text in typed:
        try:
            now, words = changed(now, text)
            understood.append(words)
        except ChangeWrong as error:
            errors.append(str(error))
    if errors:
        raise ChangeWrong("\n".join(errors))
    return Case(name or "; ".join(typed) or "as it is", tuple(typed), tuple(understood), now)
