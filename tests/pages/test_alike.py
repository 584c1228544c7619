"""Problems that are alike are told as one on a terminal, and none is lost."""

import io

from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console
from stillroom.reports.terminal.problems import areas, gathered

from stillroom.errors import Problem
from stillroom.reports.terminal.plan import check_page, check_text
from stillroom.workbook.ooxml.values import letters

NEVER = ("was never calculated", "open the workbook in a spreadsheet program", "formula never calculated")


def never_calculated(count):
    """So many formulas under one another, each with the same trouble."""
    return [
        Problem.in_words(f"Winter list!B{row}", f"the formula in *Wanted* {NEVER[0]}", *NEVER[1:])
        for row in range(6, 6 + count)
    ]


def test_a_column_of_the_same_trouble_says_it_once_with_all_its_cells():
    """25 formulas are one line: 25 things to put right, one thing to do."""
    assert [str(one) for one in gathered(never_calculated(25))] == [
        "Winter list!B6:B30: the formula in *Wanted* was never calculated; open the workbook in a spreadsheet program"
    ]


def test_two_that_are_alike_are_told_apart():
    """One and one more are read as quickly as an area."""
    assert gathered(never_calculated(2)) == never_calculated(2)


def test_problems_with_different_cures_or_on_different_sheets_stay_apart():
    """Each misspelled crop has its own suggestion."""
    several = [
        Problem.in_words(f"Harvest!B{row}", f"no crop is called *{typed}*", f"did you mean *{meant}*?", "unknown name")
        for row, (typed, meant) in enumerate([("onion", "onions"), ("tomatos", "tomato"), ("aple", "apples")], 7)
    ]
    elsewhere = [Problem.in_words(f"{sheet}!A1", "*Mon* is blank", "write it", "blank required") for sheet in "ABC"]
    assert gathered([*several, *elsewhere]) == [*several, *elsewhere]


def test_of_what_stops_every_place_is_said_and_of_the_rest_the_first_ones():
    """Nine places apart from one another."""
    rows = range(6, 24, 2)
    stops = [Problem.in_words(f"Harvest!B{row}", f"*{row}* is blank", "write it", "blank required") for row in rows]
    notes = [Problem.in_words(f"Harvest!B{row}", f"*{row}* is odd", "nothing to do", "number as text") for row in rows]
    one, other = gathered([*stops, *notes])
    assert one.where == "Harvest!B6, B8, B10, B12, B14, B16, B18, B20, B22"
    assert one.what == "*6*, *8*, *10*, *12*, *14*, *16*, *18*, *20* and 1 more are blank"
    assert other.where == "Harvest!B6, B8, B10, and 6 more"
    assert other.what == "*6*, *8*, *10* and 6 more are odd"


def test_a_place_without_a_cell_is_kept():
    """A whole sheet or a file has no cell to gather."""
    several = [Problem.in_words("kitchen.xlsx", f"*{name}* is odd", "see", "hidden rows") for name in "abc"]
    assert [str(one) for one in gathered(several)] == ["kitchen.xlsx: *a*, *b*, *c* are odd; see"]


@given(st.lists(st.tuples(st.integers(1, 12), st.integers(1, 12)), min_size=1, unique=True))
def test_areas_hold_every_cell_once_and_no_other(cells):
    """Spread out again they are the cells that were put in."""
    names = [f"{letters(column)}{row}" for row, column in cells]
    spread = []
    for area in areas(names):
        (top, left), (bottom, right) = (split(corner) for corner in (area.split(":") * 2)[:2])
        spread += [(row, column) for row in range(top, bottom + 1) for column in range(left, right + 1)]
    assert sorted(spread) == sorted(cells)


def split(corner):
    """Row and column of a cell whose column is a single letter."""
    return int(corner[1:]), ord(corner[0]) - 64


def test_check_gathers_on_a_terminal_and_lists_every_cell_in_a_pipe():
    """The count stays that of the cells."""
    console = Console(width=80, record=True, file=io.StringIO())
    console.print(check_page(never_calculated(25), "kitchen.xlsx"))
    page = console.export_text()
    assert "FIX THESE 25 THINGS FIRST" in page
    assert page.count("never calculated") == 1
    assert check_text(never_calculated(25), "kitchen.xlsx").count("never calculated") == 25
