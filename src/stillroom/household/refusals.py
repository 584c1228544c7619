"""What the published tables refuse in a household: the errors, and what follows from the preserves left out."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from stillroom.errors import Problem
from stillroom.household.records import Household, Preserve
from stillroom.household.text import format_count, format_list

NO_DAY = "no day for a load"
"""The kind of what hours keep out of the plan; every other refusal is the handbook's."""
KITCHEN_FIRST = ("altitude missing", "gauge missing")
"""These come first of all errors: one setting of the kitchen keeps every canned preserve out of the plan."""


def refused_preserves(household: Household) -> tuple[Preserve, ...]:
    """Return the preserves that are left out of the plan; `household` is settled."""
    return tuple(item for item in household.preserves if item.refused)


def refusals(household: Household) -> tuple[Problem, ...]:
    """
    Return every error that keeps a preserve out of the plan, each once, those of the kitchen first.

    >>> from dataclasses import replace
    >>> from stillroom.household.examples import tiny_household
    >>> home = tiny_household()
    >>> acid, gauge = Problem("Preserves!A5", "acid missing"), Problem("Kitchen!B7", "gauge missing")
    >>> two = (replace(home.preserves[0], refused=(acid, gauge)), replace(home.preserves[1], refused=(gauge,)))
    >>> [one.where for one in refusals(replace(home, preserves=two))]
    ['Kitchen!B7', 'Preserves!A5']
    """
    found = dict.fromkeys(problem for item in household.preserves for problem in item.refused)
    return tuple(sorted(found, key=kitchen_first))


def kitchen_first(problem: Problem) -> bool:
    """Return False for a setting of the kitchen that is missing, which sorts before every other error."""
    return problem.kind not in KITCHEN_FIRST


def nothing_words(household: Household) -> str:
    """Return a sentence when every included preserve is refused; empty while one may be planned, or none is typed."""
    refused = refused_preserves(household)
    if not refused or household.planned():
        return ""
    count = format_count(len(refused), "included preserve")
    if any(problem.kind == NO_DAY for item in refused for problem in item.refused):
        return f"Nothing can be planned: an error keeps out {count}, and no other is included."
    return f"Nothing can be planned: the published tables refuse {count}, and no other is included."


def consequences(household: Household) -> tuple[Problem, ...]:
    """Return what follows from the preserves left out, for targets, ingredients and crops; `household` is settled."""
    if not refused_preserves(household):
        return ()
    return (*targets_without(household), *ingredients_without(household), *crops_without(household))


def refused_for(household: Household, names: Collection[str]) -> tuple[Preserve, ...]:
    """Return the refused preserves among these names when none of them may be planned; else nothing."""
    if any(item.name in names for item in household.planned()):
        return ()
    return tuple(item for item in refused_preserves(household) if item.name in names)


def targets_without(household: Household) -> Iterator[Problem]:
    """Yield each target that only refused preserves could fill, with the error as its cause."""
    for target in household.targets:
        refused = refused_for(household, target.counts) if target.wanted > 0 else ()
        if refused:
            names = (target.name, listed(refused))
            yield Problem(target.where, "target refused", names, cause=refused[0].refused[:1])


def ingredients_without(household: Household) -> Iterator[Problem]:
    """Yield each planned preserve that needs a refused one of which none is on the shelf."""
    refused = {item.name for item in refused_preserves(household)}
    there = {row.preserve for row in household.shelf if row.count > 0}
    for item in household.planned():
        for line in item.ingredients:
            if line.source == "preserve" and line.item in refused - there:
                yield Problem(line.where or item.where, "ingredient refused", (item.name, line.item))


def crops_without(household: Household) -> Iterator[Problem]:
    """Yield each crop that is there or expected, and that only refused preserves would use."""
    users: dict[str, list[Preserve]] = {}
    for item in refused_preserves(household):
        for name in dict.fromkeys(line.item for line in item.ingredients if line.source == "crop"):
            users.setdefault(name, []).append(item)
    used = {line.item for item in household.planned() for line in item.ingredients if line.source == "crop"}
    picked = {lot.crop for lot in household.lots if lot.kg > 0}
    for crop in household.crops:
        if crop.name in users and crop.name in picked - used:
            yield Problem(crop.where, "crop refused", (crop.name, listed(users[crop.name])))


def listed(items: Sequence[Preserve]) -> str:
    """Return the names of preserves, a few of many."""
    return format_list([item.name for item in items], 3, "; ")
