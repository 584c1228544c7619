"""How names that join tables are compared, and what is suggested when one is nearly right."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable, Iterator

_SPACE = re.compile(r"[\s\u00a0\u200b\u200c\u200d\u2060\ufeff\u00ad]+")
NEAR_ENOUGH = 0.8
"""How alike two names must be for a suggestion, by difflib's ratio."""


def tidy_text(text: str) -> str:
    """
    Give the text without outer spaces, and with every run of spaces (hard ones too) as one space.

    >>> tidy_text("  plum\u00a0 tomato ")
    'plum tomato'
    """
    return _SPACE.sub(" ", text).strip()


def key(text: str) -> str:
    """
    What two spellings of one name have in common: no case, no spaces.

    >>> key("Plum\u00a0Tomato ") == key("plum tomato")
    True
    """
    return _SPACE.sub("", unicodedata.normalize("NFKC", text)).casefold()


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
        if not near and len(typed) > 2:
            near = [known for known in self._by_key if typed in known]
        return self._by_key[near[0]] if len(near) == 1 else None

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_key.values())

    def __len__(self) -> int:
        return len(self._by_key)


def either(words: Iterable[str]) -> str:
    """
    List words with an or.

    >>> either(["crop", "larder ingredient", "preserve"])
    'crop, larder ingredient or preserve'
    """
    every = list(words)
    return every[-1] if len(every) == 1 else f"{', '.join(every[:-1])} or {every[-1]}"


def unknown(text: str, *known: Names, words: str | None = None, table: str) -> tuple[str, str]:
    """
    Say that a name is not known, and what to do about it.

    >>> unknown("plum tomatos", Names("crop", ["plum tomato"]), table="Crops")
    ('no crop is called *plum tomatos*', 'did you mean *plum tomato*?')
    >>> unknown("quince", Names("crop", ["plum tomato"]), table="Crops")
    ('no crop is called *quince*', 'correct the name, or add it to Crops')
    """
    what = f"no {words or either(names.word for names in known)} is called *{tidy_text(text)}*"
    near = [found for names in known if (found := names.nearest(text)) is not None]
    if near:
        best = max(near, key=lambda name: difflib.SequenceMatcher(None, key(text), key(name)).ratio())
        return what, f"did you mean *{best}*?"
    return what, f"correct the name, or add it to {table}"
