"""Checks of the method and the handbook line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.lines import nearest_line
from stillroom.handbook.safety.case import Case
from stillroom.household.records import METHODS


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
