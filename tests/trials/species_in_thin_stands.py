"""How often do the ranges of kinds of tree hold the truth where stands have few plots?

    python tests/trials/species_in_thin_stands.py [--places N] [--beside CHECKOUT]

Made-up woods: 30 stands of 40 acres, 90 sq ft an acre, each of six kinds that grow in clumps of their own, some of them
missing from a stand; a place is five of the stands, laid at random, all of one cover, with prism plots of factor 10. A
kind is asked for where a plot met it. Rows: plots in each stand, then a place whose one stand of 60 acres has one plot
or two beside four of 20 acres with five. Coverage and half-width beside what is written; with --beside what another
checkout says of the same places.
"""

import argparse
import pickle
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd
from scipy.spatial import cKDTree

from woodlot.region import Region, shipped
from woodlot.stand import species_ranges

SEED = 41
FACTOR = 10.0
SIDE_FT = 1320.0
KINDS = tuple("abcdef")
POINTS = 3000
#: Plots in each of the five stands -> acres of each.
EVEN = np.full(5, 40.0)
DESIGNS = {
    **{f"{n} a stand": (np.full(5, n), EVEN) for n in (1, 2, 3, 5, 10)},
    "1 in 60 acres, 5 in 20": (np.array([1, 5, 5, 5, 5]), np.array([60.0, 20, 20, 20, 20])),
    "2 in 60 acres, 5 in 20": (np.array([2, 5, 5, 5, 5]), np.array([60.0, 20, 20, 20, 20])),
    "1 to 10 a stand": (np.array([1, 2, 3, 5, 10]), EVEN),
}


def stand(draw: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Basal area of each kind in a stand [sq ft/ac], and the trees of each that a prism counts on 3,000 points."""
    shares = draw.dirichlet(np.full(len(KINDS), 0.6)) * (draw.random(len(KINDS)) > 0.25)
    shares = shares / shares.sum() if shares.sum() else np.full(len(KINDS), 1 / len(KINDS))
    acres = SIDE_FT**2 / 43560.0
    points = draw.random((POINTS, 2)) * SIDE_FT
    counts, basal = np.zeros((POINTS, len(KINDS)), dtype=int), np.zeros(len(KINDS))
    for at, share in enumerate(shares):
        dbh = 5.0 + draw.exponential(4.0, int(2000 * acres * share))
        sqft = np.pi * (dbh / 24.0) ** 2
        dbh = dbh[: np.searchsorted(np.cumsum(sqft), 90.0 * share * acres)]
        if not len(dbh):
            continue
        clumps = draw.random((max(len(dbh) // 20, 1), 2)) * SIDE_FT
        away = draw.normal(0.0, 80.0, (len(dbh), 2))
        where = (clumps[draw.integers(len(clumps), size=len(dbh))] + away) % SIDE_FT
        basal[at] = (np.pi * (dbh / 24.0) ** 2).sum() / acres
        near = cKDTree(points, boxsize=SIDE_FT).query_ball_point(where, 33.0 * np.sqrt(10.0 / FACTOR) / 12.0 * dbh)
        hit = np.concatenate([np.asarray(one, dtype=int) for one in near])
        counts[:, at] = np.bincount(hit, minlength=POINTS)
    return basal, counts


def woods(seed: int = SEED, stands: int = 30) -> tuple[np.ndarray, np.ndarray]:
    """Basal area by stand and kind, and counts by stand, point and kind."""
    draw = np.random.default_rng(seed)
    each = [stand(draw) for _ in range(stands)]
    return np.array([basal for basal, _ in each]), np.array([counts for _, counts in each])


def cruises(
    basal: np.ndarray, counts: np.ndarray, design: str, places: int, seed: int
) -> tuple[pd.DataFrame, pd.DataFrame, pd.DataFrame, pd.Series]:
    """Stands, plots and sums by kind of many places at once, and the true sq ft of each place and kind."""
    plots_of, acres = DESIGNS[design]
    draw = np.random.default_rng(seed)
    which = np.array([draw.permutation(len(basal))[: len(acres)] for _ in range(places)])
    ids = np.array([[f"{p}-{k}" for k in range(len(acres))] for p in range(places)])
    stands = pd.DataFrame({"acres": np.tile(acres, places), "cover": "hardwood"}, index=ids.ravel())
    stands["place"] = np.repeat(np.arange(places).astype(str), len(acres))
    of = np.repeat(np.arange(places * len(acres)), np.tile(plots_of, places))
    point = draw.integers(counts.shape[1], size=len(of))
    z = FACTOR * counts[which.ravel()[of], point]
    plots = pd.DataFrame({"plot_id": np.arange(len(of)).astype(str), "stand_id": ids.ravel()[of]})
    at, kind = np.nonzero(z)
    sums = plots.iloc[at].assign(species=np.array(KINDS)[kind], amount=z[at, kind], spread=z[at, kind])
    names = pd.MultiIndex.from_product([np.arange(places).astype(str), KINDS], names=["place", "species"])
    truth = pd.Series((basal[which] * acres[:, None]).sum(axis=1).ravel(), index=names)
    return stands, plots, sums.reset_index(drop=True), truth


def of_stands(basal: np.ndarray, design: str, places: int, seed: int) -> pd.Series:
    """True sq ft of each stand and kind of ``cruises`` with the same arguments."""
    acres = DESIGNS[design][1]
    draw = np.random.default_rng(seed)
    which = np.array([draw.permutation(len(basal))[: len(acres)] for _ in range(places)])
    ids = [f"{p}-{k}" for p in range(places) for k in range(len(acres))]
    names = pd.MultiIndex.from_product([ids, KINDS], names=["ground", "species"])
    return pd.Series((basal[which] * acres[:, None, None].reshape(1, -1, 1)).ravel(), index=names)


def told(
    stands: pd.DataFrame, plots: pd.DataFrame, sums: pd.DataFrame, region: Region, ground: str = "place"
) -> pd.DataFrame:
    """Value, low, high and plots that hold any, by place and kind, as the program says them."""
    of = species_ranges.cells(sums)
    n = plots["stand_id"].value_counts().reindex(stands.index)
    where = stands[ground] if ground in stands else pd.Series(stands.index, index=stands.index)
    row = pd.DataFrame(
        {"acres": stands["acres"], "plots": n, "tree": FACTOR / n, "like": stands["cover"], "ground": where}
    )
    table = species_ranges.ranges(of, row, region=region)
    acres = stands.groupby(where)["acres"].sum().to_dict()
    each = species_ranges.estimates(table, "sq ft", acres, region=region)
    out = pd.DataFrame([(e.value, e.low, e.high) for e in each.values()], columns=["value", "low", "high"])
    out.index = table.index
    return out.assign(holding=table["holding"], se=np.sqrt(table["variance"]), df=table["df"])


def coverage(rows: pd.DataFrame, truth: pd.Series) -> dict[str, float]:
    """Share of ranges that hold the truth, of truths above, half-width over the truth, share of kinds with a range."""
    rows = rows.assign(true=truth.reindex(rows.index))
    asked = rows[rows["holding"] > 0]
    some = asked[asked["low"].notna()]
    inside = (some["low"] <= some["true"]) & (some["true"] <= some["high"])
    return {
        "coverage_pct": 100 * float(inside.mean()) if len(some) else np.nan,
        "truth_above_pct": 100 * float((some["true"] > some["high"]).mean()),
        "half_width_pct": 100 * float(((some["high"] - some["low"]) / (2 * some["true"])).median()),
        "share_with_range_pct": 100 * len(some) / max(len(asked), 1),
    }


#: What an older checkout is asked of the same places: ``tally.totals`` of the means of each place by kind.
OLDER = """
import pickle, sys
import numpy as np, pandas as pd
from woodlot.region import shipped
from woodlot.stand.plots import means
from woodlot.wood import tally
stands, plots, sums = pickle.load(open(sys.argv[1], "rb"))
region, out = shipped("base"), []
here = plots.merge(sums[["stand_id", "species"]].drop_duplicates(), on="stand_id")
keys = ["plot_id", "stand_id", "species"]
full = here.merge(sums, on=keys, how="left").fillna({"amount": 0.0, "spread": 0.0}).assign(what="sq ft", line=None)
table = means(full)
stands = stands.rename_axis("stand_id").reset_index().assign(parcel_id="home")
for place, part in stands.groupby("place"):
    rows = table[table["stand_id"].isin(part["stand_id"])]
    for kind, e in tally.totals(rows, part, "sq ft", "species", region=region).items():
        own = rows[rows["species"] == kind]
        out.append((place, kind, e.value, e.low, e.high, int(own["plots_with"].sum())))
pickle.dump(out, open(sys.argv[2], "wb"))
"""


def told_by(checkout: Path, stands: pd.DataFrame, plots: pd.DataFrame, sums: pd.DataFrame) -> pd.DataFrame:
    """The same as ``told`` by the code of another checkout."""
    with tempfile.TemporaryDirectory() as home:
        there, back = Path(home) / "in", Path(home) / "out"
        there.write_bytes(pickle.dumps((stands, plots, sums)))
        subprocess.run(
            [sys.executable, "-c", OLDER, str(there), str(back)],
            check=True,
            cwd=home,
            env={"PYTHONPATH": str(checkout)},
        )
        rows = pickle.loads(back.read_bytes())
    out = pd.DataFrame(rows, columns=["place", "species", "value", "low", "high", "holding"])
    return out.set_index(["place", "species"]).astype({"low": float, "high": float})


def main() -> None:
    """Coverage and width of every design."""
    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--places", type=int, default=2000)
    asked.add_argument("--beside", type=Path, default=None)
    args = asked.parse_args()
    region = shipped("base")
    basal, counts = woods()
    for at, design in enumerate(DESIGNS):
        stands, plots, sums, truth = cruises(basal, counts, design, args.places, SEED + at)
        ways = {"ours": told(stands, plots, sums, region)}
        if args.beside:
            ways["older"] = told_by(args.beside.resolve(), stands, plots, sums)
        for way, rows in ways.items():
            found = coverage(rows, truth)
            print(
                f"{design:24}{way:7}holds {found['coverage_pct']:5.1f}%  above {found['truth_above_pct']:4.1f}%  "
                f"half-width {found['half_width_pct']:5.0f}%  with a range {found['share_with_range_pct']:5.1f}%"
            )


if __name__ == "__main__":
    main()
