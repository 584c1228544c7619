"""What people read: text, tables, paper and pictures; knows no spreadsheet and no solver."""

from typing import TYPE_CHECKING

from stillroom.lazy import submodules

__all__ = ["json", "problems", "terminal"]

if TYPE_CHECKING:
    from stillroom.reports import json, problems, terminal
else:
    __getattr__ = submodules(__name__, __all__)
