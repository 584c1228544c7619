"""Who may in: hosts, origins, sizes, devices and the tokens of forms, before any page is asked for."""

from __future__ import annotations

import contextlib
import hashlib
import hmac
import io
import secrets
import socket
import threading
import time
from collections.abc import Callable, Collection, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any, Protocol
from urllib.parse import parse_qs

import uvicorn
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.web.choose import Chooser
from stillroom.web.pages import PLAIN_HTTP, kitchen, pairing_picture
from stillroom.workbook.ooxml.files.put import WINDOWS, why_not

MOST_BYTES = 64 * 1024
MOST_WRONG, WAIT_SECONDS = 5, 60.0
CODE_LETTERS, CODE_LENGTH = "ABCDEFGHJKMNPQRSTUVWXYZ23456789", 8
TOKEN = "token"
"""The field of a form that shows it is of our own page."""
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
        "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # no other host gets one; with no-referrer, a form would send no origin to check
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


def digest(secret: str) -> str:
    """Return what is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


def form_token(cookie: str) -> str:
    """Return the token of every form of a device: nobody can make it who has not its cookie."""
    return hmac.new(cookie.encode(), b"change", hashlib.sha256).hexdigest()


class Devices(Protocol):
    """Whoever keeps which devices are paired, by the digest of what each carries."""

    def pair(self, cookie: str, name: str) -> None:
        """Let a device in."""

    def is_paired(self, cookie: str) -> bool:
        """Whether a device was let in."""
        ...


class Pairing:
    """
    The key of this machine's own address, and the code by which another device is paired once.

    After five wrong codes nobody is paired for a minute, then for two, for four, and so on.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.key = secrets.token_urlsafe(24)
        self.code = new_code()
        self._clock, self._turn = clock, threading.Lock()
        self._wrong, self._wait, self._until = 0, WAIT_SECONDS, 0.0

    def has_key(self, key: str) -> bool:
        """Whether this is the key of this machine's own address."""
        return hmac.compare_digest(key.encode(), self.key.encode())

    def seconds_to_wait(self) -> float:
        """Return how long no code is taken."""
        return max(0.0, self._until - self._clock())

    def takes(self, code: str) -> bool:
        """Whether this is the code; a right one is used up by it, and a wrong one counted."""
        with self._turn:
            if self.seconds_to_wait():
                return False
            typed = "".join(code.upper().split()).replace("-", "")
            if hmac.compare_digest(typed.encode(), self.code.encode()):
                self.code, self._wrong, self._wait = new_code(), 0, WAIT_SECONDS
                return True
            self._wrong += 1
            if self._wrong >= MOST_WRONG:
                self._until, self._wrong, self._wait = self._clock() + self._wait, 0, 2 * self._wait
            return False


def new_code() -> str:
    """Return a code of letters and digits that nobody mixes up."""
    return "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))


class Guard:
    """
    Stands before every page: refuses what is not of a paired device and of our own pages, and adds the headers.

    `hosts` are the names and addresses, with the port, by which the page may be called.
    """

    def __init__(self, app: ASGIApp, devices: Devices, pairing: Pairing, hosts: Collection[str], cookie: str) -> None:
        self.app, self.devices, self.pairing = app, devices, pairing
        self.hosts, self.cookie = frozenset(hosts), cookie

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer it with why not."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        send = with_headers(send, own=scope["path"].startswith("/static/"))
        answer: Response | None = self.refusal(scope)
        if answer is None and scope["method"] == "POST":
            body = await bounded(receive)
            answer = PlainTextResponse("That is too much.", 413) if body is None else self.form_refusal(scope, body)
            receive = again(body or b"", receive)
        await (answer or self.app)(scope, receive, send)

    def refusal(self, scope: Scope) -> Response | None:
        """Return why a request is refused before its body is read, or where it has to go first."""
        headers = Headers(scope=scope)
        host = headers.getlist("host")
        if len(host) != 1 or host[0].casefold() not in self.hosts:
            return PlainTextResponse("This page is not called so.", 421)
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return PlainTextResponse("Not here.", 405)
        if scope["method"] == "POST" and headers.getlist("origin") != [f"http://{host[0]}"]:
            return PlainTextResponse("That came from another page.", 403)
        if headers.get("sec-fetch-site", "same-origin") == "cross-site" and scope["path"] != "/":
            return PlainTextResponse("That came from another page.", 403)
        request = Request(scope)
        cookie = request.cookies.get(self.cookie, "")
        scope["cookie"] = cookie if cookie and self.devices.is_paired(digest(cookie)) else ""
        if scope["cookie"] and scope["path"] == "/" and scope["query_string"]:
            return RedirectResponse("/", 303)  # the key stays in no address that somebody can read
        if scope["path"].startswith("/static/") or scope["cookie"]:
            return None
        if (
            scope["path"] == "/"
            and scope["method"] == "GET"
            and (scope["client"] or ("",))[0] == "127.0.0.1"
            and self.pairing.has_key(request.query_params.get("key", ""))
        ):
            return self.paired("This machine")
        if scope["path"] == "/pair":
            return None
        if scope["method"] == "GET":
            return RedirectResponse("/pair", 303)
        return PlainTextResponse("This device is not paired.", 403)

    def form_refusal(self, scope: Scope, body: bytes) -> Response | None:
        """Return why a form is refused: it is none, or its token is not that of the device."""
        kind = Headers(scope=scope).get("content-type", "").partition(";")[0].strip().casefold()
        if kind != "application/x-www-form-urlencoded":
            return PlainTextResponse("That is no form of this page.", 415)
        if not scope["cookie"]:
            return None  # only the pairing page comes so far, and it has no token yet
        try:
            sent = parse_qs(body.decode("ascii"), max_num_fields=40).get(TOKEN, [])
        except ValueError:
            return PlainTextResponse("That is no form of this page.", 400)
        if len(sent) != 1 or not hmac.compare_digest(sent[0].encode(), form_token(scope["cookie"]).encode()):
            return PlainTextResponse("This page is too old. Load it again, then enter it once more.", 403)
        return None

    def paired(self, name: str) -> Response:
        """Return the answer that pairs a device."""
        cookie = secrets.token_urlsafe(32)
        self.devices.pair(digest(cookie), name)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self.cookie, cookie, max_age=180 * 24 * 3600, httponly=True, samesite="strict")
        return answer


def with_headers(send: Send, *, own: bool) -> Send:
    """Return what sends an answer with the headers that keep it to itself; pages of a household are never stored."""

    async def sends(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers["Cache-Control"] = "max-age=3600" if own else "no-store"
        await send(message)

    return sends


async def bounded(receive: Receive) -> bytes | None:
    """Return the body of a request; None where it is too large."""
    body = b""
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        body += bytes(message.get("body", b""))
        if len(body) > MOST_BYTES:
            return None
        if not message.get("more_body", False):
            return body


def again(body: bytes, receive: Receive) -> Receive:
    """Return what gives a body that was read already once more."""
    given = False

    async def receives() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return receives


# Serving the kitchen page: its addresses, the code to pair a device, and the server itself.

HERE = "127.0.0.1"
SETTINGS: dict[str, Any] = {
    "log_level": "error",
    "access_log": False,
    "server_header": False,
    "lifespan": "off",
    "timeout_graceful_shutdown": 2,
    "limit_concurrency": 100,
}
"""How the server is run: it says nothing but errors."""


def open_kitchen(
    path: Path, *, share: bool, port: int, tell: Callable[[str], None], show: Callable[[str], object] | None = None
) -> None:
    """
    Serve the page of a workbook until it is stopped; `tell` is given what to say, and `show` the address to open.

    Raises CouldNotWrite where the workbook's page is open already or the port is taken, WorkbookRefused.
    """
    address = own_address() if share else ""
    with listening([HERE, *([address] if address else [])], port) as sockets:
        port = sockets[0].getsockname()[1]
        names = [f"{name}:{port}" for name in (HERE, "localhost", address) if name]
        shared = f"http://{address}:{port}" if address else ""
        page = kitchen(path, hosts=tuple(names), cookie=f"stillroom-{port}", address=shared)
        try:
            own = f"http://{HERE}:{port}/?key={page.pairing.key}"
            tell(f"The kitchen page of {path.name}: {own}")
            if shared:
                tell(share_words(shared, page.pairing.code))
            tell("Stop it with Ctrl+C. The workbook stays an ordinary file.")
            if show is not None:
                show(own)
            page.start()
            server = uvicorn.Server(uvicorn.Config(page.app, **SETTINGS))
            page.stop = partial(setattr, server, "should_exit", True)
            with contextlib.suppress(KeyboardInterrupt):
                server.run(sockets=sockets)
        finally:
            page.close()


def choose_kitchen(
    home: Path, *, port: int, tell: Callable[[str], None], show: Callable[[str], object] | None = None
) -> None:
    """
    Serve the page that asks for a workbook, then the page of that one, until it is stopped.

    Raises CouldNotWrite where no port is free.
    """
    with listening([HERE], port) as sockets:
        taken, port = port, sockets[0].getsockname()[1]
        other = f"http://{HERE}:{taken}/" if port != taken else ""
        names = tuple(f"{name}:{port}" for name in (HERE, "localhost"))
        chooser = Chooser(home, hosts=names, cookie=f"stillroom-{port}", other=other)
        server = uvicorn.Server(uvicorn.Config(chooser, **SETTINGS))
        chooser.stop = partial(setattr, server, "should_exit", True)
        own = f"http://{HERE}:{port}/?key={chooser.pairing.key}"
        tell(f"Choose your workbook in the browser: {own}")
        tell("Stop it with Ctrl+C.")
        if show is not None:
            show(own)
        try:
            with contextlib.suppress(KeyboardInterrupt):
                server.run(sockets=sockets)
        finally:
            chooser.close()


def share_words(address: str, code: str) -> str:
    """Return how to pair a device in the home network, with the picture of its address and code."""
    picture = io.StringIO()
    pairing_picture(address, code).terminal(out=picture, compact=True)
    return f"{picture.getvalue()}\nOn the tablet or phone: {address} and the code {code}. It works once.\n{PLAIN_HTTP}"


@contextlib.contextmanager
def listening(hosts: Sequence[str], port: int) -> Iterator[list[socket.socket]]:
    """Listen at one port of each address, a free one if it is taken. Raises CouldNotWrite."""
    with contextlib.ExitStack() as opened:
        try:
            sockets = listen(opened, hosts, port)
        except OSError:
            opened.close()
            try:
                sockets = listen(opened, hosts, 0)
            except OSError as error:
                msg = f"the page cannot be served at port {port}: {why_not(error)}"
                raise CouldNotWrite(msg) from error
        yield sockets


def listen(opened: contextlib.ExitStack, hosts: Sequence[str], port: int) -> list[socket.socket]:
    """Return sockets that listen at one port of each address, any free one for 0. Raises OSError."""
    sockets: list[socket.socket] = []
    for host in hosts:
        one = opened.enter_context(socket.socket(socket.AF_INET, socket.SOCK_STREAM))
        if not WINDOWS:  # there, it would let two programs have one port
            one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        one.bind((host, sockets[0].getsockname()[1] if sockets else port))
        one.listen(128)
        sockets.append(one)
    return sockets


def own_address() -> str:
    """Return the address of this machine in its network; nothing is sent for it. Raises CommandWrong without one."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        one.connect(("192.0.2.1", 9))  # an address of documentation (RFC 5737)
        found = str(one.getsockname()[0])
        if not found.startswith(("0.", "127.")):
            return found
    msg = "This machine is in no network, so there is nobody to share with; connect it, or leave --share out"
    raise CommandWrong(msg)
