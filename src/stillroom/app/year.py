"""Looking back and ahead: the review of a season, the workbook of the next year, the shelf in winter."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.day import asked_day
from stillroom.app.files import refuse_copy
from stillroom.app.frames import frames
from stillroom.app.plan import Reading, read_book
from stillroom.app.questions.bottlenecks import written_words
from stillroom.errors import CommandWrong, Problem
from stillroom.handbook.crop_figures import Planting, published_planting
from stillroom.handbook.foods import kinds_named
from stillroom.handbook.lines import lines
from stillroom.handbook.settle import within_recipes
from stillroom.household.journal import stocks
from stillroom.household.journal.learning import learned
from stillroom.household.journal.past_years import known_until, past_rows, with_past
from stillroom.household.records import Household
from stillroom.household.results.bottlenecks import PAST_NOTE, past_in
from stillroom.household.results.next_year import NextYear, day_of, next_year, to_look_at
from stillroom.household.results.review import Review, review, review_tables
from stillroom.household.results.review.planting import GardenNeeds, garden_needs
from stillroom.household.results.review.targets import target_reviews
from stillroom.household.results.winter import Winter, winter, winter_rows
from stillroom.household.text import format_date_and_year, format_number
from stillroom.household.units import POUND_KG
from stillroom.reports.json import as_json, errors_object, plain, tables_object, text
from stillroom.reports.problems import gathered, line
from stillroom.reports.terminal.plan import with_errors
from stillroom.reports.terminal.review import garden_object, garden_page, review_page
from stillroom.reports.terminal.year import next_year_object, next_year_page, winter_object, winter_page
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.reader.record import read_past
from stillroom.workbook.schema import output_tables
from stillroom.workbook.writer.next_year import write_next_year
from stillroom.workbook.writer.notices import count_writing
from stillroom.workbook.writer.plan import notes_in, write_table, write_tables

if TYPE_CHECKING:
    import pandas as pd
    from rich.console import RenderableType

    from stillroom.household.results.commands import Receipt
    from stillroom.household.results.rows import Row


def review_of(reading: Reading) -> Review:
    """
    Review all that a workbook holds up to its first day, the table Past years included.

    Before the first weighing of a next year it goes up to the last record: what is eaten until then is not known yet.
    """
    foods, published = foods_of(reading.typed), published_of(reading.household)
    ran_short = past_in(notes_in(reading.book).get(PAST_NOTE, ""))
    years, problems = all_years(reading)
    return replace(review(years, reading.household, foods, published, ran_short), problems=problems)


def all_years(reading: Reading) -> tuple[Household, tuple[Problem, ...]]:
    """Return the household with the years of the table Past years, up to the day that is known, and its problems."""
    past, problems = read_past(reading.book, reading.typed)
    years = with_past(reading.typed, past).with_kitchen(first_day=known_until(reading.typed, past))
    return years, problems


def foods_of(household: Household) -> dict[str, str]:
    """Return the handbook's food of each crop, by its *Handbook food* or its name; a crop of none is its own."""
    found = {}
    for crop in household.crops:
        kinds = kinds_named(crop.handbook_food or crop.name)
        if len(kinds) == 1:
            found[crop.name] = next(iter(kinds))
    return found


def published_of(settled: Household) -> dict[str, float]:
    """Return the kg of crop a jar that the published table of yields gives for each canned preserve's handbook line."""
    known = lines()
    found = {}
    for preserve in settled.preserves:
        line = known.get(preserve.handbook_line or "")
        if line is not None and line.canned and line.crop_lb_each is not None:
            found[preserve.name] = line.crop_lb_each * POUND_KG
    return found


def write_review(reading: Reading, found: Review) -> Receipt:
    """
    Fill the tables of the sheet Review, a new one when the workbook has none.

    Raises CouldNotWrite or WorkbookRefused; nothing is changed then.
    """
    known = {table.name for table in output_tables()}
    write_tables(reading.book, {name: rows for name, rows in review_rows(reading, found).items() if name in known})
    if reading.book.changed():
        count_writing(reading.book)
    return reading.book.save()


def review_rows(reading: Reading, found: Review) -> dict[str, list[Row]]:
    """The tables of the review, for CSV, JSON and the sheet."""
    return review_tables(found, reading.typed)


def review_frames(reading: Reading) -> dict[str, pd.DataFrame]:
    """Return the tables of the review as data frames, by their names."""
    return frames(review_rows(reading, review_of(reading)))


def garden_of(reading: Reading) -> tuple[GardenNeeds, tuple[Planting | None, ...]]:
    """Work out how much of each crop next year's winter list needs, and look up what a garden gives of each."""
    needs = garden_needs(all_years(reading)[0], reading.household, review_of(reading).targets)
    crops = [one.crop for one in needs.crops]
    return needs, tuple(published_planting(crop.name, crop.handbook_food) for crop in crops)


def garden_view(reading: Reading) -> RenderableType:
    """What to plant, for the terminal."""
    return with_errors(reading.household, garden_page(*garden_of(reading)))


def garden_json(reading: Reading) -> str:
    """The same for other programs."""
    about = {"day": plain(reading.household.kitchen.first_day)}
    return text(about | garden_object(*garden_of(reading)) | errors_object(reading.household))


def review_view(
    reading: Reading, found: Review, receipt: Receipt | None = None, pages: Sequence[str] = ()
) -> RenderableType:
    """The review for the terminal, and what was written."""
    end = [*(f"Note: {line(one)}" for one in found.problems), *pages]
    end += [] if receipt is None else written_words(receipt, "Review")
    return with_errors(reading.household, review_page(found, review_rows(reading, found), end))


def review_json(reading: Reading, found: Review, receipt: Receipt | None = None, pages: Sequence[str] = ()) -> str:
    """The same for other programs; `receipt` where the sheet Review was to be filled, `pages` what was written."""
    about = {"day": plain(found.day), "since": plain(found.first), "records": found.records}
    about["left_out"] = [line(one) for one in found.problems]
    whole = about | tables_object(review_rows(reading, found)) | errors_object(reading.household)
    whole |= {"pages": list(pages)} if pages else {}
    return text(whole if receipt is None else whole | {"receipt": as_json(receipt)})


# The workbook for the year to come: the past year read, worked out, written as a copy, and that copy checked.


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


# Living from the shelf: the workbook read, its shelf divided over the winter, shown and written.

LEAST_MONTHS, MOST_MONTHS = 0.25, 36.0


def winter_of(reading: Reading, months: float, first: str | None) -> Winter:
    """
    Work out how the shelf carries through so many months, from the first day of the workbook or a later one as typed.

    Raises CommandWrong for months or a day that cannot be.
    """
    if not (math.isfinite(months) and LEAST_MONTHS <= months <= MOST_MONTHS):
        limits = f"from {format_number(LEAST_MONTHS)} to {format_number(MOST_MONTHS)}"
        msg = f"--months takes a number {limits}, such as 4."
        raise CommandWrong(msg)
    today = reading.household.kitchen.first_day
    day = today if first is None else asked_day(first, reading.household, ahead=True, option="--from")
    if day < today:
        msg = f"--from is before the first day of the workbook, {format_date_and_year(today)}; write a later day."
        raise CommandWrong(msg)
    return winter(reading.typed, reading.household, day, months)


def write_winter(reading: Reading, found: Winter) -> Receipt:
    """
    Fill the table Winter of the workbook, on a new sheet when it has none.

    Raises CouldNotWrite or WorkbookRefused; nothing is changed then.
    """
    write_table(reading.book, "Winter", winter_rows(found.covers))
    if reading.book.changed():
        count_writing(reading.book)
    return reading.book.save()


def winter_view(reading: Reading, found: Winter, receipt: Receipt | None = None) -> RenderableType:
    """How the shelf carries, for the terminal, and what was written."""
    end = () if receipt is None else written_words(receipt, "Winter")
    return with_errors(reading.household, winter_page(reading.household, found, end))


def winter_tables(found: Winter) -> dict[str, list[Row]]:
    """The table Winter, for CSV."""
    return {"Winter": winter_rows(found.covers)}


def winter_json(reading: Reading, found: Winter, receipt: Receipt | None = None) -> str:
    """The same for other programs; `receipt` where the table Winter was to be filled."""
    whole = winter_object(found) | errors_object(reading.household)
    return text(whole if receipt is None else whole | {"receipt": as_json(receipt)})
