"""The steps of a canner load: the same in the constraints, the audit, the replay and the clock, for every row."""

import csv
import datetime
from pathlib import Path

import pytest

from stillroom.handbook.lines import all_processes, lines, waits_of
from stillroom.handbook.tables import table
from stillroom.household.audit.hours import jobs, stove_in
from stillroom.household.audit.tally import Tally
from stillroom.household.plan import Period, Plan
from stillroom.household.records import Equipment, Household, Kitchen, Load, Preserve
from stillroom.planning.parameters import Parameters
from stillroom.timetable.audit import broken_promises
from stillroom.timetable.clock import on_the_clock
from stillroom.timetable.loads import loads_of
from stillroom.timetable.schedule import Session

DAY = datetime.date(2026, 8, 18)
ROOT = Path(__file__).resolve().parents[2]
CANNERS = {
    "boiling-water canned": Equipment("canner", "boiling-water canner", 1, (Load(7.0, "jar"),), 1.0, 30 / 60, 0.0),
    "pressure canned": Equipment("pressure canner", "pressure canner", 1, (Load(7.0, "jar"),), 1.0, 15 / 60, 1.0),
}
PUBLISHED = {"boiling-water canned": (0, 5), "pressure canned": (10 + 5, 60 + 10)}
"""Minutes before the process that are not heating up, and after it: typed from the issue, not read from the tables."""


def preserve(name: str, method: str, minutes: float, pounds: float | None = None) -> Preserve:
    """A load of seven jars, with the published waits of its method."""
    waits = waits_of(method)
    return Preserve(
        name, method, "jar", hands_minutes_load=15.0, equipment=(CANNERS[method].name,), load=7, process_minutes=minutes,
        vent_minutes=waits.vent_minutes, rise_minutes=waits.rise_minutes, rest_minutes=waits.rest_minutes,
        pressure_lb=pounds, process_text=f"{minutes:g} min",
    )  # fmt: skip


def home(*preserves: Preserve) -> Household:
    """One person, two burners and both canners, from 8 o'clock."""
    kitchen = Kitchen(DAY, burners=2.0, people=1.0, setup_hours_a_kind=0.0)
    return Household(kitchen, equipment=tuple(CANNERS.values()), preserves=preserves)


def test_constraint_audit_and_clock_have_the_same_minutes_for_every_row():
    """Heat up + vent 10 + rise 5 + process + fall + 10 under pressure; heat up + process + 5 in boiling water."""
    rows = all_processes()
    items = [preserve(f"row {place}", row.method, row.minutes, row.pressure_lb) for place, row in enumerate(rows)]
    household = home(*items)
    parameters = Parameters(household)
    assert len(items) > 1000
    for item in items:
        piece, (before, after) = CANNERS[item.method], PUBLISHED[item.method]
        heated = piece.heat_up_hours * 60 + before + item.process_minutes
        there = heated + after
        (load,) = loads_of(home(item), Session(DAY, item.name, 7.0))
        inside = [
            part for part in load.parts if part.takes and part.kind not in ("jars", "boil jars", "fill", "take out")
        ]
        burning = [part for part in inside if ("burners", 1) in part.takes]
        audited = dict(jobs(household, item))
        assert sum(part.minutes for part in inside) == pytest.approx(there), item
        assert sum(part.minutes for part in burning) == pytest.approx(heated), item
        assert parameters.process_hours(item) * 60 == pytest.approx(there)
        assert parameters.burner_hours(item) * 60 == pytest.approx(heated)
        assert audited[piece] * 60 == pytest.approx(there)


@pytest.mark.parametrize("method", sorted(CANNERS))
def test_the_audit_counts_burners_to_the_end_of_the_process(method):
    household = home(preserve("beans", method, 25.0))
    plan = Plan((Period(0, DAY, 1),), {("beans", 0): 7.0}, loads={("beans", 0): 1.0})
    heated = CANNERS[method].heat_up_hours * 60 + PUBLISHED[method][0] + 25
    assert stove_in(Tally(household, plan))[0] * 60 == pytest.approx(heated)


def listed(method: str) -> list[tuple[str, str, str]]:
    """The lines of the clock for one load, from the filling on: kind, start and words."""
    household = home(preserve("beans", method, 25.0))
    sessions = [Session(DAY, "beans", 7.0)]
    clock = on_the_clock(household, sessions)
    assert broken_promises(household, sessions, clock) == ()
    steps = [step for step in clock[0].steps if step.load and step.kind not in ("prepare", "jars")]
    return [(step.kind, f"{step.start:%H:%M}", step.words) for step in steps]


def test_the_lines_of_a_pressure_load():
    """Every published step is a line of its own; the process begins at full pressure and lasts all its minutes."""
    assert listed("pressure canned") == [
        ("fill", "08:00", "fill 7 jars; remove air bubbles, wipe rims, put on lids, screw bands fingertip-tight"),
        (
            "heat", "08:10",
            "set the jars in 2 to 3 inches of hot water, fasten the lid; heat until steam flows steadily",
        ),
        ("vent", "08:25", "vent 10 min in a steady flow of steam"),
        (
            "rise", "08:35",
            "put on the weight or close the petcock; ends when full pressure is reached (3 to 5 min)",
        ),
        ("process", "08:40", "process 25 min; start timing when full pressure is reached, and again if it drops"),
        ("cool", "09:05", "turn off the heat; let the canner depressurize on its own"),
        ("rest", "10:05", "take off the weight or open the petcock; wait 10 min"),
        ("lid", "10:15", "lift the lid away from your face"),
        ("take out", "10:15", "take out 7 jars with a jar lifter"),
        ("set down", "10:20", "let the jars cool upright on a towel or rack 12 to 24 h; do not move them or tighten the bands"),
    ]  # fmt: skip


def test_the_lines_of_a_boiling_water_load():
    assert listed("boiling-water canned") == [
        ("fill", "08:00", "fill 7 jars; remove air bubbles, wipe rims, put on lids, screw bands fingertip-tight"),
        ("heat", "08:10", "cover the jars with at least 1 inch of hot water; bring to a full boil"),
        ("process", "08:40", "process 25 min; start timing when the water is at a full boil"),
        ("rest", "09:05", "turn off the heat, take off the lid; wait 5 min"),
        ("take out", "09:10", "take out 7 jars with a jar lifter"),
        (
            "set down",
            "09:15",
            "let the jars cool upright on a towel or rack 12 to 24 h; do not move them or tighten the bands",
        ),
    ]


def test_the_waits_are_verified_rows_of_the_table_of_facts():
    rows = {row["key"]: row for row in table("facts")}
    for key, value in (("wait after weight removed", "10"), ("boiling water rest before lifting", "5")):
        assert (rows[key]["value"], rows[key]["status"]) == (value, "verified")
    assert rows["pressure rise after vent"]["value"] == "3-5"


def test_every_wait_inside_a_recipe_belongs_to_a_line_and_every_choice_to_a_row():
    products = {line.product for line in lines().values()}
    names = {row["key"] for row in table("standing")}
    for row in table("standing"):
        assert row["product"] in products, row["key"]
        assert float(row["hours_low"]) <= float(row["hours_high"])
        assert not row["instead_of"] or row["instead_of"] in names
    blanched = {key for key, line in lines().items() if line.method in ("frozen", "dried")}
    with (ROOT / "shared" / "handbook" / "blanching.csv").open(encoding="utf-8") as file:
        assert {row["key"] for row in csv.DictReader(file)} <= blanched


def test_every_row_of_recipe_steps_belongs_to_a_line():
    """A row of another name would print nothing, and nobody would miss it."""
    named = {(line.product, line.pack) if line.canned else (key, "") for key, line in lines().items()}
    rows = [(row["product"], row["pack"]) for row in table("recipe_steps")]
    assert set(rows) <= named
    assert len(rows) == len(set(rows))
