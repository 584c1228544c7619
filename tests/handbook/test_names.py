"""Names of food: what they match, and that no spelling dodges the fence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stillroom.handbook.foods import acidity, kinds, kinds_named, stricter
from stillroom.handbook.ingredients import extra_named, stricter_extra
from stillroom.handbook.names import plain, tokens


@pytest.mark.parametrize(("name", "kind"), [
    ("plum tomato", "tomato"), ("Roma TOMATOES", "tomato"), ("cherry tomatoes", "tomato"), ("Green Zebra tomato", "tomato"), ("Lemon Boy tomato", "tomato"),
    ("zucchini", "summer squash"), ("Courgettes", "summer squash"), ("Hubbard squash", "winter squash"), ("pumpkin", "winter squash"),
    ("green beans", "snap beans"), ("beans, snap", "snap beans"), ("beans, lima", "lima beans"), ("kidney beans", "dry beans"), ("corn on the cob", "sweet corn"),
    ("jalapeños", "hot peppers"), ("bell peppers", "sweet peppers"), ("peppers, sweet", "sweet peppers"), ("lemon cucumber", "cucumbers"),
    ("blackberries", "berries"), ("Granny Smith", "apples"), ("sweet potatoes", "sweet potatoes"), ("snow peas", "edible-pod peas"), ("ground beef", "meat"),
])  # fmt: skip
def test_common_names_match_their_kind(name, kind):
    assert kinds_named(name) == {kind}


@pytest.mark.parametrize(
    "name",
    [
        "PUMPKIN",
        "pumpkins",
        "Pümpkin",
        "рumpkin",
        "pump\u00adkin",
        "  pumpkin\u200b ",
        "ｐｕｍｐｋｉｎ",
        "Sugar-Pumpkins",
    ],
)
def test_no_spelling_hides_a_pumpkin(name):
    assert kinds_named(name) == {"winter squash"}


def test_two_things_in_one_name_are_both_found():
    assert kinds_named("apples and pumpkins") == {"apples", "winter squash"}
    assert kinds_named("tomato/onion mix") == {"tomato", "onions"}
    assert acidity(kinds_named("pumpkin tomato")) == "low-acid"


def test_an_unknown_name_matches_nothing():
    assert kinds_named("wurzel") == frozenset()
    assert acidity(frozenset()) == "unmatched"


def test_the_stricter_of_food_and_name_holds():
    assert stricter("tomato", "pumpkin") == {"winter squash"}
    assert stricter("winter squash", "tomato") == {"winter squash"}
    assert stricter("tomato", "plum") == {"tomato"}
    assert stricter("snap beans", "sweet corn") == {"snap beans", "sweet corn"}
    assert stricter("tomato", "wurzel") == {"tomato"}
    assert stricter("wurzel", "tomato") == frozenset()
    assert stricter(None, "tomato") == {"tomato"}


@pytest.mark.parametrize(("name", "extra"), [
    ("Canning salt", "salt"), ("brown sugar", "sugar"), ("honey", "sugar"), ("bottled lemon juice", "bottled lemon juice"), ("citric acid", "citric acid"),
    ("vinegar, 5% acidity", "vinegar (5%)"), ("cider vinegar 5 %", "vinegar (5%)"), ("white vinegar (5 percent)", "vinegar (5%)"), ("6 % vinegar", "vinegar (5%)"),
    ("vinegar 4%", "vinegar of unknown strength"), ("cider vinegar", "vinegar of unknown strength"), ("rice vinegar", "vinegar of unknown strength"),
    ("vinegar 50 %", "vinegar of unknown strength"), ("fresh lemon juice", "lemon or lime juice, not bottled"), ("lemon juice", "lemon or lime juice, not bottled"),
    ("celery seed", "spices"), ("black pepper", "spices"), ("salt pork", None), ("sugar snap peas", None), ("garlic", None), ("mystery powder", None), ("salt mystery", None),
])  # fmt: skip
def test_ingredients_are_told_apart(name, extra):
    assert extra_named(name) == extra


def test_the_stricter_of_handbook_item_and_name_holds():
    assert stricter_extra("bottled lemon juice", "lemon juice") == "bottled lemon juice"
    assert stricter_extra("bottled lemon juice", "freshly squeezed lemon juice") == "lemon or lime juice, not bottled"
    assert stricter_extra("vinegar (5%)", "vinegar 4 %") == "vinegar of unknown strength"
    assert stricter_extra("salt", "flour") is None
    assert stricter_extra("citric acid", "salt") is None


@given(
    st.sampled_from(sorted(kinds())),
    st.sampled_from(
        [str.upper, str.title, lambda text: f"  {text} ", lambda text: text.replace("a", "а").replace("o", "о")]
    ),
)
def test_every_kind_is_found_by_its_own_name_however_it_is_written(kind, write):
    assert kind in kinds_named(write(kind))


@given(st.text(max_size=40))
def test_any_text_can_be_asked_about(text):
    """Nothing a household types breaks the matching, and plain words stay plain."""
    assert plain(plain(text)) == plain(text)
    assert isinstance(tokens(text), tuple)
    assert kinds_named(text) <= set(kinds())
    extra_named(text)
