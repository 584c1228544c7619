"""How a new sheet looks: titles, tables with their first rows, drop-downs, what is painted, charts, how it prints."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from stillroom.household.cells import letters
from stillroom.household.text import spreadsheet_format
from stillroom.workbook.ooxml.book import Book, FoundTable
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.new_sheet import Mark, NewCell, NewChart, NewSheet, NewTable, Validation
from stillroom.workbook.ooxml.styles import LINE_POINTS, text_points
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.ooxml.values import Value
from stillroom.workbook.ooxml.write_cells import NewFormula
from stillroom.workbook.schema import Table, tables
from stillroom.workbook.starter import highlighting, layout, texts
from stillroom.workbook.starter.charts import (
    SEASON_COLUMNS,
    coverage_chart,
    coverage_rows_high,
    freezer_chart,
    last_picture_row,
    last_season_row,
    season_chart,
)
from stillroom.workbook.starter.examples import METRIC_UNITS, first_sentences
from stillroom.workbook.starter.highlighting import (
    SLOT_WIDTH,
    SLOTS,
    WORDS,
    bands,
    checks,
    first_slot,
    hours,
    published,
    published_widths,
    source_of,
    strip,
)
from stillroom.workbook.starter.layout import (
    CAPTION_ROW,
    CHART_COLUMNS,
    GAP_COLUMNS,
    GIVEN,
    HEADING_ROW,
    SHEETS,
    SMALL_LETTERS,
    STACKED,
    Contents,
    Entry,
    Formula,
    Place,
    Row,
    Rows,
    body_look,
    folded_words,
    heading_look,
    is_folded,
    laid_out,
    small,
    stands,
    width_of,
    wraps,
)

# How high the rows of a filled table are on an adopted sheet: some programs leave them at one line.


def body_heights(group: Sequence[Place], rows: Rows, widths: Mapping[int, float]) -> dict[int, float]:
    """Points of every row of a sheet that needs more than a line; `widths` are in characters by column."""
    heights: dict[int, float] = {}
    for place in group:
        for number, row in enumerate(rows.get(place.table.name, ()), place.first_row):
            points = points_of(place, row, widths)
            if points > LINE_POINTS:
                heights[number] = max(points, heights.get(number, 0.0))
    return heights


def points_of(place: Place, row: Row, widths: Mapping[int, float]) -> float:
    """How high one row of a table must be for its longest sentence."""
    points = 0.0
    for offset, heading in enumerate(place.headings):
        text = row.get(heading)
        if text and wraps(place, heading):
            letters = layout.SMALL if small(place, heading) else layout.USUAL
            indent = stands(place, heading)[1]
            points = max(points, text_points(str(text), widths[place.first_column + offset], letters, indent))
    return points


# The charts beside the tables Coverage and Season so far, reading the tables where they stand.

PERIODS_SHOWN = 15


def pictures(group: Sequence[Place], places: Mapping[str, Place], bars: int) -> Iterator[NewChart]:
    """
    Give the charts of a new sheet: two beside Coverage, one beside Season so far, none on any other sheet.

    The chart of the freezer is left out where the table Space has not its columns.
    """
    for place in group:
        column = place.last_column + 1 + GAP_COLUMNS
        if place.table.name == "Season so far":
            yield season_chart(place, place.heading_row, column)
        if place.table.name == "Coverage":
            yield coverage_chart(place, bars, place.heading_row, column)
            space = places.get("Space")
            if space is not None and {"Freezer change", "Freezer left"} <= set(space.headings):
                below = place.heading_row + coverage_rows_high(bars) + 1
                yield freezer_chart(space, PERIODS_SHOWN, below, column)


SENTENCE = replace(layout.NOTE, wrap=True)
HOUR = Look("stillroom hour", size=8, colour=layout.QUIET, across="left")
WHOLE_SHEET = ("Timetable", "Shopping", "Record")
"""Tables alone on their sheet: the whole sheet is printed."""
TITLE_POINTS, CAPTION_POINTS, HEADING_POINTS = 32.0, 24.0, 46.0
"""Heights of the title, of the row of captions with air above them, and of a row of headings."""
LOW_HEADING_POINTS = 31.0
"""Height of a row of headings on the sheet of settings, where none has more than two lines and all is one page."""
GAP_WIDTH = 3.0
LAST_ROW = 1_048_576
"""The last row of a sheet (ECMA-376 part 1, 18.3.1.73, as spreadsheet programs keep it)."""
PAPER_LETTER, PAPER_A4 = 1, 9
"""Numbers of paper sizes (18.3.1.63 pageSetup)."""
Cells = dict[tuple[int, int], NewCell]


def new_sheet(
    group: Sequence[Place], places: Mapping[str, Place], contents: Contents, *, bars: int, paper: int | None
) -> NewSheet:
    """
    Give the sheet of a group of tables; `places` are those of all tables, for drop-downs and charts.

    `bars` is how many needs the chart of Coverage shows, `paper` the number of a paper size.
    """
    cells, widths = titles(group, contents), widths_of(group)
    for place in group:
        cells |= filled(place, contents.rows.get(place.table.name, ()), places)
        if place.table.name == "Timetable":
            cells |= day_strip(place)
    beside = group[-1].last_column + 1 + GAP_COLUMNS
    lines = contents.lines if any(place.table.name == "Preserves" for place in group) else ()
    if lines:
        cells |= published(lines, beside)
        widths |= published_widths(beside)
    stacked = group[0].notes_to > 0
    last = letters(max(place.last_column for place in group) if stacked else group[0].last_column)
    frozen_rows, title_row = (1, 1) if stacked else (HEADING_ROW, HEADING_ROW)
    return NewSheet(
        cells=cells,
        tables=tuple(new_table(place, contents.rows.get(place.table.name, ()), places) for place in group),
        widths=widths,
        heights=fixed_heights(group)
        | sentence_heights(cells, wide(group, widths))
        | body_heights(group, contents.rows, widths),
        frozen_rows=frozen_rows,
        frozen_columns=1,
        merged=(f"A2:{last}2", f"A3:{last}3", *merged_hours(group)),
        validations=tuple(rules(group, places, contents, source_of(lines, beside) if lines else "")),
        marks=tuple(marks(group, places)),
        charts=tuple(pictures(group, places, bars)),
        title_rows=(title_row, title_row),
        print_areas=tuple(print_areas(group, bars)),
        folded_columns=folded(group),
        pages_high=1 if stacked else 0,
        landscape=True,
        paper=paper,
        tab_colour=layout.GREEN if group[0].written else layout.STRAW,
        grid_lines=False,
    )


def titles(group: Sequence[Place], contents: Contents) -> Cells:
    """
    The sheet's title, a sentence on it, what stands further away, and a caption above each table.

    The sentences keep to the columns of the first table, so that they do not run on over the page of the next one.
    """
    sheet = group[0].sheet
    name = next((known for known in GIVEN["sheets"] if sheet.startswith(known)), "")
    words = GIVEN["sheets"].get(name, group[0].table.about)
    words = words if contents.examples else words.replace("Type over the examples; leave", "Leave")
    cells: Cells = {(1, 1): NewCell(sheet, layout.TITLE), (2, 1): NewCell(words, SENTENCE)}
    pieces = (contents.label, further(group), folded_words([place.table.name for place in group]))
    if any(pieces):
        cells[3, 1] = NewCell("  ".join(piece for piece in pieces if piece), SENTENCE)
    return cells | {
        (place.heading_row - 1, place.first_column): NewCell(caption(place), layout.CAPTION) for place in group
    }


def further(group: Sequence[Place]) -> str:
    """Say where the tables stand that are not seen at once."""
    if group[0].notes_to:
        down = "; ".join(f"{caption(place)} (from row {place.heading_row})" for place in group[1:])
        return f"Further down: {down}." if down else ""
    right = "; ".join(f"{caption(place)} (from column {letters(place.first_column)})" for place in group[1:])
    return f"Further right: {right}." if right else ""


def caption(place: Place) -> str:
    """What stands above a table."""
    return str(GIVEN["captions"].get(place.table.name, place.table.name))


def filled(place: Place, rows: Sequence[Row], places: Mapping[str, Place]) -> Cells:
    """The headings and first rows of a table in its cells; the value of a setting shows as the setting says."""
    settings = {setting.heading: setting for setting in place.table.settings}
    cells: Cells = {}
    for column, heading in enumerate(place.headings, place.first_column):
        cells[place.heading_row, column] = NewCell(heading, heading_look(place, heading))
        body = body_look(place, heading)
        for number, row in enumerate(rows, place.first_row):
            value, setting = row.get(heading), settings.get(str(row.get("Setting")))
            dressed = (
                replace(body, number_format=spreadsheet_format(setting.format))
                if setting and heading == "Value"
                else body
            )
            if value is not None or dressed != body:
                cells[number, column] = NewCell(typed(value, places), dressed)
    over = heading_look(place, place.headings[-1])
    cells |= {
        (place.heading_row, column): NewCell(None, over) for column in range(place.last_column + 1, place.notes_to + 1)
    }
    return cells


def typed(entry: Entry, places: Mapping[str, Place]) -> Value | NewFormula:
    """What is written for an entry: a formula with its value, yes and no for a truth."""
    if isinstance(entry, Formula):
        return NewFormula(in_these_tables(entry.text, places), entry.value)
    if isinstance(entry, bool):
        return "yes" if entry else "no"
    return entry


def in_these_tables(formula: str, places: Mapping[str, Place]) -> str:
    """The formula with the names that our tables got in this workbook."""
    for name, place in places.items():
        if place.called not in ("", name):
            formula = formula.replace(f"{name}[", f"{place.called}[")
    return formula


def new_table(place: Place, rows: Sequence[Row], places: Mapping[str, Place]) -> NewTable:
    """
    The table with the look of each column. No table has filter buttons: they cover the headings.

    A column whose every row is one formula is a calculated column, so that rows added below get it too.
    """
    calculated = {}
    for heading in place.headings:
        texts = {entry.text if isinstance(entry := row.get(heading), Formula) else None for row in rows}
        if len(texts) == 1 and (text := texts.pop()) is not None:
            calculated[heading] = in_these_tables(text, places)
    return NewTable(
        name=place.called,
        row=place.heading_row,
        column=place.first_column,
        headings=place.headings,
        rows=place.last_row - place.first_row + 1,
        looks={heading: body_look(place, heading) for heading in place.headings},
        calculated=calculated,
        style="",
        filter_buttons=False,
    )


def day_strip(timetable: Place) -> Cells:
    """The caption and the hours over the strip beside the Timetable."""
    cells: Cells = {(CAPTION_ROW, first_slot(timetable)): NewCell(WORDS, layout.NOTE)}
    return cells | {(timetable.heading_row, column): NewCell(hour, HOUR) for hour, column in hours(timetable)}


def merged_hours(group: Sequence[Place]) -> Iterator[str]:
    """The two half hours under each hour of the strip, their headings together."""
    for place in group:
        if place.table.name == "Timetable":
            row = place.heading_row
            yield from (f"{letters(column)}{row}:{letters(column + 1)}{row}" for _, column in hours(place))


# ---- sizes ---------------------------------------------------------------------------------------------------------


def widths_of(group: Sequence[Place]) -> dict[int, float]:
    """Column widths in digits, the widest of tables that share a column, and a narrow gap after each table."""
    widths: dict[int, float] = {}
    for place in group:
        for column, heading in enumerate(place.headings, place.first_column):
            widths[column] = max(width_of(place, heading), widths.get(column, 0.0))
        if place.table.name == "Timetable":
            widths |= {first_slot(place) + slot: SLOT_WIDTH for slot in range(SLOTS)}
    return {place.last_column + 1: GAP_WIDTH for place in group} | widths


def fixed_heights(group: Sequence[Place]) -> dict[int, float]:
    """Points of the title, the captions and the headings."""
    heights = {1: TITLE_POINTS}
    for place in group:
        headings = LOW_HEADING_POINTS if place.notes_to else HEADING_POINTS
        heights |= {place.heading_row - 1: CAPTION_POINTS, place.heading_row: headings}
    return heights


def sentence_heights(cells: Cells, width: float) -> dict[int, float]:
    """How high the rows of the two sentences under the title are, in points."""
    words = {row: cells[row, 1].value if (row, 1) in cells else "" for row in (2, 3)}
    return {row: text_points(str(text), width * SMALL_LETTERS) for row, text in words.items()}


def wide(group: Sequence[Place], widths: Mapping[int, float]) -> float:
    """The width that the sentences have, in digits: that of the first table, without what of it is folded away."""
    hidden = folded(group)
    last = max(place.last_column for place in group) if group[0].notes_to else group[0].last_column
    return sum(widths.get(column, 0.0) for column in range(1, last + 1) if column not in hidden)


def folded(group: Sequence[Place]) -> frozenset[int]:
    """The columns that are seldom typed in, and are folded away."""
    return frozenset(
        column
        for place in group
        for column, heading in enumerate(place.headings, place.first_column)
        if is_folded(place.table.name, heading)
    )


# ---- rules and marks --------------------------------------------------------------------------------------


def rules(group: Sequence[Place], places: Mapping[str, Place], contents: Contents, lines: str) -> Iterator[Validation]:
    """The drop-downs and limits of a sheet; `lines` is where the lines of the handbook stand, empty without them."""
    for place in group:
        body = place.body("Handbook line") if place.table.name == "Preserves" else ""
        for rule in highlighting.rules(place, places, contents.rows.get(place.table.name, ())):
            known = rule.area == body and bool(lines)
            yield replace(rule, kind="list", first=lines) if known else rule


def marks(group: Sequence[Place], places: Mapping[str, Place]) -> Iterator[Mark]:
    """What is painted over the tables of a sheet: what is amiss, rows in use, the day strip."""
    painted = [check for check in checks(places) if check.place in group]
    for place in group:
        painted += bands(place)
        painted += strip(place) if place.table.name == "Timetable" else ()
    for check in painted:
        yield Mark(check.area, check.formula, check.paint)


# ---- paper ---------------------------------------------------------------------------------------------------------


def print_areas(group: Sequence[Place], bars: int) -> Iterator[str]:
    """
    What of the sheet is printed, each part on pages of its own; nothing where the whole sheet is.

    Whole columns from the first row, so that rows added later are printed too and blank ones are not; one program
    prints columns that begin further down a hundred times more slowly. Coverage takes its pictures along; that of
    Season so far has a page of its own, because its table is wide. Both end where the table or the picture does. The
    columns that Plan has when they are asked for would make its letters too small; a page of its own has them.
    """
    if group[0].notes_to:
        yield f"A1:{letters(group[0].notes_to)}{LAST_ROW}"
        return
    if group[0].table.name in WHOLE_SHEET:
        return
    for place in group:
        yield from table_areas(place, bars)


def table_areas(place: Place, bars: int) -> Iterator[str]:
    """The parts of one table."""
    first, last = letters(place.first_column), place.last_column
    if place.table.name == "Coverage":
        end = max(place.last_row, last_picture_row(bars, place.heading_row))
        yield f"{first}1:{letters(last + 1 + CHART_COLUMNS)}{end}"
    elif place.table.name == "Season so far":
        yield f"{first}1:{letters(last)}{place.last_row}"
        yield f"{letters(last + 2)}1:{letters(last + 1 + SEASON_COLUMNS)}{last_season_row(place)}"
    else:
        yield f"{first}1:{letters(last - sum(column.asked for column in place.table.columns))}{LAST_ROW}"


# The one builder of our sheets: of a new workbook, of what a household's workbook lacks, of tables a plan writes.

FEWEST_BARS, USUAL_BARS = 4, 15
"""Needs that the chart of Coverage shows at least, and where none is typed yet."""
NO_TABLES: Mapping[str, FoundTable] = MappingProxyType({})
NO_ROWS: Mapping[str, int] = MappingProxyType({})


def add_all(
    book: Book, missing: Sequence[Table], contents: Contents, standing: Mapping[str, FoundTable], *, metric: bool
) -> tuple[tuple[str, ...], list[Place]]:
    """
    Queue the missing tables between what to do and the cautions; gives the names of the sheets, and the places.

    `standing` are the tables that are there. Start and Cautions are left out where a sheet is called so. Raises
    WorkbookRefused when a sheet cannot be added.
    """
    groups = list(new_places(book, missing, contents))
    new = [place for group in groups for place in group]
    if not new:
        return (), []
    places = places_of(standing) | {place.table.name: place for place in new}
    paper = PAPER_A4 if metric else PAPER_LETTER
    taken = {name.casefold() for name in book.sheet_names}
    given = []
    if texts.START_NAME.casefold() not in taken:
        columns = {key: column(contents, standing, *key) for key in texts.LOOKED_AT}
        given.append(book.add_sheet(texts.START_NAME, texts.start_sheet(places, contents, columns, paper)))
    given += add_sheets(book, groups, places, contents, paper, bars(places, contents, standing))
    if texts.CAUTIONS_NAME.casefold() not in taken:
        given.append(book.add_sheet(texts.CAUTIONS_NAME, texts.cautions_sheet(paper)))
    return tuple(given), new


def add_tables(book: Book, missing: Sequence[Table], needed: Mapping[str, int] = NO_ROWS) -> tuple[str, ...]:
    """
    Queue tables that a plan or a record needs, blank, on sheets after the last; gives the names of the sheets.

    `needed` are the rows that each is to hold at once.
    """
    standing = {name: found for name in tables() if (found := book.table(name)) is not None}
    contents = Contents({})
    groups = list(new_places(book, missing, contents, needed))
    places = places_of(standing) | {place.table.name: place for group in groups for place in group}
    return tuple(add_sheets(book, groups, places, contents, None, bars(places, contents, standing)))


def add_sheets(
    book: Book,
    groups: Sequence[Sequence[Place]],
    places: Mapping[str, Place],
    contents: Contents,
    paper: int | None,
    targets: int,
) -> Iterator[str]:
    """Queue a sheet for each group of tables; gives the names that they got."""
    for group in groups:
        yield book.add_sheet(group[0].sheet, new_sheet(group, places, contents, bars=targets, paper=paper))


def new_places(
    book: Book, missing: Sequence[Table], contents: Contents, needed: Mapping[str, int] = NO_ROWS
) -> Iterator[list[Place]]:
    """
    Where the missing tables are to stand: those of one sheet together, the sheets in their order.

    A sheet whose first table they have is called by the first table on it.
    """
    sheet_of = {name: sheet for sheet, names in SHEETS.items() for name in names}
    order = list(sheet_of)
    groups: dict[str, list[Table]] = {sheet: [] for sheet in SHEETS}
    for table in sorted(missing, key=lambda one: order.index(one.name) if one.name in order else len(order)):
        groups.setdefault(sheet_of.get(table.name, table.sheet), []).append(table)
    for sheet, group in groups.items():
        if group:
            name = sheet if group[0].name == SHEETS.get(sheet, (group[0].name,))[0] else group[0].name
            given = book.free_sheet_name(name)
            yield list(laid_out(given, group, contents, needed, book.free_table_name, STACKED.get(sheet)))


def places_of(standing: Mapping[str, FoundTable]) -> dict[str, Place]:
    """Where the tables that are there stand, those of theirs among them."""
    return {name: place_of(tables()[name], found) for name, found in standing.items()}


def place_of(table: Table, found: FoundTable) -> Place:
    """Where a table of theirs stands, its headings in our spelling, so that drop-downs can be fed by it."""
    spelled = {key_of(heading): heading for heading in table.headings}
    return Place(
        table=table,
        sheet=found.sheet.replace("'", "''"),
        first_column=found.first_column,
        heading_row=found.header_row,
        first_row=found.first_row,
        last_row=max(found.last_row, found.first_row),
        headings=tuple(spelled.get(key_of(heading), heading) for heading in found.headings),
    )


def bars(places: Mapping[str, Place], contents: Contents, standing: Mapping[str, FoundTable]) -> int:
    """How many bars the winter list has: one for each need that is typed already, or some to begin with."""
    if "Coverage" not in places:
        return USUAL_BARS
    coverage = places["Coverage"]
    typed = sum(name is not None for name in column(contents, standing, "Winter list", "Target"))
    return min(max(typed or USUAL_BARS, FEWEST_BARS), coverage.last_row - coverage.first_row + 1)


def column(contents: Contents, standing: Mapping[str, FoundTable], table: str, heading: str) -> list[object]:
    """What stands in a column of a table: one that is there, else one that is being added."""
    found = standing.get(table)
    if found is None:
        return list(contents.column(table, heading))
    number = found.column(heading)
    return [] if number is None else [row[number - found.first_column].value for row in found.rows]


def blank_contents(*, metric: bool) -> Contents:
    """
    What new tables hold that are filled with no examples: the settings with their units and meaning, hands and stove.

    What is the household's to say stays blank.
    """
    units = METRIC_UNITS if metric else {}
    settings = [
        {
            "Setting": setting.heading,
            "Unit": units.get(setting.unit, setting.unit) or None,
            "Note": first_sentences(setting.about).rstrip(".")
            + (f". Blank: {setting.default}." if setting.default else "."),
        }
        for setting in tables()["Kitchen"].settings
    ]
    about = "hands-on hours: two people for 1 hour are 2", "hours the stove is free, however many burners it has"
    hours = [{"What": what, "Note": note} for what, note in zip(("hands", "stove free"), about, strict=True)]
    return Contents({"Kitchen": settings, "Hours": hours}, examples=False)
