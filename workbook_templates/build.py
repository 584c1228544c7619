"""
Build the two starting workbooks beside this file.

    python workbook_templates/build.py

They are what `stillroom start` writes, with the altitude left blank; a test holds them equal to a fresh build.
"""

from __future__ import annotations

from pathlib import Path

from stillroom.workbook.starter import start
from stillroom.workbook.starter.first_rows import Filling

HERE = Path(__file__).resolve().parent
TEMPLATES = {"starting_us.xlsx": False, "starting_metric.xlsx": True}
"""File name, and whether it is metric."""


def build_all(folder: Path) -> list[Path]:
    """Write both workbooks into a folder, over those of the same name."""
    written = []
    for name, metric in TEMPLATES.items():
        path = folder / name
        path.unlink(missing_ok=True)
        start.start(path, Filling(metric=metric))
        written.append(path)
    return written


if __name__ == "__main__":
    for path in build_all(HERE):
        print(f"wrote {path.name}")
