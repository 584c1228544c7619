"""
Make the pictures of the README from the first demo household, which is invented.

    python demo/pictures.py

Plans a copy of tomato_glut.xlsx and draws, into demo/pictures/: the winter list, where each crop goes and the first day
on the clock; and two sheets of the planned workbook, as LibreOffice prints them. Without LibreOffice (`soffice`) and
Poppler (`pdftoppm`, `pdftotext`) these two are left as they are, and it is said.
"""

from __future__ import annotations

import datetime
import io
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image, ImageChops

from stillroom.app.day import clock_of
from stillroom.app.plan import read_workbook
from stillroom.app.print import shown_of
from stillroom.app.write_plan import plan_workbook
from stillroom.reports.charts import pictures_of
from stillroom.reports.charts.canvas import Shown
from stillroom.reports.charts.render import in_few_colors, png_bytes

HERE = Path(__file__).resolve().parent
FOLDER = HERE / "pictures"
HOUSEHOLD = HERE / "tomato_glut.xlsx"
DAY = datetime.date(2026, 8, 15)
DRAWN = ("winter_list", "where_it_goes", "day_1")
SHEETS = {"sheet_plan": ("Plan", 0.62), "sheet_coverage": ("Coverage", 1.0)}
"""Name of the picture: the sheet, and how much of its first page is kept from the top."""
DOTS_PER_INCH = 118


def main() -> int:
    """Make them all; 1 when the sheets could not be made."""
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / HOUSEHOLD.name
        shutil.copyfile(HOUSEHOLD, copy)
        plan_workbook(read_workbook(copy, DAY))
        for name, content in drawn(shown_of(clock_of(copy, DAY))).items():
            keep(name, content)
        missing = [tool for tool in ("soffice", "pdftoppm", "pdftotext") if shutil.which(tool) is None]
        if missing:
            print(f"The two sheets were not made anew: there is no {' and no '.join(missing)} on this machine.")
            return 1
        for name, content in sheets(copy).items():
            keep(name, content)
    return 0


def keep(name: str, content: bytes) -> None:
    """Put a picture into the folder."""
    path = FOLDER / f"{name}.png"
    path.write_bytes(content)
    print(f"wrote {path.name}, {len(content) / 1000:.0f} kB")


def drawn(shown: Shown) -> dict[str, bytes]:
    """The pictures of the plan that the README shows, by name."""
    return {picture.name: png_bytes(picture) for picture in pictures_of(shown) if picture.name in DRAWN}


def sheets(workbook: Path) -> dict[str, bytes]:
    """The first printed page of some sheets, by the name of the picture."""
    subprocess.run(
        ["soffice", "--headless", "--convert-to", "pdf", "--outdir", str(workbook.parent), str(workbook)],
        check=True,
        capture_output=True,
    )
    pdf = workbook.with_suffix(".pdf")
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    first_lines = [page.strip().split("\n", 1)[0].strip() for page in text.split("\f")]
    return {name: page_picture(pdf, first_lines.index(sheet) + 1, share) for name, (sheet, share) in SHEETS.items()}


def page_picture(pdf: Path, page: int, share: float) -> bytes:
    """One page without its empty edges, cut off below a share of its height."""
    number = str(page)
    command = ["pdftoppm", "-r", str(DOTS_PER_INCH), "-f", number, "-l", number, "-png", str(pdf)]
    image = Image.open(io.BytesIO(subprocess.run(command, check=True, capture_output=True).stdout)).convert("RGB")
    image = image.crop((0, 0, image.width, round(image.height * share)))
    box = ImageChops.difference(image, Image.new("RGB", image.size, "white")).getbbox() or (0, 0, *image.size)
    edge = 12
    left, top, right, bottom = box
    right, bottom = min(image.width, right + edge), min(image.height, bottom + edge)
    few = in_few_colors(image.crop((max(0, left - edge), max(0, top - edge), right, bottom)))
    file = io.BytesIO()
    few.save(file, format="PNG", optimize=True)
    return file.getvalue()


if __name__ == "__main__":
    sys.exit(main())
