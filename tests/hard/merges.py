"""Random pairs of copies with a common past, merged and compared with plain multisets of facts kept beside them."""

from __future__ import annotations

import datetime
import random
import shutil
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tests.small_kitchen import FRIDAY, KITCHEN, build

from stillroom.app.setup import merge_workbooks, write_merge
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.record import add_rows, input_table

Fact = tuple[object, ...]
LOTS = tuple((FRIDAY + datetime.timedelta(days=n), "plum tomato", 20.0 + n, f"row {n}") for n in range(6))
TWICE = (FRIDAY, "plum tomato", 7.0, "a row that stands there twice")
COMING = tuple((FRIDAY + datetime.timedelta(days=30 + n), "cucumber", 300.0 + n, f"late {n}") for n in range(4))
"""What may be added, so few that both copies often add the same."""
HEADINGS = ("Picked on", "Crop", "Amount", "Note")
CARDS = {("Containers", "quart jar"): 24.0, ("Lids", "lid"): 24.0, ("Pantry", "bottled lemon juice"): 4.0}
COUNTED = FRIDAY - datetime.timedelta(days=9)
TAKES = ("mine", "theirs", "both")


@dataclass
class Story:
    """What one copy did since the common past: the fate of each lot, what was added, what was counted and wanted."""

    fates: dict[int, Fact | None] = field(default_factory=dict)
    added: list[Fact] = field(default_factory=list)
    counts: dict[tuple[str, str], tuple[float, datetime.date]] = field(default_factory=dict)
    wanted: float = 14.0


def common_past(path: Path) -> Path:
    """Write the workbook both copies come from."""
    lots = [dict(zip(HEADINGS, fact, strict=True)) for fact in (*LOTS, TWICE, TWICE)]
    counted = {
        table: [{**row, "Counted on": COUNTED} for row in KITCHEN[table]] for table in ("Containers", "Lids", "Pantry")
    }
    crops = [*KITCHEN["Crops"], {"Crop": "cucumber", "Keeps days": 5, "Unit": "lb"}]
    return build(path, Harvest=lots, Crops=crops, **counted)


def live(path: Path, chance: random.Random) -> Story:
    """Change a copy as its household does, in one save; gives what it did."""
    story, book = Story(), Book.open(path)
    harvest = input_table(book, "Harvest")
    assert harvest is not None
    for number, fact in enumerate(LOTS):
        what = chance.choices(("", "amount", "note", "out"), (6, 2, 1, 1))[0]
        row = harvest.first_row + number
        if what == "amount":
            story.fates[number] = (*fact[:2], float(chance.choice((51, 52))), fact[3])
            book.set(harvest.sheet, row, harvest.column("Amount") or 0, story.fates[number][2])
        elif what == "note":
            story.fates[number] = (*fact[:3], chance.choice(("good", "poor")))
            book.set(harvest.sheet, row, harvest.column("Note") or 0, story.fates[number][3])
        elif what == "out":
            story.fates[number] = None
            for heading in HEADINGS:
                book.set(harvest.sheet, row, harvest.column(heading) or 0, None)
    story.added = chance.choices(COMING, k=chance.randrange(5))
    add_rows(book, "Harvest", [dict(zip(HEADINGS, fact, strict=True)) for fact in story.added])
    for (table, name), number in CARDS.items():
        if chance.random() < 0.5:
            count = (number + chance.randrange(1, 4), FRIDAY - datetime.timedelta(days=chance.randrange(3)))
            story.counts[table, name] = count
            found = input_table(book, table)
            assert found is not None
            for heading, value in zip(("On hand", "Counted on"), count, strict=True):
                book.set(found.sheet, found.first_row, found.column(heading) or 0, value)
    if chance.random() < 0.5:
        story.wanted = float(chance.choice((15, 16)))
        found = input_table(book, "Winter list")
        assert found is not None
        book.set(found.sheet, found.first_row, found.column("Wanted") or 0, story.wanted)
    book.save()
    return story


def expected(mine: Story, theirs: Story, take: str) -> tuple[Counter[Fact], dict[tuple[str, str], object]]:
    """Work out the lots, and the counts and what is wanted, after the stated answers; "mine" where both cannot be."""
    lots: Counter[Fact] = Counter({TWICE: 2})
    for number, fact in enumerate(LOTS):
        ours, other = (story.fates.get(number, fact) for story in (mine, theirs))
        if ours == other or other == fact:
            now = [ours]
        elif ours == fact:
            now = [other]
        elif take == "both":
            now = [ours, other] if ours is not None and other is not None else [ours]
        else:
            now = [ours if take == "mine" else other]
        lots.update(one for one in now if one is not None)
    first, second = Counter(mine.added), Counter(theirs.added)
    lots += first + second if take == "both" else first | second
    values: dict[tuple[str, str], object] = {}
    for card, number in CARDS.items():
        was = (number, COUNTED)
        ours, other = mine.counts.get(card, was), theirs.counts.get(card, was)
        later = max(ours, other, key=lambda count: count[1])
        values[card] = (other if take == "theirs" else ours) if ours[1] == other[1] else later
    wants = {mine.wanted, theirs.wanted} - {14.0}
    values["Winter list", "juice"] = (
        wants.pop() if len(wants) == 1 else theirs.wanted if take == "theirs" else mine.wanted
    )
    return lots, values


def facts_of(path: Path) -> tuple[Counter[Fact], dict[tuple[str, str], object]]:
    """Read the same of a workbook."""
    book = Book.open(path)

    def rows(table: str) -> list[Mapping[str, object]]:
        found = input_table(book, table)
        assert found is not None
        return [
            dict(zip(found.headings, (cell.value for cell in cells), strict=True)) for _, cells in found.rows.filled()
        ]

    lots = Counter(
        tuple(_plain(row[heading]) for heading in HEADINGS) for row in rows("Harvest") if row["Picked on"] is not None
    )
    values: dict[tuple[str, str], object] = {
        (table, name): (rows(table)[0]["On hand"], _plain(rows(table)[0]["Counted on"])) for table, name in CARDS
    }
    values["Winter list", "juice"] = rows("Winter list")[0]["Wanted"]
    return lots, values


def _plain(value: object) -> object:
    if isinstance(value, datetime.datetime):
        return value.date()
    return float(value) if isinstance(value, int | float) else value


def complaints(seed: int, folder: Path, office: Callable[[Path], None] | None = None) -> list[str]:
    """Merge one pair in both directions; what went wrong, in a line each. `office` saves a file with LibreOffice."""
    chance = random.Random(seed)
    folder.mkdir(parents=True)
    past = common_past(folder / "past.xlsx")
    ours, other = folder / "ours.xlsx", folder / "other.xlsx"
    for path in (ours, other):
        shutil.copyfile(past, path)
    stories = [live(path, chance) for path in (ours, other)]
    for path in (ours, other):
        if office is not None:
            office(path)
    take = TAKES[seed % 3]
    wrong = []
    for mine, theirs, told, answer in (
        (ours, other, stories, take),
        (other, ours, stories[::-1], {"mine": "theirs", "theirs": "mine"}.get(take, take)),
    ):
        to = folder / f"merged {mine.name}"
        write_merge(merged(mine, theirs, past, answer), to)
        want = expected(*told, take=answer)
        if (found := facts_of(to)) != want:
            wrong.append(f"{seed} {mine.name} {answer}: {found} instead of {want}")
        before = to.read_bytes()
        write_merge(merge_workbooks(to, theirs, past, "theirs", None, None), None)
        if to.read_bytes() != before:
            wrong.append(f"{seed} {mine.name}: merging again changed it")
    if take != "both" and facts_of(folder / "merged ours.xlsx") != facts_of(folder / "merged other.xlsx"):
        wrong.append(f"{seed}: the other direction gives something else")
    return wrong


def merged(mine: Path, theirs: Path, past: Path, take: str):
    """Merge; where both cannot be taken, the first copy is."""
    return merge_workbooks(mine, theirs, past, take, None, lambda _: "mine")
