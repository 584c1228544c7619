"""What comes of two copies of a workbook: what is taken, what the household decides, and what was written."""

from __future__ import annotations

from collections import Counter
from typing import Any

from stillroom.household.merging import Question, TwoCopies
from stillroom.household.results.commands import Receipt, save_words
from stillroom.household.text import format_count, quoted
from stillroom.reports.json import as_json

MOST_LISTED = 30


def merge_lines(found: TwoCopies) -> list[str]:
    """Say what is taken from the second copy, what was or is to be decided, and what stays as it is."""
    merged, theirs = found.merged, found.theirs_name
    if found.known:
        return [f"{found.mine_name} has all of {theirs} already."]
    lines = [f"Both come from {found.base_name}." if found.base_name is not None else NO_BASE]
    counts = Counter(one.table for one in merged.taken)
    taken = ", ".join(f"{table} {count}" for table, count in counts.items())
    lines.append(f"From {theirs}: {taken}." if taken else f"From {theirs}: nothing that is not here.")
    lines += [f"  {one.table}, {one.what}: {now_words(one.now, one.before)}" for one in merged.taken[:MOST_LISTED]]
    if len(merged.taken) > MOST_LISTED:
        lines.append(f"  and {len(merged.taken) - MOST_LISTED} more; they are listed in the Merged sheet")
    answered = [one for one in merged.questions if one.answer]
    lines += ["Decided:"] * bool(answered)
    lines += [f"  {question_words(one)}. Taken: {one.answer}" for one in answered[:MOST_LISTED]]
    if merged.open:
        lines.append(f"You decide ({format_count(len(merged.open), 'question')}):")
        lines += [f"  {question_words(one)}" for one in merged.open]
    if found.sheets:
        lines.append(f"Your own cells in these sheets are otherwise in {theirs}; they stay: {', '.join(found.sheets)}.")
    if found.columns:
        lines.append(f"Only {theirs} has these columns; they are not taken: {'; '.join(found.columns)}.")
    return lines


NO_BASE = (
    "No copy that both come from was found (name one with --base). "
    "Equal rows of Harvest, Record and Shelf count once; everything else that differs is asked."
)


def now_words(now: str, before: str) -> str:
    """
    Say what changes.

    >>> now_words("33", "30"), now_words("3, counted once", "")
    ('33 (was 30)', '3, counted once')
    """
    return f"{now} (was {before})" if before else now


def question_words(question: Question) -> str:
    """
    Show a question with what stands in both copies.

    >>> question_words(Question("Lids, lid, On hand", "33 (On hand!B3)", "30 (On hand!B3)"))
    'Lids, lid, On hand: mine: 33 (On hand!B3); theirs: 30 (On hand!B3)'
    """
    return f"{question.label}: mine: {question.mine}; theirs: {question.theirs}" + (
        "; or both" if question.both else ""
    )


def how_to_answer(question: Question) -> list[str]:
    """Say how questions are answered where nobody can be asked."""
    return [
        "Nothing was written. Answer all with --take mine (or theirs, both), or each in a file for --answers:",
        f"  {question.label} = theirs",
    ]


def merge_object(found: TwoCopies, receipt: Receipt | None) -> dict[str, Any]:
    """Give the same for other programs, with the receipt of what was written."""
    return {
        "base": found.base_name,
        "taken": [vars(one) for one in found.merged.taken],
        "questions": [vars(one) for one in found.merged.questions],
        "sheets": list(found.sheets),
        "columns": list(found.columns),
        "receipt": None if receipt is None else as_json(receipt),
    }


def written_lines(receipt: Receipt) -> list[str]:
    """Say what was written, and what to do next."""
    if not receipt.written:
        return ["Nothing was changed."]
    copy = "" if receipt.backup is None else f"; the copy before: {receipt.backup.name}"
    lines = [f"Written: {receipt.path.name}{copy}.", *save_words(receipt)]
    return [*lines, f"The plan is still the one before: run stillroom plan {quoted(receipt.path.name)}"]
