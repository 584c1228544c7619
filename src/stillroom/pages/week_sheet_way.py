"""The way from a workbook with a plan to its paper and calendar: a week sheet and a calendar file in a folder."""

from __future__ import annotations

import datetime
from pathlib import Path

from stillroom.errors import CouldNotWrite, StillroomError
from stillroom.household.records import Kitchen
from stillroom.pages.day_way import clock_of
from stillroom.pages.week_sheet import week_sheet
from stillroom.pages.week_sheet_lines import cautions, sheet_days
from stillroom.timetable.clock import by_day
from stillroom.workbook import write
from stillroom.workbook.mark import mark_in
from stillroom.workbook.older_copy import times_written

METRES_A_FOOT = 0.3048
WEEK, CALENDAR = "week.html", "calendar.ics"


def write_pages(path: Path, folder: Path, now: datetime.datetime) -> list[str]:
    """
    Write the week sheet and the calendar of the plan in a workbook into a folder, over those of a former plan.

    `now` is the moment with its zone; gives the lines to say. Raises StillroomError when there is no plan in the
    workbook, WorkbookRefused when it cannot be planned, CouldNotWrite.
    """
    clock = clock_of(path, now.date())
    book = clock.reading.book
    if mark_in(write.notes_in(book)) is None:
        msg = f"there is no plan in {path.name} yet; first: stillroom plan {path.name}"
        raise StillroomError(msg)
    from stillroom.pages.calendar_file import calendar_file

    tables = write.standing_tables(book)
    days = sheet_days(clock.reading.household, tables)
    steps = by_day(clock.days)
    title = f"{path.stem}; {place_words(clock.reading.household.kitchen)}"
    sheet = week_sheet(title, days, {one.day: one for one in clock.days}, steps, cautions(tables), clock.said)
    stamp = now.astimezone(datetime.UTC).replace(microsecond=0)
    events = calendar_file(days, steps, tables["Shopping"], stamp, times_written(book))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        put(folder / WEEK, sheet.encode())
        put(folder / CALENDAR, events)
    except OSError as error:
        msg = f"{folder} cannot be written to: {error.strerror or error}"
        raise CouldNotWrite(msg) from error
    lines = [
        f"Wrote {folder / WEEK}: print it, A4 or Letter.",
        f"Wrote {folder / CALENDAR}: take it into your calendar; taking a later one in brings it up to date.",
    ]
    return [*lines, clock.said] if clock.said else lines


def place_words(kitchen: Kitchen) -> str:
    """
    For which place the times hold: they are not those of another height or gauge.

    >>> place_words(Kitchen(datetime.date(2026, 8, 14), altitude_ft=1180.0, gauge="dial"))
    'times for 1,180 ft above the sea and a dial gauge'
    >>> place_words(Kitchen(datetime.date(2026, 8, 14), altitude_ft=1000.0, altitude_unit="m"))
    'times for 305 m above the sea'
    """
    if kitchen.altitude_ft is None:
        return "no altitude is typed"
    height = kitchen.altitude_ft * (METRES_A_FOOT if kitchen.altitude_unit == "m" else 1.0)
    gauge = f" and a {kitchen.gauge} gauge" if kitchen.gauge else ""
    return f"times for {height:,.0f} {kitchen.altitude_unit} above the sea{gauge}"


def put(path: Path, content: bytes) -> None:
    """Write a file beside its place and move it there in one step, so that it is never half written."""
    beside = path.with_name(f".{path.name}.new")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
