"""The blocks of cautions of a printed page, their sources by number."""

from __future__ import annotations

from collections.abc import Sequence

from stillroom.handbook.cautions import OTHERS, PageCautions
from stillroom.reports.care import publications, source_words
from stillroom.reports.print.document import Paper, Points, Section, Sentence

PLAIN_PAPER = "Print this page on plain paper."
MORE_CAUTIONS = "on the Cautions sheet of the workbook: read those too"


def caution_sections(care: PageCautions, before: Sequence[str] = ()) -> list[Section]:
    """
    Return the blocks of a page and the sources of its cautions; `before` are sources that the page has numbered.

    Only particular cautions may be left off a page without room, never the fixed block or those for hands and kitchen.
    """
    new = [one for one in publications(care.all) if one not in before]
    sources = [*before, *new]
    sections = []
    for heading, cautions in care.named:
        items = tuple((one.text, source_words(one, sources)) for one in cautions)
        points = Points(items, "dash", may_be_cut=heading == OTHERS, cut_words=MORE_CAUTIONS)
        sections.append(Section(heading, (points,)))
    if new:
        words = f"Cautions from {sources_text(new, len(before) + 1)}."
        sections.append(Section("", (Sentence(words, small=True),)))
    return sections


def care_paper(care: PageCautions, marks: Sequence[str] = ()) -> Paper:
    """Return the page of cautions that follows sheets of labels; `marks` say what the marks on them mean."""
    sections = [Section("", tuple(Sentence(words) for words in marks))] if marks else []
    return Paper("cautions", "Before you fill the jars", PLAIN_PAPER, (*sections, *caution_sections(care)))


def sources_text(sources: Sequence[str], first: int = 1) -> str:
    """
    Return the sources by the numbers in the lines from `first` on, places in one publication together.

    >>> sources_text(["Guide A, p. 2", "Guide B", "Guide A, p. 7"])
    'Guide A: [1] p. 2, [3] p. 7; Guide B: [2]'
    """
    places: dict[str, list[str]] = {}
    for number, source in enumerate(sources, first):
        book, comma, place = source.rpartition(", ")
        places.setdefault(book if comma else source, []).append(f"[{number}] {place}" if comma else f"[{number}]")
    return "; ".join(f"{book}: {', '.join(several)}" for book, several in places.items())
