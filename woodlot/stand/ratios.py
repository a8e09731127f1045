"""Trees counted with the prism but not measured: what they share in, as ratios of sums over measured trees.

What a sawyer wants: the wood of a stand from many quick counts and a few trees measured well, and a range that knows
both. A counted tree brings its basal area and nothing else. Whatever is wanted of it (stems, wood, board feet) is its
basal area times the ratio "wanted per basal area" of measured trees: those of its own species in its stand; else all in
its stand; else its species in other stands of the cover; else all there; else its species anywhere; else all. Live and
dead trees never lend to each other. Where nobody wrote its kind, it is of every kind that was measured, by basal area.
"""

from typing import Any

import numpy as np
import pandas as pd

__all__ = ["LENDERS", "errors", "filled", "judged", "kinds_shared", "lenders", "spread_out"]

#: Whom a counted tree borrows its ratio from, nearest first: name -> the columns in which lender and borrower agree.
LENDERS = {
    "own species here": ["alive", "stand_id", "species"],
    "here": ["alive", "stand_id"],
    "own species in cover": ["alive", "cover", "species"],
    "in cover": ["alive", "cover"],
    "own species elsewhere": ["alive", "species"],
    "elsewhere": ["alive"],
}
#: Where the kinds of counted trees are looked for, nearest first: columns in which lender and borrower agree.
_KINDS: tuple[list[str], ...] = (["alive", "stand_id"], ["alive", "cover"], ["alive"], [])
#: What a tree is where no tree of the whole place has a kind.
NO_KIND = "unknown hardwood"
#: Measured points of a stand from which on they tell whether full points also hold more wood per basal area.
MANY_POINTS = 10


def kinds_shared(trees: pd.DataFrame) -> pd.DataFrame:
    """Trees with those of no written kind parted among kinds, a row for each, by the basal area of measured trees.

    The measured trees are those of the stand; else of the cover; else of the place; else any tree with a kind.
    ``trees`` has alive, stand_id, cover, species (missing: not written), basal_sqft_per_ac, trees_per_ac, count and
    counted_only. The result has kind_shared, yes for the rows that came about so.
    """
    out = trees.assign(kind_shared=False)
    counted, named = trees["counted_only"].to_numpy(), trees["species"].notna().to_numpy()
    bare = counted & ~named
    if not bare.any():
        return out
    parts, left = [out[~bare]], bare.copy()
    for lend in (named & ~counted, named):
        for columns in _KINDS:
            group = _groups(trees, columns)
            rows = pd.DataFrame({"group": group, "species": trees["species"], "part": trees["basal_sqft_per_ac"]})
            shares = rows[lend].groupby(["group", "species"], sort=True)["part"].sum().reset_index()
            shares["part"] /= shares.groupby("group")["part"].transform("sum")
            has = left & np.isin(group, shares["group"].unique())
            parts.append(_parted(out[has], group[has], shares))
            left &= ~has
    parts.append(out[left].assign(species=NO_KIND, kind_shared=True))
    return pd.concat([one for one in parts if len(one)], ignore_index=True)


def _parted(rows: pd.DataFrame, group: np.ndarray, shares: pd.DataFrame) -> pd.DataFrame:
    """Rows of no kind, each once for every kind of its group, with that kind's share of it."""
    both = rows.drop(columns="species").assign(group=group, kind_shared=True).merge(shares, on="group")
    for name in ("count", "trees_per_ac", "basal_sqft_per_ac"):
        both[name] = both[name] * both["part"]
    return both.drop(columns=["group", "part"])


def _groups(trees: pd.DataFrame, columns: list[str]) -> np.ndarray:
    if not columns:
        return np.zeros(len(trees), dtype=int)
    return trees.groupby(columns, sort=False, dropna=False).ngroup().to_numpy()


def lenders(trees: pd.DataFrame) -> pd.Series:
    """For each tree whom it borrows from: "" for a measured one, a name of LENDERS, or "nobody".

    ``trees`` has alive, stand_id, cover, species, basal_sqft_per_ac and counted_only.
    """
    measured = ~trees["counted_only"].to_numpy()
    out = pd.Series(np.where(measured, "", "nobody"), index=trees.index, dtype=object)
    if measured.all():
        return out
    for name, columns in LENDERS.items():
        group = _groups(trees, columns)
        has = np.bincount(group, measured, minlength=group.max() + 1) > 0
        out[(out == "nobody").to_numpy() & has[group]] = name
    return out


def filled(trees: pd.DataFrame, amount: np.ndarray) -> np.ndarray:
    """Amounts per acre with those of counted trees filled in; what stands at counted ones is not looked at.

    ``trees`` as for ``lenders``, with its result as the column ratio_from.
    """
    amount = np.array(amount, dtype=float)
    basal, measured = trees["basal_sqft_per_ac"].to_numpy(), ~trees["counted_only"].to_numpy()
    amount[~measured] = np.nan
    used = set(trees["ratio_from"])
    for name in (one for one in LENDERS if one in used):
        group, borrows = _groups(trees, LENDERS[name]), (trees["ratio_from"] == name).to_numpy()
        lent = np.bincount(group[measured], basal[measured], minlength=group.max() + 1)
        total = np.bincount(group[measured], amount[measured], minlength=group.max() + 1)
        with np.errstate(invalid="ignore", divide="ignore"):
            ratio = np.where(lent > 0, total / lent, np.nan)
        amount[borrows] = ratio[group[borrows]] * basal[borrows]
    return amount


def spread_out(trees: pd.DataFrame, columns: list[str], amounts: list[str]) -> pd.DataFrame:
    """Measured trees, and in place of each counted one the measured trees that it borrows from, in their shares.

    ``columns``: those of the borrower that the rows keep; ``amounts``: columns per acre. Counted trees that nobody
    lends to stay as they are.
    """
    keep = [*columns, "dbh_in", *amounts]
    measured, lost = ~trees["counted_only"], trees["ratio_from"] == "nobody"
    parts = [trees.loc[measured | lost, keep]]
    used = set(trees["ratio_from"])
    for name in (one for one in LENDERS if one in used):
        group = pd.Series(_groups(trees, LENDERS[name]), index=trees.index)
        borrows = trees["ratio_from"] == name
        sums = trees[borrows].assign(group=group).groupby(["group", *columns], sort=False, dropna=False)
        to = sums["basal_sqft_per_ac"].sum().rename("to").reset_index()
        lent = trees.loc[measured, ["dbh_in", *amounts]].assign(group=group)
        lent = lent[lent["group"].isin(to["group"])].groupby(["group", "dbh_in"])[amounts].sum().reset_index()
        whole = lent.groupby("group")["basal_sqft_per_ac"].transform("sum")
        both = to.merge(lent.assign(whole=whole), on="group")
        parts.append(both.assign(**{one: both[one] * both["to"] / both["whole"] for one in amounts})[keep])
    return pd.concat(parts, ignore_index=True)


def judged(
    one: pd.DataFrame, trees: pd.DataFrame, amount: np.ndarray, basal: np.ndarray, split: str | None
) -> pd.DataFrame:
    """Sums of plots with spread, r2 and r_df (``plots.plot_sums``); ``basal``: basal area of each row of them."""
    out = one.assign(spread=one["amount"], r2=0.0, r_df=np.inf)
    if not trees["counted_only"].any():
        return out
    by = ["stand_id", *([split] if split else [])]
    error = one[by].merge(errors(trees, amount, split), on=by, how="left")
    counted = error["whole"].notna().to_numpy()
    of_plot = pd.Series(basal).groupby(one["plot_id"].to_numpy()).transform("sum")
    rows = one[[*by, "amount"]].assign(basal=np.where(error["whole"].eq(True), of_plot, basal))
    total = rows.groupby(by, dropna=False)[["amount", "basal"]].transform("sum")
    level = total["amount"] / total["basal"].where(total["basal"] > 0) * rows["basal"]
    out["spread"] = np.where(counted & level.notna(), level, one["amount"])
    out["r2"], out["r_df"] = np.where(counted, error["r2"], 0.0), np.where(counted, error["r_df"], np.inf)
    return _together(out, trees, amount) if split is None else out


def _together(out: pd.DataFrame, trees: pd.DataFrame, amount: np.ndarray) -> pd.DataFrame:
    """Sums of plots whose r2 knows that full points hold more wood per basal area, where many points say so.

    Bruce's rule takes count and ratio for independent. Where thick trees also stand closer, they are not: the linear
    form of a ratio of sums (the count at the ratio of the stand, and what the plot's measured trees are off from it)
    is told by points alone; it serves where it is the less sure of the two.
    """
    measured = ~trees["counted_only"].to_numpy()
    at = pd.Index(out["plot_id"]).get_indexer(trees["plot_id"].astype(str))[measured]
    basal = trees["basal_sqft_per_ac"].to_numpy()[measured]
    wood, lent = (np.bincount(at, x, minlength=len(out)) for x in (np.asarray(amount)[measured], basal))
    rows = pd.DataFrame({"n": 1.0, "points": lent > 0, "spread": out["spread"], "wood": wood, "lent": lent})
    sums = rows.groupby(out["stand_id"].to_numpy()).transform("sum")
    with np.errstate(invalid="ignore", divide="ignore"):
        times = np.where(sums["wood"] > 0, sums["spread"] / sums["wood"], 0.0)
        off = times * (rows["wood"] - sums["wood"] / sums["lent"] * rows["lent"])
    count = rows["spread"] - sums["spread"] / sums["n"]
    more = ((count + off) ** 2 - count**2).groupby(out["stand_id"].to_numpy()).transform("sum")
    r2 = sums["n"] / (sums["n"] - 1.0) * more / sums["spread"].where(sums["spread"] > 0) ** 2
    less_sure = (sums["points"] >= MANY_POINTS) & (r2 > out["r2"]) & (out["r2"] > 0)
    return out.assign(
        r2=np.where(less_sure, r2, out["r2"]), r_df=np.where(less_sure, sums["points"] - 1.0, out["r_df"])
    )


def errors(trees: pd.DataFrame, amount: np.ndarray, split: str | None = None) -> pd.DataFrame:
    """How sure the ratio of each stand with counted trees is, by stand (and value of ``split``).

    Parameters
    ----------
    trees
        As for ``filled``, all live or all dead.
    amount
        Amount per acre of each tree.
    split
        A column of trees, or None.

    Returns
    -------
    Frame with stand_id, (split,) whole (yes: behind the number stands the basal area of all trees of the stand, not
    only that of its own kind), r2 (square of the relative standard error of the ratio), r_df (its degrees of freedom).

    Notes
    -----
    The measured trees of a stand are observations of its ratio, or its points where those differ by more than their
    trees do (thick trees here, thin ones there); of a kind in a stand where kinds were not written its
    points are, since kinds stand in groups. A stand without a measured tree is one more of the stands that lend to it.
    One observation says nothing of its spread: the usual spread of trees serves, pooled over all stands.
    """
    counted = trees["counted_only"].to_numpy()
    by = ["stand_id"] if split is None else ["stand_id", split]
    one = trees[~counted].assign(amount=np.asarray(amount)[~counted])
    shared = trees[counted].groupby("stand_id", sort=False)["kind_shared"].any()
    cells = trees.loc[trees["stand_id"].isin(shared.index), [*by, "cover"]].drop_duplicates(by, ignore_index=True)
    cells["whole"] = True if split is None else cells["stand_id"].map(shared).astype(bool)
    written = _keys(cells, by).isin(_keys(trees[counted], by))
    cells = cells[cells["whole"] | written].reset_index(drop=True)
    if counted.all():  # nobody lends: basal area alone is known, and it rests on no ratio
        return cells.assign(r2=0.0, r_df=np.inf)[[*by, "whole", "r2", "r_df"]]
    whole = cells["whole"].to_numpy()
    here = _observed(one, ["stand_id"]).reindex(cells["stand_id"])
    own = _observed(one, by).reindex(_keys(cells, by))
    own = _either(own["trees"].isna().to_numpy(), here, own)
    if split is not None:
        own = _either(whole, _of_points(one, split).reindex(_keys(cells, by)), own)
    bare = here["trees"].isna().to_numpy()
    lent = _of_stands(one, cells, split)
    r2, df = (np.where(bare, lent[name], own[name]) for name in ("r2", "df"))
    many = np.where(bare, 1.0, own["trees"])
    spread, free = _usual(one)
    share = np.clip(np.where(bare, lent["share"], own["share"]), 1e-6, 1.0) if split is not None else 1.0
    lost = np.isnan(r2)
    r2 = np.where(lost, (spread + 1.0 - share) / (share * many), r2)
    return cells.assign(r2=r2, r_df=np.where(lost, free, df))[[*by, "whole", "r2", "r_df"]]


def _either(where: np.ndarray, yes: pd.DataFrame, no: pd.DataFrame) -> pd.DataFrame:
    """Rows of one of two frames of the same columns."""
    return pd.DataFrame(np.where(where[:, None], yes[no.columns], no), columns=no.columns)


def _keys(rows: pd.DataFrame, by: list[str]) -> pd.Index:
    return pd.Index(rows[by[0]]) if len(by) == 1 else pd.MultiIndex.from_frame(rows[by])


def _observed(one: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    """Ratio of measured trees by group, trees or points the observations, whichever tell it less surely."""
    sums = one.groupby([*by, "plot_id"], sort=False, dropna=False)[["amount", "basal_sqft_per_ac"]].sum()
    trees, points = _of_trees(one, by), _of_trees(sums.reset_index().assign(count=1.0), by)
    apart = (points["r2"] > trees["r2"]).to_numpy()
    return trees.assign(**{name: np.where(apart, points[name], trees[name]) for name in ("r2", "df")})


def _of_trees(one: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    """Ratio of measured trees by group, each tree an observation: ratio, r2, df, trees, share (1)."""
    group, keys = _groups(one, by), one[by].drop_duplicates()
    basal, amount, count = (one[name].to_numpy(dtype=float) for name in ("basal_sqft_per_ac", "amount", "count"))
    size = len(keys)
    many, lent, total = (np.bincount(group, x, minlength=size) for x in (count, basal, amount))
    ratio = total / lent
    squares = np.bincount(group, (amount - ratio[group] * basal) ** 2 / count, minlength=size)
    return _spread(_keys(keys, by), ratio, squares / lent**2, many, many, 1.0)


def _of_points(one: pd.DataFrame, split: str) -> pd.DataFrame:
    """Amount of each kind over the basal area of all measured trees of the stand, each point an observation."""
    by = ["stand_id", split]
    point = one.groupby(["stand_id", "plot_id"], sort=False)["basal_sqft_per_ac"].sum()
    stand = pd.DataFrame({"lent": point, "square": point**2}).groupby("stand_id").sum().assign(n=1.0)
    stand["n"] = point.groupby("stand_id").size().astype(float)
    stand["trees"] = one.groupby("stand_id")["count"].sum().astype(float)
    cell = one.groupby([*by, "plot_id"], sort=False)[["amount", "basal_sqft_per_ac"]].sum().reset_index()
    cell = cell.join(stand, on="stand_id").join(point.rename("here"), on=["stand_id", "plot_id"])
    kinds = cell.groupby(by, sort=False)
    ratio = kinds["amount"].sum() / kinds["lent"].first()
    cell = cell.join(ratio.rename("ratio"), on=by)
    off = (cell["amount"] - cell["ratio"] * cell["here"]) ** 2 - (cell["ratio"] * cell["here"]) ** 2
    first = cell.assign(off=off).groupby(by, sort=False)
    squares = (first["off"].sum() + ratio**2 * first["square"].first()) / first["lent"].first() ** 2
    share = first["basal_sqft_per_ac"].sum() / first["lent"].first()
    n, trees = first["n"].first().to_numpy(), first["trees"].first().to_numpy()
    return _spread(ratio.index, ratio.to_numpy(), squares.to_numpy(), n, trees, share.to_numpy())


def _of_stands(one: pd.DataFrame, cells: pd.DataFrame, split: str | None) -> pd.DataFrame:
    """What a stand without a measured tree borrows, each stand of its cover (else of the place) an observation."""
    by = ["stand_id"] if split is None else ["stand_id", split]
    sums = one.groupby([*by, "cover"], sort=False)[["amount", "basal_sqft_per_ac"]].sum().reset_index()
    basal = one.groupby("stand_id")["basal_sqft_per_ac"].sum()
    sums["all"] = sums["stand_id"].map(basal)
    covers, out = set(one["cover"]), []
    for cover in cells["cover"].unique():
        near = cover in covers
        there = sums[sums["cover"] == cover] if near else sums
        stands = one.loc[one["cover"] == cover if near else slice(None), "stand_id"].nunique()
        of = there.assign(each=there["amount"] / there["all"], part=there["basal_sqft_per_ac"] / there["all"])
        kinds = of.groupby(split if split else np.zeros(len(of)), sort=False)
        k = float(max(stands, 1))
        mean, square = kinds["each"].sum() / k, (of["each"] ** 2).groupby(kinds.ngroup()).sum().to_numpy()
        off = np.maximum(square - k * mean.to_numpy() ** 2, 0.0) * (1.0 + k) / k
        out.append(_spread(mean.index, mean.to_numpy(), off / k, np.full(len(mean), k), k, kinds["part"].sum() / k))
        out[-1]["cover"] = cover
    table = pd.concat(out).set_index("cover", append=True)
    kind = cells[split] if split else np.zeros(len(cells))
    return table.reindex(pd.MultiIndex.from_arrays([kind, cells["cover"]])).reset_index(drop=True)


def _spread(keys: pd.Index, ratio: np.ndarray, squares: np.ndarray, n: np.ndarray, trees: Any, share: Any) -> Any:
    """Frame of r2 and df from ``squares`` (sums of squares over the square of the sum) of n observations."""
    with np.errstate(invalid="ignore", divide="ignore"):
        r2 = np.where(n > 1, n / (n - 1.0) * squares / ratio**2, np.nan)
    r2 = np.where((n > 1) & (ratio == 0), 0.0, r2)
    return pd.DataFrame({"r2": r2, "df": n - 1.0, "trees": trees, "share": share}, index=keys)


def _usual(one: pd.DataFrame) -> tuple[float, float]:
    """Squared relative spread of single trees about the ratio of their stand, pooled, and its degrees of freedom."""
    by = one.groupby("stand_id")[["amount", "basal_sqft_per_ac", "count"]].sum()
    ratio = one["stand_id"].map(by["amount"] / by["basal_sqft_per_ac"])
    each = one["amount"] / one["basal_sqft_per_ac"] / ratio.where(ratio > 0) - 1.0
    free = float((by["count"] - 1.0).sum())
    return (float((each**2 * one["count"]).sum()) / free, free) if free > 0 else (1.0, 1.0)
