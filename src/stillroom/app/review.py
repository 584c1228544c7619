"""The season's review: the workbook read, its record gone through, shown, written, and as data frames."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stillroom.app.frames import frames
from stillroom.app.plan import Reading
from stillroom.app.questions.bottlenecks import written_words
from stillroom.errors import Problem
from stillroom.handbook.crop_figures import Planting, published_planting
from stillroom.handbook.foods import kinds_named
from stillroom.handbook.lines import lines
from stillroom.household.journal.past_years import known_until, with_past
from stillroom.household.records import Household
from stillroom.household.results.bottlenecks import PAST_NOTE, past_in
from stillroom.household.results.review import Review, review, review_tables
from stillroom.household.results.review.planting import GardenNeeds, garden_needs
from stillroom.household.units import POUND_KG
from stillroom.reports.json import as_json, errors_object, plain, tables_object, text
from stillroom.reports.problems import line
from stillroom.reports.terminal.plan import with_errors
from stillroom.reports.terminal.review import garden_object, garden_page, review_page
from stillroom.workbook.reader.record import read_past
from stillroom.workbook.schema import output_tables
from stillroom.workbook.writer.notices import count_writing
from stillroom.workbook.writer.plan import notes_in, write_tables

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
