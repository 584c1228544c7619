"""The picture of the freezer: how full it is at the end of each day and week, and how full it may get."""

from __future__ import annotations

import math
from collections.abc import Sequence

from stillroom.household.answer.units import in_space_unit
from stillroom.household.answer.words import amount_words, day_words
from stillroom.pages.pictures.bars import Slots
from stillroom.pages.pictures.colours import BRICK, FROZEN, INK
from stillroom.pages.pictures.letters import width_of
from stillroom.pages.pictures.paper import MARGIN, SMALL, Box, Line, Paper, Words
from stillroom.pages.pictures.picture import Picture, nothing
from stillroom.pages.pictures.shown import NOT_PLANNED, Shown
from stillroom.pages.terminal_days import figure

NAME, TITLE = "freezer", "How full the freezer gets"
HIGH = 150.0
FIGURE = 7.5
ALMOST_FULL = 0.98


def freezer_picture(shown: Shown) -> Picture:
    """
    Draw one bar a period: what the plan puts in beyond what lies there on the first day, with the room there is across.

    Below the line is what the plan takes out of what lay there.
    """
    if not shown.planned:
        return nothing(NAME, TITLE, NOT_PLANNED)
    used = [figure(row, "Freezer used") for row in shown.tables["Space"] if row.get("Period") is not None]
    if not any(abs(one) > 1e-6 for one in used):
        return nothing(NAME, TITLE, "Nothing goes into the freezer and nothing is taken out by this plan.")
    kitchen = shown.household.kitchen
    free = in_space_unit(kitchen.freezer_free_litres, kitchen)
    words = shown.told(freezer_words(shown, used, free))
    paper = Paper()
    paper.head(TITLE, words)
    draw_bars(paper, shown, used, free)
    paper.end()
    return Picture(NAME, TITLE, words, paper)


def freezer_words(shown: Shown, used: Sequence[float], free: float) -> str:
    """Say how full it is now, when it is fullest, and of how much."""
    kitchen = shown.household.kitchen
    unit = kitchen.volume_unit
    most = max(used)
    period = shown.periods[used.index(most)]
    now = ""
    if kitchen.freezer_size_litres is not None and math.isfinite(free):
        size = in_space_unit(kitchen.freezer_size_litres, kitchen)
        now = f"Of {amount_words(size, unit)} {unit}, {amount_words(free, unit)} {unit} are free now. "
    elif math.isfinite(free):
        now = f"{amount_words(free, unit)} {unit} are free now. "
    if most <= 1e-6:
        return f"{now}The plan only takes out of the freezer: {amount_words(-min(used), unit)} {unit} at most."
    share = (
        f", {100 * most / free:.0f} % of what is free" if math.isfinite(free) and free > 0 else "; no limit is typed"
    )
    when = day_words(period.last_day)
    return f"{now}The plan puts up to {amount_words(most, unit)} {unit} more into it by {when}{share}."


def draw_bars(paper: Paper, shown: Shown, used: Sequence[float], free: float) -> None:
    """Draw the bars, the limit and the dates."""
    unit = shown.household.kitchen.volume_unit
    top = paper.y + 24.0
    highest = max([*used, free if math.isfinite(free) else 0.0, 0.0])
    lowest = min(0.0, *used)
    scale = HIGH / (highest - lowest)
    floor = top + highest * scale
    slots = Slots(shown.periods, MARGIN, paper.width - MARGIN)
    if math.isfinite(free):
        y = floor - free * scale
        colour = BRICK if max(used) >= ALMOST_FULL * free else INK
        paper.put(Line(((slots.left, y), (slots.right, y)), colour, 1.2, dashed=True))
        words = f"full: {amount_words(free, unit)} {unit} more"
        paper.put(Words(words, slots.left, y - 4.0, SMALL, colour=colour, style="bold"))
    for (_, left, wide), amount in zip(slots.places(), used, strict=True):
        edge = floor - max(0.0, amount) * scale
        long = abs(amount) * scale
        if long > 0.2:
            paper.put(Box(left, edge, wide, long, FROZEN))
        words = amount_words(amount, unit)
        if width_of(words, FIGURE) <= slots.each - 1.0 and amount_words(amount, unit) != "0":
            y = edge + 9.5 if long >= 13.0 else edge - 3.0
            paper.put(Words(words, left + wide / 2, y, FIGURE, "centre"))
    slots.floor(paper, floor)
    paper.y = floor - lowest * scale + 12.0
    slots.dates(paper, paper.y)
    paper.y += 10.0
