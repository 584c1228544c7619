"""The page for the door: what can wait, where one may stop, and what changes if things go wrong."""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Iterator, Sequence

from stillroom.household.records import FREEZE_WHOLE
from stillroom.household.results.deadlines import AS_PLANNED, NOTHING, STOP
from stillroom.household.results.rows import Row, day_in, number_in, text_in
from stillroom.household.text import format_containers, format_full_date, format_list, format_long_date, format_quantity
from stillroom.reports.charts.day import Wait, waiting_picture
from stillroom.reports.print.document import Below, Block, Cell, Column, Figure, Paper, Points, Section, Sentence, table

ELSE_COLUMNS = (Column("What", "plain", 0.35), Column("Else", "plain", 0.65))
IF_COLUMNS = (Column("If", "plain", 0.28), Column("What changes, and the most that is lost", "plain", 0.72))
MOST_ROWS = 14
"""So many lines are drawn, the first days first: more do not fit a page beside the rest."""
MOST_ELSE = 4
DAYS_DRAWN = 7
NOT_MORE = (
    "Lost is the most by the end of the plan, against the plan as it is; later weeks are planned roughly. "
    "Nothing is bought that the plan does not buy. Finish every load that is in a canner: a process time is never cut "
    "short. What looks or smells spoiled goes out, whatever this page shows."
)


def wrong_page(
    title: str,
    plan: Sequence[Row],
    days: Sequence[datetime.date],
    waiting: Sequence[Row],
    wrong: Sequence[Row],
    warning: str = "",
) -> Paper | None:
    """
    Return the page; None where neither table was filled for this plan.

    `plan`, `waiting` and `wrong` are the rows of the tables Plan, Can wait and If things go wrong, `days` those planned
    in detail.
    """
    lines = [row for row in waiting if row.get("Day") is not None and row.get("Can wait until") is not None]
    stops = stop_lines(waiting)
    happens = [row for row in wrong if row.get("If") is not None]
    if not lines and not happens:
        return None
    sections = []
    waits = [one for row in lines if (one := wait_of(plan, days, row)) is not None]
    if waits:
        drawn = [one for one in waits if one.day in days[:DAYS_DRAWN]][:MOST_ROWS]
        last = max([days[:DAYS_DRAWN][-1], *(one.last for one in drawn if one.last is not None)])
        figure = Figure(waiting_picture([day for day in days if day <= last], drawn))
        sections.append(Section("What can wait", (figure,)))
    if stops:
        aside = format_long_date(days[0]) if days else ""
        sections.append(Section("You may stop", (Points(tuple((words, "") for words in stops)),), aside))
    others = [row for row in lines if text_in(row, "Else")][:MOST_ELSE]
    if others:
        rows = [(Cell(name_of(row)), Cell(text_in(row, "Else"))) for row in others]
        sections.append(Section("If a line is not done by its last day", (table(ELSE_COLUMNS, rows),)))
    if happens:
        sections.append(Section("If something goes wrong", tuple(if_blocks(happens))))
    small: tuple[Block, ...] = (Sentence(NOT_MORE, small=True),)
    aside = f"{title}; plan from {format_full_date(days[0])}" if days else title
    return Paper("if-things-go-wrong", "If things go wrong", aside, (*sections, Section("", small)), warning, "door")


def stop_lines(waiting: Sequence[Row]) -> list[str]:
    """
    Return where one may stop: all places of the first day, and of each later day the last one, days alike together.

    >>> days = [datetime.date(2026, 8, day) for day in (15, 15, 16, 16, 17, 18)]
    >>> said = ["Before all.", "After corn.", "Before all.", "After juice.", "Before all.", "Before all."]
    >>> stop_lines([{"Day": day, "Preserve": STOP, "Else": words} for day, words in zip(days, said, strict=True)])
    ['Before all.', 'After corn.', 'Sun Aug 16: After juice.', 'Mon Aug 17 to Tue Aug 18: Before all.']
    """
    by_day: dict[datetime.date, list[str]] = {}
    for row in waiting:
        if row.get("Preserve") == STOP:
            by_day.setdefault(day_in(row), []).append(text_in(row, "Else"))
    first, *later = by_day.items() or [(datetime.date.min, [])]
    lines = list(first[1])
    for words, days in itertools.groupby(later, key=lambda one: one[1][-1]):
        ends = [format_long_date(day) for day, _ in days]
        lines.append(f"{' to '.join(dict.fromkeys((ends[0], ends[-1])))}: {words}")
    return lines


def if_blocks(rows: Sequence[Row]) -> Iterator[Block]:
    """Yield a table of what changes something, then what changes nothing in one sentence."""
    quiet = [row for row in rows if text_in(row, "What changes") == AS_PLANNED and text_in(row, "Lost") == NOTHING]
    cells = [(Cell(text_in(row, "If")), changed_and_lost(row)) for row in rows if row not in quiet]
    if cells:
        yield table(IF_COLUMNS, cells)
    if quiet:
        names = format_list([text_in(row, "If") for row in quiet], between="; ")
        yield Sentence(f"Nothing changes and nothing is lost: {names}.")


def changed_and_lost(row: Row) -> Cell:
    """
    Return what changes, and below it what is lost.

    >>> changed_and_lost({"What changes": "Sat: no salsa, pint. Sun: as planned.", "Lost": "9 pints of salsa"}).below
    (Below(words='lost: 9 pints of salsa', warns=True),)
    """
    changes, lost = text_in(row, "What changes"), text_in(row, "Lost")
    return Cell(changes, (Below(f"lost: {lost}", lost != NOTHING),) if lost else ())


def wait_of(plan: Sequence[Row], days: Sequence[datetime.date], row: Row) -> Wait | None:
    """Return a row of Can wait to be drawn; None where its day is not of the plan."""
    day, name = day_in(row), text_in(row, "Preserve")
    if day not in days:
        return None
    by_words = {format_long_date(one): one for one in days}
    make = next(
        (
            one
            for one in plan
            if day_in(one) == day and number_in(one, "Days") == 1 and text_in(one, "Preserve") == name
        ),
        None,
    )
    words, until = name if make is None else line_words(make), text_in(row, "Can wait until")
    last = next((one for said, one in by_words.items() if f"{until} ".startswith(f"{said} ")), None)
    hour = "" if last is None else until.removeprefix(format_long_date(last)).strip()
    return Wait(day, words, last, hour)


def line_words(row: Row) -> str:
    """
    Return a line of the plan with its amount.

    >>> line_words({"Preserve": "salsa, pint", "Make": 9.0, "Unit": "pint jar"})
    '9 salsa, pint'
    >>> line_words({"Preserve": "freeze whole: corn", "Make": 12.0, "Unit": "lb"})
    'freeze 12 lb corn'
    """
    name, make = text_in(row, "Preserve"), number_in(row, "Make")
    if name.startswith(FREEZE_WHOLE):
        return f"freeze {format_quantity(make, text_in(row, 'Unit'))} {name.removeprefix(FREEZE_WHOLE)}"
    return f"{format_containers(make, whole=True)} {name}"


def name_of(row: Row) -> str:
    """Return a line with the day it is planned for."""
    return f"{text_in(row, 'Preserve')} ({format_long_date(day_in(row)).partition(' ')[0]})"
