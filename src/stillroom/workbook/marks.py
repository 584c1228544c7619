"""Cells of a new sheet that look otherwise while something is so: what is to be filled in, falls short, is taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.workbook.looks import Looks
from stillroom.workbook.paints import Paint
from stillroom.workbook.values import escape_text


@dataclass(frozen=True)
class Mark:
    """
    Cells that are painted while a formula is true; the first mark of a sheet that holds is the one that shows.

    ``formula`` has no equals sign and is written for the first cell of ``area``, which may be several blocks with
    spaces between.
    """

    area: str
    formula: str
    paint: Paint


def marks_xml(marks: Sequence[Mark], looks: Looks) -> str:
    """Write the marks of a sheet (ECMA-376 Part 1, 18.3.1.18 conditionalFormatting, 18.3.1.10 cfRule)."""
    return "".join(
        f'<conditionalFormatting sqref="{one.area}">'
        f'<cfRule type="expression" dxfId="{looks.mark_number(one.paint)}" priority="{number}" stopIfTrue="1">'
        f"<formula>{escape_text(one.formula)}</formula></cfRule></conditionalFormatting>"
        for number, one in enumerate(marks, 1)
    )
