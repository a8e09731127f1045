"""Two hands keep copies of one ledger for a year: do both end with the same lines, none lost and none doubled?

Seeded: each interleaving of notes, phone files, corrections, voids, hand edits in a spreadsheet (other separators, days
turned round, a cell changed, a line typed, a line copied, a line deleted, rows sorted by another column), copies on a
stick and joins in both directions is the same each time. All goes through the files of two folders.

    python3 tests/trials/two_hands.py [HOW_MANY] [FIRST]
"""

import csv
import io
import sys
import tempfile
from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

from woodlot import ledger
from woodlot.ledger.standing import heads
from woodlot.place import append_notes, join, read_ledger

__all__ = ["Year", "played"]

OLD_HEADING = ["line", "date", "parcel_id", "stand_id", "kind", "sex_age", "amount", "unit", "who", "text"]
OLD_HEADING += ["lon", "lat", "corrects", "check"]
STEPS = 60
#: What a hand does, and how often among a hundred.
DOES = {
    "plain": 22, "phone": 8, "right": 14, "right by number": 4, "void": 6, "join": 10, "stick": 6, "join the stick": 6,
    "save": 6, "change": 6, "type": 4, "copy a row": 2, "delete": 3, "sort": 3,
}  # fmt: skip


class Year:
    """Two folders, a stick with copies, and what was ever written."""

    def __init__(self, home: Path, seed: int):
        """Begin with the same old ledger in both folders."""
        self.random = Random(seed)
        self.folders = [home / "ann", home / "ben"]
        self.sticks: list[Path] = []
        self.home, self.day, self.count = home, date(2026, 1, 1), 0
        self.ever: set[str] = set()
        self.unseen = 0
        text = old_ledger(self.random)
        for folder in self.folders:
            folder.mkdir(parents=True)
            (folder / "place.toml").write_text("", encoding="utf-8")
            (folder / "ledger.csv").write_text(text, encoding="utf-8")

    def text(self, folder: Path) -> str:
        """The ledger of a folder."""
        return ledger.text_of((folder / "ledger.csv").read_bytes())

    def lines(self, folder: Path) -> Any:
        """The lines of a folder as text."""
        return ledger.parse(self.text(folder))[0]

    def note(self, **more: Any) -> dict[str, Any]:
        """A note that no other is like."""
        self.count += 1
        amount = self.random.randint(1, 40) / 4
        return {
            "date": self.day,
            "kind": "firewood",
            "unit": "cord",
            "amount": amount,
            "text": f"load {self.count}",
        } | more

    def step(self) -> None:
        """One thing done by one of the two."""
        hand = self.random.randrange(2)
        does = self.random.choices(list(DOES), list(DOES.values()))[0]
        getattr(self, does.replace(" ", "_"))(self.folders[hand], self.folders[1 - hand])
        self.ever |= set(self.lines(self.folders[hand])["id"])
        self.day += timedelta(days=self.random.randrange(12))

    def write(self, folder: Path, *notes: dict[str, Any], once: bool = False) -> None:
        """Notes as the verb writes them."""
        append_notes(folder, notes, today=self.day, once=once)

    def note_of(self, folder: Path) -> list[str]:
        """Ids that a line names to set a line right that is drawn."""
        lines = self.lines(folder)
        return heads(lines, self.random.randrange(len(lines)))

    def plain(self, folder: Path, _: Path) -> None:
        """A note."""
        self.write(folder, self.note())

    def right(self, folder: Path, _: Path) -> None:
        """Set a line right by its id."""
        self.write(folder, self.note(corrects=" ".join(self.note_of(folder))))

    def right_by_number(self, folder: Path, _: Path) -> None:
        """Set a line right by its number, where one line bears it."""
        numbers = Counter(self.lines(folder)["line"])
        once = sorted(number for number, many in numbers.items() if many == 1)
        if once:
            self.write(folder, self.note(corrects=self.random.choice(once)))

    def void(self, folder: Path, _: Path) -> None:
        """Take a line out."""
        self.write(folder, {"date": self.day, "kind": "void", "corrects": " ".join(self.note_of(folder))})

    def phone(self, folder: Path, other: Path) -> None:
        """A phone's file read by one, sometimes by both, sometimes twice."""
        random = self.random
        notes = [self.note(id=ledger.derived_id("phone", self.count)) for _ in range(random.randint(1, 4))]
        self.write(folder, *notes, once=True)
        if random.random() < 0.4:
            self.write(random.choice((folder, other)), *notes, once=True)

    def join(self, folder: Path, other: Path) -> None:
        """Join the other's ledger."""
        join(folder, other)

    def stick(self, folder: Path, _: Path) -> None:
        """Copy the ledger, at times with its seal."""
        to = self.home / f"stick{len(self.sticks)}"
        to.mkdir()
        for name in ("ledger.csv", "ledger.seal")[: self.random.randint(1, 2)]:
            if (folder / name).exists():
                (to / name).write_bytes((folder / name).read_bytes())
        self.sticks.append(to)

    def join_the_stick(self, folder: Path, _: Path) -> None:
        """Join one of the copies that were made."""
        if self.sticks:
            join(folder, self.random.choice(self.sticks))

    def table(self, folder: Path) -> list[list[str]]:
        """The rows of the file as a spreadsheet shows them."""
        text = self.text(folder).lstrip("\ufeff")
        sep = max(",;\t", key=text.split("\n", 1)[0].count)
        return [row for row in csv.reader(io.StringIO(text), delimiter=sep) if row]

    def save(self, folder: Path, _: Path, rows: list[list[str]] | None = None) -> None:
        """Save the file as a spreadsheet does: other separators, days turned round, all in quotes, a mark before it."""
        random = self.random
        rows = self.table(folder) if rows is None else rows
        turned = random.random() < 0.4
        out = io.StringIO()
        end, quotes = random.choice(("\r\n", "\n")), random.choice((csv.QUOTE_ALL, csv.QUOTE_MINIMAL))
        sheet = csv.writer(out, delimiter=random.choice(",;\t"), lineterminator=end, quoting=quotes)
        sheet.writerows([_turned(cell) if turned else cell for cell in row] for row in rows)
        data = out.getvalue().encode(random.choice(("utf-8", "utf-8-sig")))
        (folder / "ledger.csv").write_bytes(data)

    def change(self, folder: Path, _: Path) -> None:
        """Change the amount of a line that was written (a row that woodlot has not seen yet has no other name than what
        it says).
        """
        rows = self.table(folder)
        at, check = rows[0].index("amount"), rows[0].index("check")
        name = rows[0].index("id") if "id" in rows[0] else 0
        many = Counter(row[name] for row in rows)
        some = [row for row in rows[1:] if row[check] and row[at] and many[row[name]] == 1]
        if some:
            self.random.choice(some)[at] = str(self.random.randint(50, 90))
            self.save(folder, folder, rows)

    def type(self, folder: Path, _: Path) -> None:
        """Type a line at the end, without id and check."""
        rows = self.table(folder)
        self.count += 1
        told = {"line": str(ledger.next_line(self.text(folder))), "date": self.day.isoformat(), "kind": "firewood"}
        told |= {"amount": "2", "unit": "cord", "text": f"load {self.count}"}
        self.save(folder, folder, [*rows, [told.get(name, "") for name in rows[0]]])

    def copy_a_row(self, folder: Path, _: Path) -> None:
        """Copy a row with its id, and change what it says."""
        rows = self.table(folder)
        if "id" not in rows[0]:
            return
        self.count += 1
        row = list(self.random.choice(rows[1:]))
        row[rows[0].index("text")], row[rows[0].index("corrects")] = f"load {self.count}", ""
        row[0] = str(ledger.next_line(self.text(folder)))
        self.save(folder, folder, [*rows, row])

    def delete(self, folder: Path, other: Path) -> None:
        """Delete a row that was written and that the other still has; the seal must name it."""
        rows = self.table(folder)
        theirs = self.lines(other)
        both = set(theirs["id"]) & set(self.lines(folder)["id"])
        here = [at for at, row in enumerate(rows) if at and "id" in rows[0] and row[rows[0].index("id")] in both]
        replaced = {name for names in self.lines(folder)["corrects"] for name in names.split()}
        many = Counter(row[rows[0].index("id")] for row in rows) if here else Counter[str]()
        here = [at for at in here if (name := rows[at][rows[0].index("id")]) not in replaced and many[name] == 1]
        if not here:
            return
        gone = rows.pop(self.random.choice(here))
        self.save(folder, folder, rows)
        notes = read_ledger(folder)[1]
        self.unseen += not any(gone[rows[0].index("id")][:4] in one for one in notes)
        join(folder, other)

    def sort(self, folder: Path, _: Path) -> None:
        """Sort the rows by another column."""
        first, *rows = self.table(folder)
        by = self.random.choice(("date", "amount", "text", "check"))
        rows.sort(key=lambda row: row[first.index(by)], reverse=self.random.random() < 0.5)
        self.save(folder, folder, [first, *rows])

    def end(self) -> dict[str, int]:
        """Join both ways and all copies; what differs, is lost, stands twice, or changes when joined again."""
        ann, ben = self.folders
        for folder, other in ((ann, ben), (ben, ann), *((ann, one) for one in self.sticks), (ben, ann), (ann, ben)):
            join(folder, other)
        before = [(one / "ledger.csv").read_bytes() for one in self.folders]
        again = [join(ann, ben), join(ben, ann)]
        moved = sum((one / "ledger.csv").read_bytes() != was for one, was in zip(self.folders, before, strict=True))
        lines = [self.lines(one) for one in self.folders]
        said = [{tuple(row) for row in one.drop(columns="line").to_numpy().tolist()} for one in lines]
        stands = [ledger.standing(read_ledger(one)[0]) for one in self.folders]
        totals = [ledger.totals(read_ledger(one)[0]).to_csv(index=False) for one in self.folders]
        there = {*lines[0]["id"], *" ".join(lines[0]["corrects"]).split()}
        twice = Counter(stands[0]["text"].dropna())
        return {
            "lines": len(lines[0]),
            "different": len(said[0] ^ said[1])
            + (totals[0] != totals[1])
            + (set(stands[0]["id"]) != set(stands[1]["id"])),
            "lost": len(self.ever - there),
            "doubled": sum(many - 1 for many in twice.values()) + int(lines[0]["id"].duplicated().sum()),
            "moved": moved + sum(one.came for one in again),
            "unseen": self.unseen,
        }


def _turned(cell: str) -> str:
    if len(cell) == 10 and cell[4] == cell[7] == "-":
        return f"{int(cell[5:7])}/{int(cell[8:])}/{cell[:4]}"
    return cell


def old_ledger(random: Random) -> str:
    """A ledger of fifteen lines from before ids, some of them set right by number, one twice."""
    out = io.StringIO()
    sheet = csv.writer(out, lineterminator="\n")
    sheet.writerow(OLD_HEADING)
    for number in range(1, 16):
        corrects = {6: "2", 9: "2", 12: "6"}.get(number, "")
        amount = str(random.randint(1, 9))
        cells = [str(number), f"2024-0{1 + number % 9}-11", "", "6", "firewood", "", amount, "cord", "Aili"]
        cells += [f"old {number}", "", "", corrects]
        sheet.writerow([*cells, ledger.checksum(cells)])
    return out.getvalue()


def played(home: Path, seed: int, steps: int = STEPS) -> dict[str, int]:
    """What came of one year."""
    year = Year(home, seed)
    for _ in range(steps):
        year.step()
    return year.end()


def main() -> None:
    """Play as many years as are asked for."""
    many, first = (int(one) for one in (*sys.argv[1:], "200", "0")[:2])
    total: Counter[str] = Counter()
    for seed in range(first, first + many):
        with tempfile.TemporaryDirectory() as folder:
            told = played(Path(folder), seed)
        total.update(told)
        if any(value for name, value in told.items() if name != "lines"):
            print(f"year {seed}: {told}")
    print(f"{many} years: {dict(total)}")


if __name__ == "__main__":
    main()
