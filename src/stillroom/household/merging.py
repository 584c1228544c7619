"""
Two copies of a workbook brought together by what both came from: rows by key cell by cell, logs as multisets of rows.

Nothing is decided that only the household can know: such a cell or row becomes a question, with what stands in either
copy. Merged in the other direction, with the answers turned around, the same rows come out.
"""

from __future__ import annotations

import datetime
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from stillroom.household.names import key, tidy_text
from stillroom.household.records import HAPPENED, OF_A_CROP
from stillroom.household.text import format_date_and_year, format_number
from stillroom.household.units import find_unit

MINE, THEIRS, BOTH = "mine", "theirs", "both"
NOT_THERE, DELETED = "not there", "deleted"
KEYS: Mapping[str, tuple[str, ...]] = {
    "Kitchen": ("Setting",),
    "Hours": ("What",),
    "Equipment": ("Equipment", "Load unit"),
    "Crops": ("Crop",),
    "Containers": ("Container",),
    "Lids": ("Lid",),
    "Pantry": ("Ingredient",),
    "Preserves": ("Preserve",),
    "Ingredients": ("Preserve", "Item"),
    "Winter list": ("Target",),
    "Counts toward": ("Target", "Preserve"),
    "Plan": ("Day", "Days", "Preserve"),
}
"""The headings by which a row of a table is the same in two copies."""
LOGS: Mapping[str, tuple[str, ...]] = {
    "Harvest": ("Picked on", "Crop"),
    "Record": ("Date", "Preserve", "Crop"),
    "Shelf": ("Preserve", "Made on"),
}
"""The logs, with the headings that a row keeps when it is corrected, as a rule."""
COUNT = ("On hand", "Counted on")
"""A count and its day are one value."""
IN_UNIT: Mapping[str, tuple[str, ...]] = {
    "Kitchen": ("Value",),
    "Crops": ("Bushel weighs", "Eaten fresh each week", "Minutes to freeze"),
    "Containers": ("Holds",),
    "Pantry": COUNT,
    "Ingredients": ("Amount each",),
    "Winter list": ("Wanted", "At most", "Meals each"),
}
"""What is in the unit of its row: one value with it where the two copies do not have the same unit."""
GIVES_NAMES = ("Crops", "Preserves", "Containers", "Lids", "Pantry", "Equipment", "Winter list")
NAMED_IN: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("Hours", "What"): ("Equipment",),
    ("Equipment", "Load unit"): ("Containers",),
    ("Harvest", "Crop"): ("Crops",),
    ("Containers", "Lid"): ("Lids",),
    ("Shelf", "Preserve"): ("Preserves",),
    ("Preserves", "Container"): ("Containers",),
    ("Preserves", "Equipment"): ("Equipment",),
    ("Ingredients", "Preserve"): ("Preserves",),
    ("Ingredients", "Item"): ("Crops", "Pantry", "Preserves"),
    ("Counts toward", "Target"): ("Winter list",),
    ("Counts toward", "Preserve"): ("Preserves",),
    ("Record", "Preserve"): ("Preserves", "Crops", "Containers", "Lids", "Pantry"),
    ("Record", "Crop"): ("Crops",),
    ("Plan", "Preserve"): ("Preserves", "Crops"),
}
"""The tables whose names stand in a column, besides the first column of the table itself."""
ALIKE = 0.5
"""The share of cells that two rows have alike for one to be the other after a change."""
_STARTS = frozenset(key(start.rstrip(": ")) for start in (*OF_A_CROP, *HAPPENED))
"""What may come before a name and a colon, as in `ate: jam`; of any other colon both sides are one name."""
_PLAN_LINE = re.compile(r"\[plan [0-9a-f]{8}\]")

Content = frozenset[tuple[str, object]]


@dataclass(frozen=True)
class Line:
    """
    A row of one copy: what is in its cells by heading (blank ones left out), and their formulas.

    `where` is its first cell, `at` its row in the sheet (0 for what has none yet), `columns` are letters by heading.
    """

    cells: Mapping[str, object]
    at: int = 0
    formulas: Mapping[str, str] = field(default_factory=dict)
    where: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)

    def place(self, heading: str) -> str:
        """
        Give the cell under a heading.

        >>> Line({}, 7, where="On hand!A7", columns={"Counted on": "F"}).place("Counted on")
        'On hand!F7'
        """
        letters = self.columns.get(heading)
        return self.where if letters is None else f"{self.where.rpartition('!')[0]}!{letters}{self.at}"

    @property
    def content(self) -> Content:
        """What two rows of a log have alike when they are the same row."""
        return frozenset((heading, plain(value)) for heading, value in self.cells.items())


Tables = Mapping[str, Sequence[Line]]


@dataclass(frozen=True)
class Question:
    """What the household decides: what stands in either copy, with its cell; `both` where both may stay."""

    label: str
    mine: str
    theirs: str
    both: bool = False
    answer: str = ""


@dataclass(frozen=True)
class Taken:
    """One thing that is otherwise than in the first copy: in which table, what it is now, and what stood there."""

    table: str
    what: str
    now: str
    before: str


@dataclass(frozen=True)
class Placed:
    """A row of the workbook to be: the row of the first copy it takes the place of, if any, and its cells."""

    line: Line | None
    cells: Mapping[str, object]


@dataclass(frozen=True)
class Merged:
    """The rows of each table to be, every question with its answer, and what was taken from the second copy."""

    rows: Mapping[str, list[Placed]]
    questions: tuple[Question, ...]
    taken: tuple[Taken, ...]

    @property
    def open(self) -> tuple[Question, ...]:
        """The questions that have no answer yet; their first copy stands in `rows` meanwhile."""
        return tuple(one for one in self.questions if not one.answer)


@dataclass(frozen=True)
class TwoCopies:
    """
    What comes of two copies, for showing: their names and that of the copy both came from.

    `known`: the first has all of the second. `sheets` and `columns` of the second are otherwise, and not taken.
    """

    mine_name: str
    theirs_name: str
    base_name: str | None
    merged: Merged
    known: bool = False
    sheets: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()


def plain(value: object) -> object:
    """
    Make a value comparable, whichever program wrote it.

    >>> plain(7), plain(7.0000000000000001), plain(" 2  bu "), plain(datetime.datetime(2026, 8, 14))
    (7.0, 7.0, '2 bu', datetime.date(2026, 8, 14))
    """
    if isinstance(value, bool):
        return str(value)
    if isinstance(value, int | float):
        return float(format(value, ".12g"))
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        return value.date()
    return tidy_text(value) if isinstance(value, str) else value


def shown(value: object) -> str:
    """
    Show a value in a question.

    >>> shown(33.0), shown(datetime.date(2026, 8, 14)), shown(None)
    ('33', 'Aug 14, 2026', 'blank')
    """
    value = plain(value)
    if type(value) is datetime.date:
        return format_date_and_year(value)
    if isinstance(value, float):
        return format_number(value, 6)
    return "blank" if value is None else str(value)


def row_words(line: Line | None) -> str:
    """Show a row, with its place."""
    if line is None:
        return NOT_THERE
    words = ", ".join(shown(value) for value in line.cells.values())
    return f"{words} ({line.where})" if line.where else words


def merge(base: Tables | None, mine: Tables, theirs: Tables, answer: Callable[[Question], str]) -> Merged:
    """
    Bring two copies together; `base` is the copy both came from, None where there is none.

    `answer` gives "mine", "theirs" or "both" for a question, "" while it is open. A table that one of the two has not
    is left as it is in the other. Where one copy is metric and the other is not, or the two together would be, every
    unit that decides it is asked about, and a blank unit is filled in where it would mean another than before.
    """
    metric, other = is_metric(mine), is_metric(theirs)
    found = _merged(base, mine, theirs, answer, asks_units=metric != other)
    if metric == other and is_metric(found.rows) != metric:
        found = _merged(base, mine, theirs, answer, asks_units=True)
    before, past = (metric, mine) if metric == other or base is None else (is_metric(base), base)
    if metric != other or is_metric(found.rows) != before:
        return replace(found, rows=with_units_kept(found.rows, past, mine, theirs, metric=before))
    return found


def _merged(
    base: Tables | None, mine: Tables, theirs: Tables, answer: Callable[[Question], str], *, asks_units: bool
) -> Merged:
    found = _Merging(answer, has_base=base is not None, asks_units=asks_units)
    if asks_units:
        has = tables_with_units(mine, theirs)
        mine, theirs = (with_units(copy, has, base or {}, metric=is_metric(copy)) for copy in (mine, theirs))
    base, mine, theirs = found.with_names_settled(base or {}, mine, theirs)
    rows = {}
    for table in dict.fromkeys([*mine, *theirs]):
        if table in mine and table not in theirs:
            rows[table] = [Placed(line, line.cells) for line in mine[table]]
        elif table in mine or table not in base:
            merged = found.log if table in LOGS else found.keyed
            rows[table] = merged(table, base.get(table, ()), mine.get(table, ()), theirs.get(table, ()))
    return Merged(rows, tuple(found.questions), tuple(found.taken))


# Units: what a blank one means depends on whether the workbook is metric, and on the unit of the crop.

Rows = Mapping[str, Sequence[Line | Placed]]
OF_A_CROP_IN = {"Harvest": "Crop", "Record": "Crop", "Ingredients": "Item"}
"""The tables in which a blank unit is that of the crop, and where its name stands."""
SETTINGS_IN = {"space free": ("cu ft", "L"), "freezer size": ("cu ft", "L"), "freeze in a day": ("lb", "kg")}
"""How the name of a setting ends, and what its blank unit means in a US and in a metric workbook."""


def is_metric(rows: Rows) -> bool:
    """Whether a workbook of these rows is read as metric: altitude in meters, or most crops weighed in kg or g."""
    for line in rows.get("Kitchen", ()):
        if _is_altitude(line.cells):
            typed = shown(line.cells.get("Value")).lstrip("0123456789.,- "), shown(line.cells.get("Unit"))
            unit = next((one for text in typed if (one := find_unit(text)) is not None), None)
            if unit is not None and unit.name == "m":
                return True
    units = [find_unit(shown(line.cells.get("Unit"))) for line in rows.get("Crops", ())]
    known = [unit.name for unit in units if unit is not None]
    return 2 * sum(name in ("kg", "g") for name in known) > len(known)


def _is_altitude(cells: Mapping[str, object]) -> bool:
    return key(shown(cells.get("Setting"))) == "altitude"


def tables_with_units(*copies: Tables) -> set[str]:
    """Name the tables that have a column for the unit."""
    return {
        name
        for copy in copies
        for name, lines in copy.items()
        for line in lines
        if {"Unit"} & {*line.columns, *line.cells}
    }


def crop_units(rows: Rows, *, metric: bool) -> dict[str, str]:
    """Give the unit of each crop by the key of its name; a blank one is that of the workbook."""
    usual = "kg" if metric else "lb"
    return {
        key(shown(line.cells.get("Crop"))): shown(line.cells["Unit"]) if "Unit" in line.cells else usual
        for line in rows.get("Crops", ())
    }


def blank_unit(table: str, cells: Mapping[str, object], crops: Mapping[str, str], *, metric: bool) -> str:
    """
    Give what a blank unit of a row means, by the units of the crops; empty where it means none of these.

    >>> blank_unit("Harvest", {"Crop": "Plum", "Amount": 9.0}, {"plum": "kg"}, metric=False)
    'kg'
    >>> blank_unit("Kitchen", {"Setting": "shelf space free", "Value": 3.0}, {}, metric=True)
    'L'
    """
    if "Unit" in cells:
        return ""
    if table == "Crops":
        return "kg" if metric else "lb"
    if table == "Kitchen":
        name = key(shown(cells.get("Setting")))
        return next((units[metric] for end, units in SETTINGS_IN.items() if name.endswith(key(end))), "")
    if table in OF_A_CROP_IN:
        name = key(shown(cells.get(OF_A_CROP_IN[table])))
        same = set(crops.values())
        alone = table == "Record" and "Crop" not in cells and "Crop used" in cells and len(same) == 1
        return next(iter(same)) if alone else crops.get(name, "")
    return ""


def with_units(copy: Tables, has: Collection[str], same: Tables, *, metric: bool) -> Tables:
    """Give a copy with its blank units filled in, in the tables that have units, but for rows that are in `same`."""
    crops, result = crop_units(copy, metric=metric), {}
    for table, lines in copy.items():
        known = {line.content for line in same.get(table, ())} if table in has else set()
        result[table] = [
            replace(line, cells={**line.cells, "Unit": unit})
            if table in has
            and line.content not in known
            and (unit := blank_unit(table, line.cells, crops, metric=metric))
            else line
            for line in lines
        ]
    return result


def with_units_kept(
    rows: Mapping[str, list[Placed]], past: Tables, *copies: Tables, metric: bool
) -> dict[str, list[Placed]]:
    """Give rows with a blank unit filled in where it means another now than in the past they come from."""
    now, has = is_metric(rows), tables_with_units(*copies)
    crops, crops_now = crop_units(past, metric=metric), crop_units(rows, metric=now)
    result = {}
    for table, several in rows.items():
        result[table] = list(several)
        for number, row in enumerate(several if table in has else ()):
            unit = blank_unit(table, row.cells, crops, metric=metric)
            if unit and unit != blank_unit(table, row.cells, crops_now, metric=now):
                result[table][number] = replace(row, cells={**row.cells, "Unit": unit})
    return result


@dataclass
class _Merging:
    """One merge under way: the questions asked so far, and what was taken."""

    answer: Callable[[Question], str]
    has_base: bool
    asks_units: bool = False
    questions: list[Question] = field(default_factory=list)
    taken: list[Taken] = field(default_factory=list)
    _labels: Counter[str] = field(default_factory=Counter)

    def ask(self, label: str, mine: str, theirs: str, *, both: bool = False) -> str:
        """Ask; what is not answered yet stays as it is in the first copy."""
        self._labels[label] += 1
        number = self._labels[label]
        question = Question(label if number == 1 else f"{label} ({number})", mine, theirs, both)
        given = self.answer(question)
        given = given if given != BOTH or both else ""
        self.questions.append(replace(question, answer=given))
        return given or MINE

    # ---- names -----------------------------------------------------------------------------------------------------

    def with_names_settled(self, base: Tables, mine: Tables, theirs: Tables) -> tuple[Tables, Tables, Tables]:
        """Ask about each thing that has another name in one copy, and give the three with the same name for it."""
        for table in GIVES_NAMES if self.has_base else ():
            heading = KEYS[table][0]
            first, second = (_renames(base.get(table, ()), copy.get(table, ()), heading) for copy in (mine, theirs))
            for old in sorted({*first, *second}):
                name = _spelled(base[table], heading, old)
                ours, other = first.get(old, name), second.get(old, name)
                if key(ours) != key(other):
                    now = self.ask(f"{table}, {name}: name", ours, other) == MINE
                    final = ours if now else other
                    if not now:
                        self.taken.append(Taken(table, name, final, ours))
                else:
                    final = ours
                base, mine, theirs = (
                    _with_names(copy, table, {key(name): final, key(called): final})
                    for copy, called in ((base, name), (mine, ours), (theirs, other))
                )
        return base, mine, theirs

    # ---- rows by key -----------------------------------------------------------------------------------------------

    def keyed(self, table: str, base: Sequence[Line], mine: Sequence[Line], theirs: Sequence[Line]) -> list[Placed]:
        """Merge a table whose rows have a key, cell by cell; rows that share one are compared as a group."""
        groups = [_by_key(table, lines) for lines in (base, mine, theirs)]
        found: dict[tuple[str, ...], list[Placed]] = {}
        for one in sorted({*groups[1], *groups[2]}):
            was, ours, other = (group.get(one, []) for group in groups)
            name = min(_named(table, line) for line in (*ours, *other))
            if max(len(was), len(ours), len(other)) > 1:
                found[one] = self._group(table, name, was, ours, other)
            else:
                row = self._row(table, name, *(lines[0] if lines else None for lines in (was, ours, other)))
                found[one] = [] if row is None else [row]
        return [row for one in dict.fromkeys([*groups[1], *groups[2]]) for row in found[one]]

    def _group(
        self, table: str, one: tuple[str, ...], base: list[Line], mine: list[Line], theirs: list[Line]
    ) -> list[Placed]:
        was, ours, other = (Counter(line.content for line in lines) for lines in (base, mine, theirs))
        result = ours
        if ours != other and not (self.has_base and other == was):
            chosen = THEIRS
            if not (self.has_base and ours == was):
                words = ["; ".join(map(row_words, lines)) or DELETED for lines in (mine, theirs)]
                chosen = self.ask(_label(table, one), words[0], words[1], both=bool(mine and theirs))
            result = {MINE: ours, THEIRS: other, BOTH: ours | other}[chosen]
        return self._placed(table, result, mine, theirs, {})

    def _row(
        self, table: str, one: tuple[str, ...], base: Line | None, mine: Line | None, theirs: Line | None
    ) -> Placed | None:
        if mine is None or theirs is None:
            return self._in_one_copy(table, one, base, mine, theirs)
        cells = dict(mine.cells)
        was = base if base is not None else Line({})
        for atom in _atoms(table, mine, theirs):
            if all(_same(mine, theirs, heading) for heading in atom):
                continue
            asked = self.asks_units and _decides_units(table, mine, atom)
            if self.has_base and not asked and all(_same(was, theirs, heading) for heading in atom):
                continue
            one_sided = self.has_base and not asked and all(_same(was, mine, heading) for heading in atom)
            if one_sided or self._chosen(table, one, atom, mine, theirs) == THEIRS:
                now = {heading: theirs.cells[heading] for heading in atom if heading in theirs.cells}
                cells = {heading: value for heading, value in cells.items() if heading not in atom} | now
                label = _label(table, (*one, _heading(atom)))
                self.taken.append(Taken(table, label.partition(", ")[2], _of(theirs, atom), _of(mine, atom)))
        return Placed(mine, cells)

    def _chosen(self, table: str, one: tuple[str, ...], atom: Sequence[str], mine: Line, theirs: Line) -> str:
        """Which copy a value is taken from that both have changed: the later count, else what the household says."""
        ours, other = (_day(line.cells.get(COUNT[1])) for line in (mine, theirs))
        label = _label(table, (*one, _heading(atom)))
        if self.has_base and set(COUNT) <= set(atom) and ours is not None and other is not None and ours != other:
            if ours > other:
                words = f"{_of(mine, atom)} stays, counted later than {_of(theirs, atom)}"
                self.taken.append(Taken(table, label.partition(", ")[2], words, ""))
            return MINE if ours > other else THEIRS
        shown_as = [f"{_of(line, atom)} ({line.place(atom[0])})" for line in (mine, theirs)]
        return self.ask(label, *shown_as)

    def _in_one_copy(
        self, table: str, one: tuple[str, ...], base: Line | None, mine: Line | None, theirs: Line | None
    ) -> Placed | None:
        """Give the row that only one copy has: added there, deleted in the other, or to be asked about."""
        line = mine if mine is not None else theirs
        if line is None:
            return None
        side, other = (MINE, THEIRS) if mine is not None else (THEIRS, MINE)
        stays = True
        if not self.has_base:
            words = {side: row_words(line), other: NOT_THERE}
            stays = self.ask(_label(table, one), words[MINE], words[THEIRS], both=True) in (side, BOTH)
        elif base is not None and line.content == base.content:
            stays = False
        elif base is not None:
            words = {side: row_words(line), other: DELETED}
            stays = self.ask(_label(table, one), words[MINE], words[THEIRS]) == side
        if stays == (mine is None):
            words_now = (row_words(line), NOT_THERE) if stays else (DELETED, row_words(line))
            self.taken.append(Taken(table, ", ".join(one), *words_now))
        return Placed(mine, line.cells) if stays else None

    # ---- logs ------------------------------------------------------------------------------------------------------

    def log(self, table: str, base: Sequence[Line], mine: Sequence[Line], theirs: Sequence[Line]) -> list[Placed]:
        """Merge a log: what either copy added comes together, each correction once."""
        was, ours, other = (Counter(line.content for line in lines) for lines in (base, mine, theirs))
        lines = {line.content: line for line in (*base, *theirs, *mine)}
        places = [{line.content: line for line in several} for several in (mine, theirs)]

        def words(content: Content | None, side: int) -> str:
            return DELETED if content is None else row_words(places[side].get(content, lines[content]))

        if not self.has_base:
            return self._log_alone(table, ours, other, mine, theirs, words)
        fates = [_fates(LOGS[table], base, copy) for copy in (mine, theirs)]
        added = [
            now - was - Counter(new for several in fate.values() for new in several if new is not None)
            for now, fate in zip((ours, other), fates, strict=True)
        ]
        result: Counter[Content] = Counter()
        instead: dict[Content, Content] = {}
        for content in sorted(was, key=_order):
            first, second = (Counter(fate.get(content, [])) for fate in fates)
            agreed = first & second
            first, second = first - agreed, second - agreed
            left = was[content] - agreed.total()
            apart = max(first.total() + second.total() - left, 0)
            one, two = (sorted(several.elements(), key=_order) for several in (first, second))
            now = [*agreed.elements(), *one[apart:], *two[apart:]]
            now += [content] * (left - apart - len(one[apart:]) - len(two[apart:]))
            for mine_now, theirs_now in zip(one[:apart], two[:apart], strict=True):
                label = _label(table, (row_words(replace(lines[content], where="")),))
                both = mine_now is not None and theirs_now is not None
                chosen = self.ask(label, words(mine_now, 0), words(theirs_now, 1), both=both)
                now += [mine_now] if chosen != THEIRS else []
                now += [theirs_now] if chosen != MINE else []
            result.update(new for new in now if new is not None)
            instead |= {new: content for new in now if new is not None and new != content}
        result += self._added(table, added[0], added[1], lines, words)
        return self._placed(table, result, mine, theirs, instead)

    def _added(
        self,
        table: str,
        ours: Counter[Content],
        other: Counter[Content],
        lines: Mapping[Content, Line],
        words: Callable[[Content | None, int], str],
    ) -> Counter[Content]:
        """Bring together what either copy added; the same row, and the same plan line, may be one or two."""
        result = ours | other
        marks = [_by_mark(copy) for copy in (ours, other)]
        for mark in sorted(marks[0].keys() & marks[1].keys()):
            apart = [[one for one in marks[side][mark] if one not in marks[1 - side][mark]] for side in (0, 1)]
            if all(apart):
                label = _label(table, (f"plan line {mark[6:-1]}",))
                first, second = ("; ".join(words(one, side) for one in apart[side]) for side in (0, 1))
                chosen = self.ask(label, first, second, both=True)
                for one in {MINE: apart[1], THEIRS: apart[0]}.get(chosen, []):
                    del result[one]
        for content in sorted(ours & other, key=_order):
            if _plan_line(content):
                continue
            label = _label(table, (row_words(replace(lines[content], where="")), "added in both"))
            if self.ask(label, words(content, 0), words(content, 1), both=True) == BOTH:
                result[content] = ours[content] + other[content]
        return result

    def _log_alone(
        self,
        table: str,
        ours: Counter[Content],
        other: Counter[Content],
        mine: Sequence[Line],
        theirs: Sequence[Line],
        words: Callable[[Content | None, int], str],
    ) -> list[Placed]:
        """Merge a log without a copy that both came from: equal rows are the same, all others are asked about."""
        lines = {line.content: line for line in (*theirs, *mine)}
        result = ours | other
        same = sorted(ours & other, key=_order)
        if same:
            self.taken.append(Taken(table, "rows in both", f"{sum(result[one] for one in same)}, counted once", ""))
        for content in sorted(ours.keys() ^ other.keys(), key=_order):
            side = MINE if content in ours else THEIRS
            label = _label(table, (row_words(replace(lines[content], where="")),))
            shown_as = [words(content, 0), NOT_THERE] if side == MINE else [NOT_THERE, words(content, 1)]
            if self.ask(label, *shown_as, both=True) not in (side, BOTH):
                del result[content]
        return self._placed(table, result, mine, theirs, {})

    def _placed(
        self,
        table: str,
        result: Mapping[Content, int],
        mine: Sequence[Line],
        theirs: Sequence[Line],
        instead: Mapping[Content, Content],
    ) -> list[Placed]:
        """Give rows their places: as they stand in the first copy, in place of what they correct, or new ones."""
        left = Counter(result)
        kept: dict[int, Placed] = {}
        for number, line in enumerate(mine):
            if left[line.content] > 0:
                left[line.content] -= 1
                kept[number] = Placed(line, line.cells)
        sources = {line.content: line for line in (*theirs, *mine)}
        new = []
        for content in dict.fromkeys(one.content for one in theirs):
            for _ in range(left[content]):
                before = instead.get(content)
                free = [number for number, one in enumerate(mine) if number not in kept and one.content == before]
                source = sources[content]
                if free:
                    kept[free[0]] = Placed(mine[free[0]], source.cells)
                    self.taken.append(Taken(table, "row", row_words(source), row_words(mine[free[0]])))
                else:
                    new.append(Placed(None, source.cells))
                    self.taken.append(Taken(table, "row", row_words(source), NOT_THERE))
        for number, line in enumerate(mine):
            if number not in kept:
                self.taken.append(Taken(table, "row", DELETED, row_words(line)))
        return [*(kept[number] for number in sorted(kept)), *new]


# What is the same in two rows, which row is which after a change, and how both are called.


def _same(one: Line, other: Line, heading: str) -> bool:
    """Whether a cell says the same in two copies: the same value, or the same formula."""
    formula = one.formulas.get(heading)
    if formula is not None and formula == other.formulas.get(heading):
        return True
    return plain(one.cells.get(heading)) == plain(other.cells.get(heading))


def _decides_units(table: str, line: Line, atom: Sequence[str]) -> bool:
    """Whether cells decide if a workbook is metric: the altitude, and the units of crops."""
    altitude = table == "Kitchen" and _is_altitude(line.cells) and bool({"Value", "Unit"} & {*atom})
    return altitude or (table == "Crops" and "Unit" in atom)


def _atoms(table: str, mine: Line, theirs: Line) -> list[tuple[str, ...]]:
    """Give the cells of a row, those that are one value together."""
    headings = list(dict.fromkeys([*mine.cells, *theirs.cells]))
    together: list[tuple[str, ...]] = (
        [COUNT] if COUNT[1] in headings or table in ("Containers", "Lids", "Pantry") else []
    )
    if table in IN_UNIT and not _same(mine, theirs, "Unit"):
        together = [one for one in together if not set(one) & set(IN_UNIT[table])]
        together.append((*(one for one in IN_UNIT[table] if one in headings), "Unit"))
    apart = {heading for one in together for heading in one}
    return [*together, *((heading,) for heading in headings if heading not in apart)]


def _day(value: object) -> datetime.date | None:
    return value.date() if isinstance(value, datetime.datetime) else value if isinstance(value, datetime.date) else None


def _by_key(table: str, lines: Iterable[Line]) -> dict[tuple[str, ...], list[Line]]:
    found: dict[tuple[str, ...], list[Line]] = defaultdict(list)
    for line in lines:
        found[tuple(key(shown(line.cells[one])) if one in line.cells else "" for one in KEYS[table])].append(line)
    return found


def _named(table: str, line: Line) -> tuple[str, ...]:
    return tuple(shown(line.cells[one]) for one in KEYS[table] if one in line.cells)


def _label(table: str, parts: Iterable[str]) -> str:
    return ", ".join([table, *filter(None, parts)])


def _heading(atom: Sequence[str]) -> str:
    return " and ".join(one for one in atom if one != COUNT[1] or COUNT[0] not in atom)


def _of(line: Line, atom: Sequence[str]) -> str:
    """Show a value of one or several cells."""
    several = [shown(line.cells[heading]) for heading in atom if heading in line.cells]
    return ", ".join(several) or "blank"


def _order(content: Content | None) -> str:
    """Give an order of rows that does not depend on the copy."""
    return "" if content is None else repr(sorted(content, key=repr))


def _plan_line(content: Content) -> str:
    found = (_PLAN_LINE.search(value) for _, value in sorted(content, key=repr) if isinstance(value, str))
    return next((one[0] for one in found if one is not None), "")


def _by_mark(rows: Iterable[Content]) -> dict[str, list[Content]]:
    """Give the rows that carry the mark of a plan line, by that mark."""
    found: dict[str, list[Content]] = defaultdict(list)
    for content in sorted(rows, key=_order):
        if mark := _plan_line(content):
            found[mark].append(content)
    return found


def _fates(named: Sequence[str], base: Sequence[Line], copy: Sequence[Line]) -> dict[Content, list[Content | None]]:
    """
    Give what became of the rows of a log that are no longer in a copy: the row each was changed into, None if deleted.

    A row and a new one belong together that have most cells alike, or those in `named`, or some and the same place.
    """
    was, now = (Counter(line.content for line in lines) for lines in (base, copy))
    gone, new = _surplus(base, was - now), _surplus(copy, now - was)
    pairs = []
    for one, before in enumerate(gone):
        for two, after in enumerate(new):
            cells, others = before.content, after.content
            alike = len(cells & others) / max(len(cells), len(others), 1)
            same = all(_same(before, after, heading) for heading in named)
            if alike >= ALIKE or same or (alike > 0 and before.at == after.at):
                pairs.append((-alike, before.at != after.at, _order(cells), _order(others), one, two))
    fates: dict[int, Content | None] = {}
    taken: set[int] = set()
    for *_, one, two in sorted(pairs):
        if one not in fates and two not in taken:
            fates[one] = new[two].content
            taken.add(two)
    found: dict[Content, list[Content | None]] = defaultdict(list)
    for one, before in enumerate(gone):
        found[before.content].append(fates.get(one))
    return dict(found)


def _surplus(lines: Sequence[Line], wanted: Counter[Content]) -> list[Line]:
    """Give as many of the last rows as are wanted of each content."""
    left = Counter(wanted)
    found = []
    for line in reversed(lines):
        if left[line.content] > 0:
            left[line.content] -= 1
            found.append(line)
    return found


def _spelled(lines: Iterable[Line], heading: str, name: str) -> str:
    return next(shown(line.cells[heading]) for line in lines if key(shown(line.cells.get(heading))) == name)


def _renames(base: Sequence[Line], copy: Sequence[Line], heading: str) -> dict[str, str]:
    """Give the new name, by the key of the old one, of each thing that has another name in a copy."""

    def things(lines: Sequence[Line]) -> dict[str, Content]:
        found: dict[str, Content] = {}
        for line in lines:
            if heading in line.cells:
                name = key(shown(line.cells[heading]))
                found[name] = found.get(name, frozenset()) | {one for one in line.content if one[0] != heading}
        return found

    was, now = things(base), things(copy)
    pairs = []
    for old in was.keys() - now.keys():
        for new in now.keys() - was.keys():
            alike = len(was[old] & now[new]) / max(len(was[old]), len(now[new]), 1)
            pairs += [(-alike, old, new)] if alike > ALIKE else []
    found: dict[str, str] = {}
    for _, old, new in sorted(pairs):
        if old not in found and new not in map(key, found.values()):
            found[old] = _spelled(copy, heading, new)
    return found


def _with_names(copy: Tables, table: str, changes: Mapping[str, str]) -> Tables:
    """Give a copy in which the things of a table are called otherwise, wherever they are named."""

    def called(value: object, *, several: bool) -> object:
        if not isinstance(value, str):
            return value
        if key(value) in changes:
            return changes[key(value)]
        before, colon, after = value.partition(":")
        if colon and key(before) in _STARTS and key(after) in changes:
            return f"{before}: {changes[key(after)]}"
        parts = value.split(",")
        if several and any(key(one) in changes for one in parts):
            return ", ".join(changes.get(key(one), one.strip()) for one in parts)
        return value

    result = {}
    for name, lines in copy.items():
        columns = {column for (where, column), of in NAMED_IN.items() if where == name and table in of}
        columns |= {KEYS[table][0]} if name == table else set()
        result[name] = [
            replace(
                line,
                cells={
                    heading: called(value, several=heading == "Equipment") if heading in columns else value
                    for heading, value in line.cells.items()
                },
            )
            for line in lines
        ]
    return result
