"""A household's own log of what it picked, on any sheet of its workbook: read into Harvest, and later what is new."""

from __future__ import annotations

import datetime
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from stillroom.app.record.journal import Log, lot_row, opened
from stillroom.errors import CommandWrong
from stillroom.household.amounts import Amount, DateReader, is_metric, typed_amount
from stillroom.household.cells import address, letters
from stillroom.household.names import Names, crop_names, suggestion, tidy_text
from stillroom.household.records import Crop, Household
from stillroom.household.results.commands import Entry, LogRead, LogRow
from stillroom.household.text import format_count, format_date_and_year, format_number
from stillroom.household.units import MeasureWrong, Unit, find_unit, unit_of
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader.cells import date_from
from stillroom.workbook.writer.record import has_column, input_table

if TYPE_CHECKING:
    import pandas as pd

LOOKED_FOR_HEADINGS = 30
"""The headings of a log stand in one of so many rows."""
MOST_OF_THEM = 0.6
"""So large a share of a column's cells has to read as what the column is for."""
ROLES = ("date", "what", "amount")
WORDS = {
    "date": re.compile(r"\b(date|day|when|picked|harvested)\b"),
    "what": re.compile(r"\b(what|crop|item|produce|vegetable|veg|fruit|plant|variety|name)\b"),
    "amount": re.compile(r"\b(amount|weight|weighed|how much|how many|qty|quantity|yield|lbs?|kg|pounds|kilos)\b"),
}
"""Words in a heading that speak for a column, where several would do."""
AGAINST = re.compile(r"\b(total|sum|running|so far|price|cost|planted|sown|temperature|rain)\b")
TWO_MEANINGS = ("two readings", "comma of two meanings", "unit of two sizes")


def read_log(path: Path, sheet: str, today: datetime.date) -> tuple[Log, LogRead]:
    """
    Read a log with columns of date, what and amount, of any names and in any order. Nothing is written.

    Raises CommandWrong when there is no such sheet, or no such columns on it.
    """
    log = opened(path, today)
    name = sheet_named(log.book, sheet)
    frame = frame_of(log.book, name)
    reader = DateReader(log.typed.kitchen.first_day, log.metric, moving=False)
    headings, body = headings_and_body(frame)
    columns = columns_of(name, headings, body, reader, log.typed)
    reader = with_order(body[columns["date"]], reader)
    rows, unread, ditto = rows_of(name, body, columns, headings, reader, log.typed)
    new = not_in_harvest(log, rows)
    shown = tuple((role, letters(at), tidy_text(str(headings[at]))) for role, at in columns.items())
    units = units_words(columns, headings)
    return log, LogRead(name, shown, units, tuple(new), len(rows) - len(new), tuple(unread), ditto)


def write_log(log: Log, found: LogRead) -> Entry:
    """Add the new rows to Harvest, in one save; each keeps in its note what was typed. Raises CouldNotWrite."""
    rows = []
    for one in found.new:
        row = lot_row(log, log.typed.crop(one.crop), one.day, one.number, unit_of(one.unit))
        if has_column(log.book, "Harvest", "Note"):
            row["Note"] = one.typed
        rows.append(row)
    words = f"{format_count(len(rows), 'lot')} from {found.sheet}"
    place, gone = log.added("Harvest", rows, words)
    return log.save([f"{words}: added to Harvest from {place} on.", *gone])


def sheet_named(book: Book, text: str) -> str:
    """Return the sheet of that name. Raises CommandWrong with those there are, and for the sheet of Harvest itself."""
    sheets = Names("sheet", book.sheet_names)
    name = sheets.find(text)
    if name is None:
        near = suggestion(text, sheets)
        hint = f"did you mean {near}?" if near else f"there are: {', '.join(book.sheet_names)}"
        msg = f'no sheet is called "{tidy_text(text)}"; {hint}'
        raise CommandWrong(msg)
    harvest = input_table(book, "Harvest")
    if harvest is None:
        msg = "there is no table Harvest yet; run first: stillroom adopt"
        raise CommandWrong(msg)
    if harvest.sheet == name:
        msg = f'"{name}" has the table Harvest, into which a log is read; name the sheet of your own log'
        raise CommandWrong(msg)
    return name


def frame_of(book: Book, sheet: str) -> pd.DataFrame:
    """Return the cells of a sheet as a data frame, by the numbers of rows and columns; what is no value is missing."""
    import pandas as pd

    rows = {
        row: {
            column: tidy_text(str(cell.value)) if cell.kind == "text" else cell.value
            for column, cell in cells.items()
            if cell.calculated and cell.kind not in ("blank", "error") and str(cell.value).strip()
        }
        for row, cells in book.cells(sheet).items()
    }
    frame = pd.DataFrame.from_dict(rows, orient="index", dtype=object).sort_index()
    return frame[sorted(frame.columns)].dropna(how="all")


def headings_and_body(frame: pd.DataFrame) -> tuple[Mapping[int, str], pd.DataFrame]:
    """Return the headings, by column, and the rows below them. Raises CommandWrong when there are none."""
    for place in range(min(LOOKED_FOR_HEADINGS, len(frame) - 1)):
        cells = frame.iloc[place].dropna()
        if len(cells) >= 2 and all(isinstance(value, str) and not any(map(str.isdigit, value)) for value in cells):
            return {int(str(column)): str(value) for column, value in cells.items()}, frame.iloc[place + 1 :]
    msg = "no row of headings was found; put a row of headings above your log, such as Date, Crop and Amount"
    raise CommandWrong(msg)


def columns_of(
    sheet: str, headings: Mapping[int, str], body: pd.DataFrame, reader: DateReader, household: Household
) -> dict[str, int]:
    """
    Return which column is the date, what was picked and how much, and the unit where one has it.

    A column is taken by what its cells hold; its heading decides where several would do. Raises CommandWrong where no
    column will do, or two do alike.
    """
    names = crop_names(household)
    tests: dict[str, Callable[[Any], bool]] = {
        "date": lambda value: is_date(value, reader),
        "what": lambda value: isinstance(value, str) and bool(names.meant(value)),
        "amount": lambda value: is_amount(value, metric=reader.metric),
    }
    found: dict[str, int] = {}
    for role in ROLES:
        fits = [
            column
            for column in headings
            if column not in found.values() and (cells := body[column].dropna()).size
            if cells.map(tests[role]).mean() >= MOST_OF_THEM
        ]
        scores = {column: score(role, headings[column]) for column in fits}
        best = [column for column in fits if scores[column] == max(scores.values())]
        if len(best) != 1:
            raise CommandWrong(which_column(sheet, role, [headings[column] for column in best or headings], bool(best)))
        found[role] = best[0]
    units = [one for one in headings if one not in found.values() and is_unit_column(body[one].dropna())]
    return found | ({"unit": units[0]} if units else {})


def score(role: str, heading: str) -> int:
    """
    Return how well a heading suits: 1 with a word for it, -1 with one against it.

    >>> score("amount", "Weight (lb)"), score("amount", "Total lb so far"), score("date", "Notes")
    (1, -1, 0)
    """
    plain = heading.casefold().replace("_", " ")
    return -1 if AGAINST.search(plain) else int(WORDS[role].search(plain) is not None)


def which_column(sheet: str, role: str, headings: Sequence[str], several: bool) -> str:
    """Return in words that no column, or more than one, may be the date, what or the amount."""
    listed = ", ".join(f'"{heading}"' for heading in headings)
    example = {"date": "Date", "what": "Crop", "amount": "Amount"}[role]
    words = {"date": "the date", "what": "what was picked", "amount": "the amount"}[role]
    if several:
        return f'"{sheet}": {listed} may each be {words}; call the right one {example}'
    return (
        f'"{sheet}": no column reads as {words} (there are {listed}); put it in one column, with the heading {example}'
    )


def is_date(value: Any, reader: DateReader) -> bool:
    """Whether a cell is a date, even one with two readings."""
    try:
        date_from(value, reader)
    except MeasureWrong as wrong:
        return wrong.kind in TWO_MEANINGS
    return True


def is_amount(value: Any, *, metric: bool) -> bool:
    """Whether a cell is a number or an amount in text, even one with two readings."""
    if isinstance(value, bool | datetime.date | datetime.time | datetime.timedelta):
        return False
    if isinstance(value, int | float):
        return True
    try:
        typed_amount(str(value), metric=metric)
    except MeasureWrong as wrong:
        return wrong.kind in TWO_MEANINGS
    return True


def is_unit_column(cells: pd.Series[Any]) -> bool:
    """Whether the cells of a column are units."""
    return bool(cells.size) and cells.map(lambda value: find_unit(str(value)) is not None).mean() >= MOST_OF_THEM


def with_order(cells: pd.Series[Any], reader: DateReader) -> DateReader:
    """
    Return a reader that knows which of day and month stands first, where the column itself shows it.

    13/8 in one row says so for all, as long as none says the other.
    """
    slashed = [re.match(r"(\d{1,2})[-/.](\d{1,2})\b", value) for value in cells.dropna() if isinstance(value, str)]
    pairs = [(int(found[1]), int(found[2])) for found in slashed if found is not None]
    day_first, month_first = any(one > 12 for one, _ in pairs), any(two > 12 for _, two in pairs)
    order = "" if day_first == month_first else "day" if day_first else "month"
    return DateReader(reader.first_day, reader.metric, moving=False, order=order)


def unit_in_heading(heading: str) -> Unit | None:
    """
    Return the unit that a heading names; None without one.

    >>> unit_in_heading("Weight (lb)").name, unit_in_heading("How much"), unit_in_heading("kg picked").name
    ('lb', None, 'kg')
    """
    words = re.findall(r"[a-z]+", heading.casefold())
    units = [unit for word in words if len(word) > 1 or word == "g" if (unit := find_unit(word)) is not None]
    return next((unit for unit in units if unit.measures in ("weight", "bushel", "flat") or unit.name == "dozen"), None)


def units_words(columns: Mapping[str, int], headings: Mapping[int, str]) -> str:
    """Say where the unit of an amount without one comes from."""
    if "unit" in columns:
        return f'in the unit of "{headings[columns["unit"]]}"'
    unit = unit_in_heading(headings[columns["amount"]])
    return f"in {unit.name}" if unit is not None else "in each crop's own unit"


def rows_of(
    sheet: str,
    body: pd.DataFrame,
    columns: Mapping[str, int],
    headings: Mapping[int, str],
    reader: DateReader,
    household: Household,
) -> tuple[list[LogRow], list[tuple[str, str]], int]:
    """Return the rows that are understood, the places of the others with the reason, and how many have no date."""
    names, crops = crop_names(household), {crop.name: crop for crop in household.crops}
    dates = body[columns["date"]].ffill()
    blank = body[columns["date"]].isna()
    rows: list[LogRow] = []
    unread: list[tuple[str, str]] = []
    ditto = 0
    for number, what, much in zip(body.index, body[columns["what"]], body[columns["amount"]], strict=True):
        typed = [value for value in (what, much) if not missing(value)]
        if not typed:
            continue
        at = f"{sheet}!{address(int(number), columns['what'])}"
        if len(typed) < 2:
            unread.append((at, "what was picked is blank" if missing(what) else "the amount is blank"))
            continue
        few = names.meant(str(what))
        if len(few) != 1:
            unread.append((at, unknown_crop(str(what), few, names)))
            continue
        if missing(dates[number]):
            unread.append((at, "the date is blank, and no row above has one"))
            continue
        crop = crops[few[0]]
        try:
            day = date_from(dates[number], reader)
            amount = amount_in(
                much, None if "unit" not in columns else body.at[number, columns["unit"]], crop, household
            )
            unit = amount.unit or unit_in_heading(headings[columns["amount"]]) or unit_of(crop.unit)
            kg = crop.kg_in(amount.number, unit)
        except MeasureWrong as wrong:
            unread.append((at, str(wrong)))
            continue
        if amount.number <= 0:
            unread.append((at, "the amount is not above 0"))
            continue
        ditto += bool(blank[number])
        shown = f"{format_number(much)} {unit.name}" if isinstance(much, int | float) else str(much)
        note = f"{sheet} {format_date_and_year(day)}: {what} {shown}"
        rows.append(LogRow(at, day, crop.name, str(what), amount.number, unit.name, kg, note))
    return rows, unread, ditto


def missing(value: Any) -> bool:
    """Whether a cell of a data frame has nothing in it."""
    return value is None or (isinstance(value, float) and value != value)


def unknown_crop(text: str, few: Sequence[str], names: Names) -> str:
    """Say that a word names no crop, or may name several."""
    near = suggestion(text, names, meant=few)
    return f'no crop is called "{tidy_text(text)}"' + (f"; did you mean {near}?" if near else "")


def amount_in(value: Any, unit: Any, crop: Crop, household: Household) -> Amount:
    """Read an amount and the unit beside it. Raises MeasureWrong."""
    metric = is_metric(household)
    beside = None if missing(unit) else unit_of(str(unit), metric=metric)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return Amount(float(value), beside)
    amount = typed_amount(str(value), crop.name, crop.handbook_food or "", metric=metric)
    return Amount(amount.number, amount.unit or beside, amount.unit_text)


def not_in_harvest(log: Log, rows: Sequence[LogRow]) -> list[LogRow]:
    """
    Return the rows that Harvest does not have yet, counting equal ones: by what was typed of them, then as lots.

    So a lot that was corrected in Harvest is not added again, and neither is one that was weighed there too.
    """
    noted = Counter(notes_of(log.book))
    lots = Counter((lot.picked_on, lot.crop, round(lot.kg, 3)) for lot in log.typed.lots if not lot.expected)
    left = []
    for one in rows:
        if noted[one.typed] > 0:
            noted[one.typed] -= 1
            lots[one.day, one.crop, round(one.kg, 3)] -= 1
        else:
            left.append(one)
    new = []
    for one in left:
        lot = (one.day, one.crop, round(one.kg, 3))
        if lots[lot] > 0:
            lots[lot] -= 1
        else:
            new.append(one)
    return new


def notes_of(book: Book) -> Iterator[str]:
    """Give the notes of Harvest."""
    table = input_table(book, "Harvest")
    column = None if table is None else table.column("Note")
    if table is not None and column is not None:
        for _, row in table.rows.filled():
            value = row[column - table.first_column].value
            if value is not None:
                yield str(value)
