"""What changes on the first two days of a plan when something goes wrong, and what is lost."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from stillroom.household.records import FREEZE_WHOLE, Household
from stillroom.household.results.deadlines import Loss, loss_object, loss_words
from stillroom.household.results.rows import Row, cell_number, in_crop_unit
from stillroom.household.text import format_containers, format_crop, format_list, format_long_date

MOST_CHANGES = 3
AS_PLANNED = "As planned."
NO_PLAN = "No plan was found for this."


@dataclass(frozen=True)
class LineChange:
    """A line of a day that a plan has more or less of: containers, or kilograms of crop to freeze whole."""

    day: datetime.date
    name: str
    before: float
    after: float


@dataclass(frozen=True)
class Outcome:
    """
    What a disruption does: its changes of the first two days, and what is lost at most by the end of the plan.

    `days` are those two days, `idle` those of them on which nothing is left to make; `loss` is None where no plan was
    found, and `refused` says why it was not even asked for.
    """

    name: str
    days: tuple[datetime.date, ...] = ()
    changes: tuple[LineChange, ...] = ()
    idle: tuple[datetime.date, ...] = ()
    loss: Loss | None = None
    refused: str = ""


def change_words(household: Household, one: LineChange) -> str:
    """
    Return how a line changes.

    >>> from stillroom.household.records import Kitchen
    >>> day = datetime.date(2026, 8, 15)
    >>> home = Household(Kitchen(day))
    >>> [change_words(home, LineChange(day, "salsa, pint", *both)) for both in ((9, 0), (0, 9), (9, 4))]
    ['no salsa, pint', 'also 9 salsa, pint', '4 instead of 9 salsa, pint']
    """
    if one.name.startswith(FREEZE_WHOLE):
        crop = household.crop(one.name.removeprefix(FREEZE_WHOLE))
        if one.after <= 0:
            return f"freeze no {crop.name}"
        return f"freeze {format_crop(in_crop_unit(one.after, crop), crop)}"
    before, after = (format_containers(amount, whole=True) for amount in (one.before, one.after))
    if one.after <= 0:
        return f"no {one.name}"
    return f"{after} instead of {before} {one.name}" if one.before > 0 else f"also {after} {one.name}"


def changes_words(household: Household, one: Outcome) -> str:
    """
    Return what changes on the first two days, day by day.

    >>> from stillroom.household.records import Kitchen
    >>> day = datetime.date(2026, 8, 15)
    >>> days, gone = (day, day.replace(day=16)), (LineChange(day, "salsa, pint", 9, 0),)
    >>> changes_words(Household(Kitchen(day)), Outcome("late start", days, gone, (day,), Loss({}, {})))
    'Sat: make nothing. Sun: as planned.'
    >>> changes_words(Household(Kitchen(day)), Outcome("no shopping", days, loss=Loss({}, {})))
    'As planned.'
    """
    if one.refused or one.loss is None:
        return one.refused or NO_PLAN
    if not one.changes:
        return AS_PLANNED
    parts = []
    for day in one.days:
        words = [change_words(household, change) for change in one.changes if change.day == day]
        said = format_list(words, MOST_CHANGES, "; ") or "as planned"
        said = "make nothing" if day in one.idle and words else said
        parts.append(f"{format_long_date(day).partition(' ')[0]}: {said}.")
    return " ".join(parts)


def lost_words(household: Household, one: Outcome) -> str:
    """Return what is lost at most, shortly; empty where that is not known."""
    return "" if one.loss is None else loss_words(household, one.loss, short=True)


def disruption_rows(household: Household, found: Sequence[Outcome]) -> list[Row]:
    """Return the rows of the table If things go wrong."""
    return [
        {
            "If": one.name,
            "What changes": changes_words(household, one),
            "Lost": lost_words(household, one) or None,
        }
        for one in found
    ]


def disruptions_object(household: Household, found: Sequence[Outcome]) -> list[dict[str, object]]:
    """Return the same for other programs, unrounded; crop to freeze whole in its own unit."""
    return [
        {
            "if": one.name,
            "what_changes": changes_words(household, one),
            "changes": [
                {
                    "day": change.day.isoformat(),
                    "preserve": change.name,
                    "before": cell_number(shown(household, change, change.before)),
                    "after": cell_number(shown(household, change, change.after)),
                }
                for change in one.changes
            ],
            **({"lost_targets": None, "lost_crops": None} if one.loss is None else loss_object(household, one.loss)),
        }
        for one in found
    ]


def shown(household: Household, change: LineChange, amount: float) -> float:
    """Return an amount of a line: containers, or crop in its own unit."""
    if not change.name.startswith(FREEZE_WHOLE):
        return amount
    return in_crop_unit(amount, household.crop(change.name.removeprefix(FREEZE_WHOLE)))
