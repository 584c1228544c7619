"""What makes no sense together in a household that could be read: one function for each thing that can be wrong."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.household.amounts import amount_from
from stillroom.household.kettles import cooks_down_in, counts_jars, in_pots, no_density, pot_is_full
from stillroom.household.names import Names, plain_word, suggestion
from stillroom.household.plan import periods
from stillroom.household.records import (
    FREEZE_WHOLE,
    THAW,
    Container,
    Crop,
    Equipment,
    Household,
    Lid,
    Load,
    PantryItem,
    PlanLine,
    Preserve,
)
from stillroom.household.text import format_clock, format_date, format_list, format_number, format_weekday
from stillroom.household.units import MeasureWrong, Unit, find_unit, tidy

Check = Callable[[Household], Iterator[Problem]]


def no_ingredients(household: Household) -> Iterator[Problem]:
    """A preserve that is to be made takes something."""
    for preserve in household.planned():
        if not any(line.amount_each > 0 for line in preserve.ingredients):
            yield Problem(preserve.where, "no ingredients", (preserve.name,))


def ingredient_loop(household: Household) -> Iterator[Problem]:
    """No preserve is, by way of others, an ingredient of itself."""
    takes = {
        preserve.name: [line.item for line in preserve.ingredients if line.source == "preserve"]
        for preserve in household.preserves
    }
    places = {preserve.name: preserve.where for preserve in household.preserves}
    done: set[str] = set()
    for name in takes:
        path: list[str] = []
        stack = [(name, iter(takes[name]))]
        while stack:
            here, rest = stack[-1]
            if here not in path:
                path.append(here)
            item = next(rest, None)
            if item is None:
                stack.pop()
                path.pop()
                done.add(here)
            elif item in path:
                loop = path[path.index(item) :]
                yield Problem(places[item], "ingredient loop", (item, " > ".join([*loop, item])))
                done.update(loop)
            elif item in takes and item not in done:
                stack.append((item, iter(takes[item])))


def target_without_preserve(household: Household) -> Iterator[Problem]:
    """Every need has a preserve that counts toward it."""
    for target in household.targets:
        if not target.counts:
            yield Problem(target.where, "target without preserve", (target.name,))


def at_most_below_wanted(household: Household) -> Iterator[Problem]:
    """What would be too much is not less than what is wanted."""
    for target in household.targets:
        if target.at_most < target.wanted - 1e-9:
            names = (target.name, format_number(target.at_most), format_number(target.wanted))
            yield Problem(target.where, "at most below wanted", names, field="At most")


def target_only_from_what_is_not_made(household: Household) -> Iterator[Problem]:
    """A need that only preserves with Include = no count toward stays as it is, and this is said."""
    planned = {preserve.name for preserve in household.planned()}
    for target in household.targets:
        if target.counts and target.wanted > 0 and not planned.intersection(target.counts):
            yield Problem(target.where, "no included preserve", (target.name,))


def ingredient_not_made(household: Household) -> Iterator[Problem]:
    """A preserve that needs another which is neither made nor on the shelf cannot be planned, and this is said."""
    planned = {preserve.name for preserve in household.planned()}
    there = {row.preserve for row in household.shelf if row.count > 0} | {
        row.preserve for row in household.record if row.made > 0
    }
    for preserve in household.planned():
        for line in preserve.ingredients:
            if line.source == "preserve" and line.item not in planned and line.item not in there:
                yield Problem(line.where or preserve.where, "ingredient not included", (preserve.name, line.item))


def counts_toward_no_target(household: Household) -> Iterator[Problem]:
    """A preserve that counts toward no need is made only for what uses it, and this is said."""
    counted = {name for target in household.targets for name in target.counts}
    planned = household.planned()
    used = {line.item for preserve in planned for line in preserve.ingredients if line.source == "preserve"}
    for preserve in planned:
        if preserve.name in counted:
            continue
        kind = "only an ingredient" if preserve.name in used else "counts toward no target"
        yield Problem(preserve.where, kind, (preserve.name,))


def no_container_to_be_had(household: Household) -> Iterator[Problem]:
    """A preserve whose container, or its lid, is neither on hand nor to be bought is not made, and this is said."""
    containers = {container.name: container for container in household.containers}
    lids = {lid.name: lid for lid in household.lids}
    for preserve in household.planned():
        container = containers.get(preserve.container)
        if container is None:
            continue
        lid = lids.get(container.lid or "")
        for stock in (container, lid):
            if stock is not None and _none_to_be_had(stock):
                yield Problem(preserve.where, "no container to be had", (preserve.name, stock.name))


def _none_to_be_had(stock: Container | Lid) -> bool:
    """Whether there is none of it, none to buy, and none coming back."""
    back = stock.back_each_week if isinstance(stock, Container) else 0.0
    return stock.on_hand < 1 and stock.can_buy < 1 and back <= 0


def frozen_without_use(household: Household) -> Iterator[Problem]:
    """A crop in the freezer that nothing which is to be made takes from there stays in it, and this is said once."""
    used = {
        line.item
        for preserve in household.planned()
        for line in preserve.ingredients
        if line.source == "crop" and line.from_frozen
    }
    frozen = {lot.crop: lot.where for lot in reversed(household.lots) if lot.frozen_on is not None}
    for lot in household.lots:
        if lot.crop not in used and frozen.get(lot.crop) == lot.where and lot.frozen_on is not None:
            yield Problem(lot.where, "frozen crop not used", (lot.crop,))


def hours_above_people(household: Household) -> Iterator[Problem]:
    """More hours of hands than the people have is only said."""
    people = household.kitchen.people
    for row in household.hours:
        if row.what != "hands" or not people:
            continue
        if max(row.by_weekday) > people * 24:
            names = (format_number(max(row.by_weekday)), format_number(people))
            yield Problem(row.where, "hours of a day above people", names)
        elif row.each_later_week > people * 168:
            names = (format_number(row.each_later_week), format_number(people))
            yield Problem(row.where, "hours of a week above people", names)


def latest_end_before_start(household: Household) -> Iterator[Problem]:
    """Kitchen work is over after it starts, on every weekday."""
    kitchen = household.kitchen
    for number in range(7):
        day = kitchen.first_day + datetime.timedelta(days=number)
        if kitchen.ends_by(day) <= kitchen.starts_on(day):
            names = (format_clock(kitchen.ends_by(day)), format_clock(kitchen.starts_on(day)), format_weekday(day))
            yield Problem(kitchen.latest_end_where, "latest end before start", names)
            return


def price_missing(household: Household) -> Iterator[Problem]:
    """With a spending limit, what can be bought without a price costs nothing in the plan, and this is said."""
    if not math.isfinite(household.kitchen.spending_limit):
        return
    stocks: tuple[Container | Lid | PantryItem, ...] = (*household.containers, *household.lids, *household.pantry)
    for stock in stocks:
        if stock.can_buy > 0 and stock.price is None:
            yield Problem(stock.where, "price missing", (stock.name,), field="Price")


def minutes_spread(household: Household) -> Iterator[Problem]:
    """Minutes a load of a preserve without equipment are spread over its smallest batch, and this is said."""
    for preserve in household.planned():
        minutes = preserve.hands_minutes_load + preserve.stove_minutes_load
        if not preserve.equipment and minutes > 0:
            yield Problem(preserve.where, "minutes spread", (preserve.name, str(preserve.smallest_batch)))


def fixed_line_unknown(household: Household) -> Iterator[Problem]:
    """A fixed line for something that is not there is left alone, and this is said."""
    preserves = Names("preserve", (preserve.name for preserve in household.preserves))
    crops = Names("crop", (crop.name for crop in household.crops))
    for line in _fixed(household):
        crop = _crop_of(line)
        names, name = (preserves, line.name) if crop is None else (crops, crop)
        if names.find(name) is None:
            table = "Preserves" if crop is None else "Crops"
            near = suggestion(name, names)
            yield Problem(line.where, "fixed line unknown", (name, names.word, table), near, field="Keep at")


def fixed_line_not_frozen(household: Household) -> Iterator[Problem]:
    """A fixed line that freezes a crop which may not be frozen whole is left alone, and this is said."""
    allowed = {crop.name: crop.may_be_frozen_whole for crop in household.crops}
    for line in _fixed(household):
        crop = _crop_of(line)
        if crop is not None and line.name.startswith(FREEZE_WHOLE) and allowed.get(crop) is False and line.fix:
            yield Problem(line.where, "fixed line not frozen", (crop,), field="Keep at")


def fixed_line_past(household: Household) -> Iterator[Problem]:
    """A fixed line that lies outside the plan is left alone, and this is said unless something was made of it."""
    found = periods(household.kitchen)
    if not found:
        return
    made = {(row.preserve, row.date) for row in household.record}
    for line in _fixed(household):
        if line.made is not None or (line.name, line.day) in made:
            continue
        if (found[0].first_day - line.day).days >= line.days:
            yield Problem(line.where, "fixed line past", (line.name, format_date(line.day)), field="Keep at")
        elif line.day > found[-1].last_day:
            names = (line.name, format_date(line.day), format_date(found[-1].last_day))
            yield Problem(line.where, "fixed line after the plan", names, field="Keep at")


def fixed_line_twice(household: Household) -> Iterator[Problem]:
    """Two fixed lines for one thing on one day are said."""
    seen: dict[tuple[str, object, int], PlanLine] = {}
    for line in _fixed(household):
        before = seen.setdefault((line.name, line.day, line.days), line)
        if before is not line:
            numbers = (format_number(before.fix or 0), format_number(line.fix or 0))
            names = (line.name, format_date(line.day), *numbers, before.where)
            yield Problem(line.where, "fixed line twice", names, field="Keep at")


def _fixed(household: Household) -> Iterator[PlanLine]:
    """The lines with a number in Keep at."""
    return (line for line in household.plan_lines if line.fix is not None)


def _crop_of(line: PlanLine) -> str | None:
    """The crop of a freezing or thawing line, None for any other."""
    for start in (FREEZE_WHOLE, THAW):
        if line.name.startswith(start):
            return line.name.removeprefix(start)
    return None


CHECKS: tuple[Check, ...] = (
    no_ingredients,
    ingredient_loop,
    target_without_preserve,
    at_most_below_wanted,
    target_only_from_what_is_not_made,
    ingredient_not_made,
    counts_toward_no_target,
    no_container_to_be_had,
    frozen_without_use,
    hours_above_people,
    latest_end_before_start,
    price_missing,
    minutes_spread,
    fixed_line_unknown,
    fixed_line_not_frozen,
    fixed_line_past,
    fixed_line_twice,
)
"""Every check, in reading order."""


def problems(household: Household) -> tuple[Problem, ...]:
    """Everything that makes no sense together, each told once; needs no knowledge of the handbook."""
    return tuple(dict.fromkeys(problem for check in CHECKS for problem in check(household)))


# How many containers one filling of the equipment takes, worked out from the loads the household typed.

SIZE_TOLERANCE = 0.06
"""How far a jar's size may be from the size that names it: a litre jar (5.7 % above) counts as a quart."""

KNOWN_KINDS = ("boiling-water canner", "pressure canner", "dryer", "kettle", "crock")


def known_kind(typed: str) -> str:
    """
    Bring a kind of equipment to its known spelling, or to lower case when it is none of the known ones.

    >>> known_kind("Boiling water canner"), known_kind("steam juicer")
    ('boiling-water canner', 'steam juicer')
    """
    plain = " ".join(typed.casefold().split())
    bare = tidy(typed)
    return next((kind for kind in KNOWN_KINDS if kind.replace("-", " ") == bare), plain)


def same_words(one: str, other: str) -> bool:
    """
    Whether two names are one, in the singular or the plural.

    >>> same_words("boxes", "Box"), same_words("quart jars", "quart jar"), same_words("tub", "jar")
    (True, True, False)
    """
    return [plain_word(word) for word in tidy(one).split()] == [plain_word(word) for word in tidy(other).split()]


def size_and_kind(text: str) -> tuple[float, str] | None:
    """
    Read a size in litres and a kind of container out of words such as `quart jars`; None for anything else.

    >>> size_and_kind("500 ml jars"), size_and_kind("big jars")
    ((0.5, 'jar'), None)
    """
    *size, kind = tidy(text).split() or [""]
    words = " ".join(size)
    unit = find_unit(words)
    number = 1.0
    if unit is None:
        try:
            amount = amount_from(words)
        except MeasureWrong:
            return None
        number, unit = amount.number, amount.unit
    if unit is None or unit.measures != "volume":
        return None
    return number * unit.factor, plain_word(kind)


def is_container(text: str, container: Container) -> int:
    """
    Say how closely words name a container: 2 by its own name, 1 by size and kind, 0 not at all.

    >>> jar = Container("Kim's quart", "jar", holds_litres=0.946)
    >>> is_container("quart jars", jar), is_container("pint jars", jar), is_container("Kim's quarts", jar)
    (1, 0, 2)
    """
    if same_words(text, container.name):
        return 2
    named = size_and_kind(text)
    if named is None or container.holds_litres is None:
        return 0
    litres, kind = named
    of_kind = kind in {plain_word(word) for word in tidy(container.kind).split()}
    return int(of_kind and abs(container.holds_litres - litres) <= SIZE_TOLERANCE * litres)


def containers_held(
    piece: Equipment, preserve: Preserve, container: Container, crops: Iterable[Crop]
) -> tuple[float, Load] | None:
    """
    Say how many containers of a preserve one filling of a piece of equipment takes, with the load that says so.

    A load named by the container goes before one by size and kind, and that before one by weight or volume; of
    several that name it alike the smallest counts. None when no load of the piece names it.

    >>> canner = Equipment("canner", "boiling-water canner", loads=(Load(7, "quart jars"), Load(9, "pint jars")))
    >>> containers_held(canner, Preserve("juice", "boiling-water canned", "pt"), Container("pt", "jar", 0.473), ())[0]
    9
    """
    found: dict[int, list[tuple[float, Load]]] = {}
    for load in piece.loads:
        close = is_container(load.unit, container)
        if close:
            found.setdefault(close, []).append((load.number, load))
            continue
        unit = find_unit(load.unit)
        held = None if unit is None else _by_measure(load.number, unit, preserve, container, crops)
        if held is not None:
            found.setdefault(0, []).append((held, load))
    if not found:
        return None
    return min(found[max(found)], key=lambda one: one[0])


def _by_measure(
    number: float, unit: Unit, preserve: Preserve, container: Container, crops: Iterable[Crop]
) -> float | None:
    """Count containers by the crop weight, or the litres, of one; None when that is not known."""
    lines = [line for line in preserve.ingredients if line.source == "crop"]
    crop_kg_each = sum(line.amount_each for line in lines)
    if unit.measures == "volume":
        return number * unit.factor / container.holds_litres if container.holds_litres else None
    if unit.measures == "weight":
        each = crop_kg_each or container.holds_kg
        return number * unit.factor / each if each else None
    if unit.measures == "bushel":
        weights = {crop.name: crop.bushel_kg for crop in crops}
        bushels = [weights.get(line.item) for line in lines]
        if len(bushels) == 1 and bushels[0] and crop_kg_each:
            return number * unit.factor * bushels[0] / crop_kg_each
    return None


def load_of(preserve: Preserve, household: Household) -> tuple[int | None, tuple[Problem, ...]]:
    """
    Give the whole containers one filling takes, the smallest over the preserve's pieces, with what is wrong with it.

    A pot counts by its starting volume (see `household/kettles.py`), with all the pots that may share a load. None for
    a preserve without equipment, and where no load can be found ("no load for container") or a filling is
    less than one container ("load too small").
    """
    if not preserve.equipment:
        return None, ()
    container = household.container(preserve.container)
    problems: list[Problem] = []
    smallest = math.inf
    for name in preserve.equipment:
        piece = household.equipment_named(name)
        held = containers_held(piece, preserve, container, household.crops)
        if held is None:
            problems.append(Problem(preserve.where, "no load for container", (name, container.name)))
            continue
        finished, load = held
        one_pot, pots = in_pots(finished, load, piece, preserve, household)
        number = one_pot * pots
        if number < 1 - 1e-9:
            problems.append(Problem(load.where, "load too small", (name, preserve.name, container.name)))
            continue
        smallest = min(smallest, math.floor(number + 1e-9))
    if problems or not math.isfinite(smallest):
        return None, tuple(problems)
    return int(smallest), ()


def pots_at_once(preserve: Preserve, household: Household) -> int:
    """Give how many equal pots one load of a preserve fills before its canner; 1 where no pot is shared."""
    piece = household.equipment_named(preserve.equipment[0]) if len(preserve.equipment) == 2 else None
    if piece is None or piece.how_many < 2 or preserve.load is None:
        return 1
    held = containers_held(piece, preserve, household.container(preserve.container), household.crops)
    if held is None:
        return 1
    one_pot, pots = in_pots(*held, piece, preserve, household)
    return min(pots, math.ceil(preserve.load / one_pot - 1e-9))


def with_pieces(household: Household, name: str, how_many: int) -> Household:
    """Return the household with so many of a piece of equipment, and loads counted anew that share its pots."""
    changed = household.changed("equipment", name, how_many=how_many)
    preserves = tuple(
        replace(item, load=load_of(item, changed)[0])
        if item.load is not None and cooks_down_in(changed.equipment_named(name), item) and name in item.equipment
        else item
        for item in changed.preserves
    )
    return replace(changed, preserves=preserves)


def pot_notes(preserve: Preserve, load: int, household: Household) -> list[Problem]:
    """Say where a pot's starting volume makes a load smaller, and where it is not known, so that jars count."""
    container = household.container(preserve.container)
    pieces = [household.equipment_named(name) for name in dict.fromkeys(preserve.equipment)]
    found = [(piece, containers_held(piece, preserve, container, household.crops)) for piece in pieces]
    held = [(piece, one) for piece, one in found if one is not None]
    jars = math.floor(min(one[0] for _, one in held) + 1e-9)
    problems = []
    for piece, (number, typed) in held:
        one_pot, pots = in_pots(number, typed, piece, preserve, household)
        if load < jars and math.floor(one_pot * pots + 1e-9) == load:
            problems.append(pot_is_full(preserve, piece, number * pots, (load, jars), household))
        elif cooks_down_in(piece, preserve) and counts_jars(typed) and (unknown := no_density(preserve, household)):
            names = (preserve.name, format_list(unknown), piece.name)
            problems.append(Problem(preserve.where, "no density for the pot", names))
    return problems


def with_loads(household: Household, unsure: Collection[str] = ()) -> tuple[Household, tuple[Problem, ...]]:
    """
    Set the load of every preserve; only those that are to be made, or are fixed, bring problems.

    `unsure` names the equipment whose loads could not be read; what goes through it brings no further problem.
    """
    wanted = {preserve.name for preserve in household.planned()}
    preserves: list[Preserve] = []
    problems: list[Problem] = []
    for preserve in household.preserves:
        load, wrong = load_of(preserve, household)
        preserves.append(replace(preserve, load=load))
        if preserve.name in wanted and not any(name in unsure for name in preserve.equipment):
            problems += wrong if load is None else pot_notes(preserve, load, household)
    return replace(household, preserves=tuple(preserves)), tuple(problems)
