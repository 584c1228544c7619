"""Dates and times as they stand in a cell."""

import contextlib
import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.household.units import MeasureWrong
from stillroom.workbook.reader.cells import date_from, time_from


@given(st.dates(datetime.date(1990, 1, 1), datetime.date(2199, 12, 31)))
def test_iso_text_is_the_day_it_says(day):
    assert date_from(day.isoformat()) == day
    assert date_from(f" {day.year}-{day.month}-{day.day}\u00a0") == day
    assert date_from(datetime.datetime.combine(day, datetime.time(9, 30))) == day


@given(st.integers(1, 31), st.integers(1, 12), st.sampled_from("/."))
def test_a_slashed_date_is_never_read(day, month, mark):
    with pytest.raises(MeasureWrong) as wrong:
        date_from(f"{day}{mark}{month}{mark}2026")
    assert wrong.value.kind == "date of two meanings"


@given(st.text(max_size=15) | st.integers() | st.floats(allow_nan=True) | st.booleans())
def test_nothing_brings_a_traceback(value):
    for read in (date_from, time_from):
        with contextlib.suppress(MeasureWrong):
            assert read(value) is not None


@pytest.mark.parametrize(
    ("typed", "time"),
    [
        ("8:30", (8, 30)),
        ("08:00:00", (8, 0)),
        ("1:15 PM", (13, 15)),
        ("12:05 am", (0, 5)),
        (0.5, (12, 0)),
        (datetime.time(7, 45), (7, 45)),
        (datetime.timedelta(hours=7, minutes=45), (7, 45)),
        (datetime.datetime(1899, 12, 31, 6, 0), (6, 0)),
    ],
)
def test_times_of_day(typed, time):
    assert time_from(typed) == datetime.time(*time)


@pytest.mark.parametrize("typed", ["25:00", "13:00 pm", "8", "noon", 1.5, -0.1, True, datetime.timedelta(days=1)])
def test_what_is_no_time_of_day_is_refused(typed):
    with pytest.raises(MeasureWrong):
        time_from(typed)
