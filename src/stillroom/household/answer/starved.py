"""A should that gets nothing while the last quarter of a must is filled out of the same crop, jars or equipment."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.household.answer.sums import ALMOST, Sums
from stillroom.household.answer.units import Row
from stillroom.household.answer.words import listed
from stillroom.household.records import Need, Preserve


def starved_rows(sums: Sums, coverage: Sequence[Row]) -> list[tuple[str, str, str]]:
    """
    Messages (where, what, what to do), one for each should that gets nothing.

    Compared are the preserves of the must that are in the plan with those of the should that could be made.
    """
    there = {row["Need"]: amount(row, "On the shelf") + amount(row, "Planned") for row in coverage}
    wanted = [need for need in sums.household.needs if need.wanted > 0]
    full = [n for n in wanted if n.importance == 1 and there[n.name] > 0.75 * n.wanted + ALMOST]
    empty = [n for n in wanted if n.importance == 2 and there[n.name] <= ALMOST]
    rows = []
    for need in empty:
        sharing: dict[str, list[str]] = {}
        for must in full:
            if what := shared_supply(planned(sums, must), could_be_made(sums, need)):
                sharing.setdefault(what, []).append(must.name)
        if sharing:
            supply, musts = max(sharing.items(), key=lambda one: len(one[1]))
            be, both = ("is", "both take") if len(musts) == 1 else ("are", "all take")
            what = f"{need.name} gets nothing while {listed(musts, 3, '; ')} {be} filled past three quarters"
            fix = f"if that is not what you want, lower Wanted there, or give {need.name} the importance 1"
            rows.append(("Coverage", f"{what}; {both} {supply}", fix))
    return rows


def amount(row: Row, heading: str) -> float:
    """The number under a heading, 0 when there is none."""
    value = row[heading]
    return float(value) if isinstance(value, int | float) else 0.0


def planned(sums: Sums, need: Need) -> list[Preserve]:
    """The preserves that count toward a need and are in the plan."""
    items = (sums.preserve_named.get(name) for name in need.counts)
    return [item for item in items if item is not None and sums.plan.made(item.name) > ALMOST]


def could_be_made(sums: Sums, need: Need) -> list[Preserve]:
    """The preserves of a need that may be made and whose crops are all picked within the plan."""
    found = []
    for name in need.counts:
        item = sums.preserve_named.get(name)
        if item is not None and item.make:
            crops = {line.item for line in item.ingredients if line.source == "crop" and line.amount_each > 0}
            if all(sums.harvested_kg(sums.crop_named[crop]) > ALMOST for crop in crops):
                found.append(item)
    return found


def shared_supply(mine: Sequence[Preserve], theirs: Sequence[Preserve]) -> str:
    """What two lists of preserves both take: a crop, else a container, else time in a piece of equipment."""

    def supplies(items: Sequence[Preserve]) -> tuple[set[str], set[str], set[str]]:
        crops = {line.item for item in items for line in item.ingredients if line.source == "crop"}
        pieces = {f"time in the {piece}" for item in items for piece in item.equipment}
        return crops, {item.container for item in items}, pieces

    for one, other in zip(supplies(mine), supplies(theirs), strict=True):
        if one & other:
            return min(one & other)
    return ""
