"""Changes of what is made and wanted, of hours, and of the kitchen's settings."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import replace

from stillroom.household.amounts import clock_from
from stillroom.household.names import Names, key
from stillroom.household.plan import EFFORT_PRICES
from stillroom.household.records import DAY_HOURS, FREEZE_WHOLE, STOVE_FREE, THAW, WEEKDAYS, Household, PlanLine
from stillroom.household.scenarios import LIKELY_HARVEST, planned_for_several
from stillroom.household.suppose.lookup import (
    MOST,
    amount,
    day_of,
    find,
    in_range,
    names_of,
    number,
    several_preserves,
    weekday,
    wrong,
)
from stillroom.household.suppose.more import HANDS, is_a_person, with_hours
from stillroom.household.suppose.stocks import Changed, crop_kg
from stillroom.household.text import WEEKDAY_NAMES, format_clock, format_list, format_long_date, format_number
from stillroom.household.units import MeasureWrong, find_unit, in_base, to_kg

SETTINGS = {
    "spendinglimit": ("spending_limit", "money"),
    "burners": ("burners", "number"),
    "altitude": ("altitude_ft", "length"),
    "gauge": ("gauge", "gauge"),
    "effort": ("effort", "effort"),
    "filltargetsevenly": ("fill_targets_evenly", "yes_no"),
    "mosttofreezeinaday": ("freeze_kg_a_day", "weight"),
    "setupminutes": ("setup_hours_a_kind", "minutes"),
    "mostpreservesinaday": ("most_preserves_a_day", "whole"),
    "latestend": ("latest_end", "clock"),
    "shareofhourskeptfree": ("kept_free", "percent"),
}
"""The settings of the kitchen that a change may name, each with its field and what it is."""

ALTITUDES_FT = (-2000.0, 30000.0)
BURNERS = (1.0, 100.0)
MOST_DAYS_KEPT = 1000.0
MOST_BEGUN = 100.0
MOST_KEPT_FREE = 90.0
"""What a workbook may hold of these: the same here, so that no plan is made that no workbook could ask for."""

ALL_HARVESTS = "all harvests"
PLANNED_FOR = {"likely": LIKELY_HARVEST, "all": ALL_HARVESTS, "worst": "worst harvest"}
"""What a plan may be for, by the first word of it."""


def not_made(household: Household, found: re.Match[str]) -> Changed:
    """`no salsa`: a preserve, all with these words in their names, or all that count toward a need."""
    names = several_preserves(household, found["name"])
    changed = household.changed("preserves", *names, include=False).changed("plan_lines", *names, fix=None)
    return changed, f"no {format_list(names, 4, '; ')}"


def made_too(household: Household, found: re.Match[str]) -> Changed:
    """`make salsa, pint`: Include = yes; what the handbook refuses stays refused."""
    names = several_preserves(household, found["name"])
    return household.changed("preserves", *names, include=True), f"{format_list(names, 4, '; ')} included"


def fixed(household: Household, found: re.Match[str]) -> Changed:
    """`juice, quart: keep at 14 on Thu`, `freeze whole: plum tomato: keep at 20 lb on Thu`."""
    typed = found["name"]
    day = day_of(found["day"], household)
    for start in (FREEZE_WHOLE, THAW):
        if typed.casefold().startswith(start):
            _, name = find(household, typed[len(start) :], ("crop",))
            kg = crop_kg(household.crop(name), found["amount"], household)
            words = f"{start}{name}: {found['amount']} on {format_long_date(day)}"
            return with_line(household, start + name, day, kg), words
    _, name = find(household, typed, ("preserve",))
    count, unit = amount(found["amount"], household)
    if unit is not None or count != round(count):
        raise wrong(f"*{found['amount']}* is not a number of containers", "write a whole number, such as keep at 14")
    return with_line(household, name, day, count), f"{name}: {format_number(count)} on {format_long_date(day)}, kept"


def with_line(household: Household, name: str, day: datetime.date, amount_fixed: float) -> Household:
    """The household with one fixed line for a day, in place of any that fixed the same."""
    kept = tuple(
        replace(line, fix=None) if (line.name, line.day, line.days) == (name, day, 1) else line
        for line in household.plan_lines
    )
    return replace(household, plan_lines=(*kept, PlanLine(day, 1, name, fix=amount_fixed)))


def wanted(household: Household, found: re.Match[str]) -> Changed:
    """`tomato juice wanted 40`, `tomato juice at most 60`, `salsa importance 1`."""
    _, name = find(household, found["name"], ("target",))
    target = next(one for one in household.targets if one.name == name)
    what = key(found["what"])
    figure = number(found["figure"], household)
    if what == "importance":
        if figure not in (1, 2, 3):
            raise wrong(f"importance {format_number(figure)} is none", "write 1 must, 2 should or 3 nice")
        new: dict[str, float] = {"importance": int(figure)}
        words = f"importance {format_number(figure, 0)}, not {target.importance}"
    elif what == "atmost":
        if figure < target.wanted:
            there = f"*{name}* has {format_number(target.wanted)} wanted"
            raise wrong(there, "at most cannot be less; change wanted first")
        new = {"at_most": figure}
        words = f"at most {format_number(figure)} instead of {format_number(target.at_most)}"
    else:
        new = {"wanted": figure, "at_most": max(figure, target.at_most)}
        words = f"{format_number(figure)} wanted instead of {format_number(target.wanted)}"
    return household.changed("targets", name, **new), f"{name}: {words}"


def hours(household: Household, found: re.Match[str]) -> Changed:
    """`hands Sat 0`, `stove +2` (hours the stove is free), `hands: person A Sun x0.5`, `hands later weeks -5`."""
    typed = STOVE_FREE if key(found["name"]) == "stove" else found["name"]
    name = person_named(household, typed) or find(household, typed, ("hours",))[1]
    if not found["days"] and name in names_of(household, "equipment"):
        raise wrong(f"*{name} {found['sign']}{found['figure']}* needs a day", f"write {name} every day ...")
    days, weeks, words = days_meant(found["days"] or "")
    figure = number(found["figure"], household)
    sign = found["sign"].replace("−", "-").replace("×", "x")
    change = {
        "+": lambda hours: hours + figure,
        "-": lambda hours: hours - figure,
        "x": lambda hours: hours * figure,
    }.get(sign, lambda _: figure)
    said = {
        "+": f"{format_number(figure)} h more",
        "-": f"{format_number(figure)} h less",
        "x": f"{format_number(figure)} times the hours",
    }
    much = said.get(sign, f"{format_number(figure)} h")
    changed = with_hours(household, name, change, days, weeks=weeks)
    if name == STOVE_FREE and free_too_long(changed):
        raise wrong(
            f"*{name}: {much} {words}* is more than 24 h a day", "write hours the stove is free, not burner-hours"
        )
    return changed, f"{name}: {much} {words}"


def free_too_long(household: Household) -> bool:
    """Whether the stove is free for more than the hours of a day, or of a week."""
    rows = [row for row in household.hours if row.what == STOVE_FREE]
    return any(max(row.by_weekday) > DAY_HOURS or row.each_later_week > 7 * DAY_HOURS for row in rows)


def person_named(household: Household, text: str) -> str | None:
    """
    The row of hours of one person's hands, as in Hours (`hands: person A`) or the person alone; None for others.

    >>> from stillroom.household.records import Hours, Kitchen
    >>> home = Household(Kitchen(datetime.date(2026, 8, 15)), hours=(Hours("hands: person A", (2.0,) * 7, 8.0),))
    >>> person_named(home, "hands: person a"), person_named(home, "person A"), person_named(home, "hands")
    ('hands: person A', 'hands: person A', None)
    """
    start, _, rest = text.partition(":" if ":" in text else " ")
    person = rest if key(start) == HANDS and rest.strip() else text
    people = Names("person", (row.what.partition(":")[2] for row in household.hours if is_a_person(row.what)))
    known = people.find(person)
    return None if known is None else next(row.what for row in household.hours if row.what.partition(":")[2] == known)


def days_meant(text: str) -> tuple[tuple[int, ...], bool, str]:
    """
    The weekdays a text means, whether later weeks are meant, and in words.

    >>> days_meant("Sat"), days_meant("Sat and Sun")[0], days_meant("later weeks")[1], days_meant("")[2]
    (((5,), False, 'on Saturday'), (5, 6), True, 'every day')

    Raises ChangeWrong.
    """
    plain = " ".join(text.replace(",", " ").casefold().split())
    if plain in ("", "every day", "each day", "daily"):
        return tuple(range(7)), False, "every day"
    if plain in ("later weeks", "each later week", "later week"):
        return (), True, "in each later week"
    found = [weekday(word) for word in plain.split() if word not in ("and", "on")]
    if None in found or not found:
        fix = f"write {', '.join(WEEKDAYS)}, every day or later weeks"
        raise wrong(f"*{text.strip()}* is not a day", fix)
    days = tuple(day for day in found if day is not None)
    return days, False, "on " + " and ".join(WEEKDAY_NAMES[day] for day in days)


def free_from(household: Household, found: re.Match[str]) -> Changed:
    """`dryer free from Wed`."""
    _, name = find(household, found["name"], ("equipment",))
    day = day_of(found["day"], household)
    return household.changed("equipment", name, free_from=day), f"{name}: free from {format_long_date(day)}"


def keeps(household: Household, found: re.Match[str]) -> Changed:
    """`plum tomato keeps 3 days`."""
    _, name = find(household, found["name"], ("crop",))
    days = number(found["figure"], household, MOST_DAYS_KEPT)
    return household.changed("crops", name, keeps_days=days), f"{name} keeps {format_number(days)} days"


def setting(household: Household, found: re.Match[str]) -> Changed:
    """`altitude 5200 ft`, `spending limit 80`, `gauge dial`."""
    field, kind = SETTINGS[key(found["name"])]
    typed = found["value"]
    value: object
    if kind == "gauge":
        value = typed.casefold()
        if value not in ("dial", "weighted"):
            raise wrong(f"*{typed}* is not a gauge", "write dial or weighted")
    elif kind == "effort":
        value = typed.casefold()
        if value not in EFFORT_PRICES:
            raise wrong(f"*{typed}* is not an effort", "write light, normal or all out")
    elif kind == "yes_no":
        if typed.casefold() not in ("yes", "no"):
            raise wrong(f"*{typed}* must be yes or no", "write yes or no")
        value = typed.casefold() == "yes"
    elif kind == "whole":
        value = math.floor(number(typed, household, MOST_BEGUN, 1.0))
    elif kind == "percent":
        value = number(typed.rstrip("% "), household, MOST_KEPT_FREE) / 100
    elif kind == "clock":
        value = later_than_starts(household, typed)
    else:
        value = measured(household, typed, kind)
    return household.with_kitchen(**{field: value}), f"{' '.join(found['name'].split())}: {typed}"


def later_than_starts(household: Household, typed: str) -> datetime.time:
    """A time at which kitchen work may end on every weekday. Raises ChangeWrong."""
    try:
        time = clock_from(typed)
    except MeasureWrong as problem:
        raise wrong(problem.what, problem.fix) from None
    kitchen = household.kitchen
    starts = max(kitchen.starts_by_weekday or (kitchen.day_starts_at,))
    if time <= starts:
        raise wrong(f"*{typed}* is not after {format_clock(starts)}, when a day starts", "write a later time")
    return time


def planned_for(household: Household, found: re.Match[str]) -> Changed:
    """`plan for all harvests`, `plan for worst harvest`, `plan for likely harvest`."""
    which = PLANNED_FOR.get(key(re.sub(r"\s*(harvests?|seasons?)$", "", found["which"], flags=re.IGNORECASE)))
    if which is None:
        fix = "write plan for all harvests, plan for worst harvest or plan for likely harvest"
        raise wrong(f"*{found['which']}* is not a harvest to plan for", fix)
    changed = household.with_kitchen(plan_for=which)
    words = f"planned for {'' if which == ALL_HARVESTS else 'the '}{which}"
    if which != LIKELY_HARVEST and not planned_for_several(changed):
        words += ", which is the likely one: no lot after tomorrow has a Least or a Most"
    return changed, words


def measured(household: Household, typed: str, kind: str) -> float:
    """A setting's number in the unit used inside; a bare one is in the workbook's own unit. Raises ChangeWrong."""
    figure, unit = amount(typed, household, -MOST if kind == "length" else 0.0)
    kitchen = household.kitchen
    bare = {"length": kitchen.altitude_unit, "weight": kitchen.weight_unit, "minutes": "min"}.get(kind)
    if bare is None:
        if unit is not None:
            raise wrong(f"*{typed}* has a unit", "write a number without one")
        return in_range(figure, typed, *BURNERS) if kind == "number" else figure
    measure = find_unit(bare) if unit is None else unit
    wants = {"length": "length", "weight": "weight", "minutes": "time"}[kind]
    if measure is None or measure.measures != wants:
        raise wrong(f"*{typed}* is not a {wants}", f"write it in {bare}")
    if kind == "weight":
        return to_kg(figure, measure)
    try:
        inside = in_base(figure, measure, wants, bare)
    except MeasureWrong as problem:
        raise wrong(problem.what, problem.fix) from None
    return in_range(inside, typed, *ALTITUDES_FT, " ft") if kind == "length" else inside
