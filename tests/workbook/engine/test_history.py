"""The ids that a workbook carries, and what becomes of copies that are of another branch."""

from __future__ import annotations

import datetime
import io
import os
import shutil
import zipfile
from xml.etree import ElementTree

import pytest
from openpyxl import load_workbook
from tests.workbook.engine.test_new_sheets import members
from tests.workbook.engine.test_verify import repacked

from stillroom.errors import CouldNotWrite
from stillroom.workbook.ooxml import save
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.files import copies, put
from stillroom.workbook.ooxml.verify import Claims
from stillroom.workbook.ooxml.verify import package as verify
from stillroom.workbook.starter.first_rows import Filling
from stillroom.workbook.starter.start import start

ITEM, PROPERTIES = "customXml/item1.xml", "docProps/custom.xml"
THEIR_ITEM = b'<recipes xmlns="urn:theirs"><jam>plum</jam></recipes>'
THEIR_PROPERTIES = (
    b'<p:Properties xmlns:p="http://schemas.openxmlformats.org/officeDocument/2006/custom-properties" '
    b'xmlns:vt="http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes">'
    b'<p:property fmtid="{D5CDD505-2E9C-101B-9397-08002B2CF9AE}" pid="7" name="Cellar"><vt:lpwstr>north</vt:lpwstr>'
    b"</p:property></p:Properties>"
)


def written(path, value, **more):
    """Write one cell; gives the receipt."""
    book = Book.open(path)
    book.set("Plan", 4, 4, value)
    return book.save(**more)


def ids_in(content):
    """What both parts of a file carry, read as any program reads them."""
    item = ElementTree.fromstring(content[ITEM]).text.split()
    [value] = ElementTree.fromstring(content[PROPERTIES])
    return item, value[0].text.split()


def said(path):
    """The copies that are to be joined, by name, and the one that was given up."""
    apart, given_up = copies.branches_of(path, path.read_bytes())
    return [one.name for one in apart], given_up and given_up.name


@pytest.fixture
def other(plan_file, tmp_path):
    """The same workbook in another folder."""
    (tmp_path / "theirs").mkdir()
    return shutil.copyfile(plan_file, tmp_path / "theirs" / plan_file.name)


def test_each_write_carries_its_id_and_those_before_in_two_places(plan_file, other):
    known = copies.history(plan_file)
    assert len(known) == 1
    for value in (50, 51, 52):
        written(plan_file, value)
        written(other, value)
        now = copies.history(plan_file)
        assert now[1:] == known
        assert ids_in(members(plan_file)) == (list(now), list(now))
        known = now
    assert other.read_bytes() == plan_file.read_bytes()  # nothing of clock or chance
    before = plan_file.read_bytes()
    assert not written(plan_file, 52).written
    assert plan_file.read_bytes() == before
    written(other, 53)
    assert copies.history(other)[1:] == known


def theirs(hand, path, properties=THEIR_PROPERTIES):
    """A workbook with a custom XML part and custom properties of the household's own."""
    content = hand.plan_parts(extra={ITEM: THEIR_ITEM, PROPERTIES: properties})
    types = f'<Override PartName="/{PROPERTIES}" ContentType="application/vnd.openxmlformats-officedocument.custom-properties+xml"/></Types>'
    content["[Content_Types].xml"] = content["[Content_Types].xml"].replace(b"</Types>", types.encode())
    for name, kind, target in (
        ("_rels/.rels", "custom-properties", PROPERTIES),
        ("xl/_rels/workbook.xml.rels", "customXml", ITEM),
    ):
        line = f'<Relationship Id="rId50" Type="{hand.relations}/{kind}" Target="/{target}"/></Relationships>'
        content[name] = content[name].replace(b"</Relationships>", line.encode())
    return hand.pack(path, content)


def test_what_the_household_has_of_either_kind_is_kept(hand, tmp_path):
    path = theirs(hand, tmp_path / "k.xlsx")
    written(path, 50)
    first = members(path)
    assert first[ITEM] == THEIR_ITEM
    kept, added = first[PROPERTIES].split(b'<p:property fmtid="{D5CDD505-2E9C-101B-9397-08002B2CF9AE}" pid="8"')
    assert kept + b"</p:Properties>" == THEIR_PROPERTIES
    assert b'name="stillroom history"' in added
    assert ElementTree.fromstring(first["customXml/item2.xml"]).text.split() == list(copies.history(path))
    receipt = written(path, 51)
    assert set(receipt.members_changed) == {
        "xl/worksheets/sheet1.xml",
        "xl/worksheets/sheet2.xml",
        PROPERTIES,
        "customXml/item2.xml",
    } - ({"xl/worksheets/sheet2.xml"} - set(receipt.members_changed))
    assert receipt.members_added == ()
    assert members(path)[PROPERTIES].count(b"stillroom history") == 1


def test_custom_properties_that_cannot_be_read_are_left_alone(hand, tmp_path):
    """The custom XML part carries the ids alone."""
    odd = THEIR_PROPERTIES.decode().encode("utf-16")
    path = theirs(hand, tmp_path / "k.xlsx", odd)
    written(path, 50)
    assert members(path)[PROPERTIES] == odd
    assert len(copies.history(path)) == 2


@pytest.mark.parametrize("gone", [ITEM, PROPERTIES])
def test_a_program_that_drops_one_of_the_two_leaves_the_other(plan_file, gone):
    for value in (50, 51):
        written(plan_file, value)
    known, content = copies.history(plan_file), members(plan_file)
    assert len(known) == 3
    with zipfile.ZipFile(plan_file, "w") as file:
        for name in content:
            if name != gone:
                file.writestr(name, content[name])
    assert copies.history(plan_file) == known
    assert said(plan_file) == ([], None)


def test_only_the_newest_ids_are_kept_and_what_is_older_is_kept_as_a_branch(plan_file, other, monkeypatch):
    """The safe side: a copy that is older than all the ids is not dropped."""
    monkeypatch.setattr(copies, "MOST_IDS", 6)
    for value in range(50, 60):
        written(other, value)
    assert len(copies.history(other)) == 6
    assert (
        copies.history(other)[1:] == copies.history(copies.last_name(other).with_name(copies.listed(other)[-1][1]))[:5]
    )
    written(plan_file, 50)
    assert copies.history(plan_file)[0] not in copies.history(other)
    shutil.copyfile(other, plan_file)
    [named], _ = said(plan_file)
    assert Book.open(plan_file.with_name(named)).cell("Plan", 4, 4).value == 50


def test_a_byte_changed_in_either_of_the_two_is_caught(plan_file, tmp_path):
    written(plan_file, 50)
    old = plan_file.read_bytes()
    written(plan_file, 51, out=tmp_path / "out.xlsx")
    new = (tmp_path / "out.xlsx").read_bytes()
    ids = " ".join(copies.history(new))
    claims = Claims({"xl/worksheets/sheet1.xml": {(4, 4): 51}}, {}, {}, (), (), date1904=False, history=ids)
    assert verify.complaints(old, new, claims) == []
    for name in (ITEM, PROPERTIES):
        content = zipfile.ZipFile(io.BytesIO(new)).read(name)
        number = content.find(b"pid=") + 5  # any from 2 on is right
        for place in {*range(0, len(content), 3)} - {number}:
            for bad in (content[:place] + b"7" + content[place + 1 :], content[:place] + content[place + 1 :]):
                assert bad == content or verify.complaints(old, repacked(new, name, bad), claims), bad[
                    place - 30 : place + 9
                ]
    assert verify.complaints(old, new, Claims(claims.cells, {}, {}, (), (), date1904=False))  # nothing claims them
    content = zipfile.ZipFile(io.BytesIO(new)).read(PROPERTIES).replace(b'pid="2"', b'pid="1"')
    assert any("pid 1" in one for one in verify.complaints(old, repacked(new, PROPERTIES, content), claims))


# ---- branches ----------------------------------------------------------------------------------------------------------


def test_a_partners_copy_put_over_ours_is_said_until_it_is_joined(plan_file, other):
    """Theirs was written more often; ours was off the disk two commands later."""
    written(plan_file, 50)
    ours = plan_file.read_bytes()
    for value in range(60, 65):
        written(other, value)
    shutil.copyfile(other, plan_file)
    [named], given_up = said(plan_file)
    assert (plan_file.with_name(named).read_bytes(), given_up) == (ours, None)
    for value in range(70, 76):
        written(plan_file, value)
        assert said(plan_file) == ([named], None)
    assert len(list(plan_file.parent.glob("*.before-*"))) == 1 + 1 + 6  # the base is there to be joined by
    assert copies.common_ancestor(plan_file, plan_file.with_name(named)).name == copies.listed(plan_file)[0][1]
    book = Book.open(plan_file)
    book.join(Book.open(plan_file.with_name(named)))
    book.save()
    assert set(copies.history(ours)) < set(copies.history(plan_file))
    assert said(plan_file) == ([], None)
    written(plan_file, 80)
    assert len(list(plan_file.parent.glob("*.before-*"))) == 3 + 1


def test_a_write_right_after_a_copy_was_put_over_keeps_what_was_there(plan_file, other):
    """No command read the workbook in between."""
    written(plan_file, 50)
    ours = plan_file.read_bytes()
    written(other, 60)
    shutil.copyfile(other, plan_file)
    written(plan_file, 70)
    [named], _ = said(plan_file)
    assert plan_file.with_name(named).read_bytes() == ours


def test_a_copy_that_descends_from_ours_and_what_another_program_saved_are_no_branches(plan_file, other):
    written(plan_file, 50)
    shutil.copyfile(plan_file, other)
    book = load_workbook(other)
    book["Plan"]["D5"] = 8
    book.save(other)
    written(other, 60)
    shutil.copyfile(other, plan_file)
    assert said(plan_file) == ([], None)
    written(plan_file, 70)
    book = load_workbook(plan_file)
    book["Plan"]["D5"] = 9
    book.save(plan_file)
    assert said(plan_file) == ([], None)


def test_while_a_command_of_ours_is_writing_nothing_is_taken_for_a_branch(plan_file):
    written(plan_file, 50)
    read = plan_file.read_bytes()
    written(plan_file, 51)
    assert copies.branches_of(plan_file, read) == ((), None)
    assert copies.last_name(plan_file).is_file()


def test_an_undone_write_is_kept_and_said_until_the_next(plan_file):
    written(plan_file, 50)
    shutil.copyfile(written(plan_file, 51).backup, plan_file)
    apart, undone = said(plan_file)
    assert apart == []
    assert Book.open(plan_file.with_name(undone)).cell("Plan", 4, 4).value == 51
    for value in range(60, 66):
        written(plan_file, value)
        assert said(plan_file) == ([], None)
    assert plan_file.with_name(undone).is_file()
    assert len(list(plan_file.parent.glob("*.before-*"))) == 3 + 1


def test_the_newest_common_ancestor_is_one_that_was_written_and_is_on_the_disk(plan_file, other):
    assert copies.common_ancestor(plan_file, other) == plan_file
    first = written(plan_file, 50).backup
    assert copies.common_ancestor(plan_file, other) == first
    shutil.copyfile(plan_file, other)
    book = load_workbook(plan_file)
    book["Plan"]["D5"] = 8
    book.save(plan_file)
    typed = written(plan_file, 51).backup
    written(other, 61)
    found = copies.common_ancestor(plan_file, other)
    assert found.parent == other.parent  # ours has what was typed meanwhile, which is in no write of theirs
    assert copies.history(found)[0] == copies.history(typed)[1]
    for path in other.parent.glob("*.before-*"):
        path.unlink()
    assert copies.common_ancestor(plan_file, other).name == copies.listed(plan_file)[0][1]


def test_the_common_ancestor_of_a_linked_workbook_is_looked_for_where_the_workbook_is(plan_file, other, tmp_path):
    first = written(plan_file, 50).backup
    written(other, 60)
    for copy in other.parent.glob("*.before-*"):
        if copy != first:
            copy.unlink()
    (tmp_path / "links").mkdir()
    link = tmp_path / "links" / "kitchen.xlsx"
    link.symlink_to(plan_file)
    assert copies.common_ancestor(link, other).samefile(first)


def test_a_copy_by_out_descends_from_the_file_and_its_own_last_state_follows(plan_file, tmp_path):
    out = tmp_path / "planned.xlsx"
    written(plan_file, 50, out=out)
    assert copies.history(out)[1:] == copies.history(plan_file)
    written(out, 51)
    assert said(out) == ([], None)
    written(plan_file, 52, out=out, replace=True)  # as it was told to
    assert said(out) == ([], None)
    assert copies.last_name(out).read_bytes() == out.read_bytes()
    assert not copies.last_name(plan_file).exists()


def test_a_new_workbook_gives_up_the_branches_of_the_one_before(tmp_path):
    path = tmp_path / "kitchen.xlsx"
    start(path)
    assert len(copies.history(path)) == 2
    book = Book.open(path)
    book.set(book.sheet_names[0], 60, 3, 1)
    book.save(today=datetime.datetime(2026, 8, 14, 9, 30))
    before = path.read_bytes()
    path.unlink()
    start(path, Filling(metric=True))
    assert said(path) == ([], None)
    assert before in [one.read_bytes() for one in tmp_path.glob("kitchen.before-*")]


def test_where_ours_cannot_be_kept_under_a_dated_name_the_branch_is_said_all_the_same(plan_file, other, monkeypatch):
    """In a folder that may only be read, say."""
    written(plan_file, 50)
    written(other, 60)
    shutil.copyfile(other, plan_file)

    def refused(*_, **__):
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patched:
        patched.setattr(copies, "put", refused)
        assert said(plan_file) == ([copies.last_name(plan_file).name], None)
    [named], _ = said(plan_file)
    assert ".before-" in named


@pytest.mark.parametrize("name", [b"k\n\r\xc2\x85chen.xlsx", b"k\xfcche.xlsx", b"k\\n.xlsx"])
def test_copies_of_a_workbook_of_any_name_are_known(plan_file, other, name):
    """The name may have a line break, or bytes that are no text."""
    path = plan_file.rename(plan_file.with_name(os.fsdecode(name)))
    written(path, 50)
    written(other, 60)
    shutil.copyfile(other, path)
    [named], _ = said(path)
    assert [entry[1] for entry in copies.listed(path)][-1] == named
    assert path.with_name(named).is_file()


def test_a_workbook_whose_name_leaves_no_room_for_hidden_ones_can_be_read(plan_file):
    path = plan_file.rename(plan_file.with_name("n" * 250 + ".xlsx"))
    assert said(path) == ([], None)


def test_a_dated_copy_whose_name_is_too_long_is_not_said_to_be_written(plan_file, monkeypatch):
    path, moved = plan_file.rename(plan_file.with_name("n" * 235 + ".xlsx")), list[object]()
    monkeypatch.setattr(put, "moved", moved)
    before = path.read_bytes()
    with pytest.raises(CouldNotWrite, match="the name is too long"):
        written(path, 50)
    assert path.read_bytes() == before
    assert [one for one in moved if not one.name.startswith(".")] == []


def test_where_there_is_no_room_for_what_was_written_the_one_before_stays(plan_file, monkeypatch):
    written(plan_file, 50)
    before = copies.last_name(plan_file).read_bytes()

    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(
        copies,
        "put",
        lambda target, *given, **more: full() if target.name.endswith(".last") else save.put(target, *given, **more),
    )
    written(plan_file, 51)
    assert copies.last_name(plan_file).read_bytes() == before
    assert said(plan_file) == ([], None)
