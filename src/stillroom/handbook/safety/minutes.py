"""The process of a preserve: which published row it takes, and whether the minutes typed are enough."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.errors import Problem
from stillroom.handbook.lines import Line
from stillroom.handbook.processes import PRESSURE, at_altitude, by_line, least_stove_time, said
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.jar_sizes import counted
from stillroom.handbook.safety.own_recipes import floor_of

VENT_MINUTES = 10.0
"""A pressure canner is vented ten minutes before it is closed (K-State Extension; PNW 421; AIB 539, Guide 1)."""


@dataclass(frozen=True)
class Found:
    """What was settled for a preserve: its process, in words too, with its source, and how far that can be trusted."""

    minutes: float = 0.0
    vent_minutes: float = 0.0
    pressure_lb: float | None = None
    text: str = ""
    source: str = ""
    own_recipe: bool = False
    from_memory: bool = False
    said: tuple[Problem, ...] = ()


def process_of(case: Case) -> Found | Problem:
    """Settle the process of a preserve, or give the problem that refuses it. The altitude must be known for canning."""
    if case.line is None:
        return _own_canned(case) if case.canned else _own_other(case)
    return _canned(case, case.line) if case.canned else _kept(case, case.line)


def _canned(case: Case, line: Line) -> Found | Problem:
    kitchen = case.household.kitchen
    if case.jar is None or kitchen.altitude_ft is None:
        return case.problem("jar not published", "its jar is not in the table", "choose a listed jar")
    row = least_stove_time(at_altitude(by_line()[line.key], kitchen.altitude_ft, kitchen.gauge))
    if row is None:
        return case.problem(
            "altitude above table", f"the table of *{line.key}* ends below this altitude", "freeze, dry or buy it"
        )
    typed = case.preserve.minutes_typed
    if typed is not None and not typed >= row.minutes:
        return _below(case, typed, row.minutes, row.source)
    minutes = max(typed or 0.0, row.minutes)
    notes = _more(case, row.minutes)
    if row.status == "memory":
        notes = (*notes, _remembered(case, row.text, row.source))
    return Found(
        minutes, VENT_MINUTES if row.method == PRESSURE else 0.0, row.pressure_lb,
        said(minutes, row.pressure_lb, row.gauge), row.source, from_memory=row.status == "memory", said=notes,
    )  # fmt: skip


def _own_canned(case: Case) -> Found | Problem:
    kitchen = case.household.kitchen
    typed = case.preserve.minutes_typed
    if kitchen.altitude_ft is None or not typed:
        return case.problem(
            "minutes missing", "its minutes are not typed", "write the minutes of its own directions under Minutes"
        )
    floor = floor_of(case, kitchen.altitude_ft)
    if isinstance(floor, Problem):
        return floor
    if not typed >= floor.minutes:
        return _below(
            case, typed, floor.minutes, f"the longest published for {floor.of} at this altitude, in a {floor.jar.jar}"
        )
    pounds = floor.row.pressure_lb if floor.row is not None else None
    remembered = floor.row is not None and floor.row.status == "memory"
    notes = [_own(case)]
    if remembered and floor.row is not None:
        notes.insert(0, _remembered(case, floor.row.text, floor.row.source))
    notes.extend(counted(case, floor.jar))
    return Found(
        typed, VENT_MINUTES if case.pressure else 0.0, pounds, said(typed, pounds, kitchen.gauge or ""),
        f"own recipe: {case.preserve.source}", own_recipe=True, from_memory=remembered, said=tuple(notes),
    )  # fmt: skip


def _own_other(case: Case) -> Found:
    typed = case.preserve.minutes_typed or 0.0
    return Found(
        typed, text=_time(typed), source=f"own recipe: {case.preserve.source}", own_recipe=True, said=(_own(case),)
    )


def _kept(case: Case, line: Line) -> Found | Problem:
    """Settle what is not canned: hours of drying, weeks of fermenting, nothing for the rest."""
    typed = case.preserve.minutes_typed
    low, high = _range_minutes(line)
    if typed is not None and not typed >= low:
        return _below(case, typed, low, _source_of_time(line.source))
    remembered = line.status == "memory"
    minutes = typed if typed is not None else high
    source = _source_of_time(line.source)
    notes = (_remembered(case, _time(minutes) or "this line", source),) if remembered else ()
    text = "; ".join(words for words in (_time(minutes), line.until) if words)
    return Found(minutes, text=text, source=source, from_memory=remembered, said=notes)


def _source_of_time(source: str) -> str:
    """
    Give the publication the hours were read in, where a row has several.

    >>> _source_of_time("weights: nutrient tables; hours: UGA; months: a chart"), _source_of_time("UF/IFAS FCS8225")
    ('UGA', 'UF/IFAS FCS8225')
    """
    pieces = [piece.strip() for piece in source.split(";")]
    return next((piece.removeprefix("hours: ") for piece in pieces if piece.startswith("hours: ")), source)


def _range_minutes(line: Line) -> tuple[float, float]:
    """
    Give the least and the most minutes of drying or fermenting; for fermenting the shorter range is planned.

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
    Say a long time in hours or weeks.

    >>> _time(40), _time(1080), _time(40320), _time(0)
    ('40 min', '18 h', '4 weeks', '')
    """
    if minutes <= 0:
        return ""
    if minutes % (7 * 24 * 60) == 0:
        return f"{minutes / (7 * 24 * 60):g} weeks"
    return f"{minutes / 60:g} h" if minutes >= 180 else f"{minutes:g} min"


def _below(case: Case, typed: float, least: float, source: str) -> Problem:
    return case.problem(
        "minutes below table",
        f"{_time(typed)} typed, and the least is {_time(least)} ({source})",
        f"write {least:g} or more under Minutes, or leave it blank where a line is named",
    )


def _more(case: Case, least: float) -> tuple[Problem, ...]:
    typed = case.preserve.minutes_typed
    if typed is None or typed <= least:
        return ()
    return (
        case.problem(
            "more minutes than table",
            f"{typed:g} min typed, {least:g} published; the longer time is kept",
            "nothing to do",
        ),
    )


def _remembered(case: Case, text: str, source: str) -> Problem:
    return case.problem(
        "from memory",
        f"{text} was written from memory and not read in the publication",
        f"confirm it in {source} before you use it",
    )


def _own(case: Case) -> Problem:
    why = f"; it is not *{case.typed_line.key}*: {case.strangers[0]}" if case.typed_line and case.strangers else ""
    what = f"this is an own recipe ({case.preserve.source}), not from a tested source{why}"
    return case.problem("own recipe", what, "ask your extension service or food authority about it before you make it")
