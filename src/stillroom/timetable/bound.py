"""
The earliest that a day could possibly end: a bound proved by sums, whatever order the loads are done in.

Four kinds of sum, the largest of which holds:
- a load by itself: prepared by all hands at once, then its chain (later still where its equipment is in use from the
  day before: `search` adds that);
- the preparing of several loads by all hands, and after it the shortest of their chains;
- everything that several loads take of one thing, divided by how many there are of it, between the least time before
  the first can use it and the least time after the last has;
- the runs of a dryer that is filled more than once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from stillroom.timetable.loads import HANDS, RUN, UNWAITED, Load


def earliest_end(loads: Sequence[Load], how_many: Mapping[str, int]) -> int:
    """
    Give the bound in minutes from the start of the day; `how_many` there are of hands, burners and each piece.

    >>> two = [Load("beans", number, 2, 7, 60, "wash") for number in (1, 2)]
    >>> earliest_end(two, {"hands": 1}), earliest_end(two, {"hands": 2})
    (120, 60)
    """
    persons = how_many[HANDS]
    found = [divided(load.ready_minutes, persons) + load.chain_minutes for load in loads]
    found += prepared_then_longest(loads, persons)
    for key, units in how_many.items():
        found += by_one_thing(loads, key, units, persons)
        found += by_runs(loads, key, units, persons)
    return max(found, default=0)


def divided(amount: int, among: int) -> int:
    """
    Divide, never too little.

    >>> divided(85, 2)
    43
    """
    return -(-amount // among)


def prepared_then_longest(loads: Sequence[Load], persons: int) -> Iterator[int]:
    """Of the loads with the longest chains: all are prepared, and then one chain at least is still to come."""
    work = 0
    setups: dict[str, int] = {}
    for load in sorted(loads, key=lambda one: -one.chain_minutes):
        work += load.prepare_minutes - load.setup_minutes
        setups[load.name] = max(load.setup_minutes, load.setup_before)
        yield divided(work + sum(setups.values()), persons) + load.chain_minutes


def by_one_thing(loads: Sequence[Load], key: str, units: int, persons: int) -> Iterator[int]:
    """What the loads take of one thing, with what must come before and after; by head and by tail."""
    uses = [use for load in loads if (use := use_of(load, key, persons)) is not None]
    for by in (0, 2):
        work, heads, tails = 0, [], []
        for head, amount, tail in sorted(uses, key=lambda use: -use[by]):
            work += amount
            heads.append(head)
            tails.append(tail)
            yield min(heads) + divided(work, units) + min(tails)


def by_runs(loads: Sequence[Load], key: str, units: int, persons: int) -> Iterator[int]:
    """
    When the last of several runs in one thing starts, all are over but one in each of it; those took their time.

    >>> from stillroom.timetable.loads import Part
    >>> run = Part("run", "dry", 0, 600, (("piece: dryer", 1),))
    >>> loads = [Load("apples", number, 2, 9, 60, "slice", (run,)) for number in (1, 2)]
    >>> list(by_runs(loads, "piece: dryer", 1, 2))
    [630]
    """
    runs = [(load, part) for load in loads for part in load.parts if part.kind == RUN and (key, 1) in part.takes]
    if len(runs) > units:
        work = sum(sorted(part.minutes for _, part in runs)[:-units])
        yield min(divided(load.ready_minutes, persons) + part.start for load, part in runs) + divided(work, units)


def use_of(load: Load, key: str, persons: int) -> tuple[int, int, int] | None:
    """Minutes before a load can use a thing, minutes it takes of it, minutes after; None when it does not use it."""
    waited = [part for part in load.parts if part.kind not in UNWAITED and part.start >= 0]  # jars may be hot before
    parts = [(part, units) for part in waited for name, units in part.takes if name == key]
    amount = sum(part.minutes * units for part, units in parts)
    if key == HANDS and load.prepare_minutes:
        return 0, amount + load.prepare_minutes, load.chain_minutes - max((part.end for part, _ in parts), default=0)
    if not amount:
        return None
    head = divided(load.ready_minutes, persons) + min(part.start for part, _ in parts)
    return head, amount, load.chain_minutes - max(part.end for part, _ in parts)
