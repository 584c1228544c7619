"""
What another program's reader sees in two workbooks: `python read_values.py calamine BEFORE AFTER OWNED.json`.

Runs on its own with a limit of memory, for a sparse sheet can make a reader reserve as much as its dimension says.
The last line it prints says as JSON how many cells were compared, and what differs in cells that are not owned; or that
their own workbook, before anything was written, was already too much for the reader.
"""

from __future__ import annotations

import json
import resource
import sys
import warnings
from pathlib import Path

MEMORY = 3 * 2**30


def main() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    warnings.simplefilter("ignore")
    reader = {"calamine": by_calamine, "openpyxl": by_openpyxl}[sys.argv[1]]
    before, after, owned_path = sys.argv[2:5]
    owned = {name: {tuple(cell) for cell in cells} for name, cells in json.loads(Path(owned_path).read_text()).items()}
    print(json.dumps({"compared": 0, "different": [], "unread": "the reader ran out of memory"}), flush=True)
    try:
        old = reader(before)
    except Exception as error:
        print(json.dumps({"compared": 0, "different": [], "unread": f"{type(error).__name__}: {error}"[:200]}))
        return
    print(
        json.dumps({"compared": 0, "different": ["the reader ran out of memory, which it did not before"]}), flush=True
    )
    new = reader(after)
    different = [f"{name} is gone" for name in old if name not in new]
    compared = 0
    for name in old.keys() & new.keys():
        for cell in old[name].keys() | new[name].keys():
            if cell[:2] in owned.get(name, ()):
                continue
            compared += 1
            if old[name].get(cell) != new[name].get(cell):
                different.append(f"{name} {cell}: {old[name].get(cell)!r} is now {new[name].get(cell)!r}")
    print(json.dumps({"compared": compared, "different": different[:20]}))


def by_calamine(path: str) -> dict[str, dict[tuple[int, int], str]]:
    from python_calamine import CalamineWorkbook, SheetTypeEnum

    book = CalamineWorkbook.from_path(path)
    found = {}
    for about in book.sheets_metadata:
        if about.typ != SheetTypeEnum.WorkSheet:
            continue
        sheet = book.get_sheet_by_name(about.name)
        first_row, first_column = sheet.start or (0, 0)
        rows = sheet.to_python(skip_empty_area=True)
        found[about.name] = {
            (first_row + row + 1, first_column + column + 1): repr(value)
            for row, values in enumerate(rows)
            for column, value in enumerate(values)
            if value != ""
        }
    return found


def by_openpyxl(path: str) -> dict[str, dict[tuple[int, int, str], str]]:
    from openpyxl import load_workbook

    found: dict[str, dict[tuple[int, int, str], str]] = {}
    for saved in (False, True):
        book = load_workbook(path, data_only=saved, rich_text=True)
        for sheet in book.worksheets:
            cells = found.setdefault(sheet.title, {})
            for (row, column), cell in sheet._cells.items():
                if getattr(cell, "value", None) is not None:
                    value = cell.value
                    shown = vars(value) if type(value).__name__ in ("ArrayFormula", "DataTableFormula") else value
                    cells[row, column, "saved" if saved else "typed"] = f"{shown!r} {cell.number_format}"
    return found


if __name__ == "__main__":
    main()
