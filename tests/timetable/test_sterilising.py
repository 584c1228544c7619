"""
Empty jars are boiled ten minutes, and a minute more for each thousand feet; never less, wherever the kitchen lies.
"""

from __future__ import annotations

import pytest
from tests.timetable.kitchens import STEAM, beans, home, juice

from stillroom.timetable.loads import boil_minutes


@pytest.mark.parametrize(
    ("altitude_ft", "minutes"), [(-1400.0, 10), (-200.0, 10), (0.0, 10), (1000.0, 11), (2350.0, 13), (None, 10)]
)
def test_jars_are_never_boiled_for_less_than_ten_minutes(altitude_ft, minutes):
    """Michigan State Univ. Extension (10/1997); a started thousand feet counts as a whole one. Below the sea: ten."""
    jam = juice(process_minutes=5.0, process_text="5 min")
    assert boil_minutes(home(jam, kitchen={"altitude_ft": altitude_ft}), jam) == minutes


def test_jars_of_a_process_of_ten_minutes_or_more_are_not_boiled():
    assert boil_minutes(home(juice()), juice(process_minutes=10.0)) == 0
    assert boil_minutes(home(beans()), beans(process_minutes=8.0)) == 0
    assert beans().method == STEAM
