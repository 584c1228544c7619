"""What a plan says: the rows of every output table, in the workbook's own units and unrounded."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.household.journal.overview import season_rows
from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.household.results.coverage import coverage_rows, crop_use_rows, shopping_rows, space_rows
from stillroom.household.results.messages import Caution, message_rows
from stillroom.household.results.plan_table import changes, plan_rows
from stillroom.household.results.rows import Row
from stillroom.household.results.sums import Sums

__all__ = ["Caution", "Row", "tables"]


def tables(
    household: Household,
    plan: Plan,
    problems: Sequence[Row] = (),
    cautions: Sequence[Caution] = (),
    typed: Household | None = None,
) -> dict[str, list[Row]]:
    """
    Rows of every output table, by table name and column heading.

    `household` is settled and `plan` audited; `problems` are rows of Messages. `typed` is the household before
    the record was taken off, for the season so far. Amounts are in the crop's own unit, space in the kitchen's unit,
    hours in h. Rows of Coverage and Space carry a `Unit` besides their columns. Nothing is rounded but to ten digits.
    """
    sums = Sums(household, plan)
    found = changes(sums)
    coverage = coverage_rows(sums)
    shopping = shopping_rows(sums)
    return {
        "Plan": plan_rows(sums, found),
        "Coverage": coverage,
        "Space": space_rows(sums),
        "Crop use": crop_use_rows(sums),
        "Shopping": shopping,
        "Season so far": season_rows(household if typed is None else typed),
        "Messages": message_rows(sums, problems, cautions, coverage, shopping, found.gone),
    }
