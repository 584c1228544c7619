"""A whole invented season lived in a workbook, held against a ledger that shares no code with the planner's."""

import datetime
import json
import shutil

import pytest
from tests.season.household import START, build
from tests.season.simulate import Season

from stillroom.app.day import stock_json
from stillroom.app.plan import read_workbook
from stillroom.app.record import journal
from stillroom.app.write_plan import plan_workbook
from stillroom.reports.problems import sentences
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.record import add_rows

END = START + datetime.timedelta(days=84)


@pytest.fixture(scope="module")
def season(tmp_path_factory):
    """Twelve weeks, planned every three days, killed twice while planning."""
    return Season(tmp_path_factory.mktemp("season") / "kitchen.xlsx", seed=3, kills=2).run()


def test_twelve_weeks_without_one_mismatch(season):
    """Nothing typed lost, stocks and every pound as by hand, nothing twice, at each of the plans; each was audited."""
    assert season.mismatches == []
    assert season.plans == 29
    assert season.killed == 2


def test_the_season_had_everything_in_it(season):
    """All three ways of writing down, lots on time and late, crop into and out of the freezer, a forgotten session."""
    assert season.ledger.records > 60
    assert season.said["arrived"] > 20
    assert season.said["added"] > 2
    assert season.said["freeze whole"] > 0
    assert season.forgotten > 0
    assert season.said["past line not recorded"] > 0
    assert season.said["learned"] > 0
    assert len(season.notes) >= 10


@pytest.mark.parametrize(
    "damage",
    [
        {"Date": END, "Preserve": "tomato juice, quart", "Made": 1},
        {"Date": END, "Preserve": "bought: lid", "Made": 1},
        {"Date": END, "Preserve": "surplus: apples", "Crop used": 0.01, "Unit": "lb"},
    ],
)
def test_the_check_can_fail(season, tmp_path, damage):
    """One jar, one lid or a hundredth of a pound too much is found."""
    copy = tmp_path / "kitchen.xlsx"
    shutil.copy(season.path, copy)
    book = Book.open(copy)
    add_rows(book, "Record", [damage])
    book.save(tmp_path / "damaged.xlsx")
    said = json.loads(stock_json(read_workbook(tmp_path / "damaged.xlsx", END)))
    assert season.ledger.differences(said["stocks"]) != []


def test_planning_again_after_the_season_writes_nothing(season):
    before = season.path.read_bytes()
    planned = plan_workbook(read_workbook(season.path, END))
    assert planned.unchanged
    assert season.path.read_bytes() == before


# ---------------------------------------------------------------- one thing at a time, in the same workbook


@pytest.fixture
def kitchen(tmp_path):
    """A first plan with 60 lb of tomatoes in the house."""
    path = build(tmp_path / "kitchen.xlsx")
    journal.weigh(path, "plum tomato", "60 lb", None, START)
    journal.weigh(path, "apples", "30", None, START)
    plan_workbook(read_workbook(path, START))
    return path


def typed(path, *cells):
    """Type cells (table, sheet row, heading, value) as an office program would: no copy of ours is made."""
    book = Book.open(path)
    for table, row, heading, value in cells:
        Season.set_cell(book, table, row, heading, value)
    book.save(path.with_name("typed.xlsx"))
    path.with_name("typed.xlsx").replace(path)


def rows(path, name):
    """The filled rows of a table as dicts, with their sheet row."""
    found = Book.open(path).table(name)
    every = [({h: c.value for h, c in zip(found.headings, cells, strict=True)}, cells[0].row) for cells in found.rows]
    return [(row, number) for row, number in every if any(value is not None for value in row.values())]


def first_line(path):
    """The first line of the plan that makes a preserve on a single day."""
    return next((row, number) for row, number in rows(path, "Plan") if row["Days"] == 1 and ":" not in row["Preserve"])


def test_made_goes_into_the_record_once_with_its_note_and_the_line_goes(kitchen):
    line, number = first_line(kitchen)
    typed(kitchen, ("Plan", number, "Made", 9), ("Plan", number, "Note", "a little thick"))
    planned = plan_workbook(read_workbook(kitchen, START))
    assert any(words.startswith("Put into Record") for words in planned.why)
    record = [row for row, _ in rows(kitchen, "Record")]
    assert [(row["Date"], row["Preserve"], row["Made"]) for row in record] == [(line["Day"], line["Preserve"], 9)]
    assert record[0]["Note"].startswith("a little thick [plan ")
    assert all(row["Made"] is None and row["Note"] is None for row, _ in rows(kitchen, "Plan"))
    before = kitchen.read_bytes()
    assert plan_workbook(read_workbook(kitchen, START)).unchanged
    assert kitchen.read_bytes() == before


def test_a_cell_of_made_that_comes_back_is_not_counted_twice(kitchen):
    """The line and the mark of its plan stand in the workbook again, as after a restored sheet; the record knows it."""
    line, number = first_line(kitchen)
    typed(kitchen, ("Plan", number, "Made", 9))
    old = kitchen.with_name("old.xlsx")
    shutil.copy(kitchen, old)
    plan_workbook(read_workbook(kitchen, START))
    row = next(row for row, _ in rows(kitchen, "Record"))
    book = Book.open(old)
    add_rows(book, "Record", [row])
    book.save(old.with_name("restored.xlsx"))
    restored = old.with_name("restored.xlsx")
    said = json.loads(stock_json(read_workbook(restored, START)))
    assert (
        next(card["came"] for card in said["stocks"] if card["kind"] == "shelf" and card["stock"] == line["Preserve"])
        == 9
    )
    planned = plan_workbook(read_workbook(restored, START))
    assert any("In Record already" in words for words in planned.why)
    assert len(rows(restored, "Record")) == 1
    assert all(row["Made"] is None for row, _ in rows(restored, "Plan"))


def test_the_same_line_of_a_later_plan_is_counted_again(kitchen):
    """Nine in the morning, planned again, and nine more the same day: eighteen."""
    for _ in range(2):
        _, number = first_line(kitchen)
        typed(kitchen, ("Plan", number, "Made", 9))
        plan_workbook(read_workbook(kitchen, START))
    assert sum(row["Made"] for row, _ in rows(kitchen, "Record")) == 18


def test_of_a_fixed_line_the_rest_stays_fixed_until_its_days_are_over(kitchen):
    """Nine of eighteen were made: Fix stays and nine are planned; the next day the line has gone."""
    line, number = first_line(kitchen)
    typed(kitchen, ("Plan", number, "Keep at", 18), ("Plan", number, "Made", 9))
    plan_workbook(read_workbook(kitchen, START))
    row = next(row for row, _ in rows(kitchen, "Plan") if row["Keep at"] is not None)
    assert (row["Preserve"], row["Keep at"], row["Made"], row["Make"]) == (line["Preserve"], 18, None, 9)


def test_a_mark_of_the_households_own_keeps_its_row(kitchen):
    """Made goes, and the row stays for what stands in the household's own column."""
    _, number = first_line(kitchen)
    typed(kitchen, ("Plan", number, "Made", 9), ("Plan", number, "Who", "Ada"))
    plan_workbook(read_workbook(kitchen, START))
    kept = [row for row, _ in rows(kitchen, "Plan") if row["Who"] == "Ada"]
    assert len(kept) == 1
    assert kept[0]["Made"] is None


def test_the_plan_says_what_changed_since(kitchen):
    journal.weigh(kitchen, "plum tomato", "12 lb", None, START)
    typed(kitchen, ("Hours", Season.row_of(Book.open(kitchen), "Hours", "stove free"), "Mon", 3))
    planned = plan_workbook(read_workbook(kitchen, START))
    assert planned.why[0] == "Since the last plan: less stove hours (42 to 39 a week), 1 new lot."


def branches_said(kitchen):
    """The copies that the workbook does not descend from, as any command says them."""
    return [one.names[1] for one in read_workbook(kitchen, START).problems if one.kind == "another branch"]


def test_a_stale_copy_saved_over_a_later_plan_is_noticed_until_what_it_lacks_is_carried_over(kitchen):
    """The second person opened the file before the first one planned, typed a lot, and saves it over."""
    stale = kitchen.read_bytes()
    journal.made(kitchen, "apples, dried", "4", (), None, None, None, START)
    plan_workbook(read_workbook(kitchen, START))
    kitchen.write_bytes(stale)
    typed(kitchen, ("Harvest", 2, "Amount", 61))
    [named] = branches_said(kitchen)
    assert [row["Made"] for row, _ in rows(kitchen.with_name(named), "Record")] == [4]
    plan_workbook(read_workbook(kitchen, START))
    assert branches_said(kitchen) == [named]
    kitchen.with_name(named).unlink()
    assert branches_said(kitchen) == []


def test_the_copy_that_an_older_one_was_saved_over_is_never_dropped(kitchen):
    """It was named, and gone two commands later; what stood in it stood nowhere else."""
    stale = kitchen.read_bytes()
    for _ in range(2):
        journal.made(kitchen, "apples, dried", "4", (), None, None, None, START)
    kitchen.write_bytes(stale)
    lost = kitchen.with_name(".kitchen.xlsx.last").read_bytes()
    for _ in range(6):
        journal.weigh(kitchen, "plum tomato", "1 lb", None, START)
    [named] = branches_said(kitchen)
    assert kitchen.with_name(named).read_bytes() == lost
    copies = list(kitchen.parent.glob("kitchen.before-*.xlsx"))
    assert len(copies) == 3 + 1 + 6  # none goes while the two are apart
    kitchen.with_name(named).unlink()
    journal.weigh(kitchen, "plum tomato", "1 lb", None, START)
    assert len(list(kitchen.parent.glob("kitchen.before-*.xlsx"))) == 3 + 1  # one of those two is in no other file


def test_a_copy_put_back_as_it_was_and_one_persons_work_are_no_stale_copies(kitchen):
    journal.made(kitchen, "apples, dried", "4", (), None, None, None, START)
    assert branches_said(kitchen) == []
    newest = max(kitchen.parent.glob("kitchen.before-*.xlsx"), key=lambda path: path.stat().st_ctime_ns)
    kitchen.write_bytes(newest.read_bytes())
    problems = read_workbook(kitchen, START).problems
    [undone] = [one.names[1] for one in problems if one.kind == "copy put back"]
    assert "another branch" not in [one.kind for one in problems]
    journal.weigh(kitchen, "plum tomato", "1 lb", None, START)
    assert not {"another branch", "copy put back"} & {one.kind for one in read_workbook(kitchen, START).problems}
    kitchen.write_bytes(kitchen.with_name(undone).read_bytes())  # and what was undone is there to be put back too
    assert [row["Made"] for row, _ in rows(kitchen, "Record")] == [4]


def test_a_count_far_from_the_record_is_said_and_stands(kitchen):
    """160 lids, nine used; then 21 fewer are counted, more than a tenth: said once, and 130 is the truth."""
    journal.made(kitchen, "tomato juice, pint", "9", (), None, None, None, START)
    day = START + datetime.timedelta(days=1)
    typed(kitchen, ("Lids", 2, "On hand", 130), ("Lids", 2, "Counted on", day))
    said = [problem for problem in read_workbook(kitchen, day).problems if problem.kind == "count differs"]
    assert [sentences(problem)[0] for problem in said] == [
        "By the record there should be 151 lid, but you counted 130."
    ]
    cards = json.loads(stock_json(read_workbook(kitchen, day)))["stocks"]
    assert next(card["should_be_now"] for card in cards if card["stock"] == "lid") == 130
    plan_workbook(read_workbook(kitchen, day))
    assert not [problem for problem in read_workbook(kitchen, day).problems if problem.kind == "count differs"]
