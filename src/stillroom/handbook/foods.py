"""The kind of food a name means, and its acidity; a name that matches nothing counts as low-acid."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from stillroom.handbook.names import holds_phrase, plain_signs, tokens, two_alphabets, with_letters
from stillroom.handbook.tables import listed, table

UNMATCHED = "unmatched"
LOW_ACID, TOMATO, ACID = "low-acid", "tomato", "acid"
STRICTNESS = (UNMATCHED, LOW_ACID, TOMATO, ACID)
"""From the strictest to the least strict."""

_JOINED = re.compile(r"[,;&+/]|\b(?:and|with|plus|or)\b")
_VARIED = frozenset({"plums", "apples", "pears", "grapes", "cherries"})
"""Fruits with varieties named after other fruits (cherry plum)."""

_WIDE: Mapping[str, tuple[str, frozenset[str]]] = {
    "bean": (
        "snap beans",
        frozenset(
            tokens(
                "fresh garden home grown homegrown own best young tender stringless purple french frenched filet flat "
                "cut whole small large long slim early late heirloom blue lake kentucky wonder provider contender roma "
                "romano dragon tongue royal burgundy half tops tails trimmed washed"
            )
        ),
    ),
    "berry": (
        "berries",
        frozenset(
            tokens(
                "fresh garden home grown homegrown own best wild mixed summer forest bramble ripe sweet small large "
                "frozen washed picked early late"
            )
        ),
    ),
}
"""
Words that name too many things to be trusted next to an unknown word: the kind each means by itself, and the words
allowed with it. Other beans take longer under pressure than snap beans, and some berries are not acid enough.
"""

_NOT_THE_FRUIT = frozenset(
    tokens(
        "leaf leave flower blossom bud shoot root bark seed kernel palm curd cake cobbler crumble pudding stuffing "
        "filling mayo smoothie shake soup stew"
    )
)
"""Words for another part of a plant than its fruit, or for a dish that contains more."""

LONGEST_PHRASE = 6


@dataclass(frozen=True)
class Kind:
    """A kind of food of the handbook, its group and how acid it is."""

    name: str
    acidity: str
    group: str


@dataclass(frozen=True)
class Meaning:
    """What a name was matched to: kinds of food, extras, and the words that matched nothing."""

    kinds: frozenset[str]
    extras: frozenset[str]
    rest: tuple[str, ...]


@lru_cache(maxsize=1)
def kinds() -> Mapping[str, Kind]:
    """Return every kind of food by name."""
    return {row["food"]: Kind(row["food"], row["acidity"], row["group"]) for row in table("foods")}


@lru_cache(maxsize=1)
def _phrases() -> Mapping[tuple[str, ...], tuple[str, bool]]:
    """Return the kind or extra each phrase means, and whether it is an extra; an extra takes precedence."""
    found: dict[tuple[str, ...], tuple[str, bool]] = {}
    for row in table("foods"):
        for words in (row["food"], *listed(row["words"])):
            found.setdefault(tokens(words), (row["food"], False))
    for row in table("extras"):
        for words in (row["item"], *listed(row["words"])):
            found[tokens(words)] = (row["item"], True)
    return found


@lru_cache(maxsize=8192)
def meaning(name: str) -> Meaning:
    """
    Match a name against the kinds and extras, longest phrase first; items joined by a word or sign are split.

    Digits that look like letters are read as letters too; a word of two alphabets matches nothing.

    >>> sorted(meaning("San Marzano plum tomatoes").kinds), meaning("Courgettes").kinds, meaning("beans, lima").kinds
    (['tomato'], frozenset({'summer squash'}), frozenset({'lima beans'}))
    >>> meaning("celery seed").kinds, sorted(meaning("celery seed").extras)
    (frozenset(), ['spices'])
    >>> sorted(meaning("apple and tomato").kinds), sorted(meaning("tomato 0nion").kinds)
    (['apples', 'tomato'], ['onions', 'tomato'])
    """
    if two_alphabets(name):
        return Meaning(frozenset(), frozenset(), tokens(name))
    pieces = [_matched(piece) for piece in _apart(name)]
    for text in with_letters(name):
        pieces += [Meaning(_matched(piece).kinds, frozenset(), ()) for piece in _apart(text)]
    return _not_too_wide(
        tokens(name),
        Meaning(
            frozenset(kind for piece in pieces for kind in piece.kinds),
            frozenset(extra for piece in pieces for extra in piece.extras),
            tuple(word for piece in pieces for word in piece.rest),
        ),
    )


def _not_too_wide(words: tuple[str, ...], found: Meaning) -> Meaning:
    """
    Drop a kind that was matched only by a wide word next to an unknown word: it may be something else.

    Leaves and flowers of a fruit, and dishes of it, are dropped too: they are less acid than the fruit.

    >>> meaning("goji berries").kinds, sorted(meaning("wild berries").kinds), meaning("Tarbais beans").kinds
    (frozenset(), ['berries'], frozenset())
    >>> meaning("grape leaves").kinds, sorted(meaning("loose-leaf lettuce").kinds)
    (frozenset(), ['lettuce'])
    >>> meaning("lemon curd").kinds, sorted(meaning("lemon").kinds)
    (frozenset(), ['citrus fruit'])
    """
    if _NOT_THE_FRUIT & set(found.rest):
        sour = {kind for kind in found.kinds if kinds()[kind].acidity in (TOMATO, ACID)}
        found = Meaning(found.kinds - sour, found.extras, (*found.rest, *sorted(sour)))
    for wide, (kind, plain_beside) in _WIDE.items():
        if wide not in words or kind not in found.kinds or not set(found.rest) - plain_beside:
            continue
        if not any(
            hit[0] == kind and phrase != (wide,) and holds_phrase(words, phrase) for phrase, hit in _phrases().items()
        ):
            found = Meaning(found.kinds - {kind}, found.extras, (*found.rest, wide))
    return found


def _apart(name: str) -> list[tuple[str, ...]]:
    """Split a name into its items; an inverted name (beans, lima) is put in order."""
    text = plain_signs(name)
    if text.count(",") == 1:
        before, after = text.split(",")
        turned = tokens(f"{after} {before}")
        if turned in _phrases():
            return [turned]
    return [tokens(piece) for piece in _JOINED.split(text)]


def _matched(words: tuple[str, ...]) -> Meaning:
    """Match one item, longest phrase first."""
    phrases = _phrases()
    found_kinds: list[str] = []
    found_extras: set[str] = set()
    rest: list[str] = []
    place = 0
    while place < len(words):
        for size in range(min(LONGEST_PHRASE, len(words) - place), 0, -1):
            hit = phrases.get(words[place : place + size])
            if hit is not None:
                found_extras.update([hit[0]] if hit[1] else [])
                found_kinds.extend([] if hit[1] else [hit[0]])
                break
        else:
            rest.append(words[place])
            size = 1
        place += size
    return Meaning(_by_head(found_kinds), frozenset(found_extras), tuple(rest))


def _by_head(found: list[str]) -> frozenset[str]:
    """
    Keep only the kind named last (a variety's noun), unless an earlier kind is as strict or stricter.

    Tomatoes are always kept: they require acid of their own.

    >>> meaning("Lemon Boy tomato").kinds, sorted(meaning("pumpkin apple").kinds), sorted(meaning("tomato okra").kinds)
    (frozenset({'tomato'}), ['apples', 'winter squash'], ['okra', 'tomato'])
    """
    order = [STRICTNESS.index(kinds()[kind].acidity) for kind in found]
    if len(found) > 1 and order[-1] == min(order) and (found[-1] in _VARIED or order.count(order[-1]) == 1):
        return frozenset(found[-1:]) | ({"tomato"} & set(found))
    return frozenset(found)


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


def stricter(typed: str | None, name: str) -> frozenset[str]:
    """
    Return the kinds a crop counts as, by its Handbook food and by its name: the stricter of the two.

    Where both are equally strict and differ, it counts as both. A typed food that matches nothing is unknown.

    >>> sorted(stricter("tomato", "plum")), sorted(stricter("tomato", "pumpkin")), stricter("quark", "tomato")
    (['tomato'], ['winter squash'], frozenset())
    """
    by_name = kinds_named(name)
    if not typed or not typed.strip():
        return by_name
    by_type = kinds_named(typed)
    if not by_type or not by_name:
        return by_type
    order = STRICTNESS.index(acidity(by_type)) - STRICTNESS.index(acidity(by_name))
    if order == 0:
        return by_type | by_name
    return by_type if order < 0 else by_name


def same_food(text: str, names: Iterable[str]) -> list[str]:
    """
    Return the names with the same kinds of food as a text, as suggestions; none when the text has an unknown word.

    >>> same_food("green beans", ["green peas", "snap beans"]), same_food("goji", ["berries"])
    (['snap beans'], [])
    """
    typed = meaning(text)
    if typed.rest or not typed.kinds:
        return []
    return [name for name in names if meaning(name).kinds == typed.kinds]
