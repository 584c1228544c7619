"""Numbers, amounts, dates, times and money as a US household and as a metric one reads them."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.household import text
from stillroom.household.records import Kitchen

DAY = datetime.date(2026, 8, 22)


@pytest.fixture(params=[text.US, text.METRIC], ids=["US", "metric"])
def style(request: pytest.FixtureRequest) -> Iterator[text.Style]:
    """Return each of the two usual styles while it is in use."""
    with text.in_style(request.param):
        yield request.param


PAIRS: dict[str, tuple[Callable[[], str], str, str]] = {
    "date": (lambda: text.format_date(DAY), "Aug 22", "22 Aug"),
    "long date": (lambda: text.format_long_date(DAY), "Sat Aug 22", "Sat 22 Aug"),
    "full date": (lambda: text.format_full_date(DAY), "Saturday, August 22, 2026", "Saturday 22 August 2026"),
    "date and year": (lambda: text.format_date_and_year(DAY), "Aug 22, 2026", "22 Aug 2026"),
    "week": (lambda: text.format_period(DAY, 7), "the week of Aug 22", "the week of 22 Aug"),
    "afternoon": (lambda: text.format_clock(datetime.time(14, 30)), "2:30 PM", "14:30"),
    "midnight": (lambda: text.format_clock(24 * 60), "12:00 AM", "00:00"),
    "next day": (
        lambda: text.format_moment(datetime.datetime(2026, 8, 23, 0, 30), DAY),
        "Sun Aug 23 12:30 AM",
        "Sun 23 Aug 00:30",
    ),
    "money": (lambda: text.format_money(1105.35), "$1,105.35", "1,105.35"),
    "weight": (lambda: text.format_weight(2.1), "4½ lb", "2.1 kg"),
    "space": (lambda: text.format_space(85), "3 cu ft", "85 L"),
    "altitude": (lambda: text.format_altitude(1450), "1,450 ft", "442 m"),
}


@pytest.mark.parametrize("of", PAIRS)
def test_each_style_has_its_units_dates_and_times(of: str, style: text.Style) -> None:
    made, in_us, in_metric = PAIRS[of]
    assert made() == (in_metric if style.metric else in_us)


@pytest.mark.parametrize(
    ("currency", "expected"), [("$", "-$2.50"), ("", "-2.50"), ("€", "-€2.50"), ("EUR", "-EUR 2.50")]
)
def test_the_currency_of_the_kitchen_is_shown(currency: str, expected: str) -> None:
    with text.in_style(text.style_of(Kitchen(DAY, currency=currency))):
        assert text.format_money(-2.5) == expected
    assert text.format_money(-2.5) == "-$2.50"


@given(st.floats(-1e9, 1e9))
def test_no_number_has_an_exponent_or_a_negative_zero(number: float) -> None:
    made = [
        text.format_number(number),
        text.format_fixed(number, 1),
        text.format_money(number),
        text.format_amount(number, "kg"),
        text.format_amount(number, "lb"),
        text.format_amount(number, "cup"),
        text.format_share(number),
    ]
    for one in made:
        assert "e" not in one.replace("under", "")
        assert not (one.startswith("-") and not one.strip("-0.,$%"))


def test_amounts_have_the_fractions_of_measuring_cups() -> None:
    assert [text.format_amount(part / 12, "cup") for part in (3, 4, 6, 8, 9, 12, 16)] == [
        *("¼", "⅓", "½", "⅔", "¾", "1", "1⅓")
    ]
    assert text.format_amount(0.12, "tsp") == "⅛"


def test_a_cut_list_counts_the_rest() -> None:
    assert text.format_list(["a", "b", "c", "d", "e"], 2) == "a, b and 3 more"
    assert text.format_list(["a", "b"], 2) == "a, b"


def test_no_limit_is_written_out() -> None:
    assert text.format_number(math.inf) == "no limit"
