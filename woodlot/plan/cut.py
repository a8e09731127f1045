"""The cut: what may be taken a year, and from where this winter.

First look       first_look, first_look_totals
Formulas         cut_per_yr_meyer, cut_per_yr_hundeshagen, cut_per_yr_von_mantel, cut_per_yr_austrian

A first look stands on a published growth percent, not on growth measured here. It takes the lower ends: of growth, of
the cords that stand, of what a stand may lose at one entry. A stand under the basal area it should keep is not cut,
whatever the rest grows.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import exp, log, sqrt
from typing import Any

import numpy as np
import pandas as pd

from woodlot import tables, words
from woodlot.errors import InputError
from woodlot.estimate import Estimate, add, scale, z_quantile
from woodlot.trade import SEEN
from woodlot.tree.inputs import default, numbers, positive

__all__ = [
    "cut_per_yr_austrian",
    "cut_per_yr_hundeshagen",
    "cut_per_yr_meyer",
    "cut_per_yr_von_mantel",
    "first_look",
    "first_look_totals",
]

GROWTH = "growth percent"
UNIT = "cords a year"
LABEL = "First look: growth is a published percent, not measured here."


def cut_per_yr_meyer(stock: Any, goal_stock: Any, years: Any, growth_rate: Any, cut_growth_rate: Any = None) -> Any:
    """Level yearly cut that leads a stock to its goal.

    Parameters
    ----------
    stock, goal_stock
        Stock now and wished for, in the same unit.
    years
        Years to get there [yr].
    growth_rate
        Yearly growth of the whole stock, as a share (.03).
    cut_growth_rate
        Yearly growth of the part that is cut; None for the same.

    Returns
    -------
    Cut per year in the unit of the stock; negative where growth alone does not reach the goal.

    Notes
    -----
    [V0 (1+gm)^n - Vn] x gc / ((1+gc)^n - 1); with both rates alike, growth then cut at each year's end leads V0 exactly
    to Vn. Without growth it is (V0 - Vn) / n.

    Examples
    --------
    400 to 500 in 20 years at 3 %: (400 x 1.80611 - 500) x .03 / .80611 = 222.444 x .0372157 = 8.278.

    >>> round(cut_per_yr_meyer(400, 500, 20, 0.03), 3)
    8.278

    Source: Meyer's amortization, textbook form from memory.
    """
    (v0, vn, n, gm, gc), back = numbers(
        stock=stock,
        goal_stock=goal_stock,
        years=years,
        growth_rate=growth_rate,
        cut_growth_rate=growth_rate if cut_growth_rate is None else cut_growth_rate,
    )
    positive(years=n)
    _shares(growth_rate=gm, cut_growth_rate=gc)
    _amounts(stock=v0, goal_stock=vn)
    grown = np.where(gc == 0.0, n, np.expm1(n * np.log1p(gc)) / np.where(gc == 0.0, 1.0, gc))
    return back((v0 * (1.0 + gm) ** n - vn) / grown)


def cut_per_yr_hundeshagen(stock: Any, goal_stock: Any, goal_cut: Any) -> Any:
    """Yearly cut in the proportion of the stock to that of the forest wished for: stock x goal_cut / goal_stock.

    >>> cut_per_yr_hundeshagen(400, 300, 6)
    8.0
    """
    (v, vr, y), back = numbers(stock=stock, goal_stock=goal_stock, goal_cut=goal_cut)
    positive(goal_stock=vr)
    _amounts(stock=v, goal_cut=y)
    return back(v * y / vr)


def cut_per_yr_von_mantel(stock: Any, rotation_yr: Any) -> Any:
    """Yearly cut of an even series of ages from its stock alone: 2 x stock / rotation.

    >>> cut_per_yr_von_mantel(400, 80)
    10.0
    """
    (v, r), back = numbers(stock=stock, rotation_yr=rotation_yr)
    positive(rotation_yr=r)
    _amounts(stock=v)
    return back(2.0 * v / r)


def cut_per_yr_austrian(stock: Any, goal_stock: Any, years: Any, growth_per_yr: Any) -> Any:
    """Yearly cut as growth, and the surplus of stock spread over years: growth + (stock - goal) / years.

    >>> cut_per_yr_austrian(400, 300, 20, 9)
    14.0
    """
    (v, vr, a, i), back = numbers(stock=stock, goal_stock=goal_stock, years=years, growth_per_yr=growth_per_yr)
    positive(years=a)
    _amounts(stock=v, goal_stock=vr)
    return back(i + (v - vr) / a)


def _shares(**told: np.ndarray) -> None:
    for name, values in told.items():
        if np.any(np.abs(values) >= 1.0):
            raise InputError(f"{name} is a share a year, .03 for 3 %, not {float(values.flat[0]):g}")


def _amounts(**told: np.ndarray) -> None:
    for name, values in told.items():
        if np.any(values < 0):
            raise InputError(f"{name} must be 0 or more, found {float(np.nanmin(values)):g}")


def _chosen(name: str, region: str) -> float:
    return default(name, "defaults_cut", region)


def first_look(
    stands: pd.DataFrame,
    cords: Mapping[str, Estimate],
    basal: Mapping[str, Estimate],
    region: str = "base",
    need_cords: float | None = None,
    taken_cords: float = 0.0,
) -> pd.DataFrame:
    """What each stand grows by a published percent, the most that may be taken a year, and what could go this winter.

    Parameters
    ----------
    stands
        stand_id, cover, age_yr (may be missing), acres (working acres), operable, frozen_ground_only.
    cords
        Standing live cords by stand_id (``wood.tally.totals`` by stand); a stand may be missing.
    basal
        Live basal area per acre by stand_id (``stand.cruise.estimates``).
    region
        Region whose tables are used.
    need_cords
        Cords wanted this winter; None takes what the ceiling allows.
    taken_cords
        Cords cut this year already, salvage and windthrow included: they count against the ceiling.

    Returns
    -------
    Frame in the order of ``stands``: stand_id; cover; way ("thin", "patches", "none"); growth (Estimate, a range of
    assumptions) and growth_low, growth_mid, growth_high [cords/yr]; area_check [cords/yr]; ceiling_cords_per_yr;
    basal_sqft_per_ac; leave_sqft_per_ac and leave_seen (its mark); entry_cords (the most at one entry); this_winter
    (yes/no) and this_winter_cords; words.

    Notes
    -----
    growth = cords x middle percent, the middle being the geometric mean of the published low and high; the percent is
    one error shared by all stands. Ceiling = the smaller of the low end of growth and the area check (low cords x a
    third / cutting cycle; for patches low cords / rotation); 0 without a range of its own, under the basal area to be
    left, or where nothing may be cut. Due is a stand over its basal area, or a patch stand past its rotation. This
    winter goes first to stands whose guide was read, then to those from memory or chosen, the most overdue first, until
    the sum of all ceilings (or the need) is filled. Entries under three cords are dropped.
    """
    if taken_cords < 0 or (need_cords is not None and need_cords < 0):
        raise InputError("cords needed or taken must be 0 or more")
    out = pd.DataFrame({"stand_id": stands["stand_id"].astype(str).to_numpy(), "cover": stands["cover"].to_numpy()})
    rules = tables.table("cut_rules", of=region).set_index("cover")
    kinds = [str(c) if c in rules.index else "other" for c in out["cover"]]
    rule = rules.reindex(kinds).reset_index(drop=True)
    out["way"] = rule["way"]
    standing = [cords.get(s) for s in out["stand_id"]]
    growth = [_growth(e, *_percents(k, region)) for e, k in zip(standing, kinds, strict=True)]
    out["growth"] = pd.Series(growth, index=out.index, dtype=object)
    for name, part in (("growth_low", "low"), ("growth_mid", "value"), ("growth_high", "high")):
        out[name] = [np.nan if g is None or getattr(g, part) is None else getattr(g, part) for g in growth]
    low = np.array([np.nan if e is None or e.low is None else e.low for e in standing], dtype=float)
    density = [basal.get(s) for s in out["stand_id"]]
    out["basal_sqft_per_ac"] = [np.nan if e is None or e.value is None else e.value for e in density]
    out["leave_sqft_per_ac"], out["leave_seen"] = rule["leave_sqft_per_ac"].astype(float), rule["seen"]

    thin, patches = (out["way"] == "thin").to_numpy(), (out["way"] == "patches").to_numpy()
    rotation, share = _chosen("patch_rotation_yr", region), _chosen("share_per_entry", region)
    age = pd.to_numeric(stands["age_yr"]).to_numpy(dtype=float) if "age_yr" in stands else np.full(len(out), np.nan)
    over = np.where(
        thin, out["basal_sqft_per_ac"] / out["leave_sqft_per_ac"], np.where(patches, age / rotation, np.nan)
    )
    operable = stands["operable"].fillna(True).to_numpy(dtype=bool) if "operable" in stands else True
    out["area_check"] = low * np.where(patches, 1.0 / rotation, share / _chosen("cutting_cycle_yr", region))
    may = (thin | patches) & operable & np.where(thin, over >= 1.0, True) & np.isfinite(low)
    ceiling = np.minimum(out["growth_low"], out["area_check"])
    out["ceiling_cords_per_yr"] = np.where(may, ceiling, 0.0)
    above = 1.0 - 1.0 / np.where(over >= 1.0, over, 1.0)
    once = np.where(patches, _chosen("patch_years", region) / rotation, np.minimum(share, above))
    out["entry_cords"] = np.where(may, low * once, 0.0)
    allowed = max(float(out["ceiling_cords_per_yr"].sum()) - taken_cords, 0.0)
    allowed = allowed if need_cords is None else min(allowed, need_cords)
    least = _chosen("least_entry_cords", region)
    due = may & (over >= 1.0) & (out["entry_cords"] >= least).to_numpy()
    founded = rule["seen"].map(list(SEEN).index).to_numpy()
    order = np.lexsort((-np.where(due, over, 0.0), founded))
    out["this_winter_cords"] = _fill(np.where(due, out["entry_cords"], 0.0), order, allowed, least)
    out["this_winter"] = out["this_winter_cords"] > 0
    frozen = (
        stands["frozen_ground_only"].fillna(False).to_numpy(dtype=bool) if "frozen_ground_only" in stands else False
    )
    told = out.assign(age=age, frozen=frozen, operable=operable, why=rule["why"].fillna(""), rotation=rotation)
    out["words"] = [_words(row, e) for row, e in zip(told.to_dict("records"), standing, strict=True)]
    return out


def _percents(cover: str, region: str) -> tuple[float, float]:
    table = tables.table("growth_pct_first_look", of=region)
    bounds = dict(table.loc[table["cover"] == cover, ["bound", "pct_per_yr"]].to_numpy(dtype=object))
    return float(bounds.get("low", 0.0)), float(bounds.get("high", 0.0))


def _growth(standing: Estimate | None, low_pct: float, high_pct: float) -> Estimate | None:
    """Yearly growth of a stand from its cords; None without cords or without a percent."""
    if standing is None or standing.value is None or high_pct <= 0:
        return None
    middle = sqrt(low_pct * high_pct)
    log_sd = log(high_pct / low_pct) / 2.0 / z_quantile(standing.level)
    out = scale(standing, middle / 100.0, UNIT, {GROWTH: sqrt(exp(log_sd**2) - 1.0)})
    return replace(
        out, kind="assumptions" if out.low is not None else "none", method="cords x published growth percent"
    )


def _fill(entry: np.ndarray, order: np.ndarray, allowed: float, least: float) -> np.ndarray:
    """Cords from each stand in an order, until the allowance is used up; a rest under the least entry is dropped."""
    wanted = entry[order]
    before = np.cumsum(wanted) - wanted
    take = np.clip(allowed - before, 0.0, wanted)
    out = np.zeros(len(entry))
    out[order] = np.where(take >= least, take, 0.0)
    return out


def _words(row: dict, standing: Estimate | None) -> str:
    if row["way"] == "none":
        return f"Nothing is to be cut here. {row['why']}"
    if not row["operable"]:
        return "Nothing this winter. It is not to be worked."
    if standing is None:
        return "No number yet. Nobody has put a plot here. Three plots would give a first figure."
    if standing.value is None:
        return f"No number yet: {standing.why}."
    if standing.value == 0:
        return "Nothing this winter. No wood was found on its plots."
    if standing.low is None:
        return f"Nothing this winter. Don't plan a cut on it: {standing.why}."
    if row["way"] == "thin" and row["basal_sqft_per_ac"] < row["leave_sqft_per_ac"]:
        return "This winter: nothing. It is below the stocking it should keep."
    if row["this_winter"]:
        amount = words.amount(row["this_winter_cords"], "cords")
        leave = (
            f"Thin, and leave {row['leave_sqft_per_ac']:.0f} sq ft an acre."
            if row["way"] == "thin"
            else "Cut it in one patch: it comes back in full light only."
        )
        return f"This winter: up to {amount}. {leave}{' Frozen ground only.' if row['frozen'] else ''} {LABEL}"
    if row["way"] == "patches" and np.isnan(row["age"]):
        return "Nothing this winter. Its age is not written, so nobody can say when it is due."
    if row["way"] == "patches" and row["age"] < row["rotation"]:
        return f"Nothing this winter. Next: when it is {row['rotation']:.0f} years old, in {_years(row)}."
    return "Nothing this winter. Other stands come first, and they use up what grows."


def _years(row: dict) -> str:
    left = int(np.ceil(row["rotation"] - row["age"]))
    return "1 year" if left == 1 else f"{left} years"


def first_look_totals(look: pd.DataFrame, acres: float) -> dict[str, Any]:
    """All stands of a first look together.

    Returns
    -------
    growth (Estimate, a range of assumptions; None when no stand has any), ceiling_cords_per_yr, this_winter_cords,
    stands_this_winter (ids), words, caution ("" or that the growth is more than a whole ownership can be believed to
    have). ``acres`` are the working acres behind it.
    """
    parts = [g for g in look["growth"] if g is not None and g.value is not None]
    growth = add(parts, kind="assumptions" if parts else "none") if parts else None
    if growth is not None and growth.low is None:
        growth = replace(growth, kind="none")
    ceiling = float(look["ceiling_cords_per_yr"].sum())
    most = default("most_cords_per_ac_yr", "defaults_cut")
    much = growth is not None and acres > 0 and (growth.value or 0.0) / acres > most
    chosen = look.loc[look["this_winter"], "stand_id"].tolist()
    return {
        "growth": growth,
        "ceiling_cords_per_yr": ceiling,
        "this_winter_cords": float(look["this_winter_cords"].sum()),
        "stands_this_winter": chosen,
        "words": f"{words.amount(ceiling, 'cords')} a year may be cut at most. {LABEL}",
        "caution": f"Growth of more than {most:g} cord an acre a year is not to be believed without cores."
        if much
        else "",
    }
