"""Numbers are set the same way on map and paper."""

import pytest

from woodlot.estimate import Number
from woodlot.map import map_words

J = "\u2060"


def test_a_range_never_parts_and_says_its_odds():
    """17 to 28 at 90% is one unbreakable piece; nine times in ten stands after it."""
    e = Number(22.4, 17.2, 28.4, "cords", "interval", 0.9)
    assert map_words.range_only(e) == f"17{J}–{J}28"
    assert map_words.range_words(e) == f"17{J}–{J}28, nine times in ten"
    assert map_words.range_level(e) == f"17{J}–{J}28, 90%"


def test_assumptions_carry_no_odds():
    """A range of assumptions says so and names no level."""
    e = Number(7, 3, 15, "deer", "assumptions", 0.9)
    assert map_words.range_words(e).endswith("from assumptions")
    assert "90" not in map_words.range_level(e)


def test_no_range_says_why():
    """Without a range the reason stands in its place."""
    assert map_words.range_words(Number(11, why="one plot")) == "one plot"
    assert map_words.range_only(Number(11)) == ""


@pytest.mark.parametrize(
    ("level", "said"), [(0.9, "nine times in ten"), (0.95, "19 times in 20"), (0.85, "85 times in 100")]
)
def test_odds_in_words(level, said):
    """Usual levels have words; others are counted in a hundred."""
    assert map_words.odds(level) == said


def test_missing_numbers_are_not_zero():
    """None and NaN give a dash; a true nought gives 0."""
    assert map_words.figures(None) == "–" == map_words.amount(float("nan"))
    assert map_words.figures(0.0) == "0"


def test_dates_are_said_and_odd_ones_kept():
    """ISO becomes 9 Oct 2026; anything else stays as it came."""
    assert map_words.day("2026-10-09").replace("\u00a0", " ") == "9 Oct 2026"
    assert map_words.long_day("2026-11-25T10:00").replace("\u00a0", " ") == "25 November 2026"
    assert map_words.day("last fall") == "last fall"
