"""Stands of one age on their way: the kinds of the age by the equations for it, the others as the stand table has them.

grow_even    some stands, or stands under prescriptions
merch_cords  cords of their kinds of the age

What breaks up leaves the other kinds, which go on; aspen comes back only from a stand that is cut while it lives.
"""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from woodlot.region import Region
from woodlot.species import WOOD
from woodlot.stand import even_aged
from woodlot.stand.ageing import standing_share
from woodlot.stand.grow import classes
from woodlot.stand.grow_year import in_year
from woodlot.stand.of_one_age import ages_of
from woodlot.units import basal_sqft

__all__ = ["grow_even", "merch_cords"]


def _chosen(name: str, region: Region) -> float:
    return region.figure("defaults_schedule", name)


def merch_cords(rows: pd.DataFrame, basal: np.ndarray, age: np.ndarray, solid: float, *, region: Region) -> np.ndarray:
    """Cords an acre of stands of one age by year and stand; ``rows``: of the stands."""
    out = np.empty(basal.shape)
    names, sites = rows["main"].to_numpy(dtype=object), rows["site_index_ft"].to_numpy()
    for main, site in dict.fromkeys(zip(names, sites, strict=True)):
        at = (names == main) & (sites == site)
        out[:, at] = even_aged.merch_cords_per_ac(main, basal[:, at], site, age[:, at], solid, region=region)
    return out


def grow_even(
    rows: pd.DataFrame,
    n: np.ndarray,
    values: dict[str, np.ndarray],
    inside: np.ndarray,
    others: dict[str, np.ndarray] | None,
    kind: str,
    years: int,
    seen: Sequence[int] = (),
    *,
    factor: np.ndarray,
    ratio: np.ndarray,
    solid: float,
    leave: np.ndarray | None,
    clear: np.ndarray | None,
    region: Region,
) -> tuple[dict[str, np.ndarray], dict[int, np.ndarray]]:
    """Stands of one age for some years.

    Parameters
    ----------
    rows
        Of ``Woods.stands``, one a column: main, age_yr, site_index_ft, young; pace: at which they break up.
    n
        Trees (species, class, column) [per ac].
    values
        Name -> what one tree holds (species, class): cords and bdft.
    inside
        Kinds that go the way of the age (species, column); the rest is ``others``.
    others
        cords, bdft, basal, stems (years + 1, column) and broken cords (years, column) of the other kinds by the stand
        table, and seen: their trees (year, species, class, column); None for none.
    kind
        "aspen" or "pine".
    years
        Years [yr].
    seen
        Years of which the trees are kept.
    factor, ratio, solid, leave, clear
        On growth; cords of the plots over cords of the model; cubic feet of wood in a cord; ``woods.run``.
    region
        Whose figures are used.

    Returns
    -------
    The arrays of ``woods.Run`` but pieces, and trees (species, class, column) by year seen.
    """
    age, site = np.maximum(rows["age_yr"].to_numpy(), 1.0), rows["site_index_ft"].to_numpy()
    basal, stems = basal_sqft(classes(region=region)) @ n.sum(axis=0), n.sum(axis=(0, 1))
    unseen = rows["young"].to_numpy(dtype=bool)
    onset, half = _ages(rows, region=region)
    if kind == "aspen":
        full = _chosen("young_aspen_share", region) * even_aged.full_basal_sqft_aspen(age, region=region)
        basal = np.where(unseen & (basal <= 0), full, basal)
        path = even_aged.grow_aspen(basal, stems, age, years, factor, onset, half, region=region)
    else:
        sg = region.species.rows(WOOD)["wood_sg"].reindex(rows["main"]).to_numpy(dtype=float)
        path = even_aged.grow_pine(basal, stems, age, site, years, factor, leave, onset, half, sg, region=region)
    _clear(path, years, clear if kind == "aspen" else None, factor, onset, half, region=region)
    out, share = _of_the_age(rows, path, n, values, inside, ratio, solid, region=region)
    if others is not None:
        whole = np.tensordot(values["cords"], n, axes=2)
        start = ratio * merch_cords(rows, basal[None], age[None], solid, region=region)[0]
        _add_others(out, others, share, np.divide(start, whole, out=np.zeros_like(whole), where=whole > 0))
    left = np.vstack([np.cumprod(1.0 - share, axis=0), np.prod(1.0 - share, axis=0)[None]])
    return out, {
        year: _thicker(n * inside[:, None], path, year, region=region)
        + (0.0 if others is None else others["seen"][at] * left[year])
        for at, year in enumerate(seen)
    }


def _thicker(n: np.ndarray, path: dict[str, np.ndarray], year: int, *, region: Region) -> np.ndarray:
    """Trees of the age in a year: thicker as the mean tree is, fewer as the basal area says; none of young growth."""
    sizes = classes(region=region)
    times = _over(path["qmd_in"][year], path["qmd_in"][0], 1.0)
    step = (sizes[:, None, None] * times - sizes[0]) / (sizes[1] - sizes[0])
    share = np.clip(1.0 - np.abs(np.clip(step, 0.0, len(sizes) - 1.0) - np.arange(len(sizes))[:, None]), 0.0, None)
    moved = np.einsum("sck,cdk->sdk", n, share)
    goal = _over(path["basal"][year], path["basal"][0], 0.0) * (basal_sqft(sizes) @ n.sum(axis=0))
    has = basal_sqft(sizes) @ moved.sum(axis=0)
    return np.asarray(moved * np.where(path["fresh"][year], 0.0, _over(goal, has, 0.0)))


def _ages(rows: pd.DataFrame, *, region: Region) -> np.ndarray:
    """Onset and half age of the main kind of each column at its pace [yr]."""
    ages = ages_of(rows["main"].tolist(), rows["pace"].to_numpy(), region=region)
    return np.diagonal(ages, axis1=1, axis2=2)[:2]


def _of_the_age(
    rows: pd.DataFrame,
    path: dict[str, np.ndarray],
    n: np.ndarray,
    values: dict[str, np.ndarray],
    inside: np.ndarray,
    ratio: np.ndarray,
    solid: float,
    *,
    region: Region,
) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """What ``path`` says of the kinds of the age, and the share cut of every stand in each year."""
    b, kind = np.broadcast_to(basal_sqft(classes(region=region)), values["cords"].shape), inside[:, None]
    of_age = {name: np.tensordot(one, n * kind, axes=2) for name, one in (values | {"basal": b}).items()}
    whole = {name: np.tensordot(one, n, axes=2) for name, one in (("cords", values["cords"]), ("basal", b))}
    in_cords, in_basal = (_over(of_age[name], whole[name], 1.0) for name in ("cords", "basal"))
    in_stems = _over((n * kind).sum(axis=(0, 1)), n.sum(axis=(0, 1)), 1.0)
    rate, fresh, cleared = _over(of_age["bdft"], of_age["cords"], 0.0), path["fresh"], path["cleared"]
    cords = merch_cords(rows, path["basal"], np.maximum(path["age"], 1.0), solid, region=region)
    cords = cords * np.where(fresh, 1.0, ratio * in_cords)
    from_yr, full_yr = (_chosen(f"young_wood_{name}_yr", region) for name in ("from", "full"))
    young = fresh | (rows["young"].to_numpy(dtype=bool) & (rows["way"] == "aspen").to_numpy())
    cords = cords * np.where(young, np.clip((path["age"] - from_yr) / (full_yr - from_yr), 0.0, 1.0), 1.0)
    before = path["basal"][:-1] + path["cut"]
    share = _over(path["cut"], before, 0.0)
    gone = np.where(share < 1.0, cords[:-1] / np.where(share < 1.0, 1.0 - share, 1.0), cords[:-1]) - cords[:-1]
    stood = merch_cords(rows, path["stood"], path["stood_age"], solid, region=region)
    gone = np.where(cleared, ratio * in_cords * stood, gone)
    part = np.where(fresh, 1.0, in_basal)
    out = {
        "cords": cords,
        "bdft": cords * np.where(fresh, 0.0, rate),
        "basal": path["basal"] * part,
        "stems": path["stems"] * np.where(fresh, 1.0, in_stems),
        "cut_cords": gone,
        "cut_bdft": gone * rate,
        "cut_basal": path["cut"] * np.where(cleared, in_basal, part[:-1]),
        "broken": cords[1:] * _over(path["broken"], path["basal"][1:], 0.0),
    }
    return out | {name: path[name] * part[:-1] for name in ("survivor", "ingrowth", "mortality")}, share


def _add_others(
    out: dict[str, np.ndarray], others: dict[str, np.ndarray], share: np.ndarray, ratio: np.ndarray
) -> None:
    """Add the other kinds of each stand, in place; of them the same share is cut as of the kinds of the age."""
    left = np.vstack([np.ones((1, share.shape[1])), np.cumprod(1.0 - share, axis=0)])
    before, keep, after = left[:-1], left[1:], np.vstack([left[1:], left[-1:]])
    for name in ("cords", "bdft", "basal", "stems"):
        one = others[name] * (ratio if name in ("cords", "bdft") else 1.0)
        out[name] = out[name] + one * after
        if f"cut_{name}" in out:
            out[f"cut_{name}"] = out[f"cut_{name}"] + one[:-1] * before * share
    out["broken"] = out["broken"] + others["broken"] * keep * ratio
    net = np.diff(others["basal"], axis=0) * keep
    out["survivor"] = out["survivor"] + np.maximum(net, 0.0)
    out["mortality"] = out["mortality"] + np.maximum(-net, 0.0)


def _over(part: np.ndarray, whole: np.ndarray, none: float) -> np.ndarray:
    """A part over the whole; ``none`` where there is no whole."""
    return np.divide(part, whole, out=np.full(np.shape(whole), none), where=whole > 0)


def _clear(
    path: dict[str, np.ndarray],
    years: int,
    when: np.ndarray | None,
    factor: np.ndarray,
    onset: np.ndarray,
    half: np.ndarray,
    *,
    region: Region,
) -> None:
    """Write the young stand over the years after a clear-cut, in place; roots of a stand that breaks up sucker less."""
    path["fresh"] = np.zeros(path["basal"].shape, dtype=bool)
    path["cleared"] = np.zeros(path["cut"].shape, dtype=bool)
    path["stood"], path["stood_age"] = np.zeros(path["cut"].shape), np.ones(path["cut"].shape)
    if when is None:
        return
    some = np.flatnonzero((when >= 0) & (when < years))
    first = _chosen("young_aspen_share", region) * even_aged.full_basal_sqft_aspen(1.0, region=region)
    lives = np.ones(len(when))
    lives[some] = standing_share(path["age"][when[some].astype(int), some], onset[some], half[some])
    usual = in_year(factor, -1, 1)  # years that differ are the next ones: what comes back grows after them
    young = even_aged.grow_aspen(first * lives, 0.0, 1.0, years, usual, onset, half, region=region)
    for j in some:
        f = int(when[j])
        path["stood"][f, j], path["stood_age"][f, j] = path["basal"][f, j], path["age"][f, j]
        path["cleared"][f, j], path["cut"][f, j] = True, path["basal"][f, j]
        for name in ("basal", "stems", "age", "qmd_in"):
            path[name][f + 1 :, j] = young[name][: years - f, j]
        path["basal"][f, j] = path["stems"][f, j] = 0.0
        path["age"][f, j] = 1.0
        path["fresh"][f:, j] = True
        path["survivor"][f, j], path["mortality"][f, j], path["broken"][f, j] = path["basal"][f + 1, j], 0.0, 0.0
        for name in ("survivor", "mortality", "broken"):
            path[name][f + 1 :, j] = young[name][: years - f - 1, j]
