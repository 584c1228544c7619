"""The colours and patterns of the pictures: those of the workbook, told apart by pattern as well as by shade."""

from __future__ import annotations

from dataclasses import dataclass

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


BY_WAY = {
    "boiling-water canned": Tone(GREEN, "", WHITE),
    "pressure canned": Tone(BRICK, "////", WHITE),
    "frozen": Tone(SKY),
    "dried": Tone(STRAW, "---", QUIET, "#CDBB78"),
    "fermented": Tone(PALE_GREEN, "xxx", GREEN, "#8DA57F"),
    "cellared": Tone(QUIET, "\\\\\\", WHITE),
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
FROZEN = BY_WAY["frozen"]

BY_HANDS = Tone(GREEN, "", WHITE)
BY_EAR = Tone(STRAW, "////", OCHRE)
BY_NOBODY = Tone(WHITE, "", INK)
