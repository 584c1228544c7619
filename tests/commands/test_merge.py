"""Two copies of a workbook brought together: nothing lost, nothing double, and every question shown with both cells."""

import copy
import datetime
import json
import shutil
from types import SimpleNamespace

import pytest
from tests.hard import merges, round_trip
from tests.samples import count
from tests.small_kitchen import FRIDAY, KITCHEN, build, write_tables

from stillroom.app.plan import read_workbook
from stillroom.app.record import journal
from stillroom.app.setup import merge_workbooks, write_merge
from stillroom.cli import run
from stillroom.cli import setup as questions
from stillroom.errors import CommandWrong
from stillroom.household.merging import KEYS, LOGS, NAMED_IN, Line, Question, merge
from stillroom.household.units import POUND_KG
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.files.copies import branches_of
from stillroom.workbook.schema import input_tables, tables
from stillroom.workbook.writer.record import input_table

JUICE = "tomato juice, quart"
LINE = "[plan 0a1b2c3d]"
DAYS = [FRIDAY + datetime.timedelta(days=number) for number in range(5)]


def content(**others):
    """The tables of the common past."""
    tables = copy.deepcopy(KITCHEN)
    tables["Harvest"].append(
        {"Picked on": DAYS[2], "Crop": "plum tomato", "Amount": 40, "Weighed or expected": "expected"}
    )
    tables["Containers"][0]["Counted on"] = FRIDAY
    tables["Pantry"].append({"Ingredient": "salt", "On hand": 2, "Unit": "cup"})
    tables["Record"] = [{"Date": DAYS[0], "Preserve": JUICE, "Made": 7, "Note": "first day"}]
    tables["Plan"] = [{"Day": DAYS[1], "Days": 1, "Preserve": JUICE, "Make": 7, "Unit": "quart"}]
    return tables | others


def changed(number):
    """A copy in which everything was changed, by 1 or 2."""
    tables = content()
    tables["Kitchen"][0]["Value"] += number
    tables["Hours"][0]["Mon"] += number
    tables["Equipment"][0]["Load"] += number
    tables["Crops"][0]["Keeps days"] += number
    tables["Containers"][0] |= {"On hand": 30 + number, "Counted on": DAYS[1]}
    tables["Ingredients"][0]["Amount each"] += number
    tables["Winter list"][0]["Wanted"] += number
    tables["Harvest"][1] |= {"Weighed or expected": "weighed", "Amount": 50 + number, "Note": "expected 40 lb"}
    tables["Harvest"].append({"Picked on": DAYS[3], "Crop": "plum tomato", "Amount": 12, "Note": "by the gate"})
    tables["Record"][0]["Made"] += number
    tables["Record"].append({"Date": DAYS[1], "Preserve": JUICE, "Made": 10 + number, "Note": LINE})
    tables["Plan"][0]["Keep at"] = 20 + number
    if number == 1:
        del tables["Pantry"][1]
    else:
        tables["Pantry"][1]["On hand"] = 9
        tables["Lids"][0]["Lid"] = "regular lid"
        tables["Containers"][0]["Lid"] = "regular lid"
    return tables


ASKED = {
    "Kitchen, altitude, Value": ("501 (Kitchen!B2)", "502 (Kitchen!B2)"),
    "Hours, hands, Mon": ("5 (Hours!B2)", "6 (Hours!B2)"),
    "Equipment, canner, quart jars, Load": ("8 (Equipment!D2)", "9 (Equipment!D2)"),
    "Crops, plum tomato, Keeps days": ("5 (Crops!C2)", "6 (Crops!C2)"),
    "Containers, quart jar, On hand": ("31, Aug 15, 2026 (Containers!E2)", "32, Aug 15, 2026 (Containers!E2)"),
    "Ingredients, tomato juice, quart, plum tomato, Amount each": ("4.25 (Ingredients!C2)", "5.25 (Ingredients!C2)"),
    "Winter list, juice, Wanted": ("15 (Winter list!B2)", "16 (Winter list!B2)"),
    "Pantry, salt": ("deleted", "salt, 9, cup (Pantry!A3)"),
    "Lids, lid: name": ("lid", "regular lid"),
    "Harvest, Aug 16, 2026, plum tomato, 40, expected": (
        "Aug 16, 2026, plum tomato, 51, weighed, expected 40 lb (Harvest!A3)",
        "Aug 16, 2026, plum tomato, 52, weighed, expected 40 lb (Harvest!A3)",
    ),
    "Harvest, Aug 17, 2026, plum tomato, 12, by the gate, added in both": (
        "Aug 17, 2026, plum tomato, 12, by the gate (Harvest!A4)",
        "Aug 17, 2026, plum tomato, 12, by the gate (Harvest!A4)",
    ),
    "Record, Aug 14, 2026, tomato juice, quart, 7, first day": (
        "Aug 14, 2026, tomato juice, quart, 8, first day (Record!A2)",
        "Aug 14, 2026, tomato juice, quart, 9, first day (Record!A2)",
    ),
    "Record, plan line 0a1b2c3d": (
        f"Aug 15, 2026, tomato juice, quart, 11, {LINE} (Record!A3)",
        f"Aug 15, 2026, tomato juice, quart, 12, {LINE} (Record!A3)",
    ),
    "Plan, Aug 15, 2026, 1, tomato juice, quart, Keep at": ("21 (Plan!J2)", "22 (Plan!J2)"),
}
"""Every question, with what it shows of either copy."""


@pytest.fixture
def pair(tmp_path):
    """The common past, and two copies in which everything was changed in both."""
    build(tmp_path / "past.xlsx", **content())
    build(tmp_path / "mine.xlsx", **changed(1))
    build(tmp_path / "theirs.xlsx", **changed(2))
    return tmp_path


def merged(folder, *more):
    """Run merge on the pair; gives its exit code."""
    names = [str(folder / name) for name in ("mine.xlsx", "theirs.xlsx")]
    return run(["merge", *names, "--base", str(folder / "past.xlsx"), *map(str, more)])


def rows(path, table):
    """The rows of a table, blank cells left out."""
    found = input_table(Book.open(path), table)
    cells = (dict(zip(found.headings, (cell.value for cell in row), strict=True)) for _, row in found.rows.filled())
    return [row for one in cells if (row := {name: value for name, value in one.items() if value is not None})]


def test_nothing_is_written_until_every_conflict_is_answered_each_is_shown_with_both_cells(pair, capsys):
    before = (pair / "mine.xlsx").read_bytes()
    assert merged(pair, "--json") == 1
    told = json.loads(capsys.readouterr().out)
    assert {one["label"]: (one["mine"], one["theirs"]) for one in told["questions"]} == ASKED
    assert not any(one["answer"] for one in told["questions"])
    assert told["receipt"] is None
    assert merged(pair) == 1
    said = capsys.readouterr().out
    assert all(f"{label}: mine: {mine}; theirs: {theirs}" in said for label, (mine, theirs) in ASKED.items())
    assert (pair / "mine.xlsx").read_bytes() == before
    assert sorted(one.name for one in pair.glob("*.xlsx")) == ["mine.xlsx", "past.xlsx", "theirs.xlsx"]


def test_answers_come_from_a_file_and_the_rest_from_take(pair, capsys):
    (pair / "answers.txt").write_text(
        "# what we talked about\nContainers, quart jar, On hand = mine\nRecord, plan line 0a1b2c3d = both\n"
        "Lids, lid: name = mine\n"
    )
    assert merged(pair, "--answers", pair / "answers.txt", "--take", "theirs") == 0
    mine = pair / "mine.xlsx"
    assert "On hand: mine: 31" in capsys.readouterr().out
    assert rows(mine, "Containers")[0]["On hand"] == 31
    assert rows(mine, "Containers")[0]["Lid"] == rows(mine, "Lids")[0]["Lid"] == "lid"
    assert sorted(row["Made"] for row in rows(mine, "Record")) == [9, 11, 12]
    assert sorted(row["Amount"] for row in rows(mine, "Harvest")) == [12, 52, 60]
    assert [row["Ingredient"] for row in rows(mine, "Pantry")] == ["bottled lemon juice", "salt"]
    assert rows(mine, "Plan")[0]["Keep at"] == 22
    taken = {(row["Table"], row["Now"], row["Before"]) for row in rows(mine, "Merged")}
    assert ("Winter list", "16", "15") in taken
    assert sorted(len(list(pair.glob(f"{name}.before-*"))) for name in ("mine", "theirs")) == [1, 1]


def test_a_thing_renamed_in_one_copy_is_renamed_wherever_the_other_names_it(pair):
    assert merged(pair, "--take", "theirs") == 0
    assert rows(pair / "mine.xlsx", "Lids")[0]["Lid"] == "regular lid"
    assert rows(pair / "mine.xlsx", "Containers")[0]["Lid"] == "regular lid"


def test_a_lock_that_a_killed_merge_left_beside_the_other_copy_is_cleared(tmp_path):
    mine, theirs = (build(tmp_path / f"{name}.xlsx") for name in ("mine", "theirs"))
    (tmp_path / ".theirs.xlsx.in-use").write_text("stillroom 999999999\n")
    merge_workbooks(mine, theirs, None, None, None, None)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["mine.xlsx", "theirs.xlsx"]


def test_both_is_no_answer_where_a_cell_has_room_for_one(pair):
    assert merged(pair, "--take", "both") == 1


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("Lids, lid = perhaps", "line 1"),
        ("Lids, no lid, On hand = mine", 'no question "Lids, no lid, On hand"'),
        ("Lids, lid: name = mine\n\nlids, lid: name=theirs", "line 3: Lids, lid: name has another answer above"),
    ],
)
def test_an_answer_that_answers_nothing_is_refused(pair, line, words):
    (pair / "answers.txt").write_text(line)
    with pytest.raises(CommandWrong, match=words):
        merge_workbooks(pair / "mine.xlsx", pair / "theirs.xlsx", pair / "past.xlsx", None, pair / "answers.txt", None)


def test_on_a_terminal_each_is_asked_until_a_word_is_understood(monkeypatch, capsys):
    typed = iter(["perhaps", "t"])
    monkeypatch.setattr("builtins.input", lambda _: next(typed))
    assert questions.ask_which(Question("Lids, lid, On hand", "33 (On hand!A3)", "30 (On hand!A3)")) == "theirs"
    assert "33 (On hand!A3)" in capsys.readouterr().out


def test_on_a_terminal_all_is_shown_first_then_asked_then_written(pair, capsys, monkeypatch):
    monkeypatch.setattr(questions, "sys", SimpleNamespace(stdin=OnTerminal, stdout=OnTerminal))
    monkeypatch.setattr("builtins.input", lambda _: "theirs")
    assert merged(pair) == 0
    said = capsys.readouterr().out
    assert said.index("You decide (14 questions)") < said.index("  mine:   501 (Kitchen!B2)") < said.index("Written:")
    assert rows(pair / "mine.xlsx", "Kitchen")[0]["Value"] == 502


class OnTerminal:
    """A stream that says it is a terminal."""

    isatty = staticmethod(lambda: True)


def test_without_a_common_past_equal_rows_count_once_and_all_else_is_asked(tmp_path):
    build(tmp_path / "mine.xlsx", **content())
    tables = content()
    tables["Record"] = [*tables["Record"] * 2, {"Date": DAYS[3], "Preserve": JUICE, "Made": 5}]
    tables["Winter list"][0]["Wanted"] = 20
    build(tmp_path / "theirs.xlsx", **tables)
    found = merge_workbooks(tmp_path / "mine.xlsx", tmp_path / "theirs.xlsx", None, None, None, None)
    assert [one.label for one in found.merged.open] == [
        "Winter list, juice, Wanted",
        "Record, Aug 17, 2026, tomato juice, quart, 5",
    ]
    answers = merge_workbooks(tmp_path / "mine.xlsx", tmp_path / "theirs.xlsx", None, "both", None, lambda _: "mine")
    assert sorted(row.cells["Made"] for row in answers.merged.rows["Record"]) == [5, 7, 7]


def test_what_was_made_goes_from_the_plan_into_the_record_and_the_same_line_counts_once(tmp_path):
    mine = build(tmp_path / "mine.xlsx")
    assert run(["plan", str(mine)]) == 0
    theirs = shutil.copyfile(mine, tmp_path / "theirs.xlsx")
    for path, made, note in ((mine, 6, None), (theirs, 6, "Ann's")):
        book = Book.open(path)
        plan = book.table("Plan")
        book.set(plan.sheet, plan.first_row, plan.column("Made"), made)
        book.set(plan.sheet, plan.first_row + 1, plan.column("Note"), note)
        book.set("Sheet", 9, 1, path.stem)
        book.save()
    assert run(["merge", str(mine), str(theirs)]) == 0
    assert [row["Made"] for row in rows(mine, "Record")] == [6]
    assert not any("Made" in row for row in rows(mine, "Plan"))
    assert [row["Note"] for row in rows(mine, "Plan") if "Note" in row] == ["Ann's"]
    assert run(["plan", str(mine)]) == 0
    assert [row["Made"] for row in rows(mine, "Record")] == [6]
    book = Book.open(theirs)
    plan = book.table("Plan")
    book.set(plan.sheet, plan.first_row, plan.column("Made"), 5)
    book.save()
    found = merge_workbooks(mine, theirs, None, None, None, None)
    assert [(one.mine[:1], one.theirs[:1]) for one in found.merged.open] == []
    assert [row.cells["Made"] for row in found.merged.rows["Record"]] == [5]


def test_another_branch_is_joined_by_a_merge_and_then_nothing_is_left_to_do(tmp_path, capsys):
    path = build(tmp_path / "kitchen.xlsx")
    partner = shutil.copyfile(path, tmp_path / "partner.xlsx")
    journal.weigh(path, "plum tomato", "11 lb", None, FRIDAY)
    journal.weigh(partner, "plum tomato", "12 lb", None, FRIDAY)
    shutil.copyfile(partner, path)
    [apart] = branches_of(path, path.read_bytes()).apart
    assert run(["check", str(path)]) == 0
    assert f"stillroom merge {path.name} {apart.name}" in capsys.readouterr().err
    assert run(["merge", str(path), str(apart)]) == 0
    assert sorted(row["Amount"] for row in rows(path, "Harvest")) == [11, 12, 60]
    assert branches_of(path, path.read_bytes()).apart == ()
    before = path.read_bytes()
    assert run(["merge", str(path), str(apart)]) == 0
    assert "has all of" in capsys.readouterr().out
    assert path.read_bytes() == before


def test_what_a_second_copy_took_the_place_of_is_still_a_branch_after_a_merge(tmp_path):
    mine = build(tmp_path / "mine.xlsx")
    theirs, partner = (shutil.copyfile(mine, tmp_path / name) for name in ("theirs.xlsx", "partner.xlsx"))
    for number, path in enumerate((mine, theirs, partner)):
        journal.weigh(path, "plum tomato", f"{11 + number} lb", None, FRIDAY)
    ours = theirs.read_bytes()
    shutil.copyfile(partner, theirs)
    write_merge(merge_workbooks(mine, theirs, None, None, None, None), None)
    assert [one.read_bytes() for one in branches_of(theirs, theirs.read_bytes()).apart] == [ours]


def test_own_sheets_stay_and_those_that_differ_are_named(tmp_path, capsys):
    build(tmp_path / "past.xlsx")
    build(tmp_path / "mine.xlsx")
    book = Book.open(tmp_path / "past.xlsx")
    book.set("Sheet", 5, 1, "bread on Sunday")
    book.save(tmp_path / "theirs.xlsx")
    journal.weigh(tmp_path / "mine.xlsx", "plum tomato", "11 lb", None, FRIDAY)
    assert merged(tmp_path) == 0
    assert "Your own cells in these sheets are otherwise in theirs.xlsx; they stay: Sheet." in capsys.readouterr().out


def test_a_sheet_that_has_nothing_but_a_merged_table_is_not_named_as_left_out(tmp_path):
    tables = content()
    record = tables.pop("Record")
    build(tmp_path / "past.xlsx", **tables)
    build(tmp_path / "mine.xlsx", **tables | {"Harvest": tables["Harvest"][:1]})
    build(tmp_path / "theirs.xlsx", **tables | {"Record": record})
    paths = [tmp_path / f"{name}.xlsx" for name in ("mine", "theirs", "past")]
    found = merge_workbooks(*paths, None, None, None)
    assert [row.cells["Made"] for row in found.merged.rows["Record"]] == [7]
    assert found.sheets == ()


def test_an_expected_lot_weighed_in_both_is_one_lot_wherever_its_row_stands():
    lot = {"Picked on": DAYS[2], "Crop": "plum tomato", "Amount": 40.0, "Unit": "lb", "Weighed or expected": "expected"}
    weighed = {"Picked on": DAYS[2], "Crop": "plum tomato", "Weighed or expected": "weighed", "Note": "expected 40 lb"}
    lot |= {"Least": 30.0, "Most": 50.0}
    past = {"Harvest": [Line(lot, 2)]}
    first, second = ({"Harvest": [Line(weighed | {"Amount": number}, 9)]} for number in (53.0, 53.5))
    assert [row.cells["Amount"] for row in merge(past, first, first, lambda _: "").rows["Harvest"]] == [53]
    found = merge(past, first, second, lambda _: "theirs")
    assert len(found.questions) == 1
    assert [row.cells["Amount"] for row in found.rows["Harvest"]] == [53.5]


def test_a_later_count_wins_and_is_shown_and_a_unit_goes_with_its_amount():
    row = {"Ingredient": "salt", "On hand": 2.0, "Unit": "cup", "Counted on": DAYS[0]}
    past, mine, theirs = (
        {"Pantry": [Line(row | change, 2)]}
        for change in (
            {},
            {"On hand": 3.0, "Counted on": DAYS[2]},
            {"On hand": 1.0, "Unit": "lb", "Counted on": DAYS[1]},
        )
    )
    found = merge(past, mine, theirs, lambda _: "")
    assert not found.questions
    assert found.rows["Pantry"][0].cells == mine["Pantry"][0].cells
    assert found.taken[0].now == "3, Aug 16, 2026, cup stays, counted later than 1, Aug 15, 2026, lb"
    assert merge(past, theirs, mine, lambda _: "").rows["Pantry"][0].cells == mine["Pantry"][0].cells


def test_rows_that_share_a_key_are_compared_as_a_group():
    past = {"Ingredients": [Line({"Preserve": "jam", "Item": "plum", "Amount each": number}) for number in (1.0, 2.0)]}
    mine = {"Ingredients": past["Ingredients"][:1]}
    assert [row.cells["Amount each"] for row in merge(past, mine, past, lambda _: "").rows["Ingredients"]] == [1]
    theirs = {"Ingredients": [*past["Ingredients"], Line({"Preserve": "jam", "Item": "plum", "Amount each": 3.0})]}
    found = merge(past, mine, theirs, lambda _: "both")
    assert [one.label for one in found.questions] == ["Ingredients, jam, plum"]
    assert sorted(row.cells["Amount each"] for row in found.rows["Ingredients"]) == [1, 2, 3]


def test_only_a_name_after_the_word_for_what_happened_is_renamed_with_it():
    past = {
        "Crops": [Line({"Crop": "plum", "Keeps days": 4.0, "Unit": "lb"})],
        "Preserves": [Line({"Preserve": "jam: plum", "Method": "frozen"})],
        "Record": [Line({"Preserve": "Thaw: plum"}), Line({"Preserve": "jam: plum", "Made": 3.0})],
    }
    theirs = past | {"Crops": [Line({"Crop": "prune", "Keeps days": 4.0, "Unit": "lb"})]}
    found = merge(past, past, theirs, lambda _: "theirs")
    assert [row.cells["Preserve"] for row in found.rows["Record"]] == ["Thaw: prune", "jam: plum"]
    assert [row.cells["Preserve"] for row in found.rows["Preserves"]] == ["jam: plum"]


def test_a_column_that_only_the_first_copy_has_keeps_what_is_typed_there(tmp_path):
    """A row with nothing else in it, a line of the plan among them, is no row that the other copy deleted."""
    line = content()["Plan"][0]
    row = content()["Record"][0]
    ours = content(Plan=[line | {"Cook": "Ann"}], Record=[row, {"Place": "cellar"}])
    for name in ("past.xlsx", "mine.xlsx"):
        write_tables(tmp_path / name, ours, own_columns={"Plan": ["Cook"], "Record": ["Place"]})
    build(tmp_path / "theirs.xlsx", **content(Record=[row | {"Made": 9}]))
    assert merged(tmp_path) == 0
    assert rows(tmp_path / "mine.xlsx", "Plan")[0]["Cook"] == "Ann"
    assert [(one.get("Made"), one.get("Place")) for one in rows(tmp_path / "mine.xlsx", "Record")] == [
        (9, None),
        (None, "cellar"),
    ]


def test_what_the_second_copy_gets_while_questions_are_asked_is_not_taken_for_merged(pair):
    paths = [pair / name for name in ("mine.xlsx", "theirs.xlsx")]
    found = merge_workbooks(*paths, pair / "past.xlsx", "theirs", None, None)
    read = paths[1].read_bytes()
    journal.weigh(paths[1], "plum tomato", "11 lb", None, FRIDAY)
    write_merge(found, None)
    assert read in [one.read_bytes() for one in pair.glob("theirs.before-*")]
    again = merge_workbooks(*paths, None, None, None, None)
    assert not again.known
    assert [one.now.split(", ")[3] for one in again.merged.taken] == ["11"]


def test_a_name_that_the_other_copy_gave_to_a_new_thing_is_left_to_that_one():
    plum = {"Keeps days": 4.0, "Unit": "lb"}
    past, mine = ({"Crops": [Line({"Crop": name} | plum)]} for name in ("plum", "prune"))
    theirs = {"Crops": [*past["Crops"], Line({"Crop": "prune", "Keeps days": 9.0})]}
    for one, other, answer in ((mine, theirs, "theirs"), (theirs, mine, "mine")):
        found = merge(past, one, other, lambda _, answer=answer: answer)
        assert {row.cells["Crop"]: row.cells["Keeps days"] for row in found.rows["Crops"]} == {"plum": 4, "prune": 9}


def test_two_rows_of_one_plan_line_in_one_copy_both_stay():
    first, second, third = (Line({"Date": DAYS[0], "Made": number, "Note": LINE}) for number in (3.0, 4.0, 5.0))
    two, one, apart = ({"Record": rows} for rows in ([first, second], [first], [third]))
    for mine, theirs in ((two, one), (one, two)):
        found = merge({"Record": []}, mine, theirs, lambda _: "")
        assert (sorted(row.cells["Made"] for row in found.rows["Record"]), found.questions) == ([3, 4], ())
    for answer, made in (("mine", [3, 4]), ("theirs", [5]), ("both", [3, 4, 5])):
        found = merge({"Record": []}, two, apart, lambda _, answer=answer: answer)
        assert sorted(row.cells["Made"] for row in found.rows["Record"]) == made


def test_every_table_has_a_key_or_is_a_log_and_every_column_of_names_is_known():
    named = set()
    for table in input_tables():
        if not table.optional:
            assert table.name in LOGS or set(KEYS[table.name]) <= set(table.headings)
            for column in table.columns:
                if column.kind in ("name", "names"):
                    named.add((table.name, column.heading))
                    assert set(column.of) <= set(NAMED_IN[table.name, column.heading])
    assert all(heading in tables()[table].headings for table, heading in NAMED_IN)
    assert len(named) >= 10


def test_random_pairs_of_copies_come_together_as_their_facts_say(tmp_path):
    """So many pairs; `python3 tests/bench.py samples` takes fifteen."""
    assert [line for seed in range(count(6, 15)) for line in merges.complaints(seed, tmp_path / str(seed))] == []


@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_copies_saved_by_libreoffice_between_come_together_alike(tmp_path):
    def saved(path):
        shutil.copyfile(round_trip.saved_by_libreoffice(path, tmp_path / "office"), path)

    assert merges.complaints(3, tmp_path / "pair", saved) == []


# Units: what a blank one means is kept, and no copy turns the other metric unasked.


def in_units(altitude, unit, **more):
    """The small kitchen at an altitude, a blank crop unit and a lot without a unit, with other rows."""
    tables = content() | {"Crops": [KITCHEN["Crops"][0] | {"Unit": None}], "Plan": []}
    tables["Kitchen"] = [{"Setting": "altitude", "Value": altitude, "Unit": unit}, *KITCHEN["Kitchen"][1:]]
    tables["Kitchen"].append({"Setting": "shelf space free", "Value": 6})
    return tables | more


@pytest.fixture
def two_units(tmp_path):
    """A copy in feet and pounds, and one that went over to meters and then weighed 20 and typed 50 of space."""
    lots = content()["Harvest"]
    weighed = [*lots, {"Picked on": DAYS[4], "Crop": "plum tomato", "Amount": 20}]
    theirs = in_units(150, "m", Harvest=weighed)
    theirs["Kitchen"][-1] |= {"Value": 50}
    build(tmp_path / "past.xlsx", **in_units(500, "ft"))
    build(tmp_path / "mine.xlsx", **in_units(500, "ft", Lids=[{"Lid": "lid", "On hand": 9}]))
    build(tmp_path / "theirs.xlsx", **theirs)
    return tmp_path


@pytest.mark.parametrize(("take", "metric"), [("mine", False), ("theirs", True)])
def test_a_copy_in_other_units_asks_for_the_altitude_and_every_amount_keeps_its_meaning(
    two_units, take, metric, capsys
):
    """60 lb stay 60 lb, the 20 weighed in the metric copy are kg, and its 50 of space are L."""
    assert merged(two_units) == 1
    asked = "You decide (1 question): Kitchen, altitude, Value and Unit: mine: 500, ft (Kitchen!B2); theirs: 150, m"
    assert asked in " ".join(capsys.readouterr().out.split())
    assert merged(two_units, "--take", take) == 0
    typed = read_workbook(two_units / "mine.xlsx", FRIDAY).typed
    assert (typed.kitchen.weight_unit == "kg", typed.lids[0].on_hand) == (metric, 9)
    assert [lot.kg for lot in typed.lots] == pytest.approx([60 * POUND_KG, 40 * POUND_KG, 20])
    assert typed.kitchen.shelf_free_litres == pytest.approx(50)
    assert typed.crops[0].unit == "lb"


def test_either_direction_gives_the_same_units(two_units):
    (two_units / "other.xlsx").write_bytes((two_units / "mine.xlsx").read_bytes())
    found = []
    for first, second, take in (("mine", "theirs", "mine"), ("theirs", "other", "theirs")):
        names = [str(two_units / f"{name}.xlsx") for name in (first, second)]
        assert run(["merge", *names, "--base", str(two_units / "past.xlsx"), "--take", take]) == 0
        found.append({table: rows(two_units / f"{first}.xlsx", table) for table in ("Kitchen", "Crops", "Harvest")})
    assert found[0] == found[1]


def test_crops_weighed_in_kg_by_either_copy_do_not_make_most_of_them_metric_unasked():
    """Each copy changed one of three crops: neither is metric, both together would be."""

    def crops(*units):
        lines = [{"Crop": name, "Unit": unit} for name, unit in zip("abc", units, strict=True)]
        lots = [Line({"Crop": name, "Amount": 5.0}, columns={"Unit": "D"}) for name in "abc"]
        return {"Crops": [Line(one) for one in lines], "Harvest": lots}

    past, mine, theirs = crops("lb", "lb", "lb"), crops("kg", "lb", "lb"), crops("lb", "kg", "lb")
    assert [one.label for one in merge(past, mine, mine, lambda _: "").questions] == []
    found = merge(past, mine, theirs, lambda _: "theirs")
    assert [one.label for one in found.questions] == ["Crops, a, Unit", "Crops, b, Unit"]
    assert [row.cells["Unit"] for row in found.rows["Crops"]] == ["lb", "kg", "lb"]


def test_a_base_that_is_named_wins_over_one_that_is_found(tmp_path, capsys):
    build(tmp_path / "past.xlsx", **content())
    build(tmp_path / "mine.xlsx", **content())
    journal.weigh(tmp_path / "mine.xlsx", "plum tomato", "3lb", None, FRIDAY)
    shutil.copy(tmp_path / "mine.xlsx", tmp_path / "theirs.xlsx")
    for name, amount in (("mine", "4lb"), ("theirs", "5lb")):
        journal.weigh(tmp_path / f"{name}.xlsx", "plum tomato", amount, None, FRIDAY)
    told = [tmp_path / f"{name}.xlsx" for name in ("mine", "theirs")]
    assert merge_workbooks(*told, None, None, None, None).base_name != "past.xlsx"
    found = merge_workbooks(*told, tmp_path / "past.xlsx", None, None, None)
    assert found.base_name == "past.xlsx"
    assert [one.label for one in found.merged.questions] == [
        "Harvest, Aug 14, 2026, plum tomato, 3, lb, weighed, added in both"
    ]
