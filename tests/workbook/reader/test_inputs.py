"""The one description of tables and columns is held against the records, the reader and the reference page, both ways."""

import dataclasses
import re
from pathlib import Path

import pytest
from tests.workbook.reference_page import KINDS, reference

from stillroom.household import records
from stillroom.workbook.reader.headings import READ_FROM_PLAN
from stillroom.workbook.reader.tables import read_tables
from stillroom.workbook.schema import input_tables, output_tables, tables

ROOT = Path(__file__).parents[3]
READER = ROOT / "src" / "stillroom" / "workbook" / "reader"

# Fields of a record that no column of its own table gives, with where they come from.
NOT_IN_A_COLUMN = {
    "Kitchen": {
        "first_day_typed": "whether the first day was blank",
        "weight_unit": "the units of the workbook",
        "volume_unit": "the units of the workbook",
        "altitude_unit": "the unit beside the altitude",
        "gauge_where": "where the gauge is typed",
        "latest_end_where": "where the latest end is typed",
        "spending_where": "where the spending limit is typed",
        "already_spent": "the record",
        "starts_by_weekday": "the row day starts of Hours",
    },
    "Hours": {"by_weekday": "the seven days"},
    "Equipment": {"loads": "Load and Load unit", "heat_up_hours": "Heat-up min", "cool_down_hours": "Cool-down min"},
    "Crop": {
        "freeze_hours_per_kg": "Minutes to freeze",
        "each_kg": "the handbook's weights of a piece",
        "kg_per_litre": "the handbook's densities",
        "pot_litres_per_kg": "the same",
    },
    "Lot": {},
    "Container": {"holds_litres": "Holds", "holds_kg": "Holds"},
    "Lid": {},
    "PantryItem": {"base_unit": "Unit", "per_base": "Unit", "into_jars": "the handbook's acids"},
    "ShelfRow": {},
    "Preserve": {
        "load": "the loads of its equipment",
        "batch_typed": "whether Smallest batch was typed",
        "ingredients": "the table Ingredients",
        "process_minutes": "the handbook",
        "vent_minutes": "the handbook",
        "rise_minutes": "the handbook",
        "rest_minutes": "the handbook",
        "standing": "the handbook",
        "steps": "the handbook",
        "blanch_text": "the handbook",
        "headspace": "the handbook",
        "acid_each": "the handbook",
        "pressure_lb": "the handbook",
        "process_text": "the handbook",
        "process_source": "the handbook",
        "own_recipe": "the handbook",
        "from_memory": "the handbook",
        "refused": "the handbook",
    },
    "Ingredient": {
        "source": "the table its item stands in",
        "amount_typed": "Amount each",
        "litres_each": "Amount each and Unit",
        "kg_each": "Amount each and Unit",
    },
    "Target": {"counts": "the table Counts"},
    "RecordRow": {},
}

# Columns that give no field of that name, with the field they end in.
NOT_A_FIELD = {
    "Hours": {"mon", "tue", "wed", "thu", "fri", "sat", "sun"},
    "Equipment": {"load", "load_unit", "heat_up_minutes", "cool_down_minutes"},
    "Crop": {"minutes_to_freeze"},
    "Lot": {"unit"},
    "Container": {"holds", "unit"},
    "PantryItem": {"per_unit"},
    "Ingredient": {"preserve"},
    "Target": {"target", "preserve", "each_counts"},
    "RecordRow": {"unit", "happened"},
    "Kitchen": {"setting", "value", "unit"},
}


@pytest.mark.parametrize("record", sorted(NOT_IN_A_COLUMN))
def test_every_field_of_a_record_has_its_column_and_every_column_its_field(record):
    described = [table for table in input_tables() if table.record == record]
    columns = {column.field for table in described for column in (*table.columns, *table.settings)} - {"note"}
    columns -= NOT_A_FIELD.get(record, set())
    fields = {field.name for field in dataclasses.fields(getattr(records, record))} - {"where"}
    assert fields - set(NOT_IN_A_COLUMN[record]) == columns


def test_every_input_table_fills_a_record_that_is_there():
    assert {table.record for table in input_tables() if not table.optional} == set(NOT_IN_A_COLUMN)


def test_every_column_of_an_input_table_is_read():
    """Each field stands, quoted, in some module of the reader; notes are the household's own."""
    text = "\n".join(path.read_text() for path in sorted(READER.glob("*.py")))
    weekdays = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"}
    for table in read_tables():
        for column in (*table.columns, *table.settings):
            if (
                column.field == "note"
                or column.field in weekdays
                or (table.name == "Plan" and column.field not in READ_FROM_PLAN)
            ):
                continue
            assert f'"{column.field}"' in text, f"{table.name}: {column.heading} is described but not read"


def test_every_blank_has_one_stated_meaning():
    for table in input_tables():
        for column in (*table.columns, *table.settings):
            assert re.fullmatch(r"required|no limit|none|default: .+", column.blank), f"{table.name}: {column.heading}"


def test_every_kind_of_column_is_known_and_every_number_has_its_range():
    for table in tables().values():
        for column in (*table.columns, *table.settings):
            assert column.choices or column.of or column.kind in KINDS, f"{table.name}: {column.heading}"
            if table.role == "input" and column.kind in ("number", "whole"):
                assert column.least is not None, f"{table.name}: {column.heading}"
                assert column.most is not None, f"{table.name}: {column.heading}"


def test_names_point_to_tables_that_are_there():
    for table in input_tables():
        for column in table.columns:
            assert set(column.of) <= set(tables()), f"{table.name}: {column.heading}"
            assert bool(column.of) == (column.kind in ("name", "names"))


def test_headings_and_fields_are_there_once_in_a_table():
    for table in tables().values():
        headings = [column.heading.casefold().replace(" ", "") for column in table.columns]
        fields = [column.field for column in table.columns]
        assert len(set(headings)) == len(headings)
        assert len(set(fields)) == len(fields)


def test_every_column_the_planner_writes_has_an_owner_and_three_are_the_households():
    owners = {(table.name, column.heading): column.owner for table in output_tables() for column in table.columns}
    assert set(owners.values()) == {"ours", "household"}
    assert {place for place, owner in owners.items() if owner == "household"} == {
        ("Plan", "Keep at"),
        ("Plan", "Made"),
        ("Plan", "Note"),
    }


def test_the_stated_limits_of_size():
    limits = {name: tables()[name].limit for name in ("Preserves", "Crops", "Harvest", "Winter list", "Record")}
    assert limits == {"Preserves": 400, "Crops": 100, "Harvest": 2000, "Winter list": 300, "Record": 5000}


def test_the_reference_page_is_as_it_would_be_written_now():
    page = ROOT / "shared" / "reference.md"
    assert page.read_text(encoding="utf-8") == reference(), (
        "run: python tests/workbook/reference_page.py > shared/reference.md"
    )


def test_the_reference_page_names_every_table_column_and_setting():
    page = reference()
    for table in tables().values():
        assert f"### {table.name}\n" in page
        for column in (*table.columns, *table.settings):
            assert f"| {column.heading} | " in page
