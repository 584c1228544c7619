"""Why a preserve is not made, or not more of it, and why a need falls short: what is lost, what is in the way."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace

from stillroom.household.plan import Period, Plan
from stillroom.household.records import Household, Preserve, Target
from stillroom.household.text import format_amount, format_long_date, plural
from stillroom.planning.bottlenecks.gains import Gain, gain_of, takers
from stillroom.planning.bottlenecks.replan import filled_by, quick_plan
from stillroom.planning.bottlenecks.resources import Bottleneck, catalogue
from stillroom.planning.highs import Solver
from stillroom.planning.model import Sum, at_least
from stillroom.planning.parameters import Fix, Parameters
from stillroom.planning.solve import build
from stillroom.planning.variables import Variables
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
class WhyTarget:
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
    parameters, variables = build(household)
    kept = filled_by(household, plan)
    short = variables.programme.variable("short.forced", most=target)
    variables.programme.add("forced", at_least([*variables.made(name), (1.0, short)], target))
    solver = ready(parameters, variables, [item], target)
    bottlenecks = in_the_way_of(household, parameters, variables, [name])
    missing = shortfall(solver, [(1.0, short)])
    lost = None
    if missing <= NEAR:
        before = replace(quick_plan(household, plan), filled=kept)
        there = target - max(0.0, missing) - CRUMB
        lost = gain_of(household, before, quick_plan(household, plan, before, forced=(name, there)))
    if lost is None or lost.hurts:
        if lost is not None:
            keep_filled(parameters, variables, solver, kept, ())
        found = shortest(solver, bottlenecks, lambda: shortfall(solver, [(1.0, short)]))
    else:
        found = ()
    return WhyPreserve(name, made, target - made, lost, found)


def why_target(household: Household, plan: Plan, name: str) -> WhyTarget:
    """
    Find what keeps a need short while every other need keeps what it has.

    KeyError when there is no need of that name.
    """
    target = next(one for one in household.targets if one.name == name)
    parameters, variables = build(household)
    kept = filled_by(household, plan)
    filled = kept[name]
    if filled >= target.wanted - NEAR:
        return WhyTarget(name, filled, target.wanted, 0.0, ())
    items = [item for item in parameters.preserves if item.name in target.counts and item.include]
    each = min((target.counts[item.name] for item in items if target.counts[item.name] > 0), default=1.0)
    solver = ready(parameters, variables, items, math.ceil(target.wanted / each) + 1.0)
    keep_filled(parameters, variables, solver, kept, (name,))
    bands: Sum = [(-1.0, variables.filled[name, band]) for band in range(len(parameters.gains))]

    def short() -> float:
        return target.wanted + shortfall(solver, bands)

    bottlenecks = in_the_way_of(household, parameters, variables, [item.name for item in items])
    for bottleneck in bottlenecks:
        solver.let_go(bottleneck.rows)
    least = short()
    for bottleneck in bottlenecks:
        solver.tighten(bottleneck.rows)
    found = shortest(solver, bottlenecks, short) if items else ()
    return WhyTarget(name, filled, target.wanted, max(0.0, target.wanted - least - filled) if items else 0.0, found)


def ready(parameters: Parameters, variables: Variables, items: Sequence[Preserve], most: float) -> Solver:
    """
    The programme handed over, with the bounds of these preserves lifted: they were computed from the limits.

    What a day holds on the clock stands as rows of its own, and nothing is begun without its set-up.
    """
    begin_by_batches(parameters, variables, items)
    solver = Solver(variables.programme)
    numbers = tuple(period.number for period in parameters.periods)
    for item in items:
        end = most + (item.load or 0)
        let_make_go(parameters, variables, solver, Fix(item.name, numbers, end, False, ""))
        solver.let_go(f"{variables.name('smallest_batch', item.name, day.label)}.most" for day in parameters.singles)
        for day in parameters.singles:
            key = (item.name, day.number)
            if key in variables.setup:
                begun = solver.vector([(1.0, variables.make[key]), (-math.ceil(end), variables.setup[key])])
                solver.hold(begun, least=None, most=0.0)
            if key in variables.make and key in parameters.clock_most:
                solver.rows[clock_row(item.name, day)] = solver.highs.getNumRow()
                solver.hold(solver.vector([(1.0, variables.make[key])]), least=None, most=parameters.clock_most[key])
    return solver


def begin_by_batches(parameters: Parameters, variables: Variables, items: Sequence[Preserve]) -> None:
    """Give these preserves a set-up, and with it their smallest batch, on days that have none for want of anything."""
    for item in items:
        for day in parameters.singles:
            key = (item.name, day.number)
            if (
                key in variables.setup
                or key not in variables.make
                or (item.load is not None and item.smallest_batch <= 1)
            ):
                continue
            begun = variables.programme.variable(variables.name("setup", item.name, day.label), most=1, whole=True)
            variables.setup[key] = begun
            if key not in parameters.fixed_at:
                batch = [(1.0, variables.make[key]), (-float(parameters.batch(item, day)), begun)]
                variables.programme.add(variables.name("begun", item.name, day.label), at_least(batch, 0.0))


def clock_row(name: str, day: Period) -> str:
    """The row that holds a preserve to what fits a day's clock."""
    return f"clock {name} {day.label}"


def keep_filled(
    parameters: Parameters, variables: Variables, solver: Solver, filled: dict[str, float], but: Collection[str]
) -> None:
    """Hold every need, but these, at what it has."""
    for target in parameters.targets:
        was = filled.get(target.name, 0.0)
        if target.name not in but and target.wanted > 0 and was > NEAR:
            bands: Sum = [(1.0, variables.filled[target.name, band]) for band in range(len(parameters.gains))]
            solver.hold(solver.vector(bands), least=was - NEAR, most=None)


def in_the_way_of(
    household: Household, parameters: Parameters, variables: Variables, names: Sequence[str]
) -> tuple[Bottleneck, ...]:
    """Every limit that some of these preserves take of, with that the list has enough of them."""
    found = []
    for bottleneck in catalogue(parameters, variables):
        whole = bottleneck.kind == "hours" and len(bottleneck.weekdays) > 1
        if not whole and takers(household, bottleneck) & set(names):
            rows = bottleneck.rows
            if bottleneck.kind == "crop":
                every = (
                    variables.name("thawed_crop_use", bottleneck.name, period.label) for period in parameters.periods
                )
                rows = (*rows, *every)
            found.append(replace(bottleneck, rows=rows, words=bottleneck.words + not_yet(household, bottleneck)))
    groups = [
        target
        for target in parameters.targets
        if {item.name for item in parameters.groups.get(target.name, ())} & set(names)
    ]
    found += [of_rows("enough", room_words(target), variables.name("at_most", target.name)) for target in groups]
    for name in names:
        if name not in parameters.target_of:
            rows = (variables.name("no_purpose", name), variables.name("no_purpose_in_weeks", name))
            found.append(of_rows("purpose", f"a need that {name} counts toward", *rows))
    for day in parameters.singles:
        rows = tuple(clock_row(name, day) for name in names if (name, day.number) in parameters.clock_most)
        if rows:
            found.append(of_rows("clock", f"what fits the clock on {format_long_date(day.first_day)}", *rows))
    used = {line.item for item in parameters.preserves if item.name in names for line in item.ingredients}
    for name in sorted(used & set(parameters.users)):
        rows = tuple(variables.name("preserve_balance", name, period.label) for period in parameters.periods)
        found.append(of_rows("preserve", f"{name} on the shelf", *rows))
    return tuple(found)


def not_yet(household: Household, bottleneck: Bottleneck) -> str:
    """From when on a piece of equipment is free, where that is after the first day; nothing for any other limit."""
    if bottleneck.kind != "equipment":
        return ""
    free = household.equipment_named(bottleneck.name).free_from
    return f" (free from {format_long_date(free)})" if free is not None and free > household.kitchen.first_day else ""


def room_words(target: Target) -> str:
    """
    That the list has enough of a need, as a limit.

    >>> room_words(Target("tomato juice", 20, 27, unit="quart"))
    'room on the list for tomato juice (at most 27 quarts)'
    """
    unit = plural(target.at_most, target.unit) if target.unit else ""
    most = " ".join(part for part in ("at most", format_amount(target.at_most, target.unit), unit) if part)
    return f"room on the list for {target.name} ({most})"


def of_rows(kind: str, words: str, *rows: str) -> Bottleneck:
    """A limit that is only named, never loosened."""
    return Bottleneck(kind, words, words, rows, "", 1.0, 0.0, "")


def shortfall(solver: Solver, terms: Sum) -> float:
    """The least that these terms can be; infinite when nothing keeps the rows that hold."""
    solver.aim_at(solver.vector(terms), most=False)
    outcome = solver.run(None, EFFORT)
    return outcome.value if outcome.found else math.inf


def shortest(solver: Solver, bottlenecks: Sequence[Bottleneck], short: Callable[[], float]) -> tuple[str, ...]:
    """
    The shorter of two lists of limits that together explain what is short, in reading order.

    All are let go, then tightened one after another, once from the front and once from the back; those that cannot be
    tightened without falling short again are in the way, and of a list none can be left out. Empty when letting all of
    them go changes nothing.
    """
    now = short()
    lists = [in_the_way(solver, order, short, now) for order in (bottlenecks, tuple(reversed(bottlenecks)))]
    best = min(lists, key=len)
    return tuple(bottleneck.words for bottleneck in bottlenecks if bottleneck in best)


def in_the_way(
    solver: Solver, bottlenecks: Sequence[Bottleneck], short: Callable[[], float], now: float
) -> tuple[Bottleneck, ...]:
    """The limits that cannot be tightened again, in the order in which they are tried."""
    for bottleneck in bottlenecks:
        solver.let_go(bottleneck.rows)
    least = short()
    kept = []
    for bottleneck in bottlenecks:
        solver.tighten(bottleneck.rows)
        if least < now - NEAR and short() > least + NEAR:
            solver.let_go(bottleneck.rows)
            kept.append(bottleneck)
    for bottleneck in kept:
        solver.tighten(bottleneck.rows)
    return tuple(kept)
