"""The plan: the whole answer, frozen, with no solver and no spreadsheet in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from stillroom.household.periods import Period

Amounts = Mapping[tuple[str, int], float]
"""Amount by (name, number of the period)."""


def no_amounts() -> Amounts:
    """Nothing in any period."""
    return MappingProxyType({})


@dataclass(frozen=True)
class AimResult:
    """
    How far one aim was reached.

    `value` and `bound` are in `unit`; `proved` says whether the bound is within the aim's own gap; `stopped` says why
    not, when it is not.
    """

    name: str
    value: float
    unit: str
    bound: float
    proved: bool
    seconds: float = field(compare=False, default=0.0)
    stopped: str = ""

    @property
    def gap(self) -> float:
        """
        How far the value may be from the best possible, as a share of the value.

        >>> AimResult("fed", 10.0, "kg", 9.0, False).gap
        0.1
        """
        away = abs(self.value - self.bound)
        return 0.0 if away < 1e-9 else away / max(abs(self.value), 1e-9)


@dataclass(frozen=True)
class Breach:
    """A fixed line that could not be kept whole: `short` containers (or kg) of it, and the limits it ran into."""

    name: str
    period: int
    typed: float
    short: float
    limits: tuple[str, ...] = ()
    where: str = ""


@dataclass(frozen=True)
class Plan:
    """
    What is made, frozen, thawed, fed and bought in each period, and how far the winter list is filled.

    Amounts of containers and loads are plain numbers, crop amounts kilograms. Amounts that are zero are left out.
    `make` and `loads` are by (preserve, period); the crop amounts by (crop, period): `fresh` and `frozen` are held at
    the end of the period. `bands` is by (need, band), in the need's own unit. `hedge` is there when it was made for
    several seasons together; the plan is then that of the likely one.
    """

    periods: tuple[Period, ...]
    make: Amounts = field(default_factory=no_amounts)
    loads: Amounts = field(default_factory=no_amounts)
    fresh_kg: Amounts = field(default_factory=no_amounts)
    frozen_kg: Amounts = field(default_factory=no_amounts)
    freeze_kg: Amounts = field(default_factory=no_amounts)
    thaw_kg: Amounts = field(default_factory=no_amounts)
    spoil_kg: Amounts = field(default_factory=no_amounts)
    fed_kg: Amounts = field(default_factory=no_amounts)
    buy_containers: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    buy_lids: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    buy_items: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    bands: Amounts = field(default_factory=no_amounts)
    aims: tuple[AimResult, ...] = ()
    breaches: tuple[Breach, ...] = ()
    hedge: Hedge | None = None

    def made(self, preserve: str, until: int | None = None) -> float:
        """
        Containers of a preserve made up to and including a period (all of them when `until` is None).

        >>> Plan((), make={("juice", 0): 7.0, ("juice", 3): 7.0}).made("juice", 2)
        7.0
        """
        return sum(
            amount
            for (name, number), amount in self.make.items()
            if name == preserve and (until is None or number <= until)
        )


@dataclass(frozen=True)
class SeasonPlan:
    """What is done should the season turn out otherwise than likely: its name, its weight, its whole plan."""

    name: str
    weight: float
    plan: Plan


@dataclass(frozen=True)
class Hedge:
    """
    The other seasons a plan was made for.

    `weight` is that of the likely season; the periods before number `decided_now` are alike in all seasons; `aims` are
    those over all seasons, by their expectation.
    """

    seasons: tuple[SeasonPlan, ...]
    weight: float
    decided_now: int
    aims: tuple[AimResult, ...] = ()
