"""Moving in with filled tables: the rows of a starting workbook, as far as they fit beside what a household has."""

from __future__ import annotations

import datetime
from collections import defaultdict
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.table import Table, TableColumn
from tests.samples import every

from stillroom.app.plan import read_workbook
from stillroom.app.setup import adopt_workbook, adoption_of
from stillroom.cli import run
from stillroom.household.results.commands import Receipt
from stillroom.reports.problems import line
from stillroom.reports.terminal.lists import plain_text
from stillroom.reports.terminal.setup import adopt_page
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema import tables
from stillroom.workbook.starter import start
from stillroom.workbook.starter.first_rows import Filling, starting_contents
from stillroom.workbook.starter.layout import Formula

DAY = datetime.date(2026, 8, 14)
EVERY = starting_contents(altitude="1450ft", gauge="dial").rows
FILLING = Filling(people=3, altitude="1450ft", gauge="dial")
NAMED = {"Crop", "Container", "Lid", "Ingredient", "Preserve", "Target", "Item", "Equipment"}
CROPS = ["Bed", "Crop", "Keeps days", "Unit"]
RECEIPT = Receipt(Path("a.xlsx"), 3, (), (), 0, (), None)


def household_with(path, *blocks):
    """A workbook with tables of theirs, each (name, headings, rows) on a sheet of its own."""
    book = Workbook()
    book.active.title = "Hens"
    book.active["A1"] = "they lay well"
    for number, (name, headings, rows) in enumerate(blocks, 1):
        sheet = book.create_sheet(f"Our {name}")
        sheet.append(headings)
        for row in rows:
            sheet.append(row)
        table = Table(
            id=number,
            displayName=name.replace(" ", "_"),
            ref=f"A1:{sheet.cell(max(len(rows), 1) + 1, len(headings)).coordinate}",
        )
        table.tableColumns = [TableColumn(id=one, name=heading) for one, heading in enumerate(headings, 1)]
        sheet.add_table(table)
    book.save(path)
    return path


def theirs(name, *, renamed=lambda heading, value: value, rows=None):
    """One table of a starting workbook as if it were theirs; `renamed` may give its things other names."""
    headings = list(tables()[name].headings)
    cells = [
        [renamed(heading, entry.value if isinstance(entry, Formula) else entry) for heading, entry in
         ((heading, row.get(heading)) for heading in headings)]
        for row in (EVERY[name] if rows is None else rows)
    ]  # fmt: skip
    return name, headings, cells


def ours(heading, value):
    """Another name for every thing."""
    if heading not in NAMED or not isinstance(value, str):
        return value
    return ", ".join(f"our {piece.strip()}" for piece in value.split(",")) if heading == "Equipment" else f"our {value}"


def filled(path, filling=FILLING):
    """Move in with filled tables, into the file itself; gives what came of it and the workbook opened anew."""
    found, _ = adopt_workbook(path, None, filling)
    return found, Book.open(path)


def rows_of(book, name):
    """The filled rows of a table, by heading."""
    table = book.table(name)
    rows = (
        {heading: cell.value for heading, cell in zip(table.headings, row, strict=True) if cell.value is not None}
        for _, row in table.rows.filled()
    )
    return [row for row in rows if row]


def stops(path, sheets=None):
    """The problems that stop a plan, of these sheets or of all."""
    found = [problem for problem in read_workbook(path, DAY).problems if problem.is_error]
    return [line(one) for one in found if sheets is None or one.where.rpartition("!")[0].strip("'") in sheets]


@pytest.mark.parametrize("metric", [False, True])
def test_a_workbook_with_nothing_of_ours_gets_every_row_that_a_starting_workbook_has(tmp_path, metric):
    path = household_with(tmp_path / "a.xlsx")
    told = Filling(metric=metric, people=3, altitude="440m", gauge="weighted")
    found, book = filled(path, told)
    start.start(tmp_path / "new.xlsx", told)
    new = Book.open(tmp_path / "new.xlsx")
    for name in EVERY:
        assert rows_of(book, name) == rows_of(new, name), name
    assert {name: len(rows) for name, rows in found.filled.rows.items()} == {
        name: len(rows) for name, rows in starting_contents(metric=metric).rows.items()
    }
    assert found.filled.left_out == ()
    assert stops(path) == []


def test_without_an_altitude_and_a_gauge_only_they_are_missing(tmp_path):
    path = household_with(tmp_path / "a.xlsx")
    filled(path, Filling())
    assert len(stops(path)) == 2
    assert "altitude" in stops(path)[0]
    assert "gauge" in stops(path)[1]


def test_what_needs_a_crop_they_do_not_have_is_left_out_and_a_recipe_comes_whole(tmp_path):
    crops = [["south", "Roma tomatoes", 3, "lb"], ["north", "green beans", 2, "lb"], ["wall", "goji", 2, "lb"]]
    path = household_with(tmp_path / "a.xlsx", ("Crops", CROPS, crops))
    found, book = filled(path)
    assert stops(path) == []
    assert [row["Crop"] for row in rows_of(book, "Crops")] == ["Roma tomatoes", "green beans", "goji"]
    recipes = defaultdict(dict)
    for row in EVERY["Ingredients"]:
        recipes[row["Preserve"]][row["Item"]] = (row["Amount each"], row["Unit"])
    came = defaultdict(dict)
    for row in rows_of(book, "Ingredients"):
        came[row["Preserve"]][row["Item"]] = (row["Amount each"], row.get("Unit"))
    called = {"tomato": "Roma tomatoes", "snap beans": "green beans"}
    assert {row["Preserve"] for row in rows_of(book, "Preserves")} == set(came)
    assert {"tomato sauce, quart", "green beans, quart"} <= set(came)
    assert "applesauce, quart" not in came
    for preserve, items in came.items():
        assert items == {called.get(item, item): amount for item, amount in recipes[preserve].items()}
    counted = {row["Target"] for row in rows_of(book, "Counts toward")}
    assert {row["Target"] for row in rows_of(book, "Winter list")} == counted
    assert {row["Preserve"] for row in rows_of(book, "Counts toward")} <= set(came)
    said = " ".join(plain_text(adopt_page(adoption_of(found), RECEIPT, "a.xlsx")).split())
    assert f"Preserves {len(came)}" in said
    assert f"{len(EVERY['Preserves']) - len(came)} left out" in said
    assert "your Crops has no" in said
    assert "Roma tomatoes for tomato" in said


@pytest.mark.parametrize("name", every(2, list(EVERY)))
def test_beside_any_one_table_of_theirs_nothing_of_ours_stops_the_check(tmp_path, name):
    """Every second table; `python3 tests/bench.py samples` takes all."""
    path = household_with(tmp_path / "a.xlsx", theirs(name, renamed=ours))
    before = load_workbook(path)[f"Our {name}"]
    cells = [[cell.value for cell in row] for row in before.iter_rows()]
    found, _ = filled(path)
    assert name not in found.filled.rows
    assert stops(path, found.sheets) == []
    after = load_workbook(path, read_only=True)  # reads the one sheet that is asked for
    assert [[cell.value for cell in row] for row in after[f"Our {name}"].iter_rows()] == cells
    after.close()


def test_jars_and_pieces_of_one_size_and_kind_are_used_under_their_own_names(tmp_path):
    path = household_with(tmp_path / "a.xlsx", theirs("Lids", renamed=ours), theirs("Containers", renamed=ours),
                          theirs("Equipment", renamed=ours))  # fmt: skip
    found, book = filled(path)
    assert stops(path) == []
    sauce = next(row for row in rows_of(book, "Preserves") if row["Preserve"] == "tomato sauce, quart")
    assert (sauce["Container"], sauce["Equipment"]) == ("our quart jar", "our big pot, our canner")
    assert len(found.filled.rows["Preserves"]) == len(EVERY["Preserves"])


def test_a_quart_of_acid_is_never_put_into_a_jar_of_another_size(tmp_path):
    """Their jar of 1.5 quarts is no quart: what goes into quarts is left out."""
    jars = [row if row["Container"] != "quart jar" else {**row, "Holds": 1.5} for row in EVERY["Containers"]]
    path = household_with(tmp_path / "a.xlsx", theirs("Containers", renamed=ours, rows=jars))
    found, book = filled(path)
    assert all("quart" not in row["Preserve"].split(", ")[1:] for row in rows_of(book, "Preserves"))
    assert any("your *Containers* has no quart jar" in left.why for left in found.filled.left_out)


def test_fresh_lemon_juice_of_theirs_does_not_stand_for_bottled(tmp_path):
    pantry = [{**row, "Ingredient": "lemon juice", "Handbook item": None} if "lemon" in row["Ingredient"] else row
              for row in EVERY["Pantry"]]  # fmt: skip
    path = household_with(tmp_path / "a.xlsx", theirs("Pantry", rows=pantry))
    _, book = filled(path)
    assert "lemon juice" not in {row["Item"] for row in rows_of(book, "Ingredients")}
    assert not any(row["Preserve"].startswith("tomato juice") for row in rows_of(book, "Preserves"))


def test_what_no_load_fits_stands_at_no_and_why_is_said(tmp_path):
    pieces = [row for row in EVERY["Equipment"] if row["Load unit"] != "quart jars"]
    path = household_with(tmp_path / "a.xlsx", theirs("Equipment", rows=pieces))
    found, book = filled(path)
    made = {row["Preserve"]: row["Include"] for row in rows_of(book, "Preserves")}
    assert (made["tomato sauce, quart"], made["tomato sauce, pint"]) == ("no", "yes")
    assert stops(path) == []
    told = [left for left in found.filled.left_out if left.made_no]
    assert any("tomato sauce, quart" in left.names and "load" in left.why for left in told)


def test_their_recipes_are_never_written_for_them(tmp_path):
    path = household_with(tmp_path / "a.xlsx", theirs("Preserves"))
    found, book = filled(path)
    assert rows_of(book, "Ingredients") == rows_of(book, "Counts toward") == rows_of(book, "Winter list") == []
    assert "Ingredients: not filled, because its starting rows belong to those of Preserves" in " ".join(
        plain_text(adopt_page(adoption_of(found), RECEIPT, "a.xlsx")).split()
    )


def test_what_counts_toward_a_line_of_their_winter_list_comes_where_the_unit_is_the_same(tmp_path):
    targets = [["Tomato  Sauce", 12, "quarts"], ["applesauce", 9, "pint"], ["honey", 2, "quart"]]
    path = household_with(tmp_path / "a.xlsx", ("Winter list", ["Target", "Wanted", "Unit"], targets))
    found, book = filled(path)
    assert {row["Target"] for row in rows_of(book, "Counts toward")} == {"tomato sauce"}
    assert {row["Each counts"] for row in rows_of(book, "Counts toward")} == {0.5, 1}
    assert any(left.table == "Counts toward" and "applesauce" in left.names for left in found.filled.left_out)
    assert stops(path, found.sheets) == []


def test_where_a_table_has_to_be_decided_about_first_it_is_said_what_that_costs(tmp_path):
    path = household_with(tmp_path / "a.xlsx", ("Table7", CROPS, [["south", "tomato", 3, "lb"]]))
    found, book = filled(path)
    assert rows_of(book, "Preserves") == []
    assert {left.why for left in found.filled.left_out if left.table == "Preserves"} == {
        "no table is called *Crops* yet"
    }
    assert "decide about Crops first, in the workbook as it was" in found.filled.notes[0]


def test_cells_that_look_like_a_table_are_taken_as_the_check_takes_them(tmp_path):
    path = household_with(tmp_path / "a.xlsx")
    book = load_workbook(path)
    for row in [CROPS, ["south", "tomato", 3, "lb"]]:
        book["Hens"].append(row)
    book.save(path)
    found, adopted = filled(path)
    assert "tomato sauce, quart" in {row["Preserve"] for row in rows_of(adopted, "Preserves")}
    assert stops(path, found.sheets) == []


def test_a_name_that_is_an_ingredient_of_theirs_does_not_come_a_second_time(tmp_path):
    pantry = [*EVERY["Pantry"], {"Ingredient": "Garlic", "On hand": 2, "Unit": "lb"}]
    path = household_with(tmp_path / "a.xlsx", theirs("Pantry", rows=pantry))
    _, book = filled(path)
    assert "garlic" not in {row["Crop"] for row in rows_of(book, "Crops")}
    assert stops(path) == []


def test_their_kitchen_gives_the_people_and_what_was_given_for_it_is_told(tmp_path):
    kitchen = [{**row, "Value": 2} if row["Setting"] == "people" else row for row in EVERY["Kitchen"]]
    path = household_with(tmp_path / "a.xlsx", theirs("Kitchen", rows=kitchen))
    found, book = filled(path, Filling(altitude="1450ft"))
    assert rows_of(book, "Winter list")[0]["Wanted"] == 9  # 2 people x 0.5 servings x 35 weeks / 4 servings, rounded up
    assert found.filled.notes == (
        "the Kitchen table is yours and was not touched: type altitude 1450ft there yourself",
    )


def test_what_was_picked_is_not_lost_in_silence_where_harvest_is_theirs(tmp_path):
    harvest = ("Harvest", ["Picked on", "Crop", "Amount", "Unit"], [[DAY, "tomato", 5, "lb"]])
    path = household_with(tmp_path / "a.xlsx", harvest)
    found, book = filled(path, Filling(picked=({"Picked on": DAY, "Crop": "tomato", "Amount": 53.0, "Unit": "lb"},)))
    assert [row["Amount"] for row in rows_of(book, "Harvest")] == [5]
    assert found.filled.notes == (
        "the Harvest table is yours and was not touched: add what you picked with stillroom weigh",
    )


def test_a_metric_household_is_filled_in_metric_without_being_told(tmp_path):
    path = household_with(tmp_path / "a.xlsx", ("Crops", CROPS, [["south", "carrots", 14, "kg"]]))
    _, book = filled(path, Filling(altitude="440", gauge="dial"))
    assert "liter jar" in {row["Container"] for row in rows_of(book, "Containers")}
    assert {row["Unit"] for row in rows_of(book, "Ingredients")} <= {"kg", "ml"}
    assert stops(path) == []


def test_a_workbook_that_lacks_nothing_is_not_changed(tmp_path, capsys):
    path = tmp_path / "new.xlsx"
    start.start(path, Filling(altitude="1450ft"))
    data = path.read_bytes()
    assert run(["adopt", str(path), "--filled", "--people", "3"]) == 0
    assert "Nothing was changed" in capsys.readouterr().out
    assert path.read_bytes() == data
    assert run(["adopt", str(path), "--filled", "--altitude", "high"]) == 2
    assert path.read_bytes() == data


@pytest.mark.parametrize("option", [["--metric"], ["--people", "3"], ["--altitude", "1450ft"], ["--stove-free", "3,8"]])
def test_what_only_fills_tables_is_refused_where_none_are_filled(tmp_path, capsys, option):
    path = household_with(tmp_path / "a.xlsx")
    data = path.read_bytes()
    assert run(["adopt", str(path), *option]) == 2
    assert f"{option[0]} only works with --filled. Add --filled" in " ".join(capsys.readouterr().err.split())
    assert path.read_bytes() == data


@pytest.mark.parametrize(
    ("altitude", "said"), [("1500", "1500 may be feet or meters"), ("99999ft", "is higher than any kitchen")]
)
def test_an_altitude_that_cannot_be_read_leaves_the_workbook_as_it_is(tmp_path, capsys, altitude, said):
    path = household_with(tmp_path / "a.xlsx")
    data = path.read_bytes()
    assert run(["adopt", str(path), "--filled", "--altitude", altitude]) == 2
    assert said in " ".join(capsys.readouterr().err.split())
    assert path.read_bytes() == data


@pytest.mark.parametrize("metric", [False, True])
def test_it_is_checked_and_planned_once_a_harvest_is_typed(tmp_path, capsys, metric):
    """Sixty pounds of tomatoes and no other crop of theirs: their sauce is in the plan, under our name of it."""
    unit = "kg" if metric else "lb"
    path = household_with(
        tmp_path / "a.xlsx",
        ("Crops", CROPS, [["south", "Roma tomatoes", 3, unit]]),
        ("Harvest", ["Picked on", "Crop", "Amount", "Unit"], [[DAY, "Roma tomatoes", 30, unit]]),
    )
    out = tmp_path / "b.xlsx"
    metric_too = ["--metric"] if metric else []
    assert (
        run(["adopt", str(path), "--out", str(out), "--filled", "--altitude", "440m", "--people", "3", *metric_too])
        == 0
    )
    capsys.readouterr()
    book = load_workbook(out, data_only=True)  # openpyxl works no formula out
    setting = next(cell for cell in book["Kitchen"]["A"] if cell.value == "first day")
    setting.offset(0, 1).value = DAY
    book.save(out)
    assert run(["check", str(out)]) == 0
    assert "No errors." in capsys.readouterr().out
    assert run(["plan", str(out), "--out", str(tmp_path / "planned.xlsx")]) == 0
    planned = rows_of(Book.open(tmp_path / "planned.xlsx"), "Plan")
    assert any("tomato" in str(row.get("Preserve")) and row["Make"] >= 1 for row in planned)
