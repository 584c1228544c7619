"""Tables are found wherever they are, columns in any order, and what is missing is told at the right cell."""

import random

import pytest
from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.table import Table
from tests.workbook.reader.making import D, opened, sound

from stillroom.household.journal.fingerprint import digest
from stillroom.reports.problems import line, sentences
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.schema import tables

TODAY = D(2026, 8, 20)
BELOW = ("row below the table", "row below a blank row", "row below is read", "cell below the table")


def read_sound(tmp_path, content=None, **more):
    return read.household(opened(tmp_path, content or sound(), **more), TODAY)


def test_tables_without_a_definition_are_found_by_their_headings_and_this_is_said(tmp_path):
    whole, _ = read_sound(tmp_path)
    found, problems = read_sound(tmp_path, as_tables=False)
    assert found == whole
    assert {problem.kind for problem in problems} == {"table found by headings"}
    assert (
        line(problems[0])
        == "Kitchen!B3: Kitchen is not a spreadsheet table, but was found by its headings. To be safe, format it as a table named Kitchen."
    )


def test_a_table_without_definition_may_lack_columns_that_may_be_blank(tmp_path):
    def change(book):
        for letter in ("J", "I", "H"):
            book["Harvest"].delete_cols(ord(letter) - 64)

    content = sound()
    del content["Harvest"][2:]
    household, problems = read_sound(tmp_path, content, as_tables=False, change=change)
    assert len(household.lots) == 2
    assert {problem.kind for problem in problems} == {"table found by headings"}


def test_the_headings_of_lids_are_not_taken_for_those_of_containers(tmp_path):
    """Containers has both headings that Lids cannot do without."""
    content = sound()
    content["Containers"][0]["Lid"] = content["Containers"][1]["Lid"] = None
    household, problems = read_sound(tmp_path, content, as_tables=False, leave_out=("Lids",))
    assert household.lids == ()
    assert not any(problem.is_error for problem in problems)


def test_two_candidates_are_a_named_problem(tmp_path):
    def change(book):
        again = book.copy_worksheet(book["Crops"])
        again.title = "Crops last year"

    _, problems = read_sound(tmp_path, as_tables=False, change=change)
    twice = [line(problem) for problem in problems if problem.kind in ("table twice", "headings twice")]
    assert twice == [
        "Crops!B3: The headings of Crops are in more than one place (Crops!B3 and Crops last year!B3). Delete one, or format the right one as a table named Crops."
    ]


def test_two_tables_whose_names_read_alike_are_a_named_problem(tmp_path):
    def change(book):
        sheet = book.create_sheet("Old")
        for number, heading in enumerate(("Crop", "Keeps days"), start=1):
            sheet.cell(1, number, heading)
        table = Table(displayName="crops_", ref="A1:B2")
        table._initialise_columns()
        table.tableColumns[0].name, table.tableColumns[1].name = "Crop", "Keeps days"
        sheet.add_table(table)

    _, problems = read_sound(tmp_path, change=change)
    assert [line(problem) for problem in problems] == [
        "Old!A1: Two tables are called Crops (Crops!B3 and Old!A1). Rename all but one."
    ]


def test_a_missing_table_is_told_at_the_first_cell_of_the_workbook(tmp_path):
    _, problems = read_sound(tmp_path, leave_out=("Winter list",))
    missing = [line(problem) for problem in problems if problem.kind == "table missing"]
    assert missing == ["The workbook has no table Winter list. Run stillroom adopt to add it."]


@pytest.mark.parametrize(("table", "stops"), [("Harvest", True), ("Shelf", False), ("Record", False), ("Plan", False)])
def test_a_table_under_another_name_is_named_and_not_passed_over(tmp_path, table, stops):
    """A copied sheet gives its tables new names; the shelf was then read as empty, without a word."""

    def change(book):
        ours = book[table].tables.pop(table)
        ours.name = ours.displayName = f"{table}_2"
        book[table].add_table(ours)

    _, problems = read_sound(tmp_path, change=change)
    cure = f"Rename it to {table}." if stops else f"Rename it to {table} to have it read."
    said = f"{table}!B3: The table {table}_2 has the headings of {table}, but another name. {cure}"
    assert [(line(one), one.is_error) for one in problems if "another name" in sentences(one)[0]] == [(said, stops)]


def test_a_table_whose_headings_are_hidden_is_told_at_its_first_cell(tmp_path):
    """The place was a row 0 that no sheet has."""

    def change(book):
        table = book["Harvest"].tables["Harvest"]
        table.headerRowCount = 0
        table.ref, table.autoFilter = "B4:J9", None
        table.tableColumns[2].name = "Pile"
        for row in range(4, 10):
            book["Harvest"].cell(row, 4).value = None

    _, problems = read_sound(tmp_path, change=change)
    assert [one.where for one in problems if one.kind == "column missing"] == ["Harvest!B4"]


@pytest.mark.parametrize("table", ["Hours", "Equipment", "Lids", "Pantry", "Shelf", "Record", "Plan"])
def test_tables_that_may_be_missing_bring_no_table_problem(tmp_path, table):
    _, problems = read_sound(tmp_path, leave_out=(table,))
    assert "table missing" not in {problem.kind for problem in problems}


@pytest.mark.parametrize(
    "table",
    ["Harvest", "Shelf", "Record", "Winter list", "Counts toward", "Preserves", "Ingredients", "Containers", "Crops"],
)
def test_a_table_of_no_rows_is_fine_where_that_makes_sense(tmp_path, table):
    content = sound()
    content[table] = []
    _, problems = read_sound(tmp_path, content)
    assert not {problem.kind for problem in problems} & {"table missing", "column missing", "blank required"}


def test_a_missing_column_is_told_at_the_first_heading(tmp_path):
    def change(book):
        for row in range(4, 10):
            book["Harvest"].cell(row, 4).value = None
        book["Harvest"]["D3"] = "How much it was"
        book["Harvest"].tables["Harvest"].tableColumns[2].name = "How much it was"

    _, problems = read_sound(tmp_path, change=change)
    assert [line(problem) for problem in problems if problem.is_error] == [
        "Harvest!B3: The table Harvest has no column Amount. Add a column with that heading."
    ]


def test_a_column_that_was_perhaps_renamed_is_asked_about_even_if_it_may_be_blank(tmp_path):
    """Left unread, `Keep months` would quietly lose every keeping time."""

    def change(book):
        number = [column.heading for column in tables()["Preserves"].columns].index("Keeps months")
        book["Preserves"].cell(3, number + 2, "Keep months")
        book["Preserves"].tables["Preserves"].tableColumns[number].name = "Keep months"

    _, problems = read_sound(tmp_path, change=change)
    assert [line(problem) for problem in problems] == [
        'Preserves!O3: The table Preserves has no column Keeps months, but one headed "Keep months". Did you mean Keeps months? Rename the heading.'
    ]


@pytest.mark.parametrize(
    ("name", "before", "now"), [("Timetable", "Hands", "People"), ("Season so far", "In hand", "On hand")]
)
def test_a_former_heading_of_a_table_that_the_planner_fills_is_asked_about(tmp_path, name, before, now):
    """Left as it was, the column would keep what an earlier plan wrote in it."""

    def change(book):
        sheet, number = book[name], tables()[name].headings.index(now)
        sheet.cell(3, number + 2, before)
        next(iter(sheet.tables.values())).tableColumns[number].name = before

    content = sound() | {name: []}
    assert read_sound(tmp_path, content)[1] == ()
    _, problems = read_sound(tmp_path, content, change=change)
    place = f"{name}!{get_column_letter(tables()[name].headings.index(now) + 2)}3"
    assert [line(problem) for problem in problems] == [
        f'{place}: The table {name} has no column {now}, but one headed "{before}". Did you mean {now}? Rename the heading.'
    ]


def test_two_columns_of_one_heading_are_told(tmp_path):
    content = sound()
    content["Harvest"][0]["amount "] = 3
    _, problems = read_sound(tmp_path, content)
    assert [line(problem) for problem in problems] == [
        "Harvest!K3: The table Harvest has two columns headed Amount. Rename one of them."
    ]


def scrambled(path, content, seed, own_columns=True):
    """Write the same household with rows, columns and sheets in another order, all tables on two sheets, columns of their own between."""
    rng = random.Random(seed)
    book = Workbook()
    sheets = [book.active, book.create_sheet("more")]
    column = dict.fromkeys(sheets, 1)
    names = list(content)
    rng.shuffle(names)
    for name in names:
        sheet = rng.choice(sheets)
        headings = [one.heading for one in tables()[name].columns]
        if own_columns:
            headings += ["our colour", f"who {seed}"]
        rng.shuffle(headings)
        rows = list(content[name])
        if name != "Equipment":
            rng.shuffle(rows)
        shown = [
            rng.choice([heading.upper(), heading.replace(" ", "  "), heading.replace(" ", "\u00a0"), heading])
            for heading in headings
        ]
        left, top = column[sheet], 2 + rng.randrange(3)
        for number, heading in enumerate(shown):
            sheet.cell(top, left + number, heading)
            for down, row in enumerate(rows, start=1):
                value = row.get(headings[number], "theirs" if headings[number] == "our colour" else None)
                sheet.cell(top + down, left + number, value)
        last = f"{get_column_letter(left + len(headings) - 1)}{top + len(rows) + 3}"
        table = Table(displayName=name.replace(" ", "_"), ref=f"{get_column_letter(left)}{top}:{last}")
        table._initialise_columns()
        for one, heading in zip(table.tableColumns, shown, strict=True):
            one.name = heading
        sheet.add_table(table)
        column[sheet] = left + len(headings) + 1
    book.save(path)
    return Book.open(path)


@pytest.mark.parametrize("seed", range(6))
def test_another_order_of_rows_columns_tables_and_sheets_gives_the_same_household(tmp_path, seed):
    whole, _ = read_sound(tmp_path)
    found, problems = read.household(scrambled(tmp_path / "other.xlsx", sound(), seed), TODAY)
    assert [line(problem) for problem in problems if problem.is_error] == []
    assert digest(found) == digest(whole)
    assert {lot.kg for lot in found.lots} == {lot.kg for lot in whole.lots}


def test_blank_rows_and_rows_with_only_a_note_are_ignored(tmp_path):
    content = sound()
    content["Harvest"] = [{}, *content["Harvest"], {}, {"Note": "nothing on Sunday"}, {"Unit": " "}, {}]
    found, problems = read_sound(tmp_path, content)
    assert len(found.lots) == 4
    assert problems == ()


def put(book, table, row, *values):
    """Type into a row of a sheet, from the table's first column."""
    for number, value in enumerate(values, start=2):
        book[table].cell(row, number, value)


def below_told(tmp_path, change, **more):
    """What is told of rows under a table."""
    _, problems = read_sound(tmp_path, change=change, **more)
    return [line(problem) for problem in problems if problem.kind in BELOW]


def test_rows_typed_right_under_a_table_are_read_and_this_is_said(tmp_path):
    """Tables do not grow by themselves in every office program; Harvest ends in row 9 here."""

    def change(book):
        put(book, "Harvest", 10, D(2026, 8, 14), "carrot", "5 lb")
        put(book, "Harvest", 11, D(2026, 8, 13), "sweet corn", 7)

    whole, _ = read_sound(tmp_path)
    found, problems = read_sound(tmp_path, change=change)
    assert [(lot.crop, lot.where) for lot in found.lots[len(whole.lots) :]] == [
        ("carrot", "Harvest!D10"),
        ("sweet corn", "Harvest!D11"),
    ]
    assert [line(one) for one in problems] == [
        f"Harvest!B{row}: This row is below the table Harvest, and is read as one of its rows. "
        "Pull the lower right corner of the table down over it."
        for row in (10, 11)
    ]
    assert not any(one.is_error or one.severe for one in problems)


def test_a_row_right_under_a_table_lacks_what_one_in_it_would_lack(tmp_path):
    _, problems = read_sound(tmp_path, change=lambda book: put(book, "Harvest", 10, D(2026, 8, 14), "carrot"))
    assert [one.where for one in problems if one.kind == "blank required"] == ["Harvest!D10"]


def test_what_fits_no_column_right_under_a_table_stops_the_plan_at_its_cell(tmp_path):
    def change(book):
        put(book, "Harvest", 10, D(2026, 8, 14), "carrot", "plenty", "lb", None, "last week")
        put(book, "Harvest", 11, D(2026, 8, 14), "carrot", 5)

    _, problems = read_sound(tmp_path, change=change)
    assert [line(one) for one in problems if one.stops] == [
        f"Harvest!{cell}: This cell is right below the table Harvest, and is nothing {heading} can hold. "
        "Correct it, or leave an empty row above it."
        for cell, heading in (("D10", "Amount"), ("G10", "Frozen on"))
    ]
    assert [one.where for one in problems if one.kind == "row below is read"] == ["Harvest!B11"]


def test_a_row_behind_a_gap_under_a_table_stops_the_plan(tmp_path):
    said = (
        "Harvest!B11: This row is not read: it is below the table Harvest, not in it. "
        "Pull the lower right corner of the table down over it."
    )
    _, problems = read_sound(tmp_path, change=lambda book: put(book, "Harvest", 11, D(2026, 8, 14), "carrot", "5 lb"))
    assert [line(one) for one in problems if one.stops] == [said]


def test_an_entry_under_the_record_is_read_and_a_line_typed_under_the_plan_is_told(tmp_path):
    """Both tables end in row 6 here."""
    line, entry = (D(2026, 8, 14), None, "corn, frozen"), (D(2026, 8, 14), "corn, frozen", None, 4)
    assert [one.partition(":")[0] for one in below_told(tmp_path, lambda book: put(book, "Plan", 7, *line))] == [
        "Plan!B7"
    ]
    found, _ = read_sound(tmp_path, change=lambda book: put(book, "Record", 7, *entry))
    assert [(row.preserve, row.made) for row in found.record] == [("corn, frozen", 4)]


def test_a_row_typed_under_the_settings_is_read_when_it_is_a_setting(tmp_path):
    found, problems = read_sound(tmp_path, change=lambda book: put(book, "Kitchen", 15, "Spending limit", 20))
    assert found.kitchen.spending_limit == 20
    assert [one.where for one in problems] == ["Kitchen!B15"]
    assert not below_told(tmp_path, lambda book: put(book, "Kitchen", 15, "written down by Kim", 20))


def test_sums_notes_and_other_tables_under_a_table_are_nothing_to_tell(tmp_path):
    assert not below_told(tmp_path, lambda book: put(book, "Harvest", 10, "together", None, "=SUM(D4:D9)"))
    assert not below_told(tmp_path, lambda book: put(book, "Lids", 8, "together", "=SUM(C4:C7)"))
    assert not below_told(tmp_path, lambda book: put(book, "Lids", 8, "Total", 70))
    assert not below_told(tmp_path, lambda book: put(book, "Containers", 10, "the jars are in the attic"))
    assert not below_told(tmp_path, lambda book: put(book, "Harvest", 12, D(2026, 8, 14), "carrot", 5))

    def another(book):
        put(book, "Lids", 8, "Lid", "On hand")
        put(book, "Lids", 9, "old lid", 3)

    assert not below_told(tmp_path, another)


def test_a_row_under_the_totals_of_a_table_is_told(tmp_path):
    def change(book):
        table = book["Harvest"].tables["Harvest"]
        table.totalsRowCount = 1
        put(book, "Harvest", 9, "Total", None, 146)
        put(book, "Harvest", 10, D(2026, 8, 14), "carrot", 5)

    assert [one.partition(":")[0] for one in below_told(tmp_path, change)] == ["Harvest!B10"]


def test_rows_under_the_blank_row_that_ends_a_table_without_definition_are_told(tmp_path):
    """Such a table reaches to its first blank row; what stands under it was silently left out."""
    told = below_told(
        tmp_path, lambda book: put(book, "Harvest", 12, D(2026, 8, 14), "carrot", "5 lb"), as_tables=False
    )
    said = "Harvest!B12: This row is not read: the empty row above it ends the table Harvest. Delete the empty row."
    assert told == [said]


def test_a_formula_that_comes_to_nothing_in_an_unused_row_is_ignored(tmp_path):
    """A column filled down with a formula shows 0 in rows that are not used yet; rows below must not become problems."""
    import zipfile

    from tests.workbook.reader.making import write

    def change(book):
        for row in (4, 5, 6, 7, 8, 9):
            book["Winter list"].cell(row, 3, "=1*2")

    path = write(tmp_path / "formulas.xlsx", sound(), change=change)
    patched = tmp_path / "patched.xlsx"
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(patched, "w") as target:
        for name in source.namelist():
            data = source.read(name)
            if b"1*2" in data:
                parts = (
                    data.split(b"<f>1*2</f><v></v>") if b"<f>1*2</f><v></v>" in data else data.split(b"<f>1*2</f><v />")
                )
                assert len(parts) == 7
                data = parts[0] + b"".join(
                    (b"<f>1*2</f><v>%d</v>" % (20 if n < 4 else 0)) + part for n, part in enumerate(parts[1:])
                )
            target.writestr(name, data)
    found, problems = read.household(Book.open(patched), TODAY)
    assert [target.wanted for target in found.targets] == [20, 20, 20, 20]
    assert not any(problem.kind in ("blank required", "formula never calculated") for problem in problems)


@pytest.mark.parametrize(
    ("table", "limit"), [("Preserves", 400), ("Crops", 100), ("Harvest", 2000), ("Winter list", 300), ("Record", 5000)]
)
def test_one_row_more_than_the_limit_is_too_many_and_the_limit_itself_is_not(tmp_path, table, limit):
    rows = {
        "Preserves": lambda n: {"Preserve": f"p{n}", "Method": "frozen", "Container": "freezer bag", "Include": "no"},
        "Crops": lambda n: {"Crop": f"crop number {n}", "Keeps days": 3},
        "Harvest": lambda n: {"Picked on": D(2026, 8, 13), "Crop": "carrot", "Amount": 1},
        "Winter list": lambda n: {"Target": f"need {n}", "Wanted": 1},
        "Record": lambda n: {"Date": D(2026, 8, 13), "Crop": "carrot", "Crop used": 1},
    }
    content = sound()
    content[table] += [rows[table](n) for n in range(limit - len(content[table]))]
    _, problems = read_sound(tmp_path, content)
    assert "too many rows" not in {problem.kind for problem in problems}
    content[table].append(rows[table](limit))
    _, problems = read_sound(tmp_path, content)
    assert [line(problem) for problem in problems if problem.kind == "too many rows"] == [
        f"{table}!B3: The table {table} has {limit + 1:,} rows, and the limit is {limit:,}. Move rows you no longer need to another sheet."
    ]
    assert "unknown name" not in {problem.kind for problem in problems}
