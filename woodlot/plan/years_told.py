"""What each stand is and what it will be, left alone and cut by its own guide: the years told.

A family wants to see what its woods will be when the children are grown, and what its own saw makes of them: two ways
side by side, each with a range it can believe, and no year told that nobody knows.

years_told   every stand in the years told
YearsTold    their rows, and why nothing is told of some
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.covers import rows_of
from woodlot.estimate import Reason, reason
from woodlot.plan.ceilings import Yearly
from woodlot.plan.stand_entries import entered
from woodlot.plan.woods import CASES, Run, Woods, paces, run
from woodlot.region import Region
from woodlot.stand import grow
from woodlot.stand.stocking import quadratic_mean_diameter_in
from woodlot.trade import WAYS
from woodlot.tree.growth import growth_default
from woodlot.units import basal_sqft

__all__ = ["AMOUNTS", "CUT", "UNCUT", "YEARS", "YearsTold", "years_told"]

YEARS = (0, 10, 25, 50)
UNCUT, CUT = "uncut", "cut"
#: What is told of a stand in a year, each with its low and high end.
AMOUNTS = (
    "cords_per_ac",
    "cords",
    "basal_sqft_per_ac",
    "trees_per_ac",
    "qmd_in",
    "taken_cords_per_ac",
    "lost_cords_per_ac",
)
#: Years between the patches that stand for the patches of a rotation.
PATCH_EVERY_YR = 5


@dataclass(frozen=True)
class YearsTold:
    """Stands in the years told.

    rows: stand_id, year, way ("uncut"; "cut", where anything is), age_yr (missing where not known or of many ages),
    past_age (yes/no: short-lived trees past their break-up, at the stand's own pace), fuller (yes/no: fuller than uncut
    stands are found to stay), main and main_pct, second and second_pct (kinds with most basal area), large_pct (of
    basal area, large trees), and each of ``AMOUNTS`` at middle growth, with _low and _high: least and most of slow,
    middle and fast growth. taken, lost: since today, by the saw and by break-up.
    why_not: stand_id -> why nothing is told of a stand.
    """

    rows: pd.DataFrame
    why_not: dict[str, Reason]


#: Sums an acre by year and stand, and basal area by year, species and stand.
Sums = dict[str, np.ndarray]


def years_told(woods: Woods, yearly: Yearly, *, region: Region) -> YearsTold:
    """Every stand that is known, today and in the years told, at slow, middle and fast growth.

    Parameters
    ----------
    woods, yearly
        ``bring_forward``, and how each stand is cut (``yearly_cut``).
    region
        Whose figures are used.

    Returns
    -------
    ``YearsTold``. Cut: what is thinned goes down to what it must keep this winter and each cutting cycle, what needs
    full light in patches over its rotation; acres that may not be worked stay uncut in it. A short-lived cover whose
    age is not written is told for ten years alone, a stand without plots or trees not at all.
    """
    today, table = woods.stands.reset_index(drop=True), yearly.table.reset_index(drop=True)
    known = np.flatnonzero(np.isfinite(today["cords"].to_numpy(dtype=float)) & ~today["bare"].to_numpy(dtype=bool))
    part = table["cut_ac"].to_numpy() / np.where(today["acres"] > 0, today["acres"], 1.0)
    worked = known[np.isin(table["way"].to_numpy()[known], list(WAYS)) & (part[known] > 0)]
    each, thrice = _thrice(woods), np.arange(len(CASES))[:, None] * len(today)
    some, worked_on = (np.ravel(thrice + at) for at in (known, worked))
    left = run(each, YEARS[-1], columns=some, seen=YEARS, region=region)
    uncut = _sums(each, left, some, np.full(len(some), -1), region=region)
    alone = {name: values[..., np.searchsorted(some, worked_on)] for name, values in uncut.items()}
    basal = np.full((YEARS[-1] + 1, len(each.stands)), np.nan)
    basal[:, some] = left.basal
    cut = _cut(each, table.iloc[np.tile(np.arange(len(table)), len(CASES))], basal, worked_on, region=region)
    cut = _mixed(cut, alone, np.tile(part[worked], len(CASES)))
    patches = (table["way"] == "patches").to_numpy()[worked]
    ways = (uncut, known, UNCUT, np.zeros(len(known), dtype=bool)), (cut, worked, CUT, patches)
    out = pd.concat([_rows(woods, *way, region=region) for way in ways], ignore_index=True)
    asked = out["stand_id"].map(today.set_index("stand_id")["age_asked"]).to_numpy(dtype=bool)
    out = out[~asked | (out["year"] <= growth_default("unknown_age_yr", region=region)).to_numpy()]
    order = pd.Index(today["stand_id"]).get_indexer(pd.Index(out["stand_id"]))
    out = out.iloc[np.lexsort((out["year"], out["way"] == CUT, order))].reset_index(drop=True)
    rest = today.drop(index=today.index[known])
    bare = dict(zip(rest["stand_id"].astype(str), rest["bare"].astype(bool).tolist(), strict=True))
    return YearsTold(out, {stand: reason("nothing told", bare=none) for stand, none in bare.items()})


def _thrice(woods: Woods) -> Woods:
    """Every stand three times, slow, middle and fast, each with its growth and its pace of break-up as middle ones."""
    k = np.arange(len(woods.stands))
    pace, three = np.concatenate([paces(woods, k, case) for case in CASES]), np.tile(k, len(CASES))
    return replace(
        woods,
        stands=woods.stands.iloc[three].reset_index(drop=True).assign(pace=pace),
        trees=woods.trees[:, :, three],
        factor={"mid": np.concatenate([woods.factor[case] for case in CASES], axis=1)},
        even={"mid": np.concatenate([woods.even[case] for case in CASES])},
        ratio=woods.ratio[three],
        saplings=woods.saplings[three],
        deaths=woods.deaths[:, three],
        judged=woods.judged.of(three),
        values={name: woods.values[name] for name in ("cords", "bdft")},
    )


def _cut(woods: Woods, table: pd.DataFrame, uncut: np.ndarray, k: np.ndarray, *, region: Region) -> Sums:
    """The acres of the stands ``k`` that are cut: thinned each cycle, or in patches, some of them every year.

    uncut: as for ``entered``.
    """
    patches = (table["way"] == "patches").to_numpy()[k]
    rotation = int(region.figure("defaults_cut", "patch_rotation_yr"))
    starts = np.arange(PATCH_EVERY_YR // 2, rotation, PATCH_EVERY_YR)
    times = np.where(patches, len(starts), 1)
    columns = np.repeat(k, times)
    begun = np.concatenate([starts if many else [0] for many in patches]) if len(k) else np.zeros(0, dtype=int)
    gone = entered(woods, table, uncut, columns, begun, seen=YEARS, region=region)
    young = np.where(np.repeat(patches, times) & (gone.cut_cords > 0).any(axis=0), begun, -1)
    of = _sums(woods, gone, columns, young, region=region)
    first = np.cumsum(times) - times
    return {name: np.add.reduceat(values, first, axis=-1) / times for name, values in of.items()} if len(k) else of


def _mixed(cut: Sums, uncut: Sums, part: np.ndarray) -> Sums:
    """A stand of which a part is cut; today it is as it is."""
    out = {name: part * cut[name] + (1.0 - part) * uncut[name] for name in cut}
    for name, values in out.items():
        values[0] = uncut[name][0]
    return out


def _sums(woods: Woods, of: Run, k: np.ndarray, young: np.ndarray, *, region: Region) -> Sums:
    """What stands in the years told [per ac]; young: year from which a column is young growth, -1 for never."""
    years = np.array(YEARS)
    sums = {name: getattr(of, name)[years] for name in ("cords", "basal", "stems")}
    sums["taken"] = np.cumsum(of.cut_cords, axis=0)[np.minimum(years, len(of.cut_cords) - 1)]
    sums["lost"] = np.vstack([np.zeros(len(k)), np.cumsum(of.broken, axis=0)])[years]
    fresh = (young >= 0) & (years[:, None] >= young)
    for at, year in enumerate(YEARS):
        kinds, large = _shares(woods, of.trees[year], k, fresh[at], region=region)
        sums.setdefault("kinds", np.zeros((len(years), *kinds.shape)))[at] = kinds * sums["basal"][at]
        sums.setdefault("large", np.zeros(sums["basal"].shape))[at] = large * sums["basal"][at]
    return sums


def _shares(
    woods: Woods, trees: np.ndarray, k: np.ndarray, fresh: np.ndarray, *, region: Region
) -> tuple[np.ndarray, np.ndarray]:
    """Shares of basal area by species and stand, and of large trees; where no tree is seen it is the main kind's."""
    sizes, large = grow.classes(region=region), growth_default("large_tree_in", region=region)
    wide = growth_default("class_width_in", region=region)
    area = trees * basal_sqft(sizes)[:, None]
    whole = area.sum(axis=(0, 1))
    share = area / np.where(whole > 0, whole, 1.0)
    over = np.clip((sizes + wide / 2.0 - large) / wide, 0.0, 1.0)
    is_main = np.array(woods.species, dtype=object)[:, None] == woods.stands["main"].to_numpy()[k]
    return np.where(whole > 0, share.sum(axis=1), is_main), np.where(fresh, 0.0, over @ share.sum(axis=0))


def _thick(sums: Sums) -> np.ndarray:
    """Mean diameter [in]; missing where no tree stands."""
    return quadratic_mean_diameter_in(np.maximum(sums["basal"], 0.0), np.maximum(sums["stems"], 0.0))


def _rows(woods: Woods, sums: Sums, k: np.ndarray, way: str, patches: np.ndarray, *, region: Region) -> pd.DataFrame:
    """Rows of some stands in one way, by stand and year; sums: of all at slow, then middle, then fast growth; patches:
    stands that are of many ages once they are cut.
    """
    parts = [np.split(values, len(CASES), axis=-1) for values in sums.values()]
    three = [dict(zip(sums, case, strict=True)) for case in zip(*parts, strict=True)]
    today, years = woods.stands.iloc[k], np.array(YEARS)
    middle = three[CASES.index("mid")]
    each = [_amounts(sums, today["acres"].to_numpy(dtype=float)) for sums in three]
    age = today["age_yr"].to_numpy(dtype=float) + years[:, None]
    mixed = patches & (middle["taken"] > 0)
    out = {
        "stand_id": np.tile(today["stand_id"].to_numpy(dtype=object), (len(years), 1)),
        "year": np.tile(years[:, None], len(k)),
        "way": np.full((len(years), len(k)), way, dtype=object),
        "age_yr": np.where(mixed, np.nan, age),
        "past_age": age > today["onset_yr"].to_numpy(dtype=float),
        "fuller": (years[:, None] > 0) & (middle["basal"] > _most_found(today["cover"], region)),
    }
    out |= _kinds(woods, middle, today["main"].to_numpy(dtype=object))
    for name in AMOUNTS:
        of = np.array([one[name] for one in each])
        if name in ("trees_per_ac", "qmd_in"):
            of = np.where(mixed, np.nan, of)  # nobody knows how many trees come up in a patch
        out |= {name: of[CASES.index("mid")], f"{name}_low": of.min(axis=0), f"{name}_high": of.max(axis=0)}
    return pd.DataFrame({name: values.T.ravel() for name, values in out.items()})


def _amounts(sums: Sums, acres: np.ndarray) -> dict[str, np.ndarray]:
    """The amounts told, by year and stand."""
    told = (sums["cords"], sums["cords"] * acres, sums["basal"], sums["stems"], _thick(sums), sums["taken"])
    return dict(zip(AMOUNTS, (*told, sums["lost"]), strict=True))


def _kinds(woods: Woods, sums: Sums, main: np.ndarray) -> dict[str, np.ndarray]:
    """The two kinds with most basal area and their shares, and that of large trees [%]."""
    whole = sums["basal"]
    pct = 100.0 * sums["kinds"] / np.where(whole > 0, whole, 1.0)[:, None]
    order = np.argsort(-pct, axis=1, kind="stable")
    names = np.array(woods.species, dtype=object)
    out = {"large_pct": 100.0 * sums["large"] / np.where(whole > 0, whole, 1.0)}
    for at, name in enumerate(("main", "second")):
        if at < len(names):
            out[f"{name}_pct"] = np.take_along_axis(pct, order, axis=1)[:, at]
            out[name] = np.where(out[f"{name}_pct"] > 0, names[order[:, at]], main if at == 0 else "")
        else:
            out |= {name: np.full(whole.shape, "", dtype=object), f"{name}_pct": np.zeros(whole.shape)}
    return out


def _most_found(cover: pd.Series, region: Region) -> np.ndarray:
    """Basal area that uncut stands of each cover are found to stay under [sq ft/ac]; missing where none is known."""
    levels = region.records("uncut_levels", "cover")
    names = rows_of("uncut_levels", cover, region)
    return np.array([float(levels[name]["most_sqft"]) if name else np.nan for name in names])
