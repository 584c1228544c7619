"""The resources of a household: their words, their constraints, and one natural unit more of each."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from stillroom.household.plan import Period, Plan, used_in_time
from stillroom.household.records import STOVE_FREE, PantryItem
from stillroom.household.results.bottlenecks import Bottleneck
from stillroom.household.results.rows import in_crop_unit, in_space_unit
from stillroom.household.suppose import more
from stillroom.household.text import (
    format_amount,
    format_long_date,
    format_number,
    format_period,
    format_quantity,
    format_weekday,
    plural,
)
from stillroom.household.units import POUND_KG
from stillroom.planning.parameters import Parameters
from stillroom.planning.variables import Variables

EVENING_HOURS = 3.0
"""Length of an evening in hours; shown with the words."""

DOZEN = 12.0
A_FEW_BROKEN = 2.0
SPACE_LITRES = 10.0
MORE_MONEY = 10.0
FREEZING_LB, FREEZING_KG = 10.0, 5.0
KG_A_LB = POUND_KG


def catalogue(parameters: Parameters, variables: Variables) -> tuple[Bottleneck, ...]:
    """Return every resource with a constraint in the model: supplies, money, space, then time."""
    rows = variables.model.rows
    every = (
        *supplies(parameters, variables),
        *spaces(parameters, variables),
        *hours(parameters, variables),
        *pieces(parameters, variables),
        begun(parameters, variables),
    )
    found = []
    for bottleneck in every:
        there = tuple(name for name in bottleneck.rows if name in rows and rows[name].terms)
        if there:
            found.append(bottleneck if there == bottleneck.rows else replace(bottleneck, rows=there))
    return tuple(found)


def coming_in(bottleneck: Bottleneck, period: Period) -> Bottleneck:
    """Return the resource of a crop with its unit arriving in this period."""
    when = format_period(period.first_day, period.days)
    said = f"{bottleneck.step_words} {'on' if period.single else 'in'} {when}"
    return replace(bottleneck, day=period.first_day, step_words=said)


def supplies(parameters: Parameters, variables: Variables) -> Iterator[Bottleneck]:
    """Yield containers, lids, pantry, crops and money."""
    every = [period.label for period in parameters.periods]
    for container in parameters.containers:
        rows = tuple(variables.name("container_stock", container.name, label) for label in every)
        names = plural(2, container.name)
        price = None if container.price is None else DOZEN * container.price
        few = f"if two {names} were lost"
        yield Bottleneck(
            "container", container.name, names, rows, container.kind, 1.0, DOZEN, f"a dozen {names}", price, 2.0, few
        )
    for lid in parameters.lids:
        names = plural(2, lid.name)
        price = None if lid.price is None else DOZEN * lid.price
        few = f"if two {names} were lost"
        row = variables.name("lid_stock", lid.name)
        yield Bottleneck(
            "lid", lid.name, names, (row,), "lid", 1.0, DOZEN, f"a dozen {names}", price, A_FEW_BROKEN, few
        )
    for item in parameters.pantry:
        amount, words = pantry_step(item, metric=parameters.household.kitchen.weight_unit != "lb")
        price = None if item.price is None else amount * item.price
        row = variables.name("pantry_stock", item.name)
        less = (min(amount, item.on_hand), f"without {words} of {item.name}") if item.on_hand > 0 else (0.0, "")
        said = f"{words} of {item.name}" if item.base_unit in ("kg", "litre", "L") else f"{words} {item.name}"
        yield Bottleneck("pantry", item.name, item.name, (row,), item.unit, item.per_base, amount, said, price, *less)
    metric = parameters.household.kitchen.weight_unit != "lb"
    for crop in parameters.crops:
        kg, words = more.bushel_of(crop, metric=metric)
        rows = tuple(variables.name("crop_balance", crop.name, label) for label in every)
        said = f"{words} of {crop.name}"
        if crop.bushel_kg:
            said += (
                f" ({format_amount(in_crop_unit(kg, crop), crop.unit)} {crop.unit})" if crop.unit != "bushel" else ""
            )
        yield Bottleneck("crop", crop.name, crop.name, rows, crop.unit, in_crop_unit(1.0, crop), kg, said)
    yield Bottleneck(
        "money",
        "money",
        "spending limit",
        ("spending_limit",),
        "money",
        1.0,
        MORE_MONEY,
        "10 more to spend",
        MORE_MONEY,
    )


def pantry_step(item: PantryItem, *, metric: bool) -> tuple[float, str]:
    """
    Return one natural unit of a pantry item in its base unit, with its words.

    >>> pantry_step(PantryItem("lemon juice", "litre", unit="cup", per_base=4.2), metric=False)
    (1.0, 'a liter')
    """
    if item.base_unit in ("litre", "L"):
        return 1.0, "a liter"
    if item.base_unit == "kg":
        return (1.0, "a kilogram") if metric else (KG_A_LB, "a pound")
    return 1.0, "one more"


def spaces(parameters: Parameters, variables: Variables) -> Iterator[Bottleneck]:
    """Yield freezer, freezing capacity, refrigerator, shelf and cellar."""
    every = [period.label for period in parameters.periods]
    kitchen = parameters.household.kitchen
    unit = kitchen.volume_unit
    shown = in_space_unit(1.0, kitchen)
    litres = SPACE_LITRES if unit == "L" else 1.0 / shown
    size = format_quantity(litres * shown, unit)
    for place in more.SPACES:
        rows = tuple(variables.name(f"{place}_space", label) for label in every)
        words = f"space {'on the shelf' if place == 'shelf' else f'in the {place}'}"
        said = f"{size} more {'on the shelf' if place == 'shelf' else f'in the {place}'}"
        yield Bottleneck("space", place, words, rows, unit, shown, litres, said)
        if place == "freezer":
            rows = tuple(variables.name("freezing_per_day", label) for label in every)
            kg = FREEZING_LB * KG_A_LB if kitchen.weight_unit == "lb" else FREEZING_KG
            words = f"{10 if kitchen.weight_unit == 'lb' else 5} {kitchen.weight_unit} more frozen in a day"
            in_unit = 1 / KG_A_LB if kitchen.weight_unit == "lb" else 1.0
            yield Bottleneck(
                "freezing", "freezing", "what freezes in a day", rows, kitchen.weight_unit, in_unit, kg, words
            )


def hours(parameters: Parameters, variables: Variables) -> Iterator[Bottleneck]:
    """Yield labor and stove, if they are limited."""
    burners = parameters.household.kitchen.burners
    if parameters.periods and math.isfinite(parameters.hands_hours(parameters.periods[0])):
        yield from hours_of(parameters, variables, "hands", "hands", "of hands", 1.0)
    if parameters.periods and math.isfinite(parameters.stove_hours(parameters.periods[0])) and burners > 0:
        yield from hours_of(parameters, variables, STOVE_FREE, "stove", "of the stove", burners)


def hours_of(
    parameters: Parameters, variables: Variables, row: str, what: str, whose: str, times: float
) -> Iterator[Bottleneck]:
    """
    Yield one row of Hours: by detailed day, over the detailed days together, and in later weeks.

    `times` is the number of base units in an hour of the row: burner-hours for the stove.
    """
    constraint, evening = f"{what}_hours", EVENING_HOURS * times
    shown = 1.0 / times
    for days in by_weekday(parameters):
        number = days[0].first_day.weekday()
        when = format_long_date(days[0].first_day) if len(days) == 1 else f"every {format_weekday(days[0].first_day)}"
        rows = tuple(variables.name(constraint, day.label) for day in days)
        said = f"an evening more {whose} on {when} ({format_number(EVENING_HOURS, 0)} h)"
        if len(days) > 1:
            said = f"an evening more {whose} {when} ({format_number(EVENING_HOURS, 0)} h each)"
        words = f"{what} on {when}" if len(days) == 1 else f"{what} {when}"
        in_all = EVENING_HOURS * len(days)
        yield Bottleneck("hours", row, words, rows, "h", shown, evening, said, weekdays=(number,), hours=in_all)
    if len(parameters.singles) > 1:
        rows = tuple(variables.name(constraint, day.label) for day in parameters.singles)
        weekdays = tuple(sorted({day.first_day.weekday() for day in parameters.singles}))
        said = f"an hour more {whose} every day ({len(parameters.singles)} h)"
        words = f"{what} over the {len(parameters.singles)} days"
        in_all = float(len(parameters.singles))
        yield Bottleneck("hours", row, words, rows, "h", shown, times, said, weekdays=weekdays, hours=in_all)
    weeks = [period for period in parameters.periods if not period.single]
    if weeks:
        rows = tuple(variables.name(constraint, week.label) for week in weeks)
        said = f"an evening more {whose} in each later week ({format_number(EVENING_HOURS, 0)} h each)"
        words, in_all = f"{what} in later weeks", EVENING_HOURS * len(weeks)
        yield Bottleneck("hours", row, words, rows, "h", shown, evening, said, weeks=True, hours=in_all)


def by_weekday(parameters: Parameters) -> list[list[Period]]:
    """Return the detailed days grouped by weekday: they share their hours."""
    found: dict[int, list[Period]] = {}
    for period in parameters.singles:
        found.setdefault(period.first_day.weekday(), []).append(period)
    return list(found.values())


def pieces(parameters: Parameters, variables: Variables) -> Iterator[Bottleneck]:
    """Yield the equipment: one more of each."""
    for piece in parameters.equipment:
        rows = tuple(variables.name("equipment_hours", piece.name, period.label) for period in parameters.periods)
        yield Bottleneck("equipment", piece.name, piece.name, rows, "h", 1.0, 1.0, f"one more {piece.name}")


def begun(parameters: Parameters, variables: Variables) -> Bottleneck:
    """Return the most preserves in a day: one more on every detailed day."""
    rows = tuple(variables.name("most_preserves", day.label) for day in parameters.singles)
    unit = "preserve"
    return Bottleneck("begun", "begun", "preserves in a day", rows, unit, 1.0, 1.0, "one more preserve in a day")


# A plan as columns: a warm start.

NEAR = 1e-6


def columns_of(
    parameters: Parameters, variables: Variables, plan: Plan, filled: Mapping[str, float] | None = None
) -> tuple[float, ...]:
    """
    Return the columns of a plan, in the order of the model's variables; others are 0.

    `filled` is how far each target was filled before, from which losses are counted.
    """
    values: dict[str, float] = {}
    for decided, amounts in (
        (variables.make, plan.make),
        (variables.fresh, plan.fresh_kg),
        (variables.frozen, plan.frozen_kg),
        (variables.freeze, plan.freeze_kg),
        (variables.thaw, plan.thaw_kg),
        (variables.spoil, plan.spoil_kg),
        (variables.surplus, plan.surplus_kg),
        (variables.loads, plan.loads),
    ):
        values |= {variable.name: amounts.get(key, 0.0) for key, variable in decided.items()}
    for bought, amount in (
        (variables.buy_container, plan.buy_containers),
        (variables.buy_lid, plan.buy_lids),
        (variables.buy_item, plan.buy_items),
    ):
        values |= {variable.name: amount.get(name, 0.0) for name, variable in bought.items()}
    for setups, made in ((variables.setup, plan.make), (variables.setup_freeze, plan.freeze_kg)):
        values |= {variable.name: float(made.get(key, 0.0) > 0) for key, variable in setups.items()}
    values |= {variable.name: plan.bands.get(key, 0.0) for key, variable in variables.filled.items()}
    values |= short_and_changed(parameters, variables, plan) | old_used(parameters, variables, plan)
    for name, was in (filled or {}).items():
        there = sum(plan.bands.get((name, segment), 0.0) for segment in range(len(parameters.gains)))
        values[variables.name("loss", name)] = max(0.0, was - there)
    return tuple(values.get(name, 0.0) for name in variables.model.variables)


def columns_from(
    parameters: Parameters, variables: Variables, values: Mapping[str, float], filled: Mapping[str, float]
) -> tuple[float, ...]:
    """
    Return the columns of variables given by name; others are 0, and additional crop is surplus in its period.

    `filled` is how far each target was filled before, from which losses are counted.
    """
    found = {**values, **more_surplus(parameters, variables, values)}
    for name, was in filled.items():
        bands = [
            variables.filled[name, segment]
            for segment in range(len(parameters.gains))
            if (name, segment) in variables.filled
        ]
        there = sum(values.get(variable.name, 0.0) for variable in bands)
        found[variables.name("loss", name)] = max(0.0, was - there)
    return tuple(found.get(name, 0.0) for name in variables.model.variables)


def more_surplus(parameters: Parameters, variables: Variables, values: Mapping[str, float]) -> dict[str, float]:
    """Return the surplus of each crop and period that satisfies `crop_balance`; at least 0."""
    found = {}
    for (crop, number), surplus in variables.surplus.items():
        row = variables.model.rows[variables.name("crop_balance", crop, parameters.periods[number].label)]
        over = sum(coefficient * values.get(variable.name, 0.0) for coefficient, variable in row.terms) - row.bound
        if abs(over) > NEAR:
            found[surplus.name] = max(0.0, values.get(surplus.name, 0.0) + over)
    return found


def old_used(parameters: Parameters, variables: Variables, plan: Plan) -> dict[str, float]:
    """Return what preserves use of one another that goes out of date before the plan ends, the earliest date first."""
    values = {}
    for name in sorted({name for name, _ in variables.use_old}):
        rows = [row for row in parameters.household.shelf if row.preserve == name]
        used = [
            sum(each * plan.make.get((user.name, period.number), 0.0) for user, each in parameters.users[name])
            for period in parameters.periods
        ]
        for number, amount in enumerate(used_in_time(rows, used, parameters.periods)):
            if (name, number) in variables.use_old:
                values[variables.use_old[name, number].name] = amount
    return values


def short_and_changed(parameters: Parameters, variables: Variables, plan: Plan) -> dict[str, float]:
    """Return the shortfall of each fixed line, and the change from the last plan."""
    violations = {(violation.name, violation.period, violation.typed): violation.short for violation in plan.violations}
    fixes = [(fix.name, fix.numbers[0], fix.amount) for fix in parameters.fixes]
    values = {variable.name: violations.get(fixes[number], 0.0) for number, variable in variables.short.items()}
    for number, line in enumerate(parameters.last_lines):
        made = sum(plan.make.get((line.name, number), 0.0) for number in line.numbers)
        values[variables.more[number].name] = max(0.0, made - line.amount)
        values[variables.less[number].name] = max(0.0, line.amount - made)
    return values
