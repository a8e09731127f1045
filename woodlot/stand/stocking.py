"""Stocking: how full a stand is, against published measures and guides.

Sizes            quadratic_mean_diameter_in, mean_diameter_in_gingrich_1967
Fullness         relative_density_ducey_2010, stocking_pct_gingrich_1967, stocking_pct
Guides           line_basal_sqft_gingrich_1967, structure_bdq
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.tree.inputs import numbers, positive
from woodlot.units import AC_PER_HA, BASAL_SQFT_PER_SQIN, CM_PER_IN, basal_sqft

__all__ = [
    "line_basal_sqft_gingrich_1967",
    "mean_diameter_in_gingrich_1967",
    "quadratic_mean_diameter_in",
    "relative_density_ducey_2010",
    "stocking_pct",
    "stocking_pct_gingrich_1967",
    "structure_bdq",
]

OAK = "upland oak"
OAK_B_LINE = f"{OAK}, crowns just closing"


def _constant(name: str, *, region: Region) -> float:
    return region.figure("stocking_constants", name)


def _not_negative(**arrays: np.ndarray) -> None:
    for name, values in arrays.items():
        if np.any(values < 0):
            raise InputError(f"{name} must be 0 or more, found {float(np.nanmin(values)):g}")


def quadratic_mean_diameter_in(basal_sqft_per_ac: Any, trees_per_ac: Any) -> Any:
    """Diameter of the tree of mean basal area.

    Parameters
    ----------
    basal_sqft_per_ac
        Basal area [sq ft/ac].
    trees_per_ac
        Trees [per ac]; where there are none the answer is missing.

    Returns
    -------
    Inches, in the form of the arguments.

    Examples
    --------
    80 sq ft in 100 trees: .8 sq ft each, sqrt(.8 / .0054542) = 12.11 in.

    >>> round(quadratic_mean_diameter_in(80, 100), 2)
    12.11
    """
    (basal, trees), back = numbers(basal_sqft_per_ac=basal_sqft_per_ac, trees_per_ac=trees_per_ac)
    _not_negative(basal_sqft_per_ac=basal, trees_per_ac=trees)
    some = np.where(trees > 0, trees, np.nan)
    return back(np.sqrt(basal / (BASAL_SQFT_PER_SQIN * some)))


def mean_diameter_in_gingrich_1967(quadratic_mean_diameter_in: Any, *, region: Region) -> Any:
    """Arithmetic mean diameter from the quadratic one, even-aged upland oak [in]."""
    (quadratic,), back = numbers(quadratic_mean_diameter_in=quadratic_mean_diameter_in)
    positive(quadratic_mean_diameter_in=quadratic)
    return back(
        _constant("gingrich_mean_constant", region=region)
        + _constant("gingrich_mean_factor", region=region) * quadratic
    )


def relative_density_ducey_2010(dbh_in: Any, trees_per_ac: Any, wood_sg: Any, *, region: Region) -> Any:
    """Share of a fully stocked acre that trees of one size and wood take up; sum it over the trees of a stand.

    Parameters
    ----------
    dbh_in
        Diameter at breast height [in], trees of 1 in and more.
    trees_per_ac
        Trees [per ac].
    wood_sg
        Specific gravity of the wood, green volume.
    region
        Whose figures are used.

    Returns
    -------
    Share (1 is the greatest density for that mix of species), in the form of the arguments.

    Notes
    -----
    trees per hectare x (.00015 + .00218 SG) x (dbh_cm / 25)^1.6. Species mix through their wood: a light wood fits more
    stems on an acre.

    Examples
    --------
    300 red pines of 8 in: 741.3 per ha x .0010438 x (20.32/25)^1.6 = 741.3 x .0010438 x .7177 = .555.

    >>> round(relative_density_ducey_2010(8, 300, 0.41), 3)
    0.555

    Source: Ducey and Knapp 2010, constants as restated (ducey_2010).
    """
    (dbh, trees, sg), back = numbers(dbh_in=dbh_in, trees_per_ac=trees_per_ac, wood_sg=wood_sg)
    positive(dbh_in=dbh, wood_sg=sg)
    _not_negative(trees_per_ac=trees)
    one = _constant("ducey_constant", region=region) + _constant("ducey_gravity", region=region) * sg
    size = (CM_PER_IN * dbh / _constant("ducey_base", region=region)) ** _constant("ducey_power", region=region)
    return back(trees * AC_PER_HA * one * size)


def stocking_pct(
    trees_per_ac: Any, mean_diameter_in: Any, quadratic_mean_diameter_in: Any, kind: str, *, region: Region
) -> Any:
    """Percent of full stocking by the tree area of one type (a row of stocking_tree_area.csv).

    Sum it over the species of a mixed stand. Same arguments as ``stocking_pct_gingrich_1967``; ``kind`` is the type.
    """
    rows = region.table("stocking_tree_area").set_index("type")
    if kind not in rows.index:
        raise InputError(f"there is no tree area for {kind!r}; there are {', '.join(rows.index)}")
    b = rows.loc[kind, ["b0", "b1_mean_diameter", "b2_quadratic_mean_diameter"]].to_numpy(dtype=float)
    (trees, mean, quadratic), back = numbers(
        trees_per_ac=trees_per_ac,
        mean_diameter_in=mean_diameter_in,
        quadratic_mean_diameter_in=quadratic_mean_diameter_in,
    )
    positive(mean_diameter_in=mean, quadratic_mean_diameter_in=quadratic)
    _not_negative(trees_per_ac=trees)
    return back(trees * (b[0] + b[1] * mean + b[2] * quadratic**2))


def stocking_pct_gingrich_1967(
    trees_per_ac: Any, mean_diameter_in: Any, quadratic_mean_diameter_in: Any, *, region: Region
) -> Any:
    """Percent of full stocking of an upland oak stand; 100 is the A line, unthinned stands.

    Parameters
    ----------
    trees_per_ac
        Trees [per ac].
    mean_diameter_in
        Arithmetic mean diameter [in].
    quadratic_mean_diameter_in
        Quadratic mean diameter [in].
    region
        Whose figures are used.

    Returns
    -------
    Percent, in the form of the arguments.

    Notes
    -----
    N x (-.00507 + .01698 mean + .00317 quadratic mean^2). One restatement prints .00307 for the last figure; two chart
    readings agree with .00317 only.

    Examples
    --------
    100 trees, both means 10 in: -.00507 + .1698 + .317 = .48173, times 100 is 48.2 %.

    >>> round(stocking_pct_gingrich_1967(100, 10, 10), 1)
    48.2

    Source: Gingrich 1967, as restated (gingrich_1967).
    """
    return stocking_pct(trees_per_ac, mean_diameter_in, quadratic_mean_diameter_in, OAK, region=region)


def line_basal_sqft_gingrich_1967(quadratic_mean_diameter_in: Any, line: str = "B", *, region: Region) -> Any:
    """Basal area of the A or B line of even-aged upland oak at a quadratic mean diameter [sq ft/ac].

    A: 100 % stocked. B: crowns at their widest just close. The mean diameter comes from the quadratic one.
    """
    if line not in ("A", "B"):
        raise InputError(f"a line is 'A' or 'B', not {line!r}")
    (quadratic,), back = numbers(quadratic_mean_diameter_in=quadratic_mean_diameter_in)
    mean = mean_diameter_in_gingrich_1967(quadratic, region=region)
    if line == "A":
        one_tree = stocking_pct_gingrich_1967(1.0, mean, quadratic, region=region)
    else:
        one_tree = stocking_pct(1.0, mean, quadratic, OAK_B_LINE, region=region)
    return back(basal_sqft(quadratic) * 100.0 / one_tree)


def structure_bdq(
    basal_area_sqft: float, max_dbh_in: float, q: float, class_width_in: float = 2, min_dbh_in: float = 6
) -> pd.DataFrame:
    """The uneven-aged stand with a wished basal area, largest diameter and ratio between classes.

    Parameters
    ----------
    basal_area_sqft
        Basal area of all classes together [sq ft/ac].
    max_dbh_in, min_dbh_in
        Middle of the largest and the smallest class [in].
    q
        Trees in a class over trees in the next larger one. It belongs to a class width: q of 1-inch classes is the
        root of q of 2-inch classes.
    class_width_in
        Width of a class [in].

    Returns
    -------
    Frame with class_in, trees_per_ac, basal_sqft_per_ac, smallest class first.

    Examples
    --------
    Classes 6 and 8, q 2, 10 sq ft: for one tree of 8 in there are two of 6: .3491 + 2 x .1963 = .7418 sq ft, so
    10/.7418 = 13.48 trees of 8 in and 26.96 of 6 in.

    >>> structure_bdq(10, 8, 2)["trees_per_ac"].round(2).tolist()
    [26.96, 13.48]
    """
    (basal, largest, ratio, width, smallest), _ = numbers(
        basal_area_sqft=basal_area_sqft,
        max_dbh_in=max_dbh_in,
        q=q,
        class_width_in=class_width_in,
        min_dbh_in=min_dbh_in,
    )
    if basal.ndim:
        raise InputError("a structure is made for one stand: plain numbers, no arrays")
    positive(basal_area_sqft=basal, max_dbh_in=largest, q=ratio, class_width_in=width, min_dbh_in=smallest)
    steps = float((largest - smallest) / width)
    if steps < 0 or abs(steps - round(steps)) > 1e-6:
        raise InputError(f"from {smallest:g} to {largest:g} in is no whole number of classes of {width:g} in")
    sizes = float(smallest) + float(width) * np.arange(round(steps) + 1)
    shape = float(ratio) ** np.arange(round(steps), -1, -1)
    trees = shape * float(basal) / float(np.sum(shape * basal_sqft(sizes)))
    return pd.DataFrame({"class_in": sizes, "trees_per_ac": trees, "basal_sqft_per_ac": trees * basal_sqft(sizes)})
