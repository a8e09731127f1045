"""What may be cut each year so that it lasts, for stand, parcel and ownership, and what lies beside it.

yearly_cut, Yearly   the answer
CEILINGS             what is shown side by side

A family wants the most wood a year that its grandchildren can still cut. All stands that grow evenly on are one wood:
the lower tenth of what they grow, with what leads the stock to its goal (``level_cut``), never over the area check,
Meyer's amortization or what grows over what each stand is to keep until the next cruise. Stands cut by area (aspen, fir
and jack pine of known age) give acres over the rotation beside it. What dies, lies thrown or breaks up by its age gives
an entry of its own in any stand and counts in none of this.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.covers import OTHER
from woodlot.estimate import LEVEL, Estimate, Reason, reason
from woodlot.plan.ceiling_reasons import cautions, why
from woodlot.plan.cut_limit import Kinds, kinds_of, least, limit_of, parts_of, reach_of
from woodlot.plan.level_cut import LevelCut
from woodlot.plan.residuals import Residuals, leave_now, residuals
from woodlot.plan.what_grows import Grown, grown, operable
from woodlot.plan.woods import Woods, chosen
from woodlot.region import Region

__all__ = ["CEILINGS", "PATCH", "Yearly", "yearly_cut"]

CEILINGS = ("growth", "area", "meyer")
PATCH = ("patch_least_ac", "patch_most_ac")
UNIT, UNITS = "cords a year", {"bdft": "board feet a year"}


@dataclass(frozen=True)
class Yearly:
    """Ceilings of the yearly cut.

    table: one row a stand: stand_id, parcel_id, cover, way ("thin", "patches", "none"), may (yes/no: today), inside
    (yes/no: in the level cut), by_area (yes/no: cut by area), past_age (yes/no), patch_least_ac, patch_most_ac,
    basal_sqft_per_ac, leave_sqft_per_ac (after an entry today), keep_sqft_per_ac (after later ones), leave_seen, over
    (basal area that lives on over what an entry leaves, or age over rotation), cut_ac (acres that may be worked), grows
    (what the whole stand grows), growth, area, meyer, smallest (Estimates, of what may be worked and lives on), bdft
    (Estimate of the smallest in board feet), ceiling_cords_per_yr (its part of the limit), entry_cords (most at one
    entry), salvage (yes/no: entered for what dies or breaks up), salvage_cords (of it, beside the limit), wide (yes/no:
    the range of its cords is wider than twice the number), why (Reason); parcels and whole: key -> Estimate for
    "grows", each ceiling, "smallest"
    and "bdft", of all their stands together; rule: how the limit came about; limit: what may be cut each year until the
    next cruise [cords/yr]; by_residual: what it would be at the ends of residuals that nobody has said (cover, low sq
    ft, limit, high sq ft, limit), where that matters; cautions: what to mind of the growth behind it.
    """

    table: pd.DataFrame
    parcels: dict[str, dict[str, Estimate]]
    whole: dict[str, Estimate]
    rule: LevelCut
    by_residual: tuple[tuple[str, float, float, float, float], ...]
    cautions: tuple[Reason, ...]

    @property
    def limit(self) -> float:
        """What may be cut each year until the next cruise [cords/yr]."""
        return self.rule.cords_per_yr


def yearly_cut(
    woods: Woods,
    stands: pd.DataFrame,
    cords: Mapping[str, Estimate],
    region: Region,
    level: float = LEVEL,
    seed: int = 1,
    number: int | None = None,
    *,
    chosen_sqft: Mapping[str, float] | None = None,
    first_cords: Mapping[str, float] | None = None,
) -> Yearly:
    """Ceilings of the yearly cut for each stand, each parcel and all of it.

    Parameters
    ----------
    woods
        ``woods_today.bring_forward``.
    stands
        stand_id, cover, acres, operable (may be missing), and the columns of ``residuals``, ``acres_to_cut`` and
        ``wish_rules.by_wish``.
    cords
        Standing cords by stand_id as the plots gave them: their errors carry over to today.
    region
        Region whose tables are used.
    level
        Share of times the ranges should hold the truth.
    seed, number
        Start and number of the random draws.
    chosen_sqft
        Basal area that the family wishes to keep, by cover [sq ft/ac].
    first_cords
        Cords an acre as the first cruise on record saw them, by stand_id; a stand without one stands at today's.

    Returns
    -------
    ``Yearly``. Ranges are intervals where cores stand behind the growth, else ranges of assumptions. A stand without
    plots has none.
    """
    today = woods.stands.reset_index(drop=True)
    of = grown(woods, stands, cords, number=number, seed=seed, region=region)
    keeps = residuals(stands, of.basal, chosen_sqft, region=region)
    kinds = kinds_of(today, of, keeps, region=region)
    leave = leave_now(keeps, of.rest_basal)
    then = today["stand_id"].map(first_cords or {}).to_numpy(dtype=float) * of.cut_ac * of.rest
    first = np.where(np.isfinite(then), then, of.worked)
    rule = limit_of(of, kinds, leave, keeps.keep, first, region=region)
    asked = _by_residual(of, kinds, keeps, leave, first, rule, region=region)
    out = _table(today, of, keeps, kinds, leave, rule, region=region)
    parts = parts_of(of, kinds, rule, leave, keeps.keep, region=region)
    feet, backed = _feet_per_cord(woods), today["backed"].to_numpy(dtype=bool)
    grows = of.drawn.stock * of.drawn.rate(of.rates)
    told = _told(parts, grows, out["ceiling_cords_per_yr"].to_numpy(dtype=float), feet)
    each = list(zip(of.known, backed.tolist(), of.acres, of.standing, strict=True))
    alone = of.drawn.alone()
    for name, values in told.items():
        out[name] = _each(values * alone, each, level, UNITS.get(name, UNIT))
    out["meyer"] = out["meyer"].where(kinds.inside, None)  # what is cut by area is led to no stock
    rows = zip(out.to_dict("records"), of.standing, keeps.rule, operable(stands), keeps.shut, strict=True)
    out["why"] = pd.Series([why(*row) for row in rows], dtype=object)

    def together(at: np.ndarray) -> dict[str, Estimate]:
        cuts = out["ceiling_cords_per_yr"].to_numpy(dtype=float)[at]
        mix = float(cuts @ feet[at]) / cuts.sum() if cuts.sum() > 0 else 0.0
        cut = at & (kinds.inside | (kinds.by_area_cords > 0))
        times, all_times = of.drawn.of_some(cut), of.drawn.of_some(at)
        inside = {
            name: (values[:, cut] * times * (kinds.inside | (name == "beside"))[cut]).sum(axis=1)
            for name, values in parts.items()
        }
        of_all = (grows[:, at] * all_times).sum(axis=1)
        return _sums(_told(inside, of_all, cuts.sum(), mix), at, backed, of.acres, level)

    of_parcel = {str(p): of.known & (out["parcel_id"] == p).to_numpy() for p in out["parcel_id"].dropna().unique()}
    mind = cautions(woods, of, grows[:, of.known].sum(axis=1), of.known, region=region)
    return Yearly(out, {p: together(at) for p, at in of_parcel.items()}, together(of.known), rule, asked, mind)


def _by_residual(
    of: Grown,
    kinds: Kinds,
    keeps: Residuals,
    leave: np.ndarray,
    first: np.ndarray,
    rule: LevelCut,
    *,
    region: Region,
) -> tuple[tuple[str, float, float, float, float], ...]:
    """What may be cut at the ends of each residual that nobody has said, where the two differ enough to ask."""
    out = []
    there = keeps.open & kinds.inside & (keeps.rule_of != OTHER)  # a stand without a cover is asked for that first
    for cover in dict.fromkeys(keeps.rule_of[there].tolist()):
        mine = keeps.open & (keeps.rule_of == cover)
        ends = []
        for end in (keeps.low, keeps.high):
            left, kept = np.where(mine, end, leave), np.where(mine, end, keeps.keep)
            there = limit_of(of, kinds, left, kept, first, region=region)
            ends.append((float(end[mine].min()), there.cords_per_yr))
        (low, at_low), (high, at_high) = ends
        if abs(at_low - at_high) > region.figure("defaults_cut", "ask_leave_share") * rule.cords_per_yr:
            out.append((str(cover), low, at_low, high, at_high))
    return tuple(out)


def _told(parts: Mapping[str, np.ndarray], grows: np.ndarray, cut: Any, feet: Any) -> dict[str, np.ndarray]:
    """What is told of a stand, or of some together, by draw: each ceiling, the least, what all of it grows, and the
    board feet of what may be cut.
    """
    smallest, meyer = least(parts), np.maximum(parts["meyer"], 0.0)
    middle = np.median(smallest, axis=0)
    of_it = np.divide(cut, middle, out=np.zeros_like(middle), where=middle > 0)
    out = {"growth": parts["growth"], "area": parts["area"], "meyer": meyer, "smallest": smallest}
    return out | {"grows": grows, "bdft": smallest * of_it * feet}


def _table(
    today: pd.DataFrame,
    of: Grown,
    keeps: Residuals,
    kinds: Kinds,
    leave: np.ndarray,
    rule: LevelCut,
    *,
    region: Region,
) -> pd.DataFrame:
    """Rows of ``Yearly.table`` but for the Estimates and the reasons."""
    rotation, patch_years = (region.figure("defaults_cut", name) for name in ("patch_rotation_yr", "patch_years"))
    shut = np.array([one is not None for one in keeps.shut], dtype=bool)
    patches = (keeps.way == "patches") | kinds.by_area
    lost = of.stock * of.part * (1.0 - of.rest)
    salvage = ~shut & of.known & (kinds.past_age | (lost >= chosen("least_entry_cords", region)))
    way = np.where(patches, "patches", np.where(salvage & (keeps.way == "none"), "thin", keeps.way))
    thin = way == "thin"
    over = np.where(thin, of.rest_basal / leave, np.where(patches, today["age_yr"].to_numpy() / rotation, np.nan))
    grown_over = np.where(kinds.inside, over >= 1.0, kinds.by_area | kinds.past_age)
    may = (grown_over | salvage) & (of.cut_ac > 0) & (of.stock > 0)
    salvage &= may
    out = today[["stand_id", "parcel_id", "cover"]].copy()
    out["way"], out["may"], out["basal_sqft_per_ac"] = way, may, of.basal
    out["inside"], out["by_area"], out["past_age"] = kinds.inside, kinds.by_area, kinds.past_age
    out["keep_sqft_per_ac"] = np.where(keeps.way == "thin", leave, np.nan)
    out["leave_sqft_per_ac"] = np.where(thin, np.where(salvage, np.fmin(leave, of.rest_basal), leave), np.nan)
    out["leave_seen"], out["over"], out["cut_ac"] = keeps.seen, over, of.cut_ac
    for name in PATCH:
        out[name] = np.where(patches, region.figure("defaults_cut", name), np.nan)
    reach, today_over = reach_of(of, kinds, leave, region=region)
    level = reach * (rule.level_cords / reach.sum() if reach.sum() > 0 else 0.0)
    out["ceiling_cords_per_yr"] = level + kinds.by_area_cords
    at_once = np.where(patches, of.worked * patch_years / rotation, today_over)
    out["entry_cords"] = np.where(may, at_once, 0.0)
    out["salvage"], out["wide"] = salvage, of.wide
    out["salvage_cords"] = np.where(salvage, np.where(kinds.past_age & patches, of.stock * of.part, lost), 0.0)
    return out


def _feet_per_cord(woods: Woods) -> np.ndarray:
    cords = np.tensordot(woods.values["cords"], woods.trees, axes=2)
    feet = np.tensordot(woods.values["bdft"], woods.trees, axes=2)
    return np.divide(feet, cords, out=np.zeros_like(cords), where=cords > 0)


def _ends(values: np.ndarray, level: float) -> np.ndarray:
    """Low end, middle and high end of draws, of each column apart."""
    edge = (1.0 - level) / 2.0
    return np.quantile(values, [edge, 0.5, 1.0 - edge], axis=0)


def _one(ends: np.ndarray, level: float, unit: str, backed: bool, acres: float, n: int = 0) -> Estimate:
    low, middle, high = ends.tolist()
    base = Estimate(middle, unit, low, high, level, n=n, ground_ac=float(acres), method="random draws")
    if high == 0.0 == low:
        return replace(base, value=0.0, low=None, high=None, why=reason("nothing may be cut"))
    if backed:
        return replace(base, kind="interval")
    return replace(base, kind="assumptions", why=reason("published growth"))


def _each(values: np.ndarray, each: list[tuple], level: float, unit: str) -> pd.Series:
    """Estimates of the stands; None where nothing is known."""
    out = [
        _one(ends, level, unit, backed, acres, cords.n) if known and cords is not None else None
        for ends, (known, backed, acres, cords) in zip(_ends(values, level).T, each, strict=True)
    ]
    return pd.Series(out, dtype=object)


def _sums(
    told: Mapping[str, np.ndarray], at: np.ndarray, backed: np.ndarray, acres: np.ndarray, level: float
) -> dict[str, Estimate]:
    """Estimates of the stands ``at`` together; told: draws of each number."""
    if not at.any():
        none = Estimate(None, UNIT, level=level, why=reason("no range anywhere"))
        return dict.fromkeys(told, none)
    return {
        name: _one(_ends(values, level), level, UNITS.get(name, UNIT), bool(backed[at].all()), acres[at].sum())
        for name, values in told.items()
    }
