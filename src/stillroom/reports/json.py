"""A plan as one JSON object, for other programs: the tables, the aims, and the receipt of what was written."""

from __future__ import annotations

import datetime
import json
import math
import re
from collections.abc import Mapping, Sequence

from stillroom.errors import Problem
from stillroom.household.plan import Hedge, ObjectiveResult
from stillroom.household.results.receipt import Receipt
from stillroom.household.results.values import Row

Tables = Mapping[str, Sequence[Row]]


def snake(heading: str) -> str:
    """
    A table's or a column's name as a key.

    >>> snake("Hands h"), snake("On the shelf"), snake("Crop use")
    ('hands_h', 'on_the_shelf', 'crop_use')
    """
    return re.sub(r"\W+", "_", heading).strip("_").lower()


def plain(value: object) -> object:
    """
    A value as JSON has it: days in ISO form, no infinities.

    >>> plain(datetime.date(2026, 8, 14)), plain(math.inf), plain(7.5)
    ('2026-08-14', None, 7.5)
    """
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat()
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def tables_object(tables: Tables) -> dict[str, object]:
    """The tables by their keys, each a list of objects."""
    return {
        snake(name): [{snake(heading): plain(value) for heading, value in row.items()} for row in rows]
        for name, rows in tables.items()
    }


def objectives_object(objectives: Sequence[ObjectiveResult]) -> list[dict[str, object]]:
    """The aims in the order solved."""
    return [
        {
            "name": objective.name,
            "value": plain(objective.value),
            "unit": objective.unit,
            "bound": plain(objective.bound),
            "proved": objective.proved,
            "seconds": round(objective.seconds, 3),
        }
        for objective in objectives
    ]


def receipt_object(receipt: Receipt) -> dict[str, object]:
    """What was written; `written` is false when the workbook holds this plan already."""
    return {
        "written": receipt.written,
        "members_kept": receipt.members_kept,
        "members_changed": list(receipt.members_changed),
        "members_added": list(receipt.members_added),
        "cells_written": receipt.cells_written,
        "results_cleared": list(receipt.results_cleared),
        "cleared_to_be_safe": list(receipt.cleared_to_be_safe),
        "backup": None if receipt.backup is None else str(receipt.backup),
        "path": str(receipt.path),
    }


def problems_object(problems: Sequence[Problem]) -> list[dict[str, str]]:
    """Problems as where, what, fix."""
    return [{"where": one.where, "what": one.what, "fix": one.fix} for one in problems]


def hedge_object(hedge: Hedge) -> dict[str, object]:
    """
    The seasons a plan is for.

    Each with its weight; until how many days all have one plan; and the aims over all seasons, by their expectation.
    """
    seasons = [("likely", hedge.weight), *((season.name, season.weight) for season in hedge.seasons)]
    return {
        "seasons": [{"season": name, "weight": weight} for name, weight in seasons],
        "days_decided_now": hedge.decided_now,
        "objectives": objectives_object(hedge.objectives),
    }


def plan_json(
    tables: Tables,
    objectives: Sequence[ObjectiveResult],
    receipt: Receipt,
    hedge: Hedge | None = None,
    said: Sequence[str] = (),
) -> str:
    """
    A whole plan.

    Keys are the tables' names in lower snake_case, each a list of objects by column heading in lower snake_case; then
    `objectives`, `receipt`, and `said`: what went into the record, and what changed since the last plan. A plan that
    stands in the workbook already has no aims: they were not worked out again. A plan for several harvests has `hedge`
    too; its `objectives` are then those of the likely one.
    """
    whole = tables_object(tables) | {
        "objectives": objectives_object(objectives),
        "receipt": receipt_object(receipt),
        "said": list(said),
    }
    return text(whole if hedge is None else whole | {"hedge": hedge_object(hedge)})


def problems_json(problems: Sequence[Problem]) -> str:
    """What stops a plan, when there is none."""
    return text({"problems": problems_object(problems)})


def error_json(words: str) -> str:
    """Any other reason why there is no plan, in a sentence."""
    return text({"error": words})


def text(content: Mapping[str, object]) -> str:
    """The object as text, readable and the same every time."""
    return json.dumps(content, ensure_ascii=False, indent=2, allow_nan=False)
