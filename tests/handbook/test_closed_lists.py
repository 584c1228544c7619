"""The closed lists of names: what is in no list is never canned, whatever it is spelled like."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.handbook.trial import Trial, kitchens, lines_of, planned, read_trials

from stillroom.handbook.foods import kinds
from stillroom.handbook.ingredients import extras
from stillroom.handbook.lexicon import NEVER_BEHIND, OTHERS, phrase_words, read
from stillroom.handbook.lines import lines
from stillroom.handbook.settle import settle
from stillroom.handbook.tables import listed, table

SETS = Path(__file__).resolve().parents[1] / "benches" / "fence"
ATTACKS = read_trials(SETS / "attacks.csv")
SOUND = read_trials(SETS / "sound.csv")
FORMS = {
    "whole", "halves", "pieces", "cubes", "sliced", "mashed", "pureed", "ground", "juice", "dried", "leaves", "seeds",
    "another part of the plant", "with bones", "without bones", "frozen",
}  # fmt: skip
NAMED_BY_ITEM = [trial for trial in ATTACKS if trial.item]
STRANGE = st.text("bcdfghjklmnpqrstvwxz", min_size=5, max_size=9).map(lambda text: f"{text}q")
"""Words of no list: no English word is spelled so."""


def same_spelled_otherwise(rng, name):
    """The same name in another order, case, number, alphabet, spacing or punctuation."""
    words = name.replace(",", " ").replace("-", " ").split()
    rng.shuffle(words)
    change = rng.choice((
        str.upper, str.title, lambda text: text.replace(" ", ", "), lambda text: text.replace(" ", "-"),
        lambda text: text.replace("a", "а").replace("o", "о"), lambda text: text.replace("e", "é"),
        lambda text: text.replace(" ", ""), lambda text: " ".join(text), lambda text: f"({text}) ",
        lambda text: text.replace(" ", "\u200b "), lambda text: "".join(chr(ord(sign) + 0xFEE0) if sign.isalpha() and sign.isascii() else sign for sign in text),
    ))  # fmt: skip
    return change(" ".join(words))


@pytest.mark.parametrize("trial", ATTACKS, ids=lambda trial: f"{trial.item or trial.preserve or trial.ingredients}")
def test_no_attack_of_the_trial_is_planned(trial):
    """`python3 tests/bench.py fence` runs the whole sets."""
    assert not any(planned(kitchen) for kitchen in kitchens(trial))


@pytest.mark.parametrize("trial", SOUND, ids=lambda trial: trial.item or trial.preserve)
def test_sound_names_are_not_asked_about(trial):
    assert planned(next(kitchens(trial)))


@pytest.mark.parametrize(
    "food", sorted({row["food"] for row in (*table("process_boiling_water"), *table("process_pressure"))})
)
def test_every_published_line_is_planned_by_its_plain_name_and_not_by_an_unknown_one(food):
    """The property: an unknown word in a name without Handbook food never gives a plan; with it, it changes nothing."""
    plain, strange = Trial("", "", "", "", food), Trial("", "zorblaxq", "", "", food)
    for kitchen, other in zip(kitchens(plain), kitchens(strange), strict=True):
        assert planned(kitchen), settle(kitchen)[1]
        assert not planned(other)
    for line, kitchen in zip(lines_of(food), kitchens(plain), strict=True):
        item = _main(kitchen)
        typed = next(one for one in kitchens(replace(strange, handbook_food=item)) if _line(one) == line.key)
        assert _process(typed) == _process(kitchen)


def _line(kitchen):
    return kitchen.preserves[0].handbook_line


def _main(kitchen):
    last = kitchen.preserves[-1]
    return last.ingredients[0].item


def _process(kitchen):
    answer, problems = settle(kitchen)
    assert not [str(problem) for problem in problems if problem.is_error]
    one = answer.preserves[0]
    return one.process_minutes, one.pressure_lb, one.container


@given(STRANGE, st.sampled_from(sorted(lines())), st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_an_unknown_word_beside_a_food_is_asked_about(word, key, rng):
    line = lines()[key]
    if not line.canned:
        return
    kitchen = next(one for one in kitchens(Trial("", "", "", "", line.product)) if _line(one) == key)
    item = _main(kitchen)
    name = f"{word} {item}" if rng.random() < 0.5 else f"{item}, {word}"
    other = [one for one in kitchens(Trial("", name, "", "", line.product)) if _line(one) == key]
    assert read(name).unknown
    assert not planned(other[0])


@given(st.sampled_from(NAMED_BY_ITEM), st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_no_spelling_of_an_attack_is_planned(trial, rng):
    """No order, case, plural, alphabet, spacing or punctuation matters."""
    spelled = replace(trial, item=same_spelled_otherwise(rng, trial.item))
    assert not any(planned(kitchen) for kitchen in kitchens(spelled)), spelled.item


@given(st.sampled_from(NAMED_BY_ITEM), st.randoms(use_true_random=False))
@settings(max_examples=100, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_no_spelling_of_an_attack_is_planned_because_a_food_is_typed(trial, rng):
    """A typed food does not make another food of what the name says, and the strictest reading holds."""
    for line in lines_of(trial.row_food)[:1]:
        typed = min(line.foods)
        said = read(trial.item)
        if said.unknown or (not said.forms and (said.open or said.foods <= {typed})):
            return
        spelled = replace(trial, item=same_spelled_otherwise(rng, trial.item), handbook_food=typed)
        assert not planned(next(kitchens(spelled))), (spelled.item, typed)


@given(st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_a_phrase_of_another_food_is_never_planned(rng):
    """Every phrase of every list, in any row that is for another food, with and without a typed food."""
    row = rng.choice([*table("accepted"), *table("other_foods"), *table("rare_names")])
    phrase = rng.choice(listed(row["words"]))
    if row.get("needs"):
        phrase = f"{phrase} {rng.choice(listed(row['needs']))}"
    key = rng.choice([key for key, line in lines().items() if line.canned])
    line = lines()[key]
    said = read(phrase)
    if said.possible & (line.foods | line.also) or not (said.foods or said.others):
        return
    for typed in ("", min(line.foods)):
        if any(other.instead_of & {typed} for other in said.others):
            continue
        trial = Trial("", phrase, "", typed, line.product)
        assert not planned(next(one for one in kitchens(trial) if _line(one) == key)), (phrase, typed, key)


def test_every_phrase_is_written_as_names_are_read_and_means_one_thing():
    """One phrase is in one row only; a variety may be one of several foods, by the nouns it needs."""
    meant = defaultdict(set)
    for name in ("accepted", "other_foods", "rare_names", "general_words"):
        for row in table(name):
            for phrase in (*listed(row["words"]), *listed(row.get("needs", ""))):
                assert phrase_words(phrase) == phrase, (name, row["key"], phrase)
            if not row.get("needs"):
                for phrase in listed(row["words"]):
                    meant[frozenset(phrase.split())].add((name, row["key"]))
    for row in table("extras"):
        for words in (row["item"], *listed(row["words"])):
            if phrase_words(words):
                meant[frozenset(phrase_words(words).split())].add(("extras", row["item"]))
    assert {words: rows for words, rows in meant.items() if len(rows) > 1} == {}


def test_every_name_of_the_lists_is_a_food_of_the_handbook():
    for row in table("accepted"):
        assert set(listed(row["food"])) <= {*kinds(), OTHERS}, row["key"]
        assert not row["form"] or row["form"] in FORMS
    for row in (*table("other_foods"), *table("rare_names")):
        assert set(listed(row["may_be"])) <= set(kinds()), row["key"]
    for row in table("general_words"):
        assert not row["form"] or row["form"] in FORMS, row["key"]
    for row in table("products"):
        assert set(listed(row["forms"])) <= FORMS - {"frozen"}, row["key"]
    for kind in kinds().values():
        assert not kind.kept_as or kind.kept_as in kinds()


@pytest.mark.parametrize("name", [kind for kind in kinds() if kind not in ("yams", "southern peas")])
def test_the_name_of_a_food_means_that_food(name):
    said = read(name)
    assert (said.foods, said.open, said.others, said.unknown) == ({name}, frozenset(), frozenset(), ())


@pytest.mark.parametrize(
    ("name", "food"),
    [
        ("plum tomato", "tomato"), ("cherry tomatoes", "tomato"), ("lemon cucumber", "cucumbers"), ("ground cherries", "ground cherries"),
        ("beets, greens of", "leafy greens"), ("peaches with white flesh", "white peaches"), ("Babcock", "white peaches"),
        ("Provider beans", "snap beans"), ("zanahorias", "carrots"), ("straw berries", "strawberries"), ("sweetcorn", "sweet corn"),
    ],
)  # fmt: skip
def test_a_phrase_that_is_used_up_is_not_read_again(name, food):
    said = read(name)
    alone = {one for _, foods in said.varieties if len(foods) == 1 for one in foods}
    assert said.foods | alone == {food}


@pytest.mark.parametrize(
    ("name", "is_another"),
    [("carissa plums", True), ("plums, carissa", True), ("carisa plums", False)],
)
def test_a_rare_name_is_read_as_it_is_spelled_only(name, is_another):
    """A word one letter off a rare name is far more often a household's own."""
    assert bool(read(name).others) is is_another
    assert sound(name, "", "plums", "plums, halved or whole") is not is_another


def test_extras_are_asked_about_by_their_own_names_only():
    assert all(read(name).extras for name in extras() if name != "lemon or lime juice, not bottled")
    assert read("secret").unknown == ("secret",)


def sound(item, preserve, typed, row):
    return planned(next(kitchens(Trial("", item, preserve, typed, row))))


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("Gladiator", "tomatoes", "tomato juice", True), ("Red Russian", "kale", "spinach and other greens", True),
        ("Royal Chico", "plums", "plums, halved or whole", False), ("Maria Bianca", "peaches", "peaches, halved or sliced", False),
        ("Zorblax Zorblux", "peaches", "peaches, halved or sliced", True),
        ("Haden", "peaches", "peaches, halved or sliced", False), ("Haden peaches", "peaches", "peaches, halved or sliced", True),
        ("Packman", "cabbage", "sauerkraut", False), ("Packman's", "cabbage", "sauerkraut", True), ("Bertha's vines", "cucumbers", "bread-and-butter pickles", True),
        ("cucumber vines", "cucumbers", "bread-and-butter pickles", False),
        ("Skeena", "cherries", "cherries, whole", True), ("White Lady", "peaches", "peaches, halved or sliced", False),
        ("Hosui", "pears", "pears, halved", False), ("Snow Queen", "nectarines", "nectarines, halved or sliced", False),
        ("turnips", "tomatoes", "tomato juice", False),
        ("Orange Sun", "citrus fruit", "grapefruit and orange sections", False), ("yellow pears", "pears", "pears, halved", True),
    ],
)  # fmt: skip
def test_a_variety_of_another_food_matters_only_where_the_typed_food_may_be_a_mistake(item, typed, row, passes):
    """
    Where a name is nothing but a variety of other foods, the typed food is no proof: it may be the mistake.

    With the food's own word behind it, listed as a variety of both, or as the name of an owner, it passes; beside words
    that nobody knows only foods of one noun, or fruits of less acid, are near enough. A name of general words alone is
    read beside the noun of its typed food. A variety called by another food's word is the variety, unless it ends with
    that word.
    """
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize("item", ["apple crisp", "apples granny", "apple dessert", "apples delicious"])
def test_a_general_word_behind_a_food_is_asked_about(item):
    """The last word is what a thing is; before the food, or behind a comma or a preposition, it is an adjective."""
    assert not sound(item, "", "", "applesauce")
    assert sound(item.replace(" ", ", "), "", "", "applesauce")


@pytest.mark.parametrize(
    ("item", "row"),
    [
        ("pear drops", "pears, halved"), ("plum granny", "plums, halved or whole"),
        ("lemon blush", "grapefruit and orange sections"), ("beefsteak plant", "tomato juice"),
    ],
)  # fmt: skip
def test_a_noun_behind_a_food_makes_it_another_thing(item, row):
    assert not sound(item, "", "", row)


@pytest.mark.parametrize(
    "item", ["apples, organic", "apples - best", "apples fresh off the tree", "ripe red apples", "apples red"]
)
def test_a_general_word_before_or_apart_from_the_food_is_not_asked_about(item):
    assert sound(item, "", "", "applesauce")


@pytest.mark.parametrize("name", ["apple crisp", "apple tart", "apple dessert", "crisp apple tart"])
def test_a_dish_with_the_name_of_a_general_word_is_no_preserve_of_its_food(name):
    assert not sound("", name, "", "applesauce")
    assert not sound(name, "", "apples", "applesauce")
    assert sound("Honey Crisp", "", "apples", "applesauce")


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("sweat potatoes", "sweet potatoes", "sweet potatoes", True),
        ("sweat potatoes", "potatoes", "potatoes, white, cubed or whole", False),
        ("beef brothe", "beef broth", "meat stock (broth), beef", True),
        ("sweat potatoes лисички", "sweet potatoes", "sweet potatoes", False),
        ("arcic mist nectarine", "nectarines", "nectarines, halved or sliced", False),
        ("shallotts", "tomatoes", "tomato juice", False), ("cardooon", "celery", "mixed vegetables", False),
        ("pumpkinn", "tomatoes", "tomato juice", False), ("kettle day reds", "apples", "applesauce", True),
        ("Nonno's bull horns", "peppers", "peppers, hot or sweet", True), ("steamers", "clams", "soups containing seafood", True),
    ],
)  # fmt: skip
def test_one_wrong_letter_hides_no_other_food_and_makes_none(item, typed, row, passes):
    """
    The first letter is never the wrong one; a name that is one letter from the typed food means that food.

    Sweat potatoes sound as sweet ones, which are another food than potatoes, with a longer process.
    """
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("wite peaches", "peaches", "peaches, halved or sliced", False), ("shantrelle mushrooms", "mushrooms", "mushrooms", False),
        ("jerusalem artichoak", "potatoes", "potatoes, white, cubed or whole", False), ("chiken of the woods", "mushrooms", "mushrooms", False),
        ("dryed lima beans", "lima beans", "lima beans, shelled", False), ("soyabeens", "green beans", "green beans (snap and Italian, pieces)", False),
        ("peeches", "peaches", "peaches, halved or sliced", True), ("Carol Chyko's Big Paste", "tomatoes", "standard tomato sauce", True),
    ],
)  # fmt: skip
def test_a_word_that_sounds_like_another_food_is_asked_about(item, typed, row, passes):
    """However it is spelled; but what sounds like the typed food, or says whose it is, passes."""
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("sweet potato slips", "sweet potatoes", "sweet potatoes", False), ("tomato vines", "", "standard tomato sauce", False),
        ("rhubarb greens", "", "rhubarb, stewed", False), ("collard greens", "", "spinach and other greens", True),
        ("black bean brownies", "dry beans", "dry beans or peas, all varieties", False), ("rhubarb stalks", "", "rhubarb, stewed", True),
        ("sweet potatoes no liquid", "sweet potatoes", "sweet potatoes", False), ("asparagus tips", "asparagus", "asparagus", True),
        ("beets from beet greens", "", "spinach and other greens", False), ("tomatoes from the greens bed", "", "tomato juice", True),
        ("whole chicken", "chicken", "chicken or rabbit, without bones", False),
        ("germinated beans", "dry beans", "dry beans or peas, all varieties", False),
    ],
)  # fmt: skip
def test_a_word_right_behind_a_food_may_make_another_thing_of_it(item, typed, row, passes):
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize("phrase", [phrase for row in table("behind_a_food") for phrase in listed(row["words"])])
def test_every_phrase_behind_a_food_is_refused_where_the_food_does_not_stay_itself(phrase):
    assert not sound(f"okra {phrase}", "", "okra", "okra")


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("Crimson Sweet", "winter squash", "pumpkin and winter squash, cubed", False), ("round reds", "beets", "beets, whole cubed or sliced", True),
        ("Chinook", "salmon", "soups containing seafood", True), ("palomitas", "sweet corn", "sweet corn, whole kernel", False),
        ("\u9999\u8549", "apples", "applesauce", False), ("Spargelkohl", "asparagus", "asparagus", False),
    ],
)  # fmt: skip
def test_a_typed_food_is_held_against_names_of_general_words_and_of_other_languages(item, typed, row, passes):
    """A color and a size are no variety; what cannot be read is asked about; a salmon may be called by its kind alone."""
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("creamed corn, quarts", "", "sweet corn, cream style", False), ("corn in half gallons", "corn", "sweet corn, cream style", False),
        ("3 quarts corn", "", "sweet corn, cream style", True), ("carrots, pints", "", "carrots, sliced or diced", True),
        ("liter jars of corn", "corn", "sweet corn, cream style", False), ("carrots 10 minutes", "carrots", "carrots, sliced or diced", False),
        ("beans at 5 pounds", "green beans", "green beans (snap and Italian, pieces)", False),
        ("green beans, 5 pounds", "", "green beans (snap and Italian, pieces)", True),
    ],
)  # fmt: skip
def test_a_jar_or_a_process_in_the_name_of_a_food_is_held_against_its_line(item, typed, row, passes):
    """A measure of what was picked is no jar: it has a number before it."""
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize(
    ("item", "typed", "row"),
    [
        ("water-bath beans", "green beans", "green beans (snap and Italian, pieces)"), ("beets in water", "beets", "pickled beets"),
        ("inverted jar tomatoes", "tomatoes", "tomato juice"), ("green beans tin pail", "green beans", "green beans (snap and Italian, pieces)"),
        ("no processing peaches", "peaches", "peaches, halved or sliced"), ("snap beans in vacuum bags", "green beans", "green beans (snap and Italian, pieces)"),
        ("tomatoes left out overnight", "tomatoes", "tomato juice"), ("frozen carrots", "carrots", "carrots, sliced or diced"),
        ("carrots from the freezer", "", "carrots, sliced or diced"), ("corn on the cob", "corn", "sweet corn, whole kernel"),
    ],
)  # fmt: skip
def test_another_method_vessel_or_state_in_the_name_of_a_food_is_refused(item, typed, row):
    assert not sound(item, "", typed, row)
    assert not sound(item, "", "", row)


def test_the_name_of_a_preserve_may_say_a_jar_but_not_the_other_canner():
    assert sound("", "green beans, quarts", "", "green beans (snap and Italian, pieces)")
    assert not sound("", "water bath beans", "", "green beans (snap and Italian, pieces)")
    assert not sound("", "green beans, sun canned", "", "green beans (snap and Italian, pieces)")
    assert sound("", "water bath tomatoes", "", "tomato juice")


def test_a_frozen_crop_may_go_where_it_is_published():
    assert sound("frozen strawberries", "", "", "strawberry jam, powdered pectin")
    assert not sound("strawberries from the freezer", "", "", "fruit purees")


DOUBTS = [row for row in table("other_foods") if row["needs"]]


@pytest.mark.parametrize("row", DOUBTS, ids=lambda row: row["key"])
def test_a_doubt_needs_its_noun_and_is_no_doubt_of_another_food(row):
    for noun, word in zip(listed(row["needs"]), listed(row["words"]), strict=False):
        assert row["kind"] in {other.kind for other in read(f"{word} {noun}").others}, (word, noun)
    word = next(word for word in listed(row["words"]) if not read(word).others)
    assert row["kind"] not in {other.kind for other in read(word).others}


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("little brown ones from the lawn", "mushrooms", "mushrooms", False), ("trail berries", "berries", "berries, whole", False),
        ("creek bank berries", "blackberries", "berries, whole", True), ("blackberries by the creek", "", "berries, whole", True),
        ("zorblax berries", "berries", "berries, whole", False), ("mystery berries", "tomatoes", "tomato juice", False), ("green-skinned spuds", "potatoes", "potatoes, white, cubed or whole", False),
        ("soft brown kraut", "", "sauerkraut", False), ("brown pears", "pears", "pears, halved", True),
    ],
)  # fmt: skip
def test_what_is_doubtful_of_some_foods_is_read_beside_the_typed_food_too(item, typed, row, passes):
    """A typed kind of berry says which berries they are; the word berries does not."""
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("pickled beets", "", "pickled beets", True), ("pickled beets", "", "beets, whole cubed or sliced", False),
        ("apples for butter", "", "apple butter", True), ("apples and butter", "", "apple butter", False),
        ("butter, apples", "", "apple butter", False), ("tomatoes for salsa", "", "chile salsa (hot tomato-pepper sauce)", True),
        ("strawberries with jam", "", "strawberry jam, powdered pectin", False), ("jam", "", "strawberry jam, powdered pectin", False),
        ("moldy strawberry jam", "", "strawberry jam, powdered pectin", False), ("spinach", "greens", "spinach and other greens", True),
        ("lettuce", "greens", "spinach and other greens", False), ("Zorblax", "greens", "spinach and other greens", False),
    ],
)  # fmt: skip
def test_a_food_may_be_called_by_what_its_line_makes_of_it(item, typed, row, passes):
    """Not where the name parts two things; and a name may say which of the greens are meant."""
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize(
    ("item", "passes"),
    [
        ("apples picked Tuesday", True), ("apples Grandpa dug", True), ("apples Johnson's farm", True), ("apples granny", False),
        ("apple seconds", True), ("apples, 3 doz", True), ("beach apples", False), ("island apples", False),
        ("roadside apples", False), ("apple cutting", False), ("apples for cutting", True),
    ],
)  # fmt: skip
def test_what_was_done_to_a_food_and_where_may_stand_behind_it(item, passes):
    """Words that make the names of other plants (beach plums, island pears) are no place."""
    assert sound(item, "", "", "applesauce") is passes


@pytest.mark.parametrize("name", ["лисички", "маслята", "опята", "pumрkin", "тыква"])
def test_cyrillic_letters_hide_no_other_food(name):
    """Letters that look like Latin ones are read as those, and a Cyrillic word by its sounds."""
    assert not sound(name, "", "", "mushrooms")
    assert name == "тыква" or not sound(name, "", "mushrooms", "mushrooms")


LESS = [
    "no",
    "without",
    "less",
    "half",
    "weak",
    "low",
    "thin",
    "thinned",
    "reduced",
    "diluted",
    "watered-down",
    "homemade",
]


@pytest.mark.parametrize("less", LESS)
@pytest.mark.parametrize("acid", ["vinegar", "acid", "brine"])
def test_less_acid_is_refused_in_any_words(less, acid):
    for name in (f"{less} {acid} pickles", f"pickles, {less} {acid}"):
        assert not sound("", name, "", "dill pickles, quick fresh-pack")
    assert not sound(f"{less} {acid} tomatoes", "", "tomatoes", "tomato juice")


@pytest.mark.parametrize(
    "name",
    [
        "vinegar-free pickles",
        "vinegarless dills",
        "salt-brine pickles",
        "pickles, brine only",
        "acid left out",
        "no added vinegar",
    ],
)
def test_acid_left_out_is_refused_behind_its_word_too(name):
    assert not sound("", name, "", "dill pickles, quick fresh-pack")
    assert sound("", "dill pickles with vinegar", "", "dill pickles, quick fresh-pack")


@pytest.mark.parametrize(
    "name", ["fridge dills", "refrigerator pickles", "icebox pickles", "barrel pickles", "crock dills", "bucket dills"]
)
def test_a_canned_preserve_named_after_another_way_of_keeping_is_refused(name):
    assert not sound("", name, "", "dill pickles, quick fresh-pack")


def test_kraut_may_be_named_after_its_crock():
    assert sound("", "crock kraut", "", "sauerkraut")


@pytest.mark.parametrize(
    ("item", "typed", "row", "passes"),
    [
        ("pie tree", "cherries", "cherries, whole", True), ("salsa row", "tomatoes", "tomato juice", True),
        ("cherry pie", "cherries", "cherries, whole", False), ("pie", "cherries", "cherries, whole", False),
        ("salsa jar", "tomatoes", "tomato juice", False),
    ],
)  # fmt: skip
def test_a_tree_or_row_may_be_named_after_its_dish(item, typed, row, passes):
    assert sound(item, "", typed, row) is passes


@pytest.mark.parametrize(
    ("item", "row", "passes"),
    [
        ("Cal Wonder", "pickled bell peppers", True), ("Mucho Nacho", "pickled hot peppers", True),
        ("Irish Cobbler", "potatoes, white, cubed or whole", True), ("potato cobbler", "potatoes, white, cubed or whole", False),
        ("Kentucky Blue", "green beans (snap and Italian, pieces)", False), ("cal", "pickled bell peppers", False),
        ("Big Beef", "tomato juice", False),
    ],
)  # fmt: skip
def test_a_variety_of_several_words_is_a_whole_name_when_one_of_them_means_nothing_else(item, row, passes):
    """General words alone, or the word for another food, make no variety without its noun."""
    assert sound(item, "", "", row) is passes


@pytest.mark.parametrize("part", ["stems", "roots", "flowers", "pith", "buds"])
def test_another_part_of_the_plant_is_in_no_row(part):
    assert not sound(f"collard {part}", "", "", "spinach and other greens")
    assert not sound(f"collard {part}", "", "collards", "spinach and other greens")


def test_no_accepted_name_adds_only_a_general_word_to_another():
    """A household's adjective makes no phrase of its own, except where a word of it means another food too."""
    rows = [row for row in table("general_words") if not row["form"] and row["key"] not in NEVER_BEHIND]
    plain_words = {word for row in rows for word in listed(row["words"])}
    sense = defaultdict(set)
    for name in ("accepted", "other_foods", "extras"):
        for row in table(name):
            for phrase in listed(row["words"]):
                means = tuple(row.get(key, "") for key in ("food", "form", "needs", "kind", "item"))
                sense[frozenset(phrase.split())].add(means)
    with_word = defaultdict(list)
    for phrase in sense:
        for word in phrase:
            with_word[word].append(phrase)
    added = [
        words for words, means in sense.items()
        if (rest := words - plain_words) and rest < words and sense.get(rest) == means
        and all(sense[inner] == means for word in words for inner in with_word[word] if inner < words)
    ]  # fmt: skip
    assert [sorted(words) for words in added if next(iter(sense[words]))[0]] == []
