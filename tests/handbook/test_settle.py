"""Each refusal of the fence, one by one: what is planned, what stops, and what is only said."""

from __future__ import annotations

import dataclasses
import datetime

import pytest
from tests.handbook.kitchens import (
    DAY,
    LEMON,
    PANTRY,
    beans,
    crop,
    from_catalogue,
    group,
    household,
    juice,
    other,
    pantry,
)

from stillroom.handbook.catalogue import preserves
from stillroom.handbook.settle import settle
from stillroom.household.records import (
    Container,
    Crop,
    Equipment,
    Ingredient,
    Load,
    PantryItem,
    PlanLine,
    Preserve,
    ShelfRow,
)
from stillroom.reports.problems import sentences


def settled(*made, **facts):
    """Settle a household of these preserves: the first preserve, the kinds that stop, the kinds that are said."""
    answer, problems = settle(household(*made, **facts))
    stops = sorted(group(problem) for problem in problems if problem.is_error)
    said = sorted(group(problem) for problem in problems if not problem.is_error)
    return answer.preserves[0], stops, said


def stops(*made, **facts):
    """The kinds of problem that stop."""
    return settled(*made, **facts)[1]


def own(**changes):
    """An own recipe of apples in pints in boiling water, as it may be planned."""
    facts = {
        "name": "apples of our own", "method": "boiling-water canned", "container": "pint", "source": "an old notebook", "minutes_typed": 20.0,
        "equipment": ("pot",), "ingredients": (crop("apples", 0.6),), "where": "Preserves!A7",
    }  # fmt: skip
    facts.update(changes)
    return Preserve(**facts)


# ------------------------------------------------------------------------------------------------ what is planned


def test_tomato_juice_takes_its_published_minutes():
    found, refused, _ = settled(juice())
    assert refused == []
    assert (found.process_minutes, found.process_text, found.vent_minutes, found.pressure_lb) == (40, "40 min", 0, None)
    assert "AIB 539" in found.process_source
    assert (found.keeps_months, found.own_recipe, found.from_memory) == (12, False, False)


def test_beans_take_minutes_pounds_and_venting():
    found, refused, _ = settled(beans(), altitude_ft=4_500)
    assert refused == []
    assert (found.process_minutes, found.pressure_lb, found.vent_minutes) == (20, 13, 10)
    assert found.process_text == "20 min at 13 lb, dial"


def test_a_weighted_gauge_above_a_thousand_feet_takes_fifteen_pounds():
    found, _, _ = settled(beans(), altitude_ft=1_001, gauge="weighted")
    assert found.process_text == "20 min at 15 lb, weighted"


def test_the_tomato_option_with_least_stove_time_is_taken():
    """Dial: 15 min at 11 lb, which is from memory for crushed tomatoes and says so. Weighted low down: the third option."""
    line = {
        "method": "pressure canned",
        "handbook_line": "tomato juice, hot pack, quart, pressure",
        "equipment": ("canner",),
    }
    found, refused, said = settled(juice(**line))
    assert (refused, found.process_text, found.from_memory) == ([], "15 min at 11 lb, dial", False)
    found, refused, said = settled(juice(**line), gauge="weighted")
    assert (refused, found.process_text, found.from_memory) == ([], "10 min at 15 lb, weighted", False)
    crushed = juice(**(line | {"name": "crushed", "handbook_line": "crushed tomatoes, hot pack, quart, pressure"}))
    found, refused, said = settled(crushed)
    assert (refused, found.process_text, found.from_memory) == ([], "15 min at 11 lb, dial", True)
    assert "from memory" in said
    found, refused, _ = settled(juice(**line), gauge="weighted", altitude_ft=1_001)
    assert (refused, found.process_text) == ([], "15 min at 15 lb, weighted")


def test_every_preserve_of_the_catalogue_is_planned_as_it_stands():
    answer, problems = settle(from_catalogue())
    assert [str(problem) for problem in problems if problem.is_error] == []
    canned = [item for item in answer.preserves if "canned" in item.method]
    assert all(item.process_minutes > 0 and item.process_source for item in canned)
    assert len(answer.preserves) == len(preserves())


def test_more_minutes_than_the_table_are_kept():
    found, refused, said = settled(juice(minutes_typed=45))
    assert (refused, found.process_minutes) == ([], 45)
    assert "more minutes than table" in said


def test_minutes_equal_to_the_table_are_fine():
    assert settled(juice(minutes_typed=40))[1] == []


# ------------------------------------------------------------------------------------------------ ways and lines


def test_a_way_that_is_none_of_the_seven_stops_even_in_a_box_with_a_source():
    assert stops(juice(method="sun cured")) == ["method unknown"]
    assert stops(Preserve("x", "buried", "box", source="uncle", ingredients=(crop("potatoes"),))) == ["method unknown"]


def test_an_unknown_line_stops_and_the_nearest_is_suggested():
    _, problems = settle(household(juice(handbook_line="tomato jucie, hot pack, quart")))
    assert [group(problem) for problem in problems] == ["handbook line unknown"]
    assert problems[0].suggestion == "tomato juice, hot pack, quart"


def test_a_line_in_another_way_stops():
    assert stops(beans(method="boiling-water canned", equipment=("pot",))) == ["method not published"]


def test_a_strange_item_makes_an_own_recipe_of_a_line():
    """Tomato juice with ham is an own recipe: it needs a source and minutes, and ham is never done in boiling water."""
    found = stops(juice(ingredients=(crop("plum tomato", 1.5), LEMON, pantry("ham", 0.1))))
    assert found == ["low-acid not pressure canned", "minutes missing", "source missing"]


def test_salt_sugar_spices_and_acid_belong_to_every_line():
    more = (
        pantry("salt", 1, "teaspoon"),
        pantry("sugar", 0.01),
        pantry("oregano", 1, "teaspoon"),
        pantry("vinegar", 1, "tablespoon"),
    )
    assert stops(juice(ingredients=(crop("plum tomato", 1.5), LEMON, *more))) == []


def test_a_spice_in_large_amounts_is_refused():
    assert stops(juice(ingredients=(crop("plum tomato", 1.5), LEMON, pantry("oregano", 0.2)))) == ["outside the recipe"]


def test_a_mixture_line_needs_a_mixture():
    mixed = beans(name="mix", handbook_line="mixed vegetables, hot pack, pint", source="x", minutes_typed=75.0)
    found, refused, said = settled(of_vegetables(mixed, {"carrots": 0.2, "sweet corn": 0.2, "potatoes": 0.1}))
    assert (refused, found.process_minutes, found.own_recipe) == ([], 75, False)
    found, refused, said = settled(mixed)
    assert (refused, found.own_recipe) == ([], True)
    assert "own recipe" in said


def of_vegetables(preserve, kilos):
    """The same preserve of so many kilograms of each crop."""
    return dataclasses.replace(preserve, ingredients=tuple(crop(name, kg) for name, kg in kilos.items()))


@pytest.mark.parametrize(
    "kilos",
    [
        {"potatoes": 0.4, "carrots": 0.1, "onions": 0.1},
        {"potatoes": 0.3, "carrots": 0.295, "onions": 0.005},
        {"potatoes": 0.3, "carrots": 0.3},
    ],
)
def test_a_jar_mostly_of_one_food_is_no_mixture(kilos):
    """No food above 60% by weight, and at least a tenth of two others: else the row of the food itself holds."""
    mixed = beans(name="mix", handbook_line="mixed vegetables, hot pack, pint")
    assert stops(of_vegetables(mixed, kilos)) == ["minutes missing", "source missing"]


def test_all_seasonings_of_a_jar_together_are_a_small_amount():
    """Ten herbs, each in the amount that one alone may have, are not seasoning any more."""
    herbs = ("oregano", "basil", "thyme", "sage", "dill", "parsley", "mint", "cumin", "rosemary", "marjoram")
    larder = (*PANTRY, *(PantryItem(name, "litre") for name in herbs if name != "oregano"))
    some = juice(ingredients=(*juice().ingredients, *(pantry(name, 0.005) for name in herbs)))
    assert stops(some, pantry=larder) == []
    much = juice(ingredients=(*juice().ingredients, *(pantry(name, 0.05) for name in herbs)))
    assert stops(much, pantry=larder) == ["outside the recipe"]


# ------------------------------------------------------------------------------------------------ altitude and gauge


def test_without_altitude_nothing_is_canned_and_it_is_told_once():
    _, problems = settle(household(juice(), beans(), altitude_ft=None))
    assert [(group(problem), problem.where) for problem in problems if problem.is_error] == [
        ("altitude missing", "Kitchen!A3")
    ]
    assert "map" in sentences(problems[0])[1]


def test_without_altitude_the_freezer_still_works():
    frozen = Preserve(
        "corn",
        "frozen",
        "tub",
        handbook_line="sweet corn, frozen whole kernel",
        kept_in="freezer",
        ingredients=(crop("sweet corn"),),
    )
    assert stops(frozen, altitude_ft=None, gauge=None) == []


@pytest.mark.parametrize(("altitude", "gauge", "kinds"), [
    (10_000, "weighted", []), (10_000.1, "weighted", ["altitude above table"]), (8_000, "dial", []),
    (8_001, "dial", ["altitude above table"]), (12_000, "dial", ["altitude above table"]), (-300, "dial", []), (500, None, ["gauge missing"]),
])  # fmt: skip
def test_the_tables_end_where_they_end(altitude, gauge, kinds):
    assert stops(beans(), altitude_ft=altitude, gauge=gauge) == kinds


def test_boiling_water_needs_no_gauge():
    assert stops(juice(), gauge=None) == []


# ------------------------------------------------------------------------------------------------ low acid and acid


@pytest.mark.parametrize("name", ["snap beans", "pumpkin", "figs", "cucumbers"])
def test_low_acid_food_in_an_own_recipe_is_never_done_in_boiling_water(name):
    found = stops(own(ingredients=(crop("apples", 0.5), crop(name, 0.1)), minutes_typed=300.0))
    assert "low-acid not pressure canned" in found


def test_an_unknown_item_is_asked_about():
    assert stops(own(ingredients=(crop("apples", 0.5), pantry("glorp", 0.1)))) == ["name not listed"]


def test_low_acid_is_followed_through_other_preserves():
    stew = Preserve(
        "cooked beans",
        "refrigerated",
        "tub",
        source="aunt",
        kept_in="refrigerator",
        ingredients=(crop("snap beans", 0.3),),
    )
    found = stops(own(ingredients=(crop("apples", 0.5), other("cooked beans", 0.5))), stew)
    assert found == ["low-acid not pressure canned"]


def test_preserves_that_hold_one_another_count_as_unknown():
    first = own(name="a", ingredients=(other("b"),))
    second = own(name="b", ingredients=(other("a"),))
    assert "low-acid not pressure canned" in stops(first, second)


@pytest.mark.parametrize(
    ("spoons", "kinds"), [(2, []), (3, []), (1.99, ["acid below table"]), (0.03, ["acid below table"])]
)
def test_a_quart_of_juice_takes_two_tablespoons_of_bottled_lemon_juice(spoons, kinds):
    assert (
        stops(juice(ingredients=(crop("plum tomato", 1.5), pantry("bottled lemon juice", spoons, "tablespoon"))))
        == kinds
    )


@pytest.mark.parametrize(
    ("item", "amount", "unit"), [("citric acid", 0.5, "teaspoon"), ("vinegar (5%)", 4, "tablespoon")]
)
def test_the_other_published_acids_count_too(item, amount, unit):
    assert stops(juice(ingredients=(crop("plum tomato", 1.5), pantry(item, amount, unit)))) == []
    assert stops(juice(ingredients=(crop("plum tomato", 1.5), pantry(item, amount * 0.9, unit)))) == [
        "acid below table"
    ]


def test_two_half_doses_make_a_whole_one():
    halves = (pantry("bottled lemon juice", 1, "tablespoon"), pantry("citric acid", 0.25, "teaspoon"))
    assert stops(juice(ingredients=(crop("plum tomato", 1.5), *halves))) == []


def test_lemon_juice_that_is_not_bottled_and_plain_vinegar_do_not_count():
    for item in ("lemon juice", "vinegar"):
        assert stops(juice(ingredients=(crop("plum tomato", 1.5), pantry(item, 1, "cup")))) == ["acid missing"]


def test_a_handbook_item_says_that_the_lemon_juice_is_bottled():
    item = (PantryItem("lemon juice", "litre", handbook_item="bottled lemon juice"),)
    made = juice(ingredients=(crop("plum tomato", 1.5), pantry("lemon juice", 2, "tablespoon")))
    assert stops(made, pantry=item) == []


def test_acid_by_weight_cannot_be_compared_and_is_refused():
    item = (PantryItem("citric acid", "kg"),)
    _, problems = settle(
        household(juice(ingredients=(crop("plum tomato", 1.5), pantry("citric acid", 0.01))), pantry=item)
    )
    assert [group(problem) for problem in problems if problem.is_error] == ["acid missing"]
    assert "spoons" in sentences(problems[0])[0]


def test_acid_inside_another_preserve_does_not_count_for_this_jar():
    whole = juice(
        name="whole",
        handbook_line="whole tomatoes in juice, hot pack, quart",
        ingredients=(crop("plum tomato", 1.3), other("tomato juice, quart", 0.5)),
    )
    assert stops(whole, juice()) == ["acid missing"]


def test_an_own_tomato_recipe_needs_the_acid_too():
    made = own(name="our sauce", ingredients=(crop("plum tomato", 1.0),), minutes_typed=120.0)
    assert stops(made) == ["acid missing"]


def test_the_amount_that_is_missing_is_named():
    _, problems = settle(household(juice(ingredients=(crop("plum tomato", 1.5),))))
    assert "2 tablespoons bottled lemon juice" in sentences(problems[0])[1]


def test_a_metric_household_reads_the_amount_in_milliliters():
    metric = dataclasses.replace(household().kitchen, weight_unit="kg")
    given = dataclasses.replace(household(juice(ingredients=(crop("plum tomato", 1.5),))), kitchen=metric)
    assert "30 mL bottled lemon juice" in sentences(settle(given)[1][0])[1]


# ------------------------------------------------------------------------------------------------ published recipes


def pickles(vinegar_cups=0.75, **changes):
    """Quick dill pickles in pints: a pound of cucumbers takes three quarters of a cup of vinegar."""
    facts = {
        "name": "dills", "handbook_line": "quick dill pickles, raw pack, pint", "container": "pint", "source": None, "minutes_typed": None,
        "ingredients": (crop("cucumbers", 0.4535), pantry("vinegar (5%)", vinegar_cups, "cup")),
    }  # fmt: skip
    return own(**{**facts, **changes})


def test_pickles_with_the_published_vinegar_are_planned():
    assert stops(pickles()) == []
    assert stops(pickles(2)) == []


def test_pickles_with_less_vinegar_are_refused():
    assert stops(pickles(0.7)) == ["acid below table"]
    assert "acid missing" in stops(pickles(ingredients=(crop("cucumbers", 0.45),)))
    assert "acid missing" in stops(pickles(ingredients=(crop("cucumbers", 0.45), pantry("vinegar", 2, "cup"))))


def test_a_jar_of_mostly_water_needs_its_vinegar_too():
    """With few cucumbers the recipe's vinegar a jar still holds: six cups for at most nine pints."""
    assert stops(pickles(ingredients=(crop("cucumbers", 0.05), pantry("vinegar (5%)", 0.3, "cup")))) == [
        "acid below table"
    ]


def salsa(peppers_kg=0.12, onions_kg=0.06, cups=0.2):
    """Chile salsa in pints, by the published proportions."""
    items = (
        crop("plum tomato", 0.32),
        crop("hot peppers", peppers_kg),
        crop("onions", onions_kg),
        pantry("vinegar (5%)", cups, "cup"),
    )
    return own(
        name="salsa", handbook_line="chile salsa, hot pack, pint", minutes_typed=None, source=None, ingredients=items
    )


def test_salsa_keeps_its_proportions():
    assert stops(salsa()) == []
    assert stops(salsa(peppers_kg=0.14)) == ["outside the recipe"]
    assert stops(salsa(onions_kg=0.07)) == ["outside the recipe"]
    assert stops(salsa(cups=0.1)) == ["acid below table", "acid below table"]


def test_jam_needs_its_sugar_and_pectin():
    made = own(
        name="jam",
        container="half-pint",
        handbook_line="jam with added pectin, hot pack, half-pint",
        minutes_typed=None,
        ingredients=(crop("peaches", 0.2), pantry("sugar", 0.2)),
    )
    assert stops(made) == ["outside the recipe"]
    assert stops(dataclasses.replace(made, ingredients=(*made.ingredients, pantry("pectin", 0.01)))) == []


BREAD_AND_BUTTER = "bread-and-butter pickles, hot pack, pint"

KRAUT = Preserve(
    "kraut in the crock", "fermented", "tub", handbook_line="sauerkraut, fermented", kept_in="refrigerator", equipment=("crock",),
    ingredients=(crop("cabbage", 1.0), pantry("salt", 1.4, "tablespoon")), where="Preserves!A8",
)  # fmt: skip


def test_kraut_takes_three_tablespoons_of_salt_for_five_pounds():
    found, refused, _ = settled(KRAUT)
    assert (refused, found.process_minutes, found.keeps_months) == ([], 4 * 7 * 24 * 60, 6)
    assert stops(dataclasses.replace(KRAUT, ingredients=(crop("cabbage", 1.0), pantry("salt", 1.3, "tablespoon")))) == [
        "salt below table"
    ]


def test_kraut_salt_may_be_weighed():
    by_weight = {"pantry": (PantryItem("salt", "kg"),)}
    assert (
        stops(dataclasses.replace(KRAUT, ingredients=(crop("cabbage", 1.0), pantry("salt", 0.0225))), **by_weight) == []
    )
    assert stops(dataclasses.replace(KRAUT, ingredients=(crop("cabbage", 1.0), pantry("salt", 0.02))), **by_weight) == [
        "salt below table"
    ]


def test_raw_cabbage_is_not_canned_as_sauerkraut():
    canned = own(
        name="canned kraut",
        container="quart",
        handbook_line="sauerkraut, hot pack, quart",
        source=None,
        minutes_typed=None,
    )
    assert stops(dataclasses.replace(canned, ingredients=(crop("cabbage", 1.2), pantry("salt", 2, "tablespoon")))) == [
        "low-acid not pressure canned"
    ]
    found, refused, said = settled(dataclasses.replace(canned, ingredients=(other("kraut in the crock", 2.0),)), KRAUT)
    assert (refused, found.process_minutes, found.from_memory) == ([], 15, True)
    assert "from memory" in said


# ------------------------------------------------------------------------------------------------ jars


def test_a_litre_counts_as_a_quart_and_its_acid_goes_by_its_volume():
    short = juice(container="litre jar")
    assert stops(short) == ["acid below table"]
    found, refused, said = settled(
        dataclasses.replace(
            short, ingredients=(crop("plum tomato", 1.6), pantry("bottled lemon juice", 2.12, "tablespoon"))
        )
    )
    assert (refused, found.process_minutes) == ([], 40)
    assert "liter jar as quart" in said


def test_a_jar_between_sizes_counts_as_the_next_larger():
    found, refused, said = settled(juice(container="24 oz jar"))
    assert (refused, found.process_minutes) == ([], 40)
    assert "next larger jar" in said
    assert stops(juice(container="24 oz jar", handbook_line="tomato juice, hot pack, pint")) == ["jar not published"]


@pytest.mark.parametrize("container", ["half-pint", "half-gallon", "pint", "tub", "bag", "box"])
def test_other_jars_are_not_planned(container):
    assert set(stops(juice(container=container))) - {"acid below table"} == {"jar not published"}


def test_a_jar_whose_size_is_a_weight_is_told_at_the_jar():
    """24 oz is a weight, 24 fl oz a jar; the place is that of the container, where it is mended."""
    jars = (Container("24 oz jar", "jar", holds_kg=0.68, lid="lid", on_hand=7, where="On hand!A13"),)
    _, found = settle(household(juice(container="24 oz jar"), containers=jars))
    problem = next(one for one in found if group(one) == "jar not published")
    assert problem.where == "On hand!A13"
    what, what_to_do = sentences(problem)
    assert what.endswith("the size of 24 oz jar is not a volume, and process times go by volume.")
    assert what_to_do.startswith("Type its size in fl oz, pints, quarts or liters")


def test_no_quarts_of_peppers_or_creamed_corn():
    made = beans(
        name="corn",
        container="quart",
        handbook_line="cream-style corn, hot pack, pint",
        ingredients=(crop("sweet corn", 1.0),),
    )
    assert stops(made) == ["jar not published"]


def test_another_listed_jar_is_sent_to_its_own_line():
    _, problems = settle(household(juice(container="pint")))
    assert "tomato juice, hot pack, pint" in sentences(problems[0])[1]


# ------------------------------------------------------------------------------------------------ equipment


def test_canning_needs_the_canner_its_way_asks_for():
    assert stops(juice(equipment=("kettle",))) == ["not a canner"]
    assert stops(juice(equipment=())) == ["not a canner"]
    assert stops(juice(equipment=("pot", "kettle"))) == ["not a canner"]
    assert stops(beans(equipment=("pot",))) == ["not a canner"]
    assert stops(juice(equipment=("canner",))) == ["not a canner"]


def test_a_pressure_saucepan_is_no_canner():
    assert stops(beans(equipment=("saucepan",))) == ["not a canner"]


@pytest.mark.parametrize(("loads", "kinds"), [
    ((Load(4, "quart jars"),), []), ((Load(4, "quart"),), []), ((Load(4, "litre jars"),), []), ((Load(3, "quarts"), Load(8, "pint jars")), ["not a canner"]),
    ((Load(16, "qt"),), ["not a canner"]), ((Load(20, "half-quart jars"),), ["not a canner"]), ((Load(9, "pint jars"),), ["not a canner"]),
])  # fmt: skip
def test_four_quart_jars_must_be_said_of_a_pressure_canner(loads, kinds):
    piece = Equipment("canner", "pressure canner", loads=loads)
    assert stops(beans(), equipment=(piece,)) == kinds


# ------------------------------------------------------------------------------------------------ minutes


def test_one_minute_less_than_the_table_is_refused():
    assert stops(juice(minutes_typed=39)) == ["minutes below table"]
    assert stops(beans(minutes_typed=19.9)) == ["minutes below table"]
    assert stops(juice(minutes_typed=0)) == ["minutes below table"]


def test_altitude_makes_typed_minutes_too_short():
    assert stops(juice(minutes_typed=40), altitude_ft=1_001) == ["minutes below table"]


# ------------------------------------------------------------------------------------------------ own recipes


def test_an_own_recipe_is_planned_openly():
    found, refused, said = settled(own())
    assert (refused, found.process_minutes, found.own_recipe) == ([], 20, True)
    assert found.process_source == "own recipe: an old notebook"
    assert "own recipe" in said


def test_an_own_recipe_needs_source_and_minutes():
    assert stops(own(source=" ")) == ["source missing"]
    assert stops(own(minutes_typed=None)) == ["minutes missing"]


@pytest.mark.parametrize(("altitude", "least"), [(1_000, 20), (1_001, 25), (3_001, 30), (6_001, 35), (8_001, 40)])
def test_an_own_recipe_is_never_below_the_longest_published_time(altitude, least):
    """Apples in pints: sliced apples are the longest product at every band; above 8,000 ft the second table's 40."""
    assert stops(own(minutes_typed=least - 1.0), altitude_ft=altitude) == ["minutes below table"]
    assert stops(own(minutes_typed=float(least)), altitude_ft=altitude) == []


def test_an_own_tomato_sauce_takes_the_time_of_raw_whole_tomatoes():
    made = own(name="our sauce", container="quart", ingredients=(crop("plum tomato", 1.5), LEMON), minutes_typed=84.0)
    assert stops(made) == ["minutes below table"]
    assert stops(dataclasses.replace(made, minutes_typed=85.0)) == []


def test_an_own_recipe_under_pressure_takes_minutes_and_pounds_from_one_row():
    made = beans(handbook_line=None, source="aunt", minutes_typed=20.0)
    found, refused, _ = settled(made, altitude_ft=2_500)
    assert (refused, found.process_text) == ([], "20 min at 12 lb, dial")
    assert stops(dataclasses.replace(made, minutes_typed=19.0)) == ["minutes below table"]


def test_an_own_mixture_takes_the_time_of_mixtures_and_low_acid_pounds():
    both = (crop("snap beans", 0.2), crop("plum tomato", 0.3), pantry("bottled lemon juice", 1, "tablespoon"))
    made = beans(handbook_line=None, source="aunt", minutes_typed=75.0, ingredients=both)
    found, refused, _ = settled(made)
    assert (refused, found.pressure_lb) == ([], 11)
    assert stops(dataclasses.replace(made, minutes_typed=74.0)) == ["minutes below table"]


def test_a_low_acid_food_without_a_row_is_not_planned_under_pressure():
    for item in (crop("onions", 0.1), pantry("ham", 0.1)):
        made = beans(
            handbook_line=None, source="aunt", minutes_typed=300.0, ingredients=(crop("snap beans", 0.3), item)
        )
        assert stops(made) == ["method not published"]


def test_an_own_recipe_uses_only_listed_jars():
    made = beans(
        name="hot ones",
        handbook_line=None,
        source="aunt",
        minutes_typed=300.0,
        container="quart",
        ingredients=(crop("hot peppers", 0.3),),
    )
    assert stops(made) == ["jar not published"]
    assert stops(own(container="half-gallon")) == ["jar not published"]


def test_a_frozen_own_recipe_needs_a_source_but_no_minutes():
    made = Preserve(
        "pepper mix", "frozen", "tub", kept_in="freezer", source="us", ingredients=(crop("sweet peppers", 0.3),)
    )
    assert stops(made) == []
    assert stops(dataclasses.replace(made, source=None)) == ["source missing"]


# ------------------------------------------------------------------------------------------------ advised against


@pytest.mark.parametrize(
    "name", ["Pumpkin butter", "PUMPKIN PURÉE", "mashed pumpkin", "pumpkin  puree", "pumpkın puree"]
)
def test_pumpkin_is_canned_in_cubes_only(name):
    made = beans(
        name=name, handbook_line="pumpkin or winter squash cubes, hot pack, pint", ingredients=(crop("pumpkin", 0.5),)
    )
    assert set(stops(made)) == {"advised against"}
    assert stops(dataclasses.replace(made, name="pumpkin cubes")) == []


def test_summer_squash_alone_is_not_canned():
    made = beans(
        name="zucchini", handbook_line=None, source="x", minutes_typed=90.0, ingredients=(crop("zucchini", 0.5),)
    )
    assert "advised against" in stops(made)


@pytest.mark.parametrize("item", ["flour", "cream"])
def test_nothing_thickened_or_creamed_is_canned(item):
    made = beans(name="soup", handbook_line="soup, hot pack, pint", source="x", minutes_typed=75.0)
    plain = (crop("carrots", 0.1), crop("potatoes", 0.1))
    assert "advised against" in stops(dataclasses.replace(made, ingredients=(*plain, pantry(item, 0.02))))
    assert stops(dataclasses.replace(made, ingredients=plain)) == []


def test_other_ways_of_canning_are_refused_by_name():
    assert stops(juice(name="open-kettle juice")) == ["advised against"]
    assert stops(juice(name="oven canned juice")) == ["advised against"]


def test_a_preserve_may_be_called_by_any_word_but_another_food_form_or_danger():
    for name in ("Zorblax's best, pantry shelf 3", "canned juice", "tomato juice with basil"):
        assert stops(juice(name=name)) == []
    for name in ("pasta sauce", "butter juice", "butternut juice", "whole peaches", "dried tomatoes", "baking soda"):
        assert stops(juice(name=name)) == ["preserve named otherwise"], name
    sauce = {"handbook_line": "tomato sauce, hot pack, quart", "name": "pasta sauce"}
    assert stops(juice(**sauce)) == []
    assert stops(pickles(name="bread and butter pickles", handbook_line=BREAD_AND_BUTTER)) == []


def test_tomatoes_from_frost_killed_vines_are_refused():
    crops = (Crop("frost-killed plum tomato", 2),)
    assert stops(juice(ingredients=(crop("frost-killed plum tomato", 1.5), LEMON)), crops=crops) == ["advised against"]


def test_what_is_frozen_is_free_of_the_canning_list():
    mash = Preserve(
        "pumpkin mash",
        "frozen",
        "tub",
        handbook_line="winter squash, frozen cooked",
        kept_in="freezer",
        ingredients=(crop("pumpkin"),),
    )
    assert stops(mash) == []


# ------------------------------------------------------------------------------------------------ shelf and cellar


def test_closed_containers_on_the_shelf_must_be_canned_or_dried():
    kraut = dataclasses.replace(KRAUT, kept_in="cellar")
    assert stops(kraut) == ["unsealed on the shelf"]
    assert stops(dataclasses.replace(kraut, container="open crock")) == ["unsealed on the shelf"]
    jar = Preserve(
        "garlic jar", "refrigerated", "pint", kept_in="shelf", source="blog", ingredients=(crop("garlic", 0.2),)
    )
    assert stops(jar) == ["unsealed on the shelf"]


def test_a_blank_lid_does_not_make_a_jar_a_box():
    made = Preserve(
        "potatoes", "root cellar", "quart", kept_in="cellar", source="us", ingredients=(crop("potatoes", 1.0),)
    )
    assert stops(made) == ["unsealed on the shelf"]


def test_a_box_with_a_lid_is_no_box():
    boxes = (Container("box", "box", holds_kg=9.0, lid="box lid"),)
    made = Preserve(
        "potatoes", "root cellar", "box", kept_in="cellar", source="us", ingredients=(crop("potatoes", 1.0),)
    )
    assert stops(made, containers=boxes) == ["unsealed on the shelf"]


def dried(**changes):
    """Dried tomatoes in a bag on the shelf."""
    facts = {
        "name": "dried tomatoes", "method": "dried", "container": "bag", "handbook_line": "tomatoes, dried", "equipment": ("dryer",),
        "ingredients": (crop("plum tomato", 2.0),), "where": "Preserves!A9",
    }  # fmt: skip
    return Preserve(**{**facts, **changes})


def test_dried_goods_take_the_published_hours():
    found, refused, said = settled(dried())
    assert (refused, found.process_minutes, found.process_text, found.keeps_months) == (
        [],
        18 * 60,
        "18 h; until brittle or hard",
        3,
    )
    assert "from memory" in said
    assert stops(dried(minutes_typed=599.0)) == ["minutes below table"]
    assert stops(dried(minutes_typed=600.0)) == []


def test_own_dried_goods_on_the_shelf_must_reach_the_published_state():
    made = dried(handbook_line=None, source="us", minutes_typed=600.0)
    assert stops(made) == []
    assert stops(dataclasses.replace(made, minutes_typed=500.0)) == ["unsealed on the shelf"]
    assert stops(dataclasses.replace(made, minutes_typed=500.0, kept_in="freezer")) == []


def test_frozen_goods_belong_in_the_freezer():
    made = Preserve(
        "corn",
        "frozen",
        "tub",
        handbook_line="sweet corn, frozen whole kernel",
        kept_in="cellar",
        ingredients=(crop("sweet corn"),),
    )
    assert stops(made) == ["unsealed on the shelf"]


# ------------------------------------------------------------------------------------------------ thawed crop


def test_thawed_crop_goes_into_cooked_lines_only():
    thawed = (crop("plum tomato", 1.5, from_frozen=True), LEMON)
    assert stops(juice(ingredients=thawed)) == []
    assert stops(juice(name="whole", handbook_line="whole tomatoes in water, hot pack, quart", ingredients=thawed)) == [
        "frozen crop not allowed"
    ]
    assert stops(own(ingredients=(crop("apples", 0.5, from_frozen=True),))) == ["frozen crop not allowed"]


# ------------------------------------------------------------------------------------------------ keeping


def test_months_are_capped_by_the_table_and_said():
    found, refused, said = settled(dataclasses.replace(KRAUT, keeps_months=24.0))
    assert (refused, found.keeps_months) == ([], 6)
    assert "longer than it keeps" in said
    assert settled(dataclasses.replace(KRAUT, keeps_months=4.0))[0].keeps_months == 4


def test_best_by_dates_follow_from_the_months():
    made = datetime.date(2026, 1, 1)
    rows = (
        ShelfRow("kraut in the crock", 3, made),
        ShelfRow("kraut in the crock", 3, made, datetime.date(2028, 1, 1)),
        ShelfRow("kraut in the crock", 1),
    )
    answer, _ = settle(household(KRAUT, shelf=rows))
    half_a_year_on = datetime.date(2027, 2, 14)
    assert [row.best_by for row in answer.shelf] == [
        datetime.date(2026, 7, 1),
        datetime.date(2026, 7, 1),
        half_a_year_on,
    ]


# ------------------------------------------------------------------------------------------------ make and fix


def test_a_preserve_that_is_not_to_be_made_is_not_complained_about():
    assert settled(juice(minutes_typed=1, include=False))[1:] == ([], [])


def test_a_fix_never_revives_what_is_refused():
    unsafe = juice(minutes_typed=1, include=False)
    lines = (
        PlanLine(DAY, 1, unsafe.name, fix=7.0, where="Plan!J4"),
        PlanLine(DAY, 1, unsafe.name, make=3.0, where="Plan!J5"),
    )
    answer, problems = settle(household(unsafe, plan_lines=lines))
    assert [(group(problem), problem.where) for problem in problems] == [("fixed line refused", "Plan!J4")]
    assert [line.fix for line in answer.plan_lines] == [None, None]
    assert answer.planned() == ()


def test_a_fix_of_a_safe_preserve_is_kept():
    safe = juice(include=False)
    lines = (PlanLine(DAY, 1, safe.name, fix=7.0, where="Plan!J4"),)
    answer, problems = settle(household(safe, plan_lines=lines))
    assert answer.plan_lines == lines
    assert answer.preserves[0].process_minutes == 40
    assert not [problem for problem in problems if group(problem) == "fixed line refused"]


def test_a_fix_of_a_refused_preserve_that_is_to_be_made_stops():
    unsafe = juice(minutes_typed=1)
    lines = (PlanLine(DAY, 1, unsafe.name, fix=7.0, where="Plan!J4"),)
    _, problems = settle(household(unsafe, plan_lines=lines))
    assert [group(problem) for problem in problems if problem.is_error] == ["minutes below table"]


# ------------------------------------------------------------------------------------------------ what is said


def test_what_a_crop_was_matched_to_is_said_once():
    _, problems = settle(household(juice(), juice(name="second juice")))
    assert [sentences(problem)[0] for problem in problems] == [
        "The handbook food of plum tomato is tomato, by its name."
    ]


def test_a_typed_food_that_matches_nothing_is_asked_about():
    crops = (Crop("plum tomato", 3, handbook_food="love fruit"),)
    assert stops(juice(), crops=crops) == ["typed food not listed"]


def test_settling_twice_changes_nothing_more():
    once, problems = settle(household(juice(), beans()))
    twice, again = settle(once)
    assert twice == once
    assert again == problems


def test_settling_does_not_depend_on_the_order_of_rows():
    one, _ = settle(household(juice(), beans()))
    two, _ = settle(household(beans(), juice()))
    assert sorted(one.preserves, key=lambda item: item.name) == sorted(two.preserves, key=lambda item: item.name)


def test_what_could_not_be_read_is_set_aside_without_a_second_word():
    """Reading has told it already; a fixed line cannot bring it back."""
    blank = juice(method="")
    lines = (PlanLine(DAY, 1, blank.name, fix=7.0, where="Plan!J4"),)
    answer, problems = settle(household(blank, beans(container=""), plan_lines=lines))
    assert [group(problem) for problem in problems] == ["fixed line refused"]
    assert answer.planned() == ()


def test_garlic_may_be_counted_in_cloves():
    cloves = (PantryItem("garlic cloves", "each"), PantryItem("vinegar (5%)", "litre"))
    made = pickles(
        ingredients=(crop("cucumbers", 0.45), pantry("vinegar (5%)", 0.8, "cup"), pantry("garlic cloves", 1))
    )
    assert stops(made, pantry=cloves) == []
    many = pickles(
        ingredients=(crop("cucumbers", 0.45), pantry("vinegar (5%)", 0.8, "cup"), pantry("garlic cloves", 9))
    )
    assert "outside the recipe" in stops(many, pantry=cloves)


def test_plain_vinegar_in_pickles_is_told_how_to_count():
    _, problems = settle(household(pickles(ingredients=(crop("cucumbers", 0.45), pantry("vinegar", 2, "cup")))))
    what, what_to_do = sentences(problems[0])
    assert "vinegar does not count, because its strength is unknown" in what
    assert "vinegar of at least 5%, type that under Handbook item" in what_to_do


def test_refused_goods_on_the_shelf_still_get_their_best_by_date():
    refused = juice(minutes_typed=1, include=False)
    answer, _ = settle(household(refused, shelf=(ShelfRow(refused.name, 2, datetime.date(2025, 8, 1)),)))
    assert answer.shelf[0].best_by == datetime.date(2026, 8, 1)


def test_a_limit_from_memory_is_said():
    _, refused, said = settled(
        pickles(ingredients=(crop("cucumbers", 0.44), pantry("vinegar (5%)", 0.8, "cup"), crop("garlic", 0.005)))
    )
    assert refused == []
    assert "from memory" in said
    assert "from memory" not in settled(pickles())[2]


# ------------------------------------------------------------------------------------------ common practice, no source


def test_forty_five_minutes_a_quart_of_juice_is_more_and_kept():
    """A habit without source; the table says 40 up to 1,000 ft, 45 above, and 50 above 3,000 ft."""
    assert settled(juice())[0].process_minutes == 40
    found, refused, said = settled(juice(minutes_typed=45.0))
    assert (refused, found.process_minutes, "more minutes than table" in said) == ([], 45, True)
    assert settled(juice(minutes_typed=45.0), altitude_ft=2_300)[0].process_minutes == 45
    assert stops(juice(minutes_typed=45.0), altitude_ft=3_001) == ["minutes below table"]


def test_a_cup_of_bottled_lemon_juice_to_eight_quarts_is_the_published_dose():
    a_jar = pantry("bottled lemon juice", 1 / 8, "cup")
    assert stops(juice(ingredients=(crop("plum tomato", 1.5), a_jar))) == []
    to_nine = pantry("bottled lemon juice", 1 / 9, "cup")
    assert stops(juice(ingredients=(crop("plum tomato", 1.5), to_nine))) == ["acid below table"]


def test_broth_for_ninety_minutes_is_more_and_kept_and_its_pounds_are_the_tables():
    broth = Preserve(
        "broth", "pressure canned", "quart", handbook_line="beef stock, hot pack, quart", minutes_typed=90.0, equipment=("canner",),
        ingredients=(Ingredient("beef bones", "pantry", 0.5),),
    )  # fmt: skip
    bones = (PantryItem("beef bones", "kg"),)
    found, refused, _ = settled(broth, gauge="weighted", pantry=bones)
    assert (refused, found.process_text, found.own_recipe) == ([], "90 min at 10 lb, weighted", False)
    plain = dataclasses.replace(broth, minutes_typed=None)
    assert settled(plain, gauge="weighted", pantry=bones)[0].process_text == "25 min at 10 lb, weighted"
    assert settled(broth, gauge="weighted", altitude_ft=1_450, pantry=bones)[0].pressure_lb == 15


def test_dried_fruit_says_how_it_is_to_be_and_how_long_it_is_conditioned():
    rings = dried(handbook_line="apples, dried", ingredients=(crop("apples", 2.0),))
    assert settled(rings)[0].process_text == "12 h; until leathery and pliable, then 4 to 10 days of conditioning"


def test_a_pressure_canner_that_is_said_to_cool_at_once_takes_the_least_published_time():
    """AIB 539, Guide 1: 20 to 60 minutes, never forced; the time is in every load."""
    hurried = Equipment(
        "canner", "pressure canner", loads=(Load(7, "quart jars"), Load(9, "pint jars")), where="Kitchen!O8"
    )
    answer, problems = settle(household(beans(), equipment=(hurried,)))
    assert [(group(problem), problem.where) for problem in problems] == [("cools too fast", "Kitchen!O8")]
    assert answer.equipment[0].cool_down_hours * 60 == pytest.approx(20)
    slow = dataclasses.replace(hurried, cool_down_hours=1.0)
    assert settle(household(beans(), equipment=(slow,)))[0].equipment == (slow,)


def test_an_own_ferment_takes_the_published_salt():
    kraut = Preserve(
        "grandmother's kraut", "fermented", "quart", source="grandmother", kept_in="refrigerator",
        ingredients=(crop("cabbage", 2.26), pantry("salt", 3, "tablespoon")),
    )  # fmt: skip
    found, refused, said = settled(kraut)
    assert (refused, found.own_recipe, "own recipe" in said) == ([], True, True)
    weak = dataclasses.replace(kraut, ingredients=(crop("cabbage", 2.26), pantry("salt", 2, "tablespoon")))
    assert stops(weak) == ["salt below table"]


def test_what_is_kept_cold_without_a_date_is_not_good_for_ever():
    """The six months of kraut count from the first day at the latest, whatever Best by says."""
    rows = (ShelfRow("kraut in the crock", 1, None, datetime.date(2030, 1, 1)),)
    answer, _ = settle(household(KRAUT, shelf=rows))
    assert answer.shelf[0].best_by == datetime.date(2027, 2, 14)


def test_stock_is_made_of_bones_and_the_line_is_kept():
    stock = Preserve(
        "stock", "pressure canned", "quart", handbook_line="chicken or turkey stock, hot pack, quart", equipment=("canner",),
        ingredients=(Ingredient("chicken carcass", "pantry", 1.0),),
    )  # fmt: skip
    found, refused, _ = settled(stock, pantry=(PantryItem("chicken carcass", "kg"),))
    assert (refused, found.process_text, found.own_recipe) == ([], "25 min at 11 lb, dial", False)
