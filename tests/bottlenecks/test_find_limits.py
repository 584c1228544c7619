"""What holds a plan back on tiny households, worked by hand, and on random ones."""

from __future__ import annotations

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests import worked_examples as examples
from tests.planning.strategies import households
from tests.planning.test_published_cases import plant_hours
from tests.samples import count
from tests.worked_examples import TUESDAY, bag, home, jar, target

from stillroom.household.examples import tiny_household
from stillroom.household.records import Container, Hours, Household, Lid, Lot, PlanLine
from stillroom.household.results.bottlenecks import BottleneckGain, BottlenecksFound, Range
from stillroom.household.simulation.seasons import filled_by_plan
from stillroom.planning.bottlenecks import find_bottlenecks
from stillroom.planning.bottlenecks.gains import gain_of
from stillroom.planning.bottlenecks.ranges import available_amount, binding_resources, ranges
from stillroom.planning.bottlenecks.replan import ReSolve, quick_plan, re_solve
from stillroom.planning.bottlenecks.resources import catalogue
from stillroom.planning.solve import build, plan
from stillroom.reports.terminal.bottlenecks import an_hour, gain_object, gives


def test_more_of_the_stove_is_asked_in_hours_it_is_free() -> None:
    """The tiny stove is free 2 h a day, 8 burner-hours: an evening more are 3 h, 12 burner-hours, of a row of 8."""
    household = tiny_household()
    found = {bottleneck.words: bottleneck for bottleneck in catalogue(*build(household))}
    saturday = found["stove on Sat Aug 15"]
    assert saturday.step_words == "an evening more of the stove on Sat Aug 15 (3 h)"
    assert (saturday.unit, saturday.step, saturday.step * saturday.shown, saturday.hours) == ("h", 12.0, 3.0, 3.0)
    assert saturday.loosened(household, saturday.step).hours[1].by_weekday == (2, 2, 2, 2, 2, 5.0, 2)
    assert available_amount(household, saturday) == 8.0
    assert found["stove in later weeks"].loosened(household, 4.0).hours[1].each_later_week == 11.0


@pytest.mark.parametrize(("unit", "size"), [("L", "10 L"), ("cu ft", "1 cu ft")])
def test_more_space_is_said_in_the_households_unit(unit: str, size: str) -> None:
    """A cubic foot is 28.3 L; ten liters are asked of a household that counts in L."""
    household = tiny_household()
    household = replace(household, kitchen=replace(household.kitchen, volume_unit=unit))
    found = {bottleneck.name: bottleneck for bottleneck in catalogue(*build(household)) if bottleneck.kind == "space"}
    assert found["freezer"].step_words == f"{size} more in the freezer"
    assert found["shelf"].step_words == f"{size} more on the shelf"
    assert found["freezer"].step == pytest.approx({"L": 10.0, "cu ft": 28.316846592}[unit])


def jars_and_lids(jars: float = 10.0, lids: float = 10.0) -> Household:
    """
    20 kg of tomatoes at 1 kg a jar, 20 jars wanted; 10 jars and 10 lids: 10 jars of juice are made.

    A dozen jars alone, or a dozen lids alone: still 10. Both: 20, ten more, for then the crop is used up.
    """
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 20.0),), (target("juice", 20, importance=1),)
    )
    containers = (Container("jar", "jar", 1.0, None, jars, lid="lid", price=1.0),)
    return replace(household, containers=containers, lids=(Lid("lid", lids, price=0.25),))


def found_for(household: Household) -> dict[str, BottleneckGain]:
    """The limits of a household's plan by their words."""
    found: BottlenecksFound = find_bottlenecks(household, plan(household))
    return {held.bottleneck.words: held for held in found.held}


def test_jars_and_lids_help_only_together() -> None:
    found = found_for(jars_and_lids())
    for words, other in (("jars", "lids"), ("lids", "jars")):
        held = found[words]
        assert (held.used, held.of) == (10.0, 10.0)
        assert held.one_more.nothing
        assert held.with_other is not None
        bottleneck, gain = held.with_other
        assert bottleneck.words == other
        assert gain.targets == pytest.approx({"juice": 10.0}, abs=0.01)


def test_two_jars_fewer_lose_two_jars() -> None:
    held = found_for(jars_and_lids())["jars"]
    assert held.one_less is not None
    assert held.one_less.hurts
    assert held.one_less.targets == pytest.approx({"juice": -2.0}, abs=0.01)


def test_with_lids_to_spare_a_dozen_jars_give_ten_and_help_no_longer_after_that() -> None:
    """10 jars and 40 lids: the crop allows 20, so one dozen is all that helps."""
    held = found_for(jars_and_lids(lids=40.0))["jars"]
    assert held.one_more.targets == pytest.approx({"juice": 10.0}, abs=0.01)
    assert held.one_more.helps
    assert held.range is not None
    assert (held.range.helps_to, held.range.seen_end) == (1, True)


@pytest.mark.parametrize(
    ("bags", "kg", "tight"),
    [
        (1000.0, 991.0, {"bags", "bean"}),
        (1000.0, 990.0, {"bean"}),
        (991.0, 1000.0, {"bags", "bean"}),
        (990.0, 1000.0, {"bags"}),
    ],
)
def test_a_limit_of_which_under_a_hundredth_is_left_is_run_up_against(bags: float, kg: float, tight: set[str]) -> None:
    """
    1 kg a bag; what there is less of is used up. Of 1,000 of the other 9 are left, or 10, a hundredth.

    One bag more would take 1 of either, so that only the hundredth can tell 9 from 10.
    """
    beans = bag("beans", "bean", 1.0)
    household = home((beans,), (Lot("bean", TUESDAY, kg),), (target("beans", 2000, importance=1),), days=1)
    household = replace(household, containers=(Container("bag", "bag", 1.0, None, bags),))
    parameters, variables = build(household)
    found = binding_resources(parameters, variables, plan(household), catalogue(parameters, variables))
    assert {one.bottleneck.words for one in found} == tight


def each_jar_counts(jars: float, kg: float = 60.0) -> Household:
    """60 kg of tomatoes at 1 kg a jar, 60 jars wanted, each worth the same: needs are not filled evenly."""
    household = home(
        (jar("juice", "tomato", 1.0),),
        (Lot("tomato", TUESDAY, kg),),
        (target("juice", kg, importance=1),),
        kitchen={"fill_targets_evenly": False},
    )
    return replace(household, containers=(Container("jar", "jar", 1.0, None, jars),))


def test_a_gain_holds_both_ways_as_far_as_each_jar_counts() -> None:
    """34 jars: each of the 2 dozen there counts one, and so do 2 dozen more; of a third dozen 2, and then none."""
    assert found_for(each_jar_counts(34.0))["jars"].range == Range(helps_to=3, seen_end=True, least=-2, most=2)


def test_the_end_is_found_between_the_doublings_and_said_when_it_was_not_seen() -> None:
    """4 jars and 60 kg: 4 dozen more make 52, 5 dozen all 60. With 200 kg even the eighth dozen counts; no further."""
    found = found_for(each_jar_counts(4.0))["jars"].range
    assert found is not None
    assert (found.helps_to, found.seen_end, found.least) == (5, True, 0)
    found = found_for(each_jar_counts(4.0, 200.0))["jars"].range
    assert found is not None
    assert (found.helps_to, found.seen_end, found.most) == (8, False, 8)


def test_plant_hours_oven_hours_help_up_to_the_published_18() -> None:
    """12 hours, each worth 1.5 from 6 to 18 (Hillier & Lieberman): 6 more help, and no further one."""
    household = plant_hours()
    parameters, variables = build(household)
    hands = next(
        bottleneck for bottleneck in catalogue(parameters, variables) if bottleneck.words == "hands in later weeks"
    )
    oven = replace(hands, name="oven", step=1.0)
    at_hand = plan(household)
    base = ReSolve(household, at_hand, quick_plan(household))
    one_more = re_solve(replace(base, more=((oven, 1.0),)))
    found = ranges(base, {oven: one_more}, None)[oven]
    assert (found.helps_to, found.seen_end, found.most) == (6, True, 6)
    assert found.least <= -6


def soup_by_the_hour() -> Household:
    """40 kg of beans, a bag of soup takes 1 kg and an hour of hands, 40 wanted; 4 hours on each of two days: 8 bags."""
    soup = bag("soup", "bean", 1.0, hands_minutes_each=60.0)
    wanted = target("soup", 40, importance=1, unit="bag", meals_each=2.0, shop_price=3.0)
    hours = (Hours("hands", (4.0,) * 7, 0.0),)
    return home((soup,), (Lot("bean", TUESDAY, 40.0),), (wanted,), hours=hours)


def test_hours_say_what_they_give_by_the_hour() -> None:
    """An evening of 3 hours: 3 bags, 6 meals, which is 1 bag an hour. An hour more each day: 2 bags in 2 hours."""
    household = soup_by_the_hour()
    found = found_for(household)
    tuesday, both = found["hands on Tue Aug 18"], found["hands over the 2 days"]
    assert tuesday.one_more.targets == pytest.approx({"soup": 3.0}, abs=0.01)
    assert tuesday.one_more.containers == pytest.approx({"soup": 3.0}, abs=0.01)
    assert both.one_more.targets == pytest.approx({"soup": 2.0}, abs=0.01)
    assert gives(household, tuesday).startswith("3 bags soup (6 meals); ")
    assert gives(household, tuesday).endswith("; that is 1 bag soup (2 meals) an hour")
    figures = gain_object(household, tuesday.one_more)
    assert figures["shop_worth"] == pytest.approx(9.0, abs=0.01)
    assert (figures["containers"], figures["meals"]) == (pytest.approx(3.0), pytest.approx(6.0, abs=0.02))
    assert an_hour(household, tuesday) == {
        "containers": pytest.approx(1.0),
        "meals": pytest.approx(2.0, abs=0.01),
        "hours": 3.0,
    }


def test_a_fixed_line_that_is_kept_better_helps_before_the_list() -> None:
    """6 bags are fixed on Tuesday, no more and no fewer, where 4 hours make 4: an evening more keeps the other 2."""
    household = replace(soup_by_the_hour(), plan_lines=(PlanLine(TUESDAY, 1, "soup", fix=6.0),))
    held = found_for(household)["hands on Tue Aug 18"]
    assert held.one_more.kept_fixed == pytest.approx(2.0, abs=0.01)
    assert held.one_more.helps
    assert gives(household, held).startswith("2 more of the lines you keep; 2 bags soup")


def test_a_dozen_lids_that_only_save_money_say_so() -> None:
    """10 kg, 10 jars, 4 lids and 6 to be bought at 0.25: a dozen lids on hand save 1.50, and the list gains nothing."""
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 10.0),), (target("juice", 10, importance=1),)
    )
    containers = (Container("jar", "jar", 1.0, None, 10.0, lid="lid"),)
    household = replace(household, containers=containers, lids=(Lid("lid", 4.0, price=0.25, can_buy=6.0),))
    held = found_for(household)["lids"]
    assert not held.one_more.helps
    assert held.one_more.spent == pytest.approx(-1.5, abs=0.01)
    assert gives(household, held) == "nothing on the list; $1.50 less to buy"


def test_a_plan_that_fills_the_list_and_uses_nothing_up_has_no_limits() -> None:
    household = home(
        (jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 40.0),), (target("juice", 7, importance=1),)
    )
    found = find_bottlenecks(household, plan(household))
    assert [held.bottleneck.kind for held in found.held] == []


def test_the_crop_decides_in_juice_by_the_load() -> None:
    """15 kg at 1.5 kg are 10 of 14 jars; 10 kg more make 6 more, and four are wanted."""
    found = found_for(examples.juice_by_the_load())
    assert found["tomato"].one_more.targets == pytest.approx({"juice": 4.0}, abs=0.01)


def test_two_processes_find_the_same_as_none() -> None:
    household = jars_and_lids()
    found = plan(household)
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as executor:
        spread = find_bottlenecks(household, found, executor)
    alone = find_bottlenecks(household, found)
    assert [(held.bottleneck.words, held.one_more, held.one_less, held.range) for held in spread.held] == [
        (held.bottleneck.words, held.one_more, held.one_less, held.range) for held in alone.held
    ]


def lines_that_cost_a_jar() -> Household:
    """
    8 juice and 30 sauce stand for today and take all tomatoes; 5 and 34 would be a jar more, for sauce takes 0.97 kg.

    A jar of 80 is worth 0.05 points, under a two-thousandth of what the heavy beans give: the lines stay.
    """
    sauce = replace(jar("sauce", "tomato", 0.97), container="wide jar")
    peas = replace(jar("peas", "pea", 1.0), container="pea jar")
    wanted = (
        target("tomatoes", 80, importance=1, counts={"juice": 1.0, "sauce": 1.0}),
        target("peas", 20, importance=1),
        target("beans", 4, importance=1, weight=50.0),
    )
    stand = {"juice": 8, "sauce": 30, "peas": 4, "beans": 4}
    return home(
        (jar("juice", "tomato", 1.0), sauce, peas, jar("beans", "bean", 1.0)),
        (Lot("tomato", TUESDAY, 38.0), Lot("pea", TUESDAY, 60.0), Lot("bean", TUESDAY, 60.0)),
        wanted,
        days=1,
        containers=tuple(
            Container(name, "jar", 1.0, None, many) for name, many in (("jar", 50), ("wide jar", 50), ("pea jar", 4))
        ),
        plan_lines=tuple(PlanLine(TUESDAY, 1, name, make=made) for name, made in stand.items()),
    )


def test_no_resource_is_credited_with_what_the_lines_that_stay_cost() -> None:
    """A dozen pea jars are a dozen jars of peas; that the re-solved plan is free of the lines is no gain of theirs."""
    household = lines_that_cost_a_jar()
    at_hand = plan(household)
    assert (at_hand.made("juice"), at_hand.made("sauce")) == (8, 30)
    held = {one.bottleneck.words: one for one in find_bottlenecks(household, at_hand).held}
    assert held["pea jars"].one_more.targets == {"peas": 12.0}


@settings(max_examples=count(30, 60), deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(household=households(), which=st.integers(0, 1000))
def test_more_of_anything_never_gives_less(household: Household, which: int) -> None:
    """The needs never get lexicographically worse by a natural unit more; each plan is audited on the way."""
    parameters, variables = build(household)
    bottlenecks = catalogue(parameters, variables)
    if not bottlenecks:
        return
    bottleneck = bottlenecks[which % len(bottlenecks)]
    at_hand = plan(household)
    before = replace(quick_plan(household, at_hand), filled=filled_by_plan(household, at_hand))
    more = quick_plan(bottleneck.loosened(household, bottleneck.step), at_hand, before, targets_only=True)
    assert not gain_of(household, before, more).hurts


@settings(max_examples=count(10, 15), deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(household=households())
def test_whatever_is_found_more_never_hurts_and_less_never_helps(household: Household) -> None:
    """The whole search on random households: every gain, pair and range makes sense, every plan inside is audited."""
    found = find_bottlenecks(household, plan(household))
    for held in found.held:
        assert not held.one_more.hurts
        assert held.one_less is None or not held.one_less.helps
        assert held.with_other is None or held.with_other[1].helps
        if held.range is not None:
            assert held.range.least <= 0 < held.range.helps_to
            assert held.range.most >= 1
