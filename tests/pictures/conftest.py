"""The plans that are drawn, each made once."""

from dataclasses import replace

import pytest
from tests import worked_examples as examples
from tests.pictures.kitchens import ACCENTS, LONG, empty, many, nothing_to_make, shown_by, with_a_season

from stillroom.household.examples import tiny_household


def metric():
    """The tiny household in kilograms and litres."""
    home = tiny_household()
    crops = tuple(replace(crop, unit="kg") for crop in home.crops)
    return replace(home, kitchen=replace(home.kitchen, weight_unit="kg", volume_unit="L"), crops=crops)


MAKERS = {
    "tiny": lambda: shown_by(tiny_household()),
    "metric": lambda: shown_by(metric()),
    "season": lambda: shown_by(with_a_season()[0], typed=with_a_season()[1]),
    "dryer": lambda: shown_by(examples.dryer_over_two_days()),
    "worked": lambda: shown_by(examples.freeze_now_cook_later()),
    "three": lambda: shown_by(many(3, LONG)),
    "forty": lambda: shown_by(many(40, LONG)),
    "accents": lambda: shown_by(many(12, ACCENTS)),
    "script": lambda: shown_by(many(3, "<script>alert(1)</script> & $x$ \"'")),
    "nothing": nothing_to_make,
    "empty": empty,
}


@pytest.fixture(scope="session", params=sorted(MAKERS))
def shown(request):
    """One of the plans."""
    return MAKERS[request.param]()


@pytest.fixture(scope="session")
def tiny():
    """The plan of the tiny household."""
    return MAKERS["tiny"]()


@pytest.fixture(scope="session")
def dryer():
    """A plan with a dryer that runs into the next day."""
    return MAKERS["dryer"]()


@pytest.fixture(scope="session")
def season():
    """The tiny household in the middle of its season."""
    return MAKERS["season"]()
