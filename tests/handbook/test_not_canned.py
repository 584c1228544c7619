"""The fence of what is not canned: cellar, drying, fermenting; nothing is free by its source alone."""

from __future__ import annotations

import dataclasses

import pytest
from tests.handbook.kitchens import CROPS, PANTRY, crop, group, household, pantry

from stillroom.handbook.settle import settle
from stillroom.household.records import Container, Crop, PantryItem, Preserve

ITEMS = (*PANTRY, PantryItem("olive oil", "litre"), PantryItem("honey", "kg"))
MORE = ("salmon", "pork", "beef", "chicken", "eggs", "napa cabbage", "radishes", "sliced potatoes", "glorp")
HOME_CROPS = (*CROPS, *(Crop(name, 3) for name in MORE))


def refused(preserve: Preserve, **facts: object) -> list[str]:
    """The groups of problems that keep a preserve out of the plan."""
    _, problems = settle(household(preserve, crops=HOME_CROPS, pantry=ITEMS, **facts))
    return sorted({group(problem) for problem in problems if problem.is_error})


def made(name: str, method: str, container: str, *items: object, **changes: object) -> Preserve:
    """Something of the household's own with a source, as its method is kept unless told."""
    places = {"root cellar": "cellar", "dried": "shelf", "frozen": "freezer"}
    facts = {"source": "aunt", "kept_in": places.get(method, "refrigerator"), "where": "Preserves!A7"}
    return Preserve(name, method, container, ingredients=items, **(facts | changes))


# ------------------------------------------------------------------------------------------------ cellar


def test_raw_produce_with_a_cellaring_row_is_free_in_an_open_box():
    potatoes = made("potatoes in sand", "root cellar", "box", crop("potatoes", 9.0), source=None, keeps_months=12.0)
    answer, problems = settle(household(potatoes, altitude_ft=None, gauge=None))
    found = answer.preserves[0]
    assert ([problem.kind for problem in problems], found.keeps_months, found.own_recipe) == (
        ["longer than it keeps"], 6, False,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("name", "items"),
    [
        ("salmon in the crock", (crop("salmon"),)),
        ("raw pork", (crop("pork"),)),
        ("eggplant", (crop("zucchini"),)),
        ("glorp in sand", (crop("glorp"),)),
        ("tomatoes and ham", (crop("potatoes"), pantry("ham", 0.2))),
        ("potatoes in oil", (crop("potatoes"), pantry("olive oil", 0.2))),
        ("potatoes under oil", (crop("potatoes"),)),
        ("cooked potatoes", (crop("potatoes"),)),
        ("boiled potatoes", (crop("potatoes"),)),
        ("pickled beets", (crop("beets"),)),
        ("boxed", (crop("sliced potatoes"),)),
        ("nothing", ()),
    ],
)
def test_nothing_else_is_cellared(name, items):
    assert refused(made(name, "root cellar", "box", *items)) == ["cellaring not published"]


@pytest.mark.parametrize("container", ["open crock", "pint", "tub", "bag"])
def test_what_is_cellared_lies_in_an_open_box(container):
    assert refused(made("potatoes", "root cellar", container, crop("potatoes"))) == ["unsealed on the shelf"]
    assert refused(made("salmon", "root cellar", container, crop("salmon"))) == [
        "cellaring not published", "unsealed on the shelf",
    ]  # fmt: skip


def test_a_cellaring_line_is_for_raw_produce_too():
    line = made("potatoes", "root cellar", "box", crop("potatoes"), handbook_line="potatoes, root cellar")
    assert refused(line) == []
    assert refused(dataclasses.replace(line, name="roasted potatoes")) == ["cellaring not published"]


@pytest.mark.parametrize("method", ["refrigerated", "fermented"])
@pytest.mark.parametrize("container", ["open crock", "box", "pint"])
@pytest.mark.parametrize("place", ["shelf", "cellar"])
def test_garlic_under_oil_stands_nowhere_but_in_the_cold(method, container, place):
    under_oil = made(
        "garlic under oil", method, container, crop("garlic", 0.2), pantry("olive oil", 0.3), kept_in=place
    )
    assert "unsealed on the shelf" in refused(under_oil)
    assert refused(dataclasses.replace(under_oil, method="frozen", kept_in="freezer", container="tub")) == []


# ------------------------------------------------------------------------------------------------ dried


@pytest.mark.parametrize("container", ["box", "bag", "pint"])
@pytest.mark.parametrize("item", ["beef", "salmon", "chicken", "eggs"])
@pytest.mark.parametrize("place", ["shelf", "cellar", "refrigerator", "freezer"])
def test_meat_fish_and_eggs_are_not_dried(container, item, place):
    jerky = made("jerky", "dried", container, crop(item, 0.3), minutes_typed=1200.0, kept_in=place)
    assert refused(jerky) == ["drying not published"]


def test_what_no_row_dries_is_not_dried_but_for_the_freezer():
    strange = made("dried glorp", "dried", "box", crop("glorp", 0.3), minutes_typed=1200.0)
    assert refused(strange) == ["drying not published"]
    assert refused(dataclasses.replace(strange, kept_in="refrigerator")) == ["drying not published"]
    assert refused(dataclasses.replace(strange, kept_in="freezer")) == []
    in_oil = made("in oil", "dried", "pint", crop("plum tomato"), pantry("olive oil", 0.1), minutes_typed=1200.0)
    assert refused(in_oil) == ["drying not published"]


def test_an_open_box_does_not_free_from_the_hours():
    short = made("dried peppers", "dried", "box", crop("sweet peppers", 0.3), minutes_typed=60.0)
    assert refused(short) == ["unsealed on the shelf"]
    assert refused(dataclasses.replace(short, minutes_typed=480.0)) == []


def test_herbs_are_dried_by_themselves():
    herbs = made("dried basil", "dried", "bag", pantry("fresh basil", 0.1), minutes_typed=60.0)
    items = (*ITEMS, PantryItem("fresh basil", "litre"))
    for minutes, found in ((60.0, []), (59.0, ["unsealed on the shelf"])):
        _, problems = settle(household(dataclasses.replace(herbs, minutes_typed=minutes), pantry=items))
        assert sorted({group(problem) for problem in problems if problem.is_error}) == found


# ------------------------------------------------------------------------------------------------ fermented


@pytest.mark.parametrize(
    "items",
    [
        (crop("carrots", 0.8), pantry("salt", 0.02)),
        (crop("peaches", 0.3),),
        (crop("garlic", 0.3), pantry("honey", 0.3)),
        (crop("garlic", 0.3), pantry("olive oil", 0.3)),
        (crop("salmon", 0.3), pantry("salt", 0.1)),
        (crop("beef", 0.3), pantry("salt", 0.1)),
        (crop("eggs", 0.3), pantry("salt", 0.1)),
        (crop("glorp", 0.3), pantry("salt", 0.1)),
        (crop("cabbage", 1.0), crop("salmon", 0.1), pantry("salt", 0.1)),
    ],
)
@pytest.mark.parametrize("container", ["quart", "open crock", "box"])
def test_only_what_a_published_row_ferments_is_fermented(items, container):
    assert "fermenting not published" in refused(made("own ferment", "fermented", container, *items))


@pytest.mark.parametrize("container", ["quart", "open crock"])
def test_kraut_takes_the_published_salt_in_any_container(container):
    """3 tablespoons of salt to 5 lb of cabbage (UF/IFAS FCS8225), 2.27 kg."""
    kraut = made("our kraut", "fermented", container, crop("cabbage", 2.26), pantry("salt", 3, "tablespoon"))
    assert refused(kraut) == []
    for salt in ((), (pantry("salt", 0.0),), (pantry("salt", 2, "tablespoon"),)):
        assert refused(dataclasses.replace(kraut, ingredients=(crop("cabbage", 2.26), *salt))) == ["salt below table"]


def test_kimchi_takes_two_percent_of_salt_and_keeps_a_week():
    """Final salt 2 to 5 percent of the mixture (Colorado State Univ. Extension)."""
    items = (crop("napa cabbage", 1.0), crop("radishes", 0.2), crop("garlic", 0.05))
    salt = (PantryItem("salt", "kg"), *(item for item in ITEMS if item.name != "salt"))
    kimchi = made("kimchi", "fermented", "quart", *items, handbook_line="kimchi, fermented", equipment=("crock",))
    for kg, found in ((0.025, []), (0.024, ["salt below table"])):
        home = household(
            dataclasses.replace(kimchi, ingredients=(*items, pantry("salt", kg))), crops=HOME_CROPS, pantry=salt
        )
        answer, problems = settle(home)
        assert sorted({group(problem) for problem in problems if problem.is_error}) == found
        assert answer.preserves[0].keeps_months == pytest.approx(7 * 12 / 365.25, abs=0.001)


def test_a_line_that_is_not_followed_frees_nothing():
    kraut = made(
        "kraut", "fermented", "quart", crop("salmon", 1.0), pantry("salt", 0.1), handbook_line="sauerkraut, fermented"
    )
    assert refused(kraut) == ["fermenting not published"]


@pytest.mark.parametrize("name", ["fermented salmon", "kraut with ham", "garlic in oil", "kraut under olive oil"])
def test_the_name_says_as_much_as_the_ingredients(name):
    kraut = made(name, "fermented", "quart", crop("cabbage", 2.26), pantry("salt", 3, "tablespoon"))
    assert refused(kraut) == ["fermenting not published"]
    assert refused(dataclasses.replace(kraut, handbook_line="sauerkraut, fermented")) == ["fermenting not published"]
    peppers = made(name, "dried", "bag", crop("sweet peppers", 0.3), minutes_typed=600.0)
    assert refused(peppers) == ["drying not published"]


# ------------------------------------------------------------------------------------------------ canned


@pytest.mark.parametrize("kind", ["tub", "crock", "box", "bag", "bottle", "can", "jug"])
def test_a_canned_line_goes_into_a_listed_jar_only(kind):
    line = "tomato juice, hot pack, quart"
    juice = made(
        "tomato juice", "boiling-water canned", "it", crop("plum tomato", 1.5), pantry("bottled lemon juice", 2, "tablespoon"),
        handbook_line=line, equipment=("pot",), kept_in="shelf",
    )  # fmt: skip
    assert refused(juice, containers=(Container("it", "jar", 0.946),)) == []
    assert refused(juice, containers=(Container("it", kind, 0.946),)) == ["jar not published"]
