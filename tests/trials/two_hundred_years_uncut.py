"""What becomes of a stand of each cover on three soils that nobody cuts for two hundred years?

    python tests/trials/two_hundred_years_uncut.py [SEED]

Six stands of each cover are drawn by the seed: kinds, basal area and age are invented, sizes fall off as in woods of
one or of many ages. Prints, as means, basal area now and after 50, 100 and 200 years, that of kinds that break up after
100, cords an acre after 50, the share of basal area that died a year, cords that broke up, and, of stand tables, trees
of 36 inches and more and the largest size of which one stands on a hundred acres. Beside it the level to believe after
a hundred uncut years (chosen: hardwoods 110 to 150, pine 150 to 220, hemlock and cedar 150 to 230, aspen none).
"""

import sys
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.plan import wood_values
from woodlot.plan.woods import CASES, Woods, run, table_run
from woodlot.region import shipped
from woodlot.stand.ageing import breakup, usual_largest_in
from woodlot.stand.grow import classes
from woodlot.stand.judged import Judged
from woodlot.stand.of_one_age import ageing_columns
from woodlot.units import basal_sqft

REGION = shipped("lake_states")
YEARS, STANDS, DIVISION, SOLID_CUFT = 200, 6, "210", 79.0
#: Soil -> factor on growth of the stand table (site_growth.csv), and site index of stands of one age.
SOILS = {"loam": (1.0, 70.0), "sandy loam": (0.85, 60.0), "dry sand": (0.6, 50.0)}


@dataclass(frozen=True)
class Start:
    """An invented stand: way of growing, shares of kinds, basal area, mean size [in], age, level to believe."""

    way: str
    kinds: dict[str, float]
    basal: float
    size_in: float
    age_yr: float = np.nan
    level: tuple[float, float] | None = None


HARDWOODS, PINES, DARK = (110.0, 150.0), (150.0, 220.0), (150.0, 230.0)
MAPLES = {"sugar maple": 0.6, "red maple": 0.2, "yellow birch": 0.1, "american beech": 0.1}
ASPENS = {"quaking aspen": 0.75, "paper birch": 0.1, "red maple": 0.15}
STARTS = {
    "northern hardwoods": Start("stand table", MAPLES, 80.0, 10.0, level=HARDWOODS),
    "oak": Start(
        "stand table", {"northern red oak": 0.6, "white oak": 0.2, "red maple": 0.2}, 80.0, 11.0, 90, HARDWOODS
    ),
    "aspen and birch": Start("aspen", ASPENS, 90.0, 8.0, 40),
    "aspen and birch, no age": Start("stand table", ASPENS, 90.0, 8.0),
    "pine": Start("pine", {"red pine": 0.7, "eastern white pine": 0.3}, 110.0, 10.0, 50, PINES),
    "pine, jack": Start("pine", {"jack pine": 0.8, "northern red oak": 0.2}, 90.0, 8.0, 45),
    "spruce and fir": Start("stand table", {"balsam fir": 0.6, "white spruce": 0.4}, 100.0, 8.0, 45),
    "hemlock": Start("stand table", {"eastern hemlock": 0.7, "sugar maple": 0.3}, 110.0, 11.0, level=DARK),
    "cedar swamp": Start("stand table", {"northern white-cedar": 0.9, "balsam fir": 0.1}, 130.0, 8.0, level=DARK),
    "spruce and tamarack swamp": Start("stand table", {"black spruce": 0.6, "tamarack": 0.4}, 70.0, 7.0),
    "low, wet hardwoods": Start("stand table", {"red maple": 0.6, "black ash": 0.4}, 80.0, 9.0, level=HARDWOODS),
}


def drawn(start: Start, species: list[str], seed: int) -> np.ndarray:
    """Trees (species, class, stand) of six stands: sizes fall off, or lie about the mean in stands of one age."""
    draw, sizes = np.random.default_rng(seed), classes(region=REGION)
    even = start.way != "stand table"
    shape = np.exp(-np.square(sizes - start.size_in) / 8.0) if even else 1.3 ** -((sizes - 6.0) / 2.0) * (sizes < 23)
    n = np.zeros((len(species), len(sizes), STANDS))
    for kind, share in start.kinds.items():
        n[species.index(kind)] = shape[:, None] * share * draw.gamma(4.0, 0.25, (len(sizes), STANDS))
    return n * start.basal / (basal_sqft(sizes) @ n.sum(axis=0))


def woods_of(cover: str, start: Start, soil: str, seed: int) -> Woods:
    """Six stands of one cover on one soil, an acre each."""
    species, (factor, site) = list(start.kinds), SOILS[soil]
    n, main = drawn(start, species, seed), max(start.kinds, key=start.kinds.__getitem__)
    none = pd.DataFrame({"stand_id": [], "species": [], "alive": [], "basal_sqft_per_ac": [], "dbh_in": []})
    values = wood_values.by_class(species, none.assign(height_ft=[]), DIVISION, SOLID_CUFT, "scribner", REGION)
    stands = pd.DataFrame(
        {"stand_id": [str(k) for k in range(STANDS)], "cover": cover.split(", no")[0].split(", j")[0]}
    )
    stands = stands.assign(acres=1.0, way=start.way, main=main, age_yr=start.age_yr, site_index_ft=site, seasons=0)
    stands = stands.assign(young=False, bare=False)
    area = np.tensordot(n, basal_sqft(classes(region=REGION)), axes=([1], [0]))
    ageing = ageing_columns(stands, area, species, none, region=REGION)
    ones = np.ones(STANDS)
    return Woods(
        stands=stands.join(ageing),
        species=species,
        trees=n,
        factor=dict.fromkeys(CASES, np.full((len(species), STANDS), factor)),
        even=dict.fromkeys(CASES, ones),
        ratio=ones,
        values=values,
        sg=np.array([float(REGION.species.wood_property(one, "wood_sg")) for one in species]),
        saplings=np.nan * ones,
        deaths=np.zeros((len(species), STANDS)),
        judged=Judged.none(len(species), STANDS),
        solid=SOLID_CUFT,
    )


def trees_after(woods: Woods, years: int) -> np.ndarray:
    """Trees an acre by kind and class as the stand table has them, in the mean of the six."""
    return table_run(woods, np.arange(STANDS), years, "mid", None, region=REGION).trees.mean(axis=2)


def place_of(basal: float, low: float, high: float) -> str:
    """Where a basal area lies by the level to believe; "" where there is none."""
    return "" if np.isnan(low) else "over" if basal > high else "in" if basal >= low else "under"


def row(cover: str, soil: str, seed: int) -> dict[str, float | str]:
    """One line of the table."""
    start, sizes = STARTS[cover], classes(region=REGION)
    woods = woods_of(cover, start, soil, seed)
    path, end = run(woods, YEARS, region=REGION), trees_after(woods, YEARS).sum(axis=0)
    breaks = np.isfinite(breakup(woods.species, "mid", region=REGION).onset_yr)
    short = basal_sqft(sizes) @ trees_after(woods, 100)[breaks].sum(axis=0)
    basal = path.basal.mean(axis=1)
    tabled = start.way == "stand table"
    there = np.flatnonzero(end[::-1].cumsum()[::-1] > 0.01) if tabled else []
    low, high = start.level or (np.nan, np.nan)
    return {
        "cover": cover,
        "soil": soil,
        "now": basal[0],
        "50 yr": basal[50],
        "100 yr": basal[100],
        "200 yr": basal[200],
        "short 100": short,
        "level": "" if start.level is None else f"{low:.0f}-{high:.0f}",
        "at 100": place_of(basal[100], low, high),
        "cords 50": path.cords[50].mean(),
        "dead %/yr": 100.0 * path.mortality.sum() / path.basal[:-1].sum(),
        "broken cords": path.broken.sum(axis=0).mean(),
        "36 in+": end[sizes >= 36].sum() if tabled else np.nan,
        "largest in": float(sizes[there[-1]]) if len(there) else np.nan,
        "usual largest": float(usual_largest_in(woods.species, region=REGION).max()),
    }


def main() -> None:
    """Print the table."""
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    rows = [row(cover, soil, seed) for cover in STARTS for soil in SOILS]
    print(pd.DataFrame(rows).round(2).to_string(index=False))


if __name__ == "__main__":
    main()
