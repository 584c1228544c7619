"""
The variables of the model, all defined here.

Integers are used only on detailed days and for containers and lids that are bought.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

from stillroom.household.records import FREEZE_WHOLE, THAW, Preserve
from stillroom.planning.model import Model, Sum, Variable, distinct_names, solver_word
from stillroom.planning.parameters import Parameters

ByPeriod = dict[tuple[str, int], Variable]


@dataclass
class Variables:
    """
    The variables of the model; all have lower bound 0.

        make[p, t]          containers made; integer on detailed days
        loads[p, t]         loads; integer, on detailed days only (in weeks make / load)
        setup[p, t]         1 if a preserve without loads, or with a batch over half a load, is begun on a detailed day;
                            of every preserve if there is a most in a day; binary
        fresh[c, t]         kg fresh at the end of a period
        frozen[c, t]        kg frozen whole at the end of a period
        freeze[c, t]        kg frozen whole in a period
        thaw[c, t]          kg thawed in a period
        spoil[c, t]         kg frozen whole that go past their date in a period
        surplus[c, t]       kg of surplus in a period
        setup_freeze[c, t]  1 if a crop is frozen whole on a detailed day; binary
        buy_container[j]    containers bought; integer
        buy_lid[l]          lids bought; integer
        buy_item[g]         pantry items bought, in the item's base unit
        use_old[p, t]       containers on the shelf that go out of date before the plan ends, used by other preserves
        filled[n, b]        how far segment b of a target is filled, in the target's unit
        short[i]            shortfall of fixed line i, in containers or kg
        more[i], less[i]    change from line i of the last plan, in containers
    """

    model: Model
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
    use_old: ByPeriod = field(default_factory=dict)
    filled: dict[tuple[str, int], Variable] = field(default_factory=dict)
    short: dict[int, Variable] = field(default_factory=dict)
    more: dict[int, Variable] = field(default_factory=dict)
    less: dict[int, Variable] = field(default_factory=dict)

    def name(self, kind: str, *parts: str) -> str:
        """Return the name of a variable or a constraint: its kind, then the words of its parts."""
        return ".".join([kind, *(self.words.get(part) or solver_word(part) for part in parts)])

    def line(self, name: str, number: int) -> Variable | None:
        """Return the variable of a line of a plan: what is made of a preserve, or crop frozen whole or thawed."""
        for start, amounts in ((FREEZE_WHOLE, self.freeze), (THAW, self.thaw)):
            if name.startswith(start):
                return amounts.get((name.removeprefix(start), number))
        return self.make.get((name, number))

    def by_period(self, name: str) -> list[tuple[int, Variable]]:
        """Return the `make` variables of a preserve with their periods."""
        return self._made_by_preserve.get(name, [])

    @cached_property
    def _made_by_preserve(self) -> dict[str, list[tuple[int, Variable]]]:
        """The `make` variables by preserve; computed once, after all variables are defined."""
        found: dict[str, list[tuple[int, Variable]]] = {}
        for (item, number), variable in self.make.items():
            found.setdefault(item, []).append((number, variable))
        return found

    def made(self, name: str, until: int | None = None) -> Sum:
        """Return the containers of a preserve made up to and including a period (None: in the whole plan)."""
        return [(1.0, v) for number, v in self.by_period(name) if until is None or number <= until]

    def load_terms(self, item: Preserve, number: int) -> Sum:
        """Return the loads of a preserve begun in a period: `loads` on a detailed day, make / load in a week."""
        key = (item.name, number)
        if item.load is None or key not in self.make:
            return []
        return [(1.0, self.loads[key])] if key in self.loads else [(1.0 / item.load, self.make[key])]

    def used(self, parameters: Parameters, name: str, until: int | None = None) -> Sum:
        """Return the containers of a preserve used by other preserves up to and including a period."""
        return [
            (each * coefficient, variable)
            for user, each in parameters.users.get(name, ())
            for coefficient, variable in self.made(user.name, until)
        ]

    def net(self, parameters: Parameters, name: str, until: int | None = None) -> Sum:
        """Return the containers made less those used by other preserves."""
        return self.made(name, until) + [(-each, variable) for each, variable in self.used(parameters, name, until)]

    def used_old(self, name: str, until: int | None = None) -> Sum:
        """Return the containers that other preserves use of what goes out of date, up to and including a period."""
        return [
            (1.0, variable)
            for (item, number), variable in self.use_old.items()
            if item == name and (until is None or number <= until)
        ]

    def kept(self, parameters: Parameters, name: str) -> Sum:
        """Return the containers made less those used by other preserves, but for what goes out of date."""
        return self.net(parameters, name) + self.used_old(name)

    def lasting(self, parameters: Parameters, name: str) -> Sum:
        """Return the containers of a preserve made so that they are good on the last day of the plan."""
        periods = parameters.periods
        return [(1.0, variable) for number, variable in self.by_period(name) if parameters.lasts(name, periods[number])]

    def counted(self, parameters: Parameters, name: str) -> tuple[Sum, ...]:
        """
        Return what counts toward targets: the least of these sums, of which there are one or two.

        What others use is taken from what does not last to the end, as far as it goes.
        """
        lasting, kept = self.lasting(parameters, name), self.kept(parameters, name)
        if len(lasting) == len(self.by_period(name)):
            return (kept,)
        return (lasting, kept) if name in parameters.users else (lasting,)

    def done(self, parameters: Parameters, name: str, until: int) -> Sum:
        """Return the containers ready by the end of a period, less those used by other preserves by then."""
        item = parameters.household.preserve(name)
        ready = [
            (parameters.ready(item, parameters.periods[number]), variable) for number, variable in self.by_period(name)
        ]
        made = [(1.0, variable) for number, variable in ready if number is not None and number <= until]
        return made + [(-each, variable) for each, variable in self.used(parameters, name, until)]


def define_variables(parameters: Parameters, model: Model) -> Variables:
    """Define every variable of the model."""
    names = [
        record.name for records in (parameters.preserves, parameters.crops, parameters.targets) for record in records
    ]
    names += [
        record.name for records in (parameters.containers, parameters.lids, parameters.pantry) for record in records
    ]
    names += [piece.name for piece in parameters.equipment]
    variables = Variables(model, distinct_names(sorted(set(names))))
    _making(parameters, variables)
    _crop(parameters, variables)
    _buying(parameters, variables)
    _filling(parameters, variables)
    return variables


def _making(parameters: Parameters, d: Variables) -> None:
    new = d.model.variable
    for item in parameters.preserves:
        for period in parameters.periods:
            key = (item.name, period.number)
            if not item.include and key not in parameters.fixed_at:
                continue
            most = parameters.upper_bound[key] if period.single else None
            if not period.single and not item.include:
                most = parameters.fixed_in(item.name, period.number)
            d.make[key] = new(d.name("make", item.name, period.label), most=most, whole=period.single)
            if item.load is not None and most is not None and period.single:
                loads = math.ceil(most / item.load)
                d.loads[key] = new(d.name("loads", item.name, period.label), most=loads, whole=True)
            if most and period.single and parameters.needs_setup(item, period):
                d.setup[key] = new(d.name("setup", item.name, period.label), most=1, whole=True)
    for (name, number), most in parameters.old_on_shelf.items():
        d.use_old[name, number] = new(d.name("use_old", name, parameters.periods[number].label), most=most)


def _crop(parameters: Parameters, d: Variables) -> None:
    new = d.model.variable
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
    new = d.model.variable
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
            for segment in range(len(parameters.gains)):
                d.filled[target.name, segment] = d.model.variable(
                    d.name("filled", target.name, f"segment{segment + 1}"), most=target.wanted / len(parameters.gains)
                )
    for number, fix in enumerate(parameters.fixes):
        d.short[number] = d.model.variable(d.name("short", f"fixed{number + 1}"), most=fix.amount)
    for number in range(len(parameters.last_lines)):
        d.more[number] = d.model.variable(d.name("more", f"last{number + 1}"))
        d.less[number] = d.model.variable(d.name("less", f"last{number + 1}"))
