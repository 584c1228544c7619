"""A finished picture: its file name, its title, what it shows in one or two sentences, and the sheet it is drawn on."""

from __future__ import annotations

from dataclasses import dataclass

from stillroom.pages.pictures.paper import Paper


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
