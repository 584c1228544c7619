"""A whole workbook comes in as typed, in the units used inside."""

import datetime
import math

import pytest
from tests.workbook.reader.making import FRIDAY, D, opened, sound

from stillroom.household.records import PlanLine, RecordRow
from stillroom.household.units import GALLON_LITRES, POUND_KG
from stillroom.reports.problems import line
from stillroom.workbook.reader import household as read

TODAY = D(2026, 8, 20)
QUART = GALLON_LITRES / 4


def home(tmp_path, content=None, today=TODAY, **more):
    """Read a household, which must bring no problem that stops."""
    household, problems = read.household(opened(tmp_path, content or sound(), **more), today)
    assert [line(problem) for problem in problems if problem.is_error] == []
    return household


def test_settings_come_in_feet_litres_kilograms_and_hours(tmp_path):
    """Seven cubic feet take 2 lb each a day: 14 lb."""
    kitchen = home(tmp_path).kitchen
    assert kitchen.first_day == FRIDAY
    assert kitchen.altitude_ft == 1450
    assert kitchen.freezer_free_litres == 60
    assert kitchen.freezer_size_litres == pytest.approx(7 * 28.316846592)
    assert kitchen.freeze_kg_a_day == pytest.approx(14 * POUND_KG)
    assert kitchen.refrigerator_free_litres == math.inf
    assert kitchen.spending_limit == math.inf
    assert kitchen.setup_hours_a_kind == 0.25
    assert kitchen.gauge == "dial"
    assert kitchen.weight_unit == "lb"


def test_what_a_day_may_hold_is_no_limit_where_it_is_blank(tmp_path):
    kitchen = home(tmp_path).kitchen
    assert (kitchen.most_preserves_a_day, kitchen.latest_end, kitchen.kept_free) == (math.inf, None, 0.0)


@pytest.mark.parametrize("share", ["10%", 10, 0.1, "10 %"])
@pytest.mark.parametrize("end", ["9 PM", "21:00", datetime.time(21), "9:00 pm"])
def test_what_a_day_may_hold_is_read_as_a_cook_writes_it(tmp_path, share, end):
    """A cell shown as 10% holds 0.1; a bare number from 1 up is in percent."""
    content = sound()
    typed = {"latest end": end, "most preserves in a day": 4, "share of hours kept free": share}
    content["Kitchen"] += [{"Setting": name, "Value": value} for name, value in typed.items()]
    kitchen = home(tmp_path, content).kitchen
    assert (kitchen.most_preserves_a_day, kitchen.latest_end) == (4, datetime.time(21))
    assert kitchen.kept_free == pytest.approx(0.1)


def test_a_missing_or_blank_first_day_is_today(tmp_path):
    content = sound()
    del content["Kitchen"][2]
    content["Kitchen"][0].update({"Value": "450 m", "Unit": None})
    content["Containers"][1].update({"Holds": 0.47, "Unit": "L"})
    content["Containers"][0].update({"Holds": 0.95, "Unit": "L"})
    content["Equipment"][2]["Load unit"] = "US qt"
    content["Pantry"][0]["Per unit"] = "US qt"
    kitchen = home(tmp_path, content, today=D(2026, 8, 15)).kitchen
    assert (kitchen.first_day, kitchen.first_day_typed) == (D(2026, 8, 15), False)
    assert kitchen.altitude_ft == pytest.approx(450 / 0.3048)
    assert (kitchen.weight_unit, kitchen.altitude_unit) == ("kg", "m")


def test_hours_and_equipment_with_their_defaults(tmp_path):
    household = home(tmp_path)
    hands, stove = household.hours
    assert (hands.by_weekday, hands.each_later_week) == ((3, 3, 3, 3, 3, 8, 0), 20)
    assert (stove.what, stove.each_later_week) == ("stove free", 21)
    canner, kettle, dryer = household.equipment
    assert [(load.number, load.unit) for load in canner.loads] == [(7, "quart jars"), (9, "pint jars")]
    assert (canner.burners, canner.heat_up_hours, canner.cool_down_hours, canner.runs_overnight) == (1, 0.5, 0, False)
    assert (kettle.kind, kettle.burners, kettle.heat_up_hours) == ("kettle", 1, 0)
    assert (dryer.burners, dryer.runs_overnight) == (0, True)


def test_loads_are_the_smallest_over_the_pieces_in_whole_containers(tmp_path):
    """Kettle 8 quarts, canner 7 jars: 7. Dryer 12 lb at 5 lb a jar: 2.4, so 2. Nothing for what needs no equipment."""
    loads = {preserve.name: preserve.load for preserve in home(tmp_path).preserves}
    assert loads == {
        "tomato juice, quart": 7,
        "tomato slices, dried": 2,
        "corn, frozen": None,
        "carrots in sand": None,
        "corn and tomato soup": None,
    }


def test_crops_and_lots_come_in_kilograms(tmp_path):
    household = home(tmp_path)
    tomato = household.crop("plum tomato")
    assert tomato.bushel_kg == pytest.approx(53 * POUND_KG)
    assert tomato.eaten_kg_a_week == pytest.approx(2 * POUND_KG)
    assert tomato.freeze_hours_per_kg == pytest.approx(1 / 60 / POUND_KG)
    assert (tomato.may_be_frozen_whole, tomato.trimmings_share, tomato.frozen_keeps_weeks) == (True, 0.25, 4)
    first, second, expected, frozen = household.lots
    assert (first.crop, first.kg) == ("plum tomato", pytest.approx(53 * POUND_KG))
    assert second.kg == pytest.approx(106 * POUND_KG)
    assert expected.expected
    assert (expected.least_kg, expected.most_kg) == (pytest.approx(30 * POUND_KG), pytest.approx(60 * POUND_KG))
    assert frozen.frozen_on == D(2026, 8, 2)


@pytest.mark.parametrize(
    ("typed", "litres_per_kg"),
    [
        (None, 1.8),
        (2, 2.0),
        ("0.8 L/lb", 0.8 / POUND_KG),
        ("0.03 cu ft/lb", 0.03 * 28.316846592 / POUND_KG),
        ("1 1/2 L per kg", 1.5),
    ],
)
def test_freezer_space_per_weight(tmp_path, typed, litres_per_kg):
    content = sound()
    content["Crops"][0]["Freezer space per weight"] = typed
    assert home(tmp_path, content).crop("plum tomato").freezer_litres_per_kg == pytest.approx(litres_per_kg)


def test_stocks_come_in_litres_kilograms_and_money_for_one_of_them(tmp_path):
    """Four for a quart of lemon juice is 4 / 0.946 a litre."""
    household = home(tmp_path)
    quart, pint, bag, box = household.containers
    assert (quart.holds_litres, quart.can_buy, quart.lid) == (pytest.approx(QUART), 12, "wide lid")
    assert pint.holds_litres == pytest.approx(QUART / 2)
    assert (bag.can_buy, bag.lid) == (math.inf, None)
    assert (box.holds_litres, box.holds_kg) == (None, pytest.approx(20 * POUND_KG))
    lemon, salt = household.pantry
    assert (lemon.base_unit, lemon.on_hand, lemon.price) == (
        "litre",
        pytest.approx(QUART / 2),
        pytest.approx(4 / QUART),
    )
    assert lemon.on_hand * lemon.per_base == pytest.approx(2)
    assert (salt.base_unit, salt.on_hand, salt.price, salt.can_buy) == ("kg", pytest.approx(3 * POUND_KG), None, 0)


@pytest.mark.parametrize(
    ("typed", "amount"),
    [("yes", math.inf), ("no", 0), (None, 0), (6, 6), ("6", 6), (True, math.inf), ("Y", math.inf), (1, 1), (0, 0)],
)
def test_can_buy_is_yes_no_or_a_number(tmp_path, typed, amount):
    content = sound()
    content["Containers"][0]["Can buy"] = typed
    assert home(tmp_path, content).container("quart jar").can_buy == amount


def test_larder_that_is_counted_keeps_its_word(tmp_path):
    content = sound()
    content["Pantry"].append({"Ingredient": "pectin", "On hand": 3, "Unit": "packets", "Price": 2})
    content["Ingredients"].append({"Preserve": "corn, frozen", "Item": "pectin", "Amount each": "½ packet"})
    household = home(tmp_path, content)
    assert (household.pantry[2].base_unit, household.pantry[2].unit, household.pantry[2].price) == ("each", "packet", 2)
    assert household.preserve("corn, frozen").ingredients[1].amount_each == 0.5


def test_ingredients_come_in_the_unit_their_store_is_kept_in(tmp_path):
    household = home(tmp_path)
    tomato, lemon = household.preserve("tomato juice, quart").ingredients
    assert (tomato.source, tomato.amount_each, tomato.from_frozen) == ("crop", pytest.approx(3.25 * POUND_KG), True)
    assert (tomato.amount_typed, tomato.unit, tomato.kg_each) == (3.25, "lb", tomato.amount_each)
    assert (lemon.source, lemon.amount_each, lemon.litres_each) == (
        "pantry",
        pytest.approx(QUART / 32),
        pytest.approx(QUART / 32),
    )
    juice = household.preserve("corn and tomato soup").ingredients[1]
    assert (juice.source, juice.amount_each, juice.unit) == ("preserve", 0.5, "quart jar")


@pytest.mark.parametrize(
    ("unit", "jars"), [(None, 2), ("quart jars", 2), ("jar", 2), ("containers", 2), ("each", 2), ("pt", 1), ("qt", 2)]
)
def test_another_preserve_is_counted_in_its_containers_or_by_what_they_hold(tmp_path, unit, jars):
    content = sound()
    content["Ingredients"][6].update({"Amount each": 2, "Unit": unit})
    assert home(tmp_path, content).preserve("corn and tomato soup").ingredients[1].amount_each == pytest.approx(jars)


def test_a_smallest_batch_that_was_typed_is_not_a_blank_one(tmp_path):
    content = sound()
    content["Preserves"][0]["Smallest batch"] = 1
    juice = home(tmp_path, content).preserve("tomato juice, quart")
    assert (juice.smallest_batch, juice.batch_typed, juice.fewest) == (1, True, 1)


def test_preserves_with_their_defaults(tmp_path):
    household = home(tmp_path)
    juice = household.preserve("tomato juice, quart")
    assert (juice.equipment, juice.kept_in, juice.smallest_batch, juice.space_litres_each) == (
        ("kettle", "canner"),
        "shelf",
        1,
        pytest.approx(QUART),
    )
    corn = household.preserve("corn, frozen")
    assert (corn.kept_in, corn.smallest_batch, corn.include, corn.load) == ("freezer", 4, True, None)
    assert (juice.batch_typed, juice.fewest, corn.batch_typed, corn.fewest) == (False, 3, False, 4)
    carrots = household.preserve("carrots in sand")
    assert (carrots.include, carrots.kept_in) == (False, "cellar")
    assert carrots.space_litres_each == pytest.approx(20 * POUND_KG * 1.8)
    assert household.preserve("corn and tomato soup").method == "frozen"


@pytest.mark.parametrize(
    ("typed", "months"),
    [(4, 4), (0.5, 0.5), ("4 days", 4 * 12 / 365.25), ("2 weeks", 14 * 12 / 365.25), ("3 months", 3)],
)
def test_keeping_months_may_be_typed_in_days_and_weeks(tmp_path, typed, months):
    """A month is a twelfth of 365.25 days."""
    content = sound()
    content["Preserves"][0]["Keeps months"] = typed
    assert home(tmp_path, content).preserves[0].keeps_months == pytest.approx(months, rel=0.02)


def test_needs_with_their_defaults_and_counts(tmp_path):
    tomatoes, corn, dried, _ = home(tmp_path).targets
    assert (tomatoes.wanted, tomatoes.at_most, tomatoes.importance, tomatoes.weight) == (40, 60, 1, 1)
    assert (corn.at_most, corn.importance, dict(corn.counts)) == (
        12,
        2,
        {"corn, frozen": 1, "corn and tomato soup": 0.5},
    )
    assert dried.importance == 3


def test_names_are_joined_whatever_their_case_and_spaces(tmp_path):
    content = sound()
    content["Preserves"][0]["Container"] = "Quart\u00a0 Jar"
    content["Preserves"][0]["Equipment"] = "KETTLE , Canner"
    content["Counts toward"][0]["Preserve"] = " tomato  juice,quart"
    household = home(tmp_path, content)
    assert household.preserve("tomato juice, quart").container == "quart jar"
    assert dict(household.targets[0].counts) == {"tomato juice, quart": 1}


def test_equipment_whose_name_holds_a_comma_is_found(tmp_path):
    content = sound()
    content["Equipment"][0]["Equipment"] = content["Equipment"][1]["Equipment"] = "canner, big"
    content["Preserves"][0]["Equipment"] = "kettle, canner, big"
    assert home(tmp_path, content).preserve("tomato juice, quart").equipment == ("kettle", "canner, big")


def test_columns_of_the_record(tmp_path):
    content = sound()
    content["Record"] = [
        {
            "Date": D(2026, 8, 13),
            "Preserve": "Tomato juice, quart",
            "Made": 6,
            "Failed seals": 1,
            "Crop used": 23,
            "Hands-on hours": 2.5,
        },
        {"Date": "2026-08-13", "Preserve": "freeze whole:Plum Tomato", "Crop used": "1/2 bu"},
        {"Date": D(2026, 8, 13), "Crop": "carrot", "Crop used": 2, "Unit": "kg"},
    ]
    made, frozen, used = home(tmp_path, content).record
    assert made == RecordRow(
        D(2026, 8, 13), "tomato juice, quart", 6, 1, "plum tomato", pytest.approx(23 * POUND_KG), 2.5
    )
    assert (frozen.preserve, frozen.crop_used_kg) == ("freeze whole: plum tomato", pytest.approx(26.5 * POUND_KG))
    assert (used.preserve, used.crop, used.crop_used_kg) == (None, "carrot", 2)


def test_what_happened_is_read_for_a_preserve_a_crop_and_a_stock(tmp_path):
    content = sound()
    day = D(2026, 8, 13)
    content["Record"] = [
        {"Date": day, "What happened": "Made", "Preserve": "tomato juice, quart", "Made": 6},
        {"Date": day, "What happened": "gave", "Preserve": "tomato juice, quart", "Made": 2},
        {"Date": day, "What happened": "spoiled", "Crop": "carrot", "Crop used": 2, "Unit": "kg"},
        {"Date": day, "What happened": "surplus", "Preserve": "carrot", "Crop used": 1, "Unit": "kg"},
        {"Date": day, "What happened": "bought", "Preserve": "quart jar", "Made": 12},
        {"Date": day, "Preserve": "ate: tomato juice, quart", "Made": 1},
    ]
    found = [(row.preserve, row.made, row.crop, row.crop_used_kg) for row in home(tmp_path, content).record]
    assert found == [
        ("tomato juice, quart", 6, None, None),
        ("gave: tomato juice, quart", 2, None, None),
        ("spoiled: carrot", 0, "carrot", 2),
        ("surplus: carrot", 0, "carrot", 1),
        ("bought: quart jar", 12, None, None),
        ("ate: tomato juice, quart", 1, None, None),
    ]


def test_lines_of_the_plan(tmp_path):
    content = sound()
    content["Plan"] = [
        {
            "Day": FRIDAY,
            "Days": 1,
            "Preserve": "tomato juice, quart",
            "Make": 14,
            "Unit": "quart jar",
            "Keep at": 7,
            "Note": "with Kim",
        },
        {"Day": FRIDAY, "Days": 1, "Preserve": "freeze whole: plum tomato", "Make": 10, "Unit": "lb", "Made": 8},
        {"Day": D(2026, 8, 21), "Days": 7, "Preserve": "corn, frozen", "Make": 4.25},
        {"Day": D(2026, 8, 16), "Preserve": "Corn, Frozen", "Keep at": 0},
        {"Day": D(2026, 8, 16), "Preserve": "last year's jam", "Make": 3},
        {"Day": D(2026, 8, 16), "Preserve": "plum jam", "Keep at": 3},
        {"Note": "Kim is away from here on"},
    ]
    lines = home(tmp_path, content).plan_lines
    assert lines == (
        PlanLine(FRIDAY, 1, "tomato juice, quart", 14, 7, None, "with Kim"),
        PlanLine(
            FRIDAY, 1, "freeze whole: plum tomato", pytest.approx(10 * POUND_KG), None, pytest.approx(8 * POUND_KG)
        ),
        PlanLine(D(2026, 8, 21), 7, "corn, frozen", 4.25),
        PlanLine(D(2026, 8, 16), 1, "corn, frozen", None, 0),
        PlanLine(D(2026, 8, 16), 1, "plum jam", None, 3),
        PlanLine(D(2026, 8, 16), 1, "", note="Kim is away from here on"),
    ) or [line.where for line in lines]
    assert [line.name for line in lines] == [
        "tomato juice, quart",
        "freeze whole: plum tomato",
        "corn, frozen",
        "corn, frozen",
        "plum jam",
        "",
    ]


def test_a_dozen_in_a_line_of_the_plan_is_twelve(tmp_path):
    """It was read as 1, and one jar was planned."""
    content = sound()
    content["Plan"] = [
        {"Day": FRIDAY, "Preserve": "tomato juice, quart", "Make": 14, "Keep at": "1 dozen"},
        {"Day": FRIDAY, "Preserve": "corn, frozen", "Make": 4, "Made": "2 dozen"},
        {"Day": FRIDAY, "Preserve": "tomato slices, dried", "Make": 4, "Keep at": "9 jars"},
    ]
    juice, corn, dried = home(tmp_path, content).plan_lines
    assert (juice.fix, corn.made, dried.fix) == (12, 24, 9)


def test_a_preserve_that_cannot_be_read_takes_what_rests_on_it_along(tmp_path):
    """Juice is unreadable; so the soup made from it is left out, and a need that only juice counts toward."""
    content = sound()
    content["Ingredients"][0]["Amount each"] = None
    content["Record"] = [{"Date": D(2026, 8, 13), "Preserve": "tomato juice, quart", "Made": 7}]
    household, problems = read.household(opened(tmp_path, content), D(2026, 8, 20))
    assert [problem.where for problem in problems if problem.is_error] == ["Ingredients!D4"]
    assert {preserve.name for preserve in household.preserves} == {
        "tomato slices, dried",
        "corn, frozen",
        "carrots in sand",
    }
    assert {target.name for target in household.targets} == {"corn", "dried tomatoes", "carrots"}
    assert household.shelf == household.record == ()


def test_reading_the_largest_allowed_household_takes_under_five_seconds(tmp_path):
    import time

    content = sound()
    content["Harvest"] = [{"Picked on": D(2026, 8, 12), "Crop": "plum tomato", "Amount": 5}] * 2000
    content["Record"] = [{"Date": D(2026, 8, 13), "Preserve": "tomato juice, quart", "Made": 1}] * 5000
    content["Preserves"] += [{**content["Preserves"][2], "Preserve": f"corn {n}", "Include": "no"} for n in range(395)]
    content["Ingredients"] += [{"Preserve": f"corn {n}", "Item": "sweet corn", "Amount each": 1} for n in range(395)]
    book = opened(tmp_path, content)
    begun = time.process_time()
    household, problems = read.household(book, FRIDAY)
    assert time.process_time() - begun < 5
    assert not any(problem.is_error for problem in problems)
    assert (len(household.lots), len(household.record), len(household.preserves)) == (2000, 5000, 400)


def test_a_crop_that_is_weighed_whole_may_be_typed_by_volume(tmp_path):
    """148 g a cup of raw blueberries, 0.626 kg a litre (USDA nutrient database, NDB 09050)."""
    content = sound()
    content["Crops"].append({"Crop": "Blueberries", "Handbook food": "berries", "Keeps days": "1 week", "Unit": "lb"})
    content["Harvest"].append({"Picked on": D(2026, 8, 13), "Crop": "blueberries", "Amount": "4 cups"})
    household = home(tmp_path, content)
    assert household.lots[-1].kg == pytest.approx(4 * QUART / 4 * 0.626)
    assert household.crops[-1].keeps_days == 7


def test_weights_and_volumes_of_other_countries_come_in_by_pint(tmp_path):
    content = sound()
    content["Harvest"][0].update({"Amount": "2 stone 7 lb"})
    content["Harvest"][1].update({"Amount": "2 pecks"})
    content["Containers"][0].update({"Holds": 2, "Unit": "Imperial Pints"})
    household = home(tmp_path, content)
    assert [lot.kg for lot in household.lots[:2]] == pytest.approx([35 * POUND_KG, 53 / 2 * POUND_KG])
    assert household.containers[0].holds_litres == pytest.approx(2 * 0.56826125)
