"""Requests that nobody of the household sends: paths, hosts, origins, tokens, sizes, encodings, scripts in names."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import quote, urlencode
from uuid import UUID

HOST = "127.0.0.1:8321"
PATHS = ("/enter", "/undo", "/correct", "/plan/start", "/plan/keep", "/plan/leave", "/devices/away", "/pair")
PLACES = (
    *("/../../etc/passwd", "/static/../pages.py", "/static/..%2f..%2fpages.py", "/static/%2e%2e/journal.py"),
    *("/workbook/file?path=/etc/passwd", "/workbook/../.kitchen.xlsx.entries", "/static/kitchen.js%00.css", "//evil/"),
    *(
        "/?key=",
        "/?key=" + "A" * 32,
        "/pair?code=AAAAAAAA",
        "/plan/events",
        "/static/page.css/..",
        "/.kitchen.xlsx.last",
    ),
)
HOSTS = ("evil.example", "127.0.0.1", "localhost:1", "127.0.0.1:8321.evil.example", "", "[::1]:8321", "0:8321")
ORIGINS = ("http://evil.example", "null", "", "https://127.0.0.1:8321", "http://127.0.0.1:1", "http://localhost:8321")
KINDS = (
    "text/plain",
    "application/json",
    "multipart/form-data; boundary=x",
    "",
    "application/x-www-form-urlencoded ; x",
)
NAMES = ("<script>alert(1)</script>", "plum tomato", "'; DROP TABLE entry; --", "\u202eotamot", "=HYPERLINK(1)", "\x00")
BROKEN = (b"\xff\xfe\x00", b"%", b"&" * 500, b"a=1&" * 2000, b"{", b"token=%ff%fe", b"token[]=1")
FORM = "application/x-www-form-urlencoded"


@dataclass(frozen=True)
class Hostile:
    """One request, and what is wrong with it."""

    wrong: str
    method: str
    path: str
    headers: tuple[tuple[str, str], ...]
    body: bytes = b""


def hostile(luck: random.Random, cookie: str, token: str) -> Iterator[Hostile]:
    """Give hostile requests without end; most carry the cookie and token of a paired device, but for what is wrong."""
    while True:
        wrong = luck.choice(
            ("path", "host", "origin", "cookie", "token", "size", "kind", "broken", "method", "name", "id")
        )
        name = luck.choice(NAMES)
        fields = {
            "token": token,
            "id": str(UUID(int=luck.getrandbits(128))),
            "kind": "came",
            "name": name,
            "amount": "7",
        }
        fields |= {
            "unit": "lb",
            "day": "2026-08-14",
            "back": luck.choice(("//evil.example", "/came", "javascript:1")),
            "of": "x",
        }
        headers = {"host": HOST, "origin": f"http://{HOST}", "content-type": FORM, "cookie": cookie}
        method, path, body = "POST", luck.choice(PATHS), None
        if wrong == "path":
            method, path, body = luck.choice(("GET", "HEAD", "POST")), luck.choice(PLACES), b""
            headers["cookie"] = luck.choice((cookie, ""))
        elif wrong == "host":
            headers["host"] = luck.choice(HOSTS)
            headers["origin"] = luck.choice((f"http://{headers['host']}", f"http://{HOST}"))
        elif wrong == "origin":
            headers["origin"] = luck.choice(ORIGINS)
        elif wrong == "cookie":
            headers["cookie"] = luck.choice(
                ("", "stillroom=", "stillroom=AAAA", cookie[:-1], f"{cookie}x", f"other={token}")
            )
        elif wrong == "token":
            fields["token"] = luck.choice(("", token[:-1], token.upper(), "0" * 64, "\u00e9" * 64))
        elif wrong == "size":
            path, fields["name"] = "/enter", "x" * luck.choice((201, 5000, 70_000, 300_000))
        elif wrong == "kind":
            headers["content-type"] = luck.choice(KINDS[:4])
        elif wrong == "broken":
            body = luck.choice(BROKEN)
        elif wrong == "method":
            method = luck.choice(("PUT", "DELETE", "OPTIONS", "TRACE", "CONNECT", "PATCH", "get"))
        elif wrong == "name":
            path = "/enter"
            fields |= {"name": luck.choice([one for one in NAMES if one != "plum tomato"]), "kind": luck.choice(("came", "line", "ate", "count", "undo", "x"))}  # fmt: skip
        else:
            path, fields["id"] = "/enter", luck.choice(("", "1", "../x", "x" * 36, fields["id"].upper() + "0"))
        body = urlencode(fields).encode() if body is None else body
        given = tuple((key, value) for key, value in headers.items() if value or key == "host")
        yield Hostile(wrong, method, quote(path, safe="/?=%&.[]:"), given, body)
