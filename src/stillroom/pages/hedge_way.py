"""What it is worth to a household to plan for all harvests together: its workbook read, planned three ways, said."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

from stillroom.errors import WorkbookRefused
from stillroom.household.answer.seasons import worth_words
from stillroom.household.harvest_cases import harvest_cases
from stillroom.household.still_to_do import still_to_do
from stillroom.pages.way import Tell, read_workbook, silent


def hedging_words(path: Path, today: datetime.date, tell: Tell = silent) -> Sequence[str]:
    """
    Say what planning for all harvests together gains over planning for the likely one, and what knowing would.

    Takes as long as some three plans for all harvests; writes nothing. Points are those of the needs aims: a need of
    weight 1 that is filled from empty is worth 2.5. Raises WorkbookRefused with every problem that stops a plan.
    """
    reading = read_workbook(path, today)
    if reading.stops:
        raise WorkbookRefused(problem for problem in reading.problems if problem.stops)
    household = still_to_do(reading.household)
    if len(harvest_cases(household)) == 1:
        return ["No lot after tomorrow has a Least or a Most, so there is nothing to be unsure of."]
    from stillroom.planning.hedge.value import hedge_value  # the solver's room is slow to import

    tell("planning three ways")
    value = hedge_value(household)
    lines = ["Planned for all harvests together, against the likely one alone:"]
    lines += [f"  {words}" for words in worth_words(value.more())]
    for aim in value.aims:
        if aim.name.startswith("needs"):
            gain, known = (0.0 if abs(each) < 5e-3 else each for each in (aim.of_hedging, aim.of_knowing))
            lines.append(f"  {aim.name}: {gain:+.2f} {aim.unit}; knowing the harvest today would add {known:+.2f}")
    return lines
