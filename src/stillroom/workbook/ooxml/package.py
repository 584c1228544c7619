"""The parts of a workbook: which there are, how they point to one another, what is changed, added or dropped."""

from __future__ import annotations

import copy
import functools
import posixpath
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import ParamSpec, TypeVar
from urllib.parse import unquote

from lxml import etree

from stillroom.errors import THE_FILE, WorkbookRefused
from stillroom.workbook.ooxml.values import Unreadable
from stillroom.workbook.ooxml.xml import Change, Markup, escape_attribute, splice
from stillroom.workbook.ooxml.zip import Container, damaged

# Files and packages that are refused before anything is read from them, each with what to do about it.

_Given = ParamSpec("_Given")
_Answer = TypeVar("_Answer")


def refuse_other_files(data: bytes) -> None:
    """Raise WorkbookRefused for files that are no zip at all, each with what to do about it."""
    if data.startswith(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"):
        raise WorkbookRefused.because(THE_FILE, "locked or old workbook")
    if not data:
        raise WorkbookRefused.because(THE_FILE, "empty file")
    if not data.startswith(b"PK"):
        raise WorkbookRefused.because(THE_FILE, "not a workbook")


def refuse_other_packages(container: Container, names: Mapping[str, str]) -> None:
    """
    Raise WorkbookRefused for packages that are not a plain, unsigned .xlsx workbook.

    ``names`` gives each member's spelling by its name without capitals.
    """
    if "mimetype" in names and b"opendocument" in container.read(names["mimetype"])[:80]:
        raise WorkbookRefused.because(THE_FILE, "OpenDocument file")
    if any(name.startswith("_xmlsignatures/") for name in names):
        raise WorkbookRefused.because(THE_FILE, "signed workbook")
    if any("vbaprojectsignature" in name for name in names):
        raise WorkbookRefused.because(THE_FILE, "signed macros")
    if any(name.startswith("xl/revisions/") for name in names):
        raise WorkbookRefused.because(THE_FILE, "shared workbook")
    if any(name.endswith("workbook.bin") for name in names):
        raise WorkbookRefused.because(THE_FILE, "binary workbook")
    if "[content_types].xml" not in names:
        raise damaged("another zip file")


def refusing_damage(method: Callable[_Given, _Answer]) -> Callable[_Given, _Answer]:
    """Turn text that cannot be read, wherever a method meets it, into a refusal of the workbook as damaged."""

    @functools.wraps(method)
    def refusing(*given: _Given.args, **named: _Given.kwargs) -> _Answer:
        try:
            return method(*given, **named)
        except Unreadable as error:
            raise damaged("damaged workbook", str(error)) from error

    return refusing


CONTENT_TYPES = "[Content_Types].xml"
_TYPES_SPACE = "http://schemas.openxmlformats.org/package/2006/content-types"
_RELS_SPACE = "http://schemas.openxmlformats.org/package/2006/relationships"
_RELS_TYPE = "application/vnd.openxmlformats-package.relationships+xml"
_STRICT = b"http://purl.oclc.org/ooxml/"
_WORKBOOKS = {
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
    "application/vnd.openxmlformats-officedocument.spreadsheetml.template.main+xml",
    "application/vnd.ms-excel.sheet.macroEnabled.main+xml",
    "application/vnd.ms-excel.template.macroEnabled.main+xml",
}
_SIGNS = tuple(sign.encode(code) for code in ("ascii", "utf-16-le", "utf-16-be") for sign in ("<!DOCTYPE", "<!ENTITY"))
_DECLARATIONS = {"xml": _SIGNS, "rels": _SIGNS}
_CACHED_BYTES = 4 * 2**20


@dataclass(frozen=True)
class Relation:
    """One relationship of a part: its id, the last word of its type, and its target (None: outside the file)."""

    id: str
    kind: str
    target: str | None


class Package:
    """
    A workbook's parts (ECMA-376 Part 2: 6 parts, 7.2.3 content types, 6.5 relationships).

    Raises WorkbookRefused for what is not a plain, whole, unsigned workbook.
    """

    def __init__(self, data: bytes) -> None:
        """Open the bytes of a file."""
        refuse_other_files(data)
        self.container = Container(data)
        self.changed: dict[str, bytes] = {}
        self.added: dict[str, bytes] = {}
        self.dropped: set[str] = set()
        self._cache: dict[str, bytes] = {}
        self._relations: dict[str, tuple[Relation, ...]] = {}
        self._spelling = {name.casefold(): name for name in self.container.by_name}
        refuse_other_packages(self.container, self._spelling)
        self.container.check_contents(_DECLARATIONS)
        self.workbook_part = self._find_workbook()

    def copy(self) -> Package:
        """Give a package that can be changed on its own; what was read is shared."""
        other = copy.copy(self)
        other.changed, other.added, other.dropped = dict(self.changed), dict(self.added), set(self.dropped)
        other.own_relations()
        return other

    def own_relations(self) -> None:
        """Stop sharing what is known of relationships with the package this is a copy of."""
        self._relations = dict(self._relations)

    # ---- reading ---------------------------------------------------------------------------------------------------

    def has(self, name: str) -> bool:
        """Whether there is a part of that name now."""
        return name in self.added or (name in self.container.by_name and name not in self.dropped)

    def part(self, name: str) -> bytes:
        """Give a part as it would be saved now; raises WorkbookRefused when the workbook points to one it lacks."""
        if name in self.changed:
            return self.changed[name]
        if name in self.added:
            return self.added[name]
        return self.original(name)

    def original(self, name: str) -> bytes:
        """Give a part as it stands in the file; raises WorkbookRefused when there is none."""
        if name in self._cache:
            return self._cache[name]
        if name not in self.container.by_name:
            raise damaged("part missing", name)
        content = self.container.read(name)
        if len(content) <= _CACHED_BYTES:
            self._cache[name] = content
        return content

    def parts_like(self, kind: str) -> list[str]:
        """List the parts whose declared content type has ``kind`` as its own word, such as "table" or "chart"."""
        overrides = self.root(CONTENT_TYPES).iter(f"{{{_TYPES_SPACE}}}Override")
        names = [
            node.get("PartName", "").lstrip("/") for node in overrides if f".{kind}+xml" in node.get("ContentType", "")
        ]
        spelled = [name if name in self.added else self._spelling.get(name.casefold(), name) for name in names]
        return [name for name in spelled if self.has(name)]

    def root(self, name: str) -> etree._Element:
        """Read a part into a tree; raises WorkbookRefused when it is damaged."""
        return read_tree(self.part(name), name)

    def relations(self, part: str) -> tuple[Relation, ...]:
        """List the relationships of a part ("" for the whole workbook)."""
        if part in self._relations:
            return self._relations[part]
        found = []
        lines = self.relations_bytes(part)
        if lines:
            for node in read_tree(lines, relations_name(part)).iter(f"{{{_RELS_SPACE}}}Relationship"):
                target = None if node.get("TargetMode") == "External" else self._target(part, node.get("Target", ""))
                found.append(Relation(node.get("Id", ""), node.get("Type", "").rpartition("/")[2], target))
        self._relations[part] = tuple(found)
        return self._relations[part]

    def relations_bytes(self, part: str) -> bytes:
        """Give the part that holds a part's relationships; nothing when there is none."""
        name = relations_name(part)
        spelled = name if name in self.added else self._spelling.get(name.casefold())
        return self.part(spelled) if spelled is not None and self.has(spelled) else b""

    def _target(self, part: str, target: str) -> str:
        path = unquote(target.partition("#")[0])
        joined = path[1:] if path.startswith("/") else posixpath.join(posixpath.dirname(part), path)
        name = posixpath.normpath(joined)
        return self._spelling.get(name.casefold(), name)

    # ---- changing --------------------------------------------------------------------------------------------------

    def replace(self, name: str, content: bytes) -> None:
        """Give a part new content; the same content as in the file means no change."""
        if name in self.added:
            self.added[name] = content
        elif self.container.holds(name, content):
            self.changed.pop(name, None)
        else:
            self.changed[name] = content

    def free_name(self, pattern: str) -> str:
        """Give the first part name not in use, ``pattern`` having one ``{}`` for a number."""
        number = 1
        taken = self.taken_names()
        while pattern.format(number).casefold() in taken:
            number += 1
        return pattern.format(number)

    def taken_names(self) -> set[str]:
        """Name every part, and whatever has a content type without being there, in small letters."""
        overrides = self.root(CONTENT_TYPES).iter(f"{{{_TYPES_SPACE}}}Override")
        declared = [node.get("PartName", "").lstrip("/").casefold() for node in overrides]
        return {*self._spelling, *(name.casefold() for name in self.added), *declared}

    def add(self, name: str, content: bytes, content_type: str | None) -> None:
        """Add a part, with its content type as an override (None: a default already covers it)."""
        self.added[name] = content
        if content_type is not None:
            types = Markup(self.part(CONTENT_TYPES), CONTENT_TYPES, _TYPES_SPACE)
            line = f'PartName="/{escape_attribute(name)}" ContentType="{content_type}"/>'.encode()
            entry = b"<" + types.prefix + b"Override " + line
            self.replace(CONTENT_TYPES, splice(types.data, [Change(types.root_close, types.root_close, entry)]))

    def drop(self, name: str) -> None:
        """Take a part away with its content type and every relationship of the workbook part that points to it."""
        self.dropped.add(name)
        self.changed.pop(name, None)
        types = Markup(self.part(CONTENT_TYPES), CONTENT_TYPES, _TYPES_SPACE)
        wanted = re.compile(rb"""\sPartName\s*=\s*["']/?""" + re.escape(name.encode()) + rb"""["']""", re.IGNORECASE)
        gone = [Change(one.start, one.end, b"") for one in types.find_all("Override") if wanted.search(types.tag(one))]
        self.replace(CONTENT_TYPES, splice(types.data, gone))
        part = self.workbook_part
        ids = {relation.id for relation in self.relations(part) if relation.target == name}
        rels_name = self._rels_part(part)
        rels = Markup(self.part(rels_name), rels_name, _RELS_SPACE)
        lines = rels.find_all("Relationship")
        gone = [Change(one.start, one.end, b"") for one in lines if _id_of(rels.tag(one)) in ids]
        self.replace(rels_name, splice(rels.data, gone))
        self._relations.pop(part, None)

    def relate(self, part: str, kind: str, target: str) -> str:
        """Point from one part to another; gives the new relationship's id."""
        taken = {relation.id for relation in self.relations(part)}
        number = len(taken) + 1
        while f"rId{number}" in taken:
            number += 1
        line = f'Id="rId{number}" Type="{kind}" Target="/{escape_attribute(target)}"/>'.encode()
        name = self._rels_part(part)
        if self.has(name):
            rels = Markup(self.part(name), name, _RELS_SPACE)
            entry = b"<" + rels.prefix + b"Relationship " + line
            if rels.root_tag.endswith(b"/>"):
                opened = rels.root_tag[:-2].rstrip() + b">" + entry + b"</" + rels.prefix + b"Relationships>"
                self.replace(name, splice(rels.data, [Change(rels.root_start, rels.root_end, opened)]))
            else:
                self.replace(name, splice(rels.data, [Change(rels.root_close, rels.root_close, entry)]))
        else:
            head = (
                b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<Relationships xmlns="'
                + _RELS_SPACE.encode()
                + b'">'
            )
            declared = None if self.content_type(name) else _RELS_TYPE
            self.add(name, head + b"<Relationship " + line + b"</Relationships>", declared)
        self._relations.pop(part, None)
        return f"rId{number}"

    def _rels_part(self, part: str) -> str:
        name = relations_name(part)
        return self._spelling.get(name.casefold(), name)

    def pieces(self) -> list[bytes]:
        """Give the new file, piece by piece."""
        return self.container.rewritten(self.changed, self.added, frozenset(self.dropped))

    def let_go(self) -> None:
        """Forget the new contents once they are packed; the names stay."""
        self.changed = dict.fromkeys(self.changed, b"")
        self.added = dict.fromkeys(self.added, b"")

    # ---- what is refused -------------------------------------------------------------------------------------------

    def _find_workbook(self) -> str:
        mains = [one.target for one in self.relations("") if one.kind == "officeDocument" and one.target]
        if not mains or not self.has(mains[0]):
            raise damaged("another zip file")
        content = self.part(mains[0])
        if _STRICT in content[:4096] or _STRICT in self.part(self._spelling["_rels/.rels"]):
            raise damaged("strict workbook")
        if self.content_type(mains[0]) not in _WORKBOOKS:
            raise damaged("another document")
        return mains[0]

    def content_type(self, name: str) -> str:
        """Give the declared type of a part, "" when none is."""
        root = self.root(CONTENT_TYPES)
        for node in root.iter(f"{{{_TYPES_SPACE}}}Override"):
            if node.get("PartName", "").lstrip("/").casefold() == name.casefold():
                return node.get("ContentType", "")
        ending = name.rpartition(".")[2].casefold()
        for node in root.iter(f"{{{_TYPES_SPACE}}}Default"):
            if node.get("Extension", "").casefold() == ending:
                return node.get("ContentType", "")
        return ""


def relations_name(part: str) -> str:
    """
    Give the name of the part that holds a part's relationships.

    >>> relations_name("xl/workbook.xml"), relations_name("")
    ('xl/_rels/workbook.xml.rels', '_rels/.rels')
    """
    folder, _, name = part.rpartition("/")
    return f"{folder}/_rels/{name}.rels" if folder else f"_rels/{name}.rels"


def read_tree(content: bytes, name: str) -> etree._Element:
    """Read XML, without entities, network or document types; raises WorkbookRefused when it is damaged."""
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, huge_tree=len(content) > 8 * 2**20
    )
    try:
        root = etree.fromstring(content, parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        raise damaged("part damaged", name) from error
    if root is None:
        raise damaged("part empty", name)
    return root


def _id_of(tag: bytes) -> str | None:
    found = re.search(rb"""\sId\s*=\s*["']([^"']*)["']""", tag)
    return found[1].decode() if found else None
