"""The light plan: it keeps every rule and is nearly as good in its days."""

from __future__ import annotations

import datetime
import inspect
from dataclasses import replace

import pytest
from hypothesis import given, settings
from tests import worked_examples as examples
from tests.planning.strategies import households
from tests.samples import count
from tests.season_replay.comparing import full_plan
from tests.season_replay.households import two_crops

from stillroom.household.audit import violated_constraints
from stillroom.household.examples import tiny_household
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.planning.highs import HighsSession
from stillroom.planning.rolling import light_plan, season_end, with_days, without_idle

WORKED = [
    make
    for name, make in inspect.getmembers(examples, inspect.isfunction)
    if inspect.signature(make).return_annotation == "Household"
    and all(one.default is not inspect.Parameter.empty for one in inspect.signature(make).parameters.values())
]


def points(household: Household, plan: Plan, importance: int) -> float:
    """The share of the targets of one importance that a plan fills, together."""
    filled = filled_by_plan(household, plan)
    return sum(
        filled[target.name] / target.wanted
        for target in household.targets
        if target.importance == importance and target.wanted
    )


def test_there_are_worked_households() -> None:
    assert len(WORKED) >= 16


@pytest.mark.parametrize("make", WORKED, ids=lambda make: make.__name__)
def test_the_light_plan_of_every_worked_household_keeps_every_rule(make: object) -> None:
    """And what it fills of the first importance is what the full plan fills, to a hundredth of a target."""
    household = make()  # type: ignore[operator]
    end = season_end(household)
    shaped, light = light_plan(household, 2, end)
    assert violated_constraints(shaped, light) == ()
    same, full = full_plan(shaped, 2, end)
    assert points(household, light, 1) >= points(household, full, 1) - 0.01
    assert same.kitchen == shaped.kitchen


@settings(max_examples=count(30, 60), deadline=None, derandomize=True)
@given(household=households())
def test_the_light_plan_of_any_household_keeps_every_rule(household: Household) -> None:
    """Fixed lines, weeks only, users of other preserves, anything short: the audit finds nothing."""
    shaped, light = light_plan(household, 3, season_end(household))
    assert violated_constraints(shaped, light) == ()


@pytest.mark.parametrize("left", range(1, 64))
def test_the_days_end_with_the_season_and_never_far_past_it(left: int) -> None:
    """In the last fortnight exactly; before that the last week may reach at most six days past the end."""
    household = tiny_household()
    end = household.kitchen.first_day + datetime.timedelta(days=left - 1)
    past = (season_end(with_days(household, 3, end)) - end).days
    assert past == 0 if left <= 14 else 0 <= past <= 6
    assert with_days(household, 3, end).kitchen.days_planned_singly >= min(3, left)


def test_what_has_no_crop_or_no_room_left_is_not_planned_and_the_rest_is() -> None:
    household = two_crops()
    idle = without_idle(replace(household, lots=tuple(lot for lot in household.lots if lot.crop == "apple")))
    assert {item.name for item in idle.preserves if item.include} == {"slices"}
    full = tuple(
        replace(target, wanted=0, at_most=0) if target.name == "sauce" else target for target in household.targets
    )
    idle = without_idle(replace(household, targets=full))
    assert {item.name for item in idle.preserves if item.include} == {"juice", "slices"}


def test_a_search_that_finds_nothing_gives_way_to_the_full_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    from stillroom.planning import rolling
    from stillroom.planning.highs import Outcome

    class Blind(HighsSession):
        def run(self, *_: object, **__: object) -> Outcome:
            return Outcome(False, 0.0, 0.0, "node limit", 30, ())

    monkeypatch.setattr(rolling, "HighsSession", Blind)
    household = two_crops()
    shaped, found = light_plan(household, 3, season_end(household))
    assert found.objectives
    assert violated_constraints(shaped, found) == ()
