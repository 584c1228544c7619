"""The cautions of the handbook: the five that fit a plan, and those of a page."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stillroom.handbook.foods import LOW_ACID, kinds
from stillroom.handbook.ingredients import parts
from stillroom.handbook.jars import headspaces, headspaces_text
from stillroom.handbook.lines import CANNED, PRESSURE, Line, lines
from stillroom.handbook.names import plain
from stillroom.handbook.tables import listed, table
from stillroom.household.plan import Plan
from stillroom.household.records import Household, Preserve

MOST_SHOWN = 5
STERILIZE_UNDER_MINUTES = 10
"""Jars are sterilized when the process is shorter (Michigan State Univ. Extension, 10/1997)."""


FIXED, KITCHEN = "fixed", "kitchen"
"""The blocks of a page: what is on every page, and what is for hands and kitchen."""
ALWAYS, HANDS, OTHERS = "Every time you can", "Hands and kitchen", "Cautions"
HEADSPACE = "caution 15"
"""The caution of the fixed block that names the headspace of what is on the page."""


@dataclass(frozen=True)
class Caution:
    """
    One caution in our own words, with its source and the kind of work it fits.

    `block` is the block of a page it is in, empty for a particular one; `short` is its wording in the fixed block.
    `steps` are the kinds of step on the clock at which it matters, none where it is for all of the work.
    """

    key: str
    text: str
    source: str
    fits: str
    status: str = "verified"
    block: str = ""
    short: str = ""
    steps: tuple[str, ...] = ()


@dataclass(frozen=True)
class PageCautions:
    """The cautions of one page: those of every page, those that fit what is on it, those for hands and kitchen."""

    fixed: tuple[Caution, ...] = ()
    particular: tuple[Caution, ...] = ()
    kitchen: tuple[Caution, ...] = ()

    @property
    def named(self) -> tuple[tuple[str, tuple[Caution, ...]], ...]:
        """Return the blocks that have cautions, each with its heading, in the order of a page."""
        blocks = ((ALWAYS, self.fixed), (HANDS, self.kitchen), (OTHERS, self.particular))
        return tuple((heading, cautions) for heading, cautions in blocks if cautions)

    @property
    def all(self) -> tuple[Caution, ...]:
        """Return all of them, in the order of a page."""
        return (*self.fixed, *self.particular, *self.kitchen)


@lru_cache(maxsize=1)
def all_cautions() -> tuple[Caution, ...]:
    """Return every caution, in the order of the table."""
    return tuple(
        Caution(
            row["key"],
            row["text"],
            row["source"],
            row["fits"],
            row["status"],
            row["block"],
            row["short"],
            listed(row["steps"]),
        )
        for row in table("cautions")
    )


def fixed_block(headspaces: str = "") -> tuple[Caution, ...]:
    """
    Return the cautions of every page in their short wording; `headspaces` is added to the one about headspace.

    >>> [one.text for one in fixed_block("1 inch for okra") if "headspace" in one.text]
    ['Leave the headspace of each food: 1 inch for okra.']
    """
    found = []
    for caution in all_cautions():
        if caution.block == FIXED:
            named = headspaces if caution.key == HEADSPACE else ""
            found.append(replace(caution, text=f"{caution.short[:-1]}: {named}." if named else caution.short))
    return tuple(found)


def handbook_blocks() -> PageCautions:
    """Return every caution of the handbook by its block, with the headspace of every product in the tables."""
    every = all_cautions()
    return PageCautions(
        fixed_block(headspaces_text([*headspaces()])),
        tuple(one for one in every if not one.block),
        tuple(one for one in every if one.block == KITCHEN),
    )


def page_cautions(household: Household, names: Collection[str]) -> PageCautions:
    """
    Return the cautions of a page with these preserves; others are ignored.

    `household` must be settled. The fixed block is on every page, even if nothing on it is canned.
    """
    made = [preserve for preserve in household.preserves if preserve.name in names]
    foods = {preserve.name: _foods(household, preserve) for preserve in made}
    fitting = _fitting(household, [one for one in made if one.method in CANNED], foods)
    if any(one.own_recipe for one in made):
        fitting.add("own")
    hands = {fits for fits, test in _HANDS.items() if any(test(one, foods[one.name]) for one in made)}
    products = [line.product for one in made if (line := canned_line(one)) is not None]
    others = [one.name for one in made if one.method in CANNED and canned_line(one) is None]
    return PageCautions(
        fixed_block(headspaces_text(products, others)),
        tuple(one for one in _ranked(fitting) if not one.block),
        tuple(one for one in all_cautions() if one.block == KITCHEN and one.fits in (hands | fitting)),
    )


def step_cautions(household: Household, name: str, kind: str) -> list[Caution]:
    """
    Return the cautions that matter at one kind of step of a preserve; `household` must be settled.

    Those of the fixed block are left out where they are about another method.
    """
    methods = {item.method for item in household.preserves if item.name == name}
    about = {"canned": methods & set(CANNED), "pressure": methods & {PRESSURE}}
    found = page_cautions(household, [name]).all
    return [one for one in found if kind in one.steps and (one.block != FIXED or about.get(one.fits, True))]


def canned_line(preserve: Preserve) -> Line | None:
    """Return the handbook line of a canned preserve, None if it has none."""
    line = lines().get(preserve.handbook_line or "")
    return line if line is not None and line.canned and preserve.method in CANNED else None


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
    return _shown(_fitting(household, canned, {one.name: _foods(household, one) for one in canned}))


def _foods(household: Household, preserve: Preserve) -> set[str]:
    """Return every kind of food in a preserve."""
    return {kind for part in parts(household, preserve) for kind in part.kinds}


def _fitting(household: Household, canned: Sequence[Preserve], foods: Mapping[str, set[str]]) -> set[str]:
    """Return the kinds of caution that fit canned preserves; those for a dial gauge only with one."""
    fitting = {fits for fits, test in _TESTS.items() if any(test(one, foods[one.name]) for one in canned)}
    return fitting if household.kitchen.gauge == "dial" else fitting - {"dial"}


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
    first: list[Caution] = []
    later: list[Caution] = []
    for caution in _ranked(fitting):
        (later if caution.fits in {other.fits for other in first} else first).append(caution)
    return tuple([*first, *later][:MOST_SHOWN])


def _ranked(fitting: Collection[str]) -> list[Caution]:
    """Return the cautions of these kinds by rank, without those for hands and kitchen."""
    found = [one for one in all_cautions() if one.fits in fitting and one.block != KITCHEN]
    return sorted(found, key=lambda one: _RANK.index(one.fits))


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
LIME_WATER = "lime water"
PICKLING_LIME, LYE = ("pickling lime", "slaked lime", "calcium hydroxide"), ("lye", "sodium hydroxide")


def _takes(preserve: Preserve, phrases: Sequence[str]) -> bool:
    """Return whether an ingredient is named so, other words before or after included."""
    named = [f" {plain(line.item)} " for line in preserve.ingredients]
    return any(f" {phrase} " in name for phrase in phrases for name in named)


_HANDS: Mapping[str, Callable[[Preserve, set[str]], bool]] = {
    "hot peppers": lambda _preserve, foods: "hot peppers" in foods,
    "lime": lambda preserve, _foods: (
        _takes(preserve, PICKLING_LIME) or any(LIME_WATER in f"{one.where} {one.choice}" for one in preserve.standing)
    ),
    "lye": lambda preserve, _foods: _takes(preserve, LYE),
    "dried": lambda preserve, _foods: preserve.method == "dried",
    "heat": lambda preserve, _foods: (
        preserve.method in CANNED or preserve.stove_minutes_each + preserve.stove_minutes_load > 0
    ),
    "knife": lambda _preserve, _foods: True,
}
"""What of the kitchen fits a preserve, canned or not."""
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
