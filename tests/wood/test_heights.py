"""Heights measured: the error they leave, and whose are wanted still."""

import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.wood import heights

BASE = shipped("base")


def stand(name, cover, *kinds):
    """Trees of a stand: kind, how many, of them measured for height."""
    rows = [(name, cover, kind, k < with_height) for kind, many, with_height in kinds for k in range(many)]
    out = pd.DataFrame(rows, columns=["stand_id", "cover", "species", "has"])
    out["height_from"] = out["has"].map({True: "measured", False: "fitted"})
    return out.assign(alive=True, basal_sqft_per_ac=10.0, method="westfall_2024")


def test_error_by_heights_as_printed():
    """None .149, 3 .115, 5 .110, 10 .105, 25 .102; what is worth .4 of a height tells nothing."""
    told = heights.table_cv([0, 3, 5, 10, 25, 0.4], region=BASE)
    assert told == pytest.approx([0.149, 0.115, 0.110, 0.105, 0.102, 0.149], abs=5e-4)


def test_a_covers_heights_tell_as_much_as_fewer_of_the_stand():
    """25 of a cover do what 10 of a stand do; a stand's own count for themselves where they are more."""
    trees = pd.concat([stand("a", "oak", ("oak", 25, 25)), stand("b", "oak", ("oak", 4, 0))])
    told = heights.behind(trees, region=BASE)
    assert told.loc["b"].tolist() == [0.0, 25.0, 10.0] and told.loc["a"].tolist() == [25.0, 25.0, 25.0]


def test_heights_wanted_are_of_kinds_that_hold_a_tenth():
    """Oak 6 of 20 with 1 height: 2 more; maple 12 with none: 3, first; ash 2 is a tenth and no more: none of it.

    Ten in the stand less the one there are 9 open; 5 are told by kind, 4 are of any kind.
    """
    told = heights.wanted(stand("a", "hills", ("oak", 6, 1), ("maple", 12, 0), ("ash", 2, 0)), region=BASE)
    rows = told[["species", "has", "more"]].to_numpy().tolist()
    assert rows == [["maple", 0, 3], ["oak", 1, 2], ["", 0, 4]]


def test_a_full_stand_and_a_full_cover_want_none():
    """Ten in the stand, or 25 in the cover; with nine one is open, and the first kind has it."""
    assert not len(heights.wanted(stand("a", "hills", ("oak", 10, 10), ("maple", 10, 0)), region=BASE))
    nine = heights.wanted(stand("a", "hills", ("oak", 10, 9), ("maple", 10, 0)), region=BASE)
    assert nine[["species", "more"]].to_numpy().tolist() == [["maple", 1]]
    both = pd.concat([stand("a", "oak", ("oak", 25, 25)), stand("b", "oak", ("oak", 4, 0))])
    assert not len(heights.wanted(both, region=BASE))


def test_dead_trees_tell_no_heights():
    """A standing dead tree with a height is none of a stand's heights."""
    trees = stand("a", "hills", ("oak", 4, 4)).assign(alive=[True, False, False, False])
    assert heights.behind(trees, region=BASE).loc["a", "here"] == 1.0
