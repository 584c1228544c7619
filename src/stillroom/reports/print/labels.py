"""The content of labels (name, date made, best-by date, lot) and the sheets of labels they are printed on."""

from __future__ import annotations

import datetime
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from stillroom.errors import CommandWrong
from stillroom.household.plan import best_by
from stillroom.household.records import FREEZE_WHOLE, Household, Preserve
from stillroom.household.results.tables import OWN_RECIPE
from stillroom.household.text import format_date_and_year
from stillroom.reports.print.document import A4, LETTER, SIZES, PaperSize

NOTHING = "Nothing to label."
TO_WRITE = "__________"
NOT_VERIFIED = "not verified"
KEEP = {"refrigerator": "keep refrigerated", "freezer": "keep frozen"}
MOST_OF_ONE = 2000


@dataclass(frozen=True)
class Label:
    """
    One label; `good_until` includes its words, `lot` is the same for everything made in one load.

    `marks` say that it is kept refrigerated or frozen, and that it is an own recipe.
    """

    name: str
    made: str
    good_until: str
    lot: str
    marks: tuple[str, ...] = ()

    @property
    def small_lines(self) -> tuple[str, ...]:
        """Return the lines below the name."""
        return self.made, self.good_until, self.lot, *self.marks


@dataclass(frozen=True)
class Batch:
    """A number of a preserve made on one day; a crop frozen whole counts as one, with one label."""

    day: datetime.date
    name: str
    count: float


def planned_batches(household: Household, days: Sequence[datetime.date]) -> list[Batch]:
    """Return what the plan makes on these days, in its order, and what the household typed under Keep at."""
    found = []
    for line in household.plan_lines:
        amount = line.make if line.make is not None else line.fix or 0.0
        if line.days == 1 and line.day in days and amount > 0:
            found.append(Batch(line.day, line.name, amount))
    return found


def recorded_batches(household: Household, days: Sequence[datetime.date]) -> list[Batch]:
    """Return what the records show was made on these days."""
    known = {item.name for item in household.preserves}
    return [
        Batch(row.date, row.preserve, row.made if row.preserve in known else 1.0)
        for row in household.record
        if row.date in days
        and row.preserve is not None
        and ((row.preserve in known and row.made > 0) or row.preserve.startswith(FREEZE_WHOLE))
    ]


def labels_of(household: Household, batches: Iterable[Batch]) -> list[Label]:
    """
    Return a label for each container, day by day and load by load; `household` is settled, with keeping times.

    Lots are numbered through each day, so no two loads of a day share a number.
    """
    preserves: Mapping[str, Preserve] = {item.name: item for item in household.preserves}
    lots: Counter[datetime.date] = Counter()
    found: list[Label] = []
    for batch in sorted(batches, key=lambda one: one.day):
        before = lots[batch.day]
        if batch.name in preserves:
            item = preserves[batch.name]
            found += preserve_labels(item, batch, before)
            lots[batch.day] += math.ceil(batch.count / item.load - 1e-6) if item.load else 1
        elif batch.name.startswith(FREEZE_WHOLE):
            found += crop_labels(household, batch, before)
            lots[batch.day] += 1
    return found


def preserve_labels(item: Preserve, batch: Batch, lots_before: int) -> Iterator[Label]:
    """Yield a label for each container; loads are filled one after the other."""
    until = None if item.keeps_months is None else best_by(batch.day, item.keeps_months)
    mark = f", {NOT_VERIFIED}" if item.from_memory else ""
    keep = KEEP.get(item.kept_in, "")
    marks = tuple(words for words in (keep, OWN_RECIPE if item.own_recipe else "") if words)
    for number in range(min(math.ceil(batch.count - 1e-6), MOST_OF_ONE)):
        load = number // item.load if item.load else 0
        yield Label(
            item.name,
            f"made {format_date_and_year(batch.day)}",
            f"best by {TO_WRITE if until is None else format_date_and_year(until)}",
            lot_text(batch.day, lots_before + int(load) + 1) + mark,
            marks,
        )


def crop_labels(household: Household, batch: Batch, lots_before: int) -> Iterator[Label]:
    """Yield one label for a crop frozen whole, because the number of bags is not known."""
    name = batch.name.removeprefix(FREEZE_WHOLE)
    for crop in household.crops:
        if crop.name == name:
            due = batch.day + datetime.timedelta(days=math.floor(crop.frozen_keeps_weeks * 7))
            yield Label(
                f"{name}, whole, to cook",
                f"frozen {format_date_and_year(batch.day)}",
                f"cook by {format_date_and_year(due)}",
                lot_text(batch.day, lots_before + 1),
                (KEEP["freezer"],),
            )


def lot_text(day: datetime.date, number: int) -> str:
    """
    Return a lot: the day it was made and the number of the load that day.

    >>> lot_text(datetime.date(2026, 8, 14), 2)
    'lot 2026-08-14.2'
    """
    return f"lot {day.isoformat()}.{number}"


# Sheets of labels

MOST_LABELS = 400
ALMOST_MM = 0.05
INCH_MM = 25.4


@dataclass(frozen=True)
class LabelSheet:
    """
    A sheet of `columns` by `rows` labels of `width` by `height`, in millimeters.

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
        """Return how many labels a sheet has."""
        return self.columns * self.rows

    def corner(self, number: int) -> tuple[float, float]:
        """
        Return the upper left corner of a label on the sheet, counted from 0 along the rows.

        >>> KNOWN[0].corner(0), KNOWN[0].corner(4)
        ((4.7, 12.7), (74.6, 38.1))
        """
        down, across = divmod(number, self.columns)
        x = self.left + across * (self.width + self.across)
        y = self.top + down * (self.height + self.down)
        return round(x, 3), round(y, 3)

    def description(self) -> str:
        """
        Return the sheet as it can be typed, in inches for letter paper; gaps and margins only if they are unusual.

        >>> KNOWN[0].description(), KNOWN[3].description()
        ('3 x 10 of 2 5/8 x 1 inches, letter', '3 x 7 of 63.5 x 38.1 mm, a4')
        """
        unit, one = ("inches", inches) if self.paper == LETTER else ("mm", lambda mm: f"{mm:g}")
        sheet = usual_sheet(self.paper, self.columns, self.rows, self.width, self.height)
        gaps = f", gaps {one(self.across)} x {one(self.down)}, margins {one(self.left)} x {one(self.top)}"
        size = f"{self.columns} x {self.rows} of {one(self.width)} x {one(self.height)} {unit}"
        return f"{size}{'' if sheet == self else gaps}, {self.paper.name}"


def inches(mm: float) -> str:
    """
    Return millimeters in inches, to the sixteenth if that is close enough.

    >>> inches(66.7), inches(25.4), inches(12.7), inches(61.3)
    ('2 5/8', '1', '1/2', '2.413')
    """
    sixteenths = round(mm / INCH_MM * 16)
    if abs(sixteenths * INCH_MM / 16 - mm) > ALMOST_MM:
        return f"{mm / INCH_MM:.4g}"
    whole, part = divmod(sixteenths, 16)
    return " ".join(str(one) for one in (whole, Fraction(part, 16)) if one) or "0"


def placed(labels: Sequence[Label], sheet: LabelSheet, start: int) -> Iterator[tuple[int, tuple[float, float], Label]]:
    """Yield each label with its page (from 0) and corner; the first goes to place `start` (from 1)."""
    for number, label in enumerate(labels, start - 1):
        page, place = divmod(number, sheet.many)
        yield page, sheet.corner(place), label


def centered(
    paper: PaperSize, columns: int, rows: int, width: float, height: float, across: float = 0.0, down: float = 0.0
) -> LabelSheet:
    """
    Return a sheet with its labels in the middle of the paper.

    >>> centered(A4, 3, 8, 70, 37).left, centered(A4, 3, 8, 70, 37).top
    (0.0, 0.5)
    """
    left = (paper.width_mm - columns * width - (columns - 1) * across) / 2
    top = (paper.height_mm - rows * height - (rows - 1) * down) / 2
    return LabelSheet(paper, columns, rows, width, height, round(left, 1), round(top, 1), across, down)


KNOWN = (
    centered(LETTER, 3, 10, 66.7, 25.4, across=3.2),
    centered(LETTER, 2, 10, 101.6, 25.4, across=4.8),
    centered(LETTER, 2, 5, 101.6, 50.8, across=4.8),
    centered(A4, 3, 7, 63.5, 38.1, across=2.5),
    centered(A4, 3, 8, 70.0, 37.0),
    centered(A4, 2, 7, 99.1, 38.1, across=2.5),
    centered(A4, 4, 12, 45.7, 21.2, across=2.5),
)
"""
Common sheets by measure: common practice, no source; measures from memory, margins by arithmetic.

A first print on plain paper shows whether they match.
"""

_NUMBER = r"(\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?)"
_PAIR = rf"{_NUMBER}\s*[x×]\s*{_NUMBER}"
_UNIT = r"\s*(mm|inches|inch|in)?\b"


def default_sheet(paper: PaperSize) -> LabelSheet:
    """Return the first common sheet on this paper."""
    return next(one for one in KNOWN if one.paper == paper)


def usual_sheet(paper: PaperSize, columns: int, rows: int, width: float, height: float) -> LabelSheet:
    """Return the common sheet of these measures (within half a millimeter), else one centered without gaps."""
    for one in KNOWN:
        same = (one.paper, one.columns, one.rows) == (paper, columns, rows)
        if same and abs(one.width - width) < 0.5 and abs(one.height - height) < 0.5:
            return one
    return centered(paper, columns, rows, width, height)


def label_sheet(words: str, paper: PaperSize) -> LabelSheet:
    """
    Return a sheet as typed: `3 x 10 of 2 5/8 x 1 inches` or `3 x 7 of 63.5 x 38.1 mm`, then gaps, margins and paper.

    Without gaps and margins, those of the common sheet of these measures are used, else no gaps and a centered sheet.
    Raises CommandWrong for text that is not a sheet and for a sheet that does not fit the paper.

    >>> label_sheet("3 x 10 of 2 5/8 x 1 in", LETTER) == label_sheet("3 x 10 of 66.7 x 25.4 mm", LETTER) == KNOWN[0]
    True
    >>> label_sheet("2x4 of 90x60, gaps 5x5, margins 10 x 20, a4", LETTER).corner(3)
    (105.0, 85.0)
    """
    text = words.casefold()
    main = re.match(rf"\s*{_PAIR}\s*(?:of|,)\s*{_PAIR}(?:{_UNIT})?", text)
    rest = text[main.end() :] if main else ""
    gaps, margins = (re.search(rf"{name}s?\s+{_PAIR}", rest) for name in ("gap", "margin"))
    paper_typed = next((SIZES[name] for name in SIZES if re.search(rf"\b{name}\b", rest)), None)
    left_over = re.sub(rf"(?:gaps?|margins?)\s+{_PAIR}|\b(?:{'|'.join(SIZES)})\b|\bmm\b|[\s,;]", "", rest)
    if main is None or left_over:
        msg = f"{words!r} is not a sheet of labels. Type it like this: {default_sheet(paper).description()}"
        raise CommandWrong(msg)
    scale = INCH_MM if (main[5] or "").startswith("in") else 1.0
    columns, rows = (int(number(figure)) for figure in main.groups()[:2])
    width, height = (number(figure) * scale for figure in main.groups()[2:4])
    known = [usual_sheet(one, columns, rows, width, height) for one in ([paper_typed] if paper_typed else [paper, A4])]
    sheet = next((one for one in known if one in KNOWN), known[0])
    if gaps:
        across, down = (number(figure) * scale for figure in gaps.groups())
        sheet = centered(sheet.paper, columns, rows, width, height, across, down)
    if margins:
        left, top = (number(figure) * scale for figure in margins.groups())
        sheet = LabelSheet(sheet.paper, columns, rows, width, height, left, top, sheet.across, sheet.down)
    refuse_impossible(sheet, words)
    return sheet


def number(text: str) -> float:
    """
    Return a number as typed.

    >>> number("2 5/8"), number("60,5")
    (2.625, 60.5)
    """
    return float(sum(Fraction(part) for part in text.replace(",", ".").split()))


def refuse_impossible(sheet: LabelSheet, words: str) -> None:
    """Refuse a sheet without labels, with too many, or with labels over the edge. Raises CommandWrong."""
    if not 0 < sheet.many <= MOST_LABELS or sheet.width < 10 or sheet.height < 8:
        msg = f"{words!r}: a sheet has 1 to {MOST_LABELS} labels of at least 10 x 8 mm"
        raise CommandWrong(msg)
    x, y = sheet.corner(sheet.many - 1)
    paper = sheet.paper
    over = max(x + sheet.width - paper.width_mm, y + sheet.height - paper.height_mm, -sheet.left, -sheet.top)
    if over > ALMOST_MM:
        msg = f"{words!r}: the labels reach {over:.1f} mm past the edge of {paper.css_name} paper"
        raise CommandWrong(msg)
