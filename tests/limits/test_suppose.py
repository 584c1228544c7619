"""Changes in plain words: what each form does, what is said of a wrong one, and cases planned side by side."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest

from stillroom.household.answer.compare import side_by_side
from stillroom.household.records import Household, PlanLine
from stillroom.household.suppose import FORMS, ChangeWrong, cases_from, changed, help_page
from stillroom.household.tiny import FRIDAY, tiny_household
from stillroom.planning.solve import plan
from stillroom.planning.suppose import plan_cases

SATURDAY = FRIDAY + datetime.timedelta(days=1)


def after(text: str) -> Household:
    """The tiny household after one change."""
    return changed(tiny_household(), text)[0]


def test_stocks_go_up_and_down_and_to_a_figure() -> None:
    assert after("quart jars +24").container("quart jar").on_hand == 36
    assert after("Quart Jar -5").container("quart jar").on_hand == 7
    assert after("quart jars 3").container("quart jar").on_hand == 3
    assert after("wide lids +12").lids[0].on_hand == 22
    assert after("quart jars gone").container("quart jar").can_buy == 0


def test_larder_is_measured_in_any_volume() -> None:
    assert after("lemon juice +500 ml").larder[0].on_hand == pytest.approx(0.75)
    assert after("lemon juice price 3.20").larder[0].price == pytest.approx(3.20)


def test_hours_of_a_day_of_every_day_and_of_later_weeks() -> None:
    assert after("hands Sat 0").hours[0].by_weekday == (4, 4, 4, 4, 4, 0.0, 4)
    assert after("hands +2").hours[0].by_weekday == (6.0,) * 7
    assert after("stove Sat and Sun x0.5").hours[1].by_weekday[5:] == (4.0, 4.0)
    assert after("hands later weeks -5").hours[0].each_later_week == 15.0


def test_space_is_in_the_kitchens_unit_or_in_any() -> None:
    assert after("freezer -20 L").kitchen.freezer_free_litres == 20.0
    assert after("freezer 1 cubic foot").kitchen.freezer_free_litres == pytest.approx(28.316846592)


def test_a_crop_comes_in_or_is_so_many_times_as_much() -> None:
    assert [lot.kg for lot in after("tomato x1.5").lots if lot.crop == "tomato"] == [15.0, 18.0, 2.0]
    lot = after("tomato +20 lb on Sat").lots[-1]
    assert (lot.crop, lot.picked_on, lot.expected) == ("tomato", SATURDAY, True)
    assert lot.kg == pytest.approx(9.07, abs=0.01)


def test_equipment_settings_needs_and_fixed_lines() -> None:
    assert after("dryer gone").equipment_named("dryer").how_many == 0
    assert after("canner +1").equipment_named("canner").how_many == 2
    assert after("dryer free from Sat").equipment_named("dryer").free_from == SATURDAY
    assert after("altitude 1585 m").kitchen.altitude_ft == pytest.approx(5200, abs=1)
    assert after("spending limit 80").kitchen.spending_limit == 80
    assert after("tomato juice wanted 40").needs[0].wanted == 40
    assert after("juice: fix 7 on Sat").plan_lines[-1] == PlanLine(SATURDAY, 1, "juice", fix=7.0)
    assert not after("no soup").preserve("soup").make


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("quart jras +24", "quart jras +24: no container, lid, larder ingredient, piece of equipment, place or crop"),
        ("quart jras +24", "did you mean *quart jar*?"),
        ("rain", "*rain* cannot be read as a change; write one such as"),
        ("quart jars +2 lb", "*quart jar* is counted, not measured in lb"),
        ("freezer -20 lb", "is not a space"),
        ("altitude 5200 lb", "*5200 lb* is not a length; write it in ft"),
        ("gauge round", "*round* is not a gauge; write dial or weighted"),
        ("tomato 20 lb", "how much of *tomato* there is stands in Harvest"),
        ("juice: fix 7 on Zat", "*Zat* is not a day"),
    ],
)
def test_a_wrong_change_is_told_exactly(text: str, said: str) -> None:
    with pytest.raises(ChangeWrong) as wrong:
        changed(tiny_household(), text)
    assert said in str(wrong.value)


def test_every_wrong_change_is_told_at_once() -> None:
    with pytest.raises(ChangeWrong) as wrong:
        cases_from(tiny_household(), ["quart jras +1", "vs", "hnads Sat 0"])
    assert str(wrong.value).count("\n") == 1


def test_every_form_has_an_example_of_its_own_on_the_help_page() -> None:
    page = help_page()
    for form in FORMS:
        assert form.example in page
        assert form.pattern.fullmatch(form.example), form.example
    assert len(page.splitlines()) <= 45
    assert max(len(line) for line in page.splitlines()) <= 80


def test_an_empty_change_is_the_plan_itself() -> None:
    household = tiny_household()
    found = plan(household)
    assert plan_cases(household, found, [household]) == (found,)
    assert side_by_side([(household, found), (household, found)]) == ()


def test_a_case_that_loses_the_canner_makes_no_juice_and_says_only_what_differs() -> None:
    household = replace(tiny_household(), plan_lines=())
    found = plan(household)
    case = changed(household, "canner gone")[0]
    other = plan_cases(household, found, [case])[0]
    assert other.made("juice") == 0 < found.made("juice")
    lines = side_by_side([(household, found), (case, other)])
    assert lines[0].part == "list"
    assert lines[0].what == "tomato juice"
    assert all(abs(line.figures[0] - line.figures[1]) > 0.04 for line in lines)
