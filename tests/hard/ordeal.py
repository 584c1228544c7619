"""What is asked of every random workbook: `check` and `plan` end in words, lose nothing, and pass nothing over."""

from __future__ import annotations

import contextlib
import io
import json
import re
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from openpyxl import load_workbook
from tests.hard.random_workbooks import make

from stillroom.cli import run

CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\x1b]")
BIDIRECTIONAL = re.compile(
    "[\N{LEFT-TO-RIGHT EMBEDDING}-\N{RIGHT-TO-LEFT OVERRIDE}\N{LEFT-TO-RIGHT ISOLATE}-\N{POP DIRECTIONAL ISOLATE}]"
)


@dataclass(frozen=True)
class Said:
    """What a command left: its exit code, both streams, and a traceback if there was one."""

    code: int
    out: str
    err: str
    traceback: str = ""


def said_by(words: Sequence[str]) -> Said:
    """Run a command in this process and catch all it says."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            code = run(list(words))
        except BaseException:
            return Said(-1, out.getvalue(), err.getvalue(), traceback.format_exc())
    return Said(code, out.getvalue(), err.getvalue())


def complaints(number: int, folder: Path) -> tuple[list[str], int]:
    """What is wrong with how the workbook of this number was treated, in a line each; and the exit code of `plan`."""
    made = make(folder / f"{number}.xlsx", number)
    before = made.path.read_bytes()
    check = said_by(["check", str(made.path)])
    wrong = list(common("check", check, made.path, before))
    told = check.out + check.err
    wrong += [f"check passes over {cell}" for cell in made.unreadable if not shows(told, cell)]
    plan = said_by(["plan", str(made.path), "--json"])
    wrong += common("plan", plan, made.path, before)
    if plan.code == 0:
        wrong += planned_well(plan, made.path)
    if check.code == 0 and plan.code == 1:
        wrong.append(f"plan stops where check does not: {plan.err[:300]}")
    for path in folder.glob(f"{number}*"):
        path.unlink()
    return [f"workbook {number}: {line}" for line in wrong], plan.code


def shows(text: str, cell: str) -> bool:
    """Whether a message names the cell, `Pantry!C2`, at its end: (Pantry, cell C2)."""
    sheet, _, place = cell.partition("!")
    return re.search(rf"\({re.escape(sheet)}, cells? [^)]*\b{place}\b", text) is not None


def common(name: str, said: Said, path: Path, before: bytes) -> list[str]:
    """No traceback, an exit code of the list, nothing that drives a terminal, and the file untouched unless planned."""
    wrong = []
    if said.traceback:
        wrong.append(f"{name} ends in a traceback: {said.traceback.splitlines()[-1]} {place(said.traceback)}")
    elif said.code not in (0, 1, 3, 4):
        wrong.append(f"{name} ends with {said.code}: {said.err[:200]}")
    shown = said.out + said.err if name == "check" else said.err  # JSON is for programs, and escapes for itself
    if CONTROL.search(shown) or BIDIRECTIONAL.search(shown):
        wrong.append(f"{name} says characters that drive a terminal")
    if (said.code != 0 or name == "check") and path.read_bytes() != before:
        wrong.append(f"{name} changed the file and ended with {said.code}")
    return wrong


def place(text: str) -> str:
    """The last place in the program that a traceback names."""
    lines = [line.strip() for line in text.splitlines() if "stillroom" in line and line.strip().startswith("File")]
    return lines[-1] if lines else ""


def planned_well(said: Said, path: Path) -> list[str]:
    """A plan is JSON, opens again, and its text is text."""
    wrong = []
    try:
        found: dict[str, Any] = json.loads(said.out)
    except ValueError:
        return ["plan --json is no JSON"]
    if not found.get("objectives"):
        wrong.append("a plan without objectives")
    pages = load_workbook(path)
    for sheet in pages:
        formulas = [cell.coordinate for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
        wrong += [f"{sheet.title}!{cell} is a formula that nobody typed" for cell in formulas]
    return wrong
