"""What the verbs ``grow`` and ``cut`` show: plain rows from what the chapters found.

grown   rows and the uncut path of ``woodlot grow``
cut     ceilings, plan and jobs of ``woodlot cut``
job_sheets  jobs of this winter with trees by size and their stocking guide, for the report
memory_notes  figures known from memory only
"""

from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Estimate
from woodlot.plan import charts
from woodlot.plan import woods as going_on
from woodlot.plan.ceilings import CEILINGS, Yearly
from woodlot.plan.woods import Woods
from woodlot.region import Region
from woodlot.say import reasons, words
from woodlot.story import days
from woodlot.story.cutting import Cutting
from woodlot.tree.growth import growth_default

__all__ = ["cut", "grown", "job_sheets", "memory_notes"]


def grown(
    woods: Woods,
    ceilings: Yearly,
    years: int,
    as_of: date,
    parcel: str | None = None,
    stand: str | None = None,
    *,
    region: Region,
) -> dict[str, Any]:
    """Rows of ``woodlot grow``: stands (frame), growth (Estimate or None), path (frame of cords by year), notes; words
    on the day its cords stand for, as against the plots, and ``before``: that the day asked comes before plots.
    """
    rows = woods.stands.reset_index(drop=True)
    paths = {c: going_on.run(woods, years, c, region=region) for c in going_on.CASES}
    here = _wanted(rows, parcel, stand)
    out = rows[["stand_id", "parcel_id", "cover", "way", "acres", "seasons", "cores", "cut_cords", "words"]].copy()
    out["basal_sqft_per_ac"], out["later_sqft_per_ac"] = rows["basal"], paths["mid"].basal[-1]
    out["cords"], out["cords_then"] = rows["cords"] * rows["acres"], rows["cords_then"] * rows["acres"]
    out.loc[rows["bare"], ["basal_sqft_per_ac", "later_sqft_per_ac"]] = np.nan
    for part in ("low", "value", "high"):
        out[f"growth_{'mid' if part == 'value' else part}"] = [_part(e, part) for e in ceilings.table["grows"]]
    out["cores"] = out["cores"].astype(int)
    acres = rows["acres"].to_numpy() * (here & ~rows["bare"].to_numpy())
    every = max(1, years // 5)
    at = [*range(0, years, every), years]
    path = pd.DataFrame({"year": at})
    for case, run in paths.items():
        path[case] = (np.nan_to_num(run.cords) @ acres)[at]
    whole = ceilings.whole["grows"] if parcel is None and stand is None else None
    notes = [*ceilings.cautions, *woods.stands.attrs.get("left_out", [])]
    if years > growth_default("horizon_yr", region=region):
        notes.append(
            f"Beyond {growth_default('horizon_yr', region=region):g} years this is a scenario, not a forecast."
        )
    notes += memory_notes(woods, region=region)
    told = (rows["cut_cords"] > 0) | rows["bare"] | rows["young"]
    notes += [f"Stand {s}: {w}" for s, w in zip(out["stand_id"][told & here], out["words"][told & here], strict=True)]
    with_plots = rows[here & rows["cords_then"].notna()]
    return {
        "stands": out[here].reset_index(drop=True),
        "growth": whole,
        "path": path,
        "notes": notes,
        "before": days.before_words(with_plots["stand_id"].tolist(), with_plots["measured_on"], as_of),
        "words": _today(out[here], with_plots["measured_on"], as_of),
    }


def _today(out: pd.DataFrame, measured_on: pd.Series, as_of: date) -> str:
    """On which day the cords stand, and why they are not those of ``woodlot scale``."""
    now, then, cut_since = (float(np.nansum(out[name])) for name in ("cords", "cords_then", "cut_cords"))
    found = f"The plots found {words.amount(then, 'cords')} {days.measured_words(measured_on)}".rstrip()
    if not (out["seasons"] > 0).any() and cut_since == 0:
        early = bool((pd.to_datetime(measured_on) > pd.Timestamp(as_of)).any())
        return f"{found}." if early else f"{found}; no season has passed since, so these are today's cords too."
    less = f", less {words.amount(cut_since, 'cords')} cut since" if cut_since > 0 else ""
    return (
        f"Cords are those of {words.month_day_year(as_of)}: {words.amount(now, 'cords')}. {found}, which is what "
        f"woodlot scale shows; growth since then is added{less}."
    )


def memory_notes(woods: Woods, region: Region) -> list[str]:
    """Which figures behind this growth are known from memory only, in words."""
    rows = region.table("growth_anchors").set_index("species")["seen"]
    past = [s for s in woods.species if rows.get(s) == "memory"]
    out = [f"From memory (m): growth of {', '.join(past)}; cores of your own take its place."] if past else []
    for way, words_of in (("pine", "the growth equation of pine"), ("aspen", "the stocking of full aspen")):
        if (woods.stands["way"] == way).any():
            out.append(f"From memory (m): {words_of}, and the site curve it stands on.")
    return out


def _part(e: Estimate | None, part: str) -> float:
    value = None if e is None else getattr(e, part)
    return np.nan if value is None else float(value)


def _wanted(rows: pd.DataFrame, parcel: str | None, stand: str | None) -> np.ndarray:
    out = np.ones(len(rows), dtype=bool)
    if parcel is not None:
        out &= (rows["parcel_id"] == parcel).to_numpy()
    if stand is not None:
        out &= (rows["stand_id"] == stand).to_numpy()
    return out


def cut(found: Cutting, parcel: str | None = None, stand: str | None = None, *, region: Region) -> dict[str, Any]:
    """Rows of ``woodlot cut``: headline, ceilings, stands, entries, periods, words, jobs, notes."""
    table = found.yearly.table.reset_index(drop=True)
    here = _wanted(table, parcel, stand)
    out = found.growing.drop(columns=["growth"]).copy()
    for name in (*CEILINGS, "smallest"):
        for part in ("low", "value", "high"):
            out[f"{name}_{'mid' if part == 'value' else part}"] = [_part(e, part) for e in table[name]]
    out["entry_cords"], out["over"] = table["entry_cords"], table["over"]
    out["keeps"] = [_marked(v, s) for v, s in zip(table["leave_sqft_per_ac"], table["leave_seen"], strict=True)]
    out = out[here].reset_index(drop=True)
    ids = set(out["stand_id"])
    whole = found.yearly.whole if parcel is None else found.yearly.parcels.get(parcel, found.yearly.whole)
    limit = float(out["ceiling_cords_per_yr"].sum())
    schedule = found.schedule
    headline = (
        f"At most {words.amount(limit, 'full cords')} a year, the lower end of what these ceilings allow."
        if limit > 0
        else "Nothing this year. No stand here is over the stocking it should keep and measured well enough."
    )
    return {
        "headline": f"{headline} {schedule.stopped}".strip(),
        "ceilings": {**whole, "bdft": whole.get("bdft", found.yearly.whole["bdft"])},
        "limit_cords_per_yr": limit,
        "stands": out,
        "entries": schedule.entries[schedule.entries["stand_id"].isin(ids)].reset_index(drop=True),
        "periods": schedule.periods,
        "stock": schedule.stock,
        "words": schedule.words,
        "jobs": [
            one | {"classes": _classes(one["trees"]), "keep": [reasons.said(kept) for kept in one["keep"]]}
            for one in found.jobs
            if one["stand_id"] in ids
        ],
        "notes": [*found.yearly.cautions, *memory_notes(found.woods, region=region)],
    }


def job_sheets(found: Cutting, *, region: Region) -> list[dict[str, Any]]:
    """Jobs of this winter, each with ``classes`` (one row a size) and ``guide`` (its stocking chart, None in aspen)."""
    if not found.jobs:
        return []
    guides = charts.stocking_charts(found.woods, found.yearly, region=region)
    return [
        {k: v for k, v in one.items() if k != "trees"}
        | {"classes": _classes(one["trees"]), "guide": guides.get(one["stand_id"])}
        | {"keep": [reasons.said(kept) for kept in one["keep"]]}
        for one in found.jobs
    ]


def _marked(leave: float, seen: str) -> str:
    """Basal area to keep with the mark of a figure from memory."""
    return "" if np.isnan(leave) else f"{leave:.0f}{' †' if seen == 'memory' else ''}"


def _classes(trees: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """One row a size: trees now, trees to take, and of which kinds."""
    frame = pd.DataFrame(trees, columns=["species", "class_in", "now", "cut", "leave", "words"])
    out = []
    for size, rows in frame.groupby("class_in", sort=True):
        taken = rows[rows["words"] != "leave all"]
        kinds = ", ".join(
            f"{s} ({w.removeprefix('take ')})" for s, w in zip(taken["species"], taken["words"], strict=True)
        )
        told = {"class_in": int(float(str(size))), "now": float(rows["now"].sum()), "cut": float(rows["cut"].sum())}
        out.append(told | {"species": kinds})
    return out[::-1]
