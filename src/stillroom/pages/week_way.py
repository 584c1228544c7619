"""Looking into a workbook between two plans: this morning's list, stocktaking, what was learned; nothing is written."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.household.answer.units import in_space_unit
from stillroom.household.counts import stock_cards
from stillroom.household.eat_first import eat_first, freezer_things, over
from stillroom.household.season_so_far import season_rows, tally
from stillroom.household.today import due_soon, today_of
from stillroom.pages.way import Reading, read_workbook

if TYPE_CHECKING:
    from rich.console import RenderableType

FOR_TODAY = (
    "lot past keeping",
    "seal failed",
    "past line not recorded",
    "expected lot not weighed",
    "lot below zero",
    "older copy",
)
"""Kinds of problem that belong on this morning's list."""


def today_view(path: Path, today: datetime.date) -> RenderableType:
    """
    This morning's list; it follows the plan in the workbook and can be read without one.

    Raises WorkbookRefused when the file cannot be opened.
    """
    from stillroom.pages.stale import stale_words
    from stillroom.pages.today_page import today_page

    reading = read_workbook(path, today)
    morning = today_of(reading.typed, reading.household)
    kitchen = reading.household.kitchen
    one_unit = 1.0 / in_space_unit(1.0, kitchen)
    return today_page(
        morning,
        [problem for problem in reading.problems if problem.kind in FOR_TODAY],
        due_soon(reading.household),
        eat_first(reading.household),
        sorted(over(reading.household).items()),
        freezer_things(reading.household),
        space_unit_litres=one_unit,
        space_unit=kitchen.volume_unit,
        said=stale_words(reading) if morning.planned else "",
    )


def count_view(path: Path, today: datetime.date) -> RenderableType:
    """Every stock and the season so far. Raises WorkbookRefused when the file cannot be opened."""
    from stillroom.pages.count_page import count_page

    reading = read_workbook(path, today)
    return count_page(
        stock_cards(reading.typed),
        season_rows(reading.typed),
        tally(reading.typed, reading.household),
        reading.problems,
    )


def count_json(path: Path, today: datetime.date) -> str:
    """
    The same for other programs: `stocks`, `season_so_far`, `tally`, `problems`.

    Raises WorkbookRefused when the file cannot be opened.
    """
    from stillroom.pages.as_json import problems_object, tables_object, text
    from stillroom.pages.count_page import WORTH_SAYING, stock_rows, tally_object

    reading = read_workbook(path, today)
    tables = tables_object(
        {"Stocks": stock_rows(stock_cards(reading.typed)), "Season so far": season_rows(reading.typed)}
    )
    said = [problem for problem in reading.problems if problem.kind in WORTH_SAYING]
    figures = tally_object(tally(reading.typed, reading.household))
    return text({**tables, "tally": figures, "problems": problems_object(said)})


def learned_view(path: Path, today: datetime.date) -> RenderableType:
    """What the record teaches. Raises WorkbookRefused when the file cannot be opened."""
    from stillroom.pages.learned_page import learned_page

    reading: Reading = read_workbook(path, today)
    return learned_page(reading.typed, reading.lessons)
