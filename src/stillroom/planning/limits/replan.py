"""A plan made quickly again for a changed household: fixed lines and needs, then little lost, money and crop fed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import highspy

from stillroom.errors import StillroomError
from stillroom.household.answer.sums import Sums
from stillroom.household.audit import broken_rules
from stillroom.household.plan import AimResult, Plan
from stillroom.household.records import Household
from stillroom.planning.aims import Aim, aims_for
from stillroom.planning.build import build
from stillroom.planning.decisions import Decisions
from stillroom.planning.expressions import Sum, at_least
from stillroom.planning.facts import Facts
from stillroom.planning.handover import Effort, Solver
from stillroom.planning.limits.start import columns_of
from stillroom.planning.read_off import read_off
from stillroom.planning.solve import Search, reach, without_idle_setups

WORTH_SAYING_KG = 0.5
"""A change of the crop fed, as its aim weighs it, below which it is neither looked for nor said: about a pound."""

GIVEN_UP = 4e-4
"""What earlier needs aims may give up together, as a share of them: so much more of a later one is no sure gain."""


@dataclass(frozen=True)
class Quick:
    """
    What a quick plan reaches: plain figures that can be sent from one process to another.

    `aims` are fixed lines and needs at the moment they were reached, before a later aim gave anything up. `filled` is
    how far each need is filled, at most as wanted, in its unit; `fed_kg` is what is fed or spoils; `spent` is money.
    `made` counts containers by preserve. `fed` is the aim of that name, None when only the needs were asked for.
    """

    aims: tuple[AimResult, ...]
    filled: Mapping[str, float]
    fed_kg: float
    spent: float
    made: Mapping[str, float] = field(default_factory=dict)
    fed: AimResult | None = None

    @property
    def proved(self) -> bool:
        """Whether every fixed line and every need is proved to be as good as it can be."""
        return all(aim.proved for aim in self.aims)


def sendable(household: Household) -> Household:
    """Give the same household in plain mappings, so that it can be sent to another process."""
    return replace(household, needs=tuple(replace(need, counts=dict(need.counts)) for need in household.needs))


def sendable_plan(plan: Plan) -> Plan:
    """Give the same plan in plain mappings, so that it can be sent to another process."""
    plain: dict[str, Any] = {name: dict(value) for name, value in vars(plan).items() if isinstance(value, Mapping)}
    return replace(plan, **plain)


def filled_by(household: Household, plan: Plan) -> dict[str, float]:
    """How far a plan fills each need, what is good on the shelf included, at most as wanted; in the need's unit."""
    sums = Sums(household, plan)
    found = {}
    for need in household.needs:
        there = sum(
            each * (sums.good_on_shelf.get(name, 0.0) + sums.net_made(name)) for name, each in need.counts.items()
        )
        found[need.name] = max(0.0, min(need.wanted, there))
    return found


def quick_plan(
    household: Household,
    at_hand: Plan | None = None,
    before: Quick | None = None,
    *,
    needs_only: bool = False,
    forced: tuple[str, float] | None = None,
) -> Quick:
    """
    Plan a settled household quickly, starting from the plan at hand.

    The same aims in the same order as a full plan, but without least change and hands. With `before`, what the plan at
    hand reached: a need aim that is not proved to gain is held where it was, and within the needs as little as possible
    of what each need had is lost, so that a difference between the two is a gain or a loss and not another way to the
    same end. With `needs_only` money and crop fed are left as they fall. `forced` is a preserve and how many
    of it are to be made at least, whatever that costs; it must be possible.

    Raises StillroomError when the plan found does not pass the audit.
    """
    facts, decide = build(household)
    lost = loss_terms(facts, decide, {} if before is None else before.filled)
    if forced is not None:
        decide.programme.add("forced", at_least(decide.made(forced[0]), forced[1]))
    solver = Solver(decide.programme)
    search = Search(facts, decide, solver)
    if at_hand is not None and forced is None:
        search.best = columns_of(facts, decide, at_hand, {} if before is None else before.filled)
    every = aims_for(facts)
    reached: list[AimResult] = []
    for aim in every:
        if aim.name.startswith(("fixed", "needs")):
            reached.append(reached_first(search, aim, before, margin(reached)))
    fed = None
    if lost and (before is None or changed(reached, before)):
        reach(search, Aim("as it was", "shares", lambda _facts, _decide: lost, gap=0.01, patient_gap=0.01))
    if not needs_only:
        reach(search, next(aim for aim in every if aim.name == "money"))
        fed = reached_fed(search, next(aim for aim in every if aim.name == "fed"), before)
    return read_quick(search, tuple(reached), fed)


def search_needs(search: Search) -> list[AimResult]:
    """What the search has reached of fixed lines and needs."""
    return [result for result in search.results if result.name.startswith(("fixed", "needs"))]


def relaxed(search: Search, aim: Aim) -> float:
    """The least that an aim could be if nothing had to be whole; minus infinity when that is not found."""
    solver = search.solver
    kinds = highspy.HighsVarType
    whole = [column for column, is_whole in enumerate(solver.whole) if is_whole]
    for column in whole:
        solver.highs.changeColIntegrality(column, kinds.kContinuous)
    kept, solver.whole = solver.whole, [False] * len(solver.whole)
    solver.aim_at(solver.vector(aim.terms(search.facts, search.decide)), most=False)
    outcome = solver.run(None, Effort())
    solver.whole = kept
    for column in whole:
        solver.highs.changeColIntegrality(column, kinds.kInteger)
    return outcome.value if outcome.found else -math.inf


def margin(earlier: Sequence[AimResult]) -> float:
    """How much of a needs aim the slack of the earlier ones could buy, in points: no less of a gain is sure."""
    return GIVEN_UP * sum(abs(aim.value) for aim in earlier if aim.name.startswith("needs"))


def reached_first(search: Search, aim: Aim, before: Quick | None, unsure: float) -> AimResult:
    """Reach an aim and hold it; where nothing is proved to be gained by the change, hold it where it was before."""
    was = None if before is None else next((one for one in before.aims if one.name == aim.name), None)
    reach(search, aim)
    found = search.results[-1]
    if aim.most and was is not None and search.solver.held and not gained(found, was, unsure):
        slack = max(aim.slack_share * abs(was.value), aim.least_slack)
        search.solver.rehold(min(found.value, was.value) - slack)
    return found


def changed(reached: Sequence[AimResult], before: Quick) -> bool:
    """Whether some needs aim surely gained or lost; when none did, what each need has is one way among equals."""
    for place, (now, was) in enumerate(zip(reached, before.aims, strict=True)):
        unsure = margin(reached[:place])
        if now.name.startswith("needs") and (gained(now, was, unsure) or gained(was, now, unsure)):
            return True
    return False


def reached_fed(search: Search, aim: Aim, before: Quick | None) -> AimResult:
    """
    Reach the least crop fed; not where it could not fall by as much as is worth saying.

    What it could fall to is asked of the relaxed programme, in a tenth of the time: nothing whole does better.
    """
    if before is not None and before.fed is not None:
        at_best = relaxed(search, aim)
        if at_best > before.fed.value - WORTH_SAYING_KG and not changed(search_needs(search), before):
            return replace(before.fed, bound=min(before.fed.bound, before.fed.value))
    reach(search, aim)
    return search.results[-1]


def gained(now: AimResult, was: AimResult, unsure: float = 0.0) -> bool:
    """
    Whether an aim to be made most is surely better than before: above what was proved to be the most then.

    By more than `unsure`, what the slack of earlier aims may have bought.

    >>> was = AimResult("needs 1", 10.0, "points", 10.001, True)
    >>> gained(AimResult("needs 1", 10.0005, "points", 10.001, True), was)
    False
    >>> gained(AimResult("needs 1", 10.2, "points", 10.2, True), was)
    True
    """
    return now.value > max(was.bound, was.value) + unsure + 1e-6 * max(1.0, abs(was.value))


def loss_terms(facts: Facts, decide: Decisions, filled: Mapping[str, float]) -> Sum:
    """
    Decisions for what each need loses against before, in shares of what is wanted.

        loss[n] >= filled_before[n] - sum over b of filled[n, b]
    """
    terms: Sum = []
    for need in facts.needs:
        was = filled.get(need.name, 0.0)
        if need.wanted <= 0 or was <= 0:
            continue
        loss = decide.programme.variable(decide.name("loss", need.name), most=was)
        bands = [(1.0, decide.filled[need.name, band]) for band in range(len(facts.gains))]
        decide.programme.add(decide.name("as_it_was", need.name), at_least([*bands, (1.0, loss)], was))
        terms.append((1.0 / need.wanted, loss))
    return terms


def read_quick(search: Search, reached: tuple[AimResult, ...], fed: AimResult | None) -> Quick:
    """Set whole numbers exactly, read the plan off, hold it against the audit, and give its figures."""
    plan = finished(search)
    household = search.facts.household
    broken = broken_rules(household, plan)
    if broken:
        msg = "a plan that was tried does not keep every rule: " + "; ".join(broken[:3])
        raise StillroomError(msg)
    return Quick(
        aims=reached,
        filled=filled_by(household, plan),
        fed_kg=sum(plan.fed_kg.values()) + sum(plan.spoil_kg.values()),
        spent=spent_by(household, plan),
        made={item.name: made for item in household.preserves if (made := plan.made(item.name)) > 0},
        fed=fed,
    )


def finished(search: Search) -> Plan:
    """The plan at hand with its whole numbers exact and its amounts decided once more; it names no aims."""
    solver = search.solver
    search.best = without_idle_setups(search)
    solver.fix_whole(search.best)
    solver.loosen_holds(1e-6)
    outcome = solver.run(search.best, Effort())
    best = outcome.columns if outcome.found else search.best
    return read_off(search.facts, search.decide, dict(zip(solver.columns, best, strict=True)), ())


def spent_by(household: Household, plan: Plan) -> float:
    """Money for what a plan buys; what has no price typed costs nothing here."""
    return sum(
        (record.price or 0.0) * bought.get(record.name, 0.0)
        for records, bought in (
            (household.containers, plan.buy_containers),
            (household.lids, plan.buy_lids),
            (household.larder, plan.buy_items),
        )
        for record in records
    )
