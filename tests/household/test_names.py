"""Names that join tables."""

import pytest

from stillroom.household.names import Names, key, unknown

CROPS = Names("crop", ["plum tomato", "slicing tomato", "sweet corn", "crème pepper"])


@pytest.mark.parametrize(
    "typed", ["Plum Tomato", " plum  tomato ", "plum\u00a0tomato", "PLUMTOMATO", "plum\u200b tomato"]
)
def test_case_and_every_kind_of_space_are_ignored(typed):
    assert CROPS.find(typed) == "plum tomato"


def test_letters_that_differ_only_in_how_they_are_stored_are_the_same():
    assert CROPS.find("cre\u0300me pepper") == "crème pepper"


@pytest.mark.parametrize(
    ("typed", "cure"),
    [
        ("plum tomatos", "did you mean *plum tomato*?"),
        ("sweat corn", "did you mean *sweet corn*?"),
        ("corn", "did you mean *sweet corn*?"),
        ("tomato", "correct the name, or add it to Crops"),
        ("quince", "correct the name, or add it to Crops"),
    ],
)
def test_a_near_miss_gets_a_suggestion_and_a_far_one_gets_none(typed, cure):
    """`tomato` could be either of two, so neither is suggested."""
    assert unknown(typed, CROPS, table="Crops") == (f"no crop is called *{typed}*", cure)


def test_different_names_stay_different():
    assert key("quart jar") != key("quart jars")
