"""What a save of a workbook did."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from stillroom.household.text import format_list


@dataclass(frozen=True)
class Receipt:
    """
    What a save did.

    Members are the files inside the workbook. ``results_cleared`` names the formula cells ("Sheet!B7") whose saved
    result was taken out so that every office program works it out anew, ``cleared_to_be_safe`` those of them whose
    formula can look anywhere. ``backup`` is the dated copy, None when nothing was replaced.
    """

    path: Path
    members_kept: int
    members_changed: tuple[str, ...]
    members_added: tuple[str, ...]
    cells_written: int
    results_cleared: tuple[str, ...]
    backup: Path | None
    members_dropped: tuple[str, ...] = ()
    cleared_to_be_safe: tuple[str, ...] = ()
    written: bool = True


def cleared_words(receipt: Receipt) -> list[str]:
    """Name the cells whose saved result was cleared because it used what changed, if there are any."""
    cells = receipt.results_cleared
    return [f"Your spreadsheet will recalculate {format_list(cells, 4)} when you open it."] if cells else []
