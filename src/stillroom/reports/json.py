"""A plan as one JSON object, for other programs: the tables, the aims, and the receipt of what was written."""

from __future__ import annotations

import datetime
import json
import math
import re
from collections.abc import Mapping, Sequence

from stillroom.errors import Problem
from stillroom.household.plan import Hedge, ObjectiveResult
from stillroom.household.records import Household, Target
from stillroom.household.results.compare import shop_worth
from stillroom.household.results.values import Row, cell_number
from stillroom.planning.bottlenecks.gains import Gain
from stillroom.planning.bottlenecks.search import BottleneckGain, BottlenecksFound
from stillroom.reports.problems import sentences
from stillroom.reports.terminal.bottlenecks import bottleneck_rows, cost_of, meals_of
from stillroom.workbook.ooxml.book import Receipt

Tables = Mapping[str, Sequence[Row]]


def snake(heading: str) -> str:
    """
    A table's or a column's name as a key.

    >>> snake("Hands-on h"), snake("On the shelf"), snake("Crop use")
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
    }


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


# What holds a plan back, for other programs: the rows of the table Limits with every gain in plain figures.


def bottlenecks_object(household: Household, found: BottlenecksFound) -> dict[str, object]:
    """
    `bottlenecks`, a list with an object for each row, the one that gives most first, and `not_tried`, their names.

    Each has the columns of the table in lower snake_case, and: `gain` of one natural unit more, `one_less` of one less
    (null: not asked), `together_with` (`one_more`, `gain`) of the limit it helps with, `an_hour` (`containers`,
    `meals`) for hours that help, `price` of one more (null: it has none), `costs` with what is bought for more because
    of it, and, in the unit of the row, `helps_up_to` how much more helps at all, whether its `end_was_seen`, and
    `holds_from` (below nothing: fewer) to `holds_to`, between which each counts about as much.
    """
    rows = []
    for held, row in zip(found.held, bottleneck_rows(household, found), strict=True):
        entry: dict[str, object] = {snake(name): value for name, value in row.items()}
        entry["gain"] = gain_object(household, held.one_more)
        entry["one_less"] = None if held.one_less is None else gain_object(household, held.one_less)
        entry["together_with"] = None
        if held.with_other is not None:
            other, both = held.with_other
            entry["together_with"] = {"one_more": other.step_words, "gain": gain_object(household, both)}
        entry["an_hour"] = an_hour(household, held)
        entry["price"] = held.bottleneck.price
        entry["costs"] = None if held.bottleneck.price is None else cell_number(cost_of(held))
        rows.append(entry | range_object(held))
    return {"limits": rows, "not_tried": [one.bottleneck.words for one in found.untried]}


def range_object(held: BottleneckGain) -> dict[str, object]:
    """Over which amounts the gain holds, in the unit of the row."""
    far, unit = held.range, held.bottleneck.step * held.bottleneck.shown
    if far is None:
        return {"helps_up_to": None, "end_was_seen": False, "holds_from": None, "holds_to": None}
    return {
        "helps_up_to": cell_number(far.helps_to * unit),
        "end_was_seen": far.seen_end,
        "holds_from": cell_number(far.least * unit),
        "holds_to": cell_number(far.most * unit),
    }


def gain_object(household: Household, gain: Gain) -> dict[str, object]:
    """A gain in plain figures: needs in their own units, containers, meals, weight in kg, money, what the shop asks."""
    worth, unpriced = shop_worth(household, gain.targets)
    return {
        "helps": gain.helps,
        "kept_fixed": cell_number(gain.kept_fixed),
        "targets": {name: cell_number(change) for name, change in sorted(gain.targets.items())},
        "list": [target_object(target, gain) for target in household.targets if target.name in gain.targets],
        "containers": cell_number(sum(gain.containers.values())),
        "meals": cell_number(meals_of(household, gain)),
        "less_surplus_kg": cell_number(gain.less_surplus_kg),
        "spent": cell_number(gain.spent),
        "shop_worth": cell_number(worth),
        "without_shop_price": list(unpriced),
        "proved": gain.proved,
    }


def target_object(target: Target, gain: Gain) -> dict[str, object]:
    """What one need gains."""
    change = gain.targets[target.name]
    return {
        "target": target.name,
        "importance": target.importance,
        "amount": cell_number(change),
        "unit": target.unit or None,
        "containers": cell_number(gain.containers.get(target.name, 0.0)),
        "meals": None if target.meals_each is None else cell_number(change * target.meals_each),
    }


def an_hour(household: Household, held: BottleneckGain) -> dict[str, object] | None:
    """What hours give by the hour; None for what is not hours, and where they do not help."""
    gain, hours = held.one_more, held.bottleneck.hours
    if not hours or not gain.helps:
        return None
    return {
        "containers": cell_number(sum(gain.containers.values()) / hours),
        "meals": cell_number(meals_of(household, gain) / hours),
        "hours": hours,
    }
