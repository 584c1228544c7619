"""Settle a household: give each preserve its published process, or refuse it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.foods import kinds, kinds_named
from stillroom.handbook.keeping import months, with_best_by
from stillroom.handbook.names import join_words, tokens
from stillroom.handbook.safety import FIRST, THEN
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.equipment import altitude_problems, with_cool_down
from stillroom.handbook.safety.minutes import Settled, process_of
from stillroom.handbook.standing import blanching_of, standing_of
from stillroom.handbook.waits import waits_of
from stillroom.household.journal.learning import Learned, with_learned
from stillroom.household.records import Household, PlanLine, Preserve


def matches(case: Case) -> Iterator[Problem]:
    """Note each crop that was matched to a food by its name, or matched to nothing; once for each crop."""
    crops = {crop.name: crop for crop in case.household.crops}
    for part in case.parts:
        crop = crops.get(part.item)
        if part.source != "crop" or crop is None or part.extra:
            continue
        typed = (crop.handbook_food or "").strip()
        found = kinds_named(typed or crop.name)
        where = crop.where or part.where
        if not found:
            yield Problem(where, "matched to nothing", (typed or crop.name,), field="Handbook food")
        elif not typed and tokens(crop.name) not in {tokens(kind) for kind in kinds()}:
            names = (crop.name, join_words(sorted(found), "and"))
            yield Problem(where, "matched by name", names, field="Handbook food")


def settle(household: Household) -> tuple[Household, tuple[Problem, ...]]:
    """
    Return the household with the published process of every preserve, and the problems found.

    Only an included preserve stops the plan. One that is not included but has a fixed line gets a note, and the fixed
    line is dropped. A preserve whose method or container could not be read is left out: reading reported it already.
    Nothing here raises for anything a household typed.
    """
    settled: list[Preserve] = []
    problems: list[Problem] = []
    refused: dict[str, tuple[Problem, ...]] = {}
    fixed = {line.name for line in household.plan_lines if line.fix is not None}
    for preserve in household.preserves:
        if not preserve.method or not preserve.container:
            refused[preserve.name] = ()
            settled.append(replace(preserve, include=False))
            continue
        case = Case(household, preserve)
        result, found = settle_one(case)
        stops = [problem for problem in found if problem.stops]
        wanted = preserve.include or preserve.name in fixed
        if preserve.include:
            problems.extend(found)
        elif preserve.name in fixed and stops:
            refused[preserve.name] = (stops[0],)
        elif preserve.name in fixed:
            problems.extend(found)
        if wanted and not stops and not case.exempt:
            problems.extend(matches(case))
        settled.append(result)
    lines = tuple(_without_fix(line, refused) for line in household.plan_lines)
    problems.extend(_refusals(household.plan_lines, refused))
    typed_months = {item.name: item.keeps_months for item in household.preserves}
    first_day = household.kitchen.first_day
    shelf = tuple(with_best_by(household.shelf, {item.name: item for item in settled}, first_day, typed_months))
    pieces, cooling = with_cool_down(household)
    problems.extend(cooling)
    answer = replace(household, preserves=tuple(settled), plan_lines=lines, shelf=shelf, equipment=pieces)
    return answer, tuple(dict.fromkeys(problems))


def settle_one(case: Case) -> tuple[Preserve, list[Problem]]:
    """Return one preserve with its process, and every problem of it."""
    keeps, notes = months(case)
    refused = replace(case.preserve, keeps_months=keeps)
    problems = [problem for check in FIRST for problem in check(case)]
    if problems:
        return refused, problems
    if case.exempt:
        return _as_typed(case), []
    problems = [*altitude_problems(case), *(problem for check in THEN for problem in check(case)), *notes]
    if any(problem.stops for problem in problems):
        return refused, problems
    found = process_of(case)
    if isinstance(found, Problem):
        return refused, [*problems, found]
    return _filled(case, found, keeps), [*problems, *found.notes]


def _filled(case: Case, found: Settled, keeps: float | None) -> Preserve:
    preserve, waits = case.preserve, waits_of(case.preserve.method)
    return replace(
        preserve,
        process_minutes=found.minutes,
        vent_minutes=waits.vent_minutes,
        rise_minutes=waits.rise_minutes,
        rest_minutes=waits.rest_minutes,
        pressure_lb=found.pressure_lb,
        process_text=found.text,
        process_source=found.source,
        standing=standing_of(case),
        blanch_text=blanching_of(case),
        own_recipe=found.own_recipe,
        from_memory=found.from_memory,
        keeps_months=keeps,
    )


def _as_typed(case: Case) -> Preserve:
    """Return an exempt preserve with its typed minutes and source."""
    preserve = case.preserve
    return replace(preserve, process_minutes=preserve.minutes_typed or 0.0, process_source=preserve.source or "")


def _without_fix(line: PlanLine, refused: Collection[str]) -> PlanLine:
    return replace(line, fix=None) if line.name in refused and line.fix is not None else line


def _refusals(lines: tuple[PlanLine, ...], refused: Mapping[str, tuple[Problem, ...]]) -> Iterator[Problem]:
    for line in lines:
        if line.name in refused and line.fix:
            cause = refused[line.name]
            kind = "fixed line refused: not safe" if cause else "fixed line refused: unreadable preserve"
            yield Problem(line.where, kind, (line.name,), field="Keep at", cause=cause)


WHY_NOT = "the published recipe depends on the weight of the crop"


def within_recipes(household: Household, lessons: Iterable[Learned]) -> tuple[Learned, ...]:
    """
    Return the lessons; one that would make the handbook refuse its preserve keeps the typed figure.

    For example, more crop in a jar with the same vinegar is less acid than the published pickle. `household` is not
    settled yet, and its record is subtracted.
    """
    return tuple(
        replace(one, used=one.typed, why_not=WHY_NOT) if one.applies and _is_refused_with(household, one) else one
        for one in lessons
    )


def _is_refused_with(household: Household, lesson: Learned) -> bool:
    """Return whether the handbook refuses a preserve with the learned figure, but not with the typed one."""
    if lesson.crop is None or not household.preserve(lesson.preserve).method:
        return False
    learned = with_learned(household, [lesson])
    return _stops(learned, lesson.preserve) and not _stops(household, lesson.preserve)


def _stops(household: Household, name: str) -> bool:
    _, problems = settle_one(Case(household, household.preserve(name)))
    return any(problem.stops for problem in problems)
