"""What the house wants in words: the row of the first screen, one want in a sentence."""

from datetime import date

import pandas as pd

from woodlot.region import shipped
from woodlot.say.wants import by_day, how_many, row, want
from woodlot.wood.wants import wanted

DAY, REGION = date(2026, 11, 25), shipped("base")
BOOK = pd.DataFrame(
    {"kind": ["post"], "date": [pd.Timestamp("2026-10-01")], "amount": [12.0], "unit": ["piece"], "text": [None]}
)


def told(needs, *wants, ledger=BOOK):
    """What is wanted on the day."""
    return wanted(needs, list(wants), [], ledger, DAY, REGION)


def test_the_row_sums_what_is_left_by_product():
    """Hot wood is part of the firewood; what is made is counted and not named."""
    needs = {"posts": 12, "poles": 1, "firewood_cord": 7.0, "firewood_hot_cord": 2.0}
    number, status, why = row(told(needs), DAY)
    assert (number, status) == ("1 pole and 7.0 cords of firewood", "still to make")
    assert why == "1 line of the list is made."
    assert row(told({"posts": 12}), DAY)[0] == "Nothing" and row((), DAY) is None


def test_what_is_late_is_said():
    """On the row and in the sentence; a day that is not gone by is only named."""
    late = {"product": "post", "number": 30.0, "purpose": "the lane", "by": date(2026, 11, 24)}
    wants = told({}, late)
    sentence = "30 posts for the lane, by 24 Nov 2026; 12 made, 18 left, and its day has gone by."
    assert want(wants[0], DAY) == sentence == row(wants, DAY)[2]
    assert want(told({}, late | {"by": DAY})[0], DAY) == "30 posts for the lane, by 25 Nov 2026; 12 made, 18 left."
    assert row(told({}, late | {"by": DAY}), DAY)[2] == ""


def test_firewood_is_told_with_its_heat_and_wood():
    """7 cords of red oak are 166 million Btu, in two figures 170."""
    (one,) = told({"firewood_cord": 7.0, "firewood_of": "red oak; red oak"})
    assert want(one, DAY) == "7.0 cords' worth of northern red oak = 170 million Btu, each year."


def test_numbers_and_days():
    """Each product in its own unit; once, each year, by a day that may be gone."""
    assert how_many(1.0, "post") == "1 post" and how_many(1200.0, "pole") == "1,200 poles"
    assert how_many(20.0, "chips") == "20 cubic yards of chips"
    assert how_many(1234.0, "board feet") == "1,200 board feet of sawlogs"
    assert (by_day("once", None, False), by_day("once", "2027-06-01", True)) == ("once", "by 1 Jun 2027, late")
