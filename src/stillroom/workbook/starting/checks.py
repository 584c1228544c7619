"""Cells that turn red: a name no list knows, a need without a preserve, a lot without a crop, a missing altitude."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from stillroom.workbook.paints import Paint
from stillroom.workbook.starting import look
from stillroom.workbook.starting.sheets import Place


@dataclass(frozen=True)
class Check:
    """Cells of one table's sheet that are painted while a formula is true; the formula is for the first of them."""

    place: Place
    area: str
    formula: str
    paint: Paint = look.AMISS


def checks(found: Mapping[str, Place]) -> Iterator[Check]:
    """
    The red rules of every input table, and those of Coverage where a need falls short.

    A rule is left out where a table, or a column of a table, that it looks at is not there.
    """
    for place in found.values():
        for column in place.table.columns:
            lists = [
                found[name] for name in column.of if name in found and has(found[name], first_heading(found[name]))
            ]
            if column.kind == "name" and has(place, column.heading) and len(lists) == len(column.of):
                yield unknown_name(place, column.heading, lists)
    for table, heading, other in (("Needs", "Need", "Counts"), ("Preserves", "Preserve", "Ingredients")):
        if has(found.get(table), heading) and has(found.get(other), heading):
            yield missing(found[table], heading, found[other])
    if has(found.get("Kitchen"), "Setting", "Value"):
        yield altitude(found["Kitchen"])
    if has(found.get("Coverage"), "Covered"):
        yield from short(found["Coverage"])


def has(place: Place | None, *headings: str) -> bool:
    """Whether a table is there with these columns."""
    return place is not None and all(heading in place.headings for heading in headings)


def first_heading(place: Place) -> str:
    """The heading under which a table's things are named: our first, which theirs need not have first."""
    return place.table.headings[0]


def unknown_name(place: Place, heading: str, targets: list[Place]) -> Check:
    """Red where a name stands in none of the lists it should come from."""
    first = f"${place.letter(heading)}{place.first_row}"
    counts = "+".join(f"COUNTIF({target.fixed(first_heading(target))},{first})" for target in targets)
    return Check(place, place.body(heading), f"AND(LEN({first})>0,{counts}=0)")


def missing(place: Place, heading: str, other: Place) -> Check:
    """Red where no row of the other table names this one."""
    first = f"${place.letter(heading)}{place.first_row}"
    return Check(place, place.body(heading), f"AND(LEN({first})>0,COUNTIF({other.fixed(heading)},{first})=0)")


def altitude(kitchen: Place) -> Check:
    """Red while the altitude is blank: without it nothing is canned."""
    setting, value = kitchen.letter("Setting"), kitchen.letter("Value")
    formula = f'AND(${setting}{kitchen.first_row}="altitude",LEN(${value}{kitchen.first_row})=0)'
    return Check(kitchen, kitchen.body("Value"), formula)


def short(coverage: Place) -> Iterator[Check]:
    """Red where a need falls short, green where it is filled."""
    first = f"${coverage.letter('Covered')}{coverage.first_row}"
    area = coverage.body("Covered")
    yield Check(coverage, area, f"AND(LEN({first})>0,{first}<0.995)", look.SHORT)
    yield Check(coverage, area, f"AND(LEN({first})>0,{first}>=0.995)", look.FILLED)
