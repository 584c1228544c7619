"""The rows of the output tables, worked by hand on the tiny household and on plans written here."""

import dataclasses
import datetime
import math

import pytest

from stillroom.household.examples import FRIDAY, tiny_household
from stillroom.household.plan import ObjectiveResult, Plan, Violation, periods
from stillroom.household.records import Ingredient, PantryItem, PlanLine, Target
from stillroom.household.results.coverage import measure_to_buy
from stillroom.household.results.messages import NOTE, WARNING, message_row
from stillroom.household.results.sums import Sums
from stillroom.household.results.tables import changes, tables
from stillroom.workbook.schema import output_tables

KG_A_LB = 0.45359237
SATURDAY = FRIDAY + datetime.timedelta(days=1)
SUNDAY = FRIDAY + datetime.timedelta(days=2)


def household(**changed):
    """The tiny household: Friday and Saturday singly, then a week; soup takes juice and cabbage here."""
    home = tiny_household()
    of_juice_and_cabbage = (Ingredient("juice", "preserve", 0.5), Ingredient("cabbage", "crop", 0.25))
    preserves = tuple(
        dataclasses.replace(item, ingredients=of_juice_and_cabbage) if item.name == "soup" else item
        for item in home.preserves
    )
    return dataclasses.replace(home, **({"preserves": preserves} | changed))


def plan(**amounts):
    """A plan over the tiny household's three periods."""
    return Plan(periods(tiny_household().kitchen), **amounts)


def plan_row(rows, name, day=FRIDAY):
    """The one row of a name and day."""
    return next(row for row in rows if row["Preserve"] == name and row["Day"] == day)


@pytest.fixture
def seven_quarts():
    """Seven quarts of juice on Friday in one load, five bags of soup in the week, 2 kg of tomato frozen on Saturday."""
    return plan(
        make={("juice", 0): 7.0, ("soup", 2): 5.0},
        loads={("juice", 0): 1.0},
        freeze_kg={("tomato", 1): 2.0},
        frozen_kg={("tomato", 0): 2.0, ("tomato", 1): 4.0, ("tomato", 2): 0.0},
        spoil_kg={("tomato", 2): 4.0},
        surplus_kg={("tomato", 2): 8.1},
    )


def test_every_row_has_the_columns_of_its_table(seven_quarts):
    """Each row holds exactly the headings of schema.toml; Coverage and Space carry their unit besides."""
    found = tables(household(), seven_quarts)
    for table in output_tables():
        if table.name == "Timetable":
            continue
        if table.later:
            assert table.name not in found
            continue
        besides = {"Unit"} if table.name in ("Coverage", "Space") else set()
        for row in found[table.name]:
            assert set(row) == set(table.headings) | besides, table.name


def test_a_line_says_crop_loads_and_hours(seven_quarts):
    """
    Juice: 7 x 1.5 kg = 10.5 kg = 23.15 lb of tomato.

    Hands 7 x 6 min + 1 x 30 min = 72 min = 1.2 h. Stove: 1 burner x (0.5 h + 40 min) + 60 min =
    2.1667 burner-hours, of 4 burners: 0.5417 h.
    """
    row = plan_row(tables(household(), seven_quarts)["Plan"], "juice")
    assert (row["Make"], row["Loads"], row["Unit"], row["Days"]) == (7, 1, "quart jar", 1)
    assert row["Uses"] == "23 lb tomato"
    assert row["Hands-on h"] == pytest.approx(1.2)
    assert row["Stove h"] == pytest.approx(13 / 6 / 4, abs=1e-8)


def test_the_process_and_the_marks_stand_behind_the_crop(seven_quarts):
    """What the handbook says, an own recipe and figures from memory are marked in Uses."""
    home = household()
    juice = dataclasses.replace(
        home.preserve("juice"), process_text="25 min at 11 lb, dial", own_recipe=True, from_memory=True
    )
    home = dataclasses.replace(home, preserves=(juice, *home.preserves[1:]))
    uses = plan_row(tables(home, seven_quarts)["Plan"], "juice")["Uses"]
    assert uses == ("23 lb tomato; 25 min at 11 lb, dial; own recipe, not from the handbook; not verified")


def test_a_preserve_that_takes_another_says_so(seven_quarts):
    """Soup takes half a jar of juice and 0.25 kg of cabbage a bag: 5 bags take 2.5 jars and 2.76 lb."""
    row = plan_row(tables(household(), seven_quarts)["Plan"], "soup", SUNDAY)
    assert row["Uses"] == "2¾ lb cabbage, 2½ juice"
    assert row["Loads"] is None
    assert row["Hands-on h"] == pytest.approx(0.25)


def test_freezing_and_thawing_are_lines_in_the_crops_own_unit(seven_quarts):
    """2 kg are 4.409 lb; a minute a pound of hands; to be cooked within a week of Saturday 15 August."""
    row = plan_row(tables(household(), seven_quarts)["Plan"], "freeze whole: tomato", SATURDAY)
    assert row["Make"] == pytest.approx(2 / KG_A_LB)
    assert (row["Unit"], row["Loads"], row["Uses"]) == ("lb", None, "to be cooked by Sat Aug 22")
    assert row["Hands-on h"] == pytest.approx(2 / KG_A_LB / 60)


def test_a_thawed_line_says_what_it_is_for_and_comes_first():
    """Taken out before it is cooked; only juice may take tomato from frozen."""
    found = plan(make={("juice", 0): 2.0, ("dried tomato", 0): 1.0}, thaw_kg={("tomato", 0): 2.0})
    rows = tables(household(plan_lines=()), found)["Plan"]
    assert [row["Preserve"] for row in rows] == ["thaw: tomato", "juice", "dried tomato"]
    assert rows[0]["Uses"] == "out now; for juice; all the liquid goes in"


def test_lines_go_by_day_then_by_what_keeps_the_shortest_with_freezing_last():
    """Tomato keeps 3 days and cabbage 10; canned before dried; crop frozen whole after what is made of it."""
    found = plan(
        make={("kraut", 0): 4.0, ("dried tomato", 0): 2.0, ("juice", 0): 7.0, ("juice", 1): 7.0},
        freeze_kg={("tomato", 0): 1.0},
    )
    rows = tables(household(plan_lines=()), found)["Plan"]
    assert [(row["Day"], row["Preserve"]) for row in rows] == [
        (FRIDAY, "juice"),
        (FRIDAY, "dried tomato"),
        (FRIDAY, "freeze whole: tomato"),
        (FRIDAY, "kraut"),
        (SATURDAY, "juice"),
    ]


def test_amounts_that_are_only_the_solvers_dust_are_no_lines():
    """A millionth of a jar is nothing."""
    assert tables(household(plan_lines=()), plan(make={("juice", 0): 1e-9}))["Plan"] == []


# ---------------------------------------------------------------- change


def change_of(lines, name="juice", day=FRIDAY, **amounts):
    """The Change cell of one line, against the former lines given."""
    rows = tables(household(plan_lines=tuple(lines)), plan(**amounts))["Plan"]
    return plan_row(rows, name, day)["Change"]


@pytest.mark.parametrize(
    ("before", "now", "said"), [(7, 7, None), (7, 10, "more (+3)"), (7, 5, "less (-2)"), (7, 7.3, None), (0, 4, "new")]
)
def test_a_day_is_compared_with_that_day(before, now, said):
    """More, less, or nothing to say."""
    assert change_of([PlanLine(FRIDAY, 1, "juice", before)], make={("juice", 0): float(now)}) == said


def test_a_line_that_was_not_there_is_new():
    """The former plan had juice on Friday only, and still has."""
    former = [PlanLine(FRIDAY, 1, "juice", 7)]
    assert change_of(former, day=SATURDAY, make={("juice", 0): 7.0, ("juice", 1): 7.0}) == "new"


@pytest.mark.parametrize(("now", "said"), [(7.0, "moved from Saturday"), (9.0, "moved from Saturday, more (+2)")])
def test_a_line_that_stands_on_another_day_was_moved(now, said):
    """The former plan had juice on Saturday only."""
    assert change_of([PlanLine(SATURDAY, 1, "juice", 7)], make={("juice", 0): now}) == said


def test_a_first_plan_has_no_changes():
    """Everything would be new."""
    assert change_of([PlanLine(SATURDAY, 1, "juice", None, fix=7)], make={("juice", 0): 7.0}) is None


def test_a_former_week_is_compared_by_its_sum_over_the_days_now_in_it():
    """Seven in the week of Friday, now 3 on Friday and 6 on Saturday: more by 2, said once, at its last day."""
    former = [PlanLine(FRIDAY, 7, "juice", 7.0)]
    amounts = {"make": {("juice", 0): 3.0, ("juice", 1): 6.0}}
    assert change_of(former, day=SATURDAY, **amounts) == "more (+2)"
    assert change_of(former, day=FRIDAY, **amounts) is None


def test_a_week_that_has_moved_by_a_day_is_the_same_week():
    """Yesterday the week began on Saturday, today on Sunday; an unchanged 4.2 is no change."""
    assert change_of([PlanLine(SATURDAY, 7, "juice", 4.2)], day=SUNDAY, make={("juice", 2): 4.2}) is None


def test_crop_frozen_whole_is_compared_in_its_own_unit():
    """From 1 kg to 2 kg: more by 2.2 lb, a kitchen's 2¼."""
    former = [PlanLine(SATURDAY, 1, "freeze whole: tomato", 1.0)]
    assert change_of(former, "freeze whole: tomato", SATURDAY, freeze_kg={("tomato", 1): 2.0}) == "more (+2¼)"


def test_a_line_no_longer_planned_stays_when_the_household_wrote_beside_it():
    """Make 0, Change gone, and what was written."""
    former = (PlanLine(FRIDAY, 1, "juice", 7, note="ask Grandmother"), PlanLine(SATURDAY, 1, "kraut", 4))
    found = tables(household(plan_lines=former), plan(make={("soup", 2): 5.0}))
    row = plan_row(found["Plan"], "juice")
    assert (row["Make"], row["Change"], row["Note"], row["Loads"]) == (0, "gone", "ask Grandmother", 0)
    assert not any(row["Preserve"] == "kraut" for row in found["Plan"])


def test_many_lines_that_are_gone_are_named_three_in_a_message():
    """Fourteen are gone: twelve are named, and two more are counted."""
    days = [FRIDAY + datetime.timedelta(days=day) for day in range(2)]
    former = tuple(PlanLine(day, 1, f"old {number}", 4) for day in days for number in range(7))
    rows = tables(household(plan_lines=former), plan(make={("soup", 2): 5.0}))["Messages"]
    assert len(rows) == 5
    assert rows[0]["What"] == "No longer planned: old 0 (4, Fri Aug 14); old 1 (4, Fri Aug 14); old 2 (4, Fri Aug 14)."
    assert rows[4]["What"] == "No longer planned: and 2 more."


def test_lines_that_are_gone_without_a_trace_are_said():
    """A household should not have to look for what it no longer sees."""
    former = (PlanLine(FRIDAY, 1, "juice", 7), PlanLine(SATURDAY, 1, "freeze whole: tomato", 2.0))
    rows = tables(household(plan_lines=former), plan(make={("soup", 2): 5.0}))["Messages"]
    assert [row["What"] for row in rows] == [
        "No longer planned: juice (7, Fri Aug 14); freeze whole: tomato (4½ lb, Sat Aug 15)."
    ]


# ---------------------------------------------------------------- the household's own cells


def test_fix_made_and_note_stay_with_their_line():
    """By day, length and name, whatever the capitals."""
    theirs = (PlanLine(FRIDAY, 1, "Juice", 5, fix=7, made=6, note="hot"),)
    row = plan_row(tables(household(plan_lines=theirs), plan(make={("juice", 0): 7.0}))["Plan"], "juice")
    assert (row["Keep at"], row["Made"], row["Note"]) == (7, 6, "hot")


def test_fix_of_crop_frozen_whole_is_said_back_in_the_crops_unit():
    """2 kg inside are 4.409 lb on the sheet."""
    theirs = (PlanLine(SATURDAY, 1, "freeze whole: tomato", None, fix=2.0),)
    rows = tables(household(plan_lines=theirs), plan(freeze_kg={("tomato", 1): 2.0}))["Plan"]
    assert plan_row(rows, "freeze whole: tomato", SATURDAY)["Keep at"] == pytest.approx(2 / KG_A_LB)


def test_a_fixed_week_that_is_now_planned_by_days_keeps_its_line_and_is_counted_once():
    """Fix 7 for the week of Friday: 7 on Saturday; the week's own line has no Make, so nothing is made twice."""
    theirs = (PlanLine(FRIDAY, 7, "juice", 7, fix=7),)
    rows = tables(household(plan_lines=theirs), plan(make={("juice", 1): 7.0}, loads={("juice", 1): 1.0}))["Plan"]
    week = next(row for row in rows if row["Days"] == 7)
    assert (week["Make"], week["Keep at"], week["Uses"]) == (None, 7, "kept in the days of this week")
    assert plan_row(rows, "juice", SATURDAY)["Keep at"] is None


def test_a_line_of_the_past_stays_as_it_was_for_what_was_made():
    """What was made last week belongs to the record of the stock and must not be lost."""
    last_week = FRIDAY - datetime.timedelta(days=6)
    theirs = (PlanLine(last_week, 1, "juice", 14, made=13), PlanLine(last_week, 1, "soup", 4))
    rows = tables(household(plan_lines=theirs), plan(make={("juice", 0): 7.0}))["Plan"]
    assert [(row["Day"], row["Preserve"], row["Make"], row["Made"]) for row in rows] == [
        (last_week, "juice", 14, 13),
        (FRIDAY, "juice", 7, None),
    ]


def test_a_line_kept_out_by_fix_nought_says_nought():
    """Fix 0 keeps it out; the line stays so that it can be taken back."""
    theirs = (PlanLine(FRIDAY, 1, "juice", 7, fix=0),)
    row = plan_row(tables(household(plan_lines=theirs), plan(make={("soup", 2): 5.0}))["Plan"], "juice")
    assert (row["Make"], row["Keep at"], row["Change"]) == (0, 0, "gone")


# ---------------------------------------------------------------- coverage, space, crop use


def test_coverage_counts_shelf_and_plan_net_of_other_preserves(seven_quarts):
    """Juice: 2 on the shelf, 7 made, 2.5 into soup: 6.5 of 20 is 32.5 %, 13.5 short."""
    rows = {row["Target"]: row for row in tables(household(), seven_quarts)["Coverage"]}
    juice = rows["tomato juice"]
    assert (juice["On the shelf"], juice["Planned"], juice["Covered"], juice["Short"]) == (2, 4.5, 0.325, 13.5)
    assert juice["Unit"] == "quart"
    assert rows["dried goods"]["Covered"] == 0


def test_nothing_is_covered_more_than_whole():
    """30 of 20 wanted is covered 1 and short 0; the store's price counts what is planned up to what is wanted: 20 - 2 on the shelf."""
    targets = (Target("tomato juice", 20, 40, 1, shop_price=2.5, counts={"juice": 1.0}), Target("none", 0, 5))
    rows = tables(household(targets=targets), plan(make={("juice", 2): 28.0}))["Coverage"]
    assert (rows[0]["Covered"], rows[0]["Short"], rows[0]["Saves"]) == (1, 0, 45)
    assert (rows[1]["Covered"], rows[1]["Saves"]) == (1, None)


def test_shelf_goods_that_will_not_last_the_plan_do_not_count(seven_quarts):
    """Good only until the day before the plan ends, 22 August; good on that day it counts."""
    for day, count in ((21, 0), (22, 2)):
        shelf = (dataclasses.replace(household().shelf[0], best_by=datetime.date(2026, 8, day)),)
        assert tables(household(shelf=shelf), seven_quarts)["Coverage"][0]["On the shelf"] == count


def test_space_by_period(seven_quarts):
    """
    Freezer: 2 kg lay there at first; 4 kg on Saturday add 2 x 1.8 = 3.6 L; in the week 5 L of soup less 3.6 L.

    Jars: 12 less 7; 2 come back with the soup's 2.5 jars... 12 - 7 + 2.5 used up and given back in the week = 7.5.
    """
    rows = tables(household(), seven_quarts)["Space"]
    assert [row["Freezer change"] for row in rows] == pytest.approx([0, 3.6, 5 - 3.6])
    assert [row["Freezer left"] for row in rows] == pytest.approx([40, 36.4, 38.6])
    assert [row["Quart jars left"] for row in rows] == [5, 5, 7.5]
    assert [row["Pint jars left"] for row in rows] == [None] * 3
    assert rows[0]["Hands-on used"] == pytest.approx(1.2)
    assert rows[0]["Hands-on left"] == pytest.approx(2.8)
    assert (rows[2]["Days"], rows[2]["Unit"]) == (7, "L")


def test_jars_come_back_whole_by_the_week():
    """Two a week: by a plan of 21 single days, 2 are back after 7 days and 4 after 14; none after 3 days (0.86)."""
    home = household()
    kitchen = dataclasses.replace(home.kitchen, days_planned_singly=21, weeks_after_that=0)
    home = dataclasses.replace(home, kitchen=kitchen, plan_lines=())
    rows = tables(home, Plan(periods(kitchen), make={("juice", 0): 7.0}))["Space"]
    assert [rows[day]["Quart jars left"] for day in (0, 3, 4, 7, 14)] == [5, 5, 6, 7, 9]


def test_a_job_longer_than_its_day_holds_its_burner_in_the_next_days_too():
    """A 36 h job on one burner of four begun on Friday: 24 h of it on Friday, 12 h on Saturday."""
    home = household(plan_lines=())
    dryer = dataclasses.replace(home.equipment_named("dryer"), burners=1.0)
    home = dataclasses.replace(home, equipment=(home.equipment[0], dryer, home.equipment[2]))
    rows = tables(home, plan(make={("dried tomato", 0): 6.0}, loads={("dried tomato", 0): 1.0}))["Space"]
    assert [row["Stove used"] for row in rows] == pytest.approx([6, 3, 0])


def test_without_hours_there_is_nothing_left_to_say(seven_quarts):
    """No row for hands or stove, no limit: blank, not nought."""
    row = tables(household(hours=()), seven_quarts)["Space"][0]
    assert (row["Hands-on left"], row["Stove left"]) == (None, None)
    no_limit = dataclasses.replace(household().kitchen, freezer_free_litres=math.inf)
    assert tables(household(kitchen=no_limit), seven_quarts)["Space"][0]["Freezer left"] is None


def test_crop_use_adds_up(seven_quarts):
    """
    Tomato in kg: harvested 10 + 12 fresh + 2 frozen = 24.

    Eaten 1.4 a week over 9 days = 1.8, of which the lot of Wednesday (keeps to Saturday) gives 0.4 and the second the
    rest; put up 10.5 x 0.7, trimmings 10.5 x 0.3, fed 8.1 and spoilt 4, no crop left: 1.8 + 10.5 + 12.1 = 24.4 is
    0.4 too much for this plan written by hand, so the fed crop is 7.7 here.
    """
    found = dataclasses.replace(seven_quarts, surplus_kg={("tomato", 2): 7.7})
    row = tables(household(), found)["Crop use"][0]
    parts = ("Eaten fresh", "Put up", "Trimmings", "Held frozen", "Still fresh", "Surplus")
    assert row["Harvested"] == pytest.approx(24 / KG_A_LB)
    assert row["Eaten fresh"] == pytest.approx(1.8 / KG_A_LB)
    assert row["Put up"] == pytest.approx(7.35 / KG_A_LB)
    assert row["Trimmings"] == pytest.approx(3.15 / KG_A_LB)
    assert row["Surplus"] == pytest.approx(11.7 / KG_A_LB)
    assert row["Harvested"] == pytest.approx(sum(row[part] for part in parts))


def test_what_is_eaten_is_never_more_than_what_is_there():
    """20 kg a week wanted, over 9 days 25.7: there are 10 + 12, but the lot of Wednesday keeps to Saturday only."""
    home = household()
    crop = dataclasses.replace(home.crop("tomato"), eaten_kg_a_week=20.0)
    home = dataclasses.replace(home, crops=(crop, home.crops[1]))
    row = tables(home, plan())["Crop use"][0]
    # Friday 2.857, Saturday 2.857, both off Wednesday's lot; the week 12 off Saturday's: 17.714
    assert row["Eaten fresh"] == pytest.approx((2 * 20 / 7 + 12) / KG_A_LB)


# ---------------------------------------------------------------- shopping


def test_what_to_buy_by_when_and_for_what():
    """
    Three jars of juice on Friday use 3 of 12; 14 on Saturday use up the stock: needed by Saturday.

    Lids: 10 on hand, gone on Saturday too. Lemon juice: 25 x 0.03 = 0.75 L of 0.25 on hand: half a litre to buy.
    """
    found = plan(
        make={("juice", 0): 3.0, ("juice", 1): 14.0, ("juice", 2): 8.0},
        buy_containers={"quart jar": 10.9999999},
        buy_lids={"wide lid": 15.0},
        buy_items={"lemon juice": 0.48},
    )
    rows = tables(household(), found)["Shopping"]
    assert [(row["Item"], row["Buy"], row["Unit"], row["Cost"], row["Needed by"]) for row in rows] == [
        ("quart jar", 11, "jar", 16.5, SATURDAY),
        ("wide lid", 15, "lid", 3.75, SATURDAY),
        ("lemon juice", 0.5, "L", 2, SATURDAY),
    ]
    assert {row["For"] for row in rows} == {"juice"}


def test_an_own_recipe_is_marked_where_shopping_names_it():
    home = household()
    own = dataclasses.replace(home.preserve("juice"), own_recipe=True)
    home = dataclasses.replace(home, preserves=tuple(own if item.name == "juice" else item for item in home.preserves))
    rows = tables(home, plan(make={("juice", 0): 13.0}, buy_containers={"quart jar": 1.0}))["Shopping"]
    assert rows[0]["For"] == "juice (own recipe)"


def test_a_thing_without_a_price_has_no_cost():
    """Blank is not nought."""
    home = household()
    jar = dataclasses.replace(home.container("quart jar"), price=None)
    home = dataclasses.replace(home, containers=(jar, *home.containers[1:]))
    rows = tables(home, plan(make={("juice", 0): 13.0}, buy_containers={"quart jar": 1.0}))["Shopping"]
    assert rows[0]["Cost"] is None


@pytest.mark.parametrize(
    ("amount", "most", "bought"), [(0.3, math.inf, 0.5), (3.1, math.inf, 3.5), (12.2, math.inf, 13), (3.1, 3.2, 3.2)]
)
def test_larder_is_bought_in_measures_one_can_buy(amount, most, bought):
    """Quarters, halves, whole ones; never more than can be bought."""
    assert measure_to_buy(PantryItem("vinegar", "litre", can_buy=most, unit="L"), amount) == pytest.approx(bought)


def test_larder_counted_singly_is_bought_whole():
    """2.2 lemons are 3."""
    assert measure_to_buy(PantryItem("lemon", "each", can_buy=math.inf, unit="each"), 2.2) == 3


def test_whole_measures_above_the_spending_limit_are_said():
    """Half a litre at 60 a litre is 30, and 20 may be spent."""
    home = household()
    lemon = dataclasses.replace(home.pantry[0], price=60.0)
    home = dataclasses.replace(home, pantry=(lemon,), plan_lines=(), targets=())
    found = tables(home, plan(make={("juice", 2): 20.0}, buy_items={"lemon juice": 0.33}))
    assert [row["What"] for row in found["Messages"]] == [
        "In whole packages the shopping costs $30.00, $10.00 above your spending limit."
    ]
    home = home.with_kitchen(spending_limit=60, already_spent=45)
    found = tables(home, plan(make={("juice", 2): 20.0}, buy_items={"lemon juice": 0.33}))
    assert found["Messages"][0]["What"].endswith("$15.00 above what is left of your spending limit.")


# ---------------------------------------------------------------- messages


@dataclasses.dataclass(frozen=True)
class Caution:
    """A caution as the handbook gives it."""

    text: str
    source: str


def test_messages_come_looks_first_then_notes_then_cautions():
    """Problems that are said, sorted by how much they matter; they come as rows."""
    problems = [
        message_row(NOTE, "Harvest!B9", "numbers stand there as text", "nothing"),
        message_row(WARNING, "Harvest!A4", "this lot is past its keeping time", "sort it today"),
    ]
    cautions = [Caution("Adjust for altitude.", "AIB 539 (1994)")]
    rows = tables(household(plan_lines=()), plan(), problems, cautions)["Messages"]
    assert [(row["Severity"], row["Where"], row["What"], row["What to do"]) for row in rows] == [
        ("Warning", "Harvest!A4", "this lot is past its keeping time", "sort it today"),
        ("Note", "Harvest!B9", "numbers stand there as text", "nothing"),
        ("Caution", "AIB 539 (1994)", "Adjust for altitude.", None),
    ]


def test_a_fixed_line_that_cannot_be_kept_is_said_with_its_limits():
    """Fourteen were typed and four are missing for want of jars and hands."""
    violation = Violation("juice", 0, 14.0, 4.0, ("hands hours", "quart jars"), "Plan!J5")
    row = tables(household(plan_lines=()), plan(violations=(violation,)))["Messages"][0]
    assert row["Severity"] == "Warning"
    assert row["Where"] == "Plan!J5"
    assert row["What"] == (
        "juice on Fri Aug 14: you keep it at 14, and the plan is 4 short. It runs out of hands hours, quart jars."
    )
    assert row["What to do"] == "Get more (hands hours, quart jars), or change the number under Keep at."


def test_an_aim_that_was_not_proved_is_said():
    """Its value, its bound and why it was left."""
    objectives = (
        ObjectiveResult("target", 4.0, "points", 4.0, proved=True, importance=1),
        ObjectiveResult("labor", 12.25, "hours", 12.0, proved=False, stopped="nodes"),
    )
    rows = tables(household(plan_lines=()), plan(objectives=objectives))["Messages"]
    assert [row["Where"] for row in rows] == ["Plan"]
    assert rows[0]["What"] == "The plan may be 2% from the best possible for labor (nodes)."


def starved(made_for_must, **changed):
    """Messages about a should that gets nothing, for a must of 8 bags of soup that is filled so far."""
    targets = (
        Target("soup", 8, 8, 1, counts={"soup": 1.0}),
        Target("kraut", 4, 4, 2, counts={"kraut": 1.0}),
    )
    home = household(plan_lines=(), targets=targets, **changed)
    rows = tables(home, plan(make={("soup", 2): made_for_must}))["Messages"]
    return [row["What"] for row in rows]


def test_the_last_quarter_of_a_must_that_keeps_a_should_empty_is_said():
    """Soup is filled to 7 of 8 and kraut gets nothing; both take cabbage."""
    assert starved(7.0) == ["kraut gets nothing, while soup is over three quarters filled and takes cabbage."]


def test_a_must_within_three_quarters_starves_nobody():
    """6 of 8 is the third quarter."""
    assert starved(6.0) == []


def test_a_should_that_could_not_be_made_anyway_is_not_blamed_on_a_must():
    """There is no cabbage for kraut at all."""
    assert starved(7.0, lots=()) == []


# ---------------------------------------------------------------- sums


def test_unrounded_numbers_have_ten_digits_and_whole_ones_are_whole():
    """A jar and a third stays that; 7.0000000001 is 7."""
    rows = tables(household(plan_lines=()), plan(make={("juice", 2): 4 / 3, ("soup", 2): 7.0000000001}))["Plan"]
    assert {row["Preserve"]: row["Make"] for row in rows} == {"juice": 1.333333333, "soup": 7}


def test_an_ingredient_named_in_two_lines_counts_twice():
    """Two lines of tomato, 1.5 and 0.5 kg: 2 kg a jar."""
    home = household(plan_lines=())
    juice = home.preserve("juice")
    juice = dataclasses.replace(juice, ingredients=(*juice.ingredients, Ingredient("tomato", "crop", 0.5)))
    home = dataclasses.replace(home, preserves=(juice, *home.preserves[1:]))
    assert Sums(home, plan(make={("juice", 0): 3.0})).used_kg["tomato"] == pytest.approx(6.0)


def test_the_order_of_former_lines_does_not_matter():
    """Changes are the same however the rows of the old plan lay."""
    lines = (PlanLine(FRIDAY, 7, "juice", 7.0), PlanLine(FRIDAY, 1, "juice", 3.0), PlanLine(SATURDAY, 1, "soup", 4.0))
    found = plan(make={("juice", 0): 3.0, ("juice", 1): 9.0})
    one = changes(Sums(household(plan_lines=lines), found)).of_line
    other = changes(Sums(household(plan_lines=lines[::-1]), found)).of_line
    assert (
        one == other == {(FRIDAY, 1, "juice"): "", (SATURDAY, 1, "juice"): "more (+2)", (SATURDAY, 1, "soup"): "gone"}
    )
