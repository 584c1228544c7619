"""The storekeeper's cards of a whole record: those of a slow count that looks at everything, and in time that grows with it."""

import math
import time

import pytest
from tests.household.long_record import long_record

from stillroom.household.journal.events import CAME, EATEN, FROZEN, LOST_OF, MADE, SURPLUS_TO, THAWED, events
from stillroom.household.journal.overview import seasons
from stillroom.household.journal.stocks import Card, settle, stock_cards
from stillroom.household.results.rows import in_crop_unit


def slow_cards(household):
    """Every card by a search through the whole record, one stock after the other."""
    tables = {"container": household.containers, "lid": household.lids, "pantry": household.pantry}
    cards = [counted_card(household, kind, stock) for kind, stocks in tables.items() for stock in stocks]
    cards += [card for preserve in household.preserves for card in shelf_cards(household, preserve.name)]
    crops = [card for crop in household.crops for card in crop_cards(household, crop)]
    return (*cards, *sorted(crops, key=lambda card: card.kind))


def counted_card(household, kind, stock):
    came = used = 0.0
    for event in events(household):
        if stock.counted_on is None or event.day >= stock.counted_on:
            taken = {"container": jars, "lid": lids, "pantry": pantry}[kind](household, event, stock)
            came, used = came + max(-taken, 0), used + max(taken, 0)
    per, unit = (stock.per_base, stock.unit) if kind == "pantry" else (1, "each")
    return Card(kind, stock.name, unit, stock.on_hand * per, stock.counted_on, came * per, used * per)


def jars(household, event, stock):
    """Jars filled and sealed, less those that came empty out of the work, were eaten empty or bought."""
    if event.kind == CAME:
        return -event.made if event.name == stock.name else 0
    if event.kind not in (MADE, EATEN):
        return 0
    preserve = household.preserve(event.name)
    own = event.made if preserve.container == stock.name else 0
    if event.kind == EATEN:
        return -own
    parts = [line for line in preserve.ingredients if line.source == "preserve"]
    empty = [math.floor(p.amount_each * event.filled) for p in parts if jar_of(household, p.item) == stock.name]
    return own - sum(empty)


def jar_of(household, preserve):
    return household.preserve(preserve).container


def lids(household, event, stock):
    if event.kind == CAME:
        return -event.made if event.name == stock.name else 0
    lidded = event.kind == MADE and household.container(jar_of(household, event.name)).lid == stock.name
    return event.filled if lidded else 0


def pantry(household, event, stock):
    if event.kind == CAME:
        return -event.made / stock.per_base if event.name == stock.name else 0
    lines = household.preserve(event.name).ingredients if event.kind == MADE else ()
    return sum(line.amount_each * event.filled for line in lines if line.item == stock.name)


def shelf_cards(household, name):
    """Rows of [made on, count]; eaten and used up come off the oldest that were there."""
    typed = [row for row in household.shelf if row.preserve == name]
    rows = [[row.made_on, row.count] for row in typed]
    happened = events(household)
    rows += [[event.day, event.made] for event in happened if event.kind == MADE and event.name == name]
    rows.sort(key=lambda row: (row[0] is not None, row[0], row[1]))
    counted, there = sum(row.count for row in typed), sum(count for _, count in rows)
    for event in happened:
        wanted = event.made if event.kind == EATEN and event.name == name else 0
        if event.kind == MADE:
            lines = household.preserve(event.name).ingredients
            wanted = sum(line.amount_each * event.filled for line in lines if line.item == name)
        take(rows, wanted, lambda made_on, event=event: made_on is None or made_on <= event.day)
    if there:
        yield Card("shelf", name, "each", counted, None, there - counted, there - sum(count for _, count in rows))


def take(rows, wanted, may):
    """Take from rows of [day, amount] in their order where that day may be; gives what was had."""
    begun = wanted
    for row in rows:
        if may(row[0]):
            taken = min(row[1], wanted)
            row[1], wanted = row[1] - taken, wanted - taken
    return begun - wanted


def crop_cards(household, crop):
    """Fresh and frozen rows of [day, kg]; sound ones go before old ones, thawed crop before fresh."""
    lots = [lot for lot in household.lots if lot.crop == crop.name and not lot.expected]
    fresh = sorted([lot.picked_on, lot.kg] for lot in lots if lot.frozen_on is None)
    frozen = sorted([lot.frozen_on, lot.kg] for lot in lots if lot.frozen_on is not None)
    weighed, stored = (sum(kg for _, kg in rows) for rows in (fresh, frozen))
    thawed = into = out = 0.0
    for event in events(household):
        kg = event.crops_kg.get(crop.name, 0.0)
        if event.kind == THAWED:
            out += take(frozen, kg, lambda day, event=event: day <= event.day)
            thawed += kg
            continue
        if event.kind == MADE and any(p.from_frozen for p in parts_of(household, event, crop)):
            cooked = min(thawed, kg)
            thawed, kg = thawed - cooked, kg - cooked
        if event.kind in (SURPLUS_TO, LOST_OF):
            beyond = max(kg - sum(amount for day, amount in fresh if day <= event.day), 0)
            if frozen:
                kg -= beyond
            out += take(frozen, beyond, lambda day, event=event: day <= event.day)
        if event.kind == FROZEN:
            frozen.append([event.day, kg])
            frozen.sort()
            into += kg
        kg -= take(fresh, kg, lambda day, event=event: day <= event.day and (event.day - day).days <= crop.keeps_days)
        take(fresh, kg, lambda day, event=event: day <= event.day)
    if weighed:
        gone = weighed - sum(kg for _, kg in fresh)
        yield Card("crop, fresh", crop.name, crop.unit, in_crop_unit(weighed, crop), None, 0, in_crop_unit(gone, crop))
    if stored or into:
        moved = [in_crop_unit(kg, crop) for kg in (stored, into, out)]
        yield Card("crop, frozen whole", crop.name, crop.unit, moved[0], None, *moved[1:])


def parts_of(household, event, crop):
    return [line for line in household.preserve(event.name).ingredients if line.item == crop.name]


@pytest.mark.parametrize("seed", range(40))
def test_the_cards_are_those_of_a_slow_count(seed):
    household = long_record(20 * (seed % 8), 3 * (seed % 6), 1 + seed % 23, seed)
    assert stock_cards(household) == slow_cards(household)


def test_the_slow_count_sees_every_kind_of_move():
    """The random households are worth comparing: of each kind of card something came in one, and was used in one."""
    cards = [
        card
        for seed in range(40)
        for card in stock_cards(long_record(20 * (seed % 8), 3 * (seed % 6), 1 + seed % 23, seed))
    ]
    kinds = {"container", "lid", "pantry", "shelf", "crop, frozen whole"}
    assert {card.kind for card in cards if card.came > 0} == kinds
    assert {card.kind for card in cards if card.used > 0} == kinds | {"crop, fresh"}


@pytest.mark.parametrize("count", [stock_cards, settle, seasons], ids=lambda count: count.__name__)
def test_a_household_of_eight_times_the_size_is_counted_in_about_eight_times_the_time(count):
    """Eight times the records, lots, preserves, crops and containers: 8 times if one pass does, 64 with one for each."""
    small, large = (
        min(seconds(count, long_record(size * 5, size * 2, size * 2 // 5)) for _ in range(4)) for size in (100, 800)
    )
    assert large / small < 22


def seconds(count, household):
    began = time.process_time()
    count(household)
    return time.process_time() - began
