"""The workbook for the next year: what is carried over worked out by hand, past years kept, the rest left as it was."""

import copy
import datetime
import json
import random
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tests.household.three_seasons import PASTE, three_seasons
from tests.samples import count
from tests.small_kitchen import FRIDAY, KITCHEN, write_tables

from stillroom.app.plan import read_book, read_workbook
from stillroom.app.year import garden_of, next_year_of, review_of, write_next_year_to
from stillroom.cli import run
from stillroom.errors import CommandWrong
from stillroom.household.journal.past_years import with_past
from stillroom.household.records import Lot
from stillroom.household.results.bottlenecks import PAST_NOTE, Past, past_text
from stillroom.household.results.next_year import Change, expected_of
from stillroom.household.units import POUND_KG
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.reader.record import read_past
from stillroom.workbook.writer.next_year import change_cell
from stillroom.workbook.writer.plan import notes_in, write_notes
from stillroom.workbook.writer.record import add_rows

JUICE = "tomato juice, quart"
NOVEMBER = datetime.date(2026, 11, 1)
YEAR_ON = datetime.date(2027, 8, 13)
BEFORE = datetime.date(2025, 9, 1)
DEMO = Path(__file__).parents[2] / "demo" / "tomato_glut.xlsx"


def a_year(**others):
    """A year of the small kitchen: a load with a jar that did not seal, lids bought, two quarts eaten, crop frozen."""
    tables = copy.deepcopy(KITCHEN)
    tables["Crops"][0]["May be frozen whole"] = "yes"
    tables["Containers"][0] |= {"Counted on": FRIDAY, "Note": "blue box"}
    tables["Harvest"] += [
        {"Picked on": FRIDAY, "Crop": "plum tomato", "Amount": 10, "Frozen on": FRIDAY},
        {"Picked on": NOVEMBER, "Crop": "plum tomato", "Amount": 40, "Weighed or expected": "expected"},
    ]
    tables["Shelf"] = [
        {"Preserve": JUICE, "On hand": 2, "Made on": BEFORE, "Note": "by the door"},
        {"Preserve": JUICE, "On hand": 3, "Made on": datetime.date(2025, 9, 8)},
    ]
    tables["Record"] = [
        {"Date": FRIDAY, "Preserve": JUICE, "Made": 7, "Failed seals": 1, "Crop": "plum tomato", "Crop used": 28}
        | {"Hands-on hours": 2, "Note": "thick", "Weather": "rain"},
        {"Date": FRIDAY, "Preserve": "lid", "What happened": "bought", "Made": 12},
        {"Date": NOVEMBER, "Preserve": JUICE, "What happened": "ate", "Made": 3},
    ]
    tables["Plan"] = [
        {"Day": FRIDAY, "Days": 1, "Preserve": JUICE, "Make": 8, "Unit": "quart", "Keep at": 8, "Note": "early"},
        {"Day": FRIDAY, "Days": 1, "Preserve": "freeze whole: plum tomato", "Make": 10, "Unit": "lb"},
    ]
    return tables | others


@pytest.fixture(scope="module")
def kitchen(tmp_path_factory):
    """The year's workbook."""
    path = tmp_path_factory.mktemp("year") / "kitchen.xlsx"
    return write_tables(path, a_year(), own_columns={"Record": ("Weather",)}, spare_rows={"Plan": 2})


@pytest.fixture(scope="module")
def turned(kitchen):
    """The next year's workbook, and what was said of it; the old one keeps its bytes."""
    old, out = kitchen.read_bytes(), kitchen.with_name("next.xlsx")
    found = next_year_of(kitchen, out, None, FRIDAY)
    write_next_year_to(found, out)
    assert kitchen.read_bytes() == old
    return out, found


@pytest.fixture(scope="module")
def after(turned):
    """The next year's workbook as it is read."""
    return read_workbook(turned[0], FRIDAY)


@pytest.fixture(scope="module")
def seasons(tmp_path_factory):
    """The three seasons and their next year."""
    path = three_seasons(tmp_path_factory.mktemp("seasons") / "kitchen.xlsx")
    found = next_year_of(path, path.with_name("next.xlsx"), None, FRIDAY)
    write_next_year_to(found, path.with_name("next.xlsx"))
    return path, found


@cache
def sheets(path):
    """The sheets of a workbook that is not written any more."""
    return list(load_workbook(path))


def rows(path, name):
    """The filled rows of a table, by heading."""
    sheet = next(one for one in sheets(path) if name.replace(" ", "_") in one.tables)
    (headings, *several) = sheet[sheet.tables[name.replace(" ", "_")].ref]
    found = [{head.value: cell.value for head, cell in zip(headings, row, strict=True)} for row in several]
    return [row for row in found if any(value is not None for value in row.values())]


# What is carried over, by hand.


def test_the_year_begins_52_weeks_after_the_first_picking_and_checks_without_errors(after):
    assert (after.typed.kitchen.first_day, after.errors) == (YEAR_ON, ())


def test_counts_are_what_is_left_on_the_day_of_the_last_record(after, turned):
    """24 jars, 7 filled and 3 empty again; 24 lids, 12 bought, 8 used; 4 cups of juice, 8 jars of 2 tbsp."""
    jar, lid, lemon = after.typed.containers[0], after.typed.lids[0], after.typed.pantry[0]
    assert (jar.on_hand, lid.on_hand, lemon.on_hand * lemon.per_base) == (20, 28, pytest.approx(3))
    assert {jar.counted_on, lid.counted_on, lemon.counted_on} == {NOVEMBER}
    assert rows(turned[0], "Containers")[0]["Note"] == "blue box"


def test_the_shelf_keeps_its_rows_and_dates_without_what_was_eaten(after, turned):
    """Of 2 and 3 old quarts 3 were eaten, the oldest first; the row used up goes with its note."""
    assert [(row.count, row.made_on) for row in after.typed.shelf] == [(7, FRIDAY), (2, datetime.date(2025, 9, 8))]
    assert [row["Note"] for row in rows(turned[0], "Shelf")] == [None, None]
    assert after.typed.shelf[0].best_by == datetime.date(2027, 8, 14)


def test_frozen_crop_stays_and_the_weighings_are_expected_a_year_later(after, turned):
    frozen, fresh = after.typed.lots
    assert (frozen.kg, frozen.frozen_on, frozen.expected) == (pytest.approx(10 * POUND_KG), FRIDAY, False)
    assert (fresh.picked_on, fresh.kg, fresh.expected) == (YEAR_ON, pytest.approx(70 * POUND_KG), True)
    assert (fresh.least_kg, fresh.most_kg) == (None, None)
    assert [row["Note"] for row in rows(turned[0], "Harvest")] == [None, "our record, 1 season"]


def test_record_plan_and_lots_are_in_past_years_with_what_was_written_beside_them(turned, after):
    past = rows(turned[0], "Past years")
    assert [(row["What happened"], row["Made"], row["Amount"], row["Note"]) for row in past] == [
        ("on hand", 2, None, None),
        ("on hand", 3, None, None),
        ("weighed", None, 60, None),
        ("weighed", None, 10, None),
        ("made", 7, 28, "thick; Weather: rain"),
        ("bought", 12, None, None),
        ("planned", 8, None, "early"),
        ("planned", None, 10, None),
        ("expected", None, 40, None),
        ("ate", 3, None, None),
    ]
    assert {row["Year"] for row in past} == {2025, 2026}
    assert (after.typed.record, after.typed.plan_lines) == ((), ())
    assert rows(turned[0], "Record") == rows(turned[0], "Plan") == []


def test_what_is_read_back_with_past_years_is_the_year_as_it_was(kitchen, after):
    before = read_workbook(kitchen, FRIDAY).typed
    past, problems = read_past(after.book, after.typed)
    whole = with_past(after.typed, past)
    assert problems == ()
    assert sorted(whole.record, key=repr) == sorted(before.record, key=repr)
    assert sorted(whole.shelf, key=repr) == sorted(before.shelf, key=repr)
    assert [lot for lot in whole.lots if lot not in before.lots] == [lot for lot in after.typed.lots if lot.expected]


def test_everything_else_keeps_its_cells(kitchen, turned):
    for name in ("Hours", "Equipment", "Crops", "Preserves", "Ingredients", "Winter list", "Counts toward"):
        assert rows(turned[0], name) == rows(kitchen, name)


def test_the_page_and_the_json_show_what_to_look_at(kitchen, tmp_path, capsys):
    words = ["next-year", str(kitchen), "--out", str(tmp_path / "next.xlsx")]
    assert run(words) == 0
    page = " ".join(capsys.readouterr().out.split())
    for part in (
        "first day Aug 13, 2027; the last season began Aug 14, 2026",
        "10 rows moved to Past years.",
        "Containers: 1 count of Nov 1, 2026: 20 quart jars, was 24.",
        "plum tomato: 70 lb in 1 lot, Aug 13, 2027 (as in the one season).",
        "In the freezer: 10 lb plum tomato.",
        "Saved in next.xlsx. Your workbook is unchanged.",
    ):
        assert part in page
    assert run([*words, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["first_day"], found["counted_on"], found["past_years"]) == ("2027-08-13", "2026-11-01", 10)
    assert found["expected"][0]["lots"] == [
        {"crop": "plum tomato", "picked_on": "2027-08-13", "frozen_on": None, "amount": pytest.approx(70)}
        | {"least": None, "most": None, "unit": "lb"}
    ]


# Several years.


def test_of_several_seasons_the_middle_the_least_and_the_most_of_each_week_are_expected():
    """One season a day later, one without anything in the second week; a week of one season in three is left out."""
    picked = [
        (2024, 8, 16, 6),
        (2025, 8, 15, 9),
        (2026, 8, 14, 30),
        (2025, 8, 22, 4),
        (2026, 8, 21, 2),
        (2026, 9, 4, 5),
    ]
    lots = [Lot("plum", datetime.date(*day), kg) for *day, kg in picked]
    found = expected_of("plum", lots, FRIDAY, YEAR_ON)
    assert (found.seasons, found.rare) == (3, 1)
    assert [(lot.picked_on, lot.kg, lot.least_kg, lot.most_kg) for lot in found.lots] == [
        (YEAR_ON, 9, 6, 30),
        (datetime.date(2027, 8, 20), 2, 0, 4),
    ]


def test_the_record_is_typed_in_as_the_households_own_with_the_old_value_beside_it(seasons):
    path = seasons[0].with_name("next.xlsx")
    paste = next(row for row in rows(path, "Ingredients") if (row["Preserve"], row["Unit"]) == (PASTE, "lb"))
    assert paste["Amount each"] == pytest.approx(3.25 / 1.2, rel=0.02)
    assert paste["Note"] == "our record, 3 seasons (3.25 lb before)"
    hands = rows(path, "Preserves")[0]
    assert hands["Note"] == "our record, 3 seasons (5 and 30 min before)"
    juice, pints = rows(path, "Winter list")
    assert juice["Wanted"] > 20
    assert juice["Note"].startswith("our record: 20 quarts wanted before. At ")
    assert (pints["Wanted"], "Never eaten" in pints["Note"]) == (0, True)


def test_the_review_of_the_next_year_has_all_years_and_each_thing_once(seasons):
    before, after = (review_of(read_workbook(path, FRIDAY)) for path in (seasons[0], seasons[0].with_name("next.xlsx")))
    assert (after.records, after.years, after.equipment) == (before.records, before.years, before.equipment)
    assert [(one.weighed_kg, one.years, one.ratio) for one in after.crops] == [
        (pytest.approx(one.weighed_kg), one.years, pytest.approx(one.ratio)) for one in before.crops
    ]
    assert [one.eaten for one in after.targets] == pytest.approx([one.eaten for one in before.targets], abs=2)


def test_before_its_first_weighing_a_next_year_is_reviewed_up_to_the_last_record(after):
    """Else nothing eaten until its first day would count as eating slowly."""
    assert review_of(after).day == NOVEMBER


def test_the_garden_of_the_next_year_is_filled_as_the_last_season_was(seasons):
    """Both quarts of juice, by the record in Past years; the targets and yields are those of the next year already."""
    path, _ = seasons
    before, after = (garden_of(read_workbook(one, FRIDAY))[0] for one in (path, path.with_name("next.xlsx")))
    shares = [one.targets[0].containers[PASTE] / sum(one.targets[0].containers.values()) for one in (before, after)]
    assert shares[0] == pytest.approx(shares[1])
    assert 0.4 < shares[0] < 0.6


def test_what_ran_short_is_kept_for_the_review(kitchen, tmp_path):
    """Of all that a plan notes for the next one, only that."""
    path = tmp_path / "kitchen.xlsx"
    path.write_bytes(kitchen.read_bytes())
    book = Book.open(path)
    write_notes(book, {"inputs": "old", PAST_NOTE: past_text([Past(FRIDAY, "quart jar", 9.0)])})
    book.save()
    write_next_year_to(next_year_of(path, tmp_path / "next.xlsx", None, FRIDAY), tmp_path / "next.xlsx")
    assert list(notes_in(Book.open(tmp_path / "next.xlsx"))) == [PAST_NOTE]
    (one,) = review_of(read_workbook(tmp_path / "next.xlsx", FRIDAY)).bottlenecks
    assert (one.name, one.plans, one.containers) == ("quart jar", 1, 9.0)


def test_two_years_running_keep_both_and_a_workbook_in_use_is_not_replaced(seasons, tmp_path, capsys):
    first, second = tmp_path / "first.xlsx", tmp_path / "second.xlsx"
    first.write_bytes(seasons[0].with_name("next.xlsx").read_bytes())
    many = review_of(read_workbook(first, FRIDAY)).records
    assert run(["weigh", str(first), "paste tomato", "30lb", "--on", "2026-08-20"]) == 0
    assert run(["made", str(first), PASTE, "7", "--used", "19lb", "--on", "2026-08-20"]) == 0
    assert run(["next-year", str(first), "--out", str(second)]) == 0
    found = review_of(read_workbook(second, FRIDAY))
    assert (found.records, [one.year for one in found.years][-1]) == (many + 1, 2026)
    assert next(one.years for one in found.crops if one.crop.name == "paste tomato") == 4
    assert run(["weigh", str(second), "paste tomato", "1lb", "--on", "2027-08-20"]) == 0
    capsys.readouterr()
    kept = second.read_bytes()
    assert run(["next-year", str(first), "--out", str(second)]) == 3
    assert "second.xlsx" in capsys.readouterr().err
    assert second.read_bytes() == kept
    assert run(["next-year", str(first), "--out", str(second), "--replace"]) == 0
    assert kept in [path.read_bytes() for path in tmp_path.glob("second.before-*")]


def random_year(year, chance):
    """What a household weighs and records from August to February: every use within what was weighed that day."""
    lots, record = [], []
    for week in sorted(chance.sample(range(12), 6)):
        day = datetime.date(year, 8, 5) + datetime.timedelta(days=7 * week + chance.randint(0, 3))
        lb = chance.randint(36, 60)
        lots.append({"Picked on": day, "Crop": "plum tomato", "Amount": lb})
        filled, failed = chance.randint(6, 9), chance.randint(0, 1)
        record.append(
            {"Date": day, "Preserve": JUICE, "Made": filled, "Failed seals": failed, "Crop": "plum tomato"}
            | {"Crop used": 3 * (filled + failed), "Hands-on hours": chance.choice((None, 1.5))}
        )
        if chance.random() < 0.4:
            record.append({"Date": day, "Preserve": "freeze whole: plum tomato", "Crop used": chance.randint(1, 2)})
        if chance.random() < 0.3:
            record.append({"Date": day, "Preserve": "lid", "What happened": "bought", "Made": 12})
    for number in range(28):
        day = datetime.date(year, 11, 1) + datetime.timedelta(days=chance.randint(0, 90))
        what = "ate" if number < 24 else chance.choice(("gave", "spoiled"))
        row = {"Date": day, "Preserve": JUICE, "What happened": what}
        record.append(row | {"Made": chance.randint(1, 2)})
    record.append({"Date": datetime.date(year, 12, 24), "Preserve": "thaw: plum tomato", "Crop used": 1})
    return lots, record


def entered(path, year):
    """Enter a year into a workbook."""
    book = Book.open(path)
    for name, several in zip(("Harvest", "Record"), year, strict=True):
        add_rows(book, name, several)
    book.save()


def state_of(reading):
    """What is there: stocks, shelf by dates, and crop in the freezer."""
    shelf, frozen = Counter(), Counter()
    for row in reading.household.shelf:
        shelf[row.preserve, row.made_on, row.best_by] += row.count
    for lot in reading.household.lots:
        if lot.frozen_on is not None:
            frozen[lot.frozen_on] += lot.kg
    stocks = [
        (one.name, one.on_hand)
        for table in ("containers", "lids", "pantry")
        for one in getattr(reading.household, table)
    ]
    return [*stocks, *sorted(shelf.items(), key=str), *sorted(frozen.items())]


@pytest.mark.parametrize("seed", range(count(1, 100)))
def test_three_years_through_next_year_are_as_in_one_workbook_that_goes_on(tmp_path, seed):
    """Nothing is lost and nothing counts twice: the same stocks, shelf and freezer, and the same review."""
    chance = random.Random(seed)
    tables = copy.deepcopy(KITCHEN)
    tables["Kitchen"].append({"Setting": "use learned yields", "Value": "no"})
    tables["Containers"][0]["On hand"] = tables["Lids"][0]["On hand"] = 400
    tables["Pantry"][0]["On hand"] = 90
    start = {"Harvest": [], "Record": [], "Shelf": [{"Preserve": JUICE, "On hand": 5, "Made on": BEFORE}]}
    one, path = (write_tables(tmp_path / f"{name}.xlsx", tables | start) for name in ("one", "2026"))
    for year in (2026, 2027, 2028):
        rows_of_year = random_year(year, chance)
        entered(one, rows_of_year)
        entered(path, rows_of_year)
        out = tmp_path / f"{year + 1}.xlsx"
        write_next_year_to(next_year_of(path, out, None, FRIDAY), out)
        path = out
    after = read_workbook(path, FRIDAY)
    before = read_book(Book.open(one), FRIDAY, after.typed.kitchen.first_day)
    assert state_of(after) == [(name, pytest.approx(many)) for name, many in state_of(before)]
    new = review_of(after)
    old = review_of(read_book(Book.open(one), FRIDAY, new.day))
    assert (new.records, new.years, new.equipment, new.preserves) == (
        old.records,
        old.years,
        old.equipment,
        old.preserves,
    )
    assert [(row.weighed_kg, row.years, row.sessions) for row in new.crops] == [
        (pytest.approx(row.weighed_kg), row.years, row.sessions) for row in old.crops
    ]
    rates = [[(row.put_up, row.eaten, row.given, row.a_month) for row in found.targets] for found in (old, new)]
    assert rates[0] == rates[1]
    assert rates[0][0][-1] is not None


# What is refused, and what is only said.


@pytest.mark.parametrize(
    ("out", "day", "words"),
    [("kitchen.xlsx", None, "the workbook itself"), ("other.xlsx", "10/30/2026", "goes up to Nov 1, 2026")],
)
def test_the_workbook_itself_and_a_day_before_the_last_record_are_refused(kitchen, out, day, words):
    with pytest.raises(CommandWrong, match=words):
        next_year_of(kitchen, kitchen.with_name(out), day, FRIDAY)


def test_a_first_day_that_is_named_is_taken(kitchen):
    found = next_year_of(kitchen, kitchen.with_name("other.xlsx"), "2027-07-01", FRIDAY).found
    assert found.first_day == datetime.date(2027, 7, 1)
    assert [lot.picked_on for one in found.expected for lot in one.lots] == [YEAR_ON]


def test_rows_of_past_years_with_a_name_that_is_gone_are_left_out_and_said_once(turned, tmp_path):
    path = tmp_path / "renamed.xlsx"
    book = load_workbook(turned[0])
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value == JUICE and sheet.title != "Past years":
                    cell.value = "passata, big"
    book.save(path)
    found = review_of(read_workbook(path, FRIDAY))
    (problem,) = found.problems
    assert (problem.kind, problem.names) == ("past rows left out", ("4 rows", f" ({JUICE})"))
    assert found.records == 1


def test_a_formula_stays_and_the_value_it_would_get_is_said():
    book, said = Book.open(DEMO), []
    change = Change("Winter list", "Winter list!A6", "tomato juice", "Wanted", 35, 40, "quart", "our record")
    change_cell(book, change, None, said)
    assert said == ["Winter list!B6 is a formula, so it stays: Wanted of tomato juice would be 40 quart."]
    assert not book.changed()


def test_the_winter_list_of_a_demo_keeps_its_formulas_and_their_results(tmp_path):
    """They look up the number of people in Kitchen, where only the first day changes."""
    found = next_year_of(DEMO, tmp_path / "next.xlsx", None, FRIDAY)
    assert found.errors == ()
    receipt = write_next_year_to(found, tmp_path / "next.xlsx")
    assert not any(cell.startswith("Winter list!") for cell in receipt.results_cleared)
    sheets = [load_workbook(one, data_only=True, read_only=True) for one in (DEMO, tmp_path / "next.xlsx")]
    before, after = ([row[1] for row in one["Winter list"].iter_rows(values_only=True)] for one in sheets)
    assert before == after
    assert 27 in before
