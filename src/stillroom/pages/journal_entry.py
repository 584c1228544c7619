"""One entry of the journal: a workbook opened for it, what was typed read as amounts and names, and how it is saved."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from stillroom.errors import CommandWrong
from stillroom.handbook.same_food import same_food
from stillroom.household.amounts import Amount, amount_from, shown
from stillroom.household.names import Names, unknown
from stillroom.household.records import Crop, Household
from stillroom.household.units import MeasureWrong, Unit, in_base, unit_of
from stillroom.pages.asked_day import asked_day
from stillroom.pages.cleared import cleared_words
from stillroom.workbook import read
from stillroom.workbook.book import Book
from stillroom.workbook.older_copy import count_writing, older_copy
from stillroom.workbook.record_rows import Row, add_rows, formulas_replaced

LARGEST, MOST_HOURS = 1e6, 1e4
"""No weight or count of one entry is larger, and no time longer."""


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
        return self.typed.kitchen.first_day if on is None else asked_day(on)

    def amount(self, text: str) -> Amount:
        """A number with or without its unit, above zero; raises CommandWrong."""
        try:
            amount = amount_from(text, metric=self.metric)
        except MeasureWrong as wrong:
            raise CommandWrong(str(wrong)) from None
        if amount.number <= 0:
            msg = f"*{text}* is not more than nothing; write such as 24lb"
            raise CommandWrong(msg)
        return self.not_too_large(amount, text)

    @staticmethod
    def not_too_large(amount: Amount, text: str, most: float = LARGEST) -> Amount:
        """Refuse what no reader of the workbook would take afterwards; raises CommandWrong."""
        if amount.number > most:
            msg = f"*{text}* is more than {shown(most)}; write a smaller number"
            raise CommandWrong(msg)
        return amount

    def weight_kg(self, text: str, crop: Crop) -> tuple[float, Unit, float]:
        """A weight of a crop: the number, its unit and kilograms; raises CommandWrong."""
        amount = self.amount(text)
        unit = amount.unit or unit_of(crop.unit)
        try:
            return (
                amount.number,
                unit,
                crop.kg_in(amount.number, unit),
            )
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
        self.not_too_large(number, text)
        return number.number * (number.unit.factor if number.unit is not None else 1.0)

    def hours(self, text: str) -> float:
        """Hours of hands, a bare number is hours; raises CommandWrong."""
        amount = self.amount(text)
        try:
            hours = amount.number if amount.unit is None else in_base(amount.number, amount.unit, "time", "h")
        except MeasureWrong:
            msg = f"*{text}* is not a time of work; write such as 2.5h or 90min"
            raise CommandWrong(msg) from None
        return self.not_too_large(Amount(hours, None), text, MOST_HOURS).number

    def crop(self, text: str) -> Crop:
        """The crop of that name; raises CommandWrong with what may have been meant."""
        names = Names("crop", (crop.name for crop in self.typed.crops))
        return self.typed.crop(found(text, names, "Crops"))

    def preserve(self, text: str) -> str:
        """The preserve of that name as Preserves spells it; raises CommandWrong."""
        made = Names("preserve", (item.name for item in self.typed.preserves if item.make))
        every = Names("preserve", (item.name for item in self.typed.preserves))
        return found(text, every, "Preserves", made.holding(text))

    def save(self, said: Sequence[str], undo: str = "take that row out again") -> tuple[str, ...]:
        """Save, and say how to undo it."""
        warned = [str(problem) for problem in older_copy(self.book)]
        count_writing(self.book)
        receipt = self.book.save()
        copy = f", or put {receipt.backup.name} back in place of the file" if receipt.backup is not None else ""
        return (*said, *warned, *cleared_words(receipt), f"To undo: {undo}{copy}.")

    def added(self, name: str, rows: Sequence[Row]) -> tuple[str, list[str]]:
        """Queue rows of a table; gives the place of the first, and what to say of formulas that stood there."""
        places = add_rows(self.book, name, rows)
        cells = [
            cell
            for place, row in zip(places, rows, strict=True)
            for cell in formulas_replaced(self.book, name, place, row)
        ]
        return places[0], [f"The formula in {', '.join(cells)} gave way to it."] if cells else []


def name_first(names: Names, name: str, amount: str) -> tuple[str, str]:
    """
    Name and amount, in whichever order they were typed.

    >>> name_first(Names("crop", ["tomato"]), "53lb", "Tomato"), name_first(Names("crop", ["tomato"]), "tomat", "53lb")
    (('Tomato', '53lb'), ('tomat', '53lb'))
    >>> name_first(Names("crop", ["tomato"]), "53lb", "tomat")
    ('tomat', '53lb')
    """
    if names.find(name) is None and (
        names.find(amount) is not None or (starts_as_amount(name) and not starts_as_amount(amount))
    ):
        return amount, name
    return name, amount


def starts_as_amount(text: str) -> bool:
    """
    Whether a text starts as an amount does.

    >>> starts_as_amount("53lb"), starts_as_amount(".5 kg"), starts_as_amount("tomato")
    (True, True, False)
    """
    return text.strip()[:2].lstrip(".")[:1].isnumeric()


def found(text: str, names: Names, table: str, meant: Sequence[str] = ()) -> str:
    """A name as its table spells it; raises CommandWrong with the names that may be `meant`."""
    name = names.find(text)
    if name is None:
        same = same_food(text, names) if table == "Crops" else meant
        raise CommandWrong("; ".join(unknown(text, names, table=table, meant=same)))
    return name


def opened(path: Path, today: datetime.date) -> Log:
    """Open a workbook for an entry; what is wrong elsewhere in it does not matter here. Raises WorkbookRefused."""
    book = Book.open(path)
    return Log(book, read.household(book, today)[0])
