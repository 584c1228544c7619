"""The picture of the winter list: for each need what is on the shelf, what is planned, and what is short."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.household.results.values import Row
from stillroom.household.text import format_amount, format_list, format_share, plural
from stillroom.reports.charts.canvas import (
    BODY,
    BRICK,
    LINE,
    MARGIN,
    PLANNED,
    QUIET,
    SHELF,
    SHORT,
    SMALL,
    Box,
    Line,
    Paper,
    Picture,
    Words,
    nothing,
    wrapped,
)
from stillroom.reports.charts.picture import NOT_PLANNED, Shown
from stillroom.reports.terminal.lists import figure, said

NAME, TITLE = "winter_list", "How far the winter list is filled"
IMPORTANCE = {1: "Must", 2: "Should", 3: "Nice"}
NAMES_WIDE, FIGURES_WIDE = 178.0, 132.0
ROW, BAR = 17.0, 10.0


def coverage_picture(shown: Shown) -> Picture:
    """Draw one bar a need, grouped by importance; a need of which nothing is wanted is left out."""
    rows = [row for row in shown.tables.get("Coverage", ()) if row.get("Need") and figure(row, "Wanted") > 0]
    if not shown.planned:
        return nothing(NAME, TITLE, NOT_PLANNED)
    if not rows:
        return nothing(NAME, TITLE, "There is nothing on the winter list: fill the table Needs.")
    paper = Paper()
    words = shown.told(whole_words(rows))
    paper.head(TITLE, words)
    paper.key([(SHELF, "on the shelf"), (PLANNED, "planned"), (SHORT, "short")])
    for importance in sorted({round(figure(row, "Importance")) for row in rows}):
        paper.y += 15.0
        paper.say(IMPORTANCE.get(importance, "Others"), MARGIN, paper.y, paper.inner, style="bold", colour=QUIET)
        paper.y += 4.0
        for row in rows:
            if round(figure(row, "Importance")) == importance:
                draw_target(paper, row)
    paper.end()
    return Picture(NAME, TITLE, words, paper)


def whole_words(rows: Sequence[Row]) -> str:
    """Say how many needs are filled and which are not."""
    short = sorted((row for row in rows if is_short(row)), key=lambda row: figure(row, "Covered"))
    filled = f"{len(rows) - len(short)} of {len(rows)} needs are filled."
    if not short:
        return filled
    named = [f"{said(row, 'Need')} ({format_share(figure(row, 'Covered'))})" for row in short]
    return f"{filled} Short: {format_list(named, 6)}."


def is_short(row: Row) -> bool:
    """Whether a need falls short by more than a hundredth of what is wanted."""
    return figure(row, "Covered") < 0.995


def draw_target(paper: Paper, row: Row) -> None:
    """Draw the bar of one need: what is on the shelf, what is planned, and an empty end where it is short."""
    wanted, shelf = figure(row, "Wanted"), figure(row, "On the shelf")
    lines = wrapped(said(row, "Need"), NAMES_WIDE, BODY)
    high = ROW + 11.0 * (len(lines) - 1)
    left, wide = MARGIN + NAMES_WIDE + 8.0, paper.inner - NAMES_WIDE - FIGURES_WIDE - 16.0
    middle = paper.y + high / 2
    for number, line in enumerate(lines):
        below = 11.0 * (number - (len(lines) - 1) / 2)
        paper.put(Words(line, MARGIN + NAMES_WIDE, middle + 3.4 + below, across="right"))
    top = middle - BAR / 2
    there = min(1.0, max(0.0, shelf / wanted))
    covered = min(1.0, max(there, (shelf + max(0.0, figure(row, "Planned"))) / wanted)) if is_short(row) else 1.0
    if covered < 1.0:
        paper.put(Box(left, top, wide, BAR, SHORT, outline=BRICK, dashed=True))
    if covered > there:
        paper.put(Box(left + there * wide, top, (covered - there) * wide, BAR, PLANNED))
    if there > 0:
        paper.put(Box(left, top, there * wide, BAR, SHELF))
    put_figures(paper, row, left + wide + 8.0, middle + 3.4)
    paper.y += high
    paper.put(Line(((MARGIN, paper.y), (paper.width - MARGIN, paper.y)), LINE, 0.4))


def put_figures(paper: Paper, row: Row, left: float, y: float) -> None:
    """Write how much there will be of how much, and what is short in bold."""
    unit, wanted = said(row, "Unit"), figure(row, "Wanted")
    there = figure(row, "On the shelf") + max(0.0, figure(row, "Planned"))
    of = f"{format_amount(wanted, unit)} {several(wanted, unit)}".strip()
    if is_short(row):
        short = f"{format_amount(figure(row, 'Short'), unit)} short of {of}"
        paper.say(short, left, y, FIGURES_WIDE, size=SMALL, style="bold", colour=BRICK)
    elif format_amount(there, unit) == format_amount(wanted, unit):
        paper.say(of, left, y, FIGURES_WIDE, size=SMALL)
    else:
        paper.say(f"{format_amount(there, unit)} for {of}", left, y, FIGURES_WIDE, size=SMALL)


def several(amount: float, unit: str) -> str:
    """
    A need's unit in the plural, but for one that ends in a sign.

    >>> several(27, "pint"), several(35, "half L"), several(9, "")
    ('pints', 'half L', '')
    """
    return unit if len(unit.split(" ")[-1]) < 3 else plural(amount, unit)
