"""Audits of hours and pots: loads, labor, stove and equipment, and what is in a pot before it boils down."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator

from stillroom.household.audit.tally import TOLERANCE, Tally, more, said, when
from stillroom.household.audit.targets import asked_for
from stillroom.household.checks import is_container, size_and_kind
from stillroom.household.load_steps import heated_hours, hours_in_piece
from stillroom.household.plan import Period, Plan
from stillroom.household.records import FREEZE_WHOLE, STOVE_FREE, THAW, Equipment, Household, Preserve
from stillroom.household.text import format_fixed
from stillroom.household.units import find_unit

FULL_POT = 0.005
"""How far a starting volume may be above the pot's, since the weight of crop a jar is typed in few figures."""


def too_full(tally: Tally, preserve: Preserve, period: Period, amount: float, loads: float) -> Iterator[str]:
    """Check that so many containers, before they boil down, go into the pots of so many loads."""
    needed = amount * litres_before_boiling_down(tally.household, preserve)
    for piece, litres in pot_litres(tally.household, preserve):
        if more(needed, loads * litres * (1 + FULL_POT)):
            text = f"{said(needed)} L of {preserve.name} do not go into {piece}, which takes {said(loads * litres)} L"
            yield f"{when(period)}: {text}"


def litres_before_boiling_down(household: Household, preserve: Preserve) -> float:
    """Return the liters of one container before it boils down, 0 where the room of an ingredient is not known."""
    rooms = {crop.name: crop.pot_litres_per_kg for crop in household.crops}
    pantry = {item.name: item for item in household.pantry}
    jars = {container.name: container.holds_litres for container in household.containers}
    held = {item.name: jars.get(item.container) for item in household.preserves}
    total = 0.0
    for line in preserve.ingredients:
        each: float | None = 1.0
        if line.source == "pantry":
            item = pantry.get(line.item)
            if item is None or item.into_jars:
                continue
            each = 1.0 if item.base_unit == "litre" else (line.litres_each or 0.0) / (line.amount_each or 1.0)
        else:
            each = (rooms if line.source == "crop" else held).get(line.item)
        if each is None and line.amount_each > 0:
            return 0.0
        total += line.amount_each * (each or 0.0)
    return max(total, jars.get(preserve.container) or 0.0)


def pot_litres(household: Household, preserve: Preserve) -> Iterator[tuple[str, float]]:
    """
    Yield the pots of a preserve with the liters that one load may begin with, of all the pots that share it.

    A load typed as a weight limits no liters. Of several pots one burner stays free for the canner.
    """
    for name in dict.fromkeys(preserve.equipment):
        piece = household.equipment_named(name)
        canned = preserve.method.endswith("canned") and name != preserve.equipment[-1]
        if piece.kind != "kettle" and not canned:
            continue
        jar, litres = household.container(preserve.container), []
        for load in piece.loads:
            unit, sized = find_unit(load.unit), size_and_kind(load.unit)
            if is_container(load.unit, jar):
                litres.append(load.number * (jar.holds_litres or math.inf))
            elif unit is not None:
                litres.append(load.number * unit.factor if unit.measures == "volume" else math.inf)
            elif sized is not None:
                litres.append(load.number * sized[0])
        alone = len(preserve.equipment) != 2 or name == preserve.equipment[1]
        pots = 1 if alone else max(1, min(piece.how_many, math.floor(household.kitchen.burners) - 1))
        yield name, pots * max(litres, default=math.inf)


# Audits of loads: full loads, whole things whole.


def loads_said(number: float) -> str:
    """
    Return loads in a sentence.

    >>> loads_said(1.0), loads_said(2.5)
    ('1 load', '2.5 loads')
    """
    return "1 load" if number == 1 else f"{said(number)} loads"


def whole_loads(tally: Tally) -> Iterator[str]:
    """Check that what is made goes into the loads planned for it, make <= load x loads, and into their pots."""
    for preserve, period, amount in tally.makes:
        if preserve.load is not None:
            loads = tally.plan.loads.get((preserve.name, period.number), 0.0)
            if more(amount, preserve.load * loads):
                text = f"{said(amount)} of {preserve.name} do not fit in {loads_said(loads)} of {preserve.load}"
                yield f"{when(period)}: {text}"
            yield from too_full(tally, preserve, period, amount, loads)


def whole_numbers(tally: Tally) -> Iterator[str]:
    """Check that containers and loads are whole on detailed days, and that every amount is finite and at least 0."""
    for amounts, what in ((tally.plan.make, "containers"), (tally.plan.loads, "loads")):
        for (name, number), amount in sorted(amounts.items()):
            period = tally.periods[number]
            if period.single and math.isfinite(amount) and abs(amount - round(amount)) > TOLERANCE:
                yield f"{when(period)}: {said(amount)} {what} of {name} are not whole"
    plan = tally.plan
    by_period = (plan.make, plan.loads, plan.fresh_kg, plan.frozen_kg, plan.freeze_kg, plan.thaw_kg, plan.spoil_kg)
    for amounts in (*by_period, plan.surplus_kg, plan.bands):
        for (name, number), amount in sorted(amounts.items()):
            if not math.isfinite(amount) or amount < -TOLERANCE:
                yield f"An amount of {name} is {amount} in {number}, which cannot be"


def hours_of_row(tally: Tally, what: str, period: Period) -> float | None:
    """Return the hours of a row in a period: the weekday's on a detailed day; None without a row."""
    row = tally.hours.get(what.casefold())
    if row is None:
        return None
    return row.by_weekday[period.first_day.weekday()] if period.single else row.each_later_week


def a_container_each(preserve: Preserve, minutes_each: float, minutes_load: float) -> float:
    """Return the hours of one container; without equipment the minutes a load are spread over a batch."""
    spread = minutes_load / preserve.smallest_batch if preserve.load is None else 0.0
    return (minutes_each + spread) / 60


def hands_in(tally: Tally) -> list[float]:
    """Return the labor in each period: of containers, loads, and crop frozen whole."""
    sums = [0.0] * len(tally.periods)
    for preserve, period, amount in tally.makes:
        loads = 0.0 if preserve.load is None else tally.plan.loads.get((preserve.name, period.number), 0.0)
        each = a_container_each(preserve, preserve.hands_minutes_each, preserve.hands_minutes_load)
        sums[period.number] += each * amount + preserve.hands_minutes_load / 60 * loads
    for (crop, number), kg in tally.plan.freeze_kg.items():
        sums[number] += tally.crops[crop].freeze_hours_per_kg * kg
    return sums


def of_fixed_lines(tally: Tally) -> Plan:
    """Return the fixed lines alone as a plan; a line of several periods stands in each of them in full."""
    make: dict[tuple[str, int], float] = defaultdict(float)
    freeze: dict[tuple[str, int], float] = defaultdict(float)
    for name, (days, _, typed) in asked_for(tally):
        for period in days:
            if name.startswith(FREEZE_WHOLE):
                freeze[name.removeprefix(FREEZE_WHOLE), period.number] += sum(typed)
            elif not name.startswith(THAW):
                make[name, period.number] += sum(typed)
    loads = {}
    for key, amount in make.items():
        load = tally.preserves[key[0]].load
        if load is not None:
            share = amount / load
            loads[key] = float(math.ceil(share - TOLERANCE)) if tally.periods[key[1]].single else share
    return Plan(tally.plan.periods, make, loads, freeze_kg=freeze)


def without_free(tally: Tally, there: float, fixed: float) -> float:
    """Return hours without the share that is kept free; fixed lines may use all of them."""
    return max(there * (1 - tally.household.kitchen.kept_free), min(there, fixed))


def hands_to_plan(tally: Tally, period: Period) -> float | None:
    """Return the hands-on hours of a period without the share kept free; None without a row."""
    there = hours_of_row(tally, "hands", period)
    if there is None or not tally.household.kitchen.kept_free:
        return there
    return without_free(tally, there, hands_in(Tally(tally.household, of_fixed_lines(tally)))[period.number])


def stove_to_plan(tally: Tally, period: Period) -> float | None:
    """Return the burner-hours of a period without the share kept free; None without a row."""
    free = hours_of_row(tally, STOVE_FREE, period)
    if free is None:
        return None
    there = free * tally.household.kitchen.burners
    if not tally.household.kitchen.kept_free:
        return there
    return without_free(tally, there, stove_in(Tally(tally.household, of_fixed_lines(tally)))[period.number])


def piece_to_plan(tally: Tally, piece: Equipment, period: Period) -> float:
    """Return the hours that a piece of equipment may be planned for, without the share kept free of the stove's."""
    there = hours_there(tally, piece, period)
    if not tally.household.kitchen.kept_free or not runs_with_the_stove(tally, piece, period):
        return there
    alone = in_equipment(Tally(tally.household, of_fixed_lines(tally)))
    return without_free(
        tally, there, sum(hours for _, one, covered, _, hours in alone if one == piece and covered == period)
    )


def kept_free_said(tally: Tally) -> str:
    """Return the share of hours kept free, for the end of a sentence; nothing without one."""
    share = tally.household.kitchen.kept_free
    return f", with {said(100 * share)}% of them kept free" if share else ""


def hands_hours(tally: Tally) -> Iterator[str]:
    """Check that the labor in a period is within its hands-on hours, without the share that is kept free."""
    for period, needed in zip(tally.periods, hands_in(tally), strict=True):
        there, most = hours_of_row(tally, "hands", period), hands_to_plan(tally, period)
        if there is not None and most is not None and more(needed, most):
            available = f"{said(there)} h are available{kept_free_said(tally)}"
            yield f"{when(period)}: {format_fixed(needed, 2)} h of labor are needed, but {available}"


def overlap(tally: Tally, start: Period, hours: float, overnight: bool) -> Iterator[tuple[Period, float]]:
    """
    Yield the hours that a job begun in a period takes from each period.

    A job over 24 hours, or one that runs overnight, begins with the period's first day and runs on; another takes all
    its hours in the period it begins in.
    """
    if not (overnight or hours > 24) or hours <= 24 * start.days:
        yield start, hours
        return
    left = hours
    for period in tally.periods[start.number :]:
        taken = min(left, 24.0 * period.days)
        if taken <= 0:
            return
        yield period, taken
        left -= taken


def stove_in(tally: Tally) -> list[float]:
    """Return the burner-hours in each period."""
    sums = [0.0] * len(tally.periods)
    for preserve, period, amount in tally.makes:
        loads = 0.0 if preserve.load is None else tally.plan.loads.get((preserve.name, period.number), 0.0)
        each = a_container_each(preserve, preserve.stove_minutes_each, preserve.stove_minutes_load)
        sums[period.number] += each * amount + preserve.stove_minutes_load / 60 * loads
        if preserve.equipment:
            last = tally.equipment[preserve.equipment[-1]]
            for covered, hours in overlap(tally, period, heated_hours(preserve, last), last.runs_overnight):
                sums[covered.number] += last.burners * hours * loads
    return sums


def stove_hours(tally: Tally) -> Iterator[str]:
    """Check that the burner-hours in a period are within the hours the stove is free, times its burners."""
    burners = tally.household.kitchen.burners
    for period, needed in zip(tally.periods, stove_in(tally), strict=True):
        free, most = hours_of_row(tally, STOVE_FREE, period), stove_to_plan(tally, period)
        if free is not None and most is not None and more(needed, most):
            there = f"the stove is free for {said(free)} h with {said(burners)} burners{kept_free_said(tally)}"
            yield f"{when(period)}: {format_fixed(needed, 2)} burner-hours are needed, but {there}"


def hours_there(tally: Tally, piece: Equipment, period: Period) -> float:
    """
    Return the hours all pieces of an equipment may run in a period.

    By its own row; else day and night if it runs overnight or the stove has no row; else while the stove is free. Days
    before it is free do not count.
    """
    own, stove = hours_of_row(tally, piece.name, period), hours_of_row(tally, STOVE_FREE, period)
    if own is not None:
        hours = own
    elif piece.runs_overnight or stove is None:
        hours = 24.0 * period.days
    else:
        hours = stove
    days = period.days
    if piece.free_from is not None:
        days -= min(period.days, max(0, (piece.free_from - period.first_day).days))
    return hours * piece.how_many * days / period.days


def jobs(household: Household, preserve: Preserve) -> Iterator[tuple[Equipment, float]]:
    """Yield the equipment of one load, with its hours in each."""
    pieces = [household.equipment_named(name) for name in preserve.equipment]
    for piece in pieces[:-1]:
        yield piece, preserve.stove_minutes_load / 60
    if pieces:
        yield pieces[-1], hours_in_piece(preserve, pieces[-1])


def equipment_hours(tally: Tally) -> Iterator[str]:
    """Check that the loads in each piece of equipment fit in the hours it may run, in every period they cover."""
    needed: dict[tuple[str, int], float] = defaultdict(float)
    words: dict[tuple[str, int], list[str]] = defaultdict(list)
    for name, piece, covered, loads, hours in in_equipment(tally):
        needed[piece.name, covered.number] += hours
        words[piece.name, covered.number].append(f"{loads_said(loads)} of {name}")
    for (equipment, number), hours in sorted(needed.items()):
        period, piece = tally.periods[number], tally.equipment[equipment]
        there = piece_to_plan(tally, piece, period)
        kept = kept_free_said(tally) if runs_with_the_stove(tally, piece, period) else ""
        if more(hours, there) and not math.isinf(there):
            listed = ", ".join(words[equipment, number])
            free = f"but only {said(there)} h are free{kept}"
            yield f"{when(period)}: the {equipment} is needed for {format_fixed(hours, 2)} h ({listed}), {free}"


def in_equipment(tally: Tally) -> Iterator[tuple[str, Equipment, Period, float, float]]:
    """Yield what holds a piece of equipment: the preserve, the piece, the period, its loads, and their hours in it."""
    for (name, number), loads in sorted(tally.plan.loads.items()):
        for piece, hours in jobs(tally.household, tally.preserves[name]):
            for covered, taken in overlap(tally, tally.periods[number], hours, piece.runs_overnight):
                yield name, piece, covered, loads, taken * loads


def runs_with_the_stove(tally: Tally, piece: Equipment, period: Period) -> bool:
    """Return whether a piece has the hours in which the stove is free: no row of its own, and not overnight."""
    own, stove = hours_of_row(tally, piece.name, period), hours_of_row(tally, STOVE_FREE, period)
    return own is None and stove is not None and not piece.runs_overnight


def most_preserves(tally: Tally) -> Iterator[str]:
    """Check that no more is begun on a detailed day than wanted, crop frozen whole included, or than is fixed on it."""
    most = tally.household.kitchen.most_preserves_a_day
    fixed = of_fixed_lines(tally)
    for period in tally.periods if math.isfinite(most) else ():
        begun, asked = (
            [
                start + name
                for start, amounts in (("", plan.make), (FREEZE_WHOLE, plan.freeze_kg))
                for (name, number), amount in sorted(amounts.items())
                if number == period.number and amount > TOLERANCE
            ]
            for plan in (tally.plan, fixed)
        )
        if period.single and len(begun) > max(most, len(asked)):
            yield f"{when(period)}: {len(begun)} preserves are begun ({', '.join(begun)}), but {said(most)} is the most"
