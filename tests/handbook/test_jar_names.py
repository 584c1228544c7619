"""A jar whose name and size disagree: no quart is planned with the time of a pint."""

from __future__ import annotations

import pytest
from tests.handbook.kitchens import beans, household, juice

from stillroom.handbook.jars import QUART_LITRES
from stillroom.handbook.settle import settle
from stillroom.household.records import Container
from stillroom.reports.problems import sentences


def stops(name: str, litres: float) -> list[str]:
    """What stops green beans in pints, in a jar of this name and size."""
    preserve = beans(container=name)
    _, problems = settle(household(preserve, containers=(Container(name, "jar", litres),)))
    return [sentences(problem)[0] for problem in problems if problem.is_error]


@pytest.mark.parametrize(
    "name", ["quart jar", "Quart jars", "litre jar", "1 qt jar", "half-gallon jar", "750 ml jar", "wide-mouth quart"]
)
def test_a_jar_called_larger_than_it_holds_is_refused(name):
    found = stops(name, QUART_LITRES / 2)
    assert any(f": the size of {name} is 16 fl oz, less than its name gives." in sentence for sentence in found)


@pytest.mark.parametrize(
    ("name", "litres"),
    [("pint jar", QUART_LITRES / 2), ("pint", 0.473), ("tall jar", 0.473), ("our 2 favourite jars", 0.473)],
)
def test_a_jar_that_holds_what_its_name_says_is_planned(name, litres):
    assert stops(name, litres) == []


def test_a_litre_jar_called_a_quart_holds_enough():
    quart = juice(container="quart jar")
    _, problems = settle(household(quart, containers=(Container("quart jar", "jar", 0.9),)))
    assert "jar not published: smaller than its name" not in {problem.kind for problem in problems}
