"""The process of a preserve: its published row, and whether the typed minutes are enough."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.handbook.lines import Line, at_altitude, by_line, format_process, least_stove_time
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.equipment import BOILS_DRY
from stillroom.handbook.safety.jars_and_acid import size_notes
from stillroom.handbook.safety.own_recipes import floor_of


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
