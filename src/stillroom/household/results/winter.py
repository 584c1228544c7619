"""Living from the shelf: how long each target lasts, a share a week that lasts the winter, what goes out of date."""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.names import plain_word
from stillroom.household.plan import best_by
from stillroom.household.records import ATE, LEFT, Household, Target
from stillroom.household.results.rows import Row, cell_number
from stillroom.household.text import format_fraction, plural

Jars = list[tuple[float, datetime.date | None]]
"""Amounts in a target's unit, each with the last day it is good (None: not known, counts as good)."""

WEEK = 7.0
MONTHS = 4.0
"""So long a shelf lasts through the winter where nothing else is asked."""
LONG_DAYS = 36_525.0
"""A shelf that lasts this long, a century, has no day on which it runs out."""
LEAST_WEEKS = 4.0
"""A rate of eating is worked out from so many weeks of records on (common practice, no source)."""


@dataclass(frozen=True)
class Cover:
    """
    How far the shelf goes for one target, in its own unit; rates are amounts a week.

    `by_list` is *Wanted* over its weeks, `eaten` what the record shows (None: too little recorded). `weeks` and
    `runs_out` are at the rate of the list, `weeks_eaten` at the rate really eaten. `share` a week lasts until the end
    of the winter, or until `share_until` where all of it goes out of date before. `late` is what goes out of date
    uneaten at the rate of the list. `worth` is the store's price of what is good.
    """

    target: str
    unit: str
    amount: float
    by_list: float | None
    eaten: float | None
    weeks: float | None
    weeks_eaten: float | None
    runs_out: datetime.date | None
    share: float
    share_until: datetime.date
    late: float
    first_late: datetime.date | None
    list_weeks: float
    worth: float | None


@dataclass(frozen=True)
class Winter:
    """The covers of all targets from a `first` to a `last` day; `planned` says whether the plan's jars are counted."""

    first: datetime.date
    last: datetime.date
    planned: bool
    covers: tuple[Cover, ...]

    @property
    def weeks(self) -> float:
        """Weeks from the first day to the last."""
        return (self.last - self.first).days / WEEK


def winter(typed: Household, settled: Household, first: datetime.date, months: float) -> Winter:
    """
    Work out how the shelf carries through so many months from a first day.

    `typed` has the record, `settled` the shelf as it is now. Of the plan in the workbook, what is made before the first
    day counts too.
    """
    last = best_by(first, months)
    weeks = (last - first).days / WEEK
    jars, planned = jars_on(settled, first)
    targets = sorted(settled.targets, key=lambda target: target.importance)
    by_list = {target.name: target.wanted / (target.weeks or weeks) for target in targets}
    shared = shared_out(targets, jars, {name: rate * weeks for name, rate in by_list.items()})
    eaten = eaten_a_week(typed)
    covers = []
    for target in settled.targets:
        mine, rate = shared[target.name], by_list[target.name]
        amount = sum(one for one, _ in mine)
        lasts, late, first_late = eaten_in_order(mine, rate, first)
        share, share_until = even_share(mine, first, last)
        own = eaten.get(target.name)
        covers.append(
            Cover(
                target=target.name,
                unit=target.unit,
                amount=amount,
                by_list=rate or None,
                eaten=own,
                weeks=lasts / WEEK if rate else None,
                weeks_eaten=eaten_in_order(mine, own, first)[0] / WEEK if own else None,
                runs_out=first + datetime.timedelta(days=math.floor(lasts)) if rate and lasts < LONG_DAYS else None,
                share=share,
                share_until=share_until,
                late=late,
                first_late=first_late,
                list_weeks=target.weeks or weeks,
                worth=None if target.shop_price is None else amount * target.shop_price,
            )
        )
    return Winter(first, last, planned, tuple(covers))


def jars_on(settled: Household, day: datetime.date) -> tuple[dict[str, Jars], bool]:
    """Return what is good on a day, by preserve in containers, and whether planned work before that day is in it."""
    found: dict[str, Jars] = defaultdict(list)
    for row in settled.shelf:
        if row.count > 0 and (row.best_by is None or row.best_by >= day):
            found[row.preserve].append((row.count, row.best_by))
    planned, named = False, {item.name: item for item in settled.preserves}
    for line in settled.plan_lines:
        made_on = line.day + datetime.timedelta(days=line.days - 1)
        count = (line.make or 0.0) if line.fix is None else line.fix
        if line.made is None and line.name in named and count > 0 and settled.kitchen.first_day <= made_on < day:
            months = named[line.name].keeps_months
            until = None if months is None else best_by(made_on, months)
            if until is None or until >= day:
                found[line.name].append((count, until))
                planned = True
    return found, planned


def shared_out(targets: Sequence[Target], jars: Mapping[str, Jars], need: Mapping[str, float]) -> dict[str, Jars]:
    """
    Divide the jars among targets, none twice: each takes what it needs in turn, then the first that may takes the rest.

    A container that counts toward several targets goes to the earliest of `targets` that still lacks it, those that go
    out of date soonest first.

    >>> jam = Target("jam", 4, 4, counts={"plum jam": 1.0})
    >>> sweet = Target("sweet things", 9, 9, counts={"plum jam": 2.0})
    >>> shared_out([jam, sweet], {"plum jam": [(7.0, None)]}, {"jam": 4.0, "sweet things": 2.0})
    {'jam': [(4.0, None), (2.0, None)], 'sweet things': [(2.0, None)]}
    """
    left = {name: sorted(several, key=lambda jar: jar[1] or datetime.date.max) for name, several in jars.items()}
    found: dict[str, Jars] = {target.name: [] for target in targets}
    for enough in (need, dict.fromkeys(need, math.inf)):
        for target in targets:
            have = sum(amount for amount, _ in found[target.name])
            soonest = sorted(
                ((day, name) for name, each in target.counts.items() if each > 0 for _, day in left.get(name, ())),
                key=lambda one: (one[0] or datetime.date.max, one[1]),
            )
            for _, name in soonest:
                wanted, each = max(enough[target.name] - have, 0.0), target.counts[name]
                count, until = left[name].pop(0)
                taken = count if math.isinf(wanted) else min(count, math.ceil(wanted / each - 1e-9))
                if taken > 0:
                    found[target.name].append((taken * each, until))
                    have += taken * each
                if count > taken:
                    left[name].insert(0, (count - taken, until))
    return found


def eaten_in_order(jars: Jars, a_week: float, first: datetime.date) -> tuple[float, float, datetime.date | None]:
    """
    Eat at an even rate, what goes out of date soonest first, nothing past its day.

    Return the days it lasts, how much goes out of date uneaten, and from which day on.

    >>> first, april = datetime.date(2026, 11, 1), datetime.date(2026, 11, 15)
    >>> eaten_in_order([(3.0, april), (4.0, None)], 1.0, first)
    (42.0, 1.0, datetime.date(2026, 11, 15))
    """
    if a_week <= 0:
        return math.inf if jars else 0.0, 0.0, None
    days, late, first_late = 0.0, 0.0, None
    for amount, until in sorted(jars, key=lambda jar: jar[1] or datetime.date.max):
        room = math.inf if until is None else max(0.0, (until - first).days - days) * a_week / WEEK
        bite = min(amount, room)
        days += bite / a_week * WEEK
        if amount - bite > 1e-9:
            late += amount - bite
            first_late = first_late or until
    return days, late, first_late


def even_share(jars: Jars, first: datetime.date, last: datetime.date) -> tuple[float, datetime.date]:
    """
    Return the largest even amount a week that lasts to the last day, and that day.

    After each date, what is good longer has to do for the rest. Where all of it goes out of date before the last day,
    the share lasts to the latest date among the jars.

    >>> first, last = datetime.date(2026, 11, 1), datetime.date(2027, 1, 10)
    >>> even_share([(30.0, datetime.date(2026, 12, 6)), (5.0, None)], first, last)
    (1.0, datetime.date(2027, 1, 10))
    >>> even_share([(10.0, datetime.date(2026, 12, 6))], first, last)
    (2.0, datetime.date(2026, 12, 6))
    """
    dated = sorted({day for _, day in jars if day is not None and day < last})
    if jars and all(day is not None and day < last for _, day in jars):
        last = dated[-1]
    starts = [first, *(day for day in dated if first < day < last)]
    shares = [
        sum(amount for amount, day in jars if start == first or day is None or day > start)
        / ((last - start).days / WEEK)
        for start in starts
        if start < last
    ]
    return min(shares, default=0.0), last


def eaten_a_week(typed: Household) -> dict[str, float]:
    """
    Return what was really eaten a week of each target, since the first record of eating; empty before four weeks.

    A container that counts toward several targets counts for the most important.
    """
    eaten = [one for one in taken_of_targets(typed) if one.how == ATE]
    since = min((one.day for one in eaten), default=typed.kitchen.first_day)
    weeks = (typed.kitchen.first_day - since).days / WEEK
    if weeks < LEAST_WEEKS:
        return {}
    found: dict[str, float] = defaultdict(float)
    for one in eaten:
        found[one.target] += one.amount / weeks
    return dict(found)


@dataclass(frozen=True)
class Taken:
    """So much of a target that left the shelf on a day, and how: eaten, given away, spoiled or surplus."""

    day: datetime.date
    how: str
    target: str
    amount: float


def taken_of_targets(typed: Household) -> list[Taken]:
    """Return what left the shelf, in the units of the targets; a container counts for the most important one."""
    each, found = counts_for(typed), []
    for row in typed.record:
        how = next((one for one in LEFT if (row.preserve or "").startswith(one)), None)
        if how is not None and (name := (row.preserve or "").removeprefix(how)) in each and row.made > 0:
            target, counts = each[name]
            found.append(Taken(row.date, how, target, row.made * counts))
    return found


def counts_for(typed: Household) -> dict[str, tuple[str, float]]:
    """
    Return the one target that a container of each preserve counts for here, and how much: the most important.

    >>> sweets, jam = Target("sweets", 9, 9, 2, counts={"jam": 2.0}), Target("jam", 4, 4, 1, counts={"jam": 1.0})
    >>> from stillroom.household.records import Kitchen
    >>> counts_for(Household(Kitchen(datetime.date(2026, 11, 1)), targets=(sweets, jam)))
    {'jam': ('jam', 1.0)}
    """
    each: dict[str, tuple[str, float]] = {}
    for target in sorted(typed.targets, key=lambda target: target.importance):
        for name, counts in target.counts.items():
            each.setdefault(name, (target.name, counts))
    return each


def share_words(a_week: float, unit: str) -> str:
    """
    Return an even share, rounded down: so many a week, or one in so many weeks.

    >>> share_words(2.6, "quart"), share_words(1 - 1e-12, "pint"), share_words(0.3, "quart"), share_words(0.0, "quart")
    ('2½ quarts a week', '1 pint a week', '1 quart in 4 weeks', '')
    >>> share_words(0.2, "quarts"), share_words(1.2, "quarts")
    ('1 quart in 5 weeks', '1 quart a week')
    """
    unit = plain_word(unit)
    if a_week >= 1.0 - 1e-9:
        amount = math.floor(a_week * 2 + 1e-9) / 2
        return f"{format_fraction(amount, 0.5)} {plural(amount, unit)} a week".replace("  ", " ")
    if a_week <= 0.0:
        return ""
    weeks = math.ceil(1 / a_week - 1e-9)
    return f"1 {plural(1, unit)} in {weeks} weeks".replace("  ", " ")


def winter_rows(covers: Iterable[Cover]) -> list[Row]:
    """Return the rows of the table Winter, unrounded."""
    return [
        {
            "Target": cover.target,
            "On hand": cell_number(cover.amount),
            "Unit": cover.unit or None,
            "List a week": none_or(cover.by_list),
            "Eaten a week": none_or(cover.eaten),
            "Weeks": none_or(cover.weeks),
            "Runs out": cover.runs_out,
            "Share a week": cell_number(cover.share),
            "Until": cover.share_until if cover.amount else None,
            "Goes out of date": cell_number(cover.late) if cover.late else None,
            "Worth": none_or(cover.worth),
        }
        for cover in covers
    ]


def none_or(number: float | None) -> float | int | None:
    """Return a number as a cell has it; None stays None."""
    return None if number is None or math.isinf(number) else cell_number(number)
