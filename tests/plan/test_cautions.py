"""What to mind in one stand: each caution only where its cause stands."""

import pandas as pd
import pytest

from woodlot.plan import cautions
from woodlot.region import shipped


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
    assert set(cautions.of_stand(trees, False, miles, shipped("base"))) == keys
    assert set(cautions.of_stand(trees, True, miles, shipped("base"))) == keys | {"frozen"}
