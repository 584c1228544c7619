"""The objectives, in lexicographic order: each is solved for, then bounded while the next is solved for."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

from stillroom.household.plan import EFFORT_PRICES, Kind, Kinded, ObjectiveResult
from stillroom.planning.constraints.stocks import spent
from stillroom.planning.constraints.work import hands_in
from stillroom.planning.highs import Outcome
from stillroom.planning.model import Sum
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

UNPRICED = 0.03
"""Price in the objective of what has no price, so that nothing is bought without use."""

LARGE = 1200
"""A model with more integer variables than this is large; heuristics then fix what the relaxation agrees on."""

CARRIED_HOURS_PER_KG = 0.0005
"""
Charge on fresh crop carried out of the days planned in detail, so that the ripest is used first.

Less than what a kg of surplus loses in weight in a day at the lowest price, or crop would be given away too early.
"""


@dataclass(frozen=True)
class Part:
    """A part of a priced sum: its kind, its unit, the hours one unit of it counts in a household, its terms."""

    kind: Kind
    unit: str
    price: Callable[[Parameters], float]
    terms: Callable[[Parameters, Variables], Sum]


@dataclass(frozen=True)
class Objective(Kinded):
    """
    One objective: `terms` minimized, or maximized when `maximize`.

    `gap`, `patient_gap` and `absolute_gap` say when it counts as proved optimal (see `highs.SolveSettings`);
    `relative_tolerance` and `absolute_tolerance` how far later objectives may worsen it. `heuristics`,
    `heuristic_effort`, `branching_trials` and the node limits were measured for each objective; a model with more than
    LARGE integer variables has settings of its own, and `heuristics_without_weeks` run where every period is a day and
    nothing continuous makes up for whole loads. With `improve_start_first` the warm start is improved for the
    objective first. After `highs.PATIENT_NODES` nodes `patient_gap` and `patient_absolute_gap` are close enough.
    `parts` are the terms that make up a priced sum. A gain over a value `beside` need be known to `highs.GAIN_GAP`.
    """

    unit: str
    terms: Callable[[Parameters, Variables], Sum]
    maximize: bool = False
    gap: float = 1e-4
    patient_gap: float = 1e-4
    absolute_gap: float = 1e-6
    patient_absolute_gap: float = 0.0
    heuristics: tuple[str, ...] = ()
    heuristics_without_weeks: tuple[str, ...] = ()
    branching_trials: int = 8
    node_limit: int = 10_000
    heuristics_when_large: tuple[str, ...] = ()
    node_limit_when_large: int = 10_000
    heuristic_effort: float = 0.05
    improve_start_first: bool = False
    relative_tolerance: float = 1e-4
    absolute_tolerance: float = 1e-4
    parts: tuple[Part, ...] = ()
    beside: float | None = None

    def is_proved(self, outcome: Outcome) -> bool:
        """Return whether an outcome is close enough to its bound: within `patient_gap`, or within the tolerances."""
        away = abs(outcome.value - outcome.bound)
        close = max(self.absolute_gap, self.patient_absolute_gap, self.absolute_tolerance)
        return outcome.gap <= self.patient_gap + 1e-9 or away <= close

    def tolerance(self, value: float) -> float:
        """Return how far later objectives may worsen this one from a value."""
        return max(self.relative_tolerance * abs(value), self.absolute_tolerance)

    def result(
        self, value: float, bound: float, *, proved: bool, seconds: float = 0.0, stopped: str = ""
    ) -> ObjectiveResult:
        """Return the result of this objective."""
        return ObjectiveResult(
            self.kind,
            value,
            self.unit,
            bound,
            proved,
            seconds,
            stopped,
            importance=self.importance,
            worst_season=self.worst_season,
        )


def fixed_line_shortfall(_: Parameters, variables: Variables) -> Sum:
    """
    Minimize the total shortfall of the fixed lines.

        minimize sum over i of short[i]

    in containers (kg for crop frozen whole or thawed).
    """
    return [(1.0, variable) for variable in variables.short.values()]


def target_points(parameters: Parameters, variables: Variables, importance: int) -> Sum:
    """
    Maximize the points of the targets of one importance.

        maximize sum over n and b of weight[n] * gains[b] * filled[n, b] / wanted[n]

    in points. The gains fall from segment to segment (4, 3, 2, 1), so the emptiest target is filled first. A target of
    weight 1 filled from empty is worth 2.5 points; with one segment of gain 1, one point. Targets that the tolerance
    could cost more than a hundredth of their points are solved for once more, while the others keep what they have.
    """
    return points_of(parameters, variables, weights_of(parameters, importance))


def weights_of(parameters: Parameters, importance: int) -> dict[str, float]:
    """Return the weights of the targets of one importance of which something is wanted, by name."""
    return {
        target.name: target.weight
        for target in parameters.targets
        if target.importance == importance and target.wanted > 0
    }


def points_of(parameters: Parameters, variables: Variables, weights: Mapping[str, float]) -> Sum:
    """Return the points of some targets, with these weights."""
    return [
        (weights[target.name] * gain / target.wanted, variables.filled[target.name, segment])
        for target in parameters.targets
        if target.name in weights
        for segment, gain in enumerate(parameters.gains)
    ]


LIGHT = 0.01
"""A target of whose points the tolerance of its importance is worth more than this share is solved for once more."""


def light_targets(parameters: Parameters, weights: Mapping[str, float], tolerance: float) -> dict[str, float]:
    """
    Return the targets that a tolerance in points could cost more than a hundredth of their own, as shares of the most.

    With weights of 1000 and 1 the tolerance of 0.25 points is a tenth of what the light one is worth.

    >>> from stillroom.household.examples import tiny_household
    >>> light_targets(Parameters(tiny_household()), {"juice": 1000.0, "soup": 1.0, "kraut": 0.5}, 0.25)
    {'soup': 1.0, 'kraut': 0.5}
    """
    worth = sum(parameters.gains) / len(parameters.gains)
    light = {name: weight for name, weight in weights.items() if 0 < LIGHT * weight * worth < tolerance}
    most = max(light.values(), default=1.0)
    return {name: weight / most for name, weight in light.items()} if len(light) < len(weights) else {}


def spending(parameters: Parameters, variables: Variables) -> Sum:
    """
    Minimize the money spent, so that nothing is bought that no target uses.

        minimize sum over what can be bought of price * bought

    in money; a price that was not typed counts 0.03.
    """
    return spent(parameters, variables, UNPRICED)


def weighted_surplus(parameters: Parameters, variables: Variables) -> Sum:
    """
    Count the surplus, the crop on hand most.

        sum over c and t of falling[t] * surplus[c, t] + spoil[c, t]
          + sum over c of left[c] * fresh[c, T] + left_frozen[c] * frozen[c, T]

    where, in kg,
        falling[t]     = 1 on the first day, falling evenly by date to 0.5 in the last period, T
        left[c]        = 0.5, or 1 where no included preserve can use c
        left_frozen[c] = 0.5, or 1 where no included preserve can use c from frozen

    Without the fall a plan would give away today's crop and count on next week's; spoil counts 1, so freezing is no way
    around it.
    """
    first, final = parameters.periods[0].first_day, parameters.periods[-1]
    last, length = final.number, (final.first_day - first).days
    terms: Sum = []
    for crop in parameters.crops:
        for period in parameters.periods:
            key = (crop.name, period.number)
            terms.append((falling((period.first_day - first).days, length), variables.surplus[key]))
            if key in variables.spoil:
                terms.append((1.0, variables.spoil[key]))
        terms.append((0.5 if crop.name in parameters.crops_in_use else 1.0, variables.fresh[crop.name, last]))
        if (crop.name, last) in variables.frozen:
            cooked = crop.name in parameters.usable_from_frozen
            terms.append((0.5 if cooked else 1.0, variables.frozen[crop.name, last]))
    return terms


def falling(days: int, length: int) -> float:
    """
    Return the weight of surplus some days after the first: 1 on the first day, 0.5 when the last period begins.

    >>> [round(falling(days, 56), 2) for days in (0, 6, 7, 56)]
    [1.0, 0.95, 0.94, 0.5]
    """
    return 1.0 - 0.5 * days / length if length else 1.0


def plan_changes(parameters: Parameters, variables: Variables) -> Sum:
    """
    Count the change from the days that the last plan had in detail.

        sum over i of weight[i] * (more[i] + less[i]) + sum over p and t in new_lines of weight[p, t] * make[p, t]

    in containers, compared by day, where
        weight = 2 today and tomorrow, for which a cook has bought and laid out; 1 later, and for crop that keeps two
                 weeks

    What the last plan had for whole weeks was rough and counts for nothing.
    """
    weights = [parameters.change_weight(line.name, line.numbers[0]) for line in parameters.last_lines]
    terms: Sum = [(weights[i], variable) for both in (variables.more, variables.less) for i, variable in both.items()]
    new = [key for key in parameters.new_lines if key in variables.make]
    return terms + [(parameters.change_weight(*key), variables.make[key]) for key in new]


def labor_hours(parameters: Parameters, variables: Variables) -> Sum:
    """
    Count the labor, setups included.

        sum over t of hands_in[t] + setup * sessions[t] + sum over c of 0.0005 * fresh[c, last detailed day]

    where, in hours,
        hands_in[t] = labor in t, as in `hands_hours`
        setup       = hours to set up one kind of work
        sessions[t] = loads, setups of preserves without loads, and freezing sessions;
                      in weeks, where nothing is integer, make / load or make / smallest batch
    """
    setup = parameters.household.kitchen.setup_hours_a_kind
    terms: Sum = []
    for period in parameters.periods:
        terms += hands_in(parameters, variables, period.number)
        for item in parameters.preserves:
            key = (item.name, period.number)
            if period.single and key in variables.loads:
                terms.append((setup, variables.loads[key]))
            elif period.single and key in variables.setup:
                terms.append((setup, variables.setup[key]))
            elif key in variables.make:
                terms.append((setup / (item.load or item.smallest_batch), variables.make[key]))
        for crop in parameters.freezable:
            key = (crop.name, period.number)
            if key in variables.setup_freeze:
                terms.append((setup, variables.setup_freeze[key]))
    if parameters.singles and parameters.singles[-1] is not parameters.periods[-1]:
        number = parameters.singles[-1].number
        terms += [(CARRIED_HOURS_PER_KG, variables.fresh[crop.name, number]) for crop in parameters.crops]
    return terms


def effort(parameters: Parameters, variables: Variables) -> Sum:
    """
    Minimize the work, and what it would be worth to be rid of surplus and of changes, in one sum.

        minimize surplus_price * surplus + change_price * change + labor

    in hours, where the prices are those of the household's *Effort*: an hour a kg of surplus and a quarter of an hour
    a container changed for *normal*. In strict order a crumb of surplus would outweigh any hours.
    """
    return [
        (part.price(parameters) * coefficient, variable)
        for part in EFFORT_PARTS
        for coefficient, variable in part.terms(parameters, variables)
    ]


EFFORT_PARTS = (
    Part("surplus", "kg", lambda given: EFFORT_PRICES[given.household.kitchen.effort].surplus_kg, weighted_surplus),
    Part("stability", "containers", lambda given: EFFORT_PRICES[given.household.kitchen.effort].change, plan_changes),
    Part("labor", "hours", lambda _: 1.0, labor_hours),
)
"""The parts of the last objective, with their prices in hours."""

FIRST = (Objective("fixed", "containers", fixed_line_shortfall, relative_tolerance=1e-5, absolute_tolerance=5e-5),)
"""Its tolerance is below a reported violation (1e-4), or a line of 5 kg would be short by a tenth of a gram."""

TARGETS = tuple(
    Objective(
        "target",
        "points",
        partial(target_points, importance=importance),
        maximize=True,
        node_limit=2000,
        node_limit_when_large=2000,
        heuristics_without_weeks=("root_reduced_cost", "rens", "rins"),
        importance=importance,
    )
    for importance in (1, 2, 3)
)
MONEY = Objective(
    "money", "money", spending, gap=1e-9, patient_gap=1e-9, absolute_gap=0.01, relative_tolerance=0.0,
    absolute_tolerance=0.01,
)  # fmt: skip
SURPLUS = Objective(
    "surplus",
    "kg",
    weighted_surplus,
    gap=5e-4,
    patient_gap=5e-4,
    relative_tolerance=5e-4,
    absolute_tolerance=0.005,
    heuristics=("root_reduced_cost",),
    heuristics_when_large=("rens", "rins"),
    node_limit_when_large=500,
)
"""Not solved for in a plan, where it is a part of the effort: what more of a resource is worth is counted by it."""

EFFORT = Objective(
    "effort",
    "hours",
    effort,
    gap=5e-4,
    patient_gap=1.5e-3,
    absolute_gap=0.05,
    patient_absolute_gap=0.5,
    relative_tolerance=5e-4,
    absolute_tolerance=0.05,
    improve_start_first=True,
    heuristics=("root_reduced_cost", "rins"),
    heuristics_when_large=("rens", "rins"),
    node_limit=3000,
    node_limit_when_large=300,
    parts=EFFORT_PARTS,
)

WORTH: tuple[Objective, ...] = (*FIRST, *TARGETS, MONEY, SURPLUS)
"""What a plan is worth, without the work it takes, in lexicographic order."""

OBJECTIVES: tuple[Objective, ...] = (*FIRST, *TARGETS, MONEY, EFFORT)
"""Every objective, in lexicographic order."""


def objectives_for(parameters: Parameters) -> tuple[Objective, ...]:
    """Return the objectives of this household: an importance without targets is left out."""
    return with_its_targets(OBJECTIVES, parameters)


def worth_for(parameters: Parameters) -> tuple[Objective, ...]:
    """Return the objectives of what a plan of this household is worth; an importance without targets is left out."""
    return with_its_targets(WORTH, parameters)


def with_its_targets(objectives: tuple[Objective, ...], parameters: Parameters) -> tuple[Objective, ...]:
    """Return the objectives without the importances that no target has."""
    present = {target.importance for target in parameters.targets}
    return tuple(objective for objective in objectives if objective.kind != "target" or objective.importance in present)
