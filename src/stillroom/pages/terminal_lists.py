"""The lists of a plan on a narrow screen: the winter list, what is fed, what to buy, what to look at."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.answer.units import Row
from stillroom.household.answer.words import amount_words, day_words, listed, unit_words
from stillroom.household.units import find_unit
from stillroom.pages.terminal_days import (
    QUIET,
    WIDE,
    Fitted,
    Tables,
    day_of,
    figure,
    grid,
    heading,
    indented,
    said,
    spaced,
)

IMPORTANCE = {1: "must", 2: "should", 3: "nice"}
FULL = 0.995
ALIKE = 3
"""So many messages with the same cure are said in full."""


def winter_list(tables: Tables) -> RenderableType | None:
    """How far the winter list is filled: what falls short in lines, musts first; what is full in one sentence."""
    rows = [row for row in tables.get("Coverage", ()) if figure(row, "Wanted") > 0]
    if not rows:
        return None
    short = [row for row in rows if figure(row, "Covered") < FULL]
    short.sort(key=lambda row: (figure(row, "Importance"), figure(row, "Covered"), said(row, "Need")))
    parts: list[RenderableType] = [heading("Winter list", f"{len(rows) - len(short)} of {len(rows)} needs are filled")]
    if short:
        parts.append(Fitted(partial(short_table, short)))
    full = [said(row, "Need") for row in rows if figure(row, "Covered") >= FULL]
    if full:
        parts.append(indented(Text(f"Filled: {listed(full, 0, '; ')}.")))
    saves = sum(figure(row, "Saves") for row in rows)
    if saves > 0:
        parts.append(indented(Text(f"What is planned would cost {saves:,.2f} in the shop.")))
    return Group(*parts)


def short_table(rows: Sequence[Row], wide: int) -> RenderableType:
    """The needs that fall short; on a narrow screen without what is on the shelf."""
    if wide < WIDE:
        return narrow_short_table(rows, wide)
    table = grid(6, 26, 6, 8, 9, 9, 6)
    for column in table.columns[3:]:
        column.justify = "right"
    table.add_row(*(Text(word, QUIET) for word in ("filled", "need", "", "short", "wanted", "on shelf", "plan")))
    for row in rows:
        filled = f"{100 * figure(row, 'Covered'):.0f} %"
        figures = (Text(amount_words(figure(row, name))) for name in ("Short", "Wanted", "On the shelf", "Planned"))
        importance = IMPORTANCE.get(int(figure(row, "Importance")), "")
        table.add_row(Text(filled, "bold"), Text(said(row, "Need")), Text(importance, QUIET), *figures)
    return table


def narrow_short_table(rows: Sequence[Row], wide: int) -> RenderableType:
    """The same where there is little room: the importance behind the name, no word and no figure broken."""
    table = grid(6, max(12, wide - 37), 5, 6, 7)
    for column in table.columns[2:]:
        column.justify = "right"
    table.add_row(*(Text(word, QUIET) for word in ("filled", "need", "short", "wanted", "plan")))
    for row in rows:
        importance = IMPORTANCE.get(int(figure(row, "Importance")), "")
        need = Text.assemble(said(row, "Need"), (f", {importance}" if importance else "", QUIET))
        figures = (Text(amount_words(figure(row, name))) for name in ("Short", "Wanted", "Planned"))
        table.add_row(Text(f"{100 * figure(row, 'Covered'):.0f} %", "bold"), need, *figures)
    return table


def where_crops_end(tables: Tables) -> RenderableType | None:
    """What ends with the animals or the compost, and what is still there when the plan ends."""
    parts: list[RenderableType] = []
    for name, words in (
        ("Fed", "To the animals or the compost"),
        ("Trimmings", "Trimmings besides"),
        ("Held frozen", "Still in the freezer, frozen whole, when the plan ends"),
        ("Still fresh", "Still fresh when the plan ends"),
    ):
        crops = [row for row in tables.get("Crop use", ()) if round(figure(row, name), 1) > 0]
        amounts = [
            f"{amount_words(figure(row, name), said(row, 'Unit'))} {said(row, 'Unit')} {said(row, 'Crop')}"
            for row in crops
        ]
        if amounts or name == "Fed":
            parts.append(indented(Text(f"{words}: {listed(amounts) or 'nothing'}.")))
    return Group(heading("What is left over"), *parts) if tables.get("Crop use") else None


def to_buy(tables: Tables) -> RenderableType | None:
    """What to buy, by the day it is needed, with the sum."""
    rows = sorted(tables.get("Shopping", ()), key=lambda row: (day_of(row, "Needed by"), said(row, "Item")))
    if not rows:
        return Group(heading("To buy"), indented(Text("Nothing.")))
    total = sum(figure(row, "Cost") for row in rows)
    unpriced = sum(1 for row in rows if row.get("Cost") is None)
    words = f"Together {total:,.2f}" + (f", and {unpriced} without a price" if unpriced else "") + "."
    return Group(heading("To buy"), Fitted(partial(buy_table, rows)), indented(Text(words)))


def buy_table(rows: Sequence[Row], wide: int) -> RenderableType:
    """The same as columns; the name gives way on a narrow screen."""
    table = grid(8, 36, 14, 10) if wide >= WIDE else grid(5, max(12, wide - 36), 14, 9)
    table.columns[3].justify = "right"
    for row in rows:
        unit = said(row, "Unit")
        cost = "" if row.get("Cost") is None else f"{figure(row, 'Cost'):,.2f}"
        by = f"by {day_words(day_of(row, 'Needed by'))}"
        item = item_words(said(row, "Item"), unit, figure(row, "Buy"))
        table.add_row(Text(amount_words(figure(row, "Buy"), unit), "bold"), Text(item), by, cost)
    return table


def item_words(item: str, unit: str, amount: float) -> str:
    """
    An item with its unit: a measure before it, what is counted behind it, nothing where its name says it already.

    >>> item_words("lemon juice", "cup", 4), item_words("quart jar", "jar", 12), item_words("garlic", "head", 2)
    ('cups lemon juice', 'quart jar', 'garlic (heads)')
    """
    counted = unit_words(amount, unit)
    measure = find_unit(unit)
    if measure is not None and measure.measures in ("weight", "volume", "bushel"):
        return f"{counted} {item}"
    if unit in ("", "each") or unit.casefold() in item.casefold().replace(",", " ").split():
        return item
    return f"{item} ({counted})"


def messages(tables: Tables) -> RenderableType | None:
    """What to look at, then the cautions; notes are only counted."""
    rows = tables.get("Messages", ())
    look = [row for row in rows if row.get("Severity") == "look"]
    cautions = [row for row in rows if row.get("Severity") == "caution"]
    notes = [row for row in rows if row.get("Severity") == "note"]
    sections: list[RenderableType] = []
    if look:
        sections.append(Group(heading("Look at this"), dashed(look_lines(look))))
    if cautions:
        title = heading("Cautions", "the current published guide and your extension service come first")
        sections.append(Group(title, dashed([caution(row) for row in cautions])))
    if notes:
        count = f"{len(notes)} note{'' if len(notes) == 1 else 's'}"
        sections.append(indented(Text(f"{count} besides in the Messages table of the workbook.", QUIET)))
    return spaced(sections) if sections else None


def look_lines(rows: Sequence[Row]) -> list[Text]:
    """The messages to look at; of those with the same cure only the first few, so that none is lost among many."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        groups.setdefault(said(row, "What to do"), []).append(row)
    lines = []
    for several in groups.values():
        lines += [message(row) for row in several[:ALIKE]]
        if len(several) > ALIKE:
            lines.append(Text(f"and {len(several) - ALIKE} more like it, in the Messages table", QUIET))
    return lines


def dashed(lines: Sequence[Text]) -> RenderableType:
    """Set lines in, a dash before each."""
    table = grid(3, None)
    for line in lines:
        table.add_row("-", line)
    return table


def message(row: Row) -> Text:
    """One message: where, what, what to do."""
    where = f"{said(row, 'Where')}: " if row.get("Where") else ""
    what_to_do = f"; {said(row, 'What to do')}" if row.get("What to do") else ""
    return Text.assemble((where, "bold"), said(row, "What"), what_to_do)


def caution(row: Row) -> Text:
    """One caution, its source behind it."""
    source = f" ({said(row, 'Where')})" if row.get("Where") else ""
    return Text.assemble(said(row, "What"), (source, QUIET))
