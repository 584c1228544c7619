"""Rows that every plan keeps anyway, said so that the solver need not find them out: work follows the last plan."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stillroom.planning.decisions import Decisions
from stillroom.planning.expressions import Row, Sum, at_least
from stillroom.planning.facts import Facts
from stillroom.planning.facts.hand import LastLine

NEAR = 1e-6


def sharper(facts: Facts, decide: Decisions) -> Iterator[Row]:
    """
    Rows about the change from the last plan, line by line, that hold wherever the rules hold.

    Only for lines whose periods are all single days. With before[i] containers in line i, made = sum over t of
    make[p, t], sessions = sum over t of loads[p, t] or setup[p, t]:

        less[i] >= part * (before, rounded up, - made)          where part = before - before rounded down
        more[i] >= (1 - part) * (made - before, rounded down)   for made is whole and before is not
        less[i] >= last * (loads of before - sum of loads)      where last = containers in the last of those loads
        less[i] >= before * (1 - sum of setups)                 for without a session nothing is made

    Without them half a session could keep all of a line, and the hours of whole sessions came out late in the search.
    """
    singles = {period.number for period in facts.singles}
    for number, line in enumerate(facts.last_lines):
        keys = [(line.name, day) for day in line.numbers if (line.name, day) in decide.make]
        if keys and singles.issuperset(line.numbers):
            yield from _of_line(facts, decide, number, line, keys)


def _of_line(
    facts: Facts, decide: Decisions, number: int, line: LastLine, keys: list[tuple[str, int]]
) -> Iterator[Row]:
    before, more, less = line.amount, decide.more[number], decide.less[number]
    made: Sum = [(1.0, decide.make[key]) for key in keys]
    down = math.floor(before + NEAR)
    part = before - down
    if part > NEAR:
        yield at_least([(1.0, less), *((part, variable) for _, variable in made)], part * (down + 1))
        yield at_least([(1.0, more), *((part - 1.0, variable) for _, variable in made)], (part - 1.0) * down)
    load = facts.household.preserve(line.name).load
    if before > NEAR and load is not None and all(key in decide.loads for key in keys):
        loads = math.ceil(before / load - NEAR)
        last = before - load * (loads - 1)
        yield at_least([(1.0, less), *((last, decide.loads[key]) for key in keys)], last * loads)
    if before > NEAR and all(key in decide.setup for key in keys):
        yield at_least([(1.0, less), *((before, decide.setup[key]) for key in keys)], before)
