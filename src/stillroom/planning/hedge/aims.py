"""The aims over several seasons: each as in the plain plan, by its expectation, or for the worst season first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from stillroom.planning.aims import Aim, aims_for
from stillroom.planning.decisions import Decisions
from stillroom.planning.expressions import Sum, Variable, at_least, at_most
from stillroom.planning.facts import Facts
from stillroom.planning.hedge.cases import Case, Joint


def weighted(parts: Iterable[tuple[float, Sum]]) -> Sum:
    """Sums added up, each with its weight: an expectation where the weights add up to 1."""
    return [(weight * coefficient, variable) for weight, terms in parts for coefficient, variable in terms]


def expected(aim: Aim, joint: Joint) -> Aim:
    """
    The same aim by its expectation.

        sum over s of weight[s] * aim[s]

    where the seasons s have weights that add up to 1; in the aim's own unit.
    """

    def terms(_facts: Facts, _decide: Decisions) -> Sum:
        return weighted((case.weight, aim.terms(case.facts, case.decide)) for case in joint.cases)

    return replace(aim, terms=terms)


def worst(aim: Aim, joint: Joint) -> Aim:
    """
    The most that every season reaches of an aim: the value of the worst one. Adds its rows to the programme.

        most  worst   where  worst <= aim[s]  for every season s
    """
    name = f"worst.{aim.name.replace(' ', '_')}"
    value = joint.programme.variable(name)
    for case in joint.cases:
        terms = [(-coefficient, variable) for coefficient, variable in aim.terms(case.facts, case.decide)]
        joint.programme.add(f"{case.name}.{name}", at_most([(1.0, value), *terms], 0.0))
    return replace(aim, worst_season=True, terms=lambda _facts, _decide: [(1.0, value)])


def aims_over(joint: Joint, *, worst_first: bool) -> tuple[Aim, ...]:
    """
    Every aim, in order, by its expectation; with `worst_first` each needs aim for the worst season before that.

    To be called before the programme is handed over: the worst season has rows of its own.
    """
    found = []
    for aim in aims_for(joint.cases[0].facts):
        if worst_first and aim.kind == "target":
            found.append(worst(aim, joint))
        found.append(expected(aim, joint))
    return tuple(found)


def different(joint: Joint, case: Case) -> Sum:
    """
    Decisions that count by how many containers a season's later days differ from those of the likely one.

        apart[p, t] >= make[p, t] - make_likely[p, t]
        apart[p, t] >= make_likely[p, t] - make[p, t]

    Adds its rows to the programme. Equal days are equal to every aim; without this the seasons would be told apart by
    days that mean nothing.
    """
    likely = joint.case("likely").decide.make
    terms: Sum = []
    for (name, number), made in case.decide.make.items():
        other = likely[name, number]
        if made is other:
            continue
        period = case.facts.periods[number]
        label = case.decide.name("apart", name, period.label)
        apart: Variable = case.decide.programme.variable(label)
        for sign, which in ((1.0, "more"), (-1.0, "less")):
            row = at_least([(1.0, apart), (-sign, made), (sign, other)], 0.0)
            case.decide.programme.add(f"{label}.{which}", row)
        terms.append((1.0, apart))
    return terms
