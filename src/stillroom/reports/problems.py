"""The sentences of problems, problems of one kind gathered into one, and the errors of what is left out of a plan."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace

from stillroom.errors import KINDS, Problem
from stillroom.household.cells import column_number
from stillroom.household.records import Household
from stillroom.household.refusals import nothing_words, refusals
from stillroom.household.text import with_plain_dates

SEVERAL = 3
"""From this many on, problems of one kind, field and sheet are gathered into one."""
NAMES, STOPPING_NAMES = 3, 8
"""How many of their names are shown: of notes, and of what stops the plan. Of what refuses a preserve, all are."""
ENTRIES = 12
"""How many problems a list shows before it says how many more there are."""
CELL = re.compile(r"([A-Z]{1,3})([1-9]\d*)")
PLACES = 4
"""How many places of notes are shown; of errors, all are."""


def sentences(problem: Problem) -> tuple[str, str]:
    """
    Return what is wrong and what to do, as sentences; the second is empty where nothing needs doing.

    >>> sentences(Problem("Harvest!B8", "unknown name", ("plumm", "crop", "Crops"), "plum tomato"))
    ('No crop is called "plumm".', 'Did you mean plum tomato?')
    """
    kind, fix = KINDS[problem.kind], KINDS[problem.kind].fix
    if problem.suggestion and "{suggestion}" not in fix:
        fix = "did you mean {suggestion}?"
    given = {
        "field": problem.field,
        "suggestion": problem.suggestion,
        "cause": sentences(problem.cause[0])[0] if problem.cause else "",
        "in_field": f"in {problem.field}, " if problem.field else "",
    }
    return _sentence(kind.what.format(*problem.names, **given)), _sentence(fix.format(*problem.names, **given))


def _sentence(text: str) -> str:
    """Return a text with its dates as people write them, a capital at its beginning and a period at its end."""
    words = with_plain_dates(text)
    return "" if not words else f"{words[0].upper()}{words[1:]}{'' if words.endswith(('.', '?')) else '.'}"


def reason(problem: Problem) -> str:
    """Return what is wrong and what to do in one line."""
    return " ".join(filter(None, sentences(problem)))


def line(problem: Problem) -> str:
    """Return where it is, what is wrong and what to do in one line."""
    return f"{problem.where}: {reason(problem)}" if problem.where else reason(problem)


def gathered(problems: Sequence[Problem]) -> list[Problem]:
    """
    Return the problems with those of one kind, field, sheet and suggestion as one, at the place of the first.

    >>> blank = [Problem(f"Crops!B{row}", "blank required", ("53 lb",), field="Amount") for row in (6, 7, 8, 9)]
    >>> [line(one) for one in gathered(blank)]
    ['Crops!B6:B9: Amount is blank. Type it, such as 53 lb, or clear the whole row.']
    """
    groups: dict[tuple[str, ...], list[Problem]] = {}
    for problem in problems:
        groups.setdefault(_group(problem), []).append(problem)
    found = []
    for problem in problems:
        several = groups[_group(problem)]
        if 0 < len(several) < SEVERAL:
            found.append(problem)
        elif several:
            found.append(_as_one(several))
            several.clear()
    return found


def more_words(left_out: int) -> list[str]:
    """
    Return the line that ends a list of problems cut short; none for a whole one.

    >>> more_words(3), more_words(0)
    (['and 3 more (stillroom check --all)'], [])
    """
    return [f"and {left_out} more (stillroom check --all)"] if left_out > 0 else []


def _group(problem: Problem) -> tuple[str, ...]:
    """Return what problems must have in common to be gathered; of what refuses a preserve, all but its name."""
    cause = problem.cause[0].kind if problem.cause else ""
    alike = problem.names[1:] if problem.refuses else ()
    if problem.kind == "target refused":
        cause = str(problem.cause[0]) if problem.cause else ""
    return problem.kind, problem.where.partition("!")[0], problem.field, problem.suggestion, cause, *alike


def _as_one(several: Sequence[Problem]) -> Problem:
    """Return one problem with the places of all and some of their names."""
    first = several[0]
    sheet = first.where.partition("!")[0]
    places = areas([problem.where.partition("!")[2] for problem in several])
    if len(places) > PLACES and not first.is_error:
        places = [*places[: PLACES - 1], f"and {len(places) - PLACES + 1} more"]
    most = len(several) if first.refuses else STOPPING_NAMES if first.stops else NAMES
    names = tuple(_joined([one.names[at] for one in several], most) for at in range(len(first.names)))
    where = f"{sheet}!{', '.join(places)}" if all(places) else sheet
    return replace(first, where=where, names=names)


def _joined(names: Sequence[str], most: int) -> str:
    """Return different names in one list, a few of many."""
    different = [with_plain_dates(name) for name in dict.fromkeys(names)]
    comma = ";" if any("," in name for name in different) else ","
    more = f" and {len(different) - most} more" if len(different) > most else ""
    return f"{comma} ".join(different[:most]) + more


def areas(cells: Sequence[str]) -> list[str]:
    """
    Return cells as areas: those below one another as one, then such columns side by side as one.

    >>> areas(["B6", "B7", "B8", "D2"]), areas(["G6", "H6", "I6", "G7", "H7", "I7"]), areas(["A3", ""])
    (['D2', 'B6:B8'], ['G6:I7'], ['A3', ''])
    """
    found = [CELL.fullmatch(cell) for cell in cells]
    if not all(found):
        return list(dict.fromkeys(cells))
    places = sorted({(column_number(one[1]), int(one[2]), one[1]) for one in found if one is not None})
    runs: list[list[tuple[int, int, str]]] = []  # the first and the last cell of each
    for place in places:
        if runs and runs[-1][1][:2] == (place[0], place[1] - 1):
            runs[-1][1] = place
        else:
            runs.append([place, place])
    joined: list[list[tuple[int, int, str]]] = []
    for top, bottom in runs:
        rows = (top[1], bottom[1])
        left = next((one for one in joined if (one[0][1], one[1][1]) == rows and one[1][0] == top[0] - 1), None)
        if left is None:
            joined.append([top, bottom])
        else:
            left[1] = bottom
    joined.sort(key=lambda one: (one[0][1], one[1][1], one[0][0]))
    corners = [(f"{first[2]}{first[1]}", f"{last[2]}{last[1]}") for first, last in joined]
    return [first if first == last else f"{first}:{last}" for first, last in corners]


def error_lines(household: Household, but: Collection[Problem] = ()) -> list[str]:
    """
    Return a line for each error, those with the same cause as one; first that nothing can be planned, if so.

    `household` is settled; `but` are errors that are shown elsewhere.
    """
    errors = gathered([problem for problem in refusals(household) if problem not in but])
    nothing = nothing_words(household)
    return [*([nothing] if nothing else []), *(f"Error: {line(one)}" for one in errors)]


def lines_with_errors(household: Household, lines: Sequence[str]) -> list[str]:
    """Return sentences with those of the errors before them."""
    return [*error_lines(household), *lines]
