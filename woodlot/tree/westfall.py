"""The national equations of 2024 for wood and bark of a stem and for heights and volumes to any top.

stem_cuft_westfall_2024    wood inside bark, ground to tip
parts_westfall_2024        wood, bark, stump, two lengths of merchantable stem and the heights of their tops

Below that, for this chapter only: a quantity in logarithms (``ln_quantity``), depth of a top below the tip
(``ln_depth``) and the walk through species (``over_species``). Rows of coefficients: woodlot.tree.rows.

Source: Westfall and others 2024, GTR WO-104, and its supplement of tables (key westfall_2024).
"""

from collections.abc import Callable
from dataclasses import replace
from math import log
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.tree.inputs import between, numbers, outside, positive
from woodlot.tree.rows import Row, stem_rows
from woodlot.units import BREAST_FT

__all__ = ["parts_westfall_2024", "stem_cuft_westfall_2024"]

#: Rows worked at a time: enough for each species of a block, few enough to stay in the processor's memory.
BLOCK = 262_144
NEWTON_STEPS = 3


def ln_quantity(r: Row, d: np.ndarray, ln_d: np.ndarray, ln_h: np.ndarray) -> np.ndarray:
    """Natural logarithm of a volume or weight by models 1 to 5, from dbh (in) and the logarithms of dbh and height."""
    if r.beyond:
        near = np.clip(d, r.low_in, r.high_in)
        ln_near = np.log(near)
        out = ln_quantity(replace(r, beyond=None), near, ln_near, ln_h)
        return out + ln_quantity(r.beyond, d, ln_d, ln_h) - ln_quantity(r.beyond, near, ln_near, ln_h)
    if r.model == 3:
        out = r.a1 * (1.0 - np.exp(-r.b * d)) ** r.c1 * ln_d
    elif r.model == 2:
        out = r.b1 * ln_d
        out += (r.b - r.b1) * np.minimum(ln_d, log(r.break_in))
    else:
        out = r.b * ln_d
    if r.model == 4:
        out -= r.b1 * d
    out += r.c * ln_h
    out += log(r.a)
    return out


def ln_depth(r: Row, ln_both: np.ndarray, ln_h: np.ndarray, top_dob_in: Any) -> np.ndarray:
    """ln(1 - h/H) where the stem is top_dob_in thick outside bark, by Newton's method on the logarithm of the taper.

    The left side of (a-1) z + (b-1) ln(1 - exp(a z)) = L is convex and rising because b < 1, so that no bracket is
    needed; after three steps a volume is right to 15 figures.
    """
    a, b = r.alpha, r.beta
    goal = ln_h - ln_both
    goal += 2.0 * np.log(top_dob_in) + log(np.pi / 576.0 / (a * b))
    z = np.minimum(goal / (a - 1.0), -0.001)
    for _ in range(NEWTON_STEPS):
        power = np.exp(a * z)
        rest = 1.0 - power
        slope = power / rest
        slope *= -(b - 1.0) * a
        slope += a - 1.0
        miss = np.log(rest)
        miss *= b - 1.0
        miss += (a - 1.0) * z
        miss -= goal
        miss /= slope
        z -= miss
        np.minimum(z, -1e-6, out=z)
    return z


def share_below(r: Row, ln_rest: np.ndarray) -> np.ndarray:
    """Share of the stem's volume below a height, from ln(1 - h/H)."""
    return (1.0 - np.exp(r.alpha * ln_rest)) ** r.beta


Kernel = Callable[..., None]


def over_species(
    kernel: Kernel,
    codes: np.ndarray,
    known: list[str],
    arrays: list[np.ndarray],
    outs: list[np.ndarray],
    *,
    region: Region,
) -> None:
    """Run ``kernel(name, *arrays, *outs)`` on the rows of each species, a block of rows at a time.

    A kind of several species gets the mean of what its species would have.

    Within a block the rows are sorted by species, so that coefficients are plain numbers; rows without a species are
    NaN. Results go to the rows they came from, so that order does not matter.
    """
    size = len(codes)
    room = np.empty((len(arrays) + len(outs), min(size, BLOCK)))
    for start in range(0, size, BLOCK):
        part = slice(start, start + BLOCK)
        here = codes[part]
        if len(known) == 1 and (here >= 0).all():
            _mean_of(kernel, known[0], [a[part] for a in arrays], [o[part] for o in outs], region=region)
            continue
        order = np.argsort(here, kind="stable")
        bounds = np.searchsorted(here[order], np.arange(len(known) + 1))
        sorted_in, sorted_out = room[: len(arrays), : len(order)], room[len(arrays) :, : len(order)]
        for values, given in zip(sorted_in, arrays, strict=True):
            np.take(given[part], order, out=values, mode="clip")
        sorted_out[:, : bounds[0]] = np.nan
        for code, name in enumerate(known):
            rows = slice(bounds[code], bounds[code + 1])
            if rows.stop > rows.start:
                _mean_of(kernel, name, [a[rows] for a in sorted_in], [o[rows] for o in sorted_out], region=region)
        back = np.empty_like(order)
        back[order] = np.arange(len(order))
        for out, values in zip(outs, sorted_out, strict=True):
            np.take(values, back, out=out[part], mode="clip")


def _mean_of(kernel: Kernel, name: str, arrays: list[np.ndarray], outs: list[np.ndarray], *, region: Region) -> None:
    species = region.species.scaled_as(name)
    kernel(species[0], *arrays, *outs)
    for one in species[1:]:
        more = [np.empty_like(out) for out in outs]
        kernel(one, *arrays, *more)
        for out, of in zip(outs, more, strict=True):
            out += of
    if len(species) > 1:
        for out in outs:
            out /= len(species)


def checked(dbh_in: Any, height_ft: Any, *, region: Region, **more: Any) -> tuple[list[np.ndarray], Callable]:
    """Diameter and height (and more) as arrays; raises InputError for values no tree has."""
    arrays, back = numbers(dbh_in=dbh_in, height_ft=height_ft, **more)
    dbh, height = arrays[:2]
    positive(dbh_in=dbh, height_ft=height)
    between("dbh_in", dbh, 0.0, region.figure("defaults_tree", "dbh_most_in"), "diameter is in inches")
    least, most = np.nextafter(BREAST_FT, 5.0), region.figure("defaults_tree", "height_most_ft")
    if (wrong := outside(height, least, most)) is not None:
        raise InputError(
            f"height_ft {wrong:g} is not between {least:g} and {most:g}: total height is in feet, and a stem with a "
            "diameter at breast height is taller than 4.5 ft"
        )
    return arrays, back


def _work(kernel: Kernel, dbh_in: Any, height_ft: Any, species: Any, *, region: Region, **more: Any) -> Any:
    arrays, back = checked(dbh_in, height_ft, region=region, **more)
    if not isinstance(species, str) and arrays[0].ndim == 0:
        arrays = list(np.broadcast_arrays(*arrays, np.empty(np.shape(species))))[: len(arrays)]
        index = species.index if isinstance(species, pd.Series) else None
        back = np.asarray if index is None else lambda result: pd.Series(result, index=index)
    shape = arrays[0].shape
    flat = [a.ravel() for a in arrays]
    codes, known = region.species.codes(species, flat[0].size)
    out = np.full(flat[0].size, np.nan)
    over_species(kernel, codes, known, flat, [out], region=region)
    return back(out.reshape(shape))


def stem_cuft_westfall_2024(dbh_in: Any, height_ft: Any, species: Any, division: str = "210", *, region: Region) -> Any:
    """Wood inside bark of a whole stem, ground to tip, cubic feet.

    dbh_in: diameter at breast height outside bark (in); height_ft: total height to the tip (ft), for a broken tree the
    height it would have had; species: name, nickname or a column of them; division: ecological division of the place.
    Returns cubic feet. Raises InputError for sizes no tree has, unknown species or division.

    Notes: form and coefficients of S1, in the order species and division, species, group; sound wood, no cull
    taken off. Never put a merchantable height in.

    Example: red maple 11.1 in, 38 ft in division M210 holds 9.43 cubic feet.

    Source: Westfall and others 2024, GTR WO-104, supplement S1 (westfall_2024).
    """

    def kernel(name, d, h, out):
        np.exp(ln_quantity(stem_rows(name, division, region=region).wood, d, np.log(d), np.log(h)), out=out)

    return _work(kernel, dbh_in, height_ft, species, region=region)


def parts_westfall_2024(
    codes: np.ndarray,
    known: list[str],
    division: str,
    dbh: np.ndarray,
    height: np.ndarray,
    merch_top: np.ndarray,
    saw_top: np.ndarray,
    *,
    region: Region,
) -> dict[str, np.ndarray]:
    """Parts of many stems, cubic feet of wood inside bark unless said otherwise.

    codes, known: species as ``species_codes`` gives them; division: ecological division; dbh (in), height: total height
    (ft), merch_top, saw_top: diameters outside bark at two tops (in), one number a stem each. Returns wood (ground to
    tip), bark, stump, merch and sawlog (from the stump to the two tops, 0 where even the stump is thinner),
    merch_top_ft and sawlog_top_ft (heights of the tops above ground, 0 likewise). NaN where a figure is missing.

    Notes: heights of the tops from S3 and S4 (outside bark); the share of the stem below a height from S5. Stump height
    from memory. It is the taper behind a volume: do not read butt-log diameters from it (at breast height it is 0 to 10
    percent too thick).

    Example: sugar maple 12 in, 65 ft to 4 in in division 210: 21.50 cubic feet. Red maple 11.1 in, 38 ft in division
    M210 is 4 in thick at 28.05 ft.

    Source: Westfall and others 2024, supplement S1 to S5 (westfall_2024).
    """
    names = ("wood", "bark", "stump", "merch", "sawlog", "merch_top_ft", "sawlog_top_ft")
    outs = list(np.empty((len(names), len(dbh))))
    low = region.figure("defaults_tree", "stump_ft")

    def kernel(name, d, h, top, saw, wood, bark, stump, merch, sawlog, merch_ht, saw_ht):
        rows = stem_rows(name, division, region=region)
        ln_d, ln_h = np.log(d), np.log(h)
        wood[:] = np.exp(ln_quantity(rows.wood, d, ln_d, ln_h))
        bark[:] = np.exp(ln_quantity(rows.bark, d, ln_d, ln_h))
        ln_both = ln_quantity(rows.both, d, ln_d, ln_h)
        below = share_below(rows.inside, np.log1p(-low / h))
        stump[:] = below * wood
        for limit, volume, reached in ((top, merch, merch_ht), (saw, sawlog, saw_ht)):
            depth = ln_depth(rows.outside, ln_both, ln_h, limit)
            volume[:] = np.maximum(share_below(rows.inside, depth) - below, 0.0) * wood
            top_ft = -np.expm1(depth) * h
            reached[:] = np.where(top_ft < low, 0.0, top_ft)

    over_species(kernel, codes, known, [dbh, height, merch_top, saw_top], outs, region=region)
    return dict(zip(names, outs, strict=True))
