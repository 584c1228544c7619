"""What a quick plan reaches, in figures that can be sent to another process, and when it surely gained or lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from stillroom.household.answer.sums import Sums
from stillroom.household.plan import AimResult, Kinded, Plan
from stillroom.household.records import Household

WORTH_SAYING_KG = 0.5
"""A change of the crop fed, as its aim weighs it, below which it is neither looked for nor said: about a pound."""

WORTH_SAYING_MONEY = 0.05
"""A change of the money spent below which it is neither looked for nor said."""

GIVEN_UP = 4e-4
"""What earlier needs aims may give up together, as a share of them: so much more of a later one is no sure gain."""


@dataclass(frozen=True)
class Quick:
    """
    What a quick plan reaches.

    `aims` are fixed lines and needs at the moment they were reached, before a later aim gave anything up. `filled` is
    how far each need is filled, at most as wanted, in its unit; `fed_kg` is what is fed or spoils; `spent` is money.
    `made` counts containers by preserve. `money` and `fed` are the aims of those names, None when only the needs were
    asked for. `columns` are the decisions above nothing by name, from which another search can start.
    """

    aims: tuple[AimResult, ...]
    filled: Mapping[str, float]
    fed_kg: float
    spent: float
    made: Mapping[str, float] = field(default_factory=dict)
    money: AimResult | None = None
    fed: AimResult | None = None
    columns: Mapping[str, float] = field(default_factory=dict, repr=False)

    @property
    def proved(self) -> bool:
        """Whether every fixed line and every need is proved to be as good as it can be."""
        return all(aim.proved for aim in self.aims)

    def aim(self, one: Kinded) -> AimResult | None:
        """How far that aim was reached, None when it was not reached for."""
        others = [aim for aim in (self.money, self.fed) if aim is not None]
        return next((aim for aim in (*self.aims, *others) if aim.key == one.key), None)


def sendable(household: Household) -> Household:
    """Give the same household in plain mappings, so that it can be sent to another process."""
    return replace(household, needs=tuple(replace(need, counts=dict(need.counts)) for need in household.needs))


def sendable_plan(plan: Plan) -> Plan:
    """Give the same plan in plain mappings, so that it can be sent to another process."""
    plain: dict[str, Any] = {name: dict(value) for name, value in vars(plan).items() if isinstance(value, Mapping)}
    return replace(plan, **plain)


def filled_by(household: Household, plan: Plan) -> dict[str, float]:
    """How far a plan fills each need, what is good on the shelf included, at most as wanted; in the need's unit."""
    sums = Sums(household, plan)
    found = {}
    for need in household.needs:
        there = sum(
            each * (sums.good_on_shelf.get(name, 0.0) + sums.net_made(name)) for name, each in need.counts.items()
        )
        found[need.name] = max(0.0, min(need.wanted, there))
    return found


def spent_by(household: Household, plan: Plan) -> float:
    """Money for what a plan buys; what has no price typed costs nothing here."""
    return sum(
        (record.price or 0.0) * bought.get(record.name, 0.0)
        for records, bought in (
            (household.containers, plan.buy_containers),
            (household.lids, plan.buy_lids),
            (household.larder, plan.buy_items),
        )
        for record in records
    )


def margin(earlier: Sequence[AimResult]) -> float:
    """
    How much of a needs aim the slack of the earlier ones could buy, in points: no less of a gain is sure.

    The slack of an aim does not shrink with a value below one point, so neither does this.

    >>> round(margin([AimResult("target", value, "points", value, True) for value in (0.2, 5.0)]), 6)
    0.0024
    """
    return GIVEN_UP * sum(max(1.0, abs(aim.value)) for aim in earlier if aim.kind == "target")


def no_gain_up_to(was: AimResult, unsure: float = 0.0) -> float:
    """The value up to which an aim to be made most has not surely gained: what was proved to be the most, and a bit."""
    return max(was.bound, was.value) + unsure + 1e-6 * max(1.0, abs(was.value))


def gained(now: AimResult, was: AimResult, unsure: float = 0.0) -> bool:
    """
    Whether an aim to be made most is surely better than before: above what was proved to be the most then.

    By more than `unsure`, what the slack of earlier aims may have bought.

    >>> was = AimResult("target", 10.0, "points", 10.001, True)
    >>> gained(AimResult("target", 10.0005, "points", 10.001, True), was)
    False
    >>> gained(AimResult("target", 10.2, "points", 10.2, True), was)
    True
    """
    return now.value > no_gain_up_to(was, unsure)


def changes(reached: Sequence[AimResult], before: Sequence[AimResult]) -> tuple[float, ...]:
    """What each needs aim surely gained (above 0) or lost; 0 where that is not sure."""
    found = []
    for place, (now, was) in enumerate(zip(reached, before, strict=False)):
        if now.kind == "target":
            unsure = margin(before[:place])
            surely = gained(now, was, unsure) or gained(was, now, unsure)
            found.append(now.value - was.value if surely else 0.0)
    return tuple(found)


def changed(reached: Sequence[AimResult], before: Sequence[AimResult]) -> bool:
    """Whether some needs aim surely gained or lost; when none did, what each need has is one way among equals."""
    return any(changes(reached, before))
