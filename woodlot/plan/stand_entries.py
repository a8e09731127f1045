"""What may be done on each stand over the years: leave it, or go in first in one of the periods and again each cycle.

ways        every stand that may be cut, with what each way gives
Ways        the prescriptions for the solver, and stock and board feet along each of them
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.plan.ceilings import Yearly, acres_to_cut
from woodlot.plan.pieces import Pieces
from woodlot.plan.schedule import Prescriptions
from woodlot.plan.woods import Woods, chosen, run
from woodlot.region import Region
from woodlot.trade import WAYS

__all__ = ["Ways", "ways"]


@dataclass(frozen=True)
class Ways:
    """Prescriptions, and for each of their rows [per ac]: stock (rows, years + 1), bdft (rows, periods) cut, frozen
    (whether its stand is worked on frozen ground only). stand_ids: stands in it; left_out: stock of the stands that are
    not, uncut: of all if nothing is cut [cords], both by year.
    """

    prescriptions: Prescriptions
    stock: np.ndarray
    bdft: np.ndarray
    frozen: np.ndarray
    stand_ids: list[str]
    left_out: np.ndarray
    uncut: np.ndarray
    step: int


def ways(
    woods: Woods,
    yearly: Yearly,
    stands: pd.DataFrame,
    years: int = 10,
    step: int = 1,
    only_need: bool = False,
    pieces: Pieces | None = None,
    *,
    region: Region,
) -> Ways:
    """Prescriptions for every stand that may be cut some day.

    Parameters
    ----------
    woods
        ``woods_today.bring_forward``.
    yearly
        ``ceilings.yearly_cut``: how each stand is cut and what it must keep.
    stands
        stand_id, acres, operable, frozen_ground_only; slope_pct where it is known (steep ground takes more days, and
        none is worked over 35 % unless workable_ac has the steep acres off already); the columns of
        ``ceilings.acres_to_cut``; miles_from_home, since near wood counts a little more; wish.
    years, step
        Length of the plan and of a period [yr]; 10 to 60, and 1 or 5.
    region
        Region whose tables are used.
    only_need
        Whether a cord beyond need counts a little against the plan (a family that cuts what it burns) rather than for
        it. Stands with dying trees, crowded ones, those whose guide was read and those near home come first in both.

    pieces
        What trees give of other products (``plan.pieces.pieces_by_class``); None for none.

    Returns
    -------
    ``Ways``. A stand that is thinned is taken down to what it must keep, at most a third at once, and again each
    cutting cycle; aspen is cut whole, part by part as acres are given to it, once it is old enough.
    """
    table = yearly.table.reset_index(drop=True)
    periods = years // step
    slope = stands["slope_pct"].fillna(0).to_numpy(dtype=float) if "slope_pct" in stands else np.zeros(len(table))
    ranged = np.array([e is not None and e.low is not None for e in table["growth"]])
    young = woods.stands["young"].to_numpy(dtype=bool)
    cut_ac = acres_to_cut(stands)
    could = np.isin(table["way"], list(WAYS)) & (cut_ac > 0)
    if "workable_ac" not in stands:
        could &= slope <= chosen("too_steep_pct", region)
    used = np.flatnonzero(could & (ranged | young))
    rest = run(woods, years, region=region)
    stock_rest = np.nan_to_num(rest.cords) @ np.where(np.isin(np.arange(len(table)), used), 0.0, woods.stands["acres"])
    if not len(used):
        raise InputError("no stand may be cut: none is measured well enough, or none is to be worked")
    columns, first = np.repeat(used, periods + 1), np.tile(np.arange(-1, periods), len(used))
    given = {} if pieces is None else pieces.per_tree
    runs = _run(replace(woods, values=woods.values | given), table, years, step, columns, first, region)
    sums = {k: getattr(runs, k).reshape(periods, step, -1).sum(axis=1).T for k in ("cut_cords", "cut_bdft")}
    light = sums["cut_cords"] < chosen("least_cut_cords_ac", region)
    keep = ~((first >= 0) & light.all(axis=1))
    columns, first = columns[keep], first[keep]
    cut, feet = sums["cut_cords"][keep], sums["cut_bdft"][keep]
    patches = (table["way"] == "patches").to_numpy()[columns]
    steep = slope > chosen("steep_pct", region)
    days = chosen("days_per_cord", region) * np.where(steep, chosen("steep_work", region), 1.0)
    liked = _liked(woods, table, stands, region)[columns]
    dying = woods.stands["dying_share"].to_numpy(dtype=float)[columns]
    worth = cut.sum(axis=1) * (liked + (-chosen("cost_of_cord", region) if only_need else 1.0))
    worth = worth + chosen("prefer_dying", region) * dying * cut[:, 0]
    frozen = stands.get("frozen_ground_only", pd.Series(False, stands.index)).fillna(False).to_numpy(dtype=bool)
    p = Prescriptions(
        stand=np.searchsorted(used, columns),
        acres=cut_ac[used],
        cut=cut,
        end=runs.cords[-1, keep],
        work=cut * days[columns][:, None],
        enters=cut > 0,
        opens=(cut > 0) & patches[:, None],
        young=_young(runs.basal[:, keep], runs.cut_basal[:, keep], step, periods, region),
        worth=worth,
        pieces={k: v.reshape(periods, step, -1).sum(axis=1).T[keep] for k, v in runs.pieces.items()},
        stand_ids=[str(s) for s in table["stand_id"].iloc[used]],
    )
    return Ways(
        prescriptions=p,
        stock=runs.cords[:, keep].T,
        bdft=feet,
        frozen=frozen[columns],
        stand_ids=list(p.stand_ids),
        left_out=stock_rest + np.nan_to_num(rest.cords[:, used]) @ (woods.stands["acres"].to_numpy() - cut_ac)[used],
        uncut=np.nan_to_num(rest.cords) @ woods.stands["acres"].to_numpy(),
        step=step,
    )


def _liked(woods: Woods, table: pd.DataFrame, stands: pd.DataFrame, region: Region) -> np.ndarray:
    """What a cord of each stand counts beside another's: crowded, read guide, near."""
    over = np.nan_to_num(table["over"].to_numpy(dtype=float), nan=1.0)
    out = chosen("prefer_crowded", region) * np.clip(over - 1.0, -1.0, 1.0)
    out = out + chosen("prefer_read", region) * (table["leave_seen"] == "read").to_numpy()
    if "miles_from_home" in stands:
        miles = np.nan_to_num(stands["miles_from_home"].to_numpy(dtype=float))
        out = out - chosen("prefer_near", region) * miles
    if "wish" in stands:
        out = out + chosen("prefer_wish", region) * (stands["wish"] == "cut first").to_numpy()
    return out


def _run(woods, table, years, step, columns, first, region: Region):
    """All stands under all their ways at once."""
    cycle = int(region.figure("defaults_cut", "cutting_cycle_yr"))
    keep = table["leave_sqft_per_ac"].to_numpy(dtype=float)[columns]
    thin = (table["way"] == "thin").to_numpy()[columns]
    year = np.arange(years)[:, None]
    begun = first * step
    enter = (first >= 0) & thin & (year >= begun) & ((year - begun) % cycle == 0)
    leave = np.where(enter, keep, np.nan)
    least = chosen("patch_least_yr", region)
    age = woods.stands["age_yr"].to_numpy()[columns]
    clear = np.where(~thin & (first >= 0) & (age + begun >= least), begun, -1)
    return run(woods, years, "mid", columns, leave, clear, region=region)


def _young(basal: np.ndarray, cut: np.ndarray, step: int, periods: int, region: Region) -> np.ndarray:
    """Share of an acre that is young growth in each period: less than ten years after a cut that left little."""
    years = int(chosen("young_growth_yr", region))
    left = basal[:-1]
    heavy = (cut > 0) & (left <= chosen("young_growth_share", region) * (left + cut))
    out = heavy.astype(float)
    for back in range(1, years):
        out[back:] = np.maximum(out[back:], heavy[:-back])
    return out.reshape(periods, step, -1).mean(axis=1).T
