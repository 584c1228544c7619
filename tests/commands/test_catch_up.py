"""Missed days caught up with: what is proposed, what is asked, what a count changes, and that nothing is entered twice."""

import datetime
from dataclasses import replace

import pytest
import typer
from tests.commands.planned_kitchen import CLOCK, planned_kitchen
from tests.commands.test_log_commands import rows, said
from tests.season.household import BEANS, FROZEN, SAUCE, START, build, with_first_day

from stillroom.app.record import catch_up as cases
from stillroom.app.record.evening import open_evening, save_evening
from stillroom.app.record.journal import left
from stillroom.cli import run
from stillroom.cli.evening import ask_counts
from stillroom.errors import CommandWrong

LATER = (START + datetime.timedelta(days=2)).isoformat()


@pytest.fixture
def kitchen(tmp_path):
    """A workbook planned on its first day; then nobody wrote anything down."""
    return planned_kitchen(tmp_path, ("apples", 40, 0))


def made(path, name):
    """How many of a preserve the record says were made in all."""
    return sum(
        row.get("Made", 0) for row in rows(path, "Record") if row.get("Preserve") == name and "What happened" not in row
    )


def test_as_planned_records_every_line_of_the_days_missed_with_its_day(kitchen, capsys):
    found = cases.open_catch_up(kitchen, CLOCK, LATER)
    assert {line.day for line in found.lines} > {START}
    assert 3 <= len(found.counts) <= 10
    said(capsys, "catch-up", kitchen, "--yes", "--on", LATER)
    assert {(row["Date"].isoformat(), row["Preserve"]) for row in rows(kitchen, "Record")} == {
        (line.day.isoformat(), line.name) for line in found.lines
    }
    assert not cases.open_catch_up(kitchen, CLOCK, LATER).lines, "what is in the record is not proposed again"


def test_without_a_day_it_is_caught_up_to_today_and_far_from_the_plan_to_its_last_day(kitchen):
    """Three days are planned in detail: on the second it is that day, a week later that day, and years later the third."""
    second, week_later = START + datetime.timedelta(days=1), START + datetime.timedelta(days=9)
    for today in (second, week_later):
        assert cases.open_catch_up(kitchen, today).evening.day == today
    found = cases.open_catch_up(kitchen, CLOCK)
    assert found.evening.day == START + datetime.timedelta(days=2)
    assert {line.day for line in found.lines} > {START}


def test_fewer_on_the_shelf_were_not_made_and_less_in_the_crates_was_eaten(kitchen, capsys):
    found = cases.open_catch_up(kitchen, CLOCK, LATER)
    shelf = {one.name: one.expected for one in found.counts if one.kind == "shelf"}
    (crate,) = [one for one in found.counts if one.kind == "crates"]
    said(
        capsys, "catch-up", kitchen, "--on", LATER, "--shelf", f"{BEANS} 20, {SAUCE} {shelf[SAUCE] + 2:g}",
        "--crates", f"{crate.name} {crate.expected - 3:g} lb", "--lids", "lid 90",
    )  # fmt: skip
    assert made(kitchen, BEANS) == 20
    assert made(kitchen, SAUCE) == shelf[SAUCE] + 2
    assert made(kitchen, FROZEN) == 10
    (eaten,) = [row for row in rows(kitchen, "Record") if row.get("What happened") == "ate"]
    assert (eaten["Crop"], eaten["Crop used"]) == (crate.name, 3)
    (lid,) = rows(kitchen, "Lids")
    assert (lid["On hand"], lid["Counted on"]) == (90, START + datetime.timedelta(days=3))


def test_what_was_eaten_meanwhile_does_not_hide_the_work_before_it(kitchen):
    lines = cases.open_catch_up(kitchen, CLOCK, LATER).lines
    day = START + datetime.timedelta(days=1)
    left(kitchen, "ate", "apples", "1 lb", day.isoformat(), CLOCK)
    assert cases.open_catch_up(kitchen, CLOCK, LATER).lines == lines
    assert START in {line.day for line in open_evening(kitchen, CLOCK, LATER).lines}


def test_a_part_of_a_jar_is_refused_when_it_is_counted_and_not_at_the_end(kitchen):
    found = cases.open_catch_up(kitchen, CLOCK, LATER)
    beans = next(one for one in found.counts if one.name == BEANS)
    with pytest.raises(CommandWrong, match="write the full jars"):
        cases.count(found, beans, "13.5")
    cases.count(found, replace(beans, expected=14.5), "13.5")


def test_a_count_may_be_zero_with_its_unit(kitchen):
    found = cases.open_catch_up(kitchen, CLOCK, LATER)
    (crate,) = [one for one in found.counts if one.kind == "crates"]
    cases.count_list(found, "crates", f"{crate.name} 0 lb")
    assert found.counted == {("crates", crate.name): 0}


def test_crop_the_plan_did_not_use_and_that_keeps_no_longer_is_proposed_as_spoiled(tmp_path, capsys):
    corn = [{"Picked on": START, "Crop": "sweet corn", "Amount": 12, "Unit": "lb"}]
    kitchen = build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day(), Harvest=corn)
    text = said(capsys, "catch-up", kitchen, "--yes", "--on", (START + datetime.timedelta(days=4)).isoformat())
    assert "12 lb sweet corn spoiled" in text


def test_the_questions_take_enter_ask_again_and_write_nothing_when_canceled(kitchen):
    before = kitchen.read_bytes()
    found = cases.open_catch_up(kitchen, CLOCK, LATER)
    told, answers = [], ["x", *[""] * len(found.counts), "n"]
    with pytest.raises(typer.Abort):
        ask_counts(found, lambda question: told.append(question) or answers.pop(0), told.append)
    assert answers == []
    assert any(words.startswith("  Mon Jul 6: 10 corn, frozen; 24 green beans, pint") for words in told)
    assert kitchen.read_bytes() == before
    assert save_evening(cases.enter_catch_up(found)).exit_code == 0
    assert made(kitchen, BEANS) == 24


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        ([], "asks only on a terminal"),
        (["--shelf", "plum jam 3"], "is not to be counted"),
        (["--lids", "lid"], "has no amount"),
        (["--lids", "lid -3"], "is not a number of lids"),
    ],
)
def test_what_cannot_be_meant_is_2_and_changes_nothing(kitchen, capsys, words, hint):
    before = kitchen.read_bytes()
    assert run(["catch-up", str(kitchen), *words]) == 2
    assert hint in " ".join(capsys.readouterr().err.split())
    assert kitchen.read_bytes() == before
