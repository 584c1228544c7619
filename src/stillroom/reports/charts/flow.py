"""The picture of where each crop goes: bands from crop to method, and on to the target."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.records import METHODS
from stillroom.household.results.rows import crop_unit_kg, number_in, text_in
from stillroom.household.text import format_list, format_weight
from stillroom.reports.charts.canvas import (
    BY_METHOD,
    ELSE,
    GREEN,
    INK,
    LINE,
    MARGIN,
    NOT_PLANNED,
    PAPER,
    QUIET,
    SMALL,
    Box,
    Drawing,
    Line,
    Picture,
    Ribbon,
    Shown,
    Tone,
    Words,
    nothing,
    part_name,
    width_of,
)

Flow = Mapping[tuple[str, str], float]
NO_TARGET = "no target"
LEFT_OVER = ("Eaten fresh", "Held frozen", "Still fresh", "Surplus")
"""What is not put up, by the headings of Crop use."""
CRUMB = 1e-6


@dataclass(frozen=True)
class Flows:
    """
    Weights in kg. `into` is by crop and method (or what else becomes of it), `out_of` by method and target.

        sum of into[., method] = sum of out_of[method, .]      each method

    Trimmings are counted with the method they were trimmed for.
    """

    into: Flow
    out_of: Flow

    @property
    def whole(self) -> float:
        """Return the sum of all weights."""
        return sum(self.into.values())

    def of(self, name: str, side: int) -> float:
        """Return the weight of a crop (side 0) or of a method (side 1)."""
        return sum(weight for key, weight in self.into.items() if key[side] == name)

    def to(self, target: str) -> float:
        """Return the weight that goes toward a target."""
        return sum(weight for (_, name), weight in self.out_of.items() if name == target)


def flows_of(shown: Shown) -> Flows:
    """
    Add up where each crop goes by the plan.

    What is put up is split by method as the lines of the plan use it. A preserve that counts toward several targets is
    split evenly; one that other preserves use goes where those go.
    """
    into: dict[tuple[str, str], float] = defaultdict(float)
    out_of: dict[tuple[str, str], float] = defaultdict(float)
    used = used_kg(shown)
    crops = {crop.name: crop for crop in shown.household.crops}
    for row in shown.tables.get("Crop use", ()):
        crop = crops.get(text_in(row, "Crop"))
        if crop is None:
            continue
        unit_kg = crop_unit_kg(crop)
        for name in LEFT_OVER:
            into[crop.name, name] += max(0.0, number_in(row, name)) * unit_kg
        put_up = (number_in(row, "Put up") + number_in(row, "Trimmings")) * unit_kg
        mine = {preserve: kg for (name, preserve), kg in used.items() if name == crop.name}
        for preserve, kg in mine.items():
            weight = put_up * kg / sum(mine.values())
            method = shown.household.preserve(preserve).method
            into[crop.name, method] += weight
            for target, share in targets_of(shown, preserve).items():
                out_of[method, target] += weight * share
    return Flows(without_crumbs(into), without_crumbs(out_of))


def used_kg(shown: Shown) -> dict[tuple[str, str], float]:
    """Return the kilograms of each crop that each preserve of the plan uses."""
    known = {item.name: item for item in shown.household.preserves}
    found: dict[tuple[str, str], float] = defaultdict(float)
    for line in shown.lines:
        for part in known[line.name].ingredients if line.name in known else ():
            if part.source == "crop":
                found[part.item, line.name] += (line.make or 0.0) * part.amount_each
    return found


def targets_of(shown: Shown, preserve: str, above: Sequence[str] = ()) -> dict[str, float]:
    """Return the targets that a preserve goes toward, with the share of each."""
    mine = [target.name for target in shown.household.targets if target.counts.get(preserve, 0.0) > 0]
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
        for target, share in targets_of(shown, user, (*above, preserve)).items():
            found[target] += share / len(users)
    return dict(found) or {NO_TARGET: 1.0}


def without_crumbs(flow: Flow) -> dict[tuple[str, str], float]:
    """Return the weights that are more than nothing."""
    return {key: weight for key, weight in flow.items() if weight > CRUMB}


def gathered(flow: Flow, side: int, most: int, word: str) -> dict[tuple[str, str], float]:
    """
    Merge the smallest of one side, so that at most `most` names are left there.

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


NAME, TITLE = "where_it_goes", "Where each crop goes"
MOST_CROPS, MOST_TARGETS = 16, 22
WIDE, NODE_WIDE, METHOD_WIDE, LABEL_WIDE, BETWEEN = 800.0, 11.0, 166.0, 172.0, 7.0
LABEL_HIGH = 10.5
LEAST_HIGH, EACH_HIGH = 220.0, 17.0
CROP = Tone(INK)
TARGET = Tone(GREEN)


@dataclass(frozen=True)
class Node:
    """A crop, a method or a target as an upright bar; a method's is wide enough for its name."""

    name: str
    x: float
    top: float
    wide: float
    high: float
    kg: float
    tone: Tone

    @property
    def middle(self) -> float:
        """Return the middle of its height."""
        return self.top + self.high / 2


def flow_picture(shown: Shown) -> Picture:
    """Draw the bands, as wide as the weights; the smallest crops and targets are merged."""
    if not shown.planned:
        return nothing(NAME, TITLE, NOT_PLANNED)
    flows = flows_of(shown)
    if flows.whole <= 0:
        return nothing(NAME, TITLE, "There is no crop yet. Fill the table Harvest.")
    words = shown.with_warning(flow_words(flows))
    drawing = Drawing(WIDE)
    drawing.heading(TITLE, words)
    into = gathered(flows.into, 0, MOST_CROPS, "crops")
    out_of = gathered(flows.out_of, 1, MOST_TARGETS, "targets")
    draw_flows(drawing, Flows(into, out_of))
    if is_split(shown):
        drawing.paragraph("What counts toward several targets is split evenly.", size=SMALL)
    drawing.finish()
    return Picture(NAME, TITLE, words, drawing)


def is_split(shown: Shown) -> bool:
    """Return whether a preserve of the plan counts toward more than one target."""
    made = {line.name for line in shown.lines}
    return any(sum(name in target.counts for target in shown.household.targets) > 1 for name in made)


def flow_words(flows: Flows) -> str:
    """Return how much is put up by which methods, and what becomes of the rest."""

    def weights(names: Sequence[str]) -> str:
        found = sorted(((flows.of(name, 1), name) for name in names), reverse=True)
        return format_list(f"{part_name(name)} {format_weight(kg)}" for kg, name in found if kg > 0)

    put_up = sum(flows.of(method, 1) for method in METHODS)
    methods, rest = weights(METHODS), weights(LEFT_OVER)
    share = f"{format_weight(put_up)} of {format_weight(flows.whole)} are put up"
    return f"{share}{f': {methods}' if methods else ''}.{f' The rest: {rest}.' if rest else ''}"


def draw_flows(drawing: Drawing, flows: Flows) -> None:
    """Draw a column of bars each for crops, methods and targets, the bands between them, and the names."""
    crops = ordered(flows.into, 0)
    methods = [name for name in (*METHODS, *LEFT_OVER) if flows.of(name, 1) > 0]
    targets = nearest(flows.out_of, methods)
    longest = max(len(crops), len(targets), len(methods))
    high = max(LEAST_HIGH, EACH_HIGH * longest)
    scale = (high - BETWEEN * (longest - 1)) / flows.whole
    top = drawing.y + 12.0
    left, right = MARGIN + LABEL_WIDE, drawing.width - MARGIN - LABEL_WIDE - NODE_WIDE
    middle = (left + NODE_WIDE + right - METHOD_WIDE) / 2
    stack = Stack(top, high, scale)
    tones = {name: BY_METHOD.get(name) or ELSE[name] for name in methods}
    crop_nodes = stack.nodes({name: flows.of(name, 0) for name in crops}, left, NODE_WIDE, dict.fromkeys(crops, CROP))
    method_nodes = stack.nodes({name: flows.of(name, 1) for name in methods}, middle, METHOD_WIDE, tones)
    target_nodes = stack.nodes(
        {name: flows.to(name) for name in targets}, right, NODE_WIDE, dict.fromkeys(targets, TARGET)
    )
    draw_bands(drawing, flows.into, crop_nodes, method_nodes, scale, by=1)
    draw_bands(drawing, flows.out_of, method_nodes, target_nodes, scale, by=0)
    for nodes in (crop_nodes, method_nodes, target_nodes):
        for node in nodes.values():
            drawing.add(Box(node.x, node.top, node.wide, node.high, node.tone))
    write_names(drawing, list(crop_nodes.values()), left - 5.0, "right", (top, high))
    write_names(drawing, list(target_nodes.values()), right + NODE_WIDE + 5.0, "left", (top, high))
    write_methods(drawing, list(method_nodes.values()), (top, high))
    drawing.y = top + high + 10.0


def ordered(flow: Flow, side: int) -> list[str]:
    """Return the names of one side, the heaviest first; what is merged, and what has no target, last."""
    weights: dict[str, float] = {}
    for key, weight in flow.items():
        weights[key[side]] = weights.get(key[side], 0.0) + weight
    return sorted(
        weights, key=lambda name: (name[:1].isdigit() and " other " in name, name == NO_TARGET, -weights[name], name)
    )


def nearest(flow: Flow, methods: Sequence[str]) -> list[str]:
    """
    Return the targets by where in the middle column they come from, so that few bands cross.

    >>> nearest({("dried", "fruit"): 2.0, ("frozen", "peas"): 3.0}, ["frozen", "dried"])
    ['peas', 'fruit']
    """
    place = {method: number for number, method in enumerate(methods)}
    whole: dict[str, float] = {}
    moment: dict[str, float] = {}
    for (method, target), weight in flow.items():
        whole[target] = whole.get(target, 0.0) + weight
        moment[target] = moment.get(target, 0.0) + weight * place[method]
    return sorted(whole, key=lambda target: (moment[target] / whole[target], -whole[target], target))


@dataclass(frozen=True)
class Stack:
    """Where bars are put one below the other: from `top`, within `high`, at `scale` points a kg."""

    top: float
    high: float
    scale: float

    def nodes(self, weights: Mapping[str, float], x: float, wide: float, tones: Mapping[str, Tone]) -> dict[str, Node]:
        """Return the bars, evenly apart and centered in the height."""
        taken = sum(weights.values()) * self.scale
        gap = min(26.0, (self.high - taken) / max(1, len(weights) - 1))
        y = self.top + (self.high - taken - gap * (len(weights) - 1)) / 2
        found = {}
        for name, kg in weights.items():
            found[name] = Node(name, x, y, wide, max(0.6, kg * self.scale), kg, tones[name])
            y += kg * self.scale + gap
        return found


def draw_bands(
    drawing: Drawing, flow: Flow, froms: Mapping[str, Node], tos: Mapping[str, Node], scale: float, by: int
) -> None:
    """Draw the bands between two columns, in the color of the method (the end numbered `by`)."""
    left = {name: node.top for name, node in froms.items()}
    right = {name: node.top for name, node in tos.items()}
    order = list(froms), list(tos)
    for key in sorted(flow, key=lambda key: (order[0].index(key[0]), order[1].index(key[1]))):
        name, to = key
        thick = flow[key] * scale
        tone = (froms[name], tos[to])[by].tone
        start = (froms[name].x + froms[name].wide, left[name], left[name] + thick)
        end = (tos[to].x, right[to], right[to] + thick)
        drawing.add(Ribbon(start, end, tone.band_color))
        left[name] += thick
        right[to] += thick


def write_names(drawing: Drawing, nodes: Sequence[Node], x: float, across: str, room: tuple[float, float]) -> None:
    """Write name and weight next to each bar, moved apart so that none touch, with a thin line to a bar far off."""
    centers = apart([node.middle for node in nodes], LABEL_HIGH, *room)
    for node, y in zip(nodes, centers, strict=True):
        amount = format_weight(node.kg)
        wide = LABEL_WIDE - width_of(amount, SMALL) - 10.0
        edge = node.x if across == "right" else node.x + node.wide
        if abs(y - node.middle) > 2.0:
            drawing.add(Line(((edge, node.middle), (x, y)), QUIET, 0.5))
        shift = (-1.0 if across == "right" else 1.0) * (width_of(amount, SMALL) + 5.0)
        drawing.add(Words(amount, x, y + 3.0, SMALL, across, QUIET))
        drawing.write(node.name, x + shift, y + 3.0, wide, size=SMALL, across=across)


def write_methods(drawing: Drawing, nodes: Sequence[Node], room: tuple[float, float]) -> None:
    """Write name and weight of each method on its bar, on a plain ground."""
    centers = apart([node.middle for node in nodes], 14.0, *room)
    for node, y in zip(nodes, centers, strict=True):
        words = f"{part_name(node.name)} {format_weight(node.kg)}"
        x, wide = node.x + node.wide / 2, width_of(words, SMALL, "bold") + 4.0
        drawing.add(Box(x - wide / 2, y - 6.0, wide, 12.0, Tone(PAPER), outline=LINE))
        drawing.add(Words(words, x, y + 3.0, SMALL, "center", style="bold"))


def apart(centers: Sequence[float], least: float, top: float, high: float) -> list[float]:
    """
    Return places moved apart, as little as possible, until each is at least `least` from the next.

    >>> apart([10.0, 11.0, 40.0], 10.0, 0.0, 50.0)
    [10.0, 20.0, 40.0]
    """
    found: list[float] = []
    for center in centers:
        found.append(max(center, found[-1] + least) if found else center)
    over = found[-1] - (top + high) if found else 0.0
    for place in range(len(found) - 1, -1, -1):
        if over <= 0:
            break
        highest = found[place + 1] - least if place + 1 < len(found) else top + high
        found[place] = min(found[place], highest)
    return found
