"""What is made up about an invented household, and how it becomes the rows of a workbook on top of the starting one."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stillroom.workbook.starter import examples
from stillroom.workbook.starter.first_rows import starting_contents
from stillroom.workbook.starter.layout import Contents, Entry, Formula, Row

INVENTED = "invented"
LABEL = "Invented data: this household, its harvest, stocks, hours and prices are made up."
PLUM, SLICING = "plum tomato", "slicing tomato"
FROM_SLICING = ("tomato juice", "tomato and vegetable juice", "crushed tomatoes", "tomatoes, frozen")
"""Preserves made of slicing tomatoes; every other tomato preserve takes plum tomatoes."""
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True)
class Parameters:
    """
    One invented household.

    `picks` holds for each crop "day pounds" pairs with commas, day 0 being the first day: up to day 0 they are
    weighed, later ones expected, 30 % more or less. `hours` holds seven figures, Monday first, and after a stroke the
    hours of a later week. `stocks` of containers and lids: on hand, coming back each week, price, can buy. `pantry`:
    on hand, unit, price, can buy. `wishes` change the list: importance, servings a week, shop price, meals each. `make`
    names the preserves with Include = yes, with semicolons between. `settings` are in the units of a US workbook.
    """

    file: str
    title: str
    first_day: datetime.date
    people: int
    altitude: str
    gauge: str
    settings: Mapping[str, Entry]
    hours: Mapping[str, str]
    picks: Mapping[str, str]
    stocks: Mapping[str, tuple[float, float, float | None, Entry]]
    lids: Mapping[str, tuple[float, float | None, Entry]]
    pantry: Mapping[str, tuple[float, str, float, Entry]]
    wishes: Mapping[str, tuple[int, float, float, float]]
    make: str
    eaten: Mapping[str, float] = field(default_factory=dict)
    keeps: Mapping[str, float] = field(default_factory=dict)
    shelf: Sequence[tuple[str, int, str]] = ()
    frozen: Sequence[tuple[str, float, int]] = ()
    how_many: Mapping[str, int] = field(default_factory=dict)


def contents_of(facts: Parameters) -> Contents:
    """Everything that the household's workbook holds."""
    base = starting_contents(people=facts.people, altitude=facts.altitude, gauge=facts.gauge)
    crops = list(crop_rows(base, facts))
    grown = {str(row["Crop"]) for row in crops}
    ingredients = [with_tomato(row) for row in base.rows["Ingredients"]]
    bought = {str(row["Ingredient"]) for row in base.rows["Pantry"]} & set(facts.pantry)
    preserves = list(preserve_rows(base, facts, ingredients, grown | bought))
    kept = {str(row["Preserve"]) for row in preserves}
    counts = [row for row in base.rows["Counts toward"] if row["Preserve"] in kept and row["Target"] in facts.wishes]
    counted = {row["Target"] for row in counts}
    rows = {
        "Kitchen": list(kitchen_rows(base, facts)),
        "Hours": list(hours_rows(facts)),
        "Equipment": list(equipment_rows(base, facts)),
        "Crops": crops,
        "Harvest": list(harvest_rows(facts)),
        "Containers": list(container_rows(base, facts)),
        "Lids": list(lid_rows(facts)),
        "Pantry": list(pantry_rows(facts)),
        "Shelf": [shelf_row(*one) for one in facts.shelf],
        "Preserves": preserves,
        "Ingredients": [row for row in ingredients if row["Preserve"] in kept],
        "Winter list": [row for row in target_rows(base, facts) if row["Target"] in counted],
        "Counts toward": counts,
    }
    return replace(base, rows=rows, title=facts.title, label=LABEL)


def with_tomato(row: Row) -> Row:
    """The ingredient line with the kind of tomato this household takes for it."""
    if row["Item"] != "tomato":
        return row
    slicing = str(row["Preserve"]).startswith(FROM_SLICING)
    return {**row, "Item": SLICING if slicing else PLUM}


def kitchen_rows(base: Contents, facts: Parameters) -> Iterator[Row]:
    """The settings, with what this household typed."""
    typed = {**facts.settings, "first day": facts.first_day}
    for row in base.rows["Kitchen"]:
        name = str(row["Setting"])
        note = str(row["Note"]).removeprefix("example: type your own. ")
        yield {**row, "Value": typed.get(name, row["Value"]), "Note": note}


def hours_rows(facts: Parameters) -> Iterator[Row]:
    """Hours by weekday; the figure after the stroke is for each later week."""
    for what, text in facts.hours.items():
        days, _, week = text.partition("/")
        figures: dict[str, Entry] = {day: float(figure) for day, figure in zip(WEEKDAYS, days.split(), strict=True)}
        yield {"What": what, **figures, "Each later week": float(week) if week else None, "Note": INVENTED}


def equipment_rows(base: Contents, facts: Parameters) -> Iterator[Row]:
    """The starting equipment, with how many there are of it here."""
    for row in base.rows["Equipment"]:
        note = str(row["Note"]).replace("example: type your own", INVENTED)
        number = facts.how_many.get(str(row["Equipment"]))
        yield {**row, "Note": note, **({"How many": number} if number and row.get("How many") else {})}


def crop_rows(base: Contents, facts: Parameters) -> Iterator[Row]:
    """The crops that this household grows; tomatoes are of two kinds."""
    known = {str(row["Crop"]): row for row in base.rows["Crops"]}
    for name in facts.picks:
        row = dict(known["tomato" if name in {PLUM, SLICING} else name])
        keeps = facts.keeps.get(name)
        if keeps is not None:
            row |= {"Keeps days": keeps, "Note": f"keeps: this household's own figure, {INVENTED}; {row['Note']}"}
        yield {**row, "Crop": name, "Eaten fresh each week": facts.eaten.get(name)}


def harvest_rows(facts: Parameters) -> Iterator[Row]:
    """One row a picking, in the order of days; frozen lots first."""
    for crop, pounds, days_ago in facts.frozen:
        day = facts.first_day - datetime.timedelta(days=days_ago)
        yield {
            "Picked on": day, "Crop": crop, "Amount": pounds, "Unit": "lb", "Weighed or expected": "weighed",
            "Frozen on": day, "Note": INVENTED,
        }  # fmt: skip
    lots = [(int(day), crop, float(pounds)) for crop, text in facts.picks.items() for day, pounds in pairs(text)]
    for day, crop, pounds in sorted(lots):
        expected = day > 0
        yield {
            "Picked on": facts.first_day + datetime.timedelta(days=day),
            "Crop": crop,
            "Amount": pounds,
            "Unit": "lb",
            "Weighed or expected": "expected" if expected else "weighed",
            "Least": round(pounds * 0.7) if expected else None,
            "Most": round(pounds * 1.3) if expected else None,
            "Note": INVENTED,
        }


def pairs(text: str) -> Iterator[tuple[str, str]]:
    """Days and pounds of a line such as "-1 40, 2 55"."""
    for piece in text.split(","):
        day, pounds = piece.split()
        yield day, pounds


def container_rows(base: Contents, facts: Parameters) -> Iterator[Row]:
    """The jars, tubs, bags and boxes this household has, counted on the first day."""
    for row in base.rows["Containers"]:
        if row["Container"] not in facts.stocks:
            continue
        on_hand, back, price, can_buy = facts.stocks[str(row["Container"])]
        yield {
            **row, "On hand": on_hand, "Counted on": facts.first_day, "Empties returned per week": back or None,
            "Price": price, "Can buy": can_buy, "Note": INVENTED,
        }  # fmt: skip


def lid_rows(facts: Parameters) -> Iterator[Row]:
    """Lids, counted on the first day."""
    for name, (on_hand, price, can_buy) in facts.lids.items():
        yield {
            "Lid": name, "On hand": on_hand, "Counted on": facts.first_day, "Price": price, "Can buy": can_buy,
            "Note": INVENTED,
        }  # fmt: skip


def pantry_rows(facts: Parameters) -> Iterator[Row]:
    """Bought ingredients, counted on the first day."""
    for name, (on_hand, unit, price, can_buy) in facts.pantry.items():
        yield {
            "Ingredient": name, "Handbook item": name, "On hand": on_hand, "Unit": unit, "Counted on": facts.first_day,
            "Price": price, "Can buy": can_buy, "Note": INVENTED,
        }  # fmt: skip


def shelf_row(preserve: str, count: int, made_on: str) -> Row:
    """What is left from last year."""
    day = datetime.date.fromisoformat(made_on)
    return {"Preserve": preserve, "On hand": count, "Made on": day, "Where": "pantry shelf", "Note": INVENTED}


def preserve_rows(base: Contents, facts: Parameters, ingredients: Sequence[Row], items: set[str]) -> Iterator[Row]:
    """
    The preserves whose every ingredient and container this household has; Include = yes for those it makes.

    A second pack of the same food, which goes by its line in full, is left out unless it is made.
    """
    names = {str(row["Preserve"]) for row in base.rows["Preserves"]}
    lacking = {row["Preserve"] for row in ingredients if row["Item"] not in items | names}
    made = {" ".join(name.split()) for name in facts.make.split(";")}
    unknown = made - names
    if unknown:
        msg = f"{facts.file}: no such preserve: {sorted(unknown)}"
        raise ValueError(msg)
    for row in base.rows["Preserves"]:
        second = row["Preserve"] == row["Handbook line"] and str(row["Method"]).endswith(" canned")
        pressed = str(row["Handbook line"]).endswith(", pressure")
        if row["Container"] not in facts.stocks or ((second or pressed) and row["Preserve"] not in made):
            continue
        if row["Preserve"] not in lacking:
            yield {**row, "Include": "yes" if row["Preserve"] in made else "no"}


def target_rows(base: Contents, facts: Parameters) -> Iterator[Row]:
    """The winter list with this household's servings, importance, prices and meals."""
    for row in base.rows["Winter list"]:
        if row["Target"] not in facts.wishes:
            continue
        importance, servings, price, meals = facts.wishes[str(row["Target"])]
        weeks, each = float(str(row[examples.WEEKS])), float(str(row[examples.EACH]))
        wanted = Formula(examples.WANTED, examples.wanted(facts.people, servings, weeks, each))
        yield {
            **row, "Wanted": wanted, "Importance": importance, "Shop price": price, "Meals each": meals,
            "Note": INVENTED, examples.SERVINGS: servings,
        }  # fmt: skip
