"""What ``woodlot what-if`` shows: the far plan beside the same plan as some scenarios have it.

WhatIfsAnswer, what_ifs_answer   the answer, from the season
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from woodlot.estimate import Number
from woodlot.plan import cautions, what_ifs
from woodlot.plan.what_ifs import Ends, Outcome
from woodlot.say import growth, reasons
from woodlot.say import what_ifs as say
from woodlot.season import Season
from woodlot.trade import ASH_GONE, WHAT_IFS, WINDSTORM
from woodlot.tree.growth import growth_default
from woodlot.wood.wants import FIREWOOD

__all__ = ["WhatIf", "WhatIfsAnswer", "what_ifs_answer"]

#: The row of the plan itself.
PLAN = "plan"


@dataclass(frozen=True, kw_only=True)
class WhatIf:
    """The plan ("plan") or a scenario over all years of the far plan: what stands at their end (more_cords, in words
    than_planned), a year's growth and cut (cut_cords: all of it), deer that the stands feed in an average winter, days
    of work a year, trees that reach 5 inches; soon_cords: cut in the next ten years, moved_share of it in other stands
    or less or more than planned; changes: whether that is enough to do otherwise now; lost_cords, saved_cords: taken by
    borer or wind, had of it.
    """

    scenario: str
    name: str
    stock_cords: Number
    more_cords: float
    than_planned: str
    growth_cords_per_yr: Number
    cut_cords_per_yr: Number
    cut_cords: Number
    board_feet: Number
    deer: Number
    days_per_yr: Number
    young_trees_per_ac: Number
    short_cords_per_yr: float
    lost_cords: Number
    saved_cords: Number
    soon_cords: float
    moved_share: float
    changes: bool
    words: str
    unknown: str


@dataclass(frozen=True, kw_only=True)
class WhatIfsAnswer:
    """The plan and the scenarios asked for; years: how far they go. Without a measured stand there are none."""

    headline: str
    years: int
    scenarios: tuple[WhatIf, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]


def what_ifs_answer(season: Season, names: Sequence[str]) -> WhatIfsAnswer:
    """The plan and some scenarios (keys of ``trade.WHAT_IFS``), side by side."""
    region, cords = season.place.region, season.woods.stands["cords"]
    if not (np.nan_to_num(cords) > 0).any():
        return WhatIfsAnswer(headline=say.NOT_ENOUGH, years=0, scenarios=(), cautions=(), notes=())
    burned = sum(want.asked_number for want in season.wants if want.line.product == FIREWOOD)
    told = [name for name in names if burned > 0 or name not in what_ifs.NEEDS]
    plan = season.what_if()
    rows = [_row(season, None, plan, plan, burned)]
    rows += [_row(season, name, season.what_if(name), plan, burned) for name in told]
    falls = any(name in (ASH_GONE, WINDSTORM) for name in told)
    horizon = growth_default("horizon_yr", region=region)
    return WhatIfsAnswer(
        headline=say.headline(rows[0].stock_cords, plan.years, [(row.name, row.changes) for row in rows[1:]]),
        years=plan.years,
        scenarios=tuple(rows),
        cautions=tuple(reasons.said(cautions.caution(key, region)) for key in ("felling", "dead_ash", "hung") if falls),
        notes=(
            say.HOW,
            *([say.no_need([WHAT_IFS[name].one for name in names if name not in told])] if told != list(names) else []),
            *([say.left_out(int(cords.isna().sum()), len(cords))] if cords.isna().any() else []),
            *([say.tally_on_top(sum(task.cords for task in season.tally_work))] if season.tally_work else []),
            growth.beyond(horizon),
        ),
    )


def _number(three: Ends | None, unit: str, times: float = 1.0) -> Number:
    if three is None:
        return Number(unit=unit)
    low, mid, high = (one * times for one in three)
    return Number(mid, low, high, unit, "assumptions") if low < high else Number(mid, unit=unit)


def _row(season: Season, name: str | None, one: Outcome, plan: Outcome, burned: float) -> WhatIf:
    region = season.place.region
    moved, more = what_ifs.moved_share(plan, one), one.stock_cords[1] - plan.stock_cords[1]
    enough = what_ifs.figure("any", "change_share", region)
    thrown = one.saved[1] if name == WINDSTORM and one.saved else 0.0
    changes = moved >= enough or thrown > enough * plan.soon.sum()
    words, unknown = ("", "") if name is None else say.told(name, one, plan, burned, moved if changes else 0.0, region)
    return WhatIf(
        scenario=name or PLAN,
        name=say.AS_PLANNED if name is None else WHAT_IFS[name].one,
        stock_cords=_number(one.stock_cords, "cords"),
        more_cords=more,
        than_planned="" if name is None else say.than_planned(more, plan.stock_cords[1]),
        growth_cords_per_yr=_number(one.growth_cords, "cords a year"),
        cut_cords_per_yr=_number(one.cut_cords, "cords a year"),
        cut_cords=_number(one.cut_cords, "cords", one.years),
        board_feet=_number(one.bdft, "board feet"),
        deer=reasons.plain(one.deer),
        days_per_yr=_number(one.days, "days a year"),
        young_trees_per_ac=_number(one.young_trees, "trees an acre"),
        short_cords_per_yr=one.short_cords,
        lost_cords=_number(one.lost, "cords"),
        saved_cords=_number(one.saved, "cords"),
        soon_cords=float(one.soon.sum()),
        moved_share=moved,
        changes=bool(changes),
        words=words,
        unknown=unknown,
    )
