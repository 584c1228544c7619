"""How many months things keep: from the line, capped by the tables, and the best-by dates that follow."""

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
    """Give the months a preserve keeps: as typed, or from the table when blank, never more than the table's most."""
    default, most, source = _published(case)
    typed = case.preserve.keeps_months
    if typed is None:
        return default, ()
    if most is None or typed <= most:
        return typed, ()
    said = case.problem(
        "longer than it keeps",
        f"{months_words(typed)} typed, and the table says {months_words(most)} ({source}); the table is used",
        f"write {math.floor(most * 100) / 100:g} or less under Keeps months",
    )
    return most, (said,)


def _published(case: Case) -> tuple[float | None, float | None, str]:
    """Give the usual months, the most months, and their source; None where nothing is published."""
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
            "National Center for Home Food Preservation, fermented dill pickles; from memory",
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
    Cap an own refrigerated preserve of one published food by that food's row; a mixture has no row of its own.

    Low-acid food under oil has a few days, whatever else is in it: no air comes to it, and poison may form. So has
    meat, unless it is cured, smoked or pickled.
    """
    for is_so, key in (
        (_under_oil, "vegetables and herbs in oil in the refrigerator"),
        (_of_meat, "meat, fish and what is cooked of them in the refrigerator"),
    ):
        if is_so(case):
            days = next(row for row in table("facts") if row["key"] == key)
            return float(days["value"]) / DAYS_A_MONTH, float(days["value"]) / DAYS_A_MONTH, days["source"]
    found = [
        line.keeps_months_most or 0.0
        for line in lines().values()
        if line.method == "refrigerated" and line.foods & case.foods and len(case.parts) == 1
    ]
    return (min(found), min(found), "the table of what is kept in the refrigerator") if found else (None, None, "")


def _under_oil(case: Case) -> bool:
    """Whether low-acid food, herbs or what nobody knows stands in oil."""
    oily = any("oil and fat" in part.kinds for part in case.parts)
    return oily and any(
        part.extra == "fresh herbs in small amounts" or (part in case.low_acid and part.kinds != {"oil and fat"})
        for part in case.parts
    )


def _of_meat(case: Case) -> bool:
    """Whether meat or fish that nothing keeps goes in."""
    if any("vinegar" in (part.extra or "") for part in case.parts):
        return False
    names = (case.preserve.name, *(part.item for part in case.parts))
    if any(CURED & set(tokens(name)) for name in names):
        return False
    return any(kinds()[kind].group == "meat" and kind != "cured meat" for kind in case.foods)


def months_words(months: float) -> str:
    """
    Say a time in months, or in days where it is less than one.

    >>> months_words(6.0), months_words(4 / DAYS_A_MONTH)
    ('6 months', '4 days')
    """
    return f"{months:g} months" if months >= 1 else f"{months * DAYS_A_MONTH:.0f} days"


def dated(
    rows: tuple[ShelfRow, ...],
    preserves: Mapping[str, Preserve],
    first_day: datetime.date,
    typed_months: Mapping[str, float | None],
) -> Iterator[ShelfRow]:
    """
    Give the shelf with best-by dates filled in from the months; what is kept cold is never good for longer.

    A date that only follows from the months the household typed gives way where the table allows fewer. What is kept
    cold and does not say when it was made is taken to be made on the first day at the latest.
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
