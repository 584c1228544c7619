"""Constraints on crops: fresh, frozen whole, thawed, used, surplus."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.planning.model import Row, Sum, at_most, equal
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

Named = tuple[str, Row]


def used_kg(parameters: Parameters, variables: Variables, crop: str, number: int, *, from_frozen: bool = False) -> Sum:
    """Return the kg of a crop used in a period; with `from_frozen` only by ingredients that allow frozen crop."""
    terms = []
    for item in parameters.preserves:
        crops = parameters.frozen_crops_of(item) if from_frozen else parameters.crops_of(item)
        made = variables.make.get((item.name, number))
        if crop in crops and made is not None:
            terms.append((crops[crop], made))
    return terms


def crop_balance(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Balance every kilogram of a crop in every period.

        fresh[c, t-1] + harvest[c, t] + thaw[c, t]
          = eaten[c, t] + used_kg[c, t] + freeze[c, t] + surplus[c, t] + fresh[c, t]      for c in crops, t in periods

    where, all in kg,
        harvest[c, t] = lots picked in t; in the first period also the lots picked before it
        eaten[c, t]   = eaten fresh by the household
        used_kg[c, t] = sum over p of crops_of[p, c] * make[p, t]

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(crop_balance, tiny_household(), "tomato.08-15")
    crop_balance.tomato.08_15: -surplus.tomato.08_15 - fresh.tomato.08_15 + fresh.tomato.08_14 + thaw.tomato.08_15 -
        freeze.tomato.08_15 - make.dried_tomato.08_15 - 1.5 make.juice.08_15 = -11.8
    """
    for crop in parameters.crops:
        for period in parameters.periods:
            number = period.number
            terms: Sum = [(-1.0, variables.surplus[crop.name, number]), (-1.0, variables.fresh[crop.name, number])]
            if number:
                terms.append((1.0, variables.fresh[crop.name, number - 1]))
            if (crop.name, number) in variables.thaw:
                terms.append((1.0, variables.thaw[crop.name, number]))
            if (crop.name, number) in variables.freeze:
                terms.append((-1.0, variables.freeze[crop.name, number]))
            terms += [(-each, variable) for each, variable in used_kg(parameters, variables, crop.name, number)]
            known = parameters.eaten(crop, period) - parameters.harvest(crop, period)
            yield variables.name("crop_balance", crop.name, period.label), equal(terms, known)


def keeping_time(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Carry fresh crop past a period only from lots that keep beyond its last day.

        fresh[c, t] <= keepable[c, t]      for c in crops, t in periods

    where
        keepable[c, t] = kg of the lots picked by t with picked + keeps days > last day of t, less what was eaten

    The household eats the oldest sound lots first.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(keeping_time, tiny_household(), "tomato")
    keeping_time.tomato.08_14: fresh.tomato.08_14 <= 9.8
    keeping_time.tomato.08_15: fresh.tomato.08_15 <= 12
    keeping_time.tomato.week_08_16: fresh.tomato.week_08_16 <= 0
    """
    for crop in parameters.crops:
        for period in parameters.periods:
            label = variables.name("keeping_time", crop.name, period.label)
            yield label, at_most([(1.0, variables.fresh[crop.name, period.number])], parameters.keepable(crop, period))


def frozen_balance(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Balance the crop frozen whole.

        frozen[c, t] = frozen[c, t-1] + freeze[c, t] - thaw[c, t] - spoil[c, t]      for c in freezable, t in periods

    where, all in kg,
        frozen[c, -1] = frozen_at_start[c], the lots with *Frozen on*

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(frozen_balance, tiny_household(), "08-14")
    frozen_balance.tomato.08_14: frozen.tomato.08_14 + spoil.tomato.08_14 - freeze.tomato.08_14 + thaw.tomato.08_14
        = 2
    """
    for crop in parameters.freezable:
        for period in parameters.periods:
            key = (crop.name, period.number)
            terms: Sum = [(1.0, variables.frozen[key]), (1.0, variables.spoil[key])]
            start = parameters.frozen_at_start(crop) if period.number == 0 else 0.0
            if period.number:
                terms.append((-1.0, variables.frozen[crop.name, period.number - 1]))
            if key in variables.freeze:
                terms.append((-1.0, variables.freeze[key]))
            if key in variables.thaw:
                terms.append((1.0, variables.thaw[key]))
            yield variables.name("frozen_balance", crop.name, period.label), equal(terms, start)


def thaw_after_freezing(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Thaw and let spoil only what was frozen when the period began; what is frozen in a period is held at its end.

        thaw[c, t] + spoil[c, t] <= frozen[c, t-1] - just_frozen[c, t]      for c in freezable, t in periods

    in kg, where crop is taken out on the evening before it is cooked, so that of that day is left in
        just_frozen[c, t] = freeze[c, t-1] where t and t-1 are days, else 0

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(thaw_after_freezing, tiny_household())
    thaw_after_freezing.tomato.08_14: thaw.tomato.08_14 + spoil.tomato.08_14 <= 2
    thaw_after_freezing.tomato.08_15: thaw.tomato.08_15 + spoil.tomato.08_15 - frozen.tomato.08_14 +
        freeze.tomato.08_14 <= 0
    thaw_after_freezing.tomato.week_08_16: thaw.tomato.week_08_16 + spoil.tomato.week_08_16 - frozen.tomato.08_15 <=
        0
    """
    for crop in parameters.freezable:
        for period in parameters.periods:
            key, before = (crop.name, period.number), (crop.name, period.number - 1)
            terms: Sum = [(1.0, out[key]) for out in (variables.thaw, variables.spoil) if key in out]
            start = parameters.frozen_at_start(crop) if period.number == 0 else 0.0
            if period.number:
                terms.append((-1.0, variables.frozen[before]))
            if period.single and before in variables.freeze:
                terms.append((1.0, variables.freeze[before]))
            yield variables.name("thaw_after_freezing", crop.name, period.label), at_most(terms, start)


def frozen_due_date(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Keep crop frozen past a period only if it is still in date at the end of the next one.

        frozen[c, t] <= lots_in_date[c, t] + sum over s <= t in date of freeze[c, s]
          for c in freezable, t in periods

    where
        in date            = frozen_due(c, first day of s) >= frozen_until[t], the last day of t+1 (of t for the last)
        lots_in_date[c, t] = kg of the lots frozen before the plan that are in date

    The oldest are thawed first.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(frozen_due_date, tiny_household())
    frozen_due_date.tomato.08_14: frozen.tomato.08_14 - freeze.tomato.08_14 <= 2
    frozen_due_date.tomato.08_15: frozen.tomato.08_15 - freeze.tomato.08_15 <= 0
    frozen_due_date.tomato.week_08_16: frozen.tomato.week_08_16 - freeze.tomato.08_15 - freeze.tomato.week_08_16 <=
        0
    """
    for crop in parameters.freezable:
        for period in parameters.periods:
            judged = parameters.frozen_until(period)
            lots = sum(
                lot.kg
                for lot in parameters.frozen_lots[crop.name]
                if lot.frozen_on is not None and parameters.frozen_due(crop, lot.frozen_on) >= judged
            )
            terms: Sum = [(1.0, variables.frozen[crop.name, period.number])]
            for earlier in parameters.periods[: period.number + 1]:
                key = (crop.name, earlier.number)
                if key in variables.freeze and parameters.frozen_due(crop, earlier.first_day) >= judged:
                    terms.append((-1.0, variables.freeze[key]))
            yield variables.name("frozen_due_date", crop.name, period.label), at_most(terms, lots)


def thawed_crop_use(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Use thawed crop in the same period, only in ingredient lines that allow frozen crop.

        thaw[c, t] <= sum over p of frozen_crops_of[p, c] * make[p, t]      for c in freezable, t in periods

    in kg.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(thawed_crop_use, tiny_household(), "08-14")
    thawed_crop_use.tomato.08_14: thaw.tomato.08_14 - 1.5 make.juice.08_14 <= 0
    """
    for crop in parameters.freezable:
        for period in parameters.periods:
            key = (crop.name, period.number)
            if key in variables.thaw:
                cooked = used_kg(parameters, variables, crop.name, period.number, from_frozen=True)
                terms = [(1.0, variables.thaw[key]), *((-each, variable) for each, variable in cooked)]
                yield variables.name("thawed_crop_use", crop.name, period.label), at_most(terms, 0.0)
