"""What became of a pound of each crop, and how varieties of one food compare."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.intervals import LEAST_LOTS, LEAST_SESSIONS, LEVEL, TOO_LITTLE, Interval, ratio_interval
from stillroom.household.journal.learning import crop_samples, sound
from stillroom.household.journal.overview import CropSeason, seasons
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
