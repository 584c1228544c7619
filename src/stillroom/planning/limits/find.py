"""The limits of a plan with what one natural unit more, or less, of each would give, every one planned again."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor, Future
from dataclasses import dataclass, replace

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.planning.build import build
from stillroom.planning.decisions import Decisions
from stillroom.planning.facts import Facts
from stillroom.planning.limits.catalogue import Limit, catalogue, coming_in
from stillroom.planning.limits.gains import Gain, gain_of
from stillroom.planning.limits.pairs import best_partners
from stillroom.planning.limits.quick import Quick, filled_by, sendable, sendable_plan
from stillroom.planning.limits.ranges import Range, ranges
from stillroom.planning.limits.replan import quick_plan
from stillroom.planning.limits.shadow import Worth, shadow_worth
from stillroom.planning.limits.tight import Tight, tight_limits
from stillroom.planning.limits.trial import Tell, Trial, spread, told, tried

MOST_LIMITS = 25
MOST_RANGES = 3


@dataclass(frozen=True)
class Held:
    """
    One limit of a plan: used and of in its inside unit, and what planning again found.

    `one_more` and `one_less` are what a natural unit more and less gives (None: not asked). `with_other` is another
    limit with which it helps although it does not help alone. `range` is over which amounts the gain holds (None: not
    asked). `shadow` is what the ranking went by.
    """

    limit: Limit
    used: float
    of: float
    shadow: Worth
    one_more: Gain
    one_less: Gain | None = None
    with_other: tuple[Limit, Gain] | None = None
    range: Range | None = None


@dataclass(frozen=True)
class LimitsFound:
    """Every limit a plan runs up against, the one that would give most first; `untried` were too many to try."""

    held: tuple[Held, ...]
    untried: tuple[Tight, ...]
    before: Quick


def find_limits(
    household: Household,
    plan: Plan,
    executor: Executor | None = None,
    tell: Tell = lambda _: None,
    ahead: Future[Quick] | None = None,
) -> LimitsFound:
    """
    Find what holds a plan back, and what more of it would give.

    `household` is settled and `plan` its full plan. An executor spreads the plans over processes, and `ahead` is the
    quick plan of the household where that was begun before (`begun_ahead`); what comes out does not depend on either.
    Raises StillroomError when a plan that was tried breaks a rule.
    """
    tell("what the plan runs up against")
    facts, decide = build(household)
    tight = tight_limits(facts, decide, plan, catalogue(facts, decide))
    tight, worth = ranked_by_price(facts, decide, tight)
    base = Trial(sendable(household), sendable_plan(plan), None)
    before = quick_plan(base.household) if ahead is None else ahead.result()
    before = replace(before, filled=filled_by(household, plan), made=made_by(household, plan))
    base = replace(base, before=before)
    limits = [one.limit for one in tight[:MOST_LIMITS]]
    more_of, less_of = one_more_and_less(base, limits, executor, tell)
    gains = {limit: gain_of(household, before, quick) for limit, quick in more_of.items()}
    tell("what helps only together")
    partners = best_partners(gains, base, more_of, executor)
    best = sorted(gains, key=lambda limit: [-figure for figure in gains[limit].rank()])
    tell("how far it goes on helping")
    top = {limit: more_of[limit] for limit in [one for one in best if gains[one].helps][:MOST_RANGES]}
    far = ranges(base, top, executor)
    stands = {one.limit: one for one in tight}
    held = [
        Held(
            limit,
            stands[limit].used,
            stands[limit].of,
            worth[limit],
            gains[limit],
            gain_of(household, before, less_of[limit]) if limit in less_of else None,
            partners.get(limit),
            far.get(limit),
        )
        for limit in best
    ]
    return LimitsFound(tuple(held), tight[MOST_LIMITS:], before)


def begun_ahead(household: Household, executor: Executor | None) -> Future[Quick] | None:
    """Begin the quick plan of a household in another process, while its full plan is made; None without an executor."""
    return None if executor is None else executor.submit(quick_plan, sendable(household))


def made_by(household: Household, plan: Plan) -> dict[str, float]:
    """How many containers of each preserve a plan makes."""
    return {item.name: made for item in household.preserves if (made := plan.made(item.name)) > 0}


def one_more_and_less(
    base: Trial, limits: Sequence[Limit], executor: Executor | None, tell: Tell
) -> tuple[dict[Limit, Quick], dict[Limit, Quick]]:
    """What a natural unit more of each limit reaches, and for stocks what a natural unit less does."""
    fewer = [limit for limit in limits if limit.less > 0]
    ahead = [replace(base, more=((limit, limit.step),)) for limit in limits]
    ahead += [replace(base, more=((limit, -limit.less),), needs_only=True) for limit in fewer]
    quicks = list(told(spread(executor, tried, ahead), len(ahead), tell))
    return dict(zip(limits, quicks, strict=False)), dict(zip(fewer, quicks[len(limits) :], strict=True))


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
