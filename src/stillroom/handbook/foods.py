"""The kind of food a name means, and its acidity; a name that matches nothing counts as low-acid."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from stillroom.handbook.lexicon import OTHERS, misspelled_as, read, share_a_noun, variety_of
from stillroom.handbook.tables import table

UNMATCHED = "unmatched"
LOW_ACID, TOMATO, ACID = "low-acid", "tomato", "acid"
STRICTNESS = (UNMATCHED, LOW_ACID, TOMATO, ACID)
"""From the strictest to the least strict."""


@dataclass(frozen=True)
class Kind:
    """
    A kind of food of the handbook, its group and how acid it is.

    `kept_as` is the food whose lines it follows when it is not canned: no canning row is published for it.
    """

    name: str
    acidity: str
    group: str
    kept_as: str = ""


@dataclass(frozen=True)
class Meaning:
    """What a name was matched to: kinds of food, extras, and the words that matched nothing."""

    kinds: frozenset[str]
    extras: frozenset[str]
    rest: tuple[str, ...]


@lru_cache(maxsize=1)
def kinds() -> Mapping[str, Kind]:
    """Return every kind of food by name."""
    return {row["food"]: Kind(row["food"], row["acidity"], row["group"], row["kept_as"]) for row in table("foods")}


@lru_cache(maxsize=1)
def kept_alike() -> Mapping[str, frozenset[str]]:
    """
    Return, for each food, the foods that follow its lines when they are not canned.

    >>> sorted(kept_alike()["peaches"])
    ['white peaches']
    """
    found: dict[str, set[str]] = defaultdict(set)
    for kind in kinds().values():
        if kind.kept_as:
            found[kind.kept_as].add(kind.name)
    return {name: frozenset(others) for name, others in found.items()}


@lru_cache(maxsize=8192)
def meaning(name: str) -> Meaning:
    """
    Match a name against the closed lists; a word that may mean several foods counts as all of them.

    >>> sorted(meaning("San Marzano plum tomatoes").kinds), meaning("Courgettes").kinds, meaning("beans, lima").kinds
    (['tomato'], frozenset({'summer squash'}), frozenset({'lima beans'}))
    >>> meaning("celery seed").kinds, sorted(meaning("celery seed").extras)
    (frozenset(), ['spices'])
    >>> sorted(meaning("apple and tomato").kinds), sorted(meaning("tomato 0nion").kinds)
    (['apples', 'tomato'], ['onions', 'tomato'])
    """
    found = read(name)
    alone = frozenset[str]().union(*(foods for _, foods in found.varieties if len(foods) == 1))
    others = tuple(sorted(other.phrase for other in found.others))
    return Meaning(found.possible | alone, found.extras, (*found.unknown, *others))


def kinds_named(name: str | None) -> frozenset[str]:
    """Return the kinds of food in a name; empty when it is blank or matches nothing."""
    return meaning(name).kinds if name else frozenset()


def acidity(found: frozenset[str]) -> str:
    """
    Return the strictest acidity among kinds of food; `unmatched` when there are none.

    >>> acidity(frozenset({"tomato", "onions"})), acidity(frozenset()), acidity(frozenset({"peaches"}))
    ('low-acid', 'unmatched', 'acid')
    """
    if not found:
        return UNMATCHED
    return min((kinds()[name].acidity for name in found), key=STRICTNESS.index)


def mistaken_for(typed: frozenset[str], owners: frozenset[str]) -> bool:
    """
    Return whether the foods that have a variety are so near to the typed ones that the typed food may be a mistake.

    They go by the same noun, or are fruits of too little acid where an acid fruit is typed: any other variety has its
    name by chance.

    >>> mistaken_for(frozenset({"nectarines"}), frozenset({"white peaches"}))
    True
    >>> mistaken_for(frozenset({"tomato"}), frozenset({"beets", "onions"}))
    False
    """
    fruits = all(kinds()[food].group == "fruit" for food in typed | owners)
    return share_a_noun(typed, owners) or (fruits and acidity(typed) == ACID != acidity(owners))


def stricter(typed: str | None, name: str) -> frozenset[str]:
    """
    Return the kinds a crop counts as, by its Handbook food and by its name: the stricter of the two.

    Where both are equally strict and differ, it counts as both. A typed food that matches nothing is unknown; a word
    that may mean several foods means the typed one where it can.

    >>> sorted(stricter("tomato", "plum")), sorted(stricter("tomato", "pumpkin")), stricter("glorp", "tomato")
    (['tomato'], ['winter squash'], frozenset())
    >>> sorted(stricter("snap beans", "beans")), sorted(stricter("hot peppers", "peppers"))
    (['snap beans'], ['hot peppers'])
    >>> sorted(stricter("greens", "spinach"))
    ['leafy greens']
    """
    by_name = kinds_named(name)
    if not typed or not typed.strip():
        return by_name
    by_type = kinds_named(typed)
    if not by_type or not by_name:
        return by_type
    said = misspelled_as(name, by_type) or read(name)
    by_chance = not said.possible and not mistaken_for(by_type, by_name)
    if by_chance or variety_of(name, by_type):
        return by_type
    by_name = (
        said.foods or by_name
        if not said.open
        else said.foods.union(*(foods - {OTHERS} for foods in said.open if not foods & by_type))
    )
    if not by_name:
        return by_type
    if any(by_name <= foods for foods in read(typed).open):
        return by_name
    order = STRICTNESS.index(acidity(by_type)) - STRICTNESS.index(acidity(by_name))
    if order == 0:
        return by_type | by_name
    return by_type if order < 0 else by_name
