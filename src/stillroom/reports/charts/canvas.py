"""A drawing as data: boxes, lines, ribbons and words, in points from the upper left corner, until it is rendered."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stillroom.household.names import tidy_text
from stillroom.reports.charts.picture import BOLD, INK, LINE, NO_GLYPH, QUIET, TEXT, Tone, font_folder
from stillroom.reports.charts.picture import TITLE as SERIF

if TYPE_CHECKING:
    from matplotlib.ft2font import FT2Font


# Letters: how wide words are, and where they break.

FONTS = {"plain": TEXT, "bold": BOLD, "title": SERIF}
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
TITLE = 15.0
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
        self.y += TITLE
        self.write(title, MARGIN, self.y, self.inner, size=TITLE, style="title")
        self.y += 0.5 * TITLE
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
