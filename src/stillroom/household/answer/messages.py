"""The rows of the Messages table: what to look at, what is worth knowing, and the cautions with their source."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Protocol

from stillroom.errors import Problem
from stillroom.household.answer.run_out import run_out_rows
from stillroom.household.answer.seasons import season_rows
from stillroom.household.answer.starved import starved_rows
from stillroom.household.answer.sums import ALMOST, Sums
from stillroom.household.answer.units import Row, Value, in_crop_unit
from stillroom.household.answer.words import amount_words, count_words, listed, period_words
from stillroom.household.periods import Period
from stillroom.household.plan import Breach
from stillroom.household.records import FREEZE_WHOLE, THAW, PlanLine

LOOK, NOTE, CAUTION = "look", "note", "caution"
LOOK_KINDS = frozenset(
    {
        "older copy",
        "seal failed",
        "count differs",
        "made twice",
        "past line not recorded",
        "learned outlier",
        "table empty",
        "lot past keeping",
        "lot below zero",
        "stock below zero",
        "no container to be had",
        "fixed line unknown",
        "fixed line past",
        "fixed line refused",
        "fixed line twice",
        "from memory",
        "own recipe",
        "matched to nothing",
        "date far away",
        "hours above people",
        "smaller than needed",
    }
)
"""Kinds of problem that change the plan or the safety of it; the others are notes."""
MOST_GONE = 12
"""So many lines that are gone are named, three in a message."""


class Caution(Protocol):
    """A caution of the handbook: its words and where they come from."""

    @property
    def text(self) -> str:
        """The caution in a sentence or two."""

    @property
    def source(self) -> str:
        """The publication."""


def message_rows(
    sums: Sums,
    problems: Sequence[Problem],
    cautions: Sequence[Caution],
    coverage: Sequence[Row],
    shopping: Sequence[Row],
    gone: Sequence[PlanLine],
) -> list[Row]:
    """What to look at first, then notes, then cautions."""
    rows = [breach_row(sums, breach) for breach in sums.plan.breaches]
    rows += [said(LOOK, *words) for words in run_out_rows(sums, coverage)]
    rows += [said(severity(sums, p), p.where, p.what, p.fix) for p in problems if not p.stops]
    rows += season_rows(sums) + unproved_rows(sums) + gone_rows(sums, gone)
    rows += [said(LOOK, *words) for words in starved_rows(sums, coverage)]
    rows += over_limit_rows(sums, shopping)
    rows += [said(CAUTION, caution.source, caution.text, "") for caution in cautions]
    order = (LOOK, NOTE, CAUTION)
    return sorted(rows, key=lambda row: order.index(str(row["Severity"])))


def severity(sums: Sums, problem: Problem) -> str:
    """Whether a problem changes this plan or its safety; a figure from memory does only where its preserve is made."""
    if problem.kind == "from memory":
        items = [item for item in sums.household.preserves if item.where and item.where == problem.where]
        if items and all(sums.plan.made(item.name) <= ALMOST for item in items):
            return NOTE
    return LOOK if problem.kind in LOOK_KINDS else NOTE


def said(severity: str, where: str, what: str, what_to_do: str) -> Row:
    """One message."""
    return {"Severity": severity, "Where": where or None, "What": what, "What to do": what_to_do or None}


def breach_row(sums: Sums, breach: Breach) -> Row:
    """A fixed line that could not be kept, with the limits it ran into."""
    period = sums.periods[breach.period]
    crop = next(
        (
            sums.crop_named[breach.name.removeprefix(start)]
            for start in (FREEZE_WHOLE, THAW)
            if breach.name.startswith(start)
        ),
        None,
    )
    typed, short = breach.typed, breach.short
    if crop is not None:
        typed, short = in_crop_unit(typed, crop), in_crop_unit(short, crop)
    unit = "" if crop is None else f" {crop.unit}"
    ran_into = f"; it runs into {listed(list(breach.limits))}" if breach.limits else ""
    when = f"{'on' if period.single else 'in'} {period_words(period.first_day, period.days)}"
    away = f"{amount_words(abs(short))}{unit} {'short' if short > 0 else 'over'}"
    what = f"{breach.name} {when} is fixed at {amount_words(typed)}{unit} and the plan is {away}{ran_into}"
    more = f"find more ({listed(list(breach.limits), 2)}), or " if breach.limits else ""
    return said(LOOK, breach.where or typed_at(sums, breach, period), what, f"{more}change Fix")


def typed_at(sums: Sums, breach: Breach, period: Period) -> str:
    """Where the fixed line of a breach stands in the workbook."""
    for line in sums.household.plan_lines:
        if line.fix is not None and line.name == breach.name and abs((line.day - period.first_day).days) < line.days:
            return line.where
    return "Plan"


def unproved_rows(sums: Sums) -> list[Row]:
    """The aims whose value was not proved to be the best within the aim's own gap."""
    return [
        said(
            NOTE,
            f"aim: {aim.name}",
            f"reached {amount_number(aim.value)} {aim.unit}; better than {amount_number(aim.bound)} is not possible, "
            f"and nothing between was ruled out{f' ({aim.stopped})' if aim.stopped else ''}",
            "the plan keeps every rule; planning again with more time may better it a little",
        )
        for aim in sums.plan.aims
        if not aim.proved
    ]


def amount_number(value: float) -> str:
    """
    A number of an aim, to four figures.

    >>> amount_number(12.34567), amount_number(0.0), amount_number(1234567.0)
    ('12.35', '0', '1.235e+06')
    """
    return f"{value:.4g}"


def gone_rows(sums: Sums, gone: Sequence[PlanLine]) -> list[Row]:
    """Lines of the former plan of which nothing is left and nothing is kept."""
    words = []
    for line in gone:
        crop = sums.crop_named.get(line.name.removeprefix(FREEZE_WHOLE).removeprefix(THAW))
        by = count_words(line.make or 0.0, whole=line.days == 1)
        if crop is not None and line.name not in sums.preserve_named:
            by = f"{amount_words(in_crop_unit(line.make or 0.0, crop), crop.unit)} {crop.unit}"
        words.append(f"{line.name} ({by}, {period_words(line.day, line.days)})")
    shown = words[:MOST_GONE]
    if len(words) > MOST_GONE:
        shown = [*shown, f"and {len(words) - MOST_GONE} more"]
    fix = "write a number in Fix to keep a line"
    together = ["; ".join(shown[place : place + 3]) for place in range(0, len(shown), 3)]
    return [said(NOTE, "Plan", f"no longer planned: {several}", fix) for several in together]


def number(value: Value) -> float:
    """The number in a cell, 0 when it holds none."""
    return float(value) if isinstance(value, int | float) else 0.0


def over_limit_rows(sums: Sums, shopping: Sequence[Row]) -> list[Row]:
    """Say when whole measures of larder come to more than the spending limit."""
    limit = sums.household.kitchen.spending_limit
    total = sum(number(row["Cost"]) for row in shopping)
    if math.isinf(limit) or total <= limit + 0.005:
        return []
    what = f"in whole measures the shopping comes to {total:.2f}, {total - limit:.2f} above the spending limit"
    return [said(NOTE, "Shopping", what, "buy loose, or share a bag")]
