"""Why a preserve is not made, or not more of it, and why a need falls short: what is lost, what is in the way."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from stillroom.household.plan import Period, Plan
from stillroom.household.records import Household, Need, Preserve
from stillroom.household.results.text import amount_words, day_words, unit_words
from stillroom.planning.bottlenecks.gains import Gain, gain_of, takers
from stillroom.planning.bottlenecks.replan import filled_by, quick_plan
from stillroom.planning.bottlenecks.resources import Limit, catalogue
from stillroom.planning.highs import Solver
from stillroom.planning.model import Sum, at_least
from stillroom.planning.parameters import Facts, Fix
from stillroom.planning.solve import build
from stillroom.planning.variables import Decisions
from stillroom.planning.violations import EFFORT, let_make_go

NEAR = 0.01
"""Containers, or a need's unit, that do not count as short."""

CRUMB = 1e-6
"""Of a container: well above the solver's tolerance, so that what was found possible once is so again."""


@dataclass(frozen=True)
class WhyPreserve:
    """
    Why not more of a preserve: `made` are in the plan, `more` containers were forced in on top.

    `lost` is what the rest of the plan then has (None: it cannot be made at all); `in_the_way` are the limits that
    keep the list from having both, the shortest list found of which none can be left out.
    """

    name: str
    made: float
    more: float
    lost: Gain | None
    in_the_way: tuple[str, ...]


@dataclass(frozen=True)
class WhyNeed:
    """Why a need falls short: `filled` of `wanted`; with more of all of `in_the_way` it would have `could` more."""

    name: str
    filled: float
    wanted: float
    could: float
    in_the_way: tuple[str, ...]


def why_preserve(household: Household, plan: Plan, name: str) -> WhyPreserve:
    """
    Force one load more of a preserve (a smallest batch of one without loads) into a plan, and see what gives way.

    `household` is settled and `plan` its full plan. KeyError when no preserve of that name may be planned.
    """
    item = next(one for one in household.planned() if one.name == name)
    more = float(item.load or item.smallest_batch)
    made = plan.made(name)
    target = math.ceil(made - NEAR) + more
    facts, decide = build(household)
    kept = filled_by(household, plan)
    short = decide.programme.variable("short.forced", most=target)
    decide.programme.add("forced", at_least([*decide.made(name), (1.0, short)], target))
    solver = ready(facts, decide, [item], target)
    limits = in_the_way_of(household, facts, decide, [name])
    missing = shortfall(solver, [(1.0, short)])
    lost = None
    if missing <= NEAR:
        before = replace(quick_plan(household, plan), filled=kept)
        there = target - max(0.0, missing) - CRUMB
        lost = gain_of(household, before, quick_plan(household, plan, before, forced=(name, there)))
    if lost is None or lost.hurts:
        if lost is not None:
            keep_filled(facts, decide, solver, kept, ())
        found = shortest(solver, limits, lambda: shortfall(solver, [(1.0, short)]))
    else:
        found = ()
    return WhyPreserve(name, made, target - made, lost, found)


def why_need(household: Household, plan: Plan, name: str) -> WhyNeed:
    """
    Find what keeps a need short while every other need keeps what it has.

    KeyError when there is no need of that name.
    """
    need = next(one for one in household.needs if one.name == name)
    facts, decide = build(household)
    kept = filled_by(household, plan)
    filled = kept[name]
    if filled >= need.wanted - NEAR:
        return WhyNeed(name, filled, need.wanted, 0.0, ())
    items = [item for item in facts.preserves if item.name in need.counts and item.make]
    each = min((need.counts[item.name] for item in items if need.counts[item.name] > 0), default=1.0)
    solver = ready(facts, decide, items, math.ceil(need.wanted / each) + 1.0)
    keep_filled(facts, decide, solver, kept, (name,))
    bands: Sum = [(-1.0, decide.filled[name, band]) for band in range(len(facts.gains))]

    def short() -> float:
        return need.wanted + shortfall(solver, bands)

    limits = in_the_way_of(household, facts, decide, [item.name for item in items])
    for limit in limits:
        solver.let_go(limit.rows)
    least = short()
    for limit in limits:
        solver.tighten(limit.rows)
    found = shortest(solver, limits, short) if items else ()
    return WhyNeed(name, filled, need.wanted, max(0.0, need.wanted - least - filled) if items else 0.0, found)


def ready(facts: Facts, decide: Decisions, items: Sequence[Preserve], most: float) -> Solver:
    """
    The programme handed over, with the bounds of these preserves lifted: they were computed from the limits.

    What a day holds on the clock stands as rows of its own, and nothing is begun without its set-up.
    """
    begin_by_batches(facts, decide, items)
    solver = Solver(decide.programme)
    numbers = tuple(period.number for period in facts.periods)
    for item in items:
        end = most + (item.load or 0)
        let_make_go(facts, decide, solver, Fix(item.name, numbers, end, False, ""))
        solver.let_go(f"{decide.name('smallest_batch', item.name, day.label)}.most" for day in facts.singles)
        for day in facts.singles:
            key = (item.name, day.number)
            if key in decide.setup:
                begun = solver.vector([(1.0, decide.make[key]), (-math.ceil(end), decide.setup[key])])
                solver.hold(begun, least=None, most=0.0)
            if key in decide.make and key in facts.clock_most:
                solver.rows[clock_row(item.name, day)] = solver.highs.getNumRow()
                solver.hold(solver.vector([(1.0, decide.make[key])]), least=None, most=facts.clock_most[key])
    return solver


def begin_by_batches(facts: Facts, decide: Decisions, items: Sequence[Preserve]) -> None:
    """Give these preserves a set-up, and with it their smallest batch, on days that have none for want of anything."""
    for item in items:
        for day in facts.singles:
            key = (item.name, day.number)
            if key in decide.setup or key not in decide.make or (item.load is not None and item.smallest_batch <= 1):
                continue
            begun = decide.programme.variable(decide.name("setup", item.name, day.label), most=1, whole=True)
            decide.setup[key] = begun
            if key not in facts.fixed_at:
                batch = [(1.0, decide.make[key]), (-float(facts.batch(item, day)), begun)]
                decide.programme.add(decide.name("begun", item.name, day.label), at_least(batch, 0.0))


def clock_row(name: str, day: Period) -> str:
    """The row that holds a preserve to what fits a day's clock."""
    return f"clock {name} {day.label}"


def keep_filled(
    facts: Facts, decide: Decisions, solver: Solver, filled: dict[str, float], but: Collection[str]
) -> None:
    """Hold every need, but these, at what it has."""
    for need in facts.needs:
        was = filled.get(need.name, 0.0)
        if need.name not in but and need.wanted > 0 and was > NEAR:
            bands: Sum = [(1.0, decide.filled[need.name, band]) for band in range(len(facts.gains))]
            solver.hold(solver.vector(bands), least=was - NEAR, most=None)


def in_the_way_of(household: Household, facts: Facts, decide: Decisions, names: Sequence[str]) -> tuple[Limit, ...]:
    """Every limit that some of these preserves take of, with that the list has enough of them."""
    found = []
    for limit in catalogue(facts, decide):
        whole = limit.kind == "hours" and len(limit.weekdays) > 1
        if not whole and takers(household, limit) & set(names):
            rows = limit.rows
            if limit.kind == "crop":
                every = (decide.name("thawed_crop_use", limit.name, period.label) for period in facts.periods)
                rows = (*rows, *every)
            found.append(replace(limit, rows=rows, words=limit.words + not_yet(household, limit)))
    groups = [need for need in facts.needs if {item.name for item in facts.groups.get(need.name, ())} & set(names)]
    found += [of_rows("enough", room_words(need), decide.name("at_most", need.name)) for need in groups]
    for name in names:
        if name not in facts.need_of:
            rows = (decide.name("no_purpose", name), decide.name("no_purpose_in_weeks", name))
            found.append(of_rows("purpose", f"a need that {name} counts toward", *rows))
    for day in facts.singles:
        rows = tuple(clock_row(name, day) for name in names if (name, day.number) in facts.clock_most)
        if rows:
            found.append(of_rows("clock", f"what fits the clock on {day_words(day.first_day)}", *rows))
    used = {line.item for item in facts.preserves if item.name in names for line in item.ingredients}
    for name in sorted(used & set(facts.users)):
        rows = tuple(decide.name("preserve_balance", name, period.label) for period in facts.periods)
        found.append(of_rows("preserve", f"{name} on the shelf", *rows))
    return tuple(found)


def not_yet(household: Household, limit: Limit) -> str:
    """From when on a piece of equipment is free, where that is after the first day; nothing for any other limit."""
    if limit.kind != "equipment":
        return ""
    free = household.equipment_named(limit.name).free_from
    return f" (free from {day_words(free)})" if free is not None and free > household.kitchen.first_day else ""


def room_words(need: Need) -> str:
    """
    That the list has enough of a need, as a limit.

    >>> room_words(Need("tomato juice", 20, 27, unit="quart"))
    'room on the list for tomato juice (at most 27 quarts)'
    """
    unit = unit_words(need.at_most, need.unit) if need.unit else ""
    most = " ".join(part for part in ("at most", amount_words(need.at_most, need.unit), unit) if part)
    return f"room on the list for {need.name} ({most})"


def of_rows(kind: str, words: str, *rows: str) -> Limit:
    """A limit that is only named, never loosened."""
    return Limit(kind, words, words, rows, "", 1.0, 0.0, "")


def shortfall(solver: Solver, terms: Sum) -> float:
    """The least that these terms can be; infinite when nothing keeps the rows that hold."""
    solver.aim_at(solver.vector(terms), most=False)
    outcome = solver.run(None, EFFORT)
    return outcome.value if outcome.found else math.inf


def shortest(solver: Solver, limits: Sequence[Limit], short: Callable[[], float]) -> tuple[str, ...]:
    """
    The shorter of two lists of limits that together explain what is short, in reading order.

    All are let go, then tightened one after another, once from the front and once from the back; those that cannot be
    tightened without falling short again are in the way, and of a list none can be left out. Empty when letting all of
    them go changes nothing.
    """
    now = short()
    lists = [in_the_way(solver, order, short, now) for order in (limits, tuple(reversed(limits)))]
    best = min(lists, key=len)
    return tuple(limit.words for limit in limits if limit in best)


def in_the_way(solver: Solver, limits: Sequence[Limit], short: Callable[[], float], now: float) -> tuple[Limit, ...]:
    """The limits that cannot be tightened again, in the order in which they are tried."""
    for limit in limits:
        solver.let_go(limit.rows)
    least = short()
    kept = []
    for limit in limits:
        solver.tighten(limit.rows)
        if least < now - NEAR and short() > least + NEAR:
            solver.let_go(limit.rows)
            kept.append(limit)
    for limit in kept:
        solver.tighten(limit.rows)
    return tuple(kept)
