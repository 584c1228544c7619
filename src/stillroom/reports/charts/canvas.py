"""A sheet to draw on: boxes, lines, ribbons and words in points from the upper left corner, kept until it is drawn."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.household.names import tidy_text

if TYPE_CHECKING:
    from matplotlib.ft2font import FT2Font


# The colours and patterns of the pictures: those of the workbook, told apart by pattern as well as by shade.

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


@dataclass(frozen=True)
class Tone:
    """One way to fill a shape: a colour, a pattern of lines or dots over it, and the colour of these and of letters."""

    fill: str
    pattern: str = ""
    over: str = INK
    band: str = ""

    @property
    def of_band(self) -> str:
        """The colour of a band in the flow picture: the tone's own, or a deeper one where that is too pale."""
        return self.band or self.fill


BY_METHOD = {
    "boiling-water canned": Tone(GREEN, "", WHITE),
    "pressure canned": Tone(BRICK, "////", WHITE),
    "frozen": Tone(SKY),
    "dried": Tone(STRAW, "---", QUIET, "#CDBB78"),
    "fermented": Tone(PALE_GREEN, "xxx", GREEN, "#8DA57F"),
    "root cellar": Tone(QUIET, "\\\\\\", WHITE),
    "refrigerated": Tone(LINE, "", INK, "#B5AC97"),
}
"""The seven ways, in the order of the words."""

ELSE = {
    "Eaten or given": Tone(ROSE, "+++", QUIET, "#D8B795"),
    "Eaten fresh": Tone(ROSE, "+++", QUIET, "#D8B795"),
    "Held frozen": Tone(SKY, "\\\\\\", INK),
    "Still fresh": Tone(WHITE, "", INK, "#A39C8C"),
    "In hand": Tone(WHITE, "", INK),
    "Fed": Tone(OCHRE, "|||", INK),
    "Lost": Tone(INK, "", WHITE),
}
"""Where else a crop goes."""

SHELF = Tone(GREEN, "", WHITE)
PLANNED = Tone(STRAW, "////", GREEN)
SHORT = Tone(WHITE, "", BRICK)
FROZEN = BY_METHOD["frozen"]

BY_HANDS = Tone(GREEN, "", WHITE)
BY_EAR = Tone(STRAW, "////", OCHRE)
BY_NOBODY = Tone(WHITE, "", INK)


# Letters of the pictures: the font that comes with the drawing library, how wide words are, and where they break.

FONTS = {"plain": "DejaVuSans.ttf", "bold": "DejaVuSans-Bold.ttf", "title": "DejaVuSerif-Bold.ttf"}
"""DejaVu is free to use and to pass on; it has the fractions, accents, Greek and Cyrillic letters."""
UNKNOWN = "□"
MEASURED_AT = 100.0


def font_file(style: str) -> Path:
    """Give the file of a font; `style` is plain, bold or title."""
    import matplotlib

    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / FONTS[style]


@functools.cache
def _font(style: str) -> FT2Font:
    from matplotlib.ft2font import FT2Font

    font = FT2Font(str(font_file(style)))
    font.set_size(MEASURED_AT, 72)
    return font


@functools.lru_cache(maxsize=4096)
def drawable(text: str, style: str = "plain") -> str:
    r"""
    Give the text in one line, with a box for every letter that the font does not have.

    >>> drawable("½ cup čaj\n\u4e2d")
    '½ cup čaj □'
    """
    font = _font(style)
    return "".join(sign if font.get_char_index(ord(sign)) else UNKNOWN for sign in tidy_text(text))


@functools.lru_cache(maxsize=4096)
def _advance(sign: str, style: str) -> float:
    """Give the width of one letter as a share of its size."""
    font = _font(style)
    return float(font.load_char(ord(sign)).linearHoriAdvance) / 65536 / MEASURED_AT


def width_of(text: str, size: float, style: str = "plain") -> float:
    """
    How wide a text is, in points, at a size in points; no letters are set closer together.

    >>> 0 < width_of("ill", 10) < width_of("mmm", 10) == width_of("mmm", 20) / 2
    True
    """
    return size * sum(_advance(sign, style) for sign in drawable(text, style))


def shortened(text: str, width: float, size: float, style: str = "plain") -> str:
    """
    Give the text, cut with an ellipsis where it is wider than `width` points; empty where not even two letters fit.

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
    Break a text into at most so many lines, none wider than `width` points; what is too long ends with an ellipsis.

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


Point = tuple[float, float]
WIDTH = 640.0
MARGIN = 18.0
BODY = 9.5
SMALL = 8.5
TITLE = 15.0
LEADING = 1.3


@dataclass(frozen=True)
class Box:
    """A rectangle; `outline` is the colour of its edge, empty for none."""

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

    points: tuple[Point, ...]
    colour: str = LINE
    thick: float = 0.8
    dashed: bool = False


@dataclass(frozen=True)
class Shape:
    """A filled shape with straight sides."""

    points: tuple[Point, ...]
    tone: Tone
    outline: str = INK


@dataclass(frozen=True)
class Ribbon:
    """A band that runs from a left edge (x, top, bottom) to a right one in a gentle curve."""

    left: tuple[float, float, float]
    right: tuple[float, float, float]
    colour: str


@dataclass(frozen=True)
class Words:
    """Words on one line: `x` is where they begin, end or have their middle, `y` the line they stand on."""

    text: str
    x: float
    y: float
    size: float = BODY
    across: str = "left"
    colour: str = INK
    style: str = "plain"

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of the room the letters take."""
        width = width_of(self.text, self.size, self.style)
        left = self.x - {"left": 0.0, "centre": width / 2, "right": width}[self.across]
        return left, self.y - 0.76 * self.size, left + width, self.y + 0.24 * self.size


Mark = Box | Line | Shape | Ribbon | Words


@dataclass
class Paper:
    """A sheet of `width` by `height` points and what is on it, what lies lowest first; `y` is where to go on."""

    width: float = WIDTH
    height: float = 0.0
    marks: list[Mark] = field(default_factory=list)
    y: float = MARGIN

    @property
    def inner(self) -> float:
        """The width between the margins."""
        return self.width - 2 * MARGIN

    def put(self, *marks: Mark) -> None:
        """Lay something on the paper."""
        self.marks.extend(marks)

    def say(self, text: str, x: float, y: float, room: float, **how: object) -> None:
        """Write one line, cut to the room there is; nothing where there is none."""
        words = Words(text, x, y, **how)  # type: ignore[arg-type]  # the fields of Words, by name
        cut = shortened(text, room, words.size, words.style)
        if cut:
            self.put(Words(cut, x, y, **how))  # type: ignore[arg-type]

    def head(self, title: str, below: str = "") -> None:
        """Write the title and up to three lines below it."""
        self.y += TITLE
        self.say(title, MARGIN, self.y, self.inner, size=TITLE, style="title")
        self.y += 0.5 * TITLE
        self.text(below, most=3)
        self.y += 4.0

    def text(self, words: str, most: int = 4, size: float = BODY, colour: str = QUIET) -> None:
        """Write a few lines over the whole width, and go on below them."""
        if not words:
            return
        for line in wrapped(words, self.inner, size, most):
            self.y += LEADING * size
            self.put(Words(line, MARGIN, self.y, size, colour=colour))

    def key(self, entries: Sequence[tuple[Tone, str]]) -> None:
        """Say what each tone means, on as many lines as it takes."""
        x, self.y = MARGIN, self.y + 14.0
        for tone, words in entries:
            wide = 18.0 + width_of(words, SMALL) + 14.0
            if x > MARGIN and x + wide > self.width - MARGIN + 14.0:
                x, self.y = MARGIN, self.y + 14.0
            self.put(Box(x, self.y - 7.5, 13.0, 9.0, tone))
            self.say(words, x + 18.0, self.y, self.width - MARGIN - x - 18.0, size=SMALL)
            x += wide
        self.y += 8.0

    def end(self) -> None:
        """Cut the sheet off below what was written."""
        self.height = self.y + MARGIN


# A finished picture: its file name, its title, what it shows in one or two sentences, and the sheet it is drawn
# on.


@dataclass(frozen=True)
class Picture:
    """
    One picture. `name` is that of its file without an ending, `alternative` its text for those who cannot see it.

    `empty` says that there was nothing to draw: the sheet then holds the title and a sentence.
    """

    name: str
    title: str
    alternative: str
    paper: Paper
    empty: bool = False

    @property
    def spoken(self) -> str:
        """The title with the text alternative, for a place that has only the file."""
        return self.alternative if self.empty else f"{self.title}. {self.alternative}"


def nothing(name: str, title: str, words: str) -> Picture:
    """Say in words that there is nothing to draw, in place of an empty chart."""
    paper = Paper()
    paper.head(title, words)
    paper.end()
    return Picture(name, title, f"{title}: {words}", paper, empty=True)
