"""Extras (salt, sugar, spices, acids that count and acids that do not), and the parts of a preserve."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from stillroom.handbook.foods import UNMATCHED, acidity, kinds_named, meaning, stricter
from stillroom.handbook.names import tokens
from stillroom.handbook.tables import number, table
from stillroom.household.records import Household, Ingredient, Preserve

_PLAIN_WORDS = frozenset(
    tokens(
        "white brown red yellow green cider canning pickling fine coarse ground dried dry whole kosher sea granulated "
        "cane powdered powder bottled bottle distilled organic light dark pure plain iodized iodised non head leaf "
        "leave bunch sprig stick small large big percent acidity acid strength wine malt grain clear natural "
        "cup teaspoon tablespoon"
    )
)
"""Words in the name of an ingredient that do not make it something else."""


_OTHER_WORDS = frozenset({"fresh", "squeezed", "freshly", "water", "diluted", "half"})
"""Words in a name that contradict a typed Handbook item: fresh juice, an acid diluted with water."""
_MAY_BE_TYPED_FOR = {
    "lemon or lime juice, not bottled": ("bottled lemon juice", "bottled lime juice"),
    "vinegar of unknown strength": ("vinegar (5%)",),
}
"""What may be typed as Handbook item for a name without a strength: bottled, or 5%; never another acid."""
_VINEGARS = frozenset({"vinegar (5%)", "vinegar of unknown strength"})


@dataclass(frozen=True)
class Extra:
    """An ingredient that any line may take: salt, sugar, water, spices in small amounts, the published acids."""

    name: str
    what: str
    most_ml_per_liter: float | None


@lru_cache(maxsize=1)
def extras() -> Mapping[str, Extra]:
    """Return every extra by name."""
    return {row["item"]: Extra(row["item"], row["what"], number(row["most"])) for row in table("extras")}


def extra_named(name: str | None) -> str | None:
    """
    Return the extra a name means; None for a food, an unknown item, or an extra with unknown words in its name.

    Vinegar counts as the published acid only when 5 percent or more is stated; lemon juice only when it is bottled.

    >>> extra_named("white vinegar 5 %"), extra_named("cider vinegar"), extra_named("lemon juice")
    ('vinegar (5%)', 'vinegar of unknown strength', 'lemon or lime juice, not bottled')
    >>> extra_named("Canning salt"), extra_named("salt pork"), extra_named("salt glorp")
    ('salt', None, None)
    >>> extra_named("vinegar 5 % and water"), extra_named("citric acid 50 %")
    ('vinegar of unknown strength', None)
    """
    if not name:
        return None
    found = meaning(name)
    strange = [word for word in found.rest if word not in _PLAIN_WORDS and not word.replace(".", "").isdigit()]
    words = tokens(name)
    if "vinegar" in words and not found.kinds and not [word for word in strange if word != "fresh"]:
        strong = _percent(words) >= 5 and not found.extras - _VINEGARS
        return "vinegar (5%)" if strong else "vinegar of unknown strength"
    if "juice" in words and {"lemon", "lime"} & set(words) and not found.kinds:
        thinned = {"water"} & set(words)
        return _juice(
            words, [word for word in strange if word not in ("fresh", "squeezed", "freshly")] + sorted(thinned)
        )
    if found.kinds or strange or len(found.extras) != 1:
        return None
    only = next(iter(found.extras))
    return None if only == "citric acid" and "percent" in words else only


def _percent(words: tuple[str, ...]) -> float:
    """
    Return the strength given before percent or acidity, the lower end of a range; 0 when none is given.

    >>> _percent(tokens("vinegar 4-6 %")), _percent(tokens("1 gallon vinegar 5 % acidity"))
    (4.0, 5.0)
    """
    stated: list[float] = []
    for place, word in enumerate(words):
        if word not in ("percent", "acidity"):
            continue
        before = place - 1
        while before >= 0 and (_is_figure(words[before]) or (words[before] == "to" and before < place - 1)):
            stated += [float(words[before])] if _is_figure(words[before]) else []
            before -= 1
    return min(stated, default=0.0) if all(figure <= 10 for figure in stated) else 0.0


def _is_figure(word: str) -> bool:
    return word.replace(".", "", 1).isdigit()


def _juice(words: tuple[str, ...], strange: list[str]) -> str | None:
    """Return which extra a lemon or lime juice is: bottled, or not; None when unknown words are in its name."""
    if strange:
        return None
    if {"fresh", "squeezed", "freshly"} & set(words) or not {"bottled", "bottle"} & set(words):
        return "lemon or lime juice, not bottled"
    return "bottled lime juice" if "lime" in words else "bottled lemon juice"


def stricter_extra(typed: str | None, name: str) -> str | None:
    """
    Return the extra a pantry item counts as, by its Handbook item and by its name: the stricter of the two.

    >>> stricter_extra("bottled lemon juice", "lemon juice"), stricter_extra("bottled lemon juice", "fresh lemon juice")
    ('bottled lemon juice', 'lemon or lime juice, not bottled')
    >>> stricter_extra("salt", "ham"), stricter_extra("vinegar (5%)", "the big jug")
    (None, 'vinegar (5%)')
    >>> stricter_extra("vinegar 5 %", "vinegar 4 %"), stricter_extra("citric acid", "vinegar")
    ('vinegar of unknown strength', 'vinegar of unknown strength')
    """
    by_name = extra_named(name)
    if not typed or not typed.strip():
        return by_name
    by_type = extra_named(typed)
    if by_type is None or kinds_named(name) - kinds_named(typed):
        return None
    if by_name is None or by_name == by_type:
        return by_type
    weak = extras()[by_name].what == "weak acid"
    other = _OTHER_WORDS & set(tokens(name)) or _percent(tokens(name)) > 0
    if weak and by_type in _MAY_BE_TYPED_FOR[by_name] and not other and _same_juice(by_type, name):
        return by_type
    return by_name if weak else None


def _same_juice(by_type: str, name: str) -> bool:
    """Return whether a typed juice is of the fruit in the name; true for what is no juice."""
    fruits = {"lemon", "lime"} & set(tokens(name))
    return not fruits or bool(fruits & set(tokens(by_type)))


CLOVE_KG = 0.006
DEEPEST = 5
"""Levels of preserves within preserves that are followed; anything deeper counts as unknown."""


@dataclass(frozen=True)
class Part:
    """
    One item of a preserve, down to the crop or the pantry.

    `kinds` are the kinds of food it counts as, `extra` the extra it is; both empty means that it matched nothing and
    counts as low-acid. Amounts are for one container of the preserve that `parts` was called with; None where unknown.
    `through` names the preserves it comes from, `methods` their methods (and `frozen` for one kept in the freezer);
    `where` is the cell of the ingredient in that preserve, `typed` its Handbook food or Handbook item.
    """

    item: str
    source: str
    kinds: frozenset[str]
    extra: str | None = None
    kg: float | None = None
    litres: float | None = None
    pieces: float | None = None
    from_frozen: bool = False
    through: tuple[str, ...] = ()
    where: str = ""
    methods: frozenset[str] = frozenset()
    typed: str = ""

    @property
    def acidity(self) -> str:
        """Return how acid the part is; `unmatched` when it is unknown."""
        return acidity(self.kinds)

    @property
    def weight_kg(self) -> float | None:
        """Return its weight; a clove of garlic weighs 6 g, the figure of the proportions table."""
        if self.kg is None and self.pieces is not None and self.kinds == {"garlic"}:
            return self.pieces * CLOVE_KG
        return self.kg

    @property
    def there(self) -> bool:
        """Return whether its amount is above zero, or unknown."""
        return any((self.kg, self.litres, self.pieces)) or (self.kg is self.litres is self.pieces is None)

    @property
    def unknown(self) -> bool:
        """Return whether the part matched neither a food nor an extra."""
        return self.acidity == UNMATCHED and self.extra is None

    @property
    def label(self) -> str:
        """Return its name for a message, with the preserve it comes from."""
        return self.item if not self.through else f"{self.item} (in {self.through[-1]})"


def parts(household: Household, preserve: Preserve) -> tuple[Part, ...]:
    """Return every part of one container of a preserve; other preserves are replaced by their own parts."""
    return tuple(_follow(household, preserve, 1.0, (), ""))


def _follow(
    household: Household, preserve: Preserve, share: float, through: tuple[str, ...], where: str
) -> Iterator[Part]:
    for line in preserve.ingredients:
        cell = where or line.where or preserve.where
        if line.source == "preserve":
            if len(through) >= DEEPEST:
                yield Part(line.item, "preserve", frozenset(), through=through, where=cell)
                continue
            inner = _named_preserve(household, line.item)
            if inner is None or inner.name in through or inner.name == preserve.name:
                yield Part(line.item, "preserve", frozenset(), through=through, where=cell)
                continue
            methods = {inner.method} | ({"frozen"} if inner.kept_in == "freezer" else set())
            for part in _follow(household, inner, share * line.amount_each, (*through, inner.name), cell):
                yield replace(part, methods=part.methods | methods)
        elif line.source == "crop":
            yield _of_crop(household, line, share, through, cell)
        else:
            yield _of_pantry(household, line, share, through, cell)


def _named_preserve(household: Household, name: str) -> Preserve | None:
    return next((item for item in household.preserves if item.name == name), None)


def _of_crop(household: Household, line: Ingredient, share: float, through: tuple[str, ...], where: str) -> Part:
    crop = next((item for item in household.crops if item.name == line.item), None)
    found = stricter(crop.handbook_food if crop else None, line.item)
    extra = None
    if not found and not (crop and crop.handbook_food):
        extra = stricter_extra(None, line.item)
    kg = line.amount_each * share
    typed = (crop.handbook_food or "").strip() if crop else ""
    return Part(line.item, "crop", found, extra, kg, None, None, line.from_frozen, through, where, typed=typed)


def _of_pantry(household: Household, line: Ingredient, share: float, through: tuple[str, ...], where: str) -> Part:
    item = next((item for item in household.pantry if item.name == line.item), None)
    typed = item.handbook_item if item else None
    base = item.base_unit if item else ""
    extra = stricter_extra(typed, line.item)
    found = frozenset[str]() if extra else stricter(typed, line.item)
    kg = line.amount_each if base == "kg" else line.kg_each
    litres = line.amount_each if base == "litre" else line.litres_each
    return Part(
        line.item, "pantry", found, extra, _times(kg, share), _times(litres, share),
        line.amount_each * share if base == "each" else None, line.from_frozen, through, where,
        typed=(typed or "").strip(),
    )  # fmt: skip


def _times(amount: float | None, share: float) -> float | None:
    return None if amount is None else amount * share
