"""Why the ceiling of a stand is what it is, and what to mind of the growth behind it.

why        of a stand
cautions   of all of them
"""

from collections.abc import Mapping
from typing import Any

import numpy as np

from woodlot.estimate import Estimate, Reason, reason
from woodlot.plan import growth_rates
from woodlot.plan.what_grows import Grown
from woodlot.plan.woods import Woods
from woodlot.region import Region
from woodlot.stand import grow
from woodlot.stand.even_aged import outside_pine_limits

__all__ = ["cautions", "why"]


def why(row: Mapping[Any, Any], standing: Estimate | None, rule: str, operable: bool, shut: Reason | None) -> Reason:
    """Why the ceiling of a stand is what it is (a row of ``Yearly.table``).

    rule: why its cover is not cut; shut: that the family wishes no cut there.
    """
    if shut is not None:
        return shut
    if not row["salvage"] and row["way"] == "none":
        return reason("not cut by rule", rule=rule)
    if not operable:
        return reason("not worked")
    if row["cut_ac"] <= 0:
        return reason("no ground to work")
    if standing is None or standing.value is None:
        return reason("no plot here")
    if standing.value == 0:
        return reason("no wood on plots")
    if row["past_age"]:
        return reason("falling apart", cords=row["salvage_cords"])
    if row["salvage"] and not row["ceiling_cords_per_yr"] > 0:
        return reason("salvage only", cords=row["salvage_cords"], rule=rule)
    if row["inside"] and row["over"] < 1.0:
        return reason("below stocking")
    cords = row["ceiling_cords_per_yr"]
    if row["wide"]:
        return reason("few plots", cords=cords, plots=standing.n, standing=standing)
    return reason("cut by area", cords=cords) if row["by_area"] else reason("at most", cords=cords)


def cautions(woods: Woods, of: Grown, growth: np.ndarray, at: np.ndarray, *, region: Region) -> tuple[Reason, ...]:
    """What to mind of the growth of the stands ``at``; growth: what all of it grows, by draw [cords/yr]."""
    backed = woods.stands["backed"].to_numpy(dtype=bool)
    out: list[Reason] = []
    if at.any():
        most = region.figure("defaults_cut", "most_cords_per_ac_yr")
        fast = float(np.median(growth)) > most * float(of.acres[at].sum())
        out += [reason("growth too fast", most_cords=most)] if fast else []
        out += [] if backed[at].all() else [reason("some without cores")]
    return (*out, *_outside(woods, of, region=region))


def _outside(woods: Woods, of: Grown, *, region: Region) -> list[Reason]:
    """Stands whose growth is held or lies beside published growth, and pine beyond its equation."""
    today, path = woods.stands.reset_index(drop=True), of.path
    ids = today["stand_id"].to_numpy(dtype=object)
    tabled = (today["way"] == "stand table").to_numpy()
    net = np.where(tabled, (path.survivor + path.ingrowth - path.mortality).mean(axis=0), np.nan)
    basal = np.where(tabled, of.basal, np.nan)
    density = np.where(tabled, grow.relative_density(woods.trees, woods.sg, region=region), np.nan)
    backed = today["backed"].to_numpy(dtype=bool)
    band = grow.outside_band(list(ids), net, basal, density, backed, region=region)
    whole_pct = 100.0 * float((of.stock * of.rates[1])[of.known].sum() / max(of.stock[of.known].sum(), 1e-9))
    band += growth_rates.outside_bands(today, whole_pct, region=region)
    pines, main = (today["way"] == "pine").to_numpy(), today["main"].to_numpy()
    of_stand = (today[name].to_numpy() for name in ("basal", "age_yr", "site_index_ft"))
    beyond = ids[pines & outside_pine_limits(*of_stand, region=region)]
    other = ids[pines & (main != "red pine")]
    band += [reason("beyond pine equation", stands=tuple(beyond))] if len(beyond) else []
    return band + ([reason("pine as red pine", stands=tuple(other))] if len(other) else [])
