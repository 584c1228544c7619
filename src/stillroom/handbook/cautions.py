"""The cautions of the handbook, and the five that fit what a plan makes."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

from stillroom.handbook.foods import LOW_ACID, kinds
from stillroom.handbook.ingredients import parts
from stillroom.handbook.lines import Line, lines
from stillroom.handbook.processes import CANNED, PRESSURE
from stillroom.handbook.tables import table
from stillroom.household.plan import Plan
from stillroom.household.records import Household, Preserve

MOST_SHOWN = 5
STERILISE_UNDER_MINUTES = 10
"""Jars are sterilised when the process is shorter (Michigan State Univ. Extension, 10/1997)."""


@dataclass(frozen=True)
class Caution:
    """One caution in our own words, with where the point was read, and what kind of work it fits."""

    key: str
    text: str
    source: str
    fits: str
    status: str = "verified"


@lru_cache(maxsize=1)
def all_cautions() -> tuple[Caution, ...]:
    """Give every caution, in the order of the table."""
    return tuple(
        Caution(row["key"], row["text"], row["source"], row["fits"], row["status"]) for row in table("cautions")
    )


def cautions_for(household: Household, plan: Plan) -> tuple[Caution, ...]:
    """
    Give at most five cautions that fit what the plan makes, the most particular first; none when nothing is canned.

    `household` is the settled one: its preserves carry their process and whether they are own recipes.
    """
    made = {name for (name, _), amount in plan.make.items() if amount > 0}
    made_preserves = [preserve for preserve in household.preserves if preserve.name in made]
    return cautions_of(household, made_preserves)


def cautions_of(household: Household, made: list[Preserve]) -> tuple[Caution, ...]:
    """Give at most five cautions that fit these preserves of the household."""
    canned = [preserve for preserve in made if preserve.method in CANNED]
    if not canned:
        return tuple(
            caution for caution in all_cautions() if caution.fits == "own" and any(item.own_recipe for item in made)
        )
    foods = {preserve.name: {kind for part in parts(household, preserve) for kind in part.kinds} for preserve in canned}
    fitting = {
        fits for fits, test in _TESTS.items() if any(test(preserve, foods[preserve.name]) for preserve in canned)
    }
    if household.kitchen.gauge != "dial":
        fitting.discard("dial")
    ranked = sorted(
        (caution for caution in all_cautions() if caution.fits in fitting),
        key=lambda caution: _RANK.index(caution.fits),
    )
    return tuple(_spread(ranked)[:MOST_SHOWN])


def cautions_for_lines(keys: Collection[str], *, dial: bool = True) -> tuple[Caution, ...]:
    """
    Give at most five cautions that fit handbook lines, for a reader who plans nothing; `dial` for that gauge too.

    >>> [caution.fits for caution in cautions_for_lines(["green beans, raw pack, pint"])][:2]
    ['pressure', 'canned']
    """
    found = [lines()[key] for key in keys if key in lines() and lines()[key].canned]
    fitting = {
        fits
        for fits, test in _TESTS.items()
        for line in found
        if fits != "own"
        and (dial or fits != "dial")
        and test(Preserve(line.key, line.method, line.jar, handbook_line=line.key), _sure_foods(line))
    }
    ranked = sorted((one for one in all_cautions() if one.fits in fitting), key=lambda one: _RANK.index(one.fits))
    return tuple(_spread(ranked)[:MOST_SHOWN])


def _sure_foods(line: Line) -> set[str]:
    """The foods of a line, without the tomatoes that a mixture may hold or not."""
    return set(line.foods) - ({"tomato"} if line.least_kinds > 1 else set())


def _spread(ranked: list[Caution]) -> list[Caution]:
    """Take one caution of each kind before a second of any, so that five say five different things."""
    first: list[Caution] = []
    later: list[Caution] = []
    for caution in ranked:
        (later if caution.fits in {other.fits for other in first} else first).append(caution)
    return first + later


def _low_acid(foods: set[str]) -> bool:
    return any(kinds()[kind].acidity == LOW_ACID for kind in foods)


def _mixed(foods: set[str]) -> bool:
    return _low_acid(foods) and any(kinds()[kind].acidity != LOW_ACID for kind in foods)


_TESTS: Mapping[str, Callable[[Preserve, set[str]], bool]] = {
    "own": lambda preserve, _foods: preserve.own_recipe,
    "tomato": lambda _preserve, foods: "tomato" in foods,
    "pressure": lambda preserve, _foods: preserve.method == PRESSURE,
    "recipe": lambda preserve, foods: preserve.method != PRESSURE and _low_acid(foods),
    "squash": lambda _preserve, foods: bool(foods & {"winter squash", "sweet peppers", "hot peppers"}),
    "soup": lambda preserve, _foods: "soup" in (preserve.handbook_line or "").casefold(),
    "mixture": lambda _preserve, foods: _mixed(foods),
    "short": lambda preserve, _foods: (
        0 < preserve.process_minutes < STERILISE_UNDER_MINUTES and preserve.method != PRESSURE
    ),
    "dial": lambda preserve, _foods: preserve.method == PRESSURE,
    "low-acid": lambda _preserve, foods: _low_acid(foods),
    "canned": lambda _preserve, _foods: True,
    "any": lambda _preserve, _foods: True,
}
_RANK = (
    "own",
    "tomato",
    "pressure",
    "recipe",
    "soup",
    "short",
    "canned",
    "dial",
    "squash",
    "mixture",
    "low-acid",
    "any",
)
