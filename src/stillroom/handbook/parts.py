"""Everything that goes into a preserve, followed through crops, larder and other preserves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from stillroom.handbook.extra_items import stricter_extra
from stillroom.handbook.foods import UNMATCHED, acidity, stricter
from stillroom.household.records import Household, Ingredient, Preserve

CLOVE_KG = 0.006
DEEPEST = 5
"""Preserves within preserves are followed so far; what lies deeper counts as unknown."""


@dataclass(frozen=True)
class Part:
    """
    One item of a preserve, down to the crop or the larder.

    `kinds` are the kinds of food it counts as, `extra` the extra it is; both empty means that it matched nothing and
    counts as low-acid. Amounts are for one container of the preserve asked about; None where they cannot be known.
    `through` names the preserves it came by, `ways` their ways (and `frozen` for what is kept in the freezer); `where`
    is the cell of the ingredient of the preserve asked about.
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
    ways: frozenset[str] = frozenset()

    @property
    def acidity(self) -> str:
        """How acid the part is, `unmatched` when nobody knows what it is."""
        return acidity(self.kinds)

    @property
    def weight_kg(self) -> float | None:
        """Its weight; a clove of garlic that is counted weighs 6 g, the figure the proportions table uses."""
        if self.kg is None and self.pieces is not None and self.kinds == {"garlic"}:
            return self.pieces * CLOVE_KG
        return self.kg

    @property
    def there(self) -> bool:
        """Whether any of it goes in: an amount of nothing makes no mixture and no row."""
        return any((self.kg, self.litres, self.pieces)) or (self.kg is self.litres is self.pieces is None)

    @property
    def unknown(self) -> bool:
        """Whether the part matched neither a food nor an extra."""
        return self.acidity == UNMATCHED and self.extra is None

    @property
    def named(self) -> str:
        """What to call it in a message, with the preserve it came by."""
        return self.item if not self.through else f"{self.item} (in {self.through[-1]})"


def parts(household: Household, preserve: Preserve) -> tuple[Part, ...]:
    """Give every part of one container of a preserve, other preserves followed through to their own parts."""
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
            ways = {inner.way} | ({"frozen"} if inner.kept_in == "freezer" else set())
            for part in _follow(household, inner, share * line.amount_each, (*through, inner.name), cell):
                yield replace(part, ways=part.ways | ways)
        elif line.source == "crop":
            yield _of_crop(household, line, share, through, cell)
        else:
            yield _of_larder(household, line, share, through, cell)


def _named_preserve(household: Household, name: str) -> Preserve | None:
    return next((item for item in household.preserves if item.name == name), None)


def _of_crop(household: Household, line: Ingredient, share: float, through: tuple[str, ...], where: str) -> Part:
    crop = next((item for item in household.crops if item.name == line.item), None)
    found = stricter(crop.handbook_food if crop else None, line.item)
    extra = None
    if not found and not (crop and crop.handbook_food):
        extra = stricter_extra(None, line.item)
    kg = line.amount_each * share
    return Part(line.item, "crop", found, extra, kg, None, None, line.from_frozen, through, where)


def _of_larder(household: Household, line: Ingredient, share: float, through: tuple[str, ...], where: str) -> Part:
    item = next((item for item in household.larder if item.name == line.item), None)
    typed = item.handbook_item if item else None
    base = item.base_unit if item else ""
    extra = stricter_extra(typed, line.item)
    found = frozenset[str]() if extra else stricter(typed, line.item)
    kg = line.amount_each if base == "kg" else line.kg_each
    litres = line.amount_each if base == "litre" else line.litres_each
    return Part(
        line.item, "larder", found, extra, _times(kg, share), _times(litres, share),
        line.amount_each * share if base == "each" else None, line.from_frozen, through, where,
    )  # fmt: skip


def _times(amount: float | None, share: float) -> float | None:
    return None if amount is None else amount * share
