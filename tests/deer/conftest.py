"""Printed values for the deer tests: tests/printed/deer_reference.csv, each with its place and mark."""

import csv
from pathlib import Path

import pytest

FILE = Path(__file__).parent.parent / "printed" / "deer_reference.csv"
ROWS = {row["id"]: row for row in csv.DictReader(FILE.open(encoding="utf-8"))}


@pytest.fixture
def as_printed():
    """A function (id, value) that fails unless the value rounds to what is printed, within half the last digit.

    ``last_digits`` allows more than the half where the printed value itself is known to be off.
    """

    def check(name, value, last_digits=0.5):
        row = ROWS[name]
        half = last_digits * 10.0 ** -int(row["decimals"])
        told = f"{name}: {value} against {row['printed']} ({row['source']}, {row['where']}, {row['seen']})"
        assert abs(float(value) - float(row["printed"])) <= half * (1 + 1e-6), told

    return check
