"""The colors and fonts of pictures and printed pages: those of the workbook."""

from __future__ import annotations

import functools
import importlib.util
from dataclasses import dataclass
from pathlib import Path

from stillroom.errors import StillroomError

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
    "In hand": Tone(WHITE, "", INK),
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
