"""Board feet of standing trees by a log rule.

logs_16ft   16-ft logs of each tree, as written or from the height of its sawlog top
bdft        sound board feet of each tree
"""

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.trade import EIGHTH, QUARTER
from woodlot.tree.volume import tree_bdft_wiant_1986
from woodlot.units import LOG_FT
from woodlot.wood.logs import quarter_kerf_factor

__all__ = ["bdft", "logs_16ft"]


def logs_16ft(trees: pd.DataFrame, *, region: Region) -> pd.Series:
    """Number of 16-ft logs in each tree, half logs counted; 0 for a tree that is no sawlog tree.

    ``trees`` are the result of ``tree.volume.volumes``. A number of logs that was written is kept; else logs with their
    trim are laid from the 1-ft stump to the sawlog top and rounded down to halves.
    """
    room_ft = trees["sawlog_top_ft"] - region.figure("defaults_tree", "stump_ft")
    laid = np.floor(2.0 * room_ft / (LOG_FT + region.figure("defaults_tree", "log_trim_ft"))) / 2.0
    written = trees["logs_16ft"].astype(float) if "logs_16ft" in trees else pd.Series(np.nan, trees.index)
    return written.fillna(laid).where(trees["sawlog_cuft"] > 0, 0.0).clip(lower=0.0, upper=12.0)


def bdft(trees: pd.DataFrame, rule: str, form_class: float | None = None, *, region: Region) -> pd.Series:
    """Sound board feet of each tree by one rule, cull taken off; missing where a tree was not measured.

    ``rule`` is one of ``trade.LOG_RULES``; never add two rules. ``form_class`` is the owner's, or the usual one of
    the defaults (from memory).

    Notes: no equation for whole trees was found by the International rule for a 1/8-inch kerf. The two International
    rules differ by the kerf alone, log for log (``logs``), so its feet are the other's over 0.904762 (derived).

    Source: Wiant 1986 after Mesavage and Girard 1946.
    """
    form = region.figure("defaults_tree", "form_class") if form_class is None else form_class
    fitted, kerf = (QUARTER, quarter_kerf_factor(region=region)) if rule == EIGHTH else (rule, 1.0)
    gross = (
        tree_bdft_wiant_1986(
            trees["dbh_in"].astype(float), logs_16ft(trees, region=region), form, fitted, region=region
        )
        / kerf
    )
    share = trees["sound_sawlog_cuft"] / trees["sawlog_cuft"].where(trees["sawlog_cuft"] > 0)
    return gross * share.fillna(0.0).where(trees["sawlog_cuft"].notna())
