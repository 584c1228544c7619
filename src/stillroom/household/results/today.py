"""This morning's list in words: lots at their last day, what goes into and out of the freezer, what to put away."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence

from stillroom.household.journal.lots import LotToday
from stillroom.household.journal.overview import Moved, PutAway, Today
from stillroom.household.text import format_containers, format_long_date, format_quantity

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
