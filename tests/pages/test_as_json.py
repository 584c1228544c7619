"""A plan as JSON: keys, days, units, aims and receipt."""

import datetime
import json
import math
from pathlib import Path

from stillroom.errors import Problem
from stillroom.household.examples import tiny_household
from stillroom.household.plan import ObjectiveResult, Plan, periods
from stillroom.household.results.commands import Receipt
from stillroom.household.results.tables import tables
from stillroom.reports.json import error_json, plan_json, problems_json, snake

RECEIPT = Receipt(Path("k.xlsx"), 12, ("xl/a.xml",), (), 40, ("Ours!B7",), Path("k.before-2026-08-14-0930.xlsx"))


def test_one_object_with_the_tables_by_their_names():
    """Table names and headings in lower snake_case, days in ISO form, a unit beside amounts."""
    home = tiny_household()
    plan = Plan(periods(home.kitchen), make={("juice", 0): 7.0}, loads={("juice", 0): 1.0})
    objectives = (ObjectiveResult("target", 1.5, "points", 1.5, proved=True, seconds=0.12345, importance=1),)
    found = json.loads(plan_json(tables(home, plan), objectives, RECEIPT))
    assert set(found) == {
        "plan",
        "coverage",
        "space",
        "crop_use",
        "shopping",
        "season_so_far",
        "messages",
        "objectives",
        "receipt",
        "changes",
        "errors",
    }
    row = found["plan"][0]
    assert (row["day"], row["make"], row["unit"]) == ("2026-08-14", 7, "quart jar")
    assert abs(row["hands_on_h"] - 1.2) < 1e-9
    assert found["coverage"][0]["unit"] == "quart"
    assert found["space"][0]["unit"] == "L"
    assert found["crop_use"][0]["unit"] == "lb"
    assert found["objectives"] == [
        {
            "kind": "target",
            "importance": 1,
            "worst_season": False,
            "value": 1.5,
            "unit": "points",
            "bound": 1.5,
            "proved": True,
            "seconds": 0.12345,
            "stopped": "",
            "parts": [],
            "name": "targets 1",
        }
    ]


def test_the_receipt_says_what_was_written():
    """Members kept and changed, cells, results cleared, the copy."""
    found = json.loads(plan_json({}, (), RECEIPT))["receipt"]
    assert found == {
        "written": True,
        "members_kept": 12,
        "members_changed": ["xl/a.xml"],
        "members_added": [],
        "members_dropped": [],
        "cells_written": 40,
        "results_cleared": ["Ours!B7"],
        "cleared_to_be_safe": [],
        "backup": "k.before-2026-08-14-0930.xlsx",
        "other_names": 0,
        "too_short": [],
        "path": "k.xlsx",
    }


def test_infinity_is_no_number_in_json():
    """An aim whose bound is not known has none."""
    objectives = (ObjectiveResult("surplus", 3.0, "kg", -math.inf, proved=False),)
    assert json.loads(plan_json({}, objectives, RECEIPT))["objectives"][0]["bound"] is None


def test_problems_are_data_and_sentences():
    """The other kinds of ending are a sentence."""
    found = json.loads(problems_json([Problem("A!B2", "blank text", field="Amount")]))["problems"]
    assert [(one["where"], one["field"], one["kind"], one["stops"]) for one in found] == [
        ("A!B2", "Amount", "blank text", True)
    ]
    assert found[0]["what"] == "Amount is blank."
    assert json.loads(error_json("the disk is full")) == {"error": "the disk is full"}


def test_every_heading_makes_its_own_key():
    """No two columns of a table fall together."""
    from stillroom.workbook.schema import output_tables

    for table in output_tables():
        keys = {snake(heading) for heading in table.headings}
        assert len(keys) == len(table.headings)
        assert all(key.isidentifier() for key in keys)


def test_text_of_any_tongue_stays_readable():
    """No escapes for umlauts."""
    assert "Süßmost" in plan_json({"Plan": [{"Preserve": "Süßmost", "Day": datetime.date(2026, 8, 14)}]}, (), RECEIPT)
