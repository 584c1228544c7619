"""One thing to be planned again, made so that it can be sent to another process."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import TypeVar

from stillroom.household.plan import Plan
from stillroom.household.records import Household
from stillroom.planning.limits.catalogue import Limit
from stillroom.planning.limits.quick import Quick
from stillroom.planning.limits.replan import quick_plan

Tell = Callable[[str], None]
Given = TypeVar("Given")
Got = TypeVar("Got")


@dataclass(frozen=True)
class Trial:
    """
    Limits with how much more of each, and what is needed to plan with that.

    `before` is what was reached without it, or with less of it: the search starts there, and ends where it is sure to
    gain nothing on it. `needs_only` leaves money and crop fed as they fall, `aims_only` also what each need has.
    """

    household: Household
    plan: Plan
    before: Quick | None
    more: tuple[tuple[Limit, float], ...] = ()
    needs_only: bool = False
    aims_only: bool = False


def tried(trial: Trial) -> Quick:
    """Plan once more with the limits of a trial loosened; can run in another process."""
    household = trial.household
    for limit, amount in trial.more:
        household = limit.loosened(household, amount)
    at_hand = trial.plan if all(amount > 0 for _, amount in trial.more) else None
    return quick_plan(household, at_hand, trial.before, needs_only=trial.needs_only, aims_only=trial.aims_only)


def on_from(trial: Trial, reached: Quick, *more: tuple[Limit, float]) -> Trial:
    """The trial with more of something, from what was reached with less of it; losses are counted as before."""
    filled = {} if trial.before is None else trial.before.filled
    return replace(trial, before=replace(reached, filled=filled), more=more, needs_only=True)


def spread(executor: Executor | None, work: Callable[[Given], Got], tasks: Sequence[Given]) -> Iterator[Got]:
    """Do the tasks, over the executor's workers when there is one; what comes back stands in the tasks' order."""
    return iter(map(work, tasks)) if executor is None else executor.map(work, tasks)


def told(results: Iterable[Got], number: int, tell: Tell) -> Iterator[Got]:
    """Pass results on and say how many of them there are by now."""
    for count, result in enumerate(results, start=1):
        tell(f"planned again {count} of {number} times")
        yield result
