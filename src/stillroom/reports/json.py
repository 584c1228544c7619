"""A plan as one JSON object, for other programs: the tables, the objectives, and the receipt of what was written."""

from __future__ import annotations

import dataclasses
import datetime
import json
import math
import re
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from stillroom.errors import Problem
from stillroom.household.plan import Hedge, ObjectiveResult
from stillroom.household.records import Household
from stillroom.household.refusals import refusals
from stillroom.household.results.commands import Receipt
from stillroom.household.results.rows import Row
from stillroom.reports.problems import sentences

Tables = Mapping[str, Sequence[Row]]


def snake(heading: str) -> str:
    """
    A table's or a column's name as a key.

    >>> snake("Hands-on h"), snake("On the shelf"), snake("Crop use")
    ('hands_on_h', 'on_the_shelf', 'crop_use')
    """
    return re.sub(r"\W+", "_", heading).strip("_").lower()


def plain(value: object) -> object:
    """
    Return a value as JSON has it: days in ISO form, paths as text, no infinities; records and lists too.

    A mapping of names to amounts becomes a list of `name` and `amount`, so that no key is a word of the household's.

    >>> plain(datetime.date(2026, 8, 14)), plain(math.inf), plain(7.5), plain({"jam": 2.0})
    ('2026-08-14', None, 7.5, [{'name': 'jam', 'amount': 2.0}])
    """
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat()
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, Path):
        return str(value)
    if isinstance(value, Mapping):
        return [{"name": name, "amount": plain(amount)} for name, amount in sorted(value.items())]
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    return as_json(value) if dataclasses.is_dataclass(value) else value


def as_json(record: object, *properties: str, leave_out: Collection[str] = ()) -> dict[str, object]:
    """
    Return a record as an object: its fields by their names, then these of its properties. Numbers are not rounded.

    >>> as_json(Path("a"), "name", "suffix")
    {'name': 'a', 'suffix': ''}
    """
    fields = dataclasses.fields(record) if dataclasses.is_dataclass(record) else ()
    names = [field.name for field in fields if field.name not in leave_out]
    return {name: plain(getattr(record, name)) for name in (*names, *properties)}


def tables_object(tables: Tables) -> dict[str, object]:
    """The tables by their keys, each a list of objects."""
    return {
        snake(name): [{snake(heading): plain(value) for heading, value in row.items()} for row in rows]
        for name, rows in tables.items()
    }


def objectives_json(objectives: Sequence[ObjectiveResult]) -> list[dict[str, object]]:
    """Return the objectives in the order solved."""
    return [as_json(objective, "name") for objective in objectives]


def problems_object(problems: Sequence[Problem]) -> list[dict[str, object]]:
    """Return problems as data and as sentences."""
    return [problem_object(one) for one in problems]


def problem_object(problem: Problem) -> dict[str, object]:
    """Return one problem: its place, its two sentences, and what they are made of."""
    what, fix = sentences(problem)
    return {
        "where": problem.where,
        "what": what,
        "fix": fix,
        "kind": problem.kind,
        "names": list(problem.names),
        "suggestion": problem.suggestion,
        "field": problem.field,
        "stops": problem.stops,
        "refuses": problem.refuses,
    }


def hedge_object(hedge: Hedge) -> dict[str, object]:
    """
    The seasons a plan is for.

    Each with its weight; until how many days all have one plan; and the objectives over all seasons, as expected.
    """
    seasons = [("likely", hedge.weight), *((season.name, season.weight) for season in hedge.seasons)]
    return {
        "seasons": [{"season": name, "weight": weight} for name, weight in seasons],
        "days_decided_now": hedge.decided_now,
        "objectives": objectives_json(hedge.objectives),
    }


def plan_json(
    tables: Tables,
    objectives: Sequence[ObjectiveResult],
    receipt: Receipt,
    hedge: Hedge | None = None,
    changed: Sequence[str] = (),
    errors: Sequence[Problem] = (),
) -> str:
    """
    A whole plan.

    Keys are the tables' names in lower snake_case, each a list of objects by column heading in lower snake_case; then
    `objectives`, `receipt`, `changes`: what went into the record, and what changed since the last plan; and
    `errors`: what keeps preserves out of the plan. A plan for several harvests has `hedge` too; its `objectives` are
    then those of the likely one.
    """
    whole = tables_object(tables) | {
        "objectives": objectives_json(objectives),
        "receipt": as_json(receipt),
        "changes": list(changed),
        "errors": problems_object(errors),
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


def errors_object(household: Household) -> dict[str, object]:
    """Return the errors for other programs: `errors`, each with its place and what to do."""
    return {"errors": problems_object(refusals(household))}
