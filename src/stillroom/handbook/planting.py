"""What published tables say a garden gives: pounds from a row or a plant, and how far apart plants are set."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.handbook.foods import kinds_named
from stillroom.handbook.names import tokens
from stillroom.handbook.tables import number, table
from stillroom.household.units import POUND_KG

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
