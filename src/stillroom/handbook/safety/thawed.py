"""Crop that was frozen whole: only in the cooked lines that allow it."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.parts import Part
from stillroom.handbook.safety.case import Case
from stillroom.handbook.words import tokens


def _thawed(case: Case, part: Part) -> bool:
    if part.through:
        return case.canned and part.source == "crop" and "frozen" in part.ways
    return part.from_frozen or (case.canned and bool(part.kinds) and "frozen" in tokens(part.item))


def _instead(part: Part) -> str:
    return "write no under May be from frozen" if part.from_frozen or part.through else "use it fresh"


def thawed_only_cooked(case: Case) -> Iterator[Problem]:
    """
    Thawed crop goes only into lines that are cooked down and allow it, never into whole packs.

    Crop that comes by a preserve kept in the freezer is thawed crop too, and so is what is called frozen by its name.

    Source: K-State You Asked It 2024: crushed hot pack, juice and sauce only; unsweetened frozen fruit for jam.
    """
    for part in case.parts:
        if not _thawed(case, part):
            continue
        if case.line is not None and not case.line.thawed:
            yield case.problem(
                "frozen crop not allowed",
                f"{part.named} may not come from the freezer in *{case.line.key}*",
                f"{_instead(part)}; thawed crop goes into juice, sauce, crushed hot pack and jam",
                part.where,
            )
        elif case.line is None and case.canned:
            yield case.problem(
                "frozen crop not allowed",
                f"{part.named} may not come from the freezer in a canned recipe of your own",
                f"{_instead(part)}, or follow a handbook line that allows it",
                part.where,
            )
