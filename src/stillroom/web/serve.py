"""Serving the kitchen page: its addresses, the code to pair a device, and the server itself."""

from __future__ import annotations

import contextlib
import io
import socket
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import uvicorn

from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.web.choose import Chooser
from stillroom.web.pages import PLAIN_HTTP, kitchen, pairing_picture
from stillroom.workbook.ooxml.files.put import WINDOWS, why_not

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
