"""What has run out while food is left over: jars, lids, larder, freezer room and hours that a preserve would need."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from stillroom.household.records import STOVE_FREE, Preserve, Target
from stillroom.household.results.coverage import Left
from stillroom.household.results.sums import ALMOST, Sums, keeps_until
from stillroom.household.results.values import Row, in_crop_unit
from stillroom.household.text import format_crop, format_list

FREEZER = "room in the freezer"
HOURS = {"hands": "hours of hands", STOVE_FREE: "hours of the stove"}
MOST_NAMED = 6
LEAST_KG = 0.5
"""Less of a crop left over than this is not worth a jar."""


def run_out_rows(sums: Sums, coverage: Sequence[Row]) -> list[tuple[str, str, str]]:
    """
    One message (where, what, what to do) that names what is used up while crop is left over that could have used it.

    Counted only for preserves that are to be made and count toward a need that is short, on the day on which most of
    their crop is left over. Hours are named where nothing else is lacking and none of the days on which the crop was
    sound has enough of them left. Nothing is said where equipment is in the way.
    """
    short = {str(row["Target"]) for row in coverage if float(str(row["Short"] or 0)) > ALMOST}
    wanted = {name for target in sums.household.targets if target.name in short for name in target.counts}
    gone: dict[str, str] = {}
    crops: dict[str, float] = {}
    left = Left(sums)
    for item in sums.household.preserves:
        left_over = crop_left_over(sums, item) if item.include and item.name in wanted else None
        if left_over is None:
            continue
        crop, number = left_over
        lacking = dict(lacking_for(left, item, number)) or dict(hours_lacking_for(sums, item, crop, number))
        if lacking:
            gone |= lacking
            crops[crop] = sum(kg for (name, _), kg in sums.plan.surplus_kg.items() if name == crop)
    if not gone:
        return []
    amounts = [
        format_crop(in_crop_unit(kg, sums.crop_named[crop]), sums.crop_named[crop])
        for crop, kg in sorted(crops.items(), key=lambda one: (-one[1], one[0]))
    ]
    what = f"used up, or too little left: {format_list(list(gone), MOST_NAMED)}; and this is left over: "
    return [(next(iter(gone.values())), what + format_list(amounts, MOST_NAMED), cure(list(gone)))]


def cure(gone: list[str]) -> str:
    """
    What to do about it.

    >>> cure(["regular lid"])
    'if more can be had, write yes or a larger number under Can buy; stillroom limits says what it would give'
    >>> cure(["room in the freezer"])
    'make room in the freezer and correct freezer space free; stillroom limits says what it would give'
    """
    methods = []
    if any(name != FREEZER and name not in HOURS.values() for name in gone):
        methods.append("if more can be had, write yes or a larger number under Can buy")
    if FREEZER in gone:
        methods.append("make room in the freezer and correct freezer space free")
    if set(HOURS.values()) & set(gone):
        methods.append("where somebody can help, write more hours in Hours")
    return "; ".join([*methods, "stillroom limits says what it would give"])


def crop_left_over(sums: Sums, item: Preserve) -> tuple[str, int] | None:
    """
    The crop a preserve takes most of and the period in which most of it is left over, enough for one container.

    None when less is left over, or when another of its crops is never there.
    """
    lines = [line for line in item.ingredients if line.source == "crop" and line.amount_each > 0]
    if not lines or any(sums.harvested_kg(sums.crop_named[line.item]) <= ALMOST for line in lines):
        return None
    crop = max(lines, key=lambda line: line.amount_each).item
    surplus = {number: kg for (name, number), kg in sums.plan.surplus_kg.items() if name == crop}
    if not surplus:
        return None
    number = max(surplus, key=lambda one: (surplus[one], -one))
    return (crop, number) if surplus[number] >= max(item.crop_kg_each(crop), LEAST_KG) else None


def lacking_for(left: Left, item: Preserve, number: int) -> Iterator[tuple[str, str]]:
    """What one more container of a preserve in a period would lack until the plan ends, with its place."""
    household = left.sums.household
    container = household.container(item.container)
    if left.of_container(container, number) < 1 - ALMOST:
        yield container.name, container.where
    for lid in household.lids:
        if lid.name == container.lid and left.of_lid(lid, number) < 1 - ALMOST:
            yield lid.name, lid.where
    for stock in household.pantry:
        each = sum(line.amount_each for line in item.ingredients if line.source == "pantry" and line.item == stock.name)
        if each > 0 and left.of_pantry(stock, number) < each - ALMOST:
            yield stock.name, stock.where
    if item.kept_in == "freezer" and left.of_freezer_litres(number) < item.space_litres_each - ALMOST:
        yield FREEZER, household.kitchen.where.split("!")[0]


def hours_lacking_for(sums: Sums, item: Preserve, crop: str, number: int) -> Iterator[tuple[str, str]]:
    """The hours of which no period up to this one in which the crop is sound has enough left for a least batch."""
    lots = sums.sound_lots(sums.crop_named[crop])
    open_periods = [
        period
        for period in sums.periods[: number + 1]
        if any(
            lot.picked_on <= period.last_day and keeps_until(lot, sums.crop_named[crop]) >= period.first_day
            for lot in lots
        )
    ]
    make, loads = (1.0, 1.0) if item.load is not None else (float(item.smallest_batch), 0.0)
    needed = {"hands": sums.hands_hours(item, make, loads), STOVE_FREE: sums.stove_hours(item, make, loads)}
    used = {"hands": sums.hands_by_period, STOVE_FREE: sums.stove_by_period}
    for row in sums.household.hours:
        what = row.what.casefold()
        if what in HOURS and open_periods:
            free = [(sums.hours_there_are(what, one) or 0.0) - used[what][one.number] for one in open_periods]
            if max(free) < needed[what] - ALMOST:
                yield HOURS[what], row.where


# A should that gets nothing while the last quarter of a must is filled out of the same crop, jars or equipment.


def starved_rows(sums: Sums, coverage: Sequence[Row]) -> list[tuple[str, str, str]]:
    """
    Messages (where, what, what to do), one for each should that gets nothing.

    Compared are the preserves of the must that are in the plan with those of the should that could be made.
    """
    there = {row["Target"]: amount(row, "On the shelf") + amount(row, "Planned") for row in coverage}
    wanted = [target for target in sums.household.targets if target.wanted > 0]
    full = [n for n in wanted if n.importance == 1 and there[n.name] > 0.75 * n.wanted + ALMOST]
    empty = [n for n in wanted if n.importance == 2 and there[n.name] <= ALMOST]
    rows = []
    for target in empty:
        sharing: dict[str, list[str]] = {}
        for must in full:
            if what := shared_supply(planned(sums, must), could_be_made(sums, target)):
                sharing.setdefault(what, []).append(must.name)
        if sharing:
            supply, musts = max(sharing.items(), key=lambda one: len(one[1]))
            be, both = ("is", "both take") if len(musts) == 1 else ("are", "all take")
            what = f"{target.name} gets nothing while {format_list(musts, 3, '; ')} {be} filled past three quarters"
            fix = f"if that is not what you want, lower Wanted there, or give {target.name} the importance 1"
            rows.append(("Coverage", f"{what}; {both} {supply}", fix))
    return rows


def amount(row: Row, heading: str) -> float:
    """The number under a heading, 0 when there is none."""
    value = row[heading]
    return float(value) if isinstance(value, int | float) else 0.0


def planned(sums: Sums, target: Target) -> list[Preserve]:
    """The preserves that count toward a need and are in the plan."""
    items = (sums.preserve_named.get(name) for name in target.counts)
    return [item for item in items if item is not None and sums.plan.made(item.name) > ALMOST]


def could_be_made(sums: Sums, target: Target) -> list[Preserve]:
    """The preserves of a need that may be made and whose crops are all picked within the plan."""
    found = []
    for name in target.counts:
        item = sums.preserve_named.get(name)
        if item is not None and item.include:
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
