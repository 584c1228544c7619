"""Checks of what is not canned and what is advised against: in a cellar, dried, fermented, frozen, on a shelf."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache

from stillroom.errors import Problem
from stillroom.handbook.foods import kept_alike, kinds
from stillroom.handbook.ingredients import Part
from stillroom.handbook.lexicon import read
from stillroom.handbook.lines import Line, lines
from stillroom.handbook.names import holds_phrase, tokens
from stillroom.handbook.safety.case import Case, mismatches
from stillroom.handbook.tables import Row, listed, table

_OTHER_MEANING = (
    "cream style",
    "peaches and cream",
    "butter and sugar",
    "bread and butter",
    "butter bean",
    "rice vinegar",
    "cream of tartar",
    "pasta sauce",
    "sauce for pasta",
    "sweet dumpling",
)
"""Phrases that contain a listed word with another meaning."""


def advised_against(case: Case) -> Iterator[Problem]:
    """
    Refuse to can what the publications advise against: each case is a row of the table, with its source.

    Names of the preserve and of its items are compared without capitals, accents, look-alike letters and plurals.
    """
    if not case.canned:
        return
    hits: set[str] = set()
    for row in table("advised_against"):
        hit = _TESTS[row["test"]](case, row)
        if hit and hit not in hits:  # one reason for a name is enough
            hits.add(hit)
            kind = "advised against" if hit == case.preserve.name else "advised against: ingredient"
            yield case.problem(kind, row["advice"], row["source"], row["instead"], hit)


@lru_cache(maxsize=256)
def _phrases(words: str) -> tuple[tuple[str, ...], ...]:
    return tuple(tokens(phrase) for phrase in listed(words))


@lru_cache(maxsize=4096)
def _words_of(name: str) -> tuple[str, ...]:
    words = tokens(name)
    for phrase in _OTHER_MEANING:
        inner = tokens(phrase)
        for start in range(len(words) - len(inner) + 1):
            if words[start : start + len(inner)] == inner:
                words = (*words[:start], *words[start + len(inner) :])
                break
    return words


@lru_cache(maxsize=65_536)
def _says(name: str, words: str) -> bool:
    """Return whether a name holds one of the phrases of a cell."""
    return any(holds_phrase(_words_of(name), phrase) for phrase in _phrases(words))


def _by_name(case: Case, row: Row) -> str:
    return next((name for name in case.names if _says(name, row["words"])), "")


def _by_item_name(case: Case, row: Row) -> str:
    foods = set(listed(row["foods"]))
    foods = foods.union(*(kept_alike().get(food, frozenset()) for food in foods))
    for part in case.parts:
        if part.kinds & foods and _says(part.item, row["words"]):
            return part.item
    return ""


def _by_name_and_food(case: Case, row: Row) -> str:
    return _by_name(case, row) if case.foods & set(listed(row["foods"])) and _in_line(case, row) else ""


def _in_line(case: Case, row: Row) -> bool:
    """Return whether the food is the main one: a published row of sauce or soup may contain pieces of it."""
    return case.line is None or bool(case.line.foods & set(listed(row["foods"])) and case.line.least_kinds == 1)


def _by_item(case: Case, row: Row) -> str:
    foods = set(listed(row["foods"]))
    allowed = case.line.foods | case.line.also if case.line is not None else frozenset()
    return next((part.label for part in case.parts if (_named(part) & foods) - allowed), "")


def _named(part: Part) -> frozenset[str]:
    """Return the foods a part is for sure; one that may be several is asked about instead."""
    may_be = frozenset[str]().union(*read(part.item).open) if not part.typed else frozenset[str]()
    return part.kinds - (may_be - read(part.item).foods)


def _only_food(case: Case, row: Row) -> str:
    vegetables = case.foods
    return case.preserve.name if vegetables and vegetables <= set(listed(row["foods"])) else ""


_TESTS = {
    "name": _by_name,
    "item name": _by_item_name,
    "name and food": _by_name_and_food,
    "item": _by_item,
    "only food": _only_food,
}


# Checks of what is not canned: produce in a cellar, food dried, fermented or frozen, and what stands on a shelf.

OPEN_PLACES = ("shelf", "cellar")
NEVER_DRIED = frozenset({"meat", "dairy or egg", "fat"})
"""Groups of food that no published drying row here covers, whatever their directions say."""

DANGERS = frozenset({"meat", "meat or dish", "fish", "fat", "dairy"})
"""Kinds of other food that name such a food."""
OIL = frozenset(tokens("oil lard grease fat"))

HERBS = ("fresh herbs in small amounts", "spices")
"""Extras that are dried by themselves."""

CUT = frozenset({"pieces", "sliced", "mashed", "pureed", "ground", "juice", "cubes", "halves"})
"""Forms of a name that is no longer raw, whole produce."""
COOKED = frozenset(tokens("boiled baked steamed blanched parboiled peeled sauteed simmered stewed braised leftover"))
"""Words that raw, whole produce does not have."""
STILL_RAW = frozenset({"cured", "sprouted"})
"""Words of a state that raw produce of a cellar may have: cured onions."""


@lru_cache(maxsize=8)
def lines_by(method: str) -> tuple[Line, ...]:
    """Return every line of a method."""
    return tuple(line for line in lines().values() if line.method == method)


@lru_cache(maxsize=8)
def foods_by(method: str) -> frozenset[str]:
    """Return every food with a line of a method."""
    return frozenset().union(*(line.foods for line in lines_by(method)))


def sealed_on_the_shelf(case: Case) -> Iterator[Problem]:
    """
    Require that what stands on the shelf or in the cellar is canned, dried, or raw produce in an open box.

    Source: AIB 539 (1994), Guide 1: poison forms at 40-120 F with almost no oxygen; fermented food is kept in the
    refrigerator (UF/IFAS FCS8225).
    """
    preserve = case.preserve
    if preserve.method == "frozen" and preserve.kept_in != "freezer":
        yield case.problem("unsealed on the shelf: frozen")
        return
    if preserve.kept_in not in OPEN_PLACES or case.canned or preserve.method == "dried":
        return
    if preserve.method != "root cellar" or not case.unlidded:
        yield case.problem("unsealed on the shelf", preserve.method)


def cellared_as_published(case: Case) -> Iterator[Problem]:
    """
    Require that what is cellared is raw produce with a published cellaring row, and nothing else.

    Source: the root cellar rows of the table of what is kept.
    """
    if case.preserve.method == "root cellar":
        strange = not_cellared(case)
        if strange:
            yield case.problem("cellaring not published", strange)


def not_cellared(case: Case) -> str:
    """Return what is no raw produce with a published cellaring row: an item or a word; empty where all is."""
    for part in case.parts:
        if not part.kinds or not part.kinds <= foods_by("root cellar") or part.through or _worked(part.item):
            return part.label
    return case.preserve.name if not case.parts or _worked(case.preserve.name) else _danger_in_its_name(case)


def _worked(name: str) -> bool:
    """Return whether a name says that food was cut, cooked or packed in something."""
    named = read(name)
    states = {other.phrase for other in named.others if other.kind in ("state", "cooked before", "fat")}
    return bool(named.forms & CUT or states - STILL_RAW or set(tokens(name)) & COOKED)


def dried_as_published(case: Case) -> Iterator[Problem]:
    """
    Require a published drying row for every food of an own dried recipe, and its hours; a source frees nothing.

    Meat, fish, eggs and fat are never dried. What is kept in the freezer may be dried as one likes. Source: the dried
    rows of the table of what is kept; meat must be heated to 160 F first (USDA Food Safety and Inspection Service).
    """
    if case.preserve.method != "dried":
        return
    danger = next((part.label for part in case.parts if _is_never_dried(part.kinds)), _danger_in_its_name(case))
    if danger:
        yield case.problem("drying not published: meat", danger)
        return
    if case.line is None and case.preserve.kept_in != "freezer":
        strange = next((part for part in case.parts if _has_no_row(part, "dried")), None)
        if strange is not None:
            yield case.problem("drying not published", strange.label)
        elif not _dried_long_enough(case):
            yield case.problem("unsealed on the shelf: dried")


def _is_never_dried(foods: Iterable[str]) -> bool:
    return any(kinds()[kind].group in NEVER_DRIED for kind in foods)


def _danger_in_its_name(case: Case) -> str:
    """Return the name of a preserve that says meat, fish, eggs, dairy or oil; empty where it does not."""
    named = read(case.preserve.name)
    others = {other.kind for other in named.others}
    danger = _is_never_dried(named.foods) or others & DANGERS or OIL & set(tokens(case.preserve.name))
    return case.preserve.name if danger else ""


def _has_no_row(part: Part, method: str) -> bool:
    return part.unknown or not part.kinds <= foods_by(method)


def _dried_long_enough(case: Case) -> bool:
    """Return whether an own recipe is dried for at least the published hours of every food in it."""
    minutes = case.preserve.minutes_typed or 0.0
    hours = [
        max(line.hours_low or 0.0 for line in lines_by("dried") if kind in line.foods) for kind in sorted(case.foods)
    ]
    if any(part.extra in HERBS for part in case.parts):
        row = next(row for row in table("facts") if row["key"] == "leaves of herbs in the dryer")
        hours.append(float(row["value"].split("-")[0]))
    return bool(hours) and minutes >= 60 * max(hours)


def fermented_as_published(case: Case) -> Iterator[Problem]:
    """
    Require that an own ferment holds what a published ferment holds, and nothing else.

    Fish, meat, eggs, garlic in honey and food in oil are never fermented at home. Source: the fermented rows of the
    table of what is kept; only tested recipes are advised (Univ. of Minnesota Extension); botulism from fermented fish
    (CDC, 2009).
    """
    if case.preserve.method != "fermented":
        return
    danger = _danger_in_its_name(case)
    if danger:
        yield case.problem("fermenting not published", danger)
    if danger or case.line is not None or own_ferment_lines(case):
        return
    of_a_row = frozenset().union(*(line.foods | line.also for line in lines_by("fermented")))
    strange = [part for part in case.parts if part.unknown or part.kinds - of_a_row]
    yield case.problem("fermenting not published", strange[0].label if strange else case.preserve.name)


def own_ferment_lines(case: Case) -> tuple[Line, ...]:
    """Return the published ferments that hold what an own ferment holds."""
    liters = case.container.holds_litres if case.container else None
    return tuple(line for line in lines_by("fermented") if not any(mismatches(line, case.parts, liters)))
