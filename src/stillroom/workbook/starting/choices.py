"""Drop-downs and limits for what is typed: fed by the tables themselves, so that a new row is offered at once."""

from __future__ import annotations

from collections.abc import Mapping

from openpyxl.workbook import Workbook
from openpyxl.worksheet.datavalidation import DataValidation

from stillroom.workbook.inputs import Column
from stillroom.workbook.starting.look import NUMBER_FORMATS
from stillroom.workbook.starting.place import belongs_to_household
from stillroom.workbook.starting.sheets import Place

UNITS = {
    ("Crops", "Unit"): "lb,kg,oz,g",
    ("Harvest", "Unit"): "lb,kg,oz,g,bu",
    ("Containers", "Unit"): "quart,US pint,cup,L,ml,lb,kg",
    ("Larder", "Unit"): "cup,tablespoon,teaspoon,quart,L,ml,lb,kg,g,each",
    ("Larder", "Per unit"): "quart,cup,L,lb,kg,each",
    ("Ingredients", "Unit"): "lb,kg,oz,g,cup,tablespoon,teaspoon,ml,L",
    ("Record", "Unit"): "lb,kg,oz,g,bu",
}
KINDS = {
    ("Equipment", "Kind"): "boiling-water canner,pressure canner,dryer,kettle,crock",
    ("Containers", "Kind"): "jar,bag,tub,crock,box,sack",
    ("Hours", "What"): "hands,stove free,oven",
}
PROMPT_LENGTH = 250
"""A prompt may hold 255 characters (ECMA-376 part 1, 18.3.1.32 `dataValidation`)."""


def add_choices(workbook: Workbook, found: Mapping[str, Place]) -> None:
    """Give every input column its drop-down or its limits, and a word of explanation when the cell is chosen."""
    for name, place in found.items():
        if name == "Kitchen":
            add_setting_choices(workbook, place)
            continue
        for column in place.table.columns:
            if not belongs_to_household(place, column.heading) or column.heading == "Handbook line":
                continue
            rule = validation(name, column, found)
            rule.promptTitle = column.heading[:32]
            rule.prompt = column.about[:PROMPT_LENGTH]
            rule.showInputMessage = not place.written
            workbook[place.sheet].add_data_validation(rule)
            rule.add(place.body(column.heading))


def validation(table: str, column: Column, found: Mapping[str, Place]) -> DataValidation:
    """The rule for one column; a list offers and warns, it never forbids what the reader would understand."""
    offered = UNITS.get((table, column.heading)) or KINDS.get((table, column.heading))
    if offered:
        return list_of(f'"{offered}"', strict=False)
    if column.kind == "yes_no":
        return list_of('"yes,no"', strict=True)
    if column.kind == "can_buy":
        return list_of('"yes,no"', strict=False)
    if column.kind == "choice":
        return list_of(f'"{",".join(column.choices)}"', strict=True)
    if column.kind in {"name", "names"}:
        target = found[column.of[0]]
        return list_of(target.fixed(target.table.headings[0]), strict=column.kind == "name" and len(column.of) == 1)
    if (table, column.heading) == ("Record", "Preserve"):
        return list_of(found["Preserves"].fixed("Preserve"), strict=False)
    if column.kind == "date":
        return date_rule()
    if column.kind in {"number", "whole"}:
        return number_rule(column.kind, column.least, column.most)
    return DataValidation(allow_blank=True, showErrorMessage=False)


def list_of(source: str, *, strict: bool) -> DataValidation:
    """A drop-down of a list or a range."""
    rule = DataValidation("list", formula1=source, allow_blank=True, showErrorMessage=strict)
    if strict:
        rule.errorStyle = "warning"
        rule.errorTitle = "Not in the list"
        rule.error = "This is not in the list. Keep it only if you will add it there."
    return rule


def date_rule() -> DataValidation:
    """A date from 2000 on."""
    rule = DataValidation("date", operator="greaterThanOrEqual", formula1="36526", allow_blank=True)
    rule.showErrorMessage = True
    rule.errorStyle = "warning"
    rule.errorTitle = "A date"
    rule.error = "Type a date such as 2026-08-14."
    return rule


def number_rule(kind: str, least: float | None, most: float | None) -> DataValidation:
    """A number between the limits of `inputs.toml`."""
    rule = DataValidation("whole" if kind == "whole" else "decimal", allow_blank=True, showErrorMessage=True)
    low = 0 if least is None else least
    rule.operator = "between" if most is not None else "greaterThanOrEqual"
    rule.formula1 = f"{low:g}"
    if most is not None:
        rule.formula2 = f"{most:.0f}" if most > 1 else f"{most:g}"
    rule.errorTitle = "A number"
    rule.error = f"Type a number of {low:g} or more." if most is None else f"Type a number from {low:g} to {most:g}."
    return rule


def add_setting_choices(workbook: Workbook, place: Place) -> None:
    """Each setting of the kitchen has its own drop-down, date or limits beside its name."""
    worksheet = workbook[place.sheet]
    value = place.letter("Value")
    settings = {setting.heading: setting for setting in place.table.settings}
    for row in range(place.first_row, place.last_row + 1):
        setting = settings.get(str(worksheet.cell(row, place.first_column).value))
        if setting is None:
            continue
        rule = DataValidation(allow_blank=True, showErrorMessage=False)
        if setting.kind == "choice":
            rule = list_of(f'"{",".join(setting.choices)}"', strict=True)
        elif setting.kind == "yes_no":
            rule = list_of('"yes,no"', strict=True)
        elif setting.kind == "date":
            rule = date_rule()
            worksheet[f"{value}{row}"].number_format = NUMBER_FORMATS["date"]
        rule.promptTitle, rule.prompt = setting.heading[:32], setting.about[:PROMPT_LENGTH]
        rule.showInputMessage = True
        worksheet.add_data_validation(rule)
        rule.add(f"{value}{row}")
