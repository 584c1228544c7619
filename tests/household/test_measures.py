"""Units: exact factors, accepted spellings, and what is refused."""

import subprocess
import sys

import pytest

from stillroom.household.measures import (
    SPELLINGS,
    UNITS,
    MeasureWrong,
    factor_by_pint,
    find_unit,
    plain_word,
    to_kg,
    to_litres,
    unit_of,
)


@pytest.mark.parametrize("name", [unit.name for unit in UNITS.values() if unit.pint_name])
def test_every_factor_agrees_with_pint(name):
    assert UNITS[name].factor == pytest.approx(factor_by_pint(UNITS[name]), rel=1e-12)


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


@pytest.mark.parametrize("word", ["c", "T", "t", "#", "jarful", "", "b"])
def test_kitchen_shorthand_that_means_something_else_to_a_computer_is_unknown(word):
    assert find_unit(word) is None


def test_an_unknown_unit_is_told_with_a_suggestion():
    with pytest.raises(MeasureWrong, match=r"^no unit is called \*quuart\*; did you mean \*quart\*\?$"):
        unit_of("quuart")


@pytest.mark.parametrize("text", ["pint", "pt", "pints", "quart", "gallons"])
def test_in_a_metric_workbook_a_bare_pint_quart_or_gallon_is_asked_about(text):
    with pytest.raises(MeasureWrong) as wrong:
        unit_of(text, metric=True)
    assert wrong.value.kind == "unknown unit"
    assert "write US" in wrong.value.fix


@pytest.mark.parametrize(
    ("text", "litres"), [("US pint", 0.473176473), ("imperial pint", 0.56826125), ("US quarts", 0.946352946)]
)
def test_a_pint_that_says_whose_it_is_is_read_in_either_workbook(text, litres):
    assert unit_of(text, metric=True).factor == pytest.approx(litres, rel=1e-9)
    assert unit_of(text).factor == pytest.approx(litres, rel=1e-9)


def test_a_bushel_needs_the_weight_of_that_crop():
    assert to_kg(2, UNITS["bushel"], bushel_kg=24.0) == 48.0
    with pytest.raises(MeasureWrong, match="a bushel of it has no weight"):
        to_kg(2, UNITS["bushel"])


def test_a_volume_becomes_a_weight_only_with_a_density():
    assert to_kg(2, UNITS["L"], kg_per_litre=1.03) == pytest.approx(2.06)
    assert to_litres(2.06, UNITS["kg"], kg_per_litre=1.03) == pytest.approx(2)
    with pytest.raises(MeasureWrong, match=r"\*L\* is not a weight"):
        to_kg(2, UNITS["L"])
    with pytest.raises(MeasureWrong, match=r"\*kg\* is not a volume"):
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
    code = "import sys, stillroom.household.amounts, stillroom.household.loads; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
