"""Settle a household: give each preserve its published process, waits, headspace and acid, or refuse it."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from stillroom.errors import Problem
from stillroom.handbook.foods import kinds, kinds_named
from stillroom.handbook.ingredients import extras
from stillroom.handbook.jars import headspace_text, measured
from stillroom.handbook.keeping import frozen_crop, frozen_lots, months, with_best_by
from stillroom.handbook.lexicon import read
from stillroom.handbook.lines import Line, fact, longest, waits_of
from stillroom.handbook.names import join_words, tokens
from stillroom.handbook.safety import FIRST, NAMES, THEN
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.equipment import altitude_problems, with_cool_down
from stillroom.handbook.safety.minutes import Settled, process_of
from stillroom.handbook.safety.not_canned import not_cellared
from stillroom.handbook.tables import Row, listed, table
from stillroom.household.journal.learning import Learned, with_learned
from stillroom.household.load_steps import leave_without_room
from stillroom.household.names import key as name_key
from stillroom.household.records import Household, PlanLine, Preserve
from stillroom.household.standing import NO_STEPS, RecipeSteps, Standing
from stillroom.household.text import format_list


def standing_of(case: Case) -> tuple[Standing, ...]:
    """Return the waits of a preserve that follows its line, in the order of the table; empty for an own recipe."""
    if case.line is None:
        return ()
    rows = [row for row in table("standing") if row["product"] == case.line.product]
    return tuple(
        Standing(
            float(row["hours_low"]),
            float(row["hours_high"]),
            row["where"],
            choice_for(row, rows),
            row["when"] == "after processing",
            row["then"],
        )
        for row in rows
        if row["optional"] == "no" and not row["instead_of"] and applies(case, row)
    )


def choice_for(row: Row, rows: list[Row]) -> str:
    """Return the waits that may take the place of a row, in words; empty without one."""
    others = [other for other in rows if other["instead_of"] == row["key"]]
    return ", then ".join(
        Standing(float(one["hours_low"]), float(one["hours_high"]), one["where"]).words for one in others
    )


def applies(case: Case, row: Row) -> bool:
    """
    Return whether a wait is for what goes into the preserve.

    A row that is only for some foods needs one of them by its kind or by a word of its name. What comes out of another
    preserve has stood already.
    """
    fresh = [part for part in case.parts if not part.through]
    if row["only_for"]:
        words = {word for part in fresh for word in tokens(part.item)}
        kinds = {kind for part in fresh for kind in part.kinds}
        return any(one in kinds or set(tokens(one)) <= words for one in listed(row["only_for"]))
    line = case.line
    return line is not None and any(set(part.kinds) & line.foods for part in fresh)


FROZEN_HEADSPACE = "headspace of frozen food, dry pack"


def steps_of(line: Line | None) -> RecipeSteps:
    """
    Return the published steps of a line besides its process; empty ones without a line, or where no page was read.

    What is frozen has the headspace of a dry pack where its row has none of its own.

    >>> from stillroom.handbook.lines import lines
    >>> steps_of(lines()["green beans, raw pack, pint"]).fill, steps_of(lines()["sweet peppers, frozen"]).fill
    ('pack tightly, cover with boiling water', 'leave 1/2 inch headspace in a rigid container')
    """
    if line is None:
        return NO_STEPS
    pack = f"{line.pack} pack" if line.pack else ""
    named = (line.product, line.pack) if line.canned else (line.key, "")
    row = next((one for one in table("recipe_steps") if (one["product"], one["pack"]) == named), None)
    fill = row["fill"] if row else ""
    if line.method == "frozen" and not fill:
        fill = f"leave {fact(FROZEN_HEADSPACE)['value']} inch headspace in a rigid container"
    return RecipeSteps(pack, row["prepare"], row["cook"], fill) if row else RecipeSteps(pack, fill=fill)


def blanching_of(case: Case) -> str:
    """
    Return how food is blanched or cooked before it is frozen or dried; empty where the tables have no minutes.

    High up it takes longer (table of facts).
    """
    if case.line is None or case.line.method not in ("frozen", "dried"):
        return ""
    row = next((one for one in table("blanching") if one["key"] == case.line.key), None)
    if row is None:
        return ""
    height = case.household.kitchen.altitude_ft or 0.0
    more = longest("blanch longer at altitude") if height >= longest("blanch longer from") else 0.0
    return f"{row['how']} {' to '.join(minutes_of(row, more))} min"


def minutes_of(row: Row, more: float) -> Iterator[str]:
    """
    Yield the least and the most minutes of a row, or the one figure.

    >>> list(minutes_of({"minutes_low": "1.5", "minutes_high": "2.5"}, 0)), list(
    ...     minutes_of({"minutes_low": "3", "minutes_high": "3"}, 1))
    (['1½', '2½'], ['4'])
    """
    figures = (float(row[name]) + more for name in ("minutes_low", "minutes_high"))
    yield from dict.fromkeys(f"{figure:g}".replace(".5", "½") for figure in figures)


ACID = "acid"


def headspace_of(case: Case) -> str:
    """Return the headspace of a canned preserve, or where to look it up; empty for what is not canned."""
    if not case.canned:
        return ""
    return headspace_text(case.line.product if case.line is not None else None)


def acid_of(case: Case) -> str:
    """Return the acid that goes into each jar of a canned preserve, in kitchen measures; empty without one."""
    if not case.canned:
        return ""
    acids = {part.item for part in case.parts if part.extra and extras()[part.extra].what == ACID and not part.through}
    return format_list(
        [
            f"{measured(line.amount_typed, line.unit)} {line.item}"
            for line in case.preserve.ingredients
            if line.item in acids and line.source == "pantry" and line.amount_typed > 0
        ]
    )


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


def misspelt_foods(household: Household, told: Collection[str]) -> Iterator[Problem]:
    """
    Note each typed Handbook food or item with a word of no list, or spelled almost as the food it is another name of.

    Of those in the rows `told` something was noted.
    """
    rows = [(crop.where, "Handbook food", crop.name, crop.handbook_food) for crop in household.crops]
    rows += [(item.where, "Handbook item", item.name, item.handbook_item) for item in household.pantry]
    for where, field, name, typed in rows:
        said = read(typed or "")
        listed = (said.foods or said.open or said.extras or said.others) and not said.unknown
        found = kinds_named(typed)
        if not typed or where in told or (listed and not any(is_almost(typed, food) for food in found)):
            continue
        if found:
            yield Problem(where, "food read as", (name, typed, join_words(sorted(found), "and")), field=field)
        else:
            yield Problem(where, "food of no list", (name, typed), field=field)


ALMOST = 0.9
"""How alike two spellings are of which one may be a slip of the hand."""


def is_almost(typed: str, food: str) -> bool:
    """
    Return whether a typed name is spelled almost as a food, and is no mere plural of it.

    >>> is_almost("brocoli", "broccoli"), is_almost("Beet", "beets"), is_almost("calabrese", "broccoli")
    (True, False, False)
    """
    if tokens(typed) == tokens(food):
        return False
    return difflib.SequenceMatcher(None, name_key(typed), name_key(food)).ratio() >= ALMOST


def settle(household: Household) -> tuple[Household, tuple[Problem, ...]]:
    """
    Return the household with the published process of every preserve, and the problems found.

    An included preserve with an error is left out: `include` is False, `refused` has its errors, and its lines of the
    plan are dropped. So is one of which no day has room for a load. One that is not included but has a fixed line gets
    a note, and the fixed line is dropped. A preserve whose method or container could not be read is left out: reading
    reported it already. Nothing here raises for anything a household typed.
    """
    settled: list[Preserve] = []
    problems: list[Problem] = []
    refused: dict[str, tuple[Problem, ...]] = {}
    unsafe: set[str] = set()
    fixed = {line.name for line in household.plan_lines if line.fix is not None}
    for preserve in household.preserves:
        if not preserve.method or not preserve.container:
            refused[preserve.name] = ()
            settled.append(replace(preserve, include=False))
            continue
        case = Case(household, preserve)
        result, found = settle_one(case)
        errors = tuple(problem for problem in found if problem.is_error)
        wanted = preserve.include or preserve.name in fixed
        if errors:
            unsafe.add(preserve.name)
        if errors and preserve.name in fixed:
            refused[preserve.name] = errors[:1]
        if preserve.include or (preserve.name in fixed and not errors):
            problems.extend(found)
        if wanted and not errors and not is_free(case):
            problems.extend(matches(case))
        settled.append(replace(result, include=False, refused=errors) if preserve.include and errors else result)
    lines = tuple(_without_fix(_without_make(line, unsafe), refused) for line in household.plan_lines)
    problems.extend(_refusals(household.plan_lines, refused))
    typed_months = {item.name: item.keeps_months for item in household.preserves}
    first_day = household.kitchen.first_day
    shelf = tuple(with_best_by(household.shelf, {item.name: item for item in settled}, first_day, typed_months))
    pieces, cooling = with_cool_down(household)
    problems.extend(cooling)
    frozen = [frozen_crop(crop) for crop in household.crops]
    problems.extend(problem for _, found in frozen for problem in found)
    crops = tuple(crop for crop, _ in frozen)
    lots, past = frozen_lots(household)
    problems.extend(past)
    told = {one.where for one in problems if one.kind in ("matched to nothing", "typed food not listed")}
    problems.extend(misspelt_foods(household, told))
    answer = replace(household, preserves=tuple(settled), plan_lines=lines, shelf=shelf, equipment=pieces)
    answer, without_room = leave_without_room(replace(answer, crops=crops, lots=lots))
    problems.extend(without_room)
    return answer, tuple(dict.fromkeys(problems))


def settle_one(case: Case) -> tuple[Preserve, list[Problem]]:
    """Return one preserve with its process, and every problem of it."""
    keeps, notes = months(case)
    refused = replace(case.preserve, keeps_months=keeps)
    for checks in (FIRST, NAMES):
        problems = [problem for check in checks for problem in check(case)]
        if problems:
            return refused, problems
    if is_free(case):
        return _as_typed(case, keeps), list(notes)
    problems = [*altitude_problems(case), *(problem for check in THEN for problem in check(case)), *notes]
    if any(problem.is_error for problem in problems):
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
        steps=steps_of(case.line),
        blanch_text=blanching_of(case),
        headspace=headspace_of(case),
        acid_each=acid_of(case),
        own_recipe=found.own_recipe,
        from_memory=found.from_memory,
        keeps_months=keeps,
    )


def is_free(case: Case) -> bool:
    """
    Return whether the handbook requires nothing of it, no line and no source.

    That is raw produce of foods with a published cellaring row in an open box, basket, sack or bin; the row's months
    still hold.
    """
    of_a_cellar = case.preserve.method == "root cellar" and case.typed_line is None
    return of_a_cellar and case.unlidded and not not_cellared(case)


def _as_typed(case: Case, keeps: float | None) -> Preserve:
    """Return a free preserve with its typed minutes and source."""
    preserve = case.preserve
    minutes, source = preserve.minutes_typed or 0.0, preserve.source or ""
    return replace(preserve, process_minutes=minutes, process_source=source, keeps_months=keeps)


def _without_make(line: PlanLine, unsafe: Collection[str]) -> PlanLine:
    """Return a line of the last plan without its amount when the tables refuse its preserve now."""
    return replace(line, make=None) if line.name in unsafe and line.make is not None else line


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
    return _has_errors(learned, lesson.preserve) and not _has_errors(household, lesson.preserve)


def _has_errors(household: Household, name: str) -> bool:
    _, problems = settle_one(Case(household, household.preserve(name)))
    return any(problem.is_error for problem in problems)
