"""Names of tables, columns and settings that a workbook had before, for a "did you mean": none is read."""

from __future__ import annotations

from stillroom.household.names import key

FORMER_TABLES = {
    key(before): now
    for before, now in {
        "Needs": "Winter list",
        "Counts": "Counts toward",
        "Larder": "Pantry",
        "Limits": "Bottlenecks",
    }.items()
}
"""Today's name of a table by the key of its former one."""

FORMER_HEADINGS = {
    (table, key(before)): now
    for table, before, now in (
        ("Containers", "Coming back each week", "Empties returned per week"),
        ("Preserves", "Way", "Method"),
        ("Preserves", "Make", "Include"),
        ("Winter list", "Need", "Target"),
        ("Winter list", "Weight", "Relative priority"),
        ("Counts toward", "Need", "Target"),
        ("Plan", "Fix", "Keep at"),
    )
}
"""Today's heading of a column by its table and the key of its former one."""

FORMER_SETTINGS = {
    key(before): now
    for before, now in {
        "days planned singly": "days planned in detail",
        "weeks after that": "weeks planned roughly",
        "fill needs evenly": "fill targets evenly",
        "minutes to set up a kind": "setup minutes",
    }.items()
}
"""Today's name of a setting by the key of its former one."""
