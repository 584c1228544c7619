"""The season's review on paper: what to want next year, crops, jars, canners, bottlenecks and money."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from stillroom.household.results.review import Review, TargetReview
from stillroom.household.results.rows import Row
from stillroom.household.text import format_amount, format_count, format_date_and_year, format_quantity
from stillroom.reports.print.document import Block, Cell, Column, Paper, Points, Section, Sentence, table
from stillroom.reports.terminal.review import (
    bottleneck_lines,
    canner_line,
    crop_line,
    end_words,
    next_lines,
    preserve_line,
    year_lines,
)

TARGET_COLUMNS = (
    Column("Target", "main"),
    Column("Wanted", "number", labeled=True),
    Column("Put up", "number", labeled=True),
    Column("Eaten", "number", labeled=True),
    Column("On hand", "number", labeled=True),
    Column("At that rate", "plain", labeled=True),
    Column("Next year", "number", labeled=True),
)
NO_RECORDS = "No records yet. They come with weigh, made, ate and bought."


def review_paper(title: str, found: Review, tables: Mapping[str, Sequence[Row]]) -> Paper:
    """Return the page of a review; `tables` are the rows of it."""
    if found.first is None:
        return Paper("review", "Review", title, (Section("", (Sentence(NO_RECORDS),)),))
    about = f"{format_date_and_year(found.first)} to {format_date_and_year(found.day)}"
    targets = table(TARGET_COLUMNS, [target_cells(one) for one in found.targets])
    parts: Sequence[tuple[str, Sequence[Block], str]] = (
        ("Targets", (targets,) if found.targets else (), "eaten in the last year"),
        ("Next year", lines_of(next_lines(found.targets)), ""),
        ("Crops", lines_of([crop_line(one) for one in found.crops]), "all years"),
        ("Preserves", lines_of([preserve_line(one) for one in found.preserves]), ""),
        ("Canners", lines_of([canner_line(one) for one in found.equipment]), "failed seals"),
        ("Bottlenecks", lines_of(bottleneck_lines(found.bottlenecks)), "plans of the last year"),
        ("Years", lines_of(year_lines(tables)), ""),
    )
    sections = tuple(Section(heading, tuple(blocks), aside) for heading, blocks, aside in parts if blocks)
    return Paper("review", "Review", f"{title}; {about}, {format_count(found.records, 'record')}", sections)


def target_cells(one: TargetReview) -> tuple[Cell, ...]:
    """Return one target."""
    amounts = one.wanted, one.put_up, one.eaten, one.on_hand
    return (
        Cell(one.target),
        *(Cell(format_amount(amount)) for amount in amounts),
        Cell(end_words(one)),
        Cell(format_quantity(one.next_wanted, one.unit)),
    )


def lines_of(lines: Sequence[str]) -> tuple[Block, ...]:
    """Return lines as points; nothing without any."""
    return (Points(tuple((line, "") for line in lines)),) if lines else ()
