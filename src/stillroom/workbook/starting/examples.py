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
SMALLER = "no figure published for smaller jars: counted like pints"
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
    """
    Hands and stove of an invented week: some hours of an evening, more on the weekend.

    A pot may cook while the stove is free, so 4 hours are an evening long enough for sauce to cook down.
    """
    evenings = dict.fromkeys(("Mon", "Tue", "Wed", "Thu", "Fri"), 3)
    return (
        {
            "What": "hands",
            **evenings,
            "Sat": 10,
            "Sun": 6,
            "Note": f"{EXAMPLE}. Person-hours: two people for an hour are 2",
        },
        {
            "What": "stove free",
            **dict.fromkeys(evenings, 4),
            "Sat": 9,
            "Sun": 5,
            "Note": f"{EXAMPLE}. Hours the stove is free, however many burners it has",
        },
    )


PIECES = (
    ("canner", "boiling-water canner", (7, 9, 9), f"{CANNER_LOADS}; {HEAT_UP}", CANNER_LOADS),
    ("pressure canner", "pressure canner", (7, 9, 9), f"{CANNER_LOADS}; {PRESSURE}", CANNER_LOADS),
    ("big pot", "kettle", (8, 16, 32), f"{EXAMPLE}. {POT}", POT),
)
"""Name, kind, loads in quarts, pints and half-pints, and the notes of the first row and of the others."""
TIMES: dict[str, dict[str, Entry]] = {
    "canner": {"Burners": 1, "Heat-up min": 30, "Cool-down min": 5, "Runs overnight": "no"},
    "pressure canner": {"Burners": 1, "Heat-up min": 20, "Cool-down min": 60, "Runs overnight": "no"},
    "big pot": {"Burners": 1},
}


def equipment_rows(*, metric: bool) -> Sequence[Row]:
    """A canner, a pressure canner, a big pot, a dryer and a crock, with the loads that are published."""
    us, litre = ("quart", "pint", "half-pint"), ("litre", "US pint", "quarter-litre")
    rows: list[Row] = []
    for name, kind, loads, first_note, note in PIECES:
        for place, (load, size) in enumerate(zip(loads, litre if metric else us, strict=True)):
            row: dict[str, Entry] = {"Equipment": name, "Kind": kind, "Load": load, "Load unit": f"{size} jars"}
            row |= {"How many": 1, **TIMES[name], "Note": first_note} if place == 0 else {"Note": note}
            rows.append(row | ({"Note": SMALLER} if place == 2 and kind != "kettle" else {}))
    dryer, crock, unit = (8.2, 11.3, "kg") if metric else (18, 25, "lb")
    by_night: dict[str, Entry] = {"How many": 1, "Load unit": unit, "Burners": 0, "Runs overnight": "yes"}
    rows.append({"Equipment": "dryer", "Kind": "dryer", "Load": dryer, **by_night, "Note": f"{EXAMPLE}. {DRYER}"})
    rows.append({"Equipment": "crock", "Kind": "crock", "Load": crock, **by_night, "Note": f"{EXAMPLE}. {CROCK}"})
    return rows


def container_rows(*, metric: bool) -> Sequence[Row]:
    """Jars, freezer tubs, bags and boxes; how many there are is an example to be counted over."""
    us = (
        ("quart jar", "jar", 1, "quart", 42, "regular lid", ""),
        ("pint jar", "jar", 1, "US pint", 48, "regular lid", ""),
        ("half-pint jar", "jar", 0.5, "US pint", 0, "regular lid", ""),
        ("half-gallon jar", "jar", 2, "quart", 0, "regular lid", "for grape juice only"),
        ("freezer pint", "tub", 1, "US pint", 60, None, ""),
        ("dry bag", "bag", 0.25, "lb", 40, None, "size: an example"),
        ("box", "box", 20, "lb", 12, None, "size: an example"),
    )
    litre = (
        ("litre jar", "jar", 1, "L", 42, "jar lid", "counts as a quart for its process"),
        ("half-litre jar", "jar", 0.5, "L", 48, "jar lid", "larger than a pint: processed like a quart"),
        ("pint jar", "jar", 1, "US pint", 12, "jar lid", "US pint of 473 ml, for what is published in pints only"),
        ("half-pint jar", "jar", 0.5, "US pint", 0, "jar lid", "US half-pint of 237 ml"),
        ("half-gallon jar", "jar", 2, "US quart", 0, "jar lid", "US half-gallon of 1.89 L, for grape juice only"),
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
