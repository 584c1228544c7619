"""What a command did: a save, a folder of workbooks, tables added, this morning's list."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from stillroom.errors import Problem
from stillroom.household.journal.lots import LotToday
from stillroom.household.journal.overview import Moved, PutAway, Today
from stillroom.household.text import format_containers, format_list, format_long_date, format_quantity


@dataclass(frozen=True)
class Receipt:
    """
    What a save did.

    Members are the files inside the workbook. ``results_cleared`` names the formula cells ("Sheet!B7") whose saved
    result was taken out so that every office program works it out anew, ``cleared_to_be_safe`` those of them whose
    formula can look anywhere. ``backup`` is the dated copy, None when nothing was replaced.
    """

    path: Path
    members_kept: int
    members_changed: tuple[str, ...]
    members_added: tuple[str, ...]
    cells_written: int
    results_cleared: tuple[str, ...]
    backup: Path | None
    members_dropped: tuple[str, ...] = ()
    cleared_to_be_safe: tuple[str, ...] = ()
    written: bool = True


def cleared_words(receipt: Receipt) -> list[str]:
    """Name the cells whose saved result was cleared because it used what changed, if there are any."""
    cells = receipt.results_cleared
    return [f"Your spreadsheet will recalculate {format_list(cells, 4)} when you open it."] if cells else []


# What came of a folder of workbooks that were planned.


@dataclass(frozen=True)
class WorkbookDone:
    """
    What came of one workbook.

    `content` is the planned workbook, None when there is none and `problems` say why. `targets` is how many there are,
    `filled` how many of them are filled; `surplus_kg` what the plan feeds; `said` how many things are worth knowing;
    `errors` what keeps preserves out of the plan.
    """

    name: str
    content: bytes | None = None
    lines: int = 0
    targets: int = 0
    filled: int = 0
    surplus_kg: float = 0.0
    said: int = 0
    unchanged: bool = False
    seconds: float = 0.0
    problems: tuple[str, ...] = ()
    errors: tuple[str, ...] = ()


@dataclass(frozen=True)
class AllPlanned:
    """What came of a folder, in the order of names; `seconds` is how long all of it took, `workers` who planned."""

    folder: Path
    out: Path
    done: tuple[WorkbookDone, ...]
    seconds: float
    workers: int

    @property
    def failed(self) -> int:
        """How many workbooks have no plan."""
        return sum(bool(one.problems) for one in self.done)


# What moving into a workbook that a household already has came to.


@dataclass(frozen=True)
class LeftOut:
    """Starting rows of one table that were not taken, or stand at Make = no: their names, and why in a few words."""

    table: str
    names: tuple[str, ...]
    why: str
    whole: bool = False
    made_no: bool = False


@dataclass(frozen=True)
class Adoption:
    """
    What moving in came to.

    `added` are the tables put on the new `sheets`, `used` those that were there with their place (`Garden!B4`), and
    `problems` what the household has to decide. `rows` counts the starting rows of each new table; `renamed` pairs a
    starting name with the household's own that it was replaced by.
    """

    sheets: tuple[str, ...]
    added: tuple[str, ...]
    used: tuple[tuple[str, str], ...] = ()
    problems: tuple[Problem, ...] = ()
    rows: Mapping[str, int] = field(default_factory=dict)
    renamed: tuple[tuple[str, str], ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()


# This morning's list in words: lots at their last day, what goes into and out of the freezer, what to put away.

SOON_DAYS = 2


def last_day_lines(today: Today) -> Iterator[str]:
    """Yield a line for each lot that must be used today."""
    for lot in today.lots:
        if lot.must_today(today.day):
            yield f"Use today: {format_quantity(lot.amount, lot.unit)} {lot.crop}. {lot_text(lot)}"


def lot_text(lot: LotToday) -> str:
    """
    Return what happens to a lot on its last day.

    >>> day = datetime.date(2026, 8, 14)
    >>> lot_text(LotToday("plum tomatoes", 53, "lb", day, day, 45, True))
    'The plan uses 45 lb. Freeze the other 8 lb whole, eat, give away or feed them.'
    >>> lot_text(LotToday("cucumbers", 48, "lb", day, day, 0, False))
    'Put them up, eat, give away or feed them.'
    """
    rest = lot.amount - lot.planned
    if rest <= 0.02 * lot.amount:
        return "The plan uses all of it."
    if lot.planned <= 0:
        return f"Put them up, {'freeze them whole, ' if lot.may_be_frozen else ''}eat, give away or feed them."
    other = format_quantity(rest, lot.unit)
    advice = f"Freeze the other {other} whole, eat" if lot.may_be_frozen else f"Of the other {other}, eat"
    return f"The plan uses {format_quantity(lot.planned, lot.unit)}. {advice}, give away or feed them."


def soon_lines(today: Today) -> list[str]:
    """Return a line for each crop with lots that keep beyond today, but no longer than two days, the ripest first."""
    soon = today.day + datetime.timedelta(days=SOON_DAYS)
    by_crop: dict[str, list[LotToday]] = {}
    for lot in today.lots:
        if today.day < lot.until <= soon:
            by_crop.setdefault(lot.crop, []).append(lot)
    return [
        f"{crop}: "
        + ", ".join(f"{format_quantity(lot.amount, lot.unit)} by {format_long_date(lot.until)}" for lot in lots)
        for crop, lots in by_crop.items()
    ]


def freezer_lines(today: Today, due: Iterable[tuple[Moved, datetime.date]]) -> list[str]:
    """Return what goes into the freezer, what comes out and when, and what has been there long enough."""
    lines = [f"Freeze whole today: {moved_text(one)}." for one in today.freeze]
    lines += [
        f"Take {moved_text(one)} out of the freezer now. Cook them today; use all the liquid." for one in today.out_now
    ]
    lines += [
        f"Take {moved_text(one)} out of the freezer this evening, to cook tomorrow." for one in today.out_this_evening
    ]
    for one, day in due:
        verb = "was" if day < today.day else "is"
        lines.append(f"Cook {moved_text(one)} frozen whole soon: best by {verb} {format_long_date(day)}.")
    return lines


def moved_text(one: Moved) -> str:
    """
    Return how much of which crop.

    >>> moved_text(Moved("plum tomatoes", 12.0, "lb"))
    '12 lb plum tomatoes'
    """
    return f"{format_quantity(one.amount, one.unit)} {one.crop}"


def put_away_lines(rows: Sequence[PutAway]) -> Iterator[str]:
    """Yield what to do with yesterday's preserves."""
    for row in rows:
        made = f"{format_containers(row.made, whole=True)} {row.preserve} from yesterday"
        if not row.canned:
            yield f"{made}: label with name and date."
            continue
        yield f"{made}: take off the bands, check every seal, wipe, and label."
        if row.failed:
            failed = format_containers(row.failed, whole=True)
            yield (
                f"{failed} of them did not seal: refrigerate and use within days, freeze, or reprocess within 24 hours "
                "with new lids and the full time."
            )
