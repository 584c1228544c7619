"""Days without a record: the likeliest history is proposed, a few counts are asked, and all is entered at once."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stillroom.app.record.entries import CAME, Entered, enter, pairs_in
from stillroom.app.record.evening import (
    Evening,
    LineToRecord,
    add,
    after_work,
    last_missed_day,
    lines_of,
    of_line,
    open_evening,
)
from stillroom.app.record.journal import Log, whole_jars
from stillroom.app.record.journal import found as the_one
from stillroom.errors import CommandWrong
from stillroom.household.amounts import typed_amount
from stillroom.household.journal.events import events, with_made_recorded
from stillroom.household.journal.lots import Bins
from stillroom.household.journal.stocks import stock_cards
from stillroom.household.names import Names
from stillroom.household.records import Household
from stillroom.household.results.rows import in_crop_unit
from stillroom.household.results.sums import keeps_until
from stillroom.household.text import format_long_date, format_number, format_quantity
from stillroom.household.units import MeasureWrong
from stillroom.workbook.ooxml.book import Value
from stillroom.workbook.writer.record import has_column

MOST_SHELF, MOST_CRATES, MOST_LIDS = 5, 3, 2
"""So many preserves, crops and lids are asked for: ten numbers, those that matter most."""
SHELF, CRATES, LIDS = "shelf", "crates", "lids"
LEAST = 0.01


@dataclass(frozen=True)
class Count:
    """One number to be counted: what there should be, in containers or in the crop's own unit."""

    kind: str
    name: str
    expected: float
    unit: str = ""

    @property
    def question(self) -> str:
        """
        What is asked, with what there should be.

        >>> Count("shelf", "juice, quart", 14.0).question, Count("crates", "corn", 12.0, "lb").question
        ('juice, quart on the shelf? [14]', 'corn still in crates? [12 lb]')
        """
        where = {SHELF: "on the shelf", CRATES: "still in crates", LIDS: "left"}[self.kind]
        return f"{self.name} {where}? [{format_quantity(self.expected, self.unit)}]"


@dataclass
class CatchUp:
    """
    Days to be caught up with: the lines proposed as made, what spoiled meanwhile, and what is to be counted.

    `counted` are the answers by kind and name, for those that differ from what there should be.
    """

    evening: Evening
    lines: tuple[LineToRecord, ...]
    spoiled: tuple[Entered, ...]
    counts: tuple[Count, ...]
    counted: dict[tuple[str, str], float]


def open_catch_up(path: Path, today: datetime.date, on: str | None = None) -> CatchUp:
    """
    Open a workbook and propose what happened since the last work in its record: every line of the plan made as planned.

    Fresh crop past its keeping days that the plan did not use is proposed as spoiled. Raises as `open_evening` does.
    """
    evening = open_evening(path, today, on, day_of=last_missed_day)
    typed = with_made_recorded(evening.log.typed, evening.moves)
    lines = tuple(lines_of(typed, evening.day, after_work(typed, evening.day)))
    trial = evening.log.trial()
    for line in lines:
        one = of_line(line, "")
        if one is not None:
            enter(trial, one, evening.problems)
    fresh = fresh_kg(trial.typed, evening.day)
    spoiled = tuple(
        Entered("spoiled", crop.name, f"{rounded(in_crop_unit(fresh[crop.name][1], crop))} {crop.unit}", evening.day)
        for crop in trial.typed.crops
        if rounded(in_crop_unit(fresh[crop.name][1], crop)) >= LEAST
    )
    return CatchUp(evening, lines, spoiled, tuple(counts_to_ask(evening, trial.typed, lines, fresh)), {})


def fresh_kg(typed: Household, day: datetime.date) -> Mapping[str, tuple[float, float]]:
    """Return what is left of each crop fresh at the end of a day: what keeps beyond the day, and what does not."""
    bins = Bins(typed)
    for event in events(typed):
        if event.day <= day:
            bins.happen(event)
    found: dict[str, tuple[float, float]] = defaultdict(lambda: (0.0, 0.0))
    for crop in typed.crops:
        there = [lot for lot in bins.fresh[crop.name] if lot.picked_on <= day]
        sound = sum(lot.kg for lot in there if keeps_until(lot, crop) > day)
        found[crop.name] = (sound, sum(lot.kg for lot in there) - sound)
    return found


def rounded(amount: float) -> float:
    """
    Return an amount to two decimals, never more than it is.

    >>> rounded(12.999999999), rounded(0.019)
    (13.0, 0.01)
    """
    return int(amount * 100 + 1e-6) / 100


def counts_to_ask(
    evening: Evening, typed: Household, lines: Sequence[LineToRecord], fresh: Mapping[str, tuple[float, float]]
) -> Iterable[Count]:
    """Return what is to be counted: the preserves with the most proposed, the most crops left, and the lids used."""
    there = {(card.kind, card.stock): card.should_be_now for card in stock_cards(typed)}
    made: dict[str, float] = defaultdict(float)
    for line in lines:
        if not line.unit:
            made[line.name] += line.planned
    for name in sorted(made, key=lambda one: -made[one])[:MOST_SHELF]:
        yield Count(SHELF, name, there.get(("shelf", name), 0.0))
    crops = [crop for crop in typed.crops if rounded(in_crop_unit(fresh[crop.name][0], crop)) >= LEAST]
    for crop in sorted(crops, key=lambda one: -fresh[one.name][0])[:MOST_CRATES]:
        yield Count(CRATES, crop.name, rounded(in_crop_unit(fresh[crop.name][0], crop)), crop.unit)
    used = {
        one.lid
        for one in typed.containers
        for item in typed.preserves
        if item.container == one.name and item.name in made
    }
    lids = [lid for lid in typed.lids if lid.name in used] if has_column(evening.log.book, "Lids", "Counted on") else []
    for lid in lids[:MOST_LIDS]:
        yield Count(LIDS, lid.name, there.get(("lid", lid.name), 0.0))


def proposal(found: CatchUp) -> list[str]:
    """Return what is proposed, a line a day."""
    by_day: dict[datetime.date, list[str]] = defaultdict(list)
    for line in found.lines:
        by_day[line.day].append(line.words)
    lines = [f"{format_long_date(day)}: {'; '.join(words)}" for day, words in sorted(by_day.items())]
    return lines + [f"spoiled since: {one.amount} {one.name}" for one in found.spoiled]


def count(found: CatchUp, one: Count, answer: str) -> None:
    """Take in one count; blank is what there should be. Raises CommandWrong."""
    if not answer.strip():
        return
    log = found.evening.log
    if one.kind == CRATES:
        crop = log.typed.crop(one.name)
        kg = 0.0 if is_zero(answer, metric=log.metric) else log.weight_kg(answer, crop)[2]
        found.counted[one.kind, one.name] = in_crop_unit(kg, crop)
    else:
        number = log.count(answer, "containers" if one.kind == SHELF else "lids")
        if one.kind == SHELF and not (number - one.expected).is_integer():
            whole_jars(log, one.name, number, 0.0)
        found.counted[one.kind, one.name] = number


def is_zero(text: str, *, metric: bool) -> bool:
    """
    Whether an amount is zero, with or without a unit.

    >>> is_zero("0", metric=False), is_zero("0 lb", metric=False), is_zero("none", metric=False)
    (True, True, False)
    """
    try:
        return typed_amount(text, metric=metric).number == 0
    except MeasureWrong:
        return False


def count_list(found: CatchUp, kind: str, words: str) -> None:
    """Take in a list of counts of a kind. Raises CommandWrong, also for what is not asked for."""
    names = Names(kind, (one.name for one in found.counts if one.kind == kind))
    for name, amount in pairs_in(words, names.meant, metric=found.evening.log.metric):
        meant = names.meant(name)
        one = next((one for one in found.counts if (one.kind, one.name) == (kind, *meant)), None)
        if one is None:
            there = "; ".join(other.name for other in found.counts if other.kind == kind) or "none"
            raise CommandWrong(f'"{name}" is not to be counted; {kind} to count: {there}')
        count(found, one, amount)


def enter_catch_up(found: CatchUp) -> Evening:
    """
    Queue the proposed history as far as the counts leave it so, and the counts; gives the evening to be saved.

    Fewer on the shelf were made fewer of the last days' lines; less in crates was eaten, more came in.
    """
    evening = found.evening
    made = {line: line.planned for line in found.lines}
    rest: list[Entered] = []
    for one in found.counts:
        now = found.counted.get((one.kind, one.name))
        if now is None or abs(now - one.expected) < LEAST:
            continue
        more = now - one.expected
        if one.kind == SHELF:
            left = spread(made, [line for line in reversed(found.lines) if line.name == one.name], more)
            if left < -LEAST:
                rest.append(Entered("ate", one.name, f"{-left:.15g}", evening.day))
        elif one.kind == CRATES:
            kind = CAME if more > 0 else "ate"
            rest.append(Entered(kind, one.name, f"{rounded(abs(more)):.15g} {one.unit}", evening.day))
    work = [of_line(line, f"{amount:.15g}") for line, amount in made.items()]
    add(evening, [*(one for one in work if one is not None), *found.spoiled, *rest])
    for one in found.counts:
        if one.kind == LIDS and (one.kind, one.name) in found.counted:
            count_lids(evening.log, one.name, found.counted[one.kind, one.name], evening.day)
    return evening


def spread(made: dict[LineToRecord, float], lines: Sequence[LineToRecord], more: float) -> float:
    """
    Add to the first of some lines, or take off them one after the other; gives what is left to be taken.

    >>> day = datetime.date(2026, 8, 14)
    >>> two = [LineToRecord(day, "juice", 7.0), LineToRecord(day.replace(day=13), "juice", 5.0)]
    >>> made = {line: line.planned for line in two}
    >>> spread(made, two, -9.0), list(made.values())
    (0.0, [0.0, 3.0])
    """
    for line in lines:
        change = max(more, -made[line])
        made[line] += change
        more -= change
        if more >= 0:
            break
    return more


def count_lids(log: Log, name: str, number: float, evening: datetime.date) -> None:
    """Queue a count of lids, of the morning after an evening, when all that was recorded is used up."""
    lid = next(one for one in log.typed.lids if one.name == name)
    day = evening + datetime.timedelta(days=1)
    cells: dict[str, Value] = {"On hand": number, "Counted on": day}
    log.changed("Lids", lid.where, {"Lid": name}, cells, f"{format_number(number)} {name} counted")
    counted = replace(lid, on_hand=number, counted_on=day)
    log.typed = replace(log.typed, lids=tuple(counted if one is lid else one for one in log.typed.lids))


# One thing counted by itself, on any day.


def countable(log: Log, day: datetime.date) -> list[Count]:
    """Return all that can be counted by itself, with what there should be: jars, fresh crops, and lids."""
    cards = {(card.kind, card.stock): card.should_be_now for card in stock_cards(log.typed)}
    shelf = [Count(SHELF, item.name, cards.get((SHELF, item.name), 0.0)) for item in log.typed.preserves]
    fresh = fresh_kg(log.typed, day)
    crates = [
        Count(CRATES, crop.name, rounded(in_crop_unit(fresh[crop.name][0], crop)), crop.unit)
        for crop in log.typed.crops
        if rounded(in_crop_unit(fresh[crop.name][0], crop)) >= LEAST
    ]
    lids = [Count(LIDS, lid.name, cards.get(("lid", lid.name), 0.0)) for lid in log.typed.lids]
    return [
        *(one for one in shelf if one.expected),
        *crates,
        *(lids if has_column(log.book, "Lids", "Counted on") else []),
    ]


def count_one(log: Log, name: str, answer: str, day: datetime.date) -> list[str]:
    """
    Queue what a count of one thing shows: fewer jars and less crop were eaten, more crop came in, lids are as counted.

    What to say of it. Raises CommandWrong, also for more jars than there should be: they were made, and not recorded.
    """
    counts = countable(log, day)
    names = Names("stock", (one.name for one in counts))
    meant = the_one(name, names.meant(name), names, "Preserves, Crops or Lids")
    one = next(one for one in counts if one.name == meant)
    if one.kind == LIDS:
        count_lids(log, one.name, log.count(answer, "lids"), day)
        return [log.steps[-1].words if log.steps else ""]
    if one.kind == CRATES:
        crop = log.typed.crop(one.name)
        kg = 0.0 if is_zero(answer, metric=log.metric) else log.weight_kg(answer, crop)[2]
        more = in_crop_unit(kg, crop) - one.expected
    else:
        more = log.count(answer, "containers") - one.expected
        if not more.is_integer():
            whole_jars(log, one.name, one.expected + more, 0.0)
    if abs(more) < LEAST:
        raise CommandWrong(f"{one.name}: that is what there should be, so there is nothing to record")
    if more > 0 and one.kind == SHELF:
        raise CommandWrong(f"{one.name}: that is more than was recorded; record what you made")
    kind = CAME if more > 0 else "ate"
    return enter(log, Entered(kind, one.name, f"{rounded(abs(more)):.15g} {one.unit}".strip(), day))
