"""
The same programme asked of a second solver, aim by aim.

Each aim is written as an MPS file by HiGHS itself, with the holds of the aims before it in it, and read by SCIP
(`pyscipopt`), which shares no code with HiGHS. Both searches end at the aim's own gap. What is compared:

- neither solver's plan is better than what the other has proved to be the best possible (value against the other's
  bound, both ways): that is a contradiction, whatever the gaps are;
- where both searches ended by themselves, the values differ by no more than the two gaps allow. Needs are proved to
  1e-4 and have to agree to that.

A search of the second solver that runs into its time limit is counted as such and never as equal.
"""

from __future__ import annotations

import math
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from stillroom.household.plan import ObjectiveResult
from stillroom.household.records import Household
from stillroom.planning.highs import HighsSession
from stillroom.planning.objectives import OBJECTIVES, Objective, objectives_for
from stillroom.planning.solve import Search, build, optimize

TOLERANCE = 2e-6
"""Share by which a value may pass the other's bound: both solvers let rows be broken by 1e-7 to 1e-6."""

EQUAL, OUT_OF_TIME, DIFFERENT, NOTHING = "equal", "out of time", "DIFFERENT", "nothing in it"


@dataclass(frozen=True)
class Answer:
    """
    What a solver says of one objective: its best value, the proved bound, whether it ended by itself, its seconds.
    """

    value: float
    bound: float
    ended: bool
    seconds: float


@dataclass(frozen=True)
class Opinion:
    """One objective of one household, answered twice, and the verdict."""

    household: str
    objective: str
    first: Answer
    second: Answer
    verdict: str

    @property
    def apart(self) -> float:
        """Distance of the two values as a share of the greater, at least of 1."""
        return distance(self.first.value, self.second.value)


def distance(one: float, other: float) -> float:
    """How far two figures are apart, as a share of the greater, at least of 1."""
    return abs(one - other) / max(1.0, abs(one), abs(other))


def opinions(name: str, household: Household, seconds: float, objectives: tuple[str, ...] = ()) -> Iterator[Opinion]:
    """
    Plan a household objective by objective and ask SCIP each objective again, at most so many seconds of its own
    processor time.

    With `objectives`, only those are asked again, and nothing is planned after the last of them. The second solver
    answers from the very rows and cost row that HiGHS had, the holds of the objectives before included.
    """
    parameters, variables = build(household)
    search = Search(parameters, variables, HighsSession(variables.model))
    last = max(
        (place for place, objective in enumerate(OBJECTIVES) if objective.name in objectives), default=len(OBJECTIVES)
    )
    for objective in objectives_for(parameters):
        if OBJECTIVES.index(objective) > last:
            return
        costs = search.solver.vector(objective.terms(parameters, variables))
        asked = bool(costs) and (not objectives or objective.name in objectives)
        with tempfile.TemporaryDirectory(prefix="stillroom-truth-") as folder:
            model = Path(folder) / "aim.mps"
            if asked:
                search.solver.set_objective(costs, maximize=objective.maximize)
                search.solver.highs.writeModel(str(model))
            began = time.perf_counter()
            optimize(search, objective)
            first = as_answer(search.results[-1], time.perf_counter() - began)
            if not asked:
                if not costs:
                    yield Opinion(name, objective.name, first, first, NOTHING)
                continue
            second = by_scip(model, objective, seconds)
        yield Opinion(name, objective.name, first, second, verdict(objective, first, second))


def as_answer(result: ObjectiveResult, seconds: float) -> Answer:
    """The planner's own result as an answer."""
    return Answer(result.value, result.bound, result.proved, seconds)


def by_scip(model: Path, objective: Objective, seconds: float) -> Answer:
    """Solve an MPS file with SCIP to the objective's own gap; one thread, no more than so many seconds."""
    import pyscipopt

    scip: Any = pyscipopt.Model()
    scip.hideOutput()
    scip.readProblem(str(model))
    scip.setParam("limits/gap", objective.gap)
    scip.setParam("limits/absgap", objective.absolute_gap)
    scip.setParam("limits/time", seconds)
    began = time.perf_counter()
    scip.optimize()
    taken = time.perf_counter() - began
    status = str(scip.getStatus())
    value = float(scip.getPrimalbound()) if scip.getNSols() else (-math.inf if objective.maximize else math.inf)
    return Answer(value, float(scip.getDualbound()), status in ("optimal", "gaplimit"), taken)


def verdict(objective: Objective, first: Answer, second: Answer) -> str:
    """Whether the answers contradict one another, are equal, or cannot be compared since one search did not end."""
    if beats(objective, first.value, second.bound) or beats(objective, second.value, first.bound):
        return DIFFERENT
    if not (first.ended and second.ended):
        return OUT_OF_TIME
    allowed = max(abs(first.value - first.bound), abs(second.value - second.bound))
    allowed += TOLERANCE * max(1.0, abs(first.value))
    return EQUAL if abs(first.value - second.value) <= allowed else DIFFERENT


def beats(objective: Objective, value: float, bound: float) -> bool:
    """Whether a value is better than a bound says it can be, by more than the solvers' tolerance."""
    over = value - bound if objective.maximize else bound - value
    return over > TOLERANCE * max(1.0, abs(bound))
