"""What the tables say about a food: process rows, keeping and figures, each with source and status, for a reader."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stillroom.handbook.foods import kinds_named
from stillroom.handbook.jars import JARS
from stillroom.handbook.lines import Line, lines
from stillroom.handbook.names import plain, tokens
from stillroom.handbook.processes import Process, at_altitude, by_line
from stillroom.handbook.tables import TABLES, Row, table


@dataclass(frozen=True)
class Shown:
    """One row of the handbook as a reader sees it: the line, what it says, where it was read and how sure it is."""

    key: str
    method: str
    jar: str
    altitude: str
    says: str
    headspace: str
    crop: str
    keeps: str
    source: str
    status: str
    note: str = ""
    minutes: float | None = None
    pressure_lb: float | None = None
    gauge: str = ""
    option: str = ""
    altitude_min_ft: int | None = None
    altitude_max_ft: int | None = None


@dataclass(frozen=True)
class Elsewhere:
    """A row of a table that is no process and no line: acid, recipe, weight, fact; for who asks how sure things are."""

    table: str
    key: str
    source: str
    status: str
    note: str


JAR_WORDS = {"litre": "quart", "liter": "quart", "l": "quart", "qt": "quart", "pt": "pint", "cup": "half-pint"}
"""Other words for a jar of the tables; a litre counts as a quart."""

LINE_TABLES = ("process_boiling_water", "process_pressure", "kept", "products", "practice")


def jar_named(text: str) -> str | None:
    """
    Give the jar of the tables that is meant, or None.

    >>> jar_named("Quarts"), jar_named("litre"), jar_named("half pint"), jar_named("bucket")
    ('quart', 'quart', 'half-pint', None)
    """
    words = " ".join(tokens(text))
    words = JAR_WORDS.get(words, words)
    return next((jar for jar in JARS if " ".join(tokens(jar)) == words), None)


def elsewhere(food: str | None = None, status: str | None = None) -> tuple[Elsewhere, ...]:
    """
    Give the rows with this status in every table that `rows` does not show, for a food or for all.

    >>> {row.table for row in elsewhere("tomato", "memory")} >= {"acid"}
    True
    """
    return tuple(
        Elsewhere(name, row["key"], row["source"], row["status"], row["note"])
        for name in TABLES
        if name not in LINE_TABLES
        for row in table(name)
        if (status is None or row["status"] == status) and (food is None or _speaks_of(row["key"], food))
    )


def practice(food: str | None = None) -> tuple[Row, ...]:
    """Give the habits of the trade that touch a food, or all: common practice, no source."""
    return tuple(row for row in table("practice") if food is None or _of_product(row["product"], food))


def _of_product(product: str, food: str) -> bool:
    return any(line.product == product and _fits(line, food, None) for line in lines().values())


def _speaks_of(text: str, food: str) -> bool:
    wanted = kinds_named(food)
    return bool(wanted & kinds_named(text)) if wanted else plain(food) in plain(text)


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
            line.key,
            line.method,
            "",
            "",
            _says(line),
            "",
            _crop(line),
            _keeps(line),
            line.source,
            line.status,
            line.note,
        )
        return
    found = [row for row in by_line()[line.key] if gauge is None or not row.gauge or row.gauge == gauge]
    if altitude_ft is not None:
        found = [row for one in ("dial", "weighted") for row in at_altitude(found, altitude_ft, one)]
        found = list(dict.fromkeys(found))
    for row in found:
        note = "; ".join(dict.fromkeys(text for text in (row.note, line.note) if text))
        yield Shown(
            line.key,
            line.method,
            line.jar,
            _band(row),
            row.text,
            _headspace(line),
            _crop(line),
            _keeps(line),
            row.source,
            row.status,
            note,
            row.minutes,
            row.pressure_lb,
            row.gauge,
            row.option,
            row.altitude_min_ft,
            row.altitude_max_ft,
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
    if "conditioning" in line.until:
        said.append(line.until.split(", ")[-1])
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
