"""One builder: a new workbook, and one in which everything of ours was added, hold the same sheets."""

from __future__ import annotations

import datetime

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.utils import range_boundaries
from openpyxl.xml.functions import tostring

from stillroom.errors import CouldNotWrite, WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.opened import empty_workbook
from stillroom.workbook.schema import tables
from stillroom.workbook.starter import start
from stillroom.workbook.starter.first_rows import Filling
from stillroom.workbook.starter.layout import SHEETS
from stillroom.workbook.starter.sheets import blank_contents
from stillroom.workbook.starter.start import adopt
from stillroom.workbook.writer import plan

DAY = datetime.date(2026, 8, 14)


@pytest.fixture(scope="module", params=["us", "metric", "blank"])
def both(request, tmp_path_factory):
    """The same kitchen as a new workbook and added to one of another program: with formulas, and with their values."""
    folder = tmp_path_factory.mktemp(request.param)
    given = {"metric": request.param == "metric", "people": 3, "altitude": "440 m"}
    if request.param == "blank":
        (folder / "new.xlsx").write_bytes(start.build(blank_contents(metric=False)))
    else:
        start.start(folder / "new.xlsx", Filling(**given))
    theirs = Workbook()
    theirs.active.title = "Hens"
    theirs.save(folder / "theirs.xlsx")
    book = Book.open(folder / "theirs.xlsx")
    adopt(book, None if request.param == "blank" else Filling(**given))
    book.save()
    paths = folder / "new.xlsx", folder / "theirs.xlsx"
    return [[load_workbook(path, data_only=values) for path in paths] for values in (False, True)]


def cells(sheet, aspect):
    """An aspect of every cell that is written, by its place."""
    return {cell.coordinate: aspect(cell) for row in sheet.iter_rows() for cell in row}


def xml(thing):
    return None if thing is None else tostring(thing.to_tree("x"))


def look(cell):
    """How a cell looks, in words; the letters of blank cells that are not ours are the workbook's own."""
    known = cell.parent.parent.__dict__.setdefault("looks known", {})
    if cell.style_id not in known:
        parts = (cell.font, cell.fill, cell.border, cell.alignment, cell.protection)
        known[cell.style_id] = (cell.style, cell.number_format, *(xml(part) for part in parts))
    found = known[cell.style_id]
    if cell.value is None and found[0] == "Normal":
        return "Normal"
    return (*found, cell.hyperlink and cell.hyperlink.location)


def sizes(sheet):
    columns = {
        letter: (one.width, one.hidden, one.outlineLevel, one.collapsed)
        for letter, one in sheet.column_dimensions.items()
    }
    return columns, {row: one.height for row, one in sheet.row_dimensions.items() if one.height}


def definitions(sheet):
    """Its tables: name, place, style, columns and the formulas that new rows get."""
    return [
        (
            table.name,
            table.displayName,
            table.ref,
            xml(table.tableStyleInfo),
            xml(table.autoFilter),
            [
                (one.id, one.name, one.calculatedColumnFormula and one.calculatedColumnFormula.attr_text)
                for one in table.tableColumns
            ],
        )
        for table in sheet.tables.values()
    ]


def painted(sheet):
    rules = [(str(one.sqref), rule) for one in sheet.conditional_formatting for rule in one.rules]
    return [
        (area, rule.formula, rule.priority, rule.stopIfTrue, xml(rule.dxf))
        for area, rule in sorted(rules, key=lambda pair: pair[1].priority)
    ]


def page(sheet):
    return (
        sheet.freeze_panes,
        sheet.print_area,
        sheet.print_title_rows,
        xml(sheet.page_setup),
        xml(sheet.page_margins),
        sheet.oddFooter.left.text,
        sheet.sheet_properties.tabColor.rgb if sheet.sheet_properties.tabColor else None,
        sheet.sheet_view.showGridLines,
        sheet.sheet_state,
        sheet.protection.sheet,
        sorted(str(one) for one in sheet.merged_cells.ranges),
    )


ASPECTS = {
    "values and formulas": lambda sheet: cells(sheet, lambda cell: (cell.value, cell.data_type)),
    "looks and number formats": lambda sheet: cells(sheet, look),
    "widths and heights": sizes,
    "drop-downs and limits": lambda sheet: [xml(rule) for rule in sheet.data_validations.dataValidation],
    "tables": definitions,
    "conditions": painted,
    "page": page,
    "charts": lambda sheet: [tostring(chart._write()) for chart in sheet._charts],
}


@pytest.mark.parametrize("aspect", ASPECTS)
def test_start_and_adopt_make_the_same_sheets(both, aspect):
    new, theirs = both[0]
    assert theirs.sheetnames == ["Hens", *new.sheetnames]
    for sheet in new:
        assert ASPECTS[aspect](sheet) == ASPECTS[aspect](theirs[sheet.title]), sheet.title


def test_start_and_adopt_save_the_same_values_of_formulas(both):
    new, theirs = both[1]
    for sheet in new:
        assert cells(sheet, lambda cell: cell.value) == cells(theirs[sheet.title], lambda cell: cell.value)
    formulas = [cell for sheet in both[0][0] for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
    assert all(new[cell.parent.title][cell.coordinate].value is not None for cell in formulas)


def test_the_shared_styles_are_defined_alike(both):
    new, theirs = both[0]
    named = {style.name: style for style in theirs._named_styles}
    for style in new._named_styles:
        if style.name.startswith("stillroom"):
            there = named[style.name]
            for part in ("font", "fill", "border", "alignment", "protection"):
                assert xml(getattr(style, part)) == xml(getattr(there, part)), (style.name, part)
            assert style.number_format == there.number_format == "General"


def test_a_plan_adds_the_output_tables_that_are_missing_as_they_stand_in_a_new_workbook(tmp_path):
    path = tmp_path / "theirs.xlsx"
    Workbook().save(path)
    book = Book.open(path)
    plan.write(book, {}, DAY, "ab" * 32)
    book.save()
    theirs = load_workbook(path)
    (tmp_path / "new.xlsx").write_bytes(start.build(blank_contents(metric=False)))
    new = load_workbook(tmp_path / "new.xlsx")
    written = [sheet for sheet, names in SHEETS.items() if tables()[names[0]].role == "output"]
    assert set(written) <= set(theirs.sheetnames)
    for sheet in written:
        for aspect in ("looks and number formats", "widths and heights", "drop-downs and limits", "tables", "charts"):
            if (sheet, aspect) != ("Messages", "widths and heights"):  # the row of the mark has a height of its own
                assert ASPECTS[aspect](theirs[sheet]) == ASPECTS[aspect](new[sheet]), (sheet, aspect)


def test_a_workbook_without_a_sheet_is_only_a_beginning(tmp_path):
    """It is neither read nor left behind: a new workbook has its sheets when it becomes a file."""
    (tmp_path / "empty.xlsx").write_bytes(empty_workbook("Kraut & Co"))
    with pytest.raises(WorkbookRefused, match="no sheets"):
        Book.open(tmp_path / "empty.xlsx")
    (tmp_path / "ours.xlsx").write_text("dear")
    with pytest.raises(CouldNotWrite):
        start.start(tmp_path / "ours.xlsx")


def test_the_kitchen_and_the_equipment_are_seen_whole_on_a_small_screen(both):
    """A screen of 1,366 points has 7 to a digit, and 60 for the numbers of the rows and the bar at the side."""
    sheet = both[0][0]["Kitchen"]
    places = {name: range_boundaries(area) for name, area in sheet.tables.items()}
    assert list(places) == ["Kitchen", "Hours"]
    assert {first for first, *_ in places.values()} == {1}
    assert places["Kitchen"][3] < places["Hours"][1]
    assert list(both[0][0]["Equipment"].tables) == ["Equipment"]
    for one in (sheet, both[0][0]["Equipment"]):
        assert 7 * sum(column.width for column in one.column_dimensions.values()) + 60 < 1366


@pytest.mark.parametrize("sheet", list(SHEETS))
def test_the_first_column_stays_in_view(both, sheet):
    assert both[0][0][sheet].freeze_panes.startswith("B")


def test_preserves_stand_by_crop_and_name_and_whether_they_are_made_beside_their_name(both):
    sheet = both[0][0]["Preserves"]
    assert [sheet.cell(5, column).value for column in (1, 2)] == ["Preserve", "Include"]
    recipes = {}
    for row in sheet.iter_rows(min_row=6, min_col=19, max_col=20, values_only=True):
        recipes.setdefault(row[0], []).append(row[1])
    crops = {row[0] for row in both[0][0]["Harvest"].iter_rows(min_row=6, min_col=11, max_col=11, values_only=True)}
    names = [row[0] for row in sheet.iter_rows(min_row=6, max_col=1, values_only=True) if row[0]]
    order = [(next((item for item in recipes[name] if item in crops), recipes[name][0]), name) for name in names]
    assert order == sorted(order)
