"""
How names that join tables are found: as their table spells them, in the plural, by part of them, by an everyday name.

The everyday names find rows that are in the workbook, and nothing else: they never say what a food is, and nothing that
decides about safety reads them.
"""

from __future__ import annotations

import csv
import difflib
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stillroom.household.records import Household

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


_SIZES = {
    **dict.fromkeys(("qt", "qts"), "quart"),
    **dict.fromkeys(("pt", "pts"), "pint"),
    **dict.fromkeys(("litre", "liter", "ltr"), "l"),
    **dict.fromkeys(("millilitre", "milliliter"), "ml"),
}
_SMALL_WORDS = frozenset({"of", "the", "our", "my", "some"})
_LEFT_OUT = frozenset({"canned", "jar", "bottle", "bag"})
"""Words for how something is put up, left out where no name has them."""
_ONE_WORD: dict[tuple[str, ...], tuple[str, ...]] = {
    ("half", "pint"): ("halfpint",),
    ("half", "gallon"): ("halfgallon",),
    ("half", "l"): ("500", "ml"),
}
_NO_PLURAL = frozenset({"greens"})


def plain_word(word: str) -> str:
    """
    Give the singular of a plain English word, so that `boxes` and `box` are one.

    >>> [plain_word(word) for word in ("boxes", "jars", "berries", "glass", "chillies", "tomatoes", "greens")]
    ['box', 'jar', 'berry', 'glass', 'chillie', 'tomato', 'greens']
    """
    if word in _NO_PLURAL:
        return word
    if len(word) > 5 and word.endswith("ies") and not word.endswith("llies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("xes", "ches", "shes", "sses", "zes", "oes")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


@lru_cache(maxsize=8192)
def words_of(text: str) -> tuple[str, ...]:
    """
    Return the words of a name in the singular, without accents and small words; sizes of jars in one spelling.

    >>> words_of("2 qts. of Apple purée"), words_of("half-pint jars")
    (('2', 'quart', 'apple', 'puree'), ('halfpint', 'jar'))
    """
    apart = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(letter for letter in apart if not unicodedata.combining(letter))
    found = [plain_word(word) for word in re.findall(r"[^\W_]+", bare.replace("'", ""))]
    return _replaced(tuple(_SIZES.get(word, word) for word in found if word not in _SMALL_WORDS), _ONE_WORD)


@cache
def _everyday() -> dict[tuple[str, ...], tuple[str, ...]]:
    """Return the everyday names and what each is in the names of the workbooks, as words."""
    text = Path(__file__).with_name("everyday_names.csv").read_text(encoding="utf-8")
    return {words_of(typed): words_of(means) for typed, means in list(csv.reader(text.splitlines()))[1:]}


def _replaced(words: tuple[str, ...], phrases: dict[tuple[str, ...], tuple[str, ...]]) -> tuple[str, ...]:
    """Replace phrases in a row of words, the longest first."""
    found: list[str] = []
    place = 0
    longest = max(map(len, phrases))
    while place < len(words):
        for size in range(min(longest, len(words) - place), 0, -1):
            if (other := phrases.get(words[place : place + size])) is not None:
                found += other
                place += size
                break
        else:
            found.append(words[place])
            place += 1
    return tuple(found)


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
        self._also: dict[str, tuple[str, ...]] = {}
        self._meant: dict[str, tuple[str, ...]] = {}
        for name in names:
            self.add(name)

    def add(self, name: str, *also: str | None) -> str | None:
        """Take one name in, with others it may go by; the earlier spelling when it is there already, else None."""
        before = self._by_key.get(key(name))
        if before is None:
            self._meant.clear()
            self._by_key[key(name)] = name
            self._also[name] = tuple(filter(None, also))
        return before

    def find(self, text: str) -> str | None:
        """Give the name as its own table spells it, or None."""
        return self._by_key.get(key(text))

    def nearest(self, text: str) -> str | None:
        """
        Give the name that may have been meant: one much like it, or the only one that holds it or is in it.

        >>> Names("crop", ["tomato", "sweet corn"]).nearest("plum tomatoes")
        'tomato'
        """
        typed = key(text)
        near = difflib.get_close_matches(typed, self._by_key, n=1, cutoff=NEAR_ENOUGH)
        if near:
            return self._by_key[near[0]]
        words = set(words_of(text))
        held = [name for name in self._by_key.values() if words and set(words_of(name)) <= words]
        one = self.holding(text) or held
        return one[0] if len(one) == 1 else None

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

    def meant(self, text: str) -> tuple[str, ...]:
        """
        Give the one name that a text means, or the few it could: itself, its plural, part of it, an everyday name.

        >>> crops = Names("crop", ["plum tomato", "slicing tomato", "sweet corn", "cucumbers"])
        >>> crops.meant("cukes"), crops.meant("corn"), crops.meant("tomatoes"), crops.meant("goji")
        (('cucumbers',), ('sweet corn',), ('plum tomato', 'slicing tomato'), ())
        """
        if (name := self.find(text)) is not None:
            return (name,)
        if text not in self._meant:
            self._meant[text] = self._meant_by(text)
        return self._meant[text]

    def _meant_by(self, text: str) -> tuple[str, ...]:
        """Give the names that a text may mean, other than by their own spelling."""
        words = words_of(text)
        if not words:
            return ()
        plain = tuple(word for word in words if word not in _LEFT_OUT) or words
        for typed, others in ((words, {}), (words, _everyday()), (plain, {}), (plain, _everyday())):
            if found := self._with_words(typed, others):
                return found
        parts = [part for part in re.split(r"\s+(?:and|or)\s+|[,/]", text) if words_of(part)]
        if len(parts) < 2:
            return ()
        each = [self.meant(part) for part in parts]
        return tuple(dict.fromkeys(name for found in each for name in found)) if all(each) else ()

    def _with_words(self, typed: tuple[str, ...], others: dict[tuple[str, ...], tuple[str, ...]]) -> tuple[str, ...]:
        """Give the names of just these words, else those that have them all; `others` are replaced on both sides."""
        wanted = frozenset(_replaced(typed, others) if others else typed)
        known: list[tuple[str, frozenset[str]]] = []
        for name in self._by_key.values():
            for spelled in (name, *self._also[name]):
                words = words_of(spelled)
                known.append((name, frozenset(_replaced(words, others) if others else words)))
        same = dict.fromkeys(name for name, words in known if words == wanted)
        return tuple(same or dict.fromkeys(name for name, words in known if wanted <= words))

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


# The names of one household


def crop_names(household: Household) -> Names:
    """Return the crops of a household, each also by its handbook food."""
    names = Names("crop")
    for crop in household.crops:
        names.add(crop.name, crop.handbook_food)
    return names


def find_crop(text: str, household: Household) -> tuple[str, ...]:
    """
    Return the one crop that a text means, or the few that it could; none for an unknown one.

    >>> from stillroom.household.examples import tiny_household
    >>> find_crop("tomatoes", tiny_household())
    ('tomato',)
    """
    return crop_names(household).meant(text)


def find_preserve(text: str, household: Household) -> tuple[str, ...]:
    """
    Return the one preserve that a text means, or the few that it could; none for an unknown one.

    Where some of them are included, planned, made or on the shelf, only those can be meant.

    >>> from stillroom.household.examples import tiny_household
    >>> find_preserve("tomatoes, dried", tiny_household())
    ('dried tomato',)
    """
    found = Names("preserve", (item.name for item in household.preserves)).meant(text)
    if len(found) < 2:
        return found
    used = {item.name for item in household.preserves if item.include}
    used.update(row.preserve for row in household.shelf if row.count)
    used.update(line.name for line in household.plan_lines)
    used.update(row.preserve for row in household.record if row.preserve)
    return tuple(name for name in found if name in used) or found


def find_stock(text: str, household: Household) -> tuple[str, ...]:
    """
    Return the one container, lid or pantry ingredient that a text means, or the few that it could.

    >>> from stillroom.household.examples import tiny_household
    >>> find_stock("lids", tiny_household())
    ('wide lid',)
    """
    stocks = (household.containers, household.lids, household.pantry)
    return Names("stock", (one.name for table in stocks for one in table)).meant(text)
