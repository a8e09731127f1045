"""A small draw of tests/trials/woodpile_teaches.py: ranges that a woodpile taught hold the truth."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
import woodpile_teaches as trial


def test_what_two_jobs_taught_holds_nine_times_in_ten():
    """300 families with two jobs of ten trees: 90 wanted, less the lessons not believed."""
    of = trial.families(2, 10, 0.0, 300, 2)
    assert 84 <= of.table <= 96 and 82 <= of.stacked <= 96
    assert of.table_width < 15 and of.stacked_width < 12 and of.not_believed < 9


def test_wood_left_in_the_woods_unsaid_misleads():
    """A tenth left in the woods: fewer hold, as the page says, and the table suffers less than the stacked cords."""
    whole, short = (trial.families(2, 10, left, 300, 2) for left in (0.0, 0.1))
    assert short.table < whole.table and short.stacked < short.table < 90
