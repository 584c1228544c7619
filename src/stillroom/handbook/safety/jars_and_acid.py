"""Checks of the jar, glass and of a size the process table lists, and of the acid in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import lru_cache

from stillroom.errors import Problem
from stillroom.handbook.jars import (
    LITRES,
    PINT_LITRES,
    QUART_LITRES,
    ROUNDING,
    CountsAs,
    counts_as,
    format_volume,
    is_jar,
)
from stillroom.handbook.lines import jars_of, same_line_in
from stillroom.handbook.names import holds_phrase, join_words, tokens
from stillroom.handbook.safety.case import Case
from stillroom.handbook.tables import table
from stillroom.household.checks import SIZE_TOLERANCE, size_and_kind

_SIZES = {"pint": PINT_LITRES, "quart": QUART_LITRES, "gallon": QUART_LITRES * 4, "liter": 1.0, "litre": 1.0}


def in_a_jar(case: Case) -> Iterator[Problem]:
    """
    Require a glass jar for canned food.

    Source: AIB 539 (1994), Guide 1, jars and lids; the process tables are for glass jars.
    """
    if case.canned and (case.container is None or not is_jar(case.container)):
        name = case.container.name if case.container else case.preserve.container
        yield case.problem("jar not published: not a jar", name)


def size_as_named(case: Case) -> Iterator[Problem]:
    """
    Refuse a jar whose name gives a larger size than Holds: one of the two is a mistake.

    Source: rule of this project, so that no quart gets the time of a pint.
    """
    container = case.container
    if not case.canned or container is None or container.holds_litres is None:
        return
    named = liters_in_name(container.name)
    if named is not None and named > container.holds_litres * (1 + SIZE_TOLERANCE):
        yield case.problem(
            "jar not published: smaller than its name", container.name, case.jar_size(container.holds_litres)
        )


def liters_in_name(name: str) -> float | None:
    """
    Return the liters that the name of a jar gives; None where it gives no size, or more than one.

    >>> [round(liters_in_name(name) or 0, 3) for name in ("quart jars", "wide-mouth pint", "half-pint", "750 ml jar")]
    [0.946, 0.473, 0.237, 0.75]
    >>> liters_in_name("our tall jars"), liters_in_name("pint or quart jar"), liters_in_name("3 of the quart ones")
    (None, None, None)
    """
    written = size_and_kind(name)
    if written is not None:
        return written[0]
    words = tokens(name)
    if any(word.replace(".", "").isdigit() for word in words):
        return None
    halves = {f"half-{unit}": litres / 2 for unit, litres in _SIZES.items() if holds_phrase(words, ("half", unit))}
    whole = {unit: litres for unit, litres in _SIZES.items() if unit in words and f"half-{unit}" not in halves}
    found = [*halves.values(), *whole.values()]
    return found[0] if len(found) == 1 else None


def sound_jar_for_pressure(case: Case) -> Iterator[Problem]:
    """
    Refuse mayonnaise jars in a pressure canner.

    Source: AIB 539 (1994), Guide 1, jars and lids: they break.
    """
    if case.pressure and case.container is not None:
        words = {*tokens(case.container.name), *tokens(case.container.kind)}
        if words & {"mayonnaise", "mayo"}:
            yield case.problem("jar not published: mayonnaise jar", case.container.name)


def listed_jar(case: Case) -> Iterator[Problem]:
    """
    Require the line's own jar size; a liter counts as a quart, a jar above a listed size as the next larger one.

    Source: the process tables; no time is published for other jars.
    """
    line = case.line
    if (
        line is None
        or not line.canned
        or line.method != case.preserve.method
        or case.container is None
        or case.jar is not None
    ):
        return
    listed = jars_of(line)
    found = counts_as(case.container.holds_litres, listed)
    if found is not None:
        names = (case.container.name, found.jar, line.key, line.jar, same_line_in(found.jar, line) or "")
        yield case.problem("jar not published: other size", *names)
    elif case.container.holds_litres is None:
        yield case.problem("jar not published: not a volume", case.container.name, where=case.container.where)
    else:
        size = case.jar_size(case.container.holds_litres)
        yield case.problem("jar not published", line.product, size, ", ".join(listed))


def jar_counted(case: Case) -> Iterator[Problem]:
    """Note a liter jar that counts as a quart, or another jar that counts as the next larger one."""
    if case.jar is not None:
        yield from size_notes(case, case.jar)


def size_notes(case: Case, jar: CountsAs) -> Iterator[Problem]:
    """Note the published jar that a container counts as, where its own size is not listed."""
    if jar.how == "liter":
        yield case.problem("liter jar as quart", case.preserve.container)
    elif jar.how == "next larger":
        yield case.problem("next larger jar", case.preserve.container, jar.jar)


# Checks of acidity: no low-acid food in boiling water, and enough acid with tomatoes.

ENOUGH = 0.999
"""Share of the published dose that counts as the whole of it, so that rounding in a cell refuses nothing."""

WEAK_ACIDS = ("lemon or lime juice, not bottled", "vinegar of unknown strength")


def low_acid_under_pressure(case: Case) -> Iterator[Problem]:
    """
    Refuse low-acid food, unknown food included, in boiling water unless a published row allows it.

    Source: Michigan State Univ. Extension (10/1997), food acidity: above pH 4.6 it needs 240 F, so a pressure canner.
    """
    if not case.boiling or case.line is not None:
        return
    for part in case.low_acid:
        kind = "low-acid not pressure canned"
        yield case.problem(f"{kind}: unknown food" if part.unknown else kind, part.label, where=part.where)


def acid_for_tomatoes(case: Case) -> Iterator[Problem]:
    """
    Refuse canned tomatoes without the published acid, in either canner; an own recipe takes the acid too.

    Acids add up by their shares of a dose. Source: AIB 539 (1994), Guide 3, general; also for pressure: National Center
    for Home Food Preservation, standard tomato sauce (2015).
    """
    if not case.canned or "tomato" not in case.foods:
        return
    if case.line is not None and case.line.acid != "tomato":
        return
    liters = _jar_liters(case)
    if liters is None:
        return
    share = acid_share(case, liters)
    if share >= ENOUGH:
        return
    doses = [f"{format_volume(dose * liters, metric=case.metric)} {acid}" for acid, dose in doses_per_liter().items()]
    least = join_words(doses, "or")
    if share > 0:
        yield case.problem("acid below table", f"{share:.0%}", least)
    else:
        yield acid_missing(case, "acid missing", least)


def acid_missing(case: Case, kind: str, *names: str) -> Problem:
    """Return the problem of missing acid; its kind and last name show an ingredient whose acid cannot be counted."""
    sep = "," if ":" in kind else ":"
    for part in case.parts:
        if part.extra in WEAK_ACIDS:
            return case.problem(f"{kind}{sep} strength unknown", *names, part.item)
        if part.extra in doses_per_liter() and part.litres is None:
            return case.problem(f"{kind}{sep} amount unknown", *names, part.item)
    return case.problem(kind, *names)


def _jar_liters(case: Case) -> float | None:
    """Return the liters the dose is for: a listed jar's own size, else what the container holds."""
    litres = case.container.holds_litres if case.container is not None else None
    if litres is None:
        return None
    for size in (PINT_LITRES / 2, PINT_LITRES, QUART_LITRES):
        if abs(litres / size - 1) <= ROUNDING:
            return min(litres, size)
    return litres


@lru_cache(maxsize=1)
def doses_per_liter() -> Mapping[str, float]:
    """
    Return the liters of each published acid for a liter of tomatoes; the larger where pint and quart differ.

    >>> round(doses_per_liter()["bottled lemon juice"] * QUART_LITRES / LITRES["tablespoon"], 6)
    2.0
    """
    found: dict[str, float] = defaultdict(float)
    for row in table("acid"):
        dose = float(row["amount"]) * LITRES[row["unit"]] / LITRES[row["jar"]]
        found[row["acid"]] = max(found[row["acid"]], dose)
    return dict(found)


def acid_share(case: Case, jar_liters: float) -> float:
    """Return the share of a full dose that the acids among the direct ingredients add up to."""
    total = 0.0
    for part in case.parts:
        dose = doses_per_liter().get(part.extra or "")
        if dose and part.litres is not None and not part.through:
            total += part.litres / (dose * jar_liters)
    return total
