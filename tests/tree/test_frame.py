"""The whole tree table: parts add up, methods and flags are told, heights of three kinds are never mixed."""

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.tree import volume
from woodlot.tree.frame import volumes
from woodlot.tree.inputs import column, living


def trees(**columns):
    """A tree table with one value per tree for the columns told."""
    base = {"species": "sugar maple", "dbh_in": 12.0, "height_ft": 65.0}
    size = max(len(v) for v in columns.values())
    return pd.DataFrame({k: columns.get(k, [v] * size) for k, v in {**base, **columns}.items()})


def test_parts_and_cull_by_hand():
    """Sugar maple 12 in, 65 ft, 10 percent cull, division 210, from the printed table.

    Wood 22.903 = stump 1.013 + sawlog 15.438 + topwood (21.496 - 15.438) 6.058 + tip (22.903 - 1.013 - 21.496) 0.394;
    bark 3.048; sound merchantable 0.9 x 21.496 = 19.346.
    """
    told = volumes(trees(cull_pct=[10.0]), region=shipped("base")).iloc[0]
    expected = {
        "wood_cuft": 22.903,
        "stump_cuft": 1.013,
        "sawlog_cuft": 15.438,
        "topwood_cuft": 6.058,
        "tip_cuft": 0.394,
        "bark_cuft": 3.048,
        "merch_cuft": 21.496,
        "sound_merch_cuft": 19.346,
    }
    for name, value in expected.items():
        assert told[name] == pytest.approx(value, abs=1e-3), name
    assert told["method"] == "westfall_2024" and told["level_used"] == "species and division"
    assert told["cull_judged"] and not told["beyond_range"] and not told["doubtful"] and told["height_flag"] == ""


def test_merchantable_height_alone_goes_to_beers_by_hand():
    """16 in with 40 ft to a 4-in top and no total height: 32.38 cubic feet of wood, bark 39.20 - 32.38 = 6.82.

    The total height is fitted for stump and tip; it is not 40 ft.
    """
    told = volumes(trees(dbh_in=[16.0], height_ft=[np.nan], merch_ft=[40.0]), region=shipped("base")).iloc[0]
    assert told["method"] == "beers_1964" and told["level_used"] == "composite"
    assert told["merch_cuft"] == pytest.approx(32.38, abs=5e-3)
    assert told["merch_bark_cuft"] == pytest.approx(6.82, abs=1e-2)
    assert told["height_ft"] > 60 and told["height_from"] == "regional"
    measured = volumes(trees(dbh_in=[16.0], height_ft=[told["height_ft"]]), region=shipped("base")).iloc[0]
    assert told["other_cuft"] == pytest.approx(measured["merch_cuft"], rel=1e-12)


def test_each_method_is_the_others_check():
    """With both heights measured the national equation stands and Beers is beside it, within 25 percent here."""
    told = volumes(trees(dbh_in=[16.0], height_ft=[72.0], merch_ft=[52.0]), region=shipped("base")).iloc[0]
    assert told["method"] == "westfall_2024"
    assert told["other_cuft"] == pytest.approx(volume.stem_cuft_beers_1964(16, 52, region=shipped("base")))
    assert 0.75 < told["other_cuft"] / told["merch_cuft"] < 1.25


def test_limits_of_products_by_hand():
    """4.9 in has no merchantable stem; 10.9 in no sawlog in hardwoods, 9 in one in softwoods; dead or rotten, none."""
    told = volumes(
        trees(
            species=["sugar maple", "sugar maple", "red pine", "sugar maple", "sugar maple", "sugar maple"],
            dbh_in=[4.9, 10.9, 9.0, 14.0, 14.0, 14.0],
            alive=[True, True, True, False, True, True],
            cull_pct=[0.0, 0.0, 0.0, 0.0, 67.0, 66.0],
        ),
        region=shipped("base"),
    )
    assert list(told["merch_cuft"] > 0) == [False, True, True, True, True, True]
    assert list(told["sawlog_cuft"] > 0) == [False, False, True, False, False, True]
    assert told["topwood_cuft"].iloc[3] == pytest.approx(told["merch_cuft"].iloc[3])
    assert told["sound_sawlog_cuft"].iloc[5] == pytest.approx(0.34 * told["sawlog_cuft"].iloc[5])


def test_kinds_that_nobody_saws_hold_no_sawlog():
    """An ironwood of 20 in is firewood to its top; a redcedar may be sawn."""
    told = volumes(trees(species=["ironwood", "sugar maple", "red cedar"], dbh_in=[20.0] * 3), region=shipped("base"))
    assert list(told["sawlog_cuft"] > 0) == [False, True, True]
    assert told["topwood_cuft"].iloc[0] == told["merch_cuft"].iloc[0] > 0


def test_a_cull_nobody_judged_is_said():
    """cull_pct missing: nothing is taken off and cull_judged is False."""
    told = volumes(trees(cull_pct=[np.nan, 0.0]), region=shipped("base"))
    assert list(told["cull_judged"]) == [False, True]
    assert (told["sound_wood_cuft"] == told["wood_cuft"]).all()


@pytest.mark.parametrize(
    ("columns", "key"),
    [
        ({"height_ft": [50.0], "logs_16ft": [3.5]}, "logs over total"),
        ({"height_ft": [50.0], "merch_ft": [52.0]}, "merchantable over total"),
        ({"height_ft": [65.0], "merch_ft": [30.0], "logs_16ft": [2.5]}, "logs over merchantable"),
        ({"height_ft": [65.0], "merch_ft": [40.0], "logs_16ft": [2.0]}, ""),
        ({"height_ft": [np.nan], "logs_16ft": [6.0]}, "logs over fitted"),
    ],
)
def test_heights_that_cannot_be_together_are_flagged(columns, key):
    """Log height, merchantable height and total height are three columns; a clash is told by its key."""
    assert volumes(trees(dbh_in=[16.0], **columns), region=shipped("base"))["height_flag"].tolist() == [key]


def test_trees_that_were_only_counted_pass_through():
    """A tree counted with the prism has no diameter: no volume, no method, no flag, and it stays in the table."""
    told = volumes(trees(dbh_in=[np.nan, 12.0], height_ft=[np.nan, 65.0]), region=shipped("base"))
    assert len(told) == 2 and told["wood_cuft"].isna().tolist() == [True, False]
    first = told.iloc[0]
    assert first["method"] == "" and first["level_used"] == "" and first["height_from"] == ""
    assert not first["beyond_range"] and not first["doubtful"]


def test_outside_the_published_diameters_is_flagged():
    """Scotch pine stands on group rows (1 to 146 in); balsam fir of 210 was fitted from 1 to 19 in: 22 in is beyond."""
    told = volumes(
        trees(species=["balsam fir", "balsam fir", "scotch pine"], dbh_in=[22.0, 12.0, 22.0]), region=shipped("base")
    )
    assert told["beyond_range"].tolist() == [True, False, False]


def test_the_table_given_is_not_changed_and_an_empty_one_is_fine():
    """A copy comes back with the same index and all columns; no trees give no rows."""
    given_trees = trees(dbh_in=[12.0, 14.0], height_ft=[np.nan, 60.0])
    before = given_trees.copy()
    told = volumes(given_trees, region=shipped("base"))
    pd.testing.assert_frame_equal(given_trees, before)
    assert list(told.index) == list(given_trees.index)
    empty = volumes(given_trees.iloc[:0], region=shipped("base"))
    assert len(empty) == 0 and list(empty.columns) == list(told.columns)


@pytest.mark.parametrize("division", ["210", "M210", "220", "250"])
def test_parts_add_up_and_nothing_is_counted_twice(division):
    """Stump, sawlog, topwood and tip are the stem; none is negative; sound is at most gross; order does not matter.

    2,000 drawn trees; one cell in seven of each measure is empty.
    """
    draw, size = np.random.default_rng(33), 2000
    limits = {"dbh_in": (1, 40), "height_ft": (20, 120), "merch_ft": (8, 80), "cull_pct": (0, 100)}
    columns = {
        name: np.where(draw.random(size) < 1 / 7, np.nan, draw.uniform(*ends, size)) for name, ends in limits.items()
    }
    kinds = [s for s in shipped("base").species.listed if s != "douglas-fir"]
    frame = pd.DataFrame({"species": draw.choice(kinds, size), **columns, "alive": draw.random(size) < 0.5})
    told = volumes(frame, division, region=shipped("base"))
    parts = told[["stump_cuft", "sawlog_cuft", "topwood_cuft", "tip_cuft"]]
    np.testing.assert_allclose(parts.sum(axis=1, skipna=False), told["wood_cuft"], rtol=1e-9, atol=1e-9)
    assert not (parts < -1e-9).any().any()
    np.testing.assert_allclose(told["sawlog_cuft"] + told["topwood_cuft"], told["merch_cuft"], atol=1e-9)
    for name in ("wood", "merch", "sawlog", "topwood"):
        assert not (told[f"sound_{name}_cuft"] > told[f"{name}_cuft"] + 1e-9).any()
    assert not (told["merch_bark_cuft"] > told["bark_cuft"] + 1e-9).any()
    back = volumes(frame.iloc[::-1], division, region=shipped("base")).loc[told.index]
    pd.testing.assert_frame_equal(back, told)


def test_negative_cull_and_impossible_sizes_are_clear_errors():
    """InputError before any number is made."""
    for columns, words in (
        ({"cull_pct": [120.0]}, "cull_pct"),
        ({"dbh_in": [0.0]}, "dbh_in"),
        ({"height_ft": [3.0]}, "4.5"),
    ):
        with pytest.raises(InputError, match=words):
            volumes(trees(**columns), region=shipped("base"))


def test_empty_cells_and_missing_columns_by_hand():
    """A tree of which nobody wrote alive or dead lives; an empty cell and a column that is not there are one."""
    frame = pd.DataFrame({"alive": pd.array([True, None, False], dtype="boolean"), "cull_pct": [10.0, np.nan, 0.0]})
    assert living(frame).tolist() == [True, True, False] and living(frame[["cull_pct"]]).all()
    assert column(frame, "cull_pct", 5.0).tolist() == [10.0, 5.0, 0.0]
    assert column(frame, "sweep_pct", 5.0).tolist() == [5.0] * 3 and np.isnan(column(frame, "sweep_pct")).all()
