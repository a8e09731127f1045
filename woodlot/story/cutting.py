"""What may be cut and what is cut this winter, all stands together.

totals   all stands together
"""

from typing import Any

from woodlot.plan.turns import Cutting

__all__ = ["totals"]


def totals(found: Cutting) -> dict[str, Any]:
    """All stands together, in the form of ``plan.cut.first_look_totals``.

    Keys: growth (Estimate), ceiling_cords_per_yr, this_winter_cords, stands_this_winter (ids), words, caution.
    """
    now = found.growing[found.growing["this_winter"]]
    limit = found.yearly.limit
    told = (
        "The low end of the smallest of three ceilings: what grows, a share of the acres each year, and what leads to "
        "the stock to keep."
        if limit > 0
        else "Nothing may be cut this year."
    )
    return {
        "growth": found.yearly.whole["grows"],
        "ceiling_cords_per_yr": limit,
        "this_winter_cords": float(now["this_winter_cords"].sum()),
        "stands_this_winter": now["stand_id"].tolist(),
        "words": " ".join(filter(None, [told, found.schedule.stopped, *found.schedule.words])),
        "caution": " ".join(found.yearly.cautions),
    }
