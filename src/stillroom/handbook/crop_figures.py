"""Published figures of a crop: its density, whole and cut or pressed, and what a row or a plant bears."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from stillroom.handbook.foods import kinds_named
from stillroom.handbook.ingredients import stricter_extra
from stillroom.handbook.names import tokens
from stillroom.handbook.tables import Row, number, table
from stillroom.household.units import POUND_KG, UNITS

WHOLE_REFUSE_PERCENT = 5.0
"""A crop that loses more than this before it is measured has no density as picked: peas, corn and garlic."""
INTO_JARS = frozenset({"bottled lemon juice", "bottled lime juice", "citric acid"})
"""Acids that are measured into each jar (AIB 539, Guide 3, tomatoes), so that they take no room in the pot."""


def crop_kg_per_litre(name: str, handbook_food: str | None) -> float | None:
    """
    Return the density of a crop as picked, in kg per liter, by its name or food; None where only pieces were weighed.

    Source: the rows of *densities* for a plain cup of the raw food.

    >>> crop_kg_per_litre("Blueberry", "berries"), crop_kg_per_litre("plum tomato", "tomato")
    (0.626, None)
    """
    return _whole().get(tokens(name)) or _whole().get(tokens(handbook_food or ""))


def kg_each(name: str, handbook_food: str | None) -> float | None:
    """
    Return what one piece of a crop weighs as picked, in kg, by its name or food; None without a published weight.

    Source: the rows of *weights_each*, a medium one without what is thrown away, brought back to as picked:

        grams / (1 - refuse percent / 100)

    >>> round(kg_each("corn", "sweet corn") * 12 / POUND_KG, 1)  # a dozen ears in the husk, in lb
    7.5
    >>> kg_each("cucumbers", None)
    """
    return _each().get(tokens(name)) or _each().get(tokens(handbook_food or ""))


@cache
def _each() -> dict[tuple[str, ...], float]:
    """Return the weight of one piece of each crop that has one, by the words of its name."""
    return {
        tokens(row["food"]): float(row["grams"]) / 1000 / (1 - float(row["refuse_percent"]) / 100)
        for row in table("weights_each")
    }


def pot_litres_per_kg(name: str, handbook_food: str | None, trimmings_share: float) -> float | None:
    """
    Return the liters that a kilogram of a crop as picked fills in a pot before it boils down; None where not known.

    By the row of *in_the_pot* for its food, or else by the density of the whole crop:

        as picked:  liters of pulp / kg of crop for it        (what was pressed out is in that figure)
        trimmed:    (1 - trimmings share) / density of the cut crop

    23 lb of tomatoes are 7 quarts of pulp, so 46 lb are 14; a quart of chopped onions weighs 1.41 lb.

    >>> round(pot_litres_per_kg("plum tomato", "tomato", 0.09) * 46 * POUND_KG / UNITS["quart"].factor, 2)
    14.0
    >>> round(pot_litres_per_kg("onions", None, 0.1), 4) == round(0.9 / 0.676, 4)
    True
    >>> pot_litres_per_kg("grapes", "grapes", 0.0)
    """
    found = kinds_named(handbook_food or name)
    row = _in_the_pot().get(next(iter(found))) if len(found) == 1 else None
    if row is not None and row["yield_key"]:
        made = next(one for one in table("canned_yield") if one["key"] == row["yield_key"])
        return float(made["jars"]) * UNITS[made["jar"]].factor / (float(made["lb"]) * POUND_KG)
    if row is not None:
        density = float(next(one["kg_per_litre"] for one in table("densities") if one["key"] == row["density_key"]))
        return (1 - trimmings_share) / density
    whole = crop_kg_per_litre(name, handbook_food)
    return (1 - trimmings_share) / whole if whole else None


def into_jars(name: str, handbook_item: str | None) -> bool:
    """
    Return whether a pantry item is measured into each jar: the acids for tomatoes.

    >>> into_jars("lemon juice", "bottled lemon juice"), into_jars("white vinegar 5 %", None)
    (True, False)
    """
    return stricter_extra(handbook_item, name) in INTO_JARS


@cache
def _in_the_pot() -> dict[str, Row]:
    """Return the rows of *in_the_pot* by kind of food."""
    return {row["food"]: row for row in table("in_the_pot")}


@cache
def _whole() -> dict[tuple[str, ...], float]:
    """Return the densities, in kg per liter, of foods measured raw and whole, by the words of the food."""
    found = {}
    for row in table("densities"):
        food, _, state = row["food"].rpartition(", ")
        if state == "raw" and row["measure"] == "cup" and float(row["refuse_percent"]) <= WHOLE_REFUSE_PERCENT:
            found[tokens(food)] = float(row["kg_per_litre"])
    return found


# What published tables say a garden gives: pounds from a row or a plant, and how far apart plants are set.

ROW_FEET = 100.0
"""The published yields of rows are for so many feet."""
INCHES = 12.0


@dataclass(frozen=True)
class Planting:
    """
    The published yield of a crop, in kg as picked: from 100 feet of row, or `by_plant` from one full-grown plant.

    Both ends are None where the table has no figure for the crop as picked; `note` then says why. `inches` are the
    least and greatest distance between plants in the row, None for what is sown.
    """

    food: str
    kg: tuple[float, float] | None
    by_plant: bool
    inches: tuple[float, float] | None
    source: str
    status: str
    note: str

    def row_feet(self, kg: float) -> tuple[float, float] | None:
        """
        Return the feet of row for so much of the crop, least and most; None without a yield or a distance.

            by row:    feet = 100 * kg / kg from 100 feet
            by plant:  feet = plants * inches between plants / 12

        >>> beans = published_planting("green beans", None)
        >>> beans.row_feet(60 * POUND_KG)
        (40.0, 50.0)
        """
        if self.kg is None:
            return None
        low, high = self.kg
        if not self.by_plant:
            return ROW_FEET * kg / high, ROW_FEET * kg / low
        if self.inches is None:
            return None
        return kg / high * self.inches[0] / INCHES, kg / low * self.inches[1] / INCHES

    def plants(self, kg: float) -> tuple[float, float] | None:
        """
        Return the number of plants for so much of the crop, least and most; None without a yield or a distance.

            by row:    plants = feet of row * 12 / inches between plants
            by plant:  plants = kg / kg from a plant

        >>> cabbage, blueberries = published_planting("cabbage", None), published_planting("blueberries", "berries")
        >>> cabbage.plants(30 * POUND_KG), blueberries.plants(24 * POUND_KG)
        ((20.0, 20.0), (4.0, 6.0))
        """
        if self.kg is None:
            return None
        if self.by_plant:
            return kg / self.kg[1], kg / self.kg[0]
        feet = self.row_feet(kg)
        if feet is None or self.inches is None:
            return None
        return feet[0] * INCHES / self.inches[1], feet[1] * INCHES / self.inches[0]


def published_planting(name: str, handbook_food: str | None) -> Planting | None:
    """
    Return the published yield of a crop by its name and food; None where no table has one.

    Where a food has several rows, such as leafy greens, the name must have the words of one.

    >>> published_planting("spinach", "leafy greens").source[:23], published_planting("leafy greens", None)
    ('Kansas State University', None)
    """
    kinds = kinds_named(handbook_food or name)
    words = {*tokens(name), *tokens(handbook_food or "")}
    found = [
        row
        for row in table("planting")
        if {row["food"]} == kinds and (not row["words"] or words.issuperset(tokens(row["words"])))
    ]
    if len(found) != 1:
        return None
    (row,) = found
    low, high = number(row["lb_low"]), number(row["lb_high"])
    near, far = number(row["inches_low"]), number(row["inches_high"])
    return Planting(
        food=row["food"],
        kg=None if low is None or high is None else (low * POUND_KG, high * POUND_KG),
        by_plant=row["per"] == "plant",
        inches=None if near is None or far is None else (near, far),
        source=row["source"],
        status=row["status"],
        note=row["note"],
    )
