"""Looking into a workbook between two plans: this morning's list, stocktaking, what was learned; nothing is written."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import TYPE_CHECKING

from stillroom.app.frames import rows_of
from stillroom.app.plan import Reading, mark_of
from stillroom.household.journal.fingerprint import changed, parts, parts_in
from stillroom.household.journal.overview import (
    Morning,
    due_soon,
    eat_first,
    freezer_things,
    kept_until_yesterday,
    over,
    season_rows,
    tally,
    today_of,
)
from stillroom.household.journal.stocks import stock_cards
from stillroom.household.records import Household
from stillroom.household.results.commands import Entry
from stillroom.household.results.rows import Row
from stillroom.household.results.sums import keeps_until
from stillroom.household.text import format_long_date
from stillroom.reports.json import as_json, errors_object, problems_object, tables_object, text
from stillroom.reports.terminal.plan import with_errors
from stillroom.reports.terminal.stock import (
    STOCK_PROBLEMS,
    stock_page,
    stock_rows,
    tally_object,
    yields_object,
    yields_page,
)
from stillroom.reports.terminal.today import to_eat_page, today_object, today_page
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer import plan as write
from stillroom.workbook.writer.plan import mark_in, notes_in

if TYPE_CHECKING:
    from rich.console import RenderableType


NO_END_DAYS = 36_500
"""More days than anything keeps."""
FOR_TODAY = (
    "seal failed",
    "past line not recorded",
    "expected lot not weighed",
    "lot below zero",
    "another branch",
    "copy put back",
    "plan line twice",
)
"""Kinds of problem that belong on this morning's list."""


SAID_FIRST = ("another branch", "copy put back")
"""Kinds of problem that the program says before the page of any command."""


def morning_of(reading: Reading) -> Morning:
    """Return this morning's list; it follows the plan in the workbook and can be made without one."""
    household = reading.household
    today = today_of(reading.typed, household)
    stale = stale_words(reading)
    today = replace(today, planned=today.planned or not stale)
    yesterday = today.day - datetime.timedelta(days=1)
    put_away = {row.where for row in reading.typed.record if row.date == yesterday}
    old = past_keeping(reading.typed) | put_away
    return Morning(
        today,
        tuple(one for one in reading.problems if one.kind in FOR_TODAY and one.where not in old),
        tuple(one for one in due_soon(household) if one[1] >= yesterday),
        eat_first(household),
        over(household),
        freezer_things(household),
        stale if today.planned else "",
        kept_until_yesterday(reading.typed),
        reading.book.path.name,
    )


def past_keeping(typed: Household) -> frozenset[str]:
    """Return the places of expected lots that would be past their keeping days by now: they are not asked after."""
    crops = {crop.name: crop for crop in typed.crops}
    first_day = typed.kitchen.first_day
    old = [lot for lot in typed.lots if lot.expected and keeps_until(lot, crops[lot.crop]) < first_day]
    return frozenset(lot.where for lot in old)


def today_view(reading: Reading) -> RenderableType:
    """This morning's list for the terminal."""
    morning = morning_of(reading)
    problems = tuple(problem for problem in morning.problems if problem.kind not in SAID_FIRST)
    return with_errors(reading.household, today_page(replace(morning, problems=problems)))


def today_json(reading: Reading) -> str:
    """The same for other programs."""
    found = today_object(morning_of(reading), reading.household)
    return text({**found, **errors_object(reading.household)})


def eat_first_view(reading: Reading) -> RenderableType:
    """What goes out of date first for the terminal: all of the shelf, not only what is due soon, and the freezer."""
    return with_errors(reading.household, to_eat_page(all_to_eat(reading)))


def eat_first_json(reading: Reading) -> str:
    """The same for other programs: `eat_first`, `more_than_wanted` and `freezer` as `today` has them."""
    found = today_object(all_to_eat(reading), reading.household)
    kept = {name: found[name] for name in ("day", "eat_first", "more_than_wanted", "freezer")}
    return text({**kept, **errors_object(reading.household)})


def all_to_eat(reading: Reading) -> Morning:
    """Return this morning's list with everything on the shelf that has a day."""
    return replace(morning_of(reading), eat=eat_first(reading.household, NO_END_DAYS))


def stock_view(reading: Reading) -> RenderableType:
    """Every stock and the season so far."""
    figures = tally(reading.typed, reading.household)
    problems = [problem for problem in reading.problems if problem.kind not in SAID_FIRST]
    return stock_page(stock_cards(reading.typed), season_rows(reading.typed), figures, problems)


def stock_tables(reading: Reading) -> dict[str, list[Row]]:
    """The stocks and the season so far, for CSV too."""
    return {"Stocks": stock_rows(stock_cards(reading.typed)), "Season so far": season_rows(reading.typed)}


def yields_tables(reading: Reading) -> dict[str, list[Row]]:
    """What the record teaches, for CSV."""
    return {"Yields": rows_of(yields_object(reading.typed, reading.lessons))}


def stock_json(reading: Reading) -> str:
    """The same for other programs: `stocks`, `season_so_far`, `tally`, `problems`."""
    about = [problem for problem in reading.problems if problem.kind in STOCK_PROBLEMS]
    figures = tally_object(tally(reading.typed, reading.household), reading.household)
    return text({**tables_object(stock_tables(reading)), "tally": figures, "problems": problems_object(about)})


def entry_json(entry: Entry, today: datetime.date) -> str:
    """
    Return an entry of the journal for other programs: `table`, `rows`, `stocks`, `receipt` and `messages`.

    `stocks` are those that it changed, as they are now; none while something else in the workbook must be fixed.
    """
    typed, problems = read.household(Book.open(entry.receipt.path), today)
    before = set(stock_cards(entry.before))
    cards = () if any(problem.stops for problem in problems) else stock_cards(typed)
    tables = tables_object({"Rows": entry.rows, "Stocks": stock_rows([card for card in cards if card not in before])})
    end = {"receipt": as_json(entry.receipt), "messages": list(entry.messages)}
    return text({"table": entry.table, **tables, **end})


def yields_view(reading: Reading) -> RenderableType:
    """What the record teaches."""
    return yields_page(reading.typed, reading.lessons)


def yields_json(reading: Reading) -> str:
    """The same for other programs: `yields`."""
    return text({"yields": yields_object(reading.typed, reading.lessons)})


# Whether the plan that stands in a workbook is still that of what is typed there, in a sentence.

CHANGED = "The workbook has changed since this plan was made; plan again to be sure of it."
ONLY_THE_DAY = ("first day",)


def stale_words(reading: Reading) -> str:
    """
    Say what makes the plan in the workbook an older one; empty while it holds.

    A plan made with a time limit, or by another version, holds as long as nothing that it rests on is typed anew.
    """
    notes = notes_in(reading.book)
    mark = mark_in(notes)
    if mark is None or not write.is_unchanged(reading.book, mark[0]):
        return CHANGED
    if mark[0] == mark_of(reading.typed, None)[: len(mark[0])]:
        return ""
    before, now = parts_in(notes.get("inputs", "")), parts(reading.typed)
    if not before:
        return CHANGED
    other = tuple(name for name in now if changed({name: before[name]} if name in before else {}, {name: now[name]}))
    if other == ONLY_THE_DAY:
        then = datetime.date.fromordinal(int(before["first day"][0]))
        return f"This plan begins on {format_long_date(then)}; plan again to begin with the first day of now."
    return CHANGED if other else ""
