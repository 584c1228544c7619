"""A finished plan's sessions stand on the first day that has room for them, and no aim pays for it."""

from __future__ import annotations

import dataclasses
import datetime

import pytest

from stillroom.household.audit import violated_constraints
from stillroom.household.examples import FRIDAY, tiny_household
from stillroom.household.plan import Plan
from stillroom.household.records import Hours, PlanLine
from stillroom.planning import solve
from stillroom.planning.moving import move_sessions
from stillroom.planning.parameters import Parameters

SATURDAY = FRIDAY + datetime.timedelta(days=1)


def late_plan(household):
    """Four bags of cabbage heads put away on Saturday, though the cabbage lay there on Friday: 4 of 8 kg."""
    parameters = Parameters(household)
    return parameters, Plan(
        parameters.periods,
        make={("cabbage heads", 1): 4.0},
        fresh_kg={("cabbage", 0): 8.0, ("cabbage", 1): 4.0, ("tomato", 0): 9.8, ("tomato", 1): 1.4},
        surplus_kg={("tomato", 1): 9.8 + 12.0 - 0.2 - 1.4, ("cabbage", 2): 4.0},
        frozen_kg={("tomato", 0): 2.0},
        spoil_kg={("tomato", 1): 2.0},
    )


def without_plan(**changes):
    return dataclasses.replace(tiny_household(), plan_lines=(), **changes)


def test_a_session_goes_to_the_day_on_which_its_crop_is_there():
    """On Friday 8 kg lie there and 4 are carried past it: the four bags take 4 kg, so 8 - 4 = 4 are carried."""
    parameters, late = late_plan(without_plan())
    assert violated_constraints(parameters.household, late) == ()
    moved = move_sessions(parameters, late)
    assert dict(moved.make) == {("cabbage heads", 0): 4.0}
    assert moved.fresh_kg["cabbage", 0] == pytest.approx(4.0)
    assert violated_constraints(parameters.household, moved) == ()


def test_a_session_stays_where_hands_are_missing_on_the_earlier_day():
    heads = dataclasses.replace(tiny_household().preserve("cabbage heads"), hands_minutes_each=30)
    others = tuple(item for item in tiny_household().preserves if item.name != "cabbage heads")
    hours = (
        Hours("hands", (4, 4, 4, 4, 1.5, 4, 4), 20),
        Hours("stove free", (2,) * 7, 10),
    )  # Friday: 1.5 h for 2 h of work
    parameters, late = late_plan(without_plan(preserves=(*others, heads), hours=hours))
    assert move_sessions(parameters, late) is late


def test_a_fixed_line_stays_on_its_day():
    household = dataclasses.replace(
        tiny_household(), plan_lines=(PlanLine(SATURDAY, 1, "cabbage heads", make=4, fix=4),)
    )
    parameters, late = late_plan(household)
    assert move_sessions(parameters, late).make["cabbage heads", 1] == 4.0


def test_the_last_plan_is_not_left_for_an_earlier_day():
    household = dataclasses.replace(
        tiny_household(),
        plan_lines=(PlanLine(FRIDAY, 1, "juice", make=0), PlanLine(SATURDAY, 1, "cabbage heads", make=4)),
    )
    parameters, late = late_plan(household)
    assert move_sessions(parameters, late).make["cabbage heads", 1] == 4.0


@pytest.mark.parametrize("seed", [1, 4])
def test_no_aim_changes_on_a_household_of_full_size(seed, monkeypatch):
    from tests.planning.varied import varied

    household = dataclasses.replace(varied(seed), plan_lines=())
    plans = []
    monkeypatch.setattr(
        solve,
        "move_sessions",
        lambda *given: plans.append((given[1], move_sessions(*given))) or plans[0][1],
    )
    solve.plan(household)
    ((before, after),) = plans
    assert violated_constraints(household, after) == ()
    assert sum(after.make.values()) == pytest.approx(sum(before.make.values()))
    assert sum(number * amount for (_, number), amount in after.make.items()) <= sum(
        number * amount for (_, number), amount in before.make.items()
    )
