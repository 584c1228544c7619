"""The rows of every output table, and those of Plan: what to do on each day and week, and when jars are needed."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from stillroom.household.journal.overview import season_rows
from stillroom.household.plan import Period, Plan, best_by
from stillroom.household.records import FREEZE_WHOLE, METHODS, THAW, Crop, Household, PlanLine, Preserve
from stillroom.household.results.coverage import coverage_rows, crop_use_rows, shopping_rows, space_rows
from stillroom.household.results.messages import Caution, few_frozen_words, few_words, likely_cells, message_rows
from stillroom.household.results.rows import Row, cell_number, in_crop_unit
from stillroom.household.results.sums import ALMOST, Sums
from stillroom.household.standing import standing_text
from stillroom.household.text import (
    WEEKDAY_NAMES,
    format_amount,
    format_crop,
    format_list,
    format_long_date,
    format_period,
)

# How a plan differs from the one that stands in the workbook: new, more, less, moved, gone.

Key = tuple[datetime.date, int, str]
"""Day, days and name of a line."""

SAME = 0.5
"""Containers by which two plans may differ and still count as the same: a week's figure is a fraction."""

WEEKS_LEAST, WEEKS_LEAST_KG = 0.5, 0.45359237
"""The least of a week that has a line, in containers and in kg (a pound): weeks are rough, and planned again by day."""


@dataclass
class Change:
    """Words for the Change column by line, and the former lines of which nothing is left and nothing is kept."""

    of_line: dict[Key, str] = field(default_factory=dict)
    gone: list[PlanLine] = field(default_factory=list)


def planned_amounts(sums: Sums) -> dict[Key, float]:
    """
    Every line of the plan, amounts in containers or kg.

    What a week has less of than half a container, or a pound of crop frozen whole or thawed, has no line unless the
    household fixed one: nobody could make it. *Coverage* counts it all the same.
    """
    fixed = {line.name for line in sums.household.plan_lines if line.fix is not None}
    found: dict[Key, float] = {}
    for start, amounts in (("", sums.plan.make), (FREEZE_WHOLE, sums.plan.freeze_kg), (THAW, sums.plan.thaw_kg)):
        for (name, number), amount in amounts.items():
            period, rough = sums.periods[number], WEEKS_LEAST_KG if start else WEEKS_LEAST
            if amount > ALMOST and (period.single or amount >= rough - ALMOST or start + name in fixed):
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
    'Fri Aug 7'
    """
    return WEEKDAY_NAMES[day.weekday()] if abs((day - other).days) < 7 else format_long_date(day)


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
    return f"Against the last plan: {format_list([f'{number} {lines} {kind}', *rest])}."


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
    by = format_amount(abs(away) if crop is None else in_crop_unit(abs(away), sums.crop_named[crop]))
    return f"more (+{by})" if away > 0 else f"less (-{by})"


OWN_RECIPE = "own recipe, not from the handbook"
FROM_MEMORY = "not verified"


@dataclass
class Line:
    """One line of the plan before it is a row; `make` in containers or in kg, None when only the household's."""

    day: datetime.date
    days: int
    name: str
    number: int | None
    make: float | None
    change: str = ""
    uses: str = ""
    theirs: PlanLine | None = field(default=None)


def plan_rows(sums: Sums, found: Change) -> list[Row]:
    """
    Every line of the plan with its crop, loads and hours, then the household's own cells beside it.

    A line that is no longer planned stays when the household wrote beside it.
    """
    lines = planned_lines(sums, found)
    lines += join_theirs(sums, lines, found)
    lines.sort(key=lambda line: reading_order(sums, line))
    return [row_of(sums, line) for line in lines]


def planned_lines(sums: Sums, found: Change) -> list[Line]:
    """One line for each preserve made, each crop frozen whole and each crop taken out, in every period."""
    number_of = {(period.first_day, period.days): period.number for period in sums.periods}
    return [
        Line(day, days, name, number_of[day, days], make, found.of_line.get((day, days, name), ""))
        for (day, days, name), make in planned_amounts(sums).items()
    ]


def join_theirs(sums: Sums, lines: list[Line], found: Change) -> list[Line]:
    """
    Hang the household's Keep at, Made and Note on the line they belong to; return the lines that must be kept for them.

    A line is the same by day, length and name; a note alone also follows when only the length has changed.
    """
    by_key = {(line.day, line.days, line.name.casefold()): line for line in lines}
    by_day = {(line.day, line.name.casefold()): line for line in lines}
    kept = []
    for theirs in sums.household.plan_lines:
        if theirs.fix is None and theirs.made is None and theirs.note is None:
            continue
        name = theirs.name.casefold()
        line = by_key.get((theirs.day, theirs.days, name))
        if line is None and theirs.fix is None and theirs.made is None:
            line = by_day.get((theirs.day, name))
        if line is not None and line.theirs is None:
            line.theirs = theirs
        else:
            kept.append(kept_line(sums, theirs, found))
    return kept


def kept_line(sums: Sums, theirs: PlanLine, found: Change) -> Line:
    """
    A line that is not planned and stays for what the household wrote beside it.

    Past lines keep what they said. A fixed line that other periods now hold keeps Make blank, so that nothing is
    counted twice. Any other says 0.
    """
    line = Line(theirs.day, theirs.days, theirs.name, None, theirs.make, theirs=theirs)
    last = theirs.day + datetime.timedelta(days=theirs.days - 1)
    inside = [p for p in sums.periods if p.first_day <= last and p.last_day >= theirs.day]
    if last < sums.periods[0].first_day or not inside:
        return line
    same = len(inside) == 1 and (inside[0].first_day, inside[0].days) == (theirs.day, theirs.days)
    if theirs.fix is not None and not same:
        line.make = None
        weeks = " or ".join(format_period(period.first_day, 7) for period in inside)
        line.uses = "kept in the days of this week" if inside[0].single else f"kept in {weeks}"
    elif theirs.fix is not None or theirs.make is not None:
        line.make = 0.0
        line.change = found.of_line.get((theirs.day, theirs.days, theirs.name), "")
    return line


def reading_order(sums: Sums, line: Line) -> tuple[datetime.date, int, bool, int, float, str, int, str]:
    """By day; first what is taken out of the freezer, then crop by crop what keeps the shortest, freezing last."""
    crop: Crop | None = None
    turn = 1
    method = len(METHODS)
    if line.name.startswith(THAW):
        crop, turn = sums.crop_named.get(line.name.removeprefix(THAW)), 0
    elif line.name.startswith(FREEZE_WHOLE):
        crop = sums.crop_named.get(line.name.removeprefix(FREEZE_WHOLE))
    elif line.name in sums.preserve_named:
        item = sums.preserve_named[line.name]
        crop = main_crop(sums, item)
        method = METHODS.index(item.method) if item.method in METHODS else method
    keeps = math.inf if crop is None else crop.keeps_days
    return (line.day, line.days, line.number is None, turn, keeps, crop.name if crop else "", method, line.name)


def main_crop(sums: Sums, item: Preserve) -> Crop | None:
    """The crop a preserve takes most of, by weight."""
    lines = [line for line in item.ingredients if line.source == "crop"]
    if not lines:
        return None
    return sums.crop_named.get(max(lines, key=lambda line: (line.amount_each, line.item)).item)


def row_of(sums: Sums, line: Line) -> Row:
    """One row of the table, all columns."""
    theirs = line.theirs
    row: Row = {"Day": line.day, "Days": line.days, "Preserve": line.name}
    row |= dict.fromkeys(("Make", "Unit", "Loads", "Uses", "Hands-on h", "Stove h"))
    in_unit = 1.0
    crop = None
    if line.name in sums.preserve_named:
        row |= made_cells(sums, line, sums.preserve_named[line.name])
    else:
        crop = crop_of(sums, line.name)
        if crop is not None:
            row |= freezer_cells(sums, line, crop)
            in_unit = in_crop_unit(1.0, crop)
        elif line.make is not None:
            row["Make"] = cell_number(line.make)
    row |= likely_cells(sums, row, line.name, line.number, crop)
    row["Keep at"] = None if theirs is None or theirs.fix is None else cell_number(theirs.fix * in_unit)
    row["Made"] = None if theirs is None or theirs.made is None else cell_number(theirs.made * in_unit)
    row["Note"] = None if theirs is None else theirs.note
    row["Change"] = line.change or None
    row |= dict.fromkeys(("Can wait until", "Else"))
    return row


def crop_of(sums: Sums, name: str) -> Crop | None:
    """The crop of a `freeze whole:` or `thaw:` line."""
    for start in (FREEZE_WHOLE, THAW):
        if name.startswith(start):
            return sums.crop_named.get(name.removeprefix(start))
    return None


def made_cells(sums: Sums, line: Line, item: Preserve) -> Row:
    """Cells of a preserve's line."""
    cells: Row = {"Unit": item.container}
    if line.uses:
        cells["Uses"] = line.uses
    if line.make is None:
        return cells
    loads = 0.0 if line.make <= ALMOST else sums.loads(item, -1 if line.number is None else line.number, line.make)
    if line.number is None:
        loads = math.ceil(loads - ALMOST)
    cells["Make"] = cell_number(line.make)
    cells["Loads"] = cell_number(loads) if item.load is not None else None
    if line.make > ALMOST:
        short = "" if line.number is None else short_keeping(sums, item, sums.periods[line.number])
        few = "" if line.number is None else few_words(sums, item, sums.periods[line.number], line.make)
        cells["Uses"] = line.uses or "; ".join(filter(None, (uses_words(sums, item, line.make), short, few)))
        cells["Hands-on h"] = cell_number(sums.hands_hours(item, line.make, loads))
        cells["Stove h"] = cell_number(sums.stove_hours(item, line.make, loads))
    return cells


def uses_words(sums: Sums, item: Preserve, make: float) -> str:
    """What so many containers take, then the process, then what must be known about the recipe."""
    taken: dict[str, float] = {}
    others = []
    for ingredient in item.ingredients:
        if ingredient.source == "crop":
            taken[ingredient.item] = taken.get(ingredient.item, 0.0) + ingredient.amount_each * make
        elif ingredient.source == "preserve":
            others.append(f"{format_amount(ingredient.amount_each * make)} {ingredient.item}")
    crops = [sums.crop_named[name] for name in taken]
    words = [format_crop(in_crop_unit(taken[crop.name], crop), crop) for crop in crops]
    parts = [format_list(words + others)] if words or others else []
    parts += [item.process_text] if item.process_text else []
    parts += [standing_text(item.standing)] if item.standing else []
    parts += [OWN_RECIPE] if item.own_recipe else []
    parts += [FROM_MEMORY] if item.from_memory else []
    return "; ".join(parts)


def short_keeping(sums: Sums, item: Preserve, period: Period) -> str:
    """Return that a preserve is past its date before the plan ends, and so counts toward no target; empty otherwise."""
    if sums.lasts(item.name, period) or item.keeps_months is None:
        return ""
    until = format_long_date(best_by(period.first_day, item.keeps_months))
    return f"keeps to {until}, not to the end of the plan, so it counts toward no target"


def freezer_cells(sums: Sums, line: Line, crop: Crop) -> Row:
    """Cells of a line for crop frozen whole or taken out."""
    cells: Row = {"Unit": crop.unit, "Uses": line.uses or None}
    if line.make is None:
        return cells
    cells["Make"] = cell_number(in_crop_unit(line.make, crop))
    if line.make <= ALMOST or line.uses:
        return cells
    if line.name.startswith(FREEZE_WHOLE):
        due = line.day + datetime.timedelta(days=math.floor(crop.frozen_keeps_weeks * 7))
        few = "" if line.number is None else few_frozen_words(sums, crop, sums.periods[line.number], line.make)
        cells["Uses"] = "; ".join(filter(None, (f"to be cooked by {format_long_date(due)}", few)))
        cells["Hands-on h"] = cell_number(line.make * crop.freeze_hours_per_kg)
    else:
        cells["Uses"] = thawed_for(sums, line, crop)
    return cells


def thawed_for(sums: Sums, line: Line, crop: Crop) -> str:
    """When it comes out of the freezer, and the preserves of the period that may take it from frozen."""
    names = [
        name
        for (name, number), make in sorted(sums.plan.make.items())
        if number == line.number
        and make > ALMOST
        and any(
            part.source == "crop" and part.item == crop.name and part.from_frozen
            for part in sums.preserve_named[name].ingredients
        )
    ]
    evening = line.day - datetime.timedelta(days=1)
    when = "now" if line.day == sums.periods[0].first_day else f"on {WEEKDAY_NAMES[evening.weekday()]} evening"
    out = f"out {when}; " if line.days == 1 else ""
    return f"{out}for {format_list(names, 3, '; ')}; all the liquid goes in" if names else out.removesuffix("; ")


# What a plan says: the rows of every output table, in the workbook's own units and unrounded.

__all__ = ["Caution", "Row", "tables"]


def tables(
    household: Household,
    plan: Plan,
    problems: Sequence[Row] = (),
    cautions: Sequence[Caution] = (),
    typed: Household | None = None,
) -> dict[str, list[Row]]:
    """
    Rows of every output table, by table name and column heading.

    `household` is settled and `plan` audited; `problems` are rows of Messages. `typed` is the household before
    the record was taken off, for the season so far. Amounts are in the crop's own unit, space in the kitchen's unit,
    hours in h. Rows of Coverage and Space carry a `Unit` besides their columns. Nothing is rounded but to ten digits.
    """
    sums = Sums(household, plan)
    found = changes(sums)
    coverage = coverage_rows(sums)
    shopping = shopping_rows(sums)
    return {
        "Plan": plan_rows(sums, found),
        "Coverage": coverage,
        "Space": space_rows(sums),
        "Crop use": crop_use_rows(sums),
        "Shopping": shopping,
        "Season so far": season_rows(household if typed is None else typed),
        "Messages": message_rows(sums, problems, cautions, coverage, shopping, found.gone),
    }
