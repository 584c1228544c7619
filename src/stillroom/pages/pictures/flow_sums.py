"""Where each crop goes, as sums: from crop to way, and from way to line of the winter list, in the kitchen's weight."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.answer.units import crop_unit_kg
from stillroom.household.records import Kitchen
from stillroom.household.units import find_unit
from stillroom.pages.pictures.shown import Shown
from stillroom.pages.terminal_days import figure, said

Flow = Mapping[tuple[str, str], float]
NO_LINE = "No line of the list"
LEFT_OVER = ("Eaten fresh", "Held frozen", "Still fresh", "Fed")
"""What is not put up, in the words of the table Crop use."""
OTHERS = "others"
CRUMB = 1e-6


@dataclass(frozen=True)
class Flows:
    """
    Weights in `unit`. `into` is by crop and way (or what else becomes of it), `out_of` by way and need.

        sum of into[., way] = sum of out_of[way, .]      each way

    What a crop loses in trimmings is with the way it was trimmed for.
    """

    into: Flow
    out_of: Flow
    unit: str

    @property
    def whole(self) -> float:
        """Everything that goes anywhere."""
        return sum(self.into.values())

    def of(self, name: str, side: int) -> float:
        """The weight of a crop (0) or of a way (1)."""
        return sum(weight for key, weight in self.into.items() if key[side] == name)

    def to(self, need: str) -> float:
        """The weight that goes toward a need."""
        return sum(weight for (_, name), weight in self.out_of.items() if name == need)


def flows_of(shown: Shown) -> Flows:
    """
    Add up where each crop goes by the plan.

    What is put up is shared among the ways as the lines of the plan use it. A preserve that counts toward several needs
    is shared among them evenly; one that other preserves use goes where those go.
    """
    weight_kg = kitchen_unit_kg(shown.household.kitchen)
    into: dict[tuple[str, str], float] = defaultdict(float)
    out_of: dict[tuple[str, str], float] = defaultdict(float)
    used = used_kg(shown)
    crops = {crop.name: crop for crop in shown.household.crops}
    for row in shown.tables.get("Crop use", ()):
        crop = crops.get(said(row, "Crop"))
        if crop is None:
            continue
        in_kitchen = crop_unit_kg(crop) / weight_kg
        for name in LEFT_OVER:
            into[crop.name, name] += max(0.0, figure(row, name)) * in_kitchen
        put_up = (figure(row, "Put up") + figure(row, "Trimmings")) * in_kitchen
        mine = {preserve: kg for (name, preserve), kg in used.items() if name == crop.name}
        for preserve, kg in mine.items():
            weight = put_up * kg / sum(mine.values())
            way = shown.household.preserve(preserve).way
            into[crop.name, way] += weight
            for need, share in needs_of(shown, preserve).items():
                out_of[way, need] += weight * share
    unit = shown.household.kitchen.weight_unit
    return Flows(without_crumbs(into), without_crumbs(out_of), unit)


def kitchen_unit_kg(kitchen: Kitchen) -> float:
    """
    Kilograms in the kitchen's unit of weight.

    >>> import datetime
    >>> kitchen_unit_kg(Kitchen(datetime.date(2026, 8, 14), weight_unit="kg"))
    1.0
    """
    unit = find_unit(kitchen.weight_unit)
    return unit.factor if unit is not None and unit.measures == "weight" else 1.0


def used_kg(shown: Shown) -> dict[tuple[str, str], float]:
    """Kilograms of each crop that each preserve of the plan uses."""
    known = {item.name: item for item in shown.household.preserves}
    found: dict[tuple[str, str], float] = defaultdict(float)
    for line in shown.lines:
        for part in known[line.name].ingredients if line.name in known else ():
            if part.source == "crop":
                found[part.item, line.name] += (line.make or 0.0) * part.amount_each
    return found


def needs_of(shown: Shown, preserve: str, above: Sequence[str] = ()) -> dict[str, float]:
    """Give the needs that a preserve goes toward, with the share of each."""
    mine = [need.name for need in shown.household.needs if need.counts.get(preserve, 0.0) > 0]
    if mine:
        return dict.fromkeys(mine, 1.0 / len(mine))
    users = [
        item.name
        for item in shown.household.preserves
        if item.name not in (*above, preserve)
        and any(line.source == "preserve" and line.item == preserve for line in item.ingredients)
        and any(line.name == item.name for line in shown.lines)
    ]
    found: dict[str, float] = defaultdict(float)
    for user in users:
        for need, share in needs_of(shown, user, (*above, preserve)).items():
            found[need] += share / len(users)
    return dict(found) or {NO_LINE: 1.0}


def without_crumbs(flow: Flow) -> dict[tuple[str, str], float]:
    """Leave out what is nothing."""
    return {key: weight for key, weight in flow.items() if weight > CRUMB}


def gathered(flow: Flow, side: int, most: int, word: str) -> dict[tuple[str, str], float]:
    """
    Put the smallest of one side together, so that at most so many names are left there.

    >>> gathered({("plum", "dried"): 3.0, ("pear", "dried"): 2.0, ("fig", "dried"): 1.0}, 0, 2, "crops")
    {('plum', 'dried'): 3.0, ('2 other crops', 'dried'): 3.0}
    """
    weights: dict[str, float] = defaultdict(float)
    for key, weight in flow.items():
        weights[key[side]] += weight
    names = sorted(weights, key=lambda name: (-weights[name], name))
    if len(names) <= most:
        return dict(flow)
    rest = set(names[most - 1 :])
    found: dict[tuple[str, str], float] = defaultdict(float)
    for key, weight in flow.items():
        if key[side] in rest:
            other = f"{len(rest)} other {word}"
            key = (other, key[1]) if side == 0 else (key[0], other)
        found[key] += weight
    return dict(found)
