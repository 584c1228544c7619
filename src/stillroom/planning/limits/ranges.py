"""How far a change goes on helping, found by planning again at doubling steps and by bisection."""

from __future__ import annotations

from collections.abc import Callable, Sequence

MOST_DOUBLINGS = 3


def helps_until(points: Callable[[int], Sequence[float]], most_doublings: int = MOST_DOUBLINGS) -> tuple[int, bool]:
    """
    How many steps more go on helping, and whether they were seen to help no longer after that.

    `points(steps)` is what the plan reaches with so many steps more, aim by aim; more never gives less. Doubled until
    twice as many give nothing further, then halved in: the fewest steps that give as much as any. When the last
    doubling still helps, that many is given and False: it was not looked further.

    >>> helps_until(lambda steps: (min(steps, 5) * 1.5,), most_doublings=4)
    (5, True)
    >>> helps_until(lambda steps: (steps * 1.0,), most_doublings=2)
    (4, False)
    """
    known: dict[int, tuple[float, ...]] = {}

    def at(steps: int) -> tuple[float, ...]:
        if steps not in known:
            known[steps] = tuple(points(steps))
        return known[steps]

    steps = 1
    for _ in range(most_doublings):
        if not above(at(2 * steps), at(steps)):
            break
        steps *= 2
    else:
        return steps, False
    most = at(steps)
    return last_below(lambda fewer: above(most, at(fewer)), 0, steps), True


def above(more: Sequence[float], fewer: Sequence[float]) -> bool:
    """
    Whether one plan surely reaches more than another: at the first aim in which they differ by more than the slack.

    >>> above((15.0, 2.1), (15.0005, 2.0))
    True
    """
    unsure = 0.0
    for one, other in zip(more, fewer, strict=True):
        if abs(one - other) > unsure + 3e-4 * max(1.0, abs(other)):
            return one > other
        unsure += 4e-4 * abs(other)
    return False


def last_below(short: Callable[[int], bool], low: int, high: int) -> int:
    """The least whole number above `low`, where it is short, at which it is not; `high` is known not to be."""
    while high - low > 1:
        middle = (low + high) // 2
        if short(middle):
            low = middle
        else:
            high = middle
    return high


def last_amount(holds: Callable[[float], bool], at: float, to: float, within: float) -> float:
    """
    The last amount on the way from `at`, where something holds, to `to`, found by halving to `within`.

    >>> round(last_amount(lambda amount: amount <= 18, 12, 30, 0.01), 1)
    18.0
    """
    if holds(to):
        return to
    while abs(to - at) > within:
        middle = (at + to) / 2
        at, to = (middle, to) if holds(middle) else (at, middle)
    return at
