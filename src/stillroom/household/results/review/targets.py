"""What the record tells of each target: eaten how fast, when it runs out, and what to want next year."""

from __future__ import annotations

import datetime
import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stillroom.household.journal.events import MADE, events
from stillroom.household.journal.learning import (
    LEAST_DAYS_EATEN,
    LEAST_DAYS_UNEATEN,
    LEAST_EATING_ROWS,
    LEAST_SESSIONS,
    TOO_LITTLE,
    Interval,
    mean_interval,
    share_interval,
)
from stillroom.household.records import ATE, GAVE, SPOILED, SURPLUS, Household, Target
from stillroom.household.results.winter import (
    Jars,
    Taken,
    counts_for,
    eaten_in_order,
    jars_on,
    shared_out,
    taken_of_targets,
)
from stillroom.household.text import (
    format_amount,
    format_count,
    format_date_and_year,
    format_quantity,
    format_share,
    plural,
)

YEAR_DAYS = 365
HALF_YEAR_DAYS = 183
YEAR_WEEKS = 52.0
MONTH_DAYS = YEAR_DAYS / 12


@dataclass(frozen=True)
class TargetReview:
    """
    One target, in its own unit: what was wanted, put up in the last season with work, and taken in the last year.

    `a_month` is how fast it is eaten, with its interval, None while the record is too thin; `runs_out` or `left` at
    that rate up to the next harvest of it, and `late` goes out of date uneaten. `next_wanted` is proposed, `why` its
    reason. `months` are the amounts eaten by the first day of the month.
    """

    target: str
    unit: str
    wanted: float
    put_up: float
    eaten: float
    given: float
    spoiled: float
    on_hand: float
    a_month: float | None
    a_month_between: Interval | None
    runs_out: datetime.date | None
    left: float | None
    late: float
    next_wanted: float
    why: str
    never_eaten: bool = False
    months: Mapping[datetime.date, float] = field(default_factory=dict)


def target_reviews(typed: Household, settled: Household) -> Iterable[TargetReview]:
    """Review each target."""
    today = typed.kitchen.first_day
    taken, made = taken_of_targets(typed), made_for_targets(typed)
    year_ago = today - datetime.timedelta(days=YEAR_DAYS)
    since = max(year_ago, min((one.day for one in taken if one.how == ATE), default=today))
    there = days_there(typed, made, taken, since)
    jars = jars_of_targets(settled, today)
    for target in typed.targets:
        yield target_review(target, today, made, taken, there.get(target.name, []), jars[target.name])


def jars_of_targets(settled: Household, today: datetime.date) -> dict[str, Jars]:
    """Return what is good on the shelf today for each target, none of it twice."""
    good, _ = jars_on(replace(settled, plan_lines=()), today)
    in_order = sorted(settled.targets, key=lambda target: target.importance)
    return shared_out(in_order, good, {target.name: target.wanted for target in in_order})


def made_for_targets(typed: Household) -> list[Taken]:
    """Return what was put up, in the units of the targets; a container counts for the most important one."""
    each = counts_for(typed)
    made = [event for event in events(typed) if event.kind == MADE and event.made > 0 and event.name in each]
    return [Taken(event.day, "", each[event.name][0], event.made * each[event.name][1]) for event in made]


def days_there(
    typed: Household, made: Sequence[Taken], taken: Sequence[Taken], since: datetime.date
) -> dict[str, list[datetime.date]]:
    """
    Return the days from one day to yesterday on which each target had something on the shelf, by the record.

    A shelf row without a date was there before them all. Where more left than was there, the record is not whole, and
    every day counts.
    """
    each = counts_for(typed)
    moves: dict[str, list[tuple[datetime.date, int, float]]] = defaultdict(list)
    for row in typed.shelf:
        if row.preserve in each:
            name, counts = each[row.preserve]
            moves[name].append((row.made_on or datetime.date.min, 0, row.count * counts))
    for one in made:
        moves[one.target].append((one.day, 0, one.amount))
    for one in taken:
        moves[one.target].append((one.day, 1, -one.amount))
    days = [since + datetime.timedelta(days=n) for n in range((typed.kitchen.first_day - since).days)]
    return {name: days_with_stock(sorted(several), days) for name, several in moves.items()}


def days_with_stock(
    moves: Sequence[tuple[datetime.date, int, float]], days: Sequence[datetime.date]
) -> list[datetime.date]:
    """
    Return the days with a stock above zero: what comes (0) counts from its day on, what leaves (1) from the next.

    >>> days = [datetime.date(2026, 1, day) for day in range(1, 7)]
    >>> [day.day for day in days_with_stock([(days[1], 0, 3.0), (days[2], 1, -1.0), (days[3], 1, -2.0)], days)]
    [2, 3, 4]
    >>> [day.day for day in days_with_stock([(days[1], 0, 3.0), (days[2], 1, -4.0)], days)]
    [1, 2, 3, 4, 5, 6]
    """
    stock, place, found = 0.0, 0, []
    for day in days:
        while place < len(moves) and moves[place][:2] <= (day, 0):
            stock += moves[place][2]
            if stock < -1e-9 and moves[place][0] >= days[0]:
                return list(days)
            stock, place = max(stock, 0.0), place + 1
        if stock > 1e-9:
            found.append(day)
    return found


def target_review(
    target: Target,
    today: datetime.date,
    made: Sequence[Taken],
    taken: Sequence[Taken],
    there: Sequence[datetime.date],
    jars: Jars,
) -> TargetReview:
    """Review one target; `there` are the days it was on the shelf, `jars` what is there now."""
    year_ago = today - datetime.timedelta(days=YEAR_DAYS)
    sums: dict[str, float] = defaultdict(float)
    months: dict[datetime.date, float] = defaultdict(float)
    for one in taken:
        if one.target == target.name and year_ago <= one.day <= today:
            sums[one.how] += one.amount
        if one.target == target.name and one.how == ATE:
            months[one.day.replace(day=1)] += one.amount
    ate = [one for one in taken if one.how == ATE and year_ago <= one.day <= today]
    mine = [one for one in ate if one.target == target.name]
    on_hand = sum(amount for amount, _ in jars)
    put_up, next_harvest = put_up_of(made, target, today)
    days = set(there)
    meanwhile = [one for one in ate if one.day in days]
    never = not mine and len(there) >= LEAST_DAYS_UNEATEN and len(meanwhile) >= LEAST_EATING_ROWS
    rate, between = None, None
    if never:
        rate, between = 0.0, (0.0, most_a_month(meanwhile, len(there)))
    elif min(len(mine) / LEAST_SESSIONS, len(there) / LEAST_DAYS_EATEN, len(ate) / LEAST_EATING_ROWS) >= 1:
        rate, between = eaten_a_month(mine, there)
    runs_out, left, late = end_of(jars, rate, today, next_harvest)
    if never:
        wanted, why = 0.0, never_words(len(meanwhile), there[0])
    else:
        wanted, why = next_wanted(target, rate, between, sums[GAVE], len(mine))
    if on_hand <= 0 and rate:
        why += " None is left."
    return TargetReview(
        target=target.name,
        unit=target.unit,
        wanted=target.wanted,
        put_up=put_up,
        eaten=sums[ATE],
        given=sums[GAVE],
        spoiled=sums[SPOILED] + sums[SURPLUS],
        on_hand=on_hand,
        a_month=rate,
        a_month_between=between,
        runs_out=runs_out,
        left=left,
        late=late,
        next_wanted=wanted,
        why=why,
        never_eaten=never,
        months=dict(sorted(months.items())),
    )


def put_up_of(made: Sequence[Taken], target: Target, today: datetime.date) -> tuple[float, datetime.date]:
    """
    Return what was put up for a target in the last season with work of its own, and when that begins again.

    A season is the half year up to the last work, so that it may lie across a New Year.

    >>> jam = Target("jam", 9, 9)
    >>> made = [Taken(datetime.date(*day), MADE, "jam", 4.0) for day in ((2025, 8, 1), (2026, 11, 20), (2027, 1, 5))]
    >>> put_up_of(made, jam, datetime.date(2027, 2, 1))
    (8.0, datetime.date(2027, 11, 20))
    """
    mine = [one for one in made if one.target == target.name]
    last = max((one.day for one in mine), default=today)
    mine = [one for one in mine if (last - one.day).days < HALF_YEAR_DAYS]
    day = min((one.day for one in mine), default=today)
    while day <= today:
        day += datetime.timedelta(days=YEAR_DAYS)
    return sum(one.amount for one in mine), day


def eaten_a_month(mine: Sequence[Taken], there: Sequence[datetime.date]) -> tuple[float, Interval | None]:
    """
    Return what was eaten a month of the days it was there, and the interval over whole months of such days.

    >>> days = [datetime.date(2026, 1, 1) + datetime.timedelta(days=n) for n in range(122)]
    >>> eaten_a_month([Taken(days[31 * n], ATE, "juice", 3.0) for n in range(4)], days)
    (2.9918032786885247, (3.0, 3.0))
    """
    whole = [0.0] * int(len(there) / MONTH_DAYS)
    for one in mine:
        place = int(bisect_left(there, one.day) / MONTH_DAYS)
        if place < len(whole):
            whole[place] += one.amount
    between = mean_interval(whole)
    if between is not None:
        between = max(between[0], 0.0), between[1]
    return sum(one.amount for one in mine) / len(there) * MONTH_DAYS, between


def most_a_month(meanwhile: Sequence[Taken], days: int) -> float:
    """Return the most that can be eaten a month of what no record shows: its largest likely share of all eaten."""
    return sum(one.amount for one in meanwhile) / days * MONTH_DAYS * share_interval(0, len(meanwhile))[1]


def never_words(records: int, since: datetime.date) -> str:
    """
    Return in words that something is never eaten.

    >>> never_words(36, datetime.date(2025, 8, 14))
    'Never eaten: none of 36 records of eating since Aug 14, 2025 (95% sure: at most 10% of what you eat).'
    """
    words = f"Never eaten: none of {records} records of eating since {format_date_and_year(since)}"
    return f"{words} (95% sure: at most {format_share(share_interval(0, records)[1])} of what you eat)."


def end_of(
    jars: Jars, rate: float | None, today: datetime.date, next_harvest: datetime.date
) -> tuple[datetime.date | None, float | None, float]:
    """
    Return the day it runs out before the next harvest, else what is left then; and what goes out of date uneaten.

    >>> first, august = datetime.date(2026, 11, 1), datetime.date(2027, 8, 1)
    >>> end_of([(6.0, None)], 2.0, first, august), end_of([(20.0, None)], 0.0, first, august)
    ((datetime.date(2027, 1, 31), None, 0.0), (None, 20.0, 0.0))
    """
    amount = sum(one for one, _ in jars)
    if rate is None or amount <= 0:
        return None, None, 0.0
    if rate == 0.0:
        old = sum(one for one, until in jars if until is not None and until < next_harvest)
        return None, amount - old, float(old)
    a_week = rate / MONTH_DAYS * 7
    days, late, _ = eaten_in_order(jars, a_week, today)
    span = (next_harvest - today).days
    if days < span:
        return today + datetime.timedelta(days=math.floor(days)), None, late
    return None, max(amount - late - a_week * span / 7, 0.0), late


def next_wanted(
    target: Target, rate: float | None, between: Interval | None, given: float, rows: int
) -> tuple[float, str]:
    """Return what to want next year, and the reason; what is wanted now while that fits the record."""
    if rate is None:
        return target.wanted, f"{TOO_LITTLE}: {format_count(rows, 'record')} of eating it in a year."
    months = (target.weeks or YEAR_WEEKS) * 7 / MONTH_DAYS
    need = rate * months + given
    least, most = (limit * months + given for limit in between or (rate, rate))
    span = f"{format_amount(least)} to {format_amount(most)}" if between else format_amount(need)
    more = f", {format_amount(given)} given away with it" if given else ""
    weeks = f"{format_count(round(target.weeks or YEAR_WEEKS), 'week')}{more}"
    amount = f"{span} {plural(2, target.unit)}".strip()
    words = f"At {format_quantity(rate, target.unit)} a month you use {amount} in {weeks}"
    if least <= target.wanted <= most:
        return target.wanted, f"{words}: Wanted fits."
    return float(math.ceil(need - 1e-9)), f"{words}."
