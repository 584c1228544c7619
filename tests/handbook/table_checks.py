"""Checks that the handbook's tables are complete and consistent."""

from __future__ import annotations

import itertools
from collections import Counter, defaultdict
from collections.abc import Iterator

from stillroom.handbook.foods import kinds, kinds_named
from stillroom.handbook.ingredients import extras
from stillroom.handbook.jars import JARS, KILOGRAMS, LITRES
from stillroom.handbook.lines import DIAL_TOP_FT, MOST_LB, TABLE_TOP_FT, Process, all_processes, ladders, lines
from stillroom.handbook.tables import STATUSES, TABLES, listed, number, table


def faults() -> tuple[str, ...]:
    """Return a sentence for everything that is wrong with the tables; empty when they are sound."""
    return tuple(fault for check in CHECKS for fault in check())


def unsourced_rows() -> Iterator[str]:
    """Yield each row without a key, a source or a known status."""
    for name in TABLES:
        for place, row in enumerate(table(name), start=2):
            if not row["key"].strip() or not row["source"].strip():
                yield f"{name} line {place}: no key or no source"
            if row["status"] not in STATUSES:
                yield f"{name} line {place}: status {row['status']!r}"


def repeated_keys() -> Iterator[str]:
    """Yield each key that a table has twice (process tables: key, option, gauge and band)."""
    for name in TABLES:
        counted = Counter(
            tuple(row.get(part, "") for part in ("key", "option", "gauge", "altitude_min_ft", "unit", "status"))
            if name == "proportions"
            else tuple(row.get(part, "") for part in ("key", "option", "gauge", "altitude_min_ft"))
            for row in table(name)
        )
        yield from (f"{name}: {key} occurs {count} times" for key, count in counted.items() if count > 1)


def gaps_between_bands() -> Iterator[str]:
    """Yield each band that leaves a gap or overlap, and each table that does not begin at 0 or ends elsewhere."""
    for rungs in ladders(all_processes()):
        name = f"{rungs[0].key} {rungs[0].option}{rungs[0].gauge}"
        if rungs[0].altitude_min_ft != 0:
            yield f"{name}: begins at {rungs[0].altitude_min_ft} ft"
        for lower, upper in itertools.pairwise(rungs):
            if upper.altitude_min_ft != lower.altitude_max_ft + 1:
                yield f"{name}: {lower.altitude_max_ft} ft does not meet {upper.altitude_min_ft} ft"
        ends = (1000, TABLE_TOP_FT) if rungs[0].option == "C" else (TABLE_TOP_FT,)
        if rungs[-1].altitude_max_ft not in ((DIAL_TOP_FT,) if rungs[0].gauge == "dial" else ends):
            yield f"{name}: ends at {rungs[-1].altitude_max_ft} ft"


def falls_with_altitude() -> Iterator[str]:
    """Yield each row where minutes or pressure fall as the altitude rises."""
    for rungs in ladders(all_processes()):
        for lower, upper in itertools.pairwise(rungs):
            if upper.minutes < lower.minutes or (upper.pressure_lb or 0) < (lower.pressure_lb or 0):
                yield f"{upper.key}: falls at {upper.altitude_min_ft} ft"


def shorter_larger_jars() -> Iterator[str]:
    """Yield each jar with less time than a smaller one of the same product, pack, method, option, gauge and band."""
    found: dict[tuple[object, ...], dict[str, Process]] = defaultdict(dict)
    for row in all_processes():
        found[row.product, row.pack, row.method, row.option, row.gauge, row.altitude_min_ft][row.jar] = row
    for by_jar in found.values():
        sizes = sorted(by_jar, key=lambda jar: JARS[jar])
        for smaller, larger in itertools.pairwise(sizes):
            if by_jar[larger].minutes < by_jar[smaller].minutes:
                yield f"{by_jar[larger].key}: shorter than its {smaller}"


def impossible_figures() -> Iterator[str]:
    """Yield each row with an unknown jar or pack, or with minutes or pressure out of range."""
    for row in all_processes():
        if row.jar not in JARS or row.pack not in ("hot", "raw") or not 0 < row.minutes <= 120:
            yield f"{row.key}: {row.pack}, {row.jar}, {row.minutes} min"
        if row.pressure_lb is not None and not 5 <= row.pressure_lb <= MOST_LB:
            yield f"{row.key}: {row.pressure_lb} lb"


def unknown_units() -> Iterator[str]:
    """Yield each amount of acid or of a recipe in a measure without a size in liters or kilograms."""
    for row in table("acid"):
        if row["unit"] not in LITRES:
            yield f"acid {row['key']}: unit {row['unit']!r}"
    for row in table("proportions"):
        if row["unit"] not in {**LITRES, **KILOGRAMS} or row["of_unit"] not in {**LITRES, **KILOGRAMS}:
            yield f"proportions {row['key']}: units {row['unit']!r}, {row['of_unit']!r}"


def unknown_names() -> Iterator[str]:
    """Yield each food, extra or product that a table names and its own table lacks."""
    known = set(kinds()) | set(extras())
    for line in lines().values():
        for name in (*line.foods, *line.also):
            if name not in kinds():
                yield f"{line.key}: no food is called {name!r}"
        for name in (*line.extras, *line.required):
            if name not in extras():
                yield f"{line.key}: no extra is called {name!r}"
    products = {line.product for line in lines().values()}
    for row in table("proportions"):
        unknown = [name for name in listed(row["item"]) if name not in known]
        if unknown or row["product"] not in products:
            yield f"proportions {row['key']}: {unknown or row['product']}"


def rows_of_no_table() -> Iterator[str]:
    """Yield each row of what a pot takes whose food, published yield or density is in no table, or is not one."""
    keys = {name: {row["key"] for row in table(name)} for name in ("canned_yield", "densities")}
    for row in table("in_the_pot"):
        found = [name for name, column in (("canned_yield", "yield_key"), ("densities", "density_key")) if row[column]]
        there = [row["density_key" if name == "densities" else "yield_key"] in keys[name] for name in found]
        if row["food"] not in kinds() or there != [True]:
            yield f"in_the_pot {row['key']}: food, yield or density"
        if (row["counted"] == "as picked") != bool(row["yield_key"]):
            yield f"in_the_pot {row['key']}: counted {row['counted']!r}"


def impossible_plantings() -> Iterator[str]:
    """Yield each row of what a garden gives whose food or words no crop has, or whose figures are out of order."""
    for row in table("planting"):
        if kinds_named(row["words"] or row["food"]) != {row["food"]}:
            yield f"planting {row['key']}: no crop is called so"
        low, high, near, far = (number(row[column]) for column in ("lb_low", "lb_high", "inches_low", "inches_high"))
        if row["per"] not in ("100 ft", "plant") or (low is None) != (high is None) or (near is None) != (far is None):
            yield f"planting {row['key']}: a figure is missing"
        if not 0 < (low or 1) <= (high or 1) or not 0 < (near or 1) <= (far or 1) or (low is None and not row["note"]):
            yield f"planting {row['key']}: figures out of order, or none and no note that says why"


CHECKS = (
    unsourced_rows,
    repeated_keys,
    gaps_between_bands,
    falls_with_altitude,
    shorter_larger_jars,
    impossible_figures,
    unknown_units,
    unknown_names,
    rows_of_no_table,
    impossible_plantings,
)
"""Every check of the tables, in reading order."""
