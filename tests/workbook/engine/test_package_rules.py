"""Rules of the package that odd but sound workbooks bring up: content types, free names, lists in two versions."""

from __future__ import annotations

import re

import pytest
from tests.workbook.engine.test_new_sheets import members, sheet_of

from stillroom.errors import WorkbookRefused
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.named_styles import Look
from stillroom.workbook.ooxml.new_sheet import NewCell, NewSheet
from stillroom.workbook.ooxml.package import Package
from stillroom.workbook.ooxml.styles import Styles

COMPATIBILITY = "http://schemas.openxmlformats.org/markup-compatibility/2006"
NEWER = "http://schemas.microsoft.com/office/spreadsheetml/2009/9/main"
RELS = "application/vnd.openxmlformats-package.relationships+xml"
TYPES = "[Content_Types].xml"


def with_sheet(tmp_path, hand, content):
    """Give the members of a workbook after a sheet of ours was added."""
    book = Book.open(hand.pack(tmp_path / "a.xlsx", content))
    book.add_sheet("One", sheet_of("A"))
    book.save(tmp_path / "out.xlsx")
    return members(tmp_path / "out.xlsx")


def declared(content, name):
    """Give the content types that a part is declared with, by name and by ending."""
    ending = name.rpartition(".")[2]
    text = content[TYPES].decode()
    by_name = re.findall(f'<Override PartName="/{re.escape(name)}" ContentType="([^"]*)"', text)
    return by_name, re.findall(f'<Default Extension="{ending}" ContentType="([^"]*)"', text)


def test_a_new_part_of_relationships_gets_a_content_type_where_none_is_given_for_its_ending(tmp_path, hand):
    content = hand.plan_parts()
    text = content[TYPES].decode()
    text = re.sub('<Default Extension="rels"[^>]*>', "", text)
    lines = "".join(f'<Override PartName="/{name}" ContentType="{RELS}"/>' for name in content if name.endswith("rels"))
    content[TYPES] = text.replace("</Types>", f"{lines}</Types>").encode()
    after = with_sheet(tmp_path, hand, content)
    assert declared(after, "xl/worksheets/_rels/sheet3.xml.rels") == ([RELS], [])
    usual = with_sheet(tmp_path, hand, hand.plan_parts())
    assert declared(usual, "xl/worksheets/_rels/sheet3.xml.rels") == ([], [RELS])


@pytest.mark.parametrize("left_over", ["xl/worksheets/sheet3.xml", "xl/tables/Table2.xml", "xl/styles.xml"])
def test_no_part_gets_a_name_that_has_a_content_type_already(tmp_path, hand, left_over):
    content = hand.plan_parts(styles=None)
    line = f'<Override PartName="/{left_over}" ContentType="application/xml"/></Types>'
    content[TYPES] = content[TYPES].replace(b"</Types>", line.encode())
    after = with_sheet(tmp_path, hand, content)
    names = [name.casefold() for name in re.findall('<Override PartName="/([^"]*)"', after[TYPES].decode())]
    assert len(names) == len(set(names))
    assert left_over.casefold() not in {name.casefold() for name in after}


def in_two_versions(styles, item, known, *, choices=1, others=1):
    """Put versions of an item in front of the list's first one: for programs that know a namespace, and for others."""
    found = re.search(
        f"(<{item}s[^>]*>|<cellXfs[^>]*>)(<{item}[ >])",
        styles[styles.index(f"<{item}s" if item != "xf" else "<cellXfs") :],
    )
    one = {
        "font": '<font><sz val="20"/></font>',
        "xf": '<xf numFmtId="14" fontId="0" fillId="0" borderId="0" xfId="0"/>',
    }
    inside = (
        f'<mc:Choice Requires="new">{one[item] * choices}</mc:Choice><mc:Fallback>{one[item] * others}</mc:Fallback>'
    )
    more = f'<mc:AlternateContent xmlns:mc="{COMPATIBILITY}" xmlns:new="{known}">{inside}</mc:AlternateContent>'
    return styles.replace(found[0], found[1] + more + found[2])


@pytest.mark.parametrize(("known", "more"), [(NEWER, 1), ("urn:unknown", 2)])
def test_items_in_two_versions_are_counted_once(tmp_path, hand, known, more):
    styles = in_two_versions(in_two_versions(hand.styles, "font", known, others=2), "xf", known, others=2)
    book = Book.open(hand.pack(tmp_path / "a.xlsx", hand.plan_parts(styles=styles)))
    had = Styles(Package((tmp_path / "a.xlsx").read_bytes()))
    shows = [had.shows(number) for number in range(5 + more)]
    assert shows == [*["date"] * more, "", "date", "time", "moment", "length"]
    assert had.letters(more).points == 20
    book.add_sheet("New", NewSheet({(1, 1): NewCell("a", Look("Ours", bold=True))}))
    book.save(tmp_path / "out.xlsx")
    after = members(tmp_path / "out.xlsx")
    [style] = re.findall('<c r="A1"[^>]* s="([0-9]+)"', after["xl/worksheets/sheet3.xml"].decode())
    assert int(style) == 5 + more
    text = after["xl/styles.xml"].decode()
    assert f'<cellXfs count="{6 + more}">' in text
    assert f'<fonts count="{2 + more}">' in text
    own = text[: text.index("</cellXfs>")].rpartition("<xf ")[2]
    assert f'fontId="{1 + more}"' in own


def test_a_styles_part_without_anything_in_it_is_named_as_empty(tmp_path, hand):
    content = hand.plan_parts(styles=f'{hand.head}<styleSheet xmlns="{hand.main}"/>')
    book = Book.open(hand.pack(tmp_path / "a.xlsx", content))
    with pytest.raises(WorkbookRefused, match=r"part empty: xl/styles\.xml"):
        book.add_sheet("New", NewSheet({(1, 1): NewCell("a", Look("Ours", bold=True))}))
