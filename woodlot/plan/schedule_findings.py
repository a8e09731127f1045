"""What is found of a schedule: what is met, what is not and why, and why a stand that may be cut is not.

findings   reasons of the whole plan
why_not    reasons stand by stand
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.plan.schedule import Limits, Solution
from woodlot.plan.schedule_trials import WOODS
from woodlot.plan.stand_entries import Ways
from woodlot.plan.woods import Woods, chosen
from woodlot.region import Region

__all__ = ["FIREWOOD", "findings", "why_not"]

FIREWOOD = "firewood"
#: Fewer board feet of a plan, and fewer acres, are not spoken of.
LEAST_BDFT, LEAST_AC = 50.0, 0.05
#: Less than half a piece is none.
PART_OF_A_PIECE = 0.5


def findings(
    solution: Solution,
    limits: Limits,
    periods: pd.DataFrame,
    goals: Mapping[str, Any],
    tried: pd.DataFrame,
    heat: float | None,
    beside: Sequence[str],
    table: pd.DataFrame,
    start: int,
    step: int,
    region: Region,
) -> tuple[Reason, ...]:
    """What is wanted and cannot be had, with the limits in the way; what is met; what gave way; what binds.

    beside: what gives a part of it beside the plan: "tally", "made".
    """
    out, met, none = [], [], []
    for name, number in goals.items():
        lacks = periods["short" if name == FIREWOOD else f"{name}_short"]
        once = bool(np.ndim(number))
        many = float(np.sum(number)) if once else float(number) * step
        each = 0 if once else step
        mmbtu = heat if name == FIREWOOD else None
        if lacks.sum() <= (1e-6 if name == FIREWOOD else PART_OF_A_PIECE):
            met.append((name, many, each, mmbtu))
        elif name != FIREWOOD and not _gives(solution.prescriptions, name):
            none.append((name, many, each))
        else:
            some = (lacks > 1e-6).to_numpy()
            years = () if some.all() else tuple((start + step * np.flatnonzero(some)).tolist())
            short = float(lacks.sum())
            out.append(reason("cannot be had", of=name, number=short, years=years, step_yr=step, mmbtu_per_cord=mmbtu))
            rows = tried.loc[tried["about"] == name, ["limit", "less", "left", "work_most"]].to_numpy().tolist()
            least = chosen("least_entry_cords", region)
            ways = tuple(map(tuple, rows))
            out.append(
                reason("in the way", of=name, limits=ways, step_yr=step, least_entry_cords=least, shut=_shut(table))
            )
    if none:
        out.insert(0, reason("gives none", each=tuple(none)))
    if met:
        out.append(reason("met", goals=tuple(met), beside=tuple(beside), rest=bool(out)))
    if periods["bdft"].sum() >= LEAST_BDFT and goals:
        out.append(reason("logs come with it", bdft=float(periods["bdft"].sum()), years=step * len(periods)))
    if "end" in solution.gave:
        out.append(reason("stock falls", cords=solution.gave["end"]))
    if not solution.gave and not goals:
        bind = solution.binding
        if bind.loc[bind["limit"] == "cut", "period"].nunique() == len(periods):
            out.append(reason("all is cut"))
            bind = bind[bind["limit"] != "cut"]
        for row in bind.head(2).to_dict("records"):
            year = start + step * int(row["period"])
            out.append(reason("binds", limit=row["limit"], year=year, step_yr=step, price=row["price"]))
    return tuple(out)


def why_not(
    growing: pd.DataFrame,
    ways: Ways,
    woods: Woods,
    tried: pd.DataFrame,
    asked: bool,
    start: int,
    region: Region,
) -> pd.Series:
    """Why a stand that may be cut is not cut in the plan: too young, held back, not needed."""
    p: Any = ways.prescriptions
    goes_in = {ways.stand_ids[k] for k in np.unique(p.stand[p.cut.any(axis=1)])}
    age = woods.stands.set_index(woods.stands["stand_id"].astype(str))["age_yr"]
    least = chosen("patch_least_yr", region)
    limits = tuple(dict.fromkeys(tried.loc[tried["limit"] != WOODS, "limit"]))
    out: list[Reason | None] = []
    for row in growing[["stand_id", "may", "next_year", "way"]].to_dict("records"):
        stand = str(row["stand_id"])
        if not row["may"] or row["next_year"] is not None:
            out.append(None)
        elif stand not in goes_in and row["way"] == "patches" and age[stand] < least:
            out.append(reason("too young", year=start + int(np.ceil(least - age[stand])), least_yr=least))
        elif limits:
            out.append(reason("held back", limits=limits))
        else:
            out.append(reason("not needed") if asked else reason("not in this plan"))
    return pd.Series(out, index=growing.index, dtype=object)


def _gives(p, name: str) -> bool:
    """Whether any way to cut a whole stand gives a piece of a product."""
    return bool((p.pieces[name].sum(axis=1) * p.acres[p.stand]).max(initial=0.0) >= PART_OF_A_PIECE)


def _shut(table: pd.DataFrame) -> tuple[tuple[str, float], ...]:
    """Acres that are not cut at all by the key of their reason, the most first."""
    shut = table[~table["may"]]
    acres = shut["cut_ac"].groupby([why.key for why in shut["why"]]).sum()
    acres = acres[acres >= LEAST_AC].sort_values(ascending=False, kind="stable")
    return tuple(zip(acres.index.astype(str), acres.tolist(), strict=True))
