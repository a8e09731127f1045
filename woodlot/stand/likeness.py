"""Stands nobody has cruised: what the stands most like them hold, with a range that says how far that may be off.

Borrowing     impute, Borrowed, estimates
Next plots    next_to_cruise

A stand borrows from its nearest likenesses only where that has been tried on the measured stands and was better than
the mean of their cover type: each measured stand is left out in turn and told from the others. What was borrowed is
marked, has the range that those trials gave, and a wider one where the stand is unlike anything measured.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.errors import InputError, NoAnswer
from woodlot.estimate import LEVEL, Estimate, interval, reason
from woodlot.region import Region
from woodlot.trade import NO_COVER

__all__ = ["Borrowed", "estimates", "impute", "next_to_cruise"]

WAYS = ("likeness", "cover mean", "mean of all")
#: Lenders that are named.
NAMED = 5


@dataclass(frozen=True)
class Borrowed:
    """What stands without plots borrow.

    values: one row for each target and attribute: stand_id, attribute, value, se, df, n (references), way (likeness or
    cover mean), lenders (ids, nearest first), distance (to the nearest likeness, in standard
    deviations of the features), reach (how far is still alike, from the measured stands), beyond (further than that,
    or a feature outside what was measured).
    trials: one row for each attribute: n, error_likeness, error_cover_mean, error_mean_of_all (root mean square of the
    leave-one-out errors, in the unit of the attribute), used.
    """

    values: pd.DataFrame
    trials: pd.DataFrame


def impute(
    reference: pd.DataFrame,
    targets: pd.DataFrame,
    features: Sequence[str],
    k: int = 3,
    attributes: Sequence[str] | None = None,
    *,
    region: Region,
) -> Borrowed:
    """What target stands hold, from the k reference stands most like them.

    Parameters
    ----------
    reference
        Measured stands: stand_id, cover (may be missing), the features and the attributes; <attribute>_se, where it
        is there, is the standard error of that measurement.
    targets
        Stands without plots: stand_id, cover (may be missing) and the features.
    features
        Columns by which stands are compared: numbers, or words (such as cover), of which two different ones count as
        one standard deviation apart.
    k
        Likenesses that lend, weighted by one over their distance.
    attributes
        Columns to borrow; None: all other number columns of ``reference``. None below 0.
    region
        Whose figures are used.

    Returns
    -------
    Borrowed.

    Raises
    ------
    InputError
        For missing columns or features, negative attributes, k below 1, or a stand that stands twice.
    NoAnswer
        For fewer measured stands than the least number (defaults_likeness.csv): the message says how many more.

    Notes
    -----
    For each attribute the ways are tried on the measured stands, each left out in turn. Likenesses are used where their
    root mean square error is less than that of the mean of the cover type (of all, where no stand has that cover);
    the mean of all stands is tried too, for comparison. The standard error is
    ``value * sqrt(n / (n - 2) * sum (error)^2 / sum (guess)^2)`` over the n trials (the 2 because the better way was
    picked on the same stands), so a range is relative, as in ``estimate``; degrees of freedom are the trials less one.
    What the left-out stand's own cruise was off by is taken out of those squares, but no more than half of them, since
    the truth does not carry it. Beyond the measured range the error is widened by distance over reach.
    """
    wanted = _checked(reference, targets, features, k, attributes, region=region)
    known = reference.reset_index(drop=True)
    near, to_targets = _distances(known, targets, features)
    cover = _covers(known), _covers(targets)
    gap = near.copy()
    np.fill_diagonal(gap, np.inf)
    reach = float(np.median(gap.min(axis=1)) * region.figure("defaults_likeness", "reach_times"))
    nearest = to_targets.min(axis=1)
    beyond = (nearest > max(reach, 1e-12)) | _outside(known, targets, features)
    wider = np.where(
        beyond, np.maximum(nearest / max(reach, 1e-12), region.figure("defaults_likeness", "beyond_times")), 1.0
    )
    order = np.argsort(to_targets, axis=1, kind="stable")[:, :k]
    ids = known["stand_id"].astype(str).to_numpy()
    parts, trials = [], []
    for what in wanted:
        y = known[what].to_numpy(dtype=float)
        tried = {
            "likeness": _by_likeness(gap, y, k),
            "cover mean": _by_cover(y, cover[0], cover[0], leave_out=True),
            "mean of all": (y.sum() - y) / (len(y) - 1),
        }
        error = {way: float(np.sqrt(np.mean((guess - y) ** 2))) for way, guess in tried.items()}
        used = "likeness" if error["likeness"] < error["cover mean"] else "cover mean"
        own = known[f"{what}_se"].to_numpy(dtype=float) ** 2 if f"{what}_se" in known else np.zeros(len(y))
        squares = (tried[used] - y) ** 2
        off = max(squares.sum() - np.nansum(own), squares.sum() / 2.0)
        cv = np.sqrt(off / max(np.sum(tried[used] ** 2), 1e-300) * len(y) / (len(y) - 2))
        value = (
            _by_likeness(to_targets, y, k) if used == "likeness" else _by_cover(y, cover[0], cover[1], leave_out=False)
        )
        lenders = [list(ids[row]) for row in order] if used == "likeness" else _lenders(ids, cover)
        trials.append(
            {"attribute": what, "n": len(y), **{f"error_{w.replace(' ', '_')}": error[w] for w in WAYS}, "used": used}
        )
        parts.append(
            pd.DataFrame(
                {
                    "stand_id": targets["stand_id"].astype(str).to_numpy(),
                    "attribute": what,
                    "value": value,
                    "se": value * cv * wider,
                    "df": len(y) - 1.0,
                    "n": len(y),
                    "way": used,
                    "lenders": lenders,
                    "distance": nearest,
                    "reach": reach,
                    "beyond": beyond,
                }
            )
        )
    return Borrowed(pd.concat(parts, ignore_index=True), pd.DataFrame(trials))


def _checked(
    reference: pd.DataFrame,
    targets: pd.DataFrame,
    features: Sequence[str],
    k: int,
    attributes: Sequence[str] | None,
    *,
    region: Region,
) -> list[str]:
    for name, frame in (("reference", reference), ("targets", targets)):
        lacking = [c for c in ("stand_id", *features) if c not in frame]
        if lacking:
            raise InputError(f"{name} lacks {', '.join(lacking)}")
        if frame["stand_id"].astype(str).duplicated().any():
            raise InputError(f"a stand stands twice among the {name}")
        holes = [f for f in features if frame[f].isna().any()]
        if holes:
            raise InputError(f"{name} have no {', '.join(holes)} in some stands; leave those stands or features out")
    if not features:
        raise InputError("stands cannot be compared without a feature")
    if k < 1:
        raise InputError(f"at least one likeness must lend, not {k!r}")
    least = int(region.figure("defaults_likeness", "least_references"))
    if len(reference) < least:
        raise NoAnswer(
            f"{len(reference)} measured stands are too few to borrow from; {least} would do: measure "
            f"{least - len(reference)} more"
        )
    columns = reference.select_dtypes("number").columns.difference(["stand_id", *features], sort=False)
    numbers = [c for c in columns if not (str(c).endswith("_se") and str(c)[:-3] in reference)]
    wanted = [str(a) for a in (numbers if attributes is None else attributes)]
    for what in wanted:
        if what not in reference or reference[what].isna().any() or (reference[what] < 0).any():
            raise InputError(f"{what} must be 0 or more in every measured stand")
    return wanted


def _distances(known: pd.DataFrame, targets: pd.DataFrame, features: Sequence[str]) -> tuple[np.ndarray, np.ndarray]:
    """Distances between measured stands, and from targets to them, in standard deviations of the features."""
    from sklearn.metrics import DistanceMetric
    from sklearn.preprocessing import StandardScaler

    numbers = [f for f in features if pd.api.types.is_numeric_dtype(known[f])]
    texts = [f for f in features if f not in numbers]
    scaled = StandardScaler().fit(known[numbers].to_numpy(float)) if numbers else None
    words = [(f, w) for f in texts for w in sorted(set(known[f].astype(str)) | set(targets[f].astype(str)))]

    def placed(frame: pd.DataFrame) -> np.ndarray:
        axes = [(frame[f].astype(str) == w).to_numpy(dtype=float)[:, None] / np.sqrt(2.0) for f, w in words]
        if scaled is not None:
            axes.append(scaled.transform(frame[numbers].to_numpy(float)))
        return np.hstack(axes)

    apart, lenders = DistanceMetric.get_metric("euclidean").pairwise, placed(known)
    return apart(lenders), apart(placed(targets), lenders)


def _outside(known: pd.DataFrame, targets: pd.DataFrame, features: Sequence[str]) -> np.ndarray:
    """Targets with a number a tenth of their spread outside the measured ones, or a word not among them."""
    out = np.zeros(len(targets), dtype=bool)
    for f in features:
        if pd.api.types.is_numeric_dtype(known[f]):
            low, high = float(known[f].min()), float(known[f].max())
            room = 0.1 * (high - low)
            out |= ((targets[f] < low - room) | (targets[f] > high + room)).to_numpy(dtype=bool)
        else:
            out |= ~targets[f].astype(str).isin(known[f].astype(str)).to_numpy(dtype=bool)
    return out


def _by_likeness(distance: np.ndarray, y: np.ndarray, k: int) -> np.ndarray:
    """Mean of the k nearest, weighted by one over the distance."""
    lent = min(k, int(np.isfinite(distance[0]).sum())) if len(distance) else k
    who = np.argsort(distance, axis=1, kind="stable")[:, :lent]
    weight = 1.0 / np.maximum(np.take_along_axis(distance, who, axis=1), 1e-6)
    return (weight * y[who]).sum(axis=1) / weight.sum(axis=1)


def _covers(frame: pd.DataFrame) -> np.ndarray:
    cover = frame["cover"] if "cover" in frame else pd.Series(NO_COVER, frame.index)
    return cover.astype("string").fillna(NO_COVER).to_numpy(dtype=object)


def _by_cover(y: np.ndarray, of: np.ndarray, wanted: np.ndarray, leave_out: bool) -> np.ndarray:
    """Mean of the measured stands of each wanted cover; of all where there is none."""
    same = (wanted[:, None] == of[None, :]) & (of != NO_COVER)
    if leave_out:
        np.fill_diagonal(same, False)
    count, total = same.sum(axis=1), (same * y).sum(axis=1)
    rest = (y.sum() - y) / (len(y) - 1) if leave_out else np.full(len(wanted), y.mean())
    return np.where(count > 0, total / np.maximum(count, 1), rest)


def _lenders(ids: np.ndarray, cover: tuple[np.ndarray, np.ndarray]) -> list[list[str]]:
    return [list(ids[(cover[0] == c) & (c != NO_COVER)]) or list(ids) for c in cover[1]]


def estimates(
    borrowed: Borrowed,
    attribute: str,
    unit: str,
    acres: pd.Series | None = None,
    shared: Mapping[str, float] | None = None,
    level: float = LEVEL,
) -> dict[str, Estimate]:
    """Borrowed numbers as Estimates by stand_id, their method "borrowed" and ``why`` saying from whom.

    Parameters
    ----------
    borrowed, attribute
        Result of ``impute``, and the column borrowed (an amount per acre).
    unit
        Unit of what comes out.
    acres
        Working acres by stand_id; None leaves it per acre [ac].
    shared
        Relative errors that measured and borrowed numbers share (the volume table). The trials compared measured stands
        with each other, so what all of them share was not in their errors.
    level
        Share of times the range should hold the truth.
    """
    rows = borrowed.values[borrowed.values["attribute"] == attribute]
    if rows.empty:
        raise InputError(f"{attribute} was not borrowed; there are {', '.join(borrowed.values['attribute'].unique())}")
    out = {}
    for row in rows.to_dict("records"):
        ac = 1.0 if acres is None else float(acres.loc[row["stand_id"]])
        out[row["stand_id"]] = interval(
            row["value"] * ac,
            unit,
            se=row["se"] * ac,
            df=row["df"],
            n=int(row["n"]),
            shared=shared,
            level=level,
            ground_ac=None if acres is None else ac,
            method="borrowed",
            why=reason(
                "borrowed",
                way=row["way"],
                lenders=tuple(row["lenders"][:NAMED]),
                others=len(row["lenders"]) > NAMED,
                beyond=bool(row["beyond"]),
            ),
        )
    return out


def next_to_cruise(
    borrowed: Borrowed, attribute: str, acres: pd.Series, plots: int = 5, *, region: Region
) -> pd.DataFrame:
    """Which stand without plots should be cruised next: the one that would narrow the total most.

    Parameters
    ----------
    borrowed, attribute
        Result of ``impute``, and the column to go by (an amount per acre).
    acres
        Working acres by stand_id [ac].
    plots
        Plots that would be put there.
    region
        Whose figures are used.

    Returns
    -------
    Frame with stand_id, acres, se_now and se_then (standard error of the total of the borrowed stands, as they are and
    with this one cruised), beyond; best first.

    Notes
    -----
    A cruise of n plots is taken to be off by value x the usual spread between plots / sqrt(n).
    """
    if plots < 1:
        raise InputError(f"plots to add must be 1 or more, not {plots!r}")
    rows = borrowed.values[borrowed.values["attribute"] == attribute].set_index("stand_id")
    ac = acres.reindex(rows.index).astype(float).fillna(0.0)
    now = (ac * rows["se"]) ** 2
    then = (ac * rows["value"] * region.figure("defaults_stand", "plot_cv_pct") / 100.0) ** 2 / plots
    out = pd.DataFrame({"acres": ac, "se_now": np.sqrt(now.sum())})
    out["se_then"] = np.sqrt((now.sum() - now + np.minimum(then, now)).clip(lower=0.0))
    out["beyond"] = rows["beyond"]
    out = out.sort_values(["se_then", "acres"], ascending=[True, False], kind="stable")
    return out.rename_axis("stand_id").reset_index()
