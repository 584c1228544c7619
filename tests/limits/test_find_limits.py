"""What holds a plan back on tiny households, worked by hand, and on random ones."""

from __future__ import annotations

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.planning.strategies import households

from stillroom.household import examples
from stillroom.household.examples import TUESDAY, home, jar, need
from stillroom.household.records import Container, Household, Lid, Lot
from stillroom.planning.build import build
from stillroom.planning.limits import find_limits
from stillroom.planning.limits.catalogue import catalogue
from stillroom.planning.limits.find import Held, LimitsFound
from stillroom.planning.limits.gains import gain_of
from stillroom.planning.limits.replan import filled_by, quick_plan
from stillroom.planning.solve import plan


def jars_and_lids(jars: float = 10.0, lids: float = 10.0) -> Household:
    """
    20 kg of tomatoes at 1 kg a jar, 20 jars wanted; 10 jars and 10 lids: 10 jars of juice are made.

    A dozen jars alone, or a dozen lids alone: still 10. Both: 20, ten more, for then the crop is used up.
    """
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 20.0),), (need("juice", 20, importance=1),)
    )
    containers = (Container("jar", "jar", 1.0, None, jars, lid="lid", price=1.0),)
    return replace(household, containers=containers, lids=(Lid("lid", lids, price=0.25),))


def found_for(household: Household) -> dict[str, Held]:
    """The limits of a household's plan by their words."""
    found: LimitsFound = find_limits(household, plan(household))
    return {held.limit.words: held for held in found.held}


def test_jars_and_lids_help_only_together() -> None:
    found = found_for(jars_and_lids())
    for words, other in (("jars", "lids"), ("lids", "jars")):
        held = found[words]
        assert (held.used, held.of) == (10.0, 10.0)
        assert held.one_more.nothing
        assert held.with_other is not None
        limit, gain = held.with_other
        assert limit.words == other
        assert gain.needs == pytest.approx({"juice": 10.0}, abs=0.01)


def test_two_jars_fewer_lose_two_jars() -> None:
    held = found_for(jars_and_lids())["jars"]
    assert held.one_less is not None
    assert held.one_less.hurts
    assert held.one_less.needs == pytest.approx({"juice": -2.0}, abs=0.01)


def test_with_lids_to_spare_a_dozen_jars_give_ten_and_help_no_longer_after_that() -> None:
    """10 jars and 40 lids: the crop allows 20, so one dozen is all that helps."""
    held = found_for(jars_and_lids(lids=40.0))["jars"]
    assert held.one_more.needs == pytest.approx({"juice": 10.0}, abs=0.01)
    assert held.one_more.helps
    assert (held.helps_to, held.seen_end) == (12.0, True)


def test_a_plan_that_fills_the_list_and_uses_nothing_up_has_no_limits() -> None:
    household = home((jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 40.0),), (need("juice", 7, importance=1),))
    found = find_limits(household, plan(household))
    assert [held.limit.kind for held in found.held] == []


def test_the_crop_decides_in_juice_by_the_load() -> None:
    """15 kg at 1.5 kg are 10 of 14 jars; 10 kg more make 6 more, and four are wanted."""
    found = found_for(examples.juice_by_the_load())
    assert found["tomato"].one_more.needs == pytest.approx({"juice": 4.0}, abs=0.01)


def test_two_processes_find_the_same_as_none() -> None:
    household = jars_and_lids()
    found = plan(household)
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as executor:
        spread = find_limits(household, found, executor)
    alone = find_limits(household, found)
    assert [(held.limit.words, held.one_more, held.one_less, held.helps_to) for held in spread.held] == [
        (held.limit.words, held.one_more, held.one_less, held.helps_to) for held in alone.held
    ]


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(household=households(), which=st.integers(0, 1000))
def test_more_of_anything_never_gives_less(household: Household, which: int) -> None:
    """The needs never get lexicographically worse by a natural unit more; each plan is audited on the way."""
    facts, decide = build(household)
    limits = catalogue(facts, decide)
    if not limits:
        return
    limit = limits[which % len(limits)]
    at_hand = plan(household)
    before = replace(quick_plan(household, at_hand), filled=filled_by(household, at_hand))
    more = quick_plan(limit.loosened(household, limit.step), at_hand, before, needs_only=True)
    assert not gain_of(household, before, more).hurts
