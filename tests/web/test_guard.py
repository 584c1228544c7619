"""Who may in, rule by rule; whoever may not changes nothing."""

from __future__ import annotations

import hashlib
import random
import re
from itertools import islice

import pytest
from tests.conftest import planned
from tests.small_kitchen import KITCHEN, build
from tests.web.asks import HOST, Device, ask, came_in, device, opened
from tests.web.hostile import hostile

from stillroom.web.guard import HEADERS, MOST_BYTES, Pairing


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """A page that no test here changes."""
    workbook = tmp_path_factory.mktemp("house") / "kitchen.xlsx"
    workbook.write_bytes(planned())
    page = opened(workbook)
    yield page
    page.close()


@pytest.fixture
def tablet(house):
    return device(house)


@pytest.fixture(autouse=True)
def nothing_changed(house):
    """Whatever is asked here, nothing is kept and nothing written."""
    yield
    assert not house.keeper.journal._kept("1")
    assert house.planner.now.state == "idle"


def test_without_a_cookie_there_is_only_the_pairing_page(house):
    stranger = Device(house)
    for path in ("/", "/came", "/workbook/file", "/plan/events", "/devices"):
        answer = stranger.send("GET", path)
        assert (answer.status, answer.headers["location"], answer.text) == (303, "/pair", "")
    assert stranger.came().status == 403
    assert stranger.send("GET", "/?key=wrong").headers["location"] == "/pair"


def test_the_key_pairs_this_machine_alone(house):
    other = Device(house, client="192.168.1.7")
    assert other.send("GET", f"/?key={house.pairing.key}").headers["location"] == "/pair"
    assert not other.cookie


def test_the_key_stays_in_no_address(house, tablet):
    assert tablet.send("GET", f"/?key={house.pairing.key}").headers["location"] == "/"


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(house):
    answer = Device(house).send("GET", f"/?key={house.pairing.key}")
    assert {"HttpOnly", "SameSite=strict", "Path=/"} <= set(answer.headers["set-cookie"].split("; "))


@pytest.mark.parametrize("host", ["evil.example", "evil.example:8321", "127.0.0.1", "127.0.0.1:80", ""])
def test_another_host_is_refused(tablet, host):
    assert tablet.send("GET", "/", host=host).status == 421
    assert tablet.post("/plan/start", {"token": tablet.token}, host=host, origin=f"http://{host}").status == 421


@pytest.mark.parametrize("origin", ["http://evil.example", "null", f"https://{HOST}", "http://127.0.0.1:1"])
def test_a_form_of_another_page_is_refused(tablet, origin):
    fields = {"token": tablet.token, "kind": "came"}
    assert tablet.post("/enter", fields, origin=origin).status == 403


def test_a_form_without_an_origin_is_refused(tablet):
    body = f"token={tablet.token}".encode()
    assert tablet.send("POST", "/plan/start", body, content_type="application/x-www-form-urlencoded").status == 403


def test_each_change_needs_the_token_of_its_device(house, tablet):
    other = device(house)
    for token in ("", "0" * 64, other.token):
        for path in ("/enter", "/undo", "/correct", "/plan/start", "/plan/keep", "/plan/leave", "/devices/away"):
            assert tablet.post(path, {"token": token}).status == 403


def test_a_body_is_bounded(tablet):
    body = b"token=" + tablet.token.encode() + b"&name=" + b"x" * MOST_BYTES
    headers = {"origin": f"http://{HOST}", "content_type": "application/x-www-form-urlencoded"}
    assert tablet.send("POST", "/enter", body, **headers).status == 413
    assert tablet.came(name="x" * 201).status == 422


def test_every_answer_has_the_headers_that_keep_it_to_itself(tablet):
    answers = [tablet.send("GET", "/"), tablet.send("GET", "/", host="evil"), tablet.send("GET", "/static/page.css")]
    for answer in [*answers, tablet.send("GET", "/nothing"), tablet.came("a few")]:
        assert {name.lower() for name in HEADERS} <= set(answer.headers)
        assert "unsafe" not in answer.headers["content-security-policy"]
    assert answers[0].headers["cache-control"] == "no-store"


@pytest.mark.parametrize("path", ["/", "/came", "/left", "/winter", "/plan", "/workbook", "/devices"])
def test_no_page_has_inline_scripts_or_styles_or_anything_from_outside(tablet, path):
    text = tablet.open(path)
    assert not re.search(r"<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=|javascript:", text)
    assert not re.search(r"(?:src|href|action)=\"(?!/(?!/)|#)", text)


def test_no_path_comes_from_a_request(tablet):
    for path in ("/static/../pages.py", "/static/%2e%2e/pages.py", "/static/pages.py", "/static/templates/now.html"):
        assert tablet.send("GET", path).status == 404
    assert (
        tablet.send("GET", "/workbook/file?path=/etc/passwd").headers["content-disposition"]
        == 'attachment; filename="kitchen.xlsx"'
    )


def test_a_code_pairs_once_and_five_wrong_ones_wait(tmp_path):
    now = [0.0]
    workbook = build(tmp_path / "kitchen.xlsx")
    page = opened(workbook, pairing=Pairing(lambda: now[0]))
    phone = Device(page, client="192.168.1.7")
    try:
        code = page.pairing.code
        assert code in phone.open(f"/pair?code={code}")
        assert phone.post("/pair", {"code": f"{code[:4].lower()} {code[4:]}", "device": "<b>phone"}).status == 303
        assert "&lt;b&gt;phone" in phone.open("/devices")
        other = Device(page, client="192.168.1.8")
        assert other.post("/pair", {"code": code}).status == 403
        for _ in range(4):
            other.post("/pair", {"code": "AAAAAAAA"})
        assert other.post("/pair", {"code": page.pairing.code}).status == 403
        assert "too many wrong codes" in other.open("/pair")
        now[0] = 61.0
        assert other.post("/pair", {"code": page.pairing.code}).status == 303
        other.open("/devices")
        other.form("/devices/away")
        assert phone.send("GET", "/").status == 303
        assert other.send("GET", "/").status == 200
    finally:
        page.close()


def test_only_a_shared_page_shows_how_to_pair_another(tmp_path, tablet):
    assert tablet.send("GET", "/devices/code").status == 404
    assert 'class="code"' not in tablet.open("/devices")
    page = opened(build(tmp_path / "kitchen.xlsx"), address="http://192.168.1.2:8321")
    try:
        other = device(page)
        assert page.pairing.code in other.open("/devices")
        assert "not encrypted" in other.text
        picture = other.send("GET", "/devices/code")
        assert (picture.status, picture.headers["content-type"], "<svg" in picture.text) == (200, "image/svg+xml", True)
    finally:
        page.close()


def test_names_are_escaped_everywhere(tmp_path):
    name = '<script>alert("x")</script>'
    content = {table: [{key: name if value == "plum tomato" else value for key, value in row.items()} for row in rows] for table, rows in KITCHEN.items()}  # fmt: skip
    content["Crops"][0]["Handbook food"] = "tomato"
    page = opened(build(tmp_path / "kitchen.xlsx", **content))
    tablet = device(page)
    try:
        tablet.came(name=name)
        tablet.form("/enter", kind="ate", name=name, amount="<b>", day="2026-08-14", back="/left")
        for path in page.pages:
            assert "<script>alert" not in tablet.open(path)
            assert "<b>" not in tablet.text
    finally:
        page.close()


def test_a_hundred_hostile_requests_change_nothing(house, tablet):
    before = hashlib.sha256(house.keeper.path.read_bytes()).hexdigest()
    devices = house.keeper.journal.devices()
    for one in islice(hostile(random.Random(22), tablet.cookie, tablet.token), 100):
        headers = [(name.encode(), value.encode("utf-8")) for name, value in one.headers]
        if one.path != "/plan/events":
            answer = ask(house.app, one.method, one.path, headers, one.body)
            assert answer.status < 500, one
            assert "root:" not in answer.text
            assert "sqlite" not in answer.text.casefold()
    house.keeper.turn()
    assert came_in(house.keeper.path) == [60]
    assert hashlib.sha256(house.keeper.path.read_bytes()).hexdigest() == before
    assert house.keeper.journal.devices() == devices
