"""Amounts, dates, clock times, money and plurals are formatted in `household/text.py` and in no other module."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent / "src" / "stillroom"

FORMATS = {
    "a number of decimals": r"\{[^{}\"']*:[-+ ]?,?\.\d[fge]?\}",
    "a number without needless digits": r"\{[^{}\"']*:[-+]?,?(?:\.\d)?g\}",
    "thousands": r"\{[^{}\"']*:,\}",
    "a percentage": r"\{[^{}\"']*:(?:\.\d+)?%\}|\} %|\bround\(100 \*[^)]*\)\}",
    "a date or time": r"strftime\(|\{[^{}\"']*:%[-\w %:,]+\}|f[\"'][^\"']*\{[\w.]*\.isoformat\(\)\}",
    "a plural": r"\{[\"']e?s[\"'] if |\{[\"'][\"'] if [^{}]* else [\"']e?s[\"']\}",
}

EXCEPTIONS = {
    "household/text.py": "the formatter",
    "handbook/": "figures of the guides, in the guides' own words",
    "workbook/ooxml/": "parts of a spreadsheet file, and the limits of its size",
    "workbook/starter/highlighting.py": "bounds in the formulas of a spreadsheet file",
    "household/plan.py": "names of a period in the solver's model",
    "planning/constraints/__init__.py": "rows of the solver's model",
    "reports/charts/render.py": "coordinates of a drawing",
    "reports/print/html.py": "sizes in a style sheet",
    "reports/print/pdf_text.py": "sizes of type",
    "reports/print/labels.py": "sizes of sheets of labels in mm, and lot numbers",
    "reports/calendar.py": "identifiers and times of a calendar file",
}


def modules() -> list[Path]:
    """Return every module that has no reason to format by itself."""
    names = ((path, path.relative_to(SOURCE).as_posix()) for path in sorted(SOURCE.rglob("*.py")))
    return [path for path, name in names if not name.startswith(tuple(EXCEPTIONS))]


@pytest.mark.parametrize("what", FORMATS)
def test_no_other_module_formats_by_itself(what: str) -> None:
    pattern = re.compile(FORMATS[what])
    found = [
        f"{path.relative_to(SOURCE)}:{number}: {line.strip()}"
        for path in modules()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if pattern.search(line)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize("name", EXCEPTIONS)
def test_each_exception_is_still_needed(name: str) -> None:
    paths = (SOURCE / name).rglob("*.py") if name.endswith("/") else [SOURCE / name]
    texts = [path.read_text(encoding="utf-8") for path in paths]
    assert any(re.search(pattern, text) for pattern in FORMATS.values() for text in texts)
