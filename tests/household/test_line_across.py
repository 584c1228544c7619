"""A fixed line of a week that lies across two weeks says where it is kept."""

from __future__ import annotations

import dataclasses

from tests.worked_examples import TUESDAY, day, home, jar, target

from stillroom.household.plan import Plan, periods
from stillroom.household.records import Lot, PlanLine
from stillroom.household.results.tables import tables


def test_a_line_across_two_weeks_is_kept_in_either() -> None:
    """From Sunday two of its seven days lie in the first week, and five in the second."""
    household = home((jar("juice", "tomato", 1.0),), (Lot("tomato", TUESDAY, 9.0),), (target("juice", 9),), 0, 2)
    household = dataclasses.replace(household, plan_lines=(PlanLine(day(5), 7, "juice", fix=3.0),))
    rows = tables(household, Plan(periods(household.kitchen), make={("juice", 0): 3.0}))["Plan"]
    (line,) = (row for row in rows if row["Day"] == day(5))
    assert (line["Make"], line["Keep at"]) == (None, 3)
    assert line["Uses"] == "kept in the week of Aug 18 or the week of Aug 25"
