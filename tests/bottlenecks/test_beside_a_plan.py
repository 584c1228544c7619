"""The tables Limits and Suppose beside a plan: filled when asked, emptied when out of date, never stale."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.table import Table
from tests.small_kitchen import FRIDAY

from stillroom.app.plan import read_workbook
from stillroom.app.questions.bottlenecks import NOT_YET, why_json
from stillroom.app.questions.suppose import CUT_SHORT
from stillroom.app.write_plan import Planned, plan_workbook
from stillroom.household.results.bottlenecks import PAST_NOTE, past_in
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.plan import notes_in


def planned(path: Path, *, bottlenecks: bool = False, seconds: float | None = None) -> Planned:
    """Plan a workbook."""
    return plan_workbook(read_workbook(path, FRIDAY), time_limit_seconds=seconds, with_bottlenecks=bottlenecks)


def with_cases(path: Path, *rows: tuple[str | None, ...], answers: bool = True) -> None:
    """Put a table Suppose into a workbook."""
    book = load_workbook(path)
    if "ideas" in book.sheetnames:
        del book["ideas"]
    sheet = book.create_sheet("ideas")
    headings = ("Case", "Change", "Would give")[: 3 if answers else 2]
    for row in (headings, *rows):
        sheet.append(row[: len(headings)])
    sheet.add_table(Table(displayName="Suppose", ref=f"A1:{'C' if answers else 'B'}{1 + len(rows)}"))
    book.save(path)


def answers_in(path: Path) -> list[object]:
    """The third column of the table Suppose."""
    return [row[2].value for row in load_workbook(path)["ideas"].iter_rows(min_row=2)]


def bottlenecks_in(path: Path) -> list[object]:
    """The first column of the table Limits."""
    return [row[0].value for row in load_workbook(path)["Bottlenecks"].iter_rows(min_row=6) if row[0].value is not None]


def past_of(path: Path) -> list[tuple[str, float, str]]:
    """What is kept for the review of the plan of the day."""
    return [(one.name, one.containers, one.one_more) for one in past_in(notes_in(Book.open(path))[PAST_NOTE])]


def change_lids(path: Path, count: int) -> None:
    """Have another number of lids on hand."""
    book = load_workbook(path)
    sheet = next(sheet for sheet in book if "Lids" in sheet.tables)
    area = sheet.tables["Lids"].ref
    heading = next(cell for cell in sheet[area][0] if cell.value == "On hand")
    sheet.cell(heading.row + 1, heading.column).value = count
    book.save(path)


def test_a_plan_without_the_tables_adds_neither(kitchen: Path) -> None:
    planned(kitchen)
    assert not {"Bottlenecks", "Suppose"} & set(load_workbook(kitchen).sheetnames)


def test_a_plan_with_limits_fills_the_table_and_the_next_plan_of_other_inputs_empties_it(kitchen: Path) -> None:
    helps = planned(kitchen, bottlenecks=True).would_help
    assert helps is not None
    assert helps.lines == (("a dozen lids", "9 quarts juice"),)
    assert bottlenecks_in(kitchen) == ["lids"]
    assert past_of(kitchen) == [("lid", 9, ""), ("lid", 9, "a dozen lids")]
    again = planned(kitchen)
    assert again.unchanged
    assert again.would_help == helps
    assert bottlenecks_in(kitchen) == ["lids"]
    change_lids(kitchen, 6)
    other = planned(kitchen)
    told = other.why
    assert other.would_help == replace(helps, current=False), "the last ones are shown, as those of an older plan"
    assert bottlenecks_in(kitchen) == [f"{NOT_YET} bottlenecks --write"]
    assert any("The Bottlenecks table was for an older plan" in line for line in told)
    change_lids(kitchen, 7)
    assert not any("Bottlenecks" in line for line in planned(kitchen).why)


def test_a_plan_answers_each_case_in_its_first_row(kitchen: Path) -> None:
    """5 lids of 14 wanted: 4 more give 4 quarts, 8 meals; no juice loses the 5."""
    with_cases(
        kitchen,
        ("more lids", "lids +4"),
        (None, "hands Sun 0"),
        ("none", "no juice"),
        ("odd", "botled lemon juice +1 cup"),
    )
    planned(kitchen)
    first, second, third, fourth = answers_in(kitchen)
    assert str(first).startswith("4 quarts juice (8 meals)")
    assert second is None
    assert str(third).startswith("5 quarts juice (10 meals) less")
    assert "did you mean" in str(fourth)
    assert planned(kitchen).unchanged


def test_another_case_is_planned_though_nothing_else_has_changed(kitchen: Path) -> None:
    with_cases(kitchen, ("more lids", "lids +4"))
    planned(kitchen)
    with_cases(kitchen, ("more lids", "lids +2", "4 quarts juice (8 meals)"))
    assert not planned(kitchen).unchanged
    assert str(answers_in(kitchen)[0]).startswith("2 quarts juice (4 meals)")


def test_a_case_that_the_published_tables_refuse_is_answered_with_the_reason(kitchen: Path) -> None:
    with_cases(kitchen, ("high up", "altitude 12000 ft"))
    planned(kitchen)
    assert str(answers_in(kitchen)[0]).startswith("cannot be planned: ")


def test_a_table_without_room_for_answers_costs_a_plan_nothing(kitchen: Path) -> None:
    with_cases(kitchen, ("more lids", "lids +4"), answers=False)
    planned(kitchen)
    assert [cell.value for cell in load_workbook(kitchen)["ideas"][2]] == ["more lids", "lids +4"]


def test_a_plan_with_a_time_limit_plans_no_cases_and_says_so(kitchen: Path) -> None:
    with_cases(kitchen, ("more lids", "lids +4", "an old answer"))
    planned(kitchen, seconds=60.0)
    assert answers_in(kitchen) == [CUT_SHORT]


def test_why_as_json_says_what_the_sentences_say(kitchen: Path) -> None:
    found = json.loads(why_json(kitchen, "juice", FRIDAY, lambda _: None))
    assert found["target"] == {
        "target": "juice",
        "unit": "quart",
        "wanted": 14,
        "filled": pytest.approx(5, abs=0.01),
        "could": pytest.approx(9, abs=0.01),
        "bottlenecks": ["lids"],
    }
    assert found["preserve"] is None
    assert found["messages"][0] == "juice is short by 9 quarts (18 meals)."
    preserve = json.loads(why_json(kitchen, "tomato juice, quart", FRIDAY, lambda _: None))["preserve"]
    assert preserve["made"] == pytest.approx(5, abs=0.01)
    assert (preserve["possible"], preserve["gain"], preserve["bottlenecks"]) == (False, None, ["lids"])
