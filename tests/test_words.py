"""Numbers are said the same way everywhere."""

from dataclasses import replace
from datetime import date

import pytest

from woodlot.estimate import Estimate, Number
from woodlot.say import reasons, words


@pytest.mark.parametrize(
    ("value", "told"),
    [
        (7.94, "7.9"),
        (22.4, "22"),
        (217, "220"),
        (1113, "1,100"),
        (0.0834, "0.083"),
        (9.97, "10"),
        (99.6, "100"),
        (0, "0"),
    ],
)
def test_two_figures_by_hand(value, told):
    """Two figures, thousands set off, carried over when rounding adds a digit."""
    assert words.two_figures(value) == told


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        (1.0, "does", "1 doe"),
        (22.2, "cords", "22 cords"),
        (1.0, "cords", "1.0 cord"),
        (118.0, "pounds", "120 pounds"),
        (39.87, "acres", "39.9 acres"),
        (12.3, "deer a square mile", "12 deer a square mile"),
        (None, "cords", "no number yet"),
    ],
)
def test_amount_by_hand(value, unit, told):
    """The unit is spelt out and agrees with one and many."""
    assert words.amount(value, unit) == told


def test_a_range_says_its_level_or_that_it_is_of_assumptions():
    """An interval carries its level, a range of assumptions never does."""
    cords = Number(22, 17, 28, "cords", "interval", 0.9)
    assert words.answer(cords) == "22 cords (17 to 28, 90%)"
    assert words.range_words(replace(cords, kind="assumptions")) == "17 to 28, assumptions"
    assert words.range_words(Number(why="one plot")) == "one plot"
    assert (words.range_words(Number()), words.bare_range(Number())) == ("no range", "")


def test_winters_turn_in_may():
    """A day in March belongs to the winter that began the year before."""
    assert words.winter(date(2027, 3, 1)) == "2026–27"
    assert words.winter(date(2026, 11, 25)) == "2026–27"
    assert words.winter(date(1999, 12, 1)) == "1999–00"


@pytest.mark.parametrize(
    ("value", "unit", "told"),
    [
        (1.0, "cord", "1 cord"),
        (2.5, "cord", "2.5 cords"),
        (1234.5, "bdft_international_quarter", "1,234.5 board feet, International 1/4-inch rule"),
        (14, "piece", "14 pieces"),
        (3, "bundle", "3 bundle"),
        (float("nan"), "cord", ""),
        (None, "", ""),
    ],
)
def test_noted_by_hand(value, unit, told):
    """An amount of the ledger is said as it was written, in the plural where there is more than one."""
    assert words.noted(value, unit) == told


def test_a_range_of_assumptions_is_told_without_a_level():
    """Interval 0.9; assumptions none."""
    e = Estimate(10.0, "deer", 5.0, 20.0, kind="interval")
    assert reasons.plain(e).level == 0.9
    assert reasons.plain(replace(e, kind="assumptions")).level is None


@pytest.mark.parametrize(
    ("ids", "short"),
    [
        (["1", "2"], "1, 2"),
        (["3", "1", "2"], "1 to 3"),
        (["1", "2", "4"], "1, 2, 4"),
        (["7", "hill", "8"], "7, hill, 8"),
        ([str(n) for n in (*range(1, 9), 10)], "1, 2, 3, 4, 5, 6, 7, 8 and 1 more"),
        ([], ""),
    ],
)
def test_ids_that_there_are_are_said_shortly(ids, short):
    """Three and more numbers in a row by their ends, else up to eight by name."""
    assert words.id_list(ids, 8) == short


def test_lists_numbers_of_things_and_capitals_by_hand():
    """One is a plot, none and many are plots; thousands are set off; the last of a list stands behind "and"."""
    assert [words.plural(n, "plot") for n in (0, 1, 3, 1200)] == ["0 plots", "1 plot", "3 plots", "1,200 plots"]
    assert words.plural(2, "foot", "feet") == "2 feet" and words.noun(1, "foot", "feet") == "foot"
    assert [words.listed(p) for p in (["1"], ["1", "2"], ["1", "2", "3"])] == ["1", "1 and 2", "1, 2 and 3"]
    assert words.listed(["a"]) == "a" and words.listed(iter(["a", "b, c"])) == "a and b, c"
    assert words.listed(["a", "b, c", "d"]) == "a; b, c; and d" and words.listed(["a", "b", "c"]) == "a, b and c"
    assert words.one_of("posts 7 ft by 4 in top") == "post 7 ft by 4 in top" and words.one_of("poles") == "pole"
    assert words.first_of(["a", "b"], 2) == "a, b" and words.first_of(["a", "b", "c"], 1) == "a and 2 more"
    assert words.first_of(["a"] * 1002, 1) == "a and 1,001 more"
    assert (words.capital("oak, pine"), words.capital("")) == ("Oak, pine", "")
    assert (words.cut_short("white pine", 10), words.cut_short("white pines", 10)) == ("white pine", "white pin…")
