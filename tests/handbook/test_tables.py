"""The handbook's tables: sound as shipped, and the checks that say so can fail."""

from __future__ import annotations

import dataclasses
import re
import tomllib
from pathlib import Path

import pytest
from tests.handbook import kitchens, second_table_page, table_checks
from tests.handbook.kitchens import group

from stillroom.handbook import tables as rows
from stillroom.handbook import tables as where
from stillroom.handbook.lines import (
    CANNED,
    all_processes,
    at_altitude,
    by_line,
    find_line,
    ladders,
    lines,
    nearest_line,
)
from stillroom.handbook.settle import settle
from stillroom.household.records import METHODS


def test_the_shipped_tables_have_no_fault():
    assert table_checks.faults() == ()


def test_there_are_enough_lines_foods_and_ways():
    canned = [line for line in lines().values() if line.canned]
    foods = {food for line in lines().values() for food in line.foods}
    assert len(canned) >= 60
    assert len(lines()) >= 200
    assert len(foods) >= 40
    assert {line.method for line in lines().values()} == set(METHODS)


def test_no_row_is_without_source_and_status():
    for name in rows.TABLES:
        assert rows.table(name), name
        assert all(row["source"].strip() and row["status"] in rows.STATUSES for row in rows.table(name)), name


def test_notes_and_sources_name_no_place_on_a_machine():
    for name in rows.TABLES:
        text = (where.folder() / f"{name}.csv").read_text(encoding="utf-8")
        assert not re.search(r"(^|[\s,])/\w+/", text)
        assert "http" not in text


@pytest.fixture
def changed(monkeypatch):
    """Change the process rows that the checks see."""

    def change(choose, **values):
        new = tuple(dataclasses.replace(row, **values) if choose(row) else row for row in all_processes())
        assert new != all_processes()
        monkeypatch.setattr(table_checks, "all_processes", lambda: new)

    return change


def juice_at(altitude_min_ft):
    """Choose the row of one band of tomato juice in quarts."""
    return lambda row: row.key == "tomato juice, hot pack, quart" and row.altitude_min_ft == altitude_min_ft


def test_a_gap_between_bands_is_found(changed):
    changed(juice_at(1001), altitude_min_ft=1101)
    assert any("does not meet" in fault for fault in table_checks.gaps_between_bands())


def test_an_overlap_of_bands_is_found(changed):
    changed(juice_at(1001), altitude_min_ft=901)
    assert any("does not meet" in fault for fault in table_checks.gaps_between_bands())


def test_a_band_without_an_end_is_found(changed):
    changed(juice_at(6001), altitude_max_ft=99_999)
    assert any("ends at" in fault for fault in table_checks.gaps_between_bands())


def test_time_that_falls_with_altitude_is_found(changed):
    """The slip of the 1994 copies: pickled beets 45 minutes at 1,001-3,000 ft and then 40."""
    changed(lambda row: row.product == "pickled beets" and row.altitude_min_ft == 1001, minutes=45.0)
    assert list(table_checks.falls_with_altitude())


def test_pounds_that_fall_with_altitude_are_found(changed):
    changed(lambda row: row.key == "green beans, raw pack, pint" and row.altitude_min_ft == 6001, pressure_lb=12.0)
    assert list(table_checks.falls_with_altitude())


def test_a_quart_shorter_than_its_pint_is_found(changed):
    changed(juice_at(0), minutes=30.0)
    assert list(table_checks.shorter_larger_jars())


def test_a_strange_jar_is_found(changed):
    changed(juice_at(0), jar="bucket")
    assert list(table_checks.impossible_figures())


def test_a_pressure_above_fifteen_pounds_is_found(changed):
    changed(lambda row: row.key == "green beans, raw pack, pint" and row.altitude_min_ft == 6001, pressure_lb=16.0)
    assert list(table_checks.impossible_figures())


def test_a_key_that_stands_twice_is_found(monkeypatch):
    twice = (*rows.table("acid"), rows.table("acid")[0])
    monkeypatch.setattr(table_checks, "table", lambda name: twice if name == "acid" else rows.table(name))
    assert list(table_checks.repeated_keys())


def test_a_row_without_source_is_found(monkeypatch):
    bare = ({**rows.table("acid")[0], "source": " "},)
    monkeypatch.setattr(table_checks, "table", lambda name: bare if name == "acid" else rows.table(name))
    assert list(table_checks.unsourced_rows())


def test_an_unknown_unit_is_found(monkeypatch):
    odd = ({**rows.table("acid")[0], "unit": "splash"},)
    monkeypatch.setattr(table_checks, "table", lambda name: odd if name == "acid" else rows.table(name))
    assert list(table_checks.unknown_units())


def test_trap_1_options_are_never_jar_sizes():
    """Every tomato option stands for pints and for quarts, with the same minutes and pounds."""
    for ladder in ladders(row for row in all_processes() if row.option):
        twin = ladder[0].jar.replace("quart", "pint") if ladder[0].jar == "quart" else "quart"
        key = ladder[0].key.replace(f", {ladder[0].jar},", f", {twin},")
        other = next(
            rungs
            for rungs in ladders(by_line()[key])
            if (rungs[0].option, rungs[0].gauge) == (ladder[0].option, ladder[0].gauge)
        )
        assert [(row.minutes, row.pressure_lb) for row in ladder] == [(row.minutes, row.pressure_lb) for row in other]


def test_trap_2_pickled_beets_take_35_minutes_in_the_second_band():
    for jar in ("pint", "quart"):
        assert [row.minutes for row in at_altitude(by_line()[f"pickled beets, hot pack, {jar}"], 2_000)] == [35]


def test_trap_2_whole_tomatoes_in_water_take_15_at_6_or_10_at_11_on_a_dial():
    found = at_altitude(by_line()["whole tomatoes in water, hot pack, quart, pressure"], 500, "dial")
    assert {(row.minutes, row.pressure_lb) for row in found} == {(15, 6), (10, 11)}


def test_trap_3_some_bands_do_not_rise_and_none_falls():
    applesauce = ladders(by_line()["applesauce, hot pack, pint"])[0]
    assert [row.minutes for row in applesauce][:4] == [15, 20, 20, 25]
    assert not list(table_checks.falls_with_altitude())


def test_trap_4_the_tables_end_at_ten_and_eight_thousand_feet():
    for ladder in ladders(all_processes()):
        assert ladder[-1].altitude_max_ft in ((8_000,) if ladder[0].gauge == "dial" else (1_000, 10_000))
        assert at_altitude(ladder, 10_000.5, ladder[0].gauge) == ()


def test_trap_4_fruit_above_eight_thousand_feet_takes_the_longer_time_of_the_second_table():
    rows_found = at_altitude(by_line()["sliced apples, hot pack, quart"], 9_000)
    assert [row.minutes for row in rows_found] == [40]
    assert "Utah State" in rows_found[0].source


def test_the_second_table_agrees_with_the_national_one_where_both_speak():
    """Between 3,001 and 8,000 ft the two tables of fruit times are the same, row for row."""
    names = {"apples": "sliced apples", "fruit juices": "grape juice"}
    compared = 0
    for row in rows.table("high_altitude_fruit"):
        product, top = names.get(row["food"], row["food"]), float(row["altitude_max_ft"])
        key = f"{product}, {row['pack']} pack, {row['jar']}"
        if key in by_line() and top <= 8_000:
            assert [found.minutes for found in at_altitude(by_line()[key], top)] == [float(row["minutes"])], key
            compared += 1
    assert compared >= 40


def test_trap_5_headspace_is_per_food():
    by_food = {
        row["food"]: float(row["headspace_in"]) for row in rows.table("headspace") if not row["food"].startswith("(")
    }
    assert by_food["tomato juice"] == 0.5
    assert by_food["standard tomato sauce"] == 0.25
    assert by_food["tomato ketchup"] == 0.125
    assert by_food["chicken or rabbit"] == 1.25


def test_trap_6_acid_is_asked_of_pressure_canned_tomatoes_too():
    line = "tomato juice, hot pack, quart, pressure"
    bare = kitchens.juice(
        method="pressure canned",
        handbook_line=line,
        equipment=("canner",),
        ingredients=(kitchens.crop("plum tomato", 1.5),),
    )
    _, problems = settle(kitchens.household(bare))
    assert [group(problem) for problem in problems if problem.is_error] == ["acid missing"]


def test_trap_7_potatoes_take_twenty_pounds_a_load():
    from stillroom.handbook.lines import crop_lb

    assert crop_lb("potatoes", "quart") * 7 == pytest.approx(20)
    assert not [
        line for line in lines().values() if line.method == "frozen" and "sauce" in line.key and "apple" in line.key
    ]


def test_trap_8_the_freezer_takes_two_pounds_a_cubic_foot():
    assert next(row["value"] for row in rows.table("facts") if row["key"] == "freezer intake a day") == "2"


def test_trap_9_remembered_hours_and_moistures_are_marked():
    dried = [row for row in rows.table("kept") if row["method"] == "dried"]
    assert {row["key"] for row in dried if row["status"] == "verified"} == {"asparagus, dried", "broccoli, dried"}
    assert all(row["status"] == "memory" for row in dried if "hours from memory" in row["note"])


def test_lines_are_found_whatever_the_capitals_and_spaces():
    assert find_line("  TOMATO juice,hot  pack, quart").key == "tomato juice, hot pack, quart"
    assert nearest_line("tomato jucie, hot pack, quart") == "tomato juice, hot pack, quart"
    assert find_line("moon juice") is None


def test_a_line_in_both_ways_says_so_in_its_key():
    both = [key for key in by_line() if key.endswith(", pressure")]
    assert both
    assert all(key.removesuffix(", pressure") in by_line() for key in both)
    methods = {key: {row.method for row in found} for key, found in by_line().items()}
    assert all(len(found) == 1 for found in methods.values())


def test_below_sea_level_is_the_first_band():
    assert [row.minutes for row in at_altitude(by_line()["tomato juice, hot pack, quart"], -250)] == [40]


def test_the_boundary_belongs_to_the_band_below_and_an_inch_more_to_the_next():
    rows_of_juice = by_line()["tomato juice, hot pack, quart"]
    assert [row.minutes for row in at_altitude(rows_of_juice, 1_000)] == [40]
    assert [row.minutes for row in at_altitude(rows_of_juice, 1_000.1)] == [45]
    assert [row.minutes for row in at_altitude(rows_of_juice, 305 / 0.3048)] == [45]


def test_the_tables_are_found_beside_a_wheel_too(tmp_path, monkeypatch):
    """Without a checkout around it the package looks where a wheel puts its data files."""
    there = tmp_path / where.INSTALLED_UNDER
    there.mkdir(parents=True)
    (there / where.MARKER).write_text("key\n")
    monkeypatch.setattr(where, "__file__", str(tmp_path / "a" / "b" / "c" / "d" / "where.py"))
    monkeypatch.setattr(where.sysconfig, "get_path", lambda _name: str(tmp_path))
    where.folder.cache_clear()
    try:
        assert where.folder() == there
    finally:
        where.folder.cache_clear()


def test_missing_tables_are_said_in_plain_words(tmp_path, monkeypatch):
    monkeypatch.setattr(where, "_candidates", lambda: iter([tmp_path]))
    where.folder.cache_clear()
    try:
        with pytest.raises(where.HandbookMissing, match="Install stillroom again"):
            where.folder()
    finally:
        where.folder.cache_clear()


def test_ways_of_canning_are_named_as_the_records_name_them():
    assert set(CANNED) <= set(METHODS)


def test_the_page_of_the_second_table_is_fresh():
    assert second_table_page.PAGE.read_text(encoding="utf-8") == second_table_page.page()


def test_where_the_tables_differ_the_longer_time_is_planned():
    found = list(second_table_page.lines_compared())
    assert len(found) >= 60
    assert all(planned >= max(national, second) for _, _, national, second, planned in found)


def test_a_wheel_takes_every_table_along():
    """The patterns of pyproject.toml name every file of the folder."""
    root = Path(__file__).resolve().parents[2]
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    patterns = project["tool"]["setuptools"]["data-files"][where.INSTALLED_UNDER.as_posix()]
    taken = {path for pattern in patterns for path in root.glob(pattern)}
    assert taken == set((root / "shared" / "handbook").iterdir())
