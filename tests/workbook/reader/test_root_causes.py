"""What follows from one slip is told as that slip, once and at its cell."""

from tests.workbook.reader.making import FRIDAY, opened, place, sound

from stillroom.reports.problems import gathered, line
from stillroom.workbook.reader import household as read


def told(tmp_path, content, change=None):
    """The lines that stop the plan, as they are shown."""
    _, problems = read.household(opened(tmp_path, content, change=change), FRIDAY)
    return [line(one) for one in gathered([one for one in problems if one.is_error])]


def test_a_container_that_was_renamed_is_one_error_at_its_cell(tmp_path):
    content = sound()
    content["Containers"][2]["Container"] = "quart freezer bag"
    said = (
        f"{place('Containers', 2, 'Container')}: Nothing names the container quart freezer bag, and several cells name "
        '"freezer bag", which is not there (Preserves!E6, Preserves!E8). '
        "If you renamed it, type freezer bag here again, or quart freezer bag in those cells."
    )
    assert told(tmp_path, content) == [said]


def test_a_crop_under_quite_another_name_is_found_when_it_is_the_only_one_that_nothing_names(tmp_path):
    content = sound()
    content["Crops"][1]["Crop"] = "Silver Queen"
    [only] = told(tmp_path, content)
    assert only.startswith(
        f'{place("Crops", 1, "Crop")}: Nothing names the crop Silver Queen, and several cells name "sweet corn"'
    )


def test_recipes_keep_their_strict_reading_of_a_crop_under_an_everyday_name(tmp_path):
    """The harvest finds the row, the recipe does not: what a food is is typed, never guessed."""
    content = sound()
    content["Crops"][1]["Crop"] = "maize"
    assert all(
        'No crop, pantry ingredient or preserve is called "sweet corn"' in one for one in told(tmp_path, content)
    )
    assert all("Did you mean maize?" in one for one in told(tmp_path, content))


def test_with_several_names_that_nothing_uses_none_is_blamed_unless_it_is_like_it(tmp_path):
    content = sound()
    content["Containers"][2]["Container"] = "sack"
    content["Containers"].append({**content["Containers"][1], "Container": "spare tin"})
    assert [one.partition(":")[0] for one in told(tmp_path, content)] == ["Preserves!E6", "Preserves!E8"]


def test_with_several_unknown_names_of_one_table_each_is_told_where_it_stands(tmp_path):
    content = sound()
    for row in content["Preserves"]:
        row["Container"] = f"our {row['Container']}"
    places = [one.partition("!")[0] for one in told(tmp_path, content)]
    assert set(places) == {"Preserves"}


def test_one_misspelt_cell_is_told_at_that_cell(tmp_path):
    content = sound()
    content["Preserves"][2]["Container"] = "freezer bags"
    [only] = told(tmp_path, content)
    assert only.startswith(f'{place("Preserves", 2, "Container")}: No container is called "freezer bags".')


def test_a_name_that_was_filled_down_is_one_error(tmp_path):
    content = sound()
    for row in content["Preserves"]:
        row["Preserve"] = "corn, frozen"
    said = (
        "Preserves!B4:B8: Corn, frozen is in 5 rows of Preserves below one another, as if it was filled down. "
        "Undo that: each row needs its own name."
    )
    assert told(tmp_path, content) == [said]


def test_a_stray_letter_in_an_empty_row_is_one_error_that_asks_to_clear_it(tmp_path):
    for table, heading in (("Harvest", "Amount"), ("Crops", "Crop"), ("Preserves", "Source"), ("Winter list", "Unit")):
        content = sound()
        content[table].append({heading: "x"})
        where = place(table, len(content[table]) - 1, heading)
        [only] = told(tmp_path, content)
        assert only.startswith(f'{where}: Only this cell of the row is filled in ("x"). Clear it, or fill in ')


def test_a_unit_filled_down_beyond_the_last_row_is_one_error(tmp_path):
    content = sound()
    content["Harvest"] += [{"Unit": "lb"}] * 6
    [only] = told(tmp_path, content)
    assert only.startswith("Harvest!E8:E13: Only this cell")


def test_a_row_that_begins_with_its_name_is_told_what_it_lacks(tmp_path):
    content = sound()
    content["Crops"].append({"Crop": "peach"})
    content["Harvest"].append({"Picked on": FRIDAY, "Crop": "peach", "Amount": 3})
    [only] = told(tmp_path, content)
    assert only.startswith(f"{place('Crops', 3, 'Keeps days')}: Keeps days is blank.")


def test_columns_that_were_moved_are_one_error(tmp_path):
    """The cells from Keeps days on were pushed one column to the right, as a cell put in between does."""

    def change(book):
        book["Crops"].move_range("D4:G6", cols=1)

    content = sound()
    for row in content["Crops"]:
        row.update({"Bushel weighs": 50, "Unit": "lb", "Eaten fresh each week": 2})
    [only] = told(tmp_path, content, change)
    assert only.startswith("Crops!D4:H6: ")
    assert only.endswith(
        "In 3 rows, several cells do not fit their headings, as if they were moved. "
        "Undo the move, so that each is under its own heading."
    )


def test_a_wrong_cell_here_and_there_is_told_at_each(tmp_path):
    content = sound()
    content["Crops"][0]["Keeps days"], content["Crops"][1]["Unit"] = "long", "crate"
    assert len(told(tmp_path, content)) == 2


def test_a_container_that_was_renamed_is_found_though_part_of_its_name_could_mean_another(tmp_path):
    """`pint jar` could mean the freezer pint; but nothing names the pinn jar, which is almost that."""
    content = sound()
    names = {content["Containers"][2]["Container"]: "pint jar", content["Containers"][1]["Container"]: "freezer pint"}
    for rows in content.values():
        for row in rows:
            for heading, value in row.items():
                row[heading] = names.get(value, value) if isinstance(value, str) else value
    content["Containers"][2]["Container"] = "pinn jar"
    assert told(tmp_path, content)[0].startswith(
        f'{place("Containers", 2, "Container")}: Nothing names the container pinn jar, and several cells name "pint jar"'
    )


def test_the_only_lid_that_was_misspelt_is_named_at_its_cell(tmp_path):
    content = sound()
    used = {row.get("Lid") for row in content["Containers"]} - {None}
    content["Lids"] = [{**row, "Lid": "regular lin"} for row in content["Lids"][:1]]
    for row in content["Containers"]:
        row["Lid"] = "regular lid" if row.get("Lid") in used else None
    assert any(
        one.startswith(f"{place('Lids', 0, 'Lid')}: Nothing names the lid regular lin")
        for one in told(tmp_path, content)
    )
