"""The woods of a place on one day, and how they go on: each stand by the way of growing that fits it.

State      Woods
Going on   run, Run
Marking    guide_of, marking_of
Figures    chosen

Ways of growing: "stand table" (uneven-aged, and whatever has no way of its own), "pine" and "aspen" (of one age, where
age and site index are written and the main species is one), "none" (no plots). The cords of a stand start at what its
plots say; the model moves them in proportion.
"""

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from woodlot.covers import said_of
from woodlot.estimate import Reason
from woodlot.region import Region
from woodlot.stand import even_aged, grow, marking
from woodlot.stand.grow_year import in_year
from woodlot.stand.judged import Judged
from woodlot.stand.marking_guide import JobMarking, job_marking, marking_guide
from woodlot.trade import EVEN_AGED
from woodlot.tree.growth import equations
from woodlot.units import basal_sqft
from woodlot.wood.sugarbush import tapped

__all__ = ["CASES", "Run", "Woods", "chosen", "guide_of", "is_fitted", "marking_of", "run", "table_run"]

CASES = ("low", "mid", "high")
PLAIN = ("cords", "sawlog_cords", "bdft")


def chosen(name: str, region: Region) -> float:
    """One value of defaults_schedule.csv."""
    return region.figure("defaults_schedule", name)


@dataclass(frozen=True)
class Woods:
    """All stands on one day.

    stands: stand_id, parcel_id, cover, acres, way, main (species), age_yr, site_index_ft, seasons (since the plots),
    later (plots after the day), young (aspen too small to measure), bare (no tree on its plots), cords_then (as the
    plots found it), cut_cords (taken out since), dying (yes/no: ash of it dies), salvage_share and breakup_share (of
    live basal area: dies now, past its age), cores (number behind it), twice (of them trees measured twice), backed
    (yes/no), basal and stems [per ac], cords [per ac]; sap (yes/no: a sugarbush) where wishes are known;
    species: rows of the arrays; trees: (species, class, stand) [per ac]; factor: case -> (species, stand) on growth;
    even: case -> (stand) the same for stands of one age (both, and deaths, with years as a first axis where years
    differ); ratio: cords of the plots over cords of the model; values:
    name -> (species, class); sg: of the woods; saplings: (stand), missing where not counted; deaths: (species, stand)
    more deaths a year; judged: what is known of the trees beside kind and size; solid: cubic feet of wood in a cord;
    left_out: lines of the ledger that took nothing out.
    """

    stands: pd.DataFrame
    species: list[str]
    trees: np.ndarray
    factor: dict[str, np.ndarray]
    even: dict[str, np.ndarray]
    ratio: np.ndarray
    values: dict[str, np.ndarray]
    sg: np.ndarray
    saplings: np.ndarray
    deaths: np.ndarray
    judged: Judged
    solid: float
    left_out: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class Run:
    """Years of some columns (a stand, or a stand under a prescription).

    At the start and after each year [per ac] cords, bdft, basal, stems; for each year cut_cords, cut_bdft, cut_basal
    [per ac], and the account in basal area; pieces: whatever else ``Woods.values`` counts, cut in each year [per ac].
    """

    cords: np.ndarray
    bdft: np.ndarray
    basal: np.ndarray
    stems: np.ndarray
    cut_cords: np.ndarray
    cut_bdft: np.ndarray
    cut_basal: np.ndarray
    survivor: np.ndarray
    ingrowth: np.ndarray
    mortality: np.ndarray
    pieces: dict[str, np.ndarray] = field(default_factory=dict)


def is_fitted(stands: pd.DataFrame, *, region: Region) -> np.ndarray:
    """Which stands grow by the equations fitted to remeasured trees."""
    return said_of(stands["cover"], "growth", region) == "remeasured"


def table_run(
    woods: Woods, k: np.ndarray, years: int, case: str, leave: np.ndarray | None, *, region: Region
) -> grow.Projection:
    """The stand-table way for columns ``k``, each by the equations of its cover; trees in the order of ``k``."""
    parts, order = [], []
    fitted = is_fitted(woods.stands, region=region)[k]
    for which in (False, True):
        at = np.flatnonzero(fitted == which)
        if not len(at) and (which or len(k)):  # without a stand one part says so
            continue
        stands, cover = k[at], woods.stands["cover"].to_numpy()[k[at]]
        parts.append(
            grow.project(
                woods.trees[:, :, stands],
                equations(woods.species, fitted=which, region=region)[0],
                years,
                wood_sg=woods.sg,
                factor=woods.factor[case][..., stands],
                saplings_per_ac=woods.saplings[stands],
                deaths=woods.deaths[..., stands],
                leave_sqft=None if leave is None else leave[:, at],
                mark=None if leave is None else _marker(woods, stands, cover, region=region),
                worth=woods.values,
                as_measured=which,
                region=region,
            )
        )
        order.append(at)
    back = np.argsort(np.concatenate(order))

    def join(name: str, key: str | None = None) -> np.ndarray:
        arrays = [getattr(p, name) if key is None else getattr(p, name)[key] for p in parts]
        return np.concatenate(arrays, axis=-1)[..., back]

    names = ("trees", "basal", "stems", "density", "survivor", "ingrowth", "mortality", "cut", "stems_in", "stems_out")
    flows = {name: join(name) for name in names}
    worth, taken = ({key: join(name, key) for key in woods.values} for name in ("worth", "taken"))
    return grow.Projection(**flows, worth=worth, taken=taken)


def guide_of(woods: Woods, k: int, cover: str, leave_sqft: float, *, region: Region) -> pd.DataFrame:
    """How one stand is marked (``marking_guide.marking_guide``)."""
    rules, goal = _rules(woods, k, cover, leave_sqft, region=region)
    n, judged = woods.trees[:, :, k], woods.judged.of([k])
    return marking_guide(n, woods.species, leave_sqft, rules, goal, judged, region=region)


def marking_of(
    woods: Woods, k: int, cover: str, leave_sqft: float | None, acres: float, *, region: Region
) -> JobMarking:
    """How one stand is marked on the acres of a job (``marking_guide.job_marking``); leave_sqft None: a patch."""
    rules, goal = _rules(woods, k, cover, leave_sqft or 0.0, region=region)
    n, judged = woods.trees[:, :, k], woods.judged.of([k])
    return job_marking(n, woods.species, leave_sqft, rules, goal, judged, acres, region=region)


def _rules(
    woods: Woods, k: int, cover: str, leave_sqft: float, *, region: Region
) -> tuple[marking.Rules, np.ndarray | None]:
    last = tapped(woods.species, region) if _sap(woods)[k] else ()
    rules = marking.rules_for(woods.species, last=last, region=region)
    return rules, marking.structure_for(cover, leave_sqft, region=region)


def _sap(woods: Woods) -> np.ndarray:
    """Which stands are a sugarbush."""
    return np.asarray(woods.stands.get("sap", pd.Series(False, woods.stands.index)), dtype=bool)


def _marker(woods: Woods, stands: np.ndarray, cover: np.ndarray, *, region: Region) -> grow.Marker:
    """Marks the columns of one run: each cover by its structure, with what is known of its trees, maples last in a
    sugarbush.
    """
    sap = _sap(woods)[stands]
    by = {
        sweet: marking.rules_for(woods.species, last=tapped(woods.species, region) if sweet else (), region=region)
        for sweet in np.unique(sap).tolist()
    }

    def mark(n: np.ndarray, leave: np.ndarray, part: slice) -> np.ndarray:
        out = np.zeros_like(n)
        for name in np.unique(cover[part].astype(str)):
            here = (cover[part].astype(str) == name) & np.isfinite(leave)
            for sweet, rules in by.items():
                at = np.flatnonzero(here & (sap[part] == sweet))
                if not len(at):
                    continue
                goal = [marking.structure_for(name, float(v), region=region) for v in np.maximum(leave[at], 1.0)]
                wanted = None if goal[0] is None else np.stack([g for g in goal if g is not None], axis=1)
                judged = woods.judged.of(stands[part][at])
                out[:, :, at] = marking.mark(n[:, :, at], leave[at], rules, wanted, judged, region=region)
        return out

    return mark


def run(
    woods: Woods,
    years: int,
    case: str = "mid",
    columns: np.ndarray | None = None,
    leave_sqft: np.ndarray | None = None,
    clear: np.ndarray | None = None,
    *,
    region: Region,
) -> Run:
    """Let stands, or stands under prescriptions, go on for some years.

    Parameters
    ----------
    woods
        ``bring_forward``.
    years
        Years [yr].
    case
        "low", "mid" or "high" growth.
    columns
        Position of the stand of each column; None for every stand once.
    leave_sqft
        Basal area to leave before each year (years, columns) [sq ft/ac]; NaN for no cut.
    clear
        Year before which a stand is cut whole (columns), pine excepted; negative for never. Aspen comes back by its own
        stocking, what grows by the stand table evenly to what it held over a rotation of patches (judged).
    region
        Whose figures are used.

    Returns
    -------
    ``Run``; stands without plots are missing.
    """
    k = np.arange(len(woods.stands)) if columns is None else np.asarray(columns, dtype=int)
    names = ("cords", "bdft", "basal", "stems")
    flows = ("cut_cords", "cut_bdft", "cut_basal", "survivor", "ingrowth", "mortality")
    out = {n: np.full((years + 1, len(k)), np.nan) for n in names}
    out |= {n: np.zeros((years, len(k))) for n in flows}
    pieces = {n: np.zeros((years, len(k))) for n in woods.values if n not in PLAIN}
    way = woods.stands["way"].to_numpy()[k]
    at = np.flatnonzero(way == "stand table")
    path = table_run(woods, k[at], years, case, None if leave_sqft is None else leave_sqft[:, at], region=region)
    ratio = woods.ratio[k[at]]
    out["cords"][:, at], out["bdft"][:, at] = path.worth["cords"] * ratio, path.worth["bdft"] * ratio
    out["cut_cords"][:, at], out["cut_bdft"][:, at] = path.taken["cords"] * ratio, path.taken["bdft"] * ratio
    for name, made in pieces.items():
        made[:, at] = path.taken[name] * ratio
    out["cut_basal"][:, at] = path.cut
    for name in ("basal", "stems", "survivor", "ingrowth", "mortality"):
        out[name][:, at] = getattr(path, name)
    if clear is not None:
        stood = {name: path.worth[name] * ratio for name in pieces}
        _clear_tables(out, pieces, stood, at, clear[at], region=region)
    for kind in EVEN_AGED:
        at = np.flatnonzero(way == kind)
        if len(at):
            _even(woods, k[at], years, case, kind, at, leave_sqft, clear, out, region=region)
            for name, made in pieces.items():
                made[:, at] = out["cut_cords"][:, at] * _per_cord(woods, k[at], name)
    return Run(**out, pieces=pieces)


def _clear_tables(
    out: dict[str, np.ndarray],
    pieces: dict[str, np.ndarray],
    stood: dict[str, np.ndarray],
    at: np.ndarray,
    when: np.ndarray,
    *,
    region: Region,
) -> None:
    """Cut the columns ``at`` whole before the years ``when``, in place: all that stood then is taken and comes back."""
    years = len(out["cut_cords"])
    some = (when >= 0) & (when < years)
    at, begun, one = at[some], when[some].astype(int), np.arange(int(some.sum()))
    later = np.arange(years + 1)[:, None] - begun
    after, now = later >= 0, later[:-1] == 0
    rotation, from_yr = region.figure("defaults_cut", "patch_rotation_yr"), chosen("young_wood_from_yr", region=region)
    back = {"cords": (later - from_yr) / (rotation - from_yr), "basal": later / rotation, "stems": later / rotation}
    for name in ("cords", "bdft", "basal", "stems"):
        whole = out[name][:, at]
        cut = whole[begun, one]
        out[name][:, at] = np.where(after, cut * np.clip(back.get(name, 0.0 * later), 0.0, 1.0), whole)
        if f"cut_{name}" in out:
            out[f"cut_{name}"][:, at] = np.where(now, cut, np.where(after[:-1], 0.0, out[f"cut_{name}"][:, at]))
    for name, made in pieces.items():
        cut = stood[name][:, some][begun, one]
        made[:, at] = np.where(now, cut, np.where(after[:-1], 0.0, made[:, at]))
    grown = np.diff(out["basal"][:, at], axis=0)
    for name in ("survivor", "ingrowth", "mortality"):
        new = grown if name == "survivor" else 0.0
        out[name][:, at] = np.where(after[:-1], new, out[name][:, at])


def _per_cord(woods: Woods, k: np.ndarray, name: str) -> np.ndarray:
    """Pieces that a cord of some stands gives, by the trees that stand in them today."""
    cords, pieces = (np.tensordot(woods.values[n], woods.trees[:, :, k], axes=2) for n in ("cords", name))
    return np.divide(pieces, cords, out=np.zeros_like(cords), where=cords > 0)


def _even(
    woods: Woods,
    k: np.ndarray,
    years: int,
    case: str,
    kind: str,
    at: np.ndarray,
    leave: np.ndarray | None,
    clear: np.ndarray | None,
    out: dict[str, np.ndarray],
    *,
    region: Region,
) -> None:
    """Stands of one age into the columns ``at`` of ``out``."""
    rows = woods.stands.iloc[k]
    age, site = np.maximum(rows["age_yr"].to_numpy(), 1.0), rows["site_index_ft"].to_numpy()
    basal = basal_sqft(grow.classes(region=region)) @ woods.trees[:, :, k].sum(axis=0)
    stems = woods.trees[:, :, k].sum(axis=(0, 1))
    factor = woods.even[case][..., k]
    if kind == "aspen":
        unseen = rows["young"].to_numpy(dtype=bool)
        basal = np.where(
            unseen & (basal <= 0),
            chosen("young_aspen_share", region=region) * even_aged.full_basal_sqft_aspen(age, region=region),
            basal,
        )
        path = even_aged.grow_aspen(basal, stems, age, years, factor, region=region)
        if clear is not None:
            _clear(path, years, clear[at], factor, region=region)
    else:
        path = even_aged.grow_pine(
            basal, stems, age, site, years, factor, None if leave is None else leave[:, at], region=region
        )
    cords = _merch_cords(rows, path["basal"], np.maximum(path["age"], 1.0), woods.solid, region=region)
    fresh = path.get("fresh", np.zeros(cords.shape, dtype=bool))
    cords = cords * np.where(fresh, 1.0, woods.ratio[k])
    if kind == "aspen":
        from_yr, full_yr = chosen("young_wood_from_yr", region=region), chosen("young_wood_full_yr", region=region)
        cords = cords * np.where(fresh | unseen, np.clip((path["age"] - from_yr) / (full_yr - from_yr), 0.0, 1.0), 1.0)
    rate = _per_cord(woods, k, "bdft")
    out["cords"][:, at], out["bdft"][:, at] = cords, cords * np.where(fresh, 0.0, rate)
    out["basal"][:, at], out["stems"][:, at] = path["basal"], path["stems"]
    before = path["basal"][:-1] + path["cut"]
    share = np.divide(path["cut"], before, out=np.zeros_like(before), where=before > 0)
    left = np.where(share < 1.0, cords[:-1] / np.where(share < 1.0, 1.0 - share, 1.0), cords[:-1])
    gone = left - cords[:-1]
    if "cleared" in path:
        stood = _merch_cords(rows, path["stood"], path["stood_age"], woods.solid, region=region)
        gone = np.where(path["cleared"], woods.ratio[k] * stood, gone)
    out["cut_cords"][:, at], out["cut_bdft"][:, at] = gone, gone * rate
    out["cut_basal"][:, at] = path["cut"]
    for name in ("survivor", "ingrowth", "mortality"):
        out[name][:, at] = path[name]


def _clear(path: dict[str, np.ndarray], years: int, when: np.ndarray, factor: np.ndarray, *, region: Region) -> None:
    """Write the young stand over the years after a clear-cut, in place."""
    path["fresh"] = np.zeros(path["basal"].shape, dtype=bool)
    path["cleared"] = np.zeros(path["cut"].shape, dtype=bool)
    path["stood"] = np.zeros(path["cut"].shape)
    path["stood_age"] = np.ones(path["cut"].shape)
    first = chosen("young_aspen_share", region=region) * even_aged.full_basal_sqft_aspen(1.0, region=region)
    usual = in_year(factor, -1, 1)  # years that differ are the next ones: what comes back grows after them
    young = even_aged.grow_aspen(np.full(len(when), first), 0.0, 1.0, years, usual, region=region)
    for j in np.flatnonzero((when >= 0) & (when < years)):
        f = int(when[j])
        path["stood"][f, j], path["stood_age"][f, j] = path["basal"][f, j], path["age"][f, j]
        path["cleared"][f, j], path["cut"][f, j] = True, path["basal"][f, j]
        for name in ("basal", "stems", "age", "qmd_in"):
            path[name][f + 1 :, j] = young[name][: years - f, j]
        path["basal"][f, j] = path["stems"][f, j] = 0.0
        path["age"][f, j] = 1.0
        path["fresh"][f:, j] = True
        path["survivor"][f, j], path["mortality"][f, j] = path["basal"][f + 1, j], 0.0
        for name in ("survivor", "mortality"):
            path[name][f + 1 :, j] = young[name][: years - f - 1, j]


def _merch_cords(rows: pd.DataFrame, basal: np.ndarray, age: np.ndarray, solid: float, *, region: Region) -> np.ndarray:
    """Cords an acre of stands of one age by year and stand; ``rows``: of the stands."""
    of = enumerate(zip(rows["main"], rows["site_index_ft"], strict=True))
    cords = even_aged.merch_cords_per_ac
    return np.column_stack([cords(m, basal[:, j], site, age[:, j], solid, region=region) for j, (m, site) in of])
