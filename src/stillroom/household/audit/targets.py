"""Audits of the winter list and the fixed lines: what counts, how far a target is filled, where to stop."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping

from stillroom.household.audit.tally import TOLERANCE, Tally, differs, more, said, when
from stillroom.household.load_steps import hours_in_piece
from stillroom.household.plan import Amounts, Period
from stillroom.household.records import FREEZE_WHOLE, THAW, PlanLine, Preserve, Target

ROUNDING = 1e-9
"""Containers by which the room for one preserve must be larger: 9.8 / 0.35 and 14 / 0.5 are equal."""


def preserve_balance(tally: Tally) -> Iterator[str]:
    """
    Check that a preserve that others use is ready by then: used so far <= on the shelf + ready so far.

    What goes out of date before the plan ends counts as far as it can be used before.
    """
    for name in sorted(tally.taken):
        old = tally.old_taken(name)
        for period in tally.periods:
            there = tally.good_shelf[name] + done_by(tally, name, period) + sum(old[: period.number + 1])
            used = sum(tally.taken[name][: period.number + 1])
            if more(used, there):
                yield f"{when(period)}: {said(used)} of {name} are used by others, but only {said(there)} are available"
                break


def done_by(tally: Tally, name: str, period: Period) -> float:
    """
    Return the containers of a preserve that are out of their equipment by the end of a period.

    A job longer than its period runs day and night from that period's first day.
    """
    preserve, hours = tally.preserves[name], 0.0
    if preserve.load is not None and preserve.equipment:
        hours = hours_in_piece(preserve, tally.equipment[preserve.equipment[-1]])
    done = 0.0
    for start, amount in zip(tally.periods, tally.made[name], strict=True):
        days = start.days if hours <= 24 * start.days else math.ceil(hours / 24 - TOLERANCE)
        if (period.last_day - start.first_day).days >= days - 1:
            done += amount
    return done


def covered(tally: Tally, target: Target) -> float:
    """Return how much counts toward a target, in its unit: good on the shelf, and made, less used by others."""
    return sum(each * tally.standing(name) for name, each in target.counts.items() if name in tally.preserves)


def band_sizes(tally: Tally, target: Target) -> tuple[float, ...]:
    """Return the sizes of a target's segments: four quarters, or one where targets are not filled evenly."""
    return (target.wanted / 4,) * 4 if tally.household.kitchen.fill_targets_evenly else (target.wanted,)


def target_filling(tally: Tally) -> Iterator[str]:
    """Check that what fills a target exists, and that no segment is filled beyond its size."""
    for target in tally.household.targets:
        sizes = band_sizes(tally, target)
        filled = [amount for (name, _), amount in tally.plan.bands.items() if name == target.name]
        there = covered(tally, target)
        if more(sum(filled), there):
            yield f"{target.name}: {said(sum(filled))} are stated as covered, but only {said(there)} are available"
        for (name, segment), amount in sorted(tally.plan.bands.items()):
            if name == target.name and (not 0 <= segment < len(sizes) or more(amount, sizes[segment])):
                yield f"{target.name}: part {segment + 1} is stated to have {said(amount)}, which is more than it takes"


def room_of(tally: Tally, target: Target) -> float:
    """Return the room of a target: at most, less what is good on the shelf."""
    shelf = sum(each * tally.good_shelf[name] for name, each in target.counts.items())
    return max(0.0, target.at_most - shelf)


def group_of(tally: Tally, preserve: str) -> Target | None:
    """Return the target of a preserve: the one with the most room for it, ties by name; None without one."""
    best, widest = None, -1.0
    for target in sorted(tally.household.targets, key=lambda target: target.name):
        each = target.counts.get(preserve, 0.0)
        if each > 0 and room_of(tally, target) / each > widest + ROUNDING:
            best, widest = target, room_of(tally, target) / each
    return best


def fixed_total(tally: Tally, preserve: str) -> float:
    """Return the containers of a preserve that fixed lines within the plan ask for."""
    first, last = tally.periods[0].first_day, tally.last_day
    return sum(
        line.fix
        for line in tally.household.plan_lines
        if line.name == preserve and line.fix is not None and line.day <= last and (first - line.day).days < line.days
    )


def kept_at_least(tally: Tally, preserve: str) -> float:
    """
    Return the containers made less those used by others, which use as little as they can of what goes out of date.

    They have to use what is neither good on the shelf to the end nor ready by then.
    """
    if not any(tally.old_taken(preserve)):
        return tally.kept(preserve)
    short = [
        sum(tally.taken[preserve][: period.number + 1]) - tally.good_shelf[preserve] - done_by(tally, preserve, period)
        for period in tally.periods
    ]
    return tally.kept(preserve) + max(0.0, *short)


def at_most(tally: Tally) -> Iterator[str]:
    """
    Check that what the preserves of a target make, less what others use, is within its room.

    On detailed days it may exceed it by less than one container. Fixed lines are always allowed.
    """
    groups: dict[str, list[Preserve]] = {}
    for preserve in tally.household.preserves:
        target = group_of(tally, preserve.name)
        if target is not None:
            groups.setdefault(target.name, []).append(preserve)
    whole = any(period.single for period in tally.periods)
    for target in tally.household.targets:
        members = groups.get(target.name, [])
        made = sum(target.counts[member.name] * kept_at_least(tally, member.name) for member in members)
        typed = sum(target.counts[member.name] * fixed_total(tally, member.name) for member in members)
        one = max((target.counts[member.name] for member in members), default=0.0) if whole else 0.0
        room = max(room_of(tally, target), typed)
        if more(made, room + one) or (one > 0 and made >= room + one - TOLERANCE and more(made, room)):
            yield f"{target.name}: {said(made)} are made toward it, but there is room for only {said(room)}"


def no_purpose(tally: Tally) -> Iterator[str]:
    """Check that a preserve without a target is made only as far as others use it or it is fixed, plus under one."""
    for preserve in tally.household.preserves:
        made, taken = sum(tally.made[preserve.name]), sum(tally.taken[preserve.name])
        allowed = taken + fixed_total(tally, preserve.name)
        if group_of(tally, preserve.name) is None and made > TOLERANCE and made >= allowed + 1 - TOLERANCE:
            use = f"which counts toward no target, and others use only {said(taken)}"
            yield f"{said(made)} of {preserve.name} are made, {use}"


# Audit of the fixed lines.

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
