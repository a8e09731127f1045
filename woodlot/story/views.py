"""What single verbs show: parts of the story as tables, ready to be said. No arithmetic but rounding into words."""

from datetime import date
from typing import Any

import pandas as pd

from woodlot import words
from woodlot.season import Season
from woodlot.stand import cruise
from woodlot.story import days

__all__ = ["brief", "cruised", "drawn", "flat", "ground_words", "risk_rows", "scaled", "spread", "take_words"]

#: Acres under this are not spoken of.
LEAST_AC = 0.05


def ground_words(ground: dict[str, float]) -> str:
    """How many acres stand behind the numbers."""
    if ground["acres"] < LEAST_AC:
        return "No stand is drawn yet, so no wood can be counted."
    away, lost = ground.get("acres_no_parcel", 0.0), ""
    if away >= LEAST_AC:
        part = "All" if ground["acres"] - away < LEAST_AC else f"{away:,.1f}"
        lost = f" {part} of the {ground['acres']:,.1f} lie outside every parcel and stand in no parcel's number."
    if ground["acres_with_plots"] < LEAST_AC:
        return f"None of the {ground['acres']:,.1f} acres has a plot yet.{lost}"
    if ground["acres_without"] < LEAST_AC:
        return f"All {ground['acres']:,.1f} acres have plots.{lost}"
    said = f"{ground['acres_with_plots']:,.1f} of {ground['acres']:,.1f} acres have plots"
    return f"{said}; {ground['acres_without']:,.1f} have none and are left out.{lost}"


def _picked(frame: pd.DataFrame, parcel: str | None, stand: str | None) -> pd.DataFrame:
    keep = pd.Series(True, frame.index)
    if parcel is not None:
        keep &= frame["parcel_id"] == parcel
    if stand is not None:
        keep &= frame["stand_id"] == stand
    return frame[keep]


def _number(estimate: Any) -> str:
    return "" if estimate is None or estimate.value is None else words.rounded(estimate.value, estimate.unit)


def spread(told: dict[str, Any]) -> str:
    """The two ends of a range, or nothing where there is none."""
    return "" if told["low"] is None else words.bare_range(told)


def _range(estimate: Any) -> str:
    return "" if estimate is None else spread(words.plain(estimate))


def cruised(season: Season, parcel: str | None, stand: str | None, within_pct: float) -> dict[str, Any]:
    """What the plots say, stand by stand; plots still to measure; trees by species and class."""
    stood, level = season.standing, season.level
    rows = _picked(season.measured.stands.drop(columns="geometry"), parcel, stand).merge(stood.stands, on="stand_id")
    cords = stood.per_ac[stood.per_ac["what"] == "cords"]
    shared = float(stood.volume_cv.max()) if len(stood.volume_cv) else 0.0
    more = cruise.plots_still(cords, within_pct, shared, level).set_index("stand_id") if len(cords) else pd.DataFrame()
    basal, trees = stood.each_ac["basal_sqft"], stood.each_ac["trees"]
    rows["basal"] = [_number(basal.get(s)) for s in rows["stand_id"]]
    rows["basal_range"] = [_range(basal.get(s)) for s in rows["stand_id"]]
    rows["trees"] = [_number(trees.get(s)) for s in rows["stand_id"]]
    still = rows["stand_id"].map(more["still"]) if len(more) else pd.Series(pd.NA, rows.index)
    rows["still"] = ["-" if pd.isna(n) else str(int(n)) for n in still]
    table = stood.table[stood.table["stand_id"].isin(rows["stand_id"])]
    seen = set(rows["stand_id"])
    remarks = [f"Stand {s}: {e.why}." for s, e in basal.items() if s in seen and e.low is None and e.why]
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
                "basal_sqft_per_ac": words.plain(basal.get(r["stand_id"])),
                "basal_se_sqft_per_ac": r["basal_se"],
                "trees_per_ac": words.plain(trees.get(r["stand_id"])),
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


def scaled(out: dict[str, Any], parcel: str | None, stand: str | None) -> dict[str, Any]:
    """Cords, board feet and species out of ``answers.counted``, for one parcel or stand or all of them."""
    stands = [
        s
        for s in out["stands"]
        if (parcel is None or s["parcel_id"] == parcel) and (stand is None or s["stand_id"] == stand)
    ]
    named = ("cords_per_ac", "cords", "sawlog_cords", "firewood_cords", "bdft")
    kept = ("stand_id", "parcel_id", "cover", "acres", "plots", "how", "measured_on", "dead_cords_per_ac", "species")
    told: dict[str, Any] = {
        "name": out["name"],
        "as_of": out["as_of"],
        "level": out["level"],
        **out["base"],
        "stands": [{k: s[k] for k in (*kept, *named)} for s in stands],
    }
    seen = [s for s in stands if s["measured_on"]]
    days_of, as_of = pd.Series([s["measured_on"] for s in seen], dtype=object), date.fromisoformat(out["as_of"])
    told["before"] = days.before_words([s["stand_id"] for s in seen], days_of, as_of)
    told["measured"] = days.measured_words(days_of)
    if stand is None:
        told["parcels"] = [
            {k: p[k] for k in ("parcel_id", "name", "acres", "cords")}
            for p in out["parcels"]
            if parcel is None or p["parcel_id"] == parcel
        ]
    if stand is None and parcel is None:
        told["totals"] = out["totals"]
        told["species"] = out["species"]
    return told


def brief(told: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows with their cords as number and range in words, for a table on the screen."""

    def said(one: dict[str, Any] | None) -> str:
        return "" if not one or one["value"] is None else words.rounded(one["value"], one["unit"])

    out = []
    for row in told:
        cords = row["cords"]
        parts = {"per_ac": "cords_per_ac", "sawlog": "sawlog_cords", "firewood": "firewood_cords"}
        more = {short: said(row.get(long)) for short, long in parts.items()}
        why = "" if cords["low"] is not None else cords["why"]
        out.append(row | more | {"cords": said(cords), "range": spread(cords), "why": why})
    return out


def flat(told: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Rows with each estimate as columns value, low and high, unit in the name, for CSV."""
    out = []
    for row in told:
        one: dict[str, Any] = {}
        for key, value in row.items():
            if isinstance(value, dict) and {"value", "low", "high"} <= value.keys():
                one |= {key: value["value"], f"{key}_low": value["low"], f"{key}_high": value["high"]}
            elif not isinstance(value, (list, dict)):
                one[key] = value
        out.append(one)
    return out


def take_words(take: dict[str, Any]) -> str:
    """Does and bucks at most, in one line."""
    if not take["measured"]:
        return "Not measured enough to name does or bucks."
    counts = ((take["does"], "does"), (take["bucks"], "bucks"))
    some = [words.amount(float(n), unit) for n, unit in counts if n]
    return f"{' and '.join(some)} at most this season." if some else "None this season."


def risk_rows(risk: dict[str, Any]) -> list[dict[str, Any]]:
    """Takes against chances in 100 as words, and a last row without any hunting."""

    def said(one: dict[str, float]) -> str:
        low, value, high = (round(100 * one[k]) for k in ("low", "value", "high"))
        return f"{value} ({low} to {high})"

    keys = ("halved_5", "halved_10", "under_goal_10")
    rows = [
        {"does": str(r["does"]), "falls": said(r["falls_next"])} | {k: said(r[k]) for k in keys} for r in risk["takes"]
    ]
    none = {k: str(round(100 * v)) for k, v in risk["no_hunting"].items()}
    return [*rows, {"does": "no hunt", "falls": none["falls_next"]} | {k: none[k] for k in keys}]


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
