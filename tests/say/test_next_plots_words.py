"""Sentences on the next plots, each held whole."""

from datetime import date

import pytest

from woodlot.estimate import Number
from woodlot.say import next_plots as say

ON = date(2026, 10, 10)


def cords(value, low=None, high=None):
    """A total in cords."""
    kind = "none" if low is None else "interval"
    return Number(value=value, low=low, high=high, unit="cords", kind=kind, level=0.9, n=9)


def test_of_what_an_answer_is():
    """The total, this winter's stands, each stand, or what was asked for by name."""
    assert say.of_what("total", ["1", "2"], False) == "the total"
    assert say.of_what("total", ["7"], True) == "stand 7"
    assert say.of_what("this winter", ["3", "9"], False) == "stands 3, 9, cut this winter,"
    assert say.of_what("worst range", ["1", "2"], False) == "each stand"
    assert say.of_what("worst range", ["7"], True) == "stand 7"


def test_how_many_plots_more_and_where():
    """Most first; what it is now; one plot; a stand without any; before there is any plot."""
    told = say.lacking("the total", 0.25, 0.43, 0.1, True, {"9": 5, "3": 7}, [])
    assert told == ["12 plots more would bring the total from within 43% to within 25%: 7 in stand 3, 5 in stand 9."]
    told = say.lacking("stand 3, cut this winter,", 0.25, 0.28, 0.1, True, {"3": 1}, [])
    assert told == ["1 plot more would bring stand 3, cut this winter, from within 28% to within 25%: 1 in stand 3."]
    told = say.lacking("the total", 0.25, 0.21, 0.1, True, {"4": 3, "5": 3}, ["4", "5"])
    assert told == [
        "Stands 4, 5 have no plot yet: three in each would bring the total within 25%.",
        "The total is within 21% where there are plots.",
    ]
    told = say.lacking("the total", 0.25, None, 0.1, True, {"1": 30}, ["1"])
    assert told == [
        "30 plots more would bring the total within 25%, by a usual spread: 30 in stand 1.",
        "Stand 1 has no plot yet: three there come first.",
    ]


def test_nothing_more_is_lacking():
    """How near it is; nothing at all where there is no ground."""
    assert say.lacking("the total", 0.25, 0.18, 0.1, True, {}, []) == ["The total is within 18%."]
    assert say.lacking("the total", 0.25, None, 0.0, True, {}, []) == []


def test_where_plots_are_not_the_limit():
    """What helps in their place, and plots only until their part is as small."""
    told = say.lacking("the total", 0.15, 0.3, 0.2, False, {"2": 4}, [])
    assert told == [
        "Plots alone hardly bring the total within 15%: the volume table, and what else all plots share, may be 20% "
        "off. Measured heights and a checked eye lower that, and best of all a woodpile: trees that were tallied "
        "before they fell, and the stack they made.",
        "4 plots more would make the part of the plots as small as that: 4 in stand 2.",
    ]
    told = say.lacking("the total", 0.15, 0.22, 0.2, False, {}, [])
    assert len(told) == 2 and told[1] == "The total is within 22%."


@pytest.mark.parametrize(
    ("narrower", "words"),
    [
        (0.37, "a third narrower"),
        (0.22, "a fifth narrower"),
        (0.30, "a third narrower"),
        (0.55, "half as wide"),
        (0.06, "a tenth narrower"),
        (0.04, "hardly narrower"),
        (-0.04, "hardly narrower"),
        (-0.2, "wider, since they differ more than those before"),
    ],
)
def test_what_the_last_day_bought(narrower, words):
    """Both ranges, how much narrower, and the hours it took."""
    told = say.last_day(ON, 6, cords(5700, 4100, 7900), cords(5650, 4600, 7000), (80, 80), narrower, "about 5 hours")
    assert told == (
        f"The 6 plots of 10 Oct 2026 took the total from 4,100–7,900 to 4,600–7,000 cords: {words}, in about 5 hours."
    )


def test_what_the_last_day_added():
    """Ground that had no plot before; a first range; still none."""
    told = say.last_day(ON, 3, cords(800, 500, 1200), cords(1500, 900, 2500), (40, 60), 0.1, "about 2 hours")
    assert told == (
        "The 3 plots of 10 Oct 2026 put 20.0 acres more into the total, from 800 cords (500 to 1,200, 90%) on 40.0 "
        "acres: 1,500 cords (900 to 2,500, 90%) on 60.0 acres, in about 2 hours."
    )
    told = say.last_day(ON, 1, cords(800), cords(900, 500, 1500), (40, 40), None, "about 1 hour")
    assert told == (
        "The 1 plot of 10 Oct 2026, in about 1 hour, went into the total, which is 900 cords (500 to 1,500, 90%) now."
    )
    told = say.last_day(ON, 1, cords(0.0), cords(0.0), (40, 40), None, "about 1 hour")
    assert told.endswith("went into the total, which has no range yet.")


def test_what_is_marked_for_good_and_a_cruise_from_nothing():
    """All of them, or by name; by spread and by acres."""
    assert say.kept(["a-1", "a-2"], True, 4.47) == (
        "Mark their centers for good: the same points, measured again, tell growth 4 times as sharply as new."
    )
    assert say.kept(["a-1", "a-2"], False, 4.47).startswith("Mark the centers of a-1 and a-2 for good:")
    assert say.new_cruise(0.1, 48.5, 86, {"1": 21, "2": 12}, {"1": 26, "2": 9}) == (
        "A cruise from nothing takes 86 plots to bring the total within 10% (the spread of a plot, weighted by what "
        "each stand holds, is 48%). By spread: 21 in stand 1, 12 in stand 2. By acres alone: 26 in stand 1, 9 in stand "
        "2."
    )
    assert say.new_cruise(0.1, 48.5, None, {}, {}) == (
        "A cruise from nothing: no number of plots brings the total within 10%; the spread of a plot, weighted by what "
        "each stand holds, is 48%."
    )
