"""What holds a plan back, in words: for the terminal and for the table Limits."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.records import Household
from stillroom.household.results.compare import list_words, shop_worth
from stillroom.household.results.values import Row, cell_number
from stillroom.household.text import format_amount, format_list, format_money, format_quantity, format_weight, plural
from stillroom.planning.bottlenecks.gains import Gain
from stillroom.planning.bottlenecks.search import BottleneckGain, BottlenecksFound
from stillroom.reports.terminal.lists import QUIET, grid, heading, indented, spaced

CENTS = 0.05
"""Money below this is not said."""

UNPROVED = "at least "

NEARLY_ALL = 0.97
"""A limit of which this share is used needs no word why it holds the plan back."""

NOTHING = 1e-6
"""Of a limit that is no more than this, in its own unit, there is none."""

FULL_TOO = "or too little left for another load; more of it alone would change nothing"

MOST_IN_A_ROW = 6
"""Needs named of one gain; the rest are counted."""


def gain_words(household: Household, gain: Gain) -> str:
    """What more of something gives: on the list, then crop fed, then money; empty when it gives nothing."""
    words = []
    if gain.kept_fixed:
        words.append(
            f"{format_amount(abs(gain.kept_fixed))} {'more' if gain.kept_fixed > 0 else 'less'} of what is fixed"
        )
    if any(gain.points):
        proved = "" if gain.proved else UNPROVED
        said = list_words(household, gain.targets, MOST_IN_A_ROW)
        words.append(proved + (said or "the list is filled a little more evenly"))
    surplus = gain.less_surplus_kg
    if abs(surplus) >= 0.1:
        words.append(f"{format_weight(abs(surplus))} {'less' if surplus > 0 else 'more'} fed")
    if abs(gain.spent) >= CENTS:
        words.append(f"{format_money(abs(gain.spent))} {'more' if gain.spent > 0 else 'less'} to buy")
    return "; ".join(words)


def helps_somehow(held: BottleneckGain) -> bool:
    """Whether one more, alone or with another limit, gives anything worth saying."""
    gain = held.one_more
    return gain.helps or held.with_other is not None or gain.less_surplus_kg > 0 or gain.spent <= -CENTS


def gives(household: Household, held: BottleneckGain) -> str:
    """What one natural unit more gives, alone or together with another limit, and for hours what that is an hour."""
    gain = held.one_more
    if gain.helps:
        an_hour = per_hour_words(household, held)
        return gain_words(household, gain) + (f"; {an_hour}" if an_hour else "")
    alone = "nothing" if gain.proved else "nothing that could be proved"
    if held.with_other is not None:
        other, both = held.with_other
        return f"{alone} alone; with {other.step_words}: {gain_words(household, both)}"
    if gain.less_surplus_kg > 0 or gain.spent <= -CENTS:
        return f"{alone} on the list; {gain_words(household, gain)}"
    if held.bottleneck.kind == "crop" and gain.proved:
        return "nothing: there is no use for more of it"
    return alone


def per_hour_words(household: Household, held: BottleneckGain) -> str:
    """What hours give by the hour; empty for a limit that is not hours."""
    hours, gain = held.bottleneck.hours, held.one_more
    if not hours or not gain.targets:
        return ""
    if len(gain.targets) == 1 and gain.helps:
        return (
            f"that is {list_words(household, {name: change / hours for name, change in gain.targets.items()})} an hour"
        )
    containers, meals = sum(gain.containers.values()) / hours, meals_of(household, gain) / hours
    in_meals = f" or {format_quantity(meals, 'meal')}" if meals > 0 else ""
    return f"that is {format_quantity(containers, 'container')}{in_meals} an hour"


def meals_of(household: Household, gain: Gain) -> float:
    """The meals that a gain makes, less those it takes; needs without meals count none."""
    each = {target.name: target.meals_each or 0.0 for target in household.targets}
    return sum(each[name] * change for name, change in gain.targets.items())


def range_words(held: BottleneckGain) -> str:
    """How far one more goes on helping, and from how many fewer to how many more each counts about as much."""
    bottleneck, far = held.bottleneck, held.range
    if far is None:
        return ""
    much = f"{format_amount(far.helps_to * bottleneck.step * bottleneck.shown, bottleneck.unit)} more"
    words = [f"helps up to {much}" if far.seen_end else f"still helps at {much}"]
    if far.least < 0 or far.most > 1:
        fewer = (
            f"{format_amount(-far.least * bottleneck.step * bottleneck.shown, bottleneck.unit)} fewer"
            if far.least
            else "now"
        )
        more = f"{format_amount(far.most * bottleneck.step * bottleneck.shown, bottleneck.unit)} more"
        words.append(f"each counts about as much from {fewer} to {more}")
    return "; ".join(words)


def less_words(household: Household, held: BottleneckGain) -> str:
    """What a natural unit less would take from the list; empty when nothing, or when it was not asked."""
    less = held.one_less
    if less is None or not less.hurts:
        return ""
    return f"{held.bottleneck.less_words}: {list_words(household, less.targets, MOST_IN_A_ROW) or 'a little less'}"


def would_give(household: Household, held: BottleneckGain) -> str:
    """All that is said of one limit in its row of the table."""
    parts = (gives(household, held), range_words(held), less_words(household, held))
    return "; ".join(part for part in parts if part)


def worth_it(household: Household, held: BottleneckGain) -> str:
    """What one unit more costs against what it gives would cost in the shop; empty without a price or a gain."""
    bottleneck, gain = held.bottleneck, held.one_more
    if bottleneck.price is None or not gain.helps:
        return ""
    cost = cost_of(held)
    worth, unpriced = shop_worth(household, gain.targets)
    if unpriced and worth <= cost:
        return f"costs {format_money(cost)}; no shop price for {format_list(list(unpriced), 3)}"
    if cost < CENTS:
        return f"yes: costs nothing more, worth {format_money(worth)} in the shop"
    return f"{'yes' if worth > cost else 'no'}: costs {format_money(cost)}, worth {format_money(worth)} in the shop"


def cost_of(held: BottleneckGain) -> float:
    """What one unit more costs with all that is bought for more because of it; its own price only when it has one."""
    own = 0.0 if held.bottleneck.kind == "money" else held.bottleneck.price or 0.0
    return own + held.one_more.spent


def bottleneck_rows(household: Household, found: BottlenecksFound, last: str = "") -> list[Row]:
    """The rows of the table Limits, the one that gives most first; `last` is a row of words alone, if any."""
    rows: list[Row] = [
        {
            "Bottleneck": held.bottleneck.words,
            "Used": cell_number(held.used * held.bottleneck.shown),
            "Of": cell_number(held.of * held.bottleneck.shown),
            "Unit": held.bottleneck.unit,
            "One more": held.bottleneck.step_words,
            "Would give": would_give(household, held),
            "Worth it": worth_it(household, held) or None,
        }
        for held in found.held
    ]
    return [*rows, dict.fromkeys(rows[0] if rows else ("Bottleneck",)) | {"Bottleneck": last}] if last else rows


def bottlenecks_page(household: Household, found: BottlenecksFound, end: Sequence[str] = ()) -> RenderableType:
    """What the plan runs up against, what helps most on top."""
    if not found.held:
        nothing = "Nothing holds this plan back: no supply, space or time is used up."
        return Text("\n".join([nothing, *end]))
    helps = [one for one in found.held if helps_somehow(one)]
    others = [one for one in found.held if not helps_somehow(one)]
    parts: list[RenderableType] = []
    if helps:
        lines = [line for one in helps for line in bottleneck_lines(household, one)]
        parts.append(Group(heading("What would help", "each planned again with that much more"), *lines))
    if others:
        parts.append(Group(heading("Full too", FULL_TOO), *other_lines(others)))
        lost = [words for one in others if (words := less_words(household, one))]
        parts += [indented(Text(words, QUIET)) for words in lost]
    if found.untried:
        names = format_list([one.bottleneck.words for one in found.untried], 6)
        parts.append(indented(Text(f"Full too, but not tried: {names}.", QUIET)))
    if not all(one.one_more.proved for one in found.held):
        parts.append(indented(Text('"At least" and "could be proved": the search was cut before it was sure.', QUIET)))
    if end:
        parts.append(Group(*(Text(line) for line in end)))
    return spaced(parts)


def other_lines(others: Sequence[BottleneckGain]) -> list[RenderableType]:
    """Limits of which more gives nothing: what is used of what, and what was tried."""
    table = grid(None, 22, None)
    for column in table.columns:
        column.justify = "left"
    for held in others:
        unsure = "" if held.one_more.proved else ": nothing that could be proved"
        no_use = ": nothing more could be made of it" if held.bottleneck.kind == "crop" and held.one_more.proved else ""
        table.add_row(
            held.bottleneck.words, used_words(held), Text(f"{held.bottleneck.step_words}{unsure or no_use}", QUIET)
        )
    return [indented(table)]


def used_words(held: BottleneckGain) -> str:
    """What is used of how much; all of it is said where no more than a rounding is left."""
    bottleneck = held.bottleneck
    if held.of * bottleneck.shown <= NOTHING:
        return "none is there or expected" if bottleneck.kind == "crop" else "none is there"
    used, there = (format_amount(amount * bottleneck.shown, bottleneck.unit) for amount in (held.used, held.of))
    unit = plural(held.of * bottleneck.shown, bottleneck.unit)
    return f"all {there} {unit} used" if used == there else f"{used} of {there} {unit} used"


def room_words(held: BottleneckGain) -> str:
    """Why what is left is too little; empty where next to nothing is left, or nothing was there."""
    if held.used > NEARLY_ALL * held.of or held.of * held.bottleneck.shown <= NOTHING:
        return ""
    return "full on some of these days" if len(held.bottleneck.weekdays) > 1 else "too little left for another load"


def bottleneck_lines(household: Household, held: BottleneckGain) -> list[RenderableType]:
    """One limit that helps: what more of it gives, then what there is of it, how far it helps, if it is worth it."""
    bottleneck = held.bottleneck
    lines: list[RenderableType] = [
        indented(Text.assemble((bottleneck.step_words, "bold"), f": {gives(household, held)}"))
    ]
    worth = worth_it(household, held)
    beside = [
        used_words(held),
        room_words(held),
        range_words(held),
        less_words(household, held),
        f"worth it? {worth}" if worth else "",
    ]
    lines.append(indented(indented(Text("; ".join(words for words in beside if words), QUIET))))
    return lines
