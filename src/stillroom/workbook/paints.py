"""How a cell looks while a formula is true: letters, ground, lines and number format put over its own."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.workbook.markup import escape_attribute

SIDES = ("left", "right", "top", "bottom")


@dataclass(frozen=True)
class Paint:
    """
    What is put over a cell's own look; what is None or empty stays as the cell has it.

    Colours are six hexadecimal digits. `stripes` is the colour of slanting lines over `fill`, `line` that of a thin
    line on each of the `sides`, `shown` a number format (`;;;` shows nothing).
    """

    colour: str | None = None
    bold: bool = False
    fill: str | None = None
    stripes: str | None = None
    line: str | None = None
    sides: tuple[str, ...] = SIDES
    shown: str | None = None


def paint_xml(paint: Paint, format_number: int | None) -> str:
    """
    Write the format, its parts in the order of CT_Dxf (ECMA-376 part 1, 18.8.14); `format_number` is that of `shown`.

    >>> paint_xml(Paint("A43E2E", bold=True), None)
    '<dxf><font><b/><color rgb="FFA43E2E"/></font></dxf>'
    """
    text = ""
    if paint.colour or paint.bold:
        colour = f'<color rgb="FF{paint.colour}"/>' if paint.colour else ""
        text += f"<font>{'<b/>' * paint.bold}{colour}</font>"
    if paint.shown is not None and format_number is not None:
        text += f'<numFmt numFmtId="{format_number}" formatCode="{escape_attribute(paint.shown)}"/>'
    if paint.fill:
        text += f"<fill>{_pattern(paint.fill, paint.stripes)}</fill>"
    if paint.line:
        sides = "".join(
            f'<{side} style="thin"><color rgb="FF{paint.line}"/></{side}>' if side in paint.sides else f"<{side}/>"
            for side in SIDES
        )
        text += f"<border>{sides}</border>"
    return f"<dxf>{text}</dxf>"


def _pattern(fill: str, stripes: str | None) -> str:
    kind, over = ("lightUp", stripes) if stripes else ("solid", fill)
    return f'<patternFill patternType="{kind}"><fgColor rgb="FF{over}"/><bgColor rgb="FF{fill}"/></patternFill>'
