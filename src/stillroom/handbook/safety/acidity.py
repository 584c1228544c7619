"""Low-acid food and boiling water, and the acid of tomatoes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import lru_cache

from stillroom.errors import Problem
from stillroom.handbook.jars import LITRES, PINT_LITRES, QUART_LITRES, ROUNDING, spoken
from stillroom.handbook.safety.case import Case
from stillroom.handbook.tables import table

ENOUGH = 0.999
"""A dose counts as whole from this share on, so that rounding in a cell does not refuse it."""


def low_acid_under_pressure(case: Case) -> Iterator[Problem]:
    """
    Low-acid food, unknown food included, is never planned in boiling water unless a published row says so.

    Source: Michigan State Univ. Extension (10/1997), food acidity: above pH 4.6 it needs 240 F, so a pressure canner.
    """
    if not case.boiling or case.line is not None:
        return
    for part in case.low_acid:
        why = "is not known to the handbook, so it counts as low-acid" if part.unknown else "is low-acid"
        yield case.problem(
            "low-acid not pressure canned",
            f"{part.named} {why}, and low-acid food is never canned in boiling water",
            "follow a handbook line that holds it, pressure can it by one, or freeze it; no source changes this",
            part.where,
        )


def acid_for_tomatoes(case: Case) -> Iterator[Problem]:
    """
    Every canned tomato preserve that the acid table names takes its acid, in either canner; so does an own recipe.

    Acids add up by their shares of a dose. Source: AIB 539 (1994), Guide 3, general; also for pressure: National Center
    for Home Food Preservation, standard tomato sauce (2015).
    """
    if not case.canned or "tomato" not in case.foods:
        return
    if case.line is not None and case.line.acid != "tomato":
        return
    litres = _jar_litres(case)
    if litres is None:
        return
    share = acid_share(case, litres)
    if share >= ENOUGH:
        return
    least = " or ".join(f"{spoken(dose * litres)} of {acid}" for acid, dose in doses_a_litre().items())
    if share > 0:
        yield case.problem(
            "acid below table",
            f"its acid is only {share:.0%} of the published dose",
            f"put in at least {least} for each container",
        )
    else:
        yield case.problem(
            "acid missing",
            f"no acid that counts is among its ingredients; {why_not_counted(case)}tomatoes need it in either canner",
            f"add at least {least} for each container",
        )


def why_not_counted(case: Case) -> str:
    """Say why an acid that is there does not count; empty when there is none such."""
    for part in case.parts:
        if part.extra in ("lemon or lime juice, not bottled", "vinegar of unknown strength"):
            return f"{part.item} does not count (if it is bottled, or vinegar of 5 %, say so under Handbook item); "
        if part.extra in doses_a_litre() and part.litres is None:
            return f"the amount of {part.item} must be in spoons, cups or millilitres; "
    return ""


def _jar_litres(case: Case) -> float | None:
    """Give the litres that the dose is for: the jar's own size where it is one, else what the container holds."""
    litres = case.container.holds_litres if case.container is not None else None
    if litres is None:
        return None
    for size in (PINT_LITRES / 2, PINT_LITRES, QUART_LITRES):
        if abs(litres / size - 1) <= ROUNDING:
            return min(litres, size)
    return litres


@lru_cache(maxsize=1)
def doses_a_litre() -> Mapping[str, float]:
    """
    Litres of each published acid for a litre of tomatoes; the larger where pint and quart differ.

    >>> round(doses_a_litre()["bottled lemon juice"] * QUART_LITRES / LITRES["tablespoon"], 6)
    2.0
    """
    found: dict[str, float] = defaultdict(float)
    for row in table("acid"):
        dose = float(row["amount"]) * LITRES[row["unit"]] / LITRES[row["jar"]]
        found[row["acid"]] = max(found[row["acid"]], dose)
    return dict(found)


def acid_share(case: Case, jar_litres: float) -> float:
    """Give the share of a whole dose that the acids among the direct ingredients make together."""
    total = 0.0
    for part in case.parts:
        dose = doses_a_litre().get(part.extra or "")
        if dose and part.litres is not None and not part.through:
            total += part.litres / (dose * jar_litres)
    return total
