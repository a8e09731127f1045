"""What plots visited again tell: how single trees grew, how many died, and how the basal area of a stand moved.

Seasons   seasons_between
Visits    Again, again, measured_twice, fates, basal_moves

A forester trusts what a wood did between two visits more than any table, as far as the number of trees and plots
carries it: few trees die in ten years, and single plots jump.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from woodlot import ledger as book_lines
from woodlot.region import Region
from woodlot.stand.plots import expand, plot_sums
from woodlot.trade import FELLED_KINDS
from woodlot.tree.growth import growth_default, remeasured

__all__ = ["Again", "again", "basal_moves", "fates", "measured_twice", "seasons_between"]


@dataclass(frozen=True)
class Again:
    """What plots visited again tell.

    twice: trees measured twice, as cores; fates: numbered trees of the earlier visit, stand_id, species, dbh_in, years,
    died (yes/no); moves: of plots whose trees bear no numbers, by stand, stand_id, plots, since, until, years,
    sqft_per_yr (basal area gained a year [sq ft/ac]) and its error se.
    """

    twice: pd.DataFrame
    fates: pd.DataFrame
    moves: pd.DataFrame


def seasons_between(first: pd.Series, last: date | pd.Series, *, region: Region) -> np.ndarray:
    """Growing seasons (first of July) between days and a last day; 0 where the first is missing or later."""
    month = int(growth_default("season_month", region=region))
    start = pd.to_datetime(first)
    end = pd.Series(pd.Timestamp(last), index=start.index) if isinstance(last, date) else pd.to_datetime(last)
    begun, ended = (one.dt.year + (one.dt.month >= month) for one in (start, end))
    return (ended - begun).fillna(0).clip(lower=0).astype(int).to_numpy()


def again(
    earlier_plots: pd.DataFrame,
    earlier_trees: pd.DataFrame,
    plots: pd.DataFrame,
    trees: pd.DataFrame,
    book: pd.DataFrame,
    times: pd.Series | None = None,
    *,
    region: Region,
) -> Again:
    """What plots visited again tell, from the visit before the last to the last; the first four tables are ``Place``'s,
    book is the ledger, times is what the plots of either visit are multiplied by (``plot_times.PlotTimes``).
    """
    before = earlier_plots.sort_values("date").drop_duplicates("plot_id", keep="last")
    both = plots[["plot_id", "stand_id", "date"]].merge(
        before[["plot_id", "date"]], on="plot_id", suffixes=("", "_then")
    )
    both["seasons"] = seasons_between(both["date_then"], both["date"], region=region)
    first = earlier_trees.merge(before[["plot_id", "date"]], on=["plot_id", "date"])
    second = trees.merge(both[["plot_id", "stand_id"]], on="plot_id")
    old, new = first[first["tree"].notna()], second[second["tree"].notna()]
    met = old[["plot_id", "tree"]].merge(new[["plot_id", "tree"]])["plot_id"].unique()
    unnumbered = both[~both["plot_id"].isin(met) & (both["seasons"] > 0)]
    return Again(
        measured_twice(first, second, both),
        fates(old, second, both[both["plot_id"].isin(met)], book),
        basal_moves(before, first, plots, trees, unnumbered, times),
    )


def measured_twice(first: pd.DataFrame, second: pd.DataFrame, both: pd.DataFrame) -> pd.DataFrame:
    """Trees of plots visited again, as cores: growth from one visit to the next, by the seasons between.

    first, second: trees of the two visits; both: plot_id and seasons. The frame has the columns of cores, and ``twice``
    which is yes.
    """
    return remeasured(first, second, both.set_index("plot_id")["seasons"]).assign(twice=True)


def fates(old: pd.DataFrame, second: pd.DataFrame, both: pd.DataFrame, book: pd.DataFrame) -> pd.DataFrame:
    """What became of the live numbered trees of the first visit (``Again.fates``).

    A tree that is not found again has died, unless the ledger notes felling in its stand (or in no stand) between the
    visits, or a tree without a number stands on its plot: then nobody knows, and it is left out. So is one of another
    species.
    """
    trees = old[old["alive"].fillna(True).astype(bool)].drop(columns="date").merge(both, on="plot_id")
    now = second.loc[second["tree"].notna(), ["plot_id", "tree", "species", "alive"]]
    trees = trees.merge(now, on=["plot_id", "tree"], how="left", suffixes=("", "_now"))
    lost = trees["species_now"].isna()
    nameless = trees["plot_id"].isin(second.loc[second["tree"].isna(), "plot_id"])
    sure = np.where(lost, ~nameless & ~_felled(trees, book), trees["species_now"] == trees["species"])
    died = lost | ~trees["alive_now"].fillna(True).astype(bool)
    told = trees[["stand_id", "species", "dbh_in"]].assign(years=trees["seasons"], died=died)
    return told[sure & (told["years"] > 0)].reset_index(drop=True)


def _felled(trees: pd.DataFrame, book: pd.DataFrame) -> np.ndarray:
    """Whether the ledger notes felling in the stand of each tree, or in no stand, between date_then and date."""
    lines = book_lines.standing(book) if len(book) else book
    lines = lines[lines["kind"].isin(FELLED_KINDS)]
    day, stand = pd.to_datetime(lines["date"]).to_numpy(), lines["stand_id"]
    since, until = (pd.to_datetime(trees[name]).to_numpy()[:, None] for name in ("date_then", "date"))
    here = stand.isna().to_numpy() | (trees["stand_id"].to_numpy(dtype=object)[:, None] == stand.to_numpy(dtype=object))
    felled: np.ndarray = (here & (day > since) & (day <= until)).any(axis=1)
    return felled


def basal_moves(
    before: pd.DataFrame,
    first: pd.DataFrame,
    plots: pd.DataFrame,
    trees: pd.DataFrame,
    both: pd.DataFrame,
    times: pd.Series | None = None,
) -> pd.DataFrame:
    """How live basal area moved on plots visited again whose trees bear no numbers (``Again.moves``).

    before, plots: the plots of the two visits; first, trees: their trees; both: the plots that count, with stand_id,
    date_then, date and seasons; times: as of ``again``. A plot counts whole trees, so each change is off by the
    rounding of two counts on top of what plots differ.
    """
    names = ["stand_id", "plots", "since", "until", "years", "sqft_per_yr", "se"]
    if not len(both):
        return pd.DataFrame({name: [] for name in names})
    then, now = (
        _basal(visited[visited["plot_id"].isin(both["plot_id"])], tallied, times).reindex(both["plot_id"])
        for visited, tallied in ((before, first), (plots, trees))
    )
    years = both["seasons"].to_numpy()
    one = np.fmax(then["tree"].to_numpy(), now["tree"].to_numpy()) / years
    each = both.assign(per_yr=(now["basal"] - then["basal"]).to_numpy() / years, one_tree=np.square(one) / 6.0)
    by = each.groupby("stand_id")
    out = pd.DataFrame({"plots": by.size(), "since": by["date_then"].min(), "until": by["date"].max()})
    out["years"], out["sqft_per_yr"] = by["seasons"].mean(), by["per_yr"].mean()
    out["se"] = np.sqrt((by["per_yr"].var() + by["one_tree"].mean()) / by.size())
    return out.reset_index()[names]


def _basal(plots: pd.DataFrame, trees: pd.DataFrame, times: pd.Series | None) -> pd.DataFrame:
    """Live basal area of each plot and of one tree of it [sq ft/ac], by plot_id."""
    tally = expand(plots, trees[trees["plot_id"].isin(plots["plot_id"])], times)
    basal = plot_sums(plots, tally, ["basal_sqft_per_ac"]).set_index("plot_id")["amount"]
    live = tally[tally["alive"]].groupby("plot_id")["basal_sqft_per_ac"].mean()
    return pd.DataFrame({"basal": basal, "tree": live.reindex(basal.index)})
