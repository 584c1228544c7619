"""How an adopted sheet looks: the headings, styles, drop-downs and charts of a starting workbook, in their workbook."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from openpyxl.worksheet.datavalidation import DataValidation

from stillroom.workbook.adopt_heights import body_heights
from stillroom.workbook.adopt_pictures import needs_shown, pictures
from stillroom.workbook.book import Book, NewSheet
from stillroom.workbook.inputs import Column
from stillroom.workbook.lines import text_points
from stillroom.workbook.looks import Look
from stillroom.workbook.marks import Mark
from stillroom.workbook.missing import HEADING, HEADING_THEIRS
from stillroom.workbook.sheets import NewCell, NewTable, Validation
from stillroom.workbook.starting import choices, look
from stillroom.workbook.starting.bands import bands
from stillroom.workbook.starting.checks import checks, first_heading
from stillroom.workbook.starting.contents import Row, Rows
from stillroom.workbook.starting.day_strip import SLOT_WIDTH, SLOTS, WORDS, first_slot, hours, strip
from stillroom.workbook.starting.examples import METRIC_UNITS, first_sentences
from stillroom.workbook.starting.frame import CAPTION_POINTS, WHOLE_SHEET, print_ranges
from stillroom.workbook.starting.pictures import last_picture_row
from stillroom.workbook.starting.place import belongs_to_household, small, stands, wraps
from stillroom.workbook.starting.sheets import CAPTION_ROW, HEADING_ROW, Place
from stillroom.workbook.starting.widths import (
    HEADING_WIDTHS,
    LEAST_NOTE,
    NARROWEST,
    SMALL_LETTERS,
    TABLE_WIDTHS,
    WIDTHS,
    folded_words,
    is_folded,
    least_width,
)
from stillroom.workbook.starting.words import CAPTIONS, SHEET_WORDS
from stillroom.workbook.values import letters

TITLE = Look(look.TITLE, bold=True, size=20, colour=look.GREEN)
CAPTION = Look(look.CAPTION, bold=True, size=12, colour=look.GREEN)
NOTE = Look(look.NOTE, italic=True, size=10, colour=look.QUIET)
SENTENCE = replace(NOTE, wrap=True)
HOUR = Look("stillroom hour", size=8, colour=look.QUIET, across="left")
NAME_WIDTH, TEXT_WIDTH = 28.0, 14.0
HOURS_NOTE = 46.0
"""Width of the notes beside the hours, in characters."""
Cells = dict[tuple[int, int], NewCell]


def new_sheet(group: Sequence[Place], places: Mapping[str, Place], book: Book, *, metric: bool, rows: Rows) -> NewSheet:
    """
    Give the sheet of a group of tables that stand side by side; `places` are those of all tables, for drop-downs.

    A table without `rows` gets its labels only (the settings, hands and stove): what is the household's to say stays
    blank.
    """
    cells = titles(group, examples=any(place.table.name in rows for place in group))
    widths: dict[int, float] = {}
    for place in group:
        cells |= filled(place, rows.get(place.table.name) or first_rows(place.table.name, metric=metric))
        widths |= widths_of(place)
        if place.table.name == "Timetable":
            cells |= day_strip(place)
            widths |= {first_slot(place) + slot: SLOT_WIDTH for slot in range(SLOTS)}
    ours, last = group[0].written, letters(group[0].last_column)
    return NewSheet(
        cells=cells,
        tables=tuple(new_table(place, alone=len(group) == 1) for place in group),
        widths=widths,
        heights={1: 32.0, CAPTION_ROW: CAPTION_POINTS, HEADING_ROW: 46.0}
        | sentence_heights(cells, wide(group[0], widths))
        | body_heights(group, rows, widths),
        frozen_rows=HEADING_ROW,
        merged=(f"A2:{last}2", f"A3:{last}3", *merged_hours(group)),
        validations=tuple(rule for place in group for rule in rules(place, places)),
        marks=tuple(marks(group, places)),
        charts=tuple(pictures(group, places, book, "L")),
        title_rows=(HEADING_ROW, HEADING_ROW),
        print_areas=() if group[0].table.name in WHOLE_SHEET else tuple(areas(group, book)),
        folded_columns=folded(group),
        landscape=True,
        tab_colour=look.GREEN if ours else look.STRAW,
        grid_lines=False,
    )


def day_strip(timetable: Place) -> Cells:
    """The caption and the hours over the strip beside the Timetable."""
    cells: Cells = {(CAPTION_ROW, first_slot(timetable)): NewCell(WORDS, CAPTION)}
    return cells | {(timetable.heading_row, column): NewCell(hour, HOUR) for hour, column in hours(timetable)}


def merged_hours(group: Sequence[Place]) -> Iterator[str]:
    """The two half hours under each hour of the strip, their headings together."""
    for place in group:
        if place.table.name == "Timetable":
            row = place.heading_row
            yield from (f"{letters(column)}{row}:{letters(column + 1)}{row}" for _, column in hours(place))


def sentence_heights(cells: Cells, width: float) -> dict[int, float]:
    """How high the rows of the two sentences under the title are, in points."""
    words = {row: cells[row, 1].value if (row, 1) in cells else "" for row in (2, 3)}
    return {row: text_points(str(text), width * SMALL_LETTERS) for row, text in words.items()}


def folded(group: Sequence[Place]) -> frozenset[int]:
    """The columns that are seldom typed in, and are folded away."""
    return frozenset(
        place.first_column + offset
        for place in group
        for offset, heading in enumerate(place.headings)
        if is_folded(place.table.name, heading)
    )


def areas(group: Sequence[Place], book: Book) -> Iterator[str]:
    """What of the sheet is printed, each on pages of its own; Coverage with the pictures beside it."""
    for place in group:
        bars = needs_shown(place, book) if place.table.name == "Coverage" else 0
        yield from print_ranges(place, last_picture_row(bars, place.heading_row))


def titles(group: Sequence[Place], *, examples: bool) -> Cells:
    """The sheet's title, a sentence on it, what stands further right, and a caption above each table."""
    name = next((sheet for sheet in SHEET_WORDS if group[0].sheet.startswith(sheet)), "")
    words = SHEET_WORDS.get(name, group[0].table.about)
    words = words if examples else words.replace("Type over the examples; leave", "Leave")
    cells: Cells = {(1, 1): NewCell(group[0].sheet, TITLE), (2, 1): NewCell(words, SENTENCE)}
    right = "; ".join(f"{caption(place)} (from column {letters(place.first_column)})" for place in group[1:])
    pieces = (f"Further right: {right}." if right else "", folded_words([place.table.name for place in group]))
    if any(pieces):
        cells[3, 1] = NewCell("  ".join(piece for piece in pieces if piece), SENTENCE)
    return cells | {(CAPTION_ROW, place.first_column): NewCell(caption(place), CAPTION) for place in group}


def caption(place: Place) -> str:
    """What stands above a table."""
    return CAPTIONS.get(place.table.name, place.table.name)


def new_table(place: Place, *, alone: bool) -> NewTable:
    """The table with the look of each column; the household's columns plainly apart from the planner's."""
    return NewTable(
        name=place.part_name,
        row=place.heading_row,
        column=place.first_column,
        headings=place.headings,
        rows=place.last_row - place.first_row + 1,
        heading_look=HEADING if place.written else HEADING_THEIRS,
        looks={column.heading: look_of(place, column) for column in place.table.columns},
        filter_buttons=alone,
    )


def look_of(place: Place, column: Column) -> Look:
    """The look of a column's cells."""
    shown = look.number_format(place.table.name, column.heading, column.kind, place.written) or "General"
    across, indent = stands(place, column.heading)
    colours = (look.INPUT, look.CREAM, look.STRAW), (look.OUTPUT, look.PALE_GREEN, look.LINE)
    name, fill, line = colours[not belongs_to_household(place, column.heading)]
    return Look(
        name,
        shown,
        size=look.SMALL if small(place, column.heading) else None,
        colour=look.INK,
        fill=fill,
        line=line,
        across=across,
        wrap=wraps(place, column.heading),
        locked=name == look.OUTPUT,
        indent=indent,
        bare=True,
    )


def heading_look(place: Place, heading: str) -> Look:
    """The look of a heading: straw over what is the household's, and it stands as the column does."""
    across, indent = stands(place, heading)
    theirs = belongs_to_household(place, heading)
    return replace(HEADING_THEIRS if theirs else HEADING, across=across, indent=indent)


def filled(place: Place, rows: Sequence[Row]) -> Cells:
    """The headings and first rows of a table in its cells."""
    cells: Cells = {}
    columns = {column.heading: column for column in place.table.columns}
    for offset, heading in enumerate(place.headings):
        at = place.first_column + offset
        cells[place.heading_row, at] = NewCell(heading, heading_look(place, heading))
        for number, row in enumerate(rows):
            value = row.get(heading)
            if isinstance(value, str | int | float):
                cells[place.first_row + number, at] = NewCell(value, look_of(place, columns[heading]))
    if place.table.name == "Kitchen":
        cells |= dated(place, columns["Value"])
    return cells


def dated(kitchen: Place, value: Column) -> Cells:
    """The blank values of those settings that are a date, which show one as soon as it is typed."""
    shown = replace(look_of(kitchen, value), number_format=look.NUMBER_FORMATS["date"])
    column = kitchen.first_column + kitchen.headings.index(value.heading)
    rows = [row for row, one in enumerate(kitchen.table.settings, kitchen.first_row) if one.kind == "date"]
    return {(row, column): NewCell(None, shown) for row in rows}


def first_rows(table: str, *, metric: bool) -> Sequence[Row]:
    """What is written beforehand: the names of the settings with their units and meaning, hands and stove."""
    from stillroom.workbook.inputs import tables

    if table == "Hours":
        about = "person-hours: two people for an hour are 2", "hours the stove is free, however many burners it has"
        return [{"What": what, "Note": note} for what, note in zip(("hands", "stove free"), about, strict=True)]
    if table != "Kitchen":
        return ()
    units = METRIC_UNITS if metric else {}
    return [
        {
            "Setting": setting.heading,
            "Unit": units.get(setting.unit, setting.unit) or None,
            "Note": first_sentences(setting.about).rstrip(".")
            + (f". Blank: {setting.default}." if setting.default else "."),
        }
        for setting in tables()["Kitchen"].settings
    ]


def widths_of(place: Place) -> dict[int, float]:
    """Column widths in characters, and a narrow gap after the table."""
    kinds = {column.heading: column.kind for column in place.table.columns}
    widths = {}
    for offset, heading in enumerate(place.headings):
        width = TABLE_WIDTHS.get((place.table.name, heading)) or HEADING_WIDTHS.get(heading)
        if width is None:
            kind = kinds[heading]
            names = offset == 0 or kind in {"name", "names"} or heading in {"Handbook line", "Source", "Setting"}
            least = TEXT_WIDTH if kind in {"text", "choice"} else 0.0
            least = LEAST_NOTE if heading == "Note" else NAME_WIDTH if names and kind != "date" else least
            width = max(least, WIDTHS.get(kind, NARROWEST))
        widths[place.first_column + offset] = max(width, least_width(heading, stands(place, heading)[1]))
    widths[place.last_column + 1] = 3.0
    if place.table.name == "Hours":
        widths[place.first_column + place.headings.index("Note")] = HOURS_NOTE
    return widths


def wide(place: Place, widths: Mapping[int, float]) -> float:
    """The width of a table in characters, of what of it is not folded away."""
    hidden = folded([place])
    return sum(widths[column] for column in range(place.first_column, place.last_column + 1) if column not in hidden)


def rules(place: Place, places: Mapping[str, Place]) -> Iterator[Validation]:
    """The drop-downs and limits of a starting workbook, fed by the tables where they stand."""
    if place.table.name == "Kitchen":
        yield from setting_rules(place)
        return
    for column in place.table.columns:
        if not belongs_to_household(place, column.heading):
            continue
        wanted = set(column.of[:1]) | ({"Preserves"} if (place.table.name, column.heading) == RECORDED else set())
        known = all(name in places and places[name].headings.count(first_heading(places[name])) for name in wanted)
        rule = choices.validation(place.table.name, column, places) if known else DataValidation()
        yield as_validation(rule, place.body(column.heading), column, prompts=not place.written)


RECORDED = ("Record", "Preserve")


def marks(group: Sequence[Place], places: Mapping[str, Place]) -> Iterator[Mark]:
    """What a starting workbook paints over the tables of this sheet: what is amiss, rows in use, the day strip."""
    painted = [check for check in checks(places) if check.place in group]
    for place in group:
        painted += bands(place)
        painted += strip(place) if place.table.name == "Timetable" else ()
    for check in painted:
        yield Mark(check.area, check.formula, check.paint)


def setting_rules(place: Place) -> Iterator[Validation]:
    """What may be typed as the value of each setting, beside its name."""
    letter = place.letter("Value")
    for number, setting in enumerate(place.table.settings):
        rule = DataValidation(showErrorMessage=False)
        if setting.kind == "choice":
            rule = choices.list_of(f'"{",".join(setting.choices)}"', strict=True)
        elif setting.kind == "yes_no":
            rule = choices.list_of('"yes,no"', strict=True)
        elif setting.kind == "date":
            rule = choices.date_rule()
        yield as_validation(rule, f"{letter}{place.first_row + number}", setting, prompts=True)


def as_validation(rule: DataValidation, area: str, column: Column, *, prompts: bool) -> Validation:
    """The same rule as it is put on a new sheet."""
    return Validation(
        area=area,
        kind=rule.type or "none",
        first=rule.formula1 or "",
        second=rule.formula2,
        operator=rule.operator,
        title=column.heading[:32],
        message=rule.error or "",
        strict=rule.errorStyle != "warning",
        refuses=bool(rule.showErrorMessage),
        prompt=column.about[: choices.PROMPT_LENGTH] if prompts else "",
    )
