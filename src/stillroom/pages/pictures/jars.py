"""The picture of the jars: how many of each size are left at the end of each day and week, those to buy included."""

from __future__ import annotations

import math

from stillroom.household.answer.words import listed, period_words, unit_words
from stillroom.household.records import Container
from stillroom.pages.pictures.bars import Slots
from stillroom.pages.pictures.colours import BRICK, INK, QUIET, SHELF, Tone
from stillroom.pages.pictures.letters import width_of, wrapped
from stillroom.pages.pictures.paper import BODY, MARGIN, SMALL, Box, Paper, Words
from stillroom.pages.pictures.picture import Picture, nothing
from stillroom.pages.pictures.shown import NOT_PLANNED, Shown

NAME, TITLE = "jars_left", "Jars left, by size"
NAMES_WIDE, NAMES_LEAST = 130.0, 60.0
HIGH, STRIP = 34.0, 52.0
MOST_SIZES = 8
LEFT = Tone(SHELF.fill)


def jars_picture(shown: Shown) -> Picture:
    """Draw one strip of bars for each container of the kind jar, all to one scale, the number over each bar."""
    if not shown.planned:
        return nothing(NAME, TITLE, NOT_PLANNED)
    counts = jars_left_by_size(shown)
    if not counts:
        return nothing(NAME, TITLE, "There are no jars in the table Containers.")
    words = shown.told(jars_words(shown, counts))
    paper = Paper()
    paper.head(TITLE, words)
    paper.y += 8.0
    names = max(NAMES_LEAST, *(min(NAMES_WIDE, width_of(name, BODY)) for name in counts))
    slots = Slots(shown.periods, MARGIN + names + 8.0, paper.width - MARGIN)
    most = max(max(left) for left in counts.values())
    for name in list(counts)[:MOST_SIZES]:
        draw_strip(paper, slots, shown, (name, counts[name], most))
    slots.dates(paper, paper.y + 11.0)
    paper.y += 22.0
    paper.end()
    return Picture(NAME, TITLE, words, paper)


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
            none = f" (none {'on' if period.single else 'in'} {period_words(period.first_day, period.days)})"
        ends.append(f"{name} {down(left[-1])}{none}")
    parts = [f"Left when the plan is done: {listed(ends, MOST_SIZES)}."]
    buy = [f"{bought[name]:.0f} {unit_words(bought[name], name)}" for name in counts if bought.get(name, 0.0) > 0]
    if buy:
        parts.append(f"To buy, and counted here from the start: {listed(buy)}.")
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
        paper.say(f"{bought:.0f} to buy", edge, floor - 3.0, wide, size=SMALL, across="right", colour=QUIET)
    for (_, start, thick), count in zip(slots.places(), left, strict=True):
        high = HIGH * count / most if most > 0 else 0.0
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
