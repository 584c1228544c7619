"""The picture of the days with each line's slack: a box on its day, and a bar as far as it can wait."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.household.text import format_date, format_list, format_long_date
from stillroom.reports.charts.canvas import BODY, MARGIN, SMALL, Box, Drawing, Line, Picture, Words, width_of
from stillroom.reports.charts.picture import BRICK, GREEN, LINE, PALE_GREEN, QUIET, WHITE, Tone

NAME, TITLE = "can_wait", "What can wait"
NAMES_WIDE, ROW, BAR = 236.0, 16.0, 11.0
MUST, MAY, SLACK = Tone(BRICK, "", WHITE), Tone(GREEN, "", WHITE), Tone(PALE_GREEN, "////", GREEN)
LATER = "later"


@dataclass(frozen=True)
class Wait:
    """A line of a day, in words, and the last of the days it can begin on; None: it can wait past them all."""

    day: datetime.date
    words: str
    last: datetime.date | None


def waiting_picture(days: Sequence[datetime.date], waits: Sequence[Wait]) -> Picture:
    """Draw a row for each line; the days are columns, with one for later after them."""
    drawing = Drawing()
    must = [one.words for one in waits if one.last == one.day]
    words = f"Cannot wait: {format_list(must, 6, '; ')}." if must else "Every line can wait a day or more."
    left = MARGIN + NAMES_WIDE + 8.0
    each = (drawing.width - MARGIN - left) / (len(days) + 1)
    write_days(drawing, days, left, each)
    before = None
    for one in waits:
        color = QUIET if one.day != before else LINE
        drawing.add(Line(((MARGIN, drawing.y), (drawing.width - MARGIN, drawing.y)), color, 0.5))
        before = one.day
        draw_wait(drawing, days, one, left, each)
    legend = [(MAY, "its day"), (SLACK, "can wait until the end of the bar")]
    drawing.legend([*([(MUST, "its day; cannot wait")] if must else []), *legend])
    drawing.finish()
    return Picture(NAME, TITLE, words, drawing)


def write_days(drawing: Drawing, days: Sequence[datetime.date], left: float, each: float) -> None:
    """Write the days above their columns."""
    drawing.y = 4.0
    for place, day in enumerate([*days, None]):
        middle = left + (place + 0.5) * each
        name = LATER if day is None else format_long_date(day).partition(" ")[0]
        drawing.add(Words(name, middle, drawing.y + 10.0, BODY, "center", style="bold"))
        if day is not None and width_of(format_date(day), SMALL) < each:
            drawing.add(Words(format_date(day), middle, drawing.y + 21.0, SMALL, "center", QUIET))
    drawing.y += 26.0


def draw_wait(drawing: Drawing, days: Sequence[datetime.date], one: Wait, left: float, each: float) -> None:
    """Draw one line: its name, its day, and the bar of its slack."""
    must, first = one.last == one.day, days.index(one.day)
    top = drawing.y + (ROW - BAR) / 2
    style = "bold" if must else "plain"
    drawing.write(one.words, MARGIN, drawing.y + ROW / 2 + 3.4, NAMES_WIDE, style=style)
    end = len(days) + 1 if one.last is None else days.index(one.last) + 1
    drawing.add(Box(left + first * each + 2.0, top, each - 4.0, BAR, MUST if must else MAY))
    if end > first + 1:
        start = left + (first + 1) * each - 2.0
        drawing.add(Box(start, top, left + end * each - 2.0 - start, BAR, SLACK, outline=GREEN))
    drawing.y += ROW
