"""Finding a table that has lost its definition, by a row of cells that holds all its headings."""

from __future__ import annotations

import re
from collections.abc import Sequence

from stillroom.workbook.markup import holds
from stillroom.workbook.reading import Reader
from stillroom.workbook.rows import SheetText
from stillroom.workbook.strings import Strings, plain
from stillroom.workbook.values import Cell, Rectangle


def heading_rows(
    sheet: SheetText, reader: Reader, wanted: Sequence[str], numbers: dict[str, set[int]]
) -> list[tuple[int, int, tuple[Cell, ...]]]:
    """
    List the rows of a sheet in which all the wanted headings stand: row, first column, run of cells.

    ``numbers`` says which shared strings read as each heading. A large sheet without them is only looked through by
    its bytes.
    """
    keys = [plain(heading) for heading in wanted]
    places = _possible_places(sheet, keys, numbers)
    found = []
    for row, cells in reader.rows_at(sheet, places).items():
        texts = {
            column: plain(cell.value)
            for column, cell in cells.items()
            if isinstance(cell.value, str) and cell.value.strip()
        }
        if not set(keys) <= set(texts.values()):
            continue
        for first, last in _runs(sorted(texts)):
            if set(keys) <= {texts[column] for column in range(first, last + 1)}:
                found.append((row, first, tuple(cells[column] for column in range(first, last + 1))))
    return found


def heading_numbers(strings: Strings, wanted: Sequence[str]) -> dict[str, set[int]]:
    """Give, for each heading made plain, the shared strings that read so."""
    return strings.numbers_of({plain(heading) for heading in wanted})


def _possible_places(sheet: SheetText, keys: list[str], numbers: dict[str, set[int]]) -> list[int]:
    """List the places of the rows that hold the rarest heading, as a shared string or written in the cell."""
    text = sheet.data
    lowered = text.lower() if holds(text, b"inlineStr") or holds(text, b"str") else b""
    words = {
        key: max((word for word in key.split() if word.isascii() and word.isalnum()), key=len, default="")
        for key in keys
    }
    counts = {key: lowered.count(words[key].encode()) if words[key] else len(lowered) for key in keys}
    if any(not counts[key] and not numbers.get(key) for key in keys):
        return []
    rarest = min(keys, key=lambda key: (bool(numbers.get(key)), counts[key]))
    area = sheet.sheet_data
    places = set()
    if numbers.get(rarest):
        some = b"|".join(str(number).encode() for number in sorted(numbers[rarest]))
        pattern = re.compile(rb">\s*(?:" + some + rb")\s*</" + re.escape(sheet.prefix) + rb"v\s*>")
        places |= {
            sheet.place_of_byte(match.start()) for match in pattern.finditer(text, area.tag_end, area.content_end)
        }
    if counts[rarest]:
        pattern = re.compile(re.escape(words[rarest].encode()) or rb"row")
        found = pattern.finditer(lowered, area.tag_end, area.content_end)
        places |= {sheet.place_of_byte(match.start()) for match in found}
    return sorted(place for place in places if place >= 0)


def _runs(columns: list[int]) -> list[tuple[int, int]]:
    """
    Gather neighbouring columns.

    >>> _runs([2, 3, 4, 7])
    [(2, 4), (7, 7)]
    """
    runs: list[tuple[int, int]] = []
    for column in columns:
        if runs and runs[-1][1] == column - 1:
            runs[-1] = (runs[-1][0], column)
        else:
            runs.append((column, column))
    return runs


def body_below(sheet: SheetText, reader: Reader, row: int, first: int, last: int, stops: Sequence[Rectangle]) -> int:
    """Give the last row of the block under a heading row: down to the first wholly blank row or the next table."""
    step = 64
    end = row
    while True:
        rows = reader.rows(sheet, end + 1, end + step)
        for number in range(end + 1, end + step + 1):
            cells = rows.get(number, {})
            filled = any(
                cells[column].kind != "blank" or cells[column].formula is not None
                for column in range(first, last + 1)
                if column in cells
            )
            if not filled or any(block.meets(Rectangle(number, first, number, last)) for block in stops):
                return number - 1
        end += step
        step = min(step * 4, 4096)
