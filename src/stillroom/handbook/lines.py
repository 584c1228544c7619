"""The lines of the handbook: what *Handbook line* in a workbook refers to."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from stillroom.handbook.foods import kept_alike
from stillroom.handbook.processes import CANNED, by_line
from stillroom.handbook.tables import Row, listed, number, table
from stillroom.household.names import key as name_key

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
