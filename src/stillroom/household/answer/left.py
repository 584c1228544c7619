"""What a plan leaves of each stock, from a period to its end, with what could still be bought; each counted once."""

from __future__ import annotations

from collections.abc import Callable

from stillroom.household.answer.coverage import freezer_litres
from stillroom.household.answer.sums import Sums
from stillroom.household.records import Container, LarderItem, Lid


class Left:
    """
    The least that is left of a stock from a period on.

    >>> from stillroom.household.periods import periods
    >>> from stillroom.household.plan import Plan
    >>> from stillroom.household.tiny import tiny_household
    >>> home = tiny_household()
    >>> left = Left(Sums(home, Plan(periods(home.kitchen), make={("juice", 1): 7.0})))
    >>> left.of_lid(home.lids[0], 0), left.of_container(home.container("quart jar"), 0)
    (inf, 17.0)
    """

    def __init__(self, sums: Sums) -> None:
        """Begin with nothing counted."""
        self.sums = sums
        self._taken: dict[tuple[str, str], list[float]] = {}

    def of_container(self, container: Container, number: int) -> float:
        """Containers, whole ones."""
        taken = self._most(("container", container.name), number, lambda n: self.sums.containers_taken(container, n))
        return container.on_hand + container.can_buy - taken

    def of_lid(self, lid: Lid, number: int) -> float:
        """Lids of a kind."""
        taken = self._most(("lid", lid.name), number, lambda n: self.sums.lids_taken(lid.name, n))
        return lid.on_hand + lid.can_buy - taken

    def of_larder(self, stock: LarderItem, number: int) -> float:
        """An ingredient, in its base unit."""
        taken = self._most(("larder", stock.name), number, lambda n: self.sums.larder_taken(stock.name, n))
        return stock.on_hand + stock.can_buy - taken

    def of_freezer_litres(self, number: int) -> float:
        """Room in the freezer, in litres."""
        used = self._most(("space", "freezer"), number, lambda n: freezer_litres(self.sums, n))
        return self.sums.household.kitchen.freezer_free_litres - used

    def _most(self, key: tuple[str, str], number: int, taken: Callable[[int], float]) -> float:
        """The most that is gone by the end of any period from this one on."""
        if key not in self._taken:
            self._taken[key] = [taken(period.number) for period in self.sums.periods]
        return max(self._taken[key][number:])
