"""A sheet to draw on: boxes, lines, ribbons and words in points from the upper left corner, kept until it is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from stillroom.pages.pictures.colours import INK, LINE, QUIET, Tone
from stillroom.pages.pictures.letters import shortened, width_of, wrapped

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
