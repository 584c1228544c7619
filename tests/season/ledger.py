"""A second ledger, kept by plain sums beside the workbook: it shares no code with the planner's."""

from __future__ import annotations

from collections import defaultdict

from tests.season.household import CONTENT

JAR_OF = {row["Preserve"]: row["Container"] for row in CONTENT["Preserves"]}
LID_OF = {row["Container"]: row.get("Lid") for row in CONTENT["Containers"]}
CROP_OF = {
    row["Preserve"]: (row["Item"], float(row["Amount each"]))
    for row in CONTENT["Ingredients"]
    if row["Item"] != "bottled lemon juice"
}
LEMON_CUPS = {
    row["Preserve"]: row["Amount each"] / 16 for row in CONTENT["Ingredients"] if row["Item"] == "bottled lemon juice"
}
MAY_BE_FROZEN = {row["Preserve"] for row in CONTENT["Ingredients"] if row.get("May be from frozen")}
PRICES = {
    row.get("Container") or row.get("Lid") or row["Ingredient"]: row.get("Price")
    for table in ("Containers", "Lids", "Pantry")
    for row in CONTENT[table]
}


class Ledger:
    """Stocks by name in the household's units: what should be there by everything that was written down."""

    def __init__(self):
        self.stock = {}
        for table, heading in (("Containers", "Container"), ("Lids", "Lid"), ("Pantry", "Ingredient")):
            self.stock |= {row[heading]: float(row["On hand"]) for row in CONTENT[table]}
        self.shelf = defaultdict(float)
        for row in CONTENT["Shelf"]:
            self.shelf[row["Preserve"]] += row["On hand"]
        self.fresh, self.frozen, self.thawed = defaultdict(float), defaultdict(float), defaultdict(float)
        self.picked, self.put_up, self.surplus = defaultdict(float), defaultdict(float), defaultdict(float)
        self.records = 0

    def weighed(self, crop, pounds):
        self.fresh[crop] += pounds
        self.picked[crop] += pounds

    def made(self, preserve, sealed, failed=0.0, pounds=None):
        filled = sealed + failed
        crop, each = CROP_OF[preserve]
        pounds = each * filled if pounds is None else pounds
        self.records += 1
        self.put_up[crop] += pounds
        cooked = min(self.thawed[crop], pounds) if preserve in MAY_BE_FROZEN else 0.0
        self.thawed[crop] -= cooked
        self.fresh[crop] -= pounds - cooked
        jar = JAR_OF[preserve]
        self.stock[jar] -= sealed
        if LID_OF[jar]:
            self.stock[LID_OF[jar]] -= filled
        self.stock["bottled lemon juice"] -= LEMON_CUPS.get(preserve, 0.0) * filled
        self.shelf[preserve] += sealed

    def froze(self, crop, pounds):
        self.records += 1
        self.fresh[crop] -= pounds
        self.frozen[crop] += pounds

    def thaw(self, crop, pounds):
        self.records += 1
        self.frozen[crop] -= pounds
        self.thawed[crop] += pounds

    def ate(self, preserve, count):
        self.records += 1
        self.shelf[preserve] -= count
        self.stock[JAR_OF[preserve]] += count

    def bought(self, stock, count):
        self.records += 1
        self.stock[stock] += count

    def was_surplus(self, crop, pounds):
        self.records += 1
        self.fresh[crop] -= pounds
        self.surplus[crop] += pounds

    def differences(self, cards):
        """Where the planner's stocks (rows of `count --json`) are not these, as words."""
        wanted = {("stock", name): amount for name, amount in self.stock.items()}
        wanted |= {("shelf", name): amount for name, amount in self.shelf.items()}
        wanted |= {("crop, fresh", name): amount for name, amount in self.fresh.items()}
        wanted |= {("crop, frozen whole", name): amount for name, amount in self.frozen.items()}
        found = {}
        for card in cards:
            kind = card["kind"] if card["kind"] in ("shelf", "crop, fresh", "crop, frozen whole") else "stock"
            found[kind, card["stock"]] = card["should_be_now"]
        return [
            f"{name}: {found.get(name, 0.0)} in the workbook, {amount} by hand"
            for name, amount in wanted.items()
            if abs(found.get(name, 0.0) - amount) > 1e-6
        ]
