"""Putting new sheets behind the household's: append only, and right by the order of elements in the standard."""

from __future__ import annotations

import datetime
import re
import zipfile
from dataclasses import replace

import openpyxl
import pytest
from lxml import etree

from stillroom.errors import WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.new_sheet import Mark, NewCell, NewSheet, NewTable, Validation
from stillroom.workbook.ooxml.styles import Paint
from stillroom.workbook.ooxml.write_cells import NewFormula

HEADING = Look("Stillroom heading", bold=True, fill="DDEEDD", line="999999", wrap=True, across="center")
INPUT = Look("Stillroom input", fill="FFFFCC", locked=False)
DATE = Look("Stillroom date", number_format="ddd d mmm")
RED = Paint("AA0000", bold=True, fill="FFDDDD")

# ECMA-376 Part 1: CT_Worksheet (18.3.1.99), CT_Table (18.5.1.2), CT_Workbook (18.2.27), CT_Stylesheet (18.8.39)
ORDERS = {
    "worksheet": "sheetPr dimension sheetViews sheetFormatPr cols sheetData sheetCalcPr sheetProtection protectedRanges scenarios autoFilter sortState "
    "dataConsolidate customSheetViews mergeCells phoneticPr conditionalFormatting dataValidations hyperlinks printOptions pageMargins pageSetup "
    "headerFooter rowBreaks colBreaks customProperties cellWatches ignoredErrors smartTags drawing legacyDrawing legacyDrawingHF picture oleObjects "
    "controls webPublishItems tableParts extLst",
    "table": "autoFilter sortState tableColumns tableStyleInfo extLst",
    "workbook": "fileVersion fileSharing workbookPr workbookProtection bookViews sheets functionGroups externalReferences definedNames calcPr oleSize "
    "customWorkbookViews pivotCaches smartTagPr smartTagTypes webPublishing fileRecoveryPr webPublishObjects extLst",
    "styleSheet": "numFmts fonts fills borders cellStyleXfs cellXfs cellStyles dxfs tableStyles colors extLst",
    "c": "f v is extLst",
}


def misplaced(content):
    """Elements that do not stand in the order of the standard."""
    root = etree.fromstring(content)
    found = []
    for node in root.iter():
        order = ORDERS.get(etree.QName(node).localname, "").split() if isinstance(node.tag, str) else []
        places = [order.index(etree.QName(child).localname) for child in node if order and isinstance(child.tag, str)]
        if places != sorted(places):
            found.append(etree.QName(node).localname)
    return found


def members(path):
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def sheet_of(name="Plan", rows=5):
    return NewSheet(
        cells={(1, 1): NewCell("=The plan", HEADING), (2, 2): NewCell(NewFormula('SUM(Plan[Make])&"<"'), DATE), (2, 3): NewCell(datetime.date(2026, 1, 1))},
        tables=(NewTable(name, 4, 1, ("Day", "Preserve & <x>", "Make"), rows, HEADING, {"day": DATE, "Make": INPUT}, {"make": "1+1"}),),
        widths={1: 12, 2: 30.5}, heights={1: 30}, frozen_rows=4, frozen_columns=1, merged=("A1:C1",), title_rows=(4, 4), landscape=True, protected=True,
        validations=(Validation("B5:B9", "list", '"a<b,c"', title="t", message='say "x"'), Validation("C5:C9", "decimal", "0", "9", "between", strict=False)),
        tab_colour="88AA88", grid_lines=False,
        marks=(Mark("C5:C9", '$C5&"<"="7<"', RED), Mark("D5:D9", "D5>1", RED), Mark("E5", "TRUE", Paint("AA0000", bold=True))),
    )  # fmt: skip


def test_a_new_sheet_can_be_found_filled_and_saved_at_once(plan_file, tmp_path):
    book = Book.open(plan_file)
    assert book.add_sheet("Plan", sheet_of("Crop use")) == "Plan 2"
    table = book.table("crop use")
    assert (table.name, table.first_row, table.last_row, table.sheet) == ("Crop_use", 5, 9, "Plan 2")
    book.fill_table(table, {"Day": [datetime.date(2026, 8, 1)] * 7}, 7)
    receipt = book.save(tmp_path / "out.xlsx")
    carriers = [name for name in receipt.members_added if name.startswith(("customXml/", "docProps/"))]
    assert set(receipt.members_added) - set(carriers) == {
        "xl/worksheets/sheet3.xml",
        "xl/tables/table2.xml",
        "xl/worksheets/_rels/sheet3.xml.rels",
    }
    again = Book.open(tmp_path / "out.xlsx")
    assert [row[0].value for row in again.table("CropUse").rows] == [datetime.date(2026, 8, 1)] * 7
    assert again.table("Crop use").headings == ("Day", "Preserve & <x>", "Make")
    assert again.table("Crop use").rows[6][2].formula == "1+1"
    assert again.sheet_names == ("Plan", "Looking", "Plan 2")
    assert again.cell("Plan 2", 1, 1).value == "=The plan"
    assert again.cell("Plan 2", 2, 2).formula == 'SUM(Plan[Make])&"<"'
    assert again.table("Plan") == Book.open(plan_file).table("Plan")


def test_parts_only_grow_at_their_ends_and_keep_the_order_of_the_standard(plan_file, tmp_path):
    before = members(plan_file)
    book = Book.open(plan_file)
    book.add_sheet("One", sheet_of("A"))
    book.add_sheet("Two", sheet_of("B"))
    book.save(tmp_path / "out.xlsx")
    after = members(tmp_path / "out.xlsx")
    for name, content in after.items():
        assert misplaced(content) == [], name
    for name in ("xl/styles.xml", "xl/sharedStrings.xml"):
        old, new = before[name].decode(), after[name].decode()
        for part in ("fonts", "fills", "borders", "cellStyleXfs", "cellXfs", "cellStyles", "numFmts", "sst"):
            held = re.search(f"<{part}[ >].*</{part}>", old)
            if held:
                inner = re.sub(f"^<{part}[^>]*>|</{part}>$", "", held[0])
                assert inner in new
    assert after["xl/tables/table1.xml"] == before["xl/tables/table1.xml"]
    assert after["xl/worksheets/sheet1.xml"] == before["xl/worksheets/sheet1.xml"]


def test_other_readers_see_the_new_sheet_as_it_was_meant(plan_file, tmp_path):
    book = Book.open(plan_file)
    book.add_sheet("One", sheet_of("A"))
    book.save(tmp_path / "out.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx")["One"]
    assert sheet["A5"].style == "Stillroom date"
    assert sheet["A5"].number_format == "ddd d mmm"
    assert sheet["A4"].font.b
    assert sheet["A4"].fill.fgColor.rgb == "FFDDEEDD"
    assert not sheet["C5"].protection.locked
    assert sheet["A5"].protection.locked
    assert sheet.freeze_panes == "B5"
    assert sheet.print_title_rows == "$4:$4"
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.page_setup.fitToHeight == 0
    assert sheet.protection.sheet
    assert sheet.tables["A"].ref == "A4:C9"
    assert sheet["C2"].value == datetime.datetime(2026, 1, 1)
    assert {str(one.sqref): one.formula1 for one in sheet.data_validations.dataValidation} == {
        "B5:B9": '"a<b,c"',
        "C5:C9": "0",
    }


def test_a_named_style_of_ours_that_is_there_is_used_as_the_household_changed_it(plan_file, tmp_path):
    book = Book.open(plan_file)
    book.add_sheet("One", sheet_of("A"))
    book.save(tmp_path / "a.xlsx")
    content = members(tmp_path / "a.xlsx")
    styles = content["xl/styles.xml"]
    again = Book.open(tmp_path / "a.xlsx")
    again.add_sheet(
        "Two",
        NewSheet(
            cells={(1, 1): NewCell("x", HEADING), (1, 2): NewCell(1, Look("Stillroom heading", number_format="0.0"))}
        ),
    )
    again.save(tmp_path / "b.xlsx")
    now = members(tmp_path / "b.xlsx")["xl/styles.xml"]
    for part in ("cellStyles", "cellStyleXfs", "fonts", "fills", "borders"):
        assert (
            re.search(f"<{part}[ >].*</{part}>", now.decode())[0]
            == re.search(f"<{part}[ >].*</{part}>", styles.decode())[0]
        )
    sheet = openpyxl.load_workbook(tmp_path / "b.xlsx")["Two"]
    assert (sheet["B1"].style, sheet["B1"].number_format, sheet["B1"].font.b) == ("Stillroom heading", "0.0", True)


def test_names_are_made_to_fit_and_never_given_twice(plan_file, tmp_path):
    book = Book.open(plan_file)
    long = "A name that is longer than any sheet may have"
    given = [book.add_sheet(name, NewSheet()) for name in ("plan", long, long, "a/b:c*?[d]'", "")]
    assert given == ["plan 2", long[:31], long[:29] + " 2", "abcd", "Sheet"]
    assert len(set(book.sheet_names)) == 7
    assert all(len(name) <= 31 for name in book.sheet_names)
    assert book.add_sheet("T", NewSheet(tables=(NewTable("makes", 1, 1, ("a",), 1),))) == "T"
    assert book.table("makes").name == "makes_"  # a defined name of theirs is called makes
    book.save(tmp_path / "out.xlsx")
    assert openpyxl.load_workbook(tmp_path / "out.xlsx").sheetnames == list(book.sheet_names)


def test_a_workbook_without_styles_strings_or_relations_prefix_gets_what_it_needs(tmp_path, hand):
    parts = hand.parts({"S": hand.sheet_xml("")}, styles=None)
    text = parts["xl/workbook.xml"].decode()
    text = (
        text.replace(f' xmlns:r="{hand.relations}"', "")
        .replace("r:id=", f'xmlns:q="{hand.relations}" q:id=')
        .replace("<", "<m:")
        .replace("<m:/", "</m:")
        .replace("<m:?", "<?")
    )
    parts["xl/workbook.xml"] = text.replace("xmlns=", "xmlns:m=").encode()
    path = hand.pack(tmp_path / "bare.xlsx", parts)
    book = Book.open(path)
    book.add_sheet("New", sheet_of("A"))
    book.save(tmp_path / "out.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx")["New"]
    assert sheet["A4"].font.b
    assert sheet.print_title_rows == "$4:$4"


def test_what_cannot_be_built_is_refused_and_adds_nothing(plan_file):
    book = Book.open(plan_file)
    for sheet in (
        NewSheet(cells={(0, 1): NewCell(1)}),
        NewSheet(cells={(1, 1): NewCell(float("nan"))}),
        NewSheet(tables=(NewTable("A", 1, 1, ("x", " X"), 2),)),
        NewSheet(tables=(NewTable("A", 1, 1, (), 2),)),
    ):
        with pytest.raises(WorkbookRefused):
            book.add_sheet("S", sheet)
    assert not book.changed()


def test_the_same_sheet_added_twice_over_gives_the_same_bytes(plan_file, tmp_path):
    for name in ("a", "b"):
        book = Book.open(plan_file)
        book.add_sheet("One", sheet_of("A"))
        book.save(tmp_path / name)
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()


def test_a_new_sheet_with_formulas_is_calculated_on_loading(one_sheet, tmp_path):
    book = Book.open(one_sheet(""))
    book.add_sheet("One", NewSheet(cells={(1, 1): NewCell(NewFormula("1+1"))}))
    assert "xl/workbook.xml" in book.save(tmp_path / "a.xlsx").members_changed
    assert b'fullCalcOnLoad="1"' in members(tmp_path / "a.xlsx")["xl/workbook.xml"]


def test_wrong_values_on_a_new_sheet_are_caught_by_the_check(plan_file, tmp_path, monkeypatch):
    from stillroom.workbook.ooxml import save
    from stillroom.workbook.ooxml.verify import package
    from stillroom.workbook.ooxml.zip import Container

    seen = {}
    check = package.complaints
    monkeypatch.setattr(save.verify, "complaints", lambda *given: seen.update(given=given) or check(*given))
    book = Book.open(plan_file)
    book.add_sheet("One", sheet_of("A"))
    book.fill_table(book.table("A"), {"Day": [datetime.date(2026, 8, 1)] * 5}, 5)
    book.save(tmp_path / "out.xlsx")
    old, new, claims = seen["given"]
    content = members(tmp_path / "out.xlsx")["xl/worksheets/sheet3.xml"]
    for right, wrong in ((b"<v>46235</v>", b"<v>46236</v>"), (b"</sheetData>", b"</sheetDat>")):
        assert right in content
        container = Container(new)
        bad = b"".join(
            container.rewritten({"xl/worksheets/sheet3.xml": content.replace(right, wrong, 1)}, {}, frozenset())
        )
        assert check(old, bad, claims)


def test_marks_of_the_same_colours_share_a_format_and_the_formats_of_theirs_keep_their_numbers(plan_file, tmp_path):
    theirs = openpyxl.load_workbook(plan_file)
    rule = openpyxl.formatting.rule.FormulaRule(["A1=1"], font=openpyxl.styles.Font(color="FF112233"))
    theirs.worksheets[0].conditional_formatting.add("A1", rule)
    theirs.save(tmp_path / "theirs.xlsx")
    book = Book.open(tmp_path / "theirs.xlsx")
    given = book.add_sheet("Plan", sheet_of("Crop use"))
    book.save(tmp_path / "out.xlsx")
    out = openpyxl.load_workbook(tmp_path / "out.xlsx")
    seen = {str(one.sqref): one.rules[0] for one in out[given].conditional_formatting}
    assert {area: (rule.formula, rule.dxfId, rule.priority) for area, rule in seen.items()} == {
        "C5:C9": (['$C5&"<"="7<"'], 1, 1),
        "D5:D9": (["D5>1"], 1, 2),
        "E5": (["TRUE"], 2, 3),
    }
    assert seen["C5:C9"].dxf.fill.bgColor.rgb == "FFFFDDDD"
    (kept,) = out.worksheets[0].conditional_formatting
    assert (kept.rules[0].dxfId, kept.rules[0].dxf.font.color.rgb) == (0, "FF112233")


def test_folded_columns_a_page_high_and_where_words_stand_are_as_they_were_meant(plan_file, tmp_path):
    """The sign that unfolds stands on the column behind them, and the sheet says that it has one."""
    look = Look("Stillroom words", wrap=True, upright="center")
    cells = {(1, 1): NewCell("x", look), (1, 2): NewCell("y", replace(look, upright=None)), (1, 3): NewCell("z")}
    book = Book.open(plan_file)
    wide = dict.fromkeys(range(1, 6), 9.5)
    book.add_sheet("One", NewSheet(cells=cells, widths=wide, folded_columns=frozenset({2, 3}), pages_high=1))
    book.add_sheet("Two", NewSheet(cells=cells, widths=wide))
    book.save(tmp_path / "out.xlsx")
    one, two = (openpyxl.load_workbook(tmp_path / "out.xlsx")[name] for name in ("One", "Two"))
    folded = {letter: (dim.hidden, dim.outlineLevel, dim.collapsed) for letter, dim in one.column_dimensions.items()}
    plain = (False, 0, False)
    assert folded == {"A": plain, "B": (True, 1, False), "C": (True, 1, False), "D": (False, 0, True), "E": plain}
    assert (one.sheet_format.outlineLevelCol, two.sheet_format.outlineLevelCol) == (1, None)
    assert (one.page_setup.fitToHeight, two.page_setup.fitToHeight) == (1, 0)
    assert one.oddFooter.left.text == "&A"
    assert [one[name].alignment.vertical for name in ("A1", "B1", "C1")] == ["center", "top", None]
