"""Trees counted with the prism but not measured: what they share in, as ratios of sums over measured trees.

A counted tree brings its basal area and nothing else. Whatever is wanted of it (stems, wood, board feet) is its basal
area times the ratio "wanted per basal area" of measured trees: those of its own species in its stand; else all in its
stand; else its species in other stands; else all. Live and dead trees never lend to each other.
"""

import numpy as np
import pandas as pd

__all__ = ["IN_THE_STAND", "LENDERS", "lenders", "share_out", "weights"]

#: Whom a counted tree borrows its ratio from, nearest first: name -> the columns in which lender and borrower agree.
LENDERS = {
    "own species here": ["alive", "stand_id", "species"],
    "here": ["alive", "stand_id"],
    "own species elsewhere": ["alive", "species"],
    "elsewhere": ["alive"],
}
IN_THE_STAND = tuple(name for name, columns in LENDERS.items() if "stand_id" in columns)


def lenders(trees: pd.DataFrame) -> pd.Series:
    """For each tree whom it borrows from: "" for a measured one, a name of LENDERS, or "nobody".

    ``trees`` has alive, stand_id, species, basal_sqft_per_ac and counted_only.
    """
    measured = ~trees["counted_only"].to_numpy()
    out = pd.Series(np.where(measured, "", "nobody"), index=trees.index, dtype=object)
    if measured.all():
        return out
    for name, columns in LENDERS.items():
        group = trees.groupby(columns, sort=False, dropna=False).ngroup().to_numpy()
        has = np.bincount(group, measured, minlength=group.max() + 1) > 0
        out[(out == "nobody").to_numpy() & has[group]] = name
    return out


def share_out(trees: pd.DataFrame, amount: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Amounts per acre with those of counted trees filled in, and what to judge the spread between plots by.

    Parameters
    ----------
    trees
        As for ``lenders``, with its result as the column ratio_from.
    amount
        Amount per acre of each measured tree; what stands at counted ones is not looked at.

    Returns
    -------
    Two arrays. They have the same sum in every stand. The second carries the uncertainty of the ratio too: a measured
    tree that lends counts for what it adds to the ratio (the linear form of a ratio of sums), so plots that disagree
    about the ratio widen the range.
    """
    amount = np.array(amount, dtype=float)
    basal = trees["basal_sqft_per_ac"].to_numpy()
    counted = trees["counted_only"].to_numpy()
    amount[counted] = np.nan
    spread = amount.copy()
    for name in _used(trees):
        group, lent, ratio = _ratio(trees, name, amount)
        borrows = (trees["ratio_from"] == name).to_numpy()
        amount[borrows] = spread[borrows] = ratio[group[borrows]] * basal[borrows]
        if name in IN_THE_STAND:
            m = ~counted
            spread[m] += lent[group[m]] * (amount[m] - ratio[group[m]] * basal[m])
    return amount, spread


def weights(trees: pd.DataFrame) -> np.ndarray:
    """What each measured tree counts for when counted trees of its stand are spread over the measured ones."""
    out = np.where(trees["counted_only"], 0.0, 1.0)
    lends = out > 0
    for name in _used(trees):
        if name in IN_THE_STAND:
            group, lent, _ = _ratio(trees, name, out)
            out[lends] += lent[group[lends]]
    return out


def _used(trees: pd.DataFrame) -> list[str]:
    used = set(trees["ratio_from"])
    return [name for name in LENDERS if name in used]


def _ratio(trees: pd.DataFrame, name: str, amount: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Group of each tree; per group basal area borrowed over basal area lent, and amount over basal area lent."""
    group = trees.groupby(LENDERS[name], sort=False, dropna=False).ngroup().to_numpy()
    basal = trees["basal_sqft_per_ac"].to_numpy()
    measured = ~trees["counted_only"].to_numpy()
    borrows = (trees["ratio_from"] == name).to_numpy()
    size = group.max() + 1
    lent_from = np.bincount(group[measured], basal[measured], minlength=size)
    lent_to = np.bincount(group[borrows], basal[borrows], minlength=size)
    total = np.bincount(group[measured], amount[measured], minlength=size)
    none = lent_from == 0
    lent_from = np.where(none, 1.0, lent_from)
    return group, np.where(none, 0.0, lent_to / lent_from), np.where(none, np.nan, total / lent_from)
