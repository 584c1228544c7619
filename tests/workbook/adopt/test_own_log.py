"""A household's own log, read into Harvest: any columns, shown first, and later only what is new."""

from __future__ import annotations

import datetime
import json

import pytest
from openpyxl import load_workbook
from tests import small_kitchen

from stillroom.cli import run
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read

CROPS = [
    {"Crop": "plum tomato", "Handbook food": "tomato", "Keeps days": 4, "Unit": "lb", "Bushel weighs": 53},
    {"Crop": "sweet corn", "Keeps days": 2, "Unit": "lb", "Bushel weighs": 35},
    {"Crop": "sweet peppers", "Keeps days": 7, "Unit": "lb"},
    {"Crop": "hot peppers", "Keeps days": 7, "Unit": "lb"},
]
LOG = [
    ["Our garden"],
    ["How much", "Who", "What we picked", "When"],
    ["53 lb", "A", "tomatoes", datetime.date(2026, 8, 12)],
    ["3 dozen", "B", "Corn", "8/13"],
    [12, "A", "roma tomatoes", None],
    ["1 1/2 bu", "B", "corn", "Aug 14"],
    ["5-6 lb", "A", "tomatoes", "Aug 14"],
    ["5 lb", "A", "peppers", "Aug 14"],
    ["2 lb", "A", "quinces", "Aug 14"],
]


@pytest.fixture
def kitchen(tmp_path):
    """The small kitchen with a log on a sheet of its own."""
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", Crops=CROPS, Harvest=[])
    return with_log(path, LOG)


def with_log(path, rows):
    """Put a sheet Log with these rows into a workbook."""
    book = load_workbook(path)
    if "Log" in book.sheetnames:
        del book["Log"]
    sheet = book.create_sheet("Log")
    for row in rows:
        sheet.append(row)
    book.save(path)
    return path


def lots(path):
    """The lots of a workbook: crop, day and weight."""
    typed, problems = read.household(Book.open(path), small_kitchen.FRIDAY)
    assert not [one for one in problems if one.is_error and one.where.startswith("Harvest")]
    return [(lot.crop, lot.picked_on.day, round(lot.kg / 0.45359237, 2)) for lot in typed.lots]


READ = [("plum tomato", 12, 53.0), ("sweet corn", 13, 22.49), ("plum tomato", 13, 12.0), ("sweet corn", 14, 52.5)]
"""36 ears of 102 / 0.36 g are 22.49 lb; a row without a date takes the one above; 1 1/2 bushels of 35 lb."""


def test_a_log_is_shown_first_and_nothing_is_written_into_a_pipe_without_yes(kitchen, capsys):
    before = kitchen.read_bytes()
    assert run(["adopt", str(kitchen), "--log", "log"]) == 0
    text = capsys.readouterr().out
    assert kitchen.read_bytes() == before
    for words in (
        'date: column D, "When"',
        'what: column C, "What we picked"',
        'amount: column A, "How much"',
        "1 row without a date",
        'plum tomato ("tomatoes", "roma tomatoes"): 2 lots, 65 lb, Aug 12 to Aug 13',
        'sweet corn ("corn"): 2 lots, 75 lb, Aug 13 to Aug 14',
        'Log!C7: "5-6 lb" may be 5 lb or 6 lb',
        'Log!C8: no crop is called "peppers"; did you mean sweet peppers or hot',
        'Log!C9: no crop is called "quinces"',
        "Nothing was written. To add them, run: stillroom adopt kitchen.xlsx --log Log --yes",
    ):
        assert words in text


@pytest.mark.parametrize("answer", [True, False])
def test_a_terminal_is_asked_before_anything_is_written(kitchen, capsys, monkeypatch, answer):
    asked = []
    monkeypatch.setattr("stillroom.cli.setup.agrees", lambda question: asked.append(question) or answer)
    assert run(["adopt", str(kitchen), "--log", "Log"]) == 0
    assert asked == ["Add these to Harvest?"]
    assert lots(kitchen) == (READ if answer else [])
    assert ("Nothing was written" in capsys.readouterr().out) is not answer


def test_a_row_that_says_nothing_is_named_and_the_command_to_go_on_with_can_be_typed(tmp_path, capsys):
    rows = [
        ["Date", "Crop", "Amount"],
        [None, "corn", 3],
        ["8/12", "corn", 0],
        ["8/13", "corn", 2],
        [None, "corn", True],
    ]
    path = with_log(small_kitchen.build(tmp_path / "kitchen.xlsx", Crops=CROPS, Harvest=[]), rows)
    book = load_workbook(path)
    book["Log"].title = "Mom's log"
    book.save(path)
    assert run(["adopt", str(path), "--log", "mom's log"]) == 0
    text = capsys.readouterr().out
    assert "B2: the date is blank" in text
    assert "B3: the amount is not above 0" in text
    assert 'B5: "True" is not an amount' in text
    assert 'stillroom adopt kitchen.xlsx --log "Mom\'s log" --yes' in text


def test_a_log_is_read_once_and_later_only_what_is_new(kitchen, capsys):
    assert run(["adopt", str(kitchen), "--log", "Log", "--yes"]) == 0
    assert "4 lots from Log: added to Harvest" in capsys.readouterr().out
    assert lots(kitchen) == READ
    assert run(["adopt", str(kitchen), "--log", "Log", "--yes"]) == 0
    assert "Nothing new in Log; already in Harvest: 4" in capsys.readouterr().out
    with_log(
        kitchen, [*LOG, ["53 lb", "A", "tomatoes", datetime.date(2026, 8, 12)], ["7 lb", "A", "sweet peppers", "8/15"]]
    )
    assert run(["adopt", str(kitchen), "--log", "Log", "--yes"]) == 0
    assert lots(kitchen) == [*READ, ("plum tomato", 12, 53.0), ("sweet peppers", 15, 7.0)]
    capsys.readouterr()


def test_a_lot_that_was_corrected_or_weighed_already_is_not_added_again(kitchen, capsys):
    assert run(["weigh", str(kitchen), "corn", "3 dozen", "--on", "8/13"]) == 0
    assert run(["adopt", str(kitchen), "--log", "Log", "--yes"]) == 0
    assert sorted(lots(kitchen)) == sorted(READ)
    book = load_workbook(kitchen)
    for row in book["Harvest"].iter_rows():
        for cell in row:
            if cell.value == 53:
                cell.value = 51
    book.save(kitchen)
    assert run(["adopt", str(kitchen), "--log", "Log", "--yes"]) == 0
    assert len(lots(kitchen)) == len(READ)
    capsys.readouterr()


def test_units_may_stand_in_the_heading_or_in_a_column_of_their_own(tmp_path, capsys):
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", Crops=CROPS, Harvest=[])
    with_log(path, [["Day", "Kg", "Crop", "Total so far"], ["8/12", 2, "corn", 2], ["8/13", 3, "corn", 5]])
    assert run(["adopt", str(path), "--log", "Log", "--yes"]) == 0
    assert lots(path) == [("sweet corn", 12, 4.41), ("sweet corn", 13, 6.61)]
    rows = [["Crop", "Qty", "Measure", "Date"], ["corn", 2, "bu", "8/12"], ["corn", 4, "doz", "8/13"]]
    assert run(["adopt", str(with_log(path, rows)), "--log", "Log", "--json", "--yes"]) == 0
    told = json.loads(capsys.readouterr().out.partition("\n{")[2].join(["{", ""]))
    assert [(row["number"], row["unit"]) for row in told["new"]] == [(2, "bushel"), (4, "dozen")]
    assert told["receipt"] is not None


def test_one_row_shows_for_all_which_of_day_and_month_stands_first(tmp_path, capsys):
    """In a metric workbook 8/9 alone has two readings; below 13/8 it has one."""
    crops = [{"Crop": "tomato", "Keeps days": 4, "Unit": "kg"}]
    kitchen = [{"Setting": "altitude", "Value": 500, "Unit": "m"}, *small_kitchen.KITCHEN["Kitchen"][1:]]
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", Crops=crops, Harvest=[], Kitchen=kitchen)
    with_log(path, [["Date", "Crop", "kg"], ["8/9", "tomato", 2], ["9/9", "tomato", 3]])
    assert run(["adopt", str(path), "--log", "Log"]) == 0
    assert 'Log!B2: "8/9" may be 9 Aug 2026 or 8 Sep 2026' in capsys.readouterr().out
    with_log(path, [["Date", "Crop", "kg"], ["8/9", "tomato", 2], ["13/8", "tomato", "3,5"]])
    assert run(["adopt", str(path), "--log", "Log", "--yes"]) == 0
    typed, _ = read.household(Book.open(path), small_kitchen.FRIDAY)
    assert [(lot.picked_on, lot.kg) for lot in typed.lots] == [
        (datetime.date(2026, 9, 8), 2),
        (datetime.date(2026, 8, 13), 3.5),
    ]
    capsys.readouterr()


@pytest.mark.parametrize(
    ("rows", "words", "hint"),
    [
        (LOG, ["--log", "Logg"], 'no sheet is called "Logg"; did you mean Log?'),
        (LOG, ["--log", "Harvest"], "name the sheet of your own log"),
        (LOG, ["--log", "Log", "--filled"], "--log goes with --yes and --json only"),
        (LOG, ["--yes"], "--yes only works with --log"),
        ([["A", "B"], ["x", "y"]], ["--log", "Log"], "no column reads as the date"),
        ([[1, 2], [3, 4]], ["--log", "Log"], "no row of headings was found"),
        (
            [["Date", "Crop", "Amount"], [None, "corn", 0], [None, "corn", 2]],
            ["--log", "Log"],
            "no column reads as the date",
        ),
        (
            [["Date", "Crop", "First", "Second"], ["8/12", "corn", 2, 3], ["8/13", "corn", 3, 4]],
            ["--log", "Log"],
            '"First", "Second" may each be the amount; call the right one Amount',
        ),
    ],
)
def test_a_log_that_cannot_be_read_is_refused_with_what_to_do(tmp_path, capsys, rows, words, hint):
    path = with_log(small_kitchen.build(tmp_path / "kitchen.xlsx", Crops=CROPS), rows)
    before = path.read_bytes()
    assert run(["adopt", str(path), *words]) == 2
    assert hint in capsys.readouterr().err
    assert path.read_bytes() == before
