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
        ("plum tomatos", "did you mean plum tomato?"),
        ("sweat corn", "did you mean sweet corn?"),
        ("corn", "did you mean sweet corn?"),
        ("tomato", "did you mean plum tomato or slicing tomato?"),
        ("quince", "correct the name, or add it to Crops"),
    ],
)
def test_a_near_miss_gets_a_suggestion_and_a_far_one_gets_none(typed, cure):
    """`tomato` could be either of two, so both are said."""
    assert unknown(typed, CROPS, table="Crops") == (f'no crop is called "{typed}"', cure)


def test_different_names_stay_different():
    assert key("quart jar") != key("quart jars")


def test_a_plural_finds_the_name_that_holds_its_singular():
    """`lids` stands in neither name, `lid` in both; of jars only one is there."""
    lids = Names("lid", ["wide lid", "regular lid"])
    assert unknown("lids", lids, table="Lids")[1] == "did you mean wide lid or regular lid?"
    assert unknown("jars", Names("container", ["quart jar", "tub"]), table="Containers")[1] == "did you mean quart jar?"


def test_the_name_without_its_jar_may_be_any_of_its_jars():
    """`applesauce, pint` looks more like `applesauce`, and the quarts are meant as likely."""
    sauces = Names("preserve", ["applesauce, pint", "applesauce, quart", "apples, dried"])
    assert unknown("Applesauce", sauces, table="Preserves")[1] == "did you mean applesauce, pint or applesauce, quart?"


def test_of_many_names_that_hold_the_words_the_first_few_are_said():
    """Seven kinds of sauce: five and how many more."""
    sauces = Names("preserve", [f"plain tomato sauce {letter}" for letter in "abcdefg"])
    assert unknown("sauce", sauces, table="Preserves")[1].endswith("plain tomato sauce e or one of 2 more?")


def test_a_name_known_to_mean_the_same_comes_before_one_that_looks_alike():
    """Green beans look like green peas, and are snap beans."""
    crops = Names("crop", ["green peas", "snap beans"])
    assert unknown("green beans", crops, table="Crops")[1] == "did you mean green peas?"
    assert unknown("green beans", crops, table="Crops", meant=["snap beans"])[1] == "did you mean snap beans?"


def test_of_names_known_to_mean_the_same_the_one_that_is_nearly_typed_is_said():
    """A slip of a letter means the one; the bare kind may mean any."""
    crops = Names("crop", ["plum tomato", "slicing tomato"])
    both = ["plum tomato", "slicing tomato"]
    assert unknown("plum tomatos", crops, table="Crops", meant=both)[1] == "did you mean plum tomato?"
    assert unknown("tomatoes", crops, table="Crops", meant=both)[1] == "did you mean plum tomato or slicing tomato?"
    sauces = Names("preserve", ["tomato sauce, pint", "tomato sauce, quart", "tomato sauce, pint, pressure"])
    made = ["tomato sauce, pint", "tomato sauce, quart"]
    said = unknown("tomato sauce", sauces, table="Preserves", meant=made)[1]
    assert said == "did you mean tomato sauce, pint or tomato sauce, quart?"
