"""Sheets of paper by their measures, and which of them a household prints on."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.errors import CommandWrong
from stillroom.household.records import Kitchen

MARGIN_MM = 9.0
"""Left white on every side: household printers do not reach the edge."""


@dataclass(frozen=True)
class PaperSize:
    """A sheet of paper, upright, in millimetres; `css_name` is its name in a style sheet."""

    name: str
    width_mm: float
    height_mm: float
    css_name: str


A4 = PaperSize("a4", 210.0, 297.0, "A4")
LETTER = PaperSize("letter", 215.9, 279.4, "letter")
SIZES = {size.name: size for size in (A4, LETTER)}


def paper_size(kitchen: Kitchen, asked: str | None = None) -> PaperSize:
    """
    The paper that is asked for, else Letter where the workbook weighs in pounds and A4 where in kilograms.

    Raises CommandWrong for a paper that is not known.

    >>> import datetime
    >>> day = datetime.date(2026, 8, 14)
    >>> paper_size(Kitchen(day)).name, paper_size(Kitchen(day, weight_unit="kg")).name
    ('letter', 'a4')
    >>> paper_size(Kitchen(day), "A4").name
    'a4'
    """
    if asked is None:
        return A4 if kitchen.weight_unit == "kg" else LETTER
    found = SIZES.get(asked.strip().casefold())
    if found is None:
        msg = f"{asked!r} is not a paper; write a4 or letter"
        raise CommandWrong(msg)
    return found
