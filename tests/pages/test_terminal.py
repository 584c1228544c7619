"""What a plan says in the terminal: 80 columns, no colour, the day's work first."""

import dataclasses
import datetime

import pytest

from stillroom.errors import Problem
from stillroom.household.examples import FRIDAY, tiny_household
from stillroom.household.plan import ObjectiveResult, Plan, periods
from stillroom.household.results.bottlenecks import WouldHelp
from stillroom.household.results.rows import is_filled
from stillroom.household.results.tables import tables
from stillroom.reports.print.document import Points
from stillroom.reports.print.plan import plan_paper
from stillroom.reports.terminal.lists import plain_text
from stillroom.reports.terminal.plan import (
    cautions,
    check_page,
    check_text,
    plan_page,
    quality_lines,
    surplus,
    to_buy,
    warnings,
    winter_list,
)

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


def test_today_comes_first_then_what_to_buy_and_what_is_short_then_the_weeks(found):
    """A tired cook reads the first lines only."""
    text = page(found, end=["Saved in kitchen.xlsx."])
    assert text.splitlines()[0] == "TODAY  Friday, August 14, 2026"
    words = ("TODAY", "TOMORROW", "TO BUY", "WINTER LIST", "LATER WEEKS", "Surplus to feed", "Saved in")
    places = [text.index(word) for word in words]
    assert places == sorted(places)


def test_a_day_in_full_shows_how_many_of_what_in_how_many_loads(found):
    """14 quarts of 46 lb in two loads: 14 x 6 min + 2 x 30 min = 2.4 hands-on hours, a cook's 2½."""
    lines = page(found).splitlines()
    assert lines[1].split("  ")[-1].strip() == "2½ h"
    assert lines[1].startswith("    14  juice")
    assert "46 lb tomato (2 loads)" in lines[1]
    assert lines[2] == "  Hands-on 2½ h of 4 h. Stove 1 h of 2 h."


def test_a_day_without_work_is_shown(found):
    """Rest is news too."""
    found["Plan"] = [row for row in found["Plan"] if row["Day"] != FRIDAY]
    assert page(found).splitlines()[1] == "  Nothing to put up."


def test_a_plan_that_begins_another_day_does_not_call_it_today(found):
    """The first day was typed and is not the clock's."""
    text = page(found, today=datetime.date(2026, 7, 1))
    assert text.startswith("FIRST DAY  Friday, August 14, 2026")
    assert "NEXT DAY" in text
    assert "TODAY" not in text


def test_a_week_is_rough_and_its_fractions_are_rounded(found):
    """4.4 bags are 4; of a third of one there is no line."""
    week = next(line for line in page(found).splitlines() if line.startswith("week of Aug 16"))
    assert week.split("  ") == ["week of Aug 16", "4 dried tomato"]


def test_weeks_without_work_are_left_out(found):
    """Eight lines of nothing help nobody."""
    found["Plan"] = [row for row in found["Plan"] if row["Days"] == 1]
    assert "LATER WEEKS" not in page(found)


def test_a_plan_without_a_harvest_is_one_sentence(found):
    """A new workbook had seven days of nothing, 25 lines of 0% and a table of zeros."""
    found["Plan"] = []
    for row in found["Crop use"]:
        row["Harvested"] = 0
    assert page(found) == "Nothing to put up until a harvest is entered in Harvest."


def test_the_other_single_days_are_a_table_by_day():
    """Ten single days: the third to the tenth, with the days that have nothing."""
    home = tiny_household()
    kitchen = dataclasses.replace(home.kitchen, days_planned_singly=4, weeks_after_that=0)
    home = dataclasses.replace(home, kitchen=kitchen, plan_lines=())
    plan = Plan(periods(kitchen), make={("juice", 2): 7.0}, loads={("juice", 2): 1.0})
    lines = page(tables(home, plan)).splitlines()
    place = lines.index("THIS WEEK")
    assert lines[place + 1] == "Sun Aug 16       7  juice                       23 lb tomato"
    assert lines[place + 2] == "Mon Aug 17          nothing planned"
    assert "LATER WEEKS" not in "\n".join(lines)


def test_the_winter_list_shows_what_falls_short_musts_first(found):
    """Juice 16 of 20 must; dried goods 4.4 of 6, soup and cabbage should and nice."""
    lines = plain_text(winter_list(found)).splitlines()
    assert lines[0] == "WINTER LIST  0 of 4 targets filled"
    assert lines[1].split() == ["79%", "tomato", "juice,", "must", "4", "quarts", "short", "of", "20"]
    assert [line[10:38].split(",")[0].strip() for line in lines[1:5]] == [
        "tomato juice",
        "soup",
        "dried goods",
        "cabbage",
    ]


def test_targets_that_are_filled_are_only_named(found):
    """And what they would have cost; 99.9% counts as filled, as in the count of plan-all."""
    rows = [
        {"Target": "juice", "Wanted": 7, "Covered": 1, "Short": 0, "Saves": 24.5, "Importance": 1},
        {"Target": "salsa", "Wanted": 35, "Covered": 0.9987, "Short": 0.044, "Saves": None, "Importance": 1},
    ]
    assert all(map(is_filled, rows))
    assert plain_text(winter_list({"Coverage": rows})).splitlines() == [
        "WINTER LIST  2 of 2 targets filled",
        "  Filled: juice; salsa.",
        "  The planned food would cost $24.50 at the store.",
    ]


def test_surplus_is_in_its_own_sentence_and_left_out_when_there_is_none(found):
    """3 kg are 6.6 lb, a cook's 6½."""
    assert "Surplus to feed, compost or give away: 6½ lb tomato." in plain_text(surplus(found))
    for row in found["Crop use"]:
        row["Surplus"] = 0
    assert "Surplus" not in plain_text(surplus(found))


def test_the_shopping_is_by_day_with_its_total(found):
    """Two jars at 1.50 and half a litre of lemon juice at 4."""
    lines = plain_text(to_buy(found, None)).splitlines()
    assert lines[0] == "TO BUY"
    assert [line.split() for line in lines[1:3]] == [
        ["0.5", "L", "lemon", "juice", "by", "Fri", "Aug", "14", "$2.00"],
        ["2", "quart", "jars", "by", "Fri", "Aug", "14", "$3.00"],
    ]
    assert lines[3] == "  Total $5.00."
    assert plain_text(to_buy({"Shopping": []}, None)) == "TO BUY\n  Nothing."


def test_what_is_left_of_the_spending_limit_is_shown_with_what_the_limit_costs(found):
    """$60 less the $22.50 that was spent and the $5 of the list; with less than $10 left, bottlenecks has the cost."""
    kitchen = dataclasses.replace(tiny_household().kitchen, spending_limit=60.0, already_spent=22.5)
    spent = "Spending limit $60.00, $22.50 already spent,"
    words = " ".join(plain_text(to_buy(found, kitchen)).split())
    assert words.endswith(f"Total $5.00. {spent} $32.50 left after this: it takes nothing from the winter list.")
    assert f"Nothing. {spent} $37.50 left" in plain_text(to_buy({"Shopping": []}, kitchen))
    tight = dataclasses.replace(kitchen, spending_limit=28.0)
    more = WouldHelp(FRIDAY, "", (("a dozen lids", "9 pints salsa"),), "3 pints salsa")
    for helps, end in (
        (None, "What it takes from the winter list: stillroom bottlenecks k.xlsx --write"),
        (more, "$0.50 left after this: with $10.00 more, 3 pints salsa."),
        (dataclasses.replace(more, money=""), "$0.50 left after this: it takes nothing from the winter list."),
    ):
        assert " ".join(plain_text(to_buy(found, tight, helps, "k.xlsx")).split()).endswith(end)
    free = dataclasses.replace(kitchen, spending_limit=float("inf"))
    assert plain_text(to_buy(found, free)).splitlines()[3:] == ["  Total $5.00."]


def test_what_would_help_most_follows_what_is_short(found):
    """One line for each; those of an older plan are dated, and how to ask is shown with the workbook's name."""
    helps = WouldHelp(FRIDAY, "", (("a dozen lids", "9 pints salsa"),))
    text = page(found, helps=helps, name="my k.xlsx", end=["Saved."])
    assert "WHAT WOULD HELP MOST  what one more would add\n  a dozen lids: 9 pints salsa\n" in text
    assert text.index("WINTER LIST") < text.index("WHAT WOULD") < text.index("Surplus to feed")
    older = page(found, helps=dataclasses.replace(helps, current=False), name="my k.xlsx")
    assert "asked for the plan of Fri Aug 14\n  a dozen lids: 9 pints salsa\n  To ask again: stillroom" in older
    assert 'To see what would help most: stillroom bottlenecks "my k.xlsx" --write' in page(found, name="my k.xlsx")
    for row in found["Coverage"]:
        row["Wanted"] = 0
    assert "WOULD HELP" not in page(found, helps=helps)


def test_the_printed_plan_answers_in_the_same_order(found):
    """Today, tomorrow, to buy, what is short, what helps, surplus; lines of the page in the hand."""
    helps = WouldHelp(FRIDAY, "", (("a dozen lids", "9 pints salsa"),))
    paper = plan_paper("kitchen", found, FRIDAY, tiny_household().kitchen, helps)
    shown = {
        one.heading: [item[0] for block in one.blocks if isinstance(block, Points) for item in block.items]
        for one in paper.sections
    }
    assert list(shown) == ["Today", "Tomorrow", "To buy", "What will be short", "What would help most", "Surplus"]
    assert shown["Today"] == ["14 juice"]
    assert shown["To buy"][1] == "2 quart jars by Fri Aug 14"
    assert shown["What will be short"][0].startswith("tomato juice: 4 quarts short of 20")
    assert shown["What would help most"] == ["a dozen lids: 9 pints salsa"]


def test_warnings_have_their_place_at_the_end_and_notes_are_counted():
    """Cautions have their source."""
    rows = [
        {"Severity": "Warning", "Where": "Harvest!B4", "What": "a lot is too old", "What to do": "sort it"},
        {"Severity": "Note", "Where": "Plan!A1", "What": "fine", "What to do": None},
        {"Severity": "Caution", "Where": "AIB 539 (1994)", "What": "Adjust for altitude.", "What to do": None},
    ]
    assert plain_text(warnings({"Messages": rows})).splitlines() == [
        "WARNINGS",
        "  -  A lot is too old. Sort it. (Harvest, cell B4)",
        "  1 more note in the Messages table.",
    ]
    assert plain_text(cautions({"Messages": rows})).splitlines() == [
        "CAUTIONS  the current published guide and your extension service come first",
        "  -  Adjust for altitude. (AIB 539 (1994))",
    ]


def test_many_warnings_with_one_remedy_do_not_hide_the_others():
    """Three are shown and the rest counted."""
    rows = [{"Severity": "Warning", "Where": f"A{n}", "What": "own recipe", "What to do": "ask"} for n in range(9)]
    rows.append({"Severity": "Warning", "Where": "B1", "What": "too old", "What to do": "sort"})
    lines = plain_text(warnings({"Messages": rows})).splitlines()
    assert len(lines) == 6
    assert lines[4] == "  -  6 more like it in the Messages table."
    assert lines[5] == "  -  Too old. Sort. (B1)"


OBJECTIVES = (
    ObjectiveResult("target", 4.0, "points", 4.0, proved=True, seconds=0.4, importance=1),
    ObjectiveResult("surplus", 12.5, "kg", 12.0, proved=False, seconds=3.21),
)


def test_how_the_plan_was_computed_is_shown_only_with_details(found):
    """A weighted sum has no unit of weight: the true surplus is 6.6 lb."""
    assert "OBJECTIVES" not in page(found, objectives=OBJECTIVES)
    lines = page(found, objectives=OBJECTIVES, details=["Planned in 3.6 s."]).splitlines()
    place = lines.index("OBJECTIVES  in priority order")
    assert lines[place + 2].split() == ["targets", "1", "4", "points", "4", "proved", "0.4"]
    assert lines[place + 3].split() == ["surplus", "12.5", "weighted", "sum", "12", "4%", "3.2"]
    assert lines[place + 4].startswith("  In all: surplus 6½ lb; hands-on ")
    assert "Planned in 3.6 s." in lines


def test_a_plan_that_could_be_better_is_named_in_one_line(found):
    """4% away; nothing where everything is proved."""
    assert "This plan is within 4% of the best possible." in page(found, objectives=OBJECTIVES)
    assert "best possible" not in page(found, objectives=OBJECTIVES[:1])
    unbounded = (ObjectiveResult("money", 0.3, "money", 0.0, proved=False),)
    assert quality_lines(unbounded) == ["A better plan may be possible. To search longer, plan again with more time."]


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
    text = plain_text(plan_page(found | {"Coverage": targets}, FRIDAY, objectives=objectives, details=()), 60)
    lines = [line.split() for line in text.splitlines()]
    assert max(map(len, text.splitlines())) <= 60
    assert ["92%", "salsa,", "should", "3", "short", "of", "35"] in lines
    assert ["0%", "ketchup,", "nice", "14", "short", "of", "14"] in lines
    assert ["objective", "value", "bound", "gap"] in lines
    assert ["fixed", "lines", "1,366.04", "containers", "1,365.88", "proved"] in lines
    assert any(line[-4:-1] == ["Fri", "Aug", "14"] for line in lines), text


def test_square_brackets_in_a_name_are_only_brackets(found):
    """They mean nothing to the household."""
    found["Plan"][0]["Preserve"] = "juice [bold]"
    assert "juice [bold]" in page(found)


def test_what_was_written_is_the_last_line(found):
    """The receipt."""
    assert page(found, end=["Saved in kitchen.xlsx."]).splitlines()[-1] == "Saved in kitchen.xlsx."


# ---------------------------------------------------------------- check

PROBLEMS = (
    Problem("Harvest!C5", "blank text", field="Amount"),
    Problem("Harvest!A9", "hidden rows", ("9", "Harvest")),
)


def test_check_shows_errors_first_with_cell_and_remedy():
    """On a terminal."""
    assert plain_text(check_page(PROBLEMS, "kitchen.xlsx")).splitlines() == [
        "FIX THIS FIRST",
        "  Amount is blank. Fill it in, or clear the whole row. (Harvest, cell C5)",
        "",
        "NOTES",
        "  The table Harvest has hidden rows (9), and they are used too. Clear them if",
        "  you do not want them. (Harvest, cell A9)",
        "",
        "Fix the errors above, then run: stillroom plan",
    ]


def test_check_into_a_pipe_has_a_line_a_problem():
    """However long."""
    assert check_text(PROBLEMS, "kitchen.xlsx").splitlines() == [
        "Error: Amount is blank. Fill it in, or clear the whole row. (Harvest, cell C5)",
        (
            "Note: The table Harvest has hidden rows (9), and they are used too. "
            "Clear them if you do not want them. (Harvest, cell A9)"
        ),
        "Fix the errors above, then run: stillroom plan",
    ]
    assert check_text((), "kitchen.xlsx") == "No errors. Next: stillroom plan kitchen.xlsx"
