"""Reading preserves and what one container of each takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from stillroom.handbook.ingredients import extras, stricter_extra
from stillroom.household.amounts import Amount
from stillroom.household.checks import same_words
from stillroom.household.names import Names, either, key, suggestion
from stillroom.household.records import METHODS, Container, Crop, Ingredient, PantryItem, Preserve, Target
from stillroom.household.text import format_number
from stillroom.household.units import ACID_UNITS, CONTAINER_LITRES_PER_KG, UNITS, MeasureWrong, Unit, to_kg, to_litres
from stillroom.workbook.reader.cells import Entry
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.tables import Rows

PLACE_OF_METHOD = {
    "boiling-water canned": "shelf",
    "pressure canned": "shelf",
    "dried": "shelf",
    "frozen": "freezer",
    "root cellar": "cellar",
}
SMALLEST_WITHOUT_EQUIPMENT = 4


@dataclass(frozen=True)
class Stores:
    """What the ingredients of a preserve may be: crops, larder items, and the containers of other preserves."""

    crops: Mapping[str, Crop]
    pantry: Mapping[str, PantryItem]
    containers: Mapping[str, Container]


def read_preserves(rows: Rows, stores: Stores, reading: Reading) -> dict[str, Preserve]:
    """Read the preserves without their ingredients; those with something unreadable are remembered as unsure."""
    found: dict[str, Preserve] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = reading.own_name(entry, "Preserves", found)
        preserve = _preserve(entry, name or "", stores)
        if name is None:
            continue
        if preserve is None or not entry.sound:
            reading.unsure.add(name)
        if preserve is not None:
            found[name] = preserve
    return found


def _preserve(entry: Entry, name: str, stores: Stores) -> Preserve | None:
    """Read one preserve, every cell of it; None without a container to put it in."""
    method = _method(entry)
    container_name = entry.named("container", exact=True)
    container = stores.containers.get(container_name) if container_name is not None else None
    equipment = _equipment(entry)
    batch = entry.whole("smallest_batch")
    space = _space(entry, container)
    kept_in = entry.choice("kept_in")
    include = entry.yes_no("include")
    each, load, stove_each, stove_load = (entry.number(field) or 0.0 for field in _MINUTES)
    preserve = Preserve(
        name=name,
        method=method or "",
        container=container_name or "",
        include=include is not False,
        handbook_line=entry.text("handbook_line"),
        minutes_typed=entry.number("minutes_typed"),
        source=entry.text("source"),
        hands_minutes_each=each,
        hands_minutes_load=load,
        stove_minutes_each=stove_each,
        stove_minutes_load=stove_load,
        equipment=equipment,
        smallest_batch=batch or (1 if equipment else SMALLEST_WITHOUT_EQUIPMENT),
        batch_typed=batch is not None,
        keeps_months=entry.number("keeps_months"),
        kept_in=kept_in or PLACE_OF_METHOD.get(method or "", "refrigerator"),
        space_litres_each=space,
        where=entry.where("name"),
    )
    return preserve if container is not None else None


_MINUTES = ("hands_minutes_each", "hands_minutes_load", "stove_minutes_each", "stove_minutes_load")


def _method(entry: Entry) -> str | None:
    """Give one of the seven ways; a word that is none of them is a problem."""
    text = entry.text("method")
    if text is None:
        return None
    for method in METHODS:
        if key(method.replace("-", " ")) == key(text.replace("-", " ")):
            return method
    entry.wrong("method", "unknown method", text, either(METHODS), suggestion=suggestion(text, Names("", METHODS)))
    return None


def _equipment(entry: Entry) -> tuple[str, ...]:
    """Give the pieces of equipment in order; their names may hold commas themselves."""
    text = entry.text("equipment")
    if text is None:
        return ()
    known = entry.reading.names["Equipment"]
    parts = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    found: list[str] = []
    while parts:
        for size in range(len(parts), 0, -1):
            name = known.find(",".join(parts[:size]))
            if name is not None or size == 1:
                break
        if name is None:
            entry.sound = False
            entry.reading.find(parts[0], ("Equipment",), entry.where("equipment"), exact=True)
            return ()
        found.append(name)
        parts = parts[size:]
    return tuple(found)


def _space(entry: Entry, container: Container | None) -> float:
    """Give the litres one takes up: as typed, else what its container holds (a weight at 1.8 litres a kg)."""
    amount = entry.amount("space_litres_each")
    if amount is not None and entry.in_range("space_litres_each", amount.number) is not None:
        unit = amount.unit or UNITS["L"]
        if amount.number < 0:
            entry.wrong("space_litres_each", "below the least", format_number(amount.number), "0")
        try:
            return to_litres(amount.number, unit)
        except MeasureWrong as wrong:
            entry.measure_wrong("space_litres_each", wrong)
    if container is None:
        return 0.0
    return container.holds_litres or (container.holds_kg or 0.0) * CONTAINER_LITRES_PER_KG


def read_ingredients(
    rows: Rows, preserves: Mapping[str, Preserve], stores: Stores, reading: Reading
) -> dict[str, list[Ingredient]]:
    """
    Read what one container of each preserve takes; a preserve with an unreadable line is remembered as unsure.

    So is one without any line, when there are lines that belong to no known preserve.
    """
    found: dict[str, list[Ingredient]] = {}
    astray = False
    for row in rows.rows:
        entry = Entry(reading, row)
        preserve = entry.named("preserve", exact=True)
        item = entry.name("item", exact=True)
        line = _line(entry, item, preserves, stores)
        if preserve is None:
            astray = True
            continue
        if line is None or not entry.sound:
            reading.unsure.add(preserve)
            continue
        lines = found.setdefault(preserve, [])
        if any(other.item == line.item for other in lines):
            reading.note(row.where("item"), "ingredient twice", line.item, preserve)
            continue
        lines.append(line)
    if astray:
        reading.unsure.update(name for name in preserves if name not in found)
    return found


def _line(
    entry: Entry, item: tuple[str, str] | None, preserves: Mapping[str, Preserve], stores: Stores
) -> Ingredient | None:
    """Read one ingredient line, every cell of it; None when it cannot stand."""
    amount = entry.amount("amount_each")
    from_frozen = entry.yes_no("from_frozen") or False
    if item is None or amount is None:
        unit_beside_item(entry, amount)
        return None
    table, name = item
    if table == "Preserves":
        return _preserve_line(entry, name, amount, preserves, stores)
    unit = amount.unit or entry.unit("unit")
    if table == "Crops":
        return _crop_line(entry, stores.crops.get(name), amount, unit, from_frozen=from_frozen)
    return _pantry_line(entry, stores.pantry.get(name), amount, unit)


def unit_beside_item(entry: Entry, amount: Amount | None) -> None:
    """Read the unit of a line that cannot stand, so that its own problem is told in the same pass."""
    if amount is None or amount.unit is None:
        entry.unit("unit")


def _crop_line(
    entry: Entry, crop: Crop | None, amount: Amount, unit: Unit | None, *, from_frozen: bool
) -> Ingredient | None:
    """Make a line of a crop, in kg."""
    if crop is None or entry.in_range("amount_each", amount.number) is None:
        return None
    used = unit or UNITS[crop.unit]
    try:
        kg = to_kg(amount.number, used, bushel_kg=crop.bushel_kg, kg_per_litre=crop.kg_per_litre)  # never by the piece
    except MeasureWrong as wrong:
        at = "unit" if amount.unit is None else "amount_each"
        entry.measure_wrong("amount_each", wrong, at=at, example=entry.example("amount_each"))
        return None
    return Ingredient(
        crop.name, "crop", kg, from_frozen, amount.number, used.name, kg_each=kg, where=entry.where("amount_each")
    )


def _pantry_line(entry: Entry, item: PantryItem | None, amount: Amount, unit: Unit | None) -> Ingredient | None:
    """Make a line of a larder ingredient, in the larder row's base unit."""
    if item is None or entry.in_range("amount_each", amount.number) is None:
        return None
    kept = entry.reading.unit_named(item.unit)
    used = unit or kept
    if not used.like(kept):
        at = "unit" if amount.unit is None else "amount_each"
        entry.wrong("amount_each", "wrong unit of an ingredient", item.name, kept.name, used.name, at=at)
        return None
    if _is_acid(item) and used.measures != "count" and used.name not in ACID_UNITS:
        at = "unit" if amount.unit is None else "amount_each"
        units = "ml, L, g or kg" if entry.reading.metric else "tsp, tbsp, cups, pints, quarts, oz or lb"
        entry.wrong("amount_each", "unit of an acid", item.name, used.name, units, at=at)
        return None
    each = amount.number * used.factor
    return Ingredient(
        item.name,
        "pantry",
        each,
        amount_typed=amount.number,
        unit=used.name,
        litres_each=each if used.measures == "volume" else None,
        kg_each=each if used.measures == "weight" else None,
        where=entry.where("amount_each"),
    )


def _is_acid(item: PantryItem) -> bool:
    """Whether a larder item is an acid of the handbook, a weak one included."""
    extra = stricter_extra(item.handbook_item, item.name)
    return extra is not None and extras()[extra].what in ("acid", "weak acid")


def _preserve_line(
    entry: Entry, name: str, amount: Amount, preserves: Mapping[str, Preserve], stores: Stores
) -> Ingredient | None:
    """Make a line of another preserve, in containers: a count of them, or a volume or weight of what one holds."""
    other = preserves.get(name)
    container = stores.containers.get(other.container) if other is not None else None
    if other is None or container is None or entry.in_range("amount_each", amount.number) is None:
        return None
    typed = "" if amount.unit is not None else (entry.text("unit") or "")
    named = (
        not typed
        or same_words(typed, "containers")
        or same_words(typed, container.name)
        or same_words(typed, container.kind)
    )
    unit = amount.unit or (UNITS["each"] if named else entry.unit("unit"))
    if unit is None:
        return None
    holds = {"volume": container.holds_litres, "weight": container.holds_kg}.get(unit.measures)
    if unit.measures == "count":
        containers = amount.number * unit.factor
    elif holds:
        containers = amount.number * unit.factor / holds
    else:
        at = "unit" if amount.unit is None else "amount_each"
        entry.wrong("amount_each", "preserve not counted", name, unit.name, at=at)
        return None
    return Ingredient(
        name,
        "preserve",
        containers,
        amount_typed=amount.number,
        unit=unit.name if holds else container.name,
        where=entry.where("amount_each"),
    )


# Reading the winter list and which preserves count toward it.


def read_targets(rows: Rows, counts: Rows, reading: Reading) -> tuple[Target, ...]:
    """Read the needs with their counts; one whose rows of Counts cannot be read at all is left out."""
    each, unsure = _counts(counts, reading)
    found: dict[str, Target] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        name = reading.own_name(entry, "Winter list", found)
        wanted = entry.number("wanted")
        at_most = entry.number("at_most")
        importance = entry.whole("importance")
        weight = entry.number("weight")
        target = Target(
            name=name or "",
            wanted=wanted or 0.0,
            at_most=(wanted or 0.0) if at_most is None else at_most,
            importance=2 if importance is None else importance,
            unit=entry.text("unit") or "",
            weight=1.0 if weight is None else weight,
            meals_each=entry.number("meals_each"),
            shop_price=entry.number("shop_price"),
            counts=MappingProxyType(each.get(name or "", {})),
            weeks=entry.number("weeks"),
            where=row.where("name"),
        )
        if name is not None and (target.counts or name not in unsure):
            found[name] = target
    return tuple(found.values())


def _counts(rows: Rows, reading: Reading) -> tuple[dict[str, dict[str, float]], set[str]]:
    """Read how many of a need's unit one container of each preserve counts, and which needs have unreadable rows."""
    unsure: set[str] = set()
    found: dict[str, dict[str, float]] = {}
    for row in rows.rows:
        entry = Entry(reading, row)
        target, preserve = entry.named("target"), entry.named("preserve")
        each = entry.number("each_counts")
        if target is None or preserve is None:
            unsure.add(target or "")
            continue
        if preserve in found.setdefault(target, {}):
            reading.note(row.where("preserve"), "preserve counted twice", preserve, target)
            continue
        found[target][preserve] = 1.0 if each is None else each
    return found, unsure
