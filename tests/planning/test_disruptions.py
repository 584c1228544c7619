"""What changes when something goes wrong: a small kitchen worked out by hand, typed rows, and every promise kept."""

import dataclasses
import datetime
import json

import pytest
from openpyxl import load_workbook
from tests.benches.deadlines import wrong_promises
from tests.planning.any_kitchen import any_kitchen
from tests.planning.test_deadlines import FOUR_HOURS, JUICE, kitchen
from tests.small_kitchen import FRIDAY, build

from stillroom.app.day import clock_of
from stillroom.app.fit_day import tightened
from stillroom.app.plan import audited_plan, read_workbook, standing_tables
from stillroom.cli import run
from stillroom.handbook.cautions import PageCautions
from stillroom.household.audit import violated_constraints
from stillroom.household.results.deadlines import changes_words, lost_words
from stillroom.household.suppose.disruptions import TEN, the_ten
from stillroom.planning.deadlines import outcome_of
from stillroom.reports.print.week import line_of, sheet_days, week_sheet
from stillroom.reports.print.wrong import wrong_page
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.schedule import sessions_of_lines
from stillroom.workbook.writer.plan import later_rows

ALL_OF_IT = "7 quarts of juice; 23 lb plum tomato"
SAMPLE = (37, 98)


@pytest.fixture(scope="module")
def outcomes(tmp_path_factory):
    """Sixty pounds on Friday that keep two days, seven quarts wanted: what each disruption does, by its words."""
    path = kitchen(tmp_path_factory.mktemp("k") / "k.xlsx", keeps=2)
    household, plan = audited_plan(read_workbook(path, FRIDAY))
    found = [outcome_of(one, plan, tightened) for one in the_ten(household, plan)]
    return {one.name: (changes_words(household, one), lost_words(household, one)) for one in found}


@pytest.mark.parametrize(
    ("name", "changes", "lost"),
    [
        ("nobody can work on Fri", f"Fri: make nothing. Sat: also 7 {JUICE}.", "nothing"),
        ("work begins 3 hours late on Fri", f"Fri: make nothing. Sat: also 7 {JUICE}.", "nothing"),
        ("the canner is out of use for a week", "Fri: make nothing. Sat: as planned.", ALL_OF_IT),
        ("out of lids for a week", "Fri: make nothing. Sat: as planned.", ALL_OF_IT),
        (f"a load of 7 {JUICE} fails on Fri", f"Fri: also 7 {JUICE}. Sat: as planned.", "nothing"),
        ("twice the harvest on Fri", "As planned.", "60 lb plum tomato"),
        ("half the harvest on Fri", "As planned.", "nothing"),
        ("one person less for two days", "As planned.", "nothing"),
        ("nothing can be bought", "As planned.", "nothing"),
    ],
)
def test_each_disruption_of_the_small_kitchen(outcomes, name, changes, lost):
    assert outcomes[name] == (changes, lost)


def test_what_cannot_happen_is_left_out(outcomes):
    """Nothing of it is frozen, so a full freezer is nothing to it."""
    assert len(outcomes) == len(TEN) - 1
    assert not any("freezer" in name for name in outcomes)


def test_the_plan_after_a_disruption_keeps_every_constraint_of_the_household_as_it_is_then(tmp_path):
    path = kitchen(tmp_path / "k.xlsx", keeps=2)
    household, plan = audited_plan(read_workbook(path, FRIDAY))
    lost = next(one for one in the_ten(household, plan) if one.name == "nobody can work on Fri")
    assert violated_constraints(lost.household, plan)
    assert [line.name for line in lost.household.plan_lines] == [JUICE]


def test_a_typed_number_is_given_up_when_something_goes_wrong_but_what_is_kept_out_stays_out(tmp_path):
    fixed = [{"Day": FRIDAY, "Days": 1, "Preserve": JUICE, "Keep at": 7}]
    kept_out = {"Day": FRIDAY + datetime.timedelta(days=1), "Days": 1, "Preserve": JUICE, "Keep at": 0}
    path = build(tmp_path / "k.xlsx", Plan=[*fixed, kept_out])
    household, plan = audited_plan(read_workbook(path, FRIDAY))
    lost = next(one for one in the_ten(household, plan) if one.name == "nobody can work on Fri")
    outcome = outcome_of(lost, plan, tightened)
    assert changes_words(household, outcome) == "Fri: make nothing. Sat: as planned."


@pytest.mark.parametrize("number", SAMPLE)
def test_no_more_is_lost_than_was_said_when_the_household_is_planned_again_in_full(number):
    asked = wrong_promises(any_kitchen(number, fixed=False))
    assert asked
    assert [one for one in asked if one[1]] == []


def typed(path, *rows):
    """The small kitchen with rows in the table Disruptions, and what `tonight --if` gives for other programs."""
    return build(path, Disruptions=[{"Disruption": row} for row in rows])


def test_a_household_types_what_may_go_wrong(tmp_path, capsys):
    path = typed(
        tmp_path / "k.xlsx", "Late  start", "hands 4h", "canner gone", "freezer full", "gauge dial; canner gone"
    )
    assert run(["tonight", str(path), "--if", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["disruptions"]
    names = ["work begins 3 hours late on Fri", "hands 4h", "canner gone", "freezer full", "gauge dial; canner gone"]
    assert [one["if"] for one in found] == names
    assert found[3]["what_changes"] == "This plan has no part of it."
    assert found[2]["lost_targets"] == [{"target": "juice", "amount": 14, "unit": "quarts"}]
    assert [one["after"] for one in found[2]["changes"]] == [0] * len(found[2]["changes"])


def test_rows_that_cannot_be_read_are_named_with_their_cells(tmp_path, capsys):
    path = typed(tmp_path / "k.xlsx", "the cat is ill", "canner gone", "no salza")
    assert run(["tonight", str(path), "--if"]) == 2
    said = capsys.readouterr().err
    assert "Disruptions!A2" in said
    assert "Disruptions!A4" in said
    assert "Disruptions!A3" not in said


@pytest.fixture(scope="module")
def with_both(tmp_path_factory):
    """A workbook planned with what can wait and what may go wrong."""
    path = kitchen(tmp_path_factory.mktemp("both") / "kitchen.xlsx", keeps=2)
    assert run(["plan", str(path), "--deadlines", "--json"]) == 0
    return path


def plan_cells(path):
    """Name, Can wait until and Else of each line of the table Plan."""
    rows = list(load_workbook(path)["Plan"].iter_rows(values_only=True))
    start = next(number for number, row in enumerate(rows) if row[0] == "Day")
    places = [rows[start].index(heading) for heading in ("Preserve", "Can wait until", "Else")]
    return [tuple(row[place] for place in places) for row in rows[start + 1 :] if row[2]]


WAITS = [(JUICE, "Sun Aug 16 9:45 AM", "lost: 7 quarts of juice, 23 lb plum tomato")]


def test_a_plan_writes_what_can_wait_beside_its_lines_and_what_may_go_wrong(with_both):
    assert plan_cells(with_both) == WAITS
    names = load_workbook(with_both).sheetnames
    assert {"Can wait", "If things go wrong"} <= set(names)


def test_today_and_the_day_show_what_can_wait(with_both, capsys):
    assert run(["today", str(with_both)]) == 0
    assert "can wait until Sun Aug 16" in " ".join(capsys.readouterr().out.split())
    assert run(["today", str(with_both), "--json"]) == 0
    line = json.loads(capsys.readouterr().out)["make"][0]
    assert (line["can_wait_until"], line["else"]) == WAITS[0][1:]
    assert run(["day", str(with_both)]) == 0
    assert f"{JUICE}: can wait until Sun Aug 16 9:45 AM; else lost: 7 quarts" in " ".join(
        capsys.readouterr().out.split()
    )
    assert run(["day", str(with_both), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["can_wait"][0]["can_wait_until"] == "Sun Aug 16 9:45 AM"


def test_the_same_plan_again_keeps_them_and_a_new_plan_empties_them(with_both, tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(with_both.read_bytes())
    assert run(["plan", str(path)]) == 0
    assert plan_cells(path) == WAITS
    book = load_workbook(path)
    book["Winter list"]["B2"] = 6
    book.save(path)
    capsys.readouterr()
    assert run(["plan", str(path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert [cells[1:] for cells in plan_cells(path)] == [(None, None)]
    for table in ("Can wait", "If things go wrong"):
        assert f"The {table} table was for an older plan and has been emptied." in said
    assert run(["tonight", str(path), "--write"]) == 0
    assert plan_cells(path)[0][1] == "Sun Aug 16 9:45 AM"
    capsys.readouterr()
    assert run(["plan", str(path)]) == 0
    assert "Nothing changed since the last plan" in capsys.readouterr().out


def test_the_page_for_the_door_shows_both(with_both):
    reading = read_workbook(with_both, FRIDAY)
    waiting, wrong = (later_rows(reading.book, name) for name in ("Can wait", "If things go wrong"))
    days = [FRIDAY + datetime.timedelta(days=number) for number in range(3)]
    page = wrong_page("kitchen", [], days, waiting, wrong)
    assert [section.heading for section in page.sections[:2]] == ["What can wait", "You may stop"]
    picture = page.sections[0].blocks[0].picture
    assert picture.alternative == "Every line can wait a day or more."
    _, quiet = page.sections[3].blocks
    assert "Nothing changes and nothing is lost: half the harvest" in quiet.words


def test_the_week_sheet_says_of_a_day_where_one_may_stop(with_both):
    """A day that may be left out as a whole says so at its head, another has a line below its work."""
    clock = clock_of(with_both, FRIDAY)
    waiting = later_rows(clock.reading.book, "Can wait")
    friday, *_ = sheet_days(clock.reading.household, standing_tables(clock.reading), waiting)

    def group_of(stop):
        page = week_sheet("kitchen", [dataclasses.replace(friday, stop=stop)], {}, PageCautions())
        return page.sections[0].blocks[0].groups[0]

    assert [below.words for below in group_of(friday.stop).head.below] == ["Aug 14", "the day can wait"]
    assert len(group_of(friday.stop).rows) == 1
    *_, last = group_of("After jam you may stop: nothing is lost.").rows
    assert [below.words for below in last[2].below] == ["After jam you may stop: nothing is lost."]


def test_there_is_no_such_page_before_it_was_asked_for(tmp_path):
    reading = read_workbook(kitchen(tmp_path / "k.xlsx", hands=FOUR_HOURS), FRIDAY)
    assert wrong_page("kitchen", [], [FRIDAY], later_rows(reading.book, "Can wait"), []) is None


def test_a_day_that_begins_as_late_as_it_may_is_over_in_time(with_both, capsys):
    """The same sessions with the day's start and its typed end as they would be then."""
    reading = read_workbook(with_both, FRIDAY)
    household, sessions = reading.household, sessions_of_lines(reading.household, reading.household.plan_lines)
    (day,) = on_the_clock(household, sessions)
    until = day.may_begin_until
    assert until is not None
    assert until - day.kitchen.starts == day.closes - day.ends
    late = household.with_kitchen(day_starts_at=until.time(), latest_end=day.closes.time())
    (then,) = on_the_clock(late, sessions)
    assert then.fits
    assert then.ends == day.closes
    assert run(["day", str(with_both)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "the whole day may begin until" in said
    assert "Before anything is begun you may stop: nothing is lost." in said


def test_a_day_with_a_step_past_its_hours_has_no_latest_start(with_both):
    reading = read_workbook(with_both, FRIDAY)
    (day,) = on_the_clock(reading.household, sessions_of_lines(reading.household, reading.household.plan_lines))
    last = day.steps[0]
    longer = dataclasses.replace(last, end=day.closes + datetime.timedelta(hours=1))
    assert dataclasses.replace(day, steps=(*day.steps, longer)).may_begin_until is None


@pytest.mark.parametrize(
    ("until", "shown"),
    [
        ("Sun Aug 16", "can wait until Sun Aug 16"),
        ("Fri Aug 14", "cannot wait"),
        ("next week", ""),
        ("after Aug 28", ""),
    ],
)
def test_the_week_sheet_shows_only_a_last_day_of_its_own(with_both, until, shown):
    """What can wait longer has no line of its own, so that the week stays on one page."""
    household = read_workbook(with_both, FRIDAY).household
    row = {"Day": FRIDAY, "Days": 1, "Preserve": JUICE, "Make": 7.0, "Unit": "quart jar", "Can wait until": until}
    assert line_of(household, household.preserve(JUICE), row).can_wait == shown
