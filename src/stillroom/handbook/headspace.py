"""The headspace of each canned product: the room between the food and the lid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from stillroom.handbook.tables import table
from stillroom.household.text import format_list

INCHES = {0.125: "1/8", 0.25: "1/4", 0.5: "1/2", 0.75: "3/4"}
SEE_GUIDE = "see the guide"
"""Where the tables have no headspace, none is made up."""


@dataclass(frozen=True)
class Headspace:
    """The headspace of a product in inches, with its source; `note` has a figure that holds for some jars only."""

    inches: float
    source: str
    note: str = ""

    @property
    def text(self) -> str:
        """
        Return the headspace in words.

        >>> [Headspace(inches, "").text for inches in (0.125, 0.5, 1.0, 1.25)]
        ['1/8 inch', '1/2 inch', '1 inch', '1 1/4 inches']
        """
        whole, part = divmod(self.inches, 1)
        figures = " ".join(text for text in (f"{whole:g}" if whole else "", INCHES[part] if part else "") if text)
        return f"{figures} inch{'es' if self.inches > 1 else ''}"


@lru_cache(maxsize=1)
def headspaces() -> dict[str, Headspace]:
    """Return the headspace of every product that has one, by product."""
    found: dict[str, Headspace] = {}
    for row in table("headspace"):
        note = row["note"] if any(sign.isdigit() for sign in row["note"]) else ""
        if row["product"]:
            found.setdefault(row["product"], Headspace(float(row["headspace_in"]), row["source"], note))
    return found


def headspace_text(product: str | None) -> str:
    """
    Return the headspace of a product as it is printed, with its note.

    >>> headspace_text("tomato juice"), headspace_text("moonstones")
    ('1/2 inch headspace', 'headspace: see the guide')
    """
    found = headspaces().get(product or "")
    if found is None:
        return f"headspace: {SEE_GUIDE}"
    return f"{found.text} headspace" + (f" ({found.note})" if found.note else "")


def headspaces_text(products: Sequence[str], others: Sequence[str] = ()) -> str:
    """
    Return the headspace of several products, the smallest first; `others` are named as not in the tables.

    >>> headspaces_text(["green beans", "tomato juice", "sauerkraut"], ["relish"])
    '1/2 inch for tomato juice, sauerkraut; 1 inch for green beans; relish: see the guide'
    """
    by_inches: dict[float, list[str]] = {}
    unknown = list(others)
    for product in dict.fromkeys(products):
        if product in headspaces():
            by_inches.setdefault(headspaces()[product].inches, []).append(product)
        else:
            unknown.append(product)
    words = [f"{Headspace(inches, '').text} for {format_list(by_inches[inches])}" for inches in sorted(by_inches)]
    words += [f"{format_list(unknown)}: {SEE_GUIDE}"] if unknown else []
    return "; ".join(words)
