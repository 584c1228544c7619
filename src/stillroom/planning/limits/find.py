"""The limits of a plan with what one natural unit more, or less, of each would give, every one planned again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import TypeVar

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.planning.build import build
from stillroom.planning.decisions import Decisions
from stillroom.planning.facts import Facts
from stillroom.planning.limits.catalogue import Limit, catalogue, coming_in
from stillroom.planning.limits.gains import Gain, gain_of
from stillroom.planning.limits.ranges import helps_until
from stillroom.planning.limits.replan import Quick, filled_by, gained, margin, quick_plan, sendable, sendable_plan
from stillroom.planning.limits.shadow import Worth, shadow_worth
from stillroom.planning.limits.tight import Tight, tight_limits

MOST_LIMITS = 25
MOST_WITH_FED = 12
MOST_PAIRS = 8
PAIRS_EACH = 3
MOST_RANGES = 2

Tell = Callable[[str], None]
Given = TypeVar("Given")
Got = TypeVar("Got")


@dataclass(frozen=True)
class Held:
    """
    One limit of a plan: used and of in its inside unit, and what planning again found.

    `one_more` and `one_less` are what a natural unit more and less gives (None: not asked). `with_other` is another
    limit with which it helps although it does not help alone. `helps_to` is how much more goes on helping, in the
    inside unit, `seen_end` whether more than that was seen not to help. `shadow` is what the ranking went by.
    """

    limit: Limit
    used: float
    of: float
    shadow: Worth
    one_more: Gain
    one_less: Gain | None = None
    with_other: tuple[Limit, Gain] | None = None
    helps_to: float | None = None
    seen_end: bool = True


@dataclass(frozen=True)
class LimitsFound:
    """Every limit a plan runs up against, the one that would give most first; `untried` were too many to try."""

    held: tuple[Held, ...]
    untried: tuple[Tight, ...]
    before: Quick


@dataclass(frozen=True)
class Trial:
    """One thing to be planned again: limits with how much more of each; what is needed to do it elsewhere."""

    household: Household
    plan: Plan
    before: Quick | None
    more: tuple[tuple[Limit, float], ...] = ()
    needs_only: bool = False


def tried(trial: Trial) -> Quick:
    """Plan once more with the limits of a trial loosened; can run in another process."""
    household = trial.household
    for limit, amount in trial.more:
        household = limit.loosened(household, amount)
    at_hand = trial.plan if all(amount > 0 for _, amount in trial.more) else None
    return quick_plan(household, at_hand, trial.before, needs_only=trial.needs_only)


def how_far(trial: Trial) -> tuple[int, bool]:
    """How many natural units of the trial's first limit go on helping; can run in another process."""
    limit = trial.more[0][0]

    def points(steps: int) -> list[float]:
        quick = tried(replace(trial, before=None, more=((limit, steps * limit.step),), needs_only=True))
        return [aim.value for aim in quick.aims if aim.name.startswith("needs")]

    return helps_until(points)


def find_limits(
    household: Household, plan: Plan, executor: Executor | None = None, tell: Tell = lambda _: None
) -> LimitsFound:
    """
    Find what holds a plan back, and what more of it would give.

    `household` is settled and `plan` its full plan. An executor spreads the plans over processes; what comes out does
    not depend on it. Raises StillroomError when a plan that was tried breaks a rule.
    """
    tell("what the plan runs up against")
    facts, decide = build(household)
    tight = tight_limits(facts, decide, plan, catalogue(facts, decide))
    tight, worth = ranked_by_price(facts, decide, tight)
    base = Trial(sendable(household), sendable_plan(plan), None)
    before = replace(tried(base), filled=filled_by(household, plan))
    base = replace(base, before=before)
    limits = [one.limit for one in tight[:MOST_LIMITS]]
    ahead = [
        replace(base, more=((limit, limit.step),), needs_only=place >= MOST_WITH_FED)
        for place, limit in enumerate(limits)
    ]
    fewer = [limit for limit in limits if limit.less > 0]
    ahead += [replace(base, more=((limit, -limit.less),), needs_only=True) for limit in fewer]
    quicks = list(told(spread(executor, tried, ahead), len(ahead), tell))
    more_of = dict(zip(limits, quicks, strict=False))
    less_of = dict(zip(fewer, quicks[len(limits) :], strict=True))
    held = [
        Held(
            one.limit,
            one.used,
            one.of,
            worth[one.limit],
            gain_of(household, before, more_of[one.limit]),
            gain_of(household, before, less_of[one.limit]) if one.limit in less_of else None,
        )
        for one in tight[:MOST_LIMITS]
    ]
    held = with_pairs(held, base, more_of, executor, tell)
    held.sort(key=lambda one: tuple(-figure for figure in one.one_more.rank()))
    held = with_ranges(held, base, executor, tell)
    return LimitsFound(tuple(held), tight[MOST_LIMITS:], before)


def ranked_by_price(
    facts: Facts, decide: Decisions, tight: Sequence[Tight]
) -> tuple[tuple[Tight, ...], dict[Limit, Worth]]:
    """The limits by what their shadow prices promise, the most first; a crop comes in when it is worth most."""
    worth, dearest = shadow_worth(facts, decide, [one.limit for one in tight])
    found, prices = [], {}
    for one in sorted(tight, key=lambda one: tuple(-figure for figure in worth[one.limit])):
        limit = one.limit
        if limit.kind == "crop" and limit in dearest:
            number = next(
                period.number
                for period in facts.periods
                if decide.name("crop_balance", limit.name, period.label) == dearest[limit]
            )
            limit = coming_in(limit, facts.periods[number])
        prices[limit] = worth[one.limit]
        found.append(replace(one, limit=limit))
    return tuple(found), prices


def with_pairs(
    held: list[Held], base: Trial, more_of: dict[Limit, Quick], executor: Executor | None, tell: Tell
) -> list[Held]:
    """Limits that help the list only together with another one: the best of the pairs most likely to."""
    pairs = likely_pairs(held, base.household)
    if not pairs:
        return held
    tell("what helps only together")
    trials = [
        replace(base, more=((one.limit, one.limit.step), (other.limit, other.limit.step)), needs_only=True)
        for one, other in pairs
    ]
    best: dict[Limit, tuple[Limit, Gain]] = {}
    for (one, other), quick in zip(pairs, spread(executor, tried, trials), strict=True):
        gain = gain_of(base.household, base.before or quick, quick)
        if not gain.helps or not above_alone(quick, more_of[other.limit]):
            continue
        if one.limit not in best or gain.rank() > best[one.limit][1].rank():
            best[one.limit] = (other.limit, gain)
    return [replace(one, with_other=best.get(one.limit)) for one in held]


def above_alone(both: Quick, alone: Quick) -> bool:
    """Whether both together surely fill the list better than one of them alone."""
    for place, (now, was) in enumerate(zip(both.aims, alone.aims, strict=True)):
        unsure = margin(alone.aims[:place])
        if now.name.startswith("needs") and (gained(now, was, unsure) or gained(was, now, unsure)):
            return now.value > was.value
    return False


def likely_pairs(held: Sequence[Held], household: Household) -> list[tuple[Held, Held]]:
    """Pairs of one limit that does not help alone with another, those that a preserve takes both of, in their order."""
    short = any(need.wanted > 0 for need in household.needs)
    pairs = []
    for one in held:
        if one.one_more.helps or not short:
            continue
        others = [other for other in held if other is not one and touch(household, one.limit, other.limit)]
        others.sort(key=lambda other: other.one_more.helps)
        pairs += [(one, other) for other in others[:PAIRS_EACH]]
    pairs.sort(key=lambda pair: pair[0].limit.kind in ("hours", "equipment") or pair[1].one_more.helps)
    return pairs[:MOST_PAIRS]


def touch(household: Household, one: Limit, other: Limit) -> bool:
    """Whether some preserve to be made takes of both limits."""
    return bool(takers(household, one) & takers(household, other))


def takers(household: Household, limit: Limit) -> set[str]:
    """The preserves to be made that take of a limit; all of them for hours and money."""
    lids = {container.name: container.lid for container in household.containers}
    found = set()
    for item in household.preserves:
        takes = {
            "container": item.container == limit.name,
            "lid": lids.get(item.container) == limit.name,
            "larder": any(line.item == limit.name for line in item.ingredients),
            "crop": any(line.item == limit.name for line in item.ingredients),
            "space": item.kept_in == limit.name,
            "freezing": item.kept_in == "freezer",
            "equipment": limit.name in item.equipment,
        }
        if item.make and takes.get(limit.kind, True):
            found.add(item.name)
    return found


def with_ranges(held: list[Held], base: Trial, executor: Executor | None, tell: Tell) -> list[Held]:
    """How much more goes on helping, for the limits that give most."""
    top = [one for one in held if one.one_more.helps][:MOST_RANGES]
    if not top:
        return held
    tell("how far it goes on helping")
    trials = [replace(base, more=((one.limit, one.limit.step),)) for one in top]
    far = dict(zip([one.limit for one in top], spread(executor, how_far, trials), strict=True))
    return [
        replace(one, helps_to=far[one.limit][0] * one.limit.step, seen_end=far[one.limit][1])
        if one.limit in far
        else one
        for one in held
    ]


def spread(executor: Executor | None, work: Callable[[Given], Got], tasks: Sequence[Given]) -> Iterator[Got]:
    """Do the tasks, over the executor's workers when there is one; what comes back stands in the tasks' order."""
    return iter(map(work, tasks)) if executor is None else executor.map(work, tasks)


def told(results: Iterable[Got], number: int, tell: Tell) -> Iterator[Got]:
    """Pass results on and say how many of them there are by now."""
    for count, result in enumerate(results, start=1):
        tell(f"planned again {count} of {number} times")
        yield result
