"""Problems that follow from one slip: cells that were moved under the headings of others."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from stillroom.errors import KINDS, Problem
from stillroom.household.cells import address, cell_place
from stillroom.household.text import format_number

MOVED_ROWS, MOVED_COLUMNS = 3, 2
"""From so many rows with the wrong kind of thing in so many columns on, cells were moved."""
BESIDE = 3
"""So many columns beside them, cells that are blank in the same rows are taken to be left by the move."""
_WRONG_KINDS = ("unknown name", "unknown method", "unreadable choice", "not yes or no", "unreadable can buy")
_BLANK = ("blank required", "blank choice", "blank name", "blank text")


def with_moved_as_one(problems: Iterable[Problem]) -> list[Problem]:
    """
    Return the problems, with those of cells that were moved under other headings as one for each sheet.

    >>> wrong = [Problem(f"Crops!{c}{r}", "not a number", ("x", "7")) for r in (4, 5, 6) for c in "DE"]
    >>> [(one.where, one.kind) for one in with_moved_as_one(wrong)]
    [('Crops!D4:E6', 'cells moved')]
    """
    told = list(problems)
    wrong: dict[str, dict[int, set[int]]] = defaultdict(lambda: defaultdict(set))
    for sheet, row, column, problem in _placed(told):
        if KINDS[problem.kind].about == "measures" or problem.kind in _WRONG_KINDS:
            wrong[sheet][column].add(row)
    for sheet, columns in wrong.items():
        several = {column: rows for column, rows in columns.items() if len(rows) >= MOVED_ROWS}
        rows = set.intersection(*several.values()) if len(several) >= MOVED_COLUMNS else set()
        if len(rows) < MOVED_ROWS:
            continue
        first, last = min(several), max(several)
        moved = [
            (row, column, problem)
            for place, row, column, problem in _placed(told)
            if place == sheet
            and min(rows) <= row <= max(rows)
            and (column in several or (problem.kind in _BLANK and first - BESIDE <= column <= last + BESIDE))
        ]
        corners = address(min(rows), min(one[1] for one in moved)), address(max(rows), max(one[1] for one in moved))
        followed = {problem for *_, problem in moved}
        told = [problem for problem in told if problem not in followed]
        told.append(Problem(f"{sheet}!{':'.join(corners)}", "cells moved", (format_number(len(rows)),)))
    return told


def _placed(problems: Iterable[Problem]) -> list[tuple[str, int, int, Problem]]:
    """Return those problems that stop the plan at a cell, with its sheet, row and column."""
    found = []
    for problem in problems:
        sheet, _, cell = problem.where.rpartition("!")
        if problem.stops and sheet and ":" not in cell:
            found.append((sheet, *cell_place(cell), problem))
    return found
