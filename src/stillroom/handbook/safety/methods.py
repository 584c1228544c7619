"""Checks of the method, the handbook line, and whether the preserve is safe at room temperature."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.jars import is_unlidded
from stillroom.handbook.lines import lines, nearest_line
from stillroom.handbook.safety.case import Case
from stillroom.household.records import METHODS

OPEN_PLACES = ("shelf", "cellar")


def method_known(case: Case) -> Iterator[Problem]:
    """
    Require one of the seven methods.

    Source: rule of this project, so that no unknown method passes for a safe one.
    """
    if case.preserve.method not in METHODS:
        yield case.problem("method unknown", case.preserve.method, ", ".join(METHODS))


def line_known(case: Case) -> Iterator[Problem]:
    """
    Require that a typed *Handbook line* is in the handbook.

    Source: rule of this project.
    """
    typed = (case.preserve.handbook_line or "").strip()
    if typed and case.typed_line is None:
        problem = case.problem("handbook line unknown", typed)
        yield replace(problem, suggestion=nearest_line(typed) or "", field="Handbook line")


def method_of_the_line(case: Case) -> Iterator[Problem]:
    """
    Require the method the line is published for.

    Source: the process tables; no time is published for that row by another method.
    """
    line = case.typed_line
    if line is not None and case.preserve.method in METHODS and line.method != case.preserve.method:
        yield case.problem("method not published", line.key, line.method, case.preserve.method)


def sealed_on_the_shelf(case: Case) -> Iterator[Problem]:
    """
    Require that a closed container on the shelf or in the cellar is canned, or dried as published.

    A box, basket, sack, bin or open crock is exempt. Source: AIB 539 (1994), Guide 1: poison forms at 40-120 F
    with almost no oxygen.
    """
    preserve = case.preserve
    if preserve.method == "frozen" and preserve.kept_in != "freezer":
        yield case.problem("unsealed on the shelf: frozen")
        return
    unlidded = case.container is not None and is_unlidded(case.container)
    if preserve.kept_in not in OPEN_PLACES or case.canned or unlidded:
        return
    if preserve.method == "dried":
        if case.line is None and not _dried_by_table(case):
            yield case.problem("unsealed on the shelf: dried")
        return
    yield case.problem("unsealed on the shelf", preserve.method)


def _dried_by_table(case: Case) -> bool:
    """Return whether every food of an own dried recipe is in the drying table, for at least the published hours."""
    minutes = case.preserve.minutes_typed or 0.0
    rows = [line for line in lines().values() if line.method == "dried"]
    unknown = [part for part in case.parts if part.unknown]
    for kind in case.foods:
        hours = [line.hours_low or 0.0 for line in rows if kind in line.foods]
        if not hours or minutes < 60 * max(hours):
            return False
    return bool(case.foods) and not unknown
