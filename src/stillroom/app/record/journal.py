"""One entry of the journal: a workbook opened for it, what was typed read as amounts and names, and how it is saved."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

from stillroom.app.day import asked_day
from stillroom.app.plan import at_their_cells, filled_cells
from stillroom.errors import CommandWrong
from stillroom.handbook.safety.case import Case
from stillroom.handbook.settle import settle_one
from stillroom.household.amounts import Amount, parse_amount, parse_entry, parse_hours, typed_amount
from stillroom.household.journal import stocks
from stillroom.household.journal.events import made_twice
from stillroom.household.journal.overview import CANNED, SEALS_SOURCE
from stillroom.household.names import Names, crop_names, find_crop, find_preserve, unknown
from stillroom.household.records import (
    ATE,
    FREEZE_WHOLE,
    GAVE,
    SPOILED,
    SURPLUS,
    THAW,
    Crop,
    Household,
    Lot,
    RecordRow,
)
from stillroom.household.results.commands import Entry, save_words
from stillroom.household.results.rows import Row, in_crop_unit
from stillroom.household.text import (
    format_amount,
    format_long_date,
    format_number,
    format_quantity,
    format_weight,
    quoted,
)
from stillroom.household.units import MeasureWrong, Unit, find_unit, unit_of
from stillroom.reports.problems import line
from stillroom.workbook.ooxml.book import Book, Value
from stillroom.workbook.reader import household as read
from stillroom.workbook.reader.record import taken_apart
from stillroom.workbook.writer import undo
from stillroom.workbook.writer.notices import count_writing
from stillroom.workbook.writer.plan import NO_NOTES, Notes, notes_in
from stillroom.workbook.writer.record import add_rows, change_row, formulas_replaced, has_column, noted_after
from stillroom.workbook.writer.undo import put_back

LARGEST, MOST_HOURS = 1e6, 1e4
"""No weight or count of one entry is larger, and no time longer."""
OF_A_CROP_ONLY = ("no bushel weight", "no weight of a unit", "not a weight")
"""What may be wrong with an amount of one crop and not with that of another."""


@dataclass
class Log:
    """
    An opened workbook with its household as typed, for one entry or several that are saved together.

    `typed` has what was entered, `before` is without it; `table` and `rows` are what the last entry queued, `steps`
    what can be taken back of all of them, and `waiting` the rows to be added to each table. A log that does not write
    only checks entries.
    """

    book: Book
    typed: Household
    table: str = ""
    rows: tuple[Row, ...] = ()
    today: datetime.date | None = None
    steps: list[undo.Step] = field(default_factory=list)
    waiting: dict[str, list[Row]] = field(default_factory=dict)
    writes: bool = True
    before: Household = field(init=False)

    def __post_init__(self) -> None:
        """Keep the household as it is before the entries."""
        self.before = self.typed

    def trial(self) -> Log:
        """Return a log that checks entries after those of this one, and queues nothing."""
        return Log(self.book, self.typed, today=self.today, writes=False)

    @contextmanager
    def all_or_none(self) -> Iterator[None]:
        """Take back all that was queued in this block where it raises."""
        kept = replace(self, steps=[*self.steps], waiting={name: [*rows] for name, rows in self.waiting.items()})
        try:
            with self.book.all_or_none():
                yield
        except Exception:
            self.typed, self.table, self.rows = kept.typed, kept.table, kept.rows
            self.steps, self.waiting = kept.steps, kept.waiting
            raise

    @property
    def metric(self) -> bool:
        """Whether a comma is a decimal comma."""
        return self.typed.kitchen.weight_unit == "kg"

    def day(self, on: str | None) -> datetime.date:
        """The day that was typed, else the workbook's first day; raises CommandWrong."""
        return self.typed.kitchen.first_day if on is None else asked_day(on, self.typed, self.today)

    def amount(self, text: str) -> Amount:
        """A number with or without its unit, above zero; raises CommandWrong."""
        try:
            amount = typed_amount(text, metric=self.metric)
        except MeasureWrong as wrong:
            raise CommandWrong(str(wrong)) from None
        if amount.number <= 0:
            msg = f'"{text}" is not more than nothing; write such as 24lb'
            raise CommandWrong(msg)
        return self.not_too_large(amount, text)

    @staticmethod
    def not_too_large(amount: Amount, text: str, most: float = LARGEST) -> Amount:
        """Refuse what no reader of the workbook would take afterwards; raises CommandWrong."""
        if amount.number > most:
            msg = f'"{text}" is more than {format_number(most)}; write a smaller number'
            raise CommandWrong(msg)
        return amount

    def weight_kg(self, text: str, crop: Crop) -> tuple[float, Unit, float]:
        """A weight of a crop: the number, its unit and kilograms; raises CommandWrong."""
        try:
            amount = parse_amount(text, crop, self.typed)
            unit = amount.unit or unit_of(crop.unit)
            return self.not_too_large(amount, text).number, unit, crop.kg_in(amount.number, unit)
        except MeasureWrong as wrong:
            about = f'"{text}" of {crop.name}: ' if wrong.kind in OF_A_CROP_ONLY else ""
            raise CommandWrong(f"{about}{wrong}") from None

    def count(self, text: str, word: str) -> float:
        """How many, 0 or more; raises CommandWrong."""
        try:
            number = typed_amount(text, metric=self.metric)
        except MeasureWrong as wrong:
            raise CommandWrong(str(wrong)) from None
        if number.number < 0 or (number.unit is not None and number.unit.measures != "count"):
            msg = f'"{text}" is not a number of {word}; write such as 7'
            raise CommandWrong(msg)
        self.not_too_large(number, text)
        return number.number * (number.unit.factor if number.unit is not None else 1.0)

    def hours(self, text: str) -> float:
        """Hours of hands, a bare number is hours; raises CommandWrong."""
        try:
            hours = parse_hours(text, self.typed)
        except MeasureWrong as wrong:
            raise CommandWrong(str(wrong)) from None
        if hours <= 0:
            msg = f'"{text}" is not more than nothing; write such as 2.5h'
            raise CommandWrong(msg)
        return self.not_too_large(Amount(hours, None), text, MOST_HOURS).number

    def crop(self, text: str) -> Crop:
        """The crop of that name; raises CommandWrong with what may have been meant."""
        table = f"Crops: stillroom add {quoted(self.book.path.name)} {quoted(text)}"
        return self.typed.crop(found(text, find_crop(text, self.typed), crop_names(self.typed), table))

    def preserve(self, text: str) -> str:
        """The preserve of that name as Preserves spells it; raises CommandWrong with those that may have been meant."""
        every = Names("preserve", (item.name for item in self.typed.preserves))
        return found(text, find_preserve(text, self.typed), every, "Preserves")

    def save(self, said: Sequence[str]) -> Entry:
        """Save, and say how to undo it."""
        self.keep_steps()
        receipt = self.book.save()
        messages = (*said, *save_words(receipt), f"To undo: stillroom undo {quoted(self.book.path.name)}")
        return Entry(self.table, self.rows, self.before, receipt, messages)

    def keep_steps(self, notes: Notes = NO_NOTES) -> None:
        """Queue that the workbook is written once more, what can be taken back of it, and more notes."""
        kept = undo.steps_in(notes_in(self.book))
        count_writing(self.book, {undo.NOTE: undo.steps_text([*kept, *self.steps]), **notes})

    def added(self, name: str, rows: Sequence[Row], words: str) -> tuple[str, list[str]]:
        """
        Queue rows of a table, one entry that `words` name.

        Gives the place of the first, and what to say of formulas that stood there.
        """
        if not self.writes:
            return "", []
        waiting = self.waiting.setdefault(name, [])
        places = add_rows(self.book, name, [*waiting, *rows])[len(waiting) :]
        waiting += rows
        self.queued(name, places, rows)
        self.steps.append(undo.Step(words, name, undo.rows_written(places, rows)))
        cells = [
            cell
            for place, row in zip(places, rows, strict=True)
            for cell in formulas_replaced(self.book, name, place, row)
        ]
        return places[0], [f"It replaced the formula in {', '.join(cells)}."] if cells else []

    def changed(self, name: str, where: str, row: Row, cells: dict[str, Value], words: str, note: str = "") -> None:
        """Queue other `cells` in a row of a table, one entry that `words` name; `row` has what else names it."""
        if not self.writes:
            return
        kept = [*row, *cells, *(["Note"] if note else [])]
        before = undo.values_before(self.book, name, where, kept)
        change_row(self.book, name, where, cells, note=note)
        self.queued(name, [where], [{**row, **cells}])
        noted = {"Note": noted_after(before.get("Note"), note)} if note else {}
        self.steps.append(undo.Step(words, name, undo.rows_written([where], [{**row, **cells, **noted}], before)))

    def happened(self, *rows: RecordRow) -> None:
        """Remember rows of the record that were queued, for what is entered after them."""
        self.typed = replace(self.typed, record=(*self.typed.record, *rows))

    def queued(self, name: str, places: Sequence[str], rows: Sequence[Row]) -> None:
        """Remember which rows were queued, and where."""
        self.table, self.rows = name, tuple({"Where": at, **row} for at, row in zip(places, rows, strict=True))


def name_first(names: Names, name: str, amount: str) -> tuple[str, str]:
    """
    Name and amount, in whichever order they were typed, and wherever the words of one end.

    >>> name_first(Names("crop", ["tomato"]), "53lb", "Tomato"), name_first(Names("crop", ["tomato"]), "tomat", "53lb")
    (('Tomato', '53lb'), ('tomat', '53lb'))
    >>> name_first(Names("lid", ["regular lid"]), "2", "dozen lids"), name_first(Names("", ["a"]), "53lb", "tomat")
    (('lids', '2 dozen'), ('tomat', '53lb'))
    """
    if names.find(name) is not None:
        return name, amount
    if names.find(amount) is not None:
        return amount, name
    apart = parse_entry(f"{name} {amount}", names.meant)
    if apart[1] and (names.meant(apart[0]) or not (starts_as_amount(name) or starts_as_amount(amount))):
        return apart
    return (amount, name) if starts_as_amount(name) and not starts_as_amount(amount) else (name, amount)


def starts_as_amount(text: str) -> bool:
    """
    Whether a text starts as an amount does.

    >>> starts_as_amount("53lb"), starts_as_amount(".5 kg"), starts_as_amount("tomato")
    (True, True, False)
    """
    return text.strip()[:2].lstrip(".")[:1].isnumeric()


def found(text: str, meant: Sequence[str], names: Names, table: str) -> str:
    """The one name that is `meant` by a text; raises CommandWrong with the names that may be."""
    if len(meant) == 1:
        return meant[0]
    raise CommandWrong("; ".join(unknown(text, names, table=table, meant=meant)))


def opened(path: Path, today: datetime.date) -> Log:
    """Open a workbook for an entry; what is wrong elsewhere in it does not matter here. Raises WorkbookRefused."""
    book = Book.open(path)
    return Log(book, read.household(book, today)[0], today=today)


# What happens in the kitchen, written into the workbook from the command line: weighed, made, eaten.

NEAR_DAYS = 3
"""An expected lot so many days away may be the one that was weighed, and is named."""


def weigh(path: Path, crop_name: str, amount: str, on: str | None, today: datetime.date) -> Entry:
    """
    Add a lot, or turn the lot expected of that crop on that day into this one.

    Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    log = opened(path, today)
    return log.save(weighed(log, crop_name, amount, log.day(on)))


def weighed(log: Log, crop_name: str, amount: str, day: datetime.date) -> list[str]:
    """Queue a lot that was weighed; what to say of it. Raises CommandWrong, with nothing queued."""
    crop_name, amount = name_first(Names("crop", (crop.name for crop in log.typed.crops)), crop_name, amount)
    crop = log.crop(crop_name)
    number, unit, kg = log.weight_kg(amount, crop)
    words = f"{weight_words(number, unit, kg)} of {crop.name}, picked {format_long_date(day)}"
    expected = next(
        (one for one in log.typed.lots if one.expected and (one.crop, one.picked_on) == (crop.name, day)), None
    )
    lot = Lot(crop.name, day, kg)
    if expected is None:
        place, gone = log.added("Harvest", [lot_row(log, crop, day, number, unit)], words)
        log.typed = replace(log.typed, lots=(*log.typed.lots, replace(lot, where=place)))
        return [f"{words}: added at {place}.", *gone, *near_words(log.typed, crop, day)]
    was = expected_words(expected, crop)
    cells: dict[str, Value] = {"Weighed or expected": "weighed", "Least": None, "Most": None}
    cells |= amount_cells(log, crop, number, unit)
    row: Row = {"Picked on": day, "Crop": crop.name}
    log.changed("Harvest", expected.where, row, cells, words, note=f"expected {was}")
    lots = [replace(lot, where=one.where) if one is expected else one for one in log.typed.lots]
    log.typed = replace(log.typed, lots=tuple(lots))
    return [f"{words}: arrived, at {expected.where}, where {was} were expected."]


def weight_words(number: float, unit: Unit, kg: float) -> str:
    """
    An amount of a crop, with its weight where pieces or volumes were typed.

    >>> weight_words(53, unit_of("lb"), 24.04), weight_words(3, unit_of("dozen"), 10.2)
    ('53 lb', '3 dozen (22 lb)')
    >>> weight_words(72, unit_of("each"), 20.4)
    '72 (45 lb)'
    """
    words = format_number(number) if unit.name == "each" else f"{format_number(number)} {unit.name}"
    return words if unit.measures == "weight" else f"{words} ({format_weight(kg)})"


def lot_row(log: Log, crop: Crop, day: datetime.date, number: float, unit: Unit) -> dict[str, Value]:
    """A row of Harvest."""
    row: dict[str, Value] = {"Picked on": day, "Crop": crop.name, **amount_cells(log, crop, number, unit)}
    if has_column(log.book, "Harvest", "Weighed or expected"):
        row["Weighed or expected"] = "weighed"
    return row


def amount_cells(log: Log, crop: Crop, number: float, unit: Unit) -> dict[str, Value]:
    """Amount and unit of a lot; in a table without units the unit stands beside the number where it has to."""
    if has_column(log.book, "Harvest", "Unit"):
        return {"Amount": number, "Unit": unit.name}
    return {"Amount": number if unit.name == crop.unit else f"{number:.15g} {unit.name}"}


def expected_words(lot: Lot, crop: Crop) -> str:
    """How much was expected, with its bounds."""
    words = format_quantity(in_crop_unit(lot.kg, crop), crop.unit)
    if lot.least_kg is None or lot.most_kg is None:
        return words
    least, most = (format_amount(in_crop_unit(kg, crop), crop.unit) for kg in (lot.least_kg, lot.most_kg))
    return f"{words} ({least} to {most})"


def near_words(typed: Household, crop: Crop, day: datetime.date) -> list[str]:
    """Ask after expected lots of the same crop a few days off, which may be this one come late or early."""
    near = [
        lot
        for lot in typed.lots
        if lot.expected and lot.crop == crop.name and 0 < abs((lot.picked_on - day).days) <= NEAR_DAYS
    ]
    return [
        f"{crop.name}: {expected_words(lot, crop)} are still expected {format_long_date(lot.picked_on)} "
        f"at {lot.where}: take that row out, if this was it."
        for lot in near
    ]


def made(
    path: Path,
    preserve: str,
    count: str,
    used: Sequence[str],
    failed: str | None,
    hands: str | None,
    on: str | None,
    today: datetime.date,
) -> Entry:
    """
    Add to the record what was made, or crop frozen whole or thawed (`freeze whole: CROP`, with a weight for `count`).

    `used` are weights of crop, with the crop's name behind where the preserve takes several.
    Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    log = opened(path, today)
    return log.save(put_up(log, preserve, count, log.day(on), used=used, failed=failed, hands=hands))


def put_up(
    log: Log,
    preserve: str,
    count: str,
    day: datetime.date,
    *,
    used: Sequence[str] = (),
    failed: str | None = None,
    hands: str | None = None,
) -> list[str]:
    """Queue what was made, frozen whole or thawed; what to say of it. Raises CommandWrong, with nothing queued."""
    apart = taken_apart(preserve, (FREEZE_WHOLE, THAW))
    if apart is not None:
        if used or failed is not None:
            msg = f'"{apart[0]}{apart[1]}" takes its weight, such as 24lb, and neither --used nor --failed'
            raise CommandWrong(msg)
        return moved(log, apart[0], log.crop(apart[1]), count, hands, day)
    preserve, count = name_first(Names("preserve", (item.name for item in log.typed.preserves)), preserve, count)
    name = log.preserve(preserve)
    jars = log.count(count, "containers")
    unsealed = 0.0 if failed is None else log.count(failed, "jars")
    whole_jars(log, name, jars, unsealed)
    crops = used_cells(log, name, used)
    first: dict[str, Value] = {"Date": day, "Preserve": name, "Made": jars, "Failed seals": unsealed or None}
    first |= {"Hands-on hours": None if hands is None else log.hours(hands)} | (crops[0] if crops else {})
    day_and_name: dict[str, Value] = {"Date": day, "Preserve": name}
    rows = [first, *(day_and_name | more for more in crops[1:])]
    words = f"{format_number(jars)} {name} on {format_long_date(day)}"
    twice = twice_words(log, name, day, jars)
    place, gone = log.added("Record", rows, words)
    log.happened(RecordRow(day, name, made=jars, failed_seals=unsealed, where=place))
    took = ", ".join(f"{format_number(float(str(one['Crop used'])))} {one['Unit']} {one['Crop']}" for one in crops)
    of = f", of {took}" if took else ""
    said = f"{words}{of}: in the record at {place}."
    return [*refused_words(log, name), said, *gone, *failed_words(log, name, unsealed), *twice]


def refused_words(log: Log, name: str) -> list[str]:
    """Say first why the published tables refuse what was made, if they do."""
    item = log.typed.preserve(name)
    if not item.method or not item.container:
        return []
    errors = [one for one in settle_one(Case(log.typed, item))[1] if one.is_error]
    return [f"Error: {line(one)}" for one in at_their_cells(errors, filled_cells(log.book))]


def whole_jars(log: Log, name: str, jars: float, unsealed: float) -> None:
    """Refuse a part of a canned jar: what a part-filled jar holds is not canned. Raises CommandWrong."""
    for number in (jars, unsealed):
        if number != round(number) and log.typed.preserve(name).method in CANNED:
            msg = (
                f"{format_number(number)} {name} cannot be: write the full jars; a part-filled one goes into the "
                "refrigerator"
            )
            raise CommandWrong(msg)


def moved(log: Log, start: str, crop: Crop, weight: str, hands: str | None, day: datetime.date) -> list[str]:
    """Queue that crop was frozen whole or taken out; what to say of it."""
    number, unit, kg = log.weight_kg(weight, crop)
    row: dict[str, Value] = {
        "Date": day,
        "Preserve": start + crop.name,
        "Crop": crop.name,
        "Crop used": number,
        "Unit": unit.name,
        "Hands-on hours": None if hands is None else log.hours(hands),
    }
    words = f"{start}{crop.name}, {format_number(number)} {unit.name} on {format_long_date(day)}"
    place, gone = log.added("Record", [row], words)
    log.happened(RecordRow(day, start + crop.name, crop=crop.name, crop_used_kg=kg, where=place))
    return [f"{words}: in the record at {place}.", *gone]


def used_cells(log: Log, name: str, used: Sequence[str]) -> list[dict[str, Value]]:
    """Crop, Crop used and Unit for each weight that was typed; raises CommandWrong where the crop is not clear."""
    taken = list(dict.fromkeys(line.item for line in log.typed.preserve(name).ingredients if line.source == "crop"))
    cells: list[dict[str, Value]] = []
    known = crop_names(replace(log.typed, crops=tuple(crop for crop in log.typed.crops if crop.name in taken)))
    for text in used:
        named, weight = parse_entry(text, known.meant, metric=log.metric)
        weight = weight if find_unit(named) is None else ""
        meant = known.meant(named) if weight else ()
        if len(meant) != 1 and (len(taken) != 1 or weight):
            several = ", ".join(taken) or "no crop"
            such = f"--used '24lb {taken[0]}'" if taken else "no --used"
            if weight and len(taken) == 1:
                msg = f'"{name}" takes no "{named}"; write the crop as it is called: {such}'
            else:
                msg = f'"{name}" takes {several}; write the crop behind the weight: {such}'
            raise CommandWrong(msg)
        crop = meant[0] if meant else taken[0]
        number, unit, _ = log.weight_kg(weight if meant else text, log.typed.crop(crop))
        cells.append({"Crop": crop, "Crop used": number, "Unit": unit.name})
    return cells


def failed_words(log: Log, name: str, unsealed: float) -> list[str]:
    """What to do with jars that did not seal."""
    if not unsealed or log.typed.preserve(name).method not in CANNED:
        return []
    many = "1 jar" if unsealed == 1 else f"{format_number(unsealed)} jars"
    words = (
        f"{many} did not seal: into the refrigerator and eaten within days, or frozen, or done again within 24 hours "
        f"with a new lid and the full time ({SEALS_SOURCE}). The lid is counted as used up, the jar is not."
    )
    return [words]


def twice_words(log: Log, name: str, day: datetime.date, jars: float) -> list[str]:
    """Say where the same work stands in Made of the plan too, or in an earlier row of the record."""
    row = RecordRow(day, name, made=jars, where="Record")
    before = [one for one in log.typed.record if (one.date, one.preserve) == (day, name) and one.made > 0]
    said = [
        f"{one.where} has {format_number(one.made)} of that day already, and both are counted; "
        "take one of the rows out, if it is the same work."
        for one in before[-1:]
    ]
    return [*said, *(line(problem) for problem in made_twice(replace(log.typed, record=(row,))))]


WORDS = {ATE: "eaten", GAVE: "given away", SPOILED: "spoiled", SURPLUS: "surplus"}
"""What became of it, in a sentence."""
STARTS = {start.rstrip(": "): start for start in WORDS}
"""How the record's row of each begins, by the word of *What happened*."""
TO = ("animals", "compost")
"""Where surplus may go; it is written into the row's note."""


def left(
    path: Path, happened: str, name: str, amount: str, on: str | None, today: datetime.date, to: str | None = None
) -> Entry:
    """
    Add to the record that a crop or a preserve left the kitchen: `happened` is ate, gave, spoiled or surplus.

    Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    log = opened(path, today)
    return log.save(left_kitchen(log, STARTS[happened], name, amount, log.day(on), to))


def left_kitchen(log: Log, start: str, name: str, amount: str, day: datetime.date, to: str | None = None) -> list[str]:
    """
    Queue that so much of a crop left the kitchen, or of a preserve the shelf; what to say of it.

    The container of a preserve comes back, unless it was given away. Raises CommandWrong, with nothing queued.
    """
    if to is not None and to not in TO:
        ways = " or ".join(TO)
        msg = f'"{to}" is not where surplus goes; write {ways}'
        raise CommandWrong(msg)
    both = preserves_and_crops(log.typed)
    name, amount = name_first(both, name, amount)
    crops, preserves = find_crop(name, log.typed), find_preserve(name, log.typed)
    if (exact := both.find(name)) is not None:
        crops, preserves = (tuple(one for one in several if one == exact) for several in (crops, preserves))
    meant = crops if crops and (not preserves or weighs(log, amount)) else preserves
    if len(meant) != 1:
        raise CommandWrong("; ".join(unknown(name, both, table="Preserves or Crops", meant=meant)))
    leaves = crop_left if meant is crops else shelf_left
    return leaves(log, start, meant[0], amount, day, to)


def preserves_and_crops(typed: Household) -> Names:
    """Return the names of all that may leave the kitchen."""
    return Names("preserve or crop", (one.name for table in (typed.preserves, typed.crops) for one in table))


def weighs(log: Log, amount: str) -> bool:
    """Whether an amount is a weight or a measure of crop; a bare number counts containers."""
    try:
        unit = typed_amount(amount, metric=log.metric).unit
    except MeasureWrong:
        return False
    return unit is not None and unit.measures != "count"


def crop_left(log: Log, start: str, name: str, amount: str, day: datetime.date, to: str | None) -> list[str]:
    """Queue that so much of a crop was eaten, given away, spoiled or fed; what to say of it."""
    crop = log.typed.crop(name)
    number, unit, kg = log.weight_kg(amount, crop)
    row: dict[str, Value] = {"Date": day, "Crop": crop.name, "Crop used": number, "Unit": unit.name, "Note": noted(to)}
    row |= happened_cells(log, start, None, crop.name)
    words = f"{format_number(number)} {unit.name} {crop.name} {WORDS[start]} on {format_long_date(day)}"
    place, gone = log.added("Record", [row], words)
    log.happened(RecordRow(day, start + crop.name, crop=crop.name, crop_used_kg=kg, where=place))
    return [f"{words}: in the record at {place}.", *gone]


def shelf_left(log: Log, start: str, name: str, amount: str, day: datetime.date, to: str | None) -> list[str]:
    """Queue that so many of a preserve left the shelf; what to say of it, and what is left."""
    count = log.count(amount, "containers")
    if count == 0:
        msg = f'"{amount}" is nothing to record; write how many, such as 2'
        raise CommandWrong(msg)
    row: dict[str, Value] = {"Date": day, "Made": count, "Note": noted(to)}
    row |= happened_cells(log, start, name, name)
    words = f"{format_number(count)} {name} {WORDS[start]} on {format_long_date(day)}"
    place, gone = log.added("Record", [row], words)
    log.happened(RecordRow(day, start + name, made=count, where=place))
    settled, problems = stocks.settle(log.typed)
    on_shelf = sum(row.count for row in settled.shelf if row.preserve == name)
    said = f"{words}: in the record at {place}; {format_number(on_shelf)} left on the shelf."
    return [said, *gone, *(line(problem) for problem in problems if problem.where == place)]


def noted(to: str | None) -> str | None:
    """
    Return the note of a row of surplus.

    >>> noted("compost"), noted(None)
    ('to compost', None)
    """
    return None if to is None else f"to {to}"


def happened_cells(log: Log, start: str, preserve: str | None, name: str) -> dict[str, Value]:
    """Return what happened and to which preserve; in a table without that column it is written before the `name`."""
    if has_column(log.book, "Record", "What happened"):
        return {"Preserve": preserve, "What happened": start.rstrip(": ")}
    return {"Preserve": start + name}


# Taking back what was entered.


def take_back(path: Path, today: datetime.date) -> Entry:
    """
    Take the last entry of ours out of the workbook again; again and again, back to the first that is remembered.

    With the last entry of an evening, the first day and the plan of before it are put back too.

    An entry whose row was changed or taken out since is forgotten, and that is said. Raises CommandWrong when there is
    none, WorkbookRefused, CouldNotWrite.
    """
    log = opened(path, today)
    steps = undo.steps_in(notes_in(log.book))
    if not steps:
        msg = f"nothing to undo in {path.name}: the commands that record have written nothing, or all was undone"
        raise CommandWrong(msg)
    last = steps[-1]
    places, back = queue_taken_back(log, steps, len(steps) - 1)
    receipt = log.book.save()
    log.table, log.rows = last.table, tuple({"Where": place} for place in places)
    if places:
        said = [f"Taken back: {last.words} ({', '.join(places)})."]
    else:
        said = [
            f"Not taken back: {last.words}. Its row in {last.table} was changed or taken out since: change it there.",
            "To take back the entry before it, run undo again.",
        ]
    said += back
    if len(steps) > 1:
        said.append(f"The next undo takes back: {steps[-2].words}.")
    return Entry(log.table, log.rows, log.typed, receipt, (*said, *save_words(receipt)))


def queue_taken_back(log: Log, steps: Sequence[undo.Step], number: int) -> tuple[tuple[str, ...], list[str]]:
    """Queue that one of the entries is taken back and forgotten; the places of its rows, and what more to say."""
    places = undo.take_back(log.book, steps[number])
    notes, back = put_back(log.book, steps[number], log.typed.kitchen.first_day)
    left = [step for place, step in enumerate(steps) if place != number]
    count_writing(log.book, {**notes, undo.NOTE: undo.steps_text(left)})
    return places, back


def take_back_one(log: Log, words: str) -> list[str]:
    """
    Queue that the last entry of these words is taken back, with others after it or not; what to say of it.

    Raises CommandWrong where no entry of these words is remembered, or its row was changed since.
    """
    steps = undo.steps_in(notes_in(log.book))
    number = max((number for number, step in enumerate(steps) if step.words == words), default=None)
    places, back = ((), []) if number is None else queue_taken_back(log, steps, number)
    if not places:
        msg = f"not taken back: {words}; its row was changed or taken out since, so change it in the workbook"
        raise CommandWrong(msg)
    return [f"Taken back: {words} ({', '.join(places)}).", *back]
