"""How long a pressure canner cools by itself: never less than the shortest published time."""

from __future__ import annotations

from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.processes import PRESSURE
from stillroom.handbook.rows import table
from stillroom.handbook.safety.canners import KIND_FOR
from stillroom.handbook.words import tokens
from stillroom.household.records import Equipment, Household


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
            problems.append(Problem(piece.where, what, fix, "cools too fast"))
    return tuple(pieces), tuple(problems)
