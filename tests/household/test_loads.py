"""How many containers one filling takes, and what a pot takes before it boils down."""

import dataclasses
import datetime
from dataclasses import replace

import pytest

from stillroom.handbook.crop_figures import pot_litres_per_kg
from stillroom.household import load_steps
from stillroom.household.audit.hours import litres_before_boiling_down, pot_litres
from stillroom.household.checks import (
    containers_held,
    is_container,
    known_kind,
    load_of,
    pots_at_once,
    size_and_kind,
    with_loads,
)
from stillroom.household.examples import tiny_household
from stillroom.household.journal.learning import Learned, with_learned
from stillroom.household.kettles import starting_litres
from stillroom.household.load_steps import leave_without_room
from stillroom.household.records import (
    Container,
    Crop,
    Equipment,
    Hours,
    Household,
    Ingredient,
    Kitchen,
    Load,
    PantryItem,
    PlanLine,
    Preserve,
)
from stillroom.household.suppose import changed
from stillroom.household.units import GALLON_LITRES, POUND_KG
from stillroom.reports.problems import sentences

QUART = GALLON_LITRES / 4
DAY = datetime.date(2026, 8, 14)
QUART_JAR = Container("quart jar", "jar", holds_litres=QUART)
LITRE_JAR = Container("tall jar", "glass jar", holds_litres=1.0)
PINT_JAR = Container("Kim's pint", "jar", holds_litres=QUART / 2)
BOX = Container("box", "box", holds_kg=9.0)


@pytest.mark.parametrize(
    ("words", "container", "close"),
    [
        ("quart jar", QUART_JAR, 2),
        ("Quart  Jars", QUART_JAR, 2),
        ("boxes", BOX, 2),
        ("qt jars", QUART_JAR, 1),
        ("quart jars", LITRE_JAR, 1),
        ("litre jars", QUART_JAR, 1),
        ("1 L jars", QUART_JAR, 1),
        ("half-quart jars", PINT_JAR, 0),
        ("pint jars", PINT_JAR, 1),
        ("500 ml jars", PINT_JAR, 1),
        ("pint jars", QUART_JAR, 0),
        ("quart tubs", QUART_JAR, 0),
        ("quart boxes", BOX, 0),
        ("jars", QUART_JAR, 0),
        ("", QUART_JAR, 0),
    ],
)
def test_words_name_a_container_by_its_name_or_by_size_and_kind_within_6_percent(words, container, close):
    """A litre is 5.7 % over a quart; half a litre 5.7 % over a pint; a quart 5.4 % under a litre."""
    assert is_container(words, container) == close


@pytest.mark.parametrize("litres", [QUART * 1.0601, QUART * 0.9399])
def test_more_than_6_percent_off_is_another_size(litres):
    assert is_container("quart jars", Container("odd", "jar", holds_litres=litres)) == 0


def test_size_and_kind_is_a_volume_and_a_word():
    assert size_and_kind("half-gallon jars") == (pytest.approx(GALLON_LITRES / 2), "jar")
    assert size_and_kind("5 lb bags") is None


def dried(kg_each, container=PINT_JAR):
    return Preserve(
        "dried", "dried", container.name, equipment=("dryer",), ingredients=(Ingredient("tomato", "crop", kg_each),)
    )


@pytest.mark.parametrize(
    ("load", "preserve", "container", "held"),
    [
        (Load(12, "lb"), dried(5 * POUND_KG), PINT_JAR, 2.4),
        (Load(9, "kg"), Preserve("stock", "frozen", "box"), BOX, 1.0),
        (Load(8, "qt"), Preserve("juice", "frozen", "quart jar"), QUART_JAR, 8.0),
        (Load(2, "gallons"), Preserve("juice", "frozen", "quart jar"), QUART_JAR, 8.0),
        (Load(1, "bu"), dried(53 * POUND_KG / 18), PINT_JAR, 18.0),
        (Load(4, "trays"), dried(1.0), PINT_JAR, None),
        (Load(8, "qt"), Preserve("roots", "root cellar", "box"), BOX, None),
    ],
)
def test_weights_count_by_the_crop_of_one_container_and_volumes_by_what_it_holds(load, preserve, container, held):
    piece = Equipment("piece", "kettle", loads=(load,))
    found = containers_held(piece, preserve, container, (Crop("tomato", 5, bushel_kg=53 * POUND_KG),))
    assert (None if found is None else found[0]) == (None if held is None else pytest.approx(held))


def test_the_row_that_names_the_container_goes_before_size_and_kind_and_that_before_weight():
    rows = (Load(20, "lb"), Load(9, "pint jars"), Load(8, "Kim's pints"))
    piece = Equipment("canner", "boiling-water canner", loads=rows)
    assert containers_held(piece, dried(1.0), PINT_JAR, ())[0] == 8
    piece = Equipment("canner", "boiling-water canner", loads=rows[:2])
    assert containers_held(piece, dried(1.0), PINT_JAR, ())[0] == 9


def kitchen(preserve, *equipment, plan_lines=()):
    return Household(
        Kitchen(DAY),
        equipment=equipment,
        containers=(QUART_JAR, PINT_JAR, BOX),
        preserves=(preserve,),
        plan_lines=plan_lines,
    )


def test_a_load_of_4_and_a_half_is_4_containers():
    preserve = Preserve("p", "frozen", "Kim's pint", equipment=("kettle",))
    assert load_of(preserve, kitchen(preserve, Equipment("kettle", "kettle", loads=(Load(9, "cups"),)))) == (4, ())


def test_seven_quarts_in_a_canner_for_seven_quarts_are_seven_and_not_six():
    """The sizes are no round numbers in litres; nothing may be lost by rounding."""
    preserve = Preserve("p", "frozen", "quart jar", equipment=("kettle",))
    for load in (Load(7, "qt"), Load(1.75, "gal"), Load(28, "cups")):
        assert load_of(preserve, kitchen(preserve, Equipment("kettle", "kettle", loads=(load,))))[0] == 7


@pytest.mark.parametrize(("make", "fixed", "told"), [(True, False, 1), (False, False, 0), (False, True, 1)])
def test_only_what_is_to_be_made_or_fixed_brings_a_problem(make, fixed, told):
    preserve = Preserve("p", "frozen", "quart jar", include=make, equipment=("kettle",), where="Preserves!B4")
    lines = (PlanLine(DAY, 1, "p", fix=7.0),) if fixed else ()
    household, problems = with_loads(
        kitchen(preserve, Equipment("kettle", "kettle", loads=(Load(9, "trays"),)), plan_lines=lines)
    )
    assert len(problems) == told
    assert household.preserves[0].load is None


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("Boiling Water Canner", "boiling-water canner"),
        ("PRESSURE CANNER", "pressure canner"),
        ("Steam  juicer", "steam juicer"),
    ],
)
def test_known_kinds_of_equipment_are_brought_to_one_spelling(typed, kind):
    assert known_kind(typed) == kind


# ---------------------------------------------------------------- a load that no day has hours for


def home(**changes):
    """The tiny household, 2 hours of stove a day; juice takes 30 min to heat and its process in the canner."""
    tiny = tiny_household()
    return tiny.changed("preserves", "juice", **{"process_minutes": 100, "stove_minutes_load": 0, **changes})


def left_out(household):
    """What is left out, each with the sentence that says why."""
    settled, problems = leave_without_room(household)
    assert [item.name for item in settled.preserves if item.refused] == [one.names[0] for one in problems]
    assert not any(item.include for item in settled.preserves if item.refused)
    return [sentences(one)[0] for one in problems]


def test_a_load_that_no_day_has_hours_for_is_left_out_with_its_hours_and_the_longest_day():
    """30 + 100 minutes are 2 h 10 min; every day has 2 h, and just as long a load fits."""
    said = "No day has room for one load of juice: 2 h 10 min of canner, the longest day has 2 h."
    assert left_out(home()) == [said]
    assert left_out(home(process_minutes=90)) == []


def test_the_share_of_hours_kept_free_counts_and_so_do_hours_typed_for_the_canner():
    assert left_out(home(process_minutes=90).with_kitchen(kept_free=0.1))[0].endswith("the longest day has 1 h 48 min.")
    canner = Hours("Canner", (1, 1, 1, 1, 1, 3, 1), 9)
    assert left_out(replace(home(), hours=(*home().hours, canner))) == []
    without = replace(home(), hours=(Hours("hands", (4,) * 7, 28),))
    assert left_out(without) == []


def test_a_later_week_with_more_hours_than_its_days_has_room():
    longer = replace(home(), hours=(Hours("stove free", (2,) * 7, 30),))
    assert left_out(longer) == []


def test_what_runs_by_night_a_line_kept_at_a_number_and_a_plan_in_weeks_are_left_in():
    by_night = home().changed("equipment", "canner", runs_overnight=True)
    assert left_out(by_night) == []
    kept = replace(home(), plan_lines=(PlanLine(DAY, 1, "juice", fix=7.0),))
    assert left_out(kept) == []
    assert left_out(home().with_kitchen(days_planned_singly=0)) == []


def test_pots_that_share_a_load_share_the_minutes_it_cooks(monkeypatch):
    """Three hours in one pot are too long for a day of two, and an hour and a half in each of two are not."""
    pot = Equipment("pot", "kettle", 1, (Load(7, "qt"),), 1)
    one = home(process_minutes=10, equipment=("pot", "canner"), stove_minutes_load=180)
    one = replace(one, equipment=(*one.equipment, pot))
    assert left_out(one)[0].startswith("No day has room for one load of juice: 3 h of pot,")
    monkeypatch.setattr(load_steps, "pots_at_once", lambda preserve, household: 2)
    assert left_out(one) == []


# What a pot takes before it boils down.

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


def pot_home(preserve, piece, burners=4.0, **settings):
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
    household, problems = with_loads(pot_home(preserve, piece, **settings))
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
    household = dataclasses.replace(pot_home(made, pot((8, "qt"))), preserves=(made, *others))
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
    household = pot_home(sauce(), pot((8, "quart jars"), how_many=how_many), burners)
    whole, _ = with_loads(household)
    assert (whole.preserves[0].load, pots_at_once(whole.preserves[0], whole)) == (load, pots)
    ((_, litres),) = pot_litres(whole, whole.preserves[0])
    assert load * 2 * QUART <= litres * 1.0001


@pytest.mark.parametrize(("said", "load"), [("pot +1", 7), ("pot gone", 4), ("canner +1", 4)])
def test_another_pot_is_supposed_with_the_load_it_would_share(said, load):
    household, _ = with_loads(pot_home(sauce(), pot((8, "quart jars"))))
    assert changed(household, said)[0].preserves[0].load == load


def test_what_the_record_teaches_of_the_crop_changes_what_the_pot_takes():
    """Four quarts of 6.571 lb; by a record of 5 lb a quart it takes five."""
    household, _ = with_loads(pot_home(sauce(), pot((8, "quart jars"))))
    lesson = Learned("sauce", "plum tomato", 46 / 7 * POUND_KG, 5 * POUND_KG, 5 * POUND_KG)
    assert with_learned(household, [lesson]).preserves[0].load == 5


def test_a_pot_that_does_not_take_one_container_is_an_error():
    load, problems = load_of(sauce(), pot_home(sauce(), pot((1, "quart jars"))))
    assert (load, [problem.kind for problem in problems]) == (None, ["load too small"])
