"""
The ground and lines of a table's rows, which grow with what is in them.

Blank cells have neither, so that no program prints pages of blank rows; a few rows below the last typed one are drawn
to say where to go on. Numbers of the planner's show no zeros, and whole ones whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby

from stillroom.workbook.paints import Paint
from stillroom.workbook.starting import look
from stillroom.workbook.starting.checks import Check
from stillroom.workbook.starting.place import body_style
from stillroom.workbook.starting.sheets import Place
from stillroom.workbook.values import letters

ROWS_AHEAD = 5
"""Blank rows drawn below the last one that is filled, in tables that are typed."""
GROUND = {
    look.INPUT: Paint(fill=look.CREAM, line=look.STRAW),
    look.WORKING: Paint(fill=look.SAND, line=look.LINE),
    look.OUTPUT: Paint(fill=look.PALE_GREEN, line=look.LINE),
}
DASH, WHOLE = '"–";"–";"–"', "0"
ROUNDED = "0.0"


def bands(place: Place) -> Iterator[Check]:
    """What is painted over one table's rows, the first that holds first; after this table's red rules."""
    yield from numbers(place)
    if place.notes_to > place.last_column:
        area = block(place, len(place.headings) - 1, place.notes_to - place.first_column)
        yield Check(place, area, in_use(place), replace(GROUND[look.INPUT], sides=("top", "bottom")))
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
    ours = {heading: shown for heading, (style, shown) in formats.items() if style == look.OUTPUT}
    kinds = {column.heading: column.kind for column in place.table.columns}
    counted = [heading for heading in ours if kinds.get(heading) == "number" and "%" not in ours[heading]]
    for first, last in runs([place.headings.index(heading) for heading in counted]):
        cell = f"{letters(place.first_column + first)}{place.first_row}"
        dash = replace(GROUND[look.OUTPUT], shown=DASH)
        yield Check(place, block(place, first, last), f"AND(ISNUMBER({cell}),ABS({cell})<0.005)", dash)
    tenths = [heading for heading in counted if ours[heading] == ROUNDED]
    for first, last in runs([place.headings.index(heading) for heading in tenths]):
        cell = f"{letters(place.first_column + first)}{place.first_row}"
        whole = replace(GROUND[look.OUTPUT], shown=WHOLE)
        formula = f"AND(ISNUMBER({cell}),ROUND({cell},1)=ROUND({cell},0))"
        yield Check(place, block(place, first, last), formula, whole)


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
