"""Why a preserve is not in the plan, or a need falls short, in words and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stillroom.household.records import Household, Preserve
from stillroom.household.results.compare import list_words, target_words
from stillroom.household.results.values import cell_number
from stillroom.household.text import format_amount, format_list, format_money, format_weight, plural
from stillroom.reports.json import gain_object, problems_object
from stillroom.reports.problems import reason

if TYPE_CHECKING:
    from stillroom.app.why import Answer
    from stillroom.errors import Problem
    from stillroom.planning.bottlenecks import Gain
    from stillroom.planning.why import WhyPreserve, WhyTarget


NOT_SHORT = 0.125
"""A need that lacks less than this of a unit is said to be filled."""


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
    """Of a preserve with Include = no: what to do, or what the handbook has against it."""
    if not refused:
        return [f"{item.name}: Make is no in {item.where}; write yes there and plan again."]
    return [f"{item.name} cannot be made. {reason(problem)}" for problem in refused]


def target_lines(household: Household, found: WhyTarget) -> list[str]:
    """Why a need falls short."""
    target = next(one for one in household.targets if one.name == found.name)
    short = target.wanted - found.filled
    if short < NOT_SHORT:
        there = format_amount(target.wanted)
        return [f"{target.name} is filled: {there} of {there} {plural(target.wanted, target.unit)}".strip() + "."]
    lacking = target_words(target, short).replace(f" {target.name}", "", 1)
    lines = [f"{target.name} falls short by {lacking}."]
    if not found.in_the_way:
        lines.append("Nothing that counts toward it could be made more of, whatever there were more of.")
        return lines
    lines.append(
        f"In the way, while everything else on the list keeps what it has: {format_list(list(found.in_the_way))}."
    )
    one = len(found.in_the_way) == 1
    if found.could < short - NOT_SHORT:
        more = f"it would have {format_amount(found.could)} more, not all that is missing"
        lines.append(f"With enough of {'that' if one else 'these'} {more}.")
    else:
        several = "With enough of all of these it would be filled; leave one out and it is not."
        lines.append("With enough of that it would be filled." if one else several)
    return lines


def preserve_lines(household: Household, found: WhyPreserve) -> list[str]:
    """Why not more of a preserve."""
    some = found.made >= NOT_SHORT
    there = f"{format_amount(found.made)} of {found.name} {'is' if found.made <= 1 else 'are'}"
    lines = [f"{there if some else f'{found.name} is not'} in the plan."]
    more = f"{format_amount(found.more)} {'more' if some else 'of it'}"
    if found.lost is None:
        why = (
            f"for want of: {format_list(list(found.in_the_way))}"
            if found.in_the_way
            else "though no one limit explains it"
        )
        lines.append(f"{more} cannot be made, {why}.")
        return lines
    lines.append(forced_words(household, found.lost, more))
    if found.in_the_way:
        lines.append(f"The list cannot have both because of: {format_list(list(found.in_the_way))}.")
    return lines


def forced_words(household: Household, lost: Gain, more: str) -> str:
    """What is lost when so many more are made all the same."""
    if lost.hurts:
        return (
            f"With {more} the list would change so: {list_words(household, lost.targets, 6) or 'filled less evenly'}."
        )
    words = []
    if abs(lost.less_surplus_kg) >= 0.1:
        side = "less" if lost.less_surplus_kg > 0 else "more"
        words.append(f"{format_weight(abs(lost.less_surplus_kg))} {side} fed")
    if abs(lost.spent) >= 0.05:
        words.append(f"{format_money(abs(lost.spent))} {'more' if lost.spent > 0 else 'less'} to buy")
    cost = f" ({', '.join(words)})" if words else ""
    return f"{more} could be made without any loss on the list{cost}; fix it in Plan if you want it."


def answer_object(answer: Answer) -> dict[str, object]:
    """
    The answer for other programs.

    `asked` is the name as typed and `said` the sentences. `target` (null: no need is called so) has `target`, `unit`,
    `wanted`, `filled`, `could` (how much more it would have) and `in_the_way`; `preserve` has `preserve`, `made`,
    `more` (how many were forced in on top), `possible`, `gain` (what the list has by it, as in `bottlenecks`; null: not
    possible) and `in_the_way`; `not_made` has `preserve`, `where` its Make is no, and `problems` of the handbook.
    """
    target, preserve = answer.target, answer.preserve
    return {
        "asked": answer.name,
        "said": list(answer_lines(answer)),
        "target": None if target is None else target_object(answer.household, target),
        "preserve": None if preserve is None else preserve_object(answer.household, preserve),
        "not_made": None if answer.not_made is None else not_made_object(answer.not_made, answer.refused),
    }


def target_object(household: Household, found: WhyTarget) -> dict[str, object]:
    """Why a need falls short, in plain figures."""
    unit = next(one.unit for one in household.targets if one.name == found.name)
    return {
        "target": found.name,
        "unit": unit or None,
        "wanted": cell_number(found.wanted),
        "filled": cell_number(found.filled),
        "could": cell_number(found.could),
        "in_the_way": list(found.in_the_way),
    }


def preserve_object(household: Household, found: WhyPreserve) -> dict[str, object]:
    """Why not more of a preserve, in plain figures."""
    return {
        "preserve": found.name,
        "made": cell_number(found.made),
        "more": cell_number(found.more),
        "possible": found.lost is not None,
        "gain": None if found.lost is None else gain_object(household, found.lost),
        "in_the_way": list(found.in_the_way),
    }


def not_made_object(item: Preserve, refused: Sequence[Problem]) -> dict[str, object]:
    """A preserve with Include = no, in plain words."""
    return {"preserve": item.name, "where": item.where, "problems": problems_object(refused)}
