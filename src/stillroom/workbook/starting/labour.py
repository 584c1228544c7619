"""
How long work takes where nobody has published it: common practice, no source, for a household to type over.

The few figures that were written down from experience: 60 to 90 minutes to wash, scald, peel and core a canner load of
tomatoes (22 lb), 2 to 3 hours to snap a bushel (30 lb) of beans, 2 to 4 to shell a bushel of peas, 2 to 3 to husk,
blanch and cut a bushel (35 lb) of corn, 2 to 5 hours of one burner to cook 35 to 46 lb of tomatoes down to sauce.
Extension tables of labour leave it out; a household's own record is better than any of these.
"""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.handbook.catalogue import CataloguePreserve

HANDS_MINUTES_A_LB = {
    "tomato": 3.4,
    "snap beans": 5.0,
    "sweet corn": 4.3,
    "green peas": 6.0,
    "cabbage": 2.0,
    "berries": 1.5,
    "strawberries": 2.5,
    "potatoes": 3.0,
}
OTHER_HANDS_MINUTES_A_LB = 4.0
CELLAR_HANDS_MINUTES_A_LB = 0.5
FILLING_MINUTES_EACH = 1.0
"""Fill, wipe, close and later label one container."""
CANNER_HANDS_MINUTES = 15.0
"""Fill the canner, watch it, lift the jars out."""
BLANCHING_MINUTES_A_LB = 6.0
"""8 to 12 lb an hour go through a gallon kettle, derived from MSU Michigan Fresh HNI18."""
NOT_BLANCHED = ("sweet peppers", "hot peppers", "tomatoes", "apples", "peaches", "pears", "berries", "cherries")
COOKING_MINUTES = {
    "tomato juice": 40,
    "tomato and vegetable juice": 45,
    "tomato sauce": 210,
    "tomato ketchup": 240,
    "spaghetti sauce": 210,
    "crushed tomatoes": 20,
    "chile salsa": 25,
    "tomato paste salsa": 25,
    "applesauce": 40,
    "grape juice": 40,
    "pickled beets": 40,
}
"""Minutes of one burner a load, in the big pot, before the jars are filled."""
NOTE = "hands and stove: common practice, no source; type your own"


@dataclass(frozen=True)
class Labour:
    """Minutes for one preserve: of hands each and a load, of a burner each and a load; None where there is none."""

    hands_each: float
    hands_load: float | None = None
    stove_each: float | None = None
    stove_load: float | None = None


def labour(preserve: CataloguePreserve) -> Labour:
    """The minutes of common practice for one preserve of the catalogue."""
    crops = [item for item in preserve.items if item.source == "crop"]
    if preserve.way == "cellared":
        return Labour(sum(item.amount for item in crops) * CELLAR_HANDS_MINUTES_A_LB)
    minutes = sum(item.amount * HANDS_MINUTES_A_LB.get(item.item, OTHER_HANDS_MINUTES_A_LB) for item in crops)
    hands = float(round(minutes + FILLING_MINUTES_EACH))
    if preserve.way == "frozen":
        raw = any(word in preserve.line for word in NOT_BLANCHED)
        pounds = sum(item.amount for item in crops)
        return Labour(hands, stove_each=None if raw else float(round(pounds * BLANCHING_MINUTES_A_LB)))
    cooked = next((minutes for words, minutes in COOKING_MINUTES.items() if preserve.line.startswith(words)), None)
    canned = preserve.way.endswith("canned")
    return Labour(hands, CANNER_HANDS_MINUTES if canned else None, None, float(cooked) if cooked and canned else None)
