"""Importances and weights, by hand: what strict importance costs, and what a light target is left by a heavy one."""

from __future__ import annotations

import dataclasses
import json
import math

import pytest
from tests.season.household import JUICE, SAUCE, START, with_first_day
from tests.season.household import build as workbook
from tests.worked_examples import PLENTY, TUESDAY, bag, home, jar, target

from stillroom.cli import run
from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import Container, Household, Lot, PlanLine
from stillroom.planning.solve import plan
from stillroom.planning.why import cost_of_importance, filled_when_weighed


def sauce_first(kg: float = 20.0, importance: int = 2, juice_kg: float = 0.25) -> Household:
    """
    Build a household where a must takes all of a crop, and another target would take little.

    10 sauces at 2 kg are 20 kg; 20 juices at 0.25 kg are 5 kg. By quarters, a kilogram of sauce is worth 4 x (4, 3, 2,
    1) / 20 = 0.8, 0.6, 0.4, 0.2 and one of juice 2 x (4, 3, 2, 1) / 5 = 1.6, 1.2, 0.8, 0.4. 20 kg are all of the juice
    and three quarters of the sauce.
    """
    return home(
        (bag("sauce", "tomato", 2.0), bag("juice", "tomato", juice_kg)),
        (Lot("tomato", TUESDAY, kg),),
        (target("sauce", 10, importance=1), target("juice", 20, importance=importance)),
    )


def test_weighed_the_must_gives_up_a_quarter_and_all_are_filled_further() -> None:
    household = sauce_first()
    assert filled_when_weighed(household) == pytest.approx({"sauce": 7.5, "juice": 20.0})
    found = cost_of_importance(household, plan(household))
    assert found is not None
    assert (found.importance, found.first, found.whole) == (1, 1.0, 0.5)
    assert (found.first_weighed, found.whole_weighed) == pytest.approx((0.75, 0.875))


def test_nothing_is_shown_where_little_would_be_gained_or_all_are_alike() -> None:
    """With juice of half a kilogram, 0.625 for 0.5; with crop for both nothing is to be gained."""
    for household in (sauce_first(juice_kg=0.5), sauce_first(kg=28.0), sauce_first(importance=1)):
        assert cost_of_importance(household, plan(household)) is None


def test_a_fixed_line_is_kept_before_the_targets_are_weighed() -> None:
    """Ten sauces kept by hand leave nothing for juice, however the targets are weighed."""
    household = sauce_first()
    line = PlanLine(TUESDAY, 1, "sauce", fix=10.0)
    household = dataclasses.replace(household, plan_lines=(line,))
    assert filled_when_weighed(household)["sauce"] == pytest.approx(10.0)
    assert cost_of_importance(household, plan(household)) is None


def test_the_plan_has_a_note_of_it(tmp_path, capsys) -> None:
    """100 lb are 30 quarts of the 46 that are missing, a must; 20 pints, a nice target, would take a third of it."""
    winter = [
        {"Target": "quarts", "Wanted": 50, "Importance": 1},
        {"Target": "pints", "Wanted": 20, "Importance": 3},
    ]
    counts = [{"Target": "quarts", "Preserve": JUICE}, {"Target": "pints", "Preserve": SAUCE}]
    kitchen = workbook(
        tmp_path / "kitchen.xlsx",
        **{"Kitchen": with_first_day(), "Winter list": winter, "Counts toward": counts},
        Harvest=[{"Crop": "plum tomato", "Picked on": START, "Amount": 100, "Unit": "lb"}],
    )
    assert run(["plan", str(kitchen), "--json"]) == 0
    notes = [row["what"] for row in json.loads(capsys.readouterr().out)["messages"] if row["severity"] == "Note"]
    assert any(
        "they are filled to 70%, all targets to 35% on average. If a must counted 4, a should 2 and a nice 1, it would be "
        "about 55% and 65%." in note
        for note in notes
    )


# Weights far apart within an importance: the light target has all that the heavy one leaves it.


def bags_to_buy(juice_weight: float, plums_weight: float = 1.0) -> Household:
    """
    Build a household where the light target costs money, which is saved as far as the points held allow.

    20 juices of the heavy target, weight 1000, are 2500 points, of which a ten-thousandth, 0.25, may be lost: five bags
    of the light one, at 0.05 points each. A third target is lighter still.
    """
    return home(
        (jar("juice", "tomato", 1.0), bag("plums", "plum", 1.0), bag("beans", "bean", 1.0)),
        tuple(Lot(crop, TUESDAY, 30.0) for crop in ("tomato", "plum", "bean")),
        (
            target("juice", 20, importance=1, weight=juice_weight),
            target("plums", 20, importance=1, weight=plums_weight),
            target("beans", 20, importance=1, weight=plums_weight / 1000),
        ),
        containers=(
            Container("jar", "jar", 1.0, None, PLENTY),
            Container("bag", "bag", 1.0, None, 0.0, price=0.5, can_buy=math.inf),
        ),
    )


def made(found: Plan) -> dict[str, float]:
    """How many of each preserve."""
    return {name: found.made(name) for name in ("juice", "plums", "beans")}


@pytest.mark.parametrize(("heavy", "light"), [(1.0, 1.0), (1000.0, 1.0), (100_000.0, 1.0), (1.0, 0.001)])
def test_a_light_target_loses_no_jar_to_the_tolerance_of_a_heavy_one(heavy: float, light: float) -> None:
    household = bags_to_buy(heavy, light)
    found = plan(household)
    assert violated_constraints(household, found) == ()
    assert made(found) == {"juice": 20.0, "plums": 20.0, "beans": 20.0}


def test_a_light_target_takes_nothing_from_a_heavy_one() -> None:
    """Of 30 kg of one crop the heavy target takes its 20, and the light one the 10 that are left."""
    household = home(
        (jar("juice", "tomato", 1.0), bag("soup", "tomato", 1.0)),
        (Lot("tomato", TUESDAY, 30.0),),
        (target("juice", 20, importance=1, weight=1000.0), target("soup", 20, importance=1)),
    )
    found = plan(household)
    assert violated_constraints(household, found) == ()
    assert (found.made("juice"), found.made("soup")) == (20.0, 10.0)
