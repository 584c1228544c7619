"""Rows of Crops, Preserves and Ingredients made of the handbook's catalogue, each with the source of its figures."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stillroom.handbook.catalogue import CatalogueCrop, CatalogueItem, CataloguePreserve, crops, preserves
from stillroom.handbook.crop_figures import into_jars, pot_litres_per_kg
from stillroom.handbook.foods import kinds_named
from stillroom.handbook.lines import lines
from stillroom.handbook.tables import table
from stillroom.household.names import Names
from stillroom.household.results.commands import LeftOut
from stillroom.household.text import format_list
from stillroom.household.units import POUND_KG, UNITS
from stillroom.workbook.starter.layout import GIVEN, Row
from stillroom.workbook.starter.texts import short

# The same catalogue in kilograms and liter jars: what one container takes grows or shrinks with the container.

TABLESPOON_ML = 14.78676478125
CUP_ML = 236.5882365
TEASPOON_ML = TABLESPOON_ML / 3
KITCHEN_ML = {"tablespoon": TABLESPOON_ML, "cup": CUP_ML, "teaspoon": TEASPOON_ML}
QUART_LITRES = UNITS["quart"].factor
DRY_BAG_KG, DRY_BAG_LB = 0.1, 0.25
BOX_KG, BOX_LB = 10.0, 20.0


@dataclass(frozen=True)
class Swap:
    """A container that stands for one of the catalogue: its name, how much more it holds, and the line it follows."""

    container: str
    share: float
    line: str


def swap(preserve: CataloguePreserve) -> Swap:
    """
    The metric container for a preserve, and the line it is processed by.

    A litre jar counts as a quart. A half-liter jar is larger than a pint, so it follows the quart's line where there
    is one; what is published in pints only stays in a US pint jar of 473 ml. No size is made up.
    """
    if preserve.container == "quart jar":
        return Swap("liter jar", 1 / QUART_LITRES, preserve.line)
    if preserve.container == "pint jar":
        quart = preserve.line.replace(", pint", ", quart")
        if quart in lines() and quart != preserve.line:
            return Swap("half-liter jar", 0.5 / (QUART_LITRES / 2), quart)
        return Swap("pint jar", 1.0, preserve.line)
    if preserve.container == "freezer pint":
        return Swap("half-liter tub", 0.5 / (QUART_LITRES / 2), preserve.line)
    if preserve.container == "dry bag":
        return Swap("100 g bag", DRY_BAG_KG / (DRY_BAG_LB * POUND_KG), preserve.line)
    if preserve.container == "box":
        return Swap("10 kg box", BOX_KG / (BOX_LB * POUND_KG), preserve.line)
    return Swap(preserve.container, 1.0, preserve.line)


def amount(item: CatalogueItem, share: float, *, further: bool = False) -> tuple[float, str]:
    """
    An item's amount in kg or ml, rounded up so that no acid is lost; a preserve stays counted in containers.

    A `further` food of a recipe, which is limited to a most, is rounded down.

    >>> amount(CatalogueItem("bottled lemon juice", "pantry", 2, "tablespoon"), 1.0)
    (30, 'ml')
    >>> amount(CatalogueItem("onions", "crop", 1.0, "lb"), 1.0, further=True)
    (0.453, 'kg')
    """
    if item.unit in KITCHEN_ML:
        return math.ceil(item.amount * share * KITCHEN_ML[item.unit] - 1e-9), "ml"
    if item.unit == "lb" and further:
        return math.floor(item.amount * share * POUND_KG * 1000 + 1e-9) / 1000, "kg"
    if item.unit == "lb":
        return math.ceil(item.amount * share * POUND_KG * 1000 - 1e-9) / 1000, "kg"
    return item.amount, item.unit


# How long work takes where nobody has published it: common practice, no source, for a household to type over. The few
# figures that were written down from experience: 60 to 90 minutes to wash, scald, peel and core a canner load of
# tomatoes (22 lb), 2 to 3 hours to snap a bushel (30 lb) of beans, 2 to 4 to shell a bushel of peas, 2 to 3 to husk,
# blanch and cut a bushel (35 lb) of corn, 2 to 5 hours of one burner to cook 35 to 46 lb of tomatoes down to sauce,
# the time growing with the water to be driven off. Extension tables of labour leave it out; a household's own record
# is better than any of these.

OTHER_HANDS_MINUTES_A_LB = 4.0
CELLAR_HANDS_MINUTES_A_LB = 0.5
FILLING_MINUTES_EACH = 1.0
"""Fill, wipe, close and later label one container."""
CANNER_HANDS_MINUTES = 15.0
"""Fill the canner, watch it, lift the jars out."""
BLANCHING_MINUTES_A_LB = 6.0
"""8 to 12 lb an hour go through a gallon kettle, derived from MSU Michigan Fresh HNI18."""
NOT_BLANCHED = ("sweet peppers", "hot peppers", "tomatoes", "apples", "peaches", "pears", "berries", "cherries")


COOKS_DOWN = ("tomato sauce", "tomato ketchup", "spaghetti sauce")
MINUTES_A_QUART, MINUTES_STEP = 43, 5
"""Five hours for the 7 quarts driven off 46 lb of tomatoes, and so 2 1/2 for the 3.7 off 35 lb; to 5 minutes."""
LOADS = {"quart jar": (7, 1.0), "pint jar": (9, 0.5)}
"""Jars of a canner load (AIB 539, Guide 1), and the quarts that each holds."""


def quarts_driven_off(preserve: CataloguePreserve) -> float:
    """
    Quarts of water that boil away from a canner load: what fills the pot at first, less the finished jars.

    46 lb of tomatoes are 14 quarts of pulp, and 7 quarts of thick sauce; 35 lb are 10.65 quarts, for thin sauce.

    >>> thin = next(one for one in preserves() if one.line == "tomato sauce, hot pack, quart")
    >>> round(quarts_driven_off(thin), 2)
    3.65
    """
    jars, holds = LOADS[preserve.container]
    litres = 0.0
    for item in preserve.items:
        if item.source == "crop":
            room = pot_litres_per_kg(item.item, None, refuse_share(item.item) or 0.0)
            litres += item.amount * POUND_KG * (room or 0.0)
        elif item.unit in KITCHEN_ML and not into_jars(item.item, None):
            litres += item.amount * KITCHEN_ML[item.unit] / 1000
    return max(0.0, jars * (litres / QUART_LITRES - holds))


@dataclass(frozen=True)
class Labour:
    """Minutes for one preserve: of hands each and a load, of a burner each and a load; None where there is none."""

    hands_each: float
    hands_load: float | None = None
    stove_each: float | None = None
    stove_load: float | None = None


def labour(preserve: CataloguePreserve) -> Labour:
    """The minutes of common practice for one preserve of the catalogue."""
    crops = [item for item in preserve.items if item.source == "crop"]
    if preserve.method == "root cellar":
        return Labour(sum(item.amount for item in crops) * CELLAR_HANDS_MINUTES_A_LB)
    minutes = sum(item.amount * GIVEN["hands_minutes_a_lb"].get(item.item, OTHER_HANDS_MINUTES_A_LB) for item in crops)
    hands = float(round(minutes + FILLING_MINUTES_EACH))
    if preserve.method == "frozen":
        raw = any(word in preserve.line for word in NOT_BLANCHED)
        pounds = sum(item.amount for item in crops)
        return Labour(hands, stove_each=None if raw else float(round(pounds * BLANCHING_MINUTES_A_LB)))
    cooking: dict[str, int] = GIVEN["cooking_minutes"]
    cooked = next((minutes for words, minutes in cooking.items() if preserve.line.startswith(words)), None)
    if preserve.line.startswith(COOKS_DOWN):
        cooked = MINUTES_STEP * round(quarts_driven_off(preserve) * MINUTES_A_QUART / MINUTES_STEP)
    canned = preserve.method.endswith("canned")
    return Labour(hands, CANNER_HANDS_MINUTES if canned else None, None, float(cooked) if cooked and canned else None)


REFUSE_SOURCE = "trimmings: USDA SR"
MEMORY = "not verified: confirm before use"
SPARE_WORDS = (", hot pack", ", raw pack")


@lru_cache(maxsize=1)
def chosen() -> tuple[CataloguePreserve, ...]:
    """
    Every line of the handbook whose published weight of crop is known, in the order of the crops.

    A line without a published weight is not among them, because no amount is made up; it stands in the list that
    *Handbook line* chooses from. What most households do not make stands at Include = no.
    """
    grown = {crop.name: place for place, crop in enumerate(crops())}
    found = [
        preserve
        for preserve in preserves()
        if all(item.item in grown for item in preserve.items if item.source == "crop")
    ]
    return tuple(sorted(found, key=lambda preserve: grown.get(preserve.items[0].item, len(grown))))


@lru_cache(maxsize=1)
def names() -> Mapping[str, str]:
    """
    What the household calls each line: without its pack where one pack is the usual one, else the line in full.

    >>> names()["tomato juice, hot pack, quart"], names()["green beans, hot pack, quart"]
    ('tomato juice, quart', 'green beans, hot pack, quart')
    """
    usual: dict[str, CataloguePreserve] = {}
    for preserve in chosen():
        known = usual.setdefault(short_name(preserve), preserve)
        if preserve.make and not known.make:
            usual[short_name(preserve)] = preserve
    short = {preserve.line: name for name, preserve in usual.items()}
    return {preserve.line: short.get(preserve.line, preserve.name) for preserve in chosen()}


def short_name(preserve: CataloguePreserve) -> str:
    """The handbook line without its pack."""
    name = preserve.name
    for words in SPARE_WORDS:
        name = name.replace(words, "")
    return name


def own_name(preserve: CataloguePreserve, *, metric: bool) -> str:
    """What the household calls a preserve, with the jars it has."""
    name = names()[preserve.line]
    if not metric:
        return name
    container = swap(preserve).container
    if container == "liter jar":
        return name.replace(", quart", ", liter")
    return name.replace(", pint", ", half liter") if container == "half-liter jar" else name


# Which preserves of the catalogue fit a household: its crops, the ways it can preserve, its jars.

WAYS = {
    "canner": "boiling-water canned",
    "pressure canner": "pressure canned",
    "dryer": "dried",
    "freezer": "frozen",
    "crock": "fermented",
    "root cellar": "root cellar",
}
"""What a household may have, and the method that it allows."""
FILLED_UP_TO, MOST = 30, 40
"""Beyond the usual preserves of its crops a list is filled up to the first, and it never has more than the second."""


@lru_cache(maxsize=1)
def main_crops() -> Mapping[str, str]:
    """Return the crop that each line is made of; that of what is made of another preserve is found through it."""
    grown = {crop.name for crop in crops()}
    found: dict[str, str] = {}
    for preserve in chosen():
        names = [item.item for item in preserve.items]
        main = next((name for name in names if name in grown), None)
        found[preserve.line] = main if main is not None else found.get(names[0], names[0])
    made_of = {preserve.line: preserve.items[0].item for preserve in chosen()}
    return {line: found.get(made_of[line], main) for line, main in found.items()}


def fitting(
    grown: Collection[str], ways: Collection[str], sizes: Collection[str] | None, *, metric: bool
) -> tuple[tuple[CataloguePreserve, ...], tuple[LeftOut, ...]]:
    """
    Return the preserves of these crops that can be made with what there is, and what is left out.

    `ways` are keys of WAYS; `sizes` the jars there are, None for any. First comes the best of each crop, then the other
    usual ones, then others, crop by crop.
    """
    of_these = sorted((preserve for preserve in chosen() if main_crops()[preserve.line] in grown), key=rank)
    why = {preserve.line: lacking(preserve, grown, ways, sizes, metric=metric) for preserve in of_these}
    ordered = in_turn([preserve for preserve in of_these if not why[preserve.line]])
    kept = ordered[: min(MOST, max(sum(preserve.make for preserve in ordered), FILLED_UP_TO))]
    needed = frozenset[str]().union(*map(made_of, kept))
    kept += [preserve for preserve in ordered if preserve not in kept and preserve.line in needed]
    there = {preserve.line for preserve in kept}
    kept = [preserve for preserve in kept if made_of(preserve) <= there]
    why |= {preserve.line: "seldom made" for preserve in ordered if preserve not in kept}
    left = tuple(told_left_out(of_these, why, metric=metric))
    used = {item.item for preserve in kept for item in preserve.items}
    unused = tuple(crop for crop in grown if crop not in used)
    left += (LeftOut("Crops", unused, "no preserve that fits uses"),) if unused else ()
    return tuple(preserve for preserve in chosen() if preserve in kept), left


def in_turn(able: Sequence[CataloguePreserve]) -> list[CataloguePreserve]:
    """Return preserves as they are taken: the first of each crop, the other usual ones, then crop by crop."""
    ranks: dict[str, int] = {}
    turns = []
    for preserve in able:
        main = main_crops()[preserve.line]
        ranks[main] = ranks.get(main, -1) + 1
        turns.append((ranks[main] > 0, not preserve.make, ranks[main], preserve))
    return [turn[-1] for turn in sorted(turns, key=lambda turn: turn[:-1])]


def made_of(preserve: CataloguePreserve) -> frozenset[str]:
    """Return the other preserves that one takes."""
    return frozenset(item.item for item in preserve.items if item.source == "preserve")


def told_left_out(preserves: Sequence[CataloguePreserve], why: Mapping[str, str], *, metric: bool) -> Iterator[LeftOut]:
    """Yield the usual preserves that are left out, by reason: first what the household lacks."""
    for words in sorted(set(filter(None, why.values())), key=lambda words: (words == "seldom made", words)):
        names = [own_name(one, metric=metric) for one in preserves if why[one.line] == words and is_usual(one)]
        if names:
            yield LeftOut("Preserves", tuple(names), words)


def lacking(
    preserve: CataloguePreserve,
    grown: Collection[str],
    ways: Collection[str],
    sizes: Collection[str] | None,
    *,
    metric: bool,
) -> str:
    """Return what a household lacks for a preserve, in words; empty when it can be made."""
    way = next(way for way, method in WAYS.items() if method == preserve.method)
    if way not in ways:
        return f"you have no {way}"
    others = [item.item for item in preserve.items if item.source == "crop" and item.item not in grown]
    if others:
        return f"needs {format_list(sorted(others))}"
    container = swap(preserve).container if metric else preserve.container
    if sizes is not None and container.endswith(" jar") and container not in sizes:
        return f"you have no {container}s"
    return ""


def rank(preserve: CataloguePreserve) -> tuple[bool, ...]:
    """Return the key by which the preserves of a crop are taken: usual ones first, what is not verified last."""
    longer = preserve.line.endswith(", pressure")
    unusual = not is_usual(preserve)
    return not preserve.make, preserve.status == "memory", unusual, longer, ", quart" not in preserve.line


def is_usual(preserve: CataloguePreserve) -> bool:
    """Return whether a line has the usual pack of its product and size."""
    return names()[preserve.line] == short_name(preserve)


def at_yes(preserves: Sequence[CataloguePreserve], targets: Sequence[tuple[str, ...]]) -> list[CataloguePreserve]:
    """
    Return the preserves with one at yes for each target, and for each crop, that has none yet, where one is verified.

    `targets` are the first words of the lines that count toward each; what counts toward none stays as it is.
    """
    wanted = {one.line for one in preserves if one.make}
    of_crops = dict.fromkeys(main_crops()[one.line] for one in preserves)
    each: list[str | tuple[str, ...]] = [*targets, *of_crops]
    for target in each:
        able = [one for one in preserves if fits_target(one, target) and any(one.line.startswith(t) for t in targets)]
        if not wanted.intersection(one.line for one in able):
            wanted |= {one.line for one in sorted(able, key=rank)[:1] if one.status != "memory"}
    return [replace(one, make=one.line in wanted) for one in preserves]


def fits_target(preserve: CataloguePreserve, target: str | tuple[str, ...]) -> bool:
    """Return whether a preserve is made of a crop, or begins with one of the words of a target."""
    if isinstance(target, str):
        return main_crops()[preserve.line] == target
    return preserve.line.startswith(target)


def crop_rows(*, metric: bool, grown: Collection[str] = ()) -> Sequence[Row]:
    """The crops with their keeping days, bushel and trimmings: those that are grown, or every one."""
    return [crop_row(crop, metric=metric) for crop in crops() if not grown or crop.name in grown]


def crop_row(crop: CatalogueCrop, *, metric: bool) -> Row:
    """One crop; the note says where each figure was read."""
    bushel = crop.bushel_lb
    share = refuse_share(crop.name)
    notes = [
        short_source(crop.source),
        REFUSE_SOURCE if share is not None else "",
        MEMORY if crop.status == "memory" else "",
        crop.note,
    ]
    return {
        "Crop": crop.name,
        "Handbook food": crop.handbook_food,
        "Keeps days": crop.keeps_days,
        "Bushel weighs": round(bushel * POUND_KG, 1) if bushel and metric else bushel,
        "Unit": "kg" if metric else "lb",
        "May be frozen whole": "yes" if crop.may_be_frozen_whole else "no",
        "Trimmings share": share,
        "Note": "; ".join(note for note in notes if note),
    }


def short_source(source: str) -> str:
    """
    The sources of a crop's figures, the first publication of each.

    >>> short_source("keeps: MSU Extension; bushel: AIB 539, Guide 4; MSU Extension PFS 01600704")
    'keeps: MSU; bushel: AIB 539, Guide 4'
    """
    pieces = re.split(r"; (?=bushel: )", source)
    return "; ".join(re.split(r"; | = | \(", short(piece))[0] for piece in pieces)


def refuse_share(food: str) -> float | None:
    """The share of a food that is refuse, by the nutrient tables; None where no row stands for it."""
    name = GIVEN["refuse_foods"].get(food)
    found = next((row for row in table("densities") if row["food"] == name), None)
    return float(found["refuse_percent"]) / 100 if found and found["refuse_percent"] else None


def preserve_rows(
    equipment: Mapping[str, str], *, metric: bool, of: Sequence[CataloguePreserve] | None = None
) -> Sequence[Row]:
    """Every chosen preserve, or those given, ready to be made; `equipment` names the piece of each kind."""
    return [preserve_row(preserve, equipment, metric=metric) for preserve in (chosen() if of is None else of)]


def preserve_row(preserve: CataloguePreserve, equipment: Mapping[str, str], *, metric: bool) -> Row:
    """
    One preserve, with where its directions come from and what is only common practice.

    What is pressure canned stands at yes before the gauge is typed: without a gauge the handbook refuses it.
    """
    work = labour(preserve)
    swapped = swap(preserve)
    pieces = [equipment["kettle"]] if work.stove_load else []
    pieces += [equipment[preserve.equipment_kind]] if preserve.equipment_kind else []
    memory = MEMORY if preserve.status == "memory" else ""
    return {
        "Preserve": own_name(preserve, metric=metric),
        "Method": preserve.method,
        "Container": swapped.container if metric else preserve.container,
        "Handbook line": swapped.line if metric else preserve.line,
        "Source": short(preserve.source),
        "Include": "yes" if preserve.make else "no",
        "Hands-on min each": round(work.hands_each * (swapped.share if metric else 1.0)),
        "Hands-on min a load": work.hands_load,
        "Stove min each": work.stove_each,
        "Stove min a load": work.stove_load,
        "Equipment": ", ".join(pieces) or None,
        "Kept in": preserve.kept_in,
        "Note": "; ".join(note for note in (memory, preserve.note) if note) or None,
    }


def ingredient_rows(*, metric: bool, of: Sequence[CataloguePreserve] | None = None) -> Sequence[Row]:
    """What one container of each chosen preserve takes, or of those given; the note says whose yield it is."""
    called = {preserve.name: own_name(preserve, metric=metric) for preserve in chosen()}
    rows: list[Row] = []
    for preserve in chosen() if of is None else of:
        share = swap(preserve).share
        for place, item in enumerate(preserve.items):
            number, unit = item.amount, item.unit
            if metric:
                number, unit = amount(item, share, further=place > 0)
            rows.append(
                {
                    "Preserve": called[preserve.name],
                    "Item": called.get(item.item, item.item) if item.source == "preserve" else item.item,
                    "Amount each": number,
                    "Unit": unit or None,
                    "May be from frozen": "yes" if item.from_frozen else None,
                    "Note": short(preserve.source),
                }
            )
    return rows


def line_rows() -> Sequence[Row]:
    """Every handbook line, for the drop-down of Preserves."""
    return [
        {"Handbook line": line.key, "Method": line.method, "Source": short(line.source)} for line in lines().values()
    ]


def crops_meant(text: str) -> tuple[str, ...]:
    """
    Return the crops of the catalogue that a text names, by an everyday name or one of the handbook's; empty when none.

    Of several foods with that name, those with a usual preserve are meant. Only rows of the catalogue are found so: no
    food is settled by it.

    >>> crops_meant("Cukes"), crops_meant("beans"), crops_meant("squash"), crops_meant("greens"), crops_meant("goji")
    (('cucumbers',), ('snap beans',), ('summer squash', 'winter squash'), ('leafy greens',), ())
    """
    names = Names("crop", (crop.name for crop in crops()))
    kinds_meant = kinds_named(text)
    found = names.meant(text) or tuple(name for name in names if name in kinds_meant)
    if len(found) == 1:
        return found
    usual = {item.item for preserve in preserves() if preserve.make for item in preserve.items[:1]}
    near = names.nearest(text) if not found else None
    return tuple(name for name in found if name in usual) or found or (() if near is None else (near,))
