"""The sentences of every problem, by kind: what is wrong, what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stillroom.reports.safety_problems import TEXTS as SAFETY_TEXTS

if TYPE_CHECKING:
    from stillroom.errors import Problem

TEXTS: dict[str, tuple[str, str]] = SAFETY_TEXTS | {}


def sentences(problem: Problem) -> tuple[str, str]:
    """Return what is wrong and what to do."""
    if problem.what:
        return problem.what, problem.fix
    cause = sentences(problem.cause[0])[0] if problem.cause else ""
    what, fix = (text.format(*problem.names, field=problem.field, cause=cause) for text in TEXTS[problem.kind])
    return what, f"Did you mean {problem.suggestion}? {fix}" if problem.suggestion else fix


def line(problem: Problem) -> str:
    """Return where it is, what is wrong and what to do in one line."""
    what, fix = sentences(problem)
    return f"{problem.where}: {what}; {fix}"
