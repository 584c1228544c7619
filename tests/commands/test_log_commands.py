"""The commands between two plans, end to end: what they write, what they say, and that looking writes nothing."""

import datetime
import json
import re
import shutil
import subprocess
import zipfile

import pytest
from openpyxl import load_workbook
from openpyxl.workbook.defined_name import DefinedName
from tests import small_kitchen
from tests.season.household import START, build, with_first_day

from stillroom.cli import run
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.record import add_rows

JUICE = "tomato juice, quart"


@pytest.fixture
def kitchen(tmp_path):
    """The workbook in a folder of its own; its first day is typed, so that no clock matters."""
    return build(tmp_path / "kitchen.xlsx", Kitchen=with_first_day())


def rows(path, name):
    """The filled rows of a table, its headings as keys."""
    found = Book.open(path).table(name)
    every = [
        {h: c.value for h, c in zip(found.headings, cells, strict=True) if c.value is not None} for cells in found.rows
    ]
    return [row for row in every if row]


def said(capsys, *words):
    """Run a command that goes well; gives what it says, its lines joined."""
    assert run(list(map(str, words))) == 0
    return " ".join(capsys.readouterr().out.split())


# ---------------------------------------------------------------- weigh


def test_weigh_adds_a_lot_on_the_first_day_and_says_how_to_undo_it(kitchen, capsys):
    text = said(capsys, "weigh", kitchen, "Plum  Tomato", "53lb")
    assert rows(kitchen, "Harvest") == [
        {"Picked on": START, "Crop": "plum tomato", "Amount": 53, "Unit": "lb", "Weighed or expected": "weighed"}
    ]
    assert "53 lb of plum tomato, picked Mon Jul 6: added at Harvest!A2." in text
    assert "To undo: stillroom undo kitchen.xlsx" in text


def test_an_entry_names_the_formulas_that_are_to_be_worked_out_anew(kitchen, capsys):
    """Their saved results are taken out, and a plan waits for them: README says that the command names those cells."""
    book = load_workbook(kitchen)
    book.create_sheet("Ours")["A1"] = "=SUM(Harvest!C2:C9)"
    book.save(kitchen)
    with zipfile.ZipFile(kitchen) as old:
        parts = {name: old.read(name) for name in old.namelist()}
    with zipfile.ZipFile(kitchen, "w") as new:
        for name, content in parts.items():
            new.writestr(name, re.sub(rb"(</f>)<v ?/>|(</f>)<v></v>", rb"</f><v>7</v>", content))
    assert "Your spreadsheet will recalculate Ours!A1 when you open it." in said(
        capsys, "weigh", kitchen, "plum tomato", "53lb"
    )


@pytest.mark.parametrize(
    ("formula", "is_named"),
    [
        ("SUM(Harvest!C2:C3)", True),
        ("MAX(Harvest!$C$1:$D$3)", True),
        ("SUM(Harvest!C2:C9)", False),
        ("SUM(Harvest[Amount])", False),
        ("Harvest!C3", False),
        ("SUM(Harvest!C3:C3)", False),
        ("SUM(Harvest!Z2:Z3)", False),
        ("SUM(Crops!A2:A3)", False),
    ],
)
def test_a_formula_that_ends_where_a_table_did_before_it_grew_is_named(tmp_path, capsys, formula, is_named):
    """It misses the new row; one that goes by the table's name, or further down, has it."""
    lots = [{"Picked on": START, "Crop": "plum tomato", "Amount": 9}] * 2
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", Harvest=lots)
    book = load_workbook(path)
    book.create_sheet("Ours")["A1"] = f"={formula}"
    book.save(path)
    words = "Harvest has more rows now. Ours!A1 ends at its former last row and misses them: change the range"
    assert (words in said(capsys, "weigh", path, "plum tomato", "53lb")) == is_named
    assert "more rows now" not in said(capsys, "weigh", path, "plum tomato", "53lb")


def test_a_name_and_a_formula_beside_the_table_are_named_too(tmp_path, capsys):
    """But not a formula within the table, which grows with it."""
    lots = [{"Picked on": START, "Crop": "plum tomato", "Amount": 9}] * 2
    path = small_kitchen.build(tmp_path / "kitchen.xlsx", Harvest=lots)
    book = load_workbook(path)
    book["Harvest"]["Z1"], book["Harvest"]["I2"] = "=SUM(C2:C3)", "=SUM(C2:C3)"
    book.defined_names["Picked"] = DefinedName("Picked", attr_text="Harvest!$C$2:$C$3")
    book.save(path)
    assert "Harvest!Z1, the name Picked end at its former last row and miss them" in said(
        capsys, "weigh", path, "plum tomato", "53lb"
    )


def test_a_formula_that_gives_way_to_an_entry_is_named(kitchen, capsys):
    """A household that fills Unit by a formula in every row lost it in this one, without a word."""
    book = load_workbook(kitchen)
    sheet = book["Harvest"]
    unit = next(cell.column_letter for cell in sheet[1] if cell.value == "Unit")
    sheet[f"{unit}2"] = '=IF(B2="","","lb")'
    book.save(kitchen)
    assert f"It replaced the formula in Harvest!{unit}2." in said(capsys, "weigh", kitchen, "plum tomato", "53lb")
    assert "formula" not in said(capsys, "made", kitchen, JUICE, "7")


def test_weigh_turns_the_lot_expected_that_day_into_the_one_that_came(kitchen, capsys):
    """No new row; the old expectation, its bounds and the household's note stay in Note."""
    expected = {
        "Picked on": START,
        "Crop": "plum tomato",
        "Amount": 60,
        "Unit": "lb",
        "Weighed or expected": "expected",
        "Least": 40,
        "Most": 80,
        "Note": "lower bed",
    }
    book = Book.open(kitchen)
    add_rows(book, "Harvest", [expected])
    book.save()
    text = said(capsys, "weigh", kitchen, "plum tomato", "24.5 kg", "--on", "2026-07-06")
    assert "arrived" in text
    assert rows(kitchen, "Harvest") == [
        {
            "Picked on": START,
            "Crop": "plum tomato",
            "Amount": 24.5,
            "Unit": "kg",
            "Weighed or expected": "weighed",
            "Note": "lower bed; expected 60 lb (40 to 80)",
        }
    ]


def test_weigh_names_a_lot_expected_a_day_later_and_leaves_it(kitchen, capsys):
    book = Book.open(kitchen)
    later = START + datetime.timedelta(days=1)
    add_rows(
        book,
        "Harvest",
        [{"Picked on": later, "Crop": "apples", "Amount": 30, "Unit": "lb", "Weighed or expected": "expected"}],
    )
    book.save()
    assert "30 lb are still expected Tue Jul 7 at Harvest!C2" in said(capsys, "weigh", kitchen, "apples", "28")
    assert len(rows(kitchen, "Harvest")) == 2


def test_a_full_table_grows_and_keeps_its_formats(kitchen, capsys):
    for number in range(9):
        said(capsys, "weigh", kitchen, "apples", str(number + 1))
    assert [row["Amount"] for row in rows(kitchen, "Harvest")] == list(range(1, 10))
    sheet = load_workbook(kitchen)["Harvest"]
    assert sheet.tables["Harvest"].ref == "A1:I10"
    assert sheet["A10"].is_date


# ---------------------------------------------------------------- made


def test_made_writes_one_row_with_all_that_was_said(kitchen, capsys):
    said(capsys, "weigh", kitchen, "plum tomato", "60lb")
    text = said(capsys, "made", kitchen, JUICE, "13", "--used", "46lb", "--failed", "1", "--hours", "150min")
    assert rows(kitchen, "Record") == [
        {
            "Date": START,
            "Preserve": JUICE,
            "Made": 13,
            "Failed seals": 1,
            "Crop": "plum tomato",
            "Crop used": 46,
            "Unit": "lb",
            "Hands-on hours": 2.5,
        }
    ]
    assert "did not seal" in text
    assert "within 24 hours" in text


def test_made_freezes_crop_whole_too(kitchen, capsys):
    said(capsys, "weigh", kitchen, "plum tomato", "60lb")
    said(capsys, "made", kitchen, "Freeze whole: plum tomato", "20lb")
    cards = {(card["kind"], card["stock"]): card["should_be_now"] for card in counted(capsys, kitchen)["stocks"]}
    assert cards["crop, frozen whole", "plum tomato"] == pytest.approx(20)
    assert cards["crop, fresh", "plum tomato"] == pytest.approx(40)


def test_hours_of_freezing_whole_are_written_down_too(kitchen, capsys):
    """They were dropped without a word."""
    said(capsys, "made", kitchen, "freeze whole: plum tomato", "20lb", "--hours", "90min")
    assert [row["Hands-on hours"] for row in rows(kitchen, "Record")] == [1.5]


def test_the_same_work_in_the_plan_and_by_the_command_is_told(kitchen, capsys):
    book = Book.open(kitchen)
    add_rows(book, "Plan", [{"Day": START, "Days": 1, "Preserve": JUICE, "Make": 7, "Made": 7}])
    book.save()
    assert "both count" in said(capsys, "made", kitchen, JUICE, "7")


def test_a_workbook_without_a_record_gets_one(kitchen, capsys):
    book = load_workbook(kitchen)
    book.remove(book["Record"])
    book.save(kitchen)
    said(capsys, "made", kitchen, JUICE, "7")
    assert rows(kitchen, "Record") == [{"Date": START, "Preserve": JUICE, "Made": 7}]


# ---------------------------------------------------------------- as JSON


def as_json(capsys, *words):
    """The object that a command prints with `--json`."""
    assert run([*map(str, words), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_an_entry_has_its_row_and_the_stocks_it_changed_in_json(kitchen, capsys):
    """Seven sealed and one not: eight lids, seven jars, the crop it took; nothing else changed."""
    as_json(capsys, "weigh", kitchen, "plum tomato", "60lb")
    found = as_json(capsys, "made", kitchen, JUICE, "7", "--used", "24.25lb", "--failed", "1", "--hours", "150min")
    day = START.isoformat()
    assert (found["table"], found["receipt"]["written"]) == ("Record", True)
    assert found["rows"] == [
        {
            "where": "Record!A2",
            "date": day,
            "preserve": JUICE,
            "made": 7,
            "failed_seals": 1,
            "crop": "plum tomato",
            "crop_used": 24.25,
            "unit": "lb",
            "hands_on_hours": 2.5,
        }
    ]
    cards = {card["stock"]: card for card in found["stocks"]}
    assert {"quart jar", "lid", JUICE, "plum tomato"} <= set(cards)
    assert (cards["lid"]["used"], cards["lid"]["unit"]) == (8, "each")
    assert (cards["plum tomato"]["should_be_now"], cards["plum tomato"]["unit"]) == (35.75, "lb")
    assert "apples" not in cards
    assert "did not seal" in found["messages"][1]
    every = {card["stock"]: card for card in counted(capsys, kitchen)["stocks"]}
    assert all(every[name] == card for name, card in cards.items())


def test_a_lot_that_came_as_expected_is_a_row_of_harvest_in_json(kitchen, capsys):
    expected = {"Picked on": START, "Crop": "apples", "Amount": 60, "Unit": "lb", "Weighed or expected": "expected"}
    book = Book.open(kitchen)
    add_rows(book, "Harvest", [expected])
    book.save()
    found = as_json(capsys, "weigh", kitchen, "apples", "24.5 kg")
    (row,) = found["rows"]
    assert found["table"] == "Harvest"
    assert row["where"].startswith("Harvest!")
    assert {"picked_on": START.isoformat(), "crop": "apples", "amount": 24.5, "unit": "kg"}.items() <= row.items()
    assert [card["stock"] for card in found["stocks"]] == ["apples"]


def test_an_entry_has_no_stocks_in_json_while_something_must_be_fixed(kitchen, capsys):
    book = load_workbook(kitchen)
    next(cell for cell in book["Pantry"][1] if cell.value == "On hand").offset(row=1).value = "many"
    book.save(kitchen)
    found = as_json(capsys, "ate", kitchen, JUICE, "1")
    assert (found["stocks"], found["rows"][0]["made"]) == ([], 1)


def test_what_the_morning_shows_is_in_its_json_with_units(kitchen, capsys):
    """Nothing is a key that the household named."""
    early = START - datetime.timedelta(days=1)
    as_json(capsys, "weigh", kitchen, "plum tomato", "60lb", "--on", early)
    as_json(capsys, "made", kitchen, JUICE, "7", "--used", "24lb", "--failed", "1", "--on", early)
    found = as_json(capsys, "today", kitchen)
    (put_away,) = found["put_away"]
    assert put_away == {
        "preserve": JUICE,
        "made": 7,
        "failed_seals": 1,
        "unit": "quart jar",
        "check_seals": True,
    }
    (lot,) = found["lots"]
    assert (lot["amount"], lot["unit"], lot["use_today"], lot["may_be_frozen"]) == (36, "lb", False, True)
    assert {one["unit"] for one in found["eat_first"]} <= {"quart jar", "pint jar"}
    tally = counted(capsys, kitchen)["tally"]
    assert tally["containers"] == [{"container": "quart jar", "count": 7, "unit": "each"}]
    assert all(set(one) == {"target", "on_the_shelf", "wanted", "unit"} for one in tally["winter_list"])


# ---------------------------------------------------------------- ate, count, learned, today


def counted(capsys, path):
    """The object of `count --json`."""
    assert run(["stock", str(path), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_ate_takes_from_the_shelf_and_the_jar_comes_back(kitchen, capsys):
    assert "2 left on the shelf" in said(capsys, "ate", kitchen, JUICE, "2")
    cards = {card["stock"]: card for card in counted(capsys, kitchen)["stocks"]}
    assert (cards["quart jar"]["counted"], cards["quart jar"]["came"], cards["quart jar"]["should_be_now"]) == (
        60,
        2,
        62,
    )
    assert (cards[JUICE]["used"], cards[JUICE]["should_be_now"]) == (2, 2)
    assert cards["lid"]["should_be_now"] == 160


def test_count_says_the_same_in_words(kitchen, capsys):
    said(capsys, "weigh", kitchen, "plum tomato", "60lb")
    said(capsys, "made", kitchen, JUICE, "7", "--used", "24lb")
    text = said(capsys, "stock", kitchen)
    for words in (
        "WHAT SHOULD BE ON HAND",
        "THE SEASON SO FAR",
        "plum tomato (lb) 60 24 0 0 36",
        "Filled: 7 quart jars.",
        "WINTER LIST",
    ):
        assert words in text, words


def test_learned_says_typed_own_and_used(kitchen, capsys):
    for pounds in (24, 25, 26):
        said(capsys, "made", kitchen, JUICE, "7", "--used", f"{pounds}lb")
    assert "lb of plum tomato 3.25 3.57 3.49 3" in said(capsys, "yields", kitchen)


def test_today_reads_without_a_plan_and_follows_one(kitchen, capsys):
    early = START - datetime.timedelta(days=5)
    said(capsys, "weigh", kitchen, "plum tomato", "60lb", "--on", early.isoformat())
    said(capsys, "weigh", kitchen, "apples", "30lb")
    text = said(capsys, "today", kitchen)
    assert "60 lb plum tomato today put it up today, freeze it, or eat it" in text
    assert "No plan for today. Run: stillroom plan" in text
    assert text.index("plum tomato") < text.index("apples")
    run(["plan", str(kitchen)])
    capsys.readouterr()
    text = said(capsys, "today", kitchen)
    assert "plan uses" in text
    assert "TO MAKE" in text


@pytest.mark.parametrize("words", [["today"], ["stock"], ["stock", "--json"], ["yields"]])
def test_looking_writes_nothing(kitchen, capsys, words):
    said(capsys, "weigh", kitchen, "plum tomato", "60lb")
    before, names = kitchen.read_bytes(), sorted(path.name for path in kitchen.parent.iterdir())
    assert run([words[0], str(kitchen), *words[1:]]) == 0
    assert kitchen.read_bytes() == before
    assert sorted(path.name for path in kitchen.parent.iterdir()) == names


def test_the_amount_may_come_before_the_name(kitchen, capsys):
    """It is said in order, so that nobody is in doubt what was taken for what."""
    assert "53 lb of plum tomato, picked" in said(capsys, "weigh", kitchen, "53lb", "plum tomato")
    for words in (["tomatoes", "12", "lb"], ["plum", "tomato", "12", "lb"], ["12", "lb", "plum tomatoes"]):
        assert "12 lb of plum tomato, picked" in said(capsys, "weigh", kitchen, *words)
    assert "2 dozen (3½ lb) of plum tomato, picked" in said(capsys, "weigh", kitchen, "tomatoes", "2", "dozen")
    assert f"7 {JUICE} on " in said(capsys, "made", kitchen, "7", JUICE)
    assert f"2 {JUICE} eaten on " in said(capsys, "ate", kitchen, "2", JUICE)


def test_what_was_made_is_said_with_the_crop_it_took_and_the_same_work_typed_twice_is_asked_after(kitchen, capsys):
    """A bare 46 is in the crop's own unit, and it is said."""
    text = said(capsys, "made", kitchen, JUICE, "13", "--used", "46")
    assert f"13 {JUICE} on " in text
    assert ", of 46 lb plum tomato: in the record at Record!A2." in text
    assert "already" not in text
    again = said(capsys, "made", kitchen, JUICE, "13", "--used", "46")
    assert "Record!A2 has 13 of that day already, and both are counted; take one of the rows out" in again


def test_a_weight_with_its_unit_apart_is_no_name(kitchen, capsys):
    assert ", of 46 lb plum tomato: " in said(capsys, "made", kitchen, JUICE, "13", "--used", "46 lb")


# ---------------------------------------------------------------- what goes wrong


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["weigh", "plumm tomato", "53lb"], "did you mean plum tomato?"),
        (["weigh", "apples", "10-12", "lb"], '"10-12 lb" may be 10 lb or 12 lb'),
        (["weigh", "apples", "2", "--on", "Sat"], "Jul 4, 2026"),
        (["weigh", "apples", "3 L"], "weigh"),
        (["weigh", "apples", "0"], "more than nothing"),
        (["weigh", "apples", "2 bu"], "bushel"),
        (["weigh", "apples", "2 pecks"], "a peck of this crop has no weight"),
        (["weigh", "apples", "2 cups"], "cup is not a weight"),
        (["weigh", "apples", "2 T"], 'no unit is called "T"'),
        (["weigh", "apples", "2", "--on", "the 9th"], "Jun 9, 2026 or Jul 9, 2026"),
        (["made", "jam", "3"], 'no preserve is called "jam"'),
        (["made", "tomato juice", "3"], f"did you mean {JUICE}"),
        (["made", JUICE, "several"], "several"),
        (["made", JUICE, "-7"], ""),
        (["made", JUICE, "6.5"], "write the full jars; a part-filled one goes into the refrigerator"),
        (["made", JUICE, "6", "--failed", "0.5"], "write the full jars"),
        (["made", JUICE, "7", "--used", "10lb apples"], 'takes no "apples"; write the crop as it is called'),
        (["made", JUICE, "7", "--hours", "3 lb"], "not a length of time"),
        (["made", JUICE, "7", "--hours", "1 day"], "not a length of time"),
        (["made", JUICE, "7", "--hours", "20000"], "more than 10,000"),
        (["made", JUICE, "1000000000"], "more than 1,000,000"),
        (["made", "freeze whole: plum tomato", "20lb", "--failed", "1"], "neither --used nor --failed"),
        (["made", "thaw: plum tomato", "20lb", "--used", "5lb"], "neither --used nor --failed"),
        (["weigh", "apples", "1000000000lb"], "more than 1,000,000"),
        (["ate", JUICE, "2 lb"], "not a number"),
    ],
)
def test_a_wrong_command_line_is_2_says_why_and_changes_nothing(kitchen, capsys, words, hint):
    before = kitchen.read_bytes()
    assert run([words[0], str(kitchen), *words[1:]]) == 2
    told = capsys.readouterr()
    assert hint in told.err
    assert "Traceback" not in told.err + told.out
    assert kitchen.read_bytes() == before


def test_no_file_is_1_and_an_open_file_is_3(kitchen, capsys):
    assert run(["weigh", str(kitchen.with_name("none.xlsx")), "apples", "3"]) == 1
    kitchen.with_name(f"~${kitchen.name}").write_bytes(b"")
    before = kitchen.read_bytes()
    assert run(["made", str(kitchen), JUICE, "7"]) == 3
    assert kitchen.read_bytes() == before
    capsys.readouterr()


def test_a_lot_can_be_weighed_into_a_workbook_that_cannot_be_planned_yet(kitchen, capsys):
    """The altitude is missing; a weighing does not rest on it."""
    book = Book.open(kitchen)
    book.set("Kitchen", 2, 2, None)
    book.save()
    said(capsys, "weigh", kitchen, "apples", "30")
    assert len(rows(kitchen, "Harvest")) == 1


def with_formula(path, result):
    """An expected lot of today whose amount is a formula, with this saved result."""
    book = load_workbook(path)
    for column, value in enumerate([START, "apples", "=20+10", "lb", "expected"], start=1):
        book["Harvest"].cell(2, column, value)
    part = next(
        f"xl/worksheets/sheet{number}.xml" for number, name in enumerate(book.sheetnames, 1) if name == "Harvest"
    )
    book.save(path)
    with zipfile.ZipFile(path) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    members[part] = re.sub(rb"<f>20\+10</f><v ?/?>(</v>)?", b"<f>20+10</f>" + result, members[part])
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in members.items():
            archive.writestr(name, content)


def test_a_formula_of_an_expected_lot_is_not_written_over(kitchen, capsys):
    with_formula(kitchen, b"<v>30</v>")
    assert run(["weigh", str(kitchen), "apples", "28"]) == 1
    assert "Harvest!C2" in capsys.readouterr().err
    assert load_workbook(kitchen)["Harvest"]["C2"].value == "=20+10"


@pytest.mark.filterwarnings("ignore:Print area cannot be set")  # whole columns, as LibreOffice writes them
@pytest.mark.libreoffice
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_a_workbook_that_was_lived_in_opens_in_libreoffice(kitchen, capsys, tmp_path):
    for words in (
        ["weigh", kitchen, "plum tomato", "60lb"],
        ["made", kitchen, JUICE, "7", "--failed", "1"],
        ["ate", kitchen, JUICE, "1"],
        ["plan", kitchen],
    ):
        said(capsys, *words)
    subprocess.run(
        ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "out"), str(kitchen)],
        check=True, timeout=120, capture_output=True,
    )  # fmt: skip
    sheet = load_workbook(tmp_path / "out" / "kitchen.xlsx")["Record"]
    assert [cell.value for cell in sheet["B"]][1:3] == [JUICE, JUICE]
    season = load_workbook(tmp_path / "out" / "kitchen.xlsx")["Season"]
    assert [cell.value for cell in season[6]][:3] == ["plum tomato", "lb", 60]
