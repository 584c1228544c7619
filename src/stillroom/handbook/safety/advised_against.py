"""Products that the publications advise against canning, with their sources."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from stillroom.errors import Problem
from stillroom.handbook.foods import kept_alike
from stillroom.handbook.ingredients import Part
from stillroom.handbook.lexicon import read
from stillroom.handbook.names import holds_phrase, tokens
from stillroom.handbook.safety.case import Case
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
