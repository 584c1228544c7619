"""Cells that turn red: a name no list knows, a need without a preserve, a lot without a crop, a missing altitude."""

from __future__ import annotations

from collections.abc import Mapping

from openpyxl.formatting.rule import Rule
from openpyxl.styles import Font
from openpyxl.styles.differential import DifferentialStyle
from openpyxl.workbook import Workbook

from stillroom.workbook.starting import look
from stillroom.workbook.starting.contents import Contents, Formula
from stillroom.workbook.starting.sheets import Place


def shown_when(formula: str, colour: str, background: str | None = None) -> Rule:
    """A rule that colours a cell while a formula is true."""
    filled = look.fill(background) if background else None
    return Rule(
        type="expression", formula=[formula], dxf=DifferentialStyle(font=Font(color=colour, bold=True), fill=filled)
    )


def red(formula: str) -> Rule:
    """A rule that turns a cell brick red."""
    return shown_when(formula, look.BRICK, look.PALE_BRICK)


def add_checks(workbook: Workbook, found: Mapping[str, Place]) -> None:
    """Put the red rules on every input table, and on Coverage where a need falls short."""
    for place in found.values():
        for column in place.table.columns:
            if column.kind == "name":
                add_unknown_name(workbook, place, column.heading, [found[name] for name in column.of])
    add_missing(workbook, found["Needs"], "Need", found["Counts"], "Need")
    add_missing(workbook, found["Preserves"], "Preserve", found["Ingredients"], "Preserve")
    add_altitude(workbook, found["Kitchen"])
    add_short(workbook, found["Coverage"])


def add_unknown_name(workbook: Workbook, place: Place, heading: str, targets: list[Place]) -> None:
    """Red where a name stands in none of the lists it should come from."""
    first = f"${place.letter(heading)}{place.first_row}"
    counts = "+".join(f"COUNTIF({target.fixed(target.headings[0])},{first})" for target in targets)
    rule = red(f"AND(LEN({first})>0,{counts}=0)")
    workbook[place.sheet].conditional_formatting.add(place.body(heading), rule)


def add_missing(workbook: Workbook, place: Place, heading: str, other: Place, other_heading: str) -> None:
    """Red where no row of the other table names this one."""
    first = f"${place.letter(heading)}{place.first_row}"
    rule = red(f"AND(LEN({first})>0,COUNTIF({other.fixed(other_heading)},{first})=0)")
    workbook[place.sheet].conditional_formatting.add(place.body(heading), rule)


def add_altitude(workbook: Workbook, kitchen: Place) -> None:
    """Red while the altitude is blank: without it nothing is canned."""
    setting, value = kitchen.letter("Setting"), kitchen.letter("Value")
    rule = red(f'AND(${setting}{kitchen.first_row}="altitude",LEN(${value}{kitchen.first_row})=0)')
    workbook[kitchen.sheet].conditional_formatting.add(kitchen.body("Value"), rule)


def add_short(workbook: Workbook, coverage: Place) -> None:
    """Red where a need falls short, green where it is filled."""
    first = f"${coverage.letter('Covered')}{coverage.first_row}"
    worksheet = workbook[coverage.sheet]
    short = shown_when(f"AND(LEN({first})>0,{first}<0.995)", look.BRICK)
    full = shown_when(f"AND(LEN({first})>0,{first}>=0.995)", look.GREEN)
    for rule in (short, full):
        worksheet.conditional_formatting.add(coverage.body("Covered"), rule)


def counted_checks(contents: Contents) -> list[tuple[str, Formula]]:
    """
    The checks of the first sheet: what is counted, and the formula with its value.

    >>> counted_checks(Contents({"Needs": [{"Need": "juice"}]}))[1][1].value
    1
    """
    return [
        ("Altitude is missing", altitude_check(contents)),
        ("Needs that no preserve counts toward", unmatched(contents, "Needs", "Need", ("Counts", "Need"))),
        ("Lots of a crop that is not in Crops", unmatched(contents, "Harvest", "Crop", ("Crops", "Crop"))),
        ("Preserves without ingredients", unmatched(contents, "Preserves", "Preserve", ("Ingredients", "Preserve"))),
        ("Preserves in a container that is not listed", container_check(contents)),
    ]


def altitude_check(contents: Contents) -> Formula:
    """1 while the altitude is blank."""
    text = 'IF(LEN(INDEX(Kitchen[Value],MATCH("altitude",Kitchen[Setting],0)))=0,1,0)'
    return Formula(text, 0 if contents.setting("altitude") is not None else 1)


def container_check(contents: Contents) -> Formula:
    """How many preserves are put up in a container that no row lists."""
    return unmatched(contents, "Preserves", "Container", ("Containers", "Container"))


def unmatched(contents: Contents, table: str, heading: str, other: tuple[str, str]) -> Formula:
    """How many rows of a table name something that the other table does not."""
    known = {str(name).casefold() for name in contents.column(*other) if name is not None}
    names = [str(name).casefold() for name in contents.column(table, heading) if name is not None]
    text = f"SUMPRODUCT((LEN({table}[{heading}])>0)*(COUNTIF({other[0]}[{other[1]}],{table}[{heading}])=0))"
    return Formula(text, sum(name not in known for name in names))
