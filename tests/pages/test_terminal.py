"""What a plan says in the terminal: 80 columns, no colour, the day's work first."""

import dataclasses
import datetime

import pytest

from stillroom.errors import Problem
from stillroom.household.examples import FRIDAY, tiny_household
from stillroom.household.plan import ObjectiveResult, Plan, periods
from stillroom.household.results.tables import tables
from stillroom.reports.terminal.layout import plain_text
from stillroom.reports.terminal.lists import messages, to_buy, where_crops_end, winter_list
from stillroom.reports.terminal.plan import check_page, check_text, objectives_table, plan_page

SATURDAY = FRIDAY + datetime.timedelta(days=1)


@pytest.fixture
def found():
    """The tables of a small plan: juice today, tomato frozen tomorrow, dried tomato and soup in the week."""
    home = tiny_household()
    plan = Plan(
        periods(home.kitchen),
        make={("juice", 0): 14.0, ("dried tomato", 2): 4.4, ("soup", 2): 0.3},
        loads={("juice", 0): 2.0, ("dried tomato", 2): 0.73},
        freeze_kg={("tomato", 1): 2.0},
        surplus_kg={("tomato", 2): 3.0},
        buy_containers={"quart jar": 2.0},
        buy_items={"lemon juice": 0.3},
    )
    return tables(home, plan)


def page(found, today=FRIDAY, **more):
    """The whole page as plain text."""
    return plain_text(plan_page(found, today, **more))


def test_today_comes_first_then_tomorrow_then_the_weeks(found):
    """A tired cook reads the first lines only."""
    text = page(found)
    assert text.splitlines()[0] == "TODAY  Friday 14 August 2026"
    places = [
        text.index(word) for word in ("TODAY", "TOMORROW", "LATER WEEKS", "WINTER LIST", "WHAT IS LEFT", "TO BUY")
    ]
    assert places == sorted(places)


def test_a_day_in_full_says_how_many_of_what_in_how_many_loads(found):
    """14 quarts of 46 lb in two loads: hands 14 x 6 min + 2 x 30 min = 2.4 h, a cook's 2½."""
    lines = page(found).splitlines()
    assert lines[1].split("  ")[-1].strip() == "2½ h"
    assert lines[1].startswith("    14  juice")
    assert "46 lb tomato (2 loads)" in lines[1]
    assert lines[2] == "  hands 2½ h (1½ h left), stove 1 h (1 h left)"


def test_a_day_without_work_says_so(found):
    """Rest is news too."""
    found["Plan"] = [row for row in found["Plan"] if row["Day"] != FRIDAY]
    assert page(found).splitlines()[1] == "  Nothing has to be put up."


def test_a_plan_that_begins_another_day_does_not_call_it_today(found):
    """The first day was typed and is not the clock's."""
    text = page(found, today=datetime.date(2026, 7, 1))
    assert text.startswith("FIRST DAY  Friday 14 August 2026")
    assert "NEXT DAY" in text
    assert "TODAY" not in text


def test_a_week_is_rough_and_its_fractions_are_rounded(found):
    """4.4 bags are 4, a third of one is under one."""
    week = next(line for line in page(found).splitlines() if line.startswith("week of 16 Aug"))
    assert week == "week of 16 Aug  4 dried tomato; under 1 soup"


def test_weeks_without_work_are_said_in_one_line(found):
    """Eight lines of nothing tell nothing."""
    found["Plan"] = []
    assert "all weeks       nothing planned" in page(found)


def test_the_other_single_days_stand_in_a_table_by_day():
    """Ten single days: the third to the tenth, with the days that have nothing."""
    home = tiny_household()
    kitchen = dataclasses.replace(home.kitchen, days_planned_singly=4, weeks_after_that=0)
    home = dataclasses.replace(home, kitchen=kitchen, plan_lines=())
    plan = Plan(periods(kitchen), make={("juice", 2): 7.0}, loads={("juice", 2): 1.0})
    lines = page(tables(home, plan)).splitlines()
    place = lines.index("THE DAYS AFTER")
    assert lines[place + 1] == "Sun 16 Aug       7  juice                       23 lb tomato"
    assert lines[place + 2] == "Mon 17 Aug          nothing planned"
    assert "LATER WEEKS" not in "\n".join(lines)


def test_the_winter_list_shows_what_falls_short_musts_first(found):
    """Juice 16 of 20 must; dried goods 4.4 of 6, soup and cabbage should and nice."""
    lines = plain_text(winter_list(found)).splitlines()
    assert lines[0] == "WINTER LIST  0 of 4 needs are filled"
    assert [line.split("  ")[1].strip() for line in lines[2:]][:1] == ["79 %"]
    assert [line[8:34].strip() for line in lines[2:]] == ["tomato juice", "soup", "dried goods", "cabbage"]


def test_needs_that_are_filled_are_only_named(found):
    """And what they would have cost."""
    rows = [{"Target": "juice", "Wanted": 7, "Covered": 1, "Short": 0, "Saves": 24.5, "Importance": 1}]
    assert plain_text(winter_list({"Coverage": rows})).splitlines() == [
        "WINTER LIST  1 of 1 needs are filled",
        "  Filled: juice.",
        "  What is planned would cost 24.50 in the shop.",
    ]


def test_what_is_left_over_is_said_even_when_it_is_nothing(found):
    """3 kg are 6.6 lb, a cook's 6½."""
    assert "To the animals or the compost: 6½ lb tomato." in plain_text(where_crops_end(found))
    for row in found["Crop use"]:
        row["Surplus"] = 0
    assert "To the animals or the compost: nothing." in plain_text(where_crops_end(found))


def test_the_shopping_is_by_day_with_its_sum(found):
    """Two jars at 1.50 and half a litre of lemon juice at 4."""
    lines = plain_text(to_buy(found)).splitlines()
    assert lines[0] == "TO BUY"
    assert [line.split() for line in lines[1:3]] == [
        ["0.5", "L", "lemon", "juice", "by", "Fri", "14", "Aug", "2.00"],
        ["2", "quart", "jar", "by", "Fri", "14", "Aug", "3.00"],
    ]
    assert lines[3] == "  Together 5.00."
    assert plain_text(to_buy({"Shopping": []})) == "TO BUY\n  Nothing."


def test_cautions_stand_with_their_source_and_notes_are_counted():
    """What to look at comes first."""
    rows = [
        {"Severity": "look", "Where": "Harvest!B4", "What": "a lot is too old", "What to do": "sort it"},
        {"Severity": "note", "Where": "Plan!A1", "What": "fine", "What to do": None},
        {"Severity": "caution", "Where": "AIB 539 (1994)", "What": "Adjust for altitude.", "What to do": None},
    ]
    assert plain_text(messages({"Messages": rows})).splitlines() == [
        "LOOK AT THIS",
        "  -  Harvest!B4: a lot is too old; sort it",
        "",
        "CAUTIONS  the current published guide and your extension service come first",
        "  -  Adjust for altitude. (AIB 539 (1994))",
        "",
        "  1 note besides in the Messages table of the workbook.",
    ]


def test_many_messages_with_one_cure_do_not_drown_the_others():
    """Three are said and the rest counted."""
    rows = [{"Severity": "look", "Where": f"A{n}", "What": "own recipe", "What to do": "ask"} for n in range(9)]
    rows.append({"Severity": "look", "Where": "B1", "What": "too old", "What to do": "sort"})
    lines = plain_text(messages({"Messages": rows})).splitlines()
    assert len(lines) == 6
    assert lines[4] == "  -  and 6 more like it, in the Messages table"
    assert lines[5] == "  -  B1: too old; sort"


def test_aims_are_shown_with_what_is_possible_and_what_is_proved():
    """An aim that is not proved says by how much it may be off."""
    objectives = (
        ObjectiveResult("target", 4.0, "points", 4.0, proved=True, seconds=0.4, importance=1),
        ObjectiveResult("labor", 12.5, "hours", 12.0, proved=False, seconds=3.21),
    )
    lines = plain_text(objectives_table(objectives)).splitlines()
    assert lines[2].split() == ["targets", "1", "4.00", "points", "4.00", "yes", "0.4"]
    assert lines[3].split() == ["hands", "12.50", "hours", "12.00", "4.0", "%", "3.2"]


def test_no_line_is_wider_than_the_screen_and_nothing_is_lost(found):
    """Long names and long words fold; 80 columns and no trailing spaces, no colour codes."""
    name = "grandmother's slow-cooked tomato and pepper relish, the one with the mustard seed, pint"
    found["Plan"][0] |= {"Preserve": name, "Uses": "46 lb " + "Donaudampfschifffahrtsgesellschaftskapitän" * 3}
    text = page(found)
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "\x1b" not in text
    assert not any(line.endswith(" ") for line in text.splitlines())
    for word in name.split():
        assert word in text


def test_a_narrow_screen_breaks_no_heading_and_no_figure(found):
    """At 60 letters stood: fil led, sho uld, nic e, und er ¼."""
    targets = [
        {
            "Target": "salsa",
            "Wanted": 35,
            "Covered": 0.92,
            "Short": 3,
            "On the shelf": 0,
            "Planned": 32,
            "Importance": 2,
        },
        {
            "Target": "ketchup",
            "Wanted": 14,
            "Covered": 0.0,
            "Short": 14,
            "On the shelf": 0,
            "Planned": 0.1,
            "Importance": 3,
        },
    ]
    objectives = (ObjectiveResult("fixed", 1366.04, "containers", 1365.88, proved=True, seconds=0.4),)
    text = plain_text(plan_page(found | {"Coverage": targets}, FRIDAY, objectives=objectives), 60)
    lines = [line.split() for line in text.splitlines()]
    assert max(map(len, text.splitlines())) <= 60
    assert ["filled", "target", "short", "wanted", "plan"] in lines
    assert ["92", "%", "salsa,", "should", "3", "35", "32"] in lines
    assert ["0", "%", "ketchup,", "nice", "14", "14", "under", "¼"] in lines
    assert ["objective", "reached", "at", "best", "proved"] in lines
    assert ["fixed", "lines", "1,366.04", "containers", "1,365.88", "yes"] in lines
    assert any(line[-4:-1] == ["Fri", "14", "Aug"] for line in lines), text


def test_square_brackets_in_a_name_are_only_brackets(found):
    """They mean nothing to the household."""
    found["Plan"][0]["Preserve"] = "juice [bold]"
    assert "juice [bold]" in page(found)


def test_what_was_written_is_the_last_line(found):
    """The receipt."""
    assert page(found, end=["Written into kitchen.xlsx."]).splitlines()[-1] == "Written into kitchen.xlsx."


# ---------------------------------------------------------------- check

PROBLEMS = (
    Problem("Harvest!C5", "blank required", ("53 lb",), field="Amount"),
    Problem("Harvest!A9", "hidden rows", ("9", "Harvest")),
)


def test_check_says_what_stops_first_with_cell_and_cure():
    """On a terminal."""
    assert plain_text(check_page(PROBLEMS, "kitchen.xlsx")).splitlines() == [
        "FIX THIS FIRST",
        "  Harvest!C5: Amount is blank. Type it, such as 53 lb, or clear the whole row.",
        "",
        "NOTES",
        "  Harvest!A9: The table Harvest has hidden rows (9), and they are used too.",
        "  Clear them if you do not want them.",
        "",
        "Fix the errors above, then run stillroom plan.",
    ]


def test_check_into_a_pipe_has_a_line_a_problem():
    """However long."""
    assert check_text(PROBLEMS, "kitchen.xlsx").splitlines() == [
        "Error: Harvest!C5: Amount is blank. Type it, such as 53 lb, or clear the whole row.",
        (
            "Note: Harvest!A9: The table Harvest has hidden rows (9), and they are used too. "
            "Clear them if you do not want them."
        ),
        "Fix the errors above, then run stillroom plan.",
    ]
    assert check_text((), "kitchen.xlsx") == "No errors. Next: stillroom plan kitchen.xlsx"
