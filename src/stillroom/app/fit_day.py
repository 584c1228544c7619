"""
Plan and clock brought together: a day that does not fit the clock is planned again with less, until every day fits.

The plan adds hours up; on the clock loads come one after the other, and parts of hours do not make a load. So the plan
is put on the clock, and where a day runs over, it is made to fit by making its last sessions smaller. What that day
then takes of hands, stove and equipment is the most it may take in the next plan (`Tighter`); besides, no preserve may
be planned on a day that could not hold it all alone. After three such plans every single day keeps to what was found to
fit, and nothing else may come in: each plan after that has less in its days, so there is an end.

Each plan starts from nothing. (Measured and left: starting the next one from the plan before, its days made to fit,
took as long on the varied households, 1.5 to 22 s each way. The seconds go into crop fed, least change and hands, and
those begin from what the needs aims left, which took a tenth of a second either way.)

What the household fixed by hand stays; a day that does not fit for its sake is said to run over, and is no later than
that needs alone.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from dataclasses import replace

from stillroom.errors import NoPlanInTime
from stillroom.household.audit.hours import hands_in, hours_of_row, hours_there, in_equipment, stove_in
from stillroom.household.audit.tally import Tally
from stillroom.household.plan import Plan, Progress, periods
from stillroom.household.records import STOVE_FREE, Household, Tighter
from stillroom.household.results.clock import DayOnClock
from stillroom.household.text import format_long_date, format_minutes, format_moment
from stillroom.timetable.clock import alone_on_their_days, days_alike, holds, most_alone, on_the_clock, that_fit
from stillroom.timetable.latest import latest_start
from stillroom.timetable.schedule import Session, sessions_of_plan

PLANS_BY_HOURS = 3
"""So many plans are tried with fewer hours, before each day keeps to what was found to fit."""
MOST_PLANS = 8
ROOM_HOURS = 1e-6

Planner = Callable[[Household], Plan]


def plan_that_fits(household: Household, plan: Planner, progress: Progress) -> tuple[Household, Plan]:
    """
    Plan a settled household so that every single day fits the clock; `plan` is called once where the first plan does.

    Gives the household with the tighter limits it was planned with, none in most cases, and the plan. Raises what
    `plan` raises for the first time; when it finds nothing in time later on, the plan before stays.
    """
    found = plan(household)
    for number in range(1, MOST_PLANS + 1):
        over = days_over(household, sessions_of_plan(found), kept_by_hand(household))
        if not over:
            break
        progress(f"planning again: {', '.join(format_long_date(day.day) for day in over)} would not fit the clock")
        household = with_tighter_days(household, found, over, number)
        try:
            found = plan(household)
        except NoPlanInTime:
            break
    return household, found


def with_tighter_days(household: Household, found: Plan, over: Sequence[DayOnClock], number: int) -> Household:
    """Give the household with tighter limits for the days of a plan that run over, the `number`th that is tried."""
    sessions, kept = sessions_of_plan(found), kept_by_hand(household)
    tighter = told_of(household.tighter, over)
    fitting = that_fit(household, sessions, kept)
    if number > PLANS_BY_HOURS:
        tighter = only_what_fits(household, tighter, fitting)
    else:
        if number == 1:
            tighter = never_alone(household, tighter)
        tighter = with_hours_of(household, tighter, found, fitting, over)
    return replace(household, tighter=tighter)


def latest_begin(household: Household, found: Plan, day: datetime.date, name: str) -> datetime.datetime | None:
    """Return how late a line of a day of a plan may begin; see `timetable.latest`."""
    return latest_start(household, sessions_of_plan(found), day, name)


def tightened(household: Household, found: Plan, number: int) -> Household | None:
    """Give the household with tighter limits where days of a plan run over the clock; None where every day fits."""
    over = days_over(household, sessions_of_plan(found), kept_by_hand(household))
    return with_tighter_days(household, found, over, number) if over else None


def kept_by_hand(household: Household) -> set[tuple[str, datetime.date]]:
    """What the household fixed, by name and day."""
    return {
        (line.name, line.day + datetime.timedelta(days=number))
        for line in household.plan_lines
        if line.fix is not None and line.fix > 0
        for number in range(line.days)
    }


def days_over(
    household: Household, sessions: Sequence[Session], kept: set[tuple[str, datetime.date]]
) -> list[DayOnClock]:
    """The days that do not fit, but for those that are no later than what is fixed on them needs alone."""
    over = [day for day in on_the_clock(household, sessions) if not day.fits_a_plan]
    alone = alone_on_their_days(household, sessions, kept) if over else {}
    return [day for day in over if not holds(day, alone.get(day.day))]


def told_of(tighter: Tighter, over: Sequence[DayOnClock]) -> Tighter:
    """Note how each of these days would have been; the first time it was found is what is said."""
    known = {day for day, _ in tighter.told}
    new = [(day.day, how_it_was(day)) for day in over if day.day not in known]
    return replace(tighter, told=tuple(sorted([*tighter.told, *new])))


def how_it_was(day: DayOnClock) -> str:
    """How a day would have been that did not fit."""
    if day.over_minutes and day.ends > day.closes:
        return (
            f"it would have run until {format_moment(day.ends, day.day)}, {format_minutes(day.over_minutes)} past "
            "its hours"
        )
    if day.over_minutes and day.evening_ends is not None:
        return f"a dryer would have had to be filled at {format_moment(day.evening_ends, day.day)}"
    if day.late_minutes and not day.over_minutes:
        kept = format_minutes(day.late_minutes)
        return f"it would have run until {format_moment(day.ends, day.day)}, {kept} into the hours kept free"
    if day.overworked:
        name, minutes = day.overworked[0]
        return f"{name} would have worked {format_minutes(minutes)} more than the hours typed"
    return day.left_off[0] if day.left_off else "it would not have fitted"


def never_alone(household: Household, tighter: Tighter) -> Tighter:
    """No preserve is planned on a day that could not hold it even if there were nothing else."""
    days = [period.first_day for period in periods(household.kitchen) if period.single]
    alike = days_alike(household, days)
    for item in household.planned():
        most = {day: most_alone(household, item, day) for day in dict.fromkeys(alike.values())}
        for day in days:
            limit = most[alike[day]]
            if limit is not None:
                tighter = tighter.with_most(item.name, day, limit)
    return tighter


def only_what_fits(household: Household, tighter: Tighter, fitting: Sequence[Session]) -> Tighter:
    """Every single day has no more than what was found to fit on it."""
    amounts = {(session.name, session.day): int(session.amount) for session in fitting}
    for period in periods(household.kitchen):
        for item in household.planned() if period.single else ():
            tighter = tighter.with_most(item.name, period.first_day, amounts.get((item.name, period.first_day), 0))
    return tighter


def with_hours_of(
    household: Household, tighter: Tighter, plan: Plan, fitting: Sequence[Session], over: Sequence[DayOnClock]
) -> Tighter:
    """The days that ran over get the hours that their sessions took once they fitted, and no more."""
    tally = Tally(household, as_plan(household, plan, fitting))
    hands, stove, inside = hands_in(tally), stove_in(tally), equipment_in(tally)
    days = {day.day for day in over}
    for period in tally.periods:
        if not period.single or period.first_day not in days:
            continue
        free = hours_of_row(tally, STOVE_FREE, period)
        burner_hours = None if free is None else free * household.kitchen.burners
        there = {"hands": hours_of_row(tally, "hands", period), "stove": burner_hours}
        used = {"hands": hands[period.number], "stove": stove[period.number]}
        for piece in household.equipment:
            if (piece.name, period.number) in inside:
                there[piece.name] = hours_there(tally, piece, period)
                used[piece.name] = inside[piece.name, period.number]
        for what, hours in there.items():
            if hours is not None:
                less = max(0.0, hours - used[what] - ROOM_HOURS)
                tighter = tighter.with_less(what, period.first_day, less)
    return tighter


def as_plan(household: Household, plan: Plan, sessions: Sequence[Session]) -> Plan:
    """The plan with these sessions in its single days, for the sums of hours alone."""
    number = {period.first_day: period.number for period in plan.periods if period.single}
    load = {item.name: item.load for item in household.preserves}
    make = {key: amount for key, amount in plan.make.items() if key[1] not in number.values()}
    loads = {key: amount for key, amount in plan.loads.items() if key[1] not in number.values()}
    for session in sessions:
        if session.name not in load:
            continue
        key = session.name, number[session.day]
        make[key] = session.amount
        full = load[session.name]
        if full is not None:
            loads[key] = float(-(-session.amount // full))
    return replace(plan, make=make, loads=loads)


def equipment_in(tally: Tally) -> dict[tuple[str, int], float]:
    """Hours that each piece of equipment is in use, by its name and period."""
    found: dict[tuple[str, int], float] = {}
    for _, piece, covered, _, hours in in_equipment(tally):
        key = piece.name, covered.number
        found[key] = found.get(key, 0.0) + hours
    return found
