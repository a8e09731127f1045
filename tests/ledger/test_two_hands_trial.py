"""A short draw of the trial of two hands; ``tests/trials/two_hands.py`` plays two hundred years."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))
from trials.two_hands import played


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 8])
def test_two_hands_keep_one_ledger_on_disk(tmp_path, seed):
    """Through notes, phones, spreadsheets, copies and joins: nothing differs, is lost, or stands twice."""
    told = played(tmp_path, seed, steps=30)
    assert told.pop("lines") > 20 and not any(told.values()), told
