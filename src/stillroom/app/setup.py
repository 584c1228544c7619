"""A household's own workbook: the tables it lacks are added, and two copies of it merged."""

from __future__ import annotations

import contextlib
import dataclasses
import datetime
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from stillroom.app.files import written_in
from stillroom.errors import CommandWrong, CouldNotWrite, Problem
from stillroom.household.journal.events import made_lines
from stillroom.household.merging import BOTH, MINE, THEIRS, Merged, Question, TwoCopies, merge
from stillroom.household.names import key
from stillroom.household.results.commands import Addition, Adoption, Receipt
from stillroom.household.text import format_list
from stillroom.reports.problems import sentences
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.ooxml.files.copies import common_ancestor, copy_name, history, listed, set_aside, write_list
from stillroom.workbook.ooxml.files.put import locked, put
from stillroom.workbook.reader import household as read
from stillroom.workbook.starter.first_rows import Filling
from stillroom.workbook.starter.start import Adopted, add_crops, adopt, started, stopped
from stillroom.workbook.writer.merge import Copy, comparable, other_sheets, read_copy, shared_headings, write_merged
from stillroom.workbook.writer.notices import count_writing
from stillroom.workbook.writer.plan import mark_in, notes_in, write_table
from stillroom.workbook.writer.record import places_of_keys

__all__ = ["Adoption", "Filling", "add_to_workbook", "adopt_workbook", "adoption_of", "start_workbook"]


def start_workbook(path: Path, filling: Filling) -> Addition:
    """
    Write a starting workbook for a kitchen, and return what it holds and what was left out.

    What the check would stop at, such as a load that no day has hours for, is there with Include = no. Raises
    CommandWrong for an altitude or a gauge that cannot be read, and CouldNotWrite.
    """
    book, filled, places = started(path, filling)
    if filling.crops and (wrong := stopped(book, places, filled.rows)):
        book, filled, _ = started(path, filling, {name: why_no(problem) for name, problem in wrong.items()})
    book.save(path)
    return Addition(filled.rows, filled.left_out)


def why_no(problem: Problem) -> str:
    """Return why a preserve of a new workbook is there with Include = no, in a few words."""
    if problem.kind == "no day for a load":
        return "Include is no, because no day has hours enough for one load"
    return f"Include is no: {sentences(problem)[0].rstrip('.')}"


def add_to_workbook(path: Path, names: Sequence[str]) -> tuple[Addition, Receipt | None]:
    """
    Add crops or preserves of the handbook to a workbook in use; None where everything is there already.

    Raises WorkbookRefused, CommandWrong for a name that the handbook does not have, and CouldNotWrite; nothing is
    written then.
    """
    book = Book.open(path)
    addition = add_crops(book, names)
    if addition.unknown:
        unknown = format_list([f'"{name}"' for name in addition.unknown])
        msg = f"The handbook has no crop or preserve called {unknown}. To see all: stillroom handbook"
        raise CommandWrong(msg)
    if not any(addition.rows.values()):
        return addition, None
    count_writing(book)
    return addition, book.save()


def adopt_workbook(
    path: Path, out: Path | None, filling: Filling | None = None, *, replace: bool = False
) -> tuple[Adopted, Receipt]:
    """
    Add the tables that a workbook lacks, into the file itself or into a copy at `out`.

    With a `filling` they hold the rows of a starting workbook; what the check would stop at is added at Include = no.
    Crops that are named are added to tables of crops and preserves that are there. Raises WorkbookRefused,
    CouldNotWrite and CommandWrong; nothing is written then.
    """
    book = Book.open(path)
    adopted = adopt(book, filling)
    if filling is not None and (wrong := stopped(book, adopted.places, adopted.filled.rows)):
        book = Book.open(path)
        adopted = adopt(book, filling, {name: sentences(problem)[0] for name, problem in wrong.items()})
    if filling is not None and filling.crops and {"Crops", "Preserves"} <= {table for table, _ in adopted.used}:
        adopted = with_addition(adopted, add_crops(book, filling.crops))
    if adopted.added or any(adopted.filled.rows.values()):
        count_writing(book)
    return adopted, book.save(out, replace=replace)


def with_addition(adopted: Adopted, addition: Addition) -> Adopted:
    """Return what moving in came to, with rows that tables of theirs got."""
    filled = adopted.filled
    more = {table: rows for table, rows in addition.rows.items() if rows}
    contents = dataclasses.replace(filled.contents, rows={**filled.rows, **more})
    left_out = (*filled.left_out, *addition.left_out)
    return dataclasses.replace(adopted, filled=dataclasses.replace(filled, contents=contents, left_out=left_out))


def adoption_of(adopted: Adopted) -> Adoption:
    """Return what moving in came to, for the page that shows it."""
    filled = adopted.filled
    rows = {table: len(several) for table, several in filled.rows.items()}
    return Adoption(
        adopted.sheets,
        adopted.added,
        adopted.used,
        adopted.problems,
        rows,
        filled.called,
        filled.left_out,
        filled.notes,
    )


# Two copies of a workbook, both changed, brought together by the copy that both came from.

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
