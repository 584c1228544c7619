"""Household workbooks made with XlsxWriter, which writes much that openpyxl does not keep."""

from __future__ import annotations

import datetime
import struct
import zlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import xlsxwriter

Book = Any
Sheet = Any


def picture() -> BytesIO:
    """A small picture."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    pixels = b"".join(b"\0" + bytes([row * 30, 120, 60] * 8) for row in range(8))
    head = struct.pack(">IIBBBBB", 8, 8, 8, 2, 0, 0, 0)
    return BytesIO(
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(pixels)) + chunk(b"IEND", b"")
    )


def rows(sheet: Sheet) -> None:
    """A few rows with a saved sum."""
    sheet.write_row("A1", ["Weekday", "Eggs", "Paid"])
    for row, (day, eggs) in enumerate((("Mon", 7), ("Tue", 9), ("Wed", 4)), 1):
        sheet.write_row(row, 0, [day, eggs, eggs / 3])
    sheet.write_formula("B6", "=SUM(B2:B4)", None, 20)


def plain(book: Book) -> None:
    rows(book.add_worksheet("Eggs"))


def charts(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    rows(sheet)
    for place, kind in enumerate(("column", "line", "pie", "doughnut", "radar", "area", "stock")):
        chart = book.add_chart({"type": kind})
        chart.add_series({"categories": "=Eggs!$A$2:$A$4", "values": "=Eggs!$B$2:$B$4", "name": "=Eggs!$B$1"})
        chart.set_title({"name": kind})
        chart.set_style(11 + place)
        sheet.insert_chart(5 + 15 * place, 5, chart)
    two = book.add_chart({"type": "column"})
    two.add_series({"values": "=Eggs!$B$2:$B$4", "trendline": {"type": "linear"}, "data_labels": {"value": True}})
    line = book.add_chart({"type": "line"})
    line.add_series({"values": "=Eggs!$C$2:$C$4", "y2_axis": True, "y_error_bars": {"type": "standard_error"}})
    two.combine(line)
    wall = book.add_chartsheet("Wall")
    wall.set_chart(two)


def sparklines(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    rows(sheet)
    sheet.add_sparkline("E2", {"range": "Eggs!B2:B4", "markers": True})
    sheet.add_sparkline("E3", {"range": "Eggs!C2:C4", "type": "column", "style": 12})


def rich_strings(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    bold, red = book.add_format({"bold": True}), book.add_format({"font_color": "red", "font_script": 1})
    sheet.write_rich_string("A1", "two ", bold, "brown", " and ", red, "one white", " hens")
    sheet.write_string("A2", " spaces \n\t_x0041_ ")


def dynamic_arrays(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    rows(sheet)
    sheet.write_dynamic_array_formula("E1:E3", "=_xlfn._xlws.SORT(B2:B4)", None, 4)
    sheet.write_formula("G1", "=_xlfn.LAMBDA(_xlpm.a,_xlpm.a*2)(B2)", None, 14)
    sheet.write_array_formula("H1:H3", "{=B2:B4*2}", None, 14)


def shapes(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    sheet.insert_textbox("B2", "the hens\nlay well", {"fill": {"color": "#FFEEAA"}, "textlink": "=Eggs!$A$1"})
    sheet.insert_image("B12", "hen.png", {"image_data": picture(), "url": "https://example.org", "description": "hen"})
    sheet.embed_image("D12", "hen.png", {"image_data": picture()})
    sheet.set_background(picture())
    sheet.set_header("&C&G", {"image_center": "hen.png", "image_data_center": picture()})


def buttons(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    sheet.insert_button("B2", {"caption": "count", "macro": "count"})
    sheet.write_comment("A1", "neighbour: brown", {"visible": True, "x_scale": 2})
    sheet.insert_checkbox("C5", True)


def newer_rules(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    rows(sheet)
    sheet.conditional_format("B2:B4", {"type": "data_bar", "data_bar_2010": True, "bar_negative_color": "red"})
    sheet.conditional_format("C2:C4", {"type": "3_color_scale"})
    sheet.conditional_format("B2:C4", {"type": "icon_set", "icon_style": "5_ratings"})
    sheet.conditional_format(
        "A2:A4", {"type": "text", "criteria": "containing", "value": "o", "format": book.add_format({"bold": 1})}
    )
    sheet.data_validation(
        "E2:E9", {"validate": "list", "source": "=Eggs!$A$2:$A$4", "input_title": "day", "input_message": "which"}
    )


def macros(book: Book) -> None:
    rows(book.add_worksheet("Eggs"))
    book.add_vba_project(
        BytesIO(b"\xd0\xcf\x11\xe0 not a project that runs, but bytes to be kept" * 20), is_stream=True
    )
    book.set_vba_name("ThisWorkbook")


def filters_and_outlines(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    rows(sheet)
    sheet.autofilter("A1:C4")
    sheet.filter_column("B", "x > 5")
    sheet.set_row(3, 30, None, {"hidden": True, "level": 1})
    sheet.set_column("D:F", 22, None, {"level": 2, "collapsed": True})
    sheet.outline_settings(False, False, True, True)
    sheet.split_panes(15, 8.43)
    sheet.set_selection("B2:C3")


def tables(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    data = [["Mon", 7, 2], ["Tue", 9, 3]]
    columns = [
        {"header": "Day"},
        {"header": "Eggs", "total_function": "sum"},
        {"header": "Twice", "formula": "=[@Eggs]*2", "total_string": "all"},
    ]
    sheet.add_table(
        "B3:D6", {"name": "Laid", "data": data, "columns": columns, "total_row": True, "style": "Table Style Medium 9"}
    )
    sheet.write_formula("F1", "=SUM(Laid[Eggs])", None, 16)


def properties(book: Book) -> None:
    rows(book.add_worksheet("Eggs"))
    book.set_properties({"title": "Eggs & hens", "author": "neighbour", "created": datetime.datetime(2020, 1, 1)})
    book.set_custom_property("flock", 12)
    book.set_custom_property("since", datetime.datetime(2019, 5, 1))
    book.set_calc_mode("manual")
    book.define_name("eggs", "=Eggs!$B$2:$B$4")
    book.define_name("Eggs!here", "=Eggs!$B$2")
    book.read_only_recommended()


def marks(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    sheet.write_string("A1", "007")
    sheet.ignore_errors({"number_stored_as_text": "A1:A9", "eval_error": "B1"})
    sheet.protect("hens", {"insert_rows": True})
    sheet.unprotect_range("C1:C9", "free")
    sheet.set_h_pagebreaks([20, 40])
    sheet.set_tab_color("#FF9900")
    sheet.hide_zero()
    sheet.right_to_left()
    other = book.add_worksheet("Hidden")
    other.very_hidden()


def links(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    sheet.write_url("A1", "https://example.org/a?b=1&c=2#d", tip="there", string="hens")
    sheet.write_url("A2", "internal:Eggs!B9")
    sheet.write_url("A3", "external:other.xlsx#Sheet1!A1")
    sheet.write_formula("B1", "='[other.xlsx]Sheet1'!A1", None, 5)


def small_memory(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    for row in range(200):
        sheet.write_row(row, 0, [row, f"text {row}", row / 3])


def since_1904(book: Book) -> None:
    sheet = book.add_worksheet("Eggs")
    sheet.write_datetime("A1", datetime.datetime(2026, 8, 1), book.add_format({"num_format": "d mmm yyyy"}))


LONG_TEXTS = (
    "x" * 32_767,
    "hen and egg, ä ö ü, 🐔 " * 1200,
    " spaces at its ends ",
    "two\nlines\tand a tab",
    "_x0041_ as it stands",
    "=no formula",
    "a<b>&\"'",
    "\u200b\ufeff",
)


def years_of_work(book: Book) -> None:
    """Thirty sheets, forty charts, a table with a totals row on each sheet, the longest texts a cell can hold."""
    bold = book.add_format({"bold": True})
    for number in range(30):
        sheet = book.add_worksheet(f"Hens' {number}é" if number % 3 == 0 else f"Diary {number}")
        quoted = "'" + sheet.get_name().replace("'", "''") + "'"
        for row in range(40):
            sheet.write_row(row, 0, [f"bed {row % 7}", row * number, row / 7])
            sheet.write_string(row, 3, LONG_TEXTS[(row + number) % len(LONG_TEXTS)])
            sheet.write_formula(row, 4, f"=B{row + 1}*2+SUM(C$1:C{row + 1})", None, 1.5)
        sheet.write_rich_string(41, 0, "a ", bold, "bold", " word")
        columns = [
            {"header": "Bed", "total_string": "All"},
            {"header": "kg", "total_function": "sum"},
            {"header": "Twice", "formula": "=[@kg]*2", "total_function": "sum"},
        ]
        body = [[f"bed {row}", row] for row in range(5)]
        sheet.add_table(44, 0, 50, 2, {"name": f"Kept_{number}", "total_row": True, "columns": columns, "data": body})
        sheet.conditional_format("B1:B40", {"type": "data_bar"})
        sheet.write_comment("A3", "laid late")
        for place in range(1 if number % 3 else 2):
            chart = book.add_chart({"type": ("column", "line", "pie", "scatter")[number % 4]})
            chart.add_series({"categories": f"={quoted}!$A$1:$A$40", "values": f"={quoted}!$B$1:$B$40"})
            sheet.insert_chart(2 + 16 * place, 8, chart)


MAKERS: tuple[tuple[Callable[[Book], None], dict[str, object]], ...] = (
    (plain, {}), (charts, {}), (sparklines, {}), (rich_strings, {}), (dynamic_arrays, {}), (shapes, {}), (buttons, {}), (newer_rules, {}),
    (macros, {}), (filters_and_outlines, {}), (tables, {}), (properties, {}), (marks, {}), (links, {}),
    (small_memory, {"constant_memory": True}), (since_1904, {"date_1904": True}), (plain, {"use_zip64": True}), (years_of_work, {}),
)  # fmt: skip


def cases() -> dict[str, Callable[[Path], None]]:
    """Every workbook of this kind by name."""

    def saved(make: Callable[[Book], None], options: dict[str, object]) -> Callable[[Path], None]:
        def save(path: Path) -> None:
            book = xlsxwriter.Workbook(
                str(path), {name: value for name, value in options.items() if name != "use_zip64"}
            )
            make(book)
            if "use_zip64" in options:
                book.use_zip64()
            book.close()

        return save

    return {" ".join(["xlsxwriter", make.__name__, *given]): saved(make, given) for make, given in MAKERS}
