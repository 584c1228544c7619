"""
The kitchen page under load, killed again and again, and asked what nobody of the household asks.

    python3 tests/bench.py kitchen [--seconds 60] [--devices 5] [--kills 100] [--hostile 1000]

Each server is a process of its own on 127.0.0.1 that ends with the bench. Load: devices click through the pages of the
demo `tomato_glut` and enter lots of different amounts; printed are the times of an answer, and whether each lot that was
answered with *done* is in the workbook once. Kills: the process is ended (SIGKILL) at a random moment while lots are
entered; at the end each lot that was answered is there once. Hostile: requests of `tests/web/hostile.py`; the workbook
keeps its bytes.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime
import hashlib
import http.client
import os
import random
import re
import signal
import socket
import statistics
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from urllib.parse import urlencode
from uuid import uuid4

import uvicorn
from tests.conftest import planned
from tests.web import hostile

from stillroom.app.plan import read_workbook
from stillroom.app.write_plan import plan_workbook
from stillroom.household.units import POUND_KG
from stillroom.web import journal
from stillroom.web.guard import Pairing
from stillroom.web.journal import Journal
from stillroom.web.pages import kitchen

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo" / "tomato_glut.xlsx"
CROP = "plum tomato"
PAGES = ("/", "/came", "/left", "/winter", "/plan", "/workbook")
KEY = Pairing().key
SECONDS_TO_START = 20.0


def serve(path: Path, listening: socket.socket) -> None:
    """Serve the page of a workbook, in a process of its own."""
    port = listening.getsockname()[1]
    pairing = Pairing()
    pairing.key = KEY
    page = kitchen(path, hosts=(f"127.0.0.1:{port}",), pairing=pairing)
    page.start()
    config = uvicorn.Config(page.app, log_level="critical", lifespan="off", timeout_graceful_shutdown=1)
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listening])
    page.close()


@contextlib.contextmanager
def served(path: Path) -> Iterator[tuple[int, int]]:
    """Serve a workbook for a while: the port, and the process to end it by."""
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    listening.listen(64)
    port = listening.getsockname()[1]
    process = os.fork()
    if process == 0:
        try:
            signal.alarm(900)  # it ends whatever happens to the bench
            serve(path, listening)
        finally:
            os._exit(0)
    listening.close()
    try:
        yield port, process
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.kill(process, signal.SIGINT)
        with contextlib.suppress(ChildProcessError):
            os.waitpid(process, 0)


@dataclass
class Device:
    """A device that clicks: what it was answered, and how long that took."""

    port: int
    cookie: str = ""
    token: str = ""
    day: str = ""
    seconds: list[float] = field(default_factory=list)
    done: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def ask(self, method: str, path: str, body: str = "") -> tuple[int, str]:
        """Ask once, and take the time."""
        host = f"127.0.0.1:{self.port}"
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        headers = {"Cookie": self.cookie, "Origin": f"http://{host}", "Content-Type": hostile.FORM}
        began = time.perf_counter()
        try:
            connection.request(method, path, body or None, headers)
            answer = connection.getresponse()
            text = answer.read().decode()
        finally:
            connection.close()
        self.seconds.append(time.perf_counter() - began)
        if (given := answer.getheader("set-cookie")) is not None:
            self.cookie = given.partition(";")[0]
        return answer.status, text

    def come_in(self) -> None:
        """Come in by the key, as soon as there is an answer."""
        until = time.monotonic() + SECONDS_TO_START
        while True:
            try:
                self.ask("GET", f"/?key={KEY}")
                break
            except OSError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.02)
        _, text = self.ask("GET", "/came")
        self.token, self.day = (re.search(rf'name="{name}" value="([\w-]+)"', text)[1] for name in ("token", "day"))
        self.seconds.clear()

    def enter(self, pounds: float) -> None:
        """Enter a lot; it counts as done when it was answered so."""
        fields = {"token": self.token, "id": str(uuid4()), "back": "/came", "kind": "came", "name": CROP, "amount": f"{pounds:.2f}", "unit": "lb", "day": self.day}  # fmt: skip
        status, text = self.ask("POST", "/enter", urlencode(fields))
        if status == 303:
            self.done.append(pounds)
        else:
            self.wrong.append(f"{status}: {text[:200]}")


def lots(path: Path) -> Counter[float]:
    """The weighed lots of the crop in a workbook, in lb."""
    found = read_workbook(path, datetime.date(2026, 8, 14)).typed.lots
    return Counter(round(lot.kg / POUND_KG, 2) for lot in found if lot.crop == CROP and not lot.expected)


def compare(before: Counter[float], path: Path, done: list[float], sent: list[float]) -> str:
    """Say how many lots are missing, twice there, or from nowhere."""
    new = lots(path) - before
    missing = [one for one in done if new[one] == 0]
    twice = [one for one, count in new.items() if count > 1]
    strange = [one for one in new if one not in sent]
    return f"{len(done)} answered, {len(missing)} missing, {len(twice)} twice, {len(strange)} from nowhere"


def load(folder: Path, seconds: float, devices: int) -> None:
    """Let devices click for a while, and print how long the answers took."""
    path = folder / "load.xlsx"
    path.write_bytes(DEMO.read_bytes())
    plan_workbook(read_workbook(path, datetime.date(2026, 8, 14)))
    before = lots(path)
    several: list[Device] = []

    def click(number: int, port: int) -> None:
        luck, one = random.Random(number), Device(port)
        several.append(one)
        one.come_in()
        until = time.monotonic() + seconds
        for count in range(1, 10_000):
            if time.monotonic() > until:
                break
            time.sleep(luck.uniform(0.2, 1.0))
            if luck.random() < 0.3:
                one.enter(round(10 * number + 1 + count / 100, 2))  # no two alike, in a minute or in ten
            else:
                status, text = one.ask("GET", luck.choice(PAGES))
                one.wrong += [] if status == 200 else [f"{status}: {text[:200]}"]

    with served(path) as (port, _):
        threads = [threading.Thread(target=click, args=(number, port)) for number in range(devices)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    times = sorted(time_ for one in several for time_ in one.seconds)
    at = [statistics.quantiles(times, n=100)[part - 1] * 1000 for part in (50, 95, 99)]
    done = [pounds for one in several for pounds in one.done]
    print(f"load: {devices} devices, {seconds:.0f} s, {len(times)} answers; 50%/95%/99%/longest: {at[0]:.0f}/{at[1]:.0f}/{at[2]:.0f}/{times[-1] * 1000:.0f} ms (load of the machine {os.getloadavg()[0]:.1f})")  # fmt: skip
    print(f"  lots: {compare(before, path, done, done)}; refused: {sum(len(one.wrong) for one in several)}")


def kills(folder: Path, rounds: int) -> None:
    """End the server at random moments while lots are entered, and print what became of them."""
    path = folder / "kills.xlsx"
    path.write_bytes(planned())
    before, luck = lots(path), random.Random(22)
    done: list[float] = []
    sent: list[float] = []
    journal.AFTER_SECONDS = 0.0
    for number in range(rounds):
        with served(path) as (port, process):
            one = Device(port)
            one.come_in()
            timer = threading.Timer(luck.uniform(0.0, 0.8), os.kill, (process, signal.SIGKILL))
            timer.start()
            with contextlib.suppress(OSError, http.client.HTTPException):
                for count in range(50):
                    sent.append(round(number + 1 + count / 100, 2))
                    one.enter(sent[-1])
                    time.sleep(0.05)
            timer.join()
            done += one.done
    last = kitchen(path, hosts=())
    last.close()
    print(f"kills: {rounds}; lots: {compare(before, path, done, sent)}")


def ask_hostile(folder: Path, count: int) -> None:
    """Ask what nobody of the household asks, and print what it changed."""
    path = folder / "hostile.xlsx"
    path.write_bytes(planned())
    before = hashlib.sha256(path.read_bytes()).hexdigest()
    statuses: Counter[str] = Counter()
    with served(path) as (port, _):
        one = Device(port)
        one.come_in()
        for request in islice(hostile.hostile(random.Random(7), one.cookie, one.token), count):
            lines = [
                f"{request.method} {request.path} HTTP/1.1",
                *(f"{name}: {value}" for name, value in request.headers),
            ]
            head = "\r\n".join([*lines, f"content-length: {len(request.body)}", "connection: close", "", ""])
            raw = head.replace(hostile.HOST, f"127.0.0.1:{port}").encode("utf-8") + request.body
            with socket.create_connection(("127.0.0.1", port), timeout=10) as asked:
                with contextlib.suppress(OSError):  # it may hang up on a body that is too long
                    asked.sendall(raw)
                try:
                    line = asked.recv(64).split(b"\r\n")[0].decode()
                except OSError:
                    line = "hung up"
            statuses[line[9:12] or line or "hung up"] += 1
        status, _ = one.ask("GET", "/")
    journal = Journal(path)
    kept = [*journal.latest(), *journal.refused(), *journal.waiting()]
    journal.close()
    same = hashlib.sha256(path.read_bytes()).hexdigest() == before
    print(f"hostile: {count} requests, answered {dict(sorted(statuses.items()))}")
    print(
        f"  workbook {'unchanged' if same else 'CHANGED'}, {len(kept)} entries kept, then a page is answered {status}"
    )


def main() -> int:
    """Run all three."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--devices", type=int, default=5)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--hostile", type=int, default=1000)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        if asked.hostile:
            ask_hostile(Path(folder), asked.hostile)
        if asked.kills:
            kills(Path(folder), asked.kills)
        if asked.seconds:
            load(Path(folder), asked.seconds, asked.devices)
    return 0


if __name__ == "__main__":
    sys.exit(main())
