"""Rows written in one pass come out as those whose cells are looked at one by one."""

from __future__ import annotations

import datetime
import random

import pytest
from tests.workbook.corpus import moving_in

from stillroom.errors import WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.write_cells import UsualRows

VALUES = (None, 0, 7, 2.5, 1e-9, True, "a", "=b", " c ", "é<&>", datetime.date(2026, 8, 14), datetime.time(6, 30))
NAMES = (
    "xlsxwriter plain",
    "xlsxwriter filters_and_outlines",
    "xlsxwriter dynamic_arrays",
    "openpyxl kinds_of_values",
    "openpyxl our_plan",
    "by hand prefixes",
    "by hand single_quotes",
    "by hand shared_formulas",
)


def saved(path, out, edits):
    """The bytes that come of the edits, or the refusal."""
    book = Book.open(path)
    for (sheet, row, column), value in edits.items():
        book.set(sheet, row, column, value)
    try:
        receipt = book.save(out)
    except WorkbookRefused as refusal:
        return str(refusal)
    return out.read_bytes() if receipt.written else b"", receipt.results_cleared


@pytest.mark.parametrize("name", NAMES)
def test_both_ways_give_the_same_bytes(name, tmp_path, monkeypatch):
    path = moving_in.made(name, tmp_path)
    rnd = random.Random(name)
    sheets = [sheet.name for sheet in Book.open(path)._opened.layout.sheets]
    several = [
        {(rnd.choice(sheets), rnd.randrange(1, 8), rnd.randrange(1, 6)): rnd.choice(VALUES) for _ in range(size)}
        for size in (1, 2, 4, 8, 16, 24)
        for _ in range(3)
    ]
    quick = [saved(path, tmp_path / "quick.xlsx", edits) for edits in several]
    assert any(isinstance(one, tuple) for one in quick)
    monkeypatch.setattr(UsualRows, "rewritten", lambda *_: None)
    assert [saved(path, tmp_path / "slow.xlsx", edits) for edits in several] == quick


def test_most_rows_of_office_programs_are_usual(tmp_path, monkeypatch):
    path = moving_in.made("openpyxl our_plan", tmp_path)
    seen = []
    rewritten = UsualRows.rewritten
    monkeypatch.setattr(UsualRows, "rewritten", lambda *given: seen.append(rewritten(*given)) or seen[-1])
    moving_in.move_in(path, tmp_path / "out.xlsx")
    assert sum(one is not None for one in seen) > 0.9 * len(seen) > 9
