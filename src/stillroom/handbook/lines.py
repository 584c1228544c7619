"""The published processes and waits, and the lines of the handbook that a preserve may be made by."""

from __future__ import annotations

import difflib
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from stillroom.handbook.foods import kept_alike
from stillroom.handbook.tables import Row, listed, number, table
from stillroom.household.names import key as name_key

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


# The lines of the handbook: what *Handbook line* in a workbook refers to.

JAR_SHARE_OF_PINT = {"half-pint": 0.5, "pint": 1.0, "quart": 2.0, "half-gallon": 4.0}


@dataclass(frozen=True)
class Line:
    """
    One published preserve: its method, pack, jar, and what may go in.

    `foods` are the kinds of food of the row (one of them at least, `least_kinds` where it is a mixture), `also` the
    further foods it takes, `required` the extras it must have, `forms` how they may come (whole, sliced), `called` the
    words for a dish that its name may have. `crop_lb_each` is the crop for one jar, or for one
    `container` of what is not canned (a pint, a quart, a pound dried). `thawed`: crop frozen whole may be used. Months
    are the months it keeps at its best, and the most the table allows.
    """

    key: str
    product: str
    method: str
    foods: frozenset[str]
    also: frozenset[str] = frozenset()
    extras: frozenset[str] = frozenset()
    required: frozenset[str] = frozenset()
    forms: frozenset[str] = frozenset()
    called: tuple[str, ...] = ()
    least_kinds: int = 1
    acid: str = ""
    thawed: bool = False
    pack: str = ""
    jar: str = ""
    container: str = ""
    crop_lb_each: float | None = None
    hours_low: float | None = None
    hours_high: float | None = None
    weeks_low: float | None = None
    weeks_high: float | None = None
    keeps_months: float | None = None
    keeps_months_most: float | None = None
    state: str = ""
    source: str = ""
    status: str = "verified"
    note: str = ""
    data_note: str = ""

    @property
    def until(self) -> str:
        """
        Return how dried food looks when it is done, and how long fruit is conditioned; empty for other methods.

        >>> lines()["apples, dried"].until, lines()["onions, dried"].until
        ('until leathery and pliable, then 4 to 10 days of conditioning', 'until brittle or hard')
        """
        if self.method != "dried" or not self.state:
            return ""
        days = next(row["value"] for row in table("facts") if row["key"] == "conditioning dried fruit").split("-")
        after = f", then {days[0]} to {days[1]} days of conditioning" if "leathery" in self.state else ""
        return f"until {self.state.split(';')[0]}{after}"

    @property
    def canned(self) -> bool:
        """Return whether the line is processed in jars."""
        return self.method in CANNED


@lru_cache(maxsize=1)
def lines() -> Mapping[str, Line]:
    """Return every line by its key, canned ones first."""
    products = {(row["product"], row["method"]): row for row in table("products")}
    found: dict[str, Line] = {}
    for key, rows in by_line().items():
        first = rows[0]
        found[key] = _canned(key, products[first.product, first.method], first.pack, first.jar, _least_certain(rows))
    for row in table("kept"):
        found[row["key"]] = _kept(row)
    return found


def _least_certain(rows: tuple[object, ...]) -> str:
    statuses = {str(getattr(row, "status", "")) for row in rows}
    return next(word for word in ("memory", "derived", "verified") if word in statuses)


def _canned(key: str, product: Row, pack: str, jar: str, status: str) -> Line:
    months = number(product["keeps_months"])
    return Line(
        key=key,
        product=product["product"],
        method=product["method"],
        foods=frozenset(listed(product["foods"])),
        also=frozenset(listed(product["also"])),
        extras=frozenset(listed(product["extras"])),
        required=frozenset(listed(product["required"])),
        forms=frozenset(listed(product["forms"])),
        called=listed(product["called"]),
        least_kinds=int(product["least_kinds"]),
        acid=product["acid"],
        thawed=product["thawed"] == "yes",
        pack=pack,
        jar=jar,
        container=jar,
        crop_lb_each=crop_lb(product["product"], jar),
        keeps_months=months,
        keeps_months_most=months,
        source=product["source"],
        status=status,
        note=product["note"],
    )


def _with_alike(foods: tuple[str, ...]) -> frozenset[str]:
    """Return the foods of a line that is not canned, with those that are kept alike."""
    return frozenset(foods).union(*(kept_alike().get(food, frozenset()) for food in foods))


def _kept(row: Row) -> Line:
    low, high = number(row["lb_low"]), number(row["lb_high"])
    return Line(
        key=row["key"],
        product=row["key"],
        method=row["method"],
        foods=_with_alike(listed(row["foods"])),
        also=_with_alike(listed(row["also"])),
        thawed=row["thawed"] == "yes",
        container=row["container"],
        crop_lb_each=None if low is None or high is None else (low + high) / 2,
        hours_low=number(row["hours_low"]),
        hours_high=number(row["hours_high"]),
        weeks_low=number(row["weeks_low"]),
        weeks_high=number(row["weeks_high"]),
        keeps_months=number(row["keeps_months"]),
        keeps_months_most=number(row["keeps_months_most"]),
        state=row["state"],
        source=row["source"],
        status=row["status"],
        note=row["note"],
        data_note=row["data_note"],
    )


@cache
def crop_lb(product: str, jar: str) -> float | None:
    """
    Return the pounds of crop one jar takes, from the weight of a whole load; None where none was published.

    A half-pint is half a pint. A quart without its own figure is two pints, and a pint is half a quart.

    >>> round(crop_lb("tomato juice", "quart") * 7, 6), round(crop_lb("tomato juice", "pint") * 9, 6)
    (23.0, 14.0)
    """
    by_jar = {
        row["jar"]: float(row["lb"]) / float(row["jars"]) for row in table("canned_yield") if row["product"] == product
    }
    if jar in by_jar:
        return by_jar[jar]
    for other in ("pint", "quart"):
        if other in by_jar:
            return by_jar[other] * JAR_SHARE_OF_PINT[jar] / JAR_SHARE_OF_PINT[other]
    return None


def find_line(text: str) -> Line | None:
    """
    Return the line that was typed, whatever its capitals and spaces; None when there is none.

    >>> find_line("Tomato juice, hot pack,  QUART").method
    'boiling-water canned'
    """
    return _by_key().get(name_key(text))


@lru_cache(maxsize=1)
def _by_key() -> Mapping[str, Line]:
    return {name_key(key): line for key, line in lines().items()}


def nearest_line(text: str) -> str | None:
    """
    Return the closest line to what was typed; None when none is close.

    >>> nearest_line("tomato juice hot quart")
    'tomato juice, hot pack, quart'
    """
    near = difflib.get_close_matches(name_key(text), list(_by_key()), n=1, cutoff=0.6)
    return _by_key()[near[0]].key if near else None


@cache
def jars_of(line: Line) -> tuple[str, ...]:
    """Return the jar sizes the table lists for this product, pack and method."""
    return tuple(
        other.jar
        for other in lines().values()
        if other.canned and (other.product, other.pack, other.method) == (line.product, line.pack, line.method)
    )


def same_line_in(jar: str, line: Line) -> str | None:
    """Return the key of the line with the same product, pack and method in another jar; None when there is none."""
    for other in lines().values():
        if (other.product, other.pack, other.method, other.jar) == (line.product, line.pack, line.method, jar):
            return other.key
    return None
