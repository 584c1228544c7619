"""The workbook for the year to come: the past year read, worked out, written as a copy, and that copy checked."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.day import asked_day
from stillroom.app.files import refuse_copy
from stillroom.app.plan import Reading, read_book
from stillroom.errors import CommandWrong, Problem
from stillroom.handbook.settle import within_recipes
from stillroom.household.journal import stocks
from stillroom.household.journal.learning import learned
from stillroom.household.journal.past_years import past_rows, with_past
from stillroom.household.results.next_year import NextYear, day_of, next_year, to_look_at
from stillroom.household.results.review.targets import target_reviews
from stillroom.household.text import format_date_and_year
from stillroom.reports.json import as_json, text
from stillroom.reports.problems import gathered, line
from stillroom.reports.terminal.year import next_year_object, next_year_page
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.reader.record import read_past
from stillroom.workbook.writer.next_year import write_next_year

if TYPE_CHECKING:
    from rich.console import RenderableType

    from stillroom.household.results.commands import Receipt


@dataclass(frozen=True)
class Turned:
    """
    A workbook turned into that of the next year, as yet in memory.

    `reading` is the old one up to its last record, `moved` how many rows go into Past years. `said` is what could not
    be written, `look` what the household looks at, and `errors` what a check of the new workbook finds.
    """

    reading: Reading
    found: NextYear
    moved: int
    said: tuple[str, ...]
    look: tuple[str, ...]
    errors: tuple[Problem, ...]


def next_year_of(
    path: Path, out: Path, first_day: str | None, today: datetime.date, *, replace: bool = False
) -> Turned:
    """
    Work out the next year's workbook and queue it, without writing.

    Raises WorkbookRefused where the old one has errors that stop a plan, CommandWrong for a first day that is not after
    its last record or for a copy in its own place, CouldNotWrite where something of the household's is in the way.
    """
    refuse_copy(path, out, replace=replace)
    if path.exists() and out.exists() and out.samefile(path):
        raise CommandWrong(f"{out.name} is the workbook itself, which stays as it is; choose another name for --out")
    book = Book.open(path)
    day = day_of(read.household(book, today)[0])
    reading = read_book(book, today, day)
    reading.refuse_if_stopped()
    first = None if first_day is None else asked_day(first_day, reading.typed, today, ahead=True, option="--first-day")
    if first is not None and first <= day:
        msg = f"--first-day is {format_date_and_year(first)}, and {path.name} goes up to {format_date_and_year(day)}"
        raise CommandWrong(f"{msg}; write a later day")
    past, problems = read_past(reading.book, reading.typed)
    years = with_past(reading.typed, past)
    lessons = within_recipes(stocks.settle(reading.typed)[0], learned(years))
    reviews = tuple(target_reviews(years, reading.household))
    found = next_year(reading.typed, reading.household, past, lessons, reviews, first)
    said = [*write_next_year(reading.book, reading.typed, past, found), *map(line, problems)]
    check = read_book(reading.book.reopened(), today)
    moved = len(past_rows(reading.typed, past, {}))
    look = to_look_at(found, reading.household)
    return Turned(reading, found, moved, tuple(said), tuple(look), check.errors)


def write_next_year_to(turned: Turned, out: Path, *, replace: bool = False) -> Receipt:
    """Write the next year's workbook; raises CouldNotWrite, with nothing changed."""
    return turned.reading.book.save(out, replace=replace)


def next_year_view(turned: Turned, receipt: Receipt) -> RenderableType:
    """What was carried over, what to expect and what to look at, for the terminal."""
    lines = (turned.said, turned.look, tuple(map(line, gathered(turned.errors))))
    return next_year_page(turned.found, turned.reading.typed, turned.moved, *lines, receipt)


def next_year_json(turned: Turned, receipt: Receipt) -> str:
    """The same for other programs."""
    whole = next_year_object(turned.found, turned.reading.typed)
    whole |= {"past_years": turned.moved, "not_written": list(turned.said), "to_look_at": list(turned.look)}
    return text(whole | {"errors": [line(one) for one in turned.errors], "receipt": as_json(receipt)})
