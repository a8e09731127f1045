"""What the count of each plot is multiplied by, and what that leaves in doubt: edges, the prism, the eye.

A forester wants cords that are not low because trees were lost at the edge of a stand, nor off because the prism or
the eye is, and a range that says so where nobody looked.

PlotTimes   what all trees of a plot are multiplied by, and the errors that all plots of a stand share
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from woodlot.estimate import Reason

__all__ = ["PlotTimes"]


@dataclass(frozen=True, eq=False)
class PlotTimes:
    """times: what the count of each plot is multiplied by, by plot_id (a plot that is not named: 1); shared: name of an
    error -> its relative error by stand_id, of everything that the plots of a stand tell; why: what was done.
    """

    times: pd.Series = field(default_factory=lambda: pd.Series(dtype=float))
    shared: Mapping[str, pd.Series] = field(default_factory=dict)
    why: tuple[Reason, ...] = ()
