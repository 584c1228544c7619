"""One unit more of each limit is worth what was published (`shared/cases/README.md`, figures in `shared/cases/cases.toml`)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from tests.planning.test_published_cases import CASES, THOUSAND, home, plant_hours, product_mix, worth
from tests.planning.test_published_cases import bag as recipe

from stillroom.household.records import Hours, Household
from stillroom.household.results.bottlenecks import Bottleneck
from stillroom.planning.bottlenecks.gains import gain_of
from stillroom.planning.bottlenecks.replan import Quick, quick_plan
from stillroom.planning.bottlenecks.resources import catalogue
from stillroom.planning.bottlenecks.search import shadow_values
from stillroom.planning.solve import build


def last_true_amount(holds: Callable[[float], bool], at: float, to: float, within: float) -> float:
    """
    Return the last amount between `at`, where a condition is true, and `to`, by bisection to `within`.

    >>> round(last_true_amount(lambda amount: amount <= 18, 12, 30, 0.01), 1)
    18.0
    """
    if holds(to):
        return to
    while abs(to - at) > within:
        middle = (at + to) / 2
        at, to = (middle, to) if holds(middle) else (at, middle)
    return at


def bottlenecks_by_words(household: Household) -> dict[str, Bottleneck]:
    """The limits of a household by their words, each with one inside unit as its step."""
    parameters, variables = build(household)
    return {bottleneck.words: replace(bottleneck, step=1.0) for bottleneck in catalogue(parameters, variables)}


def points(quick: Quick) -> float:
    """What the first needs reach."""
    return next(objective.value for objective in quick.objectives if objective.name == "targets 1")


def one_more(household: Household, bottleneck: Bottleneck, amount: float = 1.0) -> float:
    """What so much more of a limit gives, planned again."""
    before = quick_plan(household, targets_only=True)
    return points(quick_plan(bottleneck.loosened(household, amount), targets_only=True)) - points(before)


def test_plant_hours_one_hour_more_of_each_gives_0_and_a_half_3s_and_1() -> None:
    """Stove 0, oven 1.5, hands 1 (Hillier & Lieberman, ch. 3). The oven's hours are its own row of Hours."""
    household, published = plant_hours(), CASES["plant_hours"]["one_more"]
    found = bottlenecks_by_words(household)
    oven = replace(found["hands in later weeks"], name="oven")
    gains = {
        "stove free": one_more(household, found["stove in later weeks"]),
        "oven": one_more(household, oven),
        "hands": one_more(household, found["hands in later weeks"]),
    }
    assert gains == pytest.approx(published, abs=1e-6)
    assert list(published.values()) == [0.0, 1.5, 1.0]


def test_plant_hours_shadow_prices_are_the_published_ones() -> None:
    household = plant_hours()
    parameters, variables = build(household)
    bottlenecks = [replace(bottleneck, step=1.0) for bottleneck in catalogue(parameters, variables)]
    prices, _ = shadow_values(parameters, variables, bottlenecks)
    by_words = {bottleneck.words: worth_of[0] for bottleneck, worth_of in prices.items()}
    assert by_words["stove in later weeks"] == pytest.approx(0.0, abs=1e-6)
    assert by_words["hands in later weeks"] == pytest.approx(1.0, abs=1e-6)
    assert by_words["oven"] == pytest.approx(10 * 1.5, abs=1e-6)  # a piece is ranked by ten hours of it


def test_plant_hours_the_oven_hour_keeps_its_worth_from_6_to_18() -> None:
    """The range of the second limit by planning again and halving, both ways from 12 hours."""
    household = plant_hours()
    oven = replace(bottlenecks_by_words(household)["hands in later weeks"], name="oven")
    now = points(quick_plan(household, targets_only=True))

    def holds(hours: float) -> bool:
        reached = points(quick_plan(oven.loosened(household, hours - 12.0), targets_only=True))
        return abs(reached - now - 1.5 * (hours - 12.0)) < 1e-3

    least, most = CASES["plant_hours"]["oven_holds"]
    assert (least, most) == (6, 18)
    assert last_true_amount(holds, 12.0, 0.0, 0.01) == pytest.approx(least, abs=0.02)
    assert last_true_amount(holds, 12.0, 30.0, 0.01) == pytest.approx(most, abs=0.02)


@pytest.mark.parametrize(("what", "figure"), [("grade A", 271.0), ("grade B", 173.6667)])
def test_product_mix_a_thousand_pounds_more_is_worth_what_was_published(what: str, figure: float) -> None:
    """In the case's own units: one more of 1,000 lb of a grade, planned again."""
    household = product_mix()
    assert figure == pytest.approx(CASES["product_mix"]["one_more"][what], abs=1e-3)
    assert THOUSAND * one_more(household, bottlenecks_by_words(household)[what]) == pytest.approx(figure, rel=1e-4)


def test_product_mix_a_unit_more_of_paste_wanted_is_worth_48_and_a_third() -> None:
    """Demand is the household's wish, not a limit of supplies: it is loosened by wanting more."""
    more = points(quick_plan(product_mix(more_demand={"paste": 1.0}), targets_only=True))
    assert THOUSAND * (more - points(quick_plan(product_mix(), targets_only=True))) == pytest.approx(48.3333, rel=1e-4)


def degenerate() -> Household:
    """
    A corner where two limits meet: one bag takes an hour of hands and an hour of the stove, 4 hours of each.

    4 bags. With an hour more of either alone still 4 bags, of both 5. But the prices of the two must add up to the
    worth of a bag, 1: at least one of them promises at least a half that is not there.
    """
    one = recipe("soup", {"crop": 1.0}, hands_minutes_each=60, stove_minutes_each=60)
    hours = (Hours("hands", (0.0,) * 7, 4.0), Hours("stove free", (0.0,) * 7, 4.0))
    return home([one], [worth("soup", 100.0, 1.0, {"soup": 1.0})], {"crop": 100.0}, hours=hours)


def test_at_a_degenerate_corner_the_shadow_price_is_not_the_gain(capsys: pytest.CaptureFixture[str]) -> None:
    household = degenerate()
    found = bottlenecks_by_words(household)
    hands, stove = found["hands in later weeks"], found["stove in later weeks"]
    parameters, variables = build(household)
    prices, _ = shadow_values(parameters, variables, [hands, stove])
    promised = {bottleneck.name: prices[bottleneck][0] for bottleneck in (hands, stove)}
    gained = {bottleneck.name: one_more(household, bottleneck) for bottleneck in (hands, stove)}
    for name in promised:
        print(f"{name}: shadow price {promised[name]:.2f}, one hour more planned again {gained[name]:.2f}")
    assert sum(promised.values()) == pytest.approx(1.0, abs=1e-6)
    assert gained == pytest.approx({"hands": 0.0, "stove free": 0.0}, abs=1e-6)
    assert max(promised.values()) >= 0.5
    assert "shadow price" in capsys.readouterr().out
    both = quick_plan(stove.loosened(hands.loosened(household, 1.0), 1.0), targets_only=True)
    assert points(both) == pytest.approx(5.0, abs=1e-6)


def test_a_gain_says_what_the_list_has_more_of() -> None:
    household = degenerate()
    found = bottlenecks_by_words(household)
    before = quick_plan(household)
    loosened = found["stove in later weeks"].loosened(found["hands in later weeks"].loosened(household, 2.0), 2.0)
    gain = gain_of(household, before, quick_plan(loosened, None, before))
    assert gain.helps
    assert gain.targets == pytest.approx({"soup": 2.0}, abs=0.01)


def test_product_mix_shadow_prices_of_the_crops_are_the_published_ones() -> None:
    """271 and 173.6667: a crop stands on the other side of its balance, so this also holds the sign of its price."""
    household = product_mix()
    parameters, variables = build(household)
    bottlenecks = [replace(bottleneck, step=1.0) for bottleneck in catalogue(parameters, variables)]
    prices, _ = shadow_values(parameters, variables, bottlenecks)
    by_words = {bottleneck.words: THOUSAND * worth_of[0] for bottleneck, worth_of in prices.items()}
    assert by_words["grade A"] == pytest.approx(271.0, rel=1e-4)
    assert by_words["grade B"] == pytest.approx(173.6667, rel=1e-4)
