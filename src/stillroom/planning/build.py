"""The programme, built once: decisions made, every rule's rows added."""

from __future__ import annotations

from collections.abc import Mapping

from stillroom.household.records import Household
from stillroom.planning.decisions import Decisions, decide
from stillroom.planning.expressions import Programme
from stillroom.planning.facts import Facts
from stillroom.planning.rules import RULES
from stillroom.planning.show import Rule


def build(household: Household, rules: Mapping[str, Rule] = RULES) -> tuple[Facts, Decisions]:
    """
    Build the programme of a settled household with these rules; the programme hangs on the decisions.

    Raises KeyError when two rows or decisions would get one name.
    """
    facts = Facts(household)
    decisions = decide(facts, Programme("stillroom"))
    for rule in rules.values():
        for label, row in rule(facts, decisions):
            decisions.programme.add(label, row)
    return facts, decisions
