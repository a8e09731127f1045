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


def test_deer_of_january_and_february_are_those_of_the_fall_before():
    """Of the ledger's days the season counts, of the bag its year; the larger of the two books, kind by kind."""
    line = {"kind": "deer", "amount": 1.0, "unit": "deer"}
    ledger = pd.DataFrame(
        [
            {**line, "date": "2026-11-20", "sex_age": "doe"},
            {**line, "date": "2027-01-03", "sex_age": "buck fawn"},
            {**line, "date": "2027-02-27", "sex_age": "buck"},
            {**line, "date": "2027-07-01", "sex_age": "doe"},
            {**line, "date": "2027-02-27", "sex_age": "doe", "kind": "seen"},
        ]
    )
    told = pd.DataFrame({"year": [2026, 2026], "sex_age": ["doe", "buck"], "number": [1.0, 2.0]})
    one = bag.Taken(bucks=1.0, does=2.0)
    assert bag.taken_by_year(None, ledger) == {2026: one, 2027: bag.Taken(bucks=0.0, does=1.0)}
    assert bag.taken_by_year(told, ledger)[2026] == bag.Taken(bucks=2.0, does=2.0)
