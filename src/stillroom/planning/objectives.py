"""The aims, in the order in which they are reached and then held."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from stillroom.household.plan import Kinded, ObjectiveResult
from stillroom.planning.constraints.stocks import spent
from stillroom.planning.constraints.work import hands_in
from stillroom.planning.model import Sum
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

UNPRICED = 0.03
"""What a thing without a price costs in the aim, so that it is not bought for nothing."""

LARGE = 1200
"""Whole numbers above which a programme is large; a plan is then found by fixing what the relaxation agrees on."""

CARRIED_HOURS_PER_KG = 0.003
"""A small charge on fresh crop carried out of the days planned in detail: ripest and soonest first."""


@dataclass(frozen=True)
class Objective(Kinded):
    """
    One aim: `terms` to be made least, or most when `most`.

    `gap` is how close to the bound counts as proved, `slack_share` and `least_slack` how much of it may be given up
    while later aims are improved. `patient_gap` is accepted once a stated number of nodes have gone by, and a distance
    of `close_enough` in the aim's own unit always. `helped_by` names the searches that were measured to pay for this
    aim (all three for all aims took three times as long), `help_share` how much of all work may go into them, `trials`
    how often a branching is tried before its estimate is trusted, all measured likewise. With `made_ready` the plan at
    hand is improved for the aim before the search starts from it. After `last_nodes` the search ends unproved, and says
    so. A programme of more than LARGE whole numbers has settings of its own, measured on a kitchen of 200 preserves.
    """

    unit: str
    terms: Callable[[Parameters, Variables], Sum]
    most: bool = False
    gap: float = 1e-4
    patient_gap: float = 1e-4
    close_enough: float = 1e-6
    helped_by: tuple[str, ...] = ()
    trials: int = 8
    last_nodes: int = 10_000
    helped_by_when_large: tuple[str, ...] = ()
    last_nodes_when_large: int = 10_000
    help_share: float = 0.05
    made_ready: bool = False
    slack_share: float = 1e-4
    least_slack: float = 1e-4

    def result(
        self, value: float, bound: float, *, proved: bool, seconds: float = 0.0, stopped: str = ""
    ) -> ObjectiveResult:
        """How far this aim was reached."""
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


def keep_fixed_lines(_: Parameters, variables: Variables) -> Sum:
    """
    Keep fixed lines: the least total breach.

        least  sum over i of short[i]

    in containers (kilograms for crop frozen whole or thawed).
    """
    return [(1.0, variable) for variable in variables.short.values()]


def fill_targets(importance: int) -> Callable[[Parameters, Variables], Sum]:
    """
    Fill the needs of one importance.

        most  sum over n and b of weight[n] * gain[b] * filled[n, b] / wanted[n]

    in points: a need of weight 1 that is filled from empty is worth 2.5 (one band of gain 1: 1). What is far from
    filled goes first, since the gains fall band by band.
    """

    def terms(parameters: Parameters, variables: Variables) -> Sum:
        return [
            (target.weight * gain / target.wanted, variables.filled[target.name, band])
            for target in parameters.targets
            if target.importance == importance and target.wanted > 0
            for band, gain in enumerate(parameters.gains)
        ]

    return terms


def spend_little(parameters: Parameters, variables: Variables) -> Sum:
    """
    The least money: nothing is bought except for needs.

        least  sum over what can be bought of price * bought

    in money; 0.01 stands in where no price is typed.
    """
    return spent(parameters, variables, UNPRICED)


def feed_little(parameters: Parameters, variables: Variables) -> Sum:
    """
    The least crop fed, what is in hand first.

        least  sum over c and t of falling[t] * fed[c, t] + spoil[c, t]
               + sum over c of held[c] * (fresh[c, T] + frozen[c, T])

    in kg, where falling[t] = 1 today, falling evenly to 0.5 in the last period; held[c] = 0.5, or 1 where no preserve
    with Include = yes can use c (frozen whole: from frozen). Without the fall a plan gives today's crop to the hens and
    counts on next week's; with spoil at 1 freezing is no way round it.
    """
    last = parameters.periods[-1].number
    terms: Sum = []
    for crop in parameters.crops:
        for period in parameters.periods:
            key = (crop.name, period.number)
            terms.append((falling(period.number, last), variables.surplus[key]))
            if key in variables.spoil:
                terms.append((1.0, variables.spoil[key]))
        terms.append((0.5 if crop.name in parameters.usable_crops else 1.0, variables.fresh[crop.name, last]))
        if (crop.name, last) in variables.frozen:
            cooked = crop.name in parameters.usable_from_frozen
            terms.append((0.5 if cooked else 1.0, variables.frozen[crop.name, last]))
    return terms


def falling(number: int, last: int) -> float:
    """
    The weight of crop fed in a period: 1 in the first, 0.5 in the last.

    >>> [falling(number, 4) for number in range(5)]
    [1.0, 0.875, 0.75, 0.625, 0.5]
    """
    return 1.0 - 0.5 * number / last if last else 1.0


def change_little(_: Parameters, variables: Variables) -> Sum:
    """
    The least change from the plan in the workbook.

        least  sum over i of more[i] + less[i]

    in containers, compared by day.
    """
    return [(1.0, variable) for both in (variables.more, variables.less) for variable in both.values()]


def work_little(parameters: Parameters, variables: Variables) -> Sum:
    """
    The least hands hours, every load and every session with its set-up.

        least  sum over t of hands[t] + setup * (loads + setups of kinds without loads + freezing sessions)[t]
               + sum over c of 0.003 h/kg * fresh[c, last single day]

    in hours. In weeks, where nothing is whole, a container carries its share of a full batch's set-up, or work would
    drift there. The last term is the small charge on crop carried out of the single days. Not weighted by day.
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


FIRST = (Objective("fixed", "containers", keep_fixed_lines, slack_share=1e-5, least_slack=5e-5),)
"""Its slack stays below what is said as a breach (1e-4), or a line of 5 kg is called short by a tenth of a gram."""

TARGETS = tuple(
    Objective(
        "target",
        "points",
        fill_targets(importance),
        most=True,
        last_nodes=2000,
        last_nodes_when_large=2000,
        importance=importance,
    )
    for importance in (1, 2, 3)
)
LATER = (
    Objective("money", "money", spend_little, gap=0.005, patient_gap=0.005, least_slack=0.01),
    Objective(
        "surplus",
        "kg",
        feed_little,
        gap=5e-4,
        patient_gap=5e-4,
        slack_share=5e-4,
        least_slack=0.005,
        helped_by=("root_reduced_cost",),
        helped_by_when_large=("rens", "rins"),
        last_nodes_when_large=500,
    ),
    Objective(
        "stability",
        "containers",
        change_little,
        gap=0.005,
        patient_gap=0.01,
        close_enough=0.1,
        made_ready=True,
        helped_by=("rins",),
        trials=4,
        last_nodes=3000,
        helped_by_when_large=("rins",),
        last_nodes_when_large=300,
    ),
    Objective(
        "labor",
        "hours",
        work_little,
        gap=0.01,
        patient_gap=0.02,
        made_ready=True,
        helped_by=("rins",),
        help_share=0.15,
        trials=4,
        last_nodes=600,
        last_nodes_when_large=0,
    ),
)

OBJECTIVES: tuple[Objective, ...] = (*FIRST, *TARGETS, *LATER)
"""Every aim, in order."""


def objectives_for(parameters: Parameters) -> tuple[Objective, ...]:
    """The aims that this household has: an importance that no need has is left out."""
    present = {target.importance for target in parameters.targets}
    return tuple(objective for objective in OBJECTIVES if objective.kind != "target" or objective.importance in present)
