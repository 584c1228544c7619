"""`--csv DIR`: the tables that a command shows, as files; never over a file that is not one of ours."""

import json

import pandas as pd
import pytest

from stillroom.app.frames import HEADINGS
from stillroom.cli import run

TABLES = {
    "stock": ["stocks", "season_so_far"],
    "yields": ["yields"],
    "bottlenecks": ["bottlenecks"],
    "season": ["targets", "containers_that_ran_out", "seasons", "targets_by_season"],
    "review": [
        f"review_{what}"
        for what in ("targets", "crops", "preserves", "equipment", "bottlenecks", "years", "months", "weeks")
    ],
}


def test_plan_writes_its_tables_as_csv_the_same_with_a_plan_that_is_kept(kitchen, tmp_path, capsys):
    """The second time nothing is planned: the tables come from the workbook, under the same headings."""
    folder = tmp_path / "tables"
    assert run(["plan", str(kitchen), "--csv", str(folder)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    names = ["plan", "coverage", "space", "crop_use", "shopping", "season_so_far", "messages", "timetable"]
    assert f"CSV files written: {', '.join(str(folder / name) + '.csv' for name in names)}" in said
    first = {name: pd.read_csv(folder / f"{name}.csv") for name in names}
    assert run(["plan", str(kitchen), "--csv", str(folder), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert not found["receipt"]["written"]
    assert first["plan"]["Make"].tolist() == [row["make"] for row in found["plan"]]
    assert first["plan"]["Day"].tolist() == [row["day"] for row in found["plan"]]
    for name, table in first.items():
        pd.testing.assert_frame_equal(pd.read_csv(folder / f"{name}.csv"), table)


@pytest.mark.parametrize("name", TABLES)
def test_what_is_shown_is_written_as_csv(name, planned_kitchen, tmp_path, capsys):
    """Twice: files of ours are written over."""
    words = [
        name,
        str(planned_kitchen),
        *(["--draws", "2"] if name == "season" else []),
        "--csv",
        str(tmp_path / "csv"),
    ]
    capsys.readouterr()
    assert run(words) == 0
    assert "CSV files written:" in capsys.readouterr().out
    assert sorted(path.stem for path in (tmp_path / "csv").glob("*.csv")) == sorted(TABLES[name])
    assert run([*words, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("name", ["plan", *TABLES])
def test_a_file_of_another_is_left_alone_and_so_is_the_workbook(name, planned_kitchen, tmp_path, capsys):
    """Before anything is printed or saved; as JSON it is one object too."""
    folder, last = tmp_path / "csv", {"plan": ["plan"], **TABLES}[name][-1]
    folder.mkdir()
    (folder / f"{last}.csv").write_text("date,note\n2026-08-14,mine\n")
    before = planned_kitchen.read_bytes()
    more = {"season": ["--draws", "2"], "bottlenecks": ["--write"], "plan": ["--time-limit", "30"]}.get(name, [])
    capsys.readouterr()
    assert run([name, str(planned_kitchen), *more, "--csv", str(folder), "--json"]) == 3
    told = capsys.readouterr()
    assert f"{last}.csv is there already and may hold something of your own" in json.loads(told.out)["error"]
    assert told.err.startswith("Error: ")
    assert [path.name for path in folder.iterdir()] == [f"{last}.csv"]
    assert planned_kitchen.read_bytes() == before


def test_a_folder_in_the_place_of_a_file_is_refused_before_anything_is_written(kitchen, tmp_path, capsys):
    (tmp_path / "csv" / "season_so_far.csv").mkdir(parents=True)
    assert run(["stock", str(kitchen), "--csv", str(tmp_path / "csv")]) == 3
    assert "is a folder" in capsys.readouterr().err
    assert len(list((tmp_path / "csv").iterdir())) == 1
    assert run(["stock", str(kitchen), "--csv", str(kitchen)]) == 3
    assert "name a folder" in capsys.readouterr().err


def test_a_table_without_rows_has_the_headings_it_has_with_rows(planned_kitchen, tmp_path, capsys):
    """The file of a first day would else be taken for another's on a later one."""
    words = ["yields", str(planned_kitchen), "--csv", str(tmp_path)]
    assert run(words) == 0
    assert tuple(pd.read_csv(tmp_path / "yields.csv").columns) == HEADINGS["Yields"]
    assert run(["made", str(planned_kitchen), "tomato juice, quart", "7", "--used", "24lb"]) == 0
    assert run(words) == 0
    capsys.readouterr()
    table = pd.read_csv(tmp_path / "yields.csv")
    assert (tuple(table.columns), table["Records"].tolist()) == (HEADINGS["Yields"], [1])
