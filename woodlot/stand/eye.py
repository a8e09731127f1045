"""The prism and the eye behind it: a prism's true factor, and what a check with the tape says of the eye.

A forester wants the factor of the prism in hand, not the one printed on it, and the eye's lean told from trees that
were taped, no more of it than the check can carry.

same_factor    whether two factors are one
prism_factor   the true factor of a prism, by a target of known width
checked        trees tallied and found with the tape on points that were checked
learned        what a check says of the eye, beside what is thought of any eye
"""

from math import log, sqrt
from typing import Any, NamedTuple

import numpy as np
import pandas as pd

from woodlot.news import Known, learn, log_var
from woodlot.stand.counted import without_row
from woodlot.tree.inputs import column, numbers, positive
from woodlot.units import SQFT_PER_AC

__all__ = ["Eye", "checked", "learned", "prism_factor", "same_factor"]

#: Two factors no further apart are one: those of metric prisms are rounded [sq ft/ac].
SAME_FACTOR = 0.05


def same_factor(of: Any, factor: float) -> np.ndarray:
    """Which of some factors are one with ``factor``."""
    return np.abs(np.asarray(of, dtype=float) - factor) <= SAME_FACTOR


def prism_factor(width_ft: Any, distance_ft: Any) -> Any:
    """The true factor of a prism that just shifts a target by its own width.

    Parameters
    ----------
    width_ft
        Width of the target [ft].
    distance_ft
        From the prism to the target where its shifted side just meets its other side [ft].

    Returns
    -------
    Basal area factor [sq ft/ac], in the form of the arguments.

    Examples
    --------
    A target of 1 ft at 32.4 ft: 43,560/4 x (1/32.4)^2.

    >>> round(prism_factor(1, 32.4), 4)
    10.3738
    """
    (width, distance), back = numbers(width_ft=width_ft, distance_ft=distance_ft)
    positive(width_ft=width, distance_ft=distance)
    return back(SQFT_PER_AC / 4.0 * (width / distance) ** 2)


class Eye(NamedTuple):
    """What a check says of the eye. ratio: trees found over trees tallied; ratio_cv: its own relative error; times:
    what every tally is multiplied by; cv: relative error that is left.
    """

    points: int
    tallied: float
    found: float
    ratio: float
    ratio_cv: float
    times: float
    cv: float


def checked(visited: pd.DataFrame, tallied: pd.DataFrame) -> pd.DataFrame:
    """The points that were checked, by plot_id: tallied (trees by eye, dead ones too, each once) and found."""
    ids, found = visited["plot_id"].astype(str), column(visited, "checked_count")
    trees = pd.Series(column(tallied, "count", 1.0)).groupby(tallied["plot_id"].astype(str).to_numpy()).sum()
    many = ids.map(trees).fillna(0.0).to_numpy()
    for name in ("live_in", "dead_in"):
        many = many + np.nan_to_num(without_row(visited, tallied, name)).clip(min=0.0)
    out = pd.DataFrame({"tallied": many, "found": found}, index=pd.Index(ids, name="plot_id"))
    return out[out["found"].notna()]


def learned(points: pd.DataFrame, eye_cv: float) -> Eye | None:
    """What a check says of the eye, beside what is thought of any eye; None where it says nothing.

    Parameters
    ----------
    points
        As ``checked`` gives them; tallied may hold what the tape would find were the eye true.
    eye_cv
        How far an eye that nobody checked may be off.

    Notes
    -----
    R = sum of found over sum of tallied, SE = sqrt(n sum (found - R tallied)^2/(n - 1)) over the sum of tallied. A
    check in which all agrees still leaves one tree in doubt: SE is at least 1 over the sum of tallied. R is news of the
    eye (``news.learn``) and counts for its gain. One point tells nothing of its SE.
    """
    n, tallied, found = len(points), float(points["tallied"].sum()), float(points["found"].sum())
    if n < 2 or not (tallied > 0 and found > 0):
        return None
    ratio = found / tallied
    off = float(((points["found"] - ratio * points["tallied"]) ** 2).sum())
    ratio_cv = max(sqrt(n * off / (n - 1)), 1.0) / tallied / ratio
    eye = learn(Known(log_var(eye_cv)), log(ratio), log_var(ratio_cv))
    return Eye(n, tallied, found, ratio, ratio_cv, eye.times, eye.cv)
