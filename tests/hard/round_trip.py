"""A demo workbook planned, opened and saved by LibreOffice, and planned again; and every saved result held against its own."""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from openpyxl import load_workbook
from tests import forked
from tests.workbook.corpus.by_libreoffice import convert

from stillroom.workbook.ooxml.book import Book

ROOT = Path(__file__).resolve().parents[2]

ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""
"""The setting that has LibreOffice work out every formula of a workbook when it opens it."""


def planned(path: Path, out: Path) -> dict[str, Any]:
    """Plan a workbook into a copy; what `--json` says."""
    ran = forked.command(["plan", str(path), "--out", str(out), "--json"])
    assert ran.code == 0, ran.err
    found: dict[str, Any] = json.loads(ran.out)
    return found


def saved_by_libreoffice(path: Path, folder: Path) -> Path:
    """The workbook as LibreOffice saves it, every formula worked out anew."""
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(ALWAYS)
    saved = folder / "saved"
    saved.mkdir(exist_ok=True)
    return convert(path, "xlsx", saved, profile)


def shortened(path: Path, horizon: Mapping[str, int]) -> None:
    """Type other numbers of days and weeks into a workbook."""
    book = Book.open(path)
    kitchen = book.table("Kitchen")
    for cells in kitchen.rows:
        if cells[0].value in horizon:
            book.set(kitchen.sheet, cells[0].row, kitchen.column("Value"), horizon[str(cells[0].value)])
    book.save()


def lines(found: dict[str, Any]) -> list[tuple[Any, ...]]:
    """The plan line by line: day, days, what, how much."""
    return [(row["day"], row["days"], row["preserve"], round(row["make"], 6)) for row in found["plan"]]


def round_trip(name: str, folder: Path, horizon: Mapping[str, int] = MappingProxyType({})) -> list[str]:
    """Plan, save by LibreOffice, plan again; what differs and which saved results were stale, in a line each."""
    first = folder / f"{name}.xlsx"
    shutil.copyfile(ROOT / "demo" / f"{name}.xlsx", first)
    if horizon:
        shortened(first, horizon)
    done = folder / f"{name} planned.xlsx"
    before = lines(planned(first, done))
    saved = saved_by_libreoffice(done, folder)
    after = lines(planned(saved, folder / f"{name} again.xlsx"))
    wrong = [
        f"{name}: {line} before, {other} after" for line, other in zip(before, after, strict=False) if line != other
    ]
    if len(before) != len(after):
        wrong.append(f"{name}: {len(before)} lines before, {len(after)} after")
    return wrong + stale(done, saved)


def stale(ours: Path, theirs: Path) -> list[str]:
    """Formula cells whose saved result is another than LibreOffice's; a cell without one is worked out when opened."""
    formulas, kept, anew = (
        load_workbook(ours),
        load_workbook(ours, data_only=True),
        load_workbook(theirs, data_only=True),
    )
    wrong, seen = [], 0
    for sheet in formulas:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type != "f":
                    continue
                saved, other = kept[sheet.title][cell.coordinate].value, anew[sheet.title][cell.coordinate].value
                seen += 1
                if saved is not None and not same(saved, other):
                    wrong.append(f"{sheet.title}!{cell.coordinate} holds {saved!r}; worked out anew it is {other!r}")
    if not seen:
        wrong.append(f"{ours.name} has no formula at all, so nothing was compared")
    return wrong


def same(one: Any, other: Any) -> bool:
    """Whether two results are the same, numbers to nine digits; an empty text counts as blank."""
    if isinstance(one, int | float) and isinstance(other, int | float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return (one or None) == (other or None)
