"""Canners: the kind a way asks for, and what is no canner."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.kitchen_measures import QUART_LITRES
from stillroom.handbook.processes import BOILING_WATER, PRESSURE
from stillroom.handbook.safety.case import Case
from stillroom.handbook.words import tokens
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
    wanted, piece = KIND_FOR[case.preserve.way], case.last_piece
    if piece is None or tokens(piece.kind) != tokens(wanted):
        what = f"{piece.name} is {piece.kind or 'of no known kind'}" if piece else "no equipment is named"
        yield case.problem(
            "not a canner",
            f"{what}, and {case.preserve.way} asks for a {wanted}",
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
