"""What a starting workbook is filled with."""

from __future__ import annotations

from tests.handbook.kitchens import CATALOGUE_CONTAINERS

from stillroom.handbook import catalogue
from stillroom.handbook.lines import find_line


def test_every_item_of_a_preserve_stands_in_the_catalogue():
    crops = {crop.name for crop in catalogue.crops()}
    names = {preserve.name for preserve in catalogue.preserves()}
    for preserve in catalogue.preserves():
        for item in preserve.items:
            assert item.amount > 0, preserve.name
            assert item.source != "crop" or item.item in crops, (preserve.name, item.item)
            assert item.source != "preserve" or item.item in names, (preserve.name, item.item)


def test_every_container_of_a_preserve_stands_in_the_catalogue():
    containers = {container.name for container in CATALOGUE_CONTAINERS}
    assert {preserve.container for preserve in catalogue.preserves()} <= containers


def test_what_is_suggested_exists_and_is_not_from_memory():
    suggested = [preserve for preserve in catalogue.preserves() if preserve.make]
    assert {preserve.line for preserve in suggested} == set(catalogue.SUGGESTED)
    assert len(suggested) >= 30
    assert {preserve.status for preserve in suggested} <= {"verified", "derived"}


def test_every_entry_has_a_source_and_a_line():
    assert all(crop.source and crop.keeps_days > 0 for crop in catalogue.crops())
    for preserve in catalogue.preserves():
        line = find_line(preserve.line)
        assert preserve.source
        assert line is not None
        assert line.method == preserve.method


def test_the_published_weights_stand_in_it():
    """Tomato juice: 23 lb for 7 quarts, 14 lb for 9 pints (AIB 539, Guide 3); rounding never takes away."""
    by_name = {preserve.name: preserve for preserve in catalogue.preserves()}
    quart = by_name["tomato juice, hot pack, quart"].items
    assert [(item.item, item.amount, item.unit) for item in quart] == [
        ("tomato", 3.286, "lb"),
        ("bottled lemon juice", 2, "tablespoon"),
    ]
    assert by_name["tomato juice, hot pack, pint"].items[0].amount == 1.556


def test_household_keeping_times_are_used_not_cold_stores():
    by_name = {crop.name: crop for crop in catalogue.crops()}
    assert by_name["tomato"].keeps_days == 2
    assert by_name["sweet corn"].keeps_days <= 1
    assert by_name["tomato"].bushel_lb == 53
    assert by_name["tomato"].may_be_frozen_whole
    assert not by_name["snap beans"].may_be_frozen_whole
