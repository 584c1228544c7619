"""`stillroom day` and the Timetable of `stillroom plan`, end to end on a small workbook."""

import datetime
import json

from openpyxl import load_workbook
from tests.small_kitchen import FRIDAY, KITCHEN, build

from stillroom.app.day import day_view
from stillroom.cli import run
from stillroom.reports.terminal.lists import plain_text


def table_rows(path, name):
    """The rows of a table that hold anything."""
    for sheet in load_workbook(path):
        if name in sheet.tables:
            head, *rows = sheet[sheet.tables[name].ref]
            headings = [cell.value for cell in head]
            found = [dict(zip(headings, (cell.value for cell in row), strict=True)) for row in rows]
            return [row for row in found if any(value is not None for value in row.values())]
    raise KeyError(name)


def asked(capsys, *words):
    """The JSON that a command prints."""
    capsys.readouterr()
    assert run([*words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_plan_fills_the_timetable_and_day_says_the_same(kitchen, capsys):
    """The rows in the workbook are those of `day`, day by day."""
    assert run(["plan", str(kitchen)]) == 0
    written = table_rows(kitchen, "Timetable")
    assert {row["Step"] for row in written} >= {
        "set up; wash and prepare: trim, quarter",
        (
            "fill 7 quart jars (hot pack): 2 tbsp bottled lemon juice in each, 1/2 inch headspace; "
            "remove air bubbles, wipe rims, put on lids, screw bands fingertip-tight"
        ),
    }
    said = []
    for number in range(4):
        day = FRIDAY + datetime.timedelta(days=number)
        said += asked(capsys, "day", str(kitchen), "--on", day.isoformat())["timetable"]
    assert [(row["start"], row["step"], row["people"]) for row in said] == [
        (row["Start"].isoformat(), row["Step"], row["People"]) for row in written
    ]


def test_a_second_plan_still_changes_nothing(kitchen, capsys):
    """Times read back from the cells are the times that were written."""
    run(["plan", str(kitchen)])
    before = kitchen.read_bytes()
    assert asked(capsys, "plan", str(kitchen))["receipt"]["written"] is False
    assert kitchen.read_bytes() == before


def test_without_a_plan_day_makes_one_and_writes_nothing(kitchen, capsys):
    """It says that the times are those of a plan to be."""
    before = kitchen.read_bytes()
    found = asked(capsys, "day", str(kitchen))
    assert found["timetable"]
    assert found["note"].startswith("There is no plan in the workbook yet")
    assert kitchen.read_bytes() == before


def test_a_day_in_the_terminal(kitchen, capsys):
    """When it ends, bars, steps; the first day where none is asked for."""
    run(["plan", str(kitchen)])
    capsys.readouterr()
    assert run(["day", str(kitchen)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("FRIDAY, AUGUST 14, 2026  8:00 AM to ")
    assert "process 40 min; start timing when" in " ".join(said.split())
    assert max(map(len, said.splitlines())) <= 80


def test_a_day_on_a_narrow_screen_keeps_each_bar_in_one_line(kitchen):
    """At 60 letters the bars ran on in a second line, and whose work was when could not be seen."""
    assert run(["plan", str(kitchen)]) == 0
    for wide, letters in ((60, 38), (80, 48)):
        lines = plain_text(day_view(kitchen, None, FRIDAY), wide).splitlines()
        assert max(map(len, lines)) <= wide
        bars = [line[20:] for line in lines[: lines.index("") + 6] if line.startswith(("canner", "hands "))]
        assert bars
        assert {len(bar) for bar in bars} == {letters}


def test_a_day_with_nothing_planned_says_so(kitchen, capsys):
    run(["plan", str(kitchen)])
    capsys.readouterr()
    assert run(["day", str(kitchen), "--on", "2027-01-01"]) == 0
    out = capsys.readouterr().out
    assert "Nothing has to be put up." in out
    said = asked(capsys, "day", str(kitchen), "--on", "2027-01-01")["note"]
    assert said.startswith("Something is planned from Friday, August 14, 2026 to ")
    assert said in " ".join(out.split())


def test_a_workbook_that_changed_since_the_plan_is_said(kitchen, capsys):
    """Times of an old plan are not passed off as new."""
    run(["plan", str(kitchen)])
    changed = build(kitchen.with_name("changed.xlsx"))
    assert asked(capsys, "day", str(kitchen))["note"] is None
    workbook = load_workbook(kitchen)
    sheet = next(sheet for sheet in workbook if "Harvest" in sheet.tables)
    cell = next(cell for row in sheet.iter_rows() for cell in row if cell.value == KITCHEN["Harvest"][0]["Amount"])
    cell.value = 61
    workbook.save(changed)
    assert asked(capsys, "day", str(changed))["note"].startswith("The workbook has changed since this plan")


def test_what_stops_a_plan_stops_its_times(tmp_path, capsys):
    """No process is put on the clock in a workbook that cannot be planned."""
    path = build(tmp_path / "k.xlsx", without={("Harvest", "Amount")})
    assert run(["day", str(path)]) == 1
    assert run(["day", str(build(tmp_path / "good.xlsx")), "--on", "someday"]) == 2
