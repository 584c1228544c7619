"""Units: exact factors, accepted spellings, and what is refused."""

import subprocess
import sys

import pint
import pytest

from stillroom.household.names import plain_word
from stillroom.household.units import (
    COMMON,
    SPELLINGS,
    UNITS,
    MeasureWrong,
    factor_by_pint,
    find_unit,
    in_base,
    registry,
    to_kg,
    to_litres,
    unit_of,
)


@pytest.fixture(scope="module")
def theirs():
    """Pint's own registry, with nothing of ours in it."""
    return pint.UnitRegistry(cache_folder=None)


BASES = {"weight": "kilogram", "volume": "liter", "length": "foot", "time": "hour", "bushel": "dimensionless"}
DEFINED = [unit.name for unit in UNITS.values() if unit.definition]
BASE_OF_OURS = {"weight": "kg", "volume": "L", "length": "ft", "time": "h", "bushel": "bushel"}


@pytest.mark.parametrize("name", DEFINED)
def test_every_listed_unit_is_what_the_default_registry_of_pint_says(name, theirs):
    """The table of common factors is held to it too; so is the registry of ours."""
    unit = UNITS[name]
    said = theirs.parse_expression(unit.definition).to(BASES[unit.measures]).magnitude
    assert unit.factor == pytest.approx(said, rel=1e-12)
    assert factor_by_pint(unit) == pytest.approx(said, rel=1e-12)
    ours = registry().Quantity(1.0, name.replace(" ", "_")).to(BASE_OF_OURS[unit.measures]).magnitude
    assert ours == pytest.approx(said, rel=1e-12)


def test_every_common_factor_is_listed_and_held_to_pint():
    assert set(COMMON) <= set(DEFINED)
    assert {unit.name for unit in UNITS.values() if not unit.definition} == {"bushel", "flat", "each", "dozen"}


def test_the_registry_knows_our_units_and_no_other():
    assert {*registry()} == {name.replace(" ", "_") for name in DEFINED} | {"bushel"}


@pytest.mark.parametrize(
    ("name", "inside"),
    [
        ("lb", 0.45359237),
        ("quart", 0.946352946),
        ("pint", 0.473176473),
        ("gallon", 3.785411784),
        ("imperial pint", 0.56826125),
    ],
)
def test_factors_are_those_of_nist_sp_811(name, inside):
    """NIST SP 811 appendix B: the pound exactly, US quart, pint and gallon; the imperial gallon is 4.54609 L."""
    assert UNITS[name].factor == pytest.approx(inside, rel=1e-10)


def test_no_spelling_stands_for_two_units():
    spellings = [spelling for name, all_of_it in SPELLINGS.items() for spelling in (name.casefold(), *all_of_it)]
    assert len({*spellings}) >= len(spellings) - len([name for name in SPELLINGS if name.casefold() in SPELLINGS[name]])
    for name, all_of_it in SPELLINGS.items():
        assert {find_unit(spelling).name for spelling in all_of_it} == {name}


@pytest.mark.parametrize("spelling", ["Lbs.", " LB ", "lb\u00a0", "pounds"])
def test_capitals_spaces_and_full_stops_do_not_matter(spelling):
    assert unit_of(spelling).name == "lb"


@pytest.mark.parametrize("word", ["c", "T", "t", "F", "C", "K", "b", "B", "d", "s", "a", "#", "jarful", ""])
def test_kitchen_shorthand_that_means_something_else_to_a_computer_is_unknown(word):
    assert find_unit(word) is None


NO_KITCHEN_UNITS = (
    "farad coulomb volt watt ampere henry tesla ohm mole candela lux bar psi pascal atmosphere joule calorie degF degC "
    "radian furlong fathom parsec grain carat dram scruple barrel hogshead firkin drachm slug byte pH kip kat rpm knot"
)


@pytest.mark.parametrize("word", NO_KITCHEN_UNITS.split())
def test_what_only_pint_knows_is_unknown(word):
    assert find_unit(word) is None
    with pytest.raises(MeasureWrong) as wrong:
        unit_of(word)
    assert wrong.value.kind == "unknown unit"


def test_an_unknown_unit_is_told_with_a_suggestion():
    with pytest.raises(MeasureWrong, match=r'^no unit is called "quuart"; did you mean quart\?$'):
        unit_of("quuart")


@pytest.mark.parametrize("text", ["pint", "pt", "pints", "quart", "gallons"])
def test_in_a_metric_workbook_a_bare_pint_quart_or_gallon_is_asked_about(text):
    with pytest.raises(MeasureWrong) as wrong:
        unit_of(text, metric=True)
    assert wrong.value.kind == "unit of two sizes"
    assert "type US" in wrong.value.fix


@pytest.mark.parametrize(
    ("text", "litres"), [("US pint", 0.473176473), ("imperial pint", 0.56826125), ("US quarts", 0.946352946)]
)
def test_a_pint_that_says_whose_it_is_is_read_in_either_workbook(text, litres):
    assert unit_of(text, metric=True).factor == pytest.approx(litres, rel=1e-9)
    assert unit_of(text).factor == pytest.approx(litres, rel=1e-9)


def test_case_never_matters():
    for spelling in (*SPELLINGS, *(spelling for several in SPELLINGS.values() for spelling in several)):
        meant = find_unit(spelling)
        assert meant is not None
        assert {find_unit(form) for form in (spelling.upper(), spelling.title(), spelling.swapcase())} == {meant}


def test_a_hundredweight_is_asked_about_where_it_may_be_either():
    assert unit_of("cwt").factor == pytest.approx(100 * 0.45359237, rel=1e-12)
    with pytest.raises(MeasureWrong, match="type US hundredweight or imperial hundredweight"):
        unit_of("cwt", metric=True)
    assert unit_of("imperial cwt", metric=True).factor == pytest.approx(112 * 0.45359237, rel=1e-12)


def test_a_peck_is_a_quarter_of_the_crops_bushel():
    assert to_kg(2, UNITS["peck"], bushel_kg=24.0) == 12.0
    with pytest.raises(MeasureWrong, match=r"a peck of this crop has no weight; fill in Bushel weighs"):
        to_kg(2, UNITS["peck"])


@pytest.mark.parametrize("name", ["flat", "dozen"])
def test_a_flat_or_a_dozen_of_a_crop_has_no_weight(name):
    with pytest.raises(MeasureWrong, match=f"a {name} of this crop has no weight; type a weight"):
        to_kg(2, UNITS[name], bushel_kg=24.0, kg_per_litre=1.0)


@pytest.mark.parametrize(
    ("name", "measures", "fix"),
    [
        ("inch", "length", "type it in ft or m"),
        ("day", "time", "min or h"),
        ("cup", "length", "type a length such as 1450 ft"),
    ],
)
def test_an_altitude_and_work_take_their_short_lists_only(name, measures, fix):
    with pytest.raises(MeasureWrong, match=fix) as wrong:
        in_base(3, UNITS[name], measures, "ft")
    assert wrong.value.kind == ("wrong measure" if name == "cup" else "unit not used here")


def test_a_bushel_needs_the_weight_of_that_crop():
    assert to_kg(2, UNITS["bushel"], bushel_kg=24.0) == 48.0
    with pytest.raises(MeasureWrong, match="a bushel of this crop has no weight"):
        to_kg(2, UNITS["bushel"])


def test_a_volume_becomes_a_weight_only_with_a_density():
    assert to_kg(2, UNITS["L"], kg_per_litre=1.03) == pytest.approx(2.06)
    assert to_kg(3, UNITS["dry quart"], kg_per_litre=0.6) == pytest.approx(3 * 1.101220942715 * 0.6)
    assert to_litres(2.06, UNITS["kg"], kg_per_litre=1.03) == pytest.approx(2)
    with pytest.raises(MeasureWrong, match=r"L is not a weight"):
        to_kg(2, UNITS["L"])
    with pytest.raises(MeasureWrong, match=r"kg is not a volume"):
        to_litres(2, UNITS["kg"])


@pytest.mark.parametrize(
    ("many", "one"),
    [
        ("boxes", "box"),
        ("jars", "jar"),
        ("batches", "batch"),
        ("glasses", "glass"),
        ("glass", "glass"),
        ("berries", "berry"),
    ],
)
def test_plain_plurals_are_brought_to_the_singular(many, one):
    assert plain_word(many) == one


def test_reading_amounts_does_not_import_pint():
    """Importing pint costs a third of a second; no run of the program pays for it."""
    code = "import sys, stillroom.household.amounts, stillroom.household.checks; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


SPELT = """
kg: kg, KG, kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes, Kg.
g: g, G, gm, gms, gram, grams, gramme, grammes, g.
mg: mg, milligram, milligrams
tonne: tonne, tonnes, metric ton, Metric Tons
lb: lb, LB, Lb., lbs, lbs., LBS, pound, pounds, Pounds
oz: oz, OZ, oz., ozs, ounce, ounces
stone: stone, stones, st, St.
hundredweight: hundredweight, hundredweights, cwt, CWT, US cwt, US hundredweight
imperial hundredweight: imperial hundredweight, imperial cwt, imp. cwt, UK cwt, UK hundredweight
L: L, l, litre, litres, liter, liters, Liters, ltr, ltrs
dl: dl, dL, decilitre, decilitres, deciliter, deciliters
cl: cl, cL, centilitre, centilitres, centiliter, centiliters
ml: ml, mL, ML, mls, millilitre, millilitres, milliliter, milliliters, cc
gallon: gallon, gallons, gal, gal., gals, US gallon, US gallons, US gal, U.S. gallon
half gallon: half gallon, half-gallon, half gallons, half-gallons, half gal
quart: quart, quarts, qt, qt., qts, QT, US quart, US quarts, US qt, U.S. qt.
pint: pint, pints, pt, pt., pts, US pint, US pints, US pt
half pint: half pint, half-pint, half pints, half-pints, half pt
cup: cup, cups, Cups, US cup, US cups
fl oz: fl oz, fl. oz., fl. oz, Fl Oz, fluid ounce, fluid ounces, floz, US fl oz
tbsp: tbsp, tbsp., Tbsp, TBSP, tbs, tbsps, tblsp, tablespoon, tablespoons
tsp: tsp, tsp., TSP, tsps, teaspoon, teaspoons
imperial gallon: imperial gallon, imperial gallons, imp gallon, imp. gal., UK gallon, UK gallons
imperial quart: imperial quart, imperial quarts, imp quart, imp qt, UK quart, UK qt
imperial pint: imperial pint, imperial pints, Imperial Pint, imp pint, imp pt, UK pint, UK pints
imperial fl oz: imperial fl oz, imp. fl. oz., UK fl oz, imperial fluid ounce, imperial fluid ounces
metric cup: metric cup, metric cups
dry pint: dry pint, dry pints, dry pt
dry quart: dry quart, dry quarts, dry qt
cubic feet: cubic feet, cubic foot, cu ft, cu. ft., cu ft., ft3, ft³, cf, Cu Ft
cubic inches: cubic inches, cubic inch, cu in, cu. in., in³
cubic metres: cubic metres, cubic metre, cubic meters, m3, m³
ft: ft, ft., FT, foot, feet, '
m: m, M, metre, metres, meter, meters
inch: inch, inches, in, in., "
yd: yd, yds, yard, yards
cm: cm, centimetre, centimeters
mm: mm, millimetre, millimeters
min: min, min., mins, minute, minutes
h: h, H, hr, hrs, hour, hours
day: day, days
week: week, weeks, wk, wks
month: month, months, mo, mos
bushel: bushel, bushels, bu, bu.
peck: peck, pecks
flat: flat, flats
each: each, ea, piece, pieces, pcs, pc, count
dozen: dozen, dozens, doz, doz.
jar: jar, jars
box: box, boxes
"""
PAIRS = [
    (spelling.strip(), name) for name, _, several in (line.partition(":") for line in SPELT.strip().splitlines())
    for spelling in several.split(",")
]  # fmt: skip


@pytest.mark.parametrize(("spelling", "name"), PAIRS)
def test_two_hundred_spellings(spelling, name):
    assert unit_of(spelling).name == name


def test_the_spellings_are_two_hundred_and_name_every_unit():
    assert len(set(PAIRS)) >= 200
    assert {name for _, name in PAIRS} >= set(UNITS)


def test_what_is_not_common_waits_for_pint_and_what_is_common_does_not():
    code = (
        "import sys; from stillroom.household.amounts import amount_from as read;"
        "[read(f'2 {unit}').unit.factor for unit in ('lb', 'cups', 'qt', 'cu ft', 'min', 'dozen', 'bu', 'jars')];"
        "before = 'pint' in sys.modules; stone = read('2 stone').unit.factor;"
        "sys.exit(0 if not before and 'pint' in sys.modules and abs(stone - 6.35029318) < 1e-12 else 1)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
