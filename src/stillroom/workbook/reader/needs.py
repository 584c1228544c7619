"""Reading the winter list and which preserves count toward it."""

from __future__ import annotations

from types import MappingProxyType

from stillroom.household.records import Need
from stillroom.workbook.reader.context import TWICE, Reading
from stillroom.workbook.reader.entry import Entry
from stillroom.workbook.reader.finding import Rows


def read_needs(rows: Rows, counts: Rows, reading: Reading) -> tuple[Need, ...]:
    """Read the needs with their counts; one whose rows of Counts cannot be read at all is left out."""
    each, unsure = _counts(counts, reading)
    found: dict[str, Need] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = reading.own_name(entry, "Needs", found)
        wanted = entry.number("wanted")
        at_most = entry.number("at_most")
        importance = entry.whole("importance")
        weight = entry.number("weight")
        need = Need(
            name=name or "",
            wanted=wanted or 0.0,
            at_most=(wanted or 0.0) if at_most is None else at_most,
            importance=2 if importance is None else importance,
            unit=entry.text("unit") or "",
            weight=1.0 if weight is None else weight,
            meals_each=entry.number("meals_each"),
            shop_price=entry.number("shop_price"),
            counts=MappingProxyType(each.get(name or "", {})),
            where=row.where("name"),
        )
        if name is not None and (need.counts or name not in unsure):
            found[name] = need
    return tuple(found.values())


def _counts(rows: Rows, reading: Reading) -> tuple[dict[str, dict[str, float]], set[str]]:
    """Read how many of a need's unit one container of each preserve counts, and which needs have unreadable rows."""
    unsure: set[str] = set()
    found: dict[str, dict[str, float]] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        need, preserve = entry.named("need"), entry.named("preserve")
        each = entry.number("each_counts")
        if need is None or preserve is None:
            unsure.add(need or "")
            continue
        if preserve in found.setdefault(need, {}):
            what = f"*{preserve}* stands twice under the need *{need}*"
            reading.say(row.where("preserve"), what, TWICE.split(", or ")[1], "same name twice")
            continue
        found[need][preserve] = 1.0 if each is None else each
    return found, unsure
