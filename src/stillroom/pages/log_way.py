"""What happens in the kitchen, written into the workbook from the command line: weighed, made, eaten."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stillroom.errors import CommandWrong
from stillroom.household import ledger
from stillroom.household.amounts import Amount, amount_from, shown
from stillroom.household.answer.units import in_crop_unit
from stillroom.household.answer.words import day_words
from stillroom.household.happened import made_twice
from stillroom.household.measures import MeasureWrong, Unit, to_kg, unit_of
from stillroom.household.names import Names, unknown
from stillroom.household.records import ATE, FREEZE_WHOLE, THAW, Crop, Household, Lot, RecordRow
from stillroom.household.today import CANNED, SEALS_SOURCE
from stillroom.workbook import read
from stillroom.workbook.book import Book, Value
from stillroom.workbook.older_copy import count_writing, older_copy
from stillroom.workbook.reader.log import taken_apart
from stillroom.workbook.reader.moments import date_from
from stillroom.workbook.record_rows import add_rows, change_row, has_column

NEAR_DAYS = 3
"""An expected lot so many days away may be the one that was weighed, and is named."""


@dataclass
class Log:
    """An opened workbook with its household as typed, for one entry."""

    book: Book
    typed: Household

    @property
    def metric(self) -> bool:
        """Whether a comma is a decimal comma."""
        return self.typed.kitchen.weight_unit == "kg"

    def day(self, on: str | None) -> datetime.date:
        """The day that was typed, else the workbook's first day; raises CommandWrong."""
        if on is None:
            return self.typed.kitchen.first_day
        try:
            return date_from(on)
        except MeasureWrong as wrong:
            raise CommandWrong(f"--on {wrong}") from None

    def amount(self, text: str) -> Amount:
        """A number with or without its unit, above zero; raises CommandWrong."""
        try:
            amount = amount_from(text, metric=self.metric)
        except MeasureWrong as wrong:
            raise CommandWrong(str(wrong)) from None
        if amount.number <= 0:
            msg = f"*{text}* is not more than nothing; write such as 24lb"
            raise CommandWrong(msg)
        return amount

    def weight_kg(self, text: str, crop: Crop) -> tuple[float, Unit, float]:
        """A weight of a crop: the number, its unit and kilograms; raises CommandWrong."""
        amount = self.amount(text)
        unit = amount.unit or unit_of(crop.unit)
        try:
            return amount.number, unit, to_kg(amount.number, unit, bushel_kg=crop.bushel_kg)
        except MeasureWrong as wrong:
            raise CommandWrong(f"*{text}* of {crop.name}: {wrong}") from None

    def count(self, text: str, word: str) -> float:
        """How many, 0 or more; raises CommandWrong."""
        try:
            number = amount_from(text, metric=self.metric)
        except MeasureWrong as wrong:
            raise CommandWrong(str(wrong)) from None
        if number.number < 0 or (number.unit is not None and number.unit.measures != "count"):
            msg = f"*{text}* is not a number of {word}; write such as 7"
            raise CommandWrong(msg)
        return number.number * (number.unit.factor if number.unit is not None else 1.0)

    def hours(self, text: str) -> float:
        """Hours of hands, a bare number is hours; raises CommandWrong."""
        amount = self.amount(text)
        if amount.unit is not None and amount.unit.measures != "time":
            msg = f"*{text}* is not a time; write such as 2.5h or 90min"
            raise CommandWrong(msg)
        return amount.number * (amount.unit.factor if amount.unit is not None else 1.0)

    def crop(self, text: str) -> Crop:
        """The crop of that name; raises CommandWrong with what may have been meant."""
        names = Names("crop", (crop.name for crop in self.typed.crops))
        return self.typed.crop(found(text, names, "Crops"))

    def preserve(self, text: str) -> str:
        """The preserve of that name as Preserves spells it; raises CommandWrong."""
        return found(text, Names("preserve", (item.name for item in self.typed.preserves)), "Preserves")

    def save(self, said: Sequence[str], undo: str = "take that row out again") -> tuple[str, ...]:
        """Save, and say how to undo it."""
        warned = [str(problem) for problem in older_copy(self.book)]
        count_writing(self.book)
        receipt = self.book.save()
        copy = f", or put {receipt.backup.name} back in place of the file" if receipt.backup is not None else ""
        return (*said, *warned, f"To undo: {undo}{copy}.")


def found(text: str, names: Names, table: str) -> str:
    """A name as its table spells it; raises CommandWrong."""
    name = names.find(text)
    if name is None:
        raise CommandWrong("; ".join(unknown(text, names, table=table)))
    return name


def opened(path: Path, today: datetime.date) -> Log:
    """Open a workbook for an entry; what is wrong elsewhere in it does not matter here. Raises WorkbookRefused."""
    book = Book.open(path)
    return Log(book, read.household(book, today)[0])


def weigh(path: Path, crop_name: str, amount: str, on: str | None, today: datetime.date) -> tuple[str, ...]:
    """
    Add a lot, or turn the lot expected of that crop on that day into this one; gives what to say.

    Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    log = opened(path, today)
    crop, day = log.crop(crop_name), log.day(on)
    number, unit, _ = log.weight_kg(amount, crop)
    weighed = f"{shown(number)} {unit.name} of {crop.name}, picked {day_words(day)}"
    expected = next(
        (one for one in log.typed.lots if one.expected and (one.crop, one.picked_on) == (crop.name, day)), None
    )
    if expected is None:
        place = add_rows(log.book, "Harvest", [lot_row(log, crop, day, number, unit)])[0]
        return log.save([f"{weighed}: added at {place}.", *near_words(log.typed, crop, day)])
    was = expected_words(expected, crop)
    cells: dict[str, Value] = {"Weighed or expected": "weighed", "Least": None, "Most": None}
    change_row(
        log.book, "Harvest", expected.where, cells | amount_cells(log, crop, number, unit), note=f"expected {was}"
    )
    said = f"{weighed}: arrived, at {expected.where}, where {was} were expected."
    return log.save([said], undo="write expected and the old amount there again")


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
    words = f"{shown(round(in_crop_unit(lot.kg, crop), 2))} {crop.unit}"
    if lot.least_kg is None or lot.most_kg is None:
        return words
    least, most = (shown(round(in_crop_unit(kg, crop), 2)) for kg in (lot.least_kg, lot.most_kg))
    return f"{words} ({least} to {most})"


def near_words(typed: Household, crop: Crop, day: datetime.date) -> list[str]:
    """Ask after expected lots of the same crop a few days off, which may be this one come late or early."""
    near = [
        lot
        for lot in typed.lots
        if lot.expected and lot.crop == crop.name and 0 < abs((lot.picked_on - day).days) <= NEAR_DAYS
    ]
    return [
        f"{expected_words(lot, crop)} are still expected {day_words(lot.picked_on)} at {lot.where}: take that row out, "
        "if this was it."
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
) -> tuple[str, ...]:
    """
    Add to the record what was made, or crop frozen whole or thawed (`freeze whole: CROP`, with a weight for `count`).

    `used` are weights of crop, with the crop's name behind where the preserve takes several. Gives what to say.
    Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    log = opened(path, today)
    day = log.day(on)
    apart = taken_apart(preserve, (FREEZE_WHOLE, THAW))
    if apart is not None:
        crop = log.crop(apart[1])
        number, unit, _ = log.weight_kg(count, crop)
        name = apart[0] + crop.name
        row: dict[str, Value] = {
            "Date": day,
            "Preserve": name,
            "Crop": crop.name,
            "Crop used": number,
            "Unit": unit.name,
        }
        place = add_rows(log.book, "Record", [row])[0]
        return log.save([f"{name}, {shown(number)} {unit.name} on {day_words(day)}: in the record at {place}."])
    name = log.preserve(preserve)
    jars = log.count(count, "containers")
    unsealed = 0.0 if failed is None else log.count(failed, "jars")
    crops = used_cells(log, name, used)
    first: dict[str, Value] = {"Date": day, "Preserve": name, "Made": jars, "Failed seals": unsealed or None}
    first |= {"Hands hours": None if hands is None else log.hours(hands)} | (crops[0] if crops else {})
    day_and_name: dict[str, Value] = {"Date": day, "Preserve": name}
    rows = [first, *(day_and_name | more for more in crops[1:])]
    place = add_rows(log.book, "Record", rows)[0]
    said = [f"{shown(jars)} {name} on {day_words(day)}: in the record at {place}."]
    return log.save([*said, *failed_words(log, name, unsealed), *twice_words(log, name, day, jars)])


def used_cells(log: Log, name: str, used: Sequence[str]) -> list[dict[str, Value]]:
    """Crop, Crop used and Unit for each weight that was typed; raises CommandWrong where the crop is not clear."""
    taken = list(dict.fromkeys(line.item for line in log.typed.preserve(name).ingredients if line.source == "crop"))
    cells: list[dict[str, Value]] = []
    for text in used:
        behind = next(
            (crop for crop in sorted(taken, key=len, reverse=True) if text.casefold().endswith(crop.casefold())), None
        )
        if behind is None and len(taken) != 1:
            several = ", ".join(taken) or "no crop"
            such = f"--used '24lb {taken[0]}'" if taken else "no --used"
            msg = f"*{name}* takes {several}; write the crop behind the weight: {such}"
            raise CommandWrong(msg)
        weight = text[: -len(behind)] if behind is not None else text
        number, unit, _ = log.weight_kg(weight, log.crop(behind or taken[0]))
        cells.append({"Crop": behind or taken[0], "Crop used": number, "Unit": unit.name})
    return cells


def failed_words(log: Log, name: str, unsealed: float) -> list[str]:
    """What to do with jars that did not seal."""
    if not unsealed or log.typed.preserve(name).way not in CANNED:
        return []
    many = "1 jar" if unsealed == 1 else f"{shown(unsealed)} jars"
    words = (
        f"{many} did not seal: into the refrigerator and eaten within days, or frozen, or done again within 24 hours "
        f"with a new lid and the full time ({SEALS_SOURCE}). The lid is counted as used up, the jar is not."
    )
    return [words]


def twice_words(log: Log, name: str, day: datetime.date, jars: float) -> list[str]:
    """Say where the same work stands in Made of the plan too."""
    row = RecordRow(day, name, made=jars, where="Record")
    return [str(problem) for problem in made_twice(replace(log.typed, record=(row,)))]


def ate(path: Path, preserve: str, count: str, on: str | None, today: datetime.date) -> tuple[str, ...]:
    """
    Take so many of a preserve off the shelf, by a row `ate: PRESERVE` of the record; its containers come back by it.

    Gives what to say. Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    log = opened(path, today)
    name, day = log.preserve(preserve), log.day(on)
    eaten = log.count(count, "containers")
    place = add_rows(log.book, "Record", [{"Date": day, "Preserve": ATE + name, "Made": eaten}])[0]
    record = (*log.typed.record, RecordRow(day, ATE + name, made=eaten, where=place))
    settled, problems = ledger.settle(replace(log.typed, record=record))
    left = sum(row.count for row in settled.shelf if row.preserve == name)
    said = [
        f"{shown(eaten)} {name} eaten by {day_words(day)}: in the record at {place}; {shown(left)} left on the shelf."
    ]
    return log.save([*said, *(str(problem) for problem in problems if problem.where == place)])
