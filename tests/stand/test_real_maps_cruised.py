"""Real stem maps cut into four stands of one cover and cruised many times: ranges of few plots hold the census.

Longleaf pines: Platt, Evans and Rathbun 1988. Lansing woods, Michigan: Gerrard 1969; its map has no diameters, so its
trees are counted on round plots. Both from Debian's r-cran-spatstat.data. Big Woods, Michigan, Allen and others: every
other square of 40 m is to be had, so round plots lie in these.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest

from woodlot.estimate import Estimate
from woodlot.region import shipped
from woodlot.stand.plots import expand, limiting_distance_ft_prism
from woodlot.stand.spread import alike
from woodlot.units import basal_sqft
from woodlot.wood import tally

FT_PER_M, SQFT_PER_AC = 1.0 / 0.3048, 43560.0
CRUISES, STANDS = 250, 4


@dataclass(frozen=True)
class Map:
    """A map of stems cut into rectangles: x_ft, y_ft, dbh_in and cell (number of its rectangle) of each stem; the low
    corner of each rectangle and its stand; their sides; radius_ft of round plots, None for a prism of factor 10.
    """

    stems: pd.DataFrame
    corners: np.ndarray
    stand: np.ndarray
    sides: np.ndarray
    radius_ft: float | None


def strips(stems: pd.DataFrame, side_ft: float, radius_ft: float | None = None) -> Map:
    """A square map cut into strips, each a stand."""
    wide = side_ft / STANDS
    cell = np.minimum(stems["x_ft"] // wide, STANDS - 1).astype(int)
    corners = np.column_stack([np.arange(STANDS) * wide, np.zeros(STANDS)])
    return Map(stems.assign(cell=cell), corners, np.arange(STANDS), np.array([wide, side_ft]), radius_ft)


def squares(trees: pd.DataFrame) -> Map:
    """Squares of 40 m of which ten trees or more are told, cut into four stands from west to east."""
    by = ["square_x", "square_y"]
    some = trees[trees.groupby(by)["dbh_in"].transform("size") >= 10]
    each = some.groupby(by, sort=True)
    names, side_ft = np.array(list(each.groups)), 40.0 * FT_PER_M
    stand = np.arange(len(names)) * STANDS // len(names)
    return Map(some.assign(cell=each.ngroup()), names * side_ft, stand, np.array([side_ft, side_ft]), 37.24)


def cruised(of: Map, n: int, seed: int) -> pd.DataFrame:
    """Many cruises of a map as places of four stands, n plots in each: what is said of them, over the census.

    Points lie anywhere in the stand's rectangles; a tree beyond its own is not counted, one inside twice where walking
    through it leads out. A prism tells basal area, round plots trees.
    """
    rng = np.random.default_rng([seed, n])
    stand = np.tile(np.repeat(np.arange(STANDS), n), CRUISES)
    first, many = np.searchsorted(of.stand, np.arange(STANDS)), np.bincount(of.stand)
    cell = first[stand] + rng.integers(0, many[stand])
    spots = of.corners[cell] + rng.uniform(size=(len(cell), 2)) * of.sides
    dbh_in = of.stems["dbh_in"].to_numpy()
    reach = limiting_distance_ft_prism(dbh_in, 10.0) if of.radius_ft is None else of.radius_ft
    away = of.stems[["x_ft", "y_ft"]].to_numpy() - spots[:, None]
    own = of.stems["cell"].to_numpy() == cell[:, None]
    point, tree = np.nonzero(own & ((away**2).sum(axis=2) <= np.square(reach)))
    beyond = spots[point] + 2.0 * away[point, tree] - of.corners[cell[point]]
    twice = ((beyond < 0.0) | (beyond > of.sides)).any(axis=1)
    place = pd.Series(np.repeat(np.arange(CRUISES), STANDS * n)).astype(str)
    ids, stands = place.index.astype(str), place + ":" + pd.Series(stand).astype(str)
    size = {"baf_sqft_per_ac": 10.0} if of.radius_ft is None else {"radius_ft": of.radius_ft}
    kind = "prism" if of.radius_ft is None else "fixed"
    visited = pd.DataFrame({"plot_id": ids, "stand_id": stands, "kind": kind}).assign(**size)
    trees = pd.DataFrame({"plot_id": ids.to_numpy()[point], "species": "red oak", "dbh_in": dbh_in[tree]})
    each = basal_sqft(dbh_in) if of.radius_ft is None else np.ones(len(dbh_in))
    told = expand(visited, trees.assign(count_twice=twice)).assign(amount=each[tree])
    known = pd.DataFrame({"stand_id": stands.unique()})
    known["cover"] = known["parcel_id"] = known["stand_id"].str.split(":").str[0]
    acres = many * of.sides.prod() / SQFT_PER_AC
    known["acres"] = np.tile(acres, CRUISES)
    known["like"] = known["stand_id"].map(alike(known, visited))
    means = tally.per_ac(visited, told, ("amount",))
    both = tally.totals_by(("stand_id", "parcel_id"), means, known, "in all", region=shipped("base"))
    census = np.bincount(of.stand[of.stems["cell"]], each)
    rows = [_row("stand", census[int(name[-1])], e) for name, e in both["stand_id"].items()]
    return pd.DataFrame(rows + [_row("place", census.sum(), e) for e in both["parcel_id"].values()])


def _row(of: str, census: float, e: Estimate) -> dict:
    low, high = (np.nan if end is None else end for end in (e.low, e.high))
    ends = {"held": low <= census <= high, "width": 100.0 * (high - low) / 2.0 / census}
    return {"of": of, "none": e.low is None, "value": e.value / census, **ends}


def told_of(name: str, of: Map, n: int) -> pd.DataFrame:
    """Percent held among those with a range, percent without, median width [%], mean value over the census."""
    rows = cruised(of, n, seed=len(name))
    by, ranged = rows.groupby("of"), rows[~rows["none"]].groupby("of")
    table = pd.DataFrame({"held": 100 * ranged["held"].mean(), "none": 100 * by["none"].mean()})
    table["width"], table["value"] = ranged["width"].median(), by["value"].mean()
    print(f"{name}, {n} plots in each of {STANDS} stands\n{table.round(2).to_string()}")
    return table


def _holds(table: pd.DataFrame) -> None:
    """85 in 100, less two standard errors of 1,000 stands (four strips, over and over: as of 500) and 250 places."""
    for of, many in (("stand", 500), ("place", CRUISES)):
        assert table.loc[of, "held"] >= 85.0 - 200.0 * np.sqrt(0.85 * 0.15 / many), of
    assert table["value"].to_numpy() == pytest.approx(1.0, abs=0.06)


@pytest.mark.parametrize("n", [1, 2, 3, 5, 10])
def test_longleaf_pines_cut_into_four_stands(longleaf, n):
    """Patchy pines, seen with a prism."""
    _holds(told_of("longleaf", strips(longleaf, 200.0 * FT_PER_M), n))


@pytest.mark.parametrize("n", [1, 2, 3, 5, 10])
def test_lansing_woods_cut_into_four_stands(lansing, n):
    """Even woods, on plots of a tenth of an acre: none is empty."""
    table = told_of("lansing", strips(lansing.assign(dbh_in=8.0), 924.0, 37.24), n)
    _holds(table)
    assert table["none"].to_numpy() == pytest.approx(0.0)


@pytest.mark.parametrize("n", [1, 2, 3, 5, 10])
def test_big_woods_cut_into_four_stands(big_woods, n):
    """Oak and maple, on plots of a tenth of an acre in the squares that are to be had."""
    _holds(told_of("big woods", squares(big_woods), n))


def test_maps_are_those_we_know(lansing, big_woods):
    """2,251 trees on 19.6 acres; 70 squares of 40 m or more, each with its own trees alone."""
    assert len(lansing) == 2251 and pytest.approx(19.6, abs=0.01) == 924.0**2 / SQFT_PER_AC
    cut = squares(big_woods)
    assert len(cut.corners) >= 70 and (np.diff(cut.stand) >= 0).all()
    within = cut.stems[["x_ft", "y_ft"]].to_numpy() - cut.corners[cut.stems["cell"]]
    assert (within >= -1e-6).all() and (within <= cut.sides + 1e-6).all()
