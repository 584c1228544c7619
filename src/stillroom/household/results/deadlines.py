"""How long each line of the detailed days can wait, and what is lost when something goes wrong on the first two."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.records import FREEZE_WHOLE, Household
from stillroom.household.results.rows import Row, cell_number, in_crop_unit
from stillroom.household.text import (
    format_clock,
    format_containers,
    format_crop,
    format_date,
    format_list,
    format_long_date,
    format_quantity,
    format_space,
    format_weight,
)

LEAST_SHOWN = 0.05
"""Less of a target's unit than this is no loss."""

MOST_INSTEAD = 3
MOST_SHORT = 3
WEEK_DAYS = 7
CANNOT_WAIT = "cannot wait"
LATER = ("next week", "after")
"""How the words of a line begin that can wait past the detailed days."""
STOP = "stop"
"""What the table Can wait has under Preserve for a place to stop."""
NOTHING = "nothing"
NOT_BEGUN = "Before anything is begun"
DAY_CAN_WAIT = f"{NOT_BEGUN} you may stop: nothing is lost."
"""What the table Can wait has of a day that may be left out as a whole."""


@dataclass(frozen=True)
class Loss:
    """What a plan without something loses: of each target in its unit, and crop in kg by name (surplus or spoiled)."""

    targets: Mapping[str, float]
    crops_kg: Mapping[str, float]

    @property
    def nothing(self) -> bool:
        """Whether nothing is lost that is worth a word."""
        return not self.targets and not self.crops_kg


@dataclass(frozen=True)
class Deadline:
    """
    The last day on which a line may begin without a loss.

    `until` is None where it may even be left out of the detailed days. `hour` is the latest time to begin it on that
    day, with the day's other lines around it; None where that is not known. `loss` is what is lost if it is not done by
    then and not later in the detailed days, at most. `instead` is what is then done more: day, number of days, name,
    amount.
    """

    day: datetime.date
    name: str
    until: datetime.date | None
    loss: Loss
    instead: tuple[tuple[datetime.date, int, str, float], ...] = ()
    hour: datetime.datetime | None = None


@dataclass(frozen=True)
class Stop:
    """After these lines of a day one may stop: what is lost if the rest of the day is not done, at most."""

    day: datetime.date
    done: tuple[str, ...]
    loss: Loss


@dataclass(frozen=True)
class Deadlines:
    """The deadlines of the lines and, for each day, the lines in the order in which stopping costs least."""

    lines: tuple[Deadline, ...] = ()
    stops: tuple[Stop, ...] = ()

    def of(self, day: datetime.date, name: str) -> Deadline | None:
        """Return the deadline of a line, None where it was not worked out."""
        return next((one for one in self.lines if (one.day, one.name) == (day, name)), None)


def loss_words(household: Household, loss: Loss, *, short: bool = False) -> str:
    """
    Return what is lost in a cook's words: `nothing` for no loss.

    In `short` those are the most important targets and the greatest shares of them, and all crop together.

    >>> from stillroom.household.records import Crop, Kitchen, Target
    >>> crops, targets = (Crop("plum tomato", 5), Crop("corn", 1)), (Target("salsa", 20, 20, unit="pint"),)
    >>> home = Household(Kitchen(datetime.date(2026, 8, 15)), crops=crops, targets=targets)
    >>> loss_words(home, Loss({"salsa": 9.0}, {"plum tomato": 10.0}))
    '9 pints of salsa, 22 lb plum tomato'
    >>> loss_words(home, Loss({}, {}))
    'nothing'
    >>> loss_words(home, Loss({"salsa": 9.0}, {"plum tomato": 10.0, "corn": 2.0}), short=True)
    '9 pints of salsa; 26 lb of crop'
    """
    targets = {target.name: target for target in household.targets}

    def urgent(name: str) -> tuple[int, float, str]:
        return targets[name].importance, -loss.targets[name] / (targets[name].wanted or 1.0), name

    names = sorted(loss.targets, key=urgent) if short else list(loss.targets)
    made = []
    for name in names:
        amount, unit = loss.targets[name], targets[name].unit
        made.append(f"{format_quantity(amount, unit)} of {name}" if unit else f"{format_quantity(amount)} {name}")
    crops = []
    for name, kg in loss.crops_kg.items():
        crop = household.crop(name)
        crops.append(format_crop(in_crop_unit(kg, crop), crop))
    if not short:
        return format_list([*made, *crops]) or NOTHING
    if len(crops) > 1:
        crops = [f"{format_weight(sum(loss.crops_kg.values()))} of crop"]
    return "; ".join(filter(None, (format_list(made, MOST_SHORT), *crops))) or NOTHING


def until_words(household: Household, one: Deadline, *, dated: bool = False) -> str:
    """
    Return until when a line can wait; `dated` for what is read on another day too.

    >>> from stillroom.household.records import Kitchen
    >>> day, tomorrow = datetime.date(2026, 8, 15), datetime.date(2026, 8, 16)
    >>> home = Household(Kitchen(day))
    >>> [until_words(home, Deadline(one, "salsa", one, Loss({}, {}))) for one in (day, tomorrow)]
    ['today', 'Sun Aug 16']
    >>> until_words(home, Deadline(day, "salsa", None, Loss({}, {})))
    'next week'
    >>> until_words(Household(Kitchen(day, days_planned_singly=14)), Deadline(day, "salsa", None, Loss({}, {})))
    'after Aug 28'
    >>> until_words(home, Deadline(day, "salsa", day, Loss({}, {}), hour=datetime.datetime(2026, 8, 15, 17, 30)))
    'today 5:30 PM'
    """
    days = household.kitchen.days_planned_singly
    if one.until is None:
        last = household.kitchen.first_day + datetime.timedelta(days=days - 1)
        return LATER[0] if days == WEEK_DAYS else f"{LATER[1]} {format_date(last)}"
    day = "today" if one.until == household.kitchen.first_day and not dated else format_long_date(one.until)
    return day if one.hour is None else f"{day} {format_clock(one.hour)}"


def wait_words(day: datetime.date, until: str, otherwise: str = "") -> str:
    """
    Return what the columns *Can wait until* and *Else* of a line of a day say, in a sentence; empty for blanks.

    >>> day = datetime.date(2026, 8, 15)
    >>> wait_words(day, "Thu Aug 20", "make 8 corn, frozen; nothing is lost")
    'can wait until Thu Aug 20; else make 8 corn, frozen; nothing is lost'
    >>> wait_words(day, "Sat Aug 15"), wait_words(day, "Sat Aug 15 5:30 PM"), wait_words(day, "")
    ('cannot wait', 'cannot wait: begin it by 5:30 PM', '')
    >>> wait_words(datetime.date(2026, 8, 1), "Sat Aug 15")
    'can wait until Sat Aug 15'
    """
    if not until:
        return ""
    said = f"can wait until {until}"
    if f"{until} ".startswith(f"{(today := format_long_date(day))} "):
        hour = until.removeprefix(today).strip()
        said = f"{CANNOT_WAIT}: begin it by {hour}" if hour else CANNOT_WAIT
    return f"{said}; else {otherwise}" if otherwise else said


def else_words(household: Household, one: Deadline) -> str:
    """
    Return what to do instead of a line and what that loses, in one sentence; empty where it can wait past the days.

    >>> from stillroom.household.records import Crop, Kitchen
    >>> home = Household(Kitchen(datetime.date(2026, 8, 15)), crops=(Crop("corn", 1),))
    >>> day = datetime.date(2026, 8, 15)
    >>> else_words(home, Deadline(day, "corn, pint", day, Loss({}, {"corn": 4.54}), ((day, 1, "corn, frozen", 8.0),)))
    'make 8 corn, frozen; lost: 10 lb corn'
    """
    if one.until is None and one.loss.nothing:
        return ""
    more = [instead_words(household, one, *part) for part in one.instead[:MOST_INSTEAD]]
    instead = f"{'; '.join(more)}; " if more else ""
    lost = "nothing is lost" if one.loss.nothing else f"lost: {loss_words(household, one.loss)}"
    return f"{instead}{lost}"


def instead_words(household: Household, one: Deadline, day: datetime.date, days: int, name: str, amount: float) -> str:
    """Return one thing that is done more."""
    when = "" if day == one.day and days == 1 else f" on {format_long_date(day)}" if days == 1 else " in a later week"
    if name.startswith(FREEZE_WHOLE):
        crop = household.crop(name.removeprefix(FREEZE_WHOLE))
        return f"freeze {format_crop(in_crop_unit(amount, crop), crop)}{when}"
    item = next((item for item in household.preserves if item.name == name), None)
    litres = item.space_litres_each * amount if item is not None and item.kept_in == "freezer" else 0.0
    takes = f" ({format_space(litres)} of freezer)" if litres else ""
    return f"make {format_containers(amount, whole=days == 1)} {name}{takes}{when}"


def stop_words(household: Household, stop: Stop) -> str:
    """Return after which lines of a day one may stop, and what that costs."""
    after = f"After {format_list(stop.done)}" if stop.done else NOT_BEGUN
    if stop.loss.nothing:
        return f"{after} you may stop: nothing is lost."
    return f"{after}: stopping costs up to {loss_words(household, stop.loss)}."


def stops_to_show(stops: Iterable[Stop], day: datetime.date) -> list[Stop]:
    """Return the places of a day to stop at: from the first that costs nothing on, no other is worth a line."""
    found = []
    for stop in sorted((stop for stop in stops if stop.day == day), key=lambda stop: len(stop.done)):
        found.append(stop)
        if stop.loss.nothing:
            break
    return found


def deadline_rows(household: Household, found: Deadlines) -> list[Row]:
    """Return the rows of the table Can wait: the lines, then where one may stop on the first day."""
    rows: list[Row] = [
        {
            "Day": one.day,
            "Preserve": one.name,
            "Can wait until": until_words(household, one, dated=True),
            "Else": else_words(household, one),
        }
        for one in found.lines
    ]
    stops = [
        stop for day in dict.fromkeys(stop.day for stop in found.stops) for stop in stops_to_show(found.stops, day)
    ]
    return rows + [
        {"Day": stop.day, "Preserve": STOP, "Can wait until": None, "Else": stop_words(household, stop)}
        for stop in stops
    ]


def loss_object(household: Household, loss: Loss) -> dict[str, object]:
    """Return a loss for other programs, unrounded: `lost_targets` and `lost_crops`, each in its own unit."""
    units = {target.name: target.unit or None for target in household.targets}
    crops = {name: household.crop(name) for name in loss.crops_kg}
    return {
        "lost_targets": [
            {"target": name, "amount": cell_number(amount), "unit": units.get(name)}
            for name, amount in loss.targets.items()
        ],
        "lost_crops": [
            {"crop": name, "amount": cell_number(in_crop_unit(kg, crops[name])), "unit": crops[name].unit}
            for name, kg in loss.crops_kg.items()
        ],
    }


def deadlines_object(household: Household, found: Deadlines) -> dict[str, object]:
    """Return the same for other programs, unrounded: `lines` and `stops`."""
    lines = [
        {
            "day": one.day.isoformat(),
            "preserve": one.name,
            "can_wait_until": None if one.until is None else one.until.isoformat(),
            "can_wait_past_the_detailed_days": one.until is None,
            "begin_by": None if one.hour is None else one.hour.isoformat(),
            "else": else_words(household, one),
            **loss_object(household, one.loss),
        }
        for one in found.lines
    ]
    stops = [
        {"day": stop.day.isoformat(), "done": list(stop.done), **loss_object(household, stop.loss)}
        for stop in found.stops
    ]
    return {"lines": lines, "stops": stops}


# What changes on the first two days of a plan when something goes wrong, and what is lost.

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
