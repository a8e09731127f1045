"""The search for trees to fell, its small parts by hand: bounds, what is wood in them, and pieces counted again."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.say import tables
from woodlot.tree.quality import limits
from woodlot.wood import fell_check, fell_search, grades


@pytest.mark.parametrize(("worth", "least"), [(2.0, 18.0), (3.0, 28.0), (4.0, 28.0)])
def test_no_plan_costs_less_than_the_bound_by_hand(worth, least):
    """Ten wanted at a price of 3 when missing; trees cost 3 and 4, their best ways are worth 5 and 1.

    At a worth of 2: 20 less the 2 that the first tree wins. A worth over the price counts as the price: 30 - 2.
    """
    told = SimpleNamespace(
        fixed=np.array([3.0, 4.0]), penalty=np.array([3.0]), need=np.array([10.0]), whole=False
    )  # fmt: skip
    assert fell_search.least_cost(told, np.array([worth]), np.array([5.0, 1.0])) == pytest.approx(least)
    told.whole = True  # both fall: the second costs what it loses
    assert fell_search.least_cost(told, np.array([worth]), np.array([5.0, 1.0])) == pytest.approx(least + 3.0)


@pytest.mark.parametrize(
    ("from_in", "to_in", "stands"),
    [
        ([0, 100, 0], [100, 200, 100], True),
        ([0, 116, 0], [100, 216, 100], True),  # one stove length off a thick butt
        ([0, 100, 0], [100, 250, 100], False),  # above the stem
        ([0, 90, 0], [100, 190, 100], False),  # one over another
        ([0, 110, 0], [100, 210, 100], False),  # slid up
        ([5, 105, 0], [105, 205, 100], False),
    ],
)
def test_pieces_that_do_not_lie_in_a_row_undo_all(from_in, to_in, stands):
    """Two stems of 240 in from the butt cut, two pieces of the first and one of the second."""
    last = np.array([240, 240])
    stems = SimpleNamespace(start_ft=1.0, step_ft=1 / 12, last=last)
    cut = SimpleNamespace(tree=np.arange(2), first=np.zeros(2, dtype=int))
    told = SimpleNamespace(stock=SimpleNamespace(stems=stems, cut=cut), count=2)
    made = pd.DataFrame({"stem": [0, 0, 1], "from_ft": 1 + np.array(from_in) / 12, "to_ft": 1 + np.array(to_in) / 12})
    assert fell_check._lie_right(told, made, made["stem"].to_numpy(), region=shipped("base")) is stands


@pytest.mark.parametrize(
    ("top", "feet", "butt", "best", "species", "grade"),
    [
        (13.0, 10, True, 1, "red maple", 1), (13.0, 10, False, 1, "red maple", 2), (16.0, 10, False, 1, "red maple", 1),
        (12.9, 10, True, 1, "red maple", 2), (12.0, 8, True, 1, "red maple", 2), (11.0, 8, True, 1, "red maple", 3),
        (11.0, 10, False, 1, "red maple", 2), (20.0, 8, True, 1, "red maple", 2), (8.0, 8, True, 1, "red maple", 3),
        (7.9, 8, True, 1, "red maple", 4), (16.0, 16, True, 3, "red maple", 3), (16.0, 16, True, 0, "red maple", 4),
        (12.0, 10, True, 1, "white ash", 1), (12.0, 10, False, 1, "white ash", 2),
        (12.0, 10, True, 1, "american basswood", 1),
    ],
)  # fmt: skip
def test_grades_by_size_as_printed(top, feet, butt, best, species, grade):
    """Grade 1: 13 in from the butt or 16 in, 10 ft; 2: 12 in, or 11 in of 10 ft; 3: 8 in; ash and basswood butts 12 in.

    Hardwood factory grades by size, as a southern service foresters' handbook has them.
    """
    got = grades.grade_possible([top], feet, butt, best, [species], region=shipped("base"))
    assert got.tolist() == [grade]


def test_species_factors_as_printed_and_the_least_of_a_kind():
    """A kind counts as the least of what it may be; what has no row goes with its group."""
    names = [
        "black cherry",
        "black ash",
        "quaking aspen",
        "red pine",
        "maple",
        "american basswood",
        "oak",
        "red oak group",
    ]
    told = grades.species_factor(names, region=shipped("base"))
    assert told.tolist() == [1.66, 0.72, 0.28, 0.32, 0.28, 0.28, 0.69, 1.0]


def test_words_and_youth_say_what_a_tree_is_worth_standing():
    """No word 1; mature .5; dying 0; a young maple 3, but not a young ash, aspen or one of 10 in."""
    trees = pd.DataFrame(
        {
            "species": ["sugar maple"] * 4 + ["white ash", "quaking aspen", "sugar maple"],
            "dbh_in": [12.0, 12.0, 12.0, 8.0, 8.0, 8.0, 10.0],
            "quality": ["", "mature", "dying", "", "", "", ""],
        }
    )
    judged = limits(trees, region=shipped("base"))
    assert grades.standing_share(trees, judged, region=shipped("base")).tolist() == [1, 0.5, 0, 3, 1, 1, 1]


def test_parts_of_a_tree_that_weigh_nothing_have_no_row():
    """No limbs, no row of limbs."""
    assert [
        row["part"]
        for row in tables._parts({"parts": [{"part": "stem", "dry_lb": 2.0}, {"part": "limbs", "dry_lb": 0.0}]})
    ] == ["stem"]
