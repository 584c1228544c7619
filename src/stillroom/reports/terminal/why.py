"""Why a preserve is not in the plan, or a target falls short, in words and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stillroom.household.records import Household, Preserve
from stillroom.household.results.compare import list_words, target_words
from stillroom.household.text import format_amount, format_list, format_money, format_quantity, format_weight
from stillroom.reports.json import as_json, problems_object
from stillroom.reports.problems import reason
from stillroom.reports.terminal.bottlenecks import gain_object

if TYPE_CHECKING:
    from stillroom.errors import Problem
    from stillroom.household.results.bottlenecks import Answer, Gain, WhyPreserve, WhyTarget


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
        "target": None if target is None else target_object(answer.household, target),
        "preserve": None if preserve is None else preserve_object(answer.household, preserve),
        "not_made": None if answer.not_made is None else not_made_object(answer.not_made, answer.refused),
    }


def target_object(household: Household, found: WhyTarget) -> dict[str, object]:
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
