"""The pictures of the review: each target's year, how varieties compare, and failed seals of each canner."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.household.results.review import CropReview, Review, TargetReview, WorkReview
from stillroom.household.text import format_amount, format_count, format_list, format_quantity, format_share
from stillroom.reports.charts.canvas import BODY, MARGIN, SMALL, Box, Drawing, Line, Picture, Words, nothing, wrapped
from stillroom.reports.charts.picture import BRICK, GREEN, INK, LINE, PLANNED, QUIET, SHELF, SHORT, Tone

NAMES_WIDE, FIGURES_WIDE = 150.0, 190.0
BAR, GAP = 7.0, 2.0
ROW = 26.0
DOT = 7.0
NO_TARGETS = "The winter list is empty. Fill the table Winter list."
NO_VARIETIES = "No two crops of one food have been put up often enough to compare."
NO_SEALS = "No canner is in the record yet."
MOST_NAMED = 5
KEY = "The box is the record, the line its 95% interval; a full box is a clear difference."


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
        left, wide, middle = begin_row(drawing, one.target, 3 * (BAR + GAP) + 8.0)
        top = middle - 1.5 * BAR - GAP
        for amount, (tone, _) in zip(amounts, PARTS, strict=True):
            if amount > 0:
                edge = BRICK if tone == SHORT else INK
                drawing.add(Box(left, top, amount / most * wide, BAR, tone, outline=edge, dashed=tone == SHORT))
            top += BAR + GAP
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
    drawing.heading(VARIETIES[1], f"{KEY} {words}")
    spans = [one.ratio_between or (1.0, 1.0) for one in compared]
    low, high = min(1.0, *(span[0] for span in spans)), max(1.0, *(span[1] for span in spans))
    top = drawing.y + 4.0
    for one, span in zip(compared, spans, strict=True):
        left, wide, middle = begin_row(drawing, one.crop.name, ROW)
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
    drawing.heading(SEALS[1], f"{KEY} {words}")
    spans = [one.between or (0.0, 0.0) for one in used]
    most = max(0.02, *(span[1] for span in spans))
    for one, span in zip(used, spans, strict=True):
        left, wide, middle = begin_row(drawing, one.name, ROW)
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
    lines = wrapped(name, NAMES_WIDE, BODY)
    left, wide = MARGIN + NAMES_WIDE + 8.0, drawing.inner - NAMES_WIDE - FIGURES_WIDE - 16.0
    middle = drawing.y + high / 2
    drawing.row_name(lines, MARGIN + NAMES_WIDE, middle)
    drawing.y += high
    drawing.add(Line(((MARGIN, drawing.y), (drawing.width - MARGIN, drawing.y)), LINE, 0.4))
    return left, wide, middle


def write_figures(drawing: Drawing, right: float, middle: float, figures: tuple[str, str]) -> None:
    """Write two short lines after a field."""
    drawing.write(figures[0], right + 10.0, middle - 1.4, FIGURES_WIDE - 10.0, size=SMALL, style="bold")
    drawing.write(figures[1], right + 10.0, middle + 9.4, FIGURES_WIDE - 10.0, size=SMALL, color=QUIET)


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
