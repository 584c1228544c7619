"""Writing cells: what changes, what stays, what is refused."""

from __future__ import annotations

import datetime
import zipfile

import openpyxl
import pytest

from stillroom.errors import WorkbookRefused
from stillroom.reports.problems import sentences
from stillroom.workbook.ooxml.book import Book


def sheet(path, number=1):
    with zipfile.ZipFile(path) as archive:
        return archive.read(f"xl/worksheets/sheet{number}.xml").decode()


def member(path, name):
    with zipfile.ZipFile(path) as archive:
        return archive.read(name).decode()


def raw_records(path):
    """The compressed bytes of every member."""
    data = path.read_bytes()
    with zipfile.ZipFile(path) as archive:
        infos = archive.infolist()
    return {info.filename: data[info.header_offset : info.header_offset + 30 + info.compress_size] for info in infos}


def test_owned_cells_are_spliced_and_every_other_byte_stays(plan_file, tmp_path, hand):
    before, records = sheet(plan_file), raw_records(plan_file)
    book = Book.open(plan_file)
    book.set("Plan", 5, 4, 12.5)
    receipt = book.save(tmp_path / "out.xlsx")
    after = sheet(tmp_path / "out.xlsx")
    assert after == before.replace('<c r="D5" s="0"><v>5</v></c>', '<c r="D5" s="0"><v>12.5</v></c>')
    ours = {"[Content_Types].xml", "_rels/.rels", "xl/_rels/workbook.xml.rels"}  # point to the parts with the ids
    changed = {"xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml", "xl/workbook.xml"}
    assert set(receipt.members_changed) == changed | ours
    now = raw_records(tmp_path / "out.xlsx")
    assert {name for name in records if records[name] != now[name]} == set(receipt.members_changed)
    assert receipt.members_kept == len(records) - 6
    assert receipt.cells_written == 1


def test_every_kind_of_value_is_written_and_read_back(plan_file, tmp_path):
    wanted = {
        (4, 4): 7, (5, 4): -0.1, (6, 4): True, (7, 4): None, (4, 5): "plain", (5, 5): datetime.date(2026, 9, 1), (6, 5): datetime.time(7, 30),
        (7, 5): datetime.datetime(2026, 9, 1, 18, 5), (4, 3): "=1+1", (5, 3): "+a", (6, 3): " two  spaces ", (7, 3): "a_x0041_b\r\n\tc <&> \"'",
        (4, 2): 5, (5, 2): datetime.date(1999, 12, 31), (20, 30): "far", (9, 1): 1e300, (10, 1): 10**15 - 1, (11, 1): "", (12, 1): "平",
    }  # fmt: skip
    book = Book.open(plan_file)
    for cell, value in wanted.items():
        book.set("Plan", *cell, value)
    book.save(tmp_path / "out.xlsx")
    again = Book.open(tmp_path / "out.xlsx")
    assert {cell: again.cell("Plan", *cell).value for cell in wanted} == wanted
    assert {cell: type(again.cell("Plan", *cell).value) for cell in wanted} == {
        cell: type(value) for cell, value in wanted.items()
    }
    assert all(again.cell("Plan", *cell).formula is None for cell in wanted)
    theirs = openpyxl.load_workbook(tmp_path / "out.xlsx")["Plan"]
    assert (theirs["C4"].value, theirs["C4"].data_type) == ("=1+1", "s") or theirs["C4"].value == "=1+1"
    assert theirs["B5"].value == datetime.datetime(1999, 12, 31)
    assert theirs["B5"].number_format == "yyyy\\-mm\\-dd"


def test_text_goes_to_the_shared_strings_once_and_is_reused(plan_file, tmp_path):
    book = Book.open(plan_file)
    for row in range(4, 8):
        book.set("Plan", row, 5, "new text" if row % 2 else "Make")
    book.set("Plan", 20, 2, "rich text")
    book.save(tmp_path / "out.xlsx")
    strings = member(tmp_path / "out.xlsx", "xl/sharedStrings.xml")
    assert strings.endswith("</si><si><t>new text</t></si><si><t>rich text</t></si></sst>")
    assert 'count="11" uniqueCount="9"' in strings
    assert '<c r="E4" t="s"><v>2</v></c>' in sheet(tmp_path / "out.xlsx")
    assert '<c r="E5" t="s"><v>7</v></c>' in sheet(tmp_path / "out.xlsx")


def test_a_workbook_without_shared_strings_gets_text_in_the_cell(one_sheet, tmp_path):
    path = one_sheet("")
    book = Book.open(path)
    book.set("Here", 1, 1, "@x")
    book.save(tmp_path / "out.xlsx")
    assert '<sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>@x</t></is></c></row></sheetData>' in sheet(
        tmp_path / "out.xlsx"
    )


def test_writing_what_is_there_changes_nothing(plan_file):
    data = plan_file.read_bytes()
    book = Book.open(plan_file)
    table = book.table("Plan")
    columns = {heading: [row[number].value for row in table.rows] for number, heading in enumerate(table.headings)}
    book.fill_table(table, columns, len(table.rows))
    book.set("Plan", 50, 50, None)
    assert not book.changed()
    receipt = book.save()
    assert (receipt.written, receipt.backup, receipt.members_changed, receipt.cells_written) == (False, None, (), 0)
    assert plan_file.read_bytes() == data
    assert [path.name for path in plan_file.parent.iterdir()] == [plan_file.name]
    receipt = book.save(plan_file.with_name("copy.xlsx"))
    assert plan_file.with_name("copy.xlsx").read_bytes() == data


def test_a_number_is_not_the_text_of_it_and_true_is_not_one(plan_file):
    for value in ("5", True):
        book = Book.open(plan_file)
        book.set("Plan", 5, 4, value)
        assert book.changed()
    book = Book.open(plan_file)
    book.set("Plan", 5, 4, 5.0)
    assert not book.changed()


def test_the_same_edits_twice_give_the_same_bytes(plan_file, tmp_path):
    for name in ("a.xlsx", "b.xlsx"):
        book = Book.open(plan_file)
        table = book.table("plan")
        book.fill_table(table, {"Make": list(range(9)), "Note": [f"n{n}" for n in range(9)]}, 9)
        book.save(tmp_path / name)
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_rows_that_are_too_many_are_blanked_and_not_deleted(plan_file, tmp_path):
    book = Book.open(plan_file)
    book.fill_table(book.table("Plan"), {"Make": [1], "Preserve": ["x"]}, 1)
    book.save(tmp_path / "out.xlsx")
    again = Book.open(tmp_path / "out.xlsx").table("Plan")
    assert [[cell.value for cell in row] for row in again.rows][1:] == [
        [datetime.date(2026, 8, day), None, None, None] for day in (15, 16, 17)
    ]
    assert '<c r="D7" s="0"/>' in sheet(tmp_path / "out.xlsx")
    assert again.last_row == 7


def test_a_table_grows_with_the_formats_of_its_last_row(plan_file, tmp_path):
    book = Book.open(plan_file)
    days = [datetime.date(2026, 9, day) for day in range(1, 8)]
    book.fill_table(book.table("Plan"), {"Day": days, "Make": list(range(7))}, 7)
    receipt = book.save(tmp_path / "out.xlsx")
    table = member(tmp_path / "out.xlsx", "xl/tables/table1.xml")
    assert table.count('ref="B3:E10"') == 2
    text = sheet(tmp_path / "out.xlsx")
    assert '<dimension ref="B3:E10"/>' in text
    assert '<row r="10"><c r="B10" s="1"><v>46272</v></c><c r="D10"><v>6</v></c></row></sheetData>' in text
    assert "Looking!A1" in receipt.results_cleared
    again = Book.open(tmp_path / "out.xlsx").table("Plan")
    assert [row[0].value for row in again.rows] == days


def test_what_stands_below_a_table_is_named_and_nothing_is_queued(tmp_path, hand):
    rows = '<row r="1"><c r="A1"/></row><row r="2"><c r="A2"><v>1</v></c></row><row r="4"><c r="A4" s="1"/><c r="B4"><v>3</v></c><c r="C4"><v>3</v></c></row>'
    merged = '<mergeCells count="1"><mergeCell ref="A5:B5"/></mergeCells>'
    tables = [hand.table_xml(1, "Plan", "A1:B2", ["Day", "Make"]), hand.table_xml(2, "Other", "B6:C7", ["x", "y"])]
    path = hand.pack(tmp_path / "t.xlsx", hand.parts({"S": hand.sheet_xml(rows, after=merged)}, tables={"S": tables}))
    book = Book.open(path)
    with pytest.raises(WorkbookRefused) as refusal:
        book.fill_table(book.table("Plan"), {"Make": list(range(6))}, 6)
    assert [problem.where for problem in refusal.value.problems] == ["S!B4", "S!B6:C7", "S!A5:B5"]
    assert not book.changed()
    book.fill_table(book.table("Plan"), {"Make": [1, 2]}, 2)  # down to row 3 there is room
    assert book.changed()


def test_a_totals_row_is_in_the_way(tmp_path, hand):
    table = hand.table_xml(1, "Plan", "A1:A3", ["Make"], ' totalsRowCount="1"')
    path = hand.pack(
        tmp_path / "t.xlsx",
        hand.parts({"S": hand.sheet_xml('<row r="3"><c r="A3"><v>1</v></c></row>')}, tables={"S": [table]}),
    )
    book = Book.open(path)
    with pytest.raises(WorkbookRefused, match="totals row below: Plan"):
        book.fill_table(book.table("Plan"), {"Make": [1, 2]}, 2)


def test_calculated_columns_are_carried_into_new_rows(tmp_path, hand):
    column = '<tableColumn id="2" name="Twice"><calculatedColumnFormula>A2*2+Plan[[#This Row],[Make]]</calculatedColumnFormula></tableColumn>'
    rows = '<row r="1"><c r="A1"/></row><row r="2"><c r="A2"><v>1</v></c><c r="B2" s="4"><f>A2*2+Plan[[#This Row],[Make]]</f><v>3</v></c></row>'
    chain = f'<calcChain xmlns="{hand.main}"><c r="B2" i="1"/></calcChain>'
    members = hand.parts(
        {"S": hand.sheet_xml(rows)}, tables={"S": [hand.table_xml(1, "Plan", "A1:B2", ["Make", column])]}, chain=chain
    )
    path = hand.pack(tmp_path / "t.xlsx", members)
    book = Book.open(path)
    book.fill_table(book.table("Plan"), {"Make": [1, 2, 3]}, 3)
    receipt = book.save(tmp_path / "out.xlsx")
    assert '<c r="B4" s="4"><f>A4*2+Plan[[#This Row],[Make]]</f></c>' in sheet(tmp_path / "out.xlsx")
    assert receipt.members_dropped == ("xl/calcChain.xml",)
    assert "calcChain" not in member(tmp_path / "out.xlsx", "[Content_Types].xml") + member(
        tmp_path / "out.xlsx", "xl/_rels/workbook.xml.rels"
    )


def test_the_calculation_chain_goes_only_when_a_formula_is_overwritten(one_sheet, tmp_path, hand):
    chain = f'<calcChain xmlns="{hand.main}"><c r="A1" i="1"/></calcChain>'
    path = one_sheet('<row r="1"><c r="A1"><f>B1</f><v>1</v></c><c r="B1"><v>1</v></c></row>', chain=chain)
    book = Book.open(path)
    book.set("Here", 1, 2, 5)
    assert book.save(tmp_path / "a.xlsx").members_dropped == ()
    book = Book.open(path)
    book.set("Here", 1, 1, 5)
    assert book.save(tmp_path / "b.xlsx").members_dropped == ("xl/calcChain.xml",)
    assert '<c r="A1"><v>5</v></c>' in sheet(tmp_path / "b.xlsx")


@pytest.mark.parametrize(
    ("value", "why"),
    [
        (float("nan"), "finite"), (float("inf"), "finite"), (10**15, "sixteen digits"), ("x" * 32768, "32,767"), ("a\x07b", "code 7"),
        ("\ud800", "code"), ("\ufffe", "code"), (datetime.date(1899, 12, 31), "before the first"), (datetime.timedelta(1), "not a value"), (b"x", "not a value"),
    ],
)  # fmt: skip
def test_values_that_no_cell_can_hold_are_refused_at_once(plan_file, value, why):
    book = Book.open(plan_file)
    with pytest.raises(WorkbookRefused, match=why) as refusal:
        book.set("Plan", 4, 4, value)
    assert refusal.value.problems[0].where == "Plan!D4"
    with pytest.raises(WorkbookRefused, match=why):
        book.fill_table(book.table("Plan"), {"Make": [value]}, 1)


def test_cells_that_may_not_be_written_to_are_all_named(tmp_path, hand):
    rows = (
        '<row r="1"><c r="A1" t="inlineStr"><is><t>Make</t></is></c></row><row r="2"><c r="A2"><v>1</v></c></row><row r="3"><c r="A3"><v>1</v></c></row>'
        '<row r="5"><c r="A5"><f t="shared" ref="A5:A6" si="0">B5</f><v>0</v></c><c r="B5"><f t="array" ref="B5:B6">D5:D6</f><v>0</v></c></row>'
        '<row r="6"><c r="A6"><f t="shared" si="0"/><v>0</v></c><c r="B6"><v>0</v></c></row>'
    )
    merged = '<mergeCells count="1"><mergeCell ref="D1:E2"/></mergeCells>'
    tables = [
        hand.table_xml(1, "Plan", "A1:A3", ["Make"], ' totalsRowCount="1"'),
        hand.table_xml(2, "Q", "G1:G3", ["x"], ' tableType="queryTable"'),
    ]
    path = hand.pack(tmp_path / "t.xlsx", hand.parts({"S": hand.sheet_xml(rows, after=merged)}, tables={"S": tables}))
    data = path.read_bytes()
    book = Book.open(path)
    for row, column in ((1, 1), (3, 1), (5, 1), (6, 2), (5, 2), (2, 5), (1, 4), (2, 7), (6, 1), (2, 1)):
        book.set("S", row, column, 99)
    with pytest.raises(WorkbookRefused) as refusal:
        book.save()
    said = {problem.where.partition("!")[2]: sentences(problem)[0] for problem in refusal.value.problems}
    assert list(said) == ["A1", "E2", "G2", "A3", "A5", "B5", "B6"]
    for cell, words in {
        "A1": "heading",
        "A3": "totals",
        "A5": "share",
        "B6": "array",
        "E2": "merged",
        "G2": "query",
    }.items():
        assert words in said[cell]
    assert path.read_bytes() == data


def test_a_follower_of_a_shared_formula_may_be_overwritten(one_sheet, tmp_path):
    path = one_sheet(
        '<row r="5"><c r="A5"><f t="shared" ref="A5:A6" si="0">B5</f><v>0</v></c></row><row r="6"><c r="A6" t="b"><f t="shared" si="0"/><v>0</v></c></row>'
    )
    book = Book.open(path)
    book.set("Here", 6, 1, 4)
    book.save(tmp_path / "out.xlsx")
    assert '<row r="6"><c r="A6"><v>4</v></c></row>' in sheet(tmp_path / "out.xlsx")


def test_odd_prefixes_missing_addresses_and_single_quotes_are_written_into(tmp_path, hand):
    text = (
        f"<?xml version='1.0' encoding='UTF-8'?>\n<x:worksheet xmlns:x='{hand.main}' xmlns='http://example.org/other'><x:sheetPr/><!-- a <x:sheetData> -->"
        "<x:sheetData><x:row><x:c><x:v>1</x:v></x:c><x:c s='1' cm='1'><x:v>46248</x:v><x:extLst><x:ext uri='u'/></x:extLst></x:c></x:row >"
        "<x:row r='5'/><x:row r = '7' ><x:c r='C7'\n t='s' ><x:v>0</x:v></x:c ></x:row></x:sheetData></x:worksheet>"
    )
    path = hand.pack(tmp_path / "odd.xlsx", hand.parts({"Here": text}))
    book = Book.open(path)
    edits = {
        (1, 1): 8,
        (1, 2): datetime.date(2026, 1, 1),
        (1, 4): "d",
        (5, 2): True,
        (6, 1): 6,
        (7, 1): 1,
        (7, 3): 3,
        (7, 4): "z",
        (9, 9): 9,
    }
    for cell, value in edits.items():
        book.set("Here", *cell, value)
    book.save(tmp_path / "out.xlsx")
    again = Book.open(tmp_path / "out.xlsx")
    assert {cell: again.cell("Here", *cell).value for cell in edits} == edits
    written = sheet(tmp_path / "out.xlsx")
    assert "<x:c s='1'><x:v>46023</x:v><x:extLst><x:ext uri='u'/></x:extLst></x:c>" in written
    assert "<!-- a <x:sheetData> -->" in written
    assert "<x:c r='C7'\n ><x:v>3</x:v></x:c>" in written


def test_rows_wrapped_in_alternate_content_or_out_of_order_are_refused(one_sheet):
    path = one_sheet('<row r="5"><c r="A5"/></row><row r="3"><c r="A3"/></row>')
    book = Book.open(path)
    book.set("Here", 3, 1, 1)
    with pytest.raises(WorkbookRefused, match="rows not in order"):
        book.save()
    around = '<mc:AlternateContent xmlns:mc="http://schemas.openxmlformats.org/markup-compatibility/2006"><row r="1"/></mc:AlternateContent>'
    book = Book.open(one_sheet(around, name="two.xlsx"))
    book.set("Here", 1, 1, 1)
    with pytest.raises(WorkbookRefused, match="rows written oddly"):
        book.save()


def test_a_new_cell_takes_the_format_of_its_row_or_its_column(one_sheet, tmp_path):
    path = one_sheet('<row r="1" s="2" customFormat="1"/>', '<cols><col min="2" max="3" style="3"/></cols>')
    book = Book.open(path)
    for cell in ((1, 2), (2, 2), (2, 5)):
        book.set("Here", *cell, "x")
    book.save(tmp_path / "out.xlsx")
    text = sheet(tmp_path / "out.xlsx")
    assert 'c r="B1" s="2"' in text
    assert 'c r="B2" s="3"' in text
    assert 'c r="E2" t=' in text


def test_a_date_in_a_plain_cell_gets_a_date_format_at_the_end_of_the_styles(plan_file, tmp_path, hand):
    book = Book.open(plan_file)
    book.set("Plan", 4, 4, datetime.date(2026, 1, 2))
    book.set("Plan", 5, 4, datetime.date(2026, 1, 3))
    book.save(tmp_path / "out.xlsx")
    styles = member(tmp_path / "out.xlsx", "xl/styles.xml")
    assert '<cellXfs count="6">' in styles
    assert (
        styles.replace('<cellXfs count="6">', '<cellXfs count="5">').replace(
            '<xf numFmtId="14" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/></cellXfs>',
            "</cellXfs>",
        )
        == hand.styles
    )
    assert '<c r="D4" s="5"><v>46024</v></c>' in sheet(tmp_path / "out.xlsx")


def test_recalculation_on_load_is_set_once_and_only_where_there_are_formulas(plan_file, one_sheet, tmp_path):
    book = Book.open(plan_file)
    book.set("Plan", 4, 4, 1)
    book.save(tmp_path / "a.xlsx")
    assert '</definedNames><calcPr fullCalcOnLoad="1"/></workbook>' in member(tmp_path / "a.xlsx", "xl/workbook.xml")
    book = Book.open(tmp_path / "a.xlsx")
    book.set("Plan", 4, 4, 2)
    assert "xl/workbook.xml" not in book.save(tmp_path / "b.xlsx").members_changed
    book = Book.open(one_sheet("", workbook_more='<calcPr calcId="191029"/><extLst/>'))
    book.set("Here", 1, 1, 1)
    assert "xl/workbook.xml" not in book.save(tmp_path / "c.xlsx").members_changed


def test_headings_and_lengths_that_do_not_fit_are_said(plan_file):
    book = Book.open(plan_file)
    table = book.table("Plan")
    with pytest.raises(WorkbookRefused, match="column missing: Loads") as refusal:
        book.fill_table(table, {"Loads": [1]}, 1)
    assert refusal.value.problems[0].where == "Plan!B3"
    with pytest.raises(ValueError, match="2 values for 1 rows"):
        book.fill_table(table, {"Make": [1, 2]}, 1)
