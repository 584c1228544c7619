"""Files of the household's own that stand where a page would be written: they are never written over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from stillroom.errors import CouldNotWrite

OURS: Mapping[str, bytes] = {".pdf": b"/Creator (stillroom)", ".ics": b"PRODID:-//stillroom//"}
"""What stands in every file of ours, by its ending."""

NAMES: Mapping[str, tuple[str, ...]] = {
    "sheets": ("week.pdf", "by-the-clock.pdf", "shopping.pdf", "where-everything-is.pdf", "eat-first.pdf"),
    "labels": ("labels.pdf",),
    "calendar": ("calendar.ics",),
    "pictures": (),
}
"""The files whose content says whose they are, by the word they are asked for with; others go beside them."""


def refuse_strangers(folder: Path, parts: Iterable[str]) -> None:
    """
    Raise CouldNotWrite, before anything is written, where a file of another's has the name of one that is to be.

    Pages of a former plan are no strangers.
    """
    for part in parts:
        for name in NAMES[part]:
            path = folder / name
            if path.is_file() and OURS[path.suffix] not in path.read_bytes():
                msg = f"{path} is there already and is no page of a plan; name another folder, or move it away"
                raise CouldNotWrite(msg)
