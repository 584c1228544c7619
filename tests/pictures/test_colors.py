"""
The colors: those of the workbook, told apart by people who do not see red or green, and on a black and white page.

How a color looks to somebody without green cones: Vienot, Brettel and Mollon, "Digital video colormaps for checking
the legibility of displays by dichromats", Color Research and Application 24 (1999), their matrices, written down from
memory. How far colors are apart: CIE 1976 L*a*b*, where a difference of about 2.3 can just be noticed.
"""

import itertools

import pytest

from stillroom.reports.charts import canvas as palette
from stillroom.workbook.starter import layout

TOGETHER = {
    "season": [
        *palette.BY_METHOD.values(),
        *(palette.ELSE[n] for n in ("Eaten or given", "Surplus", "Lost", "On hand")),
    ],
    "flow": [
        *palette.BY_METHOD.values(),
        *(palette.ELSE[n] for n in ("Eaten fresh", "Held frozen", "Still fresh", "Surplus")),
    ],
    "winter list": [palette.SHELF, palette.PLANNED, palette.SHORT],
    "day": [palette.HANDS_ON, palette.EARSHOT, palette.UNATTENDED],
}
DEUTERANOPIA = ((0.29275, 0.70725, 0.0), (0.29275, 0.70725, 0.0), (-0.02234, 0.02234, 1.0))
PROTANOPIA = ((0.11238, 0.88762, 0.0), (0.11238, 0.88762, 0.0), (0.00401, -0.00401, 1.0))
APART = 10.0


def linear(color):
    """Red, green and blue as amounts of light (sRGB, IEC 61966-2-1)."""
    channels = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    return [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in channels]


def seen(light, matrix):
    """The same to somebody who lacks a kind of cones."""
    return [min(1.0, max(0.0, sum(weight * one for weight, one in zip(row, light, strict=True)))) for row in matrix]


def lab(light):
    """L*, a* and b* by daylight."""
    red, green, blue = light
    xyz = (
        (0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.9505,
        0.2126 * red + 0.7152 * green + 0.0722 * blue,
        (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.089,
    )
    x, y, z = (one ** (1 / 3) if one > 0.008856 else 7.787 * one + 16 / 116 for one in xyz)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def distance(one, other):
    """How far two colors are apart."""
    return sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5


def contrast(one, other):
    """Contrast of letters on a ground (WCAG 2.1): from 1 to 21."""
    bright, dark = sorted(
        (0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b in (linear(one), linear(other))), reverse=True
    )
    return (bright + 0.05) / (dark + 0.05)


def test_the_reckoning_is_right():
    """White is 100, black 0, and red and green of one brightness are near to each other without green cones."""
    assert lab(linear("#FFFFFF"))[0] == pytest.approx(100, abs=0.1)
    assert lab(linear("#000000"))[0] == pytest.approx(0, abs=0.1)
    red, green = linear("#B65A32"), linear("#717A2D")
    assert distance(lab(red), lab(green)) > 3 * distance(*(lab(seen(one, DEUTERANOPIA)) for one in (red, green)))
    assert contrast("#FFFFFF", "#000000") == pytest.approx(21)


@pytest.mark.parametrize("picture", TOGETHER)
@pytest.mark.parametrize("matrix", [DEUTERANOPIA, PROTANOPIA], ids=["no green cones", "no red cones"])
def test_what_stands_in_one_picture_is_told_apart_without_red_or_green(picture, matrix):
    """By color as it is then seen, or by pattern."""
    for one, other in itertools.combinations(TOGETHER[picture], 2):
        away = distance(*(lab(seen(linear(tone.fill), matrix)) for tone in (one, other)))
        assert away >= APART or one.pattern != other.pattern, (one, other, away)


@pytest.mark.parametrize("picture", TOGETHER)
def test_what_stands_in_one_picture_is_told_apart_in_black_and_white(picture):
    """By how dark it is, or by pattern."""
    for one, other in itertools.combinations(TOGETHER[picture], 2):
        away = abs(lab(linear(one.fill))[0] - lab(linear(other.fill))[0])
        assert away >= APART or one.pattern != other.pattern, (one, other, away)


def test_a_pattern_can_be_seen_on_its_ground():
    """At least 1.5 to 1: lines, not letters."""
    for tone in itertools.chain(*TOGETHER.values()):
        if tone.pattern:
            assert contrast(tone.fill, tone.over) >= 1.5, tone


def test_letters_can_be_read_on_every_ground():
    """At least 4.5 to 1 (WCAG 2.1, level AA): ink and quiet words on paper, and figures in bars."""
    for letters in (palette.INK, palette.QUIET, palette.BRICK):
        assert contrast(letters, palette.PAPER) >= 4.5, letters
    for tone in itertools.chain(*TOGETHER.values()):
        assert contrast(tone.letters, tone.fill) >= 4.5, tone


def test_the_colors_are_those_of_the_workbook():
    """A picture beside the workbook looks like one thing with it."""
    for name in ("PAPER", "INK", "QUIET", "LINE", "GREEN", "PALE_GREEN", "STRAW", "SKY", "BRICK"):
        assert getattr(palette, name) == f"#{getattr(layout, name)}", name
