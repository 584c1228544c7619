"""The page before there is a workbook: choose one of the person's own, or answer the questions of `start`."""

from __future__ import annotations

import contextlib
import datetime
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from uuid import uuid4

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route
from starlette.types import Receive, Scope, Send

from stillroom.app import answers
from stillroom.app.answers import Told, filling
from stillroom.app.record.taps import look
from stillroom.app.setup import start_workbook
from stillroom.errors import CommandWrong, StillroomError, WorkbookRefused
from stillroom.reports.problems import line as sentence
from stillroom.reports.terminal.setup import made_lines
from stillroom.web.guard import Guard, Pairing, form_token
from stillroom.web.journal import journal_name
from stillroom.web.pages import Kitchen, kitchen, static, templates
from stillroom.workbook.ooxml.files.copies import list_name

MOST_SHOWN, MOST_FOLDERS, LONGEST = 40, 200, 2000
SYNCED = "OneDrive*"
"""A folder in which one system keeps the person's own folders."""
COPY_OF_OURS = ".before-"


def workbooks(home: Path) -> list[Path]:
    """
    Return the workbooks in a person's home folder and in the folders in it, those that were planned before first.

    Of each kind the newest first. Hidden ones, dated copies, links and what an office program holds open are left out.
    """
    found: list[tuple[bool, float, Path]] = []
    synced = [inner for folder in home.glob(SYNCED) for inner in folders_in(folder)]
    for folder in [home, *folders_in(home), *synced][:MOST_FOLDERS]:
        with contextlib.suppress(OSError):
            for file in folder.glob("*.xlsx"):
                if file.name[0] not in ".~" and COPY_OF_OURS not in file.name and is_plain(file):
                    known = list_name(file).exists() or journal_name(file).exists()
                    found.append((known, file.stat().st_mtime, file))
    return [file for _, _, file in sorted(found, reverse=True)][:MOST_SHOWN]


def is_plain(file: Path) -> bool:
    """Whether this is a file itself and no link to one."""
    return file.is_file() and not file.is_symlink()


def folders_in(folder: Path) -> Iterator[Path]:
    """Yield the folders in a folder that are not hidden, by name."""
    with contextlib.suppress(OSError):
        yield from (one for one in sorted(folder.iterdir()) if one.name[0] != "." and one.is_dir())


def new_name(home: Path) -> Path:
    """Return where a new workbook goes: into Documents where there is such a folder, under a name that is free."""
    folder = home / "Documents" if (home / "Documents").is_dir() else home
    names = ("kitchen.xlsx", *(f"kitchen {number}.xlsx" for number in range(2, 1000)))
    return next(path for name in names if not (path := folder / name).exists())


@dataclass
class Devices:
    """The devices that came in before there is a workbook to keep them beside."""

    cookies: dict[str, str] = field(default_factory=dict)

    def pair(self, cookie: str, name: str) -> None:
        """Let a device in."""
        self.cookies[cookie] = name

    def is_paired(self, cookie: str) -> bool:
        """Whether a device was let in."""
        return cookie in self.cookies


class Chooser:
    """
    What a server serves until a workbook is chosen; from then on the kitchen page of that, in the same place.

    `other` is the address of a page that may be open already. No path comes from a request: a workbook has an id.
    """

    def __init__(self, home: Path, *, hosts: tuple[str, ...], cookie: str = "stillroom", other: str = "") -> None:
        self.home, self.hosts, self.cookie, self.other = home, hosts, cookie, other
        self.stop: Callable[[], None] = lambda: None
        self.page: Kitchen | None = None
        self.pairing, self.devices = Pairing(), Devices()
        self._turn = threading.Lock()
        self._files: dict[str, Path] = {}
        self._ids: dict[Path, str] = {}
        routes = [
            Route("/", self.show),
            Route("/new", self.ask),
            Route("/choose", self._done(self.choose), methods=["POST"]),
            Route("/make", self._done(self.make), methods=["POST"]),
            Route("/pair", stranger),
            Route("/static/{name}", static),
        ]
        self.guard = Guard(Starlette(routes=routes), self.devices, self.pairing, hosts, cookie)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or let the kitchen page do so."""
        await (self.guard if self.page is None else self.page.app)(scope, receive, send)

    def close(self) -> None:
        """Close the kitchen page, if one was opened."""
        with self._turn:
            if self.page is not None:
                self.page.close()

    def show(self, request: Request) -> Response:
        """List the workbooks there are."""
        return self.html(request, "choose.html", {"files": self.listed(), "said": (), "made": None})

    def listed(self) -> list[tuple[str, str, str, datetime.date]]:
        """Return the id, the name, the folder and the last day of each workbook."""
        return [self.entry(file) for file in workbooks(self.home)]

    def entry(self, file: Path) -> tuple[str, str, str, datetime.date]:
        """Return what is shown of a workbook, and its id."""
        id_ = self._ids.setdefault(file, str(uuid4()))
        self._files[id_] = file
        folder = "" if file.parent == self.home else str(file.parent.relative_to(self.home))
        return id_, file.stem, folder, datetime.date.fromtimestamp(file.stat().st_mtime)

    def ask(self, request: Request) -> Response:
        """Ask the questions of `start`."""
        metric = request.query_params.get("units") == "metric"
        return self.html(request, "new.html", questions(metric=metric, typed={}))

    def html(self, request: Request, name: str, facts: Mapping[str, Any], status: int = 200) -> Response:
        """Return a template filled in."""
        common = {"token": form_token(request.scope["cookie"]), "other": self.other, "wrong": ""}
        return HTMLResponse(templates().get_template(name).render({**common, **facts}), status)

    def _done(self, change: Callable[[Request, Mapping[str, str]], Response]) -> Callable[[Request], Any]:
        async def done(request: Request) -> Response:
            async with request.form(max_files=0, max_fields=40) as form:
                return await run_in_threadpool(change, request, typed_in(form))

        return done

    def choose(self, request: Request, typed: Mapping[str, str]) -> Response:
        """Open the workbook of an id, if it can be planned; else say why not."""
        file = self._files.get(typed.get("of", ""))
        try:
            if file is None:
                raise CommandWrong("That workbook is not in the list. Choose one that is.")
            self.open(file)
        except StillroomError as error:
            facts = {"files": self.listed(), "said": (), "made": None, "wrong": why(error)}
            return self.html(request, "choose.html", facts, 422)
        return RedirectResponse("/", 303)

    def open(self, file: Path) -> None:
        """Have the kitchen page of a workbook in this place. Raises CouldNotWrite, WorkbookRefused."""
        with self._turn:
            if self.page is None:
                look(file, (), datetime.date.today())
                page = kitchen(file, hosts=self.hosts, cookie=self.cookie, pairing=self.pairing)
                page.stop = self.stop
                for cookie, name in self.devices.cookies.items():
                    page.keeper.journal.pair(cookie, name)
                page.start()
                self.page = page

    def make(self, request: Request, typed: Mapping[str, str]) -> Response:
        """Make a workbook of the answers and say what is in it; or ask again, with what was typed."""
        try:
            with self._turn:
                file = new_name(self.home)
                made = start_workbook(file, filling(told(typed)))
        except StillroomError as error:
            facts = questions(metric=typed.get("units") == "metric", typed=typed)
            return self.html(request, "new.html", {**facts, "wrong": why(error)}, 422)
        facts = {"files": (), "said": made_lines(made, file.name), "made": self.entry(file)}
        return self.html(request, "choose.html", facts)


async def stranger(_: Request) -> Response:
    """Answer whoever comes without the key: there is nothing to pair with yet."""
    return PlainTextResponse("Open it with the whole address that was shown, or start it again.", 403)


def why(error: StillroomError) -> str:
    """Say why something could not be done."""
    return " ".join(map(sentence, error.problems[:3])) if isinstance(error, WorkbookRefused) else str(error)


def typed_in(form: FormData) -> dict[str, str]:
    """
    Return the fields of a form; of a choice of several, what was chosen, with commas.

    >>> typed_in(FormData([("have", "canner"), ("have", "freezer"), ("people", " 4 ")]))
    {'have': 'canner, freezer', 'people': '4'}
    """
    return {name: ", ".join(str(one).strip() for one in form.getlist(name))[:LONGEST] for name in form}


def questions(*, metric: bool, typed: Mapping[str, str]) -> Mapping[str, Any]:
    """Return what is asked, with the defaults of `start` or what was typed; altitude and gauge have no default."""
    defaults = {
        "altitude": "",
        "gauge": "",
        "people": str(answers.PEOPLE),
        "crops": answers.CROPS,
        "have": ", ".join(answers.default_ways(None)),
        **{f"jars {size}": str(count) for size, _, count in answers.jars_asked(metric=metric)},
        **dict(zip(("hands weekday", "hands weekend"), answers.HANDS, strict=True)),
        **dict(zip(("stove weekday", "stove weekend"), answers.STOVE_FREE, strict=True)),
        "picked": "",
    }
    ways = [way.partition(" (")[0] for way in answers.WAYS_WORDS.split(", ")]
    chosen = {"have": ""} if typed else {}
    return {
        "metric": metric,
        "typed": {**defaults, **chosen, **typed},
        "ways": list(zip(ways, answers.WAYS_WORDS.split(", "), strict=True)),
        "jars": answers.jars_asked(metric=metric),
    }


def told(typed: Mapping[str, str]) -> Told:
    """Return the answers of a page as `start` has them. Raises CommandWrong."""
    metric = typed.get("units") == "metric"

    def hours(what: str) -> str:
        return "; ".join(typed.get(f"{what} {day}", "").replace(";", ",") or "0" for day in ("weekday", "weekend"))

    sizes = [(size, typed.get(f"jars {size}", "") or "0") for size, _, _ in answers.jars_asked(metric=metric)]
    altitude = typed.get("altitude", "")
    if altitude:
        answers.read_altitude(altitude, metric=metric)
    return Told(
        metric=metric,
        people=answers.read_people(typed.get("people", "") or str(answers.PEOPLE)),
        altitude=altitude or None,
        gauge=typed.get("gauge") or None,
        crops=typed.get("crops") or answers.CROPS,
        have=typed.get("have") or "none",
        jars=", ".join(f"{round(answers.read_count(count))} {size}" for size, count in sizes),
        hands=hours("hands"),
        stove_free=hours("stove"),
        picked=typed.get("picked") or "none",
    )
