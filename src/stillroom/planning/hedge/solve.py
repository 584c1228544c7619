"""The way from a settled household with an uncertain harvest to a plan that stands in every season."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

from stillroom.errors import NoPlanInTime, StillroomError
from stillroom.household.audit import broken_rules
from stillroom.household.audit.aims import PROVED, PROVED_AT_ALL
from stillroom.household.harvest_cases import LIKELY, days_decided_now, harvest_cases, planned_for_several
from stillroom.household.plan import AimResult, Hedge, Kind, Plan, SeasonPlan
from stillroom.household.records import Household
from stillroom.planning import solve
from stillroom.planning.aims import Aim, aims_for
from stillroom.planning.breaches import explained
from stillroom.planning.build import build
from stillroom.planning.expressions import Sum
from stillroom.planning.handover import Solver
from stillroom.planning.hedge.aims import aims_over, different
from stillroom.planning.hedge.by_season import SEASON_BY_SEASON, reach_late
from stillroom.planning.hedge.cases import Case, Joint, build_cases
from stillroom.planning.hedge.moving import moved_forward
from stillroom.planning.limits.quick import sendable_plan
from stillroom.planning.read_off import read_off
from stillroom.planning.solve import Search, as_it_is, polish, reach, with_full_bands, without_idle_setups

Tell = Callable[[str], None]

LATE: tuple[Kind, ...] = ("surplus", "stability", "labor")
"""The kinds of aims that are reached season by season."""


def hedged_plan(household: Household, time_limit_seconds: float | None = None, tell: Tell | None = None) -> Plan:
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


def searched(joint: Joint, worst_first: bool, ends_at: float | None, tell: Tell | None) -> Search:
    """Reach every aim over the seasons, one after the other."""
    aims, apart = over_seasons_stated(joint, worst_first=worst_first)
    search = Search(joint.case(LIKELY).facts, joint.together, Solver(joint.programme), ends_at=ends_at)
    columns = {name: search.solver.vector(terms) for name, terms in apart.items()}
    for aim in aims:
        if tell is not None:
            tell(f"{aim.name}, all seasons")
        if aim.kind in LATE and search.best is not None:
            reach_late(search, joint, aim, columns if aim.kind == "labor" else {})
        else:
            reach(search, aim)
    return search


def over_seasons_stated(joint: Joint, *, worst_first: bool) -> tuple[tuple[Aim, ...], dict[str, Sum]]:
    """State every aim over the seasons, and how far each season is from the likely one; their rows join the model."""
    aims = aims_over(joint, worst_first=worst_first)
    return aims, {case.name: different(joint, case) for case in joint.cases if case.name != LIKELY}


def finished(household: Household, joint: Joint, search: Search) -> Plan:
    """Read the plan of every season off, with its sessions moved forward; audited but for the likely one's."""
    search.best = without_idle_setups(search)
    for case in joint.cases:
        search.best = with_full_bands(replace(search, facts=case.facts, decide=case.decide))
    over_all = as_it_is(search)
    columns = dict(zip(search.solver.columns, search.best, strict=True))
    plans = {
        case.name: read_off(case.facts, case.decide, columns, aims_in(search, case, over_all)) for case in joint.cases
    }
    facts = {case.name: case.facts for case in joint.cases}
    plans = moved_forward(facts, plans, days_decided_now(household))
    seasons = []
    for case in joint.cases:
        if case.name != LIKELY:
            one = sendable_plan(plans[case.name])
            broken = broken_rules(case.facts.household, one)
            if broken:
                msg = f"the plan for a {case.name} harvest does not keep every rule: " + "; ".join(broken[:3])
                raise StillroomError(msg)
            seasons.append(SeasonPlan(case.name, case.weight, one))
    likely = plans[LIKELY]
    if likely.breaches:
        likely = replace(likely, breaches=explained(*build(joint.case(LIKELY).facts.household), likely.breaches))
    hedge = Hedge(tuple(seasons), joint.case(LIKELY).weight, days_decided_now(household), over_all)
    return replace(likely, hedge=hedge)


def aims_in(search: Search, case: Case, over_all: tuple[AimResult, ...]) -> tuple[AimResult, ...]:
    """
    The aims as one season reaches them.

        bound[s] = value[s] + (bound - value) / weight[s]

    where value and bound are those over all seasons: with the other seasons as they are, this one cannot be better.
    """
    results = {result.key: result for result in over_all}
    best = search.best or ()
    found = []
    for aim in aims_for(case.facts):
        result = results[aim.key]
        costs = search.solver.vector(aim.terms(case.facts, case.decide))
        value = sum(cost * best[column] for column, cost in costs.items())
        value = 0.0 if abs(value) < 1e-9 else value
        away = (result.bound - result.value) / case.weight
        share, least = PROVED.get(aim.kind, PROVED_AT_ALL)
        proved = result.proved and abs(away) <= max(share * abs(value), least)
        stopped = "" if proved else result.stopped or SEASON_BY_SEASON
        found.append(replace(result, value=value, bound=value + away, proved=proved, stopped=stopped))
    return tuple(found)
