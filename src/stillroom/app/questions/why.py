"""Why a preserve is not in the plan, or a need falls short: the way from a workbook to a few plain sentences."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.plan import (
    Reading,
    at_their_cells,
    audited_plan,
    filled_cells,
    read_for_the_likely,
    read_workbook,
    readable,
)
from stillroom.errors import CommandWrong, Problem
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.household.journal import stocks
from stillroom.household.names import Names, unknown
from stillroom.household.plan import Progress
from stillroom.household.records import Preserve
from stillroom.household.results.bottlenecks import Answer
from stillroom.planning.why import why_preserve, why_target
from stillroom.reports.json import text
from stillroom.reports.refused import error_lines, errors_object
from stillroom.reports.terminal.why import answer_lines, answer_object

if TYPE_CHECKING:
    pass


def asked(path: Path, name: str, today: datetime.date, progress: Progress) -> Answer:
    """
    Find why a preserve is not made (or not more of it), or why a need falls short.

    Raises CommandWrong when nothing is called so, WorkbookRefused when something stops the plan.
    """
    first = read_workbook(path, today)
    preserves = Names("preserve", (item.name for item in first.household.preserves))
    targets = Names("target", (target.name for target in first.household.targets))
    target, preserve = targets.find(name), preserves.find(name)
    if target is None and preserve is None:
        what, fix = unknown(name, preserves, targets, table="the workbook")
        msg = f"{what}; {fix}"
        raise CommandWrong(msg)
    answer = Answer(name, first.household)
    if preserve is not None:
        item = first.household.preserve(preserve)
        if not item.include:
            refused = item.refused or refused_by_handbook(first, item)
            answer = replace(answer, not_made=item, refused=refused)
            preserve = None
    if target is None and preserve is None:
        return answer
    first, likely = read_for_the_likely(readable(path, today))
    household, plan = audited_plan(first, None, progress)
    progress("looking for what is missing")
    return replace(
        answer,
        household=household,
        likely=likely,
        target=None if target is None else why_target(household, plan, target),
        preserve=None if preserve is None else why_preserve(household, plan, preserve),
    )


def refused_by_handbook(reading: Reading, item: Preserve) -> tuple[Problem, ...]:
    """What of a preserve with Include = no the handbook would refuse if it were yes."""
    counted, _ = stocks.settle(reading.typed)
    settled, _ = settle_by_handbook(counted.changed("preserves", item.name, include=True))
    return tuple(at_their_cells(settled.preserve(item.name).refused, filled_cells(reading.book)))


def why(path: Path, name: str, today: datetime.date, progress: Progress) -> tuple[str, ...]:
    """
    Say in a few sentences why a preserve is not made, or a need falls short, after the errors of other preserves.

    Raises what `asked` raises.
    """
    answer = asked(path, name, today, progress)
    return (*error_lines(answer.household, but=answer.refused), *answer_lines(answer))


def why_json(path: Path, name: str, today: datetime.date, progress: Progress) -> str:
    """Give the same for other programs; raises what `asked` raises."""
    answer = asked(path, name, today, progress)
    return text(answer_object(answer) | errors_object(answer.household))
