"""A workbook that LibreOffice has saved reads as the same household."""

import shutil
import subprocess

import pytest
from tests.workbook.reader.making import FRIDAY, D, sound, write

from stillroom.household.journal.fingerprint import digest
from stillroom.reports.problems import line
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader import household as read

SOFFICE = shutil.which("soffice")


@pytest.mark.libreoffice
@pytest.mark.skipif(SOFFICE is None, reason="LibreOffice is not installed")
def test_a_copy_saved_by_libreoffice_reads_the_same(tmp_path):
    """Formulas come calculated from there: wanted is 8 people-weeks of 5."""
    content = sound()
    content["Record"] = [{"Date": D(2026, 8, 13), "Preserve": "corn, frozen", "Made": 3}]

    def change(book):
        book["Winter list"]["C4"] = "=8*5"

    path = write(tmp_path / "kitchen.xlsx", content, change=change)
    profile = (tmp_path / "profile").as_uri()
    command = [SOFFICE, "--headless", f"-env:UserInstallation={profile}", "--convert-to", "xlsx:Calc MS Excel 2007 XML"]
    subprocess.run(
        [*command, "--outdir", str(tmp_path / "out"), str(path)], check=True, capture_output=True, timeout=120
    )
    saved, problems = read.household(Book.open(tmp_path / "out" / "kitchen.xlsx"), FRIDAY)
    content["Winter list"][0]["Wanted"] = 40
    typed, _ = read.household(Book.open(write(tmp_path / "typed.xlsx", content)), FRIDAY)
    assert [line(problem) for problem in problems] == []
    assert digest(saved) == digest(typed)
