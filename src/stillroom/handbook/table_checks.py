"""Checks of the handbook's own tables: what must be true of them before anybody plans by them."""

from __future__ import annotations

import itertools
from collections import Counter, defaultdict
from collections.abc import Iterator

from stillroom.handbook.foods import kinds
from stillroom.handbook.ingredients import extras
from stillroom.handbook.jars import JARS, KILOGRAMS, LITRES
from stillroom.handbook.lines import lines
from stillroom.handbook.processes import DIAL_TOP_FT, MOST_LB, TABLE_TOP_FT, Process, all_processes, ladders
from stillroom.handbook.tables import STATUSES, TABLES, listed, table

SHORTER_QUARTS: dict[str, str] = {}
"""Lines whose quart is shorter than its pint, with the reason; the tables hold none."""


def faults() -> tuple[str, ...]:
    """Give everything that is wrong with the tables, in words; empty when they are sound."""
    return tuple(fault for check in CHECKS for fault in check())


def rows_are_sourced() -> Iterator[str]:
    """Every row of every table has a key, a source and a known status."""
    for name in TABLES:
        for place, row in enumerate(table(name), start=2):
            if not row["key"].strip() or not row["source"].strip():
                yield f"{name} line {place}: no key or no source"
            if row["status"] not in STATUSES:
                yield f"{name} line {place}: status {row['status']!r}"


def keys_are_unique() -> Iterator[str]:
    """No key stands twice in a table (process tables: no key, option, gauge and band)."""
    for name in TABLES:
        counted = Counter(
            tuple(row.get(part, "") for part in ("key", "option", "gauge", "altitude_min_ft", "unit", "status"))
            if name == "proportions"
            else tuple(row.get(part, "") for part in ("key", "option", "gauge", "altitude_min_ft"))
            for row in table(name)
        )
        yield from (f"{name}: {key} stands {count} times" for key, count in counted.items() if count > 1)


def bands_meet() -> Iterator[str]:
    """Bands begin at 0, meet without gap or overlap, and end where the table ends."""
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


def nothing_falls_with_altitude() -> Iterator[str]:
    """Neither minutes nor pounds fall as the altitude rises."""
    for rungs in ladders(all_processes()):
        for lower, upper in itertools.pairwise(rungs):
            if upper.minutes < lower.minutes or (upper.pressure_lb or 0) < (lower.pressure_lb or 0):
                yield f"{upper.key}: falls at {upper.altitude_min_ft} ft"


def larger_jars_are_not_shorter() -> Iterator[str]:
    """No jar has less time than a smaller one of the same product, pack, way, option, gauge and band."""
    found: dict[tuple[object, ...], dict[str, Process]] = defaultdict(dict)
    for row in all_processes():
        found[row.product, row.pack, row.method, row.option, row.gauge, row.altitude_min_ft][row.jar] = row
    for by_jar in found.values():
        sizes = sorted(by_jar, key=lambda jar: JARS[jar])
        for smaller, larger in itertools.pairwise(sizes):
            if by_jar[larger].minutes < by_jar[smaller].minutes and by_jar[larger].key not in SHORTER_QUARTS:
                yield f"{by_jar[larger].key}: shorter than its {smaller}"


def figures_are_possible() -> Iterator[str]:
    """Jars are known, minutes positive, pounds from 5 to 15."""
    for row in all_processes():
        if row.jar not in JARS or row.pack not in ("hot", "raw") or not 0 < row.minutes <= 120:
            yield f"{row.key}: {row.pack}, {row.jar}, {row.minutes} min"
        if row.pressure_lb is not None and not 5 <= row.pressure_lb <= MOST_LB:
            yield f"{row.key}: {row.pressure_lb} lb"


def units_are_known() -> Iterator[str]:
    """Amounts of acid and of recipes are in measures the handbook can turn into litres or kilograms."""
    for row in table("acid"):
        if row["unit"] not in LITRES:
            yield f"acid {row['key']}: unit {row['unit']!r}"
    for row in table("proportions"):
        if row["unit"] not in {**LITRES, **KILOGRAMS} or row["of_unit"] not in {**LITRES, **KILOGRAMS}:
            yield f"proportions {row['key']}: units {row['unit']!r}, {row['of_unit']!r}"


def names_join() -> Iterator[str]:
    """Every food, extra and product that one table names stands in the table it belongs to."""
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
        strangers = [name for name in listed(row["item"]) if name not in known]
        if strangers or row["product"] not in products:
            yield f"proportions {row['key']}: {strangers or row['product']}"


CHECKS = (
    rows_are_sourced,
    keys_are_unique,
    bands_meet,
    nothing_falls_with_altitude,
    larger_jars_are_not_shorter,
    figures_are_possible,
    units_are_known,
    names_join,
)
"""Every check of the tables, in reading order."""
