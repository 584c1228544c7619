"""Changes in plain words: what each form does, what is said of a wrong one, and cases planned side by side."""

from __future__ import annotations

import dataclasses
import datetime
import math
from dataclasses import replace

import pytest

from stillroom.household.examples import FRIDAY, tiny_household
from stillroom.household.records import Hours, Household, Lot, PlanLine
from stillroom.household.results.compare import side_by_side
from stillroom.household.suppose import FORMS, ChangeWrong, cases_from, changed, help_page
from stillroom.planning.parameters import Parameters
from stillroom.planning.solve import plan
from stillroom.planning.why import plan_cases

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
    assert after("lemon juice +500 ml").pantry[0].on_hand == pytest.approx(0.75)
    assert after("lemon juice price 3.20").pantry[0].price == pytest.approx(3.20)


def test_hours_of_a_day_of_every_day_and_of_later_weeks() -> None:
    assert after("hands Sat 0").hours[0].by_weekday == (4, 4, 4, 4, 4, 0.0, 4)
    assert after("hands +2").hours[0].by_weekday == (6.0,) * 7
    assert after("stove Sat and Sun x0.5").hours[1].by_weekday[5:] == (1.0, 1.0)
    assert after("hands later weeks -5").hours[0].each_later_week == 15.0


def test_the_stove_is_named_with_one_word_or_as_its_row_and_takes_hours_it_is_free() -> None:
    """Two hours free with 4 burners are 8 burner-hours; two hours more 16; with 3 burners 6."""
    household, words = changed(tiny_household(), "stove Sat +2")
    assert household == after("Stove free Sat 4")
    assert words == "stove free: 2 h more on Saturday"
    assert Parameters(household).stove_hours(Parameters(household).periods[1]) == 16.0
    fewer = Parameters(after("burners 3"))
    assert fewer.stove_hours(fewer.periods[0]) == 6.0


def two_people() -> Household:
    """The tiny household with its four hours of hands typed by name: Ann has one a day, Ben O'Neil-Roy three."""
    household = tiny_household()
    people = (Hours("hands: Ann", (1.0,) * 7, 8.0), Hours("hands: Ben O'Neil-Roy", (3.0,) * 7, 12.0))
    return replace(household, hours=(*household.hours, *people))


def hours_after(text: str) -> dict[str, tuple[float, ...]]:
    """Hours by name after a change: Monday, Saturday, each later week."""
    rows = changed(two_people(), text)[0].hours
    return {row.what: (row.by_weekday[0], row.by_weekday[5], row.each_later_week) for row in rows}


@pytest.mark.parametrize("text", ["hands: Ann +2", "hands Ann +2", "Ann +2", "Hands:ann every day +2 h"])
def test_one_persons_hours_change_the_hands_by_as_much(text: str) -> None:
    hours = hours_after(text)
    assert hours["hands: Ann"] == (3.0, 3.0, 8.0)
    assert hours["hands"] == (6.0, 6.0, 20.0)
    assert hours["hands: Ben O'Neil-Roy"] == (3.0, 3.0, 12.0)


def test_a_persons_hours_never_fall_below_none_and_the_hands_lose_no_more_than_that() -> None:
    hours = hours_after("hands: Ann -2")
    assert (hours["hands: Ann"][0], hours["hands"][0]) == (0.0, 3.0)
    later = hours_after("hands: Ben O'Neil-Roy later weeks x0.5")
    assert (later["hands: Ben O'Neil-Roy"][2], later["hands"][2]) == (6.0, 14.0)


def test_a_change_of_all_hands_is_shared_out_among_the_people() -> None:
    """Six hours instead of four: Ann has a quarter of them, Ben the rest; nobody works on a day without hands."""
    hours = hours_after("hands +2")
    assert (hours["hands: Ann"][0], hours["hands: Ben O'Neil-Roy"][0]) == (1.5, 4.5)
    saturday = hours_after("hands Sat 0")
    assert [saturday[name][1] for name in saturday if name.startswith("hands")] == [0.0, 0.0, 0.0]
    household = changed(two_people(), "hands Sat 0")[0]
    again = changed(household, "hands Sat 4")[0]
    assert [row.by_weekday[5] for row in again.hours if row.what.startswith("hands:")] == [2.0, 2.0]


def test_a_person_who_is_not_there_is_asked_about() -> None:
    with pytest.raises(ChangeWrong, match="did you mean hands: Ann\\?"):
        changed(two_people(), "hands: Anne +2")


def test_more_hours_of_one_person_make_more_on_the_list() -> None:
    """Half an hour of hands a day is too little for a load of juice (6 x 7 + 30 minutes); two more hours are enough."""
    household = replace(two_people(), plan_lines=())
    household = changed(changed(household, "hands: Ben O'Neil-Roy 0")[0], "hands: Ann 0.5")[0]
    household = replace(household, kitchen=replace(household.kitchen, weeks_after_that=0))
    found = plan(household)
    case = changed(household, "hands: Ann +2")[0]
    other = plan_cases(household, found, [case])[0]
    assert found.made("juice") < 7 <= other.made("juice")


def unsure() -> Household:
    """The tiny household, whose second lot of tomatoes comes on Sunday and may be 6 to 20 kg."""
    household = tiny_household()
    kitchen = replace(household.kitchen, days_planned_singly=4)
    lots = (Lot("tomato", FRIDAY + datetime.timedelta(days=2), 12.0, expected=True, least_kg=6.0, most_kg=20.0),)
    return replace(household, kitchen=kitchen, lots=(household.lots[0], *lots))


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("plan for all harvests", "all harvests"),
        ("Plan for the worst harvest", "worst harvest"),
        ("plan for likely harvest", "likely harvest"),
        ("planned for all", "all harvests"),
    ],
)
def test_what_is_planned_for_may_be_changed(text: str, meant: str) -> None:
    found, words = changed(unsure(), text)
    assert found.kitchen.plan_for == meant
    assert words == f"planned for {'' if meant == 'all harvests' else 'the '}{meant}"


def test_planning_for_all_harvests_says_when_there_is_nothing_to_be_unsure_of() -> None:
    assert changed(tiny_household(), "plan for all harvests")[1].endswith("no lot after tomorrow has a Least or a Most")
    with pytest.raises(ChangeWrong, match="is not a harvest to plan for; write plan for all harvests"):
        changed(unsure(), "plan for a good harvest")


def test_more_or_less_of_a_crop_is_more_or_less_in_every_harvest() -> None:
    half = changed(unsure(), "tomato x0.5")[0].lots[-1]
    assert (half.kg, half.least_kg, half.most_kg) == (6.0, 3.0, 10.0)
    less = changed(unsure(), "tomato -8 kg on Sun")[0].lots[-1]
    assert (less.kg, less.least_kg, less.most_kg) == (4.0, 0.0, 12.0)


def test_space_is_in_the_kitchens_unit_or_in_any() -> None:
    assert after("freezer -20 L").kitchen.freezer_free_litres == 20.0
    assert after("freezer 1 cubic foot").kitchen.freezer_free_litres == pytest.approx(28.316846592)


@pytest.mark.parametrize(("unit", "example", "larger"), [("cu ft", "3 cu ft", "4 cu ft"), ("L", "85 L", "113 L")])
def test_space_is_said_in_the_kitchens_unit_in_answers_and_in_examples(unit: str, example: str, larger: str) -> None:
    kitchen = dataclasses.replace(tiny_household().kitchen, volume_unit=unit, freezer_free_litres=85.0)
    household = dataclasses.replace(tiny_household(), kitchen=kitchen)
    assert changed(household, "freezer +1 cu ft")[1] == f"freezer space: {larger} instead of {example}"
    with pytest.raises(ChangeWrong, match=rf"is not a space; write it in cu ft or L, such as {example}$"):
        changed(household, "freezer +20 lb")
    unlimited = dataclasses.replace(household, kitchen=dataclasses.replace(kitchen, freezer_free_litres=math.inf))
    with pytest.raises(ChangeWrong, match=rf"has no limit in Kitchen; write how much .* such as freezer {example}$"):
        changed(unlimited, "freezer +20 L")


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
    assert after("most preserves in a day 3").kitchen.most_preserves_a_day == 3
    assert after("effort light").kitchen.effort == "light"
    assert after("Effort All Out").kitchen.effort == "all out"
    assert after("latest end 9 PM").kitchen.latest_end == datetime.time(21)
    assert after("share of hours kept free 15%").kitchen.kept_free == 0.15
    spent = tiny_household().with_kitchen(spending_limit=60, already_spent=22.5)
    assert changed(spent, "spending limit 80")[0].kitchen.left_to_spend == 57.5
    assert after("tomato juice wanted 40").targets[0].wanted == 40
    assert after("juice: keep at 7 on Sat").plan_lines[-1] == PlanLine(SATURDAY, 1, "juice", fix=7.0)
    assert not after("no soup").preserve("soup").include


@pytest.mark.parametrize(
    ("name", "change"),
    [
        *((name, change) for name in ("vinegar (5%)", "24 oz jar") for change in ("+12", "-12", "40")),
        *(("jar of 500 ml", change) for change in ("+12", "-12")),
    ],
)
def test_a_figure_in_a_name_is_not_taken_for_the_amount(name: str, change: str) -> None:
    """The starting workbook itself has such a name in its larder."""
    household = tiny_household()
    jar = dataclasses.replace(household.containers[0], name=name, on_hand=20.0)
    there = dataclasses.replace(household, containers=(jar, *household.containers[1:]))
    expected = {"+12": 32.0, "-12": 8.0, "40": 40.0}[change]
    assert changed(there, f"{name} {change}")[0].container(name).on_hand == expected


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("wyde lids +24", "did you mean wide lid?"),
        ("quart jras +24", "quart jras +24: no container, lid, pantry ingredient, piece of equipment, place or crop"),
        ("quart jras +24", "did you mean quart jar?"),
        ("rain", '"rain" is not a change. Type one such as'),
        ("quart jars +2 lb", "*quart jar* is counted, not measured in lb"),
        ("freezer -20 lb", "is not a space"),
        ("altitude 5200 lb", "*5200 lb* is not a length; write it in ft"),
        ("latest end 7:30 AM", "*7:30 AM* is not after 8:00 AM, when a day starts; write a later time"),
        ("latest end soon", '"soon" is not a time of day; type a time such as 8:30 AM'),
        ("effort hard", "*hard* is not an effort; write light, normal or all out"),
        ("gauge round", "*round* is not a gauge; write dial or weighted"),
        ("tomato 20 lb", "how much *tomato* there is comes from Harvest"),
        ("juice: keep at 7 on Zat", "*Zat* is not a day"),
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
