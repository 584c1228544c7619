"""
The planner's needs and fed alone, for comparisons that would take all day with every aim.

The same programme, the same searches and the same holds as `planning.solve.plan`; left out are money, least change and
hands, and each search ends after a stated number of nodes (not of seconds: a busy machine gives the same plan). A plan
that is cut short is the best found by then, and the aims that are not proved are named with it.
"""

from __future__ import annotations

from dataclasses import replace

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.planning.highs import HighsSession
from stillroom.planning.objectives import worth_for
from stillroom.planning.solution import extract_plan
from stillroom.planning.solve import (
    Search,
    build,
    final_results,
    optimize,
    polish,
    with_full_segments,
    without_idle_setups,
)

NODES_OF_TARGETS = 1000
"""Nodes after which a target's search ends unproved; the product goes on to 10,000."""

NODES_OF_SURPLUS = 10
SURPLUS_GAP = 0.01
"""How close is close enough for what is surplus, which no verdict rests on; it is never called proved."""


def plan_targets(household: Household, nodes: int | None = NODES_OF_TARGETS) -> Plan:
    """
    Plan a household for its targets, then for the least fed; hours and money are whatever comes of it.

    `nodes` ends the search for a target; with None it goes on as long as the product's own.
    """
    parameters, variables = build(household)
    search = Search(parameters, variables, HighsSession(variables.model))
    for objective in worth_for(parameters):
        if objective.name.startswith("targets"):
            optimize(search, objective if nodes is None else replace(objective, node_limit=nodes))
        elif objective.name == "surplus":
            optimize(search, replace(objective, gap=SURPLUS_GAP, patient_gap=SURPLUS_GAP, node_limit=NODES_OF_SURPLUS))
    polish(search)
    search.best = without_idle_setups(search)
    search.best = with_full_segments(search)
    objectives = tuple(
        objective if objective.name != "surplus" else replace(objective, proved=False)
        for objective in final_results(search)
    )
    return extract_plan(parameters, variables, dict(zip(search.solver.columns, search.best, strict=True)), objectives)
