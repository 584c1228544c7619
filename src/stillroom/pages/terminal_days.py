"""The days of a plan on a narrow screen: today and tomorrow in full, the week by day, later weeks in a line each."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial

from rich.console import Console, ConsoleOptions, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from stillroom.household.answer.units import Row
from stillroom.household.answer.words import (
    amount_words,
    count_words,
    day_words,
    hours_words,
    listed,
    long_day_words,
    period_words,
)
from stillroom.household.records import FREEZE_WHOLE, THAW

HEADING = "bold"
QUIET = "dim"
WIDE = 78
"""From so many letters on every table has room for all its columns."""
Tables = Mapping[str, Sequence[Row]]
CRUMB_OF_CONTAINER, CRUMB_OF_CROP = 0.2, 0.125
"""A line of a week of fewer containers, or of less crop in its own unit, is not said on the terminal."""


def figure(row: Row, heading: str) -> float:
    """Read the number in a cell of a row; 0 when there is none."""
    value = row.get(heading)
    return float(value) if isinstance(value, int | float) else 0.0


def day_of(row: Row, heading: str = "Day") -> datetime.date:
    """Read the day of a row; the first of all days when there is none, so that it sorts first."""
    value = row.get(heading)
    if isinstance(value, datetime.datetime):
        return value.date()
    return value if isinstance(value, datetime.date) else datetime.date.min


def said(row: Row, heading: str) -> str:
    """Read the text of a cell, empty for a blank one."""
    value = row.get(heading)
    return "" if value is None else str(value)


def heading(words: str, beside: str = "") -> Text:
    """Set the heading of a section."""
    return Text.assemble((words.upper(), HEADING), (f"  {beside}" if beside else "", QUIET))


def indented(what: RenderableType) -> Padding:
    """Set something in by two."""
    return Padding(what, (0, 0, 0, 2))


def spaced(parts: Iterable[RenderableType]) -> Group:
    """Parts with an empty line between."""
    lines: list[RenderableType] = []
    for part in parts:
        lines += [Text(""), part] if lines else [part]
    return Group(*lines)


def grid(*widths: int | None) -> Table:
    """Make a table without lines; the first column is right-aligned, a width of None takes what is left."""
    table = Table.grid(padding=(0, 2, 0, 0), expand=False)
    for number, width in enumerate(widths):
        table.add_column(width=width, justify="right" if number == 0 else "left", overflow="fold")
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
        if day_of(row) == day and figure(row, "Days") == days and figure(row, "Make") > 0
    ]


def make_words(row: Row) -> str:
    """How many, or how much of a crop with its unit."""
    if said(row, "Preserve").startswith((FREEZE_WHOLE, THAW)):
        unit = said(row, "Unit")
        return f"{amount_words(figure(row, 'Make'), unit)} {unit}"
    return count_words(figure(row, "Make"), whole=figure(row, "Days") == 1)


def loads_words(row: Row) -> str:
    """
    Loads, and whether the line is fixed.

    >>> loads_words({"Loads": 2, "Fix": None}), loads_words({"Loads": 1, "Fix": 7}), loads_words({})
    ('2 loads', '1 load, fixed', '')
    """
    loads = figure(row, "Loads")
    words = [f"{loads:.0f} load{'' if round(loads) == 1 else 's'}"] if loads else []
    words += ["fixed"] if row.get("Fix") is not None else []
    return ", ".join(words)


def full_day(tables: Tables, name: str, day: datetime.date) -> RenderableType:
    """One day in full: what to make of what, in how many loads, with how much time; then what the day holds."""
    rows = lines_of(tables, day, 1)
    if not rows:
        return Group(heading(name, long_day_words(day)), indented(Text("Nothing has to be put up.")))
    table = grid(6, 24, None, 7)
    for row in rows:
        hours = hours_words(figure(row, "Hands h")) if figure(row, "Hands h") else ""
        uses = Text(said(row, "Uses"))
        loads = loads_words(row)
        if loads:
            uses.append(f" ({loads})" if uses else loads)
        table.add_row(Text(make_words(row), "bold"), Text(said(row, "Preserve"), "bold"), uses, Text(hours, QUIET))
    return Group(heading(name, long_day_words(day)), table, indented(Text(day_holds(tables, day), QUIET)))


def day_holds(tables: Tables, day: datetime.date) -> str:
    """Hands and stove of a day, with what is left of them."""
    space = next((row for row in tables.get("Space", ()) if day_of(row, "Period") == day), None)
    if space is None:
        return ""
    words = []
    for what, used, free in (("hands", "Hands used", "Hands free"), ("stove", "Stove used", "Stove free")):
        left = "" if space.get(free) is None else f" ({hours_words(max(0.0, figure(space, free)))} left)"
        words.append(f"{what} {hours_words(figure(space, used))}{left}")
    return ", ".join(words)


def the_week(tables: Tables, days: Sequence[datetime.date]) -> RenderableType:
    """The other single days, a line for each thing to make."""
    return Group(heading("The days after"), Fitted(partial(week_grid, tables, days)))


def week_grid(tables: Tables, days: Sequence[datetime.date], wide: int) -> RenderableType:
    """The same as columns; on a narrow screen what a thing takes stands behind its name."""
    narrow = wide < WIDE
    table = grid(10, 6, None) if narrow else grid(10, 6, 26, None)
    table.columns[0].justify = "left"
    table.columns[1].justify = "right"
    for day in days:
        rows = lines_of(tables, day, 1)
        if not rows:
            table.add_row(day_words(day), "", Text("nothing planned", QUIET))
        for number, row in enumerate(rows):
            name, uses = said(row, "Preserve"), said(row, "Uses")
            words = [Text(f"{name}: {uses}" if uses else name)] if narrow else [Text(name), Text(uses)]
            table.add_row(day_words(day) if number == 0 else "", make_words(row), *words)
    return table


def later_weeks(tables: Tables, weeks: Sequence[datetime.date]) -> RenderableType:
    """Each later week in a line: a rough plan, in fractions that are shown rounded."""
    table = grid(14, None)
    table.columns[0].justify = "left"
    busy = [(day, rows) for day in weeks if (rows := [row for row in lines_of(tables, day, 7) if not crumb(row)])]
    for day, rows in busy:
        table.add_row(
            period_words(day, 7).removeprefix("the "), Text(listed([short_line(row) for row in rows], 0, "; "))
        )
    if len(busy) < len(weeks):
        table.add_row("other weeks" if busy else "all weeks", Text("nothing planned", QUIET))
    return Group(heading("Later weeks", "rough figures, planned again as they come nearer"), table)


def crumb(row: Row) -> bool:
    """
    Whether a line of a week is a remainder that nobody would begin a kettle for; the workbook holds it all the same.

    >>> crumb({"Preserve": "salsa", "Make": 0.1}), crumb({"Preserve": "thaw: plum tomato", "Make": 0.1, "Unit": "lb"})
    (True, True)
    >>> crumb({"Preserve": "salsa", "Make": 0.5}), crumb({"Preserve": "thaw: plum tomato", "Make": 3, "Unit": "lb"})
    (False, False)
    """
    least = CRUMB_OF_CROP if said(row, "Preserve").startswith((FREEZE_WHOLE, THAW)) else CRUMB_OF_CONTAINER
    return figure(row, "Make") < least and row.get("Fix") is None


def short_line(row: Row) -> str:
    """
    A line in a few words.

    >>> short_line({"Preserve": "thaw: plum tomato", "Make": 12.2, "Unit": "lb", "Days": 7})
    'thaw 12 lb plum tomato'
    """
    name = said(row, "Preserve")
    for start in (FREEZE_WHOLE, THAW):
        if name.startswith(start):
            return f"{start.rstrip(': ')} {make_words(row)} {name.removeprefix(start)}"
    range_words = said(row, "Likely").partition(",")[0]
    return f"{make_words(row)} {name}" + (f" ({range_words})" if range_words else "")


def days_page(tables: Tables, today: datetime.date) -> list[RenderableType]:
    """All days of a plan, by the periods of its Space table."""
    periods = [(day_of(row, "Period"), int(figure(row, "Days"))) for row in tables.get("Space", ())]
    singles = [day for day, days in periods if days == 1]
    weeks = [day for day, days in periods if days > 1]
    names = {today: "Today", today + datetime.timedelta(days=1): "Tomorrow"}
    first = [
        full_day(tables, names.get(day, "First day" if not number else "Next day"), day)
        for number, day in enumerate(singles[:2])
    ]
    parts: list[RenderableType] = list(first)
    if singles[2:]:
        parts.append(the_week(tables, singles[2:]))
    if weeks:
        parts.append(later_weeks(tables, weeks))
    return parts
