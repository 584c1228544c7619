"""Pages as PDF and HTML: valid, closed, escaped, on the right paper, with their fonts, never a sheet too many."""

import datetime

import pytest
from tests.pages.read_back import ATTACKS, fonts, page_sizes_mm, pdf_words, sound_html, type_sizes

from stillroom.errors import CommandWrong, StillroomError
from stillroom.household.records import Kitchen
from stillroom.reports.charts import canvas as picture
from stillroom.reports.print import pdf_text
from stillroom.reports.print.document import (
    A4,
    LETTER,
    Below,
    Cell,
    Column,
    Group,
    Paper,
    Points,
    Section,
    Sentence,
    Table,
    paper_size,
    table,
)
from stillroom.reports.print.html import html_page
from stillroom.reports.print.pdf import built, pdf_page, type_at
from stillroom.reports.print.pdf_text import DOOR, LIST, Type

COLUMNS = (
    Column("", "box"),
    Column("How many", "number"),
    Column("What", "main"),
    Column("Day", "time"),
    Column("Made", "write"),
)


def row(words, below="", number="7"):
    """A row with a name, a number and a small line."""
    return (Cell(), Cell(number), Cell(words, (Below(below),) if below else ()), Cell("Aug 14"), Cell())


def paper(rows, look="list", **more):
    """A page of one table."""
    return Paper("page", "What to make", "kitchen", (Section("Shelf", (table(COLUMNS, rows),)),), look=look, **more)


def everywhere(words):
    """A page on which the same words stand in every place that words may stand in."""
    cell = Cell(words, (Below(words), Below(words, warns=True)))
    columns = (
        Column(words, "number"),
        Column(words, "main"),
        Column(words),
        Column(words, "time"),
        Column(words, "write"),
    )
    held = Table(columns, (Group(((cell, cell, cell, cell, Cell()),), cell),), with_heads=True)
    points = [
        Points(((words, words), (words, "")), style, may_be_cut=True, cut_words=words) for style in ("dash", "ticked")
    ]
    blocks = (held, *points, Sentence(words), Sentence(words, warns=True), Sentence(words, small=True))
    return Paper("page", words, words, (Section(words, blocks, words),), words, "door")


@pytest.mark.parametrize("attack", ATTACKS)
def test_whatever_was_typed_stands_there_as_words(attack):
    """In HTML and in PDF, in every place; the marks that turn a line round are taken out, signs without glyph a box."""
    page = everywhere(attack)
    found = pdf_page(page, A4)
    said = sound_html(html_page(page, A4, kept=1))
    shown = "".join(sign for sign in attack if sign not in "\u202e\u202c\x07")
    assert said.count(shown) >= 17
    words = "".join(pdf_words(found.content)).replace(" ", "")
    assert shown.replace(" ", "").replace("🍅", "□") in words
    for sign in "\u202e\u202c\x07":
        assert sign not in said + words


@pytest.mark.parametrize("size", [A4, LETTER])
def test_the_paper_has_its_measures_and_the_fonts_are_in_the_file(size):
    """A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in, 216 x 279 mm (ANSI Y14.1); every font is embedded."""
    content = pdf_page(paper([row("½ °C, épices, δαμάσκηνο, слива")]), size).content
    assert page_sizes_mm(content) == {(round(size.width_mm), round(size.height_mm))}
    found = fonts(content)
    assert set(found) == {"DejaVuSans", "DejaVuSans-Bold", "DejaVuSerif-Bold"}
    assert all(found.values())
    assert "½ °C, épices, δαμάσκηνο, слива" in pdf_words(content)[0]
    assert f"size: {size.css_name};" in html_page(paper([]), size)


def test_pounds_are_printed_on_letter_and_kilograms_on_a4_unless_asked():
    day = datetime.date(2026, 8, 14)
    assert paper_size(Kitchen(day)) is LETTER
    assert paper_size(Kitchen(day, weight_unit="kg")) is A4
    assert paper_size(Kitchen(day, weight_unit="kg"), "Letter") is LETTER
    with pytest.raises(CommandWrong, match="--paper is a4 or letter, not 'foolscap'"):
        paper_size(Kitchen(day), "foolscap")


def test_the_same_page_gives_the_same_bytes_and_no_date():
    """Twice over, from objects made anew."""
    one, two = (pdf_page(paper([row("plum jam", "2 kg plum")] * 70), A4).content for _ in range(2))
    assert one == two
    assert b"20260" not in one
    assert b"/CreationDate (D:2000" in one


def test_what_fits_is_in_the_largest_type_and_what_does_not_is_smaller():
    """Three rows in the wanted sizes; forty on the door in smaller type on one sheet, never under the smallest."""
    few, many = (pdf_page(paper([row("plum jam")] * number, "door"), A4) for number in (3, 32))
    assert few.sheets == many.sheets == 1
    assert few.sizes["main"] == DOOR["main"][0]
    assert DOOR["main"][1] <= many.sizes["main"] < DOOR["main"][0]
    assert min(type_sizes(many.content)) >= min(least for _, least in DOOR.values())


def test_a_second_sheet_comes_only_when_the_smallest_type_does_not_fit():
    """Each further row never takes fewer sheets; two sheets are used only where even close rows do not fit on one."""
    sheets = [
        pdf_page(paper([row("plum jam", "2 kg plum to each jar")] * number, "door"), LETTER) for number in (20, 34, 60)
    ]
    assert [one.sheets for one in sheets] == [1, 1, 2]
    assert not sheets[0].sizes.close
    assert sheets[1].sizes.close


def test_every_sheet_of_several_says_which_it_is_and_repeats_the_headings():
    content = pdf_page(paper([row(f"jam {number}") for number in range(120)]), A4).content
    pages = pdf_words(content)
    assert len(pages) > 2
    for number, words in enumerate(pages, 1):
        assert f"{number} of {len(pages)}" in words
        assert "How many" in words
    assert [sum(words.count("jam ") for words in pages)] == [120]


def test_one_sheet_alone_has_no_foot():
    assert "1 of 1" not in pdf_words(pdf_page(paper([row("jam")]), A4).content)[0]


@pytest.mark.parametrize("rows", [5, 6])
def test_the_rows_of_a_day_stay_on_one_sheet(rows):
    """Eight days of so many rows each take more than one sheet; no day is torn apart, whatever the number of rows."""
    held = [tuple(row(f"day{day} jam", "x " * 130) for _ in range(rows)) for day in range(8)]
    groups = tuple(Group(several, Cell(f"D{day}")) for day, several in enumerate(held))
    page = Paper("page", "Week", "", (Section("", (Table(COLUMNS, groups, with_heads=True),)),), look="door")
    for size in (A4, LETTER):
        content, sheets = built(page, size, type_at(page, 2))
        assert sheets > 2
        pages = pdf_words(content)
        for day in range(8):
            assert sum(f"day{day} jam" in words for words in pages) == 1


def test_cautions_are_left_off_only_when_they_alone_would_need_a_sheet():
    """As many stand as fit, in their order, and it is said how many more there are; HTML keeps all on the screen."""
    items = tuple((f"caution {number}: {'be careful ' * 12}", "(a source)") for number in range(12))
    care = Section("Take care", (Points(items, may_be_cut=True, cut_words="cautions: see Messages"),))
    full = paper([row("plum jam", "2 kg plum")] * 24, "door")
    page = Paper("page", "Week", "", (*full.sections, care), look="door")
    found = pdf_page(page, A4)
    words = pdf_words(found.content)[0]
    assert found.sheets == 1
    assert 0 < found.kept < 12
    assert f"caution {found.kept - 1}:" in words
    assert f"caution {found.kept}:" not in words
    assert f"{12 - found.kept} more cautions: see Messages" in words
    html = html_page(page, A4, kept=found.kept)
    assert html.count('<li class="unprinted">') == 12 - found.kept
    assert "caution 11:" in sound_html(html)


def test_words_that_are_far_too_long_are_cut_and_never_break_the_page():
    """A name of 3,000 signs without a space and a note of 30,000 words; the page is made, and its words end in a sign."""
    page = paper([row("x" * 3000, "note " * 30_000)] * 3, "door", warning="w " * 9000)
    content = pdf_page(page, A4).content
    assert "…" in pdf_words(content)[0]
    assert "note" in sound_html(html_page(page, A4))


def test_a_figure_stays_in_one_line_with_what_it_counts():
    """In columns of any width no line ends in a number whose unit is in the next."""
    from stillroom.reports.print.pdf_text import paragraph

    pdf_text.signs()
    text = " ".join(f"{number} lb of plums, {number}½ cups of sugar," for number in range(20, 40))
    ends = set()
    for width in range(90, 300, 7):
        words = paragraph(text, "plain", Type(LIST, 1.0))
        words.wrap(width, 10_000)
        ends |= {line[1][-1][-1] for line in words.blPara.lines}
    assert ends >= {",", "f", "s", "b"}
    assert not ends & set("0123456789½")


def test_sizes_of_type_are_ordered():
    """No kind of words is smaller when it is wanted than at its smallest; what and how many is the largest on the door."""
    for sizes in (DOOR, LIST):
        assert all(most > least for most, least in sizes.values())
    assert DOOR["main"][1] > max(DOOR[kind][1] for kind in ("plain", "below", "point", "aside", "small", "column"))


def test_without_fonts_it_is_said_what_to_do(monkeypatch):
    monkeypatch.setattr(picture.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(StillroomError, match="come with matplotlib, so install matplotlib again"):
        picture.font_folder.__wrapped__()


def test_the_licence_of_the_fonts_stands_beside_them():
    """They are free to embed (the licence of Bitstream Vera and its DejaVu changes)."""
    words = (picture.font_folder() / "LICENSE_DEJAVU").read_text(encoding="utf-8", errors="replace")
    assert "Permission is hereby granted, free of charge" in words
