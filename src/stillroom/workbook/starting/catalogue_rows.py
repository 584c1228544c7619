"""Rows of Crops, Preserves and Ingredients made of the handbook's catalogue, each with the source of its figures."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

from stillroom.handbook.catalogue import CatalogueCrop, CataloguePreserve, crops, preserves
from stillroom.handbook.lines import lines
from stillroom.handbook.rows import table
from stillroom.household.units import POUND_KG
from stillroom.workbook.starting import metric as metric_measures
from stillroom.workbook.starting.contents import Row
from stillroom.workbook.starting.labour import labour
from stillroom.workbook.starting.sources import short

REFUSE_FOODS = {
    "tomato": "Tomatoes, red, ripe, raw, year round average",
    "snap beans": "Beans, snap, green, raw",
    "sweet corn": "Corn, sweet, yellow, raw",
    "green peas": "Peas, green, raw",
    "carrots": "Carrots, raw",
    "beets": "Beets, raw",
    "cabbage": "Cabbage, raw",
    "cucumbers": "Cucumber, with peel, raw",
    "sweet peppers": "Peppers, sweet, green, raw",
    "hot peppers": "Peppers, hot chili, green, raw",
    "onions": "Onions, raw",
    "broccoli": "Broccoli, raw",
    "apples": "Apples, raw, with skin",
    "peaches": "Peaches, raw",
    "strawberries": "Strawberries, raw",
    "winter squash": "Squash, winter, butternut, raw",
    "summer squash": "Squash, summer, zucchini, includes skin, raw",
    "okra": "Okra, raw",
}
"""The food of the nutrient tables whose refuse stands for a crop's trimmings."""
REFUSE_SOURCE = "trimmings: USDA SR"
MEMORY = "from memory: confirm before use"
SPARE_WORDS = (", hot pack", ", raw pack")


@lru_cache(maxsize=1)
def chosen() -> tuple[CataloguePreserve, ...]:
    """
    Every line of the handbook whose published weight of crop is known, in the order of the crops.

    A line without a published weight is not among them, because no amount is made up; it stands in the list that
    *Handbook line* chooses from. What most households do not make stands at Make = no.
    """
    grown = {crop.name: place for place, crop in enumerate(crops())}
    found = [
        preserve
        for preserve in preserves()
        if all(item.item in grown for item in preserve.items if item.source == "crop")
    ]
    return tuple(sorted(found, key=lambda preserve: grown.get(preserve.items[0].item, len(grown))))


@lru_cache(maxsize=1)
def names() -> Mapping[str, str]:
    """
    What the household calls each line: without its pack where one pack is the usual one, else the line in full.

    >>> names()["tomato juice, hot pack, quart"], names()["green beans, hot pack, quart"]
    ('tomato juice, quart', 'green beans, hot pack, quart')
    """
    usual: dict[str, CataloguePreserve] = {}
    for preserve in chosen():
        known = usual.setdefault(short_name(preserve), preserve)
        if preserve.make and not known.make:
            usual[short_name(preserve)] = preserve
    short = {preserve.line: name for name, preserve in usual.items()}
    return {preserve.line: short.get(preserve.line, preserve.name) for preserve in chosen()}


def short_name(preserve: CataloguePreserve) -> str:
    """The handbook line without its pack."""
    name = preserve.name
    for words in SPARE_WORDS:
        name = name.replace(words, "")
    return name


def own_name(preserve: CataloguePreserve, *, metric: bool) -> str:
    """What the household calls a preserve, with the jars it has."""
    name = names()[preserve.line]
    if not metric:
        return name
    container = metric_measures.swap(preserve).container
    if container == "litre jar":
        return name.replace(", quart", ", litre")
    return name.replace(", pint", ", half litre") if container == "half-litre jar" else name


def crop_rows(*, metric: bool) -> Sequence[Row]:
    """Every crop with its keeping days, bushel and trimmings."""
    return [crop_row(crop, metric=metric) for crop in crops()]


def crop_row(crop: CatalogueCrop, *, metric: bool) -> Row:
    """One crop; the note says where each figure was read."""
    bushel = crop.bushel_lb
    share = refuse_share(crop.name)
    notes = [
        short_source(crop.source),
        REFUSE_SOURCE if share is not None else "",
        MEMORY if crop.status == "memory" else "",
        crop.note,
    ]
    return {
        "Crop": crop.name,
        "Handbook food": crop.handbook_food,
        "Keeps days": crop.keeps_days,
        "Bushel weighs": round(bushel * POUND_KG, 1) if bushel and metric else bushel,
        "Unit": "kg" if metric else "lb",
        "May be frozen whole": "yes" if crop.may_be_frozen_whole else "no",
        "Trimmings share": share,
        "Note": "; ".join(note for note in notes if note),
    }


def short_source(source: str) -> str:
    """
    The sources of a crop's figures, the first publication of each.

    >>> short_source("keeps: MSU Extension; bushel: AIB 539, Guide 4; MSU Extension PFS 01600704")
    'keeps: MSU; bushel: AIB 539, Guide 4'
    """
    pieces = re.split(r"; (?=bushel: )", source)
    return "; ".join(re.split(r"; | = | \(", short(piece))[0] for piece in pieces)


def refuse_share(food: str) -> float | None:
    """The share of a food that is refuse, by the nutrient tables; None where no row stands for it."""
    name = REFUSE_FOODS.get(food)
    found = next((row for row in table("densities") if row["food"] == name), None)
    return float(found["refuse_percent"]) / 100 if found and found["refuse_percent"] else None


def preserve_rows(equipment: Mapping[str, str], *, metric: bool, pressure: bool) -> Sequence[Row]:
    """
    Every chosen preserve, ready to be made.

    `equipment` names the household's piece of each kind; without a gauge for `pressure` what is pressure canned stands
    at no.
    """
    return [preserve_row(preserve, equipment, metric=metric, pressure=pressure) for preserve in chosen()]


def preserve_row(preserve: CataloguePreserve, equipment: Mapping[str, str], *, metric: bool, pressure: bool) -> Row:
    """One preserve, with where its directions come from and what is only common practice."""
    work = labour(preserve)
    make = preserve.make and (pressure or preserve.way != "pressure canned")
    swapped = metric_measures.swap(preserve)
    pieces = [equipment["kettle"]] if work.stove_load else []
    pieces += [equipment[preserve.equipment_kind]] if preserve.equipment_kind else []
    memory = MEMORY if preserve.status == "memory" else ""
    return {
        "Preserve": own_name(preserve, metric=metric),
        "Way": preserve.way,
        "Container": swapped.container if metric else preserve.container,
        "Handbook line": swapped.line if metric else preserve.line,
        "Source": short(preserve.source),
        "Make": "yes" if make else "no",
        "Hands min each": round(work.hands_each * (swapped.share if metric else 1.0)),
        "Hands min a load": work.hands_load,
        "Stove min each": work.stove_each,
        "Stove min a load": work.stove_load,
        "Equipment": ", ".join(pieces) or None,
        "Kept in": preserve.kept_in,
        "Note": "; ".join(note for note in (memory, preserve.note) if note) or None,
    }


def ingredient_rows(*, metric: bool) -> Sequence[Row]:
    """What one container of each chosen preserve takes; the note says whose yield it is."""
    called = {preserve.name: own_name(preserve, metric=metric) for preserve in chosen()}
    rows: list[Row] = []
    for preserve in chosen():
        share = metric_measures.swap(preserve).share
        for place, item in enumerate(preserve.items):
            number, unit = item.amount, item.unit
            if metric:
                number, unit = metric_measures.amount(item, share, further=place > 0)
            rows.append(
                {
                    "Preserve": called[preserve.name],
                    "Item": called.get(item.item, item.item) if item.source == "preserve" else item.item,
                    "Amount each": number,
                    "Unit": unit or None,
                    "May be from frozen": "yes" if item.from_frozen else None,
                    "Note": short(preserve.source),
                }
            )
    return rows


def line_rows() -> Sequence[Row]:
    """Every handbook line, for the drop-down of Preserves."""
    return [{"Handbook line": line.key, "Way": line.way, "From": short(line.source)} for line in lines().values()]
