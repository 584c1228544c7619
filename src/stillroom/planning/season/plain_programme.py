"""The programme stated without PuLP, for plans that are made by the thousand: same rules, same rows, half the time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from stillroom.household.records import Household
from stillroom.planning.decisions import Decisions, decide
from stillroom.planning.expressions import SENSES, Programme, Row
from stillroom.planning.facts import Facts
from stillroom.planning.rules import RULES


class Column:
    """A decision: its name and the ends between which it lies, None for no end."""

    __slots__ = ("lowBound", "name", "upBound")

    def __init__(self, name: str, most: float | None) -> None:
        """Begin at nothing."""
        self.name = name
        self.lowBound = 0.0
        self.upBound = most


class PlainRow:
    """A row as the handover reads it: pairs of decision and coefficient, the sense, and the bound as a constant."""

    __slots__ = ("constant", "pairs", "sense")

    def __init__(self, row: Row) -> None:
        """Keep a row as it was stated."""
        self.pairs = row.terms
        self.sense = SENSES[row.sense]
        self.constant = -row.bound

    def items(self) -> Iterable[tuple[Column, float]]:
        """Pairs of decision and coefficient."""
        return ((variable, coefficient) for coefficient, variable in self.pairs)


@dataclass
class PlainProblem:
    """All rows by name."""

    constraints: dict[str, PlainRow] = field(default_factory=dict)


class PlainProgramme(Programme):
    """A programme that keeps its rows itself. Names are distinct; a name used twice is refused with KeyError."""

    def __init__(self) -> None:
        """Start empty."""
        self.problem = PlainProblem()
        self.variables = {}
        self.rows = {}
        self.whole = set()
        self.stated = []

    def variable(self, name: str, *, most: float | None = None, whole: bool = False) -> Column:
        """Add a decision from 0 to `most` (None: no end)."""
        if name in self.variables:
            msg = f"two decisions would both be called {name}"
            raise KeyError(msg)
        made = Column(name, most)
        self.variables[name] = made
        if whole:
            self.whole.add(name)
        return made

    def add(self, name: str, row: Row) -> None:
        """Add a row; a row with nothing to decide in it must hold as it stands, else ValueError."""
        if name in self.rows:
            msg = f"two rows would both be called {name}"
            raise KeyError(msg)
        self.rows[name] = row
        if not row.terms:
            if not row.holds_empty():
                msg = f"{name} cannot be kept: it asks for 0 {row.sense} {row.bound}"
                raise ValueError(msg)
            return
        self.stated.append(name)
        self.problem.constraints[name] = PlainRow(row)


def build_plainly(household: Household) -> tuple[Facts, Decisions]:
    """State the programme of a settled household by every rule, as `build` does, without PuLP."""
    facts = Facts(household)
    decisions = decide(facts, PlainProgramme())
    for rule in RULES.values():
        for label, row in rule(facts, decisions):
            decisions.programme.add(label, row)
    return facts, decisions
