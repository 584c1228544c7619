"""Build a new workbook: the starting workbooks, and any other that holds the same tables."""

from __future__ import annotations

import io
from pathlib import Path

from openpyxl.workbook import Workbook

from stillroom.workbook.starting import look
from stillroom.workbook.starting.bands import add_bands
from stillroom.workbook.starting.checks import add_checks
from stillroom.workbook.starting.choices import add_choices
from stillroom.workbook.starting.contents import Contents
from stillroom.workbook.starting.day_strip import add_day_strip
from stillroom.workbook.starting.finish import finish
from stillroom.workbook.starting.frame import frame_sheets
from stillroom.workbook.starting.front import add_cautions, add_start
from stillroom.workbook.starting.pictures import add_pictures
from stillroom.workbook.starting.place import SavedValues, write_table
from stillroom.workbook.starting.published import add_published
from stillroom.workbook.starting.season_pictures import add_season_pictures
from stillroom.workbook.starting.sheets import SHEETS, places


def start(
    path: Path,
    *,
    metric: bool = False,
    people: float | None = None,
    altitude: str | None = None,
    gauge: str | None = None,
) -> None:
    """
    Write a starting workbook, filled with the handbook's crops and preserves.

    `people` sets the people of the winter list, `altitude` is a height with its unit ("1450 ft", "440 m"); without it
    the cell stays blank, and red, until it is typed. A metric workbook weighs in kg and fills litre jars. With a
    `gauge` (dial or weighted) what most households pressure can stands at yes.

    Raises `CommandWrong` for an altitude or a gauge that is none, `CouldNotWrite` when the file cannot be written.
    """
    from stillroom.workbook.starting.first_rows import starting_contents

    save(path, build(starting_contents(metric=metric, people=people, altitude=altitude, gauge=gauge), a4=metric))


def build(contents: Contents, *, a4: bool = False) -> bytes:
    """
    Build the file of a workbook with all input and output tables; the same contents give the same bytes.

    Sheets stand in this order: Start, Kitchen, Harvest, On hand, Preserves, Winter needs, Plan, Days, Coverage,
    Shopping, Record, Season, Cautions.
    """
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    for name in ("Start", *SHEETS, "Cautions"):
        workbook.create_sheet(name)
    look.add_styles(workbook)
    saved: SavedValues = {}
    found = dict(places(contents))
    for name, place in found.items():
        write_table(workbook, place, contents.rows.get(name, ()), saved)
    add_choices(workbook, found)
    add_published(workbook["Preserves"], found["Ingredients"], found["Preserves"], contents)
    add_checks(workbook, found)
    add_bands(workbook, found)
    add_start(workbook, contents, saved)
    add_cautions(workbook, contents)
    add_pictures(
        workbook["Coverage"], found, len(contents.rows.get("Needs", ())), contents.periods, contents.volume_unit
    )
    add_season_pictures(workbook["Season"], found)
    add_day_strip(workbook["Days"], found["Timetable"])
    frame_sheets(workbook, found, contents, a4=a4)
    return finished(workbook, contents.title, saved)


def finished(workbook: Workbook, title: str, saved: SavedValues) -> bytes:
    """The bytes of a built workbook, with saved values and fixed dates."""
    raw = io.BytesIO()
    workbook.save(raw)
    return finish(raw.getvalue(), title, workbook.sheetnames, saved)


def save(path: Path, content: bytes) -> None:
    """Write a new file; one that is there already is never written over."""
    from stillroom.errors import CouldNotWrite

    if path.exists():
        msg = f"{path} is there already; choose another name or move it away first"
        raise CouldNotWrite(msg)
    try:
        path.write_bytes(content)
    except OSError as error:
        msg = f"{path} could not be written ({error.strerror}); nothing was changed"
        raise CouldNotWrite(msg) from error
