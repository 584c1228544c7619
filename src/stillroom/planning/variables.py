"""
What is decided: every variable of the programme, made here and nowhere else.

Whole numbers are asked for only in single days, and of what is bought.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

from stillroom.household.records import THAW, Preserve
from stillroom.planning.model import Programme, Sum, Variable, distinct_names, solver_word
from stillroom.planning.parameters import Parameters

ByPeriod = dict[tuple[str, int], Variable]


@dataclass
class Variables:
    """
    The variables, by what they stand for.

    `make` and `loads` are containers and loads by (preserve, period); in weeks, where nothing is whole, loads are
    make / load and need no variable of their own; `fresh`, `frozen`, `freeze`, `thaw`, `spoil` and
    `surplus` kilograms by (crop, period); `buy_*` what is bought; `filled` by (need, band) in the need's unit; `short`
    by the number of a fixed line. `setup` and `setup_freeze` are 0 or 1: whether a kind without loads, or freezing
    whole, is begun on a single day. `more` and `less` count the change from the last plan.
    """

    programme: Programme
    words: dict[str, str]
    make: ByPeriod = field(default_factory=dict)
    loads: ByPeriod = field(default_factory=dict)
    setup: ByPeriod = field(default_factory=dict)
    fresh: ByPeriod = field(default_factory=dict)
    frozen: ByPeriod = field(default_factory=dict)
    freeze: ByPeriod = field(default_factory=dict)
    thaw: ByPeriod = field(default_factory=dict)
    spoil: ByPeriod = field(default_factory=dict)
    surplus: ByPeriod = field(default_factory=dict)
    setup_freeze: ByPeriod = field(default_factory=dict)
    buy_container: dict[str, Variable] = field(default_factory=dict)
    buy_lid: dict[str, Variable] = field(default_factory=dict)
    buy_item: dict[str, Variable] = field(default_factory=dict)
    filled: dict[tuple[str, int], Variable] = field(default_factory=dict)
    short: dict[int, Variable] = field(default_factory=dict)
    more: dict[int, Variable] = field(default_factory=dict)
    less: dict[int, Variable] = field(default_factory=dict)

    def name(self, kind: str, *parts: str) -> str:
        """Name a variable or a row: the kind, then the words of its parts."""
        return ".".join([kind, *(self.words.get(part) or solver_word(part) for part in parts)])

    def by_period(self, name: str) -> list[tuple[int, Variable]]:
        """Containers of a preserve, with the number of the period they are begun in."""
        return self._made_by_preserve.get(name, [])

    @cached_property
    def _made_by_preserve(self) -> dict[str, list[tuple[int, Variable]]]:
        """`make` by preserve, gathered once, when the constraints begin to ask: every variable is there by then."""
        found: dict[str, list[tuple[int, Variable]]] = {}
        for (item, number), variable in self.make.items():
            found.setdefault(item, []).append((number, variable))
        return found

    def made(self, name: str, until: int | None = None) -> Sum:
        """Containers of a preserve made up to and including a period (all of them when `until` is None)."""
        return [(1.0, v) for number, v in self.by_period(name) if until is None or number <= until]

    def load_terms(self, item: Preserve, number: int) -> Sum:
        """Loads of a preserve begun in a period: its own decision on a single day, make / load in a week."""
        key = (item.name, number)
        if item.load is None or key not in self.make:
            return []
        return [(1.0, self.loads[key])] if key in self.loads else [(1.0 / item.load, self.make[key])]

    def used(self, parameters: Parameters, name: str, until: int | None = None) -> Sum:
        """Containers of a preserve that other preserves use up to and including a period."""
        return [
            (each * coefficient, variable)
            for user, each in parameters.users.get(name, ())
            for coefficient, variable in self.made(user.name, until)
        ]

    def net(self, parameters: Parameters, name: str, until: int | None = None) -> Sum:
        """Containers made less those that other preserves use."""
        return self.made(name, until) + [(-each, variable) for each, variable in self.used(parameters, name, until)]

    def done(self, parameters: Parameters, name: str, until: int) -> Sum:
        """Containers that are done by the end of a period less those that other preserves have used by then."""
        item = parameters.household.preserve(name)
        ready = [
            (parameters.ready(item, parameters.periods[number]), variable) for number, variable in self.by_period(name)
        ]
        made = [(1.0, variable) for number, variable in ready if number is not None and number <= until]
        return made + [(-each, variable) for each, variable in self.used(parameters, name, until)]


def variables(parameters: Parameters, programme: Programme) -> Variables:
    """Make every variable of the programme for these facts."""
    names = [
        record.name for records in (parameters.preserves, parameters.crops, parameters.targets) for record in records
    ]
    names += [
        record.name for records in (parameters.containers, parameters.lids, parameters.pantry) for record in records
    ]
    names += [piece.name for piece in parameters.equipment]
    define_variables = Variables(programme, distinct_names(sorted(set(names))))
    _making(parameters, define_variables)
    _crop(parameters, define_variables)
    _buying(parameters, define_variables)
    _filling(parameters, define_variables)
    return define_variables


def _making(parameters: Parameters, d: Variables) -> None:
    new = d.programme.variable
    for item in parameters.preserves:
        for period in parameters.periods:
            key = (item.name, period.number)
            if not item.include and key not in parameters.fixed_at:
                continue
            most = parameters.most_made[key] if period.single else None
            if not period.single and not item.include:
                most = parameters.fixed_in(item.name, period.number)
            d.make[key] = new(d.name("make", item.name, period.label), most=most, whole=period.single)
            if item.load is not None and most is not None and period.single:
                loads = math.ceil(most / item.load)
                d.loads[key] = new(d.name("loads", item.name, period.label), most=loads, whole=True)
            if most and period.single and (item.load is None or item.smallest_batch > 1):
                d.setup[key] = new(d.name("setup", item.name, period.label), most=1, whole=True)


def _crop(parameters: Parameters, d: Variables) -> None:
    new = d.programme.variable
    cooked = {name for item in parameters.preserves for name in parameters.frozen_crops_of(item)}
    for crop in parameters.crops:
        freezable = crop in parameters.freezable
        for period in parameters.periods:
            key = (crop.name, period.number)
            d.fresh[key] = new(d.name("fresh", crop.name, period.label))
            d.surplus[key] = new(d.name("surplus", crop.name, period.label))
            if not freezable:
                continue
            d.frozen[key] = new(d.name("frozen", crop.name, period.label))
            d.spoil[key] = new(d.name("spoil", crop.name, period.label))
            if crop.name in cooked or (THAW + crop.name, period.number) in parameters.fixed_at:
                d.thaw[key] = new(d.name("thaw", crop.name, period.label))
            if crop.may_be_frozen_whole:
                usable = parameters.usable(crop, period)
                d.freeze[key] = new(d.name("freeze", crop.name, period.label), most=usable)
                if period.single and usable > 0:
                    d.setup_freeze[key] = new(d.name("setup_freeze", crop.name, period.label), most=1, whole=True)


def _buying(parameters: Parameters, d: Variables) -> None:
    new = d.programme.variable
    for container in parameters.containers:
        if container.can_buy > 0:
            d.buy_container[container.name] = new(
                d.name("buy_container", container.name), most=_end(container.can_buy), whole=True
            )
    for lid in parameters.lids:
        if lid.can_buy > 0:
            d.buy_lid[lid.name] = new(d.name("buy_lid", lid.name), most=_end(lid.can_buy), whole=True)
    for item in parameters.pantry:
        if item.can_buy > 0:
            d.buy_item[item.name] = new(d.name("buy_item", item.name), most=_end(item.can_buy))


def _end(can_buy: float) -> float | None:
    return None if math.isinf(can_buy) else can_buy


def _filling(parameters: Parameters, d: Variables) -> None:
    for target in parameters.targets:
        if target.wanted > 0:
            for band in range(len(parameters.gains)):
                d.filled[target.name, band] = d.programme.variable(
                    d.name("filled", target.name, f"band{band + 1}"), most=target.wanted / len(parameters.gains)
                )
    for number, fix in enumerate(parameters.fixes):
        d.short[number] = d.programme.variable(d.name("short", f"fixed{number + 1}"), most=fix.amount)
    for number in range(len(parameters.last_lines)):
        d.more[number] = d.programme.variable(d.name("more", f"last{number + 1}"))
        d.less[number] = d.programme.variable(d.name("less", f"last{number + 1}"))
