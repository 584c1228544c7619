"""The files: the same bytes for the same plan, nothing of outside in them, and names that do not meet in one page."""

import html
import os
import re
import struct
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
import zlib

import pytest
from tests.pictures.conftest import MAKERS
from tests.samples import every

from stillroom.app.files import put_all
from stillroom.errors import CouldNotWrite
from stillroom.reports.charts import FORMATS, files_of, pictures_of
from stillroom.reports.charts.canvas import PAPER, drawable
from stillroom.reports.charts.render import png_bytes, svg_bytes, svg_text
from stillroom.reports.charts.stocks import coverage_picture
from stillroom.reports.print.html import pictures_html
from stillroom.workbook.ooxml.files.outputs import LIST

SVG = "{http://www.w3.org/2000/svg}"
AGAIN = """
import hashlib, sys
from tests.pictures.conftest import MAKERS
from stillroom.reports.charts.stocks import coverage_picture
from stillroom.reports.charts.render import png_bytes, svg_bytes
picture = coverage_picture(MAKERS["tiny"]())
sys.stdout.write(hashlib.sha256(png_bytes(picture) + svg_bytes(picture)).hexdigest())
"""


def test_the_same_plan_gives_the_same_bytes_in_another_process(tiny, tmp_path):
    """With another seed for hashes, and other settings of the drawing library lying about."""
    import hashlib

    picture = coverage_picture(tiny)
    here = hashlib.sha256(png_bytes(picture) + svg_bytes(picture)).hexdigest()
    assert here == hashlib.sha256(png_bytes(picture) + svg_bytes(picture)).hexdigest()
    (tmp_path / "matplotlibrc").write_text(
        "font.size: 30\naxes.facecolor: red\nhatch.linewidth: 9\nsvg.fonttype: none\n"
    )
    environment = os.environ | {"PYTHONHASHSEED": "7", "MATPLOTLIBRC": str(tmp_path / "matplotlibrc")}
    there = subprocess.run([sys.executable, "-c", AGAIN], capture_output=True, text=True, env=environment, check=False)
    assert there.stdout == here, there.stderr


def chunks(data):
    """The kinds of chunk in a PNG (ISO/IEC 15948), each with its check sum held."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    place, kinds = 8, []
    while place < len(data):
        (length,) = struct.unpack(">I", data[place : place + 4])
        kind, body = data[place + 4 : place + 8], data[place + 8 : place + 8 + length]
        assert struct.unpack(">I", data[place + 8 + length : place + 12 + length])[0] == zlib.crc32(kind + body)
        kinds.append(kind.decode())
        place += 12 + length
    return kinds


def test_a_png_holds_the_picture_and_nothing_else(tiny):
    """No date, no maker, no words."""
    assert set(chunks(png_bytes(coverage_picture(tiny)))) <= {"IHDR", "PLTE", "pHYs", "IDAT", "IEND"}


def test_a_png_is_as_large_as_its_sheet_and_keeps_its_colors(tiny):
    """Two dots a point; the ground is the paper of the look."""
    import io

    from PIL import Image

    picture = coverage_picture(tiny)
    image = Image.open(io.BytesIO(png_bytes(picture))).convert("RGB")
    assert abs(image.width - 2 * picture.drawing.width) <= 1
    assert abs(image.height - 2 * picture.drawing.height) <= 1
    assert image.getpixel((3, 3)) == tuple(int(PAPER[place : place + 2], 16) for place in (1, 3, 5))
    assert (0x4C, 0x68, 0x48) in {shade for _, shade in image.getcolors(1 << 24)}


@pytest.mark.parametrize("shown", every(2, sorted(MAKERS)), indirect=True)
def test_an_svg_is_well_formed_refers_to_nothing_outside_and_has_its_text_alternative(shown):
    """
    No address but the two names of the format; every reference is to a part of itself that is there.

    The alternative stands as title and description, which a reader of the page aloud says. Every second plan;
    `python3 tests/bench.py samples` takes all.
    """
    for picture in pictures_of(shown):
        text = svg_bytes(picture).decode()
        root = ElementTree.fromstring(text)
        assert root.tag == f"{SVG}svg"
        assert set(re.findall(r"https?://[^\s\"<]+", text)) <= {
            "http://www.w3.org/2000/svg",
            "http://www.w3.org/1999/xlink",
        }
        assert "<!DOCTYPE" not in text
        assert "<script" not in text
        names = re.findall(r' id="([^"]*)"', text)
        assert len(set(names)) == len(names)
        wanted = set(re.findall(r'href="#([^"]*)"', text)) | set(re.findall(r"url\(#([^)]*)\)", text))
        assert wanted <= set(names), picture.name
        assert not re.search(r'href="(?!#)', text)
        assert root.get("role") == "img"
        assert root.find(f"{SVG}title").text == picture.title
        assert root.find(f"{SVG}desc").text == picture.alternative
        known = {part.get("id") for part in root}
        assert set(root.get("aria-labelledby").split()) <= known


def test_several_pictures_stand_in_one_page_without_meeting(tiny):
    """No name in one is a name in another."""
    names = [re.findall(r' id="([^"]*)"', svg_text(picture)) for picture in pictures_of(tiny)]
    together = [name for several in names for name in several]
    assert len(set(together)) == len(together)


def test_no_letter_is_missing_and_what_the_font_has_not_is_a_box():
    """Fractions, degrees, accents, Greek and Cyrillic are there; a sign that is not never stops a picture."""
    assert drawable("½ ¼ ¾ ° é ü ñ ø ł č Ω λ слива × – …") == "½ ¼ ¾ ° é ü ñ ø ł č Ω λ слива × – …"
    assert drawable("\U0001f345 plum") == "□ plum"


def test_a_sign_of_formulas_is_only_a_sign(tiny):
    """A dollar in a name is not the beginning of a formula, and a script in a name is letters."""
    shown = MAKERS["script"]()
    for picture in pictures_of(shown)[:4]:
        png_bytes(picture)
        assert "<script" not in svg_text(picture)


def test_all_pictures_are_written_with_their_alternatives(tiny, tmp_path):
    """Twice into one folder: the second time over the first, and nothing else lies there."""
    folder = tmp_path / "pictures"
    for formats in (("svg",), ("svg",), FORMATS):
        files = list(files_of(tiny, formats))
        written = put_all(folder, [(folder / name, content) for name, content, _ in files])
        assert {path.suffix for path in written} == {f".{ending}" for ending in formats}
    there = {one.name for one in folder.iterdir()} - {LIST}
    assert sorted(path.name for path in written) == sorted(there)
    assert all(alternative for _, _, alternative in files)
    names = {path.name for path in written}
    whole = ("winter_list", "freezer", "jars_left", "where_it_goes", "season_so_far", "day_1")
    assert {f"{name}.{ending}" for name in whole for ending in ("png", "svg")} <= names


@pytest.mark.parametrize("shown", every(2, sorted(MAKERS)), indirect=True)
def test_the_page_of_all_pictures_is_valid_and_stands_alone(shown):
    """
    Valid HTML for a parser that is strict, one name for one thing, and nothing fetched from anywhere.

    Every second plan; `python3 tests/bench.py samples` takes all.
    """
    import html5lib

    pictures = pictures_of(shown)
    page = pictures_html("<b>our</b> kitchen & more", pictures)
    html5lib.HTMLParser(strict=True).parse(page)
    names = re.findall(r' id="([^"]*)"', page)
    assert len(set(names)) == len(names)
    assert "<b>" not in page
    assert not re.search(r'(src|href)="(?!#)', page)
    assert page.count("<figure>") == sum(not picture.empty for picture in pictures)
    for picture in pictures:
        assert html.escape(picture.alternative) in page


def test_a_place_that_cannot_be_written_to_is_said(tmp_path):
    """As a sentence; here the folder is a file."""
    (tmp_path / "file").write_text("")
    with pytest.raises(CouldNotWrite, match="cannot be written to"):
        put_all(tmp_path / "file", [(tmp_path / "file" / "a.png", b"")])


def test_the_drawing_library_is_not_imported_before_something_is_drawn():
    """It takes half a second, and most commands draw nothing."""
    code = "import sys; import stillroom.reports.charts; sys.exit('matplotlib' in sys.modules or 'PIL' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
