"""Labels as PDF, each in its place on the sheet, with its name as large as fits."""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Frame

from stillroom.reports.charts.picture import BOLD, INK, TEXT
from stillroom.reports.charts.picture import PRINTED_LINE as LINE
from stillroom.reports.print.document import MARGIN_MM, Paper, PaperSize
from stillroom.reports.print.labels import NOTHING, Label, LabelSheet, placed
from stillroom.reports.print.pdf import STEPS, story, type_at
from stillroom.reports.print.pdf_text import POINTS_A_MM, drawable, signs, width_points

INSIDE_MM = 2.0
LARGEST, SMALLEST = 16.0, 5.5
LEADING = 1.16
ALMOST_FULL = 0.95
"""The spaces between blocks take a little more than they measure."""
SMALL_SHARE = 0.62
"""The size of the small lines as a share of the name's, but never below the smallest size."""


def label_pdf(
    labels: Sequence[Label],
    sheet: LabelSheet,
    start: int = 1,
    *,
    cut_lines: bool = False,
    care: Paper | None = None,
) -> bytes:
    """
    Return the sheets of labels; the first label goes to place `start` (from 1), so that part-used sheets can be used.

    With `cut_lines`, each label has an outline, for plain paper; `care` is on a page of its own after them. The same
    labels give the same bytes. Raises StillroomError when the fonts are missing.
    """
    signs()
    into = io.BytesIO()
    size = (sheet.paper.width_mm * POINTS_A_MM, sheet.paper.height_mm * POINTS_A_MM)
    first = {"initialFontName": TEXT}  # by name only: the stubs take it for a number
    canvas = Canvas(into, pagesize=size, invariant=1, pageCompression=1, lang="en", **first)  # type: ignore[arg-type]
    canvas.setTitle("Labels")
    canvas.setCreator("stillroom")
    shown = 0
    for page, (x, y), label in placed(labels, sheet, start):
        if page > shown:
            canvas.showPage()
            shown = page
        bottom = sheet.paper.height_mm - y - sheet.height
        draw_label(canvas, label, (x * POINTS_A_MM, bottom * POINTS_A_MM), sheet, cut_lines=cut_lines)
    if not labels:
        canvas.setFont(TEXT, LARGEST)
        canvas.drawString(20 * POINTS_A_MM, size[1] - 25 * POINTS_A_MM, NOTHING)
    canvas.showPage()
    if care is not None:
        draw_care(canvas, care, sheet.paper)
        canvas.showPage()
    canvas.save()
    return into.getvalue()


def draw_care(canvas: Canvas, care: Paper, size: PaperSize) -> None:
    """Draw the page of cautions, in the largest type of a list in which it fits."""
    margin = MARGIN_MM * POINTS_A_MM
    wide, high = size.width_mm * POINTS_A_MM - 2 * margin, size.height_mm * POINTS_A_MM - 2 * margin
    for step in range(STEPS[care.look], -1, -1):
        found = story(care, wide, 0.0, type_at(care, step))  # a height of 0 keeps nothing together: one page holds all
        if not step or sum(one.wrapOn(canvas, wide, high)[1] for one in found) <= high * ALMOST_FULL:
            break
    frame = Frame(margin, margin, wide, high, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)
    frame.addFromList(found, canvas)


def draw_label(
    canvas: Canvas, label: Label, corner: tuple[float, float], sheet: LabelSheet, *, cut_lines: bool
) -> None:
    """Draw one label with its lower left corner at a place, in points, its lines centered in its height."""
    left, bottom = corner
    wide, high = sheet.width * POINTS_A_MM, sheet.height * POINTS_A_MM
    if cut_lines:
        canvas.setStrokeColor(HexColor(LINE))
        canvas.setLineWidth(0.4)
        canvas.rect(left, bottom, wide, high)
    inside = INSIDE_MM * POINTS_A_MM
    lines = fitting_lines(label, wide - 2 * inside, high - 2 * inside)
    tall = sum(size * LEADING for _, _, size in lines)
    y = bottom + (high + tall) / 2
    canvas.setFillColor(HexColor(INK))
    for words, font, size in lines:
        y -= size * LEADING
        canvas.setFont(font, size)
        canvas.drawString(left + inside, y + size * 0.22, words)


def fitting_lines(label: Label, wide: float, high: float) -> list[tuple[str, str, float]]:
    """Return the lines of a label with font and size, in the largest size in which they fit; the name is cut last."""
    size = LARGEST
    while True:
        small = max(size * SMALL_SHARE, SMALLEST)
        name = wrapped(drawable(label.name), BOLD, size, wide)
        rest = small_lines(label, small, wide)
        room = high - len(rest) * small * LEADING
        most = int(room // (size * LEADING))
        if (
            len(name) <= min(most, 3) and all(width_points(one, TEXT, small) <= wide for one in rest)
        ) or size <= SMALLEST:
            break
        size -= 0.5
    most = max(1, most)
    if len(name) > most:
        name = [*name[: most - 1], shortened(" ".join(name[most - 1 :]), BOLD, size, wide)]
    return [(one, BOLD, size) for one in name] + [(shortened(one, TEXT, small, wide), TEXT, small) for one in rest]


def small_lines(label: Label, small: float, wide: float) -> list[str]:
    """Return the dates, the lot and the marks in a line each, the dates in two if they are too wide for one."""
    dates = f"{label.made}, {label.good_until}"
    if width_points(drawable(dates), TEXT, small) <= wide:
        return [drawable(one) for one in (dates, label.lot, *label.marks)]
    return [drawable(one) for one in label.small_lines]


def wrapped(words: str, font: str, size: float, wide: float) -> list[str]:
    """Return words in lines no wider than the label; a longer word is broken."""
    lines = [""]
    for word in words.split(" "):
        together = f"{lines[-1]} {word}".strip()
        if width_points(together, font, size) <= wide:
            lines[-1] = together
            continue
        if lines[-1]:
            lines.append("")
        for sign in word:
            if width_points(lines[-1] + sign, font, size) > wide and lines[-1]:
                lines.append("")
            lines[-1] += sign
    return [line for line in lines if line] or [""]


def shortened(words: str, font: str, size: float, wide: float) -> str:
    """Return words cut to a width with an ellipsis."""
    if width_points(words, font, size) <= wide:
        return words
    while words and width_points(f"{words}…", font, size) > wide:
        words = words[:-1]
    return f"{words.rstrip()}…"
