"""Ways of writing a search that early releases of Python 3.11 get wrong."""

from __future__ import annotations

import re
from pathlib import Path

ROOM = Path(__file__).resolve().parents[3] / "src" / "stillroom"
POSSESSIVE_GROUP = re.compile(r"\)[*+?]\+(?=[^+]*[\"'])")


def test_no_group_is_repeated_possessively():
    """
    Python up to 3.11.4 matches `(...)*+` wrongly where the group holds something that backtracks (its issue 106052).

    On Python 3.11.2 the check of a new file refused a sound one. An atomic group, `(?>(...)*)`, says the same.
    """
    found = [
        f"{path.name}: {line.strip()}"
        for path in sorted(ROOM.rglob("*.py"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if POSSESSIVE_GROUP.search(line)
    ]
    assert found == []


def test_the_search_for_such_groups_finds_them():
    assert POSSESSIVE_GROUP.search("""rb"(?:a|b)*+" """)
    assert POSSESSIVE_GROUP.search("""rb'(?: s="x")?+'""")
    assert not POSSESSIVE_GROUP.search("""rb"(?>(?:a|b)*)" """)
