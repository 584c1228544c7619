"""An evening for the terminal: what was recorded, what is on hand now, and tomorrow."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from rich.console import RenderableType

from stillroom.household.journal.overview import Morning
from stillroom.household.text import format_full_date, format_long_date
from stillroom.reports.terminal.lists import heading, section, spaced
from stillroom.reports.terminal.today import TODAY, TOMORROW, today_page

MOST_COUNTS = 12
MOST_OF_TOMORROW = 18
"""Lines of the screen for tomorrow."""


def evening_page(
    day: datetime.date,
    entered: Sequence[str],
    done: Sequence[str],
    said: Sequence[str],
    counts: Sequence[str],
    why: Sequence[str],
    tomorrow: Morning,
    today: datetime.date,
) -> RenderableType:
    """
    Return the page: `entered` now and `done` before, what to look at, what is on hand, and tomorrow's list.

    `why` says why there is no new plan; it is then tomorrow's list by the old one. `today` is the real date.
    """
    recorded = [*entered, *(f"{words} (recorded before)" for words in done)]
    no_plan = ["What you entered is saved, but the plan in the workbook is out of date:", *why] if why else []
    more = [f"and {len(counts) - MOST_COUNTS} more: stillroom stock"] if len(counts) > MOST_COUNTS else []
    parts: list[RenderableType | None] = [
        heading("Recorded", format_full_date(day)),
        section("Done", recorded or [f"Nothing on {format_long_date(day)}."]),
        section("Look at this", list(said)),
        section("On hand now", ["; ".join(counts[:MOST_COUNTS]), *more] if counts else []),
        section("No new plan", no_plan),
        today_page(tomorrow, title_of(tomorrow.today.day, day, today), MOST_OF_TOMORROW),
    ]
    return spaced(parts)


def title_of(next_day: datetime.date, day: datetime.date, today: datetime.date) -> str:
    """
    Return what the next day's list is called: an evening may be entered the morning after, or before the plan begins.

    >>> day = datetime.date(2026, 7, 6)
    >>> [title_of(day.replace(day=one), day, day.replace(day=today)) for one, today in ((7, 6), (7, 7), (9, 6))]
    ['Tomorrow', 'Today', 'First day of the plan']
    """
    if next_day == today:
        return TODAY
    return TOMORROW if next_day == day + datetime.timedelta(days=1) else "First day of the plan"
