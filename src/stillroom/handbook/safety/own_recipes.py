"""Own recipes: what a household may plan without a published row, and the least it must do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.handbook.foods import LOW_ACID, kinds
from stillroom.handbook.ingredients import Part
from stillroom.handbook.jars import CountsAs, counts_as
from stillroom.handbook.lines import lines
from stillroom.handbook.processes import Process, at_altitude, by_product
from stillroom.handbook.safety.case import Case
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
"""What the second table calls a fruit; its purées hold for every fruit."""


@dataclass(frozen=True)
class Floor:
    """The least an own recipe must have: minutes, the jar it counts as, and the row its pounds come from."""

    minutes: float
    jar: CountsAs
    row: Process | None
    of: str


def source_typed(case: Case) -> Iterator[Problem]:
    """
    An own recipe names its source, whatever its way.

    Source: rule of this project; the household answers for what no publication does.
    """
    if case.line is None and not (case.preserve.source or "").strip():
        yield case.problem(
            "source missing",
            f"{_why(case)}, so it is an own recipe, and its source is not named",
            _cure(case, "write under Source where the directions come from"),
        )


def minutes_typed(case: Case) -> Iterator[Problem]:
    """
    An own recipe that is canned, dried or worked in equipment has its own minutes typed in.

    Source: rule of this project; minutes are never guessed.
    """
    preserve = case.preserve
    wanted = case.canned or (preserve.method in ("dried", "fermented") and bool(preserve.equipment))
    if case.line is None and wanted and not preserve.minutes_typed:
        yield case.problem(
            "minutes missing",
            f"{_why(case)}, so it is an own recipe, and its minutes are not typed",
            _cure(case, "write the minutes of its own directions under Minutes"),
        )


def _cure(case: Case, otherwise: str) -> str:
    if case.typed_line is not None and case.strangers:
        return f"keep to that row, or, for a recipe of your own, {otherwise}"
    return f"{otherwise}, or name a handbook line"


def _why(case: Case) -> str:
    return (
        f"it is not *{case.typed_line.key}* ({case.strangers[0]})"
        if case.typed_line is not None and case.strangers
        else "it has no handbook line"
    )


def rows_for(kind: str, method: str, *, mixture: bool) -> tuple[Process, ...]:
    """
    Give every published row of any product of this kind of food in this way.

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
    """Give the longest minutes of the second table for this fruit, jar and altitude; 0 where it is silent."""
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
    Give the least process of an own canned recipe, or the problem that keeps it from being planned.

    For each food the table covers in this way: only its jars, and at least the greatest time published at this
    altitude for any product of it in that jar; minutes and pounds from one row, the low-acid one where there is one.
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
        return case.problem(
            "way not published",
            "no pounds are published for these foods in a pressure canner",
            "can it in boiling water, or follow a handbook line",
        )
    low = [row for kind in foods if _is_low(kind) for row in covered[kind] if row.jar == jar.jar]
    pounds_from = max(low or rows, key=lambda row: (row.minutes, row.pressure_lb or 0.0), default=None)
    longest = max(rows, key=lambda row: row.minutes, default=None)
    least, of = (longest.minutes, longest.product) if longest is not None else (0.0, "this food")
    second = max((second_table(kind, jar.jar, altitude_ft) for kind in foods), default=0.0) if case.boiling else 0.0
    if second > least:
        least, of = second, "fruit, in the second table"
    return Floor(least, jar, pounds_from, of)


def _is_low(kind: str) -> bool:
    return kinds()[kind].acidity == LOW_ACID


def _rows_here(case: Case, kind: str, altitude_ft: float, *, mixture: bool) -> tuple[Process, ...]:
    """Give the rows for a food in this way, at this altitude, for this gauge."""
    return at_altitude(rows_for(kind, case.preserve.method, mixture=mixture), altitude_ft, case.household.kitchen.gauge)


def _without_a_row(case: Case, covered: Mapping[str, tuple[Process, ...]]) -> Problem | None:
    """Refuse an unknown item, and a low-acid food that no row covers in this way."""
    for part in case.parts:
        if part.unknown:
            return _not_covered(case, part, "not known to the handbook, so it counts as low-acid")
        for kind in sorted(part.kinds):
            if _is_low(kind) and not covered[kind]:
                return _not_covered(case, part, f"{kind}, which is low-acid")
    return None


def _jar(case: Case, covered: Mapping[str, tuple[Process, ...]]) -> CountsAs | Problem:
    """
    Give the jar the container counts as, among those listed for every food that is covered; never half a gallon.

    Source: AIB 539 (1994), Guide 1: half-gallon jars are for very acid juices only, which have a line of their own.
    """
    jars = [{row.jar for row in rows} for rows in covered.values() if rows]
    listed = set(USUAL_JARS).intersection(*jars)
    found = counts_as(case.container.holds_litres if case.container else None, listed)
    if found is not None:
        return found
    sizes = ", ".join(sorted(listed)) or "no jar size that all of its foods have"
    what = f"the table has no time for {case.preserve.container} with these foods"
    return case.problem("jar not published", what, f"use one of: {sizes}")


def _not_covered(case: Case, part: Part, what: str) -> Problem:
    return case.problem(
        "way not published",
        f"{part.named} is {what}, and it has no published time of its own {_in_words(case)}",
        "leave it out, follow a handbook line that holds it, or freeze it",
        part.where,
    )


def _in_words(case: Case) -> str:
    return "in boiling water" if case.boiling else "in a pressure canner"
