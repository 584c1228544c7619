"""This morning's list: the lots by how long they keep, what comes out of the freezer, what is to be put away."""

from __future__ import annotations

import datetime
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from stillroom.errors import Problem
from stillroom.household.journal.events import CAME, LOST_OF, MADE, SURPLUS_TO, THAWED, USED, Event, events
from stillroom.household.journal.lots import Bins, LotToday, lots_today, wanted
from stillroom.household.records import FREEZE_WHOLE, METHODS, THAW, Crop, Household, PlanLine, Preserve
from stillroom.household.results.rows import Row, cell_number, in_crop_unit
from stillroom.household.results.sums import keeps_until
from stillroom.household.text import format_date, format_list, format_number

CANNED = ("boiling-water canned", "pressure canned")
SEALS_SOURCE = "USDA Complete Guide to Home Canning, AIB 539, Guide 1"
LOOK_BACK_DAYS = 7
LEAST_ASKED = 0.01
"""Less crop than that, in its own unit, is nothing to ask after."""
NEAR_DAYS = 2
"""Work recorded so many days before or after its day may be that of the plan."""


@dataclass(frozen=True)
class Moved:
    """So much of a crop to be moved into or out of the freezer, in its own unit."""

    crop: str
    amount: float
    unit: str


@dataclass(frozen=True)
class PutAway:
    """What was put up the day before: how many, how many of them did not seal, and whether it has seals at all."""

    preserve: str
    made: float
    failed: float
    canned: bool


@dataclass(frozen=True)
class Today:
    """
    The whole list; `make` is in order of what spoils first.

    `planned` says whether the workbook holds a plan for this day, `first` for a preserve to be made which of its crops
    keeps the shortest, and until when.
    """

    day: datetime.date
    planned: bool
    lots: tuple[LotToday, ...]
    freeze: tuple[Moved, ...]
    out_now: tuple[Moved, ...]
    out_this_evening: tuple[Moved, ...]
    make: tuple[PlanLine, ...]
    put_away: tuple[PutAway, ...]
    first: Mapping[str, tuple[str, datetime.date]] = field(default_factory=dict)


def today_of(typed: Household, settled: Household) -> Today:
    """
    Give the list for the first day: `typed` has the record, `settled` what is left of lots.

    The lines of the plan are those of `settled`: without what the published tables refuse now.
    """
    day = settled.kitchen.first_day
    lines = [line for line in settled.plan_lines if line.day == day and line.days == 1 and wanted(line) > 0]
    later = [line for line in settled.plan_lines if line.day > day and wanted(line) > 0]
    tomorrow = [line for line in settled.plan_lines if line.day == day + datetime.timedelta(days=1) and line.days == 1]
    lots = tuple(lots_today(settled, lines, later))
    make = [line for line in lines if not line.name.startswith((FREEZE_WHOLE, THAW))]
    first = {line.name: due for line in make if (due := due_first(settled, line.name, lots)) is not None}
    never = ("", datetime.date.max)
    return Today(
        day=day,
        planned=any(line.make is not None and line.days == 1 and line.day == day for line in typed.plan_lines),
        lots=lots,
        freeze=tuple(moved(settled, lines, FREEZE_WHOLE)),
        out_now=tuple(moved(settled, lines, THAW)),
        out_this_evening=tuple(moved(settled, tomorrow, THAW)),
        make=tuple(sorted(make, key=lambda line: first.get(line.name, never)[1])),
        put_away=tuple(put_away(typed, day - datetime.timedelta(days=1))),
        first=first,
    )


def due_first(settled: Household, name: str, lots: Iterable[LotToday]) -> tuple[str, datetime.date] | None:
    """Return which crop of a preserve keeps the shortest of the lots there are, and until when; None without one."""
    takes = {
        part.item
        for item in settled.preserves
        if item.name == name
        for part in item.ingredients
        if part.source == "crop"
    }
    return min(((lot.crop, lot.until) for lot in lots if lot.crop in takes), key=lambda one: one[1], default=None)


def moved(settled: Household, lines: list[PlanLine], start: str) -> Iterator[Moved]:
    """Give what the lines move into or out of the freezer."""
    for crop in settled.crops:
        kg = sum(wanted(line) for line in lines if line.name == start + crop.name)
        if kg > 0:
            yield Moved(crop.name, in_crop_unit(kg, crop), crop.unit)


def put_away(typed: Household, day: datetime.date) -> Iterator[PutAway]:
    """Give what was put up on a day, by the record."""
    for item in typed.preserves:
        rows = [row for row in typed.record if row.preserve == item.name and row.date == day]
        made, failed = sum(row.made for row in rows), sum(row.failed_seals for row in rows)
        if made or failed:
            yield PutAway(item.name, made, failed, item.method in CANNED)


def failed_seals(typed: Household) -> Iterator[Problem]:
    """Ask for the food of jars that did not seal on the first day or the day before."""
    first_day = typed.kitchen.first_day
    canned = {item.name for item in typed.preserves if item.method in CANNED}
    for row in typed.record:
        if row.failed_seals > 0 and row.preserve in canned and 0 <= (first_day - row.date).days <= 1:
            names = (f"{format_number(row.failed_seals)} {row.preserve}", format_date(row.date), SEALS_SOURCE)
            yield Problem(row.where, "seal failed", names)


def not_recorded(typed: Household) -> Iterator[Problem]:
    """Ask once after the lines of the last week of which neither the plan nor the record says what came out."""
    first_day = typed.kitchen.first_day
    since = first_day - datetime.timedelta(days=LOOK_BACK_DAYS)
    recorded = {(row.date, row.preserve) for row in typed.record}
    lines = [
        line
        for line in typed.plan_lines
        if line.days == 1 and since <= line.day < first_day and (line.make or 0.0) > 0 and line.made is None
    ]
    open_lines = without_record(lines, recorded)
    if open_lines:
        names = format_list([f"{line.name} ({format_date(line.day)})" for line in open_lines], 3, "; ")
        yield Problem(open_lines[0].where, "past line not recorded", (names,), field="Made")


def without_record(lines: Sequence[PlanLine], recorded: set[tuple[datetime.date, str | None]]) -> list[PlanLine]:
    """The lines that no row of the record tells of: one of that day, or another row of a day or two before or after."""
    left = set(recorded) - {(line.day, line.name) for line in lines}
    found = []
    for line in lines:
        if (line.day, line.name) in recorded:
            continue
        near = [one for one in left if one[1] == line.name and abs((one[0] - line.day).days) <= NEAR_DAYS]
        if near:
            left.remove(min(near, key=lambda one: (abs((one[0] - line.day).days), one[0])))
        else:
            found.append(line)
    return found


def due_soon(settled: Household, within_days: int = 7) -> tuple[tuple[Moved, datetime.date], ...]:
    """Give the crop frozen whole that has to be cooked within so many days, or is past its day."""
    found = []
    for lot in settled.lots:
        if lot.frozen_on is not None:
            crop = settled.crop(lot.crop)
            due = lot.frozen_on + datetime.timedelta(days=math.floor(7 * crop.frozen_keeps_weeks))
            if (due - settled.kitchen.first_day).days <= within_days:
                found.append((Moved(crop.name, in_crop_unit(lot.kg, crop), crop.unit), due))
    return tuple(sorted(found, key=lambda one: (one[1], one[0].crop)))


def kept_until_yesterday(typed: Household) -> tuple[Moved, ...]:
    """
    Give the fresh crop that kept until the day before the first day and that no row of the record tells of.

    It is asked after on that one day only. `typed` has the record.
    """
    bins = Bins(typed)
    for event in events(typed):
        bins.happen(event)
    yesterday = typed.kitchen.first_day - datetime.timedelta(days=1)
    found = []
    for crop in typed.crops:
        kg = sum(lot.kg for lot in bins.fresh[crop.name] if keeps_until(lot, crop) == yesterday)
        if in_crop_unit(kg, crop) >= LEAST_ASKED:
            found.append(Moved(crop.name, in_crop_unit(kg, crop), crop.unit))
    return tuple(found)


# The season to date: where every pound went, by the weighings and the record alone; no plan is asked.

THAWED_KEEPS_DAYS = 1
"""Thawed crop that is not cooked by the day after counts as lost."""


@dataclass
class CropSeason:
    """
    Where one crop went, in kg.

        picked = put up by every way + eaten or given + fed + lost + on hand

    Picked is what was weighed, and what the record used beyond it. Put up is what the record says went into preserves,
    trimmings and jars that did not seal included. Fed and lost are rows `fed:` and `lost:` of the record; lost also
    holds fresh crop past its keeping days that no row tells of, and thawed crop never cooked.
    """

    crop: Crop
    picked: float = 0.0
    put_up: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    eaten: float = 0.0
    surplus: float = 0.0
    lost: float = 0.0
    on_hand: float = 0.0


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
            gone = kg if event.kind in (MADE, USED, SURPLUS_TO, LOST_OF) else 0.0
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
        season.put_up[bins.preserves[event.name].method] += kg
    elif event.kind == USED:
        season.eaten += kg
    elif event.kind == SURPLUS_TO:
        season.surplus += kg
    elif event.kind == LOST_OF:
        season.lost += kg


def left_over(bins: Bins, season: CropSeason, first_day: datetime.date, thawed_on: datetime.date | None) -> None:
    """Part what is left into what is on hand and what is lost."""
    name = season.crop.name
    for lot in bins.fresh[name]:
        if (first_day - lot.picked_on).days > season.crop.days_after_picking:
            season.lost += lot.kg
        else:
            season.on_hand += lot.kg
    season.on_hand += sum(lot.kg for lot in bins.frozen[name])
    if thawed_on is not None and (first_day - thawed_on).days <= THAWED_KEEPS_DAYS:
        season.on_hand += bins.thawed_kg[name]
    else:
        season.lost += bins.thawed_kg[name]


def season_rows(household: Household) -> list[Row]:
    """Rows of the table Season so far, in each crop's own unit: the crops of which there was any."""
    rows = []
    for season in seasons(household):
        if season.picked <= 0:
            continue
        kilograms = {"Picked": season.picked}
        kilograms |= {method[0].upper() + method[1:]: season.put_up[method] for method in METHODS}
        kilograms |= {"Put up": sum(season.put_up.values()), "Eaten or given": season.eaten}
        kilograms |= {"Surplus": season.surplus, "Lost": season.lost, "On hand": season.on_hand}
        row: Row = {"Crop": season.crop.name, "Unit": season.crop.unit}
        rows.append(row | {name: cell_number(in_crop_unit(kg, season.crop)) for name, kg in kilograms.items()})
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
    prices: dict[str, float | None] = {item.name: item.price for item in household.pantry}
    prices |= {lid.name: lid.price for lid in household.lids}
    prices |= {container.name: container.price for container in household.containers}
    per = {item.name: item.per_base for item in household.pantry}
    bought = [event for event in happened if event.kind == CAME]
    spent = sum((prices.get(event.name) or 0.0) * event.made / per.get(event.name, 1.0) for event in bought)
    worth: dict[str, float] = defaultdict(float)
    for target in household.targets:
        for name, each in target.counts.items():
            worth[name] = max(worth[name], each * (target.shop_price or 0.0))
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
        target.name: (sum(each * there[name] for name, each in target.counts.items()), target.wanted)
        for target in settled.targets
    }


# What to eat first: jars by their best-by day, what there is too much of, and what would empty the freezer.

SOON_DAYS = 120


@dataclass(frozen=True)
class EatFirst:
    """So many of a preserve, good until a day; `days_left` below zero: that day is over."""

    preserve: str
    count: float
    best_by: datetime.date
    days_left: int


@dataclass(frozen=True)
class FreezerThing:
    """
    Something that could leave the freezer, and the litres that gives.

    `amount` is in `unit`: containers, or the crop's own unit. `until` is its best-by or due day, None when unknown. A
    crop frozen whole can also be cooked and canned now: `cook_into` names what may be made of it.
    """

    name: str
    amount: float
    unit: str
    litres: float
    until: datetime.date | None
    cook_into: tuple[str, ...] = ()


@dataclass(frozen=True)
class Morning:
    """
    All that this morning's page shows.

    `due` is crop frozen whole with its day, `over` what is on the shelf above a target, `note` why the plan may be old.
    `old` is crop that kept until yesterday, `file` the name of the workbook.
    """

    today: Today
    problems: tuple[Problem, ...]
    due: tuple[tuple[Moved, datetime.date], ...]
    eat: tuple[EatFirst, ...]
    over: Mapping[str, float]
    freezer: tuple[FreezerThing, ...]
    note: str = ""
    old: tuple[Moved, ...] = ()
    file: str = ""


def eat_first(settled: Household, within_days: int = SOON_DAYS) -> tuple[EatFirst, ...]:
    """Give what is best eaten first, soonest first; `settled` has the record taken off and best-by days filled in."""
    first_day = settled.kitchen.first_day
    found = [
        EatFirst(row.preserve, row.count, row.best_by, (row.best_by - first_day).days)
        for row in settled.shelf
        if row.best_by is not None and (row.best_by - first_day).days <= within_days
    ]
    return tuple(sorted(found, key=lambda one: (one.best_by, one.preserve)))


def over(settled: Household) -> dict[str, float]:
    """
    Give for each need how much more stands on the shelf than is wanted: what will be over in spring.

    >>> import datetime
    >>> from stillroom.household.records import Kitchen, Target, ShelfRow
    >>> jam = Target("jam", 6, 6, counts={"plum jam": 1.0})
    >>> over(Household(Kitchen(datetime.date(2026, 8, 14)), shelf=(ShelfRow("plum jam", 9),), targets=(jam,)))
    {'jam': 3.0}
    """
    return {name: there - wanted for name, (there, wanted) in list_done(settled).items() if there > wanted + 1e-9}


def freezer_things(settled: Household) -> tuple[FreezerThing, ...]:
    """Give what lies in the freezer, what has to go soonest first."""
    kept = {item.name: item for item in settled.preserves if item.kept_in == "freezer"}
    found = [
        FreezerThing(
            row.preserve,
            row.count,
            kept[row.preserve].container,
            row.count * kept[row.preserve].space_litres_each,
            row.best_by,
        )
        for row in settled.shelf
        if row.preserve in kept
    ]
    wanted = [item for item in settled.preserves if item.include]
    frozen = {lot.crop for lot in settled.lots if lot.frozen_on is not None}
    crops = {crop.name: crop for crop in settled.crops if crop.name in frozen}
    into = {crop: tuple(item.name for item in wanted if takes_frozen(item, crop)) for crop in crops}
    for lot in settled.lots:
        if lot.frozen_on is not None:
            crop = crops[lot.crop]
            due = lot.frozen_on + datetime.timedelta(days=math.floor(7 * crop.frozen_keeps_weeks))
            litres = lot.kg * crop.freezer_litres_per_kg
            found.append(FreezerThing(crop.name, in_crop_unit(lot.kg, crop), crop.unit, litres, due, into[crop.name]))
    return tuple(sorted(found, key=lambda one: (one.until or datetime.date.max, one.name, one.amount)))


def takes_frozen(item: Preserve, crop: str) -> bool:
    """Whether a preserve is put up outside the freezer and may be made of a crop that was frozen whole."""
    return item.kept_in != "freezer" and any(
        line.source == "crop" and line.item == crop and line.from_frozen for line in item.ingredients
    )
