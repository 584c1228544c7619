"""Audits of sessions worth starting: the last load, the smallest batch, and the least frozen whole."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stillroom.household.audit.crops import eaten_kg, frozen_before
from stillroom.household.audit.hours import (
    loads_said,
)
from stillroom.household.audit.tally import TOLERANCE, Tally, more, said, when
from stillroom.household.audit.targets import ROUNDING, group_of, room_of
from stillroom.household.plan import Period
from stillroom.household.records import FREEZE_WHOLE, THAW, Preserve
from stillroom.household.text import format_weight

SMALLEST_FREEZE_KG = 4 * 0.45359237


def worthwhile_loads(tally: Tally) -> Iterator[str]:
    """
    Check that on detailed days the last load is worth its heat: make >= load x (loads - 1) + least.

    The least is that of a session, a third of a load where it is blank, but at most half a load; 1 for fixed lines.
    """
    for (name, number), loads in sorted(tally.plan.loads.items()):
        preserve, period = tally.preserves[name], tally.periods[number]
        amount = tally.plan.make.get((name, number), 0.0)
        if preserve.load is None:
            yield f"{when(period)}: {name} has {loads_said(loads)}, but goes through no equipment"
        elif period.single and loads > TOLERANCE:
            over = amount - preserve.load * (loads - 1)
            least = 1.0
            if over >= 1 - TOLERANCE and not fixed_on(tally, name, period):
                least = min(least_of_session(tally, preserve, period), math.ceil(preserve.load / 2))
            if more(1.0, over):
                yield f"{when(period)}: {said(amount)} of {name} do not need {loads_said(loads)} of {preserve.load}"
            elif more(least, over):
                few = f"the last of {loads_said(loads)} has {said(over)}, fewer than {said(least)}"
                yield f"{when(period)}: {said(amount)} of {name}: {few}"


def smallest_batch(tally: Tally) -> Iterator[str]:
    """
    Check that nothing is begun on a detailed day for less than its smallest batch.

    It does not apply to fixed lines.
    """
    for preserve, period, amount in tally.makes:
        if amount > TOLERANCE and period.single and not fixed_on(tally, preserve.name, period):
            batch = least_of_session(tally, preserve, period)
            if more(batch, amount):
                few = f"{said(amount)} of {preserve.name} are less than the smallest batch of {said(batch)}"
                yield f"{when(period)}: {few}"


def least_of_session(tally: Tally, preserve: Preserve, period: Period) -> float:
    """
    Return the fewest containers of a preserve that may be begun on a day.

    A smallest batch that was typed is reduced to what the target still allows; a blank one, four containers or a third
    of a load, also to what the day's crop and the containers could give. 1 for what counts toward no target, and
    for what a fixed line takes.
    """
    if group_of(tally, preserve.name) is None or preserve.name in tied_to_fixed_lines(tally):
        return 1.0
    allowed = still_allowed(tally, preserve)
    if preserve.batch_typed:
        return min(preserve.smallest_batch, allowed)
    batch = preserve.smallest_batch if preserve.load is None else math.ceil(preserve.load / 3)
    return max(1.0, min(batch, allowed, *day_can_give(tally, preserve, period).values()))


def day_can_give(tally: Tally, preserve: Preserve, period: Period) -> dict[str, float]:
    """Return the whole containers that each of a day's supplies could give if nothing else used it."""
    return {
        "crop": crop_can_give(tally, preserve, period),
        "containers": containers_can_give(tally, preserve),
    }


def tied_to_fixed_lines(tally: Tally) -> set[str]:
    """Return what fixed lines take, through others too, and what may take the crop that they thaw."""
    found: set[str] = set()
    names = [line.name for line in tally.household.plan_lines if line.fix is not None]
    for name in names:
        if name.startswith(THAW):
            crop = name.removeprefix(THAW)
            found.add(crop)
            for other in tally.preserves.values():
                if any(line.source == "crop" and line.item == crop and line.from_frozen for line in other.ingredients):
                    found.add(other.name)
        preserve = tally.preserves.get(name)
        for line in () if preserve is None else preserve.ingredients:
            if line.source == "preserve" and line.item not in names:
                names.append(line.item)
            if line.source == "preserve" or line.from_frozen:
                found.add(line.item)
    return found


def fixed_on(tally: Tally, preserve: str, period: Period) -> bool:
    """Return whether a fixed line covers this day."""
    return any(
        line.name == preserve and line.fix is not None and 0 <= (period.first_day - line.day).days < line.days
        for line in tally.household.plan_lines
    )


def still_allowed(tally: Tally, preserve: Preserve) -> float:
    """Return the whole containers that a target has room for and others use, at least one."""
    target, taken = group_of(tally, preserve.name), sum(tally.taken[preserve.name])
    room = 0.0 if target is None else room_of(tally, target) / target.counts[preserve.name]
    return max(1.0, math.floor(room + taken + ROUNDING))


def crop_can_give(tally: Tally, preserve: Preserve, period: Period) -> float:
    """Return the whole containers that the crop on a day could fill if nothing else used it, at least one."""
    most = math.inf
    for crop in {line.item for line in preserve.ingredients if line.source == "crop"}:
        each = preserve.crop_kg_each(crop)
        there = crop_there(tally, crop, period)
        if any(line.from_frozen for line in preserve.ingredients if line.source == "crop" and line.item == crop):
            there += frozen_before(tally, crop)
        most = min(most, whole(there / each) if each > 0 else math.inf)
    return max(1.0, most)


def crop_there(tally: Tally, crop: str, period: Period) -> float:
    """Return the kg of a crop picked so far that are sound on a day, less what was eaten."""
    keeps, today = tally.crops[crop].days_after_picking, period.first_day.toordinal()
    lots = [lot for lot in tally.fresh_lots(crop) if tally.entered(lot, period)]
    there = sum(lot.kg for lot in lots if lot.picked_on.toordinal() + keeps >= today)
    return max(0.0, there - sum(eaten_kg(tally, crop)[: period.number + 1]))


def whole(most: float) -> float:
    """
    Return the whole containers in a number, `inf` where nothing limits it.

    >>> whole(2.9), whole(math.inf)
    (2, inf)
    """
    return math.floor(most + ROUNDING) if math.isfinite(most) else math.inf


def containers_can_give(tally: Tally, preserve: Preserve) -> float:
    """Return the containers on hand, bought or returned in the whole plan, and no more than have lids."""
    container = tally.containers[preserve.container]
    days = (tally.last_day - tally.periods[0].first_day).days + 1
    most = container.on_hand + container.can_buy + math.ceil(container.back_each_week * days / 7)
    for lid in tally.household.lids:
        if lid.name == container.lid:
            most = min(most, lid.on_hand + lid.can_buy)
    return whole(most)


def smallest_freeze(tally: Tally) -> Iterator[str]:
    """
    Check that on a detailed day a crop is frozen whole for 4 lb or more, or for all there is.

    It does not apply to fixed lines and to what they take from frozen.
    """
    exempt = tied_to_fixed_lines(tally)
    for (name, number), kg in sorted(tally.plan.freeze_kg.items()):
        period = tally.periods[number]
        if not period.single or not more(kg, 0.0) or name in exempt or fixed_on(tally, FREEZE_WHOLE + name, period):
            continue
        least = min(SMALLEST_FREEZE_KG, crop_there(tally, name, period))
        if more(least, kg):
            few = f"{format_weight(kg, 1)} of {name} are frozen whole, less than {format_weight(least, 1)}"
            yield f"{when(period)}: {few}"
