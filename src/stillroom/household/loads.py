"""How many containers one filling of the equipment takes, worked out from the loads the household typed."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.household.amounts import amount_from, shown
from stillroom.household.records import Container, Crop, Equipment, Household, Load, Preserve
from stillroom.household.units import MeasureWrong, Unit, find_unit, plain_word, tidy

SIZE_TOLERANCE = 0.06
"""How far a jar's size may be from the size that names it: a litre jar (5.7 % above) counts as a quart."""

KNOWN_KINDS = ("boiling-water canner", "pressure canner", "dryer", "kettle", "crock")


def known_kind(typed: str) -> str:
    """
    Bring a kind of equipment to its known spelling, or to lower case when it is none of the known ones.

    >>> known_kind("Boiling water canner"), known_kind("steam juicer")
    ('boiling-water canner', 'steam juicer')
    """
    plain = " ".join(typed.casefold().split())
    bare = tidy(typed)
    return next((kind for kind in KNOWN_KINDS if kind.replace("-", " ") == bare), plain)


def same_words(one: str, other: str) -> bool:
    """
    Whether two names are one, in the singular or the plural.

    >>> same_words("boxes", "Box"), same_words("quart jars", "quart jar"), same_words("tub", "jar")
    (True, True, False)
    """
    return [plain_word(word) for word in tidy(one).split()] == [plain_word(word) for word in tidy(other).split()]


def size_and_kind(text: str) -> tuple[float, str] | None:
    """
    Read a size in litres and a kind of container out of words such as `quart jars`; None for anything else.

    >>> size_and_kind("500 ml jars"), size_and_kind("big jars")
    ((0.5, 'jar'), None)
    """
    *size, kind = tidy(text).split() or [""]
    words = " ".join(size)
    unit = find_unit(words)
    number = 1.0
    if unit is None:
        try:
            amount = amount_from(words)
        except MeasureWrong:
            return None
        number, unit = amount.number, amount.unit
    if unit is None or unit.measures != "volume":
        return None
    return number * unit.factor, plain_word(kind)


def is_container(text: str, container: Container) -> int:
    """
    Say how closely words name a container: 2 by its own name, 1 by size and kind, 0 not at all.

    >>> jar = Container("Kim's quart", "jar", holds_litres=0.946)
    >>> is_container("quart jars", jar), is_container("pint jars", jar), is_container("Kim's quarts", jar)
    (1, 0, 2)
    """
    if same_words(text, container.name):
        return 2
    named = size_and_kind(text)
    if named is None or container.holds_litres is None:
        return 0
    litres, kind = named
    of_kind = kind in {plain_word(word) for word in tidy(container.kind).split()}
    return int(of_kind and abs(container.holds_litres - litres) <= SIZE_TOLERANCE * litres)


def containers_held(
    piece: Equipment, preserve: Preserve, container: Container, crops: Iterable[Crop]
) -> tuple[float, Load] | None:
    """
    Say how many containers of a preserve one filling of a piece of equipment takes, with the load that says so.

    A load named by the container goes before one by size and kind, and that before one by weight or volume; of
    several that name it alike the smallest counts. None when no load of the piece names it.

    >>> canner = Equipment("canner", "boiling-water canner", loads=(Load(7, "quart jars"), Load(9, "pint jars")))
    >>> containers_held(canner, Preserve("juice", "boiling-water canned", "pt"), Container("pt", "jar", 0.473), ())[0]
    9
    """
    found: dict[int, list[tuple[float, Load]]] = {}
    for load in piece.loads:
        close = is_container(load.unit, container)
        if close:
            found.setdefault(close, []).append((load.number, load))
            continue
        unit = find_unit(load.unit)
        held = None if unit is None else _by_measure(load.number, unit, preserve, container, crops)
        if held is not None:
            found.setdefault(0, []).append((held, load))
    if not found:
        return None
    return min(found[max(found)], key=lambda one: one[0])


def _by_measure(
    number: float, unit: Unit, preserve: Preserve, container: Container, crops: Iterable[Crop]
) -> float | None:
    """Count containers by the crop weight, or the litres, of one; None when that is not known."""
    lines = [line for line in preserve.ingredients if line.source == "crop"]
    crop_kg_each = sum(line.amount_each for line in lines)
    if unit.measures == "volume":
        return number * unit.factor / container.holds_litres if container.holds_litres else None
    if unit.measures == "weight":
        each = crop_kg_each or container.holds_kg
        return number * unit.factor / each if each else None
    if unit.measures == "bushel":
        weights = {crop.name: crop.bushel_kg for crop in crops}
        bushels = [weights.get(line.item) for line in lines]
        if len(bushels) == 1 and bushels[0] and crop_kg_each:
            return number * unit.factor * bushels[0] / crop_kg_each
    return None


def load_of(preserve: Preserve, household: Household) -> tuple[int | None, tuple[Problem, ...]]:
    """
    Give the whole containers one filling takes, the smallest over the preserve's pieces, with what is wrong with it.

    None for a preserve without equipment, and where no load can be found ("no load for container") or a filling is
    less than one container ("load too small").
    """
    if not preserve.equipment:
        return None, ()
    container = household.container(preserve.container)
    problems: list[Problem] = []
    smallest = math.inf
    for name in preserve.equipment:
        piece = household.equipment_named(name)
        held = containers_held(piece, preserve, container, household.crops)
        if held is None:
            what = f"nothing says how many of *{container.name}* fit into a load of *{name}*"
            fix = f"add a row for *{name}* to Equipment: how many under *Load*, {container.name} under *Load unit*"
            problems.append(Problem(preserve.where, what, fix, "no load for container"))
            continue
        number, load = held
        if number < 1 - 1e-9:
            what = f"a load of *{name}* fills {shown(number)} of a *{container.name}* of {preserve.name}, less than one"
            problems.append(
                Problem(load.where, what, "correct the load, or what one container takes", "load too small")
            )
            continue
        smallest = min(smallest, math.floor(number + 1e-9))
    if problems or not math.isfinite(smallest):
        return None, tuple(problems)
    return int(smallest), ()


def with_loads(household: Household, unsure: Collection[str] = ()) -> tuple[Household, tuple[Problem, ...]]:
    """
    Set the load of every preserve; only those that are to be made, or are fixed, bring problems.

    `unsure` names the equipment whose loads could not be read; what goes through it brings no further problem.
    """
    wanted = {preserve.name for preserve in household.planned()}
    preserves: list[Preserve] = []
    problems: list[Problem] = []
    for preserve in household.preserves:
        load, wrong = load_of(preserve, household)
        preserves.append(replace(preserve, load=load))
        if preserve.name in wanted and not any(name in unsure for name in preserve.equipment):
            problems += wrong
    return replace(household, preserves=tuple(preserves)), tuple(problems)
