"""What was bought, end to end: written into the record once, said by `count`, and gone from the next shopping list."""

import datetime
import json
from copy import deepcopy

import pytest
from openpyxl import load_workbook
from tests.season.household import CONTENT, START, build, with_first_day

from stillroom.cli import run
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.record import add_rows

JUICE = "tomato juice, quart"
BEFORE, AFTER = (START + datetime.timedelta(days=number) for number in (-3, 3))
LEMON = "bottled lemon juice"


def household(path, **changes):
    """The small invented household with its first day typed; `changes` give single rows other cells, by their name."""
    content = deepcopy(CONTENT) | {"Kitchen": with_first_day()}
    for table in ("Containers", "Lids", "Pantry"):
        for row in content[table]:
            row.update(changes.get(next(iter(row.values())).replace(" ", "_"), {}))
    for table, rows in changes.items():
        if table in content:
            content[table] = [*content[table], *rows]
    return build(path, **content)


@pytest.fixture
def kitchen(tmp_path):
    """60 quart jars, 160 lids and 20 cups of lemon juice, all counted on the first day."""
    return household(tmp_path / "kitchen.xlsx")


def said(capsys, *words):
    """Run a command that goes well; gives what it says, its lines joined."""
    code = run(list(map(str, words)))
    told = capsys.readouterr()
    assert code == 0, told.err
    return " ".join(told.out.split())


def record(path):
    """The filled rows of the record."""
    found = Book.open(path).table("Record")
    every = [
        {h: c.value for h, c in zip(found.headings, cells, strict=True) if c.value is not None} for cells in found.rows
    ]
    return [row for row in every if row]


def card(capsys, path, stock):
    """What `count --json` says of a stock: counted, came, used, should be now."""
    assert run(["stock", str(path), "--json"]) == 0
    every = {one["stock"]: one for one in json.loads(capsys.readouterr().out)["stocks"]}
    return tuple(every[stock][name] for name in ("counted", "came", "used", "should_be_now"))


# ---------------------------------------------------------------- what is written and said


def test_jars_that_were_bought_stand_in_the_record_once_and_count_says_they_came(kitchen, capsys):
    text = said(capsys, "bought", kitchen, "Quart  jar", "24", "--on", AFTER)
    assert record(kitchen) == [{"Date": AFTER, "Preserve": "quart jar", "What happened": "bought", "Made": 24}]
    assert "24 quart jars bought on Thu Jul 9: in the record at Record!A2." in text
    assert "60 counted on Mon Jul 6, 24 came, 0 used: 84 there now." in text
    assert 'If lids came with them, enter those too: "lid".' in text
    assert "To undo: stillroom undo kitchen.xlsx" in text
    assert "already" not in text
    assert load_workbook(kitchen)["Containers"]["E2"].value == 60
    assert card(capsys, kitchen, "quart jar") == (60, 24, 0, 84)
    assert "quart jar 60 Jul 6 24 84" in said(capsys, "stock", kitchen)


@pytest.mark.parametrize(
    ("words", "number"),
    [
        (["quart jar", "2 dozen"], 24),
        (["quart jar", "24 jars"], 24),
        (["quart jar", "24 quart jars"], 24),
        (["24", "quart jar"], 24),
        (["lid", "12 lids"], 12),
        (["lid", "½ dozen"], 6),
        (["lid", "1/3 dozen lids"], 4),
        (["bag", "3 bags"], 3),
        (["pint jar", "12.0"], 12),
        (["quart jar", "1,200"], 1200),
        (["quart jars", "24"], 24),
        (["24", "quart jars"], 24),
        (["2", "dozen", "quart", "jars"], 24),
        (["lids", "2", "dozen"], 24),
        (["a dozen", "lids"], 12),
    ],
)
def test_jars_and_lids_are_counted_singly(kitchen, capsys, words, number):
    said(capsys, "bought", kitchen, *words)
    assert record(kitchen)[0]["Made"] == number


@pytest.mark.parametrize(
    ("amount", "cups"),
    [("2cups", 2), ("3", 3), ("1 pint", 2), ("1 1/2 quarts", 6), ("500 ml", 500 / 236.5882365), ("32 tbsp", 2)],
)
def test_an_ingredient_is_entered_in_the_unit_its_row_is_kept_in(kitchen, capsys, amount, cups):
    """A cup is 236.5882365 ml (NIST Handbook 44, appendix C)."""
    text = said(capsys, "bought", kitchen, LEMON, amount)
    assert record(kitchen)[0]["Made"] == pytest.approx(cups, rel=1e-9)
    assert record(kitchen)[0]["Unit"] == "cup"
    assert f" cup {LEMON} bought on " in text
    assert card(capsys, kitchen, LEMON) == pytest.approx((20, cups, 0, 20 + cups))


def test_the_row_keeps_its_unit_when_the_larder_is_kept_in_another_later(kitchen, capsys):
    """Without it, 4 cups would have turned into 4 quarts."""
    said(capsys, "bought", kitchen, LEMON, "4 cups")
    book = load_workbook(kitchen)
    book["Pantry"]["C2"], book["Pantry"]["D2"] = 5, "quart"
    book.save(kitchen)
    assert card(capsys, kitchen, LEMON) == pytest.approx((5, 1, 0, 6))


def test_a_us_pint_in_a_metric_workbook_is_written_so_that_it_can_be_read_again(tmp_path, capsys):
    crops = [
        {"Crop": name, "Keeps days": 3, "Unit": "kg"} for name in ("plums", "pears", "cherries", "quinces", "leeks")
    ]
    kitchen = household(tmp_path / "kitchen.xlsx", bottled_lemon_juice={"Unit": "US pint", "On hand": 3}, Crops=crops)
    assert run(["bought", str(kitchen), LEMON, "1 pint"]) == 2
    assert "type US pint or imperial pint" in capsys.readouterr().err
    said(capsys, "bought", kitchen, LEMON, "2")
    assert card(capsys, kitchen, LEMON)[:2] == pytest.approx((3, 2))
    assert record(kitchen)[0]["Unit"] == "US pint"


def test_a_workbook_without_a_record_gets_one(kitchen, capsys):
    book = load_workbook(kitchen)
    book.remove(book["Record"])
    book.save(kitchen)
    said(capsys, "bought", kitchen, "lid", "12")
    assert record(kitchen) == [{"Date": START, "Preserve": "lid", "What happened": "bought", "Made": 12}]


def test_a_record_without_a_unit_column_takes_the_lemon_juice_too(kitchen, capsys):
    book = load_workbook(kitchen)
    unit = next(cell for cell in book["Record"][1] if cell.value == "Unit")
    unit.value = "Theirs"
    book["Record"].tables["Record"].tableColumns[unit.column - 1].name = "Theirs"
    book.save(kitchen)
    said(capsys, "bought", kitchen, LEMON, "2cups")
    assert record(kitchen) == [{"Date": START, "Preserve": LEMON, "What happened": "bought", "Made": 2}]


# ---------------------------------------------------------------- nothing is counted twice


def test_what_was_bought_before_the_count_is_part_of_it(kitchen, capsys):
    text = said(capsys, "bought", kitchen, "quart jar", "24", "--on", BEFORE)
    assert "It is part of the 60 counted later, on Mon Jul 6; 60 there now." in text
    assert card(capsys, kitchen, "quart jar") == (60, 0, 0, 60)


def test_a_count_of_that_same_day_is_asked_after(kitchen, capsys):
    text = said(capsys, "bought", kitchen, "quart jar", "24")
    assert "84 there now. It was counted that same day: take the row out, if the count has these already." in text


def test_a_count_without_a_day_is_asked_after(tmp_path, capsys):
    kitchen = household(tmp_path / "kitchen.xlsx", quart_jar={"Counted on": None})
    text = said(capsys, "bought", kitchen, "quart jar", "24", "--on", AFTER)
    assert "60 counted, 24 came, 0 used: 84 there now. Counted on is blank: write the day there, and" in text


def test_a_later_count_is_the_truth_again(kitchen, capsys):
    said(capsys, "bought", kitchen, "quart jar", "24", "--on", AFTER)
    book = load_workbook(kitchen)
    book["Containers"]["E2"], book["Containers"]["F2"] = 80, AFTER + datetime.timedelta(days=1)
    book.save(kitchen)
    assert card(capsys, kitchen, "quart jar") == (80, 0, 0, 80)


def test_the_same_purchase_typed_twice_is_asked_after(kitchen, capsys):
    said(capsys, "bought", kitchen, "quart jar", "24")
    again = said(capsys, "bought", kitchen, "quart jar", "24")
    assert "Record!A2 has 24 bought that day already, and both are counted; take one of the rows out" in again


# ---------------------------------------------------------------- why it was wanted


def test_the_record_no_longer_takes_more_than_was_counted(tmp_path, capsys):
    """27 jars filled of 7 counted: 20 too many, till the 24 that were bought are entered; the words name the way."""
    kitchen = household(tmp_path / "kitchen.xlsx", quart_jar={"On hand": 7})
    said(capsys, "made", kitchen, JUICE, "27")
    short = said(capsys, "stock", kitchen)
    assert "The record uses 20 quart jar more than the 7 counted." in short
    assert "Run stillroom bought, or count again" in short
    text = said(capsys, "bought", kitchen, "quart jar", "24")
    assert "7 counted on Mon Jul 6, 24 came, 27 used: 4 there now." in text
    assert "more of *quart jar*" not in text
    assert "more of *quart jar*" not in said(capsys, "stock", kitchen)


def test_too_few_bought_still_is_said_with_what_was_bought(tmp_path, capsys):
    kitchen = household(tmp_path / "kitchen.xlsx", quart_jar={"On hand": 7})
    said(capsys, "made", kitchen, JUICE, "27")
    text = said(capsys, "bought", kitchen, "quart jar", "12")
    assert "The record uses 8 quart jar more than the 7 counted and 12 bought." in text


def test_what_was_bought_is_gone_from_the_next_shopping_list(tmp_path, capsys):
    """Jars, lids and lemon juice, each bought as the list says; the plan then makes the same without a shop."""
    none = {"On hand": 0, "Can buy": "yes"}
    kitchen = household(
        tmp_path / "kitchen.xlsx",
        quart_jar=none, lid=none, bottled_lemon_juice=none, pint_jar={"On hand": 0}, bag={"On hand": 0},
    )  # fmt: skip
    said(capsys, "weigh", kitchen, "plum tomato", "40lb")

    def planned():
        assert run(["plan", str(kitchen), "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    first = planned()
    shopping = {row["item"]: (row["buy"], row["unit"]) for row in first["shopping"]}
    assert set(shopping) == {"quart jar", "lid", LEMON}
    for item, (amount, unit) in shopping.items():
        said(capsys, "bought", kitchen, item, f"{amount} {unit}")
    again = planned()
    assert again["shopping"] == []
    makes = [sum(row["make"] for row in one["plan"] if row["preserve"] == JUICE) for one in (first, again)]
    assert makes[0] == makes[1] > 0


def test_a_number_that_can_be_bought_is_lowered(tmp_path, capsys):
    kitchen = household(
        tmp_path / "kitchen.xlsx", quart_jar={"Can buy": 36}, bottled_lemon_juice={"Can buy": 4}, lid={"Can buy": "yes"}
    )
    assert "Can buy 36 quart jar, 24 already bought, 12 left" in said(capsys, "bought", kitchen, "quart jar", "24")
    assert "Can buy 4 cup bottled lemon juice, 1 cup already bought, 3 cup left" in said(
        capsys, "bought", kitchen, LEMON, "1"
    )
    assert "Can buy" not in said(capsys, "bought", kitchen, "lid", "24")
    before = said(capsys, "bought", kitchen, "quart jar", "30", "--on", BEFORE)
    assert "can buy" not in before.casefold(), "what was bought before the count is part of the count"


def test_what_was_spent_lowers_the_spending_limit_of_the_plan(tmp_path, capsys):
    """15 quart jars at 1.50 are 22.50 of 60; the plan and its sheet show what is left."""
    kitchen = household(
        tmp_path / "kitchen.xlsx",
        quart_jar={"Can buy": 36, "Price": 1.5},
        Kitchen=[{"Setting": "spending limit", "Value": 60}],
    )
    said(capsys, "weigh", kitchen, "plum tomato", "40lb")
    words = "Spending limit $60.00, $22.50 already spent, $37.50 left"
    assert words in said(capsys, "bought", kitchen, "quart jar", "15")
    assert words in said(capsys, "plan", kitchen)
    assert any(words in str(cell.value) for row in load_workbook(kitchen)["Messages"].rows for cell in row)


# ---------------------------------------------------------------- names


def test_a_name_that_is_a_crop_too_is_the_larders_and_it_is_said(tmp_path, capsys):
    apples = [{"Ingredient": "Apples", "On hand": 2, "Unit": "lb", "Counted on": START}]
    kitchen = household(tmp_path / "kitchen.xlsx", Pantry=apples)
    text = said(capsys, "bought", kitchen, "apples", "3 lb")
    assert record(kitchen) == [
        {"Date": START, "Preserve": "Apples", "What happened": "bought", "Made": 3, "Unit": "lb"}
    ]
    assert 'A crop has that name too: what you bought to put up is a lot, entered with "weigh".' in text


def test_a_stock_whose_row_cannot_be_read_says_so_and_gives_no_number(tmp_path, capsys):
    """On hand is blank: what there is now cannot be known; the purchase is entered all the same."""
    kitchen = household(tmp_path / "kitchen.xlsx", quart_jar={"On hand": None})
    text = said(capsys, "bought", kitchen, "quart jar", "24")
    assert "there now" not in text
    assert "Containers!E2: On hand is blank" in text
    assert record(kitchen)[0]["Made"] == 24


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["jar", "12"], "did you mean quart jar or pint jar?"),
        (["crate", "2"], "correct the name, or add it to Containers, Lids or Pantry"),
        (["plum tomato", "20lb"], '"plum tomato" is a crop; what you bought of it is a lot: enter it with "weigh"'),
        ([JUICE, "3"], "is a preserve; write what you bought of it in Shelf"),
        (["quart jar", "6.5"], "6.5 quart jar cannot be; write how many whole ones"),
        (["quart jar", "2 boxes"], '"2 boxes" does not say how many quart jar; write the number of them, such as 24'),
        (["quart jar", "3 flats"], "does not say how many quart jar"),
        (["quart jar", "2 lb"], "does not say how many quart jar"),
        (["quart jar", "0"], "not more than nothing"),
        (["quart jar", "some"], "some"),
        (["quart jar", "2000000"], "more than 1,000,000"),
        ([LEMON, "2 lb"], f'"2 lb" cannot be turned into cup, in which Pantry keeps "{LEMON}"; write it in cup'),
        ([LEMON, "2 bottles"], "write it in cup"),
        ([LEMON, "0 cups"], "not more than nothing"),
        ([LEMON, "900000 gallons"], "more than 1,000,000"),
        (["lid", "12", "--on", "the 9th"], "Jun 9, 2026 or Jul 9, 2026"),
        (["lid"], "amount"),
    ],
)
def test_a_wrong_command_line_is_2_says_why_and_changes_nothing(kitchen, capsys, words, hint):
    before = kitchen.read_bytes()
    assert run(["bought", str(kitchen), *words]) == 2
    told = capsys.readouterr()
    assert hint.casefold() in told.err.casefold()
    assert "Traceback" not in told.err + told.out
    assert kitchen.read_bytes() == before


def test_one_name_for_a_jar_and_a_lid_is_refused_for_the_record_could_not_tell(tmp_path, capsys):
    kitchen = household(tmp_path / "kitchen.xlsx", Lids=[{"Lid": "Quart jar", "On hand": 5}])
    before = kitchen.read_bytes()
    assert run(["bought", str(kitchen), "quart jar", "12"]) == 2
    assert "is a container and a lid, and the record cannot tell them apart" in capsys.readouterr().err
    assert kitchen.read_bytes() == before


def test_no_file_is_1_and_an_open_file_is_3(kitchen, capsys):
    assert run(["bought", str(kitchen.with_name("none.xlsx")), "lid", "3"]) == 1
    kitchen.with_name(f"~${kitchen.name}").write_bytes(b"")
    before = kitchen.read_bytes()
    assert run(["bought", str(kitchen), "lid", "3"]) == 3
    assert kitchen.read_bytes() == before
    capsys.readouterr()


# ---------------------------------------------------------------- rows that the household types itself


@pytest.mark.parametrize(("unit", "came"), [(None, 2), ("cup", 2), ("quart", 8), ("US pints", 4)])
def test_the_unit_of_a_typed_row_is_obeyed(kitchen, capsys, unit, came):
    """Two quarts were taken for two cups, without a word."""
    book = Book.open(kitchen)
    add_rows(book, "Record", [{"Date": START, "Preserve": f"Bought: {LEMON}", "Made": 2, "Unit": unit}])
    book.save()
    assert card(capsys, kitchen, LEMON)[1] == pytest.approx(came)


@pytest.mark.parametrize(("unit", "came"), [("dozen", 24), ("each", 2), ("jars", 2)])
def test_a_dozen_of_jars_in_a_typed_row_is_twelve(kitchen, capsys, unit, came):
    book = Book.open(kitchen)
    add_rows(book, "Record", [{"Date": START, "Preserve": "bought: quart jar", "Made": 2, "Unit": unit}])
    book.save()
    assert card(capsys, kitchen, "quart jar")[1] == came


def test_a_unit_that_cannot_be_turned_into_the_larders_is_a_problem(kitchen, capsys):
    book = Book.open(kitchen)
    add_rows(book, "Record", [{"Date": START, "Preserve": f"bought: {LEMON}", "Made": 2, "Unit": "lb"}])
    book.save()
    assert run(["check", str(kitchen)]) == 1
    assert "Bottled lemon juice was bought in lb, but the pantry counts it in cup." in "".join(capsys.readouterr())
