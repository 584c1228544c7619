"""What many simulated seasons show: for the terminal, with bars, and as JSON."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.simulation.seasons import RanOut, SeasonPlayed, TargetMet, surplus_in_all
from stillroom.household.text import (
    format_amount,
    format_count,
    format_list,
    format_long_date,
    format_number,
    format_share,
    format_weight,
)
from stillroom.reports.charts.season import likely_amount
from stillroom.reports.json import as_json, plain
from stillroom.reports.terminal.lists import QUIET, grid, heading, indented, section, spaced

if TYPE_CHECKING:
    from stillroom.household.simulation.seasons import SeasonFound, Surplus


BAR = 16
NONE_PLANNED = 0.125
"""Less than this of a target counts as none planned."""
FULL, MOSTLY, SOMETIMES, NEVER = "█", "▒", "░", "·"
INTERVALS = (
    "Ranges are 95% intervals. They show how far so few seasons may mislead, not how well the chances fit your garden."
)


def season_page(found: SeasonFound, end: Sequence[str] = ()) -> RenderableType:
    """Return the page of all seasons; `end` are lines on what was written."""
    parts: list[RenderableType | None] = [
        targets_part(found),
        section("Surplus", surplus_lines(found.surplus)),
        ran_out_part([one for one in found.ran_out if was_there(found, one)]),
        section("What the simulation assumes", drawn_lines(found)),
        Group(*(Text(line) for line in end)) if end else None,
    ]
    return spaced(parts)


def targets_part(found: SeasonFound) -> RenderableType:
    """A bar for each target, how often it is met, and how much there is in nine seasons of ten and in all."""
    draws = found.asked.draws
    table = grid(BAR, None)
    for one in found.targets:
        for number, line in enumerate(() if never_any(one) else target_lines(one)):
            table.add_row("" if number else bar(one), Text(line, QUIET if number else ""))
    about = f"{format_count(draws, 'simulated season')}, through {format_long_date(found_end(found))}"
    key = f"{FULL} in all  {MOSTLY} in 9 of 10  {SOMETIMES} on average  {NEVER} short"
    parts: list[RenderableType] = [heading("How likely each target is met", about), indented(table)]
    nothing = [one.target.name for one in found.targets if never_any(one)]
    if nothing:
        parts.append(indented(Text(f"None planned and none in any season: {format_list(nothing, 0, '; ')}.", QUIET)))
    return Group(*parts, indented(Text(key, QUIET)))


def never_any(one: TargetMet) -> bool:
    """
    Return whether nothing toward a target is planned, and nothing was made in any season.

    >>> from stillroom.household.records import Target
    >>> never_any(TargetMet(Target("juice", 40, 40), 0.0, 0, 20, 0.0, 0.16, 0.0, 0.0, 0.0, 0.0, 0.0))
    True
    """
    return one.target.wanted > 0 and one.mean <= 0 and one.planned < NONE_PLANNED


def was_there(found: SeasonFound, one: RanOut) -> bool:
    """Return whether there were any of a container that runs out, or some come back."""
    container = found.household.container(one.container)
    return container.on_hand > 0 or container.back_each_week > 0 or container.can_buy > 0


def target_lines(one: TargetMet) -> list[str]:
    """
    Return the lines of one target: one where it is always met, else two.

    >>> from stillroom.household.records import Target
    >>> juice = Target("juice", 40, 40, unit="quart")
    >>> target_lines(TargetMet(juice, 40, 20, 20, 0.839, 1.0, 40.0, 40.0, 40.0, 40.0, 40.0))
    ['juice: 40 quarts in all seasons']
    >>> target_lines(TargetMet(juice, 40, 18, 20, 0.7, 0.97, 40.0, 31.0, 35.0, 33.0, 37.0))
    ['juice: met in 90% of seasons (95% interval 70-97%)', '40 quarts in 9 of 10 seasons, 31 in all']
    """
    if one.met == one.draws:
        return [f"{one.target.name}: {amounts_words(one)}"]
    return [f"{one.target.name}: {met_words(one)}", amounts_words(one)]


def between(one: TargetMet) -> str:
    """Return the interval of the share of seasons in which a target is met, in brackets."""
    return f"(95% interval {format_number(100 * one.share_low, 0)}-{format_share(one.share_high)})"


def found_end(found: SeasonFound) -> datetime.date:
    """The last day of the seasons."""
    return found.opening.periods[-1].last_day


def bar(one: TargetMet) -> str:
    """
    Return how far a target is filled, as a bar: in all seasons, in nine of ten, on average.

    >>> from stillroom.household.records import Target
    >>> bar(TargetMet(Target("juice", 40, 40), 40, 8, 10, 0.5, 0.9, 30.0, 20.0, 35.0, 33.0, 37.0))
    '████████▒▒▒▒░░··'
    """
    ends = [round(BAR * amount / one.target.wanted) for amount in (one.least, one.nine_of_ten, one.mean)]
    all_, mostly = ends[0], max(ends[:2])
    usual = max(ends)
    return FULL * all_ + MOSTLY * (mostly - all_) + SOMETIMES * (usual - mostly) + NEVER * (BAR - usual)


def met_words(one: TargetMet) -> str:
    """
    Return how often a target is met.

    >>> from stillroom.household.records import Target
    >>> met_words(TargetMet(Target("juice", 40, 40), 40, 18, 20, 0.699, 0.972, 30.0, 20.0, 35.0, 33.0, 37.0))
    'met in 90% of seasons (95% interval 70-97%)'
    """
    if one.met == 0:
        return f"met in no season of {one.draws}"
    if one.met == one.draws:
        return f"met in all {one.draws} seasons"
    if not 0.005 < one.share < 0.995:
        return f"met in {one.met} of {one.draws} seasons {between(one)}"
    return f"met in {format_share(one.share)} of seasons {between(one)}"


def amounts_words(one: TargetMet) -> str:
    """
    Return how much of a target there is, and how much is planned where no season reaches what is wanted.

    >>> from stillroom.household.records import Target
    >>> juice = Target("juice", 40, 40, unit="quart")
    >>> amounts_words(TargetMet(juice, 40, 0, 20, 0.0, 0.16, 12.0, 7.0, 14.0, 12.0, 15.0))
    '12 of 40 quarts in 9 of 10 seasons, 7 in all; planned: 40'
    >>> amounts_words(TargetMet(juice, 0, 0, 20, 0.0, 0.16, 0.0, 0.0, 0.0, 0.0, 0.0))
    'none of 40 quarts in any season; planned: 0'
    """
    words, planned = likely_amount(one), format_amount(one.planned, one.target.unit)
    differs = format_amount(one.mean, one.target.unit) != planned or one.mean <= 0
    return f"{words}; planned: {planned}" if one.met == 0 and differs else words


def surplus_lines(surplus: Surplus) -> list[str]:
    """Return how much surplus there is."""
    kg = {name: format_weight(amount) for name, amount in vars(surplus).items()}
    average = f"{kg['mean']} on average ({kg['mean_low']} to {kg['mean_high']})"
    return [
        f"{average}; up to {kg['nine_of_ten']} in 9 of 10 seasons, {kg['most']} at most.",
        f"If everything comes as expected, the plan has {kg['planned']}.",
    ]


def ran_out_part(several: Sequence[RanOut]) -> RenderableType | None:
    """When containers run out."""
    if not several:
        return None
    table = grid(None, None, None)
    for one in several:
        often = "in all seasons" if one.seasons == one.draws else f"in {one.seasons} of {one.draws} seasons"
        when = f"mostly about {format_long_date(one.middle)}, first on {format_long_date(one.first)}"
        table.add_row(one.container, often, when)
    return Group(heading("When containers run out", "none left and none to buy"), indented(table))


def drawn_lines(found: SeasonFound) -> list[str]:
    """Return what was assumed; none of it has a source but the household's own workbook."""
    asked = found.asked
    blank = f"{format_share(asked.harvest_share)} less or more where they are blank"
    own = f", or as in your records for {format_count(len(found.learned), 'preserve')}" if found.learned else ""
    harvest = f"Harvest: from Least to Most of each expected lot, {blank}."
    return [
        f"{harvest} Correlation between lots of a crop: {format_number(asked.together)}.",
        f"Crop a container takes: varies by {format_share(asked.yield_spread)}{own}.",
        f"Evenings: {format_share(asked.lost_evening)} of the working ones are lost.",
        f"A new plan every {format_count(asked.plan_every_days, 'day')} and each lost evening; every plan audited.",
        "These are assumptions. Change them with --spread, --together, --yield-spread and --lost.",
        INTERVALS,
        f"Seed {asked.seed}: the same seed gives the same seasons.",
    ]


def season_object(found: SeasonFound) -> dict[str, object]:
    """The whole for other programs; no timing but `seconds` and `workers`."""
    asked = found.asked
    assumed = as_json(asked, leave_out=("draws", "seed", "workers", "cluster"))
    return {
        "draws": asked.draws,
        "seed": asked.seed,
        "season_ends": found_end(found).isoformat(),
        "assumed": assumed | {"yield_spread_learned": plain(found.learned)},
        "targets": [target_object(one) for one in found.targets],
        "surplus": {"unit": "kg"} | as_json(found.surplus),
        "ran_out": [as_json(one) for one in found.ran_out],
        "seasons": [played_object(one) for one in found.played],
        "seconds": found.seconds,
        "workers": found.workers,
    }


def target_object(one: TargetMet) -> dict[str, object]:
    """Return how likely one target is met; amounts in its own unit."""
    target = one.target
    about = {"target": target.name, "importance": target.importance, "unit": target.unit, "wanted": target.wanted}
    return about | as_json(one, "share", leave_out=("target",))


def played_object(one: SeasonPlayed) -> dict[str, object]:
    """Return one season; crop in kg."""
    filled = [{"target": name, "amount": amount} for name, amount in sorted(one.filled.items())]
    surplus_kg = surplus_in_all(one)
    return {"draw": one.number} | as_json(one, leave_out=("number",)) | {"filled": filled, "surplus_kg": surplus_kg}
