"""The season to date: where every pound went, by the weighings and the record alone; no plan is asked."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from stillroom.household.answer.units import Row, in_crop_unit, tidy
from stillroom.household.happened import CAME, FED_TO, LOST_OF, MADE, THAWED, USED, Event, events
from stillroom.household.lots import Bins
from stillroom.household.records import WAYS, Crop, Household

THAWED_KEEPS_DAYS = 1
"""Thawed crop that is not cooked by the day after counts as lost."""


@dataclass
class CropSeason:
    """
    Where one crop went, in kg.

        picked = put up by every way + eaten or given + fed + lost + in hand

    Picked is what was weighed, and what the record used beyond it. Put up is what the record says went into preserves,
    trimmings and jars that did not seal included. Fed and lost are rows `fed:` and `lost:` of the record; lost also
    holds fresh crop past its keeping days that no row tells of, and thawed crop never cooked.
    """

    crop: Crop
    picked: float = 0.0
    put_up: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    eaten: float = 0.0
    fed: float = 0.0
    lost: float = 0.0
    in_hand: float = 0.0


def seasons(household: Household) -> tuple[CropSeason, ...]:
    """Give where each crop went up to the first day, in the order of Crops; `household` is as typed."""
    bins = Bins(household)
    found = {crop.name: CropSeason(crop) for crop in household.crops}
    for lot in household.lots:
        if not lot.expected:
            found[lot.crop].picked += lot.kg
    thawed_on: dict[str, datetime.date] = {}
    for event in events(household):
        before = {name: held(bins, name) for name in event.crops_kg}
        bins.happen(event)
        for name, kg in event.crops_kg.items():
            if name not in found:
                continue
            gone = kg if event.kind in (MADE, USED, FED_TO, LOST_OF) else 0.0
            found[name].picked += gone - (before[name] - held(bins, name))
            book_out(bins, found[name], event, gone)
            if event.kind == THAWED:
                thawed_on[name] = event.day
    for season in found.values():
        left_over(bins, season, household.kitchen.first_day, thawed_on.get(season.crop.name))
    return tuple(found.values())


def held(bins: Bins, crop: str) -> float:
    """Kilograms of a crop that lie fresh, frozen or thawed."""
    return sum(lot.kg for lot in (*bins.fresh[crop], *bins.frozen[crop])) + bins.thawed_kg[crop]


def book_out(bins: Bins, season: CropSeason, event: Event, kg: float) -> None:
    """Book what an event used under what became of it."""
    if event.kind == MADE:
        season.put_up[bins.preserves[event.name].way] += kg
    elif event.kind == USED:
        season.eaten += kg
    elif event.kind == FED_TO:
        season.fed += kg
    elif event.kind == LOST_OF:
        season.lost += kg


def left_over(bins: Bins, season: CropSeason, first_day: datetime.date, thawed_on: datetime.date | None) -> None:
    """Part what is left into what is in hand and what is lost."""
    name = season.crop.name
    for lot in bins.fresh[name]:
        if (first_day - lot.picked_on).days > season.crop.keeps_days:
            season.lost += lot.kg
        else:
            season.in_hand += lot.kg
    season.in_hand += sum(lot.kg for lot in bins.frozen[name])
    if thawed_on is not None and (first_day - thawed_on).days <= THAWED_KEEPS_DAYS:
        season.in_hand += bins.thawed_kg[name]
    else:
        season.lost += bins.thawed_kg[name]


def season_rows(household: Household) -> list[Row]:
    """Rows of the table Season so far, in each crop's own unit: the crops of which there was any."""
    rows = []
    for season in seasons(household):
        if season.picked <= 0:
            continue
        kilograms = {"Picked": season.picked}
        kilograms |= {way[0].upper() + way[1:]: season.put_up[way] for way in WAYS}
        kilograms |= {"Put up": sum(season.put_up.values()), "Eaten or given": season.eaten}
        kilograms |= {"Fed": season.fed, "Lost": season.lost, "In hand": season.in_hand}
        row: Row = {"Crop": season.crop.name, "Unit": season.crop.unit}
        rows.append(row | {name: tidy(in_crop_unit(kg, season.crop)) for name, kg in kilograms.items()})
    return rows


@dataclass(frozen=True)
class Tally:
    """
    The season in figures besides crop.

    `containers` is how many of each were put up, by container; `hours` of hands are those written down, and
    `without_hours` how many rows have none. `spent` is what the record says was bought, at the prices typed; `unpriced`
    names what was bought without a price. `shop` is what the preserves made would have cost. `done` is by need: what
    is on the shelf now, and what is wanted.
    """

    containers: Mapping[str, float]
    hours: float
    without_hours: int
    spent: float
    unpriced: tuple[str, ...]
    shop: float
    done: Mapping[str, tuple[float, float]]


def tally(household: Household, settled: Household) -> Tally:
    """Add the season up; `household` is as typed, `settled` has the record taken off and its shelf as it is now."""
    happened = events(household)
    made = [event for event in happened if event.kind == MADE]
    containers: dict[str, float] = defaultdict(float)
    for event in made:
        if event.made:
            containers[household.preserve(event.name).container] += event.made
    rows = [row for row in household.record if row.made + row.failed_seals > 0]
    preserves = {item.name for item in household.preserves}
    work = [row for row in rows if row.preserve in preserves]
    prices: dict[str, float | None] = {item.name: item.price for item in household.larder}
    prices |= {lid.name: lid.price for lid in household.lids}
    prices |= {container.name: container.price for container in household.containers}
    per = {item.name: item.per_base for item in household.larder}
    bought = [event for event in happened if event.kind == CAME]
    spent = sum((prices.get(event.name) or 0.0) * event.made / per.get(event.name, 1.0) for event in bought)
    worth: dict[str, float] = defaultdict(float)
    for need in household.needs:
        for name, each in need.counts.items():
            worth[name] = max(worth[name], each * (need.shop_price or 0.0))
    return Tally(
        containers=dict(containers),
        hours=sum(row.hands_hours or 0.0 for row in household.record),
        without_hours=sum(row.hands_hours is None for row in work),
        spent=spent,
        unpriced=tuple(sorted({event.name for event in bought if prices.get(event.name) is None})),
        shop=sum(event.made * worth[event.name] for event in made),
        done=list_done(settled),
    )


def list_done(settled: Household) -> dict[str, tuple[float, float]]:
    """Give for each need what stands on the shelf and is still good today, and what is wanted."""
    there: dict[str, float] = defaultdict(float)
    for row in settled.shelf:
        if row.best_by is None or row.best_by >= settled.kitchen.first_day:
            there[row.preserve] += row.count
    return {
        need.name: (sum(each * there[name] for name, each in need.counts.items()), need.wanted)
        for need in settled.needs
    }
