"""
Attacks written by hand, each one thing that somebody might try.

Each gives a household and what must come of it: `REFUSED` (nothing is planned), or the least minutes, the pounds and
whether it must be marked as an own recipe. The figures were typed from the publications, not asked of the handbook.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from tests.handbook.kitchens import CROPS, DAY, JARS, LEMON, PANTRY, beans, crop, household, juice, other, pantry

from stillroom.handbook.settle import settle
from stillroom.household.records import Container, Crop, Household, Ingredient, PantryItem, PlanLine, Preserve

REFUSED = None


@dataclass(frozen=True)
class Least:
    """What may be planned at the least."""

    minutes: float
    pounds: float | None = None
    own: bool = False


def with_crops(*names: str, food: str | None = None):
    """The crops of the test kitchen and some more; `food` is what is typed under Handbook food."""
    return (*CROPS, *(Crop(name, 3, handbook_food=food) for name in names))


def under_pressure(**changes: object) -> Preserve:
    """A preserve for the pressure canner."""
    facts: dict[str, object] = {
        "name": "thing",
        "method": "pressure canned",
        "container": "quart",
        "equipment": ("canner",),
    }
    return Preserve(**(facts | changes))


def in_water(**changes: object) -> Preserve:
    """A preserve for boiling water."""
    facts: dict[str, object] = {
        "name": "thing",
        "method": "boiling-water canned",
        "container": "quart",
        "equipment": ("pot",),
    }
    return Preserve(**(facts | changes))


def own_in_water(item: str, minutes: float = 120.0, **changes: object) -> Preserve:
    """An own recipe of one crop in boiling water, for a long time."""
    return in_water(source="a neighbour", minutes_typed=minutes, ingredients=(crop(item),), **changes)


def fixed(name: str, amount: float = 7.0) -> tuple[PlanLine, ...]:
    """A fixed line on the first day."""
    return (PlanLine(DAY, 1, name, fix=amount, where="Plan!J4"),)


def frozen(name: str, item: str) -> Preserve:
    """A preserve in the freezer, to be an ingredient of another."""
    return Preserve(
        name, "frozen", "tub", kept_in="freezer", source="a neighbour", include=False, ingredients=(crop(item, 0.5),)
    )


VINEGAR = pantry("vinegar (5%)", 0.6)
PICKLES = in_water(handbook_line="quick dill pickles, raw pack, quart", ingredients=(crop("cucumbers", 0.9),))
WHOLE = "whole tomatoes in water, raw pack, quart"
PLASTIC = Container("plastic jar", "jar", JARS[0].holds_litres)
LITTLE = Container("quart jar", "jar", 0.3)
BOX_WITH_LID = Container("airtight box", "box", 1.0)
MAYONNAISE = Container("mayonnaise jar", "jar", JARS[0].holds_litres)

BY_HAND: dict[str, tuple[Household, Least | None]] = {
    # the wrong way for the food
    "beans in boiling water for three hours": (household(own_in_water("snap beans", 180.0)), REFUSED),
    "a beans line in boiling water": (household(beans(method="boiling-water canned", equipment=("pot",))), REFUSED),
    "a pressure line in the pot": (household(beans(equipment=("pot",))), REFUSED),
    "a way in other words": (household(juice(method="water bath")), REFUSED),
    "a pressure canner first and a pot last": (household(beans(equipment=("canner", "pot"))), REFUSED),
    "a pressure canner that is a saucepan": (household(beans(equipment=("saucepan",))), REFUSED),
    "figs without acid in boiling water": (household(own_in_water("figs")), REFUSED),
    "ham in tomato juice": (household(juice(ingredients=(crop("plum tomato"), LEMON, pantry("ham", 0.05)))), REFUSED),
    # altitude just over a boundary
    "juice at 1,000 ft": (household(juice(), altitude_ft=1_000), Least(40)),
    "juice an inch over 1,000 ft": (household(juice(), altitude_ft=1_000 + 1 / 12), Least(45)),
    "juice at 305 m": (household(juice(), altitude_ft=305 / 0.3048), Least(45)),
    "juice at 915 m": (household(juice(), altitude_ft=915 / 0.3048), Least(50)),
    "juice at 1,829 m": (household(juice(), altitude_ft=1_829 / 0.3048), Least(55)),
    "juice below the sea": (household(juice(), altitude_ft=-200), Least(40)),
    "juice above the table": (household(juice(), altitude_ft=10_000.01), REFUSED),
    "juice at no altitude": (household(juice(), altitude_ft=None), REFUSED),
    "juice at an altitude that is no number": (household(juice(), altitude_ft=float("nan")), REFUSED),
    "juice at an endless altitude": (household(juice(), altitude_ft=float("inf")), REFUSED),
    "beans at 610 m by a dial": (household(beans(), altitude_ft=610 / 0.3048), Least(20, 12)),
    "beans at 305 m by a weight": (household(beans(), altitude_ft=305 / 0.3048, gauge="weighted"), Least(20, 15)),
    "beans above the dial": (household(beans(), altitude_ft=8_000.5), REFUSED),
    "beans without a gauge": (household(beans(), gauge=None), REFUSED),
    # jars
    "juice in a jar between pint and quart": (household(juice(container="24 oz jar")), Least(40)),
    "a pint line in a jar between pint and quart": (
        household(juice(container="24 oz jar", handbook_line="tomato juice, hot pack, pint")), REFUSED,
    ),
    "a quart in the pint line": (household(juice(handbook_line="tomato juice, hot pack, pint")), REFUSED),
    "juice in half-gallons": (household(juice(container="half-gallon")), REFUSED),
    "juice in a plastic jar": (household(juice(container="plastic jar"), containers=(*JARS, PLASTIC)), REFUSED),
    "beans in a mayonnaise jar": (
        household(beans(container="mayonnaise jar", handbook_line="green beans, raw pack, quart"), containers=(*JARS, MAYONNAISE)),
        REFUSED,
    ),
    "a saucepan that holds four little jars called quart jar": (
        household(
            beans(equipment=("saucepan",)), containers=(*JARS, LITTLE),
            equipment=(dataclasses.replace(household().equipment[2], loads=(household().equipment[1].loads[0],)),),
        ),
        REFUSED,
    ),
    # minutes
    "one minute less": (household(juice(minutes_typed=39.0)), REFUSED),
    "a hundredth less": (household(beans(minutes_typed=19.99)), REFUSED),
    "minutes that are no number": (household(juice(minutes_typed=float("nan"))), REFUSED),
    "no minutes at all": (household(juice(minutes_typed=0.0)), REFUSED),
    # acid
    "half the lemon juice": (
        household(juice(ingredients=(crop("plum tomato"), pantry("bottled lemon juice", 1, "tablespoon")))), REFUSED,
    ),
    "teaspoons for tablespoons": (
        household(juice(ingredients=(crop("plum tomato"), pantry("bottled lemon juice", 2, "teaspoon")))), REFUSED,
    ),
    "fresh lemon juice": (household(juice(ingredients=(crop("plum tomato"), pantry("lemon juice", 0.1)))), REFUSED),
    "vinegar of no stated strength": (household(juice(ingredients=(crop("plum tomato"), pantry("vinegar", 0.2)))), REFUSED),
    "pickles with a third of the vinegar": (
        household(dataclasses.replace(PICKLES, ingredients=(crop("cucumbers", 0.9), pantry("vinegar (5%)", 0.1)))), REFUSED,
    ),
    "tomatoes under pressure without acid": (
        household(
            juice(
                method="pressure canned", equipment=("canner",), handbook_line="tomato juice, hot pack, quart, pressure",
                ingredients=(crop("plum tomato"),),
            )
        ),
        REFUSED,
    ),
    # names
    "beans in capitals": (household(own_in_water("SNAP BEANS"), crops=with_crops("SNAP BEANS")), REFUSED),
    "beans with accents": (household(own_in_water("snáp béans"), crops=with_crops("snáp béans")), REFUSED),
    "an onion with an Armenian letter": (
        household(own_in_water("tomato օnion"), crops=with_crops("tomato օnion")), REFUSED,
    ),
    "an onion that begins with a nought": (
        household(own_in_water("tomato 0nions"), crops=with_crops("tomato 0nions")), REFUSED,
    ),
    "a pumpkin said to be an apple": (
        household(own_in_water("pumpkin pie"), crops=with_crops("pumpkin pie", food="apples")), REFUSED,
    ),
    "an avocado by another name": (household(own_in_water("alligator pear"), crops=with_crops("alligator pear")), REFUSED),
    "a name nobody knows": (household(own_in_water("wurzel"), crops=with_crops("wurzel")), REFUSED),
    "white peaches": (
        household(
            in_water(handbook_line="peaches, hot pack, quart", ingredients=(crop("white peaches"),)),
            crops=with_crops("white peaches"),
        ),
        REFUSED,
    ),
    # own recipes that imitate a line
    "an own juice called by the handbook's name": (
        household(juice(name="tomato juice, hot pack, quart", handbook_line=None, source="aunt", minutes_typed=40.0)), REFUSED,
    ),
    "an own juice for the longest tomato time": (
        household(juice(handbook_line=None, source="aunt", minutes_typed=85.0)), Least(85, own=True),
    ),
    "own beans under pressure at their own minutes": (
        household(under_pressure(source="aunt", minutes_typed=24.0, ingredients=(crop("snap beans"),))), REFUSED,
    ),
    "own beans under pressure for long enough": (
        household(under_pressure(source="aunt", minutes_typed=25.0, ingredients=(crop("snap beans"),))), Least(25, 11, own=True),
    ),
    "a source of blanks": (household(juice(handbook_line=None, source="  ", minutes_typed=90.0)), REFUSED),
    # rows bent to other food
    "a soup of corn and no onions at all": (
        household(
            under_pressure(handbook_line="soup, hot pack, quart", ingredients=(crop("sweet corn"), crop("onions", 0.0)))
        ),
        REFUSED,
    ),
    "beef by the row for stock": (
        household(under_pressure(handbook_line="beef stock, hot pack, quart", ingredients=(pantry("ground beef", 0.9),))),
        REFUSED,
    ),
    "pumpkin spread by the row for cubes": (
        household(
            under_pressure(
                name="pumpkin spread", handbook_line="pumpkin or winter squash cubes, hot pack, quart",
                ingredients=(crop("pumpkin"),),
            )
        ),
        REFUSED,
    ),
    "pumpk1n pur33": (
        household(
            under_pressure(
                name="pumpk1n pur33", handbook_line="pumpkin or winter squash cubes, hot pack, quart",
                ingredients=(crop("pumpkin"),),
            )
        ),
        REFUSED,
    ),
    "flour in soup": (
        household(
            under_pressure(
                handbook_line="soup, hot pack, quart", ingredients=(crop("carrots"), crop("potatoes"), pantry("flour", 0.02))
            )
        ),
        REFUSED,
    ),
    "summer squash alone": (
        household(under_pressure(source="aunt", minutes_typed=120.0, ingredients=(crop("zucchini"),))), REFUSED,
    ),
    # what was frozen or dried
    "thawed crop into a whole pack": (
        household(in_water(handbook_line=WHOLE, ingredients=(crop("plum tomato", from_frozen=True), LEMON))), REFUSED,
    ),
    "thawed crop into a whole pack by way of another preserve": (
        household(
            in_water(handbook_line=WHOLE, ingredients=(other("bags of tomatoes"), LEMON)), frozen("bags of tomatoes", "plum tomato")
        ),
        REFUSED,
    ),
    "thawed crop into juice": (
        household(juice(ingredients=(crop("plum tomato", 1.5, from_frozen=True), LEMON))), Least(40),
    ),
    "mashed pumpkin from the freezer into cubes": (
        household(
            under_pressure(
                handbook_line="pumpkin or winter squash cubes, hot pack, quart", ingredients=(other("bags of pumpkin"),)
            ),
            frozen("bags of pumpkin", "pumpkin"),
        ),
        REFUSED,
    ),
    # fixed lines
    "a fixed line for what is refused": (
        household(own_in_water("snap beans", include=False), plan_lines=fixed("thing")), REFUSED,
    ),
    "a fixed line of none for what is refused": (
        household(own_in_water("snap beans", include=False), plan_lines=fixed("thing", 0.0)), REFUSED,
    ),
    # the shelf
    "kraut in a closed jar on the shelf": (
        household(
            Preserve(
                "thing", "fermented", "quart", source="aunt", kept_in="shelf",
                ingredients=(crop("cabbage", 2.27), pantry("salt", 3, "tablespoon")),
            )
        ),
        REFUSED,
    ),
    "roots in an airtight box in the cellar": (
        household(
            Preserve("thing", "root cellar", "airtight box", source="aunt", kept_in="cellar", ingredients=(crop("carrots", 5.0),)),
            containers=(*JARS, BOX_WITH_LID),
        ),
        REFUSED,
    ),
    "own kraut with half the salt": (
        household(
            Preserve(
                "thing", "fermented", "quart", source="aunt", kept_in="refrigerator",
                ingredients=(crop("cabbage", 2.27), pantry("salt", 1.5, "tablespoon")),
            )
        ),
        REFUSED,
    ),
    "beans dried for an hour": (
        household(
            Preserve(
                "thing", "dried", "bag", source="aunt", minutes_typed=60.0, kept_in="shelf", equipment=("dryer",),
                ingredients=(crop("snap beans", 2.0),),
            )
        ),
        REFUSED,
    ),
    # larder
    "salt pork said to be salt": (
        household(
            juice(ingredients=(crop("plum tomato"), LEMON, Ingredient("salt pork", "pantry", 0.1))),
            pantry=(*PANTRY, PantryItem("salt pork", "kg", handbook_item="salt")),
        ),
        REFUSED,
    ),
    "lemon juice that is fresh and said to be bottled": (
        household(
            juice(ingredients=(crop("plum tomato"), Ingredient("fresh lemon juice", "pantry", 0.1))),
            pantry=(*PANTRY, PantryItem("fresh lemon juice", "litre", handbook_item="bottled lemon juice")),
        ),
        REFUSED,
    ),
}  # fmt: skip
"""Name of the attack: the household, and what must come of it."""


def fence_held_by_hand(name: str) -> list[str]:
    """Settle one of them, and say what went wrong; empty when the fence held."""
    given, must = BY_HAND[name]
    answer, problems = settle(given)
    stopped = any(problem.is_error for problem in problems)
    planned = () if stopped else answer.planned()
    if must is REFUSED:
        return [f"{item.name} is planned: {item.process_text}" for item in planned]
    if not planned:
        return [f"refused: {[str(problem) for problem in problems if problem.is_error]}"]
    item = planned[0]
    wrong = [] if item.process_minutes >= must.minutes else [f"{item.process_minutes} min"]
    wrong += [] if item.pressure_lb == must.pounds else [f"{item.pressure_lb} lb"]
    return wrong + ([] if item.own_recipe == must.own else ["own recipe not marked"])
