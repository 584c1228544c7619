"""What a season taught: targets, crops and varieties, preserves, equipment, years and weeks, by the record alone."""

from __future__ import annotations

import datetime
import math
import statistics
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stillroom.errors import Problem
from stillroom.household.intervals import LEVEL, Interval, mean_interval, more_by_chance, ratio_interval, share_interval
from stillroom.household.journal.events import MADE, events
from stillroom.household.journal.learning import LEAST_RECORDS, crop_samples, hands_minutes, middle, sound
from stillroom.household.journal.overview import CropSeason, seasons, tally
from stillroom.household.records import ATE, GAVE, SPOILED, SURPLUS, Crop, Household, Preserve, RecordRow, Target
from stillroom.household.results.rows import Row, cell_number, crop_unit_kg, in_crop_unit
from stillroom.household.results.winter import (
    Jars,
    Taken,
    counts_for,
    eaten_in_order,
    jars_on,
    none_or,
    shared_out,
    taken_of_targets,
)
from stillroom.household.text import (
    format_amount,
    format_count,
    format_date_and_year,
    format_list,
    format_quantity,
    format_share,
    plural,
)
from stillroom.household.units import UNITS

YEAR_DAYS = 365
HALF_YEAR_DAYS = 183
YEAR_WEEKS = 52.0
MONTH_DAYS = YEAR_DAYS / 12
LEAST_DAYS_UNEATEN = 84
LEAST_DAYS_EATEN = 28
LEAST_EATING_ROWS = 20
LEAST_SESSIONS = 6
LEAST_LOTS = 6
LEAST_BAD_DAYS = 3
LEAST_YEARS = 3
"""Below any of these nothing is compared or advised (common practice, no source)."""
TOO_LITTLE = "Too little to tell"


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


@dataclass(frozen=True)
class CropReview:
    """
    One crop over all years of the workbook, in kg and liters.

    `finished` is liters put up a kg of crop where both were measured, `minutes` hands-on minutes a jar. `ratio`
    compares it with the other crops of its food, product by product, with its interval; `words` put that plainly.
    """

    crop: Crop
    years: int
    weighed_kg: float
    finished: float | None
    minutes: float | None
    lost: float
    surplus: float
    sessions: int
    ratio: float | None
    ratio_between: Interval | None
    words: str


@dataclass(frozen=True)
class WorkReview:
    """
    What was filled of one preserve, or in one piece of equipment, and what did not seal, jar by jar.

    `each_own` and `each_typed` are kg of `crop` a container, `each_published` that of the published table, `hours` of
    hands and `hours_typed` those typed for the same work.
    """

    name: str
    sessions: int
    filled: float
    failed: float
    between: Interval | None
    bad_days: tuple[datetime.date, ...]
    words: str = ""
    crop: str | None = None
    each_own: float | None = None
    each_typed: float | None = None
    each_published: float | None = None
    hours: float | None = None
    hours_typed: float | None = None


@dataclass(frozen=True)
class YearReview:
    """One calendar year: containers put up, money spent, what they would cost at the store, hours written down."""

    year: int
    containers: float
    spent: float
    worth: float
    hours: float
    containers_with_hours: float


@dataclass(frozen=True)
class WeekReview:
    """A crop in one week of its last year, in kg: expected and not weighed, weighed; least and most over the years."""

    crop: Crop
    week: datetime.date
    expected: float
    weighed: float
    years: int
    least: float | None
    usual: float | None
    most: float | None


@dataclass(frozen=True)
class Review:
    """
    All of it, up to a day; `first` is the first day that the workbook tells of, None without records.

    `problems` are those of the earlier years.
    """

    day: datetime.date
    first: datetime.date | None
    records: int
    targets: tuple[TargetReview, ...]
    crops: tuple[CropReview, ...]
    preserves: tuple[WorkReview, ...]
    equipment: tuple[WorkReview, ...]
    years: tuple[YearReview, ...]
    weeks: tuple[WeekReview, ...]
    problems: tuple[Problem, ...] = ()


def review(typed: Household, settled: Household, food_of: Mapping[str, str], published: Mapping[str, float]) -> Review:
    """
    Review all that the workbook holds up to its first day.

    `typed` has the record, `settled` the shelf as it is now; `food_of` names the food of each crop, so that crops of
    one food are compared; `published` has the kg of crop a container of each preserve that a table gives.
    """
    days = [row.date for row in typed.record] + [lot.picked_on for lot in typed.lots if not lot.expected]
    return Review(
        day=typed.kitchen.first_day,
        first=min(days, default=None),
        records=len(typed.record),
        targets=tuple(target_reviews(typed, settled)),
        crops=tuple(crop_reviews(typed, food_of)),
        preserves=tuple(preserve_reviews(typed, published)),
        equipment=tuple(equipment_reviews(typed)),
        years=tuple(year_reviews(typed, settled)),
        weeks=tuple(week_reviews(typed)),
    )


# Targets: eaten how fast, and what to want next year.


def target_reviews(typed: Household, settled: Household) -> Iterable[TargetReview]:
    """Review each target."""
    today = typed.kitchen.first_day
    taken, made = taken_of_targets(typed), made_for_targets(typed)
    year_ago = today - datetime.timedelta(days=YEAR_DAYS)
    since = max(year_ago, min((one.day for one in taken if one.how == ATE), default=today))
    there = days_there(typed, made, taken, since)
    good, _ = jars_on(replace(settled, plan_lines=()), today)
    in_order = sorted(settled.targets, key=lambda target: target.importance)
    jars = shared_out(in_order, good, {target.name: target.wanted for target in in_order})
    for target in typed.targets:
        yield target_review(target, today, made, taken, there.get(target.name, []), jars[target.name])


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


# Crops and varieties: what becomes of a pound.


def crop_reviews(typed: Household, food_of: Mapping[str, str]) -> Iterable[CropReview]:
    """Review each crop of which any was weighed, and compare it with the others of its food."""
    found = {season.crop.name: season for season in seasons(typed) if season.picked > 0}
    yields = {name: liters_a_kg(typed, name) for name in found}
    foods: dict[str, list[str]] = defaultdict(list)
    for name in found:
        foods[food_of.get(name, name)].append(name)
    for name, season in found.items():
        food = food_of.get(name, name)
        yield crop_review(typed, season, food, yields, [one for one in foods[food] if one != name])


def crop_review(
    typed: Household,
    season: CropSeason,
    food: str,
    yields: Mapping[str, Mapping[str, Sequence[float]]],
    others: Sequence[str],
) -> CropReview:
    """Review one crop; `others` are those of the same food."""
    name = season.crop.name
    lots = [lot for lot in typed.lots if lot.crop == name and not lot.expected]
    rows = alone_rows(typed, name)
    liters = sum(filled * each for _, filled, _, each in rows)
    kg = sum(used for *_, used, _ in rows)
    hours = [(row.hands_hours or 0.0, filled) for row, filled in work_of_crop(typed, name) if row.hands_hours]
    sessions = sum(map(len, yields[name].values()))
    pooled: dict[str, list[float]] = defaultdict(list)
    for other in others:
        for product, values in yields[other].items():
            pooled[product] += values
    against = sum(len(values) for product, values in pooled.items() if product in yields[name])
    alike = sum(len(values) for product, values in yields[name].items() if product in pooled)
    compared = None
    if min(alike, against) >= LEAST_SESSIONS:
        compared = ratio_interval(yields[name], pooled, LEVEL / (len(others) + 1))
    words = compared_words(food, compared, alike, against) if others else ""
    if len(lots) < LEAST_LOTS:
        words = words or f"{TOO_LITTLE}: {format_count(len(lots), 'lot')}."
    return CropReview(
        crop=season.crop,
        years=len({lot.picked_on.year for lot in lots}),
        weighed_kg=season.picked,
        finished=liters / kg if kg > 0 and liters > 0 else None,
        minutes=sum(one for one, _ in hours) * 60 / sum(many for _, many in hours) if hours else None,
        lost=season.lost / season.picked,
        surplus=season.surplus / season.picked,
        sessions=sessions,
        ratio=compared[0] if compared else None,
        ratio_between=compared[1:] if compared else None,
        words=words,
    )


def compared_words(food: str, compared: tuple[float, float, float] | None, sessions: int, against: int) -> str:
    """
    Return in words how a crop compares with the others of its food.

    >>> compared_words("tomato", (1.2, 1.15, 1.25), 12, 12)
    '20% more finished from the same weight than your other tomato crops (95% sure: 15% to 25% more). Grow more of it.'
    >>> compared_words("tomato", (1.02, 0.93, 1.11), 12, 12)
    'No clear difference from your other tomato crops (95% sure: 7% less to 11% more).'
    >>> compared_words("tomato", None, 2, 9)
    'Too little to tell: 2 weighed sessions, 9 of your other tomato crops in the same product; 6 of each are needed.'
    """
    if compared is None:
        few = f"{format_count(sessions, 'weighed session')}, {against} of your other {food} crops in the same product"
        return f"{TOO_LITTLE}: {few}; {LEAST_SESSIONS} of each are needed."
    ratio, least, most = compared
    if least > 1.0:
        span = f"{format_share(least - 1)} to {format_share(most - 1)} more"
        more = f"{format_share(ratio - 1)} more finished from the same weight than your other {food} crops"
        return f"{more} (95% sure: {span}). Grow more of it."
    if most < 1.0:
        span = f"{format_share(1 - most)} to {format_share(1 - least)} less"
        less = f"{format_share(1 - ratio)} less finished from the same weight than your other {food} crops"
        return f"{less} (95% sure: {span})."
    span = f"{format_share(1 - least)} less to {format_share(most - 1)} more"
    return f"No clear difference from your other {food} crops (95% sure: {span})."


def made_rows(typed: Household, preserve: Preserve) -> list[RecordRow]:
    """Return the rows of the record that tell of work on a preserve, in order of day."""
    return sorted((row for row in typed.record if row.preserve == preserve.name), key=lambda row: (row.date, row.where))


def only_crop(preserve: Preserve) -> str | None:
    """Return the crop of a preserve that is made of one crop and of no other preserve; None for any other."""
    crops = {line.item for line in preserve.ingredients if line.source == "crop"}
    mixed = any(line.source == "preserve" for line in preserve.ingredients)
    return next(iter(crops)) if len(crops) == 1 and not mixed else None


def product_of(preserve: Preserve) -> str:
    """Return what a preserve is whatever its crop is called: only the same product is compared."""
    return preserve.handbook_line or f"{preserve.method}, {preserve.container}"


def liters_a_kg(typed: Household, crop: str) -> dict[str, list[float]]:
    """Return the finished liters a kg of crop, session by session, by product; far-off records are left out."""
    found: dict[str, list[float]] = defaultdict(list)
    for preserve in typed.preserves:
        holds = typed.container(preserve.container).holds_litres
        if only_crop(preserve) == crop and holds:
            near, _ = sound(crop_samples(crop, made_rows(typed, preserve), alone=True))
            found[product_of(preserve)] += [holds / one.value for one in near]
    return {product: values for product, values in found.items() if values}


def alone_rows(typed: Household, crop: str) -> list[tuple[Preserve, float, float, float]]:
    """Return preserve, containers filled, kg used and liters each, of every session whose crop was weighed."""
    found = []
    for preserve in typed.preserves:
        holds = typed.container(preserve.container).holds_litres
        if only_crop(preserve) == crop and holds:
            for row in made_rows(typed, preserve):
                filled = row.made + row.failed_seals
                if row.crop_used_kg and row.crop in (None, crop) and filled > 0:
                    found.append((preserve, filled, row.crop_used_kg, holds))
    return found


def work_of_crop(typed: Household, crop: str) -> Iterable[tuple[RecordRow, float]]:
    """Yield the rows of work on preserves of one crop, and the containers filled."""
    for preserve in typed.preserves:
        if only_crop(preserve) == crop:
            for row in made_rows(typed, preserve):
                if row.made + row.failed_seals > 0:
                    yield row, row.made + row.failed_seals


# Preserves and equipment: sessions, failed seals, crop and hours.


@dataclass(frozen=True)
class Session:
    """One row of work: the day, containers filled, those that did not seal."""

    day: datetime.date
    filled: float
    failed: float


def sessions_of(typed: Household, preserve: Preserve) -> list[Session]:
    """Return the sessions of one preserve; jars that sealed or not, by the record."""
    return [
        Session(row.date, row.made + row.failed_seals, row.failed_seals)
        for row in made_rows(typed, preserve)
        if row.made + row.failed_seals > 0
    ]


def work_review(name: str, sessions: Sequence[Session], level: float = LEVEL) -> WorkReview:
    """Add sessions up, with the exact interval of the share that failed."""
    filled, failed = sum(one.filled for one in sessions), sum(one.failed for one in sessions)
    return WorkReview(
        name=name,
        sessions=len({one.day for one in sessions}),
        filled=filled,
        failed=failed,
        between=share_interval(round(failed), round(filled), level) if round(filled) > 0 else None,
        bad_days=tuple(sorted({one.day for one in sessions if one.failed > 0})),
    )


def preserve_reviews(typed: Household, published: Mapping[str, float]) -> Iterable[WorkReview]:
    """Review each preserve that was made."""
    for preserve in typed.preserves:
        sessions = sessions_of(typed, preserve)
        if not sessions:
            continue
        rows = made_rows(typed, preserve)
        crop = only_crop(preserve)
        near = sound(crop_samples(crop, rows, alone=True))[0] if crop else ()
        timed = [(row.hands_hours or 0.0, row.made + row.failed_seals) for row in rows if row.hands_hours]
        timed = [(hours, filled) for hours, filled in timed if filled > 0]
        enough = len(near) >= LEAST_RECORDS
        yield replace(
            work_review(preserve.name, sessions),
            crop=crop,
            each_own=middle([one.value for one in near]) if enough else None,
            each_typed=preserve.crop_kg_each(crop) if crop else None,
            each_published=published.get(preserve.name) if crop else None,
            hours=sum(hours for hours, _ in timed) if timed else None,
            hours_typed=sum(hands_minutes(preserve, filled) * filled / 60 for _, filled in timed) if timed else None,
        )


def equipment_reviews(typed: Household) -> Iterable[WorkReview]:
    """
    Review each canner: the jars that went through it, and whether more failed than in the other canners.

    A preserve that names several canners does not show which one it was in, and is left out.
    """
    canners = {one.name for one in typed.equipment if one.kind.endswith("canner")}
    sessions: dict[str, list[Session]] = defaultdict(list)
    for preserve in typed.preserves:
        mine = [name for name in preserve.equipment if name in canners]
        if len(mine) == 1:
            sessions[mine[0]] += sessions_of(typed, preserve)
    level = LEVEL / max(len(sessions), 1)
    for equipment in typed.equipment:
        if sessions.get(equipment.name):
            others = [one for name, several in sessions.items() if name != equipment.name for one in several]
            one = work_review(equipment.name, sessions[equipment.name], level)
            yield replace(one, words=seals_words(one, work_review("", others, level), equipment.kind, level))


def seals_words(one: WorkReview, others: WorkReview, kind: str, level: float) -> str:
    """Return whether a canner fails more seals than the others, beyond chance at a level and on several days."""
    if not others.sessions:
        return "No other canner was used, so there is nothing to compare it with."
    if min(one.sessions, others.sessions) < LEAST_SESSIONS or one.between is None:
        few = f"{format_count(one.sessions, 'session')}, {others.sessions} in other canners"
        return f"{TOO_LITTLE}: {few}; {LEAST_SESSIONS} of each are needed."
    span = f"{format_share(one.between[0])} to {format_share(one.between[1])}"
    share, usual = format_share(one.failed / one.filled), format_share(others.failed / others.filled)
    counts = (round(one.failed), round(one.filled), round(others.failed), round(others.filled))
    if more_by_chance(*counts) < level and len(one.bad_days) >= LEAST_BAD_DAYS:
        look = (
            "Replace its gasket" if kind.startswith("pressure") else "Check its rack, its depth of water and your rims"
        )
        return f"{share} of jars did not seal (95% sure: {span}), {usual} in other canners. {look} before next season."
    return f"{share} of jars did not seal (95% sure: {span}); that is not clearly more than in other canners."


# Years and weeks.


def year_reviews(typed: Household, settled: Household) -> Iterable[YearReview]:
    """Review each calendar year of the record, the money at the prices typed now."""
    for year in sorted({row.date.year for row in typed.record}):
        rows = tuple(row for row in typed.record if row.date.year == year)
        sums = tally(replace(typed, record=rows, plan_lines=()), settled)
        yield YearReview(
            year=year,
            containers=sum(sums.containers.values()),
            spent=sums.spent,
            worth=sums.shop,
            hours=sums.hours,
            containers_with_hours=sum(row.made for row in rows if row.hands_hours),
        )


def week_reviews(typed: Household) -> Iterable[WeekReview]:
    """Review each week of each crop's last year, beside the same calendar week of all years in which it was weighed."""
    today = typed.kitchen.first_day
    for crop in typed.crops:
        weighed: dict[tuple[int, int], float] = defaultdict(float)
        expected: dict[tuple[int, int], float] = defaultdict(float)
        for lot in typed.lots:
            if lot.crop == crop.name and lot.picked_on + datetime.timedelta(days=int(lot.expected)) <= today:
                (expected if lot.expected else weighed)[lot.picked_on.isocalendar()[:2]] += lot.kg
        years = {year for year, _ in weighed}
        last = max((year for year, _ in (*weighed, *expected)), default=0)
        for year, week in sorted({*weighed, *expected}):
            if year == last:
                past = [weighed.get((one, week), 0.0) for one in years]
                enough = len(past) >= LEAST_YEARS
                yield WeekReview(
                    crop=crop,
                    week=datetime.date.fromisocalendar(year, week, 1),
                    expected=expected.get((year, week), 0.0),
                    weighed=weighed.get((year, week), 0.0),
                    years=len(past),
                    least=min(past) if enough else None,
                    usual=statistics.median(past) if enough else None,
                    most=max(past) if enough else None,
                )


# The same as rows of tables, unrounded, in the units of the household.


def review_tables(found: Review, typed: Household) -> dict[str, list[Row]]:
    """Return the rows of the tables, by table; the months and weeks are too long for the sheet Review."""
    return {
        "Review targets": [target_row(one) for one in found.targets],
        "Review crops": [crop_row(one) for one in found.crops],
        "Review preserves": [preserve_row(one, typed) for one in found.preserves],
        "Review equipment": [
            {"Equipment": one.name} | seals_row(one) | {"Verdict": one.words} for one in found.equipment
        ],
        "Review years": [year_row(one) for one in found.years],
        "Review months": [
            {"Target": one.target, "Month": month, "Eaten": cell_number(amount), "Unit": one.unit or None}
            for one in found.targets
            for month, amount in one.months.items()
        ],
        "Review weeks": [week_row(one) for one in found.weeks],
    }


def target_row(one: TargetReview) -> Row:
    """Return the row of a target."""
    least, most = one.a_month_between or (None, None)
    return {
        "Target": one.target,
        "Unit": one.unit or None,
        "Wanted": cell_number(one.wanted),
        "Put up": cell_number(one.put_up),
        "Eaten": cell_number(one.eaten),
        "Given away": cell_number(one.given),
        "Spoiled": cell_number(one.spoiled),
        "On hand": cell_number(one.on_hand),
        "A month": none_or(one.a_month),
        "Least": none_or(least),
        "Most": none_or(most),
        "Runs out": one.runs_out,
        "Left": none_or(one.left),
        "Goes out of date": cell_number(one.late) if one.late else None,
        "Next year": cell_number(one.next_wanted),
        "Why": one.why,
    }


def finished_unit(crop: Crop) -> str:
    """
    Return the unit of what is finished of a crop by its weight.

    >>> finished_unit(Crop("plum", 5)), finished_unit(Crop("plum", 5, unit="kg"))
    ('qt a lb', 'L a kg')
    """
    return "L a kg" if crop.unit in ("kg", "g") else "qt a lb"


def finished_in(crop: Crop, liters_a_kg: float) -> float:
    """
    Convert finished liters a kg to that unit.

    >>> round(finished_in(Crop("plum", 5), 1.0), 4)
    0.4793
    """
    if finished_unit(crop) == "L a kg":
        return liters_a_kg
    return liters_a_kg * UNITS["lb"].factor / UNITS["quart"].factor


def crop_row(one: CropReview) -> Row:
    """Return the row of a crop."""
    least, most = one.ratio_between or (None, None)
    return {
        "Crop": one.crop.name,
        "Years": one.years,
        "Weighed": cell_number(in_crop_unit(one.weighed_kg, one.crop)),
        "Unit": one.crop.unit,
        "Finished": None if one.finished is None else cell_number(finished_in(one.crop, one.finished)),
        "Finished unit": finished_unit(one.crop),
        "Minutes a jar": none_or(one.minutes),
        "Lost": cell_number(one.lost),
        "Surplus": cell_number(one.surplus),
        "Sessions": one.sessions,
        "Times others": none_or(one.ratio),
        "Least": none_or(least),
        "Most": none_or(most),
        "Verdict": one.words or None,
    }


def seals_row(one: WorkReview) -> Row:
    """Return what a row has of sessions and failed seals."""
    least, most = one.between or (None, None)
    return {
        "Sessions": one.sessions,
        "Filled": cell_number(one.filled),
        "Failed seals": cell_number(one.failed),
        "Share": cell_number(one.failed / one.filled) if one.filled else None,
        "Least": none_or(least),
        "Most": none_or(most),
        "Days": format_list(map(format_date_and_year, one.bad_days), between="; ") or None,
    }


def preserve_row(one: WorkReview, typed: Household) -> Row:
    """Return the row of a preserve."""
    crop = typed.crop(one.crop) if one.crop else None
    kg = (one.each_own, one.each_typed, one.each_published)
    each = [None if crop is None or value is None else value / crop_unit_kg(crop) for value in kg]
    return {
        "Preserve": one.name,
        **seals_row(one),
        "A session": cell_number(one.filled / one.sessions),
        "Crop": one.crop,
        "Used each": none_or(each[0]),
        "Planned each": none_or(each[1]),
        "Handbook each": none_or(each[2]),
        "Unit": crop.unit if crop else None,
        "Hours": none_or(one.hours),
        "Planned hours": none_or(one.hours_typed),
    }


def year_row(one: YearReview) -> Row:
    """Return the row of a year."""
    each = one.containers or None
    return {
        "Year": one.year,
        "Containers": cell_number(one.containers),
        "Spent": cell_number(one.spent),
        "Store value": cell_number(one.worth),
        "Spent each": None if each is None else cell_number(one.spent / each),
        "Worth each": None if each is None else cell_number(one.worth / each),
        "Hours": cell_number(one.hours),
        "Hours each": cell_number(one.hours / one.containers_with_hours) if one.containers_with_hours else None,
    }


def week_row(one: WeekReview) -> Row:
    """Return the row of a week."""
    row: Row = {"Crop": one.crop.name, "Week": one.week, "Unit": one.crop.unit, "Years": one.years}
    kg = {"Expected": one.expected, "Weighed": one.weighed, "Least": one.least, "Usual": one.usual, "Most": one.most}
    for name, value in kg.items():
        row[name] = None if value is None else cell_number(in_crop_unit(value, one.crop))
    return row
