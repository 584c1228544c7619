"""This morning's list for the terminal: what to make, what spoils first, the freezer, what to eat first."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rich.console import RenderableType
from rich.text import Text

from stillroom.household.journal.lots import LotToday
from stillroom.household.journal.overview import EatFirst, FreezerThing, Morning, Moved, PutAway, Today
from stillroom.household.records import Household, PlanLine
from stillroom.household.results.deadlines import wait_words
from stillroom.household.results.rows import cell_number
from stillroom.household.text import (
    DECIMAL_UNITS,
    format_amount,
    format_containers,
    format_full_date,
    format_list,
    format_long_date,
    format_number,
    format_period,
    format_quantity,
    format_space,
    quoted,
)
from stillroom.reports.json import plain, problems_object
from stillroom.reports.problems import gathered
from stillroom.reports.terminal.lists import QUIET, grid, heading, section, spaced
from stillroom.reports.terminal.plan import problem_line

MOST_LINES = 8
MOST_ON_A_SCREEN = 14
SCREEN = 23
"""Lines of a small terminal, less the one for what is typed next."""
WIDTH = 76
"""Letters of a line of a section before it is wrapped."""


TODAY, TOMORROW = "Today", "Tomorrow"
"""Titles of the page."""


@dataclass
class Part:
    """
    A section that may be cut short: its lines, their heights on the screen, and how many are kept in any case.

    `lines` are sentences, or rows that `table` sets.
    """

    name: str
    lines: list[str]
    least: int = 0
    about: str = ""
    rows: Sequence[Sequence[Text]] = ()
    more: int = 0

    @property
    def height(self) -> int:
        """How many lines of the screen it takes, with its heading and the blank line before it."""
        rows = sum(1 + len(row[-1].plain) // (WIDTH - 45) for row in self.rows)
        lines = sum(1 + len(line) // WIDTH for line in self.lines)
        return rows + lines + (self.more > 0) + 2 if self.rows or self.lines else 0

    @property
    def count(self) -> int:
        """How many lines or rows it has."""
        return len(self.lines) + len(self.rows)

    @property
    def can_shorten(self) -> bool:
        """Whether something can be left out; a line in place of one other saves nothing."""
        return self.count - (1 if self.more or self.count == 1 else 2) >= self.least

    def shorten(self) -> None:
        """Leave the last lines or rows out: two at first, since one line says so."""
        gone = 1 if self.more or self.count == 1 else 2
        self.more += gone
        if self.rows:
            self.rows = self.rows[:-gone]
        else:
            del self.lines[-gone:]

    def shown(self) -> RenderableType | None:
        """Return the section; None without lines."""
        table = grid(8, 18, 13, None, right=(0,))
        for row in self.rows:
            table.add_row(*row)
        left_out = [f"and {self.more} more"] if self.more else []
        lines: list[RenderableType] = [*([table] if self.rows else []), *map(Text, self.lines), *map(Text, left_out)]
        return section(self.name, lines, self.about) if self.rows or self.lines else None


def fitted(parts: Sequence[Part], most: int) -> list[Part]:
    """
    Shorten parts until they fit so many lines, the last ones first; none below its least.

    >>> parts = [Part("To make", ["7 juice", "9 salsa"], least=1), Part("Eat first", ["2 jam", "3 jam", "4 jam"])]
    >>> [(part.name, part.lines, part.more) for part in fitted(parts, 6)]
    [('To make', ['7 juice', '9 salsa'], 0), ('Eat first', [], 3)]
    """
    for part in reversed(parts):
        while sum(one.height for one in parts) > most and part.can_shorten:
            part.shorten()
    return list(parts)


def today_page(morning: Morning, title: str = TODAY, most: int = SCREEN) -> RenderableType:
    """
    Return the page, what to do first first, on one screen; empty parts are left out, but not the fresh crops.

    `Tomorrow` is read on the evening before.
    """
    today = morning.today
    ahead = title == TOMORROW
    last = {TODAY: "today", TOMORROW: "tomorrow"}.get(title, "that day")
    before = "today" if ahead else "yesterday"
    lots = [lot_row(lot, today, last) for lot in today.lots]
    parts = [
        Part("To make", make_lines(today, last), MOST_LINES, "what spoils first, first" if today.make else ""),
        Part("Out of the freezer", freezer_moves(today, morning.due, ahead=ahead), 2),
        Part(f"Kept until {before}", old_lines(morning.old, morning.file), 2),
        Part("Warnings", [str(problem_line(one)) for one in gathered(morning.problems)], 1),
        Part("Fresh crops", [] if lots else ["Nothing fresh is waiting."], 3 if lots else 1, rows=lots),
        Part("To put away", list(put_away_lines(today.put_away, before)), 1),
        Part("Eat first", eat_lines(morning.eat, sorted(morning.over.items())), 0, "all: stillroom eat-first"),
        Part("In the freezer", freezer_lines(morning.freezer), 0, "oldest first"),
    ]
    kept = fitted(parts, most - 1 - 2 * bool(morning.note))
    note = Text(morning.note) if morning.note else None
    return spaced([heading(title, format_full_date(today.day)), note, *(part.shown() for part in kept)])


Amounts = Sequence[tuple[str, float, str]]
"""Lines of a plan: name, how much, and its unit, none for containers."""


def less_page(
    day: datetime.date,
    less: Sequence[str],
    keep: Amounts,
    moved: Sequence[tuple[str, float, str, datetime.date | None, int]],
    lost: Sequence[tuple[str, float, str, bool]],
) -> RenderableType:
    """
    Return today with less time: what to make all the same, where the rest goes, what is lost by waiting.

    `moved` has the day (none: not made any more) and how many days that is, `lost` changes of targets and of surplus.
    """
    parts: list[RenderableType | None] = [
        heading("Today with less time", f"{format_long_date(day)}, {format_list(list(less), 4)}"),
        section("Make today", [amount_words(*one) for one in keep] or ["Nothing."]),
        section("Moved", [f"{amount_words(*one[:3])}: {where_words(*one[3:])}" for one in moved] or ["Nothing."]),
        section("Lost by waiting", list(loss_lines(lost)) or ["Nothing."]),
        Text("The workbook is not changed. To keep this plan, type the hours under Hours and plan again."),
    ]
    return spaced(parts)


def amount_words(name: str, amount: float, unit: str) -> str:
    """
    Return a line of a plan.

    >>> amount_words("tomato juice, quart", 7.0, ""), amount_words("freeze whole: corn", 12.0, "lb")
    ('7 tomato juice, quart', 'freeze whole: corn, 12 lb')
    """
    return f"{name}, {format_quantity(amount, unit)}" if unit else f"{format_containers(amount, whole=False)} {name}"


def where_words(day: datetime.date | None, days: int) -> str:
    """Return where a line goes."""
    return "not made any more" if day is None else f"to {format_period(day, days)}"


def loss_lines(lost: Iterable[tuple[str, float, str, bool]]) -> Iterator[str]:
    """
    Return what a plan has less of on the winter list and more of as surplus, and the other way around.

    >>> list(loss_lines([("beans", -8.0, "pint", True), ("surplus", 12.0, "lb", False)]))
    ['beans: 8 pints less on the winter list', '12 lb more surplus']
    """
    for what, change, unit, is_target in lost:
        amount = f"{format_quantity(abs(change), unit)}"
        if is_target:
            yield f"{what}: {amount} {'less' if change < 0 else 'more'} on the winter list"
        else:
            yield f"{amount} {'more' if change > 0 else 'less'} {what}"


def to_eat_page(morning: Morning) -> RenderableType:
    """Return what goes out of date first: on the shelf, and what the freezer holds."""
    shelf = eat_lines(morning.eat, sorted(morning.over.items()), most=MOST_ON_A_SCREEN)
    parts: list[RenderableType | None] = [
        heading("Eat first", format_full_date(morning.today.day)),
        section("On the shelf", shelf or ["Nothing on the shelf has a best-by day."]),
        section("In the freezer", freezer_lines(morning.freezer), "oldest first"),
    ]
    return spaced(parts)


def make_lines(today: Today, last: str = "today") -> list[str]:
    """Return what to make with why it is due, or that the plan has nothing for the day, or that there is no plan."""
    if not today.make:
        return [
            "Nothing: the plan has no work on this day." if today.planned else "No plan for today. Run: stillroom plan"
        ]
    return [f"{line_to_make(line)}{due_words(today, line.name, last)}{can_wait_words(line)}" for line in today.make]


def can_wait_words(line: PlanLine) -> str:
    """
    Return until when a line of the plan can wait; empty where that was not asked for.

    >>> day = datetime.date(2026, 8, 14)
    >>> can_wait_words(PlanLine(day, 1, "juice", can_wait_until="Sun Aug 16")), can_wait_words(PlanLine(day, 1, "jam"))
    ('; can wait until Sun Aug 16', '')
    """
    words = wait_words(line.day, line.can_wait_until)
    return f"; {words}" if words else ""


def due_words(today: Today, name: str, last: str = "today") -> str:
    """
    Return until when the crop of a preserve keeps; empty where it takes no fresh crop.

    >>> day = datetime.date(2026, 8, 14)
    >>> first = {"juice": ("plum tomato", day), "jam": ("plum", day.replace(day=16))}
    >>> today = Today(day, True, (), (), (), (), (), (), first)
    >>> due_words(today, "juice"), due_words(today, "jam"), due_words(today, "broth")
    (' (use the plum tomato today)', ' (use the plum by Sun Aug 16)', '')
    """
    if name not in today.first:
        return ""
    crop, until = today.first[name]
    return f" (use the {crop} {last if until <= today.day else f'by {format_long_date(until)}'})"


def lot_row(lot: LotToday, today: Today, last: str = "today") -> list[Text]:
    """Return the row of a lot: how much, of what, until when it keeps, and what becomes of it."""
    due = lot.must_today(today.day)
    when, style = (last, "bold") if due else (f"by {format_long_date(lot.until)}", "")
    amount = Text(format_quantity(lot.amount, lot.unit), style)
    return [amount, Text(lot.crop, style), Text(when, style), Text(lot_fate(lot, today), "" if due else QUIET)]


def lot_fate(lot: LotToday, today: Today) -> str:
    """
    Return what becomes of a lot, in amounts that add up to it.

    >>> day = datetime.date(2026, 8, 14)
    >>> lot = LotToday("plum tomato", 53, "lb", day, day, 45, True)
    >>> lot_fate(lot, Today(day, True, (), (), (), (), (), ()))
    'plan uses 45 lb, 8 lb surplus: freeze whole, eat, or give away'
    >>> lot = LotToday("corn", 36, "lb", day, day + datetime.timedelta(days=1), 33, False, 1, eaten=2)
    >>> lot_fate(lot, Today(day, True, (), (), (), (), (), ()))
    'plan uses 33 lb, 2 lb to eat fresh, 1 lb surplus'
    """
    rest = max(0.0, lot.amount - lot.planned - lot.eaten)
    if not today.planned and not lot.planned:
        return "put it up today, freeze it, or eat it" if lot.must_today(today.day) else "keeps"
    surplus = rest if lot.must_today(today.day) else min(lot.spare, rest)
    parts = adding_up(lot.amount, (lot.planned, lot.eaten, surplus, rest - surplus), lot.unit)
    if parts[0] and not any(parts[1:]):
        return "plan uses all"
    if parts[3] and not any(parts[:3]):
        return "for a later day"
    words = ("plan uses {}", "{} to eat fresh", "{} surplus", "{} for later")
    text = ", ".join(
        word.format(format_quantity(part, lot.unit)) for word, part in zip(words, parts, strict=True) if part
    )
    if parts[2] and lot.must_today(today.day):
        text += ": freeze whole, eat, or give away" if lot.may_be_frozen else ": eat or give away"
    return text


def adding_up(total: float, parts: Sequence[float], unit: str) -> tuple[float, ...]:
    """
    Return parts rounded to one step of the kitchen so that they add up to the rounded total.

    >>> adding_up(14.0, (11.6, 2.1, 0.3, 0.0), "lb"), adding_up(2.0, (1.13, 0.87), "kg")
    ((12.0, 2.0, 0.0, 0.0), (1.1, 0.9))
    """
    if unit in DECIMAL_UNITS:
        step = 1.0 if total >= 10 else 0.1 if total >= 1 else 0.01
    else:
        step = 1.0 if total >= 10 else 0.5 if total >= 3 else 0.25
    steps = [math.floor(part / step + 1e-9) for part in parts]
    missing = math.floor(total / step + 0.5) - sum(steps)
    by_rest = sorted(range(len(parts)), key=lambda place: steps[place] - parts[place] / step)
    for place in by_rest[: max(0, missing)]:
        steps[place] += 1
    return tuple(round(step * many, 6) for many in steps)


def old_lines(old: Iterable[Moved], file: str) -> list[str]:
    """
    Return the crop that kept until yesterday, each with the command that ends it.

    >>> old_lines([Moved("sweet corn", 12.0, "lb")], "kitchen.xlsx")
    ['12 lb sweet corn: sort it, and record what is bad:', '  stillroom spoiled kitchen.xlsx "sweet corn" 12lb']
    >>> print(old_lines([Moved("Ann's corn", 12.0, "lb")], "my kitchen.xlsx")[1])
      stillroom spoiled "my kitchen.xlsx" "Ann's corn" 12lb
    """
    lines = []
    for one in old:
        most = format_number(math.floor(one.amount * 100 + 1e-6) / 100).replace(",", "")
        lines.append(f"{amount_of(one)}: sort it, and record what is bad:")
        lines.append(f"  stillroom spoiled {quoted(file)} {quoted(one.crop)} {most}{one.unit}")
    return lines


def freezer_moves(today: Today, due: Sequence[tuple[Moved, datetime.date]], *, ahead: bool = False) -> list[str]:
    """
    Return what goes into the freezer, what comes out and when, and what has been there long enough.

    `ahead`: it is read on the evening before, when what is cooked on the day comes out.
    """
    now, day = ("this evening", "tomorrow") if ahead else ("now", "today")
    evening, next_day = ("tomorrow evening", "the day after") if ahead else ("this evening", "tomorrow")
    lines = [f"Freeze {amount_of(one)} whole {day}." for one in today.freeze]
    lines += [
        f"Take {amount_of(one)} out of the freezer {now}. Cook it {day} and use all the liquid."
        for one in today.out_now
    ]
    lines += [
        f"Take {amount_of(one)} out of the freezer {evening}. Cook it {next_day}." for one in today.out_this_evening
    ]
    for one, until in due:
        tense = "was" if until < today.day else "is"
        lines.append(f"{amount_of(one)} in the freezer {tense} due {format_long_date(until)}: cook it soon.")
    return lines


def amount_of(one: Moved) -> str:
    """
    Return how much of which crop.

    >>> amount_of(Moved("plum tomato", 12.0, "lb"))
    '12 lb plum tomato'
    """
    return f"{format_quantity(one.amount, one.unit)} {one.crop}"


def line_to_make(line: PlanLine) -> str:
    """
    Return a line to make.

    >>> line_to_make(PlanLine(datetime.date(2026, 8, 14), 1, "tomato juice, quart", 14.0, fix=14.0))
    '14 tomato juice, quart (your number)'
    """
    amount = line.make if line.make is not None else line.fix or 0.0
    return f"{format_containers(amount, whole=True)} {line.name}{' (your number)' if line.fix is not None else ''}"


def put_away_lines(rows: Iterable[PutAway], day: str = "yesterday") -> Iterator[str]:
    """Return the work of the day before: check the seals, label, and see to what did not seal."""
    for row in rows:
        what = f"{format_containers(row.made, whole=True)} {row.preserve} from {day}"
        if row.canned:
            yield f"{what}: take off the bands, check every seal, wipe, and label."
        else:
            yield f"{what}: label with name and date."
        if row.failed and row.canned:
            failed = format_containers(row.failed, whole=True)
            yield (
                f"{failed} of them did not seal: refrigerate and use within days, freeze, or reprocess within 24 hours "
                "with new lids and the full time."
            )


def eat_lines(eat: Sequence[EatFirst], over: Sequence[tuple[str, float]], most: int = MOST_LINES) -> list[str]:
    """Return what to eat first with its days, and what there is more of than is wanted."""
    lines = [
        f"{format_amount(one.count)} {one.preserve}: best by {format_long_date(one.best_by)}"
        + ("" if one.days_left >= 0 else " (past)")
        for one in eat[:most]
    ]
    if len(eat) > most:
        lines.append(f"and {len(eat) - most} more")
    if over:
        words = [f"{format_amount(amount)} {name}" for name, amount in over]
        lines.append(f"More on the shelf than you want: {format_list(words, 5, '; ')}.")
    return lines


def freezer_lines(things: Sequence[FreezerThing]) -> list[str]:
    """Return what could leave the freezer before the next big harvest, and the space each would make."""
    lines = []
    for one in things[:MOST_LINES]:
        until = f", use by {format_long_date(one.until)}" if one.until is not None else ""
        amount = format_quantity(one.amount, one.unit) if one.cook_into else format_amount(one.amount)
        into = f". Could become {format_list(one.cook_into, 2, '; ')}" if one.cook_into else ""
        lines.append(f"{amount} {one.name}{until}; makes {format_space(one.litres)} of space{into}")
    if len(things) > MOST_LINES:
        rest = format_space(sum(one.litres for one in things[MOST_LINES:]))
        lines.append(f"and {len(things) - MOST_LINES} more, {rest}")
    return lines


def today_object(morning: Morning, household: Household) -> dict[str, object]:
    """Return the list for other programs, unrounded: whatever the page shows, also what it cuts short."""
    today = morning.today
    containers = {item.name: item.container for item in household.preserves}
    units = {target.name: target.unit or None for target in household.targets}

    def moved(one: Moved) -> dict[str, object]:
        return {"crop": one.crop, "amount": cell_number(one.amount), "unit": one.unit}

    return {
        "day": plain(today.day),
        "planned": today.planned,
        "make": [
            {
                "preserve": line.name,
                "make": cell_number(line.make or line.fix or 0.0),
                "unit": containers.get(line.name),
                "keep_at": line.fix,
                "can_wait_until": line.can_wait_until or None,
                "else": line.otherwise or None,
            }
            for line in today.make
        ],
        "freeze_whole": [moved(one) for one in today.freeze],
        "take_out_now": [moved(one) for one in today.out_now],
        "take_out_this_evening": [moved(one) for one in today.out_this_evening],
        "frozen_whole_due": [moved(one) | {"due": plain(day)} for one, day in morning.due],
        "lots": [
            {
                "crop": lot.crop,
                "amount": cell_number(lot.amount),
                "unit": lot.unit,
                "picked_on": plain(lot.picked_on),
                "keeps_until": plain(lot.until),
                "use_today": lot.must_today(today.day),
                "may_be_frozen": lot.may_be_frozen,
                "planned": cell_number(lot.planned),
                "eaten_fresh": cell_number(lot.eaten),
                "surplus": cell_number(lot.spare),
            }
            for lot in today.lots
        ],
        "kept_until_yesterday": [moved(one) for one in morning.old],
        "put_away": [
            {
                "preserve": row.preserve,
                "made": cell_number(row.made),
                "failed_seals": cell_number(row.failed),
                "unit": containers.get(row.preserve),
                "check_seals": row.canned,
            }
            for row in today.put_away
        ],
        "eat_first": [
            {
                "preserve": one.preserve,
                "count": cell_number(one.count),
                "unit": containers.get(one.preserve),
                "best_by": plain(one.best_by),
                "days_left": one.days_left,
            }
            for one in morning.eat
        ],
        "more_than_wanted": [
            {"target": name, "amount": cell_number(amount), "unit": units[name]}
            for name, amount in sorted(morning.over.items())
        ],
        "freezer": [
            {
                "name": one.name,
                "amount": cell_number(one.amount),
                "unit": one.unit,
                "use_by": plain(one.until),
                "makes_space": cell_number(one.litres),
                "space_unit": "L",
                "could_become": list(one.cook_into),
            }
            for one in morning.freezer
        ],
        "problems": problems_object(morning.problems),
        "messages": [morning.note] if morning.note else [],
    }
