"""
The household as frozen records: crops, lots, containers, preserves, needs and the kitchen.

Everything inside is in kilograms, litres, hours, whole containers and money; the units the household typed are kept
only to say things back in them. No solver and no spreadsheet is known here.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any, Literal, TypeVar

from stillroom.errors import Problem
from stillroom.household.standing import NO_STEPS, RecipeSteps, Standing
from stillroom.household.units import POUND_KG, Unit, to_kg

# What single days have less than their hours add up to, once their loads were put on the clock one after the
# other.


@dataclass(frozen=True)
class Tighter:
    """
    Tighter limits of single days; nothing that a household types, and no part of what a plan is judged by.

    `less_hours` are (hands, stove or a piece of equipment; day; hours that the day has less, burner-hours for the
    stove), `most` (preserve; day; containers at most), neither of them twice. A line that the household fixed is not
    held to its `most`. `told` says of which days it was found, and how they would have been.
    """

    less_hours: tuple[tuple[str, datetime.date, float], ...] = ()
    most: tuple[tuple[str, datetime.date, int], ...] = ()
    told: tuple[tuple[datetime.date, str], ...] = ()

    def with_less(self, what: str, day: datetime.date, hours: float) -> Tighter:
        """
        Give the same with so many hours less of a thing on a day, in all.

        >>> day = datetime.date(2026, 8, 14)
        >>> Tighter().with_less("stove", day, 1.0).with_less("stove", day, 2.0).less_hours[0][2]
        2.0
        """
        others = tuple(one for one in self.less_hours if one[:2] != (what, day))
        return Tighter((*others, (what, day, hours)), self.most, self.told)

    def with_most(self, name: str, day: datetime.date, most: int) -> Tighter:
        """
        Give the same with no more than so many containers of a preserve on a day.

        >>> day = datetime.date(2026, 8, 14)
        >>> Tighter().with_most("juice", day, 7).with_most("juice", day, 9).most[0][2]
        7
        """
        before = [one[2] for one in self.most if one[:2] == (name, day)]
        others = tuple(one for one in self.most if one[:2] != (name, day))
        return Tighter(self.less_hours, (*others, (name, day, min([most, *before]))), self.told)


METHODS = ("boiling-water canned", "pressure canned", "frozen", "dried", "fermented", "root cellar", "refrigerated")
PLACES = ("shelf", "freezer", "refrigerator", "cellar")
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
FREEZE_WHOLE = "freeze whole: "
THAW = "thaw: "
ATE = "ate: "
GAVE = "gave: "
SPOILED = "spoiled: "
SURPLUS = "surplus: "
BOUGHT = "bought: "
OF_A_CROP = (FREEZE_WHOLE, THAW)
"""Rows of the record that begin so move a crop into the freezer and out of it."""
LEFT = (ATE, GAVE, SPOILED, SURPLUS)
"""Rows of the record that begin so tell what left the kitchen: of a crop, or of a preserve off the shelf."""
HAPPENED = (*LEFT, BOUGHT)
"""What the column *What happened* of the record has besides `made`, as the name of a row begins with it."""

NO_LIMIT = math.inf
STOVE_FREE = "stove free"
"""The row of Hours with the hours the stove is free; times the burners, they are burner-hours."""
DAY_STARTS = "day starts"
"""The row of Hours with the time at which each weekday starts; it holds no hours."""
DAY_HOURS = 24.0

Named = TypeVar("Named", "Preserve", "Crop", "Container", "Equipment")


Effort = Literal["light", "normal", "all out"]
"""How hard the household will work to save crop from surplus."""


@dataclass(frozen=True)
class Kitchen:
    """
    The household's settings. A space, a day's freezing or a spending that is `inf` has no limit.

    `already_spent` is money, known once the record has been taken off (see `journal.stocks`). `starts_by_weekday` are
    seven times, Monday first; empty when every day starts at `day_starts_at`. `kept_free` is the share of the hours of
    hands and stove that a plan leaves free; `latest_end` None is no limit.
    """

    first_day: datetime.date
    altitude_ft: float | None = None
    days_planned_singly: int = 7
    weeks_after_that: int = 8
    people: float | None = None
    burners: float = 4.0
    fill_targets_evenly: bool = True
    plan_for: str = "likely harvest"
    effort: Effort = "normal"
    spending_limit: float = NO_LIMIT
    already_spent: float = 0.0
    freezer_free_litres: float = NO_LIMIT
    freezer_size_litres: float | None = None
    freeze_kg_a_day: float = NO_LIMIT
    refrigerator_free_litres: float = NO_LIMIT
    shelf_free_litres: float = NO_LIMIT
    cellar_free_litres: float = NO_LIMIT
    setup_hours_a_kind: float = 0.25
    day_starts_at: datetime.time = datetime.time(8, 0)
    starts_by_weekday: tuple[datetime.time, ...] = ()
    latest_end: datetime.time | None = None
    most_preserves_a_day: float = NO_LIMIT
    kept_free: float = 0.0
    gauge: str | None = None
    use_learned_yields: bool = True
    first_day_typed: bool = True
    weight_unit: str = "lb"
    volume_unit: str = "L"
    altitude_unit: str = "ft"
    currency: str = "$"
    where: str = field(default="", compare=False)
    gauge_where: str = field(default="", compare=False)
    latest_end_where: str = field(default="", compare=False)
    spending_where: str = field(default="", compare=False)

    @property
    def left_to_spend(self) -> float:
        """
        Return the money left of the spending limit.

        >>> day = datetime.date(2026, 8, 14)
        >>> [Kitchen(day, spending_limit=limit, already_spent=22.5).left_to_spend for limit in (60, 20, NO_LIMIT)]
        [37.5, 0.0, inf]
        """
        return max(0.0, self.spending_limit - self.already_spent)

    def free_litres(self, place: str) -> float:
        """
        Return the liters free in a place on the first day.

        >>> Kitchen(datetime.date(2026, 8, 14), cellar_free_litres=40.0).free_litres("cellar")
        40.0
        """
        free = {
            "freezer": self.freezer_free_litres,
            "refrigerator": self.refrigerator_free_litres,
            "shelf": self.shelf_free_litres,
            "cellar": self.cellar_free_litres,
        }
        return free[place]

    def starts_on(self, day: datetime.date) -> datetime.datetime:
        """
        Return when kitchen work begins on a day.

        >>> day = datetime.date(2026, 8, 14)
        >>> Kitchen(day).starts_on(day)
        datetime.datetime(2026, 8, 14, 8, 0)
        """
        times = self.starts_by_weekday
        return datetime.datetime.combine(day, times[day.weekday()] if times else self.day_starts_at)

    def ends_by(self, day: datetime.date) -> datetime.datetime:
        """
        Return when kitchen work is over on a day at the latest: midnight without a latest end.

        >>> day = datetime.date(2026, 8, 14)
        >>> Kitchen(day).ends_by(day), Kitchen(day, latest_end=datetime.time(21)).ends_by(day)
        (datetime.datetime(2026, 8, 15, 0, 0), datetime.datetime(2026, 8, 14, 21, 0))
        """
        if self.latest_end is None:
            return datetime.datetime.combine(day + datetime.timedelta(days=1), datetime.time.min)
        return datetime.datetime.combine(day, self.latest_end)


@dataclass(frozen=True)
class Hours:
    """
    Hours of one thing: person-hours of hands, hours the stove is free, or hours the oven or equipment may run.

    `by_weekday` holds seven figures, Monday first; `each_later_week` is for a whole week planned as one.
    """

    what: str
    by_weekday: tuple[float, ...]
    each_later_week: float
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class Load:
    """How much one filling of a piece of equipment is: `number` of `unit` ("quart jars", "box", "lb")."""

    number: float
    unit: str
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class Equipment:
    """
    A piece of equipment, `how_many` of it. `burners` are held until the process ends.

    `kind` is in lower case; *boiling-water canner*, *pressure canner*, *dryer*, *kettle*, *crock* are known.
    """

    name: str
    kind: str
    how_many: int = 1
    loads: tuple[Load, ...] = ()
    burners: float = 0.0
    heat_up_hours: float = 0.0
    cool_down_hours: float = 0.0
    runs_overnight: bool = False
    free_from: datetime.date | None = None
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class Crop:
    """
    A kind of produce with its own keeping time and uses.

    `pot_litres_per_kg` is what a kilogram as picked fills in a pot, trimmed and cut or pressed, before it boils down.
    """

    name: str
    keeps_days: float
    handbook_food: str | None = None
    bushel_kg: float | None = None
    each_kg: float | None = None
    unit: str = "lb"
    eaten_kg_a_week: float = 0.0
    may_be_frozen_whole: bool = False
    freeze_hours_per_kg: float = 1 / 60 / POUND_KG
    frozen_keeps_weeks: float = 4.0
    freezer_litres_per_kg: float = 1.8
    trimmings_share: float = 0.0
    kg_per_litre: float | None = None
    pot_litres_per_kg: float | None = None
    where: str = field(default="", compare=False)

    @property
    def days_after_picking(self) -> int:
        """
        Return the days after the day of harvest on which it is still sound; part of a day is not a day more.

        >>> [Crop("corn", days).days_after_picking for days in (0, 0.5, 1, 1.5, 2)]
        [0, 0, 1, 1, 2]
        """
        return math.floor(self.keeps_days)

    def kg_in(self, number: float, unit: Unit) -> float:
        """Give an amount of it in kg, by its bushel, its density or its weight each; raises MeasureWrong."""
        weights = {"bushel_kg": self.bushel_kg, "kg_per_litre": self.kg_per_litre, "each_kg": self.each_kg}
        return to_kg(number, unit, **weights)


@dataclass(frozen=True)
class Lot:
    """
    One weighing of a crop on a date, or one that is expected.

    `frozen_on` filled: the lot lies in the freezer, frozen whole that day. `kg` is what is left of it at the first day
    once the record has been taken off (see `ledger`).
    """

    crop: str
    picked_on: datetime.date
    kg: float
    expected: bool = False
    frozen_on: datetime.date | None = None
    least_kg: float | None = None
    most_kg: float | None = None
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class Container:
    """
    What a preserve is put up in. `holds_litres` or `holds_kg` says its size; `can_buy` is 0, a number or `inf`.

    `lid` is the kind of lid it takes, None for an unlidded one.
    """

    name: str
    kind: str
    holds_litres: float | None = None
    holds_kg: float | None = None
    on_hand: float = 0.0
    counted_on: datetime.date | None = None
    back_each_week: float = 0.0
    lid: str | None = None
    price: float | None = None
    can_buy: float = 0.0
    where: str = field(default="", compare=False)

    @property
    def is_jar(self) -> bool:
        """Whether it is a jar."""
        return "jar" in self.kind.casefold().split()


@dataclass(frozen=True)
class Lid:
    """A kind of lid, used once."""

    name: str
    on_hand: float = 0.0
    counted_on: datetime.date | None = None
    price: float | None = None
    can_buy: float = 0.0
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class PantryItem:
    """
    A bought ingredient. `on_hand`, `can_buy` and `price` (money per unit) are in `base_unit`: kg, litre or each.

    `unit` and `per_base` say it back as typed: amount in `unit` = amount in base * `per_base`. `into_jars`: it is
    measured into each jar and never into the pot.
    """

    name: str
    base_unit: str
    on_hand: float = 0.0
    handbook_item: str | None = None
    counted_on: datetime.date | None = None
    price: float | None = None
    can_buy: float = 0.0
    unit: str = "kg"
    per_base: float = 1.0
    into_jars: bool = False
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class ShelfRow:
    """Finished preserves on hand: `count` containers, good until `best_by` (None: not known, counts as good)."""

    preserve: str
    count: float
    made_on: datetime.date | None = None
    best_by: datetime.date | None = None
    place: str | None = None
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class Ingredient:
    """
    What one container of a preserve takes of an item.

    `source` is "crop" (amount in kg), "larder" (amount in the larder item's base unit) or "preserve" (containers).
    `amount_typed` and `unit` are as the household wrote them.
    """

    item: str
    source: str
    amount_each: float
    from_frozen: bool = False
    amount_typed: float = 0.0
    unit: str = ""
    litres_each: float | None = None
    kg_each: float | None = None
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class Preserve:
    """
    One product in one container by one way.

    As typed first; `handbook.settle` fills what the published tables say: `process_minutes`, `pressure_lb`,
    `process_text`, the waits of a load (`vent_minutes`, `rise_minutes` to full pressure, `rest_minutes` before the
    jars come out), waits inside the recipe (`standing`), its other `steps`, `blanch_text`, `headspace` and
    `acid_each` of a jar, and the marks; or `refused`, the errors that keep it out of the plan, and `include` is False
    then. `load` is the whole number of containers one filling takes, None for a preserve without equipment. Where
    *Smallest batch* is blank, `batch_typed` is False and `smallest_batch` its default.
    """

    name: str
    method: str
    container: str
    include: bool = True
    handbook_line: str | None = None
    minutes_typed: float | None = None
    source: str | None = None
    hands_minutes_each: float = 0.0
    hands_minutes_load: float = 0.0
    stove_minutes_each: float = 0.0
    stove_minutes_load: float = 0.0
    equipment: tuple[str, ...] = ()
    load: int | None = None
    smallest_batch: int = 1
    batch_typed: bool = True
    keeps_months: float | None = None
    kept_in: str = "shelf"
    space_litres_each: float = 0.0
    ingredients: tuple[Ingredient, ...] = ()
    process_minutes: float = 0.0
    vent_minutes: float = 0.0
    rise_minutes: float = 0.0
    rest_minutes: float = 0.0
    pressure_lb: float | None = None
    process_text: str = ""
    process_source: str = ""
    standing: tuple[Standing, ...] = ()
    steps: RecipeSteps = NO_STEPS
    headspace: str = ""
    acid_each: str = ""
    blanch_text: str = ""
    own_recipe: bool = False
    from_memory: bool = False
    refused: tuple[Problem, ...] = ()
    where: str = field(default="", compare=False)

    @property
    def fewest(self) -> int:
        """
        The fewest containers worth starting for: the smallest batch, or a third of a load where that is blank.

        >>> juice = Preserve("juice", "boiling-water canned", "quart jar", load=7, batch_typed=False)
        >>> juice.fewest, replace(juice, smallest_batch=2, batch_typed=True).fewest, replace(juice, load=None).fewest
        (3, 2, 1)
        """
        return self.smallest_batch if self.batch_typed or self.load is None else math.ceil(self.load / 3)

    def crop_kg_each(self, crop: str) -> float:
        """
        Kilograms of a crop that one container takes.

        >>> Preserve("juice", "frozen", "tub", ingredients=(Ingredient("plum", "crop", 1.5),)).crop_kg_each("plum")
        1.5
        """
        return sum(line.amount_each for line in self.ingredients if line.source == "crop" and line.item == crop)


@dataclass(frozen=True)
class Target:
    """
    A line of the winter list; `counts` says which preserves count toward it and how much one container of each counts.

    `wanted` and `at_most` are in the need's own `unit`; `weeks` says over how many weeks *Wanted* is eaten (None: not
    said). The plan does not use them.
    """

    name: str
    wanted: float
    at_most: float
    importance: int = 1
    unit: str = ""
    weight: float = 1.0
    meals_each: float | None = None
    shop_price: float | None = None
    counts: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    weeks: float | None = field(default=None, compare=False)
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class RecordRow:
    """
    One entry of the record of what was really made; crop used in kg.

    `preserve` may also be `freeze whole: CROP` or `thaw: CROP` with the crop used; `ate: `, `gave: `, `spoiled: ` or
    `surplus: ` before a crop with `crop` and the crop used, or before a preserve with how many in `made`; or `bought:
    STOCK` with how many in `made` (pantry in its own unit).
    """

    date: datetime.date
    preserve: str | None = None
    made: float = 0.0
    failed_seals: float = 0.0
    crop: str | None = None
    crop_used_kg: float | None = None
    hands_hours: float | None = None
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class PlanLine:
    """
    A line of the plan that stands in the workbook, or one the household typed there.

    `name` is a preserve, or `freeze whole: CROP` / `thaw: CROP` with amounts in kg. `fix` and `made` are None when
    blank. `make` is what the last plan said (None for a line of the household's own). `can_wait_until` and `otherwise`
    are what was found of it with `--deadlines`.
    """

    day: datetime.date
    days: int
    name: str
    make: float | None = None
    fix: float | None = None
    made: float | None = None
    note: str | None = None
    can_wait_until: str = field(default="", compare=False)
    otherwise: str = field(default="", compare=False)
    where: str = field(default="", compare=False)


@dataclass(frozen=True)
class Household:
    """What a household has and wants: the whole of one workbook, checked and in the units used inside."""

    kitchen: Kitchen
    hours: tuple[Hours, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    crops: tuple[Crop, ...] = ()
    lots: tuple[Lot, ...] = ()
    containers: tuple[Container, ...] = ()
    lids: tuple[Lid, ...] = ()
    pantry: tuple[PantryItem, ...] = ()
    shelf: tuple[ShelfRow, ...] = ()
    preserves: tuple[Preserve, ...] = ()
    targets: tuple[Target, ...] = ()
    record: tuple[RecordRow, ...] = ()
    plan_lines: tuple[PlanLine, ...] = ()
    tighter: Tighter = field(default_factory=Tighter)

    def preserve(self, name: str) -> Preserve:
        """Find a preserve by its exact name; KeyError when there is none."""
        return next_named(self.preserves, name)

    def crop(self, name: str) -> Crop:
        """Find a crop by its exact name; KeyError when there is none."""
        return next_named(self.crops, name)

    def container(self, name: str) -> Container:
        """Find a container by its exact name; KeyError when there is none."""
        return next_named(self.containers, name)

    def equipment_named(self, name: str) -> Equipment:
        """Find a piece of equipment by its exact name; KeyError when there is none."""
        return next_named(self.equipment, name)

    def changed(self, table: str, *names: str, **fields: object) -> Household:
        """Return the household with other fields in the rows of one of its tables that have one of these names."""
        rows = tuple(replace(row, **fields) if row.name in names else row for row in getattr(self, table))
        tables: dict[str, Any] = {table: rows}
        return replace(self, **tables)

    def with_kitchen(self, **settings: Any) -> Household:
        """Return the household with other settings of the kitchen."""
        return replace(self, kitchen=replace(self.kitchen, **settings))

    def planned(self) -> tuple[Preserve, ...]:
        """Preserves that a plan may hold: Include = yes, or named by a fixed line; in the order of their names."""
        fixed = {line.name for line in self.plan_lines if line.fix is not None}
        return tuple(
            sorted((item for item in self.preserves if item.include or item.name in fixed), key=lambda item: item.name)
        )


def next_named(records: tuple[Named, ...], name: str) -> Named:
    """Find the record with this exact name; KeyError when there is none."""
    for record in records:
        if record.name == name:
            return record
    raise KeyError(name)
