"""Sheets of labels by their measures: how many across and down, how large, with what margins and gaps."""

from __future__ import annotations

import re
from dataclasses import dataclass

from stillroom.errors import CommandWrong
from stillroom.pages.paper_size import A4, LETTER, SIZES, PaperSize

MOST_LABELS = 400
ALMOST_MM = 0.05


@dataclass(frozen=True)
class LabelSheet:
    """
    One sheet, in millimetres: `columns` times `rows` labels of `width` by `height`.

    `left` and `top` are the margins before the first label, `across` and `down` the gaps between labels.
    """

    paper: PaperSize
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    across: float = 0.0
    down: float = 0.0

    @property
    def many(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    def corner(self, number: int) -> tuple[float, float]:
        """
        How far the upper left corner of a label is from that of the sheet, counted from 0 along the rows.

        >>> KNOWN[0].corner(0), KNOWN[0].corner(4)
        ((4.7, 12.7), (74.6, 38.1))
        """
        down, across = divmod(number, self.columns)
        x = self.left + across * (self.width + self.across)
        y = self.top + down * (self.height + self.down)
        return round(x, 3), round(y, 3)

    def words(self) -> str:
        """
        The sheet in words, as it can be typed.

        >>> KNOWN[0].words()
        '3 x 10 of 66.7 x 25.4 mm, gaps 3.2 x 0, margins 4.7 x 12.7, letter'
        """
        return (
            f"{self.columns} x {self.rows} of {self.width:g} x {self.height:g} mm, gaps {self.across:g} x "
            f"{self.down:g}, margins {self.left:g} x {self.top:g}, {self.paper.name}"
        )


def centred(
    paper: PaperSize, columns: int, rows: int, width: float, height: float, across: float = 0.0, down: float = 0.0
) -> LabelSheet:
    """
    A sheet whose labels stand in the middle of the paper.

    >>> centred(A4, 3, 8, 70, 37).left, centred(A4, 3, 8, 70, 37).top
    (0.0, 0.5)
    """
    left = (paper.width_mm - columns * width - (columns - 1) * across) / 2
    top = (paper.height_mm - rows * height - (rows - 1) * down) / 2
    return LabelSheet(paper, columns, rows, width, height, round(left, 1), round(top, 1), across, down)


KNOWN = (
    centred(LETTER, 3, 10, 66.7, 25.4, across=3.2),
    centred(LETTER, 2, 10, 101.6, 25.4, across=4.8),
    centred(LETTER, 2, 5, 101.6, 50.8, across=4.8),
    centred(A4, 3, 7, 63.5, 38.1, across=2.5),
    centred(A4, 3, 8, 70.0, 37.0),
    centred(A4, 2, 7, 99.1, 38.1, across=2.5),
    centred(A4, 4, 12, 45.7, 21.2, across=2.5),
)
"""
Sheets that are commonly sold, by measure: common practice, no source; measures from memory, margins by arithmetic.

Whoever prints on them holds a first print on plain paper against the sheet.
"""

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_PAIR = rf"{_NUMBER}\s*[x×]\s*{_NUMBER}"


def default_sheet(paper: PaperSize) -> LabelSheet:
    """The first of the known sheets on this paper."""
    return next(one for one in KNOWN if one.paper == paper)


def label_sheet(words: str, paper: PaperSize) -> LabelSheet:
    """
    A sheet as it was typed: `3 x 10 of 66.7 x 25.4 mm`, then, where they are not the usual ones, gaps and margins.

    Without gaps and margins those of the known sheet of these measures are taken, else no gaps, in the middle of the
    paper. Raises CommandWrong for what cannot be read or does not fit on the paper.

    >>> label_sheet("3 x 10 of 66.7 x 25.4 mm", LETTER).left
    4.7
    >>> label_sheet("2x4 of 90x60, gaps 5x5, margins 10 x 20, a4", LETTER).corner(3)
    (105.0, 85.0)
    """
    read = words.casefold()
    main = re.match(rf"\s*{_PAIR}\s*(?:of|,)\s*{_PAIR}\s*(?:mm)?", read)
    rest = read[main.end() :] if main else ""
    gaps, margins = (re.search(rf"{name}s?\s+{_PAIR}", rest) for name in ("gap", "margin"))
    on = next((SIZES[name] for name in SIZES if re.search(rf"\b{name}\b", rest)), None)
    left_over = re.sub(rf"(?:gaps?|margins?)\s+{_PAIR}|\b(?:{'|'.join(SIZES)})\b|\bmm\b|[\s,;]", "", rest)
    if main is None or left_over:
        msg = f"{words!r} is not a sheet of labels; write it as: {KNOWN[0].words()}"
        raise CommandWrong(msg)
    columns, rows = (int(float(figure.replace(",", "."))) for figure in main.groups()[:2])
    width, height = pair(main.groups()[2:])
    known = next((one for one in KNOWN if alike(one, columns, rows, width, height) and on in (None, one.paper)), None)
    found = known if known is not None else centred(on or paper, columns, rows, width, height)
    if gaps:
        found = centred(found.paper, columns, rows, width, height, *pair(gaps.groups()))
    if margins:
        left, top = pair(margins.groups())
        found = LabelSheet(found.paper, columns, rows, width, height, left, top, found.across, found.down)
    refuse_what_cannot_be(found, words)
    return found


def pair(figures: tuple[str | None, ...]) -> tuple[float, float]:
    """Two figures as numbers."""
    first, second = (float((figure or "0").replace(",", ".")) for figure in figures)
    return first, second


def alike(sheet: LabelSheet, columns: int, rows: int, width: float, height: float) -> bool:
    """Whether a sheet has these measures, within half a millimetre."""
    same = (sheet.columns, sheet.rows) == (columns, rows)
    return same and abs(sheet.width - width) < 0.5 and abs(sheet.height - height) < 0.5


def refuse_what_cannot_be(sheet: LabelSheet, words: str) -> None:
    """Refuse a sheet without labels, with far too many, or with labels over the edge. Raises CommandWrong."""
    if not 0 < sheet.many <= MOST_LABELS or sheet.width < 10 or sheet.height < 8:
        msg = f"{words!r}: a sheet has 1 to {MOST_LABELS} labels of at least 10 x 8 mm"
        raise CommandWrong(msg)
    x, y = sheet.corner(sheet.many - 1)
    over = max(
        x + sheet.width - sheet.paper.width_mm, y + sheet.height - sheet.paper.height_mm, -sheet.left, -sheet.top
    )
    if over > ALMOST_MM:
        msg = f"{words!r}: the labels reach {over:.1f} mm past the edge of {sheet.paper.css_name} paper"
        raise CommandWrong(msg)
