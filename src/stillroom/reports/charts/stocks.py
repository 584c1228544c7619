"""The pictures of the freezer and of the jars left, with bars for the periods of a plan."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stillroom.household.plan import Period
from stillroom.household.results.rows import Row, in_space_unit, is_filled, number_in, text_in
from stillroom.household.text import (
    format_amount,
    format_count,
    format_list,
    format_long_date,
    format_period,
    format_quantity,
    format_share,
    format_space,
    plural,
)
from stillroom.reports.charts.canvas import (
    BODY,
    BRICK,
    FROZEN,
    INK,
    LINE,
    MARGIN,
    NOT_PLANNED,
    PLANNED,
    QUIET,
    SHELF,
    SHORT,
    SMALL,
    Box,
    Drawing,
    Line,
    Picture,
    Shown,
    Tone,
    Words,
    nothing,
    period_lines,
    width_of,
    wrapped,
)

GAP_BEFORE_WEEKS = 8.0


@dataclass(frozen=True)
class Slots:
    """The space of each period between two edges, with a small gap between days and weeks."""

    periods: Sequence[Period]
    left: float
    right: float

    @property
    def each(self) -> float:
        """Return the width of one period."""
        mixed = len({period.single for period in self.periods}) > 1
        return (self.right - self.left - (GAP_BEFORE_WEEKS if mixed else 0.0)) / len(self.periods)

    def places(self) -> Iterator[tuple[Period, float, float]]:
        """Yield each period with the left edge and the width of its bar."""
        days = any(period.single for period in self.periods)
        for place, period in enumerate(self.periods):
            shift = GAP_BEFORE_WEEKS if days and not period.single else 0.0
            yield period, self.left + place * self.each + shift + 0.1 * self.each, 0.8 * self.each

    def write_dates(self, drawing: Drawing, y: float) -> None:
        """Write as many dates below the bars as there is room for."""
        size = 7.5
        widest = max(width_of(words, size) for period in self.periods for words in period_lines(period))
        every = max(1, int(-(-(widest + 3.0) // self.each)))
        for place, (period, left, wide) in enumerate(self.places()):
            if place % every == 0:
                for line, words in enumerate(period_lines(period)):
                    x = min(max(left + wide / 2, self.left + widest / 2), drawing.width - widest / 2 - 4.0)
                    drawing.add(Words(words, x, y + 9.0 * line, size, "center", QUIET))

    def draw_floor(self, drawing: Drawing, y: float) -> None:
        """Draw the line below the bars."""
        drawing.add(Line(((self.left, y), (self.right, y)), QUIET, 0.8))


# The freezer: how full it is at the end of each period, and how full it may get.

FREEZER_NAME, FREEZER_TITLE = "freezer", "How full the freezer gets"
FREEZER_HIGH = 150.0
FIGURE = 7.5
ALMOST_FULL = 0.98


@dataclass(frozen=True)
class Fill:
    """
    The freezer's contents in liters: `now`, at the end of each period (`levels`), and at most (`full`).

    Where its size is not typed, `now` is only what the plan takes out again, and `full` counts from there.
    """

    now: float
    levels: tuple[float, ...]
    full: float
    size_known: bool


def freezer_fill(shown: Shown) -> Fill:
    """Return how full the freezer gets by the table Space."""
    kitchen = shown.household.kitchen
    unit_liters = 1.0 / in_space_unit(1.0, kitchen)
    rows = [row for row in shown.tables["Space"] if row.get("Period") is not None]
    changes = [number_in(row, "Freezer change") * unit_liters for row in rows]
    size, free = kitchen.freezer_size_litres, kitchen.freezer_free_litres
    known = size is not None and math.isfinite(free)
    now = max(0.0, -min(changes), size - free if size is not None and known else 0.0)
    return Fill(now, tuple(max(0.0, now + one) for one in changes), now + free, known)


def freezer_picture(shown: Shown) -> Picture:
    """Draw one bar for each period, with the freezer's capacity across."""
    if not shown.planned:
        return nothing(FREEZER_NAME, FREEZER_TITLE, NOT_PLANNED)
    fill = freezer_fill(shown)
    if all(abs(level - fill.now) < 1e-6 for level in fill.levels):
        return nothing(FREEZER_NAME, FREEZER_TITLE, "The plan puts nothing into the freezer and takes nothing out.")
    words = shown.with_warning(freezer_words(shown, fill))
    drawing = Drawing()
    drawing.heading(FREEZER_TITLE, words)
    draw_bars(drawing, shown, fill)
    drawing.finish()
    return Picture(FREEZER_NAME, FREEZER_TITLE, words, drawing)


def freezer_words(shown: Shown, fill: Fill) -> str:
    """Return how much is free now, and when the freezer is fullest."""
    free = fill.full - fill.now
    if fill.size_known:
        now = f"{format_space(free)} of {format_space(fill.full)} are free now. "
    else:
        now = f"{format_space(free)} are free now. " if math.isfinite(free) else ""
    most = max(fill.levels)
    if most - fill.now <= 1e-6:
        return f"{now}The plan only takes food out of the freezer: up to {format_space(fill.now - min(fill.levels))}."
    period = shown.periods[fill.levels.index(most)]
    share = f", {format_share((most - fill.now) / free)} of the free space" if 0 < free < math.inf else ""
    more, day = format_space(most - fill.now), format_long_date(period.last_day)
    return f"{now}The plan adds up to {more} by {day}{share}."


def draw_bars(drawing: Drawing, shown: Shown, fill: Fill) -> None:
    """Draw the bars, the capacity and the dates."""
    top = drawing.y + 24.0
    scale = FREEZER_HIGH / max(*fill.levels, fill.full if math.isfinite(fill.full) else 0.0)
    floor = top + FREEZER_HIGH
    slots = Slots(shown.periods, MARGIN, drawing.width - MARGIN)
    if math.isfinite(fill.full):
        y = floor - fill.full * scale
        color = BRICK if max(fill.levels) - fill.now >= ALMOST_FULL * (fill.full - fill.now) else INK
        drawing.add(Line(((slots.left, y), (slots.right, y)), color, 1.2, dashed=True))
        words = f"full: {format_space(fill.full)}{'' if fill.size_known else ' more than now'}"
        drawing.add(Words(words, slots.left, y - 4.0, SMALL, color=color, style="bold"))
    for (_, left, wide), level in zip(slots.places(), fill.levels, strict=True):
        high = level * scale
        if high > 0.2:
            drawing.add(Box(left, floor - high, wide, high, FROZEN))
        words = format_space(level).rpartition(" ")[0].removesuffix(" cu")
        if words != "0" and width_of(words, FIGURE) <= slots.each - 1.0:
            y = floor - high + (9.5 if high >= 13.0 else -3.0)
            drawing.add(Words(words, left + wide / 2, y, FIGURE, "center"))
    slots.draw_floor(drawing, floor)
    drawing.y = floor + 12.0
    slots.write_dates(drawing, drawing.y)
    drawing.y += 10.0


# The jars: how many of each size are left at the end of each period, those to buy included.

JARS_NAME, JARS_TITLE = "jars_left", "Jars left, by size"
NAMES_WIDE, NAMES_LEAST = 130.0, 60.0
JARS_HIGH, STRIP = 34.0, 52.0
MOST_SIZES = 8
LEFT = Tone(SHELF.fill)


def jars_picture(shown: Shown) -> Picture:
    """Draw a strip of bars for each size of jar, all to one scale, with numbers above the bars."""
    if not shown.planned:
        return nothing(JARS_NAME, JARS_TITLE, NOT_PLANNED)
    counts = jars_left_by_size(shown)
    if not counts:
        return nothing(JARS_NAME, JARS_TITLE, "The table Containers has no jars.")
    words = shown.with_warning(jars_words(shown, counts))
    drawing = Drawing()
    drawing.heading(JARS_TITLE, words)
    drawing.y += 8.0
    names = max(NAMES_LEAST, *(min(NAMES_WIDE, width_of(name, BODY)) for name in counts))
    slots = Slots(shown.periods, MARGIN + names + 8.0, drawing.width - MARGIN)
    most = max(max(left) for left in counts.values())
    for name in list(counts)[:MOST_SIZES]:
        draw_strip(drawing, slots, shown, (name, counts[name], most))
    slots.write_dates(drawing, drawing.y + 11.0)
    drawing.y += 22.0
    drawing.finish()
    return Picture(JARS_NAME, JARS_TITLE, words, drawing)


def jars_left_by_size(shown: Shown) -> dict[str, list[float]]:
    """Return how many jars of each size are left at the end of each period, the most used size first."""
    sums = shown.to_come
    found: dict[str, list[float]] = {}
    taken: dict[str, float] = {}
    for jar in shown.household.containers:
        there = jar.on_hand + sums.plan.buy_containers.get(jar.name, 0.0)
        if jar.is_jar and there + jar.back_each_week > 0:
            gone = [sums.containers_taken(jar, period.number) for period in shown.periods]
            found[jar.name] = [max(0.0, there - one) for one in gone]
            taken[jar.name] = gone[-1]
    return dict(sorted(found.items(), key=lambda item: (-taken[item[0]], item[0])))


def jars_words(shown: Shown, counts: dict[str, list[float]]) -> str:
    """Return what is left at the end, when each size runs out, and what to buy."""
    bought = shown.to_come.plan.buy_containers
    ends = []
    for name, left in counts.items():
        out = next((number for number, one in enumerate(left) if not whole(one)), None)
        if out is None:
            ends.append(format_count(whole(left[-1]), name))
            continue
        when = format_period(shown.periods[out].first_day, shown.periods[out].days)
        end = whole(left[-1])
        ends.append(f"{format_count(end, name)} (none by {when})" if end else f"no {plural(0, name)} from {when} on")
    parts = [f"Left at the end of the plan: {format_list(ends, MOST_SIZES)}."]
    buy = [format_count(round(bought[name]), name) for name in counts if bought.get(name, 0.0) > 0]
    if buy:
        parts.append(f"Counts the jars to buy: {format_list(buy)}.")
    return " ".join(parts)


def whole(count: float) -> int:
    """
    Return the number of whole jars.

    >>> whole(6.9999999), whole(0.4)
    (7, 0)
    """
    return math.floor(count + 1e-6)


def draw_strip(drawing: Drawing, slots: Slots, shown: Shown, strip: tuple[str, list[float], float]) -> None:
    """Draw the bars of one size, its name at the left."""
    name, left, most = strip
    floor = drawing.y + STRIP - 6.0
    wide = slots.left - MARGIN - 8.0
    edge = MARGIN + wide
    lines = wrapped(name, wide, BODY)
    drawing.row_name(lines, edge, floor - 17.4 - 5.5 * (len(lines) - 1))
    bought = shown.to_come.plan.buy_containers.get(name, 0.0)
    if bought > 0:
        drawing.write(f"{round(bought)} to buy", edge, floor - 3.0, wide, size=SMALL, across="right", color=QUIET)
    for (_, start, thick), count in zip(slots.places(), left, strict=True):
        high = JARS_HIGH * count / most if most > 0 else 0.0
        if count >= 0.5:
            drawing.add(Box(start, floor - high, thick, high, LEFT))
        there = str(whole(count))
        if width_of(there, FIGURE) <= slots.each - 1.0:
            color, style = (BRICK, "bold") if there == "0" else (INK, "plain")
            drawing.add(Words(there, start + thick / 2, floor - high - 2.5, FIGURE, "center", color, style))
    slots.draw_floor(drawing, floor)
    drawing.y += STRIP


NAME, TITLE = "winter_list", "How far the winter list is filled"
IMPORTANCE = {1: "Must", 2: "Should", 3: "Nice"}
TARGETS_WIDE, FIGURES_WIDE = 178.0, 132.0
ROW, BAR = 17.0, 10.0


def coverage_picture(shown: Shown) -> Picture:
    """Draw one bar for each target that wants anything, grouped by importance."""
    rows = [row for row in shown.tables.get("Coverage", ()) if row.get("Target") and number_in(row, "Wanted") > 0]
    if not shown.planned:
        return nothing(NAME, TITLE, NOT_PLANNED)
    if not rows:
        return nothing(NAME, TITLE, "The winter list is empty. Fill the table Winter list.")
    drawing = Drawing()
    words = shown.with_warning(summary(rows))
    drawing.heading(TITLE, words)
    drawing.legend([(SHELF, "on the shelf"), (PLANNED, "planned"), (SHORT, "short")])
    for importance in sorted({round(number_in(row, "Importance")) for row in rows}):
        drawing.y += 15.0
        drawing.write(IMPORTANCE.get(importance, "Others"), MARGIN, drawing.y, drawing.inner, style="bold", color=QUIET)
        drawing.y += 4.0
        for row in rows:
            if round(number_in(row, "Importance")) == importance:
                draw_target(drawing, row)
    drawing.finish()
    return Picture(NAME, TITLE, words, drawing)


def summary(rows: Sequence[Row]) -> str:
    """Return how many targets are filled and which are short, the shortest first."""
    short = sorted((row for row in rows if not is_filled(row)), key=lambda row: number_in(row, "Covered"))
    filled = f"{len(rows) - len(short)} of {len(rows)} targets are filled."
    if not short:
        return filled
    named = [f"{text_in(row, 'Target')} ({format_share(number_in(row, 'Covered'))})" for row in short]
    return f"{filled} Short: {format_list(named, 6)}."


def draw_target(drawing: Drawing, row: Row) -> None:
    """Draw the bar of a target: on the shelf, planned, and an empty end if it is short."""
    wanted, shelf = number_in(row, "Wanted"), number_in(row, "On the shelf")
    lines = wrapped(text_in(row, "Target"), TARGETS_WIDE, BODY)
    high = ROW + 11.0 * (len(lines) - 1)
    left, wide = MARGIN + TARGETS_WIDE + 8.0, drawing.inner - TARGETS_WIDE - FIGURES_WIDE - 16.0
    middle = drawing.y + high / 2
    drawing.row_name(lines, MARGIN + TARGETS_WIDE, middle)
    top = middle - BAR / 2
    there = min(1.0, max(0.0, shelf / wanted))
    covered = (
        min(1.0, max(there, (shelf + max(0.0, number_in(row, "Planned"))) / wanted)) if not is_filled(row) else 1.0
    )
    if covered < 1.0:
        drawing.add(Box(left, top, wide, BAR, SHORT, outline=BRICK, dashed=True))
    if covered > there:
        drawing.add(Box(left + there * wide, top, (covered - there) * wide, BAR, PLANNED))
    if there > 0:
        drawing.add(Box(left, top, there * wide, BAR, SHELF))
    write_figures(drawing, row, left + wide + 8.0, middle + 3.4)
    drawing.y += high
    drawing.add(Line(((MARGIN, drawing.y), (drawing.width - MARGIN, drawing.y)), LINE, 0.4))


def write_figures(drawing: Drawing, row: Row, left: float, y: float) -> None:
    """Write how much there will be of how much; what is short in bold."""
    unit, wanted = text_in(row, "Unit"), number_in(row, "Wanted")
    there = number_in(row, "On the shelf") + max(0.0, number_in(row, "Planned"))
    of = format_quantity(wanted, unit)
    if not is_filled(row):
        lacking = format_amount(number_in(row, "Short"), unit)
        short = f"none of {of}" if lacking == format_amount(wanted, unit) else f"{lacking} short of {of}"
        drawing.write(short, left, y, FIGURES_WIDE, size=SMALL, style="bold", color=BRICK)
    else:
        more = format_amount(there, unit) != format_amount(wanted, unit)
        drawing.write(f"{format_amount(there, unit)} for {of}" if more else of, left, y, FIGURES_WIDE, size=SMALL)
