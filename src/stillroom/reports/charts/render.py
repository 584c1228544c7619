"""Drawings rendered as PNG and SVG by Matplotlib; the same drawing gives the same bytes, with no outside references."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html import escape
from typing import Any, Literal

import matplotlib.style
import numpy
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path
from PIL import Image as Images
from PIL.Image import Image

from stillroom.reports.charts.canvas import (
    FONTS,
    PAPER,
    Box,
    Line,
    Mark,
    Picture,
    Ribbon,
    Tone,
    Words,
    drawable,
    font_folder,
)

DOTS_PER_INCH = 144
COLORS = 200
"""Shades kept in a PNG: enough for smooth letters, and a third of the size."""
SETTINGS: dict[str, Any] = {
    "svg.hashsalt": "stillroom",
    "svg.fonttype": "path",
    "hatch.linewidth": 0.7,
    "path.simplify": False,
}


def png_bytes(picture: Picture) -> bytes:
    """Return a picture as PNG without date or creator."""
    with settings(), io.BytesIO() as file:
        figure = drawn(picture, ground=True)
        figure.set_dpi(DOTS_PER_INCH)
        canvas = FigureCanvasAgg(figure)
        canvas.draw()  # type: ignore[no-untyped-call]  # the library has no types for it
        size = canvas.get_width_height(physical=True)
        pixels = bytes(canvas.buffer_rgba())  # type: ignore[no-untyped-call]  # nor for this
        image = Images.frombytes("RGBA", size, pixels).convert("RGB")
        in_few_colors(image).save(file, format="PNG", optimize=True)
        return file.getvalue()


def in_few_colors(image: Image) -> Image:
    """Keep the shades there is most of, so that every plain ground keeps its very color; edges take the nearest."""
    pixels = numpy.asarray(image, dtype=numpy.uint32)
    packed = (pixels[..., 0] << 16) | (pixels[..., 1] << 8) | pixels[..., 2]
    found = sorted((color, count) for count, color in image.getcolors(maxcolors=image.width * image.height) or [])
    channels = numpy.array([color for color, _ in found], dtype=numpy.int64)
    most = numpy.argsort([-count for _, count in found], kind="stable")
    kept = channels[most[:COLORS]]
    away = ((channels[:, None, :] - kept[None, :, :]) ** 2).sum(axis=2)
    nearest = numpy.zeros(1 << 24, dtype=numpy.uint8)
    nearest[(channels[:, 0] << 16) | (channels[:, 1] << 8) | channels[:, 2]] = away.argmin(axis=1)
    few = Images.frombytes("P", image.size, nearest[packed].tobytes())
    few.putpalette(kept.astype(numpy.uint8).tobytes())
    return few


def svg_bytes(picture: Picture) -> bytes:
    """Return a picture as an SVG file."""
    return b'<?xml version="1.0" encoding="UTF-8"?>\n' + svg_text(picture, ground=True).encode()


def svg_text(picture: Picture, *, ground: bool = False) -> str:
    """
    Return a picture as an `<svg>` element for a page of HTML, without its background unless `ground`.

    Its ids begin with the picture's name, so that several fit in one page. It holds its title and text alternative.
    """
    with settings(), io.StringIO() as file:
        figure = drawn(picture, ground=ground)
        figure.savefig(file, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
        text = file.getvalue()
    return tidied(text, picture)


def tidied(text: str, picture: Picture) -> str:
    """Return the element without head and metadata, with names, title and text alternative."""
    text = text[text.index("<svg") :]
    text = re.sub(r"\s*(<metadata>.*?</metadata>|<!--.*?-->)", "", text, flags=re.DOTALL)
    text = re.sub(r' d="[^"]*"', lambda found: re.sub(r"(\.\d\d)\d+", r"\1", found[0]), text)
    own = re.sub(r"\W", "_", picture.name)
    text = re.sub(r'( id="|href="#|url\(#)', rf"\g<1>{own}-", text)
    _, rest = text.split(">", 1)
    width, height = round(picture.drawing.width, 3), round(picture.drawing.height, 3)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f'viewBox="0 0 {width:g} {height:g}" width="{width:g}" height="{height:g}" role="img" '
        f'aria-labelledby="{own}-title {own}-text">\n<title id="{own}-title">{escape(picture.title)}</title>'
        f'\n<desc id="{own}-text">{escape(picture.alternative)}</desc>'
    )
    return head + rest


@contextmanager
def settings() -> Iterator[None]:
    """Use the library's default settings, whatever this machine has set."""
    with matplotlib.style.context(["default", SETTINGS]):
        yield


def drawn(picture: Picture, *, ground: bool) -> Figure:
    """Draw every mark, in points, the upper left corner at 0, 0."""
    drawing = picture.drawing
    figure = Figure(figsize=(drawing.width / 72, drawing.height / 72), dpi=72)
    figure.patch.set_visible(ground)
    figure.patch.set_facecolor(PAPER)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0, drawing.width)
    axes.set_ylim(drawing.height, 0)
    for order, mark in enumerate(drawing.marks):
        DRAW[type(mark)](axes, mark, order)
    return figure


def draw_box(axes: Axes, mark: Box, order: int) -> None:
    """Draw a rectangle with its pattern."""
    for how in fills(mark.tone, mark.outline, dashed=mark.dashed):
        axes.add_patch(Rectangle((mark.left, mark.top), mark.width, mark.height, zorder=order, **how))


def fills(tone: Tone, outline: str, *, dashed: bool = False) -> Iterator[dict[str, Any]]:
    """Yield how a shape is filled, patterned and outlined, one after the other."""
    edge = {"edgecolor": outline, "linewidth": 0.7, "linestyle": "--" if dashed else "-"}
    if not outline:
        edge = {"edgecolor": "none", "linewidth": 0}
    if not tone.pattern:
        yield {"facecolor": tone.fill, "clip_on": False} | edge
        return
    yield {"facecolor": tone.fill, "edgecolor": "none", "linewidth": 0, "clip_on": False}
    yield {"facecolor": "none", "edgecolor": tone.over, "hatch": tone.pattern, "linewidth": 0, "clip_on": False}
    if outline:
        yield {"facecolor": "none", "clip_on": False} | edge


def draw_line(axes: Axes, mark: Line, order: int) -> None:
    """Draw a line."""
    across, down = zip(*mark.points, strict=True)
    style: Literal["--", "-"] = "--" if mark.dashed else "-"
    axes.add_line(
        Line2D(across, down, color=mark.color, linewidth=mark.thick, linestyle=style, zorder=order, clip_on=False)
    )


def draw_ribbon(axes: Axes, mark: Ribbon, order: int) -> None:
    """Draw a band by two cubic curves that leave and arrive level."""
    (x, top, bottom), (to, to_top, to_bottom) = mark.left, mark.right
    middle = (x + to) / 2
    points = [(x, top), (middle, top), (middle, to_top), (to, to_top)]
    points += [(to, to_bottom), (middle, to_bottom), (middle, bottom), (x, bottom), (x, top)]
    codes = [Path.MOVETO, *[Path.CURVE4] * 3, Path.LINETO, *[Path.CURVE4] * 3, Path.CLOSEPOLY]
    path = Path(points, codes)
    axes.add_patch(PathPatch(path, facecolor=mark.color, alpha=0.6, linewidth=0, zorder=order, clip_on=False))


def draw_words(axes: Axes, mark: Words, order: int) -> None:
    """Write words; no character is markup."""
    axes.text(
        mark.x,
        mark.y,
        drawable(mark.text, mark.style),
        fontproperties=FontProperties(fname=str(font_folder() / f"{FONTS[mark.style]}.ttf"), size=mark.size),
        color=mark.color,
        horizontalalignment=mark.across,
        verticalalignment="baseline",
        parse_math=False,
        zorder=order,
    )


DRAW: dict[type[Mark], Callable[[Axes, Any, int], None]] = {
    Box: draw_box,
    Line: draw_line,
    Ribbon: draw_ribbon,
    Words: draw_words,
}
