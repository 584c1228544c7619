"""One invented season lived in a workbook: weighed, planned every three days, made, miscounted, counted again."""

from __future__ import annotations

import datetime
import json
import random
import time
from collections import defaultdict

from tests import forked
from tests.season.household import START, THEIRS, build
from tests.season.ledger import CROP_OF, JAR_OF, LID_OF, Ledger

from stillroom.app.day import stock_json
from stillroom.app.plan import read_workbook
from stillroom.app.record import journal
from stillroom.app.write_plan import plan_workbook
from stillroom.workbook.ooxml.book import Book
from stillroom.workbook.writer.record import add_rows

TRUE_YIELD = {
    "tomato juice, quart": 1.18,
    "tomato juice, pint": 1.1,
    "green beans, pint": 0.92,
    "apples, dried": 1.05,
    "corn, frozen": 1.25,
}
PICKINGS = {
    "plum tomato": (10, 75, 3, (25, 70)), "snap beans": (0, 40, 4, (6, 16)), "apples": (45, 83, 7, (25, 60)), "sweet corn": (14, 50, 6, (12, 30)),
}  # fmt: skip
KILLED = """
import os, random, sys, datetime
from pathlib import Path
from stillroom.app.plan import read_workbook
from stillroom.app.write_plan import plan_workbook
from stillroom.workbook.ooxml import save
left = [int(sys.argv[3])]
def reached(step):
    left[0] -= 1
    if left[0] < 0:
        os.kill(os.getpid(), 9)
save.reached = reached
plan_workbook(read_workbook(Path(sys.argv[1]), datetime.date.fromisoformat(sys.argv[2])))
"""


class Season:
    """The household's truth, its own ledger, and the workbook; every step is checked."""

    def __init__(self, path, seed, kills=0):
        self.path, self.chance = build(path), random.Random(f"season {seed}")
        self.ledger, self.truth = Ledger(), dict(Ledger().stock)
        self.have = defaultdict(float)
        self.notes, self.marks = {}, {}
        self.kills, self.mismatches, self.said = kills, [], defaultdict(int)
        self.plans = self.killed = self.forgotten = self.numbers = 0
        self.plan_seconds = 0.0

    # ---- what the household does

    def type_in(self, change):
        """Edit the file as an office program would: in place, without a dated copy of ours."""
        book = Book.open(self.path)
        change(book)
        beside = self.path.with_name("typed.xlsx")
        book.save(beside)
        beside.replace(self.path)

    def expect(self):
        """All pickings as expected lots, typed in before the season."""
        self.lots = []
        for crop, (first, last, every, (least, most)) in PICKINGS.items():
            for away in range(first, last, every):
                self.lots.append((START + datetime.timedelta(days=away), crop, self.chance.randint(least, most)))
        rows = [
            {
                "Picked on": day,
                "Crop": crop,
                "Amount": pounds,
                "Unit": "lb",
                "Weighed or expected": "expected",
                "Least": pounds * 0.5,
                "Most": pounds * 1.5,
            }
            for day, crop, pounds in self.lots
        ]
        self.type_in(lambda book: add_rows(book, "Harvest", rows))

    def pick(self, day):
        """Lots of a day, more or less than was expected, one in six a day late, when it no longer is the expected one."""
        for lot in [lot for lot in self.lots if lot[0] <= day]:
            self.lots.remove(lot)
            if lot[0] == day and self.chance.random() < 0.17:
                self.lots.append((day + datetime.timedelta(days=1), lot[1], lot[2]))
                continue
            pounds = round(lot[2] * self.chance.uniform(0.6, 1.4), 1)
            said = journal.weigh(self.path, lot[1], f"{pounds:g} lb", day.isoformat(), day)
            self.said["arrived" if "arrived" in said.messages[0] else "added"] += 1
            self.ledger.weighed(lot[1], pounds)
            self.have[lot[1]] += pounds

    def plan_rows(self, day):
        """The lines of a day as they stand, with their sheet row."""
        table = Book.open(self.path).table("Plan")
        rows = []
        for cells in table.rows if table else ():
            row = {heading: cell.value for heading, cell in zip(table.headings, cells, strict=True)}
            if row["Day"] == day and row["Days"] == 1 and (row["Make"] or 0) > 0 and row["Made"] is None:
                rows.append((cells[0].row, row))
        return rows

    def work(self, day):
        """Make what the plan says for a day, as far as the crop goes, and write it down in one of three ways."""
        for number, row in self.plan_rows(day):
            name, make = row["Preserve"], row["Make"]
            if name.startswith(("freeze whole: ", "thaw: ")):
                self.move(day, number, name, make)
                continue
            crop, each = CROP_OF[name]
            true_each = each * TRUE_YIELD[name] * self.chance.uniform(0.9, 1.1)
            filled = min(int(make), int((self.have[crop] + self.ledger.thawed[crop]) / true_each))
            lid = LID_OF[JAR_OF[name]]
            filled = int(min(filled, self.truth[JAR_OF[name]], self.truth[lid] if lid else filled))
            if filled <= 0:
                continue
            failed = 1 if lid and self.chance.random() < 0.15 and filled > 1 else 0
            used = round(filled * true_each, 2)
            self.have[crop] = max(0.0, self.have[crop] - used)
            self.truth[JAR_OF[name]] -= filled - failed
            if lid:
                self.truth[lid] -= filled
            self.write_down(day, number, name, filled - failed, failed, used)

    def write_down(self, day, number, name, sealed, failed, used):
        """By the command, in Made of the plan, or as a row of Record; once it is forgotten."""
        if (day - START).days >= 20 and not self.forgotten:
            self.forgotten = sealed + failed
            return
        method = self.chance.choice(("command", "plan", "record"))
        crop = CROP_OF[name][0]
        enough = self.ledger.fresh[crop] + self.ledger.thawed[crop] >= used + 0.01
        by_recipe = CROP_OF[name][1] * (sealed + failed)
        if method == "plan" and not failed and self.ledger.fresh[crop] >= by_recipe:
            self.type_in(lambda book: self.set_cell(book, "Plan", number, "Made", sealed))
            self.ledger.made(name, sealed)
        elif method == "record" and enough:
            row = {
                "Date": day,
                "Preserve": name,
                "Made": sealed,
                "Failed seals": failed or None,
                "Crop": crop,
                "Crop used": used,
                "Unit": "lb",
                "Note": self.note(),
            }
            self.type_in(lambda book: add_rows(book, "Record", [row]))
            self.ledger.made(name, sealed, failed, used)
        elif enough:
            hours = f"{0.2 * (sealed + failed):.2f}h"
            journal.made(self.path, name, str(sealed), [f"{used} lb"], str(failed), hours, day.isoformat(), day)
            self.ledger.made(name, sealed, failed, used)
        else:
            self.forgotten += sealed + failed

    def move(self, day, number, name, make):
        """Crop into or out of the freezer, typed in the plan line."""
        start, crop = name.split(": ")
        pounds = round(min(make, self.ledger.fresh[crop] if start == "freeze whole" else self.ledger.frozen[crop]), 2)
        if pounds <= 0.05 or (start == "freeze whole" and self.have[crop] < pounds):
            return
        self.type_in(lambda book: self.set_cell(book, "Plan", number, "Made", pounds))
        self.have[crop] += -pounds if start == "freeze whole" else pounds
        (self.ledger.froze if start == "freeze whole" else self.ledger.thaw)(crop, pounds)
        self.said[start] += 1

    @staticmethod
    def set_cell(book, table, row, heading, value):
        found = book.table(table)
        book.set(found.sheet, row, found.column(heading), value)

    def note(self):
        self.numbers += 1
        self.notes[f"note {self.numbers}"] = True
        return f"note {self.numbers}"

    def between(self, day):
        """Small things of a day: something eaten, bought or fed, a note, a mark or a fix beside the plan."""
        there = [name for name, count in self.ledger.shelf.items() if count >= 2]
        if there and self.chance.random() < 0.2:
            name = self.chance.choice(sorted(there))
            journal.left(self.path, "ate", name, "1", day.isoformat(), day)
            self.ledger.ate(name, 1)
            self.truth[JAR_OF[name]] += 1
        if self.chance.random() < 0.06:
            self.type_in(lambda book: add_rows(book, "Record", [{"Date": day, "Preserve": "bought: lid", "Made": 12}]))
            self.ledger.bought("lid", 12)
            self.truth["lid"] += 12
        crop = self.chance.choice(sorted(PICKINGS))
        if self.chance.random() < 0.1 and self.have[crop] > 3 and self.ledger.fresh[crop] > 3:
            row = {"Date": day, "Preserve": f"surplus: {crop}", "Crop used": 2, "Unit": "lb"}
            self.type_in(lambda book: add_rows(book, "Record", [row]))
            self.ledger.was_surplus(crop, 2)
            self.have[crop] -= 2
        lines = self.plan_rows(day + datetime.timedelta(days=1))
        if lines and self.chance.random() < 0.5:
            number, row = self.chance.choice(lines)
            heading = self.chance.choice(("Note", THEIRS, "Keep at"))
            if row[heading] is None:
                value = (row["Make"] if row["Unit"] != "lb" else None) if heading == "Keep at" else self.note()
                self.type_in(lambda book: self.set_cell(book, "Plan", number, heading, value))

    def events_of_the_season(self, week):
        """The dryer breaks in week 5 and is back in week 7; jars and lids are counted again in week 8."""
        if week in (5, 7):
            self.type_in(
                lambda book: self.set_cell(
                    book, "Equipment", self.row_of(book, "Equipment", "dryer"), "How many", 0 if week == 5 else 1
                )
            )
        if week == 8:
            day = START + datetime.timedelta(weeks=week)
            for table, names in (("Containers", ("quart jar", "pint jar")), ("Lids", ("lid",))):
                for name in names:
                    self.type_in(
                        lambda book, t=table, n=name: (
                            self.set_cell(book, t, self.row_of(book, t, n), "On hand", self.truth[n]),
                            self.set_cell(book, t, self.row_of(book, t, n), "Counted on", day),
                        )
                    )
                    self.ledger.stock[name] = self.truth[name]

    @staticmethod
    def row_of(book, table, name):
        return next(cells[0].row for cells in book.table(table).rows if cells[0].value == name)

    # ---- planning and checking

    def plan(self, day):
        """Plan, killed before it once in a while; the plan is audited inside, or nothing is written."""
        if self.kills > self.killed and self.chance.random() < 0.4:
            self.killed += 1
            forked.command([str(self.path), day.isoformat(), str(self.chance.randrange(16))], code=KILLED)
        began = time.monotonic()
        reading = read_workbook(self.path, day)
        assert [str(problem) for problem in reading.problems if problem.is_error] == []
        planned = plan_workbook(reading)
        self.plan_seconds += time.monotonic() - began
        self.plans += 1
        for problem in reading.problems:
            self.said[problem.kind] += 1
        for row in planned.tables["Messages"]:
            if "is fixed at" in str(row["What"]):
                self.said["fix not kept"] += 1
        return planned

    def check(self, day):
        """Nothing typed is lost, stocks are those of the other ledger, nothing twice, every pound is somewhere."""
        book = Book.open(self.path)
        texts = " | ".join(
            str(cell.value)
            for name in ("Plan", "Record")
            for cells in book.table(name).rows
            for cell in cells
            if cell.kind == "text"
        )
        self.mismatches += [
            f"{day}: {note} is lost"
            for note in self.notes
            if f"{note} |" not in f"{texts} |".replace(" [plan", " | [plan")
        ]
        record = [cells for cells in book.table("Record").rows if cells[0].value is not None]
        if len(record) != self.ledger.records:
            self.mismatches.append(f"{day}: {len(record)} rows in the record, {self.ledger.records} by hand")
        made = book.table("Plan").column("Made") - book.table("Plan").first_column
        self.mismatches += [
            f"{day}: Made is still filled" for cells in book.table("Plan").rows if cells[made].value is not None
        ]
        said = json.loads(stock_json(read_workbook(self.path, day)))
        self.mismatches += [f"{day}: {words}" for words in self.ledger.differences(said["stocks"])]
        for row in said["season_so_far"]:
            parts = sum(row[name] for name in ("put_up", "eaten_or_given", "surplus", "lost", "on_hand"))
            crop = row["crop"]
            if abs(row["picked"] - parts) > 1e-6 or abs(row["picked"] - self.ledger.picked[crop]) > 1e-6:
                self.mismatches.append(f"{day}: {crop} does not add up: {row}")
            if (
                abs(row["put_up"] - self.ledger.put_up[crop]) > 1e-6
                or abs(row["surplus"] - self.ledger.surplus[crop]) > 1e-6
            ):
                self.mismatches.append(f"{day}: {crop} is booked elsewhere: {row}")

    def run(self, weeks=12, every=3):
        """The whole season; gives itself."""
        self.expect()
        for away in range(weeks * 7):
            day = START + datetime.timedelta(days=away)
            if away % 7 == 0:
                self.events_of_the_season(away // 7)
            self.pick(day)
            if away % every == 0:
                self.plan(day)
                self.check(day)
            self.work(day)
            self.between(day)
        self.plan(day + datetime.timedelta(days=1))
        self.check(day + datetime.timedelta(days=1))
        return self

    @property
    def figures(self):
        return {
            "plans": self.plans, "records": self.ledger.records, "killed": self.killed, "mismatches": len(self.mismatches),
            "seconds planning": round(self.plan_seconds, 1), "said": dict(self.said),
        }  # fmt: skip
