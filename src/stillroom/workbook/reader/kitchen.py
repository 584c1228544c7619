"""Reading the kitchen's settings."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from stillroom.household.amounts import shown
from stillroom.household.names import Names, key, tidy_text, unknown
from stillroom.household.records import NO_LIMIT, Kitchen
from stillroom.household.units import CUBIC_FOOT_LITRES, POUND_KG, MeasureWrong, find_unit, in_base, unit_of
from stillroom.workbook.inputs import Column, tables
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.entry import Entry
from stillroom.workbook.reader.finding import Row, Rows
from stillroom.workbook.values import Cell

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
            what, fix = unknown(typed, names, table="")
            cure = fix if fix.startswith("did") else "correct it, or keep it outside the table"
            reading.say(row.where("setting"), what, cure, "unknown setting")
            continue
        setting = next(one for one in settings if one.heading == name)
        if setting.field in found:
            what = f"the setting *{name}* stands twice"
            reading.say(row.where("setting"), what, "keep one of the rows", "same setting twice")
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
        unit = amount.unit or entry.unit("unit")
        if unit is None:
            if entry.row.cells.get("unit") is not None and not entry.sound:
                return None
            if setting.kind == "length" and self.reading.metric:
                entry.wrong("unit", f"the unit of *{setting.heading}* is blank", "write ft or m", "blank required")
                return None
            unit = unit_of("kg" if setting.kind == "weight" and self.reading.metric else setting.unit)
        try:
            number = in_base(amount.number, unit, MEASURED[setting.kind], setting.unit)
        except MeasureWrong as wrong:
            where = field if amount.unit is not None else "unit"
            entry.wrong(where, f"for *{setting.heading}*, {wrong.what}", wrong.fix, wrong.kind)
            return None
        return self._in_range(entry, field, number)

    @staticmethod
    def _in_range(entry: Entry, field: str, number: float) -> float | None:
        """Refuse what lies outside the range, negative amounts among them."""
        setting = entry.row.columns[field]
        if setting.least is not None:
            return entry.in_range(field, number, setting.unit)
        if 0 <= number <= 1e8:
            return number
        entry.wrong(
            field, f"*{setting.heading}* is {shown(number)} {setting.unit}", "write an amount from 0 up", "out of range"
        )
        return None


def read_kitchen(rows: Rows, reading: Reading, today: datetime.date) -> Kitchen:
    """Read the settings; the first day, and where a blank *plan for* stands, become known to everything read after."""
    if rows.heading_cell and not rows.rows:
        fix = "fill in at least the altitude"
        reading.say(rows.heading_cell, "the table *Kitchen* is empty", fix, "blank required")
    settings = Settings(rows, reading)
    first_day = settings["first_day"].date("first_day")
    reading.first_day = first_day or today
    days, weeks = _days_and_weeks(settings)
    size = settings.measure("freezer_size_litres")
    freeze = NO_LIMIT if size is None else size * FREEZE_KG_PER_LITRE
    altitude = settings["altitude_ft"]
    if settings["plan_for"].text("plan_for") is None:
        reading.plan_for_blank = settings["plan_for"].where("plan_for")
    return Kitchen(
        first_day=reading.first_day,
        first_day_typed=first_day is not None,
        altitude_ft=settings.measure("altitude_ft"),
        days_planned_singly=days,
        weeks_after_that=weeks,
        people=settings["people"].number("people"),
        burners=settings.number("burners", 4.0),
        fill_needs_evenly=settings["fill_needs_evenly"].yes_no("fill_needs_evenly") is not False,
        plan_for=settings["plan_for"].choice("plan_for") or "likely harvest",
        spending_limit=settings.number("spending_limit", NO_LIMIT),
        freezer_free_litres=settings.measured("freezer_free_litres", NO_LIMIT),
        freezer_size_litres=size,
        freeze_kg_a_day=settings.measured("freeze_kg_a_day", freeze),
        refrigerator_free_litres=settings.measured("refrigerator_free_litres", NO_LIMIT),
        shelf_free_litres=settings.measured("shelf_free_litres", NO_LIMIT),
        cellar_free_litres=settings.measured("cellar_free_litres", NO_LIMIT),
        setup_hours_a_kind=settings.measured("setup_hours_a_kind", 0.25),
        day_starts_at=settings["day_starts_at"].time("day_starts_at") or datetime.time(8, 0),
        gauge=settings["gauge"].choice("gauge"),
        use_learned_yields=settings["use_learned_yields"].yes_no("use_learned_yields") is not False,
        weight_unit="kg" if reading.metric else "lb",
        altitude_unit="m" if reading.metric and _unit_typed(altitude.row, "altitude_ft") != "ft" else "ft",
        where=altitude.where("altitude_ft"),
        gauge_where=settings["gauge"].where("gauge"),
    )


def _days_and_weeks(settings: Settings) -> tuple[int, int]:
    """Give the days planned singly and the weeks after that, which may not both be 0."""
    days = settings["days_planned_singly"].whole("days_planned_singly")
    weeks = settings["weeks_after_that"].whole("weeks_after_that")
    if days == 0 and weeks == 0:
        where = settings["days_planned_singly"].where("days_planned_singly")
        what = "*days planned singly* and *weeks after that* are both 0, so there is nothing to plan"
        settings.reading.say(where, what, "write at least one day or one week", "no periods")
    return 7 if days is None else days, 8 if weeks is None else weeks
