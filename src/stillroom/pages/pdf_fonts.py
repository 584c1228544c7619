"""The fonts of the PDF pages: DejaVu, which comes with matplotlib and has ½, °, accents, Greek and Cyrillic."""

from __future__ import annotations

import functools
import importlib.util
from pathlib import Path

from stillroom.errors import StillroomError
from stillroom.pages.paper import clean

TEXT, BOLD, TITLE = "DejaVuSans", "DejaVuSans-Bold", "DejaVuSerif-Bold"
NO_GLYPH = "□"
"""Stands for a sign that the font has not."""


def font_folder() -> Path:
    """
    The folder of the fonts and of their licence; matplotlib itself, which is slow, is not imported.

    Raises StillroomError when the fonts are not there.
    """
    found = importlib.util.find_spec("matplotlib")
    for place in () if found is None else found.submodule_search_locations or ():
        folder = Path(place) / "mpl-data" / "fonts" / "ttf"
        if all((folder / f"{name}.ttf").is_file() for name in (TEXT, BOLD, TITLE)):
            return folder
    msg = "the fonts of the pages are not there: they come with matplotlib; install it again"
    raise StillroomError(msg)


@functools.cache
def signs() -> frozenset[int]:
    """
    Make the fonts known to reportlab, once; every sign that all of them can draw, by its number.

    Raises StillroomError when they are not there.
    """
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = font_folder()
    drawn = []
    for name in (TEXT, BOLD, TITLE):
        font = TTFont(name, str(folder / f"{name}.ttf"))
        pdfmetrics.registerFont(font)
        drawn.append(frozenset(font.face.charToGlyph))
    for name in (TEXT, BOLD, TITLE):
        pdfmetrics.registerFontFamily(name, normal=name, bold=BOLD, italic=name, boldItalic=BOLD)
    return frozenset.intersection(*drawn)


def drawable(words: str) -> str:
    """
    Words with a box for every sign that the fonts cannot draw.

    >>> drawable("½ °C, épices, слива, δαμάσκηνο"), drawable("plum 🍅")
    ('½ °C, épices, слива, δαμάσκηνο', 'plum □')
    """
    known = signs()
    return "".join(sign if ord(sign) in known else NO_GLYPH for sign in clean(words))


def width_points(words: str, font: str, size: float) -> float:
    """How wide words are in a font of a size, in points."""
    from reportlab.pdfbase import pdfmetrics

    signs()
    return float(pdfmetrics.stringWidth(words, font, size))
