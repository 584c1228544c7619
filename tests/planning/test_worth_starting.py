"""A session is worth starting: a third of a load, the smallest batch that was typed, four pounds frozen whole."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest
from tests.worked_examples import TUESDAY, bag, day, home, jar, stove_on, target

from stillroom.household.audit import violated_constraints
from stillroom.household.plan import Plan
from stillroom.household.records import (
    FREEZE_WHOLE,
    THAW,
    Container,
    Crop,
    Hours,
    Household,
    Ingredient,
    Lot,
    PlanLine,
    ShelfRow,
    Tighter,
)
from stillroom.household.results.messages import few_frozen_words, few_words
from stillroom.household.results.sums import Sums
from stillroom.household.results.tables import tables
from stillroom.planning.moving import move_sessions
from stillroom.planning.parameters import Parameters
from stillroom.planning.solve import plan

BLANK: dict[str, Any] = {"batch_typed": False}


def juice_day(kg: float, at_most: float = 40.0, days: int = 1, **fields: Any) -> Household:
    """So many kg of tomato, a kg a jar, in a canner of seven; a smallest batch that is blank unless `fields` say so."""
    lots = (Lot("tomato", TUESDAY, kg),)
    juice = jar("juice", "tomato", 1.0, **(BLANK | fields))
    return home((juice,), lots, (target("juice", at_most, importance=1),), days=days)


def audited(household: Household) -> Plan:
    """The plan, which passes its audit."""
    found = plan(household)
    assert violated_constraints(household, found) == ()
    return found


def made_of(household: Household) -> float:
    """How much juice the plan makes."""
    return audited(household).made("juice")


def typed(batch: int) -> dict[str, Any]:
    """A smallest batch that was typed."""
    return {"batch_typed": True, "smallest_batch": batch}


@pytest.mark.parametrize(("kg", "jars"), [(2, 2), (3, 3), (7, 7), (8, 7), (9, 7), (10, 10), (15, 14), (17, 17)])
def test_a_last_load_is_a_third_full_or_not_begun(kg: float, jars: float) -> None:
    """A third of seven is three jars: after a full load one or two are left, unless they are all there is."""
    assert made_of(juice_day(kg)) == jars


@pytest.mark.parametrize(("kg", "jars"), [(9, 9), (8, 8)])
def test_over_two_days_the_few_come_into_loads_that_are_worth_it(kg: float, jars: float) -> None:
    """9 jars are 6 and 3 on two days, or any two loads of three and more."""
    found = audited(juice_day(kg, days=2))
    assert found.made("juice") == jars
    assert min(found.make.values()) >= 3


def test_half_a_load_where_the_household_asks() -> None:
    """A typed batch of half a load or more: the last load of several holds half of seven, four jars."""
    assert [made_of(juice_day(kg, **typed(4))) for kg in (3, 4, 10, 11)] == [0, 4, 7, 11]
    assert [made_of(juice_day(kg, **typed(9))) for kg in (8, 9, 11, 13)] == [0, 0, 11, 13]


def test_a_batch_of_one_as_typed_may_be_one_jar_in_a_load() -> None:
    """15 jars are three loads of seven, the last with one jar, where the household typed 1."""
    assert [made_of(juice_day(kg, **typed(1))) for kg in (1, 15)] == [1, 15]


@pytest.mark.parametrize(
    "batch", [pytest.param({"smallest_batch": 4, "batch_typed": True}, id="typed"), pytest.param(BLANK, id="blank")]
)
def test_no_more_than_the_list_has_room_for_is_asked_of_a_batch(batch: dict[str, Any]) -> None:
    """Two jars are left to *at most*: exactly two are made, typed or not."""
    household = dataclasses.replace(juice_day(20, 12, **batch), shelf=(ShelfRow("juice", 10.0),))
    found = audited(household)
    assert found.made("juice") == 2
    words = few_words(Sums(household, found), household.preserves[0], found.periods[0], 2.0)
    assert words == "a small batch: all the list has room for"


def test_a_typed_batch_that_the_day_has_no_crop_for_is_not_begun_and_a_blank_one_is_smaller() -> None:
    """Three bags of a batch of four: none where four was typed, three where nothing was."""
    beans = bag("beans", "bean", 1.0, smallest_batch=4)

    def made(batch_typed: bool) -> float:
        item = dataclasses.replace(beans, batch_typed=batch_typed)
        return audited(home((item,), (Lot("bean", TUESDAY, 3.0),), (target("beans", 9, importance=1),))).made("beans")

    assert (made(True), made(False)) == (0, 3)


SHORTAGES: dict[str, dict[str, Any]] = {
    "all the crop there is": {"lots": (Lot("tomato", TUESDAY, 2.0),)},
    "all the jars there are": {"containers": (Container("jar", "jar", 1.0, None, 2.0),)},
}

NO_REASON: dict[str, dict[str, Any]] = {
    "space": {"space": 2.0},
    "hours": {"hours": (Hours("hands", (0.7,) * 7, 0.0),)},
}


@pytest.mark.parametrize("reason", SHORTAGES)
def test_a_blank_batch_shrinks_to_what_there_is_and_the_line_says_why(reason: str) -> None:
    """Two jars of crop or of jars: two are made, and it is said why."""
    household = with_room_for_two(SHORTAGES[reason])
    found = audited(household)
    assert found.made("juice") == 2
    row = next(row for row in tables(household, found)["Plan"] if row["Preserve"] == "juice")
    assert str(row["Uses"]).endswith(f"a small batch: {reason}")


@pytest.mark.parametrize("what", NO_REASON)
def test_a_blank_batch_does_not_shrink_to_space_or_hours(what: str) -> None:
    """
    Shelf or hands (30 min a load, 6 min a jar) for two jars: no canner is heated for them.

    Else more hours could ask for a larger batch, and leave no crop for something better.
    """
    assert made_of(with_room_for_two(NO_REASON[what])) == 0


def with_room_for_two(changes: dict[str, Any]) -> Household:
    """Twenty kg of tomato for juice, and something that is there for two jars only."""
    changes = dict(changes)
    household = juice_day(20.0, hands_minutes_load=30.0, hands_minutes_each=6.0, space_litres_each=1.0)
    kitchen = dataclasses.replace(household.kitchen, shelf_free_litres=changes.pop("space", 40.0))
    return dataclasses.replace(household, kitchen=kitchen, **changes)


def test_a_full_session_says_no_reason() -> None:
    """Seven jars are a load, and a fixed line is the household's own doing."""
    household = juice_day(7.0)
    found = audited(household)
    assert few_words(Sums(household, found), household.preserves[0], found.periods[0], 7.0) == ""
    fixed = dataclasses.replace(juice_day(7.0), plan_lines=(PlanLine(TUESDAY, 1, "juice", fix=1.0),))
    found = audited(fixed)
    assert found.made("juice") == 1
    assert few_words(Sums(fixed, found), fixed.preserves[0], found.periods[0], 1.0) == ""


def test_what_a_fixed_line_takes_is_made_as_far_as_it_is_needed() -> None:
    """Two soups are fixed and take one jar of juice; hands for one jar only: one is made, though three are a third."""
    juice = jar("juice", "tomato", 1.0, hands_minutes_each=60.0, **BLANK)
    soup = bag("soup", "carrot", 1.0, ingredients=(Ingredient("juice", "preserve", 0.5),))
    household = home(
        (juice, soup),
        (Lot("tomato", TUESDAY, 20.0),),
        (target("soup", 9, importance=1), target("juice", 9, importance=1)),
        days=1,
        hours=(Hours("hands", (1.0,) * 7, 0.0),),
        plan_lines=(PlanLine(TUESDAY, 1, "soup", fix=2.0),),
    )
    found = audited(household)
    assert found.violations == ()
    assert (found.made("soup"), found.made("juice")) == (2, 1)


def test_what_a_day_was_planned_again_with_makes_no_small_load_worth_it() -> None:
    """Of hands for seven jars a timetable takes all but those for two: nothing is begun rather than two jars."""
    household = juice_day(7.0, hands_minutes_each=6.0)
    household = dataclasses.replace(household, hours=(Hours("hands", (0.7,) * 7, 0.0),))
    assert made_of(household) == 7
    tight = dataclasses.replace(household, tighter=Tighter(less_hours=(("hands", TUESDAY, 0.5),)))
    assert made_of(tight) == 0
    assert made_of(dataclasses.replace(household, tighter=Tighter(most=(("juice", TUESDAY, 2),)))) == 0


def test_a_session_moves_only_to_a_day_on_which_it_is_worth_starting() -> None:
    """Two jars on the second day move to the first where a third is not asked of it, and stay where it is."""
    for batch, first in ((typed(1), 0), (BLANK, 1)):
        household = juice_day(2.0, days=2, **batch)
        lots = (Lot("tomato", TUESDAY, 2.0), Lot("tomato", TUESDAY, 5.0))
        crops = (Crop("tomato", 30.0),)
        household = dataclasses.replace(household, lots=lots, crops=crops)
        parameters = Parameters(household)
        start = Plan(
            parameters.periods,
            make={("juice", 1): 2.0},
            loads={("juice", 1): 1.0},
            fresh_kg={("tomato", 0): 7.0, ("tomato", 1): 5.0},
        )
        moved = move_sessions(parameters, start)
        assert set(moved.make) == {("juice", first)}


# Freezing whole.


def frozen_for_later(kg: float, freezer_litres: float = 40.0) -> Household:
    """So many kg of tomato today that keep a day, a stove free on the third day only: frozen whole until then."""
    juice = jar("juice", "tomato", 0.5, ingredients=(Ingredient("tomato", "crop", 0.5, from_frozen=True),), **BLANK)
    return home(
        (juice,), (Lot("tomato", TUESDAY, kg),), (target("juice", 14, importance=1),), days=3,
        crops=(Crop("tomato", 0.0, may_be_frozen_whole=True),), hours=(stove_on((0.0, 0.0, 3.0)),),
        kitchen={"freezer_free_litres": freezer_litres},
    )  # fmt: skip


@pytest.mark.parametrize(("kg", "litres", "frozen"), [(1.0, 40.0, 1.0), (6.0, 1.8, 0.0), (6.0, 40.0, 6.0)])
def test_little_is_frozen_whole_where_there_is_no_more(kg: float, litres: float, frozen: float) -> None:
    """A kilogram of crop is frozen, and said to be all there is; for a freezer with room for one nobody begins."""
    household = frozen_for_later(kg, litres)
    found = audited(household)
    frozen_today = found.freeze_kg.get(("tomato", 0), 0.0)
    assert frozen_today == pytest.approx(frozen, abs=0.01)
    if frozen_today:
        words = few_frozen_words(Sums(household, found), household.crops[0], found.periods[0], frozen_today)
        assert words == ("a small batch: all the crop there is" if frozen < 1.8 else "")


def test_less_than_four_pounds_is_not_frozen_whole_where_more_could_be() -> None:
    """
    4 kg of tomato take an hour a kg to freeze, four hours of hands; three of them bring three musts of beans.

    The one hour left would freeze 1 kg, 2.2 lb: it is not worth a session. A fixed line of 1 kg is kept, and so is one
    that thaws 1 kg, in two jars of a load.
    """
    household = frozen_for_later(4.0)
    household = dataclasses.replace(
        household,
        preserves=(*household.preserves, bag("beans", "bean", 1.0, hands_minutes_each=60.0)),
        lots=(*household.lots, Lot("bean", TUESDAY, 3.0)),
        crops=(Crop("tomato", 0.0, may_be_frozen_whole=True, freeze_hours_per_kg=1.0), Crop("bean", 0.0)),
        hours=(stove_on((0.0, 0.0, 3.0)), Hours("hands", (4.0,) * 7, 0.0)),
        targets=(target("beans", 3, importance=1), target("juice", 14, importance=2)),
    )
    found = audited(household)
    assert (found.made("beans"), found.made("juice"), dict(found.freeze_kg)) == (3, 0, {})
    fixed = dataclasses.replace(household, plan_lines=(PlanLine(TUESDAY, 1, f"{FREEZE_WHOLE}tomato", fix=1.0),))
    assert audited(fixed).freeze_kg["tomato", 0] == pytest.approx(1.0, abs=1e-3)
    thawed = dataclasses.replace(household, plan_lines=(PlanLine(day(2), 1, f"{THAW}tomato", fix=1.0),))
    found = audited(thawed)
    assert found.violations == ()
    assert found.freeze_kg["tomato", 0] == pytest.approx(1.0, abs=1e-3)
    sums = Sums(thawed, found)
    assert few_frozen_words(sums, thawed.crops[0], found.periods[0], 1.0) == "a small batch: no more is needed"


# What a typed batch costs.


def test_a_typed_batch_that_costs_a_target_is_said() -> None:
    """Five jars of tomato left over are fewer than the seven typed; with a blank or a batch of five nothing is said."""

    def said(**batch: Any) -> list[object]:
        household = dataclasses.replace(juice_day(5.0, **batch), crops=(Crop("tomato", 0.0),))
        return [row["What"] for row in tables(household, audited(household))["Messages"] if row["Severity"] == "Note"]

    assert said(**typed(7)) == [
        "11 lb tomato left over on Tue Aug 18 would give 5 of juice, fewer than its smallest batch of 7."
    ]
    assert said(**typed(5)) == said(**BLANK) == []
