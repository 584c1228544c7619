"""What was learned from the record, for the terminal: handbook, own records, used."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.amounts import shown
from stillroom.household.answer.units import in_crop_unit
from stillroom.household.learning import LEAST_RECORDS, Learned, figure
from stillroom.household.records import Household
from stillroom.pages.terminal_days import QUIET, grid, heading, indented, spaced

HOW = (
    f"From {LEAST_RECORDS} records on. Handbook: as typed in Ingredients and Preserves. Own: the middle of your "
    "records (the median of the averages of every two). Used: own and typed together, the typed figure counting as "
    "one record more. A record of more than twice, or less than half, of the middle one is left out and named. "
    "Minutes of a process and acid are never learned."
)


def learned_page(typed: Household, found: Sequence[Learned]) -> RenderableType:
    """A line for each figure that has records, then the records left out, then how it is worked out."""
    if not found:
        words = "No row of Record has Crop used or Hands hours for a preserve yet: write them, and yields are learned."
        return Group(heading("Learned from the record"), indented(Text(words)))
    table = grid(None, 20, 8, 8, 8, 8)
    table.columns[0].justify = "left"
    table.columns[1].justify = "left"
    for column in table.columns[2:]:
        column.justify = "right"
    table.add_row(*(Text(word, QUIET) for word in ("", "a container", "handbook", "own", "used", "records")))
    for one in found:
        own = "" if one.own is None else number(typed, one, one.own)
        what = "min of hands" if one.crop is None else f"{typed.crop(one.crop).unit} of {one.crop}"
        used = Text(number(typed, one, one.used), "bold" if one.applies else "")
        table.add_row(one.preserve, what, number(typed, one, one.typed), own, used, str(len(one.samples)))
    parts: list[RenderableType] = [Group(heading("Learned from the record"), table)]
    notes = [*not_used(found), *left_out(typed, found)]
    if notes:
        parts.append(Group(heading("Worth knowing"), *(indented(Text(line)) for line in notes)))
    return spaced([*parts, Text(HOW, QUIET)])


def number(typed: Household, one: Learned, value: float) -> str:
    """A learned figure without its unit: minutes, or weight in the crop's unit."""
    if one.crop is None:
        return shown(round(value, 1))
    return shown(round(in_crop_unit(value, typed.crop(one.crop)), 2))


def not_used(found: Sequence[Learned]) -> list[str]:
    """Why what was learned is not used."""
    return [f"{one.preserve}: {one.why_not}, so the plan keeps what is typed" for one in found if one.why_not]


def left_out(typed: Household, found: Sequence[Learned]) -> list[str]:
    """Name the records left out."""
    return [
        f"{far.where}, {far.day}: {figure(typed, one, far.value)} is far from the others and left out; correct it if "
        f"it is a slip"
        for one in found
        for far in one.outliers
    ]
