"""Audits of loads and batches: full loads, none empty, nothing begun for too few, whole things whole."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stillroom.household.audit.crops import eaten_kg, frozen_before
from stillroom.household.audit.needs import group_of, room_of
from stillroom.household.audit.tally import TOLERANCE, Tally, more, said, when
from stillroom.household.periods import Period
from stillroom.household.records import Preserve


def loads_said(number: float) -> str:
    """
    Loads in a sentence.

    >>> loads_said(1.0), loads_said(2.5)
    ('1 load', '2.5 loads')
    """
    return "1 load" if number == 1 else f"{said(number)} loads"


def whole_loads(tally: Tally) -> Iterator[str]:
    """What is made goes into the loads planned for it: make <= load x loads."""
    for preserve, period, amount in tally.makes:
        if preserve.load is not None:
            loads = tally.plan.loads.get((preserve.name, period.number), 0.0)
            if more(amount, preserve.load * loads):
                text = f"{said(amount)} of {preserve.name} do not go into {loads_said(loads)} of {preserve.load}"
                yield f"{when(period)}: {text}"


def no_empty_loads(tally: Tally) -> Iterator[str]:
    """In single days no load is empty: make >= load x (loads - 1) + 1."""
    for (name, number), loads in sorted(tally.plan.loads.items()):
        preserve, period = tally.preserves[name], tally.periods[number]
        amount = tally.plan.make.get((name, number), 0.0)
        if preserve.load is None:
            yield f"{when(period)}: {name} has {loads_said(loads)}, but goes through no equipment"
        elif period.single and loads > TOLERANCE and more(preserve.load * (loads - 1) + 1, amount):
            yield f"{when(period)}: {said(amount)} of {name} do not need {loads_said(loads)} of {preserve.load}"


def smallest_batch(tally: Tally) -> Iterator[str]:
    """
    In single days nothing without equipment is begun for less than its smallest batch.

    The batch shrinks to what *at most* still allows and to what the crop on hand can give, so that it never forbids the
    last few; not to containers, or a fourth tub could undo a batch of three. A fixed line is free of it, and so is what
    counts toward no need: no more of it is made than others use.
    """
    for preserve, period, amount in tally.makes:
        enough = amount <= TOLERANCE or not more(preserve.smallest_batch, amount)
        if preserve.load is not None or not period.single or enough or group_of(tally, preserve.name) is None:
            continue
        few = (still_allowed(tally, preserve), crop_can_give(tally, preserve, period))
        batch = min(preserve.smallest_batch, *few)
        if more(batch, amount) and not fixed_on(tally, preserve.name, period):
            yield f"{when(period)}: {said(amount)} of {preserve.name} are less than the smallest batch of {said(batch)}"


def fixed_on(tally: Tally, preserve: str, period: Period) -> bool:
    """Whether a fixed line of a day or a week names this day."""
    return any(
        line.name == preserve and line.fix is not None and 0 <= (period.first_day - line.day).days < line.days
        for line in tally.household.plan_lines
    )


def still_allowed(tally: Tally, preserve: Preserve) -> float:
    """Whole containers of a preserve that its need has room for and others take, at least one."""
    need, taken = group_of(tally, preserve.name), sum(tally.taken[preserve.name])
    room = 0.0 if need is None else room_of(tally, need) / need.counts[preserve.name]
    return max(1.0, math.floor(room + taken + TOLERANCE))


def crop_can_give(tally: Tally, preserve: Preserve, period: Period) -> float:
    """Whole containers of a preserve that the crop sound on a day could give if nothing else took it, at least one."""
    most = math.inf
    for crop in {line.item for line in preserve.ingredients if line.source == "crop"}:
        each = preserve.crop_kg_each(crop)
        keeps, today = tally.crops[crop].keeps_days, period.first_day.toordinal()
        lots = [lot for lot in tally.fresh_lots(crop) if tally.entered(lot, period)]
        there = sum(lot.kg for lot in lots if lot.picked_on.toordinal() + keeps >= today)
        there = max(0.0, there - sum(eaten_kg(tally, crop)[: period.number + 1]))
        if any(line.from_frozen for line in preserve.ingredients if line.source == "crop" and line.item == crop):
            there += frozen_before(tally, crop)
        most = min(most, math.floor(there / each + TOLERANCE) if each > 0 else math.inf)
    return max(1.0, most)


def whole_numbers(tally: Tally) -> Iterator[str]:
    """In single days containers and loads are whole; nothing anywhere is below zero or no number at all."""
    for amounts, what in ((tally.plan.make, "containers"), (tally.plan.loads, "loads")):
        for (name, number), amount in sorted(amounts.items()):
            period = tally.periods[number]
            if period.single and math.isfinite(amount) and abs(amount - round(amount)) > TOLERANCE:
                yield f"{when(period)}: {said(amount)} {what} of {name} are not whole"
    plan = tally.plan
    by_period = (plan.make, plan.loads, plan.fresh_kg, plan.frozen_kg, plan.freeze_kg, plan.thaw_kg, plan.spoil_kg)
    for amounts in (*by_period, plan.fed_kg, plan.bands):
        for (name, number), amount in sorted(amounts.items()):
            if not math.isfinite(amount) or amount < -TOLERANCE:
                yield f"An amount of {name} is {amount} in {number}, which cannot be"
