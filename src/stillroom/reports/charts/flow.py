"""The picture of where each crop goes: bands from crop to way, and on to the line of the winter list."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stillroom.household.records import METHODS, Kitchen
from stillroom.household.results.values import crop_unit_kg
from stillroom.household.text import format_amount, format_list
from stillroom.household.units import find_unit
from stillroom.reports.charts.canvas import (
    BY_METHOD,
    ELSE,
    GREEN,
    INK,
    LINE,
    MARGIN,
    PAPER,
    QUIET,
    SMALL,
    Box,
    Line,
    Paper,
    Picture,
    Ribbon,
    Tone,
    Words,
    nothing,
    width_of,
)
from stillroom.reports.charts.picture import NOT_PLANNED, Shown
from stillroom.reports.terminal.lists import figure, said

# Where each crop goes, as sums: from crop to way, and from way to line of the winter list, in the kitchen's
# weight.

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

    def to(self, target: str) -> float:
        """The weight that goes toward a need."""
        return sum(weight for (_, name), weight in self.out_of.items() if name == target)


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
            method = shown.household.preserve(preserve).method
            into[crop.name, method] += weight
            for target, share in targets_of(shown, preserve).items():
                out_of[method, target] += weight * share
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


def targets_of(shown: Shown, preserve: str, above: Sequence[str] = ()) -> dict[str, float]:
    """Give the needs that a preserve goes toward, with the share of each."""
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


NAME, TITLE = "where_it_goes", "Where each crop goes"
MOST_CROPS, MOST_TARGETS = 16, 22
WIDE, NODE_WIDE, LABEL_WIDE, BETWEEN = 760.0, 11.0, 172.0, 7.0
LABEL_HIGH = 10.5
LEAST_HIGH, EACH_HIGH = 220.0, 17.0
CROP = Tone(INK)
TARGET = Tone(GREEN)


@dataclass(frozen=True)
class Node:
    """A crop, a way or a need as a standing bar."""

    name: str
    x: float
    top: float
    high: float
    weight: float
    tone: Tone


def flow_picture(shown: Shown) -> Picture:
    """Draw the bands, their width by weight; what does not fit by name is put together as others."""
    if not shown.planned:
        return nothing(NAME, TITLE, NOT_PLANNED)
    flows = flows_of(shown)
    if flows.whole <= 0:
        return nothing(NAME, TITLE, "There is no crop, so none goes anywhere: fill the table Harvest.")
    words = shown.told(flow_words(flows))
    paper = Paper(WIDE)
    paper.head(TITLE, words)
    into = gathered(flows.into, 0, MOST_CROPS, "crops")
    out_of = gathered(flows.out_of, 1, MOST_TARGETS, "lines of the list")
    draw(paper, Flows(into, out_of, flows.unit))
    if any(name == NO_LINE for _, name in flows.out_of) or shares_a_jar(shown):
        paper.text("What counts toward several lines of the list is shared among them evenly.", size=SMALL)
    paper.end()
    return Picture(NAME, TITLE, words, paper)


def shares_a_jar(shown: Shown) -> bool:
    """Whether a preserve of the plan counts toward more than one need."""
    made = {line.name for line in shown.lines}
    return any(sum(name in target.counts for target in shown.household.targets) > 1 for name in made)


def flow_words(flows: Flows) -> str:
    """Say how much there is, how much of it is put up by which ways, and what becomes of the rest."""
    unit = flows.unit

    def figures(names: Sequence[str]) -> list[str]:
        found = sorted(((flows.of(name, 1), name) for name in names), reverse=True)
        return [
            f"{name[0].lower() + name[1:]} {format_amount(weight, unit)} {unit}" for weight, name in found if weight > 0
        ]

    put_up = sum(flows.of(method, 1) for method in METHODS)
    share = f"{format_amount(put_up, unit)} of {format_amount(flows.whole, unit)} {unit} are put up"
    methods = format_list(figures(METHODS))
    rest = format_list(figures(LEFT_OVER))
    return f"{share}{f': {methods}' if methods else ''}.{f' The rest: {rest}.' if rest else ''}"


def draw(paper: Paper, flows: Flows) -> None:
    """Draw three rows of standing bars, the bands between them, and a name beside each bar."""
    crops = ordered(flows.into, 0)
    methods = [name for name in (*METHODS, *LEFT_OVER) if flows.of(name, 1) > 0]
    targets = nearest(flows.out_of, methods)
    high = max(LEAST_HIGH, EACH_HIGH * max(len(crops), len(targets), len(methods)))
    longest = max(len(crops), len(targets), len(methods))
    scale = (high - BETWEEN * (longest - 1)) / flows.whole
    top = paper.y + 12.0
    left, right = MARGIN + LABEL_WIDE, paper.width - MARGIN - LABEL_WIDE - NODE_WIDE
    middle = (left + right) / 2
    stack = Stack(top, high, scale)
    weights = {name: flows.of(name, 0) for name in crops}
    crop_nodes = stack.nodes(weights, left, dict.fromkeys(crops, CROP))
    method_nodes = stack.nodes({name: flows.of(name, 1) for name in methods}, middle, tones_of(methods))
    target_nodes = stack.nodes({name: flows.to(name) for name in targets}, right, dict.fromkeys(targets, TARGET))
    bands(paper, flows.into, crop_nodes, method_nodes, scale, by=1)
    bands(paper, flows.out_of, method_nodes, target_nodes, scale, by=0)
    for nodes in (crop_nodes, method_nodes, target_nodes):
        for node in nodes.values():
            paper.put(Box(node.x, node.top, NODE_WIDE, node.high, node.tone))
    names_beside(paper, list(crop_nodes.values()), left - 5.0, "right", flows.unit, (top, high))
    names_beside(paper, list(target_nodes.values()), right + NODE_WIDE + 5.0, "left", flows.unit, (top, high))
    names_on(paper, list(method_nodes.values()), flows.unit, (top, high))
    paper.y = top + high + 10.0


def ordered(flow: Flow, side: int) -> list[str]:
    """The names of one side, the heaviest first; what is put together, and what is on no line, last."""
    weights: dict[str, float] = {}
    for key, weight in flow.items():
        weights[key[side]] = weights.get(key[side], 0.0) + weight
    return sorted(
        weights, key=lambda name: (name[:1].isdigit() and " other " in name, name == NO_LINE, -weights[name], name)
    )


def nearest(flow: Flow, methods: Sequence[str]) -> list[str]:
    """
    The needs by where on the middle row they come from, so that few bands cross.

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


def tones_of(methods: Sequence[str]) -> dict[str, Tone]:
    """How each way, and what else becomes of a crop, is filled."""
    return {name: BY_METHOD.get(name) or ELSE[name] for name in methods}


@dataclass(frozen=True)
class Stack:
    """Where standing bars are put, one below the other: from `top`, within `high`, at `scale` points a weight."""

    top: float
    high: float
    scale: float

    def nodes(self, weights: Mapping[str, float], x: float, tones: Mapping[str, Tone]) -> dict[str, Node]:
        """Stand the bars one below the other, evenly apart, in the middle of the height."""
        taken = sum(weights.values()) * self.scale
        gap = min(26.0, (self.high - taken) / max(1, len(weights) - 1))
        y = self.top + (self.high - taken - gap * (len(weights) - 1)) / 2
        found = {}
        for name, weight in weights.items():
            found[name] = Node(name, x, y, max(0.6, weight * self.scale), weight, tones[name])
            y += weight * self.scale + gap
        return found


def bands(paper: Paper, flow: Flow, froms: Mapping[str, Node], tos: Mapping[str, Node], scale: float, by: int) -> None:
    """Draw the bands between two rows of bars, in the colour of the way (the end numbered `by`)."""
    left = {name: node.top for name, node in froms.items()}
    right = {name: node.top for name, node in tos.items()}
    order = list(froms), list(tos)
    for key in sorted(flow, key=lambda key: (order[0].index(key[0]), order[1].index(key[1]))):
        name, to = key
        thick = flow[key] * scale
        tone = (froms[name], tos[to])[by].tone
        start = (froms[name].x + NODE_WIDE, left[name], left[name] + thick)
        end = (tos[to].x, right[to], right[to] + thick)
        paper.put(Ribbon(start, end, tone.of_band))
        left[name] += thick
        right[to] += thick


def names_beside(
    paper: Paper, nodes: Sequence[Node], x: float, across: str, unit: str, room: tuple[float, float]
) -> None:
    """Write name and weight beside each bar, moved apart where they would touch, with a thin line to a bar far off."""
    centres = apart([node.top + node.high / 2 for node in nodes], LABEL_HIGH, *room)
    for node, y in zip(nodes, centres, strict=True):
        amount = f"{format_amount(node.weight, unit)} {unit}"
        wide = LABEL_WIDE - width_of(amount, SMALL) - 10.0
        edge = node.x if across == "right" else node.x + NODE_WIDE
        if abs(y - node.top - node.high / 2) > 2.0:
            paper.put(Line(((edge, node.top + node.high / 2), (x, y)), QUIET, 0.5))
        step = -1.0 if across == "right" else 1.0
        shift = step * (width_of(amount, SMALL) + 5.0)
        paper.put(Words(amount, x, y + 3.0, SMALL, across, QUIET))
        paper.say(node.name, x + shift, y + 3.0, wide, size=SMALL, across=across)


def names_on(paper: Paper, nodes: Sequence[Node], unit: str, room: tuple[float, float]) -> None:
    """Write name and weight of each way beside its bar, on a ground of their own so that bands do not cross them."""
    centres = apart([node.top + node.high / 2 for node in nodes], 14.0, *room)
    for node, y in zip(nodes, centres, strict=True):
        words = f"{node.name[0].lower() + node.name[1:]} {format_amount(node.weight, unit)} {unit}"
        x = node.x + NODE_WIDE + 5.0
        wide = width_of(words, SMALL, "bold")
        paper.put(Box(x - 2.0, y - 6.0, wide + 4.0, 12.0, Tone(PAPER), outline=LINE))
        paper.put(Words(words, x, y + 3.0, SMALL, style="bold"))


def apart(centres: Sequence[float], least: float, top: float, high: float) -> list[float]:
    """
    Move places apart until none is nearer than `least` to the next, as little as may be, and within the height.

    >>> apart([10.0, 11.0, 40.0], 10.0, 0.0, 50.0)
    [10.0, 20.0, 40.0]
    """
    found: list[float] = []
    for centre in centres:
        found.append(max(centre, found[-1] + least) if found else centre)
    over = found[-1] - (top + high) if found else 0.0
    for place in range(len(found) - 1, -1, -1):
        if over <= 0:
            break
        highest = found[place + 1] - least if place + 1 < len(found) else top + high
        found[place] = min(found[place], highest)
    return found
