"""What happens in the kitchen, written into the workbook from the command line: weighed, made, eaten."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from stillroom.errors import CommandWrong
from stillroom.household import ledger
from stillroom.household.amounts import shown
from stillroom.household.answer.units import in_crop_unit
from stillroom.household.answer.words import day_words
from stillroom.household.happened import made_twice
from stillroom.household.names import Names
from stillroom.household.records import ATE, FREEZE_WHOLE, THAW, Crop, Household, Lot, RecordRow
from stillroom.household.today import CANNED, SEALS_SOURCE
from stillroom.household.units import Unit, find_unit
from stillroom.pages.journal_entry import Log, name_first, opened
from stillroom.workbook.book import Value
from stillroom.workbook.reader.log import taken_apart
from stillroom.workbook.record_rows import change_row, has_column

NEAR_DAYS = 3
"""An expected lot so many days away may be the one that was weighed, and is named."""


def weigh(path: Path, crop_name: str, amount: str, on: str | None, today: datetime.date) -> tuple[str, ...]:
    """
    Add a lot, or turn the lot expected of that crop on that day into this one; gives what to say.

    Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    log = opened(path, today)
    crop_name, amount = name_first(Names("crop", (crop.name for crop in log.typed.crops)), crop_name, amount)
    crop, day = log.crop(crop_name), log.day(on)
    number, unit, _ = log.weight_kg(amount, crop)
    weighed = f"{shown(number)} {unit.name} of {crop.name}, picked {day_words(day)}"
    expected = next(
        (one for one in log.typed.lots if one.expected and (one.crop, one.picked_on) == (crop.name, day)), None
    )
    if expected is None:
        place, gone = log.added("Harvest", [lot_row(log, crop, day, number, unit)])
        return log.save([f"{weighed}: added at {place}.", *gone, *near_words(log.typed, crop, day)])
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
        if used or failed is not None:
            msg = f"*{apart[0]}{apart[1]}* takes its weight, such as 24lb, and neither --used nor --failed"
            raise CommandWrong(msg)
        return moved(log, apart[0], log.crop(apart[1]), count, hands, day)
    preserve, count = name_first(Names("preserve", (item.name for item in log.typed.preserves)), preserve, count)
    name = log.preserve(preserve)
    jars = log.count(count, "containers")
    unsealed = 0.0 if failed is None else log.count(failed, "jars")
    whole_jars(log, name, jars, unsealed)
    crops = used_cells(log, name, used)
    first: dict[str, Value] = {"Date": day, "Preserve": name, "Made": jars, "Failed seals": unsealed or None}
    first |= {"Hands hours": None if hands is None else log.hours(hands)} | (crops[0] if crops else {})
    day_and_name: dict[str, Value] = {"Date": day, "Preserve": name}
    rows = [first, *(day_and_name | more for more in crops[1:])]
    place, gone = log.added("Record", rows)
    took = ", ".join(f"{shown(float(str(one['Crop used'])))} {one['Unit']} {one['Crop']}" for one in crops)
    said = [f"{shown(jars)} {name} on {day_words(day)}{f', of {took}' if took else ''}: in the record at {place}."]
    return log.save([*said, *gone, *failed_words(log, name, unsealed), *twice_words(log, name, day, jars)])


def whole_jars(log: Log, name: str, jars: float, unsealed: float) -> None:
    """Refuse a part of a canned jar: what a part-filled jar holds is not canned. Raises CommandWrong."""
    for number in (jars, unsealed):
        if number != round(number) and log.typed.preserve(name).way in CANNED:
            msg = f"{shown(number)} {name} cannot be: write the full jars; a part-filled one goes into the refrigerator"
            raise CommandWrong(msg)


def moved(log: Log, start: str, crop: Crop, weight: str, hands: str | None, day: datetime.date) -> tuple[str, ...]:
    """Add to the record that crop was frozen whole or taken out; gives what to say."""
    number, unit, _ = log.weight_kg(weight, crop)
    row: dict[str, Value] = {
        "Date": day,
        "Preserve": start + crop.name,
        "Crop": crop.name,
        "Crop used": number,
        "Unit": unit.name,
        "Hands hours": None if hands is None else log.hours(hands),
    }
    place, gone = log.added("Record", [row])
    said = f"{start}{crop.name}, {shown(number)} {unit.name} on {day_words(day)}: in the record at {place}."
    return log.save([said, *gone])


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
        if behind is None and (word := strange_word(weight)):
            msg = f"*{name}* takes no *{word}*; write the crop as it is called: --used '24lb {taken[0]}'"
            raise CommandWrong(msg)
        number, unit, _ = log.weight_kg(weight, log.crop(behind or taken[0]))
        cells.append({"Crop": behind or taken[0], "Crop used": number, "Unit": unit.name})
    return cells


def strange_word(weight: str) -> str:
    """
    What stands behind a weight that has its unit, and is none.

    >>> strange_word("10lb tomato"), strange_word("10 lb"), strange_word("10lbs"), strange_word("3 lb 5 oz")
    ('tomato', '', '', '')
    """
    found = re.fullmatch(r"[\d./\s,]*\d\s*([^\W\d]+\.?)\s+([^\W\d].*)", weight.strip())
    return found[2] if found is not None and find_unit(found[1]) and not find_unit(f"{found[1]} {found[2]}") else ""


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
    """Say where the same work stands in Made of the plan too, or in an earlier row of the record."""
    row = RecordRow(day, name, made=jars, where="Record")
    before = [one for one in log.typed.record if (one.date, one.preserve) == (day, name) and one.made > 0]
    said = [
        f"{one.where} has {shown(one.made)} of that day already, and both are counted; take one of the rows out, if it "
        "is the same work."
        for one in before[-1:]
    ]
    return [*said, *(str(problem) for problem in made_twice(replace(log.typed, record=(row,))))]


def ate(path: Path, preserve: str, count: str, on: str | None, today: datetime.date) -> tuple[str, ...]:
    """
    Take so many of a preserve off the shelf, by a row `ate: PRESERVE` of the record; its containers come back by it.

    Gives what to say. Raises WorkbookRefused, CommandWrong, CouldNotWrite; nothing is changed then.
    """
    log = opened(path, today)
    preserve, count = name_first(Names("preserve", (item.name for item in log.typed.preserves)), preserve, count)
    name, day = log.preserve(preserve), log.day(on)
    eaten = log.count(count, "containers")
    place, gone = log.added("Record", [{"Date": day, "Preserve": ATE + name, "Made": eaten}])
    record = (*log.typed.record, RecordRow(day, ATE + name, made=eaten, where=place))
    settled, problems = ledger.settle(replace(log.typed, record=record))
    left = sum(row.count for row in settled.shelf if row.preserve == name)
    said = [
        f"{shown(eaten)} {name} eaten by {day_words(day)}: in the record at {place}; {shown(left)} left on the shelf."
    ]
    return log.save([*said, *gone, *(str(problem) for problem in problems if problem.where == place)])
