"""Every problem of reading, with its whole sentence, its cell, and whether it stops the plan."""

import datetime

import pytest
from tests.samples import every
from tests.workbook.reader.making import D, opened, place, sound

from stillroom.errors import KINDS
from stillroom.handbook.settle import settle
from stillroom.household import checks
from stillroom.household.journal import stocks
from stillroom.household.text import format_number
from stillroom.reports.problems import gathered, line, reason, sentences
from stillroom.workbook.reader import household as read

TODAY = D(2026, 8, 20)
ALWAYS = "no included preserve"
"""The sound household keeps one target that only a preserve which is not included counts toward."""


def told(tmp_path, content, change=None):
    """All problems of a workbook, reading, checks and ledger together."""
    household, problems = read.household(opened(tmp_path, content, change=change), TODAY)
    found = problems + checks.problems(household) + stocks.settle(household)[1]
    return [problem for problem in found if problem.kind != ALWAYS]


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
        "Altitude cannot be 1,000,000,000 ft. Type a number from -2,000 to 30,000 ft.",
    ),
    (
        "Kitchen",
        0,
        "Unit",
        "furlong",
        "unknown unit",
        'In Unit, no unit is called "furlong". Type a unit such as ft.',
    ),
    ("Kitchen", 0, "Unit", "kg", "wrong measure", "In altitude, kg is not a length. Type a length such as 1450 ft."),
    ("Kitchen", 3, "Value", 2.5, "not whole", "Days planned in detail cannot be 2.5. Type a whole number."),
    ("Kitchen", 3, "Value", 22, "out of range", "Days planned in detail cannot be 22. Type a number from 0 to 21."),
    (
        "Kitchen",
        3,
        "Value",
        "7 days",
        "not of few numbers",
        'Days planned in detail cannot be "7 days". Type a whole number from 0 to 21.',
    ),
    (
        "Winter list",
        0,
        "Importance",
        "must",
        "not of few numbers",
        'Importance cannot be "must". Type a whole number from 1 to 3 (1 must, 2 should, 3 nice).',
    ),
    (
        "Harvest",
        2,
        "Amount",
        "30-60",
        "two readings",
        'In Amount, "30-60" may be 30 or 60. Type the one you mean.',
    ),
    ("Kitchen", 0, "Setting", "altitud", "unknown setting", 'No setting is called "altitud". Did you mean altitude?'),
    (
        "Kitchen",
        4,
        "Setting",
        "First Day",
        "same setting twice",
        "The setting first day is there twice. Delete one of the rows.",
    ),
    ("Kitchen", 1, "Value", "dail", "unreadable choice", 'Gauge cannot be "dail". Choose dial or weighted.'),
    (
        "Kitchen",
        5,
        "Value",
        "four",
        "not a number",
        'In people, "four" is not a number. Type a number such as 12.',
    ),
    ("Kitchen", 6, "Value", -5, "below the least", "Freezer space free cannot be -5 L. Type 0 or more."),
    (
        "Kitchen",
        6,
        "Value",
        "60,5",
        "comma of two meanings",
        'In freezer space free, "60,5" may be 60.5 or 605. Type it without a comma.',
    ),
    ("Hours", 0, "Mon", None, "blank required", "Mon is blank. Type it, such as 2.5, or clear the whole row."),
    (
        "Hours",
        0,
        "Mon",
        "4 lb",
        "unreadable hours",
        'In Mon, "4 lb" is not a length of time. Type hours such as 2.5.',
    ),
    (
        "Hours",
        0,
        "Mon",
        "3",
        "number as text",
        "Mon holds the text 3, read as the number 3. Type the number again if formulas should count it too.",
    ),
    ("Hours", 0, "Mon", -1, "below the least", "Mon cannot be -1. Type 0 or more."),
    ("Hours", 1, "What", "hands ", "hours row twice", "Hands is twice in Hours. Delete one of the rows."),
    (
        "Hours",
        1,
        "What",
        "Stove",
        "stove row",
        'No row of Hours is called "Stove". Did you mean stove free? Type the hours the stove is free, not burner-hours.',
    ),
    (
        "Hours",
        1,
        "Sat",
        36,
        "stove free too long",
        "The stove cannot be free 36 hours (Sat). Type the hours the stove is free, at most 24, not burner-hours.",
    ),
    (
        "Hours",
        1,
        "Each later week",
        168.5,
        "stove free too long",
        "The stove cannot be free 168.5 hours (Each later week). Type the hours the stove is free, at most 168, not burner-hours.",
    ),
    (
        "Equipment",
        1,
        "Kind",
        "dryer",
        "conflicting rows",
        "Kind of canner differs from an earlier row. Type it in one row only.",
    ),
    ("Equipment", 0, "Kind", None, "blank text", "Kind is blank. Fill it in, or clear the whole row."),
    ("Equipment", 0, "How many", 1.5, "not whole", "How many cannot be 1.5. Type a whole number."),
    (
        "Equipment",
        0,
        "Runs overnight",
        "perhaps",
        "not yes or no",
        'Runs overnight must be yes or no, not "perhaps". Type yes or no.',
    ),
    ("Equipment", 3, "Load", 0, "not above zero", "Load cannot be 0. Type a number above 0."),
    (
        "Equipment",
        3,
        "Load",
        3,
        "load too small",
        "A load of dryer is less than one pint jar of tomato slices, dried. Correct the load, or what one container takes.",
    ),
    (
        "Crops",
        0,
        "Keeps days",
        None,
        "blank required",
        "Keeps days is blank. Type it, such as 7, or clear the whole row.",
    ),
    ("Crops", 0, "Unit", "L", "not a weight", "In Unit, L is not a weight. Type a weight such as lb or oz."),
    (
        "Crops",
        0,
        "Trimmings share",
        1.5,
        "out of range",
        "Trimmings share cannot be 1.5. Type a number from 0 to 0.99.",
    ),
    (
        "Crops",
        0,
        "Freezer space per weight",
        "0.8 L/qt",
        "wrong measure",
        "In Freezer space per weight, 0.8 L/qt is not a space for a weight. Type a space for a weight such as 0.03 cu ft/lb.",
    ),
    (
        "Harvest",
        0,
        "Crop",
        "plumm tomato",
        "unknown name",
        'No crop is called "plumm tomato". Did you mean plum tomato?',
    ),
    (
        "Harvest",
        0,
        "Crop",
        "Tomatoes",
        "name read as",
        '"Tomatoes" is read as plum tomato. Type plum tomato; if that is not what you mean, type another.',
    ),
    (
        "Harvest",
        0,
        "Crop",
        "quince",
        "unknown name",
        'No crop is called "quince". Correct the name, or add it to Crops.',
    ),
    (
        "Harvest",
        0,
        "Amount",
        None,
        "blank required",
        "Amount is blank. Type it, such as 53 lb, or clear the whole row.",
    ),
    ("Harvest", 0, "Amount", -3, "below the least", "Amount cannot be -3 lb. Type 0 or more."),
    (
        "Harvest",
        0,
        "Amount",
        1e9,
        "out of range",
        "Amount cannot be 1,000,000,000 lb. Type a number from 0 to 100,000,000 lb.",
    ),
    (
        "Harvest",
        0,
        "Amount",
        "1,5 lb",
        "comma of two meanings",
        'In Amount, "1,5 lb" may be 1.5 or 15. Type it without a comma.',
    ),
    (
        "Harvest",
        0,
        "Amount",
        "a lot",
        "unreadable amount",
        'In Amount, "a lot" is not an amount. Type one number and a unit, such as 53 lb.',
    ),
    (
        "Harvest",
        0,
        "Amount",
        True,
        "not a number",
        'In Amount, "yes" is not a number. Type a number such as 53 lb.',
    ),
    (
        "Harvest",
        0,
        "Unit",
        "L",
        "not a weight",
        "In Amount, L is not a weight. Type a weight such as 53 lb.",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        "8.9.2026",
        "two readings",
        'In Picked on, "8.9.2026" may be Aug 9, 2026 or Sep 8, 2026. Type the one you mean.',
    ),
    (
        "Harvest",
        0,
        "Picked on",
        "yesterday",
        "date that moves",
        'In Picked on, "yesterday" is another day when it is read again. Type the day itself, such as Aug 13, 2026.',
    ),
    (
        "Harvest",
        0,
        "Picked on",
        "2026-02-30",
        "unreadable date",
        'In Picked on, "2026-02-30" is not a date. Type a date such as Aug 14, 2026.',
    ),
    (
        "Harvest",
        0,
        "Picked on",
        46246,
        "number not a date",
        "In Picked on, 46246 is a number, not a date. Format the cell as a date, or type one such as Aug 14, 2026.",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        D(1926, 8, 12),
        "year out of range",
        "In Picked on, the year of Aug 12, 1926 cannot be right. Type a date from 1990 to 2199.",
    ),
    (
        "Harvest",
        0,
        "Picked on",
        D(2026, 8, 8),
        "lot past keeping",
        "53 lb plum tomato (picked Aug 8, keeps 5 days): kept too long, so left out of the plan. Sort it today, record what is bad with stillroom spoiled, and weigh again what is sound.",
    ),
    (
        "Harvest",
        2,
        "Picked on",
        D(2026, 8, 13),
        "expected lot not weighed",
        "Expected 40 lb sweet corn (Aug 13): never marked weighed, so left out of the plan. Mark what came in as weighed, or delete the row.",
    ),
    ("Harvest", 2, "Least", 70, "least above most", "Least is more than Most. Correct one of the two."),
    ("Harvest", 2, "Least", 45, "least above most", "Least is more than Amount. Correct one of the two."),
    ("Harvest", 2, "Most", 35, "most below amount", "Most is less than Amount. Correct one of the two."),
    (
        "Harvest",
        0,
        "Least",
        40,
        "bounds of a weighed lot",
        "Least is not used for a weighed lot. Clear it, or type expected.",
    ),
    (
        "Harvest",
        3,
        "Frozen on",
        D(2026, 7, 30),
        "frozen before picked",
        "Frozen on Jul 30, 2026 is before Picked on Aug 1, 2026. Correct one of the two.",
    ),
    (
        "Harvest",
        2,
        "Frozen on",
        D(2026, 8, 19),
        "expected and frozen",
        "An expected lot cannot be frozen already. Type weighed, or clear Frozen on.",
    ),
    (
        "Harvest",
        0,
        "Weighed or expected",
        "guess",
        "unreadable choice",
        'Weighed or expected cannot be "guess". Choose weighed or expected.',
    ),
    ("Containers", 0, "Holds", 0, "not above zero", "Holds cannot be 0 quart. Type a number above 0."),
    (
        "Containers",
        0,
        "Unit",
        "each",
        "size neither volume nor weight",
        "Each is neither a volume nor a weight. Type what it holds, such as 1 qt.",
    ),
    (
        "Containers",
        0,
        "Unit",
        None,
        "blank required",
        "Unit is blank. Type it, such as pint or quart, or clear the whole row.",
    ),
    (
        "Containers",
        0,
        "Lid",
        "wide",
        "name read as",
        '"wide" is read as wide lid (Lids!B4). Type wide lid; if that is not what you mean, type another.',
    ),
    (
        "Containers",
        0,
        "Can buy",
        "maybe",
        "unreadable can buy",
        'Can buy cannot be "maybe". Type yes, no, or the most you can buy, such as 24.',
    ),
    (
        "Containers",
        0,
        "Can buy",
        -1,
        "unreadable can buy",
        'Can buy cannot be "-1". Type yes, no, or the most you can buy, such as 24.',
    ),
    (
        "Containers",
        0,
        "On hand",
        None,
        "blank required",
        "On hand is blank. Type it, such as 12, or clear the whole row.",
    ),
    (
        "Containers",
        0,
        "Counted on",
        D(2028, 1, 1),
        "date far away",
        "Counted on Jan 1, 2028 is far from the first day, Aug 14, 2026. Check the year, or first day in Kitchen.",
    ),
    (
        "Containers",
        0,
        "Unit",
        "pint",
        "bare pint",
        "Pint is read as the US pint of 16 fl oz (473 ml). Type imperial pint where you mean 568 ml.",
    ),
    (
        "Pantry",
        0,
        "Unit",
        "h",
        "unit of a pantry item",
        "The pantry cannot count in h. Type a unit such as lb, oz, cup, quart or each.",
    ),
    (
        "Pantry",
        0,
        "Per unit",
        "kg",
        "wrong unit of a price",
        "Per unit is kg, but the pantry counts it in cup. Type what the price is for, in a unit of the same kind.",
    ),
    ("Pantry", 0, "On hand", "2 lb", "two units", "On hand is in lb, but Unit is cup. Use one of them."),
    (
        "Shelf",
        0,
        "Best by",
        D(2026, 7, 1),
        "best by before made",
        "Best by Jul 1, 2026 is before Made on Jul 20, 2026. Correct one of the two.",
    ),
    (
        "Preserves",
        0,
        "Method",
        "canned",
        "unknown method",
        'No method is called "canned". Did you mean boiling-water canned or pressure canned?',
    ),
    (
        "Preserves",
        0,
        "Method",
        "presure canned",
        "unknown method",
        'No method is called "presure canned". Did you mean pressure canned?',
    ),
    (
        "Preserves",
        0,
        "Container",
        "quart jarr",
        "unknown name",
        'No container is called "quart jarr". Did you mean quart jar (Containers!B4)?',
    ),
    (
        "Preserves",
        0,
        "Equipment",
        "kettle; caner",
        "unknown name",
        'No piece of equipment is called "caner". Did you mean canner (Equipment!B4)?',
    ),
    (
        "Preserves",
        0,
        "Kept in",
        "attic",
        "unreadable choice",
        'Kept in cannot be "attic". Choose shelf, freezer, refrigerator or cellar.',
    ),
    ("Preserves", 0, "Include", "later", "not yes or no", 'Include must be yes or no, not "later". Type yes or no.'),
    (
        "Preserves",
        0,
        "Space each",
        "2 lb",
        "not a volume",
        "In Space each, lb is not a volume. Type a volume such as 1 qt.",
    ),
    (
        "Ingredients",
        0,
        "Unit",
        "L",
        "not a weight",
        "In Amount each, L is not a weight. Type a weight such as 3 lb.",
    ),
    (
        "Ingredients",
        1,
        "Unit",
        "g",
        "wrong unit of an ingredient",
        "The pantry counts bottled lemon juice in cup, but Amount each is in g. Type the amount in cup, or change the unit in Pantry.",
    ),
    (
        "Ingredients",
        6,
        "Unit",
        "lb",
        "preserve not counted",
        "Tomato juice, quart is counted in containers, but Amount each is in lb. Type how many containers.",
    ),
    (
        "Ingredients",
        0,
        "Item",
        "plum tomata",
        "unknown name",
        'No crop, pantry ingredient or preserve is called "plum tomata". Did you mean plum tomato?',
    ),
    ("Winter list", 0, "Importance", 4, "out of range", "Importance cannot be 4. Type a number from 1 to 3."),
    (
        "Winter list",
        0,
        "Wanted",
        None,
        "blank required",
        "Wanted is blank. Type it, such as 12, or clear the whole row.",
    ),
    ("Winter list", 1, "Target", "Dried  Tomatoes", "same name twice", None),
    ("Counts toward", 1, "Each counts", 0, "not above zero", "Each counts cannot be 0. Type a number above 0."),
    (
        "Counts toward",
        2,
        "Preserve",
        "corn, frozen",
        "preserve counted twice",
        "Corn, frozen is twice under the target corn. Combine both in one row.",
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
    assert reason(problem) == sentence
    stops = [line(one) for one in found if one.is_error]
    assert len(stops) == (1 if KINDS[kind].effect in ("stops", "refuses") else 0), stops
    of_the_lot = kind in ("lot past keeping", "expected lot not weighed")
    assert problem.where == place(table, row, "Amount" if of_the_lot else heading)


@pytest.mark.parametrize(("name", "example"), [("corn, frozen", "7"), ("freeze whole: carrot", "10 lb")])
def test_a_word_in_keep_at_or_made_is_told_with_what_belongs_there(tmp_path, name, example):
    """It asked for such as 53 lb, which a line of jars refuses in turn."""
    content = sound()
    content["Plan"].append({"Day": D(2026, 8, 14), "Preserve": name, "Make": 4, "Keep at": "no", "Made": "yes"})
    found = [line(one) for one in told(tmp_path, content) if one.kind == "unreadable amount"]
    assert sorted(found) == [
        f'Plan!K4: In Keep at, "no" is not an amount. Type one number and a unit, such as {example}.',
        f'Plan!L4: In Made, "yes" is not an amount. Type one number and a unit, such as {example}.',
    ]


def test_a_first_day_of_the_wrong_year_is_told_once_and_not_for_every_date(tmp_path):
    """With a lot in each of 40 rows there were as many messages as dates, and the others drowned in them."""
    content = sound()
    content["Harvest"] += [{"Picked on": D(2026, 8, 12), "Crop": "carrot", "Amount": 5}] * 40
    content["Kitchen"][2]["Value"] = D(2025, 8, 1)
    found = gathered(told(tmp_path, content))
    far = [line(one) for one in found if one.kind == "date far away" and one.where.startswith("Harvest!B")]
    later = [line(one) for one in found if one.kind == "weighed after the first day"]
    assert far == [
        "Harvest!B4:B47: Picked on Aug 12, 2026; Aug 13, 2026; Aug 18, 2026 and 1 more is far from the first day, Aug 1, 2025. Check the year, or first day in Kitchen."
    ]
    assert len(later) == 1


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
    return [(problem.where, *sentences(problem)) for problem in found if problem.kind == kind]


def test_both_numbers_of_periods_may_not_be_0(tmp_path):
    content = sound()
    content["Kitchen"][3]["Value"] = content["Kitchen"][4]["Value"] = 0
    assert place_of(told(tmp_path, content), "no periods") == [
        (
            "Kitchen!C7",
            "Days planned in detail and weeks planned roughly are both 0.",
            "Plan at least one day or one week.",
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
    assert place_of(found, "unit of length blank") == [
        ("Kitchen!D4", "Altitude has no unit.", "Type ft or m under Unit.")
    ]


def test_hands_or_stove_without_hours_have_no_limit_and_this_is_said(tmp_path):
    content = sound()
    del content["Hours"][0]
    assert place_of(told(tmp_path, content), "hours unlimited") == [
        ("Hours!B3", "Hours has no row for hands, so its hours have no limit.", "Add a row for hands.")
    ]


def test_more_hours_than_the_people_have_are_only_said(tmp_path):
    content = sound()
    content["Hours"][0]["Sat"] = 200
    found = told(tmp_path, content)
    assert place_of(found, "hours of a day above people") == [
        (
            "Hours!B4",
            "200 hands-on hours on one day is more than 4 people have.",
            "Correct the hours, or people in Kitchen.",
        )
    ]
    assert not any(problem.is_error for problem in found)


@pytest.mark.parametrize(
    ("setting", "typed", "kind", "sentence"),
    [
        ("latest end", "late", "unreadable time", 'In latest end, "late" is not a time of day. Type a time such as 8:30 AM.'),
        ("most preserves in a day", 0, "out of range", "Most preserves in a day cannot be 0. Type a number from 1 to 100."),
        ("most preserves in a day", 2.5, "not whole", "Most preserves in a day cannot be 2.5. Type a whole number."),
        ("share of hours kept free", "95%", "out of range", "Share of hours kept free cannot be 95 %. Type a number from 0 to 90 %."),
        ("share of hours kept free", "some%", "not a number", 'In share of hours kept free, "some" is not a number. Type a number such as 10%.'),
        ("share of hours kept free", "a tenth", "not a number", 'In share of hours kept free, "a tenth" is not a number. Type a number such as 10%.'),
    ],
)  # fmt: skip
def test_what_a_day_may_hold_is_told_by_its_cell_where_it_cannot_be(tmp_path, setting, typed, kind, sentence):
    content = sound()
    content["Kitchen"].append({"Setting": setting, "Value": typed})
    found = [problem for problem in told(tmp_path, content) if problem.kind == kind]
    assert [line(problem) for problem in found] == [f"Kitchen!C13: {sentence}"]


def test_a_latest_end_before_the_day_starts_is_told_by_its_cell(tmp_path):
    """The days start at 8, but for Friday at 5 PM."""
    content = sound()
    content["Kitchen"].append({"Setting": "latest end", "Value": "4 PM"})
    content["Hours"].append({"What": "day starts", "Fri": "5 PM"})
    found = [problem for problem in told(tmp_path, content) if problem.kind == "latest end before start"]
    assert [line(problem) for problem in found] == [
        "Kitchen!C13: The latest end is 4:00 PM and Friday starts at 5:00 PM. Type a later time, or clear it."
    ]


def test_a_bushel_without_a_weight_is_asked_about(tmp_path):
    content = sound()
    content["Crops"][0]["Bushel weighs"] = None
    what = "In Amount, a bushel of this crop has no weight."
    assert place_of(told(tmp_path, content), "no bushel weight") == [
        (place("Harvest", 1, "Amount"), what, "Fill in Bushel weighs, or type a weight such as 53 lb.")
    ]


@pytest.mark.parametrize(
    ("amount", "told_of"),
    [
        ("4 cups", "In Amount, cup is not a weight."),
        ("2 flats", "In Amount, a flat of this crop has no weight."),
        ("2 days", "In Amount, day is not a weight."),
    ],
)
def test_a_crop_whose_cup_or_flat_nobody_weighed_is_refused_by_it(tmp_path, amount, told_of):
    """A published cup of tomatoes is chopped."""
    content = sound()
    content["Harvest"][0]["Amount"] = amount
    assert [(one.where, *sentences(one)) for one in told(tmp_path, content) if one.is_error] == [
        (place("Harvest", 0, "Amount"), told_of, "Type a weight such as 53 lb.")
    ]


def test_an_acid_is_measured_in_its_short_list_only(tmp_path):
    content = sound()
    content["Pantry"].append({"Ingredient": "cider vinegar", "On hand": 1, "Unit": "imperial gallon"})
    content["Ingredients"].append(
        {"Preserve": content["Preserves"][0]["Preserve"], "Item": "cider vinegar", "Amount each": "1 imp. fl. oz."}
    )
    [(_, what, fix)] = place_of(told(tmp_path, content), "unit of an acid")
    assert what == "Cider vinegar is an acid, and Amount each is in imperial fl oz."
    assert fix == "Type it in tsp, tbsp, cups, pints, quarts, oz or lb."


@pytest.mark.parametrize("unit", ["inches", "yards", "cm"])
def test_an_altitude_is_in_feet_or_metres_only(tmp_path, unit):
    content = sound()
    content["Kitchen"][0]["Unit"] = unit
    [(_, what, fix)] = place_of(told(tmp_path, content), "unit not used here")
    assert what.endswith("cannot be used here.")
    assert fix == "Type it in ft or m, such as 1450 ft."


def test_one_name_for_a_crop_and_an_ingredient_is_refused(tmp_path):
    content = sound()
    content["Pantry"][1]["Ingredient"] = "Carrot"
    what = "Carrot is the name of a pantry ingredient and of a crop (Crops!B6)."
    assert place_of(told(tmp_path, content), "name of two things") == [("Pantry!B5", what, "Rename one of them.")]


def test_an_ingredient_that_stands_twice_is_refused(tmp_path):
    content = sound()
    content["Ingredients"].append({"Preserve": "corn, frozen", "Item": "Sweet corn", "Amount each": 1})
    assert place_of(told(tmp_path, content), "ingredient twice") == [
        (
            "Ingredients!C11",
            "Sweet corn is twice among the ingredients of corn, frozen.",
            "Combine both amounts in one row.",
        )
    ]


def test_a_formula_that_was_never_calculated_is_named(tmp_path):
    def change(book):
        book["Winter list"]["C4"] = "=4*10"

    found = told(tmp_path, sound(), change)
    assert [line(problem) for problem in found] == [
        "Winter list!C4: The formula in Wanted has no saved result. Open the workbook in your spreadsheet program, let it calculate, and save it."
    ]


def test_an_error_value_in_a_cell_of_ours_is_named(tmp_path):
    def change(book):
        book["Harvest"]["D4"] = "#REF!"
        book["Harvest"]["D4"].data_type = "e"

    assert [line(problem) for problem in told(tmp_path, sound(), change)] == [
        "Harvest!D4: Amount shows #REF!. Fix the formula, or type the value."
    ]


def test_merged_cells_inside_a_table_are_named(tmp_path):
    def change(book):
        book["Preserves"].merge_cells("B4:B5")

    found = told(tmp_path, sound(), change)
    assert place_of(found, "merged cells") == [
        ("Preserves!B4", "The cells B4:B5 are merged.", "Unmerge them: one cell for each entry.")
    ]


def test_hidden_rows_are_read_and_said(tmp_path):
    def change(book):
        book["Harvest"].row_dimensions[4].hidden = True
        book["Harvest"].row_dimensions[6].hidden = True

    found = told(tmp_path, sound(), change)
    assert [line(problem) for problem in found] == [
        "Harvest!B4: The table Harvest has hidden rows (4, 6), and they are used too. Clear them if you do not want them."
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
            "Pint is read as the US pint of 16 fl oz (473 ml).",
            "Type imperial pint where you mean 568 ml.",
        ),
        ("Pantry!E4", "Pint is read as the US pint of 16 fl oz (473 ml).", "Type imperial pint where you mean 568 ml."),
        ("Pantry!H4", "Pint is read as the US pint of 16 fl oz (473 ml).", "Type imperial pint where you mean 568 ml."),
    ]


def test_a_date_in_the_wrong_year_is_said_and_judged_against_the_first_day(tmp_path):
    content = sound()
    content["Harvest"][0]["Picked on"] = "2025-08-12"
    found = told(tmp_path, content)
    assert place_of(found, "date far away") == [
        (
            "Harvest!B4",
            "Picked on Aug 12, 2025 is far from the first day, Aug 14, 2026.",
            "Check the year, or first day in Kitchen.",
        )
    ]


@pytest.mark.parametrize("typed", ["weighed", None])
def test_a_lot_weighed_after_the_first_day_is_asked_after(tmp_path, typed):
    """Left at weighed it would count as if it were sure; with an old first day every new lot looks so."""
    content = sound()
    content["Harvest"][0] |= {"Picked on": "2026-08-25", "Weighed or expected": typed, "Least": None, "Most": None}
    found = place_of(told(tmp_path, content), "weighed after the first day")
    assert found == [
        (
            "Harvest!B4",
            "Plum tomato of Aug 25, 2026 is marked weighed, but the first day is Aug 14, 2026.",
            "Type expected, or set first day in Kitchen to today.",
        )
    ]
    content["Harvest"][0]["Weighed or expected"] = "expected"
    assert place_of(told(tmp_path, content), "weighed after the first day") == []


def test_a_load_that_names_no_container_is_told_at_the_preserve(tmp_path):
    content = sound()
    content["Equipment"][2]["Load unit"] = "pint jars"
    what = "Equipment does not give how many quart jar fit in a load of kettle."
    fix = "Add a row for kettle: how many under Load, quart jar under Load unit."
    assert place_of(told(tmp_path, content), "no load for container") == [("Preserves!B4", what, fix)]


def test_a_record_row_that_says_neither_preserve_nor_crop_is_told(tmp_path):
    content = sound()
    content["Record"] = [{"Date": D(2026, 8, 13), "Made": 5}]
    assert place_of(told(tmp_path, content), "record row without a name") == [
        ("Record!C4", "Preserve and Crop are both blank.", "Type what you made, or which crop you used.")
    ]


def test_crop_moved_in_the_record_says_how_much_and_of_one_crop(tmp_path):
    content = sound()
    content["Record"] = [
        {"Date": D(2026, 8, 13), "Preserve": "freeze whole: plum tomato"},
        {"Date": D(2026, 8, 13), "Preserve": "thaw: plum tomato", "Crop": "carrot", "Crop used": 2},
    ]
    found = [line(problem) for problem in told(tmp_path, content) if problem.is_error]
    assert found == [
        "Record!H4: Crop used is blank. Type how much was moved, such as 53 lb.",
        "Record!G5: Crop is carrot, but the row is thaw: plum tomato. Correct one of the two.",
    ]


def test_what_happened_is_one_of_its_words_and_about_one_thing(tmp_path):
    content = sound()
    day = D(2026, 8, 13)
    content["Record"] = [
        {"Date": day, "What happened": "gve", "Preserve": "tomato juice, quart", "Made": 1},
        {"Date": day, "What happened": "bought", "Crop": "carrot", "Crop used": 2},
        {"Date": day, "What happened": "ate", "Preserve": "tomato juice, quart", "Made": 1, "Crop": "carrot"},
        {"Date": day, "What happened": "spoiled", "Crop": "carrot"},
        {"Date": day, "What happened": "surplus"},
    ]
    found = {problem.where: line(problem) for problem in told(tmp_path, content) if problem.is_error}
    assert set(found) == {"Record!D4", "Record!C5", "Record!G6", "Record!H7", "Record!C8"}
    assert "Did you mean gave?" in found["Record!D4"]


def test_a_plan_line_with_something_made_of_an_unknown_preserve_stops(tmp_path):
    content = sound()
    content["Plan"] = [{"Day": D(2026, 8, 13), "Preserve": "tomato jus, quart", "Made": 7}]
    assert [line(problem) for problem in told(tmp_path, content)] == [
        'Plan!D4: No preserve is called "tomato jus, quart". Did you mean tomato juice, quart?'
    ]


def test_a_plan_line_says_its_day_and_what_it_is_for(tmp_path):
    content = sound()
    content["Plan"] = [
        {"Preserve": "corn, frozen", "Keep at": 7},
        {"Day": D(2026, 8, 14), "Keep at": 7},
        {"Day": D(2026, 8, 14), "Days": 3, "Preserve": "corn, frozen", "Keep at": 7},
        {"Day": D(2026, 8, 15), "Preserve": "corn, frozen", "Keep at": "7 lb"},
    ]
    assert [line(problem) for problem in told(tmp_path, content)] == [
        "Plan!B4: Day is blank. Type it, such as Aug 14, 2026, or clear the whole row.",
        "Plan!D5: Preserve is blank. Fill it in, or clear the whole row.",
        "Plan!C6: Days cannot be 3. Type 1, or 7 for a week.",
        "Plan!K7: Keep at is in lb. Type how many containers, such as 7.",
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
    found = [problem.where for problem in told(tmp_path, content) if problem.is_error]
    assert sorted(found) == sorted(place(table, row, heading) for table, row, heading, _ in broken)


ODD = [
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


def test_a_workbook_of_nothing_but_noise_brings_problems_and_no_traceback(tmp_path):
    """
    A cell of the sound household in turn holds something odd; reading, checking and settling never fall over.

    Every third cell, each odd thing among them; `python3 tests/bench.py samples` takes all.
    """
    cells = [
        (table, row, heading) for table, rows in sound().items() for row in range(len(rows)) for heading in rows[row]
    ]
    assert len(cells) > 150
    for number in every(3, range(len(cells))):
        table, row, heading = cells[number]
        content = sound()
        content[table][row][heading] = ODD[number % len(ODD)]
        told(tmp_path, content)


def test_a_row_of_equipment_without_a_name_is_read_for_all_that_is_wrong_with_it(tmp_path):
    content = sound()
    content["Equipment"].append({"Equipment": None, "Kind": "dryer", "Cool-down min": "½½"})
    number = len(content["Equipment"]) - 1
    found = {problem.where: problem.kind for problem in told(tmp_path, content)}
    assert found[place("Equipment", number, "Equipment")] == "blank text"
    assert found[place("Equipment", number, "Cool-down min")] == "not a number"


@pytest.mark.parametrize(
    ("table", "row", "heading", "usual", "slip", "said"),
    [
        ("Kitchen", 5, "Value", 30, 40, "People is 40, which is unusual. Check it; usual is up to 30."),
        ("Lids", 0, "Price", 2.8, 280, "Price is 280, which is unusual. Check it; usual is up to 20."),
        ("Crops", 0, "Keeps days", 1, 1e-9, "Keeps days is {}, which is unusual. Check it; usual is 0.25 or more."),
        ("Crops", 0, "Bushel weighs", 20, 0, "Bushel weighs is 0, which is unusual. Check it; usual is from 1 to 130."),
    ],
)
def test_a_number_far_from_what_is_usual_is_a_note(tmp_path, table, row, heading, usual, slip, said):
    """It may be right, so the plan goes on."""
    for value, wanted in ((usual, []), (slip, [f"{place(table, row, heading)}: {said}"])):
        content = sound()
        content["Harvest"][1]["Amount"] = "2 lb"
        content[table][row][heading] = value
        _, problems = read.household(opened(tmp_path, content), TODAY)
        found = [one for one in problems if one.kind == "unusual number"]
        assert [line(one) for one in found] == [one.format(format_number(slip)) for one in wanted]
        assert not any(one.is_error or one.severe for one in found)
