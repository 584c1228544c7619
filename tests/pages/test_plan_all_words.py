"""What came of a folder of workbooks, on screens of several widths."""

import unicodedata
from pathlib import Path

import pytest

from stillroom.app.batch import workbooks_in
from stillroom.household.results.commands import AllPlanned, WorkbookDone
from stillroom.reports.terminal.lists import plain_text
from stillroom.reports.terminal.setup import plan_all_page
from stillroom.workbook.ooxml.files.copies import write_list

LONG = "our neighbours up the hill, planned.xlsx"


@pytest.mark.parametrize("wide", [60, 80, 100])
def test_a_name_is_broken_between_words_and_every_workbook_has_its_figures(wide):
    """At 60 letters a name stood in a column of six; a file that is no workbook was named twice."""
    done = (
        WorkbookDone("broken.xlsx", problems=("The file is empty. Use a workbook saved as .xlsx.",)),
        WorkbookDone(LONG, None, 41, 19, 17, 1204.0, 3, seconds=2.61),
        WorkbookDone("mill.xlsx", None, 12, 9, 9, 20.0, 0, seconds=1.0),
    )
    text = plain_text(plan_all_page(AllPlanned(Path("in"), Path("out"), done, 5.0, 1)), wide)
    lines = text.splitlines()
    assert max(map(len, lines)) <= wide
    assert any(line.startswith("  mill.xlsx") and "9 of 9" in line for line in lines)
    words = {word for line in lines for word in line.split()}
    assert set(LONG.split()) <= words, text
    assert "17 of 19" in text
    assert ("2,654 lb" in text) == (wide > 60)
    assert text.count("broken.xlsx") == 2


def test_a_dated_copy_is_no_household_on_a_disk_that_takes_accents_apart(tmp_path):
    """As some disks give names back: in another form than the one in the list of copies."""
    for name in ("Küche.xlsx", "Küche.before-2026-08-14-0930.xlsx"):
        (tmp_path / unicodedata.normalize("NFD", name)).write_bytes(b"")
    book = tmp_path / unicodedata.normalize("NFD", "Küche.xlsx")
    write_list(book, [("0" * 64, unicodedata.normalize("NFC", "Küche.before-2026-08-14-0930.xlsx"))])
    assert workbooks_in(tmp_path, tmp_path / "to") == [book]
