"""Audits of crops: balance, keeping time, crop frozen whole and thawed."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.household.audit.tally import Tally, differs, more, when
from stillroom.household.plan import Period
from stillroom.household.text import format_weight


def eaten_kg(tally: Tally, crop: str) -> list[float]:
    """
    Return the kg of a crop eaten fresh in each period.

    The week's amount by days, from the oldest lots that keep, at most what there is; before anything is put up.
    """
    record = tally.crops[crop]
    lots = tally.fresh_lots(crop)
    left = [lot.kg for lot in lots]
    eaten = []
    for period in tally.periods:
        wish = wanted = record.eaten_kg_a_week * period.days / 7
        for place, lot in enumerate(lots):
            sound = lot.picked_on.toordinal() + record.days_after_picking >= period.first_day.toordinal()
            if sound and tally.entered(lot, period):
                bite = min(wanted, left[place])
                left[place] -= bite
                wanted -= bite
        eaten.append(wish - wanted)
    return eaten


def harvest_kg(tally: Tally, crop: str, period: Period) -> float:
    """Return the kg of a crop picked in a period; what was picked before the plan counts in the first."""
    return sum(
        lot.kg
        for lot in tally.fresh_lots(crop)
        if tally.entered(lot, period) and (period.number == 0 or lot.picked_on >= period.first_day)
    )


def crop_balance(tally: Tally) -> Iterator[str]:
    """
    Check that every kilogram is accounted for in every period.

    fresh before + harvest + thawed = eaten + used + frozen whole + surplus + fresh after
    """
    plan = tally.plan
    for crop in tally.crops:
        eaten = eaten_kg(tally, crop)
        for period in tally.periods:
            key, before = (crop, period.number), (crop, period.number - 1)
            come = plan.fresh_kg.get(before, 0.0) + harvest_kg(tally, crop, period) + plan.thaw_kg.get(key, 0.0)
            go = eaten[period.number] + tally.used_kg[crop][period.number]
            go += plan.freeze_kg.get(key, 0.0) + plan.surplus_kg.get(key, 0.0) + plan.fresh_kg.get(key, 0.0)
            if differs(come, go):
                yield f"{when(period)}, {crop}: {format_weight(come, 1)} come in, but {format_weight(go, 1)} go out"


def keeping_time(tally: Tally) -> Iterator[str]:
    """
    Check that nothing fresh is kept past its keeping time, the oldest lots going first.

    fresh after <= lots picked so far with picked + keeps days > last day of the period

    Part of a day is not a day more: what keeps half a day is not carried past the day it was picked.
    """
    for (crop, number), held in sorted(tally.plan.fresh_kg.items()):
        period, keeps = tally.periods[number], tally.crops[crop].days_after_picking
        may_be_carried = sum(
            lot.kg
            for lot in tally.fresh_lots(crop)
            if tally.entered(lot, period) and lot.picked_on.toordinal() + keeps > period.last_day.toordinal()
        )
        if more(held, may_be_carried):
            kept = f"but only {format_weight(may_be_carried, 1)} keep so long"
            yield f"{when(period)}: {format_weight(held, 1)} of {crop} are carried over, {kept}"


def frozen_before(tally: Tally, crop: str) -> float:
    """Return the kg of a crop frozen whole before the plan begins."""
    return sum(lot.kg for lot in tally.household.lots if lot.crop == crop and lot.frozen_on is not None)


def frozen_balance(tally: Tally) -> Iterator[str]:
    """
    Check that what is frozen whole is what was before, plus what was frozen, less thawed or spoiled.

    Only crop that may be frozen whole is.
    """
    plan = tally.plan
    for name, crop in tally.crops.items():
        held = frozen_before(tally, name)
        for period in tally.periods:
            key = (name, period.number)
            freeze = plan.freeze_kg.get(key, 0.0)
            held += freeze - plan.thaw_kg.get(key, 0.0) - plan.spoil_kg.get(key, 0.0)
            stated = plan.frozen_kg.get(key, 0.0)
            if differs(held, stated):
                total = f"but it adds up to {format_weight(held, 1)}"
                yield f"{when(period)}, {name}: {format_weight(stated, 1)} are stated as frozen, {total}"
            held = stated
            if more(freeze, 0.0) and not crop.may_be_frozen_whole:
                yield f"{when(period)}: {format_weight(freeze, 1)} of {name} are frozen whole, which it may not be"


def thaw_after_freezing(tally: Tally) -> Iterator[str]:
    """Check that what is thawed or goes past its date in a period was frozen before it, for a day before its eve."""
    for crop, number in sorted({*tally.plan.thaw_kg, *tally.plan.spoil_kg}):
        kg = tally.plan.thaw_kg.get((crop, number), 0.0) + tally.plan.spoil_kg.get((crop, number), 0.0)
        held = tally.plan.frozen_kg.get((crop, number - 1), 0.0) if number else frozen_before(tally, crop)
        if tally.periods[number].single:
            held -= tally.plan.freeze_kg.get((crop, number - 1), 0.0)
        if more(kg, held):
            there = f"only {format_weight(held, 1)} were frozen before"
            gone = f"{format_weight(kg, 1)} of {crop} are taken out or past their date, but {there}"
            yield f"{when(tally.periods[number])}: {gone}"


def frozen_due_date(tally: Tally) -> Iterator[str]:
    """
    Check that what is held frozen whole can still be cooked in the next period before it is due.

    frozen after <= lots and freezings whose date + keeps weeks >= last day of the next period (the last: its own)
    """
    for (crop, number), held in sorted(tally.plan.frozen_kg.items()):
        following = tally.periods[min(number + 1, len(tally.periods) - 1)]
        oldest = following.last_day.toordinal() - tally.crops[crop].frozen_keeps_weeks * 7
        lots = [lot for lot in tally.household.lots if lot.crop == crop and lot.frozen_on is not None]
        good = sum(lot.kg for lot in lots if lot.frozen_on is not None and lot.frozen_on.toordinal() >= oldest)
        good += sum(
            tally.plan.freeze_kg.get((crop, period.number), 0.0)
            for period in tally.periods[: number + 1]
            if period.first_day.toordinal() >= oldest
        )
        if more(held, good):
            period = tally.periods[number]
            yield (
                f"{when(period)}: {format_weight(held, 1)} of {crop} stay frozen, but only {format_weight(good, 1)} "
                "are not "
                "yet due"
            )


def thawed_crop_use(tally: Tally) -> Iterator[str]:
    """Check that crop taken out of the freezer goes only into ingredient lines that allow it."""
    for (crop, number), kg in sorted(tally.plan.thaw_kg.items()):
        room = sum(
            line.amount_each * amount
            for preserve, period, amount in tally.makes
            if period.number == number
            for line in preserve.ingredients
            if line.source == "crop" and line.item == crop and line.from_frozen
        )
        if more(kg, room):
            place = when(tally.periods[number])
            takes = f"but what may be made from frozen takes only {format_weight(room, 1)}"
            yield f"{place}: {format_weight(kg, 1)} of {crop} are taken out, {takes}"
