"""What one natural unit more is said to give is what a full plan with it has more, in kitchens of every kind."""

from __future__ import annotations

import pytest
from tests.bottlenecks.test_why import worth
from tests.planning.any_kitchen import any_kitchen

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.planning.bottlenecks.search import find_bottlenecks
from stillroom.planning.solve import plan

BREACHED, NOTHING_WANTED, HARDLY_ANYTHING = 147, 184, 24
"""A line that cannot be kept; a list of nothing; a first need filled by a hair, that a crumb of slack could pay for."""


@pytest.mark.parametrize("number", [2, 5, 9, HARDLY_ANYTHING, 31, 44, 52, 60, 103, BREACHED, 156, 159, NOTHING_WANTED])
def test_one_more_gives_what_a_full_plan_with_it_has_more(number: int) -> None:
    household = any_kitchen(number)
    found = plan(household)
    for held in find_bottlenecks(household, found).held:
        loosened = held.bottleneck.loosened(household, held.bottleneck.step)
        better = first_change(household, found, loosened, plan(loosened))
        said = next((change for change in (held.one_more.kept_fixed, *held.one_more.points) if change), 0.0)
        assert said == pytest.approx(better, abs=0.03, rel=0.02), (number, held.bottleneck.step_words)


def first_change(household: Household, one: Plan, loosened: Household, other: Plan) -> float:
    """The change of the first of fixed lines kept and needs, importance by importance, that changes; 0 for crumbs."""
    kept = sum(violation.short for violation in one.violations) - sum(violation.short for violation in other.violations)
    before, after = filled_by_plan(household, one), filled_by_plan(loosened, other)
    points = [worth(loosened, after, level) - worth(household, before, level) for level in (1, 2, 3)]
    return next((change for change in (kept, *points) if abs(change) > 0.03), 0.0)


@pytest.mark.parametrize("number", [27, 43])
def test_more_goes_on_helping_as_long_as_it_keeps_more_of_a_fixed_line(number: int) -> None:
    """One more keeps part of a line that was short, and a second one the rest of it: it helps up to two."""
    household = any_kitchen(number)
    held = next(one for one in find_bottlenecks(household, plan(household)).held if one.one_more.kept_fixed > 0)
    assert held.range is not None
    assert (held.range.helps_to, held.range.seen_end) == (2, True)
