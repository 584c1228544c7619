"""The workbook for the next year, for the terminal and as JSON: what is in it, and what is left to look at."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.records import Household, Lot
from stillroom.household.results.commands import Receipt, save_words
from stillroom.household.results.next_year import COUNTS, Change, Expected, NextYear, amounts_words
from stillroom.household.results.rows import in_crop_unit, item_in
from stillroom.household.text import (
    format_amount,
    format_count,
    format_date_and_year,
    format_list,
    format_number,
    format_quantity,
)
from stillroom.reports.json import as_json, plain
from stillroom.reports.terminal.lists import heading, indented, section, spaced

MOST_LINES = 12


def next_year_page(
    found: NextYear,
    typed: Household,
    moved: int,
    said: Sequence[str],
    look: Sequence[str],
    errors: Sequence[str],
    receipt: Receipt,
) -> RenderableType:
    """Return the page; `said` could not be written, `look` is to be looked at, `errors` stop a plan of the new one."""
    end = [f"Saved in {receipt.path.name}. Your workbook is unchanged.", *save_words(receipt)]
    if receipt.backup is not None:
        end.insert(1, f"What was there before: {receipt.backup.name}")
    end.append(f"Next: stillroom plan {receipt.path.name}" if not errors else "Fix the errors above first.")
    return spaced(
        [
            Group(heading("Next year", first_day_words(found)), indented(Text(moved_words(moved)))),
            section("Carried over", carried_lines(found, typed)),
            section("Expected harvest", expected_lines(found, typed), "by the weighings of past years"),
            section("Your record, typed in", shortened([change_line(one) for one in found.yields])),
            section("Winter list", [target_line(one) for one in found.targets], "as the review proposes"),
            section("To look at", [*said, *look]),
            section("Errors in the new workbook", errors),
            Group(*map(Text, end)),
        ]
    )


def first_day_words(found: NextYear) -> str:
    """Return the first day, and what it comes from."""
    days = (format_date_and_year(day) for day in (found.first_day, found.began))
    return "first day {}; the last season began {}".format(*days)


def moved_words(rows: int) -> str:
    """
    Return how many rows are in Past years now.

    >>> moved_words(1), moved_words(0)
    ('1 row moved to Past years.', 'Nothing was recorded, so nothing is in Past years.')
    """
    return f"{format_count(rows, 'row')} moved to Past years." if rows else NOTHING_MOVED


NOTHING_MOVED = "Nothing was recorded, so nothing is in Past years."


def carried_lines(found: NextYear, typed: Household) -> list[str]:
    """Return what is carried over: shelf, freezer and counts."""
    jars = sum(row.count for row in found.shelf)
    kinds = len({row.preserve for row in found.shelf})
    lines = [f"Shelf: {format_count(jars, 'container')} of {format_count(kinds, 'preserve')}."] if jars else []
    if found.lots:
        lines.append(f"Crop: {amounts_words(found.lots, typed)}.")
    day = format_date_and_year(found.day)
    for table in COUNTS.values():
        several = [one for one in found.counts if one.table == table]
        changed = [count_words(one) for one in several if one.now != one.before]
        if several:
            words = f": {format_list(changed, 4, '; ')}" if changed else ", none of them changed"
            lines.append(f"{table}: {format_count(len(several), 'count')} of {day}{words}.")
    return lines


def count_words(one: Change) -> str:
    """Return a count as it was and is."""
    now, before = (format_amount(value, one.unit) for value in (one.now, one.before))
    return f"{now} {item_in({'Item': one.name, 'Unit': one.unit, 'Buy': one.now})}, was {before}"


def expected_lines(found: NextYear, typed: Household) -> list[str]:
    """Return a line for each crop that was ever weighed."""
    lines = [expected_line(one, typed) for one in found.expected]
    none = [crop.name for crop in typed.crops if crop.name not in {one.crop for one in found.expected}]
    more = f"Never weighed, so type what you expect in Harvest: {format_list(none, 6)}." if none else ""
    return [*lines, *filter(None, [more])]


def expected_line(one: Expected, typed: Household) -> str:
    """Return what is expected of a crop, and by how many seasons."""
    if not one.lots:
        return f"{one.crop}: nothing in most seasons."
    crop = typed.crop(one.crop)
    days = dict.fromkeys(format_date_and_year(lot.picked_on) for lot in (one.lots[0], one.lots[-1]))
    much = format_quantity(in_crop_unit(sum(lot.kg for lot in one.lots), crop), crop.unit)
    by = "as in the one season" if one.seasons == 1 else f"middle of {one.seasons} seasons, with Least and Most"
    return f"{one.crop}: {much} in {format_count(len(one.lots), 'lot')}, {format_list(days, between=' to ')} ({by})."


def change_line(one: Change) -> str:
    """Return a figure of the record, and the one it takes the place of."""
    now, before = (f"{format_number(value)} {one.unit}" for value in (one.now, one.before))
    return f"{one.name}: {one.heading} {now}, was {before}."


def target_line(one: Change) -> str:
    """Return what a target is to be, and what it was."""
    now, before = format_quantity(one.now, one.unit), format_quantity(one.before, one.unit)
    return f"{one.name}: {one.heading} {now}, was {before}. {one.why}".strip()


def shortened(lines: Sequence[str]) -> list[str]:
    """Return the first lines, and how many more there are."""
    left = len(lines) - MOST_LINES
    return [*lines[:MOST_LINES], *([f"and {left} more, each with its note in the workbook"] if left > 0 else [])]


def next_year_object(found: NextYear, typed: Household) -> dict[str, object]:
    """Return the same for other programs; amounts of crop in the crop's own unit."""

    def lots(several: Sequence[Lot]) -> list[dict[str, object]]:
        return [lot_object(one, typed) for one in several]

    return {
        "first_day": plain(found.first_day),
        "season_began": plain(found.began),
        "counted_on": plain(found.day),
        "shelf": [as_json(row, leave_out=("where",)) for row in found.shelf],
        "lots": lots(found.lots),
        "not_carried": lots(found.gone),
        "expected": [
            {"crop": one.crop, "seasons": one.seasons, "weeks_left_out": one.rare, "lots": lots(one.lots)}
            for one in found.expected
        ],
        "counts": [as_json(one, leave_out=("note", "why")) for one in found.counts],
        "yields": [as_json(one, leave_out=("why",)) for one in found.yields],
        "targets": [as_json(one) for one in found.targets],
    }


def lot_object(lot: Lot, typed: Household) -> dict[str, object]:
    """Return a lot in its crop's own unit."""
    crop = typed.crop(lot.crop)
    kg = {"amount": lot.kg, "least": lot.least_kg, "most": lot.most_kg}
    amounts: dict[str, object] = {name: None if one is None else in_crop_unit(one, crop) for name, one in kg.items()}
    about = {"crop": lot.crop, "picked_on": plain(lot.picked_on), "frozen_on": plain(lot.frozen_on)}
    return about | amounts | {"unit": crop.unit}
