"""How the two families lay out their own workbook: their sheets, columns, colours, formulas and chart."""

from __future__ import annotations

import datetime
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from household_facts import LABEL, Parameters, contents_of
from openpyxl.chart import BarChart, Reference
from openpyxl.formatting.rule import CellIsRule, DataBarRule
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet
from their_file import SavedValues, define_table, finished, put

from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema import tables
from stillroom.workbook.starter import examples
from stillroom.workbook.starter.layout import Contents, Entry, Formula, Place, Row, stands
from stillroom.workbook.starter.start import adopt

BERRY, ROSE, MILK, SLATE, PALE = "6B2D5C", "F8EAF1", "FFFDFB", "3A3A4A", "EBD5E1"
FONT = "Verdana"


@dataclass(frozen=True)
class Own:
    """One of our tables on one of their sheets: where it begins, its columns in their order, and their own columns."""

    table: str
    sheet: str
    row: int
    column: int
    own: tuple[str, ...] = ()
    first: tuple[str, ...] = ()
    spare: int = 6


LAYOUT = (
    Own(
        "Harvest", "Weighed in", 6, 1, own=("Bed", "Picked by"), first=("Crop", "Amount", "Unit", "Picked on"), spare=30
    ),
    Own("Crops", "Weighed in", 6, 14, first=("Crop", "Unit", "Keeps days")),
    Own("Containers", "Cupboard", 3, 1, first=("On hand", "Container"), own=("Shelf mark",)),
    Own("Lids", "Cupboard", 17, 1),
    Own("Pantry", "Cupboard", 27, 1),
    Own("Shelf", "Cupboard", 39, 1, spare=12),
    Own("Preserves", "Recipes", 3, 1, own=("Stars",), first=("Include", "Preserve")),
    Own("Ingredients", "Recipes", 3, 22),
    Own("Winter list", "Winter list", 3, 1, own=("Who asked for it",), first=("Importance", "Target", "Wanted")),
    Own("Counts toward", "Winter list", 3, 18),
    Own("Plan", "The plan", 5, 2, own=("Done by",), spare=90),
    Own("Coverage", "Winter list", 34, 1, spare=26),
    Own("Record", "What we made", 3, 1, own=("Weather",), spare=40),
)
"""Kitchen, Hours, Equipment, Space, Crop use, Shopping and Messages are not there: `stillroom adopt` adds them."""
CONSTRAINTS = (
    "House one cans on Saturdays, house two on Sundays.",
    "Whoever labels the jars may taste first.",
    "Jars come back washed, or not at all.",
)
WANTED = examples.WANTED.replace('INDEX(Kitchen[Value],MATCH("people",Kitchen[Setting],0))', "'House rules'!$B$4")
"""Their winter list counts the people at both tables, who stand on their own sheet."""
SHEETS = (
    "Fridge door",
    "The plan",
    "Weighed in",
    "Cupboard",
    "Recipes",
    "Winter list",
    "House rules",
    "What we made",
    "Seeds",
)
BEDS = ("long bed", "south wall", "tunnel", "by the hedge")
PICKERS = ("house one", "house two")
SEEDS = (("plum tomato", 46), ("slicing tomato", 18), ("snap beans", 120), ("sweet corn", 160), ("cabbage", 30))


def build(facts: Parameters) -> bytes:
    """The bytes of the workbook: theirs, moved in, and what was added filled in."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / facts.file
        path.write_bytes(theirs(facts))
        book = Book.open(path)
        adopted = adopt(book)
        book.save(path.with_name("adopted.xlsx"))
        book = Book.open(path.with_name("adopted.xlsx"))
        for sheet in adopted.sheets:
            words = book.cell(sheet, 3, 1).value
            book.set(sheet, 3, 1, f"{LABEL} {words or ''}".strip())
        contents = contents_of(facts)
        for name in adopted.added:
            if contents.rows.get(name):
                fill(book, name, contents.rows[name])
        book.save(path.with_name("filled.xlsx"))
        return path.with_name("filled.xlsx").read_bytes()


def fill(book: Book, name: str, rows: Sequence[Row]) -> None:
    """Type the rows of a table that was added."""
    table = book.table(name)
    if table is None:
        msg = f"there is no table {name}"
        raise LookupError(msg)
    columns = {heading: [typed(row.get(heading)) for row in rows] for heading in table.headings}
    book.fill_table(table, columns, len(rows))


def typed(entry: Entry) -> str | int | float | datetime.date | datetime.time | None:
    """What is typed into a cell; nothing that was added holds a formula."""
    if isinstance(entry, Formula):
        msg = f"{entry.text} is a formula"
        raise TypeError(msg)
    return entry


def theirs(facts: Parameters) -> bytes:
    """The bytes of their own workbook, before they moved in."""
    contents = contents_of(facts)
    rows = [{**row, "Wanted": Formula(WANTED, row["Wanted"].value)} for row in contents.rows["Winter list"]]
    contents = replace(contents, rows={**contents.rows, "Winter list": rows})
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    for name in SHEETS:
        sheet = workbook.create_sheet(name)
        sheet.sheet_properties.tabColor = BERRY
        sheet["A1"] = facts.title if name == "Fridge door" else name
        sheet["A1"].font = Font(name=FONT, size=18, bold=True, color=BERRY)
        sheet["A2"] = LABEL
        sheet["A2"].font = Font(name=FONT, size=9, italic=True, color=SLATE)
    saved: SavedValues = {}
    for own in LAYOUT:
        write(workbook, own, contents, saved)
    add_fridge_door(workbook, saved)
    add_weighed_chart(workbook["Weighed in"], facts, contents, saved)
    add_seeds(workbook["Seeds"], saved)
    add_rules(workbook["House rules"], facts)
    add_their_colours(workbook)
    return finished(workbook, facts.title, saved)


def write(workbook: Workbook, own: Own, contents: Contents, saved: SavedValues) -> None:
    """Write one table in their order and style."""
    table = tables()[own.table]
    rest = [heading for heading in table.headings if heading not in own.first]
    headings = (*own.first, *rest, *contents.extra.get(own.table, ()), *own.own)
    rows = [with_own(own, row, index) for index, row in enumerate(contents.rows.get(own.table, ()))]
    last = own.row + max(len(rows) + own.spare, 1)
    place = Place(table, own.sheet, own.column, own.row, own.row + 1, last, headings)
    worksheet = workbook[own.sheet]
    worksheet.row_dimensions[own.row].height = 30
    for offset, heading in enumerate(headings):
        column = own.column + offset
        title = worksheet.cell(own.row, column, heading)
        title.font = Font(name=FONT, size=10, bold=True, color=MILK)
        title.fill = PatternFill("solid", start_color=BERRY)
        across, indent = ("left", 1) if heading in own.own else stands(place, heading)
        title.alignment = Alignment(wrap_text=True, vertical="center", horizontal=across, indent=indent)
        wraps = heading in {"Uses", "Change", "Note"}
        for index in range(last - own.row):
            cell = worksheet.cell(own.row + 1 + index, column)
            cell.font = Font(name=FONT, size=10, color=SLATE)
            cell.alignment = Alignment(wrap_text=wraps, vertical="top", horizontal=across, indent=indent)
            cell.border = Border(bottom=Side(style="thin", color=PALE))
            if index % 2:
                cell.fill = PatternFill("solid", start_color=ROSE)
            kind = next((one.kind for one in table.columns if one.heading == heading), "")
            if kind == "date":
                cell.number_format = "dd\\ mmm\\ yyyy"
            if kind == "number" and table.role == "output":
                cell.number_format = "0.0" if heading in {"Loads", "Hands-on h", "Stove h"} else "0"
            if heading == "Covered":
                cell.number_format = "0%"
            if index < len(rows):
                put(worksheet, own.row + 1 + index, column, rows[index].get(heading), saved)
    define_table(workbook, place, rows)
    set_widths(worksheet, place, rows)


def with_own(own: Own, row: Row, index: int) -> Row:
    """The row with what they keep in their own columns."""
    notes = {
        "Bed": BEDS[index % len(BEDS)],
        "Picked by": PICKERS[index % len(PICKERS)],
        "Whose": PICKERS[index % len(PICKERS)],
        "Shelf mark": f"row {index + 1}",
        "Stars": "*" * (1 + index * 7 % 5),
        "Who asked for it": PICKERS[index * 3 % len(PICKERS)],
    }
    if own.table in {"Crops", "Equipment", "Preserves", "Ingredients"}:
        notes["Note"] = ""
    return {**row, **{heading: words or None for heading, words in notes.items() if heading in {*own.own, "Note"}}}


def set_widths(worksheet: Worksheet, place: Place, rows: Sequence[Row]) -> None:
    """Wide enough for what stands there, never narrower than another table made it."""
    for offset, heading in enumerate(place.headings):
        letter = get_column_letter(place.first_column + offset)
        longest = max(
            (len(str(row.get(heading) or "")) for row in rows if not isinstance(row.get(heading), Formula)), default=0
        )
        known = worksheet.column_dimensions[letter].width if letter in worksheet.column_dimensions else 0
        least = {"Preserve": 36, "Uses": 46, "Target": 34, "Day": 14, "Date": 14}.get(heading, 11)
        worksheet.column_dimensions[letter].width = max(known, least, min(longest * 1.25 + 2, 60))


def add_fridge_door(workbook: Workbook, saved: SavedValues) -> None:
    """Their first sheet: what they look at, worked out of our tables by their own formulas."""
    sheet = workbook["Fridge door"]
    lines = (
        ("Jars, bags and boxes to make in the next seven days", Formula("SUMIFS(Plan[Make],Plan[Days],1)", 0)),
        ("Hands-on hours for that", Formula("SUMIFS(Plan[Hands-on h],Plan[Days],1)", 0)),
        ("Lines of the winter list that are filled", Formula('COUNTIF(Coverage[Covered],">=0.995")', 0)),
        ("Lines of the winter list", Formula("COUNTA(Winter_list[Target])", 19)),
    )
    for index, (words, formula) in enumerate(lines):
        sheet.cell(4 + index, 1, words).font = Font(name=FONT, size=12, color=SLATE)
        put(sheet, 4 + index, 2, formula, saved)
        sheet.cell(4 + index, 2).font = Font(name=FONT, size=14, bold=True, color=BERRY)
        sheet.cell(4 + index, 2).number_format = "0"
        sheet.row_dimensions[4 + index].height = 24
    sheet["A9"] = "House one cans on Saturdays, house two on Sundays. Whoever labels the jars may taste first."
    sheet["A9"].font = Font(name=FONT, size=11, italic=True, color=SLATE)
    sheet.column_dimensions["A"].width = 68
    sheet.column_dimensions["B"].width = 14


def add_weighed_chart(sheet: Worksheet, facts: Parameters, contents: Contents, saved: SavedValues) -> None:
    """Pounds weighed so far by crop, and their chart of it, on the right of the weighing sheet."""
    first = 34
    sheet.cell(6, first, "Crop").font = sheet.cell(6, first + 1, "Weighed lb").font = Font(
        name=FONT, bold=True, color=BERRY
    )
    for index, crop in enumerate(facts.picks):
        row = 7 + index
        weighed = sum(
            float(str(lot["Amount"]))
            for lot in contents.rows["Harvest"]
            if lot["Crop"] == crop and lot["Weighed or expected"] == "weighed"
        )
        name = f"{get_column_letter(first)}{row}"
        sheet.cell(row, first, crop).font = Font(name=FONT, size=10, color=SLATE)
        text = f'SUMIFS(Harvest[Amount],Harvest[Crop],{name},Harvest[Weighed or expected],"weighed")'
        put(sheet, row, first + 1, Formula(text, weighed), saved)
    sheet.column_dimensions[get_column_letter(first)].width = 18
    chart = BarChart()
    chart.title = "Weighed in so far (lb)"
    chart.style = 12
    last = 6 + len(facts.picks)
    chart.add_data(Reference(sheet, min_col=first + 1, min_row=6, max_row=last), titles_from_data=True)
    chart.set_categories(Reference(sheet, min_col=first, min_row=7, max_row=last))
    chart.legend = None
    chart.x_axis.delete = chart.y_axis.delete = False
    chart.series[0].graphicalProperties.solidFill = BERRY
    chart.width, chart.height = 22, 9
    sheet.add_chart(chart, f"{get_column_letter(first + 3)}6")


def add_rules(sheet: Worksheet, facts: Parameters) -> None:
    """How many eat with them, and what they agreed on."""
    sheet["A4"], sheet["B4"] = "People at both tables", facts.people
    for row, words in enumerate(CONSTRAINTS, start=6):
        sheet.cell(row, 1, words)
    for row in range(4, 6 + len(CONSTRAINTS)):
        sheet.cell(row, 1).font = Font(name=FONT, size=11, color=SLATE)
    sheet["B4"].font = Font(name=FONT, size=14, bold=True, color=BERRY)
    sheet.column_dimensions["A"].width = 52


def add_seeds(sheet: Worksheet, saved: SavedValues) -> None:
    """A sheet that has nothing to do with us: plants and their cost, with sums of their own."""
    for column, heading in enumerate(("Plant", "How many", "Cost each", "Cost"), start=1):
        sheet.cell(4, column, heading).font = Font(name=FONT, bold=True, color=BERRY)
        sheet.cell(4, column).alignment = Alignment(horizontal="left" if column == 1 else "right")
    for index, (plant, number) in enumerate(SEEDS):
        row = 5 + index
        sheet.cell(row, 1, plant)
        sheet.cell(row, 2, number)
        sheet.cell(row, 3, 0.08)
        put(sheet, row, 4, Formula(f"B{row}*C{row}", round(number * 0.08, 2)), saved)
        sheet.cell(row, 4).number_format = "0.00"
    last = 4 + len(SEEDS)
    sheet.cell(last + 1, 1, "Together").font = Font(name=FONT, bold=True)
    total = round(sum(number for _, number in SEEDS) * 0.08, 2)
    put(sheet, last + 1, 4, Formula(f"SUM(D5:D{last})", total), saved)
    for letter, width in (("A", 20), ("B", 14), ("C", 14), ("D", 12)):
        sheet.column_dimensions[letter].width = width


def add_their_colours(workbook: Workbook) -> None:
    """Frozen rows, bars and colours they like."""
    workbook["The plan"].freeze_panes = "A6"
    workbook["Recipes"].freeze_panes = "C4"
    workbook["Weighed in"].freeze_panes = "A7"
    workbook["The plan"]["B3"] = "Cross it out when it is done. Ask before you change Fix."
    workbook["The plan"]["B3"].font = Font(name=FONT, size=10, italic=True, color=SLATE)
    workbook["The plan"].column_dimensions["A"].width = 3
    workbook["The plan"].conditional_formatting.add(
        "E6:E95", CellIsRule(operator="greaterThan", formula=["6"], font=Font(bold=True, color=BERRY))
    )
    workbook["Winter list"].conditional_formatting.add(
        "E35:E60", DataBarRule(start_type="num", start_value=0, end_type="num", end_value=1, color=BERRY)
    )
    for sheet in workbook.worksheets:
        sheet.page_setup.orientation = "landscape"
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        sheet.sheet_view.zoomScale = 90
