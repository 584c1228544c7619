"""Crops of the catalogue added to a workbook in use: a row of each, the preserves made of it, and their targets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence

from stillroom.handbook.catalogue import CataloguePreserve
from stillroom.handbook.names import holds_phrase, tokens
from stillroom.household.names import key
from stillroom.household.records import Household
from stillroom.household.results.commands import Addition, LeftOut
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.reader import household as read
from stillroom.workbook.reader.context import Reading
from stillroom.workbook.reader.kitchen import is_metric
from stillroom.workbook.reader.tables import find_rows, least_headings
from stillroom.workbook.schema.schema import tables
from stillroom.workbook.starter import catalogue
from stillroom.workbook.starter.examples import EXAMPLE_PEOPLE, WISHES
from stillroom.workbook.starter.first_rows import ANY_DAY, Filling, contents_for, plain_target, what_they_have
from stillroom.workbook.starter.fit_rows import Theirs, first, pieces_of, unit_name
from stillroom.workbook.starter.positions import Row, Rows
from stillroom.workbook.writer.record import add_rows, has_column

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
