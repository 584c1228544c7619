"""The picture of the winter list: what each target has on the shelf, what is planned, and what is short."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.household.results.rows import Row, is_filled, number_in, text_in
from stillroom.household.text import format_amount, format_list, format_quantity, format_share
from stillroom.reports.charts.canvas import BODY, MARGIN, SMALL, Box, Drawing, Line, Picture, nothing, wrapped
from stillroom.reports.charts.picture import BRICK, LINE, NOT_PLANNED, PLANNED, QUIET, SHELF, SHORT, Shown

NAME, TITLE = "winter_list", "How far the winter list is filled"
IMPORTANCE = {1: "Must", 2: "Should", 3: "Nice"}
NAMES_WIDE, FIGURES_WIDE = 178.0, 132.0
ROW, BAR = 17.0, 10.0


def coverage_picture(shown: Shown) -> Picture:
    """Draw one bar for each target that wants anything, grouped by importance."""
    rows = [row for row in shown.tables.get("Coverage", ()) if row.get("Target") and number_in(row, "Wanted") > 0]
    if not shown.planned:
        return nothing(NAME, TITLE, NOT_PLANNED)
    if not rows:
        return nothing(NAME, TITLE, "The winter list is empty. Fill the table Winter list.")
    drawing = Drawing()
    words = shown.with_warning(summary(rows))
    drawing.heading(TITLE, words)
    drawing.legend([(SHELF, "on the shelf"), (PLANNED, "planned"), (SHORT, "short")])
    for importance in sorted({round(number_in(row, "Importance")) for row in rows}):
        drawing.y += 15.0
        drawing.write(IMPORTANCE.get(importance, "Others"), MARGIN, drawing.y, drawing.inner, style="bold", color=QUIET)
        drawing.y += 4.0
        for row in rows:
            if round(number_in(row, "Importance")) == importance:
                draw_target(drawing, row)
    drawing.finish()
    return Picture(NAME, TITLE, words, drawing)


def summary(rows: Sequence[Row]) -> str:
    """Return how many targets are filled and which are short, the shortest first."""
    short = sorted((row for row in rows if not is_filled(row)), key=lambda row: number_in(row, "Covered"))
    filled = f"{len(rows) - len(short)} of {len(rows)} targets are filled."
    if not short:
        return filled
    named = [f"{text_in(row, 'Target')} ({format_share(number_in(row, 'Covered'))})" for row in short]
    return f"{filled} Short: {format_list(named, 6)}."


def draw_target(drawing: Drawing, row: Row) -> None:
    """Draw the bar of a target: on the shelf, planned, and an empty end if it is short."""
    wanted, shelf = number_in(row, "Wanted"), number_in(row, "On the shelf")
    lines = wrapped(text_in(row, "Target"), NAMES_WIDE, BODY)
    high = ROW + 11.0 * (len(lines) - 1)
    left, wide = MARGIN + NAMES_WIDE + 8.0, drawing.inner - NAMES_WIDE - FIGURES_WIDE - 16.0
    middle = drawing.y + high / 2
    drawing.row_name(lines, MARGIN + NAMES_WIDE, middle)
    top = middle - BAR / 2
    there = min(1.0, max(0.0, shelf / wanted))
    covered = (
        min(1.0, max(there, (shelf + max(0.0, number_in(row, "Planned"))) / wanted)) if not is_filled(row) else 1.0
    )
    if covered < 1.0:
        drawing.add(Box(left, top, wide, BAR, SHORT, outline=BRICK, dashed=True))
    if covered > there:
        drawing.add(Box(left + there * wide, top, (covered - there) * wide, BAR, PLANNED))
    if there > 0:
        drawing.add(Box(left, top, there * wide, BAR, SHELF))
    write_figures(drawing, row, left + wide + 8.0, middle + 3.4)
    drawing.y += high
    drawing.add(Line(((MARGIN, drawing.y), (drawing.width - MARGIN, drawing.y)), LINE, 0.4))


def write_figures(drawing: Drawing, row: Row, left: float, y: float) -> None:
    """Write how much there will be of how much; what is short in bold."""
    unit, wanted = text_in(row, "Unit"), number_in(row, "Wanted")
    there = number_in(row, "On the shelf") + max(0.0, number_in(row, "Planned"))
    of = format_quantity(wanted, unit)
    if not is_filled(row):
        lacking = format_amount(number_in(row, "Short"), unit)
        short = f"none of {of}" if lacking == format_amount(wanted, unit) else f"{lacking} short of {of}"
        drawing.write(short, left, y, FIGURES_WIDE, size=SMALL, style="bold", color=BRICK)
    else:
        more = format_amount(there, unit) != format_amount(wanted, unit)
        drawing.write(f"{format_amount(there, unit)} for {of}" if more else of, left, y, FIGURES_WIDE, size=SMALL)
