"""Bars over the periods of a plan, shared by the freezer and the jars: where each stands, and what is written below."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stillroom.household.plan import Period
from stillroom.household.records import Container
from stillroom.household.results.values import in_space_unit
from stillroom.household.text import (
    format_amount,
    format_list,
    format_long_date,
    format_number,
    format_period,
    format_share,
    plural,
)
from stillroom.reports.charts.canvas import (
    BODY,
    BRICK,
    FROZEN,
    INK,
    LINE,
    MARGIN,
    QUIET,
    SHELF,
    SMALL,
    Box,
    Line,
    Paper,
    Picture,
    Tone,
    Words,
    nothing,
    width_of,
    wrapped,
)
from stillroom.reports.charts.picture import NOT_PLANNED, Shown, short_period
from stillroom.reports.terminal.lists import figure

GAP_BEFORE_WEEKS = 8.0


@dataclass(frozen=True)
class Slots:
    """The room for each period between two edges, with a small gap between the days and the weeks."""

    periods: Sequence[Period]
    left: float
    right: float

    @property
    def each(self) -> float:
        """The width of one period."""
        mixed = len({period.single for period in self.periods}) > 1
        return (self.right - self.left - (GAP_BEFORE_WEEKS if mixed else 0.0)) / len(self.periods)

    def places(self) -> Iterator[tuple[Period, float, float]]:
        """Each period with the left edge and the width of its bar."""
        days = any(period.single for period in self.periods)
        for place, period in enumerate(self.periods):
            shift = GAP_BEFORE_WEEKS if days and not period.single else 0.0
            yield period, self.left + place * self.each + shift + 0.1 * self.each, 0.8 * self.each

    def dates(self, paper: Paper, y: float, size: float = 7.5) -> None:
        """Write the dates below the bars, as many of them as there is room for."""
        widest = max(width_of(words, size) for period in self.periods for words in short_period(period))
        every = max(1, int(-(-(widest + 3.0) // self.each)))
        for place, (period, left, wide) in enumerate(self.places()):
            if place % every == 0:
                for line, words in enumerate(short_period(period)):
                    x = min(max(left + wide / 2, self.left + widest / 2), paper.width - widest / 2 - 4.0)
                    paper.put(Words(words, x, y + 9.0 * line, size, "centre", QUIET))

    def floor(self, paper: Paper, y: float) -> None:
        """Draw the line the bars stand on."""
        paper.put(Line(((self.left, y), (self.right, y)), QUIET, 0.8))

    def level(self, paper: Paper, y: float) -> None:
        """Draw a quiet line across."""
        paper.put(Line(((self.left, y), (self.right, y)), LINE, 0.6))


# The picture of the freezer: how full it is at the end of each day and week, and how full it may get.

FREEZER_NAME, FREEZER_TITLE = "freezer", "How full the freezer gets"
FREEZER_HIGH = 150.0
FIGURE = 7.5
ALMOST_FULL = 0.98


def freezer_picture(shown: Shown) -> Picture:
    """
    Draw one bar a period: what the plan puts in beyond what lies there on the first day, with the room there is across.

    Below the line is what the plan takes out of what lay there.
    """
    if not shown.planned:
        return nothing(FREEZER_NAME, FREEZER_TITLE, NOT_PLANNED)
    used = [figure(row, "Freezer used") for row in shown.tables["Space"] if row.get("Period") is not None]
    if not any(abs(one) > 1e-6 for one in used):
        return nothing(
            FREEZER_NAME, FREEZER_TITLE, "Nothing goes into the freezer and nothing is taken out by this plan."
        )
    kitchen = shown.household.kitchen
    free = in_space_unit(kitchen.freezer_free_litres, kitchen)
    words = shown.told(freezer_words(shown, used, free))
    paper = Paper()
    paper.head(FREEZER_TITLE, words)
    draw_bars(paper, shown, used, free)
    paper.end()
    return Picture(FREEZER_NAME, FREEZER_TITLE, words, paper)


def freezer_words(shown: Shown, used: Sequence[float], free: float) -> str:
    """Say how full it is now, when it is fullest, and of how much."""
    kitchen = shown.household.kitchen
    unit = kitchen.volume_unit
    most = max(used)
    period = shown.periods[used.index(most)]
    now = ""
    if kitchen.freezer_size_litres is not None and math.isfinite(free):
        size = in_space_unit(kitchen.freezer_size_litres, kitchen)
        now = f"Of {format_amount(size, unit)} {unit}, {format_amount(free, unit)} {unit} are free now. "
    elif math.isfinite(free):
        now = f"{format_amount(free, unit)} {unit} are free now. "
    if most <= 1e-6:
        return f"{now}The plan only takes out of the freezer: {format_amount(-min(used), unit)} {unit} at most."
    share = (
        f", {format_share(most / free)} of what is free" if math.isfinite(free) and free > 0 else "; no limit is typed"
    )
    when = format_long_date(period.last_day)
    return f"{now}The plan puts up to {format_amount(most, unit)} {unit} more into it by {when}{share}."


def draw_bars(paper: Paper, shown: Shown, used: Sequence[float], free: float) -> None:
    """Draw the bars, the limit and the dates."""
    unit = shown.household.kitchen.volume_unit
    top = paper.y + 24.0
    highest = max([*used, free if math.isfinite(free) else 0.0, 0.0])
    lowest = min(0.0, *used)
    scale = FREEZER_HIGH / (highest - lowest)
    floor = top + highest * scale
    slots = Slots(shown.periods, MARGIN, paper.width - MARGIN)
    if math.isfinite(free):
        y = floor - free * scale
        colour = BRICK if max(used) >= ALMOST_FULL * free else INK
        paper.put(Line(((slots.left, y), (slots.right, y)), colour, 1.2, dashed=True))
        words = f"full: {format_amount(free, unit)} {unit} more"
        paper.put(Words(words, slots.left, y - 4.0, SMALL, colour=colour, style="bold"))
    for (_, left, wide), amount in zip(slots.places(), used, strict=True):
        edge = floor - max(0.0, amount) * scale
        long = abs(amount) * scale
        if long > 0.2:
            paper.put(Box(left, edge, wide, long, FROZEN))
        words = format_amount(amount, unit)
        if width_of(words, FIGURE) <= slots.each - 1.0 and format_amount(amount, unit) != "0":
            y = edge + 9.5 if long >= 13.0 else edge - 3.0
            paper.put(Words(words, left + wide / 2, y, FIGURE, "centre"))
    slots.floor(paper, floor)
    paper.y = floor - lowest * scale + 12.0
    slots.dates(paper, paper.y)
    paper.y += 10.0


# The picture of the jars: how many of each size are left at the end of each day and week, those to buy included.

JARS_NAME, JARS_TITLE = "jars_left", "Jars left, by size"
NAMES_WIDE, NAMES_LEAST = 130.0, 60.0
JARS_HIGH, STRIP = 34.0, 52.0
MOST_SIZES = 8
LEFT = Tone(SHELF.fill)


def jars_picture(shown: Shown) -> Picture:
    """Draw one strip of bars for each container of the kind jar, all to one scale, the number over each bar."""
    if not shown.planned:
        return nothing(JARS_NAME, JARS_TITLE, NOT_PLANNED)
    counts = jars_left_by_size(shown)
    if not counts:
        return nothing(JARS_NAME, JARS_TITLE, "There are no jars in the table Containers.")
    words = shown.told(jars_words(shown, counts))
    paper = Paper()
    paper.head(JARS_TITLE, words)
    paper.y += 8.0
    names = max(NAMES_LEAST, *(min(NAMES_WIDE, width_of(name, BODY)) for name in counts))
    slots = Slots(shown.periods, MARGIN + names + 8.0, paper.width - MARGIN)
    most = max(max(left) for left in counts.values())
    for name in list(counts)[:MOST_SIZES]:
        draw_strip(paper, slots, shown, (name, counts[name], most))
    slots.dates(paper, paper.y + 11.0)
    paper.y += 22.0
    paper.end()
    return Picture(JARS_NAME, JARS_TITLE, words, paper)


def jars_left_by_size(shown: Shown) -> dict[str, list[float]]:
    """How many of each container of the kind jar are left at the end of each period, the most used ones first."""
    sums = shown.to_come
    found: dict[str, list[float]] = {}
    taken: dict[str, float] = {}
    for jar in shown.household.containers:
        there = jar.on_hand + sums.plan.buy_containers.get(jar.name, 0.0)
        if is_jar(jar) and there + jar.back_each_week > 0:
            gone = [sums.containers_taken(jar, period.number) for period in shown.periods]
            found[jar.name] = [max(0.0, there - one) for one in gone]
            taken[jar.name] = gone[-1]
    return dict(sorted(found.items(), key=lambda item: (-taken[item[0]], item[0])))


def is_jar(container: Container) -> bool:
    """
    Whether a container is a jar.

    >>> is_jar(Container("pint", "canning jar", 0.47)), is_jar(Container("tub", "freezer tub", 0.5))
    (True, False)
    """
    return "jar" in container.kind.casefold().split()


def jars_words(shown: Shown, counts: dict[str, list[float]]) -> str:
    """Say what is left at the end, what runs out when, and what is to be bought."""
    bought = shown.to_come.plan.buy_containers
    ends = []
    for name, left in counts.items():
        out = next((number for number, one in enumerate(left) if one < 1.0), None)
        none = ""
        if out is not None:
            period = shown.periods[out]
            none = f" (none {'on' if period.single else 'in'} {format_period(period.first_day, period.days)})"
        ends.append(f"{name} {down(left[-1])}{none}")
    parts = [f"Left when the plan is done: {format_list(ends, MOST_SIZES)}."]
    buy = [
        f"{format_number(bought[name], 0)} {plural(bought[name], name)}" for name in counts if bought.get(name, 0.0) > 0
    ]
    if buy:
        parts.append(f"To buy, and counted here from the start: {format_list(buy)}.")
    return " ".join(parts)


def down(count: float) -> str:
    """
    Whole jars: half a jar is none.

    >>> down(6.9999999), down(0.4)
    ('7', '0')
    """
    return f"{math.floor(count + 1e-6)}"


def draw_strip(paper: Paper, slots: Slots, shown: Shown, strip: tuple[str, list[float], float]) -> None:
    """Draw the bars of one size above its line, its name to the left."""
    name, left, most = strip
    floor = paper.y + STRIP - 6.0
    wide = slots.left - MARGIN - 8.0
    edge = MARGIN + wide
    lines = wrapped(name, wide, BODY)
    for number, words in enumerate(lines):
        paper.put(Words(words, edge, floor - 14.0 + 11.0 * (number - len(lines) + 1), across="right"))
    bought = shown.to_come.plan.buy_containers.get(name, 0.0)
    if bought > 0:
        paper.say(
            f"{format_number(bought, 0)} to buy", edge, floor - 3.0, wide, size=SMALL, across="right", colour=QUIET
        )
    for (_, start, thick), count in zip(slots.places(), left, strict=True):
        high = JARS_HIGH * count / most if most > 0 else 0.0
        if count >= 0.5:
            paper.put(Box(start, floor - high, thick, high, LEFT))
        there = down(count)
        if width_of(there, 7.5) <= slots.each - 1.0:
            none = there == "0"
            style = "bold" if none else "plain"
            colour = BRICK if none else INK
            paper.put(Words(there, start + thick / 2, floor - high - 2.5, 7.5, "centre", colour, style))
    slots.floor(paper, floor)
    paper.y += STRIP
