"""How many months preserves keep, by the line and the published limits, and the best-by dates that follow."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.foods import kinds
from stillroom.handbook.lines import lines
from stillroom.handbook.names import tokens
from stillroom.handbook.safety.case import Case
from stillroom.handbook.tables import table
from stillroom.household.journal.stocks import best_by
from stillroom.household.records import Preserve, ShelfRow

CANNED_MONTHS = 12.0
FROZEN_MONTHS = 12.0
FERMENTED_MONTHS = 6.0
"""Months of own recipes: NC State Extension FAQ; National Center for Home Food Preservation; as fermented pickles."""

COLD = ("fermented", "refrigerated")
DAYS_A_MONTH = 365.25 / 12

CURED = frozenset(tokens("cured salted smoked dry dried jerky salami prosciutto corned pickled brined"))
"""Words for meat and fish that keep for longer than the fresh or cooked."""


def months(case: Case) -> tuple[float | None, tuple[Problem, ...]]:
    """Return the months a preserve keeps: as typed, or from the table when blank, never above the table's limit."""
    default, most, source = _published(case)
    typed = case.preserve.keeps_months
    if typed is None:
        return default, ()
    if most is None or typed <= most:
        return typed, ()
    names = (format_months(typed), format_months(most), f"{math.floor(most * 100) / 100:g}", source)
    return most, (case.problem("longer than it keeps", *names),)


def _published(case: Case) -> tuple[float | None, float | None, str]:
    """Return the usual months, the most months, and their source; None where nothing is published."""
    line, preserve = case.line, case.preserve
    if preserve.method in ("dried", "refrigerated", "fermented") and preserve.kept_in == "freezer":
        return FROZEN_MONTHS, FROZEN_MONTHS, "National Center for Home Food Preservation, freezer shelf life"
    if line is not None:
        return line.keeps_months, line.keeps_months_most, line.source
    if case.canned:
        return CANNED_MONTHS, CANNED_MONTHS, "NC State Extension FAQ"
    if preserve.kept_in == "freezer":
        return FROZEN_MONTHS, FROZEN_MONTHS, "National Center for Home Food Preservation, freezer shelf life"
    if preserve.method == "fermented":
        return (
            FERMENTED_MONTHS,
            FERMENTED_MONTHS,
            "National Center for Home Food Preservation, fermented dill pickles; not verified",
        )
    if preserve.method == "dried":
        found = [
            line.keeps_months_most or 0.0
            for line in lines().values()
            if line.method == "dried" and line.foods & case.foods
        ]
        return (min(found), min(found), "the drying table") if found else (None, None, "")
    if preserve.method == "refrigerated":
        return _refrigerated(case)
    return None, None, ""


def _refrigerated(case: Case) -> tuple[float | None, float | None, str]:
    """
    Return the limit of an own refrigerated preserve of one published food; a mixture has no row of its own.

    Low-acid food in oil keeps a few days, whatever else is in it: oil shuts out air, and poison may form. So does
    meat, unless it is cured, smoked or pickled.
    """
    for test, key in (
        (_under_oil, "vegetables and herbs in oil in the refrigerator"),
        (_of_meat, "meat, fish and what is cooked of them in the refrigerator"),
    ):
        if test(case):
            days = next(row for row in table("facts") if row["key"] == key)
            return float(days["value"]) / DAYS_A_MONTH, float(days["value"]) / DAYS_A_MONTH, days["source"]
    found = [
        line.keeps_months_most or 0.0
        for line in lines().values()
        if line.method == "refrigerated" and line.foods & case.foods and len(case.parts) == 1
    ]
    return (min(found), min(found), "the table of what is kept in the refrigerator") if found else (None, None, "")


def _under_oil(case: Case) -> bool:
    """Return whether low-acid food, herbs or an unknown item is packed in oil."""
    oily = any("oil and fat" in part.kinds for part in case.parts)
    return oily and any(
        part.extra == "fresh herbs in small amounts" or (part in case.low_acid and part.kinds != {"oil and fat"})
        for part in case.parts
    )


def _of_meat(case: Case) -> bool:
    """Return whether it contains meat or fish that is not cured, smoked or pickled."""
    if any("vinegar" in (part.extra or "") for part in case.parts):
        return False
    names = (case.preserve.name, *(part.item for part in case.parts))
    if any(CURED & set(tokens(name)) for name in names):
        return False
    return any(kinds()[kind].group == "meat" and kind != "cured meat" for kind in case.foods)


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
