"""What is painted over cells, as a conditional format of a new workbook."""

from __future__ import annotations

from openpyxl.formatting.rule import Rule
from openpyxl.styles import Border, Font, PatternFill, Side
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.styles.numbers import NumberFormat

from stillroom.workbook.paints import SIDES, Paint

FORMAT_NUMBERS = {";;;": 201, '"–";"–";"–"': 202, "0": 1}
"""Numbers of the formats that are painted; those of cells count up from 164 (ECMA-376 part 1, 18.8.30 `numFmt`)."""


def painted(formula: str, paint: Paint) -> Rule:
    """
    A rule that paints a cell while a formula is true, and leaves it to no further rule.

    Some programs show the first rule that holds and no other, some lay several over each other: stopping makes all
    show the same.
    """
    return Rule(type="expression", formula=[formula], dxf=differential(paint), stopIfTrue=True)


def differential(paint: Paint) -> DifferentialStyle:
    """The same paint as the library that builds workbooks writes it."""
    return DifferentialStyle(
        font=Font(color=paint.colour, bold=True if paint.bold else None) if paint.colour or paint.bold else None,
        numFmt=None if paint.shown is None else NumberFormat(FORMAT_NUMBERS[paint.shown], paint.shown),
        fill=None if paint.fill is None else pattern(paint.fill, paint.stripes),
        border=None if paint.line is None else lines(paint.line, paint.sides),
    )


def pattern(fill: str, stripes: str | None) -> PatternFill:
    """A plain fill, or one with slanting lines; a program without patterns shows that one plain."""
    if stripes:
        return PatternFill("lightUp", start_color=stripes, end_color=fill)
    return PatternFill("solid", start_color=fill, end_color=fill)


def lines(colour: str, sides: tuple[str, ...]) -> Border:
    """Thin lines on these sides."""
    left, right, top, bottom = (Side(style="thin", color=colour) if side in sides else None for side in SIDES)
    return Border(left=left, right=right, top=top, bottom=bottom)
