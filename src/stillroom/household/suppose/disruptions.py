"""The ten likeliest things that go wrong, and what each leaves of a household."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from stillroom.household.checks import with_pieces
from stillroom.household.plan import Plan, periods
from stillroom.household.records import FREEZE_WHOLE, STOVE_FREE, WEEKDAYS, Household, PlanLine
from stillroom.household.suppose.more import HANDS, is_a_person, more_crop, more_stock, with_amount, with_hours
from stillroom.household.text import format_long_date

LATE_HOURS = 3.0
TWO_DAYS = 2
A_WEEK = datetime.timedelta(days=7)


@dataclass(frozen=True)
class Disruption:
    """
    Something that goes wrong, in words, and the household as it is then: settled, with the plan's lines.

    `failed` is what of a line of the first day was made in vain.
    """

    name: str
    household: Household
    failed: tuple[tuple[str, float], ...] = ()


def the_ten(household: Household, plan: Plan) -> tuple[Disruption, ...]:
    """
    Return the ten likeliest disruptions of a settled household with its plan, without those that cannot happen in it.

    Nothing in them makes anything possible that is not without them, but for more crop: they need not be settled again.

    >>> from stillroom.household.examples import tiny_household
    >>> home = tiny_household()
    >>> plan = Plan(periods(home.kitchen), {("juice", 0): 7.0}, loads={("juice", 0): 1.0})
    >>> [one.name for one in the_ten(home, plan)][:2]
    ['nobody can work on Fri', 'the canner is out of use for a week']
    """
    as_planned = with_lines_of(household, plan)
    found = (make(as_planned, plan) for make in TEN.values())
    return tuple(one for one in found if one is not None)


def with_lines_of(household: Household, plan: Plan) -> Household:
    """
    Return the household with a plan's detailed days as its last plan, so that the next one stays near them.

    What was typed under *Keep at* is only a wish when something goes wrong, but for 0: that stays out.
    """
    single = {period.number: period.first_day for period in plan.periods if period.single}
    frozen = {(FREEZE_WHOLE + name, number): kg for (name, number), kg in plan.freeze_kg.items()}
    lines = [
        PlanLine(single[number], 1, name, make=amount)
        for (name, number), amount in {**plan.make, **frozen}.items()
        if number in single and amount > 0
    ]
    kept_out = [line for line in household.plan_lines if line.fix == 0]
    return replace(household, plan_lines=(*lines, *(replace(line, make=None) for line in kept_out)))


def today_lost(household: Household, _plan: Plan) -> Disruption | None:
    """Nobody works on the first day."""
    return Disruption(
        f"nobody can work on {first_day(household)}",
        with_hours(household, HANDS, none_of, weekdays_of(household, 1), weeks=False),
    )


def day_name(day: datetime.date) -> str:
    """Return the weekday in short: what goes wrong is within a week."""
    return format_long_date(day).partition(" ")[0]


def first_day(household: Household) -> str:
    """Return the weekday of the first day."""
    return day_name(household.kitchen.first_day)


def none_of(_hours: float) -> float:
    """Return none of the hours there were."""
    return 0.0


def weekdays_of(household: Household, days: int) -> list[int]:
    """
    Return the weekdays of the first so many days, Monday 0.

    Where more than a week is planned in detail the same weekdays of the next week are taken too: what is lost is then
    rather too much than too little.
    """
    first = household.kitchen.first_day.weekday()
    return [(first + number) % len(WEEKDAYS) for number in range(days)]


def canner_out(household: Household, plan: Plan) -> Disruption | None:
    """The canner that the detailed days use most is out of use for a week; one of several, for as long as planned."""
    single = {period.number for period in plan.periods if period.single}
    canners = {piece.name: 0.0 for piece in household.equipment if "canner" in piece.kind}
    for (made, number), loads in plan.loads.items():
        for name in household.preserve(made).equipment if number in single else ():
            if name in canners:
                canners[name] += loads
    most = max(canners, key=lambda name: canners[name], default="")
    if not most or not canners[most]:
        return None
    piece = household.equipment_named(most)
    if piece.how_many > 1:
        return Disruption(f"one {most} is out of use", with_pieces(household, most, piece.how_many - 1))
    until = household.kitchen.first_day + A_WEEK
    return Disruption(f"the {most} is out of use for a week", household.changed("equipment", most, free_from=until))


def harvest_times(factor: float, words: str) -> Callable[[Household, Plan], Disruption | None]:
    """Return the disruption in which the next day's picking is so many times what was expected."""

    def make(household: Household, _plan: Plan) -> Disruption | None:
        days = [period.first_day for period in periods(household.kitchen) if period.single]
        picked = [lot.picked_on for lot in household.lots if lot.frozen_on is None and lot.picked_on in days]
        if not picked:
            return None
        day = min(picked)
        lots = tuple(
            with_amount(lot, lambda kg: factor * kg) if lot.picked_on == day and lot.frozen_on is None else lot
            for lot in household.lots
        )
        return Disruption(f"{words} the harvest on {day_name(day)}", replace(household, lots=lots))

    return make


def out_of_lids(household: Household, _plan: Plan) -> Disruption | None:
    """No lid can be had for a week: nothing that takes one is made on its days."""
    lidded = {one.name for one in household.containers if one.lid is not None}
    names = [item.name for item in household.planned() if item.container in lidded]
    tighter, first = household.tighter, household.kitchen.first_day
    for name in names:
        for number in range(min(len(WEEKDAYS), household.kitchen.days_planned_singly)):
            tighter = tighter.with_most(name, first + datetime.timedelta(days=number), 0)
    return Disruption("out of lids for a week", replace(household, tighter=tighter)) if names else None


def freezer_full(household: Household, plan: Plan) -> Disruption | None:
    """There is no room left in the freezer."""
    frozen = any(household.preserve(name).kept_in == "freezer" for name, _ in plan.make) or any(plan.freeze_kg.values())
    full = household.with_kitchen(freezer_free_litres=0.0)
    return Disruption("the freezer is full", full) if frozen else None


def one_person_less(household: Household, _plan: Plan) -> Disruption | None:
    """One person is away for two days, of those with rows of their own the one with most hours."""
    weekdays = weekdays_of(household, TWO_DAYS)
    named = [row for row in household.hours if is_a_person(row.what)]
    if len(named) > 1:
        busiest = max(named, key=lambda row: sum(row.by_weekday[day] for day in weekdays))
        changed = with_hours(household, busiest.what, none_of, weekdays, weeks=False)
        return Disruption(f"{busiest.what.partition(':')[2].strip()} is away for two days", changed)
    people = persons(household)
    left = (people - 1) / people
    changed = with_hours(household, HANDS, lambda hours: hours * left, weekdays, weeks=False)
    return Disruption("one person less for two days" if people > 1 else "nobody works for two days", changed)


def persons(household: Household) -> int:
    """
    Return how many people work on the first day, as the clock has it: at least 1.

        ceil(hands / hours the stove is free), no more than the people of the household

    >>> from stillroom.household.examples import tiny_household
    >>> persons(tiny_household())
    2
    """
    day = household.kitchen.first_day.weekday()
    rows = {row.what.casefold(): row.by_weekday[day] for row in household.hours}
    hands, stove = rows.get(HANDS, 0.0), rows.get(STOVE_FREE, 0.0)
    people = math.floor(household.kitchen.people) if household.kitchen.people else math.inf
    return int(max(1, min(math.ceil(hands / stove - 1e-9), people))) if stove else 1


def load_fails(household: Household, plan: Plan) -> Disruption | None:
    """The largest load of the first day is lost: its crop, its lids, its other ingredients and its hands-on hours."""
    today = {name: made for (name, number), made in plan.make.items() if number == 0 and made >= 1}
    canned = {name: made for name, made in today.items() if household.preserve(name).load is not None}
    if not canned:
        return None
    of_a_load = {name: min(made, household.preserve(name).load or made) for name, made in canned.items()}
    name = max(of_a_load, key=lambda one: (of_a_load[one], one))
    item, lost = household.preserve(name), math.floor(of_a_load[name])
    for line in item.ingredients:
        if line.source == "crop":
            household = more_crop(household, line.item, -line.amount_each * lost)
        elif line.source == "pantry":
            household = more_stock(household, "pantry", line.item, -line.amount_each * lost)
    lid = household.container(item.container).lid
    household = more_stock(household, "lid", lid, -lost) if lid is not None else household
    hours = (item.hands_minutes_each * lost + item.hands_minutes_load) / 60
    weekdays = weekdays_of(household, 1)
    household = with_hours(household, HANDS, lambda there: there - hours, weekdays, weeks=False)
    return Disruption(f"a load of {lost} {name} fails on {first_day(household)}", household, ((name, float(lost)),))


def late_start(household: Household, _plan: Plan) -> Disruption | None:
    """The first day begins three hours late and is as much shorter, for everybody and the stove."""
    kitchen, weekdays = household.kitchen, weekdays_of(household, 1)
    starts = kitchen.starts_on(kitchen.first_day) + datetime.timedelta(hours=LATE_HOURS)
    if starts.date() != kitchen.first_day:
        return None
    times = list(kitchen.starts_by_weekday or (kitchen.day_starts_at,) * len(WEEKDAYS))
    times[weekdays[0]] = starts.time()
    lost = LATE_HOURS * persons(household)
    changed = with_hours(household, HANDS, lambda hours: hours - lost, weekdays, weeks=False)
    changed = with_hours(changed, STOVE_FREE, lambda hours: hours - LATE_HOURS, weekdays, weeks=False)
    return Disruption(
        f"work begins 3 hours late on {first_day(household)}", changed.with_kitchen(starts_by_weekday=tuple(times))
    )


def no_shopping(household: Household, _plan: Plan) -> Disruption | None:
    """Nothing is bought, in the detailed days or after."""
    return Disruption(
        "nothing can be bought",
        replace(
            household,
            containers=tuple(replace(one, can_buy=0.0) for one in household.containers),
            lids=tuple(replace(one, can_buy=0.0) for one in household.lids),
            pantry=tuple(replace(one, can_buy=0.0) for one in household.pantry),
        ),
    )


TEN: Mapping[str, Callable[[Household, Plan], Disruption | None]] = {
    "evening lost": today_lost,
    "canner out of use": canner_out,
    "twice the harvest": harvest_times(2.0, "twice"),
    "half the harvest": harvest_times(0.5, "half"),
    "out of lids": out_of_lids,
    "freezer full": freezer_full,
    "one person less": one_person_less,
    "failed load": load_fails,
    "late start": late_start,
    "no shopping": no_shopping,
}
"""The ten by the words of the table Disruptions; which they are is a choice of this project without a source."""
