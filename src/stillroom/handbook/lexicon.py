"""
The closed lists of names: every phrase means one thing, and what is in no list is unknown.

A name is read as a set of words, so that no order, case, plural, alphabet, spacing or punctuation matters. Every listed
phrase whose words are all in the name is found; one that is contained in a longer one is used up (the plum of a plum
tomato is no plum). A variety counts only with a noun of its food in the name, or alone when no other food has it.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, takewhile
from string import ascii_lowercase

from stillroom.handbook.names import (
    SMALL_WORDS,
    from_cyrillic,
    letters_of_no_list,
    plain,
    singular,
    tokens,
    two_alphabets,
    with_letters,
)
from stillroom.handbook.tables import listed, table

WITH_BONES, WITHOUT_BONES = "withbone", "withoutbone"
"""One word each for what is said of bones in several small words."""
WEAK_ACID = "unacidified"
"""One word for acid or brine that is left out or weaker, in whatever words that is said."""
_LESS = (
    "no|non|not|without|w o|minus|less|little|low|lower|light|lite|half|half strength|weak|weaker|thin|thinned|mild|"
    "reduced|skip|skipped|omit|dilute|diluted|watered|watered down|homemade|home made|home|scrap|zero|quarter strength"
)
_GONE = "free|less|omitted|skipped|left out|reduced|diluted|thinned"
_ACIDS = "vinegars?|acids?|acidity|brines?|lemon juice|lime juice|citric(?: acid)?"
_IN_ORDER = (
    (re.compile(r"\btomato(?:e?s)? (paste|sauce)\b"), r" tomato\1 "),
    (re.compile(r"\bde boned?\b"), f" {WITHOUT_BONES} "),
    (re.compile(r"\b(?:no|without|w o|off the|off|minus) bones?\b"), f" {WITHOUT_BONES} "),
    (re.compile(r"\bbones? (?:out|removed|off|free)\b"), f" {WITHOUT_BONES} "),
    (re.compile(r"\b(?:with|with the|on the|on|w) bones?\b"), f" {WITH_BONES} "),
    (re.compile(r"\btoms\b|(?:(?<=plum )|(?<=grape )|(?<=pineapple )|(?<=cherry ))tom\b"), " tomato "),
    (re.compile(r"\bpapa s\b"), " grandpa "),
    (re.compile(r"^greens$"), " mixed greens "),
    (re.compile(r"(?<= s) vines?$"), " garden "),
    (re.compile(r"\b(?:back|front|lower|upper|north|south|east|west) field\b"), " garden "),
    (re.compile(r"\b(?:no|without|w o|minus) meat\b"), " meatless "),
    (re.compile(r"\b(?:pie|sauce|salsa|soup|jam|jelly|juice|pickle|dill) (?=(?:tree|row|bed|patch|plot)s?\b)"), " "),
    (re.compile(r"\bbones? (?:in|on|left in)\b"), f" {WITH_BONES} "),
    (re.compile(rf"\b(?:{_LESS}) (?:of )?(?:the )?(?:added )?(?:{_ACIDS})\b"), f" {WEAK_ACID} "),
    (re.compile(rf"\b(?:{_ACIDS}) (?:{_GONE})\b"), f" {WEAK_ACID} "),
    (re.compile(r"\b(?:(?:vinegar|acid)less|(?:salt|salt water|saltwater) brine|brines? only)\b"), f" {WEAK_ACID} "),
)  # fmt: skip
"""What is one word in this order only: paste of tomatoes is no paste tomato."""
_LETTERS = re.compile(r"(?<!\S)(?:[a-z] ){2,}[a-z](?!\S)")
"""A word with a space after each letter."""
_JOINED = re.compile(r" (?:with|in|w) ")
_FROM = re.compile(r"(.+?) from ")
_PARTED = re.compile(r"[,;:()/]|\s[-\u2013\u2014]\s")
DISHES = frozenset({"dish", "alcohol", "meat or dish"})
DONE_TO = frozenset({"state", "cooked before"})
"""The kinds of the words for what was done to a food: steamers and burners are no misspelled ones."""
CRISPS = frozenset({"crisp", "tart", "dessert"})
"""The words for a dish that are general words before a food, and its name behind one."""
AT_THE_END = frozenset({"dairy", "oil and fat", "thickeners", "eggs", "chocolate", "nuts"})
"""What a name is of when it ends with a word for it, in whatever longer phrase the word is (apple pie)."""
OTHERS = "?"
"""Among the foods of a word that may mean a food of no list too."""
SHORTEST_PIECE = 3
"""Letters; a run-together name is taken apart into words no shorter than this."""
MANY = 2
"""Words; a phrase no longer than this tells what a word of it is usually about."""
LONGEST_JOIN = 16
"""Words; a name spelled with spaces inside its words is joined up to this many."""

Words = frozenset[str]


@dataclass(frozen=True)
class Sense:
    """
    What the phrases of one row mean: foods (several where the word does not say which), an extra, a form, another food.

    All are empty for a general word. A word for another food may stand for a typed food of `instead_of`.
    """

    foods: frozenset[str] = frozenset()
    extra: str = ""
    form: str = ""
    other: str = ""
    instead_of: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Other:
    """A food, a danger or a dish that no published row covers: its phrase, its kind, and foods it may be typed as."""

    phrase: str
    kind: str
    instead_of: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Reading:
    """
    What a name says.

    `foods` it names for sure; `open` holds, for each word that may be one of several, all of them; `varieties` are
    those named without a noun, with the foods that have them; `unknown` are words of no list.
    """

    foods: frozenset[str] = frozenset()
    open: frozenset[frozenset[str]] = frozenset()
    extras: frozenset[str] = frozenset()
    forms: frozenset[str] = frozenset()
    others: frozenset[Other] = frozenset()
    varieties: frozenset[tuple[str, frozenset[str]]] = frozenset()
    unknown: tuple[str, ...] = ()

    @property
    def possible(self) -> frozenset[str]:
        """Return every food it may name."""
        return self.foods.union(*self.open) - {OTHERS}


@dataclass(frozen=True)
class _Row:
    """One row of a table: what its phrases mean, and the nouns without which they do not mean it."""

    sense: Sense
    needs: tuple[Words, ...] = ()

    @property
    def of_variety(self) -> bool:
        """Return whether its phrases are varieties of a food; what else needs a noun is a doubt about its food."""
        return bool(self.needs and self.sense.foods)


@lru_cache(maxsize=1)
def _lists() -> tuple[str, tuple[int, ...], tuple[_Row, ...], int]:
    """
    Return every phrase of the tables in one text, one a line, with the place where each row begins.

    Last is the place where the rare names begin, which are read only as they are spelled.

    The text is searched for the words of a name; taking all of it apart would take longer than a plan of one day.
    """
    texts: list[str] = []
    rows: list[_Row] = []
    for row in table("accepted"):
        foods = frozenset(row["food"].split("; "))
        needs = tuple(frozenset(noun.split()) for noun in listed(row["needs"]))
        texts.append(row["words"])
        rows.append(_Row(Sense(foods, form=row["form"]), needs))
    for row in table("extras"):
        texts.append("; ".join(" ".join(_words(name)) for name in (row["item"], *listed(row["words"]))))
        rows.append(_Row(Sense(extra=row["item"])))
    for row in table("other_foods"):
        texts.append(row["words"])
        needs = tuple(frozenset(noun.split()) for noun in listed(row["needs"]))
        rows.append(_Row(Sense(other=row["kind"], instead_of=frozenset(listed(row["may_be"]))), needs))
    for row in table("general_words"):
        texts.append(row["words"])
        rows.append(_Row(Sense(form=row["form"])))
    common = len(texts)
    for row in table("rare_names"):
        texts.append(row["words"])
        rows.append(_Row(Sense(other=row["kind"], instead_of=frozenset(listed(row["may_be"])))))
    starts = tuple(accumulate((len(text) - text.count("; ") + 1 for text in texts), initial=1))
    return "\n" + "\n".join(texts).replace("; ", "\n") + "\n", starts, tuple(rows), starts[common]


@lru_cache(maxsize=4096)
def _phrases(word: str) -> tuple[tuple[Words, _Row], ...]:
    """Return every phrase with this word, and its row."""
    text, starts, rows, _ = _lists()
    found = []
    place = text.find(word)
    while place >= 0:
        after = place + len(word)
        if text[place - 1] in " \n" and text[after] in " \n":
            first = text.rfind("\n", 0, place) + 1
            phrase = text[first : text.find("\n", after)]
            found.append((frozenset(phrase.split()), rows[bisect_right(starts, first) - 1]))
        place = text.find(word, after)
    return tuple(found)


@lru_cache(maxsize=1)
def _known() -> frozenset[str]:
    """Return every word that a misspelled one may stand for: all but those of the rare names."""
    text, *_, rare = _lists()
    return frozenset(text[:rare].split())


@lru_cache(maxsize=8192)
def read(name: str) -> Reading:
    """
    Return what a name says.

    >>> sorted(read("San Marzano plum tomatoes").foods), sorted(read("peaches, ripe white").foods)
    (['tomato'], ['white peaches'])
    >>> read("Hosui pears").foods, read("Zorblax pears").unknown
    (frozenset({'Asian pears'}), ('zorblax',))
    >>> sorted(read("mashed pumpkin").forms), sorted(other.kind for other in read("pickling lime").others)
    (['mashed'], ['alkali'])
    """
    if two_alphabets(name):
        return Reading(unknown=tokens(name) or (name.strip(),))
    raw = raw_words(name)
    words = _singular(raw)
    found = _cover(frozenset(words))
    if found.unknown:
        mended = _singular(_mended(raw, frozenset(found.unknown)))
        found = _cover(frozenset(mended)) if mended != words else found
    strict = [_cover(frozenset(_words(text))) for text in with_letters(name)]
    if not found.others:
        strict += [_cover(frozenset(_words(text))) for text in _with_something(name)]
        strict += [_cover(frozenset(_words(text))) for text in _FROM.findall(plain(name))[:1]]
        ends = (other for other in _ends_with(name) if other.kind not in found.foods)
        strict += [Reading(others=frozenset(ends))]
    if found.unknown:
        apart = _apart("".join(raw))
        strict += [_cover(frozenset(_singular(apart)))] if apart else []
        varieties = {word for phrase, _ in found.varieties for word in phrase.split()}
        spelled = [_cover(bag) for bag in _misspelled(words, set(found.unknown) - varieties)]
        spelled = [one for one in spelled if not {other.kind for other in one.others} & DONE_TO]
        right = [one for one in spelled if one.foods and not one.others]
        if right and not found.foods:
            spelled = [Reading(open=frozenset((frozenset().union(*(one.foods for one in right)),)))]
        strict += spelled
    strict += [_cover(frozenset(_words(text))) for text in from_cyrillic(name)]
    if letters_of_no_list(name) or not words:
        found = _with(found, unknown=(*found.unknown, name.strip()))
    return _with_dangers(found, strict)


def _with(reading: Reading, unknown: tuple[str, ...]) -> Reading:
    return Reading(
        reading.foods, reading.open, reading.extras, reading.forms, reading.others, reading.varieties, unknown
    )


def _with_dangers(found: Reading, more: Iterable[Reading]) -> Reading:
    """Add what a name says when it is read in another way: nothing that it says then makes it safer."""
    for other in more:
        found = Reading(
            found.foods | other.foods,
            found.open | other.open,
            found.extras,
            found.forms | other.forms,
            found.others | other.others,
            found.varieties,
            found.unknown,
        )
    return found


SHORTEST_MISSPELLED = 5
"""Letters of the shortest word that is read as another with one letter wrong, never its first."""
SHORTEST_EXCHANGED = 6
"""Letters of the shortest word that is read as another of the same length."""


def _misspelled(words: tuple[str, ...], unknown: Iterable[str], exchanged: int = SHORTEST_EXCHANGED) -> Iterator[Words]:
    """
    Yield the words of a name with one of the unknown ones spelled as a listed word: one letter more, less or another.

    >>> sorted(map(sorted, _misspelled(("cardooon",), ("cardooon",))))
    [['cardoon']]
    """
    for word in unknown:
        if len(word) >= SHORTEST_MISSPELLED and word.isalpha():
            for right in sorted(_one_letter_off(word, exchanged) & _known()):
                yield frozenset({right, *words}) - {word}


def misspelled_as(name: str, foods: frozenset[str]) -> Reading | None:
    """
    Return what a name says with one word spelled as a listed one, when it then names these foods and nothing else.

    >>> misspelled_as("sweat potatoes", frozenset({"sweet potatoes"})).foods
    frozenset({'sweet potatoes'})
    >>> misspelled_as("sweat potatoes", frozenset({"potatoes"})) is None
    True
    """
    words = _words(name)
    spelled = [_cover(bag) for bag in _misspelled(words, _cover(frozenset(words)).unknown, SHORTEST_MISSPELLED)]
    right = [one for one in spelled if one.foods == foods and not (one.open or one.others or one.unknown)]
    return right[0] if right else None


_SOUNDS = (
    (re.compile(r"ph|gh(?=t)"), "f"), (re.compile(r"s?ch|sh|tch"), "C"), (re.compile(r"wh"), "w"),
    (re.compile(r"c(?=[eiy])|z"), "s"), (re.compile(r"[ckq]+u?(?=[aeiouy])|[ckq]+"), "k"), (re.compile(r"^kn"), "n"),
    (re.compile(r"ea|ee|ei|ie|ye|y(?![aeou])"), "i"), (re.compile(r"oa|ow"), "o"), (re.compile(r"(.)\1"), r"\1"),
    (re.compile(r"(?<=...)e$"), ""),
)  # fmt: skip
"""What is written in several ways and sounds alike, in English; in this order."""
FEWEST_CONSONANTS = 5
"""Of a word that is heard by its consonants alone."""


def _sounds(word: str) -> tuple[str, str]:
    """
    Return how a word sounds, and its consonants alone, empty where they are few.

    >>> _sounds("wite")[0] == _sounds("white")[0], _sounds("shantrelle")[1] == _sounds("chanterelle")[1]
    (True, True)
    """
    for pattern, sound in _SOUNDS:
        word = pattern.sub(sound, word)
    consonants = word[:1] + re.sub("[aeiou]", "", word[1:])
    return word, consonants if len(consonants) >= FEWEST_CONSONANTS else ""


_FIRST_LETTERS = ("ckqsz", "fp", "kn", "aeiouy")
"""Letters that may begin words which sound the same."""


@lru_cache(maxsize=512)
def _sounding_like(word: str) -> frozenset[str]:
    """Return the words of the lists that sound the same; short ones have as many letters, or one more or less."""
    first = frozenset("".join(group for group in (word[0], *_FIRST_LETTERS) if word[0] in group))
    longest = len(word) + (1 if len(word) < LONG_WORD else LONG_WORD)
    near = (other for other in _known() if other[0] in first and len(word) * 2 - longest <= len(other) <= longest)
    return frozenset(other for other in near if set(_sounds(word)) & set(filter(None, _sounds(other))))


SHORTEST_HEARD = 4
"""Letters."""
LONG_WORD = 6
"""Letters, from which on the number of letters of a word that sounds the same does not matter."""


@lru_cache(maxsize=4096)
def heard_as(name: str, owners: Words = frozenset()) -> tuple[Reading, ...]:
    """
    Return what a name says with one unknown word, but its owner, written as a listed word that sounds the same.

    >>> frozenset({"white peaches"}) in [one.foods for one in heard_as("wite peaches")]
    True
    """
    words = _words(name)
    unknown = (word for word in words if word not in _known() | owners and len(word) >= SHORTEST_HEARD)
    return tuple(
        _cover(frozenset({right, *words}) - {word})
        for word in unknown
        if word.isalpha()
        for right in sorted(_sounding_like(word))
    )


LOOKS = frozenset({"color", "size"})
"""The general words that many varieties are called by."""


@lru_cache(maxsize=1)
def _looks() -> frozenset[str]:
    """Return the words for a color or a size."""
    return frozenset(word for row in table("general_words") if row["kind"] in LOOKS for word in listed(row["words"]))


def varieties_named(name: str) -> frozenset[str]:
    """
    Return the foods that have a variety of just these several words, though each word is a general one.

    >>> varieties_named("Crimson Sweet"), varieties_named("sweet crimson")
    (frozenset({'melons'}), frozenset({'melons'}))
    """
    bag = frozenset(_words(name))
    if bag <= _looks():
        return frozenset()
    owners = (row.sense.foods for words, row in _in(bag) if row.of_variety and words == bag and len(words) > 1)
    return frozenset().union(*owners)


def _one_letter_off(word: str, exchanged: int) -> frozenset[str]:
    cuts = [(word[:place], word[place:]) for place in range(len(word) + 1)]
    found = {start + rest[1:] for start, rest in cuts if rest}
    found |= {start + rest[1] + rest[0] + rest[2:] for start, rest in cuts if len(rest) > 1}
    if len(word) >= exchanged:
        found |= {start + letter + rest[1:] for start, rest in cuts if rest for letter in ascii_lowercase}
    found |= {start + letter + rest for start, rest in cuts for letter in ascii_lowercase}
    return frozenset(other for other in found - {word} if other[:1] == word[:1])


@lru_cache(maxsize=1)
def _nouns() -> dict[str, frozenset[str]]:
    """Return, for each food with varieties, the last words of its nouns."""
    nouns: dict[str, frozenset[str]] = defaultdict(frozenset)
    for row in table("accepted"):
        for food in listed(row["food"]) if row["needs"] else ():
            nouns[food] |= {noun.split()[-1] for noun in listed(row["needs"])}
    return nouns


@lru_cache(maxsize=1)
def doubts() -> frozenset[str]:
    """Return the kinds of the words that say something doubtful of some foods only, such as a brown kraut."""
    return frozenset(row["kind"] for row in table("other_foods") if row["needs"])


def share_a_noun(foods: frozenset[str], others: frozenset[str]) -> bool:
    """
    Return whether one of these foods goes by the noun of one of the others, so that a variety may be of either.

    >>> share_a_noun(frozenset({"peaches"}), frozenset({"white peaches"}))
    True
    >>> share_a_noun(frozenset({"tomato"}), frozenset({"beets"}))
    False
    """
    nouns = _nouns()
    return any(nouns.get(food, frozenset()) & nouns.get(other, frozenset()) for food in foods for other in others)


@lru_cache(maxsize=8192)
def variety_of(name: str, foods: frozenset[str]) -> bool:
    """
    Return whether a name is a variety of several words of one of these foods, with general words at most.

    >>> variety_of("Peaches and Cream", frozenset({"sweet corn"})), variety_of("peaches", frozenset({"sweet corn"}))
    (True, False)
    """
    bag = frozenset(_words(name))
    listed_ones = tuple(_in(bag))
    plain_ones = [words for words, row in listed_ones if row.sense == Sense()]
    for words, row in listed_ones:
        if row.of_variety and len(words) > 1 and row.sense.foods <= foods:
            rest = bag - words
            if rest <= frozenset().union(*plain_ones):
                return True
    return False


def is_variety_beside_noun(phrase: str, foods: frozenset[str], typed: str = "") -> bool:
    """
    Return whether a variety is listed with the noun of one of these foods, or with what was typed, behind it.

    >>> [is_variety_beside_noun(name, frozenset({"tomato"})) for name in ("fantastic", "haden")]
    [True, False]
    """
    words = frozenset(phrase.split())
    for food in foods:
        for noun in _nouns().get(food, frozenset()) | {food.split()[-1], *_words(typed)[-1:]}:
            whole = words | {noun}
            if any(names == whole and row.sense.foods & foods for names, row in _in(whole)):
                return True
    return False


def _with_something(name: str) -> tuple[str, ...]:
    """
    Return what the food of a name is with or in.

    >>> _with_something("tomatoes with beef"), _with_something("beef tomatoes")
    (('beef',), ())
    """
    return tuple(_JOINED.split(" ".join(raw_words(name)))[1:])


def _ends_with(name: str) -> Iterator[Other]:
    """
    Yield the dish or fat that a name, or a part of it before a comma, ends with; not in a phrase listed in that order.

    >>> [other.phrase for text in ("apple pie", "pie, apple", "pie apples") for other in _ends_with(text)]
    ['pie', 'pie']
    """
    phrases = _lists()[0]
    for part in _PARTED.split(name):
        words = _words(part)
        if any(f"\n{' '.join(words[start:])}\n" in phrases for start in range(len(words) - 1)):
            continue
        yield from _thing_behind(part)
        single = _cover(frozenset(words[-1:])) if words else Reading()
        yield from (other for other in single.others if other.kind in DISHES)
        yield from (Other(words[-1], food) for food in single.foods & AT_THE_END)
        if words and words[-1] in CRISPS and _cover(frozenset(words[:-1])).possible:
            yield Other(words[-1], "dish")


LONGEST_BEHIND = 3
"""Words of the longest phrase of the table of things that stand behind a food."""


def _thing_behind(part: str) -> Iterator[Other]:
    """
    Yield what a part of a name is when it ends with a food and a word that makes another thing of it.

    >>> [other.phrase for text in ("sweet potato slips", "slips, sweet potato") for other in _thing_behind(text)]
    ['slip']
    """
    words = [word if word == "greens" else singular(word) for word in raw_words(part) if word != "s"]
    for size in range(1, min(LONGEST_BEHIND, len(words) - 1) + 1):
        found = _behind_a_food().get(" ".join(words[-size:]))
        before = words[: len(words) - size][-2:] if words[-size - 1] not in _GOES_ON else []
        foods = frozenset[str]().union(*(_cover(frozenset(before[start:])).possible for start in range(len(before))))
        if found is not None and foods - found.instead_of:
            yield found


@lru_cache(maxsize=1)
def _behind_a_food() -> dict[str, Other]:
    """Return the phrases that make another thing of the food before them, and the foods that stay themselves."""
    return {
        phrase: Other(phrase, row["kind"], frozenset(listed(row["may_be"])))
        for row in table("behind_a_food")
        for phrase in listed(row["words"])
    }


NEVER_BEHIND = frozenset({"quality", "taste", "ripeness", "owner", "other words"})
"""The general words that are a noun of their own right behind a food: apple crisp, pear drops."""
_GOES_ON = frozenset(
    {"and", "at", "by", "for", "fresh", "from", "in", "of", "off", "on", "the", "to", "with"}
    | {"picked", "dug", "bought", "cut", "grown", "we", "i", "they", "that"}
)
"""Words after which a name says something new."""


def words_behind(name: str) -> tuple[str, ...]:
    """
    Return the general words right behind a food, which make it the food's adjective: the last word is what a thing is.

    >>> words_behind("apple crisp"), words_behind("crisp apples"), words_behind("apples, crisp")
    (('crisp',), (), ())
    """
    found: list[str] = []
    for part in _PARTED.split(name):
        words = [singular(word) for word in raw_words(part)]
        bag = frozenset(words)
        hits = [(words, row) for words, row in _in(bag) if row.sense.foods]
        named = [words for words, row in hits if not row.needs or any(noun <= bag for noun in row.needs)]
        foods = frozenset[str]().union(*named)
        last = max((place for place, word in enumerate(words) if word in foods), default=len(words))
        behind = list(takewhile(lambda word: word not in _GOES_ON, words[last + 1 :]))
        owners = {
            word for word, after in zip(behind, words[last + 2 :], strict=False) if after in ("s", "dug", "picked")
        }
        found.extend(word for word in behind if word in _never_behind() - owners)
    return tuple(found)


@lru_cache(maxsize=1)
def _never_behind() -> frozenset[str]:
    rows = (row for row in table("general_words") if row["key"] in NEVER_BEHIND)
    return frozenset(word for row in rows for word in listed(row["words"]))


@lru_cache(maxsize=8192)
def raw_words(name: str) -> tuple[str, ...]:
    """Return the words of a name as they are written; what is said of bones is one word, and so are spaced letters."""
    text = plain(name)
    for pattern, word in _IN_ORDER:
        text = pattern.sub(word, text)
    text = _LETTERS.sub(lambda run: run[0].replace(" ", ""), text)
    return tuple(text.split())


def _singular(raw: tuple[str, ...]) -> tuple[str, ...]:
    """Return words in the singular, without small words and without the s of an owner."""
    return tuple(word for word in tokens(" ".join(raw)) if word != "s")


def _words(name: str) -> tuple[str, ...]:
    return _singular(raw_words(name))


def _in(bag: Words) -> Iterator[tuple[Words, _Row]]:
    """Yield every phrase whose words are all in the name, and its row."""
    for word in bag:
        for words, row in _phrases(word):
            if words <= bag and word == min(words):
                yield words, row


def _cover(bag: Words) -> Reading:
    """Return what a set of words says: the phrases that no longer phrase contains."""
    listed_ones = tuple(_in(bag))
    alone = _whole_name(bag, listed_ones)
    if alone:
        return Reading(varieties=frozenset((alone,)))
    hits = [(words, row.sense) for words, row in listed_ones if not row.needs]
    hits += [(words | noun, row.sense) for words, row in listed_ones for noun in row.needs if noun <= bag]
    longest = {words for words, _ in hits}
    longest = {words for words in longest if not any(words < other for other in longest)}
    senses: dict[Words, list[Sense]] = defaultdict(list)
    for words, sense in hits:
        if words in longest:
            senses[words].append(sense)
    covered = frozenset(word for words in longest for word in words)
    rest = frozenset(word for word in bag - covered if not _is_number(word))
    foods: set[str] = set()
    open_foods: set[frozenset[str]] = set()
    for same in senses.values():
        named = frozenset(food for sense in same for food in sense.foods)
        foods.update(named if len(named) == 1 else ())
        open_foods.update([named] if len(named) > 1 else [])
    varieties, rest = _alone(listed_ones, rest, has_food=bool(foods or open_foods))
    flat = [sense for same in senses.values() for sense in same]
    return Reading(
        frozenset(foods),
        frozenset(open_foods),
        frozenset(sense.extra for sense in flat if sense.extra),
        frozenset(sense.form for sense in flat if sense.form),
        frozenset(
            Other(" ".join(sorted(words)), sense.other, sense.instead_of)
            for words, same in senses.items()
            for sense in same
            if sense.other
        ),
        varieties,
        tuple(sorted(rest)),
    )


def _whole_name(bag: Words, hits: Iterable[tuple[Words, _Row]]) -> tuple[str, frozenset[str]] | None:
    """
    Return the variety of several words that is a whole name but for general words, with its food; else None.

    One of its words must mean nothing by itself: a garden of beans and general words alone are not a name.

    >>> _whole_name(frozenset({"cal", "wonder"}), tuple(_in(frozenset({"cal", "wonder"}))))
    ('cal wonder', frozenset({'sweet peppers'}))
    """
    hits = tuple(hits)
    meant = frozenset[str]().union(*(words for words, row in hits if not row.needs))
    other = any(row.sense.foods or row.sense.extra for words, row in hits if not row.needs)
    plain_ones = frozenset[str]().union(*(words for words, row in hits if row.sense == Sense()))
    owners: dict[Words, set[str]] = defaultdict(set)
    for words, row in hits:
        if row.of_variety and len(words) > 1 and bag - words <= plain_ones and words - meant:
            owners[words].update(row.sense.foods)
    longest = max(owners, key=len, default=frozenset[str]())
    found = frozenset(owners.get(longest, ()))
    return (" ".join(sorted(longest)), found) if len(found) == 1 and not other else None


def _alone(
    hits: Iterable[tuple[Words, _Row]], rest: Words, *, has_food: bool
) -> tuple[frozenset[tuple[str, frozenset[str]]], Words]:
    """Return the varieties named without a noun, with the foods that have them, and the words that are left unknown."""
    if has_food or not rest:
        return frozenset(), rest
    owners: dict[Words, set[str]] = defaultdict(set)
    for names, row in hits:
        if row.of_variety and names & rest:
            owners[names].update(row.sense.foods)
    longest = {names: foods for names, foods in owners.items() if not any(names < other for other in owners)}
    left = rest.difference(*(names for names, foods in longest.items() if len(foods) == 1))
    return frozenset((" ".join(sorted(names)), frozenset(foods)) for names, foods in longest.items()), left


def _is_number(word: str) -> bool:
    return word.replace(".", "").isdigit()


def _mended(raw: tuple[str, ...], unknown: Words) -> tuple[str, ...]:
    """
    Return the words with those spelled apart joined, and those run together taken apart, where that gives listed words.

    >>> _mended(("straw", "berries"), frozenset({"straw"})), _mended(("whitepeaches",), frozenset({"whitepeach"}))
    (('strawberries',), ('white', 'peach'))
    """
    known = _known()
    strange = {word for word in raw if singular(word) in unknown}
    found: list[str] = []
    place = 0
    while place < len(raw):
        for size in range(min(LONGEST_JOIN, len(raw) - place), 1, -1):
            run = raw[place : place + size]
            joined = "".join(run)
            if strange & set(run) and (joined in known or singular(joined) in known):
                found.append(joined)
                break
        else:
            size = 1
            word = raw[place]
            found.extend((_apart(word) or (word,)) if word in strange else (word,))
        place += size
    return tuple(found)


@lru_cache(maxsize=1024)
def _apart(text: str) -> tuple[str, ...]:
    """Return the fewest listed words that make up a text without spaces; empty when there are none."""
    known = _known()
    best: list[tuple[str, ...] | None] = [()] + [None] * len(text)
    for end in range(1, len(text) + 1):
        for start in range(max(0, end - LONGEST_JOIN), end):
            before = best[start]
            piece = text[start:end]
            word = piece if piece in known else singular(piece)
            is_word = len(piece) >= SHORTEST_PIECE and word in known
            if before is None or not (is_word or (len(piece) > 1 and piece in SMALL_WORDS)):
                continue
            current = best[end]
            if current is None or len(before) + 1 < len(current):
                best[end] = (*before, word)
    whole = best[-1] or ()
    return whole if len(whole) > 1 else ()


def phrase_words(text: str) -> str:
    """
    Return a phrase as the tables write it: its words in the singular, without small words.

    >>> phrase_words("Aunt Ruby's German Greens")
    'aunt ruby german green'
    """
    return " ".join(_words(text))


def foods_sharing(name: str) -> tuple[str, ...]:
    """
    Return the foods whose phrases share a word with a name, those that share its last words first.

    >>> foods_sharing("Zorblax pears")[:2]
    ('pears', 'Asian pears')
    """
    found: dict[str, None] = {}
    for word in reversed(_words(name)):
        nouns = [(words, row) for words, row in _phrases(word) if not row.needs and len(words) <= MANY]
        found.update((food, None) for words, row in nouns if len(words) == 1 for food in sorted(row.sense.foods))
        found.update((food, None) for food, _ in Counter(f for _, row in nouns for f in row.sense.foods).most_common())
    return tuple(food for food in found if food != OTHERS)
