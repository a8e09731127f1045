"""The bag: which fall a day belongs to."""

import pandas as pd
import pytest

from woodlot.deer import bag


@pytest.mark.parametrize(
    ("day", "fall"),
    [("2026-09-15", 2026), ("2027-01-03", 2026), ("2027-02-27", 2026), ("2027-06-30", 2026), ("2027-07-01", 2027)],
)
def test_a_day_belongs_to_the_season_that_began_last_fall(day, fall):
    """January and February are hunted for the fall before; a column of days and one day agree."""
    assert bag.fall_of(pd.Timestamp(day)) == fall
    assert bag.fall_of(pd.Series(pd.to_datetime([day]))).tolist() == [fall]
