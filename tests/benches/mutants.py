"""
Whether the tests would notice a rule that is wrong: each rule of the model changed in one place, and the tests asked.

    python3 tests/bench.py mutants [--with-goldens] [--only space] [--first 20] [--scores FILE]

Every sign, number, comparison, sense of a row, sum and condition in `planning/constraints` is changed by itself, and
every term, row and rule is left out once, in a copy of the tree in a folder of its own; the tests run against the copy
until one fails. A change that no test notices has survived and is listed.

The honest figure is the one without the goldens and the printed instances: those say that something has changed, not
that it is wrong. With them (`--with-goldens`) they are asked first. Asked without them: the hand-worked cases, what
binds, breaches, moving sessions, every plan counted by hand, the published cases and, last, the properties.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import re
import resource
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import highspy  # noqa: F401 - loaded once, before the processes of the tests are split off
import lxml.etree  # noqa: F401
import numpy as np  # noqa: F401
import openpyxl  # noqa: F401
import pulp  # noqa: F401
import pytest
from tests.benches.scores import Score, write_scores

ROOT = Path(__file__).resolve().parents[2]
CONSTRAINTS = Path("src/stillroom/planning/constraints")
SECONDS = 90
"""Processor seconds a group of tests may take; a change that keeps them longer is caught: the suite would hang."""

GOLDENS = ("tests/planning/test_goldens.py",)
FIRST = (
    "tests/planning/test_rules_noticed.py",
    "tests/planning/test_stock_noticed.py",
    "tests/planning/test_hand_worked.py",
    "tests/planning/test_binding.py",
    "tests/planning/test_worth_starting.py",
)
PROPERTIES = "tests/planning/test_properties.py::"
THEN = (
    PROPERTIES + "test_freezing_what_nothing_takes_from_frozen_is_no_way_round_feeding",
    PROPERTIES + "test_a_fixed_line_of_a_week_that_has_begun_is_kept",
    PROPERTIES + "test_a_fixed_day_within_a_fixed_week_is_part_of_it",
    PROPERTIES + "test_more_bags_never_undo_what_three_bags_gave",
    "tests/truth/test_truth.py",
    "tests/planning/test_breaches.py",
    "tests/planning/test_sooner.py",
)
LAST = ("tests/planning/test_properties.py::test_every_plan_passes_its_audit",)

ALIKE_ANYWAY = (
    ("stocks.py", "to Or: item.kept_in == place and", "the row of the last period says the same"),
    ("stocks.py", "(never true|left out): if not emptied", "the row of the last period says the same"),
    ("stock.py", "(never true|left out): if steady", "the row of the last period says the same"),
    ("hand.py:(42|65)", r"number \+ 1|: 1$", "only the number in a row's name is another"),
    (
        "wanted.py:110",
        "",
        "a part of one has no room anyway: whole numbers and bounds of nothing on days, a row of its own in weeks",
    ),
    ("wanted.py:(34|58)", r"number \+ 1: 0\.0", "the shelf has an entry for every preserve, so 0.0 is never read"),
    (
        "",
        "condition always true: if (terms|net)",
        "a row with nothing in it is dropped, since its bound is not below nothing",
    ),
    ("stock.py", "(never true|left out): if not terms", "the row says only that what is bought is not below nothing"),
    ("stock.py:91", "always true|to GtE", "a term of nothing changes no row"),
    (
        "wanted.py:119",
        "always true|to Or",
        "where no preserve takes from it, or no week has it, the row before says the same",
    ),
    ("", "condition always true: if math.isfinite", "a bound without end is no bound"),
)
"""Changes that change no plan: where (file and line), what, and why; a match is a survivor with a reason."""

ALIKE = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
COMPARED = {
    ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Lt: ast.LtE, ast.LtE: ast.Lt,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
SENSES = {"at_most": ("at_least", "equal"), "at_least": ("at_most", "equal"), "equal": ("at_most", "at_least")}


@dataclass(frozen=True)
class Change:
    """One change: the file it is in, its line, what was changed in words, and the whole file after it."""

    file: str
    line: int
    words: str
    source: str


def changes(path: Path) -> Iterator[Change]:
    """Every change of a file, one place at a time."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for number, node in enumerate(ast.walk(tree)):
        for words, change in changed(node):
            other = copy.deepcopy(tree)
            twin = list(ast.walk(other))[number]
            change(twin)
            line = getattr(node, "lineno", 0)
            before = ast.unparse(node).splitlines()[0][:60] if line else ""
            yield Change(path.name, line, f"{words}: {before}", ast.unparse(ast.fix_missing_locations(other)))


def changed(node: ast.AST) -> Iterator[tuple[str, object]]:
    """The changes of one place: words and what makes the change in a copy of it."""
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool):
        yield "number + 1", lambda twin: setattr(twin, "value", twin.value + 1)
        if node.value:
            yield "number to nothing", lambda twin: setattr(twin, "value", type(twin.value)(0))
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield "sign", lambda twin: setattr(twin, "op", ast.UAdd())
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield (
            "not left out",
            lambda twin: (
                setattr(twin, "op", ast.Not()),
                setattr(twin, "operand", ast.UnaryOp(ast.Not(), twin.operand)),
            ),
        )
    if isinstance(node, ast.BinOp) and type(node.op) in ALIKE:
        other = ALIKE[type(node.op)]
        yield f"to {other.__name__}", lambda twin: setattr(twin, "op", other())
    if isinstance(node, ast.Compare) and type(node.ops[0]) in COMPARED:
        turned = COMPARED[type(node.ops[0])]
        yield f"to {turned.__name__}", lambda twin: setattr(twin, "ops", [turned(), *twin.ops[1:]])
    if isinstance(node, ast.BoolOp):
        both = ast.Or if isinstance(node.op, ast.And) else ast.And
        yield f"to {both.__name__}", lambda twin: setattr(twin, "op", both())
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        for sense in SENSES.get(node.func.id, ()):
            yield f"to {sense}", lambda twin, sense=sense: setattr(twin.func, "id", sense)
        if node.func.id in ("max", "min"):
            yield "max or min turned", lambda twin: setattr(twin.func, "id", "min" if twin.func.id == "max" else "max")
    yield from left_out(node)


def left_out(node: ast.AST) -> Iterator[tuple[str, object]]:
    """The changes that leave something out or always do what is done on a condition."""
    if is_sum(node):
        for place in range(len(node.elts)):
            yield f"term {place + 1} left out", lambda twin, place=place: twin.elts.pop(place)
    if isinstance(node, ast.Dict) and len(node.keys) > 1:
        for place, key in enumerate(node.keys):
            name = key.value if isinstance(key, ast.Constant) else "?"
            yield f"rule {name} left out", lambda twin, place=place: (twin.keys.pop(place), twin.values.pop(place))
    if isinstance(node, ast.If):
        yield "condition always true", lambda twin: setattr(twin, "test", ast.Constant(True))
        yield "condition never true", lambda twin: setattr(twin, "test", ast.Constant(False))
    if isinstance(node, ast.IfExp):
        yield "the one only", lambda twin: setattr(twin, "test", ast.Constant(True))
        yield "the other only", lambda twin: setattr(twin, "test", ast.Constant(False))
    if isinstance(node, ast.comprehension) and node.ifs:
        yield f"filter left out (line {node.ifs[0].lineno})", lambda twin: setattr(twin, "ifs", [])
    for name in ("body", "orelse"):
        for place, part in enumerate(getattr(node, name, None) or [] if isinstance(node, ast.stmt) else []):
            if leaves_out(part):
                yield (
                    f"line {part.lineno} left out",
                    lambda twin, name=name, place=place: getattr(twin, name).__setitem__(place, ast.Pass()),
                )


def is_sum(node: ast.AST) -> bool:
    """Whether a list (or a tuple with others poured into it) is read that has more than one thing in it."""
    if not isinstance(node, ast.List | ast.Tuple) or not isinstance(node.ctx, ast.Load) or len(node.elts) < 2:
        return False
    return isinstance(node, ast.List) or any(isinstance(one, ast.Starred) for one in node.elts)


def leaves_out(part: ast.stmt) -> bool:
    """Whether a statement adds a term or a row, skips one, or counts on."""
    if isinstance(part, ast.AugAssign | ast.Continue | ast.Return) and not (
        isinstance(part, ast.Return) and part.value
    ):
        return True
    if isinstance(part, ast.Expr) and isinstance(part.value, ast.Yield | ast.YieldFrom):
        return True
    return isinstance(part, ast.Expr) and isinstance(part.value, ast.Call)


def all_changes(only: str = "") -> list[Change]:
    """Every change of every file of the constraints, or of those with one of these words in their names."""
    files = sorted((ROOT / CONSTRAINTS).glob("*.py"))
    return [change for path in files if any(one in path.stem for one in only.split(",")) for change in changes(path)]


class Copy:
    """A copy of the tree in which one file at a time is changed; the tests run in processes that see only the copy."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for part in ("src", "tests/planning", "tests/truth", "tests/benches", "shared", "demo"):
            shutil.copytree(ROOT / part, folder / part, ignore=shutil.ignore_patterns("__pycache__", "*.egg-info"))
        shutil.copy(ROOT / "pyproject.toml", folder)

    def caught(self, change: Change, tests: Sequence[str]) -> str:
        """The first test that notices a change; "" when none does."""
        place = self.folder / CONSTRAINTS / change.file
        whole = place.read_text(encoding="utf-8")
        place.write_text(change.source, encoding="utf-8")
        try:
            return self.failing(tests)
        finally:
            place.write_text(whole, encoding="utf-8")

    def failing(self, tests: Sequence[str]) -> str:
        """
        The first test that fails in the copy as it stands; "" when none does.

        The tests run in a process split off from this one, which has the libraries loaded but nothing of ours: that
        saves their loading for every change. It may use so many seconds of its processor, then it is ended.
        """
        report = self.folder / "noticed.txt"
        report.write_text("", encoding="utf-8")
        child = os.fork()
        if child == 0:
            ended = 70
            try:
                ended = run_tests(self.folder, tests, report)
            finally:
                os._exit(ended)
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return "the tests hang"
        noticed = report.read_text(encoding="utf-8").strip()
        return noticed or ("" if os.waitstatus_to_exitcode(status) == 0 else "the tests cannot be read")


class Notice:
    """Keeps the name of the first test that fails."""

    def __init__(self, report: Path) -> None:
        self.report = report

    def pytest_runtest_logreport(self, report: Any) -> None:
        """Write down a failure."""
        if report.failed:
            self.report.write_text(report.nodeid.rpartition("/")[2][:90], encoding="utf-8")


def run_tests(folder: Path, tests: Sequence[str], report: Path) -> int:
    """Run tests of the copy in this process, quietly; gives pytest's own exit code."""
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    os.chdir(folder)
    sys.path[:] = [str(folder / "src"), str(folder), *(one for one in sys.path if Path(one or ".").resolve() != ROOT)]
    sys.dont_write_bytecode = True
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    options = ["-x", "-q", "--no-header", "--tb=no", "--rootdir", str(folder), "-p", "no:xdist", "-p", "no:randomly"]
    return int(pytest.main([*options, *tests], plugins=[Notice(report)]))


@dataclass(frozen=True)
class Count:
    """How many changes there were, and those that no test noticed."""

    changes: int
    survivors: tuple[Change, ...]

    @property
    def alike(self) -> tuple[Change, ...]:
        """The survivors that change no plan."""
        return tuple(change for change in self.survivors if reason(change))

    @property
    def caught(self) -> float:
        """The share caught of the changes that can change a plan."""
        able = self.changes - len(self.alike)
        return 1.0 - (len(self.survivors) - len(self.alike)) / able if able else 1.0


def reason(change: Change) -> str:
    """Why a change changes no plan; "" where no reason is known."""
    place = f"{change.file}:{change.line}"
    return next(
        (why for where, what, why in ALIKE_ANYWAY if re.match(where, place) and re.search(what, change.words)), ""
    )


def count(chosen: Sequence[Change], *, goldens: bool = False, say: bool = True, quick: bool = False) -> Count:
    """Try every change against the tests; `quick` leaves the properties out."""
    survivors = []
    with tempfile.TemporaryDirectory(prefix="stillroom-mutants-") as folder:
        tree = Copy(Path(folder))
        groups = [[name for name in group if (ROOT / name.partition("::")[0]).exists()]
                  for group in ((GOLDENS if goldens else ()), FIRST, THEN, () if quick else LAST)]  # fmt: skip
        groups = [group for group in groups if group]
        if wrong := next((found for group in groups if (found := tree.failing(group))), ""):
            msg = f"the tests fail without any change: {wrong}"
            raise RuntimeError(msg)
        for number, change in enumerate(chosen, 1):
            began = time.perf_counter()
            noticed = next((by for group in groups if (by := tree.caught(change, group))), "")
            if not noticed:
                survivors.append(change)
            if say:
                print(f"{number:4} {change.file}:{change.line} {change.words} | {noticed or 'SURVIVED'} "
                      f"| {time.perf_counter() - began:.1f} s", flush=True)  # fmt: skip
    return Count(len(chosen), tuple(survivors))


def as_score(found: Count, *, goldens: bool = False) -> Score:
    """The figure as a line of the scoreboard."""
    figure = f"{found.caught:.1%} of {found.changes - len(found.alike)} noticed {'with' if goldens else 'without'} the goldens"
    figure += f"; {len(found.alike)} more change no plan"
    unknown = [change for change in found.survivors if not reason(change)]
    why = "; ".join(f"not noticed: {change.file}:{change.line} {change.words}" for change in unknown)
    what = "changes of the rules noticed by the tests"
    return Score("truth", what, "", figure, "95 %", found.caught >= 0.95, why)


def main(words: Sequence[str] | None = None) -> int:
    """Try the changes and print the figure; 1 when fewer than 95 % are caught."""
    parser = argparse.ArgumentParser(description="Change each rule in one place and ask the tests.")
    parser.add_argument("--with-goldens", action="store_true", help="ask the golden files first")
    parser.add_argument("--only", default="", help="only the files of rules with these words in their names: crop,hand")
    parser.add_argument("--quick", action="store_true", help="do not ask the properties, which take the longest")
    parser.add_argument("--first", type=int, default=0, help="only so many changes")
    parser.add_argument("--every", type=int, default=1, help="one change in so many")
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    parser.add_argument("--from-number", type=int, default=1, help="begin with the change of this number")
    chosen = parser.parse_args(words)
    every = all_changes(chosen.only)[chosen.from_number - 1 :: chosen.every]
    found = count(every[: chosen.first] if chosen.first else every, goldens=chosen.with_goldens, quick=chosen.quick)
    score = as_score(found, goldens=chosen.with_goldens)
    print(f"\n{score.line()}\n{len(found.survivors)} not noticed:")
    for change in found.survivors:
        print(f"  {change.file}:{change.line} {change.words} ({reason(change) or 'NO REASON KNOWN'})")
    if chosen.scores:
        write_scores(chosen.scores, [score])
    return 0 if found.caught >= 0.95 else 1


if __name__ == "__main__":
    sys.exit(main())
