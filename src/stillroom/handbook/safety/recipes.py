"""Checks of the published recipes: the least acid and salt, the most onions and peppers."""

from __future__ import annotations

from collections.abc import Iterator

from stillroom.errors import Problem
from stillroom.handbook.ingredients import Part, extras
from stillroom.handbook.jars import JARS, KILOGRAMS, LITRES, PINT_LITRES, ROUNDING, format_volume, format_weight
from stillroom.handbook.lexicon import read
from stillroom.handbook.lines import Line
from stillroom.handbook.names import join_words
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.jars_and_acid import acid_missing
from stillroom.handbook.safety.not_canned import own_ferment_lines
from stillroom.handbook.tables import Row, listed, table

MOST_PIECES = 20
"""Leaves, sticks and heads of seasonings in one container."""
TOLERANCE = 1.002
"""Factor by which rounding in a cell may miss a limit."""


def proportions_of_the_recipe(case: Case) -> Iterator[Problem]:
    """
    Require the proportions of a line's published recipe: no less vinegar or salt, no more onions or peppers.

    Source: each row of the proportions table. More acid and more salt are allowed.
    """
    if case.line is not None:
        yield from _limits(case, case.line)


def salt_of_an_own_ferment(case: Case) -> Iterator[Problem]:
    """
    Require the published salt in an own ferment: that of the published row it holds the foods of.

    Source: the proportions table (sauerkraut, fermented pickles); never reduce the salt: Penn State Extension; UF/IFAS;
    it is vital to safety, because only the wanted bacteria tolerate it: University of Nebraska-Lincoln Extension.
    """
    if case.line is None and case.preserve.method == "fermented":
        for line in own_ferment_lines(case):
            yield from _limits(case, line)


def _limits(case: Case, line: Line) -> Iterator[Problem]:
    rows = [row for row in table("proportions") if row["product"] == line.product]
    yield from (problem for row in rows if row["limit"] == "at most" for problem in _too_much(case, row))
    least = [row for row in rows if row["limit"] == "at least"]
    for item in dict.fromkeys(row["item"] for row in least):
        same = [row for row in least if row["item"] == item]
        if item == "vinegar (5%)" and any(part.extra == "vinegar of unknown strength" for part in case.parts):
            yield acid_missing(case, "acid missing: recipe", item, _published(same[0]), same[0]["source"])
            continue
        known = [row for row in same if _amount(case, row) is not None]
        yield from (problem for row in known or same[:1] for problem in _too_little(case, row))


def _published(row: Row) -> str:
    return f"{row['amount']} {row['unit']} to {row['of_amount']} {row['of_unit']}"


def _batches(case: Case, row: Row) -> float | None:
    """Return how many of the row's batches one container takes; None when its size or a weight is unknown."""
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
    """Return how much of the row's items one container takes, in the row's unit; None when it is unknown."""
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
    batches, amount = _batches(case, row), _amount(case, row)
    if batches is None:
        yield case.problem("outside the recipe: sizes unknown")
        return
    target = float(row["amount"]) * batches
    least = (
        format_volume(target * LITRES[row["unit"]], metric=case.metric)
        if row["unit"] in LITRES
        else format_weight(target * KILOGRAMS[row["unit"]], metric=case.metric, up=True)
    )
    group = "salt" if row["item"] == "salt" else "acid"
    names = (join_words(listed(row["item"]), "or"), least, row["source"])
    if amount is None:
        kind = "salt below table: amount unknown" if group == "salt" else "acid missing: recipe, unit unknown"
        yield case.problem(kind, *names)
    elif amount * TOLERANCE < target:
        if group == "salt" or amount > 0:
            yield case.problem(f"{group} below table: recipe", *names)
        else:
            yield acid_missing(case, "acid missing: recipe", *names)


def _too_much(case: Case, row: Row) -> Iterator[Problem]:
    batches, amount = _batches(case, row), _amount(case, row)
    what = join_words(listed(row["item"]), "and")
    if batches is None or amount is None:
        yield case.problem("outside the recipe: share unknown", what)
    elif amount > float(row["amount"]) * batches * TOLERANCE:
        most = format_weight(float(row["amount"]) * batches * KILOGRAMS[row["unit"]], metric=case.metric)
        yield case.problem("outside the recipe", what, most, row["source"])


def proportions_not_verified(case: Case) -> Iterator[Problem]:
    """
    Note each limit in use that was not verified.

    Source: the status of each row of the proportions table.
    """
    if case.line is None:
        return
    for row in table("proportions"):
        if row["product"] == case.line.product and row["status"] == "memory" and _amount(case, row):
            yield case.problem(f"from memory: {row['limit']}", row["source"], join_words(listed(row["item"]), "or"))


def required_by_the_line(case: Case) -> Iterator[Problem]:
    """
    Require the sugar of a jam line, and the pectin of a line with pectin.

    Source: AIB 539 (1994), Guide 7; the times of jams are published for jams.
    """
    if case.line is None:
        return
    have = {part.extra for part in case.parts if any((part.kg, part.litres, part.pieces))}
    for name in sorted(case.line.required - have):
        yield case.problem("outside the recipe: ingredient missing", case.line.key, name)


def fermented_first(case: Case) -> Iterator[Problem]:
    """
    Require that canned sauerkraut was fermented first: its cabbage comes from another, fermented preserve.

    Source: AIB 539, Guide 6: fully fermented kraut may be canned. Raw cabbage is low-acid.
    """
    if case.line is None or case.line.acid != "fermented":
        return
    made = {item.name: item for item in case.household.preserves}
    for part in case.parts:
        if part.kinds and not any(made[name].method == "fermented" for name in part.through if name in made):
            yield case.problem("low-acid not pressure canned: not fermented", part.label, where=part.where)


def spices_in_small_amounts(case: Case) -> Iterator[Problem]:
    """
    Limit spices and herbs to small amounts, all of them together.

    Source: common practice, no source; the bound in the extras table is this project's own.
    """
    if not case.canned or case.container is None or case.container.holds_litres is None:
        return
    limits = {part.label: extras()[part.extra].most_ml_per_liter for part in case.parts if part.extra}
    seasoned = [part for part in case.parts if part.extra and limits[part.label] is not None]
    liters = min((limits[part.label] or 0.0 for part in seasoned), default=0.0) * case.container.holds_litres / 1000
    if _amount_of_spice(seasoned) > liters * TOLERANCE or sum(part.pieces or 0.0 for part in seasoned) > MOST_PIECES:
        most = format_volume(liters, metric=case.metric, up=False), format_weight(liters, metric=case.metric)
        names = join_words(dict.fromkeys(part.label for part in seasoned), "and")
        yield case.problem("outside the recipe: seasoning", names, *most, where=seasoned[0].where)


def _amount_of_spice(parts: list[Part]) -> float:
    """Return the liters of all seasonings together; a gram counts as a milliliter."""
    return sum((part.litres or 0.0) + (part.kg or 0.0) for part in parts)


def _thawed(case: Case, part: Part) -> bool:
    if part.through:
        return case.canned and part.source == "crop" and "frozen" in part.methods
    return part.from_frozen or (case.canned and bool(part.kinds) and "frozen" in read(part.item).forms)


def thawed_only_cooked(case: Case) -> Iterator[Problem]:
    """
    Allow thawed crop only in lines that are cooked down and list it, never in whole packs.

    Crop from a preserve kept in the freezer is thawed crop too, and so is an item with frozen in its name.

    Source: K-State You Asked It 2024: crushed hot pack, juice and sauce only; unsweetened frozen fruit for jam.
    """
    for part in case.parts:
        if not _thawed(case, part):
            continue
        if case.line is not None and not case.line.thawed:
            yield case.problem("frozen crop not allowed", part.label, case.line.key, where=part.where)
        elif case.line is None and case.canned:
            yield case.problem("frozen crop not allowed: own recipe", part.label, where=part.where)
