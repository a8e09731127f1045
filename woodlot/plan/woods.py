"""The woods of a place on one day, and how they go on: each stand by the way of growing that fits it.

State      Woods
Going on   run, Run
Marking    guide_of, marking_of
Figures    chosen

Ways of growing: "stand table" (uneven-aged, and whatever has no way of its own), "pine" and "aspen" (of one age, where
age and site index are written and the main species is one), "none" (no plots). The cords of a stand start at what its
plots say; the model moves them in proportion. Kinds that break up do so from their age on, at the pace of the stand.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from woodlot.covers import said_of
from woodlot.estimate import Reason
from woodlot.plan.woods_even import grow_even
from woodlot.region import Region
from woodlot.stand import grow, marking
from woodlot.stand.ageing import PACE_OF, usual_largest_in
from woodlot.stand.judged import Judged
from woodlot.stand.marking_guide import JobMarking, job_marking, marking_guide
from woodlot.stand.of_one_age import ages_of, lost_by_year, of_one_age
from woodlot.trade import EVEN_AGED
from woodlot.tree.growth import equations
from woodlot.units import basal_sqft
from woodlot.wood.sugarbush import tapped

__all__ = [
    "CASES",
    "Run",
    "Woods",
    "chosen",
    "guide_of",
    "is_fitted",
    "lost_of",
    "marking_of",
    "paces",
    "run",
    "table_run",
]

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
    live basal area: dies now, past its age), those of ``of_one_age.ageing_columns`` and brush (``brush_after``),
    cores (number behind it), twice
    (of them trees measured twice), backed (yes/no), basal and stems [per ac], cords [per ac]; sap (yes/no: a sugarbush)
    where wishes are known;
    species: rows of the arrays; trees: (species, class, stand) [per ac]; factor: case -> (species, stand) on growth;
    even: case -> (stand) the same for stands of one age (both, and deaths, with years as a first axis where years
    differ); ratio: cords of the plots over cords of the model; values:
    name -> (species, class); sg: of the woods; saplings: (stand), missing where not counted; deaths: (species, stand)
    more deaths a year; judged: what is known of the trees beside kind and size; solid: cubic feet of wood in a cord;
    left_out: lines of the ledger that took nothing out; death_factor: on usual deaths, and visits: what
    plots visited again say.
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
    death_factor: float = 1.0
    visits: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class Run:
    """Years of some columns (a stand, or a stand under a prescription).

    At the start and after each year [per ac] cords, bdft, basal, stems; for each year cut_cords, cut_bdft, cut_basal
    [per ac], and the account in basal area; broken: cords lost by break-up in each year [per ac]; pieces: whatever else
    ``Woods.values`` counts, cut in each year [per ac]; trees: year -> trees (species, class, column) at its start, of
    what was not cleared before.
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
    broken: np.ndarray
    pieces: dict[str, np.ndarray] = field(default_factory=dict)
    trees: dict[int, np.ndarray] = field(default_factory=dict)


def is_fitted(stands: pd.DataFrame, *, region: Region) -> np.ndarray:
    """Which stands grow by the equations fitted to remeasured trees."""
    return said_of(stands["cover"], "growth", region) == "remeasured"


def paces(woods: Woods, k: np.ndarray, case: str) -> np.ndarray:
    """Pace of break-up of columns ``k``: of each stand in the middle, fast and slow at the ends."""
    own = woods.stands["pace"].to_numpy()[k]
    return own if case == "mid" else np.full(len(k), PACE_OF[case], dtype=object)


def lost_of(woods: Woods, k: np.ndarray, years: int, case: str, *, region: Region) -> np.ndarray | None:
    """Share of each kind that break-up takes in each year to come (years, species, columns ``k``); None where none."""
    rows, species = woods.stands.iloc[k], woods.species
    aged = of_one_age(species, rows["main"].to_numpy(), rows["cover"].to_numpy(), region=region)
    ages = ages_of(species, paces(woods, k, case), region=region)
    return lost_by_year(ages, aged, rows["age_yr"].to_numpy(dtype=float), years)


def table_run(
    woods: Woods,
    k: np.ndarray,
    years: int,
    case: str,
    leave: np.ndarray | None,
    seeds: np.ndarray | None = None,
    seen: Sequence[int] = (),
    *,
    region: Region,
) -> grow.Projection:
    """The stand-table way for columns ``k``, each by the equations of its cover; trees in the order of ``k``.

    seeds: species of ingrowth (species, columns) where no small tree stands; None for all alike; seen: years of which
    the trees are kept.
    """
    parts, order = [], []
    species, lost = woods.species, lost_of(woods, k, years, case, region=region)
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
                seed_shares=None if seeds is None else seeds[:, at],
                deaths=woods.deaths[..., stands],
                death_factor=woods.death_factor,
                largest_in=usual_largest_in(species, region=region),
                lost=None if lost is None else lost[:, :, at],
                leave_sqft=None if leave is None else leave[:, at],
                mark=None if leave is None else _marker(woods, stands, cover, region=region),
                worth=woods.values,
                as_measured=which,
                seen=seen,
                region=region,
            )
        )
        order.append(at)
    back = np.argsort(np.concatenate(order))

    def join(name: str, key: str | int | None = None) -> np.ndarray:
        arrays = [getattr(p, name) if key is None else getattr(p, name)[key] for p in parts]
        return np.concatenate(arrays, axis=-1)[..., back]

    names = ("trees", "basal", "stems", "density", "survivor", "ingrowth", "mortality", "cut", "stems_in", "stems_out")
    flows = {name: join(name) for name in names}
    worth, taken, broken = ({key: join(name, key) for key in woods.values} for name in ("worth", "taken", "broken"))
    looks: dict[int, np.ndarray] = {year: join("seen", year) for year in seen}
    return grow.Projection(**flows, worth=worth, taken=taken, broken=broken, seen=looks)


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
    seen: Sequence[int] = (),
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
    seen
        Years of which the trees are kept.
    region
        Whose figures are used.

    Returns
    -------
    ``Run``; stands without plots are missing.
    """
    k = np.arange(len(woods.stands)) if columns is None else np.asarray(columns, dtype=int)
    names = ("cords", "bdft", "basal", "stems")
    flows = ("cut_cords", "cut_bdft", "cut_basal", "survivor", "ingrowth", "mortality", "broken")
    out = {n: np.full((years + 1, len(k)), np.nan) for n in names}
    out |= {n: np.zeros((years, len(k))) for n in flows}
    pieces = {n: np.zeros((years, len(k))) for n in woods.values if n not in PLAIN}
    way = woods.stands["way"].to_numpy()[k]
    at = np.flatnonzero(way == "stand table")
    leave = None if leave_sqft is None else leave_sqft[:, at]
    path = table_run(woods, k[at], years, case, leave, seen=seen, region=region)
    trees = {year: np.zeros((*woods.trees.shape[:2], len(k))) for year in seen}
    for year, n in path.seen.items():
        trees[year][:, :, at] = n
    ratio = woods.ratio[k[at]]
    out["cords"][:, at], out["bdft"][:, at] = path.worth["cords"] * ratio, path.worth["bdft"] * ratio
    out["cut_cords"][:, at], out["cut_bdft"][:, at] = path.taken["cords"] * ratio, path.taken["bdft"] * ratio
    out["broken"][:, at] = path.broken["cords"] * ratio
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
            told, of_age = _even(woods, k[at], years, case, kind, leave_sqft, clear, at, seen, region=region)
            for name, one in told.items():
                out[name][:, at] = one
            for year, n in of_age.items():
                trees[year][:, :, at] = n
            for name, made in pieces.items():
                made[:, at] = out["cut_cords"][:, at] * _per_cord(woods, k[at], name)
    return Run(**out, pieces=pieces, trees=trees)


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
    for name in ("survivor", "ingrowth", "mortality", "broken"):
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
    leave: np.ndarray | None,
    clear: np.ndarray | None,
    at: np.ndarray,
    seen: Sequence[int],
    *,
    region: Region,
) -> tuple[dict[str, np.ndarray], dict[int, np.ndarray]]:
    """Stands of one age: the columns ``at`` of a ``Run``, whose stands are ``k``, and their trees in the years seen."""
    rows, pace = woods.stands.iloc[k], paces(woods, k, case)
    inside = _of_its_age(woods, rows, pace, region=region)
    return grow_even(
        rows.assign(pace=pace),
        woods.trees[:, :, k],
        woods.values,
        inside,
        _others(woods, k, inside, years, case, seen, region=region),
        kind,
        years,
        seen,
        factor=woods.even[case][..., k],
        ratio=woods.ratio[k],
        solid=woods.solid,
        leave=None if leave is None else leave[:, at],
        clear=None if clear is None else clear[at],
        region=region,
    )


def _of_its_age(woods: Woods, rows: pd.DataFrame, pace: np.ndarray, *, region: Region) -> np.ndarray:
    """Kinds (species, column) that go the way of their even-aged stand: those that break up with its main kind, or,
    where that does not break up, all that do not either. The others go by the stand table.
    """
    main, cover = rows["main"].to_numpy(), rows["cover"].to_numpy()
    breaks = of_one_age(woods.species, main, cover, region=region) & np.isfinite(
        ages_of(woods.species, pace, region=region)[0]
    )
    kinds = np.array(woods.species, dtype=object)[:, None]
    like_main = np.array([[str(a).split()[-1] == str(b).split()[-1] for b in main] for a in woods.species], dtype=bool)
    main_breaks = (breaks & (kinds == main)).any(axis=0)
    return np.where(main_breaks, breaks & like_main, ~breaks)


def _others(
    woods: Woods, k: np.ndarray, inside: np.ndarray, years: int, case: str, seen: Sequence[int], *, region: Region
) -> dict[str, np.ndarray] | None:
    """Cords, board feet, basal area and stems [per ac, before ``ratio``] by year of kinds that go by the stand table in
    stands of one age, cords of them that break up, and their trees in the years seen; None where there are none.
    """
    b = basal_sqft(grow.classes(region=region))
    names = ("cords", "bdft", "basal", "stems")
    out = {name: np.zeros((years + 1, len(k))) for name in names} | {"broken": np.zeros((years, len(k)))}
    out["seen"] = np.zeros((len(seen), *woods.trees.shape[:2], len(k)))
    some = (woods.trees[:, :, k] * ~inside[:, None]).any(axis=(0, 1))
    if not some.any():
        return None
    plain = {name: woods.values[name] for name in ("cords", "bdft")}
    plain |= {"basal": np.broadcast_to(b, plain["cords"].shape), "stems": np.ones(plain["cords"].shape)}
    for pattern in np.unique(inside[:, some], axis=1).T:
        at = np.flatnonzero(some & (inside == pattern[:, None]).all(axis=0))
        one, back = np.unique(k[at], return_inverse=True)
        counted = {name: value * ~pattern[:, None] for name, value in plain.items()}
        known = np.nan_to_num(woods.saplings[one]) > 0
        seeds = np.where(known, ~pattern[:, None] / max(int((~pattern).sum()), 1), 0.0)
        path = table_run(replace(woods, values=counted), one, years, case, None, seeds, seen, region=region)
        for name in names:
            out[name][:, at] = path.worth[name][:, back]
        out["broken"][:, at] = path.broken["cords"][:, back]
        for year, look in enumerate(seen):
            out["seen"][year][:, :, at] = path.seen[look][:, :, back] * ~pattern[:, None, None]
    return out
