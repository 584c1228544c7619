"""`stillroom pages` end to end: which files there are, for which paper, what is said; names that attack; the same bytes."""

import copy
import datetime
import hashlib

import pytest
from openpyxl import load_workbook
from tests.pages.read_back import ATTACKS, fonts, page_sizes_mm, pdf_words, sound_html
from tests.small_kitchen import FRIDAY, KITCHEN, build

from stillroom.app import print as printing
from stillroom.app.print import MAKERS, LabelsAsked, papers, standing_of, write_labels, write_pages
from stillroom.cli import run
from stillroom.errors import CommandWrong, CouldNotWrite, StillroomError
from stillroom.workbook.ooxml.files.outputs import LIST

NOW = datetime.datetime(2026, 8, 14, 6, 0, tzinfo=datetime.UTC)
SHEETS = ("plan", "week", "by-the-clock", "jars-to-wash", "shopping", "where-everything-is", "eat-first", "winter")


def renamed(words):
    """The kitchen of the tests with its crop, preserve, need and ingredient called by other words."""
    names = {
        "plum tomato": "crop",
        "tomato juice, quart": "product",
        "juice": "target",
        "canner": "piece",
        "lid": "cover",
    }
    content = copy.deepcopy(KITCHEN)
    for rows in content.values():
        for row in rows:
            for heading, value in row.items():
                if value in names and heading not in ("Kind", "Load unit"):
                    row[heading] = f"{names[value]} {words}"
    content["Crops"][0]["Handbook food"] = "tomato"
    return content


def test_every_page_is_written_as_pdf_and_html_and_said(planned_kitchen, tmp_path):
    """Seven sheets and the labels; nothing half written stays beside them."""
    said = write_pages(planned_kitchen, tmp_path / "paper", NOW, only=("sheets", "labels", "calendar"))
    names = {path.name for path in (tmp_path / "paper").iterdir()} - {LIST}
    both = {f"{name}.{ending}" for name in (*SHEETS, "labels") for ending in ("pdf", "html")}
    assert names == both | {"calendar.ics"}
    assert said[0].endswith(f"as PDF and HTML: {', '.join((*SHEETS, 'labels'))}.")
    assert said[1].endswith(": calendar.ics.")
    assert "letter paper" in said[2]
    for name in both:
        content = (tmp_path / "paper" / name).read_bytes()
        if name.endswith("html"):
            sound_html(content.decode())
        else:
            assert page_sizes_mm(content) == {(216, 279)}
            assert all(fonts(content).values())


def test_paper_can_be_asked_for(planned_kitchen, tmp_path):
    """A4 for a kitchen of pounds; a paper that is not known stops before anything is written."""
    said = write_pages(planned_kitchen, tmp_path / "paper", NOW, "a4", ("sheets",))
    assert page_sizes_mm((tmp_path / "paper" / "week.pdf").read_bytes()) == {(210, 297)}
    assert "size: A4" in (tmp_path / "paper" / "week.html").read_text(encoding="utf-8")
    assert "A4 paper" in " ".join(said)
    with pytest.raises(CommandWrong, match="--paper is a4 or letter"):
        write_pages(planned_kitchen, tmp_path / "other", NOW, "a3")
    assert not (tmp_path / "other").exists()


OWN = [f"{name}.{ending}" for name in (*SHEETS, "labels") for ending in ("pdf", "html")]


@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("week.html", "sheets"),
        ("week.pdf", "sheets"),
        ("shopping.html", "sheets"),
        ("labels.html", "labels"),
        ("labels.pdf", "labels"),
        ("calendar.ics", "calendar"),
    ],
)
def test_a_file_of_the_households_own_is_never_written_over(planned_kitchen, tmp_path, name, part):
    """Their shopping.html, week.html and labels.html were written over without a word."""
    folder = tmp_path / "paper"
    folder.mkdir()
    (folder / name).write_bytes(b"%PDF-1.7 ours BEGIN:VCALENDAR")
    with pytest.raises(CouldNotWrite, match=f"paper/{name} is there already") as error:
        write_pages(planned_kitchen, folder, NOW, only=(part,))
    assert error.value.exit_code == 3
    assert [path.name for path in folder.iterdir()] == [name]
    if part == "labels":
        with pytest.raises(CouldNotWrite, match="is there already"):
            write_labels(planned_kitchen, folder, LabelsAsked(), NOW.date())


def test_a_picture_of_the_households_own_is_never_written_over(planned_kitchen, tmp_path, monkeypatch):
    """Nor any page, for all are looked for before the first is written; a link is never ours."""
    monkeypatch.setattr(printing, "files_of", lambda *_: iter([("freezer.png", b"new", "a.")]))
    monkeypatch.setattr(printing, "pictures_of", lambda *_: [])
    photo = tmp_path / "pictures" / "freezer.png"
    photo.parent.mkdir()
    photo.symlink_to(planned_kitchen)
    with pytest.raises(CouldNotWrite, match=r"freezer\.png is there already"):
        write_pages(planned_kitchen, tmp_path, NOW, only=("labels", "pictures"))
    assert photo.is_symlink()
    assert not (tmp_path / "labels.pdf").exists()


def test_a_page_that_was_changed_since_is_kept_as_a_dated_copy_where_asked(planned_kitchen, tmp_path, capsys):
    """By the command, with --replace; without, exit code 3 and nothing is written. A second --replace keeps both."""
    words = ["pages", str(planned_kitchen), "--out", str(tmp_path / "paper"), "--only", "labels"]
    assert run(words) == 0
    page = tmp_path / "paper" / "labels.html"
    ours = page.read_bytes()
    for number in (1, 2):
        page.write_bytes(ours + f"<!-- our notes {number} -->".encode())
        assert run(words) == 3
        assert "labels.html is there already" in " ".join(capsys.readouterr().err.split())
        assert run([*words, "--replace"]) == 0
        assert page.read_bytes() == ours
    copies = sorted(path.read_bytes() for path in page.parent.glob("labels.before-*.html"))
    assert copies == [ours + b"<!-- our notes 1 -->", ours + b"<!-- our notes 2 -->"]


def test_a_planted_link_beside_a_page_is_not_written_through(planned_kitchen, tmp_path):
    """A page went through .week.pdf.new into what that pointed at."""
    precious = tmp_path / "precious"
    precious.write_bytes(b"precious")
    folder = tmp_path / "paper"
    folder.mkdir()
    for name in OWN:
        (folder / f".{name}.new").symlink_to(precious)
    write_pages(planned_kitchen, folder, NOW, only=("sheets", "labels"))
    assert precious.read_bytes() == b"precious"
    assert all((folder / f".{name}.new").is_symlink() for name in OWN)
    (folder / LIST).unlink()
    (folder / LIST).symlink_to(precious)
    with pytest.raises(CouldNotWrite, match="there is a link where a file should be"):
        write_pages(planned_kitchen, folder, NOW, "a4", ("sheets",), replace=True)
    assert precious.read_bytes() == b"precious"


def test_pages_of_a_former_plan_are_written_over(planned_kitchen, tmp_path):
    """Once on letter paper and once on A4."""
    for paper in ("letter", "a4"):
        write_pages(planned_kitchen, tmp_path / "paper", NOW, paper, ("sheets", "labels", "calendar"))
    made = {path.name for path in (tmp_path / "paper").iterdir()}
    assert made == {*OWN, "calendar.ics", LIST}


def test_a_part_of_it_can_be_asked_for(planned_kitchen, tmp_path):
    """Only the calendar; a word that is not known is said with those that are."""
    write_pages(planned_kitchen, tmp_path / "paper", NOW, only=(" Calendar ",))
    assert {path.name for path in (tmp_path / "paper").iterdir()} == {"calendar.ics", LIST}
    with pytest.raises(
        CommandWrong, match=r"'jars' is not something that is written; write sheets, labels, calendar, pictures"
    ):
        write_pages(planned_kitchen, tmp_path / "paper", NOW, only=("jars",))


def test_the_same_plan_gives_the_same_bytes_whenever_it_is_printed(planned_kitchen, tmp_path):
    """But for the calendar, which says when it was made."""
    for number, now in enumerate((NOW, NOW + datetime.timedelta(hours=7))):
        write_pages(planned_kitchen, tmp_path / str(number), now, only=("sheets", "labels"))
    first, second = (
        {
            path.name: hashlib.sha256(path.read_bytes()).hexdigest()
            for path in (tmp_path / number).iterdir()
            if path.name != LIST
        }
        for number in ("0", "1")
    )
    assert first == second


@pytest.mark.parametrize("attack", [ATTACKS[0], ATTACKS[1], ATTACKS[2], "x" * 40])
def test_a_workbook_whose_names_attack_gives_sound_pages(attack, tmp_path):
    """A crop, a preserve, a canner and a need called so; typed, planned and printed; one sheet as before."""
    path = build(tmp_path / "kitchen.xlsx", **renamed(attack))
    assert run(["plan", str(path)]) == 0
    write_pages(path, tmp_path / "paper", NOW, only=("sheets", "labels"))
    for page in (tmp_path / "paper").glob("*.html"):
        text = page.read_text(encoding="utf-8")
        sound_html(text)
        assert "<script" not in text
    assert "crop" in sound_html((tmp_path / "paper" / "week.html").read_text(encoding="utf-8"))
    assert len(pdf_words((tmp_path / "paper" / "week.pdf").read_bytes())) == 1


def test_a_workbook_whose_own_name_attacks(planned_kitchen, tmp_path):
    """The name of the file is the title of the pages; files are named by what is on them."""
    other = tmp_path / "a'\"><b>& jam.xlsx"
    other.write_bytes(planned_kitchen.read_bytes())
    write_pages(other, tmp_path / "paper", NOW, only=("sheets",))
    text = (tmp_path / "paper" / "shopping.html").read_text(encoding="utf-8")
    assert "a'\"><b>& jam" in sound_html(text)
    assert "<b>&" not in text


def test_a_plan_in_which_nothing_is_made_is_a_plan_too(tmp_path):
    """Nothing is wanted: each page says that there is nothing, and nobody says that there is no plan."""
    path = build(tmp_path / "kitchen.xlsx", **{"Winter list": [KITCHEN["Winter list"][0] | {"Wanted": 0}]})
    assert run(["plan", str(path)]) == 0
    said = " ".join(write_pages(path, tmp_path / "paper", NOW, only=("sheets", "labels")))
    assert "no plan in the workbook" not in said
    words = {page.stem: sound_html(page.read_text(encoding="utf-8")) for page in (tmp_path / "paper").glob("*.html")}
    assert "Nothing to put up." in words["week"]
    assert "no plan" not in words["week"]
    assert "No jars." in words["jars-to-wash"]
    assert "Nothing to buy." in words["shopping"]
    assert "Nothing to label." in words["labels"]


def test_a_workbook_that_changed_since_says_so_on_the_door(planned_kitchen, tmp_path):
    """Pages of an old plan are not passed off as new."""
    workbook = load_workbook(planned_kitchen)
    workbook["Harvest"]["C2"] = 44
    workbook.save(planned_kitchen)
    said = write_pages(planned_kitchen, tmp_path / "paper", NOW, only=("sheets",))
    assert "has changed since this plan" in said[-1]
    for name in ("week", "jars-to-wash"):
        assert "has changed since this plan" in pdf_words((tmp_path / "paper" / f"{name}.pdf").read_bytes())[0]


def test_without_a_plan_nothing_is_written(tmp_path):
    with pytest.raises(StillroomError, match=r"there is no plan in k\.xlsx yet; first: stillroom plan k\.xlsx"):
        write_pages(build(tmp_path / "k.xlsx"), tmp_path / "paper", NOW)
    assert not (tmp_path / "paper").exists()


def test_a_folder_that_cannot_be_written_is_said(planned_kitchen, tmp_path):
    (tmp_path / "file").write_text("here")
    with pytest.raises(CouldNotWrite, match="cannot be written to"):
        write_pages(planned_kitchen, tmp_path / "file", NOW, only=("sheets",))


def test_the_pictures_are_written_with_the_rest(planned_kitchen, tmp_path):
    """A page of all of them, and each in a folder of their own."""
    said = write_pages(planned_kitchen, tmp_path / "paper", NOW, only=("pictures",))
    assert (tmp_path / "paper" / "pictures.html").is_file()
    endings = {path.suffix for path in (tmp_path / "paper" / "pictures").iterdir() if path.name != LIST}
    assert endings == {".png", ".svg"}
    assert any("files of pictures" in line for line in said)


def test_every_word_that_can_be_asked_for_has_its_maker(planned_kitchen, tmp_path, monkeypatch):
    """Each maker is called once, in order, when nothing is asked for in particular."""
    called = []

    def maker(word):
        def made(_standing, _folder):
            called.append(word)
            return iter(())

        return made

    monkeypatch.setattr(printing, "MAKERS", {word: maker(word) for word in MAKERS})
    write_pages(planned_kitchen, tmp_path / "paper", NOW)
    assert called == ["sheets", "labels", "calendar", "pictures"]


def test_the_pages_of_a_workbook_are_of_its_first_day(planned_kitchen):
    """The title of the week sheet names the first day planned singly."""
    assert FRIDAY.isoformat() == "2026-08-14"
    assert papers(standing_of(planned_kitchen, NOW))[1].title == "Week of Friday, August 14, 2026"
