"""The one builder of our sheets: of a new workbook, of what a household's workbook lacks, of tables a plan writes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from stillroom.workbook.ooxml.book import Book, FoundTable
from stillroom.workbook.ooxml.tables import key_of
from stillroom.workbook.schema.schema import Table, tables
from stillroom.workbook.starter import start_sheet as cautions
from stillroom.workbook.starter import start_sheet as first
from stillroom.workbook.starter.examples import METRIC_UNITS, first_sentences
from stillroom.workbook.starter.positions import SHEETS, STACKED, Contents, Place, laid_out
from stillroom.workbook.starter.sheets import PAPER_A4, PAPER_LETTER, new_sheet

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
    if first.START_NAME.casefold() not in taken:
        columns = {key: column(contents, standing, *key) for key in first.LOOKED_AT}
        given.append(book.add_sheet(first.START_NAME, first.start_sheet(places, contents, columns, paper)))
    given += add_sheets(book, groups, places, contents, paper, bars(places, contents, standing))
    if cautions.CAUTIONS_NAME.casefold() not in taken:
        given.append(book.add_sheet(cautions.CAUTIONS_NAME, cautions.cautions_sheet(paper)))
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
