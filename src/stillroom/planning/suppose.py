"""Cases planned in full beside the plan as it is, each as near to it as its own aims allow."""

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
    as_it_is: Household,
    plan_as_it_is: Plan,
    cases: Sequence[Household],
    executor: Executor | None = None,
    tell: Progress = no_progress,
    planner: Planner = plan,
) -> tuple[Plan, ...]:
    """
    The full plan of every case; `cases` are settled households and `planner` plans one, in another process if need be.

    The plan as it is stands for the last plan, so that a case differs from it only where it must. A case that is the
    household itself has the same inputs, so its plan is that plan. Raises StillroomError when a plan breaks a rule.
    """
    households = [sendable(from_plan(case, plan_as_it_is)) for case in cases]
    different = [place for place, case in enumerate(cases) if case != as_it_is]
    tasks = [households[place] for place in different]
    work = partial(plan_case, planner)
    results = map(work, tasks) if executor is None else executor.map(work, tasks)
    found = [plan_as_it_is] * len(cases)
    for count, (place, result) in enumerate(zip(different, results, strict=True), start=1):
        found[place] = result
        tell(f"planned {count} of {len(different)} cases")
    return tuple(found)


def plan_case(planner: Planner, household: Household) -> Plan:
    """One case planned and audited; can run in another process."""
    found = planner(household)
    broken = violated_constraints(household, found)
    if broken:
        msg = "the plan of a case does not keep every rule: " + "; ".join(broken[:3])
        raise StillroomError(msg)
    return sendable_plan(found)


def from_plan(household: Household, last: Plan) -> Household:
    """The household with this plan as its last one; what it fixed itself stays fixed."""
    kept = [replace(line, make=None) for line in household.plan_lines if line.fix is not None or line.made is not None]
    lines = []
    for start, amounts in (("", last.make), (FREEZE_WHOLE, last.freeze_kg), (THAW, last.thaw_kg)):
        for (name, number), amount in sorted(amounts.items()):
            period = last.periods[number]
            lines.append(PlanLine(period.first_day, period.days, start + name, make=amount))
    return replace(household, plan_lines=(*kept, *lines))
