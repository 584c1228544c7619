"""Reads pages back: HTML by a strict parser that also looks for anything fetched from elsewhere, PDF by a second library."""

import io
from html.parser import HTMLParser

import html5lib
from pypdf import PdfReader

ATTACKS = (
    '<script>alert("tomato")</script>&',
    "\"'><img src=x onerror=alert(1)>",
    "plum\u202eotamot\u202c jam",
    "Confiture de myrtilles à l'ancienne, ½ pot",
    "слива & δαμάσκηνο </style></title>",
    "tomato 🍅 sauce",
    "x" * 40,
    "a\x07b c",
)
"""Names that somebody could type: markup, quotes, marks that turn a line round, forty characters, signs of all kinds."""


class Links(HTMLParser):
    """Collects everything that would be fetched from somewhere else, and everything that would run."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        self.found += [
            (tag, name) for name, _ in attrs if name in ("src", "href", "action", "data") or name[:2] == "on"
        ]
        self.found += [(tag, "")] if tag in ("script", "iframe", "object", "link", "img", "embed", "base") else []


def sound_html(text):
    """Fail for anything that is not valid or refers outside; give the words of the page."""
    tree = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(text)
    links = Links()
    links.feed(text)
    assert links.found == []
    assert "url(" not in text
    assert "@import" not in text
    return " ".join("".join(tree.find("body").itertext()).split())


def pdf_words(content):
    """The words of each page of a PDF, every kind of space as one space."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages]


def page_sizes_mm(content):
    """Width and height of each page, in whole millimetres."""
    boxes = [page.mediabox for page in PdfReader(io.BytesIO(content)).pages]
    return {(round(float(box.width) / 72 * 25.4), round(float(box.height) / 72 * 25.4)) for box in boxes}


def fonts(content):
    """The fonts of a PDF, and whether the glyphs of each are in the file."""
    found = {}
    for page in PdfReader(io.BytesIO(content)).pages:
        for font in page["/Resources"].get("/Font", {}).values():
            font = font.get_object()
            within = font.get("/FontDescriptor", {})
            found[str(font["/BaseFont"]).split("+")[-1].lstrip("/")] = "/FontFile2" in within
    return found


def type_sizes(content):
    """Every size of type that words are written in, in points."""
    sizes = set()

    def visit(text, _matrix, _place, _font, size):
        if text.strip():
            sizes.add(round(size, 2))

    for page in PdfReader(io.BytesIO(content)).pages:
        page.extract_text(visitor_text=visit)
    return sizes


def places(content):
    """Where each run of words begins, as (page, words, millimetres from the left, millimetres from the top)."""
    found = []
    for number, page in enumerate(PdfReader(io.BytesIO(content)).pages):
        high = float(page.mediabox.height)

        def visit(text, _outer, matrix, _font, _size, number=number, high=high):
            if text.strip():
                found.append((number, text.strip(), matrix[4] / 72 * 25.4, (high - matrix[5]) / 72 * 25.4))

        page.extract_text(visitor_text=visit)
    return found
