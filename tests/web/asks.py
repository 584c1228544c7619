"""A device at the kitchen page, in this process: it keeps its cookie, and fills in the forms of the page it is on."""

from __future__ import annotations

import asyncio
import datetime
import re
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode
from uuid import uuid4

from tests.small_kitchen import FRIDAY

from stillroom.app.plan import read_workbook
from stillroom.household.units import POUND_KG
from stillroom.web.guard import Pairing
from stillroom.web.pages import Kitchen, kitchen

HOST = "127.0.0.1:8321"
JUICE, TOMATO = "tomato juice, quart", "plum tomato"
Headers = Sequence[tuple[bytes, bytes]]


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    text: str


def ask(app, method: str, path: str, headers: Headers, body: bytes = b"", client: str = "127.0.0.1") -> Answer:
    """Ask an ASGI application once."""
    place, _, query = path.partition("?")
    scope = {"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "scheme": "http", "path": place, "raw_path": place.encode(), "query_string": query.encode(), "root_path": "", "headers": list(headers), "client": (client, 50000), "server": ("127.0.0.1", 8321)}  # fmt: skip
    sent: list[dict] = []
    pieces = [body[start : start + 60_000] for start in range(0, len(body), 60_000)] or [b""]

    async def receive():
        if not pieces:
            await asyncio.sleep(3600)
        return {"type": "http.request", "body": pieces.pop(0), "more_body": bool(pieces)}

    async def send(message):
        sent.append(message)

    with ThreadPoolExecutor(1) as own:  # a browser test that is under way in this process has this thread's loop
        own.submit(asyncio.run, app(scope, receive, send)).result()
    start = sent[0]
    return Answer(
        start["status"],
        {name.decode().lower(): value.decode() for name, value in start["headers"]},
        b"".join(one.get("body", b"") for one in sent[1:]).decode(errors="replace"),
    )


@dataclass
class Device:
    """One device: what it carries, and the page it is on."""

    page: Kitchen
    cookie: str = ""
    text: str = ""
    client: str = "127.0.0.1"
    more: list[tuple[bytes, bytes]] = field(default_factory=list)

    def send(self, method: str, path: str, body: bytes = b"", **headers: str) -> Answer:
        given = {"host": HOST, **({"cookie": self.cookie} if self.cookie else {}), **headers}
        raw = [(name.replace("_", "-").encode(), value.encode("latin-1")) for name, value in given.items()]
        answer = ask(self.page.app, method, path, raw, body, self.client)
        if "set-cookie" in answer.headers:
            self.cookie = answer.headers["set-cookie"].partition(";")[0]
        return answer

    def open(self, path: str) -> str:
        """Look at a page."""
        answer = self.send("GET", path)
        assert answer.status == 200, (answer.status, answer.text)
        self.text = answer.text
        return answer.text

    def post(self, path: str, fields: dict[str, str], **headers: str) -> Answer:
        headers = {"origin": f"http://{HOST}", "content_type": "application/x-www-form-urlencoded"} | headers
        return self.send("POST", path, urlencode(fields).encode(), **headers)

    def form(self, path: str, **fields: str) -> Answer:
        """Send a form of the page it is on."""
        return self.post(path, {"token": self.token, "id": str(uuid4()), "back": "/", **fields})

    @property
    def token(self) -> str:
        found = re.search(r'name="token" value="(\w+)"', self.text)
        return found[1] if found else ""

    def came(self, amount: str = "12", **fields: str) -> Answer:
        """Tap that tomatoes came in."""
        given = {"kind": "came", "name": TOMATO, "amount": amount, "unit": "lb", "day": str(FRIDAY), "back": "/came"}
        return self.form("/enter", **(given | fields))

    def made(self, amount: str = "", **fields: str) -> Answer:
        """Tap what came of the plan's line of juice."""
        return self.form("/enter", **({"kind": "line", "name": JUICE, "day": str(FRIDAY), "amount": amount} | fields))


def opened(path: Path, today: datetime.date = FRIDAY, pairing: Pairing | None = None, address: str = "") -> Kitchen:
    """The page of a workbook, with no thread of its own: what waits is written at each turn of its keeper."""
    return kitchen(path, hosts=(HOST,), today=lambda: today, pairing=pairing, address=address)


def device(page: Kitchen) -> Device:
    """A device that came in by this machine's own address."""
    one = Device(page)
    answer = one.send("GET", f"/?key={page.pairing.key}")
    assert (answer.status, answer.headers["location"]) == (303, "/")
    one.open("/came")
    return one


def came_in(path: Path) -> list[float]:
    """The weighed lots of a workbook, in lb, in their order."""
    return [round(lot.kg / POUND_KG, 3) for lot in read_workbook(path, FRIDAY).typed.lots if not lot.expected]


def recorded(path: Path) -> list[tuple[str, float]]:
    """What the record has."""
    return [(row.preserve, row.made) for row in read_workbook(path, FRIDAY).typed.record]
