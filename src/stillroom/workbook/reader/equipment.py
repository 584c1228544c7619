"""Reading the hours by weekday and the equipment."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence

from stillroom.household.amounts import shown
from stillroom.household.loads import known_kind
from stillroom.household.names import Names, key, tidy_text, unknown
from stillroom.household.records import DAY_HOURS, STOVE_FREE, WEEKDAYS, Equipment, Hours, Load
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.entry import Entry
from stillroom.workbook.reader.finding import Rows


def read_hours(rows: Rows, reading: Reading, first_cell: str) -> tuple[Hours, ...]:
    """
    Read the hours by weekday: of hands, of the stove while it is free, of the oven or a piece of equipment.

    Rows `hands: Ann`, `hands: Ben` are people of their own on the clock; for the plan they add up to hands. Hands or
    stove without a row have no limit, which is said at the table's first heading, or at `first_cell`.
    """
    equipment = reading.names["Equipment"]
    places = Names("thing with hours", ["hands", STOVE_FREE, "oven"])
    found: dict[str, Hours] = {}
    seen: set[str] = set()
    for row in rows.rows:
        entry = Entry(reading, row)
        typed = entry.text("what")
        days = [entry.number(day.lower()) for day in WEEKDAYS]
        week = entry.number("each_later_week")
        if typed is None:
            continue
        if key(typed) == "stove":
            seen.add(STOVE_FREE)
            what = "*Hours* takes the hours the stove is free, not burner-hours"
            entry.wrong("what", what, f"rename the row to {STOVE_FREE} and type hours", "unknown name")
            continue
        seen.add(places.find(typed) or typed)
        name = places.find(typed) or equipment.find(typed) or person_typed(typed)
        if name is None:
            what, fix = unknown(
                typed, places, equipment, words="hands, stove free, oven or piece of equipment", table="Equipment"
            )
            entry.wrong("what", what, fix, "unknown name")
        elif name in found:
            entry.wrong("what", f"*{name}* stands twice in *Hours*", "keep one of the rows", "same name twice")
        elif all(hours is not None for hours in days):
            figures = tuple(hours for hours in days if hours is not None)
            found[name] = Hours(name, figures, sum(figures) if week is None else week, row.where("what"))
            if name == STOVE_FREE:
                refuse_free_too_long(entry, figures, week)
    add_up_people(found, rows, reading)
    for name in ("hands", STOVE_FREE):
        if name not in seen and name not in found:
            what = f"*Hours* has no row for *{name}*, so its hours have no limit"
            reading.say(rows.heading_cell or first_cell, what, f"add a row for {name}", "hours unlimited")
    return tuple(found.values())


def refuse_free_too_long(entry: Entry, figures: Sequence[float], week: float | None) -> None:
    """Refuse a stove that is free for more hours than a day, or a week, has: they may be burner-hours."""
    cells = [*zip(WEEKDAYS, figures, [DAY_HOURS] * 7, strict=True), ("Each later week", week or 0.0, 7 * DAY_HOURS)]
    for heading, hours, most in cells:
        if hours > most:
            what = f"*{STOVE_FREE}* has {shown(hours)} h in *{heading}*"
            fix = f"type the hours the stove is free, at most {shown(most)}, not burner-hours"
            entry.wrong(heading.lower().replace(" ", "_"), what, fix, "out of range")


def person_typed(typed: str) -> str | None:
    """
    Give the name of a row for one person's hands, None for anything else.

    >>> person_typed("Hands:  Ann"), person_typed("hands Ben"), person_typed("handsome")
    ('hands: Ann', 'hands: Ben', None)
    """
    found = re.fullmatch(r"hands\s*[:\s]\s*(\S.*)", typed.strip(), re.IGNORECASE)
    return f"hands: {tidy_text(found[1])}" if found else None


def add_up_people(found: dict[str, Hours], rows: Rows, reading: Reading) -> None:
    """Add the sum of the rows by person as the row for hands; both together would count somebody twice."""
    people = [row for name, row in found.items() if name.startswith("hands: ")]
    if not people:
        return
    if "hands" in found:
        what = "*Hours* has a row for *hands* and others for the hands of single people"
        reading.say(found["hands"].where or rows.heading_cell, what, "keep the one or the others", "same name twice")
        return
    sums = tuple(sum(row.by_weekday[day] for row in people) for day in range(len(WEEKDAYS)))
    found["hands"] = Hours("hands", sums, sum(row.each_later_week for row in people), people[0].where)


def read_equipment(rows: Rows, reading: Reading) -> tuple[Equipment, ...]:
    """Read the equipment: one row a unit of its load, the rest from whichever of its rows says it."""
    pieces: dict[str, list[Entry]] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = entry.text("name")
        if name is None:
            _piece("", [entry])  # nobody's, and read for what is wrong with it
        else:
            pieces.setdefault(reading.names["Equipment"].find(name) or name, []).append(entry)
    return tuple(_piece(name, entries) for name, entries in pieces.items())


_PIECE_FIELDS = ("kind", "how_many", "burners", "heat_up_minutes", "cool_down_minutes", "runs_overnight", "free_from")


def _piece(name: str, entries: list[Entry]) -> Equipment:
    """Put the rows of one piece of equipment together."""
    first = entries[0]
    kind = known_kind(str(_agreed(name, entries, "kind") or ""))
    if not kind:
        first.cell("kind")
    loads = []
    for entry in entries:
        number, unit = entry.number("load"), entry.text("load_unit")
        if number is None or unit is None:
            first.reading.unsure_equipment.add(name)
        else:
            loads.append(Load(number, unit, entry.where("load")))
    said = {field: _agreed(name, entries, field) for field in _PIECE_FIELDS[1:]}
    usual = _USUAL.get(kind, (0.0, 0.0, 0.0, False))
    free_from = said["free_from"]
    return Equipment(
        name=name,
        kind=kind,
        how_many=int(_number(said["how_many"], 1)),
        loads=tuple(loads),
        burners=_number(said["burners"], usual[0]),
        heat_up_hours=_number(said["heat_up_minutes"], usual[1]) / 60,
        cool_down_hours=_number(said["cool_down_minutes"], usual[2]) / 60,
        runs_overnight=usual[3] if said["runs_overnight"] is None else bool(said["runs_overnight"]),
        free_from=free_from if isinstance(free_from, datetime.date) else None,
        where=first.where("name"),
    )


_USUAL: dict[str, tuple[float, float, float, bool]] = {
    "boiling-water canner": (1.0, 30.0, 0.0, False),
    "pressure canner": (1.0, 20.0, 60.0, False),
    "kettle": (1.0, 0.0, 0.0, False),
    "dryer": (0.0, 0.0, 0.0, True),
    "crock": (0.0, 0.0, 0.0, True),
}
"""Burners, minutes to heat up and cool down, runs overnight, where nothing is typed (common practice, no source)."""


def _number(value: object, otherwise: float) -> float:
    """Give a number, or what stands in for a blank one."""
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else otherwise


def _agreed(name: str, entries: list[Entry], field: str) -> object:
    """Give what the rows of one piece say of a field; different answers are a problem."""
    answer: object = None
    for entry in entries:
        cell = entry.row.cells.get(field)
        if cell is None or (cell.kind == "blank" and cell.calculated):
            continue
        value = _value(entry, field)
        if value is None:
            continue
        if answer is not None and value != answer:
            heading = entry.row.columns[field].heading
            entry.wrong(field, f"*{heading}* of *{name}* differs from its row above", "say it once", "conflicting rows")
        answer = value if answer is None else answer
    return answer


def _value(entry: Entry, field: str) -> object:
    """Read one field of a piece of equipment by its kind."""
    if field == "kind":
        return entry.text(field)
    if field == "how_many":
        return entry.whole(field)
    if field == "runs_overnight":
        return entry.yes_no(field)
    return entry.date(field) if field == "free_from" else entry.number(field)
