"""What the parts of a workbook are to it, read from its relationships by the verifier's own code."""

from __future__ import annotations

import contextlib
import posixpath
import urllib.parse
import xml.parsers.expat as expat
from collections.abc import Callable, Sequence

TYPES = "[Content_Types].xml"


def roles(names: Sequence[str], read: Callable[[str], bytes]) -> dict[str, str]:
    """
    Give "workbook", "sharedStrings", "styles", "types" or "relations" for the members that are that.

    Read from the relationships of the package and of the workbook part (ECMA-376 Part 2, 6.5; Part 1, 12.3), wherever
    these parts lie and whatever they are called; ``read`` gives the content of a member.
    """
    spelled = {name.casefold(): name for name in names}
    found = {name: "relations" for low, name in spelled.items() if low.endswith(".rels")}
    if TYPES.casefold() in spelled:
        found[spelled[TYPES.casefold()]] = "types"
    main = _targets(read, spelled, "").get("officeDocument", "")
    targets = _targets(read, spelled, main)
    found |= {target: kind for kind, target in targets.items() if kind in ("sharedStrings", "styles")}
    return found | ({main: "workbook"} if main else {})


def _targets(read: Callable[[str], bytes], spelled: dict[str, str], part: str) -> dict[str, str]:
    """The members that a part points to inside the package, by the last word of the relationship's type."""
    folder, _, name = part.rpartition("/")
    rels = spelled.get(posixpath.join(folder, "_rels", f"{name}.rels").casefold())
    found: dict[str, str] = {}

    def line(tag: str, attributes: dict[str, str]) -> None:
        if tag.rpartition(":")[2] != "Relationship" or attributes.get("TargetMode") == "External":
            return
        path = urllib.parse.unquote(attributes.get("Target", ""))
        path = path[1:] if path.startswith("/") else posixpath.join(folder, path)
        target = spelled.get(posixpath.normpath(path).casefold())
        if target is not None:
            found.setdefault(attributes.get("Type", "").rpartition("/")[2], target)

    if rels is not None:
        parser = expat.ParserCreate()
        parser.StartElementHandler = line
        with contextlib.suppress(expat.ExpatError):  # a damaged part is told of where parts are read
            parser.Parse(read(rels), True)
    return found
