"""What is said to the solver beforehand never rules out a plan, and a misread starting point never passes for one."""

from __future__ import annotations

import dataclasses
import datetime
import itertools
import math

import pytest
from tests.planning.varied import base

from stillroom.household.audit import violated_constraints
from stillroom.household.examples import FRIDAY, tiny_household
from stillroom.household.records import PlanLine
from stillroom.planning import solve
from stillroom.planning.cuts import add_violated, load_inequalities, tighten_by_reduced_costs, valid_inequalities
from stillroom.planning.highs import HighsSession, Outcome, SolveSettings
from stillroom.planning.model import Model, at_least
from stillroom.planning.objectives import OBJECTIVES
from stillroom.planning.solve import build, plan

SATURDAY = FRIDAY + datetime.timedelta(days=1)


def followed():
    """The tiny household with a last plan of parts of containers, and of part loads."""
    parts = (
        PlanLine(FRIDAY, 1, "soup", make=4.5),
        PlanLine(SATURDAY, 1, "juice", make=5.25),
        PlanLine(SATURDAY, 1, "cabbage heads", make=4.0),
    )
    whole = (PlanLine(FRIDAY, 1, "juice", make=10.0), PlanLine(SATURDAY, 1, "soup", make=6.0))
    return [dataclasses.replace(tiny_household(), plan_lines=plan_lines) for plan_lines in (parts, whole)]


def days_of(parameters, variables, line):
    """Every way to make a preserve on the days of a line: containers, loads and setups that keep the constraints."""
    item = parameters.household.preserve(line.name)
    methods = []
    for number in line.numbers:
        key = (line.name, number)
        if key not in variables.make:
            continue
        of_day = []
        for made in range(int(parameters.upper_bound[key]) + 1):
            if made and key in variables.setup and made < parameters.batch(item, parameters.periods[number]):
                continue
            values = {variables.make[key].name: float(made)}
            if key in variables.loads:
                values[variables.loads[key].name] = float(math.ceil(made / item.load))
            if key in variables.setup:
                values[variables.setup[key].name] = float(made > 0)
            of_day.append((made, values))
        methods.append(of_day)
    for method in itertools.product(*methods):
        values = {name: value for _, of_day in method for name, value in of_day.items()}
        yield sum(made for made, _ in method), values


@pytest.mark.parametrize("household", followed(), ids=["parts", "days"])
def test_a_sharper_row_holds_for_every_way_to_make_a_line_and_is_reached_by_one(household):
    parameters, variables = build(household)
    rows = list(valid_inequalities(parameters, variables))
    assert rows
    seen = 0
    for number, line in enumerate(parameters.last_lines):
        change = {variables.more[number].name, variables.less[number].name}
        own = [row for row in rows if change & {variable.name for _, variable in row.terms}]
        nearest = [math.inf] * len(own)
        for made, values in days_of(parameters, variables, line):
            values[variables.more[number].name] = max(0.0, made - line.amount)
            values[variables.less[number].name] = max(0.0, line.amount - made)
            for place, row in enumerate(own):
                room = sum(each * values[variable.name] for each, variable in row.terms) - row.bound
                assert room > -1e-9, (line, values, row)
                nearest[place] = min(nearest[place], room)
        assert all(room < 1e-9 for room in nearest), line
        seen += len(own)
    assert seen == len(rows)


def test_rows_on_loads_hold_in_every_plan_and_the_relaxation_breaks_some():
    """The least that each row comes to, in whole loads, is its bound or more; in parts of loads some come to less."""
    parameters, variables = build(tiny_household())
    rows = list(load_inequalities(parameters, variables))
    solver = HighsSession(variables.model)
    broken = 0
    for row in rows:
        solver.set_objective(solver.vector(list(row.terms)), maximize=False)
        assert solver.run(None, SolveSettings(node_limit=1000)).bound > row.bound - 1e-6, row
        broken += solver.solve_relaxation().value < row.bound - 1e-3
    assert broken


def test_of_the_rows_on_loads_only_those_that_are_needed_stay():
    """They bring the relaxation as far as all of the rows would."""
    parameters, variables = build(base())
    solver, rows = HighsSession(variables.model), list(load_inequalities(parameters, variables))
    solver.set_objective(solver.vector(OBJECTIVES[-1].terms(parameters, variables)), maximize=False)
    before, value = solver.highs.getNumRow(), solver.solve_relaxation().value
    kept = add_violated(solver, rows)
    found = solver.solve_relaxation()
    assert solver.highs.getNumRow() == before + kept
    assert 0 < kept < len(rows)
    assert found.value > value + 1e-3
    solver.add_rows(rows)
    assert solver.solve_relaxation().value == pytest.approx(found.value)


@pytest.mark.parametrize("household", [tiny_household(), *followed()], ids=["new", "parts", "days"])
def test_a_plan_made_as_a_large_one_is_as_good(household, monkeypatch):
    """Loads first, then what is made in them: within the gap of the plan of one search, and proved."""
    effort = plan(household).objectives[-1]
    answers, by_loads = [], solve.solve_by_loads
    monkeypatch.setattr(solve, "LARGE", 0)
    monkeypatch.setattr(solve, "solve_by_loads", lambda *given: answers.append(by_loads(*given)) or answers[-1])
    found = plan(household)
    assert answers[-1] is not None
    assert violated_constraints(household, found) == ()
    assert found.objectives[-1].proved
    assert found.objectives[-1].value <= effort.value + max(0.5, 1.5e-3 * effort.value)
    assert found.objectives[-1].bound <= effort.value + 1e-6


def boxes():
    """At least nine halves of boxes, cheap ones at 1 and dear ones at 3: with whole boxes five cheap ones."""
    programme = Model("boxes")
    cheap, dear = (programme.variable(name, most=10, whole=True) for name in ("cheap", "dear"))
    programme.add("enough", at_least([(1.0, cheap), (1.0, dear)], 4.5))
    return programme, [(1.0, cheap), (3.0, dear)]


def test_what_would_cost_a_held_aim_too_much_is_ruled_out():
    """
    Not whole, 4.5 cheap boxes cost 4.5, and a dear one 3 - 1 = 2 more.

    Held at 5 there is 0.5 to spare: no dear box. Held at 7.2 there is 2.7: one at most.
    """
    programme, terms = boxes()
    for held, most_dear in ((5.0, 0.0), (7.2, 1.0)):
        solver = HighsSession(programme)
        tighten_by_reduced_costs(solver, [(solver.vector(terms), False, held)], (5.0, 0.0))
        _, upper = solver.column_bounds()
        assert list(upper) == [10.0, most_dear]
        solver.set_objective(solver.vector(terms), maximize=False)
        assert solver.run(None, SolveSettings()).value == pytest.approx(5.0)


def test_the_plan_at_hand_always_stays_possible():
    """A plan with three dear boxes is at hand, though the objective is said to be held where none is possible."""
    programme, terms = boxes()
    solver = HighsSession(programme)
    tighten_by_reduced_costs(solver, [(solver.vector(terms), False, 5.0)], (2.0, 3.0))
    _, upper = solver.column_bounds()
    assert upper[1] == 3.0


def test_amounts_are_decided_with_every_whole_number_as_it_stands():
    """Three whole boxes stand, so a loose half has to come on top; afterwards boxes are whole and free again."""
    programme = Model("loose")
    box, loose = programme.variable("box", most=10, whole=True), programme.variable("loose")
    programme.add("enough", at_least([(1.0, box), (1.0, loose)], 3.5))
    solver = HighsSession(programme)
    solver.set_objective(solver.vector([(1.0, box), (2.0, loose)]), maximize=False)
    assert solver.solve_amounts((3.0, 7.0)) == pytest.approx((3.0, 0.5))
    assert solver.run(None, SolveSettings()).columns == pytest.approx((4.0, 0.0))
    programme.add("few", at_least([(-1.0, loose)], -0.2))
    assert HighsSession(programme).solve_amounts((3.0, 7.0)) is None


def test_a_misread_starting_point_is_searched_again_without_it_and_then_without_presolve(monkeypatch):
    """An answer whose value is not that of its columns is no answer."""
    programme, terms = boxes()
    asked = []
    true = HighsSession._run

    def lies(solver, start, effort, seconds):
        presolve = solver.highs.getOptionValue("presolve")[1]
        asked.append((start, presolve))
        if len(asked) <= len(expected) - 1:
            return Outcome(True, 2.0, 2.0, "", 1, (5.0, 0.0))
        return true(solver, start, effort, seconds)

    monkeypatch.setattr(HighsSession, "_run", lies)
    start = (6.0, 0.0)
    first, second, last = (start, "choose"), (None, "choose"), (start, "off")
    for expected in ([first, second], [first, second, last]):
        asked.clear()
        solver = HighsSession(programme)
        solver.set_objective(solver.vector(terms), maximize=False)
        assert solver.run(start, SolveSettings()).value == pytest.approx(5.0)
        assert asked == expected
        assert solver.highs.getOptionValue("presolve")[1] == "choose"


def without_patience():
    """The objectives with the last one proved to its end, so that two ways to it can be compared."""
    return tuple(
        dataclasses.replace(
            objective, gap=1e-6, patient_gap=1e-6, absolute_gap=1e-6, patient_absolute_gap=0.0, node_limit=10_000
        )
        if objective.name == "effort"
        else objective
        for objective in OBJECTIVES
    )


@pytest.mark.parametrize("household", [*followed(), tiny_household()], ids=["parts", "days", "tiny"])
def test_the_last_aim_comes_out_the_same_with_nothing_ruled_out(household, monkeypatch):
    monkeypatch.setattr("stillroom.planning.objectives.OBJECTIVES", without_patience())
    ruled_out = solve.plan(household)
    monkeypatch.setattr(solve, "tighten_bounds", lambda search: None)
    by_search = solve.plan(household)
    hours = [
        next(objective for objective in plan.objectives if objective.name == "effort")
        for plan in (ruled_out, by_search)
    ]
    assert all(objective.proved for objective in hours)
    assert hours[0].value == pytest.approx(hours[1].value, abs=1e-3)


def test_no_setup_of_nothing_stands_where_the_search_for_the_last_aims_begins(monkeypatch):
    """The objectives before leave setups standing that cost them nothing; searches that began there ended unproved."""
    begun = []
    true = solve.solve_objective

    def watched(search, objective):
        if objective.improve_start_first and search.best is not None:
            begun.append(objective.name)
            column, variables = search.solver.columns, search.variables
            for setups, amounts in ((variables.setup, variables.make), (variables.setup_freeze, variables.freeze)):
                for key, setup in setups.items():
                    idle = search.best[column[amounts[key].name]] < 1e-9
                    assert not (idle and search.best[column[setup.name]] > 0.5), (objective.name, key)
        return true(search, objective)

    monkeypatch.setattr(solve, "solve_objective", watched)
    for household in followed():
        solve.plan(household)
    assert set(begun) == {"effort"}


def test_targets_of_days_alone_are_searched_with_every_heuristic(monkeypatch):
    """Nothing continuous makes up for whole loads there: without them such targets ended unproved."""
    seen = []
    true = HighsSession.run

    def watched(solver, start, settings, seconds=None):
        seen.append(settings.heuristics)
        return true(solver, start, settings, seconds)

    monkeypatch.setattr(HighsSession, "run", watched)
    for weeks, every in ((1, False), (0, True)):
        seen.clear()
        solve.plan(tiny_household().with_kitchen(weeks_after_that=weeks))
        assert (("root_reduced_cost", "rens", "rins") in seen) == every
