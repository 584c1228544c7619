"""How a plan differs from the one that stands in the workbook: new, more, less, moved, gone."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.household.answer.sums import ALMOST, Sums
from stillroom.household.answer.units import in_crop_unit
from stillroom.household.answer.words import WEEKDAY_NAMES, amount_words, day_words, listed
from stillroom.household.records import FREEZE_WHOLE, THAW, PlanLine

Key = tuple[datetime.date, int, str]
"""Day, days and name of a line."""

SAME = 0.5
"""Containers by which two plans may differ and still count as the same: a week's figure is a fraction."""

CRUMB = 0.05
"""Containers in a week that are not worth a line."""


@dataclass
class Change:
    """Words for the Change column by line, and the former lines of which nothing is left and nothing is kept."""

    of_line: dict[Key, str] = field(default_factory=dict)
    gone: list[PlanLine] = field(default_factory=list)


def planned_amounts(sums: Sums) -> dict[Key, float]:
    """
    Every line of the plan, amounts in containers or kg.

    A twentieth of a container in a week is left out: it rounds to nothing, and nobody could make it.
    """
    found: dict[Key, float] = {}
    for start, amounts in (("", sums.plan.make), (FREEZE_WHOLE, sums.plan.freeze_kg), (THAW, sums.plan.thaw_kg)):
        for (name, number), amount in amounts.items():
            period = sums.periods[number]
            crumb = CRUMB if not start and not period.single else ALMOST
            if amount > crumb:
                found[period.first_day, period.days, start + name] = amount
    return found


def changes(sums: Sums) -> Change:
    """
    Compare the lines of the plan with the former ones.

    A day is compared with that day. A former week is compared by its sum over the lines that now stand in its place:
    its days where they are planned singly, and the week that lies nearest. A first plan has no changes.
    """
    found = Change()
    former = [line for line in sums.household.plan_lines if line.make is not None]
    first = sums.periods[0].first_day
    former = [line for line in former if line.day + datetime.timedelta(days=line.days - 1) >= first]
    if not former:
        return found
    free = planned_amounts(sums)
    rest = []
    for line in former:
        key = (line.day, line.days, line.name)
        if key in free:
            found.of_line[key] = words(sums, line.name, free.pop(key), line.make or 0.0)
        else:
            rest.append(line)
    missing = []
    for line in rest:
        place = in_place_of(line, free)
        total = sum(free.pop(key) for key in place)
        if place:
            said = words(sums, line.name, total, line.make or 0.0)
            found.of_line |= dict.fromkeys(place[:-1], "") | {place[-1]: said}
        elif (line.make or 0.0) >= same(sums, line.name):
            missing.append(line)
    for line in missing:
        moved = moved_to(line, free)
        found.of_line[line.day, line.days, line.name] = "gone"
        if moved is not None:
            found.of_line[line.day, line.days, line.name] = f"moved to {weekday_words(moved[0], line.day)}"
            said = words(sums, line.name, free.pop(moved), line.make or 0.0)
            came = f"moved from {weekday_words(line.day, moved[0])}"
            found.of_line[moved] = f"{came}, {said}" if said else came
        elif line.fix is None and line.made is None and line.note is None:
            found.gone.append(line)
    found.of_line |= {key: "new" if amount >= same(sums, key[2]) else "" for key, amount in free.items()}
    return found


def moved_to(line: PlanLine, free: Mapping[Key, float]) -> Key | None:
    """The nearest new line of a single day that takes the place of one of another day; None for a week's line."""
    days = [key for key in free if key[2] == line.name and key[1] == 1 and line.days == 1]
    return min(days, key=lambda key: (abs((key[0] - line.day).days), key), default=None)


def weekday_words(day: datetime.date, other: datetime.date) -> str:
    """
    A day by its weekday where that is plain, seen from another day.

    >>> weekday_words(datetime.date(2026, 8, 11), datetime.date(2026, 8, 14))
    'Tuesday'
    >>> weekday_words(datetime.date(2026, 8, 7), datetime.date(2026, 8, 14))
    'Fri 7 Aug'
    """
    return WEEKDAY_NAMES[day.weekday()] if abs((day - other).days) < 7 else day_words(day)


def change_words(found: Change) -> str:
    """
    Say in a line how many lines changed, and how; empty where none did.

    >>> change_words(Change({(datetime.date(2026, 8, 14), 1, "juice"): "new"}))
    'Against the last plan: 1 line new.'
    """
    kinds = ("new", "more", "less", "moved from", "gone")
    counts = {kind: sum(words.startswith(kind) for words in found.of_line.values()) for kind in kinds}
    said = [f"{count} {kind.removesuffix(' from')}" for kind, count in counts.items() if count]
    if not said:
        return ""
    first, *rest = said
    number, kind = first.split(" ", 1)
    lines = "line" if number == "1" else "lines"
    return f"Against the last plan: {listed([f'{number} {lines} {kind}', *rest])}."


def in_place_of(line: PlanLine, free: Mapping[Key, float]) -> list[Key]:
    """The new lines that stand where a former week stood: its single days, and the nearest week within three days."""
    if line.days == 1:
        return []
    end = line.day + datetime.timedelta(days=line.days - 1)
    place = [key for key in free if key[2] == line.name and key[1] == 1 and line.day <= key[0] <= end]
    near = [key for key in free if key[2] == line.name and key[1] > 1 and abs((key[0] - line.day).days) <= 3]
    return sorted(place) + sorted(near, key=lambda key: (abs((key[0] - line.day).days), key))[:1]


def same(sums: Sums, name: str) -> float:
    """How little is no change: half a container, or half of the crop's unit in kg."""
    unit = crop_unit(sums, name)
    return SAME if unit is None else SAME / in_crop_unit(1.0, sums.crop_named[unit])


def crop_unit(sums: Sums, name: str) -> str | None:
    """The crop of a line for crop frozen whole, None for a preserve."""
    for start in (FREEZE_WHOLE, THAW):
        if name.startswith(start) and name.removeprefix(start) in sums.crop_named:
            return name.removeprefix(start)
    return None


def words(sums: Sums, name: str, now: float, before: float) -> str:
    """More, less or gone, with by how much; nothing for the same."""
    away = now - before
    if abs(away) < same(sums, name):
        return ""
    if now <= 1e-6:
        return "gone"
    if before <= 1e-6:
        return "new"
    crop = crop_unit(sums, name)
    by = amount_words(abs(away) if crop is None else in_crop_unit(abs(away), sums.crop_named[crop]))
    return f"more (+{by})" if away > 0 else f"less (-{by})"
