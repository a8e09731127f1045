"""Stocking charts as data: the guide's lines for a cover, and a stand on them over the years.

guide_lines      lines of basal area over mean diameter, each with its mark
full_basal_sqft  basal area of a full stand by the guide of its cover: the upper line
stocking_chart   lines and points as plain lists, to be drawn elsewhere
"""

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from woodlot.covers import said_of
from woodlot.region import Region
from woodlot.stand.stocking import (
    line_basal_sqft_gingrich_1967,
    quadratic_mean_diameter_in,
    relative_density_ducey_2010,
)
from woodlot.units import basal_sqft

__all__ = ["full_basal_sqft", "guide_lines", "stocking_chart"]

SIZES = np.arange(4.0, 21.0)


def guide_lines(cover: str, wood_sg: float, species: str = "", *, region: Region) -> list[dict[str, Any]]:
    """Lines of a stocking guide.

    Parameters
    ----------
    cover
        Cover of the stand.
    wood_sg
        Specific gravity of its wood, mean over its basal area.
    species
        Main species; white pine has a published upper line.
    region
        Whose figures are used.

    Returns
    -------
    List of line ("A", "B", "density" or "white pine"), share (of full density, else None), seen (mark) and points, a
    list of (quadratic mean diameter [in], basal area [sq ft/ac]).

    Notes
    -----
    The oak lines: A and B of Gingrich 1967. White pine: an upper line read off a chart. All others: relative density
    of Ducey and Knapp 2010, trees of one size, at the bands of stocking_bands.csv (chosen).
    """
    if said_of([cover], "guide", region)[0] == "oak lines":
        return [
            _line(line, None, seen, line_basal_sqft_gingrich_1967(SIZES, line, region=region))
            for line, seen in (("A", "read 2nd-hand"), ("B", "memory"))
        ]
    one = np.asarray(relative_density_ducey_2010(SIZES, 1.0, wood_sg, region=region))
    full = np.asarray(basal_sqft(SIZES)) / one
    bands = region.table("stocking_bands")
    at = {float(v) for v in bands["from_share"] if v > 0} | {1.0}
    out = [_line("density", share, "chosen", share * full) for share in sorted(at, reverse=True)]
    if species == "eastern white pine":
        rows = region.table("stocking_upper_lines")
        points = rows[["mean_dbh_in", "basal_sqft_per_ac"]].to_numpy(dtype=float).tolist()
        out.append({"line": "white pine", "share": None, "seen": str(rows["seen"].iloc[0]), "points": points})
    return out


def full_basal_sqft(cover: str, quadratic_mean_diameter_in: Any, wood_sg: float, *, region: Region) -> Any:
    """Basal area of a full stand by the guide of its cover [sq ft/ac].

    Parameters
    ----------
    cover
        Cover of the stand.
    quadratic_mean_diameter_in
        Quadratic mean diameter [in].
    wood_sg
        Specific gravity of its wood, mean over its basal area.
    region
        Whose figures are used.

    Returns
    -------
    Square feet an acre, in the form of the diameter: the A line of Gingrich 1967 where the oak lines are its
    guide, a relative density of 1 by Ducey and Knapp 2010 for all others.
    """
    if said_of([cover], "guide", region)[0] == "oak lines":
        return line_basal_sqft_gingrich_1967(quadratic_mean_diameter_in, "A", region=region)
    return basal_sqft(quadratic_mean_diameter_in) / relative_density_ducey_2010(
        quadratic_mean_diameter_in, 1.0, wood_sg, region=region
    )


def _line(line: str, share: float | None, seen: str, basal: Any) -> dict[str, Any]:
    points = np.column_stack([SIZES, np.asarray(basal, dtype=float)]).tolist()
    return {"line": line, "share": share, "seen": seen, "points": points}


def stocking_chart(
    cover: str, wood_sg: float, states: Iterable[Mapping[str, Any]], species: str = "", *, region: Region
) -> dict[str, Any]:
    """A stand on its stocking guide.

    ``states`` are mappings with when ("today", "after the cut", "in 10 years"), basal [sq ft/ac] and stems [trees/ac].
    Returns lines (``guide_lines``) and points: when, qmd_in, basal, stems.
    """
    points = []
    for state in states:
        basal, stems = float(state["basal"]), float(state["stems"])
        size = float(quadratic_mean_diameter_in(basal, stems)) if stems > 0 else None
        points.append({"when": str(state["when"]), "qmd_in": size, "basal": basal, "stems": stems})
    return {"lines": guide_lines(cover, wood_sg, species, region=region), "points": points}
