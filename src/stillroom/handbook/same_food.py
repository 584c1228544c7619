"""Which names mean the same food as a word that was typed, so that they can be offered; none is taken for it."""

from __future__ import annotations

from collections.abc import Iterable

from stillroom.handbook.foods import meaning


def same_food(text: str, names: Iterable[str]) -> list[str]:
    """
    The names that mean the very kinds of food that a text means; none when it holds a word that is not known.

    >>> same_food("green beans", ["green peas", "snap beans"]), same_food("goji", ["berries"])
    (['snap beans'], [])
    """
    typed = meaning(text)
    if typed.rest or not typed.kinds:
        return []
    return [name for name in names if meaning(name).kinds == typed.kinds]
