"""A short mark of everything a plan rests on, the same whatever the order of rows."""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.household.journal.events import events
from stillroom.household.journal.stocks import per_base, since_counted, stock_moves, stocks
from stillroom.household.records import STOVE_FREE, Container, Household, PantryItem
from stillroom.household.text import format_list, format_long_date, format_number, plural

_NOT_INPUT = frozenset(
    {"where", "gauge_where", "spending_where", "latest_end_where", "first_day_typed", "plan_lines"}
    | {"tighter", "refused", "kg_per_litre", "pot_litres_per_kg", "into_jars", "already_spent"}
)
_IN_ORDER = frozenset({"equipment", "by_weekday"})
"""Fields whose order means something: a preserve's pieces of equipment, and the hours of Monday to Sunday."""


def digest(household: Household) -> str:
    """
    Return the SHA-256 mark of a household as typed: all inputs, *Keep at*, *Made* and the first day.

    Where a row stands, notes, and what the last plan said do not matter. Take it before the record is taken off.

    >>> from stillroom.household.examples import tiny_household
    >>> digest(tiny_household()) == digest(tiny_household()), len(digest(tiny_household()))
    (True, 64)
    """
    lines = sorted(
        written((line.day, line.days, line.name, line.fix, line.made))
        for line in household.plan_lines
        if line.fix is not None or line.made is not None
    )
    whole = written(household) + "\n" + "\n".join(lines)
    return hashlib.sha256(whole.encode()).hexdigest()


def written(value: object, *, in_order: bool = True) -> str:
    """Write a value in one way only: rows sorted, numbers as their shortest figures, places left out."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        top = isinstance(value, Household)
        parts = []
        for field in dataclasses.fields(value):
            if field.name not in _NOT_INPUT:
                ordered = field.name in _IN_ORDER and not top
                parts.append(f"{field.name}={written(getattr(value, field.name), in_order=ordered)}")
        return f"{type(value).__name__}({','.join(parts)})"
    if isinstance(value, Mapping):
        return "{" + ",".join(sorted(f"{written(name)}:{written(each)}" for name, each in value.items())) + "}"
    if isinstance(value, tuple):
        texts = [written(each) for each in value]
        return "[" + ",".join(texts if in_order else sorted(texts)) + "]"
    if isinstance(value, bool) or value is None:
        return str(value)
    if isinstance(value, int | float):
        return repr(float(value))
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return repr(value)


# What the household has changed since the last plan, told from a short note of the inputs that plan was made
# from.

Part = tuple[float, str]
"""How many there are (or hours a week), and a short digest."""

_PART = re.compile(r"([a-z][a-z ]*) (-?[\d.]+) ([0-9a-f]{6})")
_COUNTED = re.compile(r"(.+) (\d+(?:\.\d+)?(?:e[+-]?\d+)?) on (\d{4}-\d\d-\d\d|no day)")
NO_DAY = "no day"

HOURS = {"hands": "hands", STOVE_FREE: "stove hours"}
COUNTED_THINGS = {
    "lots": ("new lot", "lot", "lots"),
    "record": ("new row in the record", "row of the record", "record"),
    "preserves": ("new preserve", "preserve", "preserves"),
    "targets": ("new need", "target", "winter list"),
    "fixes": ("new fixed line", "fixed line", "fixed lines"),
    "crops": ("new crop", "crop", "crops"),
    "equipment": ("new piece of equipment", "piece of equipment", "equipment"),
    "containers": ("new container", "container", "containers on hand"),
    "lids": ("new lid", "lid", "lids on hand"),
    "pantry": ("new ingredient", "ingredient", "pantry"),
    "shelf": ("new row of the shelf", "row of the shelf", "shelf"),
}
MISMATCH_SHARE, MISMATCH_LEAST = 0.1, 2.0
"""A count further than a tenth, and than two, from what the record makes it is said."""


def parts(household: Household) -> dict[str, Part]:
    """Give each kind of input with its number and a short digest, of a household as typed."""
    kitchen = replace(household.kitchen, first_day=datetime.date.min, first_day_typed=False)
    fixes = tuple((line.day, line.days, line.name, line.fix) for line in household.plan_lines if line.fix is not None)
    found = {
        "first day": (float(household.kitchen.first_day.toordinal()), _short(household.kitchen.first_day)),
        "kitchen": (1.0, _short(kitchen)),
    }
    for what in HOURS:
        rows = tuple(row for row in household.hours if row.what.casefold() == what)
        found[what] = (sum(sum(row.by_weekday) for row in rows), _short(rows))
    others = tuple(row for row in household.hours if row.what.casefold() not in HOURS)
    found["other hours"] = (float(len(others)), _short(others))
    things: dict[str, tuple[object, ...]] = {
        "lots": household.lots,
        "record": household.record,
        "preserves": household.preserves,
        "targets": household.targets,
        "fixes": fixes,
        "crops": household.crops,
        "equipment": household.equipment,
        "containers": household.containers,
        "lids": household.lids,
        "pantry": household.pantry,
        "shelf": household.shelf,
    }
    return found | {name: (float(len(rows)), _short(rows)) for name, rows in things.items()}


def _short(value: object) -> str:
    """Give six figures of a digest, the same whatever the order of rows."""
    return hashlib.sha256(written(value, in_order=False).encode()).hexdigest()[:6]


def parts_text(found: Mapping[str, Part]) -> str:
    """
    Write the parts as a note.

    >>> parts_text({"lots": (12.0, "0a1b2c"), "stove free": (16.5, "ffffff")})
    'lots 12 0a1b2c; stove free 16.5 ffffff'
    """
    return "; ".join(f"{name} {number:.10g} {short}" for name, (number, short) in found.items())


def parts_in(text: str) -> dict[str, Part]:
    """
    Read the parts back; what makes no sense is left out.

    >>> parts_in("lots 12 0a1b2c; scribble")
    {'lots': (12.0, '0a1b2c')}
    """
    matches = (_PART.fullmatch(piece.strip()) for piece in text.split(";"))
    return {found[1]: (float(found[2]), found[3]) for found in matches if found}


def changed(before: Mapping[str, Part], now: Mapping[str, Part]) -> list[str]:
    """
    Say which inputs changed, in a few words each.

    >>> before = {"lots": (12, "a"), "stove free": (16, "b"), "lids": (2, "c")}
    >>> changed(before, {"lots": (13, "d"), "stove free": (12, "e"), "lids": (2, "f")})
    ['1 new lot', 'less stove hours (16 to 12 a week)', 'a change in the lids on hand']
    """
    said = []
    for name, (number, short) in now.items():
        then, digest = before.get(name, (number, short))
        if digest == short:
            continue
        if name == "first day":
            said.append(f"the first day is now {format_long_date(datetime.date.fromordinal(int(number)))}")
        elif name in HOURS:
            more = "more" if number > then else "less"
            week = f" ({format_number(then)} to {format_number(number)} a week)"
            said.append(f"{more} {HOURS[name]}{week}" if number != then else f"other days for the {HOURS[name]}")
        elif name in COUNTED_THINGS:
            said.append(_count_changed(name, round(number - then)))
        else:
            said.append("other settings of the kitchen" if name == "kitchen" else "other hours of equipment")
    return said


def _count_changed(name: str, more: int) -> str:
    """
    Say how a table changed by how many rows came or went.

    >>> _count_changed("lots", 2), _count_changed("record", -1), _count_changed("targets", 0)
    ('2 new lots', '1 row of the record fewer', 'a change in the winter list')
    """
    new, one, several = COUNTED_THINGS[name]
    if more > 0:
        first, *rest = new.removeprefix("new ").split(" ", 1)
        words = " ".join([plural(more, first), *rest])
        if rest and not rest[0].startswith(("in ", "of ")):
            words = f"{first} {plural(more, rest[0])}"
        return f"{more} new {words}"
    if more < 0:
        return f"{-more} {one} fewer"
    return f"a change in the {several}"


def why_words(before: Mapping[str, Part], now: Mapping[str, Part]) -> str:
    """Say in a line what changed since the last plan; empty where that plan left no note."""
    said = changed(before, now)
    if not before:
        return ""
    return (
        f"Since the last plan: {format_list(said, 5)}." if said else "Since the last plan: nothing typed has changed."
    )


# ---------------------------------------------------------------- counts that differ from the record


def counted_text(household: Household) -> str:
    """
    Write what every stock was counted at, as a note.

    >>> from stillroom.household.records import Kitchen, Lid
    >>> counted_text(Household(Kitchen(datetime.date(2026, 8, 14)), lids=(Lid("wide lid", 30),)))
    'wide lid 30 on no day'
    """
    return "; ".join(
        f"{stock.name} {stock.on_hand * per_base(stock):.10g} on {stock.counted_on or NO_DAY}"
        for stock in stocks(household)
    )


def recounted(household: Household, before: str) -> Iterable[Problem]:
    """
    Say where a new count is far from what the old one and the record make it; the new count stands.

    `household` is as typed; `before` is the note of the last plan. What was counted, came and went up to the day
    before the new count is compared with the new count.
    """
    then = {}
    for piece in before.split("; "):
        if found := _COUNTED.fullmatch(piece):
            day = None if found[3] == NO_DAY else datetime.date.fromisoformat(found[3])
            then[found[1]] = (float(found[2]), day)
    moves = stock_moves(household, events(household))
    for stock in stocks(household):
        old = then.get(stock.name)
        if old is None or stock.counted_on is None or old[1] == stock.counted_on:
            continue
        between = [
            move.taken
            for move in since_counted(moves, replace(stock, counted_on=old[1]))
            if move.event.day < stock.counted_on
        ]
        went = sum(between) * per_base(stock)
        should, counted = max(old[0] - went, 0.0), stock.on_hand * per_base(stock)
        if isinstance(stock, Container) and counted > should:
            continue  # empties come home without being written down
        if abs(should - counted) > max(MISMATCH_SHARE * should, MISMATCH_LEAST):
            unit = f" {stock.unit}" if isinstance(stock, PantryItem) else ""
            names = (f"{format_number(should)}{unit} {stock.name}", format_number(counted))
            yield Problem(stock.where, "count differs", names, field="On hand")
