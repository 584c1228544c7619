"""The blocks of cautions on paper: the fixed one on every page, those that fit, those for hands and kitchen."""

import datetime
from dataclasses import replace

import pytest
from tests.handbook.kitchens import DAY, beans, crop, household, juice
from tests.pages.read_back import pdf_words, sound_html
from tests.small_kitchen import FRIDAY

from stillroom.app.print import LabelsAsked, papers, standing_of, write_labels
from stillroom.cli.entry_point import run
from stillroom.handbook.cautions import PageCautions, fixed_block, handbook_blocks, page_cautions
from stillroom.handbook.jars import headspaces
from stillroom.handbook.lines import lines
from stillroom.handbook.settle import settle
from stillroom.household.records import Preserve
from stillroom.household.standing import Standing
from stillroom.reports.print.document import LETTER, care_paper
from stillroom.reports.print.html import html_page
from stillroom.reports.print.lists import clock_sheet
from stillroom.reports.print.pdf import pdf_page
from stillroom.reports.print.week import SheetDay, SheetLine, week_sheet
from stillroom.reports.terminal.day import UNNUMBERED, canned_lines, explained, publications, source_words

NOW = datetime.datetime(2026, 8, 14, 6, 0, tzinfo=datetime.UTC)
FIXED = (
    "Vent a pressure canner for 10 full minutes",
    "Let the pressure fall by itself",
    "Leave the headspace of each food",
    "check every seal",
    "When in doubt, throw it out",
    "Follow the current guide of your extension service",
    "Local rules come before this plan",
)


def both(paper):
    """The words of a page in HTML and in PDF."""
    found = pdf_page(paper, LETTER)
    text = sound_html(html_page(paper, LETTER, kept=found.kept))
    return " ".join(text.split()), " ".join(" ".join(pdf_words(found.content)).split())


def care(*preserves, **facts):
    """The cautions of a page with these preserves."""
    settled, _ = settle(household(*preserves, **facts))
    return page_cautions(settled, {one.name for one in preserves})


def fitting(found):
    """The kinds of the cautions for hands and kitchen."""
    return {one.fits for one in found.kitchen}


# ---------------------------------------------------------------- what is in a block


def test_the_fixed_block_is_on_a_page_of_nothing_too():
    found = page_cautions(household(), ())
    assert [words for words, one in zip(FIXED, found.fixed, strict=True) if words not in one.text] == []
    assert found.particular == found.kitchen == ()


def test_the_headspace_is_that_of_what_is_on_the_page():
    own = beans(name="my relish", handbook_line=None, source="aunt", minutes_typed=25.0)
    (words,) = [one.text for one in care(juice(), beans(), own).fixed if "headspace" in one.text]
    assert words.startswith("Leave the headspace of each food: 1/2 inch for tomato juice; 1 inch for green beans")
    assert words.endswith("my relish: see the guide.")


def test_every_canned_product_has_a_headspace():
    """None is made up: a product that the tables lack would say *see the guide*."""
    assert {line.product for line in lines().values() if line.canned} <= set(headspaces())


def test_what_is_in_the_fixed_block_is_not_said_twice():
    found = care(juice(), beans())
    assert not {one.key for one in found.fixed} & {one.key for one in (*found.particular, *found.kitchen)}
    assert {one.fits for one in found.particular} >= {"tomato", "pressure", "dial", "canned"}


def test_cautions_for_hands_and_kitchen_fit_what_is_made():
    peppers = Preserve("peppers", "frozen", "tub", ingredients=(crop("hot peppers", 0.3),), kept_in="freezer")
    assert fitting(care(juice())) == {"heat", "canned", "knife"}
    assert fitting(care(beans())) == {"heat", "canned", "knife", "pressure"}
    assert fitting(care(peppers)) == {"hot peppers", "knife"}
    lime = Standing(12.0, 24.0, "in salt", "12 to 24 h in lime water")
    soaked = household(Preserve("pickles", "refrigerated", "tub", standing=(lime,)))
    assert "lime" in fitting(page_cautions(soaked, {"pickles"}))


def test_what_no_published_page_says_is_marked_as_common_practice():
    kitchen = handbook_blocks().kitchen
    assert {one.status for one in kitchen} == {"verified", "practice"}
    assert all((one.status == "practice") == (one.source == UNNUMBERED[1]) for one in kitchen)


def test_sources_are_numbered_and_advice_of_this_project_is_not():
    found = handbook_blocks()
    sources = publications(found.all)
    assert all(f"[{sources.index(part) + 1}]" in source_words(one, sources)
               for one in found.all if one.source not in UNNUMBERED for part in one.source.split("; "))  # fmt: skip
    assert {source_words(one, sources) for one in found.all if one.source in UNNUMBERED} == {
        "(advice of this project)", "(common practice, no source)",
    }  # fmt: skip


# ---------------------------------------------------------------- canned lines


def test_a_canned_line_has_minutes_pounds_jar_headspace_acid_and_marks():
    typed = tuple(
        replace(one, amount_typed=2.0, unit="tbsp") if one.source == "pantry" else one for one in juice().ingredients
    )
    settled, _ = settle(household(juice(ingredients=typed), beans()))
    found = canned_lines(settled.preserves, [juice().name, beans().name, "thaw: tomato"])
    assert len(found) == 2
    for words, parts in zip(
        found,
        (
            ("40 min", juice().container, "1/2 inch headspace", "acid in each: 2 tbsp bottled lemon juice"),
            ("min at 11 lb, dial", beans().container, "1 inch headspace"),
        ),
        strict=True,
    ):
        assert [part for part in parts if part not in words] == []


def test_marks_are_explained_once_and_only_where_they_are():
    line = SheetLine("relish", "7 jars", process="20 min", warning="own recipe", verified=False)
    week = week_sheet("kitchen", [SheetDay(FRIDAY, (line, line))], {}, PageCautions())
    for words in both(week):
        assert words.count("Not verified: ") == words.count("Own recipe: ") == 1
        assert words.count("not verified") == 2
    assert explained(own=False, unverified=False) == []


# ---------------------------------------------------------------- on the pages


@pytest.mark.parametrize("paper", ["week", "clock", "labels"])
def test_every_block_is_on_the_page_in_html_and_pdf(paper):
    found = care(juice(), beans())
    made = {
        "week": lambda: week_sheet("kitchen", [SheetDay(DAY, (SheetLine("juice", "7 jars"),))], {}, found),
        "clock": lambda: clock_sheet("kitchen", {}, {}, "", found),
        "labels": lambda: care_paper(found),
    }[paper]()
    for words in both(made):
        assert [one.text for one in found.all if one.text not in words] == []
        assert [heading for heading, _ in found.named if heading not in words] == []
        assert "Cautions from K-State Extension" in words


def test_the_fixed_block_is_never_left_off_a_full_page():
    """However many lines a week has, and in no smaller type than others."""
    week = [SheetDay(FRIDAY + datetime.timedelta(days=day), (SheetLine("juice", "7 jars"),) * 4) for day in range(7)]
    found = care(juice(), beans())
    for words in both(week_sheet("kitchen", week, {}, found)):
        assert [one.text for one in (*found.fixed, *found.kitchen) if one.text not in words] == []


def test_the_pages_of_a_workbook(planned_kitchen, tmp_path, capsys):
    """Week sheet, day page, labels and the day in the terminal."""
    _, week, clock, *_ = papers(standing_of(planned_kitchen, NOW))
    for words in (*both(week), *both(clock)):
        assert [part for part in FIXED if part not in words] == []
        assert "1/2 inch for tomato juice" in words
        assert "acid in each: 2 tbsp bottled lemon juice" in words
    write_labels(planned_kitchen, tmp_path / "paper", LabelsAsked(), FRIDAY)
    labels = pdf_words((tmp_path / "paper" / "labels.pdf").read_bytes())
    html = sound_html((tmp_path / "paper" / "labels.html").read_text(encoding="utf-8"))
    for text in (labels[-1], html):
        assert [part for part in FIXED if part not in " ".join(text.split())] == []
    capsys.readouterr()
    assert run(["day", str(planned_kitchen), "--on", FRIDAY.isoformat()]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert [part for part in FIXED if part not in said] == []
    assert "40 min; hot pack; quart jar; 1/2 inch headspace; acid in each: 2 tbsp bottled lemon juice" in said


def test_the_fixed_block_says_the_headspace_of_every_product_on_the_sheet_of_cautions():
    (words,) = [one.text for one in handbook_blocks().fixed if "headspace" in one.text]
    assert all(product in words for product in headspaces())
    assert len(fixed_block()) == len(FIXED)
