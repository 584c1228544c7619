"""The look of a starting workbook: a quiet palette of paper, ink and green, and the named cell styles made of it."""

from __future__ import annotations

from openpyxl.styles import Alignment, Border, Font, NamedStyle, PatternFill, Protection, Side
from openpyxl.workbook import Workbook

from stillroom.workbook.paints import Paint

PAPER = "FCF9F1"
INK = "33312B"
GREEN = "4C6848"
PALE_GREEN = "EDF2E7"
CREAM = "FFF6DA"
STRAW = "E6D9B0"
SAND = "F1ECE1"
LINE = "DDD6C6"
QUIET = "756D5F"
BRICK = "A43E2E"
PALE_BRICK = "F7DDD5"
SKY = "9DB6BE"
OCHRE = "C69A3C"
ROSE = "F3E3D3"

AMISS = Paint(BRICK, bold=True, fill=PALE_BRICK, line=LINE)
SHORT = Paint(BRICK, bold=True, fill=PALE_GREEN, line=LINE)
FILLED = Paint(GREEN, bold=True, fill=PALE_GREEN, line=LINE)
"""What is to be mended, a need that falls short, a need that is filled."""

INPUT = "stillroom input"
WORKING = "stillroom working"
OUTPUT = "stillroom output"
HEADING = "stillroom heading"
HEADING_OURS = "stillroom heading output"
NOTE = "stillroom note"
TITLE = "stillroom title"
CAPTION = "stillroom caption"

TEXT_FONT = "Calibri"
TITLE_FONT = "Georgia"
USUAL, SMALL = 11, 10
"""Sizes of the letters in tables, in points."""

NUMBER_FORMATS = {
    "date": "ddd\\ yyyy\\-mm\\-dd",
    "time": "hh:mm",
    "number": "General",
    "whole": "0",
}
OUTPUT_FORMATS = {
    ("Plan", "Make"): "0",
    ("Coverage", "Wanted"): "0",
    ("Coverage", "On the shelf"): "0",
    ("Coverage", "Planned"): "0",
    ("Coverage", "Short"): "0",
    ("Coverage", "Covered"): "0%",
    ("Coverage", "Saves"): "#,##0.00",
    ("Space", "Freezer used"): "0",
    ("Space", "Freezer free"): "0",
    ("Space", "Refrigerator used"): "0",
    ("Space", "Quart jars left"): "0",
    ("Space", "Pint jars left"): "0",
    ("Shopping", "Buy"): "General",
    ("Shopping", "Cost"): "#,##0.00",
}
"""How the planner's numbers are shown; every other one with a tenth. The cells hold them unrounded."""


def fill(colour: str) -> PatternFill:
    """A plain fill of one colour."""
    return PatternFill("solid", start_color=colour, end_color=colour)


def thin(colour: str = LINE) -> Border:
    """A thin line all round."""
    side = Side(style="thin", color=colour)
    return Border(left=side, right=side, top=side, bottom=side)


def styles() -> tuple[NamedStyle, ...]:
    """The named styles. Cells of the planner's are locked, cells of the household's are not; no sheet is protected."""
    words = Font(name=TEXT_FONT, size=11, color=INK)
    top = Alignment(vertical="top")
    typed = Protection(locked=False)
    return (
        NamedStyle(INPUT, font=words, fill=fill(CREAM), border=thin(STRAW), alignment=top, protection=typed),
        NamedStyle(WORKING, font=words, fill=fill(SAND), border=thin(), alignment=top),
        NamedStyle(OUTPUT, font=words, fill=fill(PALE_GREEN), border=thin(), alignment=top),
        NamedStyle(
            HEADING,
            font=Font(name=TEXT_FONT, size=11, bold=True, color=INK),
            fill=fill(STRAW),
            border=thin(STRAW),
            alignment=Alignment(vertical="center", wrap_text=True),
        ),
        NamedStyle(
            HEADING_OURS,
            font=Font(name=TEXT_FONT, size=11, bold=True, color=PAPER),
            fill=fill(GREEN),
            border=thin(GREEN),
            alignment=Alignment(vertical="center", wrap_text=True),
        ),
        NamedStyle(NOTE, font=Font(name=TEXT_FONT, size=10, italic=True, color=QUIET), alignment=top, protection=typed),
        NamedStyle(TITLE, font=Font(name=TITLE_FONT, size=20, bold=True, color=GREEN), alignment=top),
        NamedStyle(CAPTION, font=Font(name=TITLE_FONT, size=12, bold=True, color=GREEN)),
    )


def add_styles(workbook: Workbook) -> None:
    """Put our named styles into a workbook."""
    for style in styles():
        workbook.add_named_style(style)


def number_format(table: str, heading: str, kind: str, output: bool) -> str | None:
    """
    How a column shows its values; None leaves it general.

    >>> number_format("Coverage", "Covered", "number", True)
    '0%'
    """
    if output:
        special = OUTPUT_FORMATS.get((table, heading))
        if special or kind == "number":
            return special or "0.0"
    return NUMBER_FORMATS.get(kind)
