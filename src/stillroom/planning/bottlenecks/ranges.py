"""How far a change goes on helping, both ways, found by planning again at doubling steps and by bisection."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

from stillroom.household.records import Container, Household, Lid, PantryItem
from stillroom.household.results.bottlenecks import Bottleneck, Range
from stillroom.household.suppose.more import SPACES
from stillroom.planning.bottlenecks.gains import kept_more
from stillroom.planning.bottlenecks.replan import Trial, on_from, spread, tried
from stillroom.planning.bottlenecks.resolve import Quick, changes

MOST_DOUBLINGS = 3

ABOUT_AS_MUCH = 0.75
"""A step that gives this share of what the first one gave, or more, gives about as much."""


@dataclass(frozen=True)
class Method:
    """One limit to be followed: what one natural unit more reached, how many can be taken away (0: follow it up)."""

    trial: Trial
    bottleneck: Bottleneck
    one_more: Quick
    fewer: int = 0


def ranges(base: Trial, more_of: dict[Bottleneck, Quick], executor: Executor | None) -> dict[Bottleneck, Range]:
    """The range of each of these limits, one unit more of which is known to help; each way a task of its own."""
    ups = [Method(base, bottleneck, quick) for bottleneck, quick in more_of.items()]
    downs = [replace(method, fewer=units_there(base.household, method.bottleneck)) for method in ups]
    every = [*ups, *(method for method in downs if method.fewer)]
    found = dict(
        zip([(method.bottleneck, method.fewer > 0) for method in every], spread(executor, follow, every), strict=True)
    )
    return {
        bottleneck: replace(found[bottleneck, False], least=found[bottleneck, True].least)
        if (bottleneck, True) in found
        else found[bottleneck, False]
        for bottleneck in more_of
    }


def follow(method: Method) -> Range:
    """Follow a limit one way; can run in another process."""
    return followed_down(method) if method.fewer else followed_up(method)


def followed_up(method: Method) -> Range:
    """How many units more go on helping, and up to how many each gives about as much as the first."""
    before = method.trial.before
    if before is None:
        msg = "a range is followed from what was reached before"
        raise ValueError(msg)
    known: dict[int, Quick] = {0: before, 1: method.one_more}

    def at(units: int) -> Quick:
        if units not in known:
            nearest = max(number for number in known if number < units)
            trial = on_from(method.trial, known[nearest], (method.bottleneck, units * method.bottleneck.step))
            known[units] = tried(replace(trial, objectives_only=True))
        return known[units]

    helps_to, seen_end = helps_until(lambda more, fewer: above(at(more), at(fewer)))
    most = 1
    for units in sorted(known):
        if units > most and about_as_much(before, method.one_more, known[units], units):
            most = units
    return Range(helps_to, seen_end, most=min(most, helps_to))


def followed_down(method: Method) -> Range:
    """From how many units fewer on each takes about as much with it as the next one would give."""
    before = method.trial.before
    if before is None:
        msg = "a range is followed from what was reached before"
        raise ValueError(msg)

    def holds(units: int) -> bool:
        less = tried(
            replace(method.trial, more=((method.bottleneck, -units * method.bottleneck.step),), objectives_only=True)
        )
        return about_as_much(before, method.one_more, less, -units)

    return Range(1, seen_end=True, least=-last_that_holds(holds, min(method.fewer, 2**MOST_DOUBLINGS)))


def about_as_much(before: Quick, one_more: Quick, now: Quick, units: int) -> bool:
    """
    Whether so many units (below nothing: fewer) change the list by about as much each as one more would.

    At the importance that one more helps first, no more important one being changed.
    """
    first = changes(one_more.objectives, before.objectives)
    found = changes(now.objectives, before.objectives)
    place = next((number for number, change in enumerate(first) if change), None)
    if place is None or any(found[:place]):
        return False
    each = found[place] / (units * first[place])
    return ABOUT_AS_MUCH <= each <= 1 / ABOUT_AS_MUCH


def above(more: Quick, fewer: Quick) -> bool:
    """Whether one plan surely keeps more of fixed lines than another, or as much and fills the list better."""
    found = (kept_more(fewer, more), *changes(more.objectives, fewer.objectives))
    return next((change > 0 for change in found if change), False)


def helps_until(above: Callable[[int, int], bool], most_doublings: int = MOST_DOUBLINGS) -> tuple[int, bool]:
    """
    How many units more go on helping, and whether they were seen to help no longer after that.

    `above(more, fewer)` says whether so many units give more than fewer of them; one is known to help, and more never
    gives less. Doubled until twice as many give nothing further, then halved in: the fewest that give as much as any.
    When even the last one of the last doubling helps, that many are given and False: it was not looked further.

    >>> helps_until(lambda more, fewer: min(more, 5) > min(fewer, 5), most_doublings=4)
    (5, True)
    >>> helps_until(lambda more, fewer: more > fewer, most_doublings=2)
    (4, False)
    """
    units = 1
    for _ in range(most_doublings):
        if not above(2 * units, units):
            break
        units *= 2
    else:
        if above(units, units - 1):
            return units, False
    low = units // 2
    while units - low > 1:
        middle = (low + units) // 2
        low, units = (middle, units) if above(units, middle) else (low, middle)
    return units, True


def last_that_holds(holds: Callable[[int], bool], end: int) -> int:
    """
    The last whole number up to `end` at which something holds that holds from 1 on or not at all; 0 when it does not.

    >>> [last_that_holds(lambda number: number <= last, 8) for last in (0, 1, 3, 5, 8, 20)]
    [0, 1, 3, 5, 8, 8]
    """
    low, high = 0, 1
    while high <= end and holds(high):
        low, high = high, 2 * high
    high = min(high, end + 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def last_amount(holds: Callable[[float], bool], at: float, to: float, within: float) -> float:
    """
    The last amount on the way from `at`, where something holds, to `to`, found by halving to `within`.

    >>> round(last_amount(lambda amount: amount <= 18, 12, 30, 0.01), 1)
    18.0
    """
    if holds(to):
        return to
    while abs(to - at) > within:
        middle = (at + to) / 2
        at, to = (middle, to) if holds(middle) else (at, middle)
    return at


def units_there(household: Household, bottleneck: Bottleneck) -> int:
    """
    How many natural units of a limit there are to be taken away.

    >>> from stillroom.household.examples import tiny_household
    >>> units_there(tiny_household(), Bottleneck("container", "quart jar", "quart jars", (), "jar", 1.0, 12.0, ""))
    1
    """
    return int(amount_there(household, bottleneck) / bottleneck.step + 1e-9)


def amount_there(household: Household, bottleneck: Bottleneck) -> float:
    """What there is of a limit to be taken away, in its inside unit; pieces of equipment are counted but for one."""
    stocks: dict[str, tuple[Container | Lid | PantryItem, ...]] = {
        "container": household.containers,
        "lid": household.lids,
        "pantry": household.pantry,
    }
    if bottleneck.kind in stocks:
        return sum(one.on_hand for one in stocks[bottleneck.kind] if one.name == bottleneck.name)
    if bottleneck.kind == "crop":
        return sum(lot.kg for lot in household.lots if lot.crop == bottleneck.name and lot.frozen_on is None)
    if bottleneck.kind == "equipment":
        return max(
            (piece.how_many - 1.0 for piece in household.equipment if piece.name == bottleneck.name), default=0.0
        )
    return hours_or_space(household, bottleneck)


def hours_or_space(household: Household, bottleneck: Bottleneck) -> float:
    """What there is of hours (the least of their days), of a place, of freezing in a day or of money."""
    kitchen = household.kitchen
    if bottleneck.kind == "hours":
        rows = [row for row in household.hours if row.what.casefold() == bottleneck.name.casefold()]
        hours: Sequence[float] = [row.by_weekday[day] for row in rows for day in bottleneck.weekdays]
        return min([*hours, *(row.each_later_week for row in rows if bottleneck.weeks)], default=0.0) / bottleneck.shown
    if bottleneck.kind == "freezing":
        return kitchen.freeze_kg_a_day
    if bottleneck.kind == "space":
        return float(getattr(kitchen, SPACES[bottleneck.name]))
    return kitchen.spending_limit
