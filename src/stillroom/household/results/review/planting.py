"""What to plant: how much of each crop next year's winter list needs, by the household's own recipes and yields."""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.journal.events import MADE, events
from stillroom.household.records import Crop, Household, Preserve, Target
from stillroom.household.results.review.targets import (
    HALF_YEAR_DAYS,
    MONTH_DAYS,
    YEAR_WEEKS,
    TargetReview,
    end_of,
    jars_of_targets,
    made_for_targets,
    put_up_of,
)
from stillroom.household.results.winter import counts_for

NEARLY = 1e-6


@dataclass(frozen=True)
class TargetNeed:
    """
    What a target needs of the next harvest, in its own unit: `wanted` next year less what is `left` by then.

    `containers` are to be put up, by preserve; empty where nothing is needed, or no preserve counts toward it.
    """

    target: str
    unit: str
    wanted: float
    left: float
    containers: Mapping[str, float]


@dataclass(frozen=True)
class CropNeed:
    """
    How much of a crop that takes, in kg as picked, and the containers it goes into, by preserve.

    `own` is whether a yield learned from the record is in it.
    """

    crop: Crop
    kg: float
    containers: Mapping[str, float]
    own: bool


@dataclass(frozen=True)
class GardenNeeds:
    """What the winter list needs of the garden, target by target and crop by crop."""

    targets: tuple[TargetNeed, ...]
    crops: tuple[CropNeed, ...]


def garden_needs(typed: Household, settled: Household, reviews: Sequence[TargetReview]) -> GardenNeeds:
    """
    Work out what next year's winter list needs of each crop.

    `typed` has the record, `settled` the shelf as it is now and the learned yields, `reviews` what to want next year.
    What is left by the next harvest counts: eaten at the rate of the record, else at that of the winter list. A target
    is filled as it was last, by the record and the plan; without either, by the first preserve that counts toward it.
    """
    today = typed.kitchen.first_day
    jars, made = jars_of_targets(settled, today), made_for_targets(typed)
    wanted = {one.target: one for one in reviews}
    targets = []
    for target in settled.targets:
        one = wanted[target.name]
        rate = one.a_month
        if rate is None:
            rate = target.wanted / (target.weeks or YEAR_WEEKS) * MONTH_DAYS / 7
        harvest = first_expected(settled, target, today) or put_up_of(made, target, today)[1]
        left = end_of(jars[target.name], rate, today, harvest)[1] or 0.0
        lacking = max(0.0, one.next_wanted - left)
        containers = filled_as_before(typed, settled, target, lacking) if lacking > NEARLY else {}
        targets.append(TargetNeed(target.name, target.unit, one.next_wanted, left, containers))
    return GardenNeeds(tuple(targets), tuple(crop_needs(typed, settled, targets)))


def first_expected(settled: Household, target: Target, today: datetime.date) -> datetime.date | None:
    """Return the first day from today on on which a crop of the target is expected; None without an expected lot."""
    crops = {
        line.item
        for item in settled.preserves
        if item.name in target.counts
        for line in item.ingredients
        if line.source == "crop"
    }
    days = [lot.picked_on for lot in settled.lots if lot.expected and lot.crop in crops]
    return min((day for day in days if day >= today), default=None)


def filled_as_before(typed: Household, settled: Household, target: Target, amount: float) -> dict[str, float]:
    """Return the containers of each preserve for so much of a target, in the shares of the last season."""
    before = {name: many * target.counts[name] for name, many in last_season(typed, settled, target).items()}
    whole = sum(before.values())
    if whole > NEARLY:
        return {name: amount * share / whole / target.counts[name] for name, share in before.items()}
    named = [item.name for item in settled.preserves if item.include and target.counts.get(item.name, 0.0) > 0]
    return {named[0]: amount / target.counts[named[0]]} if named else {}


def last_season(typed: Household, settled: Household, target: Target) -> dict[str, float]:
    """Return the containers put up for a target in the half year up to its last work, with those still planned."""
    known = {item.name for item in settled.preserves}
    counts = counts_for(settled).items()
    mine = {name for name, (counted, each) in counts if counted == target.name and each > 0 and name in known}
    work = [one for one in events(typed) if one.kind == MADE and one.name in mine and one.made > 0]
    planned = [
        (line.day, line.name, (line.make or 0.0) if line.fix is None else line.fix)
        for line in settled.plan_lines
        if line.made is None and line.name in mine and line.day >= typed.kitchen.first_day
    ]
    rows = [*((one.day, one.name, one.made) for one in work), *planned]
    last = max((day for day, _, many in rows if many > 0), default=datetime.date.min)
    found: dict[str, float] = defaultdict(float)
    for day, name, many in rows:
        if many > 0 and (last - day).days < HALF_YEAR_DAYS:
            found[name] += many
    return dict(found)


def crop_needs(typed: Household, settled: Household, targets: Sequence[TargetNeed]) -> Iterator[CropNeed]:
    """Yield what each crop is needed for, in the order of the crops; containers are whole ones."""
    kg: dict[str, float] = defaultdict(float)
    into: dict[str, dict[str, float]] = defaultdict(dict)
    own: set[str] = set()
    as_typed = {item.name: item for item in typed.preserves}
    all_containers: dict[str, float] = defaultdict(float)
    for one in targets:
        for name, many in one.containers.items():
            all_containers[name] += many
    for name, many in all_containers.items():
        whole = float(math.ceil(many - NEARLY))
        for item, each in crops_of(settled, settled.preserve(name)).items():
            kg[item] += whole * each
            into[item][name] = whole
            if abs(each - crops_of(typed, as_typed[name]).get(item, 0.0)) > NEARLY:
                own.add(item)
    for crop in settled.crops:
        if kg[crop.name] > NEARLY:
            yield CropNeed(crop, kg[crop.name], into[crop.name], crop.name in own)


def crops_of(household: Household, item: Preserve, seen: frozenset[str] = frozenset()) -> dict[str, float]:
    """
    Return the kg of each crop in one container, with what the preserves in it were made of.

    >>> from stillroom.household.examples import tiny_household
    >>> home = tiny_household()
    >>> {crop: round(kg, 2) for crop, kg in crops_of(home, home.preserve("juice")).items()}
    {'tomato': 1.5}
    """
    found: dict[str, float] = defaultdict(float)
    for line in item.ingredients:
        if line.source == "crop":
            found[line.item] += line.amount_each
        elif line.source == "preserve" and line.item not in seen:
            for crop, kg in crops_of(household, household.preserve(line.item), seen | {item.name}).items():
                found[crop] += kg * line.amount_each
    return dict(found)
