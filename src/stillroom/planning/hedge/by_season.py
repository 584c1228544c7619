"""The late aims, season by season: the work of one season is decided while that of the others stands still."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

from stillroom.household.harvest_cases import LIKELY
from stillroom.planning.aims import Aim
from stillroom.planning.effort import Effort
from stillroom.planning.hedge.cases import Case, Joint
from stillroom.planning.limits.early import relaxed
from stillroom.planning.solve import PATIENT_NODES, Search, hold, reach, trivial_result

ALIKE_HOURS = 0.02
"""
What a container that a season makes otherwise than the likely one counts beside the hours of hands.

A choice of this project, without a source: large enough to keep equal days equal, too small to move a load.
"""

MOST_NODES = 60
"""Nodes after which the search for one season ends: 400 took ten times as long on a demo household, no fewer hours."""

SMALL = 300
"""So many whole numbers are decided for all seasons at once; the demo households have some 1,300."""

SEASON_BY_SEASON = "decided season by season"
"""Why a late aim is not proved: all seasons at once took ten times as long and stayed further from their bound."""


def reach_late(search: Search, joint: Joint, aim: Aim, apart: Mapping[str, dict[int, float]]) -> None:
    """Reach a late aim: all seasons at once in a small programme, and then as alike as it allows; else by season."""
    if len(joint.cases) > 1 and sum(search.solver.whole) > SMALL:
        reach_by_season(search, joint, aim, apart)
        return
    reach(search, aim)
    for case in joint.cases:
        if case.name in apart:
            one_season(search, joint, case, aim, search.costs[-1], apart[case.name])


def reach_by_season(search: Search, joint: Joint, aim: Aim, apart: Mapping[str, dict[int, float]]) -> None:
    """
    Reach an aim to be made least in one season after the other, the likely one first, and hold it.

    What is decided now stays free with the likely season, and so do amounts in the others' weeks. `apart` are the costs
    of being different from it, by season. The bound is that of the programme in which nothing has to be whole.
    """
    began = time.monotonic()
    costs = search.solver.vector(aim.terms(search.facts, search.decide))
    search.costs.append(costs)
    search.aims.append(aim)
    result = trivial_result(search, aim, costs)
    if result is None:
        bound = relaxed(search, aim)
        for case in sorted(joint.cases, key=lambda case: case.name != LIKELY):
            one_season(search, joint, case, aim, costs, apart.get(case.name, {}))
        value = sum(cost * (search.best or ())[column] for column, cost in costs.items())
        proved = value - bound <= max(aim.patient_gap * abs(value), aim.close_enough)
        seconds = time.monotonic() - began
        stopped = "" if proved else SEASON_BY_SEASON
        result = aim.result(value, bound, proved=proved, seconds=seconds, stopped=stopped)
    search.results.append(result)
    hold(search, aim, costs, result.value)


def one_season(
    search: Search, joint: Joint, case: Case, aim: Aim, costs: Mapping[int, float], apart: Mapping[int, float]
) -> None:
    """Decide one season's days anew, while those of all other seasons stand as they are."""
    hours = {column: ALIKE_HOURS * case.weight * cost for column, cost in apart.items()}
    search.solver.aim_at({**hours, **costs}, most=False)
    with standing_still(search, others_of(search, joint, case)):
        outcome = search.solver.run(search.best, effort(aim), search.seconds_left())
    if outcome.found:
        search.best = outcome.columns


def effort(aim: Aim) -> Effort:
    """The effort for one season: the aim's own gap over all seasons, and fewer nodes."""
    nodes = min(aim.last_nodes, MOST_NODES)
    return Effort(aim.gap, aim.close_enough, aim.patient_gap, PATIENT_NODES, nodes, aim.helped_by, aim.trials)


def others_of(search: Search, joint: Joint, case: Case) -> list[int]:
    """
    The columns that stand still for one season.

    For the likely one the whole numbers of the others' later days; for any other all that is not its own.
    """
    own = f"{case.name}."
    others = tuple(f"{other.name}." for other in joint.cases if other.name != case.name)
    columns, whole = search.solver.columns, search.solver.whole
    if case.name == LIKELY:
        return [column for name, column in columns.items() if whole[column] and name.startswith(others)]
    return [column for name, column in columns.items() if not name.startswith(own)]


@contextmanager
def standing_still(search: Search, columns: Sequence[int]) -> Iterator[None]:
    """Hold whole numbers where they are, and give them their own ends back."""
    highs, best = search.solver.highs, search.best or ()
    model = highs.getLp()
    ends = [(column, model.col_lower_[column], model.col_upper_[column]) for column in columns]
    for column in columns:
        value = round(best[column]) if search.solver.whole[column] else best[column]
        highs.changeColBounds(column, value, value)
    try:
        yield
    finally:
        for column, lower, upper in ends:
            highs.changeColBounds(column, lower, upper)
