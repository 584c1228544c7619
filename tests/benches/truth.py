"""
How right it is: asked of a second solver, counted out, set beside a careful cook, and checked against publications.

    python3 tests/bench.py truth [--count 50] [--only second,counted,cook,handbook,hedge,mutants] [--scores FILE]

- `second`: the model of each demo and of `--count` varied households, aim by aim, solved again by SCIP from an MPS
file. - `counted`: `--count` small households of which every plan is tried. - `cook`: four times `--count` random weeks,
half of them tight, planned by the planner (needs and fed alone) and by a careful cook in six habits; both audited. Then
the tight ones once more with every line of the list alike. - `handbook`: the figures compared with the publications. -
`hedge`: twice `--count` seasons of the glut, begun by the plain plan and by the one for all harvests. - `mutants`:
every rule changed in one place, the tests asked, one change in ten below a count of fifty; the longest part. Tests
without the goldens.

Seconds are of the processor. A search that runs into its limit is counted as that, never as equal.
"""

from __future__ import annotations

import argparse
import datetime
import statistics
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import count as numbers
from pathlib import Path

from tests.benches.scores import Score, write_scores
from tests.planning.varied import varied
from tests.truth.by_counting import TooMany
from tests.truth.careful_cook import HABITS, Habit
from tests.truth.compared import Pair, Result, both, worse
from tests.truth.counted import counted, wrong
from tests.truth.second_opinion import DIFFERENT, EQUAL, NOTHING, OUT_OF_TIME, Opinion, opinions
from tests.truth.small_homes import small_home
from tests.truth.weeks import SLACK, TIGHT, Week, alike, week

from stillroom.app.plan import read_workbook
from stillroom.household.journal.events import still_to_do
from stillroom.household.records import Household

ROOT = Path(__file__).resolve().parents[2]
TODAY = datetime.date(2026, 8, 15)
SCIP_SECONDS = 20.0
"""What the second solver may work on one objective; it reports what it has by then."""

FEWEST_PLANS, MOST_PLANS = 20, 60_000
"""
A small household counts when it has so many plans that keep the constraints, and no more to be looked at than that.
"""

COOK = Habit("emptiest", thrifty=False)
"""The cook the goal is judged by: the habit that was best by the targets in most of the tight weeks."""

RIPEST = Habit("ripest", thrifty=False)
"""The cook by the constraint of thumb: what is ripest first, then the greatest need."""

CLOSE_POINTS = 1.0


def main(words: Sequence[str] | None = None) -> int:
    """Print the parts that are asked for; 1 when something that has to be reached is not."""
    parser = argparse.ArgumentParser(description="How right the plans are.")
    parser.add_argument("--count", type=int, default=50, help="how many households of each kind (50)")
    parser.add_argument("--only", default=",".join(PARTS), help="the parts, with commas between them")
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    chosen = parser.parse_args(words)
    scores = figures(chosen.count, chosen.only.split(","))
    print("\nin short")
    print("\n".join(f"  {score.line()}" for score in scores))
    if chosen.scores:
        write_scores(chosen.scores, scores)
    return 1 if any(score.met is False for score in scores) else 0


def figures(count: int, parts: Sequence[str]) -> list[Score]:
    """Run the parts, printing as they go; gives their lines for the scoreboard."""
    return [score for part in parts for score in PARTS[part](count)]


def results(
    count: int = 50, parts: Sequence[str] = ("second", "counted", "cook", "handbook")
) -> list[tuple[str, str, str, bool | None]]:
    """The same as rows for a scoreboard: name, value, what it must reach, whether it does (None: nothing to reach)."""
    return [(score.what, score.figure, score.goal, score.met) for score in figures(count, parts)]


def demos() -> Iterator[tuple[str, Household]]:
    """The demo households as they lie."""
    for path in sorted((ROOT / "demo").glob("*.xlsx")):
        yield path.stem, still_to_do(read_workbook(path, TODAY).household)


def second(count: int) -> list[Score]:
    """Every objective asked of SCIP again."""
    print(f"\nsecond opinion: SCIP on the same rows, to the same gap, at most {SCIP_SECONDS:g} s an aim")
    found: list[Opinion] = []
    for name, household in (*demos(), *((f"varied {seed}", varied(seed)) for seed in range(count))):
        rows = list(opinions(name, household, SCIP_SECONDS))
        found += rows
        odd = [f"{row.objective} {row.verdict}" for row in rows if row.verdict not in (EQUAL, NOTHING)]
        print(f"  {name:26}{', '.join(odd) or 'all equal'}", flush=True)
    asked = [row for row in found if row.verdict != NOTHING]
    print(f"  {'aim':14}{'asked':>6}{'equal':>7}{'out of time':>13}{'different':>11}{'most apart':>12}")
    for objective in dict.fromkeys(row.objective for row in asked):
        rows = [row for row in asked if row.objective == objective]
        by = {verdict: [row for row in rows if row.verdict == verdict] for verdict in (EQUAL, OUT_OF_TIME, DIFFERENT)}
        apart = max((row.apart for row in by[EQUAL]), default=0.0)
        print(
            f"  {objective:14}{len(rows):6}{len(by[EQUAL]):7}{len(by[OUT_OF_TIME]):13}{len(by[DIFFERENT]):11}{apart:12.1e}"
        )
    equal, late = (sum(row.verdict == one for row in asked) for one in (EQUAL, OUT_OF_TIME))
    targets = [row for row in asked if row.objective.startswith("targets")]
    apart = max((row.apart for row in targets if row.verdict == EQUAL), default=0.0)
    figure = f"{equal} of {len(asked)} equal, {late} out of time, {len(asked) - equal - late} different"
    sure = sum(row.verdict == EQUAL for row in targets)
    return [
        Score("truth", "aims solved a second time", "SCIP", figure, "none different", len(asked) == equal + late),
        Score("truth", "needs solved a second time", "SCIP", f"{sure} of {len(targets)} equal, at most {apart:.1e} apart", "all, within 1e-4", sure == len(targets) and apart <= 1e-4),
    ]  # fmt: skip


def counted_out(count: int) -> list[Score]:
    """Small households of which every plan is tried."""
    print(f"\ncounted out: {count} small households with at least {FEWEST_PLANS} plans that keep the rules")
    plans: list[int] = []
    objectives = different = large = 0
    for seed in numbers():
        if len(plans) == count:
            break
        try:
            number, rows = counted(small_home(seed), MOST_PLANS)
        except TooMany:
            large += 1
            continue
        if number < FEWEST_PLANS:
            continue
        plans.append(number)
        objectives += len(rows)
        for sentence in wrong(rows):
            different += 1
            print(f"  small home {seed}: {sentence}")
    print(f"  plans of a household: median {statistics.median(plans):.0f}, most {max(plans)}; {large} were too large")
    figure = f"{objectives - different} of {objectives} aims of {count} households equal"
    return [Score("truth", "every plan of small households tried", "counting", figure, "all equal", different == 0)]


def cook(count: int) -> list[Score]:
    """Random weeks planned by the planner and by the careful cook."""
    pairs = []
    print(f"\na careful cook, over {4 * count} random weeks (tests/truth/careful_cook.py has her rules in words)")
    for number in range(4 * count):
        pairs.append(both(week(number)))
        if number % 20 == 19:
            print(f"  {number + 1} weeks", flush=True)
    for kind in (TIGHT, SLACK):
        told([pair for pair in pairs if pair.week.kind == kind], f"{kind} weeks")
    close(pairs)
    scores = like_weeks([pair.week for pair in pairs if pair.week.kind == TIGHT])
    tight = [pair for pair in pairs if pair.week.kind == TIGHT]
    gain = statistics.median(pair.planner.coverage - pair.cooks[COOK].coverage for pair in tight)
    musts = statistics.median(pair.planner.musts - pair.cooks[COOK].musts for pair in tight)
    bad = sum(worse(pair.planner, one) for pair in pairs for one in pair.cooks.values())
    broken = sum(bool(one.broken) for pair in pairs for one in (pair.planner, *pair.cooks.values()))
    why = (
        "a share of the list pays nothing for importance, which the planner keeps strictly: the last of a must goes "
        "before the first of a should, so it gives up share where she does not; the lines below ask both for the share"
    )
    return [
        Score("truth", "more of the winter list in tight weeks, median", "a careful cook", f"{gain:+.1f} points", "15 points", gain >= 15, "" if gain >= 15 else why),
        Score("truth", "more of its musts in tight weeks, median", "a careful cook", f"{musts:+.1f} points", "printed"),
        *scores,
        Score("truth", "weeks worse by the needs in their order", f"a cook of any of {len(HABITS)} habits", f"{bad} of {len(pairs) * len(HABITS)}", "none", bad == 0),
        Score("truth", "plans of these weeks that fail the audit", "", f"{broken}", "none", broken == 0),
    ]  # fmt: skip


def like_weeks(tight: Sequence[Week]) -> list[Score]:
    """The tight weeks with every line of the list alike: what is aimed at is then what is compared."""
    pairs = [both(alike(one)) for one in tight]
    told(pairs, "tight weeks, every line of the list alike")
    gains = {words: statistics.median(pair.planner.coverage - pair.cooks[habit].coverage for pair in pairs) for words, habit in (("strongest", COOK), ("ripest", RIPEST))}  # fmt: skip
    room = statistics.median(most_of_list(pair) - pair.cooks[COOK].coverage for pair in pairs)
    above = statistics.median(most_of_list(pair) - pair.cooks[RIPEST].coverage for pair in pairs)
    short = statistics.median(most_of_list(pair) - pair.planner.coverage for pair in pairs)
    print(f"  no plan at all could cover more than {room:+.1f} points than {COOK.words()} at the median")
    what = "more of the winter list in tight weeks, every line alike, median"
    why = f"no plan at all could be more than {room:.1f} points above her; the planner is {short:.1f} below that bound"
    return [
        Score("truth", what, f"a cook with the best habit: {COOK.words()}", f"{gains['strongest']:+.1f} points", "15 points", gains["strongest"] >= 15, "" if gains["strongest"] >= 15 else why),
        Score("truth", what, f"a cook by the rule of thumb: {RIPEST.words()}", f"{gains['ripest']:+.1f} points", "15 points", gains["ripest"] >= 15, "" if gains["ripest"] >= 15 else f"no plan at all could be more than {above:.1f} points above her"),
    ]  # fmt: skip


def most_of_list(pair: Pair) -> float:
    """Percent of the list that no plan of a week goes beyond, where every line is alike."""
    weights = sum(target.weight for target in pair.week.household.targets if target.wanted > 0)
    return 100.0 * pair.most / weights if weights else 100.0


def told(pairs: Sequence[Pair], kind: str) -> None:
    """Print how far the planner is from each habit, and from the best of them in each week, known afterwards."""
    unproved = sum(any(name.startswith("targets") for name in pair.unproved) for pair in pairs)
    seconds = statistics.median(pair.seconds for pair in pairs)
    print(f"\n  {len(pairs)} {kind}; needs not all proved in {unproved}; planner's seconds, median {seconds:.1f}")
    best = [pair.planner for pair in pairs]
    print(
        f"  the planner covers {statistics.median(one.coverage for one in best):.0f} % of the list at the median, {statistics.median(one.musts for one in best):.0f} % of the musts"
    )
    print(
        f"  {'more than a cook with':32}{'points of the list':>34}{'points of the musts':>34}{'kg surplus':>9}{'hours':>7}{'worse':>7}"
    )
    print(
        f"  {'':32}{'10 %   25 %   half   75 %   90 %':>34}{'10 %   25 %   half   75 %   90 %':>34}{'median':>9}{'median':>7}"
    )
    methods: list[tuple[str, Callable[[Pair], Result]]] = [
        (habit.words(), lambda pair, habit=habit: pair.cooks[habit]) for habit in HABITS
    ]  # type: ignore[misc]
    for words, of in (*methods, ("the best of these each week", Pair.best_cook)):
        lists = [pair.planner.coverage - of(pair).coverage for pair in pairs]
        musts = [pair.planner.musts - of(pair).musts for pair in pairs]
        surplus = statistics.median(pair.planner.given_kg - of(pair).given_kg for pair in pairs)
        hours = statistics.median(pair.planner.hours - of(pair).hours for pair in pairs)
        bad = sum(worse(pair.planner, of(pair)) for pair in pairs)
        print(f"  {words:32}{spread(lists):>34}{spread(musts):>34}{surplus:+9.1f}{hours:+7.1f}{bad:7}")


def spread(points: Sequence[float]) -> str:
    """The 10th, 25th, 50th, 75th and 90th of a hundred, in one line."""
    if len(points) < 2:
        return f"{points[0]:+.1f}" if points else ""
    cuts = statistics.quantiles(points, n=20, method="inclusive")
    return "".join(f"{cuts[place]:+7.1f}" for place in (1, 4, 9, 14, 17))


def close(pairs: Sequence[Pair]) -> None:
    """Print the tight weeks in which the best cook comes close."""
    near = [
        pair
        for pair in pairs
        if pair.week.kind == TIGHT
        and pair.planner.musts - pair.best_cook().musts <= CLOSE_POINTS
        and pair.planner.coverage - pair.best_cook().coverage <= CLOSE_POINTS
    ]
    print(
        f"\n  tight weeks in which the best cook is within {CLOSE_POINTS:g} point of both, or ahead in the list: {len(near)}"
    )
    for pair in near[:12]:
        one, other = pair.planner, pair.best_cook()
        ours, hers = (", ".join(f"{points:.2f}" for points in result.targets) for result in (one, other))
        print(
            f"    week {pair.week.number:3}: list {one.coverage:5.1f} % and {other.coverage:5.1f} %, musts {one.musts:5.1f} % "
            f"and {other.musts:5.1f} %; points by importance {ours} and {hers}"
        )


def handbook(_: int) -> list[Score]:
    """The handbook's figures against the publications, by its own bench."""
    from tests.handbook import read_again, test_published_figures
    from tests.handbook.table_checks import faults

    again, differing = read_again.compared()
    typed = test_published_figures.how_many_figures()
    print(f"\nhandbook: {typed} figures typed when the tables were built, {again} read again, {len(differing)} differ")
    figure = f"{typed + again} compared, {len(differing)} differ; {len(faults())} faults of the tables"
    met = not differing and not faults()
    return [Score("truth", "figures of the handbook", "the publications", figure, "none differs", met)]


def hedge(count: int) -> list[Score]:
    """The same seasons begun by the plain plan and by the one for all harvests."""
    from tests.benches.season_replay import timed, with_crew
    from tests.season_replay.comparing import difference, full_plan, hedged_opening, opening_of, share_of_list

    from stillroom.app.parallel import import_early, processes
    from stillroom.household.simulation.seasons import Uncertainty, learned_spread, surplus_in_all
    from stillroom.planning.rolling import Settings

    print("\nhedge: seasons of the glut")
    reading = read_workbook(ROOT / "demo" / "tomato_glut.xlsx", TODAY)
    household = still_to_do(reading.household)
    settings = Settings(unsure=Uncertainty(learned=learned_spread(reading.lessons)))
    plain, hedged = (opening_of(household, replace(settings, opener=one))[1] for one in (full_plan, hedged_opening))
    with processes(2, import_early) as crew:
        base = timed("begun by the plain plan", with_crew(household, plain, settings, 2 * count, crew), 2 * count)
        other = timed("by the one for all", with_crew(household, hedged, settings, 2 * count, crew), 2 * count)
    musts = difference(other, base, share_of_list(household, 1))
    surplus = difference(other, base, surplus_in_all)
    figure = f"{100 * musts.mean:+.2f} points of the musts ({100 * musts.low:+.2f} to {100 * musts.high:+.2f})"
    figure += f", fed {surplus.mean:+.1f} kg ({surplus.low:+.1f} to {surplus.high:+.1f})"
    return [Score("truth", "planned for all harvests, over replayed seasons", "the plain plan", figure, "printed")]


def mutants(count: int) -> list[Score]:
    """Every constraint changed in one place, the tests asked; one change in ten below a count of fifty."""
    from tests.benches.mutants import all_changes, as_score, reason
    from tests.benches.mutants import count as tried

    found = tried(all_changes()[:: 1 if count >= 50 else 10])
    for change in found.survivors:
        print(f"  not noticed: {change.file}:{change.line} {change.words} ({reason(change) or 'NO REASON KNOWN'})")
    return [as_score(found)]


PARTS: dict[str, Callable[[int], list[Score]]] = {
    "second": second, "counted": counted_out, "cook": cook, "handbook": handbook, "hedge": hedge, "mutants": mutants,
}  # fmt: skip
"""The parts, in the order in which they are printed."""

if __name__ == "__main__":
    sys.exit(main())
