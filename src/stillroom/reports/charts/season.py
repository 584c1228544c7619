"""The picture of the season so far: what was picked of each crop, and what became of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stillroom.household.journal.overview import CropSeason, seasons
from stillroom.household.records import METHODS
from stillroom.household.results.values import in_crop_unit
from stillroom.household.simulation.outcome import TargetMet
from stillroom.household.text import format_amount, format_date_and_year, format_list
from stillroom.reports.charts.canvas import (
    BODY,
    BRICK,
    BY_METHOD,
    ELSE,
    INK,
    LINE,
    MARGIN,
    PLANNED,
    QUIET,
    SHELF,
    SHORT,
    SMALL,
    STRAW,
    WHITE,
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
from stillroom.reports.charts.flow import kitchen_unit_kg
from stillroom.reports.charts.picture import Shown
from stillroom.reports.terminal.season import amounts_words, found_end, met_words

if TYPE_CHECKING:
    from stillroom.household.simulation.outcome import SeasonFound


NAME, TITLE = "season_so_far", "The season so far"
NAMES_WIDE, FIGURES_WIDE = 130.0, 76.0
ROW, BAR = 22.0, 14.0
ALMOST = 1e-6
LETTERS_ROOM = 3.0


def season_picture(shown: Shown) -> Picture:
    """Draw one bar a crop, its parts by what became of them, all crops to one scale of weight."""
    found = [season for season in seasons(shown.typed) if season.picked > ALMOST]
    if not found:
        return nothing(NAME, TITLE, "Nothing has been weighed yet: fill the table Harvest as the crop comes in.")
    found.sort(key=lambda season: (-season.picked, season.crop.name))
    words = season_words(shown, found)
    paper = Paper()
    paper.head(TITLE, words)
    used = {name for season in found for name, kg in parts_of(season).items() if kg > ALMOST}
    paper.key([(tone, name[0].lower() + name[1:]) for name, tone in tones().items() if name in used])
    paper.y += 4.0
    most = max(sum(parts_of(season).values()) for season in found)
    for season in found:
        draw_crop(paper, shown, season, most)
    paper.end()
    return Picture(NAME, TITLE, words, paper)


def parts_of(season: CropSeason) -> dict[str, float]:
    """What became of a crop, in kg: put up by each way, eaten or given, fed, lost, in hand."""
    found = {method: season.put_up.get(method, 0.0) for method in METHODS}
    found |= {"Eaten or given": season.eaten, "Fed": season.surplus, "Lost": season.lost, "In hand": season.in_hand}
    return found


def tones() -> dict[str, Tone]:
    """How each part is filled."""
    return BY_METHOD | {name: ELSE[name] for name in ("Eaten or given", "Fed", "Lost", "In hand")}


def season_words(shown: Shown, found: Sequence[CropSeason]) -> str:
    """Say how much was picked of how many crops, and what became of it all."""
    unit = shown.household.kitchen.weight_unit
    kg = kitchen_unit_kg(shown.household.kitchen)
    totals: dict[str, float] = {}
    for season in found:
        for name, amount in parts_of(season).items():
            totals[name] = totals.get(name, 0.0) + amount / kg
    picked = sum(season.picked for season in found) / kg
    parts = [
        f"{name[0].lower() + name[1:]} {format_amount(amount, unit)} {unit}"
        for name, amount in totals.items()
        if amount > ALMOST
    ]
    crops = "1 crop" if len(found) == 1 else f"{len(found)} crops"
    return f"Picked so far: {format_amount(picked, unit)} {unit} of {crops}; of these {format_list(parts)}."


def draw_crop(paper: Paper, shown: Shown, season: CropSeason, most: float) -> None:
    """Draw the bar of one crop, amounts in the parts that have room for them, and what was picked at its end."""
    kg = kitchen_unit_kg(shown.household.kitchen)
    unit = shown.household.kitchen.weight_unit
    left, wide = MARGIN + NAMES_WIDE + 8.0, paper.inner - NAMES_WIDE - FIGURES_WIDE - 16.0
    lines = wrapped(season.crop.name, NAMES_WIDE, BODY)
    high = ROW + 8.0 * (len(lines) - 1)
    middle = paper.y + high / 2
    for number, line in enumerate(lines):
        below = 11.0 * (number - (len(lines) - 1) / 2)
        paper.put(Words(line, MARGIN + NAMES_WIDE, middle + 3.4 + below, across="right"))
    x = left
    for name, amount in parts_of(season).items():
        long = wide * amount / most
        if amount <= ALMOST:
            continue
        tone = tones()[name]
        paper.put(Box(x, middle - BAR / 2, long, BAR, tone))
        figure = format_amount(amount / kg, unit)
        room = width_of(figure, 7.5) + 2 * LETTERS_ROOM
        if room <= long:
            if tone.pattern:
                paper.put(Box(x + (long - room) / 2, middle - 4.6, room, 9.2, Tone(tone.fill), outline=""))
            letters = WHITE if tone.over == WHITE else INK
            paper.put(Words(figure, x + long / 2, middle + 2.7, 7.5, "centre", letters))
        x += long
    own = season.crop.unit
    picked = f"{format_amount(in_crop_unit(season.picked, season.crop), own)} {own}"
    paper.say(picked, left + wide + 8.0, middle + 3.2, FIGURES_WIDE, size=SMALL, style="bold")
    paper.y += high


# The picture of many drawn seasons: for each need how much there is in all of them, in nine of ten, on average.

REPLAY_NAME, REPLAY_TITLE = "how_surely", "How surely the winter list is met"
USUAL = Tone(STRAW)
REPLAY_NAMES_WIDE, REPLAY_FIGURES_WIDE = 150.0, 262.0
REPLAY_ROW, REPLAY_BAR = 24.0, 10.0


def surely_picture(found: SeasonFound) -> Picture:
    """Draw one bar a need, in the order of importance."""
    if not found.targets:
        return nothing(REPLAY_NAME, REPLAY_TITLE, "There is nothing on the winter list: fill the table Needs.")
    paper = Paper()
    met = sum(one.met == one.draws for one in found.targets)
    words = (
        f"{found.asked.draws} seasons drawn, to {format_date_and_year(found_end(found))}. {met} of "
        f"{len(found.targets)} targets "
        "are met in all of them."
    )
    paper.head(REPLAY_TITLE, words)
    paper.key(
        [
            (SHELF, "in all seasons"),
            (PLANNED, "in 9 of 10 seasons"),
            (USUAL, "on average"),
            (SHORT, "short of the list"),
        ]
    )
    for one in found.targets:
        draw_target(paper, one)
    paper.text("The chances behind this are stated and not measured; they stand below the answer in the terminal.", 2)
    paper.end()
    return Picture(REPLAY_NAME, REPLAY_TITLE, f"{words} {alternative(found)}", paper)


def alternative(found: SeasonFound) -> str:
    """The same in words, need by need."""
    return " ".join(f"{one.target.name}: {amounts_words(one)}." for one in found.targets)


def draw_target(paper: Paper, one: TargetMet) -> None:
    """Draw the bar of one need and say beside it what it means."""
    lines = wrapped(one.target.name, REPLAY_NAMES_WIDE, BODY)
    left, wide = MARGIN + REPLAY_NAMES_WIDE + 8.0, paper.inner - REPLAY_NAMES_WIDE - REPLAY_FIGURES_WIDE - 16.0
    middle = paper.y + REPLAY_ROW / 2
    for number, line in enumerate(lines[:2]):
        below = 11.0 * (number - (len(lines[:2]) - 1) / 2)
        paper.put(Words(line, MARGIN + REPLAY_NAMES_WIDE, middle + 3.4 + below, across="right"))
    paper.put(Box(left, middle - REPLAY_BAR / 2, wide, REPLAY_BAR, SHORT, outline=BRICK, dashed=True))
    begun = 0.0
    for amount, tone in ((one.least, SHELF), (one.nine_of_ten, PLANNED), (one.mean, USUAL)):
        end = min(1.0, amount / one.target.wanted)
        if end > begun:
            paper.put(Box(left + begun * wide, middle - REPLAY_BAR / 2, (end - begun) * wide, REPLAY_BAR, tone))
            begun = end
    right = left + wide + 8.0
    paper.say(amounts_words(one), right, middle - 1.5, REPLAY_FIGURES_WIDE, size=SMALL)
    paper.say(met_words(one), right, middle + 8.5, REPLAY_FIGURES_WIDE, size=7.5, colour=QUIET)
    paper.y += REPLAY_ROW
    paper.put(Line(((MARGIN, paper.y), (paper.width - MARGIN, paper.y)), LINE, 0.4))
