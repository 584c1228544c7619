"""Full plans of changed households, for what-if questions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial

from stillroom.errors import StillroomError
from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.progress import Progress, no_progress
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, PlanLine
from stillroom.planning.bottlenecks.replan import sendable, sendable_plan
from stillroom.planning.solve import plan

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
