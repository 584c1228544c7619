"""What stands on the labels: name, when it was made, until when it is good, and its lot; by the plan or the record."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.errors import CommandWrong
from stillroom.household.journal.stocks import best_by
from stillroom.household.records import FREEZE_WHOLE, Household, Preserve
from stillroom.reports.print.document import A4, LETTER, SIZES, PaperSize
from stillroom.reports.print.lists import date

NOTHING = "Nothing is made that takes a label."
TO_WRITE = "__________"
MOST_OF_ONE = 2000


@dataclass(frozen=True)
class Label:
    """One label; `good_until` has its words with the day, `lot` is the same for what was made in one load."""

    name: str
    made: str
    good_until: str
    lot: str


@dataclass(frozen=True)
class Batch:
    """So many of a preserve made on a day, by the plan or the record; a crop frozen whole is one, of one label."""

    day: datetime.date
    name: str
    count: float


def planned_batches(household: Household, days: Sequence[datetime.date]) -> list[Batch]:
    """What the plan's lines say for these days, what the household fixed or made where no plan says it."""
    found = []
    for line in household.plan_lines:
        amount = line.make if line.make is not None else line.fix or 0.0
        if line.days == 1 and line.day in days and amount > 0:
            found.append(Batch(line.day, line.name, amount))
    return found


def recorded_batches(household: Household, days: Sequence[datetime.date]) -> list[Batch]:
    """What the record says was made on these days."""
    known = {item.name for item in household.preserves}
    return [
        Batch(row.date, row.preserve, row.made if row.preserve in known else 1.0)
        for row in household.record
        if row.date in days
        and row.preserve is not None
        and ((row.preserve in known and row.made > 0) or row.preserve.startswith(FREEZE_WHOLE))
    ]


def labels_of(household: Household, batches: Iterable[Batch]) -> list[Label]:
    """A label for each container, load by load; `household` is settled, so that it is known how long things keep."""
    preserves: Mapping[str, Preserve] = {item.name: item for item in household.preserves}
    found: list[Label] = []
    for batch in sorted(batches, key=lambda one: (one.day, one.name)):
        if batch.name in preserves:
            found += preserve_labels(preserves[batch.name], batch)
        elif batch.name.startswith(FREEZE_WHOLE):
            found += crop_labels(household, batch)
    return found


def preserve_labels(item: Preserve, batch: Batch) -> Iterator[Label]:
    """One label a container; the loads are filled one after the other."""
    until = None if item.keeps_months is None else best_by(batch.day, item.keeps_months)
    for number in range(min(math.ceil(batch.count - 1e-6), MOST_OF_ONE)):
        load = 1 if not item.load else number // item.load + 1
        yield Label(
            item.name,
            f"made {date(batch.day)}",
            f"best by {TO_WRITE if until is None else date(until)}",
            lot_words(batch.day, load, several=bool(item.load) and batch.count > (item.load or 0)),
        )


def crop_labels(household: Household, batch: Batch) -> Iterator[Label]:
    """One label for a crop frozen whole: in how many bags it goes nobody has said."""
    name = batch.name.removeprefix(FREEZE_WHOLE)
    for crop in household.crops:
        if crop.name == name:
            due = batch.day + datetime.timedelta(days=math.floor(crop.frozen_keeps_weeks * 7))
            yield Label(
                f"{name}, whole, to be cooked",
                f"frozen {date(batch.day)}",
                f"cook by {date(due)}",
                lot_words(batch.day, 1, several=False),
            )


def lot_words(day: datetime.date, load: int, *, several: bool) -> str:
    """
    The lot: the day it was made, and which load of it where there were several; what spoils alike was made alike.

    >>> lot_words(datetime.date(2026, 8, 14), 2, several=True), lot_words(datetime.date(2026, 8, 14), 1, several=False)
    ('lot 2026-08-14.2', 'lot 2026-08-14')
    """
    return f"lot {day.isoformat()}.{load}" if several else f"lot {day.isoformat()}"


# Sheets of labels by their measures: how many across and down, how large, with what margins and gaps.

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
