"""The order in which a day's loads are put on the clock: several are tried, then the best is bettered."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from stillroom.timetable.bound import earliest_end
from stillroom.timetable.loads import HANDS, Load
from stillroom.timetable.occupied import stretch
from stillroom.timetable.place import Kitchen, Placed, backward, place

MOST_PLACED = 2000
"""Loads put down for one day, all orders tried together; a limit of work, not of time, so that a day always comes out
the same."""

Order = tuple[Load, ...]
Worth = tuple[int, int, int]
"""When the last urgent run starts, when the day ends, how long prepared food waits; the least is the best."""

RULES: tuple[tuple[str, Callable[[Load], tuple[float, ...]]], ...] = (
    ("what keeps the shortest", lambda load: (load.keeps_days, -load.chain_minutes)),
    ("the longest on the stove", lambda load: (-load.chain_minutes, load.keeps_days)),
    ("the longest in all", lambda load: (-load.chain_minutes - load.prepare_minutes, load.keeps_days)),
    ("ready the soonest", lambda load: (load.prepare_minutes, -load.chain_minutes)),
    ("the most to gain from an early start", lambda load: (load.prepare_minutes - load.chain_minutes, load.keeps_days)),
)
"""What comes first, by each rule. In all of them urgent runs are first and other runs last; then the names decide."""


def best_day(kitchen: Kitchen, loads: Sequence[Load]) -> tuple[list[Placed], int]:
    """
    Give the best day found, and the earliest that any could end; both are the same however the loads are listed.

    Each rule is tried, then one load after another is moved in the best order, as long as that betters it.
    """
    bound = earliest_end(loads, {key: len(one.levels) for key, one in kitchen.items()})
    bound = max([bound, *(place(kitchen, [load])[0].ends for load in loads)])
    tried: set[tuple[tuple[object, ...], ...]] = set()
    best: tuple[Worth, Order, list[Placed]] | None = None
    for order in rule_orders(loads):
        found = attempt(kitchen, order, tried)
        if found is not None and (best is None or found[0] < best[0]):
            best = found
    if best is None:
        return [], bound
    best = bettered(kitchen, best, bound, tried)
    return late_preparing(kitchen, best[2]), bound


def rule_orders(loads: Sequence[Load]) -> Iterator[Order]:
    """Give the order of each rule."""
    for _, rule in RULES:
        yield tuple(sorted(loads, key=lambda load: (turn(load), *rule(load), load.name, load.number)))


def turn(load: Load) -> int:
    """Urgent runs first, other runs last."""
    return 1 if not load.runs else 0 if load.urgent else 2


def attempt(
    kitchen: Kitchen, order: Order, tried: set[tuple[tuple[object, ...], ...]]
) -> tuple[Worth, Order, list[Placed]] | None:
    """Put one order on the clock; None when one just like it was tried before."""
    like = tuple(load.like for load in order)
    if like in tried:
        return None
    tried.add(like)
    placed = place(kitchen, order)
    return worth(placed), order, placed


def worth(placed: Sequence[Placed]) -> Worth:
    """When the last urgent run starts, when the day ends, and for how many minutes prepared food waits."""
    urgent = max((one.starts for one in placed if one.load.urgent), default=0)
    waiting = sum(one.starts - one.prepared for one in placed if one.load.parts)
    return urgent, max((one.ends for one in placed), default=0), waiting


def bettered(
    kitchen: Kitchen,
    best: tuple[Worth, Order, list[Placed]],
    bound: int,
    tried: set[tuple[tuple[object, ...], ...]],
) -> tuple[Worth, Order, list[Placed]]:
    """Move one load at a time, as long as the day gets better, the bound is not met and tries remain."""
    better = True
    while better and best[0][1] > bound:
        better = False
        for order in moved(best[1]):
            if len(tried) * len(order) >= MOST_PLACED:
                return best
            found = attempt(kitchen, order, tried)
            if found is not None and found[0] < best[0]:
                best, better = found, True
                break
    return best


def moved(order: Order) -> Iterator[Order]:
    """Give every order in which one load stands elsewhere."""
    for at, to in itertools.permutations(range(len(order)), 2):
        rest = [*order[:at], *order[at + 1 :]]
        yield (*rest[:to], order[at], *rest[to:])


def late_preparing(kitchen: Kitchen, placed: Sequence[Placed]) -> list[Placed]:
    """
    Prepare each load as late as its chain allows, so that cut food does not stand; nothing else moves.

    As it was where that does not come out.
    """
    hands = kitchen[HANDS].copy()
    for one in placed:
        for part in one.load.parts:
            for key, units in part.takes:
                if key == HANDS:
                    hands.take(stretch(one.starts + part.start, part.minutes), units)
    later = {}
    due = {id(one): one.starts if one.load.parts else one.prepared for one in placed}
    for one in sorted(placed, key=lambda one: (-due[id(one)], one.load.name, one.load.number)):
        minutes = backward(hands, one.load.prepare_minutes, due[id(one)])
        if minutes is None:
            return list(placed)
        for taken in minutes:
            hands.take(taken)
        later[id(one)] = replace(one, hands=tuple(minutes))
    return [later[id(one)] for one in placed]
