"""Prism and eye: a prism's factor by a target, what a check with the tape says, and what it is worth."""

from math import exp, log, sqrt

import numpy as np
import pandas as pd
import pytest

from woodlot.stand.eye import checked, learned, prism_factor, same_factor
from woodlot.stand.plots import limiting_distance_ft_prism


def points(tallied, found):
    """Points that were checked."""
    return pd.DataFrame({"tallied": tallied, "found": found}, dtype=float)


def test_a_prism_by_hand():
    """1 ft at 32.4 ft: 10,890/1049.76 = 10.3738; at 33 ft 10.0; a target of 2 ft at 64.8 ft is the same."""
    assert prism_factor(1, 32.4) == pytest.approx(10.3738, abs=5e-5)
    assert prism_factor([1.0, 2.0, 1.0], [33.0, 64.8, 23.3345]) == pytest.approx([10.0, 10.3738, 20.0], abs=5e-4)


def test_a_prism_as_the_handbooks_have_it():
    """A foot at about 33 feet is a factor of about 10, by 10,890 (W/D)^2 and by 43,560/(1 + 4 (D/W)^2).

    Southern Regional Extension Forestry, A Forestry Handbook, "Use of Wedge Prism", which also has 2.75 ft an inch of
    tree for factor 10.
    """
    assert prism_factor(1, 33) == pytest.approx(10.0, abs=0.005)
    assert prism_factor(1, 33) == pytest.approx(43560 / (1 + 4 * 33**2), rel=3e-4)
    assert float(limiting_distance_ft_prism(10.0, prism_factor(1, 33))) == pytest.approx(27.5, abs=0.005)


def test_a_tree_that_is_just_in_is_its_own_target():
    """A trunk of d inches whose center is its limiting distance off: the factor comes back."""
    far = float(limiting_distance_ft_prism(14.0, 20.0))
    assert prism_factor(14.0 / 12.0, far) == pytest.approx(20.0)


def test_a_check_by_hand():
    """T 9 11 7 8, C 10 11 8 8: R 37/35 = 1.05714; SE^2 = 4/3 x (.4857^2 + .6286^2 + .6^2 + .4571^2)/35^2; SE/R .034187.

    On logarithms .0024969 of any eye beside .0011681: gain .68128, x 1.03858, .02822 left.
    """
    told = learned(points([9, 11, 7, 8], [10, 11, 8, 8]), 0.05)
    off = sum((c - 37 / 35 * t) ** 2 for t, c in ((9, 10), (11, 11), (7, 8), (8, 8)))
    assert told.ratio == pytest.approx(1.05714, abs=5e-6)
    assert told.ratio_cv == pytest.approx(sqrt(4 / 3 * off) / 35 / (37 / 35)) == pytest.approx(0.034187, abs=5e-7)
    known, news = log(1 + 0.05**2), log(1 + told.ratio_cv**2)
    assert told.times == pytest.approx(exp(known / (known + news) * log(37 / 35)))
    assert told.times == pytest.approx(1.03858, abs=6e-6) and told.cv == pytest.approx(0.02822, abs=5e-6)
    assert (told.points, told.tallied, told.found) == (4, 35, 37)


def test_points_that_all_agree_leave_one_tree_in_doubt():
    """20 trees of 20: R 1, but SE 1/20, as large as what is thought of any eye: half of that variance is left."""
    told = learned(points([9, 11], [9, 11]), 0.05)
    assert (told.ratio, told.times) == (1.0, 1.0)
    assert told.ratio_cv == 0.05 and told.cv == pytest.approx(0.05 / sqrt(2), rel=1e-3)
    many = learned(points([10] * 20, [10] * 20), 0.05)
    assert many.cv == pytest.approx(0.005, rel=0.01)


@pytest.mark.parametrize(("tallied", "found"), [([], []), ([9], [10]), ([0, 0], [1, 2]), ([3, 2], [0, 0])])
def test_what_says_nothing(tallied, found):
    """One point has no spread; without trees there is no ratio."""
    assert learned(points(tallied, found), 0.05) is None


def test_a_check_covers_an_eye_that_is_off():
    """2,000 eyes of CV .05, 5 points of 9 trees, each misjudged by chance: what is left holds 90 % of them."""
    rng = np.random.default_rng(5)
    held = []
    for true in np.exp(rng.normal(0.0, 0.05, 2000)):
        tallied = np.rint(rng.uniform(5, 13, 5))
        found = np.rint(tallied * true + rng.normal(0.0, 0.6, 5)).clip(min=0)
        one = learned(points(tallied, found), 0.05)
        held.append(abs(log(true / one.times)) <= 1.645 * one.cv)
    assert 0.86 <= np.mean(held) <= 0.97


def test_trees_of_a_check_are_counted_once_whoever_they_are():
    """Rows by their count, dead ones too, counted twice at an edge once; those in without a row; none where none is."""
    visited = pd.DataFrame(
        {"plot_id": ["a", "b", "c", "d"], "checked_count": [9, None, 0, 7], "live_in": [None, None, None, 6]}
    )
    rows = [("a", 5, True, False), ("a", 2, True, True), ("a", 1, False, False), ("b", 4, True, False)]
    rows += [("d", 1, True, True), ("d", 1, False, False)]
    tallied = pd.DataFrame(rows, columns=["plot_id", "count", "alive", "count_twice"])
    told = checked(visited, tallied)
    assert told["found"].to_dict() == {"a": 9.0, "c": 0.0, "d": 7.0}
    assert told["tallied"].to_dict() == {"a": 8.0, "c": 0.0, "d": 6.0}  # d: 2 rows, and 6 in less the 2 of its row
    assert checked(visited.drop(columns="checked_count"), tallied).empty


def test_factors_of_metric_prisms_are_known_again():
    """2 m2/ha is 8.712 sq ft an acre, written 8.71; 10 is not 9."""
    assert same_factor([8.7121, 10.0, 9.0], 8.71).tolist() == [True, False, False]
