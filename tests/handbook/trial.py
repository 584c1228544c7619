"""A trial of names: one preserve of a published row, with the name of its food, its own name or its ingredients changed."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from tests.handbook.kitchens import CANNER, CATALOGUE_CONTAINERS, CROCK, POT, household

from stillroom.handbook import catalogue
from stillroom.handbook.catalogue import items_of
from stillroom.handbook.foods import kinds, kinds_named
from stillroom.handbook.jars import JARS, KG_A_POUND, LITRES, QUART_LITRES
from stillroom.handbook.lines import Line, lines
from stillroom.handbook.settle import settle
from stillroom.handbook.tables import table
from stillroom.household.records import Container, Crop, Household, Ingredient, PantryItem, Preserve

WITH = ("carrots", "potatoes", "onions", "green peas")
"""What a mixture is completed with."""
POUNDS_A_QUART = 2.0
"""Where no weight of a jar was published."""
BESIDE = ("ingredient of the row", "synonym")
"""The kinds of sound names that may be of an ingredient beside the food of the row."""
SHARE = re.compile(r"^(?P<name>.*?)(?:\s*[:=]\s*|\s+)(?P<amount>[\d.]+)\s*(?P<unit>[a-z%]*)$")


@dataclass(frozen=True)
class Trial:
    """One row of a trial: what is typed, the published food of its row, and the kind of attack or the source."""

    kind: str
    item: str
    preserve: str
    handbook_food: str
    row_food: str
    ingredients: str = ""
    why: str = ""


def read_trials(path: Path) -> tuple[Trial, ...]:
    """Return the rows of a set of trials."""
    with path.open(encoding="utf-8", newline="") as file:
        return tuple(
            Trial(*(row.get(name) or "" for name in ("kind", "item", "preserve", "handbook_food", "row_food")),
                  row.get("ingredients") or "", row.get("why") or row.get("source") or "")
            for row in csv.DictReader(file)
        )  # fmt: skip


@lru_cache(maxsize=256)
def lines_of(row_food: str) -> tuple[Line, ...]:
    """Return the canned lines of a published food, or of a product where no row has such a food."""
    rows = [row for name in ("process_boiling_water", "process_pressure") for row in table(name)]
    found = dict.fromkeys(row["key"] for row in rows if row["food"] == row_food)
    found = found or dict.fromkeys(row["key"] for row in rows if row["product"] == row_food)
    if not found:
        msg = f"no published row is for {row_food!r}"
        raise KeyError(msg)
    return tuple(lines()[key] for key in found)


def kitchens(trial: Trial) -> Iterator[Household]:
    """Yield the household of a trial for each line of its row."""
    for line in lines_of(trial.row_food):
        yield _kitchen(trial, line)


def planned(given: Household) -> bool:
    """Return whether the preserve of a trial is planned."""
    answer, problems = settle(given)
    return answer.preserves[0].include and not any(one.is_error for one in problems)


def _kitchen(trial: Trial, line: Line) -> Household:
    pounds = line.crop_lb_each or POUNDS_A_QUART * JARS[line.jar] / QUART_LITRES
    entries = items_of(line, pounds)
    container = next(one.name for one in (*CATALOGUE_CONTAINERS, *_JARS) if one.holds_litres == JARS[line.jar])
    main = entries[0]
    beside = _beside(trial, line, entries[1:])
    entries = [main, *(replace(entry, item=trial.item) if entry is beside else entry for entry in entries[1:])]
    name = main.item if beside else trial.item or main.item
    more = [_ingredient(entry.item, entry) for entry in entries[1:]]
    crops = {entry.item: Crop(entry.item, 3) for entry in entries if entry.source == "crop"}
    larder = {entry.item: _stock(entry.item, entry.unit) for entry in entries if entry.source == "pantry"}
    is_crop = main.source != "pantry"
    if is_crop:
        crops[name] = Crop(name, 3, handbook_food=trial.handbook_food or None)
    else:
        larder[name] = PantryItem(name, "kg", handbook_item=trial.handbook_food or None)
    kg = pounds * KG_A_POUND
    items = [Ingredient(name, "crop" if is_crop else "pantry", kg), *more]
    if line.least_kinds > 1:
        items = [Ingredient(name, "crop" if is_crop else "pantry", kg / 8), *_others(trial, line, crops, kg / 8)]
    if line.required:
        items += [Ingredient(extra, "pantry", 0.3) for extra in line.required]
        larder.update({extra: PantryItem(extra, "kg") for extra in line.required})
    items += list(_added(trial, crops, larder, kg))
    made = [Preserve(
        trial.preserve or line.key, line.method, container, handbook_line=line.key,
        equipment=("canner" if line.method == "pressure canned" else "pot",), ingredients=tuple(items),
    )]  # fmt: skip
    if line.acid == "fermented":
        made = _fermented(made[0], name, tuple(_added(trial, crops, larder, 1.0)))
    return household(
        *made, crops=tuple(crops.values()), pantry=tuple(larder.values()), equipment=(POT, CANNER, CROCK),
        containers=(*CATALOGUE_CONTAINERS, *_JARS),
    )  # fmt: skip


def _beside(trial: Trial, line: Line, entries: list[catalogue.CatalogueItem]) -> catalogue.CatalogueItem | None:
    """Return the ingredient beside the food of the row that a sound name is for; None when it is for the food."""
    foods = kinds_named(trial.item)
    if not trial.kind.startswith(BESIDE) or foods & line.foods:
        return None
    return next((entry for entry in entries if kinds_named(entry.item) & foods), None)


_JARS = tuple(Container(name, "jar", litres) for name, litres in JARS.items())


def _fermented(preserve: Preserve, name: str, added: tuple[Ingredient, ...]) -> list[Preserve]:
    """Return kraut to be canned, and the crock it comes from."""
    inner = Preserve(
        "sauerkraut, fermented", "fermented", "freezer pint", handbook_line="sauerkraut, fermented",
        kept_in="refrigerator", equipment=("crock",), include=False,
        ingredients=(Ingredient(name, "crop", 1.0), Ingredient("salt", "pantry", 0.1), *added),
    )  # fmt: skip
    return [replace(preserve, ingredients=(Ingredient(inner.name, "preserve", 2.0),)), inner]


def _others(trial: Trial, line: Line, crops: dict[str, Crop], kg: float) -> Iterator[Ingredient]:
    """Yield two other foods of a mixture, where the trial has none of its own."""
    if trial.ingredients:
        return
    wanted = [food for food in WITH if food in line.foods | line.also and food != trial.row_food][:3]
    for food in wanted:
        crops[food] = Crop(food, 3)
        yield Ingredient(food, "crop", kg)


def _added(trial: Trial, crops: dict[str, Crop], larder: dict[str, PantryItem], kg: float) -> Iterator[Ingredient]:
    """Yield the ingredients of a trial: `name`, or `name: amount unit`; a percentage is of the jar's food."""
    for text in filter(None, (piece.strip() for piece in trial.ingredients.split(";"))):
        match = SHARE.match(text)
        name, amount, unit = (match["name"], float(match["amount"]), match["unit"]) if match else (text, 0.02, "")
        weight = kg * amount / 100 if unit == "%" else amount * {"lb": KG_A_POUND, "g": 0.001}.get(unit, 1.0)
        by_volume = unit in LITRES or unit in ("ml", "mL")
        if by_volume:
            larder[name] = PantryItem(name, "litre")
            yield Ingredient(name, "pantry", amount * LITRES.get(unit, 0.001))
        elif name in kinds() and kinds()[name].group in ("vegetable", "fruit"):
            crops[name] = Crop(name, 3)
            yield Ingredient(name, "crop", weight)
        else:
            larder[name] = PantryItem(name, "kg")
            yield Ingredient(name, "pantry", weight)


def _stock(name: str, unit: str) -> PantryItem:
    return PantryItem(name, "kg" if unit == "lb" else "litre")


def _ingredient(name: str, entry: catalogue.CatalogueItem) -> Ingredient:
    factor = KG_A_POUND if entry.unit == "lb" else LITRES.get(entry.unit, 1.0)
    return Ingredient(name, entry.source, entry.amount * factor * (1 if entry.unit == "lb" else 1.05))
