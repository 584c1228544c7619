"""The HiGHS session: the model loaded once, and solved in place for one objective after another."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

import highspy
import numpy as np

from stillroom.planning.model import Model, Row, Sum

# Solve settings, outcome and relaxation.

HEURISTICS = ("root_reduced_cost", "rens", "rins")
"""HiGHS's primal heuristics that cost the most; each objective names those that pay off, by measurement."""


GAIN_GAP = 0.02
"""Share of itself to which a gain is known where it is only shown."""


@dataclass(frozen=True)
class SolveSettings:
    """
    Limits of one solve, counted in nodes and never in seconds, so that a slow machine gives the same plan.

    A solve ends at the relative gap `gap` or at `absolute_gap`; after `patient_nodes` nodes at the wider `patient_gap`
    or `patient_absolute_gap`; and at `node_limit`. It also ends when the bound shows that the objective cannot become
    better than `stop_at_bound`. The wider absolute gap is counted from a `bound` that is known; a gain over the value
    `beside` that is known to GAIN_GAP of itself is close enough. `heuristics` are HiGHS's HEURISTICS to run, with a
    share `heuristic_effort` of the work; `branching_trials` is the number of strong-branching trials per variable,
    `cut_pool_limit` that of cuts kept.
    """

    gap: float = 1e-6
    absolute_gap: float = 1e-6
    patient_gap: float = 1e-6
    patient_nodes: int = 0
    node_limit: int = 1
    heuristics: tuple[str, ...] = ()
    branching_trials: int = 8
    stop_at_bound: float | None = None
    heuristic_effort: float = 0.05
    cut_pool_limit: int = 10_000
    patient_absolute_gap: float = 0.0
    bound: float | None = None
    beside: float | None = None

    def patience(self, *, maximize: bool = False) -> Callable[[Any], None]:
        """Return the callback that HiGHS calls during a solve to ask whether to stop."""
        sign, end = (1.0 if maximize else -1.0), self.stop_at_bound

        def enough(event: Any) -> None:
            nodes, gap, bound = event.data_out.mip_node_count, event.data_out.mip_gap, event.data_out.mip_dual_bound
            settled = end is not None and sign * (bound - end) <= 0
            away = abs(event.data_out.mip_primal_bound - (bound if self.bound is None else self.bound))
            close = gap <= self.patient_gap or away <= self.patient_absolute_gap
            if self.beside is not None:
                close = close or away <= GAIN_GAP * sign * (event.data_out.mip_primal_bound - self.beside)
            event.data_in.user_interrupt = settled or (nodes >= self.patient_nodes and close)

        return enough


@dataclass(frozen=True)
class Outcome:
    """The outcome of a solve: feasible solution found or not, value, proved bound, why it stopped, nodes, columns."""

    found: bool
    value: float
    bound: float
    stopped: str
    nodes: int
    columns: tuple[float, ...]
    infeasible: bool = False

    @property
    def gap(self) -> float:
        """Relative gap between value and bound."""
        return abs(self.value - self.bound) / max(abs(self.value), 1e-9) if self.found else math.inf


@dataclass(frozen=True)
class Relaxation:
    """An optimal solution of the linear relaxation: value, columns and reduced costs."""

    value: float
    columns: np.ndarray
    reduced_costs: np.ndarray


Bounds = list[tuple[float, float]]
"""The bounds of every bounded objective, lower and upper."""

FEASIBILITY = 1e-7
"""Feasibility tolerance of the solver; the tolerances of the objectives are far above it."""

STOPPED = {
    highspy.HighsModelStatus.kTimeLimit: "time limit",
    highspy.HighsModelStatus.kSolutionLimit: "node limit",
    highspy.HighsModelStatus.kInterrupt: "node limit",
}
"""Why a solve ended without a proof, in plain words."""

SEED = 20260814


class QuietHighs(highspy.Highs):  # type: ignore[misc]  # highspy is untyped
    """HiGHS without output: it prints a banner when callbacks are enabled, so the output is turned off first."""

    def enableCallbacks(self) -> None:  # noqa: N802 - HiGHS's own name
        """Turn the output off, then enable the callbacks; called once, when HiGHS starts."""
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()


class HighsSession:
    """
    One HiGHS instance with the model loaded: one thread, fixed seed, no output.

    Columns are numbered in the order in which the variables were defined.
    """

    def __init__(self, model: Model) -> None:
        """Load the model."""
        self.columns = {name: number for number, name in enumerate(model.variables)}
        self.whole = [variable.whole for variable in model.variables.values()]
        self.highs = QuietHighs()
        self.highs.setOptionValue("output_flag", False)
        self.highs.setOptionValue("threads", 1)
        self.highs.setOptionValue("parallel", "off")
        self.highs.setOptionValue("random_seed", SEED)
        self.highs.setOptionValue("mip_allow_restart", False)  # measured over ten households: a quarter less time
        self.highs.setOptionValue("primal_feasibility_tolerance", FEASIBILITY)
        self.highs.setOptionValue("mip_feasibility_tolerance", FEASIBILITY)
        self.highs.passModel(self._highs_lp(model))
        self.objective_rows: list[int] = []
        self.rows = {name: number for number, name in enumerate(model.constraint_rows())}
        self.bounds: dict[str, tuple[float, float]] = {}

    def _highs_lp(self, model: Model) -> Any:
        infinity = highspy.kHighsInf
        lp = highspy.HighsLp()
        variables = list(model.variables.values())
        rows = model.constraint_rows().values()
        lp.num_col_ = len(variables)
        lp.num_row_ = len(rows)
        lp.col_cost_ = np.zeros(len(variables))
        lp.col_lower_ = np.zeros(len(variables))
        lp.col_upper_ = np.array([infinity if v.most is None else v.most for v in variables], dtype=float)
        lp.integrality_ = [
            highspy.HighsVarType.kInteger if whole else highspy.HighsVarType.kContinuous for whole in self.whole
        ]
        starts, index, values, lower, upper = [0], [], [], [], []
        for row in rows:
            index += [self.columns[variable.name] for _, variable in row.terms]
            values += [coefficient for coefficient, _ in row.terms]
            starts.append(len(index))
            lower.append(-infinity if row.sense == "<=" else row.bound)
            upper.append(infinity if row.sense == ">=" else row.bound)
        lp.row_lower_ = np.array(lower, dtype=float)
        lp.row_upper_ = np.array(upper, dtype=float)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(starts, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(index, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(values, dtype=float)
        return lp

    def vector(self, terms: Sum) -> dict[int, float]:
        """Return the coefficients by column."""
        found: dict[int, float] = {}
        for coefficient, variable in terms:
            column = self.columns[variable.name]
            found[column] = found.get(column, 0.0) + coefficient
        return found

    def set_objective(self, costs: Mapping[int, float], *, maximize: bool) -> None:
        """Change the objective in place."""
        number = len(self.columns)
        row = np.zeros(number)
        for column, cost in costs.items():
            row[column] = cost
        self.highs.changeColsCost(number, np.arange(number, dtype=np.int32), row)
        sense = highspy.ObjSense.kMaximize if maximize else highspy.ObjSense.kMinimize
        self.highs.changeObjectiveSense(sense)

    def add_objective_bound(self, costs: Mapping[int, float], *, least: float | None, most: float | None) -> None:
        """Add a constraint that keeps an objective between two values."""
        infinity = highspy.kHighsInf
        self.objective_rows.append(self.highs.getNumRow())
        self.highs.addRow(
            -infinity if least is None else least,
            infinity if most is None else most,
            len(costs),
            np.array(list(costs), dtype=np.int32),
            np.array(list(costs.values()), dtype=float),
        )

    def change_objective_bound(self, *, least: float | None = None, most: float | None = None) -> None:
        """Change the bounds of the objective that was bounded last."""
        infinity = highspy.kHighsInf
        self.highs.changeRowBounds(
            self.objective_rows[-1], -infinity if least is None else least, infinity if most is None else most
        )

    def relax_objective_bounds(self, share: float, least: float = 1.0) -> None:
        """Relax every objective bound by `share` of its value, and by at least `share` of `least`."""
        infinity = highspy.kHighsInf
        for row, (lower, upper) in zip(self.objective_rows, self.objective_bounds(), strict=True):
            if lower > -infinity:
                lower -= share * max(least, abs(lower))
            if upper < infinity:
                upper += share * max(least, abs(upper))
            self.highs.changeRowBounds(row, lower, upper)

    def objective_bounds(self) -> Bounds:
        """Return the bounds of every bounded objective."""
        model = self.highs.getLp()
        return [(model.row_lower_[row], model.row_upper_[row]) for row in self.objective_rows]

    def restore_objective_bounds(self, bounds: Bounds) -> None:
        """Bound the objectives as they were."""
        for row, (lower, upper) in zip(self.objective_rows, bounds, strict=True):
            self.highs.changeRowBounds(row, lower, upper)

    def fix_integers(self, columns: tuple[float, ...]) -> None:
        """Fix every integer variable at its value, so that a linear program is left."""
        integers = np.flatnonzero(self.whole).astype(np.int32)
        values = np.round(np.array(columns)[integers])
        self.highs.changeColsBounds(len(integers), integers, values, values)
        self.make_continuous()

    def make_continuous(self) -> None:
        """Turn every integer variable into a continuous one, for good."""
        self._set_integrality(np.flatnonzero(self.whole).astype(np.int32), whole=False)
        self.whole = [False] * len(self.whole)

    def column_bounds(self) -> tuple[np.ndarray, np.ndarray]:
        """Return the lower and upper bounds of the columns."""
        model = self.highs.getLp()
        return np.array(model.col_lower_), np.array(model.col_upper_)

    def solve_relaxation(self) -> Relaxation | None:
        """Return an optimal solution of the linear relaxation, however long it takes; None when there is none."""
        whole = np.flatnonzero(self.whole).astype(np.int32)
        self._set_integrality(whole, whole=False)
        self.highs.setOptionValue("time_limit", highspy.kHighsInf)
        self._solve()
        found = self.highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
        solution, value = self.highs.getSolution(), float(self.highs.getObjectiveValue())
        self._set_integrality(whole, whole=True)
        return Relaxation(value, np.array(solution.col_value), np.array(solution.col_dual)) if found else None

    def solve_amounts(self, columns: tuple[float, ...]) -> tuple[float, ...] | None:
        """Return the best solution with the integers fixed as in `columns`; None when there is none."""
        at = np.flatnonzero(self.whole).astype(np.int32)
        lower, upper = self.column_bounds()
        values = np.round(np.array(columns)[at])
        self.highs.changeColsBounds(len(at), at, values, values)
        self.highs.clearSolver()
        found = self.solve_relaxation()
        self.highs.changeColsBounds(len(at), at, lower[at], upper[at])
        return None if found is None else tuple(float(value) for value in found.columns)

    def _set_integrality(self, columns: Any, *, whole: bool) -> None:
        kind = highspy.HighsVarType.kInteger if whole else highspy.HighsVarType.kContinuous
        self.highs.changeColsIntegrality(len(columns), columns, np.full(len(columns), int(kind), dtype=np.uint8))

    def add_rows(self, rows: Iterable[Row]) -> None:
        """Add constraints of the sense >=."""
        for row in rows:
            terms = self.vector(list(row.terms))
            self.highs.addRow(
                row.bound,
                highspy.kHighsInf,
                len(terms),
                np.array(list(terms), dtype=np.int32),
                np.array(list(terms.values()), dtype=float),
            )

    def remove_rows(self, first: int) -> None:
        """Remove the constraints from number `first` on."""
        if first < self.highs.getNumRow():
            self.highs.deleteRows(
                self.highs.getNumRow() - first, np.arange(first, self.highs.getNumRow(), dtype=np.int32)
            )

    @contextmanager
    def loosely(self, integers: Sequence[int]) -> Iterator[None]:
        """Let integer columns be continuous within the context."""
        columns = np.array(integers, dtype=np.int32)
        self._set_integrality(columns, whole=False)
        try:
            yield
        finally:
            self._set_integrality(columns, whole=True)

    def hold(self, columns: np.ndarray, values: np.ndarray, most: np.ndarray | None = None) -> None:
        """Fix columns at values, or between these and `most`, for good."""
        self.highs.changeColsBounds(len(columns), columns, values, values if most is None else most)

    @contextmanager
    def held(self, columns: np.ndarray, values: np.ndarray, most: np.ndarray | None = None) -> Iterator[None]:
        """Fix columns at values, or between these and `most`, within the context; restore their bounds after it."""
        lower, upper = self.column_bounds()
        self.hold(columns, values, most)
        try:
            yield
        finally:
            self.highs.changeColsBounds(len(columns), columns, lower[columns], upper[columns])

    def relax_rows(self, names: Iterable[str]) -> None:
        """Remove the bounds of these constraints; names without a constraint are ignored."""
        model = self.highs.getLp()
        for name in names:
            row = self.rows.get(name)
            if row is not None and name not in self.bounds:
                self.bounds[name] = (model.row_lower_[row], model.row_upper_[row])
                self.highs.changeRowBounds(row, -highspy.kHighsInf, highspy.kHighsInf)

    def restore_rows(self, names: Iterable[str]) -> None:
        """Restore the bounds that `relax_rows` removed."""
        for name in names:
            if name in self.bounds:
                self.highs.changeRowBounds(self.rows[name], *self.bounds.pop(name))

    def run(self, start: tuple[float, ...] | None, effort: SolveSettings, seconds: float | None = None) -> Outcome:
        """
        Solve for the current objective from a warm start, with an optional time limit in seconds.

        The reported value is compared with the value of the columns: HiGHS 1.16 was seen to prove a value and return
        the columns of the warm start, because its presolve misread it. Then the model is solved again without the warm
        start and, if necessary, without presolve.
        """
        outcome = self._run(start, effort, seconds)
        if self._misread(outcome) and start is not None:
            outcome = self._run(None, effort, seconds)
        if self._misread(outcome):
            self.highs.setOptionValue("presolve", "off")
            outcome = self._run(start, effort, seconds)
            self.highs.setOptionValue("presolve", "choose")
            outcome = replace(outcome, value=self.value_of(outcome.columns)) if outcome.found else outcome
        return outcome

    def run_on(self) -> Outcome:
        """Solve a linear program again from where the last solve of it ended."""
        self.highs.setOptionValue("time_limit", highspy.kHighsInf)
        self._solve()
        return self._outcome()

    def _solve(self) -> None:
        """Let HiGHS solve; whoever solved in this process before, with another number of threads, does not stop it."""
        if self.highs.run() == highspy.HighsStatus.kError:
            highspy.Highs.resetGlobalScheduler(True)
            self.highs.run()

    def _misread(self, outcome: Outcome) -> bool:
        """Return whether the reported value is not the value of the columns."""
        return outcome.found and abs(outcome.value - self.value_of(outcome.columns)) > 1e-6 * max(
            1.0, abs(outcome.value)
        )

    def value_of(self, columns: tuple[float, ...]) -> float:
        """Return the current objective's value of the columns."""
        return float(np.dot(np.array(self.highs.getLp().col_cost_), np.array(columns)))

    def _run(self, start: tuple[float, ...] | None, effort: SolveSettings, seconds: float | None) -> Outcome:
        highs = self.highs
        highs.setOptionValue("mip_rel_gap", effort.gap)
        highs.setOptionValue("mip_abs_gap", effort.absolute_gap)
        highs.setOptionValue("mip_max_nodes", effort.node_limit)
        highs.setOptionValue("mip_pscost_minreliable", effort.branching_trials)
        highs.setOptionValue("mip_heuristic_effort", effort.heuristic_effort)
        highs.setOptionValue("mip_pool_soft_limit", effort.cut_pool_limit)
        for heuristic in HEURISTICS:
            highs.setOptionValue(f"mip_heuristic_run_{heuristic}", heuristic in effort.heuristics)
        highs.setOptionValue("time_limit", highspy.kHighsInf if seconds is None else seconds + highs.getRunTime())
        highs.clearSolver()
        if start is not None:
            solution = highspy.HighsSolution()
            solution.col_value = list(start)
            highs.setSolution(solution)
        patience = effort.patience(maximize=highs.getObjectiveSense()[1] == highspy.ObjSense.kMaximize)
        highs.cbMipInterrupt += patience
        try:
            self._solve()
        finally:
            highs.cbMipInterrupt -= patience
        return self._outcome()

    def _outcome(self) -> Outcome:
        """Return the outcome. Checks the solver status before reading the solution."""
        names = highspy.HighsModelStatus
        status = self.highs.getModelStatus()
        info = self.highs.getInfo()
        infeasible = status in (names.kInfeasible, names.kUnboundedOrInfeasible)
        empty = status == names.kModelEmpty  # a household without crop, preserves and targets: nothing to decide
        feasible = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
        found = empty or (not infeasible and feasible)
        stopped = STOPPED.get(status, "")
        if not stopped and not empty and status != names.kOptimal:
            stopped = str(self.highs.modelStatusToString(status))
        value = 0.0 if empty else float(info.objective_function_value) if found else math.nan
        return Outcome(
            found=found,
            value=value,
            bound=float(info.mip_dual_bound) if any(self.whole) else value,
            stopped=stopped,
            nodes=max(0, int(info.mip_node_count)),
            columns=tuple(self.highs.getSolution().col_value) if found else (),
            infeasible=infeasible,
        )
