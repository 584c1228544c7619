"""Which rows of a starting workbook fit beside the tables that a household already has; the others are left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from stillroom.household.names import Names, key
from stillroom.household.results.commands import LeftOut
from stillroom.household.units import find_unit
from stillroom.workbook.starter.layout import Row, Rows

ITEMS = ("Crops", "Pantry", "Preserves")
"""Tables whose things may all be ingredients, so that a name may stand in only one of them."""
TOGETHER = (
    ("Preserves", "Ingredients"),
    ("Ingredients", "Preserves"),
    ("Counts toward", "Preserves"),
    ("Winter list", "Preserves"),
    ("Winter list", "Counts toward"),
)
"""A table, and the one without which its starting rows say nothing: a recipe is never put beside theirs."""
NAMED_FEW = 5
Wanted = Callable[[Row], list[tuple[str, str]]]
"""What a row needs, as pairs of a table and a name in it."""


@dataclass(frozen=True)
class Theirs:
    """
    What a household has: its tables, the names in them, and by table what it calls the things of a starting workbook.

    `called` goes by table, then by our name: `{"Containers": {"quart jar": "big jar"}}`. `targets` are the units of
    their winter list by name, in small letters and without spaces. `undecided` are tables that may be theirs under
    another name; they are among `tables`, and nothing in them is known.
    """

    tables: frozenset[str]
    names: Mapping[str, Names]
    called: Mapping[str, Mapping[str, str]]
    targets: Mapping[str, str] = field(default_factory=dict)
    undecided: frozenset[str] = frozenset()


def fitted(every: Rows, theirs: Theirs) -> tuple[dict[str, list[Row]], tuple[LeftOut, ...]]:
    """
    Give the starting rows of the tables that a household lacks, in its own names, and what was left out.

    `every` holds the rows of all tables, theirs included. A preserve comes with all of its ingredients or not at all.
    """
    fitting = Fitting(every, theirs)
    fitting.leave_tables()
    fitting.leave_same_names()
    fitting.leave_unlidded()
    fitting.leave_preserves()
    fitting.leave_targets()
    return fitting.rows, tuple(fitting.left)


class Fitting:
    """The rows while they are gone through, table by table, and what was left out so far."""

    def __init__(self, every: Rows, theirs: Theirs) -> None:
        """Begin with the rows of every table that they lack, with things called as they call them."""
        self.theirs = theirs
        self.sources = {
            str(row[tables_first]): table
            for table, tables_first in (("Preserves", "Preserve"), ("Pantry", "Ingredient"), ("Crops", "Crop"))
            for row in every.get(table, ())
        }
        self.items: dict[str, list[tuple[str, str]]] = {}
        for row in every.get("Ingredients", ()):
            source = self.sources[str(row["Item"])]
            self.items.setdefault(str(row["Preserve"]), []).append((source, self.called(source, row["Item"])))
        self.rows = {
            table: [self.in_their_words(table, row) for row in rows]
            for table, rows in every.items()
            if table not in theirs.tables
        }
        self.wishes = {first(row): row for row in every.get("Winter list", ())}
        self.left: list[LeftOut] = []

    def called(self, table: str, name: object) -> str:
        """What they call a thing of ours."""
        return self.theirs.called.get(table, {}).get(str(name), str(name))

    def in_their_words(self, table: str, row: Row) -> Row:
        """The row with what it names in other tables called as it is called there."""
        if table == "Ingredients":
            return {**row, "Item": self.called(self.sources[str(row["Item"])], row["Item"])}
        if table != "Preserves":
            return row
        pieces = [self.called("Equipment", piece) for piece in pieces_of(row)]
        return {
            **row,
            "Container": self.called("Containers", row["Container"]),
            "Equipment": ", ".join(pieces) or None,
        }

    def known(self, table: str, name: str) -> bool:
        """Whether a thing is there: in their table where they have one, else in ours."""
        if table in self.theirs.tables:
            return self.theirs.names[table].find(name) is not None
        wanted = key(name)
        return any(key(first(row)) == wanted for row in self.rows.get(table, ()))

    def leave(self, table: str, lacking: Mapping[str, str]) -> None:
        """Leave rows of a table out by name; `lacking` says why of each, and equal reasons are told once."""
        self.rows[table] = [row for row in self.rows[table] if first(row) not in lacking]
        self.left += told(table, lacking)

    def leave_tables(self) -> None:
        """Fill no table whose rows lean on one that is theirs."""
        empty = set(self.theirs.tables)
        while True:
            more = next((one for one in TOGETHER if one[0] in self.rows and one[1] in empty), None)
            if more is None:
                return
            table, beside = more
            why = f"its starting rows belong to those of *{beside}*, and "
            why += "that table is yours" if beside in self.theirs.tables else "those were left out"
            self.left.append(LeftOut(table, (), why, whole=True))
            del self.rows[table]
            empty.add(table)

    def leave_same_names(self) -> None:
        """Leave out what has the name of an ingredient in another table of theirs."""
        for table in ITEMS:
            others = [other for other in ITEMS if other != table and other in self.theirs.tables]
            clashes = {
                first(row): f"your *{other}* has something of the same name"
                for row in self.rows.get(table, ())
                for other in others
                if self.theirs.names[other].find(first(row)) is not None
            }
            if clashes:
                self.leave(table, clashes)

    def leave_unlidded(self) -> None:
        """Leave out containers whose lid is not among theirs."""
        rows = self.rows.get("Containers", ())
        self.lacking("Containers", rows, lambda row: [("Lids", str(row["Lid"]))] if row.get("Lid") else [])

    def leave_preserves(self) -> None:
        """Leave out preserves that need something which is not there, and what is made from those; then their rows."""
        if "Preserves" not in self.rows:
            return
        while self.lacking("Preserves", self.rows["Preserves"], self.wanted):
            pass
        for table in ("Ingredients", "Counts toward"):
            if table in self.rows:
                kept = [row for row in self.rows[table] if self.known("Preserves", str(row["Preserve"]))]
                self.rows[table] = kept

    def wanted(self, row: Row) -> list[tuple[str, str]]:
        """What one preserve needs: its container, its equipment and its ingredients, each with its table."""
        needed = [("Containers", str(row["Container"])), *(("Equipment", piece) for piece in pieces_of(row))]
        return needed + self.items.get(first(row), [])

    def leave_targets(self) -> None:
        """Leave out needs that nothing is left to count toward, and what counts toward none of theirs."""
        if "Counts toward" in self.rows and "Winter list" in self.theirs.tables:
            lines = {key(target): row for target, row in self.wishes.items()}
            strange = [target for target in lines if not self.same_target(target, lines[target])]
            names = {first(row) for row in self.rows["Counts toward"] if key(first(row)) in strange}
            self.leave(
                "Counts toward", dict.fromkeys(sorted(names), "your *Winter list* has no such line in the same unit")
            )
        if "Winter list" in self.rows and "Counts toward" in self.rows:
            counted = {str(row["Target"]) for row in self.rows["Counts toward"]}
            none = [first(row) for row in self.rows["Winter list"] if first(row) not in counted]
            self.leave("Winter list", dict.fromkeys(none, "every preserve that counts toward them was left out"))

    def same_target(self, target: str, row: Row) -> bool:
        """Whether their winter list has a line of ours, counted in the same unit."""
        unit = self.theirs.targets.get(target)
        return unit is not None and unit_name(unit) == unit_name(str(row["Unit"]))

    def lacking(self, table: str, rows: Iterable[Row], wanted: Wanted) -> bool:
        """Leave out rows that want something unknown; gives whether there were any."""
        found: dict[str, tuple[str, str]] = {}
        for row in rows:
            unknown = next((one for one in wanted(row) if not self.known(*one)), None)
            if unknown is not None:
                found[first(row)] = unknown
        for beside in dict.fromkeys(where for where, _ in found.values()):
            names = {name for name, (where, _) in found.items() if where == beside}
            lacks = dict.fromkeys(what for where, what in found.values() if where == beside)
            why = f"there is no {few(list(lacks))}"
            if beside in self.theirs.undecided:
                why = f"no table is called *{beside}* yet"
            elif beside in self.theirs.tables:
                why = f"your *{beside}* has no {few(list(lacks))}"
            self.leave(table, dict.fromkeys(sorted(names), why))
        return bool(found)


def first(row: Row) -> str:
    """The name a row gives its thing, which stands in its first column."""
    return str(next(iter(row.values())))


def unit_name(text: str) -> str:
    """
    The own name of a unit however it is spelled; the text itself where it is no unit of ours.

    >>> unit_name("Quarts") == unit_name("qt"), unit_name("half L")
    (True, 'halfl')
    """
    unit = find_unit(text)
    return unit.name if unit is not None else key(text)


def pieces_of(row: Row) -> list[str]:
    """The pieces of equipment that a preserve goes through."""
    return [piece.strip() for piece in str(row.get("Equipment") or "").split(",") if piece.strip()]


def told(table: str, lacking: Mapping[str, str]) -> Iterable[LeftOut]:
    """Say once of all rows what is the same for them."""
    for why in dict.fromkeys(lacking.values()):
        yield LeftOut(table, tuple(name for name, because in lacking.items() if because == why), why)


def few(names: Sequence[str]) -> str:
    """
    The first names, and how many there are besides.

    >>> few(["plums", "pears"]), few(["a", "b", "c", "d", "e", "f", "g"])
    ('plums, pears', 'a, b, c, d, e and 2 more')
    """
    shown, more = ", ".join(names[:NAMED_FEW]), len(names) - NAMED_FEW
    return f"{shown} and {more} more" if more > 0 else shown
