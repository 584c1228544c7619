"""Every stock as a storekeeper's card: counted, came, used, and what should be there now."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from stillroom.household.answer.units import in_crop_unit
from stillroom.household.happened import CAME, EATEN, MADE, Event, events
from stillroom.household.ledger import jars_taken, larder_taken, lids_taken
from stillroom.household.lots import Bins
from stillroom.household.records import Container, Crop, Household, LarderItem, Lid
from stillroom.household.shelf import on_the_shelf, taken_from_shelf

Took = Callable[[Event], float]


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
    moves = [event for event in happened if event.kind in (MADE, EATEN, CAME)]
    cards = [
        *(_container(household, one, moves) for one in household.containers),
        *(_lid(household, one, moves) for one in household.lids),
        *(_larder(household, one, moves) for one in household.larder),
        *_shelf(household, moves),
    ]
    crops = [card for crop in household.crops for card in _crop(household, crop, happened)]
    return (*cards, *sorted(crops, key=lambda card: card.kind))


def _moved(moves: Iterable[Event], since: datetime.date | None, took: Took) -> tuple[float, float]:
    """Add up what came and what was used on the day of counting or later."""
    each = [took(event) for event in moves if since is None or event.day >= since]
    return -sum(one for one in each if one < 0), sum(one for one in each if one > 0)


def _container(household: Household, one: Container, moves: Iterable[Event]) -> Card:
    came, used = _moved(moves, one.counted_on, lambda event: jars_taken(household, event, one))
    return Card("container", one.name, "each", one.on_hand, one.counted_on, came, used)


def _lid(household: Household, one: Lid, moves: Iterable[Event]) -> Card:
    came, used = _moved(moves, one.counted_on, lambda event: lids_taken(household, event, one))
    return Card("lid", one.name, "each", one.on_hand, one.counted_on, came, used)


def _larder(household: Household, one: LarderItem, moves: Iterable[Event]) -> Card:
    came, used = _moved(moves, one.counted_on, lambda event: larder_taken(household, event, one) * one.per_base)
    return Card("larder", one.name, one.unit, one.on_hand * one.per_base, one.counted_on, came, used)


def _shelf(household: Household, moves: list[Event]) -> Iterable[Card]:
    """Give the cards of preserves of which there are or were any; typed rows of the shelf are the count."""
    there = on_the_shelf(household, moves)
    left, _ = taken_from_shelf(household, list(there), moves)
    for preserve in household.preserves:
        counted = sum(row.count for row in household.shelf if row.preserve == preserve.name)
        came = sum(row.count for row in there if row.preserve == preserve.name) - counted
        now = sum(row.count for row in left if row.preserve == preserve.name)
        if counted or came:
            yield Card("shelf", preserve.name, "each", counted, None, came, counted + came - now)


def _crop(household: Household, crop: Crop, happened: Iterable[Event]) -> list[Card]:
    """Give the cards of a crop: fresh, and frozen whole. Fresh crop counts as it was weighed, spoilt or not."""
    fresh, frozen = (
        sum(lot.kg for lot in household.lots if lot.crop == crop.name and not lot.expected and bool(lot.frozen_on) == f)
        for f in (False, True)
    )
    bins = Bins(household)
    into = out = 0.0
    for event in happened:
        before = sum(lot.kg for lot in bins.frozen[crop.name])
        bins.happen(event)
        more = sum(lot.kg for lot in bins.frozen[crop.name]) - before
        into, out = into + max(more, 0.0), out + max(-more, 0.0)
    left = sum(lot.kg for lot in bins.fresh[crop.name])

    def said(kg: float) -> float:
        return in_crop_unit(kg, crop)

    cards = [Card("crop, fresh", crop.name, crop.unit, said(fresh), None, 0.0, said(fresh - left))] if fresh else []
    if frozen or into:
        cards.append(Card("crop, frozen whole", crop.name, crop.unit, said(frozen), None, said(into), said(out)))
    return cards
