"""Growth of real trees: 49 squares of an uncut southern Michigan forest from one census to the next, measured beside
projected. Half of these trees made the equations, so this shows that the machinery adds up, not that it travels.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.stand import grow
from woodlot.stand.ageing import size_deaths, usual_largest_in
from woodlot.stand.grow_year import mortality_share
from woodlot.stand.stocking import relative_density_ducey_2010
from woodlot.tree.growth import equations, growth_default
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
    trees["sg"] = trees["species"].map(
        {s: float(shipped("base").species.wood_property(s, "wood_sg")) for s in trees["species"].unique()}
    )
    means = pd.read_csv(HERE / "forest_growth_bigwoods_stand.csv").set_index("basal_area_group_ft2_ac")
    return trees, means


@dataclass(frozen=True)
class Told:
    """Measured and projected parts of each square [sq ft/ac/yr], and what they rest on."""

    old: pd.DataFrame
    stands: list[str]
    measured: pd.DataFrame
    projected: pd.DataFrame
    start: np.ndarray
    group: np.ndarray


def per_square(values, old, stands):
    """Sum by square, in the order of ``stands``, per acre."""
    return values.groupby(old["stand_id"]).sum().reindex(stands).fillna(0.0).to_numpy() / SQUARE_AC


def density_of(dbh_in, trees, stands):
    """Relative density of each square, of live trees of 5 in and more."""
    one = relative_density_ducey_2010(6.0, 1.0, trees["sg"].to_numpy(), region=shipped("base")) * (dbh_in / 6.0) ** 1.6
    return per_square(pd.Series(one, index=trees.index), trees, stands)


def both(census, as_measured=True):
    """Measured and projected, counted in one way: a dead tree at the size it had in the first census, survivor growth
    of trees that lived to the second. Deaths and survivor growth are of trees of the first census, so that run has no
    ingrowth; ingrowth and the whole change are those of a second run that has.
    """
    trees, means = census
    old = trees[trees["dbh_2008_in"] >= 5.0]
    stands, species = sorted(trees["stand_id"].unique()), sorted(trees["species"].unique())
    years = trees.groupby("stand_id")["years"].mean().loc[stands].to_numpy()
    was, now = basal_sqft(old["dbh_2008_in"]), basal_sqft(old["dbh_2014_in"])
    lived = old["alive_2014"] == 1
    measured = pd.DataFrame({"survivor": per_square((now - was).where(lived, 0.0), old, stands) / years}, index=stands)
    measured["mortality"] = per_square(was.where(~lived, 0.0), old, stands) / years
    start = per_square(was, old, stands)
    rows = old.assign(class_in=2.0 * np.floor((old["dbh_2008_in"] + 1.0) / 2.0), trees_per_ac=1.0 / SQUARE_AC)
    n = grow.to_array(rows, stands, species, region=shipped("base"))
    group = np.where(start < 90, "0-90", np.where(start < 115, "90-115", "115-220"))
    sg = np.array([shipped("base").species.wood_property(s, "wood_sg") for s in species], dtype=float)
    figures = equations(species, fitted=True, region=shipped("base"))[0]
    saplings = means["trees_2to5in_per_ac"].loc[group].to_numpy()
    largest = usual_largest_in(species, region=shipped("base"))
    run = grow.project(
        n,
        figures,
        8,
        wood_sg=sg,
        saplings_per_ac=saplings,
        largest_in=largest,
        as_measured=as_measured,
        region=shipped("base"),
    )
    # Each species and class of the first census as a species of its own, worth its first basal area all along.
    of, at = np.nonzero(n.sum(axis=2))
    first = np.zeros((len(of), *n.shape[1:]))
    first[np.arange(len(of)), at] = n[of, at]
    size = np.repeat(basal_sqft(grow.classes(region=shipped("base")))[at][:, None], n.shape[1], axis=1)
    alone = grow.project(
        first,
        figures[of],
        8,
        wood_sg=sg[of],
        saplings_per_ac=np.zeros(len(stands)),
        largest_in=largest[of],
        worth={"first": size},
        as_measured=as_measured,
        region=shipped("base"),
    )
    left = alone.worth["first"]

    def at_census(gone):
        return np.array([np.interp(y, np.arange(9), gone[:, k]) for k, y in enumerate(years)]) / years

    whole = grow.project(
        n,
        figures,
        8,
        wood_sg=sg,
        saplings_per_ac=np.zeros(len(stands)),
        largest_in=largest,
        as_measured=as_measured,
        region=shipped("base"),
    )
    told = pd.DataFrame({"mortality": at_census(left[0] - left)}, stands)
    # A class by itself is a spike, on which the flux lags: what the living gained is read off the whole table.
    told["survivor"] = at_census(whole.basal - whole.basal[0]) + told["mortality"]
    told["ingrowth"] = at_census(np.vstack([np.zeros(len(stands)), np.cumsum(run.ingrowth, axis=0)]))
    told["change"] = at_census(run.basal - run.basal[0])
    return Told(old, stands, measured, told, start, group)


def test_census_to_census_is_within_15_percent(census):
    """Mean over the squares, measured beside projected: survivor growth, deaths, and what is left of both."""
    told = both(census)
    assert len(told.stands) == 49
    for one in (told.measured, told.projected):
        one["left"] = one["survivor"] - one["mortality"]
    for what in ("survivor", "mortality", "left"):
        assert abs(_bias(what, told.measured, told.projected)) < 0.15
    assert 100 < told.start.mean() < 110


def test_deaths_by_size_on_top_of_measured_shares_would_be_far_too_many(census):
    """Why they begin at 1.2 of the usual largest here: on the shares in full, deaths come out over a third too many."""
    trees, _ = census
    old = trees[trees["dbh_2008_in"] >= 5.0]
    largest = usual_largest_in(old["species"].tolist(), region=shipped("base"))
    more = size_deaths(old["dbh_2008_in"].to_numpy(), largest, region=shipped("base")) * old["years"]
    dead = (basal_sqft(old["dbh_2008_in"]) * (1 - old["alive_2014"])).sum()
    assert (basal_sqft(old["dbh_2008_in"]) * more).sum() / dead > 0.34


def test_deaths_on_top_of_measured_crowding_would_be_a_quarter_too_many(census):
    """Why the class shares are divided by 1.21 here: with the multiplier on top of them, as in stands of other kinds,
    deaths come out over 25 % high. Squares drawn anew: the measured mean itself is good to a sixth (108 dead trees).
    """
    told = both(census, as_measured=False)
    assert _bias("mortality", told.measured, told.projected) > 0.25
    dead = told.measured["mortality"].to_numpy()
    drawn = np.random.default_rng(5).integers(0, len(dead), (2000, len(dead)))
    spread = dead[drawn].mean(axis=1).std() / dead.mean()
    print(f"measured mortality {dead.mean():.3f}, standard deviation over drawn squares {100 * spread:.0f} %")
    assert 0.10 < spread < 0.25


def test_crowding_where_the_shares_were_measured_follows_from_stocking_alone(census):
    """1.21 is the multiplier of each square, halfway through its years on average, weighted by expected deaths."""
    trees, _ = census
    stands = sorted(trees["stand_id"].unique())
    old = trees[trees["dbh_2008_in"] >= 5.0]
    new = trees[(trees["alive_2014"] == 1) & (trees["dbh_2014_in"] >= 5.0)]
    begun, ended = density_of(old["dbh_2008_in"], old, stands), density_of(new["dbh_2014_in"], new, stands)
    steps = begun + (ended - begun) * np.linspace(0.0, 1.0, 51)[:, None]
    crowding = pd.Series((1.0 + 5.0 * np.maximum(steps - 0.6, 0.0)).mean(axis=0), index=stands)
    weight = old["years"] * mortality_share(old["dbh_2008_in"].to_numpy(), region=shipped("base"))
    mean = (old["stand_id"].map(crowding) * weight).sum() / weight.sum()
    print(f"density {begun.mean():.3f} and {ended.mean():.3f}; multiplier {mean:.4f}")
    assert growth_default("crowding_where_measured", region=shipped("base")) == pytest.approx(mean, abs=0.005)


@pytest.mark.parametrize("by", ["size", "density", "species"])
def test_dead_trees_by_size_density_and_species(census, by):
    """Trees that died beside those expected. By size and by density every group is within 2.5 standard deviations of a
    count; by species they are not: black oak and elm died more, hickory less (the shares know no species).
    """
    trees, _ = census
    old = trees[trees["dbh_2008_in"] >= 5.0].copy()
    stands = sorted(trees["stand_id"].unique())
    density = old["stand_id"].map(pd.Series(density_of(old["dbh_2008_in"], old, stands), index=stands))
    crowding = 1.0 + 5.0 * np.maximum(density - 0.6, 0.0)
    usual = mortality_share(old["dbh_2008_in"].to_numpy(), region=shipped("base")) / growth_default(
        "crowding_where_measured", region=shipped("base")
    )
    old["expected"], old["died"] = usual * crowding * old["years"], 1 - old["alive_2014"]
    groups = {
        "size": pd.cut(old["dbh_2008_in"], [5, 8, 11, 14, 17, 20, 24, 90], right=False).astype(str),
        "density": pd.cut(density, [0.0, 0.5, 0.6, 0.7, 2.0]).astype(str),
        "species": old["species"].where(old["species"].map(old["species"].value_counts()) > 100, "others"),
    }
    told = old.groupby(groups[by]).agg(trees=("died", "size"), died=("died", "sum"), expected=("expected", "sum"))
    told["off"] = (told["died"] - told["expected"]) / np.sqrt(told["expected"])
    print(told.round(2).to_string())
    assert abs(told["died"].sum() / told["expected"].sum() - 1.0) < 0.15
    if by == "species":
        assert told.loc["black oak", "off"] > 2.5 and told.loc["pignut hickory", "off"] < -2.0
    else:
        assert told["off"].abs().max() < 2.5


@pytest.mark.parametrize("case", ["low", "mid", "high"])
def test_squares_left_alone_for_200_years_stay_under_the_ceiling(census, case):
    """Relative density stays under 1, the published ceiling, in every square; 1 to 2 % of basal area dies a year; the
    squares come to 130 to 155 sq ft, near the level to believe.
    """
    trees, _ = census
    old = trees[trees["dbh_2008_in"] >= 5.0]
    stands, species = sorted(trees["stand_id"].unique()), sorted(trees["species"].unique())
    rows = old.assign(class_in=2.0 * np.floor((old["dbh_2008_in"] + 1.0) / 2.0), trees_per_ac=1.0 / SQUARE_AC)
    run = grow.project(
        grow.to_array(rows, stands, species, region=shipped("base")),
        equations(species, case, fitted=True, region=shipped("base"))[0],
        200,
        wood_sg=np.array([shipped("base").species.wood_property(s, "wood_sg") for s in species], dtype=float),
        as_measured=True,
        largest_in=usual_largest_in(species, region=shipped("base")),
        region=shipped("base"),
    )
    dying = run.mortality[-50:].sum() / run.basal[-51:-1].sum()
    print(
        f"{case}: {run.basal[-1].mean():.0f} sq ft, density at most {run.density.max():.2f}, {100 * dying:.2f} % dying"
    )
    assert run.density.max() < 1.0
    assert 0.010 < dying < 0.020
    assert 130.0 < run.basal[-1].mean() < 155.0


def _bias(what, measured, told):
    m, p = measured[what].mean(), told[what].mean()
    spread = np.sqrt(((told[what] - measured[what]) ** 2).mean())
    print(f"{what:9} measured {m:.3f}, projected {p:.3f} sq ft/ac/yr: {100 * (p / m - 1):+.1f} %, rms {spread:.2f}")
    return p / m - 1.0


def test_ingrowth_and_whole_change_are_within_15_percent_of_the_published_means(census):
    """The file holds no stem that was under 4.5 in, so ingrowth is held to the means of all stems of the census."""
    told = both(census).projected
    mean = census[1].loc["all"]
    for what, p, m in (
        ("ingrowth", told["ingrowth"].mean(), mean["ingrowth_ft2_ac_yr"]),
        ("whole change", told["change"].mean(), mean["net_ft2_ac_yr"]),
    ):
        print(f"{what:12} measured {m:.3f}, projected {p:.3f} sq ft/ac/yr: {100 * (p / m - 1):+.1f} %")
        assert abs(p / m - 1.0) < 0.15, f"{what}: measured {m:.3f}, projected {p:.3f}"


def test_growth_changes_as_little_with_density_as_was_measured(census):
    """Survivor growth of open and of dense squares, measured 1.88, 1.83 and 2.00: each within a fifth."""
    told = both(census)
    for name in ("0-90", "90-115", "115-220"):
        m, p = (one["survivor"][told.group == name].mean() for one in (told.measured, told.projected))
        print(f"{name:8} survivor measured {m:.2f}, projected {p:.2f}")
        assert abs(p / m - 1.0) < 0.20
