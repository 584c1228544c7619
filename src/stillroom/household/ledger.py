"""Taking what the record says off what was counted and weighed: what is there on the first day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from stillroom.errors import Problem
from stillroom.household.amounts import shown
from stillroom.household.happened import CAME, EATEN, MADE, Event, events, made_twice
from stillroom.household.lots import left_of_lots
from stillroom.household.records import BOUGHT, Container, Household, LarderItem, Lid, Preserve
from stillroom.household.shelf import on_the_shelf, taken_from_shelf

Counted = Container | Lid | LarderItem
Stock = TypeVar("Stock", Container, Lid, LarderItem)


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
    below zero counts as zero. Fresh lots past their keeping time are left out. What was eaten comes off the shelf, and
    its container comes back; what was bought is added. Call it once, on the household as typed.
    """
    happened = events(household)
    made = [event for event in happened if event.kind in (MADE, EATEN, CAME)]
    moves = stock_moves(household, made)
    problems = list(made_twice(household)) + _counted_on_blank(household, made, moves)
    containers = _settled(household.containers, moves, problems)
    lids = _settled(household.lids, moves, problems)
    larder = _settled(household.larder, moves, problems)
    lots, said = left_of_lots(household, happened)
    problems += said
    shelf, said = taken_from_shelf(household, on_the_shelf(household, made), made)
    problems += said
    settled = replace(household, containers=containers, lids=lids, larder=larder, lots=lots, shelf=shelf)
    return settled, tuple(dict.fromkeys(problems))


def stocks(household: Household) -> tuple[Counted, ...]:
    """Every stock that is counted, in the order of the tables."""
    return (*household.containers, *household.lids, *household.larder)


def per_base(stock: Counted) -> float:
    """How many of the household's units one unit inside is: 1 but for larder."""
    return stock.per_base if isinstance(stock, LarderItem) else 1.0


def stock_moves(household: Household, happened: Iterable[Event]) -> Moves:
    """
    Give what the record moved of every container, lid and larder ingredient, in one pass over it.

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
    larder: dict[str, list[float]] = defaultdict(list)
    for line in preserve.ingredients:
        if line.source == "preserve":
            containers[preserves[line.item].container] -= int(line.amount_each * event.filled + 1e-9)
        elif line.source == "larder":
            larder[line.item].append(line.amount_each * event.filled)
    yield from ((Container, name, much) for name, much in containers.items())
    lid = lid_of.get(preserve.container)
    if lid is not None:
        yield Lid, lid, event.filled
    yield from ((LarderItem, name, sum(parts)) for name, parts in larder.items())


def since_counted(moves: Moves, stock: Counted) -> list[Move]:
    """Give the moves of one stock on the day of counting or later; all of them when that day is blank."""
    found = moves.get((type(stock), stock.name), ())
    return [move for move in found if stock.counted_on is None or move.event.day >= stock.counted_on]


def _settled(stocks: Iterable[Stock], moves: Moves, problems: list[Problem]) -> tuple[Stock, ...]:
    """Give stocks with what is left of each."""
    return tuple(replace(stock, on_hand=_left(stock, since_counted(moves, stock), problems)) for stock in stocks)


def _left(stock: Counted, moves: Iterable[Move], problems: list[Problem]) -> float:
    """Give what is left of a stock; below zero counts as zero, and is said."""
    unit, per, counted = f" {stock.unit}" if isinstance(stock, LarderItem) else "", per_base(stock), stock.on_hand
    left = counted - sum(move.taken for move in moves)
    if left >= -1e-9:
        return max(left, 0.0)
    short = shown(-left * per) + unit
    came = sum(move.event.made for move in moves if move.event.kind == CAME)
    there = f"{shown(counted * per)}{unit} counted" + (f" and {shown(came)}{unit} bought" if came else "")
    what = f"the record takes {short} more of *{stock.name}* than the {there}"
    much = f"how much in Made, in {stock.unit}" if isinstance(stock, LarderItem) else "how many in Made"
    row = f"a row *{BOUGHT}{stock.name}* in Record with {much}"
    fix = f"say what was bought since (the command *bought*, or {row}), or count again and write the day in Counted on"
    problems.append(Problem(stock.where, f"{what}; it counts as 0", fix, "stock below zero"))
    return 0.0


def _counted_on_blank(household: Household, made: Iterable[Event], moves: Moves) -> list[Problem]:
    """Say once for each table that a blank day of counting means before everything in the record."""
    first = min((event.day for event in made), default=None)
    found = []
    tables: tuple[tuple[str, tuple[Counted, ...]], ...] = (
        ("Containers", household.containers),
        ("Lids", household.lids),
        ("Larder", household.larder),
    )
    for table, stocks in tables:
        blank = [one for one in stocks if one.counted_on is None and (type(one), one.name) in moves]
        if blank:
            more = f" and {len(blank) - 1} more in {table}" if len(blank) > 1 else ""
            came = any(move.event.kind == CAME for stock in blank for move in moves[type(stock), stock.name])
            also = ", and all that was bought is added" if came else ""
            what = f"*Counted on* is blank for *{blank[0].name}*{more}, so all work since {first} is taken off{also}"
            fix = "write the day they were counted, if some of that work was done before"
            found.append(Problem(blank[0].where, what, fix, "counted on blank"))
    return found
