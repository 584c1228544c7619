"""What is said of a limit of which nothing is there."""

import dataclasses

import pytest

from stillroom.household.examples import tiny_household
from stillroom.household.records import Target
from stillroom.household.results.bottlenecks import Bottleneck, BottleneckGain, WhyTarget
from stillroom.reports.terminal.bottlenecks import room_words, target_lines, used_words


def held(kind, used, of):
    """A limit of this kind, so much of it used; nothing was tried."""
    bottleneck = Bottleneck(kind, "x", "x", (), "lb", 1.0, 20.0, "20 lb of x")
    return BottleneckGain(bottleneck, used, of, None, None)


@pytest.mark.parametrize(
    ("kind", "used", "of", "words"),
    [
        ("crop", 0.0, 0.0, ["none is there or expected", ""]),
        ("pantry", 0.0, 0.0, ["none is there", ""]),
        ("crop", 20.0, 20.0, ["all 20 lb used", ""]),
        ("crop", 12.0, 20.0, ["12 of 20 lb used", "too little left for another load"]),
    ],
)
def test_of_nothing_it_is_not_said_that_all_of_it_is_used(kind, used, of, words):
    """All 0 lb used, with too little left for another load, is true and no help."""
    assert [used_words(held(kind, used, of)), room_words(held(kind, used, of))] == words


def test_a_filled_need_is_said_in_its_unit():
    """35 quarts, not quart."""
    household = dataclasses.replace(tiny_household(), targets=(Target("sauce", 35, 35, unit="quart"),))
    assert target_lines(household, WhyTarget("sauce", 35.0, 35.0, 0.0, ())) == ["sauce is filled: 35 quarts."]
