"""What things cost beside each other is within the margins of the stored table."""

from __future__ import annotations

import pytest
from tests.benches import ratios


@pytest.mark.slow
def test_nothing_costs_much_more_than_it_did():
    """What does, does so three times running; once may be another process at that moment."""
    dearer = [compared(name) for name in ratios.RATIOS]
    for _ in range(2):
        dearer = [compared(one.name) for one in dearer if not one.holds]
    assert [one.line() for one in dearer if not one.holds] == []


def compared(name):
    """A ratio as it is now beside the stored one."""
    above, below = ratios.RATIOS[name].measured()
    return ratios.Compared(name, above / below, *ratios.stored()[name])


def test_the_table_has_every_ratio_and_no_other():
    assert set(ratios.stored()) == set(ratios.RATIOS)


def test_what_costs_three_times_as_much_is_over_every_margin_and_what_costs_less_is_not():
    for name, (ratio, margin) in ratios.stored().items():
        assert not ratios.Compared(name, 3.1 * ratio, ratio, margin).holds, name
        assert ratios.Compared(name, ratio / 3, ratio, margin).holds


def test_the_stored_table_keeps_its_margins_when_it_is_made_again():
    before = ratios.stored() | {"clock": (0.5, 2.5)}
    assert "[clock]\nratio = 0.25\nmargin = 2.5" in ratios.as_table({"clock": 0.25}, before)
