"""`start` asks the cook, `add` brings a crop into a workbook in use: answers, refusals, and what is written."""

from __future__ import annotations

import builtins
import datetime
import sys

import pytest
from tests.benches.newcomer import MOST_TYPED, answered, kitchens, replay
from tests.small_kitchen import WEEKDAYS, build

from stillroom.app.answers import filling
from stillroom.app.plan import read_workbook
from stillroom.cli import run
from stillroom.reports.problems import line
from stillroom.workbook.ooxml.book import Book

TODAY = datetime.date.today()
OHIO = ["--altitude", "850ft", "--gauge", "dial", "--people", "4", "--crops", "tomatoes, green beans, corn, cukes, peaches",
        "--have", "canner, pressure canner, freezer", "--jars", "40 quarts, 3 dozen pints", "--hands", "2,6",
        "--stove-free", "3,8", "--picked", "53 lb tomatoes and 12 lb beans; 3 dozen corn"]  # fmt: skip


@pytest.fixture(scope="module")
def ohio(tmp_path_factory):
    """A workbook made by options alone; no test changes it."""
    path = tmp_path_factory.mktemp("start") / "kitchen.xlsx"
    assert run(["start", str(path), *OHIO]) == 0
    return path


def ohio_but(*other):
    """The same kitchen with other values for some options."""
    options = dict(zip(OHIO[::2], OHIO[1::2], strict=True)) | dict(zip(other[::2], other[1::2], strict=True))
    return [word for option in options.items() for word in option]


def rows(path, name):
    """The filled rows of a table by their first cell, headings as keys."""
    found = Book.open(path).table(name)
    every = [
        {h: c.value for h, c in zip(found.headings, cells, strict=True) if c.value is not None} for cells in found.rows
    ]
    return {str(next(iter(row.values()))): row for row in every if row}


def said(capsys, *words):
    """Run a command that goes well; gives what it says, its lines joined."""
    assert run(list(map(str, words))) == 0
    return " ".join(capsys.readouterr().out.split())


def on_a_terminal(monkeypatch, *answers):
    """Let the streams be a terminal on which these answers are typed, an error raised where one is among them."""
    given = iter(answers)

    def typed(prompt=""):
        answer = next(given)
        if isinstance(answer, type):
            raise answer
        return answer

    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    monkeypatch.setattr(builtins, "input", typed)
    return given


# ---------------------------------------------------------------- start


def test_only_the_preserves_that_fit_are_written_and_they_are_planned_without_an_error(ohio):
    preserves = rows(ohio, "Preserves")
    assert 25 <= len(preserves) <= 40
    assert {row["Method"] for row in preserves.values()} == {"boiling-water canned", "pressure canned", "frozen"}
    assert {"quart jar", "pint jar", "freezer pint"} == set(rows(ohio, "Containers"))
    assert list(rows(ohio, "Crops")) == ["tomato", "sweet corn", "cucumbers", "snap beans", "peaches"]
    reading = read_workbook(ohio, TODAY)
    assert [line(one) for one in reading.errors] == []
    assert not any(one.kind in ("no included preserve", "no container to be had") for one in reading.problems)
    targets = {target.name for target in reading.household.targets}
    assert {"green beans", "tomato sauce", "sweet corn"} <= targets
    assert not {"applesauce", "dried fruit"} & targets


def test_what_was_typed_is_in_the_workbook(ohio):
    jars = rows(ohio, "Containers")
    assert (jars["quart jar"]["On hand"], jars["pint jar"]["On hand"]) == (40, 36)
    assert "Note" not in jars["quart jar"]
    hours = rows(ohio, "Hours")
    assert [hours["hands"][day] for day in ("Mon", "Sat", "Sun")] == [2, 6, 6]
    assert [hours["stove free"][day] for day in ("Fri", "Sun")] == [3, 8]
    assert rows(ohio, "Lids")["regular lid"]["On hand"] == 76
    harvest = {lot.crop: round(lot.kg, 2) for lot in read_workbook(ohio, TODAY).household.lots}
    assert harvest == {"tomato": 24.04, "snap beans": 5.44, "sweet corn": 10.2}


def test_without_a_terminal_nothing_is_asked_and_what_is_missing_comes_first(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(builtins, "input", lambda prompt="": pytest.fail("asked"))
    text = said(capsys, "start", tmp_path / "a.xlsx")
    assert text.startswith("No altitude yet, so nothing will be canned: type it in Kitchen. Made ")
    assert "pressure" not in text.split("Left out:")[0]
    on_a_terminal(monkeypatch)
    text = said(capsys, "start", tmp_path / "b.xlsx", "--yes", "--have", "pressure canner", "--altitude", "440m")
    assert text.startswith("No gauge yet, so nothing will be pressure canned (")


def test_on_a_terminal_every_question_is_asked_again_until_its_answer_can_be_read(tmp_path, capsys, monkeypatch):
    path = tmp_path / "kitchen.xlsx"
    left = on_a_terminal(
        monkeypatch, "pounds", "", "850", "850 ft", "", "tomatos, chickens", "tomatoes and beans", "pressure cooker",
        "canner, pressure canner", "", "many", "24", "3 dozen", "", "2", "99 days", "6", "3h", "10", "tomatoes", "53 lb tomatoes",
    )  # fmt: skip
    text = said(capsys, "start", path)
    assert list(left) == []
    for words in (
        "Type us or metric.",
        "850 may be feet or meters",
        'no crop called "chickens"',
        '"pressure cooker" is not one of',
        '"many" is not a number',
        "99 days",
        '"tomatoes" is not an amount of a crop',
        "No gauge yet, so nothing will be pressure canned (2 preserves)",
    ):
        assert words in text
    assert list(rows(path, "Crops")) == ["tomato", "snap beans"]
    assert [one.kind for one in read_workbook(path, TODAY).errors] == ["gauge missing"]


def test_enter_at_every_question_leaves_only_the_altitude_open(tmp_path, capsys, monkeypatch):
    path = tmp_path / "kitchen.xlsx"
    on_a_terminal(monkeypatch, *[""] * 13)
    assert "No altitude yet" in said(capsys, "start", path)
    assert [one.kind for one in read_workbook(path, TODAY).errors] == ["altitude missing"]


def test_answers_that_could_be_read_are_read_the_same_at_the_end(tmp_path, capsys, monkeypatch):
    """Metric in capitals, jars in dozens with an "and" in them; half a person more by an option."""
    path = tmp_path / "kitchen.xlsx"
    left = on_a_terminal(monkeypatch, "Metric", "440 m", "plums", "", "a dozen and a half", *[""] * 7)
    said(capsys, "start", path, "--people", "2.5")
    assert list(left) == []
    assert rows(path, "Kitchen")["people"]["Value"] == 2.5
    assert rows(path, "Containers")["liter jar"]["On hand"] == 18


@pytest.mark.parametrize(
    ("option", "text"), [("--altitude", "850"), ("--picked", "3 pumpkins"), ("--crops", "dragons")]
)
def test_an_option_that_cannot_be_read_is_refused_before_the_questions(tmp_path, capsys, monkeypatch, option, text):
    left = on_a_terminal(monkeypatch, "us", "never asked")
    assert run(["start", str(tmp_path / "kitchen.xlsx"), option, text]) == 2
    assert list(left) == ["never asked"]


@pytest.mark.parametrize("stop", [KeyboardInterrupt, EOFError])
def test_stopped_in_the_middle_nothing_is_written(tmp_path, capsys, monkeypatch, stop):
    on_a_terminal(monkeypatch, "us", "850 ft", stop)
    assert run(["start", str(tmp_path / "kitchen.xlsx")]) == 130
    assert capsys.readouterr().err == "Stopped. Nothing was changed.\n"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("option", "text", "words"),
    [
        ("--crops", "dragons", 'no crop called "dragons"'),
        ("--have", "instant pot", '"instant pot" is not one of'),
        ("--jars", "24 gallons", "is not a number of jars of a size (quart, pint, half-pint)"),
        ("--hands", "2", "is not two numbers of hours"),
        ("--stove-free", "3,25", '"25" is not hours of a day, 0 to 24'),
        ("--picked", "3 pumpkins", "of winter squash has no known weight"),
        ("--picked", "0 lb corn", '"0 lb" of sweet corn is not above 0.'),
        ("--gauge", "both", "both is no gauge"),
        ("--people", "0", "--people takes a number from 1 to 1,000, such as 4."),
    ],
)
def test_an_option_that_cannot_be_read_writes_nothing(tmp_path, capsys, option, text, words):
    path = tmp_path / "kitchen.xlsx"
    assert run(["start", str(path), option, text]) == 2
    assert words in " ".join(capsys.readouterr().err.split())
    assert not path.exists()


def test_a_load_that_no_day_has_hours_for_is_there_at_no_and_is_named(tmp_path, capsys):
    """Green beans take the pressure canner 2 hours, and the stove is free for an hour and a half."""
    path = tmp_path / "kitchen.xlsx"
    text = said(capsys, "start", path, *ohio_but("--stove-free", "1.5,1.5"))
    assert "Include is no, because no day has hours enough for one load: " in text
    assert rows(path, "Preserves")["green beans, quart"]["Include"] == "no"
    assert [line(one) for one in read_workbook(path, TODAY).errors] == []


def test_a_kitchen_told_in_prose_comes_to_a_plan(tmp_path):
    """A metric one; all ten in the bench `newcomer`."""
    kitchen = next(one for one in kitchens() if one["name"] == "the orchard")
    found = replay(kitchen, tmp_path / "kitchen.xlsx")
    assert (found.refused, found.errors) == ((), ())
    assert found.typed <= 25
    assert found.lines > 0


@pytest.mark.parametrize("kitchen", kitchens("told"), ids=lambda kitchen: kitchen["name"])
def test_what_ten_households_told_a_neighbor_is_read_as_typed(kitchen):
    """Their pages were written without the questions in sight; only what has two readings, or is in no table, is refused."""
    told, typed, refused = answered(kitchen)
    assert len(refused) == kitchen.get("rightly", 0), refused
    assert typed + len(kitchen["typed_first"]) <= MOST_TYPED
    filling(told)


def test_days_of_other_hours_are_in_the_workbook(tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    said(capsys, "start", path, *ohio_but("--hands", "2, Tue 0; Sat 6, Sun 3"))
    assert [rows(path, "Hours")["hands"][day] for day in WEEKDAYS] == [2, 0, 2, 2, 2, 6, 3]


def test_a_metric_kitchen_has_the_sizes_it_was_asked_for(tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    said(capsys, "start", path, "--metric", "--altitude", "200m", "--crops", "plums, tomatoes", "--jars",
         "30 liter, 20 half-liter", "--picked", "24,5 kg plums", "--hands", "2,5; 6")  # fmt: skip
    assert rows(path, "Hours")["hands"]["Mon"] == 2.5
    assert [lot.kg for lot in read_workbook(path, TODAY).household.lots] == [24.5]
    assert set(rows(path, "Containers")) == {"liter jar", "half-liter jar", "half-liter tub"}
    assert [line(one) for one in read_workbook(path, TODAY).errors] == []


def test_of_all_crops_only_what_fits_is_written(tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    said(capsys, "start", path, "--altitude", "850ft", "--crops", "all", "--have", "canner, dryer")
    assert 25 <= len(rows(path, "Preserves")) <= 40
    assert [line(one) for one in read_workbook(path, TODAY).errors] == []


# ---------------------------------------------------------------- add


def test_a_target_comes_with_a_crop_only_for_a_preserve_at_yes(tmp_path, capsys):
    """Dried cherries come at no, so dried fruit is no target; canned cherries come at yes."""
    path = tmp_path / "kitchen.xlsx"
    said(capsys, "start", path, *ohio_but("--crops", "tomatoes", "--have", "canner, dryer"))
    assert "cherries, dried (no)" in said(capsys, "add", path, "cherries")
    assert "plums and cherries" in rows(path, "Winter list")
    assert "dried fruit" not in rows(path, "Winter list")
    counted = Book.open(path).table("Counts toward")
    names = {cell.value for cells in counted.rows for cell in cells}
    assert "dried fruit" not in names


def test_a_crop_that_is_added_again_brings_no_more_of_its_preserves(ohio, tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(ohio.read_bytes())
    said(capsys, "add", path, "apples")
    assert "has everything already" in said(capsys, "add", path, "apples")


def test_add_brings_a_crop_with_its_preserves_ingredients_and_targets(ohio, tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(ohio.read_bytes())
    text = said(capsys, "add", path, "beets", "spuds")
    assert "Crops: beets, potatoes" in text
    assert "Preserves, with Include: " in text
    before, after = rows(ohio, "Preserves"), rows(path, "Preserves")
    assert {name: row for name, row in after.items() if name in before} == before
    new = {name: row["Include"] for name, row in after.items() if name not in before}
    assert new["beets, pint"] == "yes"
    assert all("beets" in name or "potatoes" in name for name in new)
    reading = read_workbook(path, TODAY)
    assert [line(one) for one in reading.errors] == []
    wanted = {target.name: target.wanted for target in reading.household.targets}
    assert wanted["beets"] == 18  # 4 people x 0.25 servings x 35 weeks / 2 servings a pint, rounded up
    assert set(new) <= {name for target in reading.household.targets for name in target.counts}
    assert "has everything already" in said(capsys, "add", path, "beets", "potatoes")
    assert "your Equipment has no dryer" in said(capsys, "add", path, "beets, dried")


def test_add_brings_a_preserve_by_its_name_where_its_crop_is_there(ohio, tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(ohio.read_bytes())
    assert "your Crops has no onions" in said(capsys, "add", path, "ketchup")
    assert "tomato ketchup, pint (yes)" in said(capsys, "add", path, "ketchup", "onions")
    assert rows(path, "Ingredients")["tomato ketchup, pint"]["Item"] in ("tomato", "onions", "vinegar (5%)")


def test_add_uses_what_the_household_calls_things(tmp_path, capsys):
    """Tomatoes are plum tomatoes there, and the canner and the quart jar are known by their kind and size."""
    path = build(
        tmp_path / "kitchen.xlsx",
        Containers=[{"Container": "big jar", "Kind": "jar", "Holds": 1, "Unit": "quart", "On hand": 9, "Lid": "lid"}],
        Equipment=[{"Equipment": "old blue", "Kind": "boiling-water canner", "Load": 7, "Load unit": "quart jars"},
                   {"Equipment": "pot", "Kind": "kettle", "Load": 16, "Load unit": "qt"}],
        Preserves=[], Ingredients=[], **{"Winter list": [], "Counts toward": []},
    )  # fmt: skip
    assert "crushed tomatoes, quart (yes)" in said(capsys, "add", path, "crushed tomatoes")
    row = rows(path, "Preserves")["crushed tomatoes, quart"]
    assert (row["Container"], row["Equipment"]) == ("big jar", "pot, old blue")
    items = [line.item for item in read_workbook(path, TODAY).household.preserves for line in item.ingredients]
    assert items == ["plum tomato", "bottled lemon juice"]
    assert [line(one) for one in read_workbook(path, TODAY).errors] == []


def test_add_refuses_an_unknown_name_and_writes_nothing(ohio, tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(ohio.read_bytes())
    assert run(["add", str(path), "beets", "dragons"]) == 2
    assert 'The handbook has no crop or preserve called "dragons".' in capsys.readouterr().err
    assert path.read_bytes() == ohio.read_bytes()


def test_adopt_filled_adds_named_crops_to_tables_that_are_there(ohio, tmp_path, capsys):
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(ohio.read_bytes())
    text = said(capsys, "adopt", path, "--filled", "--crops", "beets")
    assert "Rows: Crops 1," in text
    assert "beets" in rows(path, "Crops")
    assert "beets, pint" in rows(path, "Preserves")
    assert "Nothing was changed" in said(capsys, "adopt", path, "--filled", "--crops", "beets")


# ---------------------------------------------------------------- a load that no day has hours for


def test_an_included_preserve_without_a_day_for_one_load_is_an_error_at_the_top_and_stays_out(tmp_path, capsys):
    """Thirty minutes to heat up, 40 of process and 5 of rest are 1 h 15 min in the canner."""
    hours = [{"What": "hands"} | dict.fromkeys(WEEKDAYS, 4), {"What": "stove free"} | dict.fromkeys(WEEKDAYS, 1)]
    canner = [
        {"Equipment": "canner", "Kind": "boiling-water canner", "Load": 7, "Load unit": "quart jars", "Heat-up min": 30}
    ]
    path = build(tmp_path / "kitchen.xlsx", Hours=hours, Equipment=canner)
    assert run(["check", str(path)]) == 1
    said_first = capsys.readouterr().out.splitlines()[0]
    assert (
        "No day has room for one load of tomato juice, quart: 1 h 15 min of canner, the longest day has 1 h."
        in said_first
    )
    text = said(capsys, "plan", path)
    assert text.startswith("Nothing can be planned: an error keeps out 1 included preserve, and no other is included.")


def test_supposed_hours_that_leave_no_day_for_a_load_leave_it_out_and_do_not_stop_the_case(tmp_path, capsys):
    hours = [
        {"What": "hands"} | dict.fromkeys(WEEKDAYS, 4),
        {"What": "stove free", "Each later week": 0} | dict.fromkeys(WEEKDAYS, 2),
    ]
    path = build(tmp_path / "kitchen.xlsx", Hours=hours)
    text = said(capsys, "suppose", path, "; ".join(f"stove free {day} 1" for day in WEEKDAYS))
    assert "Fri Aug 14: tomato juice, quart 7 0" in text
    assert "No day has room" not in text
