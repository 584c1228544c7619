"""The pictures of the season so far, of how likely each target is met, and of the review."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from stillroom.household.journal.overview import CropSeason, seasons
from stillroom.household.records import METHODS
from stillroom.household.results.review import CropReview, Review, TargetReview, WorkReview
from stillroom.household.results.rows import in_crop_unit
from stillroom.household.simulation.seasons import TargetMet
from stillroom.household.text import (
    format_amount,
    format_count,
    format_full_date,
    format_list,
    format_quantity,
    format_share,
    format_weight,
    plural,
)
from stillroom.reports.charts.canvas import (
    BODY,
    BRICK,
    BY_METHOD,
    ELSE,
    GREEN,
    INK,
    LINE,
    MARGIN,
    PLANNED,
    QUIET,
    SHELF,
    SHORT,
    SMALL,
    STRAW,
    Box,
    Drawing,
    Line,
    Picture,
    Shown,
    Tone,
    Words,
    nothing,
    part_name,
    width_of,
    wrapped,
)

NAME, TITLE = "season_so_far", "The season so far"
NAMES_WIDE, FIGURES_WIDE = 130.0, 76.0
ROW, BAR, FIGURE = 22.0, 14.0, 7.5
ALMOST = 1e-6
LETTERS_ROOM = 3.0
TONES = BY_METHOD | {name: ELSE[name] for name in ("Eaten or given", "Surplus", "Lost", "On hand")}


def season_picture(shown: Shown) -> Picture:
    """Draw one bar for each crop, its parts by what became of them, all crops to one scale of weight."""
    found = [season for season in seasons(shown.typed) if season.picked > ALMOST]
    if not found:
        return nothing(NAME, TITLE, "Nothing has been weighed yet. Fill the table Harvest as crops come in.")
    found.sort(key=lambda season: (-season.picked, season.crop.name))
    words = season_words(found)
    drawing = Drawing()
    drawing.heading(TITLE, words)
    used = {name for season in found for name, kg in parts_of(season).items() if kg > ALMOST}
    drawing.legend([(tone, part_name(name)) for name, tone in TONES.items() if name in used])
    drawing.y += 4.0
    most = max(sum(parts_of(season).values()) for season in found)
    for season in found:
        draw_crop(drawing, season, most)
    drawing.finish()
    return Picture(NAME, TITLE, words, drawing)


def parts_of(season: CropSeason) -> dict[str, float]:
    """Return what became of a crop, in kg, by method or by what else became of it."""
    found = {method: season.put_up.get(method, 0.0) for method in METHODS}
    found |= {"Eaten or given": season.eaten, "Surplus": season.surplus, "Lost": season.lost, "On hand": season.on_hand}
    return found


def season_words(found: Sequence[CropSeason]) -> str:
    """Return how much was picked of how many crops, and what became of it."""
    totals = dict.fromkeys(TONES, 0.0)
    for season in found:
        for name, kg in parts_of(season).items():
            totals[name] += kg
    picked = format_weight(sum(season.picked for season in found))
    parts = [f"{part_name(name)} {format_weight(kg)}" for name, kg in totals.items() if kg > ALMOST]
    return f"Picked so far: {picked} of {format_count(len(found), 'crop')}. Of these: {format_list(parts)}."


def draw_crop(drawing: Drawing, season: CropSeason, most: float) -> None:
    """Draw the bar of one crop, with amounts in the parts that have room, and what was picked at its end."""
    left, wide = MARGIN + NAMES_WIDE + 8.0, drawing.inner - NAMES_WIDE - FIGURES_WIDE - 16.0
    lines = wrapped(season.crop.name, NAMES_WIDE, BODY)
    high = ROW + 8.0 * (len(lines) - 1)
    middle = drawing.y + high / 2
    drawing.row_name(lines, MARGIN + NAMES_WIDE, middle)
    x = left
    for name, kg in parts_of(season).items():
        long = wide * kg / most
        if kg <= ALMOST:
            continue
        tone = TONES[name]
        drawing.add(Box(x, middle - BAR / 2, long, BAR, tone))
        amount = format_weight(kg).rpartition(" ")[0]
        room = width_of(amount, FIGURE) + 2 * LETTERS_ROOM
        if room <= long:
            if tone.pattern:
                drawing.add(Box(x + (long - room) / 2, middle - 4.6, room, 9.2, Tone(tone.fill), outline=""))
            drawing.add(Words(amount, x + long / 2, middle + 2.7, FIGURE, "center", tone.letters))
        x += long
    picked = format_quantity(in_crop_unit(season.picked, season.crop), season.crop.unit)
    drawing.write(picked, left + wide + 8.0, middle + 3.2, FIGURES_WIDE, size=SMALL, style="bold")
    drawing.y += high


# How likely each target is met: how much there is in all simulated seasons, in nine of ten, and on average.

LIKELY_NAME, LIKELY_TITLE = "how_likely", "How likely each target is met"
LIKELY_NAMES_WIDE, LIKELY_FIGURES_WIDE = 150.0, 200.0
LIKELY_ROW, LIKELY_BAR = 24.0, 10.0
KEY: Mapping[str, Tone] = {
    "in all seasons": SHELF,
    "in 9 of 10 seasons": PLANNED,
    "on average": Tone(STRAW),
    "short": SHORT,
}


def likely_picture(targets: Sequence[TargetMet], draws: int, end: datetime.date) -> Picture:
    """Draw one bar for each target, in the order of importance, over `draws` seasons simulated through `end`."""
    if not targets:
        return nothing(LIKELY_NAME, LIKELY_TITLE, "The winter list is empty. Fill the table Winter list.")
    drawing = Drawing()
    met = sum(one.met == one.draws for one in targets)
    words = (
        f"{format_count(draws, 'simulated season')}, through {format_full_date(end)}. "
        f"{met} of {len(targets)} targets are met in all of them."
    )
    drawing.heading(LIKELY_TITLE, words)
    drawing.legend([(tone, name) for name, tone in KEY.items()])
    for one in targets:
        draw_likely(drawing, one)
    drawing.paragraph("How much harvests and yields vary is assumed, not measured.", 2)
    drawing.finish()
    alternative = " ".join(f"{one.target.name}: {likely_amount(one)}." for one in targets)
    return Picture(LIKELY_NAME, LIKELY_TITLE, f"{words} {alternative}", drawing)


def likely_amount(one: TargetMet) -> str:
    """
    Return how much of a target there is in nine seasons of ten, and in all.

    >>> from stillroom.household.records import Target
    >>> juice = Target("juice", 40, 40, unit="quart")
    >>> likely_amount(TargetMet(juice, 40, 18, 20, 0.7, 0.97, 40.0, 31.0, 35.0, 33.0, 37.0))
    '40 quarts in 9 of 10 seasons, 31 in all'
    >>> likely_amount(TargetMet(juice, 40, 20, 20, 0.83, 1.0, 40.0, 40.0, 40.0, 40.0, 40.0))
    '40 quarts in all seasons'
    >>> likely_amount(TargetMet(juice, 0, 0, 20, 0.0, 0.16, 0.0, 0.0, 0.0, 0.0, 0.0))
    'none of 40 quarts in any season'
    """
    unit = one.target.unit
    wanted, nine, least = (format_amount(amount, unit) for amount in (one.target.wanted, one.nine_of_ten, one.least))
    units = f" {plural(one.target.wanted, unit)}" if unit else ""
    if one.met == one.draws:
        return f"{wanted}{units} in all seasons"
    if one.mean <= 0:
        return f"none of {wanted}{units} in any season"
    return f"{wanted if nine == wanted else f'{nine} of {wanted}'}{units} in 9 of 10 seasons, {least} in all"


def draw_likely(drawing: Drawing, one: TargetMet) -> None:
    """Draw the bar of one target, with what it means at its end."""
    lines = wrapped(one.target.name, LIKELY_NAMES_WIDE, BODY)
    left, wide = MARGIN + LIKELY_NAMES_WIDE + 8.0, drawing.inner - LIKELY_NAMES_WIDE - LIKELY_FIGURES_WIDE - 16.0
    middle, top = drawing.y + LIKELY_ROW / 2, drawing.y + (LIKELY_ROW - LIKELY_BAR) / 2
    drawing.row_name(lines, MARGIN + LIKELY_NAMES_WIDE, middle)
    drawing.add(Box(left, top, wide, LIKELY_BAR, SHORT, outline=BRICK, dashed=True))
    begun = 0.0
    for amount, tone in zip((one.least, one.nine_of_ten, one.mean), KEY.values(), strict=False):
        end = min(1.0, amount / one.target.wanted)
        if end > begun:
            drawing.add(Box(left + begun * wide, top, (end - begun) * wide, LIKELY_BAR, tone))
            begun = end
    right, share = left + wide + 8.0, f"met in {format_share(one.share)} of seasons" if one.met else "met in no season"
    drawing.write(likely_amount(one), right, middle - 1.5, LIKELY_FIGURES_WIDE, size=SMALL)
    drawing.write(share, right, middle + 8.5, LIKELY_FIGURES_WIDE, size=FIGURE, color=QUIET)
    drawing.y += LIKELY_ROW
    drawing.add(Line(((MARGIN, drawing.y), (drawing.width - MARGIN, drawing.y)), LINE, 0.4))


# The pictures of the review: each target's year, how varieties compare, and failed seals of each canner.

LABELS_WIDE, AMOUNTS_WIDE = 150.0, 190.0
BAR_HIGH, GAP = 7.0, 2.0
ROW_HIGH = 26.0
DOT = 7.0
NO_TARGETS = "The winter list is empty. Fill the table Winter list."
NO_VARIETIES = "No two crops of one food have been put up often enough to compare."
NO_SEALS = "No canner is in the record yet."
MOST_NAMED = 5
BOX_KEY = "The box is the record, the line its 95% interval; a full box is a clear difference."


def review_pictures(found: Review) -> list[Picture]:
    """Return every picture of a review."""
    return [targets_picture(found.targets), varieties_picture(found.crops), seals_picture(found.equipment)]


TARGETS = "review_targets", "Wanted, put up and eaten"
PARTS: Sequence[tuple[Tone, str]] = ((SHORT, "wanted"), (SHELF, "put up last season"), (PLANNED, "eaten in a year"))


def targets_picture(targets: Sequence[TargetReview]) -> Picture:
    """Draw three bars for each target, its wanted, put up and eaten, to a scale of its own."""
    if not targets:
        return nothing(*TARGETS, NO_TARGETS)
    drawing, words = Drawing(), targets_words(targets)
    drawing.heading(TARGETS[1], words)
    drawing.legend(PARTS)
    for one in targets:
        amounts = one.wanted, one.put_up, one.eaten
        most = max(amounts) or 1.0
        left, wide, middle = begin_row(drawing, one.target, 3 * (BAR_HIGH + GAP) + 8.0)
        top = middle - 1.5 * BAR_HIGH - GAP
        for amount, (tone, _) in zip(amounts, PARTS, strict=True):
            if amount > 0:
                edge = BRICK if tone == SHORT else INK
                drawing.add(Box(left, top, amount / most * wide, BAR_HIGH, tone, outline=edge, dashed=tone == SHORT))
            top += BAR_HIGH + GAP
        write_figures(drawing, left + wide, middle, target_figures(one))
    drawing.finish()
    return Picture(*TARGETS, words, drawing)


def targets_words(targets: Sequence[TargetReview]) -> str:
    """Return which targets were never eaten, and how many want another amount next year."""
    never = [one.target for one in targets if one.never_eaten]
    other = sum(one.next_wanted != one.wanted for one in targets)
    change = f"for {other} of them" if other else "for none of them"
    words = f"{format_count(len(targets), 'target')}; next year's amount changes {change}."
    return f"{words} Never eaten: {format_list(never, MOST_NAMED)}." if never else words


def target_figures(one: TargetReview) -> tuple[str, str]:
    """Return the amounts of a target, and what to want next year."""
    wanted, put_up, eaten = map(format_amount, (one.wanted, one.put_up, one.eaten))
    return f"{wanted} wanted, {put_up} put up, {eaten} eaten", f"next year {format_quantity(one.next_wanted, one.unit)}"


VARIETIES = "review_varieties", "Finished from the same weight, against your other crops of that food"


def varieties_picture(crops: Sequence[CropReview]) -> Picture:
    """Draw a box for each crop that can be compared, with its 95% interval, beside the line of no difference."""
    compared = [one for one in crops if one.ratio is not None and one.ratio_between is not None]
    if not compared:
        return nothing(*VARIETIES, NO_VARIETIES)
    drawing = Drawing()
    words = " ".join(f"{one.crop.name}: {ratio_words(one)}." for one in compared)
    drawing.heading(VARIETIES[1], f"{BOX_KEY} {words}")
    spans = [one.ratio_between or (1.0, 1.0) for one in compared]
    low, high = min(1.0, *(span[0] for span in spans)), max(1.0, *(span[1] for span in spans))
    top = drawing.y + 4.0
    for one, span in zip(compared, spans, strict=True):
        left, wide, middle = begin_row(drawing, one.crop.name, ROW_HIGH)
        places = [place(value, low, high, left, wide) for value in (*span, one.ratio or 1.0)]
        draw_interval(drawing, places[0], places[1], places[2], middle, sure=span[0] > 1.0 or span[1] < 1.0)
        write_figures(drawing, left + wide, middle, (ratio_words(one), format_count(one.sessions, "weighed session")))
    even = place(1.0, low, high, left, wide)
    drawing.add(Line(((even, top), (even, drawing.y)), QUIET, 0.8, dashed=True))
    drawing.y += 12.0
    drawing.add(Words("no difference", even, drawing.y, SMALL, "center", QUIET))
    drawing.finish()
    return Picture(*VARIETIES, words, drawing)


def ratio_words(one: CropReview) -> str:
    """Return a comparison in few words."""
    ratio = one.ratio or 1.0
    return f"{format_share(abs(ratio - 1))} {'more' if ratio >= 1 else 'less'}"


SEALS = "review_seals", "Jars that did not seal"


def seals_picture(equipment: Sequence[WorkReview]) -> Picture:
    """Draw the share of failed seals of each canner with its 95% interval."""
    used = [one for one in equipment if one.filled > 0 and one.between is not None]
    if not used:
        return nothing(*SEALS, NO_SEALS)
    drawing = Drawing()
    words = " ".join(f"{one.name}: {seal_figures(one)[0]}, {seal_figures(one)[1]}." for one in used)
    drawing.heading(SEALS[1], f"{BOX_KEY} {words}")
    spans = [one.between or (0.0, 0.0) for one in used]
    most = max(0.02, *(span[1] for span in spans))
    for one, span in zip(used, spans, strict=True):
        left, wide, middle = begin_row(drawing, one.name, ROW_HIGH)
        places = [place(value, 0.0, most, left, wide) for value in (*span, one.failed / one.filled)]
        draw_interval(drawing, places[0], places[1], places[2], middle, sure="before next season" in one.words)
        write_figures(drawing, left + wide, middle, seal_figures(one))
    drawing.y += 12.0
    drawing.add(Words("0%", left, drawing.y, SMALL, color=QUIET))
    drawing.add(Words(format_share(most), left + wide, drawing.y, SMALL, "right", QUIET))
    drawing.finish()
    return Picture(*SEALS, words, drawing)


def seal_figures(one: WorkReview) -> tuple[str, str]:
    """Return the share that failed, and of how many."""
    return format_share(one.failed / one.filled), f"{format_amount(one.failed)} of {format_amount(one.filled)} jars"


# The parts of a row.


def begin_row(drawing: Drawing, name: str, high: float) -> tuple[float, float, float]:
    """Write the name of a row and draw the line below it; return the left edge and width of its field, its middle."""
    lines = wrapped(name, LABELS_WIDE, BODY)
    left, wide = MARGIN + LABELS_WIDE + 8.0, drawing.inner - LABELS_WIDE - AMOUNTS_WIDE - 16.0
    middle = drawing.y + high / 2
    drawing.row_name(lines, MARGIN + LABELS_WIDE, middle)
    drawing.y += high
    drawing.add(Line(((MARGIN, drawing.y), (drawing.width - MARGIN, drawing.y)), LINE, 0.4))
    return left, wide, middle


def write_figures(drawing: Drawing, right: float, middle: float, figures: tuple[str, str]) -> None:
    """Write two short lines after a field."""
    drawing.write(figures[0], right + 10.0, middle - 1.4, AMOUNTS_WIDE - 10.0, size=SMALL, style="bold")
    drawing.write(figures[1], right + 10.0, middle + 9.4, AMOUNTS_WIDE - 10.0, size=SMALL, color=QUIET)


def place(value: float, low: float, high: float, left: float, wide: float) -> float:
    """
    Return where a value lies in a field from a low to a high.

    >>> place(1.5, 1.0, 2.0, 100.0, 50.0)
    125.0
    """
    return left + (value - low) / (high - low) * wide


def draw_interval(drawing: Drawing, low: float, high: float, dot: float, middle: float, *, sure: bool) -> None:
    """Draw an interval and a box on it at `dot`: a full one where it is sure, else an empty one."""
    drawing.add(Line(((low, middle), (high, middle)), GREEN if sure else QUIET, 1.6))
    for end in (low, high):
        drawing.add(Line(((end, middle - 4.0), (end, middle + 4.0)), GREEN if sure else QUIET, 1.2))
    drawing.add(Box(dot - DOT / 2, middle - DOT / 2, DOT, DOT, SHELF if sure else SHORT))
