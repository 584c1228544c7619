"""The week sheet: one page of HTML for the fridge door, with no outside reference and every typed word escaped."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from html import escape

from stillroom.household.answer.words import day_words, long_day_words
from stillroom.pages.week_sheet_lines import SheetDay, SheetLine
from stillroom.timetable.rows import moment_words, pairs_words, step_words
from stillroom.timetable.steps import DayOnClock, Step

STYLE = """
@page { margin: 12mm; }
* { box-sizing: border-box; }
body { font: 12pt/1.35 Georgia, "Noto Serif", serif; color: #000; background: #fff; margin: 0 auto; padding: 4mm;
  max-width: 190mm; }
h1 { font-size: 22pt; margin: 0 0 2mm; }
h2 { font-size: 15pt; margin: 6mm 0 1mm; border-bottom: 2px solid #000; break-after: avoid; }
h2 small { font-size: 10pt; font-weight: normal; }
section { break-inside: avoid; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: 1mm 2mm 1mm 0; border-bottom: 1px solid #777; }
th { font-size: 9pt; }
tr { break-inside: avoid; }
.box { display: inline-block; width: 5mm; height: 5mm; border: 1.5px solid #000; }
.write { display: inline-block; width: 16mm; border-bottom: 1.5px solid #000; height: 5mm; }
.name { font-weight: bold; font-size: 13pt; }
.small { font-size: 10pt; }
.warn { font-weight: bold; border-left: 3px solid #000; padding-left: 2mm; }
.clock { break-before: page; }
.clock section { break-inside: auto; }
.time { white-space: nowrap; font-variant-numeric: tabular-nums; }
@media (max-width: 130mm) { body { padding: 3mm; } th, td { padding-right: 1mm; } }
"""


def week_sheet(
    title: str,
    days: Sequence[SheetDay],
    clock: Mapping[datetime.date, DayOnClock],
    steps: Mapping[datetime.date, Sequence[Step]],
    cautions: Sequence[tuple[str, str]],
    said: str = "",
) -> str:
    """
    The whole page: what to make each day with boxes to tick, sources and cautions; then each day's steps.

    `clock` and `steps` are by day, `cautions` words with their source, `said` a line on top.
    """
    sources = list(dict.fromkeys(line.source for day in days for line in day.lines if line.source))
    heading = f"Week of {long_day_words(days[0].day)}" if days else "Nothing planned day by day"
    parts = [
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title)}: {escape(heading)}</title>\n<style>{STYLE}</style>\n</head>\n<body>",
        f'<header><h1>{escape(heading)}</h1>\n<p class="small">{escape(title)}</p></header>',
        f'<p class="warn">{escape(said)}</p>' if said else "",
        "<main>",
        *(day_section(day, clock.get(day.day), sources) for day in days),
        *source_list(sources),
        *caution_list(cautions),
        *clock_sections(clock, steps),
        "</main>\n</body>\n</html>\n",
    ]
    return "\n".join(part for part in parts if part)


def day_section(day: SheetDay, clock: DayOnClock | None, sources: Sequence[str]) -> str:
    """One day: its lines in a table, a box before each and a place for what was made after it."""
    times = "" if clock is None else f" <small>{escape(times_words(clock))}</small>"
    head = f"<section>\n<h2>{escape(long_day_words(day.day))}{times}</h2>"
    if not day.lines:
        return f"{head}\n<p>Nothing has to be put up.</p>\n</section>"
    rows = "\n".join(line_row(line, sources) for line in day.lines)
    return (
        f"{head}\n<table>\n<thead><tr><th>Done</th><th>What</th><th>How many</th><th>Time in the canner or dryer</th>"
        f"<th>Made</th></tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>\n</section>"
    )


def times_words(clock: DayOnClock) -> str:
    """From when to when, with how many hands."""
    return (
        f"{clock.kitchen.starts:%H:%M} to {moment_words(clock.ends, clock.day)}, {pairs_words(clock.kitchen.persons)}"
    )


def line_row(line: SheetLine, sources: Sequence[str]) -> str:
    """One line of a day."""
    number = f" [{sources.index(line.source) + 1}]" if line.source else ""
    below = "".join(
        f'<br><span class="{kind}">{escape(words)}</span>'
        for kind, words in (("small", line.takes), ("warn", line.warning), ("small", line.note))
        if words
    )
    loads = f'<br><span class="small">{escape(line.loads)}</span>' if line.loads else ""
    return (
        f'<tr><td><span class="box"></span></td><td><span class="name">{escape(line.name)}</span>{below}</td>'
        f"<td>{escape(line.amount)}{loads}</td><td>{escape(line.process)}{number}</td>"
        '<td><span class="write"></span></td></tr>'
    )


def source_list(sources: Sequence[str]) -> Iterator[str]:
    """Where each process was read, by the numbers in the lines."""
    if sources:
        items = "\n".join(f"<li>{escape(source)}</li>" for source in sources)
        yield f'<section>\n<h2>Where the times come from</h2>\n<ol class="small">\n{items}\n</ol>\n</section>'


def caution_list(cautions: Sequence[tuple[str, str]]) -> Iterator[str]:
    """What to be careful of, with its source."""
    if cautions:
        items = "\n".join(f"<li>{escape(words)} <i>({escape(source)})</i></li>" for words, source in cautions)
        yield f'<section>\n<h2>Take care</h2>\n<ul class="small">\n{items}\n</ul>\n</section>'


def clock_sections(
    clock: Mapping[datetime.date, DayOnClock], steps: Mapping[datetime.date, Sequence[Step]]
) -> Iterator[str]:
    """Each day step by step, from a new page on."""
    if not steps:
        return
    yield '<div class="clock">'
    for day, several in steps.items():
        times = "" if day not in clock else f" <small>{escape(times_words(clock[day]))}</small>"
        rows = "\n".join(step_row(step) for step in several)
        yield (
            f"<section>\n<h2>{escape(day_words(day))} by the clock{times}</h2>\n<table>\n<thead><tr><th>Time</th>"
            f"<th>Hands</th><th>For</th><th>Step</th></tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>\n</section>"
        )
    yield "</div>"


def step_row(step: Step) -> str:
    """One step with its times."""
    end = "" if step.end == step.start else f"–{step.end:%H:%M}"
    inside = f" ({', '.join(step.equipment)})" if step.equipment else ""
    return (
        f'<tr><td class="time">{step.start:%H:%M}{end}</td><td>{escape(", ".join(step.persons))}</td>'
        f"<td>{escape(step.name)}</td><td>{escape(step_words(step) + inside)}</td></tr>"
    )
