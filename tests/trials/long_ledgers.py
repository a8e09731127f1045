"""A ledger of many lines over many years, as woodlot writes it: notes of all common kinds, some set right, some void.

Seeded: the same lines each time. Run it to see what the verbs cost on it:

    python3 tests/trials/long_ledgers.py FOLDER [LINES]    # a copy of Otter Lake with such a ledger
"""

import argparse
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

from woodlot import ledger
from woodlot.place import start

__all__ = ["lines", "place_with", "text"]

#: Kind, unit, the largest amount, and how often it is noted among a hundred.
KINDS = (
    ("firewood", "cord", 4, 22),
    ("hauled", "cord", 4, 12),
    ("split", "cord", 4, 10),
    ("stack", "cord", 4, 10),
    ("burned", "cord", 4, 12),
    ("measured stack", "cord", 6, 2),
    ("sawlog", "bdft_scribner", 300, 3),
    ("post", "piece", 12, 2),
    ("deer", "deer", 1, 6),
    ("work", "h", 8, 6),
    ("seen", "", 0, 15),
)
FIRST = date(1926, 1, 2)
LAST = date(2026, 11, 25)


def lines(many: int, seed: int = 1, hand: str = "") -> Iterator[list[str]]:
    """Cells of as many lines, the day of each no earlier than that of the line before; hand: whose ledger it is."""
    random = Random(f"{seed} {hand}")
    days = sorted(random.randrange((LAST - FIRST).days) for _ in range(many))
    weights = [often for *_, often in KINDS]
    ids: list[str] = []
    for number, day in enumerate(days, start=1):
        kind, unit, most, _ = random.choices(KINDS, weights)[0]
        note: dict[str, Any] = {"kind": kind, "unit": unit, "who": random.choice(("Ann", "Ben", "Aili", "Toivo"))}
        note["amount"] = random.randint(1, most * 4) / 4 if most > 1 else most or ""
        if kind == "deer":
            note["sex_age"] = random.choice(("doe", "buck", "doe fawn"))
        if random.random() < 0.4:
            note["text"] = random.choice(("by the creek", "oak, two winters dry", 'said "wet"', "-10 degrees", "rain"))
        if ids and random.random() < 0.02:
            note["corrects"] = ids[-random.randint(1, min(len(ids), 50))]
            if random.random() < 0.3:
                note = {"kind": "void", "corrects": note["corrects"]}
        done = (FIRST + timedelta(days=day)).isoformat()
        name = ledger.derived_id(hand, number)
        ids.append(name)
        cells = {"line": str(number), "id": name, "date": done, "written": done} | note
        row = [_cell(cells.get(column, "")) for column in ledger.HEADING[:-1]]
        yield [*row, ledger.checksum(row[1:])]


def _cell(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def text(many: int, seed: int = 1, hand: str = "") -> str:
    """The whole file."""
    return ledger.heading_line() + "".join(ledger.row_text(cells) for cells in lines(many, seed, hand))


def place_with(folder: Path, many: int, sample: str = "otter_lake") -> Path:
    """A copy of a sample with such a ledger, every line of it sealed."""
    start(folder, sample=sample)
    book = text(many)
    (folder / "ledger.csv").write_text(book, encoding="utf-8", newline="")
    seal = ledger.seal_text(ledger.read_book(book).cells, begin=True)
    (folder / ledger.SEAL).write_text(seal, encoding="utf-8", newline="")
    return folder


if __name__ == "__main__":
    told = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    told.add_argument("folder", type=Path)
    told.add_argument("lines", type=int, nargs="?", default=100_000)
    given = told.parse_args()
    print(place_with(given.folder, given.lines))
