"""The pages: what each shows of the workbook, and what each form does; all of it asked of `app`."""

from __future__ import annotations

import asyncio
import datetime
import io
import json
import re
import sys
import threading
from collections import defaultdict
from collections.abc import AsyncIterator, Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any
from uuid import uuid4

import segno
from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from stillroom.app.plan import said_again
from stillroom.app.print import shown_of
from stillroom.app.record.entries import KINDS, MADE, Entered
from stillroom.app.record.evening import LineToRecord, of_line
from stillroom.app.record.taps import COUNT, Look, Tapped, shown_words
from stillroom.errors import CommandWrong, CouldNotWrite, StillroomError
from stillroom.household import text
from stillroom.household.results.messages import WARNING
from stillroom.household.results.rows import in_crop_unit, is_filled
from stillroom.reports.charts import picture_file
from stillroom.reports.charts.canvas import Picture
from stillroom.reports.charts.stocks import freezer_picture, jars_picture
from stillroom.reports.problems import gathered, sentences
from stillroom.reports.terminal.plan import IMPORTANCE
from stillroom.web.guard import TOKEN, Guard, Pairing, digest, form_token
from stillroom.web.journal import Keeper, Kept, Seen
from stillroom.web.now import now_facts
from stillroom.web.planner import KEEPING, RUNNING, Planner

HERE = Path(__file__).parent
LOOPBACK = "127.0.0.1"
HAPPENINGS = {"ate": "Ate", "bought": "Bought", "gave": "Gave away", "spoiled": "Spoiled", "surplus": "Surplus"}
STATIC = {"page.css": "text/css", "kitchen.js": "text/javascript", "icon.svg": "image/svg+xml"}
PICTURES = {"jars": jars_picture, "freezer": freezer_picture}
ENTERED, UNDONE = "#entered", "#undone"
"""Where a page shows what was just entered, and that it was taken back."""
LONGEST = 200
PLAIN_HTTP = (
    "Anyone in your home network who can listen in can read what is sent, for it is not encrypted: "
    "share only in a network you trust."
)
LATE_MINUTES, MOST_LATE = ("15", "-15", "0"), datetime.timedelta(hours=12)
"""By how much the times of the day may be moved with one tap (0: back to the plan), and in all."""
NOTHING_TYPED: Mapping[str, Any] = {"wrong": "", "typed": {}}
_ID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def kitchen(
    path: Path,
    *,
    hosts: tuple[str, ...],
    today: Callable[[], datetime.date] = datetime.date.today,
    cookie: str = "stillroom",
    pairing: Pairing | None = None,
    moment: Callable[[], datetime.datetime] = datetime.datetime.now,
    address: str = "",
) -> Kitchen:
    """
    Return the page of one workbook, for the names by which it may be called; `address` is where it is shared.

    Raises WorkbookRefused where it cannot be read, CouldNotWrite where its page is open already.
    """
    return Kitchen(Keeper(path, today), Planner(path), pairing or Pairing(), hosts, cookie, moment, address)


class Kitchen:
    """The page of one workbook; `app` is what a server serves."""

    def __init__(
        self,
        keeper: Keeper,
        planner: Planner,
        pairing: Pairing,
        hosts: tuple[str, ...],
        cookie: str,
        moment: Callable[[], datetime.datetime],
        address: str,
    ) -> None:
        self.keeper, self.planner, self.pairing, self.moment = keeper, planner, pairing, moment
        self.address = address
        self.stop: Callable[[], None] = lambda: None
        self.late = (datetime.date.min, datetime.timedelta())
        self._drawing = threading.RLock()
        self._first = threading.Thread(target=self._draw_first, daemon=True)
        self._pictures: tuple[Look | None, Mapping[str, Picture]] = (None, {})
        self._files: dict[str, bytes] = {}
        self.templates = templates()
        self.pages: Mapping[str, tuple[str, Callable[[Look], Mapping[str, Any]]]] = {
            "/": ("now.html", self.now),
            "/came": ("came.html", self.came),
            "/left": ("left.html", self.left),
            "/winter": ("winter.html", self.winter),
            "/plan": ("plan.html", self.plan),
            "/workbook": ("workbook.html", self.workbook),
            "/devices": ("devices.html", self.paired_devices),
        }
        forms: list[tuple[str, Callable[[Request, FormData], str]]] = [
            ("/enter", self.enter),
            ("/undo", self.undo),
            ("/late", self.be_late),
            ("/correct", self.correct),
            ("/plan/start", self.plan_start),
            ("/plan/keep", self.plan_keep),
            ("/plan/leave", self.plan_leave),
            ("/devices/away", self.send_away),
        ]
        routes = [
            *(Route(place, self._shown(*page)) for place, page in self.pages.items()),
            *(Route(place, self._done(change), methods=["POST"]) for place, change in forms),
            Route("/plan/events", self.plan_events),
            Route("/workbook/file", self.file),
            Route("/picture/{name}", self.picture),
            Route("/devices/code", self.code),
            Route("/stop", self.ask_to_stop, methods=["POST"]),
            Route("/pair", self.pair, methods=["GET", "POST"]),
            Route("/static/{name}", static),
        ]
        inside = Starlette(routes=routes)
        self.guard = Guard(inside, keeper.journal, pairing, hosts, cookie)
        self.app = self.guard

    def start(self) -> None:
        """Begin to write what waits; and load what draws pictures, so that nobody waits for it later."""
        sys.setswitchinterval(0.001)  # a page does not wait while the workbook is written or read in another thread
        self.keeper.start()
        self._first.start()

    def _draw_first(self) -> None:
        look = self.keeper.seen().look
        if look is not None:
            with text.in_style(text.style_of(look.reading.household.kitchen)):
                self.pictures(look)

    def close(self) -> None:
        """Stop planning and writing, and let the journal go."""
        self.planner.stop()
        if self._first.is_alive():
            self._first.join()
        self.keeper.stop()

    # Showing

    def _shown(self, name: str, facts: Callable[[Look], Mapping[str, Any]]) -> Callable[[Request], Any]:
        async def show(request: Request) -> Response:
            return await run_in_threadpool(self.page, request, name, facts)

        return show

    def page(
        self,
        request: Request,
        name: str,
        facts: Callable[[Look], Mapping[str, Any]],
        more: Mapping[str, Any] = NOTHING_TYPED,
        status: int = 200,
    ) -> Response:
        """Return one page; `more` is what was just typed, and why it could not be taken."""
        seen = self.keeper.seen()
        if seen.look is None:
            return self.html(request, "unreadable.html", seen, more, 503)
        with text.in_style(text.style_of(seen.look.reading.household.kitchen)):
            given = {**facts(seen.look), "look": seen.look, **more, "typed": defaultdict(str, more["typed"])}
            return self.html(request, name, seen, given, status)

    def html(self, request: Request, name: str, seen: Seen, facts: Mapping[str, Any], status: int = 200) -> Response:
        """Return a template filled in."""
        journal = self.keeper.journal
        cookie = request.scope["cookie"]
        common = {
            "file": self.keeper.path.name,
            "place": request.url.path,
            "token": form_token(cookie) if cookie else "",
            "waiting": journal.waiting(),
            "why_waiting": self.keeper.why_waiting,
            "refused": [self.with_words(one, seen.look) for one in journal.refused()],
            "entered": [self.with_words(one, seen.look) for one in journal.latest()],
            "unreadable": seen.refused,
            "is_here": is_here(request),
        }
        return HTMLResponse(self.templates.get_template(name).render({**common, **facts}), status)

    @staticmethod
    def with_words(one: Kept, look: Look | None) -> Kept:
        """Return an entry in a sentence, one that waits with what the workbook would say of it."""
        if look is None:
            return one
        entered, found = one.tapped.entered, look.outcomes.get(one.tapped.id)
        unit = next((crop.unit for crop in look.reading.typed.crops if crop.name == entered.name), "")
        said = one.said if found is None or found.refused else found.said
        return replace(one, words=shown_words(entered, unit), said=said)

    def now(self, look: Look) -> Mapping[str, Any]:
        """What is on the clock, the day's lines to record, and what else the day asks for."""
        new = [one.tapped for one in self.keeper.journal.latest() if one.tapped.id not in self.keeper.known]
        told = {(one.entered.day, one.entered.name) for one in new if one.entered.kind == MADE}
        day, late = self.late
        return now_facts(look, self.moment(), late if day == look.day else datetime.timedelta(), told)

    def came(self, look: Look) -> Mapping[str, Any]:
        """The crops expected on the day first, then the others."""
        typed = look.reading.typed
        amounts: dict[str, float] = {}
        for lot in typed.lots:
            if lot.expected and lot.picked_on == look.day:
                amounts[lot.crop] = amounts.get(lot.crop, 0.0) + in_crop_unit(lot.kg, typed.crop(lot.crop))
        expected = {name: text.format_quantity(amount, typed.crop(name).unit) for name, amount in amounts.items()}
        names = [*expected, *(crop.name for crop in typed.crops if crop.name not in expected)]
        return {
            "day": look.day,
            "expected": expected,
            "crops": [typed.crop(name) for name in names],
            "units": UNITS,
        }

    def left(self, look: Look) -> Mapping[str, Any]:
        """What may leave the kitchen, what may come from a store, and what can be counted."""
        typed = look.reading.typed
        stocks = [one.name for table in (typed.pantry, typed.lids, typed.containers) for one in table]
        groups = {
            "Put up": [item.name for item in typed.preserves],
            "Crops": [crop.name for crop in typed.crops],
            "Pantry, jars and lids": stocks,
        }
        return {
            "day": look.day,
            "kinds": HAPPENINGS,
            "groups": groups,
            "units": UNITS,
            "counts": look.counts(),
        }

    def winter(self, look: Look) -> Mapping[str, Any]:
        """How far each line of the winter list is, what is short and why, and what would help."""
        tables = said_again(look.reading)
        rows = tables["Coverage"]
        short = [row for row in rows if not is_filled(row)]
        return {
            "pictures": {name: picture.spoken for name, picture in self.pictures(look).items()},
            "short": sorted(short, key=lambda row: row["Importance"] or 0),
            "filled": [row for row in rows if is_filled(row)],
            "importance": IMPORTANCE,
            "reasons": [row for row in tables["Messages"] if row["Severity"] == WARNING],
            "bottlenecks": tables.get("Bottlenecks", []),
            "stale": "" if look.morning is None else look.morning.note,
        }

    def pictures(self, look: Look) -> Mapping[str, Picture]:
        """Return the pictures of a plan by the name they are asked for; none without a plan."""
        with self._drawing:
            drawn, pictures = self._pictures
            if look is not drawn:
                shown = None if look.clock is None else shown_of(look.clock)
                pictures = {} if shown is None else {name: draw(shown) for name, draw in PICTURES.items()}
                self._pictures = (look, pictures)
                self._files = {}
            return pictures

    def picture(self, request: Request) -> Response:
        """Give a picture, by a name that is listed."""
        look, name = self.keeper.seen().look, request.path_params["name"]
        if look is None or name not in PICTURES:
            return PlainTextResponse("Not here.", 404)
        with text.in_style(text.style_of(look.reading.household.kitchen)), self._drawing:
            found, files = self.pictures(look).get(name), self._files
            if found is None:
                return PlainTextResponse("There is no plan to draw.", 404)
            if name not in files:
                files[name] = picture_file(found, "png")
        return Response(files[name], media_type="image/png")

    def plan(self, look: Look) -> Mapping[str, Any]:
        """How far planning is, or what a new plan changes."""
        return {
            "planning": self.planner.now,
            "day": look.day,
            "stopped": list(look.reading.errors) if look.reading.stops else [],
        }

    def workbook(self, look: Look) -> Mapping[str, Any]:
        """What is wrong in the workbook, by cell."""
        problems = [(one, *sentences(one)) for one in gathered(look.reading.problems)]
        return {"problems": problems}

    def paired_devices(self, look: Look) -> Mapping[str, Any]:
        """Which devices are paired."""
        found = {"devices": self.keeper.journal.devices(), "code": self.pairing.code, "address": self.address}
        return {**found, "day": look.day, "plain_http": PLAIN_HTTP}

    # Changing

    def _done(self, change: Callable[[Request, FormData], str]) -> Callable[[Request], Any]:
        async def done(request: Request) -> Response:
            async with request.form(max_files=0, max_fields=40) as form:
                return await run_in_threadpool(self._answer, change, request, form)

        return done

    def _answer(self, change: Callable[[Request, FormData], str], request: Request, form: FormData) -> Response:
        back = field(form, "back")
        back = back if back in self.pages else "/"
        seen = self.keeper.seen()
        style = text.US if seen.look is None else text.style_of(seen.look.reading.household.kitchen)
        try:
            with text.in_style(style):
                place = change(request, form)
        except StillroomError as error:
            status = 503 if isinstance(error, CouldNotWrite) else 422
            request.scope["path"] = back
            typed = {name: str(value) for name, value in form.items() if name != TOKEN}
            return self.page(request, *self.pages[back], {"wrong": str(error), "typed": typed}, status)
        return RedirectResponse(f"{back}{place}" if place.startswith("#") else place or back, 303)

    def enter(self, _: Request, form: FormData) -> str:
        """Keep one thing that was tapped; of a line of the plan, how many. What was kept before is not kept again."""
        kind, name, amount, failed = (field(form, one) for one in ("kind", "name", "amount", "failed"))
        id_, day, look = id_of(form), day_of(field(form, "day")), self.keeper.seen().look
        if self.keeper.journal.of_id(id_) is not None:
            return ENTERED
        if kind not in ("line", *KINDS, COUNT) or day is None or look is None:
            raise WrongForm
        if kind == "line":
            entered = of_line(open_line(look, name, day), f"{amount} -{failed}" if failed.strip("0") else amount)
        elif day != look.day:
            days = (text.format_long_date(one) for one in (day, look.day))
            raise CommandWrong(
                "This page was of {}. It is about {} now: look it over, then enter it again.".format(*days)
            )
        else:
            entered = Entered(kind, name, f"{amount} {field(form, 'unit')}".strip(), day, failed or None)
        if entered is not None:
            self.keeper.enter(Tapped(id_, entered, of_plan=kind == "line"))
        return ENTERED

    def undo(self, _: Request, form: FormData) -> str:
        """Take an entry back, or drop one that was refused."""
        return UNDONE if self.keeper.take_back(field(form, "of"), id_of(form)) else ""

    def be_late(self, _: Request, form: FormData) -> str:
        """Show the times of the day so many minutes later; the plan stays as it is."""
        day, minutes = day_of(field(form, "day")), field(form, "minutes")
        if day is None or minutes not in LATE_MINUTES:
            raise WrongForm
        before = self.late[1] if self.late[0] == day else datetime.timedelta()
        later = before + datetime.timedelta(minutes=int(minutes)) if int(minutes) else datetime.timedelta()
        self.late = (day, max(datetime.timedelta(), min(later, MOST_LATE)))
        return "/"

    def correct(self, _: Request, form: FormData) -> str:
        """Let an entry that was refused wait again, corrected."""
        self.keeper.correct(field(form, "of"), field(form, "amount"), field(form, "name"))
        return ""

    def plan_start(self, _: Request, form: FormData) -> str:
        """Begin to plan, from this day on or from the day after one that is over."""
        after = day_of(field(form, "after"))
        self.planner.start(self.keeper.journal.waiting(), self.keeper.today(), after)
        return "/plan"

    def plan_keep(self, _: Request, __: FormData) -> str:
        """Write what waits, then the plan that was found."""
        self.keeper.turn()
        if self.keeper.journal.waiting():
            raise CouldNotWrite(self.keeper.why_waiting)
        self.planner.keep()
        return "/plan"

    def plan_leave(self, _: Request, __: FormData) -> str:
        """Stop planning, or drop the plan that was found."""
        self.planner.leave()
        return "/plan"

    async def plan_events(self, _: Request) -> Response:
        """Tell how far planning is, whenever that changes, until it needs an answer."""

        async def events() -> AsyncIterator[str]:
            before = None
            while True:
                now = self.planner.now
                if now != before:
                    yield f"data: {json.dumps({'state': now.state, 'steps': now.steps})}\n\n"
                    before = now
                if now.state not in (RUNNING, KEEPING):
                    return
                await asyncio.sleep(0.3)

        return StreamingResponse(events(), media_type="text/event-stream")

    # The file, and devices

    def file(self, _: Request) -> Response:
        """Give the workbook to take away."""
        try:
            content = self.keeper.path.read_bytes()
        except OSError:
            return PlainTextResponse("The workbook cannot be read just now.", 503)
        name = re.sub(r"[^\w. -]", "_", self.keeper.path.name, flags=re.ASCII)
        kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
        return Response(content, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'})

    async def pair(self, request: Request) -> Response:
        """Ask for the code, or pair the device that has it."""
        if request.method == "POST":
            async with request.form(max_files=0, max_fields=5) as form:
                code, name = field(form, "code"), field(form, "device") or "Tablet or phone"
            if self.pairing.takes(code):
                return self.guard.paired(name)
        facts = {
            "code": request.query_params.get("code", "")[:LONGEST] if request.method == "GET" else "",
            "wait": self.pairing.seconds_to_wait(),
            "wrong": request.method == "POST",
        }
        status = 200 if request.method == "GET" else 403
        return HTMLResponse(self.templates.get_template("pair.html").render(facts), status)

    def code(self, _: Request) -> Response:
        """Give the picture of the address and the code by which another device is paired."""
        if not self.address:
            return PlainTextResponse("This page is not shared.", 404)
        picture = io.BytesIO()
        pairing_picture(self.address, self.pairing.code).save(picture, kind="svg", scale=8, light="white")
        return Response(picture.getvalue(), media_type="image/svg+xml")

    async def ask_to_stop(self, request: Request) -> Response:
        """Close the page, if that is asked for on this machine."""
        if not is_here(request):
            return PlainTextResponse("Close it on the machine where it was opened.", 403)
        self.stop()
        return HTMLResponse(self.templates.get_template("closed.html").render())

    def send_away(self, request: Request, _: FormData) -> str:
        """Send every device away but the one that asks."""
        self.keeper.journal.send_away(but=digest(request.scope["cookie"]))
        return "/devices"


UNITS = ("lb", "oz", "kg", "g", "dozen", "bushel")


class WrongForm(StillroomError):
    """A form that none of our pages sends."""

    def __str__(self) -> str:
        return "That form is not complete. Load the page again."


def pairing_picture(address: str, code: str) -> segno.QRCode:
    """Return the picture of the address that pairs a device with a code."""
    return segno.make(f"{address}/pair?code={code}", micro=False)


def is_here(request: Request) -> bool:
    """Whether the machine that asks is the one that serves."""
    return request.client is not None and request.client.host == LOOPBACK


def open_line(look: Look, name: str, day: datetime.date) -> LineToRecord:
    """Return a line of the plan that is still to be recorded. Raises CommandWrong for any other."""
    found = next((one for one in look.lines if (one.name, one.day) == (name, day)), None)
    if found is None:
        msg = f"{name} of {text.format_long_date(day)} is recorded already, or not in the plan now; nothing was entered"
        raise CommandWrong(msg)
    return found


def field(form: FormData, name: str) -> str:
    """Return one field of a form as text, blank without it. Raises WrongForm where it is too long, or sent twice."""
    found = form.getlist(name)
    if len(found) > 1 or any(not isinstance(one, str) or len(one) > LONGEST for one in found):
        raise WrongForm
    return str(found[0]).strip() if found else ""


def id_of(form: FormData) -> str:
    """Return the id of an entry that its page has made. Raises WrongForm."""
    found = field(form, "id")
    if not _ID.fullmatch(found):
        raise WrongForm
    return found


def day_of(words: str) -> datetime.date | None:
    """Return a day as our forms send it."""
    try:
        return datetime.date.fromisoformat(words)
    except ValueError:
        return None


@cache
def templates() -> Environment:
    """Return the pages to fill in; every name is escaped."""
    found = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=select_autoescape(default=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.globals |= {"text": text, "new_id": lambda: str(uuid4())}
    return found


async def static(request: Request) -> Response:
    """Give one of our own files, by a name that is listed."""
    name = request.path_params["name"]
    if name not in STATIC:
        return PlainTextResponse("Not here.", 404)
    return Response((HERE / "static" / name).read_bytes(), media_type=STATIC[name])
