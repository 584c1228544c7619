"""What pictures are drawn from and on: the tables of a plan, the colors and fonts of the workbook, the sheet."""

from __future__ import annotations

import functools
import importlib.util
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.errors import StillroomError
from stillroom.household.names import tidy_text
from stillroom.household.plan import Period, Plan
from stillroom.household.records import Household, PlanLine
from stillroom.household.results.clock import DayOnClock, Step
from stillroom.household.results.rows import Row, day_in, number_in, text_in
from stillroom.household.results.sums import Sums
from stillroom.household.text import format_date, format_long_date

if TYPE_CHECKING:
    from matplotlib.ft2font import FT2Font

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


# A drawing as data: boxes, lines, ribbons and words, in points from the upper left corner, until it is rendered.

# Letters: how wide words are, and where they break.

FONTS = {"plain": TEXT, "bold": BOLD, "title": TITLE}
MEASURED_AT = 100.0


@functools.cache
def _font(style: str) -> FT2Font:
    from matplotlib.ft2font import FT2Font

    font = FT2Font(str(font_folder() / f"{FONTS[style]}.ttf"))
    font.set_size(MEASURED_AT, 72)
    return font


@functools.lru_cache(maxsize=4096)
def drawable(text: str, style: str = "plain") -> str:
    r"""
    Return the text in one line, with a box for each character that the font does not have.

    >>> drawable("½ cup čaj\n\u4e2d")
    '½ cup čaj □'
    """
    font = _font(style)
    return "".join(sign if font.get_char_index(ord(sign)) else NO_GLYPH for sign in tidy_text(text))


@functools.lru_cache(maxsize=4096)
def _advance(sign: str, style: str) -> float:
    """Return the width of a character as a share of its size."""
    font = _font(style)
    return float(font.load_char(ord(sign)).linearHoriAdvance) / 65536 / MEASURED_AT


def width_of(text: str, size: float, style: str = "plain") -> float:
    """
    Return the width of a text in points at a size in points, without kerning.

    >>> 0 < width_of("ill", 10) < width_of("mmm", 10) == width_of("mmm", 20) / 2
    True
    """
    return size * sum(_advance(sign, style) for sign in drawable(text, style))


def shortened(text: str, width: float, size: float, style: str = "plain") -> str:
    """
    Return the text, cut with an ellipsis to `width` points; empty if not even two letters fit.

    >>> shortened("tomato juice, quart", 60, 10), shortened("tomato juice", 200, 10), shortened("tomato", 5, 10)
    ('tomato ju…', 'tomato juice', '')
    """
    text = drawable(text, style)
    if width_of(text, size, style) <= width:
        return text
    for length in range(len(text) - 1, 1, -1):
        cut = text[:length].rstrip(" ,;") + "…"
        if width_of(cut, size, style) <= width:
            return cut
    return ""


def wrapped(text: str, width: float, size: float, most: int = 2, style: str = "plain") -> list[str]:
    """
    Break a text into at most `most` lines, none wider than `width` points; the last is cut with an ellipsis.

    >>> wrapped("bread-and-butter pickles, pint", 90, 10)
    ['bread-and-butter', 'pickles, pint']
    """
    lines: list[str] = []
    words = drawable(text, style).split(" ")
    while words and len(lines) < most - 1:
        taken = 1
        while taken < len(words) and width_of(" ".join(words[: taken + 1]), size, style) <= width:
            taken += 1
        lines.append(shortened(" ".join(words[:taken]), width, size, style))
        words = words[taken:]
    if words:
        lines.append(shortened(" ".join(words), width, size, style))
    return lines


WIDTH = 640.0
MARGIN = 18.0
BODY = 9.5
SMALL = 8.5
TITLE_SIZE = 15.0
LEADING = 1.3


@dataclass(frozen=True)
class Box:
    """A rectangle; `outline` is the color of its edge, empty for none."""

    left: float
    top: float
    width: float
    height: float
    tone: Tone
    outline: str = INK
    dashed: bool = False


@dataclass(frozen=True)
class Line:
    """A line through points."""

    points: tuple[tuple[float, float], ...]
    color: str = LINE
    thick: float = 0.8
    dashed: bool = False


@dataclass(frozen=True)
class Ribbon:
    """A band that runs from a left edge (x, top, bottom) to a right one in a gentle curve."""

    left: tuple[float, float, float]
    right: tuple[float, float, float]
    color: str


@dataclass(frozen=True)
class Words:
    """Words on one line: `x` is their left edge, right edge or middle (`across`), `y` their baseline."""

    text: str
    x: float
    y: float
    size: float = BODY
    across: str = "left"
    color: str = INK
    style: str = "plain"

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Return left, top, right and bottom of the letters."""
        width = width_of(self.text, self.size, self.style)
        left = self.x - {"left": 0.0, "center": width / 2, "right": width}[self.across]
        return left, self.y - 0.76 * self.size, left + width, self.y + 0.24 * self.size


Mark = Box | Line | Ribbon | Words


@dataclass
class Drawing:
    """Marks on `width` by `height` points, the lowest first; `y` is where the next part begins."""

    width: float = WIDTH
    height: float = 0.0
    marks: list[Mark] = field(default_factory=list)
    y: float = MARGIN

    @property
    def inner(self) -> float:
        """Return the width between the margins."""
        return self.width - 2 * MARGIN

    def add(self, *marks: Mark) -> None:
        """Add marks on top."""
        self.marks.extend(marks)

    def write(self, text: str, x: float, y: float, room: float, **how: object) -> None:
        """Write one line, cut to `room` points; nothing if none of it fits."""
        words = Words(text, x, y, **how)  # type: ignore[arg-type]  # the fields of Words, by name
        cut = shortened(text, room, words.size, words.style)
        if cut:
            self.add(Words(cut, x, y, **how))  # type: ignore[arg-type]

    def heading(self, title: str, below: str = "") -> None:
        """Write the title and up to three lines below it."""
        self.y += TITLE_SIZE
        self.write(title, MARGIN, self.y, self.inner, size=TITLE_SIZE, style="title")
        self.y += 0.5 * TITLE_SIZE
        self.paragraph(below, most=3)
        self.y += 4.0

    def paragraph(self, words: str, most: int = 4, size: float = BODY, color: str = QUIET) -> None:
        """Write at most `most` lines over the whole width."""
        if not words:
            return
        for line in wrapped(words, self.inner, size, most):
            self.y += LEADING * size
            self.add(Words(line, MARGIN, self.y, size, color=color))

    def legend(self, entries: Sequence[tuple[Tone, str]]) -> None:
        """Explain the tones, on as many lines as it takes."""
        x, self.y = MARGIN, self.y + 14.0
        for tone, words in entries:
            wide = 18.0 + width_of(words, SMALL) + 14.0
            if x > MARGIN and x + wide > self.width - MARGIN + 14.0:
                x, self.y = MARGIN, self.y + 14.0
            self.add(Box(x, self.y - 7.5, 13.0, 9.0, tone))
            self.write(words, x + 18.0, self.y, self.width - MARGIN - x - 18.0, size=SMALL)
            x += wide
        self.y += 8.0

    def row_name(self, lines: Sequence[str], right: float, middle: float) -> None:
        """Write the lines of a name, right-aligned at `right` and centered on `middle`."""
        for number, line in enumerate(lines):
            below = 11.0 * (number - (len(lines) - 1) / 2)
            self.add(Words(line, right, middle + 3.4 + below, across="right"))

    def finish(self) -> None:
        """Set the height to what was drawn."""
        self.height = self.y + MARGIN


@dataclass(frozen=True)
class Picture:
    """
    A finished picture: `name` of its file, `alternative` text for people who cannot see it.

    `empty` if there was nothing to draw; it then holds the title and a sentence.
    """

    name: str
    title: str
    alternative: str
    drawing: Drawing
    empty: bool = False

    @property
    def spoken(self) -> str:
        """Return the title with the text alternative."""
        return self.alternative if self.empty else f"{self.title}. {self.alternative}"


def nothing(name: str, title: str, words: str) -> Picture:
    """Return a picture that explains in words why nothing is drawn."""
    drawing = Drawing()
    drawing.heading(title, words)
    drawing.finish()
    return Picture(name, title, f"{title}: {words}", drawing, empty=True)
