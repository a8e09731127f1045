"""A cruise: what the plots of each stand say, with ranges.

Ranges        estimates, on_acres
Each stand    summary, fullness
"""

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, Reason, interval, reason, scale
from woodlot.region import Region
from woodlot.species import WOOD
from woodlot.stand.plots import (
    expand,
    means,
    plot_sums,
)
from woodlot.stand.spread import Spread, spread
from woodlot.stand.stocking import quadratic_mean_diameter_in, relative_density_ducey_2010
from woodlot.stand.trimmed import sides
from woodlot.trade import FEW_TO_ENOUGH

__all__ = ["estimates", "fullness", "on_acres", "summary"]

Shared = Mapping[str, float | pd.Series]


#: Stands that are named as having helped; more are counted.
NAMED = 4


def _chosen(name: str, *, region: Region) -> float:
    return region.figure("defaults_stand", name)


def _sampled(name: str, *, region: Region) -> float:
    return region.figure("defaults_sampling", name)


def estimates(
    table: pd.DataFrame,
    unit: str,
    shared: Shared | None = None,
    level: float = LEVEL,
    *,
    region: Region,
    cover: pd.Series | None = None,
) -> dict[str, Estimate]:
    """An Estimate for each stand of a table of means, on an acre of it.

    Parameters
    ----------
    table
        Rows of ``plots.means`` for one thing, one row a stand. se and df may come from elsewhere than the stand's own
        plots, pool (may be missing) then names those that rest on one variance. unseen (may be missing): the most there
        may be where no plot holds any (``unseen.limits``).
    unit
        Unit of what comes out ("cords an acre").
    shared
        Name -> relative error that all plots share (a volume table), one number or a Series by stand_id.
    level
        Share of times the range should hold the truth.
    region
        Whose figures are used.
    cover
        Name of its like by stand_id (``spread.alike``, or the cover): such stands help each other's ranges. None, or
        missing: a stand stands alone with the usual spread.

    Returns
    -------
    stand_id -> Estimate, its value that of the stand's own plots. Ranges from one plot up (``spread``, ``trimmed``); se
    and df are those of the moderated spread. Where nothing was found the value is 0 without a range, ``high`` the most
    there may be, if known. No value where nothing was measured to take a ratio from. ``why`` says which, or who helped.

    Raises
    ------
    InputError
        For two rows of one stand, or a shared error that a stand with a mean lacks.
    """
    ids = table["stand_id"].astype(str)
    if ids.duplicated().any():
        raise InputError(f"one row a stand is wanted; more for {sorted(set(ids[ids.duplicated()]))}")
    cvs = {
        name: (cv.reindex(ids) if isinstance(cv, pd.Series) else pd.Series(cv, index=ids)).to_numpy(dtype=float)
        for name, cv in (shared or {}).items()
    }
    mean = table["mean"].to_numpy(dtype=float)
    lost = np.any([np.isnan(cv) for cv in cvs.values()], axis=0) & (mean > 0) if cvs else np.zeros(len(ids), bool)
    if lost.any():
        raise InputError(f"stand {ids[lost].iloc[0]} has a mean but no shared error among {', '.join(cvs)}")
    n = table["n"].to_numpy(dtype=int)
    told = spread(table, cover, region=region)
    down, up, like = _sides(told, np.log(np.where(mean > 0, mean, 1.0)), n, level, region=region)
    whys = _whys(ids.to_numpy(dtype=object), told, down, up, mean / np.exp(like), n, level, region=region)
    se = mean * np.sqrt(told.c2 / np.maximum(n, 1))
    unseen = table["unseen"] if "unseen" in table else pd.Series(np.nan, index=table.index)
    pools = [one if isinstance(one, str) else None for one in table.get("pool", [None] * len(table))]
    rows = zip(
        ids, mean.tolist(), se.tolist(), told.df.tolist(), n.tolist(), table["plots"].tolist(),
        unseen.tolist(), down.tolist(), up.tolist(), whys, pools, strict=True,
    )  # fmt: skip
    out = {}
    for at, (stand, value, error, df, samples, plots, most, low, high, why, pool) in enumerate(rows):
        words: dict[str, Any] = {"unit": unit, "level": level, "n": samples}
        if np.isnan(value):
            out[stand] = Estimate(None, why=reason("counted only"), **words)
        elif value == 0:
            out[stand] = _none_seen(plots, most, region=region, **words)
        else:
            own = {name: float(cv[at]) for name, cv in cvs.items() if not np.isnan(cv[at])}
            reach = None if np.isnan(low) else (low, high)
            out[stand] = interval(
                value, se=error, df=df, shared=own, least_n=1, why=why, sides=reach, pool=pool, **words
            )  # fmt: skip
    return out


def on_acres(per_ac: Mapping[str, Estimate], acres: pd.Series, unit: str) -> dict[str, Estimate]:
    """What each stand holds by what stands on an acre of it.

    Parameters
    ----------
    per_ac
        Result of ``estimates``.
    acres
        Working acres by stand_id [ac].
    unit
        Unit of what comes out ("cords").

    Raises
    ------
    InputError
        For a stand without acres.
    """
    ground = acres.reindex(list(per_ac)).astype(float)
    if ground.isna().any():
        raise InputError(f"no acres for stands {', '.join(ground.index[ground.isna()])}")
    return {
        stand: scale(e, ac, unit, ground_ac=ac) for (stand, e), ac in zip(per_ac.items(), ground.tolist(), strict=True)
    }


def _none_seen(plots: int, most: float, *, unit: str, region: Region, **words: Any) -> Estimate:
    """A stand of which no plot holds any: 0, and the most there may be; off in a sum by one tree on one plot."""
    why = reason("nothing on plots", plots=plots)
    if not np.isfinite(most):
        return Estimate(0.0, unit, se=0.0, why=why, **words)
    one, df = most / _sampled("unseen_trees", region=region), _sampled("usual_df", region=region)
    return Estimate(0.0, unit, high=most, se=one, df=df, why=why, **words)


def _sides(
    told: Spread, y: np.ndarray, n: np.ndarray, level: float, *, region: Region
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """How far each range reaches down and up on logarithms, and the logarithm of what its like hold."""
    out = np.full((3, len(y)), np.nan)
    for one in range(told.group.max(initial=-1) + 1):
        at = np.flatnonzero(told.group == one)
        out[:, at] = sides(y[at], told.log_sd[at], told.df[at], n[at], level, region=region)
    return out[0], out[1], out[2]


def _whys(
    ids: np.ndarray,
    told: Spread,
    down: np.ndarray,
    up: np.ndarray,
    over: np.ndarray,
    n: np.ndarray,
    level: float,
    *,
    region: Region,
) -> list[Reason | None]:
    """Who helped each range and which of its ends came in; ``over``: what it holds over what its like hold."""
    from scipy.special import stdtrit

    odd = _sampled("odd_times", region=region)
    plain = told.log_sd * stdtrit(told.df, 0.5 + level / 2.0)
    trimmed = np.isfinite(down)
    ends = np.select([(down < plain) & (up < plain), up < plain, down < plain], ["both", "high", "low"], "")
    wider = trimmed & (down + up > 2.0 * plain) & ((over > odd) | (over < 1.0 / odd))
    members = {one: np.flatnonzero(told.group == one) for one in np.unique(told.group[told.group >= 0])}
    lenders = {one: at[told.helps[at]] for one, at in members.items()}
    out: list[Reason | None] = []
    for at, (group, one) in enumerate(zip(told.group.tolist(), trimmed.tolist(), strict=True)):
        of = (members if one else lenders).get(group, np.empty(0, int))
        named = [ids[k] for k in of[: NAMED + 1] if k != at][:NAMED]
        more = len(of) - int(one or told.helps[at]) - len(named)
        if named:
            way = ("less" if over[at] < 1.0 else "more") if wider[at] else ""
            facts = {"end": str(ends[at]), "odd": way, "patchier": bool(told.patchier[at])}
            out.append(reason("helped", stands=tuple(named), more=more, **facts))
        else:
            out.append(reason("usual spread") if n[at] == 1 else None)
    return out


def summary(
    plots: pd.DataFrame, trees: pd.DataFrame, stand_ids: Iterable[str] | None = None, *, region: Region
) -> pd.DataFrame:
    """One row a stand: how it was measured, basal area, trees, diameters, fullness, dead trees.

    Parameters
    ----------
    plots, trees
        As for ``plots.plot_sums``.
    stand_ids
        Stands to have a row, also those without a plot; None for those with plots.
    region
        Whose figures are used.

    Returns
    -------
    Frame with stand_id; plots; empty_plots (no live tree); measured_on (last date); how ("measured", "few plots",
    "one plot", "empty plots", "none"); basal_sqft_per_ac, basal_se, trees_per_ac, trees_se; qmd_in; mean_dbh_in;
    relative_density (share of full, live trees); dead_trees_per_ac, dead_basal_sqft_per_ac. What
    was not measured is missing.
    """
    expanded = trees if "ratio_from" in trees else expand(plots, trees)
    one = expanded.assign(inches=expanded["dbh_in"].astype(float), fullness=fullness(expanded, region=region))
    live = means(plot_sums(plots, one, ["trees_per_ac", "basal_sqft_per_ac", "inches", "fullness"]))
    dead = means(plot_sums(plots, expanded, alive=False))
    visited = plots.assign(stand_id=plots["stand_id"].astype(str), plot_id=plots["plot_id"].astype(str))
    visited["empty"] = ~visited["plot_id"].isin(expanded.loc[expanded["alive"], "plot_id"].astype(str))
    by_stand = visited.groupby("stand_id", sort=False)
    out = pd.DataFrame({"plots": by_stand.size(), "empty_plots": by_stand["empty"].sum()})
    out["measured_on"] = by_stand["date"].max() if "date" in visited else pd.NaT
    basal, stems = _of(live, "basal_sqft_per_ac"), _of(live, "trees_per_ac")
    out["basal_sqft_per_ac"], out["basal_se"] = basal["mean"], basal["se"]
    out["trees_per_ac"], out["trees_se"] = stems["mean"], stems["se"]
    out["qmd_in"] = quadratic_mean_diameter_in(out["basal_sqft_per_ac"], out["trees_per_ac"])
    out["mean_dbh_in"] = _of(live, "inches")["mean"] / stems["mean"].where(stems["mean"] > 0)
    out["relative_density"] = _of(live, "fullness")["mean"]
    out["dead_trees_per_ac"] = _of(dead, "trees_per_ac")["mean"]
    out["dead_basal_sqft_per_ac"] = _of(dead, "basal_sqft_per_ac")["mean"]
    if stand_ids is not None:
        out = out.reindex(pd.Index([str(s) for s in stand_ids], name="stand_id"))
    out[["plots", "empty_plots"]] = out[["plots", "empty_plots"]].fillna(0).astype(int)
    few = out["plots"] < _chosen("least_plots", region=region)
    out["how"] = np.select(
        [out["plots"] == 0, out["plots"] == out["empty_plots"], out["plots"] == 1, few],
        list(FEW_TO_ENOUGH),
        "measured",
    )
    return out.reset_index()


def fullness(trees: pd.DataFrame, *, region: Region) -> pd.Series:
    """What each tallied tree adds to the relative density of its stand, for each such tree on an acre."""
    wood = _wood_sg(trees["species"], region=region)
    full = relative_density_ducey_2010(trees["dbh_in"].astype(float), 1.0, wood, region=region)
    return pd.Series(full, index=trees.index)


def _wood_sg(species: pd.Series, *, region: Region) -> pd.Series:
    """Specific gravity of each tree's wood; the usual one for a species without a row."""
    region.species.read_rows(WOOD, species.dropna().astype(str).unique().tolist())
    return species.map(region.species.rows(WOOD)["wood_sg"]).fillna(_chosen("wood_sg", region=region))


def _of(table: pd.DataFrame, what: str) -> pd.DataFrame:
    return table[table["what"] == what].set_index("stand_id")
