"""How many months preserves keep, by the line and the published limits, and the best-by dates that follow."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from stillroom.errors import Problem
from stillroom.handbook.foods import kinds, kinds_named
from stillroom.handbook.lines import Line
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.not_canned import lines_by, own_ferment_lines
from stillroom.handbook.tables import table
from stillroom.household.plan import best_by
from stillroom.household.records import Crop, Household, Lot, Preserve, ShelfRow

CANNED_MONTHS = 12.0
"""Months of an own canned recipe: NC State Extension FAQ."""

COLD = ("fermented", "refrigerated")
DAYS_A_MONTH = 365.25 / 12
WEEKS_A_MONTH = DAYS_A_MONTH / 7

IN_REFRIGERATOR = "leftovers and cooked food in the refrigerator"
IN_OIL = "vegetables and herbs in oil in the refrigerator"
IN_OIL_FROZEN = "garlic in oil in the freezer"
DRIED = "any other vegetable when dried"
DISH_FROZEN = "leftovers and dishes in the freezer"
FROZEN_GROUPS = {
    "fruit": "any other fruit or vegetable in the freezer",
    "vegetable": "any other fruit or vegetable in the freezer",
    "poultry": "any other poultry in the freezer",
    "fish and seafood": "any other fish in the freezer",
    "cured meat": "cured meat in the freezer",
}
"""The key of the published months of a food, or a group of foods, that has no frozen row of its own."""


SEASONING = frozenset({"garlic", "ginger root"})
"""Foods whose own short months do not count where other food is with them."""


@dataclass(frozen=True)
class Keeping:
    """How long something keeps: the usual months, the most that is published, and its source."""

    usual: float | None
    most: float | None
    source: str


def months(case: Case) -> tuple[float | None, tuple[Problem, ...]]:
    """Return the months a preserve keeps: as typed, or from the table when blank, never above the table's limit."""
    found = _published(case)
    typed = case.preserve.keeps_months
    if typed is None:
        return found.usual, ()
    if found.most is None or typed <= found.most:
        return typed, ()
    names = (format_months(typed), format_months(found.most), f"{math.floor(found.most * 100) / 100:g}", found.source)
    return found.most, (case.problem("longer than it keeps", *names),)


def _published(case: Case) -> Keeping:
    """Return how long a preserve keeps: by its line, or the shortest of what is published for its foods."""
    line, method = case.line, case.preserve.method
    if method == "refrigerated" and case.preserve.kept_in != "freezer" and _under_oil(case):
        return _fact(IN_OIL)
    if line is not None and (line.canned or line.method == "frozen" or case.preserve.kept_in != "freezer"):
        return Keeping(line.keeps_months, line.keeps_months_most, line.source)
    if case.canned:
        return Keeping(CANNED_MONTHS, CANNED_MONTHS, "NC State Extension FAQ")
    if method == "frozen" or case.preserve.kept_in == "freezer":
        return _frozen(case)
    if method == "fermented":
        return _shortest(line for line in own_ferment_lines(case)) or _fact(IN_REFRIGERATOR)
    if method == "dried":
        return _shortest(line for line in lines_by("dried") if line.foods & case.foods) or _fact(DRIED)
    if method == "root cellar":
        return _shortest(line for line in lines_by("root cellar") if line.foods & case.foods) or _fact(IN_REFRIGERATOR)
    return _refrigerated(case)


def _shortest(found: Iterable[Line]) -> Keeping | None:
    """Return the shortest keeping of some lines, by the most months of each; None where there is none."""
    known = [line for line in found if line.keeps_months_most is not None]
    if not known:
        return None
    line = min(known, key=lambda one: one.keeps_months_most or 0.0)
    return Keeping(line.keeps_months_most, line.keeps_months_most, line.source)


def _fact(key: str) -> Keeping:
    """Return a published figure in months: the low end of its range, the most that is counted on."""
    row = next(row for row in table("facts") if row["key"] == key)
    low = float(row["value"].split("-")[0])
    count = low / DAYS_A_MONTH if row["unit"] == "days" else low
    return Keeping(count, count, row["source"])


def _refrigerated(case: Case) -> Keeping:
    """
    Return the limit of an own refrigerated preserve: days, unless its Handbook line says more.

    One food by itself keeps no longer than its published row.
    """
    days = _fact(IN_REFRIGERATOR)
    rows = [line for line in lines_by("refrigerated") if line.foods & case.foods] if len(case.parts) == 1 else []
    return min([days, *filter(None, [_shortest(rows)])], key=lambda one: one.most or 0.0)


def _under_oil(case: Case) -> bool:
    """Return whether low-acid food or an unknown item is packed in oil."""
    oily = any("oil and fat" in part.kinds for part in case.parts)
    return oily and any(part in case.low_acid and part.kinds != {"oil and fat"} for part in case.parts)


def _frozen(case: Case) -> Keeping:
    """Return the limit of an own frozen preserve: the shortest published for its foods, and that of dishes for one."""
    if _under_oil(case):
        return _fact(IN_OIL_FROZEN)
    found = [frozen_food(kind) for kind in sorted(case.foods - SEASONING or case.foods)]
    plain = all(kinds()[kind].group in ("fruit", "vegetable") for kind in case.foods)
    if not found or any(part.unknown for part in case.parts) or (len(case.foods) > 1 and not plain):
        found.append(_fact(DISH_FROZEN))
    return min(found, key=lambda one: one.most or 0.0)


def frozen_food(kind: str) -> Keeping:
    """Return how long one food keeps in the freezer: the shortest of its rows, or the figure of its group."""
    own = _shortest(line for line in lines_by("frozen") if kind in line.foods)
    group = next((name for name in (kind, kinds()[kind].kept_as, kinds()[kind].group) if name in FROZEN_GROUPS), None)
    return own or _fact(FROZEN_GROUPS[group] if group else DISH_FROZEN)


def frozen_whole(crop: Crop) -> Keeping:
    """Return how long a crop keeps frozen whole: the shortest of the foods its name may mean."""
    foods = kinds_named((crop.handbook_food or "").strip() or crop.name)
    found = min((frozen_food(kind) for kind in sorted(foods)), key=lambda one: one.most or 0.0, default=None)
    return found or _fact(DISH_FROZEN)


def frozen_lots(household: Household) -> tuple[tuple[Lot, ...], tuple[Problem, ...]]:
    """Return the lots without those that lie in the freezer longer than published, and a problem for each of them."""
    first_day, crops = household.kitchen.first_day, {crop.name: crop for crop in household.crops}
    kept: list[Lot] = []
    problems: list[Problem] = []
    for lot in household.lots:
        found = frozen_whole(crops[lot.crop]) if lot.frozen_on is not None and lot.crop in crops else None
        if found is None or lot.frozen_on is None or best_by(lot.frozen_on, found.most or 0.0) >= first_day:
            kept.append(lot)
            continue
        names = (lot.crop, str(lot.frozen_on), format_months(found.most or 0.0), found.source)
        problems.append(Problem(lot.where, "longer than it keeps: frozen lot", names))
    return tuple(kept), tuple(problems)


def frozen_crop(crop: Crop) -> tuple[Crop, tuple[Problem, ...]]:
    """Return a crop with the weeks it keeps frozen whole, never above the months published for its food."""
    found = frozen_whole(crop)
    weeks = math.floor((found.most or 0.0) * WEEKS_A_MONTH * 10) / 10
    if crop.frozen_keeps_weeks <= weeks:
        return crop, ()
    if not crop.may_be_frozen_whole:
        return replace(crop, frozen_keeps_weeks=weeks), ()
    names = (crop.name, f"{crop.frozen_keeps_weeks:g}", format_months(found.most or 0.0), f"{weeks:g}", found.source)
    problem = Problem(crop.where, "longer than it keeps: frozen crop", names, field="Frozen keeps weeks")
    return replace(crop, frozen_keeps_weeks=weeks), (problem,)


def format_months(months: float) -> str:
    """
    Return a time in months, or in days when it is under a month.

    >>> format_months(6.0), format_months(4 / DAYS_A_MONTH)
    ('6 months', '4 days')
    """
    count, unit = (months, "month") if months >= 1 else (round(months * DAYS_A_MONTH), "day")
    return f"{count:g} {unit}{'' if count == 1 else 's'}"


def with_best_by(
    rows: tuple[ShelfRow, ...],
    preserves: Mapping[str, Preserve],
    first_day: datetime.date,
    typed_months: Mapping[str, float | None],
) -> Iterator[ShelfRow]:
    """
    Yield the shelf with blank best-by dates filled in from the months.

    An earlier date replaces the typed one where the preserve is kept cold, or where the typed date follows only from
    months above the published limit. A cold preserve without a date is assumed made on the first day at the latest.
    """
    for row in rows:
        preserve = preserves.get(row.preserve)
        cold = preserve is not None and preserve.method in COLD
        made_on = row.made_on or (first_day if cold else None)
        if preserve is None or preserve.keeps_months is None or made_on is None:
            yield row
            continue
        by_table = best_by(made_on, preserve.keeps_months)
        months = typed_months.get(row.preserve)
        follows = months is not None and row.best_by == best_by(made_on, months)
        if row.best_by is None or ((cold or follows) and by_table < row.best_by):
            yield replace(row, best_by=by_table)
        else:
            yield row
