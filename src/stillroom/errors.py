"""Every error a household can cause, and the one list of the kinds of problem with whether each stops the plan."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

STOPS = True
SAID = False

KINDS: dict[str, bool] = {
    # what cannot be read
    "workbook refused": STOPS,
    "table missing": STOPS,
    "table twice": STOPS,
    "column missing": STOPS,
    "column twice": STOPS,
    "blank required": STOPS,
    "not a number": STOPS,
    "out of range": STOPS,
    "not whole": STOPS,
    "unreadable amount": STOPS,
    "unknown unit": STOPS,
    "wrong unit": STOPS,
    "unreadable date": STOPS,
    "unreadable text": STOPS,
    "unreadable choice": STOPS,
    "unknown setting": STOPS,
    "unknown name": STOPS,
    "same name twice": STOPS,
    "same setting twice": STOPS,
    "conflicting rows": STOPS,
    "formula never calculated": STOPS,
    "error value": STOPS,
    "merged cells": STOPS,
    # what makes no sense together
    "no ingredients": STOPS,
    "ingredient loop": STOPS,
    "need without preserve": STOPS,
    "at most below wanted": STOPS,
    "no periods": STOPS,
    "load too small": STOPS,
    "no load for container": STOPS,
    "least above most": STOPS,
    "too many rows": STOPS,
    # what is only said
    "lot past keeping": SAID,
    "lot below zero": SAID,
    "stock below zero": SAID,
    "hidden rows": SAID,
    "row below the table": SAID,
    "number as text": SAID,
    "bare pint": SAID,
    "counts toward no need": SAID,
    "no container to be had": SAID,
    "hours above people": SAID,
    "hours unlimited": SAID,
    "counted on blank": SAID,
    "fixed line unknown": SAID,
    "fixed line past": SAID,
    "fixed line refused": SAID,
    "fixed line twice": SAID,
    "price missing": SAID,
    "date far away": SAID,
    "first day saved before": SAID,
    "minutes spread": SAID,
    "table found by headings": SAID,
    "table renamed": SAID,
    "table empty": SAID,
    "not to be made": SAID,
    "smaller than needed": SAID,
    "sheet protected": SAID,
    "bounds of a weighed lot": SAID,
    "expected lot not weighed": SAID,
    "made twice": SAID,
    "past line not recorded": SAID,
    "seal failed": SAID,
    "planned for likely harvest": SAID,
    "count differs": SAID,
    "older copy": SAID,
    "learned": SAID,
    "learned outlier": SAID,
    # what the published tables refuse, or note (sentences: reports/safety_problems.py)
    "altitude missing": STOPS,
    "altitude above table": STOPS,
    "altitude above table: dial gauge": STOPS,
    "altitude above table: line": STOPS,
    "gauge missing": STOPS,
    "not a canner": STOPS,
    "not a canner: kind blank": STOPS,
    "not a canner: no equipment": STOPS,
    "not a canner: too small": STOPS,
    "cools too fast": SAID,
    "method unknown": STOPS,
    "handbook line unknown": STOPS,
    "method not published": STOPS,
    "method not published: no pressure": STOPS,
    "method not published: unknown food": STOPS,
    "method not published: low-acid food": STOPS,
    "unsealed on the shelf": STOPS,
    "unsealed on the shelf: frozen": STOPS,
    "unsealed on the shelf: dried": STOPS,
    "jar not published": STOPS,
    "jar not published: own recipe": STOPS,
    "jar not published: no common size": STOPS,
    "jar not published: other size": STOPS,
    "jar not published: not a jar": STOPS,
    "jar not published: not a volume": STOPS,
    "jar not published: smaller than its name": STOPS,
    "jar not published: mayonnaise jar": STOPS,
    "liter jar as quart": SAID,
    "next larger jar": SAID,
    "low-acid not pressure canned": STOPS,
    "low-acid not pressure canned: unknown food": STOPS,
    "low-acid not pressure canned: not fermented": STOPS,
    "acid missing": STOPS,
    "acid missing: strength unknown": STOPS,
    "acid missing: amount unknown": STOPS,
    "acid missing: recipe": STOPS,
    "acid missing: recipe, strength unknown": STOPS,
    "acid missing: recipe, amount unknown": STOPS,
    "acid missing: recipe, unit unknown": STOPS,
    "acid below table": STOPS,
    "acid below table: recipe": STOPS,
    "salt below table: no salt": STOPS,
    "salt below table: amount unknown": STOPS,
    "salt below table: recipe": STOPS,
    "outside the recipe": STOPS,
    "outside the recipe: share unknown": STOPS,
    "outside the recipe: sizes unknown": STOPS,
    "outside the recipe: ingredient missing": STOPS,
    "outside the recipe: seasoning": STOPS,
    "frozen crop not allowed": STOPS,
    "frozen crop not allowed: own recipe": STOPS,
    "advised against": STOPS,
    "advised against: ingredient": STOPS,
    "minutes below table": STOPS,
    "minutes below table: own recipe": STOPS,
    "minutes below table: own fruit": STOPS,
    "more minutes than table": SAID,
    "longer than it keeps": SAID,
    "source missing": STOPS,
    "source missing: line not followed": STOPS,
    "minutes missing": STOPS,
    "minutes missing: line not followed": STOPS,
    "own recipe": SAID,
    "own recipe: line not followed": SAID,
    "line not followed: other item": SAID,
    "line not followed: unknown item": SAID,
    "line not followed: too little": SAID,
    "line not followed: too little of its foods": SAID,
    "line not followed: not a mixture": SAID,
    "line not followed: too solid": SAID,
    "from memory": SAID,
    "from memory: line": SAID,
    "from memory: at least": SAID,
    "from memory: at most": SAID,
    "matched to nothing": SAID,
    "matched by name": SAID,
    "fixed line refused: not safe": SAID,
    "fixed line refused: unreadable preserve": SAID,
}
"""Each kind of problem: True when it stops the plan (exit 1), False when it is said and the plan goes on."""


@dataclass(frozen=True, order=True)
class Problem:
    """
    One thing that is wrong or worth a note, as data: reports/problems.py makes the sentences.

    `where` is Sheet!Cell; `names` are the fill-ins of the kind's sentences, in their order, amounts already formatted;
    `suggestion` is the "did you mean"; `field` is the heading or the setting it is about;
    `cause` is the problem that this one follows from, shown where the sentence has {cause}.
    """

    where: str
    kind: str
    names: tuple[str, ...] = ()
    suggestion: str = ""
    field: str = ""
    cause: tuple[Problem, ...] = ()
    # transitional: sentences of problems that have no template yet
    what: str = ""
    fix: str = ""

    def __post_init__(self) -> None:
        """Refuse a kind that is not in the list."""
        if self.kind not in KINDS:
            msg = f"no kind of problem is called {self.kind!r}"
            raise KeyError(msg)

    @classmethod
    def in_words(cls, where: str, what: str, fix: str, kind: str) -> Problem:
        """Make a problem that carries its own sentences (transitional)."""
        return cls(where, kind, what=what, fix=fix)

    @property
    def stops(self) -> bool:
        """Whether there can be no plan until this is fixed."""
        return KINDS[self.kind]

    def __str__(self) -> str:
        """Return where it is, its kind and its names, for the programmer."""
        if self.what:
            return f"{self.where}: {self.what}; {self.fix}"
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
    def because(cls, where: str, what: str, fix: str) -> WorkbookRefused:
        """Build a refusal of the whole file for one reason."""
        return cls([Problem.in_words(where, what, fix, "workbook refused")])


class CommandWrong(StillroomError):
    """The command line cannot be understood. Exit code 2."""

    exit_code = 2


class CouldNotWrite(StillroomError):
    """Nothing was written and nothing was changed: open elsewhere, disk full, read-only. Exit code 3."""

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
