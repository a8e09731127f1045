"""The job of this year: in which stand, how many trees of which size and kind, what they give, when, and how far away.

jobs           one mapping a stand that is cut this winter
ft_from_road   how far each stand lies from the nearest road or landing
"""

from typing import Any

import numpy as np
import pandas as pd

from woodlot.plan import cautions
from woodlot.plan.ceilings import Yearly
from woodlot.plan.scheduled import Scheduled
from woodlot.plan.woods import Woods
from woodlot.region import Region
from woodlot.say import words
from woodlot.stand import grow, marking
from woodlot.trade import ROADS

__all__ = ["ft_from_road", "jobs"]

#: Fewer trees than this of a kind and size on the acres worked are not listed.
LEAST_TREES = 0.05


def ft_from_road(stands: Any, features: Any) -> pd.Series:
    """Feet from the edge of each stand to the nearest road or landing drawn, by stand_id; missing where none is."""
    from woodlot.land.parcels import local_ft

    ids = stands["stand_id"].astype(str)
    ways = features[features["kind"].isin(ROADS)] if len(features) else features
    if not len(ways):
        return pd.Series(np.nan, index=ids)
    both = pd.concat([stands[["geometry"]], ways[["geometry"]]], ignore_index=True)
    flat = local_ft(both.geometry)
    ground, roads = flat.iloc[: len(stands)], flat.iloc[len(stands) :]
    return pd.Series(ground.distance(roads.union_all()).to_numpy(), index=ids)


def jobs(
    woods: Woods,
    yearly: Yearly,
    told: Scheduled,
    stands: pd.DataFrame,
    trees: pd.DataFrame,
    miles: pd.Series | None = None,
    road_ft: pd.Series | None = None,
    *,
    region: Region,
) -> list[dict[str, Any]]:
    """What is to be done this winter, stand by stand, the largest first.

    Parameters
    ----------
    woods, yearly, told
        ``to_day.bring_forward``, ``yearly.yearly_cut``, ``scheduled.scheduled``.
    stands
        stand_id, frozen_ground_only.
    trees
        Tallied trees (stand_id, species, alive): what to mind depends on them.
    miles, road_ft
        Miles from home and feet from the road, by stand_id; missing where not known.
    region
        Region whose tables are used.

    Returns
    -------
    List of stand_id, acres, cords, bdft, days, way, leave_sqft_per_ac, leave_seen, trees_to_cut, trees (list of
    species, class_in, now, cut, leave - numbers on those acres - and words), keep (Reasons), months, months_why,
    cautions, miles_from_home, ft_from_road, words.
    """
    ids = woods.stands["stand_id"].tolist()
    first = told.entries[told.entries["period"] == 0]
    out = []
    for entry in first.to_dict("records"):
        k = ids.index(entry["stand_id"])
        row = yearly.table.iloc[k]
        guide = _guide(woods, k, row, entry["acres"], region=region)
        here = trees[trees["stand_id"] == entry["stand_id"]]
        frozen = bool(stands["frozen_ground_only"].fillna(False).iloc[k]) if "frozen_ground_only" in stands else False
        far = np.nan if miles is None else float(miles.get(entry["stand_id"], np.nan))
        road = np.nan if road_ft is None else float(road_ft.get(entry["stand_id"], np.nan))
        months, why = _months(here, frozen, row["way"], region)
        minding = cautions.of_stand(here, frozen, far, region)
        one = {
            "stand_id": entry["stand_id"],
            "acres": float(entry["acres"]),
            "cords": float(entry["cords"]),
            "bdft": float(entry["bdft"]),
            "days": float(entry["days"]),
            "way": row["way"],
            "leave_sqft_per_ac": None if pd.isna(row["leave_sqft_per_ac"]) else float(row["leave_sqft_per_ac"]),
            "leave_seen": row["leave_seen"],
            "trees_to_cut": float(guide["cut"].sum()),
            "trees": guide.to_dict("records"),
            "keep": marking.trees_kept(region=region) if row["way"] == "thin" else [],
            "months": months,
            "months_why": why,
            "cautions": [*minding.values(), cautions.words("felling", region), cautions.words("line", region)],
            "miles_from_home": None if np.isnan(far) else far,
            "ft_from_road": None if np.isnan(road) else road,
        }
        out.append(one | {"words": _said(one)})
    return out


def _guide(woods: Woods, k: int, row: pd.Series, acres: float, *, region: Region) -> pd.DataFrame:
    """Trees now, to cut and to leave on the acres that are worked, by species and class."""
    n = woods.trees[:, :, k]
    if row["way"] == "patches":
        s, c = np.nonzero(n > 0)
        out = pd.DataFrame(
            {"species": np.array(woods.species, dtype=object)[s], "class_in": grow.classes(region=region)[c]}
        )
        out["now"] = out["cut"] = n[s, c]
        out["leave"], out["words"] = 0.0, "take all"
    else:
        ill = [s for s, d in zip(woods.species, woods.deaths[:, k], strict=True) if d > 0]
        leave = float(row["leave_sqft_per_ac"])
        goal = marking.structure_for(str(row["cover"]), leave, region=region)
        out = marking.marking_guide(
            n, woods.species, leave, marking.rules_for(woods.species, ill, region=region), goal, region=region
        )
    out = out[["species", "class_in", "now", "cut", "leave", "words"]].copy()
    out[["now", "cut", "leave"]] *= acres
    return out[out["now"] >= LEAST_TREES].reset_index(drop=True)


def _months(here: pd.DataFrame, frozen: bool, way: str, region: Region) -> tuple[str, str]:
    oak = here["species"].str.split().str[-1].eq("oak").any()
    when = "frozen" if frozen else "oak" if oak and way == "thin" else "patches" if way == "patches" else "any"
    row = region.table("job_months").set_index("when").loc[when]
    told = row["why"]
    return str(row["months"]), told if isinstance(told, str) else ""


def _said(one: dict[str, Any]) -> str:
    cords, ac = words.amount(one["cords"], "cords"), words.amount(one["acres"], "acres")
    logs = f", {words.amount(one['bdft'], 'board feet')} of it in logs" if one["bdft"] >= 50 else ""
    told = f"Stand {one['stand_id']}: {cords} from {ac}{logs}; about {one['trees_to_cut']:.0f} trees"
    told += f", {words.amount(one['days'], 'days')} of work. {one['months']}."
    if one["miles_from_home"]:
        told += f" {words.amount(one['miles_from_home'], 'miles')} from home."
    if one["ft_from_road"] is not None:
        told += f" {one['ft_from_road']:.0f} feet from the road." if one["ft_from_road"] >= 1 else " Along the road."
    return told
