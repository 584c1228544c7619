"""Reading crops, harvest, containers, lids, pantry and shelf."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

from stillroom.handbook.crop_figures import crop_kg_per_litre, into_jars, kg_each, pot_litres_per_kg
from stillroom.household.amounts import Amount, amount_unit, number_from
from stillroom.household.names import tidy_text
from stillroom.household.records import Container, Crop, Lid, Lot, PantryItem, ShelfRow
from stillroom.household.text import format_number, format_quantity
from stillroom.household.units import CONTAINER_LITRES_PER_KG, POUND_KG, UNITS, MeasureWrong, Unit, to_kg, unit_of
from stillroom.workbook.reader.cells import Entry, near_date
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.tables import Rows

KEEPS_UNKNOWN_DAYS = 1000.0
"""Stands in for keeping days that cannot be read, so that no lot is called spoilt for it; nothing is planned then."""

_SPACE_PER_WEIGHT = re.compile(r"(?P<number>[\d.,/½¼¾\s]*)(?P<space>[^\d/]+)(?:/|\bper\b|\ba\b)(?P<weight>[^\d/]+)")


def read_crops(rows: Rows, reading: Reading) -> tuple[Crop, ...]:
    """Read the kinds of produce."""
    found: dict[str, Crop] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = reading.own_name(entry, "Crops", found)
        handbook_food = entry.text("handbook_food")
        keeps_days = entry.number("keeps_days")
        unit = _crop_unit(entry)
        bushel = entry.amount("bushel_kg", of=())
        eaten = entry.amount("eaten_kg_a_week", of=(name, handbook_food))
        minutes = entry.number("minutes_to_freeze")
        trimmings = entry.number("trimmings_share") or 0.0
        frozen_weeks = entry.number("frozen_keeps_weeks")
        crop = Crop(
            name=name or "",
            keeps_days=KEEPS_UNKNOWN_DAYS if keeps_days is None else keeps_days,
            handbook_food=handbook_food,
            unit=unit.name,
            bushel_kg=kilograms(entry, "bushel_kg", bushel, unit) or None,
            may_be_frozen_whole=entry.yes_no("may_be_frozen_whole") or False,
            freeze_hours_per_kg=1 / 60 / POUND_KG if minutes is None else minutes / 60 / unit.factor,
            frozen_keeps_weeks=4.0 if frozen_weeks is None else frozen_weeks,
            freezer_litres_per_kg=_space_per_weight(entry),
            trimmings_share=trimmings,
            each_kg=kg_each(name or "", handbook_food),
            kg_per_litre=crop_kg_per_litre(name or "", handbook_food),
            pot_litres_per_kg=pot_litres_per_kg(name or "", handbook_food, trimmings),
            where=row.where("name"),
        )
        each_week = kilograms(entry, "eaten_kg_a_week", eaten, unit, crop)
        if name is not None:
            found[name] = Crop(**{**crop.__dict__, "eaten_kg_a_week": each_week or 0.0})
    return tuple(found.values())


def _crop_unit(entry: Entry) -> Unit:
    """Give the weight a crop is counted in; lb or kg, as the workbook goes, when blank or wrong."""
    usual = UNITS["kg" if entry.reading.metric else "lb"]
    unit = entry.unit("unit")
    if unit is None:
        return usual
    if unit.measures != "weight":
        entry.wrong("unit", "not a weight", unit.name, "kg or g" if entry.reading.metric else "lb or oz")
        return usual
    return unit


def kilograms(
    entry: Entry, field: str, amount: Amount | None, unit: Unit | None, crop: Crop | None = None
) -> float | None:
    """Give an amount of a crop in kg, within the column's range; a unit that gives no weight of it is a problem."""
    if amount is None:
        return None
    used = amount.unit or unit
    if used is None or entry.in_range(field, amount.number, used.name) is None:
        return None
    try:
        return to_kg(amount.number, used) if crop is None else crop.kg_in(amount.number, used)
    except MeasureWrong as wrong:
        at = field if amount.unit is not None else "unit"
        entry.measure_wrong(field, wrong, at=at, example=entry.example(field))
        return None


def _space_per_weight(entry: Entry) -> float:
    """Give litres of freezer a kilogram: a bare number is that, text may say `0.8 L/lb`."""
    cell = entry.cell("freezer_litres_per_kg")
    if cell is None:
        return CONTAINER_LITRES_PER_KG
    found = _SPACE_PER_WEIGHT.fullmatch(str(cell.value)) if cell.kind == "text" else None
    if found is None:
        number = entry.number("freezer_litres_per_kg")
        return CONTAINER_LITRES_PER_KG if number is None else number
    try:
        number = number_from(found["number"], metric=entry.reading.metric)
        space, weight = unit_of(found["space"]), unit_of(found["weight"])
        if space.measures != "volume" or weight.measures != "weight":
            raise MeasureWrong("wrong measure", str(cell.value), "space for a weight", example="0.03 cu ft/lb")
    except MeasureWrong as wrong:
        entry.measure_wrong("freezer_litres_per_kg", wrong)
        return CONTAINER_LITRES_PER_KG
    return number * space.factor / weight.factor


def read_harvest(rows: Rows, crops: Mapping[str, Crop], reading: Reading) -> tuple[Lot, ...]:
    """Read the lots: weighed, expected, or frozen whole."""
    found = []
    for row in rows.rows:
        entry = Entry(reading, row)
        lot = _lot(entry, crops)
        if lot is not None and entry.sound:
            found.append(lot)
    return tuple(found)


def _lot(entry: Entry, crops: Mapping[str, Crop]) -> Lot | None:
    """Read one lot, every cell of it; None when it cannot stand."""
    picked_on = near_date(entry, "picked_on")
    name = entry.named("crop")
    crop = crops.get(name) if name is not None else None
    unit = entry.unit("unit")
    expected = entry.choice("expected") == "expected"
    frozen_on = near_date(entry, "frozen_on")
    names = () if crop is None else (crop.name, crop.handbook_food)
    amounts = {field: entry.amount(field, of=names) for field in ("kg", "least_kg", "most_kg")}
    if crop is None:
        return None
    usual = UNITS[crop.unit] if unit is None else unit
    weights = {field: kilograms(entry, field, amount, usual, crop) for field, amount in amounts.items()}
    if picked_on is not None and frozen_on is not None and frozen_on < picked_on:
        entry.wrong("frozen_on", "frozen before picked", str(frozen_on), str(picked_on))
    if frozen_on is not None and expected:
        entry.wrong("frozen_on", "expected and frozen")
    if picked_on is None or weights["kg"] is None:
        return None
    _check_bounds(entry, expected, weights)
    if not expected and frozen_on is None and picked_on > entry.reading.first_day:
        entry.note("picked_on", "weighed after the first day", crop.name, str(picked_on), str(entry.reading.first_day))
    return Lot(
        crop=crop.name,
        picked_on=picked_on,
        kg=weights["kg"],
        expected=expected,
        frozen_on=frozen_on,
        least_kg=weights["least_kg"] if expected else None,
        most_kg=weights["most_kg"] if expected else None,
        where=entry.where("kg"),
    )


def _check_bounds(entry: Entry, expected: bool, weights: Mapping[str, float | None]) -> None:
    """Least, amount and most go upwards, and belong to expected lots only."""
    amount, least, most = (weights[field] for field in ("kg", "least_kg", "most_kg"))
    if not expected:
        for field in ("least_kg", "most_kg"):
            if weights[field] is not None:
                entry.note(field, "bounds of a weighed lot")
        return
    if least is not None and most is not None and least > most:
        entry.wrong("least_kg", "least above most", "Most")
    elif amount is not None and least is not None and least > amount + 1e-9:
        entry.wrong("least_kg", "least above most", "Amount")
    elif amount is not None and most is not None and most < amount - 1e-9:
        entry.wrong("most_kg", "most below amount")


# Reading what stands on hand: containers, lids, larder and finished preserves.

BASE_UNITS = {"weight": "kg", "volume": "litre", "count": "each"}


def unit_beside(entry: Entry, amount: Amount | None) -> Unit | None:
    """Give the unit of an amount: the one in its own cell, else the row's; a blank one that is needed is a problem."""
    if amount is not None and amount.unit is not None:
        return amount.unit
    return entry.unit("unit")


LARGEST_CONTAINER = 1000.0
"""Liters or kilograms; more than any container of a household holds (common sense, no source)."""


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
    if unit.measures in ("volume", "weight"):
        size, most = held.number * unit.factor, LARGEST_CONTAINER / unit.factor
        if size > LARGEST_CONTAINER:
            entry.reading.forget(entry.where("holds"), "unusual number")
            least = format_number(entry.row.columns["holds"].least or 0.0)
            shown = [format_quantity(number, unit.name) for number in (held.number, math.floor(most))]
            entry.wrong("holds", "out of range", shown[0], least, shown[1])
            return None, None
        return (size, None) if unit.measures == "volume" else (None, size)
    at = "unit" if held.unit is None else "holds"
    entry.wrong("holds", "size neither volume nor weight", unit.name, entry.example("holds"), at=at)
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


def read_pantry(rows: Rows, reading: Reading) -> tuple[PantryItem, ...]:
    """Read the larder; amounts and prices are brought to kg, litres or pieces."""
    found: dict[str, PantryItem] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = reading.own_name(entry, "Pantry", found)
        on_hand = entry.amount("on_hand", of=())
        unit = _pantry_unit(entry, on_hand)
        handbook_item = entry.text("handbook_item")
        counted_on = near_date(entry, "counted_on")
        price = entry.number("price")
        can_buy = entry.can_buy("can_buy")
        if on_hand is not None:
            entry.in_range("on_hand", on_hand.number)
        if name is None or unit is None:
            continue
        found[name] = PantryItem(
            name=name,
            base_unit=BASE_UNITS[unit.measures],
            on_hand=0.0 if on_hand is None else on_hand.number * (on_hand.unit or unit).factor,
            handbook_item=handbook_item,
            counted_on=counted_on,
            price=_price_of_one(entry, price, unit),
            can_buy=can_buy if math.isinf(can_buy) else can_buy * unit.factor,
            unit=unit.name,
            per_base=1 / unit.factor,
            into_jars=into_jars(name, handbook_item),
            where=row.where("name"),
        )
    return tuple(found.values())


def _pantry_unit(entry: Entry, on_hand: Amount | None) -> Unit | None:
    """Give the unit a larder row is kept in: its Unit cell, else the one typed beside the amount."""
    cell = entry.row.cells.get("unit")
    blank = cell is None or (cell.kind == "blank" and cell.calculated)
    typed = on_hand.unit if on_hand is not None else None
    unit = typed if blank and typed is not None else entry.unit("unit")
    if unit is None:
        return None
    if unit.measures not in BASE_UNITS:
        entry.wrong("unit", "unit of a pantry item", unit.name, entry.example("unit"))
        return None
    if typed is not None and not typed.like(unit):
        entry.wrong("on_hand", "two units", typed.name, unit.name)
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
        entry.measure_wrong("per_unit", wrong)
        return None
    if not per.like(unit) or number <= 0:
        entry.wrong("per_unit", "wrong unit of a price", tidy_text(text), unit.name)
        return None
    entry.reading.note_pint(entry.where("per_unit"), text, per)
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
            entry.wrong("best_by", "best by before made", str(best_by), str(made_on))
        if name is not None and count is not None:
            found.append(ShelfRow(name, count, made_on, best_by, place, row.where("preserve")))
    return tuple(found)
