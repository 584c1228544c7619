"""Make a new workbook: what is added to a household's own, put into one without a sheet."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from stillroom.errors import CouldNotWrite, Problem
from stillroom.handbook.catalogue import CataloguePreserve
from stillroom.handbook.names import holds_phrase, tokens
from stillroom.handbook.settle import settle as settle_by_handbook
from stillroom.household.cells import letters
from stillroom.household.journal import stocks
from stillroom.household.names import key
from stillroom.household.records import Household
from stillroom.household.results.commands import Addition, LeftOut
from stillroom.household.text import METRIC, US, in_style
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.ooxml.tables import FoundTable, TablePart, key_of
from stillroom.workbook.ooxml.values import Unreadable, parse_address
from stillroom.workbook.reader import household as read
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.kitchen import is_metric
from stillroom.workbook.reader.tables import blocks_by_headings, find_rows, least_headings
from stillroom.workbook.schema import Table, tables
from stillroom.workbook.starter import catalogue
from stillroom.workbook.starter.examples import EXAMPLE_PEOPLE, WISHES
from stillroom.workbook.starter.first_rows import (
    ANY_DAY,
    Filled,
    Filling,
    contents_for,
    made_no,
    plain_target,
    set_to_no,
    starting_rows,
    what_they_have,
)
from stillroom.workbook.starter.fit_rows import Theirs, first, pieces_of, unit_name
from stillroom.workbook.starter.layout import Contents, Place, Row, Rows
from stillroom.workbook.starter.sheets import NO_TABLES, add_all, blank_contents
from stillroom.workbook.writer.record import add_rows, has_column

NOTHING_TOLD = Filling()
"""A kitchen of which nothing is known: every preserve of the handbook, with example figures."""


def start(path: Path, filling: Filling = NOTHING_TOLD) -> None:
    """
    Write a starting workbook for a kitchen.

    Without an altitude its cell stays blank, and red, until it is typed. A metric workbook weighs in kg and fills liter
    jars. Raises `CommandWrong` for a wrong altitude or gauge, `CouldNotWrite` when the file cannot be written.
    """
    started(path, filling)[0].save(path)


def started(
    path: Path, filling: Filling, stopped: Mapping[str, str] | None = None
) -> tuple[Book, Filled, Sequence[Place]]:
    """
    Return a starting workbook that is not saved yet, what it holds, and where.

    The preserves in `stopped` stand at Include = no, each with why. Raises as `start` does.
    """
    refuse_existing(path)
    contents, left = contents_for(filling)
    if stopped:
        rows = {**contents.rows, "Preserves": set_to_no(contents.rows["Preserves"], stopped)}
        contents, left = replace(contents, rows=rows), (*made_no(stopped), *left)
    book, places = new_book(path, contents, metric=filling.metric)
    return book, Filled(contents, left), places


def refuse_existing(path: Path) -> None:
    """Refuse to write over a file. Raises CouldNotWrite."""
    if path.exists():
        msg = f"{path} already exists; choose another name, or move that file first"
        raise CouldNotWrite(msg)


def new_book(path: Path, contents: Contents, *, metric: bool = False) -> tuple[Book, list[Place]]:
    """Give a workbook of all input and output tables, to be saved at `path`, and where each is; metric: on A4."""
    book = Book.new(path, contents.title)
    wanted = [table for table in tables().values() if not (table.optional or table.later)]
    with in_style(METRIC if metric else US):
        _, places = add_all(book, wanted, contents, NO_TABLES, metric=metric)
    return book, places


def build(contents: Contents, *, metric: bool = False) -> bytes:
    """Give the bytes of such a workbook; the same contents give the same bytes."""
    return new_book(Path("new.xlsx"), contents, metric=metric)[0].content()


# Moving in: the tables a household's workbook lacks, put on new sheets after its own; nothing of theirs changes.


@dataclass(frozen=True)
class Adopted:
    """
    What moving in comes to.

    `added` are the tables put on the new `sheets`, `used` those that were there with their place (`Garden!B4`), and
    `problems` what the household has to decide: blocks that look like a table of ours, tables that lack columns.
    `filled` is what the new tables were filled with, and `places` is where they stand.
    """

    sheets: tuple[str, ...]
    added: tuple[str, ...]
    used: tuple[tuple[str, str], ...]
    problems: tuple[Problem, ...]
    filled: Filled = field(default_factory=Filled)
    places: tuple[Place, ...] = ()


def adopt(book: Book, filling: Filling | None = None, stopped: Mapping[str, str] | None = None) -> Adopted:
    """
    Queue a new sheet for every group of tables that the workbook lacks; saving is left to the caller.

    A table of ours is used where it stands. What looks like one by its headings is named, and neither taken over nor
    doubled. What to do comes along on the first of the new sheets and the cautions on the last, unless a sheet is
    called so. A workbook that lacks nothing is not changed. With a `filling` the new tables hold the rows of a starting
    workbook, as far as they fit beside theirs; the preserves in `stopped` stand at Include = no. Raises WorkbookRefused
    when a sheet cannot be added, and CommandWrong for an altitude that cannot be read.
    """
    wanted = [table for table in tables().values() if not (table.optional or table.later)]
    named = {table.name: book.tables_named(table.name) for table in wanted}
    lost = [table for table in wanted if not named[table.name]]
    alike, parts = blocks(book, lost), other_tables(book, lost)
    problems = [*strangers(wanted, named), *named_blocks(alike), *named_tables(parts)]
    missing = [table for table in lost if not alike[table.name] and not parts[table.name]]
    standing = {name: found[0] for name, found in (*alike.items(), *named.items()) if found}
    metric = bool(missing or filling) and is_metric(find_rows(book, Reading(datetime.date.min)))
    filled, contents = Filled(), blank_contents(metric=metric)
    if filling is not None:
        metric = metric or filling.metric
        filled = starting_rows(book, [one.name for one in missing], filling, metric=metric, stopped=stopped)
        contents = filled.contents
    with in_style(METRIC if metric else US):
        sheets, places = add_all(book, missing, contents, standing, metric=metric)
    return Adopted(
        sheets=sheets,
        added=tuple(place.table.name for place in places),
        used=tuple((name, found[0].heading_place("")) for name, found in named.items() if found),
        problems=tuple(problems),
        filled=filled,
        places=tuple(places),
    )


def blocks(book: Book, lost: list[Table]) -> dict[str, list[FoundTable]]:
    """Blocks of cells outside every table that the reader would take for a table: those of each lost one."""
    read = [table for table in lost if table.role == "input" or table.name == "Plan"]
    found = blocks_by_headings(book, read)
    return {table.name: found.get(table.name, []) for table in lost}


def other_tables(book: Book, lost: list[Table]) -> dict[str, list[TablePart]]:
    """Tables of theirs under another name that have at least the headings a lost table cannot do without."""
    ours = {key_of(name) for name in tables()}
    theirs = [part for part in book.table_parts if not {key_of(part.name), key_of(part.display_name)} & ours]
    return {
        table.name: [part for part in theirs if has_headings(part.headings, headings_to_know(table))] for table in lost
    }


def headings_to_know(table: Table) -> Iterable[str]:
    """The headings by which a table is known: the needed ones of what is typed, all of what is written."""
    return least_headings(table) if table.role == "input" or table.name == "Plan" else table.headings


def has_headings(there: Iterable[str], wanted: Iterable[str]) -> bool:
    """
    Whether all the wanted headings are there; capitals and spaces do not matter.

    >>> has_headings(["lid", "On  Hand", "Shelf"], ["Lid", "On hand"]), has_headings(["Lid"], ["Lid", "On hand"])
    (True, False)
    """
    return {key_of(heading) for heading in wanted} <= {key_of(heading) for heading in there}


def strangers(wanted: list[Table], named: dict[str, list[FoundTable]]) -> list[Problem]:
    """Tables that have the name of one of ours, and lack headings that it cannot do without."""
    problems = []
    for table in wanted:
        for found in named[table.name]:
            if has_headings(found.headings, headings_to_know(table)):
                continue
            there = {key_of(heading) for heading in found.headings}
            lacking = [heading for heading in headings_to_know(table) if key_of(heading) not in there]
            field = ", ".join(lacking[:5])
            problems.append(Problem(found.heading_place(""), "column missing to adopt", (found.name,), field=field))
    return problems


def named_blocks(alike: dict[str, list[FoundTable]]) -> list[Problem]:
    """Say which blocks look like a table, and what to do to make each one, or to have it left out."""
    problems = []
    for name, several in alike.items():
        for found in several:
            names = (name, name.replace(" ", "_"), found.headings[0])
            problems.append(Problem(found.heading_place(""), "cells like a table", names))
    return problems


def named_tables(parts: dict[str, list[TablePart]]) -> list[Problem]:
    """Say which of their tables look like one of ours under another name."""
    problems = []
    for name, several in parts.items():
        for part in several:
            where = f"{part.sheet}!{letters(part.area.first_column)}{part.area.first_row}"
            known = {key_of(heading) for heading in headings_to_know(tables()[name])}
            heading = next(heading for heading in part.headings if key_of(heading) in known)
            names = (part.display_name, name, name.replace(" ", "_"), heading)
            problems.append(Problem(where, "table like another", names))
    return problems


# Trying the tables that were filled for a household: which of the new preserves would stop its check.

TRIAL_FT, TRIAL_GAUGE = 0.0, "weighted"
"""Tried where none is typed yet: without the altitude, or the gauge, the handbook lets nothing be canned anyway."""


def stopped(book: Book, places: Sequence[Place], rows: Rows) -> Mapping[str, Problem]:
    """
    Return the new preserves that the check would stop at, each with its first problem.

    `book` holds the new sheets already, saved or not. The problems of the household's own rows are not among them.
    """
    typed, problems = read.household(book, ANY_DAY)
    kitchen = typed.kitchen
    height = TRIAL_FT if kitchen.altitude_ft is None else kitchen.altitude_ft
    typed = typed.with_kitchen(altitude_ft=height, gauge=kitchen.gauge or TRIAL_GAUGE)
    counted, said = stocks.settle(typed)
    _, refused = settle_by_handbook(counted)
    found: dict[str, Problem] = {}
    for problem in (*problems, *said, *refused):
        name = preserve_at(problem.where, places, rows) if problem.is_error else None
        if name is not None:
            found.setdefault(name, problem)
    return found


def preserve_at(where: str, places: Sequence[Place], new_rows: Rows) -> str | None:
    """The new preserve that a place speaks of: a cell of its row in Preserves, or of one of its ingredients."""
    sheet, _, cell = where.rpartition("!")
    try:
        row, column = parse_address(cell)
    except Unreadable:
        return None
    for place in places:
        rows = new_rows.get(place.table.name, ())
        number = row - place.first_row
        inside = place.first_column <= column <= place.last_column and 0 <= number < len(rows)
        if place.table.name in ("Preserves", "Ingredients") and place.sheet == sheet.strip("'") and inside:
            return str(rows[number]["Preserve"])
    return None


MOST_OF_A_CROP = 6
"""So many preserves come with a crop; the others are added by their own name."""
COUNT = "count yours"


def add_crops(book: Book, texts: Sequence[str]) -> Addition:
    """
    Queue the rows of crops and preserves that are named in any usual way; saving is left to the caller.

    A crop comes with the preserves that the workbook has containers, equipment and ingredients for, and with targets
    for those at yes. What is there already is not added again, and nothing that is there changes. Nothing is queued
    where a word is unknown. Raises WorkbookRefused when a table cannot take its rows.
    """
    household, _ = read.household(book, ANY_DAY)
    metric = is_metric(find_rows(book, Reading(ANY_DAY)))
    people = household.kitchen.people or EXAMPLE_PEOPLE
    every = contents_for(Filling(metric=metric, people=people))[0].rows
    adding = Adding(household, every, what_they_have(book, household, every, ()), metric=metric)
    for text in texts:
        adding.name(text)
    if adding.unknown:
        return Addition({}, (), tuple(adding.unknown))
    rows = adding.new_rows(people)
    for table, several in rows.items():
        add_rows(book, table, [in_columns(book, table, row) for row in several])
    return Addition(rows, tuple(adding.left))


def in_columns(book: Book, table: str, row: Row) -> dict[str, Value]:
    """Return a row without the columns that the household has taken out, except those that every row needs."""
    needed = least_headings(tables()[table])
    return {
        heading: value  # type: ignore[misc]
        for heading, value in row.items()
        if value is not None and (heading in needed or has_column(book, table, heading))
    }


class Adding:
    """What is to be added while the names are gone through: crops, lines of the handbook, and what is left out."""

    def __init__(self, household: Household, every: Rows, theirs: Theirs, *, metric: bool) -> None:
        """Begin with what the household has; `every` are the rows of a starting workbook with all preserves."""
        self.household, self.every, self.theirs, self.metric = household, every, theirs, metric
        self.crops: list[str] = []
        self.lines: list[str] = []
        self.unknown: list[str] = []
        self.left: list[LeftOut] = []

    def name(self, text: str) -> None:
        """Take in a crop or a preserve by its name: a preserve where its crop is there already."""
        meant, lines = catalogue.crops_meant(text), self.lines_meant(text)
        if lines and all(self.known("Crops", crop) for crop in meant):
            self.lines += lines
            self.crops += [main for line in lines if not self.known("Crops", main := catalogue.main_crops()[line])]
        elif meant:
            self.crops += meant
        else:
            self.unknown.append(text)

    def lines_meant(self, text: str) -> list[str]:
        """Return the usual lines of the catalogue that have all the words of a text, and more than a crop's name."""
        words = tokens(text)
        if not words or any(words == tokens(str(row["Crop"])) for row in self.every["Crops"]):
            return []
        own = {one.line: tokens(catalogue.own_name(one, metric=self.metric)) for one in catalogue.chosen()}
        exact = [line for line, name in own.items() if name == words]
        usual = [
            one.line for one in catalogue.chosen() if catalogue.is_usual(one) and holds_phrase(own[one.line], words)
        ]
        return exact or usual

    def called(self, table: str, name: object) -> str:
        """Return what the household calls a thing of ours."""
        return self.theirs.called.get(table, {}).get(str(name), str(name))

    def known(self, table: str, name: str) -> bool:
        """Return whether the household has a thing of ours, under its own name for it."""
        return self.theirs.names[table].find(self.called(table, name)) is not None

    def lacking(self, preserve: CataloguePreserve, row: Row, coming: Collection[str]) -> str:
        """Return what the household lacks for a preserve, in words; empty when it can be made."""
        for piece in pieces_of(row):
            if not self.known("Equipment", piece):
                return f"your *Equipment* has no {piece}"
        if not self.known("Containers", container := str(row["Container"])):
            return f"your *Containers* has no {container}"
        for item in preserve.items:
            if item.source == "crop" and item.item not in self.crops and not self.known("Crops", item.item):
                return f"your *Crops* has no {item.item}"
            if item.source == "preserve" and item.item not in coming and not self.known("Preserves", item.item):
                return f"your *Preserves* has no {item.item}"
        return ""

    def preserves(self) -> list[CataloguePreserve]:
        """Return the preserves to be added: those named, and of each crop the usual ones that can be made."""
        lines = {key(preserve.handbook_line or preserve.name) for preserve in self.household.preserves}
        there = {
            one.line
            for one in catalogue.chosen()
            if key(one.line) in lines or self.known("Preserves", catalogue.own_name(one, metric=self.metric))
        }
        many = Counter(catalogue.main_crops()[line] for line in there)
        wanted = [
            one
            for one in catalogue.chosen()
            if (one.line in self.lines or (catalogue.main_crops()[one.line] in self.crops and catalogue.is_usual(one)))
            and one.line not in there
        ]
        rows = {one.line: self.row_of(one) for one in wanted}
        coming = {one.line for one in wanted}
        why = {one.line: self.lacking(one, rows[one.line], coming) for one in wanted}
        able = sorted((one for one in wanted if not why[one.line]), key=catalogue.rank)
        kept: list[CataloguePreserve] = []
        for one in able:
            crop = catalogue.main_crops()[one.line]
            if one.line in self.lines or many[crop] < MOST_OF_A_CROP:
                kept.append(one)
                many[crop] += 1
            else:
                why[one.line] = "seldom made"
        for words in dict.fromkeys(filter(None, why.values())):
            names = tuple(str(rows[line]["Preserve"]) for line, because in why.items() if because == words)
            self.left.append(LeftOut("Preserves", names, words))
        return catalogue.at_yes(kept, [wish.products for wish in WISHES])

    def row_of(self, preserve: CataloguePreserve) -> Row:
        """Return the row of Preserves of a line, in our names."""
        name = catalogue.own_name(preserve, metric=self.metric)
        return next(row for row in self.every["Preserves"] if row["Preserve"] == name)

    def new_rows(self, people: float) -> dict[str, list[Row]]:
        """Return the rows by table, as the household calls things."""
        kept = self.preserves()
        names = {catalogue.own_name(one, metric=self.metric): one.make or one.line in self.lines for one in kept}
        ingredients = [row for row in self.every["Ingredients"] if row["Preserve"] in names]
        bought = {str(row["Item"]) for row in ingredients}
        counts = [row for row in self.every["Counts toward"] if row["Preserve"] in names]
        wanted = {str(row["Target"]) for row in counts}
        made = {str(row["Target"]) for row in counts if names[str(row["Preserve"])]}
        targets = {first(row): row for row in self.every["Winter list"] if first(row) in wanted}
        standing = {name: self.theirs.targets.get(key(name)) for name in targets}
        targets = {name: row for name, row in targets.items() if name in made or standing[name] is not None}
        other = {name for name, unit in standing.items() if unit is not None and not same_unit(unit, targets[name])}
        sources = {str(row["Ingredient"]): "Pantry" for row in self.every["Pantry"]}
        sources |= {str(row["Crop"]): "Crops" for row in self.every["Crops"]}
        return {
            "Crops": [
                row for row in self.every["Crops"] if row["Crop"] in self.crops and not self.known("Crops", first(row))
            ],
            "Pantry": [
                {**row, "On hand": 0, "Note": COUNT}
                for row in self.every["Pantry"]
                if row["Ingredient"] in bought and not self.known("Pantry", first(row))
            ],
            "Preserves": [
                self.in_their_words(row, include=names[first(row)])
                for row in self.every["Preserves"]
                if row["Preserve"] in names
            ],
            "Ingredients": [
                {**row, "Item": self.called(sources.get(str(row["Item"]), "Preserves"), row["Item"])}
                for row in ingredients
            ],
            "Winter list": [plain_target(row, people) for name, row in targets.items() if standing[name] is None],
            "Counts toward": [row for row in counts if row["Target"] in targets and row["Target"] not in other],
        }

    def in_their_words(self, row: Row, *, include: bool) -> Row:
        """Return a row of Preserves with its container and equipment called as they are called there."""
        pieces = ", ".join(self.called("Equipment", piece) for piece in pieces_of(row))
        return {
            **row,
            "Container": self.called("Containers", row["Container"]),
            "Equipment": pieces or None,
            "Include": "yes" if include else "no",
        }


def same_unit(unit: str, target: Mapping[str, object]) -> bool:
    """Return whether a target of the household's is counted in the unit of ours."""
    return unit_name(unit) == unit_name(str(target["Unit"]))
