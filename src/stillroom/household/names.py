"""How names that join tables are compared, and what is suggested when one is nearly right."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

_SPACE = re.compile(r"[\s\u00a0\u200b\u200c\u200d\u2060\ufeff\u00ad]+")
_TYPED = str.maketrans(
    dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-") | dict.fromkeys("\u2018\u2019\u02bc", "'")
)
"""Dashes and apostrophes as they are typed: office programs set others in their place, which look the same."""
NEAR_ENOUGH = 0.8
"""How alike two names must be for a suggestion, by difflib's ratio."""
MOST_MEANT = 5
"""So many names that may be meant are said."""


def tidy_text(text: str) -> str:
    """
    Give the text without outer spaces, and with every run of spaces (hard ones too) as one space.

    >>> tidy_text("  plum\u00a0 tomato ")
    'plum tomato'
    """
    return _SPACE.sub(" ", text).strip()


@lru_cache(maxsize=8192)
def key(text: str) -> str:
    """
    What two spellings of one name have in common: no case, no spaces, plain dashes and apostrophes.

    >>> key("Plum\u00a0Tomato ") == key("plum tomato"), key("Cook\u2019s bread\u2013jam") == key("Cook's bread-jam")
    (True, True)
    """
    return _SPACE.sub("", unicodedata.normalize("NFKC", text)).translate(_TYPED).casefold()


class Names:
    """
    The names of one kind of thing, found whatever their case and spaces.

    >>> crops = Names("crop", ["plum tomato", "sweet corn"])
    >>> crops.find("Plum Tomato"), crops.find("plum tomatos"), crops.nearest("plum tomatos")
    ('plum tomato', None, 'plum tomato')
    """

    def __init__(self, word: str, names: Iterable[str] = ()) -> None:
        """Begin with some names; `word` is what one of them is called in a message."""
        self.word = word
        self._by_key: dict[str, str] = {}
        for name in names:
            self.add(name)

    def add(self, name: str) -> str | None:
        """Take one name in; the earlier spelling when it is there already, else None."""
        before = self._by_key.get(key(name))
        if before is None:
            self._by_key[key(name)] = name
        return before

    def find(self, text: str) -> str | None:
        """Give the name as its own table spells it, or None."""
        return self._by_key.get(key(text))

    def nearest(self, text: str) -> str | None:
        """Give the name that may have been meant: one much like it, or the only one that holds it; else None."""
        typed = key(text)
        near = difflib.get_close_matches(typed, self._by_key, n=1, cutoff=NEAR_ENOUGH)
        if near:
            return self._by_key[near[0]]
        holding = self.holding(text)
        return holding[0] if len(holding) == 1 else None

    def holding(self, text: str) -> list[str]:
        """
        Give the names that hold a text, or its singular.

        >>> Names("lid", ["wide lid", "regular lid", "ring"]).holding("lids")
        ['wide lid', 'regular lid']
        """
        typed = key(text)
        if len(typed) <= 2:
            return []
        found = [name for known, name in self._by_key.items() if typed in known]
        single = typed.removesuffix("s")
        return found or [name for known, name in self._by_key.items() if len(single) > 2 and single in known]

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_key.values())

    def __len__(self) -> int:
        return len(self._by_key)


def either(words: Iterable[str]) -> str:
    """
    List words with an or.

    >>> either(["crop", "pantry ingredient", "preserve"])
    'crop, pantry ingredient or preserve'
    """
    every = list(words)
    return every[-1] if len(every) == 1 else f"{', '.join(every[:-1])} or {every[-1]}"


def suggestion(text: str, *known: Names, meant: Sequence[str] = ()) -> str:
    """
    Return the names that an unknown one may mean, joined by "or"; empty without any. `meant` are its other names.

    >>> suggestion("plum tomatos", Names("crop", ["plum tomato"]))
    'plum tomato'
    >>> suggestion("tomato", Names("crop", ["plum tomato", "slicing tomato"]))
    'plum tomato or slicing tomato'
    """
    several = list(meant)
    near = [found for names in known if (found := names.nearest(text)) is not None]
    best = max(near, key=lambda name: difflib.SequenceMatcher(None, key(text), key(name)).ratio(), default=None)
    holding = [name for names in known for name in names.holding(text)]
    if best is not None and (best in several or not several) and (best not in holding or len(holding) == 1):
        several = [best]
    several = several or holding
    if len(several) > MOST_MEANT:
        return either([*several[:MOST_MEANT], f"one of {len(several) - MOST_MEANT} more"])
    return either(several) if several else ""


def unknown(
    text: str, *known: Names, words: str | None = None, table: str, meant: Sequence[str] = ()
) -> tuple[str, str]:
    """
    Return what is wrong with a name typed on the command line, and what to do.

    >>> unknown("quince", Names("crop", ["plum tomato"]), table="Crops")
    ('no crop is called "quince"', 'correct the name, or add it to Crops')
    """
    what = f'no {words or either(names.word for names in known)} is called "{tidy_text(text)}"'
    near = suggestion(text, *known, meant=meant)
    return what, f"did you mean {near}?" if near else f"correct the name, or add it to {table}"
