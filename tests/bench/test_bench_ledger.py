"""A ledger of a hundred thousand lines read, told and joined, against a floor measured in the same run.

Floor: the same text taken apart by the csv reader of the standard library, and a checksum of each line by zlib.
"""

import csv
import sys
import time
import zlib
from pathlib import Path

import numpy as np
import pytest

from woodlot import ledger
from woodlot.answers.house import house_of
from woodlot.place import join, own_settings, read_ledger

sys.path.insert(0, str(Path(__file__).parents[1]))
from trials.long_ledgers import LAST, text

LINES = 100_000


def floor(book: str) -> int:
    """Cells of every line, and one checksum a line."""
    rows = list(csv.reader(book.splitlines()))
    return len({zlib.crc32(chr(31).join(cells).encode()) for cells in rows})


@pytest.mark.bench
def test_a_hundred_thousand_lines_cost_a_few_floors(tmp_path, reading):
    """Median of three rounds of each, run in turn after one round untimed; the ratio is what travels."""
    mine, other = text(LINES), text(LINES, hand="Ben")
    for name, book in (("ann", mine), ("ben", other)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "place.toml").write_text('name = "Ann"\nregion = "lake_states"\n')
        (tmp_path / name / "ledger.csv").write_text(book)
        (tmp_path / name / "ledger.seal").write_text(ledger.seal_text(ledger.read_book(book).cells, begin=True))
    works = {
        "floor": lambda: floor(mine),
        "read": lambda: read_ledger(tmp_path / "ann")[0],
        "stand": lambda: ledger.standing(lines),
        "total": lambda: ledger.totals(lines),
        "wood": lambda: house_of(told.needs, stands, LAST, told.choices, region=told.region),
        "join": lambda: ledger.merge(mine, other),
    }
    told = own_settings(tmp_path / "ann")
    lines = works["read"]()
    stands = works["stand"]()
    times: dict[str, list[float]] = {name: [] for name in works}
    for round_ in range(4):
        for name, work in works.items():
            began = time.process_time()
            work()
            if round_:
                times[name].append(time.process_time() - began)
    base = float(np.median(times["floor"]))
    for name, goal in (("read", 9), ("stand", 0.5), ("total", 1), ("wood", 5), ("join", 20)):
        reading(f"a hundred thousand ledger lines: {name}", float(np.median(times[name])) / base, goal, "floors")
    told = join(tmp_path / "ann", tmp_path / "ben")
    assert told.came == LINES and told.all == 2 * LINES
