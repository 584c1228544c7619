"""The way from a settled household to a plan: aim after aim, each reached, proved and held."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from stillroom.errors import NoPlanInTime, StillroomError
from stillroom.household.plan import AimResult, Kind, Plan
from stillroom.household.records import Household
from stillroom.planning.constraints import RULES
from stillroom.planning.cuts import narrow, sharper
from stillroom.planning.highs import Effort, Outcome, Solver
from stillroom.planning.model import Programme
from stillroom.planning.objectives import LARGE, Aim, aims_for
from stillroom.planning.parameters import Facts
from stillroom.planning.show import Rule
from stillroom.planning.solution import read_off, sooner
from stillroom.planning.variables import Decisions, decide
from stillroom.planning.violations import explained

# The programme, built once: decisions made, every rule's rows added.


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


PATIENT_NODES = 20
"""Nodes of the search after which the wider of an aim's two gaps is good enough."""

CUTS_KEPT = 500
"""Cuts kept in hand for a programme that is not large: with HiGHS's own 10,000 a node took half as long again."""

LAST: Kind = "labor"
"""The kind of the aim that is searched for in what the others have left: all that they rule out is said beforehand."""

CRUMBS = (0.5, 0.2, 0.05, 0.01)
"""Parts of a container in a week that are left out where the aims held allow it, the largest first."""

Tell = Callable[[str], None]


@dataclass
class Search:
    """The state of a solve: HiGHS, the best plan so far, and the seconds that are left."""

    facts: Facts
    decide: Decisions
    solver: Solver
    best: tuple[float, ...] | None = None
    results: list[AimResult] = field(default_factory=list)
    costs: list[dict[int, float]] = field(default_factory=list)
    aims: list[Aim] = field(default_factory=list)
    ends_at: float | None = None

    def seconds_left(self) -> float | None:
        """Seconds until the time limit, None without one."""
        return None if self.ends_at is None else max(0.01, self.ends_at - time.monotonic())

    def large(self) -> bool:
        """Whether the programme is so large that its aims have settings of their own, and a relaxation takes long."""
        return sum(self.solver.whole) > LARGE

    def out_of_time(self) -> bool:
        """Whether the time limit has passed."""
        return self.ends_at is not None and time.monotonic() >= self.ends_at


def plan(household: Household, time_limit_seconds: float | None = None, tell: Tell | None = None) -> Plan:
    """
    Plan a settled household.

    The same household gives the same plan, whatever the order of its records and however fast the machine, unless a
    time limit cuts the search; a limit never passes for a proof and never loses the best plan found. `tell` is called
    with a few words before each aim.

    Raises NoPlanInTime when there is no plan at all within the limit.
    """
    ends_at = None if time_limit_seconds is None else time.monotonic() + time_limit_seconds
    facts, decide = build(household)
    search = Search(facts, decide, Solver(decide.programme), ends_at=ends_at)
    for aim in aims_for(facts):
        if tell is not None:
            tell(aim.name)
        if aim.kind == LAST and not search.large():
            close_in(search)
        reach(search, aim)
    if search.best is None:
        reach(search, Aim("helper", "", lambda _facts, _decide: []))
        search.results.pop()
        search.costs.pop()
        search.aims.pop()
    if search.best is None:  # pragma: no cover - reach has raised
        raise NoPlanInTime("no plan was found")
    polish(search)
    search.best = without_idle_setups(search)
    search.best = with_full_bands(search)
    columns = dict(zip(search.solver.columns, search.best, strict=True))
    found = sooner(search.facts, read_off(search.facts, search.decide, columns, as_it_is(search)))
    return replace(found, breaches=explained(search.facts, search.decide, found.breaches)) if found.breaches else found


def reach(search: Search, aim: Aim) -> None:
    """Reach one aim as well as possible and hold it."""
    began = time.monotonic()
    costs = search.solver.vector(aim.terms(search.facts, search.decide))
    search.costs.append(costs)
    search.aims.append(aim)
    trivial = trivial_result(search, aim, costs)
    if trivial is not None:
        search.results.append(trivial)
        hold(search, aim, costs, trivial.value)
        return
    search.solver.aim_at(costs, most=aim.most)
    if aim.made_ready:
        make_ready(search)
    outcome = with_bound(search, run_patiently(search, aim))
    if not outcome.found:
        if search.best is None:
            raise NoPlanInTime(f"no plan was found within the time limit ({aim.name} was being worked on)")
        outcome = keep_best(search, aim, costs, outcome)
    search.best = outcome.columns
    seconds = time.monotonic() - began
    away = abs(outcome.value - outcome.bound)
    proved = outcome.gap <= aim.patient_gap + 1e-9 or away <= max(aim.close_enough, aim.least_slack)
    stopped = "" if proved else outcome.stopped
    search.results.append(aim.result(outcome.value, outcome.bound, proved=proved, seconds=seconds, stopped=stopped))
    hold(search, aim, costs, outcome.value)


def close_in(search: Search) -> None:
    """Say what the aims that are held rule out, so that the search for the last one need not find it out."""
    if search.best is None:
        return
    search.solver.add_rows(sharper(search.facts, search.decide))
    held = [
        (costs, aim.most, held_at(aim, result.value))
        for aim, result, costs in zip(search.aims, search.results, search.costs, strict=True)
        if costs
    ]
    narrow(search.solver, held, search.best)


def make_ready(search: Search) -> None:
    """
    Make the plan at hand a better start for the aim at hand: idle set-ups taken back, amounts decided for it.

    The aims before leave set-ups standing that cost them nothing, and a search that starts from those can take longer
    to find that out than to prove the plan.
    """
    if search.best is not None:
        search.best = search.solver.amounts(without_idle_setups(search)) or search.best


def with_bound(search: Search, outcome: Outcome) -> Outcome:
    """Give an outcome a bound where the search ended without: that of the aim when nothing has to be whole."""
    if not outcome.found or math.isfinite(outcome.bound):
        return outcome
    relaxed = search.solver.relaxed()
    return outcome if relaxed is None else replace(outcome, bound=relaxed.value)


def trivial_result(search: Search, aim: Aim, costs: dict[int, float]) -> AimResult | None:
    """An aim that needs no search: nothing in it, or the plan at hand already has the least that is possible, 0."""
    if not costs and aim.kind != "helper":
        return aim.result(0.0, 0.0, proved=True)
    if search.best is None or aim.most or min(costs.values(), default=0.0) < 0:
        return None
    value = sum(cost * search.best[column] for column, cost in costs.items())
    return aim.result(0.0, 0.0, proved=True) if value <= 1e-9 else None


def run_patiently(search: Search, aim: Aim) -> Outcome:
    """
    Run to the aim's own gap; after a stated number of nodes its wider gap is enough; then it is left unproved.

    The plan at hand keeps every rule and every hold, so an answer that nothing does comes from slack below the
    solver's tolerance: the holds get more of it and the aim is tried again.
    """
    solver = search.solver
    large = search.large()
    helped_by = aim.helped_by_when_large if large else aim.helped_by
    last_nodes = aim.last_nodes_when_large if large else aim.last_nodes
    effort = Effort(aim.gap, aim.close_enough, aim.patient_gap, PATIENT_NODES, last_nodes, helped_by, aim.trials)
    effort = effort if large else replace(effort, help_share=aim.help_share, cuts_kept=CUTS_KEPT)
    outcome = solver.run(search.best, effort, search.seconds_left())
    for share in (1e-6, 1e-5, 1e-4):
        if not outcome.infeasible or not solver.held:
            break
        solver.loosen_holds(share)
        outcome = solver.run(search.best, effort, search.seconds_left())
    if outcome.infeasible and not solver.held:
        raise StillroomError("no plan keeps every rule; please send the workbook's figures to whoever keeps this tool")
    return outcome


def keep_best(search: Search, aim: Aim, costs: dict[int, float], outcome: Outcome) -> Outcome:
    """The plan at hand, when an aim gave nothing better in its time: never lost, never called proved."""
    best = search.best or ()
    value = sum(cost * best[column] for column, cost in costs.items())
    far = sum(max(0.0, cost) for cost in costs.values()) if aim.most else 0.0
    bound = outcome.bound if abs(outcome.bound) < 1e15 else far
    return Outcome(
        found=True, value=value, bound=bound, stopped=outcome.stopped or "unsolved", nodes=outcome.nodes, columns=best
    )


def hold(search: Search, aim: Aim, costs: dict[int, float], value: float) -> None:
    """Hold an aim at its value, less a slack well above the solver's tolerance."""
    if not costs:
        return
    if aim.most:
        search.solver.hold(costs, least=held_at(aim, value), most=None)
    else:
        search.solver.hold(costs, least=None, most=held_at(aim, value))


def held_at(aim: Aim, value: float) -> float:
    """The worst that an aim may come to while later ones are improved."""
    slack = max(aim.slack_share * abs(value), aim.least_slack)
    return value - slack if aim.most else value + slack


def polish(search: Search) -> None:
    """
    Set every whole number exactly, and decide the amounts once more for the last aim, without crumbs.

    A part of a container in a week is nobody's work where the plan is as good without it: mostly it is what the slack
    of the holds let fall. (Measured and left: deciding every aim again without slack gives a later importance less, up
    to 0.7 % on the demo households, than was proved for it while the earlier ones were held with theirs.)
    """
    solver = search.solver
    search.best = without_idle_setups(search)
    solver.fix_whole(search.best)
    solver.loosen_holds(1e-6)
    outcome = solver.run(search.best, Effort())
    if outcome.found:
        search.best = outcome.columns
    for crumb in CRUMBS:
        small = crumbs(search, crumb)
        solver.forbid(small, forbid=True)
        outcome = solver.run(search.best, Effort())
        if outcome.found:
            search.best = outcome.columns
            return
        solver.forbid(small, forbid=False)


def crumbs(search: Search, below: float) -> list[int]:
    """The columns of what is made in a week of less than a part of a container."""
    columns, best = search.solver.columns, search.best or ()
    made = search.decide.make.items()
    weekly = [columns[v.name] for (_, number), v in made if not search.facts.periods[number].single]
    return [column for column in weekly if 0.0 < best[column] < below]


def without_idle_setups(search: Search) -> tuple[float, ...]:
    """The plan at hand, where a set-up that nothing is made or frozen under is taken back."""
    best = list(search.best or ())
    column = search.solver.columns
    decide = search.decide
    for setups, amounts in ((decide.setup, decide.make), (decide.setup_freeze, decide.freeze)):
        for key, setup in setups.items():
            if best[column[amounts[key].name]] < 1e-6:
                best[column[setup.name]] = 0.0
    return tuple(best)


def with_full_bands(search: Search) -> tuple[float, ...]:
    """The plan at hand, where every need is filled as far as what is made fills it: later aims let bands go slack."""
    best = list(search.best or ())
    column, facts = search.solver.columns, search.facts
    for need in facts.needs:
        if need.wanted <= 0:
            continue
        covered = 0.0
        for name, each in need.counts.items():
            made = sum(share * best[column[v.name]] for share, v in search.decide.net(facts, name))
            covered += each * (facts.good_on_shelf.get(name, 0.0) + made)
        size = need.wanted / len(facts.gains)
        for band in range(len(facts.gains)):
            best[column[search.decide.filled[need.name, band].name]] = min(size, max(0.0, covered - band * size))
    return tuple(best)


def as_it_is(search: Search) -> tuple[AimResult, ...]:
    """
    The aims with the values that the finished plan has, later aims and rounding included; bounds as proved.

    Where the slack given up by earlier aims let a later one come out better than its bound was then, the value itself
    is the bound.
    """
    best = search.best or ()
    found = []
    for aim, result, costs in zip(search.aims, search.results, search.costs, strict=True):
        value = sum(cost * best[column] for column, cost in costs.items())
        value = 0.0 if abs(value) < 1e-9 else value
        bound = max(result.bound, value) if aim.most else min(result.bound, value)
        found.append(replace(result, value=value, bound=bound))
    return tuple(found)
