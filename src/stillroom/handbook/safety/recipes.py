"""The proportions of the published recipes: acid and salt at the least, onions and peppers at the most."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.ingredients import Part, extras
from stillroom.handbook.jars import JARS, KG_A_POUND, KILOGRAMS, LITRES, PINT_LITRES, ROUNDING, spoken
from stillroom.handbook.lines import lines
from stillroom.handbook.names import tokens
from stillroom.handbook.safety.acidity import why_not_counted
from stillroom.handbook.safety.case import Case
from stillroom.handbook.tables import Row, listed, table

SLACK = 1.002
"""Rounding in a cell is forgiven up to this factor."""


def proportions_of_the_recipe(case: Case) -> Iterator[Problem]:
    """
    A line with a published recipe keeps its proportions: no less vinegar or salt, no more onions or peppers.

    Source: each row of the proportions table. More acid and more salt are fine.
    """
    line = case.line
    if line is None:
        return
    yield from _kept_to(case, [row for row in table("proportions") if row["product"] == line.product])


def salt_of_an_own_ferment(case: Case) -> Iterator[Problem]:
    """
    An own ferment of a food that the tables ferment takes at least the published salt; one of low-acid food takes some.

    Source: the proportions table (sauerkraut, fermented pickles); never reduce the salt: Penn State Extension; UF/IFAS;
    it is vital to safety, since it holds back all but the wanted bacteria: University of Nebraska-Lincoln Extension.
    """
    if case.line is not None or case.preserve.method != "fermented":
        return
    published = [line for line in lines().values() if line.method == "fermented" and line.foods & case.foods]
    for line in published:
        yield from _kept_to(case, [row for row in table("proportions") if row["product"] == line.product])
    if case.low_acid and not published and not any(part.extra == "salt" and part.there for part in case.parts):
        yield case.problem(
            "salt below table",
            f"{case.low_acid[0].named} is low-acid, and nothing salts it while it ferments",
            "list the salt of its directions as an ingredient",
        )


def _kept_to(case: Case, rows: list[Row]) -> Iterator[Problem]:
    yield from (problem for row in rows if row["limit"] == "at most" for problem in _too_much(case, row))
    least = [row for row in rows if row["limit"] == "at least"]
    for item in dict.fromkeys(row["item"] for row in least):
        same = [row for row in least if row["item"] == item]
        known = [row for row in same if _amount(case, row) is not None]
        yield from (problem for row in known or same[:1] for problem in _too_little(case, row))


def _of(case: Case, row: Row) -> float | None:
    """Give how many of the row's batches one container is, by what the row measures against."""
    if row["of"] == "jars":
        litres = case.container.holds_litres if case.container is not None else None
        if litres is None:
            return None
        size = next((jar for jar in JARS.values() if abs(litres / jar - 1) <= ROUNDING), litres)
        return min(litres, size) / PINT_LITRES / float(row["of_amount"])
    kinds = set(listed(row["of"]))
    weights = [part.weight_kg for part in case.parts if (part.kinds if row["of"] == "all food" else part.kinds & kinds)]
    if any(weight is None for weight in weights):
        return None
    return sum(weight or 0.0 for weight in weights) / KILOGRAMS[row["of_unit"]] / float(row["of_amount"])


def _amount(case: Case, row: Row) -> float | None:
    """Give how much of the row's items one container takes, in the row's unit; None when it cannot be known."""
    names = set(listed(row["item"]))
    direct_only = row["limit"] == "at least"
    chosen = [
        part
        for part in case.parts
        if (part.extra in names or part.kinds & names) and not (direct_only and part.through)
    ]
    by_litre = row["unit"] in LITRES
    amounts = [part.litres if by_litre else part.weight_kg for part in chosen]
    if any(amount is None for amount in amounts):
        return None
    size = LITRES[row["unit"]] if by_litre else KILOGRAMS[row["unit"]]
    return sum(amount or 0.0 for amount in amounts) / size


def _too_little(case: Case, row: Row) -> Iterator[Problem]:
    batches, amount = _of(case, row), _amount(case, row)
    what = " or ".join(listed(row["item"]))
    salt = row["item"] == "salt"
    if batches is None:
        yield case.problem(
            "outside the recipe",
            "the recipe's proportions cannot be checked",
            "give food by weight and the jar's size by volume",
        )
        return
    least = float(row["amount"]) * batches
    said = (
        spoken(least * LITRES[row["unit"]])
        if row["unit"] in LITRES
        else f"{least * KILOGRAMS[row['unit']] * 1000:.0f} g"
    )
    if amount is None:
        kind = "salt below table" if salt else "acid missing"
        yield case.problem(
            kind,
            f"the amount of {what} cannot be compared with the recipe",
            f"give it in spoons, cups or millilitres: at least {said}",
        )
    elif amount * SLACK < least:
        kind = "salt below table" if salt else "acid below table" if amount > 0 else "acid missing"
        hint = "" if salt else f"; {why_not_counted(case)}".rstrip("; ")
        what = f"it has too little {what} for the published recipe ({row['source']}){hint}"
        yield case.problem(kind, what, f"put in at least {said} for each container")


def _too_much(case: Case, row: Row) -> Iterator[Problem]:
    batches, amount = _of(case, row), _amount(case, row)
    what = " and ".join(listed(row["item"]))
    if batches is None or amount is None:
        yield case.problem(
            "outside the recipe", f"the share of {what} cannot be checked", f"give {what} and {row['of']} by weight"
        )
    elif amount > float(row["amount"]) * batches * SLACK:
        most = float(row["amount"]) * batches * KILOGRAMS[row["unit"]]
        yield case.problem(
            "outside the recipe",
            f"it has more {what} than the published recipe ({row['source']})",
            f"use at most {most / KG_A_POUND:.2g} lb ({most * 1000:.0f} g) for each container",
        )


def remembered_proportions(case: Case) -> Iterator[Problem]:
    """
    Say it where a limit that was used comes from memory (only said).

    Source: the status of each row of the proportions table.
    """
    if case.line is None:
        return
    for row in table("proportions"):
        if row["product"] == case.line.product and row["status"] == "memory" and _amount(case, row):
            what = f"how much {' or '.join(listed(row['item']))} it may take was written from memory ({row['note']})"
            if row["limit"] == "at least":
                what = f"how much {row['item']} it needs was written from memory"
            yield case.problem("from memory", what, f"confirm it in {row['source']} before you use it")


def what_the_line_needs(case: Case) -> Iterator[Problem]:
    """
    A jam line needs its sugar, and its pectin where it is one with pectin.

    Source: AIB 539 (1994), Guide 7; the times of jams are published for jams.
    """
    if case.line is None:
        return
    have = {part.extra for part in case.parts if any((part.kg, part.litres, part.pieces))}
    for name in sorted(case.line.required - have):
        yield case.problem(
            "outside the recipe",
            f"the line *{case.line.key}* is made with {name}",
            f"add {name} to its ingredients, or choose another line",
        )


def fermented_first(case: Case) -> Iterator[Problem]:
    """
    Sauerkraut is canned only after it has fermented: its cabbage comes as another preserve that is fermented.

    Source: AIB 539, Guide 6: fully fermented kraut may be canned. Raw cabbage is low-acid.
    """
    if case.line is None or case.line.acid != "fermented":
        return
    made = {item.name: item for item in case.household.preserves}
    for part in case.parts:
        if part.kinds and not any(made[name].method == "fermented" for name in part.through if name in made):
            yield case.problem(
                "low-acid not pressure canned",
                f"{part.named} has not fermented yet, and raw cabbage is low-acid",
                "list the fermented sauerkraut (another preserve, way fermented) as its ingredient",
                part.where,
            )


def spices_in_small_amounts(case: Case) -> Iterator[Problem]:
    """
    Spices and herbs are free in small amounts only.

    Source: common practice, no source; the bound in the extras table is this project's own.
    """
    if not case.canned or case.container is None or case.container.holds_litres is None:
        return
    for part in case.parts:
        most = extras()[part.extra].most_ml_a_litre if part.extra else None
        if most is not None and _too_spicy(part, most * case.container.holds_litres):
            yield case.problem(
                "outside the recipe",
                f"{part.named} is more than a seasoning",
                f"use at most {most * case.container.holds_litres:.0f} mL or as many grams for each container",
                part.where,
            )


def _too_spicy(part: Part, most_ml: float) -> bool:
    return (part.litres or 0.0) * 1000 > most_ml or (part.kg or 0.0) * 1000 > most_ml or (part.pieces or 0.0) > 20


# Crop that was frozen whole: only in the cooked lines that allow it.


def _thawed(case: Case, part: Part) -> bool:
    if part.through:
        return case.canned and part.source == "crop" and "frozen" in part.methods
    return part.from_frozen or (case.canned and bool(part.kinds) and "frozen" in tokens(part.item))


def _instead(part: Part) -> str:
    return "write no under May be from frozen" if part.from_frozen or part.through else "use it fresh"


def thawed_only_cooked(case: Case) -> Iterator[Problem]:
    """
    Thawed crop goes only into lines that are cooked down and allow it, never into whole packs.

    Crop that comes by a preserve kept in the freezer is thawed crop too, and so is what is called frozen by its name.

    Source: K-State You Asked It 2024: crushed hot pack, juice and sauce only; unsweetened frozen fruit for jam.
    """
    for part in case.parts:
        if not _thawed(case, part):
            continue
        if case.line is not None and not case.line.thawed:
            yield case.problem(
                "frozen crop not allowed",
                f"{part.named} may not come from the freezer in *{case.line.key}*",
                f"{_instead(part)}; thawed crop goes into juice, sauce, crushed hot pack and jam",
                part.where,
            )
        elif case.line is None and case.canned:
            yield case.problem(
                "frozen crop not allowed",
                f"{part.named} may not come from the freezer in a canned recipe of your own",
                f"{_instead(part)}, or follow a handbook line that allows it",
                part.where,
            )
