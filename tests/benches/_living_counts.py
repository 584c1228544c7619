"""
What a cook would not believe in a finished plan, counted by plain arithmetic, and a kitchen that works a day off.

A load is forced when not one jar more could go into it: none that a week holds can be made sooner (its crop is not there
yet), it cannot be made in one load with the last load of another day (too many jars, or the crop does not keep), and
for a new jar there is no crop left over, no jar, lid or ingredient, or no room below the target's *at most*. Hours are no excuse for a load that is not full; they are for a session that could
only be moved. Jars of another size, or of another preserve of the same target, are never counted as movable.
"""

from __future__ import annotations

import csv
import datetime
import math
import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as data_field
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from stillroom.household.audit.crops import eaten_kg, harvest_kg
from stillroom.household.audit.hours import hands_in
from stillroom.household.audit.tally import Tally
from stillroom.household.audit.targets import group_of, room_of
from stillroom.household.checks import size_and_kind
from stillroom.household.load_steps import hours_in_piece
from stillroom.household.plan import Period, Plan
from stillroom.household.records import STOVE_FREE, Household, Preserve
from stillroom.household.results.clock import FOLLOWS, SAID, DayOnClock, Step
from stillroom.household.results.sums import Sums
from stillroom.household.units import find_unit
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import Session, sessions_of_plan

ALMOST = 1e-6
POUND_KG = 0.45359237
QUART_LITRES = 0.946352946
SMALL_FREEZE_KG = 4 * POUND_KG
SMALL_LOAD, NOTHING, CRUMB, LONG_DAYS, MANY_DAYS = 2, 0.05, 0.5, 14, 3
CANNED = ("boiling-water canned", "pressure canned")
SMALL, FREEZE, OFTEN, LONELY, WEEK_CRUMB, LONG = (
    "load of 1 or 2 jars", "under 4 lb frozen", "on 3 or more days", "lonely jars", "week's crumb",
    "long keeper on the busiest day",
)  # fmt: skip


def fixed_on(tally: Tally, preserve: str, period: Period) -> bool:
    """Whether a fixed line covers this day."""
    return any(
        line.name == preserve and line.fix is not None and 0 <= (period.first_day - line.day).days < line.days
        for line in tally.household.plan_lines
    )


class Finding(NamedTuple):
    """Something silly in a plan; `reason` is empty where nothing forced it."""

    kind: str
    what: str
    reason: str


class LastLoad(NamedTuple):
    """The last load of a canned preserve on a day: its jars, what a load takes, and why it could not be fuller."""

    name: str
    period: Period
    jars: int
    load: int
    loads: int
    reason: str


@dataclass(frozen=True)
class Counts:
    """A household and its finished plan, with what is counted of it."""

    household: Household
    plan: Plan

    @cached_property
    def tally(self) -> Tally:
        """The sums of the audit."""
        return Tally(self.household, self.plan)

    @cached_property
    def sums(self) -> Sums:
        """The sums of the output tables."""
        return Sums(self.household, self.plan)

    @cached_property
    def singles(self) -> list[Period]:
        """The days planned in detail."""
        return [period for period in self.plan.periods if period.single]

    def made(self, name: str, number: int) -> float:
        """Containers of a preserve made in a period."""
        return self.plan.make.get((name, number), 0.0)

    # ------------------------------------------------------------------ crop that could be used on another day

    def lying(self, crop: str, number: int, later: int) -> float:
        """Kilograms that lie there on a day and are used in a later period, or not before its end."""
        return min((self.plan.fresh_kg.get((crop, one), 0.0) for one in range(number, later)), default=math.inf)

    def would_keep(self, crop: str, number: int, later: int) -> float:
        """Kilograms more that could be carried from a day into a later one."""
        room = math.inf
        for period in self.plan.periods[number:later]:
            keeps = self.tally.crops[crop].days_after_picking
            lots = [lot for lot in self.tally.fresh_lots(crop) if lot.picked_on <= period.last_day]
            kept = sum(lot.kg for lot in lots if (period.last_day - lot.picked_on).days < keeps)
            room = min(room, kept - self.plan.fresh_kg.get((crop, period.number), 0.0))
        return max(0.0, room)

    def left_over(self, crop: str, number: int) -> float:
        """Kilograms there on a day that end as surplus, or lie there when the plan ends."""
        found, last = 0.0, self.plan.periods[-1].number
        for period in self.plan.periods[number:]:
            left = self.plan.surplus_kg.get((crop, period.number), 0.0)
            left += self.plan.fresh_kg.get((crop, last), 0.0) if period.number == last else 0.0
            found += max(0.0, min(left, self.lying(crop, number, period.number) - found))
        return found

    def usable(self, crop: str, number: int) -> float:
        """Kilograms of fresh crop there are on a day, less what is eaten."""
        before = self.plan.fresh_kg.get((crop, number - 1), 0.0)
        return before + harvest_kg(self.tally, crop, self.plan.periods[number]) - eaten_kg(self.tally, crop)[number]

    # ------------------------------------------------------------------ loads

    def last_loads(self) -> Iterator[LastLoad]:
        """Yield the last load of each canned preserve on each detailed day; it holds what the full ones leave."""
        for (name, number), loads in sorted(self.plan.loads.items()):
            item, period = self.tally.preserves[name], self.plan.periods[number]
            if item.method in CANNED and item.load and period.single and loads > ALMOST:
                jars = round(self.made(name, number) - item.load * (round(loads) - 1))
                reason = "" if jars >= item.load else self.why_not_fuller(item, period)
                yield LastLoad(name, period, jars, item.load, round(loads), reason)

    def why_not_fuller(self, item: Preserve, period: Period) -> str:
        """Why not one jar more can go into a load; empty when it can."""
        number, each = period.number, self.crops_each(item)
        if fixed_on(self.tally, item.name, period):
            return "kept by hand"
        tried = False
        for other in self.plan.periods:
            jars = self.made(item.name, other.number)
            if other == period or jars < 1 - ALMOST:
                continue
            moved, mine = (jars % item.load, self.made(item.name, number) % item.load) if other.single else (1.0, 0.0)
            if moved > ALMOST and moved + mine <= item.load + ALMOST:
                tried = True
                if self.lies_or_keeps(each, moved, other, period) or self.lies_or_keeps(each, mine, period, other):
                    return ""
        if self.room(item) < 1 - ALMOST:
            return "keeping" if tried else "target"
        if any(line.source == "preserve" for line in item.ingredients):
            return "ingredient"
        if any(self.left_over(crop, number) < kg - ALMOST for crop, kg in each.items()):
            return "crop"
        return "" if self.stock_left(item) >= 1 - ALMOST else "jars"

    def lies_or_keeps(self, each: Mapping[str, float], jars: float, source: Period, to: Period) -> bool:
        """Whether the crop of some jars is there on an earlier day, or keeps until a later one; False for no jars."""
        there = self.lying if to.number < source.number else self.would_keep
        first, second = sorted((source.number, to.number))
        return jars > ALMOST and all(there(crop, first, second) >= jars * kg - ALMOST for crop, kg in each.items())

    def crops_each(self, item: Preserve) -> dict[str, float]:
        """Kilograms of each crop in one container."""
        names = {line.item for line in item.ingredients if line.source == "crop" and line.amount_each > 0}
        return {name: item.crop_kg_each(name) for name in sorted(names)}

    def room(self, item: Preserve) -> float:
        """How many more of a preserve its target takes below its *at most*; none for one without a target."""
        target = group_of(self.tally, item.name)
        if target is None:
            return 0.0
        members = [name for name in target.counts if name in self.tally.preserves]
        made = sum(target.counts[name] * self.tally.kept(name) for name in members)
        return (room_of(self.tally, target) - made) / target.counts[item.name]

    def stock_left(self, item: Preserve) -> float:
        """For how many more of a preserve there are containers, lids and ingredients, bought ones included."""
        last, plan, found = self.plan.periods[-1].number, self.plan, []
        bought = [
            *((one, plan.buy_containers.get(one.name, 0.0)) for one in self.household.containers),
            *((one, plan.buy_lids.get(one.name, 0.0)) for one in self.household.lids),
            *((one, plan.buy_items.get(one.name, 0.0)) for one in self.household.pantry),
        ]
        money = self.household.kitchen.spending_limit - sum((one.price or 0.0) * many for one, many in bought)
        there = {one.name: one.on_hand + (one.can_buy if money >= (one.price or 0.0) else many) for one, many in bought}
        container = self.tally.containers[item.container]
        found.append(there[container.name] - self.sums.containers_taken(container, last))
        if container.lid in there:
            found.append(there[container.lid] - self.sums.lids_taken(container.lid, last))
        found += [
            (there[line.item] - self.sums.pantry_taken(line.item, last)) / line.amount_each
            for line in item.ingredients
            if line.source == "pantry" and line.amount_each > 0 and line.item in there
        ]
        return min(found)

    # ------------------------------------------------------------------ sessions that could be moved

    def why_not_moved(self, item: Preserve, source: Period, to: Period) -> str:
        """Why a day's session of a preserve cannot be made on another detailed day; empty when it can."""
        amount, now = self.made(item.name, source.number), self.made(item.name, to.number)
        first, second = sorted((source.number, to.number))
        for crop, each in self.crops_each(item).items():
            kg = amount * each - self.plan.thaw_kg.get((crop, source.number), 0.0)
            there = self.lying if to.number < source.number else self.would_keep
            if kg > there(crop, first, second) + ALMOST:
                return "crop not there" if to.number < source.number else "keeping"
        kitchen = self.household.kitchen
        names = {name for (name, number), many in self.plan.make.items() if number == to.number and many > ALMOST}
        if len(names | {item.name}) > max(len(names), getattr(kitchen, "most_preserves_a_day", math.inf)):
            return "preserves a day"
        frozen = sum(kg for (_, number), kg in self.plan.freeze_kg.items() if number == to.number) + sum(
            many * sum(self.crops_each(self.tally.preserves[name]).values())
            for (name, number), many in [*self.plan.make.items(), ((item.name, to.number), amount)]
            if number == to.number and self.tally.preserves[name].kept_in == "freezer"
        )
        if item.kept_in == "freezer" and frozen > kitchen.freeze_kg_a_day + ALMOST:
            return "freezer a day"
        loads = 0.0 if item.load is None else math.ceil((now + amount) / item.load - ALMOST)
        loads -= self.plan.loads.get((item.name, to.number), 0.0)
        share = 1 - getattr(kitchen, "kept_free", 0.0)
        for what, used, more in (
            ("hands", self.sums.hands_by_period, self.sums.hands_hours(item, amount, loads)),
            (STOVE_FREE, self.sums.stove_by_period, self.sums.stove_hours(item, amount, loads)),
        ):
            hours = self.sums.hours_there_are(what, to)
            if hours is not None and used[to.number] + more > hours * share + ALMOST:
                return what
        sessions = [one for one in sessions_of_plan(self.plan) if one.day == to.first_day and one.name != item.name]
        moved = on_the_clock(self.household, [*sessions, Session(to.first_day, item.name, now + amount)])
        return "" if all(day.fits for day in moved) else "clock"

    def is_dried(self, item: Preserve) -> bool:
        """Whether a preserve runs in a dryer, or in anything that runs overnight."""
        pieces = [self.household.equipment_named(name) for name in item.equipment[-1:]]
        return any(
            piece.kind == "dryer" or piece.runs_overnight or hours_in_piece(item, piece) > 24 for piece in pieces
        )

    # ------------------------------------------------------------------ what is counted

    def fullness(self) -> dict[str, float]:
        """Jars and capacity of all canner loads of the detailed days, and of those that are not forced."""
        found: Counter[str] = Counter()
        for one in self.last_loads():
            full = one.load * (one.loads - 1)
            found += Counter({"all jars": full + one.jars, "all capacity": full + one.load, "loads": one.loads})
            if one.reason:
                found += Counter({"jars": full, "capacity": full, f"forced: {one.reason}": 1})
            else:
                found += Counter({"jars": full + one.jars, "capacity": full + one.load})
        return dict(found)

    def findings(self) -> Iterator[Finding]:
        """Yield everything silly in the plan, each with its reason where something forced it."""
        for one in self.last_loads():
            words = f"{one.period.label} {one.name}: {one.jars} of {one.load}"
            if one.jars <= min(SMALL_LOAD, one.load - 1):
                yield Finding(SMALL, words, one.reason)
            if one.jars * 3 <= one.load:
                yield Finding(LONELY, words, one.reason)
        for (crop, number), kg in sorted(self.plan.freeze_kg.items()):
            if self.plan.periods[number].single and ALMOST < kg < SMALL_FREEZE_KG - 1e-3:
                words = f"{self.plan.periods[number].label} freeze whole {crop}: {kg / POUND_KG:.2f} lb"
                there = self.usable(crop, number)
                yield Finding(FREEZE, words, "all there was" if there < SMALL_FREEZE_KG and kg > there - 1e-3 else "")
        for (name, number), amount in self.plan.make.items():
            if not self.plan.periods[number].single and NOTHING < amount < CRUMB:
                reason = "target" if self.is_needed(name, amount) else ""
                yield Finding(WEEK_CRUMB, f"{self.plan.periods[number].label}: {amount:.2f} {name}", reason)
        yield from self.on_many_days()
        yield from self.long_keepers()

    def is_needed(self, name: str, amount: float) -> bool:
        """Whether a target, or a preserve that takes this one, would have less without so many containers."""
        if any(line.item == name for item in self.household.preserves for line in item.ingredients):
            return True
        return any(
            sum(each * self.tally.standing(one) for one, each in target.counts.items() if one in self.tally.preserves)
            < target.wanted + amount * target.counts[name] - ALMOST
            for target in self.household.targets
            if target.counts.get(name, 0.0) > 0
        )

    def on_many_days(self) -> Iterator[Finding]:
        """Yield the preserves made on three or more days of the week where one day's could be made on another."""
        week = self.singles[:7]
        for item in self.household.preserves:
            days = [one for one in week if self.made(item.name, one.number) > ALMOST]
            if len(days) < MANY_DAYS:
                continue
            reasons = ["dryer"] if self.is_dried(item) else []
            if not reasons:
                pairs = [(source, to) for source in days for to in days if source != to]
                pairs = [pair for pair in pairs if not fixed_on(self.tally, item.name, pair[0])]
                reasons = [self.why_not_moved(item, *pair) for pair in pairs] or ["kept by hand"]
            reason = "" if "" in reasons else Counter(reasons).most_common(1)[0][0]
            yield Finding(OFTEN, f"{item.name} on {', '.join(day.label for day in days)}", reason)

    def long_keepers(self) -> Iterator[Finding]:
        """Yield what keeps 14 days or more and is made on the day whose hands are used most, though an emptier would do."""
        hours = hands_in(self.tally)

        def busy(one: Period, more: float = 0.0) -> float:
            there = self.sums.hours_there_are("hands", one)
            return (hours[one.number] + more) / there if there else hours[one.number] + more

        busiest = max(self.singles, key=busy, default=None)
        for item in self.household.preserves if busiest is not None else ():
            each = self.crops_each(item)
            amount = self.made(item.name, busiest.number)
            if amount <= ALMOST or not each or min(self.tally.crops[crop].keeps_days for crop in each) < LONG_DAYS:
                continue
            loads = self.plan.loads.get((item.name, busiest.number), 0.0)
            takes = self.sums.hands_hours(item, amount, loads)
            emptier = [one for one in self.singles if one != busiest and busy(one, takes) < busy(busiest)]
            fixed = fixed_on(self.tally, item.name, busiest)
            reasons = ["kept by hand"] if fixed else [self.why_not_moved(item, busiest, one) for one in emptier]
            reason = "" if "" in reasons else Counter(reasons or ["no emptier day"]).most_common(1)[0][0]
            yield Finding(LONG, f"{busiest.label} {item.name}: {amount:g}", reason)


# ---------------------------------------------------------------------- a kitchen that works a day off

TIMED = ("vent", "process", "rest", "standing", "boil jars", "run")
"""Steps that a clock ends: they take their published minutes, no more and no less."""
OFF = 0.2
"""Every other step takes up to so much more or less than the timetable says."""
LONGEST = 2 * 24 * 60


@dataclass
class Job:
    """One load at work: minutes of preparing left, its other steps in their planned order, and how far they are."""

    steps: list[Step]
    prepare: float
    lasts: dict[int, int]
    order: datetime.datetime
    prepared: datetime.datetime
    cooks: int = 1
    runs: bool = False
    ends: dict[int, int] = data_field(default_factory=dict)
    over: int | None = None

    def past(self, number: int, minute: int) -> bool:
        """Whether a step is over by a minute."""
        return number in self.ends and self.ends[number] <= minute

    def finished(self, minute: int) -> bool:
        """Whether nothing is left that anybody waits for: a dryer only has to be running."""
        return self.prepare <= 0 and all(
            self.past(number, minute) or (step.kind == "run" and number in self.ends)
            for number, step in enumerate(self.steps)
        )

    def through_with(self, piece: str, minute: int) -> bool:
        """Whether every step in a piece of equipment is over by a minute."""
        return all(self.past(number, minute) for number, step in enumerate(self.steps) if piece in step.equipment)

    def ready(self, number: int, minute: int) -> bool:
        """Whether what comes before a step is over, and what goes on beside it has got as far as planned."""
        step = self.steps[number]
        for other, one in enumerate(self.steps[:number]):
            if one.end <= step.start and not self.past(other, minute):
                return False
            if one.start < step.start < one.end:
                share = (step.start - one.start) / (one.end - one.start)
                if other not in self.ends or minute < self.ends[other] - (1 - share) * self.lasts[other]:
                    return False
        return self.prepare <= max(0.0, (self.prepared - step.start).total_seconds() / 60) * self.cooks


def finished_in_time(household: Household, clock: Sequence[DayOnClock], place: int, seed: str, *, pots: bool) -> bool:
    """
    Whether a kitchen that works off one day of a timetable step by step is done by the stated end.

    Minute by minute people first do what a load needs now, in the planned order, then prepare what comes next; nobody is
    in two places, a piece of equipment is held from a load's first step in it to its last, and steps take up to 20 %
    more or less. With `pots` a load that is larger than its pot before it boils down is cooked in several batches, each
    of the whole time. The stated end is the latest end of the kitchen where it has one, else the end of the day's hours
    (the last step's end with the slack the day has), or that last step's end where the day runs over; what goes into a
    dryer has until somebody is up.
    """
    day, chance = clock[place], random.Random(seed)
    end = day.closes
    latest = getattr(household.kitchen, "latest_end", None)
    if latest is not None:
        end = min(end, datetime.datetime.combine(day.day, latest))
    stated = math.ceil((max(end, day.ends) - day.kitchen.starts).total_seconds() / 60)
    jobs = jobs_of(household, day, chance, pots=pots)
    work(day, jobs, held_before(clock, place))
    return all(
        job.over is not None and job.over <= (max(stated, day.kitchen.latest_minutes) if job.runs else stated)
        for job in jobs
    )


def jobs_of(household: Household, day: DayOnClock, chance: random.Random, *, pots: bool) -> list[Job]:
    """The loads of a day, each step with the minutes it will really take."""
    loads: dict[tuple[str, int], list[Step]] = {}
    for step in day.steps:
        if step.load and step.kind not in (*FOLLOWS, *SAID):
            loads.setdefault((step.name, step.load), []).append(step)
    found = []
    for steps in loads.values():
        first = [step for step in steps if step.kind == "prepare"]
        prepare = sum(step.minutes * step.hands for step in first)
        others = sorted((step for step in steps if step.kind != "prepare"), key=lambda step: (step.start, step.end))
        lasts = {}
        for number, step in enumerate(others):
            times = batches(household, step) if pots and step.kind == "cook" else 1
            share = 1.0 if step.kind in TIMED else chance.uniform(1 - OFF, 1 + OFF)
            lasts[number] = max(1, round(step.minutes * times * share))
        runs = any(step.kind == "run" for step in others)
        prepare *= chance.uniform(1 - OFF, 1 + OFF)
        begins = min(step.start for step in steps)
        prepared, cooks = max(((step.end, step.hands) for step in first), default=(begins, 0))
        found.append(Job(others, prepare, lasts, begins, prepared, cooks, runs))
    return sorted(found, key=lambda job: job.order)


def batches(household: Household, cook: Step) -> int:
    """
    In how many batches a load of tomatoes is boiled down: what they are as juice, over what the pots of the step hold.

    Pots whose size is typed in pounds, and a load of another crop, for which no such yield is published, count as one.
    """
    item = next(one for one in household.preserves if one.name == cook.name)
    if not cook.equipment:
        return 1
    crops = {crop.name: crop for crop in household.crops}
    kg = sum(
        line.amount_each * cook.containers
        for line in item.ingredients
        if line.source == "crop" and "tomato" in f"{line.item} {crops[line.item].handbook_food}".casefold()
    )
    sizes = [
        (load, find_unit(load.unit), size_and_kind(load.unit))
        for load in household.equipment_named(item.equipment[0]).loads
    ]
    litres = [load.number * unit.factor for load, unit, _ in sizes if unit is not None and unit.measures == "volume"]
    litres += [load.number * size[0] for load, unit, size in sizes if unit is None and size is not None]
    there = max(litres, default=math.inf) * len(cook.equipment)
    return max(1, math.ceil(kg / POUND_KG / juice_pounds_a_quart() * QUART_LITRES / there - 0.02))


def juice_pounds_a_quart() -> float:
    """Pounds of tomatoes as picked that give a quart of juice, from the published table of yields."""
    path = Path(__file__).resolve().parents[2] / "shared" / "handbook" / "canned_yield.csv"
    with path.open(encoding="utf-8", newline="") as file:
        row = next(row for row in csv.reader(file) if row[0] == "tomato juice, quart")
    return float(row[4]) / float(row[5])


def held_before(clock: Sequence[DayOnClock], place: int) -> dict[str, int]:
    """Until which minute of a day each piece of equipment is still in use from the days before."""
    starts, found = clock[place].kitchen.starts, {}
    for step in (step for day in clock[:place] for step in day.steps if step.kind != "empty"):
        for piece in step.equipment:
            if step.end > starts:
                minutes = math.ceil((step.end - starts).total_seconds() / 60)
                found[piece] = max(minutes, found.get(piece, 0))
    return found


def work(day: DayOnClock, jobs: list[Job], busy: dict[str, int]) -> None:
    """Work the loads of a day off, minute by minute; `over` of each says when its last step that is waited for ends."""
    held: dict[str, Job] = {}
    planned = sorted(
        ((step.start, place, number) for place, job in enumerate(jobs) for number, step in enumerate(job.steps))
    )
    for minute in range(LONGEST):
        held = {piece: job for piece, job in held.items() if not job.through_with(piece, minute)}
        for job in jobs:
            job.over = minute if job.over is None and job.finished(minute) else job.over
        if all(job.over is not None for job in jobs):
            return
        now = [job.steps[number] for job in jobs for number, end in job.ends.items() if end > minute]
        hands = day.kitchen.persons - sum(step.hands for step in now)
        burners = day.kitchen.burners - sum(step.burners for step in now)
        for _, place, number in planned:
            job, step = jobs[place], jobs[place].steps[number]
            if number in job.ends or step.hands > hands or step.burners > burners:
                continue
            free = all(minute >= busy.get(piece, 0) and held.get(piece, job) is job for piece in step.equipment)
            if free and job.ready(number, minute):
                job.ends[number] = minute + job.lasts[number]
                hands, burners = hands - step.hands, burners - step.burners
                held |= dict.fromkeys(step.equipment, job)
        for job in jobs:
            share = min(hands, math.ceil(job.prepare)) if job.prepare > 0 else 0
            job.prepare, hands = job.prepare - share, hands - share
