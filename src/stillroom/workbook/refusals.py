"""Files and packages that are refused before anything is read from them, each with what to do about it."""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from typing import ParamSpec, TypeVar

from stillroom.errors import WorkbookRefused
from stillroom.workbook.container import Container
from stillroom.workbook.values import Unreadable
from stillroom.workbook.zip_records import damaged

_Given = ParamSpec("_Given")
_Answer = TypeVar("_Answer")
_SAVE_AGAIN = "open it in your office program and save it as .xlsx"


def refuse_other_files(data: bytes) -> None:
    """Raise WorkbookRefused for files that are no zip at all, each with what to do about it."""
    if data.startswith(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"):
        raise WorkbookRefused.because(
            "the workbook",
            "it is locked with a password, or is an old .xls workbook",
            "take the password off, or save it as .xlsx from your office program",
        )
    if not data:
        raise WorkbookRefused.because("the workbook", "the file is empty", "give a workbook saved as .xlsx")
    if not data.startswith(b"PK"):
        raise WorkbookRefused.because(
            "the workbook", "it is not an .xlsx workbook", "open it in your office program and save it as .xlsx"
        )


def refuse_other_packages(container: Container, names: Mapping[str, str]) -> None:
    """
    Raise WorkbookRefused for packages that are not a plain, unsigned .xlsx workbook.

    ``names`` gives each member's spelling by its name without capitals.
    """
    if "mimetype" in names and b"opendocument" in container.read(names["mimetype"])[:80]:
        raise WorkbookRefused.because("the workbook", "it is an OpenDocument file", _SAVE_AGAIN)
    if any(name.startswith("_xmlsignatures/") for name in names):
        raise WorkbookRefused.because(
            "the workbook",
            "it carries a digital signature, which any change would break",
            "save a copy without the signature",
        )
    if any("vbaprojectsignature" in name for name in names):
        raise WorkbookRefused.because(
            "the workbook",
            "its macros are signed, and a change would put the signature in doubt",
            "save a copy without the signature",
        )
    if any(name.startswith("xl/revisions/") for name in names):
        raise WorkbookRefused.because(
            "the workbook", "it is shared with tracked changes, the old way", "stop sharing it and save it again"
        )
    if any(name.endswith("workbook.bin") for name in names):
        raise WorkbookRefused.because("the workbook", "it is a binary workbook (.xlsb)", _SAVE_AGAIN)
    if "[content_types].xml" not in names:
        raise damaged("it is a zip file, but not a workbook")


def refusing_damage(method: Callable[_Given, _Answer]) -> Callable[_Given, _Answer]:
    """Turn text that cannot be read, wherever a method meets it, into a refusal of the workbook as damaged."""

    @functools.wraps(method)
    def refusing(*given: _Given.args, **named: _Given.kwargs) -> _Answer:
        try:
            return method(*given, **named)
        except Unreadable as error:
            raise damaged(f"one of its parts is damaged ({error})") from error

    return refusing
