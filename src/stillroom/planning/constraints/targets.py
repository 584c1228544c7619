"""The winter list: preserves inside other preserves, what fills a need, and where it is enough."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.planning.model import Row, Sum, at_least, at_most
from stillroom.planning.parameters import Parameters
from stillroom.planning.parameters.crops import NOT_QUITE_ONE
from stillroom.planning.variables import Variables

Named = tuple[str, Row]


def preserve_balance(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    A preserve that goes into others is there before it is used.

        used[p, t] <= good_on_shelf[p] + made[p, t]

    in containers so far, t included; what is longer in its equipment than its period is made when it comes out.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(preserve_balance, tiny_household(), "08-14")
    preserve_balance.broth.08_14: -make.broth.08_14 + 0.25 make.soup.08_14 <= 0
    preserve_balance.juice.08_14: -make.juice.08_14 + 0.5 make.soup.08_14 <= 2
    """
    for name in sorted(parameters.users):
        for period in parameters.periods:
            terms = [(-each, variable) for each, variable in variables.done(parameters, name, period.number)]
            if terms:
                label = variables.name("preserve_balance", name, period.label)
                yield label, at_most(terms, parameters.good_on_shelf.get(name, 0.0))


def target_filling(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    The bands of a need are filled by what is good on the shelf and what is made, less what other preserves use.

        sum over b of filled[n, b]  <=  sum over p of each_counts[n, p] * (good_on_shelf[p] + made[p] - used[p])

    in the need's unit. A jar counts in full toward every need that lists it.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(target_filling, tiny_household(), "cabbage")
    target_filling.cabbage: filled.cabbage.band1 + filled.cabbage.band2 + filled.cabbage.band3 +
        filled.cabbage.band4 - make.cabbage_heads.08_14 - make.cabbage_heads.08_15 - make.cabbage_heads.week_08_16 -
        make.kraut.08_14 - make.kraut.08_15 - make.kraut.week_08_16 <= 0
    """
    for target in parameters.targets:
        if target.wanted <= 0:
            continue
        terms: Sum = [(1.0, variables.filled[target.name, band]) for band in range(len(parameters.gains))]
        shelf = 0.0
        for name, each in sorted(target.counts.items()):
            shelf += each * parameters.good_on_shelf.get(name, 0.0)
            terms += [(-each * coefficient, variable) for coefficient, variable in variables.net(parameters, name)]
        yield variables.name("target_filling", target.name), at_most(terms, shelf)


def enough(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    The preserves of a need together make no more than it has room for.

        sum over p of n of each_counts[n, p] * (made[p] - used[p])  <=  room[n] + less than one container

    where room = max(0, at most - good on the shelf), and each preserve belongs to the need with the largest room for
    it.
    What the household fixed itself is let through.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(enough, tiny_household(), "juice")
    at_most.tomato_juice: make.juice.08_14 + make.juice.08_15 + make.juice.week_08_16 - 0.5 make.soup.08_14 - 0.5
        make.soup.08_15 - 0.5 make.soup.week_08_16 <= 22.999
    """
    for target in parameters.targets:
        items = parameters.groups.get(target.name, ())
        terms: Sum = []
        for item in items:
            each = target.counts[item.name]
            terms += [(each * coefficient, variable) for coefficient, variable in variables.net(parameters, item.name)]
        fixed = sum(target.counts[item.name] * parameters.fixed_total(item.name) for item in items)
        if terms:
            yield variables.name("at_most", target.name), at_most(terms, max(parameters.allowed(target), fixed))


def no_purpose(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    A preserve that counts toward no need is made only as far as others use it, or where the household fixed it.

        made[p]         <=  used[p] + fixed[p] + less than one container
        made_in_weeks[p] <=  used[p] + fixed[p]

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(no_purpose, tiny_household())
    no_purpose.broth: make.broth.08_14 + make.broth.08_15 + make.broth.week_08_16 - 0.25 make.soup.08_14 - 0.25
        make.soup.08_15 - 0.25 make.soup.week_08_16 <= 0.999
    no_purpose_in_weeks.broth: make.broth.week_08_16 - 0.25 make.soup.08_14 - 0.25 make.soup.08_15 - 0.25
        make.soup.week_08_16 <= 0
    """
    for item in parameters.preserves:
        if item.name in parameters.target_of:
            continue
        net = variables.net(parameters, item.name)
        fixed = parameters.fixed_total(item.name)
        over = NOT_QUITE_ONE if parameters.singles and item.name in parameters.users else 0.0
        if net:
            yield variables.name("no_purpose", item.name), at_most(net, fixed + over)
        weeks = [
            (1.0, variables.make[item.name, p.number])
            for p in parameters.periods
            if (item.name, p.number) in variables.make and not p.single
        ]
        used = [(-each, variable) for each, variable in variables.used(parameters, item.name)]
        if weeks and over:
            yield variables.name("no_purpose_in_weeks", item.name), at_most(weeks + used, fixed)


def smallest_batch(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    A kind without loads is begun for a smallest batch or not at all, on single days.

        make[p, t] <= most[p, t] * setup[p, t]
        make[p, t] >= batch[p, t] * setup[p, t]

    where most = a bound from that day's crop, hands, stock and room in the need; batch = smallest batch, or less where
    the need or that day's crop has no more. A fixed line is kept whatever the batch is.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(smallest_batch, tiny_household(), "soup.08-14")
    smallest_batch.soup.08_14.most: make.soup.08_14 - 8 setup.soup.08_14 <= 0
    smallest_batch.soup.08_14.least: make.soup.08_14 - 4 setup.soup.08_14 >= 0
    """
    for item in parameters.preserves:
        for period in parameters.singles:
            key = (item.name, period.number)
            if key not in variables.setup:
                continue
            make, setup = variables.make[key], variables.setup[key]
            label = variables.name("smallest_batch", item.name, period.label)
            yield f"{label}.most", at_most([(1.0, make), (-parameters.upper_bound[key], setup)], 0.0)
            if key not in parameters.fixed_at:
                yield f"{label}.least", at_least([(1.0, make), (-float(parameters.batch(item, period)), setup)], 0.0)


def freezing_setup(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Freezing a crop whole is a session of its own on a single day.

        freeze[c, t] <= usable[c, t] * setup_freeze[c, t]

    where usable = kg of c that could be there fresh that day.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.show import show
    >>> show(freezing_setup, tiny_household(), "08-14")
    freezing_setup.tomato.08_14: freeze.tomato.08_14 - 9.8 setup_freeze.tomato.08_14 <= 0
    """
    for crop in parameters.freezable:
        for period in parameters.singles:
            key = (crop.name, period.number)
            if key in variables.setup_freeze:
                terms = [(1.0, variables.freeze[key]), (-parameters.usable(crop, period), variables.setup_freeze[key])]
                yield variables.name("freezing_setup", crop.name, period.label), at_most(terms, 0.0)
