"""A finished plan as a cook would have it: gathered on few days, the patient crop on the emptiest, no weekly crumbs."""

from __future__ import annotations

from typing import Any

import pytest
from tests.worked_examples import TUESDAY, bag, day, home, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import ObjectivePart, ObjectiveResult, Plan
from stillroom.household.records import Crop, Equipment, Hours, Household, Load, Lot, PlanLine, Preserve
from stillroom.planning import solve
from stillroom.planning.highs import HighsSession
from stillroom.planning.moving import move_sessions
from stillroom.planning.objectives import objectives_for
from stillroom.planning.parameters import Parameters

HANDS = (Hours("hands", (4.0,) * 7, 20.0),)


def kitchen_of(*preserves: Preserve, **more: Any) -> Household:
    """Return three days with four hours of hands each; beans keep five days, apples a month."""
    crops = (Crop("bean", 5.0), Crop("apple", 30.0))
    lots = tuple(
        Lot(crop, TUESDAY, 9.0) for crop in sorted({line.item for one in preserves for line in one.ingredients})
    )
    targets = tuple(target(item.name, 20, importance=1) for item in preserves)
    return home(preserves, lots, targets, days=3, **({"crops": crops, "hours": HANDS} | more))


def moved(household: Household, found: Plan) -> Plan:
    """Return the plan with its sessions moved; both pass the audit."""
    assert violated_constraints(household, found) == ()
    better = move_sessions(Parameters(household), found)
    assert violated_constraints(household, better) == ()
    return better


def beans_on_three_days(household: Household, **more: Any) -> Plan:
    """Return a plan of two, three and four bags of beans on three days, a kg each."""
    fresh = {("bean", 0): 7.0, ("bean", 1): 4.0}
    return Plan(Parameters(household).periods, make=THREE_DAYS, fresh_kg=fresh, **more)


THREE_DAYS = {("beans", 0): 2.0, ("beans", 1): 3.0, ("beans", 2): 4.0}
BEANS = bag("beans", "bean", 1.0, hands_minutes_each=10.0)


DRIED = bag("beans", "bean", 1.0, method="dried", equipment=("dryer",), load=6, kept_in="shelf")
DRYER = Equipment("dryer", "dryer", 1, (Load(6, "bag"),), runs_overnight=True)
LAST_PLAN = tuple(PlanLine(day(number), 1, name, make=made) for (name, number), made in THREE_DAYS.items())


def test_a_preserve_scattered_over_three_days_is_gathered_on_two() -> None:
    """The two bags join the three, and 15 min of setup are saved: 9 x 10 min and two setups are 2 h, not 2.25 h."""
    household = kitchen_of(BEANS)
    stated = ObjectiveResult("effort", 2.25, "hours", 2.1, True, parts=(ObjectivePart("labor", 2.25, "hours", 1.0),))
    found = moved(household, beans_on_three_days(household, objectives=(stated,)))
    assert dict(found.make) == {("beans", 0): 5.0, ("beans", 1): 4.0}
    (effort,) = found.objectives
    assert (effort.value, effort.bound, effort.parts[0].value) == pytest.approx((2.0, 2.0, 2.0))


@pytest.mark.parametrize(
    "household",
    [
        pytest.param(kitchen_of(BEANS, hours=(Hours("hands", (40 / 60,) * 7, 20.0),)), id="hands for four bags a day"),
        pytest.param(kitchen_of(BEANS, plan_lines=LAST_PLAN), id="the last plan had it so"),
        pytest.param(kitchen_of(DRIED, equipment=(DRYER,)), id="a dryer runs when it is empty"),
    ],
)
def test_it_stays_scattered_where(household: Household) -> None:
    loads = dict.fromkeys(THREE_DAYS, 1.0) if household.preserves[0].load else {}
    assert dict(moved(household, beans_on_three_days(household, loads=loads)).make) == THREE_DAYS


APPLES = bag("slices", "apple", 1.0, hands_minutes_each=10.0)


@pytest.mark.parametrize(("lines", "better"), [((), 2), ((PlanLine(day(1), 1, "slices", make=9),), 1)])
def test_what_is_made_of_crop_that_keeps_two_weeks_goes_to_the_emptiest_day(
    lines: tuple[PlanLine, ...], better: int
) -> None:
    """Of 4 h, beans take 1 h today and 30 min tomorrow: nine bags of slices wait, unless the last plan had a day."""
    household = kitchen_of(BEANS, APPLES, plan_lines=lines)
    fresh = {("bean", 0): 3.0}
    make = {("beans", 0): 6.0, ("beans", 1): 3.0}
    found = moved(household, Plan(Parameters(household).periods, make=make | {("slices", 0): 9.0}, fresh_kg=fresh))
    assert {number for name, number in found.make if name == "slices"} == {better}
    assert [found.fresh_kg.get(("apple", number), 0.0) for number in range(3)] == [9.0] * better + [0.0] * (3 - better)


@pytest.mark.parametrize(("keeps_days", "left"), [(30.0, 0.0), (0.0, 0.3)])
def test_a_weekly_crumb_is_left_out_unless_a_target_needs_it(keeps_days: float, left: float) -> None:
    """0.3 kg of beans now and 9.7 next week, for 10 bags: those that keep wait, those that do not are put up now."""
    lots = (Lot("bean", TUESDAY, 0.3), Lot("bean", day(7), 9.7, expected=True))
    crops = (Crop("bean", keeps_days),)
    household = home((BEANS,), lots, (target("beans", 10, importance=1),), days=0, weeks=2, crops=crops)
    parameters, variables = solve.build(household)
    search = solve.Search(parameters, variables, HighsSession(variables.model))
    solve.optimize(search, objectives_for(parameters)[1])
    now = variables.make["beans", 0]
    search.solver.set_objective(search.solver.vector([(1.0, now)]), maximize=True)
    search.solver.add_objective_bound(search.solver.vector([(1.0, now)]), least=None, most=0.3)
    solve.fix_integers(search)
    column = search.solver.columns[now.name]
    assert (search.best or ())[column] == pytest.approx(0.3, abs=1e-4)
    solve.polish(search)
    assert (search.best or ())[column] == pytest.approx(left, abs=1e-4)
