"""Loads, hands, stove and equipment."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stillroom.planning.model import Row, Sum, at_least, at_most
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

Named = tuple[str, Row]


def whole_loads(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    What is made fits in the loads; a part-load takes a full load's time.

        make[p, t] <= load[p] * loads[p, t]

    where load[p] = containers in one filling. Loads are whole in single days; in weeks loads = make / load.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(whole_loads, tiny_household(), "juice.08-14")
    whole_loads.juice.08_14: make.juice.08_14 - 7 loads.juice.08_14 <= 0
    """
    for item in parameters.preserves:
        for period in parameters.singles:
            key = (item.name, period.number)
            if item.load is not None and key in variables.loads:
                terms = [(1.0, variables.make[key]), (-float(item.load), variables.loads[key])]
                yield variables.name("whole_loads", item.name, period.label), at_most(terms, 0.0)


def no_empty_loads(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    In single days no load stays empty: the last one holds at least one container.

        make[p, t] >= load[p] * (loads[p, t] - 1) + 1

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(no_empty_loads, tiny_household(), "juice")
    no_empty_loads.juice.08_14: make.juice.08_14 - 7 loads.juice.08_14 >= -6
    no_empty_loads.juice.08_15: make.juice.08_15 - 7 loads.juice.08_15 >= -6
    """
    for item in parameters.preserves:
        for period in parameters.singles:
            key = (item.name, period.number)
            if item.load is not None and key in variables.loads:
                terms = [(1.0, variables.make[key]), (-float(item.load), variables.loads[key])]
                yield variables.name("no_empty_loads", item.name, period.label), at_least(terms, 1.0 - item.load)


def hands_hours(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    The hands have time for it.

        sum over p of hands_each[p] * make[p, t] + hands_load[p] * loads[p, t]
          + sum over c of freeze_hours_per_kg[c] * freeze[c, t]  <=  hands_hours[t]

    in person-hours. A preserve without equipment has no loads: its minutes a load are spread over its smallest batch.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(hands_hours, tiny_household(), "08-14")
    hands_hours.08_14: 0.0833333 make.dried_tomato.08_14 + 0.1 make.juice.08_14 + 0.5 loads.juice.08_14 + 0.166667
        make.kraut.08_14 + 0.05 make.soup.08_14 + 0.0367437 freeze.tomato.08_14 <= 4
    """
    for period in parameters.periods:
        hours = parameters.hands_hours(period)
        if math.isfinite(hours):
            yield (
                variables.name("hands_hours", period.label),
                at_most(hands_in(parameters, variables, period.number), hours),
            )


def hands_in(parameters: Parameters, variables: Variables, number: int) -> Sum:
    """Person-hours that a period's making and freezing take."""
    terms: Sum = []
    for item in parameters.preserves:
        key = (item.name, number)
        if key in variables.make:
            terms.append((parameters.hands_each(item), variables.make[key]))
        terms += [
            (parameters.hands_load(item) * share, variable) for share, variable in variables.load_terms(item, number)
        ]
    for crop in parameters.freezable:
        if (crop.name, number) in variables.freeze:
            terms.append((crop.freeze_hours_per_kg, variables.freeze[crop.name, number]))
    return terms


def stove_hours(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    The burners are free for it.

        sum over p of stove_each[p] * make[p, t]
          + sum over p and s <= t of stove_load[p, s, t] * loads[p, s]  <=  stove_hours[t]

    in burner-hours: stove_hours = hours the stove is free * burners; stove_load = the preserve's own stove minutes a
    load, and the burners of its last piece for as long as that heats up, vents and processes; a job longer than the
    day holds its burners in later periods too.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(stove_hours, tiny_household(), "08-14")
    stove_hours.08_14: 0.166667 make.broth.08_14 + 2.16667 loads.juice.08_14 + 0.0833333 make.soup.08_14 <= 8
    """
    sums: dict[int, Sum] = {period.number: [] for period in parameters.periods}
    for item in parameters.preserves:
        for period in parameters.periods:
            key = (item.name, period.number)
            if key in variables.make:
                sums[period.number].append((parameters.stove_each(item), variables.make[key]))
            for share, variable in variables.load_terms(item, period.number):
                for number, hours in parameters.stove_hours_load(item, period).items():
                    sums[number].append((hours * share, variable))
    for period in parameters.periods:
        hours = parameters.stove_hours(period)
        if math.isfinite(hours):
            yield variables.name("stove_hours", period.label), at_most(sums[period.number], hours)


def equipment_hours(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Each piece of equipment is free for its loads, those begun earlier and still in it included.

        sum over p and s <= t of taken[p, e, s, t] * loads[p, s]  <=  equipment_hours[e, t]

    in hours of all pieces of e together, where taken[p, e, s, t] = hours that a load of p begun in s holds e in t: the
    stove minutes a load in every piece but the last; heating up, venting, process and cooling down in the last.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(equipment_hours, tiny_household(), "08-15")
    equipment_hours.canner.08_15: 1.16667 loads.juice.08_15 <= 2
    equipment_hours.crock.08_15: 24 loads.kraut.08_14 + 24 loads.kraut.08_15 <= 24
    equipment_hours.dryer.08_15: 12 loads.dried_tomato.08_14 + 24 loads.dried_tomato.08_15 <= 24
    """
    sums: dict[tuple[str, int], Sum] = {}
    for item in parameters.preserves:
        for period in parameters.periods:
            for share, variable in variables.load_terms(item, period.number):
                for piece, hours in parameters.piece_hours(item):
                    for number, taken in parameters.spread(hours, period, overnight=piece.runs_overnight).items():
                        sums.setdefault((piece.name, number), []).append((taken * share, variable))
    for piece in parameters.equipment:
        for period in parameters.periods:
            terms = sums.get((piece.name, period.number))
            if terms:
                label = variables.name("equipment_hours", piece.name, period.label)
                yield label, at_most(terms, parameters.equipment_hours(piece, period))
