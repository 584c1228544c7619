"""Checks of names: what goes into a jar, and what the jar is called, must be in the closed lists."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import lru_cache

from stillroom.errors import Problem
from stillroom.handbook.foods import kinds, mistaken_for
from stillroom.handbook.ingredients import Part
from stillroom.handbook.lexicon import (
    OTHERS,
    Other,
    Reading,
    doubts,
    foods_sharing,
    heard_as,
    is_variety_beside_noun,
    misspelled_as,
    raw_words,
    read,
    share_a_noun,
    varieties_named,
    variety_of,
    words_behind,
)
from stillroom.handbook.lines import JAR_SHARE_OF_PINT, Line, lines
from stillroom.handbook.names import from_cyrillic, join_words, letters_of_no_list, plain, singular, tokens
from stillroom.handbook.safety.case import Case
from stillroom.handbook.safety.not_canned import advised_against

MOST_NOUNS = 2
"""A line of more foods than this has no noun of its own (jam, soup)."""
CANDIDATES = 4
"""Foods that a question names at most."""
DISH = "dish"
"""The kind of the words for a dish (jam, soup): a line is called by its own, and an own recipe by any."""
WEAKENED = "acid or salt left out"
"""The kind of the words that say less acid or salt, or another way of keeping, than the line is published with."""
_KEPT_OTHERWISE = re.compile(r"\b(?:fridge|refrigerator|icebox|barrel|crock|keg|bucket|pail)s?\b")
"""What the name of a canned preserve says when it is not canned."""
_CANNED_SO = re.compile(r"\b(?:sun|solar|oven|steam|pot|kettle|cold|raw|dry) (?:canned|canning)\b")
"""What it says when it is canned in a way that no guide has."""
_WATER_BATH = re.compile(
    r"\b(?:water ?bath(?:ed)?|boiling water|(?:boiled|cooked) (?:in )?(?:\d+|\w+) (?:hours?|hrs?))\b"
)
"""What the name of a food or preserve of a pressure canner says when it is processed in the other."""
_JAR = re.compile(
    r"(?P<before>\S+ )?\b(?P<size>half gal(?:lon)?|gal(?:lon)?|quart|qt|lit(?:er|re))s?\b(?P<jar> jars?\b)?(?P<last>$)?"
)
"""Where a name may say the jar."""
_PINTS = {
    "half gal": 4.0,
    "half gallon": 4.0,
    "gal": 8.0,
    "gallon": 8.0,
    "quart": 2.0,
    "qt": 2.0,
    "liter": 2.1,
    "litre": 2.1,
}
_OWN_PROCESS = re.compile(
    r"\bat \d+ (?:pounds?|lbs?|psi)\b|\b\d+ (?:psi|(?:pounds?|lbs?) pressure|min(?:ute)?s?|hours?|hrs?)\b"
)
"""What the name of a food says when it brings a pressure or minutes of its own."""
_MEASURED = re.compile(r"[\d.]+|an?|per|each|few|some|many|several|two|three|four|five|six|seven|eight|nine|ten|twelve")
"""The words before a measure of what was picked: three quarts are no jars."""
_IN_WATER = re.compile(r"\bin (?:plain |salt |just |only )?water\b")
_WHOSE = re.compile(r"\bfrom (?:the )?(\w+)|\b(\w+)(?:'s|s')(?!\w)")
WHICH_BERRY = "which berry it is"
"""The kind of the words by which a bare berry may be any; a typed kind of berry settles it."""
BERRIES = frozenset({"berries", "strawberries", "cranberries"})
"""The foods that a bare berry may be."""
COOKED = "cooked before"
"""The kind of the words that a preserve may have in its name and an ingredient may not (canned)."""


def names_listed(case: Case) -> Iterator[Problem]:
    """
    Refuse a canned preserve with a word of no list, of another food, or of a form its line is not published for.

    What is advised against by name is told there. Source: the accepted, other_foods and general_words tables; the
    process tables are for the foods and forms they name.
    """
    if not case.canned or any(advised_against(case)):
        return
    for part in case.parts:
        if part.source != "preserve":
            yield from _item(case, part)
    inner = (name for part in case.parts for name in part.through)
    for name in dict.fromkeys((case.preserve.name, *inner)):
        yield from _called(case, name)


def _item(case: Case, part: Part) -> Iterator[Problem]:
    """Yield the first thing that is wrong with the name of one crop or ingredient."""
    short = replace(part, item=_without_its_dish(case.typed_line, part.item))
    named, problem = _named(case, part)
    if problem is not None and short != part:
        named, shorter = _named(case, short)
        problem = problem if shorter is not None else None
    if problem is not None:
        yield problem
        return
    typed = _typed(part.typed) if part.typed else None
    said = frozenset() if variety_of(part.item, part.kinds) else named.forms
    otherwise = [*_larger_jars(case.typed_line, part.item), *_processed_otherwise(case.typed_line, part.item)]
    if otherwise:
        yield case.problem("preserve named otherwise", part.item, otherwise[0])
        return
    yield from _form(case, part, said | (typed.forms if typed else frozenset()))


def _named(case: Case, part: Part) -> tuple[Reading, Problem | None]:
    """Return what the name of a part says, and the first thing that is wrong with it."""
    named = read(part.item)
    if not part.typed:
        return named, _not_listed(case, part, named)
    return named, _contradicts(case, part, named, _typed(part.typed))


_JOINS = re.compile(r"[,;:+&/()]|\b(?:and|with|in|plus|w)\b")
"""What may part two things that go into a jar."""


@lru_cache(maxsize=4096)
def _without_its_dish(line: Line | None, name: str) -> str:
    """
    Return the name of a food without the dish that its line makes of it, where a food of the line is left.

    A name of several parts loses it only behind a preposition.

    >>> jam = lines()["strawberry jam with powdered pectin, hot pack, half-pint"]
    >>> [_without_its_dish(jam, name) for name in ("jam strawberries", "strawberries for jam", "strawberries, jam")]
    ['strawberries', 'strawberries', 'strawberries, jam']
    """
    if line is None or not line.canned:
        return name
    called = {plain(dish) for dish in (*line.called, line.product)}
    made = _any_of(dish for dish in called if not read(dish).possible & line.foods)
    later = [*called, "pie", "cobbler", *(["jelly"] if line.product.startswith("jam ") else [])]
    purpose = rf"\b(?:for|to|to make) (?:(?:my|our|the|making) )?(?:{_any_of(later)})\b"
    found = re.sub(purpose if _JOINS.search(name) or not made else rf"{purpose}|\b(?:{made})\b", " ", name.casefold())
    found = found.strip(" ,-")
    return found if found and read(found).possible & line.foods else name


def _any_of(words: Iterable[str]) -> str:
    """Return a pattern for any of these words or phrases, in the plural too, the longest first."""
    return "|".join(rf"{re.escape(word)}(?:s|es)?" for word in sorted(words, key=len, reverse=True))


def _typed(text: str) -> Reading:
    """Return what a typed food says; the name of a food of the handbook is that food."""
    key = next((food for food in kinds() if tokens(food) == tokens(text)), None)
    return Reading(foods=frozenset((key,))) if key is not None else read(text)


def _not_listed(case: Case, part: Part, named: Reading) -> Problem | None:
    """Return what is wrong with a name that must say by itself what it is."""
    if part.extra is not None:
        return None
    alone = _alone(part, named)
    if named.others:
        return _problem(case, part, "name of no canned food", *_first_other(named))
    is_food = bool(named.foods or named.open or alone)
    strange = named.unknown or words_behind(part.item)
    if strange or named.extras or not is_food:  # a food with an extra in its name may be a third thing
        candidates = foods_sharing(part.item)[:CANDIDATES]
        such = f", such as {join_words(candidates, 'or')}" if candidates else ""
        unknown = join_words(strange or (part.item,), "and")
        return replace(_problem(case, part, "name not listed", unknown, such), suggestion="")
    for foods in named.open:
        if not _resolved(case, foods):
            return _problem(case, part, "name of several foods", _listed(foods))
    return None


def _alone(part: Part, named: Reading) -> frozenset[str]:
    """Return the one food of a crop that is named by its variety alone."""
    owners = [foods for _, foods in named.varieties if len(foods) == 1]
    return owners[0] if part.source == "crop" and owners and not named.unknown else frozenset()


def _resolved(case: Case, foods: frozenset[str]) -> bool:
    """Return whether the line takes every food that a word may mean."""
    return case.typed_line is not None and foods <= case.typed_line.foods | case.typed_line.also


def _contradicts(case: Case, part: Part, named: Reading, typed: Reading) -> Problem | None:
    """Return what is wrong with a typed food, or with a name that names another food than the typed one."""
    said = named.foods if not named.others else frozenset[str]()
    meant = [said & some or some - {OTHERS} for some in typed.open if _resolved(case, some) or said & some]
    foods = typed.foods.union(*meant)
    if foods and not typed.unknown and not typed.others:
        spelled = None if named.others else misspelled_as(part.item, foods)
        named = Reading(foods=foods) if variety_of(part.item, foods) else spelled or named
    sure = len(typed.foods) == 1 or foods > typed.foods or bool(typed.extras)
    open_ones = [some for some in typed.open if not (_resolved(case, some) or said & some)]
    if not sure or typed.unknown or typed.others or open_ones or (part.extra is None and typed.extras and not foods):
        such = join_words(foods_sharing(part.item)[:CANDIDATES] or ("tomato", "peaches"), "or")
        return _problem(case, part, "typed food not listed", part.typed, such)
    is_sure = tokens(part.typed or "") != ("berry",) and bool(foods & BERRIES)
    if not is_sure and "berries" in foods and "berry" in tokens(part.item) and named.unknown and not named.varieties:
        return _problem(case, part, "typed food not listed", part.typed, "blueberries or blackberries")
    for other in sorted(named.others | _others_beside(part, named, foods), key=lambda one: one.phrase):
        if not other.instead_of & foods and not (is_sure and other.kind == WHICH_BERRY):
            return _problem(case, part, "name of another food", part.typed, other.phrase)
    if letters_of_no_list(part.item):
        return _problem(case, part, "name in other letters")
    strange = sorted(named.foods - foods)
    strange += [_listed(some) for some in named.open if not some & foods and not (typed.extras and OTHERS in some)]
    if not named.foods and not named.open:
        varieties = [(phrase, owners) for phrase, owners in named.varieties if not owners & foods]
        whole = set(named.unknown) <= {word for phrase, _ in named.varieties for word in phrase.split()}
        whole = whole and not any(phrase.split()[0] in _owners(part.item) for phrase, _ in varieties)
        sure_ones = [one for one in varieties if whole or mistaken_for(foods, one[1])]
        strange += [phrase for phrase, _ in sure_ones if not is_variety_beside_noun(phrase, foods, part.typed or "")]
        beside = sorted(_beside(part.item, named, foods) - foods)
        strange += [food for food in beside if mistaken_for(foods, frozenset((food,)))]
    owners = varieties_named(part.item)
    if not owners & foods and not is_variety_beside_noun(" ".join(tokens(part.item)), foods):
        noun = read(tokens(part.item)[-1]) if owners else named
        strange += sorted(owners) if not any(some & foods for some in (noun.foods, *noun.open)) else ()
    if foods and named.extras and not named.foods and not named.open:
        strange += sorted(named.extras)
    strange += _heard(part.item, foods)
    if not strange:
        return None
    kind = (
        "name of another variety" if strange[0] in {phrase for phrase, _ in named.varieties} else "name of another food"
    )
    return _problem(case, part, kind, part.typed, strange[0])


def _others_beside(part: Part, named: Reading, foods: frozenset[str]) -> frozenset[Other]:
    """
    Return what a name says beside the noun of its typed food, which it leaves out.

    The little brown ones of typed mushrooms are little brown mushrooms.
    """
    if named.possible or not foods:
        return frozenset()
    return frozenset(other for other in read(f"{part.item} {part.typed}").others if other.kind in doubts())


def _heard(name: str, foods: frozenset[str]) -> list[str]:
    """
    Return what a name sounds like that is none of these foods, the nearest first; none if it sounds like one of them.

    >>> _heard("wite peaches", frozenset({"peaches"}))[0], _heard("peeches", frozenset({"peaches"}))
    ('white peaches', [])
    """
    readings = [one for one in heard_as(name, _owners(name)) if one.foods or one.open or one.others]
    right = (one.possible & foods and not one.foods - foods and not one.others for one in readings)
    if not read(name).foods and any(right):
        return []
    strange = [food for one in readings for food in sorted(one.foods - foods)]
    strange.sort(key=lambda food: not share_a_noun(foods, frozenset((food,))))
    return strange + [other.phrase for one in readings for other in one.others if not other.instead_of & foods]


def _owners(name: str) -> frozenset[str]:
    """
    Return the words of a name that say whose it is or where it is from.

    >>> sorted(_owners("the Hendersons' windfalls from Hazel"))
    ['hazel', 'henderson']
    """
    found = _WHOSE.finditer(name.casefold().replace("\u2019", "'"))
    return frozenset(singular(match[1] or match[2]) for match in found)


def _larger_jars(line: Line | None, name: str) -> list[str]:
    """
    Return the jars that the name of a food says and that are larger than its line's, and any process of its own.

    >>> corn = lines()["cream-style corn, hot pack, pint"]
    >>> [_larger_jars(corn, name) for name in ("creamed corn, quarts", "corn in half gallons", "3 quarts corn")]
    [['quarts'], ['half gallons'], []]
    >>> _larger_jars(corn, "corn at 5 pounds, 10 minutes")
    ['at 5 pounds', '10 minutes']
    """
    if line is None or not line.canned:
        return []
    text = plain(name)
    hits = (hit for hit in _JAR.finditer(text) if _says_larger_jar(hit, line.jar))
    return [hit[0][hit.start("size") - hit.start() :] for hit in hits] + _OWN_PROCESS.findall(text)


def _processed_otherwise(line: Line | None, name: str) -> list[str]:
    """
    Return what a name says of another canner than its line's, or of water in place of brine.

    >>> _processed_otherwise(lines()["green beans, raw pack, pint"], "water-bath beans")
    ['water bath']
    """
    if line is None:
        return []
    found = _WATER_BATH.findall(plain(name)) if line.method == "pressure canned" else []
    return [*found, "water"] if "pickle" in line.product and _IN_WATER.search(plain(name)) else found


def _says_larger_jar(hit: re.Match[str], jar: str) -> bool:
    """Return whether a measure in a name is a jar, and one that holds more than this."""
    before = (hit["before"] or "").strip()
    is_jar = (
        hit["jar"] or before in ("in", "into", "mason") or (hit["last"] is not None and not _MEASURED.fullmatch(before))
    )
    return bool(is_jar) and _PINTS[hit["size"]] > JAR_SHARE_OF_PINT[jar]


def _form(case: Case, part: Part, forms: frozenset[str]) -> Iterator[Problem]:
    """Refuse a form that the line, or every line of the food for an own recipe, is not published for."""
    if part.extra is not None:
        return
    line = case.typed_line
    allowed = line.forms if line is not None else _forms_of(case.preserve.method, part.kinds)
    for form in sorted(forms - allowed - {"frozen"}):
        key = line.key if line is not None else case.preserve.method
        yield case.problem("form not published", part.label, form, key, where=part.where)
        return


@lru_cache(maxsize=256)
def _forms_of(method: str, foods: frozenset[str]) -> frozenset[str]:
    """Return every form that a line of one of these foods accepts by this method."""
    same = (line for line in lines().values() if line.method == method and line.foods & foods and line.least_kinds == 1)
    return frozenset().union(*(line.forms for line in same))


def _called(case: Case, name: str) -> Iterator[Problem]:
    """Refuse a name that names a food, danger or form which the line does not have; unknown words do not matter."""
    line = case.typed_line
    if line is not None and plain(name) in (plain(line.key), plain(line.product)):
        return
    pieces = _pieces(name, line)
    pieces += tuple(piece for text in from_cyrillic(name) for piece in _pieces(text, line))
    strange = [word for piece in pieces for word in _strange(case, line, piece)]
    strange += sorted(other.phrase for other in read(name).others if other.kind == WEAKENED)
    if line is None or line.acid != "fermented":
        strange += _KEPT_OTHERWISE.findall(plain(name))
    strange += [*_CANNED_SO.findall(plain(name)), *_processed_otherwise(line, name)]
    if line is not None and pieces == (plain(name),) and not read(pieces[0]).possible:
        known = {extra for word in line.product.split() for extra in read(word).extras}
        strange += sorted(read(pieces[0]).extras - known - {part.extra for part in case.parts})
    if strange:
        yield case.problem("preserve named otherwise", name, strange[0])


def _strange(case: Case, line: Line | None, piece: str) -> list[str]:
    """Return what a part of a name says that the line, or an own recipe, does not have."""
    named = read(piece)
    if line is None:
        others = [
            one
            for one in named.others
            if one.kind not in (COOKED, DISH, *_settled(case.foods)) and not one.instead_of & case.foods
        ]
        return [*sorted(named.foods - case.foods), *sorted(other.phrase for other in others)]
    allowed = line.foods | line.also
    strange = sorted((named.foods | _beside(piece, named, line.foods)) - allowed)
    strange += [_listed(foods) for foods in named.open if not foods & allowed]
    others = [
        one for one in named.others if one.kind not in (COOKED, *_settled(allowed)) and not one.instead_of & allowed
    ]
    strange += sorted(other.phrase for other in others)
    if not named.foods and not named.open:
        strange += sorted(phrase for phrase, owners in named.varieties if not owners & allowed)
    return strange + sorted(named.forms - _forms_called(line) - ({"frozen"} if line.thawed else set()))


def _settled(foods: frozenset[str]) -> tuple[str, ...]:
    """Return the kinds of doubts that the foods of a preserve settle."""
    return (WHICH_BERRY,) if foods & BERRIES else ()


def _beside(piece: str, named: Reading, foods: frozenset[str]) -> frozenset[str]:
    """
    Return the foods that a name without a noun means beside the noun of its line, or of its typed food.

    >>> peaches = frozenset({"peaches"})
    >>> sorted(_beside("White Lady", read("White Lady"), peaches)), sorted(_beside("Zorblax", read("Zorblax"), peaches))
    (['white peaches'], ['peaches'])
    """
    if len(foods) > MOST_NOUNS or named.foods or named.open or named.others or named.extras:
        return frozenset()
    return frozenset().union(*(read(f"{piece} {food}").foods for food in foods))


def _pieces(name: str, line: Line | None) -> tuple[str, ...]:
    """Return the parts of a preserve's name that are joined by a word, without the words its line is called by."""
    words = [word for word in raw_words(name) if line is None or word != "canned"]
    own = (*line.called, *([line.product] if " " in line.product else [])) if line is not None else ()
    called = sorted((list(raw_words(text)) for text in own), key=len, reverse=True)
    pieces: list[list[str]] = [[]]
    place = 0
    while place < len(words):
        dish = next((one for one in called if _same(words[place : place + len(one)], one)), None)
        if dish is not None:
            place += len(dish)
            continue
        if words[place] in ("and", "with", "in", "plus"):
            pieces.append([])
        else:
            pieces[-1].append(words[place])
        place += 1
    return tuple(" ".join(piece) for piece in pieces if piece)


def _same(words: list[str], dish: list[str]) -> bool:
    return [word.removesuffix("s") for word in words] == [word.removesuffix("s") for word in dish]


@lru_cache(maxsize=256)
def _forms_called(line: Line) -> frozenset[str]:
    """Return the forms that the name of a preserve of this line may say."""
    return line.forms | read(line.product).forms


def _first_other(named: Reading) -> tuple[str, str]:
    other = min(named.others, key=lambda one: one.phrase)
    return other.phrase, other.kind


def _listed(foods: frozenset[str]) -> str:
    sure = sorted(foods - {OTHERS})
    return join_words([*sure, "something else"] if OTHERS in foods else sure, "or")


def _problem(case: Case, part: Part, kind: str, *names: str) -> Problem:
    """Return a problem of a crop or ingredient, once for all preserves that it goes into."""
    field = "Handbook food" if part.source == "crop" else "Handbook item"
    rows = case.household.crops if part.source == "crop" else case.household.pantry
    where = next((row.where for row in rows if row.name == part.item and row.where), part.where)
    return Problem(where or case.preserve.where, kind, (part.item, *names), field=field)
