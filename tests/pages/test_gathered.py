"""Problems of one kind are gathered into one, and none is lost."""

import io

from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from stillroom.cli.output import show_refusal
from stillroom.errors import Problem, WorkbookRefused
from stillroom.household.cells import letters
from stillroom.reports.problems import areas, gathered, line, sentences
from stillroom.reports.terminal.plan import check_page, check_text


def never_calculated(count):
    """Formulas under one another, each with the same trouble."""
    return [Problem(f"Winter list!C{row}", "formula never calculated", field="Wanted") for row in range(6, 6 + count)]


def test_a_column_of_the_same_trouble_is_one_line_with_all_its_cells():
    """25 formulas are one thing to do."""
    assert [line(one) for one in gathered(never_calculated(25))] == [
        (
            "Winter list!C6:C30: The formula in Wanted has no saved result. "
            "Open the workbook in your spreadsheet program, let it calculate, and save it."
        )
    ]


def test_two_that_are_alike_are_told_apart():
    """One and one more are read as quickly as an area."""
    assert gathered(never_calculated(2)) == never_calculated(2)


def test_problems_with_different_suggestions_or_on_different_sheets_stay_apart():
    """Each misspelled crop has its own suggestion."""
    several = [
        Problem(f"Harvest!B{row}", "unknown name", (typed, "crop", "Crops"), meant)
        for row, (typed, meant) in enumerate([("onion", "onions"), ("tomatos", "tomato"), ("aple", "apples")], 7)
    ]
    elsewhere = [Problem(f"{sheet}!A1", "blank text", field="Mon") for sheet in "ABC"]
    assert gathered([*several, *elsewhere]) == [*several, *elsewhere]


def test_of_what_stops_every_place_is_shown_and_of_the_rest_the_first_ones():
    """Nine places apart from one another."""
    rows = range(6, 24, 2)
    stops = [Problem(f"Preserves!B{row}", "no ingredients", (f"jam {row}",)) for row in rows]
    notes = [Problem(f"Preserves!B{row}", "price missing", (f"jar {row}",)) for row in rows]
    one, other = gathered([*stops, *notes])
    assert one.where == "Preserves!B6, B8, B10, B12, B14, B16, B18, B20, B22"
    assert one.names == ("jam 6, jam 8, jam 10, jam 12, jam 14, jam 16, jam 18, jam 20 and 1 more",)
    assert other.where == "Preserves!B6, B8, B10, and 6 more"
    assert sentences(other)[0].startswith("No price for jar 6, jar 8, jar 10 and 6 more, so")


def test_a_place_without_a_cell_is_kept():
    """A whole sheet or a file has no cell to gather."""
    several = [Problem("kitchen.xlsx", "another branch", ("k", name)) for name in "abc"]
    assert [(one.where, one.names) for one in gathered(several)] == [("kitchen.xlsx", ("k", "a, b, c"))]


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


def test_check_gathers_on_a_terminal_and_in_a_pipe():
    """Nineteen equal lines hid the one that was different."""
    console = Console(width=80, record=True, file=io.StringIO())
    console.print(check_page(never_calculated(25), "kitchen.xlsx"))
    page = console.export_text()
    assert "FIX THIS FIRST" in page
    assert page.count("no saved result") == 1
    assert check_text(never_calculated(25), "kitchen.xlsx").count("no saved result") == 1


def different(count):
    """So many errors that cannot be gathered, and a note."""
    errors = [Problem(f"Sheet {number}!A1", "blank text", field="Crop") for number in range(count)]
    return [
        *errors,
        Problem("Harvest!A9", "hidden rows", ("9", "Harvest")),
        Problem("Crops!A9", "row below a blank row", ("Crops",)),
    ]


def test_check_shows_a_dozen_and_how_many_more():
    """The errors come first, then what changes the plan."""
    lines = check_text(different(11), "kitchen.xlsx").splitlines()
    assert len(lines) == 14
    assert lines[11].startswith("Note: This row is not read")
    assert lines[12] == "and 1 more (stillroom check --all)"
    lines = check_text(different(40), "kitchen.xlsx").splitlines()
    assert [line[:5] for line in lines[:12]] == ["Error"] * 12
    assert lines[12] == "and 30 more (stillroom check --all)"
    console = Console(width=80, record=True, file=io.StringIO())
    console.print(check_page(different(40), "kitchen.xlsx"))
    page = console.export_text()
    assert "FIX THESE 40 THINGS FIRST" in page
    assert page.count("Crop is blank") == 12
    assert "and 30 more (stillroom check --all)" in page


def test_check_shows_all_when_asked():
    """Nothing is left out then, and nothing is said of more."""
    lines = check_text(different(40), "kitchen.xlsx", every=True).splitlines()
    assert len(lines) == 43
    assert not any("more (" in line for line in lines)


def test_a_refusal_shows_a_dozen_and_how_many_more(capsys):
    """In a pipe as well."""
    assert show_refusal(WorkbookRefused(different(40)[:40]), as_json=False) == 1
    told = capsys.readouterr().err
    assert told.startswith("Fix these 40 things first:")
    assert told.count("Crop is blank") == 12
    assert "and 28 more (stillroom check --all)" in told
