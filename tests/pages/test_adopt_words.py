"""What is said after moving in: empty tables are called empty, with where filled ones are to be had."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from stillroom.reports.terminal.adopt import end_words, filled_lines
from stillroom.workbook.starter.adopt import Adopted
from stillroom.workbook.starter.fill_rows import Filled
from stillroom.workbook.starter.fit_rows import LeftOut
from stillroom.workbook.starter.positions import Contents

RECEIPT = SimpleNamespace(
    path=Path("garden.xlsx"), written=True, members_kept=9, members_changed=(), members_added=(), backup=None
)


@pytest.mark.parametrize(
    ("added", "said"), [(("Crops", "Plan"), True), (("Preserves",), True), (("Plan", "Record"), False), ((), False)]
)
def test_who_gets_empty_tables_of_crops_or_preserves_is_told_where_filled_ones_are(added, said):
    """A household that has its own crops and preserves needs no others."""
    words = " ".join(end_words(Adopted(("x",), added, (), ()), RECEIPT, "garden.xlsx"))
    assert ("stillroom start example.xlsx makes one; copy the rows you want out of it" in words) is said
    assert ("adopt garden.xlsx with --filled" in words) is said


def test_who_adopted_in_place_is_told_to_fill_the_workbook_as_it_was():
    """The new tables stand in the file by now, and what stands there is never filled."""
    receipt = SimpleNamespace(**{**vars(RECEIPT), "backup": Path("garden before.xlsx")})
    words = " ".join(end_words(Adopted(("x",), ("Crops",), (), ()), receipt, "garden.xlsx"))
    assert "adopt garden before.xlsx with --filled" in words


def test_who_got_examples_is_told_to_type_over_them_and_not_that_the_tables_are_empty():
    filled = Filled(Contents({"Crops": [{"Crop": "tomato"}]}))
    words = " ".join(end_words(Adopted(("x",), ("Crops",), (), (), filled), RECEIPT, "garden.xlsx"))
    assert "examples: type your own over them" in words
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
    filled = Filled(
        Contents({"Crops": [{}, {}], "Lids": []}), left, (("quart jar", "big jar"),), ("the Kitchen is yours",)
    )
    assert list(filled_lines(filled)) == [
        "Rows: Crops 2.",
        "Yours are used for ours: big jar for quart jar.",
        "Counts: not filled, because its starting rows belong to those of Needs, and those were left out.",
        "Preserves: 4 left out (a; b; c and 1 more): your Crops has no plums.",
        "Preserves: 1 at Include = no (e): no load of pot fits.",
        "The Kitchen is yours.",
    ]
