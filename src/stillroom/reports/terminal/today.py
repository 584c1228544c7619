"""This morning's list for the terminal: ripest first, the freezer, what to put away, what to eat first."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.errors import Problem
from stillroom.household.journal.lots import LotToday
from stillroom.household.journal.overview import EatFirst, FreezerThing, Moved, PutAway, Today
from stillroom.household.records import PlanLine
from stillroom.household.text import format_amount, format_containers, format_full_date, format_list, format_long_date
from stillroom.reports.problems import gathered
from stillroom.reports.problems import line as problem_line
from stillroom.reports.terminal.lists import QUIET, grid, heading, indented, spaced

MOST_LINES = 8


def today_page(
    today: Today,
    problems: Sequence[Problem],
    due: Sequence[tuple[Moved, datetime.date]],
    eat: Sequence[EatFirst],
    over: Sequence[tuple[str, float]],
    freezer: Sequence[FreezerThing],
    *,
    space_unit_litres: float,
    space_unit: str,
    said: str = "",
) -> RenderableType:
    """Put the list together; parts with nothing in them are left out, the lots never are. `said` stands last."""
    parts: list[RenderableType | None] = [
        Group(heading("This morning", format_full_date(today.day)), *lot_lines(today)),
        section("Out of the freezer", out_lines(today, due)),
        section("To make", [make_words(line) for line in today.make], plan_words(today)),
        section("To put away", list(put_away_lines(today.put_away))),
        section("To look at", [problem_line(one) for one in gathered(problems)]),
        section("Eat first", eat_lines(eat, over)),
        section("In the freezer", freezer_lines(freezer, space_unit_litres, space_unit), "what goes soonest first"),
        Text(said) if said else None,
    ]
    return spaced([part for part in parts if part is not None])


def section(name: str, lines: Sequence[str], beside: str = "") -> RenderableType | None:
    """A part of the page, None without lines."""
    if not lines and not (name == "To make" and beside):
        return None
    return Group(heading(name, beside), *(indented(Text(line)) for line in lines))


def plan_words(today: Today) -> str:
    """Say when no plan tells of this day."""
    return "" if today.planned else "the workbook holds no plan for today; stillroom plan makes one"


def lot_lines(today: Today) -> Iterable[RenderableType]:
    """One line a lot: how much, since when, how long it keeps, and what is done with it."""
    if not today.lots:
        yield indented(Text("No fresh crop is in the house."))
        return
    table = grid(8, 18, 13, None)
    for lot in today.lots:
        when = "today" if lot.must_today(today.day) else f"by {format_long_date(lot.until)}"
        style = "bold" if lot.must_today(today.day) else ""
        amount = Text(f"{format_amount(lot.amount, lot.unit)} {lot.unit}", style)
        table.add_row(
            amount, Text(lot.crop, style), Text(when, style), Text(lot_words(lot, today), QUIET if not style else "")
        )
    yield table


def lot_words(lot: LotToday, today: Today) -> str:
    """
    What becomes of a lot today, by the plan or without one.

    >>> day = datetime.date(2026, 8, 14)
    >>> lot = LotToday("plum tomato", 53, "lb", day, day, 45, True)
    >>> lot_words(lot, Today(day, True, (), (), (), (), (), ()))
    'the plan takes 45 lb; 8 lb over: freeze whole, eat or feed'
    >>> lot = LotToday("cucumbers", 48, "lb", day, day + datetime.timedelta(days=1), 4, False, 44)
    >>> lot_words(lot, Today(day, True, (), (), (), (), (), ()))
    'the plan takes 4 lb; no use for 44 lb: eat, give away or feed'
    """
    rest = lot.amount - lot.planned
    over = f"{format_amount(rest, lot.unit)} {lot.unit}"
    takes = f"the plan takes {format_amount(lot.planned, lot.unit)} {lot.unit}" if lot.planned > 0 else ""
    if rest <= 0.02 * lot.amount:
        return "the plan takes all of it"
    methods = "freeze whole, eat or feed" if lot.may_be_frozen else "eat, give away or feed"
    if not lot.must_today(today.day):
        if today.planned and lot.spare > 0.02 * lot.amount:
            if lot.spare >= 0.98 * lot.amount:
                return f"the plan has no use for it: {methods}"
            spare = f"no use for {format_amount(lot.spare, lot.unit)} {lot.unit}: {methods}"
            return f"{takes}; {spare}" if takes else f"the plan has {spare}"
        return f"{takes}; the rest can wait" if takes else "can wait"
    return f"{takes}; {over} over: {methods}" if takes else f"put up today, or {methods}"


def out_lines(today: Today, due: Sequence[tuple[Moved, datetime.date]]) -> list[str]:
    """What goes into the freezer, what comes out of it and when, and what has lain there long enough."""
    lines = [f"Freeze whole today: {moved_words(one)}." for one in today.freeze]
    lines += [f"Out now, to be cooked today: {moved_words(one)}. All the liquid goes in." for one in today.out_now]
    lines += [f"Take out this evening, to be cooked tomorrow: {moved_words(one)}." for one in today.out_this_evening]
    for one, day in due:
        late = "was due" if day < today.day else "is due"
        lines.append(f"{moved_words(one)} frozen whole {late} {format_long_date(day)}: cook it soon.")
    return lines


def moved_words(one: Moved) -> str:
    """
    How much of which crop.

    >>> moved_words(Moved("plum tomato", 12.0, "lb"))
    '12 lb plum tomato'
    """
    return f"{format_amount(one.amount, one.unit)} {one.unit} {one.crop}"


def make_words(line: PlanLine) -> str:
    """
    A line to make.

    >>> make_words(PlanLine(datetime.date(2026, 8, 14), 1, "tomato juice, quart", 14.0, fix=14.0))
    '14 tomato juice, quart (fixed)'
    """
    amount = line.make if line.make is not None else line.fix or 0.0
    return f"{format_containers(amount, whole=True)} {line.name}{' (fixed)' if line.fix is not None else ''}"


def put_away_lines(rows: Iterable[PutAway]) -> Iterable[str]:
    """Yesterday's work: seals looked at, labels written, what did not seal dealt with."""
    for row in rows:
        what = f"{format_containers(row.made, whole=True)} {row.preserve} of yesterday"
        if row.canned:
            yield f"{what}: rings off, check every seal, wipe, label with name and date."
        else:
            yield f"{what}: label with name and date."
        if row.failed and row.canned:
            failed = format_containers(row.failed, whole=True)
            yield f"{failed} of it did not seal: refrigerator and eaten within days, freezer, or done again today."


def eat_lines(eat: Sequence[EatFirst], over: Sequence[tuple[str, float]]) -> list[str]:
    """What to eat first with its days, and what there is more of than is wanted."""
    lines = []
    for one in eat[:MOST_LINES]:
        when = (
            f"best by {format_long_date(one.best_by)}"
            if one.days_left >= 0
            else f"best by {format_long_date(one.best_by)}, over"
        )
        lines.append(f"{format_amount(one.count)} {one.preserve}: {when}")
    if len(eat) > MOST_LINES:
        lines.append(f"and {len(eat) - MOST_LINES} more")
    if over:
        words = [f"{format_amount(amount)} {name}" for name, amount in over]
        lines.append(f"More than is wanted, so over in spring: {format_list(words, 5, '; ')}.")
    return lines


def freezer_lines(things: Sequence[FreezerThing], unit_litres: float, unit: str) -> list[str]:
    """What could leave the freezer before the next glut, and the room each would give."""
    lines = []
    for one in things[:MOST_LINES]:
        until = f", best by {format_long_date(one.until)}" if one.until is not None else ""
        container = one.unit if one.cook_into else ""
        amount = f"{format_amount(one.amount, container)}{f' {container}' if container else ''} {one.name}"
        room = f"gives {format_amount(one.litres / unit_litres, unit)} {unit}"
        into = f"; or can it now: {format_list(list(one.cook_into), 2, '; ')}" if one.cook_into else ""
        lines.append(f"{amount}{until}: {room}{into}")
    if len(things) > MOST_LINES:
        rest = sum(one.litres for one in things[MOST_LINES:]) / unit_litres
        lines.append(f"and {len(things) - MOST_LINES} more, {format_amount(rest, unit)} {unit}")
    return lines
