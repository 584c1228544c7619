"""What pictures are drawn from: the tables of a plan, its sums, and the colors and fonts of the workbook."""

from __future__ import annotations

import functools
import importlib.util
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from stillroom.errors import StillroomError
from stillroom.household.plan import Period, Plan
from stillroom.household.records import Household, PlanLine
from stillroom.household.results.clock import DayOnClock, Step
from stillroom.household.results.rows import Row, day_in, number_in, text_in
from stillroom.household.results.sums import Sums
from stillroom.household.text import format_date, format_long_date

NOT_PLANNED = "There is no plan yet, so there is nothing to draw. Plan first, then look again."


@dataclass(frozen=True)
class Shown:
    """
    A workbook with a plan, ready to draw.

    `household` is settled, `typed` as typed with its record, `tables` the output tables, `days` those on the clock with
    their `steps`, `warning` a sentence that every picture of the plan must carry.
    """

    household: Household
    typed: Household
    tables: Mapping[str, Sequence[Row]]
    days: tuple[DayOnClock, ...] = ()
    warning: str = ""
    steps: tuple[Step, ...] = field(default=())

    @property
    def planned(self) -> bool:
        """Return whether the tables hold a plan."""
        return bool(self.periods)

    def with_warning(self, words: str) -> str:
        """Return words about the plan, followed by the warning."""
        return f"{words} {self.warning}" if self.warning else words

    @cached_property
    def periods(self) -> tuple[Period, ...]:
        """Return the periods of the plan, from the table Space."""
        rows = [row for row in self.tables.get("Space", ()) if row.get("Period") is not None]
        return tuple(
            Period(number, day_in(row, "Period"), max(1, round(number_in(row, "Days"))))
            for number, row in enumerate(rows)
        )

    @cached_property
    def lines(self) -> tuple[PlanLine, ...]:
        """Return the lines of the plan that make something within its periods."""
        starts = {(period.first_day, period.days) for period in self.periods}
        return tuple(
            line for line in self.household.plan_lines if (line.make or 0.0) > 0 and (line.day, line.days) in starts
        )

    @cached_property
    def to_come(self) -> Sums:
        """
        Return the sums of what is still to be made; lines with *Made* filled are in the record already.

        Covers only what is made and the containers bought.
        """
        number = {(period.first_day, period.days): period.number for period in self.periods}
        known = {item.name for item in self.household.preserves}
        make: dict[tuple[str, int], float] = {}
        for line in self.lines:
            if line.made is None and line.name in known:
                key = line.name, number[line.day, line.days]
                make[key] = make.get(key, 0.0) + (line.make or 0.0)
        jars = {container.name for container in self.household.containers}
        bought = {
            text_in(row, "Item"): number_in(row, "Buy")
            for row in self.tables.get("Shopping", ())
            if text_in(row, "Item") in jars
        }
        return Sums(self.household, Plan(self.periods, make=make, buy_containers=bought))


def period_lines(period: Period) -> tuple[str, str]:
    """
    Return two short lines for a period, to go below its bar.

    >>> import datetime
    >>> period_lines(Period(0, datetime.date(2026, 8, 14), 1)), period_lines(Period(7, datetime.date(2026, 8, 21), 7))
    (('Fri', 'Aug 14'), ('week', 'Aug 21'))
    """
    day = period.first_day
    return format_long_date(day)[:3] if period.single else "week", format_date(day)


def part_name(heading: str) -> str:
    """
    Return what became of a crop in words, from a heading of Crop use or Season.

    >>> part_name("On hand"), part_name("Eaten fresh")
    ('left', 'eaten fresh')
    """
    return "left" if heading == "On hand" else heading[:1].lower() + heading[1:]


# The colors and fonts of pictures and printed pages: those of the workbook.

PAPER = "#FCF9F1"
INK = "#33312B"
QUIET = "#756D5F"
LINE = "#DDD6C6"
GREEN = "#4C6848"
PALE_GREEN = "#EDF2E7"
STRAW = "#E6D9B0"
SKY = "#9DB6BE"
BRICK = "#A43E2E"
OCHRE = "#C69A3C"
ROSE = "#F3E3D3"
WHITE = "#FFFFFF"
PRINTED_QUIET, PRINTED_LINE = "#5F584C", "#B9B09B"
"""Darker on drawing, where a printer turns them gray."""


@dataclass(frozen=True)
class Tone:
    """A fill: a color, a pattern of lines or dots over it, the color of these and of letters, and that of a band."""

    fill: str
    pattern: str = ""
    over: str = INK
    band: str = ""

    @property
    def band_color(self) -> str:
        """Return the color of a band in the flow picture, deeper than a pale fill."""
        return self.band or self.fill

    @property
    def letters(self) -> str:
        """Return the color of words written on the fill."""
        return WHITE if self.over == WHITE else INK


BY_METHOD = {
    "boiling-water canned": Tone(GREEN, "", WHITE),
    "pressure canned": Tone(BRICK, "////", WHITE),
    "frozen": Tone(SKY),
    "dried": Tone(STRAW, "---", QUIET, "#CDBB78"),
    "fermented": Tone(PALE_GREEN, "xxx", GREEN, "#8DA57F"),
    "root cellar": Tone(QUIET, "\\\\\\", WHITE),
    "refrigerated": Tone(LINE, "", INK, "#B5AC97"),
}
"""The seven methods."""

ELSE = {
    "Eaten or given": Tone(ROSE, "+++", QUIET, "#D8B795"),
    "Eaten fresh": Tone(ROSE, "+++", QUIET, "#D8B795"),
    "Held frozen": Tone(SKY, "\\\\\\", INK),
    "Still fresh": Tone(WHITE, "", INK, "#A39C8C"),
    "On hand": Tone(WHITE, "", INK),
    "Surplus": Tone(OCHRE, "|||", INK),
    "Lost": Tone(INK, "", WHITE),
}
"""What else becomes of a crop, by the headings of Crop use and Season."""

SHELF = Tone(GREEN, "", WHITE)
PLANNED = Tone(STRAW, "////", GREEN)
SHORT = Tone(WHITE, "", BRICK)
FROZEN = BY_METHOD["frozen"]

HANDS_ON = Tone(GREEN, "", WHITE)
EARSHOT = Tone(STRAW, "////", OCHRE)
UNATTENDED = Tone(WHITE, "", INK)

TEXT, BOLD, TITLE = "DejaVuSans", "DejaVuSans-Bold", "DejaVuSerif-Bold"
NO_GLYPH = "□"
"""Replaces a character that the fonts do not have."""


@functools.cache
def font_folder() -> Path:
    """
    Return the folder of the DejaVu fonts and their license, which come with matplotlib; does not import matplotlib.

    DejaVu may be used and passed on freely; it has fractions, accents, Greek and Cyrillic letters. Raises
    StillroomError when the fonts are missing.
    """
    found = importlib.util.find_spec("matplotlib")
    for place in () if found is None else found.submodule_search_locations or ():
        folder = Path(place) / "mpl-data" / "fonts" / "ttf"
        if all((folder / f"{name}.ttf").is_file() for name in (TEXT, BOLD, TITLE)):
            return folder
    msg = "the fonts for pages are missing; they come with matplotlib, so install matplotlib again"
    raise StillroomError(msg)
