"""Own recipes: what a household may plan without a published row, and the least process for it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.handbook.foods import LOW_ACID, kinds
from stillroom.handbook.jars import CountsAs, counts_as
from stillroom.handbook.lines import Process, at_altitude, by_product, lines
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.equipment import KIND_FOR
from stillroom.handbook.tables import table

USUAL_JARS = ("half-pint", "pint", "quart")

_SECOND_TABLE = {
    "apples": ("apples", "applesauce"),
    "apricots": ("apricots",),
    "berries": ("berries",),
    "cherries": ("cherries",),
    "peaches": ("peaches",),
    "pears": ("pears",),
    "plums": ("plums",),
}
"""The names of a fruit in the second table; its purées cover every fruit."""


@dataclass(frozen=True)
class Floor:
    """The least process of an own recipe: minutes and product (blank: second table), jar, pressure row."""

    minutes: float
    jar: CountsAs
    row: Process | None
    product: str


def source_typed(case: Case) -> Iterator[Problem]:
    """
    Require the source of an own recipe, whatever its method.

    Source: rule of this project; the household is responsible for what no publication covers.
    """
    if case.line is None and not (case.preserve.source or "").strip():
        yield _own_recipe_problem(case, "source missing")


def minutes_typed(case: Case) -> Iterator[Problem]:
    """
    Require typed minutes for an own recipe that is canned, dried, or fermented in equipment.

    Source: rule of this project; minutes are never guessed.
    """
    preserve = case.preserve
    wanted = case.canned or (preserve.method in ("dried", "fermented") and bool(preserve.equipment))
    if case.line is None and wanted and not preserve.minutes_typed:
        yield _own_recipe_problem(case, "minutes missing")


def _own_recipe_problem(case: Case, kind: str) -> Problem:
    return case.problem(f"{kind}: line not followed" if case.mismatch else kind, cause=case.mismatch)


def rows_for(kind: str, method: str, *, mixture: bool) -> tuple[Process, ...]:
    """
    Return every published row of any product of this kind of food by this method.

    Rows for mixtures (soup, mixed vegetables) count only where the recipe is a mixture itself.
    """
    found: list[Process] = []
    for (product, row_method), rows in by_product().items():
        line = lines()[rows[0].key]
        if (
            row_method == method
            and kind in line.foods
            and (mixture or line.least_kinds == 1)
            and product != "sauerkraut"
        ):
            found.extend(rows)
    return tuple(found)


def second_table(kind: str, jar: str, altitude_ft: float) -> float:
    """Return the longest minutes of the second table for this fruit, jar and altitude; 0 where it has none."""
    if kinds()[kind].group != "fruit" or kinds()[kind].acidity == LOW_ACID:
        return 0.0
    names = (*_SECOND_TABLE.get(kind, ()), "fruit purees")
    return max(
        (
            float(row["minutes"])
            for row in table("high_altitude_fruit")
            if row["food"] in names
            and row["jar"] == jar
            and float(row["altitude_min_ft"]) - 1 < altitude_ft <= float(row["altitude_max_ft"])
        ),
        default=0.0,
    )


def floor_of(case: Case, altitude_ft: float) -> Floor | Problem:
    """
    Return the least process of an own canned recipe, or the problem that refuses it.

    For each food the table covers by this method: only its jars, and at least the longest time published at this
    altitude for any product of it in that jar. The pressure comes from the longest row, a low-acid one where there is
    one.
    """
    foods = sorted(case.foods)
    covered = {kind: _rows_here(case, kind, altitude_ft, mixture=False) for kind in foods}
    problem = _without_a_row(case, covered)
    if problem is not None:
        return problem
    jar = _jar(case, covered)
    if isinstance(jar, Problem):
        return jar
    mixture = len(foods) > 1 and any(_is_low(kind) for kind in foods)
    rows = [row for kind in foods for row in _rows_here(case, kind, altitude_ft, mixture=mixture) if row.jar == jar.jar]
    if case.pressure and not rows:
        return case.problem("method not published: no pressure")
    low = [row for kind in foods if _is_low(kind) for row in covered[kind] if row.jar == jar.jar]
    pounds_from = max(low or rows, key=lambda row: (row.minutes, row.pressure_lb or 0.0), default=None)
    longest = max(rows, key=lambda row: row.minutes, default=None)
    least, product = (longest.minutes, longest.product) if longest is not None else (0.0, "")
    second = max((second_table(kind, jar.jar, altitude_ft) for kind in foods), default=0.0) if case.boiling else 0.0
    if second > least:
        least, product = second, ""
    return Floor(least, jar, pounds_from, product)


def _is_low(kind: str) -> bool:
    return kinds()[kind].acidity == LOW_ACID


def _rows_here(case: Case, kind: str, altitude_ft: float, *, mixture: bool) -> tuple[Process, ...]:
    """Return the rows for a food by this method, at this altitude, for this gauge."""
    return at_altitude(rows_for(kind, case.preserve.method, mixture=mixture), altitude_ft, case.household.kitchen.gauge)


def _without_a_row(case: Case, covered: Mapping[str, tuple[Process, ...]]) -> Problem | None:
    """Return the problem of an unknown item, or of a low-acid food that no row covers by this method."""
    canner = KIND_FOR[case.preserve.method]
    for part in case.parts:
        if part.unknown:
            return case.problem("method not published: unknown food", part.label, canner, where=part.where)
        for kind in sorted(part.kinds):
            if _is_low(kind) and not covered[kind]:
                return case.problem("method not published: low-acid food", part.label, canner, kind, where=part.where)
    return None


def _jar(case: Case, covered: Mapping[str, tuple[Process, ...]]) -> CountsAs | Problem:
    """
    Return the jar the container counts as, among those listed for every covered food; never a half-gallon.

    Source: AIB 539 (1994), Guide 1: half-gallon jars are for very acid juices only, which have their own line.
    """
    jars = [{row.jar for row in rows} for rows in covered.values() if rows]
    listed = set(USUAL_JARS).intersection(*jars)
    found = counts_as(case.container.holds_litres if case.container else None, listed)
    if found is not None:
        return found
    kind = "jar not published: own recipe" if listed else "jar not published: no common size"
    return case.problem(kind, case.preserve.container, ", ".join(sorted(listed)))
