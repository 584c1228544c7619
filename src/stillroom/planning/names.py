"""The names given to the solver, made in this one place."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache


def lp_name(*parts: str) -> str:
    """
    One solver name from readable parts; letters, digits, `_` and `.` only.

    >>> lp_name("make", "tomato juice, quart", "08-14")
    'make.tomato_juice_quart.08_14'
    """
    return ".".join(solver_word(part) for part in parts)


@lru_cache(4096)
def solver_word(part: str) -> str:
    """Letters, digits and `_` of one part of a name, in lower case."""
    plain = unicodedata.normalize("NFKD", part).encode("ascii", "ignore").decode()
    return re.sub(r"[^0-9A-Za-z]+", "_", plain).strip("_").lower() or "unnamed"


def distinct_names(names: list[str]) -> dict[str, str]:
    """
    A solver word for each name, numbered where two would be the same.

    The numbers go by the order of the names themselves, so the order in which they are given does not matter.

    >>> distinct_names(["plum jam", "plum-jam", "salsa"])
    {'plum jam': 'plum_jam', 'plum-jam': 'plum_jam_2', 'salsa': 'salsa'}
    """
    taken: set[str] = set()
    given = {}
    for name in sorted(names):
        word = solver_word(name)
        number = 1
        candidate = word
        while candidate in taken:
            number += 1
            candidate = f"{word}_{number}"
        taken.add(candidate)
        given[name] = candidate
    return given
