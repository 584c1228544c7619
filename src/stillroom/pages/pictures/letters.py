"""Letters of the pictures: the font that comes with the drawing library, how wide words are, and where they break."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import TYPE_CHECKING

from stillroom.household.names import tidy_text

if TYPE_CHECKING:
    from matplotlib.ft2font import FT2Font

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
