"""Constraints on work: loads, labor, stove, equipment, and how much is begun in a day."""

from __future__ import annotations

import math
from collections.abc import Iterator

from stillroom.planning.model import Row, Sum, at_least, at_most
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

Named = tuple[str, Row]


def whole_loads(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Fit what is made in whole loads on detailed days; a part load takes a full load's time.

        make[p, t] <= load[p] * loads[p, t]      for p with a load, t in singles

    where
        load[p] = containers in one load; in weeks loads[p, t] = make[p, t] / load[p] without a variable

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(whole_loads, tiny_household(), "juice.08-14")
    whole_loads.juice.08_14: make.juice.08_14 - 7 loads.juice.08_14 <= 0
    """
    for item in parameters.preserves:
        for period in parameters.singles:
            key = (item.name, period.number)
            if item.load is not None and key in variables.loads:
                terms = [(1.0, variables.make[key]), (-float(item.load), variables.loads[key])]
                yield variables.name("whole_loads", item.name, period.label), at_most(terms, 0.0)


def worthwhile_loads(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Fill the last load of a detailed day at least as far as is worth heating the canner for.

        make[p, t] >= load[p] * (loads[p, t] - 1) + last_load[p, t]      for p with a load, t in singles

    where, in containers,
        last_load[p, t] = batch[p, t] of `smallest_batch`, a third of a load where that is blank, but at most half a
                          load rounded up; 1 for fixed lines

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(worthwhile_loads, tiny_household(), "juice")
    worthwhile_loads.juice.08_14: make.juice.08_14 - 7 loads.juice.08_14 >= -4
    worthwhile_loads.juice.08_15: make.juice.08_15 - 7 loads.juice.08_15 >= -4
    """
    for item in parameters.preserves:
        for period in parameters.singles:
            key = (item.name, period.number)
            if item.load is not None and key in variables.loads:
                terms = [(1.0, variables.make[key]), (-float(item.load), variables.loads[key])]
                least = 1 if key in parameters.fixed_at else parameters.last_load(item, period)
                yield variables.name("worthwhile_loads", item.name, period.label), at_least(terms, least - item.load)


def hands_hours(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Keep labor within the hands-on hours of every period.

        sum over p of hands_each[p] * make[p, t] + hands_load[p] * loads[p, t]
          + sum over c of freeze_hours_per_kg[c] * freeze[c, t] <= hands_hours[t]      for t in periods

    in person-hours. Without equipment, a preserve's minutes a load are spread over its smallest batch. Of hands_hours
    the share kept free is left out; only fixed lines may use it.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
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
    """Return the person-hours of labor in a period, without setups."""
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
    Keep the use of burners within the burner-hours of every period.

        sum over p of stove_each[p] * make[p, t]
          + sum over p and s <= t of stove_hours_load[p, s, t] * loads[p, s] <= stove_hours[t]      for t in periods

    where, in burner-hours,
        stove_hours[t]            = hours the stove is free * burners, without the share kept free
        stove_hours_load[p, s, t] = minutes a load on the stove, and the burners of the last piece of equipment until
                                    the process ends; a job longer than a day runs on in later periods

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
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
    Keep each piece of equipment within its hours, loads still running from earlier periods included.

        sum over p and s <= t of spread[p, e, s, t] * loads[p, s] <= equipment_hours[e, t]
          for e in equipment, t in periods

    where, in hours of all pieces of e together,
        spread[p, e, s, t] = hours in t that a load begun in s occupies e: its stove minutes in all pieces but the last;
                             heating up, venting, rise to full pressure, process, cooling down and the wait before
                             the jars come out in the last

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
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


def most_preserves(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Begin no more preserves on a detailed day than the household wants to.

        sum over p of setup[p, t] + sum over c of setup_freeze[c, t] <= most_begun[t]      for t in singles

    where
        most_begun[t] = the household's limit, or the number of fixed lines of the day if that is more

    Freezing a crop whole counts as a preserve: it is one more thing to wash, cut and pack. Without a limit there is no
    constraint, and no `setup` of what is made in loads.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(most_preserves, tiny_household().with_kitchen(most_preserves_a_day=2), "08-14")
    most_preserves.08_14: setup.broth.08_14 + setup.cabbage_heads.08_14 + setup.dried_tomato.08_14 +
        setup.juice.08_14 + setup.kraut.08_14 + setup.soup.08_14 + setup_freeze.tomato.08_14 <= 2
    """
    for period in parameters.singles:
        most = parameters.most_begun(period)
        begun: Sum = [
            (1.0, variable)
            for several in (variables.setup, variables.setup_freeze)
            for (_, number), variable in several.items()
            if number == period.number
        ]
        if math.isfinite(most) and begun:
            yield variables.name("most_preserves", period.label), at_most(begun, most)
