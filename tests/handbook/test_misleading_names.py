"""Names that say another thing than they seem to: what is only like an acid fruit, a snap bean, or the published acid."""

from __future__ import annotations

import dataclasses

import pytest
from tests.handbook.kitchens import CROPS, LEMON, PANTRY, beans, crop, group, household, juice, pantry

from stillroom.handbook.foods import kinds_named, stricter
from stillroom.handbook.ingredients import extra_named, stricter_extra
from stillroom.handbook.lines import lines
from stillroom.handbook.settle import settle
from stillroom.household.records import Crop, PantryItem, Preserve
from stillroom.reports.problems import sentences


def stops(preserve: Preserve, *names: str, litres: tuple[str, ...] = (), kilos: tuple[str, ...] = ()) -> list[str]:
    """The kinds that stop a preserve in a household that has these crops and ingredients too."""
    crops = (*CROPS, *(Crop(name, 3) for name in names))
    more = (*(PantryItem(name, "litre") for name in litres), *(PantryItem(name, "kg") for name in kilos))
    _, problems = settle(household(preserve, crops=crops, pantry=(*PANTRY, *more)))
    return [group(problem) for problem in problems if problem.is_error]


def own(method: str, container: str, item: str, minutes: float) -> Preserve:
    """A recipe of the household's own, of one crop."""
    piece = "pot" if method == "boiling-water canned" else "canner"
    return Preserve(
        "own", method, container, equipment=(piece,), ingredients=(crop(item),), minutes_typed=minutes, source="aunt"
    )


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("elder berries", "low-acid not pressure canned"),
        ("black elder berry", "low-acid not pressure canned"),
        ("goji berries", "name of no canned food"),
        ("service berries", "name of no canned food"),
        ("zorblax berries", "name not listed"),
        ("wild berries", "name of several foods"),
    ],
)
def test_berries_that_are_not_acid_enough_or_not_known_are_not_canned_in_water(name, kind):
    found = stops(own("boiling-water canned", "pint", name, 30), name)
    assert found in ([kind], [kind, "advised against"])


@pytest.mark.parametrize("name", ["berries", "fresh garden berries", "blue berries", "rasp-berries", "blackberries"])
def test_berries_by_their_usual_names_are_berries(name):
    assert kinds_named(name) == {"berries"}
    assert stops(own("boiling-water canned", "pint", name, 30), name) == []


@pytest.mark.parametrize("name", ["apple pears", "sand pear", "Korean pears", "nashi pear", "cactus pears"])
def test_a_pear_that_is_low_in_acid_is_no_pear(name):
    assert "pears" not in kinds_named(name)
    line = "pears, hot pack, pint"
    preserve = Preserve(
        "p", "boiling-water canned", "pint", handbook_line=line, equipment=("pot",), ingredients=(crop(name),)
    )
    assert "low-acid not pressure canned" in stops(preserve, name)


@pytest.mark.parametrize("name", ["cannellini beans", "great northern beans", "chick-peas", "dry runner beans"])
def test_beans_and_peas_for_drying_take_their_own_longer_time(name):
    """75 minutes a pint and 90 a quart, where snap beans have 20 and 25 (AIB 539, Guide 4)."""
    assert stops(beans(ingredients=(crop(name, 0.45),)), name)
    if "runner" not in name:
        assert kinds_named(name) == {"dry beans"}
        assert stops(own("pressure canned", "quart", name, 25), name) == ["minutes below table"]
        assert stops(own("pressure canned", "quart", name, 90), name) == []


@pytest.mark.parametrize("name", ["beans", "our own garden beans", "field peas", "pinto", "haricots"])
def test_a_word_for_several_beans_is_asked_about_until_its_food_is_typed(name):
    preserve = own("pressure canned", "quart", name, 90)
    assert stops(preserve, name) == ["name of several foods"]
    _, problems = settle(household(preserve, crops=(Crop(name, 3, "dry beans"),)))
    assert [problem for problem in problems if problem.is_error] == []


def test_beans_nobody_knows_are_no_snap_beans_until_it_is_said_what_they_are():
    name = "Zorblax beans"
    assert stops(own("pressure canned", "pint", name, 20), name) == ["name not listed"]
    assert stricter("green beans", name) == {"snap beans"}
    preserve = beans(ingredients=(crop(name, 0.45),))
    _, problems = settle(household(preserve, crops=(Crop(name, 3),)))
    assert "Type its food under Handbook food" in " ".join(sentences(problems[0]))
    _, problems = settle(household(preserve, crops=(Crop(name, 3, "snap beans"),)))
    assert [problem for problem in problems if problem.is_error] == []


@pytest.mark.parametrize("name", ["Blue Lake beans", "our own green beans", "purple French beans", "beans, Provider"])
def test_snap_beans_by_their_usual_names_are_snap_beans(name):
    assert kinds_named(name) == {"snap beans"}


def test_tomatoes_named_with_a_vegetable_still_ask_for_their_acid():
    assert kinds_named("tomato okra") == {"tomato", "okra"}
    assert stops(own("pressure canned", "pint", "tomato okra", 60), "tomato okra") == ["acid missing"]


def test_chillies_are_hot_peppers_and_an_egg_plant_is_no_egg():
    assert kinds_named("green chillies") == kinds_named("chilies") == {"hot peppers"}
    assert kinds_named("egg plant") == {"eggplant"}


@pytest.mark.parametrize("name", ["vinegar 5 % and water", "vinegar 4-6 %", "water with vinegar (5%)"])
def test_vinegar_that_may_be_weaker_than_five_percent_does_not_count(name):
    assert extra_named(name) == "vinegar of unknown strength"
    beets = Preserve(
        "beets", "boiling-water canned", "pint", handbook_line="pickled beets, hot pack, pint", equipment=("pot",),
        ingredients=(crop("beets", 0.39), pantry(name, 0.5, "cup")),
    )  # fmt: skip
    assert set(stops(beets, litres=(name,))) == {"acid missing"}


@pytest.mark.parametrize("name", ["vinegar 5 %", "white vinegar (5 % acidity)", "vinegar 5-6 %", "vinegar 10 %"])
def test_vinegar_of_five_percent_or_more_counts(name):
    assert extra_named(name) == "vinegar (5%)"


def test_an_acid_that_was_thinned_does_not_count():
    assert extra_named("citric acid") == "citric acid"
    assert extra_named("citric acid 50 %") is None
    assert extra_named("bottled lemon juice and water") is None
    assert stricter_extra("vinegar (5%)", "vinegar and water") == "vinegar of unknown strength"
    thin = juice(ingredients=(crop("plum tomato", 1.5), pantry("citric acid 50 %", 0.5, "teaspoon")))
    assert stops(thin, litres=("citric acid 50 %",)) == ["name not listed"]


@pytest.mark.parametrize("name", ["sun dried tomatoes", "sun-dried plum tomatoes", "dehydrated tomato"])
def test_food_dried_before_is_not_the_food_of_the_row(name):
    assert stops(juice(ingredients=(pantry(name, 1.5), LEMON)), kilos=(name,))[0] in (
        "form not published",
        "name of no canned food",
    )


def test_what_is_called_frozen_is_thawed_crop():
    """Frozen peaches are never packed whole; frozen strawberries may wait for jam (K-State 2024)."""
    peaches = Preserve(
        "peaches", "boiling-water canned", "pint", handbook_line="peaches, hot pack, pint", equipment=("pot",),
        ingredients=(pantry("frozen peaches", 0.6),),
    )  # fmt: skip
    assert stops(peaches, kilos=("frozen peaches",)) == ["frozen crop not allowed"]
    jam = Preserve(
        "jam", "boiling-water canned", "half-pint", handbook_line="jam without added pectin, hot pack, half-pint",
        equipment=("pot",), ingredients=(pantry("frozen strawberries", 0.2), pantry("sugar", 0.2)),
    )  # fmt: skip
    assert lines()["jam without added pectin, hot pack, half-pint"].thawed
    assert "frozen crop not allowed" not in stops(jam, kilos=("frozen strawberries",))


def test_herbs_named_after_a_fruit_are_seasoning():
    assert kinds_named("lemon balm") == frozenset()
    assert stops(own("boiling-water canned", "pint", "lemon balm", 10), "lemon balm") == ["outside the recipe"]


@pytest.mark.parametrize(
    "name", ["grape leaves", "cherry blossoms", "strawberry leaf", "apricot kernels", "tomato leaves"]
)
def test_leaves_and_flowers_of_a_fruit_are_not_the_fruit(name):
    assert stops(own("boiling-water canned", "pint", name, 60), name) in (
        ["name of no canned food"], ["form not published"], ["low-acid not pressure canned"],
    )  # fmt: skip


@pytest.mark.parametrize("name", ["wild mushrooms", "foraged mushroom", "chanterelles", "morels", "forest mushrooms"])
def test_wild_mushrooms_are_never_canned(name):
    """Michigan State Univ. Extension 01600287: domestic mushrooms only."""
    line = "mushrooms, hot pack, pint"
    preserve = Preserve(
        "m", "pressure canned", "pint", handbook_line=line, equipment=("canner",), ingredients=(crop(name),)
    )
    assert set(stops(preserve, name)) & {"advised against", "name not listed"}
    domestic = dataclasses.replace(preserve, ingredients=(crop("button mushrooms"),))
    assert stops(domestic, "button mushrooms") == []


def soup(line: str, *items: str) -> list[str]:
    """What stops a preserve of this line made of so much of each of these."""
    preserve = Preserve(
        "s",
        "pressure canned",
        "quart",
        handbook_line=line,
        equipment=("canner",),
        ingredients=tuple(crop(item, 0.15) for item in items),
    )
    return stops(preserve, *items)


def test_fish_alone_or_in_broth_is_no_seafood_soup():
    """The soup has 100 minutes in both jars; fish packed by itself takes longer in quarts, and no row of it was read."""
    line = "seafood soup, hot pack, quart"
    assert soup(line, "salmon") == ["source missing", "minutes missing"]
    assert soup(line, "salmon", "fish broth") == ["name of no canned food"]
    assert soup(line, "salmon", "beef broth") == ["source missing", "minutes missing"]
    assert soup(line, "salmon", "potatoes", "meat stock") == []
    assert stops(own("pressure canned", "quart", "salmon", 100), "salmon") == ["method not published"]


@pytest.mark.parametrize(
    ("item", "kilos", "soup_still"),
    [
        ("beef", 0.9, False),  # a quart of meat, which has 90 minutes by itself
        ("beef", 0.45, True),
        ("chicken", 0.8, False),
        ("spinach", 1.7, False),  # 4 lb of greens fill a quart: 90 minutes
        ("spinach", 0.85, True),
        ("black beans", 0.32, False),  # three quarters of a pound, dry, fills a quart
        ("black beans", 0.15, True),
        ("sweet corn", 2.0, False),
        ("sweet corn", 1.0, True),
        ("tomatoes", 1.4, True),  # the liquid of the jar
        ("beef broth", 0.8, True),
    ],
)
def test_a_jar_full_of_one_food_with_a_trace_of_another_is_no_soup(item, kilos, soup_still):
    """The soup's 60 and 75 minutes are for jars filled halfway with solids and then with liquid."""
    preserve = Preserve(
        "s", "pressure canned", "quart", handbook_line="soup, hot pack, quart", equipment=("canner",),
        ingredients=(crop(item, kilos), crop("onions", 0.02), crop("carrots", 0.02)),
    )  # fmt: skip
    found = stops(preserve, item, "onions", "carrots")
    assert found == ([] if soup_still else ["source missing", "minutes missing"])


@pytest.mark.parametrize(
    "name", ["lemon curd", "apple cake", "peach cobbler", "tomato soup", "apple pie filling", "peach palm"]
)
def test_a_dish_of_acid_fruit_is_not_the_fruit(name):
    """There are eggs, flour, butter or meat in it, which the name does not tell."""
    found = stops(own("boiling-water canned", "pint", name, 60), name)
    assert set(found) & {"name of no canned food", "low-acid not pressure canned"}


@pytest.mark.parametrize("name", ["apple mint", "pineapple sage", "lime basil"])
def test_an_herb_called_by_a_fruit_is_an_herb(name):
    assert (stricter(None, name), stricter_extra(None, name)) == (frozenset(), "fresh herbs in small amounts")


def test_chili_with_meat_is_no_pepper():
    name = "chili con carne"
    assert stops(own("pressure canned", "pint", name, 90), name) == ["name of no canned food"]


def test_vegetable_stock_is_not_the_stock_of_meat():
    assert soup("beef stock, hot pack, quart", "beef broth") == []
    assert "source missing" in soup("beef stock, hot pack, quart", "vegetable broth")
    assert soup("soup, hot pack, quart", "carrots", "potatoes", "vegetable broth") == []


def test_gumbo_is_a_stew_and_broad_beans_are_no_lima_beans():
    assert kinds_named("gumbo") == frozenset()
    assert kinds_named("broad beans") == kinds_named("fava beans") == {"fava beans"}
    assert kinds_named("butter beans") == {"lima beans"}


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("citric acid", "lemon juice"),
        ("citric acid", "vinegar"),
        ("bottled lemon juice", "cider vinegar"),
        ("vinegar (5%)", "lemon juice"),
        ("bottled lemon juice", "lime juice"),
    ],
)
def test_one_acid_is_not_another_because_it_is_typed_so(typed, name):
    """A quarter teaspoon of citric acid does for a pint; a quarter teaspoon of vinegar called so does not."""
    assert stricter_extra(typed, name) in ("lemon or lime juice, not bottled", "vinegar of unknown strength")
    items = (*PANTRY, dataclasses.replace(PantryItem(name, "litre"), handbook_item=typed))
    items = tuple(one for one in items if one.name != name or one.handbook_item)
    preserve = juice(ingredients=(crop("plum tomato", 1.5), pantry(name, 2, "tablespoon")))
    _, problems = settle(household(preserve, pantry=items))
    assert [group(problem) for problem in problems if problem.is_error] == ["acid missing"]


@pytest.mark.parametrize(
    ("typed", "name"),
    [("bottled lemon juice", "lemon juice"), ("vinegar (5%)", "cider vinegar"), ("citric acid", "the sour powder")],
)
def test_an_open_strength_may_be_typed(typed, name):
    assert stricter_extra(typed, name) == typed
