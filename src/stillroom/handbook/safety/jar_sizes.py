"""Jar sizes: only what the table lists for the line, a litre as a quart, others as the next larger."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.jars import PINT_LITRES, QUART_LITRES, CountsAs, counts_as, is_jar
from stillroom.handbook.lines import jars_of, sister
from stillroom.handbook.names import holds_phrase, tokens
from stillroom.handbook.safety.case import Case
from stillroom.household.checks import SIZE_TOLERANCE, size_and_kind

_SIZES = {"pint": PINT_LITRES, "quart": QUART_LITRES, "gallon": QUART_LITRES * 4, "litre": 1.0, "liter": 1.0}


def in_a_jar(case: Case) -> Iterator[Problem]:
    """
    Canned goods go in glass jars.

    Source: AIB 539 (1994), Guide 1, jars and lids; the process tables are for glass jars.
    """
    if case.canned and (case.container is None or not is_jar(case.container)):
        name = case.container.name if case.container else case.preserve.container
        yield case.problem(
            "jar not published",
            f"{name} is not a jar, and food is canned in glass jars",
            "choose a jar (its Kind must say jar)",
        )


def size_as_named(case: Case) -> Iterator[Problem]:
    """
    A jar that is called larger than it is said to hold is not canned in: one of the two is a slip.

    Source: rule of this project, so that no quart is given the time of a pint.
    """
    container = case.container
    if not case.canned or container is None or container.holds_litres is None:
        return
    named = named_litres(container.name)
    if named is not None and named > container.holds_litres * (1 + SIZE_TOLERANCE):
        yield case.problem(
            "jar not published",
            f"{container.name} is said to hold {container.holds_litres:.2g} L, less than its name says",
            "correct what it holds in Containers, or its name",
        )


def named_litres(name: str) -> float | None:
    """
    Give the litres that the name of a jar says; None where it says none, or more than one.

    >>> [round(named_litres(name) or 0, 3) for name in ("quart jars", "wide-mouth pint", "half-pint", "750 ml jar")]
    [0.946, 0.473, 0.237, 0.75]
    >>> named_litres("our tall jars"), named_litres("pint or quart jar"), named_litres("3 of the quart ones")
    (None, None, None)
    """
    plainly = size_and_kind(name)
    if plainly is not None:
        return plainly[0]
    words = tokens(name)
    if any(word.replace(".", "").isdigit() for word in words):
        return None
    halves = {f"half-{unit}": litres / 2 for unit, litres in _SIZES.items() if holds_phrase(words, ("half", unit))}
    whole = {unit: litres for unit, litres in _SIZES.items() if unit in words and f"half-{unit}" not in halves}
    found = [*halves.values(), *whole.values()]
    return found[0] if len(found) == 1 else None


def sound_jar_for_pressure(case: Case) -> Iterator[Problem]:
    """
    Jars that mayonnaise was sold in are not for a pressure canner.

    Source: AIB 539 (1994), Guide 1, jars and lids: they break.
    """
    if case.pressure and case.container is not None:
        words = {*tokens(case.container.name), *tokens(case.container.kind)}
        if words & {"mayonnaise", "mayo"}:
            yield case.problem(
                "jar not published", f"{case.container.name} breaks in a pressure canner", "use a canning jar"
            )


def listed_jar(case: Case) -> Iterator[Problem]:
    """
    A line is planned in its own jar size; a litre counts as a quart, a jar above a listed size as the next larger.

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
        yield case.problem(
            "jar not published",
            f"{case.container.name} counts as a {found.jar} jar, and *{line.key}* is for the {line.jar}",
            f"write *{sister(line, found.jar)}* under Handbook line, or choose a {line.jar} jar",
        )
    elif case.container.holds_litres is None:
        yield case.problem(
            "jar not published",
            f"what {case.container.name} holds is not a volume, and jars are processed by volume",
            "write what it holds in fl oz, pints, quarts or litres, in Holds and Unit of Containers",
            case.container.where,
        )
    else:
        yield case.problem(
            "jar not published",
            f"no time is published for a jar of this size ({case.container.holds_litres:.2g} L) on *{line.product}*",
            f"use one of: {', '.join(listed)}",
        )


def jar_counted(case: Case) -> Iterator[Problem]:
    """Say it when a litre jar counts as a quart, or another jar as the next larger (only said)."""
    if case.jar is not None:
        yield from counted(case, case.jar)


def counted(case: Case, jar: CountsAs) -> Iterator[Problem]:
    """Say what a jar counts as, where it is not of a listed size itself (only said)."""
    name = case.preserve.container
    if jar.how == "litre":
        what = f"{name} holds a litre and is processed as a quart; its acid goes by its volume"
        yield case.problem("litre jar as quart", what, "nothing to do")
    elif jar.how == "next larger":
        what = f"{name} is processed as the next larger jar, a {jar.jar}"
        yield case.problem("next larger jar", what, "nothing to do")
