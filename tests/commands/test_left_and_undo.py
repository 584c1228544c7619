"""What leaves the kitchen (ate, gave, spoiled, surplus), and undo: what they write, what they count, what they end."""

import datetime
import json

import pytest
from tests.commands.test_log_commands import JUICE, rows, said
from tests.season.household import START, build, with_first_day

from stillroom.cli import run
from stillroom.household.journal.overview import kept_until_yesterday, season_rows
from stillroom.household.journal.stocks import settle, stock_cards
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer.plan import notes_in
from stillroom.workbook.writer.record import add_rows
from stillroom.workbook.writer.undo import steps_in


@pytest.fixture
def kitchen(tmp_path):
    """The workbook in a folder of its own; its first day is typed, so that no clock matters."""
    return build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day())


def typed(path):
    """The household as typed."""
    return read.household(Book.open(path), START)[0]


def now(path, kind, stock):
    """What there should be of a stock."""
    return next(card.should_be_now for card in stock_cards(typed(path)) if (card.kind, card.stock) == (kind, stock))


@pytest.mark.parametrize(("word", "jars"), [("ate", 62), ("gave", 60), ("spoiled", 62), ("surplus", 62)])
def test_what_leaves_the_shelf_gives_its_jar_back_unless_it_was_given_away(kitchen, capsys, word, jars):
    assert "2 left on the shelf" in said(capsys, word, kitchen, JUICE, "2")
    assert rows(kitchen, "Record") == [{"Date": START, "Preserve": JUICE, "What happened": word, "Made": 2}]
    assert now(kitchen, "shelf", JUICE) == 2
    assert now(kitchen, "container", "quart jar") == jars


@pytest.mark.parametrize(
    ("words", "column"),
    [
        (("ate", "2lb"), "Eaten or given"),
        (("gave", "2lb"), "Eaten or given"),
        (("spoiled", "2lb"), "Lost"),
        (("surplus", "2lb", "--to", "compost"), "Surplus"),
    ],
)
def test_what_is_taken_of_a_crop_is_booked_under_what_became_of_it(kitchen, capsys, words, column):
    said(capsys, "weigh", kitchen, "plum tomato", "53lb")
    said(capsys, words[0], kitchen, "plum tomato", *words[1:])
    row = {"Date": START, "What happened": words[0], "Crop": "plum tomato", "Crop used": 2, "Unit": "lb"}
    if "--to" in words:
        row["Note"] = "to compost"
    assert rows(kitchen, "Record") == [row]
    (season,) = season_rows(typed(kitchen))
    assert (season[column], season["On hand"]) == (2, 51)


def test_what_spoiled_is_taken_off_the_lot_that_is_past_its_days(kitchen, capsys):
    """Corn keeps two days: of 12 old and 5 fresh pounds the 12 are gone, and the fresh ones are planned with."""
    old = START - datetime.timedelta(days=3)
    said(capsys, "weigh", kitchen, "sweet corn", "12lb", "--on", old.isoformat())
    said(capsys, "weigh", kitchen, "sweet corn", "5lb")
    household = typed(kitchen)
    assert [(one.crop, round(one.amount, 6)) for one in kept_until_yesterday(household)] == [("sweet corn", 12)]
    assert f'stillroom spoiled {kitchen.name} "sweet corn" 12lb' in said(capsys, "today", kitchen)
    said(capsys, "spoiled", kitchen, "sweet corn", "12lb")
    settled, problems = settle(typed(kitchen))
    assert [lot.picked_on for lot in settled.lots] == [START]
    assert not [one for one in problems if one.kind in ("lot past keeping", "lot below zero")]
    assert "sweet corn' 12lb" not in said(capsys, "today", kitchen)


def test_a_lot_that_went_bad_is_asked_after_on_one_day_only(kitchen, capsys):
    for days in (2, 3, 4):
        lot = START - datetime.timedelta(days=days)
        said(capsys, "weigh", kitchen, "sweet corn", f"{days}lb", "--on", lot.isoformat())
    assert json.loads(said(capsys, "today", kitchen, "--json"))["kept_until_yesterday"] == [
        {"crop": "sweet corn", "amount": 3, "unit": "lb"}
    ]
    assert "kept too long" not in said(capsys, "today", kitchen)


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["gave", "sweet cron", "2lb"], "did you mean sweet corn?"),
        (["surplus", "sweet corn", "2lb", "--to", "bin"], "animals or compost"),
        (["ate", JUICE, "0"], "is nothing to record"),
        (["spoiled", JUICE, "2lb"], "is not a number of containers"),
        (["undo"], "nothing to undo"),
    ],
)
def test_what_cannot_be_meant_is_2_and_changes_nothing(kitchen, capsys, words, hint):
    before = kitchen.read_bytes()
    assert run([words[0], str(kitchen), *words[1:]]) == 2
    assert hint in " ".join(capsys.readouterr().err.split())
    assert kitchen.read_bytes() == before


def test_undo_takes_back_one_entry_after_the_other_whatever_else_was_typed(kitchen, capsys):
    """The workbook is edited in between: the row is moved down, and other rows stay."""
    said(capsys, "weigh", kitchen, "plum tomato", "53lb")
    said(capsys, "made", kitchen, JUICE, "7", "--failed", "1")
    book = Book.open(kitchen)
    add_rows(book, "Record", [{"Date": START, "Preserve": JUICE, "Made": 3}])
    book.save()
    said(capsys, "gave", kitchen, JUICE, "2")
    assert "Taken back: 2 tomato juice, quart given away" in said(capsys, "undo", kitchen)
    assert "Taken back: 7 tomato juice, quart on Mon Jul 6 (Record!A2)" in said(capsys, "undo", kitchen)
    assert rows(kitchen, "Record") == [{"Date": START, "Preserve": JUICE, "Made": 3}]
    assert "Taken back: 53 lb of plum tomato" in said(capsys, "undo", kitchen)
    assert rows(kitchen, "Harvest") == []
    assert run(["undo", str(kitchen)]) == 2


def test_undo_of_an_expected_lot_that_came_gives_the_expectation_back(tmp_path, capsys):
    expected = {
        "Picked on": START,
        "Crop": "apples",
        "Amount": 30,
        "Weighed or expected": "expected",
        "Least": 20,
        "Most": 40,
    }
    kitchen = build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day(), Harvest=[expected])
    said(capsys, "weigh", kitchen, "apples", "33lb")
    said(capsys, "undo", kitchen)
    assert rows(kitchen, "Harvest") == [expected]


def test_undo_leaves_a_row_alone_that_was_changed_since_and_goes_on_to_the_one_before(kitchen, capsys):
    said(capsys, "gave", kitchen, JUICE, "1")
    said(capsys, "gave", kitchen, JUICE, "2")
    book = Book.open(kitchen)
    table = book.table("Record")
    book.set("Record", table.first_row + 1, table.column("Made"), 3)
    book.save()
    assert "Not taken back: 2 tomato juice" in said(capsys, "undo", kitchen)
    assert [row["Made"] for row in rows(kitchen, "Record")] == [1, 3]
    assert "Taken back: 1 tomato juice" in said(capsys, "undo", kitchen)


def test_what_can_be_undone_outlives_a_plan(kitchen, capsys):
    said(capsys, "gave", kitchen, JUICE, "1")
    assert run(["plan", str(kitchen)]) == 0
    capsys.readouterr()
    assert [step.words for step in steps_in(notes_in(Book.open(kitchen)))] == [
        "1 tomato juice, quart given away on Mon Jul 6"
    ]


def test_a_record_without_the_column_has_what_happened_in_the_name(tmp_path, capsys):
    kitchen = build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day())
    from openpyxl import load_workbook

    book = load_workbook(kitchen)
    sheet = book["Record"]
    for cell in sheet[1]:
        if cell.value == "What happened":
            cell.value = "My own words"
    sheet.tables["Record"].tableColumns[[c.value for c in sheet[1]].index("My own words")].name = "My own words"
    book.save(kitchen)
    said(capsys, "gave", kitchen, JUICE, "1")
    assert rows(kitchen, "Record") == [{"Date": START, "Preserve": f"gave: {JUICE}", "Made": 1}]
    assert now(kitchen, "shelf", JUICE) == 3


def test_today_fits_one_screen_and_what_spoils_first_is_first(tmp_path, capsys):
    """Ten lots, old food and a freezer full: 23 lines at 80 columns, and the work of today's last day leads."""
    day = datetime.timedelta(days=1)
    lots = [
        ("apples", 30, 0),
        ("plum tomato", 60, 5),
        ("snap beans", 24, 2),
        ("sweet corn", 20, 2),
        ("plum tomato", 9, 1),
    ]
    harvest = [
        {"Picked on": START - days * day, "Crop": crop, "Amount": amount} for crop, amount, days in [*lots, *lots]
    ]
    shelf = [{"Preserve": JUICE, "On hand": n, "Made on": START - n * day} for n in range(1, 12)]
    frozen = [{"Preserve": "corn, frozen", "On hand": n, "Made on": START - 30 * n * day} for n in range(1, 12)]
    kitchen = build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day(), Harvest=harvest, Shelf=[*shelf, *frozen])
    assert run(["plan", str(kitchen)]) == 0
    capsys.readouterr()
    assert run(["today", str(kitchen)]) == 0
    page = capsys.readouterr().out.rstrip("\n").split("\n")
    assert len(page) <= 23
    assert max(map(len, page)) <= 80
    first = [line for line in page if "(use the " in line]
    assert first == sorted(first, key=lambda line: " today)" not in line)


def test_eat_first_lists_the_shelf_by_its_days(kitchen, capsys):
    text = said(capsys, "eat-first", kitchen)
    assert "EAT FIRST" in text
    assert "4 tomato juice, quart: best by Tue Sep 1" in text
    found = json.loads(said(capsys, "eat-first", kitchen, "--json"))
    assert [one["preserve"] for one in found["eat_first"]] == [JUICE]
