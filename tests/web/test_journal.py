"""What was tapped is never lost and never twice: killed at any step, sent twice, the workbook open or changed elsewhere."""

from __future__ import annotations

import pytest
from openpyxl import load_workbook
from tests.small_kitchen import FRIDAY
from tests.web.asks import JUICE, TOMATO, came_in, device, opened, recorded

from stillroom.app import journal as entries
from stillroom.app.record.taps import Tapped
from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.web.journal import Journal, journal_name
from stillroom.workbook.ooxml import save


class Killed(BaseException):
    """The power went."""


@pytest.mark.parametrize("step", ["noted", "compared again", "replaced", "last kept"])
def test_a_kill_at_any_step_loses_nothing_and_doubles_nothing(workbook, monkeypatch, step):
    page = opened(workbook)
    tablet = device(page)
    tablet.came("12")
    tablet.made()

    def kill(at):
        if at == step:
            raise Killed

    def noted(self, *given, before=Journal.about_to_write):
        before(self, *given)
        kill("noted")

    with monkeypatch.context() as patch:
        patch.setattr(save, "reached", kill)
        patch.setattr(Journal, "about_to_write", noted)
        with pytest.raises(Killed):
            page.keeper.turn()
    page.keeper.journal.close()  # a dead process holds no lock
    again = opened(workbook)
    try:
        assert came_in(workbook) == [60, 12]
        assert recorded(workbook) == [(JUICE, 7)]
        assert [one.state for one in again.keeper.journal.latest()] == ["written", "written"]
    finally:
        again.close()


def test_a_form_that_is_sent_twice_is_entered_once(workbook, page, tablet):
    for _ in range(2):
        answer = tablet.came("12", id="11111111-1111-4111-8111-111111111111")
        assert (answer.status, answer.headers["location"]) == (303, "/came#entered")
        page.keeper.turn()
    assert came_in(workbook) == [60, 12]


def test_two_devices_that_record_one_line_record_it_once(workbook, page, tablet):
    other = device(page)
    assert tablet.made().status == 303
    assert "recorded just now" in other.made("12").text
    page.keeper.turn()
    assert recorded(workbook) == [(JUICE, 7)]
    assert "Made as planned" not in other.open("/")
    (known,) = page.keeper.journal.latest()
    again = Tapped("22222222-2222-4222-8222-222222222222", known.tapped.entered, of_plan=True)
    with pytest.raises(CommandWrong, match="is in the record already"):
        page.keeper.enter(again)


def test_two_devices_lose_nothing(workbook, page, tablet):
    other = device(page)
    for number in range(3):
        tablet.came(str(10 + number))
        other.came(str(20 + number))
    page.keeper.turn()
    assert sorted(came_in(workbook)) == [10, 11, 12, 20, 21, 22, 60]


def test_entries_wait_while_the_workbook_is_open_in_an_office_program(workbook, page, tablet):
    lock = workbook.with_name(f".~lock.{workbook.name}#")
    lock.write_text("someone")
    tablet.came("12")
    tablet.made("12 -1")
    page.keeper.turn()
    assert came_in(workbook) == [60]
    said = tablet.open("/")
    assert "2 waiting" in said
    assert "open in another program" in said
    assert "1 jar did not seal" in said  # what the workbook would say of it is shown all the same
    assert "Made as planned" not in said  # the line counts as recorded
    lock.unlink()
    page.keeper.turn()
    assert (came_in(workbook), recorded(workbook)) == ([60, 12], [(JUICE, 12)])
    assert "waiting" not in tablet.open("/")


def test_what_another_program_wrote_meanwhile_is_kept(workbook, page, tablet):
    tablet.came("12")
    entries.weigh(workbook, TOMATO, "7 lb", None, FRIDAY)
    assert "7 lb" not in tablet.open("/workbook")
    page.keeper.turn()
    assert came_in(workbook) == [60, 7, 12]


def test_undo_takes_back_what_waits_and_what_is_written(workbook, page, tablet):
    tablet.came("12")
    first = page.keeper.journal.latest()[0].tapped.id
    tablet.form("/undo", of=first)
    page.keeper.turn()
    assert came_in(workbook) == [60]
    tablet.came("13")
    tablet.came("14")
    page.keeper.turn()
    _, earlier = (one.tapped.id for one in page.keeper.journal.latest())
    for _ in range(2):
        tablet.form("/undo", of=earlier)
    page.keeper.turn()
    assert came_in(workbook) == [60, 14]
    assert [one.words for one in page.keeper.journal.latest()] == ["14 lb of plum tomato, picked Fri Aug 14"]


def test_what_the_workbook_refuses_since_stays_to_be_corrected_or_dropped(workbook, page, tablet):
    tablet.came("12")
    book = load_workbook(workbook)
    for name in ("Crops", "Harvest", "Ingredients"):
        for row in book[name].iter_rows():
            for cell in row:
                cell.value = "quince" if cell.value == TOMATO else cell.value
    book.save(workbook)
    page.keeper.turn()
    said = tablet.open("/came")
    assert "no crop is called &#34;plum tomato&#34;" in said
    (one,) = page.keeper.journal.refused()
    tablet.form("/correct", of=one.tapped.id, name="quince", amount="12 lb")
    page.keeper.turn()
    assert came_in(workbook) == [60, 12]
    assert not page.keeper.journal.refused()


def test_a_number_that_is_none_is_refused_at_once_and_stays_typed(page, tablet):
    answer = tablet.came("a few")
    assert answer.status == 422
    assert "a few" in answer.text
    assert not page.keeper.journal.latest()


def test_a_page_of_another_day_enters_nothing_and_says_so(page, tablet):
    answer = tablet.came("12", day="2026-08-13")
    assert answer.status == 422
    assert "This page was of Thu Aug 13. It is about Fri Aug 14 now" in answer.text
    assert "12" in answer.text
    assert not page.keeper.journal.latest()


def test_a_line_that_is_recorded_already_is_not_dropped_in_silence(page, tablet):
    first = "33333333-3333-4333-8333-333333333333"
    tablet.made(id=first)
    page.keeper.turn()
    assert tablet.made(id=first).status == 303  # the same form again
    answer = tablet.made("5")
    assert answer.status == 422
    assert "is recorded already" in answer.text


def test_a_full_disk_is_told_and_what_was_answered_is_kept(workbook, page, tablet):
    file = page.keeper.journal._file
    file.execute(f"PRAGMA max_page_count = {file.execute('PRAGMA page_count').fetchone()[0]}")
    done = []
    for pounds in range(1, 60):
        answer = tablet.came(str(pounds))
        if answer.status != 303:
            break
        done.append(pounds)
    assert answer.status == 503
    assert "could not be kept" in answer.text
    file.execute("PRAGMA max_page_count = 1000")
    page.keeper.turn()
    assert came_in(workbook) == [60, *done]


def test_a_count_becomes_what_was_eaten(workbook, page, tablet):
    tablet.made("12")
    page.keeper.turn()
    assert f"{JUICE} on the shelf? [12]" in tablet.open("/left")
    count = {"kind": "count", "name": JUICE, "day": str(FRIDAY), "back": "/left"}
    assert tablet.form("/enter", amount="13", **count).status == 422
    assert tablet.form("/enter", amount="10", **count).status == 303
    page.keeper.turn()
    assert f"{JUICE} on the shelf? [10]" in tablet.open("/left")


def test_the_journal_is_for_its_owner_alone_and_held_by_one_process(workbook, page):
    assert journal_name(workbook).stat().st_mode & 0o777 == 0o600
    with pytest.raises(CouldNotWrite, match="open already"):
        Journal(workbook)


def test_while_the_workbook_cannot_be_read_nothing_is_decided(workbook, page, tablet):
    tablet.came("12")
    away = workbook.with_name("away.xlsx")
    workbook.rename(away)
    page.keeper.turn()
    assert "Check the name and the folder" in tablet.open("/")
    away.rename(workbook)
    page.keeper.turn()
    assert came_in(workbook) == [60, 12]
