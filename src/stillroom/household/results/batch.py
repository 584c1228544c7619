"""What came of a folder of workbooks that were planned."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class WorkbookDone:
    """
    What came of one workbook.

    `content` is the planned workbook, None when there is none and `problems` say why. `targets` is how many there are,
    `filled` how many of them are filled; `surplus_kg` what the plan feeds; `said` how many things are worth knowing.
    """

    name: str
    content: bytes | None = None
    lines: int = 0
    targets: int = 0
    filled: int = 0
    surplus_kg: float = 0.0
    said: int = 0
    unchanged: bool = False
    seconds: float = 0.0
    problems: tuple[str, ...] = ()


@dataclass(frozen=True)
class AllPlanned:
    """What came of a folder, in the order of names; `seconds` is how long all of it took, `workers` who planned."""

    folder: Path
    out: Path
    done: tuple[WorkbookDone, ...]
    seconds: float
    workers: int

    @property
    def failed(self) -> int:
        """How many workbooks have no plan."""
        return sum(bool(one.problems) for one in self.done)
