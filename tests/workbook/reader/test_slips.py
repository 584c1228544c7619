"""A sample of the slips of `tests/bench.py slips`: each that can be told is named, and none ends in a traceback."""

from __future__ import annotations

import pytest
from tests.benches import slips
from tests.samples import count
from tests.workbook.reader.making import FRIDAY, opened, place, sound

from stillroom.app.plan import read_book
from stillroom.reports.problems import line
from stillroom.workbook.reader import household as read

SOURCES = ("workbook_templates/starting_us.xlsx", "demo/jar_shortage.xlsx")
COUNT = count(75, 150)


def test_a_sample_of_slips_is_named():
    among = slips.kitchens(SOURCES, 1)
    found = [slips.outcome(number, among) for number in range(COUNT)]
    assert [(number, judged, what) for number, judged, what, _ in found if judged not in slips.GOOD] == []


def test_the_bench_would_notice_what_is_passed_over():
    """A slip that nothing names is silent, and what was printed before it names nothing."""
    slip = slips.Slip("a slip", True, "Crops", {(5, 3): "x"})
    elsewhere = "Error: Keeps days is blank. (Crops, cells C6:C9)"
    there = "Error: Keeps days is blank. (Crops, cells C4:C9, E3)"
    assert slips.judged(slip, (), [elsewhere], ()) == slips.judged(slip, [there], [there], ()) == "silent"
    assert slips.judged(slip, (), [there], ()) == "named"
    assert slips.judged(slip, (), [elsewhere] * 25, ()) == "too many lines"


@pytest.mark.parametrize(
    ("table", "heading", "slip", "said"),
    [
        ("Containers", "On hand", "6x4", 'In On hand, "6x4" may be 24 or 64. Type the one you mean.'),
        ("Containers", "Holds", 20_000, "Holds cannot be 20,000 quarts. Type a number from 0.001 to 1,056 quarts."),
        (
            "Crops",
            "Handbook food",
            "brocoli",
            "The Handbook food of sweet corn is brocoli, which the plan reads as broccoli.",
        ),
    ],
)
def test_a_slip_that_could_be_read_is_named_at_its_cell(tmp_path, table, heading, slip, said):
    content = sound()
    content[table][1][heading] = slip
    found = [one for one in told(tmp_path, content) if one.startswith(f"{place(table, 1, heading)}: ")]
    assert any(said in one for one in found)


def told(tmp_path, content):
    """The lines of everything that is found in a household."""
    return [line(one) for one in read_book(opened(tmp_path, content), FRIDAY).problems]


def test_a_name_misspelt_where_it_is_given_and_named_once_is_told_with_both_cells(tmp_path):
    content = sound()
    content["Lids"][1]["Lid"] = "regular lidd"
    _, problems = read.household(opened(tmp_path, content), FRIDAY)
    [only] = [line(one) for one in problems if one.is_error]
    where = place("Containers", 1, "Lid")
    assert only == f'{where}: No lid is called "regular lid". Did you mean regular lidd ({place("Lids", 1, "Lid")})?'


def test_a_name_of_a_table_that_nothing_else_names_is_suggested_only_when_it_is_alike(tmp_path):
    content = sound()
    del content["Lids"][1]
    content["Lids"][0]["Lid"] = "tin"
    del content["Containers"][1]["Lid"]
    _, problems = read.household(opened(tmp_path, content), FRIDAY)
    [only] = [line(one) for one in problems if one.is_error]
    assert "Did you mean" not in only


def test_a_misspelt_name_of_the_only_row_that_is_named_is_one_error(tmp_path):
    content = sound()
    content["Lids"] = [{**content["Lids"][0], "Lid": "wide lidd"}]
    content["Containers"][1]["Lid"] = "wide lid"
    _, problems = read.household(opened(tmp_path, content), FRIDAY)
    [only] = [line(one) for one in problems if one.is_error]
    assert only.startswith(f"{place('Lids', 0, 'Lid')}: Nothing names the lid wide lidd, and several cells name")


@pytest.mark.parametrize(
    ("table", "row", "heading", "value"),
    [("Hours", 0, "Mon", 400), ("Equipment", 0, "Load", 9000), ("Winter list", 0, "Wanted", 400_000), ("Ingredients", 0, "Amount each", 0)],
)  # fmt: skip
def test_a_figure_that_no_kitchen_has_is_noted_at_its_cell(tmp_path, table, row, heading, value):
    content = sound()
    content[table][row][heading] = value
    if table == "Winter list":
        content[table][row]["At most"] = None
    found = [one for one in told(tmp_path, content) if one.startswith(f"{place(table, row, heading)}: ")]
    assert any("usual" in one for one in found), found


def test_two_rows_for_one_load_unit_are_noted(tmp_path):
    content = sound()
    content["Equipment"].append({"Equipment": "canner", "Load": 6, "Load unit": "Quart jars"})
    where = place("Equipment", 4, "Load unit")
    assert f"{where}: Canner has two rows for Quart jars. Delete one of them." in told(tmp_path, content)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("tomaato", "The Handbook food of plum tomato is tomaato, which the plan reads as tomato."),
        (0.5, "The Handbook food of plum tomato is 0.5, which the handbook does not list."),
        ("moonstone", "The Handbook food of plum tomato is moonstone, which the handbook does not list."),
    ],
)
def test_a_food_that_no_list_has_is_told_at_its_own_cell(tmp_path, typed, words):
    """Also where nothing is canned from it; a canned line has its own error there."""
    content = sound()
    content["Crops"][0]["Handbook food"] = typed
    for row in content["Preserves"]:
        row["Include"] = "no"
    found = told(tmp_path, content)
    assert any(one.startswith(f"{place('Crops', 0, 'Handbook food')}: {words}") for one in found), found


def test_what_the_handbook_finds_is_told_at_the_cell_it_is_about(tmp_path):
    content = sound()
    content["Preserves"][0]["Handbook line"] = "tomato juce"
    where = place("Preserves", 0, "Handbook line")
    assert any(
        one.startswith(f"{where}: Tomato juice, quart: the handbook has no line") for one in told(tmp_path, content)
    )


@pytest.mark.parametrize("table", ["Crops", "Containers", "Equipment", "Winter list", "Preserves", "Pantry"])
def test_a_date_where_a_row_is_named_is_an_error(tmp_path, table):
    content = sound()
    heading = next(iter(content[table][0]))
    content[table].append(dict(content[table][0]) | {heading: FRIDAY})
    where = place(table, len(content[table]) - 1, heading)
    assert f"{where}: {heading} is a date, Aug 14, 2026. Type a name." in told(tmp_path, content)


def test_of_two_unknown_columns_the_one_whose_cells_differ_may_name_the_rows(tmp_path):
    """The column of the names is in another place than usual, so that its neighbors do not tell."""

    def change(book):
        sheet, columns = book["Crops"], book["Crops"].tables["Crops"].tableColumns
        for row in range(3, 10):
            sheet.cell(row, 2).value, sheet.cell(row, 3).value = sheet.cell(row, 3).value, sheet.cell(row, 2).value
        sheet.cell(3, 3).value = "12"
        columns[0].name, columns[1].name = "Handbook food", "12"

    content = sound()
    for number, row in enumerate(content["Crops"]):
        row["Our crop stars"] = "*" * (number % 2 + 1)
    _, problems = read.household(opened(tmp_path, content, change=change), FRIDAY)
    [only] = [line(one) for one in problems if one.kind == "column not known"]
    assert only.startswith('Crops!C3: The column "12" of Crops is not known, and Crop is missing.')
