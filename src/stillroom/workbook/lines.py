"""How many lines a sentence takes in a column, by the widths of its letters: no program has to be asked."""

from __future__ import annotations

import math
from functools import lru_cache

USUAL_POINTS = 11.0
"""Size of the letters that column widths are counted in (ECMA-376 part 1, 18.3.1.13 `col`: its digits)."""
LINE_POINTS = 15.5
"""Height of one line of such letters, in points."""
EDGES = 1.0
"""What a cell keeps free at its two edges, in digits."""
INDENT = 1.3
"""How far one step of an indent moves the words in, in digits."""
WIDEST = 1.5
"""Width of the widest letters, in digits."""
_NARROW, _CAPITAL, _USUAL = 0.52, 1.2, 0.98
_WIDTHS = dict.fromkeys("iljtfrI.,:;'!|()[]/- \"", _NARROW) | dict.fromkeys("mwMW%@—", WIDEST)
_WIDTHS |= dict.fromkeys("ABCDEFGHKLNOPQRSTUVXYZ&+=<>", _CAPITAL) | dict.fromkeys("0123456789", 1.0)
"""Widths of letters in digits, those of the wider of the usual fonts without serifs."""


def text_lines(text: str, width: float) -> int:
    """
    Lines a text takes in a column of this width (in digits of its own letters), broken between words.

    A word that is wider than the column is broken where the column ends.

    >>> text_lines("pint", 10), text_lines("140 lb plum tomato, 1 lb onions", 20), text_lines("x" * 100, 50)
    (1, 2, 2)
    """
    width = max(width, 1.0)
    if WIDEST * len(text) <= width and "\n" not in text:
        return 1
    return sum(_paragraph_lines(paragraph, width) for paragraph in text.split("\n"))


def _paragraph_lines(text: str, width: float) -> int:
    lines, used = 1, 0.0
    for word in text.split(" "):
        long = word_width(word)
        if used and used + _NARROW + long <= width:
            used += _NARROW + long
            continue
        if used:
            lines += 1
        lines += max(0, -int(-long // width) - 1)
        used = long if long <= width else long % width
    return lines


@lru_cache(maxsize=20_000)
def word_width(word: str) -> float:
    """
    How wide a word is, in digits.

    >>> round(word_width("2026"), 2), word_width("mill") > word_width("till")
    (4.0, True)
    """
    return sum(_WIDTHS.get(letter, _USUAL) for letter in word)


def text_points(text: str, width: float, points: float = USUAL_POINTS, indent: int = 0) -> float:
    """
    How high a row must be for a text in letters of so many points, in a column of this width; in quarters of a point.

    >>> text_points("pint jar", 12), text_points("140 lb plum tomato, 1 lb onions", 21), text_points("pint", 12, 10)
    (15.5, 31.0, 14.25)
    """
    share = points / USUAL_POINTS
    return math.ceil(4 * text_lines(text, (width - EDGES - INDENT * indent) / share) * LINE_POINTS * share) / 4
