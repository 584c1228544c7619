"""The words of `handbook` in the terminal: what the published tables say, each figure with its source."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.errors import CommandWrong
from stillroom.handbook.lookup import Shown
from stillroom.household.amounts import amount_from
from stillroom.household.measures import MeasureWrong
from stillroom.pages.terminal_days import QUIET, grid, heading, indented, spaced

LAST_WORD = (
    "These are facts to plan by and no recipes: the current published guide and your extension service or food "
    "authority come first."
)


def handbook_page(rows: Sequence[Shown]) -> RenderableType:
    """The rows by way, the sources numbered and named below; what is from memory is marked."""
    if not rows:
        return Text("The published tables in this handbook have nothing on that.")
    sources = list(dict.fromkeys(row.source for row in rows))
    ways = dict.fromkeys(row.way for row in rows)
    parts = [Group(heading(way), *way_lines([row for row in rows if row.way == way], sources)) for way in ways]
    named = [indented(Text(f"[{number}] {source}", QUIET)) for number, source in enumerate(sources, start=1)]
    return spaced([*parts, Group(heading("Sources"), *named), Text(LAST_WORD)])


def way_lines(rows: Sequence[Shown], sources: Sequence[str]) -> list[RenderableType]:
    """Each handbook line with a row for each height, then what else is known of it."""
    lines: list[RenderableType] = []
    for key in dict.fromkeys(row.key for row in rows):
        several = [row for row in rows if row.key == key]
        table = grid(36, 18, None)
        table.columns[0].justify = "left"
        for place, row in enumerate(several):
            sure = "" if row.status == "verified" else f", {row.status}"
            says = f"{row.says} [{sources.index(row.source) + 1}]{sure}"
            table.add_row(Text(key if place == 0 else "", "bold"), Text(row.altitude), Text(says))
        lines.append(table)
        besides = [several[0].crop, f"{several[0].headspace} headspace" if several[0].headspace else ""]
        besides += [f"keeps {several[0].keeps}" if several[0].keeps else "", several[0].note]
        lines.append(indented(Text("; ".join(word for word in besides if word), QUIET)))
    return lines


def height_ft(text: str) -> float:
    """
    A height above sea level in feet; a bare number is feet.

    Raises CommandWrong for anything that is no height.

    >>> height_ft("2300ft"), round(height_ft("700 m")), height_ft("1450")
    (2300.0, 2297, 1450.0)
    """
    try:
        amount = amount_from(text)
    except MeasureWrong as error:
        raise CommandWrong(str(error)) from error
    if amount.unit is not None and amount.unit.measures != "length":
        msg = f"{text} is no height; write it as 2300ft or 700m"
        raise CommandWrong(msg)
    return amount.number * (amount.unit.factor if amount.unit is not None else 1.0)
