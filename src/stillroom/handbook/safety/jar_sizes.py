"""Checks of the jar: glass, sound, and of a size the process table lists."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.jars import PINT_LITRES, QUART_LITRES, CountsAs, counts_as, is_jar
from stillroom.handbook.lines import jars_of, same_line_in
from stillroom.handbook.names import holds_phrase, tokens
from stillroom.handbook.safety.case import Case
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
