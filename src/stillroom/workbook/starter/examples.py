"""The example rows of a starting workbook: published loads, and invented figures marked as examples."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from stillroom.household.units import UNITS
from stillroom.workbook.schema import tables
from stillroom.workbook.starter.layout import GIVEN, Entry, Formula, Row

EXAMPLE = "example: type your own"
EXAMPLE_COUNT = "example: count yours"
CANNER_LOADS = "7 quarts or 8 to 9 pints: AIB 539 Guide 1"
HEAT_UP = "20-30 min to boil"
PRESSURE = "12-15 min to steady steam, 20-60 min to cool"
POT = "46 lb of tomatoes fill 14 quarts, and boil down to 7: AIB 539 Guide 3"
POTS, POT_QUARTS = 2, 8
DRYER = "18 lb of snap beans a load, MSU Extension PFS 01600534; count what your trays hold"
CROCK = "5 lb to a gallon, so 25 lb in five gallons: AIB 539 Guide 6"
SMALLER = "no published load for smaller jars: counted like pints"
EXAMPLE_PEOPLE = 4
SETTING_EXAMPLES: dict[str, Entry] = {
    "people": EXAMPLE_PEOPLE,
    "days planned in detail": 7,
    "weeks planned roughly": 8,
    "burners": 4,
    "latest end": datetime.time(21, 0),
    "most preserves in a day": 4,
    "share of hours kept free": 0.1,
}
METRIC_UNITS = {"ft": "m", "lb": "kg", "cu ft": "L"}


def kitchen_rows(
    *, metric: bool, people: float | None, altitude: tuple[float, str] | None, gauge: str | None
) -> Sequence[Row]:
    """Every setting, one a row, each with what it means; most values are left blank."""
    rows: list[Row] = []
    for setting in tables()["Kitchen"].settings:
        name = setting.heading
        value: Entry = SETTING_EXAMPLES.get(name)
        unit = METRIC_UNITS.get(setting.unit, setting.unit) if metric else setting.unit
        note = first_sentences(setting.about)
        if name == "altitude" and altitude:
            value, unit = altitude
        if name == "gauge":
            value = gauge
        if name == "people":
            value = people if people is not None else EXAMPLE_PEOPLE
            note = note if people is not None else f"{EXAMPLE}. {note}"
        rows.append({"Setting": name, "Value": value, "Unit": unit or None, "Note": note})
    return rows


def first_sentences(text: str, most: int = 90) -> str:
    """
    As many whole sentences of a text as fit, at least the first.

    >>> first_sentences("Burners of the stove. All of them. " + "x" * 90)
    'Burners of the stove. All of them.'
    """
    sentences = re.split(r"(?<=[.:;]) ", text)
    kept = sentences[0]
    for sentence in sentences[1:]:
        if len(kept) + len(sentence) + 1 > most:
            break
        kept = f"{kept} {sentence}"
    return kept.rstrip(";:")


Hours = tuple[float, ...]
"""The hours of each day of a week, Monday first."""


def hours_rows(hands: Hours | None = None, stove_free: Hours | None = None) -> Sequence[Row]:
    """
    Hands and stove of a week as typed, else of an invented one: some hours in the evening, more on the weekend.

    A pot may cook while the stove is free, so 4 hours are an evening long enough for sauce to cook down.
    """
    return (
        week("hands", hands, (3, 10, 6), "Hands-on hours: two people for 1 hour are 2"),
        week("stove free", stove_free, (4, 9, 5), "Hours the stove is free, however many burners it has"),
    )


def week(what: str, typed: Hours | None, example: tuple[float, float, float], note: str) -> Row:
    """A row of Hours: as typed, or the example's weekday, Saturday and Sunday."""
    evening, *weekend = example
    hours = (*(evening,) * 5, *weekend) if typed is None else typed
    days: dict[str, Entry] = dict(zip(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"), hours, strict=True))
    return {"What": what, **days, "Note": note if typed is not None else f"{EXAMPLE}. {note}"}


PIECES = (
    ("canner", "boiling-water canner", (7, 9, 9), f"{CANNER_LOADS}; {HEAT_UP}", CANNER_LOADS),
    ("pressure canner", "pressure canner", (7, 9, 9), f"{CANNER_LOADS}; {PRESSURE}", CANNER_LOADS),
)
"""Name, kind, loads in quarts, pints and half-pints, and the notes of the first row and of the others."""
TIMES: dict[str, dict[str, Entry]] = {
    "canner": {"Burners": 1, "Heat-up min": 30, "Cool-down min": 0, "Runs overnight": "no"},
    "pressure canner": {"Burners": 1, "Heat-up min": 15, "Cool-down min": 60, "Runs overnight": "no"},
}


def equipment_rows(*, metric: bool, ways: Collection[str] | None = None) -> Sequence[Row]:
    """
    A canner, a pressure canner, a big pot, a dryer and a crock, with the loads that are published.

    With `ways` only what is among them, and the pot where there is a canner.
    """
    rows = every_piece(metric=metric)
    if ways is None:
        return rows
    kinds = set(ways) | ({"big pot"} if {"canner", "pressure canner"} & set(ways) else set())
    return [row for row in rows if row["Equipment"] in kinds]


def every_piece(*, metric: bool) -> Sequence[Row]:
    """The rows of all the equipment."""
    us, liter = ("quart", "pint", "half-pint"), ("liter", "US pint", "quarter-liter")
    rows: list[Row] = []
    for name, kind, loads, first_note, note in PIECES:
        for place, (load, size) in enumerate(zip(loads, liter if metric else us, strict=True)):
            row: dict[str, Entry] = {"Equipment": name, "Kind": kind, "Load": load, "Load unit": f"{size} jars"}
            row |= {"How many": 1, **TIMES[name], "Note": first_note} if place == 0 else {"Note": note}
            rows.append(row | ({"Note": SMALLER} if place == 2 else {}))
    pot: dict[str, Entry] = {"Equipment": "big pot", "Kind": "kettle", "How many": POTS, "Burners": 1}
    rows.append(pot | {"Load": POT_QUARTS, "Load unit": "L" if metric else "qt", "Note": f"{EXAMPLE}. {POT}"})
    dryer, crock, unit = (8.2, 11.3, "kg") if metric else (18, 25, "lb")
    by_night: dict[str, Entry] = {"How many": 1, "Load unit": unit, "Burners": 0, "Runs overnight": "yes"}
    rows.append({"Equipment": "dryer", "Kind": "dryer", "Load": dryer, **by_night, "Note": f"{EXAMPLE}. {DRYER}"})
    rows.append({"Equipment": "crock", "Kind": "crock", "Load": crock, **by_night, "Note": f"{EXAMPLE}. {CROCK}"})
    return rows


Jars = Sequence[tuple[str, float]]
"""Jars by size."""
KEEPS_IN = {"tub": "freezer", "bag": "dryer", "box": "root cellar"}
"""Kinds of container that only one way of preserving fills."""


def container_rows(*, metric: bool, jars: Jars | None = None, ways: Collection[str] | None = None) -> Sequence[Row]:
    """
    Jars, freezer tubs, bags and boxes; how many there are is as typed, else an example to be counted over.

    With `jars` a size of which there is none is left out, with `ways` what only another way fills.
    """
    typed = None if jars is None else {f"{size} jar": count for size, count in jars}
    rows = []
    for name, kind, holds, unit, count, lid, note in GIVEN["containers_metric" if metric else "containers_us"]:
        counted = typed is not None and kind == "jar"
        there = typed.get(name, 0) if typed is not None and counted else count
        if (counted and not there) or (ways is not None and KEEPS_IN.get(kind, "") not in ("", *ways)):
            continue
        notes = "; ".join(part for part in ("" if counted else EXAMPLE_COUNT, note) if part)
        rows.append(
            {"Container": name, "Kind": kind, "Holds": holds, "Unit": unit, "On hand": there, "Lid": lid or None,
             "Can buy": "no", "Note": notes or None}
        )  # fmt: skip
    return rows


def lid_rows(*, metric: bool, jars: Jars | None = None) -> Sequence[Row]:
    """One kind of lid, used once: as many as there are jars, where those are typed."""
    count = 72 if jars is None else sum(number for _, number in jars)
    why = EXAMPLE_COUNT if jars is None else "example: one for each jar; count yours"
    note = f"{why}. A new lid for every jar: AIB 539 Guide 1"
    return ({"Lid": "jar lid" if metric else "regular lid", "On hand": count, "Can buy": "no", "Note": note},)


def pantry_rows(ingredients: Sequence[Row], crops: frozenset[str], *, metric: bool) -> Sequence[Row]:
    """Every bought ingredient that some preserve takes, with an example amount in cups or ml, or by weight."""
    preserves = {row["Preserve"] for row in ingredients}
    weighed = {row["Item"] for row in ingredients if row["Unit"] in {"lb", "kg"}}
    bought = sorted({str(row["Item"]) for row in ingredients} - crops - {str(name) for name in preserves})
    rows: list[Row] = []
    for name in bought:
        amount, unit = (2000, "ml") if metric else (8, "cup")
        if name in weighed:
            amount, unit = 0, "kg" if metric else "lb"
        rows.append(
            {
                "Ingredient": name,
                "Handbook item": name,
                "On hand": amount,
                "Unit": unit,
                "Can buy": "no",
                "Note": EXAMPLE_COUNT,
            }
        )
    return rows


# The winter list of a starting workbook: examples of what a household eats, and which preserves count toward
# each.

SERVINGS, WEEKS, EACH = "Servings a week", "Weeks", "Servings each"
HELPERS = (SERVINGS, EACH)
"""Columns of our own beside the winter list: servings a week for one person, servings one unit gives."""
WANTED = (
    'ROUNDUP(INDEX(Kitchen[Value],MATCH("people",Kitchen[Setting],0))*Winter_list[[#This Row],[Servings a week]]'
    "*Winter_list[[#This Row],[Weeks]]/Winter_list[[#This Row],[Servings each]],0)"
)
QUART_LITRES, PINT_LITRES = UNITS["quart"].factor, UNITS["pint"].factor
UNIT_LITRES = {"quart": QUART_LITRES, "pint": PINT_LITRES, "US pint": PINT_LITRES, "L": 1.0, "half L": 0.5}
UNIT_LITRES["US quart"] = QUART_LITRES
SERVINGS_OF = {"quart": 4, "pint": 2, "L": 4, "half L": 2}
EXAMPLE_NOTE = "example: type your own servings"


@dataclass(frozen=True)
class Wish:
    """
    One line of the winter list, and the products that count toward it.

    `servings` are eaten by one person in a week, over `weeks`; `products` are the first words of handbook lines. A
    wish in `unit` "quart" or "pint" becomes L or half L in a metric workbook; one in lb becomes kg.
    """

    name: str
    unit: str
    importance: int
    servings: float
    products: tuple[str, ...]
    weeks: int = 35


WISHES = tuple(
    Wish(name, unit, importance, servings, tuple(products), weeks)
    for name, unit, importance, servings, products, weeks in GIVEN["winter_list"]
)


def target_rows(people: float, *, metric: bool, wishes: Sequence[Wish] = WISHES) -> Sequence[Row]:
    """The winter list; *Wanted* is a formula over people, servings and weeks, with its value for these `people`."""
    return [target_row(wish, people, metric=metric) for wish in wishes]


def target_row(wish: Wish, people: float, *, metric: bool) -> Row:
    """One line of the list with its helper columns."""
    unit = unit_of(wish, metric=metric)
    each = SERVINGS_OF.get(unit, 4 if unit == "kg" else 2)
    return {
        "Target": wish.name,
        "Wanted": Formula(WANTED, wanted(people, wish.servings, wish.weeks, each)),
        "Unit": unit,
        "Importance": wish.importance,
        "Note": EXAMPLE_NOTE,
        SERVINGS: wish.servings,
        WEEKS: wish.weeks,
        EACH: each,
    }


def wanted(people: float, servings: float, weeks: float, each: float) -> float:
    """
    People times servings a week times weeks, over the servings of one unit, rounded up.

    >>> wanted(4, 0.5, 35, 4)
    18
    """
    return math.ceil(people * servings * weeks / each - 1e-9)


def unit_of(wish: Wish, *, metric: bool) -> str:
    """The unit a wish is counted in."""
    return {"quart": "L", "pint": "half L", "lb": "kg"}[wish.unit] if metric else wish.unit


def count_rows(
    preserves: Sequence[Row], containers: Sequence[Row], *, metric: bool, wishes: Sequence[Wish] = WISHES
) -> Sequence[Row]:
    """Which preserve counts toward which line, by how much one container holds."""
    held = {str(row["Container"]): (float(str(row["Holds"])), str(row["Unit"])) for row in containers}
    rows: list[Row] = []
    for wish in wishes:
        for preserve in preserves:
            if str(preserve["Handbook line"]).startswith(wish.products):
                each = counts(held[str(preserve["Container"])], unit_of(wish, metric=metric))
                rows.append({"Target": wish.name, "Preserve": preserve["Preserve"], "Each counts": each})
    return rows


def counts(holds: tuple[float, str], unit: str) -> float:
    """
    How many units of a need one container is.

    >>> counts((1, "pint"), "quart"), counts((20, "lb"), "lb")
    (0.5, 20)
    """
    amount, measure = holds
    if unit in {"lb", "kg"}:
        return amount
    return round(amount * UNIT_LITRES[measure] / UNIT_LITRES[unit], 4)
