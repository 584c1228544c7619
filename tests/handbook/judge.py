"""
An independent judge of settled households: reads the CSV files itself and knows nothing of the handbook's code.

It is told the truth about every item by the test that made it up (`truth`: name -> food, or "salt", "acid:...", "thick",
"unknown"), so that no name can fool it. Its own short constants were typed from the publications.
"""

from __future__ import annotations

import csv
from pathlib import Path

TABLES = Path(__file__).resolve().parents[2] / "shared" / "handbook"
QUART = 0.946352946
JAR_LITRES = {"half-pint": QUART / 4, "pint": QUART / 2, "quart": QUART, "half-gallon": QUART * 2}
SPOON = QUART / 64
ACID_A_QUART = {"acid:lemon": 2 * SPOON, "acid:citric": SPOON / 6, "acid:vinegar": 4 * SPOON}
LOW_ACID = {
    "snap beans", "sweet corn", "winter squash", "summer squash", "onions", "hot peppers", "sweet peppers", "cucumbers", "beets", "carrots",
    "cabbage", "figs", "potatoes", "garlic", "celery", "ham", "beef", "unknown", "thick",
}  # fmt: skip
VINEGAR_CUPS_A_POUND = {
    "quick dill pickles": 6 / 8, "bread-and-butter pickles": 4 / 9, "pickled beets": 4 / 9, "pickled bell peppers": 3 / 7.2,
    "pickled hot peppers": 5 / 7.2, "pickled carrots": 5.5 / 3.5, "chile salsa": 1 / 8, "tomato ketchup": 3 / 25.1,
}  # fmt: skip
COOKED = ("juice", "crushed tomatoes", "tomato sauce", "spaghetti sauce", "ketchup", "jam")


def read(name):
    """Read one table with the csv module alone."""
    with (TABLES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


BOILING, PRESSURE, PRODUCTS = read("process_boiling_water"), read("process_pressure"), read("products")
SECOND = read("high_altitude_fruit")
FOODS = {row["food"] for row in read("foods")} | {"ham", "beef", "unknown", "thick"}
KEPT = {
    method: {
        food.strip()
        for row in read("kept")
        if row["method"] == method
        for food in f"{row['foods']};{row['also'] if method == 'fermented' else ''}".split(";")
    }
    for method in ("root cellar", "dried", "fermented")
}


def rows_at(rows, altitude, gauge):
    """Rows whose band holds at this altitude: the lowest band reaches down without end."""
    return [
        row for row in rows
        if ("gauge" not in row or row["gauge"] == gauge)
        and (int(row["altitude_min_ft"]) == 0 or altitude > int(row["altitude_min_ft"]) - 1)
        and altitude <= int(row["altitude_max_ft"])
    ]  # fmt: skip


def low_acid_pounds(altitude, gauge):
    """The published pounds for low-acid food (PNW 421)."""
    if gauge == "weighted":
        return 10 if altitude <= 1_000 else 15
    return next(lb for top, lb in ((2_000, 11), (4_000, 12), (6_000, 13), (8_000, 14)) if altitude <= top)


def foods_in(household, preserve, truth, seen=()):
    """Every (food, kg or litres, direct, from frozen) that goes in, other preserves followed."""
    for item in preserve.ingredients:
        if item.source == "preserve":
            inner = next(other for other in household.preserves if other.name == item.item)
            if inner.name not in seen:
                for food, amount, _, _ in foods_in(household, inner, truth, (*seen, inner.name)):
                    yield food, amount * item.amount_each, False, False
        else:
            yield truth[item.item], item.amount_each, True, item.from_frozen


def broken(household, truth):
    """Say everything that is planned below the tables; empty when the fence held."""
    fixed = {line.name for line in household.plan_lines if line.fix}
    return [
        f"{preserve.name}: {fault}"
        for preserve in household.preserves
        if preserve.include or preserve.name in fixed
        for fault in faults(household, preserve, truth)
    ]


def faults(household, preserve, truth):
    """Judge one planned preserve."""
    items = list(foods_in(household, preserve, truth))
    foods = {food for food, *_ in items}
    container = next(item for item in household.containers if item.name == preserve.container)
    if preserve.method not in ("boiling-water canned", "pressure canned"):
        yield from uncanned_faults(preserve, container, foods)
        return
    yield from canned_faults(household, preserve, container, items, foods)


def uncanned_faults(preserve, container, foods):
    """Judge what is not canned: only raw produce of a cellaring row stands about, and days are days."""
    open_box = container.kind == "box" and container.lid is None
    eaten = foods & FOODS
    raw = preserve.method == "root cellar" and open_box and eaten and eaten <= KEPT["root cellar"]
    if preserve.kept_in in ("shelf", "cellar") and preserve.method != "dried" and not raw:
        yield "stands on the shelf and is neither canned, dried nor raw produce"
    if not preserve.handbook_line and not preserve.source and not raw:
        yield "has no source"
    if preserve.method in KEPT and preserve.kept_in != "freezer" and not eaten <= KEPT[preserve.method]:
        yield f"is {preserve.method} and has no row"
    cold = (preserve.method, preserve.kept_in) == ("refrigerated", "refrigerator")
    own_cold = cold and not preserve.handbook_line
    if own_cold and (preserve.keeps_months is None or preserve.keeps_months > 4 * 12 / 365):
        yield "keeps more than four days in the refrigerator"


def canned_faults(household, preserve, container, items, foods):
    """Judge what is canned."""
    altitude, gauge = household.kitchen.altitude_ft, household.kitchen.gauge
    pressure = preserve.method == "pressure canned"
    if (
        altitude is None
        or altitude > 10_000
        or (pressure and (gauge not in ("dial", "weighted") or (gauge == "dial" and altitude > 8_000)))
    ):
        yield "no table for this kitchen"
        return
    piece = next(
        (item for item in household.equipment if preserve.equipment and item.name == preserve.equipment[-1]), None
    )
    if piece is None or piece.kind != ("pressure canner" if pressure else "boiling-water canner"):
        yield "wrong equipment"
    elif pressure and max((load.number for load in piece.loads if load.unit == "quart jars"), default=0) < 4:
        yield "saucepan"
    if container.kind != "jar":
        yield "no jar"
        return
    if foods & {"thick"} or preserve.name.startswith("UNSAFE"):
        yield "advised against"
    if pressure and preserve.vent_minutes < 10:
        yield "not vented"
    yield from (own_faults if preserve.own_recipe else line_faults)(household, preserve, container, items, foods)


def product_of(key):
    """The product a line key belongs to, by its rows."""
    return next(row["product"] for row in (*BOILING, *PRESSURE) if row["key"] == key)


def line_faults(household, preserve, container, items, foods):
    """Judge a published line: way, jar, foods, minutes, pounds, acid, thawed crop."""
    key, altitude, gauge = preserve.handbook_line, household.kitchen.altitude_ft, household.kitchen.gauge
    table = PRESSURE if preserve.method == "pressure canned" else BOILING
    rows = [row for row in rows_at(table, altitude, gauge) if row["key"] == key]
    if not rows:
        yield "no published row"
        return
    good = [
        row
        for row in rows
        if preserve.process_minutes >= float(row["minutes"])
        and (table is BOILING or preserve.pressure_lb == float(row["pressure_lb"]))
    ]
    if not good:
        yield f"{preserve.process_minutes} min at {preserve.pressure_lb} is below the table"
    jar = JAR_LITRES[rows[0]["jar"]]
    if container.holds_litres > jar * 1.016 and not (rows[0]["jar"] == "quart" and container.holds_litres <= 1.016):
        yield "larger jar than published"
    product = next(row for row in PRODUCTS if row["product"] == rows[0]["product"] and row["method"] == preserve.method)
    allowed = {name.strip() for column in ("foods", "also") for name in product[column].split(";")}
    named = {"beef": "meat"}
    for food in foods:
        if (
            food not in ("salt", "sugar", "spice", "weak acid")
            and not food.startswith("acid:")
            and named.get(food, food) not in allowed
        ):
            yield f"{food} is not in the row"
    yield from acid_faults(preserve, container, items, product)
    if any(frozen for *_, frozen in items) and not any(word in product["product"] for word in COOKED):
        yield "thawed crop in a whole pack"


def acid_faults(preserve, container, items, product):
    """Judge the acid of tomatoes and the vinegar of pickles."""
    if product is None or product["acid"] == "tomato":
        size = min(
            [litres for litres in JAR_LITRES.values() if abs(litres / container.holds_litres - 1) < 0.016]
            or [container.holds_litres]
        )
        share = sum(
            amount / (ACID_A_QUART[food] * size / QUART)
            for food, amount, direct, _ in items
            if direct and food in ACID_A_QUART
        )
        if share < 0.998:
            yield f"only {share:.2f} of the acid"
    elif product["product"] in VINEGAR_CUPS_A_POUND:
        pounds = sum(amount for food, amount, *_ in items if food in LOW_ACID | {"tomato"}) / 0.45359237
        cups = sum(amount for food, amount, direct, _ in items if direct and food == "acid:vinegar") / (QUART / 4)
        if cups < pounds * VINEGAR_CUPS_A_POUND[product["product"]] * 0.99:
            yield f"{cups:.2f} cups of vinegar for {pounds:.2f} lb"


def own_faults(household, preserve, container, items, foods):
    """Judge an own recipe: source, minutes, low acid, the greatest time of each food, pounds, acid."""
    altitude, gauge = household.kitchen.altitude_ft, household.kitchen.gauge
    pressure = preserve.method == "pressure canned"
    if not (preserve.source or "").strip() or not preserve.minutes_typed:
        yield "own recipe without source or minutes"
    if foods & LOW_ACID and not pressure:
        yield "low-acid food in boiling water"
    if "tomato" in foods:
        yield from acid_faults(preserve, container, items, None)
    if any(frozen for *_, frozen in items):
        yield "thawed crop in an own canned recipe"
    table = PRESSURE if pressure else BOILING
    for food in foods:
        products = {
            row["product"]
            for row in PRODUCTS
            if row["method"] == preserve.method
            and food in [name.strip() for name in row["foods"].split(";")]
            and row["least_kinds"] == "1"
        }
        rows = [row for row in rows_at(table, altitude, gauge) if row["product"] in products]
        jars = {row["jar"] for row in rows}
        fitting = [
            row
            for row in rows
            if JAR_LITRES[row["jar"]] * 1.016 >= container.holds_litres
            or (row["jar"] == "quart" and container.holds_litres <= 1.016)
        ]
        if food in LOW_ACID and not rows:
            yield f"{food} has no row"
        if rows and not fitting:
            yield f"jar not in {jars} for {food}"
        if fitting:
            smallest = min((row["jar"] for row in fitting), key=JAR_LITRES.__getitem__)
            least = max(float(row["minutes"]) for row in fitting if row["jar"] == smallest)
            if preserve.process_minutes < least:
                yield f"{preserve.process_minutes} min, and {food} has {least}"
        if food in LOW_ACID and preserve.pressure_lb != low_acid_pounds(altitude, gauge):
            yield f"{preserve.pressure_lb} lb for {food}"
