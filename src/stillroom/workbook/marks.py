"""Cells of a new sheet that are coloured while something is so: what is to be filled in, or falls short."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.workbook.looks import Looks
from stillroom.workbook.values import escape_text


@dataclass(frozen=True)
class Mark:
    """
    Letters of one colour, on a ground of their own or not, while a formula is true for the cell.

    ``formula`` has no equals sign and is written for the first cell of ``area``; colours are six hexadecimal digits.
    """

    area: str
    formula: str
    colour: str
    fill: str | None = None


def marks_xml(marks: Sequence[Mark], looks: Looks) -> str:
    """Write the marks of a sheet (ECMA-376 Part 1, 18.3.1.18 conditionalFormatting, 18.3.1.10 cfRule)."""
    return "".join(
        f'<conditionalFormatting sqref="{one.area}">'
        f'<cfRule type="expression" dxfId="{looks.mark_number(one.colour, one.fill)}" priority="{number}">'
        f"<formula>{escape_text(one.formula)}</formula></cfRule></conditionalFormatting>"
        for number, one in enumerate(marks, 1)
    )
