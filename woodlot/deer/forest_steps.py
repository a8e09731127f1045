"""What a family can do for its next forest, by the verdict: each step with its cost or work.

HIGH            the browse code from which deer press hard
steps_to_take   verdict, browse code and what is known -> rows of the table of steps

A family that reads "not coming up" wants to know what to do next, what it costs, and what to find out first where the
cause is not shown.
"""

from collections.abc import Mapping
from math import exp, log
from typing import Any

from woodlot.deer.answer import Words
from woodlot.deer.defaults import default
from woodlot.deer.forest_answer import CANT_SAY, NOT_SHOWN, ForestStep
from woodlot.estimate import Reason, reason
from woodlot.region import Region

__all__ = ["HIGH", "steps_to_take"]

#: From this browse code on deer press hard.
HIGH = 4
#: In the column when of the steps: also where the cause is not shown or not enough is counted, and browsing is high.
HIGH_BROWSING = "high browsing"


def steps_to_take(
    found: str, code: int | None, facts: Mapping[str, Any], state: str | None, region: Region
) -> tuple[ForestStep[Words], ...]:
    """What to do: rows of the table for the verdict, and those for high browsing where the cause is not known yet."""
    keys = {found, *([HIGH_BROWSING] if found in (NOT_SHOWN, CANT_SAY) and (code or 0) >= HIGH else [])}
    table = region.table("deer_forest_steps", rows=())
    asked = table["when"].map(lambda when: bool(keys & {one.strip() for one in str(when).split(";")}))
    rows = table[asked].sort_values("order", kind="stable")
    region.note("deer_forest_steps", tuple(map(str, rows["step"])))
    return tuple(_step(row, facts, state, region) for row in rows.to_dict("records"))


def _step(row: Mapping[Any, Any], facts: Mapping[str, Any], state: str | None, region: Region) -> ForestStep[Words]:
    name, per = str(row["step"]), row["per"] if isinstance(row["per"], str) else ""
    hours, dollars = ((float(row[f"{of}_low"]), float(row[f"{of}_high"])) for of in ("hours", "dollars"))
    more: dict[str, Any] = {}
    if name == "plots":
        more = {"more": facts["more"], "counted": facts["counted"]}
    elif name == "pairs":
        left = max(int(default("fence_pairs", region)) - facts["pairs"], 1)
        more = {"pairs": left, "years": int(default("fence_years", region))}
    elif name == "cages":
        more = {"kinds": facts.get("missing", ())}
    elif name == "light_cut":
        leaves = default("light_cut_leaves", region)
        more = {"leaves": leaves, "light": 100 * exp(-default("light_per_sqft", region) * leaves)}
        more["dark_from"] = -log(default("light_enough", region)) / default("light_per_sqft", region)
    elif name == "permit":
        more = {"told": _permit(state, region)}
    cost = reason("cost of a step", hours=hours, dollars=dollars, per=per)
    return ForestStep(name, reason("forest step", step=name, cost=cost, **more), per, hours, dollars, str(row["seen"]))


def _permit(state: str | None, region: Region) -> Reason:
    """What is known of permits of the family's state; of all states where none is named."""
    table = region.table("deer_state_permits", rows=())
    here = table[table["state"] == (state or "").strip().lower()]
    region.note("deer_state_permits", tuple(map(str, (here if len(here) else table)["state"])))
    if len(here):
        return reason("permit of a state", words=str(here["words"].iloc[0]))
    return reason("permit of some states", states=tuple(map(str, table["state"])))
