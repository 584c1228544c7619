"""The building blocks of terminal pages, a page as plain text, and the days and weeks of a plan."""

from __future__ import annotations

import datetime
import io
import threading
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import partial
from types import TracebackType

from rich.console import Console, ConsoleOptions, Group, RenderableType
from rich.padding import Padding
from rich.status import Status
from rich.table import Table
from rich.text import Text

from stillroom.household.records import FREEZE_WHOLE, THAW
from stillroom.household.results.rows import Row, day_in, number_in, text_in
from stillroom.household.text import (
    format_containers,
    format_count,
    format_date,
    format_full_date,
    format_hours,
    format_long_date,
    format_quantity,
)

HEADING = "bold"
QUIET = "dim"
WIDE = 78
"""From so many letters on every table has room for all its columns."""
Tables = Mapping[str, Sequence[Row]]


def heading(words: str, about: str = "") -> Text:
    """Set the heading of a section."""
    return Text.assemble((words.upper(), HEADING), (f"  {about}" if about else "", QUIET))


def indented(what: RenderableType) -> Padding:
    """Set something in by two."""
    return Padding(what, (0, 0, 0, 2))


def section(name: str, lines: Iterable[RenderableType], about: str = "") -> Group | None:
    """Return a part of a page, its lines set in under its heading; None without lines."""
    shown = [indented(Text(line) if isinstance(line, str) else line) for line in lines]
    return Group(heading(name, about), *shown) if shown else None


def spaced(parts: Iterable[RenderableType | None]) -> Group:
    """Parts with an empty line between; None is left out."""
    lines: list[RenderableType] = []
    for part in parts:
        if part is not None:
            lines += [Text(""), part] if lines else [part]
    return Group(*lines)


def grid(*widths: int | None, right: Collection[int] = ()) -> Table:
    """Make a table without lines; columns of these numbers are right-aligned, a width of None takes what is left."""
    table = Table.grid(padding=(0, 2, 0, 0), expand=False)
    for number, width in enumerate(widths):
        table.add_column(width=width, justify="right" if number in right else "left", overflow="fold")
    return table


def dashed(lines: Sequence[Text]) -> RenderableType:
    """Set lines in, a dash before each."""
    table = grid(3, None, right=(0,))
    for line in lines:
        table.add_row("-", line)
    return table


class Fitted:
    """A part that is made for the width there is, so that a narrow screen gets fewer letters and no broken figures."""

    def __init__(self, made_for: Callable[[int], RenderableType]) -> None:
        """Take what makes the part for a width in letters."""
        self.made_for = made_for

    def __rich_console__(self, _console: Console, options: ConsoleOptions) -> Iterator[RenderableType]:
        """Make it when it is printed."""
        yield self.made_for(options.max_width)


def lines_of(tables: Tables, day: datetime.date, days: int) -> list[Row]:
    """The lines of one period that make something."""
    return [
        row
        for row in tables.get("Plan", ())
        if day_in(row) == day and number_in(row, "Days") == days and number_in(row, "Make") > 0
    ]


def make_words(row: Row) -> str:
    """Return how many, or how much of a crop with its unit."""
    if text_in(row, "Preserve").startswith((FREEZE_WHOLE, THAW)):
        return format_quantity(number_in(row, "Make"), text_in(row, "Unit"))
    return format_containers(number_in(row, "Make"), whole=number_in(row, "Days") == 1)


def loads_words(row: Row) -> str:
    """
    Return the loads, and whether the household typed the number.

    >>> loads_words({"Loads": 2, "Keep at": None}), loads_words({"Loads": 1, "Keep at": 7}), loads_words({})
    ('2 loads', '1 load, your number', '')
    """
    loads = round(number_in(row, "Loads"))
    words = [format_count(loads, "load")] if loads else []
    words += ["your number"] if row.get("Keep at") is not None else []
    return ", ".join(words)


def full_day(tables: Tables, name: str, day: datetime.date) -> RenderableType:
    """One day in full: what to make of what, in how many loads, with how much time; then what the day holds."""
    rows = lines_of(tables, day, 1)
    if not rows:
        return Group(heading(name, format_full_date(day)), indented(Text("Nothing to put up.")))
    table = grid(6, 24, None, 7, right=(0,))
    for row in rows:
        hours = format_hours(number_in(row, "Hands-on h")) if number_in(row, "Hands-on h") else ""
        uses = Text(text_in(row, "Uses"))
        loads = loads_words(row)
        if loads:
            uses.append(f" ({loads})" if uses else loads)
        table.add_row(Text(make_words(row), "bold"), Text(text_in(row, "Preserve"), "bold"), uses, Text(hours, QUIET))
    return Group(heading(name, format_full_date(day)), table, indented(Text(day_holds(tables, day), QUIET)))


def day_holds(tables: Tables, day: datetime.date) -> str:
    """Return the hands-on hours and the stove hours of a day, used and in all."""
    space = next((row for row in tables.get("Space", ()) if day_in(row, "Period") == day), None)
    if space is None:
        return ""
    parts = []
    for what, used, left in (("Hands-on", "Hands-on used", "Hands-on left"), ("Stove", "Stove used", "Stove left")):
        hours = number_in(space, used)
        there = "" if space.get(left) is None else f" of {format_hours(hours + max(0.0, number_in(space, left)))}"
        parts.append(f"{what} {format_hours(hours)}{there}.")
    return " ".join(parts)


def week_grid(tables: Tables, days: Sequence[datetime.date], wide: int) -> RenderableType:
    """The same as columns; on a narrow screen what a thing takes is behind its name."""
    narrow = wide < WIDE
    table = grid(10, 6, *(() if narrow else (26,)), None, right=(1,))
    for day in days:
        rows = lines_of(tables, day, 1)
        if not rows:
            table.add_row(format_long_date(day), "", Text("nothing planned", QUIET))
        for number, row in enumerate(rows):
            name, uses = text_in(row, "Preserve"), text_in(row, "Uses")
            words = [Text(f"{name}: {uses}" if uses else name)] if narrow else [Text(name), Text(uses)]
            table.add_row(format_long_date(day) if number == 0 else "", make_words(row), *words)
    return table


def later_weeks(tables: Tables, weeks: Sequence[datetime.date]) -> RenderableType | None:
    """The later weeks that have work: a rough plan, in fractions that are shown rounded; None without any."""
    busy = [(day, rows) for day in weeks if (rows := lines_of(tables, day, 7))]
    if not busy:
        return None
    about = "rough; planned in detail when they come closer"
    return Group(heading("Later weeks", about), Fitted(partial(weeks_grid, busy)))


def weeks_grid(busy: Sequence[tuple[datetime.date, Sequence[Row]]], wide: int) -> RenderableType:
    """The same as columns: two things a line, one on a narrow screen."""
    several = 2 if wide >= WIDE else 1
    table = grid(14, *[(wide - 16) // several - 2] * several)
    for day, rows in busy:
        for first in range(0, len(rows), several):
            cells = [Text(short_line(row)) for row in rows[first : first + several]]
            table.add_row("" if first else f"week of {format_date(day)}", *cells)
    return table


def short_line(row: Row) -> str:
    """
    A line in a few words.

    >>> short_line({"Preserve": "thaw: plum tomato", "Make": 12.2, "Unit": "lb", "Days": 7})
    'thaw 12 lb plum tomato'
    """
    name = text_in(row, "Preserve")
    for start in (FREEZE_WHOLE, THAW):
        if name.startswith(start):
            return f"{start.rstrip(': ')} {make_words(row)} {name.removeprefix(start)}"
    range_words = text_in(row, "Likely").partition(",")[0]
    return f"{make_words(row)} {name}" + (f" ({range_words})" if range_words else "")


def first_days(tables: Tables, today: datetime.date) -> list[RenderableType]:
    """The first two days of a plan in full."""
    names = {today: "Today", today + datetime.timedelta(days=1): "Tomorrow"}
    return [
        full_day(tables, names.get(day, "First day" if not number else "Next day"), day)
        for number, day in enumerate(days_in(tables, single=True)[:2])
    ]


def later_days(tables: Tables) -> list[RenderableType | None]:
    """The other days planned in detail, then the weeks planned roughly."""
    days, weeks = days_in(tables, single=True)[2:], days_in(tables, single=False)
    week = Group(heading("This week"), Fitted(partial(week_grid, tables, days)))
    return [week if days else None, later_weeks(tables, weeks)]


def days_in(tables: Tables, *, single: bool) -> list[datetime.date]:
    """The first days of the periods of a plan: the single days, or the weeks."""
    return [day_in(row, "Period") for row in tables.get("Space", ()) if (number_in(row, "Days") == 1) == single]


def plain_text(page: RenderableType, width: int = 80) -> str:
    """
    Render a page as it goes into a pipe or a file.

    >>> from rich.text import Text
    >>> plain_text(Text("seven quarts", "bold"))
    'seven quarts'
    """
    text = io.StringIO()
    Console(file=text, width=width, color_system=None, force_terminal=False, highlight=False).print(page)
    return "\n".join(line.rstrip() for line in text.getvalue().splitlines())


# A sign of life while something takes longer than a second; nothing at all when nobody is looking.

PATIENCE_SECONDS = 1.0


class Waiting:
    """
    A spinner that says what is being done, shown once a second has passed, and gone when it ends.

    Only on a terminal: into a pipe or a file nothing is written.
    """

    def __init__(self, console: Console, words: str) -> None:
        """Get ready; `console` is the one for errors, so that what is asked for stays clean."""
        self._console = console
        self._words = words
        self._status: Status | None = None
        self._lock = threading.Lock()
        self._timer = threading.Timer(PATIENCE_SECONDS, self._show)
        self._timer.daemon = True

    def update(self, words: str) -> None:
        """Show what is being done now."""
        with self._lock:
            self._words = words
            if self._status is not None:
                self._status.update(Text(words))

    def _show(self) -> None:
        with self._lock:
            if not self._timer.finished.is_set():
                self._status = self._console.status(Text(self._words))
                self._status.start()

    def __enter__(self) -> Waiting:
        """Begin to wait."""
        if self._console.is_terminal:
            self._timer.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Take the spinner away, whatever happened."""
        self._timer.cancel()
        with self._lock:
            if self._status is not None:
                self._status.stop()
