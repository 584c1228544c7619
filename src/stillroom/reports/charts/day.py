"""The picture of a day on the clock: bars by hands and equipment, told apart by whom they need."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from stillroom.household.text import (
    format_clock,
    format_full_date,
    format_hour,
    format_list,
    format_long_date,
    format_minutes,
    format_moment,
)
from stillroom.reports.charts.canvas import (
    BODY,
    BRICK,
    BY_EAR,
    BY_HANDS,
    BY_NOBODY,
    INK,
    LINE,
    MARGIN,
    QUIET,
    SMALL,
    WHITE,
    Box,
    Line,
    Paper,
    Picture,
    Tone,
    Words,
    nothing,
    shortened,
    width_of,
)
from stillroom.reports.charts.picture import Shown
from stillroom.timetable.schedule import DayOnClock, Step
from stillroom.timetable.table import pairs_words

# The lanes of a day on the clock: for each pair of hands, piece of equipment and the stove, what is in it when.

HANDS, EAR, NOBODY = "hands", "an ear", "nobody"
LEFT_ALONE = ("run", "cool", "stand")
"""Kinds of step that go on by themselves: a dryer or crock that runs, a canner that cools unforced."""
STOVE = "stove"
LETTERS = "abcdefghijklmnopqrstuvwxyz"
MOMENTS = ("thaw", "empty", "seals")

Load = tuple[str, int, int]
"""Name, number and how many there are."""


@dataclass(frozen=True)
class Bar:
    """A step in a lane; `load` is its letter, empty for what began on a day before."""

    start: datetime.datetime
    end: datetime.datetime
    targets: str
    letter: str
    name: str


@dataclass(frozen=True)
class Lane:
    """What one pair of hands, one piece of equipment or one place on the stove does in a day."""

    name: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True)
class DayLanes:
    """
    A day ready to be drawn.

    `letters` are by load, `moments` what takes no time: when, and what to do. `first` and `last` are full hours around
    everything that is not left alone beyond the day.
    """

    lanes: tuple[Lane, ...]
    letters: dict[Load, str]
    moments: tuple[tuple[datetime.datetime, str], ...]
    first: datetime.datetime
    last: datetime.datetime


def targets_of(step: Step) -> str:
    """Whether a step needs hands, only an ear, or nobody."""
    if step.persons:
        return HANDS
    return NOBODY if step.kind in LEFT_ALONE else EAR


def lanes_of(day: DayOnClock, steps: Sequence[Step], running: Sequence[Step]) -> DayLanes:
    """
    Sort the steps of a day into lanes: hands first, then the stove, then equipment by its first use.

    `steps` are those that begin on the day, whatever day they belong to; `running` began before and are not over.
    """
    lasting = [step for step in steps if step.end > step.start]
    loads = list(dict.fromkeys((step.name, step.load, step.of) for step in lasting))
    letters = {load: letter_of(place) for place, load in enumerate(loads)}
    hands = sorted({person for step in lasting for person in step.persons})
    lanes = [Lane(lane_name(hand), bars_of(letters, [one for one in lasting if hand in one.persons])) for hand in hands]
    stove = [step for step in lasting if not step.equipment and not step.persons]
    lanes += [Lane(STOVE, bars_of(letters, row)) for row in rows_of(stove)]
    pieces = list(dict.fromkeys(piece for step in [*running, *lasting] for piece in step.equipment))
    for piece in pieces:
        before = [Bar(one.start, one.end, NOBODY, "", one.name) for one in running if piece in one.equipment]
        inside = bars_of(letters, [one for one in lasting if piece in one.equipment])
        lanes.append(Lane(piece, (*before, *inside)))
    moments = tuple((step.start, moment_said(step)) for step in steps if step.end == step.start)
    first, last = hours_around(day, steps)
    return DayLanes(tuple(lanes), letters, moments, first, last)


def lane_name(hands: str) -> str:
    """
    A pair of hands by its letter, or by its name where people have names.

    >>> lane_name("A"), lane_name("Ida")
    ('hands A', 'Ida')
    """
    return f"hands {hands}" if len(hands) == 1 else hands


def letter_of(place: int) -> str:
    """
    A letter for a load, two of them beyond the alphabet.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('a', 'z', 'aa')
    """
    more, place = divmod(place, len(LETTERS))
    return (LETTERS[more - 1] if more else "") + LETTERS[place]


def moment_said(step: Step) -> str:
    """Say what takes no time of the clock: its first words, up to a semicolon."""
    return f"{step.words.split(';')[0]}: {step.name}"


def bars_of(letters: dict[Load, str], steps: Sequence[Step]) -> tuple[Bar, ...]:
    """Give the bars of some steps; what follows at once for the same load and needs the same is one bar."""
    bars: list[Bar] = []
    for step in sorted(steps, key=lambda one: (one.start, one.end)):
        bar = Bar(step.start, step.end, targets_of(step), letters[step.name, step.load, step.of], step.name)
        last = bars[-1] if bars else None
        if last is not None and (last.end, last.targets, last.letter) == (bar.start, bar.targets, bar.letter):
            bar = replace(bar, start=bars.pop().start)
        bars.append(bar)
    return tuple(bars)


def rows_of(steps: Sequence[Step]) -> Iterator[list[Step]]:
    """Lay steps out in as few rows as they need, so that none lies over another."""
    rows: list[list[Step]] = []
    for step in sorted(steps, key=lambda one: (one.start, one.end, one.name, one.load)):
        free = next((row for row in rows if row[-1].end <= step.start), None)
        if free is None:
            rows.append([step])
        else:
            free.append(step)
    yield from rows


def hours_around(day: DayOnClock, steps: Sequence[Step]) -> tuple[datetime.datetime, datetime.datetime]:
    """The full hours between which the day is drawn: its start, all its steps but for runs, and its end."""
    ends = [step.end for step in steps if step.kind != "run"] + [day.ends]
    ends += [step.start + datetime.timedelta(hours=1) for step in steps]
    first = min([day.kitchen.starts, *(step.start for step in steps)])
    last = max(ends)
    first = first.replace(minute=0, second=0)
    if last.minute or last.second:
        last = last.replace(minute=0, second=0) + datetime.timedelta(hours=1)
    return first, max(last, first + datetime.timedelta(hours=2))


NAMES_WIDE, NAMES_LEAST = 118.0, 40.0
LANE, BAR = 21.0, 15.0
TONES = {HANDS: BY_HANDS, EAR: BY_EAR, NOBODY: BY_NOBODY}
KEY = ((BY_HANDS, "needs hands"), (BY_EAR, "needs an ear: stay within hearing"), (BY_NOBODY, "needs nobody"))
HOUR = datetime.timedelta(hours=1)
INSIDE = 7.5
NAME_FROM = 70.0
"""Points from which on a bar has its name beside its letter."""


@dataclass(frozen=True)
class Clock:
    """Where a time of day stands between two edges."""

    first: datetime.datetime
    last: datetime.datetime
    left: float
    right: float

    def x(self, moment: datetime.datetime) -> float:
        """Give the place of a moment; what lies outside is at the edge."""
        share = (moment - self.first) / (self.last - self.first)
        return self.left + (self.right - self.left) * min(1.0, max(0.0, share))


def day_picture(shown: Shown, day: datetime.date, number: int = 1) -> Picture:
    """
    Draw one day; `number` is its place among the days planned in detail.

    Steps that begin on it, those of the day before among them, are in it, and what still runs from before.
    """
    name, title = f"day_{number}", f"{format_full_date(day)} on the clock"
    found = next((one for one in shown.days if one.day == day), None)
    steps = sorted((step for step in shown.steps if step.start.date() == day), key=lambda step: step.start)
    if found is None or not any(step.end > step.start for step in steps):
        later = "".join(f" At {format_clock(step.start)}: {step.words.split(';')[0]}, {step.name}." for step in steps)
        return nothing(name, title, f"Nothing has to be put up on this day.{later}")
    running = [step for step in shown.steps if step.start.date() < day and step.end > found.kitchen.starts]
    lanes = lanes_of(found, steps, running)
    words = shown.told(day_words_of(found, lanes))
    paper = Paper()
    paper.head(title, words)
    paper.key(KEY)
    draw_lanes(paper, found, lanes)
    draw_names(paper, lanes, bool(running))
    paper.end()
    return Picture(name, title, words, paper)


def day_words_of(day: DayOnClock, lanes: DayLanes) -> str:
    """Say from when to when, with how many hands, what is made in how many loads, and whether it fits its hours."""
    loads: dict[str, int] = {}
    for name, _, _ in lanes.letters:
        loads[name] = loads.get(name, 0) + 1
    made = [name if count == 1 else f"{name} ({count} loads)" for name, count in loads.items()]
    times = (
        f"{format_clock(day.kitchen.starts)} to {format_moment(day.ends, day.day)}, {pairs_words(day.kitchen.persons)}"
    )
    over = f" It runs {format_minutes(day.over_minutes)} past the hours of the day." if day.over_minutes else ""
    return f"From {times}: {format_list(made, 8, '; ')}.{over}"


def draw_lanes(paper: Paper, day: DayOnClock, lanes: DayLanes) -> None:
    """Draw the hours, the lanes and what is in them."""
    names = max(width_of(lane.name, BODY) for lane in lanes.lanes)
    left = MARGIN + min(NAMES_WIDE, max(NAMES_LEAST, names)) + 8.0
    clock = Clock(lanes.first, lanes.last, left, paper.width - MARGIN)
    top = paper.y + 14.0
    bottom = top + LANE * len(lanes.lanes)
    draw_hours(paper, clock, top, bottom)
    for place, lane in enumerate(lanes.lanes):
        y = top + LANE * place + LANE / 2
        paper.say(lane.name, left - 8.0, y + 3.4, left - 8.0 - MARGIN, across="right")
        for bar in lane.bars:
            draw_bar(paper, clock, bar, y)
    if lanes.first <= day.closes <= lanes.last:
        x = clock.x(day.closes)
        paper.put(Line(((x, top - 2.0), (x, bottom + 3.0)), BRICK, 1.1, dashed=True))
        words = f"hours end {format_clock(day.closes)}"
        across = "right" if x + width_of(words, INSIDE) > paper.width - MARGIN else "left"
        paper.put(Words(words, x, bottom + 11.0, INSIDE, across, BRICK, "bold"))
    paper.y = bottom + 13.0


def draw_hours(paper: Paper, clock: Clock, top: float, bottom: float) -> None:
    """Draw a quiet line for each hour, with its time where there is room."""
    hours = round((clock.last - clock.first) / HOUR)
    each = (clock.right - clock.left) / hours
    every = max(1, int(-(-32.0 // each)))
    for hour in range(hours + 1):
        x = clock.left + each * hour
        paper.put(Line(((x, top), (x, bottom)), LINE, 0.6))
        if hour % every == 0:
            words = format_hour(clock.first + hour * HOUR)
            half = width_of(words, INSIDE) / 2
            paper.put(Words(words, min(x, paper.width - half - 4.0), top - 4.0, INSIDE, "centre", QUIET))


def draw_bar(paper: Paper, clock: Clock, bar: Bar, y: float) -> None:
    """Draw one step: its letter, its name where there is room; an open end where it goes on beyond the hours drawn."""
    tone = TONES[bar.targets]
    left, right = clock.x(bar.start), clock.x(bar.end)
    wide = right - left
    paper.put(Box(left, y - BAR / 2, wide, BAR, tone))
    words = bar.name if not bar.letter else bar.letter
    if bar.targets == NOBODY and bar.end > clock.last:
        words = f"{words}  until {format_long_date(bar.end.date())} {format_clock(bar.end)}".strip()
    elif wide > NAME_FROM and bar.letter:
        words = f"{bar.letter}  {bar.name}"
    words = shortened(words, wide - 5.0, INSIDE, "bold") or (bar.letter if fits(bar.letter, wide) else "")
    if words:
        write_inside(paper, words, (left, wide), y, tone)


def fits(letter: str, wide: float) -> bool:
    """Whether a load's letter alone has room in a bar."""
    return bool(letter) and width_of(letter, INSIDE, "bold") <= wide - 1.5


def write_inside(paper: Paper, words: str, bar: tuple[float, float], y: float, tone: Tone) -> None:
    """Write into a bar, at its left or in the middle of a short one; over a pattern, on a plain ground."""
    left, wide = bar
    long = width_of(words, INSIDE, "bold")
    x = left + min(3.0, (wide - long) / 2)
    if tone.pattern:
        start, end = max(left + 0.4, x - 1.5), min(left + wide - 0.4, x + long + 1.5)
        paper.put(Box(start, y - 5.0, end - start, 10.0, Tone(tone.fill), outline=""))
    paper.put(Words(words, x, y + 2.7, INSIDE, colour=WHITE if tone.over == WHITE else INK, style="bold"))


def draw_names(paper: Paper, lanes: DayLanes, running: bool) -> None:
    """Say below what the letters are, in two columns, and what takes no time."""
    entries = [(letter, load_words(load)) for load, letter in lanes.letters.items()]
    column = paper.inner / 2
    rows = -(-len(entries) // 2)
    top = paper.y + 12.0
    for place, (letter, words) in enumerate(entries):
        x, y = MARGIN + column * (place // rows), top + 12.5 * (place % rows)
        paper.put(Words(letter, x + 12.0, y, SMALL, "right", style="bold"))
        paper.say(words, x + 18.0, y, column - 24.0, size=SMALL)
    paper.y = top + 12.5 * max(0, rows - 1) + (4.0 if running or lanes.moments else 0.0)
    if running:
        paper.text("A bar that begins at the left edge without a letter runs from a day before.", size=SMALL)
    for moment, words in lanes.moments:
        paper.text(f"{format_clock(moment)}  {words}", most=1, size=SMALL, colour=INK)


def load_words(load: Load) -> str:
    """
    A load by its name, with its number where there are several.

    >>> load_words(("salsa", 1, 2)), load_words(("salsa", 1, 1))
    ('salsa, load 1 of 2', 'salsa')
    """
    name, number, of = load
    return f"{name}, load {number} of {of}" if of > 1 else name
