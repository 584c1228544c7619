"""`bottlenecks`, `why` and `suppose` end to end on a small workbook: what is said, what is written, and what is not."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.table import Table
from tests.small_kitchen import FRIDAY, build

from stillroom.app import parallel
from stillroom.app.questions import bottlenecks
from stillroom.cli import run
from stillroom.errors import WorkbookRefused
from stillroom.household.results.bottlenecks import PAST_NOTE, past_in
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.plan import notes_in


def digest(path: Path) -> str:
    """The bytes of a file in short."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def test_limits_says_what_a_dozen_lids_would_give(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """5 lids of 14 wanted: a dozen more give 9 quarts, 18 meals; 6.00 against 27.00 in the shop."""
    before = digest(kitchen)
    assert run(["bottlenecks", str(kitchen)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "a dozen lids: 9 quarts juice (18 meals)" in said
    assert "Worth it? yes: $27.00 of food for $6.00." in said
    assert digest(kitchen) == before


def test_limits_as_json_has_the_columns_of_the_table(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["bottlenecks", str(kitchen), "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["bottlenecks"]
    assert rows[0]["bottleneck"] == "lids"
    assert (rows[0]["used"], rows[0]["of"], rows[0]["unit"]) == (pytest.approx(5, abs=0.01), 5, "lid")
    assert rows[0]["gain"]["targets"] == {"juice": pytest.approx(9.0, abs=0.01)}


def test_limits_fills_its_table_only_when_asked_and_once(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["bottlenecks", str(kitchen), "--write"]) == 0
    sheet = load_workbook(kitchen)["Bottlenecks"]
    assert [cell.value for cell in sheet[5]][:3] == ["Bottleneck", "Used", "Of"]
    assert sheet["A6"].value == "lids"
    (past,) = past_in(notes_in(Book.open(kitchen))[PAST_NOTE])
    assert (past.day, past.name, past.containers, past.one_more) == (FRIDAY, "lid", 9, "a dozen lids")
    before = digest(kitchen)
    assert run(["bottlenecks", str(kitchen), "--write"]) == 0
    assert "holds this already" in capsys.readouterr().out
    assert digest(kitchen) == before


def test_many_cases_leave_room_for_what_a_line_is_about(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With eight cases the names of the lines were squeezed out, and figures stood beside nothing."""
    words = " vs ".join(f"lids +{number}" for number in range(1, 9)).split(" vs ")
    changes = [word for change in words for word in (change, "vs")][:-1]
    assert run(["suppose", str(kitchen), *changes]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert max(map(len, lines)) <= 80
    figures = [line.split() for line in lines if line.startswith("  juice (quart")]
    assert figures == [
        ["juice", "(quart)", "5", "6", "7", "8", "9", "10"],
        ["juice", "(quart)", "5", "11", "12", "13"],
    ]
    heads = [line.split() for line in lines if line.split()[:1] == ["now"]]
    assert heads[:2] == [["now", "A", "B", "C", "D", "E"], ["now", "F", "G", "H"]]


def test_what_was_written_is_said_in_json_too(
    kitchen: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The words named the file and the old copy; the JSON said nothing of either."""
    assert run(["bottlenecks", str(kitchen), "--write", "--json"]) == 0
    receipt = json.loads(capsys.readouterr().out)["receipt"]
    assert receipt["written"]
    assert receipt["cells_written"] > 0
    assert Path(receipt["backup"]).exists()
    copy = tmp_path / "copy.xlsx"
    assert run(["suppose", str(kitchen), "lids +4", "--out", str(copy), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["receipt"]["path"], found["sheet"]) == (str(copy), "Suppose")


def test_the_forms_of_a_change_come_as_json_where_that_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["suppose", "kitchen.xlsx", "--changes", "--json"]) == 0
    forms = json.loads(capsys.readouterr().out)["changes"]
    assert {"example": "no salsa", "means": "not made; also a whole target"} in forms


def test_why_a_need_falls_short_names_the_lids(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["why", str(kitchen), "juice"]) == 0
    said = capsys.readouterr().out
    assert "juice is short by 9 quarts (18 meals)." in said
    assert "if nothing else on the list gets less: lids." in said


def test_why_not_more_of_a_preserve_says_that_it_cannot_be_made(
    kitchen: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["why", str(kitchen), "Tomato Juice, quart"]) == 0
    said = capsys.readouterr().out
    assert "The plan makes 5 tomato juice, quart." in said
    assert "7 more won't fit: not enough lids." in said
    assert run(["why", str(kitchen), "jiuce"]) == 2
    assert "did you mean juice?" in capsys.readouterr().err


def test_suppose_sets_cases_side_by_side_and_writes_only_a_copy(
    kitchen: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = digest(kitchen)
    copy = tmp_path / "copy.xlsx"
    assert run(["suppose", str(kitchen), "lids +4", "vs", "no juice", "--out", str(copy)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "A lid: 9 instead of 5" in said
    assert "juice (quart) 5 9 0" in said
    assert digest(kitchen) == before
    sheet = load_workbook(copy)["Suppose"]
    assert [cell.value for cell in sheet[6]][3:5] == ["juice", "quart"]
    assert [cell.value for cell in sheet[6]][5:8] == pytest.approx([5, 9, 0], abs=0.01)
    assert run(["suppose", str(kitchen), "lids +4", "--out", str(kitchen)]) == 2
    assert digest(kitchen) == before


def test_the_sheet_suppose_has_every_line_of_the_json_unrounded_and_a_second_one_finds_its_own_name(
    kitchen: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first, second = tmp_path / "first.xlsx", tmp_path / "second.xlsx"
    assert run(["suppose", str(kitchen), "lids +4", "vs", "no juice", "--out", str(first), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    lines = [line for part in ("coverage", "whole", "plan") for line in found[part]]
    rows = list(load_workbook(first)["Suppose"].iter_rows(min_row=6, max_col=8, values_only=True))
    rows = [row for row in rows if row[3] is not None]
    assert [row[3] for row in rows] == [line["what"] for line in lines]
    assert [list(row[5:]) for row in rows] == [[line["now"], *line["cases"]] for line in lines]
    assert all(line["unit"] for line in lines)
    assert {line["unit"] for line in found["plan"]} == {"quart jar"}
    plans = [found["now"], *found["cases"]]
    assert [plan["planned"] and bool(plan["objectives"]) for plan in plans] == [True, True, True]
    assert run(["suppose", str(first), "lids +4", "--out", str(second)]) == 0
    sheets = [sheet for sheet in load_workbook(second) if sheet.title.startswith("Suppose")]
    assert len(sheets) == 2
    assert len({name for sheet in sheets for name in sheet.tables}) == 2


def test_suppose_as_json_says_a_change_it_cannot_read(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["suppose", str(kitchen), "botled lemon juice +1 cup", "--json"]) == 2
    assert "did you mean bottled lemon juice?" in json.loads(capsys.readouterr().out)["error"]


def test_suppose_never_revives_what_the_published_tables_refuse(
    kitchen: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Above the table's top altitude nothing is canned: that case has no plan, and the other one has."""
    assert run(["suppose", str(kitchen), "altitude 12000 ft", "vs", "lids +4", "--json"]) == 0
    cases = json.loads(capsys.readouterr().out)["cases"]
    assert [case["planned"] for case in cases] == [False, True]
    assert cases[0]["problems"]
    fixed = ["altitude 12000 ft", "tomato juice, quart: keep at 7 on Sat"]
    assert run(["suppose", str(kitchen), *fixed]) == 1


def test_suppose_without_changes_reads_the_table_of_that_name(
    kitchen: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["suppose", str(kitchen)]) == 2
    assert "no rows in a table Suppose" in capsys.readouterr().err
    book = load_workbook(kitchen)
    sheet = book.create_sheet("ideas")
    for row in (("Case", "Change"), ("more lids", "lids +4"), (None, "hands Sat 0"), ("none", "no juice")):
        sheet.append(row)
    sheet.add_table(Table(displayName="Suppose", ref="A1:B4"))
    book.save(kitchen)
    assert run(["suppose", str(kitchen), "--json"]) == 0
    cases = json.loads(capsys.readouterr().out)["cases"]
    assert [(case["name"], case["changes"]) for case in cases] == [
        ("more lids", ["lids +4", "hands Sat 0"]),
        ("none", ["no juice"]),
    ]


def test_a_workbook_that_is_stopped_is_refused_with_its_problems(tmp_path: Path) -> None:
    path = tmp_path / "stopped.xlsx"
    build(path, without={("Winter list", "Wanted")})
    with pytest.raises(WorkbookRefused, match="Wanted"):
        bottlenecks.bottlenecks_of(path, FRIDAY, lambda _: None, workers=False)
    assert run(["why", str(path), "juice"]) == 1


def test_a_fixed_line_that_a_case_cannot_keep_is_said(kitchen: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A thousand quarts cannot be made of the tomatoes there are; it said that nothing would change."""
    assert run(["suppose", str(kitchen), "tomato juice, quart: keep at 1000 on Sat"]) == 0
    assert "cannot keep tomato juice, quart on Sat" in " ".join(capsys.readouterr().out.split())
    assert run(["suppose", str(kitchen), "tomato juice, quart: keep at 1000 on Sat", "--json"]) == 0
    assert "short of 1,000" in json.loads(capsys.readouterr().out)["cases"][0]["not_kept"][0]


def test_without_room_for_the_locks_of_workers_there_are_none(monkeypatch):
    """As on a full disk: the work is done in this process then."""

    def no_room(*_args, **_named):
        raise OSError(27, "File too large")

    monkeypatch.setattr(parallel, "ProcessPoolExecutor", no_room)
    monkeypatch.setattr(parallel.os, "cpu_count", lambda: 2)
    with parallel.two_workers() as executor:
        assert executor is None
