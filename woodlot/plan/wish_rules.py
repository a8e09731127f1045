"""What a wish changes of the rule by which a stand is cut.

by_wish   basal area to keep, way and reason of each stand under the wishes that rule it

A family that wishes a view wants to see trees, not a hole: no patch, a light hand. A sugarmaker wants wide crowns and
many of them: what is kept is never less than the rule of the cover keeps.
"""

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.trade import SUGARBUSH, VIEW

__all__ = ["by_wish"]


def by_wish(
    stands: pd.DataFrame, basal: np.ndarray, keep: np.ndarray, seen: np.ndarray, way: np.ndarray, *, region: Region
) -> tuple[np.ndarray, np.ndarray, np.ndarray, list[Reason | None]]:
    """Basal area to keep, its mark, the way of cutting, and why nothing is cut by a wish (None where none forbids it).

    Parameters
    ----------
    stands
        wishes (tuple of those that rule the stand) and shut (``turns.to_work``); without them nothing changes.
    basal, keep, seen, way
        Basal area today, and what ``ceilings.leave_sqft`` gives.
    region
        Whose figures are used.
    """
    if "wishes" not in stands:
        return keep, seen, way, [None] * len(stands)
    view, sap = (np.array([wish in one for one in stands["wishes"]], dtype=bool) for wish in (VIEW, SUGARBUSH))
    keep, seen, why = keep.copy(), seen.copy(), list(stands["shut"])
    no_patch = view & (way == "patches")
    for at in np.flatnonzero(no_patch):
        why[at] = why[at] or reason("patches in view")
    thin = way == "thin"
    for rules, least, mark in (
        (view & thin, lambda: region.figure("defaults_cut", "view_leave_share") * basal, "chosen"),
        (sap & thin, lambda: region.figure("defaults_sugarbush", "leave_sqft_per_ac") + 0.0 * basal, "memory"),
    ):
        if rules.any():
            raised = rules & (least() > keep)
            keep[raised], seen[raised] = least()[raised], mark
    return keep, seen, np.where(no_patch, "none", way), why
