"""The one way through, on plans that were really solved: what the tables say holds together."""

import inspect
import math

import pytest
from tests import worked_examples as examples

from stillroom.app.plan import in_order_of_place, mark_of
from stillroom.errors import Problem
from stillroom.household.examples import tiny_household
from stillroom.household.results.tables import tables
from stillroom.planning.solve import plan
from stillroom.reports.problems import sentences

HOUSEHOLDS = {
    name: make
    for name, make in inspect.getmembers(examples, inspect.isfunction)
    if make.__module__ == examples.__name__
    and str(inspect.signature(make).return_annotation) == "Household"
    and name != "home"
    and all(one.default is not one.empty for one in inspect.signature(make).parameters.values())
} | {"tiny_household": tiny_household}


@pytest.fixture(scope="module", params=sorted(HOUSEHOLDS))
def solved(request):
    """A small household, its plan and its tables."""
    household = HOUSEHOLDS[request.param]()
    found = plan(household)
    return household, found, tables(household, found)


def test_there_are_households_to_try():
    """The list is taken from the examples; it must not run dry unseen."""
    assert len(HOUSEHOLDS) >= 8


def test_every_crop_adds_up(solved):
    """Harvested = eaten + put up + trimmings + held frozen + still fresh + fed, to a tenth of a pound."""
    for row in solved[2]["Crop use"]:
        parts = ("Eaten fresh", "Put up", "Trimmings", "Held frozen", "Still fresh", "Surplus")
        assert row["Harvested"] == pytest.approx(sum(row[part] for part in parts), abs=0.05), row["Crop"]


def test_nothing_is_used_that_is_not_there(solved):
    """Hours, freezer and jars left are never below nought."""
    for row in solved[2]["Space"]:
        for heading in ("Freezer left", "Hands-on left", "Stove left", "Quart jars left", "Pint jars left"):
            assert row[heading] is None or row[heading] >= -1e-3, (row["Period"], heading)


def test_coverage_agrees_with_how_far_the_plan_says_the_needs_are_filled(solved):
    """The bands of a need together are what is covered of it, at most what is wanted."""
    household, found, said = solved
    for target, row in zip(household.targets, said["Coverage"], strict=True):
        filled = sum(amount for (name, _), amount in found.bands.items() if name == target.name)
        assert row["Covered"] * target.wanted == pytest.approx(filled, abs=2e-2), target.name


def test_what_is_bought_costs_what_the_money_aim_says(solved):
    """But for larder rounded up to whole measures."""
    _, found, said = solved
    money = next((objective.value for objective in found.objectives if objective.name == "money"), 0.0)
    cost = sum(row["Cost"] or 0.0 for row in said["Shopping"])
    pantry = sum(1 for name, amount in found.buy_items.items() if amount > 1e-6)
    if pantry == 0:
        assert cost == pytest.approx(money, abs=0.02)
    else:
        assert cost >= money - 0.02
    assert all(
        not isinstance(value, float) or math.isfinite(value)
        for rows in said.values()
        for row in rows
        for value in row.values()
    )


def test_every_line_of_the_plan_is_a_row(solved):
    """
    As many rows as there are makes, freezings and thawings, besides the household's own lines.

    A twentieth of a container in a week rounds to nothing and gets no row.
    """
    household, found, said = solved
    weeks = {period.number for period in found.periods if not period.single}
    planned = sum(amount > (0.05 if number in weeks else 1e-6) for (_, number), amount in found.make.items())
    planned += sum(amount > 1e-6 for amounts in (found.freeze_kg, found.thaw_kg) for amount in amounts.values())
    assert planned <= len(said["Plan"]) <= planned + len(household.plan_lines)


def test_the_mark_knows_the_settings_of_a_command():
    """Another time limit is another plan."""
    household = tiny_household()
    assert mark_of(household, None) == mark_of(household, None)
    assert len({mark_of(household, limit) for limit in (None, 5.0, 6.0)}) == 3


def test_problems_stand_in_the_order_of_the_workbook_and_once():
    """Sheet by sheet in the workbook's order, down each sheet, then across."""
    places = ["On hand!AA3", "On hand!B3", "'Harvest'!C10", "Harvest!C9", "kitchen.xlsx"]
    problems = [Problem(where, "blank text") for where in places]
    found = in_order_of_place(problems * 2, ["Harvest", "On hand"])
    assert [problem.where for problem in found] == [
        "kitchen.xlsx", "Harvest!C9", "'Harvest'!C10", "On hand!B3", "On hand!AA3"
    ]  # fmt: skip


def test_a_protected_sheet_is_said_and_written_to_all_the_same(tmp_path):
    import datetime
    import zipfile
    from pathlib import Path

    from stillroom.app import plan as method
    from stillroom.workbook.ooxml.book import Book

    home = Path(__file__).resolve().parents[2] / "demo" / "freezer_against_canning.xlsx"
    book = Book.open(home)
    part = book.table("Plan").sheet_part
    path = tmp_path / "kept.xlsx"
    with zipfile.ZipFile(home) as old, zipfile.ZipFile(path, "w") as new:
        for member in old.namelist():
            content = old.read(member)
            if member == part:
                content = content.replace(b"</sheetData>", b'</sheetData><sheetProtection sheet="1"/>')
            new.writestr(member, content)
    reading = method.read_workbook(path, datetime.date(2026, 8, 1))
    said = [problem for problem in reading.problems if problem.kind == "sheet protected"]
    assert [problem.where.split("!")[0] for problem in said] == ["Plan"]
    assert not said[0].stops


@pytest.mark.parametrize(("setting", "typed"), [("altitude", 99_999), ("altitude", "high"), ("gauge", "both")])
def test_a_setting_that_cannot_be_read_is_not_called_blank_as_well(tmp_path, setting, typed):
    """Beside what is wrong with it stood that it is not given."""
    import datetime

    from openpyxl import load_workbook
    from tests.season.household import build

    from stillroom.app import plan as method

    path = build(tmp_path / "kitchen.xlsx")
    workbook = load_workbook(path)
    row = next(row for row in workbook["Kitchen"].iter_rows() if row[0].value == setting)
    row[1].value = typed
    workbook.save(path)
    stops = [problem for problem in method.read_workbook(path, datetime.date(2026, 7, 6)).problems if problem.is_error]
    assert [problem.where for problem in stops] == [f"Kitchen!{row[1].coordinate}"]


def test_hidden_rows_of_an_answer_are_said(tmp_path):
    """A filter hides rows of the shopping list; the next plan is written there, and nobody sees it."""
    import datetime
    import re
    import zipfile
    from pathlib import Path

    from stillroom.app import plan as method
    from stillroom.workbook.ooxml.book import Book

    home = Path(__file__).resolve().parents[2] / "demo" / "freezer_against_canning.xlsx"
    book = Book.open(home)
    shopping = book.table("Shopping")
    column = shopping.column("Item")
    for row in (shopping.first_row, shopping.first_row + 2):
        book.set(shopping.sheet, row, column, "lid")
    filled = tmp_path / "filled.xlsx"
    book.save(filled)
    path = tmp_path / "kept.xlsx"
    with zipfile.ZipFile(filled) as old, zipfile.ZipFile(path, "w") as new:
        for member in old.namelist():
            content = old.read(member)
            if member == shopping.sheet_part:
                for row in range(shopping.first_row, shopping.first_row + 4):
                    content = re.sub(rb'(<row r="%d")' % row, rb'\1 hidden="1"', content)
            new.writestr(member, content)
    day = datetime.date(2026, 8, 1)
    assert not [one for one in method.read_workbook(filled, day).problems if one.kind == "hidden rows of the plan"]
    said = [one for one in method.read_workbook(path, day).problems if one.kind == "hidden rows of the plan"]
    first, third = shopping.first_row, shopping.first_row + 2
    assert [f"{one.where}: {sentences(one)[0]}" for one in said] == [
        f"{shopping.sheet}!A{first}: A filter hides rows of Shopping ({first}, {third}), and the plan is written there too."
    ]
    assert not said[0].stops
