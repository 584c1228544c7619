"""A preserve that the published tables refuse is left out and shown as an Error; the rest of the kitchen is planned."""

from __future__ import annotations

import datetime
import json
import re
import shutil
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tests.small_kitchen import FRIDAY, KITCHEN, build

from stillroom.cli import run
from stillroom.errors import KINDS, WorkbookRefused
from stillroom.reports.problems import gathered
from stillroom.workbook.ooxml.book import Book

PEACHES, JUICE = "peaches, quart", "tomato juice, quart"
PEACH_ROW = {
    "Preserve": PEACHES,
    "Method": "boiling-water canned",
    "Container": "quart jar",
    "Handbook line": "peaches, hot pack, quart",
    "Minutes": 5,
    "Hands-on min each": 5,
    "Equipment": "canner",
}
PEACHES_TOO = {
    "Crops": [*KITCHEN["Crops"], {"Crop": "peaches", "Keeps days": 4, "Unit": "lb"}],
    "Harvest": [*KITCHEN["Harvest"], {"Picked on": FRIDAY, "Crop": "peaches", "Amount": 20}],
    "Preserves": [*KITCHEN["Preserves"], PEACH_ROW],
    "Ingredients": [
        *KITCHEN["Ingredients"],
        {"Preserve": PEACHES, "Item": "peaches", "Amount each": 2.5, "Unit": "lb"},
    ],
    "Winter list": [*KITCHEN["Winter list"], {"Target": "pie", "Wanted": 6, "Unit": "quarts"}],
    "Counts toward": [*KITCHEN["Counts toward"], {"Target": "pie", "Preserve": PEACHES}],
}
WRONG = "Peaches, quart: Minutes is 5 min, but the published least is 25 min"
DO = "Type 25 or more under Minutes, or leave it blank to use the published time."
PLACE = "Preserves!F3"


@pytest.fixture
def kitchen(tmp_path):
    """Build tomato juice that can be planned, and peaches with too few minutes."""
    return build(tmp_path / "kitchen.xlsx", **PEACHES_TOO)


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    """
    Build two kitchens with a plan, once: one is refused peaches when it is planned, the other after.

    The second has a line for peaches in Plan, which is refused now.
    """
    folder = tmp_path_factory.mktemp("plans")
    planned = build(folder / "planned.xlsx", **PEACHES_TOO)
    rows = [*KITCHEN["Preserves"], PEACH_ROW | {"Minutes": None}]
    outdated = build(folder / "outdated.xlsx", **(PEACHES_TOO | {"Preserves": rows}))
    for path in (planned, outdated):
        assert run(["plan", str(path)]) == 0
    assert PEACHES in plan_lines(outdated)
    book = Book.open(outdated)
    book.set("Preserves", 3, 6, 5)
    book.save(outdated)
    return folder


@pytest.fixture
def planned(plans, tmp_path):
    """Copy the kitchen whose peaches were refused when it was planned."""
    return Path(shutil.copy(plans / "planned.xlsx", tmp_path / "kitchen.xlsx"))


@pytest.fixture
def outdated(plans, tmp_path):
    """Copy the kitchen whose plan has peaches that are refused now."""
    return Path(shutil.copy(plans / "outdated.xlsx", tmp_path / "kitchen.xlsx"))


def kitchen_of(path, **others):
    """Build a kitchen with other tables."""
    return build(path, **(PEACHES_TOO | others))


def shown(capsys, *words, code=0):
    """Run a command; return what it shows, in one line."""
    assert run(list(map(str, words))) == code
    return " ".join(capsys.readouterr().out.split())


def data(capsys, *words, code=0):
    """Run a command with --json; return its object."""
    assert run([*map(str, words), "--json"]) == code
    return json.loads(capsys.readouterr().out)


def rows_of(path, name):
    """Return the filled rows of a table, by heading."""
    table = Book.open(path).table(name)
    rows = [{h: c.value for h, c in zip(table.headings, cells, strict=True)} for cells in table.rows]
    return [row for row in rows if any(value is not None for value in row.values())]


def plan_lines(path):
    """Return the preserves in the table Plan."""
    return {row["Preserve"] for row in rows_of(path, "Plan")}


# ---------------------------------------------------------------- plan


def test_the_rest_is_planned_and_the_error_is_at_the_top_of_the_terminal(kitchen, capsys):
    text = shown(capsys, "plan", kitchen)
    assert text.startswith("ERRORS left out of the plan; the rest is planned - Peaches, quart: Minutes is 5 min")
    assert text.index(WRONG) < text.index(DO) < text.index("(Preserves, cell F3)") < text.index("FIRST DAY")
    assert plan_lines(kitchen) == {JUICE}


def test_the_error_is_the_first_row_of_the_messages_sheet(planned):
    first = rows_of(planned, "Messages")[0]
    assert (first["Severity"], first["Where"], first["What to do"]) == ("Error", PLACE, DO)
    assert first["What"].startswith(WRONG)
    assert [row["Severity"] for row in rows_of(planned, "Messages")].count("Error") == 1


def test_json_has_the_errors(kitchen, planned, capsys):
    for path in (kitchen, planned):  # planned now, and unchanged since
        found = data(capsys, "plan", path)
        (error,) = found["errors"]
        assert (error["where"], error["kind"], error["names"][0]) == (PLACE, "minutes below table", PEACHES)
        assert (error["stops"], error["refuses"]) == (False, True)
        assert found["messages"][0]["severity"] == "Error"


def test_strict_stops_and_writes_nothing(kitchen, capsys):
    before = kitchen.read_bytes()
    assert run(["plan", str(kitchen), "--strict"]) == 1
    assert WRONG in capsys.readouterr().err
    assert kitchen.read_bytes() == before
    assert list(kitchen.parent.iterdir()) == [kitchen]


def test_strict_plans_a_kitchen_without_errors(tmp_path, capsys):
    path = build(tmp_path / "kitchen.xlsx")
    assert shown(capsys, "plan", path, "--strict").startswith("FIRST DAY")


def test_check_exits_1_and_shows_that_the_rest_can_be_planned(kitchen, capsys):
    text = shown(capsys, "check", kitchen, code=1)
    assert text.startswith(f"Error: {WRONG}")
    assert text.endswith("What these errors are about is left out. To plan the rest: stillroom plan kitchen.xlsx")
    found = data(capsys, "check", kitchen, code=1)
    assert found["can_be_planned"]
    assert [one["where"] for one in found["errors"]] == [PLACE]


def test_what_cannot_be_read_still_stops(tmp_path, capsys):
    path = kitchen_of(tmp_path / "kitchen.xlsx", Harvest=[{"Picked on": FRIDAY, "Crop": "plum tomato", "Amount": "?"}])
    assert run(["plan", str(path)]) == 1
    errors = capsys.readouterr().err
    assert "Harvest!" in errors
    assert WRONG in errors, "everything that must be fixed is listed at once"


def test_the_kitchen_without_the_refused_preserve_has_the_same_plan(kitchen, tmp_path, capsys):
    rows = [row for row in PEACHES_TOO["Preserves"] if row["Preserve"] == JUICE]
    rows.append(PEACH_ROW | {"Include": "no"})
    other = kitchen_of(tmp_path / "other.xlsx", Preserves=rows)
    for path in (kitchen, other):
        shown(capsys, "plan", path)
    lines = [[(row["Day"], row["Preserve"], row["Make"]) for row in rows_of(path, "Plan")] for path in (kitchen, other)]
    assert lines[0] == lines[1]


def test_a_fixed_line_of_a_refused_preserve_is_dropped_with_a_warning(outdated, capsys):
    book = load_workbook(outdated)
    sheet = book["Plan"]
    headings = [cell.value for cell in sheet[5]]
    row = next(row for row in sheet.iter_rows(min_row=6) if row[headings.index("Preserve")].value == PEACHES)
    row[headings.index("Keep at")].value = 3
    book.save(outdated)
    text = shown(capsys, "plan", outdated)
    assert "The plan leaves out the fixed line for peaches, quart." in text
    made = [row["Make"] for row in rows_of(outdated, "Plan") if row["Preserve"] == PEACHES]
    assert not any(made)


# ---------------------------------------------------------------- what follows


def test_a_target_without_another_preserve_shows_why_it_gets_nothing(planned, capsys):
    text = shown(capsys, "plan", planned)
    assert "6 quarts short of 6, left out: see the errors" in text
    assert text.count("The plan makes nothing for pie, because it leaves out peaches, quart.") == 1
    found = data(capsys, "plan", planned)
    why = {row["target"]: row["why"] for row in found["coverage"]}
    assert why["juice"] is None
    assert why["pie"].startswith(f"{PLACE}: {WRONG}")


def test_a_crop_that_only_refused_preserves_use_is_surplus_and_shown_once(planned, capsys):
    found = data(capsys, "plan", planned)
    assert {row["crop"]: row["surplus"] for row in found["crop_use"]}["peaches"] == 20
    what = [row["what"] for row in found["messages"] if "will be surplus" in row["what"]]
    assert what == ["Peaches will be surplus, because the plan leaves out what would use it: peaches, quart."]


def test_a_preserve_that_needs_a_refused_one_shows_why_it_is_not_made(tmp_path, capsys):
    cobbler = {
        "Preserve": "cobbler",
        "Method": "frozen",
        "Container": "tub",
        "Hands-on min each": 5,
        "Kept in": "freezer",
    }
    ingredients = [*PEACHES_TOO["Ingredients"], {"Preserve": "cobbler", "Item": PEACHES, "Amount each": 1}]
    tub = {"Container": "tub", "Kind": "tub", "Holds": 1, "Unit": "quart", "On hand": 9}
    path = kitchen_of(
        tmp_path / "kitchen.xlsx",
        Preserves=[*PEACHES_TOO["Preserves"], cobbler | {"Source": "own", "Keeps months": 3}],
        Ingredients=ingredients,
        Containers=[*KITCHEN["Containers"], tub],
        **{"Counts toward": [*KITCHEN["Counts toward"], {"Target": "pie", "Preserve": "cobbler"}]},
    )
    found = data(capsys, "plan", path)
    assert any("it needs peaches, quart, which is left out" in row["what"] for row in found["messages"])


# ---------------------------------------------------------------- one line for each cause


def without_altitude(tmp_path, **others):
    """Build a kitchen with two canned preserves and no altitude."""
    kitchen = [row for row in KITCHEN["Kitchen"] if row["Setting"] != "altitude"]
    rows = [*KITCHEN["Preserves"], PEACH_ROW | {"Minutes": None}]
    return kitchen_of(tmp_path / "kitchen.xlsx", **({"Kitchen": kitchen, "Preserves": rows} | others))


def test_a_missing_altitude_is_one_line_and_comes_first(tmp_path, capsys):
    path = without_altitude(tmp_path, Preserves=[*KITCHEN["Preserves"], PEACH_ROW | {"Handbook line": "peeches"}])
    text = shown(capsys, "check", path, code=1)
    assert text.startswith("Error: The altitude is blank, so nothing can be canned.")
    assert text.count("altitude is blank, so nothing can be canned. Type it") == 1


def test_when_every_preserve_is_refused_the_first_line_shows_that_nothing_can_be_planned(tmp_path, capsys):
    path = without_altitude(tmp_path)
    nothing = "Nothing can be planned: the published tables refuse 2 included preserves"
    text = shown(capsys, "plan", path)
    assert text.startswith(nothing)
    assert text.count("altitude is blank, so nothing can be canned. Type it") == 1
    assert rows_of(path, "Messages")[0]["What"].startswith(nothing)
    assert [row for row in rows_of(path, "Plan") if row["Make"]] == []


def test_preserves_with_the_same_cause_share_a_line_that_names_each(tmp_path, capsys):
    names = [f"peaches {number}" for number in range(1, 13)]
    rows = [PEACH_ROW | {"Preserve": name} for name in names]
    ingredients = [{"Preserve": name, "Item": "peaches", "Amount each": 2.5, "Unit": "lb"} for name in names]
    path = kitchen_of(
        tmp_path / "kitchen.xlsx",
        Preserves=[*KITCHEN["Preserves"], *rows],
        Ingredients=[*KITCHEN["Ingredients"], *ingredients],
        **{"Counts toward": [*KITCHEN["Counts toward"], *({"Target": "pie", "Preserve": name} for name in names)]},
    )
    text = shown(capsys, "plan", path)
    errors = text[: text.index("FIRST DAY")]
    assert errors.count("Minutes is 5 min") == 1
    assert "Preserves, cells F3:F14" in errors
    assert all(name in errors.casefold() for name in names)


def test_preserves_with_other_figures_are_not_put_into_one_line(tmp_path):
    from stillroom.app.plan import read_workbook

    rows = [PEACH_ROW | {"Preserve": f"peaches {minutes}", "Minutes": minutes} for minutes in (5, 6, 7)]
    ingredients = [{"Preserve": row["Preserve"], "Item": "peaches", "Amount each": 2.5, "Unit": "lb"} for row in rows]
    path = build(
        tmp_path / "kitchen.xlsx",
        **(PEACHES_TOO | {"Preserves": rows, "Ingredients": ingredients, "Winter list": [], "Counts toward": []}),
    )
    reading = read_workbook(path, FRIDAY)
    assert len([one for one in gathered(reading.errors) if one.refuses]) == 3


# ---------------------------------------------------------------- the other commands


@pytest.mark.parametrize(
    "words",
    [
        ("today",),
        ("day",),
        ("bottlenecks",),
        ("hedge",),
        ("season", "--draws", "1", "--workers", "1"),
        ("suppose", "quart jars +7"),
        ("why", "juice"),
    ],
)
def test_every_command_shows_the_error_first_and_in_json(words, planned, capsys):
    name, *rest = words
    text = shown(capsys, name, planned, *rest)
    assert text.startswith(("ERRORS left out of the plan", f"Error: {PLACE}: {WRONG}"))
    assert WRONG in text
    assert DO in text
    assert [one["where"] for one in data(capsys, name, planned, *rest)["errors"]] == [PLACE]


def test_why_answers_with_the_refusal(kitchen, capsys):
    text = shown(capsys, "why", kitchen, PEACHES)
    assert text.startswith(f"{PEACHES} cannot be made. {WRONG}")
    assert [one["kind"] for one in data(capsys, "why", kitchen, PEACHES)["not_made"]["problems"]] == [
        "minutes below table"
    ]
    assert "The published tables refuse peaches, quart: see the errors." in shown(capsys, "why", kitchen, "pie")


def test_suppose_does_not_plan_a_change_that_is_refused(tmp_path, capsys):
    rows = [*KITCHEN["Preserves"], PEACH_ROW | {"Include": "no"}]
    path = kitchen_of(tmp_path / "kitchen.xlsx", Preserves=rows)
    assert run(["suppose", str(path), f"include {PEACHES}"]) == 1
    assert WRONG in capsys.readouterr().err


def test_plan_all_lists_the_errors_and_exits_0(kitchen, tmp_path, capsys):
    folder = tmp_path / "all"
    folder.mkdir()
    kitchen.rename(folder / kitchen.name)
    text = shown(capsys, "plan-all", folder, "--out", tmp_path / "out", "--workers", "1")
    assert text.startswith(f"ERRORS left out of the plans; the rest is planned kitchen.xlsx: {PLACE}: {WRONG}")
    assert "1 error" in text
    (book,) = data(capsys, "plan-all", folder, "--out", tmp_path / "out", "--workers", "1")["workbooks"]
    assert book["planned"]
    assert book["errors"][0].startswith(f"{PLACE}: {WRONG}")


def test_made_records_it_and_shows_the_error(kitchen, capsys):
    text = shown(capsys, "made", kitchen, PEACHES, 7)
    assert text.startswith(f"Error: {PLACE}: {WRONG}")
    assert rows_of(kitchen, "Record")[0]["Made"] == 7 if Book.open(kitchen).table("Record") else True


# ---------------------------------------------------------------- a plan that stands, and is refused now


def test_day_and_today_leave_out_a_line_that_is_refused_now(outdated, capsys):
    for command in ("day", "today"):
        text = shown(capsys, command, outdated)
        start = text.index("(Preserves, cell F3)")
        assert PEACHES not in text[start:].replace("peaches, 20 lb", ""), command
        assert JUICE in text


def test_pages_begin_with_the_error_and_leave_the_line_out(outdated, tmp_path, capsys):
    text = shown(capsys, "pages", outdated, "--out", tmp_path / "paper", "--only", "sheets", "--only", "labels")
    assert text.startswith(f"Error: {PLACE}: {WRONG}")
    for name in ("week", "by-the-clock"):
        page = (tmp_path / "paper" / f"{name}.html").read_text()
        words = " ".join(re.sub(r"<[^>]+>", " ", page[page.index("<main>") :]).split())
        assert words.startswith(f"Left out of the plan Error: {PLACE}: {WRONG}"), name
        assert words.index(DO) < words.index(JUICE)
        assert "peaches" not in words[words.index(DO) :].casefold(), name
        assert (tmp_path / "paper" / f"{name}.pdf").stat().st_size > 0
    assert "peaches" not in (tmp_path / "paper" / "labels.html").read_text()


def test_labels_of_the_record_leave_out_what_is_refused(outdated, tmp_path, capsys):
    shown(capsys, "made", outdated, PEACHES, 7)
    text = shown(capsys, "labels", outdated, "--out", tmp_path / "labels", "--record", "--on", "2026-08-14")
    assert text.startswith(f"Error: {PLACE}: {WRONG}")
    assert "peaches" not in (tmp_path / "labels" / "labels.html").read_text()


def test_the_plan_is_made_again_although_nothing_else_changed(outdated, capsys):
    shown(capsys, "plan", outdated)
    assert PEACHES not in plan_lines(outdated)


# ---------------------------------------------------------------- the grades


def test_no_kind_of_the_handbook_stops_the_whole_plan():
    """What is refused keeps one preserve out; a kind that stopped all would hide the rest. Hours refuse a load, too."""
    assert [key for key, kind in KINDS.items() if kind.about == "handbook" and kind.stops] == []
    refusing = {key for key, kind in KINDS.items() if kind.effect == "refuses" and kind.about != "handbook"}
    assert refusing == {"no day for a load"}


def test_the_handbook_never_asks_whether_a_problem_stops():
    """There it refuses: `stops` would be False for every refusal, and let the preserve through."""
    import stillroom

    source = Path(stillroom.__file__).parent / "handbook"
    tests = Path(__file__).parent / "handbook"
    for path in (*source.rglob("*.py"), *tests.rglob("*.py")):
        assert not re.search(r"\.stops\b", path.read_text()), path


def test_the_library_plans_the_rest_too(kitchen):
    import stillroom

    reading = stillroom.read(kitchen, datetime.date(2026, 8, 14))
    assert not reading.stops
    assert [error.where for error in reading.errors] == [PLACE]
    found = stillroom.plan(reading)
    assert found.plan.made(PEACHES) == 0
    assert found.plan.made(JUICE) > 0
    with pytest.raises(WorkbookRefused):
        reading.refuse_if_stopped(strict=True)
