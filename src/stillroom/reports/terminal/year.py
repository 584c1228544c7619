"""The shelf through the winter and the next year: for the terminal and other programs."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.journal.overview import eat_first
from stillroom.household.records import Household, Lot
from stillroom.household.results.commands import Receipt, save_words
from stillroom.household.results.next_year import COUNTS, Change, Expected, NextYear, amounts_words
from stillroom.household.results.rows import in_crop_unit, item_in
from stillroom.household.results.winter import Cover, Winter, share_words, winter_rows
from stillroom.household.text import (
    format_amount,
    format_count,
    format_date_and_year,
    format_list,
    format_money,
    format_number,
    format_quantity,
)
from stillroom.reports.json import as_json, plain, tables_object
from stillroom.reports.terminal.lists import QUIET, WIDE, Fitted, grid, heading, indented, section, spaced

MOST_OLD = 12
LONG_WEEKS = 104.0


def winter_page(household: Household, found: Winter, end: Sequence[str] = ()) -> RenderableType:
    """Return the page: each target's weeks and fair share, what goes out of date, what it is worth."""
    about = f"{format_date_and_year(found.first)} to {format_date_and_year(found.last)}"
    about += f", {format_number(found.weeks, 0)} weeks"
    if not found.covers:
        words = "The winter list is empty. Type what you want on the shelf in the Winter list sheet."
        return spaced([Group(heading("Winter", about), indented(Text(words))), *map(Text, end)])
    return spaced(
        [
            Group(heading("Winter", about), Fitted(partial(winter_grid, found))),
            section("Will not last", short_lines(found), "at the rate of the winter list"),
            section("Goes out of date uneaten", late_lines(found), "eat more of it, or give it away before"),
            section("Eat first", old_lines(household, found)),
            section("Worth", worth_lines(found)),
            section("Notes", notes(found)),
            *map(Text, end),
        ]
    )


def winter_grid(found: Winter, wide: int) -> RenderableType:
    """Return a line for each target."""
    with_eaten = wide >= WIDE and any(cover.eaten is not None for cover in found.covers)
    table = grid(None, 13, 9, 9, 18, *((10,) if with_eaten else ()), right=(1, 2, 3, 5))
    words = ["", "on the shelf", "list/week", "weeks", "fair share", *(["eaten/week"] if with_eaten else [])]
    table.add_row(*(Text(word, QUIET) for word in words))
    for cover in found.covers:
        eaten = "" if cover.eaten is None else format_amount(cover.eaten)
        row = [
            cover.target,
            format_quantity(cover.amount, cover.unit),
            "" if cover.by_list is None else format_amount(cover.by_list),
            weeks_words(cover, found.weeks),
            share_words(cover.share, cover.unit) if cover.amount > 0 else "",
        ]
        table.add_row(*row[:4], Text(row[4], "bold"), *([eaten] if with_eaten else []))
    return table


def weeks_words(cover: Cover, wanted: float) -> str:
    """Return how many whole weeks it lasts; more than is asked for has a plus sign."""
    if cover.weeks is None or cover.amount <= 0:
        return "0" if cover.by_list else ""
    if cover.weeks >= LONG_WEEKS:
        return f"{format_number(LONG_WEEKS, 0)}+"
    return f"{math.floor(cover.weeks + 1e-9)}{' ok' if cover.weeks >= wanted - 1e-9 else ''}"


def short_lines(found: Winter) -> list[str]:
    """Return what runs out before the winter ends, the soonest first."""
    short = [cover for cover in found.covers if cover.weeks is not None and cover.weeks < found.weeks - 1e-9]
    lines = []
    for cover in sorted(short, key=lambda cover: cover.weeks or 0.0):
        if cover.amount > 0:
            missing = format_quantity((found.weeks - (cover.weeks or 0.0)) * (cover.by_list or 0.0), cover.unit)
            lines.append(f"{cover.target}: gone by {date_words(cover.runs_out)}, {missing} short.")
    none = [cover.target for cover in short if cover.amount <= 0]
    return lines + ([f"None on the shelf: {format_list(none)}."] if none else [])


def late_lines(found: Winter) -> list[str]:
    """Return what goes out of date before it is eaten at the rate of the list."""
    return [
        f"{cover.target}: {format_quantity(cover.late, cover.unit)}, from {date_words(cover.first_late)} on."
        for cover in found.covers
        if cover.late > 1e-6
    ]


def old_lines(household: Household, found: Winter) -> list[str]:
    """Return what on the shelf goes out of date within the winter, the soonest first."""
    days = (found.last - household.kitchen.first_day).days
    old = [one for one in eat_first(household, days) if one.best_by >= found.first]
    lines = [f"{format_amount(one.count)} {one.preserve}: best by {date_words(one.best_by)}" for one in old[:MOST_OLD]]
    return lines + ([f"and {len(old) - MOST_OLD} more"] if len(old) > MOST_OLD else [])


def worth_lines(found: Winter) -> list[str]:
    """Return what the shelf would cost at the store."""
    priced = [cover.worth for cover in found.covers if cover.worth is not None and cover.amount > 0]
    without = [cover.target for cover in found.covers if cover.worth is None and cover.amount > 0]
    if not priced:
        return []
    missing = f" (no store price for {format_list(without, 3)})" if without else ""
    whole = sum(priced)
    a_week = format_money(whole / found.weeks)
    return [f"The shelf would cost {format_money(whole)} at the store, {a_week} a week{missing}."]


def notes(found: Winter) -> list[str]:
    """Return what to know about the figures."""
    lines = []
    if found.planned:
        lines.append("Jars that the plan makes before the first day are counted as made.")
    longer = [
        f"{cover.target} ({format_number(cover.list_weeks, 0)} weeks)"
        for cover in found.covers
        if cover.by_list and cover.list_weeks < found.weeks - 1.0
    ]
    if longer:
        lines.append(f"The winter list asks for fewer weeks than this: {format_list(longer, 4)}.")
    early = [cover for cover in found.covers if cover.amount > 0 and cover.share_until < found.last]
    lines += [
        f"{cover.target}: all of it is best by {date_words(cover.share_until)}, so the share lasts until then."
        for cover in early
    ]
    return lines


def date_words(day: datetime.date | None) -> str:
    """Return a date with its year; nothing without one."""
    return "" if day is None else format_date_and_year(day)


def winter_object(found: Winter) -> dict[str, object]:
    """The same for other programs, unrounded."""
    about = {"first_day": plain(found.first), "last_day": plain(found.last), "plan_counted": found.planned}
    return {**about, **tables_object({"Winter": winter_rows(found.covers)})}


# The workbook for the next year, for the terminal and as JSON: what is in it, and what is left to look at.

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
