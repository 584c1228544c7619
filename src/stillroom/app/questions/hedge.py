"""What it is worth to a household to plan for all harvests together: its workbook read, planned three ways, said."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.app.plan import read_workbook
from stillroom.household.journal.events import still_to_do
from stillroom.household.plan import Kind, Progress, no_progress
from stillroom.household.records import Household
from stillroom.household.results.compare import list_words, shop_worth
from stillroom.household.results.messages import SMALLEST_DIFFERENCE, worth_words
from stillroom.household.results.rows import cell_number
from stillroom.household.scenarios import HarvestCase, harvest_cases, uncertain
from stillroom.household.text import format_change, format_list, format_money, format_share, format_weight
from stillroom.planning.stochastic.value import hedge_value
from stillroom.reports.json import as_json, errors_object, text
from stillroom.reports.problems import lines_with_errors

if TYPE_CHECKING:
    from stillroom.planning.stochastic.value import HedgeValue, ObjectiveValue


NOTHING_UNSURE = "No lot after tomorrow has a Least or a Most, so there is nothing to compare."

ON_AVERAGE = "On average"
MOST_TARGETS = 6
NO_POINTS = 5e-3
WORTH_DOING_POINTS = 0.05
"""A fiftieth of a need filled from empty, which is worth 2.5: a choice of this project, without a source."""
CENTS = 0.05
KG_WORTH_SAYING = 0.25


@dataclass(frozen=True)
class Hedging:
    """What planning for all harvests is worth to a household; `value` is None where nothing is unsure."""

    household: Household
    cases: tuple[HarvestCase, ...]
    value: HedgeValue | None

    def expected(self) -> dict[str, float]:
        """How much more of each need hedging gives on average over the seasons, in the need's unit."""
        more = dict(self.value.more()) if self.value is not None else {}
        return {
            target.name: sum(case.weight * more[case.name].get(target.name, 0.0) for case in self.cases)
            for target in self.household.targets
            if more and target.wanted > 0
        }

    def objective(self, kind: Kind) -> ObjectiveValue | None:
        """The aim of that kind; None when it is not valued."""
        return next(
            (
                objective
                for objective in (self.value.objectives if self.value is not None else ())
                if objective.kind == kind
            ),
            None,
        )


def hedging_of(path: Path, today: datetime.date, progress: Progress = no_progress) -> Hedging:
    """
    Read a workbook and plan it three ways; whatever it says to plan for, and whether its days fit the clock or not.

    Takes as long as some three plans for all harvests; writes nothing. Raises WorkbookRefused with every problem that
    stops a plan.
    """
    reading = read_workbook(path, today)
    reading.refuse_if_stopped()
    household = still_to_do(reading.household)
    cases = harvest_cases(household)
    if len(cases) == 1:
        return Hedging(household, cases, None)
    return Hedging(household, cases, hedge_value(household, progress))


def words_of(found: Hedging) -> Sequence[str]:
    """The same of what was found, in lines, after the errors of what is left out."""
    return lines_with_errors(found.household, value_words(found))


def value_words(found: Hedging) -> list[str]:
    """What hedging gains, in lines."""
    if found.value is None:
        return [NOTHING_UNSURE]
    lines = ["A plan for all harvests, compared with a plan for the likely harvest:"]
    lines += [f"  {words}" for words in worth_words(found.value.more())]
    lines.append(f"{ON_AVERAGE} (chances: {chances_words(found.cases)}):")
    lines += [f"  {words}" for words in (average_words(found), money_words(found), surplus_words(found)) if words]
    lines.append("Points for filling the winter list, most important targets first:")
    for objective in found.value.objectives:
        if objective.kind == "target":
            gain, known = (
                0.0 if abs(each) < NO_POINTS else each for each in (objective.of_hedging, objective.of_knowing)
            )
            lines.append(
                f"  {objective.name}: {format_change(gain)} {objective.unit}; knowing the harvest today would add "
                f"{format_change(known)}"
            )
    lines.append("This does not check that a day's work fits the clock, and does not compare hours of work.")
    lines.append(verdict(found.value.objectives))
    return lines


def verdict(objectives: Sequence[ObjectiveValue]) -> str:
    """What to do about it, by the first needs aim in which hedging and the plan for one harvest differ at all."""
    gains = [
        objective.of_hedging
        for objective in objectives
        if objective.kind == "target" and abs(objective.of_hedging) >= NO_POINTS
    ]
    if gains and gains[0] >= WORTH_DOING_POINTS:
        return "It is worth doing: in Kitchen, type all harvests at *plan for*."
    return "It makes little difference here: leave *plan for* in Kitchen as it is."


def chances_words(cases: Sequence[HarvestCase]) -> str:
    """How likely each harvest is, as `poor 25%, likely 50%, good 25%`."""
    return ", ".join(f"{case.name} {format_share(case.weight)}" for case in cases)


def average_words(found: Hedging) -> str:
    """What the list has more or less of on average, and what that would cost at the store."""
    more = {name: by for name, by in found.expected().items() if abs(by) >= SMALLEST_DIFFERENCE / 4}
    if not more:
        return "no target changes"
    worth, unpriced = shop_worth(found.household, more)
    gained = {name: by for name, by in more.items() if by > 0}
    lost = {name: -by for name, by in more.items() if by < 0}
    words = "; ".join(
        f"{side}: {list_words(found.household, changes, MOST_TARGETS)}"
        for side, changes in (("more", gained), ("less", lost))
        if changes
    )
    if len(unpriced) < len(more):
        side = "more" if worth >= 0 else "less"
        words += f"; at the store that is {format_money(abs(worth))} {side}"
        words += f", not counting what has no price: {format_list(list(unpriced), 3)}" if unpriced else ""
    return words


def money_words(found: Hedging) -> str:
    """What more or less is spent on average; empty for cents."""
    objective = found.objective("money")
    if objective is None or abs(objective.of_hedging) < CENTS:
        return ""
    return f"{format_money(abs(objective.of_hedging))} {'less' if objective.of_hedging > 0 else 'more'} to spend"


def surplus_words(found: Hedging) -> str:
    """What more or less is fed on average; empty for crumbs."""
    objective = found.objective("surplus")
    if objective is None or abs(objective.of_hedging) < KG_WORTH_SAYING:
        return ""
    which = "less" if objective.of_hedging > 0 else "more"
    return f"{format_weight(abs(objective.of_hedging))} {which} surplus"


def hedging_object(found: Hedging) -> dict[str, object]:
    """
    The same for other programs.

    `hedge` (null: nothing to be unsure of) has `lots`, how many nobody can be sure of; `seasons`, each with its
    `weight` and for every need `hedged`, `one_harvest` and `more` in the need's unit; `on_average` with `targets`,
    `shop_worth` and `without_shop_price`; and `objectives`, each `hedged`, `one_harvest` and `foresight` with what
    hedging and what knowing is worth, above nothing a gain. `messages` are the lines as shown.
    """
    parts: dict[str, object] = {"messages": value_words(found), "hedge": None} | errors_object(found.household)
    if found.value is None:
        return parts
    expected = found.expected()
    worth, unpriced = shop_worth(found.household, expected)
    hedge: dict[str, object] = {
        "lots": len(uncertain(found.household)),
        "seasons": [season_object(found, case) for case in found.cases],
        "on_average": {
            "targets": {name: cell_number(by) for name, by in sorted(expected.items())},
            "shop_worth": cell_number(worth),
            "without_shop_price": list(unpriced),
        },
        "objectives": [as_json(objective, "name", "of_hedging", "of_knowing") for objective in found.value.objectives],
    }
    return parts | {"hedge": hedge}


def season_object(found: Hedging, case: HarvestCase) -> dict[str, object]:
    """One season: its weight, and how far each need is filled both ways."""
    value = found.value
    both: tuple[Mapping[str, float], ...] = (
        () if value is None else (value.hedged[case.name], value.one_harvest[case.name])
    )
    hedged, one_harvest = both or ({}, {})
    units = {target.name: target.unit or None for target in found.household.targets}
    targets = [
        {
            "target": name,
            "unit": units[name],
            "hedged": cell_number(has),
            "one_harvest": cell_number(one_harvest[name]),
            "more": cell_number(has - one_harvest[name]),
        }
        for name, has in sorted(hedged.items())
    ]
    return {"season": case.name, "weight": case.weight, "targets": targets}


def hedging_json(found: Hedging) -> str:
    """The object as text."""
    return text(hedging_object(found))
