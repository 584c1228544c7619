"""
The farmer's problem, through the code that puts several seasons into one programme.

Source: J. R. Birge and F. Louveaux, Introduction to Stochastic Programming (Springer), section 1.1, "A farming example
and the news vendor problem". 500 acres; wheat, corn and sugar beets; yields 20 % above, at and 20 % below the mean,
equally likely. The data and the figure for the mean yields were read in public pages that restate the case; the other
five figures are from memory of the book, and the test works all of them out.
"""

from __future__ import annotations

import pytest

from stillroom.planning.highs import HighsSession, SolveSettings
from stillroom.planning.model import Model, Sum, at_least, at_most, equal
from stillroom.planning.stochastic.scenarios import CaseModel
from stillroom.planning.stochastic.solve import weighted
from stillroom.planning.stochastic.value import ObjectiveValue, set_bounds

ACRES = 500.0
PLANTING = {"wheat": 150.0, "corn": 230.0, "beets": 260.0}
TONNES_AN_ACRE = {"wheat": 2.5, "corn": 3.0, "beets": 20.0}
NEEDED = {"wheat": 200.0, "corn": 240.0}
BUYING = {"wheat": 238.0, "corn": 210.0}
SELLING = {"wheat": 170.0, "corn": 150.0}
BEETS_IN_QUOTA, BEETS_OVER, QUOTA = 36.0, 10.0, 6000.0

SEASONS = {"good": 1.2, "mean": 1.0, "poor": 0.8}
Answer = tuple[float, dict[str, float]]


def farm(seasons: dict[str, float], acres: dict[str, float] | None = None) -> Answer:
    """The greatest expected profit over equally likely seasons, and the acres; with `acres` these are planted."""
    programme = Model("farm")
    parts = []
    for name, times in seasons.items():
        view = CaseModel(programme, name, lambda variable: variable.startswith("acres."))
        parts.append((1 / len(seasons), optimize_one_season(view, times)))
    solver = HighsSession(programme)
    if acres is not None:
        set_bounds(solver, {f"acres.{crop}": (each, each) for crop, each in acres.items()})
    solver.set_objective(solver.vector(weighted(parts)), maximize=True)
    outcome = solver.run(None, SolveSettings())
    assert outcome.found
    return outcome.value, {crop: outcome.columns[solver.columns[f"acres.{crop}"]] for crop in PLANTING}


def optimize_one_season(view: CaseModel, times: float) -> Sum:
    """Put one season's sales and purchases into the model; its profit."""
    acres = {crop: view.variable(f"acres.{crop}") for crop in PLANTING}
    profit: Sum = [(-cost, acres[crop]) for crop, cost in PLANTING.items()]
    view.add("land", at_most([(1.0, planted) for planted in acres.values()], ACRES))
    for crop, needed in NEEDED.items():
        bought, sold = view.variable(f"buy.{crop}"), view.variable(f"sell.{crop}")
        grown = (TONNES_AN_ACRE[crop] * times, acres[crop])
        view.add(f"feed.{crop}", at_least([grown, (1.0, bought), (-1.0, sold)], needed))
        profit += [(SELLING[crop], sold), (-BUYING[crop], bought)]
    within, over = view.variable("sell.beets", most=QUOTA), view.variable("sell.beets_over")
    view.add("beets", equal([(TONNES_AN_ACRE["beets"] * times, acres["beets"]), (-1.0, within), (-1.0, over)], 0.0))
    return [*profit, (BEETS_IN_QUOTA, within), (BEETS_OVER, over)]


def test_the_mean_yields_alone() -> None:
    """Printed: 118,600 with 120 acres of wheat, 80 of corn, 300 of beets."""
    profit, acres = farm({"mean": 1.0})
    assert profit == pytest.approx(118_600)
    assert acres == pytest.approx({"wheat": 120, "corn": 80, "beets": 300})


def test_all_three_seasons_together() -> None:
    """Printed: 108,390 with 170 acres of wheat, 80 of corn, 250 of beets."""
    profit, acres = farm(SEASONS)
    assert profit == pytest.approx(108_390)
    assert acres == pytest.approx({"wheat": 170, "corn": 80, "beets": 250})


def test_what_hedging_and_what_knowing_are_worth() -> None:
    """Printed: perfect information 115,406, so knowing is worth 7,016; planting for the mean 107,240, so 1,150."""
    hedged, _ = farm(SEASONS)
    _, for_the_mean = farm({"mean": 1.0})
    planted, _ = farm(SEASONS, for_the_mean)
    known = sum(farm({name: times})[0] for name, times in SEASONS.items()) / 3
    value = ObjectiveValue("money", "money", most=True, hedged=hedged, one_harvest=planted, foresight=known)
    assert planted == pytest.approx(107_240)
    assert known == pytest.approx(115_406, abs=0.5)
    assert value.of_hedging == pytest.approx(1_150)
    assert value.of_knowing == pytest.approx(7_016, abs=0.5)


def test_what_is_shared_is_one_decision_and_the_rest_one_a_season() -> None:
    """3 acres shared, and in each season 2 bought, 2 sold and 2 kinds of beets: 3 + 3 x 6 = 21."""
    programme = Model("farm")
    for name, times in SEASONS.items():
        optimize_one_season(CaseModel(programme, name, lambda variable: variable.startswith("acres.")), times)
    assert len(programme.variables) == 21
    assert len(programme.rows) == 3 * 4


def test_the_end_of_a_shared_decision_is_the_least_of_all_cases() -> None:
    programme = Model("ends")
    for name, most in (("one", 7.0), ("other", 5.0), ("third", None)):
        CaseModel(programme, name, lambda _: True).variable("make", most=most)
    assert programme.variables["make"].most == 5.0
