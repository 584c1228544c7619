"""Household workbooks that LibreOffice saves from .fods, .ods and .csv files written here, with its own quirks in them."""

from __future__ import annotations

import subprocess
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path

SPACES = " ".join(
    f'xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{space}:1.0"'
    for name, space in (("office", "office"), ("table", "table"), ("text", "text"), ("style", "style"), ("number", "datastyle"), ("fo", "xsl-fo-compatible"))
)  # fmt: skip
STYLES = (
    '<office:automatic-styles><number:date-style style:name="D"><number:day/><number:text>. </number:text><number:month number:textual="true"/></number:date-style>'
    '<style:style style:name="day" style:family="table-cell" style:data-style-name="D"/><style:style style:name="loud" style:family="table-cell">'
    '<style:table-cell-properties fo:background-color="#ffcc00"/><style:text-properties fo:font-weight="bold"/></style:style></office:automatic-styles>'
)


def cell(value: object = None, formula: str = "", style: str = "", more: str = "") -> str:
    """One cell."""
    looks = f' table:style-name="{style}"' if style else ""
    looks += f' table:formula="of:={formula}"' if formula else ""
    looks += more
    if value is None:
        return f"<table:table-cell{looks}/>"
    if isinstance(value, str) and value.startswith("2026-"):
        return f'<table:table-cell{looks} office:value-type="date" office:date-value="{value}"/>'
    if isinstance(value, str):
        return f'<table:table-cell{looks} office:value-type="string"><text:p>{value}</text:p></table:table-cell>'
    return f'<table:table-cell{looks} office:value-type="float" office:value="{value}"/>'


def sheet(name: str, rows: list[list[str]]) -> str:
    """One sheet."""
    lines = "".join(f"<table:table-row>{''.join(row)}</table:table-row>" for row in rows)
    return f'<table:table table:name="{name}">{lines}</table:table>'


EGGS = sheet("Eggs", [
    [cell("Weekday", style="loud"), cell("Eggs", style="loud"), cell("Day")],
    [cell("Monday"), cell(7), cell("2026-08-01", style="day")],
    [cell("Tuesday"), cell(9.25), cell("2026-08-02T06:30:00", style="day")],
    [cell("Together"), cell(16.25, "SUM([.B2:.B3])"), cell("x", "[.A2]&amp;&quot;!&quot;")],
])  # fmt: skip
MERGED = sheet("Merged", [[cell("wide", more=' table:number-columns-spanned="3" table:number-rows-spanned="2"'), "<table:covered-table-cell/>" * 2],
                          ["<table:covered-table-cell/>" * 3], [cell("gap"), '<table:table-cell table:number-columns-repeated="200"/>', cell(1)]])  # fmt: skip
HIDDEN = '<table:table table:name="It\'s &amp; more" table:display="false"><table:table-row table:visibility="collapse"><table:table-cell/></table:table-row></table:table>'
NAMES = '<table:named-expressions><table:named-range table:name="eggs" table:base-cell-address="$Eggs.$A$1" table:cell-range-address="$Eggs.$B$2:.$B$3"/></table:named-expressions>'
FILTER = '<table:database-ranges><table:database-range table:name="laid" table:target-range-address="Eggs.A1:Eggs.C3" table:display-filter-buttons="true"/></table:database-ranges>'


def document(body: str, *, flat: bool) -> str:
    """The XML of a spreadsheet document."""
    root = "office:document" if flat else "office:document-content"
    kind = ' office:mimetype="application/vnd.oasis.opendocument.spreadsheet"' if flat else ""
    return f'<?xml version="1.0" encoding="UTF-8"?><{root} {SPACES} office:version="1.2"{kind}>{STYLES}<office:body><office:spreadsheet>{body}</office:spreadsheet></office:body></{root}>'


def flat(body: str) -> Callable[[Path], Path]:
    """A .fods file."""

    def write(folder: Path) -> Path:
        path = folder / "household.fods"
        path.write_text(document(body, flat=True), encoding="utf-8")
        return path

    return write


def zipped(body: str) -> Callable[[Path], Path]:
    """An .ods file."""

    def write(folder: Path) -> Path:
        path = folder / "household.ods"
        kind = "application/vnd.oasis.opendocument.spreadsheet"
        manifest = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
        entries = f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/><manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/>'
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("mimetype", kind)
            archive.writestr("content.xml", document(body, flat=False))
            archive.writestr(
                "META-INF/manifest.xml",
                f'<manifest:manifest xmlns:manifest="{manifest}" manifest:version="1.2">{entries}</manifest:manifest>',
            )
        return path

    return write


def commas(folder: Path) -> Path:
    path = folder / "household.csv"
    path.write_text('Weekday,Eggs\nMonday,7\n"a, ""b""",=1+1\n', encoding="utf-8")
    return path


def tables_of_ours(folder: Path) -> Path:
    """A workbook that has moved in already, and was then saved by LibreOffice, which keeps table names and drops much else."""
    from tests.workbook.corpus import moving_in

    from stillroom.workbook.ooxml.book import Book
    from stillroom.workbook.starter.start import adopt

    path = moving_in.made("openpyxl our_plan", folder)
    book = Book.open(path)
    adopt(book)
    book.save(folder / "adopted.xlsx")
    return folder / "adopted.xlsx"


SOURCES: dict[str, Callable[[Path], Path]] = {
    "fods plain": flat(EGGS),
    "fods merged and hidden": flat(EGGS + MERGED + HIDDEN),
    "fods names and filters": flat(EGGS + NAMES + FILTER),
    "ods plain": zipped(EGGS),
    "ods many": zipped("".join(EGGS.replace('"Eggs"', f'"Week {number}"') for number in range(9))),
    "csv": commas,
    "ours": tables_of_ours,
}


def convert(path: Path, kind: str, folder: Path, profile: Path) -> Path:
    """Let LibreOffice save a file as another kind; gives the new file."""
    return convert_all([path], kind, folder, profile)[0]


def convert_all(paths: Sequence[Path], kind: str, folder: Path, profile: Path) -> list[Path]:
    """Let LibreOffice save files, no two of one name, as another kind, started once for all; gives the new files."""
    command = [
        "soffice",
        f"-env:UserInstallation=file://{profile}",
        "--headless",
        "--convert-to",
        kind,
        "--outdir",
        str(folder),
        *map(str, paths),
    ]
    subprocess.run(command, check=True, capture_output=True, timeout=120 + 10 * len(paths))
    return [folder / f"{path.stem}.{kind.partition(':')[0]}" for path in paths]
