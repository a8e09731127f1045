"""Seedling plots, browse and a cruise of our own making, and the verdict of the next forest on them."""

from datetime import date

import geopandas as gpd
import pandas as pd
from shapely.geometry import box

from woodlot.deer import seedlings as plots_of
from woodlot.deer.forest_floor import Overhead
from woodlot.deer.next_forest import next_forest
from woodlot.region import shipped

DAY = date(2026, 9, 1)
BASE = shipped("base")
NONE, ENOUGH, FEW = (0, 0, 0, 0), (120, 0, 0, 0), (5, 1, 0, 0)


def young(counts, species="sugar maple", prefix="", **more):
    """Plots with (under 1 ft, 1-3, 3-5, over 5) of one kind, this June."""
    rows = pd.DataFrame(counts, columns=list(plots_of.HEIGHTS)).assign(species=species, radius_ft=6.0)
    return rows.assign(plot_id=[f"{prefix}{i}" for i in range(len(rows))], date=pd.Timestamp(2026, 6, 20), **more)


def bitten(share, plots=40, species="red maple", stems=10, year=2026):
    """A browse survey with so much of one kind bitten."""
    rows = pd.DataFrame({"plot_id": [str(i) for i in range(plots)], "species": species, "stems": stems})
    return rows.assign(browsed=round(share * stems), date=pd.Timestamp(year, 4, 20))


def ask(seedlings=None, browse=None, over=None, pellets=None, state=None, own=None, day=DAY, level=0.9):
    """The verdict of today."""
    return next_forest(
        seedlings, browse, pellets, over or Overhead(), own=own, state=state, as_of=day, region=BASE, level=level
    )[0]


def sky(pct):
    """Light measured on every plot."""
    return {"open_sky_pct": pct}


FENCED, OPEN = (14, 9, 22, 11, 8, 16), (3, 6, 4, 2, 5, 3)


def pairs(n=6, inside=FENCED, outside=OPEN, radius=6.0, **more):
    """Fenced plots and open ones beside them, with so many stems of 1 to 3 ft."""
    rows = [
        young([(0, k, 0, 0) for k in counts[:n]], prefix=name, fenced=name == "f", pair=[f"p{i}" for i in range(n)])
        for name, counts in (("f", inside), ("o", outside))
    ]
    return pd.concat([rows[0].assign(radius_ft=radius), rows[1]]).assign(**more)


def stands(*ids, side=0.01):
    """Square stands side by side, from 90 degrees west eastward."""
    shapes = [box(-90 + side * i, 46, -90 + side * (i + 1), 46 + side) for i in range(len(ids))]
    return gpd.GeoDataFrame({"stand_id": list(ids)}, geometry=shapes, crs=4326)


def cruise(plots, species="northern red oak", dbh=14.0, feet=0.0, alive=True):
    """A cruise plot a little north of each seedling plot, with one tree."""
    ids = [f"c{i}" for i in range(plots)]
    at = pd.DataFrame(
        {"plot_id": ids, "lon": [-89.995 + 0.0005 * i for i in range(plots)], "lat": 46.005 + feet / 364_600}
    )
    trees = pd.DataFrame({"plot_id": ids, "species": species, "dbh_in": dbh, "alive": alive})
    return at, trees


def placed(plots, counts=FEW, species="sugar maple"):
    """Seedling plots 127 ft apart."""
    return young([counts] * plots, species, lat=46.005).assign(lon=[-89.995 + 0.0005 * i for i in range(plots)])
