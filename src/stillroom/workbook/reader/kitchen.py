"""Reading the kitchen's settings."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from stillroom.household.amounts import refuse_two_altitudes
from stillroom.household.checks import known_kind
from stillroom.household.names import Names, key, suggestion, tidy_text
from stillroom.household.plan import EFFORT_PRICES
from stillroom.household.records import (
    DAY_HOURS,
    DAY_STARTS,
    NO_LIMIT,
    STOVE_FREE,
    WEEKDAYS,
    Effort,
    Equipment,
    Hours,
    Kitchen,
    Load,
)
from stillroom.household.text import format_number, style_of, use_style
from stillroom.household.units import CUBIC_FOOT_LITRES, POUND_KG, MeasureWrong, find_unit, in_base, unit_of
from stillroom.workbook.ooxml.values import Cell
from stillroom.workbook.reader.cells import Entry
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.tables import Row, Rows
from stillroom.workbook.schema import FORMER_SETTINGS, Column, tables

METRIC_UNIT = {"weight": "kg", "volume": "L"}
"""The unit of a setting without a typed unit, in a metric workbook."""
MEASURED = {"length": "length", "volume": "volume", "weight": "weight", "minutes": "time"}
FREEZE_KG_PER_LITRE = 2 * POUND_KG / CUBIC_FOOT_LITRES
"""Two pounds to a cubic foot a day, the safe figure of the freezer guidance (2-3 lb within 24 h)."""


def is_metric(found: Mapping[str, Rows]) -> bool:
    """Whether a workbook is metric: its altitude is in metres, or most of its crops are weighed in kg or g."""
    for row in found["Kitchen"].rows:
        if key(_raw(row, "setting")) == "altitude" and _unit_typed(row, "value") == "m":
            return True
    units = [unit for row in found["Crops"].rows if (unit := find_unit(_raw(row, "unit"))) is not None]
    return 2 * sum(unit.name in ("kg", "g") for unit in units) > len(units)


def _unit_typed(row: Row, field: str) -> str:
    """Give the own name of the unit typed beside a number, in its cell or in the unit's; blank when there is none."""
    unit = find_unit(_raw(row, field).lstrip("0123456789.,- ")) or find_unit(_raw(row, "unit"))
    return "" if unit is None else unit.name


def _raw(row: Row, field: str) -> str:
    """Give a cell's text without noting any problem."""
    cell = row.cells.get(field)
    return "" if cell is None or cell.value is None else tidy_text(str(cell.value))


def setting_entries(rows: Rows, reading: Reading) -> dict[str, Entry]:
    """Give each setting's row by its field, with value and unit as its columns; unknown ones are problems."""
    settings = tables()["Kitchen"].settings
    names = Names("setting", [setting.heading for setting in settings])
    unit = tables()["Kitchen"].column("unit")
    found: dict[str, Entry] = {}
    for row in rows.rows:
        typed = Entry(reading, row).text("setting")
        if typed is None:
            continue
        name = names.find(typed.replace("_", " "))
        if name is None:
            near = FORMER_SETTINGS.get(key(typed)) or suggestion(typed, names)
            reading.note(row.where("setting"), "unknown setting", typed, suggestion=near)
            continue
        setting = next(one for one in settings if one.heading == name)
        if setting.field in found:
            reading.note(row.where("setting"), "same setting twice", name)
            continue
        found[setting.field] = Entry(reading, _as_columns(row, setting, unit))
    return found


def _as_columns(row: Row, setting: Column, unit: Column) -> Row:
    """Make a row whose columns are the setting itself and its unit."""
    cells: dict[str, Cell] = {}
    if "value" in row.cells:
        cells[setting.field] = row.cells["value"]
    if "unit" in row.cells:
        cells["unit"] = row.cells["unit"]
    return Row(row.sheet, row.heading_cell, cells, {setting.field: setting, "unit": unit})


class Settings:
    """The settings by field; one whose row is missing counts as blank."""

    def __init__(self, rows: Rows, reading: Reading) -> None:
        """Find every setting's row."""
        self.reading = reading
        self.entries = setting_entries(rows, reading)
        for setting in tables()["Kitchen"].settings:
            blank = Row("", rows.heading_cell, {}, {setting.field: setting, "unit": tables()["Kitchen"].column("unit")})
            self.entries.setdefault(setting.field, Entry(reading, blank))

    def __getitem__(self, field: str) -> Entry:
        return self.entries[field]

    def number(self, field: str, otherwise: float) -> float:
        """Give a number, or what stands in for a blank one."""
        found = self[field].number(field)
        return otherwise if found is None else found

    def whole(self, field: str, otherwise: float) -> float:
        """Give a whole number, or what stands in for a blank one."""
        found = self[field].whole(field)
        return otherwise if found is None else found

    def measured(self, field: str, otherwise: float) -> float:
        """Give an amount as `measure` does, or what stands in for a blank one."""
        found = self.measure(field)
        return otherwise if found is None else found

    def measure(self, field: str) -> float | None:
        """Give an amount with its unit in feet, litres, kilograms or hours."""
        entry = self[field]
        setting = entry.row.columns[field]
        amount = entry.amount(field)
        if amount is None:
            default = setting.default
            return None if default is None else float(default) * unit_of(setting.unit).factor
        beside = entry.unit("unit")
        unit = amount.unit or beside
        if setting.kind == "length" and amount.unit is not None:
            if beside is not None and beside != amount.unit:
                entry.wrong(field, "two units", amount.unit.name, beside.name)
                return None
            if self._means_two(entry, field):
                return None
        if unit is None:
            if entry.row.cells.get("unit") is not None and not entry.sound:
                return None
            if setting.kind == "length" and self.reading.metric:
                entry.wrong(field, "unit of length blank", at="unit")
                return None
            unit = unit_of(METRIC_UNIT.get(setting.kind, setting.unit) if self.reading.metric else setting.unit)
        try:
            number = in_base(amount.number, unit, MEASURED[setting.kind], setting.unit)
        except MeasureWrong as wrong:
            at = field if amount.unit is not None else "unit"
            entry.measure_wrong(field, wrong, at=at, example=entry.example(field))
            return None
        return self._in_range(entry, field, number, f"{format_number(amount.number)} {unit.name}")

    @staticmethod
    def _means_two(entry: Entry, field: str) -> bool:
        """Note an altitude that can be read two ways, and return whether it can."""
        try:
            refuse_two_altitudes(str(entry.row.cells[field].value))
        except MeasureWrong as wrong:
            entry.measure_wrong(field, wrong)
            return True
        return False

    @staticmethod
    def _in_range(entry: Entry, field: str, number: float, typed: str) -> float | None:
        """Refuse what lies outside the range, negative amounts among them."""
        setting = entry.row.columns[field]
        if setting.least is not None:
            return entry.in_range(field, number, setting.unit)
        if 0 <= number <= 1e8:
            return number
        entry.wrong(field, "below the least", typed, "0")
        return None


def read_kitchen(rows: Rows, reading: Reading, today: datetime.date) -> Kitchen:
    """Read the settings; the first day, and where a blank *plan for* stands, become known to everything read after."""
    if rows.heading_cell and not rows.rows:
        reading.note(rows.heading_cell, "kitchen empty")
    settings = Settings(rows, reading)
    first_day = settings["first_day"].date("first_day")
    reading.first_day = first_day or today
    reading.currency = settings["currency"].text("currency") or ("" if reading.metric else "$")
    days, weeks = _days_and_weeks(settings)
    size = settings.measure("freezer_size_litres")
    freeze = NO_LIMIT if size is None else size * FREEZE_KG_PER_LITRE
    altitude = settings["altitude_ft"]
    if settings["plan_for"].text("plan_for") is None:
        reading.plan_for_blank = settings["plan_for"].where("plan_for")
    kitchen = Kitchen(
        first_day=reading.first_day,
        first_day_typed=first_day is not None,
        altitude_ft=settings.measure("altitude_ft"),
        days_planned_singly=days,
        weeks_after_that=weeks,
        people=settings["people"].number("people"),
        burners=settings.number("burners", 4.0),
        fill_targets_evenly=settings["fill_targets_evenly"].yes_no("fill_targets_evenly") is not False,
        plan_for=settings["plan_for"].choice("plan_for") or "likely harvest",
        effort=_effort(settings),
        spending_limit=settings.number("spending_limit", NO_LIMIT),
        freezer_free_litres=settings.measured("freezer_free_litres", NO_LIMIT),
        freezer_size_litres=size,
        freeze_kg_a_day=settings.measured("freeze_kg_a_day", freeze),
        refrigerator_free_litres=settings.measured("refrigerator_free_litres", NO_LIMIT),
        shelf_free_litres=settings.measured("shelf_free_litres", NO_LIMIT),
        cellar_free_litres=settings.measured("cellar_free_litres", NO_LIMIT),
        setup_hours_a_kind=settings.measured("setup_hours_a_kind", 0.25),
        day_starts_at=settings["day_starts_at"].time("day_starts_at") or datetime.time(8, 0),
        latest_end=settings["latest_end"].time("latest_end"),
        most_preserves_a_day=settings.whole("most_preserves_a_day", NO_LIMIT),
        kept_free=settings["kept_free"].percent("kept_free") or 0.0,
        gauge=settings["gauge"].choice("gauge"),
        use_learned_yields=settings["use_learned_yields"].yes_no("use_learned_yields") is not False,
        weight_unit="kg" if reading.metric else "lb",
        volume_unit="L" if reading.metric else "cu ft",
        currency=reading.currency,
        altitude_unit="m" if reading.metric and _unit_typed(altitude.row, "altitude_ft") != "ft" else "ft",
        where=altitude.where("altitude_ft"),
        gauge_where=settings["gauge"].where("gauge"),
        latest_end_where=settings["latest_end"].where("latest_end"),
        spending_where=settings["spending_limit"].where("spending_limit"),
    )
    use_style(style_of(kitchen))
    return kitchen


def _effort(settings: Settings) -> Effort:
    """Return how hard the household will work to save crop; normal where the cell is blank or refused."""
    typed = settings["effort"].choice("effort")
    return next((one for one in EFFORT_PRICES if one == typed), "normal")


def _days_and_weeks(settings: Settings) -> tuple[int, int]:
    """Give the days planned in detail and the weeks planned roughly, which may not both be 0."""
    days = settings["days_planned_singly"].whole("days_planned_singly")
    weeks = settings["weeks_after_that"].whole("weeks_after_that")
    if days == 0 and weeks == 0:
        where = settings["days_planned_singly"].where("days_planned_singly")
        settings.reading.note(where, "no periods")
    return 7 if days is None else days, 8 if weeks is None else weeks


# Reading the hours by weekday and the equipment.


def with_day_starts(kitchen: Kitchen, rows: Rows, reading: Reading) -> Kitchen:
    """Read the row with the time at which each weekday starts; a blank cell takes the setting *day starts at*."""
    found = [row for row in rows.rows if is_day_starts(row)]
    if not found:
        return kitchen
    for row in found[1:]:
        Entry(reading, row).wrong("what", "hours row twice", DAY_STARTS)
    entry = Entry(reading, found[0])
    times = [entry.time(day.lower()) if filled(found[0], day.lower()) else None for day in WEEKDAYS]
    return replace(kitchen, starts_by_weekday=tuple(one or kitchen.day_starts_at for one in times))


def is_day_starts(row: Row) -> bool:
    """Return whether a row of Hours holds the starts of the days."""
    cell = row.cells.get("what")
    return cell is not None and cell.kind == "text" and key(str(cell.value)) == key(DAY_STARTS)


def filled(row: Row, field: str) -> bool:
    """Return whether a cell has something in it."""
    cell = row.cells.get(field)
    return cell is not None and cell.kind != "blank" and bool(tidy_text(str(cell.value)))


def read_hours(rows: Rows, reading: Reading, first_cell: str) -> tuple[Hours, ...]:
    """
    Read the hours by weekday: of hands, of the stove while it is free, of the oven or a piece of equipment.

    Rows `hands: person A`, `hands: person B` are people of their own in the timetable; for the plan they add up to
    hands. Hands or stove without a row have no limit, with a note at the table's first heading, or at `first_cell`.
    """
    equipment = reading.names["Equipment"]
    places = Names("thing with hours", ["hands", STOVE_FREE, "oven", DAY_STARTS])
    found: dict[str, Hours] = {}
    seen: set[str] = set()
    for row in (row for row in rows.rows if not is_day_starts(row)):
        entry = Entry(reading, row)
        typed = entry.text("what")
        days = [entry.number(day.lower()) for day in WEEKDAYS]
        week = entry.number("each_later_week")
        if typed is None:
            continue
        if key(typed) == "stove":
            seen.add(STOVE_FREE)
            entry.wrong("what", "stove row", typed, suggestion=STOVE_FREE)
            continue
        seen.add(places.find(typed) or typed)
        name = places.find(typed) or equipment.find(typed) or person_typed(typed)
        if name is None:
            entry.wrong("what", "unknown hours row", typed, suggestion=suggestion(typed, places, equipment))
        elif name in found:
            entry.wrong("what", "hours row twice", name)
        elif all(hours is not None for hours in days):
            figures = tuple(hours for hours in days if hours is not None)
            found[name] = Hours(name, figures, sum(figures) if week is None else week, row.where("what"))
            if name == STOVE_FREE:
                refuse_free_too_long(entry, figures, week)
    add_up_people(found, rows, reading)
    for name in ("hands", STOVE_FREE):
        if name not in seen and name not in found:
            reading.note(rows.heading_cell or first_cell, "hours unlimited", name)
    return tuple(found.values())


def refuse_free_too_long(entry: Entry, figures: Sequence[float], week: float | None) -> None:
    """Refuse a stove that is free for more hours than a day, or a week, has: they may be burner-hours."""
    cells = [*zip(WEEKDAYS, figures, [DAY_HOURS] * 7, strict=True), ("Each later week", week or 0.0, 7 * DAY_HOURS)]
    for heading, hours, most in cells:
        if hours > most:
            entry.wrong(
                heading.lower().replace(" ", "_"), "stove free too long", format_number(hours), format_number(most)
            )


def person_typed(typed: str) -> str | None:
    """
    Give the name of a row for one person's hands, None for anything else.

    >>> person_typed("Hands:  person A"), person_typed("hands person B"), person_typed("handsome")
    ('hands: person A', 'hands: person B', None)
    """
    found = re.fullmatch(r"hands\s*[:\s]\s*(\S.*)", typed.strip(), re.IGNORECASE)
    return f"hands: {tidy_text(found[1])}" if found else None


def add_up_people(found: dict[str, Hours], rows: Rows, reading: Reading) -> None:
    """Add the sum of the rows by person as the row for hands; both together would count somebody twice."""
    people = [row for name, row in found.items() if name.startswith("hands: ")]
    if not people:
        return
    if "hands" in found:
        reading.note(found["hands"].where or rows.heading_cell, "hands counted twice")
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
    loads: list[Load] = []
    for entry in entries:
        number, unit = entry.number("load"), entry.text("load_unit")
        if number is None or unit is None:
            first.reading.unsure_equipment.add(name)
        else:
            if any(key(unit) == key(load.unit) for load in loads):
                entry.note("load_unit", "load unit twice", name, unit)
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
    "pressure canner": (1.0, 15.0, 60.0, False),
    "kettle": (1.0, 0.0, 0.0, False),
    "dryer": (0.0, 0.0, 0.0, True),
    "crock": (0.0, 0.0, 0.0, True),
}
"""
Burners, minutes to heat up and cool down, runs overnight, where nothing is typed.

The minutes of the canners are the longer published ones (table of facts); the rest is common practice, no source.
"""


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
            entry.wrong(field, "conflicting rows", name)
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
