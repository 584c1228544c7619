"""A bad evening: today planned again with less time, near the plan that stands; nothing is written."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.fit_day import plan_that_fits
from stillroom.app.plan import readable
from stillroom.errors import StillroomError
from stillroom.household.amounts import parse_hours
from stillroom.household.audit import violated_constraints
from stillroom.household.journal.events import still_to_do
from stillroom.household.names import tidy_text
from stillroom.household.plan import Plan, Progress, no_progress
from stillroom.household.records import DAY_HOURS, WEEKDAYS, Hours, Household
from stillroom.household.results.compare import Line, everything, side_by_side, unit_of
from stillroom.household.results.rows import cell_number
from stillroom.household.results.sums import Sums
from stillroom.household.suppose.lookup import find, wrong
from stillroom.household.suppose.more import with_hours
from stillroom.household.text import format_hours
from stillroom.household.units import MeasureWrong
from stillroom.reports.json import errors_object, plain, text
from stillroom.reports.terminal.plan import with_errors
from stillroom.reports.terminal.today import less_page

if TYPE_CHECKING:
    from rich.console import RenderableType

_HOURS_OF_A_WEEK = 7 * DAY_HOURS
SAME = 0.05
"""A smaller difference of two plans is none."""


@dataclass(frozen=True)
class Moved:
    """So much of a line of today that is planned for another day, or (None) not any more; in the line's own unit."""

    name: str
    amount: float
    unit: str
    to: datetime.date | None
    days: int = 1


@dataclass(frozen=True)
class LessToday:
    """
    Today with less time.

    `less` is what there is less of, in words. `keep` is what is made today all the same, `moved` where the rest goes,
    and `lost` the targets and the surplus that differ from the plan without it.
    """

    day: datetime.date
    less: tuple[str, ...]
    household: Household
    keep: tuple[Moved, ...]
    moved: tuple[Moved, ...]
    lost: tuple[Line, ...]


def less_today(path: Path, less: Sequence[str], today: datetime.date, progress: Progress = no_progress) -> LessToday:
    """
    Plan the first day of a workbook again with less time, near the plan that stands in it.

    Both plans are made the same quick way, so that they differ by the lost time alone. Raises CommandWrong for what
    there is less of, WorkbookRefused, and StillroomError where the plan breaks a rule.
    """
    from stillroom.planning.rolling import near_plan

    reading = readable(path, today)
    household = within_a_week(still_to_do(reading.household))
    changed, words = with_less(household, less)
    progress("planning today")
    before = near_plan(household)
    progress("planning today with less time")
    to_plan, after = plan_that_fits(changed, near_plan, progress)
    broken = violated_constraints(replace(to_plan, tighter=changed.tighter), after)
    if broken:
        msg = "the plan that was found does not keep every rule: " + "; ".join(broken[:5])
        raise StillroomError(msg)
    return compared(reading.household, (household, before), (changed, after), words)


def within_a_week(household: Household) -> Household:
    """Return the household with at most a week of detailed days, so that each weekday is one day of them."""
    return household.with_kitchen(days_planned_singly=min(len(WEEKDAYS), household.kitchen.days_planned_singly))


def with_less(household: Household, less: Sequence[str]) -> tuple[Household, tuple[str, ...]]:
    """
    Return the household with less on its first day, and that in words; no number, or one of a name, is none of it.

    >>> from stillroom.household.examples import tiny_household
    >>> changed, words = with_less(tiny_household(), ["hands 2h", "dryer"])
    >>> words
    ('hands: 2 h instead of 4 h', 'no dryer')
    >>> second = replace(household := tiny_household(), equipment=(replace(household.equipment[1], name="dryer 2"),))
    >>> with_less(second, ["dryer 2"])[1], with_less(second, ["dryer 2 3h"])[1]
    (('no dryer 2',), ('dryer 2: 21 h instead of 24 h',))
    >>> {with_less(household, [f"hands {less}"])[1] for less in ("90 min", "1h30m", "an hour and a half", "-1½")}
    {('hands: 2½ h instead of 4 h',)}

    Raises CommandWrong.
    """
    said = []
    for typed in less:
        named = any(one.name.casefold() == tidy_text(typed).casefold() for one in household.equipment)
        what, hours = (typed, None) if named else what_and_hours(typed, household)
        name = find(household, what, ("hours", "equipment"))[1]
        household = with_row(household, name)
        day = household.kitchen.first_day.weekday()
        there = next(row.by_weekday[day] for row in household.hours if row.what.casefold() == name.casefold())
        gone = there if hours is None else hours
        if gone > there:
            raise wrong(f"*{typed}* is more than the {format_hours(there)} there are", f"write {name} alone for none")
        left = there - gone
        household = with_hours(household, name, partial(min, left), (day,), weeks=False)
        said.append(f"{name}: {format_hours(left)} instead of {format_hours(there)}" if left else f"no {name}")
    return household, tuple(said)


def what_and_hours(typed: str, household: Household) -> tuple[str, float | None]:
    """
    Take apart what there is less of and by how many hours, None without any. Raises ChangeWrong for unclear hours.

    >>> from stillroom.household.examples import tiny_household
    >>> [what_and_hours(typed, tiny_household()) for typed in ("pressure canner", "stove free 2:15", "dryer 2 3 hours")]
    [('pressure canner', None), ('stove free', 2.25), ('dryer 2', 3.0)]
    """
    words, unclear = tidy_text(typed).split(" "), None
    for place in range(1, len(words)):
        rest = " ".join(words[place:]).lstrip("-− ")
        try:
            return " ".join(words[:place]).rstrip("-− "), parse_hours(rest, household)
        except MeasureWrong as problem:
            unclear = unclear or (problem if rest[:1].isnumeric() else None)
    if unclear is not None:
        raise wrong(unclear.what, unclear.fix)
    return typed, None


def with_row(household: Household, name: str) -> Household:
    """Return the household with a row of hours for a piece of equipment, all hours of each day where it had none."""
    if any(row.what.casefold() == name.casefold() for row in household.hours):
        return household
    row = Hours(name, (DAY_HOURS,) * len(WEEKDAYS), _HOURS_OF_A_WEEK)
    return replace(household, hours=(*household.hours, row))


def compared(
    settled: Household, before: tuple[Household, Plan], after: tuple[Household, Plan], words: Sequence[str]
) -> LessToday:
    """Return what two plans have on the first day, and where what the second has not goes."""
    day = settled.kitchen.first_day
    lines = side_by_side([before, after])
    by_name: dict[str, list[Line]] = defaultdict(list)
    for line in lines:
        if line.part == "plan":
            by_name[line.what].append(line)
    moved = [one for name in sorted(by_name) for one in moves_of(by_name[name], day)]
    lost = [line for line in lines if line.part == "list" or line.what == "surplus"]
    keep = tuple(
        Moved(name, amount, unit, day) for (name, unit), amount in sorted(made_on(after, day).items()) if amount > SAME
    )
    return LessToday(day, tuple(words), settled, keep, tuple(moved), tuple(lost))


def made_on(planned: tuple[Household, Plan], day: datetime.date) -> dict[tuple[str, str], float]:
    """Return what a plan has on a day: name and unit (none for containers), and how much."""
    sums = Sums(*planned)
    return {
        (name, unit_of(sums, name)): amount
        for (name, when, days), amount in everything(sums).items()
        if when == day and days == 1
    }


def moves_of(lines: Sequence[Line], day: datetime.date) -> list[Moved]:
    """Return where what a line of today lost goes: to days that have more of it now, soonest first, else nowhere."""
    less = sum(-change_of(line) for line in lines if line.day == day and line.days == 1)
    found = []
    for line in sorted(lines, key=lambda one: one.day or day):
        more = min(change_of(line), less)
        if more > SAME and line.day != day:
            found.append(Moved(line.what, more, line.unit, line.day, line.days))
            less -= more
    if less > SAME:
        found.append(Moved(lines[0].what, less, lines[0].unit, None))
    return found


def change_of(line: Line) -> float:
    """Return how much more the second plan has."""
    return (line.figures[1] or 0.0) - (line.figures[0] or 0.0)


def less_view(found: LessToday) -> RenderableType:
    """Today with less time, for the terminal."""
    keep = [(one.name, one.amount, one.unit) for one in found.keep]
    moved = [(one.name, one.amount, one.unit, one.to, one.days) for one in found.moved]
    lost = [(line.what, change_of(line), line.unit, line.part == "list") for line in found.lost]
    return with_errors(found.household, less_page(found.day, found.less, keep, moved, lost))


def less_json(found: LessToday) -> str:
    """The same for other programs: `day`, `less`, `make`, `moved` (to null: not made any more), `changes`."""
    return text(
        {
            "day": plain(found.day),
            "less": list(found.less),
            "make": [line_object(one) for one in found.keep],
            "moved": [line_object(one) | {"to": plain(one.to), "days": one.days} for one in found.moved],
            "changes": [
                {"what": line.what, "unit": line.unit or None, "before": line.figures[0], "after": line.figures[1]}
                for line in found.lost
            ],
            **errors_object(found.household),
        }
    )


def line_object(one: Moved) -> dict[str, object]:
    """
    Return a line for other programs, unrounded.

    >>> line_object(Moved("freeze whole: corn", 12.345, "lb", None))
    {'name': 'freeze whole: corn', 'amount': 12.345, 'unit': 'lb'}
    """
    return {"name": one.name, "amount": cell_number(one.amount), "unit": one.unit or None}
