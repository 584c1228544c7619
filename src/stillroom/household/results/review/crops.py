"""What became of a pound of each crop, how varieties compare, and what the work took."""

from __future__ import annotations

import datetime
import statistics
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stillroom.household.journal.learning import (
    LEAST_BAD_DAYS,
    LEAST_LOTS,
    LEAST_RECORDS,
    LEAST_SESSIONS,
    LEAST_YEARS,
    LEVEL,
    TOO_LITTLE,
    Interval,
    crop_samples,
    hands_minutes,
    middle,
    more_by_chance,
    ratio_interval,
    share_interval,
    sound,
)
from stillroom.household.journal.overview import CropSeason, seasons, tally
from stillroom.household.records import Crop, Household, Preserve, RecordRow
from stillroom.household.text import format_count, format_share


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


# The work on each preserve and in each canner; containers, money and hours a year, and the weeks of each crop.


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
