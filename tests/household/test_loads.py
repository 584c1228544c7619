"""How many containers one filling takes."""

import datetime

import pytest

from stillroom.household.checks import containers_held, is_container, known_kind, load_of, size_and_kind, with_loads
from stillroom.household.records import (
    Container,
    Crop,
    Equipment,
    Household,
    Ingredient,
    Kitchen,
    Load,
    PlanLine,
    Preserve,
)
from stillroom.household.units import GALLON_LITRES, POUND_KG

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
