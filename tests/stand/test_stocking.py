"""Stocking measures against printed charts, worked tables and by hand."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.stand import stocking
from woodlot.units import basal_sqft

PRINTED = Path(__file__).parents[1] / "printed"
inches = st.floats(2.0, 40.0)


def printed(name):
    """Rows of printed values."""
    return pd.read_csv(PRINTED / f"{name}.csv").to_dict("records")


@pytest.mark.parametrize("row", printed("gingrich_1967"), ids=lambda r: f"{r['quantity']} {r['printed']}")
def test_upland_oak_chart_as_printed(row):
    """Readings of Gingrich's chart: 150 trees of 115 sq ft are 95 %, 200 of 90 are 80 %, the B line at 9.08 in 65."""
    if row["quantity"] == "B_line_sqft":
        told = stocking.line_basal_sqft_gingrich_1967(row["qmd_in"], region=shipped("base"))
    else:
        quadratic = stocking.quadratic_mean_diameter_in(row["basal_sqft_per_ac"], row["trees_per_ac"])
        mean = stocking.mean_diameter_in_gingrich_1967(quadratic, region=shipped("base"))
        told = stocking.stocking_pct_gingrich_1967(row["trees_per_ac"], mean, quadratic, region=shipped("base"))
    assert told == pytest.approx(row["printed"], abs=0.5)


def test_the_misprinted_coefficient_misses_the_chart():
    """With .00307 for .00317 the same readings come to 92.7 and 78.8: that restatement is not used."""
    for trees, basal, reading, wrong in ((150, 115, 95, 92.7), (200, 90, 80, 78.8)):
        q = stocking.quadratic_mean_diameter_in(basal, trees)
        d = stocking.mean_diameter_in_gingrich_1967(q, region=shipped("base"))
        misprint = stocking.stocking_pct_gingrich_1967(trees, d, q, region=shipped("base")) - trees * 0.0001 * q**2
        assert misprint == pytest.approx(wrong, abs=0.06) and abs(misprint - reading) > 0.5


@pytest.mark.parametrize("row", printed("upland_oak_lines"), ids=lambda r: f"{r['quantity']} {r['qmd_in']}")
def test_lines_of_upland_oak_as_worked_apart(row):
    """A and B lines by quadratic mean diameter, worked once outside this program from the published figures."""
    line, what = row["quantity"].split("_", 1)
    basal = stocking.line_basal_sqft_gingrich_1967(row["qmd_in"], line, region=shipped("base"))
    told = basal if what == "sqft_per_ac" else basal / (np.pi / 576 * row["qmd_in"] ** 2)
    assert told == pytest.approx(row["printed"], abs=0.051)


@pytest.mark.parametrize("row", printed("ducey_2010"), ids=lambda r: f"{r['species']} {r['quantity']}")
def test_relative_density_as_worked_apart(row):
    """Share one 10-in tree takes, most trees and most basal area an acre can hold, for 21 species."""
    gravity = shipped("base").species.wood_property(row["species"], "wood_sg")
    size = (
        10.0
        if row["quantity"] == "share_of_one_10in_tree"
        else float(row["quantity"].split("_")[-1].removesuffix("in"))
    )
    one = stocking.relative_density_ducey_2010(size, 1.0, gravity, region=shipped("base"))
    told = {"share": one, "most_trees": 1 / one, "most_sqft": np.pi / 576 * size**2 / one}
    kind = next(k for k in told if row["quantity"].startswith(k))
    assert told[kind] == pytest.approx(row["printed"], abs=0.5 * 10.0 ** -row["decimals"] * 1.001)


def test_relative_density_of_a_mixed_stand_by_hand():
    """80 bigtooth aspen of 11 in (SG .36), 40 red maple of 9 (.49), 30 red oak of 15 (.56): .525.

    Per tree (.00015 + .00218 SG) x 2.47105 x (2.54 d/25)^1.6: aspen .0009348 x 2.47105 x 1.1945 = .002759, maple
    .0012182 x 2.47105 x .8665 = .002608, oak .0013708 x 2.47105 x 1.9621 = .006646; 80, 40 and 30 times: .2207 + .1043
    + .1994 = .524.
    """
    told = stocking.relative_density_ducey_2010([11, 9, 15], [80, 40, 30], [0.36, 0.49, 0.56], region=shipped("base"))
    assert told == pytest.approx([0.2207, 0.1043, 0.1994], abs=2e-4)
    assert told.sum() == pytest.approx(0.525, abs=1e-3)


def test_quadratic_mean_by_hand():
    """One tree of 6 and one of 8 in: sqrt((36 + 64)/2) = 7.071 in; without trees there is none."""
    basal = basal_sqft(np.array([6.0, 8.0])).sum()
    assert stocking.quadratic_mean_diameter_in(basal, 2) == pytest.approx(7.0711, abs=1e-4)
    assert np.isnan(stocking.quadratic_mean_diameter_in(0.0, 0.0))


def test_a_selection_stand_by_hand():
    """70 sq ft, q 1.3, classes 6 to 22: 2.93 trees of 22 in, each smaller class 1.3 times more, 23.87 of 6 in."""
    told = stocking.structure_bdq(70, 22, 1.3)
    assert told["class_in"].tolist() == [6, 8, 10, 12, 14, 16, 18, 20, 22]
    wanted = [23.87, 18.36, 14.12, 10.86, 8.36, 6.43, 4.94, 3.80, 2.93]
    assert told["trees_per_ac"].to_numpy() == pytest.approx(wanted, abs=0.006)
    assert told["basal_sqft_per_ac"].sum() == pytest.approx(70.0)


def test_a_selection_stand_of_eighty_feet_as_worked_apart():
    """80 sq ft, q 1.3: 27.28 20.98 16.14 12.42 9.55 7.35 5.65 4.35 3.34; with SG .56 its relative density is .455."""
    told = stocking.structure_bdq(80, 22, 1.3)
    wanted = [27.28, 20.98, 16.14, 12.42, 9.55, 7.35, 5.65, 4.35, 3.34]
    assert told["trees_per_ac"].to_numpy() == pytest.approx(wanted, abs=0.006)
    density = stocking.relative_density_ducey_2010(
        told["class_in"], told["trees_per_ac"], 0.56, region=shipped("base")
    ).sum()
    assert density == pytest.approx(0.455, abs=5e-4)


@given(st.floats(20, 200), st.integers(4, 15), st.floats(1.0, 2.5), st.sampled_from([1, 2]))
def test_structures_have_their_basal_area_and_ratio(basal, steps, q, width):
    """Whatever is asked: classes sum to the basal area, neighbors stand in the ratio q."""
    told = stocking.structure_bdq(basal, 6 + steps * width, q, width)
    assert told["basal_sqft_per_ac"].sum() == pytest.approx(basal)
    trees = told["trees_per_ac"].to_numpy()
    assert trees[:-1] / trees[1:] == pytest.approx(np.full(steps, q))


def test_q_belongs_to_a_class_width():
    """Classes of 1 in with the root of q carry, two by two, nearly the trees of 2-inch classes with q."""
    two = stocking.structure_bdq(70, 22, 1.3)["trees_per_ac"].to_numpy()
    one = stocking.structure_bdq(70, 22, 1.3**0.5, 1)["trees_per_ac"].to_numpy()
    assert (one[:-1:2] / one[2::2]) == pytest.approx(two[:-1] / two[1:])


@pytest.mark.parametrize(
    "told",
    [
        {"basal_area_sqft": 0},
        {"q": -1},
        {"max_dbh_in": 5},
        {"max_dbh_in": 21},
        {"class_width_in": 0},
        {"basal_area_sqft": [70, 80]},
        {"q": "steep"},
    ],
)
def test_structures_that_cannot_be_are_refused(told):
    """No basal area, no ratio, a largest class under or between the classes, arrays, words."""
    with pytest.raises(InputError):
        stocking.structure_bdq(**({"basal_area_sqft": 70, "max_dbh_in": 22, "q": 1.3} | told))


@given(inches, st.floats(1, 1000), st.floats(0.3, 0.7))
def test_fuller_is_more(dbh, trees, gravity):
    """More or larger trees, or heavier wood, fill an acre more; twice the trees twice as much."""
    one = stocking.relative_density_ducey_2010(dbh, trees, gravity, region=shipped("base"))
    assert stocking.relative_density_ducey_2010(dbh, 2 * trees, gravity, region=shipped("base")) == pytest.approx(
        2 * one
    )
    assert stocking.relative_density_ducey_2010(dbh + 1, trees, gravity, region=shipped("base")) > one
    assert stocking.relative_density_ducey_2010(dbh, trees, gravity + 0.05, region=shipped("base")) > one


def test_numbers_come_back_as_they_went_in():
    """Floats, arrays and Series for every measure."""
    column = pd.Series([8.0, 10.0], index=["x", "y"])
    for call in (
        lambda d: stocking.stocking_pct_gingrich_1967(100, d, d, region=shipped("base")),
        lambda d: stocking.relative_density_ducey_2010(d, 100, 0.5, region=shipped("base")),
        lambda d: stocking.line_basal_sqft_gingrich_1967(d, "A", region=shipped("base")),
    ):
        assert isinstance(call(10), float) and isinstance(call([8, 10]), np.ndarray)
        assert call(column)["y"] == pytest.approx(call(10.0))


@pytest.mark.parametrize(
    "call",
    [
        lambda: stocking.stocking_pct_gingrich_1967(-1, 10, 10, region=shipped("base")),
        lambda: stocking.stocking_pct_gingrich_1967(100, 0, 10, region=shipped("base")),
        lambda: stocking.stocking_pct(100, 10, 10, "moss", region=shipped("base")),
        lambda: stocking.line_basal_sqft_gingrich_1967(10, "C", region=shipped("base")),
        lambda: stocking.relative_density_ducey_2010("big", 100, 0.5, region=shipped("base")),
    ],
)
def test_what_cannot_be_is_refused(call):
    """Negative trees, no diameter, unknown types and lines, words for numbers."""
    with pytest.raises(InputError):
        call()
