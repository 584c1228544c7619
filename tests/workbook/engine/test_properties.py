"""Random values, edits and tables: what was written is read back, and nothing else is changed."""

from __future__ import annotations

import datetime
import math
import zipfile

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stillroom.errors import WorkbookRefused
from stillroom.reports.problems import sentences
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.values import check_text, escape_text, number_text, unescape_text

common = settings(
    max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\ufffe\uffff"), max_size=30).map(
    lambda text: "".join(sign for sign in text if sign >= " " or sign in "\t\n\r")
)
dates = st.dates(datetime.date(1904, 1, 2), datetime.date(9999, 12, 31))
moments = st.datetimes(datetime.datetime(1904, 1, 2), datetime.datetime(9999, 12, 30)).map(
    lambda one: one.replace(microsecond=one.microsecond // 1000 * 1000)
)
times = st.times().map(lambda one: one.replace(microsecond=one.microsecond // 1000 * 1000))
numbers = st.one_of(st.integers(-(10**15) + 1, 10**15 - 1), st.floats(allow_nan=False, allow_infinity=False))
values = st.one_of(st.none(), st.booleans(), numbers, texts, dates, moments, times)
edits = st.dictionaries(st.tuples(st.integers(1, 12), st.integers(1, 8)), values, max_size=25)


def expected(value):
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        return value.date()
    return value


def same(read, value):
    return (
        read == expected(value)
        and isinstance(read, bool) == isinstance(value, bool)
        and (value is None) == (read is None)
    )


def assert_named(problems):
    assert problems
    assert all(sentences(problem)[0] and sentences(problem)[1] for problem in problems)


def members(path):
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@common
@given(edits, st.booleans(), st.booleans())
def test_what_is_written_is_read_back_and_other_cells_stay(tmp_path_factory, hand, wanted, with_strings, date1904):
    folder = tmp_path_factory.mktemp("edits")
    more = {"workbook_properties": ' date1904="1"' if date1904 else ""}
    if with_strings:
        parts = hand.plan_parts(**more)
    else:
        rows = "".join(
            f'<row r="{r}"><c r="B{r}" s="{r % 5}"><v>{r}</v></c><c r="D{r}" t="inlineStr"><is><t>x</t></is></c></row>'
            for r in (2, 3, 7)
        )
        parts = hand.parts({"Plan": hand.sheet_xml(rows)}, **more)
    path = hand.pack(folder / "a.xlsx", parts)
    before = Book.open(path)
    table = before.table("Plan")
    wanted = {cell: value for cell, value in wanted.items() if not (table and cell[0] == table.header_row)}
    for cell, value in wanted.items():
        before.set("Plan", *cell, value)
    before.save(folder / "b.xlsx")
    after = Book.open(folder / "b.xlsx")
    for row in range(1, 14):
        for column in range(1, 10):
            read = after.cell("Plan", row, column)
            if (row, column) in wanted:
                assert same(read.value, wanted[row, column]), (row, column)
            else:
                assert read == before.cell("Plan", row, column)
    again = Book.open(folder / "b.xlsx")
    for cell, value in wanted.items():
        again.set("Plan", *cell, value)
    assert not again.changed()


@common
@given(st.lists(st.tuples(values, values), max_size=12), st.lists(st.tuples(values, values), max_size=12))
def test_a_table_filled_twice_holds_the_second_filling(plan_file, tmp_path_factory, first, second):
    folder = tmp_path_factory.mktemp("fill")
    path = plan_file
    for number, rows in enumerate((first, second)):
        book = Book.open(path)
        book.fill_table(
            book.table("Plan"), {"Make": [one for one, _ in rows], "Note": [other for _, other in rows]}, len(rows)
        )
        path = folder / f"{number}.xlsx"
        book.save(path)
    table = Book.open(path).table("Plan")
    read = [(row[2].value, row[3].value) for row in table.rows]
    assert len(read) == max(4, len(first), len(second))
    for place, (one, other) in enumerate(read):
        want = second[place] if place < len(second) else (None, None)
        assert same(one, want[0])
        assert same(other, want[1])
    assert members(path)["xl/styles.xml"][:200] == members(plan_file)["xl/styles.xml"][:200]


@common
@given(st.floats())
def test_a_number_is_written_with_digits_that_read_back_the_same(number):
    try:
        text = number_text(number)
    except ValueError:
        assert number in (float("inf"), float("-inf")) or math.isnan(number)
    else:
        assert float(text) == number
        assert len(text) <= len(repr(number))


@common
@given(texts)
def test_escaped_text_reads_back_the_same(text):
    check_text(text)
    import html

    assert unescape_text(html.unescape(escape_text(text))) == text


@common
@given(st.binary(max_size=300), st.integers(0, 10**6), st.integers(0, 255))
def test_a_damaged_file_is_refused_or_read_and_never_anything_else(hand, tmp_path_factory, junk, place, byte):
    folder = tmp_path_factory.mktemp("junk")
    path = hand.pack(folder / "a.xlsx", hand.plan_parts(), stored=list(hand.plan_parts()))
    data = bytearray(path.read_bytes())
    data[place % len(data)] = byte
    for content in (bytes(data), junk, b"PK\x03\x04" + junk, bytes(data[: place % len(data)]), bytes(data) + junk):
        path.write_bytes(content)
        try:
            book = Book.open(path)
            book.table("Plan")
            book.tables_by_headings(["Day", "Make"], "Plan")
            book.set("Plan", 5, 4, 1)
            book.save(folder / "b.xlsx")
        except WorkbookRefused as refusal:
            said = refusal.problems
            assert_named(said)
