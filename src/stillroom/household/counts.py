"""Every stock as a storekeeper's card: counted, came, used, and what should be there now."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from stillroom.household.answer.units import in_crop_unit
from stillroom.household.happened import CAME, EATEN, MADE, Event, events
from stillroom.household.ledger import Counted, Move, per_base, since_counted, stock_moves, stocks
from stillroom.household.lots import Bins, kg_of
from stillroom.household.records import Container, Household, LarderItem, Lid, ShelfRow
from stillroom.household.shelf import on_the_shelf, taken_from_shelf

KINDS = {Container: "container", Lid: "lid", LarderItem: "larder"}


@dataclass(frozen=True)
class Card:
    """
    One stock, in the household's own unit.

    `should_be_now` = counted + came - used, and 0 where that lies below.
    """

    kind: str
    stock: str
    unit: str
    counted: float
    counted_on: datetime.date | None
    came: float
    used: float

    @property
    def should_be_now(self) -> float:
        """
        What should be there.

        >>> Card("lid", "wide lid", "each", 30, None, 24, 9).should_be_now
        45
        """
        return max(self.counted + self.came - self.used, 0)


def stock_cards(household: Household) -> tuple[Card, ...]:
    """
    Give the card of every container, lid, larder ingredient, preserve on the shelf and crop; `household` as typed.

    Came and used are what the record says of the day of counting and later; of crops, everything weighed.
    """
    happened = events(household)
    made = [event for event in happened if event.kind in (MADE, EATEN, CAME)]
    moves = stock_moves(household, made)
    counted = [_counted(stock, since_counted(moves, stock)) for stock in stocks(household)]
    return (*counted, *_shelf(household, made), *_crops(household, happened))


def _counted(stock: Counted, moves: Iterable[Move]) -> Card:
    """Give the card of a container, lid or larder ingredient from its moves since the day of counting."""
    unit, per = stock.unit if isinstance(stock, LarderItem) else "each", per_base(stock)
    each = [move.taken * per for move in moves]
    came, used = -sum(one for one in each if one < 0), sum(one for one in each if one > 0)
    return Card(KINDS[type(stock)], stock.name, unit, stock.on_hand * per, stock.counted_on, came, used)


def _shelf(household: Household, made: list[Event]) -> Iterable[Card]:
    """Give the cards of preserves of which there are or were any; typed rows of the shelf are the count."""
    there = on_the_shelf(household, made)
    left, _ = taken_from_shelf(household, list(there), made)
    counted, stood, now = (_counts(rows) for rows in (household.shelf, there, left))
    for preserve in household.preserves:
        name = preserve.name
        came = stood[name] - counted[name]
        if counted[name] or came:
            yield Card("shelf", name, "each", counted[name], None, came, counted[name] + came - now[name])


def _counts(rows: Iterable[ShelfRow]) -> dict[str, float]:
    """Add up rows of the shelf, by preserve."""
    found: dict[str, float] = defaultdict(float)
    for row in rows:
        found[row.preserve] += row.count
    return found


def _crops(household: Household, happened: Iterable[Event]) -> Iterable[Card]:
    """Give the cards of crops, fresh ones before those frozen whole. Fresh crop counts as weighed, spoilt or not."""
    bins = Bins(household)
    fresh, frozen, into, out = (defaultdict[str, float](float) for _ in range(4))
    for lot in household.lots:
        if not lot.expected:
            (frozen if lot.frozen_on else fresh)[lot.crop] += lot.kg
    for event in happened:
        before = {crop: kg_of(bins.frozen[crop]) for crop in event.crops_kg}
        bins.happen(event)
        for crop in event.crops_kg:
            more = kg_of(bins.frozen[crop]) - before[crop]
            into[crop] += max(more, 0.0)
            out[crop] += max(-more, 0.0)
    for one in household.crops:
        if fresh[one.name]:
            weighed, left = in_crop_unit(fresh[one.name], one), kg_of(bins.fresh[one.name])
            used = in_crop_unit(fresh[one.name] - left, one)
            yield Card("crop, fresh", one.name, one.unit, weighed, None, 0.0, used)
    for one in household.crops:
        if frozen[one.name] or into[one.name]:
            weighed, came, used = (in_crop_unit(found[one.name], one) for found in (frozen, into, out))
            yield Card("crop, frozen whole", one.name, one.unit, weighed, None, came, used)
