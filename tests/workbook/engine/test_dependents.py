"""Which saved results are taken out, and which stay."""

from __future__ import annotations

import random
import zipfile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.formulas import references, shifted

DEFINED = (
    '<definedNames><definedName name="make_area">Plan!$D$4:$D$7</definedName><definedName name="chain">make_area</definedName>'
    '<definedName name="far">OFFSET(Plan!$A$1,1,1)</definedName><definedName name="theirs">Looking!$A$1</definedName>'
    '<definedName name="rel">Plan!D4</definedName><definedName name="local" localSheetId="1">Plan!$D$5</definedName></definedNames>'
)


def cleared(tmp_path, hand, formulas, edits=(("Plan", 5, 4, 99),), more=""):
    """Save edits into a workbook with these formulas on sheet Looking from A1 down; gives the numbers of those cleared."""
    rows = "".join(
        f'<row r="{n}"><c r="A{n}"><f>{text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")}</f><v>1</v></c></row>'
        for n, text in enumerate(formulas, 1)
    )
    members = hand.plan_parts(workbook_more=DEFINED)
    members["xl/worksheets/sheet2.xml"] = hand.sheet_xml(rows + more).encode()
    path = hand.pack(tmp_path / "d.xlsx", members)
    book = Book.open(path)
    for edit in edits:
        book.set(*edit)
    return book.save(tmp_path / "out.xlsx").results_cleared


DEPENDS = [
    "Plan!D5", "Plan!$D$5*2", "SUM(Plan!D4:D7)", "SUM(Plan!D:D)", "SUM(Plan!5:5)", "SUM(Plan[Make])", "SUM(plan[make])", "ROWS(Plan)", "SUM(Plan[#All])",
    "SUM(Plan[[#Data],[Make]])", "SUM(Plan[[Preserve]:[Note]])", "Plan[[#Totals],[Make]]", "make_area", "SUM(chain)", "OFFSET(B1,1,1)", 'INDIRECT("B"&1)',
    "SUM(B1:INDEX(B:B,3))", "far", "rel", "local", "SUM(Plan:Looking!D5)", "'Plan'!D5", "SUM((Plan!A1,Plan!D5))", "A1+1", "_xlfn.ANCHORARRAY(B1)", "IF(TRUE,B1,B2):B3",
    "SUM('Plan:Looking'!D5)", "Plan!D5%", 'INDEX(Plan[Make],MATCH("plum*",Plan[Preserve],0))', 'INDEX(Plan[Make],MATCH("jelly",Plan[Preserve],0))',
    'INDEX(Plan[Make],MATCH("plum jam",Plan[Preserve],1))', 'INDEX(Plan[Make],MATCH("plum jam",Plan[Preserve],0))+Plan!D5',
]  # fmt: skip
STAYS = [
    "1+1", '"Plan!D5"', "Plan!D4", "SUM(Plan!E:E)", "SUM(Plan[Note])", "SUM(Plan[[#Headers],[Day]])", "theirs2", "Looking!B9", "[1]Plan!D5", "'[1]Plan'!D5", "Plan2!D5",
    "NOW()", "INDEX(Plan!C4:C7,2)", '"a""Plan[Make]"', "SUM(Plan!6:7)", "Other[Make]", "1E5+D50", "LOG10(5)", "Plan!D50:D60",
    'INDEX(Plan[Make],MATCH("plum jam",Plan[Preserve],0))*2', 'index( plan[make], match("Plum Jam", plan[preserve], 0) )',
]  # fmt: skip


@pytest.mark.parametrize("formula", DEPENDS)
def test_a_result_that_depends_on_a_changed_cell_is_taken_out(tmp_path, hand, formula):
    assert "Looking!A2" in cleared(tmp_path, hand, ["Plan!D5", formula])


@pytest.mark.parametrize("formula", STAYS)
def test_a_result_that_does_not_depend_on_it_stays(tmp_path, hand, formula):
    assert cleared(tmp_path, hand, ["Plan!D5", formula]) == ("Looking!A1",)
    with zipfile.ZipFile(tmp_path / "out.xlsx") as archive:
        assert "</f><v>1</v></c></row></sheetData>" in archive.read("xl/worksheets/sheet2.xml").decode()


@pytest.mark.parametrize("formula", ["Plan[[#This Row],[Make]]*2", "Plan[@Make]*2", "Plan[[#this row],[Day]:[Note]]"])
def test_this_row_is_the_row_of_the_formula_and_not_the_whole_column(tmp_path, hand, formula):
    """Row 5 of the table is changed: of the same formula in rows 1 to 8, only that of row 5 looks at it."""
    assert cleared(tmp_path, hand, [formula] * 8) == ("Looking!A5",)


LOOKED_UP = 'INDEX(Plan[Make],MATCH("plum jam",Plan[Preserve],0))'


@pytest.mark.parametrize("cell", [(4, 4), (4, 3), (7, 3)], ids=["the value", "its name", "another name"])
def test_a_value_looked_up_by_its_name_depends_on_its_cell_and_on_all_the_names(tmp_path, hand, cell):
    """All four rows have this name, and the first is the one that is found."""
    assert "Looking!A1" in cleared(tmp_path, hand, [LOOKED_UP], [("Plan", *cell, 99 if cell == (4, 4) else "jelly")])


def test_chains_are_followed_whichever_way_they_run(tmp_path, hand):
    length = 300
    formulas = [f"A{n + 1}+1" for n in range(1, length)] + ["Plan!D5"]
    assert len(cleared(tmp_path, hand, formulas)) == length


def test_shared_formulas_arrays_spills_and_data_tables(tmp_path, hand):
    more = (
        '<row r="10"><c r="A10"><f t="shared" ref="A10:A12" si="0">Plan!D4</f><v>4</v></c><c r="C10"><f t="array" ref="C10:C11">Plan!D5:D6</f><v>5</v></c></row>'
        '<row r="11"><c r="A11"><f t="shared" si="0"/><v>5</v></c><c r="C11"><v>6</v></c></row><row r="12"><c r="A12"><f t="shared" si="0"/><v>6</v></c></row>'
        '<row r="20"><c r="A20"><f>Plan!D5</f><v>1</v></c><c r="B20"><v>1</v></c></row><row r="21"><c r="A21"><v>1</v></c>'
        '<c r="B21"><f t="dataTable" ref="B21:B22" dt2D="0" dtr="0" r1="F1"/><v>1</v></c></row><row r="22"><c r="B22"><v>1</v></c></row>'
    )
    found = cleared(tmp_path, hand, ["1"], more=more)
    assert found == ("Looking!C10", "Looking!A11", "Looking!C11", "Looking!A20", "Looking!B21", "Looking!B22")


def test_a_formula_that_had_no_result_is_not_listed_and_one_that_is_overwritten_neither(tmp_path, hand):
    more = '<row r="9"><c r="A9"><f>Plan!D5</f></c><c r="B9"><f>Plan!D5</f><v></v></c></row>'
    edits = (("Plan", 5, 4, 99), ("Looking", 1, 1, 5))
    assert cleared(tmp_path, hand, ["Plan!D5"], edits, more) == ()


def test_text_and_error_results_lose_their_type_too(tmp_path, hand):
    more = '<row r="9"><c r="A9" t="str"><f>Plan!C5</f><v>x</v></c><c r="B9" s="1" t="e"><f>Plan!C5</f><v>#N/A</v></c></row>'
    cleared(tmp_path, hand, ["1"], (("Plan", 5, 3, "y"),), more)
    with zipfile.ZipFile(tmp_path / "out.xlsx") as archive:
        text = archive.read("xl/worksheets/sheet2.xml").decode()
    assert '<c r="A9"><f>Plan!C5</f></c><c r="B9" s="1"><f>Plan!C5</f></c>' in text


def test_a_longer_table_makes_what_looks_at_it_stale(tmp_path, hand):
    members = hand.plan_parts()
    rows = '<row r="1"><c r="A1"><f>ROWS(Plan[Note])</f><v>4</v></c><c r="B1"><f>SUM(Plan!D4:D7)</f><v>22</v></c></row>'
    members["xl/worksheets/sheet2.xml"] = hand.sheet_xml(rows).encode()
    book = Book.open(hand.pack(tmp_path / "d.xlsx", members))
    table = book.table("Plan")
    book.fill_table(table, {"Make": [4, 5, 6, 7, 8]}, 5)
    assert book.save(tmp_path / "out.xlsx").results_cleared == ("Looking!A1",)


def test_formulas_in_cdata_and_without_addresses_are_seen(tmp_path, hand):
    more = '<row r="9"><!-- x --><c><v>1</v></c><c><f><![CDATA[Plan!D5<3]]></f><v>0</v></c></row>'
    assert cleared(tmp_path, hand, ["1"], more=more) == ("Looking!B9",)


def test_a_sheet_that_nothing_of_ours_reaches_is_not_gone_through(tmp_path, hand, monkeypatch):
    from stillroom.workbook.ooxml import recalculation

    loaded = []
    load = recalculation.Dependents._load
    monkeypatch.setattr(recalculation.Dependents, "_load", lambda self, part: loaded.append(part) or load(self, part))
    cleared(tmp_path, hand, ["B1+1", "SUM(Plan!A:A)", "Plan[Note]", "theirs"])
    assert "xl/worksheets/sheet2.xml" not in loaded
    cleared(tmp_path, hand, ["Plan!D5"])
    assert "xl/worksheets/sheet2.xml" in loaded


def test_what_a_formula_looks_at_is_read_from_its_text():
    found = references("SUM('It''s'!B2:$C$3,Plan[[#This Row],[a'#b]],name)+\"x!A1\"&LOG10(1E5)")
    assert [(area.sheet, str(area.block)) for area in found.areas] == [("It's", "B2:C3")]
    assert (found.tables[0].columns, found.tables[0].this_row) == (("a#b",), True)
    assert found.names == ((None, "name"),)
    assert not found.dynamic


def test_a_formula_filled_down_moves_only_its_relative_rows():
    assert shifted('A1+$A$1+A$1+$A1+"A1"+T[A1]+Sheet1!B2', 2) == 'A3+$A$1+A$1+$A3+"A1"+T[A1]+Sheet1!B4'


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 10**6))
def test_the_stale_cells_are_those_that_a_plain_search_finds(tmp_path_factory, hand, seed):
    """Random formulas over three sheets; a search that asks of each formula in turn, until nothing is added, agrees."""
    rnd = random.Random(seed)
    sheets = ["S1", "S2", "S3"]
    formulas = {}
    for sheet in sheets:
        for _ in range(12):
            cell = (rnd.randrange(1, 9), rnd.randrange(1, 5))
            areas = []
            for _ in range(rnd.randrange(1, 3)):
                row, column = rnd.randrange(1, 9), rnd.randrange(1, 5)
                areas.append(
                    (rnd.choice(sheets), row, column, row + rnd.choice((0, 0, 6)), column + rnd.choice((0, 0, 3)))
                )
            formulas[sheet, *cell] = areas
    changed = (rnd.choice(sheets), 4, 2)
    stale, before = set(), -1
    formulas.pop(changed, None)
    while len(stale) != before:
        before = len(stale)
        dirty = {changed, *stale}
        for cell, areas in formulas.items():
            if any(
                s == area[0] and area[1] <= r <= area[3] and area[2] <= c <= area[4]
                for area in areas
                for s, r, c in dirty
            ):
                stale.add(cell)
    parts = {}
    for sheet in sheets:
        rows = ""
        for row in range(1, 9):
            cells = ""
            for column in range(1, 5):
                if (sheet, row, column) in formulas:
                    text = "+".join(
                        f"{s}!{'ABCDEFGH'[c - 1]}{r}:{'ABCDEFGH'[c2 - 1]}{r2}"
                        for s, r, c, r2, c2 in formulas[sheet, row, column]
                    )
                    cells += f'<c r="{"ABCD"[column - 1]}{row}"><f>SUM({text})</f><v>0</v></c>'
            rows += f'<row r="{row}">{cells}</row>'
        parts[sheet] = hand.sheet_xml(rows)
    folder = tmp_path_factory.mktemp("stale")
    book = Book.open(hand.pack(folder / "s.xlsx", hand.parts(parts)))
    book.set(*changed, 5)
    found = set(book.save(folder / "out.xlsx").results_cleared)
    assert found == {f"{s}!{'ABCD'[c - 1]}{r}" for s, r, c in stale}


def test_results_that_are_only_feared_to_be_stale_are_told_apart(tmp_path, hand):
    cleared(tmp_path, hand, ["Plan!D5", "OFFSET(Z1,1,1)", "A2+1", "1"])
    book = Book.open(tmp_path / "d.xlsx")
    book.set("Plan", 5, 4, 98)
    receipt = book.save(tmp_path / "out.xlsx")
    assert receipt.results_cleared == ("Looking!A1", "Looking!A2", "Looking!A3")
    assert receipt.cleared_to_be_safe == ("Looking!A2",)


def test_ten_thousand_stale_results_take_seconds_and_not_minutes(tmp_path, hand):
    import time

    start = time.process_time()
    found = cleared(tmp_path, hand, [f"Plan!D5*{n}+SUM(Plan!D$4:D{4 + n})" for n in range(10_000)])
    assert len(found) == 10_000
    assert time.process_time() - start < 10
