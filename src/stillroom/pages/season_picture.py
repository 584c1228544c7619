"""The picture of many drawn seasons: for each need how much there is in all of them, in nine of ten, on average."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.household.season.surely import NeedMet
from stillroom.pages.pictures.colours import BRICK, LINE, PLANNED, QUIET, SHELF, SHORT, STRAW, Tone
from stillroom.pages.pictures.letters import wrapped
from stillroom.pages.pictures.paper import BODY, MARGIN, SMALL, Box, Line, Paper, Words
from stillroom.pages.pictures.picture import Picture, nothing
from stillroom.pages.season_words import amounts_words, found_end, met_words

if TYPE_CHECKING:
    from stillroom.pages.season_way import SeasonFound

NAME, TITLE = "how_surely", "How surely the winter list is met"
USUAL = Tone(STRAW)
NAMES_WIDE, FIGURES_WIDE = 150.0, 262.0
ROW, BAR = 24.0, 10.0


def draw(found: SeasonFound, path: Path) -> list[Path]:
    """Draw the picture as PNG and SVG beside each other at a path without ending. Raises OSError."""
    from stillroom.pages.pictures.render import png_bytes, svg_bytes

    picture = surely_picture(found)
    paths = []
    for ending, content in (("png", png_bytes(picture)), ("svg", svg_bytes(picture))):
        target = path.with_name(f"{path.name}.{ending}")
        target.write_bytes(content)
        paths.append(target)
    return paths


def surely_picture(found: SeasonFound) -> Picture:
    """Draw one bar a need, in the order of importance."""
    if not found.needs:
        return nothing(NAME, TITLE, "There is nothing on the winter list: fill the table Needs.")
    paper = Paper()
    met = sum(one.met == one.draws for one in found.needs)
    words = (
        f"{found.asked.draws} seasons drawn, to {found_end(found):%d %B %Y}. {met} of {len(found.needs)} needs are met "
        "in all of them."
    )
    paper.head(TITLE, words)
    paper.key(
        [
            (SHELF, "in all seasons"),
            (PLANNED, "in 9 of 10 seasons"),
            (USUAL, "on average"),
            (SHORT, "short of the list"),
        ]
    )
    for one in found.needs:
        draw_need(paper, one)
    paper.text("The chances behind this are stated and not measured; they stand below the answer in the terminal.", 2)
    paper.end()
    return Picture(NAME, TITLE, f"{words} {alternative(found)}", paper)


def alternative(found: SeasonFound) -> str:
    """The same in words, need by need."""
    return " ".join(f"{one.need.name}: {amounts_words(one)}." for one in found.needs)


def draw_need(paper: Paper, one: NeedMet) -> None:
    """Draw the bar of one need and say beside it what it means."""
    lines = wrapped(one.need.name, NAMES_WIDE, BODY)
    left, wide = MARGIN + NAMES_WIDE + 8.0, paper.inner - NAMES_WIDE - FIGURES_WIDE - 16.0
    middle = paper.y + ROW / 2
    for number, line in enumerate(lines[:2]):
        below = 11.0 * (number - (len(lines[:2]) - 1) / 2)
        paper.put(Words(line, MARGIN + NAMES_WIDE, middle + 3.4 + below, across="right"))
    paper.put(Box(left, middle - BAR / 2, wide, BAR, SHORT, outline=BRICK, dashed=True))
    begun = 0.0
    for amount, tone in ((one.least, SHELF), (one.nine_of_ten, PLANNED), (one.mean, USUAL)):
        end = min(1.0, amount / one.need.wanted)
        if end > begun:
            paper.put(Box(left + begun * wide, middle - BAR / 2, (end - begun) * wide, BAR, tone))
            begun = end
    right = left + wide + 8.0
    paper.say(amounts_words(one), right, middle - 1.5, FIGURES_WIDE, size=SMALL)
    paper.say(met_words(one), right, middle + 8.5, FIGURES_WIDE, size=7.5, colour=QUIET)
    paper.y += ROW
    paper.put(Line(((MARGIN, paper.y), (paper.width - MARGIN, paper.y)), LINE, 0.4))
