"""The season's review for the terminal."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import partial

from rich.console import Group, RenderableType
from rich.text import Text

from stillroom.handbook.crop_figures import Planting
from stillroom.household.results.bottlenecks import NOT_BOUGHT, SeasonBottleneck
from stillroom.household.results.review import CropReview, Review, TargetReview, WorkReview, finished_in, finished_unit
from stillroom.household.results.review.planting import CropNeed, GardenNeeds
from stillroom.household.results.rows import Row, cell_number, in_crop_unit
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
    format_row,
    format_share,
)
from stillroom.reports.json import as_json, plain
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
            section("Canners", list(map(canner_line, found.equipment)), "failed seals"),
            section("Bottlenecks", bottleneck_lines(found.bottlenecks), "plans of the last year"),
            section("Years", year_lines(tables)),
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


def canner_line(one: WorkReview) -> str:
    """Return how many jars of a canner did not seal, and whether that is more than in the others."""
    return f"{one.name}: {seal_words(one)}{one.words}"


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
    'quart jar: short in 2 of 3 plans, up to 9 containers not filled. In a trial, a dozen quart jars filled 7 more.'
    """
    words = f"{one.name}: short in {one.plans} of {format_count(one.of, 'plan')}"
    if one.containers:
        words += f", up to {format_count(one.containers, 'container')} not filled"
    if one.gain:
        words += f". In a trial, {one.one_more} filled {format_containers(one.gain, whole=True)} more"
    return f"{words}."


def bottleneck_lines(found: Sequence[SeasonBottleneck]) -> list[str]:
    """Return a line for each bottleneck, then what to buy, what cost most first."""
    names = [one.name for one in found if one.name not in NOT_BOUGHT and (one.containers or one.gain)]
    buy = f"Before next season, more of this would help: {format_list(names, MOST_BOUGHT)}." if names else ""
    return [*map(bottleneck_line, found), *([buy] if buy else [])]


def year_lines(tables: Mapping[str, Sequence[Row]]) -> list[str]:
    """Return a line for each year in which something was put up or bought."""
    return [year_line(row) for row in tables["Review years"] if row["Containers"] or row["Spent"]]


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


# What to plant.

ROUGH = (
    "Rows and plants come from published averages of other gardens. What you weighed from your own rows is better.",
    "Yours can give half as much, or twice as much, by soil, weather and variety (common practice, no source).",
    "Not counted: what you eat fresh, what spoils, and what you buy.",
)
MOST_USES = 3
MOST_NAMED = 6
CALCULATED = " (calculated)"


def garden_page(needs: GardenNeeds, published: Sequence[Planting | None]) -> RenderableType:
    """Return the page: each crop with its row and plants, what it is for, and how rough it is."""
    if not needs.crops:
        nothing = ["The winter list needs no more of any crop."]
        return Group(heading("What to plant"), *(indented(Text(line)) for line in [*nothing, *without_lines(needs)]))
    both = list(zip(needs.crops, published, strict=True))
    return spaced(
        [
            Group(heading("What to plant", "for next year's winter list"), Fitted(partial(garden_grid, both))),
            section("What it is for", list(map(use_line, needs.crops))),
            section("Winter list", [*left_lines(needs), *without_lines(needs)]),
            section("No published yield", [line for one in both if (line := unknown_line(*one))]),
            section("How rough it is", [*ROUGH, *own_lines(needs), *source_lines(both)]),
        ]
    )


def garden_grid(both: Sequence[tuple[CropNeed, Planting | None]], wide: int) -> RenderableType:
    """Return a line for each crop: pounds, feet of row and plants."""
    table = grid(None, 14, 16, 14, right=(1, 2, 3)) if wide >= WIDE else grid(None, 10, 14, 10, right=(1, 2, 3))
    table.add_row("", *(Text(word, QUIET) for word in ("needed", "row", "plants")))
    for need, published in both:
        feet = None if published is None else published.row_feet(need.kg)
        plants = None if published is None else published.plants(need.kg)
        row = "?" if feet is None else format_row(*feet)
        table.add_row(
            need.crop.name, crop_words(need), row, "" if plants is None else span_words(*map(math.ceil, plants))
        )
    return table


def crop_words(need: CropNeed) -> str:
    """Return how much is needed of a crop, in its own unit."""
    return format_quantity(in_crop_unit(need.kg, need.crop), need.crop.unit)


def span_words(least: int, most: int) -> str:
    """
    Return a number, or a span of numbers.

    >>> span_words(4, 4), span_words(1200, 1400)
    ('4', '1,200 to 1,400')
    """
    return format_number(least) if least == most else f"{format_number(least)} to {format_number(most)}"


def use_line(need: CropNeed) -> str:
    """Return the containers that a crop is for."""
    uses = [f"{format_number(many)} {name}" for name, many in need.containers.items()]
    return f"{need.crop.name}: {format_list(uses, MOST_USES, '; ')}."


def left_lines(needs: GardenNeeds) -> list[str]:
    """Return what is left of each target by the next harvest, and so need not grow."""
    return [
        f"{one.target}: {format_quantity(one.wanted, one.unit)} wanted next year; about "
        f"{format_number(math.floor(one.left))} will be left over by the next harvest."
        for one in needs.targets
        if one.left >= 1 and one.wanted > 0
    ]


def without_lines(needs: GardenNeeds) -> list[str]:
    """Return the targets that need something and have no preserve that could be made."""
    names = [one.target for one in needs.targets if one.wanted > one.left and not one.containers]
    return [f"No preserve that can be planned counts toward {format_list(names, MOST_NAMED)}."] if names else []


def unknown_line(need: CropNeed, published: Planting | None) -> str:
    """Return why there is no row for a crop; empty where there is one."""
    if published is None:
        return f"{need.crop.name}: not found in a published table by this name."
    if published.row_feet(need.kg) is not None:
        return ""
    note = f" ({published.note})" if published.note else ""
    return f"{need.crop.name}: no length of row is published{note}."


def own_lines(needs: GardenNeeds) -> list[str]:
    """Return for which crops the household's own yields are in the figures."""
    names = [one.crop.name for one in needs.crops if one.own]
    return [f"Your own yields by the record are used for {format_list(names)}."] if names else []


def source_lines(both: Sequence[tuple[CropNeed, Planting | None]]) -> list[str]:
    """Return the notes of the rows that are used, then each source once."""
    used = [(need.crop.name, one) for need, one in both if one is not None and one.kg is not None]
    crops: dict[str, list[str]] = {}
    for name, one in used:
        if one.note:
            crops.setdefault(one.note + (CALCULATED if one.status == "derived" else ""), []).append(name)
    notes = [f"{format_list(names)}: {note}." for note, names in crops.items()]
    sources = dict.fromkeys(source for _, one in used for source in one.source.split("; "))
    return notes + ([f"Sources: {'; '.join(sources)}."] if sources else [])


def garden_object(needs: GardenNeeds, published: Sequence[Planting | None]) -> dict[str, object]:
    """
    The same for other programs, unrounded: `crops` and `targets`.

    Amounts are in the crop's own `unit`, rows in feet; null where nothing is published.
    """
    crops: list[dict[str, object]] = []
    for need, one in zip(needs.crops, published, strict=True):
        feet = None if one is None else one.row_feet(need.kg)
        plants = None if one is None else one.plants(need.kg)
        crops.append(
            {
                "crop": need.crop.name,
                "needed": cell_number(in_crop_unit(need.kg, need.crop)),
                "unit": need.crop.unit,
                "row_feet_least": feet and cell_number(feet[0]),
                "row_feet_most": feet and cell_number(feet[1]),
                "plants_least": plants and cell_number(plants[0]),
                "plants_most": plants and cell_number(plants[1]),
                "own_yield": need.own,
                "containers": plain(need.containers),
                "source": None if one is None else one.source,
                "status": None if one is None else one.status,
                "note": None if one is None else one.note or None,
            }
        )
    return {"crops": crops, "targets": [as_json(one) for one in needs.targets]}
