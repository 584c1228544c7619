"""A page as PDF, on as few sheets as possible and then in the largest type that fits."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    CondPageBreak,
    Flowable,
    Frame,
    HRFlowable,
    KeepTogether,
    PageTemplate,
    Spacer,
)
from reportlab.platypus import Table as Grid

from stillroom.reports.charts.canvas import BOLD, GREEN, INK, TEXT
from stillroom.reports.charts.canvas import PRINTED_LINE as LINE
from stillroom.reports.print.document import (
    MARGIN_MM,
    Block,
    Figure,
    Paper,
    PaperSize,
    Points,
    Section,
    Sentence,
    Table,
    cut_words,
)
from stillroom.reports.print.labels import NOTHING, Label, LabelSheet, placed
from stillroom.reports.print.pdf_elements import Box, Drawn, grid
from stillroom.reports.print.pdf_text import (
    POINTS_A_MM,
    Type,
    drawable,
    paragraph,
    signs,
    sizes_of,
    width_points,
    with_aside,
)

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


MOST_SEARCHED = 6
"""A page of more sheets than this is set in the smallest type at once."""
FOOT_POINTS = 12.0
STEPS = {"door": 8, "list": 4}
"""The steps from the smallest type to the largest, by the look of the page."""


@dataclass(frozen=True)
class Fitted:
    """A page as PDF, with its sizes of type, its number of sheets, and how many points that may be cut are on it."""

    content: bytes
    sizes: Type
    sheets: int
    kept: int


def pdf_page(paper: Paper, size: PaperSize) -> Fitted:
    """
    Return the page as PDF with its fonts and without a date; the same page gives the same bytes.

    It takes as few sheets as the smallest type allows, and on those the largest type that fits. Points that may be cut
    are left off, last ones first, if they alone would need another sheet. A page for the door that would need a second
    sheet is set close if that saves it. Raises StillroomError without fonts.
    """
    steps, most = STEPS[paper.look], most_points(paper)
    content, taken = laid_out(paper, size, type_at(paper, steps), 1)
    if taken == 1:
        return Fitted(content, type_at(paper, steps), 1, most)
    bare = cut_to(paper, 0)
    least = built(bare, size, type_at(paper, 0))[1]
    if least > MOST_SEARCHED:
        content, least = built(paper, size, type_at(paper, 0), least)
        return Fitted(content, type_at(paper, 0), least, most)
    close = False
    if least > 1 and paper.look == "door":
        saved = built(bare, size, type_at(paper, 0, close=True))[1]
        close, least = saved < least, min(saved, least)
    smallest = type_at(paper, 0, close=close)
    kept = most_kept(paper, size, smallest, least, most)
    return largest(cut_to(paper, kept), size, least, kept, close=close)


def most_kept(paper: Paper, size: PaperSize, smallest: Type, least: int, most: int) -> int:
    """Return how many of the `most` points that may be cut fit on `least` sheets in the smallest type."""
    low, high, middle = 0, most, most  # all of them first: they nearly always fit
    while low < high:
        if built(cut_to(paper, middle), size, smallest, least)[1] <= least:
            low = middle
        else:
            high = middle - 1
        middle = (low + high + 1) // 2
    return low


def largest(paper: Paper, size: PaperSize, least: int, kept: int, *, close: bool) -> Fitted:
    """Return the page in the largest type that takes no more than `least` sheets."""
    low, high = 0, STEPS[paper.look]
    found: bytes | None = None
    while low < high:
        middle = (low + high + 1) // 2
        content, taken = built(paper, size, type_at(paper, middle, close=close), least)
        if taken <= least:
            low, found = middle, content
        else:
            high = middle - 1
    sizes = type_at(paper, low, close=close)
    return Fitted(found if found is not None else built(paper, size, sizes, least)[0], sizes, least, kept)


def type_at(paper: Paper, step: int, *, close: bool = False) -> Type:
    """Return the sizes of type at a step; 0 is the smallest."""
    return Type(sizes_of(paper.look), step / STEPS[paper.look], close)


def most_points(paper: Paper) -> int:
    """Return the length of the longest list of points that may be cut."""
    blocks = [block for section in paper.sections for block in section.blocks]
    return max((len(one.items) for one in blocks if isinstance(one, Points) and one.may_be_cut), default=0)


def cut_to(paper: Paper, number: int) -> Paper:
    """Return the page with at most `number` of the points that may be cut, and a line for the rest."""
    sections = []
    for section in paper.sections:
        blocks: list[Block] = []
        for one in section.blocks:
            if isinstance(one, Points) and one.may_be_cut and len(one.items) > number:
                blocks.append(replace(one, items=(*one.items[:number], (cut_words(one, number), ""))))
            else:
                blocks.append(one)
        sections.append(replace(section, blocks=tuple(blocks)))
    return replace(paper, sections=tuple(sections))


def built(paper: Paper, size: PaperSize, sizes: Type, likely: int = 1) -> tuple[bytes, int]:
    """
    Return the page at one size of type and its number of sheets; `likely` is a first guess of it.

    A single sheet has no footer, and so a little more room.
    """
    content, taken = laid_out(paper, size, sizes, likely)
    for _ in range(2):
        if taken == likely:
            break
        likely = taken
        content, taken = laid_out(paper, size, sizes, likely)
    return content, taken


def laid_out(paper: Paper, size: PaperSize, sizes: Type, of: int) -> tuple[bytes, int]:
    """Return the page with the room that `of` sheets have, and its number of sheets."""
    signs()
    margin = MARGIN_MM * POINTS_A_MM
    below = margin + (FOOT_POINTS if of > 1 else 0.0)
    wide, high = size.width_mm * POINTS_A_MM, size.height_mm * POINTS_A_MM
    room = (wide - 2 * margin, high - margin - below)
    into = io.BytesIO()
    document = BaseDocTemplate(
        into,
        pagesize=(wide, high),
        invariant=1,
        pageCompression=1,
        title=paper.title,
        lang="en",
        creator="stillroom",
        initialFontName=TEXT,
    )
    frame = Frame(margin, below, *room, leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0)

    def foot(canvas: Canvas, _: object) -> None:
        if of > 1:
            write_foot(canvas, paper, of, margin, wide)

    document.addPageTemplates([PageTemplate("page", [frame], onPage=foot)])
    found: list[Flowable] = story(paper, *room, sizes)
    document.build(found)
    return into.getvalue(), document.page


def write_foot(canvas: Canvas, paper: Paper, of: int, margin: float, wide: float) -> None:
    """Write the title and the number of the sheet."""
    canvas.setFont(TEXT, 7.5)
    canvas.drawString(margin, margin, drawable(paper.title))
    canvas.drawRightString(wide - margin, margin, f"{canvas.getPageNumber()} of {of}")


BESIDE_HEADING_POINTS = 120.0
"""A heading with less room below it begins the next page."""


def story(paper: Paper, width: float, height: float, sizes: Type) -> list[Flowable]:
    """Return everything on the page in order; `width` and `height` are the room of a sheet in points."""
    signs()
    found: list[Flowable] = [paragraph(paper.title, "title", sizes)]
    if paper.aside:
        found.append(paragraph(paper.aside, "beside", sizes))
    found.append(HRFlowable("100%", 1.4, spaceBefore=3, spaceAfter=3, color=HexColor(GREEN)))
    if paper.warning:
        found.append(paragraph(paper.warning, "point", sizes, warns=True))
    for section in paper.sections:
        found += section_flow(section, width, height, sizes)
    return found


def section_flow(section: Section, width: float, height: float, sizes: Type) -> list[Flowable]:
    """Return one section; a short one is kept on one sheet with its heading."""
    head: list[Flowable] = [Spacer(0, sizes["point"] * 0.35)]
    if section.heading:
        words = with_aside(section.heading, section.aside, "heading", sizes)
        head = [Spacer(0, sizes["heading"] * (0.2 if sizes.close else 0.45)), words, Spacer(0, 1.5)]
    blocks = [one for block in section.blocks for one in block_flow(block, width, height, sizes)]
    high = sum(one.wrap(width, 10_000)[1] for one in (*head, *blocks))
    if high < 0.5 * height:
        return [KeepTogether([*head, *blocks])]
    return [CondPageBreak(min(high, BESIDE_HEADING_POINTS)), *head, *blocks]


def block_flow(block: Block, width: float, height: float, sizes: Type) -> list[Flowable]:
    """Return one block."""
    if isinstance(block, Table):
        return [grid(block, width, height, sizes)]
    if isinstance(block, Figure):
        return [Drawn(block.picture.drawing, width)]
    if isinstance(block, Sentence):
        return [paragraph(block.words, "small" if block.small else "point", sizes, warns=block.warns)]
    return points(block, width, sizes)


def points(block: Points, width: float, sizes: Type) -> list[Flowable]:
    """Return lines with a box or a dash before each."""
    size = sizes["point"]
    rows: list[list[object]] = []
    for words, aside in block.items:
        before: object = paragraph("–", "point", sizes)
        if block.style == "ticked":
            before = Box(size * 0.85)
        rows.append([before, with_aside(words, aside, "point", sizes)])
    if not rows:
        return []
    commands: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTNAME", (0, 0), (-1, -1), TEXT),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 0.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    ]
    first = size * 1.7
    return [Grid(rows, colWidths=[first, width - first], style=commands, hAlign="LEFT")]


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
