"""The shelf through the winter: for the terminal and other programs."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.journal.overview import eat_first
from stillroom.household.records import Household
from stillroom.household.results.winter import Cover, Winter, share_words, winter_rows
from stillroom.household.text import (
    format_amount,
    format_date_and_year,
    format_list,
    format_money,
    format_number,
    format_quantity,
)
from stillroom.reports.json import plain, tables_object
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
