"""One line of the scoreboard, and how a bench hands its lines over."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path


@dataclass(frozen=True)
class Score:
    """
    One figure: what was done, what it is held against, the figure, what it must reach, and whether it does.

    `met` is None where nothing has to be reached; `why` says what limits it where it falls short.
    """

    bench: str
    what: str
    beside: str
    figure: str
    goal: str
    met: bool | None = None
    why: str = ""

    def line(self) -> str:
        """The score as a line of text."""
        mark = {True: "reached", False: "FALLS SHORT", None: ""}[self.met]
        parts = [
            self.what,
            self.figure,
            f"beside {self.beside}" if self.beside else "",
            f"must reach {self.goal}" if self.goal else "",
            mark,
            self.why,
        ]
        return "; ".join(part for part in parts if part)


def write_scores(path: Path, scores: Iterable[Score]) -> None:
    """Write scores where the scoreboard reads them."""
    path.write_text(json.dumps([asdict(score) for score in scores], ensure_ascii=False, indent=1), encoding="utf-8")


def read_scores(path: Path) -> list[Score]:
    """Read scores that a bench wrote."""
    return [Score(**row) for row in json.loads(path.read_text(encoding="utf-8"))]
