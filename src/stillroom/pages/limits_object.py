"""What holds a plan back, for other programs: the rows of the table Limits with every gain in plain figures."""

from __future__ import annotations

from stillroom.household.answer.gains import shop_worth
from stillroom.household.answer.units import tidy
from stillroom.household.records import Household, Need
from stillroom.pages.as_json import snake
from stillroom.pages.limits_words import cost_of, limit_rows, meals_of
from stillroom.planning.limits.find import Held, LimitsFound
from stillroom.planning.limits.gains import Gain


def limits_object(household: Household, found: LimitsFound) -> dict[str, object]:
    """
    `limits`, a list with an object for each row, the one that gives most first, and `not_tried`, their names.

    Each has the columns of the table in lower snake_case, and: `gain` of one natural unit more, `one_less` of one less
    (null: not asked), `together_with` (`one_more`, `gain`) of the limit it helps with, `an_hour` (`containers`,
    `meals`) for hours that help, `price` of one more (null: it has none), `costs` with what is bought for more because
    of it, and, in the unit of the row, `helps_up_to` how much more helps at all, whether its `end_was_seen`, and
    `holds_from` (below nothing: fewer) to `holds_to`, between which each counts about as much.
    """
    rows = []
    for held, row in zip(found.held, limit_rows(household, found), strict=True):
        entry: dict[str, object] = {snake(name): value for name, value in row.items()}
        entry["gain"] = gain_object(household, held.one_more)
        entry["one_less"] = None if held.one_less is None else gain_object(household, held.one_less)
        entry["together_with"] = None
        if held.with_other is not None:
            other, both = held.with_other
            entry["together_with"] = {"one_more": other.step_words, "gain": gain_object(household, both)}
        entry["an_hour"] = an_hour(household, held)
        entry["price"] = held.limit.price
        entry["costs"] = None if held.limit.price is None else tidy(cost_of(held))
        rows.append(entry | range_object(held))
    return {"limits": rows, "not_tried": [one.limit.words for one in found.untried]}


def range_object(held: Held) -> dict[str, object]:
    """Over which amounts the gain holds, in the unit of the row."""
    far, unit = held.range, held.limit.step * held.limit.shown
    if far is None:
        return {"helps_up_to": None, "end_was_seen": False, "holds_from": None, "holds_to": None}
    return {
        "helps_up_to": tidy(far.helps_to * unit),
        "end_was_seen": far.seen_end,
        "holds_from": tidy(far.least * unit),
        "holds_to": tidy(far.most * unit),
    }


def gain_object(household: Household, gain: Gain) -> dict[str, object]:
    """A gain in plain figures: needs in their own units, containers, meals, weight in kg, money, what the shop asks."""
    worth, unpriced = shop_worth(household, gain.needs)
    return {
        "helps": gain.helps,
        "kept_fixed": tidy(gain.kept_fixed),
        "needs": {name: tidy(change) for name, change in sorted(gain.needs.items())},
        "list": [need_object(need, gain) for need in household.needs if need.name in gain.needs],
        "containers": tidy(sum(gain.containers.values())),
        "meals": tidy(meals_of(household, gain)),
        "less_fed_kg": tidy(gain.less_fed_kg),
        "spent": tidy(gain.spent),
        "shop_worth": tidy(worth),
        "without_shop_price": list(unpriced),
        "proved": gain.proved,
    }


def need_object(need: Need, gain: Gain) -> dict[str, object]:
    """What one need gains."""
    change = gain.needs[need.name]
    return {
        "need": need.name,
        "importance": need.importance,
        "amount": tidy(change),
        "unit": need.unit or None,
        "containers": tidy(gain.containers.get(need.name, 0.0)),
        "meals": None if need.meals_each is None else tidy(change * need.meals_each),
    }


def an_hour(household: Household, held: Held) -> dict[str, object] | None:
    """What hours give by the hour; None for what is not hours, and where they do not help."""
    gain, hours = held.one_more, held.limit.hours
    if not hours or not gain.helps:
        return None
    return {
        "containers": tidy(sum(gain.containers.values()) / hours),
        "meals": tidy(meals_of(household, gain) / hours),
        "hours": hours,
    }
