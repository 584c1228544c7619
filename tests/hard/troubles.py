"""Troubles of a real machine: two commands on one file, and a disk that fills at any byte of a save."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

from openpyxl import load_workbook

COULD_NOT_WRITE = 3


def two_at_once(path: Path, rounds: int) -> list[str]:
    """Start two commands on one file at the same moment, again and again; what went wrong, in a line each."""
    wrong = []
    for number in range(rounds):
        made = ["made", str(path), "tomato juice, quart", "1", "--used", "3lb", "--on", "2026-08-14"]
        before = rows_of_record(path)
        both = [subprocess.Popen([sys.executable, "-m", "stillroom", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) for words in (made, made)]  # fmt: skip
        ended = [(process.communicate(), process.returncode) for process in both]
        done = sum(code == 0 for _, code in ended)
        for (_, err), code in ended:
            if code not in (0, COULD_NOT_WRITE) or "Traceback" in err:
                wrong.append(f"round {number}: a command ended with {code}: {err[-200:]}")
            elif code == COULD_NOT_WRITE and not err.strip():
                wrong.append(f"round {number}: a command that could not write says nothing")
        if done == 0:
            wrong.append(f"round {number}: neither command got through")
        if rows_of_record(path) != before + done:
            wrong.append(f"round {number}: {done} commands said they wrote; {rows_of_record(path) - before} rows came")
    return wrong


def rows_of_record(path: Path) -> int:
    """Rows in the household's record."""
    book = load_workbook(path, read_only=True)
    if "Record" not in book.sheetnames:
        return 0
    return sum(1 for row in book["Record"].iter_rows(values_only=True) if row[1] == "tomato juice, quart")


def full_disk(path: Path, steps: int) -> list[str]:
    """Let no file grow beyond so many bytes, from none to what a plan needs; what went wrong, in a line each."""
    before = path.read_bytes()
    wrong = []
    for step in range(steps):
        limit = len(before) * step // steps
        command = [sys.executable, "-m", "stillroom", "plan", str(path)]
        ran = subprocess.run(command, capture_output=True, text=True, check=False, preexec_fn=lambda most=limit: limited(most))  # fmt: skip
        if ran.returncode != COULD_NOT_WRITE or "Traceback" in ran.stderr or not ran.stderr.strip():
            wrong.append(f"files of {limit} bytes: ended with {ran.returncode}: {ran.stderr[-300:]}")
        if path.read_bytes() != before:
            wrong.append(f"files of {limit} bytes: the workbook is not as it was")
        left = sorted(other.name for other in path.parent.iterdir() if other != path)
        if left:
            wrong.append(f"files of {limit} bytes: left behind {left}")
    return wrong


def limited(most: int) -> None:
    """No file of this process grows beyond so many bytes."""
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
