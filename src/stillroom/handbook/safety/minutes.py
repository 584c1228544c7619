"""Own recipes, and the minutes of a process: a typed time never falls below the published one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.handbook.foods import LOW_ACID, kinds
from stillroom.handbook.jars import CountsAs, counts_as
from stillroom.handbook.lines import (
    Line,
    Process,
    at_altitude,
    by_line,
    by_product,
    format_process,
    least_stove_time,
    lines,
)
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.equipment import BOILS_DRY, KIND_FOR
from stillroom.handbook.safety.jars_and_acid import size_notes
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


# The process of a preserve: its published row, and whether the typed minutes are enough.


@dataclass(frozen=True)
class Settled:
    """The process of a preserve: figures, the same as text, its source, and notes about it."""

    minutes: float = 0.0
    pressure_lb: float | None = None
    text: str = ""
    source: str = ""
    own_recipe: bool = False
    from_memory: bool = False
    notes: tuple[Problem, ...] = ()


def process_of(case: Case) -> Settled | Problem:
    """Return the process of a preserve, or the problem that refuses it. Canning requires the altitude."""
    if case.line is None:
        return _own_canned(case) if case.canned else _own_other(case)
    return _canned(case, case.line) if case.canned else _kept(case, case.line)


def _canned(case: Case, line: Line) -> Settled | Problem:
    kitchen = case.household.kitchen
    height = kitchen.altitude_ft
    row = None if height is None else least_stove_time(at_altitude(by_line()[line.key], height, kitchen.gauge))
    if row is None:
        return case.problem("altitude above table: line", line.key)
    typed = case.preserve.minutes_typed
    if typed is not None and not typed >= row.minutes:
        return _too_short(case, typed, row.minutes, row.source)
    minutes = max(typed or 0.0, row.minutes)
    notes = _longer(case, row.minutes)
    if row.status == "memory":
        notes = (*notes, _not_verified(case, row.text, row.source))
    return Settled(
        minutes, row.pressure_lb,
        format_process(minutes, row.pressure_lb, row.gauge), row.source,
        from_memory=row.status == "memory", notes=notes,
    )  # fmt: skip


def _own_canned(case: Case) -> Settled | Problem:
    kitchen = case.household.kitchen
    typed = case.preserve.minutes_typed
    if kitchen.altitude_ft is None or not typed:
        return case.problem("minutes missing")
    floor = floor_of(case, kitchen.altitude_ft)
    if isinstance(floor, Problem):
        return floor
    if not typed >= floor.minutes:
        names = (_time(typed), _time(floor.minutes), f"{floor.minutes:g}", floor.jar.jar, floor.product)
        return case.problem(f"minutes below table: {'own recipe' if floor.product else 'own fruit'}", *names)
    pounds = floor.row.pressure_lb if floor.row is not None else None
    remembered = floor.row is not None and floor.row.status == "memory"
    notes = [_own(case), *size_notes(case, floor.jar)]
    if remembered and floor.row is not None:
        notes.insert(0, _not_verified(case, floor.row.text, floor.row.source))
    return Settled(
        typed, pounds, format_process(typed, pounds, kitchen.gauge or ""),
        f"own recipe: {case.preserve.source}", own_recipe=True, from_memory=remembered, notes=tuple(notes),
    )  # fmt: skip


def _own_other(case: Case) -> Settled:
    typed = case.preserve.minutes_typed or 0.0
    return Settled(
        typed, text=_time(typed), source=f"own recipe: {case.preserve.source}", own_recipe=True, notes=(_own(case),)
    )


def _kept(case: Case, line: Line) -> Settled | Problem:
    """Return the process of what is not canned: hours of drying, weeks of fermenting, none for the rest."""
    typed = case.preserve.minutes_typed
    low, high = _range_minutes(line)
    if typed is not None and not typed >= low:
        return _too_short(case, typed, low, _source_of_time(line.source))
    remembered = line.status == "memory"
    minutes = typed if typed is not None else high
    source = _source_of_time(line.source)
    notes = (_not_verified(case, _time(minutes), source),) if remembered else ()
    text = "; ".join(words for words in (_time(minutes), line.until) if words)
    return Settled(minutes, text=text, source=source, from_memory=remembered, notes=notes)


def _source_of_time(source: str) -> str:
    """
    Return the publication of the hours, where a row lists several publications.

    >>> _source_of_time("weights: nutrient tables; hours: UGA; months: a chart"), _source_of_time("UF/IFAS FCS8225")
    ('UGA', 'UF/IFAS FCS8225')
    """
    pieces = [piece.strip() for piece in source.split(";")]
    return next((piece.removeprefix("hours: ") for piece in pieces if piece.startswith("hours: ")), source)


def _range_minutes(line: Line) -> tuple[float, float]:
    """
    Return the least and most minutes of drying or fermenting; for fermenting, of the shorter range.

    Source: the kept table. Zero for what is only packed and stored.
    """
    if line.hours_low is not None and line.hours_high is not None:
        return line.hours_low * 60, line.hours_high * 60
    if line.weeks_low is not None:
        week = 7 * 24 * 60
        return line.weeks_low * week, (line.weeks_low + 1) * week
    return 0.0, 0.0


def _time(minutes: float) -> str:
    """
    Return a time in minutes, hours or weeks.

    >>> _time(40), _time(1080), _time(40320), _time(0)
    ('40 min', '18 h', '4 weeks', '')
    """
    if minutes <= 0:
        return ""
    if minutes % (7 * 24 * 60) == 0:
        return f"{minutes / (7 * 24 * 60):g} weeks"
    return f"{minutes / 60:g} h" if minutes >= 180 else f"{minutes:g} min"


def _too_short(case: Case, typed: float, least: float, source: str) -> Problem:
    return case.problem("minutes below table", _time(typed), _time(least), f"{least:g}", source)


def _longer(case: Case, least: float) -> tuple[Problem, ...]:
    typed = case.preserve.minutes_typed
    if typed is None or typed <= least:
        return ()
    kind = "far more minutes than table" if typed > BOILS_DRY * least and case.canned else "more minutes than table"
    return (case.problem(kind, f"{typed:g}", f"{least:g}"),)


def _not_verified(case: Case, process: str, source: str) -> Problem:
    return case.problem("from memory" if process else "from memory: line", source, process)


def _own(case: Case) -> Problem:
    kind = "own recipe: line not followed" if case.mismatch else "own recipe"
    return case.problem(kind, case.preserve.source or "", cause=case.mismatch)
