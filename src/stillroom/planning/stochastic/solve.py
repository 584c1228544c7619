"""The way from a settled household with an uncertain harvest to a plan that stands in every season."""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace

from stillroom.errors import NoPlanInTime, StillroomError
from stillroom.household.audit import violated_constraints
from stillroom.household.audit.objectives import PROVED, PROVED_AT_ALL
from stillroom.household.plan import Hedge, Kind, ObjectiveResult, Period, Plan, SeasonPlan
from stillroom.household.progress import Progress
from stillroom.household.records import Household, Preserve
from stillroom.household.scenarios import DAYS_DECIDED_NOW, LIKELY, days_decided_now, harvest_cases, planned_for_several
from stillroom.planning import solve
from stillroom.planning.bottlenecks.resolve import relaxed, sendable_plan
from stillroom.planning.highs import Effort, Solver
from stillroom.planning.model import Sum, Variable, at_least, at_most
from stillroom.planning.objectives import Objective, objectives_for
from stillroom.planning.parameters import Parameters
from stillroom.planning.solution import Day, Used, day_of, keeps, may_move, move_to, read_off, sooner, with_moves
from stillroom.planning.solve import (
    PATIENT_NODES,
    Search,
    as_it_is,
    build,
    hold,
    polish,
    reach,
    trivial_result,
    with_full_bands,
    without_idle_setups,
)
from stillroom.planning.stochastic.scenarios import Case, Joint, build_cases
from stillroom.planning.variables import Variables
from stillroom.planning.violations import explained

# The aims over several seasons: each as in the plain plan, by its expectation, or for the worst season first.


def weighted(parts: Iterable[tuple[float, Sum]]) -> Sum:
    """Sums added up, each with its weight: an expectation where the weights add up to 1."""
    return [(weight * coefficient, variable) for weight, terms in parts for coefficient, variable in terms]


def expected(objective: Objective, joint: Joint) -> Objective:
    """
    The same aim by its expectation.

        sum over s of weight[s] * aim[s]

    where the seasons s have weights that add up to 1; in the aim's own unit.
    """

    def terms(_parameters: Parameters, _variables: Variables) -> Sum:
        return weighted((case.weight, objective.terms(case.parameters, case.variables)) for case in joint.cases)

    return replace(objective, terms=terms)


def worst(objective: Objective, joint: Joint) -> Objective:
    """
    The most that every season reaches of an aim: the value of the worst one. Adds its rows to the programme.

        most  worst   where  worst <= aim[s]  for every season s
    """
    name = f"worst.{objective.name.replace(' ', '_')}"
    value = joint.programme.variable(name)
    for case in joint.cases:
        terms = [(-coefficient, variable) for coefficient, variable in objective.terms(case.parameters, case.variables)]
        joint.programme.add(f"{case.name}.{name}", at_most([(1.0, value), *terms], 0.0))
    return replace(objective, worst_season=True, terms=lambda _parameters, _variables: [(1.0, value)])


def objectives_over(joint: Joint, *, worst_first: bool) -> tuple[Objective, ...]:
    """
    Every aim, in order, by its expectation; with `worst_first` each needs aim for the worst season before that.

    To be called before the programme is handed over: the worst season has rows of its own.
    """
    found = []
    for objective in objectives_for(joint.cases[0].parameters):
        if worst_first and objective.kind == "target":
            found.append(worst(objective, joint))
        found.append(expected(objective, joint))
    return tuple(found)


def different(joint: Joint, case: Case) -> Sum:
    """
    Decisions that count by how many containers a season's later days differ from those of the likely one.

        apart[p, t] >= make[p, t] - make_likely[p, t]
        apart[p, t] >= make_likely[p, t] - make[p, t]

    Adds its rows to the programme. Equal days are equal to every aim; without this the seasons would be told apart by
    days that mean nothing.
    """
    likely = joint.case("likely").variables.make
    terms: Sum = []
    for (name, number), made in case.variables.make.items():
        other = likely[name, number]
        if made is other:
            continue
        period = case.parameters.periods[number]
        label = case.variables.name("apart", name, period.label)
        apart: Variable = case.variables.programme.variable(label)
        for sign, which in ((1.0, "more"), (-1.0, "less")):
            row = at_least([(1.0, apart), (-sign, made), (sign, other)], 0.0)
            case.variables.programme.add(f"{label}.{which}", row)
        terms.append((1.0, apart))
    return terms


# The late aims, season by season: the work of one season is decided while that of the others stands still.

ALIKE_HOURS = 0.02
"""
What a container that a season makes otherwise than the likely one counts beside the hours of hands.

A choice of this project, without a source: large enough to keep equal days equal, too small to move a load.
"""

MOST_NODES = 60
"""Nodes after which the search for one season ends: 400 took ten times as long on a demo household, no fewer hours."""

SMALL = 300
"""So many whole numbers are decided for all seasons at once; the demo households have some 1,300."""

SEASON_BY_SEASON = "decided season by season"
"""Why a late aim is not proved: all seasons at once took ten times as long and stayed further from their bound."""


def reach_late(search: Search, joint: Joint, objective: Objective, apart: Mapping[str, dict[int, float]]) -> None:
    """Reach a late aim: all seasons at once in a small programme, and then as alike as it allows; else by season."""
    if len(joint.cases) > 1 and sum(search.solver.whole) > SMALL:
        reach_by_season(search, joint, objective, apart)
        return
    reach(search, objective)
    for case in joint.cases:
        if case.name in apart:
            one_season(search, joint, case, objective, search.costs[-1], apart[case.name])


def reach_by_season(search: Search, joint: Joint, objective: Objective, apart: Mapping[str, dict[int, float]]) -> None:
    """
    Reach an aim to be made least in one season after the other, the likely one first, and hold it.

    What is decided now stays free with the likely season, and so do amounts in the others' weeks. `apart` are the costs
    of being different from it, by season. The bound is that of the programme in which nothing has to be whole.
    """
    began = time.monotonic()
    costs = search.solver.vector(objective.terms(search.parameters, search.variables))
    search.costs.append(costs)
    search.objectives.append(objective)
    result = trivial_result(search, objective, costs)
    if result is None:
        bound = relaxed(search, objective)
        for case in sorted(joint.cases, key=lambda case: case.name != LIKELY):
            one_season(search, joint, case, objective, costs, apart.get(case.name, {}))
        value = sum(cost * (search.best or ())[column] for column, cost in costs.items())
        proved = value - bound <= max(objective.patient_gap * abs(value), objective.close_enough)
        seconds = time.monotonic() - began
        stopped = "" if proved else SEASON_BY_SEASON
        result = objective.result(value, bound, proved=proved, seconds=seconds, stopped=stopped)
    search.results.append(result)
    hold(search, objective, costs, result.value)


def one_season(
    search: Search,
    joint: Joint,
    case: Case,
    objective: Objective,
    costs: Mapping[int, float],
    apart: Mapping[int, float],
) -> None:
    """Decide one season's days anew, while those of all other seasons stand as they are."""
    hours = {column: ALIKE_HOURS * case.weight * cost for column, cost in apart.items()}
    search.solver.aim_at({**hours, **costs}, most=False)
    with standing_still(search, others_of(search, joint, case)):
        outcome = search.solver.run(search.best, effort(objective), search.seconds_left())
    if outcome.found:
        search.best = outcome.columns


def effort(objective: Objective) -> Effort:
    """The effort for one season: the aim's own gap over all seasons, and fewer nodes."""
    nodes = min(objective.last_nodes, MOST_NODES)
    return Effort(
        objective.gap,
        objective.close_enough,
        objective.patient_gap,
        PATIENT_NODES,
        nodes,
        objective.helped_by,
        objective.trials,
    )


def others_of(search: Search, joint: Joint, case: Case) -> list[int]:
    """
    The columns that stand still for one season.

    For the likely one the whole numbers of the others' later days; for any other all that is not its own.
    """
    own = f"{case.name}."
    others = tuple(f"{other.name}." for other in joint.cases if other.name != case.name)
    columns, whole = search.solver.columns, search.solver.whole
    if case.name == LIKELY:
        return [column for name, column in columns.items() if whole[column] and name.startswith(others)]
    return [column for name, column in columns.items() if not name.startswith(own)]


@contextmanager
def standing_still(search: Search, columns: Sequence[int]) -> Iterator[None]:
    """Hold whole numbers where they are, and give them their own ends back."""
    highs, best = search.solver.highs, search.best or ()
    model = highs.getLp()
    ends = [(column, model.col_lower_[column], model.col_upper_[column]) for column in columns]
    for column in columns:
        value = round(best[column]) if search.solver.whole[column] else best[column]
        highs.changeColBounds(column, value, value)
    try:
        yield
    finally:
        for column, lower, upper in ends:
            highs.changeColBounds(column, lower, upper)


# Sessions of every season moved to earlier days, without telling apart what all of them do today and tomorrow.

NOTHING = 1e-6


def moved_forward(parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int) -> dict[str, Plan]:
    """
    Give the plans, by season, with sessions moved forward.

    Into the days decided now a session comes only if every season makes the same later on and has room for it; then
    within those days alike in all; then the later days of each season by themselves.
    """
    start = together_forward(parameters, from_later(parameters, plans, decided_now), decided_now)
    return {
        name: sooner(parameters[name], plan, (decided_now, len(parameters[name].singles)))
        for name, plan in start.items()
    }


def from_later(parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int) -> Mapping[str, Plan]:
    """Move sessions from later days into the days decided now where every season can."""
    days = {name: day_of(parameters[name], plan) for name, plan in plans.items()}
    likely = parameters[LIKELY]
    moved = False
    for item in sorted(likely.preserves, key=lambda item: (keeps(likely, item), item.name)):
        for period in likely.singles[decided_now:]:
            for earlier in likely.singles[:decided_now]:
                amount = days[LIKELY].make.get((item.name, period.number), 0.0)
                if amount > 0 and every_season_moves(days, plans, item, amount, earlier):
                    moved = True
    found = {name: with_moves(plans[name], day) for name, day in days.items()}
    if not moved or any(violated_constraints(parameters[name].household, plan) for name, plan in found.items()):
        return plans
    return found


def every_season_moves(
    days: dict[str, Day], plans: Mapping[str, Plan], item: Preserve, amount: float, earlier: Period
) -> bool:
    """Move a session of so many containers to an earlier day in every season, or in none."""
    before = {name: copied(day) for name, day in days.items()}
    for name, day in days.items():
        source = next(
            (
                period
                for period in day.parameters.singles[DAYS_DECIDED_NOW:]
                if abs(day.make.get((item.name, period.number), 0.0) - amount) < NOTHING
                and may_move(day.parameters, plans[name], item, period)
            ),
            None,
        )
        if source is None or not move_to(day, item, source, earlier):
            days.update(before)
            return False
    return True


def copied(day: Day) -> Day:
    """The same day, to go back to."""
    used: Used = defaultdict(float, day.used)
    return replace(day, make=dict(day.make), loads=dict(day.loads), fresh_kg=dict(day.fresh_kg), used=used)


def together_forward(
    parameters: Mapping[str, Parameters], plans: Mapping[str, Plan], decided_now: int
) -> Mapping[str, Plan]:
    """Move what the likely season can move from tomorrow to today in every season, if every season can."""
    likely = plans[LIKELY]
    moved = sooner(parameters[LIKELY], likely, (0, decided_now))
    if moved.make == likely.make:
        return plans
    found = {name: like(plan, likely, moved, decided_now) for name, plan in plans.items()}
    if any(violated_constraints(parameters[name].household, plan) for name, plan in found.items()):
        return plans
    return found


def like(plan: Plan, before: Plan, after: Plan, decided_now: int) -> Plan:
    """A season's plan with the same moves in the days decided now as were made from one plan to another."""

    def now(amounts: Mapping[tuple[str, int], float]) -> dict[tuple[str, int], float]:
        return {key: amount for key, amount in amounts.items() if key[1] < decided_now}

    def later(amounts: Mapping[tuple[str, int], float]) -> dict[tuple[str, int], float]:
        return {key: amount for key, amount in amounts.items() if key[1] >= decided_now}

    fresh = dict(plan.fresh_kg)
    for key in set(before.fresh_kg) | set(after.fresh_kg):
        fresh[key] = fresh.get(key, 0.0) + after.fresh_kg.get(key, 0.0) - before.fresh_kg.get(key, 0.0)
    return replace(
        plan,
        make=now(after.make) | later(plan.make),
        loads=now(after.loads) | later(plan.loads),
        fresh_kg={key: kg for key, kg in fresh.items() if kg > NOTHING},
    )


LATE: tuple[Kind, ...] = ("surplus", "stability", "labor")
"""The kinds of aims that are reached season by season."""


def hedged_plan(household: Household, time_limit_seconds: float | None = None, tell: Progress | None = None) -> Plan:
    """
    Plan a settled household for a poor, a likely and a good harvest together.

    The plan is that of the likely season; what it does today and tomorrow is the same in all of them, and its `hedge`
    holds the plans of the other seasons and the aims over all. Where nothing is uncertain, or the household plans for
    the likely harvest alone, it is the plain plan. The same household gives the same plan.

    Raises NoPlanInTime when there is no plan at all within the limit, StillroomError when the plan of a season other
    than the likely one breaks a rule.
    """
    if not planned_for_several(household):
        return solve.plan(household, time_limit_seconds, tell)
    cases = harvest_cases(household)
    ends_at = None if time_limit_seconds is None else time.monotonic() + time_limit_seconds
    joint = build_cases(cases)
    search = searched(joint, household.kitchen.plan_for == "worst harvest", ends_at, tell)
    if search.best is None:
        raise NoPlanInTime("no plan was found")
    polish(search)
    return finished(household, joint, search)


def searched(joint: Joint, worst_first: bool, ends_at: float | None, tell: Progress | None) -> Search:
    """Reach every aim over the seasons, one after the other."""
    objectives, apart = over_seasons_stated(joint, worst_first=worst_first)
    search = Search(joint.case(LIKELY).parameters, joint.together, Solver(joint.programme), ends_at=ends_at)
    columns = {name: search.solver.vector(terms) for name, terms in apart.items()}
    for objective in objectives:
        if tell is not None:
            tell(f"{objective.name}, all seasons")
        if objective.kind in LATE and search.best is not None:
            reach_late(search, joint, objective, columns if objective.kind == "labor" else {})
        else:
            reach(search, objective)
    return search


def over_seasons_stated(joint: Joint, *, worst_first: bool) -> tuple[tuple[Objective, ...], dict[str, Sum]]:
    """State every aim over the seasons, and how far each season is from the likely one; their rows join the model."""
    objectives = objectives_over(joint, worst_first=worst_first)
    return objectives, {case.name: different(joint, case) for case in joint.cases if case.name != LIKELY}


def finished(household: Household, joint: Joint, search: Search) -> Plan:
    """Read the plan of every season off, with its sessions moved forward; audited but for the likely one's."""
    search.best = without_idle_setups(search)
    for case in joint.cases:
        search.best = with_full_bands(replace(search, parameters=case.parameters, variables=case.variables))
    over_all = as_it_is(search)
    columns = dict(zip(search.solver.columns, search.best, strict=True))
    plans = {
        case.name: read_off(case.parameters, case.variables, columns, objectives_in(search, case, over_all))
        for case in joint.cases
    }
    parameters = {case.name: case.parameters for case in joint.cases}
    plans = moved_forward(parameters, plans, days_decided_now(household))
    seasons = []
    for case in joint.cases:
        if case.name != LIKELY:
            one = sendable_plan(plans[case.name])
            broken = violated_constraints(case.parameters.household, one)
            if broken:
                msg = f"the plan for a {case.name} harvest does not keep every rule: " + "; ".join(broken[:3])
                raise StillroomError(msg)
            seasons.append(SeasonPlan(case.name, case.weight, one))
    likely = plans[LIKELY]
    if likely.violations:
        likely = replace(
            likely, violations=explained(*build(joint.case(LIKELY).parameters.household), likely.violations)
        )
    hedge = Hedge(tuple(seasons), joint.case(LIKELY).weight, days_decided_now(household), over_all)
    return replace(likely, hedge=hedge)


def objectives_in(search: Search, case: Case, over_all: tuple[ObjectiveResult, ...]) -> tuple[ObjectiveResult, ...]:
    """
    The aims as one season reaches them.

        bound[s] = value[s] + (bound - value) / weight[s]

    where value and bound are those over all seasons: with the other seasons as they are, this one cannot be better.
    """
    results = {result.key: result for result in over_all}
    best = search.best or ()
    found = []
    for objective in objectives_for(case.parameters):
        result = results[objective.key]
        costs = search.solver.vector(objective.terms(case.parameters, case.variables))
        value = sum(cost * best[column] for column, cost in costs.items())
        value = 0.0 if abs(value) < 1e-9 else value
        away = (result.bound - result.value) / case.weight
        share, least = PROVED.get(objective.kind, PROVED_AT_ALL)
        proved = result.proved and abs(away) <= max(share * abs(value), least)
        stopped = "" if proved else result.stopped or SEASON_BY_SEASON
        found.append(replace(result, value=value, bound=value + away, proved=proved, stopped=stopped))
    return tuple(found)
