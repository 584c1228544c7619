"""The rows of the Messages table: errors, warnings, notes, and the cautions with their source."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Protocol

from stillroom.household.audit.sessions import (
    SMALLEST_FREEZE_KG,
    day_can_give,
    fixed_on,
    still_allowed,
    tied_to_fixed_lines,
)
from stillroom.household.audit.tally import Tally
from stillroom.household.audit.targets import group_of
from stillroom.household.plan import Amounts, Period, Plan, Violation
from stillroom.household.records import FREEZE_WHOLE, THAW, Crop, PlanLine, Preserve, Target
from stillroom.household.results.rows import Row, in_crop_unit, number_in
from stillroom.household.results.shortages import crop_left_over, run_out_rows, starved_rows
from stillroom.household.results.sums import ALMOST, Sums
from stillroom.household.text import (
    format_amount,
    format_containers,
    format_crop,
    format_list,
    format_long_date,
    format_money,
    format_period,
    format_quantity,
    format_share,
    plural,
)

SMALL = "a small batch: "
REASONS = {
    "others": "no more is needed",
    "list": "all the list has room for",
    "crop": "all the crop there is",
    "containers": "all the {containers} there are",
}


def few_words(sums: Sums, item: Preserve, period: Period, make: float) -> str:
    """Return why a day's session, or its last load, is small; empty where it is not, or its line is fixed."""
    few = make < item.fewest - ALMOST
    if item.load is not None:
        last = make - item.load * (math.ceil(make / item.load - ALMOST) - 1)
        few = few or last < min(item.fewest, math.ceil(item.load / 2)) - ALMOST
    tally = Tally(sums.household, sums.plan)
    if not few or not period.single or fixed_on(tally, item.name, period):
        return ""
    if group_of(tally, item.name) is None or item.name in tied_to_fixed_lines(tally):
        return SMALL + REASONS["others"]
    most = {"list": still_allowed(tally, item)} | day_can_give(tally, item, period)
    return SMALL + REASONS[min(most, key=most.__getitem__)].format(containers=plural(2, item.container))


def few_frozen_words(sums: Sums, crop: Crop, period: Period, kg: float) -> str:
    """Return why little of a crop is frozen whole on a day; empty where it is enough, or its line is fixed."""
    tally = Tally(sums.household, sums.plan)
    if not period.single or kg >= SMALLEST_FREEZE_KG - ALMOST or fixed_on(tally, FREEZE_WHOLE + crop.name, period):
        return ""
    if crop.name in tied_to_fixed_lines(tally):
        return SMALL + REASONS["others"]
    return SMALL + REASONS["crop"]


def batch_rows(sums: Sums, coverage: Sequence[Row]) -> Iterator[tuple[str, str, str]]:
    """
    Yield messages (where, what, what to do) for smallest batches, as typed, that cost a target.

    One for each preserve of a target that is short, where crop is left over on a day planned in detail and would
    give less than the batch.
    """
    short = {str(row["Target"]) for row in coverage if float(str(row["Short"] or 0)) > ALMOST}
    wanted = {name for target in sums.household.targets if target.name in short for name in target.counts}
    tally = Tally(sums.household, sums.plan)
    for item in sums.household.preserves:
        left = crop_left_over(sums, item) if item.batch_typed and item.include and item.name in wanted else None
        if left is None or not sums.periods[left[1]].single:
            continue
        crop, period = sums.crop_named[left[0]], sums.periods[left[1]]
        kg = sums.plan.surplus_kg[left[0], left[1]]
        given = day_can_give(tally, item, period) | {"crop": math.floor(kg / item.crop_kg_each(crop.name) + ALMOST)}
        few = min(given.values())
        if 1 <= few < item.smallest_batch and (item.name, period.number) not in sums.plan.make:
            left_over = f"{format_crop(in_crop_unit(kg, crop), crop)} left over on {format_long_date(period.first_day)}"
            what = f"{left_over} would give {format_amount(few)} of {item.name}"
            remedy = "If you want them made, type fewer under Smallest batch, or leave it blank."
            yield item.where, f"{what}, fewer than its smallest batch of {item.smallest_batch}.", remedy


# A plan for several seasons: how much a line may come to in each, and how far each target is then filled.

MOST_TARGETS = 9
"""So many targets that differ between the seasons are named, three in a message."""

SMALLEST_DIFFERENCE = 0.5
"""A difference below half a container, or half a target's unit, is not shown."""


def amounts_of(plan: Plan, name: str) -> tuple[Amounts, str]:
    """Return the amounts of a plan that a line is about, and their key."""
    if name.startswith(FREEZE_WHOLE):
        return plan.freeze_kg, name.removeprefix(FREEZE_WHOLE)
    if name.startswith(THAW):
        return plan.thaw_kg, name.removeprefix(THAW)
    return plan.make, name


def over_seasons(plan: Plan, name: str, number: int) -> tuple[float, float, float]:
    """The least, the likely and the most of a plan line over the seasons: containers, or kg of crop."""
    found = []
    seasons = plan.hedge.seasons if plan.hedge is not None else ()
    for one in (plan, *(season.plan for season in seasons)):
        amounts, key = amounts_of(one, name)
        found.append(amounts.get((key, number), 0.0))
    return min(found), found[0], max(found)


def likely_words(plan: Plan, name: str, number: int | None, crop: Crop | None = None) -> str | None:
    """
    How much a line may come to, such as "6 to 14, most likely 9"; None where it is the same in all seasons.

    >>> from stillroom.household.plan import Hedge, SeasonPlan
    >>> poor = SeasonPlan("poor", 0.25, Plan((), make={("juice", 3): 6.0}))
    >>> good = SeasonPlan("good", 0.25, Plan((), make={("juice", 3): 14.0}))
    >>> likely = Plan((), make={("juice", 3): 9.0}, hedge=Hedge((poor, good), 0.5, 2))
    >>> likely_words(likely, "juice", 3), likely_words(likely, "juice", 2)
    ('6 to 14, most likely 9', None)
    """
    if plan.hedge is None or number is None:
        return None
    kg_or_count = over_seasons(plan, name, number)
    if crop is not None:
        shown = [format_amount(in_crop_unit(kg, crop), crop.unit) if kg > ALMOST else "0" for kg in kg_or_count]
    else:
        if kg_or_count[2] - kg_or_count[0] < SMALLEST_DIFFERENCE:
            return None
        shown = [format_containers(count, whole=False) for count in kg_or_count]
    least, likely, most = shown
    return None if least == most else f"{least} to {most}, most likely {likely}"


def likely_cells(sums: Sums, row: Row, name: str, number: int | None, crop: Crop | None) -> Row:
    """
    Return cells of a plan line that may come to more or less: the words by themselves, and at the end of what it uses.

    `Likely` is no column of the table, so a workbook shows it in *Uses*.
    """
    words = likely_words(sums.plan, name, number, crop)
    if words is None:
        return {}
    uses = row.get("Uses")
    return {"Likely": words, "Uses": f"{uses}; {words}" if uses else words}


def season_rows(sums: Sums) -> list[Row]:
    """Return the messages on the seasons a plan was made for, and on the targets that depend on the harvest."""
    hedge = sums.plan.hedge
    if hedge is None:
        return []
    others = [season.name for season in hedge.seasons]
    names = [f"a {name}" for name in ("poor", "likely", "good") if name == "likely" or name in others]
    harvests = f"{', '.join(names[:-1])} and {names[-1]}"
    days = "today" if hedge.decided_now == 1 else "today and tomorrow"
    rows = [
        message_row(
            NOTE,
            "Harvest",
            f"The plan fits {harvests} harvest, by Least and Most. The lines for {days} suit each of them. "
            "Later days are for the likely one.",
            "Weigh each lot as it comes in, and plan again.",
        )
    ]
    words = [text for target in sums.household.targets if (text := target_words(sums.plan, target))]
    shown = words[:MOST_TARGETS] + ([f"and {len(words) - MOST_TARGETS} more"] if len(words) > MOST_TARGETS else [])
    rows += [
        message_row(NOTE, "Harvest", f"Filled by harvest: {'; '.join(shown[place : place + 3])}.", "")
        for place in range(0, len(shown), 3)
    ]
    return rows


def target_words(plan: Plan, target: Target) -> str:
    """
    Return how far a target is filled in each season; empty where it is much the same in all.

    >>> from stillroom.household.plan import Hedge, SeasonPlan
    >>> poor = SeasonPlan("poor", 0.25, Plan((), bands={("juice", 0): 10.0, ("juice", 1): 2.0}))
    >>> likely = Plan((), bands={("juice", 0): 10.0, ("juice", 1): 10.0}, hedge=Hedge((poor,), 0.75, 2))
    >>> target_words(likely, Target("juice", 40.0, 40.0))
    'juice 20 of 40, in a poor one 12'
    """
    seasons = plan.hedge.seasons if plan.hedge is not None else ()
    likely = filled(plan, target.name)
    others = [(season.name, filled(season.plan, target.name)) for season in seasons]
    different = [
        f"in a {name} one {format_amount(there)}"
        for name, there in others
        if abs(there - likely) >= SMALLEST_DIFFERENCE
    ]
    words = f"{target.name} {format_amount(likely)} of {format_amount(target.wanted)}"
    return f"{words}, {format_list(different)}" if different else ""


def filled(plan: Plan, target: str) -> float:
    """Return how far a plan fills a target, in the target's unit."""
    return sum(amount for (name, _), amount in plan.bands.items() if name == target)


def worth_words(seasons: Sequence[tuple[str, dict[str, float]]]) -> list[str]:
    """
    Return what planning for all harvests gains and costs, harvest by harvest, in what the targets have more or less.

    >>> worth_words([("poor", {"beans": 2.3, "beets": -2.3}), ("likely", {"beans": 0.1})])
    ['poor harvest: beans up 2¼, beets down 2¼', 'likely harvest: no target changes']
    """
    lines = []
    for name, more in seasons:
        each = [
            f"{target} {'up' if by > 0 else 'down'} {format_amount(abs(by))}"
            for target, by in sorted(more.items(), key=lambda one: -one[1])
            if abs(by) >= SMALLEST_DIFFERENCE
        ]
        lines.append(f"{name} harvest: {', '.join(each) if each else 'no target changes'}")
    return lines


ERROR, WARNING, NOTE, CAUTION = "Error", "Warning", "Note", "Caution"
MOST_GONE = 12
"""So many dropped lines are named, three in a message."""


class Caution(Protocol):
    """A caution of the handbook: its words and where they come from."""

    @property
    def text(self) -> str:
        """The caution in a sentence or two."""

    @property
    def source(self) -> str:
        """The publication."""


def message_rows(
    sums: Sums,
    problems: Sequence[Row],
    cautions: Sequence[Caution],
    coverage: Sequence[Row],
    shopping: Sequence[Row],
    gone: Sequence[PlanLine],
) -> list[Row]:
    """Return errors first, then warnings, the causes of shortages before all, then notes, then cautions."""
    rows = [message_row(WARNING, *words) for words in run_out_rows(sums, coverage)]
    rows += [violation_row(sums, violation) for violation in sums.plan.violations]
    rows += problems
    rows += season_rows(sums) + unproved_rows(sums) + gone_rows(sums, gone)
    rows += [message_row(WARNING, *words) for words in starved_rows(sums, coverage)]
    rows += [message_row(NOTE, *words) for words in batch_rows(sums, coverage)]
    rows += over_limit_rows(sums, shopping)
    rows += [message_row(CAUTION, caution.source, caution.text, "") for caution in cautions]
    order = (ERROR, WARNING, NOTE, CAUTION)
    return sorted(rows, key=lambda row: order.index(str(row["Severity"])))


def message_row(severity: str, where: str, what: str, what_to_do: str) -> Row:
    """Return one message."""
    return {"Severity": severity, "Where": where or None, "What": what, "What to do": what_to_do or None}


def violation_row(sums: Sums, violation: Violation) -> Row:
    """Return the warning of a line that could not be kept at its number, with what it ran out of."""
    period = sums.periods[violation.period]
    crop = next(
        (
            sums.crop_named[violation.name.removeprefix(start)]
            for start in (FREEZE_WHOLE, THAW)
            if violation.name.startswith(start)
        ),
        None,
    )
    typed, short = violation.typed, violation.short
    if crop is not None:
        typed, short = in_crop_unit(typed, crop), in_crop_unit(short, crop)
    unit = "" if crop is None else f" {crop.unit}"
    cause = f" It runs out of {format_list(violation.limits)}." if violation.limits else ""
    when = f"{'on' if period.single else 'in'} {format_period(period.first_day, period.days)}"
    away = f"{format_amount(abs(short))}{unit} {'short' if short > 0 else 'over'}"
    what = f"{violation.name} {when}: you keep it at {format_amount(typed)}{unit}, and the plan is {away}.{cause}"
    more = f"Get more ({format_list(violation.limits, 2)}), or change" if violation.limits else "Change"
    where = violation.where or typed_at(sums, violation, period)
    return message_row(WARNING, where, what, f"{more} the number under Keep at.")


def typed_at(sums: Sums, violation: Violation, period: Period) -> str:
    """Return the cell of the fixed line of a violation."""
    for line in sums.household.plan_lines:
        if line.fix is not None and line.name == violation.name and abs((line.day - period.first_day).days) < line.days:
            return line.where
    return "Plan"


def unproved_rows(sums: Sums) -> list[Row]:
    """Return a note for each objective whose value was not proved to be the best within its own tolerance."""
    return [
        message_row(
            NOTE,
            "Plan",
            f"The plan may be {format_share(objective.gap, 1)} from the best possible for {objective.name}"
            f"{f' ({objective.stopped})' if objective.stopped else ''}.",
            "It follows every constraint. Planning again with more time may improve it a little.",
        )
        for objective in sums.plan.objectives
        if not objective.proved
    ]


def gone_rows(sums: Sums, gone: Sequence[PlanLine]) -> list[Row]:
    """Return the lines of the former plan of which nothing is left."""
    words = []
    for line in gone:
        crop = sums.crop_named.get(line.name.removeprefix(FREEZE_WHOLE).removeprefix(THAW))
        by = format_containers(line.make or 0.0, whole=line.days == 1)
        if crop is not None and line.name not in sums.preserve_named:
            by = format_quantity(in_crop_unit(line.make or 0.0, crop), crop.unit)
        words.append(f"{line.name} ({by}, {format_period(line.day, line.days)})")
    shown = words[:MOST_GONE]
    if len(words) > MOST_GONE:
        shown = [*shown, f"and {len(words) - MOST_GONE} more"]
    together = ["; ".join(shown[place : place + 3]) for place in range(0, len(shown), 3)]
    remedy = "To keep a line, type its number under Keep at."
    return [message_row(NOTE, "Plan", f"No longer planned: {several}.", remedy) for several in together]


def over_limit_rows(sums: Sums, shopping: Sequence[Row]) -> list[Row]:
    """Return the note that whole measures of pantry items come to more than the spending limit."""
    limit = sums.household.kitchen.left_to_spend
    total = sum(number_in(row, "Cost") for row in shopping)
    if math.isinf(limit) or total <= limit + 0.005:
        return []
    over, left = format_money(total - limit), "what is left of " if sums.household.kitchen.already_spent else ""
    what = f"In whole packages the shopping costs {format_money(total)}, {over} above {left}your spending limit."
    return [message_row(NOTE, "Shopping", what, "Buy loose, or share a package.")]


KINDS_OF_TARGETS = {1: "must", 2: "should", 3: "nice"}


def weighed_row(importance: int, planned: tuple[float, float], weighed: tuple[float, float]) -> Row:
    """
    Return the note on what strict importance costs; shares of the targets of that importance, and of all targets.

    >>> weighed_row(1, (0.95, 0.37), (0.63, 0.62))["What"].partition(". ")[0]
    'Must targets come first: they are filled to 95%, all targets to 37% on average'
    """
    first, whole = (format_share(share, 0) for share in planned)
    kind = KINDS_OF_TARGETS[importance].capitalize()
    what = f"{kind} targets come first: they are filled to {first}, all targets to {whole} on average. "
    shares = " and ".join(format_share(share, 0) for share in weighed)
    what += f"If a must counted 4, a should 2 and a nice 1, it would be about {shares}."
    remedy = "To give the others more, lower the importance of some targets, or what is wanted of them."
    return message_row(NOTE, "Winter list", what, remedy)
