"""What should be on hand, the season so far, and what your records show: for the terminal and other programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.errors import Problem
from stillroom.household.journal.learning import LEAST_RECORDS, Learned, yield_figure
from stillroom.household.journal.overview import Tally
from stillroom.household.journal.stocks import Card
from stillroom.household.records import Household
from stillroom.household.results.rows import Row, cell_number, in_crop_unit, number_in, text_in
from stillroom.household.text import (
    DECIMAL_UNITS,
    SMALL_UNITS,
    format_amount,
    format_count,
    format_date,
    format_fraction,
    format_hours,
    format_list,
    format_long_date,
    format_money,
    format_number,
)
from stillroom.reports.problems import gathered
from stillroom.reports.terminal.lists import QUIET, WIDE, Fitted, grid, heading, indented, section, spaced
from stillroom.reports.terminal.plan import place_words, problem_line

BAR_LETTERS, SEASON_LETTERS = 24, 16

QUARTERS_UP_TO = 20
"""Below this a stock is shown to the quarter of its unit."""
STOCK_PROBLEMS = (
    "count differs",
    "stock below zero",
    "more eaten than on the shelf",
    "more used than on the shelf",
    "lot below zero",
    "counted on blank",
    "seal failed",
    "another branch",
    "copy put back",
    "plan line twice",
)
"""Kinds of problem that are about stocks."""


def stock_page(
    cards: Sequence[Card], season: Sequence[Row], tally: Tally, problems: Sequence[Problem]
) -> RenderableType:
    """Return the page: every stock, where the crop went, the season in figures, warnings."""
    parts: list[RenderableType | None] = [
        Group(
            heading("What should be on hand", "if your count differs, type it and the day in On hand"),
            Fitted(partial(stock_grid, cards)),
        ),
        Fitted(partial(season_grid, season)) if season else None,
        section("The season in figures", tally_lines(tally)),
        list_done(tally),
        to_look_at(problems),
    ]
    return spaced(parts)


def to_look_at(problems: Sequence[Problem]) -> RenderableType | None:
    """Return the problems that are about stocks."""
    mine = [problem for problem in problems if problem.kind in STOCK_PROBLEMS]
    return section("Warnings", map(problem_line, gathered(mine)))


def stock_grid(cards: Sequence[Card], wide: int) -> RenderableType:
    """The same as columns, the kinds of stock as headings."""
    narrow = wide < WIDE
    table = grid(None, *((7, 6, 5, 5, 7) if narrow else (9, 8, 7, 7, 9)), right=range(1, 6))
    words = ("", "counted", "date", "added", "used", "now")
    table.add_row(*(Text(word, QUIET) for word in words))
    kind = ""
    for card in cards:
        if not (card.counted or card.came or card.used):
            continue
        if card.kind != kind:
            kind = card.kind
            table.add_row(Text(f"{kind[:1].upper()}{kind[1:]}", QUIET))
        unit = "" if card.unit == "each" else f" ({card.unit})"
        day = "" if card.counted_on is None else format_date(card.counted_on)
        figures = [stock_words(number, card.unit) if number > 1e-6 else "" for number in (card.came, card.used)]
        row = (f"{card.stock}{unit}", stock_words(card.counted, card.unit), day, *figures)
        table.add_row(*row, Text(stock_words(card.should_be_now, card.unit), "bold"))
    return table


def stock_words(amount: float, unit: str) -> str:
    """
    Return an amount of a stock, small ones to the quarter, so that a line adds up.

    >>> stock_words(8, "cup"), stock_words(2.25, "cup"), stock_words(5.75, "cup"), stock_words(60, "each")
    ('8', '2¼', '5¾', '60')
    """
    if unit in DECIMAL_UNITS | SMALL_UNITS or not 0.125 <= abs(amount) < QUARTERS_UP_TO:
        return format_amount(amount, unit)
    return format_fraction(amount, 0.25)


def season_grid(season: Sequence[Row], wide: int) -> RenderableType:
    """The same as columns; a narrow screen gets the figures without the picture."""
    with_bars = wide >= WIDE
    table = grid(18, 6, 6, 8, 6, 6, SEASON_LETTERS if with_bars else 0, right=range(1, 6))
    table.add_row(*(Text(word, QUIET) for word in ("", "picked", "put up", "eaten or surplus", "lost", "left", "")))
    for row in season:
        unit = text_in(row, "Unit")
        figures = [
            format_amount(sum(number_in(row, name) for name in names), unit)
            for names in (("Picked",), ("Put up",), ("Eaten or given", "Surplus"), ("Lost",), ("On hand",))
        ]
        table.add_row(f"{text_in(row, 'Crop')} ({unit})", *figures, Text(bar(row) if with_bars else ""))
    signs = "# put up  + eaten or surplus  x lost  . left" if with_bars else ""
    return Group(heading("The season so far", signs), table)


def bar(row: Row) -> str:
    """
    A row of the season as a bar of 16 letters.

    >>> bar({"Picked": 32, "Put up": 16, "Eaten or given": 2, "Surplus": 6, "Lost": 0, "On hand": 8})
    '########++++....'
    """
    picked = number_in(row, "Picked")
    if picked <= 0:
        return ""
    parts = (("#", ("Put up",)), ("+", ("Eaten or given", "Surplus")), ("x", ("Lost",)), (".", ("On hand",)))
    letters, so_far = "", 0.0
    for letter, names in parts:
        so_far += sum(number_in(row, name) for name in names)
        letters += letter * (round(SEASON_LETTERS * so_far / picked) - len(letters))
    return letters


def tally_lines(tally: Tally) -> list[str]:
    """Jars by size, hours, money."""
    jars = format_list(format_count(count, name) for name, count in sorted(tally.containers.items()))
    lines = [f"Filled: {jars}." if jars else "Nothing put up yet."]
    missing = f" ({format_count(tally.without_hours, 'row')} without hours)" if tally.without_hours else ""
    lines.append(f"Hands-on time recorded: {format_hours(tally.hours)}{missing}.")
    unpriced = f" (no price for {format_list(tally.unpriced)})" if tally.unpriced else ""
    lines.append(f"Bought: {format_money(tally.spent)}{unpriced}.")
    if tally.shop:
        lines.append(f"What you made would cost {format_money(tally.shop)} at the store.")
    return lines


def list_done(tally: Tally) -> RenderableType | None:
    """Return how much of the winter list is on the shelf now, as bars."""
    wanted = {name: (there, of) for name, (there, of) in tally.done.items() if of > 0}
    if not wanted:
        return None
    return Group(heading("Winter list", "on the shelf now"), Fitted(partial(list_grid, wanted)))


def list_grid(wanted: Mapping[str, tuple[float, float]], wide: int) -> RenderableType:
    """The same as columns; the bars are as long as there is room."""
    letters = max(4, min(BAR_LETTERS, wide - 52))
    table = grid(28, 8, 8, letters, right=(1, 2))
    for name, (there, of) in wanted.items():
        full = round(letters * min(there / of, 1.0))
        table.add_row(name, format_amount(there), f"of {format_amount(of)}", "#" * full + "." * (letters - full))
    return table


def stock_rows(cards: Sequence[Card]) -> list[Row]:
    """The cards as rows for other programs, unrounded."""
    return [
        {
            "Kind": card.kind,
            "Stock": card.stock,
            "Unit": card.unit,
            "Counted": cell_number(card.counted),
            "Counted on": card.counted_on,
            "Came": cell_number(card.came),
            "Used": cell_number(card.used),
            "Should be now": cell_number(card.should_be_now),
        }
        for card in cards
    ]


def tally_object(tally: Tally, household: Household) -> dict[str, object]:
    """The season in figures for other programs; money has the household's currency sign as its unit."""
    units = {target.name: target.unit or None for target in household.targets}
    return {
        "containers": [
            {"container": name, "count": cell_number(count), "unit": "each"}
            for name, count in sorted(tally.containers.items())
        ],
        "hands_on_h": cell_number(tally.hours),
        "rows_without_hours": tally.without_hours,
        "spent": cell_number(tally.spent),
        "bought_without_price": list(tally.unpriced),
        "store_price": cell_number(tally.shop),
        "unit_of_money": household.kitchen.currency or None,
        "winter_list": [
            {"target": name, "on_the_shelf": cell_number(there), "wanted": cell_number(wanted), "unit": units[name]}
            for name, (there, wanted) in tally.done.items()
        ],
    }


# Yields and times from the records.

HOW = (
    f"Yours: the middle of your records, from {LEAST_RECORDS} records on. In plan: yours and typed together, typed "
    "counting as one record. A record over twice or under half the middle is left out. Process minutes and acid "
    "never change."
)


def yields_page(typed: Household, found: Sequence[Learned]) -> RenderableType:
    """Return a line for each figure that has records, then the records left out, then how it is calculated."""
    if not found:
        words = "No records of crop used or hours yet. Fill in Crop used and Hands-on hours in Record."
        return Group(heading("Yields from your records"), indented(Text(words)))
    table = grid(None, 20, 8, 8, 8, 8, right=range(2, 6))
    table.add_row(*(Text(word, QUIET) for word in ("", "a container", "typed", "yours", "in plan", "records")))
    for one in found:
        own = "" if one.own is None else number(typed, one, one.own)
        what = "hands-on min" if one.crop is None else f"{typed.crop(one.crop).unit} of {one.crop}"
        used = Text(number(typed, one, one.used), "bold" if one.applies else "")
        table.add_row(one.preserve, what, number(typed, one, one.typed), own, used, str(len(one.samples)))
    notes = section("Notes", [*not_used(found), *left_out(typed, found)])
    return spaced([Group(heading("Yields from your records"), table), notes, Text(HOW, QUIET)])


def yields_object(typed: Household, found: Sequence[Learned]) -> list[dict[str, object]]:
    """The figures for other programs, unrounded: crop in its own unit, hands-on time in minutes."""

    def shown_value(one: Learned, value: float | None) -> float | int | None:
        if value is None:
            return None
        return cell_number(value if one.crop is None else in_crop_unit(value, typed.crop(one.crop)))

    return [
        {
            "preserve": one.preserve,
            "crop": one.crop,
            "unit": "min" if one.crop is None else typed.crop(one.crop).unit,
            "typed": shown_value(one, one.typed),
            "yours": shown_value(one, one.own),
            "used_in_plan": shown_value(one, one.used),
            "records": len(one.samples),
            "records_left_out": [far.where for far in one.outliers],
            "why_not_used": one.why_not or None,
        }
        for one in found
    ]


def number(typed: Household, one: Learned, value: float) -> str:
    """Return a figure without its unit: minutes, or weight in the crop's unit."""
    if one.crop is None:
        return format_number(value, 1)
    return format_number(in_crop_unit(value, typed.crop(one.crop)))


def not_used(found: Sequence[Learned]) -> list[str]:
    """Return why your figure is not used."""
    return [f"{one.preserve}: {one.why_not}, so the plan uses the typed figure." for one in found if one.why_not]


def left_out(typed: Household, found: Sequence[Learned]) -> list[str]:
    """Return the records left out."""
    return [
        f"{yield_figure(typed, one, far.value)} on {format_long_date(far.day)} is far from your other records, so it "
        f"is left out. Correct it if it is a mistake. ({place_words(far.where)})"
        for one in found
        for far in one.outliers
    ]
