"""Dates and times as they stand in a cell."""

import contextlib
import datetime
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.household.amounts import DateReader
from stillroom.household.units import MeasureWrong
from stillroom.workbook.reader.cells import date_from, hours_in, time_from

US, METRIC = (DateReader(datetime.date(2026, 8, 14), metric, moving=False) for metric in (False, True))


@given(st.dates(datetime.date(1990, 1, 1), datetime.date(2199, 12, 31)))
def test_iso_text_is_the_day_it_says(day):
    assert date_from(day.isoformat(), US) == day
    assert date_from(f" {day.year}-{day.month}-{day.day}\u00a0", US) == day
    assert date_from(datetime.datetime.combine(day, datetime.time(9, 30)), METRIC) == day


@given(st.integers(1, 31), st.integers(1, 12), st.sampled_from("/."))
def test_a_slashed_date_whose_day_and_month_could_be_exchanged_is_never_read_in_a_metric_workbook(day, month, mark):
    """In a US one the month stands before a slash."""
    typed = f"{day}{mark}{month}{mark}2026"
    if day > 12 or day == month:
        with contextlib.suppress(MeasureWrong):  # February 30
            assert date_from(typed, METRIC) == datetime.date(2026, month, day)
        return
    with pytest.raises(MeasureWrong) as wrong:
        date_from(typed, METRIC)
    assert wrong.value.kind == "two readings"
    if mark == "/":
        assert date_from(typed, US) == datetime.date(2026, day, month)


@given(st.text(max_size=15) | st.integers() | st.floats(allow_nan=True) | st.booleans())
def test_nothing_brings_a_traceback(value):
    for read in (partial(date_from, reader=US), partial(date_from, reader=METRIC), time_from):
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


@pytest.mark.parametrize("typed", ["25:00", "13:00 pm", "8", "9 or 10", 8, 1.5, -0.1, True, datetime.timedelta(days=1)])
def test_what_is_no_time_of_day_is_refused(typed):
    with pytest.raises(MeasureWrong):
        time_from(typed)


@pytest.mark.parametrize(
    ("stored", "hours"),
    [
        (datetime.time(2, 15), 2.25),
        (datetime.timedelta(hours=26, minutes=30), 26.5),
        (datetime.datetime(1900, 1, 1, 2, 0), 26),
        (datetime.datetime(2026, 8, 14), None),
        (2.25, None),
    ],
)
def test_a_time_format_in_an_hours_column_is_a_length_of_time(stored, hours):
    assert hours_in(stored) == hours
