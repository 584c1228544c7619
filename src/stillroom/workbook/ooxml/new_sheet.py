"""Building a new sheet and putting it after the last one of a workbook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from stillroom.errors import WorkbookRefused
from stillroom.household.cells import address, letters
from stillroom.workbook.ooxml.named_styles import Look, Looks
from stillroom.workbook.ooxml.opened import Opened
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.shared_strings import plain
from stillroom.workbook.ooxml.styles import Paint
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.ooxml.values import LAST_COLUMN, LAST_ROW, Rectangle, Value, escape_text, parse_range, whole
from stillroom.workbook.ooxml.write_cells import Contents, NewFormula, cell_bytes, check_value, name_of
from stillroom.workbook.ooxml.xml import MAIN, RELATIONS, escape_attribute

_DRAWING_HEAD = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_PLACE = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
_DRAW = "http://schemas.openxmlformats.org/drawingml/2006/main"
_CHART = "http://schemas.openxmlformats.org/drawingml/2006/chart"
_CHART_TYPE = "application/vnd.openxmlformats-officedocument.drawingml.chart+xml"
_DRAWING_TYPE = "application/vnd.openxmlformats-officedocument.drawing+xml"
_EMU_A_CM = 360_000


@dataclass(frozen=True)
class NewChart:
    """
    One chart: the XML of its part (ECMA-376 Part 1, 21.2.2.27 chartSpace), its name, and where it stands.

    Row and column of its upper left cell count from 1.
    """

    xml: bytes
    name: str
    row: int
    column: int
    width_cm: float
    height_cm: float


def add_charts(package: Package, sheet_part: str, charts: Sequence[NewChart]) -> str:
    """Add the charts of one new sheet with their drawing (20.5.2.35 wsDr); gives the drawing's relationship id."""
    drawing = package.free_name("xl/drawings/drawing{}.xml")
    package.add(drawing, b"", _DRAWING_TYPE)
    anchors = []
    for number, chart in enumerate(charts, 1):
        part = package.free_name("xl/charts/chart{}.xml")
        package.add(part, chart.xml if chart.xml.startswith(b"<?xml") else _DRAWING_HEAD + chart.xml, _CHART_TYPE)
        anchors.append(_anchor(chart, number, package.relate(drawing, f"{RELATIONS}/chart", part)))
    text = f'<xdr:wsDr xmlns:xdr="{_PLACE}" xmlns:a="{_DRAW}">{"".join(anchors)}</xdr:wsDr>'
    package.replace(drawing, _DRAWING_HEAD + text.encode())
    return package.relate(sheet_part, f"{RELATIONS}/drawing", drawing)


def _anchor(chart: NewChart, number: int, relation: str) -> str:
    """Place one chart by its corner and size (20.5.2.24 oneCellAnchor)."""
    width, height = round(chart.width_cm * _EMU_A_CM), round(chart.height_cm * _EMU_A_CM)
    return (
        f"<xdr:oneCellAnchor><xdr:from><xdr:col>{chart.column - 1}</xdr:col><xdr:colOff>0</xdr:colOff>"
        f"<xdr:row>{chart.row - 1}</xdr:row><xdr:rowOff>0</xdr:rowOff></xdr:from>"
        f'<xdr:ext cx="{width}" cy="{height}"/><xdr:graphicFrame macro=""><xdr:nvGraphicFramePr>'
        f'<xdr:cNvPr id="{number + 1}" name="{chart.name}"/><xdr:cNvGraphicFramePr/></xdr:nvGraphicFramePr>'
        f'<xdr:xfrm><a:off x="0" y="0"/><a:ext cx="0" cy="0"/></xdr:xfrm><a:graphic><a:graphicData uri="{_CHART}">'
        f'<c:chart xmlns:c="{_CHART}" xmlns:r="{RELATIONS}" r:id="{relation}"/></a:graphicData></a:graphic>'
        f"</xdr:graphicFrame><xdr:clientData/></xdr:oneCellAnchor>"
    )


@dataclass(frozen=True)
class Fill:
    """The color of a series, a pattern over it (ECMA-376 part 1, 20.1.10.51), and its edge; width in EMU."""

    color: str
    pattern: str = ""
    over: str = ""
    edge: str = ""
    edge_width: int | None = None


@dataclass(frozen=True)
class Series:
    """One series of a chart: the cell with its name, the cells with its values, and its fill."""

    name: str
    values: str
    fill: Fill


@dataclass(frozen=True)
class Frame:
    """
    A chart without its series.

    `kind` is bar or area; `stacked` adds the series up and shows a legend. `categories` are the cells of the names or
    days, `layout` the plot's place as shares of the chart (x, y, width, height), `most` and `step` the end and the
    marks of the axis of values. `dates` shows the categories as days.
    """

    title: str
    kind: str
    number_format: str
    categories: str
    stacked: bool = False
    layout: tuple[float, float, float, float] | None = None
    most: float | None = None
    step: float | None = None
    dates: bool = False


# Cells of a new sheet that look otherwise while something is so: what is to be filled in, falls short, is taken.


@dataclass(frozen=True)
class Mark:
    """
    Cells that are painted while a formula is true; the first mark of a sheet that holds is the one that shows.

    ``formula`` has no equals sign and is written for the first cell of ``area``, which may be several blocks with
    spaces between.
    """

    area: str
    formula: str
    paint: Paint


def marks_xml(marks: Sequence[Mark], looks: Looks) -> str:
    """Write the marks of a sheet (ECMA-376 Part 1, 18.3.1.18 conditionalFormatting, 18.3.1.10 cfRule)."""
    return "".join(
        f'<conditionalFormatting sqref="{one.area}">'
        f'<cfRule type="expression" dxfId="{looks.mark_number(one.paint)}" priority="{number}" stopIfTrue="1">'
        f"<formula>{escape_text(one.formula)}</formula></cfRule></conditionalFormatting>"
        for number, one in enumerate(marks, 1)
    )


_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml."
_LONGEST_NAME = 31
_NOT_IN_NAMES = str.maketrans("", "", "[]:*?/\\")


@dataclass(frozen=True)
class NewCell:
    """A value (or a formula) with its look; None is the plain look."""

    value: Value | NewFormula
    look: Look | None = None


@dataclass(frozen=True)
class NewTable:
    """
    A table: its name, where its first heading stands, its headings, and how many blank rows are ready below.

    ``looks`` and ``formulas`` (calculated columns, without the equals sign) go by heading; ``calculated`` are formulas
    that only rows added later get. Tables that share rows get
    no filter buttons: a filter hides whole rows, and with them the neighbour's. Without a ``style`` the cells look as
    their own formats say.
    """

    name: str
    row: int
    column: int
    headings: tuple[str, ...]
    rows: int
    heading_look: Look | None = None
    looks: Mapping[str, Look] = field(default_factory=dict)
    formulas: Mapping[str, str] = field(default_factory=dict)
    calculated: Mapping[str, str] = field(default_factory=dict)
    style: str = "TableStyleLight1"
    filter_buttons: bool = True

    @property
    def area(self) -> Rectangle:
        """The block of cells from the first heading to the last row; a table has at least one row."""
        return Rectangle(self.row, self.column, self.row + max(self.rows, 1), self.column + len(self.headings) - 1)


@dataclass(frozen=True)
class Validation:
    """
    A drop-down (kind "list") or a limit on what may be typed (18.3.1.32); ``first`` and ``second`` are formulas.

    ``message`` is said of what does not fit, under ``amiss`` (else the title), ``prompt`` as soon as the cell is
    chosen; kind "none" only prompts.
    """

    area: str
    kind: str
    first: str
    second: str | None = None
    operator: str | None = None
    title: str = ""
    message: str = ""
    strict: bool = True
    refuses: bool = True
    prompt: str = ""
    amiss: str = ""


@dataclass(frozen=True)
class NewSheet:
    """
    Everything on a new sheet. Widths are in characters by column number; rows and columns count from 1.

    ``heights`` are in points, and give way when somebody edits the row. ``folded_columns`` are not seen until somebody
    unfolds them. ``links`` lead from a cell to a place in the workbook (``'Plan'!A1``). ``pages_high`` 0 is as many
    pages as it takes; ``paper`` is the number of a paper size (18.3.1.63 pageSetup), None leaves it to the printer.
    ``state`` is visible, hidden, or veryHidden (18.2.19 sheet).
    """

    cells: Mapping[tuple[int, int], NewCell] = field(default_factory=dict)
    tables: tuple[NewTable, ...] = ()
    widths: Mapping[int, float] = field(default_factory=dict)
    heights: Mapping[int, float] = field(default_factory=dict)
    folded_columns: frozenset[int] = frozenset()
    frozen_rows: int = 0
    frozen_columns: int = 0
    merged: tuple[str, ...] = ()
    validations: tuple[Validation, ...] = ()
    marks: tuple[Mark, ...] = ()
    charts: tuple[NewChart, ...] = ()
    links: Mapping[tuple[int, int], str] = field(default_factory=dict)
    title_rows: tuple[int, int] | None = None
    print_areas: tuple[str, ...] = ()
    pages_wide: int = 1
    pages_high: int = 0
    landscape: bool = False
    paper: int | None = None
    protected: bool = False
    tab_colour: str | None = None
    grid_lines: bool = True
    state: str = "visible"


class SheetAdder:
    """Adds sheets to one opened workbook; only ever appends (styles, strings, relationships, content types, sheets)."""

    def __init__(self, opened: Opened) -> None:
        """Keep the workbook that is added to."""
        self._opened = opened
        self._looks = Looks(opened.package, opened.styles)

    def add(self, name: str, sheet: NewSheet) -> str:
        """Put a sheet after the last one; gives the name it got. Raises WorkbookRefused when it cannot be built."""
        self._check(sheet)
        package = self._opened.package
        given = self.free_name(name)
        part = package.free_name("xl/worksheets/sheet{}.xml")
        package.add(part, b"", _TYPE + "worksheet+xml")
        ids = []
        for table in sheet.tables:
            table_part = package.free_name("xl/tables/table{}.xml")
            package.add(table_part, self._table(table), _TYPE + "table+xml")
            ids.append(package.relate(part, f"{RELATIONS}/table", table_part))
        drawing = add_charts(package, part, sheet.charts) if sheet.charts else None
        package.replace(part, self._sheet(sheet, ids, drawing))
        self._opened.strings.write()
        names = []
        quoted = "'" + given.replace("'", "''") + "'"
        if sheet.print_areas:
            areas = ",".join(f"{quoted}!{fixed_range(parse_range(one))}" for one in sheet.print_areas)
            names.append(("_xlnm.Print_Area", areas))
        if sheet.title_rows:
            names.append(("_xlnm.Print_Titles", f"{quoted}!${sheet.title_rows[0]}:${sheet.title_rows[1]}"))
        self._opened.layout.append(given, part, names, sheet.state)
        self._opened.refresh()
        return given

    # ---- names -----------------------------------------------------------------------------------------------------

    def free_name(self, name: str) -> str:
        """Give the name made unique, without the signs that no sheet's name may hold, 31 letters at most."""
        taken = {one.casefold() for one in self._opened.layout.all_names}
        base = name.translate(_NOT_IN_NAMES).strip("' ")[:_LONGEST_NAME] or "Sheet"
        given, number = base, 2
        while given.casefold() in taken:
            ending = f" {number}"
            given = base[: _LONGEST_NAME - len(ending)] + ending
            number += 1
        return given

    def free_table_name(self, name: str) -> str:
        """Give the name that a new table would get: one that no table or defined name of the workbook has."""
        return self._table_name(name)[1]

    def _table_name(self, name: str) -> tuple[int, str]:
        """Give a new table's number and its name (18.5.1.2)."""
        numbers, taken = [0], {name.name.casefold() for name in self._opened.layout.names}
        for part in self._opened.package.parts_like("table"):
            root = self._opened.package.root(part)
            numbers.append(whole(root.get("id"), 0))
            taken |= {root.get("displayName", "").casefold(), root.get("name", "").casefold()}
        given = "_".join(name.split())
        while given.casefold() in taken:
            given += "_"
        return max(numbers) + 1, given

    # ---- parts -----------------------------------------------------------------------------------------------------

    def _check(self, sheet: NewSheet) -> None:
        for (row, column), cell in sheet.cells.items():
            if not (1 <= row <= LAST_ROW and 1 <= column <= LAST_COLUMN):
                raise WorkbookRefused.because(address(row, column), "outside the sheet")
            if not isinstance(cell.value, NewFormula):
                try:
                    check_value(cell.value)
                except ValueError as error:
                    raise WorkbookRefused.because(address(row, column), "value not writable", str(error)) from error
        for table in sheet.tables:
            if len({plain(heading) for heading in table.headings}) != len(table.headings) or not table.headings:
                raise WorkbookRefused.because(table.name, "same heading twice", table.name)

    def _table(self, table: NewTable) -> bytes:
        number, name = self._table_name(table.name)
        ref, given = str(table.area), escape_attribute(name)
        buttons = f'<autoFilter ref="{ref}"/>' if table.filter_buttons else ""
        named = f' name="{table.style}"' if table.style else ""
        columns = []
        every = {**table.calculated, **table.formulas}
        keys = {key_of(heading): formula for heading, formula in every.items()}
        for place, heading in enumerate(table.headings, 1):
            formula = keys.get(key_of(heading))
            inside = (
                f"><calculatedColumnFormula>{escape_text(formula)}</calculatedColumnFormula></tableColumn>"
                if formula
                else "/>"
            )
            columns.append(f'<tableColumn id="{place}" name="{escape_attribute(heading)}"{inside}')
        text = (
            f'{_HEAD}<table xmlns="{MAIN}" id="{number}" name="{given}" displayName="{given}" '
            f'ref="{ref}" totalsRowShown="0">'
            f'{buttons}<tableColumns count="{len(columns)}">{"".join(columns)}</tableColumns>'
            f'<tableStyleInfo{named} showFirstColumn="0" showLastColumn="0" '
            f'showRowStripes="{int(bool(table.style))}" showColumnStripes="0"/></table>'
        )
        return text.encode()

    def _sheet(self, sheet: NewSheet, table_ids: list[str], drawing: str | None) -> bytes:
        """Write the sheet part, its elements in the order of CT_Worksheet (18.3.1.99)."""
        cells = self._all_cells(sheet)
        rows = [row for row, _ in cells] or [1]
        columns = [column for _, column in cells] or [1]
        pieces = [f'{_HEAD}<worksheet xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheetPr>'.encode()]
        pieces.append((f'<tabColor rgb="FF{sheet.tab_colour}"/>' if sheet.tab_colour else "").encode())
        pieces.append(b'<pageSetUpPr fitToPage="1"/></sheetPr>')
        pieces.append(f'<dimension ref="{Rectangle(min(rows), min(columns), max(rows), max(columns))}"/>'.encode())
        pieces.append(_view(sheet).encode())
        outline = ' outlineLevelCol="1"' if sheet.folded_columns else ""
        pieces.append(f'<sheetFormatPr defaultRowHeight="15"{outline}/>'.encode())
        if sheet.widths:
            pieces.append(f"<cols>{_columns(sheet)}</cols>".encode())
        pieces += [b"<sheetData>", *self._rows(sheet, cells), b"</sheetData>"]
        pieces.append(_after_data(sheet, table_ids, drawing, marks_xml(sheet.marks, self._looks)).encode())
        pieces.append(b"</worksheet>")
        return b"".join(pieces)

    def _all_cells(self, sheet: NewSheet) -> dict[tuple[int, int], NewCell]:
        cells: dict[tuple[int, int], NewCell] = {}
        for table in sheet.tables:
            looks = {key_of(heading): look for heading, look in table.looks.items()}
            formulas = {key_of(heading): formula for heading, formula in table.formulas.items()}
            for number, heading in enumerate(table.headings):
                column, key = table.column + number, key_of(heading)
                cells[table.row, column] = NewCell(heading, table.heading_look)
                formula = formulas.get(key)
                below = NewCell(NewFormula(formula) if formula else None, looks.get(key))
                for row in range(table.row + 1, table.area.last_row + 1):
                    cells[row, column] = below
        cells.update(sheet.cells)
        return cells

    def _rows(self, sheet: NewSheet, cells: Mapping[tuple[int, int], NewCell]) -> list[bytes]:
        contents = Contents(self._opened.strings, self._opened.styles, date1904=self._opened.layout.date1904)
        by_row: dict[int, list[bytes]] = {row: [] for row in sheet.heights}
        styles: dict[int, int] = {id(None): 0}  # by the object: to hash a look takes longer than to write a cell
        for (row, column), cell in sorted(cells.items()):
            style = styles.get(id(cell.look))
            if style is None:
                style = styles[id(cell.look)] = self._looks.number(cell.look) if cell.look else 0
            if cell.value is None and style:  # most cells of a new table: they only have a format
                by_row.setdefault(row, []).append(b'<c r="%b%d" s="%d"/>' % (name_of(column), row, style))
            elif cell.value is not None:
                content = contents.of(cell.value, style, b"")
                by_row.setdefault(row, []).append(cell_bytes(row, column, content, b""))
        rows = []
        for row in sorted(by_row):
            height = f' ht="{sheet.heights[row]:g}"' if row in sheet.heights else ""
            rows.append(f'<row r="{row}"{height}>'.encode() + b"".join(by_row[row]) + b"</row>")
        return rows


def fixed_range(area: Rectangle) -> str:
    """
    Write a block with fixed rows and columns.

    >>> fixed_range(Rectangle(1, 1, 25, 4))
    '$A$1:$D$25'
    """
    first, last = letters(area.first_column), letters(area.last_column)
    return f"${first}${area.first_row}:${last}${area.last_row}"


def _columns(sheet: NewSheet) -> str:
    """Write the columns (18.3.1.13 col); the one behind folded ones carries the sign that unfolds them."""
    lines = ""
    for number, width in sorted(sheet.widths.items()):
        hidden = ' hidden="1" outlineLevel="1"' if number in sheet.folded_columns else ""
        sign = ' collapsed="1"' if number - 1 in sheet.folded_columns and not hidden else ""
        lines += f'<col min="{number}" max="{number}" width="{width:g}"{hidden} customWidth="1"{sign}/>'
    return lines


def _view(sheet: NewSheet) -> str:
    lines = "" if sheet.grid_lines else ' showGridLines="0"'
    if not (sheet.frozen_rows or sheet.frozen_columns):
        return f'<sheetViews><sheetView{lines} workbookViewId="0"/></sheetViews>'
    corner = address(sheet.frozen_rows + 1, sheet.frozen_columns + 1)
    pane = (
        "bottomRight"
        if sheet.frozen_rows and sheet.frozen_columns
        else "bottomLeft"
        if sheet.frozen_rows
        else "topRight"
    )
    split = (f' xSplit="{sheet.frozen_columns}"' if sheet.frozen_columns else "") + (
        f' ySplit="{sheet.frozen_rows}"' if sheet.frozen_rows else ""
    )
    return (
        f'<sheetViews><sheetView{lines} workbookViewId="0">'
        f'<pane{split} topLeftCell="{corner}" activePane="{pane}" state="frozen"/>'
        f'<selection pane="{pane}"/></sheetView></sheetViews>'
    )


def _after_data(sheet: NewSheet, table_ids: list[str], drawing: str | None, marks: str) -> str:
    text = (
        '<sheetProtection sheet="1" objects="1" scenarios="1" formatCells="0" formatColumns="0" formatRows="0"/>'
        if sheet.protected
        else ""
    )
    if sheet.merged:
        merged = "".join(f'<mergeCell ref="{parse_range(one)}"/>' for one in sheet.merged)
        text += f'<mergeCells count="{len(sheet.merged)}">{merged}</mergeCells>'
    text += marks
    if sheet.validations:
        validations = "".join(map(_validation, sheet.validations))
        text += f'<dataValidations count="{len(sheet.validations)}">{validations}</dataValidations>'
    if sheet.links:
        links = "".join(
            f'<hyperlink ref="{address(*cell)}" location="{escape_attribute(place)}"/>'
            for cell, place in sheet.links.items()
        )
        text += f"<hyperlinks>{links}</hyperlinks>"
    wide = f' fitToWidth="{sheet.pages_wide}"' if sheet.pages_wide != 1 else ""
    text += '<pageMargins left="0.4" right="0.4" top="0.5" bottom="0.5" header="0.3" footer="0.3"/>'
    turned = "landscape" if sheet.landscape else "portrait"
    paper = f' paperSize="{sheet.paper}"' if sheet.paper is not None else ""
    text += f'<pageSetup{paper} orientation="{turned}"{wide} fitToHeight="{sheet.pages_high}"/>'
    text += "<headerFooter><oddFooter>&amp;L&amp;A&amp;R&amp;P / &amp;N</oddFooter></headerFooter>"
    if drawing is not None:
        text += f'<drawing r:id="{drawing}"/>'
    if table_ids:
        parts = "".join(f'<tablePart r:id="{one}"/>' for one in table_ids)
        text += f'<tableParts count="{len(table_ids)}">{parts}</tableParts>'
    return text


def _validation(one: Validation) -> str:
    kind = f' type="{one.kind}"' if one.kind != "none" else ""
    operator = f' operator="{one.operator}"' if one.operator else ""
    style = "" if one.strict else ' errorStyle="warning"'
    amiss = escape_attribute(one.amiss or one.title)
    said = f' errorTitle="{amiss}" error="{escape_attribute(one.message)}"' if one.message else ""
    second = f"<formula2>{escape_text(one.second)}</formula2>" if one.second is not None else ""
    prompts = (
        f' showInputMessage="1" promptTitle="{escape_attribute(one.title)}" prompt="{escape_attribute(one.prompt)}"'
        if one.prompt
        else ""
    )
    refuses = ' showErrorMessage="1"' if one.refuses else ""
    first = f"<formula1>{escape_text(one.first)}</formula1>" if one.first else ""
    return (
        f'<dataValidation{kind}{style}{operator} allowBlank="1"{refuses}{said}{prompts} '
        f'sqref="{one.area}">{first}{second}</dataValidation>'
    )
