"""Do ranges of stand, parcel, place and species hold the truth where the truth is known, and how wide are they?

    python tests/trials/sampling_designs.py [--places 2000] [--only WORD] [--beside CHECKOUT] [--csv FILE]

Each design is laid out many times: stands of invented woods (sampling_woods.py) whose true means differ with a CV of
.25, plots at random in each, tallied trees with cords by a table that is off by a CV of .12 in each place. They are
handed to the code a family uses: plots.expand, tally.per_ac, tally.totals_by. Printed: percent of 90 percent ranges
that hold the truth, percent that lie wholly below and wholly above it, median and mean half-width in percent of the
truth, percent without a range, percent of ranges that do not hold their own value. A species that no plot met is told
up to its limit. "stand" is every stand but the first
where the first is odd or patchy; that one is "first stand". --beside runs the same draws with the code of another
checkout and prints its coverage, median width and share without a range beside them.
"""

import argparse
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from sampling_woods import EDGED_SIDE_FT as SIDE_FT
from sampling_woods import FACTOR, FULL_SQFT, SPECIES, pools, tallied

from woodlot.estimate import Estimate
from woodlot.region import shipped
from woodlot.stand import plots
from woodlot.wood import tally

try:
    from woodlot.stand import unseen
    from woodlot.stand.plot_times import PlotTimes, plot_times
    from woodlot.stand.spread import alike
    from woodlot.trade import COUNTED_TWICE, NOTHING_DONE
    from woodlot.wood.of_species import of_species
except ImportError:  # a checkout in which no stand helps another
    alike, COUNTED_TWICE, NOTHING_DONE = None, "counted twice", "nothing done"

TABLE_CV, BETWEEN_CV, LEVEL, SQFT = 0.12, 0.25, 0.90, 90.0
KEYS = ["design", "of"]
FT_PER_DEGREE = 364_567.0


@dataclass(frozen=True)
class Design:
    """Places of one kind: by stand its kind of woods, acres, plots, cover, and level in times 90 sq ft an acre.

    how: as in ``sampling_woods.pools``; written: slopes are in the table, or edges were walked; first: the first stand
    is told apart; species: species are told too; edges: how they were counted, where stands have any.
    """

    name: str
    kinds: tuple[str, ...]
    acres: tuple[float, ...]
    plots: tuple[int, ...]
    covers: tuple[int, ...] | None = None
    levels: tuple[float, ...] | None = None
    how: str = "level"
    written: bool = True
    first: bool = False
    species: bool = False
    edges: str | None = None


def designs() -> list[Design]:
    """All of them."""
    forty = (40.0,) * 5
    out = [
        Design(f"{kind} {n}", (kind,) * 5, forty, (n,) * 5, species=kind == "clumped" and n < 10)
        for kind in ("clumped", "patchy")
        for n in (1, 2, 3, 5, 10)
    ]
    for n in (1, 2, 3, 5, 10):
        for times in (0.4, 2.2):
            out.append(
                Design(f"odd {times} {n}", ("clumped",) * 5, forty, (n,) * 5, levels=(times, 1, 1, 1, 1), first=True)
            )
        patchy = ("patchy",) + ("clumped",) * 4
        out.append(Design(f"one patchy {n}", patchy, forty, (n,) * 5, first=True))
        out.append(Design(f"one patchy 2.2 {n}", patchy, forty, (n,) * 5, levels=(2.2, 1, 1, 1, 1), first=True))
    for n in (2, 3, 5):
        for word in ("slope written", "slope not written"):
            out.append(
                Design(f"{word} {n}", ("clumped",) * 5, forty, (n,) * 5, how="sloping", written="not" not in word)
            )
        for word, edges in (("walked", COUNTED_TWICE), ("not walked", NOTHING_DONE), ("not told", None)):
            ten, walked = (10.0,) * 5, edges == COUNTED_TWICE
            name = f"edge {word} {n}"
            out.append(Design(name, ("clumped",) * 5, ten, (n,) * 5, how="edged", written=walked, edges=edges))
    thin_acres = (60.0, 15.0, 20.0, 10.0, 25.0, 30.0, 12.0, 18.0)
    out.append(Design("thin 1-3", ("clumped",) * 8, thin_acres, (1, 2, 3, 2, 3, 2, 1, 3), first=True, species=True))
    out.append(Design("thin patchy 1-3", ("patchy",) * 8, thin_acres, (1, 2, 3, 2, 3, 2, 1, 3), first=True))
    out.append(Design("one-plot 60 acres", ("clumped",) * 4, (60, 15, 20, 10), (1, 3, 3, 3), first=True, species=True))
    for n in (1, 3):
        levels = (1.0, 1.0, 1.0, 0.35, 0.35, 0.35)
        kinds = ("clumped",) * 3 + ("patchy",) * 3
        out.append(Design(f"two covers {n}", kinds, (40.0,) * 6, (n,) * 6, (0, 0, 0, 1, 1, 1), levels, species=n == 3))
        out.append(Design(f"unlike in one cover {n}", kinds, (40.0,) * 6, (n,) * 6, None, levels))
    mixed = ("even", "clumped", "patchy", "clumped", "even")
    out.append(Design("1 to 10 plots, mixed", mixed, (20, 40, 60, 30, 10), (1, 2, 3, 5, 10), species=True))
    out.append(Design("alone 3", ("clumped",), (40.0,), (3,)))
    out.append(Design("two stands 3", ("clumped",) * 2, (40.0,) * 2, (3,) * 2))
    out.append(Design("20 stands 2", ("patchy",) * 20, (15.0,) * 20, (2,) * 20))
    return out


@dataclass(frozen=True)
class HandIn:
    """What the families of all places hand in, and the truth: cords by stand and species (places, stands, species)."""

    stands: pd.DataFrame
    visited: pd.DataFrame
    trees: pd.DataFrame
    truth: np.ndarray


def handed_in(design: Design, places: int, seed: int = 11) -> HandIn:
    """The plots and tallied trees of all places of a design, one table each; stand "7:2" is the third of the eighth."""
    rng = np.random.default_rng([seed, sum(map(ord, design.name))])
    count = len(design.kinds)
    log_sd = np.sqrt(np.log(1.0 + BETWEEN_CV**2))
    level = np.exp(rng.normal(-(log_sd**2) / 2.0, log_sd, (places, count)))
    level *= 1.0 if design.levels is None else np.array(design.levels)
    keep = np.minimum(level * SQFT / FULL_SQFT, 1.0)
    off = np.exp(rng.normal(0.0, np.sqrt(np.log(1.0 + TABLE_CV**2)), places))
    truth, visited, trees = np.zeros((places, count, len(SPECIES))), [], []
    place = np.arange(places)
    for at, (kind, ac, n) in enumerate(zip(design.kinds, design.acres, design.plots, strict=True)):
        maps = pools(kind, design.how)
        of = rng.integers(0, len(maps), places)
        for one, pool in enumerate(maps):
            here = place[of == one]
            truth[here, at] = ac * keep[here, at, None] * pool.kinds_per_ac
            whose = np.repeat(here, n)
            told = tallied(rng, pool, keep[whose, at])
            stand = pd.Series(whose).astype(str) + f":{at}"
            ids = stand + ":" + pd.Series(np.tile(np.arange(n), len(here))).astype(str)
            slope_pct = told["slope_pct"] if design.written else 0.0
            visited.append(pd.DataFrame({"plot_id": ids, "stand_id": stand, "slope_pct": slope_pct}))
            row = told["row"]
            trees.append(
                pd.DataFrame(
                    {
                        "plot_id": ids.to_numpy()[row],
                        "species": SPECIES[told["kind"]],
                        "dbh_in": told["dbh_in"],
                        "cords": told["cords"] * off[whose[row]],
                        "count_twice": told["twice"] & design.written,
                    }
                )
            )
    ids = pd.Series(np.repeat(place, count)).astype(str)
    which = np.tile(np.arange(count), places)
    cover = which * 0 if design.covers is None else np.array(design.covers)[which]
    stands = pd.DataFrame({"stand_id": ids + ":" + pd.Series(which).astype(str), "place": ids})
    stands["acres"] = np.array(design.acres, dtype=float)[which]
    # no place lends to another: covers are named by place
    stands["cover"] = ids + ":" + pd.Series(cover).astype(str)
    stands["half"] = ids + ":" + pd.Series((which >= count / 2).astype(int)).astype(str)
    tables = (pd.concat(each, ignore_index=True) for each in (visited, trees))
    seen = next(tables).assign(kind="prism", baf_sqft_per_ac=FACTOR, date=pd.Timestamp("2026-10-01"))
    return HandIn(stands, seen, next(tables), truth)


def told(design: Design, hand_in: HandIn) -> dict[str, dict[str, Estimate]]:
    """What the code says of stands, parcels (halves), places and species of places: key -> Estimate."""
    region = shipped("base")
    known = hand_in.stands
    if alike is not None:
        known = known.assign(like=known["stand_id"].map(alike(known, hand_in.visited)))
    counted = at_edges(design, hand_in) if design.how == "edged" and alike is not None else None
    trees = plots.expand(hand_in.visited, hand_in.trees, *(() if counted is None else (counted.times,)))
    means = tally.per_ac(hand_in.visited, trees, ("cords",))
    shared = {tally.VOLUME_TABLE: TABLE_CV, **({} if counted is None else counted.shared)}
    shared.pop("eye", None)  # nobody's eye leans here

    def by(of: str, parcel: str) -> dict[str, Estimate]:
        stands = known.assign(parcel_id=known[parcel])
        return tally.totals_by((of,), means, stands, "cords", shared, LEVEL, region=region)[of]

    out = {"stand": by("stand_id", "half"), "parcel": by("parcel_id", "half"), "place": by("parcel_id", "place")}
    if design.species:
        out["species"] = species(hand_in.visited, trees, known.assign(parcel_id=known["place"]), means)
    return out


def at_edges(design: Design, hand_in: HandIn) -> "PlotTimes":
    """What the code makes of edges: every stand a square in a field, none near another."""
    import geopandas as gpd
    from shapely import box

    row, column = np.divmod(np.arange(len(hand_in.stands)), 100)
    lat, lon = 45.0 + 0.01 * row, -90.0 + 0.01 * column
    high, wide = SIDE_FT / FT_PER_DEGREE, SIDE_FT / (FT_PER_DEGREE * np.cos(np.radians(lat)))
    ground = gpd.GeoDataFrame(
        {"stand_id": hand_in.stands["stand_id"], "cover": "northern hardwoods"},
        geometry=box(lon, lat, lon + wide, lat + high),
        crs=4326,
    )
    none = gpd.GeoDataFrame({"kind": []}, geometry=[], crs=4326)
    return plot_times(
        ground, none, hand_in.visited, hand_in.trees, edges=design.edges, prisms=[], region=shipped("base")
    )


def species(
    visited: pd.DataFrame, trees: pd.DataFrame, stands: pd.DataFrame, means: pd.DataFrame
) -> dict[str, Estimate]:
    """What the code says of each species of each place."""
    region, shared = shipped("base"), {tally.VOLUME_TABLE: TABLE_CV}
    if alike is None:
        whose = trees["stand_id"].str.split(":").str[0]
        named = trees.assign(species=whose + ":" + trees["species"])
        each = tally.per_ac(visited, named, ("cords",), split="species")
        return tally.totals_by(("species",), each, stands, "cords", shared, LEVEL, region=region)["species"]
    cover = stands.set_index("stand_id")["cover"]
    table = pd.concat([means, plots.means(plots.plot_sums(visited, trees))], ignore_index=True)
    most = unseen.limits(table, visited, cover, region=region)
    tree = (most / region.figure("defaults_sampling", "unseen_trees")).assign(bdft=0.0)
    words = {"cords": shared, "bdft": shared}
    of = of_species(visited, trees.assign(bdft=0.0), stands, tree, words, region=region)
    told = of.totals("cords", "parcel_id", LEVEL, region=region)
    return {f"{place}:{kind}": e for place, kinds in told.items() for kind, e in kinds.items()}


def judged(design: Design, places: int, seed: int = 11) -> pd.DataFrame:
    """One row for each estimate: of what, truth, value, low, high."""
    hand_in = handed_in(design, places, seed)
    whole = hand_in.truth.sum(axis=2)
    known = hand_in.stands.assign(truth=whole.ravel())
    truths = {
        "stand": known.set_index("stand_id")["truth"],
        "parcel": known.groupby("half")["truth"].sum(),
        "place": known.groupby("place")["truth"].sum(),
        "species": pd.Series(
            hand_in.truth.sum(axis=1).ravel(),
            index=[f"{one}:{kind}" for one in range(places) for kind in SPECIES],
        ),
    }
    rows = []
    for of, estimates in told(design, hand_in).items():
        frame = pd.DataFrame(
            {"value": [e.value for e in estimates.values()], "low": [e.low for e in estimates.values()]},
            index=list(estimates),
            dtype=float,
        )
        frame["high"] = np.array([e.high for e in estimates.values()], dtype=float)
        frame["truth"] = truths[of].reindex(frame.index)
        frame["of"] = of
        if of == "species":
            frame["low"] = frame["low"].mask((frame["value"] == 0) & frame["high"].notna(), 0.0)
        if design.first and of == "stand":
            frame.loc[frame.index.str.endswith(":0"), "of"] = "first stand"
        rows.append(frame)
    return pd.concat(rows).assign(design=design.name)


def summed(rows: pd.DataFrame) -> pd.DataFrame:
    """Coverage, misses, widths and shares without a range by design and what is told."""
    ranged = rows["low"].notna() & rows["high"].notna()
    truth = rows["truth"]
    width = (100.0 * (rows["high"] - rows["low"]) / 2.0 / truth).where(rows["value"] > 0)
    out = rows[["design", "of"]].assign(
        held=(100.0 * ((rows["low"] <= truth) & (truth <= rows["high"]))).where(ranged),
        below=(100.0 * (rows["high"] < truth)).where(ranged),
        above=(100.0 * (rows["low"] > truth)).where(ranged),
        width=width,
        none=100.0 * ~ranged,
        outside=100.0 * (ranged & ~((rows["low"] <= rows["value"]) & (rows["value"] <= rows["high"]))),
    )
    by = out.groupby(KEYS, sort=False)
    table = by[["held", "below", "above", "none", "outside"]].mean()
    table.insert(3, "median_width", by["width"].median())
    table.insert(4, "mean_width", by["width"].mean())
    return table.reset_index()


def _beside(checkout: str, asked: argparse.Namespace) -> pd.DataFrame:
    """The same table by the code of another checkout."""
    with tempfile.TemporaryDirectory() as folder:
        kept = str(Path(folder) / "table.csv")
        command = [sys.executable, __file__, "--places", str(asked.places), "--only", asked.only, "--csv", kept]
        subprocess.run(command, check=True, env=os.environ | {"PYTHONPATH": checkout}, stdout=subprocess.DEVNULL)
        return pd.read_csv(kept)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--places", type=int, default=2000)
    parser.add_argument("--only", default="", help="designs whose name holds this word")
    parser.add_argument("--beside", help="another checkout whose code runs on the same draws")
    parser.add_argument("--csv", help="keep the table here too")
    asked = parser.parse_args()
    wanted = [one for one in designs() if asked.only in one.name]
    if not wanted:
        parser.error(f"no design holds {asked.only!r}: {', '.join(one.name for one in designs())}")
    other = _beside(asked.beside, asked).set_index(KEYS)[["held", "median_width", "none"]] if asked.beside else None
    tables = []
    for one in wanted:
        table = summed(judged(one, asked.places))
        tables.append(table)
        shown = table if other is None else table.join(other.add_suffix(" there"), on=KEYS)
        shown = shown.round(1).astype(object).where(shown.notna(), "-")
        words = {name: f"{name:>13}" for name in shown.columns[2:]}
        if len(tables) == 1:
            print(f"{KEYS[0]:22}{KEYS[1]:15}", *words.values())
        for row in shown.to_dict("records"):
            print(
                f"{row['design']:22}{row['of']:15}", *(f"{row[name]:>{len(words[name])}}" for name in words), flush=True
            )
    if asked.csv:
        pd.concat(tables, ignore_index=True).to_csv(asked.csv, index=False)


if __name__ == "__main__":
    main()
