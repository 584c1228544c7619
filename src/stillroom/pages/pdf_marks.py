"""What is drawn on a PDF page besides words: the box to tick, the line to write on, the day beside its rows."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, Paragraph

from stillroom.pages.paper_colours import INK


class Box(Flowable):
    """A square to tick."""

    def __init__(self, side: float) -> None:
        """Keep the length of a side, in points."""
        super().__init__()
        self.side = side

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """The room it takes."""
        return self.side + 2, self.side + 3

    def draw(self) -> None:
        """Draw it, its lines thick enough for a pencil to find."""
        self.canv.setStrokeColor(HexColor(f"#{INK}"))
        self.canv.setLineWidth(1.1)
        self.canv.rect(0.6, 0.6, self.side, self.side)


class Line(Flowable):
    """A line to write on."""

    def __init__(self, width: float, height: float) -> None:
        """Keep how long it is and how much room is above it, in points."""
        super().__init__()
        self.length, self.above = width, height

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """The room it takes."""
        return self.length, self.above

    def draw(self) -> None:
        """Draw it."""
        self.canv.setStrokeColor(HexColor(f"#{INK}"))
        self.canv.setLineWidth(0.9)
        self.canv.line(0, 1.5, self.length, 1.5)


class Beside(Flowable):
    """
    Words that stand beside several rows and reach down past the first of them.

    It says to take only `height` points, its share of each row; whoever places it sees that the rows are high enough.
    """

    def __init__(self, words: Sequence[Paragraph], height: float) -> None:
        """Keep the words, and the height to say."""
        super().__init__()
        self.words, self.said = words, height

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """The room it says to take."""
        self.room = width
        return width, self.said

    def draw(self) -> None:
        """Draw the words downwards from the top."""
        top = self.said
        for one in self.words:
            _, high = one.wrap(self.room, 10_000)
            top -= high
            one.drawOn(self.canv, 0, top)
