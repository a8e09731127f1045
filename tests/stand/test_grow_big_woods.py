"""Growth of real trees: 49 squares of an uncut southern Michigan forest from one census to the next, measured beside
projected. Half of these trees made the equations, so this shows that the machinery adds up, not that it travels.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot.stand import grow
from woodlot.tree.growth import equations
from woodlot.tree.species import wood_property
from woodlot.units import M2_PER_AC, basal_sqft

HERE = Path(__file__).parent.parent.parent.parent / "shared" / "reference"
SQUARE_AC = 40.0 * 40.0 / M2_PER_AC
NAMES = {
    "black red oak hybrid": "black oak",
    "red oak": "northern red oak",
    "black northern pin hybrid": "northern pin oak",
    "big tooth aspen": "bigtooth aspen",
    "hophornbeam": "eastern hophornbeam",
    "sassafras": "american elm",
    "eastern red cedar": "eastern redcedar",
    "northern white cedar": "northern white-cedar",
    "apple": "apple spp.",
    "american beech": "american beech",
}


@pytest.fixture(scope="module")
def census():
    """Trees of the squares that lie wholly inside the plot, with their square; sapling counts by basal area."""
    file = HERE / "forest_growth_bigwoods_trees.csv"
    if not file.is_file():
        pytest.skip(f"the remeasured trees are not here ({file.name}): growth is not checked against them")
    trees = pd.read_csv(file)
    square = trees["quad40_x"].astype(str) + "/" + trees["quad40_y"].astype(str)
    trees["stand_id"] = square
    whole = trees.groupby("stand_id")["interior"].transform("min") == 1
    trees = trees[whole].copy()
    trees["species"] = trees["species"].replace(NAMES)
    means = pd.read_csv(HERE / "forest_growth_bigwoods_stand.csv").set_index("basal_area_group_ft2_ac")
    return trees, means


def both(census):
    """Measured and projected components of each square, sq ft an acre a year."""
    trees, means = census
    old = trees[trees["dbh_2008_in"] >= 5.0]
    stands, species = sorted(trees["stand_id"].unique()), sorted(trees["species"].unique())
    years = trees.groupby("stand_id")["years"].mean().loc[stands].to_numpy()

    def per_yr(values, rows):
        return values.groupby(rows["stand_id"]).sum().reindex(stands).fillna(0.0).to_numpy() / SQUARE_AC / years

    was, now = basal_sqft(old["dbh_2008_in"]), basal_sqft(old["dbh_2014_in"])
    lived = old["alive_2014"] == 1
    measured = pd.DataFrame({"survivor": per_yr((now - was).where(lived, 0.0), old)}, index=stands)
    measured["mortality"] = per_yr(was.where(~lived, 0.0), old)
    start = per_yr(was, old) * years

    rows = old.assign(class_in=2.0 * np.floor((old["dbh_2008_in"] + 1.0) / 2.0), trees_per_ac=1.0 / SQUARE_AC)
    n = grow.to_array(rows, stands, species)
    group = np.where(start < 90, "0-90", np.where(start < 115, "90-115", "115-220"))
    run = grow.project(
        n,
        equations(species, fitted=True)[0],
        8,
        wood_sg=np.array([wood_property(s, "wood_sg") for s in species], dtype=float),
        saplings_per_ac=means["trees_2to5in_per_ac"].loc[group].to_numpy(),
    )

    def upto(flow):
        added = np.vstack([np.zeros(len(stands)), np.cumsum(flow, axis=0)])
        return np.array([np.interp(y, np.arange(9), added[:, k]) for k, y in enumerate(years)]) / years

    told = pd.DataFrame({k: upto(getattr(run, k)) for k in ("survivor", "mortality", "ingrowth")}, index=stands)
    return measured, told, start, group


def test_census_to_census_is_within_15_percent(census):
    """Mean over the squares: survivor growth, and survivor growth less mortality, measured beside projected."""
    measured, told, start, _ = both(census)
    assert len(measured) == 49
    for one in (measured, told):
        one["left"] = one["survivor"] - one["mortality"]
    for what in ("survivor", "left"):
        assert abs(_bias(what, measured, told)) < 0.15
    assert 100 < start.mean() < 110


def test_mortality_of_a_full_uncut_forest_is_overstated_by_less_than_half(census):
    """Known miss: the crowding rule, set so that uncut stands level off, kills 40 % more than died here in 6 years.

    With the plain class shares (no crowding) it is within 15 %: the miss is the rule's, not the table's.
    """
    measured, told, _, _ = both(census)
    assert 0.15 < _bias("mortality", measured, told) < 0.5, "the miss is gone: mend this test and the reference"
    trees = census[0]
    old = trees[trees["dbh_2008_in"] >= 5.0]
    died = (basal_sqft(old["dbh_2008_in"]) * grow.mortality_share(old["dbh_2008_in"].to_numpy())).sum()
    plain = died / SQUARE_AC / 49
    print(f"plain shares {plain:.3f} sq ft/ac/yr")
    assert abs(plain / measured["mortality"].mean() - 1.0) < 0.15


def _bias(what, measured, told):
    m, p = measured[what].mean(), told[what].mean()
    spread = np.sqrt(((told[what] - measured[what]) ** 2).mean())
    print(f"{what:9} measured {m:.3f}, projected {p:.3f} sq ft/ac/yr: {100 * (p / m - 1):+.1f} %, rms {spread:.2f}")
    return p / m - 1.0


def test_ingrowth_and_whole_change_are_within_15_percent_of_the_published_means(census):
    """The file holds no stem that was under 4.5 in, so ingrowth is held to the means of all stems of the census."""
    _, told, _, _ = both(census)
    mean = census[1].loc["all"]
    change = told["survivor"] - told["mortality"] + told["ingrowth"]
    for what, p, m in (
        ("ingrowth", told["ingrowth"].mean(), mean["ingrowth_ft2_ac_yr"]),
        ("whole change", change.mean(), mean["net_ft2_ac_yr"]),
    ):
        print(f"{what:12} measured {m:.3f}, projected {p:.3f} sq ft/ac/yr: {100 * (p / m - 1):+.1f} %")
        assert abs(p / m - 1.0) < 0.15, f"{what}: measured {m:.3f}, projected {p:.3f}"


def test_growth_changes_as_little_with_density_as_was_measured(census):
    """Survivor growth of open and of dense squares, measured 1.88, 1.83 and 2.00: each within a fifth."""
    measured, told, _, group = both(census)
    for name in ("0-90", "90-115", "115-220"):
        m, p = measured["survivor"][group == name].mean(), told["survivor"][group == name].mean()
        print(f"{name:8} survivor measured {m:.2f}, projected {p:.2f}")
        assert abs(p / m - 1.0) < 0.20
