"""Constraints on targets and batches, and on the plan's own lines: what is fixed, and the change from the last plan."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from stillroom.household.records import FREEZE_WHOLE, THAW
from stillroom.planning.model import Row, Sum, at_least, at_most, equal
from stillroom.planning.parameters import Parameters
from stillroom.planning.parameters.crops import NOT_QUITE_ONE
from stillroom.planning.variables import Variables

Named = tuple[str, Row]


def preserve_balance(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Use a preserve as an ingredient only when it is on the shelf or ready.

        used[p, t] <= good_on_shelf[p] + used_old[p, t] + done[p, t]      for p in users, t in periods
        use_old[p, t] <= containers that other preserves use in t
        sum of use_old[p] in t and later <= old_on_shelf[p, t]

    where, in containers up to and including t,
        used[p, t]         = containers that other preserves use
        used_old[p, t]     = sum of use_old[p], those of them that go out of date before the plan ends
        done[p, t]         = containers out of their equipment by the end of t
        old_on_shelf[p, t] = containers on the shelf that are good on the last day of t, but not of the plan

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(preserve_balance, tiny_household(), "08-14")
    preserve_balance.broth.08_14: -make.broth.08_14 + 0.25 make.soup.08_14 <= 0
    preserve_balance.juice.08_14: -make.juice.08_14 + 0.5 make.soup.08_14 <= 2
    """
    for name in sorted(parameters.users):
        for period in parameters.periods:
            terms = [(-each, variable) for each, variable in variables.done(parameters, name, period.number)]
            label = variables.name("preserve_balance", name, period.label)
            if terms:
                terms += [(-1.0, variable) for _, variable in variables.used_old(name, period.number)]
                yield label, at_most(terms, parameters.good_on_shelf.get(name, 0.0))
            old = variables.use_old.get((name, period.number))
            if old is not None:
                used = [
                    (-each, variables.make[user.name, period.number])
                    for user, each in parameters.users[name]
                    if (user.name, period.number) in variables.make
                ]
                yield f"{label}.old_used", at_most([(1.0, old), *used], 0.0)
                later = [
                    (1.0, v) for (item, at), v in variables.use_old.items() if item == name and at >= period.number
                ]
                yield f"{label}.old", at_most(later, parameters.old_on_shelf[name, period.number])


def target_filling(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Fill the segments of a target from the shelf and from what is made, less what other preserves use.

        sum over b of filled[n, b] <= sum over p of counts[n, p] * (good_on_shelf[p] + counted[p])      for n in targets

    where, in the target's unit,
        counts[n, p] = what one container of p counts toward n; it counts in full toward every target that lists it
        counted[p]   = min(kept[p], lasting[p])
        kept[p]      = containers made less those used by other preserves, over the whole plan; what they use of jars
                       that go out of date before its end is not taken off
        lasting[p]   = containers made that keep to the last day of the plan

    The minimum is one constraint for each way to choose, and only where some of p does not last and others use it.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(target_filling, tiny_household(), "cabbage")
    target_filling.cabbage: filled.cabbage.segment1 + filled.cabbage.segment2 + filled.cabbage.segment3 +
        filled.cabbage.segment4 - make.cabbage_heads.08_14 - make.cabbage_heads.08_15 -
        make.cabbage_heads.week_08_16 - make.kraut.08_14 - make.kraut.08_15 - make.kraut.week_08_16 <= 0
    """
    for target in parameters.targets:
        if target.wanted <= 0:
            continue
        filled: Sum = [(1.0, variables.filled[target.name, segment]) for segment in range(len(parameters.gains))]
        counts = sorted(target.counts.items())
        shelf = sum(each * parameters.good_on_shelf.get(name, 0.0) for name, each in counts)
        ways = product(*(variables.counted(parameters, name) for name, _ in counts))
        for number, chosen in enumerate(ways):
            terms = list(filled)
            for (_, each), made in zip(counts, chosen, strict=True):
                terms += [(-each * coefficient, variable) for coefficient, variable in made]
            label = variables.name("target_filling", target.name)
            yield f"{label}.{number + 1}" if number else label, at_most(terms, shelf)


def enough(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Make no more of a target's preserves than the target has room for.

        sum over p in groups[n] of counts[n, p] * kept[p] <= allowed[n]      for n in targets

    where, in the target's unit,
        groups[n]  = preserves for which n is the target with the most room (`target_of`)
        allowed[n] = max(0, at_most[n] - good on the shelf), rounded up to whole containers if days are in detail

    Fixed lines are always allowed.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(enough, tiny_household(), "juice")
    at_most.tomato_juice: make.juice.08_14 + make.juice.08_15 + make.juice.week_08_16 - 0.5 make.soup.08_14 - 0.5
        make.soup.08_15 - 0.5 make.soup.week_08_16 <= 22.999
    """
    for target in parameters.targets:
        items = parameters.groups.get(target.name, ())
        terms: Sum = []
        for item in items:
            each = target.counts[item.name]
            terms += [(each * coefficient, variable) for coefficient, variable in variables.kept(parameters, item.name)]
        fixed = sum(target.counts[item.name] * parameters.fixed_total(item.name) for item in items)
        if terms:
            yield variables.name("at_most", target.name), at_most(terms, max(parameters.allowed(target), fixed))


def no_purpose(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Make a preserve without a target only as far as other preserves use it or a fixed line asks for it.

        net[p]                            <= fixed_total[p] + 0.999      for p without a target
        sum over weeks t of make[p, t] - used[p] <= fixed_total[p]

    in containers. The 0.999 applies only where another preserve uses p and days are planned in detail.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
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
    Begin a preserve for its smallest batch or not at all, on detailed days.

        make[p, t] <= upper_bound[p, t] * setup[p, t]
        make[p, t] >= batch[p, t] * setup[p, t]      for t in singles

    where, in containers,
        upper_bound[p, t] = the most that crop, hours, stock and targets allow on that day
        batch[p, t]       = smallest batch, at most what the target has room for; where it is blank, four containers or
                            a third of a load, at most what target, crop and containers allow

    For preserves without loads, and where batch is over half a load; for a smaller one `worthwhile_loads` is enough.
    The second constraint does not apply to fixed lines.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
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


def smallest_freeze(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Freeze a crop whole on a detailed day for as much as is worth the session or not at all.

        freeze[c, t] >= smallest_freeze[c, t] * setup_freeze[c, t]      for c in freezable, t in singles

    where, in kg,
        smallest_freeze[c, t] = 4 lb, or all of the crop there is on the day

    It does not apply to fixed lines.

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(smallest_freeze, tiny_household(), "08-14")
    smallest_freeze.tomato.08_14: freeze.tomato.08_14 - 1.81437 setup_freeze.tomato.08_14 >= 0
    """
    for crop in parameters.freezable:
        for period in parameters.singles:
            key = (crop.name, period.number)
            if key in variables.setup_freeze and (FREEZE_WHOLE + crop.name, period.number) not in parameters.fixed_at:
                least = parameters.smallest_freeze(crop, period)
                terms = [(1.0, variables.freeze[key]), (-least, variables.setup_freeze[key])]
                yield variables.name("smallest_freeze", crop.name, period.label), at_least(terms, 0.0)


def freezing_setup(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Charge a session for freezing a crop whole on a detailed day.

        freeze[c, t] <= usable[c, t] * setup_freeze[c, t]      for c in freezable, t in singles

    where
        usable[c, t] = kg of c that could be fresh on that day

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(freezing_setup, tiny_household(), "08-14")
    freezing_setup.tomato.08_14: freeze.tomato.08_14 - 9.8 setup_freeze.tomato.08_14 <= 0
    """
    for crop in parameters.freezable:
        for period in parameters.singles:
            key = (crop.name, period.number)
            if key in variables.setup_freeze:
                terms = [(1.0, variables.freeze[key]), (-parameters.usable(crop, period), variables.setup_freeze[key])]
                yield variables.name("freezing_setup", crop.name, period.label), at_most(terms, 0.0)


# Constraints on the plan's own lines: what the household fixed, and the change from the last plan.


def decided(variables: Variables, name: str, numbers: tuple[int, ...]) -> Sum:
    """Return the variables of a plan line over its periods: containers made, or kg frozen whole or thawed."""
    if name.startswith(FREEZE_WHOLE):
        by_period, key = variables.freeze, name.removeprefix(FREEZE_WHOLE)
    elif name.startswith(THAW):
        by_period, key = variables.thaw, name.removeprefix(THAW)
    else:
        by_period, key = variables.make, name
    return [(1.0, by_period[key, number]) for number in numbers if (key, number) in by_period]


def fixed_lines(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Make what the household typed in *Keep at*, as far as the other constraints allow.

        sum over t of fix i of make[p, t] + short[i] = amount[i]      for i in fixes

    where
        amount[i] = containers (kg for crop frozen whole or thawed) typed in fixed line i
        short[i]  = shortfall, in the same unit, at most amount[i]

    A line for one day of a week that is planned as a whole asks for at least its amount (>=).

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(fixed_lines, tiny_household())
    fixed_lines.1: make.kraut.08_15 + short.fixed1 = 4
    """
    for number, fix in enumerate(parameters.fixes):
        terms = [*decided(variables, fix.name, fix.numbers), (1.0, variables.short[number])]
        label = variables.name("fixed_lines", f"{number + 1}")
        yield label, (equal if fix.exact else at_least)(terms, fix.amount)


def last_plan(parameters: Parameters, variables: Variables) -> Iterator[Named]:
    """
    Count the change from the lines of the last plan, up and down.

        sum over t of line i of make[p, t] - more[i] + less[i] = amount[i]      for i in last_lines

    where
        amount[i] = containers of p that the last plan made on detailed day t; over all its detailed days where its
                    crop keeps two weeks

    >>> from stillroom.household.examples import tiny_household
    >>> from stillroom.planning.constraints import show
    >>> show(last_plan, tiny_household(), "")
    last_plan.1: make.juice.08_14 - more.last1 + less.last1 = 7
    last_plan.2: make.kraut.08_15 - more.last2 + less.last2 = 4
    """
    for number, line in enumerate(parameters.last_lines):
        made = decided(variables, line.name, line.numbers)
        terms = [*made, (-1.0, variables.more[number]), (1.0, variables.less[number])]
        yield variables.name("last_plan", f"{number + 1}"), equal(terms, line.amount)
