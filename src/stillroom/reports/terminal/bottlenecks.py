"""What limits a plan, in words: for the terminal and for the table Bottlenecks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.records import Household, Preserve, Target
from stillroom.household.results.bottlenecks import Bottleneck, BottleneckGain, BottlenecksFound, Gain, WouldHelp
from stillroom.household.results.compare import list_words, shop_worth, target_words
from stillroom.household.results.rows import Row, cell_number
from stillroom.household.text import format_amount, format_list, format_money, format_quantity, format_weight, plural
from stillroom.reports.json import as_json, problems_object, snake
from stillroom.reports.problems import reason
from stillroom.reports.terminal.lists import QUIET, grid, heading, indented, spaced

if TYPE_CHECKING:
    from stillroom.errors import Problem
    from stillroom.household.results.bottlenecks import Answer, Gain, WhyPreserve, WhyTarget


CENTS = 0.05
"""Money below this is not shown."""

UNPROVED = "at least "

NEARLY_ALL = 0.97
"""A bottleneck of which this share is used needs no word on why it limits the plan."""

NOTHING = 1e-6
"""Of a bottleneck that is no more than this, in its own unit, there is none."""

FULL_TOO = "more of it alone would change nothing"

MOST_IN_A_ROW = 6
"""Targets named of one gain; the rest are counted."""


def step_words(bottleneck: Bottleneck) -> str:
    """Return one natural unit more in words, money with its sign."""
    return f"{format_money(bottleneck.step)} more to spend" if bottleneck.kind == "money" else bottleneck.step_words


def gain_words(household: Household, gain: Gain) -> str:
    """Return what more of something adds: to the list, then surplus, then money; empty when it adds nothing."""
    words = []
    if gain.kept_fixed:
        side = "more" if gain.kept_fixed > 0 else "less"
        words.append(f"{format_amount(abs(gain.kept_fixed))} {side} of the lines you keep")
    if any(gain.points):
        proved = "" if gain.proved else UNPROVED
        changes = list_words(household, gain.targets, MOST_IN_A_ROW)
        words.append(proved + (changes or "a slightly more even list"))
    surplus = gain.less_surplus_kg
    if abs(surplus) >= 0.1:
        words.append(f"{format_weight(abs(surplus))} {'less' if surplus > 0 else 'more'} surplus")
    if abs(gain.spent) >= CENTS:
        words.append(f"{format_money(abs(gain.spent))} {'more' if gain.spent > 0 else 'less'} to buy")
    return "; ".join(words)


def helps_somehow(held: BottleneckGain) -> bool:
    """Return whether one more, alone or with another bottleneck, adds anything worth showing."""
    gain = held.one_more
    return gain.helps or held.with_other is not None or gain.less_surplus_kg > 0 or gain.spent <= -CENTS


def gives(household: Household, held: BottleneckGain) -> str:
    """Return what one natural unit more adds, alone or with another bottleneck, and for hours what that is an hour."""
    gain = held.one_more
    if gain.helps:
        an_hour = per_hour_words(household, held)
        return gain_words(household, gain) + (f"; {an_hour}" if an_hour else "")
    alone = "nothing" if gain.proved else "nothing proved"
    if held.with_other is not None:
        other, both = held.with_other
        return f"{alone} alone; with {step_words(other)}: {gain_words(household, both)}"
    if gain.less_surplus_kg > 0 or gain.spent <= -CENTS:
        return f"{alone} on the list; {gain_words(household, gain)}"
    if held.bottleneck.kind == "crop" and gain.proved:
        return "nothing: more of it cannot be used"
    return alone


def per_hour_words(household: Household, held: BottleneckGain) -> str:
    """Return what hours add by the hour; empty for a bottleneck that is not hours."""
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
    """Return the meals that a gain makes, less those it takes; targets without meals count none."""
    each = {target.name: target.meals_each or 0.0 for target in household.targets}
    return sum(each[name] * change for name, change in gain.targets.items())


def range_words(held: BottleneckGain) -> str:
    """Return how far more goes on helping."""
    bottleneck, far = held.bottleneck, held.range
    if far is None:
        return ""
    much = f"{format_amount(far.helps_to * bottleneck.step * bottleneck.shown, bottleneck.unit)} more"
    return f"up to {much} help" if far.seen_end else f"even {much} help"


def less_words(household: Household, held: BottleneckGain) -> str:
    """What a natural unit less would take from the list; empty when nothing, or when it was not asked."""
    less = held.one_less
    if less is None or not less.hurts:
        return ""
    return f"{held.bottleneck.less_words}: {list_words(household, less.targets, MOST_IN_A_ROW) or 'a little less'}"


def would_give(household: Household, held: BottleneckGain) -> str:
    """Return the text of one bottleneck in its row of the table."""
    parts = (gives(household, held), range_words(held), less_words(household, held))
    return "; ".join(part for part in parts if part)


def worth_it(household: Household, held: BottleneckGain) -> str:
    """Return what one unit more costs and what its gain is worth at the store; empty without a price or a gain."""
    bottleneck, gain = held.bottleneck, held.one_more
    if bottleneck.price is None or not gain.helps:
        return ""
    cost = cost_of(held)
    worth, unpriced = shop_worth(household, gain.targets)
    if unpriced and worth <= cost:
        return f"costs {format_money(cost)}; no store price for {format_list(unpriced, 3)}"
    spend = f"for {format_money(cost)}" if cost >= CENTS else "at no cost"
    return f"{'yes' if worth > cost else 'no'}: {format_money(worth)} of food {spend}"


def cost_of(held: BottleneckGain) -> float:
    """What one unit more costs with all that is bought for more because of it; its own price only when it has one."""
    own = 0.0 if held.bottleneck.kind == "money" else held.bottleneck.price or 0.0
    return own + held.one_more.spent


def bottleneck_rows(household: Household, found: BottlenecksFound, last: str = "") -> list[Row]:
    """Return the rows of the table Bottlenecks, what adds most first; `last` is a row of words alone, if any."""
    rows: list[Row] = [
        {
            "Bottleneck": held.bottleneck.words,
            "Used": cell_number(held.used * held.bottleneck.shown),
            "Of": cell_number(held.of * held.bottleneck.shown),
            "Unit": held.bottleneck.unit,
            "One more": step_words(held.bottleneck),
            "Would give": would_give(household, held),
            "Worth it": worth_it(household, held) or None,
        }
        for held in found.held
    ]
    return [*rows, dict.fromkeys(rows[0] if rows else ("Bottleneck",)) | {"Bottleneck": last}] if last else rows


MOST_HELP, MOST_IN_A_LINE = 3, 2
"""Bottlenecks, and targets of each, that the pages of a plan show."""


def would_help(household: Household, found: BottlenecksFound, inputs: str) -> WouldHelp:
    """Return in a few words what helps the winter list most; `inputs` is the digest of what was planned."""
    without_meals = replace(household, targets=tuple(replace(target, meals_each=None) for target in household.targets))

    def adds(gain: Gain) -> str:
        unproved = "" if gain.proved else UNPROVED
        return unproved + (list_words(without_meals, gain.targets, MOST_IN_A_LINE) or "a slightly more even list")

    helps = [one for one in found.held if one.one_more.helps]
    money = next((one.one_more for one in helps if one.bottleneck.kind == "money"), None)
    lines = [(step_words(one.bottleneck), adds(one.one_more)) for one in helps]
    return WouldHelp(
        household.kitchen.first_day, inputs, tuple(lines[:MOST_HELP]), "" if money is None else adds(money)
    )


def bottlenecks_page(household: Household, found: BottlenecksFound, end: Sequence[str] = ()) -> RenderableType:
    """Return the page of what limits the plan, what helps most on top."""
    if not found.held:
        nothing = "No bottlenecks: no supply, space or time is used up."
        return Text("\n".join([nothing, *end]))
    helps = [one for one in found.held if helps_somehow(one)]
    others = [one for one in found.held if not helps_somehow(one)]
    parts: list[RenderableType] = []
    if helps:
        lines = [line for one in helps for line in bottleneck_lines(household, one)]
        parts.append(Group(heading("Bottlenecks", "what more of each would add"), *lines))
    if others:
        parts.append(Group(heading("Also used up", FULL_TOO), *other_lines(others)))
        lost = [words for one in others if (words := less_words(household, one))]
        parts += [indented(Text(words, QUIET)) for words in lost]
    if found.untried:
        names = format_list([one.words for one in found.untried], 6)
        parts.append(indented(Text(f"Also used up, but not tried: {names}.", QUIET)))
    if not all(one.one_more.proved for one in found.held):
        parts.append(
            indented(Text('"At least" and "nothing proved": the search was stopped before it was certain.', QUIET))
        )
    if end:
        parts.append(Group(*(Text(line) for line in end)))
    return spaced(parts)


def other_lines(others: Sequence[BottleneckGain]) -> list[RenderableType]:
    """Return the bottlenecks of which more adds nothing: what is used of what, and what was tried."""
    table = grid(None, 22, None)
    for held in others:
        unsure = "" if held.one_more.proved else ": nothing proved"
        no_use = ": more of it cannot be used" if held.bottleneck.kind == "crop" and held.one_more.proved else ""
        table.add_row(
            held.bottleneck.words, used_words(held), Text(f"{step_words(held.bottleneck)}{unsure or no_use}", QUIET)
        )
    return [indented(table)]


def used_words(held: BottleneckGain) -> str:
    """Return what is used of how much; all of it where no more than a rounding is left."""
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
    """Return one bottleneck: what more of it adds, then what is used, how far more helps, if it is worth it."""
    bottleneck = held.bottleneck
    lines: list[RenderableType] = [
        indented(Text.assemble((step_words(bottleneck), "bold"), f": {gives(household, held)}"))
    ]
    worth = worth_it(household, held)
    details = [used_words(held), room_words(held), range_words(held), f"worth it? {worth}" if worth else ""]
    lines.append(indented(indented(Text(details_sentence(details), QUIET))))
    return lines


def details_sentence(parts: Sequence[str]) -> str:
    """
    Return parts that are not empty as short sentences.

    >>> details_sentence(["all 120 jars used", "", "up to 48 more help"])
    'All 120 jars used. Up to 48 more help.'
    """
    return " ".join(f"{part[:1].upper()}{part[1:]}." for part in parts if part)


def bottlenecks_object(household: Household, found: BottlenecksFound) -> dict[str, object]:
    """
    `bottlenecks`, a list with an object for each row, the one that gives most first, and `not_tried`, their names.

    Each has the columns of the table in lower snake_case, and: `gain` of one natural unit more, `one_less` of one less
    (null: not asked), `together_with` (`one_more`, `gain`) of the limit it helps with, `an_hour` (`containers`,
    `meals`) for hours that help, `price` of one more (null: it has none), `costs` with what is bought for more because
    of it, and, in the unit of the row, `helps_up_to` how much more helps at all, whether its `end_was_seen`, and
    `holds_from` (below nothing: fewer) to `holds_to`, between which each counts about as much.
    """
    rows = []
    for held, row in zip(found.held, bottleneck_rows(household, found), strict=True):
        entry: dict[str, object] = {snake(name): value for name, value in row.items()}
        entry["gain"] = gain_object(household, held.one_more)
        entry["one_less"] = None if held.one_less is None else gain_object(household, held.one_less)
        entry["together_with"] = None
        if held.with_other is not None:
            other, both = held.with_other
            entry["together_with"] = {"one_more": step_words(other), "gain": gain_object(household, both)}
        entry["an_hour"] = an_hour(household, held)
        entry["price"] = held.bottleneck.price
        entry["costs"] = None if held.bottleneck.price is None else cell_number(cost_of(held))
        rows.append(entry | range_object(held))
    return {"bottlenecks": rows, "not_tried": [one.words for one in found.untried]}


def range_object(held: BottleneckGain) -> dict[str, object]:
    """Over which amounts the gain holds, in the unit of the row."""
    far, unit = held.range, held.bottleneck.step * held.bottleneck.shown
    if far is None:
        return {"helps_up_to": None, "end_was_seen": False, "holds_from": None, "holds_to": None}
    return {
        "helps_up_to": cell_number(far.helps_to * unit),
        "end_was_seen": far.seen_end,
        "holds_from": cell_number(far.least * unit),
        "holds_to": cell_number(far.most * unit),
    }


def gain_object(household: Household, gain: Gain) -> dict[str, object]:
    """A gain in plain figures: needs in their own units, containers, meals, weight in kg, money, what the shop asks."""
    worth, unpriced = shop_worth(household, gain.targets)
    return {
        "helps": gain.helps,
        "kept_fixed": cell_number(gain.kept_fixed),
        "targets": {name: cell_number(change) for name, change in sorted(gain.targets.items())},
        "list": [target_object(target, gain) for target in household.targets if target.name in gain.targets],
        "containers": cell_number(sum(gain.containers.values())),
        "meals": cell_number(meals_of(household, gain)),
        "less_surplus_kg": cell_number(gain.less_surplus_kg),
        "spent": cell_number(gain.spent),
        "shop_worth": cell_number(worth),
        "without_shop_price": list(unpriced),
        "proved": gain.proved,
    }


def target_object(target: Target, gain: Gain) -> dict[str, object]:
    """What one need gains."""
    change = gain.targets[target.name]
    return {
        "target": target.name,
        "importance": target.importance,
        "amount": cell_number(change),
        "unit": target.unit or None,
        "containers": cell_number(gain.containers.get(target.name, 0.0)),
        "meals": None if target.meals_each is None else cell_number(change * target.meals_each),
    }


def an_hour(household: Household, held: BottleneckGain) -> dict[str, object] | None:
    """What hours give by the hour; None for what is not hours, and where they do not help."""
    gain, hours = held.one_more, held.bottleneck.hours
    if not hours or not gain.helps:
        return None
    return {
        "containers": cell_number(sum(gain.containers.values()) / hours),
        "meals": cell_number(meals_of(household, gain) / hours),
        "hours": hours,
    }


NOT_SHORT = 0.125
"""A target that lacks less than this of a unit is shown as filled."""


def answer_lines(answer: Answer) -> tuple[str, ...]:
    """The sentences of an answer."""
    lines: list[str] = []
    if answer.not_made is not None:
        lines += not_made_lines(answer.not_made, answer.refused)
    if answer.target is not None:
        lines += target_lines(answer.household, answer.target)
    if answer.preserve is not None:
        lines += preserve_lines(answer.household, answer.preserve)
    return (*lines, answer.likely) if answer.likely else tuple(lines)


def not_made_lines(item: Preserve, refused: Sequence[Problem]) -> list[str]:
    """Return what to do about a preserve that is not included, or why the handbook refuses it."""
    if not refused:
        return [f"{item.name} is not included ({item.where}). Type yes under Include, and plan again."]
    return [f"{item.name} cannot be made. {reason(problem)}" for problem in refused]


def target_lines(household: Household, found: WhyTarget) -> list[str]:
    """Return why a target falls short."""
    target = next(one for one in household.targets if one.name == found.name)
    short = target.wanted - found.filled
    if short < NOT_SHORT:
        return [f"{target.name} is filled: {format_quantity(target.wanted, target.unit)}."]
    lacking = target_words(target, short).replace(f" {target.name}", "", 1)
    lines = [f"{target.name} is short by {lacking}."]
    refused = [item.name for item in household.preserves if item.name in target.counts and item.refused]
    if refused:
        lines.append(f"The published tables refuse {format_list(refused, 0, '; ')}: see the errors.")
    if refused and not found.bottlenecks:
        return lines
    if not found.bottlenecks:
        lines.append("Nothing that counts toward it could be increased, even with more of everything.")
        return lines
    lines.append(f"What it lacks, if nothing else on the list gets less: {format_list(found.bottlenecks)}.")
    one = len(found.bottlenecks) == 1
    if found.could < short - NOT_SHORT:
        more = f"it would get {format_amount(found.could)} more, which is not all that is missing"
        lines.append(f"With enough of {'that' if one else 'these'}, {more}.")
    else:
        several = "With enough of all of these, it would be filled. Each of them is necessary."
        lines.append("With enough of that, it would be filled." if one else several)
    return lines


def preserve_lines(household: Household, found: WhyPreserve) -> list[str]:
    """Return why not more of a preserve is made."""
    some = found.made >= NOT_SHORT
    lines = [f"The plan makes {format_amount(found.made) if some else 'no'} {found.name}."]
    more = f"{format_amount(found.more)}{' more' if some else ''}"
    if found.lost is None:
        cause = f"not enough {format_list(found.bottlenecks)}" if found.bottlenecks else "no single cause was found"
        lines.append(f"{more} won't fit: {cause}.")
        return lines
    lines.append(forced_words(household, found.lost, more))
    if found.bottlenecks:
        lines.append(f"There is not enough for both: {format_list(found.bottlenecks)}.")
    return lines


def forced_words(household: Household, lost: Gain, more: str) -> str:
    """Return what is lost when so many more are made anyway."""
    if lost.hurts:
        return f"Making {more} would change the list: {list_words(household, lost.targets, 6) or 'filled less evenly'}."
    words = []
    if abs(lost.less_surplus_kg) >= 0.1:
        side = "less" if lost.less_surplus_kg > 0 else "more"
        words.append(f"{format_weight(abs(lost.less_surplus_kg))} {side} surplus")
    if abs(lost.spent) >= 0.05:
        words.append(f"{format_money(abs(lost.spent))} {'more' if lost.spent > 0 else 'less'} to buy")
    cost = f" ({', '.join(words)})" if words else ""
    return f"{more} could be made at no loss to the list{cost}. If you want that, type the number under Keep at."


def answer_object(answer: Answer) -> dict[str, object]:
    """
    The answer for other programs.

    `asked` is the name as typed, `said` the sentences. `target` (null: no target has that name) has `target`, `unit`,
    `wanted`, `filled`, `could` (how much more it would have) and `bottlenecks`; `preserve` has `preserve`, `made`,
    `more` (how many were forced in on top), `possible`, `gain` (what the list has by it, as in `bottlenecks`; null: not
    possible) and `bottlenecks`; `not_made` has `preserve`, `where` its Include is no, and `problems` of the handbook.
    """
    target, preserve = answer.target, answer.preserve
    return {
        "asked": answer.name,
        "messages": list(answer_lines(answer)),
        "target": None if target is None else short_object(answer.household, target),
        "preserve": None if preserve is None else preserve_object(answer.household, preserve),
        "not_made": None if answer.not_made is None else not_made_object(answer.not_made, answer.refused),
    }


def short_object(household: Household, found: WhyTarget) -> dict[str, object]:
    """Return why a target falls short, in plain figures."""
    unit = next(one.unit for one in household.targets if one.name == found.name)
    return {"target": found.name, "unit": unit or None} | as_json(found, leave_out=("name",))


def preserve_object(household: Household, found: WhyPreserve) -> dict[str, object]:
    """Return why not more of a preserve, in plain figures."""
    gain = None if found.lost is None else gain_object(household, found.lost)
    about = {"preserve": found.name, "possible": found.lost is not None, "gain": gain}
    return about | as_json(found, leave_out=("name", "lost"))


def not_made_object(item: Preserve, refused: Sequence[Problem]) -> dict[str, object]:
    """Return a preserve that is not included, with the problems of the handbook."""
    return {"preserve": item.name, "where": item.where, "problems": problems_object(refused)}
