"""What things cost beside each other is within the margins of the stored table."""

from __future__ import annotations

import pytest
from tests.benches import ratios


@pytest.mark.slow
def test_nothing_costs_much_more_than_it_did():
    now = {name: ratio.measured() for name, ratio in ratios.RATIOS.items()}
    table = ratios.stored()
    found = [ratios.Compared(name, above / below, *table[name]) for name, (above, below) in now.items()]
    assert [one.line() for one in found if not one.holds] == []


def test_the_table_has_every_ratio_and_no_other():
    assert set(ratios.stored()) == set(ratios.RATIOS)


def test_what_costs_three_times_as_much_is_over_every_margin_and_what_costs_less_is_not():
    for name, (ratio, margin) in ratios.stored().items():
        assert not ratios.Compared(name, 3.1 * ratio, ratio, margin).holds, name
        assert ratios.Compared(name, ratio / 3, ratio, margin).holds


def test_the_stored_table_keeps_its_margins_when_it_is_made_again():
    before = ratios.stored() | {"clock": (0.5, 2.5)}
    assert "[clock]\nratio = 0.25\nmargin = 2.5" in ratios.as_table({"clock": 0.25}, before)
