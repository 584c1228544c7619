"""Audits of the winter list: what counts toward it, how far it is filled, and where to stop."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stillroom.household.audit.tally import TOLERANCE, Tally, more, said, when
from stillroom.household.load_steps import hours_in_piece
from stillroom.household.plan import Period
from stillroom.household.records import Preserve, Target

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
