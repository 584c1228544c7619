"""Two-season households whose plan is worked by hand in `tiny`."""

from __future__ import annotations

import dataclasses
import pickle

import pytest
from tests import worked_examples as examples
from tests.hedge.tiny import (
    jam_now_or_sauce_later,
    jars_for_a_good_season,
    paste_for_a_harvest_that_may_not_come,
    tubs_to_keep,
)

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Hedge, Plan
from stillroom.household.records import Container, Household, Lot, PlanLine
from stillroom.household.scenarios import WEIGHTS, harvest_cases
from stillroom.planning.bottlenecks.resolve import sendable_plan
from stillroom.planning.solve import plan
from stillroom.planning.stochastic.solve import hedged_plan
from stillroom.planning.stochastic.value import ObjectiveValue, hedge_value


def hedge_of(found: Plan) -> Hedge:
    """The other seasons of a plan that has some."""
    assert found.hedge is not None
    return found.hedge


def audited(household: Household) -> Plan:
    """The hedged plan; every season's passes its audit."""
    found = hedged_plan(household)
    seasons = {case.name: case.household for case in harvest_cases(household)}
    assert violated_constraints(household, found) == ()
    for season in hedge_of(found).seasons:
        assert violated_constraints(seasons[season.name], season.plan) == ()
    return found


def targets_1(household: Household) -> ObjectiveValue:
    """What the targets are worth hedged, for one harvest and with foresight."""
    return next(objective for objective in hedge_value(household).objectives if objective.name == "targets 1")


def test_all_jam_when_a_tub_kept_is_worth_less() -> None:
    """10 of jam today in both seasons; the plain plan makes 2 and keeps 8."""
    household = jam_now_or_sauce_later()
    found = audited(household)
    assert found.made("jam") == 10
    assert [season.name for season in hedge_of(found).seasons] == ["poor"]
    assert hedge_of(found).seasons[0].plan.made("jam") == 10
    assert plan(household).made("jam") == 2


def test_what_hedging_and_knowing_are_worth() -> None:
    """Hedged 3.5, for the likely harvest 3.1, known 3.8: 0.4 and 0.3."""
    value = targets_1(jam_now_or_sauce_later())
    assert (value.hedged, value.one_harvest, value.foresight) == pytest.approx((3.5, 3.1, 3.8), abs=2e-3)
    assert (value.of_hedging, value.of_knowing) == pytest.approx((0.4, 0.3), abs=3e-3)


def test_what_each_need_has_in_each_season() -> None:
    """Hedged: jam 10, sauce 0 in both seasons. For the likely harvest: jam 2, sauce 8, in a poor season 0."""
    value = hedge_value(jam_now_or_sauce_later())
    assert value.hedged["poor"] == pytest.approx({"jam": 10, "sauce": 0}, abs=0.02)
    assert value.one_harvest["poor"] == pytest.approx({"jam": 2, "sauce": 0}, abs=0.02)
    assert value.one_harvest["likely"] == pytest.approx({"jam": 2, "sauce": 8}, abs=0.02)


def test_tubs_are_kept_when_jam_is_worth_less() -> None:
    """Jam at 0.25 a tub is less than 0.30: 8 kept, 2 of jam; sauce 0 in a poor season."""
    found = audited(jam_now_or_sauce_later(2.5))
    assert (found.made("jam"), found.made("sauce")) == (2, 8)
    assert hedge_of(found).seasons[0].plan.made("sauce") == 0


def test_the_worst_season_decides_when_the_household_says_so() -> None:
    """Jam at 0.25: a poor season has 2.5 with ten of jam and 0.5 with two; so ten, whatever the expectation says."""
    found = audited(jam_now_or_sauce_later(2.5, plan_for="worst harvest"))
    assert found.made("jam") == 10
    assert [objective.name for objective in hedge_of(found).objectives if objective.name.startswith("targets")] == [
        "targets 1 in the worst season",
        "targets 1",
    ]


def test_three_seasons_and_what_lies_between() -> None:
    """6 tubs kept, 4 of jam: 1.6, 3.2 and 3.2, together 2.8; sauce 2, 6 and 6."""
    found = audited(jars_for_a_good_season())
    assert found.made("jam") == 4
    assert [(s.name, s.weight, s.plan.made("sauce")) for s in hedge_of(found).seasons] == [
        ("poor", 0.25, 2),
        ("good", 0.25, 6),
    ]
    targets = next(objective for objective in hedge_of(found).objectives if objective.name == "targets 1")
    assert targets.value == pytest.approx(2.8, abs=1e-3)
    assert targets.proved


def test_where_the_plan_for_one_harvest_cannot_stand_in_a_poor_one_as_much_as_may_be_is_kept_of_it() -> None:
    """4 of paste for the likely harvest; without tomatoes paste has no purpose, so none of it stands in both."""
    household = paste_for_a_harvest_that_may_not_come()
    assert plan(household).made("paste") == 4
    found = audited(household)
    assert (found.made("paste"), found.made("sauce")) == (0, 0)
    value = targets_1(household)
    assert (value.hedged, value.one_harvest) == pytest.approx((0.0, 0.0), abs=1e-3)
    assert value.foresight == pytest.approx(0.75 * 4 / 10, abs=1e-3)


def test_a_hedged_plan_can_be_sent_to_another_process() -> None:
    found = sendable_plan(hedged_plan(jars_for_a_good_season()))
    assert pickle.loads(pickle.dumps(found)) == found


@pytest.mark.parametrize("plan_for", ["all harvests", "worst harvest"])
def test_with_nothing_to_be_unsure_of_it_is_the_plain_plan(plan_for: str) -> None:
    """Least, Amount and Most alike, or no day planned in detail: the same plan, and no seasons in it."""
    alike = jam_now_or_sauce_later(plan_for=plan_for, least_kg=8.0)
    assert hedged_plan(alike) == plan(alike)
    assert hedged_plan(alike).hedge is None
    weeks = dataclasses.replace(alike.kitchen, days_planned_singly=0, weeks_after_that=1)
    unsure = dataclasses.replace(jam_now_or_sauce_later(plan_for=plan_for), kitchen=weeks)
    assert hedged_plan(unsure) == plan(unsure)


def test_the_likely_harvest_alone_is_the_plain_plan_whatever_least_and_most_say() -> None:
    household = jam_now_or_sauce_later(plan_for="likely harvest")
    assert hedged_plan(household) == plan(household)


def test_the_seasons_of_one_programme_alone_reach_what_the_plain_plan_reaches() -> None:
    """Foresight in a single season is the plain plan's needs: 15 kg at 1.5 kg are 10 jars, 2.17857 points."""
    value = targets_1(examples.juice_by_the_load())
    assert (value.hedged, value.one_harvest, value.foresight) == pytest.approx((2.17857,) * 3, abs=1e-3)


def test_what_is_picked_tomorrow_counts_with_its_amount() -> None:
    """A lot of tomorrow is certain, one of the day after is not; a weighed one is, whatever stands beside it."""
    household = jam_now_or_sauce_later()
    lots = (
        Lot("tomato", examples.day(1), 8.0, expected=True, least_kg=1.0, most_kg=9.0),
        Lot("tomato", examples.day(2), 8.0, least_kg=1.0, most_kg=9.0),
    )
    assert len(harvest_cases(dataclasses.replace(household, lots=lots))) == 1
    later = dataclasses.replace(lots[0], picked_on=examples.day(2))
    cases = harvest_cases(dataclasses.replace(household, lots=(*lots, later)))
    assert [(case.name, case.weight, case.household.lots[-1].kg) for case in cases] == [
        ("poor", 0.25, 1.0),
        ("likely", 0.5, 8.0),
        ("good", 0.25, 9.0),
    ]


def test_a_fixed_line_that_cannot_be_kept_is_said_as_in_the_plain_plan() -> None:
    """15 jars typed for today and 10 tubs of jam limiting of nothing: one canner hour is 7 jars, so 8 short."""
    juice = examples.jar("juice", "tomato", 1.0)
    home = jam_now_or_sauce_later()
    household = dataclasses.replace(
        home,
        preserves=(*home.preserves, juice),
        lots=(*home.lots, Lot("tomato", examples.TUESDAY, 15.0)),
        containers=(*home.containers, Container("jar", "jar", 1.0, None, 100.0)),
        targets=(*home.targets, examples.target("juice", 15, importance=1)),
        hours=(examples.stove_on((1.0, 0.0, 0.0)),),
        plan_lines=(PlanLine(examples.TUESDAY, 1, "juice", fix=15.0),),
    )
    found = audited(household)
    assert found.violations == plan(household).violations
    assert [(violation.name, violation.short) for violation in found.violations] == [("juice", 8.0)]
    assert any("stove" in limit or "canner" in limit for limit in found.violations[0].limits)


# What hedging is worth against the answer found by trying every number of tubs.

SEEDS = range(12)


@pytest.mark.parametrize("seed", SEEDS)
def test_hedged_one_harvest_and_foresight_are_what_trying_every_number_gives(seed: int) -> None:
    question = tubs_to_keep(seed)
    value = next(
        objective for objective in hedge_value(question.household()).objectives if objective.name == "targets 1"
    )
    tried = (question.hedged(), question.one_harvest(), question.foresight())
    assert (value.hedged, value.one_harvest, value.foresight) == pytest.approx(tried, rel=3e-4, abs=3e-4)


def test_in_some_of_them_hedging_is_worth_something_and_in_some_nothing() -> None:
    """Or the test above would show little."""
    gains = [tubs_to_keep(seed).hedged() - tubs_to_keep(seed).one_harvest() for seed in SEEDS]
    assert 3 <= sum(gain > 0.01 for gain in gains) <= len(SEEDS) - 3
    assert min(gains) >= -1e-9


def test_the_weights_are_those_of_the_hand_worked_households() -> None:
    assert WEIGHTS == {"poor": 0.25, "likely": 0.5, "good": 0.25}
    assert jam_now_or_sauce_later().kitchen.plan_for == "all harvests"
