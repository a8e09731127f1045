"""What single verbs show: parts of the story as tables, ready to be said. No arithmetic but rounding into words."""

from typing import Any

import pandas as pd

from woodlot.estimate import Estimate
from woodlot.say import reasons, words
from woodlot.season import Season
from woodlot.stand import cruise

__all__ = ["cruised", "drawn", "ground_words"]

#: Acres under this are not spoken of.
LEAST_AC = 0.05


def ground_words(acres: float, acres_with_plots: float, acres_without: float, acres_no_parcel: float = 0.0) -> str:
    """How many acres stand behind the numbers."""
    if acres < LEAST_AC:
        return "No stand is drawn yet, so no wood can be counted."
    lost = ""
    if acres_no_parcel >= LEAST_AC:
        part = "All" if acres - acres_no_parcel < LEAST_AC else f"{acres_no_parcel:,.1f}"
        lost = f" {part} of the {acres:,.1f} lie outside every parcel and stand in no parcel's number."
    if acres_with_plots < LEAST_AC:
        return f"None of the {acres:,.1f} acres has a plot yet.{lost}"
    if acres_without < LEAST_AC:
        return f"All {acres:,.1f} acres have plots.{lost}"
    have = f"{acres_with_plots:,.1f} of {acres:,.1f} acres have plots"
    return f"{have}; {acres_without:,.1f} have none and are left out.{lost}"


def _picked(frame: pd.DataFrame, parcel: str | None, stand: str | None) -> pd.DataFrame:
    keep = pd.Series(True, frame.index)
    if parcel is not None:
        keep &= frame["parcel_id"] == parcel
    if stand is not None:
        keep &= frame["stand_id"] == stand
    return frame[keep]


def _number(estimate: Estimate | None) -> str:
    return "" if estimate is None or estimate.value is None else words.rounded(estimate.value, estimate.unit)


def _range(estimate: Estimate | None) -> str:
    return words.bare_range(reasons.plain(estimate))


def cruised(season: Season, parcel: str | None, stand: str | None, within_pct: float) -> dict[str, Any]:
    """What the plots say, stand by stand; plots still to measure; trees by species and class."""
    stood, level = season.standing, season.level
    rows = _picked(season.measured.stands.drop(columns="geometry"), parcel, stand).merge(stood.stands, on="stand_id")
    cords = stood.per_ac[stood.per_ac["what"] == "cords"]
    shared = float(stood.volume_cv.max()) if len(stood.volume_cv) else 0.0
    more = (
        cruise.plots_still(cords, within_pct, shared, level, region=season.place.region).set_index("stand_id")
        if len(cords)
        else pd.DataFrame()
    )
    basal, trees = stood.each_ac["basal_sqft"], stood.each_ac["trees"]
    rows["basal"] = [_number(basal.get(s)) for s in rows["stand_id"]]
    rows["basal_range"] = [_range(basal.get(s)) for s in rows["stand_id"]]
    rows["trees"] = [_number(trees.get(s)) for s in rows["stand_id"]]
    still = rows["stand_id"].map(more["still"]) if len(more) else pd.Series(pd.NA, rows.index)
    rows["still"] = ["-" if pd.isna(n) else str(int(n)) for n in still]
    table = stood.table[stood.table["stand_id"].isin(rows["stand_id"])]
    seen = set(rows["stand_id"])
    remarks = [f"Stand {s}: {reasons.said(e.why)}." for s, e in basal.items() if s in seen and e.low is None and e.why]
    remarks += [w for s, w in zip(stood.edges["stand_id"], stood.edges["words"], strict=True) if w and s in seen]
    return {
        "name": season.place.name,
        "as_of": season.day,
        "level": level,
        "within_pct": within_pct,
        "ground": stood.ground,
        "stands": [
            {
                "stand_id": r["stand_id"],
                "parcel_id": r["parcel_id"],
                "cover": r["cover"],
                "acres": r["acres"],
                "plots": r["plots"],
                "empty_plots": r["empty_plots"],
                "measured_on": r["measured_on"],
                "how": r["how"],
                "basal_sqft_per_ac": reasons.plain(basal.get(r["stand_id"])),
                "basal_se_sqft_per_ac": r["basal_se"],
                "trees_per_ac": reasons.plain(trees.get(r["stand_id"])),
                "qmd_in": r["qmd_in"],
                "relative_density": r["relative_density"],
                "dead_trees_per_ac": r["dead_trees_per_ac"],
                "plots_still": None if r["still"] == "-" else int(r["still"]),
            }
            for r in rows.to_dict("records")
        ],
        "stand_table": table,
        "rows": rows,
        "remarks": remarks,
    }


def drawn(plan: Season) -> dict[str, Any]:
    """What the map draws beside the answers: outlines, features with the strips along water, pictures, contours."""
    shapes = plan.place.features
    if len(plan.seen.strips):
        strips = plan.seen.strips.assign(kind="water_strip")
        shapes = pd.concat(
            [shapes, strips[[c for c in ("kind", "name", "geometry") if c in strips]]], ignore_index=True
        )
    views: dict[str, dict[str, Any]] = {}
    for pid, picture in plan.backdrop.pictures.items():
        views.setdefault("ground" if picture["what"] == "shade" else "air", {})[pid] = picture
    return {
        "parcels": plan.measured.parcels,
        "stands": plan.measured.stands,
        "features": shapes,
        "pictures": views,
        "contours": plan.backdrop.contours,
    }
