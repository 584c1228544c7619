"""Audit of the lines the household has fixed with its own hand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from stillroom.household.audit.tally import TOLERANCE, Tally, differs, more, said, when
from stillroom.household.plan import Amounts, Period
from stillroom.household.records import FREEZE_WHOLE, THAW, PlanLine

Asked = tuple[tuple[Period, ...], bool, tuple[float, ...]]
"""The periods of a fixed line, whether exactly its number is asked for, and the numbers that would keep it."""


def amounts_of(tally: Tally, name: str) -> tuple[Amounts, str]:
    """Return the amounts of a plan that a line is about, and the name in them."""
    if name.startswith(FREEZE_WHOLE):
        return tally.plan.freeze_kg, name.removeprefix(FREEZE_WHOLE)
    if name.startswith(THAW):
        return tally.plan.thaw_kg, name.removeprefix(THAW)
    return tally.plan.make, name


def days_of(tally: Tally, line: PlanLine) -> tuple[tuple[Period, ...], bool]:
    """
    Return the periods of a line, and whether it holds exactly; None outside the plan.

    The detailed days it names, with the week of more than half of its days if that is planned as a whole; in weeks
    alone it holds exactly only when it is that week.
    """
    touched = tuple(
        period
        for period in tally.periods
        if (line.day - period.last_day).days <= 0 and (period.first_day - line.day).days < line.days
    )
    single = tuple(period for period in touched if period.single)
    weeks = touched[len(single) :]
    most = tuple(week for week in weeks if 2 * days_within(line, week) > line.days)
    if single:
        return ((*single, *most), False) if most and line.fix else (single, True)
    same_week = len(touched) == 1 and touched[0].first_day == line.day and touched[0].days == line.days
    return touched, same_week


def days_within(line: PlanLine, period: Period) -> int:
    """
    Return the days of a line in a period.

    >>> import datetime
    >>> line = PlanLine(datetime.date(2026, 8, 17), 7, "juice")
    >>> days_within(line, Period(3, datetime.date(2026, 8, 19), 7))
    5
    """
    before = max(0, (period.first_day - line.day).days)
    after = max(0, line.days - 1 - (period.last_day - line.day).days)
    return line.days - before - after


def left_out(tally: Tally, line: PlanLine) -> bool:
    """Return whether a line has no effect: its name is unknown, or its crop cannot be and is not frozen."""
    if line.name.startswith((FREEZE_WHOLE, THAW)):
        _, name = amounts_of(tally, line.name)
        crop = tally.crops.get(name)
        frozen = line.name.startswith(THAW) and any(lot.crop == name and lot.frozen_on for lot in tally.household.lots)
        return crop is None or not (crop.may_be_frozen_whole or frozen)
    return line.name not in tally.preserves


def asked_for(tally: Tally) -> Iterator[tuple[str, Asked]]:
    """Yield what fixed lines ask for: each line within the plan, lines for days of one week together."""
    exact: dict[tuple[str, tuple[Period, ...]], list[float]] = defaultdict(list)
    at_least: dict[tuple[str, tuple[Period, ...]], float] = defaultdict(float)
    for line in tally.household.plan_lines:
        if line.fix is None or left_out(tally, line):
            continue
        days, exactly = days_of(tally, line)
        if days and exactly:
            exact[line.name, days].append(line.fix)
        elif days:
            at_least[line.name, days] += line.fix
    for (name, days), amounts in exact.items():
        yield name, (days, True, tuple(amounts))
    for (name, days), amount in at_least.items():
        yield name, (days, False, (amount,))


def kept(tally: Tally, name: str, days: tuple[Period, ...], exactly: bool, fix: float) -> bool:
    """Return whether a number is made in these periods, or the plan reports the shortfall."""
    amounts, key = amounts_of(tally, name)
    made = sum(amounts.get((key, period.number), 0.0) for period in days)
    numbers = {period.number for period in days}
    violations = [
        violation for violation in tally.plan.violations if violation.name == name and violation.period in numbers
    ]
    missing = [violation.short for violation in violations if not differs(violation.typed, fix)]
    if not exactly and any(more(each.typed, fix) and not differs(made + each.short, each.typed) for each in violations):
        return True  # the line of the whole week asks for more, and what is missing of that is reported
    return any(
        not differs(made + short, fix) or (not exactly and not more(fix, made + short)) for short in (0.0, *missing)
    )


def fixed_lines(tally: Tally) -> Iterator[str]:
    """
    Check that fixed lines are kept, or that the plan reports the shortfall; what is not included is made only so.

    Over its detailed days exactly; in a week that is planned as a whole at least, and exactly when it is that week.
    What is not to be made is in no period made more than is typed for it.
    """
    named: dict[str, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    for name, (days, exactly, typed) in asked_for(tally):
        for period in days:
            named[name][period.number] += sum(typed)
        if not any(kept(tally, name, days, exactly, fix) for fix in typed):
            amounts, key = amounts_of(tally, name)
            made = sum(amounts.get((key, period.number), 0.0) for period in days)
            text = f"but {said(made)} are planned and the plan reports no shortfall"
            yield f"{when(days[0])}: {name} is fixed at {said(typed[-1])}, {text}"
    yield from false_violations(tally, named)
    for preserve, period, amount in tally.makes:
        typed_in = named[preserve.name].get(period.number, 0.0)
        if not preserve.include and more(amount, typed_in):
            only = f", or only {said(typed_in)}" if typed_in else ""
            yield f"{when(period)}: {said(amount)} of {preserve.name} are made, which is not to be made{only}"


def false_violations(tally: Tally, named: Mapping[str, Mapping[int, float]]) -> Iterator[str]:
    """Yield reported violations of lines that do not exist."""
    for violation in tally.plan.violations:
        if violation.short > TOLERANCE and violation.period not in named.get(violation.name, {}):
            yield f"{violation.name} is reported as not kept in period {violation.period}, but nothing is fixed there"
