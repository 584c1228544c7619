"""Names brought to one form, so that capitals, accents, look-alike letters and plurals change nothing."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

_LOOK_ALIKE = str.maketrans(
    "аеорсухкмтвнісјѕԁһԛԝгαεοριτυκνχ",
    "aeopcyxkmtbhicjsdhqwraeopituknx",
)
"""Cyrillic and Greek letters that look like Latin ones."""

_SPELLED = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ı": "i", "æ": "ae", "œ": "oe", "ß": "ss", "ð": "d", "þ": "th"})
_SMALL_WORDS = frozenset({"and", "of", "the", "a", "an", "in", "for", "or", "from", "our", "my", "with", "at"})


def plain(text: str) -> str:
    """
    Give the text in small Latin letters without accents, signs as spaces.

    >>> plain("Pumpkin  PURÉE, 5%"), plain("tom" + chr(0x430) + "to")
    ('pumpkin puree 5 percent', 'tomato')
    """
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", text).casefold())
    bare = "".join(letter for letter in apart if not unicodedata.combining(letter))
    bare = "".join(letter for letter in bare if unicodedata.category(letter) != "Cf")
    latin = bare.translate(_LOOK_ALIKE).translate(_SPELLED).replace("%", " percent ")
    latin = re.sub(r"(?<=\d),(?=\d)", ".", latin)
    return " ".join(re.sub(r"[^a-z0-9.]+|(?<!\d)\.|\.(?!\d)", " ", latin).split())


def plain_signs(text: str) -> str:
    """
    Give the text in small letters without accents, its signs kept.

    >>> plain_signs("Äpfel & Birnen")
    'apfel & birnen'
    """
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", text).casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))


def singular(word: str) -> str:
    """
    Give the singular of a word, well enough to compare names.

    >>> [singular(word) for word in ("tomatoes", "berries", "peaches", "peas", "asparagus", "squash")]
    ['tomato', 'berry', 'peach', 'pea', 'asparagus', 'squash']
    """
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("oes", "ches", "shes", "sses", "xes")):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


@lru_cache(maxsize=4096)
def tokens(text: str) -> tuple[str, ...]:
    """
    Give the words of a name, in the singular, without the small words.

    >>> tokens("Whole Plum-Tomatoes with basil")
    ('whole', 'plum', 'tomato', 'basil')
    """
    return tuple(singular(word) for word in plain(text).split() if word not in _SMALL_WORDS)


def holds_phrase(words: tuple[str, ...], phrase: tuple[str, ...]) -> bool:
    """
    Say whether the words of a phrase stand together in a name.

    >>> holds_phrase(tokens("oven canned beans"), tokens("oven canned")), holds_phrase(("rice",), ("price",))
    (True, False)
    """
    size = len(phrase)
    return size > 0 and any(words[start : start + size] == phrase for start in range(len(words) - size + 1))
