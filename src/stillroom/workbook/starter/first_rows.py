"""Everything a starting workbook is filled with, brought together: the handbook's facts and examples marked so."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stillroom.errors import CommandWrong
from stillroom.handbook.foods import stricter
from stillroom.handbook.ingredients import stricter_extra
from stillroom.household.amounts import refuse_two_altitudes
from stillroom.household.names import Names, key
from stillroom.household.results.commands import LeftOut
from stillroom.household.text import format_count, format_number
from stillroom.household.units import FOOT_METRES, MeasureWrong, unit_of
from stillroom.workbook.reader import household as read
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.household import gather_names
from stillroom.workbook.reader.tables import find_rows
from stillroom.workbook.starter import catalogue, examples
from stillroom.workbook.starter.examples import EACH, EXAMPLE_PEOPLE, HELPERS, SERVINGS, WEEKS, count_rows, target_rows
from stillroom.workbook.starter.fit_rows import Theirs, fitted, pieces_of
from stillroom.workbook.starter.layout import Contents, Entry, Formula, Row, Rows

if TYPE_CHECKING:
    from stillroom.handbook.catalogue import CataloguePreserve
    from stillroom.household.records import Container, Crop, Equipment, Household, PantryItem
    from stillroom.workbook.ooxml.book import Book


ALTITUDE = re.compile(r"\s*(\d+(?:[,.]\d+)?)\s*(ft|feet|foot|m|metres|meters)?\s*", re.IGNORECASE)
EQUIPMENT = {
    "boiling-water canner": "canner",
    "pressure canner": "pressure canner",
    "kettle": "big pot",
    "dryer": "dryer",
    "crock": "crock",
}
"""What the starting workbook calls its piece of each kind."""


@dataclass(frozen=True)
class Filling:
    """
    What the commands `start` and `adopt --filled` are told of a kitchen; None, or no crops, where nothing is said.

    `crops` are the handbook's names of what is grown or bought; with none, nor ways and jars, every preserve is listed.
    `ways` are keys of `catalogue.WAYS`, `jars` goes by size (quart, pint, half-pint), `hands` and `stove_free` are the
    hours of each day of a week, Monday first. `picked` are rows of Harvest.
    """

    metric: bool = False
    people: float | None = None
    altitude: str | None = None
    gauge: str | None = None
    crops: tuple[str, ...] = ()
    ways: tuple[str, ...] | None = None
    jars: tuple[tuple[str, float], ...] | None = None
    hands: tuple[float, ...] | None = None
    stove_free: tuple[float, ...] | None = None
    picked: tuple[Row, ...] = ()


def starting_contents(
    *, metric: bool = False, people: float | None = None, altitude: str | None = None, gauge: str | None = None
) -> Contents:
    """The contents of a starting workbook with every preserve of the handbook."""
    return contents_for(Filling(metric=metric, people=people, altitude=altitude, gauge=gauge))[0]


def contents_for(filling: Filling) -> tuple[Contents, tuple[LeftOut, ...]]:
    """Return the contents of a starting workbook for a kitchen, and the preserves of its crops that are left out."""
    metric, people = filling.metric, filling.people
    height = read_altitude(filling.altitude, metric=metric) if filling.altitude else None
    gauge = read_gauge(filling.gauge)
    containers = examples.container_rows(metric=metric, jars=filling.jars, ways=filling.ways)
    wishes = examples.WISHES
    left: tuple[LeftOut, ...] = ()
    several: Sequence[CataloguePreserve] = catalogue.chosen()
    grown = filling.crops
    if not grown and (filling.ways is not None or filling.jars is not None):
        grown = tuple(str(row["Crop"]) for row in catalogue.crop_rows(metric=metric))
    if grown:
        ways = tuple(catalogue.WAYS) if filling.ways is None else filling.ways
        sizes = {str(row["Container"]) for row in containers if row["On hand"]}
        several, left = catalogue.fitting(grown, ways, sizes, metric=metric)
        several = catalogue.at_yes(several, [wish.products for wish in wishes])
        made = [one.line for one in several if one.make]
        wishes = tuple(wish for wish in wishes if any(line.startswith(wish.products) for line in made))
    crops = frozenset(str(row["Crop"]) for row in catalogue.crop_rows(metric=metric, grown=grown))
    ingredients = catalogue.ingredient_rows(metric=metric, of=several)
    preserves = catalogue.preserve_rows(EQUIPMENT, metric=metric, of=several)
    order = by_crop(ingredients, crops)
    preserves = sorted(preserves, key=lambda row: order[str(row["Preserve"])])
    ingredients = sorted(ingredients, key=lambda row: order[str(row["Preserve"])])
    eaters = people if people is not None else examples.EXAMPLE_PEOPLE
    rows: dict[str, Sequence[Row]] = {
        "Kitchen": examples.kitchen_rows(metric=metric, people=people, altitude=height, gauge=gauge),
        "Hours": examples.hours_rows(filling.hands, filling.stove_free),
        "Equipment": examples.equipment_rows(metric=metric, ways=filling.ways),
        "Crops": catalogue.crop_rows(metric=metric, grown=grown),
        "Containers": containers,
        "Lids": examples.lid_rows(metric=metric, jars=filling.jars),
        "Pantry": examples.pantry_rows(ingredients, crops, metric=metric),
        "Preserves": preserves,
        "Ingredients": ingredients,
        "Winter list": target_rows(eaters, metric=metric, wishes=wishes),
        "Counts toward": count_rows(preserves, containers, metric=metric, wishes=wishes),
    }
    rows |= {"Harvest": filling.picked} if filling.picked else {}
    return Contents(rows, extra={"Winter list": HELPERS}, lines=catalogue.line_rows()), left


def by_crop(ingredients: Sequence[Row], crops: Collection[str]) -> dict[str, tuple[str, str]]:
    """
    Give the place of each preserve in an order by its first crop, then by its own name.

    >>> rows = [{"Preserve": "salsa", "Item": "salt"}, {"Preserve": "salsa", "Item": "tomato"}]
    >>> by_crop(rows, {"tomato"})
    {'salsa': ('tomato', 'salsa')}
    """
    items: dict[str, list[str]] = {}
    for row in ingredients:
        items.setdefault(str(row["Preserve"]), []).append(str(row["Item"]))
    return {name: (next((item for item in used if item in crops), used[0]), name) for name, used in items.items()}


def read_gauge(text: str | None) -> str | None:
    """
    Read a gauge, dial or weighted; None when it is not given.

    >>> read_gauge(" Dial"), read_gauge("weighted gauge"), read_gauge(None)
    ('dial', 'weighted', None)
    """
    word = text.strip().casefold().removesuffix(" gauge") if text is not None else None
    if word not in (None, "dial", "weighted"):
        msg = f"{text} is no gauge; write dial or weighted"
        raise CommandWrong(msg)
    return word


HIGHEST_FEET = 30_000
"""No kitchen is higher; the check of a workbook has the same bound."""


def read_altitude(text: str, *, metric: bool) -> tuple[float, str]:
    """
    Read an altitude with its unit, in feet for a workbook in US units: metres are made whole feet, rounded up.

    A metric workbook takes a bare number as metres. Without either it is refused: 1,500 m are nearly 5,000 ft, and
    every canning time hangs on it.

    >>> read_altitude("1,450 ft", metric=False), read_altitude("440", metric=True), read_altitude("440m", metric=False)
    ((1450.0, 'ft'), (440.0, 'm'), (1444.0, 'ft'))

    Raises CommandWrong.
    """
    try:
        refuse_two_altitudes(text)
    except MeasureWrong as wrong:
        raise CommandWrong(str(wrong)) from None
    found = ALTITUDE.fullmatch(re.sub(r"(\d),(\d{3})\b", r"\1\2", text))
    if not found:
        msg = f"{text!r} is not an altitude; write it as 1450ft or 440m"
        raise CommandWrong(msg)
    if not found.group(2) and not metric:
        msg = f"{text} may be feet or meters, and canning times depend on it; write {text}ft or {text}m"
        raise CommandWrong(msg)
    figure, in_metres = float(found.group(1).replace(",", ".")), (found.group(2) or "m").lower().startswith("m")
    if (figure / FOOT_METRES if in_metres else figure) > HIGHEST_FEET:
        msg = f"{text!r} is higher than any kitchen; write it as 1450ft or 440m"
        raise CommandWrong(msg)
    if in_metres and not metric:
        return float(math.ceil(figure / FOOT_METRES - 1e-6)), "ft"
    return figure, "m" if in_metres else "ft"


# The starting rows for tables that are new in a household's workbook, chosen to fit beside the tables it has.

ANY_DAY = datetime.date(2000, 1, 1)
"""What is read here does not hang on the day."""
NEAR = 0.01
"""So much may two sizes differ and still be the same jar: a quart is written as 0.95 L, too."""


@dataclass(frozen=True)
class Filled:
    """What goes into the new tables, what was left out, what theirs stand for, what could not be written anywhere."""

    contents: Contents = field(default_factory=lambda: Contents({}))
    left_out: tuple[LeftOut, ...] = ()
    called: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def rows(self) -> Rows:
        """The rows by table."""
        return self.contents.rows


def starting_rows(
    book: Book, missing: Collection[str], filling: Filling, *, metric: bool, stopped: Mapping[str, str] | None = None
) -> Filled:
    """
    Give the starting rows for the missing tables of a workbook, as they fit beside the tables that it has.

    `stopped` names preserves that are to stand at Include = no, with why. Raises CommandWrong for an altitude that
    cannot be read.
    """
    if filling.altitude:
        read_altitude(filling.altitude, metric=metric)  # refused even where there is no row to write it into
    if not missing:
        return Filled()
    household, _ = read.household(book, ANY_DAY)
    kitchen = household.kitchen
    people = filling.people if filling.people is not None else kitchen.people
    gauge = kitchen.gauge if "Kitchen" not in missing else filling.gauge
    every, beyond = contents_for(replace(filling, metric=metric, people=people, gauge=gauge))
    theirs = what_they_have(book, household, every.rows, missing)
    rows, left = fitted(every.rows, theirs)
    left += beyond if "Preserves" in rows else ()
    extra = {table: columns for table, columns in every.extra.items() if table in rows}
    if "Winter list" in rows and "Kitchen" not in rows:  # the formula counts the people that our Kitchen names
        extra.pop("Winter list")
        rows["Winter list"] = [
            plain_target(row, people if people is not None else EXAMPLE_PEOPLE) for row in rows["Winter list"]
        ]
    if "Preserves" in rows and stopped:
        rows["Preserves"] = set_to_no(rows["Preserves"], stopped)
        left += made_no(stopped)
    contents = replace(every, rows=rows, extra=extra)
    return Filled(contents, left, tuple(used_names(rows, theirs.called)), tuple(notes(filling, theirs)))


def what_they_have(book: Book, household: Household, every: Rows, missing: Collection[str]) -> Theirs:
    """The tables that are not missing, with the names in them and what those stand for."""
    reading = Reading(ANY_DAY)
    found = find_rows(book, reading)
    gather_names(found, reading)
    tables = frozenset(set(every) - set(missing))
    return Theirs(
        tables=tables,
        names=reading.names,
        called=called(household, every, missing),
        targets={key(target.name): target.unit for target in household.targets},
        undecided=frozenset(table for table in tables if not found[table].heading_cell),
    )


def called(household: Household, every: Rows, missing: Collection[str]) -> dict[str, dict[str, str]]:
    """
    What they call the things of a starting workbook, where theirs are plainly the same under another name.

    The same are: crops of one food, bought ingredients that the handbook takes for one thing, containers of one kind
    and size, equipment of one kind. Of several the first in their table is taken.
    """
    found: dict[str, dict[str, str]] = {}
    for table, heading, same in (
        ("Crops", "Crop", same_crops),
        ("Pantry", "Ingredient", same_ingredients),
        ("Containers", "Container", same_containers),
        ("Equipment", "Equipment", same_equipment),
    ):
        if table in missing:
            continue
        own = Names("thing", named(household, table))
        for row in every[table]:
            ours = str(row[heading])
            theirs = next(iter(same(household, row)), None)
            if theirs is not None and own.find(ours) is None:
                found.setdefault(table, {}).setdefault(ours, theirs)
    return found


def used_names(rows: Mapping[str, Sequence[Row]], called: Mapping[str, Mapping[str, str]]) -> Iterable[tuple[str, str]]:
    """Pairs of our name and theirs, of what the rows speak of."""
    spoken = {str(row.get("Item")) for row in rows.get("Ingredients", ())}
    for row in rows.get("Preserves", ()):
        spoken |= {str(row["Container"]), *pieces_of(row)}
    for names in called.values():
        yield from ((ours, theirs) for ours, theirs in names.items() if theirs in spoken)


def named(household: Household, table: str) -> list[str]:
    """The names in one of their tables."""
    things: Mapping[str, Iterable[Crop | PantryItem | Container | Equipment]] = {
        "Crops": household.crops,
        "Pantry": household.pantry,
        "Containers": household.containers,
        "Equipment": household.equipment,
    }
    return [thing.name for thing in things[table]]


def same_crops(household: Household, row: Row) -> Iterable[str]:
    """Their crops of the very food of one of ours."""
    food = stricter(None, str(row["Handbook food"]))
    return (crop.name for crop in household.crops if food and stricter(crop.handbook_food, crop.name) == food)


def same_ingredients(household: Household, row: Row) -> Iterable[str]:
    """Their bought ingredients that the handbook takes for one of ours, and that are measured as it is."""
    thing = stricter_extra(None, str(row["Handbook item"]))
    base = "kg" if row["Unit"] in {"lb", "kg"} else "litre"
    return (
        item.name
        for item in household.pantry
        if thing is not None and item.base_unit == base and stricter_extra(item.handbook_item, item.name) == thing
    )


def same_containers(household: Household, row: Row) -> Iterable[str]:
    """Their containers of the kind and size of one of ours."""
    unit = unit_of(str(row["Unit"]))
    size = float(str(row["Holds"])) * unit.factor
    return (
        theirs.name
        for theirs in household.containers
        if theirs.kind == row["Kind"] and abs(size - size_of(theirs, unit.measures)) <= NEAR * size
    )


def size_of(container: Container, measures: str) -> float:
    """How much a container holds, in kg or litres; 0 where it is measured the other way."""
    return (container.holds_litres if measures == "volume" else container.holds_kg) or 0.0


def same_equipment(household: Household, row: Row) -> Iterable[str]:
    """Their pieces of the kind of one of ours."""
    return (piece.name for piece in household.equipment if piece.kind == row.get("Kind"))


def plain_target(row: Row, people: float) -> Row:
    """A line of the winter list with its number instead of a formula, and in the note how it was come by."""
    values: dict[str, Entry] = {
        heading: entry.value if isinstance(entry, Formula) else entry
        for heading, entry in row.items()
        if heading not in HELPERS
    }
    servings, weeks, each = (format_number(float(str(row[heading]))) for heading in (SERVINGS, WEEKS, EACH))
    eaters = format_count(people, "person")
    sum_of_it = f"{eaters} x {servings} servings a week x {weeks} weeks, {each} servings each"
    return {**values, "Note": f"example: {sum_of_it}; type your own"}


def set_to_no(rows: Sequence[Row], names: Collection[str]) -> list[Row]:
    """Return rows of Preserves with Include = no for some of them."""
    return [{**row, "Include": "no"} if row["Preserve"] in names else row for row in rows]


def made_no(stopped: Mapping[str, str]) -> tuple[LeftOut, ...]:
    """Return of which preserves Include is no, and why; equal reasons once."""
    return tuple(
        LeftOut("Preserves", tuple(name for name, because in stopped.items() if because == why), why, made_no=True)
        for why in dict.fromkeys(stopped.values())
    )


def notes(filling: Filling, theirs: Theirs) -> Iterable[str]:
    """Give what was told for tables that are theirs, and what has to be decided first."""
    told = (("people", filling.people), ("altitude", filling.altitude), ("gauge", filling.gauge))
    given = [f"{word} {value}" for word, value in told if value is not None]
    if given and "Kitchen" in theirs.tables:
        yield f"the Kitchen table is yours and was not touched: type {' and '.join(given)} there yourself"
    hours = filling.hands is not None or filling.stove_free is not None
    others = (("Hours", hours), ("Containers", filling.jars is not None), ("Equipment", filling.ways is not None))
    for table, is_given in others:
        if is_given and table in theirs.tables:
            yield f"the {table} table is yours and was not touched: check it yourself"
    if filling.picked and "Harvest" in theirs.tables:
        yield "the Harvest table is yours and was not touched: add what you picked with stillroom weigh"
    if theirs.undecided:
        tables = " and ".join(sorted(theirs.undecided))
        yield f"decide about {tables} first, in the workbook as it was; adopted with --filled again, more rows fit"
