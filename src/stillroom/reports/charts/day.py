"""The picture of a day on the clock: a lane for each person and piece of equipment, bars by the attention they need."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from stillroom.household.results.clock import SAID, DayOnClock, Step
from stillroom.household.text import (
    format_clock,
    format_count,
    format_date,
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
    EARSHOT,
    GREEN,
    HANDS_ON,
    INK,
    LINE,
    MARGIN,
    PALE_GREEN,
    QUIET,
    SMALL,
    UNATTENDED,
    WHITE,
    Box,
    Drawing,
    Line,
    Picture,
    Shown,
    Tone,
    Words,
    nothing,
    shortened,
    width_of,
)

# The lanes: what each person, each piece of equipment and the stove has when.

LEFT_ALONE = ("run", "cool", "rest", "standing")
"""Kinds of step that nobody attends: a dryer or crock that runs, a canner that cools by itself."""
STOVE = "stove"
LETTERS = "abcdefghijklmnopqrstuvwxyz"

Load = tuple[str, int, int]
"""Name, number and how many there are."""


@dataclass(frozen=True)
class Bar:
    """A step in a lane: the tone of its attention, the letter of its load (empty if it began on an earlier day)."""

    start: datetime.datetime
    end: datetime.datetime
    tone: Tone
    letter: str
    name: str


@dataclass(frozen=True)
class Lane:
    """The bars of one person, one piece of equipment or one place on the stove."""

    name: str
    bars: tuple[Bar, ...]


@dataclass(frozen=True)
class DayLanes:
    """
    A day ready to be drawn.

    `letters` are by load, `moments` the steps that take no time. `first` and `last` are full hours around everything
    but runs.
    """

    lanes: tuple[Lane, ...]
    letters: dict[Load, str]
    moments: tuple[tuple[datetime.datetime, str], ...]
    first: datetime.datetime
    last: datetime.datetime


def attention_of(step: Step) -> Tone:
    """Return the tone of the attention a step needs: hands-on, within earshot, or none."""
    if step.persons:
        return HANDS_ON
    return UNATTENDED if step.kind in LEFT_ALONE else EARSHOT


def lanes_of(day: DayOnClock, steps: Sequence[Step], running: Sequence[Step]) -> DayLanes:
    """
    Sort the steps of a day into lanes: people first, then the stove, then equipment by its first use.

    `steps` are those that begin on the day; `running` began before and are not over.
    """
    lasting = [step for step in steps if step.end > step.start]
    loads = list(dict.fromkeys((step.name, step.load, step.of) for step in lasting))
    letters = {load: letter_of(place) for place, load in enumerate(loads)}
    people = sorted({person for step in lasting for person in step.persons})
    lanes = [
        Lane(lane_name(one), bars_of(letters, [step for step in lasting if one in step.persons])) for one in people
    ]
    stove = [step for step in lasting if not (step.equipment or step.persons or step.kind == "standing")]
    lanes += [Lane(STOVE, bars_of(letters, row)) for row in rows_of(stove)]
    for piece in dict.fromkeys(piece for step in [*running, *lasting] for piece in step.equipment):
        before = [Bar(one.start, one.end, UNATTENDED, "", one.name) for one in running if piece in one.equipment]
        inside = bars_of(letters, [one for one in lasting if piece in one.equipment])
        lanes.append(Lane(piece, (*before, *inside)))
    moments = tuple(
        (step.start, moment_text(step)) for step in steps if step.end == step.start and step.kind not in SAID
    )
    first, last = hours_around(day, steps)
    return DayLanes(tuple(lanes), letters, moments, first, last)


def lane_name(person: str) -> str:
    """
    Return a person's name, or the letter of one without a name.

    >>> lane_name("A"), lane_name("cook 2")
    ('person A', 'cook 2')
    """
    return f"person {person}" if len(person) == 1 else person


def letter_of(place: int) -> str:
    """
    Return a letter for a load, two letters beyond the alphabet.

    >>> letter_of(0), letter_of(25), letter_of(26)
    ('a', 'z', 'aa')
    """
    more, place = divmod(place, len(LETTERS))
    return (LETTERS[more - 1] if more else "") + LETTERS[place]


def moment_text(step: Step) -> str:
    """Return the words of a step that takes no time, up to a semicolon, with its name."""
    return f"{step.words.split(';')[0]}: {step.name}"


def bars_of(letters: dict[Load, str], steps: Sequence[Step]) -> tuple[Bar, ...]:
    """Return the bars of some steps; steps in a row for one load that need the same attention are one bar."""
    bars: list[Bar] = []
    for step in sorted(steps, key=lambda one: (one.start, one.end)):
        bar = Bar(step.start, step.end, attention_of(step), letters[step.name, step.load, step.of], step.name)
        last = bars[-1] if bars else None
        if last is not None and (last.end, last.tone, last.letter) == (bar.start, bar.tone, bar.letter):
            bar = replace(bar, start=bars.pop().start)
        bars.append(bar)
    return tuple(bars)


def rows_of(steps: Sequence[Step]) -> Iterator[list[Step]]:
    """Yield as few rows of steps as possible in which none overlap."""
    rows: list[list[Step]] = []
    for step in sorted(steps, key=lambda one: (one.start, one.end, one.name, one.load)):
        free = next((row for row in rows if row[-1].end <= step.start), None)
        if free is None:
            rows.append([step])
        else:
            free.append(step)
    yield from rows


def hours_around(day: DayOnClock, steps: Sequence[Step]) -> tuple[datetime.datetime, datetime.datetime]:
    """Return the full hours around a day's start, its steps but for runs, and its end."""
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
KEY = ((HANDS_ON, "hands-on"), (EARSHOT, "stay within earshot"), (UNATTENDED, "unattended"))
HOUR = datetime.timedelta(hours=1)
INSIDE = 7.5
NAME_FROM = 70.0
"""A bar wider than this many points has its name next to its letter."""


@dataclass(frozen=True)
class Clock:
    """The place of a time of day between two edges."""

    first: datetime.datetime
    last: datetime.datetime
    left: float
    right: float

    def x(self, moment: datetime.datetime) -> float:
        """Return the place of a moment; one outside is at the edge."""
        share = (moment - self.first) / (self.last - self.first)
        return self.left + (self.right - self.left) * min(1.0, max(0.0, share))


def day_picture(shown: Shown, day: datetime.date, number: int = 1) -> Picture:
    """
    Draw one day; `number` is its place among the days planned in detail.

    Includes what began on earlier days and still runs.
    """
    name, title = f"day_{number}", format_full_date(day)
    found = next((one for one in shown.days if one.day == day), None)
    steps = sorted((step for step in shown.steps if step.start.date() == day), key=lambda step: step.start)
    if found is None or not any(step.end > step.start for step in steps):
        later = "".join(f" {format_clock(step.start)}: {moment_text(step)}." for step in steps)
        return nothing(name, title, f"Nothing to put up on this day.{later}")
    running = [step for step in shown.steps if step.start.date() < day and step.end > found.kitchen.starts]
    lanes = lanes_of(found, steps, running)
    words = shown.with_warning(day_words(found, lanes))
    drawing = Drawing()
    drawing.heading(title, words)
    drawing.legend(KEY)
    draw_lanes(drawing, found, lanes)
    write_loads(drawing, lanes, running=bool(running))
    drawing.finish()
    return Picture(name, title, words, drawing)


def day_words(day: DayOnClock, lanes: DayLanes) -> str:
    """Return from when to when, with how many people, what is made, and whether it fits the day's hours."""
    loads: dict[str, int] = {}
    for name, _, _ in lanes.letters:
        loads[name] = loads.get(name, 0) + 1
    made = [name if count == 1 else f"{name} ({count} loads)" for name, count in loads.items()]
    over = f" It runs {format_minutes(day.over_minutes)} past the day's hours." if day.over_minutes else ""
    return f"{times_text(day)}: {format_list(made, 8, '; ')}.{over}"


def times_text(day: DayOnClock) -> str:
    """Return from when to when a day goes, and with how many people."""
    people = format_count(day.kitchen.persons, "person")
    return f"{format_clock(day.kitchen.starts)} to {format_moment(day.ends, day.day)}, {people}"


def draw_lanes(drawing: Drawing, day: DayOnClock, lanes: DayLanes) -> None:
    """Draw the hours, the lanes and their bars."""
    names = max(width_of(lane.name, BODY) for lane in lanes.lanes)
    left = MARGIN + min(NAMES_WIDE, max(NAMES_LEAST, names)) + 8.0
    clock = Clock(lanes.first, lanes.last, left, drawing.width - MARGIN)
    top = drawing.y + 14.0
    bottom = top + LANE * len(lanes.lanes)
    draw_hours(drawing, clock, top, bottom)
    for place, lane in enumerate(lanes.lanes):
        y = top + LANE * place + LANE / 2
        drawing.write(lane.name, left - 8.0, y + 3.4, left - 8.0 - MARGIN, across="right")
        for bar in lane.bars:
            draw_bar(drawing, clock, bar, y)
    if lanes.first <= day.closes <= lanes.last:
        x = clock.x(day.closes)
        drawing.add(Line(((x, top - 2.0), (x, bottom + 3.0)), BRICK, 1.1, dashed=True))
        words = f"hours end {format_clock(day.closes)}"
        across = "right" if x + width_of(words, INSIDE) > drawing.width - MARGIN else "left"
        drawing.add(Words(words, x, bottom + 11.0, INSIDE, across, BRICK, "bold"))
    drawing.y = bottom + 13.0


def draw_hours(drawing: Drawing, clock: Clock, top: float, bottom: float) -> None:
    """Draw a line for each hour, with its time where there is room."""
    hours = round((clock.last - clock.first) / HOUR)
    each = (clock.right - clock.left) / hours
    every = max(1, int(-(-32.0 // each)))
    for hour in range(hours + 1):
        x = clock.left + each * hour
        drawing.add(Line(((x, top), (x, bottom)), LINE, 0.6))
        if hour % every == 0:
            words = format_hour(clock.first + hour * HOUR)
            half = width_of(words, INSIDE) / 2
            drawing.add(Words(words, min(x, drawing.width - half - 4.0), top - 4.0, INSIDE, "center", QUIET))


def draw_bar(drawing: Drawing, clock: Clock, bar: Bar, y: float) -> None:
    """Draw one step with its letter, its name if there is room, and its end if that is beyond the hours drawn."""
    left, right = clock.x(bar.start), clock.x(bar.end)
    wide = right - left
    drawing.add(Box(left, y - BAR / 2, wide, BAR, bar.tone))
    words = bar.letter or bar.name
    if bar.tone == UNATTENDED and bar.end > clock.last:
        words = f"{words}  until {format_moment(bar.end, clock.first.date())}"
    elif wide > NAME_FROM and bar.letter:
        words = f"{bar.letter}  {bar.name}"
    words = shortened(words, wide - 5.0, INSIDE, "bold")
    if not words and bar.letter and width_of(bar.letter, INSIDE, "bold") <= wide - 1.5:
        words = bar.letter
    if words:
        write_inside(drawing, words, (left, wide), y, bar.tone)


def write_inside(drawing: Drawing, words: str, bar: tuple[float, float], y: float, tone: Tone) -> None:
    """Write into a bar, at its left or in the middle of a short one; over a pattern on a plain ground."""
    left, wide = bar
    long = width_of(words, INSIDE, "bold")
    x = left + min(3.0, (wide - long) / 2)
    if tone.pattern:
        start, end = max(left + 0.4, x - 1.5), min(left + wide - 0.4, x + long + 1.5)
        drawing.add(Box(start, y - 5.0, end - start, 10.0, Tone(tone.fill), outline=""))
    drawing.add(Words(words, x, y + 2.7, INSIDE, color=tone.letters, style="bold"))


def write_loads(drawing: Drawing, lanes: DayLanes, *, running: bool) -> None:
    """Write what the letters mean, in two columns, then the steps that take no time."""
    entries = [(letter, load_text(load)) for load, letter in lanes.letters.items()]
    column = drawing.inner / 2
    rows = -(-len(entries) // 2)
    top = drawing.y + 12.0
    for place, (letter, words) in enumerate(entries):
        x, y = MARGIN + column * (place // rows), top + 12.5 * (place % rows)
        drawing.add(Words(letter, x + 12.0, y, SMALL, "right", style="bold"))
        drawing.write(words, x + 18.0, y, column - 24.0, size=SMALL)
    drawing.y = top + 12.5 * max(0, rows - 1) + (4.0 if running or lanes.moments else 0.0)
    if running:
        drawing.paragraph("A bar without a letter began on an earlier day.", size=SMALL)
    for moment, words in lanes.moments:
        drawing.paragraph(f"{format_clock(moment)}  {words}", most=1, size=SMALL, color=INK)


def load_text(load: Load) -> str:
    """
    Return a load by its name, numbered if there are several.

    >>> load_text(("salsa", 1, 2)), load_text(("salsa", 1, 1))
    ('salsa, load 1 of 2', 'salsa')
    """
    name, number, of = load
    return f"{name}, load {number} of {of}" if of > 1 else name


NAME, TITLE = "can_wait", "What can wait"
LINES_WIDE, ROW, WAIT_BAR = 236.0, 16.0, 11.0
MUST, MAY, SLACK = Tone(BRICK, "", WHITE), Tone(GREEN, "", WHITE), Tone(PALE_GREEN, "", GREEN)
LATER = "later"


@dataclass(frozen=True)
class Wait:
    """
    A line of a day, in words, and the last of the days it can begin on; None: it can wait past them all.

    `hour` is the latest time on that day, empty where it is not known.
    """

    day: datetime.date
    words: str
    last: datetime.date | None
    hour: str = ""


def waiting_picture(days: Sequence[datetime.date], waits: Sequence[Wait]) -> Picture:
    """Draw a row for each line; the days are columns, with one for later after them."""
    drawing = Drawing()
    must = [one.words for one in waits if one.last == one.day]
    words = f"Cannot wait: {format_list(must, 6, '; ')}." if must else "Every line can wait a day or more."
    left = MARGIN + LINES_WIDE + 8.0
    each = (drawing.width - MARGIN - left) / (len(days) + 1)
    write_days(drawing, days, left, each)
    before = None
    for one in waits:
        color = QUIET if one.day != before else LINE
        drawing.add(Line(((MARGIN, drawing.y), (drawing.width - MARGIN, drawing.y)), color, 0.5))
        before = one.day
        draw_wait(drawing, days, one, left, each)
    legend = [(MAY, "its day"), (SLACK, "can wait until the end of the bar, to begin by the time in it")]
    drawing.legend([*([(MUST, "its day; cannot wait")] if must else []), *legend])
    drawing.finish()
    return Picture(NAME, TITLE, words, drawing)


def write_days(drawing: Drawing, days: Sequence[datetime.date], left: float, each: float) -> None:
    """Write the days above their columns."""
    drawing.y = 4.0
    for place, day in enumerate([*days, None]):
        middle = left + (place + 0.5) * each
        name = LATER if day is None else format_long_date(day).partition(" ")[0]
        drawing.add(Words(name, middle, drawing.y + 10.0, BODY, "center", style="bold"))
        if day is not None and width_of(format_date(day), SMALL) < each:
            drawing.add(Words(format_date(day), middle, drawing.y + 21.0, SMALL, "center", QUIET))
    drawing.y += 26.0


def draw_wait(drawing: Drawing, days: Sequence[datetime.date], one: Wait, left: float, each: float) -> None:
    """Draw one line: its name, its day, and the bar of its slack."""
    must, first = one.last == one.day, days.index(one.day)
    top = drawing.y + (ROW - WAIT_BAR) / 2
    style = "bold" if must else "plain"
    drawing.write(one.words, MARGIN, drawing.y + ROW / 2 + 3.4, LINES_WIDE, style=style)
    end = len(days) + 1 if one.last is None else days.index(one.last) + 1
    drawing.add(Box(left + first * each + 2.0, top, each - 4.0, WAIT_BAR, MUST if must else MAY))
    if end > first + 1:
        start = left + (first + 1) * each - 2.0
        drawing.add(Box(start, top, left + end * each - 2.0 - start, WAIT_BAR, SLACK, outline=GREEN))
    if one.hour and width_of(one.hour, SMALL) < each - 4.0:
        color = WHITE if end == first + 1 else QUIET
        drawing.add(Words(one.hour, left + (end - 0.5) * each, top + WAIT_BAR - 2.8, SMALL, "center", color))
    drawing.y += ROW
