"""What is left to do of fixed lines once something was made of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from stillroom.household.records import FREEZE_WHOLE, THAW, Household, PlanLine, RecordRow


def still_to_do(household: Household) -> Household:
    """
    Give the household for the planner: of a fixed line, what was made on its days is done and is not planned again.

    Only for planning and its audit; the lines as typed are what is written back.

    >>> import datetime
    >>> from stillroom.household.records import Kitchen
    >>> day = datetime.date(2026, 8, 14)
    >>> typed = Household(Kitchen(day), plan_lines=(PlanLine(day, 1, "juice", fix=14.0, made=8.0),))
    >>> still_to_do(typed).plan_lines[0].fix
    6.0
    """
    recorded: dict[str, list[RecordRow]] = defaultdict(list)
    for row in household.record:
        if row.preserve is not None:
            recorded[row.preserve].append(row)
    lines = [replace(line, fix=_left(line, recorded[line.name])) for line in household.plan_lines]
    return replace(household, plan_lines=tuple(lines))


def _left(line: PlanLine, rows: Iterable[RecordRow]) -> float | None:
    """Give what is left of a fixed line; None for a line that is not fixed."""
    if line.fix is None:
        return None
    whole = line.name.startswith((FREEZE_WHOLE, THAW))
    done = line.made or 0.0
    for row in rows:
        if 0 <= (row.date - line.day).days < line.days:
            done += (row.crop_used_kg or 0.0) if whole else row.made
    return max(line.fix - done, 0.0)
