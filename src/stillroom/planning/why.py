"""Why a preserve is not made or a target falls short, what strict importance costs; plans of changed households."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial

from stillroom.errors import StillroomError
from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Period, Plan, Progress, no_progress
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, PlanLine, Preserve, Target
from stillroom.household.results.bottlenecks import Bottleneck, WhyPreserve, WhyTarget
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.household.text import format_amount, format_long_date, plural
from stillroom.planning.bottlenecks.gains import gain_of, takers
from stillroom.planning.bottlenecks.replan import quick_plan, sendable, sendable_plan
from stillroom.planning.bottlenecks.resources import catalogue
from stillroom.planning.constraints.work import most_preserves
from stillroom.planning.highs import HighsSession
from stillroom.planning.model import Sum, at_least
from stillroom.planning.objectives import points_of
from stillroom.planning.parameters import Fix, Parameters
from stillroom.planning.solution import NEAR, SOLVE_SETTINGS, limiting, relax_make_bounds
from stillroom.planning.solve import build, plan
from stillroom.planning.variables import Variables

CRUMB = 1e-6
"""Part of a container, well above the solver's tolerance, so that a feasible amount stays feasible."""


def why_preserve(household: Household, plan: Plan, name: str) -> WhyPreserve:
    """
    Force one more load of a preserve (or a smallest batch) into a plan, and compare.

    `household` is settled and `plan` its full plan. Raises KeyError when no such preserve may be planned.
    """
    item = next(one for one in household.planned() if one.name == name)
    more = float(item.load or item.smallest_batch)
    made = plan.made(name)
    target = math.ceil(made - NEAR) + more
    parameters, variables = build(household)
    kept = filled_by_plan(household, plan)
    short = variables.model.variable("short.forced", most=target)
    variables.model.add("forced", at_least([*variables.made(name), (1.0, short)], target))
    solver = session_for(parameters, variables, [item], target)
    bottlenecks = limits_on(household, parameters, variables, [name])
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
    Find the limits that keep a target short while every other target keeps what it has.

    Raises KeyError when there is no such target.
    """
    target = next(one for one in household.targets if one.name == name)
    parameters, variables = build(household)
    kept = filled_by_plan(household, plan)
    filled = kept[name]
    if filled >= target.wanted - NEAR:
        return WhyTarget(name, filled, target.wanted, 0.0, ())
    items = [item for item in parameters.preserves if item.name in target.counts and item.include]
    each = min((target.counts[item.name] for item in items if target.counts[item.name] > 0), default=1.0)
    solver = session_for(parameters, variables, items, math.ceil(target.wanted / each) + 1.0)
    keep_filled(parameters, variables, solver, kept, (name,))
    bands: Sum = [(-1.0, variables.filled[name, segment]) for segment in range(len(parameters.gains))]

    def short() -> float:
        return target.wanted + shortfall(solver, bands)

    bottlenecks = limits_on(household, parameters, variables, [item.name for item in items])
    for bottleneck in bottlenecks:
        solver.relax_rows(bottleneck.rows)
    least = short()
    for bottleneck in bottlenecks:
        solver.restore_rows(bottleneck.rows)
    found = shortest(solver, bottlenecks, short) if items else ()
    return WhyTarget(name, filled, target.wanted, max(0.0, target.wanted - least - filled) if items else 0.0, found)


def session_for(parameters: Parameters, variables: Variables, items: Sequence[Preserve], most: float) -> HighsSession:
    """
    Load the model without the upper bounds of these preserves, which were computed from the limits.

    What fits the timetable of a day becomes a constraint, and nothing is begun without its setup.
    """
    add_batch_setups(parameters, variables, items)
    solver = HighsSession(variables.model)
    numbers = tuple(period.number for period in parameters.periods)
    for item in items:
        end = most + (item.load or 0)
        relax_make_bounds(parameters, variables, solver, Fix(item.name, numbers, end, False, ""))
        solver.relax_rows(
            f"{variables.name('smallest_batch', item.name, day.label)}.most" for day in parameters.singles
        )
        for day in parameters.singles:
            key = (item.name, day.number)
            if key in variables.setup:
                begun = solver.vector([(1.0, variables.make[key]), (-math.ceil(end), variables.setup[key])])
                solver.add_objective_bound(begun, least=None, most=0.0)
            if key in variables.make and key in parameters.timetable_limit:
                solver.rows[timetable_row(item.name, day)] = solver.highs.getNumRow()
                solver.add_objective_bound(
                    solver.vector([(1.0, variables.make[key])]), least=None, most=parameters.timetable_limit[key]
                )
    return solver


def add_batch_setups(parameters: Parameters, variables: Variables, items: Sequence[Preserve]) -> None:
    """Add a setup, and with it the smallest batch, to these preserves on days without one."""
    for item in items:
        for day in parameters.singles:
            key = (item.name, day.number)
            if key in variables.setup or key not in variables.make or not parameters.needs_setup(item, day):
                continue
            begun = variables.model.variable(variables.name("setup", item.name, day.label), most=1, whole=True)
            variables.setup[key] = begun
            if key not in parameters.fixed_at:
                batch = [(1.0, variables.make[key]), (-float(parameters.batch(item, day)), begun)]
                variables.model.add(variables.name("begun", item.name, day.label), at_least(batch, 0.0))
    variables.model.rows.update(most_preserves(parameters, variables))


def timetable_row(name: str, day: Period) -> str:
    """Return the name of the constraint that limits a preserve to what fits a day's timetable."""
    return f"clock {name} {day.label}"


def keep_filled(
    parameters: Parameters, variables: Variables, solver: HighsSession, filled: dict[str, float], but: Collection[str]
) -> None:
    """Bound every target, but these, at what it has."""
    for target in parameters.targets:
        was = filled.get(target.name, 0.0)
        if target.name not in but and target.wanted > 0 and was > NEAR:
            bands: Sum = [(1.0, variables.filled[target.name, segment]) for segment in range(len(parameters.gains))]
            solver.add_objective_bound(solver.vector(bands), least=was - NEAR, most=None)


def limits_on(
    household: Household, parameters: Parameters, variables: Variables, names: Sequence[str]
) -> tuple[Bottleneck, ...]:
    """Return every limit on these preserves, and the targets that have enough of them."""
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
            found.append(of_rows("purpose", f"a target that {name} counts toward", *rows))
    for day in parameters.singles:
        rows = tuple(timetable_row(name, day) for name in names if (name, day.number) in parameters.timetable_limit)
        if rows:
            found.append(of_rows("clock", f"what fits the clock on {format_long_date(day.first_day)}", *rows))
    used = {line.item for item in parameters.preserves if item.name in names for line in item.ingredients}
    for name in sorted(used & set(parameters.users)):
        rows = tuple(variables.name("preserve_balance", name, period.label) for period in parameters.periods)
        found.append(of_rows("preserve", f"{name} on the shelf", *rows))
    return tuple(found)


def not_yet(household: Household, bottleneck: Bottleneck) -> str:
    """Return from when equipment is free, where that is after the first day; else nothing."""
    if bottleneck.kind != "equipment":
        return ""
    free = household.equipment_named(bottleneck.name).free_from
    return f" (free from {format_long_date(free)})" if free is not None and free > household.kitchen.first_day else ""


def room_words(target: Target) -> str:
    """
    Return the words for a target that has enough.

    >>> room_words(Target("tomato juice", 20, 27, unit="quart"))
    'room on the list for tomato juice (at most 27 quarts)'
    """
    unit = plural(target.at_most, target.unit) if target.unit else ""
    most = " ".join(part for part in ("at most", format_amount(target.at_most, target.unit), unit) if part)
    return f"room on the list for {target.name} ({most})"


def of_rows(kind: str, words: str, *rows: str) -> Bottleneck:
    """Return a limit that is only named, never loosened."""
    return Bottleneck(kind, words, words, rows, "", 1.0, 0.0, "")


def shortfall(solver: HighsSession, terms: Sum) -> float:
    """Return the minimum of these terms; infinite when there is no solution."""
    solver.set_objective(solver.vector(terms), maximize=False)
    outcome = solver.run(None, SOLVE_SETTINGS)
    return outcome.value if outcome.found else math.inf


def shortest(solver: HighsSession, bottlenecks: Sequence[Bottleneck], short: Callable[[], float]) -> tuple[str, ...]:
    """Return the words of the smaller of two irreducible sets of limits, found from the front and from the back."""
    now = short()
    lists = [limiting(solver, order, short, now) for order in (bottlenecks, tuple(reversed(bottlenecks)))]
    best = min(lists, key=len)
    return tuple(bottleneck.words for bottleneck in bottlenecks if bottleneck in best)


# Full plans of changed households, for what-if questions.

Planner = Callable[[Household], Plan]


def plan_cases(
    final_results: Household,
    plan_as_it_is: Plan,
    cases: Sequence[Household],
    executor: Executor | None = None,
    report: Progress = no_progress,
    planner: Planner = plan,
) -> tuple[Plan, ...]:
    """
    Return the full plan of every case, a changed copy of the household.

    `planner` plans one case, in another process if there is an executor. The current plan is each case's last plan, so
    a case differs from it only where it must; a case equal to the household gets the current plan. Raises
    StillroomError when a plan violates a constraint.
    """
    households = [sendable(from_plan(case, plan_as_it_is)) for case in cases]
    different = [place for place, case in enumerate(cases) if case != final_results]
    tasks = [households[place] for place in different]
    work = partial(plan_case, planner)
    results = map(work, tasks) if executor is None else executor.map(work, tasks)
    found = [plan_as_it_is] * len(cases)
    for count, (place, result) in enumerate(zip(different, results, strict=True), start=1):
        found[place] = result
        report(f"planned {count} of {len(different)} cases")
    return tuple(found)


def plan_case(planner: Planner, household: Household) -> Plan:
    """Return the audited plan of one case; can run in another process."""
    found = planner(household)
    broken = violated_constraints(household, found)
    if broken:
        msg = "the plan of a case violates a constraint: " + "; ".join(broken[:3])
        raise StillroomError(msg)
    return sendable_plan(found)


def from_plan(household: Household, last: Plan) -> Household:
    """Return the household with this plan as its last one; its own fixed lines stay."""
    kept = [replace(line, make=None) for line in household.plan_lines if line.fix is not None or line.made is not None]
    lines = []
    for start, amounts in (("", last.make), (FREEZE_WHOLE, last.freeze_kg), (THAW, last.thaw_kg)):
        for (name, number), amount in sorted(amounts.items()):
            period = last.periods[number]
            lines.append(PlanLine(period.first_day, period.days, start + name, make=amount))
    return replace(household, plan_lines=(*kept, *lines))


# What strict importance costs: how far the targets would be filled if the importances were weighed.

COUNTS = {1: 4.0, 2: 2.0, 3: 1.0}
"""What a target of each importance counts where they are weighed."""

MORE = 0.15
"""The share by which all targets together have to gain before it is worth a note."""

LESS = 0.10
"""The share that the targets of the highest importance have to lose: with less, it is no trade of importances."""

KEPT_FIRST = 1000.0
"""Points for each container that a fixed line is short of: more than any target is worth."""


@dataclass(frozen=True)
class Weighed:
    """How far the targets of the highest importance, and all of them, are filled: as planned, and weighed; shares."""

    importance: int
    first: float
    whole: float
    first_weighed: float
    whole_weighed: float


def cost_of_importance(household: Household, plan: Plan) -> Weighed | None:
    """
    Return what strict importance costs the targets together, where that is much; `household` as it was planned.

    The targets are weighed in the linear relaxation, in which jars may be parts, so the shares are rough. None where no
    lower importance falls short or little would be gained.
    """
    targets = [target for target in household.targets if target.wanted > 0]
    first = [target for target in targets if target.importance == min(one.importance for one in targets)]
    filled = filled_by_plan(household, plan)
    if len(first) == len(targets) or share(targets, filled) > 1 - MORE:
        return None
    weighed = filled_when_weighed(household)
    found = Weighed(
        first[0].importance,
        share(first, filled),
        share(targets, filled),
        share(first, weighed),
        share(targets, weighed),
    )
    much = found.whole_weighed - found.whole >= MORE and found.first - found.first_weighed >= LESS
    return found if much else None


def share(targets: list[Target], filled: Mapping[str, float]) -> float:
    """
    Return how far targets are filled on average.

    >>> share([Target("juice", 20, 20), Target("soup", 10, 10)], {"juice": 20.0, "soup": 2.0})
    0.6
    """
    return sum(filled.get(target.name, 0.0) / target.wanted for target in targets) / len(targets)


def filled_when_weighed(household: Household) -> dict[str, float]:
    """
    Return how far each target is filled, in its unit, by the linear relaxation with all importances in one sum.

        maximize sum over n of count[importance[n]] * points[n] - 1000 * sum over i of short[i]

    where count is 4, 2 and 1. Empty when there is no solution.
    """
    parameters, variables = build(household)
    solver = HighsSession(variables.model)
    weights = {one.name: one.weight * COUNTS[one.importance] for one in parameters.targets if one.wanted > 0}
    terms = points_of(parameters, variables, weights)
    terms += [(-KEPT_FIRST, variable) for variable in variables.short.values()]
    solver.set_objective(solver.vector(terms), maximize=True)
    found = solver.solve_relaxation()
    if found is None:
        return {}
    return {
        name: sum(
            float(found.columns[solver.columns[variables.filled[name, segment].name]])
            for segment in range(len(parameters.gains))
        )
        for name in weights
    }
