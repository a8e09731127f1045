"""What if: the far plan of a family beside the same plan in other years or with another need, never mixed into it.

A family wants to see whether a choice or a bad year changes what it should do in the next ten years: where it does not,
it need not mind; where it does, it wants to know what to do first, and what is lost.

Woods     altered: as they would be, at the low, the middle or the high end of what is told of it
Need      burning: what is wanted with another need for firewood
Outcome   outcome: what a schedule comes to, at low, middle and high growth; moved_share: how far two part soon
Figures   ends, figure: of a scenario (what_ifs.csv); CEILINGS_STAY, CUTS_STAY: what nobody could know
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.estimate import Estimate, scale
from woodlot.plan.ceilings import Yearly
from woodlot.plan.scheduled import Schedule
from woodlot.plan.stand_entries import entered
from woodlot.plan.woods import CASES, Woods, run
from woodlot.region import Region
from woodlot.stand import grow
from woodlot.trade import (
    ASH_GONE,
    DRY_DECADE,
    EVEN_AGED,
    FENCED,
    LESS_FIREWOOD,
    MORE_FIREWOOD,
    UNCHECKED,
    WINDSTORM,
)
from woodlot.units import basal_sqft
from woodlot.wood.wants import FIREWOOD, Want

__all__ = [
    "CEILINGS_STAY",
    "CUTS_STAY",
    "NEEDS",
    "SOON_YR",
    "Outcome",
    "altered",
    "burning",
    "ends",
    "figure",
    "moved_share",
    "outcome",
]

#: Years in which a family can still do something about it.
SOON_YR = 10
#: Scenarios that change what the house burns; those whose ceilings stay, the woods of today being the same; those of
#: which nobody knows before, so that the cuts of the plan are made as they are planned.
NEEDS = (LESS_FIREWOOD, MORE_FIREWOOD)
CEILINGS_STAY = (*NEEDS, DRY_DECADE)
CUTS_STAY = (DRY_DECADE,)
TOPIC = "what_ifs"
#: More years than any plan has.
MOST_YR = 60
ASH = "ash_cords"
Ends = tuple[float, float, float]


def ends(scenario: str, name: str, region: Region) -> Ends:
    """Low, middle and high of a figure of a scenario; low is the end with less wood."""
    row = region.records(TOPIC, "scenario", "name")[scenario, name]
    low, mid, high = (float(row[case]) for case in CASES)
    return low, mid, high


def figure(scenario: str, name: str, region: Region, case: str = "mid") -> float:
    """One of them."""
    return ends(scenario, name, region)[CASES.index(case)]


def altered(scenario: str | None, woods: Woods, case: str = "mid", *, region: Region) -> Woods:
    """The woods of today as a scenario has them, at one end of what is told of it; None, and what changes no tree:
    as they are.
    """
    of = {
        ASH_GONE: _ash_gone,
        UNCHECKED: _browsed,
        FENCED: _fenced,
        DRY_DECADE: _dry,
        WINDSTORM: _blown,
    }.get(scenario or "")
    return woods if of is None else of(woods, case, region)


def _is_ash(woods: Woods, region: Region) -> np.ndarray:
    """Which of the kinds are ash."""
    return np.asarray(region.species.within(pd.Series(woods.species), "ash"), dtype=bool)


def _ash_stands(woods: Woods, region: Region) -> np.ndarray:
    """Kinds of ash where they stand (species, stand)."""
    return np.asarray(_is_ash(woods, region)[:, None] & (woods.trees.sum(axis=1) > 0))


def _ash_gone(woods: Woods, case: str, region: Region) -> Woods:
    """Every ash dies within some years, in stands of one age too small a part to be told; cuts take it first."""
    ash, there = _is_ash(woods, region), _ash_stands(woods, region)
    deaths = woods.deaths.copy()
    deaths[ash] = np.maximum(deaths[ash], figure(ASH_GONE, "die_per_yr", region, case))
    area = np.tensordot(woods.trees, basal_sqft(grow.classes(region=region)), axes=([1], [0]))
    new = there & ~woods.judged.failing & ~woods.judged.apart
    whole = area.sum(axis=0)
    share = np.divide((area * new).sum(axis=0), whole, out=np.zeros_like(whole), where=whole > 0)
    dies = np.minimum(woods.stands["salvage_share"].to_numpy(dtype=float) + share, 1.0)
    stands = woods.stands.assign(
        salvage_share=dies, dying=woods.stands["dying"].to_numpy(dtype=bool) | there.any(axis=0)
    )
    judged = replace(woods.judged, failing=woods.judged.failing | there)
    return replace(woods, stands=stands, deaths=deaths, judged=judged)


def _browsed(woods: Woods, case: str, region: Region) -> Woods:
    """No more saplings get above the deer than so many."""
    most = figure(UNCHECKED, "saplings_per_ac", region, case)
    return replace(woods, saplings=np.fmin(woods.saplings, most))


def _fenced(woods: Woods, case: str, region: Region) -> Woods:
    """Young trees come up as where nobody counted them, if too few were counted."""
    few = woods.saplings < figure(FENCED, "full_saplings_per_ac", region, case)
    return replace(woods, saplings=np.where(few, np.nan, woods.saplings))


def _dry(woods: Woods, case: str, region: Region) -> Woods:
    """Some years of less growth and more deaths, then years as usual."""
    years = int(figure(DRY_DECADE, "years", region, case))
    times, more = (figure(DRY_DECADE, name, region, case) for name in ("growth_times", "more_deaths"))
    dry = np.arange(MOST_YR) < years
    slow = np.where(dry, times, 1.0)
    return replace(
        woods,
        factor={c: slow[:, None, None] * of for c, of in woods.factor.items()},
        even={c: slow[:, None] * of for c, of in woods.even.items()},
        deaths=np.minimum(woods.deaths + np.where(dry, more, 0.0)[:, None, None], 1.0),
    )


def _blown(woods: Woods, case: str, region: Region) -> Woods:
    """A share of each size is thrown before the first winter."""
    sizes = grow.classes(region=region)
    small, large = (figure(WINDSTORM, f"{name}_in", region, case) for name in ("small", "large"))
    size = np.where(sizes < small, "small", np.where(sizes < large, "middle", "large"))
    kind = np.where(region.species.is_hardwood(pd.Series(woods.species)), "hardwood", "softwood")
    gone = np.array([[figure(WINDSTORM, f"{k}_{s}", region, case) for s in size] for k in kind])
    left = woods.trees * (1.0 - gone)[:, :, None]
    stands, basal = woods.stands.copy(), basal_sqft(sizes)

    def kept(weights: np.ndarray) -> np.ndarray:
        before, after = (np.tensordot(weights, trees, axes=2) for trees in (woods.trees, left))
        return np.divide(after, before, out=np.ones_like(before), where=before > 0)

    area = kept(np.broadcast_to(basal, gone.shape))
    wood = np.where(stands["way"].isin(EVEN_AGED), area, kept(woods.values["cords"]))
    stands["basal"], stands["cords"] = stands["basal"] * area, stands["cords"] * wood
    stands["stems"] = left.sum(axis=(0, 1)) + 0.0 * stands["stems"]  # none stays none
    return replace(woods, stands=stands, trees=left)


def burning(wants: Iterable[Want], times: float) -> tuple[Want, ...]:
    """What is wanted, firewood so many times; what is made of it counts as before."""
    out = []
    for want in wants:
        if want.line.product == FIREWOOD and want.line.woods != "hot":
            asked = want.asked_number * times
            left = max(asked - want.made_number, 0.0)
            line = replace(want.line, number=left, mmbtu=left * want.mmbtu_each)
            want = replace(want, line=line, asked_number=asked)
        out.append(want)
    return tuple(out)


@dataclass(frozen=True)
class Outcome:
    """What a schedule comes to, low, middle and high.

    years: of the schedule; stock_cords, bdft: standing at its end; growth_cords, cut_cords, days: a year over all of it
    (growth less deaths); young_trees: that reach 5 inches on an acre in all years, patches aside; deer: that the stands
    feed in an average winter, the mean of all (None where no cover is known); short_cords: of stove wood, missing a
    year; soon: cords cut in the first ten years, by stand_id; ash_cords: standing today, ash_dying_cords: of it
    where the plan counts on its dying; lost: cords of today that the borer or the wind takes, saved: cords of ash cut
    before, or of thrown wood that is whole (None elsewhere).
    """

    years: int
    stock_cords: Ends
    growth_cords: Ends
    cut_cords: Ends
    bdft: Ends
    days: Ends
    young_trees: Ends
    deer: Estimate | None
    short_cords: float
    soon: pd.Series
    ash_cords: float
    ash_dying_cords: float
    lost: Ends | None = None
    saved: Ends | None = None


def outcome(
    scenario: str | None,
    today: Woods,
    woods: Mapping[str, Woods],
    yearly: Yearly,
    schedule: Schedule,
    deer: Estimate | None,
    region: Region,
) -> Outcome:
    """What a schedule comes to if its cuts are made whatever grows.

    today: the woods as they are; woods: as the scenario has them, by case; yearly, schedule: made for its middle; deer:
    that its stands feed.
    """
    cases, soon = zip(*(_sums(woods[case], yearly, schedule, case, region) for case in CASES), strict=True)
    several = {name: _ordered([one[name] for one in cases]) for name in cases[0]}
    ash, dying = _of_ash(today, region)
    taken: dict[str, Ends] = {}
    if scenario == ASH_GONE:
        saved = several[ASH]
        taken = {"saved": saved, "lost": _ordered([max(ash - one, 0.0) for one in saved])}
    elif scenario == WINDSTORM:
        gone = [float((_cords(today) - _cords(woods[case])).sum()) for case in CASES]
        home = [one * figure(WINDSTORM, "sound_share", region, case) for one, case in zip(gone, CASES, strict=True)]
        taken = {"saved": _ordered(home), "lost": _ordered(gone)}
    del several[ASH]
    years = len(schedule.stock) - 1
    return Outcome(
        years=years,
        **several,
        deer=deer if scenario != FENCED or deer is None else scale(deer, figure(FENCED, "food_left", region), "deer"),
        short_cords=float(schedule.periods["short"].sum()) / years,
        soon=soon[CASES.index("mid")],
        ash_cords=ash,
        ash_dying_cords=dying,
        **taken,
    )


def _ordered(three: list[float]) -> Ends:
    return min(three), three[CASES.index("mid")], max(three)


def _cords(woods: Woods) -> np.ndarray:
    """Cords that stand today in each stand."""
    return np.nan_to_num((woods.stands["cords"] * woods.stands["acres"]).to_numpy(dtype=float))


def _of_ash(woods: Woods, region: Region) -> tuple[float, float]:
    """Cords of ash that stand today, and those where it dies already."""
    cords, each = _cords(woods), np.einsum("sc,scn->sn", woods.values["cords"], woods.trees)
    whole = each.sum(axis=0)
    ash = each * _is_ash(woods, region)[:, None] * np.divide(cords, whole, out=0.0 * cords, where=whole > 0)
    return float(ash.sum()), float(ash[woods.deaths > 0].sum())


def _ash_cords(woods: Woods, region: Region) -> np.ndarray:
    return woods.values["cords"] * _is_ash(woods, region)[:, None]


def _sums(
    woods: Woods, yearly: Yearly, schedule: Schedule, case: str, region: Region
) -> tuple[dict[str, float], pd.Series]:
    """Measures of ``Outcome`` at one growth, on the acres of each way that is followed and on the rest; what is cut
    soon in each stand.
    """
    follows, stands = schedule.follows, woods.stands
    years, count = len(schedule.stock) - 1, len(stands)
    at, given = follows["at"].to_numpy(dtype=int), follows["acres"].to_numpy(dtype=float)
    rest = stands["acres"].to_numpy(dtype=float) - np.bincount(at, given, count)
    acres = np.r_[given, rest]
    counted = replace(woods, values=woods.values | {ASH: _ash_cords(woods, region)})
    columns, first = np.r_[at, np.arange(count)], np.r_[follows["first"].to_numpy(dtype=int), np.full(count, -1)]
    begun = np.where(first < 0, -1, first * schedule.step_yr)
    uncut = run(woods, years, case, region=region).basal
    path = entered(counted, yearly.table, uncut, columns, begun, case, region=region)
    end, feet = (float(np.nan_to_num(one[-1]) @ acres) for one in (path.cords, path.bdft))
    begin = float(_cords(woods).sum())  # before the cut of the first winter, which a path begins after
    cut = path.cut_cords.sum(axis=0)
    planned, work = (follows[name].to_numpy(dtype=float) for name in ("cords", "days"))
    share = np.divide(cut[: len(at)], planned, out=np.zeros(len(at)), where=planned > 0)
    tabled = np.where((stands["way"] == "stand table").to_numpy()[columns], acres, 0.0)
    young = path.ingrowth.sum(axis=0) / basal_sqft(grow.classes(region=region)[0])
    ids = stands["stand_id"].astype(str).to_numpy()[columns]
    soon = pd.Series(path.cut_cords[:SOON_YR].sum(axis=0) * acres).groupby(ids).sum()
    sums = {
        "stock_cords": end,
        "growth_cords": (end - begin + float(cut @ acres)) / years,
        "cut_cords": float(cut @ acres) / years,
        "bdft": feet,
        "days": float((given * work) @ share) / years,
        "young_trees": float(young @ tabled) / float(tabled.sum()) if tabled.sum() > 0 else 0.0,
        ASH: float(path.pieces[ASH].sum(axis=0) @ acres),
    }
    return sums, soon[soon > 0]


def moved_share(plan: Outcome, other: Outcome) -> float:
    """Share of the wood of the next ten years that is cut in other stands, or is less or more."""
    both = pd.concat([plan.soon, other.soon], axis=1).fillna(0.0).to_numpy(dtype=float)
    whole = both.sum(axis=0)
    if not whole.any():
        return 0.0
    return float(max(abs(whole[1] - whole[0]) / whole.max(), np.abs(both[:, 1] - both[:, 0]).sum() / whole.sum()))
