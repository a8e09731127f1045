"""What ``woodlot grow`` shows: plain rows from what the chapters found.

grown   rows and the uncut path
"""

from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from woodlot.answers.cut_verb import memory_notes
from woodlot.estimate import Estimate
from woodlot.plan import woods as going_on
from woodlot.plan.ceilings import Yearly
from woodlot.plan.woods import Woods
from woodlot.region import Region
from woodlot.say import days, words
from woodlot.say.cut import since_plots_words
from woodlot.say.reasons import said
from woodlot.tree.growth import growth_default

__all__ = ["grown"]


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
    out = rows[["stand_id", "parcel_id", "cover", "way", "acres", "seasons", "cores", "cut_cords"]].copy()
    out["words"] = [since_plots_words(row) for row in rows.to_dict("records")]
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
    notes = [*map(said, ceilings.cautions), *map(said, woods.left_out)]
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
