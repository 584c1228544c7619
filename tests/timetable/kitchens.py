"""Small invented kitchens for the clock, with figures that are easy to add up; they are nobody's directions."""

import datetime
from typing import Any

from stillroom.household.records import Crop, Equipment, Hours, Household, Ingredient, Kitchen, Load, Preserve
from stillroom.timetable.schedule import Session

DAY = datetime.date(2026, 8, 18)
NEXT = DAY + datetime.timedelta(days=1)
WATER, STEAM = "boiling-water canned", "pressure canned"

CANNER = Equipment("canner", "boiling-water canner", 1, (Load(7.0, "jar"),), 1.0, 0.5, 5 / 60)
PRESSURE = Equipment("pressure canner", "pressure canner", 1, (Load(7.0, "jar"),), 1.0, 20 / 60, 1.0)
DRYER = Equipment("dryer", "dryer", 1, (Load(6.0, "bag"),), runs_overnight=True)
POT = Equipment("pot", "kettle", 1, (Load(14.0, "jar"),), 1.0)


def juice(**more: Any) -> Preserve:
    """Water-bath: fill 10, heat 30, process 45, wait 5, take out 5: 95 minutes, of which the burner 75."""
    plain: dict[str, Any] = {
        "hands_minutes_load": 15.0, "equipment": ("canner",), "load": 7, "process_minutes": 45.0, "process_text": "45 min",
        "ingredients": (Ingredient("tomato", "crop", 1.0),),
    }  # fmt: skip
    return Preserve("juice", WATER, "jar", **(plain | more))


def beans(**more: Any) -> Preserve:
    """Pressure: fill 10, heat 20, vent 10, process 25, cool 60, take out 5: 130 minutes, of which the burner 55."""
    plain: dict[str, Any] = {
        "hands_minutes_load": 15.0, "equipment": ("pressure canner",), "load": 7, "process_minutes": 25.0,
        "vent_minutes": 10.0, "process_text": "25 min at 11 lb, dial", "ingredients": (Ingredient("bean", "crop", 1.0),),
    }  # fmt: skip
    return Preserve("beans", STEAM, "jar", **(plain | more))


def apples(minutes: float = 1080.0) -> Preserve:
    """Dried: 60 minutes of hands for six bags, then 18 hours."""
    lines = (Ingredient("apple", "crop", 1.0),)
    return Preserve(
        "apples", "dried", "bag", equipment=("dryer",), load=6, process_minutes=minutes, hands_minutes_each=10.0,
        ingredients=lines,
    )  # fmt: skip


def home(*preserves: Preserve, hands: float | None = None, stove: float | None = None, **more: Any) -> Household:
    """One person and two burners from 8 o'clock on; `stove` hours it is free; no limit where none is given."""
    kitchen = Kitchen(DAY, **({"burners": 2.0, "people": 1.0, "setup_hours_a_kind": 0.0} | more.pop("kitchen", {})))
    figures = (("hands", hands), ("stove free", stove))
    hours = tuple(Hours(what, (figure,) * 7, 0.0) for what, figure in figures if figure is not None)
    crops = tuple(
        Crop(name, 3.0, may_be_frozen_whole=True, freeze_hours_per_kg=1 / 60) for name in ("tomato", "bean", "apple")
    )
    plain: dict[str, Any] = {"equipment": (CANNER, PRESSURE, DRYER, POT), "crops": crops}
    return Household(kitchen, hours=hours, preserves=preserves, **(plain | more))


def on(name: str, amount: float, day: datetime.date = DAY) -> Session:
    """So much of something on a day."""
    return Session(day, name, amount)


def at(hour: int, minute: int = 0, day: datetime.date = DAY) -> datetime.datetime:
    """A time of the first day."""
    return datetime.datetime.combine(day, datetime.time(hour, minute))
