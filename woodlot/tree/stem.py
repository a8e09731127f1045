"""Height from diameter where it was not measured; the shape of a stem from stump to tip.

heights          fills missing total heights of a tree table and says for each where it comes from
height_curves    the curves fitted to the place's own heights, for ``why``
height_ft_default   the regional curve
form             figures of each stem by which it is drawn: form class, bark, butt
diameter_in      diameters of stems inside bark at any height, by those figures
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.tree.inputs import between, numbers, positive
from woodlot.tree.westfall import checked
from woodlot.units import BREAST_FT

__all__ = ["StemForm", "diameter_in", "form", "height_curves", "height_ft_default", "heights"]

CEDARS = 1  # group of cedars and larch; tamarack grows as tall as other softwoods


def _kinds(species: Any, *, region: Region) -> np.ndarray:
    """Row of height_diameter.csv for each species: hardwood, softwood or cedar; "" without a species."""
    codes, known = region.species.codes(species)
    kinds = []
    for name in known:
        if not name:
            kinds.append("")
        elif region.species.is_hardwood(name):
            kinds.append("hardwood")
        else:
            kinds.append("cedar" if region.species.jenkins_group(name) == CEDARS and "cedar" in name else "softwood")
    return np.array([*kinds, ""], dtype=object)[codes]


def _shape(dbh: np.ndarray, kinds: np.ndarray, region: Region) -> np.ndarray:
    """Height above 4.5 ft on the regional curve."""
    rows = region.table("height_diameter")
    out = np.full(len(dbh), np.nan)
    for kind, b1, b2, b3 in zip(rows["kind"], rows["b1_ft"], rows["b2_per_in"], rows["b3"], strict=True):
        here = kinds == kind
        out[here] = b1 * (1.0 - np.exp(-b2 * dbh[here])) ** b3
    return out


def height_ft_default(dbh_in: Any, species: Any, region: Region) -> Any:
    """Total height on the regional curve, feet, for trees whose own place has no measured heights.

    dbh_in: diameter at breast height (in); species: name or column of names; region: whose table. Returns feet.

    Notes: H = 4.5 + b1 (1 - exp(-b2 D))^b3 with the shape of a published red maple curve for hardwoods; b1 is chosen so
    that an 18-in tree is 75 ft (cedars 50). Heights of one diameter differ by a third between sites: measure some.

    Example: a hardwood of 12 in is 65 ft.

    Source: shape Kershaw and others 2008 as restated; scale chosen (height_diameter.csv).
    """
    (dbh,), back = numbers(dbh_in=dbh_in)
    positive(dbh_in=dbh)
    shape = dbh.shape
    kinds = _kinds([species] * dbh.size if isinstance(species, str) else species, region=region)
    if len(kinds) != dbh.size:
        raise InputError(f"{len(kinds)} species for {dbh.size} diameters")
    return back(BREAST_FT + _shape(np.atleast_1d(dbh).ravel(), kinds, region).reshape(shape))


def height_curves(trees: pd.DataFrame, region: Region) -> pd.DataFrame:
    """Curves fitted to the measured heights of a place: one row per species, hardwoods and softwoods, all trees.

    trees: species, dbh_in, height_ft and, if there, alive and height_from (only measured heights count). Returns
    columns who, n, scale (times the regional curve), sd_ft (spread of heights about the curve), used (whether there are
    enough, heights_for_curve in the defaults).

    Notes: the shape of the regional curve is kept and its height above 4.5 ft scaled by least squares through the
    origin, scale = sum(f h) / sum(f f) with h = height - 4.5 and f = the curve. A dead tree may be broken: left out.
    """
    rows = trees.reset_index(drop=True)
    dbh = rows["dbh_in"].to_numpy(dtype=float)
    height = rows["height_ft"].to_numpy(dtype=float)
    kinds = _kinds(rows["species"], region=region)
    curve = _shape(dbh, kinds, region)
    good = np.isfinite(curve) & np.isfinite(height) & (height > BREAST_FT)
    if "alive" in rows:
        good &= rows["alive"].fillna(True).to_numpy(dtype=bool)
    if "height_from" in rows:
        good &= (rows["height_from"] == "measured").to_numpy()
    codes, known = region.species.codes(rows["species"])
    names = np.array([*known, ""], dtype=object)[codes]
    broad = np.where(kinds == "hardwood", "hardwoods", "softwoods")
    point = pd.DataFrame({"f": curve, "h": height - BREAST_FT, "species": names, "broad": broad, "all": "all trees"})[
        good
    ]
    point["ff"], point["fh"], point["hh"] = point["f"] ** 2, point["f"] * point["h"], point["h"] ** 2
    parts = []
    for who in ("species", "broad", "all"):
        sums = point.groupby(who)[["ff", "fh", "hh"]].sum()
        sums.insert(0, "n", point.groupby(who).size())
        parts.append(sums.rename_axis("who").reset_index())
    out = pd.concat(parts, ignore_index=True)
    out["scale"] = out["fh"] / out["ff"]
    left = (out["hh"] - out["fh"] ** 2 / out["ff"]).clip(lower=0.0)
    out["sd_ft"] = np.sqrt(left / (out["n"] - 1).where(out["n"] > 1))
    out["used"] = out["n"] >= region.figure("defaults_tree", "heights_for_curve")
    return out[["who", "n", "scale", "sd_ft", "used"]]


def heights(trees: pd.DataFrame, region: Region) -> pd.DataFrame:
    """Trees with every total height filled that can be, and where each comes from.

    trees: species, dbh_in, height_ft (total, NaN where not measured), optional alive. Returns a copy with height_ft
    filled and height_from: "measured", "fitted" (curve of the same species in this place, else of its hardwoods or
    softwoods, else of all its trees), "regional" (no five heights of anything measured here) or "" (no diameter or
    species, so no height). A merchantable height is never taken for a total height.
    """
    out = trees.copy()
    if "height_ft" not in out:
        out["height_ft"] = np.nan
    dbh = out["dbh_in"].to_numpy(dtype=float)
    height = out["height_ft"].to_numpy(dtype=float).copy()
    if np.any(dbh <= 0):
        raise InputError("dbh_in must be more than 0")
    kinds = _kinds(out["species"], region=region)
    curve = _shape(dbh, kinds, region)
    fits = height_curves(out, region).query("used").set_index("who")["scale"]
    codes, known = region.species.codes(out["species"])
    names = pd.Series(np.array([*known, ""], dtype=object)[codes])
    broad = pd.Series(np.where(kinds == "hardwood", "hardwoods", "softwoods"))
    scale = names.map(fits).fillna(broad.map(fits)).fillna(fits.get("all trees", np.nan)).to_numpy(dtype=float)
    missing = ~np.isfinite(height)
    fitted = BREAST_FT + curve * np.where(np.isfinite(scale), scale, 1.0)
    height[missing] = fitted[missing]
    came = np.where(missing, np.where(np.isfinite(scale), "fitted", "regional"), "measured").astype(object)
    if "height_from" in out:
        before = out["height_from"].fillna("").to_numpy(dtype=object)
        came = np.where(~missing & (before != ""), before, came)
    came[~np.isfinite(height)] = ""
    out["height_ft"], out["height_from"] = height, came
    return out


def _bark_and_stump(species: Any, size: int, *, region: Region) -> np.ndarray:
    """Raile's coefficients inside bark per tree, rows b1 and b2; a species without takes its group's."""
    codes, known = region.species.codes(species, size)
    columns = ["raile_dib_b1", "raile_dib_b2"]
    own = region.table("stump_raile_1982").set_index("species")[columns]
    group = region.table("stump_raile_1982_groups").set_index("jenkins_group")[columns]
    rows = []
    for name in known:
        if not name:
            rows.append([np.nan] * 2)
        elif name in own.index:
            rows.append(own.loc[[name]].to_numpy()[0].tolist())
        elif region.species.jenkins_group(name) in group.index:
            rows.append(group.loc[[region.species.jenkins_group(name)]].to_numpy()[0].tolist())
        else:
            raise InputError(f"no stump and bark figures for {name}")
    return np.array([*rows, [np.nan] * 2], dtype=float)[codes].T


def _power(total: np.ndarray, girard: Any, k: np.ndarray, *, region: Region) -> np.ndarray:
    """Power of the stem curve that gives a stem its form class, held within its limits."""
    between("form_class", np.asarray(girard), 50.0, 100.0, "percent, such as 78")
    top = region.figure("defaults_tree", "form_class_height_ft")
    low, high = region.figure("defaults_tree", "taper_power_low"), region.figure("defaults_tree", "taper_power_high")
    tall = total > top + 1.0
    safe = np.where(tall, total, top + 10.0)
    power = np.log(girard / 100.0 / k) / np.log((safe - top) / (safe - BREAST_FT))
    return np.where(tall, np.clip(power, low, high), 0.5 * (low + high))


@dataclass(frozen=True)
class StemForm:
    """What draws the stems of a table, one number a stem: diameter inside bark at h ft above ground is

    dbh (k + b_in (4.5 - h)/(h + 1)) up to 4.5 ft and dbh k ((total - h)/(total - 4.5))^power above it.
    """

    dbh_in: np.ndarray
    total_ft: np.ndarray
    k: np.ndarray
    b_in: np.ndarray
    power: np.ndarray
    fuller: np.ndarray


def form(
    dbh_in: Any, total_height_ft: Any, species: Any, form_class: Any = None, merch_ft: Any = None, *, region: Region
) -> StemForm:
    """Figures of many stems for ``diameter_in``.

    dbh_in: outside bark (in); total_height_ft: to the tip (ft); species: name or column; form_class: diameter inside
    bark at 17.3 ft as percent of dbh, 78 when nobody measured it (from memory); merch_ft: height of the 4-in top above
    the 1-ft stump where somebody measured it (ft, NaN elsewhere). Returns a StemForm; ``fuller`` tells which stems were
    made fuller than their form class because the 4-in top was measured higher up than that gives, and where the total
    height had to be raised above it.

    Notes: a measured top lower than the curve's is a fork or a crown, not a thinner stem: the curve stays, and whoever
    cuts the stem stops at the top measured.
    """
    (dbh, total), _ = checked(
        np.atleast_1d(np.asarray(dbh_in, float)), np.atleast_1d(np.asarray(total_height_ft, float)), region=region
    )
    k, b_in = _bark_and_stump(species, len(dbh), region=region)
    girard = region.figure("defaults_tree", "form_class") if form_class is None else np.asarray(form_class, dtype=float)
    if merch_ft is None:
        return StemForm(dbh, total, k, b_in, _power(total, girard, k, region=region), np.zeros(len(dbh), dtype=bool))
    top_in = region.figure("defaults_tree", "merch_top_dob_in")
    reach = region.figure("defaults_tree", "stump_ft") + np.asarray(merch_ft, dtype=float)
    known = np.isfinite(reach) & (reach > BREAST_FT) & (dbh > top_in)
    # a stem goes on above its 4-in top: at least as far as one tapering in a straight line from breast height would
    least = BREAST_FT + (reach - BREAST_FT) / (
        1.0 - np.where(known, top_in / dbh, 0.0) ** (1 / region.figure("defaults_tree", "taper_power_low"))
    )
    raised = known & (least > total)
    total = np.where(raised, least, total)
    power = _power(total, girard, k, region=region)
    with np.errstate(divide="ignore", invalid="ignore"):
        own = np.log(top_in / dbh) / np.log((total - reach) / (total - BREAST_FT))
    own = np.maximum(own, region.figure("defaults_tree", "taper_power_low"))
    fuller = known & (own < power)
    return StemForm(dbh, total, k, b_in, np.where(fuller, own, power), fuller | raised)


def diameter_in(f: StemForm, stem: np.ndarray, height_ft: np.ndarray) -> np.ndarray:
    """Diameters inside bark of stems at heights above ground, inches; 0 at and above the tip.

    f: of ``form``; stem: position of a stem in it; height_ft: height above ground (ft); one number a place wanted.

    Notes: above breast height k D ((H - h)/(H - 4.5))^p with p set so that the stem has its form class at 17.3 ft and
    held between 0.4 and 1.2 (a stem no taller than 17.3 ft takes p = 0.8); k is dib/dob at breast height, the same at
    all heights. Below it Raile's stump, D k + D b2 (4.5 - h)/(h + 1). It gives log lengths and small ends; volumes come
    from the national equations.

    Example: sugar maple 16 in, 70 ft, form class 78: 12.48 in at 17.3 ft, 9.38 at 33.6, 5.93 at 49.9. Sugar maple 14 in
    at 1 ft: 15.98.

    Source: form of Ormerod 1973 from memory, tied to form class here (derived); Raile 1982, NC-224, for k and the butt,
    coefficients read 2nd-hand, form from memory (raile_1982).
    """
    dbh, k, total = f.dbh_in[stem], f.k[stem], f.total_ft[stem]
    above = dbh * k * np.clip((total - height_ft) / (total - BREAST_FT), 0.0, None) ** f.power[stem]
    below = dbh * (k + f.b_in[stem] * (BREAST_FT - height_ft) / (height_ft + 1.0))
    return np.where(height_ft < BREAST_FT, below, above)
