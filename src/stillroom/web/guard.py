"""Who may in: hosts, origins, sizes, devices and the tokens of forms, before any page is asked for."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time
from collections.abc import Callable, Collection
from typing import Protocol
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

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
