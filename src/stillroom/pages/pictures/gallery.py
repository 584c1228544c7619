"""All pictures of one workbook, and their files in a folder: PNG for anything, SVG for pages and printing."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from stillroom.errors import CouldNotWrite
from stillroom.pages.day_way import Clock
from stillroom.pages.pictures.coverage import coverage_picture
from stillroom.pages.pictures.day import day_picture
from stillroom.pages.pictures.flow import flow_picture
from stillroom.pages.pictures.freezer import freezer_picture
from stillroom.pages.pictures.html import pictures_html
from stillroom.pages.pictures.jars import jars_picture
from stillroom.pages.pictures.picture import Picture
from stillroom.pages.pictures.render import png_bytes, svg_bytes
from stillroom.pages.pictures.season import season_picture
from stillroom.pages.pictures.shown import Shown, shown_of
from stillroom.pages.why_not import why_not

WHOLE: tuple[Callable[[Shown], Picture], ...] = (
    coverage_picture,
    freezer_picture,
    jars_picture,
    flow_picture,
    season_picture,
)
PAGE = "pictures.html"
FORMATS: dict[str, Callable[[Picture], bytes]] = {"png": png_bytes, "svg": svg_bytes}


def pictures_of(shown: Shown) -> list[Picture]:
    """Every picture of a workbook: the whole plan, then each day planned singly."""
    days = [period.first_day for period in shown.periods if period.single]
    return [*(draw(shown) for draw in WHOLE), *day_pictures(shown, len(days))]


def day_pictures(shown: Shown, most: int) -> list[Picture]:
    """The first days planned singly on the clock, at most so many."""
    days = [period.first_day for period in shown.periods if period.single]
    return [day_picture(shown, day, number) for number, day in enumerate(days[:most], start=1)]


def files_of(shown: Shown, formats: Sequence[str] = ("png", "svg")) -> Iterator[tuple[str, bytes, str]]:
    """Every picture in every format: the name of its file, what is in it, and its title with its text alternative."""
    for picture in pictures_of(shown):
        for ending in formats:
            yield f"{picture.name}.{ending}", FORMATS[ending](picture), picture.spoken


def write_pictures(clock: Clock, folder: Path, formats: Sequence[str] = ("png", "svg")) -> list[tuple[Path, str]]:
    """
    Write every picture of a workbook that holds a plan into a folder, over those of a former plan.

    Gives each file with its text alternative. A picture with nothing to draw says so. Raises CouldNotWrite.
    """
    return write_files(shown_of(clock), folder, formats)


def write_page(clock: Clock, folder: Path, title: str) -> Path:
    """Write all pictures as one page of HTML, `pictures.html`, into a folder that is there. Raises OSError."""
    put(folder / PAGE, pictures_html(title, pictures_of(shown_of(clock))).encode())
    return folder / PAGE


def write_files(shown: Shown, folder: Path, formats: Sequence[str] = ("png", "svg")) -> list[tuple[Path, str]]:
    """Write every picture into a folder; gives each file with its text alternative. Raises CouldNotWrite."""
    found = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content, alternative in files_of(shown, formats):
            put(folder / name, content)
            found.append((folder / name, alternative))
    except OSError as error:
        msg = f"{folder} cannot be written to: {why_not(error)}"
        raise CouldNotWrite(msg) from error
    return found


def put(path: Path, content: bytes) -> None:
    """Write a file beside its place and move it there in one step, so that it is never half written."""
    beside = path.with_name(f".{path.name}.new")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
