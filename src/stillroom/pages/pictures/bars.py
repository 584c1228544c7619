"""Bars over the periods of a plan, shared by the freezer and the jars: where each stands, and what is written below."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stillroom.household.periods import Period
from stillroom.pages.pictures.colours import LINE, QUIET
from stillroom.pages.pictures.letters import width_of
from stillroom.pages.pictures.paper import Line, Paper, Words
from stillroom.pages.pictures.shown import short_period

GAP_BEFORE_WEEKS = 8.0


@dataclass(frozen=True)
class Slots:
    """The room for each period between two edges, with a small gap between the days and the weeks."""

    periods: Sequence[Period]
    left: float
    right: float

    @property
    def each(self) -> float:
        """The width of one period."""
        mixed = len({period.single for period in self.periods}) > 1
        return (self.right - self.left - (GAP_BEFORE_WEEKS if mixed else 0.0)) / len(self.periods)

    def places(self) -> Iterator[tuple[Period, float, float]]:
        """Each period with the left edge and the width of its bar."""
        days = any(period.single for period in self.periods)
        for place, period in enumerate(self.periods):
            shift = GAP_BEFORE_WEEKS if days and not period.single else 0.0
            yield period, self.left + place * self.each + shift + 0.1 * self.each, 0.8 * self.each

    def dates(self, paper: Paper, y: float, size: float = 7.5) -> None:
        """Write the dates below the bars, as many of them as there is room for."""
        widest = max(width_of(words, size) for period in self.periods for words in short_period(period))
        every = max(1, int(-(-(widest + 3.0) // self.each)))
        for place, (period, left, wide) in enumerate(self.places()):
            if place % every == 0:
                for line, words in enumerate(short_period(period)):
                    x = min(max(left + wide / 2, self.left + widest / 2), paper.width - widest / 2 - 4.0)
                    paper.put(Words(words, x, y + 9.0 * line, size, "centre", QUIET))

    def floor(self, paper: Paper, y: float) -> None:
        """Draw the line the bars stand on."""
        paper.put(Line(((self.left, y), (self.right, y)), QUIET, 0.8))

    def level(self, paper: Paper, y: float) -> None:
        """Draw a quiet line across."""
        paper.put(Line(((self.left, y), (self.right, y)), LINE, 0.6))
