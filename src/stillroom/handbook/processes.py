"""The published processes and waits: minutes and pounds by food, pack, jar, altitude and gauge, venting and cooling."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from stillroom.handbook.tables import Row, table

BOILING_WATER = "boiling-water canned"
PRESSURE = "pressure canned"
CANNED = (BOILING_WATER, PRESSURE)
TABLE_TOP_FT = 10_000
DIAL_TOP_FT = 8_000
MOST_LB = 15.0
"""The highest gauge pressure for a home canner, in lb per square inch (Michigan State Univ. Extension, 10/1997)."""


@dataclass(frozen=True)
class Process:
    """
    One row of a process table: minutes at an altitude band, and for pressure the gauge and its pounds.

    `option` is A, B or C where the publication gives several pairs of time and pressure; they are not jar sizes.
    """

    key: str
    product: str
    method: str
    pack: str
    jar: str
    altitude_min_ft: int
    altitude_max_ft: int
    minutes: float
    source: str
    status: str
    note: str = ""
    option: str = ""
    gauge: str = ""
    pressure_lb: float | None = None
    data_note: str = ""

    @property
    def text(self) -> str:
        """
        Return the process as text.

        >>> next(row.text for row in all_processes() if row.key == "green beans, raw pack, pint")
        '20 min at 11 lb, dial'
        """
        return format_process(self.minutes, self.pressure_lb, self.gauge)


def format_process(minutes: float, pressure_lb: float | None, gauge: str) -> str:
    """
    Return minutes, with the pounds of pressure and the gauge for a pressure canner.

    >>> format_process(40, None, ""), format_process(25, 11, "dial")
    ('40 min', '25 min at 11 lb, dial')
    """
    time = f"{minutes:g} min"
    return time if pressure_lb is None else f"{time} at {pressure_lb:g} lb, {gauge}"


@lru_cache(maxsize=1)
def all_processes() -> tuple[Process, ...]:
    """Return every row of both process tables."""
    boiling = [
        Process(
            row["key"], row["product"], BOILING_WATER, row["pack"], row["jar"], int(row["altitude_min_ft"]),
            int(row["altitude_max_ft"]), float(row["minutes"]), row["source"], row["status"], row["note"],
            data_note=row["data_note"],
        )
        for row in table("process_boiling_water")
    ]  # fmt: skip
    pressure = [
        Process(
            row["key"], row["product"], PRESSURE, row["pack"], row["jar"], int(row["altitude_min_ft"]),
            int(row["altitude_max_ft"]), float(row["minutes"]), row["source"], row["status"], row["note"],
            row["option"], row["gauge"], float(row["pressure_lb"]), row["data_note"],
        )
        for row in table("process_pressure")
    ]  # fmt: skip
    return (*boiling, *pressure)


@lru_cache(maxsize=1)
def by_line() -> Mapping[str, tuple[Process, ...]]:
    """Return every process, by the key of its line."""
    found: dict[str, list[Process]] = defaultdict(list)
    for process in all_processes():
        found[process.key].append(process)
    return {key: tuple(rows) for key, rows in found.items()}


@lru_cache(maxsize=1)
def by_product() -> Mapping[tuple[str, str], tuple[Process, ...]]:
    """Return every process, by product and method."""
    found: dict[tuple[str, str], list[Process]] = defaultdict(list)
    for process in all_processes():
        found[process.product, process.method].append(process)
    return {key: tuple(rows) for key, rows in found.items()}


def ladders(rows: Iterable[Process]) -> tuple[tuple[Process, ...], ...]:
    """Return rows grouped by line, option and gauge, their altitude bands from the lowest up."""
    found: dict[tuple[str, str, str], list[Process]] = defaultdict(list)
    for row in rows:
        found[row.key, row.option, row.gauge].append(row)
    return tuple(tuple(sorted(rungs, key=lambda row: row.altitude_min_ft)) for rungs in found.values())


def at_altitude(rows: Iterable[Process], altitude_ft: float, gauge: str | None = None) -> tuple[Process, ...]:
    """
    Return the row of each group for this altitude, and for this gauge among pressure rows.

    The upper end belongs to its band, anything above it to the next band. Below sea level is the first band. Above the
    last band there is no row.
    """
    found = []
    for rungs in ladders(row for row in rows if row.method == BOILING_WATER or row.gauge == gauge):
        fitting = next((row for row in rungs if altitude_ft <= row.altitude_max_ft), None)
        if fitting is not None and (fitting.pressure_lb or 0.0) <= MOST_LB:
            found.append(fitting)
    return tuple(found)


def least_stove_time(rows: Iterable[Process]) -> Process | None:
    """
    Return the option with the fewest minutes; of equal ones the verified one, then the lower pressure.

    Heat-up and venting take the same time for every option, so the fewest minutes take the least stove time.
    """
    order = ("verified", "derived", "memory")
    return min(rows, key=lambda row: (row.minutes, order.index(row.status), row.pressure_lb or 0.0), default=None)


VENT = "pressure vent"
RISE = "pressure rise after vent"
AFTER_WEIGHT = "wait after weight removed"
BOILING_REST = "boiling water rest before lifting"


@dataclass(frozen=True)
class Waits:
    """Minutes of a load that the equipment does not decide; all 0 for what is not canned."""

    vent_minutes: float = 0.0
    rise_minutes: float = 0.0
    rest_minutes: float = 0.0


def waits_of(method: str) -> Waits:
    """
    Return the published waits of a method; of a range, the longer figure. Source: the table of facts.

    >>> waits_of("pressure canned")
    Waits(vent_minutes=10.0, rise_minutes=5.0, rest_minutes=10.0)
    >>> waits_of("boiling-water canned").rest_minutes, waits_of("frozen") == Waits()
    (5.0, True)
    """
    if method == PRESSURE:
        return Waits(longest(VENT), longest(RISE), longest(AFTER_WEIGHT))
    return Waits(rest_minutes=longest(BOILING_REST)) if method == BOILING_WATER else Waits()


def fact(key: str) -> Row:
    """Return one row of the table of facts. Raises KeyError when there is none."""
    for row in table("facts"):
        if row["key"] == key:
            return row
    raise KeyError(key)


def longest(key: str) -> float:
    """
    Return a figure of the table of facts; of a range, the longer one.

    >>> longest("pressure rise after vent"), longest("pressure vent")
    (5.0, 10.0)
    """
    return float(fact(key)["value"].split("-")[-1])
