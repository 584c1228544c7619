"""Every problem of reading, with its whole sentence, its cell, and whether it stops the plan."""

import datetime

import pytest
from tests.workbook.reader.making import D, opened, place, sound

from stillroom.errors import KINDS
from stillroom.handbook.settle import settle
from stillroom.household import checks
from stillroom.household.journal import stocks
from stillroom.workbook.reader import household as read

TODAY = D(2026, 8, 20)
ALWAYS = "nothing that counts toward *carrots* is to be made"
"""The sound household keeps one need that only a preserve with Include = no counts toward."""


def told(tmp_path, content, change=None):
    """All problems of a workbook, reading, checks and ledger together."""
    household, problems = read.household(opened(tmp_path, content, change=change), TODAY)
    found = problems + checks.problems(household) + stocks.settle(household)[1]
    return [problem for problem in found if problem.what != ALWAYS]


def test_a_sound_household_brings_no_problem(tmp_path):
    assert told(tmp_path, sound()) == []


# table, row, heading, what is typed, kind, the whole sentence after the cell
ONE_CELL = [
    (
        "Kitchen",
        0,
        "Value",
        1e9,
        "out of range",
        "*altitude* is 1,000,000,000 ft; write a number from -2,000 to 30,000 ft",
    ),
    (
        "Kitchen",
        0,
        "Unit",
        "furlong",
        "unknown unit",
        "no unit is called *furlong*; write one such as lb, oz, kg, g, pint, quart, cup, L, ml, bushel or each",
    ),
    ("Kitchen", 0, "Unit", "kg", "wrong unit", "for *altitude*, *kg* is not a unit of length; write it in ft"),
    ("Kitchen", 3, "Value", 2.5, "not whole", "*days planned in detail* is 2.5; write a whole number"),
    ("Kitchen", 3, "Value", 22, "out of range", "*days planned in detail* is 22; write a number from 0 to 21"),
    (
        "Kitchen",
        3,
        "Value",
        "7 days",
        "not a number",
        "in *days planned in detail*, *7 days* is not a number; write a whole number from 0 to 21",
    ),
    (
        "Winter list",
        0,
        "Importance",
        "must",
        "not a number",
        "in *Importance*, *must* is not a number; write a whole number from 1 to 3 (1 must, 2 should, 3 nice)",
    ),
    (
        "Harvest",
        2,
        "Amount",
        "30-60",
        "unreadable amount",
        "in *Amount*, *30-60* is not an amount; write one number and a unit, such as 53 lb",
    ),
    ("Kitchen", 0, "Setting", "altitud", "unknown setting", "no setting is called *altitud*; did you mean *altitude*?"),
    (
        "Kitchen",
        4,
        "Setting",
        "First Day",
        "same setting twice",
        "the setting *first day* stands twice; keep one of the rows",
    ),
    ("Kitchen", 1, "Value", "dail", "unreadable choice", "*gauge* is *dail*; write dial or weighted"),
    (
        "Kitchen",
        5,
        "Value",
        "four",
        "not a number",
        "in *people*, *four* is not a number; write a plain number such as 12 or 1.5",
    ),
    ("Kitchen", 6, "Value", -5, "out of range", "*freezer space free* is -5 L; write an amount from 0 up"),
    (
        "Kitchen",
        6,
        "Value",
        "60,5",
        "not a number",
        "in *freezer space free*, *60,5* has a comma in it; write 60.5 if that is meant",
    ),
    ("Hours", 0, "Mon", None, "blank required", "*Mon* is blank; write a number, 0 for none, or empty the whole row"),
    (
        "Hours",
        0,
        "Mon",
        "4 h",
        "not a number",
        "in *Mon*, *4 h* is not a number; write a plain number such as 12 or 1.5, in hours and without the unit",
    ),
    (
        "Hours",
        0,
        "Mon",
        "3",
        "number as text",
        "*Mon* holds the text 3, which is read as the number 3; type the number again, if formulas should count it too",
    ),
    ("Hours", 0, "Mon", -1, "out of range", "*Mon* is -1; write 0 or more"),
    ("Hours", 1, "What", "hands ", "same name twice", "*hands* stands twice in *Hours*; keep one of the rows"),
    (
        "Hours",
        1,
        "What",
        "Stove",
        "unknown name",
        "*Hours* takes the hours the stove is free, not burner-hours; rename the row to stove free and type hours",
    ),
    (
        "Hours",
        1,
        "Sat",
        36,
        "out of range",
        "*stove free* has 36 h in *Sat*; type the hours the stove is free, at most 24, not burner-hours",
    ),
    (
        "Hours",
        1,
        "Each later week",
        168.5,
        "out of range",
        "*stove free* has 168.5 h in *Each later week*; type the hours the stove is free, at most 168, not burner-hours",
    ),
    ("Equipment", 1, "Kind", "dryer", "conflicting rows", "*Kind* of *canner* differs from its row above; say it once"),
    ("Equipment", 0, "Kind", None, "blank required", "*Kind* is blank; write it, or empty the whole row"),
    ("Equipment", 0, "How many", 1.5, "not whole", "*How many* is 1.5; write a whole number"),
    (
        "Equipment",
        0,
        "Runs overnight",
        "perhaps",
        "unreadable choice",
        "*Runs overnight* is *perhaps*; write yes or no",
    ),
    ("Equipment", 3, "Load", 0, "out of range", "*Load* is 0; write a number above 0"),
    (
        "Equipment",
        3,
        "Load",
        3,
        "load too small",
        "a load of *dryer* fills 0.6 of a *pint jar* of tomato slices, dried, less than one; correct the load, or what one container takes",
    ),
    (
        "Crops",
        0,
        "Keeps days",
        None,
        "blank required",
        "*Keeps days* is blank; write a number, 0 for none, or empty the whole row",
    ),
    ("Crops", 0, "Unit", "L", "wrong unit", "*L* is not a weight; a crop is weighed; write lb, oz, kg or g"),
    ("Crops", 0, "Trimmings share", 1.5, "out of range", "*Trimmings share* is 1.5; write a number from 0 to 0.99"),
    (
        "Crops",
        0,
        "Freezer space per weight",
        "0.8 L/qt",
        "wrong unit",
        "in *Freezer space per weight*, *0.8 L/qt* is not a space for a weight; write such as 0.8 L/lb",
    ),
    (
        "Harvest",
        0,
        "Crop",
        "plum tomatos",
        "unknown name",
        "no crop is called *plum tomatos*; did you mean *plum tomato*?",
    ),
    (
        "Harvest",
        0,
        "Crop",
        "Tomatoes",
        "unknown name",
        "no crop is called *Tomatoes*; did you mean *plum tomato*?",
    ),
    (
        "Harvest",
        0,
        "Crop",
        "quince",
        "unknown name",
        "no crop is called *quince*; correct the name, or add it to Crops",
    ),
    (
        "Harvest",
        0,
        "Amount",
        None,
        "blank required",
        "*Amount* is blank; write an amount, 0 for none, or empty the whole row",
    ),
    ("Harvest", 0, "Amount", -3, "out of range", "*Amount* is -3 lb; write 0 or more"),
    (
        "Harvest",
        0,
        "Amount",
        1e9,
        "out of range",
        "*Amount* is 1,000,000,000 lb; write a number from 0 to 100,000,000 lb",
    ),
    (
        "Harvest",
        0,
        "Amount",
        "1,5 lb",
        "not a number",
        "in *Amount*, *1,5 lb* has a comma in it; write 1.5 if that is meant",
    ),
    (
        "Harvest",
        0,
        "Amount",
        "a lot",
        "unreadable amount",
        "in *Amount*, *a lot* is not an amount; write a number and a unit, such as 53 lb",
    ),
    (
        "Harvest",
        0,
        "Amount",
        True,
        "not a number",
        "*Amount* is yes, which is not a number; write a plain number such as 12 or 1.5",
    ),
    (
        "Harvest",
        0,
        "Unit",
        "L",
        "wrong unit",
        "*Amount* of plum tomato is in *L*, but a crop is weighed; write a weight, in lb or kg",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        "8/9/2026",
        "unreadable date",
        "in *Picked on*, *8/9/2026* may be 2026-08-09 or 2026-09-08; write the one that is meant",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        "8/14/2026",
        "unreadable date",
        "in *Picked on*, *8/14/2026* may be 2026-08-14; write it so",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        "2026-02-30",
        "unreadable date",
        "in *Picked on*, *2026-02-30* is no day of the calendar; write a date such as 2026-08-14",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        46246,
        "unreadable date",
        "*Picked on* is the number 46246, not a date; give the cell a date format, or write a date such as 2026-08-14",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        D(1926, 8, 12),
        "out of range",
        "*Picked on* is Aug 12, 1926; write a date from 1990 to 2199",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        D(2026, 8, 8),
        "lot past keeping",
        "53 lb of *plum tomato* picked on Aug 8 keep 5 days and are left out; sort it today, weigh again what is sound",
    ),
    (
        "Harvest",
        2,
        "Picked on",
        D(2026, 8, 13),
        "expected lot not weighed",
        "40 lb of *sweet corn* were expected on Aug 13 and are not counted; weigh it and write weighed, or take the row out",
    ),
    ("Harvest", 2, "Least", 70, "least above most", "*Least* is more than *Most*; correct one of the two"),
    ("Harvest", 2, "Least", 45, "least above most", "*Least* is more than *Amount*; correct one of the two"),
    ("Harvest", 2, "Most", 35, "least above most", "*Most* is less than *Amount*; correct one of the two"),
    (
        "Harvest",
        0,
        "Least",
        40,
        "bounds of a weighed lot",
        "*Least* is not used for a lot that was weighed; empty it, or write expected",
    ),
    (
        "Harvest",
        3,
        "Frozen on",
        D(2026, 7, 30),
        "conflicting rows",
        "*Frozen on* Jul 30, 2026 lies before *Picked on* Aug 1, 2026; correct one of the two",
    ),
    (
        "Harvest",
        2,
        "Frozen on",
        D(2026, 8, 19),
        "conflicting rows",
        "an expected lot cannot be frozen already; write weighed, or empty Frozen on",
    ),
    (
        "Harvest",
        0,
        "Weighed or expected",
        "guess",
        "unreadable choice",
        "*Weighed or expected* is *guess*; write weighed or expected",
    ),
    ("Containers", 0, "Holds", 0, "out of range", "*Holds* is 0 quart; write a number above 0"),
    (
        "Containers",
        0,
        "Unit",
        "each",
        "wrong unit",
        "*Holds* is in *each*, which is neither a volume nor a weight; write what it holds in pints, L, lb or kg",
    ),
    (
        "Containers",
        0,
        "Unit",
        None,
        "blank required",
        "*Unit* is blank; write a unit such as lb, kg, qt, L or each, or empty the whole row",
    ),
    ("Containers", 0, "Lid", "wide", "unknown name", "no lid is called *wide*; did you mean *wide lid*?"),
    (
        "Containers",
        0,
        "Can buy",
        "maybe",
        "unreadable choice",
        "*Can buy* is *maybe*; write yes, no, or the most that can be bought",
    ),
    ("Containers", 0, "Can buy", -1, "out of range", "*Can buy* is -1; write yes, no, or a number from 0 up"),
    (
        "Containers",
        0,
        "On hand",
        None,
        "blank required",
        "*On hand* is blank; write a number, 0 for none, or empty the whole row",
    ),
    (
        "Containers",
        0,
        "Counted on",
        D(2028, 1, 1),
        "date far away",
        "*Counted on* Jan 1, 2028 is 505 days after the first day, Aug 14, 2026; check the year",
    ),
    (
        "Containers",
        0,
        "Unit",
        "pint",
        "bare pint",
        "*pint* is read as the US pint of 473 ml; write imperial pint where 568 ml is meant",
    ),
    ("Pantry", 0, "Unit", "h", "wrong unit", "*h* is no unit for the larder; write a weight, a volume or each"),
    (
        "Pantry",
        0,
        "Per unit",
        "kg",
        "wrong unit",
        "*Per unit* is *kg*, but it is kept in cup; write what the price is for in a unit of the same kind",
    ),
    ("Pantry", 0, "On hand", "2 lb", "wrong unit", "*On hand* is in *lb*, but *Unit* says cup; use one of them"),
    (
        "Shelf",
        0,
        "Best by",
        D(2026, 7, 1),
        "conflicting rows",
        "*Best by* Jul 1, 2026 lies before *Made on* Jul 20, 2026; correct one of the two",
    ),
    (
        "Preserves",
        0,
        "Method",
        "canned",
        "way unknown",
        "no way of keeping food is called *canned*; write boiling-water canned, pressure canned, frozen, dried, fermented, root cellar or refrigerated",
    ),
    (
        "Preserves",
        0,
        "Method",
        "presure canned",
        "way unknown",
        "no way of keeping food is called *presure canned*; did you mean *pressure canned*?",
    ),
    (
        "Preserves",
        0,
        "Container",
        "quart jarr",
        "unknown name",
        "no container is called *quart jarr*; did you mean *quart jar*?",
    ),
    (
        "Preserves",
        0,
        "Equipment",
        "kettle; caner",
        "unknown name",
        "no piece of equipment is called *caner*; did you mean *canner*?",
    ),
    (
        "Preserves",
        0,
        "Kept in",
        "attic",
        "unreadable choice",
        "*Kept in* is *attic*; write shelf, freezer, refrigerator or cellar",
    ),
    ("Preserves", 0, "Include", "later", "unreadable choice", "*Include* is *later*; write yes or no"),
    (
        "Preserves",
        0,
        "Space each",
        "2 lb",
        "wrong unit",
        "in *Space each*, *lb* is not a volume; write a volume, in L, quarts or cubic feet",
    ),
    (
        "Ingredients",
        0,
        "Unit",
        "L",
        "wrong unit",
        "*plum tomato* is weighed, but its amount is in *L*; write a weight, in lb or kg",
    ),
    (
        "Ingredients",
        1,
        "Unit",
        "g",
        "wrong unit",
        "*bottled lemon juice* is kept in *cup*, but its amount is in *g*; write the amount in cup, or keep it in g in Larder",
    ),
    (
        "Ingredients",
        6,
        "Unit",
        "lb",
        "wrong unit",
        "*tomato juice, quart* is counted in containers, but its amount is in *lb*; write how many containers",
    ),
    (
        "Ingredients",
        0,
        "Item",
        "plum tomata",
        "unknown name",
        "no crop, larder ingredient or preserve is called *plum tomata*; did you mean *plum tomato*?",
    ),
    ("Winter list", 0, "Importance", 4, "out of range", "*Importance* is 4; write a number from 1 to 3"),
    (
        "Winter list",
        0,
        "Wanted",
        None,
        "blank required",
        "*Wanted* is blank; write a number, 0 for none, or empty the whole row",
    ),
    ("Winter list", 1, "Target", "Dried  Tomatoes", "same name twice", None),
    ("Counts toward", 1, "Each counts", 0, "out of range", "*Each counts* is 0; write a number above 0"),
    (
        "Counts toward",
        2,
        "Preserve",
        "corn, frozen",
        "same name twice",
        "*corn, frozen* stands twice under the need *corn*; put both into one row",
    ),
]


@pytest.mark.parametrize(("table", "row", "heading", "typed", "kind", "sentence"), ONE_CELL)
def test_one_wrong_cell_is_told_by_its_place_with_a_cure(tmp_path, table, row, heading, typed, kind, sentence):
    """Nothing else is told beside it, unless the sentence is not given."""
    content = sound()
    content[table][row][heading] = typed
    found = told(tmp_path, content)
    assert kind in {problem.kind for problem in found}
    if sentence is None:
        return
    problem = next(problem for problem in found if problem.kind == kind)
    assert f"{problem.what}; {problem.fix}" == sentence
    stops = [str(one) for one in found if one.stops]
    assert len(stops) == (1 if KINDS[kind] else 0), stops
    of_the_lot = kind in ("lot past keeping", "expected lot not weighed")
    assert problem.where == place(table, row, "Amount" if of_the_lot else heading)


@pytest.mark.parametrize(
    ("line", "cure"),
    [("corn, frozen", "write how many"), ("freeze whole: carrot", "write a weight such as 10 lb")],
)
def test_a_word_in_fix_or_made_is_told_with_what_belongs_there(tmp_path, line, cure):
    """It said to write such as 53 lb, which a line of jars refuses in turn."""
    content = sound()
    content["Plan"].append({"Day": D(2026, 8, 14), "Preserve": line, "Make": 4, "Keep at": "no", "Made": "yes"})
    said = [f"{one.where} {one.what}; {one.fix}" for one in told(tmp_path, content) if one.kind == "unreadable amount"]
    assert sorted(said) == [
        f"Plan!K4 in *Keep at*, *no* is not an amount; {cure}, or leave it blank",
        f"Plan!L4 in *Made*, *yes* is not an amount; {cure}, or leave it blank",
    ]


def test_a_first_day_of_the_wrong_year_is_told_once_and_not_for_every_date(tmp_path):
    """With a lot in each of 40 rows there were as many messages as dates, and the others drowned in them."""
    content = sound()
    content["Harvest"] += [{"Picked on": D(2026, 8, 12), "Crop": "carrot", "Amount": 5}] * 40
    content["Kitchen"][2]["Value"] = D(2025, 8, 1)
    far, later = (str(one) for one in told(tmp_path, content) if one.kind == "date far away")
    assert later.startswith(
        "Harvest!B4: *plum tomato* of Aug 12, 2026 counts as weighed, but the first day is Aug 1, 2025"
    )
    assert "; and so do 41 more lots; " in later
    assert far == (
        "Harvest!B4: *Picked on* Aug 12, 2026 is 376 days after the first day, Aug 1, 2025; so are 45 more dates far "
        "from it; check the *first day* in Kitchen, or the years"
    )


def test_without_the_table_kitchen_a_missing_altitude_is_told_once(tmp_path):
    """It was told at every preserve that is canned."""
    content = sound()
    content["Preserves"].append({**content["Preserves"][0], "Preserve": "more juice"})
    household, _ = read.household(opened(tmp_path, content, leave_out=("Kitchen",)), TODAY)
    _, problems = settle(household)
    assert [one.where for one in problems if one.kind == "altitude missing"] == ["Hours!A1"]


def test_a_gauge_that_is_not_given_is_told_at_its_own_cell(tmp_path):
    """It was told at the altitude's, which was right as it stood."""
    content = sound()
    content["Kitchen"][1]["Value"] = None
    content["Equipment"][0]["Kind"] = "pressure canner"
    content["Preserves"][0] |= {"Method": "pressure canned", "Handbook line": None}
    household, _ = read.household(opened(tmp_path, content), TODAY)
    _, problems = settle(household)
    assert [one.where for one in problems if one.kind == "gauge missing"] == ["Kitchen!C5"]


def place_of(found, kind):
    return [(problem.where, problem.what, problem.fix) for problem in found if problem.kind == kind]


def test_both_numbers_of_periods_may_not_be_0(tmp_path):
    content = sound()
    content["Kitchen"][3]["Value"] = content["Kitchen"][4]["Value"] = 0
    assert place_of(told(tmp_path, content), "no periods") == [
        (
            "Kitchen!C7",
            "*days planned in detail* and *weeks planned roughly* are both 0, so there is nothing to plan",
            "write at least one day or one week",
        )
    ]


def test_a_blank_unit_of_the_altitude_is_asked_about_in_a_metric_workbook(tmp_path):
    """450 could be metres; read as feet it would give too short a time."""
    content = sound()
    for crop in content["Crops"]:
        crop.update({"Unit": "kg"})
    content["Kitchen"][0].update({"Value": 450, "Unit": None})
    content["Containers"][1].update({"Holds": 0.47, "Unit": "L"})
    content["Containers"][0].update({"Holds": 0.95, "Unit": "L"})
    content["Equipment"][2]["Load unit"] = "L"
    content["Pantry"][0]["Per unit"] = "L"
    found = told(tmp_path, content)
    assert place_of(found, "blank required") == [("Kitchen!D4", "the unit of *altitude* is blank", "write ft or m")]


def test_hands_or_stove_without_hours_have_no_limit_and_this_is_said(tmp_path):
    content = sound()
    del content["Hours"][0]
    assert place_of(told(tmp_path, content), "hours unlimited") == [
        ("Hours!B3", "*Hours* has no row for *hands*, so its hours have no limit", "add a row for hands")
    ]


def test_more_hours_than_the_people_have_are_only_said(tmp_path):
    content = sound()
    content["Hours"][0]["Sat"] = 200
    found = told(tmp_path, content)
    assert place_of(found, "hours above people") == [
        ("Hours!B4", "hands have 200 h in a day, more than 4 people have", "correct the hours, or *people* in Kitchen")
    ]
    assert not any(problem.stops for problem in found)


def test_a_bushel_without_a_weight_is_asked_about(tmp_path):
    content = sound()
    content["Crops"][0]["Bushel weighs"] = None
    what = "*Amount* of plum tomato is in bushels, but nothing says what a bushel of it weighs"
    assert place_of(told(tmp_path, content), "wrong unit") == [
        (place("Harvest", 1, "Amount"), what, "fill *Bushel weighs* of that crop, or write a weight")
    ]


@pytest.mark.parametrize(
    ("amount", "told_of"),
    [
        ("4 cups", "is in *cup*, but a crop is weighed"),
        ("2 flats", "is in *flat*, but a crop is weighed"),
        ("2 dozen", "is in *dozen*, but a crop is weighed"),
        ("2 days", "is in *day*, but a crop is weighed"),
    ],
)
def test_a_crop_whose_cup_or_flat_nobody_weighed_is_refused_by_it(tmp_path, amount, told_of):
    """A published cup of tomatoes is chopped."""
    content = sound()
    content["Harvest"][0]["Amount"] = amount
    what = f"*Amount* of plum tomato {told_of}"
    assert place_of(told(tmp_path, content), "wrong unit") == [
        (place("Harvest", 0, "Amount"), what, "write a weight, in lb or kg")
    ]


def test_an_acid_is_measured_in_its_short_list_only(tmp_path):
    content = sound()
    content["Pantry"].append({"Ingredient": "cider vinegar", "On hand": 1, "Unit": "imperial gallon"})
    content["Ingredients"].append(
        {"Preserve": content["Preserves"][0]["Preserve"], "Item": "cider vinegar", "Amount each": "1 imp. fl. oz."}
    )
    [(_, what, fix)] = place_of(told(tmp_path, content), "wrong unit")
    assert what == "*cider vinegar* is an acid, and its amount is in *imperial fl oz*"
    assert fix.startswith("write it in tsp, tbsp, cups")


@pytest.mark.parametrize("unit", ["inches", "yards", "cm"])
def test_an_altitude_is_in_feet_or_metres_only(tmp_path, unit):
    content = sound()
    content["Kitchen"][0]["Unit"] = unit
    [(_, what, fix)] = place_of(told(tmp_path, content), "wrong unit")
    assert what.endswith("cannot be used here")
    assert fix == "write it in ft or m"


def test_one_name_for_a_crop_and_an_ingredient_is_refused(tmp_path):
    content = sound()
    content["Pantry"][1]["Ingredient"] = "Carrot"
    what = "*Carrot* is the name of a larder ingredient and of a crop (Crops!B6)"
    assert place_of(told(tmp_path, content), "same name twice") == [
        ("Pantry!B5", what, "give one of them another name")
    ]


def test_an_ingredient_that_stands_twice_is_refused(tmp_path):
    content = sound()
    content["Ingredients"].append({"Preserve": "corn, frozen", "Item": "Sweet corn", "Amount each": 1})
    assert place_of(told(tmp_path, content), "same name twice") == [
        (
            "Ingredients!C11",
            "*sweet corn* stands twice among the ingredients of *corn, frozen*",
            "put both amounts into one row",
        )
    ]


def test_a_formula_that_was_never_calculated_is_named(tmp_path):
    def change(book):
        book["Winter list"]["C4"] = "=4*10"

    found = told(tmp_path, sound(), change)
    assert [str(problem) for problem in found] == [
        "'Winter list'!C4: the formula in *Wanted* was never calculated; open the workbook in a spreadsheet program, let it calculate, and save it"
    ]


def test_an_error_value_in_a_cell_of_ours_is_named(tmp_path):
    def change(book):
        book["Harvest"]["D4"] = "#REF!"
        book["Harvest"]["D4"].data_type = "e"

    assert [str(problem) for problem in told(tmp_path, sound(), change)] == [
        "Harvest!D4: *Amount* shows #REF!; mend the formula, or write the value"
    ]


def test_merged_cells_inside_a_table_are_named(tmp_path):
    def change(book):
        book["Preserves"].merge_cells("B4:B5")

    found = told(tmp_path, sound(), change)
    assert place_of(found, "merged cells") == [
        ("Preserves!B4", "the cells B4:B5 are merged", "take them apart: one cell for each entry")
    ]


def test_hidden_rows_are_read_and_said(tmp_path):
    def change(book):
        book["Harvest"].row_dimensions[4].hidden = True
        book["Harvest"].row_dimensions[6].hidden = True

    found = told(tmp_path, sound(), change)
    assert [str(problem) for problem in found] == [
        "Harvest!B4: rows 4, 6 of *Harvest* are hidden; they are read all the same; empty them if not meant"
    ]
    assert not found[0].stops


def test_bare_pints_are_said_once_for_the_whole_workbook(tmp_path):
    content = sound()
    content["Containers"][1].update({"Holds": "1 pint"})
    content["Pantry"][0].update({"Unit": "pint", "Per unit": "pt"})
    found = told(tmp_path, content)
    assert place_of(found, "bare pint") == [
        (
            "Containers!D5",
            "*pint* is read as the US pint of 473 ml (and in 2 more cells)",
            "write imperial pint where 568 ml is meant",
        )
    ]


def test_a_date_in_the_wrong_year_is_said_and_judged_against_the_first_day(tmp_path):
    content = sound()
    content["Harvest"][0]["Picked on"] = "2025-08-12"
    found = told(tmp_path, content)
    assert place_of(found, "date far away") == [
        ("Harvest!B4", "*Picked on* Aug 12, 2025 is 367 days before the first day, Aug 14, 2026", "check the year")
    ]


@pytest.mark.parametrize("typed", ["weighed", None])
def test_a_lot_weighed_after_the_first_day_is_asked_after(tmp_path, typed):
    """Left at weighed it would count as if it were sure; with an old first day every new lot looks so."""
    content = sound()
    content["Harvest"][0] |= {"Picked on": "2026-08-25", "Weighed or expected": typed, "Least": None, "Most": None}
    found = place_of(told(tmp_path, content), "date far away")
    assert found == [
        (
            "Harvest!B4",
            "*plum tomato* of Aug 25, 2026 counts as weighed, but the first day is Aug 14, 2026",
            "write expected; or, if it is in the house already, set *first day* in Kitchen to today",
        )
    ]
    content["Harvest"][0]["Weighed or expected"] = "expected"
    assert place_of(told(tmp_path, content), "date far away") == []


def test_a_load_that_names_no_container_is_told_at_the_preserve(tmp_path):
    content = sound()
    content["Equipment"][2]["Load unit"] = "pint jars"
    what = "nothing says how many of *quart jar* fit into a load of *kettle*"
    fix = "add a row for *kettle* to Equipment: how many under *Load*, quart jar under *Load unit*"
    assert place_of(told(tmp_path, content), "no load for container") == [("Preserves!B4", what, fix)]


def test_a_record_row_that_says_neither_preserve_nor_crop_is_told(tmp_path):
    content = sound()
    content["Record"] = [{"Date": D(2026, 8, 13), "Made": 5}]
    assert place_of(told(tmp_path, content), "blank required") == [
        ("Record!C4", "*Preserve* and *Crop* are both blank", "write what was made, or which crop was used")
    ]


def test_crop_moved_in_the_record_says_how_much_and_of_one_crop(tmp_path):
    content = sound()
    content["Record"] = [
        {"Date": D(2026, 8, 13), "Preserve": "freeze whole: plum tomato"},
        {"Date": D(2026, 8, 13), "Preserve": "thaw: plum tomato", "Crop": "carrot", "Crop used": 2},
    ]
    found = [str(problem) for problem in told(tmp_path, content) if problem.stops]
    assert found == [
        "Record!G4: *Crop used* is blank; write how much was moved",
        "Record!F5: *Crop* is *carrot*, but the row says thaw: plum tomato; correct one of the two",
    ]


def test_a_plan_line_with_something_made_of_an_unknown_preserve_stops(tmp_path):
    content = sound()
    content["Plan"] = [{"Day": D(2026, 8, 13), "Preserve": "tomato jus, quart", "Made": 7}]
    assert [str(problem) for problem in told(tmp_path, content)] == [
        "Plan!D4: no preserve is called *tomato jus, quart*; did you mean *tomato juice, quart*?"
    ]


def test_a_plan_line_says_its_day_and_what_it_is_for(tmp_path):
    content = sound()
    content["Plan"] = [
        {"Preserve": "corn, frozen", "Keep at": 7},
        {"Day": D(2026, 8, 14), "Keep at": 7},
        {"Day": D(2026, 8, 14), "Days": 3, "Preserve": "corn, frozen", "Keep at": 7},
        {"Day": D(2026, 8, 15), "Preserve": "corn, frozen", "Keep at": "7 lb"},
    ]
    assert [str(problem) for problem in told(tmp_path, content)] == [
        "Plan!B4: *Day* is blank; write the day, or empty the row",
        "Plan!D5: *Preserve* is blank; write what is to be made, or empty the row",
        "Plan!C6: *Days* is 3; write 1, or 7 for a week planned as a whole",
        "Plan!K7: *Keep at* is in *lb*; write how many containers",
    ]


def test_many_problems_are_told_in_one_pass_and_bring_no_others(tmp_path):
    """Nine cells are broken; nine problems stop, at those cells and nowhere else."""
    broken = [
        ("Hours", 0, "Tue", None),
        ("Equipment", 0, "Load", "seven"),
        ("Crops", 1, "Keeps days", None),
        ("Harvest", 1, "Amount", "2 furlongs"),
        ("Containers", 3, "Holds", None),
        ("Pantry", 1, "Unit", None),
        ("Preserves", 4, "Container", "freezer bagg"),
        ("Ingredients", 2, "Amount each", "-5 lb"),
        ("Winter list", 2, "Wanted", "many"),
    ]
    content = sound()
    for table, row, heading, typed in broken:
        content[table][row][heading] = typed
    found = [problem.where for problem in told(tmp_path, content) if problem.stops]
    assert sorted(found) == sorted(place(table, row, heading) for table, row, heading, _ in broken)


def test_a_workbook_of_nothing_but_noise_brings_problems_and_no_traceback(tmp_path):
    """Every cell of the sound household in turn holds something odd; reading, checking and settling never fall over."""
    odd = [
        "",
        "  ",
        "#REF!",
        -1,
        1e12,
        "1e400",
        "nan",
        True,
        datetime.datetime(2026, 8, 14, 9, 30),
        datetime.time(8, 0),
        "x" * 300,
        "½",
        "=oops",
    ]
    number = 0
    for table, rows in sound().items():
        for row in range(len(rows)):
            for heading in rows[row]:
                content = sound()
                content[table][row][heading] = odd[number % len(odd)]
                number += 1
                told(tmp_path, content)
    assert number > 150


def test_a_row_of_equipment_without_a_name_is_read_for_all_that_is_wrong_with_it(tmp_path):
    content = sound()
    content["Equipment"].append({"Equipment": None, "Kind": "dryer", "Cool-down min": "½½"})
    number = len(content["Equipment"]) - 1
    found = {problem.where: problem.kind for problem in told(tmp_path, content)}
    assert found[place("Equipment", number, "Equipment")] == "blank required"
    assert found[place("Equipment", number, "Cool-down min")] == "not a number"
