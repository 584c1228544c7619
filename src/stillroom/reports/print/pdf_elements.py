"""A table of a page as a table of a PDF, with columns as wide as their content and the rows of a day together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, Paragraph
from reportlab.platypus import Table as Grid

from stillroom.reports.charts import canvas
from stillroom.reports.charts.canvas import GREEN, INK, TEXT, Drawing
from stillroom.reports.charts.canvas import PRINTED_LINE as LINE
from stillroom.reports.print.document import Below, Cell, Column, Group, Table
from stillroom.reports.print.pdf_text import (
    KINDS,
    Type,
    cell_words,
    drawable,
    paragraph,
    run_in,
    unbroken,
    width_points,
)


class Box(Flowable):
    """A square to check."""

    def __init__(self, side: float) -> None:
        """Keep the length of a side, in points."""
        super().__init__()
        self.side = side

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return its width and height."""
        return self.side + 2, self.side + 3

    def draw(self) -> None:
        """Draw it."""
        self.canv.setStrokeColor(HexColor(INK))
        self.canv.setLineWidth(1.1)
        self.canv.rect(0.6, 0.6, self.side, self.side)


class Line(Flowable):
    """A line to write on."""

    def __init__(self, width: float, height: float) -> None:
        """Keep its length and the space above it, in points."""
        super().__init__()
        self.length, self.above = width, height

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return its width and height."""
        return self.length, self.above

    def draw(self) -> None:
        """Draw it."""
        self.canv.setStrokeColor(HexColor(INK))
        self.canv.setLineWidth(0.9)
        self.canv.line(0, 1.5, self.length, 1.5)


class Drawn(Flowable):
    """A drawing of boxes, lines and words, as wide as the page; patterns are left to its pictures on a screen."""

    def __init__(self, drawing: Drawing, width: float) -> None:
        """Keep the drawing and how much larger it is drawn."""
        super().__init__()
        self.drawing, self.scale = drawing, width / drawing.width

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Return its width and height."""
        return self.drawing.width * self.scale, self.drawing.height * self.scale

    def draw(self) -> None:
        """Draw every mark; the drawing counts from the top."""
        self.canv.scale(self.scale, self.scale)
        for mark in self.drawing.marks:
            if isinstance(mark, canvas.Box):
                self.canv.setFillColor(HexColor(mark.tone.fill))
                self.canv.setStrokeColor(HexColor(mark.outline or mark.tone.fill))
                self.canv.setLineWidth(0.7)
                low = self.drawing.height - mark.top - mark.height
                self.canv.rect(mark.left, low, mark.width, mark.height, stroke=1, fill=1)
            elif isinstance(mark, canvas.Line):
                self.canv.setStrokeColor(HexColor(mark.color))
                self.canv.setLineWidth(mark.thick)
                for (left, top), (right, end) in zip(mark.points, mark.points[1:], strict=False):
                    self.canv.line(left, self.drawing.height - top, right, self.drawing.height - end)
            elif isinstance(mark, canvas.Words):
                self.canv.setFillColor(HexColor(mark.color))
                self.canv.setFont(canvas.FONTS[mark.style], mark.size)
                self.canv.drawString(mark.bounds[0], self.drawing.height - mark.y, drawable(mark.text))


class Beside(Flowable):
    """
    Words at the left of several rows that reach down past the first of them.

    It reports a height of only `height` points, its share of each row; the caller makes the rows high enough.
    """

    def __init__(self, words: Sequence[Paragraph], height: float) -> None:
        """Keep the words, and the height to report."""
        super().__init__()
        self.words, self.reported = words, height

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """Return its width and the height it reports."""
        self.room = width
        return width, self.reported

    def draw(self) -> None:
        """Draw the words downwards from the top."""
        top = self.reported
        for one in self.words:
            _, high = one.wrap(self.room, 10_000)
            top -= high
            one.drawOn(self.canv, 0, top)


PADDING = 5.0
"""Between columns, in points."""
ABOVE, BELOW = 2.0, 3.0
CLOSE_ABOVE, CLOSE_BELOW = 1.0, 4.2
WRITE_POINTS = 48.0
CLOSE_WRITE_POINTS = 40.0
WIDEST_NARROW = 0.24
"""The share of the page that a column of numbers or times may take at most."""


def grid(table: Table, width: float, height: float, sizes: Type) -> Grid:
    """
    Return a table `width` points wide, for pages with `height` points of room.

    The headings are repeated on each page. Rows of one group stay on one page if it can hold them.
    """
    widths = column_widths(table, width, sizes)
    rows: list[list[object]] = [heading_row(table, sizes)]
    commands: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTNAME", (0, 0), (-1, -1), TEXT),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), PADDING),
        ("TOPPADDING", (0, 0), (-1, -1), CLOSE_ABOVE if sizes.close else ABOVE),
        ("BOTTOMPADDING", (0, 0), (-1, -1), CLOSE_BELOW if sizes.close else BELOW),
        ("LINEBELOW", (0, 0), (-1, 0), 1.2, HexColor(GREEN)),
    ]
    for group in table.groups:
        first, last = len(rows), len(rows) + len(group.rows) - 1
        added, high = group_rows(table, group, widths, sizes)
        rows += added
        start = 1 if table.with_heads else 0
        if last > first:
            commands.append(("LINEBELOW", (start, first), (-1, last - 1), 0.4, HexColor(LINE)))
        thick = 1.2 if table.with_heads else 0.4
        commands.append(("LINEBELOW", (0, last), (-1, last), thick, HexColor(GREEN if start else LINE)))
        if table.with_heads and high < 0.9 * height and last > first:
            commands.append(("NOSPLIT", (0, first), (-1, last)))
    return Grid(rows, colWidths=widths, style=commands, repeatRows=1, hAlign="LEFT")


def heading_row(table: Table, sizes: Type) -> list[object]:
    """Return the headings of the columns."""
    found: list[object] = [""] if table.with_heads else []
    return found + [
        paragraph(one.heading, "column", sizes, right=one.kind in ("number", "money")) for one in table.columns
    ]


def group_rows(table: Table, group: Group, widths: Sequence[float], sizes: Type) -> tuple[list[list[object]], float]:
    """Return the rows of a group with its head at the left, and their height together."""
    rows = []
    heights = []
    for cells in group.rows:
        found = row_content(cells, table.columns, sizes)
        if table.with_heads:
            heights.append(max(high_of(one, width - PADDING) for one, width in zip(found, widths[1:], strict=True)))
        rows.append(found)
    if not table.with_heads:
        return [list[object](row) for row in rows], 0.0
    words = cell_words(group.head, "head", sizes)
    room = CLOSE_ABOVE + CLOSE_BELOW if sizes.close else ABOVE + BELOW
    head_high = sum(one.wrap(widths[0] - PADDING, 10_000)[1] for one in words)
    lacking = max(0.0, head_high + 2 - sum(heights) - room * (len(rows) - 1))
    shares = [high + lacking / len(rows) for high in heights]
    placed: list[list[object]] = [
        [[Beside(words if not number else [], high)], *row]
        for number, (high, row) in enumerate(zip(shares, rows, strict=True))
    ]
    return placed, sum(shares) + room * len(rows)


def row_content(cells: Sequence[Cell], columns: Sequence[Column], sizes: Type) -> list[list[Flowable]]:
    """Return the cells of a row; in close rows, small lines under a number follow the words of the next cell."""
    if not sizes.close:
        return [content(cell, column, sizes) for cell, column in zip(cells, columns, strict=True)]
    found = []
    more: tuple[Below, ...] = ()
    for cell, column in zip(cells, columns, strict=True):
        if column.kind == "number":
            more = cell.below
            found.append(content(replace(cell, below=()), column, sizes))
        elif column.kind in ("main", "plain"):
            found.append([run_in(cell, more, column.kind, sizes)])
            more = ()
        else:
            found.append(content(cell, column, sizes))
    return found


def content(cell: Cell, column: Column, sizes: Type) -> list[Flowable]:
    """Return the content of a cell."""
    if cell.unmarked:
        return []
    if column.kind == "box":
        return [Box(sizes["main"] * 0.8)]
    if column.kind == "write":
        return [Line(write_width(sizes) - PADDING, sizes["main"])]
    return list[Flowable](cell_words(cell, column.kind, sizes))


def write_width(sizes: Type) -> float:
    """Return the width of a column to write in, in points."""
    return CLOSE_WRITE_POINTS if sizes.close else WRITE_POINTS


def high_of(found: Sequence[Flowable], width: float) -> float:
    """Return the height of the content of a cell."""
    return sum(one.wrap(width, 10_000)[1] for one in found)


def column_widths(table: Table, width: float, sizes: Type) -> list[float]:
    """Return the widths: narrow columns as wide as their content, the rest by their shares."""
    narrow: dict[int, float] = {}
    for place, column in enumerate(table.columns):
        if column.kind == "box":
            narrow[place] = sizes["main"] * 0.8 + 4 + PADDING
        elif column.kind == "write":
            narrow[place] = write_width(sizes)
        elif column.kind in ("number", "time", "money"):
            cells = [row[place] for group in table.groups for row in group.rows]
            narrow[place] = min(natural_width(column, cells, sizes), WIDEST_NARROW * width)
    head = 0.0
    if table.with_heads:
        heads = [group.head for group in table.groups]
        head = min(natural_width(Column("", "head"), heads, sizes), WIDEST_NARROW * width) + PADDING
    left = width - sum(narrow.values()) - head
    shares = sum(column.share for place, column in enumerate(table.columns) if place not in narrow)
    found = [narrow.get(place, left * column.share / max(shares, 1e-9)) for place, column in enumerate(table.columns)]
    return [head, *found] if table.with_heads else found


def parts(cell: Cell, kind: str) -> list[str]:
    """What of a cell's words is not to be broken: of a number each part between spaces, else all of it."""
    return unbroken(cell.words).split(" ") if kind == "number" else [cell.words]


def natural_width(column: Column, cells: Sequence[Cell], sizes: Type) -> float:
    """Return the width in points at which nothing in a column is broken."""
    kind = column.kind if column.kind in KINDS else "plain"
    texts = [(column.heading, "column")] + [(part, kind) for cell in cells for part in parts(cell, kind)]
    if not (sizes.close and kind == "number"):
        texts += [(one.words, "below") for cell in cells for one in cell.below]
    return max(width_points(drawable(words), KINDS[one][0], sizes[one]) for words, one in texts) + PADDING + 1
