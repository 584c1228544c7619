"""Every error a household can cause, and the one list of the kinds of problem with whether each stops the plan."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

THE_FILE = "the workbook"
"""Where a problem of the whole file is, until its name is known."""

STOPS = True
NOTE = False

KINDS: dict[str, bool] = {
    # the file
    "no such file": STOPS,
    "a folder": STOPS,
    "file not readable": STOPS,
    "empty file": STOPS,
    "not a workbook": STOPS,
    "locked or old workbook": STOPS,
    "locked with a password": STOPS,
    "OpenDocument file": STOPS,
    "binary workbook": STOPS,
    "strict workbook": STOPS,
    "shared workbook": STOPS,
    "signed workbook": STOPS,
    "signed macros": STOPS,
    "another zip file": STOPS,
    "another document": STOPS,
    "file cut short": STOPS,
    "file too large": STOPS,
    "file would be too large": STOPS,
    "unpacks too large": STOPS,
    "too many parts": STOPS,
    "damaged workbook": STOPS,
    "zip directory damaged": STOPS,
    "zip in pieces": STOPS,
    "parts overlap": STOPS,
    "part name unreadable": STOPS,
    "part damaged": STOPS,
    "part size wrong": STOPS,
    "part checksum wrong": STOPS,
    "part named otherwise": STOPS,
    "part unpacks too large": STOPS,
    "part missing": STOPS,
    "part empty": STOPS,
    "part packed oddly": STOPS,
    "part outside": STOPS,
    "part twice": STOPS,
    "part not in UTF-8": STOPS,
    "document type declared": STOPS,
    "no sheets": STOPS,
    "no such sheet": STOPS,
    "no rows of cells": STOPS,
    # what cannot be read
    "table missing": STOPS,
    "former table name": STOPS,
    "required table renamed": STOPS,
    "table twice": STOPS,
    "headings twice": STOPS,
    "column missing": STOPS,
    "column misspelt": STOPS,
    "column twice": STOPS,
    "too many rows": STOPS,
    "merged cells": STOPS,
    "kitchen empty": STOPS,
    "unknown setting": STOPS,
    "same setting twice": STOPS,
    "blank required": STOPS,
    "blank text": STOPS,
    "blank choice": STOPS,
    "blank name": STOPS,
    "unit of length blank": STOPS,
    "amount moved blank": STOPS,
    "record row without a name": STOPS,
    "which crop": STOPS,
    "formula never calculated": STOPS,
    "error value": STOPS,
    "unreadable text": STOPS,
    "not of few numbers": STOPS,
    "out of range": STOPS,
    "not above zero": STOPS,
    "below the least": STOPS,
    "not whole": STOPS,
    "not yes or no": STOPS,
    "unreadable choice": STOPS,
    "unreadable can buy": STOPS,
    "unknown name": STOPS,
    "unknown method": STOPS,
    "same name twice": STOPS,
    "name of two things": STOPS,
    "ingredient twice": STOPS,
    "preserve counted twice": STOPS,
    "unknown hours row": STOPS,
    "stove row": STOPS,
    "hours row twice": STOPS,
    "hands counted twice": STOPS,
    "stove free too long": STOPS,
    "conflicting rows": STOPS,
    "wrong unit of an ingredient": STOPS,
    "unit of an acid": STOPS,
    "preserve not counted": STOPS,
    "size neither volume nor weight": STOPS,
    "unit of a pantry item": STOPS,
    "two units": STOPS,
    "wrong unit of a price": STOPS,
    "bought in another unit": STOPS,
    "crop of another row": STOPS,
    "frozen before picked": STOPS,
    "expected and frozen": STOPS,
    "best by before made": STOPS,
    "least above most": STOPS,
    "most below amount": STOPS,
    "days of a line": STOPS,
    "line not counted": STOPS,
    # what makes no sense together
    "no ingredients": STOPS,
    "ingredient loop": STOPS,
    "target without preserve": STOPS,
    "at most below wanted": STOPS,
    "no periods": STOPS,
    "load too small": STOPS,
    "no load for container": STOPS,
    # what cannot be written
    "outside the sheet": STOPS,
    "value not writable": STOPS,
    "same heading twice": STOPS,
    "table too long": STOPS,
    "totals row below": STOPS,
    "cell below": STOPS,
    "block below": STOPS,
    "cell merged": STOPS,
    "cell of a heading": STOPS,
    "cell of a totals row": STOPS,
    "cell of a query": STOPS,
    "cell of an array": STOPS,
    "cell of a data table": STOPS,
    "cell of a shared formula": STOPS,
    "rows not in order": STOPS,
    "rows written oddly": STOPS,
    "not a plan table": STOPS,
    "formula in the record": STOPS,
    "formula cannot move": STOPS,
    "line in another unit": STOPS,
    "column missing to adopt": STOPS,
    "cells like a table": STOPS,
    "table like another": STOPS,
    # a number, an amount or a unit
    "not a number": STOPS,
    "division by zero": STOPS,
    "number too large": STOPS,
    "comma of two meanings": STOPS,
    "comma in number": STOPS,
    "unreadable amount": STOPS,
    "amount without unit": STOPS,
    "unknown unit": STOPS,
    "unit of two sizes": STOPS,
    "no bushel weight": STOPS,
    "no weight of a unit": STOPS,
    "not a weight": STOPS,
    "not a volume": STOPS,
    "wrong measure": STOPS,
    "unit not used here": STOPS,
    "unreadable date": STOPS,
    "date of two meanings": STOPS,
    "number not a date": STOPS,
    "year out of range": STOPS,
    "unreadable time": STOPS,
    # what a reading notes
    "table renamed": NOTE,
    "table found by headings": NOTE,
    "table empty": NOTE,
    "hidden rows": NOTE,
    "row below a blank row": NOTE,
    "row below the table": NOTE,
    "number as text": NOTE,
    "bare pint": NOTE,
    "date far away": NOTE,
    "weighed after the first day": NOTE,
    "bounds of a weighed lot": NOTE,
    "planned for likely harvest": NOTE,
    "hours unlimited": NOTE,
    "sheet protected": NOTE,
    "hidden rows of the plan": NOTE,
    "first day saved before": NOTE,
    "older copy": NOTE,
    # what a household notes
    "no included preserve": NOTE,
    "ingredient not included": NOTE,
    "counts toward no target": NOTE,
    "only an ingredient": NOTE,
    "no container to be had": NOTE,
    "frozen crop not used": NOTE,
    "hours of a day above people": NOTE,
    "hours of a week above people": NOTE,
    "price missing": NOTE,
    "minutes spread": NOTE,
    "fixed line unknown": NOTE,
    "fixed line not frozen": NOTE,
    "fixed line past": NOTE,
    "fixed line after the plan": NOTE,
    "fixed line twice": NOTE,
    # what the record notes
    "lot past keeping": NOTE,
    "frozen lot past keeping": NOTE,
    "expected lot not weighed": NOTE,
    "lot below zero": NOTE,
    "more eaten than on the shelf": NOTE,
    "more used than on the shelf": NOTE,
    "stock below zero": NOTE,
    "counted on blank": NOTE,
    "count differs": NOTE,
    "learned": NOTE,
    "learned outlier": NOTE,
    "seal failed": NOTE,
    "past line not recorded": NOTE,
    "made twice": NOTE,
    # what the published tables refuse, or note
    "name not listed": STOPS,
    "name of several foods": STOPS,
    "name of no canned food": STOPS,
    "name of another food": STOPS,
    "typed food not listed": STOPS,
    "form not published": STOPS,
    "preserve named otherwise": STOPS,
    "altitude missing": STOPS,
    "altitude above table": STOPS,
    "altitude above table: dial gauge": STOPS,
    "altitude above table: line": STOPS,
    "gauge missing": STOPS,
    "not a canner": STOPS,
    "not a canner: kind blank": STOPS,
    "not a canner: no equipment": STOPS,
    "not a canner: too small": STOPS,
    "cools too fast": NOTE,
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
    "liter jar as quart": NOTE,
    "next larger jar": NOTE,
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
    "more minutes than table": NOTE,
    "longer than it keeps": NOTE,
    "source missing": STOPS,
    "source missing: line not followed": STOPS,
    "minutes missing": STOPS,
    "minutes missing: line not followed": STOPS,
    "own recipe": NOTE,
    "own recipe: line not followed": NOTE,
    "line not followed: other item": NOTE,
    "line not followed: unknown item": NOTE,
    "line not followed: too little": NOTE,
    "line not followed: too little of its foods": NOTE,
    "line not followed: not a mixture": NOTE,
    "line not followed: too solid": NOTE,
    "from memory": NOTE,
    "from memory: line": NOTE,
    "from memory: at least": NOTE,
    "from memory: at most": NOTE,
    "matched to nothing": NOTE,
    "matched by name": NOTE,
    "fixed line refused: not safe": NOTE,
    "fixed line refused: unreadable preserve": NOTE,
}
"""Each kind of problem: True when it stops the plan (exit 1), False when it is a note and the plan goes on."""


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
        """Whether there can be no plan until this is fixed."""
        return KINDS[self.kind]

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
