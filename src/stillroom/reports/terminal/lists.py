"""The lists of a plan on a narrow screen: the winter list, what is fed, what to buy, what to look at."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial

from rich.console import Console, ConsoleOptions, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from stillroom.household.records import FREEZE_WHOLE, THAW
from stillroom.household.results.values import Row
from stillroom.household.text import (
    format_amount,
    format_containers,
    format_count,
    format_full_date,
    format_hours,
    format_list,
    format_long_date,
    format_money,
    format_period,
    format_share,
    plural,
)
from stillroom.household.units import find_unit

# The days of a plan on a narrow screen: today and tomorrow in full, the week by day, later weeks in a line each.

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
        return f"{format_amount(figure(row, 'Make'), unit)} {unit}"
    return format_containers(figure(row, "Make"), whole=figure(row, "Days") == 1)


def loads_words(row: Row) -> str:
    """
    Loads, and whether the line is fixed.

    >>> loads_words({"Loads": 2, "Fix": None}), loads_words({"Loads": 1, "Fix": 7}), loads_words({})
    ('2 loads', '1 load, fixed', '')
    """
    loads = figure(row, "Loads")
    words = [format_count(round(loads), "load")] if loads else []
    words += ["fixed"] if row.get("Keep at") is not None else []
    return ", ".join(words)


def full_day(tables: Tables, name: str, day: datetime.date) -> RenderableType:
    """One day in full: what to make of what, in how many loads, with how much time; then what the day holds."""
    rows = lines_of(tables, day, 1)
    if not rows:
        return Group(heading(name, format_full_date(day)), indented(Text("Nothing has to be put up.")))
    table = grid(6, 24, None, 7)
    for row in rows:
        hours = format_hours(figure(row, "Hands-on h")) if figure(row, "Hands-on h") else ""
        uses = Text(said(row, "Uses"))
        loads = loads_words(row)
        if loads:
            uses.append(f" ({loads})" if uses else loads)
        table.add_row(Text(make_words(row), "bold"), Text(said(row, "Preserve"), "bold"), uses, Text(hours, QUIET))
    return Group(heading(name, format_full_date(day)), table, indented(Text(day_holds(tables, day), QUIET)))


def day_holds(tables: Tables, day: datetime.date) -> str:
    """Hands and stove of a day, with what is left of them."""
    space = next((row for row in tables.get("Space", ()) if day_of(row, "Period") == day), None)
    if space is None:
        return ""
    words = []
    for what, used, free in (("hands", "Hands-on used", "Hands-on left"), ("stove", "Stove used", "Stove left")):
        left = "" if space.get(free) is None else f" ({format_hours(max(0.0, figure(space, free)))} left)"
        words.append(f"{what} {format_hours(figure(space, used))}{left}")
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
            table.add_row(format_long_date(day), "", Text("nothing planned", QUIET))
        for number, row in enumerate(rows):
            name, uses = said(row, "Preserve"), said(row, "Uses")
            words = [Text(f"{name}: {uses}" if uses else name)] if narrow else [Text(name), Text(uses)]
            table.add_row(format_long_date(day) if number == 0 else "", make_words(row), *words)
    return table


def later_weeks(tables: Tables, weeks: Sequence[datetime.date]) -> RenderableType:
    """Each later week in a line: a rough plan, in fractions that are shown rounded."""
    table = grid(14, None)
    table.columns[0].justify = "left"
    busy = [(day, rows) for day in weeks if (rows := [row for row in lines_of(tables, day, 7) if not crumb(row)])]
    for day, rows in busy:
        table.add_row(
            format_period(day, 7).removeprefix("the "), Text(format_list([short_line(row) for row in rows], 0, "; "))
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
    return figure(row, "Make") < least and row.get("Keep at") is None


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


IMPORTANCE = {1: "must", 2: "should", 3: "nice"}
FULL = 0.995
ALIKE = 3
"""So many messages with the same cure are said in full."""


def winter_list(tables: Tables) -> RenderableType | None:
    """How far the winter list is filled: what falls short in lines, musts first; what is full in one sentence."""
    rows = [row for row in tables.get("Coverage", ()) if figure(row, "Wanted") > 0]
    if not rows:
        return None
    short = [row for row in rows if figure(row, "Covered") < FULL]
    short.sort(key=lambda row: (figure(row, "Importance"), figure(row, "Covered"), said(row, "Target")))
    parts: list[RenderableType] = [heading("Winter list", f"{len(rows) - len(short)} of {len(rows)} needs are filled")]
    if short:
        parts.append(Fitted(partial(short_table, short)))
    full = [said(row, "Target") for row in rows if figure(row, "Covered") >= FULL]
    if full:
        parts.append(indented(Text(f"Filled: {format_list(full, 0, '; ')}.")))
    saves = sum(figure(row, "Saves") for row in rows)
    if saves > 0:
        parts.append(indented(Text(f"What is planned would cost {format_money(saves)} in the shop.")))
    return Group(*parts)


def short_table(rows: Sequence[Row], wide: int) -> RenderableType:
    """The needs that fall short; on a narrow screen without what is on the shelf."""
    if wide < WIDE:
        return narrow_short_table(rows, wide)
    table = grid(6, 26, 6, 8, 9, 9, 6)
    for column in table.columns[3:]:
        column.justify = "right"
    table.add_row(*(Text(word, QUIET) for word in ("filled", "target", "", "short", "wanted", "on shelf", "plan")))
    for row in rows:
        filled = format_share(figure(row, "Covered"))
        figures = (Text(format_amount(figure(row, name))) for name in ("Short", "Wanted", "On the shelf", "Planned"))
        importance = IMPORTANCE.get(int(figure(row, "Importance")), "")
        table.add_row(Text(filled, "bold"), Text(said(row, "Target")), Text(importance, QUIET), *figures)
    return table


def narrow_short_table(rows: Sequence[Row], wide: int) -> RenderableType:
    """The same where there is little room: the importance behind the name, no word and no figure broken."""
    table = grid(6, max(12, wide - 37), 5, 6, 7)
    for column in table.columns[2:]:
        column.justify = "right"
    table.add_row(*(Text(word, QUIET) for word in ("filled", "target", "short", "wanted", "plan")))
    for row in rows:
        importance = IMPORTANCE.get(int(figure(row, "Importance")), "")
        target = Text.assemble(said(row, "Target"), (f", {importance}" if importance else "", QUIET))
        figures = (Text(format_amount(figure(row, name))) for name in ("Short", "Wanted", "Planned"))
        table.add_row(Text(format_share(figure(row, "Covered")), "bold"), target, *figures)
    return table


def where_crops_end(tables: Tables) -> RenderableType | None:
    """What ends with the animals or the compost, and what is still there when the plan ends."""
    parts: list[RenderableType] = []
    for name, words in (
        ("Surplus", "To the animals or the compost"),
        ("Trimmings", "Trimmings besides"),
        ("Held frozen", "Still in the freezer, frozen whole, when the plan ends"),
        ("Still fresh", "Still fresh when the plan ends"),
    ):
        crops = [row for row in tables.get("Crop use", ()) if round(figure(row, name), 1) > 0]
        amounts = [
            f"{format_amount(figure(row, name), said(row, 'Unit'))} {said(row, 'Unit')} {said(row, 'Crop')}"
            for row in crops
        ]
        if amounts or name == "Surplus":
            parts.append(indented(Text(f"{words}: {format_list(amounts) or 'nothing'}.")))
    return Group(heading("What is left over"), *parts) if tables.get("Crop use") else None


def to_buy(tables: Tables) -> RenderableType | None:
    """What to buy, by the day it is needed, with the sum."""
    rows = sorted(tables.get("Shopping", ()), key=lambda row: (day_of(row, "Needed by"), said(row, "Item")))
    if not rows:
        return Group(heading("To buy"), indented(Text("Nothing.")))
    total = sum(figure(row, "Cost") for row in rows)
    unpriced = sum(1 for row in rows if row.get("Cost") is None)
    words = f"Together {format_money(total)}" + (f", and {unpriced} without a price" if unpriced else "") + "."
    return Group(heading("To buy"), Fitted(partial(buy_table, rows)), indented(Text(words)))


def buy_table(rows: Sequence[Row], wide: int) -> RenderableType:
    """The same as columns; the name gives way on a narrow screen."""
    table = grid(8, 36, 14, 10) if wide >= WIDE else grid(5, max(12, wide - 36), 14, 9)
    table.columns[3].justify = "right"
    for row in rows:
        unit = said(row, "Unit")
        cost = "" if row.get("Cost") is None else format_money(figure(row, "Cost"))
        by = f"by {format_long_date(day_of(row, 'Needed by'))}"
        item = item_words(said(row, "Item"), unit, figure(row, "Buy"))
        table.add_row(Text(format_amount(figure(row, "Buy"), unit), "bold"), Text(item), by, cost)
    return table


def item_words(item: str, unit: str, amount: float) -> str:
    """
    An item with its unit: a measure before it, what is counted behind it, nothing where its name says it already.

    >>> item_words("lemon juice", "cup", 4), item_words("quart jar", "jar", 12), item_words("garlic", "head", 2)
    ('cups lemon juice', 'quart jar', 'garlic (heads)')
    """
    counted = plural(amount, unit)
    measure = find_unit(unit)
    if measure is not None and measure.measures in ("weight", "volume", "bushel"):
        return f"{counted} {item}"
    if unit in ("", "each") or unit.casefold() in item.casefold().replace(",", " ").split():
        return item
    return f"{item} ({counted})"


def messages(tables: Tables) -> RenderableType | None:
    """What to look at, then the cautions; notes are only counted."""
    rows = tables.get("Messages", ())
    look = [row for row in rows if row.get("Severity") == "look"]
    cautions = [row for row in rows if row.get("Severity") == "caution"]
    notes = [row for row in rows if row.get("Severity") == "note"]
    sections: list[RenderableType] = []
    if look:
        sections.append(Group(heading("Look at this"), dashed(look_lines(look))))
    if cautions:
        title = heading("Cautions", "the current published guide and your extension service come first")
        sections.append(Group(title, dashed([caution(row) for row in cautions])))
    if notes:
        count = format_count(len(notes), "note")
        sections.append(indented(Text(f"{count} besides in the Messages table of the workbook.", QUIET)))
    return spaced(sections) if sections else None


def look_lines(rows: Sequence[Row]) -> list[Text]:
    """The messages to look at; of those with the same cure only the first few, so that none is lost among many."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        groups.setdefault(said(row, "What to do"), []).append(row)
    lines = []
    for several in groups.values():
        lines += [message(row) for row in several[:ALIKE]]
        if len(several) > ALIKE:
            lines.append(Text(f"and {len(several) - ALIKE} more like it, in the Messages table", QUIET))
    return lines


def dashed(lines: Sequence[Text]) -> RenderableType:
    """Set lines in, a dash before each."""
    table = grid(3, None)
    for line in lines:
        table.add_row("-", line)
    return table


def message(row: Row) -> Text:
    """One message: where, what, what to do."""
    where = f"{said(row, 'Where')}: " if row.get("Where") else ""
    what_to_do = f"; {said(row, 'What to do')}" if row.get("What to do") else ""
    return Text.assemble((where, "bold"), said(row, "What"), what_to_do)


def caution(row: Row) -> Text:
    """One caution, its source behind it."""
    source = f" ({said(row, 'Where')})" if row.get("Where") else ""
    return Text.assemble(said(row, "What"), (source, QUIET))
