"""Normalize names: capitals, accents, look-alike letters and plurals make no difference."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

_LOOK_ALIKE = str.maketrans(
    "аеорсухкмтвнісјѕԁһԛԝгαεοριτυκνχ",
    "aeopcyxkmtbhicjsdhqwraeopituknx",
)
"""Cyrillic and Greek letters that look like Latin ones."""

_SPELLED = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ı": "i", "æ": "ae", "œ": "oe", "ß": "ss", "ð": "d", "þ": "th"})
SMALL_WORDS = frozenset({"and", "of", "the", "a", "an", "in", "for", "or", "from", "our", "my", "with", "at"})


@lru_cache(maxsize=8192)
def plain(text: str) -> str:
    """
    Return the text in lowercase Latin letters without accents, signs replaced by spaces.

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
    Return the text in lowercase without accents, signs kept.

    >>> plain_signs("Äpfel & Birnen")
    'apfel & birnen'
    """
    apart = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", text).casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter))


def singular(word: str) -> str:
    """
    Return the singular of a word, well enough to compare names.

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


_FOR_DIGITS = (str.maketrans("0134578", "oleastb"), str.maketrans("0134578", "oieastb"))


@lru_cache(maxsize=4096)
def with_letters(text: str) -> tuple[str, ...]:
    """
    Return a name with its digits read as the letters they look like; empty when no word mixes letters and digits.

    >>> with_letters("pumpk1n"), with_letters("2 quarts")
    (('pumpkln', 'pumpkin'), ())
    """
    words = plain(text.replace("@", "a").replace("$", "s")).split()
    if not any(re.search("[a-z]", word) and re.search("[0-9]", word) for word in words) and "@" not in text:
        return ()
    return tuple(dict.fromkeys(" ".join(words).translate(table) for table in _FOR_DIGITS))


def two_alphabets(text: str) -> bool:
    """
    Return whether a word mixes Latin letters with another alphabet's letters that do not look like Latin ones.

    >>> two_alphabets("tomato " + chr(0x585) + "nion"), two_alphabets("tomato"), two_alphabets("пом")
    (True, False, False)
    """
    for word in re.findall(r"[^\W\d_]+", plain_signs(text)):
        left = word.translate(_LOOK_ALIKE).translate(_SPELLED)
        if not left.isascii() and any(letter.isascii() for letter in word):
            return True
    return False


def letters_of_no_list(text: str) -> bool:
    """
    Return whether a name has letters of an alphabet in which no list is written.

    >>> letters_of_no_list(chr(0x6843)), letters_of_no_list("Äpfel"), letters_of_no_list("tom" + chr(0x430) + "to")
    (True, False, False)
    """
    left = plain_signs(text).translate(_LOOK_ALIKE).translate(_SPELLED)
    return any(not sign.isascii() and unicodedata.category(sign).startswith("L") for sign in left)


_CYRILLIC = {
    **dict(zip("абвгдезийклмнопрстуфхъыьэіїєґ", "abvgdeziiklmnoprstufh y eiieg".replace(" ", "\0"), strict=True)),
    "ж": "zh", "ц": "ts", "ч": "ch", "ш": "sh", "щ": "shch", "ю": "yu", "я": "ya",
}  # fmt: skip


def from_cyrillic(text: str) -> tuple[str, ...]:
    """
    Return a name with its Cyrillic letters as the Latin ones of their sounds; empty when it has none.

    >>> from_cyrillic("\u043b\u0438\u0441\u0438\u0447\u043a\u0438"), from_cyrillic("tomato")
    (('lisichki',), ())
    """
    signs = plain_signs(text)
    if not any(sign in _CYRILLIC for sign in signs):
        return ()
    return ("".join(_CYRILLIC.get(sign, sign) for sign in signs).replace("\0", ""),)


@lru_cache(maxsize=4096)
def tokens(text: str) -> tuple[str, ...]:
    """
    Return the words of a name in the singular, without small words.

    >>> tokens("Whole Plum-Tomatoes with basil")
    ('whole', 'plum', 'tomato', 'basil')
    """
    return tuple(singular(word) for word in plain(text).split() if word not in SMALL_WORDS)


def holds_phrase(words: tuple[str, ...], phrase: tuple[str, ...]) -> bool:
    """
    Return whether a name contains the words of a phrase in a row.

    >>> holds_phrase(tokens("oven canned beans"), tokens("oven canned")), holds_phrase(("rice",), ("price",))
    (True, False)
    """
    size = len(phrase)
    if not size or phrase[0] not in words:
        return False
    return any(words[start : start + size] == phrase for start in range(len(words) - size + 1))


def join_words(words: Iterable[str], last: str) -> str:
    """
    Return a list in one phrase, `last` before its last word.

    >>> join_words(["celery", "onions", "carrots"], "and"), join_words(["salt"], "or")
    ('celery, onions and carrots', 'salt')
    """
    *first, end = words
    return f"{', '.join(first)} {last} {end}" if first else end
