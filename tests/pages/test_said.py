"""What adopt, plan-all, stock and handbook say in the terminal and as JSON, on narrow screens too."""

from __future__ import annotations

import datetime
import json
import unicodedata
from dataclasses import replace
from pathlib import Path

import pytest

from stillroom.app.batch import workbooks_in
from stillroom.errors import CommandWrong
from stillroom.household.journal.overview import Tally
from stillroom.household.journal.stocks import Card
from stillroom.household.results.commands import Adoption, AllPlanned, LeftOut, Receipt, WorkbookDone
from stillroom.reports.terminal.handbook import ask, handbook_json, handbook_page
from stillroom.reports.terminal.lists import plain_text
from stillroom.reports.terminal.setup import end_words, filled_lines, plan_all_page
from stillroom.reports.terminal.stock import stock_page
from stillroom.workbook.ooxml.files.copies import write_list

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


# What came of a folder of workbooks, on screens of several widths.

LONG = "our neighbours up the hill, planned.xlsx"


@pytest.mark.parametrize("wide", [60, 80, 100])
def test_a_name_is_broken_between_words_and_every_workbook_has_its_figures(wide):
    """At 60 letters a name stood in a column of six; a file that is no workbook was named twice."""
    done = (
        WorkbookDone("broken.xlsx", problems=("The file is empty. Use a workbook saved as .xlsx.",)),
        WorkbookDone(LONG, None, 41, 19, 17, 1204.0, 3, seconds=2.61),
        WorkbookDone("mill.xlsx", None, 12, 9, 9, 20.0, 0, seconds=1.0),
    )
    text = plain_text(plan_all_page(AllPlanned(Path("in"), Path("out"), done, 5.0, 1)), wide)
    lines = text.splitlines()
    assert max(map(len, lines)) <= wide
    assert any(line.startswith("  mill.xlsx") and "9 of 9" in line for line in lines)
    words = {word for line in lines for word in line.split()}
    assert set(LONG.split()) <= words, text
    assert "17 of 19" in text
    assert ("2,654 lb" in text) == (wide > 60)
    assert text.count("broken.xlsx") == 2


def test_a_dated_copy_is_no_household_on_a_disk_that_takes_accents_apart(tmp_path):
    """As some disks give names back: in another form than the one in the list of copies."""
    for name in ("Küche.xlsx", "Küche.before-2026-08-14-0930.xlsx"):
        (tmp_path / unicodedata.normalize("NFD", name)).write_bytes(b"")
    book = tmp_path / unicodedata.normalize("NFD", "Küche.xlsx")
    write_list(book, [("0" * 64, unicodedata.normalize("NFC", "Küche.before-2026-08-14-0930.xlsx"))])
    assert workbooks_in(tmp_path, tmp_path / "to") == [book]


# Stocktaking in the terminal: every figure stays whole, on a narrow screen too.

SATURDAY = datetime.date(2026, 8, 15)
CARDS = (
    Card("container", "quart jar", "each", 1250, SATURDAY, 12, 7),
    Card("shelf", "applesauce, quart", "each", 5, None, 0, 0),
)
SEASON = (
    {"Crop": "plum tomato", "Unit": "lb", "Picked": 116, "Put up": 58, "Surplus": 0, "Lost": 0, "On hand": 58},
    {"Crop": "corn", "Unit": "lb", "Picked": 28, "Eaten or given": 2, "Surplus": 3, "Put up": 11, "On hand": 12},
)
TALLY = Tally({"quart jar": 7}, 3.5, 0, 0.0, (), 0.0, {"tomato juice": (9, 27), "applesauce": (5, 27)})


@pytest.mark.parametrize("wide", [60, 80, 100])
def test_no_word_and_no_figure_is_broken(wide):
    """At 60 letters the names stood in columns of eight, and bars ran over two lines."""
    text = plain_text(stock_page(CARDS, SEASON, TALLY, ()), wide)
    lines = text.splitlines()
    assert max(map(len, lines)) <= wide
    assert any(line.split() == ["quart", "jar", "1,250", "Aug", "15", "12", "7", "1,255"] for line in lines), text
    assert any(line.startswith("applesauce, quart") for line in lines)
    (corn,) = (line.split()[2:7] for line in lines if line.startswith("corn (lb)"))
    assert corn == ["28", "11", "5", "0", "12"], (
        "what was eaten counts too, so that the figures add up to what was picked"
    )
    bars = [line.split()[-1] for line in lines if line.startswith("tomato juice")]
    letters = 8 if wide == 60 else 24
    assert bars == ["#" * round(letters / 3) + "." * (letters - round(letters / 3))]
    assert ("########........" in text) == (wide > 60)


# What `handbook` says in the terminal and as JSON.


def said(**asked):
    """The page in plain text."""
    return plain_text(handbook_page(ask(**asked)))


def test_a_figure_has_its_source_and_cautions_that_fit():
    """AIB 539, Guide 3: 45 minutes a quart of juice at 1,001 to 3,000 ft."""
    text = said(food="tomato", altitude="2300ft", jar="quart")
    assert "1,001 to 3,000 ft   45 min\n" in text
    assert "within a few weeks [1]" in text.replace("\n  ", " ")
    assert "CAUTIONS" in text
    assert "Add acid to every jar of tomatoes, in either canner" in text
    assert "COMMON PRACTICE, NOT PUBLISHED" in text


def test_a_narrow_screen_never_breaks_a_figure():
    """At 60 letters the minutes stood letter under letter: 45, mi, n."""
    text = plain_text(handbook_page(ask(food="tomato", altitude="2300ft", jar="quart")), 60)
    assert "1,001 to 3,000 ft   45 min\n" in text
    assert max(map(len, text.splitlines())) <= 60


def test_what_is_no_height_is_told_as_one():
    """It was told to write a number and a unit, such as 53 lb."""
    with pytest.raises(CommandWrong, match="tall is not an altitude"):
        ask(altitude="tall")


def test_a_gauge_shows_its_rows_only():
    text = said(food="snap beans", gauge="weighted", altitude="440 m", jar="litre")
    assert "25 min at 15 lb" in text.replace("\n", " ")
    assert "dial" not in text.lower()


def test_what_is_from_memory_is_listed_with_the_rows_of_other_tables():
    text = said(status="memory")
    assert "sauerkraut" in text
    assert "OTHER ROWS" in text
    assert "storage time best quality (not verified)" in text.replace("\n  ", " ")


def test_above_the_tables_their_end_is_named():
    assert "end at 10,000 ft" in said(food="snap beans", altitude="3100 m")
    assert "end at 8,000 ft" in said(food="snap beans", altitude="8500ft")


def test_nothing_is_said_plainly():
    assert said(food="moonstones").strip() == 'No handbook entry for "moonstones".'


@pytest.mark.parametrize(
    "asked",
    [{"altitude": "3 lb"}, {"altitude": "99999ft"}, {"gauge": "water"}, {"jar": "bucket"}, {"status": "sure"}],
    ids=str,
)
def test_a_word_that_is_none_is_refused(asked):
    with pytest.raises(CommandWrong):
        ask(**asked)


def test_json_holds_figures_as_numbers_and_every_source():
    found = json.loads(handbook_json(ask(food="snap beans", altitude="1450ft", gauge="dial", jar="quart")))
    assert set(found) == {"not_safe", "handbook", "other", "practice", "cautions", "ends"}
    row = next(row for row in found["handbook"] if row["key"] == "green beans, raw pack, quart")
    assert (row["minutes"], row["pressure_lb"], row["gauge"], row["altitude_max_ft"]) == (25, 11, "dial", 2000)
    assert all(row["source"] for row in (*found["handbook"], *found["cautions"]))
