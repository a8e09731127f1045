"""A season that runs over the new year: its name, its kills and what is taken, on days of winter and spring."""

from datetime import date

import pandas as pd
import pytest

from woodlot.deer.bag import Taken, taken_by_year
from woodlot.plan.hunt import season_of
from woodlot.region import shipped


def plots(*days):
    """Pellet plots counted on these days."""
    return pd.DataFrame({"date": pd.to_datetime(list(days)), "groups": 1})


BEFORE = ("2024-04-20", "2025-04-20", "2026-04-20")


@pytest.mark.parametrize(
    ("day", "counted", "season", "taken"),
    [
        (date(2026, 11, 25), BEFORE, 2026, Taken(bucks=1.0, does=1.0)),
        (date(2027, 1, 3), BEFORE, 2026, Taken(bucks=1.0, does=2.0)),
        (date(2027, 1, 3), (), 2026, Taken(bucks=1.0, does=2.0)),
        (date(2027, 3, 20), BEFORE, 2026, Taken(bucks=1.0, does=2.0)),
        (date(2027, 4, 22), (*BEFORE, "2027-04-20"), 2027, Taken()),
        (date(2027, 5, 2), BEFORE, 2027, Taken()),
        (date(2027, 5, 2), (*BEFORE, "2027-04-20"), 2027, Taken()),
    ],
)
def test_the_season_and_what_is_taken_in_it(day, counted, season, taken):
    """A buck and a doe in November, a fawn on 3 January: of one season until spring counts or May begin the next."""
    line = {"kind": "deer", "amount": 1.0, "unit": "deer"}
    kills = [("2025-11-20", "doe"), ("2026-11-10", "buck"), ("2026-11-20", "doe"), ("2027-01-03", "doe fawn")]
    lines = [line | {"date": pd.Timestamp(on), "sex_age": who} for on, who in kills if on <= day.isoformat()]
    now = season_of(day, plots(*counted))
    told = taken_by_year(None, pd.DataFrame(lines), shipped("base"))
    assert (now, told.get(now, Taken())) == (season, taken)
    bag = pd.DataFrame({"year": [2026], "sex_age": ["doe"], "number": [2], "date": [pd.Timestamp("2027-01-03")]})
    both = taken_by_year(bag, pd.DataFrame(lines), shipped("base"))
    assert both[2026].does == 2.0 and both[2025] == Taken(does=1.0), "the book of the bag holds the same deer"
