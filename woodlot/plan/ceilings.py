"""What may be cut each year: ceilings side by side for stand, parcel and ownership, each with its range.

Ranges     draws, Draws
Ceilings   yearly_cut, Yearly
Ground     acres_to_cut, leave_sqft

Three ceilings: net growth (measured or published), area (a share of the stock each cutting cycle, or acres over the
rotation), and Meyer's amortization (the level cut that leads the stock to what should stand between two entries). What
may be cut is the smallest of the three, draw by draw; the family gets its lower end. A stand under the basal area it
should keep gives nothing, whatever the rest grows, but what dies or breaks up there: that is taken in any stand, and no
growth holds it back. A stand with too few plots for a range gives a share of the ceiling of its middle.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.covers import rule_of
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, Reason, reason, z_quantile
from woodlot.plan import growth_rates
from woodlot.plan.cut import cut_per_yr_meyer
from woodlot.plan.wish_rules import by_wish
from woodlot.plan.woods import CASES, Run, Woods, chosen, run
from woodlot.region import Region
from woodlot.stand import grow
from woodlot.stand.even_aged import outside_pine_limits
from woodlot.wood.tally import KINDS, VOLUME_TABLE

__all__ = ["CEILINGS", "PATCH", "Draws", "Yearly", "acres_to_cut", "draws", "leave_sqft", "yearly_cut"]

CEILINGS = ("growth", "area", "meyer")
PATCH = ("patch_least_ac", "patch_most_ac")
UNIT, UNITS = "cords a year", {"bdft": "board feet a year"}


@dataclass(frozen=True)
class Draws:
    """Random draws (draws, stands): stock [cords], rate of net growth [share of stock a year]."""

    stock: np.ndarray
    rate: np.ndarray


@dataclass(frozen=True)
class Yearly:
    """Ceilings of the yearly cut.

    table: one row a stand: stand_id, parcel_id, cover, way ("thin", "patches", "none"), may (yes/no), patch_least_ac,
    patch_most_ac, basal_sqft_per_ac, leave_sqft_per_ac, leave_seen, over (basal area over what it should keep, or age
    over rotation), cut_ac (acres that may be worked), grows (what the whole stand grows), growth, area, meyer, smallest
    (Estimates, of the acres that may be worked), bdft (Estimate of the smallest in board feet), ceiling_cords_per_yr,
    entry_cords (most at one entry), salvage (yes/no: entered for what dies or breaks up), few (yes/no: too few plots
    for a range), why (Reason); parcels and whole: key -> Estimate for "grows", each ceiling, "smallest" and "bdft";
    limit: what is given to the family, the lower end of the smallest, all stands together [cords/yr]; cautions: what to
    mind of the growth behind it.
    """

    table: pd.DataFrame
    parcels: dict[str, dict[str, Estimate]]
    whole: dict[str, Estimate]
    limit: float
    cautions: tuple[Reason, ...]


#: Two plots give draws without an end; none is taken further off than this many powers of e.
MOST_OFF = 50.0


def draws(
    stock: np.ndarray,
    stock_cv: np.ndarray,
    df: np.ndarray,
    rates: np.ndarray,
    table_cv: np.ndarray,
    stacking_cv: float,
    number: int,
    seed: int,
    level: float = LEVEL,
) -> Draws:
    """Stock and growth of some stands drawn many times.

    Parameters
    ----------
    stock
        Standing cords by stand.
    stock_cv, df
        Sampling error over the stock, and its degrees of freedom, by stand (0 where there is none).
    rates
        Yearly net growth over the stock (3, stand): low, middle, high, the outer two holding the truth at ``level``.
    table_cv, stacking_cv
        Error of the volume table by stand and of the solid wood in a cord: shared by all stands.
    number, seed
        Draws and where they start.
    level
        Level of ``rates``.

    Returns
    -------
    ``Draws``. Stock = value x exp(t s_m + z s_table + z s_cord); the rate lies on the low or the high side of the
    middle by the same draw in all stands, for one table of growth rates is off everywhere alike.
    """
    many = len(stock)
    if rates.shape != (3, many):
        raise InputError(f"rates are wanted as low, middle, high by stand, not {rates.shape}")
    draw = np.random.default_rng(seed)
    t = draw.standard_normal((number, many))
    chi = draw.chisquare(np.where(df > 0, df, 1.0), (number, many)) / np.where(df > 0, df, 1.0)
    t = t / np.sqrt(np.where((df > 0) & np.isfinite(df), chi, 1.0))
    z_table, z_cord, z_rate = (draw.standard_normal((number, 1)) for _ in range(3))

    def log_sd(cv: Any) -> Any:
        return np.sqrt(np.log1p(np.square(cv)))

    off = t * log_sd(stock_cv) + z_table * log_sd(table_cv) + z_cord * log_sd(stacking_cv)
    value = stock * np.exp(np.clip(off, -MOST_OFF, MOST_OFF))
    step = z_rate / z_quantile(level)
    rate = rates[1] + np.where(step < 0, -step * (rates[0] - rates[1]), step * (rates[2] - rates[1]))
    return Draws(value, rate)


def leave_sqft(stands: pd.DataFrame, region: Region) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Basal area each stand should keep, its mark, how it is cut ("thin", "patches", "none"), and why nothing is."""
    rules = region.table("cut_rules", rows=()).set_index("cover")
    kinds = rule_of(stands["cover"], region).tolist()
    region.note("cut_rules", kinds)
    rule = rules.reindex(kinds)
    keep = rule["leave_sqft_per_ac"].to_numpy(dtype=float)
    why = rule["why"].fillna("").to_numpy(dtype=object)
    return keep, rule["seen"].to_numpy(dtype=object), rule["way"].to_numpy(dtype=object), why


def acres_to_cut(stands: pd.DataFrame) -> np.ndarray:
    """Acres of each stand from which wood may be taken.

    Parameters
    ----------
    stands
        acres; workable_ac where strips along water, steep ground and what is not to be worked are known (they are off
        it already); operable.

    Returns
    -------
    Array [ac].
    """
    acres = stands["acres"].to_numpy(dtype=float)
    out = acres
    if "workable_ac" in stands:
        known = stands["workable_ac"].to_numpy(dtype=float)
        out = np.where(np.isfinite(known), np.clip(known, 0.0, acres), acres)
    return np.where(_operable(stands), out, 0.0)


def _operable(stands: pd.DataFrame) -> np.ndarray:
    return stands["operable"].fillna(True).to_numpy(dtype=bool) if "operable" in stands else np.ones(len(stands), bool)


def yearly_cut(
    woods: Woods,
    stands: pd.DataFrame,
    cords: Mapping[str, Estimate],
    region: Region,
    level: float = LEVEL,
    seed: int = 1,
    number: int | None = None,
) -> Yearly:
    """Ceilings of the yearly cut for each stand, each parcel and all of it.

    Parameters
    ----------
    woods
        ``woods_today.bring_forward``.
    stands
        stand_id, cover, acres, operable (may be missing), and the columns of ``leave_sqft``, ``acres_to_cut`` and
        ``wish_rules.by_wish``.
    cords
        Standing cords by stand_id as the plots gave them: their errors carry over to today.
    region
        Region whose tables are used.
    level
        Share of times the ranges should hold the truth.
    seed, number
        Start and number of the random draws.

    Returns
    -------
    ``Yearly``. Ranges are intervals where cores stand behind the growth, else ranges of assumptions. A stand without a
    range of its own in its cords has values but no range; of its ceiling half may be cut (few_plots_share).
    """
    today = woods.stands.reset_index(drop=True)
    acres = today["acres"].to_numpy()
    years = int(chosen("growth_years", region))
    paths = [run(woods, years, c, region=region) for c in CASES]
    stock = np.nan_to_num(today["cords"].to_numpy()) * acres
    grown = np.array([(p.cords[-1] - p.cords[0]) / years * acres for p in paths])
    unseen = today["young"].to_numpy(dtype=bool)
    rates = np.where((stock > 0) & ~unseen, np.nan_to_num(grown) / np.where(stock > 0, stock, 1.0), 0.0)
    rates = np.sort(rates, axis=0)
    standing = [cords.get(s) for s in today["stand_id"]]
    ranged = np.array([e is not None and e.low is not None for e in standing], dtype=bool)
    cv = np.array([(e.se or 0.0) / e.value if e is not None and e.value else 0.0 for e in standing])
    few = (stock > 0) & ~ranged & np.array([e is not None for e in standing], dtype=bool)
    cv = np.where(few, cv[ranged].max(initial=0.0), cv)  # whose own error nobody knows is as wide as the widest
    df = np.array([e.df if e is not None else 0.0 for e in standing])
    shared = [dict(e.shared) if e is not None else {} for e in standing]
    table_cv = np.array([np.hypot(one.get(VOLUME_TABLE, 0.0), one.get(KINDS, 0.0)) for one in shared])
    stacking = region.figure("defaults_tally", "stacking_cv")
    count = int(chosen("draws", region)) if number is None else number
    drawn = draws(stock, cv, np.where(np.isfinite(df), df, 0.0), rates, table_cv, stacking, count, seed, level)

    keep, seen, way, rule = leave_sqft(stands, region)
    basal = today["basal"].to_numpy()
    keep, seen, way, shut = by_wish(stands, basal, keep, seen, way, region=region)
    names = ("patch_rotation_yr", "cutting_cycle_yr", "share_per_entry", "patch_years")
    rotation, cycle, share, patch_years = (region.figure("defaults_cut", name) for name in names)
    thin, patches = way == "thin", way == "patches"
    dying, broken = (today[f"{name}_share"].to_numpy(dtype=float) for name in ("salvage", "breakup"))
    salvage = (thin | patches) & (dying + broken >= chosen("salvage_from_share", region))
    # a third at most at one entry, of that what goes anyway
    keep = np.where(salvage & thin, np.minimum(keep, basal * (1.0 - np.minimum(dying + broken, share))), keep)
    over = np.where(thin, basal / keep, np.where(patches, today["age_yr"].to_numpy() / rotation, np.nan))
    cut_ac = acres_to_cut(stands)
    part = cut_ac / np.where(acres > 0, acres, 1.0)
    may = (thin | patches) & (cut_ac > 0) & np.where(thin, over >= 1.0, True) & (stock > 0) & (ranged | few)
    grown_half = (1.0 + np.maximum(rates[1], 0.0)) ** (cycle / 2.0)
    goal = np.where(thin, keep / np.where(basal > 0, basal, np.inf) * grown_half, 0.5)
    worked = drawn.stock * part
    led = cut_per_yr_meyer(worked, worked * np.clip(goal, 0.0, None), np.where(patches, rotation, cycle), drawn.rate)
    parts = {
        "growth": worked * drawn.rate,
        "area": worked * np.where(patches, 1.0 / rotation, share / cycle),
        "meyer": np.maximum(np.asarray(led), 0.0),
    }
    least = np.maximum(np.minimum.reduce(list(parts.values())), 0.0)
    goes = worked * dying / chosen("salvage_yr", region) + parts["area"] * np.where(
        thin, np.minimum(broken / share, 1), 0
    )
    goes = np.maximum(goes, np.where(patches & (broken > 0), np.minimum(parts["area"], parts["meyer"]), 0.0))
    by_salvage = salvage & may & (np.median(goes, axis=0) > np.median(least, axis=0))
    least = np.where(by_salvage, goes, least) * np.where(few, chosen("few_plots_share", region), 1.0)
    parts["smallest"] = np.where(may, least, 0.0)
    parts["grows"], parts["bdft"] = drawn.stock * drawn.rate, parts["smallest"] * _feet_per_cord(woods)
    backed = today["backed"].to_numpy(dtype=bool)

    out = today[["stand_id", "parcel_id", "cover"]].copy()
    out["way"], out["may"], out["basal_sqft_per_ac"] = way, may, basal
    out["leave_sqft_per_ac"], out["leave_seen"], out["over"] = keep, seen, over
    known = (stock > 0) & ~unseen
    out["cut_ac"] = cut_ac
    for name in PATCH:
        out[name] = np.where(patches, region.figure("defaults_cut", name), np.nan)
    each = list(zip(known, ranged, backed.tolist(), acres, standing, strict=True))
    for name, drawn_cut in parts.items():
        out[name] = _each(drawn_cut, each, level, UNITS.get(name, UNIT))
    total = parts["smallest"].sum(axis=1)
    low = float(np.quantile(total, (1.0 - level) / 2.0)) if may.any() else 0.0
    middle = np.median(parts["smallest"], axis=0)
    out["ceiling_cords_per_yr"] = middle * (low / middle.sum() if middle.sum() > 0 else 0.0)
    above = 1.0 - 1.0 / np.where(over >= 1.0, over, 1.0)
    at_once = np.where(patches, patch_years / rotation, np.minimum(share, above))
    out["entry_cords"] = np.where(may, stock * part * at_once, 0.0)
    out["salvage"], out["by_salvage"], out["few"] = salvage & may, by_salvage, few
    rows = zip(out.to_dict("records"), standing, rule, _operable(stands), shut, strict=True)
    out["why"] = pd.Series([_why(*row) for row in rows], dtype=object)
    all_of_it = known & (ranged | few)
    of_parcel = {str(p): all_of_it & (out["parcel_id"] == p).to_numpy() for p in out["parcel_id"].dropna().unique()}
    parcels = {p: _sums(parts, at, backed, acres, level) for p, at in of_parcel.items()}
    whole = _sums(parts, all_of_it, backed, acres, level)
    cautions = _cautions(parts["grows"][:, all_of_it], acres[all_of_it], backed[all_of_it], region=region)
    whole_pct = 100.0 * float((stock * rates[1])[known].sum() / max(stock[known].sum(), 1e-9))
    cautions += _outside(woods, paths[1], whole_pct, region=region)
    return Yearly(out, parcels, whole, low, tuple(cautions))


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
    if high == 0.0:
        return replace(base, value=0.0, low=None, high=None, why=reason("nothing may be cut"))
    if backed:
        return replace(base, kind="interval")
    return replace(base, kind="assumptions", why=reason("published growth"))


def _each(values: np.ndarray, each: list[tuple], level: float, unit: str) -> pd.Series:
    """Estimates of the stands; None where nothing is known, no range where the cords of a stand have none."""
    out: list[Estimate | None] = []
    for ends, (known, ranged, backed, acres, cords) in zip(_ends(values, level).T, each, strict=True):
        one = _one(ends, level, unit, backed, acres, cords.n) if known and cords is not None else None
        out.append(one if ranged or one is None else replace(one, low=None, high=None, kind="none", why=cords.why))
    return pd.Series(out, dtype=object)


def _sums(
    parts: dict[str, np.ndarray], at: np.ndarray, backed: np.ndarray, acres: np.ndarray, level: float
) -> dict[str, Estimate]:
    """Estimates of some stands together; ``at``: which."""
    out = {}
    for name, values in parts.items():
        ends = _ends(values[:, at].sum(axis=1), level)
        out[name] = _one(ends, level, UNITS.get(name, UNIT), bool(backed[at].all()), acres[at].sum())
    none = Estimate(None, UNIT, level=level, why=reason("no range anywhere"))
    return out if at.any() else out | dict.fromkeys(("grows", *CEILINGS, "smallest"), none)


def _why(row: dict, standing: Estimate | None, rule: str, operable: bool, shut: Reason | None) -> Reason:
    """Why the ceiling of a stand is what it is; shut: that the family wishes no cut there."""
    if shut is not None:
        return shut
    if row["way"] == "none":
        return reason("not cut by rule", rule=rule)
    if not operable:
        return reason("not worked")
    if row["cut_ac"] <= 0:
        return reason("no ground to work")
    if standing is None or standing.value is None:
        return reason("no plot here")
    if standing.value == 0:
        return reason("no wood on plots")
    if row["way"] == "thin" and row["over"] < 1.0:
        return reason("below stocking")
    if row["few"]:
        return reason("few plots", cords=row["ceiling_cords_per_yr"], why=standing.why)
    smallest = "salvage" if row["by_salvage"] else min(CEILINGS, key=lambda name: row[name].value)
    return reason("at most", cords=row["ceiling_cords_per_yr"], ceiling=smallest)


def _outside(woods: Woods, path: Run, whole_pct: float, *, region: Region) -> list[Reason]:
    """Stands whose growth is held or lies beside published growth, and pine beyond its equation."""
    today = woods.stands.reset_index(drop=True)
    ids = today["stand_id"].to_numpy(dtype=object)
    tabled = (today["way"] == "stand table").to_numpy()
    net = np.where(tabled, (path.survivor + path.ingrowth - path.mortality).mean(axis=0), np.nan)
    basal = np.where(tabled, today["basal"].to_numpy(dtype=float), np.nan)
    density = np.where(tabled, grow.relative_density(woods.trees, woods.sg, region=region), np.nan)
    backed = today["backed"].to_numpy(dtype=bool)
    band = grow.outside_band(list(ids), net, basal, density, backed, region=region)
    band += growth_rates.outside_bands(today, whole_pct, region=region)
    pines, main = (today["way"] == "pine").to_numpy(), today["main"].to_numpy()
    of_stand = (today[name].to_numpy() for name in ("basal", "age_yr", "site_index_ft"))
    beyond = ids[pines & outside_pine_limits(*of_stand, region=region)]
    other = ids[pines & (main != "red pine")]
    band += [reason("beyond pine equation", stands=tuple(beyond))] if len(beyond) else []
    return band + ([reason("pine as red pine", stands=tuple(other))] if len(other) else [])


def _cautions(growth: np.ndarray, acres: np.ndarray, backed: np.ndarray, *, region: Region) -> list[Reason]:
    most = region.figure("defaults_cut", "most_cords_per_ac_yr")
    if not len(acres):
        return []
    fast = float(np.median(growth.sum(axis=1))) > most * float(acres.sum())
    out = [reason("growth too fast", most_cords=most)] if fast else []
    return out if backed.all() else [*out, reason("some without cores")]
