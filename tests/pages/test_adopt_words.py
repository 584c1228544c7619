"""What is said after moving in: empty tables are called empty, with where filled ones are to be had."""

from dataclasses import replace
from pathlib import Path

import pytest

from stillroom.household.results.commands import Adoption, LeftOut, Receipt
from stillroom.reports.terminal.setup import end_words, filled_lines

RECEIPT = Receipt(Path("garden.xlsx"), 9, (), (), 0, (), None)


@pytest.mark.parametrize(
    ("added", "said"), [(("Crops", "Plan"), True), (("Preserves",), True), (("Plan", "Record"), False), ((), False)]
)
def test_who_gets_empty_tables_of_crops_or_preserves_is_told_where_filled_ones_are(added, said):
    """A household that has its own crops and preserves needs no others."""
    words = " ".join(end_words(Adoption(("x",), added), RECEIPT, "garden.xlsx"))
    assert ("The new tables are empty." in words) is said
    assert ("stillroom adopt garden.xlsx --filled" in words) is said


def test_who_adopted_in_place_is_told_to_fill_the_workbook_as_it_was():
    """The new tables stand in the file by now, and what stands there is never filled."""
    receipt = replace(RECEIPT, backup=Path("garden before.xlsx"))
    words = " ".join(end_words(Adoption(("x",), ("Crops",)), receipt, "garden.xlsx"))
    assert 'stillroom adopt "garden before.xlsx" --filled' in words


def test_who_got_examples_is_told_to_type_over_them_and_not_that_the_tables_are_empty():
    words = " ".join(end_words(Adoption(("x",), ("Crops",), rows={"Crops": 1}), RECEIPT, "garden.xlsx"))
    assert "examples. Type your own over them." in words
    assert "empty" not in words


def test_what_came_and_what_did_not_is_said_with_why():
    left = (
        LeftOut(
            "Counts toward",
            (),
            "its starting rows belong to those of *Winter list*, and those were left out",
            whole=True,
        ),
        LeftOut("Preserves", ("a", "b", "c", "d"), "your *Crops* has no plums"),
        LeftOut("Preserves", ("e",), "no load of *pot* fits", made_no=True),
    )
    filled = Adoption(
        (), (), (), (), {"Crops": 2, "Lids": 0}, (("quart jar", "big jar"),), left, ("the Kitchen is yours",)
    )
    assert list(filled_lines(filled)) == [
        "Rows: Crops 2.",
        "Your names are used: big jar for quart jar.",
        "Counts toward: not filled, because its starting rows belong to those of Winter list, and those were left out.",
        "Preserves: 4 left out (a; b; c; and 1 more): your Crops has no plums.",
        "Preserves: 1 with Include no (e): no load of pot fits.",
        "The Kitchen is yours.",
    ]
