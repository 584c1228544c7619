"""Drop-downs and limits for what is typed: fed by the tables themselves, so that a new row is offered at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from stillroom.household.cells import letters
from stillroom.household.text import format_number
from stillroom.workbook.ooxml.new_sheet import NewCell, Validation
from stillroom.workbook.schema.schema import Column
from stillroom.workbook.starter import look
from stillroom.workbook.starter.given import GIVEN
from stillroom.workbook.starter.highlighting import has
from stillroom.workbook.starter.look import belongs_to_household
from stillroom.workbook.starter.positions import CAPTION_ROW, FIRST_ROW, HEADING_ROW, Place, Row

PROMPT_LENGTH = 250
"""A prompt may hold 255 characters (ECMA-376 part 1, 18.3.1.32 `dataValidation`)."""


YES_NO = "yes,no"
RECORDED = ("Record", "Preserve")
"""The column that may hold a preserve or something else."""
ANYTHING = Validation("", "none", "", refuses=False)
DATE = Validation(
    "",
    "date",
    "36526",
    operator="greaterThanOrEqual",
    strict=False,
    amiss="Date",
    message="Type a date such as 2026-08-14.",
)
"""A date from 2000 on."""


def rules(place: Place, found: Mapping[str, Place], rows: Sequence[Row]) -> Iterator[Validation]:
    """
    Give every column that is typed its drop-down or its limits, and a word of explanation when a cell is chosen.

    `found` are the places of all tables, `rows` those of this one. In Kitchen each setting has a rule of its own.
    """
    if place.table.name == "Kitchen":
        settings = {setting.heading: setting for setting in place.table.settings}
        for number, row in enumerate(rows, place.first_row):
            setting = settings.get(str(row.get("Setting")))
            if setting is not None:
                yield explained(setting_rule(setting), f"{place.letter('Value')}{number}", setting, prompts=True)
        return
    for column in place.table.columns:
        if belongs_to_household(place, column.heading):
            rule = column_rule(place.table.name, column, found)
            yield explained(rule, place.body(column.heading), column, prompts=not place.written)


def explained(rule: Validation, area: str, column: Column, *, prompts: bool) -> Validation:
    """The rule over its cells, with what the column is about."""
    prompt = column.about[:PROMPT_LENGTH] if prompts else ""
    return replace(rule, area=area, title=column.heading[:32], prompt=prompt)


def setting_rule(setting: Column) -> Validation:
    """The rule for the value of one setting."""
    if setting.kind == "choice":
        return list_of(f'"{",".join(setting.choices)}"', strict=True)
    if setting.kind == "yes_no":
        return list_of(f'"{YES_NO}"', strict=True)
    return DATE if setting.kind == "date" else ANYTHING


def column_rule(table: str, column: Column, found: Mapping[str, Place]) -> Validation:
    """
    Give the rule for one column; a list offers and warns, it never forbids what the reader would understand.

    A column that a table feeds may hold anything where that table, or its column of names, is not there.
    """
    offered = (GIVEN["units"] | GIVEN["kinds"]).get(f"{table}: {column.heading}")
    if offered:
        return list_of(f'"{offered}"', strict=False)
    if column.kind in {"yes_no", "can_buy"}:
        return list_of(f'"{YES_NO}"', strict=column.kind == "yes_no")
    if column.kind == "choice":
        return list_of(f'"{",".join(column.choices)}"', strict=True)
    if column.kind in {"name", "names"}:
        return names_of(found.get(column.of[0]), strict=column.kind == "name" and len(column.of) == 1)
    if (table, column.heading) == RECORDED:
        return names_of(found.get("Preserves"), strict=False)
    if column.kind == "date":
        return DATE
    if column.kind in {"number", "whole"}:
        return number_rule(column.kind, column.least, column.most)
    return ANYTHING


def names_of(target: Place | None, *, strict: bool) -> Validation:
    """A drop-down of the names in a table."""
    if target is None or not has(target, target.table.headings[0]):
        return ANYTHING
    return list_of(target.fixed(target.table.headings[0]), strict=strict)


def list_of(source: str, *, strict: bool) -> Validation:
    """A drop-down of a list or a range; one that is strict warns of what is not in it."""
    if not strict:
        return Validation("", "list", source, refuses=False)
    message = "This name is not in the list. Keep it only if you will add it there."
    return Validation("", "list", source, strict=False, amiss="Not in the list", message=message)


def number_rule(kind: str, least: float | None, most: float | None) -> Validation:
    """A number between the limits of `schema.toml`."""
    low = 0 if least is None else least
    least_text = format_number(low)
    return Validation(
        "",
        "whole" if kind == "whole" else "decimal",
        f"{low:g}",
        None if most is None else f"{most:.0f}" if most > 1 else f"{most:g}",
        "between" if most is not None else "greaterThanOrEqual",
        amiss="Number",
        message=f"Type {least_text} or more." if most is None else f"Type {least_text} to {format_number(most)}.",
    )


# The list of handbook lines beside Preserves: what *Handbook line* may say, and the source of its drop-down.

COLUMNS = (("Handbook line", 46.0), ("Method", 22.0), ("Source", 60.0))
CAPTION = "Published lines for Handbook line"


def published(lines: Sequence[Row], first: int) -> dict[tuple[int, int], NewCell]:
    """The cells of the list, from a column on."""
    cells = {(CAPTION_ROW, first): NewCell(CAPTION, look.CAPTION)}
    for column, (heading, _) in enumerate(COLUMNS, first):
        cells[HEADING_ROW, column] = NewCell(heading, look.HEADING)
        for row, line in enumerate(lines, FIRST_ROW):
            cells[row, column] = NewCell(str(line[heading]), look.GROUNDS[look.WORKING])
    return cells


def published_widths(first: int) -> dict[int, float]:
    """The widths of its columns."""
    return {column: width for column, (_, width) in enumerate(COLUMNS, first)}


def source_of(lines: Sequence[Row], first: int) -> str:
    """Where the lines stand, for a drop-down on the same sheet."""
    letter = letters(first)
    return f"${letter}${FIRST_ROW}:${letter}${FIRST_ROW + len(lines) - 1}"
