"""Days that can be kept: how much is begun in a day, and the share of the hours that stays free."""

from __future__ import annotations

import dataclasses

import pytest
from tests import worked_examples as examples
from tests.planning.remake_goldens import lp_text
from tests.worked_examples import TUESDAY, kinds_in_a_day

from stillroom.household.audit import AUDITS, broken, violated_constraints
from stillroom.household.examples import tiny_household
from stillroom.household.plan import Plan
from stillroom.household.records import FREEZE_WHOLE, Household, PlanLine
from stillroom.planning.bottlenecks.ranges import binding_resources
from stillroom.planning.bottlenecks.resources import catalogue
from stillroom.planning.constraints import CONSTRAINTS
from stillroom.planning.model import Model
from stillroom.planning.parameters import Parameters
from stillroom.planning.solve import build, plan
from stillroom.planning.variables import define_variables
from stillroom.planning.why import why_preserve

NEVER_REACHED = 99


def fixed(household: Household, **amounts: float) -> Household:
    """The household with these numbers under *Keep at* today."""
    lines = tuple(PlanLine(TUESDAY, 1, name.replace("_", " "), fix=amount) for name, amount in amounts.items())
    return dataclasses.replace(household, plan_lines=lines)


def kinds(found: Plan) -> int:
    """How many kinds of work are begun on the first day."""
    return sum(number == 0 for several in (found.make, found.freeze_kg) for _, number in several)


def test_blank_settings_leave_the_model_as_it_was() -> None:
    """No setup for what is made in loads, and no row; with a limit there are both."""
    blank, limited = (
        define_variables(Parameters(household), Model("days"))
        for household in (tiny_household(), tiny_household().with_kitchen(most_preserves_a_day=NEVER_REACHED))
    )
    assert {name for name in limited.model.variables if name not in blank.model.variables} == {
        f"setup.{name}.{day}" for name in ("dried_tomato", "juice", "kraut") for day in ("08_14", "08_15")
    }
    assert "most_preserves" not in lp_text(CONSTRAINTS["most_preserves"], tiny_household())


@pytest.mark.parametrize("most", [1, 2, 3])
def test_no_more_is_begun_in_a_day_than_is_wanted(most: int) -> None:
    found = plan(kinds_in_a_day(most))
    assert kinds(found) == most
    assert violated_constraints(kinds_in_a_day(most), found) == ()


def test_crop_frozen_whole_counts_as_begun() -> None:
    """Peas have no target here, so the third thing to do would be to freeze them."""
    household = kinds_in_a_day(2)
    household = dataclasses.replace(household, targets=household.targets[:2])
    assert dict(plan(household).freeze_kg) == {}
    line = PlanLine(TUESDAY, 1, FREEZE_WHOLE + "pea", fix=4.0)
    found = plan(dataclasses.replace(household, plan_lines=(line,)))
    assert found.freeze_kg["pea", 0] == pytest.approx(4.0, abs=1e-3)
    assert kinds(found) == 2


def test_fixed_lines_count_and_are_never_made_impossible() -> None:
    """Two are typed where one is the most: both are made, and nothing besides."""
    household = fixed(kinds_in_a_day(1), beans=4.0, peas=2.0)
    found = plan(household)
    assert dict(found.make) == {("beans", 0): 4.0, ("peas", 0): 2.0}
    assert found.violations == ()
    assert violated_constraints(household, found) == ()


def test_a_line_of_none_is_nothing_begun() -> None:
    household = fixed(kinds_in_a_day(1), beans=0.0, peas=0.0)
    assert Parameters(household).most_begun(Parameters(household).periods[0]) == 1
    assert dict(plan(household).make) == {("juice", 0): 7.0}


SHARE = 0.25
"""A quarter kept free: of the hour of hands, of the three hours of stove, of the canner's three hours."""


@pytest.mark.parametrize(
    ("household", "with_all", "with_less"),
    [
        (examples.bags_by_hand(hands_tomorrow=0.0, smallest_batch=1), 5.0, 3.0),
        (examples.burners_and_canners(3.0, canners=2), 28.0, 21.0),
        (examples.burners_and_canners(3.0), 21.0, 14.0),
    ],
    ids=["hands", "stove", "equipment"],
)
def test_a_share_of_the_hours_stays_free(household: Household, with_all: float, with_less: float) -> None:
    """
    Hands: 45 min are three bags of 12, not five. Stove: 4.5 burner-hours are three loads of 1.5, not four. One canner:
    2 h 15 are two loads, not three.
    """
    free = household.with_kitchen(kept_free=SHARE)
    all_hours, fewer = plan(household), plan(free)
    assert (sum(all_hours.make.values()), sum(fewer.make.values())) == (with_all, with_less)
    assert violated_constraints(free, fewer) == ()
    assert any("with 25% of them kept free" in said for said in violated_constraints(free, all_hours))


def test_what_runs_overnight_or_by_hours_of_its_own_keeps_nothing_free() -> None:
    """The dryer turns day and night, 36 h for a load of six: a share of the hours of hands and stove is none of it."""
    household = examples.dryer_over_two_days()
    assert plan(household.with_kitchen(kept_free=SHARE)).make == plan(household).make


@pytest.mark.parametrize("typed", [4.0, 5.0])
def test_fixed_lines_may_use_the_hours_kept_free(typed: float) -> None:
    """Four bags take 48 min and five the whole hour, of which 15 min are kept free: made, and no bag more."""
    household = examples.bags_by_hand(hands_tomorrow=0.0, smallest_batch=1).with_kitchen(kept_free=SHARE)
    household = fixed(household, beans=typed)
    found = plan(household)
    assert dict(found.make) == {("beans", 0): typed}
    assert found.violations == ()
    assert violated_constraints(household, found) == ()


def test_fixed_loads_may_use_the_stove_kept_free_and_leave_none_to_others() -> None:
    """Three loads typed in a canner with 3 h, of which 45 min are kept free: all three, in their 4.5 burner-hours."""
    household = fixed(examples.burners_and_canners(3.0).with_kitchen(kept_free=SHARE), juice=21.0)
    found = plan(household)
    assert dict(found.make) == {("juice", 0): 21.0}
    assert violated_constraints(household, found) == ()
    periods = Parameters(household).periods
    assert Parameters(household).stove_hours(periods[0]) == 4.5
    assert Parameters(household).equipment_hours(household.equipment[0], periods[0]) == 3.0


def test_weeks_keep_their_share_free_and_have_no_most() -> None:
    """A week of 10 hours is planned with 7.5 of them, or it would promise what its days cannot hold."""
    household = tiny_household().with_kitchen(kept_free=SHARE, most_preserves_a_day=1)
    parameters = Parameters(household)
    week = parameters.periods[-1]
    assert parameters.hands_hours(week) == 0.75 * Parameters(tiny_household()).hands_hours(week)
    assert parameters.most_begun(week) == float("inf")
    assert violated_constraints(household, plan(household)) == ()


def test_the_most_in_a_day_is_a_bottleneck_where_it_binds() -> None:
    def bottlenecks(most: float) -> dict[str, tuple[float, float]]:
        household = kinds_in_a_day(most)
        parameters, variables = build(household)
        found = binding_resources(parameters, variables, plan(household), catalogue(parameters, variables))
        return {one.bottleneck.words: (one.used, one.of) for one in found if one.bottleneck.kind == "begun"}

    assert bottlenecks(2) == {"preserves in a day": (2.0, 2.0)}
    assert bottlenecks(4) == {}
    (begun,) = (one for one in catalogue(*build(kinds_in_a_day(2))) if one.kind == "begun")
    assert begun.loosened(kinds_in_a_day(2), 1.0) == kinds_in_a_day(3.0)


def test_why_not_names_the_most_in_a_day() -> None:
    """Peas are of importance 2, so they wait for juice and beans; with a third in a day they would not."""
    household = kinds_in_a_day(2)
    assert why_preserve(household, plan(household), "peas").bottlenecks == ("preserves in a day",)


def test_the_audit_knows_the_limit_by_its_own_sum() -> None:
    """Three begun by hand where two are the most, then as many fixed as begun."""
    household = kinds_in_a_day(2)
    three = plan(kinds_in_a_day(3))
    assert broken("most_preserves", household, three)
    assert broken("most_preserves", fixed(household, juice=7.0, beans=4.0, peas=4.0), three) == ()
    assert list(AUDITS).index("most_preserves") == list(CONSTRAINTS).index("most_preserves")
