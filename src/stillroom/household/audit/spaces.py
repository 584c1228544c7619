"""Audits of the spaces: freezer, a day's freezing, refrigerator, shelf and cellar."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.household.audit.crops import frozen_before
from stillroom.household.audit.tally import Tally, more, when
from stillroom.household.periods import Period


def litres_kept(tally: Tally, place: str, period: Period) -> float:
    """Litres that the plan has added to a place by the end of a period; what is used as an ingredient makes room."""
    return sum(
        preserve.space_litres_each * tally.kept(preserve.name, period.number)
        for preserve in tally.household.preserves
        if preserve.kept_in == place
    )


def space(tally: Tally, place: str, free: float) -> Iterator[str]:
    """What is added to a place fits in its free space at the end of every period."""
    for period in tally.periods:
        litres = litres_kept(tally, place, period)
        if more(litres, free):
            yield f"{when(period)}: the {place} takes {litres:.1f} L more, but only {free:.1f} L are free"


def freezer_space(tally: Tally) -> Iterator[str]:
    """
    Frozen preserves and crop frozen whole fit in the freezer at the end of every period.

    The free space is that of the first day, so lots frozen before take none of it and give some back once taken out.
    """
    free = tally.household.kitchen.freezer_free_litres
    for period in tally.periods:
        litres = litres_kept(tally, "freezer", period)
        for name, crop in tally.crops.items():
            held = tally.plan.frozen_kg.get((name, period.number), 0.0)
            litres += crop.freezer_litres_per_kg * (held - frozen_before(tally, name))
        if more(litres, free):
            yield f"{when(period)}: the freezer takes {litres:.1f} L more, but only {free:.1f} L are free"


def freezing_per_day(tally: Tally) -> Iterator[str]:
    """Crop frozen whole, and crop in preserves for the freezer, weigh no more than a day's freezing times the days."""
    fresh = [0.0] * len(tally.periods)
    for (_, number), kg in tally.plan.freeze_kg.items():
        fresh[number] += kg
    for preserve, period, amount in tally.makes:
        if preserve.kept_in == "freezer":
            each = sum(line.amount_each for line in preserve.ingredients if line.source == "crop")
            fresh[period.number] += each * amount
    for period, kg in zip(tally.periods, fresh, strict=True):
        allowed = tally.household.kitchen.freeze_kg_a_day * period.days
        if more(kg, allowed):
            yield f"{when(period)}: {kg:.1f} kg are frozen, but the freezer takes {allowed:.1f} kg"


def refrigerator_space(tally: Tally) -> Iterator[str]:
    """What is kept in the refrigerator fits in it."""
    return space(tally, "refrigerator", tally.household.kitchen.refrigerator_free_litres)


def shelf_space(tally: Tally) -> Iterator[str]:
    """What is kept on the shelf fits on it."""
    return space(tally, "shelf", tally.household.kitchen.shelf_free_litres)


def cellar_space(tally: Tally) -> Iterator[str]:
    """What is kept in the cellar fits in it."""
    return space(tally, "cellar", tally.household.kitchen.cellar_free_litres)
