"""An evening in one command: asked or scripted, in one save; days before it, a failing plan, a second run."""

import datetime
import json
import re
import sys
import zipfile

import pytest
import typer
from openpyxl import load_workbook
from tests.commands.planned_kitchen import CLOCK, planned_kitchen
from tests.commands.test_log_commands import JUICE, rows, said
from tests.season.household import BEANS, CONTENT, FROZEN, SAUCE, START, build, with_first_day

from stillroom.app.record import evening as cases
from stillroom.app.record.journal import take_back
from stillroom.cli import run
from stillroom.cli.evening import QUESTIONS, ask_evening
from stillroom.cli.output import show
from stillroom.errors import CommandWrong, WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.record import add_rows


@pytest.fixture
def kitchen(tmp_path):
    """A workbook with work on its first day, planned."""
    return planned_kitchen(tmp_path)


def first_day(path):
    """The first day as typed in Kitchen."""
    return next(row["Value"] for row in rows(path, "Kitchen") if row["Setting"] == "first day")


def copies(path):
    """The dated copies beside a workbook."""
    return list(path.parent.glob("kitchen.before-*.xlsx"))


def answered(path, answers, on=None):
    """Act out the questions with answers in order; gives what was told and the evening, or raises."""
    found, told, left = cases.open_evening(path, CLOCK, on), [], list(answers)
    ask_evening(found, lambda question: told.append(question) or left.pop(0), told.append)
    assert not left
    return found, told


def made(path):
    """What the record says was made, and failed, by name."""
    return {
        row["Preserve"]: (row.get("Made", row.get("Crop used")), row.get("Failed seals"))
        for row in rows(path, "Record")
        if "Preserve" in row
    }


def test_as_planned_records_every_line_counts_plans_again_and_shows_tomorrow_in_one_save(kitchen, capsys):
    lines = cases.open_evening(kitchen, CLOCK).lines
    assert [line.name for line in lines][:3] == [FROZEN, BEANS, SAUCE]
    text = said(
        capsys, "evening", kitchen, "--as-planned", "--came", "plum tomato 53 lb, sweet corn 12 lb", "--gave", f"{JUICE} 1",
        "--bought", "24 lid", "--spoiled", "corn, frozen 1", "--surplus", "2 lb apples", "--ate", "apples 1 lb",
    )  # fmt: skip
    work = [row for row in rows(kitchen, "Record") if "What happened" not in row]
    assert {row["Preserve"]: row.get("Made", row.get("Crop used")) for row in work} == {
        line.name: line.planned for line in lines
    }
    assert [row["Crop"] for row in rows(kitchen, "Harvest")[-2:]] == ["plum tomato", "sweet corn"]
    assert {row["What happened"] for row in rows(kitchen, "Record") if "What happened" in row} == {
        "gave", "bought", "spoiled", "surplus", "ate",
    }  # fmt: skip
    for words in ("RECORDED Monday, July 6, 2026", "ON HAND NOW", "TOMORROW Tuesday, July 7, 2026", "TO MAKE"):
        assert words in text, words
    assert len(copies(kitchen)) == 1
    assert first_day(kitchen) == START + datetime.timedelta(days=1)
    before = kitchen.read_bytes()
    assert run(["plan", str(kitchen)]) == 0
    assert kitchen.read_bytes() == before, "the plan that was saved is that of the workbook as it is now"


def test_undo_of_an_evening_puts_its_first_day_and_its_plan_back(kitchen, capsys):
    """The first undo puts them back and the rest takes the entries back; then nothing differs from before."""
    before = {name: rows(kitchen, name) for name in ("Plan", "Coverage", "Timetable", "Record", "Harvest")}
    said(capsys, "evening", kitchen, "--as-planned", "--came", "sweet corn 12 lb")
    assert first_day(kitchen) != START
    assert rows(kitchen, "Plan") != before["Plan"]
    text = said(capsys, "undo", kitchen)
    assert "The first day is Mon Jul 6 again. The plan is the one from before that evening." in text
    assert first_day(kitchen) == START
    assert rows(kitchen, "Plan") == before["Plan"]
    assert not cases.open_evening(kitchen, CLOCK).lines, "what is still recorded is not asked again"
    text = said(capsys, "undo", kitchen)
    assert "again." not in text
    while "The next undo" in text:
        text = said(capsys, "undo", kitchen)
    assert {name: rows(kitchen, name) for name in before} == before
    assert "Nothing changed since the last plan" in said(capsys, "plan", kitchen)


def test_undo_leaves_a_plan_alone_that_was_made_after_the_evening(kitchen, capsys):
    said(capsys, "evening", kitchen, "--as-planned")
    said(capsys, "weigh", kitchen, "sweet corn", "3lb")
    assert "again." not in said(capsys, "undo", kitchen), "a later entry is not the evening's"
    said(capsys, "weigh", kitchen, "sweet corn", "4lb")
    said(capsys, "plan", kitchen)
    said(capsys, "undo", kitchen)
    assert "again." not in said(capsys, "undo", kitchen)
    assert first_day(kitchen) == START + datetime.timedelta(days=1)


def test_tomorrow_is_told_from_this_evening(kitchen, capsys):
    """What is thawed comes out the evening before it is cooked; today's jars are put away tomorrow."""
    text = said(capsys, "evening", kitchen, "--as-planned")
    assert "Take 14 lb plum tomato out of the freezer tomorrow evening. Cook it the day after." in text
    assert f"24 {BEANS} from today: take off the bands" in text
    assert "; plum tomato frozen whole 17 lb" in text
    text = said(capsys, "evening", kitchen, "--as-planned", "--on", str(START + datetime.timedelta(days=1)))
    assert "Take 14 lb plum tomato out of the freezer this evening. Cook it tomorrow and use all the liquid." in text


def test_an_evening_entered_the_morning_after_ends_with_today(kitchen, capsys):
    said(capsys, "evening", kitchen, "--as-planned")
    tuesday, wednesday = (START + datetime.timedelta(days=days) for days in (1, 2))
    found = cases.open_evening(kitchen, wednesday, tuesday.isoformat())
    for line in found.lines:
        cases.record_line(found, line, "")
    show(cases.evening_view(cases.save_evening(found)))
    text = " ".join(capsys.readouterr().out.split())
    assert "TODAY Wednesday, July 8, 2026" in text
    assert "out of the freezer now. Cook it today" in text


def test_a_second_run_the_same_evening_shows_the_lines_as_done_and_adds_nothing(kitchen, capsys):
    said(capsys, "evening", kitchen, "--as-planned")
    before = kitchen.read_bytes()
    text = said(capsys, "evening", kitchen, "--as-planned")
    assert kitchen.read_bytes() == before
    assert f"24 {BEANS} (recorded before)" in text
    assert "RECORDED Monday, July 6, 2026" in text


def test_each_answer_means_what_the_screen_says(kitchen):
    """As planned, one that did not seal, a wrong one asked again, so many, still going; then what came, once wrong."""
    answers = ["", "-1", "x", "20", "s", "53 lb plum tomato, 12 lb corm", "53 lb plum tomato, 12 lb sweet corn"]
    found, told = answered(kitchen, [*answers, *[""] * (len(QUESTIONS) - 1), ""])
    done = cases.save_evening(found)
    assert made(kitchen) == {FROZEN: (10, None), BEANS: (23, 1), SAUCE: (20, None)}
    assert [row["Amount"] for row in rows(kitchen, "Harvest")[-2:]] == [53, 12]
    assert any("is not how many" in words for words in told)
    assert any('no crop is called "corm"' in words for words in told)
    assert (done.exit_code, len(copies(kitchen))) == (0, 1)


def test_nothing_is_written_when_the_evening_is_canceled(kitchen):
    before = kitchen.read_bytes()
    with pytest.raises(typer.Abort):
        answered(kitchen, ["", "", "", "", *[""] * len(QUESTIONS), "n"])
    assert kitchen.read_bytes() == before
    assert copies(kitchen) == []


def test_what_was_entered_is_saved_even_if_planning_then_fails(tmp_path, capsys, monkeypatch):
    kitchen = planned_kitchen(tmp_path, ("apples", 40, 0))
    from stillroom.app.record import evening
    from stillroom.errors import NoPlanInTime

    def fails(reading, **_):
        reading.book.set("Kitchen", 1, 1, "half a plan")
        raise NoPlanInTime("no plan was found")

    monkeypatch.setattr(evening, "queue_found", fails)
    assert run(["evening", str(kitchen), "--as-planned"]) == NoPlanInTime.exit_code
    text = " ".join(capsys.readouterr().out.split())
    assert "the plan in the workbook is out of date: no plan was found" in text
    assert made(kitchen)[FROZEN] == (10, None)
    assert Book.open(kitchen).cell("Kitchen", 1, 1).value == "Setting"
    assert "The workbook has changed since this plan was made" in said(capsys, "today", kitchen)


def test_lines_of_the_days_since_the_last_record_come_first_each_with_its_date(kitchen):
    after = (START + datetime.timedelta(days=1)).isoformat()
    found = cases.open_evening(kitchen, CLOCK, after)
    assert {line.day for line in found.lines[:4]} == {START}
    assert [line.day for line in found.lines] == sorted(line.day for line in found.lines)
    _, told = answered(kitchen, [*["s"] * len(found.lines), *[""] * len(QUESTIONS), ""], after)
    assert f"Mon Jul 6: 10 {FROZEN}?" in told


def test_as_planned_is_about_this_day_only_unless_since_is_typed(kitchen, capsys):
    after = (START + datetime.timedelta(days=1)).isoformat()
    text = said(capsys, "evening", kitchen, "--as-planned", "--on", after)
    assert not [row for row in rows(kitchen, "Record") if row["Date"] == START]
    assert (
        f"Not recorded yet: Mon Jul 6. Record them as planned: stillroom evening kitchen.xlsx --as-planned --since {START}"
        in text
    )


def test_since_records_the_earlier_days_as_planned_too(kitchen, capsys):
    after = (START + datetime.timedelta(days=1)).isoformat()
    said(capsys, "evening", kitchen, "--as-planned", "--on", after, "--since", START.isoformat())
    assert (START, BEANS) in [(row["Date"], row["Preserve"]) for row in rows(kitchen, "Record")]


def test_a_line_made_otherwise_is_not_as_planned_too(kitchen, capsys):
    said(capsys, "evening", kitchen, "--as-planned", "--made", f"{BEANS} -2, {SAUCE} 9")
    assert {name: made(kitchen)[name] for name in (BEANS, SAUCE, FROZEN)} == {
        BEANS: (22, 2),
        SAUCE: (9, None),
        FROZEN: (10, None),
    }


def test_a_line_of_the_day_may_be_named_by_the_beginning_of_its_name(kitchen, capsys):
    """Of all preserves of its crop, the one that is planned today is meant."""
    line = cases.open_evening(kitchen, CLOCK).lines[0]
    assert "," in line.name
    said(capsys, "evening", kitchen, "--made", f"{line.name.partition(',')[0]} 5")
    assert made(kitchen) == {line.name: (5, None)}
    assert run(["evening", str(kitchen), "--made", f"{line.name} -1"]) == 2
    assert f'"{line.name} -1": the plan has no such line on Mon Jul 6' in capsys.readouterr().err


def test_a_crop_that_is_not_in_the_workbook_is_named_with_the_command_that_adds_it(kitchen, capsys):
    assert run(["evening", str(kitchen), "--came", "zucchini 12 lb"]) == 2
    assert "or add it to Crops: stillroom add kitchen.xlsx zucchini" in capsys.readouterr().err
    assert run(["add", str(kitchen), "zucchini"]) == 0
    assert run(["evening", str(kitchen), "--came", "zucchini 12 lb"]) == 0


def test_how_many_sealed_and_how_many_did_not_may_be_typed_together(kitchen, capsys):
    """BEANS are in the plan of this day and JUICE is not."""
    text = said(capsys, "evening", kitchen, "--as-planned", "--made", f"{BEANS} 20 -1, {JUICE} 5 -1")
    assert (made(kitchen)[BEANS], made(kitchen)[JUICE]) == ((20, 1), (5, 1))
    assert "and not recorded" not in text


def test_a_line_of_the_day_that_a_script_leaves_out_is_named_with_the_command_that_records_it(kitchen, capsys):
    text = said(capsys, "evening", kitchen, "--made", f"{BEANS} 20")
    assert f"10 {FROZEN}: planned and not recorded. If you made it: stillroom made kitchen.xlsx" in text
    assert f'"{FROZEN}" 10 --on 2026-07-06' in text
    assert f"{BEANS}: planned and not" not in text
    assert run(["made", str(kitchen), FROZEN, "10", "--on", "2026-07-06"]) == 0
    assert made(kitchen)[FROZEN] == (10, None)


def test_a_line_of_crop_that_is_named_with_0_is_not_as_planned(kitchen, capsys):
    whole = next(line for line in cases.open_evening(kitchen, CLOCK).lines if line.unit)
    said(capsys, "evening", kitchen, "--as-planned", "--made", f"{whole.name} 0")
    assert set(made(kitchen)) == {FROZEN, BEANS, SAUCE}


def test_a_line_for_what_is_in_no_table_any_more_is_not_asked_for(kitchen):
    """A note keeps such a line in the plan; a crop that is gone has no unit."""
    book = Book.open(kitchen)
    table = book.table("Plan")
    for row, name in ((table.first_row, "freeze whole: kale"), (table.first_row + 1, "kale soup")):
        for heading, value in (("Preserve", name), ("Unit", None), ("Note", "the last of it")):
            book.set(table.sheet, row, table.column(heading), value)
    book.save()
    assert cases.open_evening(kitchen, CLOCK).lines[0].name == SAUCE


def test_crop_on_a_row_of_its_own_is_not_more_work_that_is_done(kitchen):
    book = Book.open(kitchen)
    crop = {"Crop": "plum tomato", "Crop used": 30, "Unit": "lb"}
    day = {"Date": START, "Preserve": SAUCE}
    add_rows(book, "Record", [{**day, "Made": 18}, {**day, **crop}])
    book.save()
    assert cases.open_evening(kitchen, CLOCK).done == (f"18 {SAUCE}",)


def test_a_lot_that_may_be_one_expected_another_day_is_to_be_looked_at(tmp_path):
    day = START + datetime.timedelta(days=1)
    expected = {"Picked on": day, "Crop": "apples", "Amount": 30, "Weighed or expected": "expected"}
    found = cases.open_evening(
        build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day(), Harvest=[expected]), CLOCK, str(START)
    )
    cases.record_list(found, "came", "apples 28 lb")
    assert ["apples: 30 lb are still expected Tue Jul 7" in words for words in found.said] == [True]


def test_a_list_of_which_one_thing_cannot_be_written_queues_none_of_it(tmp_path):
    """Typed again it would be doubled: the second lot's row has a formula where the weight is to go."""
    expected = {"Picked on": START, "Crop": "apples", "Amount": 30, "Weighed or expected": "expected"}
    kitchen = build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day(), Harvest=[expected])
    book = load_workbook(kitchen)
    heading = next(cell for cell in book["Harvest"][1] if cell.value == "Amount")
    book["Harvest"].cell(2, heading.column).value = "=15*2"
    book.save(kitchen)
    with zipfile.ZipFile(kitchen) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    with zipfile.ZipFile(kitchen, "w") as new:
        for name, content in parts.items():
            new.writestr(name, re.sub(rb"</f><v ?/>|</f><v></v>", rb"</f><v>30</v>", content))
    found = cases.open_evening(kitchen, CLOCK)
    with pytest.raises(WorkbookRefused):
        cases.record_list(found, "came", "sweet corn 12 lb, apples 28 lb")
    assert found.entered == []


def test_crop_that_keeps_less_than_a_day_is_for_this_evening(tmp_path):
    """The plan of tomorrow cannot use it: it says so when it comes in."""
    crops = [row | ({"Keeps days": 0.5} if row["Crop"] == "sweet corn" else {}) for row in CONTENT["Crops"]]
    found = cases.open_evening(build(tmp_path / "kitchen.xlsx", Crops=crops, Kitchen=with_first_day()), CLOCK)
    cases.record_list(found, "came", "corn 12 lb, apples 28 lb")
    assert [words for words in found.said if "keeps" in words] == [
        "sweet corn keeps 0.5 day, so tomorrow is too late for it in the plan: put it up or eat it this evening."
    ]


def test_a_list_that_the_table_has_no_room_for_queues_none_of_it(kitchen):
    book = Book.open(kitchen)
    table = book.table("Harvest")
    book.set("Harvest", table.last_row + 1, 1, "my note")
    book.save()
    found = cases.open_evening(kitchen, CLOCK)
    room = table.last_row - table.first_row + 1 - len(rows(kitchen, "Harvest"))
    with pytest.raises(WorkbookRefused):
        cases.record_list(found, "came", ", ".join(["corn 1 lb"] * (room + 1)))
    assert (found.entered, found.log.book.changed()) == ([], False)
    cases.record_list(found, "came", ", ".join(["corn 1 lb"] * room))
    assert len(found.entered) == room


@pytest.mark.parametrize(("unit", "asked"), [("lb", "53 lb plum tomato"), ("kg", "53 kg plum tomato")])
def test_the_questions_have_the_units_of_the_workbook(tmp_path, unit, asked):
    crops = [{**row, "Unit": unit} for row in CONTENT["Crops"]]
    kitchen = build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day(), Crops=crops)
    _, told = answered(kitchen, [*[""] * len(QUESTIONS), ""])
    assert any(asked in words for words in told)


def test_a_command_to_copy_works_with_any_name_of_a_file():
    day = datetime.date(2026, 7, 6)
    later = day + datetime.timedelta(days=1)
    (words,) = cases.open_lines_words([cases.LineToRecord(day, "jam", 3.0)], later, "my kitchen.xlsx")
    assert f'stillroom evening "my kitchen.xlsx" --as-planned --since {day}' in words


def test_a_day_without_lines_is_said_and_goes_on_to_what_came_in(tmp_path):
    kitchen = build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day())
    found, told = answered(kitchen, ["plum tomato 20 lb", *[""] * (len(QUESTIONS) - 1), ""])
    assert told[1:3] == ["The plan has nothing for today.", QUESTIONS["came"]]
    assert found.entered == ["20 lb of plum tomato, picked Mon Jul 6"]


def test_undo_takes_an_evening_back_entry_by_entry(kitchen, capsys):
    said(capsys, "evening", kitchen, "--as-planned", "--came", "plum tomato 53 lb")
    assert take_back(kitchen, CLOCK).messages[0].startswith("Taken back: 53 lb of plum tomato")
    for _ in range(4):
        take_back(kitchen, CLOCK)
    assert rows(kitchen, "Record") == []
    with pytest.raises(CommandWrong):
        take_back(kitchen, CLOCK)


def test_it_asks_only_on_a_terminal(kitchen, capsys):
    before = kitchen.read_bytes()
    assert not sys.stdin.isatty() or not sys.stdout.isatty()
    assert run(["evening", str(kitchen)]) == 2
    assert "asks only on a terminal" in capsys.readouterr().err
    assert run(["evening", str(kitchen), "--came", "corm 3 lb"]) == 2
    assert kitchen.read_bytes() == before


def test_an_evening_in_json_has_what_was_recorded_and_tomorrow(kitchen, capsys):
    found = json.loads(said(capsys, "evening", kitchen, "--as-planned", "--json"))
    assert (found["day"], found["planned"], found["tomorrow"]["day"]) == ("2026-07-06", True, "2026-07-07")
    assert f"24 {BEANS} on Mon Jul 6" in found["recorded"]


@pytest.mark.parametrize(
    ("answer", "hint"),
    [("-9999", "were planned"), ("several", "is not how many"), ("7.5", "cannot be: write the full jars")],
)
def test_a_wrong_answer_says_why(kitchen, answer, hint):
    found = cases.open_evening(kitchen, CLOCK)
    beans = next(line for line in found.lines if line.name == BEANS)
    with pytest.raises(CommandWrong, match=hint):
        cases.record_line(found, beans, answer)
    assert found.entered == []


def test_an_evening_is_typed_as_people_talk(kitchen, capsys):
    """Everyday names, counts by the dozen, and what is left to which of crop and preserve a name means."""
    text = said(
        capsys, "evening", kitchen, "--came", "53 lb tomatoes, corn 3 dozen", "--ate", "corn 2 lb, 1 corn",
        "--bought", "2 dozen lids", "--on", "7/6",
    )  # fmt: skip
    assert "53 lb of plum tomato" in text
    assert [(row["Crop"], row["Amount"], row["Unit"]) for row in rows(kitchen, "Harvest")[-1:]] == [
        ("sweet corn", 3, "dozen")
    ]
    ate = [row for row in rows(kitchen, "Record") if row["What happened"] == "ate"]
    assert [(row.get("Crop"), row.get("Crop used"), row.get("Preserve"), row.get("Made")) for row in ate] == [
        ("sweet corn", 2, None, None), (None, None, FROZEN, 1),
    ]  # fmt: skip
    assert [row["Made"] for row in rows(kitchen, "Record") if row["What happened"] == "bought"] == [24]


def with_wanted(path, formula):
    """Put a formula into the winter list, with 40 as its saved result."""
    book = load_workbook(path)
    book["Winter list"]["B3"] = formula
    book.save(path)
    with zipfile.ZipFile(path) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    with zipfile.ZipFile(path, "w") as new:
        for name, content in parts.items():
            new.writestr(name, re.sub(rb"(</f>)<v ?/>|(</f>)<v></v>", rb"</f><v>40</v>", content))


def test_a_first_day_that_formulas_look_at_is_left_alone_and_the_plan_begins_on_the_next_day(kitchen, capsys):
    """Writing it would clear what the winter list wants, until a spreadsheet program works it out again."""
    with_wanted(kitchen, "=COUNT(Kitchen[Value])*0+40")
    text = said(capsys, "evening", kitchen, "--as-planned")
    assert "Type Tue Jul 7 as the first day in Kitchen" in text
    assert "TOMORROW Tuesday, July 7, 2026" in text
    assert first_day(kitchen) == START
    assert min(row["Day"] for row in rows(kitchen, "Plan")) > START
    before = kitchen.read_bytes()
    said(capsys, "evening", kitchen, "--as-planned")
    assert kitchen.read_bytes() == before


def test_the_first_day_moves_where_formulas_look_up_another_setting_by_its_name(kitchen, capsys):
    """The winter list of a starting workbook counts by the people beside it."""
    with_wanted(kitchen, '=INDEX(Kitchen[Value],MATCH("days planned in detail",Kitchen[Setting],0))*0+40')
    assert "Type Tue Jul 7" not in said(capsys, "evening", kitchen, "--as-planned")
    assert first_day(kitchen) == START + datetime.timedelta(days=1)
    assert 40 in [row["Wanted"] for row in rows(kitchen, "Winter list")]


def test_a_list_given_twice_is_one_list_and_another_option_given_twice_is_refused(kitchen, capsys):
    said(capsys, "evening", kitchen, "--came", "corn 12 lb", "--came", "plum tomato 5 lb")
    assert [(row["Crop"], row["Amount"]) for row in rows(kitchen, "Harvest")[-2:]] == [
        ("sweet corn", 12), ("plum tomato", 5),
    ]  # fmt: skip
    before = kitchen.read_bytes()
    assert run(["evening", str(kitchen), "--as-planned", "--on", "7/7", "--on", "7/8"]) == 2
    assert "--on is given twice. Give it once." in capsys.readouterr().err
    assert kitchen.read_bytes() == before


@pytest.mark.parametrize("day", [1, 2])
def test_the_evening_of_a_day_of_the_plan_is_about_that_day(kitchen, day):
    today = START + datetime.timedelta(days=day)
    assert cases.open_evening(kitchen, today).day == today
