"""Checks of acidity: no low-acid food in boiling water, and enough acid with tomatoes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import lru_cache

from stillroom.errors import Problem
from stillroom.handbook.jars import LITRES, PINT_LITRES, QUART_LITRES, ROUNDING, format_volume
from stillroom.handbook.names import join_words
from stillroom.handbook.safety.case import Case
from stillroom.handbook.tables import table

ENOUGH = 0.999
"""Share of the published dose that counts as the whole of it, so that rounding in a cell refuses nothing."""

WEAK_ACIDS = ("lemon or lime juice, not bottled", "vinegar of unknown strength")


def low_acid_under_pressure(case: Case) -> Iterator[Problem]:
    """
    Refuse low-acid food, unknown food included, in boiling water unless a published row allows it.

    Source: Michigan State Univ. Extension (10/1997), food acidity: above pH 4.6 it needs 240 F, so a pressure canner.
    """
    if not case.boiling or case.line is not None:
        return
    for part in case.low_acid:
        kind = "low-acid not pressure canned"
        yield case.problem(f"{kind}: unknown food" if part.unknown else kind, part.label, where=part.where)


def acid_for_tomatoes(case: Case) -> Iterator[Problem]:
    """
    Refuse canned tomatoes without the published acid, in either canner; an own recipe takes the acid too.

    Acids add up by their shares of a dose. Source: AIB 539 (1994), Guide 3, general; also for pressure: National Center
    for Home Food Preservation, standard tomato sauce (2015).
    """
    if not case.canned or "tomato" not in case.foods:
        return
    if case.line is not None and case.line.acid != "tomato":
        return
    liters = _jar_liters(case)
    if liters is None:
        return
    share = acid_share(case, liters)
    if share >= ENOUGH:
        return
    doses = [f"{format_volume(dose * liters, metric=case.metric)} {acid}" for acid, dose in doses_per_liter().items()]
    least = join_words(doses, "or")
    if share > 0:
        yield case.problem("acid below table", f"{share:.0%}", least)
    else:
        yield acid_missing(case, "acid missing", least)


def acid_missing(case: Case, kind: str, *names: str) -> Problem:
    """Return the problem of missing acid; its kind and last name show an ingredient whose acid cannot be counted."""
    sep = "," if ":" in kind else ":"
    for part in case.parts:
        if part.extra in WEAK_ACIDS:
            return case.problem(f"{kind}{sep} strength unknown", *names, part.item)
        if part.extra in doses_per_liter() and part.litres is None:
            return case.problem(f"{kind}{sep} amount unknown", *names, part.item)
    return case.problem(kind, *names)


def _jar_liters(case: Case) -> float | None:
    """Return the liters the dose is for: a listed jar's own size, else what the container holds."""
    litres = case.container.holds_litres if case.container is not None else None
    if litres is None:
        return None
    for size in (PINT_LITRES / 2, PINT_LITRES, QUART_LITRES):
        if abs(litres / size - 1) <= ROUNDING:
            return min(litres, size)
    return litres


@lru_cache(maxsize=1)
def doses_per_liter() -> Mapping[str, float]:
    """
    Return the liters of each published acid for a liter of tomatoes; the larger where pint and quart differ.

    >>> round(doses_per_liter()["bottled lemon juice"] * QUART_LITRES / LITRES["tablespoon"], 6)
    2.0
    """
    found: dict[str, float] = defaultdict(float)
    for row in table("acid"):
        dose = float(row["amount"]) * LITRES[row["unit"]] / LITRES[row["jar"]]
        found[row["acid"]] = max(found[row["acid"]], dose)
    return dict(found)


def acid_share(case: Case, jar_liters: float) -> float:
    """Return the share of a full dose that the acids among the direct ingredients add up to."""
    total = 0.0
    for part in case.parts:
        dose = doses_per_liter().get(part.extra or "")
        if dose and part.litres is not None and not part.through:
            total += part.litres / (dose * jar_liters)
    return total
