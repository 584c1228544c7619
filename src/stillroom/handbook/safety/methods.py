"""Whether the way is one of the seven, the line is known and the two agree, and whether it may stand on the shelf."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.jars import is_unlidded
from stillroom.handbook.lines import lines, nearest_line
from stillroom.handbook.safety.case import Case
from stillroom.household.records import METHODS

OPEN_PLACES = ("shelf", "cellar")


def method_known(case: Case) -> Iterator[Problem]:
    """
    *Method* is one of the seven words; any other stops.

    Source: rule of this project, so that nothing unknown passes for a safe way.
    """
    if case.preserve.method not in METHODS:
        yield case.problem(
            "way unknown",
            f"*{case.preserve.method}* is not a way of keeping food",
            f"choose one of: {', '.join(METHODS)}",
        )


def line_known(case: Case) -> Iterator[Problem]:
    """
    A *Handbook line* that is typed must be in the handbook.

    Source: rule of this project; a line nobody can look up protects nobody.
    """
    typed = (case.preserve.handbook_line or "").strip()
    if typed and case.typed_line is None:
        near = nearest_line(typed)
        fix = (
            f"did you mean *{near}*?"
            if near
            else "correct it (`stillroom handbook` lists them all), or leave it blank for an own recipe"
        )
        yield case.problem("handbook line unknown", f"the handbook has no line *{typed}*", fix)


def method_of_the_line(case: Case) -> Iterator[Problem]:
    """
    A line is planned in its published way only.

    Source: the process tables; no time is published for that row in another way.
    """
    line = case.typed_line
    if line is not None and case.preserve.method in METHODS and line.method != case.preserve.method:
        yield case.problem(
            "way not published",
            f"the line *{line.key}* is for {line.method}, not {case.preserve.method}",
            f"write {line.method} under Way, or choose another line",
        )


def sealed_on_the_shelf(case: Case) -> Iterator[Problem]:
    """
    What stands on the shelf or in the cellar with a lid on must be canned, or dried to the published state.

    A box, basket, sack, bin or open crock is free of this. Source: AIB 539 (1994), Guide 1: poison forms at 40-120 F
    with almost no oxygen.
    """
    preserve = case.preserve
    if preserve.method == "frozen" and preserve.kept_in != "freezer":
        yield case.problem("unsealed on the shelf", "frozen food is kept in the freezer", "write freezer under Kept in")
        return
    unlidded = case.container is not None and is_unlidded(case.container)
    if preserve.kept_in not in OPEN_PLACES or case.canned or unlidded:
        return
    if preserve.method == "dried":
        if case.line is None and not _dried_by_table(case):
            yield case.problem(
                "unsealed on the shelf",
                "no published drying of this food is known, so it may not stand on the shelf",
                "name the handbook line it follows, or keep it in the freezer",
            )
        return
    yield case.problem(
        "unsealed on the shelf",
        f"{preserve.method} food in a closed container may not stand on the {preserve.kept_in}",
        "write refrigerator or freezer under Kept in, or can or dry it",
    )


def _dried_by_table(case: Case) -> bool:
    """Whether an own dried recipe is of one food of the drying table, for at least the published hours."""
    minutes = case.preserve.minutes_typed or 0.0
    rows = [line for line in lines().values() if line.method == "dried"]
    unknown = [part for part in case.parts if part.unknown]
    for kind in case.foods:
        hours = [line.hours_low or 0.0 for line in rows if kind in line.foods]
        if not hours or minutes < 60 * max(hours):
            return False
    return bool(case.foods) and not unknown
