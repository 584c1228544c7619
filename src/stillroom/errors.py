"""Every error a household can cause, and the kinds of problem with their effect and their sentences."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

THE_FILE = "the workbook"
"""Where a problem of the whole file is, until its name is known."""


@dataclass(frozen=True)
class Kind:
    """One kind of problem: which part of the program finds it, what it does, and its two sentences to be filled in."""

    about: str
    effect: str
    what: str
    fix: str

    @property
    def stops(self) -> bool:
        """Whether there can be no plan until such a problem is fixed (exit 1)."""
        return self.effect == "stops"


def read_kinds() -> dict[str, Kind]:
    """
    Return every kind of problem by its key, from problems.csv, with the phrases that several share written out.

    The effect is "stops" (no plan), "refuses" (the published tables refuse one preserve: it is left out, and the rest
    of the kitchen is planned), "severe" (a Warning: it changes the plan or its safety) or "note". {0}, {1} ... are the
    names of a problem; of a measure the last is an example in the unit of the field. In a sentence of the handbook {0}
    is the preserve, except where the kind is about the kitchen, a crop, a canner or a line of the plan.
    """
    text = Path(__file__).with_name("problems.csv").read_text(encoding="utf-8")
    rows = list(csv.reader(text.splitlines()))[1:]
    phrases = {key: text for about, key, _, text, _ in rows if about == "phrase"}

    def whole(text: str) -> str:
        return re.sub(r"{([a-z_]+)}", lambda found: phrases.get(found[1], found[0]), text)

    return {
        key: Kind(about, effect, whole(what), whole(fix)) for about, key, effect, what, fix in rows if about != "phrase"
    }


KINDS = read_kinds()


@dataclass(frozen=True, order=True)
class Problem:
    """
    One thing that is wrong or worth a note, as data: reports/problems.py makes the sentences.

    `where` is Sheet!Cell; `names` are the fill-ins of the kind's sentences, in their order, amounts already formatted;
    `suggestion` is the "did you mean"; `field` is the heading or the setting it is about; `cause` is the problem that
    this one follows from.
    """

    where: str
    kind: str
    names: tuple[str, ...] = ()
    suggestion: str = ""
    field: str = ""
    cause: tuple[Problem, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a kind that is not in the list."""
        if self.kind not in KINDS:
            msg = f"no kind of problem is called {self.kind!r}"
            raise KeyError(msg)

    @property
    def stops(self) -> bool:
        """Whether there can be no plan at all until this is fixed."""
        return KINDS[self.kind].stops

    @property
    def refuses(self) -> bool:
        """Whether the preserve it is about stays out of the plan until this is fixed."""
        return KINDS[self.kind].effect == "refuses"

    @property
    def is_error(self) -> bool:
        """Whether it is shown as an Error: it stops the plan, or keeps a preserve out of it."""
        return self.stops or self.refuses

    @property
    def severe(self) -> bool:
        """Whether it does not stop the plan, but changes it or its safety."""
        return KINDS[self.kind].effect == "severe"

    def __str__(self) -> str:
        """Return where it is, its kind and its names, for the programmer."""
        return ": ".join(filter(None, (self.where, self.kind, self.field, ", ".join(self.names), self.suggestion)))


class StillroomError(Exception):
    """Anything a household can cause; shown as plain words, never as a traceback."""

    exit_code = 1


class WorkbookRefused(StillroomError):
    """The workbook cannot be read or planned as it is; every reason is listed. Exit code 1."""

    exit_code = 1

    def __init__(self, problems: Iterable[Problem]) -> None:
        """Keep the problems, in the order of their places."""
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))

    @classmethod
    def because(cls, where: str, kind: str, *names: str) -> WorkbookRefused:
        """Build a refusal for one reason."""
        return cls([Problem(where, kind, names)])


class CommandWrong(StillroomError):
    """The command line cannot be understood. Exit code 2."""

    exit_code = 2


class CouldNotWrite(StillroomError):
    """A file was not written and is as it was: open elsewhere, disk full, read-only. Exit code 3."""

    exit_code = 3


class NoPlanInTime(StillroomError):
    """No plan at all was found within the limits given. Exit code 4."""

    exit_code = 4


def usage_words(error: Exception) -> str:
    """What is wrong with a command line, and where to read how it goes."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context is not None else "stillroom"
    message = error.format_message() if hasattr(error, "format_message") else str(error)
    return f"{message}\nSee: {path} --help"
