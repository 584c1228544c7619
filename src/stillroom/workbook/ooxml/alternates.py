"""The items of a list in the styles part as a program counts them, where the part offers some in two versions."""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from stillroom.workbook.ooxml.xml import MAIN, Element, Markup

_SPACE = "http://schemas.openxmlformats.org/markup-compatibility/2006"
_KNOWN = ("http://schemas.microsoft.com/office/", "http://schemas.openxmlformats.org/")
"""How the namespaces begin that a program which reads this list is taken to know (ECMA-376 Part 3, 7.6)."""


def children_read(root: etree._Element, collection: str, item: str) -> list[etree._Element]:
    """Return the items of a list, of each mc:AlternateContent only those of the version that is read."""
    around = root.find(f"{{{MAIN}}}{collection}")
    return [] if around is None else list(_items(around, f"{{{MAIN}}}{item}"))


def items_of(markup: Markup, collection: str, item: str) -> list[Element]:
    """Return where the same items lie in the bytes of the part."""
    around = markup.find(collection)
    if around is None:
        return []
    found = markup.find_all(item, around.tag_end, around.content_end)
    if b"AlternateContent" not in markup.data:
        return found
    root = etree.fromstring(markup.data, etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False))
    read = children_read(root, collection, item)
    every = root.iterfind(f"{{{MAIN}}}{collection}//{{{MAIN}}}{item}")
    return [place for place, node in zip(found, every, strict=True) if node in read]


def _items(around: etree._Element, tag: str) -> Iterator[etree._Element]:
    for child in around:
        if child.tag == tag:
            yield child
        elif child.tag == f"{{{_SPACE}}}AlternateContent" and (version := _version(child)) is not None:
            yield from _items(version, tag)


def _version(alternates: etree._Element) -> etree._Element | None:
    """Return the first version whose namespaces are all known, else the one for all other programs."""
    for choice in alternates.iterfind(f"{{{_SPACE}}}Choice"):
        spaces = [choice.nsmap.get(prefix) or "" for prefix in choice.get("Requires", "").split()]
        if spaces and all(space.startswith(_KNOWN) for space in spaces):
            return choice
    return alternates.find(f"{{{_SPACE}}}Fallback")
