"""Labels: every one in its place on any sheet, from any place on; lots by load, days by the keeping time, never cut off."""

import datetime
import random
import re
from dataclasses import replace

import pytest
from tests.pages.read_back import ATTACKS, fonts, page_sizes_mm, pdf_words, places, sound_html
from tests.small_kitchen import FRIDAY

from stillroom.app.print import LabelsAsked, write_labels
from stillroom.cli import run
from stillroom.errors import CommandWrong
from stillroom.household.records import Crop, Household, Kitchen, PlanLine, Preserve, RecordRow
from stillroom.reports.print.document import A4, LETTER
from stillroom.reports.print.html import label_html
from stillroom.reports.print.labels import (
    KNOWN,
    Batch,
    Label,
    LabelSheet,
    centered,
    default_sheet,
    label_sheet,
    labels_of,
    planned_batches,
    recorded_batches,
)
from stillroom.reports.print.pdf import label_pdf

JUICE = Preserve("tomato juice, quart", "boiling-water canned", "quart jar", load=7, keeps_months=12.0)
PEAS = Preserve("peas, frozen", "frozen", "tub", kept_in="freezer")
HOME = Household(Kitchen(FRIDAY), crops=(Crop("plum tomato", 4.0, frozen_keeps_weeks=4.0),), preserves=(JUICE, PEAS))


def label(number):
    """A label with a name of its own."""
    return Label(f"jam{number}", "made Aug 14, 2026", "best by Aug 14, 2027", "lot 2026-08-14")


# ---------------------------------------------------------------- what stands on them


def test_each_container_has_a_label_with_its_days_and_the_lot_of_its_load():
    """Fourteen quarts in loads of seven: two lots of seven; good for twelve months."""
    found = labels_of(HOME, [Batch(FRIDAY, JUICE.name, 14.0)])
    assert [one.lot for one in found] == ["lot 2026-08-14.1"] * 7 + ["lot 2026-08-14.2"] * 7
    assert {(one.name, one.made, one.good_until) for one in found} == {
        ("tomato juice, quart", "made Aug 14, 2026", "best by Aug 14, 2027")
    }


def test_one_load_is_one_lot_and_an_unknown_keeping_time_is_left_to_the_pencil():
    """Nothing is invented: without keeping months there is a line to write on."""
    assert [one.lot for one in labels_of(HOME, [Batch(FRIDAY, JUICE.name, 7.0)])] == ["lot 2026-08-14.1"] * 7
    (peas,) = labels_of(HOME, [Batch(FRIDAY, PEAS.name, 1.0)])
    assert peas.good_until == "best by __________"


def test_no_two_loads_of_a_day_share_a_lot():
    """Lots are numbered through the day, in the order of the plan, and begin at 1 on the next day."""
    late = FRIDAY + datetime.timedelta(days=1)
    several = [Batch(FRIDAY, PEAS.name, 3.0), Batch(FRIDAY, JUICE.name, 14.0), Batch(late, JUICE.name, 7.0)]
    lots = list(dict.fromkeys((one.name, one.lot) for one in labels_of(HOME, several)))
    assert lots == [
        (PEAS.name, "lot 2026-08-14.1"),
        (JUICE.name, "lot 2026-08-14.2"),
        (JUICE.name, "lot 2026-08-14.3"),
        (JUICE.name, "lot 2026-08-15.1"),
    ]


def test_what_was_not_verified_is_marked():
    """On each of its labels."""
    home = replace(HOME, preserves=(replace(PEAS, from_memory=True),))
    (found,) = labels_of(home, [Batch(FRIDAY, PEAS.name, 1.0)])
    assert found.lot == "lot 2026-08-14.1, not verified"


def test_what_is_kept_cold_and_what_is_an_own_recipe_say_so_on_each_label():
    """Nothing is cut off on the smallest of the known sheets either."""
    kraut = Preserve("kraut", "fermented", "quart jar", kept_in="refrigerator", keeps_months=0.1, own_recipe=True)
    home = replace(HOME, preserves=(JUICE, PEAS, kraut))
    marks = {
        one.name: one.marks for name in (JUICE, PEAS, kraut) for one in labels_of(home, [Batch(FRIDAY, name.name, 1.0)])
    }
    own = "own recipe, not from the handbook"
    assert marks == {JUICE.name: (), PEAS.name: ("keep frozen",), "kraut": ("keep refrigerated", own)}
    for sheet in KNOWN:
        found = labels_of(home, [Batch(FRIDAY, "kraut", 3.0)])
        words = " ".join(pdf_words(label_pdf(found, sheet)))
        assert (words.count("keep refrigerated"), words.count(own), "…" in words) == (3, 3, False)
        assert label_html(found, sheet).count(f"<span>{own}</span>") == 3


def test_a_sheet_of_letter_paper_is_typed_and_shown_in_inches():
    """2 5/8 inches are 66.7 mm; unusual gaps and margins are shown too."""
    sheet = label_sheet("3 x 10 of 2 5/8 x 1 inches", LETTER)
    assert sheet == KNOWN[0]
    other = label_sheet("2 x 4 of 3 x 2 in, gaps 1/4 x 1/2, margins 1 x 3/4", LETTER)
    assert other.description() == "2 x 4 of 3 x 2 inches, gaps 1/4 x 1/2, margins 1 x 3/4, letter"
    assert label_sheet(other.description(), A4) == other


def test_crop_frozen_whole_has_one_label_with_the_day_it_is_to_be_cooked_by():
    """Four weeks after 14 August is 11 September."""
    (found,) = labels_of(HOME, [Batch(FRIDAY, "freeze whole: plum tomato", 12.0)])
    assert found == Label(
        "plum tomato, whole, to cook",
        "frozen Aug 14, 2026",
        "cook by Sep 11, 2026",
        "lot 2026-08-14.1",
        ("keep frozen",),
    )


def test_the_plan_gives_what_it_makes_on_the_days_asked_and_the_record_what_was_made():
    """Weeks, what is taken out, eaten or fed, and lines of zero have no label."""
    late = FRIDAY + datetime.timedelta(days=1)
    home = Household(
        Kitchen(FRIDAY),
        preserves=(JUICE, PEAS),
        plan_lines=(
            PlanLine(FRIDAY, 1, JUICE.name, 7.0),
            PlanLine(FRIDAY, 1, PEAS.name, None, fix=2.0),
            PlanLine(FRIDAY, 1, "thaw: plum tomato", 3.0),
            PlanLine(late, 1, JUICE.name, 14.0),
            PlanLine(FRIDAY, 7, JUICE.name, 20.0),
            PlanLine(FRIDAY, 1, JUICE.name, 0.0),
        ),
        record=(
            RecordRow(FRIDAY, JUICE.name, 6.0, 1.0),
            RecordRow(FRIDAY, f"ate: {JUICE.name}", 2.0),
            RecordRow(FRIDAY, "surplus: plum tomato"),
            RecordRow(late, PEAS.name, 3.0),
        ),
    )
    assert len(labels_of(home, planned_batches(home, [FRIDAY]))) == 7 + 2
    assert len(labels_of(home, planned_batches(home, [FRIDAY, late]))) == 7 + 2 + 14
    assert recorded_batches(home, [FRIDAY]) == [Batch(FRIDAY, JUICE.name, 6.0)]


# ---------------------------------------------------------------- sheets


def test_the_places_of_a_sheet_by_hand():
    """
    Three by ten of 66.7 x 25.4 mm on Letter with gaps of 3.2 mm across.

    Left (215.9 - 3 x 66.7 - 2 x 3.2) / 2 = 4.7; top (279.4 - 10 x 25.4) / 2 = 12.7; the fifth label, number 4, is the
    second of the second row: 4.7 + 66.7 + 3.2 = 74.6 across, 12.7 + 25.4 = 38.1 down.
    """
    sheet = label_sheet("3 x 10 of 66.7 x 25.4 mm", LETTER)
    assert (sheet.many, sheet.left, sheet.top) == (30, 4.7, 12.7)
    assert sheet.corner(4) == (74.6, 38.1)
    assert sheet.corner(29) == (4.7 + 2 * 69.9, pytest.approx(12.7 + 9 * 25.4))


@pytest.mark.parametrize("sheet", KNOWN)
def test_known_sheets_lie_on_their_paper_and_can_be_typed(sheet):
    """All labels inside the paper, evenly on both sides; its own description gives the same sheet."""
    right, low = sheet.corner(sheet.many - 1)
    assert sheet.left + right + sheet.width == pytest.approx(sheet.paper.width_mm, abs=0.11)
    assert sheet.top + low + sheet.height == pytest.approx(sheet.paper.height_mm, abs=0.11)
    assert label_sheet(sheet.description(), A4) == sheet
    assert label_sheet(f"{sheet.columns}x{sheet.rows} of {sheet.width}x{sheet.height}", sheet.paper) == sheet


def test_a_sheet_of_any_measures_can_be_typed():
    sheet = label_sheet("2 × 4 of 90 x 60,5 mm; gaps 5 x 3, margins 10 x 20, a4", LETTER)
    assert sheet == LabelSheet(A4, 2, 4, 90.0, 60.5, 10.0, 20.0, 5.0, 3.0)
    assert sheet.corner(3) == (10.0 + 90.0 + 5.0, 20.0 + 60.5 + 3.0)
    assert label_sheet("1x1 of 100x100", A4) == centered(A4, 1, 1, 100, 100)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("thirty", "is not a sheet of labels. Type it like this: 3 x 10 of 2 5/8 x 1 inches, letter"),
        ("3 x 10 of 66.7 x 25.4 mm and a bit", "is not a sheet of labels"),
        ("4 x 10 of 66.7 x 25.4 mm, letter", "mm past the edge of letter paper"),
        ("3 x 10 of 60 x 25, margins 40 x 10, letter", "past the edge"),
        ("0 x 10 of 66 x 25", "a sheet has 1 to 400 labels"),
        ("1000 x 1000 of 66 x 25", "a sheet has 1 to 400 labels"),
        ("2 x 2 of 5 x 5", "of at least 10 x 8 mm"),
        ("", "is not a sheet of labels"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused_in_words(words, said):
    with pytest.raises(CommandWrong, match=re.escape(said)):
        label_sheet(words, LETTER)


# ---------------------------------------------------------------- on paper


@pytest.mark.parametrize("start", [1, 5, 30])
@pytest.mark.parametrize("sheet", KNOWN[:1] + KNOWN[3:5])
def test_every_label_is_drawn_inside_its_own_place(sheet, start):
    """Read back from the PDF: page, left edge and height of each name, from the place that was asked for on."""
    if start > sheet.many:
        start = sheet.many
    labels = [label(number) for number in range(40)]
    content = label_pdf(labels, sheet, start)
    assert page_sizes_mm(content) == {(round(sheet.paper.width_mm), round(sheet.paper.height_mm))}
    found = {words: (page, x, y) for page, words, x, y in places(content) if words.startswith("jam")}
    for number in range(40):
        sheet_number, place = divmod(number + start - 1, sheet.many)
        page, x, y = found[f"jam{number}"]
        left, top = sheet.corner(place)
        assert page == sheet_number
        assert x == pytest.approx(left + 2.0, abs=0.05)
        assert top < y < top + sheet.height


def test_html_prints_the_labels_in_the_same_places_and_pages():
    """Each has its corner in millimetres; thirty to a page, the first page begun at the fifth place."""
    sheet = KNOWN[0]
    text = label_html([label(number) for number in range(40)], sheet, 5)
    sound_html(text)
    pages = text.split('<section class="sheet">')[1:]
    assert [page.count('class="label"') for page in pages] == [26, 14]
    assert 'style="left:74.6mm;top:38.1mm"><b>jam0</b>' in pages[0]
    assert 'style="left:4.7mm;top:12.7mm"><b>jam26</b>' in pages[1]
    assert "@page { size: letter; margin: 0; }" in text


def test_random_sheets_and_names_are_never_drawn_outside_their_labels():
    """Two hundred labels of names of any length on sheets of any measures: each line begins and ends in its label."""
    rng = random.Random(8)
    from stillroom.reports.print.pdf import fitting_lines
    from stillroom.reports.print.pdf_text import signs, width_points

    signs()
    for _ in range(200):
        name = " ".join("x" * rng.randint(1, 25) for _ in range(rng.randint(1, 12)))
        wide, high = rng.uniform(17, 300), rng.uniform(11.5, 200)
        lines = fitting_lines(Label(name, "made Aug 14, 2026", "best by Aug 14, 2027", "lot 2026-08-14.2"), wide, high)
        assert all(width_points(words, font, size) <= wide + 0.01 for words, font, size in lines)
        assert len([one for one in lines if one[1].endswith("Bold")]) >= 1
        if high > 45:
            assert sum(size * 1.16 for _, _, size in lines) <= high + 0.01


def test_an_ordinary_label_has_all_of_its_words():
    """Nothing is cut off on the smallest of the known sheets."""
    found = labels_of(HOME, [Batch(FRIDAY, JUICE.name, 14.0)])
    for sheet in KNOWN:
        words = " ".join(pdf_words(label_pdf(found, sheet)))
        assert "…" not in words
        assert words.count("best by Aug 14, 2027") == 14
        assert words.count("lot 2026-08-14.2") == 7


def test_the_same_labels_give_the_same_bytes_with_their_fonts_in_the_file():
    one, two = (label_pdf([label(1)], KNOWN[0]) for _ in range(2))
    assert one == two
    found = fonts(one)
    assert found
    assert all(found.values())


def test_cut_lines_are_drawn_only_when_asked():
    assert label_pdf([label(1)], KNOWN[0], cut_lines=True) != label_pdf([label(1)], KNOWN[0])
    assert "border: 0.2mm solid" in label_html([label(1)], KNOWN[0], cut_lines=True)
    assert "border: 0.2mm solid" not in label_html([label(1)], KNOWN[0])


@pytest.mark.parametrize("attack", ATTACKS)
def test_names_that_were_typed_never_run(attack):
    text = label_html([Label(attack, attack, attack, attack)], KNOWN[0])
    sound_html(text)
    assert "<script" not in text
    assert label_pdf([Label(attack, attack, attack, attack)], KNOWN[0])


def test_no_labels_at_all_is_said():
    assert pdf_words(label_pdf([], KNOWN[0])) == ["Nothing to label."]
    assert "Nothing to label." in sound_html(label_html([], KNOWN[0]))


# ---------------------------------------------------------------- from a workbook


def test_labels_of_a_workbook_by_its_plan(planned_kitchen, tmp_path):
    """Both files, and words that say how many, on which sheet, and how to print."""
    said = write_labels(planned_kitchen, tmp_path / "paper", LabelsAsked(days=3, start=3), FRIDAY)
    assert "14 labels by the plan for Fri Aug 14 to Sun Aug 16, 1 sheet of 3 x 10" in said[0]
    assert "100%" in said[1]
    words = pdf_words((tmp_path / "paper" / "labels.pdf").read_bytes())
    assert words[0].count("tomato juice, quart") == 14
    assert sound_html((tmp_path / "paper" / "labels.html").read_text(encoding="utf-8")).count("lot 2026-08-1") == 14


def test_labels_by_the_record_are_of_what_was_made(planned_kitchen, tmp_path):
    """Thirteen sealed and one that did not: thirteen labels, of the last day of the record without being asked."""
    assert (
        run(["made", str(planned_kitchen), "tomato juice, quart", "13", "--failed", "1", "--on", FRIDAY.isoformat()])
        == 0
    )
    said = write_labels(planned_kitchen, tmp_path / "paper", LabelsAsked(by_record=True), FRIDAY)
    assert "13 labels by the record for Fri Aug 14" in said[0]
    nothing = write_labels(planned_kitchen, tmp_path / "paper", LabelsAsked(by_record=True, on="2026-08-01"), FRIDAY)
    assert nothing == ["By the record nothing is made for Sat Aug 1 that takes a label."]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (LabelsAsked(start=31), "no place 31 on a sheet of 30 labels; write 1 to 30"),
        (LabelsAsked(start=0), "no place 0"),
        (LabelsAsked(on="payday"), '--on "payday" is not a date'),
        (LabelsAsked(days=0), "0 days cannot be asked for"),
        (LabelsAsked(paper="a3"), "--paper is a4 or letter, not 'a3'"),
        (LabelsAsked(sheet="big ones"), "is not a sheet of labels"),
    ],
)
def test_what_cannot_be_asked_for_is_said_and_nothing_is_written(planned_kitchen, tmp_path, asked, said):
    with pytest.raises(CommandWrong, match=re.escape(said)):
        write_labels(planned_kitchen, tmp_path / "paper", asked, FRIDAY)
    assert not (tmp_path / "paper").exists()


def test_each_paper_has_a_sheet_of_its_own():
    assert default_sheet(A4).paper is A4
    assert default_sheet(LETTER).paper is LETTER
