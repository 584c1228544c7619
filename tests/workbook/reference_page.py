"""The reference page of tables and columns, out of `schema.toml`: `python tests/workbook/reference_page.py`."""

from __future__ import annotations

import sys
from collections.abc import Iterator

from stillroom.household.names import either
from stillroom.household.text import format_number
from stillroom.household.units import COUNT_WORDS, SPELLINGS, UNITS
from stillroom.workbook.schema import Column, Table, input_tables, output_tables

KINDS = {
    "text": "text",
    "number": "number",
    "whole": "whole number",
    "yes_no": "yes or no",
    "date": "date",
    "time": "time",
    "amount": "number, or number with its unit",
    "can_buy": "yes, no or a number",
    "unit": "unit",
    "setting": "see below",
    "length": "length",
    "volume": "volume",
    "weight": "weight",
    "minutes": "minutes",
    "percent": "percent",
    "space_per_weight": "liters per kg, or text such as `0.03 cu ft/lb`",
}
"""How each kind of column is called on the page."""

_OPENING = """\
# The tables of a workbook

This page is made from `src/stillroom/workbook/schema/schema.toml`; change that file, then run
`python tests/workbook/reference_page.py > shared/reference.md`.

Tables are found by name on any sheet, columns by heading in any order; capitals and spaces do not matter. Your own
columns are left unchanged. If a spreadsheet program dropped a table's definition, the table is found by its headings.
The column *blank* shows what an empty cell means: *required* cells must be filled in, others have the default shown, no
limit, or nothing.
"""

_UNITS = """\
## Units

A bare pint, quart or gallon is the US one in a US workbook; in a metric workbook it must say US or imperial. A workbook
is metric when its altitude is in meters, or when most of its crops are weighed in kg or g. Cup, tablespoon, teaspoon
and fluid ounce are the US ones, and so is a hundredweight in a US workbook. Capitals never matter. A bushel and a peck
need the crop's own weight; a flat or a dozen of a crop is refused. A crop that is weighed whole in the table of
densities, such as blueberries, may be typed by volume. An altitude is in ft or m, work in min or h, an acid in spoons,
cups, pints, quarts, liters or a weight. `5 lb 4 oz` is one amount. `1,250` is 1250 in a US workbook and asked about in
a metric one; `1,5` is 1.5 in a metric workbook and asked about in a US one.

| unit | also written | is |
|---|---|---|
"""


def reference() -> str:
    """Give the whole page."""
    parts = [_OPENING, "## Tables you fill in\n"]
    parts += [_table(table) for table in input_tables()]
    parts.append("## Tables the planner writes\n")
    parts += [_table(table) for table in output_tables()]
    parts.append(_UNITS + "\n".join(_unit_lines()) + "\n")
    return "\n".join(parts)


def _table(table: Table) -> str:
    """Describe one table."""
    lines = [f"### {table.name}", "", _about(table), ""]
    if table.role == "input":
        lines += ["| column | holds | blank | meaning |", "|---|---|---|---|"]
        lines += [_row(column, column.blank) for column in table.columns]
    else:
        lines += ["| column | holds | whose | meaning |", "|---|---|---|---|"]
        whose = {"ours": "the planner's", "household": "yours"}
        lines += [_row(column, whose[column.owner]) for column in table.columns]
    if table.settings:
        lines += ["", "| setting | holds | blank | meaning |", "|---|---|---|---|"]
        lines += [_row(setting, setting.blank) for setting in table.settings]
    return "\n".join(lines) + "\n"


def _about(table: Table) -> str:
    """Say what a table is for, where it stands, and how long it may be."""
    parts = [table.about]
    if table.role == "input":
        parts.append("Required." if table.required else "Optional.")
        if table.limit is not None:
            parts.append(f"At most {table.limit:,} rows.")
    if not table.optional:
        parts.append(f"Sheet in a new workbook: {table.sheet}.")
    return " ".join(parts)


def _row(column: Column, blank: str) -> str:
    """Describe one column in a row of the page."""
    return f"| {column.heading} | {_holds(column)} | {blank} | {column.about} |".replace(" |  | ", " | | ")


def _holds(column: Column) -> str:
    """Say what a cell of a column holds."""
    if column.choices:
        return either(column.choices)
    if column.of:
        many = "names from" if column.kind == "names" else "a name from"
        return f"{many} {either(column.of)}"
    held = KINDS[column.kind]
    unit = f", {column.unit}" if column.unit and column.kind in ("number", "length", "volume", "weight") else ""
    least, most = column.least, column.most
    bounds = f", {format_number(least)} to {format_number(most)}" if least is not None and most is not None else ""
    return held + unit + bounds


def _unit_lines() -> Iterator[str]:
    """Give a row for each unit, and one for the words that count."""
    inside = {"weight": "kg", "volume": "L", "length": "ft", "time": "h", "count": ""}
    for unit in UNITS.values():
        also = ", ".join(SPELLINGS.get(unit.name, ()))
        own = {
            "bushel": "the crop's own weight",
            "peck": "a quarter of a bushel",
            "flat": "refused: no weight",
        }
        size = own.get(unit.name) or f"{unit.factor:.9g} {inside[unit.measures]}".strip()
        yield f"| {unit.name} | {also} | {size} |"
    yield f"| {', '.join(COUNT_WORDS)} | | 1 of that thing, in Pantry only |"


if __name__ == "__main__":
    sys.stdout.write(reference())
