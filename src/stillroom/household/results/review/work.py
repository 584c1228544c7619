"""The work on each preserve and in each canner; containers, money and hours a year, and the weeks of each crop."""

from __future__ import annotations

import datetime
import statistics
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from stillroom.household.intervals import (
    LEAST_BAD_DAYS,
    LEAST_SESSIONS,
    LEAST_YEARS,
    LEVEL,
    TOO_LITTLE,
    Interval,
    more_by_chance,
    share_interval,
)
from stillroom.household.journal.learning import LEAST_RECORDS, crop_samples, hands_minutes, middle, sound
from stillroom.household.journal.overview import tally
from stillroom.household.records import Crop, Household, Preserve
from stillroom.household.results.review.crops import made_rows, only_crop
from stillroom.household.text import format_count, format_share


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
