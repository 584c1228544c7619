"""A page as what reportlab lays out: title, then each section with its heading kept to what follows it."""

from __future__ import annotations

from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import CondPageBreak, Flowable, HRFlowable, KeepTogether, Spacer
from reportlab.platypus import Table as Grid

from stillroom.pages.paper import Block, Paper, Points, Section, Sentence, Table
from stillroom.pages.paper_colours import GREEN
from stillroom.pages.pdf_fonts import TEXT, signs
from stillroom.pages.pdf_marks import Box
from stillroom.pages.pdf_sizes import Type
from stillroom.pages.pdf_table import grid
from stillroom.pages.pdf_words import paragraph, with_aside

BESIDE_HEADING_POINTS = 120.0
"""So much room below a heading, or it begins the next page."""


def story(paper: Paper, width: float, height: float, sizes: Type) -> list[Flowable]:
    """Everything on the page in its order; `width` and `height` are the room of a page in points."""
    signs()
    found: list[Flowable] = [paragraph(paper.title, "title", sizes)]
    if paper.aside:
        found.append(paragraph(paper.aside, "beside", sizes))
    found.append(HRFlowable("100%", 1.4, spaceBefore=3, spaceAfter=3, color=HexColor(f"#{GREEN}")))
    if paper.warning:
        found.append(paragraph(paper.warning, "point", sizes, warns=True))
    for section in paper.sections:
        found += section_flow(section, width, height, sizes)
    return found


def section_flow(section: Section, width: float, height: float, sizes: Type) -> list[Flowable]:
    """One section; what is short is kept together with its heading."""
    head: list[Flowable] = [Spacer(0, sizes["point"] * 0.35)]
    if section.heading:
        words = with_aside(section.heading, section.beside, "heading", sizes)
        head = [Spacer(0, sizes["heading"] * (0.2 if sizes.close else 0.45)), words, Spacer(0, 1.5)]
    blocks = [one for block in section.blocks for one in block_flow(block, width, height, sizes)]
    high = sum(one.wrap(width, 10_000)[1] for one in (*head, *blocks))
    if high < 0.5 * height:
        return [KeepTogether([*head, *blocks])]
    return [CondPageBreak(min(high, BESIDE_HEADING_POINTS)), *head, *blocks]


def block_flow(block: Block, width: float, height: float, sizes: Type) -> list[Flowable]:
    """One block."""
    if isinstance(block, Table):
        return [grid(block, width, height, sizes)]
    if isinstance(block, Sentence):
        return [paragraph(block.words, "small" if block.small else "point", sizes, warns=block.warns)]
    return points(block, width, sizes)


def points(block: Points, width: float, sizes: Type) -> list[Flowable]:
    """Lines with a box or a dash before each."""
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
