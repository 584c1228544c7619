"""The cautions of the handbook, and the five that fit a plan."""

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
STERILIZE_UNDER_MINUTES = 10
"""Jars are sterilized when the process is shorter (Michigan State Univ. Extension, 10/1997)."""


@dataclass(frozen=True)
class Caution:
    """One caution in our own words, with its source and the kind of work it fits."""

    key: str
    text: str
    source: str
    fits: str
    status: str = "verified"


@lru_cache(maxsize=1)
def all_cautions() -> tuple[Caution, ...]:
    """Return every caution, in the order of the table."""
    return tuple(
        Caution(row["key"], row["text"], row["source"], row["fits"], row["status"]) for row in table("cautions")
    )


def cautions_for(household: Household, plan: Plan) -> tuple[Caution, ...]:
    """
    Return at most five cautions that fit what the plan makes, the most specific first; none when nothing is canned.

    `household` must be settled: its preserves have their process and are marked as own recipes or not.
    """
    made = {name for (name, _), amount in plan.make.items() if amount > 0}
    made_preserves = [preserve for preserve in household.preserves if preserve.name in made]
    return cautions_of(household, made_preserves)


def cautions_of(household: Household, made: list[Preserve]) -> tuple[Caution, ...]:
    """Return at most five cautions that fit these preserves of the household."""
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
    return _shown(fitting)


def cautions_for_lines(keys: Collection[str], *, dial: bool = True) -> tuple[Caution, ...]:
    """
    Return at most five cautions that fit handbook lines; with `dial`, those for a dial gauge too.

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
        and test(Preserve(line.key, line.method, line.jar, handbook_line=line.key), _certain_foods(line))
    }
    return _shown(fitting)


def _certain_foods(line: Line) -> set[str]:
    """Return the foods of a line, without the tomatoes that a mixture may contain or not."""
    return set(line.foods) - ({"tomato"} if line.least_kinds > 1 else set())


def _shown(fitting: Collection[str]) -> tuple[Caution, ...]:
    """Return the first cautions of these kinds by rank, with one of each kind before a second of any."""
    ranked = sorted((one for one in all_cautions() if one.fits in fitting), key=lambda one: _RANK.index(one.fits))
    first: list[Caution] = []
    later: list[Caution] = []
    for caution in ranked:
        (later if caution.fits in {other.fits for other in first} else first).append(caution)
    return tuple([*first, *later][:MOST_SHOWN])


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
        0 < preserve.process_minutes < STERILIZE_UNDER_MINUTES and preserve.method != PRESSURE
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
