"""The one way from a household as typed to one whose preserves follow the published tables, or are refused."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.foods import kinds, kinds_named
from stillroom.handbook.keeping import dated, months
from stillroom.handbook.names import tokens
from stillroom.handbook.safety import FIRST, THEN
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.equipment import altitude_problems, cooled
from stillroom.handbook.safety.minutes import Found, process_of
from stillroom.household.journal.learning import Learned, with_learned
from stillroom.household.records import Household, PlanLine, Preserve

# What the handbook says without stopping: which kind of food a crop was matched to.


def matches(case: Case) -> Iterator[Problem]:
    """Say what each crop was matched to by its name, and which match nothing; told once for each crop."""
    crops = {crop.name: crop for crop in case.household.crops}
    for part in case.parts:
        crop = crops.get(part.item)
        if part.source != "crop" or crop is None or part.extra:
            continue
        typed = (crop.handbook_food or "").strip()
        found = kinds_named(typed or crop.name)
        where = crop.where or part.where
        if not found:
            what = f"{typed or crop.name} is not known to the handbook and counts as low-acid"
            yield Problem(where, what, "write what it is under Handbook food", "matched to nothing")
        elif not typed and tokens(crop.name) not in {tokens(kind) for kind in kinds()}:
            what = f"{crop.name} was matched by its name to {' and '.join(sorted(found))}"
            yield Problem(where, what, "write another food under Handbook food if that is wrong", "matched by name")


GENERAL = ("altitude missing", "altitude above table", "gauge missing")
"""Kinds that are told once for the whole workbook, not for each preserve."""


def settle(household: Household) -> tuple[Household, tuple[Problem, ...]]:
    """
    Fill in what the tables say of every preserve, and refuse what they refuse.

    A preserve whose way or container could not be read is set aside without a word: reading has told it already. Stops
    come for preserves that are to be made. A preserve that is not to be made but has a fixed line is refused by
    a said problem, and its fix is dropped. Nothing here raises for anything a household typed.
    """
    settled: list[Preserve] = []
    problems: list[Problem] = []
    refused: dict[str, str] = {}
    fixed = {line.name for line in household.plan_lines if line.fix is not None}
    for preserve in household.preserves:
        if not preserve.method or not preserve.container:
            refused[preserve.name] = "its way or container cannot be read; correct its row"
            settled.append(replace(preserve, include=False))
            continue
        case = Case(household, preserve)
        result, found = settle_one(case)
        stops = [problem for problem in found if problem.stops]
        wanted = preserve.include or preserve.name in fixed
        if preserve.include:
            problems.extend(found)
        elif preserve.name in fixed and stops:
            refused[preserve.name] = f"{stops[0].what}; {stops[0].fix}"
        elif preserve.name in fixed:
            problems.extend(found)
        if wanted and not stops and not case.free:
            problems.extend(matches(case))
        settled.append(result)
    lines = tuple(_without_fix(line, refused) for line in household.plan_lines)
    problems.extend(_refusals(household.plan_lines, refused))
    typed_months = {item.name: item.keeps_months for item in household.preserves}
    first_day = household.kitchen.first_day
    shelf = tuple(dated(household.shelf, {item.name: item for item in settled}, first_day, typed_months))
    pieces, cooling = cooled(household)
    problems.extend(cooling)
    answer = replace(household, preserves=tuple(settled), plan_lines=lines, shelf=shelf, equipment=pieces)
    return answer, tuple(dict.fromkeys(problems))


def settle_one(case: Case) -> tuple[Preserve, list[Problem]]:
    """Settle one preserve: the preserve with its process, and every problem with it, stops and said together."""
    keeps, said = months(case)
    refused = replace(case.preserve, keeps_months=keeps)
    problems = [problem for check in FIRST for problem in check(case)]
    if problems:
        return refused, problems
    if case.free:
        return _freed(case), []
    problems = [*altitude_problems(case), *(problem for check in THEN for problem in check(case)), *said]
    if any(problem.stops for problem in problems):
        return refused, problems
    found = process_of(case)
    if isinstance(found, Problem):
        return refused, [*problems, found]
    return _filled(case.preserve, found, keeps), [*problems, *found.said]


def _filled(preserve: Preserve, found: Found, keeps: float | None) -> Preserve:
    return replace(
        preserve,
        process_minutes=found.minutes,
        vent_minutes=found.vent_minutes,
        pressure_lb=found.pressure_lb,
        process_text=found.text,
        process_source=found.source,
        own_recipe=found.own_recipe,
        from_memory=found.from_memory,
        keeps_months=keeps,
    )


def _freed(case: Case) -> Preserve:
    """Give an unlidded box with a source as it was typed: nothing of the handbook is asked of it."""
    preserve = case.preserve
    return replace(preserve, process_minutes=preserve.minutes_typed or 0.0, process_source=preserve.source or "")


def _without_fix(line: PlanLine, refused: dict[str, str]) -> PlanLine:
    return replace(line, fix=None) if line.name in refused and line.fix is not None else line


def _refusals(lines: tuple[PlanLine, ...], refused: dict[str, str]) -> Iterator[Problem]:
    for line in lines:
        if line.name in refused and line.fix:
            why = refused[line.name]
            yield Problem(
                line.where,
                f"the fixed line for {line.name} is not kept: {why}",
                "clear Fix on this line",
                "fixed line refused",
            )


# What the record teaches, held against the published recipes: no yield is learned that a recipe does not allow.

WHY_NOT = "its recipe goes by the weight of the crop"


def within_recipes(household: Household, lessons: Iterable[Learned]) -> tuple[Learned, ...]:
    """
    Give the lessons, those set aside with which a preserve would no longer be what the handbook allows.

    More crop in a jar with the same vinegar, say, is less acid than the published pickle has: the typed figure is
    planned with. `household` has the record taken off and is not settled yet.
    """
    return tuple(
        replace(one, used=one.typed, why_not=WHY_NOT) if one.applies and _refused_by_it(household, one) else one
        for one in lessons
    )


def _refused_by_it(household: Household, lesson: Learned) -> bool:
    """Whether the handbook refuses a preserve as it was learned, though not as it was typed."""
    if lesson.crop is None or not household.preserve(lesson.preserve).method:
        return False
    taught = with_learned(household, [lesson])
    return _stops(taught, lesson.preserve) and not _stops(household, lesson.preserve)


def _stops(household: Household, name: str) -> bool:
    _, problems = settle_one(Case(household, household.preserve(name)))
    return any(problem.stops for problem in problems)
