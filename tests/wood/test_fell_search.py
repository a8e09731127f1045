"""The search for trees to fell, its small parts by hand: bounds, what is wood in them, and pieces counted again."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.say import tables
from woodlot.wood import fell_check, fell_search


@pytest.mark.parametrize(("worth", "least"), [(2.0, 18.0), (3.0, 28.0), (4.0, 28.0)])
def test_no_plan_costs_less_than_the_bound_by_hand(worth, least):
    """Ten wanted at a price of 3 when missing; trees cost 3 and 4, their best ways are worth 5 and 1.

    At a worth of 2: 20 less the 2 that the first tree wins. A worth over the price counts as the price: 30 - 2.
    """
    told = SimpleNamespace(cost=np.array([3.0, 4.0]), penalty=np.array([3.0]), need=np.array([10.0]))
    assert fell_search.least_cost(told, np.array([worth]), np.array([5.0, 1.0])) == pytest.approx(least)


@pytest.mark.parametrize(("gives", "part"), [([3.0, 4.0], 0.7), ([10.0, 4.0], 1.0), ([0.0, 0.0], 1e-3)])
def test_what_cannot_be_had_is_no_wood_of_the_bound_by_hand(gives, part):
    """Ten wanted at 2 each, a bound of 20: with seven there, 6 of the 20 are the price of three missing."""
    told = SimpleNamespace(penalty=np.array([2.0]), need=np.array([10.0]))
    assert fell_search._wood_part(told, np.array([gives]), 20.0) == pytest.approx(part)


@pytest.mark.parametrize(
    ("from_ft", "to_ft", "stands"),
    [
        ([1.0, 9.0, 1.0], [9.0, 21.0, 9.0], True),
        ([1.0, 9.0, 1.0], [9.0, 22.0, 9.0], False),
        ([1.0, 8.0, 1.0], [9.0, 17.0, 9.0], False),
    ],
)
def test_one_piece_over_another_or_above_the_stem_undoes_all(from_ft, to_ft, stands):
    """Two stems of wood from 1 to 21 ft, two pieces of the first and one of the second."""
    none = np.zeros(2)
    stems = SimpleNamespace(
        trees=pd.DataFrame({"species": ["red pine"] * 2}), start_ft=1.0, step_ft=1.0, last=np.array([20, 20])
    )
    told = SimpleNamespace(
        lines=[SimpleNamespace(lengths_ft=())], stems=stems, limbs_cuft=none, brush_cuyd=none, burns=np.ones((1, 2)),
        chips=np.zeros(1), chips_cuyd_per_cuft=0.1, solid=79.0,
    )  # fmt: skip
    made = pd.DataFrame({"stem": [0, 0, 1], "from_ft": from_ft, "to_ft": to_ft})
    plan = [SimpleNamespace(tree=tree, to_chips=False) for tree in (0, 1)]
    got = fell_check.count_again(told, plan, made, np.array([79.0, 158.0]), region=shipped("base"))
    assert got.tolist() == ([3.0] if stands else [-1.0])


def test_parts_of_a_tree_that_weigh_nothing_have_no_row():
    """No limbs, no row of limbs."""
    assert [
        row["part"]
        for row in tables._parts({"parts": [{"part": "stem", "dry_lb": 2.0}, {"part": "limbs", "dry_lb": 0.0}]})
    ] == ["stem"]
