"""What a starting workbook says about a kitchen before its household does: published loads, and examples marked so."""

from __future__ import annotations

import re
from collections.abc import Sequence

from stillroom.workbook.inputs import tables
from stillroom.workbook.starting.contents import Entry, Row

EXAMPLE = "example: type your own"
EXAMPLE_COUNT = "example: count yours"
CANNER_LOADS = "7 quarts or 8 to 9 pints: AIB 539 Guide 1"
HEAT_UP = "20-30 min to boil"
PRESSURE = "15 + 5 min to pressure, 20-60 to cool; venting comes on top"
POT = "common practice, no source: eight quarts cook down to about seven jars"
DRYER = "18 lb of snap beans a load, MSU Extension PFS 01600534; count what your trays really take"
CROCK = "5 lb to a gallon, so 25 lb in five gallons: AIB 539 Guide 6"
EXAMPLE_PEOPLE = 4
SETTING_EXAMPLES = {"people": EXAMPLE_PEOPLE, "days planned singly": 7, "weeks after that": 8, "burners": 4}
METRIC_UNITS = {"ft": "m", "lb": "kg"}


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


def hours_rows() -> Sequence[Row]:
    """Hands and stove of an invented week: two hours of an evening, more on the weekend."""
    evenings = dict.fromkeys(("Mon", "Tue", "Wed", "Thu", "Fri"), 3)
    return (
        {
            "What": "hands",
            **evenings,
            "Sat": 10,
            "Sun": 6,
            "Note": f"{EXAMPLE}. Person-hours: two people for an hour are 2",
        },
        {"What": "stove", **dict.fromkeys(evenings, 12), "Sat": 36, "Sun": 20, "Note": f"{EXAMPLE}. Burner-hours"},
    )


def equipment_rows(*, metric: bool) -> Sequence[Row]:
    """A canner, a pressure canner, a big pot, a dryer and a crock, with the loads that are published."""
    quart, pint, half = (
        ("litre jars", "US pint jars", "quarter-litre jars")
        if metric
        else ("quart jars", "pint jars", "half-pint jars")
    )
    pounds, crock, unit = (8.2, 11.3, "kg") if metric else (18, 25, "lb")
    smaller = "no figure published for smaller jars: counted like pints"
    return (
        {
            "Equipment": "canner",
            "Kind": "boiling-water canner",
            "How many": 1,
            "Load": 7,
            "Load unit": quart,
            "Burners": 1,
            "Heat-up min": 30,
            "Cool-down min": 5,
            "Runs overnight": "no",
            "Note": f"{CANNER_LOADS}; {HEAT_UP}",
        },
        {"Equipment": "canner", "Kind": "boiling-water canner", "Load": 9, "Load unit": pint, "Note": CANNER_LOADS},
        {"Equipment": "canner", "Kind": "boiling-water canner", "Load": 9, "Load unit": half, "Note": smaller},
        {
            "Equipment": "pressure canner",
            "Kind": "pressure canner",
            "How many": 1,
            "Load": 7,
            "Load unit": quart,
            "Burners": 1,
            "Heat-up min": 20,
            "Cool-down min": 60,
            "Runs overnight": "no",
            "Note": f"{CANNER_LOADS}; {PRESSURE}",
        },
        {"Equipment": "pressure canner", "Kind": "pressure canner", "Load": 9, "Load unit": pint, "Note": CANNER_LOADS},
        {"Equipment": "pressure canner", "Kind": "pressure canner", "Load": 9, "Load unit": half, "Note": smaller},
        {
            "Equipment": "big pot",
            "Kind": "kettle",
            "How many": 1,
            "Load": 8,
            "Load unit": quart,
            "Burners": 1,
            "Note": f"{EXAMPLE}. {POT}",
        },
        {"Equipment": "big pot", "Kind": "kettle", "Load": 16, "Load unit": pint, "Note": POT},
        {"Equipment": "big pot", "Kind": "kettle", "Load": 32, "Load unit": half, "Note": POT},
        {
            "Equipment": "dryer",
            "Kind": "dryer",
            "How many": 1,
            "Load": pounds,
            "Load unit": unit,
            "Burners": 0,
            "Runs overnight": "yes",
            "Note": f"{EXAMPLE}. {DRYER}",
        },
        {
            "Equipment": "crock",
            "Kind": "crock",
            "How many": 1,
            "Load": crock,
            "Load unit": unit,
            "Burners": 0,
            "Runs overnight": "yes",
            "Note": f"{EXAMPLE}. {CROCK}",
        },
    )


def container_rows(*, metric: bool) -> Sequence[Row]:
    """Jars, freezer tubs, bags and boxes; how many there are is an example to be counted over."""
    us = (
        ("quart jar", "jar", 1, "quart", 42, "regular lid", ""),
        ("pint jar", "jar", 1, "US pint", 48, "regular lid", ""),
        ("freezer pint", "tub", 1, "US pint", 60, None, ""),
        ("dry bag", "bag", 0.25, "lb", 40, None, "size: an example"),
        ("box", "box", 20, "lb", 12, None, "size: an example"),
    )
    litre = (
        ("litre jar", "jar", 1, "L", 42, "jar lid", "counts as a quart for its process"),
        ("half-litre jar", "jar", 0.5, "L", 48, "jar lid", "larger than a pint: processed like a quart"),
        ("pint jar", "jar", 1, "US pint", 12, "jar lid", "US pint of 473 ml, for what is published in pints only"),
        ("half-litre tub", "tub", 0.5, "L", 60, None, ""),
        ("100 g bag", "bag", 0.1, "kg", 40, None, "size: an example"),
        ("10 kg box", "box", 10, "kg", 12, None, "size: an example"),
    )
    return [
        {"Container": name, "Kind": kind, "Holds": holds, "Unit": unit, "On hand": count, "Lid": lid, "Can buy": "no",
         "Note": "; ".join(part for part in (EXAMPLE_COUNT, note) if part)}
        for name, kind, holds, unit, count, lid, note in (litre if metric else us)
    ]  # fmt: skip


def lid_rows(*, metric: bool) -> Sequence[Row]:
    """One kind of lid, used once."""
    name = "jar lid" if metric else "regular lid"
    return (
        {
            "Lid": name,
            "On hand": 72,
            "Can buy": "no",
            "Note": f"{EXAMPLE_COUNT}. A new lid for every jar: AIB 539 Guide 1",
        },
    )


def larder_rows(ingredients: Sequence[Row], crops: frozenset[str], *, metric: bool) -> Sequence[Row]:
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
