"""Amounts as a cook writes them."""

import contextlib
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.household.amounts import amount_from, money_from, number_from
from stillroom.household.text import format_number
from stillroom.household.units import MeasureWrong


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("53 lb", 53, "lb"),
        ("53lb", 53, "lb"),
        ("1 1/2 cup", 1.5, "cup"),
        ("2 1/4 lb", 2.25, "lb"),
        ("2 bu", 2, "bushel"),
        ("1.5 kg", 1.5, "kg"),
        ("18 qt", 18, "quart"),
        ("½ cup", 0.5, "cup"),
        ("1½ cups", 1.5, "cup"),
        ("2 ¾ lb", 2.75, "lb"),
        ("1⁄4 tsp", 0.25, "tsp"),
        ("1,250 g", 1250, "g"),
        ("12,500.5 g", 12500.5, "g"),
        ("3/4 lb", 0.75, "lb"),
        (".5 L", 0.5, "L"),
        ("7\u00a0cu ft", 7, "cubic feet"),
        ("2 half-gallon", 2, "half gallon"),
        ("5 lb 4 oz", 5.25, "lb"),
        ("12 lb 4 oz", 12.25, "lb"),
        ("12lb4oz", 12.25, "lb"),
        ("12 lb, 4 oz", 12.25, "lb"),
        ("5 lb and 4 1/2 oz", 5.28125, "lb"),
        ("1 gal 2 qt", 1.5, "gallon"),
        ("2 stone 7 lb", 2.5, "stone"),
        ("1 bu 2 pecks", 1.5, "bushel"),
        ("12 CWT", 12, "hundredweight"),
        ("4 imp. pt.", 4, "imperial pint"),
    ],
)
def test_an_amount_is_read(text, number, unit):
    found = amount_from(text)
    assert found.number == pytest.approx(number, rel=1e-12)
    assert found.unit.name == unit


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1,5 kg", 1.5),
        ("0,250 kg", 0.25),
        ("12,75 L", 12.75),
        ("1.250 kg", 1.25),
        ("1,250.5 g", 1250.5),
        ("1.250,5 g", 1250.5),
        ("1 250 g", 1250),
    ],
)
def test_a_decimal_comma_is_understood_in_a_metric_workbook(text, number):
    assert amount_from(text, metric=True).number == pytest.approx(number, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "metric", "told"),
    [
        ("1,250 g", True, '"1,250 g" may be 1.25 or 1250; type it without a comma'),
        ("1,5 lb", False, '"1,5 lb" may be 1.5 or 15; type it without a comma'),
        ("1,25 lb", False, '"1,25 lb" may be 1.25 or 125; type it without a comma'),
        ("1.250,5 g", False, '"1.250,5 g" may be 1.2505 or 1250.5; type it without a comma'),
        ("12/14 lb", False, '"12/14 lb" may be 12 or 14; type the one you mean'),
        ("1 250 g", False, '"1 250 g" is not a number; type a number such as 12 or 1.5'),
        ("3/0 lb", False, '"3/0 lb" divides by zero; type a number such as 12 or 1.5'),
        ("a lot", False, '"a lot" is not an amount; type one number and a unit, such as 53 lb'),
        ("5 lb 4 qt", False, '"5 lb 4 qt" is not an amount; type one number and a unit, such as 53 lb'),
        (
            "5 furlongs",
            False,
            'no unit is called "furlongs"; type a unit such as lb, oz, quart, cup or each',
        ),
        ("", False, '"" is not an amount; type one number and a unit, such as 53 lb'),
    ],
)
def test_what_could_be_read_two_ways_or_not_at_all_is_refused_with_a_question(text, metric, told):
    with pytest.raises(MeasureWrong) as wrong:
        amount_from(text, metric=metric)
    assert str(wrong.value) == told


@given(st.integers(1, 999), st.integers(0, 9), st.booleans())
def test_a_decimal_comma_is_never_read_as_ten_times_or_a_thousand_times_as_much(whole, tenth, metric):
    """`1,5` is 1.5 or a question, whichever workbook it stands in."""
    try:
        number = number_from(f"{whole},{tenth}", metric=metric)
    except MeasureWrong:
        return
    assert number == pytest.approx(whole + tenth / 10)


@given(st.floats(0, 1e9, allow_nan=False), st.booleans())
def test_a_plain_number_is_read_as_it_stands(number, metric):
    assert number_from(f"{number:.6f}", metric=metric) == pytest.approx(number, abs=1e-6)


@given(st.text(max_size=12), st.booleans())
def test_no_text_whatever_brings_a_traceback(text, metric):
    with contextlib.suppress(MeasureWrong):
        assert math.isfinite(amount_from(text, metric=metric).number)


def test_a_number_too_long_to_be_one_is_out_of_range():
    with pytest.raises(MeasureWrong) as wrong:
        number_from("9" * 400)
    assert wrong.value.kind == "number too large"


def test_below_zero_is_read_so_that_the_range_can_refuse_it():
    assert number_from("-3") == -3
    assert number_from("−1 1/2") == -1.5


@pytest.mark.parametrize(
    ("number", "text"), [(3.0, "3"), (0.5, "0.5"), (1234567.0, "1,234,567"), (1 / 3, "0.33"), (0.004, "0.004")]
)
def test_numbers_are_shown_without_needless_figures(number, text):
    assert format_number(number) == text


def test_parts_of_a_cent_are_parts_of_a_cent_and_a_price_for_none_is_no_number():
    assert [money_from(one) for one in ("5.5 cents", "12.5¢", "$1 and 50 cents")] == [0.055, 0.125, 1.5]
    for typed in ("0 for $5", "1/2 cent"):
        with pytest.raises(MeasureWrong) as wrong:
            money_from(typed)
        assert (wrong.value.kind, wrong.value.names[0]) == ("not a number", typed)
