"""Reading what stands on hand: containers, lids, larder and finished preserves."""

from __future__ import annotations

import math

from stillroom.household.amounts import Amount, amount_unit
from stillroom.household.names import tidy_text
from stillroom.household.records import Container, LarderItem, Lid, ShelfRow
from stillroom.household.units import MeasureWrong, Unit
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.dates import near_date
from stillroom.workbook.reader.entry import Entry
from stillroom.workbook.reader.finding import Rows

BASE_UNITS = {"weight": "kg", "volume": "litre", "count": "each"}


def unit_beside(entry: Entry, amount: Amount | None) -> Unit | None:
    """Give the unit of an amount: the one in its own cell, else the row's; a blank one that is needed is a problem."""
    if amount is not None and amount.unit is not None:
        return amount.unit
    return entry.unit("unit")


def read_containers(rows: Rows, reading: Reading) -> tuple[Container, ...]:
    """Read the containers; one whose size cannot be read is left out, with what is put up in it."""
    found: dict[str, Container] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = reading.own_name(entry, "Containers", found)
        kind = entry.text("kind")
        held = entry.amount("holds")
        unit = unit_beside(entry, held)
        litres, kilograms = _size(entry, held, unit)
        on_hand = entry.number("on_hand")
        container = Container(
            name=name or "",
            kind=(kind or "").casefold(),
            holds_litres=litres,
            holds_kg=kilograms,
            on_hand=1.0 if on_hand is None else on_hand,
            counted_on=near_date(entry, "counted_on"),
            back_each_week=entry.number("back_each_week") or 0.0,
            lid=entry.named("lid"),
            price=entry.number("price"),
            can_buy=entry.can_buy("can_buy"),
            where=row.where("name"),
        )
        if name is not None and (litres or kilograms):
            found[name] = container
    return tuple(found.values())


def _size(entry: Entry, held: Amount | None, unit: Unit | None) -> tuple[float | None, float | None]:
    """Give what a container holds, in litres or in kilograms."""
    if held is None or unit is None or entry.in_range("holds", held.number, unit.name) is None:
        return None, None
    if unit.measures == "volume":
        return held.number * unit.factor, None
    if unit.measures == "weight":
        return None, held.number * unit.factor
    what = f"*Holds* is in *{unit.name}*, which is neither a volume nor a weight"
    entry.wrong(
        "unit" if held.unit is None else "holds", what, "write what it holds in pints, L, lb or kg", "wrong unit"
    )
    return None, None


def read_lids(rows: Rows, reading: Reading) -> tuple[Lid, ...]:
    """Read the lids."""
    found: dict[str, Lid] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = reading.own_name(entry, "Lids", found)
        on_hand = entry.number("on_hand")
        counted_on, price = near_date(entry, "counted_on"), entry.number("price")
        can_buy = entry.can_buy("can_buy")
        if name is not None:
            found[name] = Lid(name, 1.0 if on_hand is None else on_hand, counted_on, price, can_buy, row.where("name"))
    return tuple(found.values())


def read_larder(rows: Rows, reading: Reading) -> tuple[LarderItem, ...]:
    """Read the larder; amounts and prices are brought to kg, litres or pieces."""
    found: dict[str, LarderItem] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = reading.own_name(entry, "Larder", found)
        on_hand = entry.amount("on_hand")
        unit = _larder_unit(entry, on_hand)
        handbook_item = entry.text("handbook_item")
        counted_on = near_date(entry, "counted_on")
        price = entry.number("price")
        can_buy = entry.can_buy("can_buy")
        if on_hand is not None:
            entry.in_range("on_hand", on_hand.number)
        if name is None or unit is None:
            continue
        found[name] = LarderItem(
            name=name,
            base_unit=BASE_UNITS[unit.measures],
            on_hand=0.0 if on_hand is None else on_hand.number * (on_hand.unit or unit).factor,
            handbook_item=handbook_item,
            counted_on=counted_on,
            price=_price_of_one(entry, price, unit),
            can_buy=can_buy if math.isinf(can_buy) else can_buy * unit.factor,
            unit=unit.name,
            per_base=1 / unit.factor,
            where=row.where("name"),
        )
    return tuple(found.values())


def _larder_unit(entry: Entry, on_hand: Amount | None) -> Unit | None:
    """Give the unit a larder row is kept in: its Unit cell, else the one typed beside the amount."""
    cell = entry.row.cells.get("unit")
    blank = cell is None or (cell.kind == "blank" and cell.calculated)
    typed = on_hand.unit if on_hand is not None else None
    unit = typed if blank and typed is not None else entry.unit("unit")
    if unit is None:
        return None
    if unit.measures not in BASE_UNITS:
        entry.wrong(
            "unit", f"*{unit.name}* is no unit for the larder", "write a weight, a volume or each", "wrong unit"
        )
        return None
    if typed is not None and not typed.like(unit):
        entry.wrong(
            "on_hand", f"*On hand* is in *{typed.name}*, but *Unit* says {unit.name}", "use one of them", "wrong unit"
        )
    return unit


def _price_of_one(entry: Entry, price: float | None, unit: Unit) -> float | None:
    """Give the price of one kg, litre or piece; *Per unit* may say `qt` or `5 lb`."""
    text = entry.text("per_unit")
    if price is None:
        return None
    if text is None:
        return price / unit.factor
    try:
        number, per = amount_unit(text, metric=entry.reading.metric)
    except MeasureWrong as wrong:
        entry.wrong("per_unit", f"in *Per unit*, {wrong.what}", wrong.fix, wrong.kind)
        return None
    if not per.like(unit) or number <= 0:
        what = f"*Per unit* is *{tidy_text(text)}*, but it is kept in {unit.name}"
        entry.wrong("per_unit", what, "write what the price is for in a unit of the same kind", "wrong unit")
        return None
    entry.reading.pint(entry.where("per_unit"), text, per)
    return price / (number * per.factor)


def read_shelf(rows: Rows, reading: Reading) -> tuple[ShelfRow, ...]:
    """Read the finished preserves on hand."""
    found = []
    for row in rows.rows:
        entry = Entry(reading, row)
        name = entry.named("preserve")
        count = entry.number("count")
        made_on, best_by = near_date(entry, "made_on"), near_date(entry, "best_by")
        place = entry.text("place")
        if made_on is not None and best_by is not None and best_by < made_on:
            what = f"*Best by* {best_by} lies before *Made on* {made_on}"
            entry.wrong("best_by", what, "correct one of the two", "conflicting rows")
        if name is not None and count is not None:
            found.append(ShelfRow(name, count, made_on, best_by, place, row.where("preserve")))
    return tuple(found)
