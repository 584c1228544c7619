"""The audit of pots: what is in them before it boils down, counted in liters from the rows of Equipment."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stillroom.household.audit.tally import Tally, more, said, when
from stillroom.household.checks import is_container, size_and_kind
from stillroom.household.plan import Period
from stillroom.household.records import Household, Preserve
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
