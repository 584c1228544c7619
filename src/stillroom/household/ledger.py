"""Taking what the record says off what was counted and weighed: what is there on the first day."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TypeVar

from stillroom.errors import Problem
from stillroom.household.amounts import shown
from stillroom.household.happened import CAME, EATEN, MADE, Event, events, made_twice
from stillroom.household.lots import left_of_lots
from stillroom.household.records import BOUGHT, Container, Household, LarderItem, Lid
from stillroom.household.shelf import on_the_shelf, taken_from_shelf

Stock = TypeVar("Stock", Container, Lid, LarderItem)


def settle(household: Household) -> tuple[Household, tuple[Problem, ...]]:
    """
    Give the household as it stands on the first day, with what has to be said about it.

    Rows of the record, and *Made* of plan lines, of the day something was counted or later are taken off, whatever the
    first day is: containers, lids, larder, crop (oldest lots first); what was made is put on the shelf. What comes out
    below zero counts as zero. Fresh lots past their keeping time are left out. What was eaten comes off the shelf, and
    its container comes back; what was bought is added. Call it once, on the household as typed.
    """
    happened = events(household)
    made = [event for event in happened if event.kind in (MADE, EATEN, CAME)]
    problems = list(made_twice(household)) + _counted_on_blank(household, made)
    containers = []
    for container in household.containers:
        used = _taken(household, container, made, jars_taken)
        containers.append(replace(container, on_hand=_left(household, container, used, made, problems)))
    lids = [
        replace(lid, on_hand=_left(household, lid, _taken(household, lid, made, lids_taken), made, problems))
        for lid in household.lids
    ]
    larder = []
    for item in household.larder:
        left = _left(household, item, _taken(household, item, made, larder_taken), made, problems)
        larder.append(replace(item, on_hand=left))
    lots, said = left_of_lots(household, happened)
    problems += said
    shelf, said = taken_from_shelf(household, on_the_shelf(household, made), made)
    problems += said
    settled = replace(
        household, containers=tuple(containers), lids=tuple(lids), larder=tuple(larder), lots=lots, shelf=shelf
    )
    return settled, tuple(dict.fromkeys(problems))


def _taken(
    household: Household, stock: Stock, made: Iterable[Event], each: Callable[[Household, Event, Stock], float]
) -> float:
    """Add up what was taken on the day of counting or later; all of it when that day is blank."""
    since = stock.counted_on
    return sum(each(household, event, stock) for event in made if since is None or event.day >= since)


def bought(household: Household, event: Event, stock: Container | Lid | LarderItem) -> float:
    """Give how much of a stock was bought; of two stocks with one name it is the container, else the lid."""
    if event.kind != CAME or event.name != stock.name:
        return 0.0
    first: tuple[Container | Lid | LarderItem, ...] = (*household.containers, *household.lids, *household.larder)
    meant = next(one for one in first if one.name == event.name)
    return event.made if type(meant) is type(stock) else 0.0


def jars_taken(household: Household, event: Event, container: Container) -> float:
    """
    Containers that an event took, below zero for what it brought.

    What sealed stays full; what was used up or eaten comes back, in whole jars.
    """
    if event.kind == CAME:
        return -bought(household, event, container)
    preserve = household.preserve(event.name)
    if event.kind == EATEN:
        return -event.made if preserve.container == container.name else 0.0
    used = event.made if preserve.container == container.name else 0.0
    for line in preserve.ingredients:
        if line.source == "preserve" and household.preserve(line.item).container == container.name:
            used -= int(line.amount_each * event.filled + 1e-9)
    return used


def lids_taken(household: Household, event: Event, lid: Lid) -> float:
    """Lids that an event took: one a container, sealed or not; below zero for those bought."""
    if event.kind != MADE:
        return -bought(household, event, lid)
    container = household.container(household.preserve(event.name).container)
    return event.filled if container.lid == lid.name else 0.0


def larder_taken(household: Household, event: Event, item: LarderItem) -> float:
    """What an event took of a larder ingredient, in its base unit; below zero for what was bought."""
    if event.kind != MADE:
        return -bought(household, event, item) / item.per_base
    lines = household.preserve(event.name).ingredients
    return sum(line.amount_each * event.filled for line in lines if line.source == "larder" and line.item == item.name)


def _left(household: Household, stock: Stock, used: float, made: Iterable[Event], problems: list[Problem]) -> float:
    """Give what is left of a stock; below zero counts as zero, and is said."""
    unit, per_base = (f" {stock.unit}", stock.per_base) if isinstance(stock, LarderItem) else ("", 1.0)
    counted = stock.on_hand
    left = counted - used
    if left >= -1e-9:
        return max(left, 0.0)
    short = shown(-left * per_base) + unit
    came = _taken(household, stock, made, bought)
    there = f"{shown(counted * per_base)}{unit} counted" + (f" and {shown(came)}{unit} bought" if came else "")
    what = f"the record takes {short} more of *{stock.name}* than the {there}"
    much = f"how much in Made, in {stock.unit}" if isinstance(stock, LarderItem) else "how many in Made"
    row = f"a row *{BOUGHT}{stock.name}* in Record with {much}"
    fix = f"say what was bought since (the command *bought*, or {row}), or count again and write the day in Counted on"
    problems.append(Problem(stock.where, f"{what}; it counts as 0", fix, "stock below zero"))
    return 0.0


def _counted_on_blank(household: Household, made: list[Event]) -> list[Problem]:
    """Say once for each table that a blank day of counting means before everything in the record."""
    if not made:
        return []
    first = min(event.day for event in made)
    found = []
    tables: tuple[tuple[str, tuple[Container | Lid | LarderItem, ...]], ...] = (
        (
            "Containers",
            tuple(c for c in household.containers if any(jars_taken(household, event, c) for event in made)),
        ),
        ("Lids", tuple(one for one in household.lids if any(lids_taken(household, event, one) for event in made))),
        (
            "Larder",
            tuple(one for one in household.larder if any(larder_taken(household, event, one) for event in made)),
        ),
    )
    for table, stocks in tables:
        blank = [stock for stock in stocks if stock.counted_on is None]
        if blank:
            more = f" and {len(blank) - 1} more in {table}" if len(blank) > 1 else ""
            came = any(bought(household, event, stock) for event in made for stock in blank)
            also = ", and all that was bought is added" if came else ""
            what = f"*Counted on* is blank for *{blank[0].name}*{more}, so all work since {first} is taken off{also}"
            fix = "write the day they were counted, if some of that work was done before"
            found.append(Problem(blank[0].where, what, fix, "counted on blank"))
    return found
