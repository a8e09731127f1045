"""Rasters at the plots: the height of the trees seen from above helps the plots of a stand to tell its cords.

At the plots    above, Above
One cover       regressed, Regressed
The stands      helped, Helped

A sawyer wants from it a number nearer to the wood that stands there for the same plots, told from his own plots and
never from the picture alone: a line of cords on height over the plots of a cover says what the ground between the plots
holds, and what the stand's own plots lie above or below that line is added whole (the difference estimator). Where the
picture tells nothing the plots stand as they are, and it is said why.

Only readings whose mean over a stand is the mean over its pixels are used (height, and shares of the ground above some
heights); a percentile of a stand is no mean of percentiles at plots. Height of the ground says too little of wood.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import Reason, reason
from woodlot.land.ground import in_feet, layer, zonal
from woodlot.land.parcels import local_ft
from woodlot.region import Region
from woodlot.stand import spread

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Above", "Helped", "Regressed", "above", "helped", "regressed"]

#: What a family must have said of picture and plots (part [rasters_at_plots] of place.toml).
ASKED = ("canopy_year", "positions_ft", "by_picture")
#: Shrinkings of a ridge that are tried.
ALPHAS = (0.1, 1.0, 10.0, 100.0)
#: Reasons that are parts of one sentence: which stands and covers are told by their plots alone.
PARTS = ("picture not for stands", "picture not for cover")


@dataclass(frozen=True)
class Above:
    """Readings at plots and stands.

    plots: by plot_id, stands: by stand_id; columns are readings, best first; rows only of stands that may be helped.
    asked: questions to the family; refused: why stands or all of them are told by their plots alone.
    """

    plots: pd.DataFrame
    stands: pd.DataFrame
    asked: tuple[Reason, ...] = ()
    refused: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class Regressed:
    """A cover's plots with the picture's help.

    mean, se, used: of each stand; df; gain: error of plots left out over that without the picture; in_stands: the same
    of the spread within stands; left_out: residuals of plots left out; spread: their variance in a stand.
    """

    mean: np.ndarray
    se: np.ndarray
    used: np.ndarray
    df: float
    gain: float
    in_stands: float
    left_out: np.ndarray
    spread: float


@dataclass(frozen=True)
class Helped:
    """Stands that the picture helps.

    stands: by stand_id: times (what each live tree stands for, over what it stood for), se, df and pool (name of those
    whose se rests on one variance) of cords an acre, before and after (cords an acre), plots (of the cover). moved,
    asked, refused: what is to be said.
    """

    stands: pd.DataFrame
    moved: tuple[Reason, ...] = ()
    asked: tuple[Reason, ...] = ()
    refused: tuple[Reason, ...] = ()

    def remarks(self, stands: Sequence[str] | None = None) -> tuple[Reason, ...]:
        """What moved some stands (None: any) and what is asked of the family."""
        return (*_of_stands(self.moved, stands), *self.asked)

    def said_of(self, stands: Sequence[str] | None = None) -> tuple[Reason, ...]:
        """The same, and why others among them are told by their plots alone: in one sentence."""
        refused = _of_stands(self.refused, stands)
        parts = tuple(one for one in refused if one.key in PARTS)
        alone = [reason("by plots alone", parts=parts)] if parts else []
        return (*self.remarks(stands), *(one for one in refused if one.key not in PARTS), *alone)

    def on_trees(self, trees: pd.DataFrame) -> pd.DataFrame:
        """Tallied trees (``plots.expand``) with what each live one stands for as the picture moves it."""
        if not len(self.stands):
            return trees
        times = trees["stand_id"].map(self.stands["times"]).fillna(1.0).where(trees["alive"], 1.0)
        return trees.assign(**{name: trees[name] * times for name in ("trees_per_ac", "basal_sqft_per_ac")})

    def on_means(self, table: pd.DataFrame) -> pd.DataFrame:
        """Means of ``on_trees`` with the errors of cords that the picture leaves; other things keep their own."""
        if not len(self.stands):
            return table
        rows = self.stands.reindex(table["stand_id"])
        now = (table["what"] == "cords").to_numpy() & rows["se"].notna().to_numpy()
        out = table.copy()
        for name in ("se", "df"):
            out[name] = np.where(now, rows[name].to_numpy(), table[name])
        cv = 100.0 * out["se"] * np.sqrt(out["n"]) / out["mean"].where(out["mean"] > 0)
        return out.assign(cv_pct=cv.where(now, table["cv_pct"]), pool=rows["pool"].where(now).to_numpy())


def _of_stands(whys: Sequence[Reason], stands: Sequence[str] | None) -> tuple[Reason, ...]:
    """Reasons of some stands alone (None: of all), naming no other; those that name none stay."""
    if stands is None:
        return tuple(whys)
    out = []
    for one in whys:
        facts = dict(one.facts)
        if "stands" in facts:
            facts["stands"] = tuple(s for s in facts["stands"] if (s if isinstance(s, str) else s[0]) in stands)
        if facts.get("stands", True):
            out.append(Reason(one.key, tuple(facts.items())))
    return tuple(out)


def above(
    stands: "gpd.GeoDataFrame",
    plots: pd.DataFrame,
    raster: str | Path | None,
    said: Mapping[str, Any],
    felled: pd.DataFrame,
    *,
    region: Region,
) -> Above | None:
    """Height of the trees at every plot and over every stand that the conditions let in; None where nobody asks for it.

    Parameters
    ----------
    stands
        stand_id, cover and outlines in longitude and latitude.
    plots
        Every plot visited: plot_id, stand_id, date, lon, lat.
    raster
        Heights of the trees; None without one.
    said
        What the family said of picture and plots: use, canopy_year, positions_ft, by_picture.
    felled
        Ledger lines of felled wood that count: date, stand_id.
    region
        Whose figures are used.
    """
    if raster is None or said.get("use") is False or not len(plots):
        return None
    at = plots.assign(plot_id=plots["plot_id"].astype(str), stand_id=plots["stand_id"].astype(str))
    ground = stands.set_index(stands["stand_id"].astype(str))
    at = at[at["stand_id"].isin(ground.index)]
    least = int(region.figure("defaults_sampling", "raster_plots"))
    lies = at["lon"].notna() & at["lat"].notna()
    lacking = tuple(key for key in ASKED if said.get(key) is None)
    like = at["stand_id"].map(spread.alike(stands, plots)).where(lies)
    most = _most_alike(like, at, lies, said.get("canopy_year"), felled, region=region) if lacking else _most(like)
    bare = pd.DataFrame(index=pd.Index([], dtype=str))
    if far := _unfit(said, region=region):
        return Above(bare, bare, refused=(far,))
    if most < least:
        return Above(bare, bare, refused=(reason("picture of few", plots=most, least=least),))
    if lacking:
        return Above(bare, bare, asked=(reason("picture asks", name=Path(raster).name, keys=lacking),))
    refused, fit = [], at
    for key, lost in _lost(at, lies, int(said["canopy_year"]), felled, region=region).items():
        if len(names := tuple(s for s in fit["stand_id"].unique() if s in lost)):
            refused.append(reason("picture not for stands", why=key, stands=names))
            fit = fit[~fit["stand_id"].isin(names)]
    if not len(fit):
        return Above(bare, bare, refused=tuple(refused))
    try:
        points, under = _readings(ground, fit, raster, most, region=region)
    except InputError as error:
        return Above(bare, bare, refused=(reason("raster not read", error=str(error)),))
    shown = under["covered_pct"] >= region.figure("defaults_sampling", "raster_covers_pct")
    blind = ~fit["stand_id"].map(shown).astype(bool).to_numpy() | points.isna().any(axis=1).to_numpy()
    out = tuple(fit.loc[blind, "stand_id"].unique())
    if out:
        refused.append(reason("picture not for stands", why="not shown", stands=out))
    keep = ~fit["stand_id"].isin(out).to_numpy()
    return Above(points[keep], under[points.columns].drop(index=list(out)), refused=tuple(refused))


def _unfit(said: Mapping[str, Any], *, region: Region) -> Reason | None:
    """Why no stand is helped, by how plots were laid and found, as far as it is said."""
    most, off = region.figure("defaults_sampling", "position_ft"), said.get("positions_ft")
    if said.get("by_picture"):
        return reason("plots by picture")
    return reason("positions off", off_ft=off, most_ft=most) if off is not None and off > most else None


def _most(like: pd.Series) -> int:
    """How many plots are alike at most."""
    return int(like.value_counts().max()) if like.notna().any() else 0


def _most_alike(
    like: pd.Series, at: pd.DataFrame, lies: pd.Series, year: int | None, felled: pd.DataFrame, *, region: Region
) -> int:
    """How many plots are alike at most that a picture fits: of a year, or of that which fits most."""
    known = pd.to_datetime(at["date"]).dt.year.dropna()
    off = int(region.figure("defaults_sampling", "raster_years"))
    years = range(int(known.min()) - off, int(known.max()) + off + 1) if len(known) else ()
    lost = [_lost(at, lies, one, felled, region=region).values() for one in (years if year is None else [int(year)])]
    return max((_most(like[~at["stand_id"].isin(set[str]().union(*some))]) for some in lost), default=0)


def _lost(at: pd.DataFrame, lies: pd.Series, year: int, felled: pd.DataFrame, *, region: Region) -> dict[str, set[str]]:
    """Stands whose plots the picture does not fit, by why."""
    day = pd.to_datetime(at["date"])
    apart = (day.dt.year - year).abs() > region.figure("defaults_sampling", "raster_years")
    span = pd.DataFrame({"stand_id": at["stand_id"], "day": day}).groupby("stand_id")["day"].agg(["min", "max"])
    cut = felled.dropna(subset="stand_id").assign(stand_id=lambda rows: rows["stand_id"].astype(str))
    ends = span.reindex(cut["stand_id"])
    when = pd.to_datetime(cut["date"]).to_numpy()
    first = np.minimum(ends["min"].to_numpy(), np.datetime64(f"{year}-01-01"))
    last = np.maximum(ends["max"].to_numpy(), np.datetime64(f"{year}-12-31"))
    between = (when >= first) & (when <= last)
    marks = {"no position": ~lies, "no day": day.isna(), "years apart": apart}
    return {key: set(at.loc[mark, "stand_id"]) for key, mark in marks.items()} | {
        "cut between": set(cut.loc[between, "stand_id"])
    }


def _readings(
    ground: "gpd.GeoDataFrame", at: pd.DataFrame, raster: str | Path, plots: int, *, region: Region
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Readings by plot_id, and by stand_id with covered_pct, in one reading; only those that so many plots of a cover
    may use.
    """
    import geopandas as gpd

    reach, share, step, most = (
        region.figure("defaults_sampling", name)
        for name in ("plot_reach_ft", "share_ft", "share_step_ft", "share_most_ft")
    )
    outlines = local_ft(ground[ground.index.isin(at["stand_id"])].geometry)
    spots = gpd.GeoSeries(gpd.points_from_xy(at["lon"], at["lat"]), index=at["plot_id"].to_numpy(), crs=4326)
    rounds = spots.to_crs(outlines.crs).buffer(reach)
    two, many = (region.figure("defaults_sampling", name) for name in ("two_readings_plots", "flexible_plots"))
    limits = [share] if plots >= two else []
    limits += [x for x in np.arange(step, most + step / 2.0, step) if x != share] if plots >= many else []
    with layer(raster) as sheet:
        both = zonal(pd.concat([rounds, outlines]), in_feet(sheet), ("mean", *(f"over {x:g}" for x in limits)))
    return both.iloc[: len(at)].drop(columns="covered_pct"), both.iloc[len(at) :]


def regressed(x: np.ndarray, y: np.ndarray, of: np.ndarray, whole: np.ndarray, rich: float = np.inf) -> Regressed:
    """Means of the stands of one cover by their plots and what a raster shows: the difference estimator.

    Parameters
    ----------
    x
        Readings at the plots, a row a plot.
    y
        What the plots hold an acre.
    of
        Number of the stand of each plot, from 0.
    whole
        The same readings over the whole of each stand, a row a stand.
    rich
        Times the mean of the plots above which a stand's plots are taken to spread in proportion to what it holds.

    Returns
    -------
    Regressed. used: stands whose readings lie within those of the plots, and whose mean stays above 0.

    Notes
    -----
    G = f(X) + mean of y - f(x) over the stand's plots, f a line (from two readings on a ridge); plot i left out is off
    by e/(1 - h); v = sum (e_loo - stand's mean)^2/(n - K), se = sqrt(v/n_stand), df = n - K - 1 with K stands.
    """
    from sklearn.linear_model import LinearRegression, Ridge, RidgeCV

    n, plots = len(y), np.bincount(of)
    middle, sd = x.mean(axis=0), x.std(axis=0)
    told = sd > 1e-9 * np.maximum(np.abs(middle), 1.0)
    z, far = (x - middle)[:, told] / sd[told], (whole - middle)[:, told] / sd[told]
    alpha = float(RidgeCV(ALPHAS).fit(z, y).alpha_) if z.shape[1] > 1 else 0.0
    if z.shape[1]:
        line = (Ridge(alpha) if alpha else LinearRegression()).fit(z, y)
        off, there = y - line.predict(z), line.predict(far)
        pull = np.linalg.solve(z.T @ z + alpha * np.eye(z.shape[1]), z.T)
    else:
        off, there, pull = y - y.mean(), np.full(len(whole), y.mean()), np.zeros((0, n))
    left_out = off / (1.0 - 1.0 / n - np.einsum("ij,ji->i", z, pull))

    def within(one: np.ndarray) -> float:
        """Sum of squares round the means of the stands."""
        return float(np.sum((one - (np.bincount(of, one) / plots)[of]) ** 2))

    of_stand = within(left_out) / (n - len(plots)) if n > len(plots) else np.nan
    alone = float(np.sum((y - y.mean()) ** 2)) * (n / (n - 1.0)) ** 2
    over_all = np.sqrt(np.sum(left_out**2) / alone) if alone > 0 else np.inf
    in_stands = np.sqrt(within(left_out) / within(y)) if within(y) > 0 else np.inf
    mean = there + np.bincount(of, off) / plots
    inside = ((whole >= x.min(axis=0)) & (whole <= x.max(axis=0))).all(axis=1)
    return Regressed(
        mean=mean,
        se=np.sqrt(of_stand / plots) * np.maximum(mean / (rich * y.mean()), 1.0),
        used=inside & (mean > 0),
        df=float(n - len(plots) - 1),
        gain=float(over_all),
        in_stands=float(in_stands),
        left_out=left_out,
        spread=of_stand,
    )


def helped(seen: Above | None, sums: pd.DataFrame, like: pd.Series, cover: pd.Series, *, region: Region) -> Helped:
    """Stands that the picture helps, cover by cover, and why others are told by their plots alone.

    Parameters
    ----------
    seen
        Result of ``above``.
    sums
        Cords of live trees by plot (``plots.plot_sums``).
    like
        Names of those that may help each other, by stand_id (``spread.alike``).
    cover
        Cover by stand_id.
    region
        Whose figures are used.
    """
    none = pd.DataFrame({name: pd.Series(dtype=float) for name in ("times", "se", "df", "before", "after", "plots")})
    none["pool"] = pd.Series(dtype=object)
    if seen is None:
        return Helped(none)
    if not len(seen.plots):
        return Helped(none, (), seen.asked, seen.refused)
    rows = sums[sums["plot_id"].isin(seen.plots.index)]
    names = rows["stand_id"].map(like)
    out, moved, refused = [none], [], list(seen.refused)
    for name, one in rows.groupby(names, sort=True):
        some, why, why_not = _of_cover(str(cover[one["stand_id"].iloc[0]]), seen, one, region=region)
        out.append(some.assign(pool=name))
        moved += why
        refused += why_not
    return Helped(pd.concat(out), tuple(moved), seen.asked, _once(refused))


def _once(whys: Sequence[Reason]) -> tuple[Reason, ...]:
    """Refusals, a cover of which few plots of any kind may be used named once, with the most that are alike."""
    few: dict[str, Reason] = {}
    for one in whys:
        facts = dict(one.facts)
        if facts.get("why") == "few":
            was: dict[str, Any] = {"stands": (), "plots": 0}
            was |= dict(few[facts["cover"]].facts) if facts["cover"] in few else {}
            both = {"stands": (*was["stands"], *facts["stands"]), "plots": max(was["plots"], facts["plots"])}
            few[facts["cover"]] = Reason(one.key, tuple((facts | both).items()))
    others = [one for one in whys if dict(one.facts).get("why") != "few"]
    return tuple(others + list(few.values()))


def _of_cover(
    cover: str, seen: Above, rows: pd.DataFrame, *, region: Region
) -> tuple[pd.DataFrame, list[Reason], list[Reason]]:
    """The stands of one cover that are helped, what moved, and why not."""
    least, two, many, most_gain = (
        region.figure("defaults_sampling", name)
        for name in ("raster_plots", "two_readings_plots", "flexible_plots", "raster_gain")
    )
    of, ids = pd.factorize(rows["stand_id"], sort=True)
    n = len(rows)
    none = pd.DataFrame()

    def no(why: str, **facts: Any) -> tuple[pd.DataFrame, list[Reason], list[Reason]]:
        return none, [], [reason("picture not for cover", why=why, cover=cover, stands=tuple(ids), **facts)]

    if n < least:
        return no("few", plots=n, least=int(least))
    if n - len(ids) < 2:
        return no("few in a stand", plots=n, of=len(ids))
    columns = list(seen.plots.columns)[: 1 if n < two else 2 if n < many else None]
    x, whole = seen.plots.loc[rows["plot_id"], columns].to_numpy(), seen.stands.loc[ids, columns].to_numpy()
    y = rows["spread"].to_numpy()
    told = regressed(x, y, of, whole, region.figure("defaults_sampling", "rich_times"))
    if not (told.gain < most_gain and told.in_stands < 1.0):
        return no("no gain", gain=told.gain, plots=n)
    before = np.bincount(of, y) / np.bincount(of)
    used = told.used & (before > 0)
    ratio = told.mean**2 * rows.groupby(of)["r2"].first().to_numpy()
    free = rows.groupby(of)["r_df"].first().to_numpy()
    table = pd.DataFrame(
        {
            "times": told.mean / np.where(before > 0, before, np.nan),
            "se": np.sqrt(told.se**2 + ratio),
            "df": _both(told.se**2, told.df, ratio, free),
            "before": before,
            "after": told.mean,
            "plots": n,
        },
        index=ids,
    )[used]
    why = [] if used.all() else [reason("picture not for stands", why="beyond", stands=tuple(ids[~used]))]
    moved = [reason("picture helped", cover=cover, plots=n, gain=told.gain, stands=_moves(table))] if used.any() else []
    return table, moved, why


def _moves(table: pd.DataFrame) -> tuple[tuple[str, float, float], ...]:
    return tuple(
        (str(s), float(a), float(b)) for s, a, b in zip(table.index, table["before"], table["after"], strict=True)
    )


def _both(points: np.ndarray, df: float, ratio: np.ndarray, free: np.ndarray) -> np.ndarray:
    """Degrees of freedom of the errors of points and of the ratio of measured trees together (Satterthwaite)."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(ratio > 0, (points + ratio) ** 2 / (points**2 / df + ratio**2 / free), df)
