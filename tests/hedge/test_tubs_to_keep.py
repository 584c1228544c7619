"""What hedging is worth against the answer found by trying every number of tubs."""

from __future__ import annotations

import pytest
from tests.hedge.tiny import jam_now_or_sauce_later, tubs_to_keep

from stillroom.household.scenarios import WEIGHTS
from stillroom.planning.stochastic.value import hedge_value

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
