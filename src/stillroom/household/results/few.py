"""Why a session is small, and where a smallest batch that was typed keeps crop out of a target that is short."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from stillroom.household.audit.sessions import (
    SMALLEST_FREEZE_KG,
    day_can_give,
    fixed_on,
    still_allowed,
    tied_to_fixed_lines,
)
from stillroom.household.audit.tally import Tally
from stillroom.household.audit.targets import group_of
from stillroom.household.plan import Period
from stillroom.household.records import FREEZE_WHOLE, Crop, Preserve
from stillroom.household.results.rows import Row, in_crop_unit
from stillroom.household.results.shortages import crop_left_over
from stillroom.household.results.sums import ALMOST, Sums
from stillroom.household.text import format_amount, format_crop, format_long_date, plural

SMALL = "a small batch: "
REASONS = {
    "others": "no more is needed",
    "list": "all the list has room for",
    "crop": "all the crop there is",
    "containers": "all the {containers} there are",
}


def few_words(sums: Sums, item: Preserve, period: Period, make: float) -> str:
    """Return why a day's session, or its last load, is small; empty where it is not, or its line is fixed."""
    few = make < item.fewest - ALMOST
    if item.load is not None:
        last = make - item.load * (math.ceil(make / item.load - ALMOST) - 1)
        few = few or last < min(item.fewest, math.ceil(item.load / 2)) - ALMOST
    tally = Tally(sums.household, sums.plan)
    if not few or not period.single or fixed_on(tally, item.name, period):
        return ""
    if group_of(tally, item.name) is None or item.name in tied_to_fixed_lines(tally):
        return SMALL + REASONS["others"]
    most = {"list": still_allowed(tally, item)} | day_can_give(tally, item, period)
    return SMALL + REASONS[min(most, key=most.__getitem__)].format(containers=plural(2, item.container))


def few_frozen_words(sums: Sums, crop: Crop, period: Period, kg: float) -> str:
    """Return why little of a crop is frozen whole on a day; empty where it is enough, or its line is fixed."""
    tally = Tally(sums.household, sums.plan)
    if not period.single or kg >= SMALLEST_FREEZE_KG - ALMOST or fixed_on(tally, FREEZE_WHOLE + crop.name, period):
        return ""
    if crop.name in tied_to_fixed_lines(tally):
        return SMALL + REASONS["others"]
    return SMALL + REASONS["crop"]


def batch_rows(sums: Sums, coverage: Sequence[Row]) -> Iterator[tuple[str, str, str]]:
    """
    Yield messages (where, what, what to do) for smallest batches, as typed, that cost a target.

    One for each preserve of a target that is short, where crop is left over on a day planned in detail and would
    give less than the batch.
    """
    short = {str(row["Target"]) for row in coverage if float(str(row["Short"] or 0)) > ALMOST}
    wanted = {name for target in sums.household.targets if target.name in short for name in target.counts}
    tally = Tally(sums.household, sums.plan)
    for item in sums.household.preserves:
        left = crop_left_over(sums, item) if item.batch_typed and item.include and item.name in wanted else None
        if left is None or not sums.periods[left[1]].single:
            continue
        crop, period = sums.crop_named[left[0]], sums.periods[left[1]]
        kg = sums.plan.surplus_kg[left[0], left[1]]
        given = day_can_give(tally, item, period) | {"crop": math.floor(kg / item.crop_kg_each(crop.name) + ALMOST)}
        few = min(given.values())
        if 1 <= few < item.smallest_batch and (item.name, period.number) not in sums.plan.make:
            left_over = f"{format_crop(in_crop_unit(kg, crop), crop)} left over on {format_long_date(period.first_day)}"
            what = f"{left_over} would give {format_amount(few)} of {item.name}"
            remedy = "If you want them made, type fewer under Smallest batch, or leave it blank."
            yield item.where, f"{what}, fewer than its smallest batch of {item.smallest_batch}.", remedy
