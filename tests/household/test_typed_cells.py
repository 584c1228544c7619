"""The mark of what a plan was made from, and which cells changed since: one by one, or as the one slip behind them."""

from __future__ import annotations

import datetime
import random
from dataclasses import replace

import pytest

from stillroom.household.examples import tiny_household
from stillroom.household.journal.fingerprint import digest
from stillroom.household.journal.typed_cells import TypedTable, changes, listed, packed, unpacked
from stillroom.household.records import PlanLine

HOME = tiny_household()


def shuffled(household, seed):
    """The same household with the rows of every table in another order and elsewhere."""
    rng = random.Random(seed)
    changed = {}
    for name in (
        "hours",
        "equipment",
        "crops",
        "lots",
        "containers",
        "lids",
        "pantry",
        "shelf",
        "preserves",
        "targets",
        "record",
        "plan_lines",
    ):
        rows = [replace(row, where=f"Elsewhere!A{rng.randrange(999)}") for row in getattr(household, name)]
        rng.shuffle(rows)
        changed[name] = tuple(rows)
    return replace(household, **changed)


@pytest.mark.parametrize("seed", range(5))
def test_the_order_and_place_of_rows_do_not_matter(seed):
    assert digest(shuffled(HOME, seed)) == digest(HOME)


def test_every_input_matters():
    """Each record is changed in each of its fields; every change gives another mark."""
    marks = {digest(HOME)}
    number = 1
    for name in (
        "hours",
        "equipment",
        "crops",
        "lots",
        "containers",
        "lids",
        "pantry",
        "shelf",
        "preserves",
        "targets",
    ):
        for field in vars(getattr(HOME, name)[0]):
            if field in ("where", "kg_per_litre", "pot_litres_per_kg", "into_jars", "refused"):
                continue
            first, *rest = getattr(HOME, name)
            changed = replace(HOME, **{name: (replace(first, **{field: ("another", number)}), *rest)})
            marks.add(digest(changed))
            number += 1
    for field in vars(HOME.kitchen):
        if field not in (
            "where",
            "gauge_where",
            "spending_where",
            "latest_end_where",
            "first_day_typed",
            "already_spent",
        ):
            marks.add(digest(replace(HOME, kitchen=replace(HOME.kitchen, **{field: ("another", number)}))))
            number += 1
    assert len(marks) == number


def test_what_the_last_plan_said_and_notes_do_not_matter_but_fix_and_made_do():
    day = datetime.date(2026, 8, 14)
    bare = replace(HOME, plan_lines=())
    planned = replace(
        HOME, plan_lines=(PlanLine(day, 1, "juice", make=14.0, note="with Kim"), PlanLine(day, 1, "", note="hot today"))
    )
    fixed = replace(HOME, plan_lines=(PlanLine(day, 1, "juice", make=14.0, fix=7.0),))
    own = replace(HOME, plan_lines=(PlanLine(day, 1, "juice", fix=7.0),))
    made = replace(HOME, plan_lines=(PlanLine(day, 1, "juice", make=14.0, made=7.0),))
    assert digest(planned) == digest(bare)
    assert digest(fixed) == digest(own)
    assert len({digest(bare), digest(fixed), digest(made)}) == 3


def test_a_first_day_that_was_typed_and_the_same_day_as_today_are_one():
    assert digest(replace(HOME, kitchen=replace(HOME.kitchen, first_day_typed=False))) == digest(HOME)


def test_whole_numbers_and_their_decimal_twins_are_one():
    targets = tuple(replace(target, wanted=float(target.wanted), weight=int(target.weight)) for target in HOME.targets)
    assert digest(replace(HOME, targets=targets)) == digest(HOME)


# Which cells changed since the last plan: one by one, or as the one slip that changed them all.

HEADINGS = ("Crop", "Keeps days", "Bushel weighs", "Unit")
ROWS = [
    ["plum tomato", 4.0, 53.0, "lb"],
    ["sweet corn", 2.0, 35.0, "lb"],
    ["carrot", 21.0, 50.0, "kg"],
    ["snap beans", 3.0, 30.0, "lb"],
    ["peas", 1.0, 28.0, "oz"],
]


def table(rows, first=6):
    """A table Crops on the sheet Harvest, from column C on."""
    lines = tuple((first + down, tuple(row)) for down, row in enumerate(rows) if any(row))
    return TypedTable("Crops", "Harvest", HEADINGS, (3, 4, 5, 6), lines)


def told(rows, **more):
    """The lines on what became of the table."""
    return listed(changes([table(ROWS)], [table(rows, **more)]))


def typed_over(cells):
    """The rows with other values, by row and column from 0."""
    return [[cells.get((down, across), value) for across, value in enumerate(row)] for down, row in enumerate(ROWS)]


def test_nothing_changed_in_rows_that_only_moved_or_were_sorted():
    assert told(ROWS) == told(ROWS, first=9) == told(sorted(ROWS)) == []


def test_a_cell_is_listed_with_what_stood_there_and_what_stands_there():
    assert told(typed_over({(1, 1): 20.0})) == ["Harvest D7: Keeps days of sweet corn was 2 and is 20."]
    assert told(typed_over({(2, 3): None})) == ["Harvest F8: Unit of carrot was kg and is blank."]
    assert told(typed_over({(3, 1): "=2026-08-14"})) == [
        "Harvest D9: Keeps days of snap beans was 3 and is Fri Aug 14."
    ]


def test_a_changed_name_is_the_same_row():
    assert told(typed_over({(4, 0): "pease"})) == ["Harvest C10: Crop was peas and is pease."]


def test_a_cell_of_rows_that_were_sorted_too_is_found_by_its_name():
    rows = sorted(typed_over({(1, 1): 20.0}))
    assert told(rows) == ["Harvest D10: Keeps days of sweet corn was 2 and is 20."]


@pytest.mark.parametrize(
    ("column", "values", "words"),
    [
        (1, [4.0] * 5, "Harvest D7:D10: Keeps days is 4 in 4 more rows, as if it was filled down."),
        (2, [28.0, 30.0, 35.0, 50.0, 53.0], "Harvest E6:E10: Bushel weighs has the same values in another order, as if it was sorted without the rest."),
        (1, [4.0, None, 2.0, 21.0, 3.0], "Harvest D7:D10: Keeps days moved one row down."),
        (1, [2.0, 21.0, 3.0, 1.0, None], "Harvest D6:D10: Keeps days moved one row up."),
        (2, [None] * 5, "Harvest E6:E10: Bushel weighs was cleared in 5 rows."),
        (2, [1.0, 2.0, 3.0, 4.0, 5.0], "Harvest E6:E10: Bushel weighs changed in 5 rows; the first was 53 and is 1."),
    ],
)  # fmt: skip
def test_several_cells_of_a_column_are_the_one_slip_they_come_from(column, values, words):
    cells = {(down, column): value for down, value in enumerate(values)}
    assert told([[cells.get((down, across), value) for across, value in enumerate(row)] for down, row in enumerate(ROWS)]) == [words]  # fmt: skip


def test_two_values_that_are_shown_alike_only_changed():
    assert told(typed_over({(3, 0): "snap beans" * 9})) == [
        f"Harvest C9: Crop was snap beans and is {'snap beans' * 4}."
    ]
    long = [["x" * 50 + end, 1.0, 2.0, "lb"] for end in ("y", "z")]
    assert listed(changes([table(long[:1])], [table(long[1:])])) == ["Harvest C6: Crop changed."]


def test_changes_in_a_column_that_has_one_value_everywhere_did_not_move():
    same = [[row[0], 2.0, *row[2:]] for row in ROWS] + [["beets", 2.0, 52.0, "lb"], ["leeks", 2.0, 9.0, "lb"]]
    slips = [[row[0], 5.0 + down if down % 2 else 2.0, *row[2:]] for down, row in enumerate(same)]
    assert listed(changes([table(same)], [table(slips)])) == [
        "Harvest D7:D11: Keeps days changed in 3 rows; the first was 2 and is 6."
    ]


def test_tables_without_a_heading_in_common_have_no_changes():
    bare = TypedTable("Crops", "Harvest", (), (), ((6, ()),))
    assert changes([table(ROWS)], [bare]) == changes([bare], [table(ROWS)]) == []


def test_cells_pushed_to_the_side_are_one_change():
    rows = [[row[0], None, row[1], row[2]] if down in (1, 2, 3) else row for down, row in enumerate(ROWS)]
    assert told(rows) == ["Harvest E7:F9: The cells moved one column to the right."]


def test_rows_that_came_and_went_are_listed_once_for_a_table():
    assert told([*ROWS, ["beets", 14.0, 52.0, "lb"], ["leeks", 7.0, None, "lb"]]) == ["Harvest C11:C12: 2 new rows."]
    assert told(ROWS[2:], first=8) == ["Harvest C6:C7: 2 rows of plum tomato, sweet corn are gone from Crops."]
    assert told(ROWS[:3]) == ["Harvest C9:C10: 2 rows of snap beans, peas are gone from Crops."]


def test_rows_that_went_from_between_others_have_no_place():
    assert told([ROWS[0], *ROWS[2:]]) == ["Harvest: The row of sweet corn is gone from Crops."]


def test_a_column_that_is_not_there_now_is_no_change_of_cells():
    now = replace(table(ROWS), headings=("Crop", "Stays days", *HEADINGS[2:]))
    assert changes([table(ROWS)], [now]) == []


def test_many_changes_are_counted():
    rows = typed_over({(down, across): 7.5 + across for down in (0, 2) for across in (1, 2)} | {(4, 0): "pease"})
    found = changes([table(ROWS)] * 1, [table(rows)])
    assert len(listed(found)) == 5
    assert listed(found * 2)[-1] == "and 4 more"


@pytest.mark.parametrize("text", ["", "scribble", "AAAA", packed([table(ROWS)])[:-9]])
def test_a_note_that_makes_no_sense_lists_nothing(text):
    assert unpacked(text) == []
