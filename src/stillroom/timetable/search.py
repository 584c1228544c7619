"""The order of a day's loads: priority rules, local search, simulated annealing, and a lower bound."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stillroom.timetable.loads import HANDS, RUN, UNWAITED, Load
from stillroom.timetable.place import Kitchen, Placed, backward, place, stretch

# The earliest that a day could possibly end: a bound proved by sums, whatever order the loads are done in. Four
# kinds of sum, the largest of which holds: - a load by itself: prepared by all hands at once, then its chain
# (later still where its equipment is in use from the day before: `search` adds that); - the preparing of several
# loads by all hands, and after it the shortest of their chains; - everything that several loads take of one
# thing, divided by how many there are of it, between the least time before the first can use it and the least
# time after the last has; - the runs of a dryer that is filled more than once.


def earliest_end(loads: Sequence[Load], how_many: Mapping[str, int]) -> int:
    """
    Return a lower bound on the end of the day, in minutes; `how_many` there are of each resource.

    >>> two = [Load("beans", number, 2, 7, 60, "wash") for number in (1, 2)]
    >>> earliest_end(two, {"hands": 1}), earliest_end(two, {"hands": 2})
    (120, 60)
    """
    persons = how_many[HANDS]
    found = [divided(load.ready_minutes, persons) + load.chain_minutes for load in loads]
    found += prepared_then_longest(loads, persons)
    for key, units in how_many.items():
        found += by_one_thing(loads, key, units, persons)
        found += by_runs(loads, key, units, persons)
    return max(found, default=0)


def divided(amount: int, among: int) -> int:
    """
    Return the quotient, rounded up.

    >>> divided(85, 2)
    43
    """
    return -(-amount // among)


def prepared_then_longest(loads: Sequence[Load], persons: int) -> Iterator[int]:
    """Yield lower bounds: loads with the longest chains are prepared, and one chain still follows."""
    work = 0
    setups: dict[str, int] = {}
    for load in sorted(loads, key=lambda one: -one.chain_minutes):
        work += load.prepare_minutes - load.setup_minutes
        setups[load.name] = max(load.setup_minutes, load.setup_before)
        yield divided(work + sum(setups.values()), persons) + load.chain_minutes


def by_one_thing(loads: Sequence[Load], key: str, units: int, persons: int) -> Iterator[int]:
    """Yield lower bounds by one resource: its total use, with the shortest head and tail."""
    uses = [use for load in loads if (use := use_of(load, key, persons)) is not None]
    for by in (0, 2):
        work, heads, tails = 0, [], []
        for head, amount, tail in sorted(uses, key=lambda use: -use[by]):
            work += amount
            heads.append(head)
            tails.append(tail)
            yield min(heads) + divided(work, units) + min(tails)


def by_runs(loads: Sequence[Load], key: str, units: int, persons: int) -> Iterator[int]:
    """
    Yield a lower bound on the start of the last of several runs on one resource.

    >>> from stillroom.timetable.loads import Part
    >>> run = Part("run", "dry", 0, 600, (("piece: dryer", 1),))
    >>> loads = [Load("apples", number, 2, 9, 60, "slice", (run,)) for number in (1, 2)]
    >>> list(by_runs(loads, "piece: dryer", 1, 2))
    [630]
    """
    runs = [(load, part) for load in loads for part in load.parts if part.kind == RUN and (key, 1) in part.takes]
    if len(runs) > units:
        work = sum(sorted(part.minutes for _, part in runs)[:-units])
        yield min(divided(load.ready_minutes, persons) + part.start for load, part in runs) + divided(work, units)


def use_of(load: Load, key: str, persons: int) -> tuple[int, int, int] | None:
    """Return the minutes before, in and after a load's use of a resource; None when it does not use it."""
    waited = [part for part in load.parts if part.kind not in UNWAITED and part.start >= 0]  # jars may be hot before
    parts = [(part, units) for part in waited for name, units in part.takes if name == key]
    amount = sum(part.minutes * units for part, units in parts)
    if key == HANDS and load.prepare_minutes:
        return 0, amount + load.prepare_minutes, load.chain_minutes - max((part.end for part, _ in parts), default=0)
    if not amount:
        return None
    head = divided(load.ready_minutes, persons) + min(part.start for part, _ in parts)
    return head, amount, load.chain_minutes - max(part.end for part, _ in parts)


MOST_PLACED = 3000
"""Limit on the loads scheduled over all tries; a limit of work, so that a machine's speed does not matter."""
WARM_MINUTES = 30.0
"""Temperature of the annealing at its start, in minutes."""
MOST_REORDERED = 600
"""Limit on the loads scheduled to find a riper order that is about as short."""
LEEWAY_MINUTES = 20
"""A day may be this much longer for the sake of what keeps least: common practice, no source."""
LONG_COOK_MINUTES = 60
HALF_HOUR = 30
MOST_IDLE = 300
"""Limit on consecutive draws that were all tried before."""

Order = tuple[Load, ...]
Worth = tuple[int, bool, int, int, int, int]
"""
Sort key of a schedule: minutes too late, whether its last dryer is, last urgent start, end of day and evening, waiting.
"""

PRIORITY_RULES: tuple[tuple[str, Callable[[Load], tuple[float, ...]]], ...] = (
    ("what keeps the shortest", lambda load: (load.keeps_days, -load.chain_minutes)),
    ("the longest on the stove", lambda load: (-load.chain_minutes, load.keeps_days)),
    ("the longest in all", lambda load: (-load.chain_minutes - load.prepare_minutes, load.keeps_days)),
    ("ready the soonest", lambda load: (load.prepare_minutes, -load.chain_minutes)),
    ("the most to gain from an early start", lambda load: (load.prepare_minutes - load.chain_minutes, load.keeps_days)),
)
"""Priority rules. In all of them urgent runs are first and other runs last; ties by name."""


def best_day(kitchen: Kitchen, loads: Sequence[Load], closes: int, latest: int) -> tuple[list[list[Placed]], int]:
    """
    Return the schedules to choose from, best first, and a lower bound on the end without the evening.

    The first does what keeps least first, among the orders that end at most `LEEWAY_MINUTES` after the shortest day
    found and are no later otherwise; the last is the shortest day.

    Both do not depend on the order of the loads. The day is open until `closes`, in minutes from its start, and a dryer
    may be filled until `latest`. The priority rules give starting orders; local search moves single loads, then
    simulated annealing continues until the bound is met or the limit of tries.
    """
    by_day = [load for load in loads if not load.evening]
    bound = earliest_end(by_day, {key: len(one.levels) for key, one in kitchen.items()})
    bound = max([bound, *(place(kitchen, [load])[0].ends for load in by_day)])
    search = Search(kitchen, bound, closes, latest)
    found = [one for order in rule_orders(loads) if (one := search.attempt(order)) is not None]
    if not found:
        return [[]], bound
    shortest = search.from_near(search.bettered(min(found, key=lambda one: one[0])))
    ripest = search.ripest_first(shortest)
    choices = [shortest] if ripest is shortest else [ripest, shortest]
    return [late_preparing(kitchen, one[2]) for one in choices], bound


Found = tuple[Worth, Order, list[Placed]]
"""The sort key of an order, the order, and its scheduled loads."""


@dataclass
class Search:
    """The state of a search: resources, lower bound, closing times, and the orders tried."""

    kitchen: Kitchen
    bound: int
    closes: int
    latest: int
    tried: set[tuple[tuple[object, ...], ...]] = field(default_factory=set)
    found: list[Found] = field(default_factory=list)
    placed: int = 0

    def attempt(self, order: Order) -> Found | None:
        """Schedule one order, loads of a kind by their number; None when an equal one was tried before."""
        order = by_number(order)
        like = tuple(load.like for load in order)
        if like in self.tried:
            return None
        self.tried.add(like)
        self.placed += len(order)
        placed = place(self.kitchen, order)
        self.found.append((worth(placed, self.closes, self.latest), order, placed))
        return self.found[-1]

    def done(self, best: Found) -> bool:
        """Return whether the bound is met, or the limit of tries."""
        _, late, _, ends, _, _ = best[0]
        return (ends <= self.bound and not late) or self.placed >= MOST_PLACED

    def bettered(self, best: Found) -> Found:
        """Improve an order by moving one load at a time."""
        better = True
        while better:
            better = False
            for order in moved(best[1]):
                if self.done(best):
                    return best
                found = self.attempt(order)
                if found is not None and found[0] < best[0]:
                    best, better = found, True
                    break
        return best

    def from_near(self, best: Found) -> Found:
        """Improve an order by simulated annealing, with a fixed seed."""
        chance = random.Random(len(best[1]))
        here, idle = best, 0
        while len(best[1]) > 2 and idle < MOST_IDLE and not self.done(best):
            found = self.attempt(drawn(here[1], chance))
            idle = idle + 1 if found is None else 0
            if found is None:
                continue
            warm = WARM_MINUTES * (1 - self.placed / MOST_PLACED) + 1
            worse = sum(found[0][:4]) - sum(here[0][:4])
            if worse <= 0 or chance.random() < math.exp(-worse / warm):
                here = found
            best = min(best, found, key=lambda one: one[0])
        return best

    def ripest_first(self, shortest: Found) -> Found:
        """Return the order with the least `disorder` among those close to the shortest, moving one load at a time."""
        near = [one for one in self.found if close_to(one[0], shortest[0])]
        best = min(near, key=ripeness)
        most, better = self.placed + MOST_REORDERED, True
        while better:
            better = False
            for order in moved(best[1]) if any(disorder(best[2])) else ():
                if self.placed >= most:
                    return best
                found = self.attempt(order)
                if found is not None and close_to(found[0], shortest[0]) and ripeness(found) < ripeness(best):
                    best, better = found, True
                    break
        return best


def close_to(one: Worth, shortest: Worth) -> bool:
    """Return whether a schedule ends soon after the shortest and is no later in what has to be in time."""
    ends = shortest[3] + LEEWAY_MINUTES
    in_time = all(here <= there for here, there in zip(one[:3], shortest[:3], strict=True))
    return in_time and one[3] <= ends and one[4] <= shortest[4]


def ripeness(found: Found) -> tuple[tuple[int, int], Worth]:
    """Return the sort key among orders that are close to the shortest."""
    return disorder(found[2]), found[0]


def disorder(placed: Sequence[Placed]) -> tuple[int, int]:
    """
    Return how far a schedule is from a cook's order: smaller is better.

    First the pairs of loads in which what keeps longer begins before what keeps less. Then the half hours before long
    cook-downs begin, and how often the preparing changes from one preserve to another and back.
    """
    by_day = [one for one in placed if not one.load.evening]
    pairs = itertools.permutations(by_day, 2)
    inverted = sum(one.load.keeps_days < other.load.keeps_days and begins(one) > begins(other) for one, other in pairs)
    long = [one for one in by_day if any(p.kind == "cook" and p.minutes >= LONG_COOK_MINUTES for p in one.load.parts)]
    waited = sum(one.starts for one in long) // HALF_HOUR
    names = [one.load.name for one in sorted(by_day, key=lambda one: one.prepare[:1] or ((one.starts, 0, 0),))]
    changes = sum(one != other for one, other in itertools.pairwise(names))
    return inverted, waited + max(0, changes - len(set(names)) + 1)


def begins(one: Placed) -> int:
    """Return when a load is put up: when its chain starts, or its preparing is over."""
    return one.starts if one.load.parts else one.prepared


def drawn(order: Order, chance: random.Random) -> Order:
    """Return the order with two loads exchanged, or one moved."""
    loads = list(order)
    one, other = chance.sample(range(len(loads)), 2)
    if chance.random() < 0.5:
        loads[one], loads[other] = loads[other], loads[one]
    else:
        loads.insert(other, loads.pop(one))
    return tuple(loads)


def rule_orders(loads: Sequence[Load]) -> Iterator[Order]:
    """Yield the order of each priority rule; with evening loads also with the other runs first."""
    evening = any(load.evening for load in loads)
    for early in (False, True) if evening else (False,):
        for _, rule in PRIORITY_RULES:
            yield tuple(sorted(loads, key=lambda load: (turn(load, early=early), *rule(load), load.name, load.number)))


def turn(load: Load, *, early: bool) -> int:
    """Return the class of a load: urgent runs, other loads, other runs, evening loads."""
    return 3 if load.evening else 1 if not load.runs else 0 if load.urgent or early else 2


def by_number(order: Order) -> Order:
    """Return the order with each kind's loads by number, since the first has the setup; evening loads last."""
    order = tuple(sorted(order, key=lambda load: load.evening))
    mine = {name: iter(sorted(loads, key=lambda load: load.number)) for name, loads in of_a_kind(order).items()}
    return tuple(next(mine[load.name]) for load in order)


def of_a_kind(order: Order) -> dict[str, list[Load]]:
    """Return the loads of each kind."""
    found: dict[str, list[Load]] = {}
    for load in order:
        found.setdefault(load.name, []).append(load)
    return found


def worth(placed: Sequence[Placed], closes: int, latest: int) -> Worth:
    """Return the sort key: lateness, last urgent start, end of day and evening, waiting of prepared food."""
    urgent = max((one.starts for one in placed if one.load.urgent), default=0)
    waiting = sum(one.starts - one.prepared for one in placed if one.load.parts)
    evening = max((one.ends for one in placed if one.load.evening), default=0)
    by_day = max((one.ends for one in placed if not one.load.evening), default=0)
    last_run = max((one.ends for one in placed if one.load.only_runs), default=0)
    return max(0, by_day - closes), last_run > latest, urgent, by_day, evening, waiting


def moved(order: Order) -> Iterator[Order]:
    """Yield every order with one load moved."""
    for at, to in itertools.permutations(range(len(order)), 2):
        rest = [*order[:at], *order[at + 1 :]]
        yield (*rest[:to], order[at], *rest[to:])


def late_preparing(kitchen: Kitchen, placed: Sequence[Placed]) -> list[Placed]:
    """Return the schedule with each load prepared as late as its chain allows, so that cut food does not wait."""
    hands = kitchen[HANDS].copy()
    for one in placed:
        for key, units, start, length in one.load.demand:
            if key == HANDS:
                hands.take(stretch(one.starts + start, length), units)
    later = {}
    due = {id(one): one.starts - one.load.standing_minutes if one.load.parts else one.prepared for one in placed}
    for one in sorted(placed, key=lambda one: (-due[id(one)], one.load.name, one.load.number)):
        minutes = backward(hands, one.load.prepare_minutes, due[id(one)])
        if minutes is None:
            return list(placed)
        for taken in minutes:
            hands.take(taken)
        later[id(one)] = replace(one, hands=tuple(minutes))
    return [later[id(one)] for one in placed]
