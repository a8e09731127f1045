"""Board feet of standing trees by a log rule.

logs_16ft   16-ft logs of each tree, as written or from the height of its sawlog top
bdft        sound board feet of each tree
"""

import numpy as np
import pandas as pd

from woodlot.tree.inputs import default
from woodlot.tree.volume import tree_bdft_wiant_1986

__all__ = ["bdft", "logs_16ft"]

LOG_FT = 16.0


def logs_16ft(trees: pd.DataFrame) -> pd.Series:
    """Number of 16-ft logs in each tree, half logs counted; 0 for a tree that is no sawlog tree.

    ``trees`` are the result of ``tree.volume.volumes``. A number of logs that was written is kept; else logs with their
    trim are laid from the 1-ft stump to the sawlog top and rounded down to halves.
    """
    room_ft = trees["sawlog_top_ft"] - default("stump_ft")
    laid = np.floor(2.0 * room_ft / (LOG_FT + default("log_trim_ft"))) / 2.0
    written = trees["logs_16ft"].astype(float) if "logs_16ft" in trees else pd.Series(np.nan, trees.index)
    return written.fillna(laid).where(trees["sawlog_cuft"] > 0, 0.0).clip(lower=0.0, upper=12.0)


def bdft(trees: pd.DataFrame, rule: str, form_class: float | None = None) -> pd.Series:
    """Sound board feet of each tree by one rule, cull taken off; missing where a tree was not measured.

    ``rule`` is "international_quarter", "scribner" or "doyle"; never add two rules. ``form_class`` is the owner's, or
    the usual one of the defaults (from memory).

    Source: Wiant 1986 after Mesavage and Girard 1946.
    """
    form = default("form_class") if form_class is None else form_class
    gross = tree_bdft_wiant_1986(trees["dbh_in"].astype(float), logs_16ft(trees), form, rule)
    share = trees["sound_sawlog_cuft"] / trees["sawlog_cuft"].where(trees["sawlog_cuft"] > 0)
    return gross * share.fillna(0.0).where(trees["sawlog_cuft"].notna())
