"""The look of a starting workbook: a quiet palette of paper, ink and green, and the named cell styles made of it."""

from __future__ import annotations

from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.styles import Paint

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

TEXT_FONT = "Calibri"
TITLE_FONT = "Georgia"
USUAL, SMALL = 11, 10
"""Sizes of the letters in tables, in points."""

HEADING = Look("stillroom heading", bold=True, colour=INK, fill=STRAW, line=STRAW, wrap=True, upright="center")
HEADING_OURS = Look(
    "stillroom heading output", bold=True, colour=PAPER, fill=GREEN, line=GREEN, wrap=True, upright="center"
)
TITLE = Look("stillroom title", bold=True, size=20, font=TITLE_FONT, colour=GREEN, upright="top")
CAPTION = Look("stillroom caption", bold=True, size=12, font=TITLE_FONT, colour=GREEN)
NOTE = Look("stillroom note", italic=True, size=10, colour=QUIET, upright="top", locked=False)
WORDS = Look("stillroom words", colour=INK, across="left", wrap=True, indent=1)
GROUNDS = {
    INPUT: Look(INPUT, colour=INK, fill=CREAM, line=STRAW, upright="top", locked=False),
    WORKING: Look(WORKING, colour=INK, fill=SAND, line=LINE, upright="top"),
    OUTPUT: Look(OUTPUT, colour=INK, fill=PALE_GREEN, line=LINE, upright="top"),
}
"""Cells that the household types, that help to type, that the planner writes: these are locked, yet no sheet is."""
