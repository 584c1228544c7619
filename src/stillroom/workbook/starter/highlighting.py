"""Cells that turn red: a name no list knows, a need without a preserve, a lot without a crop, a missing altitude."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from stillroom.household.cells import letters
from stillroom.household.text import format_number, spreadsheet_format
from stillroom.workbook.ooxml.new_sheet import NewCell, Validation
from stillroom.workbook.ooxml.styles import Paint
from stillroom.workbook.schema import Column
from stillroom.workbook.starter import layout
from stillroom.workbook.starter.layout import (
    CAPTION_ROW,
    FIRST_ROW,
    GAP_COLUMNS,
    GIVEN,
    HEADING_ROW,
    Place,
    Row,
    belongs_to_household,
    body_style,
)


@dataclass(frozen=True)
class Check:
    """Cells of one table's sheet that are painted while a formula is true; the formula is for the first of them."""

    place: Place
    area: str
    formula: str
    paint: Paint = layout.AMISS


def checks(found: Mapping[str, Place]) -> Iterator[Check]:
    """
    The red rules of every input table, and those of Coverage where a need falls short.

    A rule is left out where a table, or a column of a table, that it looks at is not there.
    """
    for place in found.values():
        for column in place.table.columns:
            lists = [
                found[name] for name in column.of if name in found and has(found[name], first_heading(found[name]))
            ]
            if column.kind == "name" and has(place, column.heading) and len(lists) == len(column.of):
                yield unknown_name(place, column.heading, lists)
    for table, heading, other in (("Winter list", "Target", "Counts toward"), ("Preserves", "Preserve", "Ingredients")):
        if has(found.get(table), heading) and has(found.get(other), heading):
            yield missing(found[table], heading, found[other])
    if has(found.get("Kitchen"), "Setting", "Value"):
        yield altitude(found["Kitchen"])
    if has(found.get("Coverage"), "Covered"):
        yield from short(found["Coverage"])


def has(place: Place | None, *headings: str) -> bool:
    """Whether a table is there with these columns."""
    return place is not None and all(heading in place.headings for heading in headings)


def first_heading(place: Place) -> str:
    """The heading under which a table's things are named: our first, which theirs need not have first."""
    return place.table.headings[0]


def unknown_name(place: Place, heading: str, targets: list[Place]) -> Check:
    """Red where a name stands in none of the lists it should come from."""
    first = f"${place.letter(heading)}{place.first_row}"
    counts = "+".join(f"COUNTIF({target.fixed(first_heading(target))},{first})" for target in targets)
    return Check(place, place.body(heading), f"AND(LEN({first})>0,{counts}=0)")


def missing(place: Place, heading: str, other: Place) -> Check:
    """Red where no row of the other table names this one."""
    first = f"${place.letter(heading)}{place.first_row}"
    return Check(place, place.body(heading), f"AND(LEN({first})>0,COUNTIF({other.fixed(heading)},{first})=0)")


def altitude(kitchen: Place) -> Check:
    """Red while the altitude is blank: without it nothing is canned."""
    setting, value = kitchen.letter("Setting"), kitchen.letter("Value")
    formula = f'AND(${setting}{kitchen.first_row}="altitude",LEN(${value}{kitchen.first_row})=0)'
    return Check(kitchen, kitchen.body("Value"), formula)


def short(coverage: Place) -> Iterator[Check]:
    """Red where a need falls short, green where it is filled."""
    first = f"${coverage.letter('Covered')}{coverage.first_row}"
    area = coverage.body("Covered")
    yield Check(coverage, area, f"AND(LEN({first})>0,{first}<0.995)", layout.SHORT)
    yield Check(coverage, area, f"AND(LEN({first})>0,{first}>=0.995)", layout.FILLED)


# The ground and lines of a table's rows, which grow with what is in them. Blank cells have neither, so that no
# program prints pages of blank rows; a few rows below the last typed one are drawn to say where to go on. Numbers
# of the planner's show no zeros, and whole ones whole.

ROWS_AHEAD = 5
"""Blank rows drawn below the last one that is filled, in tables that are typed."""
GROUND = {
    layout.INPUT: Paint(fill=layout.CREAM, line=layout.STRAW),
    layout.WORKING: Paint(fill=layout.SAND, line=layout.LINE),
    layout.OUTPUT: Paint(fill=layout.PALE_GREEN, line=layout.LINE),
}
DASH, WHOLE = '"–";"–";"–"', "0"
ROUNDED = "0.0"


def bands(place: Place) -> Iterator[Check]:
    """What is painted over one table's rows, the first that holds first; after this table's red rules."""
    yield from numbers(place)
    yield from weeks(place)
    if place.notes_to > place.last_column:
        area = block(place, len(place.headings) - 1, place.notes_to - place.first_column)
        yield Check(place, area, in_use(place), replace(GROUND[layout.INPUT], sides=("top", "bottom")))
    for style, columns in styled(place).items():
        areas = " ".join(block(place, first, last) for first, last in runs(columns))
        yield Check(place, areas, in_use(place), GROUND[style])


def block(place: Place, first: int, last: int) -> str:
    """The rows that are drawn, from one column of the table to another, counted from 0."""
    ends = [letters(place.first_column + column) for column in (first, last)]
    return f"{ends[0]}{place.first_row}:{ends[1]}{place.drawn_to}"


def in_use(place: Place) -> str:
    """
    Write when a row is drawn: something stands in it, or, where the household types, a few rows above it.

    The heading counts as such a row, so that an empty table has room to begin.
    """
    first, last = letters(place.first_column), letters(place.last_column)
    above = place.first_row if place.written else max(1, place.first_row - ROWS_AHEAD)
    return f"COUNTA(${first}{above}:${last}{place.first_row})>0"


def styled(place: Place) -> dict[str, list[int]]:
    """The columns of each style, counted from 0."""
    found: dict[str, list[int]] = {}
    for column, heading in enumerate(place.headings):
        found.setdefault(body_style(place, heading)[0], []).append(column)
    return found


def numbers(place: Place) -> Iterator[Check]:
    """A dash for nothing, and whole numbers without a nought behind the point, in the planner's columns."""
    formats = {heading: body_style(place, heading) for heading in place.headings}
    ours = {heading: shown for heading, (style, shown) in formats.items() if style == layout.OUTPUT}
    kinds = {column.heading: column.kind for column in place.table.columns}
    counted = [heading for heading in ours if kinds.get(heading) == "number" and "%" not in ours[heading]]
    for first, last in runs([place.headings.index(heading) for heading in counted]):
        cell = f"{letters(place.first_column + first)}{place.first_row}"
        dash = replace(GROUND[layout.OUTPUT], shown=DASH)
        yield Check(place, block(place, first, last), f"AND(ISNUMBER({cell}),ABS({cell})<0.005)", dash)
    tenths = [heading for heading in counted if ours[heading] == ROUNDED]
    for first, last in runs([place.headings.index(heading) for heading in tenths]):
        cell = f"{letters(place.first_column + first)}{place.first_row}"
        whole = replace(GROUND[layout.OUTPUT], shown=WHOLE)
        formula = f"AND(ISNUMBER({cell}),ROUND({cell},1)=ROUND({cell},0))"
        yield Check(place, block(place, first, last), formula, whole)


def weeks(place: Place) -> Iterator[Check]:
    """Show the first day of a week planned roughly as `week of Aug 22`."""
    first = place.headings[0]
    if place.written and "Days" in place.headings and first in ("Day", "Period"):
        paint = replace(GROUND[layout.OUTPUT], shown=spreadsheet_format("week"))
        yield Check(place, block(place, 0, 0), f"${place.letter('Days')}{place.first_row}>1", paint)


def runs(columns: Sequence[int]) -> list[tuple[int, int]]:
    """
    Neighbouring columns together, each run by its first and last.

    >>> runs([0, 1, 2, 5, 7, 8])
    [(0, 2), (5, 5), (7, 8)]
    """
    found = []
    for _, group in groupby(enumerate(sorted(columns)), lambda pair: pair[1] - pair[0]):
        members = [column for _, column in group]
        found.append((members[0], members[-1]))
    return found


# The picture beside the Timetable: for every step a bar on the hours of the day, by conditional formats alone. No
# cell of it has a formula, so nothing has to be worked out anew when the planner writes the Timetable.

FIRST_HOUR, LAST_HOUR = 5, 24
SLOTS = (LAST_HOUR - FIRST_HOUR) * 2
ROWS_DRAWN = 400
SLOT_WIDTH = 1.3
WORDS = "By the clock: dark = hands-on, striped = stay within earshot, pale = unattended"
NOBODY = ("turn off the heat", "; wait ", "leave", "cool", ", until ")
"""What the words of a step hold when it goes on by itself."""
HANDS = Paint(fill=layout.GREEN)
EAR = Paint(fill=layout.STRAW, stripes=layout.QUIET)
ALONE = Paint(fill=layout.PALE_GREEN, line=layout.QUIET, sides=("top", "bottom"))


def first_slot(timetable: Place) -> int:
    """The column of the first half hour."""
    return timetable.last_column + 1 + GAP_COLUMNS


def hours(timetable: Place) -> Iterator[tuple[int, int]]:
    """Every hour that is drawn, and the first of its two columns."""
    for hour in range(FIRST_HOUR, LAST_HOUR):
        yield hour, first_slot(timetable) + (hour - FIRST_HOUR) * 2


def strip(timetable: Place) -> Iterator[Check]:
    """How the half hours are coloured that a step takes; the first that holds."""
    first, row = first_slot(timetable), timetable.first_row
    last = letters(first + SLOTS - 1)
    area = f"{letters(first)}{row}:{last}{row + ROWS_DRAWN - 1}"
    people, step = (f"${timetable.letter(heading)}{row}" for heading in ("People", "Step"))
    alone = ",".join(f'ISNUMBER(SEARCH("{words}",{step}))' for words in NOBODY)
    for paint, condition in ((HANDS, f'{people}<>""'), (ALONE, f"OR({alone})"), (EAR, "TRUE")):
        yield Check(timetable, area, f"AND({taken(timetable, letters(first))},{condition})", paint)


def taken(timetable: Place, first: str) -> str:
    """Write when a half hour is taken by a step, which may end on another day; `first` is the column of the first."""
    row = timetable.first_row
    start, end, step = (f"${timetable.letter(heading)}{row}" for heading in ("Start", "End", "Step"))
    slot = f"{FIRST_HOUR}/24+(COLUMN()-COLUMN(${first}${timetable.heading_row}))/48"
    another_day = f'OR({end}<{start},ISNUMBER(SEARCH(", until ",{step})))'
    return f"ISNUMBER({start}),{slot}+1/48-{start}>1/2880,OR(AND({end}>{start},{end}-({slot})>1/2880),{another_day})"


PROMPT_LENGTH = 250
"""A prompt may hold 255 characters (ECMA-376 part 1, 18.3.1.32 `dataValidation`)."""


YES_NO = "yes,no"
RECORDED = ("Record", "Preserve")
"""The column that may hold a preserve or something else."""
ANYTHING = Validation("", "none", "", refuses=False)
DATE = Validation(
    "",
    "date",
    "36526",
    operator="greaterThanOrEqual",
    strict=False,
    amiss="Date",
    message="Type a date such as 2026-08-14.",
)
"""A date from 2000 on."""


def rules(place: Place, found: Mapping[str, Place], rows: Sequence[Row]) -> Iterator[Validation]:
    """
    Give every column that is typed its drop-down or its limits, and a word of explanation when a cell is chosen.

    `found` are the places of all tables, `rows` those of this one. In Kitchen each setting has a rule of its own.
    """
    if place.table.name == "Kitchen":
        settings = {setting.heading: setting for setting in place.table.settings}
        for number, row in enumerate(rows, place.first_row):
            setting = settings.get(str(row.get("Setting")))
            if setting is not None:
                yield explained(setting_rule(setting), f"{place.letter('Value')}{number}", setting, prompts=True)
        return
    for column in place.table.columns:
        if belongs_to_household(place, column.heading):
            rule = column_rule(place.table.name, column, found)
            yield explained(rule, place.body(column.heading), column, prompts=not place.written)


def explained(rule: Validation, area: str, column: Column, *, prompts: bool) -> Validation:
    """The rule over its cells, with what the column is about."""
    prompt = column.about[:PROMPT_LENGTH] if prompts else ""
    return replace(rule, area=area, title=column.heading[:32], prompt=prompt)


def setting_rule(setting: Column) -> Validation:
    """The rule for the value of one setting."""
    if setting.kind == "choice":
        return list_of(f'"{",".join(setting.choices)}"', strict=True)
    if setting.kind == "yes_no":
        return list_of(f'"{YES_NO}"', strict=True)
    return DATE if setting.kind == "date" else ANYTHING


def column_rule(table: str, column: Column, found: Mapping[str, Place]) -> Validation:
    """
    Give the rule for one column; a list offers and warns, it never forbids what the reader would understand.

    A column that a table feeds may hold anything where that table, or its column of names, is not there.
    """
    offered = (GIVEN["units"] | GIVEN["kinds"]).get(f"{table}: {column.heading}")
    if offered:
        return list_of(f'"{offered}"', strict=False)
    if column.kind in {"yes_no", "can_buy"}:
        return list_of(f'"{YES_NO}"', strict=column.kind == "yes_no")
    if column.kind == "choice":
        return list_of(f'"{",".join(column.choices)}"', strict=True)
    if column.kind in {"name", "names"}:
        return names_of(found.get(column.of[0]), strict=column.kind == "name" and len(column.of) == 1)
    if (table, column.heading) == RECORDED:
        return names_of(found.get("Preserves"), strict=False)
    if column.kind == "date":
        return DATE
    if column.kind in {"number", "whole"}:
        return number_rule(column.kind, column.least, column.most)
    return ANYTHING


def names_of(target: Place | None, *, strict: bool) -> Validation:
    """A drop-down of the names in a table."""
    if target is None or not has(target, target.table.headings[0]):
        return ANYTHING
    return list_of(target.fixed(target.table.headings[0]), strict=strict)


def list_of(source: str, *, strict: bool) -> Validation:
    """A drop-down of a list or a range; one that is strict warns of what is not in it."""
    if not strict:
        return Validation("", "list", source, refuses=False)
    message = "This name is not in the list. Keep it only if you will add it there."
    return Validation("", "list", source, strict=False, amiss="Not in the list", message=message)


def number_rule(kind: str, least: float | None, most: float | None) -> Validation:
    """A number between the limits of `schema.toml`."""
    low = 0 if least is None else least
    least_text = format_number(low)
    return Validation(
        "",
        "whole" if kind == "whole" else "decimal",
        f"{low:g}",
        None if most is None else f"{most:.0f}" if most > 1 else f"{most:g}",
        "between" if most is not None else "greaterThanOrEqual",
        amiss="Number",
        message=f"Type {least_text} or more." if most is None else f"Type {least_text} to {format_number(most)}.",
    )


# The list of handbook lines beside Preserves: what *Handbook line* may say, and the source of its drop-down.

COLUMNS = (("Handbook line", 46.0), ("Method", 22.0), ("Source", 60.0))
CAPTION = "Published lines for Handbook line"


def published(lines: Sequence[Row], first: int) -> dict[tuple[int, int], NewCell]:
    """The cells of the list, from a column on."""
    cells = {(CAPTION_ROW, first): NewCell(CAPTION, layout.CAPTION)}
    for column, (heading, _) in enumerate(COLUMNS, first):
        cells[HEADING_ROW, column] = NewCell(heading, layout.HEADING)
        for row, line in enumerate(lines, FIRST_ROW):
            cells[row, column] = NewCell(str(line[heading]), layout.GROUNDS[layout.WORKING])
    return cells


def published_widths(first: int) -> dict[int, float]:
    """The widths of its columns."""
    return {column: width for column, (_, width) in enumerate(COLUMNS, first)}


def source_of(lines: Sequence[Row], first: int) -> str:
    """Where the lines stand, for a drop-down on the same sheet."""
    letter = letters(first)
    return f"${letter}${FIRST_ROW}:${letter}${FIRST_ROW + len(lines) - 1}"
