"""What the tables say about a food: process rows, keeping and figures, each with source and status, for a reader."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.handbook.foods import kinds_named
from stillroom.handbook.lines import Line, lines
from stillroom.handbook.processes import Process, at_altitude, by_line
from stillroom.handbook.rows import table
from stillroom.handbook.words import plain


@dataclass(frozen=True)
class Shown:
    """One row of the handbook as a reader sees it: the line, what it says, where it was read and how sure it is."""

    key: str
    way: str
    jar: str
    altitude: str
    says: str
    headspace: str
    crop: str
    keeps: str
    source: str
    status: str
    note: str = ""


def rows(
    food: str | None = None,
    altitude_ft: float | None = None,
    gauge: str | None = None,
    jar: str | None = None,
    status: str | None = None,
) -> tuple[Shown, ...]:
    """
    Give the rows of the handbook for a food, altitude, gauge, jar and status; anything left out is not asked.

    An altitude picks one row of each ladder; above the tables there is none. A food that matches nothing is looked for
    in the keys.

    >>> found = rows("plum tomatoes", 2300, jar="quart")
    >>> [row.says for row in found if row.key == "tomato juice, hot pack, quart"]
    ['45 min']
    """
    return tuple(
        shown
        for line in lines().values()
        if _fits(line, food, jar)
        for shown in _of_line(line, altitude_ft, gauge)
        if status is None or shown.status == status
    )


def _fits(line: Line, food: str | None, jar: str | None) -> bool:
    if jar is not None and plain(line.jar) != plain(jar):
        return False
    if food is None:
        return True
    wanted = kinds_named(food)
    return bool(wanted & line.foods) if wanted else plain(food) in plain(line.key)


def _of_line(line: Line, altitude_ft: float | None, gauge: str | None) -> Iterator[Shown]:
    if not line.canned:
        yield Shown(
            line.key, line.way, "", "", _says(line), "", _crop(line), _keeps(line), line.source, line.status, line.note
        )
        return
    found = [row for row in by_line()[line.key] if gauge is None or not row.gauge or row.gauge == gauge]
    if altitude_ft is not None:
        found = [row for one in ("dial", "weighted") for row in at_altitude(found, altitude_ft, one)]
        found = list(dict.fromkeys(found))
    for row in found:
        note = "; ".join(text for text in (row.note, line.note) if text)
        yield Shown(
            line.key,
            line.way,
            line.jar,
            _band(row),
            row.text,
            _headspace(line),
            _crop(line),
            _keeps(line),
            row.source,
            row.status,
            note,
        )


def _band(row: Process) -> str:
    return f"{row.altitude_min_ft:,} to {row.altitude_max_ft:,} ft"


def _says(line: Line) -> str:
    """Say what a line that is not canned asks for."""
    said = []
    if line.hours_low is not None:
        said.append(f"{line.hours_low:g} to {line.hours_high:g} h at 140 F")
    if line.weeks_low is not None:
        said.append(f"{line.weeks_low:g} to {line.weeks_high:g} weeks")
    if line.state:
        said.append(line.state)
    return "; ".join(said)


def _crop(line: Line) -> str:
    return "" if line.crop_lb_each is None else f"{line.crop_lb_each:.3g} lb a {line.container}"


def _keeps(line: Line) -> str:
    if line.keeps_months is None:
        return ""
    most = line.keeps_months_most or line.keeps_months
    return f"{line.keeps_months:g} months" if most == line.keeps_months else f"{line.keeps_months:g} to {most:g} months"


def _headspace(line: Line) -> str:
    found = [row["headspace_in"] for row in table("headspace") if row["product"] == line.product]
    return f"{float(found[0]):g} in" if found else ""
