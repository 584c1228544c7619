"""The cautions of a page in words with their sources, and what each canned line and its marks say."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stillroom.handbook.cautions import Caution
from stillroom.handbook.processes import CANNED
from stillroom.household.records import Preserve
from stillroom.household.results.plan_table import FROM_MEMORY, OWN_RECIPE

UNNUMBERED = ("advice of this project", "common practice, no source")
"""Sources that are no publication: they are shown with the caution and have no number."""
NOT_VERIFIED_EXPLAINED = (
    "Not verified: a time or amount on that line was not checked against its publication. "
    "Check the current guide or the manual first."
)
OWN_EXPLAINED = "Own recipe: not from a tested source. Ask your extension service about it first."


def jar_words(item: Preserve) -> str:
    """
    Return the pack and jar of a canned preserve with headspace and acid; empty for what is not canned.

    >>> jar_words(Preserve("juice", CANNED[0], "quart jar", headspace="1/2 inch headspace", acid_each="2 tbsp juice"))
    'quart jar; 1/2 inch headspace; acid in each: 2 tbsp juice'
    """
    if item.method not in CANNED:
        return ""
    acid = f"acid in each: {item.acid_each}" if item.acid_each else ""
    return "; ".join(text for text in (item.steps.pack, item.container, item.headspace, acid) if text)


def pack_words(item: Preserve) -> str:
    """
    Return how what is not canned is blanched, packed or kept; empty for what is canned.

    >>> pack_words(Preserve("corn", "frozen", "pint", blanch_text="blanch 4 min"))
    'blanch 4 min'
    """
    return "" if item.method in CANNED else "; ".join(text for text in (item.blanch_text, item.steps.fill) if text)


def canned_words(item: Preserve) -> str:
    """Return one canned line: its name, minutes and pounds, jar, headspace, acid and marks."""
    words = [item.process_text, jar_words(item), *mark_words(item)]
    return f"{item.name}: {'; '.join(text for text in words if text)}"


def canned_lines(preserves: Iterable[Preserve], names: Iterable[str]) -> list[str]:
    """Return a line for each canned preserve among these names, in their order."""
    known = {item.name: item for item in preserves}
    return [canned_words(known[name]) for name in dict.fromkeys(names) if name in known and jar_words(known[name])]


def mark_words(item: Preserve) -> list[str]:
    """Return the short marks of a line: an own recipe, and figures that were not verified."""
    marks = ((item.own_recipe, OWN_RECIPE), (item.from_memory, FROM_MEMORY))
    return [mark for holds, mark in marks if holds]


def explained(*, own: bool, unverified: bool) -> list[str]:
    """Return what the marks of a page mean, a sentence each."""
    return [words for holds, words in ((unverified, NOT_VERIFIED_EXPLAINED), (own, OWN_EXPLAINED)) if holds]


def publications(cautions: Iterable[Caution]) -> list[str]:
    """Return the publications of cautions, each once, in their order."""
    named = [part for caution in cautions for part in caution.source.split("; ") if caution.source not in UNNUMBERED]
    return list(dict.fromkeys(named))


def source_words(caution: Caution, sources: Sequence[str]) -> str:
    """Return the source of a caution by its numbers in a list, or in words if it is no publication."""
    if caution.source in UNNUMBERED:
        return f"({caution.source})"
    return "".join(f"[{sources.index(part) + 1}]" for part in caution.source.split("; "))
