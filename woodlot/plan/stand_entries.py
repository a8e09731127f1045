"""What may be done on each stand over the years: leave it, or go in first in one of the periods and again each cycle.

A family works as many acres of a stand as its need takes, a tree here and there or half an acre of light at a time; a
forester sees to it that no acre is entered again before its cycle is over.

ways        every stand that may be cut, with what each way gives
Ways        the prescriptions for the solver, and stock and board feet along each of them
entered     stands that are gone into first in some year and again each cycle
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.plan import labor
from woodlot.plan.ceilings import Yearly
from woodlot.plan.labor import Pace
from woodlot.plan.pieces import Pieces
from woodlot.plan.schedule import Prescriptions
from woodlot.plan.what_grows import acres_to_cut
from woodlot.plan.woods import Run, Woods, chosen, run
from woodlot.region import Region
from woodlot.trade import CUT_FIRST, WAYS

__all__ = ["Ways", "entered", "ways"]


@dataclass(frozen=True)
class Ways:
    """Prescriptions, and for each of their rows the position of its stand (columns) and the period of its first entry
    (-1: none), and [per ac] stock (rows, years + 1); bdft of logs for the pile, heat
    [million Btu gross] and cords for the stove, trees and hours (rows, periods) that a cut gives or takes; frozen
    (whether its stand is worked on frozen ground only). mix: million Btu in a cord of the
    stove wood that may be cut; stand_ids: stands in it; left_out: stock of the stands that are not, uncut: of all if
    nothing is cut [cords], both by year.
    """

    prescriptions: Prescriptions
    columns: np.ndarray
    first: np.ndarray
    stock: np.ndarray
    bdft: np.ndarray
    heat: np.ndarray
    stove: np.ndarray
    trees: np.ndarray
    hours: np.ndarray
    frozen: np.ndarray
    mix: float
    stand_ids: list[str]
    left_out: np.ndarray
    uncut: np.ndarray
    step: int


def ways(
    woods: Woods,
    yearly: Yearly,
    stands: pd.DataFrame,
    start: int = 0,
    years: int = 10,
    step: int = 1,
    only_need: bool = False,
    pieces: Pieces | None = None,
    *,
    stove: Mapping[str, np.ndarray],
    pace: Pace | None = None,
    in_heat: bool = False,
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
        ``what_grows.acres_to_cut``; ft_from_road, by which wood takes longer to bring out; miles_from_home, since near
        wood counts a little more; wishes, since what the family
        wishes to cut first does too.
    start
        Year in which the first winter begins.
    years, step
        Length of the plan and of a period [yr]; 10 to 60, and 1 or 5.
    region
        Region whose tables are used.
    only_need
        Whether a cord beyond need counts a little against the plan (a family that cuts what it burns) rather than for
        it. Stands with dying trees, crowded ones, those whose guide was read and those near home come first in both.

    pieces
        What trees give of other products (``plan.pieces.pieces_by_class``); None for none.
    stove
        What they give the stove (``stove_wood.by_class``).
    pace
        Hours a cord (``labor.pace``); None for the published ones.
    in_heat
        Whether the need is told in heat; else in cords for the stove.

    Returns
    -------
    ``Ways``. A stand that is thinned is taken down to what it must keep, and again each cutting cycle; trees that die
    or break up are taken with the first entry, while they stand, even where nothing else may be, and count in no limit
    of the cut; what needs full light is cut whole, patch by patch as acres are given to it, once it is old enough
    where its age is known. Of pieces that stand too far apart to plan a cut on none are counted.
    """
    table = yearly.table.reset_index(drop=True)
    periods = years // step
    slope = stands["slope_pct"].fillna(0).to_numpy(dtype=float) if "slope_pct" in stands else np.zeros(len(table))
    measured = np.array([e is not None for e in table["growth"]])
    young = woods.stands["young"].to_numpy(dtype=bool)
    cut_ac = acres_to_cut(stands)
    could = np.isin(table["way"], list(WAYS)) & (cut_ac > 0)
    if "workable_ac" not in stands:
        could &= slope <= chosen("too_steep_pct", region)
    used = np.flatnonzero(could & (measured | young))
    rest = run(woods, years, region=region)
    stock_rest = np.nan_to_num(rest.cords) @ np.where(np.isin(np.arange(len(table)), used), 0.0, woods.stands["acres"])
    if not len(used):
        raise InputError("no stand may be cut: none is measured well enough, or none is to be worked")
    columns, first = np.repeat(used, periods + 1), np.tile(np.arange(-1, periods), len(used))
    given = {} if pieces is None else pieces.per_tree
    one = {"trees": np.ones_like(stove["stove_cords"])}
    counted = replace(woods, values=woods.values | given | dict(stove) | one)
    runs = entered(counted, table, rest.basal, columns, np.where(first < 0, -1, first * step), region=region)
    made = {"cut_cords": runs.cut_cords} | runs.pieces
    sums = {k: v.reshape(periods, step, -1).sum(axis=1).T for k, v in made.items()}
    light = sums["cut_cords"] < chosen("least_cut_cords_ac", region)
    keep = ~((first >= 0) & light.all(axis=1))
    columns, first = columns[keep], first[keep]
    sums = {k: v[keep] for k, v in sums.items()}
    cut = sums["cut_cords"]
    patches = (table["way"] == "patches").to_numpy()[columns]
    steep = slope > chosen("steep_pct", region)
    times = np.where(steep, chosen("steep_work", region), 1.0)
    hours_a_cord = (pace or labor.pace(None, region=region)).hours_per_cord
    far = stands["ft_from_road"].to_numpy(dtype=float) if "ft_from_road" in stands else np.full(len(table), np.nan)
    per_cord = labor.hours_per_cord(hours_a_cord, far, times, region=region)
    hours = sums["stove_cords"] * per_cord[0][columns][:, None] + sums["log_cords"] * per_cord[1][columns][:, None]
    cost = chosen("cost_of_cord", region)
    beside = _beside(table, columns, first, cut, step, region)
    worth = cut.sum(axis=1) * (_liked(woods, table, stands, region)[columns] + (-cost if only_need else 1.0))
    soon = np.linspace(1.0, 0.0, periods, endpoint=False)
    worth = worth + cost * chosen("prefer_salvage", region) * (beside @ soon)
    frozen = stands.get("frozen_ground_only", pd.Series(False, stands.index)).fillna(False).to_numpy(dtype=bool)
    burned, heat = (float((sums[k].max(axis=1) * cut_ac[columns]).sum()) for k in ("stove_cords", "heat_mmbtu"))
    mix = heat / burned if burned > 0 else 1.0
    p = Prescriptions(
        stand=np.searchsorted(used, columns),
        acres=cut_ac[used],
        cut=cut,
        beside=beside,
        fuel=sums["heat_mmbtu"] / mix if in_heat else sums["stove_cords"],
        end=runs.cords[-1, keep],
        work=hours / labor.day_hours(region),
        enters=cut > 0,
        opens=(cut > 0) & patches[:, None],
        young=_young(runs.basal[:, keep], runs.cut_basal[:, keep], step, periods, region),
        worth=worth,
        pieces={k: np.where(sums[k] >= chosen("least_pieces_ac", region), sums[k], 0.0) for k in given},
        stand_ids=[str(s) for s in table["stand_id"].iloc[used]],
    )
    return Ways(
        prescriptions=p,
        columns=columns,
        first=first,
        stock=runs.cords[:, keep].T,
        bdft=sums["log_bdft"],
        heat=sums["heat_mmbtu"],
        stove=sums["stove_cords"],
        trees=sums["trees"],
        hours=hours,
        frozen=frozen[columns],
        mix=mix,
        stand_ids=list(p.stand_ids),
        left_out=stock_rest + np.nan_to_num(rest.cords[:, used]) @ (woods.stands["acres"].to_numpy() - cut_ac)[used],
        uncut=np.nan_to_num(rest.cords) @ woods.stands["acres"].to_numpy(),
        step=step,
    )


def _liked(woods: Woods, table: pd.DataFrame, stands: pd.DataFrame, region: Region) -> np.ndarray:
    """What a cord of each stand counts beside another's: crowded, read guide, near."""
    over = np.where(_only_dying(table), 1.0, np.nan_to_num(table["over"].to_numpy(dtype=float), nan=1.0))
    out = chosen("prefer_crowded", region) * np.clip(over - 1.0, -1.0, 1.0)
    out = out + chosen("prefer_read", region) * (table["leave_seen"] == "read").to_numpy()
    if "wishes" in stands:
        first = np.array([CUT_FIRST in one for one in stands["wishes"]], dtype=float)
        out = out + chosen("prefer_wish", region) * first
    if "miles_from_home" in stands:
        miles = np.nan_to_num(stands["miles_from_home"].to_numpy(dtype=float))
        out = out - chosen("prefer_near", region) * miles
    if "ft_from_road" in stands:
        thousands = np.nan_to_num(stands["ft_from_road"].to_numpy(dtype=float)) / 1_000.0
        out = out - chosen("prefer_road", region) * thousands
    return out


def _only_dying(table: pd.DataFrame) -> np.ndarray:
    """Stands that give nothing but what dies there, as they stand today."""
    return ~(table["leave_sqft_per_ac"] >= table["keep_sqft_per_ac"]).to_numpy()


def entered(
    woods: Woods,
    table: pd.DataFrame,
    uncut: np.ndarray,
    columns: np.ndarray,
    begun: np.ndarray,
    case: str = "mid",
    seen: Sequence[int] = (),
    *,
    region: Region,
) -> Run:
    """Stands that are cut by their own rule, first in some year and again each cutting cycle; all columns at once.

    Parameters
    ----------
    woods
        ``woods_today.bring_forward``.
    table
        ``Yearly.table``: way, keep_sqft_per_ac and leave_sqft_per_ac of each stand.
    uncut
        Basal area of every stand today and after each year if nothing is cut (years + 1, stands) [sq ft/ac].
    columns, begun
        Position of the stand of each column, and the year of its first entry; negative for never.
    case, seen
        As for ``woods.run``.
    region
        Whose figures are used.

    Returns
    -------
    ``Run``. A stand that is thinned goes down to what it must keep, a third at most at once, or loses what dies there;
    one that needs full light is cut whole, once it is old enough where its age is known.
    """
    years, cycle = len(uncut) - 1, int(region.figure("defaults_cut", "cutting_cycle_yr"))
    keep, now = (table[f"{name}_sqft_per_ac"].to_numpy(dtype=float)[columns] for name in ("keep", "leave"))
    thin = (table["way"] == "thin").to_numpy()[columns]
    later = np.arange(years)[:, None] - begun
    enter = (begun >= 0) & thin & (later >= 0) & (later % cycle == 0)
    soon = (later == 0) & (begun < chosen("salvage_yr", region))
    grown = uncut[np.maximum(begun, 0), columns] / uncut[0, columns]  # those who live on grow until the entry
    now = np.where(_only_dying(table)[columns], now * grown, now)
    leave = np.where(enter, np.where(soon, now, keep), np.nan)
    least = chosen("patch_least_yr", region)
    age = woods.stands["age_yr"].to_numpy()[columns]
    clear = np.where(~thin & (begun >= 0) & ~(age + begun < least), begun, -1)
    return run(woods, years, case, columns, leave, clear, seen, region=region)


def _beside(
    table: pd.DataFrame, columns: np.ndarray, first: np.ndarray, cut: np.ndarray, step: int, region: Region
) -> np.ndarray:
    """What of each cut is outside the yearly cut [cords/ac]: all of a stand past its age, else of a first entry what
    dies, while it stands.
    """
    acres = table["cut_ac"].to_numpy(dtype=float)
    dying = table["salvage_cords"].to_numpy(dtype=float) / np.where(acres > 0, acres, 1.0)
    period = np.arange(cut.shape[1])
    soon = (period == first[:, None]) & (period * step < chosen("salvage_yr", region))
    dying = np.where(_only_dying(table) & (table["way"] == "thin").to_numpy(), np.inf, dying)[columns][:, None]
    whole = table["past_age"].to_numpy()[columns][:, None]
    return np.where(whole, cut, np.where(soon, np.minimum(cut, dying), 0.0))


def _young(basal: np.ndarray, cut: np.ndarray, step: int, periods: int, region: Region) -> np.ndarray:
    """Share of an acre that is young growth in each period: less than ten years after a cut that left little."""
    years = int(chosen("young_growth_yr", region))
    left = basal[:-1]
    heavy = (cut > 0) & (left <= chosen("young_growth_share", region) * (left + cut))
    out = heavy.astype(float)
    for back in range(1, years):
        out[back:] = np.maximum(out[back:], heavy[:-back])
    return out.reshape(periods, step, -1).mean(axis=1).T
