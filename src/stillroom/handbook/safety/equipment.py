"""Checks of the method, the canner, the altitude and the gauge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.jars import QUART_LITRES
from stillroom.handbook.lines import BOILING_WATER, DIAL_TOP_FT, PRESSURE, TABLE_TOP_FT, nearest_line
from stillroom.handbook.names import holds_phrase, tokens
from stillroom.handbook.safety.case import Case
from stillroom.handbook.tables import listed, table
from stillroom.household.records import METHODS, Equipment, Household

KIND_FOR = {BOILING_WATER: "boiling-water canner", PRESSURE: "pressure canner"}
QUARTS_AT_LEAST = 4
BOILS_DRY = 2.0
"""How many times the published minutes may be typed before the plan warns; a choice of this project."""


def right_canner(case: Case) -> Iterator[Problem]:
    """
    Require the canner that the method takes as the last piece of equipment.

    Source: AIB 539 (1994), Guide 1; oven, open-kettle and steam canning have no process here.
    """
    if not case.canned:
        return
    wanted, piece = KIND_FOR[case.preserve.method], case.last_piece
    if piece is None or tokens(piece.kind) != tokens(wanted):
        if piece is None:
            yield case.problem("not a canner: no equipment", wanted)
        else:
            kind = "not a canner" if piece.kind else "not a canner: kind blank"
            yield case.problem(kind, wanted, piece.name, piece.kind)


def canner_by_its_name(case: Case) -> Iterator[Problem]:
    """
    Refuse a canner whose name says that it is an oven, a dishwasher, a steam canner or an electric cooker.

    Source: the not_canners table, each row with its publication.
    """
    piece = case.last_piece
    if not case.canned or piece is None:
        return
    words = tokens(piece.name)
    for row in table("not_canners"):
        if any(holds_phrase(words, tokens(phrase)) for phrase in listed(row["words"])):
            names = (KIND_FOR[case.preserve.method], piece.name, row["key"], row["why"], row["source"])
            yield case.problem("not a canner: by its name", *names, where=piece.where)
            return


def holds_four_quarts(case: Case) -> Iterator[Problem]:
    """
    Require room for four quart jars in a pressure canner; a pressure saucepan does not count.

    Source: AIB 539 (1994), Guide 1; Univ. of Wisconsin Extension column (USDA rule).
    """
    piece = case.last_piece
    if not case.pressure or piece is None or tokens(piece.kind) != tokens(KIND_FOR[PRESSURE]):
        return
    if quart_jars(case.household, piece) < QUARTS_AT_LEAST:
        yield case.problem("not a canner: too small", piece.name, f"{QUARTS_AT_LEAST}")


def quart_jars(household: Household, piece: Equipment) -> float:
    """Return the most quart jars (or larger) in one load, by the Equipment rows; 0 when no row lists them."""
    return max((load.number for load in piece.loads if _is_quarts(household, load.unit)), default=0.0)


def _is_quarts(household: Household, unit: str) -> bool:
    words = tokens(unit)
    for container in household.containers:
        if tokens(container.name) == words:
            large = (container.holds_litres or 0.0) >= QUART_LITRES * 0.985
            return large and ("jar" in tokens(container.kind) or "jar" in words)
    if "half" in words or "jar" not in words:
        return False
    return bool({"quart", "qt", "litre", "liter", "l"} & set(words)) and not any(
        word.replace(".", "").isdigit() and float(word) < 1 for word in words
    )


GAUGES = ("dial", "weighted")


def altitude_problems(case: Case) -> Iterator[Problem]:
    """
    Require the altitude, within the tables, for canning, and the gauge for pressure canning. Reported once a workbook.

    Source: AIB 539 (1994), processing time; a band without an end ends at 10,000 ft, dial gauge tables at 8,000 ft.
    """
    if not case.canned:
        return
    kitchen = case.household.kitchen
    where = kitchen.where or case.preserve.where
    height = kitchen.altitude_ft
    if height is None:
        yield Problem(where, "altitude missing", ("450 m" if case.metric else "1450 ft",), field="altitude")
    elif not height <= TABLE_TOP_FT:
        names = (case.altitude(height), case.altitude(TABLE_TOP_FT))
        yield Problem(where, "altitude above table", names, field="altitude")
    if not case.pressure:
        return
    if kitchen.gauge not in GAUGES:
        yield Problem(kitchen.gauge_where or where, "gauge missing", field="gauge")
    elif kitchen.gauge == "dial" and height is not None and DIAL_TOP_FT < height <= TABLE_TOP_FT:
        names = (case.altitude(height), case.altitude(DIAL_TOP_FT))
        yield Problem(where, "altitude above table: dial gauge", names, field="altitude")


def shortest_cool_down() -> float:
    """
    Return the shortest published hours for the pressure to fall by itself; cooling is never forced.

    Source: AIB 539 (1994), Guide 1: 20 to 60 minutes.

    >>> round(shortest_cool_down() * 60)
    20
    """
    fact = next(row["value"] for row in table("facts") if row["key"] == "pressure cool down")
    return float(fact.split("-")[0]) / 60


def with_cool_down(household: Household) -> tuple[tuple[Equipment, ...], tuple[Problem, ...]]:
    """Return the equipment with each pressure canner's cool-down at least the published one, and a note for each."""
    pieces: list[Equipment] = []
    problems: list[Problem] = []
    least = shortest_cool_down()
    for piece in household.equipment:
        if tokens(piece.kind) != tokens(KIND_FOR[PRESSURE]) or piece.cool_down_hours >= least:
            pieces.append(piece)
            continue
        pieces.append(replace(piece, cool_down_hours=least))
        if any(item.equipment and item.equipment[-1] == piece.name for item in household.planned()):
            names = (piece.name, f"{piece.cool_down_hours * 60:.0f}", f"{least * 60:.0f}")
            problems.append(Problem(piece.where, "cools too fast", names, field="Cool-down min"))
    return tuple(pieces), tuple(problems)


# Checks of the method and the handbook line.


def method_known(case: Case) -> Iterator[Problem]:
    """
    Require one of the seven methods.

    Source: rule of this project, so that no unknown method passes for a safe one.
    """
    if case.preserve.method not in METHODS:
        yield case.problem("method unknown", case.preserve.method, ", ".join(METHODS))


def line_known(case: Case) -> Iterator[Problem]:
    """
    Require that a typed *Handbook line* is in the handbook.

    Source: rule of this project.
    """
    typed = (case.preserve.handbook_line or "").strip()
    if typed and case.typed_line is None:
        problem = case.problem("handbook line unknown", typed)
        yield replace(problem, suggestion=nearest_line(typed) or "", field="Handbook line")


def method_of_the_line(case: Case) -> Iterator[Problem]:
    """
    Require the method the line is published for.

    Source: the process tables; no time is published for that row by another method.
    """
    line = case.typed_line
    if line is not None and case.preserve.method in METHODS and line.method != case.preserve.method:
        yield case.problem("method not published", line.key, line.method, case.preserve.method)
