"""Taking what the record says off what was counted and weighed: what is there on the first day."""

from __future__ import annotations

import datetime
import math
from collections import defaultdict, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from stillroom.errors import Problem
from stillroom.household.journal.events import CAME, EATEN, GIVEN, MADE, Event, events, made_twice
from stillroom.household.journal.lots import Bins, kg_of, left_of_lots
from stillroom.household.plan import best_by
from stillroom.household.records import Container, Household, Kitchen, Lid, PantryItem, Preserve, ShelfRow
from stillroom.household.results.rows import in_crop_unit
from stillroom.household.text import format_date, format_list, format_money, format_number

# What stands on the shelf on the first day: what was counted, what was made since, less what other preserves
# used.


def with_best_by(household: Household) -> Household:
    """
    Fill a blank *Best by* from *Made on* and *Keeps months*; without both it stays unknown and counts as good.

    May be called again once the handbook has said how long a preserve keeps.
    """
    months = {preserve.name: preserve.keeps_months for preserve in household.preserves}
    rows = []
    for row in household.shelf:
        keeps = months.get(row.preserve)
        known = row.best_by is None and row.made_on is not None and keeps is not None
        rows.append(
            replace(row, best_by=best_by(row.made_on, keeps)) if known and row.made_on and keeps is not None else row
        )
    return replace(household, shelf=tuple(rows))


def on_the_shelf(household: Household, made: Iterable[Event]) -> list[ShelfRow]:
    """Give the rows of the shelf with what was made since put beside them, oldest first."""
    rows = list(household.shelf)
    rows += [
        ShelfRow(event.name, event.made, made_on=event.day, where=event.where)
        for event in made
        if event.kind == MADE and event.made > 0
    ]
    whole = with_best_by(replace(household, shelf=tuple(rows)))
    never = datetime.date.min
    return sorted(whole.shelf, key=lambda row: (row.preserve, row.made_on or never, row.count, row.where))


def taken_from_shelf(
    household: Household, rows: list[ShelfRow], made: Iterable[Event]
) -> tuple[tuple[ShelfRow, ...], tuple[Problem, ...]]:
    """
    Take what was eaten or given away, and what preserves used of one another, off the oldest rows.

    More than there is counts as none, and is said. `rows` stand oldest first, `made` in the order of days.
    """
    problems = []
    preserves = {preserve.name: preserve for preserve in household.preserves}
    places: dict[str, deque[int]] = defaultdict(deque)
    for number, row in enumerate(rows):
        places[row.preserve].append(number)
    for event in made:
        for name, wanted in _wanted(preserves, event):
            short = _take(rows, places[name], wanted, event.day)
            if short > 1e-9:
                kind = "more used than on the shelf" if event.kind == MADE else "more eaten than on the shelf"
                problems.append(Problem(event.where, kind, (f"{format_number(short)} {name}", format_date(event.day))))
    return tuple(row for row in rows if row.count > 1e-9), tuple(problems)


def _wanted(preserves: Mapping[str, Preserve], event: Event) -> list[tuple[str, float]]:
    """Give the preserves that an event took off the shelf, and how many of each."""
    if event.kind in (EATEN, GIVEN):
        return [(event.name, event.made)]
    if event.kind != MADE:
        return []
    lines = preserves[event.name].ingredients
    return [(line.item, line.amount_each * event.filled) for line in lines if line.source == "preserve"]


def _take(rows: list[ShelfRow], places: deque[int], wanted: float, day: datetime.date) -> float:
    """
    Take so many of a preserve off the oldest rows there were on a day; gives how many were missing.

    `places` says where the rows of that preserve stand, those not yet empty.
    """
    while places and wanted > 1e-9:
        row = rows[places[0]]
        if row.made_on is not None and row.made_on > day:
            break
        taken = min(row.count, wanted)
        rows[places[0]] = replace(row, count=row.count - taken)
        wanted -= taken
        if taken == row.count:
            places.popleft()
    return wanted


Counted = Container | Lid | PantryItem
Stock = TypeVar("Stock", Container, Lid, PantryItem)


@dataclass(frozen=True)
class Move:
    """What one event took of one stock, larder in its base unit; below zero for what it brought."""

    event: Event
    taken: float


Moves = Mapping[tuple[type[Counted], str], Sequence[Move]]
"""The moves of each stock, by its kind and name."""


def settle(household: Household) -> tuple[Household, tuple[Problem, ...]]:
    """
    Give the household as it stands on the first day, with what has to be said about it.

    Rows of the record, and *Made* of plan lines, of the day something was counted or later are taken off, whatever the
    first day is: containers, lids, larder, crop (oldest lots first); what was made is put on the shelf. What comes out
    below zero counts as zero. Fresh lots past their keeping time are left out. What was eaten or given away comes off
    the shelf, and the container of what was eaten comes back; what was bought is added, and is taken off a typed *Can
    buy* and the spending limit.
    Call it once, on the household as typed.
    """
    happened = events(household)
    made = [event for event in happened if event.kind in (MADE, EATEN, GIVEN, CAME)]
    moves = stock_moves(household, made)
    problems = list(made_twice(household)) + _counted_on_blank(household, made, moves)
    containers = _settled(household.containers, moves, problems)
    lids = _settled(household.lids, moves, problems)
    pantry = _settled(household.pantry, moves, problems)
    lots, said = left_of_lots(household, happened)
    problems += said
    shelf, said = taken_from_shelf(household, on_the_shelf(household, made), made)
    problems += said
    kitchen, said = _spent(household, moves)
    problems += said
    settled = replace(
        household, kitchen=kitchen, containers=containers, lids=lids, pantry=pantry, lots=lots, shelf=shelf
    )
    return settled, tuple(dict.fromkeys(problems))


def stocks(household: Household) -> tuple[Counted, ...]:
    """Every stock that is counted, in the order of the tables."""
    return (*household.containers, *household.lids, *household.pantry)


def per_base(stock: Counted) -> float:
    """How many of the household's units one unit inside is: 1 but for larder."""
    return stock.per_base if isinstance(stock, PantryItem) else 1.0


def stock_moves(household: Household, happened: Iterable[Event]) -> Moves:
    """
    Give what the record moved of every container, lid and pantry ingredient, in one pass over it.

    By kind of stock and name, in the order of the events; a stock that nothing moved has no entry. Of two stocks with
    one name what was bought is the container, else the lid.
    """
    bought: dict[str, Counted] = {}
    for stock in stocks(household):
        bought.setdefault(stock.name, stock)
    lid_of = {container.name: container.lid for container in household.containers}
    preserves = {preserve.name: preserve for preserve in household.preserves}
    moves: dict[tuple[type[Counted], str], list[Move]] = defaultdict(list)
    for event in happened:
        if event.kind == CAME and event.name in bought:
            stock = bought[event.name]
            taken: Iterable[tuple[type[Counted], str, float]] = [
                (type(stock), stock.name, -event.made / per_base(stock))
            ]
        elif event.kind == EATEN:
            taken = [(Container, preserves[event.name].container, -event.made)]
        elif event.kind == MADE:
            taken = _taken_by_work(event, preserves, lid_of)
        else:
            continue
        for kind, name, much in taken:
            if much:
                moves[kind, name].append(Move(event, much))
    return dict(moves)


def _taken_by_work(
    event: Event, preserves: Mapping[str, Preserve], lid_of: Mapping[str, str | None]
) -> Iterator[tuple[type[Counted], str, float]]:
    """
    Give what making a preserve took: its kind of stock, name and how much.

    What sealed stays full and what was used up comes back, in whole containers; a lid went on each, sealed or not.
    """
    preserve = preserves[event.name]
    containers: dict[str, float] = defaultdict(float, {preserve.container: event.made})
    pantry: dict[str, list[float]] = defaultdict(list)
    for line in preserve.ingredients:
        if line.source == "preserve":
            containers[preserves[line.item].container] -= int(line.amount_each * event.filled + 1e-9)
        elif line.source == "pantry":
            pantry[line.item].append(line.amount_each * event.filled)
    yield from ((Container, name, much) for name, much in containers.items())
    lid = lid_of.get(preserve.container)
    if lid is not None:
        yield Lid, lid, event.filled
    yield from ((PantryItem, name, sum(parts)) for name, parts in pantry.items())


def since_counted(moves: Moves, stock: Counted) -> list[Move]:
    """Give the moves of one stock on the day of counting or later; all of them when that day is blank."""
    found = moves.get((type(stock), stock.name), ())
    return [move for move in found if stock.counted_on is None or move.event.day >= stock.counted_on]


def _settled(stocks: Iterable[Stock], moves: Moves, problems: list[Problem]) -> tuple[Stock, ...]:
    """Give stocks with what is left of each, on hand and to be bought."""
    return tuple(
        replace(
            stock,
            on_hand=_left(stock, since_counted(moves, stock), problems),
            can_buy=_left_to_buy(stock, bought(moves, stock), problems),
        )
        for stock in stocks
    )


def _left(stock: Counted, moves: Iterable[Move], problems: list[Problem]) -> float:
    """Give what is left of a stock; below zero counts as zero, and is said."""
    unit, per, counted = f" {stock.unit}" if isinstance(stock, PantryItem) else "", per_base(stock), stock.on_hand
    left = counted - sum(move.taken for move in moves)
    if left >= -1e-9:
        return max(left, 0.0)
    short = format_number(-left * per) + unit
    came = sum(move.event.made for move in moves if move.event.kind == CAME)
    there = f"{format_number(counted * per)}{unit} counted" + (
        f" and {format_number(came)}{unit} bought" if came else ""
    )
    problems.append(Problem(stock.where, "stock below zero", (f"{short} {stock.name}", there), field="On hand"))
    return 0.0


def bought(moves: Moves, stock: Counted) -> float:
    """Give how much of a stock was bought on the day of counting or later, pantry in its base unit."""
    return sum(-move.taken for move in since_counted(moves, stock) if move.event.kind == CAME)


def _left_to_buy(stock: Counted, came: float, problems: list[Problem]) -> float:
    """Give what is left of *Can buy* after so much was bought; where that is a number, it is said."""
    if not came or not 0 < stock.can_buy < math.inf:
        return stock.can_buy
    left, per = max(stock.can_buy - came, 0.0), per_base(stock)
    unit = f" {stock.unit}" if isinstance(stock, PantryItem) else ""
    said = (f"{format_number(number * per)}{unit}" for number in (stock.can_buy, came, left))
    problems.append(Problem(stock.where, "can buy lowered", (stock.name, *said), field="Can buy"))
    return left


def _spent(household: Household, moves: Moves) -> tuple[Kitchen, tuple[Problem, ...]]:
    """
    Give the settings with what was bought since it was counted as money already spent, at the prices typed.

    What has no price is not counted, and is said. Without a spending limit nothing is.
    """
    kitchen = household.kitchen
    if math.isinf(kitchen.spending_limit):
        return kitchen, ()
    came = [(stock, amount) for stock in stocks(household) if (amount := bought(moves, stock))]
    spent = sum(amount * (stock.price or 0.0) for stock, amount in came)
    kitchen = replace(kitchen, already_spent=spent)
    said = []
    if spent > 0:
        words = tuple(format_money(money) for money in (kitchen.spending_limit, spent, kitchen.left_to_spend))
        said.append(Problem(kitchen.spending_where, "spending limit lowered", words, field="spending limit"))
    unpriced = sorted(stock.name for stock, _ in came if stock.price is None)
    if unpriced:
        said.append(Problem(kitchen.spending_where, "bought without price", (format_list(unpriced, 3),)))
    return kitchen, tuple(said)


def _counted_on_blank(household: Household, made: Iterable[Event], moves: Moves) -> list[Problem]:
    """Note that a blank day of counting means before everything in the record."""
    first = min((event.day for event in made), default=None)
    since = "" if first is None else format_date(first)
    stocks: tuple[Counted, ...] = (*household.containers, *household.lids, *household.pantry)
    blank = [one for one in stocks if one.counted_on is None and (type(one), one.name) in moves]
    return [Problem(one.where, "counted on blank", (one.name, since), field="Counted on") for one in blank]


# Every stock as a storekeeper's card: counted, came, used, and what should be there now.

KINDS = {Container: "container", Lid: "lid", PantryItem: "pantry"}
FROZEN_WHOLE = "crop, frozen whole"
"""The kind of the card of a crop that lies in the freezer."""


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
    Give the card of every container, lid, pantry ingredient, preserve on the shelf and crop; `household` as typed.

    Came and used are what the record says of the day of counting and later; of crops, everything weighed.
    """
    happened = events(household)
    made = [event for event in happened if event.kind in (MADE, EATEN, GIVEN, CAME)]
    moves = stock_moves(household, made)
    counted = [_counted(stock, since_counted(moves, stock)) for stock in stocks(household)]
    return (*counted, *_shelf(household, made), *_crops(household, happened))


def _counted(stock: Counted, moves: Iterable[Move]) -> Card:
    """Give the card of a container, lid or pantry ingredient from its moves since the day of counting."""
    unit, per = stock.unit if isinstance(stock, PantryItem) else "each", per_base(stock)
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
            yield Card(FROZEN_WHOLE, one.name, one.unit, weighed, None, came, used)
