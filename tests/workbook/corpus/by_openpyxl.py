"""Household workbooks made with openpyxl, each with something in it that a careless save would lose or change."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path

from openpyxl import Workbook
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.chart import BarChart, LineChart, PieChart, Reference, ScatterChart, Series
from openpyxl.comments import Comment
from openpyxl.formatting.rule import ColorScaleRule, DataBarRule, FormulaRule, IconSetRule
from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Protection, Side
from openpyxl.utils.datetime import CALENDAR_MAC_1904
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.workbook.protection import WorkbookProtection
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.formula import ArrayFormula, DataTableFormula
from openpyxl.worksheet.hyperlink import Hyperlink
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.table import Table, TableColumn, TableFormula
from openpyxl.worksheet.worksheet import Worksheet

DAY = datetime.date(2026, 8, 1)
EGGS = [("Monday", 7, 2.5), ("Tuesday", 9, 3.25), ("Wednesday", 6, None), ("Thursday", 0, -1.75), ("Friday", 12, 1e-7)]


def eggs(book: Workbook, title: str = "Eggs") -> Worksheet:
    """Fill a sheet with a few rows and sums."""
    sheet = book.active
    sheet.title = title
    sheet.append(["Weekday", "Eggs", "Paid"])
    for row in EGGS:
        sheet.append(row)
    sheet["A8"], sheet["B8"], sheet["C8"] = "Together", "=SUM(B2:B6)", "=SUM(C2:C6)"
    return sheet


def add_table(sheet: Worksheet, name: str, ref: str, headings: list[str]) -> Table:
    """Make a block a table."""
    columns = [TableColumn(id=place, name=heading) for place, heading in enumerate(headings, 1)]
    table = Table(
        id=1 + len(sheet.parent._sheets) * 20 + len(sheet.tables), displayName=name.replace(" ", "_"), ref=ref
    )
    table.tableColumns = columns
    sheet.add_table(table)
    return table


def plain(book: Workbook) -> None:
    eggs(book)


def kinds_of_values(book: Workbook) -> None:
    sheet = book.active
    values = [True, False, "", " kept ", "=1+1", "a\nb", "é ½ 漢字", 0, -0.0, 1e300, 2**53, datetime.datetime(2026, 8, 1, 6, 30), DAY,
              datetime.time(6, 30), datetime.timedelta(hours=30), "#N/A", "_x0041_"]  # fmt: skip
    for row, value in enumerate(values, 1):
        sheet.cell(row, 1, value)
        sheet.cell(row, 2, str(value))
    sheet["C1"] = "=A8*2"
    sheet["D1"].value, sheet["D1"].data_type = "=not a formula", "s"


def named_styles(book: Workbook) -> None:
    sheet = eggs(book)
    book.add_named_style(
        NamedStyle(
            "stillroom input", font=Font(name="Courier New", bold=True), fill=PatternFill("solid", start_color="FF0000")
        )
    )
    book.add_named_style(NamedStyle("Good eggs", number_format='0.0 "eggs"', border=Border(left=Side("double"))))
    sheet["B2"].style, sheet["B3"].style = "Good eggs", "stillroom input"
    for column in range(1, 40):
        cell = sheet.cell(20, column, column / 7)
        cell.font = Font(size=8 + column % 9, color=f"FF{column * 6:02X}4080", italic=column % 2 == 0)
        cell.fill = PatternFill("lightUp", start_color=f"FF80{column * 5:02X}10")
        cell.number_format = ["0.0", "#,##0.00;[Red]-#,##0.00", "yyyy-mm-dd", "[h]:mm", "0%", "# ?/?"][column % 6]
        cell.alignment, cell.protection = Alignment(text_rotation=column), Protection(hidden=True)


def charts(book: Workbook) -> None:
    sheet = eggs(book)
    for place, kind in enumerate((BarChart, LineChart, PieChart)):
        chart = kind()
        chart.title = f"Eggs {place}"
        chart.add_data(Reference(sheet, min_col=2, min_row=1, max_row=6), titles_from_data=True)
        chart.set_categories(Reference(sheet, min_col=1, min_row=2, max_row=6))
        sheet.add_chart(chart, f"F{2 + 16 * place}")
    scatter = ScatterChart()
    scatter.series.append(
        Series(Reference(sheet, min_col=3, min_row=2, max_row=6), Reference(sheet, min_col=2, min_row=2, max_row=6))
    )
    book.create_chartsheet("Wall").add_chart(scatter)


def comments_and_links(book: Workbook) -> None:
    sheet = eggs(book)
    sheet["A2"].comment = Comment("the brown hen", "neighbour", height=90, width=200)
    sheet["B3"].comment = Comment("two with double yolk", "neighbour")
    sheet["A4"].hyperlink = "https://example.org/hens?a=1&b=2"
    sheet["A5"].hyperlink = Hyperlink(ref="A5", location="Eggs!B2", tooltip="up")


def rules_of_all_kinds(book: Workbook) -> None:
    sheet = eggs(book)
    sheet.conditional_formatting.add(
        "B2:B6", ColorScaleRule("min", start_color="FFFFFF", end_type="max", end_color="00AA00")
    )
    sheet.conditional_formatting.add("C2:C6", DataBarRule("min", None, "max", None, color="FF638EC6"))
    sheet.conditional_formatting.add(
        "A2:C6", FormulaRule(formula=["$B2>8"], font=Font(bold=True), fill=PatternFill(bgColor="FFFF00"))
    )
    sheet.conditional_formatting.add("B2:B6", IconSetRule("3TrafficLights1", "percent", [0, 33, 67]))
    for rule, area in (
        (DataValidation("list", formula1='"a,b,c"', allow_blank=True), "D2:D9"),
        (
            DataValidation(
                "whole", operator="between", formula1="1", formula2="9", showErrorMessage=True, error="1 to 9"
            ),
            "E2:E9",
        ),
        (DataValidation("custom", formula1="LEN(F2)<5"), "F2:F9 H2"),
    ):
        sheet.add_data_validation(rule)
        for one in area.split():
            rule.add(one)


def names(book: Workbook) -> None:
    sheet = eggs(book)
    book.defined_names["eggs"] = DefinedName("eggs", attr_text="Eggs!$B$2:$B$6")
    book.defined_names["Kitchen"] = DefinedName("Kitchen", attr_text="Eggs!$A$1")
    book.defined_names["secret"] = DefinedName("secret", attr_text="42", hidden=True)
    sheet.defined_names["here"] = DefinedName("here", attr_text="Eggs!$C$3")
    sheet["E1"] = "=SUM(eggs)+here+secret"
    sheet.print_title_rows, sheet.print_area = "1:1", "A1:C8"


def printing(book: Workbook) -> None:
    sheet = eggs(book)
    sheet.page_margins = PageMargins(left=0.11, right=0.22, top=0.33, bottom=0.44, header=0.1, footer=0.2)
    sheet.oddHeader.center.text, sheet.evenFooter.right.text = "&A & &D", "&P of &N"
    sheet.oddFooter.left.text, sheet.oddFooter.left.font = "Hens", "Arial,Bold"
    sheet.page_setup.orientation, sheet.page_setup.paperSize, sheet.page_setup.scale = "landscape", 9, 66
    sheet.row_breaks.append(Break(id=4))
    sheet.col_breaks.append(Break(id=2))
    sheet.print_options.horizontalCentered = sheet.print_options.gridLines = True


def views(book: Workbook) -> None:
    sheet = eggs(book)
    sheet.freeze_panes, sheet.sheet_view.zoomScale, sheet.sheet_view.showGridLines = "B2", 77, False
    sheet.column_dimensions.group("B", "D", outline_level=2, hidden=True)
    sheet.row_dimensions.group(2, 4, hidden=True)
    sheet.row_dimensions[5].height = 33.3
    sheet.auto_filter.ref = "A1:C6"
    sheet.auto_filter.add_filter_column(1, ["7", "9"])
    sheet.auto_filter.add_sort_condition("B2:B6")
    sheet.sheet_properties.tabColor = "1072BA"
    book.create_sheet("Hidden")["A1"] = "not shown"
    book["Hidden"].sheet_state = "hidden"
    book.create_sheet("Deep")["A1"] = "=Eggs!B8"
    book["Deep"].sheet_state = "veryHidden"
    book.active = 0


def merged(book: Workbook) -> None:
    sheet = eggs(book)
    for area in ("A10:C10", "E1:E8", "G2:H3"):
        sheet.merge_cells(area)
    sheet["A10"], sheet["E1"] = "the whole week", "tall"


def protected(book: Workbook) -> None:
    sheet = eggs(book)
    sheet.protection.set_password("hens")
    sheet.protection.enable()
    sheet.protection.formatCells = False
    book.security = WorkbookProtection(lockStructure=False, workbookPassword="hens")


def since_1904(book: Workbook) -> None:
    book.epoch = CALENDAR_MAC_1904
    sheet = eggs(book)
    sheet["D2"], sheet["D3"] = datetime.datetime(2026, 8, 1), datetime.datetime(2026, 8, 1, 12)


def rich_text(book: Workbook) -> None:
    sheet = eggs(book)
    bold = InlineFont(b=True, color="FFAA0000", rFont="Georgia", sz=14)
    sheet["E1"] = CellRichText("two ", TextBlock(bold, "brown"), " hens & a ", TextBlock(InlineFont(i=True), " cock "))


def arrays(book: Workbook) -> None:
    sheet = eggs(book)
    sheet["E2"] = ArrayFormula("E2:E6", "=B2:B6*2")
    sheet["F2"] = DataTableFormula(ref="F2:F6", dt2D=False, r1="B2", ca=True)
    sheet["G2"] = '=IFERROR(VLOOKUP("Monday",A2:C6,2,FALSE),"none")'


def own_tables(book: Workbook) -> None:
    sheet = eggs(book)
    table = add_table(sheet, "Hens", "A1:C6", ["Weekday", "Eggs", "Paid"])
    table.totalsRowShown = False
    more = book.create_sheet("More")
    more.append(["Hen", "Twice"])
    for name in ("Agnes", "Berta"):
        more.append([name, "=LEN(More[[#This Row],[Hen]])*2"])
    second = add_table(more, "More", "A1:B3", ["Hen", "Twice"])
    second.tableColumns[1].calculatedColumnFormula = TableFormula(attr_text="LEN(More[[#This Row],[Hen]])*2")
    sheet["E1"] = "=SUM(Hens[Eggs])"


def our_crops(book: Workbook) -> None:
    """They have our Crops and Harvest under their own headings' order, with columns of their own and sums on them."""
    sheet = eggs(book)
    beds = book.create_sheet("Beds & rows")
    headings = ["Bed", "Unit", "Crop", "Keeps days", "Note"]
    for column, heading in enumerate(headings, 3):
        beds.cell(4, column, heading).font = Font(bold=True)
    for row, values in enumerate((("south", "lb", "carrots", 14, "sweet"), ("north", "lb", "beets", 21, None)), 5):
        for column, value in enumerate(values, 3):
            beds.cell(row, column, value).fill = PatternFill("solid", start_color="FFEEEE00")
    add_table(beds, "crops", "C4:G9", headings)
    beds["C20"] = "=COUNTA(crops[Crop])"
    sheet["E1"] = "='Beds & rows'!F5"
    sheet["E2"] = "=B2*3"


def our_plan(book: Workbook) -> None:
    """They have our Plan on a sheet of their own, coloured, with a column of their own and formulas over it."""
    sheet = eggs(book)
    wall = book.create_sheet("Wall")
    headings = [
        "Day",
        "Days",
        "Preserve",
        "Make",
        "Unit",
        "Loads",
        "Uses",
        "Hands h",
        "Stove h",
        "Keep at",
        "Made",
        "Note",
        "Change",
        "Who",
    ]
    for column, heading in enumerate(headings, 2):
        wall.cell(3, column, heading)
        for row in range(4, 30):
            wall.cell(row, column).border = Border(bottom=Side("thin"))
    for row in range(4, 30):
        wall.cell(row, 2).number_format = "dd mmm"
    add_table(wall, "Plan", "B3:O29", headings)
    wall["B1"] = "What to do"
    wall["R4"] = "=SUM(Plan[Make])"
    sheet["E1"], sheet["E2"], sheet["E3"] = "=Wall!R4*2", "=SUM(B2:B6)", "=SUM(Wall!E:E)"
    chart = LineChart()
    chart.add_data(Reference(wall, min_col=5, min_row=3, max_row=29), titles_from_data=True)
    wall.add_chart(chart, "T4")


def names_taken(book: Workbook) -> None:
    """Their sheets are called as ours would be."""
    eggs(book, "Kitchen")
    for name in ("Harvest", "PLAN", "On hand", "Coverage 2", "It's ours"):
        book.create_sheet(name)["B2"] = name


def many_sheets(book: Workbook) -> None:
    eggs(book)
    for number in range(60):
        sheet = book.create_sheet(f"Week {number}")
        for row in range(1, 12):
            sheet.append([row, row * number, f"text {row % 5}", f"=A{row}+B{row}"])


def looks_like_ours(book: Workbook) -> None:
    """A block of theirs has the headings of our Lids."""
    sheet = eggs(book)
    for column, heading in enumerate(("On hand", "Lid", "Where"), 6):
        sheet.cell(12, column, heading)
        sheet.cell(13, column, 7)


MAKERS: tuple[Callable[[Workbook], None], ...] = (
    plain, kinds_of_values, named_styles, charts, comments_and_links, rules_of_all_kinds, names, printing, views, merged, protected,
    since_1904, rich_text, arrays, own_tables, our_crops, our_plan, names_taken, many_sheets, looks_like_ours,
)  # fmt: skip


def cases() -> dict[str, Callable[[Path], None]]:
    """Every workbook of this kind by name: what makes it at a path."""

    def saved(make: Callable[[Workbook], None]) -> Callable[[Path], None]:
        def save(path: Path) -> None:
            book = Workbook()
            make(book)
            book.save(path)

        return save

    return {f"openpyxl {make.__name__}": saved(make) for make in MAKERS}
