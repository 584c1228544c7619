"""
How many seasons are played in a second, whether everybody plays the same ones, and what the light plan loses.

    python3 tests/bench.py season_replay [FILE.xlsx] [--draws 40] [--full 20] [--cluster]

Printed: seconds and draws a second in this process, on two processes and (with `--cluster`) on a cluster of two
workers on this machine, and whether all three gave the same seasons, to the last digit. Then `--full` seasons are
played once more with full plans in place of light ones: seconds of both, and for each importance how much more of the
list the full plans fill, and how much less is fed, each with its 95 % interval (paired, bootstrap). 0 leaves it out.
With `--hedged 100` so many seasons are begun by the plan for several harvests together in place of the plain one, and
the two are compared in the same way.
"""

from __future__ import annotations

import argparse
import datetime
import os
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from tests.benches.scores import Score, write_scores
from tests.season_replay.comparing import difference, full_plan, hedged_opening, opening_of, share_of_list

from stillroom.app.parallel import Crew, import_early, processes
from stillroom.app.plan import read_workbook
from stillroom.app.season import play_seasons
from stillroom.household.journal.events import still_to_do
from stillroom.household.records import Household
from stillroom.household.simulation.seasons import SeasonPlayed, Uncertainty, learned_spread, surplus_in_all
from stillroom.planning.rolling import Settings

ROOT = Path(__file__).resolve().parents[2]
TODAY = datetime.date(2026, 8, 15)


def main(words: Sequence[str] | None = None) -> int:
    """Run the whole bench; 1 when two ways of working gave different seasons, else 0."""
    parser = argparse.ArgumentParser(description="Time the replay of seasons.")
    parser.add_argument("file", nargs="?", type=Path, default=ROOT / "demo" / "tomato_glut.xlsx")
    parser.add_argument("--draws", type=int, default=40)
    parser.add_argument("--full", type=int, default=20)
    parser.add_argument("--cluster", action="store_true")
    parser.add_argument("--hedged", type=int, default=0)
    parser.add_argument("--scores", type=Path, help="also write the figures there, for the scoreboard")
    chosen = parser.parse_args(words)
    reading = read_workbook(chosen.file, TODAY)
    household = still_to_do(reading.household)
    settings = Settings(unsure=Uncertainty(learned=learned_spread(reading.lessons)))
    _, opening = opening_of(household, replace(settings, opener=full_plan))
    print(f"{chosen.file.stem}; load of the machine before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    alone = timed("in this process", lambda: play_seasons(household, opening, settings, chosen.draws), chosen.draws)
    with processes(2, import_early) as crew:
        play_seasons(household, opening, settings, 2, crew)
        found = [timed("two processes", with_crew(household, opening, settings, chosen.draws, crew), chosen.draws)]
    if chosen.cluster:
        found.append(on_a_cluster(household, opening, settings, chosen.draws))
    same = all(one == alone for one in found)
    print("all the same seasons" if same else "DIFFERENT SEASONS")
    if chosen.scores:
        write_scores(chosen.scores, board(chosen.draws, same=same))
    if chosen.full:
        against_full(household, opening, settings, alone, chosen.full)
    if chosen.hedged:
        against_hedged(household, opening, settings, chosen.hedged)
    print(f"load of the machine after: {os.getloadavg()[0]:.1f}")
    return 0 if same else 1


RATES: dict[str, float] = {}
"""Draws a second, by the way of working."""


def board(draws: int, *, same: bool) -> list[Score]:
    """The figures of the replay as lines of the scoreboard."""
    rates = ", ".join(f"{words} {rate:.2f}" for words, rate in RATES.items())
    best = max(RATES.values())
    return [
        Score("season", f"draws a second on the glut ({draws} draws)", "", rates, "200 draws in 3 minutes (1.11 a second)", best >= 200 / 180),
        Score("season", "the same seasons wherever they are played", "", "identical" if same else "different", "identical", same),
    ]  # fmt: skip


def with_crew(household, opening, settings, draws, crew: Crew):
    """Playing with a crew, to be timed."""
    return lambda: play_seasons(household, opening, settings, draws, crew)


def timed(words: str, play, draws: int) -> tuple[SeasonPlayed, ...]:
    """Play, and print how long it took."""
    began, cpu = time.perf_counter(), time.process_time()
    found = play()
    seconds = time.perf_counter() - began
    used = time.process_time() - cpu
    plans = sum(one.plans for one in found)
    RATES.setdefault(words, draws / seconds)
    print(
        f"  {words}: {draws} draws with {plans} plans in {seconds:.1f} s, {draws / seconds:.2f} a second; "
        f"this process worked {used:.1f} s",
        flush=True,
    )
    return found


def on_a_cluster(household: Household, opening, settings, draws: int) -> tuple[SeasonPlayed, ...]:
    """Play on a cluster of two workers on this machine."""
    from distributed import LocalCluster

    from stillroom.app.parallel import cluster

    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as local,
        cluster(local.scheduler_address) as crew,
    ):
        play_seasons(household, opening, settings, 2, crew)
        return timed("a cluster of two workers", with_crew(household, opening, settings, draws, crew), draws)


def against_full(
    household: Household, opening, settings: Settings, light: tuple[SeasonPlayed, ...], draws: int
) -> None:
    """Play the same seasons with full plans, and print what the light ones lose."""
    with processes(2, import_early) as crew:
        full = timed(
            "two processes, full plans",
            with_crew(household, opening, replace(settings, planner=full_plan), draws, crew),
            draws,
        )
    compare(household, "full plans", full, light[:draws])


def against_hedged(household: Household, opening, settings: Settings, draws: int) -> None:
    """Begin the same seasons by a hedged plan, and print what that gains over the plain one."""
    began = time.perf_counter()
    _, hedged = opening_of(household, replace(settings, opener=hedged_opening))
    print(f"  the hedged plan of the first day: {time.perf_counter() - began:.1f} s")
    with processes(2, import_early) as crew:
        plain = timed("begun by the plain plan", with_crew(household, opening, settings, draws, crew), draws)
        other = timed("begun by the hedged plan", with_crew(household, hedged, settings, draws, crew), draws)
    compare(household, "the hedged beginning", other, plain)


def compare(household: Household, words: str, one: Sequence[SeasonPlayed], base: Sequence[SeasonPlayed]) -> None:
    """Print how much more one way gives than another over the same seasons, each with its 95 % interval."""
    for importance in (1, 2, 3):
        share = share_of_list(household, importance)
        gap = difference(one, base, share)
        mean = sum(share(played) for played in base) / len(base)
        print(
            f"    needs {importance}: {100 * mean:.2f} % of the list; {words} {100 * gap.mean:+.2f} points "
            f"({100 * gap.low:+.2f} to {100 * gap.high:+.2f})"
        )
    gap = difference(one, base, surplus_in_all)
    mean = sum(surplus_in_all(played) for played in base) / len(base)
    print(f"    fed: {mean:.1f} kg; {words} {gap.mean:+.1f} kg ({gap.low:+.1f} to {gap.high:+.1f})")


if __name__ == "__main__":
    raise SystemExit(main())
