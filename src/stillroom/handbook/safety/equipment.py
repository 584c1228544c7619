"""Canners: the kind a way asks for, and what is no canner."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.jars import QUART_LITRES
from stillroom.handbook.names import tokens
from stillroom.handbook.processes import BOILING_WATER, DIAL_TOP_FT, PRESSURE, TABLE_TOP_FT
from stillroom.handbook.safety.case import Case
from stillroom.handbook.tables import table
from stillroom.household.records import Equipment, Household

KIND_FOR = {BOILING_WATER: "boiling-water canner", PRESSURE: "pressure canner"}
QUARTS_AT_LEAST = 4


def right_canner(case: Case) -> Iterator[Problem]:
    """
    Canned goods go in equipment of the kind their way asks for, as the last piece, and nothing else.

    Source: AIB 539 (1994), Guide 1; oven, open-kettle and steam canning have no process here.
    """
    if not case.canned:
        return
    wanted, piece = KIND_FOR[case.preserve.method], case.last_piece
    if piece is None or tokens(piece.kind) != tokens(wanted):
        what = f"{piece.name} is {piece.kind or 'of no known kind'}" if piece else "no equipment is named"
        yield case.problem(
            "not a canner",
            f"{what}, and {case.preserve.method} asks for a {wanted}",
            f"name a {wanted} last under Equipment (its Kind must say {wanted})",
        )


def holds_four_quarts(case: Case) -> Iterator[Problem]:
    """
    A pressure canner must hold at least four quart jars; a saucepan does not count.

    Source: AIB 539 (1994), Guide 1; Univ. of Wisconsin Extension column (USDA rule).
    """
    piece = case.last_piece
    if not case.pressure or piece is None or tokens(piece.kind) != tokens(KIND_FOR[PRESSURE]):
        return
    if quart_jars(case.household, piece) < QUARTS_AT_LEAST:
        yield case.problem(
            "not a canner",
            f"{piece.name} is not known to hold {QUARTS_AT_LEAST} quart jars, so it is no pressure canner",
            "add a row for it in Equipment with how many quart jars it holds, or use a larger canner",
        )


def quart_jars(household: Household, piece: Equipment) -> float:
    """Give the most quart jars (or larger) that one filling is said to take; 0 where no row says so."""
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


# Altitude and gauge: without them nothing is canned, and above the tables nothing either.

GAUGES = ("dial", "weighted")


def altitude_problems(case: Case) -> Iterator[Problem]:
    """
    Canning needs the altitude, within the tables; pressure canning needs the gauge too. Told once for a workbook.

    Source: AIB 539 (1994), processing time; a band without an end ends at 10,000 ft, dial gauge tables at 8,000 ft.
    """
    if not case.canned:
        return
    kitchen = case.household.kitchen
    where = kitchen.where or case.preserve.where
    if kitchen.altitude_ft is None:
        yield Problem.in_words(
            where, "the altitude is not given, so nothing can be canned",
            "write it in Kitchen (altitude, ft or m); a map, a phone or the town hall knows it", "altitude missing",
        )  # fmt: skip
    elif not kitchen.altitude_ft <= TABLE_TOP_FT:
        yield Problem.in_words(
            where, f"the process tables end at {TABLE_TOP_FT:,} ft, and {_lies(kitchen.altitude_ft)}",
            "check the altitude; above the tables freeze or dry, and write no under Make for what is canned",
            "altitude above table",
        )  # fmt: skip
    if not case.pressure:
        return
    if kitchen.gauge not in GAUGES:
        yield Problem.in_words(
            kitchen.gauge_where or where,
            "the gauge of the pressure canner is not given, so nothing can be pressure canned",
            "write dial or weighted in Kitchen (gauge)",
            "gauge missing",
        )
    elif (
        kitchen.gauge == "dial"
        and kitchen.altitude_ft is not None
        and DIAL_TOP_FT < kitchen.altitude_ft <= TABLE_TOP_FT
    ):
        yield Problem.in_words(
            where, f"the tables for a dial gauge end at {DIAL_TOP_FT:,} ft, and {_lies(kitchen.altitude_ft)}",
            "use a weighted gauge, or freeze or dry", "altitude above table",
        )  # fmt: skip


def _lies(altitude_ft: float) -> str:
    return f"the kitchen lies at {altitude_ft:,.0f} ft"


# How long a pressure canner cools by itself: never less than the shortest published time.


def shortest_hours() -> float:
    """
    Give the least hours a pressure canner cools in; it is never forced.

    Source: AIB 539 (1994), Guide 1: 20 to 60 minutes.

    >>> round(shortest_hours() * 60)
    20
    """
    fact = next(row["value"] for row in table("facts") if row["key"] == "pressure cool down")
    return float(fact.split("-")[0]) / 60


def cooled(household: Household) -> tuple[tuple[Equipment, ...], tuple[Problem, ...]]:
    """Give the equipment with no pressure canner that cools in less, and a said problem for each that was."""
    pieces: list[Equipment] = []
    problems: list[Problem] = []
    least = shortest_hours()
    for piece in household.equipment:
        if tokens(piece.kind) != tokens(KIND_FOR[PRESSURE]) or piece.cool_down_hours >= least:
            pieces.append(piece)
            continue
        pieces.append(replace(piece, cool_down_hours=least))
        if any(item.equipment and item.equipment[-1] == piece.name for item in household.planned()):
            minutes = piece.cool_down_hours * 60
            what = f"{piece.name} cools in {minutes:.0f} min, and the least published is {least * 60:.0f}"
            fix = "write its time under Cool-down min; cooling is never forced"
            problems.append(Problem.in_words(piece.where, what, fix, "cools too fast"))
    return tuple(pieces), tuple(problems)
