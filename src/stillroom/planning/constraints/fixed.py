"""Constraints on the plan's own lines: what the household fixed, and the change from the last plan."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.household.records import FREEZE_WHOLE, THAW
from stillroom.planning.model import Row, Sum, at_least, equal
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

Named = tuple[str, Row]


def decided(variables: Variables, name: str, numbers: tuple[int, ...]) -> Sum:
    """Return the variables of a plan line over its periods: containers made, or kg frozen whole or thawed."""
    if name.startswith(FREEZE_WHOLE):
        by_period, key = variables.freeze, name.removeprefix(FREEZE_WHOLE)
    elif name.startswith(THAW):
        by_period, key = variables.thaw, name.removeprefix(THAW)
    else:
        by_period, key = variables.make, name
    return [(1.0, by_period[key, number]) for number in numbers if (key, number) in by_period]


def fixed_lines(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Make what the household typed in *Keep at*, as far as the other constraints allow.

        sum over t of fix i of make[p, t] + short[i] = amount[i]      for i in fixes

    where
        amount[i] = containers (kg for crop frozen whole or thawed) typed in fixed line i
        short[i]  = shortfall, in the same unit, at most amount[i]

    A line for one day of a week that is planned as a whole asks for at least its amount (>=).

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(fixed_lines, tiny_household())
    fixed_lines.1: make.kraut.08_15 + short.fixed1 = 4
    """
    for number, fix in enumerate(parameters.fixes):
        terms = [*decided(variables, fix.name, fix.numbers), (1.0, variables.short[number])]
        label = variables.name("fixed_lines", f"{number + 1}")
        yield label, (equal if fix.exact else at_least)(terms, fix.amount)


def last_plan(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Count the change from the lines of the last plan, up and down.

        sum over t of line i of make[p, t] - more[i] + less[i] = amount[i]      for i in last_lines

    where
        amount[i] = containers of p that the last plan made on detailed day t; over all its detailed days where its
                    crop keeps two weeks

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(last_plan, tiny_household(), "")
    last_plan.1: make.juice.08_14 - more.last1 + less.last1 = 7
    last_plan.2: make.kraut.08_15 - more.last2 + less.last2 = 4
    """
    for number, line in enumerate(parameters.last_lines):
        made = decided(variables, line.name, line.numbers)
        terms = [*made, (-1.0, variables.more[number]), (1.0, variables.less[number])]
        yield variables.name("last_plan", f"{number + 1}"), equal(terms, line.amount)
