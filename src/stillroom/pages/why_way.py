"""Why a preserve is not in the plan, or a need falls short: the way from a workbook to a few plain sentences."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.errors import CommandWrong
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.household import ledger
from stillroom.household.answer.gains import list_words, need_words, weight_words
from stillroom.household.answer.words import amount_words, listed
from stillroom.household.names import Names, unknown
from stillroom.household.plan import Plan
from stillroom.household.records import Household, Need, Preserve
from stillroom.pages.limits_way import planned_again
from stillroom.pages.way import Reading, read_workbook

if TYPE_CHECKING:
    from stillroom.planning.why import WhyPreserve

Tell = Callable[[str], None]


def why(path: Path, name: str, today: datetime.date, tell: Tell) -> tuple[str, ...]:
    """
    Say why a preserve is not made (or not more of it), or why a need falls short.

    Raises CommandWrong when nothing is called so, WorkbookRefused when something stops the plan.
    """
    first = read_workbook(path, today)
    preserves = Names("preserve", (item.name for item in first.household.preserves))
    needs = Names("need", (need.name for need in first.household.needs))
    need, preserve = needs.find(name), preserves.find(name)
    if need is None and preserve is None:
        what, fix = unknown(name, preserves, needs, table="the workbook")
        msg = f"{what}; {fix}"
        raise CommandWrong(msg)
    lines: list[str] = []
    if preserve is not None:
        item = first.household.preserve(preserve)
        if not item.make:
            lines += not_to_be_made(first, item)
            preserve = None
    if need is None and preserve is None:
        return tuple(lines)
    _, household, plan = planned_again(path, today, tell)
    tell("looking for what is in the way")
    if need is not None:
        lines += need_lines(household, plan, next(one for one in household.needs if one.name == need))
    if preserve is not None:
        lines += preserve_lines(household, plan, preserve)
    return tuple(lines)


def not_to_be_made(reading: Reading, item: Preserve) -> list[str]:
    """Say of a preserve with Make = no what the handbook would say if it were yes."""
    counted, _ = ledger.settle(reading.typed)
    preserves = tuple(replace(one, make=True) if one.name == item.name else one for one in counted.preserves)
    _, said = settle_by_handbook(replace(counted, preserves=preserves))
    stops = [problem for problem in said if problem.stops and problem.where == item.where]
    if not stops:
        return [f"{item.name}: Make is no in {item.where}; write yes there and plan again."]
    return [f"{item.name} cannot be made: {problem.what}; {problem.fix}." for problem in stops]


def need_lines(household: Household, plan: Plan, need: Need) -> list[str]:
    """Why a need falls short."""
    from stillroom.planning.why import why_need

    found = why_need(household, plan, need.name)
    short = need.wanted - found.filled
    if short <= 0.01:
        return [
            f"{need.name} is filled: {amount_words(need.wanted)} of {amount_words(need.wanted)} {need.unit}.".strip()
        ]
    lines = [f"{need.name} falls short by {need_words(replace(need, name='', meals_each=None), short).strip()}."]
    if not found.in_the_way:
        lines.append("Nothing that counts toward it could be made more of, whatever there were more of.")
        return lines
    lines.append(f"In the way, while everything else on the list keeps what it has: {listed(list(found.in_the_way))}.")
    one = len(found.in_the_way) == 1
    if found.could < short - 0.01:
        more = f"it would have {amount_words(found.could)} more, not all that is missing"
        lines.append(f"With enough of {'that' if one else 'these'} {more}.")
    else:
        several = "With enough of all of these it would be filled; leave one out and it is not."
        lines.append("With enough of that it would be filled." if one else several)
    return lines


def preserve_lines(household: Household, plan: Plan, name: str) -> list[str]:
    """Why not more of a preserve."""
    from stillroom.planning.why import why_preserve

    found = why_preserve(household, plan, name)
    there = f"{amount_words(found.made)} of {name} are" if found.made >= 0.5 else f"{name} is not"
    more = f"{amount_words(found.more)} {'more' if found.made >= 0.5 else 'of it'}"
    lines = [f"{there} in the plan."]
    if found.lost is None:
        lines.append(f"{more} cannot be made: {listed(list(found.in_the_way)) or 'no limit explains it'}.")
        return lines
    lines.append(forced_words(household, found, more))
    if found.in_the_way:
        lines.append(f"The list cannot have both because of: {listed(list(found.in_the_way))}.")
    return lines


def forced_words(household: Household, found: WhyPreserve, more: str) -> str:
    """What is lost when so many more are made all the same."""
    lost = found.lost
    if lost is None:
        return ""
    if lost.hurts:
        return f"With {more} the list would change so: {list_words(household, lost.needs, 6) or 'filled less evenly'}."
    words = []
    if abs(lost.less_fed_kg) >= 0.1:
        words.append(
            f"{weight_words(household, abs(lost.less_fed_kg))} {'less' if lost.less_fed_kg > 0 else 'more'} fed"
        )
    if abs(lost.spent) >= 0.05:
        words.append(f"{abs(lost.spent):.2f} {'more' if lost.spent > 0 else 'less'} to buy")
    cost = f" ({', '.join(words)})" if words else ""
    return (
        f"{more[0].upper()}{more[1:]} could be made without any loss on the list{cost}; fix it in Plan if you want it."
    )
