"""The published density of a whole crop."""

from __future__ import annotations

from functools import cache

from stillroom.handbook.names import tokens
from stillroom.handbook.tables import table

WHOLE_REFUSE_PERCENT = 5.0
"""A crop that loses more than this before it is measured has no density as picked: peas, corn and garlic."""


def crop_kg_per_litre(name: str, handbook_food: str | None) -> float | None:
    """
    Return the density of a crop as picked, in kg per liter, by its name or food; None where only pieces were weighed.

    Source: the rows of *densities* for a plain cup of the raw food.

    >>> crop_kg_per_litre("Blueberry", "berries"), crop_kg_per_litre("plum tomato", "tomato")
    (0.626, None)
    """
    return _whole().get(tokens(name)) or _whole().get(tokens(handbook_food or ""))


@cache
def _whole() -> dict[tuple[str, ...], float]:
    """Return the densities, in kg per liter, of foods measured raw and whole, by the words of the food."""
    found = {}
    for row in table("densities"):
        food, _, state = row["food"].rpartition(", ")
        if state == "raw" and row["measure"] == "cup" and float(row["refuse_percent"]) <= WHOLE_REFUSE_PERCENT:
            found[tokens(food)] = float(row["kg_per_litre"])
    return found
