"""What is asked of a search, and what it gives: its effort, its outcome, and the relaxation."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

HEURISTICS = ("root_reduced_cost", "rens", "rins")
"""The searches for better plans that cost the most; each aim says which of them pay for it, by measurement."""


@dataclass(frozen=True)
class Effort:
    """
    How long a search goes on, counted in nodes, never in clock time, so that a slow machine gives the same plan.

    It ends at `gap`, or at a distance of `close_enough`; after `patient_nodes` the wider `patient_gap` is enough; after
    `last_nodes` it ends as it is. `helped_by` names those of HiGHS's HEURISTICS that look for better plans meanwhile,
    with about `help_share` of all its work; `trials` is how often it tries a branching before it trusts its own
    estimate. It ends too when the bound shows that the aim cannot be better than `no_better_than`. `cuts_kept` is how
    many of its cuts HiGHS keeps in hand.
    """

    gap: float = 1e-6
    close_enough: float = 1e-6
    patient_gap: float = 1e-6
    patient_nodes: int = 0
    last_nodes: int = 1
    helped_by: tuple[str, ...] = ()
    trials: int = 8
    no_better_than: float | None = None
    help_share: float = 0.05
    cuts_kept: int = 10_000

    def patience(self, *, most: bool = False) -> Callable[[Any], None]:
        """What HiGHS asks while it searches: is that enough? It keeps the last answer, so each is given anew."""
        sign, end = (1.0 if most else -1.0), self.no_better_than

        def enough(event: Any) -> None:
            nodes, gap, bound = event.data_out.mip_node_count, event.data_out.mip_gap, event.data_out.mip_dual_bound
            settled = end is not None and sign * (bound - end) <= 0
            event.data_in.user_interrupt = settled or (nodes >= self.patient_nodes and gap <= self.patient_gap)

        return enough


@dataclass(frozen=True)
class Outcome:
    """What a run said: whether there is a solution at all, its value, the proved bound, why it stopped, nodes, gap."""

    found: bool
    value: float
    bound: float
    stopped: str
    nodes: int
    columns: tuple[float, ...]
    infeasible: bool = False

    @property
    def gap(self) -> float:
        """Distance of the value from its bound, as a share of the value."""
        return abs(self.value - self.bound) / max(abs(self.value), 1e-9) if self.found else math.inf


@dataclass(frozen=True)
class Relaxed:
    """The aim at hand when nothing has to be whole: its value, the columns, and what leaving an end costs each."""

    value: float
    columns: np.ndarray
    reduced_costs: np.ndarray
