"""Reading tables and cells as they stand in the file."""

from __future__ import annotations

import datetime

import pytest

from stillroom.errors import WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.read_cells import LOST


def values(book, cells):
    return [book.cell("Here", *cell).value for cell in cells]


def test_every_kind_of_cell_is_read(one_sheet, hand):
    rows = (
        '<row r="2"><c r="A2"><v>5</v></c><c r="B2"><v>2.5</v></c><c r="C2" t="b"><v>1</v></c><c r="D2" t="e"><v>#REF!</v></c>'
        '<c r="E2" t="inlineStr"><is><t>in line</t></is></c><c r="F2" t="str"><f>"a"&amp;"b"</f><v>ab</v></c>'
        '<c r="G2" s="1"><v>46248</v></c><c r="H2" s="2"><v>0.75</v></c><c r="I2" s="3"><v>46248.5</v></c><c r="J2" s="4"><v>1.5</v></c>'
        '<c r="K2"><f>1+1</f></c><c r="L2"/><c r="M2" t="d"><v>2026-08-14</v></c><c r="N2"><v>1E-7</v></c></row>'
    )
    book = Book.open(one_sheet(rows))
    cells = [book.cell("Here", 2, column) for column in range(1, 15)]
    assert [cell.kind for cell in cells] == (
        [
            "number",
            "number",
            "bool",
            "error",
            "text",
            "text",
            "date",
            "date",
            "date",
            "date",
            "blank",
            "blank",
            "date",
            "number",
        ]
    )
    assert [cell.value for cell in cells] == [
        5, 2.5, True, "#REF!", "in line", "ab", datetime.date(2026, 8, 14), datetime.time(18), datetime.datetime(2026, 8, 14, 12),
        datetime.timedelta(days=1.5), None, None, datetime.date(2026, 8, 14), 1e-7,
    ]  # fmt: skip
    assert isinstance(cells[0].value, int)
    assert (cells[10].formula, cells[10].calculated) == ("1+1", False)
    assert (cells[5].formula, cells[5].calculated) == ('"a"&"b"', True)
    assert book.cell("Here", 99, 99).kind == "blank"


def test_shared_strings_with_runs_spaces_and_phonetics_are_read(one_sheet, hand):
    strings = (
        f'{hand.head}<sst xmlns="{hand.main}"><si><r><t>plum </t></r><r><t>jam</t></r></si><si><t xml:space="preserve"> a </t></si>'
        '<si><t>桃</t><rPh sb="0" eb="1"><t>もも</t></rPh></si><si><t>a_x000D_b _x005F_x0041_ x</t></si><si/></sst>'
    )
    rows = "<row>" + "".join(f'<c t="s"><v>{number}</v></c>' for number in range(5)) + '<c t="s"><v>77</v></c></row>'
    book = Book.open(one_sheet(rows, strings=strings))
    found = values(book, [(1, column) for column in range(1, 7)])
    assert found == ["plum jam", " a ", "桃", "a\rb _x0041_ x", "", LOST]
    assert book.cell("Here", 1, 6).kind == "error"  # as a blank it would have been passed over without a word


def test_dates_of_1904_and_before_march_1900(one_sheet):
    rows = '<row r="1"><c r="A1" s="1"><v>0</v></c><c r="B1" s="1"><v>44786</v></c></row>'
    assert values(Book.open(one_sheet(rows, workbook_properties=' date1904="1"')), [(1, 1), (1, 2)]) == [
        datetime.date(1904, 1, 1),
        datetime.date(2026, 8, 14),
    ]
    rows = '<row r="1"><c r="A1" s="1"><v>1</v></c><c r="B1" s="1"><v>59</v></c><c r="C1" s="1"><v>60</v></c><c r="D1" s="1"><v>61</v></c></row>'
    found = values(Book.open(one_sheet(rows, name="old.xlsx")), [(1, column) for column in range(1, 5)])
    assert found == [datetime.date(1900, 1, 1), datetime.date(1900, 2, 28), 60, datetime.date(1900, 3, 1)]


def test_cells_and_rows_without_addresses_follow_one_another(one_sheet):
    rows = '<row><c><v>1</v></c><c><v>2</v></c></row><row r="4"><c r="C4"><v>3</v></c><c><v>4</v></c></row><row><c><v>5</v></c></row>'
    book = Book.open(one_sheet(rows))
    assert values(book, [(1, 1), (1, 2), (4, 3), (4, 4), (5, 1)]) == [1, 2, 3, 4, 5]


def test_another_namespace_prefix_comments_and_cdata_are_read(tmp_path, hand):
    text = (
        f'{hand.head}<x:worksheet xmlns:x="{hand.main}"><!-- <x:sheetData/> --><x:sheetData><x:row r="1"><!-- <x:c r="Z1"/> -->'
        "<x:c r='A1' t='inlineStr'><x:is><x:t><![CDATA[<c r=\"B1\">&]]></x:t></x:is></x:c><x:c r=\"B1\"><x:v>7</x:v></x:c></x:row></x:sheetData></x:worksheet>"
    )
    book = Book.open(hand.pack(tmp_path / "odd.xlsx", hand.parts({"Here": text})))
    assert values(book, [(1, 1), (1, 2)]) == ['<c r="B1">&', 7]


def test_a_table_is_found_by_its_name_however_it_is_spelled(tmp_path, hand):
    rows = '<row r="1"><c r="A1" t="inlineStr"><is><t>Crop</t></is></c></row><row r="2" hidden="1"><c r="A2"><v>1</v></c></row>'
    merged = '<mergeCells count="2"><mergeCell ref="A3:B3"/><mergeCell ref="H1:I2"/></mergeCells>'
    members = hand.parts(
        {"Mine": hand.sheet_xml(rows, after=merged)},
        tables={"Mine": [hand.table_xml(1, "Crop_Use", "A1:B3", ["Crop", "Fed _x000a_kg"])]},
    )
    book = Book.open(hand.pack(tmp_path / "t.xlsx", members))
    for name in ("Crop use", "crop_use", "CropUse", " CROP  USE "):
        table = book.table(name)
        assert table is not None
        assert (table.name, table.sheet, table.first_row, table.last_row) == ("Crop_Use", "Mine", 2, 3)
    assert table.headings == ("Crop", "Fed \nkg")
    assert table.column("fed KG") == 2
    assert table.hidden_rows == {2}
    assert table.merged == ("A3:B3",)
    assert [[cell.value for cell in row] for row in table.rows] == [[1, None], [None, None]]
    assert book.table("Crops") is None
    assert book.table_names == ("Crop_Use",)


def test_totals_rows_are_not_body_and_empty_tables_have_no_rows(tmp_path, hand):
    rows = '<row r="1"><c r="A1"/></row><row r="3"><c r="A3"><v>9</v></c></row>'
    table = hand.table_xml(1, "Kept", "A1:A3", ["N"], ' totalsRowCount="1"')
    none = hand.table_xml(2, "None", "C1:C1", ["N"])
    members = hand.parts({"S": hand.sheet_xml(rows)}, tables={"S": [table, none]})
    book = Book.open(hand.pack(tmp_path / "t.xlsx", members))
    kept, empty = book.table("Kept"), book.table("None")
    assert (kept.first_row, kept.last_row, kept.totals_rows, len(kept.rows)) == (2, 2, 1, 1)
    assert (empty.first_row, empty.last_row, empty.rows) == (2, 1, ())


def block(*lines, row=2, column=1):
    rows = ""
    for number, line in enumerate(lines):
        cells = ""
        for place, value in enumerate(line):
            name = "ABCDEFGHIJ"[column - 1 + place] + str(row + number)
            if value is not None:
                cells += (
                    f'<c r="{name}" t="inlineStr"><is><t xml:space="preserve">{value}</t></is></c>'
                    if isinstance(value, str)
                    else f'<c r="{name}"><v>{value}</v></c>'
                )
        rows += f'<row r="{row + number}">{cells}</row>'
    return rows


def test_a_table_without_its_definition_is_found_by_its_headings(one_sheet):
    rows = block(["My notes"], row=1) + block(
        ["Unit", " picked\u00a0ON ", "Crop", "Mine"], ["lb", 5, "plum", None], [None, None, "pear", 2], row=3, column=2
    )
    rows += block([None, "far below"], row=9)
    book = Book.open(one_sheet(rows))
    (found,) = book.tables_by_headings(["Crop", "Picked on"], "Harvest")
    assert (found.name, found.table_part, found.header_row, found.first_row, found.last_row) == (
        "Harvest",
        None,
        3,
        4,
        5,
    )
    assert (found.first_column, found.last_column) == (2, 5)
    assert [cell.value for cell in found.rows[1]] == [None, None, "pear", 2]
    assert book.tables_by_headings(["Crop", "Lid"], "Lids") == []


def test_headings_that_stand_apart_or_twice_are_told_apart(one_sheet):
    rows = (
        block(["Crop", "Unit", None, "Lid", "Crop"], row=1)
        + block(["Crop", "Lid"], ["a", "b"], row=5)
        + block(["Lid", "x", "crop"], row=9)
    )
    found = Book.open(one_sheet(rows)).tables_by_headings(["Crop", "Lid"], "L")
    assert [(one.header_row, one.first_column, one.last_row) for one in found] == [(1, 4, 1), (5, 1, 6), (9, 1, 9)]


def test_headings_among_shared_strings_are_found_and_those_of_real_tables_are_not(tmp_path, hand):
    book = Book.open(hand.pack(tmp_path / "p.xlsx", hand.plan_parts()))
    assert book.tables_by_headings(["Day", "Make"], "Plan") == []
    bare = Book.open(hand.pack(tmp_path / "q.xlsx", hand.plan_parts(tables={})))
    assert bare.table("Plan") is None
    (found,) = bare.tables_by_headings(["make", "DAY"], "Plan")
    assert (found.header_row, found.first_column, found.first_row, found.last_row) == (3, 2, 4, 7)


def test_hidden_protected_and_oddly_named_sheets_are_still_read(tmp_path, hand):
    members = hand.plan_parts()
    members["xl/workbook.xml"] = members["xl/workbook.xml"].replace(
        b'name="Plan" sheetId', b'name="Plan" state="veryHidden" sheetId'
    )
    members["xl/worksheets/sheet1.xml"] = members["xl/worksheets/sheet1.xml"].replace(
        b"<pageMargins", b'<sheetProtection sheet="1" password="CC1A"/><pageMargins'
    )
    book = Book.open(hand.pack(tmp_path / "p.xlsx", members))
    table = book.table("Plan")
    assert (table.sheet_state, table.protected, len(table.rows)) == ("veryHidden", True, 4)
    assert book.protected_sheets == ("Plan",)
    assert book.sheet_names == ("Plan", "Looking")


def test_a_sheet_that_is_not_there_is_said(plan_file):
    with pytest.raises(WorkbookRefused, match="no such sheet"):
        Book.open(plan_file).cell("Nowhere", 1, 1)


def test_the_digest_is_that_of_the_file(plan_file):
    import hashlib

    assert Book.open(plan_file).digest == hashlib.sha256(plan_file.read_bytes()).hexdigest()
