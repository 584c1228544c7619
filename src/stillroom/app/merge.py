"""Two copies of a workbook, both changed, brought together by the copy that both came from."""

from __future__ import annotations

import contextlib
import datetime
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from stillroom.app.files import written_in
from stillroom.errors import CommandWrong, CouldNotWrite
from stillroom.household.journal.events import made_lines
from stillroom.household.merging import BOTH, MINE, THEIRS, Merged, Question, TwoCopies, merge
from stillroom.household.names import key
from stillroom.household.results.commands import Receipt
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.files.copies import common_ancestor, copy_name, history, listed, set_aside, write_list
from stillroom.workbook.ooxml.files.lock import locked
from stillroom.workbook.ooxml.files.put import put
from stillroom.workbook.reader import household as read
from stillroom.workbook.writer.merge import Copy, comparable, other_sheets, read_copy, shared_headings, write_merged
from stillroom.workbook.writer.notices import count_writing
from stillroom.workbook.writer.plan import mark_in, notes_in, write_table
from stillroom.workbook.writer.record import places_of_keys

ANSWERS = (MINE, THEIRS, BOTH)
Ask = Callable[[Question], str]


@dataclass(frozen=True)
class Merging(TwoCopies):
    """Two copies as they were read, and the columns that both have, with what comes of them."""

    mine: Copy = field(kw_only=True)
    theirs: Copy = field(kw_only=True)
    shared: Mapping[str, Mapping[str, str]] = field(kw_only=True)


def merge_workbooks(
    mine: Path, theirs: Path, base: Path | None, take: str | None, answers: Path | None, ask: Ask | None
) -> Merging:
    """
    Read two copies and bring them together, without writing.

    Questions are answered by the file of answers, else by `take`, else by `ask`; without these they stay open. The copy
    both came from is `base`, else it is looked for beside them. Raises WorkbookRefused, CommandWrong.
    """
    if take is not None and take not in ANSWERS:
        msg = f"--take is mine, theirs or both, not {take}"
        raise CommandWrong(msg)
    told = {} if answers is None else read_answers(answers)
    spelled = {key(label): label for label in told}
    books = [Book.open(mine), _opened_alone(theirs)]
    if mine.samefile(theirs):
        msg = f"{mine} and {theirs} are the same file; name two copies"
        raise CommandWrong(msg)
    ids = history(books[1].source)
    known = bool(ids) and ids[0] in history(books[0].source)
    found = theirs if known else base or common_ancestor(mine, theirs)
    past = books[1] if known else None if found is None else Book.open(found)
    first, second = (_copy(book, past) for book in books)
    shared = shared_headings(first, second)
    names = (mine.name, theirs.name, None if found is None else found.name)
    if known:
        return Merging(*names, Merged({}, (), ()), known=True, mine=first, theirs=second, shared=shared)
    before = None if past is None else comparable(_copy(past, past), shared)
    used: set[str] = set()

    def answer(question: Question) -> str:
        used.add(key(question.label))
        given = told.get(spelled.get(key(question.label), "")) or take or ""
        if given == BOTH and not question.both:
            given = ""
        return given or (ask(question) if ask is not None else "")

    merged = merge(before, comparable(first, shared), comparable(second, shared), answer)
    unknown = [label for one, label in spelled.items() if one not in used]
    if unknown:
        msg = f'{answers}: there is no question "{unknown[0]}". Copy its words from the list, up to ": mine:".'
        raise CommandWrong(msg)
    beside = (tuple(other_sheets(first, second)), tuple(_other_columns(first, second)))
    return Merging(*names, merged, False, *beside, mine=first, theirs=second, shared=shared)


def _opened_alone(path: Path) -> Book:
    """Open a copy while no other command of ours writes it, as far as that can be had; a lock left there is cleared."""
    with contextlib.ExitStack() as stack:
        with contextlib.suppress(CouldNotWrite):
            stack.enter_context(locked(Path(os.path.realpath(path))))
        return Book.open(path)


def _copy(book: Book, past: Book | None) -> Copy:
    """
    Give one copy, with what stands in *Made* as rows of the record.

    A plan without a mark is known by what was typed in the copy both came from, so that its lines are the same in both.
    """
    typed = read.household(book, datetime.date.today())[0]
    if all(line.made is None for line in typed.plan_lines):
        return read_copy(book, ())
    mark = mark_in(notes_in(book))
    name = "-".join(mark) if mark else (past or book).digest
    return read_copy(book, made_lines(typed, name, places_of_keys(book).keys()))


def _other_columns(mine: Copy, theirs: Copy) -> list[str]:
    """Name the columns with something in them that only the second copy has."""
    found = []
    for name, lines in theirs.standing.items():
        own = {key(one) for one in mine.headings.get(name, theirs.headings[name])}
        here = {one for line in lines for one in line.cells if key(one) not in own}
        found += [f"{name}, {one}" for one in sorted(here)]
    return found


def read_answers(path: Path) -> dict[str, str]:
    """
    Read answers, one a line: `Lids, lid, On hand = theirs`. Lines that are blank or begin with # say nothing.

    Raises CommandWrong.
    """
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        msg = f"{path} cannot be read: {getattr(error, 'strerror', None) or 'it is no text'}"
        raise CommandWrong(msg) from None
    found: dict[str, str] = {}
    spelled: dict[str, str] = {}
    for number, text in enumerate(lines, 1):
        label, sign, answer = text.rpartition("=")
        if not text.strip() or text.startswith("#"):
            continue
        if not sign or answer.strip() not in ANSWERS:
            msg = f"{path}, line {number}: write such as Lids, lid, On hand = theirs (mine, theirs or both)"
            raise CommandWrong(msg)
        label = spelled.setdefault(key(label), label.strip())
        if found.setdefault(label, answer.strip()) != answer.strip():
            msg = f"{path}, line {number}: {label} has another answer above; delete one of the two lines"
            raise CommandWrong(msg)
    return found


def write_merge(found: Merging, out: Path | None, *, replace: bool = False) -> Receipt:
    """
    Write what comes of two copies into the first, or into another file, once every question is answered.

    Without `out` both keep a dated copy. Raises CouldNotWrite, WorkbookRefused; nothing is changed then.
    """
    book, theirs = found.mine.book, found.theirs.book
    if not found.known:
        write_merged(found.mine, found.theirs, found.merged, found.shared)
        if found.merged.taken:
            write_table(book, "Merged", merged_rows(found))
        book.join(theirs)
        count_writing(book)
    receipt = book.save(out, replace=replace)
    if receipt.written and out is None:
        _keep(theirs)
    return receipt


def _keep(book: Book) -> None:
    """Keep the second copy, as it was read, under a dated name if there is none yet: a later merge begins there."""
    path = Path(os.path.realpath(book.path))
    if ".before-" in path.name or any(digest == book.digest for digest, _ in listed(path)):
        return
    with contextlib.suppress(OSError, CouldNotWrite), locked(path):
        today = datetime.datetime.now()
        set_aside(path, book.source, today)  # else the copy listed now looks like one that was put back
        copy = copy_name(path, today)
        write_list(path, [*listed(path), (book.digest, copy.name)])
        put(copy, partial(written_in, book.source), like=path, fresh=True)


def merged_rows(found: Merging) -> list[dict[str, str | None]]:
    """Give the rows of the table Merged."""
    name = found.theirs.book.path.name
    return [
        {"From": name, "Table": one.table, "What": one.what, "Now": one.now, "Before": one.before or None}
        for one in found.merged.taken
    ]
