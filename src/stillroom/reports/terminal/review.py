"""The season's review for the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.household.results.past_bottlenecks import NOT_BOUGHT, SeasonBottleneck
from stillroom.household.results.review import CropReview, Review, TargetReview, WorkReview, finished_in, finished_unit
from stillroom.household.results.rows import Row, in_crop_unit
from stillroom.household.text import (
    format_amount,
    format_containers,
    format_count,
    format_date_and_year,
    format_fixed,
    format_hours,
    format_list,
    format_money,
    format_number,
    format_quantity,
    format_share,
)
from stillroom.reports.terminal.lists import QUIET, WIDE, Fitted, grid, heading, indented, section, spaced

MOST_DAYS = 4
MOST_WEEKS = 8
MOST_BOUGHT = 4
FAR_FROM_PLAN = 0.1
"""Crop or hours this far from those planned are shown (common practice, no source)."""


def review_page(found: Review, tables: Mapping[str, Sequence[Row]], end: Sequence[str] = ()) -> RenderableType:
    """Return the page: targets, crops, preserves, canners, bottlenecks, years, weeks."""
    if found.first is None:
        words = "No records yet. They come with weigh, made, ate and bought."
        return spaced([Group(heading("Review"), indented(Text(words))), *map(Text, end)])
    about = f"{format_date_and_year(found.first)} to {format_date_and_year(found.day)}"
    about += f", {format_count(found.records, 'record')}"
    return spaced(
        [
            Group(heading("Review", about), Fitted(partial(target_grid, found.targets))),
            section("Next year", next_lines(found.targets)),
            section("Crops", list(map(crop_line, found.crops)), "all years"),
            section("Preserves", list(map(preserve_line, found.preserves))),
            section(
                "Canners", [f"{one.name}: {seal_words(one)}{one.words}" for one in found.equipment], "failed seals"
            ),
            section("Bottlenecks", bottleneck_lines(found.bottlenecks), "plans of the last year"),
            section("Years", [year_line(row) for row in tables["Review years"] if row["Containers"] or row["Spent"]]),
            section("Expected and not weighed", expected_lines(found)),
            *map(Text, end),
        ]
    )


def target_grid(targets: Sequence[TargetReview], wide: int) -> RenderableType:
    """Return a line for each target."""
    narrow = wide < WIDE
    table = grid(None, 7, 7, 7, 7, 9, *(() if narrow else (18,)), right=(1, 2, 3, 4, 5))
    words = ["", "wanted", "put up", "eaten", "on hand", "a month", *([] if narrow else ["at that rate"])]
    table.add_row(*(Text(word, QUIET) for word in words))
    for one in targets:
        amounts = (one.wanted, one.put_up, one.eaten, one.on_hand)
        rate = "?" if one.a_month is None else format_number(one.a_month, 1)
        ends = [] if narrow else [end_words(one)]
        table.add_row(one.target, *map(format_amount, amounts), rate, *ends)
    return table


def end_words(one: TargetReview) -> str:
    """Return when a target runs out, or what is left of it."""
    if one.runs_out is not None:
        return f"out {format_date_and_year(one.runs_out)}"
    return "" if one.left is None else f"{format_amount(one.left)} left over"


def next_lines(targets: Sequence[TargetReview]) -> list[str]:
    """Return a line for each target of which something was eaten, given away or lost, and one for all the others."""
    told = [one for one in targets if one.eaten + one.given + one.spoiled + one.late > 0 or one.never_eaten]
    others = [one.target for one in targets if one not in told]
    rest = f"No record of eating {format_list(others)}: want as much as this year." if others else ""
    return [*map(next_line, told), *([rest] if rest else [])]


def next_line(one: TargetReview) -> str:
    """Return what to want next year of a target, and why."""
    gone = [
        f"{format_amount(much)} {word}" for much, word in ((one.given, "given away"), (one.spoiled, "spoiled")) if much
    ]
    tail = f" In the last year: {format_list(gone)}." if gone else ""
    tail += (
        f" Of what you have, {format_amount(one.late)} will be out of date before you eat it." if one.late > 0 else ""
    )
    return f"{one.target}: {format_quantity(one.next_wanted, one.unit)}. {one.why}{tail}"


def crop_line(one: CropReview) -> str:
    """Return what became of a crop."""
    amount = format_quantity(in_crop_unit(one.weighed_kg, one.crop), one.crop.unit)
    parts = [f"{amount} in {format_count(one.years, 'year')}"]
    if one.finished is not None:
        parts.append(f"{format_fixed(finished_in(one.crop, one.finished), 2)} {finished_unit(one.crop)}")
    if one.minutes is not None:
        parts.append(f"{format_number(one.minutes, 0)} min a jar")
    parts += [
        f"{format_share(share)} {word}" for share, word in ((one.lost, "lost"), (one.surplus, "surplus")) if share
    ]
    return f"{one.crop.name}: {', '.join(parts)}." + (f" {one.words}" if one.words else "")


def seal_words(one: WorkReview) -> str:
    """Return how many jars did not seal, and when."""
    if not one.failed:
        return ""
    days = format_list(map(format_date_and_year, one.bad_days[-MOST_DAYS:]), between="; ")
    first = "" if len(one.bad_days) <= MOST_DAYS else "last "
    return f"{format_number(one.failed)} of {format_number(one.filled)} not sealed ({first}{days}). "


def preserve_line(one: WorkReview) -> str:
    """Return sessions, failed seals, and where crop or hours are far from those planned."""
    many = format_number(one.filled / one.sessions, 1)
    words = f"{one.name}: {format_count(one.sessions, 'session')}, {many} a session. {seal_words(one)}"
    usual = one.each_published or one.each_typed
    if one.each_own and usual and abs(one.each_own / usual - 1) > FAR_FROM_PLAN:
        than = "the handbook has" if one.each_published else "planned"
        words += f"{change_words(one.each_own / usual)} {one.crop} a jar than {than}. "
    if one.hours and one.hours_typed:
        words += f"{format_hours(one.hours)} hands-on, {format_hours(one.hours_typed)} planned."
    return words.strip()


def change_words(ratio: float) -> str:
    """
    Return a ratio as so much more or less.

    >>> change_words(1.2), change_words(0.75)
    ('20% more', '25% less')
    """
    return f"{format_share(abs(ratio - 1))} {'more' if ratio > 1 else 'less'}"


def bottleneck_line(one: SeasonBottleneck) -> str:
    """
    Return how often something was a bottleneck, what it cost, and what more of it would have given.

    >>> bottleneck_line(SeasonBottleneck("quart jar", 2, 3, 9.0, "a dozen quart jars", 7.0))
    'quart jar: short in 2 of 3 plans, up to 9 containers not filled. A dozen quart jars would have added up to 7.'
    """
    words = f"{one.name}: short in {one.plans} of {format_count(one.of, 'plan')}"
    if one.containers:
        words += f", up to {format_count(one.containers, 'container')} not filled"
    if one.gain:
        more = f"{one.one_more[:1].upper()}{one.one_more[1:]}"
        words += f". {more} would have added up to {format_containers(one.gain, whole=True)}"
    return f"{words}."


def bottleneck_lines(found: Sequence[SeasonBottleneck]) -> list[str]:
    """Return a line for each bottleneck, then what to buy, what cost most first."""
    names = [one.name for one in found if one.name not in NOT_BOUGHT and (one.containers or one.gain)]
    buy = f"Before next season, more of this would help: {format_list(names, MOST_BOUGHT)}." if names else ""
    return [*map(bottleneck_line, found), *([buy] if buy else [])]


def year_line(row: Row) -> str:
    """Return the jars, money and hours of a year."""
    number = {name: value for name, value in row.items() if isinstance(value, int | float)}
    spent = f"{format_money(number['Spent'])} spent" if number["Spent"] else "nothing recorded as bought"
    words = f"{row['Year']}: {format_number(number['Containers'])} put up, {spent}"
    if number["Store value"]:
        words += f", worth {format_money(number['Store value'])} at the store"
        if "Spent each" in number:
            words += f" ({format_money(number['Spent each'])} and {format_money(number['Worth each'])} a jar)"
    return words + (f", {format_fixed(number['Hours each'], 2)} h a jar." if "Hours each" in number else ".")


def expected_lines(found: Review) -> list[str]:
    """Return the weeks whose expected lots were never marked as weighed, and what was weighed then."""
    lines = [
        f"{one.crop.name}, week of {format_date_and_year(one.week)}: "
        f"{format_quantity(in_crop_unit(one.expected, one.crop), one.crop.unit)} expected, "
        f"{format_quantity(in_crop_unit(one.weighed, one.crop), one.crop.unit)} weighed."
        for one in found.weeks
        if one.expected > 0
    ]
    return lines[:MOST_WEEKS] + ([f"and {len(lines) - MOST_WEEKS} more"] if len(lines) > MOST_WEEKS else [])
