"""What has run out while food is left over: jars, lids, pantry items, freezer space and hours, with what to do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from stillroom.household.plan import Period
from stillroom.household.records import STOVE_FREE, Preserve, Target
from stillroom.household.results.coverage import Left
from stillroom.household.results.rows import Row, in_crop_unit
from stillroom.household.results.sums import ALMOST, Sums, keeps_until
from stillroom.household.text import format_list, format_quantity, plural

FREEZER = "freezer space"
ANOTHER = "days with room for another preserve"
HOURS = {"hands": "hands-on hours", STOVE_FREE: "stove hours"}
MOST_NAMED = 6
LEAST_KG = 0.5
"""Less of a crop left over than this is not worth a jar."""


def run_out_rows(sums: Sums, coverage: Sequence[Row]) -> list[tuple[str, str, str]]:
    """
    Return messages (where, what, what to do) that name what ran out while crop is left over that could have used it.

    Crops that lack the same are one message. Counted only for preserves that are included and count toward a target
    that is short, on the day on which most of their crop is left over. Hours, and days with room for another preserve,
    are named where nothing else is lacking and none of the days on which the crop was sound has enough of them left.
    Missing equipment is not named.
    """
    places: dict[str, str] = {}
    lacking: dict[str, list[str]] = {}
    for _, crop, found in ran_out(sums, short_targets(coverage)):
        places |= found
        lacking[crop] = list(dict.fromkeys([*lacking.get(crop, ()), *found]))
    by_lack: dict[tuple[str, ...], list[str]] = {}
    for crop in sorted(filter(lacking.__getitem__, lacking), key=lambda crop: (-surplus_kg(sums, crop), crop)):
        by_lack.setdefault(tuple(lacking[crop]), []).append(crop)
    rows = [
        (places[names[0]], out_of_words(sums, names, crops), " ".join(remedies(names)))
        for names, crops in by_lack.items()
    ]
    if rows:
        where, what, to_do = rows[-1]
        rows[-1] = (where, what, f"{to_do} stillroom bottlenecks shows what more would add.")
    return rows


def short_targets(coverage: Sequence[Row]) -> dict[str, float]:
    """Return by how much each target is short that is, from the rows of Coverage."""
    short = {str(row["Target"]): float(str(row["Short"] or 0)) for row in coverage}
    return {name: amount for name, amount in short.items() if amount > ALMOST}


def ran_out(sums: Sums, short: Mapping[str, float]) -> Iterator[tuple[Preserve, str, dict[str, str]]]:
    """Yield each preserve of a short target whose crop is left over, the crop, and what it lacks, with its place."""
    wanted = {name for target in sums.household.targets if target.name in short for name in target.counts}
    left = Left(sums)
    for item in sums.household.preserves:
        left_over = crop_left_over(sums, item) if item.include and item.name in wanted else None
        if left_over is not None:
            crop, number = left_over
            yield item, crop, dict(lacking_for(left, item, number)) or dict(hours_lacking_for(sums, item, crop, number))


def containers_lost(sums: Sums, coverage: Sequence[Row]) -> dict[str, float]:
    """
    Return how many containers more could be filled at most with enough of each thing that ran out, by its name.

    For each crop left over the preserve of most containers, as far as a target is short of it:

        containers = min(kg left over / kg a container, what the target is short of / what a container counts)
    """
    short = short_targets(coverage)
    most: dict[str, dict[str, float]] = {}
    for item, crop, found in ran_out(sums, short):
        mine = [one for one in sums.household.targets if one.name in short and one.counts.get(item.name, 0.0) > 0]
        room = max((short[one.name] / one.counts[item.name] for one in mine), default=0.0)
        many = min(surplus_kg(sums, crop) / item.crop_kg_each(crop), room)
        for name in found:
            by_crop = most.setdefault(name, {})
            by_crop[crop] = max(by_crop.get(crop, 0.0), many)
    return {name: float(math.floor(sum(by_crop.values()) + ALMOST)) for name, by_crop in most.items()}


def surplus_kg(sums: Sums, crop: str) -> float:
    """Return the surplus of a crop in all periods, in kg."""
    return sum(kg for (name, _), kg in sums.plan.surplus_kg.items() if name == crop)


def out_of_words(sums: Sums, names: Sequence[str], crops: Sequence[str]) -> str:
    """Return what ran out, and how much of which crops is left over by it; other days may have hours to spare."""
    counted = {one.name for one in sums.household.containers} | {one.name for one in sums.household.lids}
    gone = and_list([plural(2, name) if name in counted else name for name in names])
    amounts = [
        f"{format_quantity(in_crop_unit(surplus_kg(sums, crop), sums.crop_named[crop]), sums.crop_named[crop].unit)} "
        f"of {crop}"
        for crop in crops
    ]
    when = " while it keeps" if set(HOURS.values()) & set(names) else ""
    return f"Out of {gone}{when}, so {and_list(amounts)} won't be put up."


def and_list(words: Sequence[str]) -> str:
    """
    Return words with commas and an "and", at most six of them.

    >>> and_list(["pint jars"]), and_list(["pint jars", "lids", "vinegar"])
    ('pint jars', 'pint jars, lids and vinegar')
    """
    if len(words) > MOST_NAMED:
        words = [*words[: MOST_NAMED - 1], f"{len(words) - MOST_NAMED + 1} more"]
    return " and ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)


def remedies(names: Sequence[str]) -> list[str]:
    """
    Return what to do about what ran out.

    >>> remedies(["regular lid"]), remedies(["freezer space"])
    (['If you can get more, put yes under Can buy.'], ['Make space in the freezer, and update freezer space free.'])
    """
    found = []
    if any(name not in (FREEZER, ANOTHER, *HOURS.values()) for name in names):
        found.append("If you can get more, put yes under Can buy.")
    if FREEZER in names:
        found.append("Make space in the freezer, and update freezer space free.")
    if ANOTHER in names:
        found.append("If you can do more in a day, type more under most preserves in a day.")
    if set(HOURS.values()) & set(names):
        found.append("If someone can help, type more hours in Hours.")
    return found


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
    """
    What no period up to this one in which the crop is sound has left for a least batch, with its place.

    Hours, without the share kept free, and room for another preserve in a day.
    """
    lots = sums.sound_lots(sums.crop_named[crop])
    open_periods = [
        period
        for period in sums.periods[: number + 1]
        if any(
            lot.picked_on <= period.last_day and keeps_until(lot, sums.crop_named[crop]) >= period.first_day
            for lot in lots
        )
    ]
    kitchen = sums.household.kitchen
    if open_periods and all(full_of_preserves(sums, item, period) for period in open_periods):
        yield ANOTHER, kitchen.where.split("!")[0]
    make, loads = float(item.fewest), math.ceil(item.fewest / item.load) if item.load is not None else 0.0
    needed = {"hands": sums.hands_hours(item, make, loads), STOVE_FREE: sums.stove_hours(item, make, loads)}
    used = {"hands": sums.hands_by_period, STOVE_FREE: sums.stove_by_period}
    for row in sums.household.hours:
        what = row.what.casefold()
        if what in HOURS and open_periods:
            share = 1 - kitchen.kept_free
            free = [share * (sums.hours_there_are(what, one) or 0.0) - used[what][one.number] for one in open_periods]
            if max(free) < needed[what] - ALMOST:
                yield HOURS[what], row.where


def full_of_preserves(sums: Sums, item: Preserve, period: Period) -> bool:
    """Return whether a detailed day has the most preserves begun, and this is none of them."""
    begun = {name for (name, number), amount in sums.plan.make.items() if number == period.number and amount > ALMOST}
    frozen = sum(number == period.number and kg > ALMOST for (_, number), kg in sums.plan.freeze_kg.items())
    most = sums.household.kitchen.most_preserves_a_day
    return period.single and item.name not in begun and len(begun) + frozen >= most


# A should target that gets nothing while a must target over three quarters full takes the same crop, jars or equipment.


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
            be, take = ("is", "takes") if len(musts) == 1 else ("are", "take")
            names = format_list(musts, 3, "; ")
            what = f"{target.name} gets nothing, while {names} {be} over three quarters filled and {take} {supply}."
            remedy = f"If you don't want that, lower Wanted there, or give {target.name} importance 1."
            rows.append(("Coverage", what, remedy))
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
