"""Every filled column of an input table is read, is the household's own, or is named with the column it may be."""

import pytest
from openpyxl.utils import get_column_letter
from tests.workbook.reader.making import FRIDAY, opened, sound

from stillroom.reports.problems import line
from stillroom.workbook.reader import household as read
from stillroom.workbook.reader.headings import READ_FROM_PLAN
from stillroom.workbook.reader.tables import read_tables
from stillroom.workbook.schema import tables

BY_KIND = {"text": "words", "number": 2, "whole": 2, "amount": 2, "date": FRIDAY, "yes_no": "no", "can_buy": 5}
BY_HEADING = {
    "Unit": "lb",
    "Freezer space per weight": 1.5,
    "Space each": 2,
    "Kept in": "freezer",
    "Handbook line": None,
}
ROWS = {
    "Record": {"Date": FRIDAY, "Preserve": "corn, frozen", "Made": 4, "What happened": "made"},
    "Plan": {"Day": FRIDAY, "Preserve": "corn, frozen", "Make": 4, "Keep at": 4},
}
READ = [
    (table.name, column.heading)
    for table in read_tables()
    for column in table.columns
    if column.field != "note" and not column.asked and (table.name != "Plan" or column.field in READ_FROM_PLAN)
]
"""Every column that is read; one that is only there when it is asked for may be missing."""


def filled():
    """The sound household with something in every column of every table that is read."""
    content = sound()
    for name, row in ROWS.items():
        content[name] = [dict(row)]
    for table in read_tables():
        for column in table.columns:
            if not any(row.get(column.heading) is not None for row in content[table.name]):
                value = BY_HEADING.get(column.heading) or BY_KIND.get(column.kind) or "words"
                content[table.name][0][column.heading] = value
    return content


def renaming(table, heading, now):
    """Give one heading of a table another name."""

    def change(book):
        number = [column.heading for column in tables()[table].columns].index(heading)
        book[table].cell(3, number + 2, now)
        book[table].tables[table.replace(" ", "_")].tableColumns[number].name = now

    return change


@pytest.mark.parametrize(
    ("now", "said"),
    [("Keep sdays", ['"Keep sdays" is read as Keeps days']), ("KEEPS  DAYS", []), ("keeps_days", [])],
)
def test_a_heading_with_its_spaces_elsewhere_is_read_and_noted(tmp_path, now, said):
    _, problems = read.household(opened(tmp_path, sound(), change=renaming("Crops", "Keeps days", now)), FRIDAY)
    lines = [line(one) for one in problems if one.kind == "heading read as"]
    assert [words in one for words, one in zip(said, lines, strict=True)] == [True] * len(said)
    assert not any(one.is_error for one in problems)


def told(tmp_path, content, change=None):
    """Every problem that has to do with headings."""
    _, problems = read.household(opened(tmp_path, content, change=change), FRIDAY)
    return [one for one in problems if one.kind.startswith("column")]


def test_the_filled_workbook_has_every_column_and_nothing_to_tell_of_them(tmp_path):
    assert told(tmp_path, filled()) == []


@pytest.mark.parametrize(("table", "heading"), READ)
def test_a_renamed_heading_is_named_with_the_column_that_is_missing(tmp_path, table, heading):
    """A filled column under an unfamiliar heading was taken as the household's own, and the blank one was planned."""
    [problem] = told(tmp_path, filled(), renaming(table, heading, "Zigzag"))
    number = tables()[table].headings.index(heading)
    assert problem.where == f"{table}!{get_column_letter(number + 2)}3"
    assert '"Zigzag"' in line(problem)
    assert f"Is it {heading}?" in line(problem)


@pytest.mark.parametrize(
    ("table", "heading", "now", "stops"),
    [
        ("Preserves", "Include", "Making", True),
        ("Counts toward", "Each counts", "Portions", True),
        ("Crops", "Bushel weighs", "Heavy", True),
        ("Shelf", "Where", "Corner", False),
    ],
)
def test_it_stops_the_plan_where_the_blank_column_would_plan_otherwise(tmp_path, table, heading, now, stops):
    [problem] = told(tmp_path, filled(), renaming(table, heading, now))
    assert (problem.stops, problem.severe) == (stops, not stops)


def test_a_column_that_only_has_what_a_blank_one_means_is_a_warning(tmp_path):
    content = sound()
    for row in content["Counts toward"]:
        row["Each counts"] = 1
    [problem] = told(tmp_path, content, renaming("Counts toward", "Each counts", "Portions"))
    assert problem.severe
    assert line(problem) == (
        'Counts toward!D3: The column "Portions" of Counts toward is not read, and Each counts is missing. '
        "Is it Each counts? Then rename it; if not, add a column headed Each counts."
    )


def test_a_column_of_another_kind_is_the_households_own(tmp_path):
    content = sound()
    for row in content["Counts toward"]:
        row["Each counts"] = "the red ones"
    assert told(tmp_path, content, renaming("Counts toward", "Each counts", "Marks")) == []


def test_own_columns_are_nothing_to_tell_while_none_of_ours_is_missing(tmp_path):
    content = filled()
    for row in content["Preserves"]:
        row["Our color"], row["Stars"] = "red", 3
    assert told(tmp_path, content) == []


def test_of_several_own_columns_the_one_in_the_place_of_the_missing_one_is_named(tmp_path):
    content = filled()
    for row in content["Preserves"]:
        row["Ours"] = "no"
    [problem] = told(tmp_path, content, renaming("Preserves", "Include", "Make it"))
    assert problem.where == "Preserves!C3"


def test_a_households_own_table_may_have_words_of_its_own_and_lack_columns(tmp_path):
    """A table of crops that was there before has a bed for each, and no Handbook food."""
    content = sound()
    for row in content["Crops"]:
        row["Bed"], row["Rows"] = "south", 3

    def change(book):
        sheet = book["Crops"]
        for column in (3, 5, 7, 9, 11):  # Handbook food, Bushel weighs, Eaten fresh each week ...
            for row in range(3, 7):
                sheet.cell(row, column).value = None
            heading = f"Empty {column}"
            sheet.cell(3, column, heading)
            sheet.tables["Crops"].tableColumns[column - 2].name = heading

    assert [(one.severe, one.names) for one in told(tmp_path, content, change)] == [(True, ("Crops", "Rows"))]


def test_a_blank_column_under_an_unfamiliar_heading_is_nothing_to_tell(tmp_path):
    content = sound()
    assert told(tmp_path, content, renaming("Shelf", "Best by", "Zigzag")) == []
