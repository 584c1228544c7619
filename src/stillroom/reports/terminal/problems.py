"""Problems that differ only in their cell and in the name they speak of, told as one: a whole column says it once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stillroom.errors import Problem
from stillroom.household.cells import address, cell_place

if TYPE_CHECKING:
    from stillroom.household.results.receipt import Receipt


ALIKE = 3
"""From so many on, problems that are alike are told together."""
NAMES, STOPPING_NAMES = 3, 8
"""So many of their names are said, and so many of what stops the plan."""
PLACES = 4
"""So many places are said of what does not stop the plan; of what stops it, all are."""
NAME = re.compile(r"\*([^*]+)\*")
CELL = re.compile(r"[A-Z]{1,3}[1-9]\d*")


def gathered(problems: Sequence[Problem]) -> list[Problem]:
    """
    The problems, those that are alike as one, each where the first of them stands.

    >>> blank = [Problem(f"'Winter list'!B{row}", f"*{name}* is blank", "write it", "blank required")
    ...          for row, name in ((6, "jam"), (7, "juice"), (8, "kraut"), (9, "salsa"))]
    >>> [str(one) for one in gathered(blank)]
    ['Needs!B6:B9: *jam*, *juice*, *kraut*, *salsa* are blank; write it']
    """
    groups: dict[tuple[str, ...], list[Problem]] = {}
    for problem in problems:
        groups.setdefault(likeness(problem), []).append(problem)
    found = []
    for problem in problems:
        several = groups[likeness(problem)]
        if len(several) < ALIKE:
            found.append(problem)
        elif problem is several[0]:
            found.append(together(several))
    return found


def likeness(problem: Problem) -> tuple[str, ...]:
    """What problems that are alike have in common: all but the cell and the first name."""
    return problem.kind, problem.where.partition("!")[0], NAME.sub("", problem.what, count=1), problem.fix


def together(several: Sequence[Problem]) -> Problem:
    """Problems that are alike as one, with all their places and some of their names."""
    first = several[0]
    sheet = first.where.partition("!")[0]
    places = areas([problem.where.partition("!")[2] for problem in several])
    if len(places) > PLACES and not first.stops:
        places = [*places[: PLACES - 1], f"and {len(places) - PLACES + 1} more"]
    names = list(dict.fromkeys(found[1] for one in several if (found := NAME.search(one.what))))
    most = STOPPING_NAMES if first.stops else NAMES
    said = ", ".join(f"*{name}*" for name in names[:most])
    if len(names) > most:
        said += f" and {len(names) - most} more"
    where = f"{sheet}!{', '.join(places)}" if all(places) else sheet
    what = NAME.sub(lambda _: said, first.what, count=1)
    if len(names) > 1 and first.what.startswith("*"):
        what = what.replace(f"{said} is ", f"{said} are ", 1)
    return replace(first, where=where, what=what)


def areas(cells: Sequence[str]) -> list[str]:
    """
    Cells as areas: those below one another as one, then such columns side by side as one.

    >>> areas(["B6", "B7", "B8", "D2"]), areas(["G6", "H6", "I6", "G7", "H7", "I7"]), areas(["A3", ""])
    (['D2', 'B6:B8'], ['G6:I7'], ['A3', ''])
    """
    if not all(CELL.fullmatch(cell) for cell in cells):
        return list(dict.fromkeys(cells))
    runs: list[list[int]] = []  # first row, last row, first column, last column
    for column, row in sorted({cell_place(cell)[::-1] for cell in cells}):
        if runs and runs[-1][3] == column and runs[-1][1] == row - 1:
            runs[-1][1] = row
        else:
            runs.append([row, row, column, column])
    joined: list[list[int]] = []
    for run in runs:
        beside = next((one for one in joined if one[:2] == run[:2] and one[3] == run[2] - 1), None)
        if beside is None:
            joined.append(run)
        else:
            beside[3] = run[3]
    joined.sort()
    corners = [(address(top, left), address(bottom, right)) for top, bottom, left, right in joined]
    return [start if start == end else f"{start}:{end}" for start, end in corners]


# Which formulas of the household's a save leaves to be worked out anew, in words.

MOST_CELLS = 4


def cleared_words(receipt: Receipt) -> list[str]:
    """Name the cells whose saved result was taken out because it rested on what changed, if there are any."""
    if not receipt.results_cleared:
        return []
    lines = [f"Formulas to be worked out anew when you open it: {some(receipt.results_cleared)}"]
    if receipt.cleared_to_be_safe:
        cells = some(receipt.cleared_to_be_safe)
        lines.append(
            f"Among them, since nobody can see beforehand what OFFSET, INDIRECT or INDEX will look at: {cells}"
        )
    return lines


def some(cells: Sequence[str]) -> str:
    """
    The first few cells, and whether there are others.

    >>> some(["Mine!A1", "Mine!A2"]), some(["A!A1", "A!A2", "A!A3", "A!A4", "A!A5"])
    ('Mine!A1, Mine!A2', 'A!A1, A!A2, A!A3, A!A4 and others')
    """
    return ", ".join(cells[:MOST_CELLS]) + (" and others" if len(cells) > MOST_CELLS else "")
