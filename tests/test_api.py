"""The functions for notebooks and scripts, data frames of the tables, and CSV files."""

import datetime
import doctest
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
from tests.small_kitchen import FRIDAY, build

import stillroom
from stillroom.app.frames import frame, frames, write_csv
from stillroom.app.season import SeasonAsked, season_frames, season_of
from stillroom.errors import CouldNotWrite, WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.schema import output_tables

GUIDE = Path(__file__).parents[1] / "shared" / "docs" / "api.md"


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    return build(tmp_path / "kitchen.xlsx")


def test_the_guide_is_true(kitchen: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every example in it is run, beside the small kitchen."""
    monkeypatch.chdir(kitchen.parent)
    failed, run = doctest.testfile(str(GUIDE), module_relative=False)
    assert (failed, run > 10) == (0, True)


def test_planning_writes_nothing_and_writing_puts_the_tables_into_the_workbook(kitchen: Path) -> None:
    before = kitchen.read_bytes()
    found = stillroom.plan(stillroom.read(kitchen, FRIDAY))
    assert kitchen.read_bytes() == before
    receipt = stillroom.write(kitchen, found)
    assert receipt.backup is not None
    assert receipt.backup.read_bytes() == before
    again = stillroom.read(kitchen, FRIDAY)
    assert sum(line.make or 0.0 for line in again.household.plan_lines) == stillroom.frames(found)["Plan"]["Make"].sum()


def test_what_the_command_refuses_is_refused_here(tmp_path: Path) -> None:
    path = build(tmp_path / "kitchen.xlsx", without={("Harvest", "Amount")})
    with pytest.raises(WorkbookRefused):
        stillroom.plan(stillroom.read(path, FRIDAY))
    sound = stillroom.plan(stillroom.read(build(tmp_path / "sound.xlsx"), FRIDAY))
    (tmp_path / "mine.xlsx").write_bytes(b"not a plan")
    with pytest.raises(CouldNotWrite):
        stillroom.write(tmp_path / "mine.xlsx", sound)


def test_every_column_of_the_schema_has_the_dtype_of_its_kind_even_when_empty() -> None:
    for table in output_tables():
        found = frame([], table.name)
        assert list(found.columns) == list(table.headings)
        for column in table.columns:
            dtype = str(found[column.heading].dtype)
            expected = {"date": "datetime64[ns]", "number": "float64", "amount": "float64", "whole": "Int64"}
            assert dtype == expected.get(column.kind, "string"), (table.name, column.heading)


def test_frames_keep_what_is_missing_missing() -> None:
    rows = [{"Day": datetime.date(2026, 8, 14), "Count": 3, "Share": 0.5, "At": datetime.time(14, 30), "Name": "a"}]
    found = frames({"Mine": [*rows, dict.fromkeys(rows[0])]})["Mine"]
    assert [str(dtype) for dtype in found.dtypes] == ["datetime64[ns]", "Int64", "float64", "string", "string"]
    assert found.iloc[0].tolist() == [pd.Timestamp(2026, 8, 14), 3, 0.5, "14:30", "a"]
    assert found.iloc[1].isna().all()


def test_csv_files_are_read_back_as_they_were(kitchen: Path, tmp_path: Path) -> None:
    tables = stillroom.plan(stillroom.read(kitchen, FRIDAY)).tables
    files = write_csv(tables, tmp_path / "csv")
    assert [file.stem for file in files][:4] == ["plan", "coverage", "space", "crop_use"]
    back = pd.read_csv(files[0], parse_dates=["Day"])
    assert back["Make"].tolist() == [row["Make"] for row in tables["Plan"]]
    assert back["Day"].dt.date.tolist() == [row["Day"] for row in tables["Plan"]]
    assert write_csv(tables, tmp_path / "csv") == files


def test_a_table_of_the_households_own_is_never_replaced(tmp_path: Path) -> None:
    (tmp_path / "plan.csv").write_text("date,note\n2026-08-14,mine\n")
    with pytest.raises(CouldNotWrite, match=r"plan\.csv is there already"):
        write_csv({"Space": [], "Plan": []}, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["plan.csv"]


def test_the_seasons_played_are_frames_that_add_up_to_what_is_said_of_them(kitchen: Path, tmp_path: Path) -> None:
    found = season_of(kitchen, FRIDAY, SeasonAsked(draws=4, seed=3), lambda _: None)
    tables = season_frames(found)
    assert tables["Targets by season"]["juice"].mean() == pytest.approx(found.targets[0].mean)
    assert tables["Seasons"]["Surplus kg"].mean() == pytest.approx(found.surplus.mean)
    assert len(tables["Seasons"]) == 4
    names = ["targets", "containers_that_ran_out", "seasons", "targets_by_season"]
    assert [file.stem for file in write_csv(tables, tmp_path / "csv")] == names


def test_importing_the_package_imports_nothing_slow() -> None:
    code = "import stillroom, sys; print(sorted({'pandas', 'numpy', 'highspy', 'lxml', 'rich'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_nothing_else_in_the_workbook_changes(kitchen: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.xlsx"
    receipt = stillroom.write(copy, stillroom.plan(stillroom.read(kitchen, FRIDAY)))
    assert receipt.members_kept > 0
    assert set(Book.open(kitchen).table_names) <= set(Book.open(copy).table_names)
