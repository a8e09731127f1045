"""Charts of growth and the cut as plain data: stock over the years, and each stand on its stocking guide.

stock_chart      cords standing over the years of a plan, and uncut by low, middle and high growth
stocking_charts  each stand that can be thinned: today, after a cut, in 10 and 20 years
"""

from typing import Any

import numpy as np

from woodlot.plan.scheduled import Scheduled
from woodlot.plan.woods import CASES, Woods, run
from woodlot.plan.yearly import Yearly
from woodlot.stand import grow, guides
from woodlot.units import basal_sqft

__all__ = ["stock_chart", "stocking_charts"]

LATER = (10, 20)


def stock_chart(woods: Woods, told: Scheduled) -> dict[str, Any]:
    """Stock over the years of a plan as plain data.

    Returns x and y (what the axes say), years, planned (cords standing if the plan is done, with middle growth), and
    uncut_low, uncut_mid, uncut_high (if nothing is cut, by low, middle and high growth).
    """
    years = len(told.stock) - 1
    acres = woods.stands["acres"].to_numpy()
    uncut = {f"uncut_{c}": (np.nan_to_num(run(woods, years, c).cords) @ acres).tolist() for c in CASES}
    return {
        "x": "year",
        "y": "cords standing",
        "years": [int(y) for y in told.stock["year"]],
        "planned": told.stock["cords"].tolist(),
        **uncut,
    }


def stocking_charts(woods: Woods, yearly: Yearly) -> dict[str, dict[str, Any]]:
    """Each stand that can be thinned on the guide of its cover, by stand_id (``stand.guides.stocking_chart``).

    The points are today, after the cut (where the stand is over what it should keep; a third at most), and 10 and 20
    years later with middle growth and no cut between.
    """
    table = yearly.table.reset_index(drop=True)
    k = np.flatnonzero(((table["way"] == "thin") & (woods.stands["basal"].to_numpy() > 0)).to_numpy())
    if not len(k):
        return {}
    leave = np.full((max(LATER), len(k)), np.nan)
    leave[0] = np.where(table["over"].to_numpy(dtype=float)[k] >= 1.0, table["leave_sqft_per_ac"].to_numpy()[k], np.nan)
    told = run(woods, max(LATER), "mid", k, leave)
    b = basal_sqft(grow.classes())
    of = np.tensordot(woods.trees, b, axes=([1], [0]))
    gravity = (of * woods.sg[:, None]).sum(axis=0) / np.where(of.sum(axis=0) > 0, of.sum(axis=0), 1.0)
    out = {}
    for j, stand in enumerate(k):
        row = woods.stands.iloc[stand]
        states = [{"when": "today", "basal": row["basal"], "stems": row["stems"]}]
        if np.isfinite(leave[0, j]):
            states.append({"when": "after the cut", "basal": told.basal[0, j], "stems": told.stems[0, j]})
        states += [{"when": f"in {y} years", "basal": told.basal[y, j], "stems": told.stems[y, j]} for y in LATER]
        out[str(row["stand_id"])] = guides.stocking_chart(row["cover"], float(gravity[stand]), states, row["main"])
    return out
