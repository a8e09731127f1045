"""What to mind in one stand: each caution only where its cause stands."""

import pandas as pd
import pytest

from woodlot.plan import cautions
from woodlot.region import shipped
from woodlot.say.reasons import said


@pytest.mark.parametrize(
    ("species", "alive", "miles", "keys"),
    [
        (["sugar maple", "red maple"], [True, True], 3.0, set()),
        (["sugar maple", "red maple"], [True, False], 3.0, {"dead_trees"}),
        (["white ash", "red maple"], [True, False], 0.0, {"dead_trees"}),
        (["white ash", "white ash", "red maple"], [False, True, True], 0.0, {"dead_ash"}),
        (["northern red oak", "red maple"], [True, True], 0.0, {"oak_wilt"}),
        (["northern red oak", "red maple"], [True, True], 3.0, {"oak_wilt", "moved_wood"}),
        (["white ash", "red maple"], [True, True], 3.0, {"moved_wood"}),
        (["white ash", "red maple"], [True, True], None, set()),
    ],
)
def test_a_caution_stands_where_one_tree_is_its_cause(species, alive, miles, keys):
    """One dead tree, one oak, one ash is enough; wood is moved only where the home is away from it."""
    trees = pd.DataFrame({"species": species, "alive": alive})
    assert keys_of(trees, False, miles) == keys
    assert keys_of(trees, True, miles) == keys | {"frozen"}


def test_strain_is_told_where_a_tree_was_thrown_by_wind():
    """One tree with the word is enough; without the column, or with other words, nothing is said of it."""
    trees = pd.DataFrame({"species": "red maple", "alive": True, "quality": ["crop", None, "sweep; windthrown"]})
    assert keys_of(trees, False, 0.0) == {"windthrown"}
    assert keys_of(trees[:2], False, 0.0) == keys_of(trees.drop(columns="quality"), False, 0.0) == set()


def keys_of(trees, frozen, miles):
    """Keys of the cautions of a stand, each there once."""
    keys = [dict(one.facts)["of"] for one in cautions.of_stand(trees, frozen, miles, shipped("base"))]
    assert len(keys) == len(set(keys))
    return set(keys)


def test_a_caution_fills_in_what_its_text_leaves_open():
    """Miles and acres to a tenth, feet whole; the words are the region's."""
    moved = cautions.caution("moved_wood", shipped("base"), miles=3.25)
    assert "counts as moved wood (3.2 miles)" in said(moved)
    assert "124 feet round the tallest dead tree here, 1.1 acres." in said(
        cautions.caution("snag", shipped("base"), radius=123.6, acres=1.102)
    )
