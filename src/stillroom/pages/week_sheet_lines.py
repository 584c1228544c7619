"""What stands on the week sheet, before it is a page: each day's lines with amounts, process, source and cautions."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.answer.plan_rows import FROM_MEMORY, OWN_RECIPE
from stillroom.household.answer.units import Row, in_crop_unit
from stillroom.household.answer.words import amount_words, count_words, crop_words, listed, unit_words
from stillroom.household.records import FREEZE_WHOLE, THAW, Household, Preserve
from stillroom.pages.terminal_days import day_of, figure, said
from stillroom.pages.week_sheet_measures import measured

Tables = Mapping[str, Sequence[Row]]


@dataclass(frozen=True)
class SheetLine:
    """One thing to make: how many of what, in how many loads, out of what, how long, and by whose word."""

    name: str
    amount: str
    loads: str = ""
    takes: str = ""
    process: str = ""
    source: str = ""
    warning: str = ""
    note: str = ""


@dataclass(frozen=True)
class SheetDay:
    """One day with its lines, in the order of the plan."""

    day: datetime.date
    lines: tuple[SheetLine, ...]


def sheet_days(household: Household, tables: Tables) -> list[SheetDay]:
    """The single days of the plan that stands in the workbook, those with nothing planned among them."""
    preserves = {item.name: item for item in household.preserves}
    singles = [day_of(row, "Period") for row in tables.get("Space", ()) if figure(row, "Days") == 1]
    rows: dict[datetime.date, list[SheetLine]] = {day: [] for day in singles}
    for row in tables["Plan"]:
        if figure(row, "Days") == 1 and figure(row, "Make") > 0 and day_of(row) in rows:
            rows[day_of(row)].append(line_of(household, preserves.get(said(row, "Preserve")), row))
    return [SheetDay(day, tuple(lines)) for day, lines in rows.items()]


def line_of(household: Household, item: Preserve | None, row: Row) -> SheetLine:
    """One line of the plan; `item` is None for crop frozen whole or taken out."""
    name, make, unit = said(row, "Preserve"), figure(row, "Make"), said(row, "Unit")
    if item is None:
        whole = name.startswith((FREEZE_WHOLE, THAW))
        amount = amount_words(make, unit) if whole else count_words(make, whole=True)
        return SheetLine(name, f"{amount} {unit_words(make, unit)}", takes=said(row, "Uses"), note=said(row, "Note"))
    loads = round(figure(row, "Loads"))
    marks = [words for words, is_so in ((OWN_RECIPE, item.own_recipe), (FROM_MEMORY, item.from_memory)) if is_so]
    return SheetLine(
        name,
        f"{make:g} {unit_words(make, unit)}",
        f"{loads} load{'s' if loads > 1 else ''}" if loads else "",
        takes_words(household, item, make),
        item.process_text,
        item.process_source if item.process_text else "",
        "; ".join(marks),
        said(row, "Note"),
    )


def takes_words(household: Household, item: Preserve, make: float) -> str:
    """
    What so many containers take: crops in their own unit, what is bought in kitchen measures, for each container too.

    >>> from stillroom.household.records import Ingredient, Kitchen
    >>> lemon = Ingredient("lemon juice", "larder", 0.03, amount_typed=2.0, unit="tbsp")
    >>> home = Household(Kitchen(datetime.date(2026, 8, 14)))
    >>> takes_words(home, Preserve("juice", "boiling-water canned", "quart jar", ingredients=(lemon,)), 7)
    '¾ cup and 2 tbsp lemon juice (2 tbsp to each)'
    """
    crops = {crop.name: crop for crop in household.crops}
    words = []
    for line in item.ingredients:
        if line.source == "crop":
            crop = crops[line.item]
            words.append(crop_words(in_crop_unit(line.amount_each * make, crop), crop))
        elif line.source == "larder" and line.amount_typed > 0:
            each = measured(line.amount_typed, line.unit)
            words.append(f"{measured(line.amount_typed * make, line.unit)} {line.item} ({each} to each)")
        else:
            words.append(f"{amount_words(line.amount_each * make)} {line.item}")
    return listed(words, 0, ", ")


def cautions(tables: Tables) -> list[tuple[str, str]]:
    """The cautions of the plan, each with its source."""
    return [(said(row, "What"), said(row, "Where")) for row in tables["Messages"] if said(row, "Severity") == "caution"]
