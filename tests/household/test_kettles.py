"""What a pot takes before it boils down."""

import dataclasses
import datetime

import pytest

from stillroom.handbook.crop_figures import pot_litres_per_kg
from stillroom.household.audit.hours import litres_before_boiling_down, pot_litres
from stillroom.household.checks import load_of, pots_at_once, with_loads
from stillroom.household.journal.learning import Learned, with_learned
from stillroom.household.kettles import starting_litres
from stillroom.household.records import (
    Container,
    Crop,
    Equipment,
    Household,
    Ingredient,
    Kitchen,
    Load,
    PantryItem,
    Preserve,
)
from stillroom.household.suppose import changed
from stillroom.household.units import GALLON_LITRES, POUND_KG
from stillroom.reports.problems import sentences

QUART = GALLON_LITRES / 4
JAR = Container("quart jar", "jar", holds_litres=QUART)
PINT = Container("pint jar", "jar", holds_litres=QUART / 2)
TUB = Container("tub", "tub", holds_kg=1.0)
CANNER = Equipment("canner", "boiling-water canner", loads=(Load(7, "quart jars"), Load(9, "pint jars")))
CROPS = tuple(
    Crop(name, 5, food, trimmings_share=share, pot_litres_per_kg=pot_litres_per_kg(name, food, share))
    for name, food, share in (("plum tomato", "tomato", 0.09), ("onion", "onions", 0.1), ("grape", "grapes", 0.0))
)
PANTRY = (
    PantryItem("lemon juice", "litre", into_jars=True),
    PantryItem("vinegar", "litre"),
    PantryItem("sugar", "kg"),
)


def pot(*loads, how_many=1, kind="kettle"):
    return Equipment("pot", kind, how_many, loads=tuple(Load(number, unit) for number, unit in loads), burners=1.0)


def sauce(pounds=46 / 7, *more, **fields):
    """Sauce of so many pounds of plum tomatoes a quart; 46 lb for 7 quarts is the published thick sauce."""
    lines = (Ingredient("plum tomato", "crop", pounds * POUND_KG), *more)
    plain = {"equipment": ("pot", "canner"), "ingredients": lines, "where": "Preserves!A9"}
    return Preserve("sauce", "boiling-water canned", "quart jar", **(plain | fields))


def home(preserve, piece, burners=4.0, **settings):
    return Household(
        Kitchen(datetime.date(2026, 8, 14), burners=burners, **settings),
        equipment=(piece, CANNER),
        crops=CROPS,
        containers=(JAR, PINT, TUB),
        pantry=PANTRY,
        preserves=(preserve,),
    )


def loaded(preserve, piece, **settings):
    """The load of a preserve, and the notes about it."""
    household, problems = with_loads(home(preserve, piece, **settings))
    return household.preserves[0].load, problems


@pytest.mark.parametrize(
    ("pounds", "typed", "load"),
    [
        (46 / 7, (8, "quart jars"), 4),  # 6.571 lb are 2 quarts of pulp (23 lb for 7), and 8 / 2 = 4
        (5, (8, "quart jars"), 5),  # 5 * 7 / 23 = 1.52 quarts; 8 / 1.52 = 5.3
        (5, (8, "qt"), 5),
        (5, (2, "gallons"), 5),
        (5, (12, "qt"), 7),  # 12 / 1.52 = 7.9, and the canner takes 7
        (23 / 7, (8, "quart jars"), 7),  # juice: one quart of pulp a quart
        (3.286, (7, "quart jars"), 7),  # 3.286 is 23 / 7 in four figures
        (2, (8, "quart jars"), 7),  # never less than what the jar holds
        (5, (46, "lb"), 7),  # a weight is as typed: 9 quarts
        (5, (20, "lb"), 4),
        (5, (16, "pint jars"), None),  # no row for quarts, as before
    ],
)
def test_a_load_is_what_the_pot_takes_before_it_boils_down(pounds, typed, load):
    assert loaded(sauce(pounds), pot(typed))[0] == load


@pytest.mark.parametrize(
    ("more", "quarts"),
    [
        (Ingredient("vinegar", "pantry", QUART / 2), 2.5),
        (Ingredient("lemon juice", "pantry", 0.03), 2.0),
        (Ingredient("sugar", "pantry", 0.5), 2.0),
        (Ingredient("sugar", "pantry", 0.5, litres_each=QUART / 4), 2.25),
        (Ingredient("salt that is not there", "pantry", 0.5), 2.0),
        (Ingredient("onion", "crop", 1.41 * POUND_KG / 0.9), 3.0),  # a quart of chopped onions weighs 1.41 lb
        (Ingredient("broth", "preserve", 0.5), 2.25),
        (Ingredient("grape", "crop", 1.0), None),
        (Ingredient("grape", "crop", 0.0), 2.0),
        (Ingredient("pulp by weight", "preserve", 0.5), None),
    ],
)
def test_what_else_goes_into_the_pot_takes_room(more, quarts):
    made = sauce(46 / 7, more)
    others = (Preserve("broth", "frozen", "pint jar"), Preserve("pulp by weight", "frozen", "tub"))
    household = dataclasses.replace(home(made, pot((8, "qt"))), preserves=(made, *others))
    found = starting_litres(made, household)
    assert (found and found / QUART) == (None if quarts is None else pytest.approx(quarts, rel=1e-3))
    assert litres_before_boiling_down(household, made) == pytest.approx(found or 0.0)


def test_a_pot_counts_by_its_place_before_the_canner_or_by_its_kind():
    frozen = dataclasses.replace(sauce(equipment=("pot",)), method="frozen")
    assert loaded(sauce(), pot((8, "quart jars"), kind="stockpot"))[0] == 4
    assert loaded(frozen, pot((8, "quart jars")))[0] == 4
    assert loaded(frozen, pot((8, "quart jars"), kind="stockpot"))[0] == 8


def test_a_smaller_load_is_said_with_its_weights_and_volumes():
    _, (problem,) = loaded(sauce(), pot((8, "quart jars")))
    what, _ = sentences(problem)
    assert (problem.where, problem.severe, problem.is_error) == ("Preserves!A9", False, False)
    assert what == (
        "Pot holds 8 quarts, and is filled before the food boils down, so a load is 26 lb for sauce, not 46 lb (14 "
        "quarts)."
    )
    _, (problem,) = loaded(sauce(), pot((8, "quart jars")), weight_unit="kg")
    assert sentences(problem)[0].endswith("so a load is 12 kg for sauce, not 21 kg (13.2 L).")


def test_without_a_density_the_finished_jars_count_and_that_is_said():
    load, (problem,) = loaded(sauce(5, Ingredient("grape", "crop", 1.0)), pot((8, "quart jars"), how_many=2))
    assert load == 7
    assert sentences(problem)[0] == "No published density of grape, so pot is filled with sauce by its finished jars."


@pytest.mark.parametrize("typed", [(14, "qt"), (46, "lb")])
def test_a_pot_that_is_wide_enough_or_typed_by_weight_brings_no_note(typed):
    assert loaded(sauce(), pot(typed)) == (7, ())
    if typed[1] == "lb":
        assert loaded(sauce(5, Ingredient("grape", "crop", 0.1)), pot(typed))[1] == ()


@pytest.mark.parametrize(
    ("how_many", "burners", "load", "pots"),
    [(1, 4.0, 4, 1), (2, 4.0, 7, 2), (9, 4.0, 7, 2), (2, 2.0, 4, 1), (2, 3.0, 7, 2)],
)
def test_equal_pots_share_a_load_while_a_burner_is_left_for_the_canner(how_many, burners, load, pots):
    household = home(sauce(), pot((8, "quart jars"), how_many=how_many), burners)
    whole, _ = with_loads(household)
    assert (whole.preserves[0].load, pots_at_once(whole.preserves[0], whole)) == (load, pots)
    ((_, litres),) = pot_litres(whole, whole.preserves[0])
    assert load * 2 * QUART <= litres * 1.0001


@pytest.mark.parametrize(("said", "load"), [("pot +1", 7), ("pot gone", 4), ("canner +1", 4)])
def test_another_pot_is_supposed_with_the_load_it_would_share(said, load):
    household, _ = with_loads(home(sauce(), pot((8, "quart jars"))))
    assert changed(household, said)[0].preserves[0].load == load


def test_what_the_record_teaches_of_the_crop_changes_what_the_pot_takes():
    """Four quarts of 6.571 lb; by a record of 5 lb a quart it takes five."""
    household, _ = with_loads(home(sauce(), pot((8, "quart jars"))))
    lesson = Learned("sauce", "plum tomato", 46 / 7 * POUND_KG, 5 * POUND_KG, 5 * POUND_KG)
    assert with_learned(household, [lesson]).preserves[0].load == 5


def test_a_pot_that_does_not_take_one_container_is_an_error():
    load, problems = load_of(sauce(), home(sauce(), pot((1, "quart jars"))))
    assert (load, [problem.kind for problem in problems]) == (None, ["load too small"])
