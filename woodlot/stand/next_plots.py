"""The next plots: in which stands they tell most of the answer that the family named, and when it is narrow enough.

A family wants the hours of its next day in the woods spent where they narrow most the range of the one answer it named:
the total, the stands that are cut this winter, or the stand whose range is widest. A stand nobody has been in counts as
wide as can be, since a total without it says nothing of it; but plots in it do not help a winter that cuts elsewhere.

What is known     table
How many more     of_each, can_come, of_total, wish
In which order    worth, shares, in_order
A new cruise      weighted_cv_pct, new_cruise, shared_out
Kept for growth   change_se, kept_for_good

With A acres, S the spread of a plot and c its hours, one plot more where there are n takes (A S)^2/(n(n+1)) from the
variance of the total: the next one goes where that is most an hour. In the limit n goes as A S/sqrt(c) (Neyman, with
cost).
"""

from dataclasses import dataclass
from math import hypot
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from woodlot.covers import are_cut
from woodlot.estimate import Estimate, z_quantile
from woodlot.region import Region
from woodlot.stand.plots import plots_needed
from woodlot.units import SQFT_PER_AC

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

__all__ = [
    "NewCruise",
    "Wish",
    "can_come",
    "change_se",
    "in_order",
    "kept_for_good",
    "new_cruise",
    "of_each",
    "of_total",
    "shared_out",
    "shares",
    "table",
    "weighted_cv_pct",
    "wish",
    "worth",
]

#: The least part of a range that plots are asked for, over the part that no plot can mend: with that the whole is an
#: eighth wider than with none, and half of it takes four times the plots.
PART = 0.5
#: More plots than any family puts in one stand: where this many do not do, none would.
MOST = 4096


def table(
    stands: pd.DataFrame, per_ac: "Mapping[str, Estimate]", ids: "Sequence[str] | None" = None, *, region: Region
) -> pd.DataFrame:
    """What is known of the stands where a plot may go, before the next one is put.

    Parameters
    ----------
    stands
        Result of ``stand.layout.lay_out``.
    per_ac
        stand_id -> what its plots say of an acre.
    ids
        The stands that the answer is of; None for all.
    region
        Whose figures are used.

    Returns
    -------
    Frame by stand_id: ac; n (samples); first (plots of a first look, where there is none or nothing was found on few);
    mean (where nothing is known, that of its like); c2 (squared relative spread of a plot, that its range rests on;
    where nothing is known the usual one, where nothing was found on enough plots 0) and df (its degrees of freedom, of
    which each plot more brings one); shared (relative error that no plot mends); hours (of a plot with its walk).
    Where the rule of the cover cuts nothing only stands with plots are named.
    """
    usual, usual_df = (region.figure("defaults_sampling", name) for name in ("usual_cv", "usual_df"))
    least = int(region.figure("defaults_stand", "least_plots"))
    known = [per_ac.get(str(one)) for one in stands["stand_id"]]
    out = pd.DataFrame(
        {
            "ac": stands["operable_ac"].to_numpy(dtype=float),
            "n": [0 if e is None else e.n for e in known],
            "mean": [np.nan if e is None or e.value is None else e.value for e in known],
            "se": [np.nan if e is None or e.se is None else e.se for e in known],
            "df": [np.nan if e is None or not e.value or not e.se else e.df for e in known],
            "shared": [np.nan if e is None or not e.value else hypot(*(cv for _, cv in e.shared)) for e in known],
        },
        index=pd.Index(stands["stand_id"].astype(str), name="stand_id"),
    )
    cover = pd.Series(stands["cover"].to_numpy(), index=out.index)
    held = out[out["mean"] > 0]
    like = (held["ac"] * held["mean"]).groupby(cover).sum() / held["ac"].groupby(cover).sum()
    whole = np.average(held["mean"], weights=held["ac"]) if held["ac"].sum() > 0 else 1.0
    nothing = ~(out["mean"] > 0)
    empty = (out["mean"] == 0) & (out["n"] >= least)
    out["first"] = np.where(nothing & ~empty, np.maximum(least - out["n"], 0), 0)
    out["c2"] = (out["n"] * (out["se"] / out["mean"]) ** 2).where(out["df"].notna(), usual**2).mask(empty, 0.0)
    out["mean"] = out["mean"].mask(nothing & ~empty, cover.map(like).astype(float).fillna(whole))
    out["df"] = out["df"].fillna(usual_df + out["n"] - 1.0)
    unknown = hypot(*(region.figure("defaults_sampling", name) for name in ("table_cv", "eye_cv")))
    out["shared"] = out["shared"].fillna(held["shared"].mean() if len(held) else unknown)
    out["hours"] = _hours(out["ac"], region=region)
    there = (are_cut(stands["cover"], region) | (out["n"] > 0).to_numpy()) & (out["ac"] > 0).to_numpy()
    return out[there & (True if ids is None else out.index.isin([str(one) for one in ids]))].drop(columns="se")


def _hours(acres: pd.Series, *, region: Region) -> pd.Series:
    """Hours of one plot with the walk from the last: three lie in thirds of the stand."""
    minutes, pace, least = (
        region.figure("defaults_stand", name) for name in ("plot_minutes", "walk_ft_per_minute", "least_plots")
    )
    return (minutes + np.sqrt(acres * SQFT_PER_AC / least) / pace) / 60.0


def _sides(rows: pd.DataFrame, n: np.ndarray, level: float) -> np.ndarray:
    """How far the plots' part of each range reaches on logarithms, with ``n`` plots."""
    from scipy.special import stdtrit

    df = np.maximum(rows["df"].to_numpy() + n - rows["n"].to_numpy(), 1.0)
    return stdtrit(df, 0.5 + level / 2.0) * np.sqrt(np.log1p(rows["c2"].to_numpy() / np.maximum(n, 1)))


def _shared_side(cv: np.ndarray, level: float) -> np.ndarray:
    return z_quantile(level) * np.sqrt(np.log1p(np.square(cv)))


def _left(within: float, shared: np.ndarray) -> np.ndarray:
    """What is left to the plots' part of a range of half-width ``within``."""
    return np.sqrt(np.maximum(np.arcsinh(within) ** 2 - np.square(shared), 0.0))


def _worth_it(within: float, shared: np.ndarray) -> np.ndarray:
    """Whether plots bring a range within: what no plot can mend must leave ``PART`` of itself to them."""
    return (_left(within, shared) >= PART * shared) & (np.arcsinh(within) > shared)


def _wanted_side(within: float, shared: np.ndarray) -> np.ndarray:
    """What the plots' part is to come to: what is left to it; where that is too little, as much as no plot can mend."""
    return np.where(_worth_it(within, shared), _left(within, shared), shared)


def can_come(rows: pd.DataFrame, within: float, level: float) -> np.ndarray:
    """Whether plots bring each stand's own range within, at a number that is worth them."""
    return _worth_it(within, _shared_side(rows["shared"].to_numpy(), level))


def of_each(rows: pd.DataFrame, within: float, level: float) -> pd.Series:
    """Plots that each stand of ``table`` needs in all, at least those it has, for its own range to come within.

    within: half-width of the range over its number. Where what no plot can mend leaves too little (``can_come``), plots
    until their part is as small as that; at least those of a first look.
    """
    wanted = _wanted_side(within, _shared_side(rows["shared"].to_numpy(), level))
    few = rows["n"].to_numpy(dtype=float) - 1.0
    enough = np.full(len(rows), float(MOST))
    while np.any(enough - few > 1.0):
        middle = np.floor((few + enough) / 2.0)
        holds = (_sides(rows, middle, level) <= wanted) & (middle > 0)
        enough, few = np.where(holds, middle, enough), np.where(holds, few, middle)
    return np.maximum(rows["n"] + rows["first"], enough).astype(int)


def _whole(rows: pd.DataFrame, n: np.ndarray, level: float) -> tuple[float, float]:
    """How far the plots' part of the total reaches on logarithms, and the part no plot can mend."""
    from scipy.special import stdtrit

    amount = (rows["ac"] * rows["mean"]).to_numpy()
    parts = amount**2 * rows["c2"].to_numpy() / np.maximum(n, 1.0)
    df = np.maximum(rows["df"].to_numpy() + n - rows["n"].to_numpy(), 1.0)
    total = amount.sum()
    if not parts.sum() > 0:
        return 0.0, 0.0
    sampling = stdtrit(parts.sum() ** 2 / (parts**2 / df).sum(), 0.5 + level / 2.0)
    shared = float(_shared_side((amount * rows["shared"].to_numpy()).sum() / total, level))
    return float(sampling * np.sqrt(np.log1p(parts.sum() / total**2))), shared


def of_total(rows: pd.DataFrame, within: float, level: float) -> pd.Series:
    """Plots that each stand of ``table`` needs in all for their total to come within, put where they tell most an hour.

    As ``of_each``. Every plot that takes more than some amount an hour from the variance is put; the least number of
    them that does is found by halving.
    """
    start = rows["n"] + rows["first"]
    most = float(worth(rows, np.ones(len(rows))).max(initial=0.0))
    least = most / MOST**2

    def put(worth_an_hour: float) -> np.ndarray:
        q = worth(rows, np.ones(len(rows))) * 2.0 / worth_an_hour
        return np.maximum(start.to_numpy(), np.ceil((np.sqrt(1.0 + 4.0 * q) - 1.0) / 2.0))

    def holds(n: np.ndarray) -> bool:
        side, shared = _whole(rows, n, level)
        return side <= float(_wanted_side(within, np.array(shared)))

    if most == 0.0 or holds(start.to_numpy(dtype=float)):
        return start
    for _ in range(80):
        middle = float(np.sqrt(most * least))
        least, most = (middle, most) if holds(put(middle)) else (least, middle)
    return pd.Series(put(least).astype(int), index=rows.index)


def worth(rows: pd.DataFrame, n: np.ndarray) -> np.ndarray:
    """What one plot more takes from the variance of the total an hour, where there are ``n``."""
    return ((rows["ac"] * rows["mean"]) ** 2 * rows["c2"] / (n * (n + 1.0) * rows["hours"])).to_numpy()


def shares(rows: pd.DataFrame) -> pd.Series:
    """How plots are shared out where there are many: A S/sqrt(c)."""
    return rows["ac"] * rows["mean"] * np.sqrt(rows["c2"] / rows["hours"])


@dataclass(frozen=True)
class Wish:
    """What an answer still lacks: for how many plots more in each stand the range comes within what is wanted.

    answer: a key of ``trade.ANSWERS``; within: half-width wanted, over the number; now: as it is of what is measured,
    of the widest stand where each is asked for (None where none is); least: what no plot can mend; can_come: whether
    plots bring it as near as wanted; more: stand_id -> plots.
    """

    answer: str
    within: float
    now: float | None
    least: float
    can_come: bool
    more: dict[str, int]


def wish(rows: pd.DataFrame, answer: str, within: float, level: float) -> Wish:
    """What the answer still lacks, of the stands of ``table`` that it is of."""
    each = answer == "worst range"
    wanted = (of_each if each else of_total)(rows, within, level)
    more = (wanted - rows["n"])[wanted > rows["n"]]
    known = rows[rows["first"] == 0]
    n = known["n"].to_numpy(dtype=float)
    own = _sides(known, n, level), _shared_side(known["shared"].to_numpy(), level)
    sides = np.hypot(*(own if each else _whole(known, n, level)))
    now = float(np.sinh(np.max(sides))) if len(known) else None
    least = (
        _shared_side(rows["shared"].to_numpy(), level).max(initial=0.0)
        if each
        else _whole(rows, wanted.to_numpy(), level)[1]
    )
    can = bool(_worth_it(within, np.array(least)))
    return Wish(answer, within, now, float(np.sinh(least)), can, {str(one): int(n) for one, n in more.items()})


def in_order(rows: pd.DataFrame, of: Wish, hours: float, level: float) -> list[tuple[str, int]]:
    """(stand_id, plots) in the order in which they tell most, until one no longer fits the hours or nothing is lacking.

    A first look comes first, all of its plots or none, in those stands first that would tell most; nobody knows yet
    what more would tell there. ``hours``: by
    the hours of ``table``; what the whole walk takes is seen when plots are laid out.
    """
    more = pd.Series(of.more, dtype=float).reindex(rows.index).fillna(0.0)
    look = shares(rows[(rows["first"] > 0) & (more > 0)]).sort_values(ascending=False, kind="stable").index
    steps = [(str(one), int(rows.loc[one, "first"])) for one in look]
    many = np.minimum(more.where(rows["first"] == 0, 0.0), np.ceil(hours / rows["hours"])).astype(int)
    rest = rows.loc[rows.index.repeat(many)]
    n = (rest["n"] + rest.groupby(level=0, sort=False).cumcount()).to_numpy()
    by = _sides(rest, n, level) + rest["shared"].to_numpy() if of.answer == "worst range" else worth(rest, n)
    order = np.argsort(-by, kind="stable")
    left = hours - float((rows["hours"] * rows["first"])[look].sum())
    fits = np.cumsum(rest["hours"].to_numpy()[order]) <= left + 1e-9
    return steps + [(str(one), 1) for one in rest.index[order][fits]]


@dataclass(frozen=True)
class NewCruise:
    """A cruise from nothing, by the handbook: the spread of the plots weighted by what each stand holds [%], plots in
    all, and of each stand by its spread and by its acres alone. plots is None where no number would do.
    """

    weighted_cv_pct: float
    plots: int | None
    by_spread: dict[str, int]
    by_acres: dict[str, int]


def weighted_cv_pct(weights: pd.Series, cv_pct: pd.Series) -> float:
    """The spread between plots over stands, each weighted by its share: of what it holds, or of its acres.

    Source: Forest Service handbook 2409.12, as taught after it.
    """
    return float((weights * cv_pct).sum() / weights.sum())


def shared_out(count: int, weights: pd.Series) -> pd.Series:
    """A whole number shared out by weights: what is left after whole parts goes to the largest remainders."""
    parts = count * weights / weights.sum()
    out = np.floor(parts).astype(int)
    last = (parts - out).sort_values(ascending=False, kind="stable").index[: count - int(out.sum())]
    out[last] += 1
    return out


def new_cruise(rows: pd.DataFrame, within: float, level: float) -> NewCruise:
    """How many plots a cruise from nothing takes for its total to come within, and where they go.

    By spread: as ``shares`` (Neyman, where all plots take as long); by acres: as acres alone.
    """
    amount, cv = rows["ac"] * rows["mean"], 100.0 * np.sqrt(rows["c2"])
    spread = weighted_cv_pct(amount, cv)
    shared = z_quantile(level) * float((amount * rows["shared"]).sum() / amount.sum())
    if within <= shared:
        return NewCruise(spread, None, {}, {})
    count = plots_needed(spread, 100.0 * float(np.sqrt(within**2 - shared**2)), level)
    by = [shared_out(count, one).to_dict() for one in (shares(rows), rows["ac"])]
    return NewCruise(spread, count, *({str(one): int(many) for one, many in of.items()} for of in by))


def change_se(mean: float, cv: float, n: int, years: float, rho: float = 0.0) -> float:
    """Standard error of the change of a mean a year between two cruises: new points (rho 0), or the same ones twice,
    whose two readings go together by rho.

    >>> round(change_se(22, .43, 20, 10), 4), round(change_se(22, .43, 20, 10, .95), 4)
    (0.2992, 0.0669)
    """
    return mean * cv * (2.0 * (1.0 - rho) / n) ** 0.5 / years


def kept_for_good(stands: pd.DataFrame, *, region: Region) -> dict[str, int]:
    """Plots to mark for good, so that growth is measured on the same ground again: stand_id -> its first so many.

    Some in each of the largest stands that are ever cut until there are enough in all; more of each where the place
    has few stands. stands: result of ``stand.layout.lay_out``.
    """
    each, whole = (int(region.figure("defaults_sampling", f"keep_permanent_{of}")) for of in ("stand", "place"))
    rows = stands[are_cut(stands["cover"], region) & (stands["operable_ac"] > 0).to_numpy()]
    each = max(each, -(-whole // max(len(rows), 1)))
    largest = rows.sort_values("operable_ac", ascending=False, kind="stable")["stand_id"].head(-(-whole // each))
    return dict.fromkeys(largest.astype(str), each)
